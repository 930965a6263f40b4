//! The least gap of a pair over a wheel's whole sweep, proven: no pose between those that were looked at is worse.
//!
//! The sweep is a rectangle of two numbers. In a piece of it nothing moves further from where it is in the middle pose
//! than its leeway says ([`crate::motion::Leeway`]), so no gap there is less than the middle's gap by more than that. A
//! piece whose bound does not reach up to the least gap found, less what may be left unproven, is halved; the piece with
//! the lowest bound is looked at first, so that a budget that runs out leaves the best bound there is.

mod bars;

use std::cmp::Ordering;
use std::collections::BinaryHeap;

use nalgebra::{Vector2, Vector3};

use bars::Bars;

use super::moving::{Leg, Spot};
use super::nearest::{Few, known_to, nearest};
use super::parts::{Parts, Place, Role};
use super::solid::Bar;
use super::sweep::{Beside, Least, WheelSweep};
use crate::car::PointName;
use crate::car::axle::Linkage;
use crate::motion::{CornerPose, Leeway, RunningGear};

/// A least gap, and what it is proven to be at least.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Proof {
    /// The least gap found; none where the pair is never near enough to be told of.
    pub least: Option<Least>,
    /// No pose of the sweep has a smaller gap than this, mm. Minus infinity where nothing could be said.
    pub at_least: f64,
    /// Poses that were looked at.
    pub looks: usize,
}

/// A pair over a wheel's sweep.
pub struct Proving<'a> {
    /// The car's running gear.
    pub gear: &'a RunningGear,
    /// Its parts.
    pub parts: &'a Parts,
    /// The wheel's sweep.
    pub sweep: &'a WheelSweep,
    /// The pair.
    pub pair: &'a Place,
    /// What may be left unproven of a gap that is no more than is wanted, mm.
    pub slack: f64,
    /// Poses that may be looked at.
    pub budget: usize,
}

/// A piece of the sweep.
#[derive(Debug, Clone, Copy)]
pub(super) struct Piece {
    /// Its middle: (travel, beside), mm.
    pub at: Vector2<f64>,
    /// From there to its ends, mm.
    pub half: Vector2<f64>,
    /// The pose in its middle's neighbourhood to start from.
    pub from: CornerPose,
    /// No gap in it is less, mm.
    pub bound: f64,
}

impl Piece {
    /// Both halves along one of the two numbers, to be started from the pose in the middle.
    pub fn halves(&self, along: usize, pose: &CornerPose) -> [Self; 2] {
        [-0.5, 0.5].map(|side| {
            let mut half = Self { from: *pose, ..*self };
            half.at[along] += self.half[along] * side;
            half.half[along] /= 2.0;
            half
        })
    }
}

/// A piece that waits, with what is asked of it; the lowest bound comes first out of a heap. That way what breaks a claim
/// is come upon where it breaks it most, and not along the seam where it is only just kept.
#[derive(Debug, Clone)]
pub(super) struct Waiting<T> {
    /// The piece.
    pub piece: Piece,
    /// What is asked.
    pub asked: T,
}

impl<T> PartialEq for Waiting<T> {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl<T> Eq for Waiting<T> {}

impl<T> PartialOrd for Waiting<T> {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl<T> Ord for Waiting<T> {
    fn cmp(&self, other: &Self) -> Ordering {
        other.piece.bound.total_cmp(&self.piece.bound)
    }
}

/// Pieces are made no smaller than this, mm: rounding could not tell them apart.
pub(super) const SMALLEST: f64 = 1e-4;
/// Of what a gap has in hand over the wanted one, this much may be left unproven.
const IN_HAND: f64 = 0.05;
/// The same of a pair without a tyre or rim: such parts often keep their gap all along a valley of the sweep, every place
/// of which would have to be looked at.
const IN_HAND_OF_LINKAGE: f64 = 0.15;
/// Of an overlap's depth, this much may be left unproven: how deep it is at worst matters less than that it is.
const OF_DEPTH: f64 = 0.02;
/// A bar is looked at in so many pieces where the whole of it proves nothing.
const PARTS: usize = 4;

impl Proving<'_> {
    /// Proves the least gap, starting from the least that was found by other means.
    pub fn prove(&self, found: Option<Least>) -> Proof {
        let mut least = found;
        let floor = self.floor();
        let [low, high] = self.sweep.range;
        let whole = Piece {
            at: (low + high) / 2.0,
            half: (high - low) / 2.0,
            from: *self.gear.ride(self.sweep.hub),
            bound: floor,
        };
        let mut waiting = BinaryHeap::from([Waiting { piece: whole, asked: () }]);
        let mut looks = 0;
        while let Some(Waiting { piece, .. }) = waiting.pop() {
            let best = least.map_or(self.pair.within, |l| l.nearest.gap);
            let enough = best - self.unproven(best);
            // The lowest bound of all reaches: so do the others.
            if piece.bound >= enough {
                return Proof { least, at_least: enough.max(floor), looks };
            }
            if looks >= self.budget {
                return Proof { least, at_least: piece.bound, looks };
            }
            looks += 1;
            // A piece that the linkage cannot be posed in has no bound.
            let Ok(pose) = self.gear.raise(&piece.from, piece.at) else {
                return Proof { least, at_least: f64::NEG_INFINITY, looks };
            };
            let mut here = f64::INFINITY;
            let bound = self.bound(&piece, &pose, enough, &mut here).max(piece.bound);
            if here < best
                && let Some(nearest) = self.parts.gap(self.gear, self.pair, &pose, best)
            {
                least = Some(Least { nearest, at: piece.at, pose });
            }
            if bound >= enough {
                continue;
            }
            if piece.half.amax() < SMALLEST {
                let others = waiting.peek().map_or(f64::INFINITY, |other| other.piece.bound);
                return Proof { least, at_least: bound.min(others), looks };
            }
            let halves = Piece { bound, ..piece }.halves(self.longer(&piece, &pose), &pose);
            waiting.extend(halves.map(|piece| Waiting { piece, asked: () }));
        }
        let best = least.map_or(self.pair.within, |l| l.nearest.gap);
        Proof { least, at_least: (best - self.unproven(best)).max(floor), looks }
    }

    /// What may be left unproven, mm. The more a gap has in hand, the less it matters, and the deeper an overlap is.
    fn unproven(&self, gap: f64) -> f64 {
        let share = if self.pair.a.is_moving() { IN_HAND_OF_LINKAGE } else { IN_HAND };
        let in_hand = (gap - self.pair.wanted).max(0.0) * share;
        self.slack.max(in_hand).max(-gap * OF_DEPTH)
    }

    /// No pose has a smaller gap than this, mm: no place of a ring is deeper than half its section. Minus infinity where
    /// nothing is known.
    fn floor(&self) -> f64 {
        let Some(ring) = self.parts.ring(self.pair.a) else { return f64::NEG_INFINITY };
        let deepest = ring.profiles.iter().map(|p| p.deepest).fold(0.0, f64::max);
        let radius = match self.pair.b {
            Role::Body(i) => self.parts.body[i].solid.thickest(),
            Role::Moving(hub, i) => self.parts.moving(hub)[i].legs.iter().map(|leg| leg.radius).fold(0.0, f64::max),
            _ => return f64::NEG_INFINITY,
        };
        -deepest - radius
    }

    /// How far the steering goes in a piece, mm.
    fn steering(&self, piece: &Piece) -> f64 {
        if self.sweep.beside == Beside::Steering { piece.half.y } else { 0.0 }
    }

    /// The number along which a piece moves the wheel further.
    pub(super) fn longer(&self, piece: &Piece, pose: &CornerPose) -> usize {
        let axle = self.gear.of(pose);
        let along = |half| {
            let leeway = axle.leeway(pose, half);
            let steering = if self.sweep.beside == Beside::Steering { half.y } else { 0.0 };
            leeway.map_or(half.amax(), |l| match self.pair.a {
                Role::Moving(..) => Bars { proving: self, steering, pose, leeway: &l }.moves().unwrap_or(half.amax()),
                _ => l.of_ring(self.parts.reach(self.pair.a)),
            })
        };
        let [travel, beside] = [Vector2::new(piece.half.x, 0.0), Vector2::new(0.0, piece.half.y)].map(along);
        if beside > travel { 1 } else { 0 }
    }

    /// No gap in a piece is less than this, as far as it matters: up to `enough`. `here` is lowered to the gap in the
    /// middle pose where that is known.
    pub(super) fn bound(&self, piece: &Piece, pose: &CornerPose, enough: f64, here: &mut f64) -> f64 {
        let Some(leeway) = self.gear.of(pose).leeway(pose, piece.half) else { return f64::NEG_INFINITY };
        let reach = self.parts.reach(self.pair.a);
        match self.pair.b {
            _ if self.pair.a.is_moving() => {
                Bars { proving: self, steering: self.steering(piece), pose, leeway: &leeway }
                    .bound(enough, here)
                    .unwrap_or(f64::NEG_INFINITY)
            }
            Role::Body(_) => {
                let moves = leeway.of_ring(reach);
                let found = self.parts.gap(self.gear, self.pair, pose, enough + moves);
                let Some(nearest) = found else { return enough };
                *here = nearest.gap;
                surely(nearest.gap) - moves
            }
            // Nothing moves it against the rim.
            Role::Caliper(_) => {
                let Some(nearest) = self.parts.gap(self.gear, self.pair, pose, f64::INFINITY) else { return enough };
                *here = nearest.gap;
                nearest.gap
            }
            _ => self.moving(piece, pose, &leeway, enough, here).unwrap_or(f64::NEG_INFINITY),
        }
    }

    /// The same against a part that moves with the wheel. None where one of its points has no bound.
    fn moving(&self, piece: &Piece, pose: &CornerPose, leeway: &Leeway, enough: f64, here: &mut f64) -> Option<f64> {
        let Role::Moving(hub, i) = self.pair.b else { return None };
        let ring = Parts::placed(self.parts.ring(self.pair.a)?, pose);
        let reach = self.parts.reach(self.pair.a);
        let steering = self.steering(piece);
        let bars = self.parts.bars(self.gear, self.pair.b, pose)?;
        let mut least = enough;
        for (leg, bar) in self.parts.moving(hub)[i].legs.iter().zip(bars.iter()) {
            if let Some(along) = self.slides(leg, pose, leeway) {
                let longer = Bar { a: bar.a - along, b: bar.b + along, ..*bar };
                if let Some(nearest) = nearest(&ring, &[longer][..], least) {
                    *here = here.min(nearest.gap);
                    least = least.min(surely(nearest.gap));
                }
                continue;
            }
            // How far each end moves as seen from the body, and as seen from the part that carries the wheel.
            let axle = self.gear.of(pose);
            let [one, other] = leg.ends.map(|end| end.leeway(axle, pose, leeway, steering));
            let ends = [one?, other?];
            let places = [bar.a, bar.b];
            let seen_from_wheel = |k: usize| if ends[k].1 { 0.0 } else { ends[k].0 + leeway.of_point(places[k]) };
            let by_body = [0, 1].map(|k| leeway.of_ring(reach) + ends[k].0);
            let by_wheel = [0, 1].map(seen_from_wheel);
            let whole = furthest(by_body, by_wheel, [0.0, 1.0]);
            let Some(nearest) = nearest(&ring, &[*bar][..], least + whole) else { continue };
            *here = here.min(nearest.gap);
            let mut bound = surely(nearest.gap) - whole;
            if bound < least && bar.a != bar.b {
                bound = least;
                for n in 0..PARTS {
                    let [from, to] = [n, n + 1].map(|n| n as f64 / PARTS as f64);
                    let place = |t: f64| bar.a + (bar.b - bar.a) * t;
                    let part = Bar { a: place(from), b: place(to), radius: bar.radius };
                    let moves = furthest(by_body, by_wheel, [from, to]);
                    let found = super::nearest::nearest(&ring, &[part][..], bound + moves);
                    bound = found.map_or(bound, |n| surely(n.gap) - moves);
                }
            }
            least = least.min(bound);
        }
        if let (Some(plate), Some(at)) = (self.parts.moving(hub)[i].plate, bars.plate()) {
            let axle = self.gear.of(pose);
            let (mut by_body, mut by_wheel) = (0.0f64, 0.0f64);
            for (corner, at) in plate.corners.iter().zip(at.corners) {
                let (moves, rides) = corner.leeway(axle, pose, leeway, steering)?;
                by_body = by_body.max(leeway.of_ring(reach) + moves);
                by_wheel = by_wheel.max(if rides { 0.0 } else { moves + leeway.of_point(at) });
            }
            let moves = by_body.min(by_wheel);
            if let Some(nearest) = nearest(&ring, Few { bars: &[], plate: Some(at) }, least + moves) {
                *here = here.min(nearest.gap);
                least = least.min(surely(nearest.gap) - moves);
            }
        }
        Some(least)
    }

    /// A strut keeps to a line that is fixed to the upright: seen from the wheel its parts only slide along it, no further
    /// than this. None for any other bar.
    fn slides(&self, leg: &Leg, pose: &CornerPose, leeway: &Leeway) -> Option<Vector3<f64>> {
        use PointName::{DamperBottom, DamperTop};
        let axle = self.gear.of(pose);
        let strut = axle.linkage == Linkage::Strut
            && leg
                .ends
                .iter()
                .all(|end| matches!(end, Spot::At(DamperTop) | Spot::Between(DamperTop, DamperBottom, _)));
        if !strut {
            return None;
        }
        let [top, bottom] = axle.damper(pose)?;
        Some((bottom - top).normalize() * leeway.of_point(top))
    }
}

/// How far the stretch of a bar between two shares of its length moves at most, mm, from how far its ends do as seen from
/// the body and as seen from the wheel. In between its ends it moves in proportion, so that the one or the other end of a
/// stretch moves furthest; but that goes for each way of seeing it alone: the lesser of both can be largest in between.
fn furthest(by_body: [f64; 2], by_wheel: [f64; 2], stretch: [f64; 2]) -> f64 {
    let seen = |ends: [f64; 2]| stretch.map(|t| ends[0] + (ends[1] - ends[0]) * t).into_iter().fold(0.0, f64::max);
    seen(by_body).min(seen(by_wheel))
}

/// What a gap is at least, that was found as [`nearest`] finds them.
pub(super) fn surely(gap: f64) -> f64 {
    gap - known_to(gap)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: an arm whose inner end moves 4 mm against the wheel and not against the body, and whose outer end the
    /// other way round. Half way it moves 2 mm, however it is seen, and both its ends are still as one of the two sees it.
    #[test]
    fn no_place_of_a_bar_moves_further_than_is_said_of_its_stretch() {
        let (by_body, by_wheel) = ([0.0, 4.0], [4.0, 0.0]);
        let moves = |t: f64| f64::min(4.0 * t, 4.0 - 4.0 * t);
        for [from, to] in [[0.0, 1.0], [0.25, 0.75], [0.4, 0.6], [0.0, 0.25]] {
            let said = furthest(by_body, by_wheel, [from, to]);
            let most = (0..=20).map(|i| moves(from + (to - from) * f64::from(i) / 20.0)).fold(0.0, f64::max);
            assert!(said >= most, "{from} to {to}: {said}, {most}");
        }
        // A stretch that lies to one side of the crossing is bounded as well as its own end.
        assert_eq!(furthest(by_body, by_wheel, [0.0, 0.25]), 1.0);
    }
}
