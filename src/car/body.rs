//! What is fixed to the body: frame rails, panels and the splitter.

use nalgebra::Vector3;
use serde::{Deserialize, Serialize};

use super::axle::AxleName;
use super::sawn::{EndPlate, RailNotch, SawCut};
use super::units;

/// A rail's section.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum Section {
    /// Rectangular, its height as near upright as the rail's run lets it be.
    Box {
        /// Across the rail, level, mm.
        #[serde(deserialize_with = "units::length")]
        width: f64,
        /// Across the rail, upright, mm.
        #[serde(deserialize_with = "units::length")]
        height: f64,
    },
    /// Round tube.
    Round {
        /// Outside diameter, mm.
        #[serde(deserialize_with = "units::length")]
        od: f64,
    },
}

/// A frame rail along a centreline.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Rail {
    /// What the shop calls it.
    pub name: String,
    /// Given on the left and mirrored to the right.
    #[serde(default)]
    pub mirror: bool,
    /// Its section.
    pub section: Section,
    /// Wall, mm.
    #[serde(deserialize_with = "units::length")]
    pub wall: f64,
    /// Corners of the centreline, mm. Stations run along it from the first.
    #[serde(deserialize_with = "units::points")]
    pub centreline: Vec<Vector3<f64>>,
    /// What the first point of the centreline is, so that a tape can find it: `front face of the firewall`.
    pub datum: String,
    /// Station of the first point, mm: not nought where the shop counts stations from somewhere else along the rail.
    #[serde(default, deserialize_with = "units::length")]
    pub datum_station: f64,
    /// What it is made of.
    #[serde(default)]
    pub grade: Option<String>,
    /// Where it is cut through.
    #[serde(default)]
    pub cuts: Vec<SawCut>,
    /// Where it is notched.
    #[serde(default)]
    pub notches: Vec<RailNotch>,
    /// Plates on its cut ends.
    #[serde(default)]
    pub plates: Vec<EndPlate>,
}

/// Bodywork: a skin through rows of measured points, such as a wheel arch between its lip and its inner edge.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Panel {
    /// What the shop calls it.
    pub name: String,
    /// Given on the left and mirrored to the right.
    #[serde(default)]
    pub mirror: bool,
    /// Thickness, mm, half to each side of the measured skin.
    #[serde(deserialize_with = "units::length")]
    pub thickness: f64,
    /// Two or more rows of as many points each, mm; the skin joins neighbours along and across the rows.
    #[serde(deserialize_with = "units::rows")]
    pub rows: Vec<Vec<Vector3<f64>>>,
}

/// A flat plate under the nose.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Splitter {
    /// Corners in plan, (x, y), going once around, mm.
    #[serde(deserialize_with = "units::plan_points")]
    pub outline: Vec<[f64; 2]>,
    /// Thickness, mm.
    #[serde(deserialize_with = "units::length")]
    pub thickness: f64,
    /// Underside over the ground at this car's ride height, mm.
    #[serde(deserialize_with = "units::length")]
    pub height: f64,
}

/// A place on the chassis where a ride height is taken.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Datum {
    /// What the shop calls it.
    pub name: String,
    /// Whether there is one on each side: then `at` is the left one's.
    #[serde(default)]
    pub mirror: bool,
    /// Where it is, mm.
    #[serde(deserialize_with = "units::point")]
    pub at: Vector3<f64>,
}

/// Masses and brakes: what anti-dive, anti-lift and anti-squat are shares of.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Balance {
    /// Centre of gravity over the ground at ride height, mm.
    #[serde(deserialize_with = "units::length")]
    pub cg_height: f64,
    /// Share of the braking force at the front wheels, 0 to 1. Left out, it is what the car's `brakes` make it: see
    /// [`super::Car::brakes_front`].
    #[serde(default)]
    pub brakes_front: Option<f64>,
    /// The axle that drives.
    #[serde(default)]
    pub driven: Driven,
}

/// The wheels that the engine turns.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Driven {
    /// The front ones.
    Front,
    /// The rear ones.
    #[default]
    Rear,
    /// All four, each axle with half of the force.
    Both,
}

/// How far the car moves: what an answer covers.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct Sweep {
    /// Wheel travel up from ride height, mm.
    #[serde(deserialize_with = "units::length")]
    pub bump: f64,
    /// Wheel travel down from ride height, mm, positive.
    #[serde(deserialize_with = "units::length")]
    pub droop: f64,
    /// Rear wheel travel up, mm; as the front's where left out.
    #[serde(default, deserialize_with = "units::opt_length", skip_serializing_if = "Option::is_none")]
    pub rear_bump: Option<f64>,
    /// Rear wheel travel down, mm, positive; as the front's where left out.
    #[serde(default, deserialize_with = "units::opt_length", skip_serializing_if = "Option::is_none")]
    pub rear_droop: Option<f64>,
    /// Body roll each way, radians.
    #[serde(default, deserialize_with = "units::angle")]
    pub roll: f64,
    /// Body pitch each way, radians.
    #[serde(default, deserialize_with = "units::angle")]
    pub pitch: f64,
}

impl Sweep {
    /// Wheel travel of an axle from ride height, [up, down], mm, both positive.
    pub fn travel(&self, axle: AxleName) -> [f64; 2] {
        match axle {
            AxleName::Front => [self.bump, self.droop],
            AxleName::Rear => [self.rear_bump.unwrap_or(self.bump), self.rear_droop.unwrap_or(self.droop)],
        }
    }
}

/// The gaps that the user asks for. The defaults are common practice, no source.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize, Serialize)]
#[serde(deny_unknown_fields, default)]
pub struct WantedGaps {
    /// Tyre to rails, panels and splitter, mm.
    #[serde(deserialize_with = "units::length")]
    pub tyre_to_body: f64,
    /// Tyre to arms, tie rod and damper, mm.
    #[serde(deserialize_with = "units::length")]
    pub tyre_to_linkage: f64,
    /// Rim to arms, tie rod and damper, mm.
    #[serde(deserialize_with = "units::length")]
    pub rim_to_linkage: f64,
    /// Rim to the brake, mm: 3 where it is left out (common practice, no source).
    #[serde(deserialize_with = "units::length")]
    pub brake_to_rim: f64,
    /// Arms, links, dampers and whatever else moves, to rails, panels, tubes and blocks, mm.
    #[serde(deserialize_with = "units::length")]
    pub linkage_to_body: f64,
    /// The same to each other, mm.
    #[serde(deserialize_with = "units::length")]
    pub linkage_to_linkage: f64,
    /// Rails and arms to the ground, mm.
    #[serde(deserialize_with = "units::length")]
    pub to_ground: f64,
    /// Splitter to the ground, mm.
    #[serde(deserialize_with = "units::length")]
    pub splitter_to_ground: f64,
}

impl Default for WantedGaps {
    fn default() -> Self {
        Self {
            tyre_to_body: 15.0,
            tyre_to_linkage: 8.0,
            rim_to_linkage: 4.0,
            brake_to_rim: 3.0,
            linkage_to_body: 5.0,
            linkage_to_linkage: 3.0,
            to_ground: 40.0,
            splitter_to_ground: 15.0,
        }
    }
}
