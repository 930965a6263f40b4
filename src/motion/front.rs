//! A front axle under its body: both corners, standing on the ground in any pose.

use nalgebra::{Rotation3, Vector3};
use serde::Serialize;

use super::corner::{Corner, CornerPose};
use super::solve::{Drive, OutOfReach};
use crate::car::{Car, Side};

/// Heave, roll, pitch and steer of the car at one moment.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize)]
pub struct Pose {
    /// Body over the ground at the frame's origin, from ride height, positive up, mm.
    pub heave: f64,
    /// Positive when the left side rises, radians.
    pub roll: f64,
    /// Positive nose-down, about a lateral axis through the frame's origin, radians.
    pub pitch: f64,
    /// Rack travel, positive to the car's left, mm.
    pub rack: f64,
}

/// The ground as the body sees it: the points x with `normal . x = offset`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Plane {
    /// Unit, up, body frame.
    pub normal: Vector3<f64>,
    /// From the origin along the normal, mm.
    pub offset: f64,
}

impl Plane {
    /// Height of a point over the ground, mm.
    pub fn height(&self, at: Vector3<f64>) -> f64 {
        self.normal.dot(&at) - self.offset
    }
}

/// Both corners in a pose of the body.
#[derive(Debug, Clone, PartialEq)]
pub struct Posed {
    /// The body's pose.
    pub pose: Pose,
    /// The ground as the body sees it.
    pub ground: Plane,
    /// Left and right corner.
    pub corners: [CornerPose; 2],
}

/// The front axle of a car as a mechanism.
#[derive(Debug, Clone)]
pub struct Front {
    /// Left and right corner.
    pub corners: [Corner; 2],
    /// Both corners at ride height, steering straight ahead.
    pub ride: Posed,
    ground: f64,
}

impl Front {
    /// From a checked car.
    ///
    /// # Errors
    /// [`OutOfReach`] when the wheels cannot stand on the ground at ride height.
    pub fn new(car: &Car) -> Result<Self, OutOfReach> {
        let corners = Side::BOTH.map(|side| Corner::new(&car.front, side));
        let measured = [corners[0].as_measured(), corners[1].as_measured()];
        let pose = Pose::default();
        let ground = ground_in_body(car.ground, &pose);
        let stand = |i: usize| corners[i].pose(&measured[i], 0.0, ground.drive());
        let ride = Posed { pose, ground, corners: [stand(0)?, stand(1)?] };
        Ok(Self { corners, ride, ground: car.ground })
    }

    /// One corner.
    pub fn corner(&self, side: Side) -> &Corner {
        &self.corners[side as usize]
    }

    /// The ground as the body sees it in a pose.
    pub fn ground(&self, pose: &Pose) -> Plane {
        ground_in_body(self.ground, pose)
    }

    /// Both tyres on the ground in a pose of the body.
    ///
    /// # Errors
    /// [`OutOfReach`] where the linkage cannot follow.
    pub fn stand(&self, pose: &Pose) -> Result<Posed, OutOfReach> {
        self.stand_from(&self.ride, pose)
    }

    /// The same, started from a pose near by.
    ///
    /// # Errors
    /// [`OutOfReach`] where the linkage cannot follow.
    pub fn stand_from(&self, from: &Posed, pose: &Pose) -> Result<Posed, OutOfReach> {
        let ground = self.ground(pose);
        let stand = |i: usize| self.corners[i].pose(&from.corners[i], pose.rack, ground.drive());
        Ok(Posed { pose: *pose, ground, corners: [stand(0)?, stand(1)?] })
    }

    /// One corner by wheel travel (from ride height, bump positive) and rack travel, mm.
    ///
    /// # Errors
    /// [`OutOfReach`] where the linkage cannot follow.
    pub fn raise(&self, side: Side, from: &CornerPose, travel: f64, rack: f64) -> Result<CornerPose, OutOfReach> {
        let height = self.ride_height(side) + travel;
        self.corner(side).pose(from, rack, Drive::Height(height))
    }

    /// One corner at ride height, steering straight ahead.
    pub fn ride(&self, side: Side) -> &CornerPose {
        &self.ride.corners[side as usize]
    }

    /// Wheel travel of a corner from ride height, bump positive, mm.
    pub fn travel(&self, pose: &CornerPose) -> f64 {
        pose.wheel_centre.z - self.ride_height(pose.side)
    }

    /// Wheel centre's z at ride height, body frame, mm.
    fn ride_height(&self, side: Side) -> f64 {
        self.ride(side).wheel_centre.z
    }
}

impl Plane {
    fn drive(&self) -> Drive {
        Drive::Ground { normal: self.normal, offset: self.offset }
    }
}

/// The level ground seen from a body that has rolled and pitched about the point of the ground under the frame's origin
/// and then risen by the heave.
fn ground_in_body(ground: f64, pose: &Pose) -> Plane {
    let turn = Rotation3::from_axis_angle(&Vector3::y_axis(), pose.pitch)
        * Rotation3::from_axis_angle(&Vector3::x_axis(), pose.roll);
    let normal = turn.inverse() * Vector3::z();
    Plane { normal, offset: normal.z * ground - pose.heave }
}
