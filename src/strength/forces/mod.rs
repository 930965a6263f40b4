//! Forces through an axle that stands in a pose: statics of its stiff parts.
//!
//! What a tyre takes from the ground goes through the upright into arms, links, spring and body. Every part is stiff
//! and at rest, has no weight of its own, and its joints have no friction; parts and joints are those of the kinematic
//! core, so the forces do the same work in every motion that the core knows.
//!
//! **Brakes** sit at the wheel: their torque goes through the upright, and all of the force at the ground acts on it
//! there. **Drive** from a final drive on the body leaves the upright its force at the wheel centre, for the shaft
//! takes the torque; a live axle has its final drive in it and takes the torque too. That is what anti-dive and
//! anti-squat count by (see [`crate::motion::quantity`]). What a propeller shaft twists a live axle by is left out.
//!
//! **Springs** stand along the damper, or apart from it, where the damper carries nothing; they carry whatever the wheel's load asks of them in the pose. **Anti-roll bars**
//! carry what the pose twists them by, as they were untwisted when measured.
//!
//! **Rules** where statics alone cannot say who carries what:
//! - An arm on two pickups: along the line through both, what comes in at the ball joint goes along the legs, as in two
//!   rods, and what comes in elsewhere (a damper, a push rod, a drop link) is taken by both pickups alike. With nothing
//!   on the arm its legs are rods.
//! - A trailing arm, an anti-roll bar: along the line through both pickups each takes half.
//! - A stiff axle with one link too many: as the core's bushes give, all four links alike, so that upper left and lower
//!   right together carry as much as the other two. What roll wedges into them is not told: it needs the bushes'
//!   stiffness.
//!
//! Newtons, newton-millimetres, millimetres, in the body's frame.

mod bar;
mod bending;
mod build;
pub mod case;
mod cut;
mod statics;
mod steering;

use nalgebra::Vector3;

use crate::car::axle::Tube;
use crate::car::{AxleName, Hub, PointName, Side};
use crate::motion::{CornerPose, Plane, Suspension, alignment};

pub use bar::torsion;
pub use bending::Bending;
use build::Build;
pub use cut::Cut;

/// A stiff part.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Part {
    /// The car's body.
    Body,
    /// What carries one wheel: an upright, or a trailing arm.
    Upright(Side),
    /// A stiff axle.
    Axle,
    /// Lower arm.
    LowerArm(Side),
    /// Upper arm.
    UpperArm(Side),
    /// Rocker.
    Rocker(Side),
    /// Crank of a centre-pivot linkage.
    Crank,
    /// Anti-roll bar with its levers.
    Bar,
    /// Steering rack.
    Rack,
    /// Pitman arm.
    PitmanArm,
    /// Idler arm.
    IdlerArm,
    /// Centre link.
    CentreLink,
}

impl Part {
    /// As it is spoken: `left lower arm`, `body`.
    pub fn words(self) -> String {
        let sided = |side: Side, what: &str| format!("{} {what}", side.word());
        match self {
            Self::Body => "body".to_owned(),
            Self::Upright(side) => sided(side, "upright"),
            Self::Axle => "axle".to_owned(),
            Self::LowerArm(side) => sided(side, "lower arm"),
            Self::UpperArm(side) => sided(side, "upper arm"),
            Self::Rocker(side) => sided(side, "rocker"),
            Self::Crank => "centre crank".to_owned(),
            Self::Bar => "anti-roll bar".to_owned(),
            Self::Rack => "rack".to_owned(),
            Self::PitmanArm => "pitman arm".to_owned(),
            Self::IdlerArm => "idler arm".to_owned(),
            Self::CentreLink => "centre link".to_owned(),
        }
    }
}

/// What a wheel takes from outside.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct WheelLoad {
    /// From the ground at the contact centre, its torque held by the upright, body frame, N.
    pub contact: Vector3<f64>,
    /// From the ground, its torque held by a shaft that runs to the body, body frame, N.
    pub driven: Vector3<f64>,
    /// Moment of the ground on the tyre, body frame, N mm.
    pub moment: Vector3<f64>,
}

/// What a part that carries a wheel takes from outside in a pose.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Load {
    /// The part.
    pub on: Part,
    /// Where the force acts, mm.
    pub at: Vector3<f64>,
    /// N.
    pub force: Vector3<f64>,
    /// N mm.
    pub moment: Vector3<f64>,
}

/// What kind of member carries a force along its own line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// A link on a joint at each end.
    Rod,
    /// One leg of an arm, from its pickup to its ball joint.
    Leg,
    /// Spring and damper.
    Spring,
}

/// The force along a member.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Member {
    /// `tie rod`, `lower arm, front leg`.
    pub part: &'static str,
    /// What it is.
    pub kind: Kind,
    /// Its side; none where the axle has one.
    pub side: Option<Side>,
    /// Its inner and its outer end.
    pub ends: [PointName; 2],
    /// The parts at its ends.
    pub between: [Part; 2],
    /// Where the ends are, mm.
    pub at: [Vector3<f64>; 2],
    /// Along it, tension positive, N; the same all along it but in the leg of an arm that carries something: there at
    /// the end that has more.
    pub axial: f64,
    /// What it is made of, where the car file says.
    pub tube: Option<Tube>,
}

/// What one part does to another at a joint.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct JointForce {
    /// The joint.
    pub point: PointName,
    /// Its side; none where the axle has one.
    pub side: Option<Side>,
    /// The part that is pushed.
    pub on: Part,
    /// The part that pushes, by its member where one lies between; the other way round the signs turn.
    pub by: Part,
    /// Where, mm.
    pub at: Vector3<f64>,
    /// On the part, N.
    pub force: Vector3<f64>,
    /// On the part, N mm: of a bearing, a rack's housing or a steering box; else nothing.
    pub moment: Vector3<f64>,
    /// Whether it is the end of a rod or a spring. Then the force on the part that pushes stands at the other end.
    pub rod: bool,
}

/// Forces through an axle.
#[derive(Debug, Clone, PartialEq)]
pub struct Forces {
    /// What comes in.
    pub loads: Vec<Load>,
    /// Along links, legs and springs.
    pub members: Vec<Member>,
    /// At every joint, both ends of a member among them.
    pub joints: Vec<JointForce>,
    /// In arms between their ends.
    pub bending: Vec<Bending>,
    /// Through a stiff axle's tube and trailing arms, beside every joint on them.
    pub cuts: Vec<Cut>,
}

impl Forces {
    /// What the axle does to the body, at every joint on it. Of a rod or a spring it is the end on the body.
    pub fn on_body(&self) -> Vec<JointForce> {
        let on_it = |j: &JointForce| match (j.on, j.by, j.rod) {
            (Part::Body, ..) => Some(*j),
            (_, Part::Body, false) => {
                Some(JointForce { on: Part::Body, by: j.on, force: -j.force, moment: -j.moment, ..*j })
            }
            _ => None,
        };
        self.joints.iter().filter_map(on_it).collect()
    }
}

/// Why forces cannot be told.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum NoForces {
    /// Nothing carries the wheels' load.
    #[error(
        "the {axle} axle has no damper, so nothing carries its wheels' load: add `damper: (on: ..., diameter: ...)` and the \
         points `damper_top` and `damper_bottom`", axle = .0.word()
    )]
    NoSpring(AxleName),
    /// A rod does not reach in this pose.
    #[error("in that pose the {} {} is drawn out: take less travel or roll", .0.words(), .1.words())]
    Unreached(Hub, PointName),
    /// The linkage can move by itself.
    #[error(
        "in that pose the {axle} linkage is in line with itself and holds no load: take less travel or lock, or move the points",
        axle = .0.word()
    )]
    Toggle(AxleName),
}

/// Forces through an axle whose wheels stand so and take these loads, left and right.
///
/// # Errors
/// [`NoForces`] where nothing carries the wheels, a rod does not reach, or the linkage is in a toggle.
pub fn forces(
    axle: &Suspension,
    wheels: &[CornerPose; 2],
    ground: &Plane,
    loads: &[WheelLoad; 2],
) -> Result<Forces, NoForces> {
    let mut build = Build::new(axle, wheels);
    for (pose, load) in wheels.iter().zip(loads) {
        let contact = alignment::Alignment::of(axle, pose, ground).contact;
        let on = build.carrier(pose.hub.side);
        build.load(Load { on, at: contact, force: load.contact, moment: load.moment });
        build.load(Load { on, at: pose.wheel_centre, force: load.driven, moment: Vector3::zeros() });
    }
    build.hold()?;
    build.solve()
}
