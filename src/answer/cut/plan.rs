//! What to saw so that the wheels keep their wanted gap through the whole sweep: the least full cut with square and with
//! mitred ends, and the notch that does where part of the section can stay.
//!
//! A mirrored rail is planned for both sides at once, as the car file cuts both alike: what is in the way on either counts.
//! Ends lie outside what must go by the room for blade and weld.

use rayon::prelude::*;

use super::super::study::Study;
use super::in_way::Whole;
use super::remains::{self, Metal};
use super::scribe::{self, ScribeLine};
use super::stay::{StayGap, Stays};
use super::way::{CutPlan, Lean, RailPlan, Way};
use crate::car::{CutEnd, Mitre, SawCut, sawn};
use crate::space::cut::Ends;
use crate::space::{FAR, RailRun, SawPlane};

/// A depth or a station is found to this, mm.
pub(super) const FOUND: f64 = 0.05;
/// Mitred ends that save less than this along the rail are not worth the setting, mm (common practice, no source).
const WORTH: f64 = 2.0;
/// An end that a wheel bulges into is moved this many times at most.
const MOVES: usize = 20;

/// A plan in the making: a rail, and the stretch of it that is planned for.
pub(super) struct Planning<'a> {
    pub study: &'a Study,
    pub whole: &'a Whole<'a>,
    pub metal: Metal,
    /// Stations that must go.
    pub range: [f64; 2],
    /// Stations up to which this plan answers for what stays.
    bounds: [f64; 2],
    pub slack: Option<f64>,
}

/// The two ends of a cut; none where it takes the rail's own end.
type Planes = [Option<SawPlane>; 2];

impl Study {
    /// Plans for the rails that have something in the way.
    pub(super) fn plans(&self, rails: &[&Whole], slack: Option<f64>) -> Vec<RailPlan> {
        let of_rail = |whole: &&Whole| {
            let ranges = whole.ranges(2.0 * self.room());
            let plan = |i: usize| self.plan(whole, &ranges, i, slack);
            (0..ranges.len()).map(plan).collect::<Vec<_>>()
        };
        rails.par_iter().flat_map(of_rail).collect()
    }

    /// What an end lies outside what must go, mm.
    pub(super) fn room(&self) -> f64 {
        self.car.cutting.kerf + self.car.cutting.weld
    }

    fn plan(&self, whole: &Whole, ranges: &[[f64; 2]], i: usize, slack: Option<f64>) -> RailPlan {
        let rail = whole.rail;
        let [start, end] = rail.ends();
        let low = if i == 0 { start } else { ranges[i - 1][1] + self.room() };
        let high = ranges.get(i + 1).map_or(end, |next| next[0] - self.room());
        let metal = Metal::of(&self.car, rail);
        let planning = Planning { study: self, whole, metal, range: ranges[i], bounds: [low, high], slack };
        let mut without = Vec::new();
        let square = planning.full(Way::Square);
        let mitred = planning.full(Way::Mitred);
        let saved = (square.to_mm - square.from_mm) - (mitred.to_mm - mitred.from_mm);
        let notch = planning.notch(&square);
        let mut ways = vec![square];
        if mitred.meets() {
            without.push("Mitred ends would meet: so little must go.".to_owned());
        } else if saved >= WORTH {
            ways.push(mitred);
        } else {
            without.push("Mitred ends would not save 2 mm of rail.".to_owned());
        }
        match notch {
            Ok(notch) => ways.push(notch),
            Err(why) => without.push(why),
        }
        RailPlan {
            rail: rail.name.clone(),
            both_sides: rail.mirror,
            datum: self.counted_from(&rail.name),
            must_go_mm: ranges[i],
            wanted_mm: self.car.wanted.tyre_to_body,
            ways,
            without,
        }
    }
}

impl Planning<'_> {
    pub fn run(&self) -> &RailRun {
        self.whole.run()
    }

    /// The least full cut.
    fn full(&self, way: Way) -> CutPlan {
        let study = self.study;
        let points = match way {
            Way::Mitred => self.whole.strip_corners(study, self.range),
            _ => self.whole.corners(self.range),
        };
        let ends = Ends { run: self.run(), points };
        let planes = CutEnd::BOTH.map(|end| {
            let clear = match way {
                Way::Mitred => ends.least(end, study.car.cutting.mitre),
                _ => ends.leaning(end, Mitre::default()),
            };
            // What is in the way has corners.
            let clear = clear.unwrap_or(SawPlane::square(self.range[end as usize]));
            self.outwards(self.until_clear(clear, end), end, study.room())
        });
        self.cut(way, planes)
    }

    /// A plane moved outwards; none where that is beyond the rail's own end.
    fn outwards(&self, plane: SawPlane, end: CutEnd, by: f64) -> Option<SawPlane> {
        let [start, last] = self.whole.rail.ends();
        let station = if end == CutEnd::Near { plane.station - by } else { plane.station + by };
        let moved = SawPlane { station, ..plane };
        if station <= start || station >= last {
            return None;
        }
        self.run().section(moved).map(|_| moved)
    }

    /// A wheel that comes upon the rail's end from along it can bulge into the cut end between the faces: moved until it
    /// does not.
    fn until_clear(&self, plane: SawPlane, end: CutEnd) -> SawPlane {
        let wanted = self.study.car.wanted.tyre_to_body;
        let mut plane = plane;
        for _ in 0..MOVES {
            let near = self.study.gap_to(self.stays_at(Some(plane), end), wanted, None);
            let Some(short) = near.map(|n| wanted - n.gap_mm).filter(|short| *short > FOUND / 5.0) else { break };
            match self.outwards(plane, end, short + FOUND / 5.0) {
                Some(moved) => plane = moved,
                None => break,
            }
        }
        plane
    }

    /// What stays at one end, on each side.
    fn stays_at(&self, plane: Option<SawPlane>, end: CutEnd) -> Vec<Stays> {
        let [start, last] = self.whole.rail.ends();
        let [low, high] = self.bounds;
        let Some(plane) = plane else { return Vec::new() };
        let of = |run: &RailRun| match end {
            CutEnd::Near if low < plane.station => {
                Some(run.piece((low > start).then_some(SawPlane::square(low)), Some(plane)))
            }
            CutEnd::Far if plane.station < high => {
                Some(run.piece(Some(plane), (high < last).then_some(SawPlane::square(high))))
            }
            _ => None,
        };
        self.whole.sides.iter().filter_map(|(side, run)| Some((*side, of(run)?.solid()))).collect()
    }

    fn cut(&self, way: Way, planes: Planes) -> CutPlan {
        let [start, last] = self.whole.rail.ends();
        let [near, far] = planes;
        let [from_mm, to_mm] = [near.map_or(start, |p| p.station), far.map_or(last, |p| p.station)];
        let lines: Vec<ScribeLine> = CutEnd::BOTH
            .into_iter()
            .zip(planes)
            .filter_map(|(end, plane)| Some(scribe::of_plane(self.run(), plane?, end)))
            .flatten()
            .collect();
        let marked = |end| lines.iter().filter(move |l| l.end == end).flat_map(|l| &l.marks).map(|m| m.station_mm);
        let reach = [marked(CutEnd::Near).fold(from_mm, f64::min), marked(CutEnd::Far).fold(to_mm, f64::max)];
        let stays = CutEnd::BOTH.into_iter().zip(planes).flat_map(|(end, plane)| self.stays_at(plane, end)).collect();
        let [near, far] = planes.map(|plane| plane.map_or(Mitre::default(), |p| p.mitre));
        let ends = if way == Way::Mitred { sawn::Ends::Mitred { near, far } } else { sawn::Ends::Square };
        let cut = SawCut { from: from_mm, to: to_mm, ends };
        let lean = |mitre: Mitre| Lean { up_deg: mitre.up.to_degrees(), out_deg: mitre.out.to_degrees() };
        let lean_deg = (way == Way::Mitred).then(|| [near, far].map(lean));
        let gap = self.study.gap_to(stays, FAR, self.slack);
        CutPlan {
            way,
            from_mm,
            to_mm,
            lean_deg,
            notch: None,
            mass_kg: self.metal.mass(remains::area(self.whole.rail) * (to_mm - from_mm)),
            metal: self.metal.grade.clone(),
            remains: vec![remains::gone(reach)],
            proven: self.is_proven(gap.as_ref()),
            gap,
            change: match planes {
                // All of it is in the way.
                [None, None] => format!("remove({:?})", self.whole.rail.name),
                _ => format!("cut_rail(rail: {:?}, {})", self.whole.rail.name, cut.fields(self.study.car.unit)),
            },
            lines,
        }
    }

    pub fn is_proven(&self, gap: Option<&StayGap>) -> bool {
        let floor = |slack| self.study.car.wanted.tyre_to_body - slack;
        self.slack.is_some_and(|slack| gap.is_none_or(|g| g.at_least_mm.is_some_and(|mm| mm >= floor(slack))))
    }
}
