//! A rail after the saw: its pieces, its notches, and the plates on its cut ends.

use nalgebra::Vector3;

use super::{RailRun, frame, outward};
use crate::car::{CutEnd, EndPlate, Mitre, Rail, RailFace, SawCut, Section, Side};
use crate::space::solid::Solid;

/// A round rail that is cut has this many flat sides, which touch the round from outside: of a 60 mm tube they stand 0.07 mm
/// over it at most.
const SIDES: usize = 48;
/// Stations nearer than this are the same, mm.
const SAME: f64 = 1e-6;

/// A plane through a rail, as a saw makes it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SawPlane {
    /// Where it meets the centreline, mm.
    pub station: f64,
    /// How it leans.
    pub mitre: Mitre,
}

impl SawPlane {
    /// At an end of a cut.
    pub fn of(cut: &SawCut, end: CutEnd) -> Self {
        Self { station: cut.station(end), mitre: cut.mitre(end) }
    }

    /// Square to the run.
    pub fn square(station: f64) -> Self {
        Self { station, mitre: Mitre::default() }
    }
}

/// A section of a run: where the centreline is, at which station, and the section's corners.
type Slice = (Vector3<f64>, f64, [Vector3<f64>; 4]);

impl RailRun {
    /// What a rail's cuts leave of one side's, with its notches; each with the piece's name where there are cuts.
    pub fn pieces(rail: &Rail, side: Side) -> Vec<(Option<String>, Self)> {
        let whole = Self::notched(rail, side);
        let cuts = rail.cuts_in_order();
        if cuts.is_empty() {
            return vec![(None, whole)];
        }
        let [start, end] = [whole.stations[0], whole.stations[whole.stations.len() - 1]];
        let mut found: Vec<Self> = Vec::new();
        let mut from = None;
        for cut in &cuts {
            if cut.from > start + SAME {
                found.push(whole.piece(from, Some(SawPlane::of(cut, CutEnd::Near))));
            }
            from = Some(SawPlane::of(cut, CutEnd::Far));
        }
        if from.is_some_and(|plane| plane.station < end - SAME) {
            found.push(whole.piece(from, None));
        }
        let count = found.len();
        let name = |index: usize| match (count, index) {
            (1 | 2, index) => {
                if index == 0 && cuts[0].from > start + SAME { "near piece" } else { "far piece" }.to_owned()
            }
            (_, index) => format!("piece {}", index + 1),
        };
        found.into_iter().enumerate().map(|(index, run)| (Some(name(index)), run)).collect()
    }

    /// The plates on one end of a cut.
    pub fn plates_on(rail: &Rail, side: Side, cut: &SawCut, end: CutEnd) -> Vec<Solid> {
        let whole = Self::new(rail, side);
        let on = rail.plates.iter().filter(|plate| plate.cut == end && rail.cut(plate.nth) == Some(cut));
        on.filter_map(|plate| whole.plate(cut, plate)).collect()
    }

    /// The plates on a rail's cut ends, each with its name.
    pub fn plates(rail: &Rail, side: Side) -> Vec<(String, Solid)> {
        let whole = Self::new(rail, side);
        let several = rail.cuts.len() > 1;
        let place = |plate: &EndPlate| {
            let cut = rail.cut(plate.nth)?;
            let number = if several { format!(" {}", plate.nth.unwrap_or(1)) } else { String::new() };
            Some((format!("{} end plate{number}", plate.cut.word()), whole.plate(cut, plate)?))
        };
        rail.plates.iter().filter_map(place).collect()
    }

    fn plate(&self, cut: &SawCut, plate: &EndPlate) -> Option<Solid> {
        let plane = SawPlane::of(cut, plate.cut);
        let section = self.section(plane)?;
        let towards = if plate.cut == CutEnd::Near { 1.0 } else { -1.0 };
        let [a, b] = [section[0] - section[1], section[0] - section[3]];
        let normal = a.cross(&b).normalize();
        let (run, _, _) = self.frame_of(self.at_station(plane.station).0);
        let thick = normal * (towards * normal.dot(&run).signum() * plate.thickness);
        let over = [a, b].map(|edge| edge.normalize() * plate.over);
        let signs = [(1.0, 1.0), (-1.0, 1.0), (-1.0, -1.0), (1.0, -1.0)];
        let near: [Vector3<f64>; 4] = std::array::from_fn(|k| section[k] + over[0] * signs[k].0 + over[1] * signs[k].1);
        let far = near.map(|corner| corner + thick);
        let sides = (0..4).map(|k| [near[k], near[(k + 1) % 4], far[(k + 1) % 4], far[k]]);
        let facets = sides.chain([near, far]).flat_map(|quad| Solid::quad(quad, 0.0)).collect();
        Some(Solid::new(Vec::new(), facets))
    }

    /// Direction of a stretch, and upwards and outwards from it.
    pub fn frame_of(&self, stretch: usize) -> (Vector3<f64>, Vector3<f64>, Vector3<f64>) {
        let run = (self.centreline[stretch + 1] - self.centreline[stretch]).normalize();
        let (up, out) = frame(run, outward(&self.centreline));
        (run, up, out)
    }

    /// The stretch that a plane goes through, and how far along it (0 to 1) it meets each of the four edges: less than 0 or
    /// more than 1 where it reaches over a bend.
    pub fn sawn_at(&self, plane: SawPlane) -> (usize, [f64; 4]) {
        let (stretch, along) = self.at_station(plane.station);
        let (run, up, out) = self.frame_of(stretch);
        let normal = run - up * plane.mitre.up.tan() - out * plane.mitre.out.tan();
        let [from, to] = [self.centreline[stretch], self.centreline[stretch + 1]];
        let at = from + (to - from) * along;
        let edge = |k: usize| {
            let [a, b] = [self.sections[stretch][k], self.sections[stretch + 1][k]];
            (at - a).dot(&normal) / (b - a).dot(&normal)
        };
        (stretch, std::array::from_fn(edge))
    }

    /// The section in a plane; none where it reaches over a bend.
    pub fn section(&self, plane: SawPlane) -> Option<[Vector3<f64>; 4]> {
        let (stretch, along) = self.sawn_at(plane);
        along.iter().all(|t| (-1e-9..=1.0 + 1e-9).contains(t)).then(|| {
            std::array::from_fn(|k| {
                let [a, b] = [self.sections[stretch][k], self.sections[stretch + 1][k]];
                a + (b - a) * along[k].clamp(0.0, 1.0)
            })
        })
    }

    /// The nearest station at which a plane that leans so reaches over no bend, going down from its own or up.
    pub fn off_bends(&self, plane: SawPlane, up: bool) -> f64 {
        let mut plane = plane;
        // Once for the bend behind it and once for the one before, where a stretch is short.
        for _ in 0..2 * self.stretches() {
            let (stretch, along) = self.sawn_at(plane);
            let (least, most) = along.iter().fold((0.0, 1.0), |(l, m), t| (f64::min(l, *t), f64::max(m, *t)));
            if least >= -1e-9 && most <= 1.0 + 1e-9 {
                break;
            }
            let length = self.stations[stretch + 1] - self.stations[stretch];
            let (before, behind) = (-least * length, (most - 1.0) * length);
            plane.station = match up {
                true if before > 0.0 => plane.station + before * 1.0001 + SAME,
                true => self.stations[stretch + 1] + 2.0 * SAME,
                false if behind > 0.0 => plane.station - behind * 1.0001 - SAME,
                false => self.stations[stretch] - 2.0 * SAME,
            };
        }
        plane.station
    }

    /// The piece between two planes; without one it goes to its own end.
    pub fn piece(&self, from: Option<SawPlane>, to: Option<SawPlane>) -> Self {
        let low = from.map_or(f64::NEG_INFINITY, |plane| plane.station + SAME);
        let high = to.map_or(f64::INFINITY, |plane| plane.station - SAME);
        let own = (0..self.centreline.len()).map(|i| self.slice(i)).filter(|slice| low < slice.1 && slice.1 < high);
        let sawn = |plane: SawPlane| {
            let (stretch, along) = self.at_station(plane.station);
            let lerp = |a: Vector3<f64>, b: Vector3<f64>| a + (b - a) * along;
            let square = || std::array::from_fn(|k| lerp(self.sections[stretch][k], self.sections[stretch + 1][k]));
            let section = self.section(plane).unwrap_or_else(square);
            (lerp(self.centreline[stretch], self.centreline[stretch + 1]), self.station(stretch, along), section)
        };
        let slices: Vec<Slice> = from.map(sawn).into_iter().chain(own).chain(to.map(sawn)).collect();
        Self { sawn: true, ..self.of(slices) }
    }

    fn slice(&self, i: usize) -> Slice {
        (self.centreline[i], self.stations[i], self.sections[i])
    }

    fn of(&self, slices: Vec<Slice>) -> Self {
        Self {
            centreline: slices.iter().map(|s| s.0).collect(),
            stations: slices.iter().map(|s| s.1).collect(),
            sections: slices.iter().map(|s| s.2).collect(),
            ..self.clone()
        }
    }

    /// The whole of one side's rail with its notches.
    fn notched(rail: &Rail, side: Side) -> Self {
        let mut run = Self::new(rail, side);
        let Section::Box { width, height } = rail.section else { return run };
        for notch in &rail.notches {
            run = run.with_notch([notch.from, notch.to], notch.face, notch.depth / notch.face.across(width, height));
        }
        run
    }

    /// With a notch that takes this share of the section away behind a face.
    pub fn with_notch(&self, [from, to]: [f64; 2], face: RailFace, share: f64) -> Self {
        let [start, end] = [self.stations[0], self.stations[self.stations.len() - 1]];
        // Corners of the face, and those across from them.
        let moved: [(usize, usize); 2] = match face {
            RailFace::Top => [(0, 3), (1, 2)],
            RailFace::Inner => [(1, 0), (2, 3)],
            RailFace::Bottom => [(2, 1), (3, 0)],
            RailFace::Outer => [(3, 2), (0, 1)],
        };
        let less = |slice: Slice| {
            let mut less = slice;
            for (corner, across) in moved {
                less.2[corner] = slice.2[corner] + (slice.2[across] - slice.2[corner]) * share;
            }
            less
        };
        let (from, to) = (from.max(start), to.min(end));
        let ends = |piece: Self| (0..piece.centreline.len()).map(|i| piece.slice(i)).collect::<Vec<_>>();
        let mut slices = Vec::new();
        let [low, high] = [from, to].map(SawPlane::square);
        if from > start + SAME {
            slices.extend(ends(self.piece(None, Some(low))));
        }
        let within = self.piece((from > start + SAME).then_some(low), (to < end - SAME).then_some(high));
        slices.extend(ends(within).into_iter().map(less));
        if to < end - SAME {
            slices.extend(ends(self.piece(Some(high), None)));
        }
        self.of(slices)
    }

    /// A round rail as many flat sides around it, with flat ends.
    pub(super) fn round_and_flat_ended(&self) -> Solid {
        let over = 1.0 / (std::f64::consts::PI / SIDES as f64).cos();
        let ring = |section: &[Vector3<f64>; 4]| -> Vec<Vector3<f64>> {
            let middle = section.iter().sum::<Vector3<f64>>() / 4.0;
            let [out, up] = [section[1], section[3]].map(|other| (section[0] - other) * (over / 2.0));
            let turn = |i: usize| std::f64::consts::TAU * i as f64 / SIDES as f64;
            (0..SIDES).map(|i| middle + out * turn(i).cos() + up * turn(i).sin()).collect()
        };
        let rings: Vec<_> = self.sections.iter().map(ring).collect();
        let next = |i: usize| (i + 1) % SIDES;
        let along = rings.windows(2).flat_map(|w| {
            (0..SIDES)
                .flat_map(|i| Solid::quad([w[0][i], w[0][next(i)], w[1][next(i)], w[1][i]], 0.0))
                .collect::<Vec<_>>()
        });
        let lids = [&rings[0], &rings[rings.len() - 1]].into_iter().flat_map(|ring| {
            (1..SIDES - 1).map(|i| crate::space::Facet { corners: [ring[0], ring[i], ring[i + 1]], radius: 0.0 })
        });
        Solid::new(Vec::new(), along.chain(lids).collect())
    }
}
