//! Convex half-profiles in the plane through a wheel's axis, and the exact signed distance to them.
//!
//! A profile is symmetric about its own centre plane, so only the half with a >= 0 is kept: a runs along the wheel's
//! axis from that plane, r outward from the axis.

use nalgebra::Vector2;

/// A piece of a profile's outline, counter-clockwise with a to the right and r up, so that outside lies to its right.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Edge {
    /// Straight.
    Line {
        /// Start, mm.
        from: Vector2<f64>,
        /// Unit direction.
        along: Vector2<f64>,
        /// Length, mm.
        length: f64,
    },
    /// Round, less than half a turn, its centre on the inside.
    Arc {
        /// Centre, mm.
        centre: Vector2<f64>,
        /// Radius, mm.
        radius: f64,
        /// Unit normal where it starts.
        from: Vector2<f64>,
        /// Unit normal where it ends.
        to: Vector2<f64>,
    },
}

/// A convex half-profile.
#[derive(Debug, Clone, PartialEq)]
pub struct Profile {
    /// Its centre plane along the wheel's axis, outboard of the wheel's centre plane, mm.
    pub centre: f64,
    /// Its outline from the centre plane inside to the centre plane outside, without the line along the plane itself.
    pub edges: Vec<Edge>,
    /// From this r outwards the signed distance nowhere falls with r, mm: half-way between the innermost and outermost
    /// r, where the outermost edge is nearer than the innermost, and above the place where the profile is widest.
    pub full: f64,
    /// No point of it lies deeper than this, mm.
    pub deepest: f64,
}

/// Signed distance in the half-plane (negative inside) and its slope along a and r.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Distance {
    /// mm.
    pub value: f64,
    /// d(value) / d(a, r): a unit vector away from the outline.
    pub slope: Vector2<f64>,
}

impl Profile {
    /// From its outline: see the fields.
    pub fn new(centre: f64, edges: Vec<Edge>, full: f64) -> Self {
        let r =
            |pick: fn(f64, f64) -> f64, from: f64| edges.iter().flat_map(|e| e.points(2)).map(|p| p.y).fold(from, pick);
        let (mut low, mut high) = (r(f64::min, f64::INFINITY), r(f64::max, 0.0));
        let mut profile = Self { centre, edges, full, deepest: 0.0 };
        // Depth is concave and the same on both sides of the centre plane, so it is greatest in that plane.
        while high - low > 1e-6 {
            let thirds = [low + (high - low) / 3.0, high - (high - low) / 3.0];
            let [below, above] = thirds.map(|r| profile.distance(centre, r).value);
            if below < above { high = thirds[1] } else { low = thirds[0] }
        }
        profile.deepest = 1e-6 - profile.distance(centre, low).value;
        profile
    }

    /// All the places that it takes up when it is shifted by up to `aside` along the axis, each way, and drawn out by up
    /// to `out` from it: its sum with a segment along a and one along r (both mm), which is convex as it is.
    ///
    /// What faces outwards is carried out, what faces inwards stays, and what opens between the two is straight. As far
    /// as the outline goes out towards one direction more than towards its mirrored one inwards, `out` adds to it: so
    /// half of it adds to `full`.
    pub fn stretched(&self, aside: f64, out: f64) -> Self {
        let end = |e: Option<&Edge>, from: bool| {
            let points = e.map_or_else(Vec::new, |e| e.points(1));
            (if from { points.first() } else { points.last() }).copied().unwrap_or_else(Vector2::zeros)
        };
        let (first, last) = (end(self.edges.first(), true), end(self.edges.last(), false));
        let by = Vector2::new(aside, 0.0);
        let rise = Vector2::new(0.0, out);
        let halves: Vec<Edge> = self.edges.iter().flat_map(Edge::at_widest).collect();
        let (inward, outward): (Vec<Edge>, Vec<Edge>) = halves.into_iter().partition(Edge::faces_in);
        let widest = inward.last().map_or(first, |e| end(Some(e), false)) + by;
        let mut edges = Vec::new();
        if aside > 0.0 {
            edges.push(Edge::line(first - Vector2::new(first.x, 0.0), first + by));
        }
        edges.extend(inward.iter().map(|e| e.shifted(by)));
        if out > 0.0 {
            edges.push(Edge::line(widest, widest + rise));
        }
        edges.extend(outward.iter().map(|e| e.shifted(by + rise)));
        if aside > 0.0 {
            edges.push(Edge::line(last + by + rise, last - Vector2::new(last.x, 0.0) + rise));
        }
        Self::new(self.centre, edges, self.full + out / 2.0)
    }

    /// Signed distance from a point at (a, r), a measured from the wheel's centre plane.
    pub fn distance(&self, a: f64, r: f64) -> Distance {
        let q = Vector2::new((a - self.centre).abs(), r);
        let mut best = Distance { value: f64::INFINITY, slope: Vector2::x() };
        for edge in &self.edges {
            let d = edge.distance(q);
            let (nearer, tie) = (d.value.abs() - best.value.abs(), d.value > 0.0 && best.value <= 0.0);
            // At a corner two edges share their nearest point: outside either is outside.
            if nearer < -1e-12 || (nearer < 1e-12 && tie) {
                best = d;
            }
        }
        if a < self.centre {
            best.slope.x = -best.slope.x;
        }
        best
    }

    /// The points of the outline that lie furthest along `normal`: twice the same, or the ends of a line square to it.
    /// On the half with a >= 0, for a normal that does not point to the other.
    pub(super) fn facing(&self, normal: Vector2<f64>) -> [Vector2<f64>; 2] {
        let (mut most, mut ends) = (f64::NEG_INFINITY, [Vector2::zeros(); 2]);
        for point in self.edges.iter().flat_map(|e| e.facing(normal)) {
            let out = normal.dot(&point);
            if out > most + 1e-9 {
                (most, ends) = (out, [point; 2]);
            } else if out > most - 1e-9 {
                ends[1] = point;
            }
        }
        ends
    }

    /// Largest r, mm.
    pub fn radius(&self) -> f64 {
        self.edges.iter().flat_map(|e| e.points(8)).map(|p| p.y).fold(0.0, f64::max)
    }

    /// Largest distance from the wheel's centre, mm.
    pub fn reach(&self) -> f64 {
        let farthest = |p: Vector2<f64>| f64::hypot(p.x + self.centre.abs(), p.y);
        // Chords cut a little off an arc: add the most that eight of them can miss of a quarter turn of 150 mm.
        self.edges.iter().flat_map(|e| e.points(8)).map(farthest).fold(0.0, f64::max) + 1.0
    }

    /// The whole outline as a polyline of (a, r), from the inboard inside around the outside to the outboard inside.
    pub fn outline(&self) -> Vec<[f64; 2]> {
        let half: Vec<_> = self.edges.iter().flat_map(|e| e.points(10)).collect();
        let right = half.iter().map(|p| [p.x + self.centre, p.y]);
        let left = half.iter().rev().map(|p| [self.centre - p.x, p.y]);
        let mut around: Vec<[f64; 2]> = right.chain(left).collect();
        around.dedup_by(|p, q| f64::hypot(p[0] - q[0], p[1] - q[1]) < 1e-9);
        around
    }
}

/// Distance from an edge's end, `away` from which a point lies.
fn from_point(away: Vector2<f64>, outside: bool, normal: Vector2<f64>) -> Distance {
    let length = away.norm();
    if length < 1e-9 {
        return Distance { value: 0.0, slope: normal };
    }
    let signed = if outside { length } else { -length };
    Distance { value: signed, slope: away / signed }
}

impl Edge {
    /// A straight edge between two different points.
    pub fn line(from: Vector2<f64>, to: Vector2<f64>) -> Self {
        let length = (to - from).norm();
        Self::Line { from, along: (to - from) / length, length }
    }

    fn shifted(&self, by: Vector2<f64>) -> Self {
        match *self {
            Self::Line { from, along, length } => Self::Line { from: from + by, along, length },
            Self::Arc { centre, radius, from, to } => Self::Arc { centre: centre + by, radius, from, to },
        }
    }

    /// The edge, cut where its normal points along the axis.
    fn at_widest(&self) -> Vec<Self> {
        match *self {
            Self::Arc { centre, radius, from, to } if from.y < 0.0 && to.y > 0.0 => vec![
                Self::Arc { centre, radius, from, to: Vector2::x() },
                Self::Arc { centre, radius, from: Vector2::x(), to },
            ],
            edge => vec![edge],
        }
    }

    /// Whether it faces the axis, once it is cut at its widest.
    fn faces_in(&self) -> bool {
        match *self {
            Self::Line { along, .. } => along.x > 0.0,
            Self::Arc { from, .. } => from.y < 0.0,
        }
    }

    /// Distance from the edge, negative on its inner side.
    fn distance(&self, q: Vector2<f64>) -> Distance {
        match *self {
            Self::Line { from, along, length } => {
                let off = q - from;
                let (t, out) = (off.dot(&along), along.perp(&off));
                let normal = Vector2::new(along.y, -along.x);
                // `perp` counts to the left of the line, which is inside.
                if (0.0..=length).contains(&t) {
                    return Distance { value: -out, slope: normal };
                }
                let end = if t < 0.0 { off } else { off - along * length };
                from_point(end, -out > 0.0, normal)
            }
            Self::Arc { centre, radius, from, to } => {
                let out = q - centre;
                let length = out.norm();
                if from.perp(&out) >= 0.0 && out.perp(&to) >= 0.0 && length > 1e-9 {
                    return Distance { value: length - radius, slope: out / length };
                }
                let normal = if out.dot(&from) > out.dot(&to) { from } else { to };
                let end = out - normal * radius;
                from_point(end, end.dot(&normal) > 0.0, normal)
            }
        }
    }

    /// The edge's ends, or the point of an arc where `normal` is its own.
    fn facing(&self, normal: Vector2<f64>) -> [Vector2<f64>; 2] {
        match *self {
            Self::Line { from, along, length } => [from, from + along * length],
            Self::Arc { centre, radius, from, to } => {
                let own = from.perp(&normal) >= 0.0 && normal.perp(&to) >= 0.0;
                if own { [centre + normal * radius; 2] } else { [from, to].map(|n| centre + n * radius) }
            }
        }
    }

    /// Points along the edge, ends included; a line has no more than its ends.
    fn points(&self, arc_steps: usize) -> Vec<Vector2<f64>> {
        match *self {
            Self::Line { from, along, length } => vec![from, from + along * length],
            Self::Arc { centre, radius, from, to } => {
                let angle = f64::atan2(from.perp(&to), from.dot(&to));
                let at = |i: usize| {
                    let (s, c) = (angle * i as f64 / arc_steps as f64).sin_cos();
                    centre + Vector2::new(c * from.x - s * from.y, s * from.x + c * from.y) * radius
                };
                (0..=arc_steps).map(at).collect()
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rectangle() -> Profile {
        let p = Vector2::new;
        let corners = [p(0.0, 100.0), p(50.0, 100.0), p(50.0, 120.0), p(0.0, 120.0)];
        let edges = corners.windows(2).map(|w| Edge::line(w[0], w[1])).collect();
        Profile::new(10.0, edges, 110.0)
    }

    #[test]
    fn a_rectangle_measures_as_one() {
        let r = rectangle();
        assert!((r.deepest - 10.0).abs() < 1e-5);
        for (a, radius, value) in [
            (10.0, 130.0, 10.0),
            (10.0, 110.0, -10.0),
            (70.0, 110.0, 10.0),
            (-50.0, 110.0, 10.0),
            (63.0, 124.0, 5.0),
            (-43.0, 96.0, 5.0),
            (58.0, 119.5, -0.5),
            (60.0, 130.0, 10.0),
            (70.0, 120.0, 10.0),
        ] {
            let d = r.distance(a, radius);
            assert!((d.value - value).abs() < 1e-12, "({a}, {radius}): {}", d.value);
            assert!((d.slope.norm() - 1.0).abs() < 1e-12);
        }
    }
}
