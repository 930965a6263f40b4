//! Newton's method on what holds a part, and the way there in safe steps.

use nalgebra::{DMatrix, DVector};

use super::linear::Triangles;
use super::placement::Placement;
use super::real::Real;
use crate::car::Hub;

/// A part that is held: as many unknowns as equations.
pub(super) trait Mechanism<const N: usize> {
    /// Where the part is.
    type State: Copy;
    /// What is asked of it, worked out from two goals.
    type Aim;

    /// What two goals ask for, mm.
    fn aim(&self, goals: [f64; 2]) -> Self::Aim;
    /// Residuals and their derivatives at a state.
    fn system(&self, state: &Self::State, aim: &Self::Aim) -> System<f64, N>;
    /// A state less a Newton step.
    fn less(&self, state: &Self::State, step: &[f64; N]) -> Self::State;
    /// A step's size, squared, in mm.
    fn size(&self, step: &[f64; N]) -> f64;
    /// Whether two states lie so near that no other assembly can be meant.
    fn near(&self, a: &Self::State, b: &Self::State) -> bool;
    /// What the shop calls the part that a row stands for; none for a drive's.
    fn part(&self, row: usize) -> Option<&'static str>;
}

/// The equations at one state.
pub(super) struct System<T: Real, const N: usize> {
    /// Residuals, mm.
    pub left_over: [T; N],
    /// In each row how a residual changes with each unknown.
    pub slope: [[T; N]; N],
}

/// A pose that the linkage cannot take.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error(
    "the {} wheel gets no further than z = {height:.1} mm of its centre with the steering at {rack:.1} mm: there the \
     {part} is at the end of its swing", hub.words()
)]
pub struct OutOfReach {
    /// The wheel.
    pub hub: Hub,
    /// The part that stops it.
    pub part: &'static str,
    /// Wheel centre's z in the last pose that was reached, body frame, mm.
    pub height: f64,
    /// Steering travel in the last pose that was reached, mm.
    pub rack: f64,
}

/// Where a walk ended short of its goals.
pub(super) struct Stopped<S> {
    /// The last state that was reached.
    pub state: S,
    /// Its goals, mm.
    pub goals: [f64; 2],
    /// The part that stops it.
    pub part: &'static str,
}

/// Lengths are held to this, mm. The issue of rounding: coordinates of a metre carry about 1e-13 mm.
const TOLERANCE: f64 = 1e-10;
/// With less than this left over, mm, a slope serves twice.
const NEAR: f64 = 1e-6;
/// Newton steps before a goal counts as too far for one go. From a near pose three do.
const STEPS: usize = 8;
/// Each Newton step is at most this much of the one before: where the first step shows more curvature than that, the
/// nearest solution is not assured to be the one that leads on from the start (Kantorovich's condition h <= 1/2 gives
/// steps that shrink to h/2; P. Deuflhard, Newton Methods for Nonlinear Problems, ch. 5, from memory).
const SHRINK: f64 = 0.25;
/// Wheel centre shift (mm) and turn (rad) that one go may make: further, it might land in a mirrored assembly.
const LEAP: (f64, f64) = (60.0, 0.35);
/// What a turn is multiplied by to compare it with a shift, mm: about half a kingpin, a steering arm.
const LEVER: f64 = 150.0;
/// A limit is found to this, mm of travel or steering.
const SHORTEST: f64 = 1e-8;
/// No wheel goes as far as this, mm.
const FAR: f64 = 1e5;

/// The state that meets two goals, started from a state and the goals that it meets.
pub(super) fn place<const N: usize, M: Mechanism<N>>(
    held: &M,
    from: &M::State,
    met: impl FnOnce() -> [f64; 2],
    goals: [f64; 2],
) -> Result<M::State, Stopped<M::State>> {
    match go(held, from, &held.aim(goals)) {
        Some(state) => Ok(state),
        None => walk(held, from, met(), goals),
    }
}

/// One go of Newton's method. None where it does not settle, leaps, lands on the other side of a toggle (where the
/// slope's determinant changes its sign), or where its steps do not shrink as fast as they do while the start lies so
/// near that no other assembly can be meant.
fn go<const N: usize, M: Mechanism<N>>(held: &M, from: &M::State, aim: &M::Aim) -> Option<M::State> {
    let mut state = *from;
    let System { mut left_over, slope } = held.system(&state, aim);
    let mut slopes = Triangles::of(&slope);
    let started = slopes.sign;
    let mut last = f64::INFINITY;
    for _ in 0..STEPS {
        if left_over.iter().all(|r| r.abs() < TOLERANCE) {
            // What a step leaves over grows with its square, so the last one was too short to cross a toggle itself.
            return (held.near(&state, from) && slopes.sign == started).then_some(state);
        }
        if slopes.sign == 0.0 {
            return None;
        }
        let step = slopes.solve(&left_over);
        let size = held.size(&step);
        // Written so that a NaN ends it.
        let shrinks = size <= SHRINK * SHRINK * last;
        if !shrinks {
            return None;
        }
        last = size;
        state = held.less(&state, &step);
        let next = held.system(&state, aim);
        left_over = next.left_over;
        // Where next to nothing is left the slope has hardly changed, and serves again.
        if !left_over.iter().all(|r| r.abs() < NEAR) {
            slopes = Triangles::of(&next.slope);
        }
    }
    None
}

/// The same in steps: both goals are brought over together, in shorter steps where one does not settle.
fn walk<const N: usize, M: Mechanism<N>>(
    held: &M,
    from: &M::State,
    met: [f64; 2],
    goals: [f64; 2],
) -> Result<M::State, Stopped<M::State>> {
    let by = [goals[0] - met[0], goals[1] - met[1]];
    // All in millimetres along the way, which is the sum of what both have to go.
    let way = by[0].abs() + by[1].abs();
    let (mut state, mut done, mut step) = (*from, 0.0, f64::min(way, FAR) / 4.0);
    let at = |done: f64| {
        if done == way {
            goals
        } else if done == 0.0 {
            met
        } else {
            [met[0] + by[0] * (done / way), met[1] + by[1] * (done / way)]
        }
    };
    while done < way {
        let next = f64::min(done + step, way);
        match go(held, &state, &held.aim(at(next))) {
            Some(reached) if done < FAR => {
                (state, done) = (reached, next);
                step *= 2.0;
            }
            _ if step > SHORTEST => step *= 0.5,
            _ => break,
        }
    }
    // A way that is not a number ends at once, and not at the goal.
    if done == way {
        return Ok(state);
    }
    let goals = at(done);
    let part = stopped_by(held, &held.system(&state, &held.aim(goals)));
    Err(Stopped { state, goals, part })
}

/// The part whose row carries the most of the force that a toggled linkage holds against any drive: the largest entry
/// of the slope's left null vector.
fn stopped_by<const N: usize, M: Mechanism<N>>(held: &M, system: &System<f64, N>) -> &'static str {
    let parts = || (0..N).filter_map(|row| Some((row, held.part(row)?)));
    let slope = DMatrix::from_fn(N, N, |i, j| system.slope[i][j]);
    // A link without length has no direction, and nothing can be placed by it.
    if let Some((_, broken)) = parts().find(|&(row, _)| !slope.row(row).iter().all(|v| v.is_finite())) {
        return broken;
    }
    let null = left_null(&slope).or_else(|| left_null(&slope.add_scalar(1e-12)));
    let weight = |row: usize| null.as_ref().map_or(0.0, |n| n[row].abs());
    parts().max_by(|a, b| weight(a.0).total_cmp(&weight(b.0))).map_or("linkage", |(_, part)| part)
}

/// The left singular vector of the smallest singular value, by inverse iteration (Golub & Van Loan, Matrix Computations,
/// ch. 8, from memory). nalgebra's singular vectors do not serve: this close to a toggle, on rows whose columns differ in
/// size by some hundreds, they can be wrong in the first digit. None where a pivot vanishes.
fn left_null(slope: &DMatrix<f64>) -> Option<DVector<f64>> {
    let (lu, transposed) = (slope.clone().lu(), slope.transpose().lu());
    let mut null = DVector::from_element(slope.nrows(), 1.0);
    for _ in 0..3 {
        null = transposed.solve(&lu.solve(&null)?)?.normalize();
    }
    Some(null)
}

/// Size of a step of a placement, squared, mm.
pub(super) fn size([x, y, z, a, b, c]: &[f64; 6]) -> f64 {
    x * x + y * y + z * z + (a * a + b * b + c * c) * LEVER * LEVER
}

/// Whether two placements lie so near that no other assembly can be meant.
pub(super) fn near(a: &Placement, b: &Placement) -> bool {
    (a.at - b.at).norm() < LEAP.0 && (a.turn.coords - b.turn.coords).norm() * 2.0 < LEAP.1
}
