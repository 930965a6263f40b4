//! Triangles with normals, from outlines turned about an axis and from facets.

use std::collections::HashMap;
use std::f64::consts::{PI, TAU};
use std::ops::Range;

use nalgebra::{Rotation3, Vector2, Vector3};

/// Two faces that meet at a sharper angle than this have an edge between them (cosine).
const SHARP: f64 = 0.85;

/// Triangles with outward normals, anticlockwise seen from outside, and the edges that a draughtsman would ink; mm.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Mesh {
    /// Corners. One where faces meet sharply is there once for each face.
    pub corners: Vec<Vector3<f64>>,
    /// Unit normals, as many as corners.
    pub normals: Vec<Vector3<f64>>,
    /// Places among the corners.
    pub triangles: Vec<[u32; 3]>,
    /// Places among the corners.
    pub edges: Vec<[u32; 2]>,
    /// Runs of corners, each of which is seen as its convex outline from any side.
    pub lumps: Vec<Range<u32>>,
}

impl Mesh {
    /// An outline of (along x, out from x) turned about x. The outside lies to its right with x to the right and out
    /// upwards, so a closed outline runs anticlockwise.
    pub fn lathe(outline: &[[f64; 2]], around: u32) -> Self {
        let mut mesh = Self::default();
        let closed = outline.first() == outline.last();
        let last = outline.len().saturating_sub(2);
        let normal = |i: usize| {
            let [from, to] = [outline[i], outline[i + 1]].map(Vector2::from);
            let d: Vector2<f64> = to - from;
            Vector2::new(d.y, -d.x).try_normalize(1e-12).unwrap_or_else(Vector2::zeros)
        };
        // The row of corners that the band before ended with, and its normal.
        let mut last_row: Option<(u32, Vector2<f64>)> = None;
        for i in 0..outline.len().saturating_sub(1) {
            let before = if i > 0 { Some(i - 1) } else { closed.then_some(last) };
            let after = if i < last { Some(i + 1) } else { closed.then_some(0) };
            let smooth = |other: Option<usize>| other.map(normal).filter(|n| n.dot(&normal(i)) > SHARP);
            let ends = [smooth(before), smooth(after)].map(|n| n.map_or(normal(i), |n| (n + normal(i)).normalize()));
            let from = match last_row {
                Some((row, n)) if (n - ends[0]).norm() < 1e-9 => row,
                _ => mesh.row(outline[i], ends[0], around),
            };
            let to = mesh.row(outline[i + 1], ends[1], around);
            last_row = Some((to, ends[1]));
            let radii = [outline[i][1], outline[i + 1][1]];
            mesh.band([from, to], radii, around);
            if before.is_some() && smooth(before).is_none() && radii[0] > 0.0 {
                mesh.edges.extend((0..around).map(|k| [from + k, from + k + 1]));
            }
        }
        mesh.lumps.push(0..mesh.corners.len() as u32);
        mesh
    }

    /// Corners round about x, the last the same as the first, to the bit, so that surfaces close. Gives the first's place.
    fn row(&mut self, [along, out]: [f64; 2], normal: Vector2<f64>, around: u32) -> u32 {
        let first = self.corners.len() as u32;
        for i in 0..=around {
            let (s, c) = (TAU * f64::from(i % around) / f64::from(around)).sin_cos();
            self.corners.push(Vector3::new(along, c * out, s * out));
            self.normals.push(Vector3::new(normal.x, c * normal.y, s * normal.y));
        }
        first
    }

    /// Triangles between two rows; none without area where a row lies on the axis.
    fn band(&mut self, [from, to]: [u32; 2], radii: [f64; 2], around: u32) {
        for i in 0..around {
            if radii[0] > 0.0 {
                self.triangles.push([from + i, to + i, from + i + 1]);
            }
            if radii[1] > 0.0 {
                self.triangles.push([from + i + 1, to + i, to + i + 1]);
            }
        }
    }

    /// A straight bar with round ends, as bars are measured; a ball where both are one place.
    pub fn capsule(a: Vector3<f64>, b: Vector3<f64>, radius: f64) -> Self {
        let length = (b - a).norm();
        let steps = 5;
        let dome = |from: f64, at: f64| {
            (0..=steps).map(move |i| {
                let (s, c) = (from + PI / 2.0 * f64::from(i) / f64::from(steps)).sin_cos();
                [at + radius * c, (radius * s).max(0.0)]
            })
        };
        let mut outline: Vec<[f64; 2]> = dome(0.0, length).chain(dome(PI / 2.0, 0.0)).collect();
        outline.dedup();
        let ends = outline.len() - 1;
        (outline[0][1], outline[ends][1]) = (0.0, 0.0);
        Self::lathe(&outline, 16).along(a, b)
    }

    /// A bar with flat ends, from one radius to another.
    pub fn bar(a: Vector3<f64>, b: Vector3<f64>, radii: [f64; 2]) -> Self {
        let length = (b - a).norm();
        let outline = [[length, 0.0], [length, radii[1]], [0.0, radii[0]], [0.0, 0.0]];
        Self::lathe(&outline, 18).along(a, b)
    }

    /// A wire wound about x between two places.
    pub fn spring(radius: f64, wire: f64, coils: f64, [from, to]: [f64; 2]) -> Self {
        let mut mesh = Self::default();
        let (steps, around) = ((coils * 14.0) as u32, 6);
        let rise = (to - from) / (coils * TAU);
        for i in 0..=steps {
            let part = f64::from(i) / f64::from(steps);
            let (s, c) = (TAU * coils * part).sin_cos();
            let out = Vector3::new(0.0, c, s);
            let along = Vector3::new(rise, -s * radius, c * radius).normalize();
            let up = along.cross(&out);
            let at = Vector3::new(from + (to - from) * part, c * radius, s * radius);
            for j in 0..=around {
                let (ws, wc) = (TAU * f64::from(j % around) / f64::from(around)).sin_cos();
                let normal = out * wc + up * ws;
                mesh.corners.push(at + normal * wire);
                mesh.normals.push(normal);
            }
        }
        let row = around + 1;
        for i in 0..steps {
            for j in 0..around {
                let a = i * row + j;
                mesh.triangles.extend([[a, a + row, a + 1], [a + 1, a + row, a + row + 1]]);
            }
        }
        mesh.lumps.push(0..mesh.corners.len() as u32);
        mesh
    }

    /// Flat triangles, turned so that neighbours agree and a closed surface faces outwards. Edges are inked where faces
    /// meet sharply or end.
    pub fn facets(triangles: &[[Vector3<f64>; 3]]) -> Self {
        let normal = |[a, b, c]: &[Vector3<f64>; 3]| (b - a).cross(&(c - a)).try_normalize(1e-9);
        let triangles: Vec<_> = triangles.iter().copied().filter(|t| normal(t).is_some()).collect();
        let triangles = facing_out(triangles);
        let mut mesh = Self::default();
        let mut sides: HashMap<Sides, Vec<(usize, [u32; 2])>> = HashMap::new();
        for (face, corners) in triangles.iter().enumerate() {
            let base = mesh.corners.len() as u32;
            mesh.corners.extend(corners);
            mesh.normals.extend([normal(corners).unwrap_or_else(Vector3::z); 3]);
            mesh.triangles.push([base, base + 1, base + 2]);
            mesh.lumps.push(base..base + 3);
            for [i, j] in [[0, 1], [1, 2], [2, 0]] {
                let side = side(corners[i], corners[j]);
                sides.entry(side).or_default().push((face, [base + i as u32, base + j as u32]));
            }
        }
        let face = |i: usize| mesh.normals[3 * i];
        let sharp = |meets: &[(usize, [u32; 2])]| match meets {
            [(i, _), (j, _)] => face(*i).dot(&face(*j)).abs() < SHARP,
            _ => true,
        };
        let mut edges: Vec<[u32; 2]> = sides.values().filter(|m| sharp(m)).map(|m| m[0].1).collect();
        // A hash map has no order of its own; what is written must not depend on it.
        edges.sort_unstable();
        mesh.edges = edges;
        mesh
    }

    /// A smooth skin from corners and triangles among them.
    pub fn skin(corners: Vec<Vector3<f64>>, triangles: Vec<[u32; 3]>) -> Self {
        let mut normals = vec![Vector3::zeros(); corners.len()];
        for t in &triangles {
            let [a, b, c] = t.map(|i| corners[i as usize]);
            t.iter().for_each(|i| normals[*i as usize] += (b - a).cross(&(c - a)));
        }
        let normals = normals.into_iter().map(|n| n.try_normalize(1e-12).unwrap_or_else(Vector3::z)).collect();
        Self { corners, normals, triangles, ..Self::default() }
    }

    /// What lies along x from the origin, carried to lie from one place towards another.
    pub fn along(self, from: Vector3<f64>, to: Vector3<f64>) -> Self {
        let way = (to - from).try_normalize(1e-9).unwrap_or_else(Vector3::x);
        let turn = Rotation3::rotation_between(&Vector3::x(), &way)
            .unwrap_or_else(|| Rotation3::from_axis_angle(&Vector3::z_axis(), PI));
        self.moved(turn, from)
    }

    /// Turned, then shifted.
    pub fn moved(mut self, turn: Rotation3<f64>, shift: Vector3<f64>) -> Self {
        self.corners.iter_mut().for_each(|p| *p = turn * *p + shift);
        self.normals.iter_mut().for_each(|n| *n = turn * *n);
        self
    }

    /// Both as one.
    pub fn and(mut self, other: Self) -> Self {
        let base = self.corners.len() as u32;
        self.corners.extend(other.corners);
        self.normals.extend(other.normals);
        self.triangles.extend(other.triangles.into_iter().map(|t| t.map(|i| i + base)));
        self.edges.extend(other.edges.into_iter().map(|e| e.map(|i| i + base)));
        self.lumps.extend(other.lumps.into_iter().map(|l| l.start + base..l.end + base));
        self
    }

    /// The space that it closes, mm³; of no meaning where it is open.
    pub fn volume(&self) -> f64 {
        let at = |i: u32| self.corners[i as usize];
        self.triangles.iter().map(|[a, b, c]| at(*a).dot(&at(*b).cross(&at(*c))) / 6.0).sum()
    }
}

/// A place as a key: a thousandth of a millimetre is one and the same corner.
fn key(p: Vector3<f64>) -> [i64; 3] {
    [p.x, p.y, p.z].map(|v| (v * 1000.0).round() as i64)
}

/// Both ends of a side, the lesser first.
type Sides = [[i64; 3]; 2];

fn side(p: Vector3<f64>, q: Vector3<f64>) -> Sides {
    let mut side = [key(p), key(q)];
    side.sort_unstable();
    side
}

/// Turns triangles over so that two that share a side run along it opposite ways, and each surface of them encloses a
/// positive volume.
fn facing_out(mut triangles: Vec<[Vector3<f64>; 3]>) -> Vec<[Vector3<f64>; 3]> {
    let mut at_side: HashMap<Sides, Vec<usize>> = HashMap::new();
    for (i, [a, b, c]) in triangles.iter().enumerate() {
        for (p, q) in [(a, b), (b, c), (c, a)] {
            at_side.entry(side(*p, *q)).or_default().push(i);
        }
    }
    let mut seen = vec![false; triangles.len()];
    for first in 0..triangles.len() {
        if std::mem::replace(&mut seen[first], true) {
            continue;
        }
        let (mut surface, mut next) = (vec![first], 0);
        while let Some(&i) = surface.get(next) {
            next += 1;
            let [a, b, c] = triangles[i];
            for (p, q) in [(a, b), (b, c), (c, a)] {
                let [one, other] = at_side[&side(p, q)][..] else { continue };
                let j = if one == i { other } else { one };
                if std::mem::replace(&mut seen[j], true) {
                    continue;
                }
                if runs_along(&triangles[j], p, q) {
                    triangles[j].swap(1, 2);
                }
                surface.push(j);
            }
        }
        let volume: f64 = surface.iter().map(|i| triangles[*i]).map(|[a, b, c]| a.dot(&b.cross(&c))).sum();
        if volume < 0.0 {
            surface.iter().for_each(|i| triangles[*i].swap(1, 2));
        }
    }
    triangles
}

/// Whether a triangle runs from one of its corners to the other.
fn runs_along(triangle: &[Vector3<f64>; 3], from: Vector3<f64>, to: Vector3<f64>) -> bool {
    (0..3).any(|i| key(triangle[i]) == key(from) && key(triangle[(i + 1) % 3]) == key(to))
}
