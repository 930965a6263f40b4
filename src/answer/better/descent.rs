//! The nearest that points come to what is wished, from where they start: least squares within boxes.
//!
//! What each wish lacks and how far the points move are squared and summed, the move with a weight that falls in steps to
//! next to nothing, so that among the places where all is met the one that moves least is left. Steps are Levenberg's
//! and Marquardt's (K. Levenberg, Quarterly of Applied Mathematics 2, 1944; D. Marquardt, J. SIAM 11, 1963): the damped
//! normal equations, in the coordinates that are not held at an end of their boxes.

use nalgebra::{DMatrix, DVector};

use super::follow::{Follows, holding};
use super::keep::Watched;
use super::trial::Trial;

/// Weights of the move against what is lacked, one after the other.
const MOVE: [f64; 3] = [0.1, 0.01, 0.001];
/// Steps with each weight.
const STEPS: usize = 14;
/// The step that differences are taken by, mm.
const STEP: f64 = 1e-3;
/// A millimetre of gap counts as so many wishes' scales: so many that a wish that is far off takes no more than a hair.
const GAP: f64 = 100.0;
/// Times that gaps are measured anew on the way.
const ROUNDS: usize = 3;

/// What is looked for.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Goal {
    /// How much each wish counts.
    pub weight: Vec<f64>,
    /// By how much of its scale each is asked less strictly; negative is more.
    pub looser: Vec<f64>,
}

impl Goal {
    /// Every wish alike.
    pub fn all(wishes: usize) -> Self {
        Self { weight: vec![1.0; wishes], looser: vec![0.0; wishes] }
    }

    /// One wish alone.
    pub fn only(wishes: usize, wish: usize) -> Self {
        let mut goal = Self { weight: vec![0.0; wishes], looser: vec![0.0; wishes] };
        goal.weight[wish] = 1.0;
        goal
    }
}

/// A place that was come to.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Found {
    /// Each coordinate from where it is, mm, as a car file writes it.
    pub x: Vec<f64>,
    /// The sum of squares that is left, without the move.
    pub lack: f64,
}

/// Looks for a goal from a place, gaps that are watched kept. None where the car cannot stand at the start.
pub(super) fn descend(
    trial: &Trial,
    goal: &Goal,
    watched: &[Watched],
    from: &[f64],
    stop: &(dyn Fn() -> bool + Sync),
) -> Option<Found> {
    let mut x = from.to_vec();
    trial.within(&mut x);
    x = holding(trial, watched, &x);
    let mut follows = Follows::new(trial, watched, &x)?;
    for round in 0..if watched.is_empty() { 1 } else { ROUNDS } {
        let way = Way { trial, goal, follows: &follows };
        let before = x.clone();
        for (i, weight) in MOVE.into_iter().enumerate() {
            // Later rounds are near already.
            if round == 0 || i > 0 {
                x = way.steps(x, weight, stop)?;
            }
        }
        let went = x.iter().zip(&before).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
        if stop() || went < 1e-3 {
            break;
        }
        if !watched.is_empty() {
            // A place that cannot stand for a moment keeps what was measured before it.
            follows = Follows::new(trial, watched, &x).unwrap_or(follows);
        }
    }
    let way = Way { trial, goal, follows: &follows };
    way.rounded(&x)
}

/// A goal, and what is known of the gaps on the way to it.
struct Way<'a> {
    trial: &'a Trial<'a>,
    goal: &'a Goal,
    follows: &'a Follows,
}

impl Way<'_> {
    /// What is lacked, each a number to be nothing. None where there is no such car.
    fn lacks(&self, x: &[f64]) -> Option<Vec<f64>> {
        let numbers = self.trial.samples(x)?;
        let mut all = Vec::new();
        for (wish, numbers) in numbers.iter().enumerate() {
            let weight = self.goal.weight[wish];
            all.extend(self.trial.lacks(wish, numbers, self.goal.looser[wish]).map(|lack| lack * weight));
        }
        all.extend(self.follows.lacks(x, true).map(|mm| mm * GAP));
        Some(all)
    }

    /// The same with the move.
    fn left(&self, x: &[f64], weight: f64) -> Option<DVector<f64>> {
        let mut all = self.lacks(x)?;
        let whole = self.trial.moved(&self.trial.half);
        all.extend(x.iter().map(|x| x / whole * weight));
        Some(DVector::from_vec(all))
    }

    /// Steps until they lead no further.
    fn steps(&self, mut x: Vec<f64>, weight: f64, stop: &(dyn Fn() -> bool + Sync)) -> Option<Vec<f64>> {
        let half = &self.trial.half;
        let mut left = self.left(&x, weight)?;
        let mut damping = 1e-3;
        for _ in 0..STEPS {
            if stop() {
                break;
            }
            let slopes = self.slopes(&x, &left, weight);
            let fall = slopes.transpose() * &left;
            // A coordinate at its end that would go beyond is held there.
            let held: Vec<bool> = self
                .trial
                .ask
                .free
                .iter()
                .enumerate()
                .map(|(i, free)| x[i] <= free.from_mm && fall[i] > 0.0 || x[i] >= free.to_mm && fall[i] < 0.0)
                .collect();
            let open: Vec<usize> = (0..x.len()).filter(|i| !held[*i]).collect();
            if open.is_empty() {
                break;
            }
            let some = slopes.select_columns(&open);
            let (normal, down) = (some.transpose() * &some, -(some.transpose() * &left));
            let mut went = None;
            while damping < 1e9 {
                let damped = &normal + DMatrix::identity(open.len(), open.len()) * damping;
                let Some(step) = damped.cholesky().map(|c| c.solve(&down)) else {
                    damping *= 10.0;
                    continue;
                };
                let mut there = x.clone();
                open.iter().zip(step.iter()).for_each(|(i, s)| there[*i] += s * half[*i]);
                self.trial.within(&mut there);
                match self.left(&there, weight) {
                    Some(less) if less.norm_squared() < left.norm_squared() => {
                        let by = there.iter().zip(&x).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
                        (x, left, damping) = (there, less, (damping / 9.0).max(1e-12));
                        went = Some(by);
                        break;
                    }
                    _ => damping *= 6.0,
                }
            }
            if went.is_none_or(|by| by < 1e-5) {
                break;
            }
        }
        Some(x)
    }

    /// By differences, in halves of the boxes.
    fn slopes(&self, x: &[f64], left: &DVector<f64>, weight: f64) -> DMatrix<f64> {
        let mut slopes = DMatrix::zeros(left.len(), x.len());
        for i in 0..x.len() {
            let there = |by: f64| {
                let mut there = x.to_vec();
                there[i] += by;
                self.left(&there, weight).map(|l| (l - left) * (self.trial.half[i] / by))
            };
            // Where the linkage ends on the one side it may go on on the other.
            if let Some(slope) = there(STEP).or_else(|| there(-STEP)) {
                slopes.set_column(i, &slope);
            }
        }
        slopes
    }

    /// To tenths of a millimetre, which can be measured in a shop, where that loses nothing; else as finely as need be.
    fn rounded(&self, x: &[f64]) -> Option<Found> {
        let lack = |x: &[f64]| {
            let numbers = self.trial.samples(x)?;
            let wishes = numbers.iter().enumerate().flat_map(|(wish, numbers)| {
                let (weight, looser) = (self.goal.weight[wish], self.goal.looser[wish]);
                self.trial.lacks(wish, numbers, looser).map(move |lack| lack * weight)
            });
            let gaps = self.follows.lacks(x, false).map(|mm| mm * GAP);
            Some(wishes.chain(gaps).map(|v| v * v).sum::<f64>())
        };
        let exact = lack(x)?;
        for places in [10.0, 100.0, 1000.0] {
            let mut round: Vec<f64> = x.iter().map(|v| (v * places).round() / places).collect();
            self.trial.within(&mut round);
            if let Some(left) = lack(&round)
                && (places == 1000.0 || left <= exact * 1.001 + 1e-9)
            {
                return Some(Found { x: round, lack: left });
            }
        }
        None
    }
}
