//! Which stretch of a rail is in the tyre's way, marked from its datum, and what to saw.

mod in_way;
mod judged;
mod notch;
mod plan;
mod plated;
mod remains;
mod scribe;
mod stay;
mod way;

use rayon::prelude::*;
use serde::Serialize;

use self::in_way::Whole;
use super::Verdict;
use super::gaps::WorstPose;
use super::study::{BUDGET, SLACK, Study};
use super::words::{self, Told};
use crate::car::{Hub, Rail, Shown, Side};
use crate::space::cut::{Cutting, STATION_KNOWN, Stretch};
use crate::space::{Face, Kind, NoKeepOut, Part, RailRun, Shell, WheelSweep};

pub use judged::{JudgedCut, JudgedEnd, JudgedNotch, SawnRail};
pub use remains::Remains;
pub(super) use scribe::{EDGES, marks};
pub use scribe::{Mark, ScribeLine};
pub use stay::StayGap;
pub use way::{CutPlan, Deep, Lean, RailPlan, Way};

/// Stands wherever a cut is told of.
pub const CAUTION: &str = "Before cutting: a shell's rails carry its crash loads. Brace the shell, follow the rule book of \
                           your class and the law of the road, and have the new structure judged by a licensed engineer.";

/// How far outside a keep-out its surface is drawn, mm: less than a saw's cut.
const OUT: f64 = 3.0;

/// Poses that the proof of one face may look at: a rail that runs along a wheel at nearly the wanted gap takes many.
const LOOKS: usize = 2 * BUDGET;

/// Where rails are in the way.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Cut {
    /// The worst of the rails.
    pub verdict: Verdict,
    /// Rails that the tyre's keep-out reaches.
    pub rails: Vec<RailCut>,
    /// Rails that it does not reach.
    pub clear: Vec<String>,
    /// What to saw of rails that are in the way as they were before anything was sawn out of them; none where they were not
    /// asked for, see [`Study::planned_cut`].
    pub plans: Vec<RailPlan>,
    /// Rails that the car has cut or notched, held to what is in the way.
    pub sawn: Vec<SawnRail>,
    /// What the plans leave room for.
    pub room: Room,
    /// What else is to be known, of scans.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub notes: Vec<String>,
    /// What the proof, if one was asked for, lets a place outside the stretches be short of the gap.
    pub slack_mm: Option<f64>,
    /// Rails of which it is not proven that no pose brings the wheel nearer than that to a place more than 0.1 mm outside
    /// the stretches that are stated.
    pub unproven: Vec<String>,
    /// To be read before cutting.
    pub caution: &'static str,
}

/// Which rails are planned for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Planned {
    /// None.
    None,
    /// Those of which nothing is sawn out yet.
    Whole,
    /// All.
    All,
}

/// What plans leave room for, as the car file says or by default (common practice, no source).
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Room {
    /// The blade's width: so far a cut may stray towards what goes.
    pub kerf_mm: f64,
    /// What a weld or a plate takes up on a cut end.
    pub weld_mm: f64,
    /// The greatest angle of a mitred end.
    pub mitre_deg: f64,
    /// The least of a section that a notch leaves behind it.
    pub web_mm: f64,
}

/// A rail in the way.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RailCut {
    /// As it is spoken.
    pub rail: String,
    /// What stations are measured from.
    pub datum: String,
    /// Whether the tyre itself touches, or only comes nearer than was asked for.
    pub verdict: Verdict,
    /// Stations that are touched on any face, from and to, in order; none where the tyre only comes too near.
    pub touched_mm: Vec<[f64; 2]>,
    /// Stations that must go for the wanted gap on any face, from and to, in order.
    pub to_clear_mm: Vec<[f64; 2]>,
    /// The gap that was asked for.
    pub wanted_mm: f64,
    /// How far the tyre reaches into the rail at most; negative where it only comes too near.
    pub depth_mm: f64,
    /// Each face's stretches that the tyre touches.
    pub touched: Vec<FaceStretch>,
    /// Each face's stretches that must go for the wanted gap.
    pub to_clear: Vec<FaceStretch>,
}

/// A stretch of one face.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FaceStretch {
    /// The face.
    pub face: Face,
    /// Station where it starts.
    pub from_mm: f64,
    /// Station where it ends.
    pub to_mm: f64,
    /// How far the keep-out reaches past the face at its deepest.
    pub depth_mm: f64,
    /// Station of that place.
    pub deepest_mm: f64,
    /// The wheel whose tyre it is.
    pub wheel: Hub,
    /// That pose.
    pub at: WorstPose,
}

impl FaceStretch {
    fn new(sweep: &WheelSweep, s: &Stretch) -> Self {
        Self {
            wheel: sweep.hub,
            face: s.face,
            from_mm: s.from,
            to_mm: s.to,
            depth_mm: s.depth,
            deepest_mm: s.deepest,
            at: WorstPose::at_wheel(sweep, s.at),
        }
    }
}

impl Study {
    /// Where rails are in the wheels' way, through the whole sweep, as searched, and what the car's own cuts leave: fast
    /// enough while a point is dragged. Without plans.
    pub fn cut(&self) -> Cut {
        self.cut_to(None, Planned::None)
    }

    /// The same with plans.
    pub fn planned_cut(&self) -> Cut {
        self.cut_to(None, Planned::All)
    }

    /// The same proven to [`SLACK`] of gap, or corrected until it is; once, however often it is asked.
    pub fn proven_cut(&self) -> Cut {
        self.proven_cut.get_or_init(|| self.cut_to(Some(SLACK), Planned::All)).clone()
    }

    /// The same with the plans that somebody asks for, as far as more than those are not known already.
    pub(crate) fn proven_cut_with(&self, planned: Planned) -> Cut {
        self.proven_cut.get().cloned().unwrap_or_else(|| self.cut_to(Some(SLACK), planned))
    }

    /// To so many millimetres of gap or as searched.
    fn cut_to(&self, slack: Option<f64>, planned: Planned) -> Cut {
        // A scanned rail has no stations.
        let (rails, scanned): (Vec<&Part>, Vec<&Part>) =
            self.parts.body.iter().filter(|p| p.kind == Kind::Rail).partition(|p| p.run.is_some());
        let found: Vec<(&Part, (Option<RailCut>, bool))> =
            rails.par_iter().map(|part| (*part, self.rail_cut(part, slack))).collect();
        let names = |is: fn(&(Option<RailCut>, bool)) -> bool| {
            found.iter().filter(|(_, cut)| is(cut)).map(|(part, _)| part.name.clone()).collect()
        };
        let (clear, unproven) = (names(|(cut, _)| cut.is_none()), names(|(_, proven)| !proven));
        let mut rails: Vec<RailCut> = found.into_iter().filter_map(|(_, (cut, _))| cut).collect();
        rails.sort_by(|a, b| b.depth_mm.total_cmp(&a.depth_mm));
        let unmarked = scanned.iter().map(|part| {
            format!(
                "The {} is a scan and has no stations, so no cut is marked on it: see `gaps` for what touches it.",
                part.name
            )
        });
        let notes = self.notes.iter().cloned().chain(unmarked).collect();
        let asked = |rail: &&Rail| rail.is_sawn() || planned != Planned::None;
        let asked: Vec<&Rail> = self.car.rails.iter().filter(asked).collect();
        let wholes: Vec<Whole> = asked.par_iter().map(|rail| Whole::new(self, rail, &rails, slack)).collect();
        let (sawn, whole): (Vec<&Whole>, Vec<&Whole>) = wholes.iter().partition(|whole| whole.rail.is_sawn());
        let to_plan = match planned {
            Planned::None => Vec::new(),
            Planned::Whole => whole,
            Planned::All => wholes.iter().collect(),
        };
        let (plans, sawn) = rayon::join(|| self.plans(&to_plan, slack), || self.sawn(&sawn, slack));
        let room = Room::of(&self.car);
        // A plate can be in the way where the rail is not.
        let own = sawn.iter().flat_map(SawnRail::verdicts);
        let verdict = rails.iter().map(|r| r.verdict).chain(own).max().unwrap_or(Verdict::Clear);
        Cut { verdict, rails, clear, plans, sawn, room, notes, slack_mm: slack, unproven, caution: CAUTION }
    }

    /// The keep-out of a wheel with its wanted gap to the body, as a closed surface that nowhere claims less.
    ///
    /// # Errors
    /// [`NoKeepOut`] where the sweep cannot be followed closely enough to say so.
    pub fn keep_out(&self, hub: Hub) -> Result<Shell, NoKeepOut> {
        Shell::new(&self.gear, &self.parts, self.sweep(hub), self.car.wanted.tyre_to_body, OUT)
    }

    /// What of a rail is in the way, and whether that is proven.
    fn rail_cut(&self, part: &Part, slack: Option<f64>) -> (Option<RailCut>, bool) {
        let Some(run) = &part.run else { return (None, false) };
        let wanted = self.car.wanted.tyre_to_body;
        let (to_clear, mut proven) = self.stretches(part.side, run, wanted, slack);
        if to_clear.is_empty() {
            return (None, proven);
        }
        let (touched, touched_proven) = self.stretches(part.side, run, 0.0, slack);
        proven &= touched_proven;
        let deepest = to_clear.iter().map(|s| s.depth_mm).fold(f64::NEG_INFINITY, f64::max);
        let cut = RailCut {
            rail: part.name.clone(),
            datum: self.counted_from(&part.base),
            verdict: if touched.is_empty() { Verdict::Short } else { Verdict::Touches },
            touched_mm: over_all_faces(stations(&touched), STATION_KNOWN),
            to_clear_mm: over_all_faces(stations(&to_clear), STATION_KNOWN),
            wanted_mm: wanted,
            depth_mm: deepest - wanted,
            touched,
            to_clear,
        };
        (Some(cut), proven)
    }

    /// What a rail's stations are counted from: its datum, or, where that is not their zero, how far off that is.
    fn counted_from(&self, rail: &str) -> String {
        let Some(Rail { datum, datum_station, .. }) = self.car.rails.iter().find(|r| r.name == rail) else {
            return String::new();
        };
        let off = self.car.unit.length(datum_station.abs());
        match *datum_station {
            0.0 => datum.clone(),
            before if before > 0.0 => format!("place {off} before the {datum}"),
            _ => format!("place {off} past the {datum}"),
        }
    }

    fn stretches(&self, side: Option<Side>, run: &RailRun, grown: f64, slack: Option<f64>) -> (Vec<FaceStretch>, bool) {
        let sweeps = self.sweeps.iter().filter(|sweep| side.is_none_or(|own| own == sweep.hub.side));
        let (mut all, mut proven) = (Vec::new(), slack.is_some());
        for sweep in sweeps {
            let cutting = Cutting { gear: &self.gear, parts: &self.parts, sweep, run, grown };
            let (found, sure) = slack.map_or_else(|| (cutting.stretches(), false), |s| cutting.proven(s, LOOKS));
            proven &= sure;
            all.extend(found.iter().map(|s| FaceStretch::new(sweep, s)));
        }
        (all, proven)
    }
}

fn stations(stretches: &[FaceStretch]) -> Vec<[f64; 2]> {
    stretches.iter().map(|s| [s.from_mm, s.to_mm]).collect()
}

/// The stations of stretches of any face: those that meet, or between which less than this lies, are one.
fn over_all_faces(mut all: Vec<[f64; 2]>, least: f64) -> Vec<[f64; 2]> {
    all.sort_by(|a, b| a[0].total_cmp(&b[0]));
    all.dedup_by(|next, last| {
        let meet = next[0] <= last[1] + least.max(STATION_KNOWN);
        if meet {
            last[1] = last[1].max(next[1]);
        }
        meet
    });
    all
}

impl Told for Cut {
    fn sentence(&self, shown: Shown) -> String {
        let Some(worst) = self.rails.first() else {
            if let Some(said) = self.sawn.iter().find_map(|rail| rail.says(shown)) {
                return said;
            }
            return "No rail lies in the tyres' way: nothing to cut.".to_owned();
        };
        let more = match self.rails.len() {
            1 => String::new(),
            2 => format!(" The {} is in the way too.", self.rails[1].rail),
            n => format!(" {} more rails are in the way.", n - 1),
        };
        let ranges = worst.to_clear_mm.iter().map(|[from, to]| format!("{} to {}", shown.cell(*from), shown.cell(*to)));
        let ranges = ranges.collect::<Vec<_>>().join(" and ");
        let gap = shown.length(worst.wanted_mm);
        let reach = if worst.depth_mm > 0.0 {
            format!("the tyre reaches {} into it", shown.length(worst.depth_mm))
        } else {
            format!("the tyre comes within {} of it", shown.length(-worst.depth_mm))
        };
        let name = words::capital(&worst.rail);
        format!(
            "{name}: {ranges} {} from the {} must go to clear the tyre by {gap}; {reach}.{more}",
            shown.sign(),
            worst.datum
        )
    }
}
