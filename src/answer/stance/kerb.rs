//! Kerbs, and the ramps of a trailer.
//!
//! Driven square at a kerb, the tyre meets its edge where the tyre's circle is as high as the kerb. What is further ahead
//! than that has to be over the kerb by then, or it is met first. So a place of the car at height y is in the way of every
//! kerb of y or more, unless the circle at y reaches as far ahead. As in `ramp.rs` the tyre is a circle of its free radius
//! and wheels count as straight; a kerb as high as the wheel centre is a wall, and no higher one is told.

use nalgebra::{Vector2, Vector3};
use serde::Serialize;

use super::place;
use super::ramp::{Disc, Ramp, SideView};
use crate::answer::{Study, words};
use crate::car::{AxleName, Shown};
use crate::motion::Posed;

/// A kerb, and what sets it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Kerb {
    /// Its height.
    pub height_mm: f64,
    /// The part that would meet a higher one.
    pub part: String,
    /// Where on that part, body frame.
    pub at_mm: [f64; 3],
}

/// The steepest ramp from level ground to a level bed: the nose, then the belly over the ramp's top, then the tail at its
/// foot have to pass.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Loading {
    /// The ramp's angle.
    pub angle_deg: f64,
    /// What sets it: `approach`, `breakover` or `departure`.
    pub set_by: &'static str,
    /// The part that would touch a steeper one.
    pub part: String,
}

impl Kerb {
    /// `splitter at (790.0, 0.0, 170.0) mm`.
    pub fn told(&self, shown: Shown) -> String {
        format!("{} at {}", self.part, place(self.at_mm, shown))
    }
}

impl Loading {
    /// From approach, breakover and departure angle. A ramp's top is a crest of the ramp's own angle.
    ///
    /// The hollow at the ramp's foot is left out: there the body hangs between the axles, and what is ahead of one axle or
    /// behind the other is asked about by approach and departure.
    pub(super) fn up(ramps: [&Option<Ramp>; 3]) -> Option<Self> {
        let named = ["approach", "breakover", "departure"].into_iter().zip(ramps);
        let there = named.filter_map(|(set_by, ramp)| Some((set_by, ramp.as_ref()?)));
        let (set_by, ramp) = there.min_by(|a, b| a.1.angle_deg.total_cmp(&b.1.angle_deg))?;
        Some(Self { angle_deg: ramp.angle_deg, set_by, part: ramp.part.clone() })
    }

    /// `breakover, left sill`.
    pub fn told(&self) -> String {
        format!("{}, {}", self.set_by, self.part)
    }
}

impl Disc {
    /// How far a place lies beyond where this tyre meets a kerb of that height, mm; none at the wheel centre's height or over.
    fn beyond(&self, p: Vector2<f64>, ahead: f64) -> Option<f64> {
        let down = self.centre.y - p.y;
        (down > 0.0).then(|| ahead * (p.x - self.centre.x) - (self.radius.powi(2) - down.powi(2)).max(0.0).sqrt())
    }
}

impl Study {
    /// The highest kerb that what is ahead of the front, or behind the rear tyres passes over.
    pub(super) fn kerb(&self, posed: &Posed, axle: AxleName) -> Option<Kerb> {
        let ahead = if axle == AxleName::Front { 1.0 } else { -1.0 };
        let view = SideView::of(posed);
        let discs = self.discs(posed, &view, axle)?;
        let met = |p: Vector3<f64>| {
            // The kerb is met by whichever tyre comes to it first.
            discs
                .iter()
                .map(|d| d.beyond(view.see(p), ahead))
                .try_fold(f64::INFINITY, |m, b| Some(m.min(b?)))
                .is_some_and(|beyond| beyond > 0.0)
        };
        let lowest = self.edges(posed).into_iter().filter_map(|e| {
            let down = posed.ground.normal * e.radius;
            let mut ends = e.ends.map(|p| p - down);
            ends.sort_by(|a, b| posed.ground.height(*a).total_cmp(&posed.ground.height(*b)));
            let [low, high] = ends;
            let at = if met(low) {
                low
            } else if met(high) {
                // A circle is convex: from the end inside, the edge leaves it once.
                let (mut within, mut out) = (low, high);
                for _ in 0..60 {
                    let middle = (within + out) / 2.0;
                    if met(middle) { out = middle } else { within = middle }
                }
                out
            } else {
                return None;
            };
            Some((posed.ground.height(at), e.part, at))
        });
        let (height, part, at) = lowest.min_by(|a, b| a.0.total_cmp(&b.0))?;
        Some(Kerb { height_mm: height, part: self.parts.name(part), at_mm: words::point(at) })
    }
}
