//! The gaps that a found car has to keep: none that is held now is broken, none that is broken now gets worse.
//!
//! A whole car is asked for its gaps over the sweep, which takes some hundredths of a second. What it breaks is then watched
//! on the way to the next: see [`super::follow`].

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use serde::Serialize;

use super::ask::Wish;
use super::trial::{Stands, Trial, inner_steer};
use crate::answer::lock::FirstTouch;
use crate::answer::{Lock, NoAnswer, PairGap, SLACK, Study, WorstPose};
use crate::car::AxleName;
use crate::motion::Pose;
use crate::space::{Place, Role};

/// A gap that is short now may become less by so much, mm: half of what is printed. Even what stands still comes nearer to the
/// ground by some thousandths, as the wheels' bump stops are another pose's.
const SAME: f64 = 0.05;

/// What is asked of gaps.
pub(super) struct Keep {
    /// The car that it starts from, proven as far as that matters here.
    pub start: Study,
    /// The least gap now of each pair that is told of, mm, and what is proven of it.
    was: BTreeMap<[String; 2], (f64, Option<f64>)>,
    /// Pairs that are joined, and so not measured.
    joined: BTreeSet<[String; 2]>,
    /// The axles that nothing moves on.
    still: Vec<AxleName>,
}

/// A gap of a found car.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct KeptGap {
    /// The one part.
    pub a: String,
    /// The other.
    pub b: String,
    /// The least over the sweep.
    pub gap_mm: f64,
    /// What is proven of it; none where nothing is.
    pub at_least_mm: Option<f64>,
    /// The gap that is asked for.
    pub wanted_mm: f64,
    /// The least gap now; none where the two are too far apart to be told of.
    pub was_mm: Option<f64>,
    /// Where in the sweep it is least.
    pub at: WorstPose,
}

/// A pair in a pose, whose gap there is to be so much.
#[derive(Debug, Clone)]
pub(super) struct Watched {
    pub place: Place,
    pub at: WorstPose,
    pub need: f64,
    pub gap: KeptGap,
}

/// A whole car, asked.
#[derive(Clone)]
pub(super) struct Look {
    pub study: Arc<Study>,
    /// What it breaks, the worst first.
    pub broken: Vec<Watched>,
    /// What wishes about the whole car still need: for a lock, for gaps that were short.
    pub wanting: Vec<Watched>,
    /// The gap that has least in hand of those that change.
    pub tightest: Option<KeptGap>,
    /// The least that any pair has over what is wanted, mm.
    pub in_hand: f64,
    /// The inner wheel's angle, degrees, where a lock is wished.
    pub lock: Option<f64>,
    /// Whether every gap is proven to be kept.
    pub proven: bool,
}

impl Keep {
    /// Of the car that it starts from.
    pub fn new(trial: &Trial, stop: &(dyn Fn() -> bool + Sync)) -> Result<Self, NoAnswer> {
        // Proven no further than whether it is held, and so not on the study that others ask.
        let start = trial.start.clone();
        start.prove_to(|pair, gap| (gap - pair.wanted).max(SLACK), stop);
        let gaps = start.gaps(&Pose::default())?;
        let was = gaps.pairs.iter().map(|p| (key(p), (p.worst.gap.gap_mm, p.worst.at_least_mm))).collect();
        let moves = |axle: &AxleName| trial.ask.free.iter().any(|f| f.axle == *axle);
        let still = AxleName::BOTH.into_iter().filter(|axle| !moves(axle)).collect();
        Ok(Self { was, joined: joined(&start), still, start })
    }

    /// The least gap now of a pair, mm, where it is told of.
    fn was(&self, pair: [&str; 2]) -> Option<f64> {
        self.was.get(&pair.map(str::to_owned)).map(|(gap, _)| *gap)
    }

    /// What a pair's gap has to be, mm, where so much is wanted of it.
    fn need(&self, pair: [&str; 2], wanted: f64) -> f64 {
        self.was(pair).map_or(wanted, |was| if was < wanted { was - SAME } else { wanted })
    }

    /// Proves that a car keeps every gap that it has to, each no further than that.
    pub fn prove(&self, study: &Study, stop: &(dyn Fn() -> bool + Sync)) {
        let need = |pair: &Place| {
            let [a, b] = [pair.a, pair.b].map(|role| study.parts.name(role));
            self.need([&a, &b], pair.wanted)
        };
        study.prove_to(|pair, gap| (gap - need(pair)).max(SLACK), stop);
    }

    /// Whether what is proven of a gap is enough, but for the slack: of one that is short now, as much as of that.
    fn sure(&self, pair: &PairGap) -> bool {
        let was = self.was.get(&key(pair)).and_then(|(_, least)| *least);
        let need = self.need([&pair.a, &pair.b], pair.wanted_mm);
        let enough = if need < pair.wanted_mm { was.map_or(need, |was| (was - SAME).min(need)) } else { need };
        // Of what moves, gaps to the ground are found and not proven.
        pair.place.b == Role::Ground || pair.worst.at_least_mm.is_some_and(|least| least >= enough - SLACK - 1e-6)
    }

    /// Whether a pair keeps what it has to.
    fn kept(&self, pair: &PairGap) -> bool {
        pair.worst.gap.gap_mm >= self.need([&pair.a, &pair.b], pair.wanted_mm)
    }

    fn told(&self, pair: &PairGap) -> KeptGap {
        KeptGap {
            a: pair.a.clone(),
            b: pair.b.clone(),
            gap_mm: pair.worst.gap.gap_mm,
            at_least_mm: pair.worst.at_least_mm,
            wanted_mm: pair.wanted_mm,
            was_mm: self.was([&pair.a, &pair.b]),
            at: pair.worst.at,
        }
    }

    /// A car with its points moved, set up as a whole.
    ///
    /// # Errors
    /// In words, why there is no such car.
    pub fn study(&self, trial: &Trial, x: &[f64]) -> Result<Study, String> {
        let made = trial.start.car.made.clone().unwrap_or_else(|| super::UNNAMED.to_owned());
        let car = trial.start.car.changed(&made, trial.changes(x)).map_err(|e| e.what().to_owned())?;
        let mut study = Study::with_scans(car, trial.scans).map_err(|e| e.to_string())?;
        for axle in &self.still {
            study = study.knowing(&self.start, *axle);
        }
        // What is joined is not measured: a gap must not be kept by being looked at no more.
        match joined(&study).difference(&self.joined).next() {
            Some([a, b]) => Err(format!("the {a} and the {b} would stand as if they were joined")),
            None => Ok(study),
        }
    }

    /// What a whole car keeps and breaks, as far as it is known by now.
    pub fn look(&self, trial: &Trial, study: Arc<Study>, proven: bool) -> Result<Look, String> {
        let gaps = study.gaps(&Pose::default()).map_err(|e| e.to_string())?;
        let watched =
            |pair: &PairGap, need: f64| Watched { place: pair.place, at: pair.worst.at, need, gap: self.told(pair) };
        let mut broken: Vec<_> = gaps
            .pairs
            .iter()
            .filter(|p| !self.kept(p))
            .map(|p| watched(p, self.need([&p.a, &p.b], p.wanted_mm)))
            .collect();
        broken.sort_by(|a, b| (a.gap.gap_mm - a.need).total_cmp(&(b.gap.gap_mm - b.need)));
        let in_hand = gaps.pairs.iter().map(PairGap::in_hand).fold(f64::INFINITY, f64::min);
        let mut wanting = Vec::new();
        if trial.ask.wishes.contains(&Wish::Clear) {
            let short = gaps.pairs.iter().filter(|p| p.in_hand() < 0.0);
            wanting.extend(short.map(|p| watched(p, p.wanted_mm)));
        }
        let mut lock = None;
        if let Some(at_least) = trial.ask.wishes.iter().find_map(lock_wish) {
            let told = if proven { study.proven_lock() } else { study.lock() };
            lock = Some(inner(&told));
            wanting.extend(self.locked(&study, &told, at_least));
        }
        let changes = |p: &&PairGap| {
            let was = self.was([&p.a, &p.b]);
            p.place.moves() && was.is_none_or(|was| (was - p.worst.gap.gap_mm).abs() > SAME)
        };
        let tightest = gaps.pairs.iter().find(changes).map(|p| self.told(p));
        let proven = proven && gaps.pairs.iter().all(|p| self.sure(p));
        Ok(Look { study, broken, wanting, tightest, in_hand, lock, proven })
    }

    /// The first touches that come before the wished lock, each at the steering travel of that lock.
    fn locked(&self, study: &Study, lock: &Lock, at_least: f64) -> Vec<Watched> {
        let short = lock.ways.iter().filter(|way| way.worst.steer_deg[way.way as usize].abs() < at_least);
        short
            .filter_map(|way| {
                let touch = way.worst.touch.as_ref()?;
                let (a, b) = (&touch.a, &touch.b);
                let called = |p: &&Place| study.parts.name(p.a) == *a && study.parts.name(p.b) == *b;
                let place = *study.parts.at_wheel(touch.wheel).iter().find(called)?;
                let (mut low, mut high) = (way.worst.rack_mm.abs(), lock.stop_mm);
                let sign = way.worst.rack_mm.signum();
                for _ in 0..30 {
                    let middle = (low + high) / 2.0;
                    match inner_steer(&study.car, &study.gear, sign * middle) {
                        Some(angle) if angle < at_least => low = middle,
                        _ => high = middle,
                    }
                }
                let at =
                    WorstPose::Wheel { travel_mm: touch.travel_mm, rack_mm: Some(sign * high), other_travel_mm: None };
                Some(Watched { place, at, need: place.wanted, gap: self.told_touch(touch, at) })
            })
            .collect()
    }

    fn told_touch(&self, touch: &FirstTouch, at: WorstPose) -> KeptGap {
        let (a, b) = (touch.a.clone(), touch.b.clone());
        let was_mm = self.was([&a, &b]);
        KeptGap { a, b, gap_mm: touch.gap.gap_mm, at_least_mm: None, wanted_mm: touch.wanted_mm, was_mm, at }
    }
}

impl Look {
    /// How a wish stands in the whole car.
    pub fn stands(&self, trial: &Trial, wish: usize, numbers: &[f64]) -> Option<Stands> {
        match trial.ask.wishes[wish] {
            Wish::Number(_) => trial.stands(wish, numbers),
            Wish::Lock { .. } => Some(trial.stands_at(wish, self.lock?)),
            Wish::Clear => Some(trial.stands_at(wish, self.in_hand)),
        }
    }
}

fn lock_wish(wish: &Wish) -> Option<f64> {
    match wish {
        Wish::Lock { at_least_deg } => Some(*at_least_deg),
        _ => None,
    }
}

/// The lesser of both ways.
fn inner(lock: &Lock) -> f64 {
    lock.ways.iter().map(|way| way.worst.steer_deg[way.way as usize].abs()).fold(f64::INFINITY, f64::min)
}

fn key(pair: &PairGap) -> [String; 2] {
    [pair.a.clone(), pair.b.clone()]
}

fn joined(study: &Study) -> BTreeSet<[String; 2]> {
    study.left_out().into_iter().map(|pair| [pair.a, pair.b]).collect()
}
