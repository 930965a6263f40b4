//! How the car rolls, and what each axle's outer wheel takes of what cornering shifts.
//!
//! Steadily cornering at one g, first order (Milliken & Milliken, Race Car Vehicle Dynamics, ch. 18): the sprung weight
//! pushes each axle sideways at its roll centre, which shifts load by itself (geometric); about the line through both roll
//! centres it rolls the body, which springs, bars and tyres hold in proportion to their roll stiffness (elastic); and what
//! hangs below the springs shifts load at its own height (unsprung). With track t at an axle the three together come to
//! W h for the whole car. That the body's weight moves aside as it rolls adds to the roll angle (Gillespie, Fundamentals of
//! Vehicle Dynamics, ch. 6) and is left out of what is shifted.

use serde::Serialize;

use super::{AxleRide, series};
use crate::answer::Study;
use crate::car::AxleName;
use crate::car::axle::{Blade, RollBar};
use crate::car::units::GRAVITY;

/// How the car rolls.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Roll {
    /// Of the body against the road for each g of cornering. None where nothing holds it up.
    pub deg_per_g: Option<f64>,
    /// Centre of gravity of what the springs carry, over the ground.
    pub sprung_height_mm: f64,
    /// The line through both roll centres, over the ground under that.
    pub axis_height_mm: f64,
    /// The front wheels' share of all load that is shifted, per cent.
    pub front_percent: f64,
    /// The front axle's share of the moment that is held, 0 to 1: what `roll_front` in the car file's `weight` means.
    pub moment_front: f64,
    /// The front and the rear axle.
    pub axles: [AxleRoll; 2],
    /// What turning an anti-roll bar's blades does, where their section is given.
    pub blades: Vec<BladeAt>,
}

/// An axle in roll.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct AxleRoll {
    /// The axle.
    pub axle: AxleName,
    /// Of the springs.
    pub springs_nm_per_deg: f64,
    /// Of the anti-roll bar; nothing without one.
    pub bar_nm_per_deg: f64,
    /// Of the tyres.
    pub tyres_nm_per_deg: f64,
    /// Springs and bar together, in series with the tyres.
    pub whole_nm_per_deg: f64,
    /// Roll centre over the ground.
    pub roll_centre_mm: f64,
    /// What the outer wheel gains and the inner one loses at one g.
    pub transfer: Transfer,
}

/// Load that cornering at one g shifts from the inner wheel of an axle to the outer one.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Transfer {
    /// Through the roll centre.
    pub geometric_n: f64,
    /// Through springs, bar and tyres.
    pub elastic_n: f64,
    /// Of what hangs below the springs.
    pub unsprung_n: f64,
    /// All three.
    pub whole_n: f64,
}

/// An anti-roll bar with its blades turned.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct BladeAt {
    /// The bar's axle.
    pub axle: AxleName,
    /// From flat to on edge.
    pub angle_deg: f64,
    /// Of one blade at its end.
    pub blade_n_per_mm: f64,
    /// Of the bar in roll.
    pub bar_nm_per_deg: f64,
    /// The front wheels' share of all load that is shifted, per cent.
    pub front_percent: f64,
}

/// Angles that a blade is told at, degrees.
const ANGLES: [f64; 7] = [0.0, 15.0, 30.0, 45.0, 60.0, 75.0, 90.0];

/// N mm for a radian as N m for a degree.
fn per_degree(stiffness: f64) -> f64 {
    stiffness.to_radians() / 1000.0
}

/// One axle: forces in N, lengths in mm, stiffnesses in N mm for a radian.
#[derive(Clone, Copy)]
struct Holds {
    axle: AxleName,
    springs: f64,
    bar: f64,
    tyres: f64,
    track: f64,
    centre: f64,
    sprung: f64,
    unsprung: f64,
    unsprung_height: f64,
}

impl Holds {
    fn whole(&self) -> f64 {
        series(self.springs + self.bar, self.tyres)
    }
}

impl Study {
    /// How the car rolls on both axles.
    pub(super) fn roll(&self, axles: &[AxleRide]) -> Option<Roll> {
        let [front, rear] = axles else { return None };
        let height = self.car.balance?.cg_height;
        let holds = [self.holds_in_roll(front)?, self.holds_in_roll(rear)?];
        let roll = rolls(holds, height)?;
        let mut blades = Vec::new();
        for i in 0..2 {
            for (angle_deg, blade_n_per_mm, bar) in self.turned_blades(holds[i].axle, holds[i].track) {
                let mut turned = holds;
                turned[i].bar = bar;
                let Some(with) = rolls(turned, height) else { continue };
                let (axle, front_percent) = (holds[i].axle, with.front_percent);
                blades.push(BladeAt {
                    axle,
                    angle_deg,
                    blade_n_per_mm,
                    bar_nm_per_deg: per_degree(bar),
                    front_percent,
                });
            }
        }
        Some(Roll { blades, ..roll })
    }

    fn holds_in_roll(&self, axle: &AxleRide) -> Option<Holds> {
        let described = &self.gear.axle(axle.axle)?.described;
        let half = axle.track_mm / 2.0;
        let both = |rates: [f64; 2]| (rates[0] + rates[1]) * half * half;
        let wheel = |i: usize| axle.wheels[i].in_roll().map(|r| r.whole_n_per_mm);
        let bar = axle.bar_n_per_mm;
        let (sprung, unsprung) = (axle.sprung_corner_kg?, axle.unsprung_kg?);
        Some(Holds {
            axle: axle.axle,
            springs: both([wheel(0)?, wheel(1)?]),
            bar: both(bar.map(|rate| rate.unwrap_or(0.0))),
            tyres: both([axle.tyre_n_per_mm; 2]),
            track: axle.track_mm,
            centre: axle.roll_centre_mm?,
            sprung: 2.0 * sprung * GRAVITY,
            unsprung: unsprung * GRAVITY,
            unsprung_height: described.tyre.mounted(&described.wheel).loaded_radius,
        })
    }

    /// An axle's bar with its blades turned: the angle, a blade's rate, and the bar's stiffness in roll.
    fn turned_blades(&self, name: AxleName, track: f64) -> Vec<(f64, f64, f64)> {
        let bar = self.gear.axle(name).and_then(|axle| axle.described.bar);
        let Some(bar @ RollBar { blade: Some(Blade::Section(section)), .. }) = bar else { return Vec::new() };
        let turned = |degrees: f64| {
            let rate = section.rate_at(degrees.to_radians());
            let set = RollBar { blade: Some(Blade::Stiffness(rate)), ..bar };
            let [left, right] = self.bar_rate_of(name, &set)?.wheel_n_per_mm;
            Some((degrees, rate, (left? + right?) * track * track / 4.0))
        };
        ANGLES.into_iter().filter_map(turned).collect()
    }
}

/// How a car rolls whose centre of gravity is so high over the ground. None where nothing holds it.
fn rolls(holds: [Holds; 2], height: f64) -> Option<Roll> {
    let sum = |of: fn(&Holds) -> f64| holds.iter().map(of).sum::<f64>();
    let (sprung, unsprung) = (sum(|h| h.sprung), sum(|h| h.unsprung));
    let sprung_height = ((sprung + unsprung) * height - sum(|h| h.unsprung * h.unsprung_height)) / sprung;
    let axis = sum(|h| h.sprung * h.centre) / sprung;
    let (moment, stiffness) = (sprung * (sprung_height - axis), sum(Holds::whole));
    if !(stiffness > 0.0 && holds.iter().all(|h| h.springs + h.bar > 0.0)) {
        return None;
    }
    let axles = holds.map(|h| {
        let elastic = moment * h.whole() / stiffness / h.track;
        let (geometric, below) = (h.sprung * h.centre / h.track, h.unsprung * h.unsprung_height / h.track);
        AxleRoll {
            axle: h.axle,
            springs_nm_per_deg: per_degree(h.springs),
            bar_nm_per_deg: per_degree(h.bar),
            tyres_nm_per_deg: per_degree(h.tyres),
            whole_nm_per_deg: per_degree(h.whole()),
            roll_centre_mm: h.centre,
            transfer: Transfer {
                geometric_n: geometric,
                elastic_n: elastic,
                unsprung_n: below,
                whole_n: geometric + elastic + below,
            },
        }
    });
    let shifts = axles.map(|a| a.transfer.whole_n);
    let moments = [0, 1].map(|i| shifts[i] * holds[i].track);
    Some(Roll {
        deg_per_g: (stiffness > moment).then(|| (moment / (stiffness - moment)).to_degrees()),
        sprung_height_mm: sprung_height,
        axis_height_mm: axis,
        front_percent: shifts[0] / (shifts[0] + shifts[1]) * 100.0,
        moment_front: (moments[0] / (moments[0] + moments[1])).clamp(0.0, 1.0),
        axles,
        blades: Vec::new(),
    })
}
