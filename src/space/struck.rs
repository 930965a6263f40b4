//! What a straight line of sight meets first: for picking places on a shape.

use nalgebra::Vector3;

use super::skin::Skin;
use super::solid::Solid;

impl Solid {
    /// How far along a line from `from` in the direction `along` (unit) its first facet or scanned triangle is, mm. Bars
    /// are passed through; so is everything behind.
    pub fn struck(&self, from: Vector3<f64>, along: Vector3<f64>) -> Option<f64> {
        let facets = self.facets.iter().filter_map(|f| triangle(&f.corners, from, along));
        let skin = self.skin.as_ref().and_then(|skin| skin.struck(from, along));
        facets.chain(skin).min_by(f64::total_cmp)
    }
}

impl Skin {
    /// As [`Solid::struck`].
    pub fn struck(&self, from: Vector3<f64>, along: Vector3<f64>) -> Option<f64> {
        let mut best: Option<f64> = None;
        let mut waiting = if self.patches.is_empty() { vec![] } else { vec![0usize] };
        while let Some(at) = waiting.pop() {
            let patch = &self.patches[at];
            let to = patch.centre - from;
            let ahead = to.dot(&along);
            let aside = (to - along * ahead).norm();
            if aside > patch.reach || ahead < -patch.reach || best.is_some_and(|b| ahead - patch.reach >= b) {
                continue;
            }
            if patch.second > 0 {
                waiting.extend([at + 1, at + patch.second as usize]);
                continue;
            }
            for index in patch.triangles[0]..patch.triangles[1] {
                let found = triangle(&self.triangle(index as usize), from, along);
                best = found.into_iter().chain(best).min_by(f64::total_cmp);
            }
        }
        best
    }
}

/// Where a line meets a triangle, seen from either side (Möller and Trumbore, "Fast, minimum storage ray/triangle
/// intersection", 1997).
fn triangle([a, b, c]: &[Vector3<f64>; 3], from: Vector3<f64>, along: Vector3<f64>) -> Option<f64> {
    let (u, v) = (b - a, c - a);
    let p = along.cross(&v);
    let det = u.dot(&p);
    if det.abs() <= 1e-12 * u.norm() * v.norm() {
        return None;
    }
    let t = from - a;
    let q = t.cross(&u);
    let (s, r) = (t.dot(&p) / det, along.dot(&q) / det);
    let at = v.dot(&q) / det;
    (s >= 0.0 && r >= 0.0 && s + r <= 1.0 && at >= 0.0).then_some(at)
}
