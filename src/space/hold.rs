//! Whether pairs all keep their gaps over a part of a wheel's sweep: proven, or a pose in which one of them does not.
//!
//! The same bounds as [`super::prove`] has, asked for a yes or a no: a piece in which every pair surely keeps its gap is
//! done with, and any other is halved for the pairs that are left. The piece that may be shortest comes first.

use std::collections::BinaryHeap;

use nalgebra::Vector2;

use super::parts::{Parts, Place};
use super::prove::{Piece, Proving, SMALLEST, Waiting};
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
        let mut waiting = BinaryHeap::from([Waiting { piece: whole, asked: pairs.to_vec() }]);
        while let Some(Waiting { piece, asked: pairs }) = waiting.pop() {
            if *looks == 0 {
                return Held::Unknown;
            }
            *looks -= 1;
            let Ok(pose) = self.gear.raise(&piece.from, piece.at) else { return Held::Unknown };
            // Where no bound can tell any more, a pair that is short at all counts as broken.
            let smallest = piece.half.amax() < SMALLEST;
            let slack = if smallest { 0.0 } else { self.slack };
            let short = |pair: &&Place| self.parts.gap(self.gear, pair, &pose, pair.wanted - slack).is_some();
            if let Some(broken) = pairs.iter().find(short) {
                return Held::Broken(*broken, piece.at);
            }
            let (mut left, mut bound) = (Vec::new(), 0.0f64);
            for pair in pairs {
                let in_hand = self.in_hand(&pair, &piece, &pose);
                if in_hand < 0.0 {
                    bound = bound.min(in_hand);
                    left.push(pair);
                }
            }
            let Some(first) = left.first() else { continue };
            if smallest {
                return Held::Unknown;
            }
            let long = self.proving(first).longer(&piece, &pose);
            let halves = Piece { bound, ..piece }.halves(long, &pose);
            waiting.extend(halves.map(|piece| Waiting { piece, asked: left.clone() }));
        }
        Held::Proven
    }

    /// What a pair surely has in hand in a piece over what it may be short by, mm; nought where that is more.
    fn in_hand(&self, pair: &Place, piece: &Piece, pose: &CornerPose) -> f64 {
        let floor = pair.wanted - self.slack;
        (self.proving(pair).bound(piece, pose, floor, &mut f64::INFINITY.clone()) - floor).min(0.0)
    }

    fn proving<'b>(&'b self, pair: &'b Place) -> Proving<'b> {
        let Self { gear, parts, sweep, slack } = *self;
        Proving { gear, parts, sweep, pair, slack, budget: 0 }
    }
}
