//! Edits to a car file, as values. Each rewrites only the text that it is about.

use nalgebra::Vector3;

use super::axle::{Axle, AxleName, PointName, Sides};
use super::error::{CarError, Step, instead_of};
use super::file::CarFile;
use super::fixed::FixedTube;
use super::nodes::{Node, TubePoint};
use super::patch::Patch;
use super::proposal::Change;
use super::sawn::{RailNotch, SawCut};
use super::text::{Group, Map};

/// The path to something in a car file. It stands before the modules that use it.
macro_rules! path {
    ($($step:expr),*) => { [$(crate::car::error::Step::from($step)),*] };
}

mod corner;
mod frame;
mod point;
mod scan;
mod travel;

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
        /// Of the rack, or of the pitman arm's end along its arc, mm: see [`Axle::steering_travel`].
        travel: f64,
    },
    /// Adds a proposal that changes nothing yet.
    AddProposal {
        /// Its name.
        name: String,
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

type Edited = Result<(), CarError>;

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

/// An earlier move of what is moved now.
struct Move {
    /// The steps to it from the changes.
    steps: Vec<Step>,
    /// Where it went, if it went to a place.
    to: Option<Vector3<f64>>,
}

struct Editor<'a> {
    file: &'a CarFile,
    map: &'a Map<'a>,
    patch: Patch<'a>,
}

impl<'a> Editor<'a> {
    fn make(&mut self, edit: &Edit) -> Edited {
        match edit {
            Edit::PutPoint { proposal: None, axle, side, point, to } => self.put_found_point(*axle, *side, *point, *to),
            Edit::PutPoint { proposal: Some(name), axle, side, point, to } => {
                self.put_proposed_point(name, *axle, *side, *point, *to)
            }
            Edit::PutCorner { proposal: None, rail, corner, to } => self.put_found_corner(rail, *corner, *to),
            Edit::PutCorner { proposal: Some(name), rail, corner, to } => {
                self.put_proposed_corner(name, rail, *corner, *to)
            }
            Edit::PutSteeringTravel { proposal, travel } => self.put_steering_travel(proposal.as_deref(), *travel),
            Edit::AddProposal { name } => {
                let entry = format!("(\n\tname: {name:?},\n\tchanges: [],\n)");
                let nested = entry.replace('\n', "\n\t");
                self.add_to(&path!["proposals"], &entry, &format!("proposals: [\n\t{nested},\n]"))
            }
            Edit::BringScan(new) => self.bring_scan(new),
            Edit::PutScan { scan, fact } => self.put_scan(scan, fact),
            Edit::RemoveScan { scan } => self.remove_scan(scan),
            Edit::CutRail { proposal, rail, cut } => {
                let entry = self.written_cut(cut);
                self.saw(proposal.as_deref(), rail, "cuts", "cut_rail", &entry)
            }
            Edit::NotchRail { proposal, rail, notch } => {
                let [from, to, depth] = [notch.from, notch.to, notch.depth].map(|mm| self.number(mm));
                let entry = format!("from: {from}, to: {to}, face: {}, depth: {depth}", notch.face.word());
                self.saw(proposal.as_deref(), rail, "notches", "notch_rail", &entry)
            }
            Edit::PutCut { proposal, rail, nth, cut } => self.put_cut(proposal.as_deref(), rail, *nth, cut),
            Edit::AddTube { proposal, tube } => self.add_tube(proposal.as_deref(), tube),
            Edit::PutBend { proposal, tube, bend, to } => self.put_bend(proposal.as_deref(), tube, *bend, to),
            Edit::RemoveTube { proposal, tube } => self.remove_tube(proposal.as_deref(), tube),
            Edit::AddNode { proposal, node } => self.add_node(proposal.as_deref(), node),
            Edit::PutNode { proposal, node, to } => self.put_node(proposal.as_deref(), node, *to),
            Edit::RemoveNode { proposal, node } => self.remove_node(proposal.as_deref(), node),
            Edit::RemoveChange { proposal, index } => self.remove_change(proposal, *index),
        }
    }

    /// Rewrites the place in an earlier move, or adds `entry` as a new one.
    fn put_move(&mut self, proposal: usize, last: Option<Move>, entry: &str, to: Vector3<f64>) -> Edited {
        let changes = path!["proposals", proposal, "changes"];
        let Some(Move { steps, to: from }) = last else {
            return self.add_to(&changes, entry, "");
        };
        let field = if from.is_some() { "to" } else { "by" };
        let place = [&changes[..], &steps, &path![field]].concat();
        self.patch.point(&place, from, to);
        if let (None, Some(item)) = (from, self.map.get(&place))
            && let Some(key) = &item.key
        {
            self.patch.replace(key.clone(), "to");
        }
        Ok(())
    }

    fn remove_change(&mut self, proposal: &str, step: usize) -> Edited {
        let index = self.proposal(proposal)?;
        let count = self.changes(index).len();
        match self.group(&path!["proposals", index, "changes"]) {
            Some(group) if step < count => self.patch.remove(group, step),
            _ => {
                return Err(CarError::new(format!(
                    "the proposal `{proposal}` has no change {}: it has {count}",
                    step + 1
                )));
            }
        }
        Ok(())
    }

    /// An axle as found.
    fn axle(&self, name: AxleName) -> Result<&'a Axle, CarError> {
        let lacking = || CarError::new(format!("the car has no `{}` axle yet: describe it in its file", name.word()));
        self.file.car().axle(name).ok_or_else(lacking)
    }

    fn proposal(&self, name: &str) -> Result<usize, CarError> {
        let proposals = &self.file.car().proposals;
        proposals.iter().position(|p| p.name == name).ok_or_else(|| {
            let names = proposals.iter().map(|p| p.name.as_str());
            CarError::new(format!("there is no proposal `{name}`{}", instead_of(name, names)))
        })
    }

    fn changes(&self, proposal: usize) -> &'a [Change] {
        &self.file.car().proposals[proposal].changes
    }

    fn group(&self, path: &[Step]) -> Option<&'a Group> {
        let map = self.map;
        map.get(path)?.group.as_ref()
    }

    /// Adds an entry to the list at `path`, or, where the list is not there yet, the whole of it to what holds it.
    fn add_to(&mut self, path: &[Step], entry: &str, whole: &str) -> Edited {
        let holder = &path[..path.len() - 1];
        match (self.group(path), self.group(holder)) {
            (Some(list), _) => self.patch.append(list, entry),
            (None, Some(holder)) => self.patch.append(holder, whole),
            (None, None) => return Err(CarError::new("this file is written in a way that cannot be edited here")),
        }
        Ok(())
    }
}
