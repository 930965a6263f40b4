//! How an arm is built beside its two straight legs: bent legs, a tube across, a gusset at the ball joint.

use serde::Deserialize;

use super::units;

/// An arm of two legs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum WhichArm {
    /// The lower one; the lower links, or the trailing arm.
    Lower,
    /// The upper one; the upper links.
    Upper,
}

impl WhichArm {
    /// As it is spoken.
    pub fn word(self) -> &'static str {
        match self {
            Self::Lower => "lower",
            Self::Upper => "upper",
        }
    }
}

/// What an arm of two legs has that straight legs have not. Lengths run from the ball joint along the straight line to the
/// leg's pickup, and are the left arm's.
#[derive(Debug, Clone, Copy, PartialEq, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct ArmShape {
    /// Where the front leg is bent.
    pub front_bend: Option<Bend>,
    /// Where the rear leg is bent.
    pub rear_bend: Option<Bend>,
    /// How far from the ball joint a tube like the legs ties them to each other, mm.
    #[serde(deserialize_with = "units::opt_length")]
    pub cross: Option<f64>,
    /// A plate between the legs at the ball joint.
    pub gusset: Option<Gusset>,
}

/// A bend of an arm's leg.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Bend {
    /// How far from the ball joint, mm.
    #[serde(deserialize_with = "units::length")]
    pub at: f64,
    /// How far out of the straight line towards the other leg, mm; negative away from it.
    #[serde(default, deserialize_with = "units::length")]
    pub inward: f64,
    /// How far out of the straight line upwards, square to the arm's plane, mm.
    #[serde(default, deserialize_with = "units::length")]
    pub up: f64,
}

/// A plate between an arm's legs.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Gusset {
    /// How far from the ball joint it reaches along both legs, mm.
    #[serde(deserialize_with = "units::length")]
    pub reach: f64,
    /// Its thickness, mm.
    #[serde(deserialize_with = "units::length")]
    pub thickness: f64,
}

impl ArmShape {
    /// Whether both legs are straight and nothing is between them.
    pub fn is_plain(&self) -> bool {
        *self == Self::default()
    }

    /// How far its legs are bent out of the straight line at most, mm.
    pub fn bow(&self) -> f64 {
        let bends = [self.front_bend, self.rear_bend].into_iter().flatten();
        bends.map(|bend| bend.inward.hypot(bend.up)).fold(0.0, f64::max)
    }
}
