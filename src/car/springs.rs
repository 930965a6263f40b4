//! Dampers, rockers and anti-roll bars.

use serde::{Deserialize, Serialize};

use super::axle::Tube;
use super::units;

/// The part that carries a damper's, push rod's or drop link's joint.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum MountedOn {
    /// The lower arm.
    LowerArm,
    /// The upper arm.
    UpperArm,
    /// The upright; the trailing arm or the stiff axle, where one of those carries the wheel.
    #[serde(alias = "trailing_arm", alias = "axle")]
    Upright,
    /// The rocker.
    Rocker,
}

/// Damper, or damper and spring in one.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Damper {
    /// The part that carries its lower mount.
    pub on: MountedOn,
    /// Outside diameter over everything (the spring, where it is outside), mm.
    #[serde(deserialize_with = "units::length")]
    pub diameter: f64,
    /// Between its mounts when fully extended, mm.
    #[serde(default, deserialize_with = "units::opt_length")]
    pub open: Option<f64>,
    /// Between its mounts when fully compressed, mm.
    #[serde(default, deserialize_with = "units::opt_length")]
    pub closed: Option<f64>,
}

/// Rocker: a push or pull rod turns it about its pivot axis, and it works the damper.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Rocker {
    /// The part that carries the rod's outer joint.
    pub on: MountedOn,
    /// The rod.
    pub push_rod: Tube,
}

/// Anti-roll bar: a torsion bar across the car with a lever and a drop link a side.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RollBar {
    /// The part that carries the drop link's outer joint.
    pub on: MountedOn,
    /// The bar between its levers.
    pub tube: Tube,
    /// Its drop links.
    #[serde(default)]
    pub link: Option<Tube>,
    /// Stiffness of one lever at its end, N/mm: a blade's, at the angle that it is set to. Left out, it is rigid.
    #[serde(default)]
    pub blade: Option<f64>,
}
