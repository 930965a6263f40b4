//! Where everything is that rides along in a pose: points of arms, uprights, axles, rockers and levers.

use nalgebra::{Matrix3, Vector3};

use super::placement::Speed;
use super::real::Real;
use super::suspension::{CornerPose, Held, Mode, Suspension};
use super::turning::Turning;
use crate::car::axle::{Linkage, MountedOn};
use crate::car::{Hub, PointName, Side};

/// What a point rides on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Carrier {
    /// The body.
    Body,
    /// The rack, or a steering box's centre link.
    Steering,
    /// An arm, the part that carries the wheel, or a rocker.
    Part(MountedOn),
    /// The crank of a centre-pivot linkage.
    Crank,
    /// The lever of an anti-roll bar.
    Lever,
}

/// A point's carrier.
pub(super) fn carrier<T: Real>(axle: &Suspension<T>, name: PointName) -> Carrier {
    use PointName::{
        ArmInner, ArmOuter, BarLever, BarPivot, CentrePivot, CrankLower, CrankUpper, DamperBottom, DamperTop,
        DropLinkOuter, IdlerEnd, IdlerShaft, IdlerShaftTop, LateralRodAxle, LateralRodBody, LowerBallJoint, LowerFront,
        LowerFrontOuter, LowerLinkAxle, LowerLinkBody, LowerRear, LowerRearOuter, LowerRodBody, PitmanEnd, PitmanShaft,
        PitmanShaftTop, PushRodInner, PushRodOuter, RockerAxis, RockerPivot, ShaftInner, SpringBottom, SpringTop,
        TieRodInner, TieRodOuter, UpperBallJoint, UpperFront, UpperFrontOuter, UpperLinkAxle, UpperLinkBody, UpperRear,
        UpperRearOuter, UpperRodBody, WheelCentre,
    };
    let riding = &axle.riding;
    match name {
        LowerFront | LowerRear | UpperFront | UpperRear | ArmInner | ArmOuter | DamperTop | LowerLinkBody
        | UpperLinkBody | LateralRodBody | UpperRodBody | LowerRodBody | PitmanShaft | PitmanShaftTop | IdlerShaft
        | IdlerShaftTop | RockerPivot | RockerAxis | BarPivot | ShaftInner | SpringTop => Carrier::Body,
        TieRodInner | PitmanEnd | IdlerEnd => Carrier::Steering,
        LowerBallJoint | UpperBallJoint | LowerFrontOuter | LowerRearOuter | UpperFrontOuter | UpperRearOuter
        | TieRodOuter | WheelCentre | LowerLinkAxle | UpperLinkAxle | LateralRodAxle | CentrePivot => {
            Carrier::Part(MountedOn::Upright)
        }
        CrankUpper | CrankLower => Carrier::Crank,
        DamperBottom => Carrier::Part(riding.damper_on.unwrap_or(MountedOn::Upright)),
        SpringBottom => Carrier::Part(riding.spring_on.unwrap_or(MountedOn::Upright)),
        PushRodOuter => Carrier::Part(riding.rockers.map_or(MountedOn::Upright, |r| r.0)),
        PushRodInner => Carrier::Part(MountedOn::Rocker),
        DropLinkOuter => Carrier::Part(riding.levers.map_or(MountedOn::Upright, |l| l.0)),
        BarLever => Carrier::Lever,
    }
}

/// How a point rides, for what bounds its movement.
pub(super) enum Ride {
    Body,
    Steering,
    Upright,
    Arm { joint: PointName, pickups: [PointName; 2] },
    Rocker,
    Lever,
    Crank,
}

impl Suspension {
    /// How a point rides.
    pub(super) fn ride(&self, name: PointName) -> Ride {
        use PointName::{LowerBallJoint, LowerFront, LowerRear, UpperBallJoint, UpperFront, UpperRear};
        match carrier(self, name) {
            Carrier::Body => Ride::Body,
            Carrier::Steering => Ride::Steering,
            Carrier::Part(MountedOn::Upright) => Ride::Upright,
            Carrier::Part(MountedOn::LowerArm) => Ride::Arm { joint: LowerBallJoint, pickups: [LowerFront, LowerRear] },
            Carrier::Part(MountedOn::UpperArm) => Ride::Arm { joint: UpperBallJoint, pickups: [UpperFront, UpperRear] },
            Carrier::Part(MountedOn::Rocker) => Ride::Rocker,
            Carrier::Lever => Ride::Lever,
            Carrier::Crank => Ride::Crank,
        }
    }

    /// A side's rocker, or its lever of the anti-roll bar, with the point that drives it.
    pub(super) fn turned(&self, hub: Hub, ride: &Ride) -> Option<(&Turning<f64>, PointName)> {
        let i = hub.side as usize;
        match ride {
            Ride::Rocker => Some((&self.riding.rockers.as_ref()?.1[i], PointName::PushRodOuter)),
            Ride::Lever => Some((&self.riding.levers.as_ref()?.1[i], PointName::DropLinkOuter)),
            _ => None,
        }
    }
}

/// Where a measured point is in a pose.
pub(super) fn at<T: Real>(axle: &Suspension<T>, pose: &CornerPose<T>, name: PointName) -> Option<Vector3<T>> {
    let side = pose.hub.side;
    let p = axle.measured.at(side, name)?;
    match carrier(axle, name) {
        Carrier::Body => Some(p),
        Carrier::Steering => match name {
            PointName::TieRodInner => Some(axle.steering.inner(side, pose.rack).unwrap_or(p)),
            PointName::PitmanEnd => Some(axle.steering.ends(pose.rack)?[0]),
            _ => Some(axle.steering.ends(pose.rack)?[1]),
        },
        Carrier::Part(part) => on(axle, pose, part, p),
        Carrier::Crank => match &axle.held {
            Held::Together(beam) => beam.crank_joint(&pose.lies, p),
            Held::Apart(_) => None,
        },
        Carrier::Lever => {
            let (lever, driver) = lever(axle, pose)?;
            lever.carry(p, driver)
        }
    }
}

/// Where a place of a part is that was measured at `p`.
fn on<T: Real>(axle: &Suspension<T>, pose: &CornerPose<T>, part: MountedOn, p: Vector3<T>) -> Option<Vector3<T>> {
    match part {
        MountedOn::Upright => Some(with_upright(axle, pose, p)),
        MountedOn::LowerArm | MountedOn::UpperArm => {
            let arm = Arm::of(axle, pose.hub.side, part)?;
            let now = with_upright(axle, pose, arm.ball_joint);
            let measured = arm.directions(arm.ball_joint);
            Some(arm.pickups[0] + arm.directions(now) * (measured.transpose() * (p - arm.pickups[0])))
        }
        MountedOn::Rocker => {
            let (rocker, driver) = rocker(axle, pose)?;
            rocker.carry(p, driver)
        }
    }
}

pub(super) fn with_upright<T: Real>(axle: &Suspension<T>, pose: &CornerPose<T>, p: Vector3<T>) -> Vector3<T> {
    let origin = match &axle.held {
        Held::Apart(_) => axle.measured.at(pose.hub.side, PointName::WheelCentre).unwrap_or_else(Vector3::zeros),
        Held::Together(beam) => beam.origin,
    };
    pose.lies.placement.at + pose.turn * (p - origin)
}

/// A side's rocker, and where its push rod's outer joint is.
pub(super) fn rocker<'a, T: Real>(
    axle: &'a Suspension<T>,
    pose: &CornerPose<T>,
) -> Option<(&'a Turning<T>, Vector3<T>)> {
    let (_, rockers) = axle.riding.rockers.as_ref()?;
    Some((&rockers[pose.hub.side as usize], at(axle, pose, PointName::PushRodOuter)?))
}

/// A side's lever of the anti-roll bar, and where its drop link's outer joint is.
pub(super) fn lever<'a, T: Real>(
    axle: &'a Suspension<T>,
    pose: &CornerPose<T>,
) -> Option<(&'a Turning<T>, Vector3<T>)> {
    let (_, levers) = axle.riding.levers.as_ref()?;
    Some((&levers[pose.hub.side as usize], at(axle, pose, PointName::DropLinkOuter)?))
}

/// An arm on two pickups.
pub(super) struct Arm<T: Real> {
    pickups: [Vector3<T>; 2],
    /// As measured.
    pub ball_joint: Vector3<T>,
}

impl<T: Real> Arm<T> {
    pub fn of(axle: &Suspension<T>, side: Side, part: MountedOn) -> Option<Self> {
        use PointName::{LowerBallJoint, LowerFront, LowerRear, UpperBallJoint, UpperFront, UpperRear};
        let [front, rear, joint] = match part {
            MountedOn::LowerArm => [LowerFront, LowerRear, LowerBallJoint],
            _ => [UpperFront, UpperRear, UpperBallJoint],
        };
        let at = |name| axle.measured.at(side, name);
        Some(Self { pickups: [at(front)?, at(rear)?], ball_joint: at(joint)? })
    }

    /// Its own directions as columns: along its pickups, square to them towards the ball joint, square to both.
    pub fn directions(&self, ball_joint: Vector3<T>) -> Matrix3<T> {
        let along = (self.pickups[1] - self.pickups[0]).normalize();
        let arm = ball_joint - self.pickups[0];
        let out = (arm - along * along.dot(&arm)).normalize();
        Matrix3::from_columns(&[along, out, along.cross(&out)])
    }
}

/// How fast a place of a part moves that now lies at `at`.
fn speed_on<T: Real>(
    axle: &Suspension<T>,
    pose: &CornerPose<T>,
    part: MountedOn,
    place: Vector3<T>,
    speed: &Speed<T>,
) -> Option<Vector3<T>> {
    match part {
        MountedOn::Upright => Some(speed.of(place)),
        MountedOn::LowerArm | MountedOn::UpperArm => {
            let arm = Arm::of(axle, pose.hub.side, part)?;
            let joint = with_upright(axle, pose, arm.ball_joint);
            let along = (arm.pickups[1] - arm.pickups[0]).normalize();
            let tangent = along.cross(&(joint - arm.pickups[0]));
            let turns = speed.of(joint).dot(&tangent) / tangent.norm_squared();
            Some(along.cross(&(place - arm.pickups[0])) * turns)
        }
        MountedOn::Rocker => {
            let (rocker, driver) = rocker(axle, pose)?;
            let (rod_on, _) = axle.riding.rockers.as_ref()?;
            rocker.speed_at(place, driver, speed_on(axle, pose, *rod_on, driver, speed)?)
        }
    }
}

impl<T: Real> Suspension<T> {
    /// The damper's mounts in a pose, upper and lower.
    pub fn damper(&self, pose: &CornerPose<T>) -> Option<[Vector3<T>; 2]> {
        self.riding.damper_on?;
        Some([self.at(pose, PointName::DamperTop)?, self.at(pose, PointName::DamperBottom)?])
    }

    /// Damper length between its mounts, mm.
    pub fn damper_length(&self, pose: &CornerPose<T>) -> Option<T> {
        self.damper(pose).map(|[top, bottom]| (top - bottom).norm())
    }

    /// Damper travel over wheel travel in a pose, as a derivative; positive where bump shortens the damper.
    pub fn motion_ratio(&self, pose: &CornerPose<T>, mode: Mode) -> Option<T> {
        self.shortens(pose, self.damper(pose)?, self.riding.damper_on?, mode)
    }

    /// The spring's seats in a pose, upper and lower, where it stands apart from the damper; else the damper's mounts.
    pub fn spring(&self, pose: &CornerPose<T>) -> Option<[Vector3<T>; 2]> {
        if self.riding.spring_on.is_none() {
            return self.spring_line(pose);
        }
        Some([self.at(pose, PointName::SpringTop)?, self.at(pose, PointName::SpringBottom)?])
    }

    /// A strut has its spring on its own line, described or not.
    fn spring_line(&self, pose: &CornerPose<T>) -> Option<[Vector3<T>; 2]> {
        if self.riding.damper_on.is_none() && self.linkage != Linkage::Strut {
            return None;
        }
        Some([self.at(pose, PointName::DamperTop)?, self.at(pose, PointName::DamperBottom)?])
    }

    /// Spring length between its seats, or the damper's where it stands around that, mm.
    pub fn spring_length(&self, pose: &CornerPose<T>) -> Option<T> {
        self.spring(pose).map(|[top, bottom]| (top - bottom).norm())
    }

    /// Spring travel over wheel travel in a pose, as a derivative; positive where bump shortens the spring.
    pub fn spring_ratio(&self, pose: &CornerPose<T>, mode: Mode) -> Option<T> {
        let on = self.riding.spring_on.or(self.riding.damper_on).unwrap_or(MountedOn::Upright);
        self.shortens(pose, self.spring(pose)?, on, mode)
    }

    /// How fast a line from the body to a place of a part shortens per millimetre of wheel travel.
    fn shortens(&self, pose: &CornerPose<T>, [top, bottom]: [Vector3<T>; 2], on: MountedOn, mode: Mode) -> Option<T> {
        let speed = self.speed(pose, mode)?;
        let moves = speed_on(self, pose, on, bottom, &speed)?;
        let towards = top - bottom;
        Some(towards.dot(&moves) / towards.norm())
    }

    /// How far the bar's lever has turned from where it was measured, radians, positive for its end rising.
    pub fn lever_angle(&self, pose: &CornerPose<T>) -> Option<T> {
        let (lever, driver) = lever(self, pose)?;
        Some(lever.angle(driver)? * self.lever_sign(pose)?)
    }

    /// How fast the bar's lever end travels along its arc per millimetre of wheel travel, positive where it rises with
    /// the wheel.
    pub fn bar_ratio(&self, pose: &CornerPose<T>, mode: Mode) -> Option<T> {
        let (lever, driver) = lever(self, pose)?;
        let (link_on, _) = self.riding.levers.as_ref()?;
        let speed = speed_on(self, pose, *link_on, driver, &self.speed(pose, mode)?)?;
        Some(lever.turns(driver, speed)? * lever.radius() * self.lever_sign(pose)?)
    }

    /// +1 where the lever's end rises as it turns about the bar's axis, which points to the left.
    fn lever_sign(&self, pose: &CornerPose<T>) -> Option<T> {
        let end = self.measured.at(pose.hub.side, PointName::BarLever)?;
        let pivot = self.measured.at(pose.hub.side, PointName::BarPivot)?;
        // About an axis to the left a lever that lies behind it rises, one ahead of it falls.
        Some(if end.x < pivot.x { T::one() } else { -T::one() })
    }

    /// A rod's or link's ends in a pose, where the axle has such a part.
    pub fn span(&self, pose: &CornerPose<T>, from: PointName, to: PointName) -> Option<[Vector3<T>; 2]> {
        Some([self.at(pose, from)?, self.at(pose, to)?])
    }

    /// What a measured point rides on.
    pub fn carrier(&self, name: PointName) -> Carrier {
        carrier(self, name)
    }

    /// Whether a point moves when the wheel does.
    pub fn moves(&self, name: PointName) -> bool {
        !matches!(carrier(self, name), Carrier::Body | Carrier::Steering)
    }

    /// Whether a point rides on the part that carries the wheel, and so turns with it.
    pub fn on_upright(&self, name: PointName) -> bool {
        matches!(carrier(self, name), Carrier::Part(MountedOn::Upright))
    }
}
