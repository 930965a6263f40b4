//! The torque of an anti-roll bar in a pose.

use crate::car::axle::Tube;
use crate::car::{PointName, Side};
use crate::motion::{CornerPose, Suspension};

/// Shear modulus of steel, N/mm² (Shigley, Mechanical Engineering Design, table A-5, carbon steel, from memory).
const STEEL: f64 = 79_300.0;

/// Torque of a steel tube for a radian of twist, N mm: k = G J / L with J = pi/32 (D^4 - d^4).
pub fn torsion(tube: Tube, length: f64) -> f64 {
    let inside = tube.wall.map_or(0.0, |wall| tube.od - 2.0 * wall);
    STEEL * std::f64::consts::PI / 32.0 * (tube.od.powi(4) - inside.powi(4)) / length
}

/// The moment about its axis, which points to the left, that the left drop link puts on the bar in a pose, N mm; the
/// right one puts as much the other way. None where the axle has no bar or a drop link does not reach.
///
/// The bar was untwisted as measured. Levers at angles p_l and p_r twist it by p_l - p_r, of which its blades of
/// stiffness c take T / (c a²) each: T = k (p_l - p_r) / (1 + (k / c) (1/a_l² + 1/a_r²)).
pub(super) fn torque(axle: &Suspension, wheels: &[CornerPose; 2]) -> Option<f64> {
    let bar = axle.described.bar?;
    let at = |side, name| axle.measured.at(side, name);
    let across = at(Side::Left, PointName::BarPivot)? - at(Side::Right, PointName::BarPivot)?;
    let along = across.try_normalize(1e-9)?;
    let (mut twist, mut blades) = (0.0, 0.0);
    for (pose, sign) in wheels.iter().zip([1.0, -1.0]) {
        let arm = at(pose.hub.side, PointName::BarLever)? - at(pose.hub.side, PointName::BarPivot)?;
        // The core's angle is positive for a rising end; about an axis to the left one behind it rises.
        let turned = axle.lever_angle(pose)? * if arm.x < 0.0 { 1.0 } else { -1.0 };
        twist += sign * turned;
        blades += 1.0 / arm.cross(&along).norm_squared();
    }
    let k = torsion(bar.tube, across.norm());
    Some(k * twist / (1.0 + bar.blade.map_or(0.0, |blade| k / blade.rate()) * blades))
}
