//! A scan laid on the car: the turn and shift that bring the points picked on it nearest to the car's.
//!
//! Least squares over all pairs, without a change of size or hand.

use std::ops::AddAssign;

use nalgebra::{Isometry3, Matrix3, Matrix4, Quaternion, Translation3, UnitQuaternion, Vector3, Vector4};

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
        // The turn that fits best is the longest axis of a symmetric matrix of four, as a quaternion (Horn, "Closed-form
        // solution of absolute orientation using unit quaternions", 1987): never a mirror image, and exact where the
        // points lie in a plane or nearly in a line.
        let m: Matrix3<f64> = pairs.iter().map(|[s, c]| (s - on_scan) * (c - on_car).transpose()).sum();
        let [xy, yz, zx] = [m[(0, 1)] - m[(1, 0)], m[(1, 2)] - m[(2, 1)], m[(2, 0)] - m[(0, 2)]];
        let twice = m + m.transpose();
        let mut horn = Matrix4::from_diagonal(&Vector4::new(m.trace(), -m.trace(), -m.trace(), -m.trace()));
        for (k, turned) in [yz, zx, xy].into_iter().enumerate() {
            horn[(0, k + 1)] = turned;
            horn[(k + 1, 0)] = turned;
        }
        horn.fixed_view_mut::<3, 3>(1, 1).add_assign(&twice);
        let axes = horn.symmetric_eigen();
        let best = axes.eigenvectors.column(axes.eigenvalues.imax());
        let turn = UnitQuaternion::from_quaternion(Quaternion::new(best[0], best[1], best[2], best[3]));
        let shift = on_car - turn * on_scan;
        let carry = Isometry3::from_parts(Translation3::from(shift), turn);
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
