//! An arm between its pickups and its outer end: its legs, and how it is bent by what is mounted between.

use nalgebra::Vector3;

use super::statics::{Push, Rule};
use super::{JointForce, Kind, Member, Part};
use crate::car::axle::Arms;
use crate::car::{PointName, Side};

/// How an arm is bent at one place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bending {
    /// `lower arm`, `trailing arm`, `strut`.
    pub part: &'static str,
    /// Its side.
    pub side: Side,
    /// Where.
    pub at: PointName,
    /// Of the whole arm, about the line through that place (its foot in the arm's plane) along the line through the
    /// pickups, on the side of the place that has more; of a strut, about any line across it. N mm, never negative.
    pub moment: f64,
    /// What of it the front and the rear leg have, on the pickups' side of the innermost mount, N mm; none of an arm
    /// without legs, or at a mount further out.
    pub legs: Option<[f64; 2]>,
}

/// An arm in a pose.
pub(super) struct Arm {
    pub part: Part,
    pub side: Side,
    /// Two pickups and the outer end.
    pub points: [PointName; 3],
    pub at: [Vector3<f64>; 3],
}

/// What acts on an arm.
#[derive(Clone, Copy)]
pub(super) struct Mounted {
    pub point: PointName,
    pub at: Vector3<f64>,
    pub force: Vector3<f64>,
    pub moment: Vector3<f64>,
}

impl Arm {
    /// Whether it is two legs that meet at a ball joint.
    pub fn has_legs(&self) -> bool {
        matches!(self.part, Part::LowerArm(_) | Part::UpperArm(_))
    }

    fn word(&self) -> &'static str {
        match self.part {
            Part::LowerArm(_) => "lower arm",
            Part::UpperArm(_) => "upper arm",
            _ => "trailing arm",
        }
    }

    /// Along the pickups, and each leg's direction to the ball joint.
    fn directions(&self) -> (Vector3<f64>, [Vector3<f64>; 2]) {
        let [a, b, c] = self.at;
        ((b - a).normalize(), [(c - a).normalize(), (c - b).normalize()])
    }

    /// What a force on the arm at its ball joint pulls its legs with, as two rods; what is square to both pulls
    /// neither.
    fn pulled(&self, force: Vector3<f64>) -> [f64; 2] {
        let (_, [front, rear]) = self.directions();
        let square = front.cross(&rear);
        [force.cross(&rear).dot(&square), front.cross(&force).dot(&square)].map(|v| v / square.norm_squared())
    }

    /// How the pickups share along the line through both: see [`super`].
    pub fn rule(&self, pushes: &[Push]) -> Rule {
        let (along, [front, _]) = self.directions();
        let times = pushes.iter().enumerate().filter_map(|(i, push)| {
            let sign = match (push.on == self.part, push.by == self.part) {
                (true, _) => 1.0,
                (_, true) => -1.0,
                _ => return None,
            };
            let force = push.force * sign;
            let share = if push.at == self.at[0] {
                force.dot(&along)
            } else if push.at == self.at[1] {
                0.0
            } else if push.at == self.at[2] {
                self.pulled(force)[0] * front.dot(&along)
            } else {
                force.dot(&along) / 2.0
            };
            Some((i, share))
        });
        Rule { times: times.collect(), together: 0.0 }
    }

    /// Its two legs as members.
    pub fn legs(&self, loads: &[Mounted], arms: &Arms) -> Vec<Member> {
        if !self.has_legs() {
            return Vec::new();
        }
        let (_, directions) = self.directions();
        let at = |point| loads.iter().find(|l| l.point == point).map_or_else(Vector3::zeros, |l| l.force);
        let outer = self.pulled(at(self.points[2]));
        let (names, tube) = match self.part {
            Part::LowerArm(_) => (["lower arm, front leg", "lower arm, rear leg"], arms.lower()),
            _ => (["upper arm, front leg", "upper arm, rear leg"], arms.upper()),
        };
        let leg = |i: usize| {
            let inner = -at(self.points[i]).dot(&directions[i]);
            Member {
                part: names[i],
                kind: Kind::Leg,
                side: Some(self.side),
                ends: [self.points[i], self.points[2]],
                between: [Part::Body, Part::Upright(self.side)],
                at: [self.at[i], self.at[2]],
                axial: if inner.abs() > outer[i].abs() { inner } else { outer[i] },
                tube: Some(tube),
            }
        };
        vec![leg(0), leg(1)]
    }

    /// How it is bent where something is mounted between its ends; of a trailing arm, where it is bent most.
    pub fn bending(&self, loads: &[Mounted]) -> Vec<Bending> {
        let [a, b, c] = self.at;
        let (along, _) = self.directions();
        let out = (c - a - along * along.dot(&(c - a))).normalize();
        let square = along.cross(&out);
        let reach = |at: Vector3<f64>| (at - a).dot(&out);
        // A wheel's load comes in at the hub, wherever the ground is.
        let far = |l: &Mounted| reach(if l.point == self.points[2] { c } else { l.at });
        let outer: Vec<&Mounted> = loads.iter().filter(|l| !self.points[..2].contains(&l.point)).collect();
        let bent = |at: PointName, place: Vector3<f64>| {
            let foot = place - square * square.dot(&(place - a));
            let here = reach(place);
            let about = |l: &Mounted| ((l.at - foot).cross(&l.force) + l.moment).dot(&along);
            let beyond = |past: f64| outer.iter().filter(|l| far(l) > past).map(|l| about(l)).sum::<f64>().abs();
            // Just outside the place, and just inside it.
            let moment = beyond(here + 1e-6).max(beyond(here - 1e-6));
            let innermost = outer.iter().all(|l| far(l) > here - 1e-6);
            let leg = |point: PointName| loads.iter().filter(|l| l.point == point).map(about).sum::<f64>().abs();
            let legs = (self.has_legs() && innermost).then(|| [leg(self.points[0]), leg(self.points[1])]);
            Bending { part: self.word(), side: self.side, at, moment, legs }
        };
        debug_assert!((b - a).norm() > 0.0);
        let mounts: Vec<&&Mounted> = outer.iter().filter(|l| l.point != self.points[2]).collect();
        let places = mounts.iter().map(|l| bent(l.point, l.at));
        if self.has_legs() {
            return places.collect();
        }
        let hub = bent(self.points[2], c);
        places.chain([hub]).max_by(|x, y| x.moment.total_cmp(&y.moment)).into_iter().collect()
    }
}

/// A strut is bent by what its top mount holds across its axis: told at its lower point, the left and the right one so far
/// from the top, mm.
pub(super) fn struts(joints: &[JointForce], lengths: [Option<f64>; 2]) -> Vec<Bending> {
    let tops = joints.iter().filter(|j| j.point == PointName::DamperTop && !j.rod);
    let bent = tops.filter_map(|top| {
        let side = top.side?;
        let moment = top.force.norm() * lengths[side as usize]?;
        Some(Bending { part: "strut", side, at: PointName::DamperBottom, moment, legs: None })
    });
    bent.collect()
}
