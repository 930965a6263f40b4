//! How far it steers each way before the first touch, and the rack limiter to fit.

mod curve;

use nalgebra::Vector2;
use rayon::prelude::*;
use serde::Serialize;

use super::Verdict;
use super::gaps::Gap;
use super::study::{BUDGET, SLACK, Study};
use super::words::{self, Told};
use crate::car::{AxleName, Hub, Shown, Side};
use crate::motion::{CornerPose, Quantity};
use crate::space::lock::{Touch, Turn};
use crate::space::{Place, WheelSweep};
pub use curve::{CurvePoint, CurveWay, LockCurve, Stretch};

/// Stands where the user decides.
pub const CAUTION: &str = "Check the lock by hand, wheels on, at full bump and droop, before driving: tyres grow and lean \
                           over, and a limiter that lets go jams the steering.";

/// How far it steers.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Lock {
    /// Clear where the rack's stops come first both ways and nothing had to be left out.
    pub verdict: Verdict,
    /// From straight ahead to the mechanical stop, each way.
    pub stop_mm: f64,
    /// Steering to the left, then to the right.
    pub ways: [LockWay; 2],
    /// Pairs that are short of their wanted gap with the wheels straight ahead already: no limiter helps there, so they
    /// do not count here.
    pub left_out: Vec<[String; 2]>,
    /// What else is to be known, of scans.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub notes: Vec<String>,
    /// Scans that may not lie where they should, each with why.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub beware: Vec<String>,
    /// What the proof of the ways, if one was asked for, lets a pair be short of its wanted gap.
    pub slack_mm: Option<f64>,
}

/// Steering one way.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LockWay {
    /// The way the wheels point.
    pub way: Side,
    /// At ride height.
    pub at_ride: Limit,
    /// The worst over the whole wheel travel.
    pub worst: Limit,
    /// Whether it is proven that no pose with less steering than the worst limit, by more than 0.05 mm of rack, has a pair
    /// short of its wanted gap by more than the slack.
    pub proven: bool,
    /// What to fit on the rack so that it stops there: the stop less the worst limit, rounded up to half a millimetre.
    pub limiter_mm: f64,
    /// Turning circle kerb to kerb with the rack at its mechanical stop.
    pub circle_at_stop_mm: Option<f64>,
    /// Turning circle kerb to kerb at the worst limit.
    pub circle_limited_mm: Option<f64>,
    /// Inner wheel's steer at the worst limit beyond what the outer one asks of it for rolling about one centre.
    pub ackermann_deg: Option<f64>,
}

/// Where steering ends.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Limit {
    /// Rack travel, positive to the car's left.
    pub rack_mm: f64,
    /// Left and right wheel's steer angle there, positive to the left.
    pub steer_deg: [f64; 2],
    /// The first touch; none where the rack's stop comes first.
    pub touch: Option<FirstTouch>,
}

/// What ends it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FirstTouch {
    /// The wheel's tyre or rim.
    pub a: String,
    /// What it reaches.
    pub b: String,
    /// The gap that was asked for between them.
    pub wanted_mm: f64,
    /// Wheel travel where it happens.
    pub travel_mm: f64,
    /// The wheel.
    pub wheel: Hub,
    /// The gap there.
    #[serde(flatten)]
    pub gap: Gap,
}

/// A wheel at the rack travel where it ends, and what ended it.
struct Ends {
    at_ride: Option<Touch>,
    worst: Option<Touch>,
    proven: bool,
    /// Pairs that only the proof found short straight ahead.
    more_left_out: Vec<Place>,
}

impl Study {
    /// How far it steers each way, as searched: fast enough while a point is dragged.
    pub fn lock(&self) -> Lock {
        self.lock_to(None)
    }

    /// How far it steers each way, proven to [`SLACK`] of gap, or corrected until it is; once, however often it is asked.
    pub fn proven_lock(&self) -> Lock {
        self.proven_lock.get_or_init(|| self.lock_to(Some(SLACK))).clone()
    }

    fn lock_to(&self, slack: Option<f64>) -> Lock {
        let stop = self.car.front.steering_travel().unwrap_or(0.0);
        let left_out = Side::BOTH.map(|side| self.short_straight_ahead(side));
        let ahead = self.rack_is_ahead();
        let ways: Vec<(LockWay, Vec<Place>)> = Side::BOTH
            .into_par_iter()
            .map(|way| {
                let sign = if ahead { way.sign() } else { -way.sign() };
                let ends: Vec<Ends> = Side::BOTH
                    .into_par_iter()
                    .map(|side| self.ends(side, sign * stop, &left_out[side as usize], slack))
                    .collect();
                let more = ends.iter().flat_map(|e| e.more_left_out.clone()).collect();
                (self.way(way, sign * stop, &ends), more)
            })
            .collect();
        let names = |p: &Place| [self.parts.name(p.a), self.parts.name(p.b)];
        let searched = left_out.iter().flat_map(|(_, sweep)| sweep);
        let mut left_out: Vec<_> = searched.chain(ways.iter().flat_map(|(_, more)| more)).map(names).collect();
        left_out.sort();
        left_out.dedup();
        let ways: [LockWay; 2] = [ways[0].0.clone(), ways[1].0.clone()];
        let short = ways.iter().any(|w| w.worst.touch.is_some()) || !left_out.is_empty();
        let verdict = if short { Verdict::Short } else { Verdict::Clear };
        let (notes, beware) = (self.notes.clone(), self.beware.clone());
        Lock { verdict, stop_mm: stop, ways, left_out, notes, beware, slack_mm: slack }
    }

    /// A rack ahead of the axle moves to the side the car steers to; one behind it the other way.
    fn rack_is_ahead(&self) -> bool {
        self.steer(&self.ride_with_rack(1.0)).iter().sum::<f64>() >= self.steer(&self.gear.ride.front).iter().sum()
    }

    /// Pairs of a wheel that are short straight ahead: at ride height, and anywhere in the wheel travel.
    fn short_straight_ahead(&self, side: Side) -> (Vec<Place>, Vec<Place>) {
        let hub = front(side);
        let sweep = self.sweep(hub);
        let short = |pair: &Place, pose: &CornerPose| self.parts.gap(&self.gear, pair, pose, pair.wanted).is_some();
        let straight = WheelSweep {
            hub,
            beside: sweep.beside,
            range: sweep.range.map(|r| Vector2::new(r.x, 0.0)),
            poses: sweep.poses.iter().filter(|(at, _)| at.y.abs() < 1e-9).copied().collect(),
        };
        let anywhere = |pair: &&Place| {
            let least = straight.least(&self.gear, &self.parts, pair);
            least.is_some_and(|l| l.nearest.gap < pair.wanted)
        };
        let all = self.tight(hub);
        let at_ride = all.iter().filter(|p| short(p, self.gear.ride(hub))).copied().collect();
        (at_ride, all.iter().filter(anywhere).copied().collect())
    }

    fn ends(&self, side: Side, stop: f64, left_out: &(Vec<Place>, Vec<Place>), slack: Option<f64>) -> Ends {
        let sweep = self.sweep(front(side));
        let tight = self.tight(front(side));
        let but =
            |all: &[Place], out: &[Place]| -> Vec<Place> { all.iter().filter(|p| !out.contains(p)).copied().collect() };
        let (at_ride, in_sweep) = (but(&tight, &left_out.0), but(&tight, &left_out.1));
        let mut ends = Ends {
            at_ride: self.turn(sweep, &at_ride, stop).first_touch(0.0),
            worst: self.turn(sweep, &in_sweep, stop).earliest(),
            proven: false,
            more_left_out: Vec::new(),
        };
        let Some(slack) = slack else { return ends };
        // A search may miss a pair altogether: the proof asks them all.
        let moving: Vec<Place> = self.parts.at_wheel(front(side)).iter().filter(|p| p.moves()).copied().collect();
        let ride = self.gear.ride(front(side));
        let clear_at_ride: Vec<Place> =
            moving.iter().filter(|p| self.parts.gap(&self.gear, p, ride, p.wanted).is_none()).copied().collect();
        ends.at_ride = self.turn(sweep, &clear_at_ride, stop).first_touch(0.0);
        let mut all = but(&moving, &left_out.1);
        ends.more_left_out = self.turn(sweep, &all, stop).short_straight_ahead(slack, BUDGET);
        if !ends.more_left_out.is_empty() {
            all.retain(|p| !ends.more_left_out.contains(p));
            ends.worst = self.turn(sweep, &but(&in_sweep, &ends.more_left_out), stop).earliest();
        }
        loop {
            let (worst, proven) = self.turn(sweep, &all, stop).prove(ends.worst, slack, BUDGET);
            match worst.filter(|touch| touch.rack == 0.0) {
                // Short straight ahead after all: it does not count, and the others are asked again.
                Some(Touch { pair, .. }) => {
                    all.retain(|p| *p != pair);
                    ends.more_left_out.push(pair);
                    let still: Vec<Place> = in_sweep.iter().filter(|p| all.contains(p)).copied().collect();
                    ends.worst = self.turn(sweep, &still, stop).earliest();
                }
                None => return Ends { worst, proven, ..ends },
            }
        }
    }

    fn turn<'a>(&'a self, sweep: &'a WheelSweep, pairs: &'a [Place], stop: f64) -> Turn<'a> {
        Turn { gear: &self.gear, parts: &self.parts, sweep, pairs, stop }
    }

    fn way(&self, way: Side, stop: f64, ends: &[Ends]) -> LockWay {
        let first = |pick: fn(&Ends) -> Option<Touch>| {
            ends.iter().filter_map(pick).min_by(|a, b| a.rack.abs().total_cmp(&b.rack.abs()))
        };
        let (at_ride, worst) = (self.limit(stop, first(|e| e.at_ride)), self.limit(stop, first(|e| e.worst)));
        let short_of_stop = stop.abs() - worst.rack_mm.abs();
        LockWay {
            way,
            proven: ends.iter().all(|e| e.proven),
            limiter_mm: (short_of_stop * 2.0).ceil() / 2.0,
            circle_at_stop_mm: self.turning(Quantity::TurningCircle, stop),
            circle_limited_mm: self.turning(Quantity::TurningCircle, worst.rack_mm),
            ackermann_deg: self.turning(Quantity::Ackermann, worst.rack_mm).map(f64::to_degrees),
            at_ride,
            worst,
        }
    }

    fn limit(&self, stop: f64, touch: Option<Touch>) -> Limit {
        let rack = touch.map_or(stop, |t| t.rack);
        let steer_deg = self.steer(&self.ride_with_rack(rack)).map(f64::to_degrees);
        let touch = touch.map(|t| FirstTouch {
            a: self.parts.name(t.pair.a),
            b: self.parts.name(t.pair.b),
            wanted_mm: t.pair.wanted,
            travel_mm: t.travel,
            wheel: t.pair.a.hub().unwrap_or(front(Side::Left)),
            gap: Gap::of(&t.pair, &t.nearest),
        });
        Limit { rack_mm: rack, steer_deg, touch }
    }

    /// Both corners at ride height with the rack moved. The sweep has been there, so it can be reached.
    fn ride_with_rack(&self, rack: f64) -> [CornerPose; 2] {
        Side::BOTH.map(|side| {
            let hub = front(side);
            self.sweep(hub).pose(&self.gear, Vector2::new(0.0, rack)).unwrap_or(*self.gear.ride(hub))
        })
    }

    /// Steer angles of both wheels, radians.
    fn steer(&self, wheels: &[CornerPose; 2]) -> [f64; 2] {
        let standing = self.standing(AxleName::Front, *wheels, self.gear.ride.ground);
        Side::BOTH.map(|side| standing.and_then(|s| Quantity::Steer.of(&s, side)).unwrap_or(f64::NAN))
    }

    /// A quantity of the steered axle at ride height with the rack moved.
    fn turning(&self, quantity: Quantity, rack: f64) -> Option<f64> {
        let standing = self.standing(AxleName::Front, self.ride_with_rack(rack), self.gear.ride.ground)?;
        quantity.of(&standing, Side::Left)
    }
}

/// A front wheel.
fn front(side: Side) -> Hub {
    Hub { axle: AxleName::Front, side }
}

impl Told for Lock {
    fn sentence(&self, shown: Shown) -> String {
        words::beware(self.says(shown), &self.beware)
    }
}

impl Lock {
    /// What it does not count, as the end of a sentence; empty where it counts everything.
    pub(super) fn but(&self) -> String {
        match self.left_out.len() {
            0 => String::new(),
            1 => ", leaving out a pair that is too near straight ahead already".to_owned(),
            n => format!(", leaving out {n} pairs that are too near straight ahead already"),
        }
    }

    fn says(&self, shown: Shown) -> String {
        let [left, right] = &self.ways;
        let inner = |w: &LockWay| w.worst.steer_deg[w.way as usize].abs();
        let angles = format!("{:.1} deg left and {:.1} deg right", inner(left), inner(right));
        let but = self.but();
        let Some(tight) =
            self.ways.iter().filter(|w| w.worst.touch.is_some()).max_by(|a, b| a.limiter_mm.total_cmp(&b.limiter_mm))
        else {
            return format!("Steers {angles} at the inner wheel: the rack's own stops come first{but}.");
        };
        let touch = tight.worst.touch.as_ref();
        let what = touch.map_or_else(String::new, |t| {
            let (verb, at) =
                (if t.wanted_mm > 0.0 { "comes too near" } else { "meets" }, words::travel(t.travel_mm, shown));
            format!("the {} {verb} the {} at {at}", t.a, t.b)
        });
        let limiter = |w: &LockWay| shown.length(w.limiter_mm);
        let fit = if (left.limiter_mm - right.limiter_mm).abs() < 0.25 {
            format!("fit a {} limiter each way", limiter(left))
        } else if left.limiter_mm == 0.0 || right.limiter_mm == 0.0 {
            format!("fit a {} limiter to the {}", limiter(tight), tight.way.word())
        } else {
            format!("fit limiters of {} to the left and {} to the right", limiter(left), limiter(right))
        };
        format!("Steers {angles} at the inner wheel before {what}: {fit}{but}.")
    }
}
