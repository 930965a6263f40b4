//! Edits to a car file, as values. Each rewrites only the text that it is about.

use nalgebra::Vector3;

use super::axle::{PointName, Side, Sides};
use super::error::{CarError, Step, instead_of};
use super::file::CarFile;
use super::patch::Patch;
use super::proposal::Change;
use super::text::{Group, Map};

/// One edit. Places are in the vehicle frame, millimetres; without a proposal the car as found is edited.
#[derive(Debug, Clone, PartialEq)]
pub enum Edit {
    /// Puts a measured point where it is to end up.
    PutPoint {
        /// Name of the proposal.
        proposal: Option<String>,
        /// The sides it is put on: for `both` the place is the left one's.
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
    /// Sets the rack's travel each way from straight ahead: a limiter.
    PutRackTravel {
        /// Name of the proposal.
        proposal: Option<String>,
        /// Travel, mm.
        travel: f64,
    },
    /// Adds a proposal that changes nothing yet.
    AddProposal {
        /// Its name.
        name: String,
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

/// The path to something in a car file.
macro_rules! path {
    ($($step:expr),*) => { [$(Step::from($step)),*] };
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

struct Editor<'a> {
    file: &'a CarFile,
    map: &'a Map<'a>,
    patch: Patch<'a>,
}

impl<'a> Editor<'a> {
    fn make(&mut self, edit: &Edit) -> Edited {
        match edit {
            Edit::PutPoint { proposal: None, side, point, to } => self.put_found_point(*side, *point, *to),
            Edit::PutPoint { proposal: Some(name), side, point, to } => {
                self.put_proposed_point(name, *side, *point, *to)
            }
            Edit::PutCorner { proposal: None, rail, corner, to } => self.put_found_corner(rail, *corner, *to),
            Edit::PutCorner { proposal: Some(name), rail, corner, to } => {
                self.put_proposed_corner(name, rail, *corner, *to)
            }
            Edit::PutRackTravel { proposal: None, travel } => {
                let before = self.file.car().front.rack.travel;
                self.patch.length(&path!["front", "rack", "travel"], Some(before), *travel);
                Ok(())
            }
            Edit::PutRackTravel { proposal: Some(name), travel } => self.put_proposed_travel(name, *travel),
            Edit::AddProposal { name } => {
                let entry = format!("(\n\tname: {name:?},\n\tchanges: [],\n)");
                let nested = entry.replace('\n', "\n\t");
                self.add_to(&path!["proposals"], &entry, &format!("proposals: [\n\t{nested},\n]"))
            }
            Edit::RemoveChange { proposal, index } => self.remove_change(proposal, *index),
        }
    }

    fn put_found_point(&mut self, side: Sides, name: PointName, to: Vector3<f64>) -> Edited {
        let front = &self.file.car().front;
        let left = front.points.0.get(&name).copied();
        let right = front.right.0.get(&name).copied();
        if side.has(Side::Left) {
            self.put_in("points", name, left, to)?;
        }
        match (side, left, right) {
            (Sides::Right, _, _) => self.put_in("right", name, right, to),
            (Sides::Both, _, Some(_)) => self.put_in("right", name, right, Side::Right.mirror(to)),
            // The right one stood where the left one's mirror image was, and stays there.
            (Sides::Left, Some(left), None) => self.put_in("right", name, None, Side::Right.mirror(left)),
            _ => Ok(()),
        }
    }

    /// Puts a point in `points` or `right` of the front axle.
    fn put_in(&mut self, list: &str, name: PointName, from: Option<Vector3<f64>>, to: Vector3<f64>) -> Edited {
        if from.is_some() {
            self.patch.point(&path!["front", list, name.name()], from, to);
            return Ok(());
        }
        let entry = format!("{}: {}", name.name(), self.patch.written(to));
        self.add_to(&path!["front", list], &entry, &format!("{list}: {{\n\t{entry},\n}}"))
    }

    fn put_proposed_point(&mut self, proposal: &str, side: Sides, name: PointName, to: Vector3<f64>) -> Edited {
        let index = self.proposal(proposal)?;
        // The last change of this point counts, if nothing behind it could have moved the point again.
        let mut last = None;
        for (step, change) in self.changes(index).iter().enumerate().rev() {
            match change {
                Change::MovePoint { point, side: moved, to, .. } if *point == name => {
                    last = (*moved == side).then_some((step, *to));
                    break;
                }
                Change::MovePoint { .. } | Change::MoveCorner { .. } => {}
                _ => break,
            }
        }
        let word = match side {
            Sides::Both => "",
            Sides::Left => "side: left, ",
            Sides::Right => "side: right, ",
        };
        let entry = format!("move_point(point: {}, {word}to: {})", name.name(), self.patch.written(to));
        self.put_move(index, last, &entry, to)
    }

    fn put_proposed_corner(&mut self, proposal: &str, name: &str, number: usize, to: Vector3<f64>) -> Edited {
        let index = self.proposal(proposal)?;
        let mut last = None;
        for (step, change) in self.changes(index).iter().enumerate().rev() {
            match change {
                Change::MoveCorner { rail, corner, to, .. } if rail == name && *corner == number => {
                    last = Some((step, *to));
                    break;
                }
                Change::MovePoint { .. } | Change::MoveCorner { .. } => {}
                _ => break,
            }
        }
        let entry = format!("move_corner(rail: {name:?}, corner: {number}, to: {})", self.patch.written(to));
        self.put_move(index, last, &entry, to)
    }

    /// Rewrites the place in an earlier move, or adds `entry` as a new one.
    fn put_move(
        &mut self,
        proposal: usize,
        last: Option<(usize, Option<Vector3<f64>>)>,
        entry: &str,
        to: Vector3<f64>,
    ) -> Edited {
        let changes = path!["proposals", proposal, "changes"];
        let Some((step, from)) = last else {
            return self.add_to(&changes, entry, "");
        };
        let field = if from.is_some() { "to" } else { "by" };
        let place = [&changes[..], &path![step, field]].concat();
        self.patch.point(&place, from, to);
        if let (None, Some(item)) = (from, self.map.get(&place))
            && let Some(key) = &item.key
        {
            self.patch.replace(key.clone(), "to");
        }
        Ok(())
    }

    fn put_found_corner(&mut self, name: &str, corner: usize, to: Vector3<f64>) -> Edited {
        let rails = &self.file.car().rails;
        let Some(index) = rails.iter().position(|r| r.name == name) else {
            let names = rails.iter().map(|r| r.name.as_str());
            return Err(CarError::new(format!("there is no rail `{name}` as found{}", instead_of(name, names))));
        };
        let line = &rails[index].centreline;
        let Some(from) = corner.checked_sub(1).and_then(|corner| line.get(corner)) else {
            let count = line.len();
            let what = format!("the rail `{name}` has no corner {corner}: they count from 1 to {count}");
            return Err(CarError::new(what));
        };
        self.patch.point(&path!["rails", index, "centreline", corner - 1], Some(*from), to);
        Ok(())
    }

    fn put_proposed_travel(&mut self, proposal: &str, travel: f64) -> Edited {
        let index = self.proposal(proposal)?;
        let racks = |change: &Change| if let Change::ReplaceRack(rack) = change { Some(rack.travel) } else { None };
        let last = self.changes(index).iter().enumerate().rev().find_map(|(step, c)| Some((step, racks(c)?)));
        if let Some((step, before)) = last {
            self.patch.length(&path!["proposals", index, "changes", step, "travel"], Some(before), travel);
            return Ok(());
        }
        let car = self.file.car();
        let turn = car.front.rack.per_turn.map(|mm| format!(", per_turn: {}", car.unit.number(mm)));
        let entry = format!("replace_rack(travel: {}{})", car.unit.number(travel), turn.unwrap_or_default());
        self.add_to(&path!["proposals", index, "changes"], &entry, "")
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
