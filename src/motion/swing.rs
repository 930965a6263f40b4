//! How far ball joints and rod ends swing between two poses.
//!
//! Turning about a joint's own stud or bolt is what it is for, and leaning against it is what it has a limit of. Where the
//! stud stands is not in a car file, so it is taken as shops fit it (common practice, no source): on an upright that
//! steers along the steering axis as measured, on a rocker or a bar's lever along the axis that it turns about. There
//! what counts is how much more or less the rod leans against the stud; at an arm's ball joint, how the stud's direction
//! has changed as the arm sees it. Of any other end of a rod no stud is known, and the whole change of the rod's direction
//! counts, as the body there sees it: where that body's bolt lies square to the motion the joint swings less than told.
//! A rod may spin about its own line.

use nalgebra::{Matrix3, Vector3};

use super::carried::{self, Arm, Carrier, carrier};
use super::suspension::{CornerPose, Held, Suspension};
use crate::car::PointName;
use crate::car::axle::{Linkage, MountedOn};

/// A joint that swings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Joint {
    /// The arm or rod that it belongs to: `tie rod`.
    pub part: &'static str,
    /// Where it is.
    pub at: PointName,
    /// Whether the axle has one, rather than one a side.
    pub single: bool,
    kind: Kind,
}

/// What swings in it.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Kind {
    /// A rod to another joint.
    Rod(PointName),
    /// A rod to another joint, on a stud.
    OnStud(PointName, Stud),
    /// The stud of an arm's ball joint.
    Arm(MountedOn),
}

/// Where a joint's stud stands.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Stud {
    /// Along the steering axis as it was in the first pose, fixed to the upright.
    Steering,
    /// Along the axis that the rocker turns about.
    Rocker,
    /// Along the anti-roll bar.
    Bar,
}

impl Suspension {
    /// The joints of one side that swing, and those that the axle has once.
    pub fn joints(&self) -> Vec<Joint> {
        use PointName::{
            BarLever, CrankLower, CrankUpper, DropLinkOuter, LateralRodAxle, LateralRodBody, LowerBallJoint,
            LowerFront, LowerFrontOuter, LowerLinkAxle, LowerLinkBody, LowerRear, LowerRearOuter, LowerRodBody,
            PushRodInner, PushRodOuter, TieRodInner, TieRodOuter, UpperBallJoint, UpperFront, UpperFrontOuter,
            UpperLinkAxle, UpperLinkBody, UpperRear, UpperRearOuter, UpperRodBody,
        };
        let has = |name: &PointName| self.described.has(*name);
        let single = |name: PointName| self.described.middle.0.contains_key(&name);
        let arms =
            [("lower arm", LowerBallJoint, MountedOn::LowerArm), ("upper arm", UpperBallJoint, MountedOn::UpperArm)];
        let armed = matches!(self.linkage, Linkage::Wishbone | Linkage::Strut);
        let arms = arms.into_iter().filter(|(_, at, _)| armed && has(at));
        let arms = arms.map(|(part, at, arm)| Joint { part, at, single: false, kind: Kind::Arm(arm) });
        let rods = [
            ("lower front link", LowerFront, LowerFrontOuter),
            ("lower rear link", LowerRear, LowerRearOuter),
            ("upper front link", UpperFront, UpperFrontOuter),
            ("upper rear link", UpperRear, UpperRearOuter),
            ("tie rod", TieRodInner, TieRodOuter),
            ("lower link", LowerLinkBody, LowerLinkAxle),
            ("upper link", UpperLinkBody, UpperLinkAxle),
            ("lateral rod", LateralRodBody, LateralRodAxle),
            ("upper lateral rod", UpperRodBody, CrankUpper),
            ("lower lateral rod", LowerRodBody, CrankLower),
            ("push rod", PushRodInner, PushRodOuter),
            ("drop link", BarLever, DropLinkOuter),
        ];
        let rods = rods.into_iter().filter(|(_, inner, outer)| has(inner) && has(outer));
        let rods = rods.flat_map(|(part, inner, outer)| {
            let at_inner = match inner {
                PushRodInner => Kind::OnStud(outer, Stud::Rocker),
                BarLever => Kind::OnStud(outer, Stud::Bar),
                _ => Kind::Rod(outer),
            };
            let steered = self.steers() && !matches!(outer, PushRodOuter | DropLinkOuter);
            let at_outer = if steered { Kind::OnStud(inner, Stud::Steering) } else { Kind::Rod(inner) };
            let joint = |at, kind| Joint { part, at, single: single(at), kind };
            [joint(inner, at_inner), joint(outer, at_outer)]
        });
        arms.chain(rods).collect()
    }

    /// How far a joint has swung in a pose from where it stood in another, as measured or at ride height, radians. None
    /// where its rod does not reach.
    pub fn swing(&self, joint: &Joint, from: &CornerPose, pose: &CornerPose) -> Option<f64> {
        let rod = |pose: &CornerPose, to| Some((self.at(pose, to)? - self.at(pose, joint.at)?).normalize());
        let seen = |pose: &CornerPose, to| Some(self.turn_at(pose, joint.at)?.transpose() * rod(pose, to)?);
        let stud = |pose: &CornerPose, stands| match stands {
            Stud::Steering => {
                let (_, axis) = self.steering_axis(from)?;
                Some(pose.turn * (from.turn.transpose() * axis.normalize()))
            }
            Stud::Rocker => carried::rocker(self, pose).map(|(rocker, _)| rocker.axis),
            Stud::Bar => carried::lever(self, pose).map(|(lever, _)| lever.axis),
        };
        match joint.kind {
            Kind::Rod(to) => Some(between(seen(from, to)?, seen(pose, to)?)),
            Kind::OnStud(to, stands) => {
                let leans = |pose: &CornerPose| Some(stud(pose, stands)?.dot(&rod(pose, to)?).clamp(-1.0, 1.0).asin());
                Some((leans(pose)? - leans(from)?).abs())
            }
            Kind::Arm(arm) => {
                let seen = |pose| Some(self.turn_of_arm(pose, arm)?.transpose() * stud(pose, Stud::Steering)?);
                Some(between(seen(from)?, seen(pose)?))
            }
        }
    }

    /// How what carries a point has turned. Only its difference between two poses has a meaning.
    fn turn_at(&self, pose: &CornerPose, name: PointName) -> Option<Matrix3<f64>> {
        match carrier(self, name) {
            Carrier::Body => Some(Matrix3::identity()),
            Carrier::Steering => Some(self.steering.turn(pose.rack)),
            Carrier::Part(MountedOn::Upright) => Some(pose.turn),
            Carrier::Part(arm @ (MountedOn::LowerArm | MountedOn::UpperArm)) => self.turn_of_arm(pose, arm),
            // Their joints stand on studs.
            Carrier::Part(MountedOn::Rocker) | Carrier::Lever => None,
            Carrier::Crank => match &self.held {
                Held::Together(beam) => Some(beam.crank_turn(&pose.lies)),
                Held::Apart(_) => None,
            },
        }
    }

    fn turn_of_arm(&self, pose: &CornerPose, arm: MountedOn) -> Option<Matrix3<f64>> {
        let arm = Arm::of(self, pose.hub.side, arm)?;
        Some(arm.directions(carried::with_upright(self, pose, arm.ball_joint)))
    }
}

/// The angle between two directions, radians: by both its sine and its cosine, so that a small one keeps its digits.
fn between(a: Vector3<f64>, b: Vector3<f64>) -> f64 {
    a.cross(&b).norm().atan2(a.dot(&b))
}
