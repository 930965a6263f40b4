//! What makes an edit: the file, where everything stands in its text, and what is to change there.

use nalgebra::Vector3;

use super::Edit;
use crate::car::axle::{Axle, AxleName};
use crate::car::error::{CarError, Step, instead_of};
use crate::car::file::CarFile;
use crate::car::patch::Patch;
use crate::car::proposal::Change;
use crate::car::text::{Group, Map};
use crate::car::units::FileUnit;

pub(super) type Edited = Result<(), CarError>;

/// An earlier move of what is moved now.
pub(super) struct Move {
    /// The steps to it from the changes.
    pub steps: Vec<Step>,
    /// Where it went, if it went to a place.
    pub to: Option<Vector3<f64>>,
}

pub(super) struct Editor<'a> {
    pub file: &'a CarFile,
    pub map: &'a Map<'a>,
    pub patch: Patch<'a>,
}

impl<'a> Editor<'a> {
    pub fn make(&mut self, edit: &Edit) -> Edited {
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
            Edit::PutSpringRate { proposal, axle, rate } => self.put_spring_rate(proposal.as_deref(), *axle, *rate),
            Edit::PutWheel { proposal, axle, offset, spacer } => {
                self.put_wheel(proposal.as_deref(), *axle, [*offset, *spacer])
            }
            Edit::IgnorePair { pair, why } => self.ignore_pair(pair, why),
            Edit::HeedPair { pair } => self.heed_pair(pair),
            Edit::MeasurePair { pair, wanted } => self.measure_pair(pair, *wanted),
            Edit::AddProposal { name } => {
                let entry = format!("(\n\tname: {name:?},\n\tchanges: [],\n)");
                let nested = entry.replace('\n', "\n\t");
                self.add_to(&path!["proposals"], &entry, &format!("proposals: [\n\t{nested},\n]"))
            }
            Edit::CopyProposal { proposal, name } => self.copy_proposal(proposal, name),
            Edit::AddChanges { proposal, changes } => {
                let index = self.proposal(proposal)?;
                self.add_to(&path!["proposals", index, "changes"], &changes.join(",\n"), "")
            }
            Edit::BringScan(new) => self.bring_scan(new),
            Edit::PutScan { scan, fact } => self.put_scan(scan, fact),
            Edit::RemoveScan { scan } => self.remove_scan(scan),
            Edit::CutRail { proposal, rail, cut } => {
                self.saw(proposal.as_deref(), rail, "cuts", "cut_rail", &cut.fields(self.unit()))
            }
            Edit::NotchRail { proposal, rail, notch } => {
                self.saw(proposal.as_deref(), rail, "notches", "notch_rail", &notch.fields(self.unit()))
            }
            Edit::PutNotch { proposal, rail, nth, notch } => self.put_notch(proposal.as_deref(), rail, *nth, notch),
            Edit::PutCut { proposal, rail, nth, cut } => self.put_cut(proposal.as_deref(), rail, *nth, cut),
            Edit::PutPlate { proposal, rail, nth, end, plate } => {
                self.put_plate(proposal.as_deref(), rail, (*nth, *end), *plate)
            }
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
    pub fn put_move(&mut self, proposal: usize, last: Option<Move>, entry: &str, to: Vector3<f64>) -> Edited {
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

    fn copy_proposal(&mut self, proposal: &str, name: &str) -> Edited {
        let index = self.proposal(proposal)?;
        let place = path!["proposals", index];
        let own_name = self.map.get(&[&place[..], &path!["name"]].concat());
        let (Some(item), Some(own_name)) = (self.map.get(&place), own_name) else {
            return Err(CarError::new("this file is written in a way that cannot be edited here"));
        };
        self.patch.copy(item, own_name, &format!("{name:?}"));
        Ok(())
    }

    pub fn remove_change(&mut self, proposal: &str, step: usize) -> Edited {
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

    pub fn unit(&self) -> FileUnit {
        self.file.car().unit
    }

    /// An axle as found.
    pub fn axle(&self, name: AxleName) -> Result<&'a Axle, CarError> {
        let lacking = || CarError::new(format!("the car has no `{}` axle yet: describe it in its file", name.word()));
        self.file.car().axle(name).ok_or_else(lacking)
    }

    pub fn proposal(&self, name: &str) -> Result<usize, CarError> {
        let proposals = &self.file.car().proposals;
        proposals.iter().position(|p| p.name == name).ok_or_else(|| {
            let names = proposals.iter().map(|p| p.name.as_str());
            CarError::new(format!("there is no proposal `{name}`{}", instead_of(name, names)))
        })
    }

    pub fn changes(&self, proposal: usize) -> &'a [Change] {
        &self.file.car().proposals[proposal].changes
    }

    pub fn group(&self, path: &[Step]) -> Option<&'a Group> {
        let map = self.map;
        map.get(path)?.group.as_ref()
    }

    /// Adds an entry to the list at `path`, or, where the list is not there yet, the whole of it to what holds it.
    pub fn add_to(&mut self, path: &[Step], entry: &str, whole: &str) -> Edited {
        let holder = &path[..path.len() - 1];
        match (self.group(path), self.group(holder)) {
            (Some(list), _) => self.patch.append(list, entry),
            (None, Some(holder)) => self.patch.append(holder, whole),
            (None, None) => return Err(CarError::new("this file is written in a way that cannot be edited here")),
        }
        Ok(())
    }

    /// Adds an entry to a list of the car as found (`entry` in brackets), or a change of a proposal (`change` in front).
    pub fn add(&mut self, proposal: Option<&str>, list: &str, change: &str, entry: &str) -> Edited {
        match proposal {
            Some(name) => {
                let index = self.proposal(name)?;
                self.add_to(&path!["proposals", index, "changes"], &format!("{change}({entry})"), "")
            }
            None => self.add_to(&path![list], &format!("({entry})"), &format!("{list}: [\n\t({entry}),\n]")),
        }
    }

    /// Writes a field of a group, whether it is there yet or not.
    pub fn put_field(&mut self, steps: &[Step], field: &str, value: &str) -> Edited {
        let place = [steps, &path![field]].concat();
        match self.map.get(&place) {
            Some(item) => self.patch.replace(item.span.clone(), value),
            None => self.add_to(&place, "", &format!("{field}: {value}"))?,
        }
        Ok(())
    }

    /// Takes something out of the list that it stands in as found, or out of a proposal: `of` says whether a change is about
    /// it, and whether it is the one that adds it. What the proposal has not added gets a change that takes it away.
    pub fn take_away(
        &mut self,
        proposal: Option<&str>,
        (list, found): (&str, Option<usize>),
        entry: &str,
        what: &str,
        of: impl Fn(&Change) -> Option<bool>,
    ) -> Edited {
        let missing = || CarError::new(format!("there is no {what} to take away"));
        let Some(proposal) = proposal else {
            let (index, group) = (found.ok_or_else(missing)?, self.group(&path![list]));
            if let Some(group) = group {
                self.patch.remove(group, index);
            }
            return Ok(());
        };
        let index = self.proposal(proposal)?;
        let about: Vec<(usize, bool)> =
            self.changes(index).iter().enumerate().filter_map(|(step, change)| Some((step, of(change)?))).collect();
        let added = about.iter().any(|(_, adds)| *adds);
        if !added && found.is_none() {
            return Err(missing());
        }
        let changes = path!["proposals", index, "changes"];
        // What the proposal has not added goes by a change: in the place of the last that was about it, if there is one.
        let (replaced, removed) = match about.split_last() {
            Some(((last, _), rest)) if !added => (Some(*last), rest),
            _ => (None, &about[..]),
        };
        if let Some(group) = self.group(&changes) {
            removed.iter().for_each(|(step, _)| self.patch.remove(group, *step));
        }
        match replaced.and_then(|step| self.map.get(&[&changes[..], &path![step]].concat())) {
            Some(item) => self.patch.replace(item.span.clone(), entry),
            None if added => {}
            None => self.add_to(&changes, entry, "")?,
        }
        Ok(())
    }
}
