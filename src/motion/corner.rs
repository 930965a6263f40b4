//! One upright with its arms, tie rod and damper.

use nalgebra::{Matrix3, UnitQuaternion, Vector3, Vector6};

use super::solve::{Drive, Held, Link, OutOfReach, Placement};
use crate::car::axle::MountedOn;
use crate::car::{Axle, PointName, Side};

/// A corner of the car as a mechanism.
#[derive(Debug, Clone)]
pub struct Corner {
    /// Side of the car.
    pub side: Side,
    held: Held,
    /// Measured points, body frame, mm.
    measured: Measured,
    damper_on: Option<MountedOn>,
    /// Damper's lower mount from the front pickup of the arm that carries it, in that arm's directions, mm.
    mount_in_arm: Vector3<f64>,
}

/// Points as measured, body frame, mm.
#[derive(Debug, Clone, Copy)]
struct Measured {
    lower: [Vector3<f64>; 2],
    upper: [Vector3<f64>; 2],
    lower_ball_joint: Vector3<f64>,
    upper_ball_joint: Vector3<f64>,
    tie_rod_inner: Vector3<f64>,
    rack_axis: Vector3<f64>,
    tie_rod_outer: Vector3<f64>,
    wheel_centre: Vector3<f64>,
    damper: [Vector3<f64>; 2],
}

/// How fast an upright moves, per millimetre of whatever drives it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Speed {
    /// Of the wheel centre.
    pub shift: Vector3<f64>,
    /// Turning, radians.
    pub turn: Vector3<f64>,
    wheel_centre: Vector3<f64>,
}

impl Speed {
    fn new(rates: &Vector6<f64>, wheel_centre: Vector3<f64>) -> Self {
        Self { shift: rates.fixed_rows::<3>(0).into(), turn: rates.fixed_rows::<3>(3).into(), wheel_centre }
    }

    /// Of a point of the upright that lies at `at` in this pose.
    pub fn of(&self, at: Vector3<f64>) -> Vector3<f64> {
        self.shift + self.turn.cross(&(at - self.wheel_centre))
    }
}

/// A corner in a pose: where its moving points are, body frame, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CornerPose {
    /// Side of the car.
    pub side: Side,
    /// Rack travel, positive to the car's left.
    pub rack: f64,
    /// Where the upright is.
    pub placement: Placement,
    /// Lower arm's pickups, front and rear.
    pub lower: [Vector3<f64>; 2],
    /// Upper arm's pickups, front and rear.
    pub upper: [Vector3<f64>; 2],
    /// Lower ball joint.
    pub lower_ball_joint: Vector3<f64>,
    /// Upper ball joint.
    pub upper_ball_joint: Vector3<f64>,
    /// Tie rod's joint at the rack.
    pub tie_rod_inner: Vector3<f64>,
    /// Tie rod's joint at the upright.
    pub tie_rod_outer: Vector3<f64>,
    /// Wheel centre.
    pub wheel_centre: Vector3<f64>,
    /// Spin axis, unit, outboard.
    pub spin: Vector3<f64>,
    /// Damper's mounts, upper and lower, where a damper is described.
    pub damper: Option<[Vector3<f64>; 2]>,
}

impl CornerPose {
    /// A point by the name it has in the car file.
    pub fn point(&self, name: PointName) -> Option<Vector3<f64>> {
        Some(match name {
            PointName::LowerFront => self.lower[0],
            PointName::LowerRear => self.lower[1],
            PointName::LowerBallJoint => self.lower_ball_joint,
            PointName::UpperFront => self.upper[0],
            PointName::UpperRear => self.upper[1],
            PointName::UpperBallJoint => self.upper_ball_joint,
            PointName::TieRodInner => self.tie_rod_inner,
            PointName::TieRodOuter => self.tie_rod_outer,
            PointName::DamperTop => self.damper?[0],
            PointName::DamperBottom => self.damper?[1],
            PointName::WheelCentre => self.wheel_centre,
        })
    }

    /// Damper length between its mounts, mm.
    pub fn damper_length(&self) -> Option<f64> {
        self.damper.map(|[top, bottom]| (top - bottom).norm())
    }
}

impl Corner {
    /// A corner from a checked description: every point that its linkage needs is there.
    pub fn new(axle: &Axle, side: Side) -> Self {
        let point = |name| axle.point(side, name).unwrap_or_else(Vector3::zeros);
        let rack_axis = {
            let inner = |side| axle.point(side, PointName::TieRodInner).unwrap_or_else(Vector3::y);
            (inner(Side::Left) - inner(Side::Right)).try_normalize(1e-9).unwrap_or_else(Vector3::y)
        };
        let m = Measured {
            lower: [point(PointName::LowerFront), point(PointName::LowerRear)],
            upper: [point(PointName::UpperFront), point(PointName::UpperRear)],
            lower_ball_joint: point(PointName::LowerBallJoint),
            upper_ball_joint: point(PointName::UpperBallJoint),
            tie_rod_inner: point(PointName::TieRodInner),
            rack_axis,
            tie_rod_outer: point(PointName::TieRodOuter),
            wheel_centre: point(PointName::WheelCentre),
            damper: [point(PointName::DamperTop), point(PointName::DamperBottom)],
        };
        let link = |chassis: Vector3<f64>, upright: Vector3<f64>, per_rack, part| Link {
            chassis,
            upright: upright - m.wheel_centre,
            per_rack,
            length: (upright - chassis).norm(),
            part,
        };
        let still = Vector3::zeros();
        let links = [
            link(m.lower[0], m.lower_ball_joint, still, "lower arm"),
            link(m.lower[1], m.lower_ball_joint, still, "lower arm"),
            link(m.upper[0], m.upper_ball_joint, still, "upper arm"),
            link(m.upper[1], m.upper_ball_joint, still, "upper arm"),
            link(m.tie_rod_inner, m.tie_rod_outer, rack_axis, "tie rod"),
        ];
        let loaded_radius = axle.tyre.mounted(&axle.wheel).loaded_radius;
        let held = Held { side, links, spin: axle.spin_axis(side), loaded_radius };
        let has_damper = axle.point(side, PointName::DamperTop).is_some();
        let damper_on = axle.damper.filter(|_| has_damper).map(|d| d.on);
        let in_arm = |pickups: [Vector3<f64>; 2], ball_joint| {
            arm_directions(pickups, ball_joint).transpose() * (m.damper[1] - pickups[0])
        };
        let mount_in_arm = match damper_on {
            Some(MountedOn::LowerArm) => in_arm(m.lower, m.lower_ball_joint),
            Some(MountedOn::UpperArm) => in_arm(m.upper, m.upper_ball_joint),
            Some(MountedOn::Upright) | None => Vector3::zeros(),
        };
        Self { side, held, measured: m, damper_on, mount_in_arm }
    }

    /// The corner as it was measured.
    pub fn as_measured(&self) -> CornerPose {
        let placement = Placement { at: self.measured.wheel_centre, turn: UnitQuaternion::identity() };
        self.posed(placement, 0.0)
    }

    /// The corner with its rack and drive set, started from a pose near or far.
    ///
    /// # Errors
    /// [`OutOfReach`] where the linkage cannot take the pose.
    pub fn pose(&self, from: &CornerPose, rack: f64, drive: Drive) -> Result<CornerPose, OutOfReach> {
        let placement = self.held.place(&from.placement, from.rack, rack, &drive)?;
        Ok(self.posed(placement, rack))
    }

    /// Largest error of a link's length in a pose, mm.
    pub fn residual(&self, pose: &CornerPose) -> f64 {
        self.held.residual(&pose.placement, pose.rack)
    }

    /// How fast the upright moves in a pose, per millimetre of wheel travel and per millimetre of rack. None in a
    /// toggle, where it can move without either.
    pub fn speeds(&self, pose: &CornerPose) -> Option<[Speed; 2]> {
        let rates = self.held.rates(&pose.placement, pose.rack)?;
        Some(rates.map(|r| Speed::new(&r, pose.wheel_centre)))
    }

    /// Wheel centre over the ground with the wheel upright, mm.
    pub fn loaded_radius(&self) -> f64 {
        self.held.loaded_radius
    }

    /// Damper travel over wheel travel in a pose, as a derivative; positive where bump shortens the damper.
    pub fn motion_ratio(&self, pose: &CornerPose) -> Option<f64> {
        let [top, bottom] = pose.damper?;
        let [travel, _] = self.speeds(pose)?;
        let moved = match self.damper_on? {
            MountedOn::Upright => travel.of(bottom),
            MountedOn::LowerArm => swing(pose.lower, pose.lower_ball_joint, travel.of(pose.lower_ball_joint), bottom),
            MountedOn::UpperArm => swing(pose.upper, pose.upper_ball_joint, travel.of(pose.upper_ball_joint), bottom),
        };
        Some((top - bottom).try_normalize(1e-9)?.dot(&moved))
    }

    fn posed(&self, placement: Placement, rack: f64) -> CornerPose {
        let m = &self.measured;
        let turn = placement.turn.to_rotation_matrix();
        let carry = |p: Vector3<f64>| placement.at + turn * (p - m.wheel_centre);
        let (lower_ball_joint, upper_ball_joint) = (carry(m.lower_ball_joint), carry(m.upper_ball_joint));
        let damper = self.damper_on.map(|on| {
            let bottom = match on {
                MountedOn::Upright => carry(m.damper[1]),
                MountedOn::LowerArm => m.lower[0] + arm_directions(m.lower, lower_ball_joint) * self.mount_in_arm,
                MountedOn::UpperArm => m.upper[0] + arm_directions(m.upper, upper_ball_joint) * self.mount_in_arm,
            };
            [m.damper[0], bottom]
        });
        CornerPose {
            side: self.side,
            rack,
            placement,
            lower: m.lower,
            upper: m.upper,
            lower_ball_joint,
            upper_ball_joint,
            tie_rod_inner: m.tie_rod_inner + m.rack_axis * rack,
            tie_rod_outer: carry(m.tie_rod_outer),
            wheel_centre: placement.at,
            spin: turn * self.held.spin,
            damper,
        }
    }
}

/// An arm's own directions as columns: along its pickups, square to them towards the ball joint, square to both.
fn arm_directions(pickups: [Vector3<f64>; 2], ball_joint: Vector3<f64>) -> Matrix3<f64> {
    let along = (pickups[1] - pickups[0]).normalize();
    let arm = ball_joint - pickups[0];
    let out = (arm - along * along.dot(&arm)).normalize();
    Matrix3::from_columns(&[along, out, along.cross(&out)])
}

/// How fast a point of an arm moves when its ball joint moves at `speed`.
fn swing(
    pickups: [Vector3<f64>; 2],
    ball_joint: Vector3<f64>,
    speed: Vector3<f64>,
    point: Vector3<f64>,
) -> Vector3<f64> {
    let axis = (pickups[1] - pickups[0]).normalize();
    let tangent = axis.cross(&(ball_joint - pickups[0]));
    axis.cross(&(point - pickups[0])) * (speed.dot(&tangent) / tangent.norm_squared())
}
