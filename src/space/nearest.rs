//! The smallest gap between a ring and a solid, with a proven error.
//!
//! Outside a ring its signed distance f has a slope everywhere but where two parts of the ring are equally near, and
//! there f is no local minimum. So over a facet that does not reach into the ring, f is least on an edge, or where its
//! slope is square to the facet: at the foot of a point of the ring that faces the facet squarely. A body of revolution
//! has few such points and they are known in closed form ([`Search::face`]). That leaves the edges, and the axes of
//! bars, which are lines; and for a facet that does reach into the ring, how deep.
//!
//! Those are searched by branch and bound, on these bounds from below:
//!
//! - f changes by at most one millimetre per millimetre;
//! - in the half-plane (a, r) it is convex and its slope along r is at least -1, so f + r is convex and grows with r,
//!   and hence convex in space. What r itself does is known: along a line it is a hyperbola, or a corner where the line
//!   meets the axis. Where r is large enough that f nowhere falls with it ([`Profile::full`]) f is convex as it stands.
//!
//! On a piece of a line the tangents of f + r at its two ends meet in a lower bound, less r there, and where they meet is
//! the next place to look. On a piece of a facet the tangent of f + r at its middle, less r, is the bound:
//! concave, and so least at a corner. Both close in with the square of the piece's size, which is why a few looks prove a gap to a thousandth of a millimetre.

use arrayvec::ArrayVec;
use nalgebra::{Vector2, Vector3};

use super::profile::Profile;
use super::ring::PlacedRing;
use super::skin::{Patch, Skin};
use super::solid::{Bar, Facet, Solid};
use super::tree::{Holds, Node, Piece, Tree};

/// A gap found by [`nearest`] is at most this much larger than the true one, mm.
pub const PROVEN: f64 = 1e-3;
/// An overlap is found to this, mm, so that every answer prints the same tenth of it. Deep inside a ring lie ridges as far
/// from one face as from another, along which no place is deeper than the next: proving which is to less would cost much
/// and tell a fabricator nothing.
pub const PROVEN_DEPTH: f64 = 5e-3;

/// What a gap found by [`nearest`] may be too large by, mm.
pub fn known_to(gap: f64) -> f64 {
    if gap < 0.0 { PROVEN_DEPTH } else { PROVEN }
}

/// The smallest gap between a ring and a solid, and where.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Nearest {
    /// Signed: negative is how deep they overlap, mm.
    pub gap: f64,
    /// On the solid's surface, mm.
    pub on_solid: Vector3<f64>,
    /// On the ring's surface, mm.
    pub on_ring: Vector3<f64>,
}

/// What is measured against a ring.
#[derive(Debug, Clone, Copy)]
pub enum Shape<'a> {
    /// A few bars, and a plate perhaps.
    Few(Few<'a>),
    /// A solid.
    Solid(&'a Solid),
}

impl<'a> From<&'a Solid> for Shape<'a> {
    fn from(solid: &'a Solid) -> Self {
        Self::Solid(solid)
    }
}

/// A few bars, and a plate between them: its edges are among the bars, or within them.
#[derive(Debug, Clone, Copy)]
pub struct Few<'a> {
    /// The bars.
    pub bars: &'a [Bar],
    /// The plate.
    pub plate: Option<&'a Facet>,
}

impl<'a> From<&'a [Bar]> for Few<'a> {
    fn from(bars: &'a [Bar]) -> Self {
        Self { bars, plate: None }
    }
}

impl<'a, const N: usize> From<&'a [Bar; N]> for Few<'a> {
    fn from(bars: &'a [Bar; N]) -> Self {
        Self { bars, plate: None }
    }
}

impl<'a> From<&'a Vec<Bar>> for Few<'a> {
    fn from(bars: &'a Vec<Bar>) -> Self {
        Self { bars, plate: None }
    }
}

impl<'a> From<Few<'a>> for Shape<'a> {
    fn from(few: Few<'a>) -> Self {
        Self::Few(few)
    }
}

impl<'a> From<&'a [Bar]> for Shape<'a> {
    fn from(bars: &'a [Bar]) -> Self {
        Self::Few(bars.into())
    }
}

/// The smallest gap between a ring and a shape, if it is less than `within`.
///
/// Proven to [`PROVEN`], and overlaps to [`PROVEN_DEPTH`]: see the head of this file.
pub fn nearest<'a>(ring: &PlacedRing, shape: impl Into<Shape<'a>>, within: f64) -> Option<Nearest> {
    let (mut least, mut best) = (within, None);
    match shape.into() {
        Shape::Few(Few { bars, plate }) => {
            bars.iter().for_each(|bar| of_bar(ring, bar, &mut least, &mut best));
            plate.into_iter().for_each(|plate| of_facet(ring, plate, &mut least, &mut best));
        }
        Shape::Solid(solid) => {
            of_tree(ring, &solid.tree, &mut least, &mut best);
            solid.skin.iter().for_each(|skin| of_skin(ring, skin, &mut least, &mut best));
        }
    }
    best.map(|f| Nearest {
        gap: f.gap,
        on_solid: f.at - f.slope * f.radius,
        on_ring: f.at - f.slope * (f.gap + f.radius),
    })
}

/// Deeper than any tree of four thousand million pieces.
const DEEPEST: usize = 64;

fn of_tree(ring: &PlacedRing, tree: &Tree, least: &mut f64, best: &mut Option<Found>) {
    let bound = |node: &Node| {
        let (a, r, _) = ring.wheel_frame(node.centre);
        ring.ring.hull.distance(a, r).value - node.reach
    };
    let Some(root) = tree.nodes.last() else { return };
    let mut waiting = ArrayVec::<_, DEEPEST>::new();
    waiting.push((bound(root), root));
    while let Some((at_least, node)) = waiting.pop() {
        if at_least >= *least {
            continue;
        }
        match node.holds {
            Holds::Pieces(from, to) => {
                for piece in &tree.pieces[from as usize..to as usize] {
                    match piece {
                        Piece::Bar(bar) => of_bar(ring, bar, least, best),
                        Piece::Facet(facet) => of_facet(ring, facet, least, best),
                    }
                }
            }
            Holds::Nodes(one, other) => {
                let [one, other] = [one, other].map(|i| &tree.nodes[i as usize]).map(|node| (bound(node), node));
                // The nearer is looked at first: it goes on last.
                waiting.extend(if one.0 < other.0 { [other, one] } else { [one, other] });
            }
        }
    }
}

/// No gap to a patch of a skin is less than this: by its sphere, or by its slab and the ring's slope at its middle, with
/// the bound for a piece of a facet that stands at the head of this file.
fn of_patch(ring: &PlacedRing, centre: Vector3<f64>, reach: f64, normal: Vector3<f64>, slab: [f64; 2]) -> f64 {
    let (a, r, radial) = ring.wheel_frame(centre);
    let hull = &ring.ring.hull;
    let d = hull.distance(a, r);
    let slope = ring.axis * d.slope.x + radial * d.slope.y;
    let across = slope.dot(&normal);
    let square = f64::min(across * slab[0], across * slab[1]);
    let along = (1.0 - across * across).max(0.0).sqrt();
    let r_min = (r - reach).max(1e-6);
    let bends = if r_min >= hull.full { 0.0 } else { 0.5 / r_min };
    d.value + f64::max(-reach, square - along * reach - reach * reach * bends)
}

fn of_skin(ring: &PlacedRing, skin: &Skin, least: &mut f64, best: &mut Option<Found>) {
    let bound = |p: &Patch| of_patch(ring, p.centre, p.reach, p.normal, p.slab);
    let Some(whole) = skin.patches.first() else { return };
    let mut waiting = ArrayVec::<_, DEEPEST>::new();
    waiting.push((bound(whole), 0usize));
    while let Some((at_least, at)) = waiting.pop() {
        if at_least >= *least - known_to(*least) {
            continue;
        }
        let patch = &skin.patches[at];
        if patch.second > 0 {
            let [one, other] = [at + 1, at + patch.second as usize].map(|i| (bound(&skin.patches[i]), i));
            waiting.extend(if one.0 < other.0 { [other, one] } else { [one, other] });
            continue;
        }
        for index in patch.triangles[0] as usize..patch.triangles[1] as usize {
            of_triangle(ring, skin.triangle(index), skin.sides[index], least, best);
        }
    }
}

/// Of a skin's triangle: its inside, and those of its sides that are looked at with it.
fn of_triangle(ring: &PlacedRing, corners: [Vector3<f64>; 3], sides: u8, least: &mut f64, best: &mut Option<Found>) {
    let [a, b, c] = corners;
    let centre = (a + b + c) / 3.0;
    let reach = corners.iter().map(|p| (p - centre).norm_squared()).fold(0.0, f64::max).sqrt();
    let normal = (b - a).cross(&(c - a)).try_normalize(0.0).unwrap_or_else(Vector3::z);
    if of_patch(ring, centre, reach, normal, [0.0; 2]) >= *least - known_to(*least) {
        return;
    }
    for side in 0..3 {
        if sides & 1 << side != 0 {
            of_bar(ring, &Bar { a: corners[side], b: corners[(side + 1) % 3], radius: 0.0 }, least, best);
        }
    }
    of_facet(ring, &Facet { corners, radius: 0.0 }, least, best);
}

fn of_bar(ring: &PlacedRing, bar: &Bar, least: &mut f64, best: &mut Option<Found>) {
    for profile in &ring.ring.profiles {
        Search { ring, profile }.line(bar, least, best);
    }
}

/// Of a facet's inside: its edges are looked at apart.
fn of_facet(ring: &PlacedRing, facet: &Facet, least: &mut f64, best: &mut Option<Found>) {
    let cell = Cell { corners: facet.corners };
    let centre = cell.centre();
    let reach = facet.radius + facet.corners.iter().map(|p| (p - centre).norm_squared()).fold(0.0, f64::max).sqrt();
    let (a, r, _) = ring.wheel_frame(centre);
    let at_least = ring.ring.hull.distance(a, r).value - reach;
    if at_least >= *least - known_to(*least) {
        return;
    }
    for profile in &ring.ring.profiles {
        let search = Search { ring, profile };
        search.face(facet, least, best);
        // Deeper than on its edges and in its squarely faced places it can only be where it reaches into the ring.
        let reaching_in = least.min(-facet.radius);
        if at_least.max(-profile.deepest - facet.radius) < reaching_in - known_to(reaching_in) {
            let mut deepest = reaching_in;
            search.facet(cell, facet.radius, &mut deepest, best);
            if deepest < reaching_in {
                *least = deepest;
            }
        }
    }
}

#[derive(Clone, Copy)]
struct Found {
    gap: f64,
    at: Vector3<f64>,
    slope: Vector3<f64>,
    radius: f64,
}

/// A piece of a facet.
#[derive(Clone, Copy)]
struct Cell {
    corners: [Vector3<f64>; 3],
}

impl Cell {
    fn centre(&self) -> Vector3<f64> {
        self.corners.iter().sum::<Vector3<f64>>() / 3.0
    }

    /// Halves across its longest side.
    fn halves(&self) -> [Self; 2] {
        let side = |i: usize| (self.corners[i] - self.corners[(i + 1) % 3]).norm_squared();
        let mut longest = 0;
        for i in 1..3 {
            if side(i) > side(longest) {
                longest = i;
            }
        }
        let (i, j) = (longest, (longest + 1) % 3);
        let middle = (self.corners[i] + self.corners[j]) / 2.0;
        let (mut one, mut other) = (*self, *self);
        one.corners[j] = middle;
        other.corners[i] = middle;
        [one, other]
    }
}

/// A place on a line: how far along, the gap there and the distance from the axis, and their slopes along the line.
#[derive(Clone, Copy)]
struct Spot {
    s: f64,
    gap: f64,
    slope: f64,
    r: f64,
    r_slope: f64,
}

struct Search<'a> {
    ring: &'a PlacedRing<'a>,
    profile: &'a Profile,
}

/// Deeper than any search gets: every second halving halves a facet's longest side.
const STACK: usize = 128;

impl Search<'_> {
    /// Lowers `least` (and tells `best` where) as far as a bar's axis allows.
    fn line(&self, bar: &Bar, least: &mut f64, best: &mut Option<Found>) {
        let length = (bar.b - bar.a).norm();
        if length < 1e-9 {
            self.note(bar.a, bar.radius, least, best);
            return;
        }
        let along = (bar.b - bar.a) / length;
        // How the line passes the axis: where, at what distance, and with what part of its direction square to it.
        let from = bar.a - self.ring.centre;
        let square = |v: Vector3<f64>| v - self.ring.axis * v.dot(&self.ring.axis);
        let (start, part) = (square(from), square(along));
        let part2 = part.norm_squared();
        let passes = if part2 > 1e-12 { -start.dot(&part) / part2 } else { 0.0 };
        let pass2 = (start + part * passes).norm_squared();
        let from_axis = |s: f64| (pass2 + part2 * (s - passes) * (s - passes)).sqrt();
        // Where f may fall with r it is f + r that is convex.
        let lifted = |from: f64, to: f64| part2 >= 1e-12 && from_axis(passes.clamp(from, to)) < self.profile.full;
        let mut look = |s: f64, least: &mut f64| {
            let (gap, slope, r, radial) = self.note(bar.a + along * s, bar.radius, least, best);
            Spot { s, gap, slope: slope.dot(&along), r, r_slope: radial.dot(&along) }
        };
        let mut waiting = ArrayVec::<_, STACK>::new();
        waiting.push([look(0.0, least), look(length, least)]);
        while let Some([p, q]) = waiting.pop() {
            let run = q.s - p.s;
            let lift = if lifted(p.s, q.s) { 1.0 } else { 0.0 };
            let [(p_value, p_slope), (q_value, q_slope)] =
                [&p, &q].map(|spot| (spot.gap + lift * spot.r, spot.slope + lift * spot.r_slope));
            // Convex and rising from one end, or falling to the other: no place between is less than that end.
            if lift == 0.0 && (p_slope >= 0.0 || q_slope <= 0.0) || waiting.remaining_capacity() < 2 {
                continue;
            }
            let opening = q_slope - p_slope;
            let meet = if opening > 1e-9 { (p_value - q_value + q_slope * run) / opening } else { run / 2.0 };
            // Too near to an end a look would tell little.
            let meet = meet.clamp(0.1 * run, 0.9 * run);
            // A tangent less r is concave, as r is convex: least at an end of its part, and the outer ends are known.
            let tangents = (p_value + p_slope * meet).min(q_value - q_slope * (run - meet));
            let bound = tangents - lift * from_axis(p.s + meet);
            let bound = bound.max((p.gap + q.gap - run) / 2.0).max(-self.profile.deepest - bar.radius);
            if bound >= *least - known_to(*least) {
                continue;
            }
            let middle = look(p.s + meet, least);
            waiting.extend([[p, middle], [middle, q]]);
        }
    }

    /// Lowers `least` (and tells `best` where) as far as a facet's inside allows.
    fn facet(&self, whole: Cell, radius: f64, least: &mut f64, best: &mut Option<Found>) {
        let mut waiting = ArrayVec::<_, STACK>::new();
        waiting.push(whole);
        let worth_it = |bound: f64, least: f64| bound < least - known_to(least);
        while let Some(cell) = waiting.pop() {
            let (bound, corner) = self.look(&cell, radius, least, best);
            if !worth_it(bound, *least) || waiting.remaining_capacity() < 2 {
                continue;
            }
            // Where the bound is least is the likeliest place: a good value found early spares the rest.
            self.note(corner, radius, least, best);
            if !worth_it(bound, *least) {
                continue;
            }
            let [one, other] = cell.halves();
            let nearer = |c: &Cell| (c.centre() - corner).norm_squared();
            let (first, then) = if nearer(&one) < nearer(&other) { (one, other) } else { (other, one) };
            waiting.extend([then, first]);
        }
    }

    /// Looks at the places of a facet that a point of the ring faces squarely.
    ///
    /// There the ring's outward normal is the facet's, either way up, on the side of the ring turned towards it or on
    /// the far side, seen from within the hollow.
    fn face(&self, facet: &Facet, least: &mut f64, best: &mut Option<Found>) {
        let [a, b, c] = facet.corners;
        let Some(normal) = (b - a).cross(&(c - a)).try_normalize(1e-12) else { return };
        for n in [normal, -normal] {
            let across = n.dot(&self.ring.axis);
            let square = n - self.ring.axis * across;
            let out = square.norm();
            // Facing along the axis every direction around it is as square as the next: the facet is then met either
            // on an edge or straight along the axis from its own middle.
            let radial = if out > 1e-9 { square / out } else { self.ring.wheel_frame((a + b + c) / 3.0).2 };
            for (towards, radial) in [(out, radial), (-out, -radial)] {
                for [foot_a, foot_r] in self.feet(across, towards) {
                    let foot = self.ring.centre + self.ring.axis * foot_a + radial * foot_r;
                    let at = foot + n * n.dot(&(a - foot));
                    if inside(at, &facet.corners, normal) {
                        self.note(at, facet.radius, least, best);
                    }
                }
            }
        }
    }

    /// Points of the profile, (a, r) from the wheel's centre, whose outward normal has these parts along a and r.
    fn feet(&self, along: f64, out: f64) -> [[f64; 2]; 2] {
        let side = if along < 0.0 { -1.0 } else { 1.0 };
        self.profile.facing(Vector2::new(along.abs(), out)).map(|p| [self.profile.centre + side * p.x, p.y])
    }

    /// Evaluates a cell's centre: the least gap that the cell can hold, and the corner where the bound is least.
    fn look(&self, cell: &Cell, radius: f64, least: &mut f64, best: &mut Option<Found>) -> (f64, Vector3<f64>) {
        let centre = cell.centre();
        let (value, slope, r, radial) = self.note(centre, radius, least, best);
        let reach = cell.corners.iter().map(|c| (c - centre).norm_squared()).fold(0.0, f64::max).sqrt();
        let r_min = r - reach;
        let lifted = r_min < self.profile.full;
        let (mut bound, mut corner) = (f64::INFINITY, centre);
        for c in &cell.corners {
            let off = c - centre;
            // By how much r is above its own tangent: all of it where the cell reaches over the axis.
            let lift = if lifted { self.ring.wheel_frame(*c).1 - r - radial.dot(&off) } else { 0.0 };
            let here = value + slope.dot(&off) - lift;
            if here < bound {
                (bound, corner) = (here, *c);
            }
        }
        (bound.max(value - reach).max(-self.profile.deepest - radius), corner)
    }

    /// Evaluates a point and keeps it if it is the best so far. Returns the gap, its slope, the point's distance from
    /// the axis and the direction from the axis to it.
    fn note(
        &self,
        at: Vector3<f64>,
        radius: f64,
        least: &mut f64,
        best: &mut Option<Found>,
    ) -> (f64, Vector3<f64>, f64, Vector3<f64>) {
        let (a, r, radial) = self.ring.wheel_frame(at);
        let d = self.profile.distance(a, r);
        let slope = self.ring.axis * d.slope.x + radial * d.slope.y;
        let gap = d.value - radius;
        if gap < *least {
            *least = gap;
            *best = Some(Found { gap, at, slope, radius });
        }
        (gap, slope, r, radial)
    }
}

/// Whether a point of a triangle's plane lies in the triangle.
fn inside(p: Vector3<f64>, corners: &[Vector3<f64>; 3], normal: Vector3<f64>) -> bool {
    (0..3).all(|i| {
        let (a, b) = (corners[i], corners[(i + 1) % 3]);
        (b - a).cross(&(p - a)).dot(&normal) >= 0.0
    })
}
