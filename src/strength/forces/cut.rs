//! What goes through a stiff axle's tube or a trailing arm where it is cut: all that acts beyond the cut.

use nalgebra::Vector3;

use super::Part;
use super::bending::Mounted;
use crate::car::PointName;

/// What goes through a part at one place along it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cut {
    /// The axle, or what carries a wheel.
    pub part: Part,
    /// The joint that it is beside.
    pub at: PointName,
    /// Along the part, tension positive, N.
    pub axial: f64,
    /// Bending about any line across it, N mm.
    pub moment: f64,
    /// Torque along it, N mm.
    pub twist: f64,
    /// The part's length, mm.
    pub length: f64,
}

/// Cuts a part that runs straight between two places just before and just beyond everything that acts on it. A wheel's
/// load comes in at its hub, wherever the ground is.
pub(super) fn cuts(part: Part, ends: [Vector3<f64>; 2], loads: &[Mounted]) -> Vec<Cut> {
    let length = (ends[1] - ends[0]).norm();
    let along = (ends[1] - ends[0]) / length;
    let far = |l: &Mounted| {
        let s = (l.at - ends[0]).dot(&along);
        // A hub is an end: the nearer one.
        if l.point == PointName::WheelCentre { if s > length / 2.0 { length } else { 0.0 } } else { s }
    };
    let mut told = Vec::new();
    for place in loads {
        for s in [far(place) - 1e-6, far(place) + 1e-6] {
            let here = ends[0] + along * s;
            let beyond = || loads.iter().filter(|l| far(l) > s);
            let force: Vector3<f64> = beyond().map(|l| l.force).sum();
            let moment: Vector3<f64> = beyond().map(|l| (l.at - here).cross(&l.force) + l.moment).sum();
            let twist = moment.dot(&along);
            let (axial, across) = (force.dot(&along), (moment - along * twist).norm());
            told.push(Cut { part, at: place.point, axial, moment: across, twist: twist.abs(), length });
        }
    }
    told
}
