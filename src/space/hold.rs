//! Whether pairs all keep their gaps over a part of a wheel's sweep: proven, or a pose in which one of them does not.
//!
//! The same bounds as [`super::prove`] has, asked for a yes or a no: a piece in which every pair surely keeps its gap is
//! done with, and any other is halved for the pairs that are left.

use nalgebra::Vector2;

use super::parts::{Parts, Place};
use super::prove::{Piece, Proving};
use super::sweep::WheelSweep;
use crate::motion::{CornerPose, RunningGear};

/// A wheel whose pairs are held to their gaps.
#[derive(Debug, Clone, Copy)]
pub struct Holding<'a> {
    /// The car's running gear.
    pub gear: &'a RunningGear,
    /// Its parts.
    pub parts: &'a Parts,
    /// The wheel's sweep.
    pub sweep: &'a WheelSweep,
    /// A pair may be this much short of its wanted gap, mm.
    pub slack: f64,
}

/// What was found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Held {
    /// No pose of that part of the sweep has a pair short of its wanted gap by more than the slack.
    Proven,
    /// In this pose the pair is.
    Broken(Place, Vector2<f64>),
    /// The looks ran out, or the linkage has no bound there.
    Unknown,
}

impl Holding<'_> {
    /// Holds pairs over a rectangle of the sweep, (travel, beside) from and to, with this many poses to look at: fewer are
    /// left afterwards.
    pub fn hold(&self, pairs: &[Place], [low, high]: [Vector2<f64>; 2], looks: &mut usize) -> Held {
        let middle = (low + high) / 2.0;
        let Some(from) = self.sweep.pose(self.gear, middle) else { return Held::Unknown };
        let whole = Piece { at: middle, half: (high - low) / 2.0, from, bound: f64::NEG_INFINITY };
        let mut waiting = vec![(whole, pairs.to_vec())];
        while let Some((piece, pairs)) = waiting.pop() {
            if *looks == 0 {
                return Held::Unknown;
            }
            *looks -= 1;
            let Ok(pose) = self.gear.raise(&piece.from, piece.at) else { return Held::Unknown };
            if let Some(broken) = pairs.iter().find(|pair| self.short(pair, &pose)) {
                return Held::Broken(*broken, piece.at);
            }
            let left: Vec<Place> = pairs.into_iter().filter(|pair| !self.surely(pair, &piece, &pose)).collect();
            let Some(first) = left.first() else { continue };
            // No smaller than rounding can tell apart.
            if piece.half.amax() < 1e-4 {
                return Held::Unknown;
            }
            let long = self.proving(first).longer(&piece, &pose);
            waiting.extend(piece.halves(long, &pose).map(|half| (half, left.clone())));
        }
        Held::Proven
    }

    fn short(&self, pair: &Place, pose: &CornerPose) -> bool {
        self.parts.gap(self.gear, pair, pose, pair.wanted - self.slack).is_some()
    }

    fn surely(&self, pair: &Place, piece: &Piece, pose: &CornerPose) -> bool {
        let floor = pair.wanted - self.slack;
        self.proving(pair).bound(piece, pose, floor, &mut f64::INFINITY.clone()) >= floor
    }

    fn proving<'b>(&'b self, pair: &'b Place) -> Proving<'b> {
        let Self { gear, parts, sweep, slack } = *self;
        Proving { gear, parts, sweep, pair, slack, budget: 0 }
    }
}
