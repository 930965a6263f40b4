//! The bound of a pair without a tyre or rim: bars that move, against bars that move or against the body.
//!
//! A bar between two moving ends moves, along it, no further than in proportion between them. So a gap between two bars
//! is no less than in the middle pose, less what both can move; seen from the body, or from the part that carries the
//! wheel, whichever says more. A bar is looked at in pieces where the whole of it says too little.

use super::{PARTS, Proving};
use crate::motion::{CornerPose, Leeway};
use crate::space::apart::{apart, segments};
use crate::space::nearest::{Few, Shape};
use crate::space::parts::Role;
use crate::space::solid::{Bar, Facet};

/// Closed forms are known to this, mm, far better than needed.
const ROUNDING: f64 = 1e-6;

/// A pair in one piece of a sweep.
pub(super) struct Bars<'a> {
    pub proving: &'a Proving<'a>,
    pub steering: f64,
    pub pose: &'a CornerPose,
    pub leeway: &'a Leeway,
}

/// A bar and how far its ends may move, mm: seen from the body, and from the part that carries the wheel.
#[derive(Clone, Copy)]
struct Loose {
    bar: Bar,
    ends: [[f64; 2]; 2],
}

impl Loose {
    /// The most that any place of it moves, by both views.
    fn most(&self) -> [f64; 2] {
        self.ends.map(|[a, b]| a.max(b))
    }

    /// A piece of it.
    fn piece(&self, n: usize) -> Self {
        let [from, to] = [n, n + 1].map(|n| n as f64 / PARTS as f64);
        let place = |t: f64| self.bar.a + (self.bar.b - self.bar.a) * t;
        let bar = Bar { a: place(from), b: place(to), radius: self.bar.radius };
        Self { bar, ends: self.ends.map(|[a, b]| [from, to].map(|t| a + (b - a) * t)) }
    }

    /// Its pieces; a ball is one.
    fn pieces(&self) -> impl Iterator<Item = Self> {
        let count = if self.bar.a == self.bar.b { 1 } else { PARTS };
        (0..count).map(move |n| if count == 1 { *self } else { self.piece(n) })
    }
}

impl Bars<'_> {
    /// No gap in the piece is less than this, up to `enough`. None where a point has no bound.
    pub fn bound(&self, enough: f64, here: &mut f64) -> Option<f64> {
        let pair = self.proving.pair;
        let mut least = enough;
        match pair.b {
            Role::Body(i) => {
                let ours = self.loose(pair.a, false)?;
                let solid = Shape::Solid(&self.proving.parts.body[i].solid);
                for one in &ours {
                    let moves = one.most()[0];
                    let Some(found) = apart(&[one.bar], solid, least + moves) else { continue };
                    *here = here.min(found.gap);
                    let mut bound = found.gap - moves;
                    // Of a bar that reaches into the body a piece within it would be as deep as that piece is.
                    if bound < least && found.gap > 0.0 {
                        bound = one.pieces().fold(least, |bound, piece| {
                            let moves = piece.most()[0];
                            apart(&[piece.bar], solid, bound + moves).map_or(bound, |n| n.gap - moves)
                        });
                    }
                    least = least.min(bound - ROUNDING);
                }
                least = least.min(self.plate_bound(pair.a, solid, 0.0, least, here)?);
            }
            _ => {
                let (ours, theirs) = (self.loose(pair.a, true)?, self.loose(pair.b, true)?);
                for (one, other) in ours.iter().flat_map(|one| theirs.iter().map(move |other| (one, other))) {
                    let gap = gap(&one.bar, &other.bar);
                    *here = here.min(gap);
                    let mut bound = gap - moves(one, other);
                    if bound < least {
                        let pieces = one.pieces().flat_map(|p| other.pieces().map(move |q| (p, q)));
                        bound =
                            pieces.fold(least, |bound, (p, q)| bound.min(self::gap(&p.bar, &q.bar) - moves(&p, &q)));
                    }
                    least = least.min(bound - ROUNDING);
                }
                for (one, other) in [(pair.a, pair.b), (pair.b, pair.a)] {
                    let Role::Moving(hub, i) = other else { continue };
                    if self.plate(one).is_none() {
                        continue;
                    }
                    let bars = self.proving.parts.moving(hub)[i].bars(self.proving.gear.of(self.pose), self.pose)?;
                    let theirs = self.loose(other, false)?.iter().map(|l| l.most()[0]).fold(0.0, f64::max);
                    least = least.min(self.plate_bound(one, Shape::from(&bars), theirs, least, here)?);
                }
            }
        }
        Some(least)
    }

    /// A part's plate in the middle pose, and the most that any place of it moves.
    fn plate(&self, role: Role) -> Option<(Facet, f64)> {
        let Role::Moving(hub, i) = role else { return None };
        let (axle, part) = (self.proving.gear.of(self.pose), &self.proving.parts.moving(hub)[i]);
        let plate = part.plate?;
        let facet = *part.bars(axle, self.pose)?.plate()?;
        let moves = plate.corners.iter().map(|c| c.leeway(axle, self.pose, self.leeway, self.steering));
        Some((facet, moves.map(|m| m.map_or(f64::INFINITY, |m| m.0)).fold(0.0, f64::max)))
    }

    /// No gap of a part's plate to a shape that moves by `theirs` is less than this, up to `least`.
    fn plate_bound(&self, role: Role, shape: Shape, theirs: f64, least: f64, here: &mut f64) -> Option<f64> {
        let Some((plate, ours)) = self.plate(role) else { return Some(least) };
        let moves = ours + theirs;
        if !moves.is_finite() {
            return None;
        }
        let Some(found) = apart(Few { bars: &[], plate: Some(&plate) }, shape, least + moves) else {
            return Some(least);
        };
        *here = here.min(found.gap);
        Some(found.gap - moves - ROUNDING)
    }

    /// The most that any place of the two moves, mm.
    pub fn moves(&self) -> Option<f64> {
        let pair = self.proving.pair;
        let most = |role| Some(self.loose(role, false)?.iter().map(|l| l.most()[0]).fold(0.0, f64::max));
        let theirs = if pair.b.is_moving() { most(pair.b)? } else { 0.0 };
        Some(most(pair.a)? + theirs)
    }

    /// A part's bars. Seen from the wheel a strut's only slide along their line, which it may be lengthened by instead.
    fn loose(&self, role: Role, lengthened: bool) -> Option<Vec<Loose>> {
        let Role::Moving(hub, i) = role else { return None };
        let Proving { gear, parts, .. } = self.proving;
        let axle = gear.of(self.pose);
        let bars = parts.bars(gear, role, self.pose)?;
        let legs = parts.moving(hub)[i].legs.iter().zip(bars.iter());
        legs.map(|(leg, bar)| {
            let end = |k: usize, at| {
                let (moves, rides) = leg.ends[k].leeway(axle, self.pose, self.leeway, self.steering)?;
                Some([moves, if rides { 0.0 } else { moves + self.leeway.of_point(at) }])
            };
            let [one, other] = [end(0, bar.a)?, end(1, bar.b)?];
            let slides = self.proving.slides(leg, self.pose, self.leeway).filter(|_| lengthened);
            Some(match slides {
                Some(along) => Loose {
                    bar: Bar { a: bar.a - along, b: bar.b + along, ..*bar },
                    ends: [[one[0], other[0]], [0.0; 2]],
                },
                None => Loose { bar: *bar, ends: [[one[0], other[0]], [one[1], other[1]]] },
            })
        })
        .collect()
    }
}

/// The most that two bars approach each other.
fn moves(one: &Loose, other: &Loose) -> f64 {
    let [ours, theirs] = [one.most(), other.most()];
    (ours[0] + theirs[0]).min(ours[1] + theirs[1])
}

fn gap(one: &Bar, other: &Bar) -> f64 {
    let [p, q] = segments([one.a, one.b], [other.a, other.b]);
    (p - q).norm() - one.radius - other.radius
}
