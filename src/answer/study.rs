//! A car set up to be asked: its mechanism, its parts and the poses of its sweep.

use super::{Cut, Gaps, Lock, words};
use crate::car::{Car, Shown, Side};
use crate::motion::{Front, OutOfReach, Pose};
use crate::space::{Parts, Unswept, WheelSweep};

/// A car set up to be asked.
#[derive(Debug, Clone)]
pub struct Study {
    /// The car, with any proposal made.
    pub car: Car,
    /// Its front axle.
    pub front: Front,
    /// Its parts.
    pub parts: Parts,
    /// Both front wheels' sweeps.
    pub sweeps: [WheelSweep; 2],
}

/// All answers about a car.
#[derive(Debug, Clone, PartialEq)]
pub struct Answers {
    /// What touches.
    pub gaps: Gaps,
    /// How far it steers.
    pub lock: Lock,
    /// Where rails are in the way.
    pub cut: Cut,
}

/// Why there is no answer.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NoAnswer {
    /// The wheels cannot stand on the ground at ride height.
    #[error(
        "at ride height the {} wheel cannot stand on the ground: the {} is at the end of its swing before it gets there. \
         Check the points, the tyre and how far the body is lowered", .0.side.word(), .0.part
    )]
    Ride(OutOfReach),
    /// The linkage ends before the sweep does.
    #[error("{}", unswept(.0))]
    Sweep(Box<Unswept>),
    /// A pose that was asked for cannot be taken.
    #[error(
        "that pose is out of reach: the {} {} is at the end of its swing before it gets there. Take less travel or less rack",
        .0.side.word(), .0.part
    )]
    Pose(OutOfReach),
}

fn unswept(u: &Unswept) -> String {
    let mm = Shown::Mm;
    format!(
        "the sweep asks for {} with {}, but the {} wheel's linkage ends at {} with {}: there the {} is at the end of its \
         swing. Take less bump, droop or rack travel, or move the points",
        words::travel(u.asked.x, mm),
        words::rack(u.asked.y, mm),
        u.stop.side.word(),
        words::travel(u.reached.x, mm),
        words::rack(u.reached.y, mm),
        u.stop.part,
    )
}

impl Study {
    /// Sets up a checked car.
    ///
    /// # Errors
    /// [`NoAnswer`] where its linkage cannot follow the sweep that the car file asks for.
    pub fn new(car: Car) -> Result<Self, NoAnswer> {
        let front = Front::new(&car).map_err(NoAnswer::Ride)?;
        let parts = Parts::new(&car);
        let sweep = |side| {
            WheelSweep::new(&front, side, &car.sweep, car.front.rack.travel).map_err(|u| NoAnswer::Sweep(Box::new(u)))
        };
        let (left, right) = rayon::join(|| sweep(Side::Left), || sweep(Side::Right));
        let sweeps = [left?, right?];
        Ok(Self { car, front, parts, sweeps })
    }

    /// All answers, with the gaps of one pose.
    ///
    /// # Errors
    /// [`NoAnswer::Pose`] when that pose cannot be taken.
    pub fn answers(&self, pose: &Pose) -> Result<Answers, NoAnswer> {
        let (gaps, (lock, cut)) = rayon::join(|| self.gaps(pose), || rayon::join(|| self.lock(), || self.cut()));
        Ok(Answers { gaps: gaps?, lock, cut })
    }
}
