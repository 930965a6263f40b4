//! A rail after the saw: its pieces, its notches, and the plates on its cut ends.

use std::sync::Arc;

use nalgebra::Vector3;

use super::clip::Plane;
use super::{FACES, RailRun, frame, outward};
use crate::car::{CutEnd, EndPlate, Mitre, Rail, SawCut, Side};
use crate::space::solid::{Facet, Solid};

/// A round rail that is cut has this many flat sides, which touch the round from outside: of a 60 mm tube they stand 0.07 mm
/// over it at most.
const SIDES: usize = 48;
/// Stations nearer than this are the same, mm.
pub(super) const SAME: f64 = 1e-6;

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

/// What a piece was cut from, and where.
#[derive(Debug, Clone, PartialEq)]
pub struct Sawn {
    of: Arc<RailRun>,
    /// The near and the far plane; none where it goes to the rail's own end.
    planes: [Option<SawPlane>; 2],
}

/// A section of a run: where the centreline is, at which station, and the section's corners.
pub(super) type Slice = (Vector3<f64>, f64, [Vector3<f64>; 4]);

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
        let name = |index: usize| match &cuts[..] {
            [only] if index == 0 && only.from > start + SAME => "near piece".to_owned(),
            [_] => "far piece".to_owned(),
            _ => format!("piece {}", index + 1),
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

    /// A plane in space, its normal along the run.
    fn plane_of(&self, plane: SawPlane) -> Plane {
        let (stretch, along) = self.at_station(plane.station);
        let (run, up, out) = self.frame_of(stretch);
        let [from, to] = [self.centreline[stretch], self.centreline[stretch + 1]];
        let normal = run - up * plane.mitre.up.tan() - out * plane.mitre.out.tan();
        Plane { at: from + (to - from) * along, normal }
    }

    /// Where a plane meets each of the four edges: in which stretch, and how far along it (0 to 1). None where it reaches
    /// over the rail's own end.
    pub fn sawn_at(&self, plane: SawPlane) -> Option<[(usize, f64); 4]> {
        let stretch = self.at_station(plane.station).0;
        let Plane { at, normal } = self.plane_of(plane);
        let edge = |k: usize| {
            let over = |i: usize| (self.sections[i][k] - at).dot(&normal);
            let mut i = stretch;
            // Edges go on beyond a bend.
            while over(i) > 0.0 {
                i = (0..i).rev().find(|i| self.stations[i + 1] > self.stations[*i])?;
            }
            while over(i + 1) < 0.0 {
                i = (i + 1..self.stretches()).find(|i| self.stations[i + 1] > self.stations[*i])?;
            }
            let (a, b) = (over(i), over(i + 1));
            Some((i, if a < b { (a / (a - b)).clamp(0.0, 1.0) } else { 0.0 }))
        };
        Some([edge(0)?, edge(1)?, edge(2)?, edge(3)?])
    }

    /// The section in a plane; none where it reaches over the rail's own end.
    pub fn section(&self, plane: SawPlane) -> Option<[Vector3<f64>; 4]> {
        let met = self.sawn_at(plane)?;
        Some(std::array::from_fn(|k| {
            let (i, along) = met[k];
            self.sections[i][k] + (self.sections[i + 1][k] - self.sections[i][k]) * along
        }))
    }

    /// Whether a plane goes through one stretch alone, and so over no bend.
    pub fn is_off_bends(&self, plane: SawPlane) -> bool {
        self.sawn_at(plane).is_some_and(|met| met.iter().all(|(i, _)| *i == met[0].0))
    }

    /// The nearest station at which a plane that leans so reaches over no bend, going down from its own or up.
    pub fn off_bends(&self, plane: SawPlane, up: bool) -> f64 {
        let mut plane = plane;
        let step = if up { 0.1 } else { -0.1 };
        let [start, end] = [self.stations[0], self.stations[self.stretches()]];
        while start < plane.station && plane.station < end && !self.is_off_bends(plane) {
            plane.station += step;
        }
        plane.station
    }

    /// Whether the end that stations are measured from is on it.
    pub fn has_datum(&self) -> bool {
        self.sawn.as_ref().is_none_or(|sawn| sawn.planes[0].is_none())
    }

    /// The piece between two planes; without one it goes to its own end.
    pub fn piece(&self, from: Option<SawPlane>, to: Option<SawPlane>) -> Self {
        if let Some(sawn) = &self.sawn {
            return sawn.of.piece(from.or(sawn.planes[0]), to.or(sawn.planes[1]));
        }
        let end = |plane: Option<SawPlane>| {
            let plane = plane?;
            let (stretch, along) = self.at_station(plane.station);
            let lerp = |a: Vector3<f64>, b: Vector3<f64>| a + (b - a) * along;
            let (at, station) =
                (lerp(self.centreline[stretch], self.centreline[stretch + 1]), self.station(stretch, along));
            Some((at, station, self.section(plane)?, self.plane_of(plane)))
        };
        // A plane over the rail's own end leaves that end.
        let (near, far) = (end(from), end(to));
        let low = near.map_or(f64::NEG_INFINITY, |end| end.1 + SAME);
        let high = far.map_or(f64::INFINITY, |end| end.1 - SAME);
        let own = (0..self.centreline.len()).map(|i| self.slice(i)).filter(|slice| low < slice.1 && slice.1 < high);
        // An edge that a leaning plane ends before a bend is not there at the bend.
        let ended = own.map(|mut slice| {
            for k in 0..4 {
                let corner = slice.2[k];
                let over = |plane: &Plane| (corner - plane.at).dot(&plane.normal);
                if let Some((.., section, _)) = far.as_ref().filter(|end| over(&end.3) > 0.0) {
                    slice.2[k] = section[k];
                }
                if let Some((.., section, _)) = near.as_ref().filter(|end| over(&end.3) < 0.0) {
                    slice.2[k] = section[k];
                }
            }
            slice
        });
        let [first, last] =
            [&near, &far].map(|end| end.as_ref().map(|(at, station, section, _)| (*at, *station, *section)));
        let slices: Vec<Slice> = first.into_iter().chain(ended).chain(last).collect();
        let planes = [from.filter(|_| near.is_some()), to.filter(|_| far.is_some())];
        Self { sawn: Some(Sawn { of: Arc::new(self.clone()), planes }), ..self.of(slices) }
    }

    /// The shape between two planes: faces cut off by them, and lids.
    fn between(&self, planes: [Option<SawPlane>; 2]) -> Solid {
        let [near, far] = planes.map(|plane| plane.and_then(|p| Some((self.plane_of(p), self.sawn_at(p)?))));
        let stretches = |met: &[(usize, f64); 4]| {
            let (low, high) = met.iter().fold((usize::MAX, 0), |(l, h), (i, _)| (l.min(*i), h.max(*i)));
            low..=high
        };
        let from = near.as_ref().map_or(0, |(_, met)| *stretches(met).start());
        let to = far.as_ref().map_or(self.stretches() - 1, |(_, met)| *stretches(met).end());
        let (mut facets, mut rims) = (Vec::new(), [Vec::new(), Vec::new()]);
        for stretch in from..=to {
            let mut here = self.sides(stretch);
            if let Some((plane, _)) = far.as_ref().filter(|(_, met)| stretches(met).contains(&stretch)) {
                here = plane.clip(here, &mut rims[1]);
            }
            if let Some((plane, _)) = near.as_ref().filter(|(_, met)| stretches(met).contains(&stretch)) {
                here = Plane { normal: -plane.normal, ..*plane }.clip(here, &mut rims[0]);
            }
            facets.extend(here);
        }
        for (plane, (rim, own)) in [near, far].into_iter().zip(rims.iter().zip([0, self.sections.len() - 1])) {
            match plane {
                Some((plane, _)) => facets.extend(plane.lid(rim)),
                None => facets.extend(self.lid(own)),
            }
        }
        Solid::new(Vec::new(), facets)
    }

    /// All faces along a stretch, a round rail's as many flat ones around it.
    fn sides(&self, stretch: usize) -> Vec<Facet> {
        if self.radius.is_none() {
            return FACES.iter().flat_map(|face| self.face(stretch, *face)).collect();
        }
        let [a, b] = [stretch, stretch + 1].map(|i| ring(&self.sections[i]));
        let next = |i: usize| (i + 1) % SIDES;
        (0..SIDES).flat_map(|i| Solid::quad([a[i], a[next(i)], b[next(i)], b[i]], 0.0)).collect()
    }

    /// The lid on the rail's own end.
    fn lid(&self, section: usize) -> Vec<Facet> {
        if self.radius.is_none() {
            return Solid::quad(self.sections[section], 0.0).to_vec();
        }
        let ring = ring(&self.sections[section]);
        (2..SIDES).map(|i| Facet { corners: [ring[0], ring[i - 1], ring[i]], radius: 0.0 }).collect()
    }

    pub(super) fn slice(&self, i: usize) -> Slice {
        (self.centreline[i], self.stations[i], self.sections[i])
    }

    pub(super) fn of(&self, slices: Vec<Slice>) -> Self {
        Self {
            centreline: slices.iter().map(|s| s.0).collect(),
            stations: slices.iter().map(|s| s.1).collect(),
            sections: slices.iter().map(|s| s.2).collect(),
            ..self.clone()
        }
    }
}

/// Corners around a round section, outside it.
fn ring(section: &[Vector3<f64>; 4]) -> Vec<Vector3<f64>> {
    let over = 1.0 / (std::f64::consts::PI / SIDES as f64).cos();
    let middle = section.iter().sum::<Vector3<f64>>() / 4.0;
    let [out, up] = [section[1], section[3]].map(|other| (section[0] - other) * (over / 2.0));
    let turn = |i: usize| std::f64::consts::TAU * i as f64 / SIDES as f64;
    (0..SIDES).map(|i| middle + out * turn(i).cos() + up * turn(i).sin()).collect()
}

impl Sawn {
    /// The shape of the piece.
    pub(super) fn solid(&self) -> Solid {
        self.of.between(self.planes)
    }
}
