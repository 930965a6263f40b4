//! An axle as measured: its points, arms, steering and dampers. The left side is given and mirrored.

use std::collections::BTreeMap;

use nalgebra::Vector3;
use serde::{Deserialize, Serialize};

use super::arm::{ArmShape, WhichArm};
use super::brake::{Brake, HubFace};
use super::grade::{Bolt, Rated};
pub use super::points::{PointName, Points};
pub use super::springs::{Blade, BladeSection, Damper, MountedOn, Rocker, RollBar, Spring};
pub use super::steering::{Rack, SteeringBox};
use super::wheel::{Tyre, Wheel};
use super::{amounts, points, units};

/// Left or right, as the driver sits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Side {
    /// The side of positive y.
    Left,
    /// The side of negative y.
    Right,
}

impl Side {
    /// Both, left first.
    pub const BOTH: [Self; 2] = [Self::Left, Self::Right];

    /// +1 for left and -1 for right: what a lateral quantity of the left side is multiplied by.
    pub fn sign(self) -> f64 {
        match self {
            Self::Left => 1.0,
            Self::Right => -1.0,
        }
    }

    /// `left` or `right`.
    pub fn word(self) -> &'static str {
        match self {
            Self::Left => "left",
            Self::Right => "right",
        }
    }

    /// The other one.
    pub fn other(self) -> Self {
        match self {
            Self::Left => Self::Right,
            Self::Right => Self::Left,
        }
    }

    /// A point of the left side carried to this side.
    pub fn mirror(self, p: Vector3<f64>) -> Vector3<f64> {
        Vector3::new(p.x, p.y * self.sign(), p.z)
    }
}

/// The sides that a change is made on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Sides {
    /// Both, the right one mirrored.
    #[default]
    Both,
    /// The left alone.
    Left,
    /// The right alone.
    Right,
}

impl Sides {
    /// Whether `side` is one of them.
    pub fn has(self, side: Side) -> bool {
        matches!((self, side), (Self::Both, _) | (Self::Left, Side::Left) | (Self::Right, Side::Right))
    }
}

/// How the wheels are held: which points are needed and what stays as it was measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Linkage {
    /// Two wishbones and a tie rod.
    Wishbone,
    /// A lower arm, a tie rod, and a strut whose axis is fixed to the upright and runs through its top mount.
    Strut,
    /// Five links of their own, the tie rod being the fifth.
    FiveLink,
    /// An arm that carries the hub and turns about the line through its two pickups: trailing where that line lies
    /// across the car, semi-trailing where it lies askew.
    TrailingArm,
    /// A stiff axle with its final drive in it, on trailing links, held sideways by a rod or a centre-pivot linkage.
    LiveAxle,
    /// The same held stiff beam with the final drive on the body.
    DeDion,
}

impl Linkage {
    /// The points without which it is not described. A stiff axle needs more, of which it can choose: see
    /// [`Axle::single_upper_link`] and [`Axle::lateral`].
    pub fn needs(self) -> &'static [PointName] {
        use PointName::{
            ArmInner, ArmOuter, DamperBottom, DamperTop, LowerBallJoint, LowerFront, LowerFrontOuter, LowerLinkAxle,
            LowerLinkBody, LowerRear, LowerRearOuter, TieRodInner, TieRodOuter, UpperBallJoint, UpperFront,
            UpperFrontOuter, UpperRear, UpperRearOuter, WheelCentre,
        };
        match self {
            Self::Wishbone => &[
                LowerFront,
                LowerRear,
                LowerBallJoint,
                UpperFront,
                UpperRear,
                UpperBallJoint,
                TieRodInner,
                TieRodOuter,
                WheelCentre,
            ],
            Self::Strut => {
                &[LowerFront, LowerRear, LowerBallJoint, DamperTop, DamperBottom, TieRodInner, TieRodOuter, WheelCentre]
            }
            Self::FiveLink => &[
                LowerFront,
                LowerFrontOuter,
                LowerRear,
                LowerRearOuter,
                UpperFront,
                UpperFrontOuter,
                UpperRear,
                UpperRearOuter,
                TieRodInner,
                TieRodOuter,
                WheelCentre,
            ],
            Self::TrailingArm => &[ArmInner, ArmOuter, WheelCentre],
            Self::LiveAxle | Self::DeDion => &[LowerLinkBody, LowerLinkAxle, WheelCentre],
        }
    }

    /// Whether one stiff part carries both wheels.
    pub fn is_stiff(self) -> bool {
        matches!(self, Self::LiveAxle | Self::DeDion)
    }

    /// Whether it has upper arms or links.
    pub fn has_upper(self) -> bool {
        !matches!(self, Self::Strut | Self::TrailingArm)
    }

    /// As it is spoken.
    pub fn words(self) -> &'static str {
        match self {
            Self::Wishbone => "double wishbones",
            Self::Strut => "struts",
            Self::FiveLink => "five links",
            Self::TrailingArm => "trailing arms",
            Self::LiveAxle => "live axle",
            Self::DeDion => "De Dion axle",
        }
    }
}

/// Front or rear.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Deserialize, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum AxleName {
    /// The front axle.
    #[default]
    Front,
    /// The rear axle.
    Rear,
}

impl AxleName {
    /// Both, front first.
    pub const BOTH: [Self; 2] = [Self::Front, Self::Rear];

    /// `front` or `rear`.
    pub fn word(self) -> &'static str {
        match self {
            Self::Front => "front",
            Self::Rear => "rear",
        }
    }
}

/// One of the four wheels.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
pub struct Hub {
    /// Its axle.
    pub axle: AxleName,
    /// Its side.
    pub side: Side,
}

impl Hub {
    /// All four, front left, front right, rear left, rear right.
    pub const ALL: [Self; 4] = [
        Self { axle: AxleName::Front, side: Side::Left },
        Self { axle: AxleName::Front, side: Side::Right },
        Self { axle: AxleName::Rear, side: Side::Left },
        Self { axle: AxleName::Rear, side: Side::Right },
    ];

    /// `left front`.
    pub fn words(self) -> String {
        format!("{} {}", self.side.word(), self.axle.word())
    }
}

/// What holds a stiff axle sideways.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Lateral {
    /// Nothing but its trailing links, which stand askew.
    Links,
    /// A rod from the body to the axle.
    Rod,
    /// Two rods to a crank that is pivoted on the axle.
    CentrePivot,
}

/// Round tube or bar.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Tube {
    /// Outside diameter, mm.
    #[serde(deserialize_with = "units::length")]
    pub od: f64,
    /// Wall, mm; left out for a solid bar.
    #[serde(default, deserialize_with = "units::opt_length")]
    pub wall: Option<f64>,
    /// How far it is bowed out of the straight line between its ends, mid-way, mm. Only its strength knows of it: gaps take
    /// it as straight. An arm's leg that is bent is described in its [`ArmShape`].
    #[serde(default, deserialize_with = "units::opt_length")]
    pub bow: Option<f64>,
}

/// What the arms are made of.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Arms {
    /// Both legs of the lower arm, the lower links, or the trailing arm.
    lower: Tube,
    /// Both legs of the upper arm, or the upper links; as the lower ones where left out.
    #[serde(default)]
    upper: Option<Tube>,
    /// How a lower arm of two legs is built.
    #[serde(default)]
    pub lower_arm: ArmShape,
    /// How an upper arm of two legs is built.
    #[serde(default)]
    pub upper_arm: ArmShape,
    /// Tie rod, lateral rods; as the lower arm where left out.
    #[serde(default)]
    tie_rod: Option<Tube>,
    /// The tube of a stiff axle.
    #[serde(default = "default_axle_tube")]
    pub axle: Tube,
    /// The driveshaft from `shaft_inner` to the wheel centre.
    #[serde(default)]
    pub shaft: Option<Tube>,
    /// Diameter of the space that a ball joint or rod end takes up around its centre, mm.
    #[serde(default = "default_joint", deserialize_with = "units::length")]
    pub joint: f64,
    /// How far a joint may swing each way from where it stands at the as-found ride height, radians.
    #[serde(default, deserialize_with = "units::opt_angle")]
    pub joint_swing: Option<f64>,
    /// The rating of the rod ends of arms, links and rods; the weakest, where they differ.
    #[serde(default)]
    pub rod_end: Option<Rated>,
    /// The rating of the ball joints at the arms' outer ends.
    #[serde(default)]
    pub ball_joint: Option<Rated>,
}

impl Arms {
    /// Makes an arm anew, of the tube that it was of where none is given.
    pub fn build(&mut self, arm: WhichArm, tube: Option<Tube>, shape: ArmShape) {
        match arm {
            WhichArm::Lower => {
                // What is as the lower arm was stays as it is.
                (self.upper, self.tie_rod) =
                    (Some(self.upper.unwrap_or(self.lower)), Some(self.tie_rod.unwrap_or(self.lower)));
                self.lower = tube.unwrap_or(self.lower);
                self.lower_arm = shape;
            }
            WhichArm::Upper => {
                self.upper = tube.or(self.upper);
                self.upper_arm = shape;
            }
        }
    }

    /// The lower arm's tube. Both legs count as out of straight by as much as the one that is bent further.
    pub fn lower(&self) -> Tube {
        bowed(self.lower, &self.lower_arm)
    }

    /// The upper arm's tube, with the same said of its legs.
    pub fn upper(&self) -> Tube {
        bowed(self.upper.unwrap_or(self.lower), &self.upper_arm)
    }

    /// The tie rod's tube.
    pub fn tie_rod(&self) -> Tube {
        self.tie_rod.unwrap_or(self.lower)
    }
}

fn bowed(tube: Tube, shape: &ArmShape) -> Tube {
    // A bow that is no length stays as it is written, for the check to find.
    match (tube.bow, shape.bow()) {
        (Some(own), bent) if own < 0.0 || own >= bent => tube,
        (None, 0.0) => tube,
        (_, bent) => Tube { bow: Some(bent), ..tube },
    }
}

/// A rod end for a 1/2 in or 12 mm bolt is about 33 mm over its head (common practice, no source).
fn default_joint() -> f64 {
    34.0
}

/// Axle tubes of cars are about 3 in over (common practice, no source).
fn default_axle_tube() -> Tube {
    Tube { od: 76.0, wall: Some(6.0), bow: None }
}

/// How a wheel stands at the as-found ride height, steering straight ahead.
#[derive(Debug, Clone, Copy, PartialEq, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Alignment {
    /// Positive when the top leans outboard, radians.
    #[serde(default, deserialize_with = "units::angle")]
    pub camber: f64,
    /// Of this wheel alone, toe-in positive, radians.
    #[serde(default, deserialize_with = "units::angle")]
    pub toe: f64,
}

/// How well the axle was measured: half the width of the band that holds 95 of 100 readings (expanded uncertainty with
/// coverage factor 2, JCGM 100:2008).
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Doubt {
    /// Of each coordinate of each point, mm. A tape is good to about 1.5 mm (common practice, no source).
    #[serde(deserialize_with = "units::length")]
    pub points: f64,
    /// Of the points that were measured better or worse than the others, mm.
    #[serde(deserialize_with = "points::lengths")]
    pub of: BTreeMap<PointName, f64>,
    /// Of camber and toe, radians. A bubble gauge is good to about 0.1 degrees (common practice, no source).
    #[serde(deserialize_with = "units::angle")]
    pub alignment: f64,
}

impl Default for Doubt {
    fn default() -> Self {
        Self { points: 1.5, of: BTreeMap::new(), alignment: 0.1f64.to_radians() }
    }
}

impl Doubt {
    /// Of each coordinate of a point, mm.
    pub fn point(&self, name: PointName) -> f64 {
        self.of.get(&name).copied().unwrap_or(self.points)
    }
}

/// An axle as measured.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Axle {
    /// How the uprights are held.
    pub linkage: Linkage,
    /// Points of the left side, mirrored to the right.
    pub points: Points,
    /// Points of the right side that were measured elsewhere than the mirrored left ones.
    #[serde(default)]
    pub right: Points,
    /// Points that are there once rather than on each side: a lateral rod's, a single upper link's, a steering box's.
    #[serde(default)]
    pub middle: Points,
    /// How well all of them were measured.
    #[serde(default)]
    pub doubt: Doubt,
    /// Left wheel, mirrored to the right.
    #[serde(default)]
    pub alignment: Alignment,
    /// Right wheel, where it stands otherwise.
    #[serde(default)]
    pub right_alignment: Option<Alignment>,
    /// Tubes of arms and tie rods.
    pub arms: Arms,
    /// What arms, links and rods are made of: the name of a grade of metal.
    #[serde(default)]
    pub grade: Option<String>,
    /// The bolts through the rod ends of arms, links and rods; the weakest, where they differ.
    #[serde(default)]
    pub bolt: Option<Bolt>,
    /// Dampers, if they are described.
    #[serde(default)]
    pub damper: Option<Damper>,
    /// Springs, if they are described.
    #[serde(default)]
    pub spring: Option<Spring>,
    /// What of the axle hangs below its springs, both sides together: wheels, tyres, brakes, uprights, half of the arms,
    /// kg.
    #[serde(default, deserialize_with = "amounts::opt_mass")]
    pub unsprung: Option<f64>,
    /// Rockers between push rod and damper.
    #[serde(default)]
    pub rocker: Option<Rocker>,
    /// Anti-roll bar.
    #[serde(default)]
    pub bar: Option<RollBar>,
    /// Steering rack.
    #[serde(default)]
    pub rack: Option<Rack>,
    /// Steering box, where there is no rack.
    #[serde(default)]
    pub steering_box: Option<SteeringBox>,
    /// Wheels.
    pub wheel: Wheel,
    /// Tyres.
    pub tyre: Tyre,
    /// Brakes, if they are described.
    #[serde(default)]
    pub brake: Option<Brake>,
    /// What the wheels are bolted to.
    #[serde(default)]
    pub hub: Option<HubFace>,
}

impl Axle {
    /// A point of one side in the vehicle frame, mm, if it is given.
    pub fn point(&self, side: Side, name: PointName) -> Option<Vector3<f64>> {
        let own = if side == Side::Right { self.right.0.get(&name).copied() } else { None };
        own.or_else(|| self.points.0.get(&name).map(|p| side.mirror(*p))).or_else(|| self.middle.0.get(&name).copied())
    }

    /// Whether a point is given, on a side or in the middle.
    pub fn has(&self, name: PointName) -> bool {
        self.points.0.contains_key(&name) || self.middle.0.contains_key(&name)
    }

    /// Whether a point is, or would be, given in `middle`: it is there once, or its upper link is.
    pub fn in_middle(&self, name: PointName) -> bool {
        let single = |other: &PointName| other.is_upper_link();
        name.is_single()
            || self.middle.0.contains_key(&name)
            || name.is_upper_link() && !self.points.0.contains_key(&name) && self.middle.0.keys().any(single)
    }

    /// The moving part that carries the spring, where it stands apart from the damper.
    pub fn spring_apart(&self) -> Option<MountedOn> {
        self.spring?.on
    }

    /// What holds a stiff axle sideways, by the points that are given.
    pub fn lateral(&self) -> Lateral {
        if self.has(PointName::CentrePivot) {
            Lateral::CentrePivot
        } else if self.has(PointName::LateralRodAxle) {
            Lateral::Rod
        } else {
            Lateral::Links
        }
    }

    /// Whether a stiff axle has one upper link, in the middle, rather than one a side.
    pub fn single_upper_link(&self) -> bool {
        self.middle.0.contains_key(&PointName::UpperLinkAxle)
    }

    /// Steering travel from straight ahead to the stop, each way, mm: the rack's, or the arc of the pitman arm's end.
    /// None where the axle does not steer.
    pub fn steering_travel(&self) -> Option<f64> {
        match (self.rack, self.steering_box) {
            (Some(rack), _) => Some(rack.travel),
            (None, Some(b)) => Some(b.lock * self.pitman_length()?),
            (None, None) => None,
        }
    }

    /// Steering travel for one turn of the steering wheel, mm, where it is known.
    pub fn steering_per_turn(&self) -> Option<f64> {
        match (self.rack, self.steering_box) {
            (Some(rack), _) => rack.per_turn,
            (None, Some(b)) => Some(std::f64::consts::TAU / b.ratio? * self.pitman_length()?),
            (None, None) => None,
        }
    }

    /// Pitman arm's end from its shaft's axis, mm.
    pub fn pitman_length(&self) -> Option<f64> {
        let at = |name| self.point(Side::Left, name);
        let (shaft, end) = (at(PointName::PitmanShaft)?, at(PointName::PitmanEnd)?);
        let axis = shaft_axis(shaft, at(PointName::PitmanShaftTop));
        Some((end - shaft).cross(&axis).norm())
    }

    /// Puts a point of one side or both; the right one follows the left where it was not measured apart.
    pub fn set_point(&mut self, sides: Sides, name: PointName, change: impl Fn(Vector3<f64>) -> Vector3<f64>) {
        if let Some(single) = self.middle.0.get_mut(&name) {
            *single = change(*single);
            return;
        }
        let before = Side::BOTH.map(|side| self.point(side, name));
        if let (true, Some(left)) = (sides.has(Side::Left), before[0]) {
            self.points.0.insert(name, change(left));
        }
        let Some(right) = before[1] else { return };
        let mirrored = !self.right.0.contains_key(&name);
        match (sides.has(Side::Left), sides.has(Side::Right)) {
            // The mirrored right point follows by itself.
            (true, true) if mirrored => {}
            // A right point measured apart moves by the mirrored shift.
            (_, true) => {
                let moved = Side::Right.mirror(change(Side::Right.mirror(right)));
                self.right.0.insert(name, moved);
            }
            // The left alone moves: the right stays where it was.
            (true, false) if mirrored => {
                self.right.0.insert(name, right);
            }
            _ => {}
        }
    }

    /// How a wheel stands at the as-found ride height.
    pub fn alignment(&self, side: Side) -> Alignment {
        match (side, self.right_alignment) {
            (Side::Right, Some(own)) => own,
            _ => self.alignment,
        }
    }

    /// Direction of a wheel's spin axis at the as-found ride height, steering straight ahead: a unit vector in the
    /// vehicle frame that points outboard.
    ///
    /// Camber is -asin(s_z); toe-in turns the wheel's front inboard and so tips the outboard end of its axis forward.
    pub fn spin_axis(&self, side: Side) -> Vector3<f64> {
        let Alignment { camber, toe } = self.alignment(side);
        let (sin, cos) = (camber.sin(), camber.cos());
        side.mirror(Vector3::new(toe.sin() * cos, toe.cos() * cos, -sin))
    }
}

/// Direction of a steering shaft: up, or to the other point that was measured on it.
pub fn shaft_axis(shaft: Vector3<f64>, other: Option<Vector3<f64>>) -> Vector3<f64> {
    other.and_then(|top| (top - shaft).try_normalize(1e-9)).unwrap_or_else(Vector3::z)
}

/// Direction from an arm's pickup axis to its outer joint, square to the axis: a unit vector in the arm's plane. None where
/// the pickups are at one place or in line with the joint.
pub fn square_out(pickups: [Vector3<f64>; 2], joint: Vector3<f64>) -> Option<Vector3<f64>> {
    let along = (pickups[0] - pickups[1]).try_normalize(1e-9)?;
    let arm = joint - pickups[0];
    (arm - along * along.dot(&arm)).try_normalize(1e-9)
}
