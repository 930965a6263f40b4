//! What is in the wheels' way of a rail as it was before anything was sawn out of it, on both sides together.

use nalgebra::Vector3;

use super::super::study::Study;
use super::{RailCut, over_all_faces};
use crate::car::{Rail, Side};
use crate::space::RailRun;
use crate::space::cut::{Cutting, InTheWay};

/// Each face is looked at in so many strips, where ends may lean.
const STRIPS: usize = 10;

/// A rail of the car file, whole, on each of its sides.
pub(super) struct Whole<'a> {
    pub rail: &'a Rail,
    /// The left one first; of a rail that is not mirrored there is one, of no side.
    pub sides: Vec<(Option<Side>, RailRun)>,
    /// Stretches of its faces that must go for the wanted gap: side, face by face, as corners of lines across.
    patches: Vec<Patch>,
}

/// A stretch of a face or of a strip of one that is in the way.
struct Patch {
    stations: [f64; 2],
    /// Seen on the left side, mm.
    corners: Vec<Vector3<f64>>,
    face: crate::space::Face,
}

impl<'a> Whole<'a> {
    /// With what of it is in the way, proven where there is a slack: told already by `found` where the rail is still whole.
    pub fn new(study: &Study, rail: &'a Rail, found: &[RailCut], slack: Option<f64>) -> Self {
        let sides = if rail.mirror { Side::BOTH.map(Some).to_vec() } else { vec![None] };
        let sides: Vec<_> =
            sides.into_iter().map(|side| (side, RailRun::new(rail, side.unwrap_or(Side::Left)))).collect();
        let mut patches = Vec::new();
        for (side, run) in &sides {
            let name = side.map_or_else(|| rail.name.clone(), |side| format!("{} {}", side.word(), rail.name));
            let stretches = match found.iter().find(|cut| cut.rail == name) {
                _ if rail.is_sawn() => study.stretches(*side, run, study.car.wanted.tyre_to_body, slack).0,
                Some(cut) => cut.to_clear.clone(),
                None => Vec::new(),
            };
            for s in stretches {
                let stations = [s.from_mm, s.to_mm];
                // A stretch of a face may go on over bends of the rail.
                let bends = run.stations.iter().copied().filter(|bend| s.from_mm < *bend && *bend < s.to_mm);
                let lines = stations.into_iter().chain(bends).flat_map(|station| {
                    let (stretch, along) = run.at_station(station);
                    run.across(stretch, s.face, along)
                });
                let corners = lines.map(|p| seen(*side, p)).collect();
                patches.push(Patch { stations, corners, face: s.face });
            }
        }
        Self { rail, sides, patches }
    }

    /// The left run, in which all is told.
    pub fn run(&self) -> &RailRun {
        &self.sides[0].1
    }

    /// Stations that must go on any face of either side, in order; two between which less than this would stay are one.
    pub fn ranges(&self, least: f64) -> Vec<[f64; 2]> {
        over_all_faces(self.patches.iter().map(|p| p.stations).collect(), least)
    }

    /// Corners of all that must go within some stations.
    pub fn corners(&self, range: [f64; 2]) -> Vec<Vector3<f64>> {
        self.within(range).flat_map(|p| p.corners.iter().copied()).collect()
    }

    /// Whether a face has nothing in the way within some stations.
    pub fn is_clear(&self, face: crate::space::Face, range: [f64; 2]) -> bool {
        self.within(range).all(|p| p.face != face)
    }

    fn within(&self, [from, to]: [f64; 2]) -> impl Iterator<Item = &Patch> {
        self.patches.iter().filter(move |p| p.stations[0] <= to && from <= p.stations[1])
    }

    /// The same corners, strip by strip of each face: fewer are claimed to be in the way. As searched.
    pub fn strip_corners(&self, study: &Study, [from, to]: [f64; 2]) -> Vec<Vector3<f64>> {
        let mut corners = Vec::new();
        for (side, run) in &self.sides {
            for sweep in study.sweeps.iter().filter(|sweep| side.is_none_or(|own| own == sweep.hub.side)) {
                let grown = study.car.wanted.tyre_to_body;
                let cutting = Cutting { gear: &study.gear, parts: &study.parts, sweep, run, grown };
                let found = cutting.strips(STRIPS).into_iter().filter(|s: &InTheWay| {
                    let [low, high] = s.stations(run);
                    low <= to && from <= high
                });
                corners.extend(found.flat_map(|s| s.corners(run)).map(|p| seen(*side, p)));
            }
        }
        corners
    }
}

/// A place on the right as its mirror image on the left.
fn seen(side: Option<Side>, p: Vector3<f64>) -> Vector3<f64> {
    side.unwrap_or(Side::Left).mirror(p)
}
