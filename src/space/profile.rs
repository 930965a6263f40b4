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
        /// End, mm.
        to: Vector2<f64>,
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
    /// Signed distance from a point at (a, r), a measured from the wheel's centre plane.
    pub fn distance(&self, a: f64, r: f64) -> Distance {
        let mirrored = a < self.centre;
        let q = Vector2::new((a - self.centre).abs(), r);
        let mut best = f64::INFINITY;
        let mut signed = Distance { value: f64::INFINITY, slope: Vector2::x() };
        for edge in &self.edges {
            let (foot, normal) = edge.foot(q);
            let away = q - foot;
            let squared = away.norm_squared();
            let outside = away.dot(&normal) > 0.0;
            // At a corner two edges share their foot: outside either is outside.
            let tie = squared <= best + 1e-12 && outside && signed.value <= 0.0;
            if squared < best - 1e-12 || tie {
                best = squared.min(best);
                let length = squared.sqrt();
                let slope = match (length > 1e-9, outside) {
                    (false, _) => normal,
                    (true, true) => away / length,
                    (true, false) => away / -length,
                };
                signed = Distance { value: if outside { length } else { -length }, slope };
            }
        }
        if mirrored {
            signed.slope.x = -signed.slope.x;
        }
        signed
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

impl Edge {
    /// The nearest point of the edge, and the outward normal there.
    fn foot(&self, q: Vector2<f64>) -> (Vector2<f64>, Vector2<f64>) {
        match *self {
            Self::Line { from, to } => {
                let along = to - from;
                let t = ((q - from).dot(&along) / along.norm_squared()).clamp(0.0, 1.0);
                (from + along * t, Vector2::new(along.y, -along.x).normalize())
            }
            Self::Arc { centre, radius, from, to } => {
                let out = q - centre;
                let n = if from.perp(&out) >= 0.0 && out.perp(&to) >= 0.0 && out != Vector2::zeros() {
                    out.normalize()
                } else if out.dot(&from) > out.dot(&to) {
                    from
                } else {
                    to
                };
                (centre + n * radius, n)
            }
        }
    }

    /// Points along the edge, ends included; a line has no more than its ends.
    fn points(&self, arc_steps: usize) -> Vec<Vector2<f64>> {
        match *self {
            Self::Line { from, to } => vec![from, to],
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
        let edges = corners.windows(2).map(|w| Edge::Line { from: w[0], to: w[1] }).collect();
        Profile { centre: 10.0, edges }
    }

    #[test]
    fn a_rectangle_measures_as_one() {
        let r = rectangle();
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
