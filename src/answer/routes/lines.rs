//! Lines that a tube can run along, and how thick it may be: measured against all that moves and all that stands.

use nalgebra::Vector3;
use rayon::prelude::*;

use super::place::{Places, Role, Sawn, Spot};
use super::{Tried, Watch, sides};
use crate::answer::study::Study;
use crate::car::{Car, FixedTube, Side};
use crate::space::{Bar, Kind, Part, Parts, Place, Role as PartRole, Swept, apart};

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
/// A tube leaves a cut end at no less than this from its plane, as a sine: less cannot be welded all around (common practice,
/// no source).
const LEAVES: f64 = 0.35;
/// No tube is shorter, mm.
const SHORTEST: f64 = 60.0;
/// Nor longer.
const LONGEST: f64 = 1400.0;

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

/// What lines are measured in.
struct Measure<'a> {
    study: &'a Study,
    car: &'a Car,
    mirror: bool,
    /// Least and greatest radius of the stock, mm.
    radii: [f64; 2],
    spots: &'a [Spot],
    /// No tube is lower, mm.
    floor: f64,
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
        let mut spots = Places::new(car, sawn).spots;
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
        let straight = |spots: &[Spot]| {
            let mut all = Vec::new();
            for (k, &end) in ends.iter().enumerate() {
                let others = ends[k + 1..].iter().copied();
                let goals = (0..spots.len()).filter(|i| spots[*i].role == Role::Goal);
                all.extend(others.chain(goals).map(|to| vec![end, to]));
            }
            all
        };
        let measure = |spots: &[Spot], wanted: Vec<Vec<usize>>| {
            let all = Measure { study: self, car, mirror, radii, spots, floor };
            let lines: Vec<Line> = wanted.into_iter().filter_map(|line| all.possible(line)).collect();
            (lines.len(), all.clear(lines, watch))
        };
        let (count, mut lines) = measure(&spots, straight(&spots));
        tried.lines += count;
        (watch.progress)(0.1);
        // Around the wheel, from end to end.
        let first = spots.len();
        match bends {
            Bends::Coarse => spots.extend(grid(&spots, &ends, [floor, middle])),
            Bends::Near(places) => spots.extend(finer(places, [floor, middle])),
        }
        let around = |spots: &[Spot]| match ends[..] {
            [near, far] => (first..spots.len()).map(|b| vec![near, b, far]).collect::<Vec<_>>(),
            _ => Vec::new(),
        };
        let (count, mut bent) = measure(&spots, around(&spots));
        tried.lines += count;
        (watch.progress)(0.3);
        bent.sort_by(|a, b| a.length.total_cmp(&b.length));
        let mut kept: Vec<Line> = Vec::new();
        for line in bent {
            let far = |other: &Line| (other.corners[1] - line.corners[1]).norm() > SAME_BEND;
            if matches!(bends, Bends::Near(_)) || (kept.len() < BENDS && kept.iter().all(far)) {
                kept.push(line);
            }
        }
        let mut braces = Vec::new();
        for bend in kept.iter().map(|line| line.spots[1]) {
            let off = |i: usize| (spots[i].at - spots[bend].at).norm();
            let mut goals: Vec<usize> = (0..first).filter(|i| spots[*i].role == Role::Goal).collect();
            goals.sort_by(|a, b| off(*a).total_cmp(&off(*b)));
            braces.extend(goals.into_iter().take(FROM_BEND).map(|goal| vec![bend, goal]));
        }
        lines.extend(kept);
        let (count, braces) = measure(&spots, braces);
        tried.lines += count;
        lines.extend(braces);
        tried.clear += lines.len();
        (watch.progress)(0.4);
        Lines { spots, lines }
    }
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

impl Measure<'_> {
    /// A line that could be made, whatever is in its way.
    fn possible(&self, spots: Vec<usize>) -> Option<Line> {
        let corners: Vec<_> = spots.iter().map(|i| self.spots[*i].at).collect();
        let legs: Vec<_> = corners.windows(2).map(|p| p[1] - p[0]).collect();
        let length: f64 = legs.iter().map(|l| l.norm()).sum();
        if legs.iter().any(|l| l.norm() < SHORTEST) || length > LONGEST {
            return None;
        }
        let leaves =
            |spot: usize, way: Vector3<f64>| self.spots[spot].out.is_none_or(|out| way.normalize().dot(&out) >= LEAVES);
        let last = legs.len() - 1;
        let fits = leaves(spots[0], legs[0]) && leaves(spots[last + 1], -legs[last]);
        // A bend of more than a right angle is no shorter way round.
        let bends = legs.windows(2).all(|l| l[0].normalize().dot(&l[1].normalize()) > -0.2);
        let over = corners.iter().all(|c| c.z - self.radii[0] >= self.floor);
        (fits && bends && over).then_some(Line { spots, corners, length, radius: self.radii[1] })
    }

    /// Those of lines that a tube of the stock has its gaps along.
    fn clear(&self, lines: Vec<Line>, watch: Watch) -> Vec<Line> {
        let standing = |mut line: Line| {
            line.radius = self.of_standing(&line)?;
            Some(line)
        };
        let lines: Vec<Line> = lines.into_par_iter().filter_map(standing).collect();
        let mut car = Car { tubes: Vec::new(), scans: Vec::new(), ..self.car.clone() };
        car.tubes.extend(lines.iter().enumerate().map(|(i, line)| self.thinnest(i, line)));
        let parts = Parts::new(&car);
        let line_of = |k: usize| (parts.body[k].kind == Kind::Tube).then(|| parts.body[k].base.parse().ok()).flatten();
        let of_body: Vec<Option<usize>> = (0..parts.body.len()).map(line_of).collect();
        let mut radius: Vec<f64> = lines.iter().map(|l| l.radius).collect();
        for sweep in &self.study.sweeps {
            if (watch.stop)() {
                return Vec::new();
            }
            let swept = Swept::new(&self.study.gear, &parts, sweep);
            let mut pairs: Vec<Vec<Place>> = vec![Vec::new(); lines.len()];
            for pair in parts.at_wheel(sweep.hub) {
                if let PartRole::Body(k) = pair.b
                    && let Some(line) = of_body[k]
                {
                    pairs[line].push(*pair);
                }
            }
            let least = radius.par_iter().zip(&pairs).map(|(&known, pairs)| {
                let mut most = known;
                for pair in pairs {
                    // Of the thinnest tube: every millimetre of radius takes one of the gap.
                    let within = pair.wanted + most - self.radii[0];
                    if let Some(least) = swept.least(&Place { within, ..*pair }) {
                        most = most.min(self.radii[0] + least.nearest.gap - pair.wanted);
                    }
                    if most < self.radii[0] {
                        break;
                    }
                }
                most
            });
            radius = least.collect();
        }
        let kept = lines.into_iter().zip(radius).filter(|(_, r)| *r >= self.radii[0]);
        kept.map(|(line, radius)| Line { radius, ..line }).collect()
    }

    /// The thinnest tube along a line, called by its number.
    fn thinnest(&self, i: usize, line: &Line) -> FixedTube {
        FixedTube {
            name: i.to_string(),
            mirror: self.mirror,
            od: 2.0 * self.radii[0],
            wall: None,
            grade: None,
            points: line.corners.iter().map(|c| (*c).into()).collect(),
        }
    }

    /// The thickest tube that has its gap to all that stands; none where none has.
    fn of_standing(&self, line: &Line) -> Option<f64> {
        let mut most = line.radius;
        for &side in sides(self.mirror) {
            for part in &self.study.parts.body {
                let welded = self.welded(part, line, side);
                let wanted = if welded.is_some() { 0.0 } else { self.car.wanted.linkage_to_body };
                let bars = self.bars(line, side, welded);
                let within = wanted + most - self.radii[0];
                if let Some(near) = apart(&bars, &*part.solid, within) {
                    most = most.min(self.radii[0] + near.gap - wanted);
                    if most < self.radii[0] {
                        return None;
                    }
                }
            }
        }
        Some(most)
    }

    /// Of a part that a line is welded to: how far from its first and its last corner it is still within it, mm.
    fn welded(&self, part: &Part, line: &Line, side: Side) -> Option<[f64; 2]> {
        if part.side.is_some_and(|own| own != side) && self.mirror {
            return None;
        }
        let at = |spot: usize| self.spots[spot].on.iter().find(|(name, _)| *name == part.base).map(|on| on.1);
        let ends = [at(line.spots[0]), at(line.spots[line.spots.len() - 1])];
        ends.iter().any(Option::is_some).then(|| ends.map(|e| e.unwrap_or(0.0)))
    }

    /// The thinnest tube along a line on a side, shortened at its ends.
    fn bars(&self, line: &Line, side: Side, shorter: Option<[f64; 2]>) -> Vec<Bar> {
        let [first, last] = shorter.unwrap_or([0.0; 2]);
        let legs = line.corners.len() - 1;
        let bar = |(i, pair): (usize, &[Vector3<f64>])| {
            let (mut a, mut b) = (pair[0], pair[1]);
            let length = (b - a).norm();
            let way = (b - a) / length;
            let [off_a, off_b] = [if i == 0 { first } else { 0.0 }, if i + 1 == legs { last } else { 0.0 }];
            if off_a + off_b >= length {
                return None;
            }
            (a, b) = (a + way * off_a, b - way * off_b);
            // Its round end reaches further than the tube does.
            Some(Bar { a: side_of(self.mirror, side, a), b: side_of(self.mirror, side, b), radius: self.radii[0] })
        };
        line.corners.windows(2).enumerate().filter_map(bar).collect()
    }
}

fn side_of(mirror: bool, side: Side, at: Vector3<f64>) -> Vector3<f64> {
    if mirror { side.mirror(at) } else { at }
}
