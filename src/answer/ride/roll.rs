//! How the car rolls, and what each axle's outer wheel takes of what cornering shifts.
//!
//! Steadily cornering at one g, first order (Milliken & Milliken, Race Car Vehicle Dynamics, ch. 18): the sprung weight
//! pushes each axle sideways at its roll centre, which shifts load by itself (geometric); about the line through both
//! roll centres it rolls the body, which springs and bars hold (elastic); and what hangs below the springs shifts load
//! at its own height (unsprung). Each times its track, the three together come to W h for the whole car. The tyres are
//! pressed by all three: springs of Ks on tyres of Kt, which links and unsprung weight press by G besides, hold S phi -
//! G Ks / (Ks + Kt) of a body that stands at phi to the road, S = Ks Kt / (Ks + Kt). That the body's weight moves aside
//! as it rolls adds to the roll angle and to what the springs shift (Gillespie, Fundamentals of Vehicle Dynamics, ch.
//! 6): that comes on top and is told by itself. What moves aside as the tyres give way alone is left out.

use serde::Serialize;

use super::{AxleRide, series};
use crate::answer::Study;
use crate::car::AxleName;
use crate::car::axle::{Blade, RollBar};
use crate::car::units::GRAVITY;

/// How the car rolls.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Roll {
    /// Roll gradient: of the body against the road for each g of cornering. None where nothing holds it up.
    pub deg_per_g: Option<f64>,
    /// Centre of gravity of what the springs carry, over the ground.
    pub sprung_height_mm: f64,
    /// The line through both roll centres, over the ground under that.
    pub axis_height_mm: f64,
    /// The front axle's share of the load transfer, per cent.
    pub front_percent: f64,
    /// The front axle's share of the roll moment, 0 to 1: what `roll_front` in the car file's `weight` means.
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
    /// What the body's weight adds by moving aside as it rolls: on top of those.
    pub leaning_n: f64,
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
    /// The front axle's share of the load transfer, per cent.
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

    /// Moment at one g that presses the tyres past the springs, N mm: through the roll centre, and of what hangs below.
    fn past_springs(&self) -> f64 {
        self.sprung * self.centre + self.unsprung * self.unsprung_height
    }

    /// What the springs hold less of because the tyres give way by that already, N mm.
    fn relieved(&self) -> f64 {
        let springs = self.springs + self.bar;
        self.past_springs() * springs / (springs + self.tyres)
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
    // Of the body against the road: before its weight leans out, and with that.
    let turns = moment + sum(Holds::relieved);
    let upright = turns / stiffness;
    let angle = (stiffness > moment).then(|| turns / (stiffness - moment));
    let axles = holds.map(|h| {
        let elastic = (h.whole() * upright - h.relieved()) / h.track;
        let leaning = angle.map_or(0.0, |angle| h.whole() * (angle - upright) / h.track);
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
                leaning_n: leaning,
            },
        }
    });
    let shifts = axles.map(|a| a.transfer.whole_n);
    let moments = [0, 1].map(|i| shifts[i] * holds[i].track);
    Some(Roll {
        deg_per_g: angle.map(f64::to_degrees),
        sprung_height_mm: sprung_height,
        axis_height_mm: axis,
        front_percent: shifts[0] / (shifts[0] + shifts[1]) * 100.0,
        moment_front: (moments[0] / (moments[0] + moments[1])).clamp(0.0, 1.0),
        axles,
        blades: Vec::new(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Barton & Fieldhouse, Automotive Chassis Engineering (Springer, 2018), ch. 3, page 174: 1280 kg on springs, 54 %
    /// of it in front, 0.365 m over a roll axis that runs from 0.07 to 0.32 m; 140 and 180 kg below them at 0.28 and
    /// 0.3 m; tracks of 1.46 m; 28 650 Nm/rad in all. It rolls 10.9 deg for a g; at 0.6 g the roll centres shift 195
    /// and 760 N, the unsprung masses 158 and 218 N, and springs 1556 and 671 N, the body's leaning in that. The share
    /// of each axle's springs stands on a page before: 0.7 of the sum in front is read back from those two.
    #[test]
    fn a_textbooks_car_rolls_and_shifts_load_as_it_says() {
        let g = 9.81;
        let axle = |axle, share, centre, below, height, part| Holds {
            axle,
            springs: 28.65e6 * part,
            bar: 0.0,
            tyres: 1e18,
            track: 1460.0,
            centre,
            sprung: 1280.0 * g * share,
            unsprung: below * g,
            unsprung_height: height,
        };
        let front = axle(AxleName::Front, 0.54, 70.0, 140.0, 280.0, 0.7);
        let rear = axle(AxleName::Rear, 0.46, 320.0, 180.0, 300.0, 0.3);
        let height = (1280.0 * (365.0 + 0.54 * 70.0 + 0.46 * 320.0) + 140.0 * 280.0 + 180.0 * 300.0) / 1600.0;
        let roll = rolls([front, rear], height).unwrap();
        assert!((roll.deg_per_g.unwrap() - 10.9).abs() < 0.05, "{roll:?}");
        for (axle, [geometric, unsprung, springs]) in
            roll.axles.iter().zip([[195.0, 158.0, 1556.0], [760.0, 218.0, 671.0]])
        {
            let t = axle.transfer;
            assert!((0.6 * t.geometric_n - geometric).abs() < 1.0, "{t:?}");
            assert!((0.6 * t.unsprung_n - unsprung).abs() < 1.0, "{t:?}");
            // The book rounds the angle on its way.
            assert!((0.6 * (t.elastic_n + t.leaning_n) / springs - 1.0).abs() < 0.01, "{t:?}");
        }
        let held: f64 = roll.axles.iter().map(|a| a.transfer.whole_n * 1460.0).sum();
        assert!((held - 1600.0 * g * height).abs() < 1e-6 * held);
    }

    /// Closed form: springs of rates k at the wheels of a track t hold k t²/2 for a radian, tyres in series with them.
    #[test]
    fn a_car_without_springs_does_not_hold_itself_up() {
        let axle = |axle, springs| Holds {
            axle,
            springs,
            bar: 0.0,
            tyres: 1e9,
            track: 1500.0,
            centre: 0.0,
            sprung: 5000.0,
            unsprung: 500.0,
            unsprung_height: 300.0,
        };
        assert!(rolls([axle(AxleName::Front, 0.0), axle(AxleName::Rear, 1e7)], 500.0).is_none());
        // So soft that the weight that leans out is more than the springs hold.
        let soft = rolls([axle(AxleName::Front, 1e6), axle(AxleName::Rear, 1e6)], 500.0).unwrap();
        assert_eq!(soft.deg_per_g, None);
    }
}
