//! The stretch of a rail that lies in a wheel's keep-out: all the space that tyre and rim take up in a sweep, grown by a
//! gap.
//!
//! In one pose, a place along a face is in the keep-out where the least distance across the face there is less than the
//! gap. That distance changes by at most one millimetre per millimetre along the rail, so halving intervals finds every
//! stretch without stepping over any. The ends are then followed over travel and rack to where they lie furthest out.

mod ends;
mod prove;

pub use ends::Ends;
pub use prove::STATED;

use nalgebra::{Vector2, Vector3};

use super::nearest::{Nearest, PROVEN_DEPTH, nearest};
use super::parts::Parts;
use super::rail::{Face, RailRun};
use super::ring::PlacedRing;
use super::solid::{Bar, Solid};
use super::sweep::WheelSweep;
use crate::motion::{CornerPose, RunningGear};

/// Among the grid's poses a deeper place counts only if deeper by this, mm: the descent that follows finds the rest.
const DEEPER: f64 = 0.5;
/// Ends of a stretch are known to this, mm.
pub const STATION_KNOWN: f64 = 0.02;

/// A stretch of one face that is in the way.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stretch {
    /// The face.
    pub face: Face,
    /// Station where it starts, mm.
    pub from: f64,
    /// Station where it ends, mm.
    pub to: f64,
    /// How far the keep-out reaches past the face at its deepest, mm.
    pub depth: f64,
    /// Station of that place, mm.
    pub deepest: f64,
    /// (travel, beside) of that pose, mm.
    pub at: Vector2<f64>,
}

/// A part of a face, all along the rail.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Strip {
    /// The face.
    pub face: Face,
    /// From where to where across it, from 0 at its one edge to 1 at its other.
    pub across: [f64; 2],
}

impl Strip {
    fn whole(face: Face) -> Self {
        Self { face, across: [0.0, 1.0] }
    }

    /// Its own of a line across the face.
    pub fn of(&self, [a, b]: [Vector3<f64>; 2]) -> [Vector3<f64>; 2] {
        // The edges to the bit, see [`RailRun::across`].
        self.across.map(|t| a * (1.0 - t) + b * t)
    }
}

/// What of a strip is in the way along one stretch of the rail between two corners of its centreline.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InTheWay {
    /// The strip.
    pub strip: Strip,
    /// The stretch.
    pub stretch: usize,
    /// From where to where along it, 0 to 1.
    pub span: [f64; 2],
}

/// A wheel and a rail, and the gap by which the keep-out is grown.
#[derive(Debug, Clone, Copy)]
pub struct Cutting<'a> {
    /// The car's running gear.
    pub gear: &'a RunningGear,
    /// Its parts.
    pub parts: &'a Parts,
    /// The wheel's poses.
    pub sweep: &'a WheelSweep,
    /// The rail.
    pub run: &'a RailRun,
    /// Gap, mm.
    pub grown: f64,
}

impl Cutting<'_> {
    /// Every stretch of every face in the keep-out, as searched.
    pub fn stretches(&self) -> Vec<Stretch> {
        self.all(|_, _, _| ())
    }

    /// The same with each face in so many strips along it, whose stretches are told apart.
    pub fn strips(&self, count: usize) -> Vec<InTheWay> {
        let share = |k: usize| k as f64 / count as f64;
        let strips =
            |face: &Face| (0..count).map(|k| Strip { face: *face, across: [share(k), share(k + 1)] }).collect();
        let strips: Vec<Strip> = match self.run.radius {
            Some(_) => vec![Strip::whole(Face::Round)],
            None => self.run.faces().iter().flat_map(|face| -> Vec<Strip> { strips(face) }).collect(),
        };
        let mut all = Vec::new();
        for strip in strips {
            for stretch in self.run.real_stretches() {
                let found = self.along(strip, stretch).into_iter();
                all.extend(found.map(|spread| InTheWay { strip, stretch, span: spread.span }));
            }
        }
        all
    }

    /// The same, each face settled by `settle` before its stretches are told.
    fn all(&self, mut settle: impl FnMut(Strip, usize, &mut Vec<Spread>)) -> Vec<Stretch> {
        let mut all = Vec::new();
        for face in self.run.faces() {
            let strip = Strip::whole(*face);
            for stretch in self.run.real_stretches() {
                let mut found = self.along(strip, stretch);
                settle(strip, stretch, &mut found);
                for spread in found {
                    let [from, to] = spread.span.map(|along| self.run.station(stretch, along));
                    let (depth, deepest, at) = self.depth(strip, stretch, &spread);
                    let deepest = self.run.station(stretch, deepest);
                    all.push(Stretch { face: *face, from, to, depth, deepest, at });
                }
            }
        }
        joined(all)
    }

    /// The line across a strip at a place along a stretch, as [`RailRun::across`] has it of a face.
    fn across(&self, strip: Strip, stretch: usize, along: f64) -> [Vector3<f64>; 2] {
        strip.of(self.run.across(stretch, strip.face, along))
    }

    /// The wheel in a pose: its tyre and its rim.
    fn rings(&self, pose: &CornerPose) -> [PlacedRing<'_>; 2] {
        [self.parts.tyre(pose.hub), self.parts.rim(pose.hub)].map(|ring| Parts::placed(ring, pose))
    }

    /// How far a place of a face is from the wheel in a pose, less the gap; `within` if further than that.
    fn clear(&self, rings: &[PlacedRing], strip: Strip, stretch: usize, along: f64, within: f64) -> f64 {
        let [a, b] = self.across(strip, stretch, along);
        let bar = Bar { a, b, radius: self.run.radius.unwrap_or(0.0) };
        let closer =
            |least: f64, ring| nearest(ring, &[bar][..], least + self.grown).map_or(least, |n| n.gap - self.grown);
        rings.iter().fold(within, closer)
    }

    /// Intervals of a face along a stretch that are in the keep-out in one pose, as parts of the stretch.
    fn inside(&self, pose: &CornerPose, strip: Strip, stretch: usize, window: [f64; 2]) -> Vec<[f64; 2]> {
        let rings = self.rings(pose);
        let ends = |along| self.across(strip, stretch, along);
        let ([a, b], [c, d]) = (ends(0.0), ends(1.0));
        // Length of the longer edge: how far a place of the face moves as `along` goes from 0 to 1.
        let length = (c - a).norm().max((d - b).norm());
        let mut found: Vec<[f64; 2]> = Vec::new();
        let mut waiting = vec![window];
        while let Some([from, to]) = waiting.pop() {
            let half = (to - from) / 2.0;
            let clear = self.clear(&rings, strip, stretch, from + half, half * length);
            if clear >= half * length {
                continue;
            }
            if clear <= -half * length || (half * length < STATION_KNOWN / 2.0 && clear <= 0.0) {
                match found.last_mut() {
                    Some(last) if from <= last[1] + 1e-12 => last[1] = to,
                    _ => found.push([from, to]),
                }
            } else if half * length >= STATION_KNOWN / 2.0 {
                // Taken from the end of the list, so the nearer half goes on last.
                waiting.push([from + half, to]);
                waiting.push([from, from + half]);
            }
        }
        found
    }

    /// The spreads of a face along a stretch, their ends followed.
    fn along(&self, strip: Strip, stretch: usize) -> Vec<Spread> {
        let whole = self.surface(strip, stretch, [0.0, 1.0]);
        let mut found: Vec<Spread> = Vec::new();
        for (at, pose) in &self.sweep.poses {
            if found.is_empty() && self.deepest(pose, &whole, stretch, 0.0).is_none() {
                continue;
            }
            self.cover(strip, stretch, &mut found, *at, pose);
        }
        found.iter_mut().for_each(|spread| self.widen(strip, stretch, spread));
        found
    }

    /// Adds what one pose has in the keep-out. Only what no pose before has covered can add anything.
    fn cover(&self, strip: Strip, stretch: usize, found: &mut Vec<Spread>, at: Vector2<f64>, pose: &CornerPose) {
        for window in uncovered(found) {
            for span in self.inside(pose, strip, stretch, window) {
                Spread::add(found, span, at);
            }
        }
    }

    /// How deep a spread lies in the keep-out at most, where along the stretch, and in which pose.
    fn depth(&self, strip: Strip, stretch: usize, spread: &Spread) -> (f64, f64, Vector2<f64>) {
        let surface = self.surface(strip, stretch, spread.span);
        let [from, to] = spread.span;
        let mut best = (0.0, (from + to) / 2.0, spread.ends_at[0]);
        for (at, pose) in &self.sweep.poses {
            let beyond = if best.0 > 0.0 { best.0 + DEEPER } else { 0.0 };
            if let Some((depth, place)) = self.deepest(pose, &surface, stretch, beyond) {
                best = (depth, place.clamp(from, to), *at);
            }
        }
        self.sweep.descend(best.2, |at| {
            let beyond = best.0 * (1.0 + PROVEN_DEPTH);
            let pose = self.sweep.pose(self.gear, at);
            let Some((depth, place)) = pose.and_then(|p| self.deepest(&p, &surface, stretch, beyond)) else {
                return false;
            };
            best = (depth, place.clamp(from, to), at);
            true
        });
        best
    }

    /// A face along a part of a stretch; of a round rail, the whole of it.
    fn surface(&self, strip: Strip, stretch: usize, span: [f64; 2]) -> Solid {
        let [[a, b], [d, c]] = span.map(|along| self.across(strip, stretch, along));
        match self.run.radius {
            Some(radius) => Solid::new(vec![Bar { a, b: d, radius }], Vec::new()),
            None => Solid::new(Vec::new(), Solid::quad([a, b, c, d], 0.0).to_vec()),
        }
    }

    /// How deep a surface lies in the keep-out of one pose, if deeper than `beyond`, and where along the stretch.
    fn deepest(&self, pose: &CornerPose, surface: &Solid, stretch: usize, beyond: f64) -> Option<(f64, f64)> {
        let closer = |best: Option<Nearest>, ring: &PlacedRing| {
            nearest(ring, surface, best.map_or(self.grown - beyond, |b| b.gap)).or(best)
        };
        let near = self.rings(pose).iter().fold(None, closer)?;
        let (start, end) = (self.run.centreline[stretch], self.run.centreline[stretch + 1]);
        let run = end - start;
        let place = ((near.on_solid - start).dot(&run) / run.norm_squared()).clamp(0.0, 1.0);
        Some((self.grown - near.gap, place))
    }

    /// Follows both ends of a spread over travel and rack to where they lie furthest out.
    fn widen(&self, strip: Strip, stretch: usize, spread: &mut Spread) {
        for end in 0..2 {
            let outward = if end == 0 { -1.0 } else { 1.0 };
            let mut furthest = spread.span[end];
            self.sweep.descend(spread.ends_at[end], |at| {
                let edge = if end == 0 { 0.0 } else { 1.0 };
                if furthest == edge {
                    return false;
                }
                let Some(pose) = self.sweep.pose(self.gear, at) else { return false };
                // Only what lies beyond the end found so far is of interest.
                let window = if end == 0 { [0.0, furthest] } else { [furthest, 1.0] };
                let beyond = self.inside(&pose, strip, stretch, window);
                // One that does not go on from that end is another stretch.
                let reached = match (end, beyond.first(), beyond.last()) {
                    (0, _, Some([from, to])) if *to >= furthest - 1e-9 => Some(*from),
                    (1, Some([from, to]), _) if *from <= furthest + 1e-9 => Some(*to),
                    _ => None,
                };
                match reached {
                    Some(place) if (place - furthest) * outward > 1e-9 => {
                        furthest = place;
                        true
                    }
                    _ => false,
                }
            });
            spread.span[end] = furthest;
        }
    }
}

/// An interval in the keep-out, and the poses that put its ends where they are.
struct Spread {
    span: [f64; 2],
    ends_at: [Vector2<f64>; 2],
}

impl Spread {
    /// Adds an interval of one pose, joined with those that it meets.
    fn add(found: &mut Vec<Self>, span: [f64; 2], at: Vector2<f64>) {
        Self::join(found, Self { span, ends_at: [at; 2] });
    }

    /// Adds another, joined with those that it meets.
    fn join(found: &mut Vec<Self>, mut new: Self) {
        let mut apart = Vec::with_capacity(found.len() + 1);
        for old in found.drain(..) {
            if old.span[1] < new.span[0] || old.span[0] > new.span[1] {
                apart.push(old);
                continue;
            }
            if old.span[0] < new.span[0] {
                (new.span[0], new.ends_at[0]) = (old.span[0], old.ends_at[0]);
            }
            if old.span[1] > new.span[1] {
                (new.span[1], new.ends_at[1]) = (old.span[1], old.ends_at[1]);
            }
        }
        apart.push(new);
        apart.sort_by(|a, b| a.span[0].total_cmp(&b.span[0]));
        *found = apart;
    }
}

/// The parts of a stretch that lie in no interval found so far.
fn uncovered(found: &[Spread]) -> Vec<[f64; 2]> {
    let starts = std::iter::once(0.0).chain(found.iter().map(|s| s.span[1]));
    let ends = found.iter().map(|s| s.span[0]).chain(std::iter::once(1.0));
    starts.zip(ends).map(|(a, b)| [a, b]).filter(|[a, b]| b > a).collect()
}

/// Stretches of one face that meet at a corner of the centreline are one.
fn joined(mut all: Vec<Stretch>) -> Vec<Stretch> {
    let mut out: Vec<Stretch> = Vec::new();
    all.sort_by(|a, b| a.from.total_cmp(&b.from));
    for face in super::rail::FACES.into_iter().chain([Face::Round]) {
        for s in all.iter().filter(|s| s.face == face) {
            match out.last_mut() {
                Some(last) if last.face == face && s.from <= last.to + STATION_KNOWN => {
                    last.to = last.to.max(s.to);
                    if s.depth > last.depth {
                        (last.depth, last.deepest, last.at) = (s.depth, s.deepest, s.at);
                    }
                }
                _ => out.push(*s),
            }
        }
    }
    out
}
