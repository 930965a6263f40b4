//! Where a stiff part is, and how fast it moves.

use nalgebra::{Matrix3, Quaternion, Vector3};

use super::real::{Real, k, lift};

/// Where a part is: its origin, and how it has turned since the car was measured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Placement<T: Real = f64> {
    /// Origin (an upright's is its wheel centre, a stiff axle's the middle between its wheels), body frame, mm.
    pub at: Vector3<T>,
    /// Turn from the measured attitude, a unit quaternion.
    pub turn: Quaternion<T>,
}

impl<T: Real> Placement<T> {
    /// As measured, with the origin at `at`.
    pub fn measured(at: Vector3<T>) -> Self {
        Self { at, turn: Quaternion::new(T::one(), T::zero(), T::zero(), T::zero()) }
    }

    /// The turn as a matrix.
    pub fn matrix(&self) -> Matrix3<T> {
        let (w, v) = (self.turn.scalar(), self.turn.vector());
        let (x, y, z, two) = (v[0], v[1], v[2], k::<T>(2.0));
        let one = T::one();
        Matrix3::new(
            one - two * (y * y + z * z),
            two * (x * y - w * z),
            two * (x * z + w * y),
            two * (x * y + w * z),
            one - two * (x * x + z * z),
            two * (y * z - w * x),
            two * (x * z - w * y),
            two * (y * z + w * x),
            one - two * (x * x + y * y),
        )
    }

    /// Moved back by a Newton step: a shift and a small turn in the body frame.
    pub fn less(&self, [x, y, z, a, b, c]: [T; 6]) -> Self {
        let half = k::<T>(-0.5);
        let turn = Quaternion::new(T::one(), half * a, half * b, half * c) * self.turn;
        // One over the length, as good as that for lengths this near to one, and without a root: the last steps of Newton's
        // method turn by next to nothing, and what the first ones left of an error squares away in them.
        let per_length = k::<T>(1.5) - k::<T>(0.5) * turn.norm_squared();
        Self { at: self.at - Vector3::new(x, y, z), turn: turn * per_length }
    }
}

impl Placement {
    /// The same in another scalar.
    pub fn lifted<T: Real>(&self) -> Placement<T> {
        let q = self.turn.coords;
        Placement { at: lift(self.at), turn: Quaternion::new(k(q[3]), k(q[0]), k(q[1]), k(q[2])) }
    }
}

/// How fast a part moves, per millimetre of whatever drives it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Speed<T: Real = f64> {
    /// Of its origin.
    pub shift: Vector3<T>,
    /// Turning, radians.
    pub turn: Vector3<T>,
    /// Its origin, body frame, mm.
    origin: Vector3<T>,
}

impl<T: Real> Speed<T> {
    /// From the six rates of a placement.
    pub(super) fn new([x, y, z, a, b, c]: [T; 6], origin: Vector3<T>) -> Self {
        Self { shift: Vector3::new(x, y, z), turn: Vector3::new(a, b, c), origin }
    }

    /// Of a point of the part that lies at `at` in this pose.
    pub fn of(&self, at: Vector3<T>) -> Vector3<T> {
        self.shift + self.turn.cross(&(at - self.origin))
    }

    /// Both together, each so many times.
    pub fn blend(&self, times: T, other: &Self, other_times: T) -> Self {
        Self {
            shift: self.shift * times + other.shift * other_times,
            turn: self.turn * times + other.turn * other_times,
            origin: self.origin,
        }
    }
}
