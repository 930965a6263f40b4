//! How near the wheels come to what stays of a rail.

use serde::Serialize;

use super::super::gaps::WorstPose;
use super::super::study::{BUDGET, Study};
use crate::car::{Hub, Side};
use crate::space::{FAR, Kind, Least, Part, Place, Proving, RailRun, Role, Solid};

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

/// A piece of one side's rail that stays: of a rail that is not mirrored, of no side.
pub(super) type Stays = (Option<Side>, Solid);

impl Study {
    /// The least gap from tyres and rims to all that stays, if it is less than `within`; with a slack, proven to that.
    pub(super) fn gap_to(&self, stays: Vec<Stays>, within: f64, slack: Option<f64>) -> Option<StayGap> {
        let part = |(side, solid): Stays| Part {
            name: String::new(),
            base: String::new(),
            kind: Kind::Rail,
            side,
            solid: solid.into(),
            run: None::<RailRun>,
            piece: None,
        };
        let parts = self.parts.with_only(stays.into_iter().map(part).collect());
        let wanted = self.car.wanted.tyre_to_body;
        let mut best: Option<(Hub, Least, WorstPose)> = None;
        let mut proven = slack.map(|_| f64::INFINITY);
        for sweep in &self.sweeps {
            let hub = sweep.hub;
            let mine = (0..parts.body.len()).filter(|i| parts.body[*i].side.is_none_or(|side| side == hub.side));
            for (a, b) in mine.flat_map(|i| [Role::Tyre(hub), Role::Rim(hub)].map(|ring| (ring, Role::Body(i)))) {
                let pair = Place { a, b, wanted, within: within.min(FAR) };
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
                    best = Some((hub, least, WorstPose::at_wheel(sweep, least.at)));
                }
            }
        }
        let at_least_mm = proven.filter(|bound| bound.is_finite());
        best.map(|(wheel, least, at)| StayGap { gap_mm: least.nearest.gap, at_least_mm, wheel, at })
    }
}
