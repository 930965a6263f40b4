//! Better points: what is wanted of a car's geometry, which points may move in which boxes, and where they have to stand.
//!
//! What is wished ([`Wish`]) are numbers of the axles, a lock, gaps; what may move ([`Free`]) are coordinates of measured points.
//! The axles are cheap to ask, so the search goes down to what is wished from many places at once ([`descent`]). Whole cars
//! are not, so only what that leads to is asked for its gaps; a car that breaks one is put right ([`keep`]). No car is told that
//! breaks a gap which is held now, or makes one worse by what is printed which is broken now; each is asked for its proof, and says whether it is proven. Beside the answer, the
//! smallest move that meets every wish, are told the cars that give more of the one and less of the other ([`trade`]).
//!
//! A point moves as `move_point` in a proposal moves it: one on the upright moves on the upright, whose wheel is then set to
//! the camber and toe that were measured. The search has no chance in it: the same question has the same answer.

pub mod ask;
mod check;
mod descent;
mod follow;
mod keep;
mod said;
mod search;
mod stopped;
mod told;
mod trade;
mod trial;

use serde::Serialize;

use super::{Study, Verdict};
use crate::car::{AxleName, Change, PointName, Sides};
use crate::space::Scans;
use keep::Keep;
use search::{Candidate, Search};
use trial::Trial;

pub use ask::{Aim, Axis, BEST, BestSoFar, BetterAsk, Free, Looking, NoBetter, NumberWish, OfNumber, Progress, Wish};
pub use keep::KeptGap;
pub use search::Tried;
pub use stopped::{AtEnd, StoppedBy};

/// What a car is called that a search makes.
const UNNAMED: &str = super::change::UNWRITTEN;

/// Stands wherever this is shown.
pub const CAUTION: &str = "A search proposes, and does not design: look at room for joints and spanners, at loads (`scribeline loads`) and \
                           at the damper's stroke (`scribeline springs`), and have steering and suspension parts judged by a \
                           licensed engineer.";

/// Where points have to stand for what is wished.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Better {
    /// Clear where the first car meets every wish; short where not, or where there is no car.
    pub verdict: Verdict,
    /// What was wished, how it stands now, and what stops it where the first car does not meet it.
    pub wishes: Vec<Wished>,
    /// What could move.
    pub free: Vec<Free>,
    /// The answer first: the smallest move that meets every wish, or else the nearest to it. Then cars that give more of the
    /// one and less of the other, the nearest to all wishes first. Each keeps every gap. Empty where it was stopped early.
    pub cars: Vec<BetterCar>,
    /// Whether it was stopped before its end.
    pub stopped: bool,
    /// How far it went.
    pub tried: Tried,
    /// What else is to be known.
    pub notes: Vec<String>,
    /// Stands wherever this is shown.
    pub caution: &'static str,
}

/// A wish, and how it stands in the car that the search starts from.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Wished {
    /// What was wished.
    pub wish: Wish,
    /// What it is about, in words.
    pub what: String,
    /// Where it stands worst now, in mm, degrees, per cent or as a plain ratio; none where the car as it is does not tell.
    pub was: Option<f64>,
    /// Why no car that keeps its gaps meets it together with the others; none where the first car does.
    pub stopped_by: Option<StoppedBy>,
}

/// A found car.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BetterCar {
    /// In the order of the wishes.
    pub reached: Vec<Reached>,
    /// How far its points move: the root of all free coordinates' squares, both sides counted once.
    pub moved_mm: f64,
    /// The points that move.
    pub moves: Vec<PointMove>,
    /// Of the gaps that change the one with least in hand over what is wanted.
    pub tightest: Option<KeptGap>,
    /// Whether it is proven that every pair keeps its gap, but for 0.1 mm; gaps to the ground of what moves are found only.
    pub proven: bool,
    /// What is best of all told cars in it: the numbers of those wishes, from 0.
    pub best_in: Vec<usize>,
    /// Whether it moves least of all told cars.
    pub moves_least: bool,
    /// The changes that make it, as the car's file writes them, to stand last in a proposal: see [`crate::car::Edit::AddChanges`].
    pub changes: Vec<String>,
    /// The same as values.
    #[serde(skip)]
    pub made_of: Vec<Change>,
}

/// How a wish stands in a found car.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Reached {
    /// Where it stands worst, in mm, degrees, per cent or as a plain ratio.
    pub value: f64,
    /// Whether that is what was wished. One that is to be as near as can be is met where it is as near as is printed.
    pub met: bool,
}

/// A point that moves.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct PointMove {
    /// Its axle.
    pub axle: AxleName,
    /// The point.
    pub point: PointName,
    /// The sides it moves on.
    pub side: Sides,
    /// Forward, left and up, mm: as `move_point` has it.
    pub by_mm: [f64; 3],
}

impl Better {
    /// Looks for better points of `start`, the car as found or a proposal, whose scans are `scans`.
    ///
    /// Seconds for a whole car: to be called off a window's main thread. `looking` is told how far it is, and is asked whether
    /// to stop; then what is proven by then is told.
    ///
    /// # Errors
    /// [`NoBetter`] where what is asked cannot be asked of this car.
    pub fn new(start: &Study, scans: &Scans, ask: &BetterAsk, looking: Looking) -> Result<Self, NoBetter> {
        let trial = Trial::new(start, scans, ask)?;
        let keep = Keep::new(&trial, looking.stop)?;
        let mut search = Search::new(&trial, &keep, looking);
        search.done(0.05);
        let now = search.now()?;
        let found = search.run()?;
        let mut cars: Vec<Candidate> = Vec::new();
        let told = search.told(&found, ask.best.max(1));
        for (i, car) in told.iter().enumerate() {
            if search.stopped() {
                break;
            }
            cars.extend(search.prove(car));
            search.done(0.8 + 0.15 * (i + 1) as f64 / told.len() as f64);
        }
        let stopped_by = stopped::reasons(&mut search, cars.first());
        let stopped = search.stopped();
        search.done(1.0);
        let wishes: Vec<Wished> = ask
            .wishes
            .iter()
            .zip(&now)
            .zip(stopped_by)
            .map(|((wish, was), stopped_by)| Wished {
                wish: *wish,
                what: wish.what(),
                was: Some(*was).filter(|was| was.is_finite()),
                stopped_by,
            })
            .collect();
        let binding = |car: &Candidate| (0..wishes.len()).all(|i| !ask.wishes[i].binds() || car.meets(i));
        let verdict = if cars.first().is_some_and(binding) { Verdict::Clear } else { Verdict::Short };
        let mut notes = start.notes.clone();
        notes.extend(notes_on(&cars, ask, &search, stopped));
        let cars = cars.iter().map(|car| told_car(&trial, car, &cars)).collect();
        Ok(Self {
            verdict,
            wishes,
            free: ask.free.clone(),
            cars,
            stopped,
            tried: search.tried,
            notes,
            caution: CAUTION,
        })
    }
}

impl BetterCar {
    /// How many wishes it meets.
    pub fn met(&self) -> usize {
        self.reached.iter().filter(|r| r.met).count()
    }
}

impl Search<'_> {
    /// How each wish stands in the car that it starts from.
    fn now(&self) -> Result<Vec<f64>, NoBetter> {
        let trial = self.trial;
        let asks_whole = trial.ask.wishes.iter().any(|w| !matches!(w, Wish::Number(_)));
        let study = std::sync::Arc::new(trial.start.clone());
        let look = asks_whole.then(|| self.keep.look(trial, study, false)).transpose();
        let look = look.map_err(NoBetter::Asked)?;
        let value = |wish: usize| match &look {
            Some(look) => look.stands(trial, wish, &trial.was[wish]),
            None => trial.stands(wish, &trial.was[wish]),
        };
        Ok((0..trial.ask.wishes.len()).map(|wish| value(wish).map_or(f64::NAN, |s| s.value)).collect())
    }
}

fn told_car(trial: &Trial, car: &Candidate, all: &[Candidate]) -> BetterCar {
    let over = |car: &Candidate, wish: usize| car.stands[wish].over;
    let best = |wish: usize| {
        let others = all.iter().filter(|c| c.x != car.x).map(|c| over(c, wish)).fold(f64::INFINITY, f64::min);
        all.len() > 1 && over(car, wish) < others - 1e-6
    };
    let moves = trial::moves(&trial.ask.free, &car.x).into_iter().map(|(axle, point, side, by)| PointMove {
        axle,
        point,
        side,
        by_mm: [by.x, by.y, by.z],
    });
    let made_of = trial.changes(&car.x);
    BetterCar {
        reached: (0..car.stands.len()).map(|i| Reached { value: car.stands[i].value, met: car.meets(i) }).collect(),
        moved_mm: car.moved,
        moves: moves.collect(),
        tightest: car.look.tightest.clone(),
        proven: car.look.proven,
        best_in: (0..car.stands.len()).filter(|wish| best(*wish)).collect(),
        moves_least: all.len() > 1 && all.iter().all(|c| c.x == car.x || c.moved > car.moved),
        changes: made_of.iter().filter_map(|change| change.written(trial.start.car.unit)).collect(),
        made_of,
    }
}

fn notes_on(cars: &[Candidate], ask: &BetterAsk, search: &Search, stopped: bool) -> Vec<String> {
    let mut notes = Vec::new();
    if stopped {
        notes.push("The search was stopped before its end.".to_owned());
    } else if cars.is_empty() {
        let why = search.refused.as_ref().map(|why| format!(": {why}")).unwrap_or_default();
        notes.push(format!("No car in these boxes keeps every gap that is held now{why}."));
    }
    let through = |w: &Wish| matches!(w, Wish::Number(n) if n.through);
    if ask.wishes.iter().any(through) {
        let places = 2 * trial::PLACES + 1;
        notes.push(format!("What is asked through a motion is asked at {places} even places of it."));
    }
    if cars.iter().any(|car| !car.look.proven) {
        notes.push("Not every gap is proven: of those cars some least gaps are found only.".to_owned());
    }
    notes
}
