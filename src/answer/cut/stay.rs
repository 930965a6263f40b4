//! How near the wheels come to what stays of a rail.

use serde::Serialize;

use super::super::gaps::WorstPose;
use super::super::study::{BUDGET, Study};
use crate::car::{Hub, Side};
use crate::space::{FAR, Kind, Least, Part, Parts, Place, Proving, Role, Solid, WheelSweep};

/// The least gap that a wheel keeps from what stays, through the whole sweep.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct StayGap {
    /// Negative is how deep they overlap.
    pub gap_mm: f64,
    /// No pose has a smaller gap than this; none where that was not proven.
    pub at_least_mm: Option<f64>,
    /// The wheel.
    pub wheel: Hub,
    /// That pose.
    pub at: WorstPose,
}

/// Poses between those of the grid are looked at where the grid has a gap within this of the wanted one, mm. What is missed
/// so, the proof of the finished plan tells.
const BETWEEN: f64 = 3.0;

/// A piece of one side's rail that stays: of a rail that is not mirrored, of no side.
pub(super) type Stays = (Option<Side>, Solid);

impl Study {
    /// The least gap from tyres and rims to all that stays, if it is less than `within`; with a slack, proven to that.
    pub(super) fn gap_to(&self, stays: Vec<Stays>, within: f64, slack: Option<f64>) -> Option<StayGap> {
        let parts = self.with_only(stays);
        let mut best: Option<(Hub, Least, WorstPose)> = None;
        let mut proven = slack.map(|_| f64::INFINITY);
        for sweep in &self.sweeps {
            for pair in self.pairs_of(&parts, sweep, within) {
                let mut least = sweep.least(&self.gear, &parts, &pair);
                if let Some(slack) = slack {
                    let (gear, parts, pair) = (&self.gear, &parts, &pair);
                    let proof = Proving { gear, parts, sweep, pair, slack, budget: BUDGET }.prove(least);
                    least = proof.least;
                    proven = proven.map(|known| known.min(proof.at_least));
                }
                if let Some(least) = least
                    && best.as_ref().is_none_or(|(_, known, _)| least.nearest.gap < known.nearest.gap)
                {
                    best = Some((sweep.hub, least, WorstPose::at_wheel(sweep, least.at)));
                }
            }
        }
        let at_least_mm = proven.filter(|bound| bound.is_finite());
        best.map(|(wheel, least, at)| StayGap { gap_mm: least.nearest.gap, at_least_mm, wheel, at })
    }
    /// Whether any wheel comes nearer to what stays than it is wanted to.
    pub(super) fn is_short(&self, stays: Vec<Stays>) -> bool {
        let parts = self.with_only(stays);
        let wanted = self.car.wanted.tyre_to_body;
        let parts = &parts;
        let pairs = |within| self.sweeps.iter().flat_map(move |s| self.pairs_of(parts, s, within).map(move |p| (s, p)));
        // One pose of the grid is enough to say yes, and how deep it is does not matter.
        let in_grid = |(sweep, pair): (&WheelSweep, Place)| {
            sweep.poses.iter().any(|(_, pose)| parts.gap(&self.gear, &pair, pose, wanted).is_some())
        };
        let between = |(sweep, pair): (&WheelSweep, Place)| {
            sweep.least(&self.gear, parts, &pair).is_some_and(|least| least.nearest.gap < wanted)
        };
        pairs(wanted).any(in_grid) || pairs(wanted + BETWEEN).any(between)
    }

    fn with_only(&self, stays: Vec<Stays>) -> Parts {
        let part = |(side, solid): Stays| Part {
            name: String::new(),
            base: String::new(),
            kind: Kind::Rail,
            side,
            solid: solid.into(),
            run: None,
            piece: None,
        };
        self.parts.with_only(stays.into_iter().map(part).collect())
    }

    /// A wheel's tyre and rim against each of the parts on its side.
    fn pairs_of<'a>(&'a self, parts: &'a Parts, sweep: &WheelSweep, within: f64) -> impl Iterator<Item = Place> + 'a {
        let (hub, wanted, within) = (sweep.hub, self.car.wanted.tyre_to_body, within.min(FAR));
        let mine = (0..parts.body.len()).filter(move |i| parts.body[*i].side.is_none_or(|side| side == hub.side));
        mine.flat_map(move |i| [Role::Tyre(hub), Role::Rim(hub)].map(|a| Place { a, b: Role::Body(i), wanted, within }))
    }
}
