//! A scanned skin: hundreds of thousands of small triangles, ready to be measured.
//!
//! Corners are kept once and triangles as places among them, an eighth of what facets and edges of their own would take.
//! The tree's nodes know more than a sphere: a scan lies along a surface, so a node is also a slab, thin where the
//! surface is flat. Seen squarely, as the nearest part of a tyre sees it, the slab's bound is nearly exact, and what is
//! looked at does not grow with the fineness of the mesh.

use nalgebra::Vector3;
use rayon::prelude::*;

use crate::motion::Plane;
use crate::scan::{Edge, edges};

/// A part of the skin.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Patch {
    /// The middle of the box around it, mm.
    pub centre: Vector3<f64>,
    /// No point of it lies further from the middle, mm.
    pub reach: f64,
    /// Unit, as square to its triangles as one direction can be.
    pub normal: Vector3<f64>,
    /// Least and most of its points along the normal, from the middle, mm.
    pub slab: [f64; 2],
    /// Its triangles, from and to.
    pub triangles: [u32; 2],
    /// How far on in the list of patches its second half stands, the first half being the next; 0 for one not divided.
    pub second: u32,
}

/// A skin in a tree of patches. The first patch is the whole.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Skin {
    /// Corners, mm.
    pub corners: Vec<Vector3<f64>>,
    /// Triangles as places among the corners, those of a patch together.
    pub triangles: Vec<[u32; 3]>,
    /// For each triangle, which of its sides are looked at with it: an edge is looked at once, and one between two
    /// triangles that lie flat on not at all.
    pub sides: Vec<u8>,
    /// The patches.
    pub patches: Vec<Patch>,
}

/// A patch of no more triangles than this is not divided.
const FEW: usize = 8;
/// A patch of no more than this is divided on one core.
const ALONE: usize = 4096;

/// A triangle while it is sorted: its middle, and its place.
type Sorted = (Vector3<f64>, u32);

impl Skin {
    /// From corners and triangles.
    pub fn new(corners: Vec<Vector3<f64>>, triangles: Vec<[u32; 3]>) -> Self {
        if triangles.is_empty() {
            return Self::default();
        }
        let middle = |t: &[u32; 3]| t.iter().map(|c| corners[*c as usize]).sum::<Vector3<f64>>() / 3.0;
        let mut order: Vec<Sorted> = triangles.par_iter().enumerate().map(|(i, t)| (middle(t), i as u32)).collect();
        let whole = Vector3::zeros();
        let empty = Patch { centre: whole, reach: 0.0, normal: whole, slab: [0.0; 2], triangles: [0; 2], second: 0 };
        let mut patches = vec![empty; patches_of(triangles.len())];
        let (sides, ()) = rayon::join(
            || sides(&corners, &triangles),
            || Growing { corners: &corners, triangles: &triangles }.divide(&mut order, 0, &mut patches),
        );
        let place = |(_, i): &Sorted| *i as usize;
        let sides = order.iter().map(|o| sides[place(o)]).collect();
        let triangles = order.iter().map(|o| triangles[place(o)]).collect();
        Self { corners, triangles, sides, patches }
    }

    /// A triangle's corners, mm.
    pub fn triangle(&self, index: usize) -> [Vector3<f64>; 3] {
        self.triangles[index].map(|c| self.corners[c as usize])
    }

    /// The point lowest over a plane: height and place.
    pub fn lowest(&self, ground: &Plane) -> Option<(f64, Vector3<f64>)> {
        let mut best: Option<(f64, Vector3<f64>)> = None;
        let mut waiting = if self.patches.is_empty() { vec![] } else { vec![0] };
        while let Some(at) = waiting.pop() {
            let patch = &self.patches[at];
            let least = best.map_or(f64::INFINITY, |(height, _)| height);
            if ground.height(patch.centre) - patch.reach >= least {
                continue;
            }
            if patch.second > 0 {
                let mut halves = [at + 1, at + patch.second as usize];
                let height = |at: usize| ground.height(self.patches[at].centre);
                // Taken from the end: the lower one goes on last.
                halves.sort_by(|a, b| height(*b).total_cmp(&height(*a)));
                waiting.extend(halves);
                continue;
            }
            for index in patch.triangles[0]..patch.triangles[1] {
                for c in self.triangle(index as usize) {
                    let height = ground.height(c);
                    if best.is_none_or(|(least, _)| height < least) {
                        best = Some((height, c));
                    }
                }
            }
        }
        best
    }
}

/// How many patches so many triangles make.
fn patches_of(triangles: usize) -> usize {
    if triangles <= FEW { 1 } else { 1 + patches_of(triangles / 2) + patches_of(triangles - triangles / 2) }
}

struct Growing<'a> {
    corners: &'a [Vector3<f64>],
    triangles: &'a [[u32; 3]],
}

impl Growing<'_> {
    /// Divides triangles at the middle one along their longest extent, and fills in their patches.
    fn divide(&self, order: &mut [Sorted], first: u32, patches: &mut [Patch]) {
        let corners = |o: &Sorted| self.triangles[o.1 as usize].map(|c| self.corners[c as usize]);
        let (mut low, mut high) = (Vector3::repeat(f64::INFINITY), Vector3::repeat(f64::NEG_INFINITY));
        let mut normal = Vector3::zeros();
        for o in order.iter() {
            let [a, b, c] = corners(o);
            low = low.inf(&a.inf(&b.inf(&c)));
            high = high.sup(&a.sup(&b.sup(&c)));
            let own = (b - a).cross(&(c - a));
            // Which side is the outside does not matter here, and scans do not always agree.
            normal += if own.dot(&normal) < 0.0 { -own } else { own };
        }
        let centre = (low + high) / 2.0;
        let normal = normal.try_normalize(1e-300).unwrap_or_else(Vector3::z);
        let (mut reach, mut slab) = (0.0f64, [f64::INFINITY, f64::NEG_INFINITY]);
        for o in order.iter() {
            for c in corners(o) {
                let off = c - centre;
                let height = off.dot(&normal);
                reach = reach.max(off.norm_squared());
                slab = [slab[0].min(height), slab[1].max(height)];
            }
        }
        let count = order.len();
        let triangles = [first, first + count as u32];
        let mut patch = Patch { centre, reach: reach.sqrt(), normal, slab, triangles, second: 0 };
        if count > FEW {
            let axis = (high - low).imax();
            let middle = count / 2;
            order.select_nth_unstable_by(middle, |a, b| a.0[axis].total_cmp(&b.0[axis]));
            let (one, other) = order.split_at_mut(middle);
            let (_, rest) = patches.split_at_mut(1);
            let (ones, others) = rest.split_at_mut(patches_of(middle));
            patch.second = 1 + ones.len() as u32;
            let from = first + middle as u32;
            if count > ALONE {
                rayon::join(|| self.divide(one, first, ones), || self.divide(other, from, others));
            } else {
                self.divide(one, first, ones);
                self.divide(other, from, others);
            }
        }
        patches[0] = patch;
    }
}

/// For each triangle, the sides that are looked at with it.
fn sides(corners: &[Vector3<f64>], triangles: &[[u32; 3]]) -> Vec<u8> {
    let mut sides = vec![0u8; triangles.len()];
    // In which direction the triangle of a side lies from it.
    let towards = |e: &Edge| {
        let (t, side) = (triangles[e.of as usize / 3], e.of as usize % 3);
        let [p, q, r] = [side, side + 1, side + 2].map(|k| corners[t[k % 3] as usize]);
        let along = q - p;
        ((r - p) - along * ((r - p).dot(&along) / along.norm_squared())).try_normalize(0.0)
    };
    for group in edges(triangles).chunk_by(Edge::same) {
        // Flat on: one lies just opposite the other. Folded back they lie the same way, and the edge is their border.
        let flat = match group {
            [one, other] => matches!((towards(one), towards(other)), (Some(a), Some(b)) if (a + b).norm() < 1e-9),
            _ => false,
        };
        if !flat {
            sides[group[0].of as usize / 3] |= 1 << (group[0].of % 3);
        }
    }
    sides
}
