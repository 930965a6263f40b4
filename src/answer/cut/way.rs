//! The ways to saw a rail, as they are told.

use serde::Serialize;

use super::super::words;
use super::Room;
use super::remains::Remains;
use super::scribe::ScribeLine;
use super::stay::StayGap;
use crate::car::{Car, CutEnd, RailFace, Shown};

/// What can be sawn out of a rail where it is in the way.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RailPlan {
    /// The rail, as the car file calls it.
    pub rail: String,
    /// Whether it is for the left and the right one.
    pub both_sides: bool,
    /// What stations are measured from.
    pub datum: String,
    /// Stations that must go, on any face of either side.
    pub must_go_mm: [f64; 2],
    /// The gap that was asked for.
    pub wanted_mm: f64,
    /// Each way that there is, the least full cut first.
    pub ways: Vec<CutPlan>,
    /// Why others are not there.
    pub without: Vec<String>,
}

/// A way to do it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Way {
    /// Cut through with square ends.
    Square,
    /// Cut through with ends that lean.
    Mitred,
    /// Notched.
    Notch,
}

impl Way {
    /// As it is spoken.
    pub fn words(self) -> &'static str {
        match self {
            Self::Square => "cut with square ends",
            Self::Mitred => "cut with mitred ends",
            Self::Notch => "notch",
        }
    }
}

/// A cut or notch, ready to be marked.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CutPlan {
    /// What it is.
    pub way: Way,
    /// Station on the centreline where the metal ends.
    pub from_mm: f64,
    /// Station on the centreline where it begins again.
    pub to_mm: f64,
    /// How the two ends lean, near one first; none where they are square.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lean_deg: Option<[Lean; 2]>,
    /// What a notch takes.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub notch: Option<Deep>,
    /// Lines to scribe. Where the cut takes the rail's own end, there is none for it.
    pub lines: Vec<ScribeLine>,
    /// Mass of what goes, of one side.
    pub mass_kg: f64,
    /// What the mass was reckoned of.
    pub metal: String,
    /// What is left of the section.
    pub remains: Vec<Remains>,
    /// The least gap to what stays; none where no wheel comes within 150 mm of it.
    pub gap: Option<StayGap>,
    /// Whether it is proven that no pose has a smaller gap than the wanted one, less the slack of the answer.
    pub proven: bool,
    /// The change that makes it, for a proposal in the car file.
    pub change: String,
}

/// How an end leans, in the words of [`Mitre`].
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Lean {
    /// Towards the top.
    pub up_deg: f64,
    /// Away from the middle of the car.
    pub out_deg: f64,
}

/// What a notch takes.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Deep {
    /// The face that goes.
    pub face: RailFace,
    /// How deep from it.
    pub depth_mm: f64,
    /// What stays behind it.
    pub web_mm: f64,
}

impl CutPlan {
    /// Whether its two ends lean into one another.
    pub(super) fn meets(&self) -> bool {
        let marked = |end| self.lines.iter().filter(move |l| l.end == end).flat_map(|l| &l.marks).map(|m| m.station_mm);
        marked(CutEnd::Near).fold(f64::NEG_INFINITY, f64::max) >= marked(CutEnd::Far).fold(f64::INFINITY, f64::min)
    }
}

impl RailPlan {
    /// One of its ways in a sentence.
    pub fn says(&self, plan: &CutPlan, shown: Shown) -> String {
        let rail = if self.both_sides { format!("{}, both sides", self.rail) } else { self.rail.clone() };
        let (from, to) = (shown.cell(plan.from_mm), shown.cell(plan.to_mm));
        let what = match plan.notch {
            None => format!("{} at {from} and {to} {}", plan.way.words(), shown.sign()),
            Some(deep) => format!(
                "notch the {} face {} deep from {from} to {to} {}",
                deep.face.word(),
                shown.length(deep.depth_mm),
                shown.sign()
            ),
        };
        let each = if self.both_sides { " a side" } else { "" };
        let gap = plan.gap.map_or_else(
            || "no wheel then comes within 150 mm".to_owned(),
            |g| {
                let apart = if g.gap_mm < 0.0 { "is still" } else { "then keeps" };
                let into = if g.gap_mm < 0.0 { " into it" } else { "" };
                format!(
                    "the {} wheel {apart} {}{into}, {} wanted",
                    g.wheel.words(),
                    shown.length(g.gap_mm.abs()),
                    shown.length(self.wanted_mm)
                )
            },
        );
        format!(
            "{}: {what} from the {}; {:.2} kg goes{each}, and {gap}.",
            words::capital(&rail),
            self.datum,
            plan.mass_kg
        )
    }
}

impl Room {
    /// Of a car.
    pub(super) fn of(car: &Car) -> Self {
        let room = car.cutting;
        Self { kerf_mm: room.kerf, weld_mm: room.weld, mitre_deg: room.mitre.to_degrees(), web_mm: room.web }
    }
}
