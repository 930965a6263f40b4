//! The questions a fabricator asks, answered as plain values. A number exists once, here, whichever face shows it.
//!
//! A [`Study`] is a car set up to be asked. Each answer opens with one sentence, in the units that the reader chose, and
//! carries its numbers in millimetres and degrees.

pub mod alignment;
pub mod along;
pub mod better;
pub mod brakes;
mod called;
pub mod change;
pub mod curves;
pub mod cut;
pub mod doubt;
pub mod frame;
pub mod gaps;
pub mod loads;
pub mod lock;
pub mod map;
pub mod plot;
pub mod ride;
pub mod routes;
pub mod scanned;
pub mod sheet;
pub mod sheets;
pub mod springs;
pub mod stance;
mod study;
pub mod wheels;
pub mod words;

use serde::Serialize;

pub use alignment::Alignment;
pub use along::{Fitted, Subject};
pub use better::{Better, BetterAsk};
pub use brakes::{BrakeAsk, Braking};
pub use called::PairName;
pub use change::{Comparison, Growth, SteerFix};
pub use curves::{CurveRow, Curves, Range, USUAL};
pub use cut::{Cut, CutPlan, FaceStretch, RailCut, RailPlan, Remains, SawnRail, ScribeLine, StayGap};
pub use doubt::GapDoubt;
pub use frame::BodyStrength;
pub use gaps::{Gap, Gaps, PairGap, Untold, Worst, WorstPose};
pub use loads::Loads;
pub use lock::{Limit, Lock, LockCurve, LockWay};
pub use map::{Among, GapMap, NoMap};
pub use plot::{Line, Plot, PlotAxis};
pub use ride::{Ride, RideAsk};
pub use routes::{RouteAsk, Routes, Watch};
pub use scanned::{LaidScan, LaidScans, ScannedMesh};
pub use sheets::Sheets;
pub use springs::Springs;
pub use stance::Stance;
pub use study::{Answers, NoAnswer, SLACK, Study};
pub use wheels::Wheels;
pub use words::Told;

/// How an answer stands against what was asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// Everything has its wanted gap.
    Clear,
    /// Something comes nearer than was asked for, or falls short.
    Short,
    /// Something touches.
    Touches,
}

impl Verdict {
    /// Of a gap against the one that is wanted, mm.
    pub fn of(gap: f64, wanted: f64) -> Self {
        if gap < 0.0 {
            Self::Touches
        } else if gap < wanted {
            Self::Short
        } else {
            Self::Clear
        }
    }

    /// As it is printed.
    pub fn word(self) -> &'static str {
        match self {
            Self::Clear => "clear",
            Self::Short => "short",
            Self::Touches => "touches",
        }
    }
}
