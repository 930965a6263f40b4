//! Newton's method on an upright's six unknowns, and the way there in safe steps.

use nalgebra::{Matrix3, Matrix6, Quaternion, UnitQuaternion, Vector3, Vector6};

use super::six::Triangles;
use crate::car::Side;

/// Where an upright is: its wheel centre, and how it has turned since the car was measured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Placement {
    /// Wheel centre, body frame, mm.
    pub at: Vector3<f64>,
    /// Turn from the measured attitude.
    pub turn: UnitQuaternion<f64>,
}

/// A rod of constant length from a point of the chassis to a point of the upright.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Link {
    /// Joint on the chassis, body frame, mm (rack straight ahead).
    pub chassis: Vector3<f64>,
    /// Joint on the upright, from the wheel centre, in the measured attitude, mm.
    pub upright: Vector3<f64>,
    /// How far the chassis joint moves for one millimetre of rack travel: zero for an arm.
    pub per_rack: Vector3<f64>,
    /// Length, mm.
    pub length: f64,
    /// What the shop calls the part it stands for.
    pub part: &'static str,
}

/// What sets the sixth unknown.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Drive {
    /// The wheel centre's z, body frame, mm.
    Height(f64),
    /// The tyre stands on a plane: `normal . x = offset`, the normal a unit vector pointing up.
    Ground {
        /// Unit normal, body frame.
        normal: Vector3<f64>,
        /// Distance of the plane from the origin along the normal, mm.
        offset: f64,
    },
}

impl Drive {
    /// What it asks for, mm: a height, or a plane's offset.
    fn goal(&self) -> f64 {
        match *self {
            Self::Height(z) => z,
            Self::Ground { offset, .. } => offset,
        }
    }

    /// The same with another goal.
    fn towards(&self, goal: f64) -> Self {
        match *self {
            Self::Height(_) => Self::Height(goal),
            Self::Ground { normal, .. } => Self::Ground { normal, offset: goal },
        }
    }
}

/// An upright, the five links that hold it, and the tyre it stands on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Held {
    /// Side of the car, for what errors say.
    pub side: Side,
    /// The five links.
    pub links: [Link; 5],
    /// Spin axis as measured, unit, outboard.
    pub spin: Vector3<f64>,
    /// Wheel centre over the ground, wheel upright, mm.
    pub loaded_radius: f64,
}

/// A pose that the linkage cannot take.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error(
    "the {} wheel gets no further than z = {height:.1} mm of its centre with the rack at {rack:.1} mm: there the {part} \
     is at the end of its swing", side.word()
)]
pub struct OutOfReach {
    /// Side of the car.
    pub side: Side,
    /// The part that stops it.
    pub part: &'static str,
    /// Wheel centre's z in the last pose that was reached, body frame, mm.
    pub height: f64,
    /// Rack travel in the last pose that was reached, mm.
    pub rack: f64,
}

/// Links are held to this, mm. The issue of rounding: coordinates of a metre carry about 1e-13 mm.
const TOLERANCE: f64 = 1e-10;
/// With less than this left over, mm, a slope serves twice.
const NEAR: f64 = 1e-6;
/// Newton steps before a goal counts as too far for one go. From a near pose three do.
const STEPS: usize = 8;
/// Wheel centre shift (mm) and turn (rad) that one go may make: further, it might land in a mirrored assembly.
const LEAP: (f64, f64) = (60.0, 0.35);
/// Each Newton step is at most this much of the one before: where the first step shows more curvature than that, the
/// nearest solution is not assured to be the one that leads on from the start (Kantorovich's condition h <= 1/2 gives
/// steps that shrink to h/2; P. Deuflhard, Newton Methods for Nonlinear Problems, ch. 5, from memory).
const SHRINK: f64 = 0.25;
/// What a turn is multiplied by to compare it with a shift, mm: about half a kingpin, a steering arm.
const LEVER: f64 = 150.0;
/// A limit is found to this, mm of wheel travel or rack.
const SHORTEST: f64 = 1e-8;
/// No wheel goes as far as this, mm.
const FAR: f64 = 1e5;

/// The system at one placement.
struct System {
    /// Residuals, mm.
    left_over: [f64; 6],
    /// In each row how a residual changes with a shift of the wheel centre and with a small turn in the body frame.
    slope: [[f64; 6]; 6],
}

impl Held {
    /// Residuals and their derivatives.
    fn system(&self, p: &Placement, rack: f64, drive: &Drive) -> System {
        let turn: Matrix3<f64> = p.turn.to_rotation_matrix().into_inner();
        let (mut left_over, mut slope) = ([0.0; 6], [[0.0; 6]; 6]);
        for (i, link) in self.links.iter().enumerate() {
            let arm = turn * link.upright;
            let rod = p.at + arm - (link.chassis + link.per_rack * rack);
            // (|rod|^2 - L^2) / 2L: equals |rod| - L to first order and needs no root.
            let per = 1.0 / link.length;
            left_over[i] = 0.5 * (rod.norm_squared() * per - link.length);
            let along = rod * per;
            let about = arm.cross(&along);
            slope[i] = [along.x, along.y, along.z, about.x, about.y, about.z];
        }
        let (reads, [x, y, z], [a, b, c]) = self.driven(p, &turn, drive);
        left_over[5] = reads - drive.goal();
        slope[5] = [x, y, z, a, b, c];
        System { left_over, slope }
    }

    /// What a drive's goal is compared with, and how that changes with shift and turn.
    fn driven(&self, p: &Placement, turn: &Matrix3<f64>, drive: &Drive) -> (f64, [f64; 3], [f64; 3]) {
        match *drive {
            Drive::Height(_) => (p.at.z, [0.0, 0.0, 1.0], [0.0; 3]),
            Drive::Ground { normal, .. } => {
                // The lowest point of a circle of radius r about the spin axis s lies r sqrt(1 - (n.s)^2) below its
                // centre, measured along n.
                let spin = turn * self.spin;
                let lean = normal.dot(&spin);
                let upright = (1.0 - lean * lean).sqrt();
                let about = spin.cross(&normal) * (self.loaded_radius * lean / upright);
                (normal.dot(&p.at) - self.loaded_radius * upright, normal.into(), about.into())
            }
        }
    }

    /// One go of Newton's method. None where it does not settle, leaps, lands on the other side of a toggle (where the
    /// slope's determinant changes its sign), or where its steps do not shrink as fast as they do while the start lies so
    /// near that no other assembly can be meant.
    fn go(&self, from: &Placement, rack: f64, drive: &Drive) -> Option<Placement> {
        let mut p = *from;
        let System { mut left_over, slope } = self.system(&p, rack, drive);
        let mut slopes = Triangles::of(&slope);
        let started = slopes.sign;
        let mut last = f64::INFINITY;
        for _ in 0..STEPS {
            if left_over.iter().all(|r| r.abs() < TOLERANCE) {
                let turned = (p.turn.coords - from.turn.coords).norm() * 2.0;
                let settled = (p.at - from.at).norm() < LEAP.0 && turned < LEAP.1;
                // What a step leaves over grows with its square, so the last one was too short to cross a toggle itself.
                return (settled && slopes.sign == started).then_some(p);
            }
            if slopes.sign == 0.0 {
                return None;
            }
            let [x, y, z, a, b, c] = slopes.solve(&left_over);
            let step = x * x + y * y + z * z + (a * a + b * b + c * c) * LEVER * LEVER;
            if step > SHRINK * SHRINK * last {
                return None;
            }
            last = step;
            p.at -= Vector3::new(x, y, z);
            let turn = Quaternion::new(1.0, -0.5 * a, -0.5 * b, -0.5 * c) * p.turn.into_inner();
            p.turn = UnitQuaternion::new_normalize(turn);
            let next = self.system(&p, rack, drive);
            left_over = next.left_over;
            // Where next to nothing is left the slope has hardly changed, and serves again.
            if !left_over.iter().all(|r| r.abs() < NEAR) {
                slopes = Triangles::of(&next.slope);
            }
        }
        None
    }

    /// The placement for a rack travel and a drive, started from a known placement and its rack travel.
    ///
    /// # Errors
    /// [`OutOfReach`], with the last pose that could be reached on the way.
    pub fn place(&self, from: &Placement, from_rack: f64, rack: f64, drive: &Drive) -> Result<Placement, OutOfReach> {
        match self.go(from, rack, drive) {
            Some(p) => Ok(p),
            None => self.walk(from, from_rack, rack, drive),
        }
    }

    /// The same in steps: rack and drive are brought over together, in shorter steps where one does not settle.
    fn walk(&self, from: &Placement, from_rack: f64, rack: f64, drive: &Drive) -> Result<Placement, OutOfReach> {
        let turn = from.turn.to_rotation_matrix().into_inner();
        let (here, _, _) = self.driven(from, &turn, drive);
        let (shift, by_rack) = (drive.goal() - here, rack - from_rack);
        // All in millimetres along the way, which is the sum of what drive and rack have to go.
        let way = shift.abs() + by_rack.abs();
        let (mut p, mut done, mut step) = (*from, 0.0, f64::min(way, FAR) / 4.0);
        let rack_at = |at: f64| if at == 0.0 { from_rack } else { from_rack + by_rack * (at / way) };
        while done < way {
            let next = f64::min(done + step, way);
            match self.go(&p, rack_at(next), &drive.towards(here + shift * (next / way))) {
                Some(reached) if done < FAR => {
                    (p, done) = (reached, next);
                    step *= 2.0;
                }
                _ if step > SHORTEST => step *= 0.5,
                _ => break,
            }
        }
        // A way that is not a number ends at once, and not at the goal.
        if done == way {
            return Ok(p);
        }
        let rack = rack_at(done);
        Err(OutOfReach { side: self.side, part: self.stopped_by(&p, rack, drive), height: p.at.z, rack })
    }

    /// The part whose link carries the most of the force that a toggled linkage holds against any drive: the largest
    /// entry of the slope's left null vector.
    fn stopped_by(&self, p: &Placement, rack: f64, drive: &Drive) -> &'static str {
        let System { slope, .. } = self.system(p, rack, drive);
        let slope = Matrix6::from_fn(|i, j| slope[i][j]);
        // A link without length has no direction, and nothing can be placed by it.
        if let Some(broken) = (0..5).find(|&i| !slope.row(i).iter().all(|v| v.is_finite())) {
            return self.links[broken].part;
        }
        let decomposed =
            if slope.iter().all(|v| v.is_finite()) { slope.try_svd(true, false, f64::EPSILON, 500) } else { None };
        let Some(u) = decomposed.and_then(|d| d.u) else { return self.links[0].part };
        let most = (0..5).max_by(|&a, &b| u[(a, 5)].abs().total_cmp(&u[(b, 5)].abs()));
        self.links[most.unwrap_or(0)].part
    }

    /// Largest residual of the five links, mm.
    pub fn residual(&self, p: &Placement, rack: f64) -> f64 {
        self.links
            .iter()
            .map(|l| ((p.at + p.turn * l.upright - l.chassis - l.per_rack * rack).norm() - l.length).abs())
            .fold(0.0, f64::max)
    }

    /// Shift of the wheel centre and turn, per millimetre of wheel-centre z (rack still) and per millimetre of rack
    /// (z still), by implicit differentiation. None in a toggle.
    pub fn rates(&self, p: &Placement, rack: f64) -> Option<[Vector6<f64>; 2]> {
        let System { slope, .. } = self.system(p, rack, &Drive::Height(p.at.z));
        let mut pull = [0.0; 6];
        for ((pull, [x, y, z, ..]), link) in pull.iter_mut().zip(slope).zip(&self.links) {
            // The unit rod: the chassis joint's own motion changes its length by the opposite.
            *pull = Vector3::new(x, y, z).dot(&link.per_rack);
        }
        let slopes = Triangles::of(&slope);
        (slopes.sign != 0.0)
            .then(|| [[0.0, 0.0, 0.0, 0.0, 0.0, 1.0], pull].map(|right| Vector6::from(slopes.solve(&right))))
    }
}
