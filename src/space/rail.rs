//! A rail as it runs: its section swept along the centreline, with mitred corners, and the faces a scriber meets.

use nalgebra::Vector3;

use super::solid::{Bar, Facet, Solid};
use crate::car::{Rail, RailFace, Section, Side};

mod clip;
mod notched;
mod sawn;

pub use sawn::{SawPlane, Sawn};

/// A face of a rail's section.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Face {
    /// Upper.
    Top,
    /// Towards the middle of the car.
    Inner,
    /// Lower.
    Bottom,
    /// Away from the middle of the car.
    Outer,
    /// The whole circumference of a round rail.
    Round,
}

/// The faces of a box section, in the order of its corners.
pub const FACES: [Face; 4] = [Face::Top, Face::Inner, Face::Bottom, Face::Outer];

impl From<RailFace> for Face {
    fn from(face: RailFace) -> Self {
        match face {
            RailFace::Top => Self::Top,
            RailFace::Inner => Self::Inner,
            RailFace::Bottom => Self::Bottom,
            RailFace::Outer => Self::Outer,
        }
    }
}

impl Face {
    /// As it is spoken.
    pub fn word(self) -> &'static str {
        match self {
            Self::Top => "top",
            Self::Inner => "inner",
            Self::Bottom => "bottom",
            Self::Outer => "outer",
            Self::Round => "round",
        }
    }
}

/// A rail of one side, or a piece of it, ready to be measured and marked.
///
/// Where a notch begins and ends there are two sections at one station, with a step between them: a stretch without length.
#[derive(Debug, Clone, PartialEq)]
pub struct RailRun {
    /// Corners of the centreline, mm.
    pub centreline: Vec<Vector3<f64>>,
    /// Station of each corner, mm: that of the first is the rail's `datum_station`.
    pub stations: Vec<f64>,
    /// What the first point of the whole rail's centreline is.
    pub datum: String,
    /// Section corners at each corner of the centreline: outer top, inner top, inner bottom, outer bottom. For a round
    /// rail they are its bounding box, to draw marks on.
    pub sections: Vec<[Vector3<f64>; 4]>,
    /// Radius of a round rail, mm.
    pub radius: Option<f64>,
    /// How it was cut out of a whole one; its sections are then exact but where a leaning end reaches over a bend.
    pub sawn: Option<Sawn>,
}

/// Away from the middle of the car for a rail along this centreline: 1 to the left, -1 to the right.
fn outward(line: &[Vector3<f64>]) -> f64 {
    if line.iter().map(|p| p.y).sum::<f64>() >= 0.0 { 1.0 } else { -1.0 }
}

/// Upwards and away from the middle of the car, both square to the run.
fn frame(run: Vector3<f64>, outward: f64) -> (Vector3<f64>, Vector3<f64>) {
    let up = Vector3::z() - run * run.z;
    let up = up.try_normalize(1e-6).unwrap_or_else(Vector3::x);
    let left = up.cross(&run);
    (up, if left.y * outward >= 0.0 { left } else { -left })
}

impl RailRun {
    /// The whole of one side's rail, before anything is sawn out of it: the right one is the mirror image.
    pub fn new(rail: &Rail, side: Side) -> Self {
        let centreline: Vec<_> = rail.centreline.iter().map(|p| side.mirror(*p)).collect();
        let mut stations = vec![rail.datum_station];
        for pair in centreline.windows(2) {
            stations.push(stations[stations.len() - 1] + (pair[1] - pair[0]).norm());
        }
        let (width, height, radius) = match rail.section {
            Section::Box { width, height } => (width, height, None),
            Section::Round { od } => (od, od, Some(od / 2.0)),
        };
        let sections = sections(&centreline, width, height, outward(&centreline));
        Self { centreline, stations, datum: rail.datum.clone(), sections, radius, sawn: None }
    }

    /// Straight stretches between corners.
    pub fn stretches(&self) -> usize {
        self.centreline.len() - 1
    }

    /// Those of them that have a length: not the steps of notches.
    pub fn real_stretches(&self) -> impl Iterator<Item = usize> + '_ {
        (0..self.stretches()).filter(|i| self.stations[i + 1] > self.stations[*i])
    }

    /// The faces that are marked on it.
    pub fn faces(&self) -> &'static [Face] {
        if self.radius.is_some() { &[Face::Round] } else { &FACES }
    }

    /// The line across a face at a place along a stretch (0 at its start, 1 at its end): from one edge of the face to
    /// the other. Of a round rail: its axis there, twice.
    pub fn across(&self, stretch: usize, face: Face, along: f64) -> [Vector3<f64>; 2] {
        // Exact at both ends, so that faces share their corners to the bit and close the rail.
        let lerp = |a: Vector3<f64>, b: Vector3<f64>| a * (1.0 - along) + b * along;
        if self.radius.is_some() {
            return [lerp(self.centreline[stretch], self.centreline[stretch + 1]); 2];
        }
        let first = FACES.iter().position(|f| *f == face).unwrap_or(0);
        let corner = |k: usize| lerp(self.sections[stretch][k % 4], self.sections[stretch + 1][k % 4]);
        [corner(first), corner(first + 1)]
    }

    /// Station of a place along a stretch, mm.
    pub fn station(&self, stretch: usize, along: f64) -> f64 {
        self.stations[stretch] + (self.stations[stretch + 1] - self.stations[stretch]) * along
    }

    /// The stretch that a station lies in, and where along it.
    pub fn at_station(&self, station: f64) -> (usize, f64) {
        let stretch = self.stations[1..].iter().position(|s| station <= *s).unwrap_or(self.stretches() - 1);
        let (from, to) = (self.stations[stretch], self.stations[stretch + 1]);
        (stretch, ((station - from) / (to - from)).clamp(0.0, 1.0))
    }

    /// The surface of one face along a stretch.
    pub fn face(&self, stretch: usize, face: Face) -> [Facet; 2] {
        let ([a, b], [d, c]) = (self.across(stretch, face, 0.0), self.across(stretch, face, 1.0));
        Solid::quad([a, b, c, d], 0.0)
    }

    /// Its shape.
    pub fn solid(&self) -> Solid {
        if let Some(sawn) = &self.sawn {
            return sawn.solid();
        }
        if let Some(radius) = self.radius {
            let bars = self.centreline.windows(2).map(|p| Bar { a: p[0], b: p[1], radius }).collect();
            return Solid::new(bars, Vec::new());
        }
        let mut facets: Vec<Facet> =
            (0..self.stretches()).flat_map(|i| FACES.iter().flat_map(move |f| self.face(i, *f))).collect();
        for end in [&self.sections[0], &self.sections[self.sections.len() - 1]] {
            facets.extend(Solid::quad(*end, 0.0));
        }
        Solid::new(Vec::new(), facets)
    }
}

/// Section corners at each corner of a centreline. At a bend both stretches' edges are cut by the mitre plane, and the
/// two cuts averaged: they differ only where the bend turns the section a little about its run.
fn sections(line: &[Vector3<f64>], width: f64, height: f64, outward: f64) -> Vec<[Vector3<f64>; 4]> {
    let runs: Vec<_> = line.windows(2).map(|p| (p[1] - p[0]).normalize()).collect();
    let corners = |at: Vector3<f64>, run: Vector3<f64>, mitre: Vector3<f64>| {
        let (up, out) = frame(run, outward);
        [(1.0, 1.0), (-1.0, 1.0), (-1.0, -1.0), (1.0, -1.0)].map(|(o, u)| {
            let off = out * (o * width / 2.0) + up * (u * height / 2.0);
            at + off - run * (off.dot(&mitre) / run.dot(&mitre))
        })
    };
    let at = |i: usize| {
        let before = runs[i.saturating_sub(1)];
        let after = runs[i.min(runs.len() - 1)];
        let mitre = if i == 0 || i == runs.len() { after } else { (before + after).normalize() };
        let (one, other) = (corners(line[i], before, mitre), corners(line[i], after, mitre));
        std::array::from_fn(|k| (one[k] + other[k]) / 2.0)
    };
    (0..line.len()).map(at).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bent() -> Rail {
        Rail {
            name: "rail".into(),
            mirror: true,
            section: Section::Box { width: 60.0, height: 80.0 },
            wall: 1.5,
            centreline: [(-500.0, 600.0, 700.0), (0.0, 600.0, 700.0), (400.0, 600.0, 1000.0)]
                .map(|(x, y, z)| Vector3::new(x, y, z))
                .to_vec(),
            datum: "firewall".into(),
            datum_station: 10.0,
            grade: None,
            cuts: Vec::new(),
            notches: Vec::new(),
            plates: Vec::new(),
        }
    }

    #[test]
    fn stations_run_along_the_centreline_from_the_datum() {
        let run = RailRun::new(&bent(), Side::Left);
        assert_eq!(run.stations, [10.0, 510.0, 1010.0]);
        assert_eq!(run.at_station(760.0), (1, 0.5));
    }

    #[test]
    fn a_mitre_keeps_every_edge_straight_and_the_section_its_size() {
        let run = RailRun::new(&bent(), Side::Left);
        // The bend turns about y, so the upper edge is shortened by tan(half the bend) x half the height.
        let half = (300f64 / 400.0).atan() / 2.0;
        let short = 40.0 * half.tan();
        assert!((run.sections[1][0] - Vector3::new(-short, 630.0, 740.0)).norm() < 1e-9);
        assert!((run.sections[1][2] - Vector3::new(short, 570.0, 660.0)).norm() < 1e-9);
    }

    #[test]
    fn outer_is_away_from_the_middle_on_both_sides() {
        for side in Side::BOTH {
            let run = RailRun::new(&bent(), side);
            let [a, b] = run.across(0, Face::Outer, 0.5);
            assert!(((a + b) / 2.0 - Vector3::new(-250.0, 630.0 * side.sign(), 700.0)).norm() < 12.0, "{side:?}");
        }
    }
}
