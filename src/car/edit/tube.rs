//! Tubes: made, their corners moved, taken away.
//!
//! In a proposal what the proposal itself has added is changed where it stands; of what was there as found a change is
//! added, or the last one of its kind rewritten.

use super::{Edited, Editor};
use crate::car::error::{CarError, Step, instead_of};
use crate::car::fixed::FixedTube;
use crate::car::nodes::TubePoint;
use crate::car::proposal::Change;

impl Editor<'_> {
    pub(super) fn add_tube(&mut self, proposal: Option<&str>, tube: &FixedTube) -> Edited {
        self.add(proposal, "tubes", "add_tube", &tube.fields(self.unit()))
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
                    let written = to.written(self.unit());
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
        let entry = format!("move_bend(tube: {name:?}, bend: {bend}, to: {})", to.written(self.unit()));
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
                let written = to.written(self.unit());
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
}
