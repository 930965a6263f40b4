//! The smallest gap between a ring and a solid, by branch and bound.
//!
//! On a cell (a piece of a bar's axis or of a facet) around c, the signed distance f to a convex body of revolution is
//! bounded from below in two ways:
//!
//! - it changes by at most one millimetre per millimetre: f(x) >= f(c) - |x - c|;
//! - in the half-plane (a, r) it is convex and its slope along r is at least -1, so f + r is convex and grows with r,
//!   and hence convex in space; r itself lies above its tangent by at most e^2 / 2 r_min, where e is how far x stands
//!   off around the circumference. Together: f(x) >= f(c) + slope . (x - c) - e^2 / (2 r_min).
//!
//! The second bound is concave over the cell, so its least value is at a corner. It closes in with the square of the
//! cell's size, which is why a few dozen cells prove a gap to a thousandth of a millimetre.

use nalgebra::Vector3;

use super::profile::Profile;
use super::ring::PlacedRing;
use super::solid::{Bar, Facet};

/// A gap found by [`nearest`] is at most this much larger than the true one, mm.
pub const PROVEN: f64 = 1e-3;

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

/// The smallest gap between a ring and a set of bars and facets, if it is less than `within`.
///
/// Proven to [`PROVEN`]: see the head of this file.
pub fn nearest(ring: &PlacedRing, bars: &[Bar], facets: &[Facet], within: f64) -> Option<Nearest> {
    let mut best: Option<Found> = None;
    let mut least = within;
    for profile in &ring.ring.profiles {
        let search = Search { ring, profile };
        for bar in bars {
            search.run(Cell { corners: [bar.a, bar.b] }, bar.radius, &mut least, &mut best);
        }
        for facet in facets {
            search.run(Cell { corners: facet.corners }, facet.radius, &mut least, &mut best);
        }
    }
    best.map(|f| Nearest {
        gap: f.gap,
        on_solid: f.at - f.slope * f.radius,
        on_ring: f.at - f.slope * (f.gap + f.radius),
    })
}

#[derive(Clone, Copy)]
struct Found {
    gap: f64,
    at: Vector3<f64>,
    slope: Vector3<f64>,
    radius: f64,
}

/// A piece of a bar's axis (two corners) or of a facet (three).
#[derive(Clone, Copy)]
struct Cell<const N: usize> {
    corners: [Vector3<f64>; N],
}

impl<const N: usize> Cell<N> {
    fn centre(&self) -> Vector3<f64> {
        self.corners.iter().sum::<Vector3<f64>>() / N as f64
    }

    /// Halves across its longest side.
    fn halves(&self) -> [Self; 2] {
        let side = |i: usize| (self.corners[i] - self.corners[(i + 1) % N]).norm_squared();
        let mut longest = 0;
        for i in 1..N {
            if side(i) > side(longest) {
                longest = i;
            }
        }
        let (i, j) = (longest, (longest + 1) % N);
        let middle = (self.corners[i] + self.corners[j]) / 2.0;
        let (mut one, mut other) = (*self, *self);
        one.corners[j] = middle;
        other.corners[i] = middle;
        [one, other]
    }
}

struct Search<'a> {
    ring: &'a PlacedRing<'a>,
    profile: &'a Profile,
}

/// Deeper than any search gets: every second halving halves a facet's longest side.
const STACK: usize = 128;

impl Search<'_> {
    /// Lowers `least` (and tells `best` where) as far as the cell allows.
    fn run<const N: usize>(&self, whole: Cell<N>, radius: f64, least: &mut f64, best: &mut Option<Found>) {
        let mut stack = [whole; STACK];
        let mut waiting = 1;
        while waiting > 0 {
            waiting -= 1;
            let cell = stack[waiting];
            let (bound, corner) = self.look(&cell, radius, least, best);
            let worth_it = |bound: f64, least: f64| bound < least - PROVEN;
            if !worth_it(bound, *least) || waiting + 2 > STACK {
                continue;
            }
            // Where the bound is least is the likeliest place: a good value found early spares the rest.
            self.note(corner, radius, least, best);
            if !worth_it(bound, *least) {
                continue;
            }
            let [one, other] = cell.halves();
            let nearer = |c: &Cell<N>| (c.centre() - corner).norm_squared();
            let (first, then) = if nearer(&one) < nearer(&other) { (one, other) } else { (other, one) };
            stack[waiting] = then;
            stack[waiting + 1] = first;
            waiting += 2;
        }
    }

    /// Evaluates a cell's centre: the least gap that the cell can hold, and the corner where the bound is least.
    fn look<const N: usize>(
        &self,
        cell: &Cell<N>,
        radius: f64,
        least: &mut f64,
        best: &mut Option<Found>,
    ) -> (f64, Vector3<f64>) {
        let centre = cell.centre();
        let (value, slope, r, around) = self.note(centre, radius, least, best);
        let reach = cell.corners.iter().map(|c| (c - centre).norm_squared()).fold(0.0, f64::max).sqrt();
        let r_min = (r - reach).max(1e-6);
        let (mut bound, mut corner) = (f64::INFINITY, centre);
        for c in &cell.corners {
            let off = c - centre;
            let e = off.dot(&around);
            let here = value + slope.dot(&off) - e * e / (2.0 * r_min);
            if here < bound {
                (bound, corner) = (here, *c);
            }
        }
        (bound.max(value - reach), corner)
    }

    /// Evaluates a point and keeps it if it is the best so far. Returns the gap, its slope, the point's distance from
    /// the axis and the direction around the circumference there.
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
        (gap, slope, r, self.ring.axis.cross(&radial))
    }
}
