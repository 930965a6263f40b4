//! An anti-roll bar's stiffness.

use nalgebra::Vector3;
use serde::Serialize;

use crate::answer::Study;
use crate::car::axle::RollBar;
use crate::car::{AxleName, PointName, Side};
use crate::motion::Mode;
use crate::strength::forces::torsion;

/// How stiff an anti-roll bar is. Bending of the bar and of what carries it is left out.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct BarRate {
    /// The axle.
    pub axle: AxleName,
    /// Of the tube between its levers.
    pub length_mm: f64,
    /// Left and right lever's end from the bar's axis.
    pub lever_mm: [f64; 2],
    /// Torque for a degree of twist of the tube.
    pub tube_nm_per_deg: f64,
    /// Force at the left and right lever's end for each millimetre that both go, one up and one down.
    pub lever_end_n_per_mm: [f64; 2],
    /// Force at the left and right wheel for each millimetre that both go, one up and one down, at ride height; none
    /// where the linkage is in a toggle.
    pub wheel_n_per_mm: [Option<f64>; 2],
}

impl Study {
    /// The anti-roll bar of an axle, where it has one.
    pub(in crate::answer) fn bar_rate(&self, name: AxleName) -> Option<BarRate> {
        self.bar_rate_of(name, &self.gear.axle(name)?.described.bar?)
    }

    /// The same with another bar between the same points.
    pub(in crate::answer) fn bar_rate_of(&self, name: AxleName, bar: &RollBar) -> Option<BarRate> {
        let axle = self.gear.axle(name)?;
        let at = |name| Some(Side::BOTH.map(|side| axle.measured.at(side, name).unwrap_or_default()));
        let (pivots, ends) = (at(PointName::BarPivot)?, at(PointName::BarLever)?);
        let across: Vector3<f64> = pivots[0] - pivots[1];
        let along = across.try_normalize(1e-9)?;
        let arm = |i: usize| (ends[i] - pivots[i]).cross(&along).norm();
        let (length, arms) = (across.norm(), [arm(0), arm(1)]);
        let stiffness = torsion(bar.tube, length);
        let ride = self.gear.ride.axle(name)?;
        let ratios = [0, 1].map(|i| axle.bar_ratio(&ride[i], Mode::Roll));
        let wheels = ratios[0].zip(ratios[1]).map(|(left, right)| {
            let forces = lever_ends(stiffness, arms, [left, right], bar);
            [forces[0] * left, forces[1] * right]
        });
        Some(BarRate {
            axle: name,
            length_mm: length,
            lever_mm: arms,
            tube_nm_per_deg: stiffness.to_radians() / 1000.0,
            lever_end_n_per_mm: lever_ends(stiffness, arms, [1.0; 2], bar),
            wheel_n_per_mm: [0, 1].map(|i| wheels.map(|forces| forces[i])),
        })
    }
}

/// Force at each lever's end for the millimetres s_i that they go, one up and the other down, N.
///
/// The tube's torque T is the same at both levers, so the end of the lever of arm a_i carries F_i = T / a_i. A blade of
/// stiffness c bends by F_i / c, and the rest of s_i turns the tube's end by t_i = (s_i - T / (a_i c)) / a_i. With
/// T = k (t_1 + t_2):
///
/// T = k (s_1/a_1 + s_2/a_2) / (1 + (k / c) (1/a_1² + 1/a_2²))
///
/// With levers alike F / s = 1 / (a² / 2k + 1 / c): half the tube and one blade in series; rigid ones leave 2 k / a².
fn lever_ends(k: f64, arms: [f64; 2], goes: [f64; 2], bar: &RollBar) -> [f64; 2] {
    let give = bar.blade.map_or(0.0, |blade| k / blade.rate());
    let twist = goes[0] / arms[0] + goes[1] / arms[1];
    let torque = k * twist / (1.0 + give * arms.map(|a| 1.0 / (a * a)).iter().sum::<f64>());
    arms.map(|a| torque / a)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::car::axle::{Blade, MountedOn, Tube};

    fn bar(blade: Option<f64>) -> RollBar {
        RollBar {
            on: MountedOn::Upright,
            tube: Tube { od: 20.0, wall: None, bow: None },
            link: None,
            blade: blade.map(Blade::Stiffness),
        }
    }

    /// By hand: J = pi/32 x 20^4 = 15708 mm^4, G J / L = 79300 x 15708 / 1000 = 1.24564e6 N mm/rad; with levers of
    /// 200 mm 2 k / a² = 62.28 N/mm.
    #[test]
    fn a_solid_bar_of_20_mm_and_a_metre_between_its_levers() {
        let k = torsion(bar(None).tube, 1000.0);
        assert!((k - 1.24564e6).abs() < 10.0, "{k}");
        let [left, right] = lever_ends(k, [200.0; 2], [1.0; 2], &bar(None));
        assert!((left - 62.28).abs() < 0.01 && left == right, "{left} {right}");
    }

    /// Closed form: two rings make a bar, so tubes of 20 over and 20 bore within 30 over add up.
    #[test]
    fn a_tube_is_the_bar_less_its_bore() {
        let tube = |od, wall| torsion(Tube { od, wall, bow: None }, 500.0);
        let (whole, core, ring) = (tube(30.0, None), tube(20.0, None), tube(30.0, Some(5.0)));
        assert!((core + ring - whole).abs() < 1e-6 * whole);
    }

    /// Closed form: springs in series, each blade with half of the tube.
    #[test]
    fn blades_are_in_series_with_half_the_tube_each() {
        let (k, a, c) = (1.2e6, 180.0, 40.0);
        let [rate, _] = lever_ends(k, [a; 2], [1.0; 2], &bar(Some(c)));
        assert!((1.0 / rate - (a * a / (2.0 * k) + 1.0 / c)).abs() < 1e-12);
    }

    /// Statics: both levers feel one torque; and the ends' work is what tube and blades hold (virtual work).
    #[test]
    fn unequal_levers_carry_one_torque() {
        let (k, arms, goes, c) = (1.2e6, [150.0, 220.0], [1.3, 0.8], 55.0);
        let forces = lever_ends(k, arms, goes, &bar(Some(c)));
        assert!((forces[0] * arms[0] - forces[1] * arms[1]).abs() < 1e-9);
        let torque = forces[0] * arms[0];
        let work = (forces[0] * goes[0] + forces[1] * goes[1]) / 2.0;
        let held = torque * torque / (2.0 * k) + forces.iter().map(|f| f * f / (2.0 * c)).sum::<f64>();
        assert!((work - held).abs() < 1e-9, "{work} {held}");
    }
}
