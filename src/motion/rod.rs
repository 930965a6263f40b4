//! A rod of constant length, the commonest thing that holds a part.

use nalgebra::{Matrix3, Vector3};

use super::placement::Placement;
use super::real::{Real, k};

/// A rod from a point of the body to a point of the part that it holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Rod<T: Real> {
    /// Joint on the body, body frame, mm.
    pub body: Vector3<T>,
    /// Joint on the held part, from its origin, in the measured attitude, mm.
    pub arm: Vector3<T>,
    /// Length, mm.
    pub length: T,
}

impl<T: Real> Rod<T> {
    /// Between two points as measured, on a part with this origin.
    pub fn new(body: Vector3<T>, held: Vector3<T>, origin: Vector3<T>) -> Self {
        Self { body, arm: held - origin, length: (held - body).norm() }
    }

    /// How much too long it is, mm, and how that changes with a shift of the part and a small turn in the body frame.
    pub fn row(&self, at: Vector3<T>, turn: &Matrix3<T>) -> (T, [T; 6]) {
        let arm = turn * self.arm;
        slope(arm, self.stretch(at + arm))
    }

    /// The same for a rod that gives: its own length, since one that is not brought to nought must be right beyond first
    /// order.
    pub fn giving_row(&self, at: Vector3<T>, turn: &Matrix3<T>) -> (T, [T; 6]) {
        let arm = turn * self.arm;
        let rod = at + arm - self.body;
        let length = rod.norm();
        slope(arm, (length - self.length, rod / length))
    }

    /// How much too long it is with its joint on the part at `end`, mm, and its direction from the body.
    pub fn stretch(&self, end: Vector3<T>) -> (T, Vector3<T>) {
        let rod = end - self.body;
        // (|rod|^2 - L^2) / 2L: equals |rod| - L to first order and needs no root.
        let per = T::one() / self.length;
        (k::<T>(0.5) * (rod.norm_squared() * per - self.length), rod * per)
    }

    /// How much too long it is, to the last digit, mm.
    pub fn error(&self, p: &Placement<T>) -> T {
        (p.at + p.matrix() * self.arm - self.body).norm() - self.length
    }
}

/// How a stretch along a direction changes with a shift of the part and a small turn in the body frame.
fn slope<T: Real>(arm: Vector3<T>, (left_over, along): (T, Vector3<T>)) -> (T, [T; 6]) {
    let about = arm.cross(&along);
    (left_over, [along.x, along.y, along.z, about.x, about.y, about.z])
}
