//! What is asked of a search for better points: which points may move, and what is wished for.

use nalgebra::Vector3;
use serde::Serialize;

use crate::answer::NoAnswer;
use crate::car::{AxleName, CarError, PointName, Shown, Sides};
use crate::motion::{Along, Measure, Quantity};

/// A coordinate may be freed this far from where it is, mm: beyond it is another car (common practice, no source).
pub const FURTHEST: f64 = 300.0;
/// Most coordinates that may be free at once.
pub const MOST_FREE: usize = 16;
/// Most wishes at once.
pub const MOST_WISHES: usize = 12;

/// What is asked.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BetterAsk {
    /// The coordinates that may move.
    pub free: Vec<Free>,
    /// What is wished for.
    pub wishes: Vec<Wish>,
    /// How many cars are told of at most, the answer included.
    pub best: usize,
}

/// How many cars are told of where nothing else is said: each has to be proven, which takes about a second.
pub const BEST: usize = 5;

/// A coordinate that may move, and how far.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Free {
    /// The axle.
    pub axle: AxleName,
    /// The point. One on the upright moves on the upright: camber and toe at the measured height are set again to what
    /// was measured, as with `move_point` in a proposal.
    pub point: PointName,
    /// The sides it moves on, as `move_point` has them: `both` are moved alike, told of the left one.
    pub side: Sides,
    /// The axis of the car that it moves along.
    pub axis: Axis,
    /// The least that it may move, mm from where it is; negative is the other way.
    pub from_mm: f64,
    /// The most.
    pub to_mm: f64,
}

/// An axis of the car.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Axis {
    /// Forward.
    X,
    /// Left: of both sides' points outboard.
    Y,
    /// Up.
    Z,
}

impl Axis {
    /// All three.
    pub const ALL: [Self; 3] = [Self::X, Self::Y, Self::Z];

    /// As a command names it.
    pub fn name(self) -> &'static str {
        match self {
            Self::X => "x",
            Self::Y => "y",
            Self::Z => "z",
        }
    }

    /// One millimetre along it.
    pub fn unit(self) -> Vector3<f64> {
        match self {
            Self::X => Vector3::x(),
            Self::Y => Vector3::y(),
            Self::Z => Vector3::z(),
        }
    }

    /// Which way a shift goes: `outboard`. Of the right alone, y is the car's, as `move_point` has it.
    pub fn way(self, shift: f64, side: Sides) -> &'static str {
        let forth = shift >= 0.0;
        match (self, side) {
            (Self::X, _) if forth => "forward",
            (Self::X, _) => "back",
            (Self::Y, Sides::Right) if forth => "inboard",
            (Self::Y, Sides::Right) => "outboard",
            (Self::Y, _) if forth => "outboard",
            (Self::Y, _) => "inboard",
            (Self::Z, _) if forth => "up",
            (Self::Z, _) => "down",
        }
    }
}

/// Something wished for.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Wish {
    /// A number of an axle's geometry.
    Number(NumberWish),
    /// The inner wheel steers at least so many degrees each way before the first touch, at every wheel travel.
    Lock {
        /// Degrees.
        at_least_deg: f64,
    },
    /// Every pair of parts keeps its wanted gap, those too that do not keep it now.
    Clear,
}

/// A number, and what it is to be.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct NumberWish {
    /// The axle.
    pub axle: AxleName,
    /// The number.
    pub quantity: Quantity,
    /// What of it.
    pub of: OfNumber,
    /// The motion that it is followed along.
    pub along: Along,
    /// Whether it is asked at every place of that motion, rather than at ride height alone.
    pub through: bool,
    /// What it is to be, in mm, degrees, per cent or as a plain ratio; of a rate for [`NumberWish::PER`] of the motion.
    pub aim: Aim,
}

/// What of a number is asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum OfNumber {
    /// The number itself.
    Value,
    /// How far it is from what it is at ride height.
    Change,
    /// How fast it changes along the motion: of toe along travel, bump steer.
    Rate,
}

/// What a number is to be.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Aim {
    /// No more than this.
    AtMost(f64),
    /// No less than this.
    AtLeast(f64),
    /// No less than the first and no more than the second.
    Between(f64, f64),
    /// As near as can be. It is never the reason that a search falls short.
    Near(f64),
    /// No further than this from what it is now.
    Stays(f64),
}

impl Aim {
    /// The least and the most that it lets a number be that is `was` now.
    pub fn ends(self, was: f64, measure: Measure) -> [f64; 2] {
        match self {
            Self::AtMost(v) => [f64::NEG_INFINITY, v],
            Self::AtLeast(v) => [v, f64::INFINITY],
            Self::Between(low, high) => [low, high],
            // As near as is printed.
            Self::Near(v) => [v - seen(measure), v + seen(measure)],
            Self::Stays(by) => [was - by, was + by],
        }
    }

    /// The same with every number of it changed.
    pub(super) fn map(self, of: impl Fn(f64) -> f64) -> Self {
        match self {
            Self::AtMost(v) => Self::AtMost(of(v)),
            Self::AtLeast(v) => Self::AtLeast(of(v)),
            Self::Between(low, high) => Self::Between(of(low), of(high)),
            Self::Near(v) => Self::Near(of(v)),
            Self::Stays(by) => Self::Stays(of(by)),
        }
    }
}

/// Half of the last digit that is printed, in the unit of answers.
pub(super) fn seen(measure: Measure) -> f64 {
    match measure {
        Measure::Length | Measure::Share => 0.05,
        Measure::Angle | Measure::Ratio => 0.0005,
    }
}

impl NumberWish {
    /// Rates are for so much of a motion, in the core's unit: 25 mm of travel or heave, 10 mm of steering, 1 degree.
    pub fn per(along: Along) -> f64 {
        crate::answer::alignment::step(along, Shown::Mm).0
    }

    /// What is to be multiplied with a number shown in `shown` to have it as a wish has it.
    pub fn of_shown(&self, shown: Shown) -> f64 {
        let length = if self.quantity.measure() == Measure::Length { shown.in_mm() } else { 1.0 };
        let step = |shown| crate::answer::alignment::step(self.along, shown).0;
        if self.of == OfNumber::Rate { length * step(Shown::Mm) / step(shown) } else { length }
    }
}

impl Wish {
    /// What it is measured in.
    pub fn measure(&self) -> Measure {
        match self {
            Self::Number(number) => number.quantity.measure(),
            Self::Lock { .. } => Measure::Angle,
            Self::Clear => Measure::Length,
        }
    }

    /// What it is to be.
    pub fn aim(&self) -> Aim {
        match self {
            Self::Number(number) => number.aim,
            Self::Lock { at_least_deg } => Aim::AtLeast(*at_least_deg),
            Self::Clear => Aim::AtLeast(0.0),
        }
    }

    /// Whether it can be met; one that is to be as near as can be cannot fail.
    pub fn binds(&self) -> bool {
        !matches!(self.aim(), Aim::Near(_))
    }
}

/// What stops a search before it begins.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NoBetter {
    /// It cannot be asked: in words, what is wrong and what to do.
    #[error("{0}")]
    Asked(String),
    /// The car cannot be asked.
    #[error("{0}")]
    NoAnswer(#[from] NoAnswer),
    /// A change cannot be made.
    #[error("{0}")]
    Car(#[from] CarError),
}

/// Who watches a search, and can stop it.
#[derive(Clone, Copy)]
pub struct Looking<'a> {
    /// Is told how far it is.
    pub progress: &'a (dyn Fn(Progress) + Sync),
    /// Is asked now and then whether to stop.
    pub stop: &'a (dyn Fn() -> bool + Sync),
}

impl Looking<'_> {
    /// Nobody.
    pub const NOBODY: Self = Self { progress: &|_| (), stop: &|| false };
}

/// How far a search is.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Progress {
    /// Share of it that is done, 0 to 1.
    pub done: f64,
    /// The best car so far that keeps its gaps; none before there is one.
    pub best: Option<BestSoFar>,
}

/// The best car so far.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct BestSoFar {
    /// Wishes that it meets.
    pub met: usize,
    /// Of so many.
    pub of: usize,
    /// How far its points move, mm.
    pub moved_mm: f64,
}
