//! What turns the wheels: a rack, or a box with pitman arm, idler arm and centre link.

use serde::Deserialize;

use super::units;

/// Steering rack. Its axis runs through the two inner tie-rod joints.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Rack {
    /// From straight ahead to the mechanical stop, each way, mm.
    #[serde(deserialize_with = "units::length")]
    pub travel: f64,
    /// Rack travel for one turn of the steering wheel, mm.
    #[serde(default, deserialize_with = "units::opt_length")]
    pub per_turn: Option<f64>,
}

/// Steering box. Its pitman arm and an idler arm carry the centre link, and that the inner tie-rod joints.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SteeringBox {
    /// Turn of the pitman arm from straight ahead to the stop, each way, radians.
    #[serde(deserialize_with = "units::angle")]
    pub lock: f64,
    /// Turns of the steering wheel for one turn of the pitman arm.
    #[serde(default)]
    pub ratio: Option<f64>,
}
