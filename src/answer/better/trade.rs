//! What can be traded for what: which cars are looked for beside the best, and which of those found are told.

use super::descent::Goal;
use super::search::{ALIKE, Candidate, Search, far};

impl Search<'_> {
    /// What else is looked for: less of everything, one wish before the others, one more strictly.
    pub fn trades(&self) -> Vec<Goal> {
        let wishes = self.trial.ask.wishes.len();
        let now: Vec<f64> = (0..wishes)
            .map(|wish| self.trial.stands(wish, &self.trial.was[wish]).map_or(0.0, |s| s.over.max(0.0)))
            .collect();
        let mut goals = Vec::new();
        for part in [0.75, 0.5, 0.25] {
            goals.push(Goal { looser: now.iter().map(|now| now * part).collect(), ..Goal::all(wishes) });
        }
        for (wish, now) in now.iter().enumerate() {
            // More strictly, as far as its middle.
            for looser in if wishes > 1 { &[-1.0][..] } else { &[-0.5, -1.0] } {
                let mut goal = Goal::all(wishes);
                goal.looser[wish] = *looser;
                goals.push(goal);
            }
            if wishes > 1 {
                goals.push(Goal::only(wishes, wish));
                let mut goal = Goal::all(wishes);
                goal.weight[wish] = 4.0;
                goals.push(goal);
                let mut goal = Goal::all(wishes);
                goal.looser[wish] = now / 2.0;
                goals.push(goal);
            }
        }
        goals
    }

    /// Of the cars those that no other beats in everything, the first of them first, and the others well apart.
    pub fn told(&self, found: &[Candidate], most: usize) -> Vec<Candidate> {
        let whole = self.trial.moved(&self.trial.half);
        let judged: Vec<Vec<f64>> = found.iter().map(|c| judged(c, whole)).collect();
        let beats = |a: &[f64], b: &[f64]| {
            a.iter().zip(b).all(|(a, b)| *a <= b + 1e-9) && a.iter().zip(b).any(|(a, b)| *a < b - 1e-6)
        };
        let beaten = |i: usize| {
            (0..found.len()).any(|k| beats(&judged[k], &judged[i]) || k < i && far(&found[k].x, &found[i].x) < ALIKE)
        };
        // The car as it is was not found.
        let moves = |i: usize| found[i].moved > 0.0;
        let mut left: Vec<usize> = (0..found.len()).filter(|i| *i == 0 || !beaten(*i) && moves(*i)).collect();
        let mut told: Vec<usize> = Vec::new();
        while told.len() < most && !left.is_empty() {
            let off = |i: usize| {
                let apart = |k: &usize| judged[i].iter().zip(&judged[*k]).map(|(a, b)| (a - b).powi(2)).sum::<f64>();
                told.iter().map(apart).fold(f64::INFINITY, f64::min)
            };
            // The first comes first; of equals the one that was better.
            let mut pick = 0;
            for i in 1..left.len() {
                if off(left[i]) > off(left[pick]) {
                    pick = i;
                }
            }
            told.push(left.remove(pick));
        }
        told.sort_unstable();
        told.into_iter().map(|i| found[i].clone()).collect()
    }
}

/// What a car is judged by beside others: each wish, in hand up to its own scale, and the move.
fn judged(car: &Candidate, whole: f64) -> Vec<f64> {
    car.stands.iter().map(|s| s.over.max(-1.0)).chain([car.moved / whole]).collect()
}
