//! The description of a car: read, checked, changed, written. No maths beyond units.
//!
//! A car file is one `.ron` file in our own schema. [`Car`] is that file as values; a proposal applied to it is a
//! [`Car`] again. Lengths are millimetres, angles radians, in the vehicle frame (ISO 8855: x forward, y left, z up).

pub mod amounts;
mod apply;
pub mod arm;
pub mod axle;
pub mod body;
pub mod brake;
pub mod brakes;
mod check;
pub mod edit;
pub mod error;
pub mod file;
pub mod fixed;
pub mod grade;
pub mod load_case;
pub mod nodes;
pub mod pairs;
mod patch;
pub mod points;
pub mod proposal;
mod read;
mod rim;
pub mod sawn;
pub mod scan;
pub mod springs;
pub mod steering;
mod text;
pub mod units;
pub mod wheel;
mod written;

use serde::Deserialize;

pub use amounts::Amount;
pub use axle::{Axle, AxleName, Hub, PointName, Side, Sides};
pub use body::{Balance, Datum, Panel, Rail, Section, Splitter, Sweep, WantedGaps};
pub use brake::{Brake, Caliper, HubFace, Studs};
pub use brakes::{BrakeCircuit, Brakes};
pub use edit::{Edit, NewScan, ScanFact};
pub use error::CarError;
pub use file::CarFile;
pub use fixed::{Block, BlockShape, FixedTube};
pub use load_case::{LoadCase, Weight};
pub use nodes::{Node, OnRail, Stock, TubePoint};
pub use pairs::{Ignored, Measured};
pub use proposal::{Change, GrowWay, Pickups, Proposal};
pub use sawn::{CutEnd, CutRoom, EndPlate, Ends, Mitre, RailFace, RailNotch, SawCut};
pub use scan::{Picked, Scan, ScannedAs, Trim};
pub use units::{FileUnit, Shown};
pub use wheel::{Drilling, Growth, Mounted, Size, Spokes, Tyre, Wheel};

/// A car as described.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Car {
    /// Version of the schema: 1.
    pub format: u32,
    /// What the shop calls it.
    pub name: String,
    /// Anything worth knowing.
    #[serde(default)]
    pub note: String,
    /// Unit of the bare lengths in the file.
    #[serde(default)]
    pub unit: FileUnit,
    /// Where the frame's origin lies on the car, in words.
    pub origin: String,
    /// Front contact centres to rear ones, mm.
    #[serde(deserialize_with = "units::length")]
    pub wheelbase: f64,
    /// z of the ground at ride height, mm.
    #[serde(default, deserialize_with = "units::length")]
    pub ground: f64,
    /// Front axle.
    pub front: Axle,
    /// Rear axle, if it was measured.
    #[serde(default)]
    pub rear: Option<Axle>,
    /// Where ride heights are taken.
    #[serde(default)]
    pub datums: Vec<Datum>,
    /// Masses and brakes, for what depends on them.
    #[serde(default)]
    pub balance: Option<Balance>,
    /// Calipers, discs, master cylinders and pedal.
    #[serde(default)]
    pub brakes: Option<Brakes>,
    /// What it weighs, for load cases.
    #[serde(default)]
    pub weight: Option<Weight>,
    /// The ways in which it is loaded; without any, the usual ones.
    #[serde(default)]
    pub load_cases: Vec<LoadCase>,
    /// Grades of metal beside those of [`crate::strength::material`], or in their place.
    #[serde(default)]
    pub grades: Vec<grade::Grade>,
    /// How many times its worst load a part is to hold before it yields, buckles or passes its rating.
    #[serde(default = "grade::usual_factor")]
    pub wanted_factor: f64,
    /// Frame rails.
    #[serde(default)]
    pub rails: Vec<Rail>,
    /// Bodywork.
    #[serde(default)]
    pub panels: Vec<Panel>,
    /// Scanned bodywork and rails.
    #[serde(default)]
    pub scans: Vec<Scan>,
    /// Tubes: a cage's, an exhaust's.
    #[serde(default)]
    pub tubes: Vec<FixedTube>,
    /// Places where tubes meet.
    #[serde(default)]
    pub nodes: Vec<Node>,
    /// Tube sizes that the shop has.
    #[serde(default)]
    pub stock: Vec<Stock>,
    /// What planned cuts leave room for.
    #[serde(default)]
    pub cutting: CutRoom,
    /// Engine, sump and the like, as simple solids.
    #[serde(default)]
    pub blocks: Vec<Block>,
    /// Splitter.
    #[serde(default)]
    pub splitter: Option<Splitter>,
    /// How far it moves.
    pub sweep: Sweep,
    /// The gaps that are asked for.
    #[serde(default)]
    pub wanted: WantedGaps,
    /// Pairs of parts that are not measured, each with why.
    #[serde(default)]
    pub ignore: Vec<Ignored>,
    /// Pairs of parts that are measured whatever the rules say, or with a wanted gap of their own.
    #[serde(default)]
    pub measure: Vec<Measured>,
    /// What could be done to it.
    #[serde(default)]
    pub proposals: Vec<Proposal>,
    /// The proposal that was made of it; none as found.
    #[serde(skip)]
    pub made: Option<String>,
}

impl Car {
    /// Its name and the state that it is in, as a drawing is headed: `Dunlin, as found`, `Dunlin, "low and wide"`.
    pub fn titled(&self) -> String {
        let Self { name, made, .. } = self;
        made.as_ref().map_or_else(|| format!("{name}, as found"), |made| format!("{name}, \"{made}\""))
    }

    /// An axle, if it is described.
    pub fn axle(&self, name: AxleName) -> Option<&Axle> {
        match name {
            AxleName::Front => Some(&self.front),
            AxleName::Rear => self.rear.as_ref(),
        }
    }

    /// An axle to change, if it is described.
    pub fn axle_mut(&mut self, name: AxleName) -> Option<&mut Axle> {
        match name {
            AxleName::Front => Some(&mut self.front),
            AxleName::Rear => self.rear.as_mut(),
        }
    }

    /// The axles that are described, front first.
    pub fn axles(&self) -> impl Iterator<Item = (AxleName, &Axle)> {
        AxleName::BOTH.into_iter().filter_map(|name| Some((name, self.axle(name)?)))
    }

    /// The wheels of the axles that are described.
    pub fn hubs(&self) -> impl Iterator<Item = Hub> {
        Hub::ALL.into_iter().filter(|hub| self.axle(hub.axle).is_some())
    }
}
