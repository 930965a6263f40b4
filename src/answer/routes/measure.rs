//! How thick a tube may be along a line: measured against all that moves and all that stands.

use nalgebra::Vector3;
use rayon::prelude::*;

use super::lines::Line;
use super::place::Spot;
use super::{Watch, sides};
use crate::answer::study::Study;
use crate::car::{Car, FixedTube, Side};
use crate::space::{Bar, Kind, Part, Parts, Place, Role as PartRole, Swept, apart};

/// A tube leaves a cut end at no less than this from its plane, as a sine: less cannot be welded all around (common practice,
/// no source).
const LEAVES: f64 = 0.35;
/// No tube is shorter, mm.
const SHORTEST: f64 = 60.0;
/// Nor longer.
const LONGEST: f64 = 1400.0;

/// What lines are measured in.
pub(super) struct Measure<'a> {
    pub study: &'a Study,
    pub car: &'a Car,
    pub mirror: bool,
    /// Least and greatest radius of the stock, mm.
    pub radii: [f64; 2],
    pub spots: &'a [Spot],
    /// No tube is lower, mm.
    pub floor: f64,
}

impl Measure<'_> {
    /// A line that could be made, whatever is in its way.
    pub fn possible(&self, spots: Vec<usize>) -> Option<Line> {
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
    pub fn clear(&self, lines: Vec<Line>, watch: Watch) -> Vec<Line> {
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
            pinned: false,
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
