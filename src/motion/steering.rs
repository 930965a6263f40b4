//! What the inner tie-rod joints ride on: a rack, or the centre link of a steering box.
//!
//! Both take one number, the steering travel s in mm, positive to the car's left: the rack's own, or the arc of the
//! pitman arm's end.

use nalgebra::{Matrix3, Vector3};

use super::real::{Real, k};
use super::table::Measured;
use super::turning::{Turning, about};
use crate::car::axle::Axle;
use crate::car::{PointName, Side};

/// What moves the inner tie-rod joints.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Steering<T: Real> {
    /// Nothing.
    None,
    /// A rack.
    Rack(Rack<T>),
    /// A steering box.
    Box(SteeringBox<T>),
}

/// A rack: its axis runs through both inner joints.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Rack<T: Real> {
    inner: [Vector3<T>; 2],
    axis: Vector3<T>,
}

/// A pitman arm and an idler arm that carry a centre link, and the joints on it.
///
/// The centre link keeps its roll about its own line so that the pitman shaft's direction, seen along the line, stays
/// its up: a link on a ball joint at one end and a pin parallel to the shaft at the other does that as good as exactly.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct SteeringBox<T: Real> {
    shaft: Vector3<T>,
    /// Unit, so that turning about it by a positive angle takes the pitman arm's end to the left.
    axis: Vector3<T>,
    /// Pitman arm's end from the shaft, straight ahead.
    arm: Vector3<T>,
    /// Millimetres of arc for a radian.
    radius: T,
    /// The idler arm, held by the centre link's own length.
    idler: Turning<T>,
    /// Inner joints from the pitman arm's end, in the centre link's directions.
    on_link: [Vector3<T>; 2],
}

impl<T: Real> Steering<T> {
    /// As measured.
    pub fn new(axle: &Axle, measured: &Measured<T>) -> Self {
        let inner = Side::BOTH.map(|side| measured.at(side, PointName::TieRodInner));
        let [Some(left), Some(right)] = inner else { return Self::None };
        if axle.rack.is_some() {
            let axis = (left - right).try_normalize(k(1e-9)).unwrap_or_else(Vector3::y);
            return Self::Rack(Rack { inner: [left, right], axis });
        }
        let boxed = || SteeringBox::new(measured, [left, right]).map(Self::Box);
        axle.steering_box.and_then(|_| boxed()).unwrap_or(Self::None)
    }

    /// A side's inner joint with the steering at `s`, body frame, mm; none where nothing moves it. Beyond the end of an
    /// idler arm's swing it is not a number, which no linkage can follow.
    pub fn inner(&self, side: Side, s: T) -> Option<Vector3<T>> {
        match self {
            Self::None => None,
            Self::Rack(rack) => Some(rack.inner[side as usize] + rack.axis * s),
            Self::Box(b) => {
                let (directions, pitman, _) = b.link(s);
                Some(pitman + directions * b.on_link[side as usize])
            }
        }
    }

    /// How far a side's inner joint moves for a millimetre of steering travel.
    pub fn inner_speed(&self, side: Side, s: T) -> Option<Vector3<T>> {
        match self {
            Self::None => None,
            Self::Rack(rack) => Some(rack.axis),
            Self::Box(b) => Some(b.inner_speed(side, s)),
        }
    }

    /// Length that a side's inner joint moves for a millimetre of steering travel, where it moves straight. None where its
    /// path is bent.
    pub fn straight(&self) -> Option<f64> {
        match self {
            Self::None => Some(0.0),
            Self::Rack(_) => Some(1.0),
            Self::Box(_) => None,
        }
    }

    /// Turn of what carries the inner joints, from straight ahead. A rack does not turn.
    pub fn turn(&self, s: T) -> Matrix3<T> {
        match self {
            Self::Box(b) => b.link(s).0 * b.link(T::zero()).0.transpose(),
            Self::None | Self::Rack(_) => Matrix3::identity(),
        }
    }

    /// The pitman arm's and the idler arm's ends with the steering at `s`, body frame, mm.
    pub fn ends(&self, s: T) -> Option<[Vector3<T>; 2]> {
        let Self::Box(b) = self else { return None };
        let (_, pitman, idler) = b.link(s);
        Some([pitman, idler])
    }
}

impl<T: Real> SteeringBox<T> {
    fn new(measured: &Measured<T>, inner: [Vector3<T>; 2]) -> Option<Self> {
        use PointName::{IdlerEnd, IdlerShaft, IdlerShaftTop, PitmanEnd, PitmanShaft, PitmanShaftTop};
        let at = |name| measured.at(Side::Left, name);
        let axis = |shaft: Vector3<T>, top| {
            at(top).and_then(|top: Vector3<T>| (top - shaft).try_normalize(k(1e-9))).unwrap_or_else(Vector3::z)
        };
        let (shaft, end) = (at(PitmanShaft)?, at(PitmanEnd)?);
        let (idler_shaft, idler_end) = (at(IdlerShaft)?, at(IdlerEnd)?);
        let up = axis(shaft, PitmanShaftTop);
        let arm = end - shaft;
        let to_left = up.cross(&arm);
        // Up or down, whichever turns the arm's end to the left.
        let axis_left = if to_left.y < T::zero() { -up } else { up };
        let idler = Turning::new(idler_shaft, axis(idler_shaft, IdlerShaftTop), idler_end, end);
        let directions = directions(end, idler_end, axis_left);
        let on_link = inner.map(|joint| directions.transpose() * (joint - end));
        Some(Self { shaft, axis: axis_left, arm, radius: to_left.norm(), idler, on_link })
    }

    /// The centre link's directions as columns, and both its ends.
    fn link(&self, s: T) -> (Matrix3<T>, Vector3<T>, Vector3<T>) {
        let pitman = self.shaft + about(self.axis, s / self.radius, self.arm);
        // Out of reach is not a number.
        let idler = self.idler.end(pitman).unwrap_or_else(|| pitman * k::<T>(f64::NAN));
        (directions(pitman, idler, self.axis), pitman, idler)
    }

    fn inner_speed(&self, side: Side, s: T) -> Vector3<T> {
        let (_, pitman, idler) = self.link(s);
        let pitman_speed = self.axis.cross(&(pitman - self.shaft)) / self.radius;
        let idler_speed = self.idler.end_speed(pitman, pitman_speed).unwrap_or_else(Vector3::zeros);
        // The directions' own derivatives: along, then up as far as it is square to along, then across.
        let (line, line_speed) = (idler - pitman, idler_speed - pitman_speed);
        let (along, along_speed) = unit_speed(line, line_speed);
        let lies = along.dot(&self.axis);
        let raised = self.axis - along * lies;
        let raised_speed = -along_speed * lies - along * along_speed.dot(&self.axis);
        let (up, up_speed) = unit_speed(raised, raised_speed);
        let across_speed = up_speed.cross(&along) + up.cross(&along_speed);
        pitman_speed + Matrix3::from_columns(&[along_speed, across_speed, up_speed]) * self.on_link[side as usize]
    }
}

/// A centre link's directions as columns: along it, across it, up as near to the shaft's as lies square to it.
fn directions<T: Real>(pitman: Vector3<T>, idler: Vector3<T>, axis: Vector3<T>) -> Matrix3<T> {
    let along = (idler - pitman).normalize();
    let up = (axis - along * along.dot(&axis)).normalize();
    Matrix3::from_columns(&[along, up.cross(&along), up])
}

/// A vector's direction, and how fast that turns.
fn unit_speed<T: Real>(v: Vector3<T>, speed: Vector3<T>) -> (Vector3<T>, Vector3<T>) {
    let length = v.norm();
    let unit = v / length;
    (unit, (speed - unit * unit.dot(&speed)) / length)
}
