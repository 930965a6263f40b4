//! A scan laid on the car: the turn and shift that bring the points picked on it nearest to the car's.
//!
//! Least squares over all pairs, without a change of size or hand (Kabsch 1976, with Umeyama's care for reflections,
//! IEEE PAMI 13, 1991): the turn comes from the singular vectors of the pairs' covariance.

use nalgebra::{DMatrix, Isometry3, Matrix3, Rotation3, Translation3, UnitQuaternion, Vector3};

/// A turn and a shift, and how well they fit.
#[derive(Debug, Clone, PartialEq)]
pub struct Placing {
    /// From the scan's frame to the car's, mm.
    pub carry: Isometry3<f64>,
    /// How far each picked point lies off its place on the car, mm, in their order.
    pub off: Vec<f64>,
}

impl Placing {
    /// Of pairs, [on the scan, on the car], mm, that the car file's check let pass. Without any the scan stays.
    pub fn of(pairs: &[[Vector3<f64>; 2]]) -> Self {
        if pairs.is_empty() {
            return Self { carry: Isometry3::identity(), off: Vec::new() };
        }
        let middle = |k: usize| pairs.iter().map(|p| p[k]).sum::<Vector3<f64>>() / pairs.len() as f64;
        let (on_scan, on_car) = (middle(0), middle(1));
        let covariance: Matrix3<f64> = pairs.iter().map(|[s, c]| (c - on_car) * (s - on_scan).transpose()).sum();
        // As a matrix of any size: the library's short cut for 3 by 3 squares the matrix, and with it the error where
        // the points lie near one line.
        let svd = DMatrix::from_column_slice(3, 3, covariance.as_slice()).svd(true, true);
        let identity = Matrix3::identity;
        let square = |m: Option<DMatrix<f64>>| m.map_or_else(identity, |m| Matrix3::from_column_slice(m.as_slice()));
        let (u, v_t) = (square(svd.u), square(svd.v_t));
        // A mirror image may fit better; a scan cannot be turned into one. The weakest direction gives way.
        let mut hand = identity();
        let weakest = svd.singular_values.imin();
        hand[(weakest, weakest)] = (u * v_t).determinant().signum();
        let turn = Rotation3::from_matrix_unchecked(u * hand * v_t);
        let shift = on_car - turn * on_scan;
        let carry = Isometry3::from_parts(Translation3::from(shift), UnitQuaternion::from_rotation_matrix(&turn));
        let off = pairs.iter().map(|[s, c]| (turn * s + shift - c).norm()).collect();
        Self { carry, off }
    }

    /// Root of the mean square of what the points lie off, mm; none without points.
    pub fn rms(&self) -> Option<f64> {
        let count = self.off.len() as f64;
        (count > 0.0).then(|| (self.off.iter().map(|mm| mm * mm).sum::<f64>() / count).sqrt())
    }

    /// The point that lies furthest off: which, from 1, and by how much, mm.
    pub fn worst(&self) -> Option<(usize, f64)> {
        let worst = self.off.iter().enumerate().max_by(|a, b| a.1.total_cmp(b.1));
        worst.map(|(index, mm)| (index + 1, *mm))
    }
}
