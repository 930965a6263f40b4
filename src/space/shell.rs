//! A closed surface around all that a wheel takes up in its sweep, grown by a gap: for other programs to cut bodywork by.
//!
//! It is drawn through cubes that are each cut into six tetrahedra around the same diagonal (Kuhn; Freudenthal). In a
//! tetrahedron the surface is one triangle or two, neighbours share their faces, and so it is closed and joined two by two
//! at every edge whatever its shape. Its corners lie at one distance from the poses that the sweep is known by, found on
//! the edges by halving; between them the triangles cut corners. The head of `envelope.rs` says how far out that distance
//! has to be for no triangle to come nearer than the gap. A triangle lies in a tetrahedron, whose least circle is half the
//! cube's diagonal, so that is known before anything is drawn.
//!
//! How much too much is claimed is told by each triangle's corners and the wheel in the pose that is nearest to its middle.
//!
//! Nearest poses are narrowed from cube to smaller cube.

use std::collections::HashMap;

use nalgebra::Vector3;
use rayon::prelude::*;

use super::envelope::{Envelope, Narrowed, NoKeepOut};
use super::parts::Parts;
use super::sweep::WheelSweep;
use crate::motion::RunningGear;

/// A corner is kept this share of an edge off its ends, so that no triangle is without area.
const OFF_ENDS: f64 = 0.01;
/// Of the greatest cube, so many cells a side.
const WHOLE: usize = 32;
/// Of the smallest.
const SMALL: usize = 2;
/// Corners lie where they should to this, mm.
const FOUND: f64 = 0.01;
/// More than writing in single precision loses, mm.
const WRITTEN: f64 = 0.002;
/// A triangle is quartered so many times over to tell how far out it lies, where so much is left open, mm.
const QUARTERED: usize = 4;
const OPEN: f64 = 0.5;
/// Half a cube's diagonal, in sides: the root of 3/4.
const HALF_DIAGONAL: f64 = 0.866_025_403_784_438_7;
/// Cells are no smaller and no larger than this, mm.
const CELL: [f64; 2] = [5.0, 10.0];
/// Of how far out the surface may lie, the part that cells leave to the poses.
const POSES: f64 = 0.33;

/// A closed surface around a keep-out.
#[derive(Debug, Clone, PartialEq)]
pub struct Shell {
    /// Corners, body frame, mm.
    pub corners: Vec<Vector3<f64>>,
    /// Triangles, counter-clockwise seen from outside.
    pub triangles: Vec<[u32; 3]>,
    /// Its corners lie outside the keep-out by no more than this, mm.
    pub out: f64,
    /// No place of it, hollows included, lies further outside the keep-out than this, mm; none lies inside.
    pub within: f64,
}

impl Shell {
    /// Around a wheel's sweep grown by `gap`, some `out` mm further out. With a gap of next to nothing that would take
    /// cells too small to be of use, and it lies somewhat further out.
    ///
    /// # Errors
    /// [`NoKeepOut`] where the sweep cannot be followed.
    pub fn new(gear: &RunningGear, parts: &Parts, sweep: &WheelSweep, gap: f64, out: f64) -> Result<Self, NoKeepOut> {
        let [smallest, largest] = CELL.map(|cell| cell * HALF_DIAGONAL);
        // Of the squares that a level so far out leaves over, steps of the poses take their part and cells the rest.
        let left = (out * (out + 2.0 * gap)).max(smallest * smallest / (1.0 - POSES));
        let swept = Envelope::new(gear, parts, sweep, gap, (2.0 * POSES * left).sqrt())?;
        let radius = swept.radius(gap + out).clamp(smallest, largest);
        let cell = radius / HALF_DIAGONAL;
        let level = swept.level(radius) + 2.0 * HALF_DIAGONAL * cell * OFF_ENDS + FOUND + WRITTEN;
        Ok(Drawing::new(&swept, level, cell).draw())
    }

    /// What it encloses, mm³.
    pub fn volume(&self) -> f64 {
        let six = |t: &[u32; 3]| {
            let [a, b, c] = t.map(|i| self.corners[i as usize] - self.corners[0]);
            a.dot(&b.cross(&c))
        };
        self.triangles.iter().map(six).sum::<f64>() / 6.0
    }

    /// Its surface, mm².
    pub fn area(&self) -> f64 {
        let twice = |t: &[u32; 3]| {
            let [a, b, c] = t.map(|i| self.corners[i as usize]);
            (b - a).cross(&(c - a)).norm()
        };
        self.triangles.iter().map(twice).sum::<f64>() / 2.0
    }

    /// Its triangles' corners.
    pub fn facets(&self) -> impl ExactSizeIterator<Item = [Vector3<f64>; 3]> + '_ {
        self.triangles.iter().map(|t| t.map(|i| self.corners[i as usize]))
    }
}

/// An edge of a tetrahedron: the grid place where it starts, and which of x, y and z it goes along.
type Key = (usize, usize);

/// A grid place, its bits in its cell, and its height over the level.
type GridPlace = ([usize; 3], usize, f64);

/// What was drawn in some cubes.
#[derive(Default)]
struct Drawn {
    triangles: Vec<[(Key, Vector3<f64>); 3]>,
    /// How far any place of them lies from the poses at most, mm.
    furthest: f64,
    /// Crossings of a cube's edges, which its tetrahedra share.
    places: HashMap<Key, Vector3<f64>>,
}

struct Drawing<'a> {
    swept: &'a Envelope<'a>,
    /// How far from the poses corners lie, mm.
    level: f64,
    cell: f64,
    low: Vector3<f64>,
    /// Cubes of [`WHOLE`] cells along x, y and z.
    cubes: [usize; 3],
}

/// The six ways from one corner of a cube to the opposite one along its sides: tetrahedra, as bits of x, y and z.
const TETRAHEDRA: [[usize; 4]; 6] =
    [[0, 1, 3, 7], [0, 1, 5, 7], [0, 2, 3, 7], [0, 2, 6, 7], [0, 4, 5, 7], [0, 4, 6, 7]];

/// A place of a cube by its bits.
fn bits(of: usize) -> [usize; 3] {
    [of & 1, of >> 1 & 1, of >> 2 & 1]
}

impl<'a> Drawing<'a> {
    fn new(swept: &'a Envelope<'a>, level: f64, cell: f64) -> Self {
        let [low, high] = swept.around(level + cell);
        let cubes = (high - low) / (cell * WHOLE as f64);
        Self { swept, level, cell, low, cubes: [cubes.x, cubes.y, cubes.z].map(|n| n.ceil() as usize) }
    }

    fn at(&self, i: [usize; 3]) -> Vector3<f64> {
        self.low + Vector3::new(i[0] as f64, i[1] as f64, i[2] as f64) * self.cell
    }

    fn index(&self, i: [usize; 3]) -> usize {
        let [x, y, _] = self.cubes.map(|n| n * WHOLE + 1);
        (i[2] * y + i[1]) * x + i[0]
    }

    /// Over the level that is drawn, mm.
    fn over(&self, x: Vector3<f64>, among: &Narrowed) -> f64 {
        self.swept.nearest(x, among).map_or(f64::INFINITY, |n| n.distance()) - self.level
    }

    fn draw(&self) -> Shell {
        let [x, y, z] = self.cubes;
        let each: Vec<Drawn> = (0..x * y * z)
            .into_par_iter()
            .map(|n| {
                let from = [n % x, n / x % y, n / (x * y)].map(|i| i * WHOLE);
                let half = WHOLE as f64 / 2.0 * self.cell;
                self.cube(from, WHOLE, &self.swept.all(self.at(from).add_scalar(half)))
            })
            .collect();
        let furthest = each.iter().map(|drawn| drawn.furthest).fold(0.0, f64::max);
        let (mut corners, mut triangles) = (Vec::new(), Vec::new());
        let mut places: HashMap<Key, u32> = HashMap::new();
        for triangle in each.into_iter().flat_map(|drawn| drawn.triangles) {
            triangles.push(triangle.map(|(key, at)| {
                *places.entry(key).or_insert_with(|| {
                    corners.push(at);
                    corners.len() as u32 - 1
                })
            }));
        }
        // A corner that was kept off an edge's end may be that much further out.
        let out = self.level - self.swept.gap + 2.0 * HALF_DIAGONAL * self.cell * OFF_ENDS + FOUND + WRITTEN;
        Shell { corners, triangles, out, within: out.max(furthest - self.swept.gap + WRITTEN) }
    }

    fn cube(&self, from: [usize; 3], cells: usize, among: &Narrowed) -> Drawn {
        let half = cells as f64 / 2.0 * self.cell;
        let reach = half * 3f64.sqrt();
        let middle = self.at(from).add_scalar(half);
        let Some(first) = self.swept.nearest(middle, among) else { return Drawn::default() };
        if (first.distance() - self.level).abs() > reach + 1e-6 {
            return Drawn::default();
        }
        let near = self.swept.narrowed(middle, &first, among, reach);
        if cells == SMALL {
            return self.cells(from, &near);
        }
        let part = |n: usize| {
            let [x, y, z] = bits(n).map(|bit| bit * cells / 2);
            self.cube([from[0] + x, from[1] + y, from[2] + z], cells / 2, &near)
        };
        let parts: Vec<Drawn> = (0..8).into_par_iter().map(part).collect();
        parts.into_iter().fold(Drawn::default(), Drawn::with)
    }

    fn cells(&self, from: [usize; 3], near: &Narrowed) -> Drawn {
        const SIDE: usize = SMALL + 1;
        let place = |n: usize| [from[0] + n % SIDE, from[1] + n / SIDE % SIDE, from[2] + n / (SIDE * SIDE)];
        let values: [f64; SIDE * SIDE * SIDE] = std::array::from_fn(|n| self.over(self.at(place(n)), near));
        let mut drawn = Drawn::default();
        for n in (0..values.len()).filter(|n| n % SIDE < SMALL && n / SIDE % SIDE < SMALL && n / (SIDE * SIDE) < SMALL)
        {
            let corner = |of: usize| {
                let [x, y, z] = bits(of);
                n + x + SIDE * (y + SIDE * z)
            };
            let value = |of: usize| values[corner(of)];
            if (1..8).all(|of| (value(of) < 0.0) == (value(0) < 0.0)) {
                continue;
            }
            for ways in TETRAHEDRA {
                self.tetrahedron(ways.map(|of| (place(corner(of)), of, value(of))), near, &mut drawn);
            }
        }
        drawn.places.clear();
        drawn
    }

    /// The surface in a tetrahedron, each of whose corners is a grid place, its bits, and its height over the level.
    fn tetrahedron(&self, corners: [GridPlace; 4], near: &Narrowed, drawn: &mut Drawn) {
        let (inside, outside): (Vec<_>, Vec<_>) = corners.into_iter().partition(|c| c.2 < 0.0);
        if inside.is_empty() || outside.is_empty() {
            return;
        }
        // Edges that are crossed, going around.
        let around: Vec<(usize, usize)> = match (inside.len(), outside.len()) {
            (1, _) => vec![(0, 0), (0, 1), (0, 2)],
            (_, 1) => vec![(0, 0), (1, 0), (2, 0)],
            _ => vec![(0, 0), (0, 1), (1, 1), (1, 0)],
        };
        // Which way round is outwards shows where every edge is crossed half-way.
        let half = |(i, k): (usize, usize)| (self.at(inside[i].0) + self.at(outside[k].0)) / 2.0;
        let [a, b, c] = [around[0], around[1], around[2]].map(half);
        let outwards = (b - a).cross(&(c - a)).dot(&(self.at(outside[0].0) - self.at(inside[0].0))) > 0.0;
        let crossed: Vec<(Key, Vector3<f64>)> = around
            .into_iter()
            .map(|(i, k)| {
                let (a, b) = (inside[i], outside[k]);
                let key = (self.index(if a.1 < b.1 { a.0 } else { b.0 }), a.1 ^ b.1);
                (key, *drawn.places.entry(key).or_insert_with(|| self.crossing(a, b, near)))
            })
            .collect();
        for n in 2..crossed.len() {
            let (p, q, r) = (crossed[0], crossed[n - 1], crossed[n]);
            self.add(if outwards { [p, q, r] } else { [p, r, q] }, near, drawn);
        }
    }

    fn add(&self, triangle: [(Key, Vector3<f64>); 3], among: &Narrowed, drawn: &mut Drawn) {
        drawn.furthest = drawn.furthest.max(self.furthest(triangle.map(|(_, at)| at), among, QUARTERED));
        drawn.triangles.push(triangle);
    }

    /// No place of a triangle lies further from the poses than this, mm: by what is nearest to its middle, and where that
    /// leaves much open, by that of each quarter.
    fn furthest(&self, corners: [Vector3<f64>; 3], among: &Narrowed, times: usize) -> f64 {
        let middle = corners.iter().sum::<Vector3<f64>>() / 3.0;
        let Some(near) = self.swept.nearest(middle, among) else { return f64::INFINITY };
        let radius = corners.iter().map(|c| (c - middle).norm()).fold(0.0, f64::max);
        let whole = self.swept.furthest(&corners, radius, &near);
        if times == 0 || whole < self.level.max(near.distance()) + OPEN {
            return whole;
        }
        let [a, b, c] = corners;
        let [d, e, f] = [(b + c) / 2.0, (c + a) / 2.0, (a + b) / 2.0];
        let quarters = [[a, f, e], [f, b, d], [e, d, c], [d, e, f]];
        quarters.map(|q| self.furthest(q, among, times - 1)).into_iter().fold(f64::NEG_INFINITY, f64::max).min(whole)
    }

    /// Where an edge crosses the level.
    fn crossing(&self, inside: GridPlace, outside: GridPlace, among: &Narrowed) -> Vector3<f64> {
        let (a, b) = (self.at(inside.0), self.at(outside.0));
        let (mut low, mut high) = ((0.0, inside.2), (1.0, outside.2));
        for step in 0..24 {
            // Where the chord crosses, and now and then half-way, so that both ends close in.
            let chord = low.0 + (high.0 - low.0) * low.1 / (low.1 - high.1);
            let t = if step % 3 == 2 { (low.0 + high.0) / 2.0 } else { chord };
            let value = self.over(a + (b - a) * t, among);
            if value < 0.0 {
                low = (t, value)
            } else {
                high = (t, value)
            }
            if value.abs() < FOUND {
                high = (t, value);
                break;
            }
        }
        a + (b - a) * high.0.clamp(OFF_ENDS, 1.0 - OFF_ENDS)
    }
}

impl Drawn {
    fn with(mut self, other: Self) -> Self {
        self.triangles.extend(other.triangles);
        self.furthest = self.furthest.max(other.furthest);
        self
    }
}
