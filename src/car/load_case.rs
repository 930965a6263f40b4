//! What the car weighs, and the load cases that its suspension is asked about.

use nalgebra::Vector3;
use serde::{Deserialize, Serialize};

use super::axle::{AxleName, Side};
use super::units;

/// What the car weighs, driver, fuel and all.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Weight {
    /// kg.
    #[serde(deserialize_with = "units::mass")]
    pub mass: f64,
    /// Share that the front wheels carry at rest, 0 to 1.
    pub front: f64,
    /// The front axle's share of what cornering shifts from the inner wheels to the outer ones, 0 to 1: springs, bars
    /// and roll centres together. Left out, it is what `ride` answers where both axles have springs, else `front`.
    #[serde(default)]
    pub roll_front: Option<f64>,
}

/// One way in which the car is loaded. Accelerations are in g.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LoadCase {
    /// What the shop calls it.
    pub name: String,
    /// Positive where the car gains speed, negative in braking.
    #[serde(default)]
    pub forward: f64,
    /// Positive in a left turn.
    #[serde(default)]
    pub left: f64,
    /// How many times its weight the car stands on the ground with: 1 on a level road, 3 in a hard bump.
    #[serde(default = "one")]
    pub up: f64,
    /// How the car stands, from ride height.
    #[serde(default)]
    pub pose: CasePose,
    /// Wheels whose force is given, in place of what the accelerations make it.
    #[serde(default)]
    pub wheels: Vec<AtWheel>,
}

fn one() -> f64 {
    1.0
}

/// How the car stands in a load case, from ride height; signs as of every pose.
#[derive(Debug, Clone, Copy, PartialEq, Default, Deserialize, Serialize)]
#[serde(deny_unknown_fields, default)]
pub struct CasePose {
    /// Positive when the body rises, mm.
    #[serde(deserialize_with = "units::length")]
    pub heave: f64,
    /// Positive when the left side rises, radians.
    #[serde(deserialize_with = "units::angle")]
    pub roll: f64,
    /// Positive nose-down, radians.
    #[serde(deserialize_with = "units::angle")]
    pub pitch: f64,
    /// Steering travel, positive to the car's left, mm.
    #[serde(deserialize_with = "units::length")]
    pub rack: f64,
}

/// A wheel's force from the ground: forward, left, up, over the ground. One of the two is given.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AtWheel {
    /// Its axle.
    pub axle: AxleName,
    /// Its side.
    pub side: Side,
    /// N.
    #[serde(default, deserialize_with = "units::opt_forces")]
    pub force: Option<Vector3<f64>>,
    /// Times what the wheel stands on at rest.
    #[serde(default)]
    pub times: Option<(f64, f64, f64)>,
}

impl LoadCase {
    /// The usual cases of a car that names none. All their numbers are common practice, no source: sticky tyres brake
    /// and corner at 1.2 to 1.5 g, arms are designed for 2.5 g in corners (few cars without wings reach it before they
    /// tip: then all of the weight stands on the outer wheels), a hard bump is 3 times the weight, a kerb strikes with twice the wheel's load
    /// inboard.
    pub fn usual(rear: bool) -> Vec<Self> {
        let case = |name: &str, forward, left, up| Self {
            name: name.to_owned(),
            forward,
            left,
            up,
            pose: CasePose::default(),
            wheels: Vec::new(),
        };
        let kerb = |name: &str, axle| Self {
            wheels: vec![AtWheel { axle, side: Side::Left, force: None, times: Some((0.0, -2.0, 2.0)) }],
            ..case(name, 0.0, 0.0, 1.0)
        };
        let mut cases = vec![
            case("standing", 0.0, 0.0, 1.0),
            case("braking", -1.4, 0.0, 1.0),
            case("driving", 0.8, 0.0, 1.0),
            case("left turn", 0.0, 1.2, 1.0),
            case("right turn", 0.0, -1.2, 1.0),
            case("hard left turn", 0.0, 2.5, 1.0),
            case("hard right turn", 0.0, -2.5, 1.0),
            case("braking into a left turn", -1.0, 1.0, 1.0),
            case("braking into a right turn", -1.0, -1.0, 1.0),
            case("bump", 0.0, 0.0, 3.0),
            case("braking over a bump", -1.0, 0.0, 2.0),
            kerb("kerb strike, left front", AxleName::Front),
        ];
        if rear {
            cases.push(kerb("kerb strike, left rear", AxleName::Rear));
        }
        cases
    }

    /// What it asks, in words: `1.4 g braking`.
    pub fn says(&self) -> String {
        let mut words = Vec::new();
        if self.up != 1.0 {
            words.push(format!("{} g of bump", self.up));
        }
        if self.forward != 0.0 {
            words.push(format!("{} g {}", self.forward.abs(), if self.forward < 0.0 { "braking" } else { "driving" }));
        }
        if self.left != 0.0 {
            words.push(format!("{} g in a {} turn", self.left.abs(), if self.left > 0.0 { "left" } else { "right" }));
        }
        if words.is_empty() {
            words.push("its standing weight".to_owned());
        }
        words.join(" and ")
    }
}
