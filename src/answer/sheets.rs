//! The papers that turn a proposal into metal, as plain values: templates for rails and tube ends, a cut list, arms' jigs,
//! points and the set-up. [`crate::sheets`] draws them.

pub mod cope;
mod ends;
mod jig;
mod list;
mod points;
mod rails;
mod rods;
mod set_up;
pub mod surface;

use serde::Serialize;

use super::study::{NoAnswer, Study};
use super::words::Told;
use super::{cut, frame, loads, lock};
use crate::car::{Car, Shown};
use cut::Planned;

pub use cope::{AROUND, Cope, RoundEnd};
pub use ends::{Met, TubeEnd};
pub use jig::{Check, Corner, Hole, Jig, Rod, own_frame};
pub use list::{CutList, CutPlate, CutTube, StockTotal};
pub use points::ListedPoint;
pub use rails::{FaceSheet, RailTemplate};
pub use set_up::{SetRow, SetUp};

/// What is on every tube end's template, and why.
pub const OUTSIDE: &str = "For the tube's outside: the edge is where its outer surface meets the other part's outer surface. Wrap it \
                           printed side out, its end towards the joint.";

/// Papers for the bench.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Sheets {
    /// The car and its state, as papers are headed.
    pub car: String,
    /// Whether a proposal is made, and as found stands beside it.
    pub proposed: bool,
    /// Templates for cut and notched rails.
    pub rails: Vec<RailTemplate>,
    /// The ends of tubes that have to be made.
    pub ends: Vec<TubeEnd>,
    /// What to saw.
    pub cut_list: CutList,
    /// Arms.
    pub jigs: Vec<Jig>,
    /// Rods and links.
    pub rods: Vec<Rod>,
    /// All points.
    pub points: Vec<ListedPoint>,
    /// The set-up.
    pub set_up: SetUp,
    /// What the car has nothing of, and why, in sentences.
    pub without: Vec<String>,
    /// What else is to be known, of scans.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub notes: Vec<String>,
    /// To be read before cutting, before building a frame, before an arm is used, before driving.
    pub caution: Cautions,
}

/// The warnings of the answers that the papers are made from.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Cautions {
    /// On rails' templates.
    pub cutting: &'static str,
    /// On tubes' templates and the cut list.
    pub frame: [&'static str; 2],
    /// On jigs.
    pub arms: &'static str,
    /// On the set-up sheet.
    pub lock: &'static str,
}

impl Study {
    /// All papers of the car, beside the one as found where a proposal is made; square lines and sentences in the reader's
    /// unit. Lock and cuts are proven, which takes a second or so, or as searched.
    ///
    /// # Errors
    /// [`NoAnswer`] where the car cannot stand at ride height.
    pub fn sheets(&self, found: Option<&Self>, shown: Shown, proven: bool) -> Result<Sheets, NoAnswer> {
        let was: Option<&Car> = found.map(|study| &study.car);
        // One after the other: what is kept is not to be waited for by a worker that it may need itself.
        let lock = if proven { self.proven_lock() } else { self.lock() };
        let cut = if proven { self.proven_cut_with(Planned::Whole) } else { self.planned_cut() };
        let (rails, mut without) = rails::templates(&self.car, was, &cut, shown);
        let pieces = ends::pieces(&self.car, was);
        let ends = ends::ends(&self.car, &pieces);
        let cut_list = list::list(&self.car, was, &pieces, &ends);
        let jigs = jig::jigs(&self.car, was, shown);
        let changed = if was.is_some() { " that the proposal adds or changes" } else { "" };
        if cut.sawn.is_empty() && cut.plans.is_empty() {
            without.push("No rail is cut, notched or in the way: no rail templates.".to_owned());
        }
        if cut_list.tubes.is_empty() {
            without.push(format!("There are no tubes{changed}: no cope templates, and nothing on the cut list."));
        } else if ends.iter().all(|e| e.cope.is_none()) {
            without.push("No tube meets a rail or another tube: no cope templates.".to_owned());
        }
        if jigs.is_empty() {
            without.push(
                "This car has no arms of two pickups, only links: no jigs; links are told from joint to joint."
                    .to_owned(),
            );
        }
        if self.car.datums.is_empty() {
            without.push("The car file has no `datums`: the set-up tells no ride heights.".to_owned());
        }
        if self.car.rear.is_none() {
            without.push("The car file describes no rear axle: there is nothing of it.".to_owned());
        }
        Ok(Sheets {
            car: self.car.titled(),
            proposed: was.is_some(),
            rails,
            ends,
            cut_list,
            jigs,
            rods: rods::rods(self, was),
            points: points::points(&self.car, was),
            set_up: set_up::set_up(self, found, &lock, shown)?,
            without,
            notes: self.notes.clone(),
            caution: Cautions {
                cutting: cut::CAUTION,
                frame: frame::CAUTION,
                arms: loads::CAUTION,
                lock: lock::CAUTION,
            },
        })
    }
}

impl Told for Sheets {
    fn sentence(&self, shown: Shown) -> String {
        let count = |n: usize, one: &str| match n {
            0 => format!("no {one}s"),
            1 => format!("1 {one}"),
            n => format!("{n} {one}s"),
        };
        let copes = self.ends.iter().filter(|e| e.cope.is_some()).count();
        let list = &self.cut_list;
        let pieces: usize = list.tubes.iter().map(|t| t.count).sum();
        let length: f64 = list.stock.iter().map(|s| s.length_mm).sum();
        let tubes = match pieces {
            0 => "no tube to saw".to_owned(),
            _ => format!(
                "{} to saw, {} and {:.2} kg of tube",
                count(pieces, "tube"),
                shown.length(length),
                list.stock.iter().map(|s| s.mass_kg).sum::<f64>()
            ),
        };
        format!(
            "{}: {}, {}, {tubes}, and {}.",
            self.car,
            count(self.rails.len(), "rail template"),
            count(copes, "cope template"),
            count(self.jigs.len(), "arm jig"),
        )
    }
}
