//! How far it steers at every ride position: the rack at first touch against wheel travel, and which pair it is.
//!
//! Between places with different pairs the travel is halved until the change is known to [`KNOWN`]; so a pair that limits
//! only a short stretch between two others is found where they are.

use rayon::prelude::*;
use serde::Serialize;

use super::{FirstTouch, Limit, Lock, front};
use crate::answer::Verdict;
use crate::answer::study::Study;
use crate::answer::words::{self, Told};
use crate::car::{Shown, Side};
use crate::space::lock::{RACK_KNOWN, Touch};
use crate::space::{Place, Role};

mod svg;

/// Where along the travel another pair begins to limit is known to this, mm.
pub const KNOWN: f64 = 0.05;
/// Places along the travel, before those in between are looked for.
const ALONG: usize = 33;

/// The rack at first touch over the wheel travel.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LockCurve {
    /// Clear where the rack's stops come first everywhere.
    pub verdict: Verdict,
    /// The car's name, and the proposal that was made of it.
    #[serde(skip)]
    pub car: String,
    /// From straight ahead to the mechanical stop, each way.
    pub stop_mm: f64,
    /// Steering to the left, then to the right.
    pub ways: [CurveWay; 2],
    /// Pairs that are short of their wanted gap with the wheels straight ahead already, so that they do not count here.
    pub left_out: Vec<[String; 2]>,
    /// What else is to be known, of scans.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub notes: Vec<String>,
    /// Scans that may not lie where they should, each with why.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub beware: Vec<String>,
}

/// Steering one way.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CurveWay {
    /// The way the wheels point.
    pub way: Side,
    /// From full droop to full bump.
    pub points: Vec<CurvePoint>,
    /// Stretches of travel with one limit each, from full droop to full bump.
    pub stretches: Vec<Stretch>,
    /// The worst over the whole travel, as `lock` tells it.
    pub worst: Limit,
}

/// Where steering ends at a wheel travel, both front wheels there alike.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CurvePoint {
    /// Wheel travel from ride height, bump positive.
    pub travel_mm: f64,
    /// Rack travel, positive to the car's left.
    pub rack_mm: f64,
    /// Left and right wheel's steer angle there, positive to the left.
    pub steer_deg: [f64; 2],
    /// The first touch; none where the rack's stop comes first.
    pub touch: Option<FirstTouch>,
}

/// A stretch of travel in which one pair, or the rack's stop, ends the steering.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Stretch {
    /// Its lower end, wheel travel.
    pub from_mm: f64,
    /// Its upper end.
    pub to_mm: f64,
    /// The pair; none for the rack's stop.
    pub pair: Option<[String; 2]>,
    /// Its point with the least rack travel, by its place in [`CurveWay::points`].
    pub tightest: usize,
}

/// A place along the travel, and what comes first there.
#[derive(Clone, Copy)]
struct Sample {
    travel: f64,
    touch: Option<Touch>,
}

impl Sample {
    fn limit(&self) -> Option<(Role, Role)> {
        self.touch.map(|t| (t.pair.a, t.pair.b))
    }
}

impl Study {
    /// The rack at first touch at every wheel travel, as searched.
    pub fn lock_curve(&self) -> LockCurve {
        self.lock_curve_of(self.lock())
    }

    /// The same, with its worst proven, or corrected until it is.
    pub fn proven_lock_curve(&self) -> LockCurve {
        self.lock_curve_of(self.proven_lock())
    }

    fn lock_curve_of(&self, lock: Lock) -> LockCurve {
        let stop = self.car.front.steering_travel().unwrap_or(0.0);
        let names = |p: &Place| [self.parts.name(p.a), self.parts.name(p.b)];
        let counts = |p: &Place| !lock.left_out.contains(&names(p));
        // What limits anywhere: what is tight somewhere in the sweep, and what a proof found beside it.
        let proven: Vec<[String; 2]> =
            lock.ways.iter().filter_map(|w| w.worst.touch.as_ref()).map(|t| [t.a.clone(), t.b.clone()]).collect();
        let pairs = Side::BOTH.map(|side| {
            let mut pairs: Vec<Place> = self.tight(front(side)).into_iter().filter(|p| counts(p)).collect();
            let beside = self.parts.at_wheel(front(side)).iter().filter(|p| proven.contains(&names(p)));
            let beside: Vec<Place> = beside.filter(|p| !pairs.contains(p)).copied().collect();
            pairs.extend(beside);
            pairs
        });
        let ahead = self.rack_is_ahead();
        let ways = lock.ways.clone().map(|way| {
            let sign = if ahead { way.way.sign() } else { -way.way.sign() };
            self.curve_way(way.way, sign * stop, &pairs, way.worst)
        });
        let touches = ways.iter().any(|w| w.points.iter().any(|p| p.touch.is_some()));
        let verdict = if touches || !lock.left_out.is_empty() { Verdict::Short } else { Verdict::Clear };
        let Lock { left_out, notes, beware, .. } = lock;
        LockCurve { verdict, car: self.car.titled(), stop_mm: stop, ways, left_out, notes, beware }
    }

    fn curve_way(&self, way: Side, stop: f64, pairs: &[Vec<Place>; 2], mut worst: Limit) -> CurveWay {
        let at = |travel: f64| {
            let of = |side: Side| self.turn(self.sweep(front(side)), &pairs[side as usize], stop).first_touch(travel);
            let first = Side::BOTH.into_iter().filter_map(of).min_by(|a, b| a.rack.abs().total_cmp(&b.rack.abs()));
            Sample { travel, touch: first }
        };
        let [low, high] = self.sweep(front(Side::Left)).range.map(|r| r.x);
        let mut travels: Vec<f64> = (0..ALONG).map(|i| low + (high - low) * i as f64 / (ALONG - 1) as f64).collect();
        let worst_at = worst.touch.as_ref().map(|t| t.travel_mm);
        travels.extend(worst_at);
        travels.sort_by(f64::total_cmp);
        travels.dedup();
        let samples: Vec<Sample> = travels.into_par_iter().map(at).collect();
        let between = |pair: &[Sample]| {
            let mut found = vec![pair[0]];
            changes(&at, &pair[0], &pair[1], &mut found);
            found
        };
        let mut all: Vec<Sample> = samples.par_windows(2).flat_map_iter(between).collect();
        all.extend(samples.last().copied());
        let mut points: Vec<CurvePoint> = all.iter().map(|s| self.curve_point(stop, s)).collect();
        // The worst as it was searched or proven: found by halving another interval, a hair from this one.
        for point in points.iter_mut().filter(|p| Some(p.travel_mm) == worst_at) {
            let off = point.rack_mm.abs() - worst.rack_mm.abs();
            if off.abs() <= 2.0 * RACK_KNOWN {
                (point.rack_mm, point.touch) = (worst.rack_mm, worst.touch.clone());
            }
        }
        let stretches = stretches(&points);
        let least = |p: &&CurvePoint| p.rack_mm.abs();
        let tightest = points.iter().min_by(|a, b| least(a).total_cmp(&least(b)));
        // A sample that no search came by.
        if let Some(p) = tightest.filter(|p| p.rack_mm.abs() < worst.rack_mm.abs() - 2.0 * RACK_KNOWN) {
            let steer_deg = self.steer(&self.ride_with_rack(p.rack_mm)).map(f64::to_degrees);
            worst = Limit { rack_mm: p.rack_mm, steer_deg, touch: p.touch.clone() };
        }
        CurveWay { way, points, stretches, worst }
    }

    fn curve_point(&self, stop: f64, sample: &Sample) -> CurvePoint {
        let limit = self.limit(stop, sample.touch);
        let at = nalgebra::Vector2::new(sample.travel, limit.rack_mm);
        let wheels = Side::BOTH.map(|side| {
            let hub = front(side);
            self.sweep(hub).pose(&self.gear, at).unwrap_or(*self.gear.ride(hub))
        });
        let steer_deg = self.steer(&wheels).map(f64::to_degrees);
        CurvePoint { travel_mm: sample.travel, rack_mm: limit.rack_mm, steer_deg, touch: limit.touch }
    }
}

/// The places between two at which what comes first changes, each closed in on by halving.
fn changes(at: &impl Fn(f64) -> Sample, low: &Sample, high: &Sample, found: &mut Vec<Sample>) {
    if low.limit() == high.limit() || high.travel - low.travel <= KNOWN {
        return;
    }
    let middle = at((low.travel + high.travel) / 2.0);
    changes(at, low, &middle, found);
    found.push(middle);
    changes(at, &middle, high, found);
}

fn stretches(points: &[CurvePoint]) -> Vec<Stretch> {
    let mut all: Vec<Stretch> = Vec::new();
    for (n, point) in points.iter().enumerate() {
        let pair = point.touch.as_ref().map(|t| [t.a.clone(), t.b.clone()]);
        match all.last_mut() {
            Some(open) if open.pair == pair => {
                open.to_mm = point.travel_mm;
                if point.rack_mm.abs() < points[open.tightest].rack_mm.abs() {
                    open.tightest = n;
                }
            }
            last => {
                let mut from_mm = point.travel_mm;
                if let Some(before) = last {
                    from_mm = (before.to_mm + from_mm) / 2.0;
                    before.to_mm = from_mm;
                }
                all.push(Stretch { from_mm, to_mm: point.travel_mm, pair, tightest: n });
            }
        }
    }
    all
}

impl CurveWay {
    /// The angle of the wheel that turns furthest in a curve to this side, degrees.
    pub fn inner(&self, point: &CurvePoint) -> f64 {
        point.steer_deg[self.way as usize].abs()
    }

    /// The part of the travel, 0 to 1, in which a pair ends the steering before the rack's stop does.
    pub fn touching_share(&self) -> f64 {
        let length = |s: &Stretch| s.to_mm - s.from_mm;
        let limited: f64 = self.stretches.iter().filter(|s| s.pair.is_some()).map(length).sum();
        limited / self.stretches.iter().map(length).sum::<f64>().max(1e-9)
    }
}

impl LockCurve {
    /// `Dunlin, "low and wide": lock, how far the rack goes at each wheel travel`.
    pub fn title(&self) -> String {
        format!("{}: lock, how far the rack goes at each wheel travel", self.car)
    }
}

impl Told for LockCurve {
    fn sentence(&self, shown: Shown) -> String {
        let stop = shown.length(self.stop_mm);
        let told = self.ways.each_ref().map(|way| {
            let to = way.way.word();
            let Some(touch) = &way.worst.touch else {
                return format!("Steering {to} the rack goes all its {stop} to the stop at every wheel travel");
            };
            let verb = if touch.wanted_mm > 0.0 { "comes too near" } else { "meets" };
            let at = words::travel(touch.travel_mm, shown);
            let rack = shown.length(way.worst.rack_mm.abs());
            let free = 1.0 - way.touching_share();
            let rest = match free {
                f if f < 0.005 => "it reaches its stop at no travel".to_owned(),
                f => format!("it reaches its stop in {:.0} % of the travel", (f * 100.0).max(1.0)),
            };
            format!(
                "Steering {to} the rack goes {rack} of its {stop} before the {} {verb} the {}, at {at}; {rest}",
                touch.a, touch.b
            )
        });
        let out = match self.left_out.len() {
            0 => String::new(),
            1 => " A pair that is too near straight ahead already is left out.".to_owned(),
            n => format!(" {n} pairs that are too near straight ahead already are left out."),
        };
        let told = if self.ways.iter().all(|way| way.worst.touch.is_none()) {
            format!("The rack goes all its {stop} to the stop, either way, at every wheel travel.")
        } else {
            format!("{}. {}.", told[0], told[1])
        };
        words::beware(told + &out, &self.beware)
    }
}
