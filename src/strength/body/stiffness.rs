//! How stiff a body is at the places that it is loaded at, and in twist.

use nalgebra::Vector3;

use super::{BodyFrame, Seat};
use crate::strength::frame::Load;
use crate::strength::outcome::Motion;
use crate::strength::solver::Solver;

/// How stiff a body is.
#[derive(Debug, Clone, PartialEq)]
pub struct Stiffness {
    /// At each seat, forwards, sideways and upwards: a force over what the place gives along it, N/mm; infinite where it is
    /// held. None where nothing that is held carries it.
    pub at: Vec<Option<[f64; 3]>>,
    /// Between two seats: the torque that a force up at the one and down at the other make, over the angle that the line
    /// between them turns by, Nm/deg; infinite where they do not turn. None where either is carried by nothing.
    pub twist: Option<f64>,
}

impl Seat {
    /// A force at the place as a load on its node, if it has one.
    pub fn load(&self, force: Vector3<f64>, moment: Vector3<f64>) -> Option<Load> {
        Some(Load { node: self.node?, force, moment: moment + self.arm.cross(&force) })
    }

    /// How the place moves, mm.
    pub fn moved(&self, moved: &[Motion]) -> Option<Vector3<f64>> {
        let motion = moved.get(self.node?)?;
        Some(motion.shift + motion.turn.cross(&self.arm))
    }
}

impl BodyFrame {
    /// How stiff it is at its seats, and in twist between two of them.
    pub fn stiffness(&self, solver: &Solver, between: Option<[usize; 2]>) -> Stiffness {
        let along = |seat: &Seat, axis: usize| {
            let force = Vector3::ith(axis, 1.0);
            let moved = solver.moves(&[seat.load(force, Vector3::zeros())?]);
            let gives = seat.moved(&moved)?.dot(&force);
            Some(if gives > 0.0 { 1.0 / gives } else { f64::INFINITY })
        };
        let at = |seat: &Seat| Some([along(seat, 0)?, along(seat, 1)?, along(seat, 2)?]);
        Stiffness { at: self.seats.iter().map(at).collect(), twist: between.and_then(|pair| self.twist(solver, pair)) }
    }

    fn twist(&self, solver: &Solver, pair: [usize; 2]) -> Option<f64> {
        let [one, other] = [self.seats.get(pair[0])?, self.seats.get(pair[1])?];
        let up = Vector3::z();
        let loads = [one.load(up, Vector3::zeros())?, other.load(-up, Vector3::zeros())?];
        let moved = solver.moves(&loads);
        let apart = one.at - other.at;
        let across = apart.x.hypot(apart.y);
        let turned = (one.moved(&moved)? - other.moved(&moved)?).dot(&up) / across;
        Some(if turned > 0.0 { across / 1000.0 / turned.to_degrees() } else { f64::INFINITY })
    }
}
