//! Proposals: named lists of changes to the car as found.

use nalgebra::Vector3;
use serde::{Deserialize, Serialize};

use super::arm::{ArmShape, WhichArm};
use super::axle::{Damper, PointName, Rack, Rocker, RollBar, Sides, Spring, SteeringBox, Tube};
use super::body::{Panel, Rail, Splitter, Sweep, WantedGaps};
use super::fixed::{Block, FixedTube};
use super::nodes::{Node, TubePoint};
use super::sawn::{CutEnd, Ends, RailFace};
use super::units;
use super::wheel::{Tyre, Wheel};

/// A named list of changes, made in order.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Proposal {
    /// What the shop calls it.
    pub name: String,
    /// Why.
    #[serde(default)]
    pub note: String,
    /// What is changed, in order.
    pub changes: Vec<Change>,
}

/// What the suspension pickups do when the body is lowered.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Pickups {
    /// They stay on the body: the wheels go up into bump by as much.
    #[default]
    Follow,
    /// They are remade higher in the body by as much, so that the linkage stands over the ground as it did.
    Stay,
}

/// The way in which arms are grown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum GrowWay {
    /// Straight out, along the car's lateral axis.
    #[default]
    Across,
    /// In the lower arm's own plane, square to its own pickup axis. The upright goes along as it is, and the other arm
    /// is made to meet it.
    Square,
}

impl GrowWay {
    /// Both of them.
    pub const ALL: [Self; 2] = [Self::Across, Self::Square];

    /// As the car file writes it.
    pub fn name(self) -> &'static str {
        match self {
            Self::Across => "across",
            Self::Square => "square",
        }
    }
}

/// One change. What is about an axle is about the front one, unless it stands in `rear( )`.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum Change {
    /// Moves a measured point, to a place or by a shift (give one of the two).
    MovePoint {
        /// Which.
        point: PointName,
        /// Where: `both` takes the left side's numbers and mirrors them, `right` takes the vehicle frame's (y negative).
        #[serde(default)]
        side: Sides,
        /// Its new place, mm.
        #[serde(default, deserialize_with = "units::opt_point")]
        to: Option<Vector3<f64>>,
        /// Its shift, mm.
        #[serde(default, deserialize_with = "units::opt_point")]
        by: Option<Vector3<f64>>,
    },
    /// Makes one change of an axle at the rear.
    Rear(Box<Change>),
    /// Makes the arms longer: the joints at the upright, the tie rod's end, mounts of damper, spring, push rod and drop
    /// link on the moving parts and the wheel move outboard together, so caster and kingpin stay, and straight across the car the
    /// axle line too. A strut goes along, top mount and all, so that its axis stays too. Of trailing arms and stiff
    /// axles the wheels alone move outboard.
    GrowArms {
        /// How far, mm: outboard, or of the lower arm square to its pickup axis.
        #[serde(deserialize_with = "units::length")]
        by: f64,
        /// Which way.
        #[serde(default)]
        way: GrowWay,
        /// Which side.
        #[serde(default)]
        side: Sides,
    },
    /// Lowers the body over the ground. Coordinates are the body's, so they stay and the ground rises among them.
    LowerBody {
        /// How far, mm.
        #[serde(deserialize_with = "units::length")]
        by: f64,
        /// Whether the pickups go with it.
        #[serde(default)]
        pickups: Pickups,
    },
    /// Fits another tyre.
    ReplaceTyre(Tyre),
    /// Fits another wheel: the hub stays, so the wheel centre moves with offset and spacer.
    ReplaceWheel(Wheel),
    /// Makes the legs of both sides' arms anew, of other tube or in another shape; both ends stay.
    BuildArm {
        /// Which.
        arm: WhichArm,
        /// Its tube; as it was where left out.
        #[serde(default)]
        tube: Option<Tube>,
        /// Bends, cross tube and gusset; straight legs alone where left out.
        #[serde(default)]
        shape: ArmShape,
    },
    /// Fits another damper.
    ReplaceDamper(Damper),
    /// Fits another spring, where the one before stands unless it says otherwise.
    FitSpring(Spring),
    /// Fits another rocker.
    ReplaceRocker(Rocker),
    /// Fits another anti-roll bar.
    ReplaceBar(RollBar),
    /// Fits another rack, or a limiter on this one; in the place of a steering box if there is one.
    ReplaceRack(Rack),
    /// Fits another steering box, or a limiter on this one; in the place of a rack if there is one.
    ReplaceSteeringBox(SteeringBox),
    /// Moves one corner of a rail's centreline, to a place or by a shift (give one of the two).
    MoveCorner {
        /// The rail's name.
        rail: String,
        /// Which corner, counted from 1 at the datum.
        corner: usize,
        /// Its new place, mm.
        #[serde(default, deserialize_with = "units::opt_point")]
        to: Option<Vector3<f64>>,
        /// Its shift, mm.
        #[serde(default, deserialize_with = "units::opt_point")]
        by: Option<Vector3<f64>>,
    },
    /// Moves a whole rail, panel, scan, tube or block.
    MovePart {
        /// Its name.
        part: String,
        /// Its shift, mm (mirrored parts: the left one's).
        #[serde(deserialize_with = "units::point")]
        by: Vector3<f64>,
    },
    /// Cuts through a rail.
    CutRail {
        /// The rail's name.
        rail: String,
        /// Station where the metal ends, mm.
        #[serde(deserialize_with = "units::length")]
        from: f64,
        /// Station where it begins again, mm.
        #[serde(deserialize_with = "units::length")]
        to: f64,
        /// How the two ends stand.
        #[serde(default)]
        ends: Ends,
    },
    /// Notches a box rail.
    NotchRail {
        /// The rail's name.
        rail: String,
        /// Station where the notch starts, mm.
        #[serde(deserialize_with = "units::length")]
        from: f64,
        /// Station where it ends, mm.
        #[serde(deserialize_with = "units::length")]
        to: f64,
        /// The face that is cut away.
        face: RailFace,
        /// How deep from that face, mm.
        #[serde(deserialize_with = "units::length")]
        depth: f64,
    },
    /// Welds a plate on a cut end.
    EndPlate {
        /// The rail's name.
        rail: String,
        /// Which end of the cut.
        cut: CutEnd,
        /// Which cut, counted from 1 at the datum; may be left out where there is one.
        #[serde(default)]
        nth: Option<usize>,
        /// Thickness, mm.
        #[serde(deserialize_with = "units::length")]
        thickness: f64,
        /// How far it stands over the section all around, mm.
        #[serde(default, deserialize_with = "units::length")]
        over: f64,
    },
    /// Adds a place where tubes meet.
    AddNode(Node),
    /// Moves a node, to a place or by a shift (give one of the two); tubes that run to it follow.
    MoveNode {
        /// Its name.
        node: String,
        /// Its new place, mm (mirrored nodes: the left one's).
        #[serde(default, deserialize_with = "units::opt_point")]
        to: Option<Vector3<f64>>,
        /// Its shift, mm.
        #[serde(default, deserialize_with = "units::opt_point")]
        by: Option<Vector3<f64>>,
    },
    /// Takes a node away.
    RemoveNode(String),
    /// Moves one corner of a tube, to a place, a node or a rail, or by a shift from where it is (give one of the two).
    MoveBend {
        /// The tube's name.
        tube: String,
        /// Which corner, counted from 1.
        bend: usize,
        /// Where it goes.
        #[serde(default)]
        to: Option<TubePoint>,
        /// Its shift, mm.
        #[serde(default, deserialize_with = "units::opt_point")]
        by: Option<Vector3<f64>>,
    },
    /// Puts a rail in the place of the one of the same name.
    ReplaceRail(Rail),
    /// Puts a panel in the place of the one of the same name.
    ReplacePanel(Panel),
    /// Takes a rail, panel, scan, tube or block away, or the splitter (named `splitter`).
    Remove(String),
    /// Adds a rail.
    AddRail(Rail),
    /// Adds a panel.
    AddPanel(Panel),
    /// Adds a tube.
    AddTube(FixedTube),
    /// Adds a block.
    AddBlock(Block),
    /// Fits a splitter, in the place of any there is.
    FitSplitter(Splitter),
    /// Takes another sweep.
    SetSweep(Sweep),
    /// Asks for other gaps.
    SetWanted(WantedGaps),
}
