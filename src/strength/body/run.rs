//! Runs of metal: what a rail, what a cut left of one, or a tube is to a frame.
//!
//! A run is straight between its corners. Along it goes one section, but where a notch leaves less.

use nalgebra::Vector3;

use super::metal::{self, metal};
use super::{NoBody, cuts};
use crate::car::{Car, CarError, FixedTube, Rail, Side, TubePoint};
use crate::space::RailRun;
use crate::strength::frame::Dofs;
use crate::strength::material::Material;
use crate::strength::section::Section;

/// What a run is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Kind {
    /// A rail, or what a cut left of one.
    Rail,
    /// A tube.
    Tube,
}

/// A stretch of metal that goes on without a break.
#[derive(Debug, Clone, PartialEq)]
pub struct Run {
    /// As it is spoken: `left upper rail`.
    pub name: String,
    /// Its name in the car file.
    pub base: String,
    /// Its side; none of what is there once.
    pub side: Option<Side>,
    /// What it is.
    pub kind: Kind,
    /// Its corners, and where a notch begins and ends, mm.
    pub line: Vec<Vector3<f64>>,
    /// Station of each, mm: of a rail from its datum, of a tube from its first point.
    pub stations: Vec<f64>,
    /// The section of each straight stretch.
    pub sections: Vec<Section>,
    /// Half its size across and up, mm; both the radius of a tube.
    pub half: [f64; 2],
    /// What it is made of.
    pub material: Material,
    /// The grade as the car file names it; none where it does not, and then no strength is known.
    pub grade: Option<String>,
    /// Whether both its ends turn on what they meet.
    pub pinned: bool,
    /// Stations of a tube's corners that are said to be on a rail, mm.
    pub on_rail: Vec<f64>,
    /// Whether it is only what a cut left of a rail.
    pub part: bool,
    /// Whether its first point is a rail's datum.
    pub datum: bool,
    /// The rail's own words for its datum.
    pub datum_words: String,
}

/// Places nearer than this are one, mm.
pub(super) const SAME: f64 = 1.0;

/// The sides that something is on.
pub(super) fn sides(mirror: bool) -> Vec<Option<Side>> {
    if mirror { Side::BOTH.map(Some).to_vec() } else { vec![None] }
}

/// As it is spoken.
pub(super) fn spoken(base: &str, side: Option<Side>) -> String {
    side.map_or_else(|| base.to_owned(), |side| format!("{} {base}", side.word()))
}

/// All runs of a car, rails first.
pub(super) fn of(car: &Car) -> Result<Vec<Run>, NoBody> {
    let mut runs = Vec::new();
    for rail in &car.rails {
        for side in sides(rail.mirror) {
            runs.extend(of_rail(car, rail, side));
        }
    }
    runs.extend(tubes(car, &car.tubes)?);
    Ok(runs)
}

/// Tubes on all their sides.
pub(super) fn tubes(car: &Car, tubes: &[FixedTube]) -> Result<Vec<Run>, NoBody> {
    tubes.iter().flat_map(|tube| sides(tube.mirror).into_iter().map(|side| of_tube(car, tube, side))).collect()
}

/// What is left of a rail on one side.
fn of_rail(car: &Car, rail: &Rail, side: Option<Side>) -> Vec<Run> {
    let run = RailRun::new(rail, side.unwrap_or(Side::Left));
    let (material, grade) = metal(car, rail.grade.as_deref());
    let (whole, half) = (metal::whole(rail), rail.size().map(|mm| mm / 2.0));
    let notches = cuts::notches(rail, &run);
    let [first, last] = [run.stations[0], run.stations[run.stations.len() - 1]];
    cuts::left(rail)
        .into_iter()
        .map(|[from, to]| {
            let within = |s: &f64| *s > from + SAME && *s < to - SAME;
            let mut stations = vec![from, to];
            stations.extend(run.stations.iter().copied().filter(within));
            stations.extend(notches.iter().flat_map(|n| n.0).filter(within));
            stations.sort_by(f64::total_cmp);
            stations.dedup_by(|a, b| *a - *b < SAME);
            let section = |pair: &[f64]| {
                let middle = (pair[0] + pair[1]) / 2.0;
                let notched = notches.iter().find(|n| n.0[0] < middle && middle < n.0[1]);
                notched.map_or(whole, |n| n.1)
            };
            Run {
                name: spoken(&rail.name, side),
                base: rail.name.clone(),
                side,
                kind: Kind::Rail,
                line: stations.iter().map(|s| at(&run, *s)).collect(),
                sections: stations.windows(2).map(section).collect(),
                stations,
                half,
                material: material.clone(),
                grade: grade.clone(),
                pinned: false,
                on_rail: Vec::new(),
                part: from != first || to != last,
                datum: from == first,
                datum_words: rail.datum.clone(),
            }
        })
        .collect()
}

/// The axis of a rail at a station, mm.
pub(super) fn at(run: &RailRun, station: f64) -> Vector3<f64> {
    let (stretch, along) = run.at_station(station);
    run.centreline[stretch] * (1.0 - along) + run.centreline[stretch + 1] * along
}

fn of_tube(car: &Car, tube: &FixedTube, side: Option<Side>) -> Result<Run, NoBody> {
    let nowhere = |why: CarError| NoBody::Nowhere { tube: tube.name.clone(), why: why.what().to_owned() };
    let left = car.tube_line(tube).map_err(nowhere)?;
    let line: Vec<_> = left.into_iter().map(|p| side.unwrap_or(Side::Left).mirror(p)).collect();
    let (material, grade) = metal(car, tube.grade.as_deref());
    let mut stations = vec![0.0];
    for pair in line.windows(2) {
        stations.push(stations[stations.len() - 1] + (pair[1] - pair[0]).norm());
    }
    let is_on = |point: &TubePoint| matches!(point, TubePoint::OnRail { .. });
    let on_rail = tube.points.iter().zip(&stations).filter(|(p, _)| is_on(p)).map(|(_, s)| *s).collect();
    let section = Section::Tube { diameter: tube.od, wall: tube.wall.unwrap_or(tube.od / 2.0) };
    Ok(Run {
        name: spoken(&tube.name, side),
        base: tube.name.clone(),
        side,
        kind: Kind::Tube,
        sections: vec![section; line.len().saturating_sub(1)],
        pinned: tube.pinned,
        on_rail,
        line,
        stations,
        half: [tube.od / 2.0; 2],
        material,
        grade,
        part: false,
        datum: false,
        datum_words: String::new(),
    })
}

/// The nearest place of a run to a point.
#[derive(Debug, Clone, Copy)]
pub(super) struct Foot {
    /// Its station, mm.
    pub station: f64,
    /// The place, mm.
    pub at: Vector3<f64>,
    /// The straight stretch it is on.
    pub stretch: usize,
    /// How far off the point is, mm.
    pub off: f64,
}

/// The nearest place of a line through corners with these stations.
pub(super) fn foot(line: &[Vector3<f64>], stations: &[f64], point: Vector3<f64>) -> Option<Foot> {
    let one = |stretch: usize| {
        let (a, b) = (line[stretch], line[stretch + 1]);
        let run = b - a;
        let along = ((point - a).dot(&run) / run.norm_squared()).clamp(0.0, 1.0);
        let at = a + run * along;
        let station = stations[stretch] + (stations[stretch + 1] - stations[stretch]) * along;
        Foot { station, at, stretch, off: (point - at).norm() }
    };
    (0..line.len().saturating_sub(1)).map(one).min_by(|a, b| a.off.total_cmp(&b.off))
}

impl Run {
    /// The nearest place to a point.
    pub(super) fn foot(&self, point: Vector3<f64>) -> Option<Foot> {
        foot(&self.line, &self.stations, point)
    }

    /// The axis at a station, mm.
    pub fn at(&self, station: f64) -> Vector3<f64> {
        let stretch = self.stretch(station);
        let (from, to) = (self.stations[stretch], self.stations[stretch + 1]);
        let along = ((station - from) / (to - from)).clamp(0.0, 1.0);
        self.line[stretch] * (1.0 - along) + self.line[stretch + 1] * along
    }

    /// The stretch that a station lies in.
    pub(super) fn stretch(&self, station: f64) -> usize {
        self.stations[1..].iter().position(|s| station <= *s).unwrap_or(self.sections.len() - 1)
    }

    /// Where it begins and ends, mm.
    pub fn ends(&self) -> [f64; 2] {
        [self.stations[0], self.stations[self.stations.len() - 1]]
    }

    /// What its first and last piece let go of at the run's own ends.
    ///
    /// One end keeps its twist: a tube that turns about itself carries nothing by that, and a frame must know how it lies.
    pub(super) fn freed(&self, at_end: [bool; 2]) -> [Dofs; 2] {
        let first = if self.pinned && at_end[0] { Dofs::TURNS } else { Dofs::NONE };
        let last = if self.pinned && at_end[1] { Dofs::BENDING } else { Dofs::NONE };
        [first, last]
    }

    /// Where it is welded to what it meets there: its ends, and what is said to be on a rail.
    pub(super) fn meeting(&self) -> Vec<f64> {
        self.ends().into_iter().chain(self.on_rail.iter().copied()).collect()
    }

    /// The direction on whose side its section's height lies: up, as near as its run lets it be.
    pub(super) fn up(&self, stretch: usize) -> Vector3<f64> {
        let run = (self.line[stretch + 1] - self.line[stretch]).normalize();
        (Vector3::z() - run * run.z).try_normalize(1e-6).unwrap_or_else(Vector3::x)
    }

    /// Whether something that ends at a point meets it there, its surface no further off than `room`, mm.
    pub(super) fn meets(&self, point: Vector3<f64>, room: f64) -> Option<Foot> {
        let near = self.foot(point).filter(|f| f.off <= self.half[0].hypot(self.half[1]) + room)?;
        let stretch = near.stretch;
        let run = (self.line[stretch + 1] - self.line[stretch]).normalize();
        let (off, up) = (point - near.at, self.up(stretch));
        let along = off.dot(&run).abs();
        let [across, above] = [off.dot(&up.cross(&run)).abs(), off.dot(&up).abs()];
        let within = match self.sections[stretch] {
            Section::Tube { .. } => across.hypot(above) <= self.half[0] + room,
            _ => across <= self.half[0] + room && above <= self.half[1] + room,
        };
        (within && along <= room).then_some(near)
    }
}
