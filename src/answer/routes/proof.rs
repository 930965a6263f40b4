//! That nothing comes nearer to a route than is wanted, in any pose of the sweep.

use std::collections::BTreeMap;

use rayon::prelude::*;

use super::{MadeOf, RouteGap, Watch};
use crate::answer::study::{BUDGET, SLACK, Study};
use crate::car::Car;
use crate::space::{Kind, Parts, Place, Proof, Proving, Role, Swept};

/// Gaps are told up to this much over what is wanted, mm.
const FURTHER: f64 = 20.0;

/// What is proven of a cut's end plates, which all its routes have: by plate and by what comes near it.
pub(super) type Plates = BTreeMap<[String; 2], Proof>;

/// Why a route is not proven.
pub(super) enum Unproven {
    /// It was stopped.
    Stopped,
    /// A tube of it comes too near.
    Tube,
    /// An end plate does, as it would in any route: in words.
    Plate(String),
}

impl Study {
    /// The smallest gap over what is wanted of a route's tubes and plates; none where nothing that moves comes near.
    ///
    /// # Errors
    /// Where a gap is not proven to be what is wanted, less what a tape sees.
    pub(super) fn proven_route(
        &self,
        car: &Car,
        made: &MadeOf,
        plates: &mut Plates,
        watch: Watch,
    ) -> Result<Option<RouteGap>, Unproven> {
        let mut with = Car { scans: Vec::new(), ..car.clone() };
        made.make(&mut with);
        let parts = Parts::new(&with);
        let is_plate = |k: usize| {
            let part = &parts.body[k];
            part.kind == Kind::Plate && made.plates.iter().any(|p| p.0 == part.base)
        };
        let is_new = |k: usize| is_plate(k) || made.tubes.iter().any(|t| t.name == parts.body[k].base);
        let mut tightest: Option<RouteGap> = None;
        for sweep in &self.sweeps {
            let swept = Swept::new(&self.gear, &parts, sweep);
            let new = |pair: &&Place| matches!(pair.b, Role::Body(k) if is_new(k)) && swept.may_meet(pair);
            let pairs: Vec<&Place> = parts.at_wheel(sweep.hub).iter().filter(new).collect();
            let names = |pair: &Place| [pair.b, pair.a].map(|role| parts.name(role));
            let known = &*plates;
            let prove = |pair: &&Place| {
                if (watch.stop)() {
                    return Err(Unproven::Stopped);
                }
                // Of what stays further off it is enough to know that it does.
                let pair = Place { within: pair.wanted + FURTHER, ..**pair };
                let plate = matches!(pair.b, Role::Body(k) if is_plate(k));
                let before = known.get(&names(&pair)).filter(|_| plate).copied();
                let proof = before.unwrap_or_else(|| {
                    let (gear, parts) = (&self.gear, &parts);
                    let proving = Proving { gear, parts, sweep, pair: &pair, slack: SLACK, budget: BUDGET };
                    let found = swept.least(&pair);
                    match found.filter(|l| l.nearest.gap < pair.wanted - SLACK) {
                        // There is nothing to prove.
                        Some(least) => Proof { least: Some(least), at_least: f64::NEG_INFINITY, looks: 0 },
                        None => proving.prove(found),
                    }
                });
                if proof.at_least >= pair.wanted - SLACK {
                    return Ok((pair, proof));
                }
                let [part, by] = names(&pair);
                let gap = proof.least.map_or(proof.at_least, |l| l.nearest.gap);
                Err(if plate {
                    Unproven::Plate(format!("the {by} comes to {gap:.1} mm from the {part}"))
                } else {
                    Unproven::Tube
                })
            };
            let proven = pairs.par_iter().map(prove).collect::<Result<Vec<_>, _>>()?;
            for (pair, proof) in proven {
                let [tube, part] = names(&pair);
                if let Some(least) = proof.least {
                    let spare = least.nearest.gap - pair.wanted;
                    if tightest.as_ref().is_none_or(|t| spare < t.gap_mm - t.wanted_mm) {
                        let (gap_mm, at_least_mm, wanted_mm) = (least.nearest.gap, proof.at_least, pair.wanted);
                        let (tube, part) = (tube.clone(), part.clone());
                        tightest = Some(RouteGap { tube, part, gap_mm, at_least_mm, wanted_mm });
                    }
                }
                if matches!(pair.b, Role::Body(k) if is_plate(k)) {
                    plates.insert([tube, part], proof);
                }
            }
        }
        Ok(tightest)
    }
}
