//! How the car stands: ride heights, its lowest point, its underside in the sweep, and the ramps and kerbs that it takes.

mod kerb;
mod ramp;
mod underside;

use nalgebra::Vector3;
use serde::Serialize;

use super::Verdict;
use super::gaps::PoseTold;
use super::study::{NoAnswer, Study};
use super::words::{self, Told};
use crate::car::{AxleName, Hub, Shown, Side};
use crate::motion::{Pose, Posed};
use crate::space::{Kind, Nearest, Place, Role};

pub use kerb::{Kerb, Loading};
pub use ramp::Ramp;
pub use underside::{LowCorner, LowPart, Scrape, SplitterGap, Underside};

/// How the car stands in a pose.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Stance {
    /// Touches where something lies under the ground in the pose or, of the underside, in the sweep; short where the
    /// underside comes nearer to the ground than was asked for.
    pub verdict: Verdict,
    /// The pose.
    pub pose: PoseTold,
    /// Ride heights, in the car file's order, left before right.
    pub heights: Vec<Height>,
    /// The lowest point of body, linkage and datums; none where the car file describes nothing that could be it.
    pub lowest: Option<Lowest>,
    /// The steepest ramp that the front tyres meet before the nose does; none where nothing is ahead of them.
    pub approach: Option<Ramp>,
    /// The steepest ramp that the rear tyres leave after the tail has; none where nothing is behind them.
    pub departure: Option<Ramp>,
    /// The sharpest crest that passes between the axles: the angle between both its slopes.
    pub breakover: Option<Ramp>,
    /// The steepest trailer ramp that it gets up.
    pub loading: Option<Loading>,
    /// The highest kerb that the nose passes over before the front tyres stand against it; none where nothing is ahead of
    /// them.
    pub kerb_ahead: Option<Kerb>,
    /// The same at the tail, reversing.
    pub kerb_behind: Option<Kerb>,
    /// The underside over the whole sweep.
    pub underside: Underside,
    /// The wheels' travels, front first, left first.
    pub wheels: Vec<WheelTravel>,
}

/// A ride height.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Height {
    /// Where it is taken: `left sill front`.
    pub name: String,
    /// Body frame.
    pub at_mm: [f64; 3],
    /// Over the ground in the pose.
    pub height_mm: f64,
    /// Over the ground at ride height.
    pub ride_mm: f64,
}

/// The lowest point.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Lowest {
    /// The part.
    pub part: String,
    /// Over the ground; negative under it.
    pub height_mm: f64,
    /// Body frame.
    pub at_mm: [f64; 3],
}

/// A wheel's travel in the pose.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct WheelTravel {
    /// Its axle.
    pub axle: AxleName,
    /// Its side.
    pub side: Side,
    /// From ride height, bump positive.
    pub travel_mm: f64,
}

impl Study {
    /// How the car stands in a pose.
    ///
    /// # Errors
    /// [`NoAnswer::Pose`] when the pose cannot be taken.
    pub fn stance(&self, pose: &Pose) -> Result<Stance, NoAnswer> {
        let posed = self.gear.stand(pose).map_err(NoAnswer::Pose)?;
        let lowest = self.lowest_point(&posed);
        let travel = |w: &crate::motion::CornerPose| WheelTravel {
            axle: w.hub.axle,
            side: w.hub.side,
            travel_mm: self.gear.travel(w),
        };
        let underside = self.underside_in(&posed);
        let [approach, departure, breakover] = [self.approach(&posed), self.departure(&posed), self.breakover(&posed)];
        let here = lowest.as_ref().map_or(Verdict::Clear, |l| Verdict::of(l.height_mm, 0.0));
        Ok(Stance {
            verdict: here.max(underside.verdict()),
            pose: pose.into(),
            heights: self.heights(&posed),
            lowest,
            loading: Loading::up([&approach, &breakover, &departure]),
            kerb_ahead: self.kerb(&posed, AxleName::Front),
            kerb_behind: self.kerb(&posed, AxleName::Rear),
            underside,
            approach,
            departure,
            breakover,
            wheels: posed.wheels().map(travel).collect(),
        })
    }

    fn heights(&self, posed: &Posed) -> Vec<Height> {
        let height = |name: String, at: Vector3<f64>| Height {
            name,
            at_mm: words::point(at),
            height_mm: posed.ground.height(at),
            ride_mm: self.gear.ride.ground.height(at),
        };
        self.datums().into_iter().map(|(name, at)| height(name, at)).collect()
    }

    /// The datums by name, in the car file's order, left before right, body frame, mm.
    fn datums(&self) -> Vec<(String, Vector3<f64>)> {
        let sides = |mirror: bool| if mirror { &Side::BOTH[..] } else { &Side::BOTH[..1] };
        let datums = self.car.datums.iter().flat_map(|d| sides(d.mirror).iter().map(move |side| (d, *side)));
        datums
            .map(|(d, side)| {
                let name = if d.mirror { format!("{} {}", side.word(), d.name) } else { d.name.clone() };
                (name, side.mirror(d.at))
            })
            .collect()
    }

    /// What could be lowest, or meet a ramp: everything that `gaps` holds to the ground, and bodywork.
    fn low_parts(&self) -> impl Iterator<Item = Role> + '_ {
        let panels = (0..self.parts.body.len()).filter(|i| self.parts.body[*i].kind == Kind::Panel).map(Role::Body);
        self.parts.at_ground.iter().map(|pair| pair.a).chain(panels)
    }

    fn lowest_point(&self, posed: &Posed) -> Option<Lowest> {
        let over = |a: Role| {
            let pair = Place { a, b: Role::Ground, wanted: 0.0, within: f64::INFINITY };
            self.parts.ground_gap(&self.gear, &pair, posed).map(|nearest| (a, nearest))
        };
        let parts = self.low_parts().filter_map(over).map(|(part, Nearest { gap, on_solid, .. })| Lowest {
            part: self.parts.name(part),
            height_mm: gap,
            at_mm: words::point(on_solid),
        });
        // A datum is a place on the shell, and often the lowest that was measured. Where a part is as low, that is named.
        let datums = self.datums().into_iter().map(|(part, at)| Lowest {
            part,
            height_mm: posed.ground.height(at),
            at_mm: words::point(at),
        });
        parts.chain(datums).min_by(|a, b| a.height_mm.total_cmp(&b.height_mm))
    }
}

impl Stance {
    /// The ramps that there are, by name.
    pub fn ramps(&self) -> impl Iterator<Item = (&'static str, &Ramp)> {
        let all = [
            ("approach angle", &self.approach),
            ("departure angle", &self.departure),
            ("breakover angle", &self.breakover),
        ];
        all.into_iter().filter_map(|(what, ramp)| Some((what, ramp.as_ref()?)))
    }
}

impl Lowest {
    /// `splitter at x 790.0 mm, y 0.0 mm, z 170.0 mm`.
    pub fn told(&self, shown: Shown) -> String {
        format!("{} at {}", self.part, place(self.at_mm, shown))
    }
}

impl WheelTravel {
    /// `left front`.
    pub fn words(&self) -> String {
        Hub { axle: self.axle, side: self.side }.words()
    }
}

/// A point of the body frame in words.
fn place([x, y, z]: [f64; 3], shown: Shown) -> String {
    let [x, y, z] = [x, y, z].map(|mm| shown.cell(mm));
    format!("({x}, {y}, {z}) {}", shown.sign())
}

impl Told for Stance {
    fn sentence(&self, shown: Shown) -> String {
        let lowest = self.lowest.as_ref().map(|l| {
            let apart = if l.height_mm < 0.0 { "under" } else { "over" };
            format!(
                "the lowest point that the car file describes is {} {apart} the ground, at the {}",
                shown.length(l.height_mm.abs()),
                l.part
            )
        });
        let ramp = |what: &'static str, ramp: &Option<Ramp>| {
            ramp.as_ref().map(|r| format!("{what} {:.1} deg ({})", r.angle_deg, r.part))
        };
        let ramps =
            [ramp("approach", &self.approach), ramp("departure", &self.departure), ramp("breakover", &self.breakover)];
        let clauses = [self.underside.clause(shown), self.underside.need(shown)].into_iter().flatten();
        let parts: Vec<String> = lowest.into_iter().chain(clauses).chain(ramps.into_iter().flatten()).collect();
        if parts.is_empty() {
            return "This car file describes nothing that could touch the ground.".to_owned();
        }
        format!("{}.", words::capital(&parts.join("; ")))
    }
}
