//! A car with its points somewhere in their boxes, and how its numbers stand to what is wished.
//!
//! The points are moved by the very changes that a proposal would make. What numbers need of a car are its axles, so the
//! body is left out and a car takes some hundredths of a millisecond.

use super::ask::{Aim, BetterAsk, NumberWish, OfNumber, Wish, seen};
use super::check;
use super::{Free, NoBetter};
use crate::answer::{NoAnswer, Study};
use crate::car::{AxleName, Car, Change, PointName, Shown, Side, Sides};
use crate::motion::change::Brought;
use crate::motion::{Along, Frame, Measure, Quantity, RunningGear};
use crate::space::Scans;

/// Places from ride height to each end of a motion that a wish is asked at.
pub const PLACES: u32 = 10;

/// A search's car, and what is asked of it.
pub(super) struct Trial<'a> {
    pub start: &'a Study,
    pub scans: &'a Scans,
    pub ask: &'a BetterAsk,
    /// The axles alone.
    bare: Car,
    /// Of each wish, how it stands now: at each place and side.
    pub was: Vec<Vec<f64>>,
    /// Of each wish what it lets a number be, at each place and side.
    ends: Vec<Vec<[f64; 2]>>,
    /// Of each wish what is counted as one.
    pub scale: Vec<f64>,
    /// Half of each box, mm.
    pub half: Vec<f64>,
}

/// How a wish stands in a car.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Stands {
    /// Where it stands worst, in the unit of answers.
    pub value: f64,
    /// By how much it is over what is wished, in the wish's scale; negative is in hand.
    pub over: f64,
}

impl<'a> Trial<'a> {
    pub fn new(start: &'a Study, scans: &'a Scans, ask: &'a BetterAsk) -> Result<Self, NoBetter> {
        check::ask(&start.car, ask)?;
        let bare = Car {
            proposals: Vec::new(),
            rails: Vec::new(),
            panels: Vec::new(),
            scans: Vec::new(),
            tubes: Vec::new(),
            nodes: Vec::new(),
            blocks: Vec::new(),
            splitter: None,
            ..start.car.clone()
        };
        let half = ask.free.iter().map(|f| (f.to_mm - f.from_mm) / 2.0).collect();
        let (was, ends, scale) = Default::default();
        let mut trial = Self { start, scans, ask, bare, was, ends, scale, half };
        let gear = RunningGear::new(&trial.bare).map_err(NoAnswer::Ride)?;
        for wish in &ask.wishes {
            let now = trial.samples_of(&gear, wish).ok_or_else(|| check::no_number(&start.car, wish))?;
            let measure = wish.measure();
            let ends: Vec<[f64; 2]> = now.iter().map(|was| wish.aim().ends(*was, measure)).collect();
            trial.scale.push(scale_of(wish, &now, &ends));
            trial.was.push(now);
            trial.ends.push(ends);
        }
        Ok(trial)
    }

    /// The points moved, as a proposal writes it: one change for each point.
    pub fn changes(&self, x: &[f64]) -> Vec<Change> {
        moves(&self.ask.free, x)
            .into_iter()
            .map(|(axle, point, side, by)| axle.wrap(Change::MovePoint { point, side, to: None, by: Some(by) }))
            .collect()
    }

    /// How far the points move, all coordinates together, mm; both sides count once.
    pub fn moved(&self, x: &[f64]) -> f64 {
        x.iter().map(|v| v * v).sum::<f64>().sqrt()
    }

    /// The axles with the points moved. None where they cannot stand.
    pub fn gear(&self, x: &[f64]) -> Option<RunningGear> {
        RunningGear::new(&self.bare.unchecked(&self.changes(x)).ok()?).ok()
    }

    /// Every wish's numbers at each place and side. None where the linkage cannot be put together, or cannot follow.
    pub fn samples(&self, x: &[f64]) -> Option<Vec<Vec<f64>>> {
        let gear = self.gear(x)?;
        self.ask.wishes.iter().map(|wish| self.samples_of(&gear, wish)).collect()
    }

    fn samples_of(&self, gear: &RunningGear, wish: &Wish) -> Option<Vec<f64>> {
        match wish {
            Wish::Number(number) => self.numbers(gear, number),
            Wish::Lock { .. } => self.steered(gear),
            Wish::Clear => Some(Vec::new()),
        }
    }

    fn numbers(&self, gear: &RunningGear, wish: &NumberWish) -> Option<Vec<f64>> {
        let (axle, ride) = gear.axle(wish.axle).zip(gear.ride.axle(wish.axle))?;
        // What is not the axle's own but its wheels at ride height is the same in all these cars.
        let frame = Frame::new(&self.bare, axle, ride, &gear.ride.ground);
        let home = gear.bring(axle, ride, wish.along, 0.0).ok()?;
        let mut places = vec![home];
        if wish.through {
            for end in wish.along.ends(&self.bare, wish.axle) {
                let mut last = home;
                for step in 1..=PLACES {
                    last =
                        gear.bring(axle, &last.wheels, wish.along, end * f64::from(step) / f64::from(PLACES)).ok()?;
                    places.push(last);
                }
            }
        }
        let q = wish.quantity;
        let sides: &[Side] = if q.of_axle() { &[Side::Left] } else { &Side::BOTH };
        let value = |at: &Brought, side| q.of(&at.standing(axle, &frame), side).map(|v| q.told(v));
        let mut numbers = Vec::with_capacity(places.len() * sides.len());
        for at in &places {
            if wish.of == OfNumber::Rate {
                let rates = gear.changes(axle, &frame, at, q, sides)?;
                numbers.extend(rates.iter().map(|[_, rate]| q.told(rate * NumberWish::per(wish.along))));
                continue;
            }
            for &side in sides {
                let from = if wish.of == OfNumber::Change { value(&home, side)? } else { 0.0 };
                numbers.push(value(at, side)? - from);
            }
        }
        if !numbers.iter().all(|v| v.is_finite()) {
            return None;
        }
        Some(numbers)
    }

    /// The inner wheel's steer angle at the steering's stop each way, degrees: what lock would be if nothing touched.
    fn steered(&self, gear: &RunningGear) -> Option<Vec<f64>> {
        let stop = self.bare.front.steering_travel()?;
        [stop, -stop].into_iter().map(|rack| inner_steer(&self.bare, gear, rack)).collect()
    }

    /// How a wish that the axles alone tell of stands, where it stands worst.
    pub fn stands(&self, wish: usize, numbers: &[f64]) -> Option<Stands> {
        let over = numbers.iter().zip(&self.ends[wish]).map(|(v, ends)| (*v, over(*v, *ends)));
        let (value, over) = over.max_by(|a, b| a.1.total_cmp(&b.1))?;
        Some(Stands { value, over: over / self.scale[wish] })
    }

    /// How a wish stands of which the whole car tells: a lock, a gap in hand.
    pub fn stands_at(&self, wish: usize, value: f64) -> Stands {
        let [low, high] = self.ask.wishes[wish].aim().ends(value, self.ask.wishes[wish].measure());
        Stands { value, over: over(value, [low, high]) / self.scale[wish] }
    }

    /// What a wish lacks at each place and side, in its scale, nothing where it is met; `looser` widens what is wished by
    /// so much of the scale, or narrows it. Signed, so that it is smooth where it passes nothing.
    pub fn lacks(&self, wish: usize, numbers: &[f64], looser: f64) -> impl Iterator<Item = f64> {
        let (scale, hair) = (self.scale[wish], 0.2 * seen(self.ask.wishes[wish].measure()));
        let share = (numbers.len().max(1) as f64).sqrt();
        numbers.iter().zip(&self.ends[wish]).map(move |(v, [low, high])| {
            let by = looser * scale - hair;
            let middle = (low + high) / 2.0;
            // What is narrowed to nothing is narrowed to the middle.
            let (low, high) = if low - by > high + by { (middle, middle) } else { (low - by, high + by) };
            ((v - high).max(0.0) - (low - v).max(0.0)) / scale / share
        })
    }

    /// A place in the boxes.
    pub fn within(&self, x: &mut [f64]) {
        for (x, free) in x.iter_mut().zip(&self.ask.free) {
            *x = x.clamp(free.from_mm, free.to_mm);
        }
    }
}

/// What the points of `free` move by, each once, those that do not move left out.
pub(super) fn moves(free: &[Free], x: &[f64]) -> Vec<(AxleName, PointName, Sides, nalgebra::Vector3<f64>)> {
    let mut all: Vec<(AxleName, PointName, Sides, nalgebra::Vector3<f64>)> = Vec::new();
    for (free, x) in free.iter().zip(x).filter(|(_, x)| **x != 0.0) {
        let shift = free.axis.unit() * *x;
        let same = |m: &&mut (AxleName, PointName, Sides, _)| (m.0, m.1, m.2) == (free.axle, free.point, free.side);
        match all.iter_mut().find(same) {
            Some(known) => known.3 += shift,
            None => all.push((free.axle, free.point, free.side, shift)),
        }
    }
    all
}

/// The inner wheel's steer angle at ride height with the steering moved, degrees.
pub(super) fn inner_steer(car: &Car, gear: &RunningGear, rack: f64) -> Option<f64> {
    let (axle, ride) = (&gear.front, &gear.ride.front);
    let wheels = gear.raise_axle(ride, [0.0; 2], rack).ok()?;
    let frame = Frame::new(car, axle, ride, &gear.ride.ground);
    let at = crate::motion::Standing { axle, wheels, ground: gear.ride.ground, frame: &frame };
    let [left, right] = Side::BOTH.map(|side| Quantity::Steer.of(&at, side));
    let (left, right) = (left?.to_degrees(), right?.to_degrees());
    // Steered left, the left wheel is the inner one.
    Some(if left + right >= 0.0 { left.abs() } else { right.abs() })
}

/// How far beyond its ends a number is; negative is within.
fn over(v: f64, [low, high]: [f64; 2]) -> f64 {
    (low - v).max(v - high)
}

/// What of a wish counts as one beside the others: half of what it may be, or else how far it is from that, but no less
/// than anybody would mind.
fn scale_of(wish: &Wish, now: &[f64], ends: &[[f64; 2]]) -> f64 {
    let least = match (wish, wish.measure()) {
        (Wish::Lock { .. }, _) => 1.0,
        (_, Measure::Angle) => 0.05,
        (_, Measure::Length) => 2.0,
        (_, Measure::Ratio) => 0.02,
        (_, Measure::Share) => 2.0,
    };
    let half = match wish.aim() {
        Aim::Between(low, high) => (high - low) / 2.0,
        Aim::Stays(by) => by,
        _ => now.iter().zip(ends).map(|(v, ends)| over(*v, *ends)).fold(0.0, f64::max),
    };
    half.max(least)
}

/// What a rate is told for: `25 mm of bump`.
pub(super) fn per_words(along: Along, shown: Shown) -> &'static str {
    crate::answer::alignment::step(along, shown).2
}
