//! How the car pitches in braking, and what braking and cornering take of the dampers' strokes.
//!
//! Braking at one g shifts W h / L from the rear axle to the front one. Of that the linkage holds its share, anti-dive
//! in front and anti-lift behind, and the springs have the rest (Milliken & Milliken, Race Car Vehicle Dynamics, ch.
//! 17); the tyres have all of it. What hangs below the springs is counted with the body.

use serde::Serialize;

use super::{AxleRide, Roll};
use crate::answer::Study;
use crate::car::units::GRAVITY;
use crate::car::{AxleName, Hub, Side};
use crate::motion::Quantity;

/// How the car pitches in braking.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Pitch {
    /// Nose-down, for each g of braking.
    pub deg_per_g: f64,
    /// Load that one g shifts from the rear axle to the front one.
    pub shift_n: f64,
    /// Share of the dive that the front linkage holds, per cent.
    pub anti_dive_percent: f64,
    /// Share of the lift that the rear linkage holds, per cent.
    pub anti_lift_percent: f64,
    /// Wheel travel at one g, front and rear, bump positive.
    pub travel_mm: [f64; 2],
    /// What the body goes down by over the axles at one g, tyres and all, front and rear; negative where it rises.
    pub dive_mm: [f64; 2],
}

/// What the car is doing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Manoeuvre {
    /// Standing at ride height.
    Standing,
    /// One g of braking.
    Braking,
    /// One g of cornering.
    Cornering,
    /// One g of each at once.
    Both,
}

impl Manoeuvre {
    /// As it is spoken.
    pub fn words(self) -> &'static str {
        match self {
            Self::Standing => "standing",
            Self::Braking => "1 g of braking",
            Self::Cornering => "1 g of cornering",
            Self::Both => "1 g of both at once",
        }
    }
}

/// The end of a damper's stroke.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum StrokeEnd {
    /// Fully compressed.
    Closed,
    /// Fully extended.
    Open,
}

impl StrokeEnd {
    /// Both.
    pub const BOTH: [Self; 2] = [Self::Closed, Self::Open];

    /// As it is spoken.
    pub fn word(self) -> &'static str {
        match self {
            Self::Closed => "closed",
            Self::Open => "open",
        }
    }
}

/// What a manoeuvre takes of a damper's stroke: of an axle's damper that comes nearest to one of its ends, whichever
/// way the car turns.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct StrokeUse {
    /// The axle.
    pub axle: AxleName,
    /// Its side.
    pub side: Side,
    /// In what.
    pub manoeuvre: Manoeuvre,
    /// Which end it comes nearest to of the axle's dampers.
    pub towards: StrokeEnd,
    /// Wheel travel, bump positive.
    pub travel_mm: f64,
    /// Share of the stroke from open to closed that is used. None where the linkage does not reach that travel.
    pub stroke_percent: Option<f64>,
}

impl StrokeUse {
    /// `left front damper`.
    pub fn words(&self) -> String {
        format!("{} damper", Hub { axle: self.axle, side: self.side }.words())
    }

    /// Whether the stroke ends, or the linkage, before that travel.
    pub fn ends(&self) -> bool {
        self.stroke_percent.is_none_or(|used| match self.towards {
            StrokeEnd::Closed => used > 100.0,
            StrokeEnd::Open => used < 0.0,
        })
    }
}

/// Mean of both sides.
fn mean(sides: [Option<f64>; 2]) -> Option<f64> {
    Some((sides[0]? + sides[1]?) / 2.0)
}

impl Study {
    /// How the car pitches on both axles.
    pub(super) fn pitch(&self, axles: &[AxleRide]) -> Option<Pitch> {
        let [front, rear] = axles else { return None };
        let (weight, height) = (self.car.weight?, self.car.balance?.cg_height);
        let shift = weight.mass * GRAVITY * height / self.car.wheelbase;
        let anti = |axle: AxleName, quantity: Quantity| {
            let standing = self.standing(axle, *self.gear.ride.axle(axle)?, self.gear.ride.ground)?;
            mean(Side::BOTH.map(|side| quantity.of(&standing, side)))
        };
        let dive = anti(AxleName::Front, Quantity::AntiDive)?;
        let lift = anti(AxleName::Rear, Quantity::AntiLift)?;
        let rate = |axle: &AxleRide| mean([0, 1].map(|i| axle.wheels[i].heave.map(|r| r.whole_n_per_mm)));
        let goes = |axle: &AxleRide, held: f64, sign: f64| {
            let rate = rate(axle).filter(|rate| *rate > 0.0)?;
            let (travel, tyre) = (shift * (1.0 - held) / (2.0 * rate), shift / (2.0 * axle.tyre_n_per_mm));
            Some([sign * travel, sign * (travel + tyre)])
        };
        let ([front, rear], [nose, tail]) = {
            let ([f, n], [r, t]) = (goes(front, dive, 1.0)?, goes(rear, lift, -1.0)?);
            ([f, r], [n, t])
        };
        Some(Pitch {
            deg_per_g: ((nose - tail) / self.car.wheelbase).atan().to_degrees(),
            shift_n: shift,
            anti_dive_percent: dive * 100.0,
            anti_lift_percent: lift * 100.0,
            travel_mm: [front, rear],
            dive_mm: [nose, tail],
        })
    }

    /// What one g of braking, of cornering and of both takes of each axle's dampers.
    pub(super) fn stroke_use(&self, axles: &[AxleRide], roll: Option<&Roll>, pitch: Option<&Pitch>) -> Vec<StrokeUse> {
        let mut all = Vec::new();
        for axle in axles {
            let brakes = pitch.map(|p| p.travel_mm[axle.axle as usize]);
            let corners = roll.and_then(|r| outer_travel(r, axle));
            for (manoeuvre, alike, against) in [
                (Manoeuvre::Standing, Some(0.0), Some(0.0)),
                (Manoeuvre::Braking, brakes, Some(0.0)),
                (Manoeuvre::Cornering, Some(0.0), corners),
                (Manoeuvre::Both, brakes, corners),
            ] {
                let Some(travels) = alike.zip(against).map(|(z, by)| [[z + by, z - by], [z - by, z + by]]) else {
                    continue;
                };
                let used = |towards| {
                    let uses =
                        travels.iter().flat_map(|travel| self.strokes_at(axle.axle, manoeuvre, *travel, towards));
                    // Past the stroke's end by more; a linkage that does not reach is the worst.
                    let worst = |used: &StrokeUse| match (used.stroke_percent, towards) {
                        (None, _) => f64::INFINITY,
                        (Some(used), StrokeEnd::Closed) => used,
                        (Some(used), StrokeEnd::Open) => -used,
                    };
                    // Of two sides alike the left one is told.
                    uses.reduce(|a, b| if worst(&b) > worst(&a) + 0.05 { b } else { a })
                };
                all.extend(StrokeEnd::BOTH.into_iter().filter_map(used));
            }
        }
        all
    }

    /// What both of an axle's dampers use of their strokes, its left and right wheel raised so far, mm. None where open
    /// or closed is not given; where the linkage does not reach, that.
    fn strokes_at(&self, name: AxleName, manoeuvre: Manoeuvre, travel: [f64; 2], towards: StrokeEnd) -> Vec<StrokeUse> {
        let Some((axle, ride)) = self.gear.axle(name).zip(self.gear.ride.axle(name)) else { return Vec::new() };
        let posed = self.gear.raise_axle(ride, travel, 0.0).ok();
        let ends = axle.described.damper.and_then(|d| d.open.zip(d.closed));
        let used = |side: Side| {
            let stroke_percent = match &posed {
                Some(posed) => {
                    let ((open, closed), length) = ends.zip(axle.damper_length(&posed[side as usize]))?;
                    Some((open - length) / (open - closed) * 100.0)
                }
                None => None,
            };
            let travel_mm = travel[side as usize];
            Some(StrokeUse { axle: name, side, manoeuvre, towards, travel_mm, stroke_percent })
        };
        Side::BOTH.into_iter().filter_map(used).collect()
    }
}

/// How far the outer wheel goes up into the body at one g of cornering, mm: as far as springs and bar turn under what
/// they hold.
fn outer_travel(roll: &Roll, axle: &AxleRide) -> Option<f64> {
    let own = roll.axles.iter().find(|a| a.axle == axle.axle)?;
    let springs = own.springs_nm_per_deg + own.bar_nm_per_deg;
    roll.deg_per_g?;
    let held = (own.transfer.elastic_n + own.transfer.leaning_n) * axle.track_mm / 1000.0;
    let rolls = (held / springs).to_radians();
    Some(rolls * axle.track_mm / 2.0)
}
