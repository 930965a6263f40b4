//! Six linear equations in six unknowns.
//!
//! By hand, because every pose solves a few such systems: this takes half the time of nalgebra's general decomposition,
//! and the sign of the determinant falls out of it.

/// A pivot this small is rounding: coefficients are unit vectors (1) and their moments (up to 1000 mm), good to 1e-13.
const NOTHING: f64 = 1e-11;
/// Another row leads only where it does so by this much: in a sweep the order of rows then hardly ever changes, and the
/// processor can guess it (threshold pivoting, in Duff, Erisman & Reid, Direct Methods for Sparse Matrices; from memory).
const LEADS: f64 = 0.1;

/// A matrix of six rows, split into triangles.
pub(super) struct Triangles {
    /// The upper triangle; below it how often each row above was taken from each row.
    rows: [[f64; 6]; 6],
    /// One over each pivot.
    per: [f64; 6],
    /// Where each row came from.
    order: [usize; 6],
    /// Sign of the determinant: 1, -1, or 0 where a pivot vanishes or is not a number. Then nothing can be solved.
    pub sign: f64,
}

impl Triangles {
    /// Elimination with row swaps.
    pub fn of(rows: &[[f64; 6]; 6]) -> Self {
        let order = [0, 1, 2, 3, 4, 5];
        let mut split = Self { rows: *rows, per: [0.0; 6], order, sign: 1.0 };
        for k in 0..6 {
            let size = |row: &[f64; 6]| row[k].abs();
            let largest = split.rows[k..].iter().map(size).fold(0.0, f64::max);
            if size(&split.rows[k]) < LEADS * largest {
                let lead = (k..6).find(|&i| size(&split.rows[i]) == largest).unwrap_or(k);
                split.rows.swap(k, lead);
                split.order.swap(k, lead);
                split.sign = -split.sign;
            }
            // Noughts ahead of the pivot, so that whole rows can be taken away: six are vectorised, a rest is not.
            let row: [f64; 6] = std::array::from_fn(|j| if j < k { 0.0 } else { split.rows[k][j] });
            if row[k].abs() < NOTHING || row[k].is_nan() {
                split.sign = 0.0;
                return split;
            }
            split.sign *= row[k].signum();
            split.per[k] = 1.0 / row[k];
            for below in &mut split.rows[k + 1..] {
                let times = below[k] * split.per[k];
                for (b, r) in below.iter_mut().zip(row) {
                    *b -= times * r;
                }
                below[k] = times;
            }
        }
        split
    }

    /// The unknowns for a right-hand side.
    pub fn solve(&self, right: &[f64; 6]) -> [f64; 6] {
        let mut x = [0.0; 6];
        for k in 0..6 {
            let known: f64 = (0..k).map(|j| self.rows[k][j] * x[j]).sum();
            x[k] = right[self.order[k]] - known;
        }
        for k in (0..6).rev() {
            let known: f64 = (k + 1..6).map(|j| self.rows[k][j] * x[j]).sum();
            x[k] = (x[k] - known) * self.per[k];
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
