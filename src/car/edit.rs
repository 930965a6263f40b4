//! Edits to a car file, as values. Each rewrites only the text that it is about.

use nalgebra::Vector3;

use super::axle::{AxleName, PointName, Sides};
use super::error::CarError;
use super::file::CarFile;
use super::fixed::FixedTube;
use super::nodes::{Node, TubePoint};
use super::patch::Patch;
use super::sawn::{CutEnd, RailNotch, SawCut};
use super::text::Map;

/// The path to something in a car file. It stands before the modules that use it.
macro_rules! path {
    ($($step:expr),*) => { [$(crate::car::error::Step::from($step)),*] };
}

mod corner;
mod editor;
mod node;
mod pair;
mod point;
mod saw;
mod scan;
mod spring;
mod travel;
mod tube;
mod wheel;

use editor::{Edited, Editor, Move};
pub use scan::{NewScan, ScanFact};

/// One edit. Places are in the vehicle frame, millimetres; without a proposal the car as found is edited.
#[derive(Debug, Clone, PartialEq)]
pub enum Edit {
    /// Puts a measured point where it is to end up.
    PutPoint {
        /// Name of the proposal.
        proposal: Option<String>,
        /// The axle it is measured on.
        axle: AxleName,
        /// The sides it is put on: for `both` the place is the left one's. Of a point in the middle there is but one.
        side: Sides,
        /// Which.
        point: PointName,
        /// Its place with everything else in the proposal done.
        to: Vector3<f64>,
    },
    /// Puts a corner of a rail where it is to end up.
    PutCorner {
        /// Name of the proposal.
        proposal: Option<String>,
        /// Name of the rail, the left one's base name where it is mirrored.
        rail: String,
        /// Which corner, counted from 1 at the datum.
        corner: usize,
        /// Its place with everything else in the proposal done.
        to: Vector3<f64>,
    },
    /// Sets the front axle's steering travel each way from straight ahead: a limiter on its rack or steering box.
    PutSteeringTravel {
        /// Name of the proposal.
        proposal: Option<String>,
        /// Of the rack, or of the pitman arm's end along its arc, mm: see [`super::axle::Axle::steering_travel`].
        travel: f64,
    },
    /// Fits springs of another rate, where those before stand.
    PutSpringRate {
        /// Name of the proposal.
        proposal: Option<String>,
        /// Their axle.
        axle: AxleName,
        /// N/mm.
        rate: f64,
    },
    /// Sets a wheel further in or out, on both sides.
    PutWheel {
        /// Name of the proposal.
        proposal: Option<String>,
        /// Its axle.
        axle: AxleName,
        /// Mounting face outboard of the rim's centre plane, mm.
        offset: f64,
        /// Between hub and wheel, mm.
        spacer: f64,
    },
    /// Leaves a pair of parts out of the gaps, as found and in every proposal.
    IgnorePair {
        /// Both, as answers call them; without a side those of both sides are meant.
        pair: [String; 2],
        /// Why.
        why: String,
    },
    /// Measures a pair again that the car file ignores.
    HeedPair {
        /// Both, as the car file has them.
        pair: [String; 2],
    },
    /// Measures a pair that the rules leave out.
    MeasurePair {
        /// Both, as answers call them.
        pair: [String; 2],
        /// The wanted gap, mm; none for that of its kind.
        wanted: Option<f64>,
    },
    /// Adds a proposal that changes nothing yet.
    AddProposal {
        /// Its name.
        name: String,
    },
    /// Adds a proposal that is another one's copy, right behind it, comments and all.
    CopyProposal {
        /// Name of the one that is there.
        proposal: String,
        /// Name of the copy.
        name: String,
    },
    /// Adds changes to the end of a proposal, all as one edit: a route that was proposed, say.
    AddChanges {
        /// Name of the proposal.
        proposal: String,
        /// The changes, each as the car file writes it: `remove("wheel arch")`.
        changes: Vec<String>,
    },
    /// Adds a scan to the car as found.
    BringScan(NewScan),
    /// Says something else of a scan of the car as found.
    PutScan {
        /// Its name.
        scan: String,
        /// What.
        fact: ScanFact,
    },
    /// Takes a scan out of the car as found; its mesh file stays where it is.
    RemoveScan {
        /// Its name.
        scan: String,
    },
    /// Cuts through a rail.
    CutRail {
        /// Name of the proposal.
        proposal: Option<String>,
        /// Name of the rail, the left one's base name where it is mirrored.
        rail: String,
        /// Where, and how the ends stand.
        cut: SawCut,
    },
    /// Notches a rail.
    NotchRail {
        /// Name of the proposal.
        proposal: Option<String>,
        /// Name of the rail.
        rail: String,
        /// Where, and how deep.
        notch: RailNotch,
    },
    /// Moves the ends of a cut.
    PutCut {
        /// Name of the proposal.
        proposal: Option<String>,
        /// Name of the rail.
        rail: String,
        /// Which cut, counted from 1 at the datum.
        nth: usize,
        /// Where it is to be.
        cut: SawCut,
    },
    /// Moves a notch, or makes it deeper.
    PutNotch {
        /// Name of the proposal.
        proposal: Option<String>,
        /// Name of the rail.
        rail: String,
        /// Which notch, counted from 1 as the car file has them.
        nth: usize,
        /// What it is to be.
        notch: RailNotch,
    },
    /// Welds a plate on a cut end, changes the one that is there, or takes it away.
    PutPlate {
        /// Name of the proposal.
        proposal: Option<String>,
        /// Name of the rail.
        rail: String,
        /// Which cut, counted from 1 at the datum.
        nth: usize,
        /// Which of its ends.
        end: CutEnd,
        /// Thickness, and how far it stands over the section all around, mm; none for no plate.
        plate: Option<[f64; 2]>,
    },
    /// Adds a tube.
    AddTube {
        /// Name of the proposal.
        proposal: Option<String>,
        /// The tube.
        tube: FixedTube,
    },
    /// Puts a corner of a tube on a place, a node or a rail.
    PutBend {
        /// Name of the proposal.
        proposal: Option<String>,
        /// Name of the tube, the left one's base name where it is mirrored.
        tube: String,
        /// Which corner, counted from 1.
        bend: usize,
        /// Where it is to end up.
        to: TubePoint,
    },
    /// Takes a tube away.
    RemoveTube {
        /// Name of the proposal.
        proposal: Option<String>,
        /// Name of the tube.
        tube: String,
    },
    /// Adds a node.
    AddNode {
        /// Name of the proposal.
        proposal: Option<String>,
        /// The node.
        node: Node,
    },
    /// Puts a node where it is to end up; tubes that run to it follow.
    PutNode {
        /// Name of the proposal.
        proposal: Option<String>,
        /// Name of the node.
        node: String,
        /// Its place with everything else in the proposal done: of a mirrored one the left one's.
        to: Vector3<f64>,
    },
    /// Takes a node away.
    RemoveNode {
        /// Name of the proposal.
        proposal: Option<String>,
        /// Name of the node.
        node: String,
    },
    /// Takes a change out of a proposal.
    RemoveChange {
        /// Name of the proposal.
        proposal: String,
        /// Which change, from 0.
        index: usize,
    },
}

impl CarFile {
    /// The file with an edit made in its text, read and checked again. Comments, layout and every number that the edit
    /// is not about stay as they were written. `self` stays what it was, so undo is to go back to it.
    ///
    /// # Errors
    /// There is no such proposal, rail, corner or change; or what results could not be built.
    pub fn edit(&self, edit: &Edit) -> Result<Self, CarError> {
        let edited = Map::read(self.text()).map_err(|fault| CarError::new(fault.what)).and_then(|map| {
            let mut editor = Editor { file: self, map: &map, patch: Patch::new(&map, self.car().unit) };
            editor.make(edit)?;
            // The place would be one in a text that nobody has seen.
            self.with_text(editor.patch.finish()).map_err(|error| CarError::new(error.what()))
        });
        edited.map_err(|error| error.in_file(self.path()))
    }
}
