//! What the inner tie-rod joints ride on: a rack, or the centre link of a steering box.
//!
//! Both take one number, the steering travel s in mm, positive to the car's left: the rack's own, or the arc of the
//! pitman arm's end.

mod leeway;

pub(super) use leeway::Reach;

use std::f64::consts::{PI, TAU};

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
    /// Steering travel between which the idler arm follows, mm: see [`Steering::with_swing`].
    swing: [T; 2],
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
        let swing = [f64::NEG_INFINITY, f64::INFINITY].map(k);
        Some(Self { shaft, axis: axis_left, arm, radius: to_left.norm(), idler, on_link, swing })
    }

    /// The pitman arm's end.
    fn pitman(&self, s: T) -> Vector3<T> {
        self.shaft + about(self.axis, s / self.radius, self.arm)
    }

    /// The centre link's directions as columns, and both its ends.
    fn link(&self, s: T) -> (Matrix3<T>, Vector3<T>, Vector3<T>) {
        let pitman = self.pitman(s);
        // Out of reach is not a number, nor is what lies beyond.
        let within = s > self.swing[0] && s < self.swing[1];
        let idler = if within { self.idler.end(pitman) } else { None };
        let idler = idler.unwrap_or_else(|| pitman * k::<T>(f64::NAN));
        (directions(pitman, idler, self.axis), pitman, idler)
    }

    fn inner_speed(&self, side: Side, s: T) -> Vector3<T> {
        let Speeds { pitman, along, across, up, .. } = self.speeds(s);
        pitman + Matrix3::from_columns(&[along, across, up]) * self.on_link[side as usize]
    }

    fn speeds(&self, s: T) -> Speeds<T> {
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
        Speeds { pitman: pitman_speed, along: along_speed, raised: raised_speed, across: across_speed, up: up_speed }
    }
}

/// What moves for a millimetre of steering travel: the pitman arm's end, and the centre link's directions, its up also
/// before that has unit length.
struct Speeds<T: Real> {
    pitman: Vector3<T>,
    along: Vector3<T>,
    raised: Vector3<T>,
    across: Vector3<T>,
    up: Vector3<T>,
}

impl Steering<f64> {
    /// The same with the end of its idler arm's swing looked up. Once is enough: what starts from a solved pose and
    /// follows its derivatives never gets there.
    pub fn with_swing(self) -> Self {
        match self {
            Self::Box(b) => Self::Box(SteeringBox { swing: b.find_swing(), ..b }),
            other => other,
        }
    }

    /// The arm that stops the steering at this travel, where one does.
    pub fn stopped_by(&self, s: f64) -> Option<&'static str> {
        let Self::Box(b) = self else { return None };
        let ends = b.swing.iter().any(|end| (s - end).abs() < 1e-6);
        let half_round = s.abs() > b.radius * PI - 1e-6;
        ends.then_some(if half_round { "pitman arm" } else { "idler arm" })
    }
}

impl SteeringBox<f64> {
    /// The steering travels, right and left, at which the idler arm first lies in one line with the centre link, or comes
    /// so near to it that it could as well fold the other way. Past that the pitman arm may find a place for it again,
    /// but not one that it can be turned to. No pitman arm goes further than half round.
    fn find_swing(&self) -> [f64; 2] {
        let slack = |s: f64| self.idler.slack(self.pitman(s));
        let nothing = 1e-9 * slack(0.0);
        [-1.0, 1.0].map(|way| {
            let step = way * self.radius * TAU / 64.0;
            let reached = |s: f64| slack(s) > nothing;
            // Over a turn the slack is made of sines and cosines of the angle and its double, so that a dip of it is wider
            // than three steps.
            for i in 1..=32 {
                let [before, here, after] = [-1.0, 0.0, 1.0].map(|k| (f64::from(i) + k) * step);
                let dips = slack(here) < slack(before) && slack(here) <= slack(after);
                let lowest = if dips { lowest(slack, before, after) } else { here };
                if !reached(lowest) {
                    return between(reached, before, lowest);
                }
            }
            way * self.radius * PI
        })
    }
}

/// Where a function with one dip between two places is least (golden section).
fn lowest(f: impl Fn(f64) -> f64, mut a: f64, mut b: f64) -> f64 {
    let golden = (5f64.sqrt() - 1.0) / 2.0;
    for _ in 0..60 {
        let (c, d) = (b - golden * (b - a), a + golden * (b - a));
        if f(c) < f(d) { b = d } else { a = c }
    }
    (a + b) / 2.0
}

/// Where something ends that is so at the first place and not at the second, by halving.
fn between(is: impl Fn(f64) -> bool, mut within: f64, mut beyond: f64) -> f64 {
    for _ in 0..60 {
        let middle = (within + beyond) / 2.0;
        if is(middle) { within = middle } else { beyond = middle }
    }
    within
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
