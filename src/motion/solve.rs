//! Newton's method on an upright's six unknowns, and the way there in safe steps.

use nalgebra::{Matrix3, Matrix6, Quaternion, UnitQuaternion, Vector3, Vector6};

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
/// Newton steps before a goal counts as too far for one go. From a near pose three do.
const STEPS: usize = 8;
/// Wheel centre shift (mm) and turn (rad) that one go may make: further, it might land in a mirrored assembly.
const LEAP: (f64, f64) = (60.0, 0.35);

/// The system at one placement: what is left over, and how it changes with shift and turn.
struct System {
    left_over: Vector6<f64>,
    slope: Matrix6<f64>,
}

impl Held {
    /// Residuals and their derivatives. The unknown step is (shift of the wheel centre, small turn in the body frame).
    fn system(&self, p: &Placement, rack: f64, drive: &Drive) -> System {
        let turn: Matrix3<f64> = p.turn.to_rotation_matrix().into_inner();
        let mut left_over = Vector6::zeros();
        let mut slope = Matrix6::zeros();
        for (i, link) in self.links.iter().enumerate() {
            let arm = turn * link.upright;
            let rod = p.at + arm - (link.chassis + link.per_rack * rack);
            // (|rod|^2 - L^2) / 2L: equals |rod| - L to first order and needs no root.
            let per = 1.0 / link.length;
            left_over[i] = 0.5 * (rod.norm_squared() * per - link.length);
            let along = rod * per;
            let about = arm.cross(&along);
            for k in 0..3 {
                slope[(i, k)] = along[k];
                slope[(i, k + 3)] = about[k];
            }
        }
        match *drive {
            Drive::Height(z) => {
                left_over[5] = p.at.z - z;
                slope[(5, 2)] = 1.0;
            }
            Drive::Ground { normal, offset } => {
                // The lowest point of a circle of radius r about the spin axis s lies r sqrt(1 - (n.s)^2) below its
                // centre, measured along n.
                let spin = turn * self.spin;
                let lean = normal.dot(&spin);
                let upright = (1.0 - lean * lean).sqrt();
                left_over[5] = normal.dot(&p.at) - offset - self.loaded_radius * upright;
                let about = spin.cross(&normal) * (self.loaded_radius * lean / upright);
                for k in 0..3 {
                    slope[(5, k)] = normal[k];
                    slope[(5, k + 3)] = about[k];
                }
            }
        }
        System { left_over, slope }
    }

    /// One go of Newton's method. `hold_back` is what may be left over of the drive. None where it does not settle,
    /// leaps, or lands on the other side of a toggle (where the slope's determinant changes its sign).
    fn go(&self, from: &Placement, rack: f64, drive: &Drive, hold_back: f64) -> Option<Placement> {
        let mut p = *from;
        let mut branch = 0.0;
        for _ in 0..STEPS {
            let mut system = self.system(&p, rack, drive);
            system.left_over[5] -= hold_back;
            if system.left_over.amax() < TOLERANCE {
                let turned = (p.turn.coords - from.turn.coords).norm() * 2.0;
                let settled = (p.at - from.at).norm() < LEAP.0 && turned < LEAP.1;
                let same = branch == 0.0 || system.slope.lu().determinant() * branch > 0.0;
                return (settled && same).then_some(p);
            }
            let lu = system.slope.lu();
            if branch == 0.0 {
                branch = lu.determinant();
            }
            let step = lu.solve(&system.left_over)?;
            p.at -= step.fixed_rows::<3>(0);
            let half = step.fixed_rows::<3>(3) * -0.5;
            let turn = Quaternion::new(1.0, half.x, half.y, half.z) * p.turn.into_inner();
            p.turn = UnitQuaternion::new_normalize(turn);
            if !p.at.x.is_finite() {
                return None;
            }
        }
        None
    }

    /// The placement for a rack travel and a drive, started from a known placement and its rack travel.
    ///
    /// # Errors
    /// [`OutOfReach`], with the last pose that could be reached on the way.
    pub fn place(&self, from: &Placement, from_rack: f64, rack: f64, drive: &Drive) -> Result<Placement, OutOfReach> {
        match self.go(from, rack, drive, 0.0) {
            Some(p) => Ok(p),
            None => self.walk(from, from_rack, rack, drive),
        }
    }

    /// The same in steps: rack and drive are brought over together, in shorter steps where one does not settle.
    fn walk(&self, from: &Placement, from_rack: f64, rack: f64, drive: &Drive) -> Result<Placement, OutOfReach> {
        let behind = self.system(from, from_rack, drive).left_over[5];
        let (mut p, mut done, mut step) = (*from, 0.0, 0.25);
        let rack_at = |part: f64| from_rack + part * (rack - from_rack);
        while done < 1.0 {
            let next = f64::min(done + step, 1.0);
            match self.go(&p, rack_at(next), drive, behind * (1.0 - next)) {
                Some(reached) => {
                    (p, done) = (reached, next);
                    step *= 2.0;
                }
                None => step *= 0.5,
            }
            if step < 1e-10 {
                let rack = rack_at(done);
                let part = self.stopped_by(&p, rack, drive);
                return Err(OutOfReach { side: self.side, part, height: p.at.z, rack });
            }
        }
        Ok(p)
    }

    /// The part whose link carries the most of the force that a toggled linkage holds against any drive: the largest
    /// entry of the slope's left null vector.
    fn stopped_by(&self, p: &Placement, rack: f64, drive: &Drive) -> &'static str {
        let slope = self.system(p, rack, drive).slope;
        let Some(u) = slope.svd(true, false).u else { return self.links[0].part };
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
        let slope = self.system(p, rack, &Drive::Height(p.at.z)).slope;
        let lu = slope.lu();
        let by_height = lu.solve(&Vector6::new(0.0, 0.0, 0.0, 0.0, 0.0, 1.0))?;
        let mut pull = Vector6::zeros();
        for (i, link) in self.links.iter().enumerate() {
            // slope's first three entries are the unit rod: the chassis joint's own motion changes it by the opposite.
            pull[i] = slope.fixed_view::<1, 3>(i, 0).transpose().dot(&link.per_rack);
        }
        Some([by_height, lu.solve(&pull)?])
    }
}
