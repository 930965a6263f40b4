//! Everything that moves with a wheel in all poses of its sweep, so that what never comes near is passed over at one look.

use nalgebra::Vector3;

use super::apart::apart;
use super::moving::Bars;
use super::parts::{Parts, Place, Role};
use super::sweep::{Beside, Least, WheelSweep};
use crate::motion::RunningGear;

/// Where no bound is known of how far a part gets between the poses that are looked at, it is taken to be no more than
/// this, mm: they lie about 10 mm of travel apart (common practice, no source).
const BETWEEN: f64 = 25.0;

/// What moves with a wheel, in every pose of its sweep's grid.
pub struct Swept<'a> {
    gear: &'a RunningGear,
    parts: &'a Parts,
    sweep: &'a WheelSweep,
    /// By pose, then by part: none where a part cannot follow.
    bars: Vec<Vec<Option<Bars>>>,
    /// Corners of a box around each part in all poses, those between included.
    boxes: Vec<[Vector3<f64>; 2]>,
}

impl<'a> Swept<'a> {
    /// Of one wheel.
    pub fn new(gear: &'a RunningGear, parts: &'a Parts, sweep: &'a WheelSweep) -> Self {
        let moving = parts.moving(sweep.hub);
        let nowhere = [Vector3::repeat(f64::INFINITY), Vector3::repeat(f64::NEG_INFINITY)];
        let mut boxes = vec![nowhere; moving.len()];
        let half = sweep.half_step();
        let steering = if sweep.beside == Beside::Steering { half.y } else { 0.0 };
        let mut bars = Vec::with_capacity(sweep.poses.len());
        for (_, pose) in &sweep.poses {
            let axle = gear.of(pose);
            let leeway = axle.leeway(pose, half);
            let mut here = Vec::with_capacity(moving.len());
            for (part, [low, high]) in moving.iter().zip(&mut boxes) {
                let placed = part.bars(axle, pose);
                for (leg, bar) in part.legs.iter().zip(placed.iter().flat_map(|bars| bars.iter())) {
                    for (spot, at) in leg.ends.iter().zip([bar.a, bar.b]) {
                        let moves = leeway.as_ref().and_then(|l| Some(spot.leeway(axle, pose, l, steering)?.0));
                        let grown = bar.radius + moves.unwrap_or(BETWEEN);
                        *low = low.inf(&at.add_scalar(-grown));
                        *high = high.sup(&at.add_scalar(grown));
                    }
                }
                here.push(placed);
            }
            bars.push(here);
        }
        Self { gear, parts, sweep, bars, boxes }
    }

    /// Whether a pair without a tyre or rim may come near enough to be told of.
    pub fn may_meet(&self, pair: &Place) -> bool {
        let around = |role: Role| match role {
            Role::Moving(_, i) => Some(self.boxes[i]),
            Role::Body(i) => Some(self.parts.body[i].solid.around),
            _ => None,
        };
        let (Role::Moving(..), Some([low, high]), Some([from, to])) = (pair.a, around(pair.a), around(pair.b)) else {
            return true;
        };
        (low - to).sup(&(from - high)).sup(&Vector3::zeros()).norm() < pair.within
    }

    /// As [`WheelSweep::least`], which measures the pairs of tyres and rims.
    pub fn least(&self, pair: &Place) -> Option<Least> {
        let Role::Moving(_, i) = pair.a else { return self.sweep.least(self.gear, self.parts, pair) };
        if !self.may_meet(pair) {
            return None;
        }
        let mut least: Option<Least> = None;
        for ((at, pose), bars) in self.sweep.poses.iter().zip(&self.bars) {
            let best = least.map_or(pair.within, |l| l.nearest.gap);
            let Some(a) = &bars[i] else { continue };
            let found = match pair.b {
                Role::Moving(_, j) => bars[j].as_ref().and_then(|b| apart(a, b, best)),
                Role::Body(k) => apart(a, &*self.parts.body[k].solid, best),
                _ => None,
            };
            if let Some(nearest) = found {
                least = Some(Least { nearest, at: *at, pose: *pose });
            }
        }
        self.sweep.refine(self.gear, self.parts, pair, least?)
    }
}
