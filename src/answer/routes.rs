//! Ways to tie a cut rail's ends back: tubes that clear what moves and what stands, and give the stiffness back.
//!
//! Tubes run from the two ends of a cut, by way of end plates, to each other around the wheel, to nodes and to other
//! rails, and from a bend to those. What can run there is found first ([`lines`]): every line is measured ([`measure`]) against
//! everything that moves, through its whole sweep, and against everything that stands, and so is known the thickest tube that
//! still has its wanted gaps. Then sets of such lines are tried as frames ([`search`]): the set grows line by line, by those
//! that bring back most, and what is reached is made lighter, size by size from the stock, as long as it stays reached. The
//! best are proven: no pose of the sweep, none between those looked at either, brings anything nearer than is wanted
//! ([`proof`]).
//!
//! Searched, so that there may be a lighter one; what is said of each route is measured.

mod ask;
mod fits;
mod lines;
mod made;
mod measure;
mod place;
mod proof;
mod search;
mod text;
pub mod told;

use serde::Serialize;

use super::Verdict;
use super::frame::{BodyState, LeastShare, MemberUse, Mounts, SAME, StateName, least};
use super::study::{NoAnswer, Study};
use crate::car::{Car, CutEnd, FixedTube, Shown, Side};
use crate::strength::Way;
use lines::Bends;
use place::Sawn;
use proof::{Plates, Unproven};
use search::{Bench, Set};

pub use ask::{RouteAsk, Watch};
pub use made::{MadeOf, RoutePlate, RouteTube};

/// An end plate's thickness, mm (common practice, no source).
pub const PLATE: f64 = 4.0;

/// As many routes whose proof fails end a search.
const REFUSED: usize = 20;
/// Bends that are looked at more closely.
const FINER: usize = 4;

/// What a search does not know, and what every cut is warned of.
pub const CAUTION: [&str; 2] = [
    "A search proposes, and does not design: look at each route for room to weld, for what has to come in and out past it, and \
                              for what the frame does not know (panels, seams, impact, fatigue).",
    super::cut::CAUTION,
];

/// Routes for every cut.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Routes {
    /// Clear where every cut has a route that reaches what is wanted; short where not. Where nothing is cut, as `cut` has it.
    pub verdict: Verdict,
    /// Each cut with its routes.
    pub cuts: Vec<CutRoutes>,
    /// The share of the stiffness as found that is wanted back.
    pub wanted_share: f64,
    /// Whether it was stopped before its end.
    pub stopped: bool,
    /// What else is to be known.
    pub notes: Vec<String>,
    /// Stands wherever this is shown.
    pub caution: [&'static str; 2],
}

/// Routes for one cut.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CutRoutes {
    /// The rail, by its name in the car file.
    pub rail: String,
    /// Which of its cuts, from 1 at the datum.
    pub nth: usize,
    /// Its ends.
    pub from_mm: f64,
    /// The other end.
    pub to_mm: f64,
    /// What the body keeps without any route.
    pub without: Kept,
    /// The lightest first; where none reaches what is wanted and holds, those that come nearest to it.
    pub routes: Vec<Route>,
    /// Why there is none, where an end plate comes nearer to what moves than is wanted: in words.
    pub refused: Option<String>,
    /// Lines that have their gaps, and sets that were tried.
    pub tried: Tried,
}

/// How far a search went.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
pub struct Tried {
    /// Lines that were measured.
    pub lines: usize,
    /// Of those the ones that have their gaps with some size of the stock.
    pub clear: usize,
    /// Sets of tubes that were calculated.
    pub sets: usize,
}

/// What a body keeps of its stiffness.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Kept {
    /// Where it is least; none where nothing is loaded.
    pub least: Option<LeastShare>,
    /// What nothing holds, in words.
    pub nothing_holds: Vec<String>,
}

impl Kept {
    /// Whether it holds together and keeps this share.
    pub fn reaches(&self, share: f64) -> bool {
        self.nothing_holds.is_empty() && self.least.as_ref().is_none_or(|l| l.share >= share * (1.0 - SAME))
    }
}

/// A way to tie a cut rail back.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Route {
    /// Whether it reaches the share that is wanted.
    pub reaches: bool,
    /// Whether its tubes hold the load cases with the factor that is wanted, or are used no harder than the hardest used member
    /// of the body as found and do not give out; as far as the car file's grades tell, and not where the body comes apart.
    pub holds: bool,
    /// That of its own tubes that is used most; none where none can be judged.
    pub hardest: Option<Weakest>,
    /// What it weighs, tubes and plates of both sides.
    pub mass_kg: f64,
    /// Its tubes.
    pub tubes: Vec<RouteTube>,
    /// The end plates that it welds on the cut, where it had none.
    pub plates: Vec<RoutePlate>,
    /// What the body keeps with it.
    pub kept: Kept,
    /// In twist, Nm/deg.
    pub twist_nm_per_deg: Option<f64>,
    /// The member used most: its name, the share of what it takes, and the load case; none where none can be judged.
    pub weakest: Option<Weakest>,
    /// Its smallest gap over what is wanted, proven.
    pub tightest: Option<RouteGap>,
    /// The changes that make it, as the car file writes them, to stand last in the proposal.
    pub changes: String,
    /// The same as values.
    #[serde(skip)]
    pub made_of: MadeOf,
}

/// The member that is used most.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Weakest {
    /// As it is spoken.
    pub member: String,
    /// 1 where it gives out.
    pub of: f64,
    /// Whether by buckling; else by yielding.
    pub buckles: bool,
    /// The load case.
    pub case: String,
}

/// A gap of a route's tube.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RouteGap {
    /// The tube.
    pub tube: String,
    /// What comes near it.
    pub part: String,
    /// The least gap found.
    pub gap_mm: f64,
    /// What is proven of it.
    pub at_least_mm: f64,
    /// Wanted.
    pub wanted_mm: f64,
}

impl Weakest {
    fn of(member: &MemberUse) -> Option<Self> {
        let (of, way) = member.most()?;
        Some(Self { member: member.words(Shown::Mm), of, buckles: way == Way::Buckling, case: member.case.clone() })
    }
}

/// Whether a run, as it is spoken, is a tube.
fn is_of(run: &str, tube: &FixedTube) -> bool {
    let side = |side: &Side| run.strip_prefix(side.word()).and_then(|bare| bare.strip_prefix(' '));
    run == tube.name || (tube.mirror && Side::BOTH.iter().filter_map(side).any(|bare| bare == tube.name))
}

impl Study {
    /// Proposes routes for every cut of the car, against the body `found`.
    ///
    /// # Errors
    /// [`NoAnswer`] where the body is no frame, as found or as it is.
    pub fn routes(&self, found: &Car, ask: RouteAsk, watch: Watch) -> Result<Routes, NoAnswer> {
        let mounts = self.mounts(found)?;
        let before = BodyState::new(StateName::AsFound, found, &mounts)?;
        let mut notes = Vec::new();
        if self.car.stock.is_empty() {
            notes.push(
                "The car file has no `stock`, so there is no tube to route with: add sizes, such as `stock: [(od: 38, wall: 2, \
                 grade: \"E235+N\")]`."
                    .to_owned(),
            );
        }
        let all = place::cuts(&self.car);
        let share = |done: usize, part: f64| (watch.progress)((done as f64 + part) / all.len().max(1) as f64);
        let mut cuts = Vec::new();
        for (done, sawn) in all.iter().enumerate() {
            let progress = |part: f64| share(done, part);
            let watch = Watch { progress: &progress, stop: watch.stop };
            cuts.push(self.routes_of(sawn, &before, &mounts, ask, watch)?);
        }
        let stopped = (watch.stop)();
        if cuts.iter().any(|c| c.routes.first().is_some_and(|r| !r.reaches)) && !stopped && !cuts.is_empty() {
            notes.push(
                "Where nothing reaches the share that is wanted: add nodes to run to, thicker tube to `stock`, or ask for less."
                    .to_owned(),
            );
        }
        if all.len() > 1 {
            notes.push(
                "Each cut is routed as if the others' metal still carried, but no tube runs to it: see `--strength` for all \
                 together."
                    .to_owned(),
            );
        }
        let reached = |c: &CutRoutes| match c.routes.first() {
            Some(route) => route.reaches && route.holds,
            None => c.without.reaches(ask.share),
        };
        // Where nothing is cut there is nothing to route around, but perhaps a rail that has to go first.
        let uncut = cuts.is_empty().then(|| self.cut());
        if let Some(cut) = uncut.as_ref().filter(|cut| !cut.rails.is_empty()) {
            let rails: Vec<&str> = cut.rails.iter().map(|rail| rail.rail.as_str()).collect();
            notes.push(format!("In the tyres' way, and to be cut first: {}. `cut` tells where.", rails.join(", ")));
        }
        let reaches = cuts.iter().all(reached);
        let verdict = if reaches { uncut.map_or(Verdict::Clear, |cut| cut.verdict) } else { Verdict::Short };
        Ok(Routes { verdict, cuts, wanted_share: ask.share, stopped, notes, caution: CAUTION })
    }

    fn routes_of(
        &self,
        sawn: &Sawn,
        before: &BodyState,
        mounts: &Mounts,
        ask: RouteAsk,
        watch: Watch,
    ) -> Result<CutRoutes, NoAnswer> {
        // The other cuts are looked at by themselves.
        let car = sawn.alone(&self.car);
        let bare = BodyState::new(StateName::Cut, &car, mounts)?;
        let kept = |state: &BodyState| Kept { least: least(before, state), nothing_holds: state.nothing_holds.clone() };
        let mut told = CutRoutes {
            rail: sawn.rail.clone(),
            nth: sawn.nth,
            from_mm: sawn.cut.from,
            to_mm: sawn.cut.to,
            without: kept(&bare),
            routes: Vec::new(),
            refused: None,
            tried: Tried::default(),
        };
        if told.without.reaches(ask.share) {
            return Ok(told);
        }
        let part = |from: f64, to: f64| move |part: f64| (watch.progress)(from + (to - from) * part);
        let (first, second) = (part(0.0, 0.4), part(0.4, 0.9));
        let [coarse, fine] =
            [&first as &(dyn Fn(f64) + Sync), &second].map(|p| Watch { progress: p, stop: watch.stop });
        let lines = self.clear_lines(&car, sawn, Bends::Coarse, &mut told.tried, coarse);
        let bench = Bench::new(&car, sawn, &lines, mounts, before, ask.share)?;
        let sets = bench.search(&mut told.tried, coarse);
        // The best bends once more, more closely.
        let bends = bench.bends(&sets, FINER);
        let finer = self.clear_lines(&car, sawn, Bends::Near(&bends), &mut told.tried, fine);
        let closer = Bench::new(&car, sawn, &finer, mounts, before, ask.share)?;
        let found = closer.search(&mut told.tried, fine);
        let of = |bench, sets: Vec<Set>| sets.into_iter().map(move |set| (bench, set));
        let mut all: Vec<(&Bench, Set)> = of(&bench, sets).chain(of(&closer, found)).collect();
        all.sort_by(|(a, one), (b, other)| a.before(one, b, other));
        let mut taken: Vec<(&Bench, Set)> = Vec::new();
        let (mut plates, mut refused) = (Plates::new(), 0);
        for (bench, set) in all {
            if told.routes.len() >= ask.best || (watch.stop)() {
                break;
            }
            // What does not reach is told only where nothing does.
            let short = !bench.good(&set) && told.routes.iter().any(|r| r.reaches && r.holds);
            if short || taken.iter().any(|(b, other)| b.alike(other, bench, &set)) {
                continue;
            }
            let made_of = bench.made_of(&set);
            let tightest = match self.proven_route(&car, &made_of, &mut plates, watch) {
                Ok(tightest) => tightest,
                Err(Unproven::Stopped) => break,
                Err(Unproven::Plate(why)) => {
                    told.refused = Some(why);
                    break;
                }
                Err(Unproven::Tube) if refused > REFUSED => break,
                Err(Unproven::Tube) => {
                    refused += 1;
                    continue;
                }
            };
            let mut with = car.clone();
            made_of.make(&mut with);
            let state = BodyState::new(StateName::Rerouted, &with, mounts)?;
            let own = |m: &&MemberUse| made_of.tubes.iter().any(|t| is_of(&m.run, t));
            let hardest = state.members.iter().filter(own).find_map(Weakest::of);
            let weakest = state.members.iter().find_map(Weakest::of);
            // What comes apart is not judged, and holds nothing.
            let holds = state.nothing_holds.is_empty()
                && hardest.as_ref().is_none_or(|h| h.of <= search::most_used(self.car.wanted_factor, before) + SAME);
            let made_of = sawn.said(made_of);
            told.routes.push(Route {
                reaches: kept(&state).reaches(ask.share),
                holds,
                hardest,
                mass_kg: state.mass_kg - bare.mass_kg,
                tubes: bench.told(&set, &made_of),
                plates: bench.told_plates(&made_of),
                kept: kept(&state),
                twist_nm_per_deg: state.twist_nm_per_deg,
                weakest,
                tightest,
                changes: text::changes(&made_of, self.car.unit),
                made_of,
            });
            taken.push((bench, set));
        }
        (watch.progress)(1.0);
        Ok(told)
    }
}

/// The sides that a route's tubes are on.
fn sides(mirror: bool) -> &'static [Side] {
    if mirror { &Side::BOTH } else { &[Side::Left] }
}

/// The ends of a cut that there is metal at.
pub fn ends(rail: &crate::car::Rail, cut: &crate::car::SawCut) -> Vec<CutEnd> {
    let [start, end] = rail.ends();
    CutEnd::BOTH
        .into_iter()
        .filter(|which| match which {
            CutEnd::Near => cut.from > start + 1.0,
            CutEnd::Far => cut.to < end - 1.0,
        })
        .collect()
}
