//! Six linear equations in six unknowns.
//!
//! By hand, because every pose solves three or four such systems: on rows of eight numbers the compiler unrolls and
//! vectorises the elimination, which takes half the time of nalgebra's general decomposition, and the sign of the
//! determinant falls out of it.

/// Rows of six coefficients and two right-hand sides.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Six(pub [[f64; 8]; 6]);

/// A pivot this small is rounding: coefficients are unit vectors (1) and their moments (up to 1000 mm), good to 1e-13.
const NOTHING: f64 = 1e-11;

/// What a [`Six`] comes to.
pub(super) struct Solved {
    /// The unknowns for each of the right-hand sides.
    pub unknowns: [[f64; 6]; 2],
    /// Sign of the determinant, 1 or -1.
    pub sign: f64,
}

impl Six {
    /// Elimination with partial pivoting. None where a pivot vanishes, or is not a number.
    pub fn solve(&self) -> Option<Solved> {
        let mut rows = self.0;
        let mut sign = 1.0f64;
        for k in 0..6 {
            let mut lead = k;
            for i in k + 1..6 {
                if rows[i][k].abs() > rows[lead][k].abs() {
                    lead = i;
                }
            }
            if lead != k {
                rows.swap(k, lead);
                sign = -sign;
            }
            let row = rows[k];
            // Not `<=`: a pivot that is not a number is none either.
            if !(row[k].abs() > NOTHING) {
                return None;
            }
            sign *= row[k].signum();
            let per = 1.0 / row[k];
            for below in &mut rows[k + 1..] {
                let times = below[k] * per;
                for (b, r) in below.iter_mut().zip(row) {
                    *b -= times * r;
                }
            }
        }
        let mut unknowns = [[0.0; 6]; 2];
        for k in (0..6).rev() {
            let (row, per) = (rows[k], 1.0 / rows[k][k]);
            for (side, x) in unknowns.iter_mut().enumerate() {
                let known: f64 = (k + 1..6).map(|j| row[j] * x[j]).sum();
                x[k] = (row[6 + side] - known) * per;
            }
        }
        Some(Solved { unknowns, sign })
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
            entries in prop::array::uniform6(prop::array::uniform8(-300.0..300.0f64)), nought in 0..6usize,
        ) {
            let mut six = Six(entries);
            // A height's row has one entry alone, and pivoting is needed where the diagonal vanishes.
            six.0[5] = [0.0, 0.0, 1.0, 0.0, 0.0, 0.0, entries[5][6], entries[5][7]];
            six.0[nought][nought] = 0.0;
            let matrix = Matrix6::from_fn(|i, j| six.0[i][j]);
            let (lu, solved) = (matrix.lu(), six.solve());
            let Some(solved) = solved else {
                prop_assert!(lu.determinant() == 0.0);
                return Ok(());
            };
            prop_assert_eq!(solved.sign, lu.determinant().signum());
            for (side, x) in solved.unknowns.iter().enumerate() {
                let x = Vector6::from_column_slice(x);
                let wanted = Vector6::from_fn(|i, _| six.0[i][6 + side]);
                let scale = 300.0 * x.amax() + 300.0;
                prop_assert!((matrix * x - wanted).amax() < 1e-13 * scale, "{}", (matrix * x - wanted).amax());
            }
        }
    }

    #[test]
    fn what_has_no_answer_gets_none() {
        assert!(Six([[0.0; 8]; 6]).solve().is_none());
        assert!(Six([[f64::NAN; 8]; 6]).solve().is_none());
    }
}
