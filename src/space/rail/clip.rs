//! Triangles cut off by a plane.

use nalgebra::Vector3;

use crate::space::solid::Facet;

/// A plane: what lies against its normal stays.
#[derive(Debug, Clone, Copy)]
pub(super) struct Plane {
    /// A point of it, mm.
    pub at: Vector3<f64>,
    /// Its normal, of any length.
    pub normal: Vector3<f64>,
}

impl Plane {
    fn over(&self, p: Vector3<f64>) -> f64 {
        (p - self.at).dot(&self.normal)
    }

    /// Where an edge meets it, to the same bits from whichever triangle it is asked.
    fn cross(&self, p: Vector3<f64>, q: Vector3<f64>) -> Vector3<f64> {
        let (p, q) = if p.iter().lt(q.iter()) { (p, q) } else { (q, p) };
        let (a, b) = (self.over(p), self.over(q));
        p + (q - p) * (a / (a - b))
    }

    /// What stays of triangles; where they were cut is added to `rim`.
    pub fn clip(&self, facets: Vec<Facet>, rim: &mut Vec<Vector3<f64>>) -> Vec<Facet> {
        let mut left = Vec::with_capacity(facets.len());
        for facet in facets {
            let mut corners: Vec<Vector3<f64>> = Vec::with_capacity(4);
            for k in 0..3 {
                let (p, q) = (facet.corners[k], facet.corners[(k + 1) % 3]);
                let stays = [p, q].map(|p| self.over(p) < 0.0);
                if stays[0] {
                    corners.push(p);
                }
                if stays[0] != stays[1] {
                    let at = self.cross(p, q);
                    corners.push(at);
                    rim.push(at);
                }
            }
            let fan = (2..corners.len()).map(|k| [corners[0], corners[k - 1], corners[k]]);
            left.extend(fan.map(|corners| Facet { corners, radius: facet.radius }));
        }
        left
    }

    /// A lid on the rim that a cut has left, which goes once around its middle.
    pub fn lid(&self, rim: &[Vector3<f64>]) -> Vec<Facet> {
        let mut corners: Vec<Vector3<f64>> = Vec::new();
        for p in rim {
            if !corners.contains(p) {
                corners.push(*p);
            }
        }
        let Some(first) = corners.first() else { return Vec::new() };
        let middle = corners.iter().sum::<Vector3<f64>>() / corners.len() as f64;
        let across = first - middle;
        let beside = self.normal.cross(&across);
        let turn = |p: &Vector3<f64>| (p - middle).dot(&beside).atan2((p - middle).dot(&across) * self.normal.norm());
        corners.sort_by(|p, q| turn(p).total_cmp(&turn(q)));
        let count = corners.len();
        (0..count).map(|k| Facet { corners: [middle, corners[k], corners[(k + 1) % count]], radius: 0.0 }).collect()
    }
}
