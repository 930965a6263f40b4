//! Fixed tubes and simple solids: what else is in the way, drawn no finer than it needs to be.

use nalgebra::Vector3;
use serde::Deserialize;

use super::nodes::TubePoint;
use super::units;

/// A round tube along points: a cage's, an exhaust's.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FixedTube {
    /// What the shop calls it.
    pub name: String,
    /// Given on the left and mirrored to the right.
    #[serde(default)]
    pub mirror: bool,
    /// Outside diameter, mm.
    #[serde(deserialize_with = "units::length")]
    pub od: f64,
    /// Wall, mm; left out for a solid bar.
    #[serde(default, deserialize_with = "units::opt_length")]
    pub wall: Option<f64>,
    /// What it is made of.
    #[serde(default)]
    pub grade: Option<String>,
    /// Whether its two ends turn on what they meet, as rod ends and single bolts do; else they are welded.
    #[serde(default)]
    pub pinned: bool,
    /// Corners of its centreline: places, nodes or places on rails, see [`super::Car::tube_line`].
    pub points: Vec<TubePoint>,
}

/// An engine, a sump, a silencer: a solid about as large.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Block {
    /// What the shop calls it.
    pub name: String,
    /// Given on the left and mirrored to the right.
    #[serde(default)]
    pub mirror: bool,
    /// Its shape.
    pub shape: BlockShape,
}

/// A block's shape.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum BlockShape {
    /// A box that stands square to the car.
    Box {
        /// One corner, mm.
        #[serde(deserialize_with = "units::point")]
        from: Vector3<f64>,
        /// The corner across, mm.
        #[serde(deserialize_with = "units::point")]
        to: Vector3<f64>,
    },
    /// Upright walls on an outline in plan.
    Plan {
        /// Corners in plan, (x, y), going once around, mm.
        #[serde(deserialize_with = "units::plan_points")]
        outline: Vec<[f64; 2]>,
        /// z of its underside, mm.
        #[serde(deserialize_with = "units::length")]
        bottom: f64,
        /// z of its top, mm.
        #[serde(deserialize_with = "units::length")]
        top: f64,
    },
}

impl BlockShape {
    /// Its outline in plan, and z of its underside and top, mm.
    pub fn plan(&self) -> (Vec<[f64; 2]>, [f64; 2]) {
        match self {
            Self::Box { from, to } => {
                let (low, high) = (from.inf(to), from.sup(to));
                let outline = vec![[low.x, low.y], [high.x, low.y], [high.x, high.y], [low.x, high.y]];
                (outline, [low.z, high.z])
            }
            Self::Plan { outline, bottom, top } => (outline.clone(), [*bottom, *top]),
        }
    }

    /// Moves it, mm.
    pub(super) fn shift(&mut self, by: Vector3<f64>) {
        match self {
            Self::Box { from, to } => {
                *from += by;
                *to += by;
            }
            Self::Plan { outline, bottom, top } => {
                outline.iter_mut().for_each(|p| *p = [p[0] + by.x, p[1] + by.y]);
                *bottom += by.z;
                *top += by.z;
            }
        }
    }
}
