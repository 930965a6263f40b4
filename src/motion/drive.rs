//! What sets a wheel's height: a travel, or the ground that it stands on.

use nalgebra::Vector3;

use super::real::Real;

/// What a wheel is driven by.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Drive<T: Real = f64> {
    /// The wheel centre's z, body frame, mm.
    Height(T),
    /// The tyre stands on a plane.
    Ground(Plane<T>),
}

/// The ground as the body sees it: the points x with `normal . x = offset`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Plane<T: Real = f64> {
    /// Unit, up, body frame.
    pub normal: Vector3<T>,
    /// From the origin along the normal, mm.
    pub offset: T,
}

impl<T: Real> Plane<T> {
    /// Height of a point over the ground, mm.
    pub fn height(&self, at: Vector3<T>) -> T {
        self.normal.dot(&at) - self.offset
    }
}

/// A wheel on the part that carries it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Rolling<T: Real> {
    /// Wheel centre from the part's origin, in the measured attitude, mm.
    pub arm: Vector3<T>,
    /// Spin axis as measured, unit, outboard.
    pub spin: Vector3<T>,
    /// Wheel centre over the ground, wheel upright, mm.
    pub loaded_radius: T,
}

impl<T: Real> Drive<T> {
    /// What it asks for, mm: a height, or a plane's offset.
    pub(super) fn goal(&self) -> T {
        match self {
            Self::Height(z) => *z,
            Self::Ground(plane) => plane.offset,
        }
    }

    /// The same with another goal.
    pub(super) fn towards(&self, goal: T) -> Self {
        match *self {
            Self::Height(_) => Self::Height(goal),
            Self::Ground(Plane { normal, .. }) => Self::Ground(Plane { normal, offset: goal }),
        }
    }

    /// What the goal is compared with, mm, for a wheel whose centre lies at `at` + `arm` and whose spin axis is `spin`,
    /// and how that changes with a shift of the part at `at` and a small turn of it.
    pub(super) fn reads(&self, at: Vector3<T>, arm: Vector3<T>, spin: Vector3<T>, radius: T) -> (T, [T; 6]) {
        let (nought, one) = (T::zero(), T::one());
        match *self {
            Self::Height(_) => (at.z + arm.z, [nought, nought, one, arm.y, -arm.x, nought]),
            Self::Ground(Plane { normal, .. }) => {
                // The lowest point of a circle of radius r about the spin axis s lies r sqrt(1 - (n.s)^2) below its
                // centre, measured along n.
                let lean = normal.dot(&spin);
                let upright = (one - lean * lean).sqrt();
                let about = spin.cross(&normal) * (radius * lean / upright) + arm.cross(&normal);
                let n = normal;
                (n.dot(&(at + arm)) - radius * upright, [n.x, n.y, n.z, about.x, about.y, about.z])
            }
        }
    }
}
