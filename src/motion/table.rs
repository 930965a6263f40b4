//! The measured points of an axle, both sides, in the core's scalar.

use nalgebra::Vector3;

use super::real::{Real, lift};
use crate::car::axle::Axle;
use crate::car::{PointName, Side};

/// Measured points of both sides, body frame, mm, and the wheels' spin axes.
#[derive(Debug, Clone, PartialEq)]
pub struct Measured<T: Real = f64> {
    points: [Box<[Option<Vector3<T>>; PointName::COUNT]>; 2],
    /// Unit, outboard.
    pub spin: [Vector3<T>; 2],
}

impl Measured {
    /// Of an axle as described.
    pub fn of(axle: &Axle) -> Self {
        let side = |side| Box::new(std::array::from_fn(|i| axle.point(side, PointName::ALL[i])));
        Self { points: Side::BOTH.map(side), spin: Side::BOTH.map(|side| axle.spin_axis(side)) }
    }

    /// The same in another scalar.
    pub fn lifted<T: Real>(&self) -> Measured<T> {
        let side = |i: usize| Box::new(self.points[i].map(|p| p.map(lift)));
        Measured { points: [side(0), side(1)], spin: self.spin.map(lift) }
    }
}

impl<T: Real> Measured<T> {
    /// A side's point, if it was measured. One that is there once is the same on both sides.
    pub fn at(&self, side: Side, name: PointName) -> Option<Vector3<T>> {
        self.points[side as usize][name as usize]
    }

    /// A side's point, to change.
    pub fn at_mut(&mut self, side: Side, name: PointName) -> &mut Option<Vector3<T>> {
        &mut self.points[side as usize][name as usize]
    }
}
