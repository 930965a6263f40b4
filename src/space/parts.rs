//! The parts of a car in space, and the pairs of them that are measured.

use std::sync::Arc;

use serde::Serialize;

use super::apart::apart;
use super::body;
use super::brake::OnUpright;
use super::joined::Jointed;
use super::moving::{self, Bars, Moving};
use super::nearest::{Nearest, nearest};
use super::pairs::Unmeasured;
use super::rail::RailRun;
use super::ring::{PlacedRing, Ring};
use super::scans::Scans;
use super::solid::{Solid, lowest};
use crate::car::{Axle, AxleName, Car, Hub, Side};
use crate::motion::{CornerPose, Posed, RunningGear, Suspension};

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
    /// Coil spring that stands apart from its damper.
    Spring,
    /// Anti-roll bar.
    RollBar,
    /// The tube of a stiff axle.
    Axle,
    /// Driveshaft.
    Driveshaft,
    /// Frame rail.
    Rail,
    /// Bodywork.
    Panel,
    /// Splitter.
    Splitter,
    /// Plate on the end of a cut rail.
    Plate,
    /// Fixed tube: a cage's.
    Tube,
    /// Engine, sump, exhaust: anything else that is fixed.
    Block,
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
    /// Whether it is a part that moves and is no tyre or rim.
    pub fn is_moving(self) -> bool {
        matches!(self, Self::Moving(..))
    }

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
    /// Which piece of a cut rail it is, or which plate on one.
    pub piece: Option<String>,
    /// How it runs, if it is a rail along a centreline; a scanned one has none.
    pub run: Option<RailRun>,
}

/// Two parts that are measured, and the gap that is asked for between them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// The one: a tyre, a rim, another part that moves, or what could scrape on the ground.
    pub a: Role,
    /// The other.
    pub b: Role,
    /// Wanted gap, mm.
    pub wanted: f64,
    /// It is told of where it comes within this somewhere in the sweep, mm.
    pub within: f64,
}

impl Place {
    /// Whether its gap changes with the pose: a caliper turns and travels with its rim.
    pub fn moves(&self) -> bool {
        !matches!(self.b, Role::Caliper(_))
    }

    /// Whether it is a ring, and what it could touch is fixed to the body.
    pub fn still(&self) -> bool {
        matches!((self.a, self.b), (Role::Tyre(_) | Role::Rim(_), Role::Body(_)))
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
    pub(super) at_wheel: [Vec<Place>; 4],
    /// The pairs with the ground.
    pub at_ground: Vec<Place>,
    /// The pairs that the car file leaves out.
    pub ignored: Vec<Unmeasured>,
    /// The pairs that are left out because they are joined.
    pub left_out: Vec<Unmeasured>,
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
        let (front, rear) = (AxleParts::new(&car.front), car.rear.as_ref().map(AxleParts::new));
        let mut parts = Self {
            front,
            rear,
            body: body::of(car, scans),
            at_wheel: Default::default(),
            at_ground: Vec::new(),
            ignored: Vec::new(),
            left_out: Vec::new(),
        };
        let jointed =
            |name| car.axle(name).map(|axle| Jointed::new(Suspension::new(axle, name), car.sweep.travel(name)));
        let axles = AxleName::BOTH.map(jointed);
        parts.choose(car, axles.each_ref().map(Option::as_ref));
        parts
    }

    /// The same wheels and linkage, with nothing on the body but these parts and no pairs chosen: to try what may stay.
    pub fn with_only(&self, body: Vec<Part>) -> Self {
        let (front, rear) = (self.front.clone(), self.rear.clone());
        let (at_wheel, at_ground, ignored, left_out) = Default::default();
        Self { front, rear, body, at_wheel, at_ground, ignored, left_out }
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

    /// Whether there are as many parts of the body and at every wheel as of another car: then a [`Place`] of the one is one of
    /// the other.
    pub fn as_many_as(&self, other: &Self) -> bool {
        let alike = |hub: Hub| self.moving(hub).len() == other.moving(hub).len();
        self.body.len() == other.body.len() && Hub::ALL.into_iter().all(alike)
    }

    /// What moves with a wheel. Parts that an axle has once are in both wheels' lists.
    pub fn moving(&self, hub: Hub) -> &[Moving] {
        self.axle(hub.axle).map_or(&[], |axle| &axle.moving)
    }

    /// Whether a wheel's axle is described.
    pub(super) fn is_described(&self, hub: Hub) -> bool {
        self.axle(hub.axle).is_some()
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

    /// The part as it is drawn: what an axle has once is drawn with its left wheel.
    pub fn drawn(&self, role: Role) -> Role {
        match role {
            Role::Moving(hub, i) if self.moving(hub)[i].single => Role::Moving(Hub { side: Side::Left, ..hub }, i),
            _ => role,
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
        let Some(ring) = self.ring(pair.a) else {
            let bars = self.bars(gear, pair.a, pose)?;
            return self.gap_of_bars(gear, &bars, pair.b, pose, within);
        };
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
            moving => nearest(&placed, &self.bars(gear, moving, pose)?, within),
        }
    }

    /// The gap of a moving part's bars to another part.
    fn gap_of_bars(&self, gear: &RunningGear, bars: &Bars, b: Role, pose: &CornerPose, within: f64) -> Option<Nearest> {
        match b {
            Role::Body(i) => apart(bars, &*self.body[i].solid, within),
            moving => apart(bars, &self.bars(gear, moving, pose)?, within),
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
}

/// A wheel's place in [`Hub::ALL`].
pub(super) fn index(hub: Hub) -> usize {
    2 * hub.axle as usize + hub.side as usize
}
