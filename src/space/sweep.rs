//! Everything a wheel does in a sweep, and where in it a gap is least.
//!
//! A wheel has two ways to move: its travel, and beside it what else moves it. That is the steering, or on a stiff axle
//! the other wheel's travel, or nothing. A place in the sweep is those two numbers.

use nalgebra::{Vector2, Vector3};

use super::nearest::{Nearest, known_to};
use super::parts::{Parts, Place, Role};
use crate::car::{Hub, Sweep};
use crate::motion::{CornerPose, OutOfReach, RunningGear};

/// Parts further apart than this in every pose are left out of the answers, mm.
pub const FAR: f64 = 150.0;
/// Gaps this much over the best found are still measured, mm: see [`WheelSweep::least`].
const ROOM: f64 = 60.0;
/// Poses along each of the two ways.
const GRID: usize = 13;
/// A pose is refined until both numbers are this well known, mm.
const SETTLED: f64 = 0.01;

/// A wheel's poses over its sweep.
#[derive(Debug, Clone)]
pub struct WheelSweep {
    /// The wheel.
    pub hub: Hub,
    /// What moves it beside its own travel.
    pub beside: Beside,
    /// Least and most of (travel, beside), mm.
    pub range: [Vector2<f64>; 2],
    /// The poses, with their (travel, beside).
    pub poses: Vec<(Vector2<f64>, CornerPose)>,
}

/// What moves a wheel beside its own travel.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Beside {
    /// The steering.
    Steering,
    /// The travel of the other wheel, on a stiff axle.
    OtherWheel,
    /// Nothing.
    Nothing,
}

/// A least gap over a sweep, and the pose where it happens.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Least {
    /// The gap.
    pub nearest: Nearest,
    /// (travel, beside), mm.
    pub at: Vector2<f64>,
    /// The corner's pose.
    pub pose: CornerPose,
}

/// A sweep that the linkage cannot follow: the first pose that it cannot take.
#[derive(Debug, Clone, PartialEq)]
pub struct Unswept {
    /// The wheel that was swept.
    pub hub: Hub,
    /// (travel, beside) that could not be reached, mm.
    pub asked: Vector2<f64>,
    /// Why.
    pub stop: OutOfReach,
    /// (travel, beside) of the sweep, least and most, mm.
    pub range: [Vector2<f64>; 2],
    /// (travel, beside) that was reached, mm.
    pub reached: Vector2<f64>,
    /// What moves the wheel beside its own travel.
    pub beside: Beside,
}

impl WheelSweep {
    /// All poses of one wheel.
    ///
    /// # Errors
    /// [`Unswept`] where the linkage ends before the sweep does.
    pub fn new(gear: &RunningGear, hub: Hub, sweep: &Sweep, steering: f64) -> Result<Self, Unswept> {
        let ride = *gear.ride(hub);
        let axle = gear.of(&ride);
        let [bump, droop] = sweep.travel(hub.axle);
        let (beside, aside) = match (axle.independent(), axle.steers()) {
            (false, _) => (Beside::OtherWheel, [-droop, bump]),
            (true, true) => (Beside::Steering, [-steering, steering]),
            (true, false) => (Beside::Nothing, [0.0, 0.0]),
        };
        let range = [Vector2::new(-droop, aside[0]), Vector2::new(bump, aside[1])];
        let at = |i: usize, k: usize| {
            let part = |n: usize| n as f64 / (GRID - 1) as f64;
            range[0] + (range[1] - range[0]).component_mul(&Vector2::new(part(i), part(k)))
        };
        // From the middle outwards, so that each pose starts from its neighbour.
        let outwards = || (GRID / 2..GRID).chain((0..GRID / 2).rev());
        let raise = |from: &CornerPose, at: Vector2<f64>| {
            gear.raise(from, at).map_err(|stop| {
                let reached = Vector2::new(stop.height - gear.ride(stop.hub).wheel_centre.z, stop.rack);
                Unswept { stop, hub, asked: at, range, reached, beside }
            })
        };
        let mut poses = Vec::with_capacity(GRID * GRID);
        let mut row_start = ride;
        let rows = |k: &usize| beside != Beside::Nothing || *k == GRID / 2;
        for k in outwards().filter(rows) {
            if k == GRID / 2 - 1 {
                row_start = ride;
            }
            row_start = raise(&row_start, at(GRID / 2, k))?;
            let mut last = row_start;
            for i in outwards() {
                if i == GRID / 2 - 1 {
                    last = row_start;
                }
                last = raise(&last, at(i, k))?;
                poses.push((at(i, k), last));
            }
        }
        // Extremes first: that is where gaps are least, and a small gap found early spares the search in other poses.
        let middle = (range[0] + range[1]) / 2.0;
        let out = |at: &Vector2<f64>| (at - middle).component_div(&(range[1] - range[0]).add_scalar(1e-9)).norm();
        poses.sort_by(|a, b| out(&b.0).total_cmp(&out(&a.0)));
        Ok(Self { hub, beside, range, poses })
    }

    /// The pose nearest to a place of the sweep, to start from.
    fn near(&self, at: Vector2<f64>) -> &CornerPose {
        let off = |p: &Vector2<f64>| (p - at).norm_squared();
        let best = self.poses.iter().min_by(|a, b| off(&a.0).total_cmp(&off(&b.0)));
        &best.unwrap_or(&self.poses[0]).1
    }

    /// The pose at a (travel, beside) within the range; outside, at its edge.
    pub fn pose(&self, gear: &RunningGear, at: Vector2<f64>) -> Option<CornerPose> {
        let at = at.sup(&self.range[0]).inf(&self.range[1]);
        gear.raise(self.near(at), at).ok()
    }

    /// Half of what lies between neighbouring poses, (travel, beside), mm.
    pub(super) fn half_step(&self) -> Vector2<f64> {
        (self.range[1] - self.range[0]) / (2.0 * (GRID - 1) as f64)
    }

    /// The least gap of a pair over the sweep; None where it is never less than what it is told within.
    ///
    /// The least of the grid's poses, then refined: steps to the better neighbour either way, halved where there
    /// is none.
    pub fn least(&self, gear: &RunningGear, parts: &Parts, pair: &Place) -> Option<Least> {
        if let Role::Caliper(_) = pair.b {
            // Alike in every pose.
            let pose = *gear.ride(self.hub);
            let nearest = parts.gap(gear, pair, &pose, FAR)?;
            return Some(Least { nearest, at: Vector2::zeros(), pose });
        }
        let mut least: Option<Least> = None;
        let mut known = Known { still: pair.still(), reach: parts.reach(pair.a), gaps: Vec::new() };
        for (at, pose) in &self.poses {
            let best = least.map_or(pair.within, |l| l.nearest.gap);
            // A pose whose gap cannot be less than the best is passed over. So that many can be, gaps are measured with
            // some room over the best; but not overlaps, whose depth is dear.
            let room = if best > 0.0 { ROOM } else { -known_to(best) };
            if known.at_least(pose) >= best {
                continue;
            }
            let found = parts.gap(gear, pair, pose, best + room);
            known.gaps.push((pose.wheel_centre, pose.spin, found.map_or(best + room, |n| n.gap)));
            if let Some(nearest) = found.filter(|n| n.gap < best) {
                least = Some(Least { nearest, at: *at, pose: *pose });
            }
        }
        self.refine(gear, parts, pair, least?)
    }

    /// The least gap of a pair near a pose.
    pub(super) fn refine(&self, gear: &RunningGear, parts: &Parts, pair: &Place, from: Least) -> Option<Least> {
        let mut least = from;
        self.descend(least.at, |at| {
            let Some(pose) = self.pose(gear, at) else { return false };
            let best = least.nearest.gap;
            let Some(nearest) = parts.gap(gear, pair, &pose, best - if best < 0.0 { known_to(best) } else { 0.0 })
            else {
                return false;
            };
            least = Least { nearest, at, pose };
            true
        });
        // Measured once more as it is wherever this pose is shown, so that an overlap reads the same in both places.
        if let Some(nearest) = parts.gap(gear, pair, &least.pose, FAR) {
            least.nearest = nearest;
        }
        Some(least)
    }

    /// The same least gap nearer to ride height, where it is alike there: a part that hardly moves against another has its
    /// least gap in many poses, and any of them is as good as the one that a search came by.
    pub fn homeward(&self, gear: &RunningGear, parts: &Parts, pair: &Place, least: Least) -> Least {
        let alike = least.nearest.gap + 2.0 * known_to(least.nearest.gap);
        let there = |at: Vector2<f64>| {
            let pose = self.pose(gear, at)?;
            Some(Least { nearest: parts.gap(gear, pair, &pose, alike)?, at, pose })
        };
        let nearer = [Vector2::zeros(), Vector2::new(least.at.x, 0.0), Vector2::new(0.0, least.at.y)];
        nearer.into_iter().filter(|at| *at != least.at).find_map(there).unwrap_or(least)
    }

    /// Walks from a pose of the grid to the best one near it: `better` says whether a (travel, beside) beats all before.
    pub fn descend(&self, from: Vector2<f64>, mut better: impl FnMut(Vector2<f64>) -> bool) {
        let mut at = from;
        let mut step = self.half_step();
        while step.amax() > SETTLED {
            let tries = [(1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)];
            let mut moved = false;
            for (travel, beside) in tries {
                let next = at + step.component_mul(&Vector2::new(travel, beside));
                let next = next.sup(&self.range[0]).inf(&self.range[1]);
                if next != at && better(next) {
                    at = next;
                    moved = true;
                }
            }
            if !moved {
                step /= 2.0;
            }
        }
    }
}

/// Gaps measured so far between a ring and something that stands still, by the ring's places.
struct Known {
    still: bool,
    reach: f64,
    gaps: Vec<(Vector3<f64>, Vector3<f64>, f64)>,
}

impl Known {
    /// What the gap in another pose is at least: no point of a ring moves further than its centre does, and its axis
    /// turns it.
    fn at_least(&self, pose: &CornerPose) -> f64 {
        if !self.still {
            return f64::NEG_INFINITY;
        }
        let moved = |centre: &Vector3<f64>, spin: &Vector3<f64>| {
            (pose.wheel_centre - centre).norm() + (pose.spin - spin).norm() * self.reach
        };
        self.gaps.iter().map(|(centre, spin, gap)| gap - moved(centre, spin)).fold(f64::NEG_INFINITY, f64::max)
    }
}
