//! Where the ends of a cut have to lie so that all that is in the way goes.
//!
//! What is in the way is a set of flat patches of the rail's faces, each between two lines across a strip. A plane clears
//! them if their corners all lie on the side that goes. Of a plane that leans by two slopes those are as many inequalities,
//! linear in its station and the slopes; the plane that takes least is a linear programme in three unknowns.

use nalgebra::{Matrix3, Vector3};

use super::InTheWay;
use crate::car::{CutEnd, Mitre};
use crate::space::rail::{RailRun, SawPlane};

/// What has to go of a rail.
#[derive(Debug, Clone, PartialEq)]
pub struct Ends<'a> {
    /// The rail.
    pub run: &'a RailRun,
    /// Corners of the patches that are in the way, mm.
    pub points: Vec<Vector3<f64>>,
}

/// Inequalities are held to this, mm.
const HELD: f64 = 1e-9;
/// Of two planes the squarer is taken unless it takes this much more, mm.
const WORTH: f64 = 1e-6;

impl InTheWay {
    /// Corners of what is in the way, mm.
    pub fn corners(&self, run: &RailRun) -> [Vector3<f64>; 4] {
        let [[a, b], [c, d]] = self.span.map(|along| self.strip.of(run.across(self.stretch, self.strip.face, along)));
        [a, b, c, d]
    }

    /// From which station to which it is in the way, mm.
    pub fn stations(&self, run: &RailRun) -> [f64; 2] {
        self.span.map(|along| run.station(self.stretch, along))
    }
}

impl Ends<'_> {
    /// The plane that leans so and takes least, of one end. None where nothing is in the way.
    pub fn leaning(&self, end: CutEnd, mitre: Mitre) -> Option<SawPlane> {
        let slope = Vector3::new(1.0, -mitre.up.tan(), -mitre.out.tan());
        let sign = sign(end);
        self.settled(end, |points| {
            let station = points.iter().map(|p| p.dot(&slope) * sign).fold(f64::INFINITY, f64::min) * sign;
            station.is_finite().then_some(SawPlane { station, mitre })
        })
    }

    /// The plane that takes least of all that lean by no more than `most`, radians, of one end.
    pub fn least(&self, end: CutEnd, most: f64) -> Option<SawPlane> {
        let sign = sign(end);
        self.settled(end, |points| {
            let seen: Vec<_> = points.iter().map(|p| Vector3::new(p.x * sign, p.y, p.z)).collect();
            let [station, up, out] = furthest(&seen, most.tan())?.map(|v| v * sign);
            Some(SawPlane { station, mitre: Mitre { up: up.atan(), out: out.atan() } })
        })
    }

    /// A plane as `find` finds it among the points seen along, up and out of the stretch in which it then lies.
    fn settled(&self, end: CutEnd, find: impl Fn(&[Vector3<f64>]) -> Option<SawPlane>) -> Option<SawPlane> {
        let run = self.run;
        let mut stretch = match end {
            CutEnd::Near => run.real_stretches().last()?,
            CutEnd::Far => run.real_stretches().next()?,
        };
        // It is moved outwards only, so this ends.
        loop {
            let found = find(&self.seen_from(stretch))?;
            let next = run.at_station(found.station).0;
            let outwards = if end == CutEnd::Near { next < stretch } else { next > stretch };
            if next == stretch {
                return Some(found);
            } else if outwards {
                stretch = next;
            } else {
                // Where this stretch ends the plane still clears all.
                let bend = run.stations[if end == CutEnd::Near { stretch + 1 } else { stretch }];
                return Some(SawPlane { station: bend, ..found });
            }
        }
    }

    /// The points seen along, up and out of a stretch, in stations.
    fn seen_from(&self, stretch: usize) -> Vec<Vector3<f64>> {
        let (along, up, out) = self.run.frame_of(stretch);
        let (from, station) = (self.run.centreline[stretch], self.run.stations[stretch]);
        let seen = |p: &Vector3<f64>| {
            let off = p - from;
            Vector3::new(station + off.dot(&along), off.dot(&up), off.dot(&out))
        };
        self.points.iter().map(seen).collect()
    }
}

/// The near end's station is to be as great as it can be, the far end's as small.
fn sign(end: CutEnd) -> f64 {
    match end {
        CutEnd::Near => 1.0,
        CutEnd::Far => -1.0,
    }
}

/// The greatest s with s + a y + b z ≤ x for all points and slopes a and b within a limit, as [s, a, b]; of equal ones a
/// square one. Only the inequalities that some best plane so far has broken are looked at together.
fn furthest(points: &[Vector3<f64>], limit: f64) -> Option<[f64; 3]> {
    let row = |p: &Vector3<f64>| (Vector3::new(1.0, p.y, p.z), p.x);
    let slopes = [[0.0, 1.0, 0.0], [0.0, -1.0, 0.0], [0.0, 0.0, 1.0], [0.0, 0.0, -1.0]];
    let mut held: Vec<(Vector3<f64>, f64)> = slopes.iter().map(|s| (Vector3::from(*s), limit)).collect();
    held.push(row(points.first()?));
    for _ in 0..=points.len() {
        let best = corner(&held)?;
        let over = |p: &Vector3<f64>| row(p).0.dot(&best) - p.x;
        let worst = points.iter().max_by(|p, q| over(p).total_cmp(&over(q)))?;
        if over(worst) <= HELD {
            return Some(squarest(points, limit, best));
        }
        held.push(row(worst));
    }
    None
}

/// Of the planes as far along, the one that leans least: where nothing holds a slope, the best place has any.
fn squarest(points: &[Vector3<f64>], limit: f64, best: Vector3<f64>) -> [f64; 3] {
    let [s, mut up, mut out] = [best.x - WORTH, best.y, best.z];
    for turn in [1, 0] {
        let (mut low, mut high) = (-limit, limit);
        for p in points {
            let (by, left) = if turn == 0 { (p.y, p.x - s - out * p.z) } else { (p.z, p.x - s - up * p.y) };
            if by > 0.0 {
                high = high.min(left / by);
            } else if by < 0.0 {
                low = low.max(left / by);
            }
        }
        // Rounding can turn the two round.
        let slope = 0f64.max(low).min(high.max(low));
        if turn == 0 { up = slope } else { out = slope }
    }
    [s, up, out]
}

/// The best place where three of the inequalities meet and all are kept.
fn corner(held: &[(Vector3<f64>, f64)]) -> Option<Vector3<f64>> {
    let mut best: Option<Vector3<f64>> = None;
    for i in 0..held.len() {
        for j in i + 1..held.len() {
            for k in j + 1..held.len() {
                let [a, b, c] = [i, j, k].map(|n| held[n]);
                let rows = Matrix3::from_rows(&[a.0.transpose(), b.0.transpose(), c.0.transpose()]);
                let Some(inverse) = rows.try_inverse() else { continue };
                let at = inverse * Vector3::new(a.1, b.1, c.1);
                if !held.iter().all(|(row, most)| row.dot(&at) <= most + HELD) {
                    continue;
                }
                if best.as_ref().is_none_or(|known| at.x > known.x) {
                    best = Some(at);
                }
            }
        }
    }
    best
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: two points, 10 up and 10 down, the upper one 6 further: a plane that leans 6 over 20 meets both.
    #[test]
    fn a_plane_leans_as_far_as_it_saves_and_may() {
        let points = [Vector3::new(106.0, 10.0, 0.0), Vector3::new(100.0, -10.0, 0.0)];
        let [s, up, out] = furthest(&points, 1.0).unwrap();
        // s + up·y ≤ x: at both points equal.
        assert!((s - 103.0).abs() < 1e-5 && (up - 0.3).abs() < 1e-6 && out == 0.0, "{s} {up} {out}");
        let [s, up, _] = furthest(&points, 0.1).unwrap();
        assert!((s - 101.0).abs() < 1e-5 && (up - 0.1).abs() < 1e-6, "{s} {up}");
        assert_eq!(furthest(&[], 1.0), None);
    }

    #[test]
    fn no_plane_within_the_limit_takes_less() {
        let points: Vec<Vector3<f64>> = (0..60)
            .map(|i| f64::from(i) * 0.7)
            .map(|t| Vector3::new(100.0 + 30.0 * t.sin(), 40.0 * (3.1 * t).cos(), 30.0 * (1.7 * t).sin()))
            .collect();
        let [s, up, out] = furthest(&points, 0.6).unwrap();
        let reach = |a: f64, b: f64| points.iter().map(|p| p.x - a * p.y - b * p.z).fold(f64::INFINITY, f64::min);
        assert!((reach(up, out) - s).abs() < 1e-5, "it clears all, and only just");
        let grid = (-30..=30).flat_map(|i| (-30..=30).map(move |j| [i, j].map(|n| f64::from(n) * 0.02)));
        let best = grid.map(|[a, b]| reach(a, b)).fold(f64::NEG_INFINITY, f64::max);
        assert!(s >= best - 1e-5 && s < best + 2.0, "{s} {best}");
    }
}
