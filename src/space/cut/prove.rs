//! The proof that nothing outside the stretches of a rail comes into the keep-out, in any pose of the sweep.
//!
//! A piece is an interval along a face and a rectangle of the sweep. In it no point of the wheel moves further from where
//! it is in the middle pose than its leeway says, so the face is clear there if it is clear in the middle pose by that
//! much. A piece that is not is halved: along the face while it is long, else in the sweep. A place found in the keep-out
//! corrects the stretches, and the proof starts again.

use std::collections::BinaryHeap;

use nalgebra::Vector2;

use super::super::nearest::nearest;
use super::super::prove::{Piece, SMALLEST, Waiting, surely};
use super::{Cutting, Spread, Stretch, Strip, uncovered};
use crate::motion::CornerPose;

/// Stretches are stated to this at each end, mm.
pub const STATED: f64 = 0.1;
/// An interval of a face is halved before the sweep is, while it is this many times longer than the wheel may move.
const LONG: f64 = 10.0;

/// What was found outside the stretches.
enum Outside {
    Clear,
    In(Vector2<f64>, Box<CornerPose>),
    Unknown,
}

impl Cutting<'_> {
    /// Every stretch of every face in the keep-out, and whether it is proven that no place further than [`STATED`] outside
    /// them comes nearer to the wheel than the gap less `slack`, in any pose. Looks at `looks` poses a face at the most.
    pub fn proven(&self, slack: f64, looks: usize) -> (Vec<Stretch>, bool) {
        let mut proven = true;
        let all = self.all(|strip, stretch, found| proven &= self.settle(strip, stretch, found, slack, looks));
        (all, proven)
    }

    /// Proves the spreads of a face along a stretch, or adds to them what they lack.
    fn settle(&self, strip: Strip, stretch: usize, found: &mut Vec<Spread>, slack: f64, mut looks: usize) -> bool {
        loop {
            match self.outside(strip, stretch, found, slack, &mut looks) {
                Outside::Clear => return true,
                Outside::Unknown => return false,
                Outside::In(at, pose) => {
                    let covered = |found: &[Spread]| found.iter().map(|s| s.span[1] - s.span[0]).sum::<f64>();
                    let before = covered(found);
                    self.cover(strip, stretch, found, at, &pose);
                    if covered(found) <= before {
                        return false;
                    }
                    for spread in found.iter_mut().filter(|s| s.ends_at.contains(&at)) {
                        self.widen(strip, stretch, spread);
                    }
                    // What has grown may meet its neighbours.
                    for spread in std::mem::take(found) {
                        Spread::join(found, spread);
                    }
                }
            }
        }
    }

    fn outside(&self, strip: Strip, stretch: usize, found: &[Spread], slack: f64, looks: &mut usize) -> Outside {
        let length = self.run.station(stretch, 1.0) - self.run.station(stretch, 0.0);
        let grow = STATED / length;
        let floor = self.grown - slack;
        let [low, high] = self.sweep.range;
        let from = *self.gear.ride(self.sweep.hub);
        let whole = Piece { at: (low + high) / 2.0, half: (high - low) / 2.0, from, bound: f64::NEG_INFINITY };
        let apart = |[a, b]: [f64; 2]| [if a > 0.0 { a + grow } else { a }, if b < 1.0 { b - grow } else { b }];
        let windows = uncovered(found).into_iter().map(apart).filter(|[a, b]| b > a);
        let mut waiting: BinaryHeap<_> = windows.map(|asked| Waiting { piece: whole, asked }).collect();
        while let Some(Waiting { piece, asked: span }) = waiting.pop() {
            if *looks == 0 {
                return Outside::Unknown;
            }
            *looks -= 1;
            let smallest = piece.half.amax() < SMALLEST;
            let Ok(pose) = self.gear.raise(&piece.from, piece.at) else { return Outside::Unknown };
            let axle = self.gear.of(&pose);
            let moves = |half| {
                let reach = self.rings(&pose).map(|r| r.ring.reach);
                axle.leeway(&pose, half).map(|l| l.of_ring(reach[0].max(reach[1])))
            };
            let surface = self.surface(strip, stretch, span);
            let by = moves(piece.half);
            let mut in_hand = if by.is_some() { 0.0 } else { f64::NEG_INFINITY };
            for ring in self.rings(&pose) {
                let most = if smallest { self.grown } else { floor + by.unwrap_or(0.0) };
                let Some(near) = nearest(&ring, &surface, most) else { continue };
                // Where no bound can tell any more, what is in the keep-out at all counts.
                if near.gap < floor || smallest {
                    return Outside::In(piece.at, Box::new(pose));
                }
                in_hand = f64::min(in_hand, by.map_or(f64::NEG_INFINITY, |by| surely(near.gap) - by - floor));
            }
            if in_hand >= 0.0 {
                continue;
            }
            if smallest {
                return Outside::Unknown;
            }
            let piece = Piece { bound: in_hand, ..piece };
            let [from, to] = span;
            if by.is_some_and(|by| (to - from) * length > LONG * by.max(slack)) {
                let middle = (from + to) / 2.0;
                waiting.extend([[from, middle], [middle, to]].map(|asked| Waiting { piece, asked }));
            } else {
                let along = |i: usize| {
                    let mut half = Vector2::zeros();
                    half[i] = piece.half[i];
                    moves(half).unwrap_or(piece.half[i])
                };
                let long = usize::from(along(1) > along(0));
                waiting.extend(piece.halves(long, &pose).map(|piece| Waiting { piece, asked: span }));
            }
        }
        Outside::Clear
    }
}
