//! The front axle's steering travel, put where it is to be: of a rack as it is, of a steering box as its arm's turn.

use super::{Edited, Editor};
use crate::car::axle::Axle;
use crate::car::error::CarError;
use crate::car::patch::degrees;
use crate::car::proposal::Change;

/// Steering travel as the file writes it: a field and its value before and now.
enum Limit {
    /// A rack's `travel`, mm.
    Rack { from: f64, to: f64 },
    /// A steering box's `lock`, radians.
    Box { from: f64, to: f64 },
}

impl Limit {
    fn of(axle: &Axle, travel: f64) -> Result<Self, CarError> {
        match (axle.rack, axle.steering_box, axle.pitman_length()) {
            (Some(rack), _, _) => Ok(Self::Rack { from: rack.travel, to: travel }),
            (None, Some(part), Some(arm)) => Ok(Self::Box { from: part.lock, to: travel / arm }),
            _ => Err(CarError::new("nothing steers the front wheels: add `rack: (travel: ...)` in the car's file")),
        }
    }
}

impl Editor<'_> {
    pub(super) fn put_steering_travel(&mut self, proposal: Option<&str>, travel: f64) -> Edited {
        let Some(name) = proposal else {
            match Limit::of(&self.file.car().front, travel)? {
                Limit::Rack { from, to } => self.patch.length(&path!["front", "rack", "travel"], Some(from), to),
                Limit::Box { from, to } => self.patch.angle(&path!["front", "steering_box", "lock"], from, to),
            }
            return Ok(());
        };
        let index = self.proposal(name)?;
        // A proposal may fit another rack or box, or move the pitman arm.
        let front = self.file.car().proposed(name)?.front;
        let fits = |change: &Change| matches!(change, Change::ReplaceRack(_) | Change::ReplaceSteeringBox(_));
        let last = self.changes(index).iter().rposition(fits);
        let unit = self.file.car().unit;
        let entry = match (Limit::of(&front, travel)?, last) {
            (Limit::Rack { from, to }, Some(step)) => {
                self.patch.length(&path!["proposals", index, "changes", step, "travel"], Some(from), to);
                return Ok(());
            }
            (Limit::Box { from, to }, Some(step)) => {
                self.patch.angle(&path!["proposals", index, "changes", step, "lock"], from, to);
                return Ok(());
            }
            (Limit::Rack { to, .. }, None) => {
                let turn = front.rack.and_then(|rack| rack.per_turn);
                let turn = turn.map(|mm| format!(", per_turn: {}", unit.number(mm))).unwrap_or_default();
                format!("replace_rack(travel: {}{turn})", unit.number(to))
            }
            (Limit::Box { to, .. }, None) => {
                let ratio = front.steering_box.and_then(|part| part.ratio);
                let ratio = ratio.map(|ratio| format!(", ratio: {ratio}")).unwrap_or_default();
                format!("replace_steering_box(lock: {}{ratio})", degrees(to))
            }
        };
        self.add_to(&path!["proposals", index, "changes"], &entry, "")
    }
}
