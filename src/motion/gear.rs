//! The running gear of a car: its axles under one body, standing on the ground in any pose.

use nalgebra::{Vector2, Vector3};
use serde::Serialize;

use super::drive::{Drive, Plane};
use super::newton::OutOfReach;
use super::real::{Real, k};
use super::suspension::{CornerPose, Suspension};
use crate::car::{AxleName, Car, Hub, Side};

/// Heave, roll, pitch and steer of the car at one moment.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize)]
pub struct Pose<T = f64> {
    /// Body over the ground at the frame's origin, from ride height, positive up, mm.
    pub heave: T,
    /// Positive when the left side rises, radians.
    pub roll: T,
    /// Positive nose-down, about a lateral axis through the frame's origin, radians.
    pub pitch: T,
    /// Steering travel, positive to the car's left, mm: the rack's, or the arc of the pitman arm's end.
    pub rack: T,
}

/// All wheels in a pose of the body.
#[derive(Debug, Clone, PartialEq)]
pub struct Posed {
    /// The body's pose.
    pub pose: Pose,
    /// The ground as the body sees it.
    pub ground: Plane,
    /// Left and right front wheel.
    pub front: [CornerPose; 2],
    /// Left and right rear wheel, where the rear axle is described.
    pub rear: Option<[CornerPose; 2]>,
}

impl Posed {
    /// An axle's wheels, left and right.
    pub fn axle(&self, name: AxleName) -> Option<&[CornerPose; 2]> {
        match name {
            AxleName::Front => Some(&self.front),
            AxleName::Rear => self.rear.as_ref(),
        }
    }

    /// A wheel.
    pub fn wheel(&self, hub: Hub) -> Option<&CornerPose> {
        self.axle(hub.axle).map(|axle| &axle[hub.side as usize])
    }

    /// All wheels, front first, left first.
    pub fn wheels(&self) -> impl Iterator<Item = &CornerPose> {
        self.front.iter().chain(self.rear.iter().flatten())
    }
}

/// The axles of a car as mechanisms.
#[derive(Debug, Clone)]
pub struct RunningGear {
    /// The front axle.
    pub front: Suspension,
    /// The rear axle, where it is described.
    pub rear: Option<Suspension>,
    /// All wheels at ride height, steering straight ahead.
    pub ride: Posed,
    ground: f64,
}

impl RunningGear {
    /// From a checked car.
    ///
    /// # Errors
    /// [`OutOfReach`] when the wheels cannot stand on the ground at ride height.
    pub fn new(car: &Car) -> Result<Self, OutOfReach> {
        let front = Suspension::new(&car.front, AxleName::Front);
        let rear = car.rear.as_ref().map(|axle| Suspension::new(axle, AxleName::Rear));
        let pose = Pose::default();
        let ground = ground_in_body(car.ground, &pose);
        let stand = |axle: &Suspension| axle.pose(&axle.as_measured(), 0.0, [Drive::Ground(ground); 2]);
        let ride = Posed { pose, ground, front: stand(&front)?, rear: rear.as_ref().map(stand).transpose()? };
        Ok(Self { front, rear, ride, ground: car.ground })
    }

    /// An axle, where it is described.
    pub fn axle(&self, name: AxleName) -> Option<&Suspension> {
        match name {
            AxleName::Front => Some(&self.front),
            AxleName::Rear => self.rear.as_ref(),
        }
    }

    /// The axle of a pose of one of its wheels.
    pub fn of(&self, pose: &CornerPose) -> &Suspension {
        self.axle(pose.hub.axle).unwrap_or(&self.front)
    }

    /// The axles that are described, front first.
    pub fn axles(&self) -> impl Iterator<Item = &Suspension> {
        [&self.front].into_iter().chain(&self.rear)
    }

    /// The wheels of the axles that are described.
    pub fn hubs(&self) -> impl Iterator<Item = Hub> {
        Hub::ALL.into_iter().filter(|hub| self.axle(hub.axle).is_some())
    }

    /// The ground as the body sees it in a pose.
    pub fn ground(&self, pose: &Pose) -> Plane {
        ground_in_body(self.ground, pose)
    }

    /// The same in another scalar.
    pub fn ground_of<T: Real>(&self, pose: &Pose<T>) -> Plane<T> {
        ground_in_body(k(self.ground), pose)
    }

    /// All tyres on the ground in a pose of the body.
    ///
    /// # Errors
    /// [`OutOfReach`] where a linkage cannot follow.
    pub fn stand(&self, pose: &Pose) -> Result<Posed, OutOfReach> {
        self.stand_from(&self.ride, pose)
    }

    /// The same, started from a pose near by.
    ///
    /// # Errors
    /// [`OutOfReach`] where a linkage cannot follow.
    pub fn stand_from(&self, from: &Posed, pose: &Pose) -> Result<Posed, OutOfReach> {
        let ground = self.ground(pose);
        let drives = [Drive::Ground(ground); 2];
        let front = self.front.pose(&from.front, pose.rack, drives)?;
        let rear = match (&self.rear, &from.rear) {
            (Some(axle), Some(from)) => Some(axle.pose(from, 0.0, drives)?),
            _ => None,
        };
        Ok(Posed { pose: *pose, ground, front, rear })
    }

    /// One wheel at a place of its sweep: its travel (from ride height, bump positive), and the steering travel or,
    /// where nothing steers, the other wheel's travel, mm.
    ///
    /// # Errors
    /// [`OutOfReach`] where the linkage cannot follow.
    pub fn raise(&self, from: &CornerPose, at: Vector2<f64>) -> Result<CornerPose, OutOfReach> {
        let axle = self.of(from);
        let height = self.ride_height(from.hub) + at.x;
        if axle.independent() {
            return axle.alone(from, at.y, Drive::Height(height));
        }
        let across = if from.hub.side == Side::Left { Side::Right } else { Side::Left };
        let other = self.ride_height(Hub { side: across, ..from.hub }) + at.y;
        let heights = if from.hub.side == Side::Left { [height, other] } else { [other, height] };
        let both = axle.pose(&[*from; 2], 0.0, heights.map(Drive::Height))?;
        Ok(both[from.hub.side as usize])
    }

    /// Both wheels of an axle by their travels and the steering travel, mm.
    ///
    /// # Errors
    /// [`OutOfReach`] where the linkage cannot follow.
    pub fn raise_axle(
        &self,
        from: &[CornerPose; 2],
        travel: [f64; 2],
        rack: f64,
    ) -> Result<[CornerPose; 2], OutOfReach> {
        let drive = |i: usize| Drive::Height(self.ride_height(from[i].hub) + travel[i]);
        self.of(&from[0]).pose(from, rack, [drive(0), drive(1)])
    }

    /// One wheel at ride height, steering straight ahead. A wheel that is not described stands as the front one does.
    pub fn ride(&self, hub: Hub) -> &CornerPose {
        self.ride.wheel(hub).unwrap_or(&self.ride.front[hub.side as usize])
    }

    /// Wheel travel from ride height, bump positive, mm.
    pub fn travel(&self, pose: &CornerPose) -> f64 {
        pose.wheel_centre.z - self.ride_height(pose.hub)
    }

    /// Wheel centre's z at ride height, body frame, mm.
    fn ride_height(&self, hub: Hub) -> f64 {
        self.ride(hub).wheel_centre.z
    }
}

/// The level ground seen from a body that has rolled and pitched about the point of the ground under the frame's origin
/// and then risen by the heave.
fn ground_in_body<T: Real>(ground: T, pose: &Pose<T>) -> Plane<T> {
    // Written out: nalgebra's turn by an angle of nought is no turn, and a dual number would lose its derivatives there.
    let ((sin_r, cos_r), (sin_p, cos_p)) = (pose.roll.sin_cos(), pose.pitch.sin_cos());
    let normal = Vector3::new(-sin_p, sin_r * cos_p, cos_r * cos_p);
    Plane { normal, offset: normal.z * ground - pose.heave }
}
