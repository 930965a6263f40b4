//! Lines that a tube can run along: between what is to be tied together, straight and by a bend.

use nalgebra::Vector3;

use super::measure::Measure;
use super::place::{Places, Role, Sawn, Spot};
use super::{Tried, Watch};
use crate::answer::study::Study;
use crate::car::Car;

/// Bends are looked for on a grid as coarse as this, mm; around the best of them then on one three times as fine.
const GRID: f64 = 48.0;
/// So far beyond what is to be tied together, mm: towards the middle of the car, outwards, down and up, and along it.
const AROUND: [f64; 5] = [260.0, 40.0, 160.0, 260.0, 60.0];
/// Bends that are kept: those with the shortest way round.
const BENDS: usize = 32;
/// Bends nearer than this are much the same, mm.
const SAME_BEND: f64 = 80.0;
/// Goals that are tried from each bend: the nearest.
const FROM_BEND: usize = 12;

/// A line along places, clear of everything for a tube up to a radius.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Line {
    /// Its corners, as places.
    pub spots: Vec<usize>,
    /// Where they are, mm.
    pub corners: Vec<Vector3<f64>>,
    /// mm.
    pub length: f64,
    /// The radius of the thickest tube that has its wanted gaps, mm, as far as the stock goes.
    pub radius: f64,
}

/// Places, and lines between them.
pub(super) struct Lines {
    pub spots: Vec<Spot>,
    pub lines: Vec<Line>,
}

/// Where bends are looked for.
pub(super) enum Bends<'a> {
    /// All around the cut.
    Coarse,
    /// Around these places, mm.
    Near(&'a [Vector3<f64>]),
}

impl Study {
    /// Every line that a tube of the stock has its gaps along.
    pub(super) fn clear_lines(&self, car: &Car, sawn: &Sawn, bends: Bends, tried: &mut Tried, watch: Watch) -> Lines {
        let mut spots = Places::new(car, sawn, &self.car).spots;
        let radius = |pick: fn(f64, f64) -> f64, from| self.car.stock.iter().map(|s| s.od / 2.0).fold(from, pick);
        let radii = [radius(f64::min, f64::INFINITY), radius(f64::max, 0.0)];
        let is_end = |s: &Spot| matches!(s.role, Role::End(_));
        let ends: Vec<usize> = (0..spots.len()).filter(|i| is_end(&spots[*i])).collect();
        if self.car.stock.is_empty() || ends.is_empty() {
            return Lines { spots, lines: Vec::new() };
        }
        // So that it clears the ground with the front wheels in full bump.
        let floor = self.car.ground + self.car.wanted.to_ground + self.car.sweep.bump;
        let mirror = sawn.mirror;
        // Nor does it bend into its mirror image.
        let middle = if mirror { radii[1] + self.car.wanted.linkage_to_body / 2.0 } else { f64::NEG_INFINITY };
        let mut measure = |spots: &[Spot], wanted: Vec<Vec<usize>>| {
            let all = Measure { study: self, car, mirror, radii, spots, floor };
            let lines: Vec<Line> = wanted.into_iter().filter_map(|line| all.possible(line)).collect();
            tried.lines += lines.len();
            all.clear(lines, watch)
        };
        let mut lines = measure(&spots, straight(&spots, &ends));
        (watch.progress)(0.1);
        // Around the wheel, from end to end.
        let first = spots.len();
        match bends {
            Bends::Coarse => spots.extend(grid(&spots, &ends, [floor, middle])),
            Bends::Near(places) => spots.extend(finer(places, [floor, middle])),
        }
        let around = match ends[..] {
            [near, far] => (first..spots.len()).map(|b| vec![near, b, far]).collect(),
            _ => Vec::new(),
        };
        let bent = measure(&spots, around);
        (watch.progress)(0.3);
        let kept = shortest(bent, &bends);
        let braces = braces(&spots, first, &kept);
        lines.extend(kept);
        lines.extend(measure(&spots, braces));
        tried.clear += lines.len();
        (watch.progress)(0.4);
        Lines { spots, lines }
    }
}

/// From each end to the others, and to every goal.
fn straight(spots: &[Spot], ends: &[usize]) -> Vec<Vec<usize>> {
    let mut all = Vec::new();
    for (k, &end) in ends.iter().enumerate() {
        let others = ends[k + 1..].iter().copied();
        let goals = (0..spots.len()).filter(|i| spots[*i].role == Role::Goal);
        all.extend(others.chain(goals).map(|to| vec![end, to]));
    }
    all
}

/// Of lines around the wheel the shortest that differ; all of them where it is the best that are looked at more closely.
fn shortest(mut bent: Vec<Line>, bends: &Bends) -> Vec<Line> {
    bent.sort_by(|a, b| a.length.total_cmp(&b.length));
    let mut kept: Vec<Line> = Vec::new();
    for line in bent {
        let far = |other: &Line| (other.corners[1] - line.corners[1]).norm() > SAME_BEND;
        if matches!(bends, Bends::Near(_)) || (kept.len() < BENDS && kept.iter().all(far)) {
            kept.push(line);
        }
    }
    kept
}

/// From each line's bend to the nearest goals, which stand before the `first` bend.
fn braces(spots: &[Spot], first: usize, bent: &[Line]) -> Vec<Vec<usize>> {
    let from = |bend: usize| {
        let off = |i: usize| (spots[i].at - spots[bend].at).norm();
        let mut goals: Vec<usize> = (0..first).filter(|i| spots[*i].role == Role::Goal).collect();
        goals.sort_by(|a, b| off(*a).total_cmp(&off(*b)));
        goals.into_iter().take(FROM_BEND).map(move |goal| vec![bend, goal])
    };
    bent.iter().flat_map(|line| from(line.spots[1])).collect()
}

/// Places on a grid around what is to be tied together.
fn grid(spots: &[Spot], ends: &[usize], [floor, middle]: [f64; 2]) -> Vec<Spot> {
    let at = |i: &usize| spots[*i].at;
    let low = ends.iter().map(at).reduce(|a, b| a.inf(&b)).unwrap_or_default();
    let high = ends.iter().map(at).reduce(|a, b| a.sup(&b)).unwrap_or_default();
    let [inwards, outwards, down, up, along] = AROUND;
    // The middle of the car is at y = 0, whichever side a lone rail is on.
    let side = if low.y + high.y < 0.0 { [outwards, inwards] } else { [inwards, outwards] };
    let mut from = low - Vector3::new(along, side[0], down);
    let to = high + Vector3::new(along, side[1], up);
    (from.y, from.z) = (from.y.max(middle), from.z.max(floor));
    let count = (to - from).map(|v| (v / GRID).floor().max(0.0) as usize);
    let at = |i: usize, j: usize, k: usize| bend(from + Vector3::new(i as f64, j as f64, k as f64) * GRID);
    let rows = (0..=count.x).flat_map(|i| (0..=count.y).map(move |j| (i, j)));
    rows.flat_map(|(i, j)| (0..=count.z).map(move |k| at(i, j, k))).collect()
}

/// Places around others, a third of the grid apart.
fn finer(places: &[Vector3<f64>], [floor, middle]: [f64; 2]) -> Vec<Spot> {
    let mut found: Vec<Spot> = Vec::new();
    for place in places {
        for n in 0..27 {
            let step = Vector3::new((n % 3) as f64 - 1.0, (n / 3 % 3) as f64 - 1.0, (n / 9) as f64 - 1.0);
            let spot = bend(place + step * (GRID / 3.0));
            if spot.at.z >= floor && spot.at.y >= middle && found.iter().all(|s| s.at != spot.at) {
                found.push(spot);
            }
        }
    }
    found
}

/// To the millimetre, as it will stand in the car file.
fn bend(at: Vector3<f64>) -> Spot {
    Spot { role: Role::Bend, at: at.map(f64::round), point: None, words: "a bend".into(), out: None, on: Vec::new() }
}
