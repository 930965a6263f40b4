//! Points that were picked on a scan and do not lie on it: read in another unit than the mesh is, or typed wrong. The points
//! among themselves cannot tell, as they fit their places on the car whatever the mesh is.

use nalgebra::Vector3;
use rayon::prelude::*;

use super::apart::segment_triangle;
use crate::car::{FileUnit, Scan};
use crate::scan::Mesh;

/// A point further off the mesh than this, mm, and than this part of the mesh's size, was not picked on it: a hole's middle
/// and a slip of the hand are nearer (common practice, no source).
const OFF: f64 = 10.0;
const PART: f64 = 0.03;

/// A picked point that lies off the scan's mesh.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Astray {
    /// Which, from 1.
    point: usize,
    /// How far, mm.
    off: f64,
    /// So many points are.
    count: usize,
}

impl Astray {
    /// The one that lies furthest off; none where all lie on the mesh.
    pub fn of(mesh: &Mesh, scan: &Scan) -> Option<Self> {
        let most = OFF.max(PART * Vector3::from(size(mesh, scan)).norm());
        let scale = scan.unit().in_mm();
        let off = scan.place.iter().map(|picked| scale * distance(mesh, Vector3::from(picked.scan)));
        let astray: Vec<(usize, f64)> = (1..).zip(off).filter(|(_, off)| *off > most).collect();
        let (point, off) = *astray.iter().max_by(|a, b| a.1.total_cmp(&b.1))?;
        Some(Self { point, off, count: astray.len() })
    }

    /// In a sentence, beside every answer.
    pub fn note(&self, mesh: &Mesh, scan: &Scan, unit: FileUnit) -> String {
        let Self { point, off, count } = self;
        let others = match count {
            1 => String::new(),
            n => format!(", and {n} of {} do not lie on it", scan.place.len()),
        };
        format!(
            "Picked point {point} of the scan `{}` lies {} off the scan's own mesh{others}: is the scan's `unit` {}? So the \
             mesh is {} in size, and the points are read in the same unit.",
            scan.name,
            unit.length((off * 10.0).round() / 10.0),
            scan.unit().sign(),
            told_size(mesh, scan),
        )
    }

    /// The same as a clause.
    pub fn beware(&self, scan: &Scan, unit: FileUnit) -> String {
        let off = unit.length((self.off * 10.0).round() / 10.0);
        format!(
            "the scan `{}` may lie wrong, as its picked point {} is {off} off its own mesh: is its unit {}?",
            scan.name,
            self.point,
            scan.unit().sign()
        )
    }
}

/// A mesh's extent as its scan reads it: `0.6 x 0.9 x 0.4 mm`, in the unit of car files that most know by sight.
pub(super) fn told_size(mesh: &Mesh, scan: &Scan) -> String {
    let [x, y, z] = size(mesh, scan).map(|mm| format!("{mm:.1}"));
    format!("{x} x {y} x {z} mm")
}

/// Its extent along its own axes, mm.
fn size(mesh: &Mesh, scan: &Scan) -> [f64; 3] {
    let [low, high] = mesh.report.around;
    [0, 1, 2].map(|k| (high[k] - low[k]) * scan.unit().in_mm())
}

/// How far a point lies from the mesh, in its own unit.
fn distance(mesh: &Mesh, p: Vector3<f64>) -> f64 {
    let nearer = |least: f64, t: &[u32; 3]| {
        let corners = t.map(|c| mesh.corners[c as usize]);
        let [a, b, c] = corners;
        // No place of a triangle is nearer than the box around it.
        let beyond = (a.inf(&b).inf(&c) - p).sup(&(p - a.sup(&b).sup(&c))).sup(&Vector3::zeros());
        if beyond.norm_squared() >= least * least {
            return least;
        }
        let [from, to] = segment_triangle([p; 2], &corners);
        least.min((from - to).norm())
    };
    mesh.triangles.par_iter().fold(|| f64::INFINITY, nearer).reduce(|| f64::INFINITY, f64::min)
}
