//! What a ring can touch: bars (tubes) and facets (skins and the faces of solids).

use std::cmp::Ordering;
use std::collections::HashMap;

use nalgebra::Vector3;

use super::skin::Skin;
use super::tree::{Piece, Tree};
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

impl Facet {
    fn sides(&self) -> [Vector3<f64>; 3] {
        let [a, b, c] = self.corners;
        [b - a, c - b, a - c]
    }

    /// Whether two of its corners are the same.
    fn is_line(&self) -> bool {
        self.sides().iter().any(|side| *side == Vector3::zeros())
    }

    /// Whether its corners lie off one line by more than rounding.
    fn has_area(&self) -> bool {
        let sides = self.sides();
        let longest = sides.iter().map(|side| side.norm_squared()).fold(0.0, f64::max);
        sides[0].cross(&sides[1]).norm() > 1e-12 * longest
    }
}

/// A part's shape.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Solid {
    /// Its bars.
    pub bars: Vec<Bar>,
    /// Its facets.
    pub facets: Vec<Facet>,
    /// Bars, facets and the facets' edges, ready to be measured: a gap to a facet is measured on an edge or at a place
    /// that [`super::nearest`] knows.
    pub tree: Tree,
    /// A scanned skin, which has neither bars nor facets.
    pub skin: Option<Skin>,
    /// Corners of a box around it, lower and upper, mm.
    pub around: [Vector3<f64>; 2],
    /// Whether its facets close a space without a hole.
    pub closed: bool,
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
        let (edges, closed) = edges(&facets);
        let facets: Vec<Facet> = facets.into_iter().filter(|f| f.radius > 0.0 || f.has_area()).collect();
        let lines = bars.iter().copied().chain(edges).map(Piece::Bar);
        let tree = Tree::new(lines.chain(facets.iter().copied().map(Piece::Facet)).collect());
        Self { bars, facets, tree, skin: None, around, closed }
    }

    /// Of a scanned skin.
    pub fn of_skin(skin: Skin) -> Self {
        let none = [Vector3::repeat(f64::INFINITY), Vector3::repeat(f64::NEG_INFINITY)];
        let around = skin.corners.iter().fold(none, |[low, high], c| [low.inf(c), high.sup(c)]);
        Self { skin: Some(skin), around, ..Self::default() }
    }

    /// A flat quadrilateral or a slightly twisted one, as two facets.
    pub fn quad([a, b, c, d]: [Vector3<f64>; 4], radius: f64) -> [Facet; 2] {
        [Facet { corners: [a, b, c], radius }, Facet { corners: [a, c, d], radius }]
    }

    /// The largest radius that its bars and facets are grown by, mm.
    pub(super) fn thickest(&self) -> f64 {
        let radii = self.bars.iter().map(|b| b.radius).chain(self.facets.iter().map(|f| f.radius));
        radii.fold(0.0, f64::max)
    }

    /// Distance from a point to the box around it, mm: no point of the solid is nearer.
    pub fn beyond(&self, x: Vector3<f64>) -> f64 {
        let [low, high] = self.around;
        (low - x).sup(&(x - high)).sup(&Vector3::zeros()).norm()
    }

    /// Whether a point lies within the space that its facets close: a line from there meets them an odd number of times.
    pub fn holds(&self, x: Vector3<f64>) -> bool {
        if !self.closed || self.beyond(x) > 0.0 {
            return false;
        }
        // Askew to anything that is built square.
        let way = Vector3::new(0.538, 0.294, 0.79);
        let met = self.facets.iter().filter(|f| {
            let [a, b, c] = f.corners;
            let (u, v, from) = (b - a, c - a, x - a);
            let across = way.cross(&v);
            let volume = u.dot(&across);
            let s = from.dot(&across) / volume;
            let over = from.cross(&u);
            let t = way.dot(&over) / volume;
            volume.abs() > 1e-12 && s >= 0.0 && t >= 0.0 && s + t <= 1.0 && v.dot(&over) / volume > 0.0
        });
        met.count() % 2 == 1
    }

    /// Its corners as balls (middle, radius): whatever a plane meets of it first, it meets at one of these.
    pub fn balls(&self) -> Vec<(Vector3<f64>, f64)> {
        let ends = self.bars.iter().flat_map(|b| [(b.a, b.radius), (b.b, b.radius)]);
        let corners = self.facets.iter().flat_map(|f| f.corners.map(|c| (c, f.radius)));
        let scanned = self.skin.iter().flat_map(|skin| skin.corners.iter().map(|c| (*c, 0.0)));
        ends.chain(corners).chain(scanned).collect()
    }

    /// Its lowest point over a plane: height and place.
    pub fn lowest(&self, ground: &Plane) -> Option<(f64, Vector3<f64>)> {
        match &self.skin {
            Some(skin) => skin.lowest(ground),
            None => lowest(&self.bars, &self.facets, ground),
        }
    }
}

/// Edges of facets, each once, without those between two facets that lie flat on; and whether each is between two faces,
/// so that together they close a space.
///
/// A step in a rail has faces without area. One that is a line has no part in closing a space; it is measured as an edge,
/// unless it only doubles one.
fn edges(facets: &[Facet]) -> (Vec<Bar>, bool) {
    /// An edge and, of each facet at it, the direction in which the facet lies from it; none for one without area.
    type Shared = (Bar, Vec<Option<Vector3<f64>>>);
    let bits = |p: Vector3<f64>| [p.x, p.y, p.z].map(f64::to_bits);
    let mut found: HashMap<[[u64; 3]; 2], Shared> = HashMap::new();
    let is_line = |facet: &&Facet| facet.radius == 0.0 && facet.is_line();
    let key = |p: Vector3<f64>, q: Vector3<f64>| {
        let mut key = [bits(p), bits(q)];
        key.sort_unstable();
        key
    };
    for facet in facets.iter().filter(|f| !is_line(f)) {
        let [a, b, c] = facet.corners;
        let normal = (b - a).cross(&(c - a));
        for (p, q) in [(a, b), (b, c), (c, a)] {
            let bar = Bar { a: p, b: q, radius: facet.radius };
            let towards = normal.cross(&(q - p)).try_normalize(0.0);
            found.entry(key(p, q)).or_insert_with(|| (bar, Vec::new())).1.push(towards);
        }
    }
    let closed = !found.is_empty() && found.values().all(|(bar, facets)| facets.len() == 2 && bar.radius == 0.0);
    for facet in facets.iter().filter(is_line) {
        let [a, b, c] = facet.corners;
        // Two corners are one: two of its sides are the line.
        let (p, q) = if a == b { (a, c) } else { (a, b) };
        found.entry(key(p, q)).or_insert_with(|| (Bar { a: p, b: q, radius: 0.0 }, Vec::new()));
    }
    // Flat on: one lies just opposite the other. Folded back they lie the same way, and the edge is their border.
    let flat = |towards: &[Option<Vector3<f64>>]| matches!(towards, [Some(a), Some(b)] if (a + b).norm() < 1e-9);
    let mut edges: Vec<Bar> = found.into_values().filter(|(_, towards)| !flat(towards)).map(|(bar, _)| bar).collect();
    // A hash map has no order of its own; answers must not depend on it.
    edges.sort_by(|x, y| x.a.iter().chain(&x.b).partial_cmp(y.a.iter().chain(&y.b)).unwrap_or(Ordering::Equal));
    (edges, closed)
}

/// The lowest point of bars and facets over a plane: height and place.
pub fn lowest(bars: &[Bar], facets: &[Facet], ground: &Plane) -> Option<(f64, Vector3<f64>)> {
    let ends = bars.iter().flat_map(|b| [(b.a, b.radius), (b.b, b.radius)]);
    let corners = facets.iter().flat_map(|f| f.corners.map(|c| (c, f.radius)));
    ends.chain(corners).map(|(p, r)| (ground.height(p) - r, p - ground.normal * r)).min_by(|a, b| a.0.total_cmp(&b.0))
}
