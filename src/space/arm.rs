//! The shape of an arm of two legs: bends, a tube across and a gusset, as places that ride on the arm.

use nalgebra::Vector3;

use super::moving::{Leg, OnArm, Plate, Spot};
use crate::car::arm::{ArmShape, Bend};
use crate::car::axle::{Axle, Tube};
use crate::car::{PointName, Side};

/// The legs of an arm, the ball around its outer joint, and its gusset.
pub(super) fn legs(axle: &Axle, points: [PointName; 3], tube: Tube, shape: &ArmShape) -> (Vec<Leg>, Option<Plate>) {
    let [front, rear, joint] = points;
    let (radius, ball) = (tube.od / 2.0, axle.arms.joint / 2.0);
    let straight = |pickup| vec![Leg { ends: [Spot::At(pickup), Spot::At(joint)], radius }];
    let ball = Leg { ends: [Spot::At(joint); 2], radius: ball };
    let measured = |side| match points.map(|name| axle.point(side, name)) {
        [Some(front), Some(rear), Some(joint)] if !shape.is_plain() => Plan::new([front, rear, joint]),
        _ => None,
    };
    let [left, right] = Side::BOTH.map(measured);
    // The numbers are the left arm's. Where the right one is narrower, its places turn further by as much.
    let plan = left.zip(right).map(|(left, right)| Plan { height: left.height.min(right.height), ..left });
    let Some(plan) = plan else {
        let legs = straight(front).into_iter().chain(straight(rear)).chain([ball]);
        return (legs.collect(), None);
    };
    let spot = |place| Spot::OnArm(plan.ride(points, place));
    let bends = [shape.front_bend, shape.rear_bend];
    let mut legs = Vec::new();
    for (leg, pickup) in [front, rear].into_iter().enumerate() {
        match bends[leg] {
            Some(bend) => {
                let corner = spot(plan.bend(leg, bend));
                legs.push(Leg { ends: [Spot::At(pickup), corner], radius });
                legs.push(Leg { ends: [corner, Spot::At(joint)], radius });
            }
            None => legs.extend(straight(pickup)),
        }
    }
    let across = |at: f64| [0, 1].map(|leg| spot(plan.along(leg, bends[leg], at)));
    legs.extend(shape.cross.map(|at| Leg { ends: across(at), radius }));
    let plate = shape.gusset.map(|gusset| {
        let [one, other] = across(gusset.reach);
        let radius = gusset.thickness / 2.0;
        legs.push(Leg { ends: [one, other], radius });
        Plate { corners: [Spot::At(joint), one, other], radius }
    });
    legs.push(ball);
    (legs, plate)
}

/// A place of an arm: from the ball joint so many times to the front pickup and to the rear one, so far up, mm, square to
/// both.
type Place = [f64; 3];

/// An arm's triangle as measured.
struct Plan {
    /// Lengths of the straight lines from the ball joint to the pickups, mm.
    lengths: [f64; 2],
    /// The share of each leg's line at which the other pickup stands squarely beside it, and how far off, mm.
    beside: [(f64, f64); 2],
    /// The ball joint from the line through both pickups, mm.
    height: f64,
}

impl Plan {
    /// None where the three lie on one line.
    fn new([front, rear, joint]: [Vector3<f64>; 3]) -> Option<Self> {
        let legs = [front - joint, rear - joint];
        let twice_area = legs[0].cross(&legs[1]).norm();
        let base = (front - rear).norm();
        if twice_area < 1.0 || base < 1.0 {
            return None;
        }
        let lengths = legs.map(|leg| leg.norm());
        let share = |leg: usize| legs[1 - leg].dot(&legs[leg]) / legs[leg].norm_squared();
        let beside = [0, 1].map(|leg| (share(leg), twice_area / lengths[leg]));
        Some(Self { lengths, beside, height: twice_area / base })
    }

    fn bend(&self, leg: usize, bend: Bend) -> Place {
        let (share, off) = self.beside[leg];
        let mut place = [0.0, 0.0, bend.up];
        // Square to the leg in the plane is to the other pickup, less what that goes along the leg.
        let times = bend.inward / off;
        place[leg] = bend.at / self.lengths[leg] - times * share;
        place[1 - leg] = times;
        place
    }

    /// On a leg's axis, where a square to its straight line meets it, mm from the joint.
    fn along(&self, leg: usize, bend: Option<Bend>, at: f64) -> Place {
        let mut pickup = [0.0; 3];
        pickup[leg] = 1.0;
        let (from, to, share) = match bend {
            Some(bend) if at <= bend.at => ([0.0; 3], self.bend(leg, bend), at / bend.at),
            Some(bend) => (self.bend(leg, bend), pickup, (at - bend.at) / (self.lengths[leg] - bend.at)),
            None => ([0.0; 3], pickup, at / self.lengths[leg]),
        };
        [0, 1, 2].map(|i| from[i] + (to[i] - from[i]) * share)
    }

    fn ride(&self, [front, rear, joint]: [PointName; 3], [u, v, up]: Place) -> OnArm {
        // The arm turns about the line through its pickups, so places move as they are far from it; on the wider of two arms
        // no further than this.
        let moves = ((1.0 - u - v) * self.height).hypot(up) / self.height;
        OnArm { front, rear, joint, place: [u, v, up], moves }
    }
}
