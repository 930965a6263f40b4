//! Stiff parts that push on each other, and the balance of each of them.
//!
//! A joint pushes in so many directions as it holds; each push is one unknown, the same on both parts and opposite. Six
//! sums of every part are nothing: three of forces, three of moments. Where parts hold each other in more ways than
//! there are sums, a rule says how they share.

use nalgebra::{DMatrix, DVector, Vector3};

use super::Part;

/// Moments are counted by this length, so that they weigh about as much as forces, mm.
const LEVER: f64 = 200.0;
/// A pivot this small next to the largest is a linkage that can move by itself: nothing holds the load there.
const TOGGLE: f64 = 1e-9;

/// A push in one direction, or a twist about one: the unknown's own size is what is sought.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Push {
    /// Where, body frame, mm.
    pub at: Vector3<f64>,
    /// Unit where it is a push, nought where it is a twist.
    pub force: Vector3<f64>,
    /// Unit where it is a twist, nought where it is a push.
    pub moment: Vector3<f64>,
    /// The part that it pushes; the other is pushed back.
    pub on: Part,
    /// The part that pushes.
    pub by: Part,
}

/// A force and a moment from outside.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Outside {
    pub on: Part,
    pub at: Vector3<f64>,
    pub force: Vector3<f64>,
    pub moment: Vector3<f64>,
}

/// What shares a load that the balances leave open: so many times each unknown, together this much.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Rule {
    pub times: Vec<(usize, f64)>,
    pub together: f64,
}

/// Everything that pushes.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Statics {
    pub pushes: Vec<Push>,
    pub outside: Vec<Outside>,
    pub rules: Vec<Rule>,
}

impl Statics {
    /// Adds an unknown.
    pub fn push(&mut self, push: Push) -> usize {
        self.pushes.push(push);
        self.pushes.len() - 1
    }

    /// The unknowns, N or N mm. None in a toggle, or where what holds is not as much as what can move.
    pub fn solve(&self) -> Option<DVector<f64>> {
        let mut parts: Vec<Part> = self.pushes.iter().flat_map(|p| [p.on, p.by]).filter(|p| *p != Part::Body).collect();
        parts.sort();
        parts.dedup();
        let (count, balances) = (self.pushes.len(), 6 * parts.len());
        if balances + self.rules.len() != count {
            return None;
        }
        let row = |part: Part| parts.binary_search(&part).ok().map(|i| 6 * i);
        let (mut sums, mut right) = (DMatrix::zeros(count, count), DVector::zeros(count));
        for (column, push) in self.pushes.iter().enumerate() {
            let sum = wrench(push.at, push.force, push.moment);
            for (part, sign) in [(push.on, 1.0), (push.by, -1.0)] {
                let Some(row) = row(part) else { continue };
                (0..6).for_each(|i| sums[(row + i, column)] += sign * sum[i]);
            }
        }
        for load in &self.outside {
            let Some(row) = row(load.on) else { continue };
            let sum = wrench(load.at, load.force, load.moment);
            (0..6).for_each(|i| right[row + i] -= sum[i]);
        }
        for (i, rule) in self.rules.iter().enumerate() {
            rule.times.iter().for_each(|(column, times)| sums[(balances + i, *column)] += times);
            right[balances + i] = rule.together;
        }
        let split = sums.clone().full_piv_lu();
        let pivots = split.u().diagonal().abs();
        // Written so that a NaN is a toggle too.
        let holds = pivots.min() > TOGGLE * pivots.max();
        if !holds {
            return None;
        }
        let found = split.solve(&right)?;
        // Once more on what rounding left over.
        let left_over = &right - &sums * &found;
        Some(&found + split.solve(&left_over)?)
    }
}

/// A force at a place and a moment as six sums about the frame's origin.
fn wrench(at: Vector3<f64>, force: Vector3<f64>, moment: Vector3<f64>) -> [f64; 6] {
    let turns = (at.cross(&force) + moment) / LEVER;
    [force.x, force.y, force.z, turns.x, turns.y, turns.z]
}
