//! The scalar that the core is written in: `f64` to solve, dual numbers to differentiate.
//!
//! A dual number carries a value and its derivatives by two chosen things: a motion of the car, and a reading off the
//! tape. Every formula of the core runs on either scalar, so a derivative is exact and belongs to the very code that gave
//! the value. Poses are differentiated through the constraints that hold them (implicit differentiation): a Newton step
//! in dual numbers from a solved pose has the first derivatives right, and a second step the mixed one.

use nalgebra::{RealField, Vector3};
use num_dual::HyperDual64;

/// A value with its derivatives by a motion (`eps1`), by a reading (`eps2`) and by both (`eps1eps2`).
pub type Dual = HyperDual64;

/// `f64`, or a dual number.
pub trait Real: RealField + Copy {}

impl<T: RealField + Copy> Real for T {}

/// A constant.
pub fn k<T: Real>(value: f64) -> T {
    nalgebra::convert(value)
}

/// A constant vector.
pub fn lift<T: Real>(v: Vector3<f64>) -> Vector3<T> {
    v.map(k)
}

/// A value of the motion itself.
pub fn moving(value: f64) -> Dual {
    Dual::new(value, 1.0, 0.0, 0.0)
}

/// A value that is read.
pub fn read(value: f64) -> Dual {
    Dual::new(value, 0.0, 1.0, 0.0)
}
