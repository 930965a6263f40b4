//! Cuts, notches and the plates on cut ends: made, moved, taken away.

use super::{Edited, Editor};
use crate::car::Car;
use crate::car::body::Rail;
use crate::car::error::{CarError, Step, instead_of};
use crate::car::proposal::Change;
use crate::car::sawn::{CutEnd, EndPlate, RailNotch, SawCut};

impl Editor<'_> {
    /// Adds a cut or a notch, which as found stand in their rail.
    pub(super) fn saw(&mut self, proposal: Option<&str>, rail: &str, list: &str, change: &str, entry: &str) -> Edited {
        if proposal.is_some() {
            return self.add(proposal, "", change, &format!("rail: {rail:?}, {entry}"));
        }
        let index = self.found_rail(rail)?;
        self.add_to(&path!["rails", index, list], &format!("({entry})"), &format!("{list}: [({entry})]"))
    }

    pub(super) fn put_cut(&mut self, proposal: Option<&str>, name: &str, nth: usize, to: &SawCut) -> Edited {
        let car = self.car_of(proposal)?;
        let known = car.rails.iter().find(|r| r.name == name).and_then(|rail| rail.cut(Some(nth)));
        let Some(from) = known else {
            return Err(CarError::new(format!("the rail `{name}` has no cut {nth} to move")));
        };
        let makes = |change: &Change| {
            matches!(change, Change::CutRail { rail, from: start, to, ends }
                if rail == name && SawCut { from: *start, to: *to, ends: *ends } == *from)
        };
        let as_found = |rail: &Rail| rail.cuts.iter().position(|cut| cut == from);
        let steps = self.made_at(proposal, name, &format!("cut {nth}"), "cuts", as_found, makes)?;
        self.put_stations(&steps, [from.from, from.to], [to.from, to.to]);
        if from.ends != to.ends {
            self.put_field(&steps, "ends", &to.ends.written())?;
        }
        Ok(())
    }

    pub(super) fn put_notch(&mut self, proposal: Option<&str>, name: &str, nth: usize, to: &RailNotch) -> Edited {
        let car = self.car_of(proposal)?;
        let notches = car.rails.iter().find(|r| r.name == name).map_or(&[][..], |rail| &rail.notches);
        let Some(from) = nth.checked_sub(1).and_then(|n| notches.get(n)) else {
            return Err(CarError::new(format!("the rail `{name}` has no notch {nth} to move")));
        };
        let makes = |change: &Change| {
            matches!(change, Change::NotchRail { rail, from: start, to, face, depth }
                if rail == name && RailNotch { from: *start, to: *to, face: *face, depth: *depth } == *from)
        };
        let as_found = |rail: &Rail| rail.notches.iter().position(|notch| notch == from);
        let steps = self.made_at(proposal, name, &format!("notch {nth}"), "notches", as_found, makes)?;
        self.put_stations(&steps, [from.from, from.to], [to.from, to.to]);
        self.patch.length(&[&steps[..], &path!["depth"]].concat(), Some(from.depth), to.depth);
        if from.face != to.face {
            self.put_field(&steps, "face", to.face.word())?;
        }
        Ok(())
    }

    /// A plate's thickness and how far it stands over the section; none takes it away.
    pub(super) fn put_plate(
        &mut self,
        proposal: Option<&str>,
        name: &str,
        (nth, end): (usize, CutEnd),
        to: Option<[f64; 2]>,
    ) -> Edited {
        let car = self.car_of(proposal)?;
        let rail = car.rails.iter().find(|r| r.name == name);
        let Some((rail, cut)) = rail.and_then(|rail| Some((rail, rail.cut(Some(nth))?))) else {
            return Err(CarError::new(format!("the rail `{name}` has no cut {nth} to weld a plate on")));
        };
        let known = rail.plates.iter().find(|p| p.cut == end && rail.cut(p.nth) == Some(cut));
        let steps = |editor: &Self, from: &EndPlate| {
            let makes = |change: &Change| {
                matches!(change, Change::EndPlate { rail, cut, nth, thickness, over }
                    if rail == name && EndPlate { cut: *cut, nth: *nth, thickness: *thickness, over: *over } == *from)
            };
            let as_found = |rail: &Rail| rail.plates.iter().position(|plate| plate == from);
            editor.made_at(proposal, name, &format!("plate on cut {nth}"), "plates", as_found, makes)
        };
        match (known, to) {
            (None, None) => {}
            (None, Some([thickness, over])) => {
                let nth = (rail.cuts.len() > 1).then_some(nth);
                let plate = EndPlate { cut: end, nth, thickness, over };
                self.saw(proposal, name, "plates", "end_plate", &plate.fields(self.unit()))?;
            }
            (Some(from), Some([thickness, over])) => {
                let steps = steps(self, from)?;
                self.patch.length(&[&steps[..], &path!["thickness"]].concat(), Some(from.thickness), thickness);
                if over != from.over {
                    self.put_field(&steps, "over", &self.unit().number(over))?;
                }
            }
            (Some(from), None) => {
                let steps = steps(self, from)?;
                if let Some((Step::Item(index), list)) = steps.split_last()
                    && let Some(group) = self.group(list)
                {
                    self.patch.remove(group, *index);
                }
            }
        }
        Ok(())
    }

    fn put_stations(&mut self, steps: &[Step], from: [f64; 2], to: [f64; 2]) {
        for (field, (from, to)) in ["from", "to"].into_iter().zip(from.into_iter().zip(to)) {
            self.patch.length(&[steps, &path![field]].concat(), Some(from), to);
        }
    }

    /// The car as found, or with the proposal.
    fn car_of(&self, proposal: Option<&str>) -> Result<Car, CarError> {
        proposal.map_or_else(|| Ok(self.file.car().clone()), |proposal| self.file.car().proposed(proposal))
    }

    /// Where the file makes something of a rail: in the rail's list as found, or by a change of the proposal.
    fn made_at(
        &self,
        proposal: Option<&str>,
        name: &str,
        what: &str,
        list: &str,
        as_found: impl Fn(&Rail) -> Option<usize>,
        makes: impl Fn(&Change) -> bool,
    ) -> Result<Vec<Step>, CarError> {
        let steps = match proposal {
            None => {
                let index = self.found_rail(name)?;
                as_found(&self.file.car().rails[index]).map(|nth| path!["rails", index, list, nth].to_vec())
            }
            Some(proposal) => {
                let index = self.proposal(proposal)?;
                let step = self.changes(index).iter().rposition(makes);
                step.map(|step| path!["proposals", index, "changes", step].to_vec())
            }
        };
        steps.ok_or_else(|| {
            CarError::new(format!(
                "the {what} of the rail `{name}` is not made by this proposal: move it where it is made"
            ))
        })
    }

    fn found_rail(&self, name: &str) -> Result<usize, CarError> {
        let rails = &self.file.car().rails;
        rails.iter().position(|r| r.name == name).ok_or_else(|| {
            let names = rails.iter().map(|r| r.name.as_str());
            CarError::new(format!("there is no rail `{name}` as found{}", instead_of(name, names)))
        })
    }
}
