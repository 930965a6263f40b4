//! Cuts and notches that the car has, held to what is in the way: the gap that remains, what more must go, what could stay.

use rayon::prelude::*;
use serde::Serialize;

use super::super::Verdict;
use super::super::study::Study;
use super::in_way::Whole;
use super::notch::{across_from, notch_depth, notched_stretch};
use super::plated::Plated;
use super::remains::{self, Metal, Remains};
use super::scribe::{self, ScribeLine};
use super::stay::StayGap;
use crate::car::{CutEnd, Rail, RailFace, RailNotch, SawCut, Shown, Side};
use crate::space::cut::Ends;
use crate::space::{FAR, Face, RailRun, SawPlane};

/// An end answers for what stays up to this far from it, mm: further off another end or a new cut does.
const NEAR_END: f64 = 300.0;

/// A rail that is cut or notched.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SawnRail {
    /// The rail, as the car file calls it.
    pub rail: String,
    /// Whether it is for the left and the right one.
    pub both_sides: bool,
    /// What stations are measured from.
    pub datum: String,
    /// The gap that was asked for.
    pub wanted_mm: f64,
    /// Its cuts, from the datum on.
    pub cuts: Vec<JudgedCut>,
    /// Its notches.
    pub notches: Vec<JudgedNotch>,
    /// What is left of its section, along all of it.
    pub remains: Vec<Remains>,
    /// Mass of all that goes, of one side.
    pub mass_kg: f64,
    /// What the mass was reckoned of.
    pub metal: String,
}

/// A cut.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct JudgedCut {
    /// Station where the metal ends.
    pub from_mm: f64,
    /// Station where it begins again.
    pub to_mm: f64,
    /// Its ends; one that takes the rail's own is not there.
    pub ends: Vec<JudgedEnd>,
    /// Lines to scribe.
    pub lines: Vec<ScribeLine>,
}

/// An end of a cut.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct JudgedEnd {
    /// Which.
    pub end: CutEnd,
    /// Its station.
    pub station_mm: f64,
    /// The least gap from a wheel to what stays there, plates too; none where none comes within 150 mm.
    pub gap: Option<StayGap>,
    /// Of that gap.
    pub verdict: Verdict,
    /// Where an end that leans so, with the plates that it has, would just keep the wanted gap, nothing allowed for blade and
    /// weld; none where nothing is in the way.
    pub clear_mm: Option<f64>,
    /// How much more must go for the wanted gap.
    pub must_go_mm: f64,
    /// How much could stay with the room for blade and weld kept; of an end with a plate for the blade, as the other is for a
    /// bead or a plate.
    pub could_stay_mm: f64,
}

/// A notch.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct JudgedNotch {
    /// Station where it starts.
    pub from_mm: f64,
    /// Station where it ends.
    pub to_mm: f64,
    /// The face that goes.
    pub face: RailFace,
    /// How deep.
    pub depth_mm: f64,
    /// What stays behind it.
    pub web_mm: f64,
    /// The least gap from a wheel to what stays there; none where none comes within 150 mm.
    pub gap: Option<StayGap>,
    /// Of that gap.
    pub verdict: Verdict,
    /// The least depth that keeps the wanted gap over these stations; none where no depth does.
    pub clear_mm: Option<f64>,
    /// Stations of what must go there on any face; none where nothing must.
    pub must_go_mm: Option<[f64; 2]>,
    /// Lines to scribe.
    pub lines: Vec<ScribeLine>,
}

impl Study {
    /// The car's own cuts and notches.
    pub(super) fn sawn(&self, rails: &[&Whole], slack: Option<f64>) -> Vec<SawnRail> {
        rails.par_iter().map(|whole| self.sawn_rail(whole, slack)).collect()
    }

    fn sawn_rail(&self, whole: &Whole, slack: Option<f64>) -> SawnRail {
        let rail = whole.rail;
        let ranges = whole.ranges(0.0);
        let metal = Metal::of(&self.car, rail);
        let cuts = rail.cuts_in_order();
        let cuts: Vec<JudgedCut> = cuts.iter().map(|cut| self.judged_cut(whole, &ranges, cut, slack)).collect();
        let notches = rail.notches.iter().map(|notch| self.judged_notch(whole, &ranges, notch, slack));
        let gone: f64 = rail.cuts.iter().map(|cut| remains::area(rail) * (cut.to - cut.from)).sum();
        let less = rail.notches.iter().filter_map(|n| {
            let lost = remains::behind_notch(rail, n).ok()?.1;
            Some(lost * (n.to - n.from))
        });
        SawnRail {
            rail: rail.name.clone(),
            both_sides: rail.mirror,
            datum: self.counted_from(&rail.name),
            wanted_mm: self.car.wanted.tyre_to_body,
            notches: notches.collect(),
            remains: along(rail, &cuts),
            mass_kg: metal.mass(gone + less.sum::<f64>()),
            metal: metal.grade,
            cuts,
        }
    }

    fn judged_cut(&self, whole: &Whole, ranges: &[[f64; 2]], cut: &SawCut, slack: Option<f64>) -> JudgedCut {
        let [start, last] = whole.rail.ends();
        let meets = |r: &&[f64; 2]| r[0] < cut.to && cut.from < r[1];
        let points = ranges.iter().filter(meets).flat_map(|range| whole.corners(*range)).collect();
        let ends = Ends { run: whole.run(), points };
        let there = CutEnd::BOTH.into_iter().filter(|end| match end {
            CutEnd::Near => cut.from > start + 1e-6,
            CutEnd::Far => cut.to < last - 1e-6,
        });
        let judged = |end: CutEnd| {
            let plane = SawPlane::of(cut, end);
            let plated = Plated { study: self, whole, cut, end };
            let clear = plated.clear(ends.leaning(end, plane.mitre).map(|plane| plane.station));
            let room = if plated.solids(plane.station).is_empty() { self.room() } else { self.car.cutting.kerf };
            // Outwards, as the metal sees it: what is positive has still to go.
            let over =
                |station: f64| if end == CutEnd::Near { plane.station - station } else { station - plane.station };
            let more = clear.map(over);
            let gap = self.gap_to(self.stays_at_end(whole, cut, end), FAR, slack);
            let wanted = self.car.wanted.tyre_to_body;
            JudgedEnd {
                end,
                station_mm: plane.station,
                verdict: gap.map_or(Verdict::Clear, |g| Verdict::of(g.gap_mm, wanted)),
                gap,
                clear_mm: clear,
                must_go_mm: more.map_or(0.0, |more| more.max(0.0)),
                could_stay_mm: more.map_or(0.0, |more| (-more - room).max(0.0)),
            }
        };
        let lines = there.clone().flat_map(|end| scribe::of_plane(whole.run(), SawPlane::of(cut, end), end)).collect();
        JudgedCut { from_mm: cut.from, to_mm: cut.to, ends: there.map(judged).collect(), lines }
    }

    /// What stays of a rail at an end of a cut, with what is welded on it.
    fn stays_at_end(&self, whole: &Whole, cut: &SawCut, end: CutEnd) -> Vec<super::stay::Stays> {
        let station = cut.station(end);
        let near = |run: &RailRun| {
            let [first, last] = [run.stations[0], run.stations[run.stretches()]];
            match end {
                CutEnd::Near if (last - station).abs() < 1e-6 => {
                    let low = station - NEAR_END;
                    Some(if low > first { run.piece(Some(SawPlane::square(low)), None) } else { run.clone() })
                }
                CutEnd::Far if (first - station).abs() < 1e-6 => {
                    let high = station + NEAR_END;
                    Some(if high < last { run.piece(None, Some(SawPlane::square(high))) } else { run.clone() })
                }
                _ => None,
            }
        };
        let of = |side: Option<Side>| {
            let own = side.unwrap_or(Side::Left);
            let pieces = RailRun::pieces(whole.rail, own).into_iter().filter_map(|(_, run)| Some(near(&run)?.solid()));
            let plates = RailRun::plates_on(whole.rail, own, cut, end);
            pieces.chain(plates).map(move |solid| (side, solid)).collect::<Vec<_>>()
        };
        whole.sides.iter().flat_map(|(side, _)| of(*side)).collect()
    }

    fn judged_notch(&self, whole: &Whole, ranges: &[[f64; 2]], notch: &RailNotch, slack: Option<f64>) -> JudgedNotch {
        let [width, height] = whole.rail.size();
        let across = notch.face.across(width, height);
        let range = [notch.from, notch.to];
        let stays = notched_stretch(whole, range, notch.face, notch.depth / across);
        let gap = self.gap_to(stays, FAR, slack);
        let meets: Vec<&[f64; 2]> = ranges.iter().filter(|r| r[0] < notch.to && notch.from < r[1]).collect();
        let must_go_mm = meets.first().zip(meets.last()).map(|(first, last)| [first[0], last[1]]);
        let behind = must_go_mm.is_none_or(|r| whole.is_clear(Face::from(across_from(notch.face)), r));
        let most = across - 2.0 * whole.rail.wall;
        let clear_mm = behind.then(|| notch_depth(self, whole, range, notch.face, most)).flatten();
        let ends = CutEnd::BOTH.into_iter();
        JudgedNotch {
            from_mm: notch.from,
            to_mm: notch.to,
            face: notch.face,
            depth_mm: notch.depth,
            web_mm: across - notch.depth,
            gap,
            verdict: gap.map_or(Verdict::Clear, |g| Verdict::of(g.gap_mm, self.car.wanted.tyre_to_body)),
            clear_mm,
            must_go_mm,
            lines: ends
                .flat_map(|end| scribe::of_notch(whole.run(), range[end as usize], end, notch.face, notch.depth))
                .collect(),
        }
    }
}

impl SawnRail {
    /// Of all its ends and notches.
    pub(super) fn verdicts(&self) -> impl Iterator<Item = Verdict> {
        let ends = self.cuts.iter().flat_map(|cut| &cut.ends).map(|end| end.verdict);
        ends.chain(self.notches.iter().map(|notch| notch.verdict))
    }

    /// The nearest that a wheel comes to what stays, in a sentence; nothing where none comes near.
    pub fn says(&self, shown: Shown) -> Option<String> {
        let gaps = self.cuts.iter().flat_map(|c| &c.ends).filter_map(|e| e.gap);
        let least =
            gaps.chain(self.notches.iter().filter_map(|n| n.gap)).min_by(|a, b| a.gap_mm.total_cmp(&b.gap_mm))?;
        let gap = shown.length(least.gap_mm.abs());
        let keeps = if least.gap_mm < 0.0 { format!("is {gap} into") } else { format!("keeps {gap} from") };
        let each = if self.both_sides { ", left and right," } else { "" };
        Some(format!(
            "With the {}{each} as it is cut the {} wheel {keeps} what stays; {} are wanted.",
            self.rail,
            least.wheel.words(),
            shown.length(self.wanted_mm)
        ))
    }
}

/// What is left of a rail's section from end to end.
fn along(rail: &Rail, cuts: &[JudgedCut]) -> Vec<Remains> {
    let gone = cuts.iter().map(|cut| {
        let marks = || cut.lines.iter().flat_map(|l| &l.marks).map(|m| m.station_mm);
        remains::gone([marks().fold(cut.from_mm, f64::min), marks().fold(cut.to_mm, f64::max)])
    });
    let less = rail.notches.iter().filter_map(|n| Some(remains::behind_notch(rail, n).ok()?.0));
    let mut sawn: Vec<Remains> = gone.chain(less).collect();
    sawn.sort_by(|a, b| a.from_mm.total_cmp(&b.from_mm));
    let [start, end] = rail.ends();
    let mut all: Vec<Remains> = Vec::new();
    let mut from = start;
    for part in sawn.into_iter().map(Some).chain([None]) {
        let to = part.map_or(end, |p| p.from_mm);
        if to > from {
            all.push(Remains { from_mm: from, to_mm: to, area: 1.0, upright: 1.0, sideways: 1.0, torsion: 1.0 });
        }
        from = part.map_or(end, |p| p.to_mm);
        all.extend(part);
    }
    all
}
