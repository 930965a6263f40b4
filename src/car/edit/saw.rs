//! Cuts and notches: made, and a cut's ends moved.

use super::{Edited, Editor};
use crate::car::error::{CarError, instead_of};
use crate::car::proposal::Change;
use crate::car::sawn::SawCut;

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
            self.put_field(&steps, "ends", &to.ends.written())?;
        }
        Ok(())
    }

    fn found_rail(&self, name: &str) -> Result<usize, CarError> {
        let rails = &self.file.car().rails;
        rails.iter().position(|r| r.name == name).ok_or_else(|| {
            let names = rails.iter().map(|r| r.name.as_str());
            CarError::new(format!("there is no rail `{name}` as found{}", instead_of(name, names)))
        })
    }
}
