//! The parts of a car in space, and the pairs of them that are measured.

use std::sync::Arc;

use nalgebra::Vector3;
use serde::Serialize;

use super::brake::OnUpright;
use super::moving::{self, Bars, Moving};
use super::nearest::{Nearest, nearest};
use super::rail::RailRun;
use super::ring::{PlacedRing, Ring};
use super::scans::Scans;
use super::solid::{Facet, Solid, lowest};
use crate::car::{Axle, AxleName, Car, Hub, Panel, Side, Splitter, WantedGaps};
use crate::motion::{CornerPose, Posed, RunningGear};

/// What a part is, in the words that wanted gaps are asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Kind {
    /// Tyre.
    Tyre,
    /// Rim.
    Rim,
    /// Brake caliper.
    Brake,
    /// Control arm or link.
    Arm,
    /// Tie rod, or what moves it.
    TieRod,
    /// Damper.
    Damper,
    /// Anti-roll bar.
    RollBar,
    /// The tube of a stiff axle.
    Axle,
    /// Frame rail.
    Rail,
    /// Bodywork.
    Panel,
    /// Splitter.
    Splitter,
    /// The ground.
    Ground,
}

/// Which part it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Role {
    /// A wheel's tyre.
    Tyre(Hub),
    /// A wheel's rim.
    Rim(Hub),
    /// What of a wheel's brake does not turn with it.
    Caliper(Hub),
    /// A part that moves with a wheel, by its place in [`Parts::moving`].
    Moving(Hub, usize),
    /// A part of the body, by its place in [`Parts::body`].
    Body(usize),
    /// The ground.
    Ground,
}

impl Role {
    /// The wheel that it belongs to, if to one.
    pub fn hub(self) -> Option<Hub> {
        match self {
            Self::Tyre(hub) | Self::Rim(hub) | Self::Caliper(hub) | Self::Moving(hub, _) => Some(hub),
            Self::Body(_) | Self::Ground => None,
        }
    }
}

/// A part that is fixed to the body.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// As it is spoken: `left upper rail`.
    pub name: String,
    /// Its name in the car file: `upper rail`.
    pub base: String,
    /// What it is.
    pub kind: Kind,
    /// Its side, where the car file mirrors it; a part given once is measured against both wheels.
    pub side: Option<Side>,
    /// Its shape, body frame.
    pub solid: Arc<Solid>,
    /// How it runs, if it is a rail along a centreline; a scanned one has none.
    pub run: Option<RailRun>,
}

/// Two parts that are measured, and the gap that is asked for between them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// The one: a tyre, a rim, or what could scrape on the ground.
    pub a: Role,
    /// The other.
    pub b: Role,
    /// Wanted gap, mm.
    pub wanted: f64,
}

impl Place {
    /// Whether what the ring could touch is fixed to the body.
    pub fn still(&self) -> bool {
        matches!(self.b, Role::Body(_))
    }
}

/// All parts of a car.
#[derive(Debug, Clone)]
pub struct Parts {
    front: AxleParts,
    rear: Option<AxleParts>,
    /// Parts of the body.
    pub body: Vec<Part>,
    /// The pairs at each wheel, in the order of [`Hub::ALL`]; none where the wheel is not described.
    at_wheel: [Vec<Place>; 4],
    /// The pairs with the ground.
    pub at_ground: Vec<Place>,
}

/// The moving parts of an axle, alike on both sides.
#[derive(Debug, Clone)]
struct AxleParts {
    tyre: Ring,
    rim: Ring,
    brake: Option<OnUpright>,
    moving: Vec<Moving>,
}

impl AxleParts {
    fn new(axle: &Axle) -> Self {
        let mounted = axle.tyre.mounted(&axle.wheel);
        let (tyre, rim) = (Ring::tyre(&mounted), Ring::rim(&mounted, &axle.wheel));
        Self { tyre, rim, brake: OnUpright::new(axle), moving: moving::of(axle) }
    }
}

impl Parts {
    /// From a checked car without scans; any that it has are left out.
    pub fn new(car: &Car) -> Self {
        Self::with_scans(car, &Scans::default())
    }

    /// From a checked car and its scans.
    pub fn with_scans(car: &Car, scans: &Scans) -> Self {
        let mut body = Vec::new();
        for rail in &car.rails {
            for (side, name) in copies(&rail.name, rail.mirror) {
                let run = RailRun::new(rail, side.unwrap_or(Side::Left));
                let (base, kind, solid) = (rail.name.clone(), Kind::Rail, Arc::new(run.solid()));
                body.push(Part { name, base, kind, side, solid, run: Some(run) });
            }
        }
        for panel in &car.panels {
            for (side, name) in copies(&panel.name, panel.mirror) {
                let solid = Arc::new(skin(panel, side.unwrap_or(Side::Left)));
                body.push(Part { name, base: panel.name.clone(), kind: Kind::Panel, side, solid, run: None });
            }
        }
        for scan in &car.scans {
            let Some(scanned) = scans.get(&scan.name) else { continue };
            let (base, kind) = (scan.name.clone(), scan.kind.kind());
            for ((side, name), solid) in
                copies(&scan.name, scan.mirror).into_iter().zip([Some(&scanned.solid), scanned.mirrored.as_ref()])
            {
                let Some(solid) = solid.map(Arc::clone) else { continue };
                body.push(Part { name, base: base.clone(), kind, side, solid, run: None });
            }
        }
        if let Some(splitter) = &car.splitter {
            let solid = Arc::new(plate(splitter, car.ground));
            let name = "splitter".to_owned();
            body.push(Part { name: name.clone(), base: name, kind: Kind::Splitter, side: None, solid, run: None });
        }
        let (front, rear) = (AxleParts::new(&car.front), car.rear.as_ref().map(AxleParts::new));
        let mut parts = Self { front, rear, body, at_wheel: Default::default(), at_ground: Vec::new() };
        parts.at_wheel = Hub::ALL.map(|hub| parts.pairs_at(hub, &car.wanted));
        parts.at_ground = parts.pairs_with_ground(&car.wanted);
        parts
    }

    /// The pairs at a wheel.
    pub fn at_wheel(&self, hub: Hub) -> &[Place] {
        &self.at_wheel[index(hub)]
    }

    /// A wheel's tyre.
    pub fn tyre(&self, hub: Hub) -> &Ring {
        &self.parts_of(hub).tyre
    }

    /// A wheel's rim.
    pub fn rim(&self, hub: Hub) -> &Ring {
        &self.parts_of(hub).rim
    }

    /// A wheel's brake within its rim, where it is described.
    pub fn brake(&self, hub: Hub) -> Option<&OnUpright> {
        self.axle(hub.axle)?.brake.as_ref()
    }

    /// What moves with a wheel. Parts that an axle has once are in both wheels' lists.
    pub fn moving(&self, hub: Hub) -> &[Moving] {
        self.axle(hub.axle).map_or(&[], |axle| &axle.moving)
    }

    fn axle(&self, name: AxleName) -> Option<&AxleParts> {
        match name {
            AxleName::Front => Some(&self.front),
            AxleName::Rear => self.rear.as_ref(),
        }
    }

    /// A wheel's axle; the front one stands in for one that is not described.
    fn parts_of(&self, hub: Hub) -> &AxleParts {
        self.axle(hub.axle).unwrap_or(&self.front)
    }

    /// A part's name as it is spoken.
    pub fn name(&self, role: Role) -> String {
        match role {
            Role::Tyre(hub) => format!("{} tyre", hub.words()),
            Role::Rim(hub) => format!("{} rim", hub.words()),
            Role::Caliper(hub) => format!("{} caliper", hub.words()),
            Role::Moving(hub, i) => self.moving(hub)[i].words(hub),
            Role::Body(i) => self.body[i].name.clone(),
            Role::Ground => "ground".to_owned(),
        }
    }

    /// What a part is.
    pub fn kind(&self, role: Role) -> Kind {
        match role {
            Role::Tyre(_) => Kind::Tyre,
            Role::Rim(_) => Kind::Rim,
            Role::Caliper(_) => Kind::Brake,
            Role::Moving(hub, i) => self.moving(hub)[i].kind,
            Role::Body(i) => self.body[i].kind,
            Role::Ground => Kind::Ground,
        }
    }

    /// No point of a tyre or rim lies further from its wheel's centre, mm.
    pub fn reach(&self, role: Role) -> f64 {
        self.ring(role).map_or(0.0, |ring| ring.reach)
    }

    /// A tyre's or rim's shape.
    pub(super) fn ring(&self, role: Role) -> Option<&Ring> {
        match role {
            Role::Tyre(hub) => Some(self.tyre(hub)),
            Role::Rim(hub) => Some(self.rim(hub)),
            _ => None,
        }
    }

    /// A wheel's tyre or rim where it is in a pose.
    pub fn placed<'a>(ring: &'a Ring, pose: &CornerPose) -> PlacedRing<'a> {
        PlacedRing { ring, centre: pose.wheel_centre, axis: pose.spin }
    }

    /// The bars of a moving part in its wheel's pose. None for anything else.
    pub fn bars(&self, gear: &RunningGear, role: Role, pose: &CornerPose) -> Option<Bars> {
        let Role::Moving(hub, i) = role else { return None };
        self.moving(hub).get(i)?.bars(gear.of(pose), pose)
    }

    /// The gap of a pair at a wheel in its pose, if it is less than `within`.
    pub fn gap(&self, gear: &RunningGear, pair: &Place, pose: &CornerPose, within: f64) -> Option<Nearest> {
        let ring = self.ring(pair.a)?;
        let placed = Self::placed(ring, pose);
        match pair.b {
            Role::Body(i) => {
                let solid = &self.body[i].solid;
                if solid.beyond(pose.wheel_centre) - ring.reach >= within {
                    return None;
                }
                nearest(&placed, &**solid, within)
            }
            Role::Caliper(hub) => self.brake(hub)?.nearest(pose).filter(|n| n.gap < within),
            moving => nearest(&placed, &*self.bars(gear, moving, pose)?, within),
        }
    }

    /// The gap of a part to the ground.
    pub fn ground_gap(&self, gear: &RunningGear, pair: &Place, posed: &Posed) -> Option<Nearest> {
        let ground = &posed.ground;
        let (gap, on_solid) = match pair.a {
            Role::Body(i) => self.body[i].solid.lowest(ground)?,
            Role::Moving(hub, _) => lowest(&self.bars(gear, pair.a, posed.wheel(hub)?)?, &[], ground)?,
            _ => return None,
        };
        Some(Nearest { gap, on_solid, on_ring: on_solid - ground.normal * gap })
    }

    fn pairs_at(&self, hub: Hub, wanted: &WantedGaps) -> Vec<Place> {
        if self.axle(hub.axle).is_none() {
            return Vec::new();
        }
        let linkage = self.moving(hub).iter().enumerate().filter(|(_, m)| !m.joined);
        let linkage: Vec<_> = linkage.map(|(i, _)| Role::Moving(hub, i)).collect();
        let mine = (0..self.body.len()).filter(|i| self.body[*i].side.is_none_or(|s| s == hub.side)).map(Role::Body);
        let mine: Vec<_> = mine.collect();
        let mut pairs = Vec::new();
        for (a, to_linkage) in [(Role::Tyre(hub), wanted.tyre_to_linkage), (Role::Rim(hub), wanted.rim_to_linkage)] {
            pairs.extend(linkage.iter().map(|b| Place { a, b: *b, wanted: to_linkage }));
            pairs.extend(mine.iter().map(|b| Place { a, b: *b, wanted: wanted.tyre_to_body }));
        }
        if self.brake(hub).is_some() {
            pairs.push(Place { a: Role::Rim(hub), b: Role::Caliper(hub), wanted: wanted.brake_to_rim });
        }
        pairs
    }

    fn pairs_with_ground(&self, wanted: &WantedGaps) -> Vec<Place> {
        let to = |a, wanted| Place { a, b: Role::Ground, wanted };
        let hubs = Hub::ALL.into_iter().filter(|hub| self.axle(hub.axle).is_some());
        let arms = hubs.flat_map(|hub| {
            let low = self.moving(hub).iter().enumerate().filter(|(_, m)| m.low);
            let mine = low.filter(move |(_, m)| !m.single || hub.side == Side::Left);
            mine.map(move |(i, _)| to(Role::Moving(hub, i), wanted.to_ground)).collect::<Vec<_>>()
        });
        let fixed = self.body.iter().enumerate().filter_map(|(i, part)| match part.kind {
            Kind::Splitter => Some(to(Role::Body(i), wanted.splitter_to_ground)),
            Kind::Rail => Some(to(Role::Body(i), wanted.to_ground)),
            _ => None,
        });
        arms.chain(fixed).collect()
    }
}

/// A wheel's place in [`Hub::ALL`].
fn index(hub: Hub) -> usize {
    2 * hub.axle as usize + hub.side as usize
}

/// A part's name, once or for both sides.
fn copies(name: &str, mirror: bool) -> Vec<(Option<Side>, String)> {
    if mirror {
        Side::BOTH.map(|side| (Some(side), format!("{} {name}", side.word()))).to_vec()
    } else {
        vec![(None, name.to_owned())]
    }
}

/// A panel's skin.
fn skin(panel: &Panel, side: Side) -> Solid {
    let at = |row: usize, i: usize| side.mirror(panel.rows[row][i]);
    let mut facets: Vec<Facet> = Vec::new();
    for row in 1..panel.rows.len() {
        for i in 1..panel.rows[row].len() {
            let corners = [at(row - 1, i - 1), at(row - 1, i), at(row, i), at(row, i - 1)];
            facets.extend(Solid::quad(corners, panel.thickness / 2.0));
        }
    }
    Solid::new(Vec::new(), facets)
}

/// A splitter's plate: both faces, and its edge.
fn plate(splitter: &Splitter, ground: f64) -> Solid {
    let bottom = ground + splitter.height;
    let levels = [bottom, bottom + splitter.thickness];
    let mut facets = Vec::new();
    for [a, b, c] in triangles(&splitter.outline) {
        for z in levels {
            let corners = [a, b, c].map(|i| Vector3::new(splitter.outline[i][0], splitter.outline[i][1], z));
            facets.push(Facet { corners, radius: 0.0 });
        }
    }
    for i in 0..splitter.outline.len() {
        let (p, q) = (splitter.outline[i], splitter.outline[(i + 1) % splitter.outline.len()]);
        let corner = |p: [f64; 2], z: f64| Vector3::new(p[0], p[1], z);
        let quad = [corner(p, levels[0]), corner(q, levels[0]), corner(q, levels[1]), corner(p, levels[1])];
        facets.extend(Solid::quad(quad, 0.0));
    }
    Solid::new(Vec::new(), facets)
}

/// A simple polygon's triangles, as places in its outline, by clipping ears.
fn triangles(outline: &[[f64; 2]]) -> Vec<[usize; 3]> {
    let mut cut: Vec<usize> = Vec::new();
    earcut::Earcut::new().earcut(outline.iter().copied(), &[], &mut cut);
    cut.chunks_exact(3).map(|t| [t[0], t[1], t[2]]).collect()
}
