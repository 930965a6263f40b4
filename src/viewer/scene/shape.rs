//! Shapes to draw: triangles, and the edges that a draughtsman would ink.

use std::collections::HashMap;
use std::f32::consts::TAU;

use bevy::asset::RenderAssetUsages;
use bevy::mesh::{Indices, PrimitiveTopology};
use bevy::prelude::*;

/// Two faces that meet at a sharper angle than this have an edge between them (cosine).
const SHARP: f32 = 0.85;

/// Triangles with normals, and inked edges, mm.
#[derive(Debug, Clone, Default)]
pub struct Shape {
    positions: Vec<Vec3>,
    normals: Vec<Vec3>,
    indices: Vec<u32>,
    /// Polylines to ink.
    pub edges: Vec<Vec<Vec3>>,
}

impl Shape {
    /// An outline of (along, out) turned about y, from y = along; sharp corners are inked as circles.
    pub fn lathe(outline: &[[f32; 2]], around: usize) -> Self {
        let mut shape = Self::default();
        let normal = |i: usize| {
            let d = Vec2::from(outline[i + 1]) - Vec2::from(outline[i]);
            Vec2::new(-d.y, d.x).normalize_or_zero()
        };
        let last = outline.len().saturating_sub(2);
        let smooth = |i: usize, j: usize| normal(i).dot(normal(j)) > SHARP;
        for i in 0..outline.len().saturating_sub(1) {
            let ends = [
                if i > 0 && smooth(i - 1, i) { normal(i - 1) + normal(i) } else { normal(i) },
                if i < last && smooth(i, i + 1) { normal(i) + normal(i + 1) } else { normal(i) },
            ];
            shape.band([outline[i], outline[i + 1]], ends.map(Vec2::normalize_or_zero), around);
            if outline[i][1] > 0.0 && (i == 0 || !smooth(i - 1, i)) {
                shape.edges.push(circle(outline[i], around));
            }
        }
        if let Some(end) = outline.last().filter(|p| p[1] > 0.0) {
            shape.edges.push(circle(*end, around));
        }
        shape
    }

    fn band(&mut self, ends: [[f32; 2]; 2], normals: [Vec2; 2], around: usize) {
        let base = self.positions.len() as u32;
        for i in 0..=around {
            let (s, c) = (TAU * i as f32 / around as f32).sin_cos();
            for (p, n) in ends.iter().zip(normals) {
                self.positions.push(Vec3::new(c * p[1], p[0], s * p[1]));
                self.normals.push(Vec3::new(c * n.y, n.x, s * n.y));
            }
        }
        for i in 0..around as u32 {
            let a = base + 2 * i;
            self.indices.extend([a, a + 1, a + 2, a + 2, a + 1, a + 3]);
        }
    }

    /// Flat triangles; edges are inked where faces meet sharply or end.
    pub fn facets(triangles: &[[Vec3; 3]]) -> Self {
        let mut shape = Self::default();
        let mut sides: HashMap<[IVec3; 2], Vec<(usize, [Vec3; 2])>> = HashMap::new();
        // A hundredth of a millimetre is one and the same corner.
        let key = |p: Vec3| (p * 100.0).round().as_ivec3();
        let mut faces = Vec::new();
        for corners in triangles {
            let [a, b, c] = *corners;
            let normal = (b - a).cross(c - a).normalize_or_zero();
            if normal == Vec3::ZERO {
                continue;
            }
            shape.triangle(*corners, [normal; 3]);
            for [p, q] in [[a, b], [b, c], [c, a]] {
                let mut name = [key(p), key(q)];
                name.sort_by_key(|k| k.to_array());
                sides.entry(name).or_default().push((faces.len(), [p, q]));
            }
            faces.push(normal);
        }
        for meets in sides.values() {
            let sharp = match meets[..] {
                [(i, _), (j, _)] => faces[i].dot(faces[j]).abs() < SHARP,
                _ => true,
            };
            if sharp {
                shape.edges.push(meets[0].1.to_vec());
            }
        }
        shape
    }

    /// A bar from `a` to `b`, tapering from one radius to the other, with flat ends.
    pub fn bar(a: Vec3, b: Vec3, radii: [f32; 2]) -> Self {
        let length = a.distance(b);
        let outline = [[0.0, 0.0], [0.0, radii[0]], [length, radii[1]], [length, 0.0]];
        let turn = Quat::from_rotation_arc(Vec3::Y, (b - a).normalize_or(Vec3::Y));
        Self::lathe(&outline, 20).moved(Transform::from_translation(a).with_rotation(turn))
    }

    /// A ball.
    pub fn ball(centre: Vec3, radius: f32) -> Self {
        let outline: Vec<_> = (0..=10)
            .map(|i| {
                let (s, c) = (std::f32::consts::PI * i as f32 / 10.0).sin_cos();
                [-radius * c, radius * s.max(0.0)]
            })
            .collect();
        let mut ball = Self::lathe(&outline, 20).moved(Transform::from_translation(centre));
        ball.edges.clear();
        ball
    }

    /// A wire wound around y between two heights of a part that is one high and will be stretched: `radius` to the
    /// wire's middle.
    pub fn spring(radius: f32, wire: f32, coils: f32, [from, to]: [f32; 2]) -> Self {
        let mut shape = Self::default();
        let (steps, around) = ((coils * 18.0) as usize, 8);
        for i in 0..=steps {
            let along = i as f32 / steps as f32;
            let height = from + (to - from) * along;
            let (s, c) = (TAU * coils * along).sin_cos();
            let out = Vec3::new(c, 0.0, s);
            for j in 0..=around {
                let (ws, wc) = (TAU * j as f32 / around as f32).sin_cos();
                // The wire's height is given in lengths of the spring; a sixth of the pitch looks right.
                let normal = out * wc + Vec3::Y * ws;
                shape.positions.push(out * (radius + wire * wc) + Vec3::Y * (height + ws * 0.16 / coils));
                shape.normals.push(normal);
            }
        }
        let row = around as u32 + 1;
        for i in 0..steps as u32 {
            for j in 0..around as u32 {
                let a = i * row + j;
                shape.indices.extend([a, a + 1, a + row, a + row, a + 1, a + row + 1]);
            }
        }
        shape
    }

    fn triangle(&mut self, corners: [Vec3; 3], normals: [Vec3; 3]) {
        let base = self.positions.len() as u32;
        self.positions.extend(corners);
        self.normals.extend(normals);
        self.indices.extend([base, base + 1, base + 2]);
    }

    /// The shape carried elsewhere (without stretching).
    pub fn moved(mut self, by: Transform) -> Self {
        self.positions.iter_mut().for_each(|p| *p = by.transform_point(*p));
        self.normals.iter_mut().for_each(|n| *n = by.rotation * *n);
        self.edges.iter_mut().flatten().for_each(|p| *p = by.transform_point(*p));
        self
    }

    /// Both shapes as one.
    pub fn and(mut self, other: Self) -> Self {
        let base = self.positions.len() as u32;
        self.positions.extend(other.positions);
        self.normals.extend(other.normals);
        self.indices.extend(other.indices.into_iter().map(|i| base + i));
        self.edges.extend(other.edges);
        self
    }

    /// Without inked edges.
    pub fn plain(mut self) -> Self {
        self.edges.clear();
        self
    }

    /// Its triangles for Bevy.
    pub fn mesh(&self) -> Mesh {
        Mesh::new(PrimitiveTopology::TriangleList, RenderAssetUsages::RENDER_WORLD)
            .with_inserted_attribute(Mesh::ATTRIBUTE_POSITION, self.positions.clone())
            .with_inserted_attribute(Mesh::ATTRIBUTE_NORMAL, self.normals.clone())
            .with_inserted_indices(Indices::U32(self.indices.clone()))
    }

    /// Its edges for Bevy.
    pub fn ink(&self, colour: Color) -> GizmoAsset {
        let mut ink = GizmoAsset::default();
        for edge in &self.edges {
            ink.linestrip(edge.iter().copied(), colour);
        }
        ink
    }
}

/// A circle around y, `along` it, to ink.
pub fn circle([along, out]: [f32; 2], around: usize) -> Vec<Vec3> {
    let at = |i: usize| {
        let (s, c) = (TAU * i as f32 / around as f32).sin_cos();
        Vec3::new(c * out, along, s * out)
    };
    (0..=around).map(at).collect()
}
