//! A car that is made to be compared: arms grown, rod ends moved, and the changes that a proposal needs for both.

use super::bump_steer::written;
use super::{Grow, Growth, NoChange, SteerAim, SteerFix};
use crate::car::{AxleName, Car, Change, Shown};

/// What is to be made of a car.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Remake {
    /// Arms to grow.
    pub grow: Option<Grow>,
    /// The axle whose bump steer is looked at.
    pub axle: AxleName,
    /// What its bump steer is to be; where none is said, its rod ends stay, and what would bring it back is told.
    pub bump_steer: Option<SteerAim>,
}

/// A car made anew.
#[derive(Debug, Clone, PartialEq)]
pub struct Remade {
    /// The car.
    pub car: Car,
    /// What was grown.
    pub growth: Option<Growth>,
    /// Where the rod ends stand, or would have to.
    pub bump_steer: Option<SteerFix>,
    /// What makes it, to be put last in a proposal.
    pub changes: Vec<Change>,
}

impl Remade {
    /// Of `start`, a car as found or with a proposal made of it. `before` is the car whose bump steer is to come back.
    ///
    /// # Errors
    /// [`NoChange`] where it cannot be made.
    pub fn new(before: &Car, start: &Car, ask: Remake, name: &str, shown: Shown) -> Result<Self, NoChange> {
        let (mut car, mut growth, mut changes) = (start.clone(), None, Vec::new());
        if let Some(grow) = ask.grow {
            let grow = Grow { by_mm: written(grow.by_mm), ..grow };
            let (grown, told) = Growth::new(&car, grow, name)?;
            (car, growth) = (grown, Some(told));
            changes.extend((grow.by_mm != 0.0).then(|| grow.change()));
        }
        let aim = ask.bump_steer.unwrap_or(SteerAim::AsBefore);
        let bump_steer = SteerFix::new(before, &car, ask.axle, aim, shown)?;
        if let (Some(_), Some(fix)) = (ask.bump_steer, &bump_steer) {
            car = fix.made(&car, name)?;
            changes.extend(fix.changes());
        }
        Ok(Self { car, growth, bump_steer, changes })
    }

    /// The changes as this car's file writes them.
    pub fn written(&self) -> Vec<String> {
        self.changes.iter().filter_map(|change| change.written(self.car.unit)).collect()
    }
}
