//! The parts of an axle that move with its wheels, as bars between its points.

use nalgebra::Vector3;

use super::arm;
use super::nearest::{Few, Shape};
use super::parts::Kind;
use super::solid::{Bar, Facet};
use crate::car::axle::{Arms, Axle, Lateral, Linkage, MountedOn};
use crate::car::{Hub, PointName, Side};
use crate::motion::real::{Real, k};
use crate::motion::{Carrier, CornerPose, Leeway, Suspension};

/// A part that moves with a wheel.
#[derive(Debug, Clone, PartialEq)]
pub struct Moving {
    /// What it is called: `lower arm`.
    pub name: &'static str,
    /// What it is.
    pub kind: Kind,
    /// Whether the axle has one, rather than one a side.
    pub single: bool,
    /// Whether it may be the lowest part of its corner.
    pub low: bool,
    /// Whether it is joined to the wheel itself, so that no gap between them is of interest.
    pub joined: bool,
    /// What its points ride on, where others ride on it too.
    pub carries: Option<Carrier>,
    /// Its bars.
    pub legs: Vec<Leg>,
    /// A plate between bars of it: no corner or edge of it lies beside them, so it moves no further than they do.
    pub plate: Option<Plate>,
}

/// A plate of a moving part.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Plate {
    /// Its corners, on axes of the part's bars.
    pub corners: [Spot; 3],
    /// Half its thickness, mm.
    pub radius: f64,
}

/// A place that rides on an arm of two legs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OnArm {
    /// The arm's front pickup.
    pub front: PointName,
    /// Its rear pickup.
    pub rear: PointName,
    /// Its outer joint.
    pub joint: PointName,
    /// Where: from the joint so many times to the front pickup, so many times to the rear one, and so far up, mm, square to
    /// the arm's plane.
    pub place: [f64; 3],
    /// It moves at most so many times as far as the outer joint.
    pub moves: f64,
}

impl OnArm {
    /// Where it is, from where its arm's front and rear pickups and its joint are, mm.
    pub fn at<S: Real>(&self, side: Side, front: Vector3<S>, rear: Vector3<S>, joint: Vector3<S>) -> Vector3<S> {
        let [u, v, up] = self.place;
        let (to_front, to_rear) = (front - joint, rear - joint);
        let flat = joint + to_front * k::<S>(u) + to_rear * k::<S>(v);
        if up == 0.0 {
            return flat;
        }
        // Seen from above, from the front leg to the rear one is with the clock on the left, and against it on the right.
        let normal = if side == Side::Left { to_rear.cross(&to_front) } else { to_front.cross(&to_rear) };
        flat + normal.normalize() * k::<S>(up)
    }
}

/// A bar of a moving part.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Leg {
    /// Its ends.
    pub ends: [Spot; 2],
    /// Radius, mm.
    pub radius: f64,
}

/// A place that follows a pose.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Spot {
    /// A measured point.
    At(PointName),
    /// A place on the way from one point to another, 0 to 1.
    Between(PointName, PointName, f64),
    /// A place that rides on an arm of two legs.
    OnArm(OnArm),
    /// A point of the body on the other side.
    Across(PointName),
    /// On the spin axis, this far inboard of the wheel centre, mm.
    Inboard(f64),
    /// The same at the other wheel of a stiff axle.
    InboardAcross(f64),
}

impl Spot {
    /// Where it is in a pose, body frame, mm.
    pub fn at(&self, axle: &Suspension, pose: &CornerPose) -> Option<Vector3<f64>> {
        match *self {
            Self::At(name) => axle.at(pose, name),
            Self::Between(from, to, share) => {
                let (a, b) = (axle.at(pose, from)?, axle.at(pose, to)?);
                Some(a + (b - a) * share)
            }
            Self::OnArm(ride) => {
                let at = |name| axle.at(pose, name);
                Some(ride.at(pose.hub.side, at(ride.front)?, at(ride.rear)?, at(ride.joint)?))
            }
            Self::Across(name) => {
                let across = if pose.hub.side == Side::Left { Side::Right } else { Side::Left };
                axle.measured.at(across, name)
            }
            Self::Inboard(by) => Some(pose.wheel_centre - pose.spin * by),
            Self::InboardAcross(by) => {
                let other = axle.other(pose);
                Some(other.wheel_centre - other.spin * by)
            }
        }
    }
}

impl Spot {
    /// How far it may move, mm, and whether it rides on the part that carries the wheel.
    pub(super) fn leeway(
        &self,
        axle: &Suspension,
        pose: &CornerPose,
        leeway: &Leeway,
        steering: f64,
    ) -> Option<(f64, bool)> {
        let of = |name| Some((axle.point_leeway(pose, leeway, steering, name)?, axle.on_upright(name)));
        match *self {
            Self::At(name) => of(name),
            Self::OnArm(ride) => Some((of(ride.joint)?.0 * ride.moves, false)),
            Self::Across(_) => Some((0.0, false)),
            Self::Inboard(_) | Self::InboardAcross(_) => Some((leeway.of_point(self.at(axle, pose)?), true)),
            Self::Between(from, to, share) => {
                let ((a, a_rides), (b, b_rides)) = (of(from)?, of(to)?);
                Some((a + (b - a) * share, a_rides && b_rides))
            }
        }
    }

    /// The measured points that it follows; the same one twice where it is one.
    fn names(&self) -> [PointName; 2] {
        match *self {
            Self::At(name) | Self::Across(name) => [name; 2],
            Self::Between(from, to, _) => [from, to],
            Self::OnArm(ride) => [ride.joint; 2],
            Self::Inboard(_) | Self::InboardAcross(_) => [PointName::WheelCentre; 2],
        }
    }
}

impl Moving {
    /// An arm or axle that carries a hub ends this far inboard of the wheel centre, where the hub begins, mm (common
    /// practice, no source).
    pub const HUB: f64 = 150.0;

    /// Its bars in a pose. None where one of its points is out of reach.
    pub fn bars(&self, axle: &Suspension, pose: &CornerPose) -> Option<Bars> {
        let none = Bar { a: Vector3::zeros(), b: Vector3::zeros(), radius: 0.0 };
        let mut bars = Bars { bars: [none; MOST], count: 0, plate: None };
        for leg in &self.legs {
            let [a, b] = leg.ends;
            bars.bars[bars.count] = Bar { a: a.at(axle, pose)?, b: b.at(axle, pose)?, radius: leg.radius };
            bars.count += 1;
        }
        if let Some(Plate { corners: [a, b, c], radius }) = self.plate {
            let corners = [a.at(axle, pose)?, b.at(axle, pose)?, c.at(axle, pose)?];
            bars.plate = Some(Facet { corners, radius });
        }
        Some(bars)
    }

    /// The points that its bars run between, each with the radius there.
    pub fn points(&self) -> impl Iterator<Item = (PointName, f64)> {
        self.legs.iter().flat_map(|leg| leg.ends.map(|spot| spot.names().map(|name| (name, leg.radius)))).flatten()
    }

    /// As it is spoken: `left lower arm`, `left rear lower arm`, `rear lateral rod`.
    pub fn words(&self, hub: Hub) -> String {
        let axle = if hub.axle == crate::car::AxleName::Rear { "rear " } else { "" };
        if self.single { format!("{axle}{}", self.name) } else { format!("{} {axle}{}", hub.side.word(), self.name) }
    }
}

/// No part has more bars.
const MOST: usize = 7;

/// The bars of a part in a pose, and the plate between them.
#[derive(Debug, Clone, Copy)]
pub struct Bars {
    bars: [Bar; MOST],
    count: usize,
    plate: Option<Facet>,
}

impl Bars {
    /// The plate between them.
    pub fn plate(&self) -> Option<&Facet> {
        self.plate.as_ref()
    }
}

impl<'a> From<&'a Bars> for Few<'a> {
    fn from(bars: &'a Bars) -> Self {
        Self { bars, plate: bars.plate.as_ref() }
    }
}

impl<'a> From<&'a Bars> for Shape<'a> {
    fn from(bars: &'a Bars) -> Self {
        Self::Few(bars.into())
    }
}

impl std::ops::Deref for Bars {
    type Target = [Bar];

    fn deref(&self) -> &[Bar] {
        &self.bars[..self.count]
    }
}

/// The moving parts of an axle, alike on both sides.
pub fn of(axle: &Axle) -> Vec<Moving> {
    let mut parts = linkage(axle);
    let arms = &axle.arms;
    let joint = |at| ball(at, arms.joint / 2.0);
    if let (Some(damper), true) = (axle.damper, axle.has(PointName::DamperTop)) {
        use PointName::{DamperBottom, DamperTop};
        let name = if axle.linkage == Linkage::Strut { "strut" } else { "damper" };
        // Between its eyes a damper is at its full diameter over about three quarters of its length, and its eyes are
        // as thick as a joint (common practice, no source).
        let ends = [Spot::Between(DamperTop, DamperBottom, 0.12), Spot::Between(DamperTop, DamperBottom, 0.85)];
        let body = Leg { ends, radius: damper.diameter / 2.0 };
        parts.push(part(name, Kind::Damper, vec![body, joint(DamperTop), joint(DamperBottom)]));
    }
    parts.extend(spring(axle));
    if let Some(rocker) = axle.rocker {
        use PointName::{DamperBottom, PushRodInner, PushRodOuter, RockerPivot};
        let rod = span(PushRodOuter, PushRodInner, rocker.push_rod.od / 2.0);
        parts.push(part("push rod", Kind::Arm, vec![rod, joint(PushRodOuter), joint(PushRodInner)]));
        let radius = arms.joint / 3.0;
        let mut legs = vec![span(RockerPivot, PushRodInner, radius)];
        if axle.damper.is_some_and(|d| d.on == MountedOn::Rocker) {
            legs.extend([span(RockerPivot, DamperBottom, radius), span(PushRodInner, DamperBottom, radius)]);
        }
        parts.push(carrying(Carrier::Part(MountedOn::Rocker), part("rocker", Kind::Arm, legs)));
    }
    if let Some(bar) = axle.bar {
        use PointName::{BarLever, BarPivot, DropLinkOuter};
        let radius = bar.tube.od / 2.0;
        // Drop links are about 10 mm rods (common practice, no source).
        let link = vec![span(BarLever, DropLinkOuter, 5.0), joint(BarLever), joint(DropLinkOuter)];
        parts.push(part("drop link", Kind::RollBar, link));
        let lever = part("bar lever", Kind::RollBar, vec![span(BarPivot, BarLever, radius)]);
        parts.push(carrying(Carrier::Lever, lever));
        let across = Leg { ends: [Spot::At(BarPivot), Spot::Across(BarPivot)], radius };
        parts.push(Moving { single: true, ..part("anti-roll bar", Kind::RollBar, vec![across]) });
    }
    if axle.steering_box.is_some() {
        use PointName::{IdlerEnd, IdlerShaft, PitmanEnd, PitmanShaft};
        let radius = arms.tie_rod().od / 2.0;
        let single = |name, legs| Moving { single: true, ..part(name, Kind::TieRod, legs) };
        let link = single("centre link", vec![span(PitmanEnd, IdlerEnd, radius), joint(PitmanEnd), joint(IdlerEnd)]);
        parts.push(carrying(Carrier::Steering, link));
        parts.push(single("pitman arm", vec![span(PitmanShaft, PitmanEnd, radius)]));
        parts.push(single("idler arm", vec![span(IdlerShaft, IdlerEnd, radius)]));
    }
    if let (Some(shaft), true) = (arms.shaft, axle.has(PointName::ShaftInner)) {
        use PointName::{ShaftInner, WheelCentre};
        let legs = vec![span(ShaftInner, WheelCentre, shaft.od / 2.0)];
        parts.push(Moving { joined: true, ..part("driveshaft", Kind::Driveshaft, legs) });
    }
    parts
}

/// A coil spring that stands apart from its damper, at its full diameter from the middle of one seat to that of the other. A
/// bar's ends are round: past its seats it is measured larger than it is, and beside them as it is.
fn spring(axle: &Axle) -> Option<Moving> {
    use PointName::{SpringBottom, SpringTop};
    axle.spring_apart()?;
    let coil = span(SpringTop, SpringBottom, axle.spring?.diameter? / 2.0);
    let seat = |at| ball(at, axle.arms.joint / 2.0);
    Some(part("spring", Kind::Spring, vec![coil, seat(SpringTop), seat(SpringBottom)]))
}

/// What holds the wheels.
fn linkage(axle: &Axle) -> Vec<Moving> {
    use PointName::{
        ArmInner, ArmOuter, CentrePivot, CrankLower, CrankUpper, LateralRodAxle, LateralRodBody, LowerBallJoint,
        LowerFront, LowerFrontOuter, LowerLinkAxle, LowerLinkBody, LowerRear, LowerRearOuter, LowerRodBody,
        TieRodInner, TieRodOuter, UpperBallJoint, UpperFront, UpperFrontOuter, UpperLinkAxle, UpperLinkBody, UpperRear,
        UpperRearOuter, UpperRodBody,
    };
    let arms: &Arms = &axle.arms;
    let joint = arms.joint / 2.0;
    let (lower, upper, thin) = (arms.lower().od / 2.0, arms.upper().od / 2.0, arms.tie_rod().od / 2.0);
    let arm = |name, points, tube, shape| {
        let (legs, plate) = arm::legs(axle, points, tube, shape);
        Moving { plate, ..part(name, Kind::Arm, legs) }
    };
    let rod = |name, kind, [from, to]: [PointName; 2], radius| {
        part(name, kind, vec![span(from, to, radius), ball(from, joint), ball(to, joint)])
    };
    let tie_rod = || rod("tie rod", Kind::TieRod, [TieRodInner, TieRodOuter], thin);
    let low = |moving: Moving| Moving { low: true, ..moving };
    let lower_arm = || {
        let arm = low(arm("lower arm", [LowerFront, LowerRear, LowerBallJoint], arms.lower(), &arms.lower_arm));
        carrying(Carrier::Part(MountedOn::LowerArm), arm)
    };
    let carrier = Carrier::Part(MountedOn::Upright);
    match axle.linkage {
        Linkage::Wishbone => vec![
            lower_arm(),
            carrying(
                Carrier::Part(MountedOn::UpperArm),
                arm("upper arm", [UpperFront, UpperRear, UpperBallJoint], arms.upper(), &arms.upper_arm),
            ),
            tie_rod(),
        ],
        Linkage::Strut => vec![lower_arm(), tie_rod()],
        Linkage::FiveLink => vec![
            low(rod("lower front link", Kind::Arm, [LowerFront, LowerFrontOuter], lower)),
            low(rod("lower rear link", Kind::Arm, [LowerRear, LowerRearOuter], lower)),
            rod("upper front link", Kind::Arm, [UpperFront, UpperFrontOuter], upper),
            rod("upper rear link", Kind::Arm, [UpperRear, UpperRearOuter], upper),
            tie_rod(),
        ],
        Linkage::TrailingArm => {
            let leg = |from| Leg { ends: [Spot::At(from), Spot::Inboard(Moving::HUB)], radius: lower };
            let legs = vec![leg(ArmInner), leg(ArmOuter), ball(ArmInner, joint), ball(ArmOuter, joint)];
            vec![carrying(carrier, low(part("trailing arm", Kind::Arm, legs)))]
        }
        Linkage::LiveAxle | Linkage::DeDion => {
            let mut parts = vec![low(rod("lower link", Kind::Arm, [LowerLinkBody, LowerLinkAxle], lower))];
            if axle.has(UpperLinkAxle) {
                let link = rod("upper link", Kind::Arm, [UpperLinkBody, UpperLinkAxle], upper);
                parts.push(Moving { single: axle.single_upper_link(), ..link });
            }
            match axle.lateral() {
                Lateral::Links => {}
                Lateral::Rod => {
                    let rod = rod("lateral rod", Kind::Arm, [LateralRodBody, LateralRodAxle], thin);
                    parts.push(Moving { single: true, low: true, ..rod });
                }
                Lateral::CentrePivot => {
                    let single = |moving| Moving { single: true, low: true, ..moving };
                    parts.push(single(rod("upper lateral rod", Kind::Arm, [UpperRodBody, CrankUpper], thin)));
                    parts.push(single(rod("lower lateral rod", Kind::Arm, [LowerRodBody, CrankLower], thin)));
                    let legs = vec![span(CrankUpper, CrankLower, thin), ball(CentrePivot, joint)];
                    parts.push(carrying(Carrier::Crank, single(part("centre crank", Kind::Arm, legs))));
                }
            }
            let ends = [Spot::Inboard(Moving::HUB), Spot::InboardAcross(Moving::HUB)];
            let tube = part("axle tube", Kind::Axle, vec![Leg { ends, radius: arms.axle.od / 2.0 }]);
            parts.push(carrying(carrier, Moving { single: true, low: true, joined: true, ..tube }));
            parts
        }
    }
}

fn part(name: &'static str, kind: Kind, legs: Vec<Leg>) -> Moving {
    Moving { name, kind, single: false, low: false, joined: false, carries: None, legs, plate: None }
}

fn carrying(carrier: Carrier, moving: Moving) -> Moving {
    Moving { carries: Some(carrier), ..moving }
}

fn span(from: PointName, to: PointName, radius: f64) -> Leg {
    Leg { ends: [Spot::At(from), Spot::At(to)], radius }
}

fn ball(at: PointName, radius: f64) -> Leg {
    Leg { ends: [Spot::At(at); 2], radius }
}
