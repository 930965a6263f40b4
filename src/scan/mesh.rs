//! A mesh with each corner once, and what is odd about it.

use std::collections::{BTreeMap, HashMap};

use nalgebra::Vector3;
use rayon::prelude::*;
use serde::Serialize;

use super::{Fault, MOST, Soup};

/// A triangle lower than this part of its longest side is a line.
const FLAT: f64 = 1e-9;

/// A cleaned mesh, in the file's unit and frame.
#[derive(Debug, Clone, PartialEq)]
pub struct Mesh {
    /// Its corners, each once.
    pub corners: Vec<Vector3<f64>>,
    /// Its triangles, as places in `corners`.
    pub triangles: Vec<[u32; 3]>,
    /// What was found.
    pub report: Report,
}

/// What a mesh file held. None of it keeps the mesh from being measured.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Report {
    /// Triangles that are kept.
    pub triangles: usize,
    /// Dropped: the same three corners as another, whichever way round.
    pub duplicates: usize,
    /// Dropped: without area.
    pub degenerate: usize,
    /// Edges of one triangle only: the rim of an open skin, and the rims of its holes.
    pub open_edges: usize,
    /// Closed runs and pieces of such edges: one for the skin's own rim, and one for each hole.
    pub rims: usize,
    /// The longest of them, longest first, a few.
    pub longest_rims: Vec<Rim>,
    /// Edges between two triangles that do not agree which side is the outside.
    pub turned: usize,
    /// Edges of three triangles or more.
    pub crowded: usize,
    /// Smallest and largest coordinates, in the file's unit.
    pub around: [[f64; 3]; 2],
}

/// A rim of an open skin or of a hole in it, in the file's unit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Rim {
    /// Length around.
    pub around: f64,
    /// Its middle: of all places along it.
    pub middle: [f64; 3],
}

/// So many rims are told.
const TOLD_RIMS: usize = 6;

/// One triangle's side, to be sorted: the two corners, lower first, and three times the triangle's place plus the side's.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Edge {
    corners: u64,
    /// Triangle and side: `3 * triangle + side`.
    pub of: u32,
}

impl Edge {
    /// The two corners, the lower place first.
    pub fn ends(self) -> [u32; 2] {
        [(self.corners >> 32) as u32, self.corners as u32]
    }

    /// Whether the two are the same edge.
    pub fn same(&self, other: &Self) -> bool {
        self.corners == other.corners
    }
}

/// All sides of all triangles, those of one edge together.
pub fn edges(triangles: &[[u32; 3]]) -> Vec<Edge> {
    let side = |(triangle, t): (usize, &[u32; 3])| {
        let t = *t;
        (0..3).map(move |side| {
            let (a, b) = (u64::from(t[side]), u64::from(t[(side + 1) % 3]));
            Edge { corners: a.min(b) << 32 | a.max(b), of: (3 * triangle + side) as u32 }
        })
    };
    let mut edges: Vec<Edge> = triangles.iter().enumerate().flat_map(side).collect();
    edges.par_sort_unstable();
    edges
}

impl Mesh {
    /// Welds corners that are the same number by number, drops triangles that are there already or have no area, and
    /// counts what is odd about the rest.
    pub(super) fn new(soup: Soup) -> Result<Self, Fault> {
        let given = soup.triangles.len();
        if given == 0 && !soup.corners.is_empty() {
            return Err(Fault::new("this mesh file has points but no triangles: mesh the scan before it is exported"));
        }
        if given > MOST {
            let what = format!(
                "this mesh has {given} triangles, and {MOST} at most are taken: thin it out, or cut it to the part"
            );
            return Err(Fault(what));
        }
        if let Some(n) = soup.triangles.iter().position(|t| t.iter().any(|c| !finite(&soup.corners[*c as usize]))) {
            let what =
                format!("triangle {} has a corner that is no number: repair the scan and export it again", n + 1);
            return Err(Fault(what));
        }
        let (corners, mut triangles) = welded(&soup);
        drop(soup);
        let before = triangles.len();
        triangles.retain(|t| !flat(t.map(|c| corners[c as usize])));
        let degenerate = before - triangles.len();
        let triangles = once(triangles);
        let duplicates = before - degenerate - triangles.len();
        if triangles.is_empty() {
            return Err(Fault::new("this mesh file holds no triangle with an area: export the scan again"));
        }
        let (corners, triangles) = used(&corners, triangles);
        let report = report(&corners, &triangles, [duplicates, degenerate]);
        Ok(Self { corners, triangles, report })
    }
}

fn finite(p: &Vector3<f64>) -> bool {
    // Beyond this squares of lengths would overflow; no scanner reaches as far.
    p.iter().all(|v| v.abs() < 1e30)
}

/// Each corner once.
fn welded(soup: &Soup) -> (Vec<Vector3<f64>>, Vec<[u32; 3]>) {
    let mut places: HashMap<[u64; 3], u32> = HashMap::with_capacity(soup.corners.len() / 3);
    let mut corners = Vec::new();
    let number: Vec<u32> = soup
        .corners
        .iter()
        .map(|p| {
            // Nothing has no sign.
            let key = [p.x, p.y, p.z].map(|v| (v + 0.0).to_bits());
            *places.entry(key).or_insert_with(|| {
                corners.push(*p);
                corners.len() as u32 - 1
            })
        })
        .collect();
    (corners, soup.triangles.iter().map(|t| t.map(|c| number[c as usize])).collect())
}

fn flat([a, b, c]: [Vector3<f64>; 3]) -> bool {
    let longest = [(b - a), (c - b), (a - c)].iter().map(Vector3::norm_squared).fold(0.0, f64::max);
    // Twice the area is the longest side times the height over it.
    (b - a).cross(&(c - a)).norm() <= FLAT * longest
}

/// The first of each set of triangles on the same three corners, in their order.
fn once(triangles: Vec<[u32; 3]>) -> Vec<[u32; 3]> {
    let key = |t: &[u32; 3]| {
        let mut key = *t;
        key.sort_unstable();
        key
    };
    let mut order: Vec<([u32; 3], u32)> = triangles.iter().enumerate().map(|(i, t)| (key(t), i as u32)).collect();
    order.par_sort_unstable();
    order.dedup_by_key(|(key, _)| *key);
    let mut kept: Vec<u32> = order.into_iter().map(|(_, i)| i).collect();
    kept.par_sort_unstable();
    kept.into_iter().map(|i| triangles[i as usize]).collect()
}

/// Only the corners that triangles stand on.
pub(super) fn used(corners: &[Vector3<f64>], triangles: Vec<[u32; 3]>) -> (Vec<Vector3<f64>>, Vec<[u32; 3]>) {
    let mut place = vec![u32::MAX; corners.len()];
    let mut kept = Vec::new();
    let mut number = |c: u32| {
        let place = &mut place[c as usize];
        if *place == u32::MAX {
            *place = kept.len() as u32;
            kept.push(corners[c as usize]);
        }
        *place
    };
    let triangles = triangles.into_iter().map(|t| t.map(&mut number)).collect();
    (kept, triangles)
}

fn report(corners: &[Vector3<f64>], triangles: &[[u32; 3]], [duplicates, degenerate]: [usize; 2]) -> Report {
    let (mut open_edges, mut turned, mut crowded) = (0, 0, 0);
    let mut rims = Rims((0..corners.len() as u32).collect());
    let edges = edges(triangles);
    let upwards = |e: &Edge| {
        let (t, side) = (triangles[e.of as usize / 3], e.of as usize % 3);
        t[side] < t[(side + 1) % 3]
    };
    let mut on_rim = Vec::new();
    for group in edges.chunk_by(Edge::same) {
        match group {
            [only] => {
                open_edges += 1;
                let [a, b] = only.ends();
                rims.join(a, b);
                on_rim.push([a, b]);
            }
            [one, other] => turned += usize::from(upwards(one) == upwards(other)),
            _ => crowded += 1,
        }
    }
    // Each rim's length, and its length's share of every place along it.
    let mut along: BTreeMap<u32, (f64, Vector3<f64>)> = BTreeMap::new();
    for [a, b] in on_rim {
        let [p, q] = [a, b].map(|c| corners[c as usize]);
        let length = (q - p).norm();
        let rim = along.entry(rims.of(a)).or_default();
        *rim = (rim.0 + length, rim.1 + (p + q) / 2.0 * length);
    }
    let rim = |(around, sum): &(f64, Vector3<f64>)| Rim { around: *around, middle: (sum / *around).into() };
    let mut longest_rims: Vec<Rim> = along.values().map(rim).collect();
    longest_rims.sort_by(|a, b| b.around.total_cmp(&a.around));
    longest_rims.truncate(TOLD_RIMS);
    let low = corners.iter().fold(Vector3::repeat(f64::INFINITY), |low, c| low.inf(c));
    let high = corners.iter().fold(Vector3::repeat(f64::NEG_INFINITY), |high, c| high.sup(c));
    Report {
        triangles: triangles.len(),
        duplicates,
        degenerate,
        open_edges,
        rims: along.len(),
        longest_rims,
        turned,
        crowded,
        around: [low.into(), high.into()],
    }
}

/// Corners joined by open edges: each names another of its rim, or itself.
struct Rims(Vec<u32>);

impl Rims {
    fn of(&mut self, mut c: u32) -> u32 {
        while self.0[c as usize] != c {
            self.0[c as usize] = self.0[self.0[c as usize] as usize];
            c = self.0[c as usize];
        }
        c
    }

    fn join(&mut self, a: u32, b: u32) {
        let (a, b) = (self.of(a), self.of(b));
        self.0[a as usize] = b;
    }
}

impl Mesh {
    /// The mesh somewhere else: every corner carried by `carry`, and of its triangles those that `keep` keeps.
    pub fn carried(
        &self,
        carry: impl Fn(&Vector3<f64>) -> Vector3<f64> + Sync + Send,
        keep: impl Fn([Vector3<f64>; 3]) -> bool,
    ) -> (Vec<Vector3<f64>>, Vec<[u32; 3]>) {
        let corners: Vec<Vector3<f64>> = self.corners.par_iter().map(carry).collect();
        let kept = self.triangles.iter().copied().filter(|t| keep(t.map(|c| corners[c as usize]))).collect();
        used(&corners, kept)
    }
}
