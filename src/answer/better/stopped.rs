//! What stops a wish that no found car meets.

use serde::Serialize;

use super::ask::{Axis, FURTHEST, Wish};
use super::descent::Goal;
use super::keep::{KeptGap, Watched};
use super::search::{Candidate, Search};
use crate::answer::words;
use crate::car::{AxleName, PointName, Shown, Sides};

/// A coordinate whose further way brings less than this part of what is lacking is not told of.
const WORTH: f64 = 0.05;
/// How far beyond the end of a box is looked, mm.
const STEP: f64 = 0.01;

/// Why a wish is not met.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum StoppedBy {
    /// The points would have to go further than they may.
    Boxes(Vec<AtEnd>),
    /// The same; and with the points at those ends these two would come too near, where that is not wanted either.
    GapAndBoxes(KeptGap, Vec<AtEnd>),
    /// They could meet it, but then these two would come too near.
    Gap(KeptGap),
    /// They could meet it alone, but not together with each of these wishes, numbered from 0 (or only not with all of them).
    Wishes(Vec<usize>),
    /// They could meet it, but there is no such car: in words.
    NoCar(String),
    /// These points bring it no nearer, or too little for it to be had in any box.
    Points,
}

/// A coordinate at an end of its box.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct AtEnd {
    /// Its axle.
    pub axle: AxleName,
    /// Its point.
    pub point: PointName,
    /// Its sides.
    pub side: Sides,
    /// The axis.
    pub axis: Axis,
    /// Where its box ends, mm from where it is.
    pub at_mm: f64,
}

impl AtEnd {
    /// `front tie rod, outer joint 15.0 mm up`.
    pub fn words(&self, shown: Shown) -> String {
        let by = shown.length(self.at_mm.abs());
        let point = super::said::point_words(self.axle, self.side, self.point);
        format!("{point} {by} {}", self.axis.way(self.at_mm, self.side))
    }
}

impl StoppedBy {
    /// As the end of a sentence: `the left front tyre would come within 3.2 mm of the left lower arm`.
    pub fn words(&self, wishes: &[Wish], shown: Shown) -> String {
        match self {
            Self::Boxes(ends) => format!("the boxes end there ({})", boxes(ends, shown)),
            Self::GapAndBoxes(gap, ends) => {
                format!("{}; without that the boxes would end it ({})", gap.would(shown), boxes(ends, shown))
            }
            Self::Gap(gap) => gap.would(shown),
            Self::Wishes(others) => {
                let others: Vec<String> = others.iter().map(|i| wishes[*i].words(shown)).collect();
                format!("it can be had alone, but not with {}", others.join(" and "))
            }
            Self::NoCar(why) => format!("there is no such car: {why}"),
            Self::Points => "these points have too little say in it".to_owned(),
        }
    }
}

fn boxes(ends: &[AtEnd], shown: Shown) -> String {
    ends.iter().map(|end| end.words(shown)).collect::<Vec<_>>().join("; ")
}

impl KeptGap {
    /// `the left front tyre would come within 3.2 mm of the left lower arm at 45.0 mm bump (6.0 mm wanted)`.
    pub fn would(&self, shown: Shown) -> String {
        let (gap, at) = (shown.length(self.gap_mm.abs()), self.at.told(shown));
        let would = if self.gap_mm < 0.0 { format!("be {gap} into") } else { format!("come within {gap} of") };
        let was = match self.was_mm {
            Some(was) if was < self.wanted_mm => format!(", {} now", shown.length(was)),
            _ => String::new(),
        };
        format!("the {} would {would} the {} at {at} ({} wanted{was})", self.a, self.b, shown.length(self.wanted_mm))
    }

    /// `left front tyre, left lower arm: 8.1 mm at 45.0 mm bump where 6.0 mm are wanted`.
    pub fn says(&self, shown: Shown) -> String {
        let (gap, wanted) = (shown.length(self.gap_mm), shown.length(self.wanted_mm));
        words::capital(&format!(
            "{} from {}: {gap} at {} where {wanted} are wanted",
            self.a,
            self.b,
            self.at.told(shown)
        ))
    }
}

/// Of each wish why the answer does not meet it; none where it does, or where there was no time to look.
pub(super) fn reasons(search: &mut Search, answer: Option<&Candidate>) -> Vec<Option<StoppedBy>> {
    let count = search.trial.ask.wishes.len();
    (0..count)
        .map(|wish| {
            let fails = search.trial.ask.wishes[wish].binds() && answer.is_none_or(|car| !car.meets(wish));
            if fails && !search.stopped() { reason(search, wish, answer) } else { None }
        })
        .collect()
}

fn reason(search: &mut Search, wish: usize, answer: Option<&Candidate>) -> Option<StoppedBy> {
    let goal = Goal::only(search.trial.ask.wishes.len(), wish);
    // Alone, and whatever may come too near.
    let watched = std::mem::take(&mut search.watched);
    let free = search.everywhere(&goal, 6, [0.95, 0.97]).into_iter().next();
    search.watched = watched;
    let free = free?;
    let numbers = search.trial.samples(&free.x)?;
    let far_off = search.trial.stands(wish, &numbers[wish]).is_some_and(|s| s.over > 1e-9);
    if far_off {
        let ends = at_ends(search, wish, &free.x);
        if ends.is_empty() {
            return Some(StoppedBy::Points);
        }
        // What comes too near at the ends of the boxes keeps points from getting there.
        let gap = search.look(&free.x).and_then(|look| look.broken.first().map(told));
        return Some(match gap {
            Some(gap) => StoppedBy::GapAndBoxes(gap, ends),
            None => StoppedBy::Boxes(ends),
        });
    }
    let Some(look) = search.look(&free.x) else { return search.refused.clone().map(StoppedBy::NoCar) };
    let breaks = look.broken.first().map(told);
    match search.settle(&goal, free.x, 4) {
        Some(alone) if alone.meets(wish) => Some(StoppedBy::Wishes(against(search, wish))),
        // What the whole car tells of a wish that the axles alone would meet.
        nearest => {
            let wanting = |car: &Candidate| car.look.wanting.first().map(told);
            let gap = breaks.or_else(|| nearest.as_ref().and_then(wanting)).or_else(|| answer.and_then(wanting));
            Some(gap.map_or(StoppedBy::Points, StoppedBy::Gap))
        }
    }
}

/// The wishes that cannot be had together with one that can be had alone: each that cannot by itself, or else all of them.
fn against(search: &mut Search, wish: usize) -> Vec<usize> {
    let count = search.trial.ask.wishes.len();
    let others: Vec<usize> = (0..count).filter(|i| *i != wish && search.trial.ask.wishes[*i].binds()).collect();
    let goes_with = |search: &mut Search, other: usize| {
        let mut goal = Goal::only(count, wish);
        goal.weight[other] = 1.0;
        let Some(both) = search.everywhere(&goal, 4, [0.97, 0.99]).into_iter().next() else { return true };
        let Some(numbers) = search.trial.samples(&both.x) else { return true };
        [wish, other].iter().all(|i| search.trial.stands(*i, &numbers[*i]).is_none_or(|s| s.over <= 1e-9))
    };
    let alone: Vec<usize> = others.iter().copied().filter(|other| !goes_with(search, *other)).collect();
    if alone.is_empty() { others } else { alone }
}

fn told(watched: &Watched) -> KeptGap {
    watched.gap.clone()
}

/// The coordinates at an end of their box whose further way would bring the wish; none where all of them together would not
/// bring it in the widest boxes that there are, followed straight on from there.
fn at_ends(search: &Search, wish: usize, x: &[f64]) -> Vec<AtEnd> {
    let trial = search.trial;
    let over = |x: &[f64]| trial.stands(wish, &trial.samples(x)?[wish]).map(|stands| stands.over);
    let Some(here) = over(x) else { return Vec::new() };
    let brings = |i: usize| {
        let mut beyond = x.to_vec();
        beyond[i] += if x[i] >= trial.ask.free[i].to_mm { STEP } else { -STEP };
        // Where the linkage ends there too, the box is not what stops it.
        over(&beyond).map_or(0.0, |there| (here - there) / STEP * (FURTHEST - x[i].abs()))
    };
    let ends = trial.ask.free.iter().zip(x).enumerate().filter(|(_, (f, x))| **x <= f.from_mm || **x >= f.to_mm);
    let ends: Vec<(f64, AtEnd)> = ends
        .map(|(i, (f, x))| (brings(i), AtEnd { axle: f.axle, point: f.point, side: f.side, axis: f.axis, at_mm: *x }))
        .filter(|(brings, _)| *brings >= WORTH * here)
        .collect();
    let enough = ends.iter().map(|(brings, _)| brings).sum::<f64>() >= here;
    if enough { ends.into_iter().map(|(_, end)| end).collect() } else { Vec::new() }
}
