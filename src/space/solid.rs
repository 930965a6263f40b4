//! What a ring can touch: bars (tubes) and facets (skins and the faces of solids).

use nalgebra::Vector3;

use crate::motion::Plane;

/// A straight bar with round ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bar {
    /// One end of its axis, mm.
    pub a: Vector3<f64>,
    /// The other.
    pub b: Vector3<f64>,
    /// Radius, mm.
    pub radius: f64,
}

/// A triangle grown by a radius.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Facet {
    /// Corners, mm.
    pub corners: [Vector3<f64>; 3],
    /// Half its thickness, mm; zero for a face of a solid.
    pub radius: f64,
}

/// A part's shape.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Solid {
    /// Its bars.
    pub bars: Vec<Bar>,
    /// Its facets.
    pub facets: Vec<Facet>,
    /// Corners of a box around it, lower and upper, mm.
    pub around: [Vector3<f64>; 2],
}

impl Solid {
    /// From bars and facets.
    pub fn new(bars: Vec<Bar>, facets: Vec<Facet>) -> Self {
        let mut around = [Vector3::repeat(f64::INFINITY), Vector3::repeat(f64::NEG_INFINITY)];
        let mut grow = |p: Vector3<f64>, r: f64| {
            around[0] = around[0].inf(&p.add_scalar(-r));
            around[1] = around[1].sup(&p.add_scalar(r));
        };
        for bar in &bars {
            grow(bar.a, bar.radius);
            grow(bar.b, bar.radius);
        }
        for facet in &facets {
            facet.corners.iter().for_each(|c| grow(*c, facet.radius));
        }
        Self { bars, facets, around }
    }

    /// A flat quadrilateral or a slightly twisted one, as two facets.
    pub fn quad([a, b, c, d]: [Vector3<f64>; 4], radius: f64) -> [Facet; 2] {
        [Facet { corners: [a, b, c], radius }, Facet { corners: [a, c, d], radius }]
    }

    /// Distance from a point to the box around it, mm: no point of the solid is nearer.
    pub fn beyond(&self, x: Vector3<f64>) -> f64 {
        let [low, high] = self.around;
        (low - x).sup(&(x - high)).sup(&Vector3::zeros()).norm()
    }

    /// Its lowest point over a plane: height and place.
    pub fn lowest(&self, ground: &Plane) -> Option<(f64, Vector3<f64>)> {
        lowest(&self.bars, &self.facets, ground)
    }
}

/// The lowest point of bars and facets over a plane: height and place.
pub fn lowest(bars: &[Bar], facets: &[Facet], ground: &Plane) -> Option<(f64, Vector3<f64>)> {
    let ends = bars.iter().flat_map(|b| [(b.a, b.radius), (b.b, b.radius)]);
    let corners = facets.iter().flat_map(|f| f.corners.map(|c| (c, f.radius)));
    ends.chain(corners).map(|(p, r)| (ground.height(p) - r, p - ground.normal * r)).min_by(|a, b| a.0.total_cmp(&b.0))
}
