//! Where an end of a cut clears the wheels with the plates that are on it: a plate stands before the metal's end, and may
//! reach over the section.

use super::super::study::Study;
use super::in_way::Whole;
use super::plan::FOUND;
use super::stay::Stays;
use crate::car::{CutEnd, SawCut, Side};
use crate::space::RailRun;

/// Gaps over the wanted one are told apart up to this, mm.
const TOLD: f64 = 30.0;
/// A station is found in fewer steps than this.
const STEPS: usize = 40;

/// An end of a cut of a rail, to be moved with its plates.
pub(super) struct Plated<'a> {
    pub study: &'a Study,
    pub whole: &'a Whole<'a>,
    pub cut: &'a SawCut,
    pub end: CutEnd,
}

impl Plated<'_> {
    /// The station where metal and plates just keep the wanted gap, where the metal alone does at `bare`, or has nothing in
    /// its way. Found to 0.01 mm, on the side that clears; the rail's own end where none before it does.
    pub fn clear(&self, bare: Option<f64>) -> Option<f64> {
        // Of all of the cut, were nothing in the metal's way.
        let inner = bare.unwrap_or(match self.end {
            CutEnd::Near => self.cut.to,
            CutEnd::Far => self.cut.from,
        });
        let over = self.over(inner);
        if over >= 0.0 {
            return bare;
        }
        let [start, last] = self.whole.rail.ends();
        let (most, outwards) = match self.end {
            CutEnd::Near => (inner - start, -1.0),
            CutEnd::Far => (last - inner, 1.0),
        };
        let at = |out: f64| inner + outwards * out;
        // A place moves no further than its end does: so much has to go at least.
        let (mut short, mut clear) = ((0.0, over), (-over, self.over(at(-over))));
        while clear.1 < 0.0 {
            if clear.0 >= most {
                return Some(at(most));
            }
            let next = (2.0 * clear.0).min(most);
            (short, clear) = (clear, (next, self.over(at(next))));
        }
        for _ in 0..STEPS {
            if clear.0 - short.0 < FOUND / 5.0 {
                break;
            }
            // Where a line through both meets nought, but well off either.
            let share = (short.1 / (short.1 - clear.1)).clamp(0.1, 0.9);
            let out = short.0 + (clear.0 - short.0) * share;
            let over = self.over(at(out));
            if over < 0.0 {
                short = (out, over);
            } else {
                clear = (out, over);
            }
        }
        Some(at(clear.0))
    }

    /// What the plates keep over the wanted gap with the end at a station, mm.
    fn over(&self, station: f64) -> f64 {
        let wanted = self.study.car.wanted.tyre_to_body;
        let gap = self.study.gap_to(self.solids(station), wanted + TOLD, None);
        gap.map_or(TOLD, |gap| gap.gap_mm - wanted)
    }

    /// The plates, were the end at a station.
    pub fn solids(&self, station: f64) -> Vec<Stays> {
        let mut moved = *self.cut;
        match self.end {
            CutEnd::Near => moved.from = station,
            CutEnd::Far => moved.to = station,
        }
        let mut rail = self.whole.rail.clone();
        rail.cuts.iter_mut().filter(|cut| *cut == self.cut).for_each(|cut| *cut = moved);
        let of = |side: Option<Side>| {
            let own = side.unwrap_or(Side::Left);
            RailRun::plates_on(&rail, own, &moved, self.end).into_iter().map(move |solid| (side, solid))
        };
        self.whole.sides.iter().flat_map(|(side, _)| of(*side).collect::<Vec<_>>()).collect()
    }
}
