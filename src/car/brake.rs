//! Brakes and hubs: what a wheel has to go over, and what it is bolted to.

use serde::Deserialize;

use super::units;

/// A brake.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Brake {
    /// Diameter of the disc, mm.
    #[serde(default, deserialize_with = "units::opt_length")]
    pub disc: Option<f64>,
    /// The space that the caliper takes up.
    #[serde(default)]
    pub caliper: Option<Caliper>,
}

/// The space that a caliper takes up: a sector of a ring about the spin axis, fixed to the upright.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Caliper {
    /// Its outermost point from the spin axis, mm.
    #[serde(deserialize_with = "units::length")]
    pub radius: f64,
    /// How far in towards the axis it reaches, mm; 60 mm where it is left out (common practice, no source).
    #[serde(default = "default_depth", deserialize_with = "units::length")]
    pub depth: f64,
    /// Its inboard side outboard of the hub's face, where a wheel or its spacer sits, mm: negative where it lies inboard.
    #[serde(deserialize_with = "units::length")]
    pub inboard: f64,
    /// Its outboard side outboard of the hub's face, mm.
    #[serde(deserialize_with = "units::length")]
    pub outboard: f64,
    /// Where about the axis it begins, radians from straight ahead, up positive: over the axle is 90 degrees, behind 180.
    #[serde(default = "default_from", deserialize_with = "units::angle")]
    pub from: f64,
    /// Where it ends, radians.
    #[serde(default = "default_to", deserialize_with = "units::angle")]
    pub to: f64,
}

fn default_depth() -> f64 {
    60.0
}

/// It takes part in no gap to the wheel, which is round: straight behind will do.
fn default_from() -> f64 {
    150f64.to_radians()
}

fn default_to() -> f64 {
    210f64.to_radians()
}

/// What a wheel is bolted to.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HubFace {
    /// Its studs.
    pub studs: Studs,
    /// Diameter of the spigot that centres the wheel, mm.
    #[serde(default, deserialize_with = "units::opt_length")]
    pub spigot: Option<f64>,
}

/// Studs or bolts of a hub.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Studs {
    /// How many.
    pub count: u32,
    /// Diameter of the circle that they stand on, mm.
    #[serde(deserialize_with = "units::length")]
    pub circle: f64,
}
