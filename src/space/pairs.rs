//! Which parts are measured against which, and why others are not.
//!
//! Tyres and rims are measured against everything else at their wheel, and whatever moves against the body and against
//! what else moves with the same wheel. Parts that are joined touch by design; that they are joined shows in their
//! points: see [`super::joined`]. The car file has the last word: it leaves pairs out and brings others in.

use super::joined::Jointed;
use super::parts::{Kind, Parts, Place, Role};
use super::sweep::FAR;
use crate::car::{Car, Hub, Side, WantedGaps};

/// Pairs without a tyre or rim that never come within this are left out of the answers, mm: such parts stand close all
/// over a car, and are made to.
pub const NEAR: f64 = 40.0;

/// A pair that is not measured, and why.
#[derive(Debug, Clone, PartialEq)]
pub struct Unmeasured {
    /// The one.
    pub a: Role,
    /// The other.
    pub b: Role,
    /// Why.
    pub why: String,
}

impl Parts {
    /// Chooses the pairs of a car.
    pub(super) fn choose(&mut self, car: &Car, axles: [Option<&Jointed>; 2]) {
        self.at_ground = self.pairs_with_ground(&car.wanted, car.ground);
        for (i, hub) in Hub::ALL.into_iter().enumerate() {
            let Some(jointed) = axles[hub.axle as usize] else { continue };
            self.at_wheel[i] = self.pairs_of_rings(hub, &car.wanted);
            for place in self.pairs_of_linkage(hub, &car.wanted) {
                match self.joined(jointed, place.a, place.b) {
                    Some(why) => self.left_out.push(Unmeasured { a: place.a, b: place.b, why }),
                    None => self.at_wheel[i].push(place),
                }
            }
        }
        for pair in &car.measure {
            for place in self.could_meet(&pair.a, &pair.b) {
                let gap = pair.wanted.unwrap_or_else(|| self.wanted(place.a, place.b, &car.wanted));
                self.measure(Place { wanted: gap, within: FAR, ..place });
            }
        }
        for pair in &car.ignore {
            let is = |a, b| self.is_called(a, &pair.0) && self.is_called(b, &pair.1);
            let here = |p: &Place| is(p.a, p.b) || is(p.b, p.a);
            let found: Vec<Place> =
                self.at_wheel.iter().flatten().chain(&self.at_ground).filter(|p| here(p)).copied().collect();
            for place in found {
                self.at_wheel.iter_mut().for_each(|list| list.retain(|p| *p != place));
                self.at_ground.retain(|p| *p != place);
                self.ignored.push(Unmeasured { a: place.a, b: place.b, why: pair.2.clone() });
            }
        }
    }

    /// Takes a pair in, or what is asked of it where it is in already.
    fn measure(&mut self, place: Place) {
        let same = |a: Role, b: Role| (a, b) == (place.a, place.b);
        self.left_out.retain(|p| !same(p.a, p.b));
        let list = match place.a.hub() {
            Some(hub) if place.b != Role::Ground => &mut self.at_wheel[super::parts::index(hub)],
            _ => &mut self.at_ground,
        };
        match list.iter_mut().find(|p| same(p.a, p.b)) {
            Some(known) => *known = place,
            None => list.push(place),
        }
    }

    /// The gap that is asked for between two parts of their kinds, mm.
    fn wanted(&self, a: Role, b: Role, wanted: &WantedGaps) -> f64 {
        match (a, b) {
            (_, Role::Ground) if self.kind(a) == Kind::Splitter => wanted.splitter_to_ground,
            (_, Role::Ground) => wanted.to_ground,
            (_, Role::Caliper(_)) => wanted.brake_to_rim,
            (Role::Tyre(_) | Role::Rim(_), Role::Body(_)) => wanted.tyre_to_body,
            (Role::Tyre(_), _) => wanted.tyre_to_linkage,
            (Role::Rim(_), _) => wanted.rim_to_linkage,
            (_, Role::Body(_)) => wanted.linkage_to_body,
            _ => wanted.linkage_to_linkage,
        }
    }

    fn place(&self, a: Role, b: Role, wanted: &WantedGaps) -> Place {
        let ring = self.ring(a).is_some() || b == Role::Ground;
        Place { a, b, wanted: self.wanted(a, b, wanted), within: if ring { FAR } else { NEAR } }
    }

    fn pairs_of_rings(&self, hub: Hub, wanted: &WantedGaps) -> Vec<Place> {
        let linkage = self.moving(hub).iter().enumerate().filter(|(_, m)| !m.joined).map(|(i, _)| Role::Moving(hub, i));
        let mine = (0..self.body.len()).filter(|i| self.body[*i].side.is_none_or(|s| s == hub.side)).map(Role::Body);
        let others: Vec<_> = linkage.chain(mine).collect();
        let rings = [Role::Tyre(hub), Role::Rim(hub)];
        let brake = self.brake(hub).map(|_| self.place(Role::Rim(hub), Role::Caliper(hub), wanted));
        let met = rings.iter().flat_map(|a| others.iter().map(|b| self.place(*a, *b, wanted)));
        met.chain(brake).collect()
    }

    /// Whatever moves, against the body and against each other. What an axle has once is measured against the body, and
    /// against others of its kind, with the left wheel.
    fn pairs_of_linkage(&self, hub: Hub, wanted: &WantedGaps) -> Vec<Place> {
        let mut pairs = Vec::new();
        let moving = self.moving(hub);
        for (i, one) in moving.iter().enumerate() {
            let a = Role::Moving(hub, i);
            let others = (i + 1..moving.len()).map(|j| Role::Moving(hub, j));
            let body = (0..self.body.len()).map(Role::Body);
            let sided = |b: &Role| match b {
                Role::Body(k) => one.single || self.body[*k].side.is_none_or(|s| s == hub.side),
                _ => true,
            };
            let met = body.chain(others).filter(|b| sided(b) && self.once(a, *b));
            pairs.extend(met.map(|b| self.place(a, b, wanted)));
        }
        pairs
    }

    /// Whether a pair is to be measured with this wheel: one that has nothing of either side belongs to the left.
    fn once(&self, a: Role, b: Role) -> bool {
        let single = |role| match role {
            Role::Moving(hub, i) => self.moving(hub)[i].single,
            Role::Body(_) | Role::Ground => true,
            Role::Tyre(_) | Role::Rim(_) | Role::Caliper(_) => false,
        };
        !(single(a) && single(b)) || a.hub().or(b.hub()).is_none_or(|hub| hub.side == Side::Left)
    }

    fn pairs_with_ground(&self, wanted: &WantedGaps, ground: f64) -> Vec<Place> {
        let hubs = Hub::ALL.into_iter();
        let arms = hubs.flat_map(|hub| (0..self.moving(hub).len()).map(move |i| (hub, i)));
        let low = arms.filter(|(hub, i)| self.moving(*hub)[*i].low).map(|(hub, i)| Role::Moving(hub, i));
        let fixed = self.body.iter().enumerate().filter(|(_, part)| match part.kind {
            Kind::Splitter | Kind::Rail => true,
            // A sump or an exhaust may be the lowest part; a cage's roof is not.
            Kind::Tube | Kind::Block | Kind::Plate => part.solid.around[0].z - ground < FAR,
            _ => false,
        });
        let low = low.filter(|a| self.once(*a, Role::Ground));
        low.chain(fixed.map(|(i, _)| Role::Body(i))).map(|a| self.place(a, Role::Ground, wanted)).collect()
    }

    /// Every part.
    fn roles(&self) -> impl Iterator<Item = Role> {
        let hubs = Hub::ALL.into_iter().filter(|hub| self.is_described(*hub));
        let at_hub = hubs.flat_map(|hub| {
            let moving = (0..self.moving(hub).len()).map(move |i| Role::Moving(hub, i));
            let brake = self.brake(hub).map(|_| Role::Caliper(hub));
            [Role::Tyre(hub), Role::Rim(hub)].into_iter().chain(moving).chain(brake)
        });
        at_hub.chain((0..self.body.len()).map(Role::Body)).chain([Role::Ground])
    }

    /// Its name without the side: what both sides' parts can be called together.
    fn unsided(&self, role: Role) -> String {
        let spoken = self.name(role);
        match role {
            Role::Body(i) => self.body[i].base.clone(),
            Role::Moving(hub, i) if self.moving(hub)[i].single => spoken,
            Role::Tyre(hub) | Role::Rim(hub) | Role::Caliper(hub) | Role::Moving(hub, _) => {
                spoken.strip_prefix(hub.side.word()).map_or(spoken.clone(), |rest| rest.trim_start().to_owned())
            }
            Role::Ground => spoken,
        }
    }

    fn is_called(&self, role: Role, name: &str) -> bool {
        self.name(role) == name || self.unsided(role) == name || self.whole(role).is_some_and(|whole| whole == name)
    }

    /// The rail that a part is a piece of, as it is spoken.
    fn whole(&self, role: Role) -> Option<String> {
        let Role::Body(i) = role else { return None };
        let part = &self.body[i];
        part.piece.as_ref()?;
        Some(part.side.map_or_else(|| part.base.clone(), |side| format!("{} {}", side.word(), part.base)))
    }

    /// Every name that a part can be called by: `left front tyre`, and `front tyre` for both; of a piece of a rail also the
    /// rail's.
    pub fn names(&self) -> Vec<String> {
        self.roles()
            .flat_map(|role| [self.name(role), self.unsided(role)].into_iter().chain(self.whole(role)))
            .collect()
    }

    /// The pairs that two names can mean: what is called without its side goes with what is on the same side.
    pub fn could_meet(&self, a: &str, b: &str) -> Vec<Place> {
        let named = |name: &str| self.roles().filter(|role| self.is_called(*role, name)).collect::<Vec<_>>();
        let mut pairs: Vec<Place> = Vec::new();
        let both_sided = |one: Role, other: Role| self.unsided(one) != a && self.unsided(other) != b;
        for one in named(a) {
            for other in named(b) {
                let pair = self.ordered(one, other, both_sided(one, other));
                pairs.extend(pair.filter(|p| !pairs.contains(p)));
            }
        }
        pairs
    }

    /// The pairs that two names can mean, each with the gap that is asked for between the two: as it is measured, or by its
    /// kind where it is not.
    pub fn called(&self, a: &str, b: &str, wanted: &WantedGaps) -> Vec<Place> {
        let measured: Vec<&Place> = self.at_wheel.iter().flatten().chain(&self.at_ground).collect();
        let known = |p: &Place| measured.iter().find(|m| (m.a, m.b) == (p.a, p.b)).map(|m| **m);
        let by_kind = |p: Place| Place { wanted: self.wanted(p.a, p.b, wanted), ..p };
        self.could_meet(a, b).into_iter().map(|p| known(&p).unwrap_or_else(|| by_kind(p))).collect()
    }

    /// Two parts as a pair, if they can be one. `across`: a wheel's part may go with the body's of the other side.
    fn ordered(&self, one: Role, other: Role, across: bool) -> Option<Place> {
        let rank = |role| match role {
            Role::Tyre(_) | Role::Rim(_) => 0,
            Role::Moving(_, i) => 1 + i,
            Role::Caliper(_) => 999,
            Role::Body(_) => 1000,
            Role::Ground => 1001,
        };
        let (a, b) = if rank(one) <= rank(other) { (one, other) } else { (other, one) };
        let single = |hub: Hub, i: usize| self.moving(hub)[i].single;
        let can = match (a, b) {
            (Role::Tyre(hub) | Role::Rim(hub), Role::Moving(at, _)) | (Role::Rim(hub), Role::Caliper(at)) => hub == at,
            (Role::Moving(hub, i), Role::Moving(at, j)) => hub == at && i != j,
            (Role::Tyre(hub) | Role::Rim(hub), Role::Body(k)) => {
                across || self.body[k].side.is_none_or(|s| s == hub.side)
            }
            (Role::Moving(hub, i), Role::Body(k)) => {
                across || single(hub, i) || self.body[k].side.is_none_or(|s| s == hub.side)
            }
            (Role::Moving(..) | Role::Body(_), Role::Ground) => true,
            _ => false,
        };
        (can && self.once(a, b)).then(|| self.place(a, b, &WantedGaps::default()))
    }
}
