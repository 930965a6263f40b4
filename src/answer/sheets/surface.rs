//! What a tube's end can meet, and where a straight line first enters it.

use nalgebra::Vector3;

use crate::space::{RailRun, Solid};

/// The outside of a piece of metal that a tube's end is fitted to. Lengths in mm, body frame.
#[derive(Debug, Clone, PartialEq)]
pub enum Surface {
    /// A round tube between two flat ends.
    Round {
        /// A point of its axis.
        at: Vector3<f64>,
        /// Direction of its axis, of length one.
        along: Vector3<f64>,
        /// Its outside radius.
        radius: f64,
        /// Where it ends along its axis, from `at`; infinite where it goes on.
        ends: [f64; 2],
    },
    /// The round corner of a bent tube, which is taken as sharp.
    Ball {
        /// Its middle.
        at: Vector3<f64>,
        /// Its radius.
        radius: f64,
    },
    /// A piece with flat faces and no hollows.
    Flat(Vec<Side>),
}

/// A flat face of a piece, as a plane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Side {
    /// A point of it, mm.
    pub at: Vector3<f64>,
    /// Out of the metal, of length one.
    pub out: Vector3<f64>,
}

impl Surface {
    /// How far along a line it enters, mm: the line starts anywhere and has a direction of length one. None where it misses.
    pub fn enters(&self, from: Vector3<f64>, way: Vector3<f64>) -> Option<f64> {
        let [enters, leaves] = self.within(from, way)?;
        (enters <= leaves && enters.is_finite()).then_some(enters)
    }

    /// The stretch of a line that lies inside.
    fn within(&self, from: Vector3<f64>, way: Vector3<f64>) -> Option<[f64; 2]> {
        match self {
            Self::Round { at, along, radius, ends } => {
                let (off, climb) = (from - at, way.dot(along));
                let across = |v: Vector3<f64>| v - along * v.dot(along);
                let round = inside_round(across(off), across(way), *radius)?;
                let start = off.dot(along);
                let low = slab(ends[0] - start, -climb)?;
                let high = slab(start - ends[1], climb)?;
                Some(both(round, both(low, high)))
            }
            Self::Ball { at, radius } => inside_round(from - at, way, *radius),
            Self::Flat(sides) => {
                let mut all = [f64::NEG_INFINITY, f64::INFINITY];
                for side in sides {
                    all = both(all, slab((from - side.at).dot(&side.out), way.dot(&side.out))?);
                }
                Some(all)
            }
        }
    }

    /// How far a point lies outside, mm: negative inside, and never more than the true distance.
    pub fn off(&self, p: Vector3<f64>) -> f64 {
        match self {
            Self::Round { at, along, radius, ends } => {
                let (off, s) = (p - at, (p - at).dot(along));
                ((off - along * s).norm() - radius).max(ends[0] - s).max(s - ends[1])
            }
            Self::Ball { at, radius } => (p - at).norm() - radius,
            Self::Flat(sides) => {
                sides.iter().map(|side| (p - side.at).dot(&side.out)).fold(f64::NEG_INFINITY, f64::max)
            }
        }
    }

    /// Of a closed piece without hollows, such as an end plate.
    pub fn of_solid(solid: &Solid) -> Self {
        let corners: Vec<Vector3<f64>> = solid.facets.iter().flat_map(|f| f.corners).collect();
        let middle = corners.iter().sum::<Vector3<f64>>() / corners.len().max(1) as f64;
        Self::Flat(solid.facets.iter().filter_map(|f| facing(f.corners, middle)).collect())
    }

    /// The straight stretches of a rail, or of what a cut left of one.
    pub fn of_rail(run: &RailRun) -> Vec<Self> {
        let stretch = |i: usize| {
            let (a, b) = (run.centreline[i], run.centreline[i + 1]);
            if let Some(radius) = run.radius {
                return Self::Round { at: a, along: (b - a).normalize(), radius, ends: [0.0, (b - a).norm()] };
            }
            let (s, t) = (run.sections[i], run.sections[i + 1]);
            let middle = (s.iter().sum::<Vector3<f64>>() + t.iter().sum::<Vector3<f64>>()) / 8.0;
            let around = (0..4).map(|k| [s[k], s[(k + 1) % 4], t[k]]);
            let ends = [[s[0], s[1], s[2]], [t[0], t[1], t[2]]];
            Self::Flat(around.chain(ends).filter_map(|corners| facing(corners, middle)).collect())
        };
        run.real_stretches().map(stretch).collect()
    }

    /// The straight stretches of a tube and its corners, both ends cut off flat, so far beyond its line as `over` says.
    pub fn of_tube(line: &[Vector3<f64>], radius: f64, over: [f64; 2]) -> Vec<Self> {
        let last = line.len().saturating_sub(2);
        let straight = line.windows(2).enumerate().map(|(i, p)| {
            let length = (p[1] - p[0]).norm();
            let ends = [if i == 0 { -over[0] } else { 0.0 }, if i == last { length + over[1] } else { length }];
            Self::Round { at: p[0], along: (p[1] - p[0]) / length, radius, ends }
        });
        let corners = line.iter().skip(1).take(last).map(|at| Self::Ball { at: *at, radius });
        straight.chain(corners).collect()
    }
}

/// The plane through three corners that faces away from a point; none where they lie on one line.
fn facing([a, b, c]: [Vector3<f64>; 3], from: Vector3<f64>) -> Option<Side> {
    let out = (b - a).cross(&(c - a)).try_normalize(1e-9)?;
    Some(Side { at: a, out: if (a - from).dot(&out) < 0.0 { -out } else { out } })
}

/// Where `off + t way` is shorter than a radius.
fn inside_round(off: Vector3<f64>, way: Vector3<f64>, radius: f64) -> Option<[f64; 2]> {
    let (a, b, c) = (way.norm_squared(), off.dot(&way), off.norm_squared() - radius * radius);
    if a < 1e-18 {
        return (c <= 0.0).then_some([f64::NEG_INFINITY, f64::INFINITY]);
    }
    let root = b * b - a * c;
    // A line that grazes meets it at one place, whatever rounding says: equal tubes' saddles have such a line on either side.
    let root = if root.abs() < 1e-13 * a * radius * radius { 0.0 } else { root };
    (root >= 0.0).then(|| [(-b - root.sqrt()) / a, (-b + root.sqrt()) / a])
}

/// Where `over + t climb` is not above nothing; none where it is everywhere.
fn slab(over: f64, climb: f64) -> Option<[f64; 2]> {
    match climb {
        // A line along a flat end is on it, not beyond it, whatever rounding says.
        c if c.abs() < 1e-12 => (over <= 1e-9).then_some([f64::NEG_INFINITY, f64::INFINITY]),
        c if c < 0.0 => Some([-over / c, f64::INFINITY]),
        c => Some([f64::NEG_INFINITY, -over / c]),
    }
}

fn both(a: [f64; 2], b: [f64; 2]) -> [f64; 2] {
    [a[0].max(b[0]), a[1].min(b[1])]
}
