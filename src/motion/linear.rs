//! A few linear equations in as many unknowns.
//!
//! By hand, because every pose solves a few such systems: this takes half the time of nalgebra's general decomposition,
//! and the sign of the determinant falls out of it.

use super::real::{Real, k};

/// A pivot this small is rounding: coefficients are unit vectors (1) and their moments (up to 1000 mm), good to 1e-13.
const NOTHING: f64 = 1e-11;
/// Another row leads only where it does so by this much: in a sweep the order of rows then hardly ever changes, and the
/// processor can guess it (threshold pivoting, in Duff, Erisman & Reid, Direct Methods for Sparse Matrices; from memory).
const LEADS: f64 = 0.1;

/// A square matrix, split into triangles.
pub(super) struct Triangles<T, const N: usize> {
    /// The upper triangle; below it how often each row above was taken from each row.
    rows: [[T; N]; N],
    /// One over each pivot.
    per: [T; N],
    /// Where each row came from.
    order: [usize; N],
    /// Sign of the determinant: 1, -1, or 0 where a pivot vanishes or is not a number. Then nothing can be solved.
    pub sign: f64,
}

impl<T: Real, const N: usize> Triangles<T, N> {
    /// Elimination with row swaps.
    #[inline]
    pub fn of(rows: &[[T; N]; N]) -> Self {
        let mut split = Self { rows: *rows, per: [T::zero(); N], order: std::array::from_fn(|i| i), sign: 1.0 };
        for i in 0..N {
            let size = |row: &[T; N]| row[i].abs();
            let largest = split.rows[i..].iter().map(size).fold(T::zero(), |a, b| if b > a { b } else { a });
            if size(&split.rows[i]) < k::<T>(LEADS) * largest {
                let lead = (i..N).find(|&j| size(&split.rows[j]) == largest).unwrap_or(i);
                split.rows.swap(i, lead);
                split.order.swap(i, lead);
                split.sign = -split.sign;
            }
            // Noughts ahead of the pivot, so that whole rows can be taken away: six are vectorised, a rest is not.
            let row: [T; N] = std::array::from_fn(|j| if j < i { T::zero() } else { split.rows[i][j] });
            // Written so that a NaN is nothing too.
            let something = row[i].abs() >= k(NOTHING);
            if !something {
                split.sign = 0.0;
                return split;
            }
            if row[i] < T::zero() {
                split.sign = -split.sign;
            }
            split.per[i] = T::one() / row[i];
            for below in &mut split.rows[i + 1..] {
                let times = below[i] * split.per[i];
                for (b, r) in below.iter_mut().zip(row) {
                    *b -= times * r;
                }
                below[i] = times;
            }
        }
        split
    }

    /// The unknowns for a right-hand side.
    #[inline]
    pub fn solve(&self, right: &[T; N]) -> [T; N] {
        let mut x = [T::zero(); N];
        for i in 0..N {
            let known = (0..i).fold(T::zero(), |sum, j| sum + self.rows[i][j] * x[j]);
            x[i] = right[self.order[i]] - known;
        }
        for i in (0..N).rev() {
            let known = (i + 1..N).fold(T::zero(), |sum, j| sum + self.rows[i][j] * x[j]);
            x[i] = (x[i] - known) * self.per[i];
        }
        x
    }
}

#[cfg(test)]
mod tests {
    use nalgebra::{Matrix6, Vector6};
    use proptest::prelude::*;

    use super::*;

    proptest! {
        /// Against nalgebra's decomposition.
        #[test]
        fn solves_what_it_is_given(
            mut rows in prop::array::uniform6(prop::array::uniform6(-300.0..300.0f64)),
            right in prop::array::uniform6(-300.0..300.0f64), nought in 0..6usize,
        ) {
            // A height's row has one entry alone, and rows have to be swapped where the diagonal vanishes.
            rows[5] = [0.0, 0.0, 1.0, 0.0, 0.0, 0.0];
            rows[nought][nought] = 0.0;
            let matrix = Matrix6::from_fn(|i, j| rows[i][j]);
            let determinant = matrix.lu().determinant();
            let triangles = Triangles::of(&rows);
            if determinant == 0.0 {
                prop_assert_eq!(triangles.sign, 0.0);
                return Ok(());
            }
            prop_assert_eq!(triangles.sign, determinant.signum());
            let x = Vector6::from(triangles.solve(&right));
            let left_over = (matrix * x - Vector6::from(right)).amax();
            prop_assert!(left_over < 1e-12 * (300.0 * x.amax() + 300.0), "{left_over}");
        }
    }

    #[test]
    fn what_has_no_answer_gets_none() {
        for rows in [[[0.0; 6]; 6], [[f64::NAN; 6]; 6], [[1.0; 6]; 6]] {
            assert_eq!(Triangles::of(&rows).sign, 0.0);
        }
    }
}
