//! A closed surface around all that a wheel takes up in its sweep, grown by a gap: for other programs to cut bodywork by.
//!
//! The surface lies outside the keep-out, never inside. It is drawn a little further out than the gap asks for, through
//! cubes that are each cut into six tetrahedra around the same diagonal (Kuhn; Freudenthal). In a tetrahedron the surface
//! is one triangle or two, neighbours share their faces, and so it is closed and joined two by two at every edge whatever
//! its shape. Its corners lie on the level itself, found on the edges by halving; between them the triangles cut the
//! curve's corner. How far is measured on every triangle at seven places, and where one would be nearer than the gap the
//! level is moved out and the surface drawn again.
//!
//! Nearest poses are narrowed from cube to smaller cube: a distance changes by no more than the way gone.

use std::collections::HashMap;

use nalgebra::Vector3;
use rayon::prelude::*;

use super::envelope::Envelope;

/// A corner is kept this share of an edge off its ends, so that no triangle is without area.
const OFF_ENDS: f64 = 0.02;
/// Of the greatest cube, so many cells a side.
const WHOLE: usize = 32;
/// Of the smallest.
const SMALL: usize = 1;
/// What is left between the surface and the gap where it is nearest, mm: more than writing in single precision loses.
const SPARE: f64 = 0.02;
/// Places of a triangle that are measured beside its corners, as shares of them: its middle, and its sides'.
const PLACES: [[f64; 3]; 4] = [[1.0 / 3.0; 3], [0.5, 0.5, 0.0], [0.0, 0.5, 0.5], [0.5, 0.0, 0.5]];

/// A closed surface around a keep-out.
#[derive(Debug, Clone, PartialEq)]
pub struct Shell {
    /// Corners, body frame, mm.
    pub corners: Vec<Vector3<f64>>,
    /// Triangles, counter-clockwise seen from outside.
    pub triangles: Vec<[u32; 3]>,
    /// No place of it that was measured lies further outside the true keep-out than this, mm; none lies inside.
    pub within: f64,
}

impl Shell {
    /// Around a sweep grown by its gap, drawn with cells of `cell` mm.
    pub fn new(swept: &Envelope, cell: f64) -> Self {
        // A chord of a cell's length across a shoulder of some 30 mm cuts off about so much.
        let mut out = cell * cell / 240.0;
        loop {
            let drawn = Drawing::new(swept, out, cell).draw();
            // What is far outside is only waste: the level goes no further out than it must.
            if drawn.least >= SPARE || out > 2.0 * cell {
                let within = drawn.most + swept.off;
                return Self { corners: drawn.corners, triangles: drawn.triangles, within };
            }
            out += 1.5 * SPARE - drawn.least;
        }
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
    measured: Option<[f64; 2]>,
    /// Crossings of a cell's edges, which its tetrahedra share.
    places: HashMap<Key, Vector3<f64>>,
}

/// All of it.
struct Whole {
    corners: Vec<Vector3<f64>>,
    triangles: Vec<[u32; 3]>,
    least: f64,
    most: f64,
}

/// Poses that may be the nearest about a place, mm.
struct Narrowed {
    middle: Vector3<f64>,
    poses: Vec<(f64, u32)>,
}

struct Drawing<'a> {
    swept: &'a Envelope<'a>,
    /// How far out from it the surface is drawn, mm.
    out: f64,
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
    fn new(swept: &'a Envelope, out: f64, cell: f64) -> Self {
        let far = out + cell;
        let [low, high] = swept.around();
        let low = low.add_scalar(-far);
        let cubes = (high.add_scalar(far) - low) / (cell * WHOLE as f64);
        Self { swept, out, cell, low, cubes: [cubes.x, cubes.y, cubes.z].map(|n| n.ceil() as usize) }
    }

    fn at(&self, i: [usize; 3]) -> Vector3<f64> {
        self.low + Vector3::new(i[0] as f64, i[1] as f64, i[2] as f64) * self.cell
    }

    fn index(&self, i: [usize; 3]) -> usize {
        let [x, y, _] = self.cubes.map(|n| n * WHOLE + 1);
        (i[2] * y + i[1]) * x + i[0]
    }

    /// Over the level that is drawn, mm.
    fn over(&self, x: Vector3<f64>, near: &Narrowed) -> f64 {
        self.swept.distance_to(x, (x - near.middle).norm(), &near.poses) - self.swept.off - self.out
    }

    fn draw(&self) -> Whole {
        let all = self.swept.all();
        let [x, y, z] = self.cubes;
        let each: Vec<Drawn> = (0..x * y * z)
            .into_par_iter()
            .map(|n| self.cube([n % x, n / x % y, n / (x * y)].map(|i| i * WHOLE), WHOLE, &all))
            .collect();
        let mut whole = Whole { corners: Vec::new(), triangles: Vec::new(), least: f64::INFINITY, most: 0.0 };
        let mut places: HashMap<Key, u32> = HashMap::new();
        for drawn in each {
            if let Some([least, most]) = drawn.measured {
                (whole.least, whole.most) = (whole.least.min(least), whole.most.max(most));
            }
            for triangle in drawn.triangles {
                whole.triangles.push(triangle.map(|(key, at)| {
                    *places.entry(key).or_insert_with(|| {
                        whole.corners.push(at);
                        whole.corners.len() as u32 - 1
                    })
                }));
            }
        }
        whole
    }

    fn cube(&self, from: [usize; 3], cells: usize, among: &[(f64, u32)]) -> Drawn {
        let half = cells as f64 / 2.0 * self.cell;
        let reach = half * 3f64.sqrt();
        let middle = self.at(from).add_scalar(half);
        let (least, near) = self.swept.narrowed(middle, among, reach);
        if (least - self.swept.off - self.out).abs() > reach + 1e-6 {
            return Drawn::default();
        }
        if cells == SMALL {
            return self.cells(from, &Narrowed { middle, poses: near });
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
            drawn.add(if outwards { [p, q, r] } else { [p, r, q] }, |x| self.over(x, near) + self.out);
        }
    }

    /// Where an edge crosses the level.
    fn crossing(&self, inside: GridPlace, outside: GridPlace, near: &Narrowed) -> Vector3<f64> {
        let (a, b) = (self.at(inside.0), self.at(outside.0));
        let (mut low, mut high) = ((0.0, inside.2), (1.0, outside.2));
        for step in 0..8 {
            // Where the chord crosses, and now and then half-way, so that both ends close in.
            let chord = low.0 + (high.0 - low.0) * low.1 / (low.1 - high.1);
            let t = if step % 3 == 2 { (low.0 + high.0) / 2.0 } else { chord };
            let value = self.over(a + (b - a) * t, near);
            if value < 0.0 {
                low = (t, value)
            } else {
                high = (t, value)
            }
            if value.abs() < 1e-2 || high.0 - low.0 < 1e-5 {
                break;
            }
        }
        // The outer end: over the level by next to nothing.
        let t = high.0.clamp(OFF_ENDS, 1.0 - OFF_ENDS);
        a + (b - a) * t
    }
}

impl Drawn {
    fn add(&mut self, triangle: [(Key, Vector3<f64>); 3], over: impl Fn(Vector3<f64>) -> f64) {
        let corners = triangle.map(|(_, at)| at);
        let inner = PLACES.iter().map(|s| corners[0] * s[0] + corners[1] * s[1] + corners[2] * s[2]);
        for x in inner.chain(corners) {
            let value = over(x);
            let [least, most] = self.measured.unwrap_or([f64::INFINITY, f64::NEG_INFINITY]);
            self.measured = Some([least.min(value), most.max(value)]);
        }
        self.triangles.push(triangle);
    }

    fn with(mut self, other: Self) -> Self {
        self.triangles.extend(other.triangles);
        self.measured = match (self.measured, other.measured) {
            (Some([a, b]), Some([c, d])) => Some([a.min(c), b.max(d)]),
            (one, other) => one.or(other),
        };
        self
    }
}
