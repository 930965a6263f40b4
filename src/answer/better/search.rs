//! The search: from several places at once, then whole cars asked for their gaps, then what can be traded for what.

use std::sync::{Arc, Mutex};

use rayon::prelude::*;

use super::ask::{BestSoFar, Looking, NoBetter, Progress, Wish};
use super::descent::{Found, Goal, descend};
use super::keep::{Keep, Look, Watched};
use super::trial::{Stands, Trial};

/// Places that a search starts from, the car as it is among them.
const STARTS: usize = 8;
/// Of what they lead to, as many are asked as whole cars.
const ASKED: usize = 3;
/// Times that a car which breaks a gap is put right.
const ROUNDS: usize = 8;
/// Cars nearer to each other than this are one, mm.
pub(super) const ALIKE: f64 = 0.05;
/// Whole cars that a search asks at most for what can be traded.
const TRADED: usize = 16;
/// A wish that lacks no more than this of its scale is met: what rounding does.
const MET: f64 = 1e-9;

/// A car that keeps its gaps.
#[derive(Clone)]
pub(super) struct Candidate {
    pub x: Vec<f64>,
    pub moved: f64,
    pub stands: Vec<Stands>,
    pub look: Look,
}

impl Candidate {
    /// Whether a wish is met.
    pub fn meets(&self, wish: usize) -> bool {
        self.stands[wish].over <= MET
    }

    /// What all wishes together lack, in their scales.
    pub fn lack(&self) -> f64 {
        self.stands.iter().map(|s| s.over.max(0.0).powi(2)).sum::<f64>().sqrt()
    }
}

/// How far a search went.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, serde::Serialize)]
pub struct Tried {
    /// Descents towards what is wished.
    pub descents: usize,
    /// Cars that were asked as a whole.
    pub cars: usize,
}

/// A search under way.
pub(super) struct Search<'a> {
    pub trial: &'a Trial<'a>,
    pub keep: &'a Keep,
    pub looking: Looking<'a>,
    /// Pairs that whole cars broke, each in its pose.
    pub watched: Vec<Watched>,
    pub tried: Tried,
    /// Cars that were refused as a whole, in words.
    pub refused: Option<String>,
    best: Mutex<Option<BestSoFar>>,
}

impl<'a> Search<'a> {
    pub fn new(trial: &'a Trial<'a>, keep: &'a Keep, looking: Looking<'a>) -> Self {
        let (watched, tried, refused, best) = Default::default();
        Self { trial, keep, looking, watched, tried, refused, best }
    }

    pub fn done(&self, done: f64) {
        let best = self.best.lock().map_or(None, |best| *best);
        (self.looking.progress)(Progress { done, best });
    }

    pub fn stopped(&self) -> bool {
        (self.looking.stop)()
    }

    /// Places to start from: the car as it is, then spread evenly over the boxes (J. Halton, Numerische Mathematik 2, 1960).
    pub fn starts(&self, count: usize) -> Vec<Vec<f64>> {
        const PRIMES: [u32; super::ask::MOST_FREE] = [2, 3, 5, 7, 11, 13, 17, 19, 23, 29, 31, 37, 41, 43, 47, 53];
        let free = &self.trial.ask.free;
        let mut as_is = vec![0.0; free.len()];
        self.trial.within(&mut as_is);
        let spread = (1..count as u32).map(|n| {
            let at = free.iter().zip(PRIMES).map(|(f, p)| f.from_mm + (f.to_mm - f.from_mm) * radical_inverse(n, p));
            at.collect()
        });
        std::iter::once(as_is).chain(spread).collect()
    }

    /// What a goal leads to from each of these places, the best first, no two alike.
    pub fn descents(&mut self, asked: &[(Goal, Vec<f64>)], done: [f64; 2]) -> Vec<Option<Found>> {
        self.tried.descents += asked.len();
        let count = Mutex::new(0usize);
        asked
            .par_iter()
            .map(|(goal, from)| {
                let found = descend(self.trial, goal, &self.watched, from, self.looking.stop);
                let so_far = count.lock().map_or(0, |mut count| {
                    *count += 1;
                    *count
                });
                self.done(done[0] + (done[1] - done[0]) * so_far as f64 / asked.len() as f64);
                found
            })
            .collect()
    }

    /// A whole car with its points there. None where there is no such car, of which why is kept, or no time.
    pub fn look(&mut self, x: &[f64]) -> Option<Look> {
        if self.stopped() {
            return None;
        }
        self.tried.cars += 1;
        let study = self.keep.study(self.trial, x).map(Arc::new);
        let look = study.and_then(|study| self.keep.look(self.trial, study, false));
        look.map_err(|why| self.refused = Some(why)).ok()
    }

    /// As a candidate.
    pub fn candidate(&self, x: Vec<f64>, look: Look) -> Option<Candidate> {
        let numbers = self.trial.samples(&x)?;
        let stands = numbers.iter().enumerate().map(|(wish, numbers)| look.stands(self.trial, wish, numbers));
        let found = Candidate { moved: self.trial.moved(&x), stands: stands.collect::<Option<_>>()?, look, x };
        let met = (0..found.stands.len()).filter(|wish| found.meets(*wish)).count();
        let so_far = BestSoFar { met, of: found.stands.len(), moved_mm: found.moved };
        if let Ok(mut best) = self.best.lock() {
            let better = |b: &BestSoFar| (so_far.met, -so_far.moved_mm) > (b.met, -b.moved_mm);
            if best.as_ref().is_none_or(better) {
                *best = Some(so_far);
            }
        }
        Some(found)
    }

    /// A car that keeps its gaps, from a place that may break some: what it breaks is watched, and the goal looked for
    /// again, until nothing is broken and what the wishes want of the whole car is there, or comes no nearer.
    pub fn settle(&mut self, goal: &Goal, mut x: Vec<f64>, rounds: usize) -> Option<Candidate> {
        let mut best: Option<Candidate> = None;
        for _ in 0..rounds {
            if self.stopped() {
                break;
            }
            let Some(look) = self.look(&x) else {
                // No such car: nearer to the car as it is there may be one.
                x.iter_mut().for_each(|x| *x = (*x * 500.0).round() / 1000.0);
                self.trial.within(&mut x);
                continue;
            };
            let weighs =
                |wish: &Wish| self.trial.ask.wishes.iter().zip(&goal.weight).any(|(w, k)| w == wish && *k > 0.0);
            let asked = weighs(&Wish::Clear)
                || self.trial.ask.wishes.iter().any(|w| matches!(w, Wish::Lock { .. }) && weighs(w));
            let new: Vec<Watched> = look.broken.iter().chain(look.wanting.iter().filter(|_| asked)).cloned().collect();
            let holds = look.broken.is_empty();
            if holds && let Some(found) = self.candidate(x.clone(), look) {
                let rank = |c: &Candidate| goal.lack(c);
                if best.as_ref().is_none_or(|b| rank(&found) < rank(b) - MET) {
                    best = Some(found);
                } else {
                    break;
                }
            }
            if new.is_empty() {
                break;
            }
            self.watch(new);
            self.tried.descents += 1;
            // Where it leads nowhere, what was found by then stays.
            let Some(next) = descend(self.trial, goal, &self.watched, &x, self.looking.stop) else { break };
            if far(&next.x, &x) < 1e-9 {
                break;
            }
            x = next.x;
        }
        best
    }

    fn watch(&mut self, new: Vec<Watched>) {
        for one in new {
            match self
                .watched
                .iter_mut()
                .find(|w| w.place.a == one.place.a && w.place.b == one.place.b && w.at == one.at)
            {
                Some(known) => known.need = known.need.max(one.need),
                None => self.watched.push(one),
            }
        }
    }

    /// Cars that meet all wishes or come nearest to it, and what can be traded for what.
    ///
    /// # Errors
    /// The car that it starts from cannot stand.
    pub fn run(&mut self) -> Result<Vec<Candidate>, NoBetter> {
        let wishes = self.trial.ask.wishes.len();
        let all = Goal::all(wishes);
        let mut found = Vec::new();
        // Without gaps first, from everywhere.
        let first = self.everywhere(&all, STARTS, [0.05, 0.2]);
        if first.is_empty() && !self.stopped() {
            return Err(NoBetter::Asked(
                "the linkage cannot be put together anywhere in these boxes: make them smaller".to_owned(),
            ));
        }
        for (i, place) in first.iter().take(ASKED).enumerate() {
            found.extend(self.settle(&all, place.x.clone(), ROUNDS));
            self.done(0.2 + 0.1 * (i + 1) as f64 / ASKED as f64);
        }
        // With the gaps that turned out to be in the way there may be a better valley.
        if !self.watched.is_empty() {
            let again = self.everywhere(&all, STARTS / 2, [0.3, 0.4]);
            for place in again.iter().take(ASKED) {
                found.extend(self.settle(&all, place.x.clone(), ROUNDS));
            }
        }
        // The car as it is breaks nothing, if it is in the boxes.
        let as_is = self.starts(1).remove(0);
        if let Some(look) = self.look(&as_is).filter(|look| look.broken.is_empty()) {
            found.extend(self.candidate(as_is, look));
        }
        sort(&mut found);
        self.done(0.5);
        let from = found.first().map_or_else(|| self.starts(1).remove(0), |best| best.x.clone());
        let goals: Vec<(Goal, Vec<f64>)> = self.trades().into_iter().map(|goal| (goal, from.clone())).collect();
        let places = self.descents(&goals, [0.5, 0.6]);
        let asked: Vec<_> =
            goals.into_iter().zip(places).filter_map(|((goal, _), place)| Some((goal, place?))).collect();
        let count = asked.len().min(TRADED);
        for (i, (goal, place)) in asked.into_iter().take(TRADED).enumerate() {
            if self.stopped() {
                break;
            }
            if !found.iter().any(|c| far(&c.x, &place.x) < ALIKE) {
                found.extend(self.settle(&goal, place.x, 2));
            }
            self.done(0.6 + 0.2 * (i + 1) as f64 / count as f64);
        }
        sort(&mut found);
        Ok(found)
    }

    /// The best places that a goal leads to from all starts, no two alike.
    pub fn everywhere(&mut self, goal: &Goal, starts: usize, done: [f64; 2]) -> Vec<Found> {
        let asked: Vec<_> = self.starts(starts).into_iter().map(|x| (goal.clone(), x)).collect();
        let mut all: Vec<Found> = self.descents(&asked, done).into_iter().flatten().collect();
        let rank = |f: &Found| (f.lack.max(1e-7), self.trial.moved(&f.x));
        all.sort_by(|a, b| rank(a).partial_cmp(&rank(b)).unwrap_or(std::cmp::Ordering::Equal));
        let mut apart: Vec<Found> = Vec::new();
        for place in all {
            if !apart.iter().any(|p| far(&p.x, &place.x) < ALIKE) {
                apart.push(place);
            }
        }
        apart
    }

    /// Proves a car's gaps, and looks at it again with what is proven. None where that breaks a gap after all.
    pub fn prove(&self, car: &Candidate) -> Option<Candidate> {
        self.keep.prove(&car.look.study, self.looking.stop);
        if self.stopped() {
            return None;
        }
        let look = self.keep.look(self.trial, Arc::clone(&car.look.study), true).ok()?;
        self.candidate(car.x.clone(), look).filter(|proven| proven.look.broken.is_empty())
    }
}

impl Goal {
    /// What a car lacks of it.
    fn lack(&self, car: &Candidate) -> f64 {
        let each = car.stands.iter().zip(&self.weight).zip(&self.looser);
        each.map(|((s, weight), looser)| (weight * (s.over - looser).max(0.0)).powi(2)).sum::<f64>()
    }
}

/// The least lacking first, and of those the one that moves least.
fn sort(found: &mut [Candidate]) {
    found.sort_by(|a, b| {
        let lack = |c: &Candidate| c.lack().max(1e-6);
        lack(a)
            .total_cmp(&lack(b))
            .then(a.moved.total_cmp(&b.moved))
            .then_with(|| a.x.partial_cmp(&b.x).unwrap_or(std::cmp::Ordering::Equal))
    });
}

/// How far two places are apart, by the coordinate in which they are further.
pub(super) fn far(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max)
}

/// The digits of `n` to the base `prime`, behind the point and turned round.
fn radical_inverse(mut n: u32, prime: u32) -> f64 {
    let (mut share, mut sum) = (1.0, 0.0);
    while n > 0 {
        share /= f64::from(prime);
        sum += share * f64::from(n % prime);
        n /= prime;
    }
    sum
}
