//! How far the rack goes before something comes within its wanted gap.

use nalgebra::Vector2;

use super::hold::{Held, Holding};
use super::nearest::Nearest;
use super::parts::{Parts, Place, Role};
use super::sweep::{FAR, WheelSweep};
use crate::motion::{CornerPose, RunningGear};

/// The rack travel of a first touch is known to this, mm.
pub const RACK_KNOWN: f64 = 0.005;
/// What is proven of a first touch leaves out this much steering before it, mm of rack: there the gap that closes is
/// as good as the wanted one, and no bound could tell.
pub const BEFORE: f64 = 0.05;
/// The march towards a touch takes no shorter steps than this, mm of rack.
const SHORTEST: f64 = 0.05;
/// A step is tried this much longer than the last.
const LONGER: f64 = 2.0;

/// The first touch on the way to a lock.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Touch {
    /// Rack travel, signed, mm.
    pub rack: f64,
    /// Wheel travel, mm.
    pub travel: f64,
    /// The pair.
    pub pair: Place,
    /// Where.
    pub nearest: Nearest,
}

/// One wheel turning one way.
#[derive(Debug, Clone, Copy)]
pub struct Turn<'a> {
    /// The car's running gear.
    pub gear: &'a RunningGear,
    /// Its parts.
    pub parts: &'a Parts,
    /// The wheel's poses.
    pub sweep: &'a WheelSweep,
    /// Pairs that limit it.
    pub pairs: &'a [Place],
    /// Rack travel at the mechanical stop, signed, mm.
    pub stop: f64,
}

impl Turn<'_> {
    /// The pair that is shortest of its wanted gap in a pose, and by how much it still has in hand.
    fn in_hand(&self, pose: &CornerPose) -> (f64, Option<(Place, Nearest)>) {
        let (mut least, mut who) = (FAR, None);
        for pair in self.pairs {
            if let Some(nearest) = self.parts.gap(self.gear, pair, pose, least + pair.wanted) {
                least = nearest.gap - pair.wanted;
                who = Some((*pair, nearest));
            }
        }
        (least, who)
    }

    /// The most that the gap of any of the pairs can close while the steering goes this far from a pose, mm: what both its
    /// parts can move, whatever they ride on. None where that cannot be said.
    fn closes(&self, pose: &CornerPose, steering: f64) -> Option<f64> {
        let axle = self.gear.of(pose);
        let leeway = axle.leeway(pose, Vector2::new(0.0, steering))?;
        let moves = |role: Role| match role {
            Role::Tyre(_) | Role::Rim(_) => Some(leeway.of_ring(self.parts.reach(role))),
            Role::Moving(hub, i) => {
                let ends = self.parts.moving(hub)[i].legs.iter().flat_map(|leg| leg.ends);
                ends.map(|end| Some(end.leeway(axle, pose, &leeway, steering)?.0))
                    .try_fold(0.0, |m, e| Some(f64::max(m, e?)))
            }
            Role::Body(_) | Role::Caliper(_) | Role::Ground => Some(0.0),
        };
        self.pairs.iter().try_fold(0.0, |most, pair| Some(f64::max(most, moves(pair.a)? + moves(pair.b)?)))
    }

    /// The first touch at a wheel travel, or None where the stop comes first.
    pub fn first_touch(&self, travel: f64) -> Option<Touch> {
        self.touch_before(travel, self.stop.abs())
    }

    /// The first touch at a wheel travel within some rack travel.
    ///
    /// Marches by steps in which no gap can close by what is left of the least one. Once it has closed, halving finds
    /// where.
    fn touch_before(&self, travel: f64, end: f64) -> Option<Touch> {
        let way = self.stop.signum();
        let pose = |rack: f64| self.sweep.pose(self.gear, Vector2::new(travel, rack));
        let mut open = 0.0f64;
        let mut at = pose(0.0)?;
        let mut left = self.in_hand(&at).0;
        let mut step = end / 4.0;
        while left > 0.0 {
            if open >= end {
                return None;
            }
            step *= LONGER;
            while step > SHORTEST && self.closes(&at, step).is_none_or(|by| by > left) {
                step /= 2.0;
            }
            step = step.max(SHORTEST);
            let next = (open + step).min(end);
            at = pose(way * next)?;
            left = self.in_hand(&at).0;
            if left <= 0.0 {
                return self.close_in(travel, way, open, next);
            }
            open = next;
        }
        self.close_in(travel, way, 0.0, 0.0)
    }

    fn close_in(&self, travel: f64, way: f64, mut open: f64, mut shut: f64) -> Option<Touch> {
        let pose = |rack: f64| self.sweep.pose(self.gear, Vector2::new(travel, way * rack));
        while shut - open > RACK_KNOWN {
            let middle = (open + shut) / 2.0;
            if self.in_hand(&pose(middle)?).0 > 0.0 { open = middle } else { shut = middle }
        }
        let (_, who) = self.in_hand(&pose(shut)?);
        let (pair, nearest) = who?;
        // What is surely clear: the open end.
        Some(Touch { rack: way * open, travel, pair, nearest })
    }

    /// The earliest first touch over the whole wheel travel, as searched: from some travels, then downhill.
    pub fn earliest(&self) -> Option<Touch> {
        let [low, high] = self.sweep.range.map(|r| r.x);
        let mut first: Option<Touch> = None;
        const ALONG: usize = 8;
        for i in 0..=ALONG {
            let travel = low + (high - low) * i as f64 / ALONG as f64;
            self.earlier(travel, &mut first);
        }
        self.refine(&mut first, (high - low) / (2.0 * ALONG as f64));
        first
    }

    /// Whether the first touch at a wheel travel comes before the earliest so far, which it then is.
    fn earlier(&self, travel: f64, first: &mut Option<Touch>) -> bool {
        let end = first.map_or(self.stop.abs(), |f| f.rack.abs() - RACK_KNOWN);
        let touch = (end > 0.0).then(|| self.touch_before(travel, end)).flatten();
        *first = touch.or(*first);
        touch.is_some()
    }

    /// Walks the earliest touch to the best travel near it.
    fn refine(&self, first: &mut Option<Touch>, mut step: f64) {
        let [low, high] = self.sweep.range.map(|r| r.x);
        let Some(Touch { mut travel, .. }) = *first else { return };
        while step > 0.25 {
            let better = [travel - step, travel + step].into_iter().map(|t| t.clamp(low, high));
            match better.into_iter().find(|t| self.earlier(*t, first)) {
                Some(t) => travel = t,
                None => step /= 2.0,
            }
        }
    }

    /// The pairs that are short of their wanted gap by more than `slack` with the steering straight ahead, anywhere in the
    /// travel, as far as so many looks tell.
    pub fn short_straight_ahead(&self, slack: f64, mut looks: usize) -> Vec<Place> {
        let holding = Holding { gear: self.gear, parts: self.parts, sweep: self.sweep, slack };
        let line = self.sweep.range.map(|r| Vector2::new(r.x, 0.0));
        let (mut short, mut others) = (Vec::new(), self.pairs.to_vec());
        while let Held::Broken(pair, _) = holding.hold(&others, line, &mut looks) {
            others.retain(|p| *p != pair);
            short.push(pair);
        }
        short
    }

    /// Proves an earliest first touch, or corrects it to an earlier one and proves that: no pose with less steering (by
    /// [`BEFORE`]) has a pair short of its wanted gap by more than `slack`. Looks at no more than so many poses. Says
    /// whether it is proven. A pair that is short straight ahead already gives a touch at no rack travel.
    pub fn prove(&self, mut first: Option<Touch>, slack: f64, mut looks: usize) -> (Option<Touch>, bool) {
        let holding = Holding { gear: self.gear, parts: self.parts, sweep: self.sweep, slack };
        let [low, high] = self.sweep.range.map(|r| r.x);
        loop {
            let end = first.map_or(self.stop.abs(), |f| f.rack.abs() - BEFORE);
            if end <= 0.0 {
                return (first, true);
            }
            let rack = self.stop.signum() * end;
            let range = [Vector2::new(low, rack.min(0.0)), Vector2::new(high, rack.max(0.0))];
            match holding.hold(self.pairs, range, &mut looks) {
                Held::Proven => return (first, true),
                Held::Unknown => return (first, false),
                Held::Broken(_, at) => {
                    let Some(touch) = self.touch_before(at.x, at.y.abs()) else { return (first, false) };
                    first = Some(touch);
                    self.refine(&mut first, (high - low) / 32.0);
                }
            }
        }
    }
}
