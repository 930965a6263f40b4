//! Ramps: approach, departure and breakover angle.
//!
//! ISO 612 (from memory) takes planes that touch the loaded tyres, square to the car's middle plane: approach and
//! departure angle are those of the steepest such plane that leaves all of the car ahead of the front, or behind the
//! rear tyres above it; the breakover (ramp) angle is the one between two, off the front and the rear tyres, that meet on
//! the underside between the axles.
//!
//! Here a tyre seen from the side is a circle of its free radius, cut off flat by the ground at its loaded height: a
//! steep plane touches the circle, a gentler one the front end of the flat. Wheels count as straight and upright. Of two
//! tyres of an axle that do not stand abreast, the plane rests on the one that it meets first.

use nalgebra::{Vector2, Vector3};
use serde::Serialize;

use super::place;
use crate::answer::{Study, words};
use crate::car::{AxleName, Shown};
use crate::motion::{CornerPose, Posed};
use crate::space::{Role, Skin};

/// A ramp, and what sets it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Ramp {
    /// Its angle; none steeper than 90 degrees is told.
    pub angle_deg: f64,
    /// The part that it touches.
    pub part: String,
    /// Where on that part, body frame.
    pub at_mm: [f64; 3],
}

impl Ramp {
    /// `splitter at (790.0, 0.0, 170.0) mm`.
    pub fn told(&self, shown: Shown) -> String {
        format!("{} at {}", self.part, place(self.at_mm, shown))
    }
}

/// A straight edge of a part with a radius about it, body frame, mm.
pub(super) struct Edge {
    pub part: Role,
    pub ends: [Vector3<f64>; 2],
    pub radius: f64,
}

/// The car from the side: how far along the ground, and how high over it, mm.
pub(super) struct SideView {
    along: Vector3<f64>,
    ground: crate::motion::Plane,
}

/// A tyre from the side.
#[derive(Debug, Clone, Copy)]
pub(super) struct Disc {
    pub centre: Vector2<f64>,
    pub radius: f64,
}

impl SideView {
    pub fn of(posed: &Posed) -> Self {
        let up = posed.ground.normal;
        Self { along: (Vector3::x() - up * up.x).normalize(), ground: posed.ground }
    }

    pub fn see(&self, p: Vector3<f64>) -> Vector2<f64> {
        Vector2::new(self.along.dot(&p), self.ground.height(p))
    }
}

impl Disc {
    /// Half the length of its flat, mm.
    fn flat(&self) -> f64 {
        (self.radius.powi(2) - self.centre.y.powi(2)).max(0.0).sqrt()
    }

    /// The angle at which a plane off this tyre, rising towards `ahead` (+1 forward, -1 rearward), touches a ball of
    /// this radius from below, radians. None where the ball is not beyond the flat, or so near that the tyre meets any
    /// plane first.
    ///
    /// A plane at angle t with the normal (-sin t, cos t) touches the circle where it lies r below the centre c; a ball
    /// at p of radius b lies on it where (p - c) . n - b = -r, which is D sin(t - f) = r - b for p - c = D (cos f, sin f).
    /// Off the end of the flat the same holds with c there and r nothing.
    fn ramp(&self, p: Vector2<f64>, ball: f64, ahead: f64) -> Option<f64> {
        let off = |from: Vector2<f64>| Vector2::new(ahead * (p.x - from.x), p.y - from.y);
        let end = off(Vector2::new(self.centre.x + ahead * self.flat(), 0.0));
        if end.x <= 0.0 {
            return None;
        }
        let touch = |d: Vector2<f64>, r: f64| {
            let sine = (r - ball) / d.norm();
            (sine.abs() <= 1.0).then(|| d.y.atan2(d.x) + sine.asin())
        };
        let on_circle = touch(off(self.centre), self.radius);
        // The circle lifts off the end of the flat at this angle.
        let lifts = (self.centre.y / self.radius).min(1.0).acos();
        let angle = match on_circle {
            Some(angle) if angle < lifts => touch(end, 0.0)?,
            on_circle => on_circle?,
        };
        (angle < std::f64::consts::FRAC_PI_2).then_some(angle)
    }
}

impl Study {
    /// The steepest ramp that the front tyres meet before the nose does.
    pub(super) fn approach(&self, posed: &Posed) -> Option<Ramp> {
        self.off(posed, AxleName::Front, 1.0)
    }

    /// The steepest ramp that the rear tyres leave after the tail has.
    pub(super) fn departure(&self, posed: &Posed) -> Option<Ramp> {
        self.off(posed, AxleName::Rear, -1.0)
    }

    fn off(&self, posed: &Posed, axle: AxleName, ahead: f64) -> Option<Ramp> {
        let view = SideView::of(posed);
        let discs = self.discs(posed, &view, axle)?;
        // What lies under a plane lies so with an end of an edge first.
        let edges = self.edges(posed);
        let ends = edges.iter().flat_map(|e| e.ends.map(|p| (e, p)));
        let ramps = ends.filter_map(|(e, p)| Some((first_met(&discs, view.see(p), e.radius, ahead)?, e, p)));
        let (angle, edge, p) = ramps.min_by(|a, b| a.0.total_cmp(&b.0))?;
        let down = view.along * (ahead * angle.sin()) - posed.ground.normal * angle.cos();
        Some(self.ramp(angle, edge, p + down * edge.radius))
    }

    /// The sharpest crest that passes between the axles.
    pub(super) fn breakover(&self, posed: &Posed) -> Option<Ramp> {
        let view = SideView::of(posed);
        let (front, rear) = (self.discs(posed, &view, AxleName::Front)?, self.discs(posed, &view, AxleName::Rear)?);
        let edges = self.edges(posed);
        let sharpest = edges.iter().filter_map(|e| {
            let at = |share: f64| e.ends[0] + (e.ends[1] - e.ends[0]) * share;
            let angle = |share: f64| {
                let p = view.see(at(share));
                let (back, on) = (first_met(&front, p, e.radius, -1.0)?, first_met(&rear, p, e.radius, 1.0)?);
                Some(back + on)
            };
            // Points over which a crest is sharper than some angle lie under an arc through both tyres (the angle at
            // its rim is the same all along), so along an edge the angle has one valley.
            let share = valley(|share| angle(share).unwrap_or(f64::INFINITY), self.between(&view, &front, &rear, e)?);
            Some((angle(share)?, e, at(share)))
        });
        let (angle, edge, p) = sharpest.min_by(|a, b| a.0.total_cmp(&b.0))?;
        Some(self.ramp(angle, edge, p - posed.ground.normal * edge.radius))
    }

    /// The part of an edge between the tyres' flats, as shares of its length.
    fn between(&self, view: &SideView, front: &[Disc; 2], rear: &[Disc; 2], edge: &Edge) -> Option<[f64; 2]> {
        let ahead = front.iter().map(|d| d.centre.x - d.flat()).fold(f64::MIN, f64::max);
        let behind = rear.iter().map(|d| d.centre.x + d.flat()).fold(f64::MAX, f64::min);
        let [a, b] = edge.ends.map(|p| view.see(p).x);
        if (a - b).abs() < 1e-9 {
            return (behind < a && a < ahead).then_some([0.0, 1.0]);
        }
        let [s, t] = [behind, ahead].map(|x| (x - a) / (b - a));
        let (low, high) = (s.min(t).max(0.0), s.max(t).min(1.0));
        (low < high).then_some([low, high])
    }

    fn ramp(&self, angle: f64, edge: &Edge, at: Vector3<f64>) -> Ramp {
        Ramp { angle_deg: angle.to_degrees(), part: self.parts.name(edge.part), at_mm: words::point(at) }
    }

    pub(super) fn discs(&self, posed: &Posed, view: &SideView, name: AxleName) -> Option<[Disc; 2]> {
        let described = self.car.axle(name)?;
        let radius = described.tyre.mounted(&described.wheel).radius;
        Some(posed.axle(name)?.map(|w: CornerPose| Disc { centre: view.see(w.wheel_centre), radius }))
    }

    /// The edges of all that could meet a ramp.
    pub(super) fn edges(&self, posed: &Posed) -> Vec<Edge> {
        self.low_parts()
            .flat_map(|part| {
                let edge = |a, b, radius| Edge { part, ends: [a, b], radius };
                let moving = part.hub().and_then(|hub| self.parts.bars(&self.gear, part, posed.wheel(hub)?));
                let mut edges: Vec<Edge> =
                    moving.iter().flat_map(|b| b.iter()).map(|b| edge(b.a, b.b, b.radius)).collect();
                if let Role::Body(i) = part {
                    let solid = &self.parts.body[i].solid;
                    edges.extend(solid.bars.iter().map(|b| edge(b.a, b.b, b.radius)));
                    let outline = solid.skin.iter().flat_map(|skin| outline(skin, posed));
                    edges.extend(outline.map(|[a, b]| edge(a, b, 0.0)));
                    edges.extend(solid.facets.iter().flat_map(|f| {
                        let [a, b, c] = f.corners;
                        [(a, b), (b, c), (c, a)].map(|(a, b)| edge(a, b, f.radius))
                    }));
                }
                edges
            })
            .collect()
    }
}

/// What a plane square to the car's middle plane can touch of a skin from below: the lower side of its outline as seen
/// from the side, from corner to corner.
fn outline(skin: &Skin, posed: &Posed) -> Vec<[Vector3<f64>; 2]> {
    let view = SideView::of(posed);
    let mut seen: Vec<(Vector2<f64>, Vector3<f64>)> = skin.corners.iter().map(|c| (view.see(*c), *c)).collect();
    seen.sort_by(|(a, _), (b, _)| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    let mut low: Vec<(Vector2<f64>, Vector3<f64>)> = Vec::new();
    for next in seen {
        // A corner that does not lie below the line past it is no corner of the outline.
        while let [.., a, b] = &low[..]
            && (b.0 - a.0).perp(&(next.0 - a.0)) <= 0.0
        {
            low.pop();
        }
        low.push(next);
    }
    low.windows(2).map(|pair| [pair[0].1, pair[1].1]).collect()
}

/// The angle of a plane that rests on the first of two tyres that it meets, and touches a ball from below.
fn first_met(discs: &[Disc; 2], p: Vector2<f64>, ball: f64, ahead: f64) -> Option<f64> {
    let [left, right] = discs.map(|d| d.ramp(p, ball, ahead));
    // Where the one tyre meets every plane first, the ball is in the way of none.
    Some(left?.max(right?))
}

/// Where a function with one valley is least. Beside the valley it may be infinite, behind the tyres.
fn valley(f: impl Fn(f64) -> f64, [first, last]: [f64; 2]) -> f64 {
    let step = (last - first) / 24.0;
    let at = |i: i32| first + step * f64::from(i);
    let best = (0..=24).min_by(|i, k| f(at(*i)).total_cmp(&f(at(*k)))).unwrap_or(0);
    let (mut low, mut high) = (at((best - 1).max(0)), at((best + 1).min(24)));
    for _ in 0..80 {
        let thirds = [low + (high - low) / 3.0, high - (high - low) / 3.0];
        if f(thirds[0]) < f(thirds[1]) { high = thirds[1] } else { low = thirds[0] }
    }
    (low + high) / 2.0
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Closed form: a point is seen from the end of the flat at atan(height / distance), which is gentle enough.
    #[test]
    fn a_gentle_ramp_starts_at_the_end_of_the_flat() {
        let disc = Disc { centre: Vector2::new(100.0, 285.0), radius: 300.0 };
        let flat = (300.0f64 * 300.0 - 285.0 * 285.0).sqrt();
        let point = Vector2::new(100.0 + flat + 800.0, 120.0);
        let angle = disc.ramp(point, 0.0, 1.0).unwrap();
        assert!((angle - (120.0f64 / 800.0).atan()).abs() < 1e-12);
        // A ball rests on it with its own radius below its centre.
        let with_ball = disc.ramp(point, 20.0, 1.0).unwrap();
        let far = f64::hypot(800.0, 120.0);
        assert!((with_ball - (angle - (20.0 / far).asin())).abs() < 1e-12);
    }

    /// Closed form: a plane at 45 degrees that touches a circle of radius r about (0, h) from below and ahead runs
    /// through (x, h - r sqrt 2 + x).
    #[test]
    fn a_steep_ramp_touches_the_circle() {
        let disc = Disc { centre: Vector2::new(0.0, 285.0), radius: 300.0 };
        for x in [320.0, 500.0] {
            let point = Vector2::new(x, 285.0 - 300.0 * 2f64.sqrt() + x);
            assert!((disc.ramp(point, 0.0, 1.0).unwrap().to_degrees() - 45.0).abs() < 1e-9);
            let mirrored = Vector2::new(-x, point.y);
            assert!((disc.ramp(mirrored, 0.0, -1.0).unwrap().to_degrees() - 45.0).abs() < 1e-9);
        }
    }

    #[test]
    fn what_the_tyre_hides_meets_no_ramp() {
        let disc = Disc { centre: Vector2::new(0.0, 285.0), radius: 300.0 };
        assert!(disc.ramp(Vector2::new(250.0, 285.0), 0.0, 1.0).is_none());
        assert!(disc.ramp(Vector2::new(50.0, 10.0), 0.0, 1.0).is_none());
        assert!(disc.ramp(Vector2::new(-800.0, 100.0), 0.0, 1.0).is_none());
    }
}
