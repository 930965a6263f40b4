//! Notches: how deep they have to be, and what they leave.

use super::super::study::Study;
use super::in_way::Whole;
use super::plan::{FOUND, Planning};
use super::stay::Stays;
use super::way::{CutPlan, Deep, Way};
use super::{remains, scribe};
use crate::car::{CutEnd, RailFace, RailNotch};
use crate::space::{FAR, Face, RailRun, SawPlane};

impl Planning<'_> {
    /// The notch that takes least, over the stations of the full cut.
    pub fn notch(&self, square: &CutPlan) -> Result<CutPlan, String> {
        let rail = self.whole.rail;
        if self.run().radius.is_some() {
            return Err("A round rail is not notched.".to_owned());
        }
        let [width, height] = rail.size();
        let off_bends = |station: f64, up: bool| self.run().off_bends(SawPlane::square(station), up);
        let range = [off_bends(square.from_mm, false), off_bends(square.to_mm, true)];
        let (room, web) = (self.study.room(), self.study.car.cutting.web.max(2.0 * rail.wall));
        let found = RailFace::ALL.into_iter().filter_map(|face| {
            if !self.whole.is_clear(Face::from(across_from(face)), self.range) {
                return None;
            }
            let across = face.across(width, height);
            let depth = notch_depth(self.study, self.whole, range, face, across - web - room)? + room;
            let notch = RailNotch { from: range[0], to: range[1], face, depth };
            let (left, lost) = remains::behind_notch(rail, &notch).ok()?;
            Some((notch, left, lost))
        });
        let best = found.min_by(|a, b| a.2.total_cmp(&b.2));
        let (notch, left, lost) = best.ok_or_else(|| {
            let web = self.study.car.unit.length(web);
            format!("No notch: behind no face would {web} of the section stay with the wanted gap.")
        })?;
        let RailNotch { face, depth, .. } = notch;
        let share = depth / face.across(width, height);
        let stays = notched_stretch(self.whole, range, face, share);
        let gap = self.study.gap_to(stays, FAR, self.slack);
        let [start, last] = rail.ends();
        let ends = [(CutEnd::Near, range[0] > start), (CutEnd::Far, range[1] < last)];
        let lines = ends.into_iter().filter(|(_, there)| *there);
        let lines = lines.flat_map(|(end, _)| scribe::of_notch(self.run(), range[end as usize], end, face, depth));
        Ok(CutPlan {
            way: Way::Notch,
            from_mm: range[0],
            to_mm: range[1],
            lean_deg: None,
            notch: Some(Deep { face, depth_mm: depth, web_mm: face.across(width, height) - depth }),
            lines: lines.collect(),
            mass_kg: self.metal.mass(lost * (range[1] - range[0])),
            metal: self.metal.grade.clone(),
            remains: vec![left],
            proven: self.is_proven(gap.as_ref()),
            gap,
            change: format!("notch_rail(rail: {:?}, {})", rail.name, notch.fields(self.study.car.unit)),
        })
    }
}

/// The face across from one.
pub(super) fn across_from(face: RailFace) -> RailFace {
    match face {
        RailFace::Top => RailFace::Bottom,
        RailFace::Inner => RailFace::Outer,
        RailFace::Bottom => RailFace::Top,
        RailFace::Outer => RailFace::Inner,
    }
}

/// A notched stretch of a rail with a little beside it, so that its steps are there, on each side.
pub(super) fn notched_stretch(whole: &Whole, [from, to]: [f64; 2], face: RailFace, share: f64) -> Vec<Stays> {
    let [start, last] = whole.rail.ends();
    let low = (from - 1.0 > start).then_some(SawPlane::square(from - 1.0));
    let high = (to + 1.0 < last).then_some(SawPlane::square(to + 1.0));
    let of = |run: &RailRun| run.with_notch([from, to], face, share).piece(low, high).solid();
    whole.sides.iter().map(|(side, run)| (*side, of(run))).collect()
}

/// The least depth of a notch over some stations that leaves the wanted gap, mm; none where `most` does not.
pub(super) fn notch_depth(study: &Study, whole: &Whole, range: [f64; 2], face: RailFace, most: f64) -> Option<f64> {
    let [width, height] = whole.rail.size();
    let clears = |depth: f64| {
        let stays = notched_stretch(whole, range, face, depth / face.across(width, height));
        !study.is_short(stays)
    };
    if most <= 0.0 || !clears(most) {
        return None;
    }
    let [mut short, mut clear] = [0.0, most];
    while clear - short > FOUND {
        let middle = (short + clear) / 2.0;
        if clears(middle) { clear = middle } else { short = middle }
    }
    Some(clear)
}
