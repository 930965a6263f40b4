//! The gap between straight bars and whatever else is made of bars and facets, in closed form.
//!
//! A bar's axis is a line between two points. Two lines are nearest at their ends, or where a line square to both meets
//! them; a line and a triangle are nearest where the line goes through it, at an edge, or where an end of the line stands
//! squarely over the triangle. A gap is that distance less both radii, so an overlap is as deep as the axes are too near.
//! A bar within a closed solid is deeper by as far as its axis lies from the solid's surface.

use arrayvec::ArrayVec;
use nalgebra::Vector3;

use super::nearest::{Few, Nearest, Shape};
use super::skin::{Patch, Skin};
use super::solid::{Bar, Facet, Solid};
use super::tree::{Holds, Node, Piece};

type Point = Vector3<f64>;

/// Where two lines between points are nearest: a place on each. The lines may be points.
pub fn segments([a, b]: [Point; 2], [c, d]: [Point; 2]) -> [Point; 2] {
    let (u, v, from) = (b - a, d - c, a - c);
    let (uu, vv, uv) = (u.norm_squared(), v.norm_squared(), u.dot(&v));
    let (along_u, along_v) = (u.dot(&from), v.dot(&from));
    if uu <= f64::EPSILON && vv <= f64::EPSILON {
        return [a, c];
    }
    let on = |s: f64, t: f64| [a + u * s, c + v * t];
    if uu <= f64::EPSILON {
        return on(0.0, (along_v / vv).clamp(0.0, 1.0));
    }
    if vv <= f64::EPSILON {
        return on((-along_u / uu).clamp(0.0, 1.0), 0.0);
    }
    // Of two parallel lines any place of the first will do to start from.
    let square = uu * vv - uv * uv;
    let s = if square > 1e-12 * uu * vv { ((uv * along_v - along_u * vv) / square).clamp(0.0, 1.0) } else { 0.0 };
    let t = (uv * s + along_v) / vv;
    if t < 0.0 {
        on((-along_u / uu).clamp(0.0, 1.0), 0.0)
    } else if t > 1.0 {
        on(((uv - along_u) / uu).clamp(0.0, 1.0), 1.0)
    } else {
        on(s, t)
    }
}

/// Where a line between two points and a triangle are nearest: a place on each, the same where it goes through.
pub fn segment_triangle(line: [Point; 2], corners: &[Point; 3]) -> [Point; 2] {
    let [a, b, c] = *corners;
    let mut best = segments(line, [a, b]);
    let mut least = (best[0] - best[1]).norm_squared();
    let mut try_this = |pair: [Point; 2]| {
        let distance = (pair[0] - pair[1]).norm_squared();
        if distance < least {
            (best, least) = (pair, distance);
        }
    };
    try_this(segments(line, [b, c]));
    try_this(segments(line, [c, a]));
    // Without area it is its edges.
    if let Some(normal) = (b - a).cross(&(c - a)).try_normalize(1e-12) {
        let heights = line.map(|p| normal.dot(&(p - a)));
        for (p, height) in line.into_iter().zip(heights) {
            let foot = p - normal * height;
            if over(foot, corners, normal) {
                try_this([p, foot]);
            }
        }
        if heights[0] * heights[1] < 0.0 {
            let through = line[0] + (line[1] - line[0]) * (heights[0] / (heights[0] - heights[1]));
            if over(through, corners, normal) {
                return [through; 2];
            }
        }
    }
    best
}

/// Whether a point of a triangle's plane lies in the triangle.
fn over(p: Point, corners: &[Point; 3], normal: Point) -> bool {
    (0..3).all(|i| {
        let (a, b) = (corners[i], corners[(i + 1) % 3]);
        (b - a).cross(&(p - a)).dot(&normal) >= 0.0
    })
}

/// The smallest gap between bars (and a plate between them) and a shape, if it is less than `within`. Of the witnesses
/// `on_ring` is on the bars.
///
/// A plate's edges are among the bars, so of a plate against anything with edges only those edges are left to be looked at.
pub fn apart<'a, 'b>(ours: impl Into<Few<'b>>, shape: impl Into<Shape<'a>>, within: f64) -> Option<Nearest> {
    let (ours, shape) = (ours.into(), shape.into());
    let mut best: Option<Nearest> = None;
    for core in ours.bars.iter().map(Core::Bar).chain(ours.plate.map(Core::Plate)) {
        let least = best.map_or(within, |b| b.gap);
        let found = match shape {
            Shape::Few(others) => of_few(&core, &others, least),
            Shape::Solid(solid) => match (&core, &solid.skin) {
                (Core::Bar(bar), _) if solid.holds(bar.a) => of_solid(&core, solid, f64::INFINITY)
                    .map(|n| if n.gap > -bar.radius { swallowed(bar, &n) } else { n })
                    .filter(|n| n.gap < least),
                (_, Some(skin)) => of_skin(&core, skin, least),
                (_, None) => of_solid(&core, solid, least),
            },
        };
        best = found.or(best);
    }
    best
}

/// What is measured against a shape: the axis of a bar, or a plate's middle plane, each grown by its radius.
enum Core<'a> {
    Bar(&'a Bar),
    Plate(&'a Facet),
}

impl Core<'_> {
    fn radius(&self) -> f64 {
        match self {
            Self::Bar(bar) => bar.radius,
            Self::Plate(plate) => plate.radius,
        }
    }

    /// Where it and a line are nearest: a place on each; and a way out where they meet.
    fn to_line(&self, line: [Point; 2]) -> ([Point; 2], Point) {
        match self {
            Self::Bar(bar) => (segments([bar.a, bar.b], line), (bar.b - bar.a).cross(&(line[1] - line[0]))),
            Self::Plate(plate) => {
                let [on_line, on_plate] = segment_triangle(line, &plate.corners);
                ([on_plate, on_line], normal(&plate.corners))
            }
        }
    }

    /// The same of a triangle; of a plate against it the triangle's edges are looked at apart.
    fn to_triangle(&self, corners: &[Point; 3]) -> Option<([Point; 2], Point)> {
        match self {
            Self::Bar(bar) => Some((segment_triangle([bar.a, bar.b], corners), normal(corners))),
            Self::Plate(_) => None,
        }
    }

    /// How far its surface is from a ball, mm.
    fn off_ball(&self, at: Point, radius: f64) -> f64 {
        let [p, q] = match self {
            Self::Bar(bar) => segments([bar.a, bar.b], [at, at]),
            Self::Plate(plate) => segment_triangle([at, at], &plate.corners),
        };
        (p - q).norm() - radius - self.radius()
    }
}

fn normal([a, b, c]: &[Point; 3]) -> Point {
    (b - a).cross(&(c - a))
}

/// The nearest so far, and what is nearer than it.
struct Best {
    radius: f64,
    least: f64,
    found: Option<Nearest>,
}

impl Best {
    fn new(core: &Core, within: f64) -> Self {
        Self { radius: core.radius(), least: within, found: None }
    }

    /// Looks at something grown by a radius.
    fn look(&mut self, (at, aside): ([Point; 2], Point), radius: f64) {
        let gap = (at[1] - at[0]).norm() - self.radius - radius;
        if gap < self.least {
            self.least = gap;
            self.found = Some(told(at, [self.radius, radius], aside));
        }
    }
}

fn of_few(core: &Core, others: &Few, within: f64) -> Option<Nearest> {
    let mut best = Best::new(core, within);
    for other in others.bars {
        best.look(core.to_line([other.a, other.b]), other.radius);
    }
    if let Some(plate) = others.plate
        && let Some(at) = core.to_triangle(&plate.corners)
    {
        best.look(at, plate.radius);
    }
    best.found
}

/// A gap from the nearest places of two cores that are grown by their radii. `aside` is a way out where the cores meet.
fn told([p, q]: [Point; 2], [one, other]: [f64; 2], aside: Point) -> Nearest {
    let distance = (q - p).norm();
    let way = (q - p).try_normalize(1e-9).or_else(|| aside.try_normalize(1e-9)).unwrap_or_else(Vector3::z);
    Nearest { gap: distance - one - other, on_solid: q - way * other, on_ring: p + way * one }
}

/// The gap of a bar whose axis lies within a closed solid, from that of its axis to the surface.
fn swallowed(bar: &Bar, to_surface: &Nearest) -> Nearest {
    let distance = to_surface.gap + bar.radius;
    let way = (to_surface.on_solid - to_surface.on_ring) * to_surface.gap.signum();
    let way = way.try_normalize(1e-9).unwrap_or_else(Vector3::z);
    // From the axis the surface lies along `way`: the far side of the bar is the last to come out there.
    let axis = to_surface.on_solid - way * distance;
    Nearest { gap: -distance - bar.radius, on_solid: to_surface.on_solid, on_ring: axis - way * bar.radius }
}

/// Deeper than any tree of four thousand million pieces.
const DEEPEST: usize = 64;

fn of_solid(core: &Core, solid: &Solid, within: f64) -> Option<Nearest> {
    let tree = &solid.tree;
    let away = |node: &Node| core.off_ball(node.centre, node.reach);
    let mut best = Best::new(core, within);
    let root: &Node = tree.nodes.last()?;
    let mut waiting = ArrayVec::<_, DEEPEST>::new();
    waiting.push((away(root), root));
    while let Some((at_least, node)) = waiting.pop() {
        if at_least >= best.least {
            continue;
        }
        match node.holds {
            Holds::Pieces(from, to) => {
                for piece in &tree.pieces[from as usize..to as usize] {
                    match piece {
                        Piece::Bar(other) => best.look(core.to_line([other.a, other.b]), other.radius),
                        Piece::Facet(Facet { corners, radius }) => {
                            if let Some(at) = core.to_triangle(corners) {
                                best.look(at, *radius);
                            }
                        }
                    }
                }
            }
            Holds::Nodes(one, other) => {
                let [one, other] = [one, other].map(|i| &tree.nodes[i as usize]).map(|node| (away(node), node));
                // The nearer is looked at first: it goes on last.
                waiting.extend(if one.0 < other.0 { [other, one] } else { [one, other] });
            }
        }
    }
    best.found
}

/// A scanned skin is looked at by the spheres and slabs of its patches.
fn of_skin(core: &Core, skin: &Skin, within: f64) -> Option<Nearest> {
    let ends = match core {
        Core::Bar(bar) => [bar.a, bar.b, bar.b],
        Core::Plate(plate) => plate.corners,
    };
    let away = |patch: &Patch| {
        let heights = ends.map(|end| (end - patch.centre).dot(&patch.normal));
        let over = heights.into_iter().fold(f64::INFINITY, f64::min) - patch.slab[1];
        let under = patch.slab[0] - heights.into_iter().fold(f64::NEG_INFINITY, f64::max);
        core.off_ball(patch.centre, patch.reach).max(over.max(under) - core.radius())
    };
    let mut best = Best::new(core, within);
    let mut waiting = ArrayVec::<_, DEEPEST>::new();
    waiting.push((away(skin.patches.first()?), 0usize));
    while let Some((at_least, at)) = waiting.pop() {
        if at_least >= best.least {
            continue;
        }
        let patch = &skin.patches[at];
        if patch.second > 0 {
            let [one, other] = [at + 1, at + patch.second as usize].map(|i| (away(&skin.patches[i]), i));
            waiting.extend(if one.0 < other.0 { [other, one] } else { [one, other] });
            continue;
        }
        for index in patch.triangles[0] as usize..patch.triangles[1] as usize {
            let [a, b, c] = skin.triangle(index);
            match core.to_triangle(&[a, b, c]) {
                Some(at) => best.look(at, 0.0),
                None => [[a, b], [b, c], [c, a]].into_iter().for_each(|edge| best.look(core.to_line(edge), 0.0)),
            }
        }
    }
    best.found
}

#[cfg(test)]
mod tests {
    use super::*;

    fn p(x: f64, y: f64, z: f64) -> Point {
        Vector3::new(x, y, z)
    }

    fn gap(a: Bar, b: Bar) -> f64 {
        apart(&[a], &[b][..], f64::INFINITY).unwrap().gap
    }

    #[test]
    fn bars_that_cross_run_alike_or_stand_end_to_end_have_a_formula() {
        let bar = |a, b, radius| Bar { a, b, radius };
        let along = bar(p(-100.0, 0.0, 0.0), p(100.0, 0.0, 0.0), 10.0);
        // Crossing 50 above.
        assert_eq!(gap(along, bar(p(20.0, -90.0, 50.0), p(20.0, 90.0, 50.0), 15.0)), 25.0);
        // Side by side, 40 away, and overlapping only in part of their length.
        assert_eq!(gap(along, bar(p(50.0, 40.0, 0.0), p(300.0, 40.0, 0.0), 5.0)), 25.0);
        // End to end.
        assert_eq!(gap(along, bar(p(130.0, 0.0, 0.0), p(200.0, 0.0, 0.0), 5.0)), 15.0);
        // A corner away: 3, 4, 5.
        assert_eq!(gap(along, bar(p(130.0, 40.0, 0.0), p(130.0, 90.0, 0.0), 5.0)), 35.0);
        // Balls.
        assert_eq!(gap(along, bar(p(0.0, 0.0, 30.0), p(0.0, 0.0, 30.0), 17.0)), 3.0);
        // Through each other: the radii's sum is how deep.
        assert_eq!(gap(along, bar(p(0.0, -50.0, 0.0), p(0.0, 50.0, 0.0), 15.0)), -25.0);
    }

    #[test]
    fn a_line_meets_a_triangle_inside_at_an_edge_or_under_an_end() {
        let corners = [p(0.0, 0.0, 0.0), p(100.0, 0.0, 0.0), p(0.0, 100.0, 0.0)];
        let distance = |a, b| {
            let [x, y] = segment_triangle([a, b], &corners);
            (x - y).norm()
        };
        assert_eq!(distance(p(20.0, 20.0, -5.0), p(20.0, 20.0, 30.0)), 0.0);
        assert_eq!(distance(p(20.0, 20.0, 7.0), p(30.0, 20.0, 90.0)), 7.0);
        // Level over it, both ends beyond its edges.
        assert_eq!(distance(p(-50.0, 20.0, 4.0), p(200.0, 20.0, 4.0)), 4.0);
        // Past an edge.
        assert_eq!(distance(p(30.0, -3.0, -40.0), p(30.0, -3.0, 40.0)), 3.0);
    }

    #[test]
    fn a_bar_within_a_closed_solid_is_as_deep_as_the_way_out() {
        let corner = |x: f64, y: f64, z: f64| p(x * 100.0, y * 100.0, z * 100.0);
        let mut facets = Vec::new();
        for z in [-1.0, 1.0] {
            facets.extend(Solid::quad(
                [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)].map(|(x, y)| corner(x, y, z)),
                0.0,
            ));
            facets.extend(Solid::quad(
                [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)].map(|(x, y)| corner(x, z, y)),
                0.0,
            ));
            facets.extend(Solid::quad(
                [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)].map(|(x, y)| corner(z, x, y)),
                0.0,
            ));
        }
        let solid = Solid::new(Vec::new(), facets);
        let deep = |a, b| {
            let n = apart(&[Bar { a, b, radius: 5.0 }], &solid, f64::INFINITY).unwrap();
            assert!(((n.on_solid - n.on_ring).norm() - n.gap.abs()).abs() < 1e-9, "{n:?}");
            n.gap
        };
        assert_eq!(deep(p(-30.0, 0.0, 60.0), p(30.0, 0.0, 60.0)), -45.0);
        // Half out: its axis goes through the surface.
        assert_eq!(deep(p(0.0, 0.0, 60.0), p(0.0, 0.0, 160.0)), -5.0);
        // Just under the surface, the bar showing.
        assert_eq!(deep(p(-30.0, 0.0, 98.0), p(30.0, 0.0, 98.0)), -7.0);
        assert_eq!(deep(p(-30.0, 0.0, 103.0), p(30.0, 0.0, 103.0)), -2.0);
        assert_eq!(deep(p(-30.0, 0.0, 120.0), p(30.0, 0.0, 120.0)), 15.0);
    }
}
