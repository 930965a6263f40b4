//! What stands at the nodes of a map, and its worst place.
//!
//! Poses are taken one from its neighbour. What a pair's gap is at least in a pose follows from its gap in
//! one before: it cannot have closed by more than both parts have moved. So in most poses only the pair that was shortest
//! in the last is measured again, and the rest are passed over.

use nalgebra::{Rotation3, Vector2, Vector3};
use rayon::prelude::*;

use super::{Cell, MapWorst};
use crate::answer::gaps::WorstPose;
use crate::answer::study::Study;
use crate::motion::CornerPose;
use crate::space::{Bars, FAR, Place, Role, WheelSweep};

/// A gap that is not the least is measured with this much room over the least, so that it need not be measured again
/// in the next poses, mm.
const ROOM: f64 = 40.0;

/// A node of the grid.
#[derive(Debug, Clone, Copy)]
pub(super) struct Node {
    /// (Travel, beside), mm.
    pub at: Vector2<f64>,
    pub cell: Option<Cell>,
    pub pose: Option<CornerPose>,
}

/// What the nodes are measured with.
pub(super) struct Nodes<'a> {
    pub study: &'a Study,
    pub sweep: &'a WheelSweep,
    pub pairs: &'a [Place],
}

/// What is known of a pair's gap from a pose before: where its parts were, and that the gap was no less.
#[derive(Clone, Copy)]
struct Before {
    pose: CornerPose,
    bars: [Option<Bars>; 2],
    at_least: f64,
    /// Whether it was just that.
    known: bool,
}

/// A pose, and where all that moves with the wheel is in it.
struct Here {
    pose: CornerPose,
    bars: Vec<Option<Bars>>,
}

impl Nodes<'_> {
    /// Row by row upwards, each from left to right. Measured along the travel: from node to node a wheel moves less in bump
    /// than it turns in steer.
    pub fn measure(&self, across: &[f64], up: &[f64]) -> Vec<Vec<Node>> {
        let columns: Vec<Vec<Node>> = across.par_iter().map(|beside| self.column(*beside, up)).collect();
        (0..up.len()).map(|k| columns.iter().map(|column| column[k]).collect()).collect()
    }

    fn column(&self, beside: f64, up: &[f64]) -> Vec<Node> {
        let gear = &self.study.gear;
        let mut before: Vec<Option<Before>> = vec![None; self.pairs.len()];
        let mut last: Option<CornerPose> = None;
        let mut first = 0;
        let node = |travel: &f64| {
            let at = Vector2::new(*travel, beside);
            let near = last.and_then(|last| gear.raise(&last, at).ok());
            let pose = near.or_else(|| self.sweep.pose(gear, at));
            last = pose.or(last);
            let cell = pose.and_then(|pose| self.cell(&pose, &mut before, first));
            first = cell.map_or(first, |c| c.pair);
            Node { at, cell, pose }
        };
        up.iter().map(node).collect()
    }

    /// The shortest pair in a pose: `first` is asked first.
    fn cell(&self, pose: &CornerPose, before: &mut [Option<Before>], first: usize) -> Option<Cell> {
        let parts = &self.study.parts;
        let axle = self.study.gear.of(pose);
        let bars = parts.moving(pose.hub).iter().map(|part| part.bars(axle, pose)).collect();
        let here = Here { pose: *pose, bars };
        let mut best: Option<Cell> = None;
        for n in std::iter::once(first).chain((0..self.pairs.len()).filter(|n| *n != first)) {
            let pair = &self.pairs[n];
            let moved = before[n].as_ref().map(|b| self.moved(pair, b, &here));
            let at_least = before[n].zip(moved).map_or(f64::NEG_INFINITY, |(b, moved)| b.at_least - moved);
            // Only what is shorter, or nearer, than all before is of interest.
            let of_interest = best.map_or(FAR, |b| f64::max(b.in_hand_mm + pair.wanted, b.least_gap_mm));
            if at_least >= of_interest {
                continue;
            }
            let within = if best.is_some() && of_interest > 0.0 { of_interest + ROOM } else { of_interest };
            let gap = |within: f64| parts.gap(&self.study.gear, pair, pose, within).map(|n| n.gap);
            // Where the gap was known, it cannot have opened by more than both have moved: a search within that is short.
            let short =
                before[n].zip(moved).filter(|(b, _)| b.known).map(|(b, moved)| b.at_least.max(0.0) + moved + 0.01);
            let found = short.filter(|short| *short < within).and_then(gap).or_else(|| gap(within));
            let at = |role| here.of(role).copied().flatten();
            let at_least = found.unwrap_or(within);
            before[n] = Some(Before { pose: *pose, bars: [at(pair.a), at(pair.b)], at_least, known: found.is_some() });
            let Some(gap) = found.filter(|gap| *gap < FAR) else { continue };
            let in_hand = gap - pair.wanted;
            best = Some(match best {
                Some(b) if b.in_hand_mm <= in_hand => Cell { least_gap_mm: b.least_gap_mm.min(gap), ..b },
                _ => {
                    let least_gap_mm = best.map_or(gap, |b| b.least_gap_mm.min(gap));
                    Cell { pair: n, gap_mm: gap, in_hand_mm: in_hand, least_gap_mm }
                }
            });
        }
        best
    }

    /// No gap of a pair has changed by more than this, mm. No point of a ring moves further than its centre does and its
    /// axis turns it, and none of a bar further than its ends. Against a ring a bar's move is what is left of it beside the
    /// ring's own: the two of an arm and a wheel that go up together stay almost where they were to each other.
    fn moved(&self, pair: &Place, before: &Before, here: &Here) -> f64 {
        let (now, then) = (&here.pose, &before.pose);
        let ring = matches!(pair.a, Role::Tyre(_) | Role::Rim(_));
        let bars =
            |role: Role, was: &Option<Bars>, along: &dyn Fn(Vector3<f64>) -> Vector3<f64>| match (was, here.of(role)) {
                (Some(was), Some(Some(now))) => {
                    let ends = was.iter().zip(now.iter());
                    ends.flat_map(|(w, n)| [(n.a - along(w.a)).norm(), (n.b - along(w.b)).norm()]).fold(0.0, f64::max)
                }
                _ => f64::INFINITY,
            };
        match (ring, pair.b) {
            (true, Role::Moving(..)) => {
                let Some(turn) = Rotation3::rotation_between(&then.spin, &now.spin) else { return f64::INFINITY };
                bars(pair.b, &before.bars[1], &|p| now.wheel_centre + turn * (p - then.wheel_centre))
            }
            (true, _) => {
                let turned = (now.spin - then.spin).norm() * self.study.parts.reach(pair.a);
                (now.wheel_centre - then.wheel_centre).norm() + turned
            }
            (false, Role::Moving(..)) => bars(pair.a, &before.bars[0], &|p| p) + bars(pair.b, &before.bars[1], &|p| p),
            (false, _) => bars(pair.a, &before.bars[0], &|p| p),
        }
    }

    /// What a pair of the map has in hand in a pose, mm.
    pub fn in_hand(&self, n: usize, pose: &CornerPose) -> f64 {
        let pair = &self.pairs[n];
        let gap = self.study.parts.gap(&self.study.gear, pair, pose, FAR).map_or(FAR, |n| n.gap);
        gap - pair.wanted
    }

    /// The worst place anywhere in the sweep: the least gap that the study knows of these pairs, or where a descent from
    /// the worst node ends, whichever is less.
    pub fn worst(&self, grid: &[Vec<Node>]) -> Option<MapWorst> {
        let short = |(n, _, gap): &(usize, Vector2<f64>, f64)| gap - self.pairs[*n].wanted;
        let hub = self.sweep.hub;
        let all = self.study.parts.at_wheel(hub).iter().zip(self.study.least(hub));
        let known = all.filter_map(|(pair, proof)| {
            let least = proof.least?;
            Some((self.pairs.iter().position(|p| p == pair)?, least.at, least.nearest.gap))
        });
        let known = known.min_by(|a, b| short(a).total_cmp(&short(b)));
        let nodes = grid.iter().flatten().filter_map(|node| Some((node.cell?.pair, node.at, node.cell?.gap_mm)));
        let node = nodes.min_by(|a, b| short(a).total_cmp(&short(b)));
        // What the study knows to be less by more than a descent could win need not be looked for.
        let found = node.map(|node| {
            let far = known.is_some_and(|known| short(&node) > short(&known) + 1.0);
            if far { node } else { self.descended(node) }
        });
        let (pair, at, gap_mm) = known.into_iter().chain(found).min_by(|a, b| short(a).total_cmp(&short(b)))?;
        let pose = self.sweep.pose(&self.study.gear, at)?;
        let gaps = self.pairs.iter().filter_map(|p| self.study.parts.gap(&self.study.gear, p, &pose, gap_mm));
        let least_gap_mm = gaps.map(|n| n.gap).fold(gap_mm, f64::min);
        let in_hand_mm = gap_mm - self.pairs[pair].wanted;
        let cell = Cell { pair, gap_mm, in_hand_mm, least_gap_mm };
        let (at_mm, pose) = ([at.y, at.x], WorstPose::at_wheel(self.sweep, at));
        Some(MapWorst { cell, at_mm, pose, in_hand_at_least_mm: self.proven() })
    }

    /// What every pair of the map is proven to have in hand, mm; none where one is not proven.
    fn proven(&self) -> Option<f64> {
        let hub = self.sweep.hub;
        let mut least = f64::INFINITY;
        for pair in self.pairs {
            let known = self.study.parts.at_wheel(hub).iter().zip(self.study.least(hub));
            let proof = known.into_iter().find(|(other, _)| *other == pair)?.1;
            least = least.min(proof.at_least - pair.wanted);
        }
        Some(least).filter(|mm| mm.is_finite())
    }

    fn descended(&self, (pair, from, gap): (usize, Vector2<f64>, f64)) -> (usize, Vector2<f64>, f64) {
        let mut least = (pair, from, gap);
        self.sweep.descend(from, |at| {
            let pose = self.sweep.pose(&self.study.gear, at);
            let gap = |pose| self.study.parts.gap(&self.study.gear, &self.pairs[pair], &pose, least.2);
            let better = pose.and_then(gap).filter(|n| n.gap < least.2);
            least = better.map_or(least, |n| (pair, at, n.gap));
            better.is_some()
        });
        least
    }
}

impl Here {
    fn of(&self, role: Role) -> Option<&Option<Bars>> {
        let Role::Moving(_, i) = role else { return None };
        self.bars.get(i)
    }
}
