//! A wheel set further in or out: its offset and its spacer.

use super::{Edited, Editor};
use crate::car::axle::AxleName;
use crate::car::error::Step;
use crate::car::proposal::Change;
use crate::car::rim::Wheel;

impl Editor<'_> {
    /// Of an axle as found, or in a proposal by its last change of wheel there.
    pub(super) fn put_wheel(&mut self, proposal: Option<&str>, axle: AxleName, to: [f64; 2]) -> Edited {
        let found = self.axle(axle)?.wheel;
        let Some(name) = proposal else { return self.put_wheel_at(&path![axle.word(), "wheel"], found, to) };
        let index = self.proposal(name)?;
        let fits = |change: &Change| match (change, axle) {
            (Change::ReplaceWheel(wheel), AxleName::Front) => Some(*wheel),
            (Change::Rear(change), AxleName::Rear) => match **change {
                Change::ReplaceWheel(wheel) => Some(wheel),
                _ => None,
            },
            _ => None,
        };
        let changes = path!["proposals", index, "changes"];
        let last = self.changes(index).iter().enumerate().rev().find_map(|(step, change)| Some((step, fits(change)?)));
        match last {
            Some((step, wheel)) => {
                let inside: &[Step] = if axle == AxleName::Rear { &path![0] } else { &[] };
                self.put_wheel_at(&[&changes[..], &path![step], inside].concat(), wheel, to)
            }
            None => {
                let [offset, spacer] = to;
                let swap = format!("replace_wheel({})", Wheel { offset, spacer, ..found }.fields(self.unit()));
                let entry = if axle == AxleName::Rear { format!("rear({swap})") } else { swap };
                self.add_to(&changes, &entry, "")
            }
        }
    }

    fn put_wheel_at(&mut self, place: &[Step], from: Wheel, [offset, spacer]: [f64; 2]) -> Edited {
        let to = Wheel { offset, spacer, ..from };
        let field = |name: &str| [place, &path![name]].concat();
        // Whoever gave the backspacing goes on reading it.
        if self.map.get(&field("backspacing")).is_some() {
            self.patch.length(&field("backspacing"), Some(from.backspacing()), to.backspacing());
        } else {
            self.patch.length(&field("offset"), Some(from.offset), to.offset);
        }
        if self.map.get(&field("spacer")).is_some() {
            self.patch.length(&field("spacer"), Some(from.spacer), to.spacer);
        } else if to.spacer != 0.0 {
            let spacer = self.unit().number(to.spacer);
            self.put_field(place, "spacer", &spacer)?;
        }
        Ok(())
    }
}
