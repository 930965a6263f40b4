//! Cuts, tubes and nodes: made, moved and taken away.
//!
//! In a proposal what the proposal itself has added is changed where it stands; of what was there as found a change is
//! added, or the last one of its kind rewritten.

use nalgebra::Vector3;

use super::{Edited, Editor, Move};
use crate::car::error::{CarError, Step, instead_of};
use crate::car::fixed::FixedTube;
use crate::car::nodes::{Node, OnRail, TubePoint};
use crate::car::patch::degrees;
use crate::car::proposal::Change;
use crate::car::sawn::{Ends, Mitre, SawCut};

impl Editor<'_> {
    /// Adds an entry to a list of the car as found (`entry` in brackets), or a change of a proposal (`change` in front).
    fn add(&mut self, proposal: Option<&str>, list: &str, change: &str, entry: &str) -> Edited {
        match proposal {
            Some(name) => {
                let index = self.proposal(name)?;
                self.add_to(&path!["proposals", index, "changes"], &format!("{change}({entry})"), "")
            }
            None => self.add_to(&path![list], &format!("({entry})"), &format!("{list}: [\n\t({entry}),\n]")),
        }
    }

    /// Adds a cut or a notch, which as found stand in their rail.
    pub(super) fn saw(&mut self, proposal: Option<&str>, rail: &str, list: &str, change: &str, entry: &str) -> Edited {
        if proposal.is_some() {
            return self.add(proposal, "", change, &format!("rail: {rail:?}, {entry}"));
        }
        let index = self.found_rail(rail)?;
        self.add_to(&path!["rails", index, list], &format!("({entry})"), &format!("{list}: [({entry})]"))
    }

    /// A cut's fields as the file writes them.
    pub(super) fn written_cut(&self, cut: &SawCut) -> String {
        let ends =
            if cut.ends == Ends::Square { String::new() } else { format!(", ends: {}", written_ends(&cut.ends)) };
        format!("from: {}, to: {}{ends}", self.number(cut.from), self.number(cut.to))
    }

    pub(super) fn number(&self, mm: f64) -> String {
        self.file.car().unit.number(mm)
    }

    fn found_rail(&self, name: &str) -> Result<usize, CarError> {
        let rails = &self.file.car().rails;
        rails.iter().position(|r| r.name == name).ok_or_else(|| {
            let names = rails.iter().map(|r| r.name.as_str());
            CarError::new(format!("there is no rail `{name}` as found{}", instead_of(name, names)))
        })
    }

    pub(super) fn put_cut(&mut self, proposal: Option<&str>, name: &str, nth: usize, to: &SawCut) -> Edited {
        let car = match proposal {
            Some(proposal) => self.file.car().proposed(proposal)?,
            None => self.file.car().clone(),
        };
        let known = car.rails.iter().find(|r| r.name == name).and_then(|rail| rail.cut(Some(nth)));
        let Some(from) = known else {
            return Err(CarError::new(format!("the rail `{name}` has no cut {nth} to move")));
        };
        let steps = match proposal {
            None => {
                let index = self.found_rail(name)?;
                let cuts = &self.file.car().rails[index].cuts;
                cuts.iter().position(|cut| cut == from).map(|cut| path!["rails", index, "cuts", cut].to_vec())
            }
            Some(proposal) => {
                let index = self.proposal(proposal)?;
                let makes = |change: &Change| {
                    matches!(change, Change::CutRail { rail, from: start, to, ends }
                        if rail == name && SawCut { from: *start, to: *to, ends: *ends } == *from)
                };
                let step = self.changes(index).iter().rposition(makes);
                step.map(|step| path!["proposals", index, "changes", step].to_vec())
            }
        };
        let Some(steps) = steps else {
            let what =
                format!("the cut {nth} of the rail `{name}` is not made by this proposal: move it where it is made");
            return Err(CarError::new(what));
        };
        let at = |field: &str| [&steps[..], &path![field]].concat();
        self.patch.length(&at("from"), Some(from.from), to.from);
        self.patch.length(&at("to"), Some(from.to), to.to);
        if from.ends != to.ends {
            self.put_field(&steps, "ends", &written_ends(&to.ends))?;
        }
        Ok(())
    }

    /// Writes a field of a group, whether it is there yet or not.
    fn put_field(&mut self, steps: &[Step], field: &str, value: &str) -> Edited {
        let place = [steps, &path![field]].concat();
        match self.map.get(&place) {
            Some(item) => self.patch.replace(item.span.clone(), value),
            None => self.add_to(&place, "", &format!("{field}: {value}"))?,
        }
        Ok(())
    }

    pub(super) fn add_tube(&mut self, proposal: Option<&str>, tube: &FixedTube) -> Edited {
        let points: Vec<String> = tube.points.iter().map(|p| self.written_point(p)).collect();
        let mirror = if tube.mirror { ", mirror: true" } else { "" };
        let wall = tube.wall.map(|mm| format!(", wall: {}", self.number(mm))).unwrap_or_default();
        let grade = tube.grade.as_ref().map(|grade| format!(", grade: {grade:?}")).unwrap_or_default();
        let (name, od, points) = (&tube.name, self.number(tube.od), points.join(", "));
        let entry = format!("name: {name:?}{mirror}, od: {od}{wall}{grade}, points: [{points}]");
        self.add(proposal, "tubes", "add_tube", &entry)
    }

    pub(super) fn put_bend(&mut self, proposal: Option<&str>, name: &str, bend: usize, to: &TubePoint) -> Edited {
        let Some(proposal) = proposal else {
            let tubes = &self.file.car().tubes;
            let Some(index) = tubes.iter().position(|t| t.name == name) else {
                let names = tubes.iter().map(|t| t.name.as_str());
                return Err(CarError::new(format!("there is no tube `{name}` as found{}", instead_of(name, names))));
            };
            return self.put_corner_of(&path!["tubes", index], &tubes[index], bend, to);
        };
        let index = self.proposal(proposal)?;
        for (step, change) in self.changes(index).iter().enumerate().rev() {
            let steps = path!["proposals", index, "changes", step];
            match change {
                Change::MoveBend { tube, bend: moved, to: old, .. } if tube == name && *moved == bend => {
                    let place = [&steps[..], &path!["to"]].concat();
                    if let (Some(TubePoint::At(from)), TubePoint::At(to)) = (old, to) {
                        self.patch.point(&place, Some(*from), *to);
                        return Ok(());
                    }
                    let by = [&steps[..], &path!["by"]].concat();
                    let written = self.written_point(to);
                    let item = self.map.get(&place).or(self.map.get(&by));
                    let Some(item) = item else {
                        return Err(CarError::new("this file is written in a way that cannot be edited here"));
                    };
                    self.patch.replace(item.start()..item.span.end, format!("to: {written}"));
                    return Ok(());
                }
                Change::AddTube(tube) if tube.name == name => return self.put_corner_of(&steps, tube, bend, to),
                // What moves the whole tube comes behind its corners' moves.
                Change::MovePart { part, .. } | Change::Remove(part) if part == name => break,
                _ => {}
            }
        }
        let entry = format!("move_bend(tube: {name:?}, bend: {bend}, to: {})", self.written_point(to));
        self.add_to(&path!["proposals", index, "changes"], &entry, "")
    }

    /// Rewrites a corner where the tube itself stands.
    fn put_corner_of(&mut self, steps: &[Step], tube: &FixedTube, bend: usize, to: &TubePoint) -> Edited {
        let count = tube.points.len();
        let Some(corner) = bend.checked_sub(1).filter(|corner| *corner < count) else {
            let name = &tube.name;
            return Err(CarError::new(format!("the tube `{name}` has no corner {bend}: they count from 1 to {count}")));
        };
        let place = [steps, &path!["points", corner]].concat();
        match (&tube.points[corner], to) {
            (TubePoint::At(from), TubePoint::At(to)) => self.patch.point(&place, Some(*from), *to),
            (from, to) if from == to => {}
            _ => {
                let written = self.written_point(to);
                if let Some(item) = self.map.get(&place) {
                    self.patch.replace(item.span.clone(), written);
                }
            }
        }
        Ok(())
    }

    pub(super) fn remove_tube(&mut self, proposal: Option<&str>, name: &str) -> Edited {
        let found = self.file.car().tubes.iter().position(|t| t.name == name);
        self.take_away(proposal, ("tubes", found), &format!("remove({name:?})"), &format!("tube `{name}`"), |change| {
            match change {
                Change::AddTube(tube) if tube.name == name => Some(true),
                Change::MoveBend { tube, .. } if tube == name => Some(false),
                Change::MovePart { part, .. } if part == name => Some(false),
                _ => None,
            }
        })
    }

    pub(super) fn add_node(&mut self, proposal: Option<&str>, node: &Node) -> Edited {
        let mirror = if node.mirror { ", mirror: true" } else { "" };
        let on = node.on.as_ref().map(|on| format!(", on: {on:?}")).unwrap_or_default();
        let held = if node.held { ", held: true" } else { "" };
        let entry = format!("name: {:?}{mirror}, at: {}{on}{held}", node.name, self.patch.written(node.at));
        self.add(proposal, "nodes", "add_node", &entry)
    }

    pub(super) fn put_node(&mut self, proposal: Option<&str>, name: &str, to: Vector3<f64>) -> Edited {
        let Some(proposal) = proposal else {
            let index = self.found_node(name)?;
            self.patch.point(&path!["nodes", index, "at"], Some(self.file.car().nodes[index].at), to);
            return Ok(());
        };
        let index = self.proposal(proposal)?;
        let mut last = None;
        for (step, change) in self.changes(index).iter().enumerate().rev() {
            match change {
                Change::AddNode(node) if node.name == name => {
                    self.patch.point(&path!["proposals", index, "changes", step, "at"], Some(node.at), to);
                    return Ok(());
                }
                Change::MoveNode { node, to, .. } if node == name => {
                    last = Some(Move { steps: path![step].to_vec(), to: *to });
                    break;
                }
                _ => {}
            }
        }
        let entry = format!("move_node(node: {name:?}, to: {})", self.patch.written(to));
        self.put_move(index, last, &entry, to)
    }

    pub(super) fn remove_node(&mut self, proposal: Option<&str>, name: &str) -> Edited {
        let found = self.file.car().nodes.iter().position(|n| n.name == name);
        self.take_away(
            proposal,
            ("nodes", found),
            &format!("remove_node({name:?})"),
            &format!("node `{name}`"),
            |change| match change {
                Change::AddNode(node) if node.name == name => Some(true),
                Change::MoveNode { node, .. } if node == name => Some(false),
                _ => None,
            },
        )
    }

    fn found_node(&self, name: &str) -> Result<usize, CarError> {
        let nodes = &self.file.car().nodes;
        nodes.iter().position(|n| n.name == name).ok_or_else(|| {
            let names = nodes.iter().map(|n| n.name.as_str());
            CarError::new(format!("there is no node `{name}` as found{}", instead_of(name, names)))
        })
    }

    /// Takes something out of the list that it stands in as found, or out of a proposal: `of` says whether a change is about
    /// it, and whether it is the one that adds it. What the proposal has not added gets a change that takes it away.
    fn take_away(
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

    /// A tube's corner as the file writes it.
    fn written_point(&self, point: &TubePoint) -> String {
        match point {
            TubePoint::At(at) => self.patch.written(*at),
            TubePoint::Node(name) => format!("{name:?}"),
            TubePoint::OnRail { rail, at: OnRail::Station(station) } => {
                format!("(rail: {rail:?}, station: {})", self.number(*station))
            }
            TubePoint::OnRail { rail, at: OnRail::Cut(end, nth) } => {
                let nth = nth.map(|nth| format!(", nth: {nth}")).unwrap_or_default();
                format!("(rail: {rail:?}, cut: {}{nth})", end.word())
            }
        }
    }
}

/// How a cut's ends stand, as the file writes it.
fn written_ends(ends: &Ends) -> String {
    let one = |mitre: &Mitre| format!("(up: {}, out: {})", degrees(mitre.up), degrees(mitre.out));
    match ends {
        Ends::Square => "square".to_owned(),
        Ends::Mitred { near, far } => format!("mitred(near: {}, far: {})", one(near), one(far)),
    }
}
