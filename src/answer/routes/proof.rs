//! That nothing comes nearer to a route than is wanted, in any pose of the sweep.

use rayon::prelude::*;

use super::{MadeOf, RouteGap, Watch};
use crate::answer::study::{BUDGET, SLACK, Study};
use crate::car::Car;
use crate::space::{Parts, Place, Proving, Role, Swept};

impl Study {
    /// The smallest gap over what is wanted of a route's tubes and plates: none where nothing that moves comes near. None
    /// of that where a gap is not proven to be what is wanted, less what a tape sees.
    pub(super) fn proven_route(&self, car: &Car, made: &MadeOf, watch: Watch) -> Option<Option<RouteGap>> {
        let mut with = Car { scans: Vec::new(), ..car.clone() };
        made.make(&mut with);
        let parts = Parts::new(&with);
        let is_new = |k: usize| {
            let part = &parts.body[k];
            let plate = part.kind == crate::space::Kind::Plate && made.plates.iter().any(|p| p.0 == part.base);
            plate || made.tubes.iter().any(|t| t.name == part.base)
        };
        let mut tightest: Option<RouteGap> = None;
        for sweep in &self.sweeps {
            let swept = Swept::new(&self.gear, &parts, sweep);
            let new = |pair: &&Place| matches!(pair.b, Role::Body(k) if is_new(k)) && swept.may_meet(pair);
            let pairs: Vec<&Place> = parts.at_wheel(sweep.hub).iter().filter(new).collect();
            let prove = |pair: &&Place| {
                if (watch.stop)() {
                    return None;
                }
                let found = swept.least(pair);
                if found.is_some_and(|l| l.nearest.gap < pair.wanted - SLACK) {
                    return None;
                }
                let (gear, parts) = (&self.gear, &parts);
                let proof = Proving { gear, parts, sweep, pair, slack: SLACK, budget: BUDGET }.prove(found);
                (proof.at_least >= pair.wanted - SLACK).then_some((**pair, proof))
            };
            for (pair, proof) in pairs.par_iter().map(prove).collect::<Option<Vec<_>>>()? {
                let Some(least) = proof.least else { continue };
                let spare = least.nearest.gap - pair.wanted;
                if tightest.as_ref().is_none_or(|t| spare < t.gap_mm - t.wanted_mm) {
                    tightest = Some(RouteGap {
                        tube: parts.name(pair.b),
                        part: parts.name(pair.a),
                        gap_mm: least.nearest.gap,
                        at_least_mm: proof.at_least,
                        wanted_mm: pair.wanted,
                    });
                }
            }
        }
        Some(tightest)
    }
}
