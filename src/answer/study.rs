//! A car set up to be asked: its mechanism, its parts and the poses of its sweep.

use std::sync::OnceLock;

use rayon::prelude::*;

use super::{Cut, Gaps, Lock, words};
use crate::car::{Car, Shown, Side};
use crate::motion::{Front, OutOfReach, Pose};
use crate::space::{Least, Parts, Place, Unswept, WheelSweep};

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
    least: OnceLock<[Vec<Option<Least>>; 2]>,
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
        "that pose is out of reach: the {} {} is at the end of its swing before it gets there. Take less heave, roll, travel or rack",
        .0.side.word(), .0.part
    )]
    Pose(OutOfReach),
}

fn unswept(u: &Unswept) -> String {
    let mm = Shown::Mm;
    let [low, high] = u.range;
    format!(
        "the sweep asks for {} to {} with the rack {} each way, but the {} wheel's linkage ends at {} with {}: there the \
         {} is at the end of its swing. Take less bump, droop or rack travel, or move the points",
        words::travel(low.x, mm),
        words::travel(high.x, mm),
        mm.length(high.y),
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
        Ok(Self { car, front, parts, sweeps, least: OnceLock::new() })
    }

    /// The least gap over the sweep of each pair at a wheel, in the order of [`Parts::at_wheel`]; none where it is never
    /// within 150 mm. Found once, for all the questions.
    pub(super) fn least(&self, side: Side) -> &[Option<Least>] {
        let all = self.least.get_or_init(|| {
            let of = |side: Side| {
                let pairs = self.parts.at_wheel[side as usize].par_iter();
                pairs.map(|pair| self.sweeps[side as usize].least(&self.front, &self.parts, pair)).collect()
            };
            let (left, right) = rayon::join(|| of(Side::Left), || of(Side::Right));
            [left, right]
        });
        &all[side as usize]
    }

    /// The pairs at a wheel that come within their wanted gap somewhere in the sweep. One that stays off it by less than
    /// a millimetre counts too: its least gap was found by descent, which might have settled in the next valley.
    pub(super) fn tight(&self, side: Side) -> Vec<Place> {
        let pairs = self.parts.at_wheel[side as usize].iter().zip(self.least(side));
        let near = |pair: &Place, least: &Least| least.nearest.gap < pair.wanted + 1.0;
        pairs.filter(|(pair, least)| least.is_some_and(|l| near(pair, &l))).map(|(pair, _)| *pair).collect()
    }

    /// All answers, with the gaps of one pose.
    ///
    /// # Errors
    /// [`NoAnswer::Pose`] when that pose cannot be taken.
    pub fn answers(&self, pose: &Pose) -> Result<Answers, NoAnswer> {
        let gaps = self.gaps(pose)?;
        let (lock, cut) = rayon::join(|| self.lock(), || self.cut());
        Ok(Answers { gaps, lock, cut })
    }
}
