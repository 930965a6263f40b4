//! Where a piece of the car is in a pose.

use nalgebra::{Matrix3, Rotation3, UnitQuaternion, Vector3};

use crate::car::{Hub, PointName, Side};
use crate::motion::{Posed, RunningGear};
use crate::space::Spot;

/// How a piece goes with a pose. Its mesh is given in a frame of its own, which this carries into the body's.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Moves {
    /// Not: it is part of the body, and its mesh is in the body's frame.
    Still,
    /// With the upright, trailing arm or stiff axle; the mesh is from the wheel centre, directions as measured.
    Upright(Hub),
    /// With the wheel, which does not roll here: x along the spin axis outboard, from the wheel centre.
    Wheel(Hub),
    /// As the stiff part that these places ride on: the first is the origin, the second lies along x, the third in the
    /// half-plane of positive y.
    Stiff(Hub, [Spot; 3]),
    /// From one place towards another, along x.
    Towards(Hub, Line),
    /// Between two places, along x: stretched as they move apart, not at all where it was measured.
    Between(Hub, Line),
    /// With the rack, from its left inner joint towards the right one, along x.
    Rack,
}

/// A line between two places that move, for what is alike all round it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line {
    /// From and to.
    pub ends: [Spot; 2],
    /// Whether its y lies across the car's length rather than level: to be chosen once, or a bar near 45 degrees would
    /// spin about itself on the way.
    pub steep: bool,
    /// Its length as measured, mm.
    pub length: f64,
}

/// From a piece's own frame to the body's: stretched along x, then turned, then shifted. Rigid where the stretch is 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Transform {
    /// Where the origin goes, mm.
    pub at: Vector3<f64>,
    /// A proper turn.
    pub turn: UnitQuaternion<f64>,
    /// Of x.
    pub stretch: f64,
}

impl Transform {
    /// Nothing moves.
    pub fn identity() -> Self {
        Self { at: Vector3::zeros(), turn: UnitQuaternion::identity(), stretch: 1.0 }
    }

    /// Of a place.
    pub fn of(&self, p: Vector3<f64>) -> Vector3<f64> {
        self.at + self.turn * Vector3::new(p.x * self.stretch, p.y, p.z)
    }

    /// The place in the piece's own frame that goes to `p`.
    pub fn back(&self, p: Vector3<f64>) -> Vector3<f64> {
        let own = self.turn.inverse() * (p - self.at);
        Vector3::new(own.x / self.stretch, own.y, own.z)
    }

    /// As columns: the frame's directions must be unit and square to each other.
    fn from_columns(at: Vector3<f64>, columns: [Vector3<f64>; 3]) -> Self {
        let turn = Rotation3::from_matrix_unchecked(Matrix3::from_columns(&columns));
        Self { at, turn: UnitQuaternion::from_rotation_matrix(&turn), stretch: 1.0 }
    }
}

impl Moves {
    /// Where the piece is, body frame. None where one of its places is out of reach.
    pub fn placed(&self, gear: &RunningGear, posed: &Posed) -> Option<Transform> {
        let spot = |hub: Hub, spot: Spot| {
            let pose = posed.wheel(hub)?;
            spot.at(gear.of(pose), pose)
        };
        match *self {
            Self::Still => Some(Transform::identity()),
            Self::Upright(hub) => {
                let pose = posed.wheel(hub)?;
                let turn = Rotation3::from_matrix_unchecked(pose.turn);
                let turn = UnitQuaternion::from_rotation_matrix(&turn);
                Some(Transform { at: pose.wheel_centre, turn, stretch: 1.0 })
            }
            Self::Wheel(hub) => {
                let pose = posed.wheel(hub)?;
                // The sign keeps y ahead on both sides, or nearly.
                let ahead = pose.turn * Vector3::x();
                Some(framed(pose.wheel_centre, pose.spin, ahead))
            }
            Self::Stiff(hub, [origin, along, beside]) => {
                let [o, x, y] = [spot(hub, origin)?, spot(hub, along)?, spot(hub, beside)?];
                Some(framed(o, x - o, y - o))
            }
            Self::Towards(hub, Line { ends: [from, to], steep, .. }) => {
                towards(spot(hub, from)?, spot(hub, to)?, steep)
            }
            Self::Between(hub, Line { ends: [from, to], steep, length }) => {
                let [from, to] = [spot(hub, from)?, spot(hub, to)?];
                Some(Transform { stretch: (to - from).norm() / length, ..towards(from, to, steep)? })
            }
            Self::Rack => {
                let [left, right] = Side::BOTH.map(|side| {
                    let hub = Hub { axle: crate::car::AxleName::Front, side };
                    spot(hub, Spot::At(PointName::TieRodInner))
                });
                towards(left?, right?, false)
            }
        }
    }
}

/// A frame with x along the one direction and y as near as may be to the other.
fn framed(at: Vector3<f64>, x: Vector3<f64>, y: Vector3<f64>) -> Transform {
    let x = x.try_normalize(1e-9).unwrap_or_else(Vector3::x);
    let y = (y - x * x.dot(&y)).try_normalize(1e-9).unwrap_or_else(|| square_to(x, x.z.abs() > 0.7));
    Transform::from_columns(at, [x, y, x.cross(&y)])
}

/// A frame with x along a line.
fn towards(from: Vector3<f64>, to: Vector3<f64>, steep: bool) -> Option<Transform> {
    let x = (to - from).try_normalize(1e-9)?;
    let y = square_to(x, steep);
    Some(Transform::from_columns(from, [x, y, x.cross(&y)]))
}

/// A unit direction square to another: level, or for a steep one across the car's length.
fn square_to(x: Vector3<f64>, steep: bool) -> Vector3<f64> {
    let helper = if steep { Vector3::x() } else { Vector3::z() };
    helper.cross(&x).try_normalize(1e-9).unwrap_or_else(Vector3::y)
}
