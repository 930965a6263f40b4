//! The parts of a car in space, and the pairs of them that are measured.

use nalgebra::Vector3;
use serde::Serialize;

use super::nearest::{Nearest, nearest};
use super::rail::RailRun;
use super::ring::{PlacedRing, Ring};
use super::solid::{Bar, Facet, Solid, lowest};
use crate::car::{Car, Panel, Side, Splitter, WantedGaps};
use crate::motion::{CornerPose, Plane};

/// What a part is, in the words that wanted gaps are asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Kind {
    /// Tyre.
    Tyre,
    /// Rim.
    Rim,
    /// Control arm.
    Arm,
    /// Tie rod.
    TieRod,
    /// Damper.
    Damper,
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
    /// A side's tyre.
    Tyre(Side),
    /// A side's rim.
    Rim(Side),
    /// A side's lower arm.
    LowerArm(Side),
    /// A side's upper arm.
    UpperArm(Side),
    /// A side's tie rod.
    TieRod(Side),
    /// A side's damper.
    Damper(Side),
    /// A part of the body, by its place in [`Parts::body`].
    Body(usize),
    /// The ground.
    Ground,
}

impl Role {
    /// The wheel that it belongs to, if to one.
    pub fn side(self) -> Option<Side> {
        match self {
            Self::Tyre(side)
            | Self::Rim(side)
            | Self::LowerArm(side)
            | Self::UpperArm(side)
            | Self::TieRod(side)
            | Self::Damper(side) => Some(side),
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
    pub solid: Solid,
    /// How it runs, if it is a rail.
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
    /// Tyre, both sides alike.
    pub tyre: Ring,
    /// Rim, both sides alike.
    pub rim: Ring,
    /// Parts of the body.
    pub body: Vec<Part>,
    /// The pairs at each wheel, left and right.
    pub at_wheel: [Vec<Place>; 2],
    /// The pairs with the ground.
    pub at_ground: Vec<Place>,
    radii: Radii,
}

/// Radii of the moving parts, mm.
#[derive(Debug, Clone, Copy)]
struct Radii {
    lower: f64,
    upper: f64,
    tie_rod: f64,
    joint: f64,
    damper: Option<f64>,
}

/// Bars of a moving part in a pose: no part has more than three.
type Bars = [Bar; 3];

impl Parts {
    /// From a checked car.
    pub fn new(car: &Car) -> Self {
        let mounted = car.front.tyre.mounted(&car.front.wheel);
        let arms = &car.front.arms;
        let radii = Radii {
            lower: arms.lower.od / 2.0,
            upper: arms.upper.od / 2.0,
            tie_rod: arms.tie_rod.od / 2.0,
            joint: arms.joint / 2.0,
            damper: car.front.damper.map(|d| d.diameter / 2.0),
        };
        let mut body = Vec::new();
        for rail in &car.rails {
            for (side, name) in copies(&rail.name, rail.mirror) {
                let run = RailRun::new(rail, side.unwrap_or(Side::Left));
                let (base, kind, solid) = (rail.name.clone(), Kind::Rail, run.solid());
                body.push(Part { name, base, kind, side, solid, run: Some(run) });
            }
        }
        for panel in &car.panels {
            for (side, name) in copies(&panel.name, panel.mirror) {
                let solid = skin(panel, side.unwrap_or(Side::Left));
                body.push(Part { name, base: panel.name.clone(), kind: Kind::Panel, side, solid, run: None });
            }
        }
        if let Some(splitter) = &car.splitter {
            let solid = plate(splitter, car.ground);
            let name = "splitter".to_owned();
            body.push(Part { name: name.clone(), base: name, kind: Kind::Splitter, side: None, solid, run: None });
        }
        let at_wheel = Side::BOTH.map(|side| at_wheel(side, &body, &radii, &car.wanted));
        let at_ground = at_ground(&body, &car.wanted);
        Self {
            tyre: Ring::tyre(&mounted),
            rim: Ring::rim(&mounted, &car.front.wheel),
            body,
            at_wheel,
            at_ground,
            radii,
        }
    }

    /// A part's name as it is spoken.
    pub fn name(&self, role: Role) -> String {
        let of = |side: Side, what: &str| format!("{} {what}", side.word());
        match role {
            Role::Tyre(side) => of(side, "front tyre"),
            Role::Rim(side) => of(side, "front rim"),
            Role::LowerArm(side) => of(side, "lower arm"),
            Role::UpperArm(side) => of(side, "upper arm"),
            Role::TieRod(side) => of(side, "tie rod"),
            Role::Damper(side) => of(side, "damper"),
            Role::Body(i) => self.body[i].name.clone(),
            Role::Ground => "ground".to_owned(),
        }
    }

    /// What a part is.
    pub fn kind(&self, role: Role) -> Kind {
        match role {
            Role::Tyre(_) => Kind::Tyre,
            Role::Rim(_) => Kind::Rim,
            Role::LowerArm(_) | Role::UpperArm(_) => Kind::Arm,
            Role::TieRod(_) => Kind::TieRod,
            Role::Damper(_) => Kind::Damper,
            Role::Body(i) => self.body[i].kind,
            Role::Ground => Kind::Ground,
        }
    }

    /// No point of a tyre or rim lies further from its wheel's centre, mm.
    pub fn reach(&self, role: Role) -> f64 {
        if matches!(role, Role::Rim(_)) { self.rim.reach } else { self.tyre.reach }
    }

    /// A wheel's tyre or rim where it is in a pose.
    pub fn placed<'a>(ring: &'a Ring, pose: &CornerPose) -> PlacedRing<'a> {
        PlacedRing { ring, centre: pose.wheel_centre, axis: pose.spin }
    }

    /// The bars of a moving part in its corner's pose. Empty for anything else.
    pub fn bars(&self, role: Role, pose: &CornerPose) -> Option<Bars> {
        let ball = |at: Vector3<f64>| Bar { a: at, b: at, radius: self.radii.joint };
        let arm = |pickups: [Vector3<f64>; 2], joint: Vector3<f64>, radius| {
            [Bar { a: pickups[0], b: joint, radius }, Bar { a: pickups[1], b: joint, radius }, ball(joint)]
        };
        match role {
            Role::LowerArm(_) => Some(arm(pose.lower, pose.lower_ball_joint, self.radii.lower)),
            Role::UpperArm(_) => Some(arm(pose.upper, pose.upper_ball_joint, self.radii.upper)),
            Role::TieRod(_) => {
                let rod = Bar { a: pose.tie_rod_inner, b: pose.tie_rod_outer, radius: self.radii.tie_rod };
                Some([rod, ball(pose.tie_rod_inner), ball(pose.tie_rod_outer)])
            }
            Role::Damper(_) => {
                let ([top, bottom], radius) = (pose.damper?, self.radii.damper?);
                // Between its eyes a damper is at its full diameter over about three quarters of its length, and its
                // eyes are as thick as a joint (common practice, no source).
                let along = |t: f64| top + (bottom - top) * t;
                Some([Bar { a: along(0.12), b: along(0.85), radius }, ball(top), ball(bottom)])
            }
            _ => None,
        }
    }

    /// The gap of a pair at a wheel in its corner's pose, if it is less than `within`.
    pub fn gap(&self, pair: &Place, pose: &CornerPose, within: f64) -> Option<Nearest> {
        let ring = match pair.a {
            Role::Tyre(_) => &self.tyre,
            Role::Rim(_) => &self.rim,
            _ => return None,
        };
        let placed = Self::placed(ring, pose);
        match pair.b {
            Role::Body(i) => {
                let solid = &self.body[i].solid;
                if solid.beyond(pose.wheel_centre) - ring.reach >= within {
                    return None;
                }
                nearest(&placed, solid, within)
            }
            moving => nearest(&placed, &self.bars(moving, pose)?[..], within),
        }
    }

    /// The gap of a part to the ground. `corners` are the left and right corner's poses.
    pub fn ground_gap(&self, pair: &Place, corners: &[CornerPose; 2], ground: &Plane) -> Option<Nearest> {
        let (gap, on_solid) = match pair.a {
            Role::Body(i) => self.body[i].solid.lowest(ground)?,
            Role::LowerArm(side) => lowest(&self.bars(pair.a, &corners[side as usize])?, &[], ground)?,
            _ => return None,
        };
        Some(Nearest { gap, on_solid, on_ring: on_solid - ground.normal * gap })
    }
}

/// A part's name, once or for both sides.
fn copies(name: &str, mirror: bool) -> Vec<(Option<Side>, String)> {
    if mirror {
        Side::BOTH.map(|side| (Some(side), format!("{} {name}", side.word()))).to_vec()
    } else {
        vec![(None, name.to_owned())]
    }
}

fn at_wheel(side: Side, body: &[Part], radii: &Radii, wanted: &WantedGaps) -> Vec<Place> {
    let mut linkage = vec![Role::LowerArm(side), Role::UpperArm(side), Role::TieRod(side)];
    linkage.extend(radii.damper.map(|_| Role::Damper(side)));
    let mine = (0..body.len()).filter(|i| body[*i].side.is_none_or(|s| s == side)).map(Role::Body);
    let mine: Vec<_> = mine.collect();
    let mut pairs = Vec::new();
    for (a, to_linkage) in [(Role::Tyre(side), wanted.tyre_to_linkage), (Role::Rim(side), wanted.rim_to_linkage)] {
        pairs.extend(linkage.iter().map(|b| Place { a, b: *b, wanted: to_linkage }));
        pairs.extend(mine.iter().map(|b| Place { a, b: *b, wanted: wanted.tyre_to_body }));
    }
    pairs
}

fn at_ground(body: &[Part], wanted: &WantedGaps) -> Vec<Place> {
    let to = |a, wanted| Place { a, b: Role::Ground, wanted };
    let arms = Side::BOTH.map(|side| to(Role::LowerArm(side), wanted.to_ground));
    let fixed = body.iter().enumerate().filter_map(|(i, part)| match part.kind {
        Kind::Splitter => Some(to(Role::Body(i), wanted.splitter_to_ground)),
        Kind::Rail => Some(to(Role::Body(i), wanted.to_ground)),
        _ => None,
    });
    arms.into_iter().chain(fixed).collect()
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
