//! Everything a wheel does in a sweep: its poses over travel and rack, and where among them a gap is least.

use nalgebra::{Vector2, Vector3};

use super::nearest::{Nearest, PROVEN_DEPTH};
use super::parts::{Parts, Place};
use crate::car::{Side, Sweep};
use crate::motion::{CornerPose, Front, OutOfReach};

/// Parts further apart than this in every pose are left out of the answers, mm.
pub const FAR: f64 = 150.0;
/// Gaps this much over the best found are still measured, mm: see [`WheelSweep::least`].
const ROOM: f64 = 60.0;
/// Poses along each of travel and rack.
const GRID: usize = 13;
/// A pose is refined until its travel and rack are this well known, mm.
const SETTLED: f64 = 0.01;

/// A wheel's poses over travel and rack.
#[derive(Debug, Clone)]
pub struct WheelSweep {
    /// Side of the car.
    pub side: Side,
    /// Travel and rack, least and most, mm.
    pub range: [Vector2<f64>; 2],
    /// The poses, with their (travel, rack).
    pub poses: Vec<(Vector2<f64>, CornerPose)>,
}

/// A least gap over a sweep, and the pose where it happens.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Least {
    /// The gap.
    pub nearest: Nearest,
    /// (travel, rack), mm.
    pub at: Vector2<f64>,
    /// The corner's pose.
    pub pose: CornerPose,
}

/// A sweep that the linkage cannot follow: the first pose that it cannot take.
#[derive(Debug, Clone, PartialEq)]
pub struct Unswept {
    /// Why.
    pub stop: OutOfReach,
    /// (travel, rack) of the sweep, least and most, mm.
    pub range: [Vector2<f64>; 2],
    /// (travel, rack) that was reached, mm.
    pub reached: Vector2<f64>,
}

impl WheelSweep {
    /// All poses of one wheel.
    ///
    /// # Errors
    /// [`Unswept`] where the linkage ends before the sweep does.
    pub fn new(front: &Front, side: Side, sweep: &Sweep, rack: f64) -> Result<Self, Unswept> {
        let range = [Vector2::new(-sweep.droop, -rack), Vector2::new(sweep.bump, rack)];
        let at = |i: usize, k: usize| {
            let part = |n: usize| n as f64 / (GRID - 1) as f64;
            range[0] + (range[1] - range[0]).component_mul(&Vector2::new(part(i), part(k)))
        };
        // From the middle outwards, so that each pose starts from its neighbour.
        let outwards = || (GRID / 2..GRID).chain((0..GRID / 2).rev());
        let raise = |from: &CornerPose, at: Vector2<f64>| {
            front.raise(side, from, at.x, at.y).map_err(|stop| {
                let reached = Vector2::new(stop.height - front.ride(side).wheel_centre.z, stop.rack);
                Unswept { stop, range, reached }
            })
        };
        let mut poses = Vec::with_capacity(GRID * GRID);
        let mut row_start = *front.ride(side);
        for k in outwards() {
            if k == GRID / 2 - 1 {
                row_start = *front.ride(side);
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
        Ok(Self { side, range, poses })
    }

    /// The pose nearest to a (travel, rack), to start from.
    fn near(&self, at: Vector2<f64>) -> &CornerPose {
        let off = |p: &Vector2<f64>| (p - at).norm_squared();
        let best = self.poses.iter().min_by(|a, b| off(&a.0).total_cmp(&off(&b.0)));
        &best.unwrap_or(&self.poses[0]).1
    }

    /// The pose at a (travel, rack) within the range; outside, at its edge.
    pub fn pose(&self, front: &Front, at: Vector2<f64>) -> Option<CornerPose> {
        let at = at.sup(&self.range[0]).inf(&self.range[1]);
        front.raise(self.side, self.near(at), at.x, at.y).ok()
    }

    /// The least gap of a pair over the sweep; None where it is never less than [`FAR`].
    ///
    /// The least of the grid's poses, then refined: steps to the better neighbour in travel or rack, halved where there
    /// is none.
    pub fn least(&self, front: &Front, parts: &Parts, pair: &Place) -> Option<Least> {
        let mut least: Option<Least> = None;
        let mut known = Known { still: pair.still(), reach: parts.reach(pair.a), gaps: Vec::new() };
        for (at, pose) in &self.poses {
            let best = least.map_or(FAR, |l| l.nearest.gap);
            // A pose whose gap cannot be less than the best is passed over. So that many can be, gaps are measured with
            // some room over the best; but not overlaps, whose depth is dear.
            let room = if best > 0.0 { ROOM } else { best * PROVEN_DEPTH };
            if known.at_least(pose) >= best {
                continue;
            }
            let found = parts.gap(pair, pose, best + room);
            known.gaps.push((pose.wheel_centre, pose.spin, found.map_or(best + room, |n| n.gap)));
            if let Some(nearest) = found.filter(|n| n.gap < best) {
                least = Some(Least { nearest, at: *at, pose: *pose });
            }
        }
        let mut least = least?;
        self.descend(least.at, |at| {
            let Some(pose) = self.pose(front, at) else { return false };
            let best = least.nearest.gap;
            let Some(nearest) = parts.gap(pair, &pose, best + best.min(0.0) * PROVEN_DEPTH) else { return false };
            least = Least { nearest, at, pose };
            true
        });
        // Measured once more as it is wherever this pose is shown, so that an overlap reads the same in both places.
        if let Some(nearest) = parts.gap(pair, &least.pose, FAR) {
            least.nearest = nearest;
        }
        Some(least)
    }

    /// Walks from a pose of the grid to the best one near it: `better` says whether a (travel, rack) beats all before.
    pub fn descend(&self, from: Vector2<f64>, mut better: impl FnMut(Vector2<f64>) -> bool) {
        let mut at = from;
        let mut step = (self.range[1] - self.range[0]) / (2.0 * (GRID - 1) as f64);
        while step.amax() > SETTLED {
            let tries = [(1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)];
            let mut moved = false;
            for (travel, rack) in tries {
                let next = at + step.component_mul(&Vector2::new(travel, rack));
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
