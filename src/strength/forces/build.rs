//! The parts and joints of an axle in a pose, and what they push with.

use nalgebra::{DVector, Vector3};

use super::bending::{self, Arm, Mounted};
use super::cut::cuts;
use super::statics::{Outside, Push, Rule, Statics};
use super::{Forces, JointForce, Kind, Load, Member, NoForces, Part, bar};
use crate::car::axle::{Lateral, Linkage, MountedOn, Tube};
use crate::car::{Hub, PointName, Side};
use crate::motion::{CornerPose, Suspension};

use PointName::{
    ArmInner, ArmOuter, BarLever, BarPivot, CentrePivot, CrankLower, CrankUpper, DamperBottom, DamperTop,
    DropLinkOuter, LateralRodAxle, LateralRodBody, LowerBallJoint, LowerFront, LowerFrontOuter, LowerLinkAxle,
    LowerLinkBody, LowerRear, LowerRearOuter, LowerRodBody, PushRodInner, PushRodOuter, RockerAxis, RockerPivot,
    SpringBottom, SpringTop, TieRodInner, TieRodOuter, UpperBallJoint, UpperFront, UpperFrontOuter, UpperLinkAxle,
    UpperLinkBody, UpperRear, UpperRearOuter, UpperRodBody, WheelCentre,
};

/// An axle being put together.
pub(super) struct Build<'a> {
    pub axle: &'a Suspension,
    pub wheels: &'a [CornerPose; 2],
    pub statics: Statics,
    loads: Vec<Load>,
    rods: Vec<(Member, usize)>,
    joints: Vec<Joint>,
    arms: Vec<Arm>,
}

/// A joint and the unknowns that are its own.
pub(super) struct Joint {
    pub point: PointName,
    pub side: Option<Side>,
    pub at: Vector3<f64>,
    pub on: Part,
    pub by: Part,
    pub pushes: Vec<usize>,
}

/// A link to be put in: what it is, its ends and the parts there.
#[derive(Clone, Copy)]
pub(super) struct Link {
    pub part: &'static str,
    pub kind: Kind,
    pub ends: [PointName; 2],
    pub between: [Part; 2],
    pub tube: Option<Tube>,
}

impl<'a> Build<'a> {
    pub fn new(axle: &'a Suspension, wheels: &'a [CornerPose; 2]) -> Self {
        let (statics, loads, rods) = (Statics::default(), Vec::new(), Vec::new());
        Self { axle, wheels, statics, loads, rods, joints: Vec::new(), arms: Vec::new() }
    }

    /// What carries a side's wheel.
    pub fn carrier(&self, side: Side) -> Part {
        if self.axle.linkage.is_stiff() { Part::Axle } else { Part::Upright(side) }
    }

    /// A load from outside.
    pub fn load(&mut self, load: Load) {
        let Load { on, at, force, moment } = load;
        self.statics.outside.push(Outside { on, at, force, moment });
        self.loads.push(load);
    }

    /// Where a point is.
    pub fn at(&self, side: Side, name: PointName) -> Result<Vector3<f64>, NoForces> {
        let missing = NoForces::Unreached(Hub { axle: self.axle.name, side }, name);
        self.axle.at(&self.wheels[side as usize], name).ok_or(missing)
    }

    fn mounted(&self, on: MountedOn, side: Side) -> Part {
        match on {
            MountedOn::LowerArm => Part::LowerArm(side),
            MountedOn::UpperArm => Part::UpperArm(side),
            MountedOn::Upright => self.carrier(side),
            MountedOn::Rocker => Part::Rocker(side),
        }
    }

    /// A side's point, or one that the axle has once.
    fn whose(&self, side: Side, name: PointName) -> Option<Side> {
        (!self.axle.described.middle.0.contains_key(&name)).then_some(side)
    }

    /// A link: one unknown, its tension.
    pub fn link(&mut self, side: Side, link: Link) -> Result<usize, NoForces> {
        let [inner, outer] = [self.at(side, link.ends[0])?, self.at(side, link.ends[1])?];
        let [by, on] = link.between;
        let pulls = (inner - outer).normalize();
        let push = self.statics.push(Push { at: outer, force: pulls, moment: Vector3::zeros(), on, by });
        let Link { part, kind, ends, between, tube } = link;
        let side = self.whose(side, ends[1]);
        self.rods.push((Member { part, kind, side, ends, between, at: [inner, outer], axial: 0.0, tube }, push));
        Ok(push)
    }

    /// A joint that pushes along and twists about these directions.
    pub fn joint(
        &mut self,
        (side, point): (Option<Side>, PointName),
        at: Vector3<f64>,
        [on, by]: [Part; 2],
        forces: &[Vector3<f64>],
        twists: &[Vector3<f64>],
    ) -> Vec<usize> {
        let none = Vector3::zeros();
        let ways = forces.iter().map(|f| (*f, none)).chain(twists.iter().map(|m| (none, *m)));
        let pushes: Vec<usize> =
            ways.map(|(force, moment)| self.statics.push(Push { at, force, moment, on, by })).collect();
        self.joints.push(Joint { point, side, at, on, by, pushes: pushes.clone() });
        pushes
    }

    /// A ball joint.
    pub fn ball(&mut self, side: Side, point: PointName, parts: [Part; 2]) -> Result<Vec<usize>, NoForces> {
        let (at, whose) = (self.at(side, point)?, self.whose(side, point));
        Ok(self.joint((whose, point), at, parts, &axes(), &[]))
    }

    /// A bearing that lets its part turn about an axis.
    pub fn bearing(
        &mut self,
        side: Side,
        point: PointName,
        axis: Vector3<f64>,
        parts: [Part; 2],
    ) -> Result<Vec<usize>, NoForces> {
        let (at, whose) = (self.at(side, point)?, self.whose(side, point));
        Ok(self.joint((whose, point), at, parts, &axes(), &across(axis)))
    }

    /// Everything that holds, rides along and steers.
    pub fn hold(&mut self) -> Result<(), NoForces> {
        match self.axle.linkage {
            Linkage::LiveAxle | Linkage::DeDion => self.stiff()?,
            linkage => Side::BOTH.into_iter().try_for_each(|side| self.apart(linkage, side))?,
        }
        Side::BOTH.into_iter().try_for_each(|side| self.sprung(side))?;
        self.bar()?;
        self.steering()
    }

    fn apart(&mut self, linkage: Linkage, side: Side) -> Result<(), NoForces> {
        let (upright, arms) = (Part::Upright(side), self.axle.described.arms);
        let [lower, upper] = [Some(arms.lower()), Some(arms.upper())];
        match linkage {
            Linkage::Wishbone => {
                self.arm(side, Part::LowerArm(side))?;
                self.arm(side, Part::UpperArm(side))?;
            }
            Linkage::Strut => {
                self.arm(side, Part::LowerArm(side))?;
                let (top, bottom) = (self.at(side, DamperTop)?, self.at(side, DamperBottom)?);
                // The axis runs through the top mount: only pushes across it hold the upright there.
                self.joint((Some(side), DamperTop), top, [Part::Body, upright], &across(top - bottom), &[]);
            }
            Linkage::FiveLink => {
                for (part, ends, tube) in [
                    ("lower front link", [LowerFront, LowerFrontOuter], lower),
                    ("lower rear link", [LowerRear, LowerRearOuter], lower),
                    ("upper front link", [UpperFront, UpperFrontOuter], upper),
                    ("upper rear link", [UpperRear, UpperRearOuter], upper),
                ] {
                    self.link(side, Link { part, kind: Kind::Rod, ends, between: [Part::Body, upright], tube })?;
                }
            }
            _ => {
                let pickups = [ArmInner, ArmOuter];
                self.halved(pickups.map(|name| (side, name)), upright)?;
                let [a, b] = [self.at(side, ArmInner)?, self.at(side, ArmOuter)?];
                let end = self.wheels[side as usize].wheel_centre;
                self.arms.push(Arm { part: upright, side, points: [ArmInner, ArmOuter, WheelCentre], at: [a, b, end] });
                return Ok(());
            }
        }
        let inner = if !self.axle.steers() {
            Part::Body
        } else if self.axle.described.rack.is_some() {
            Part::Rack
        } else {
            Part::CentreLink
        };
        let (ends, tube) = ([TieRodInner, TieRodOuter], Some(arms.tie_rod()));
        let part = if self.axle.steers() { "tie rod" } else { "toe link" };
        self.link(side, Link { part, kind: Kind::Rod, ends, between: [inner, upright], tube }).map(|_| ())
    }

    /// An arm between two pickups and a ball joint. Its rule waits for what is mounted on it.
    fn arm(&mut self, side: Side, arm: Part) -> Result<(), NoForces> {
        let points = match arm {
            Part::LowerArm(_) => [LowerFront, LowerRear, LowerBallJoint],
            _ => [UpperFront, UpperRear, UpperBallJoint],
        };
        self.ball(side, points[2], [Part::Upright(side), arm])?;
        self.ball(side, points[0], [Part::Body, arm])?;
        self.ball(side, points[1], [Part::Body, arm])?;
        let [a, b, c] = points.map(|name| self.at(side, name));
        self.arms.push(Arm { part: arm, side, points, at: [a?, b?, c?] });
        Ok(())
    }

    /// Two ball joints that share alike along the line through both.
    fn halved(&mut self, at: [(Side, PointName); 2], part: Part) -> Result<(), NoForces> {
        let along = (self.at(at[1].0, at[1].1)? - self.at(at[0].0, at[0].1)?).normalize();
        let mut rule = Rule::default();
        for ((side, point), sign) in at.into_iter().zip([1.0, -1.0]) {
            let pushes = self.ball(side, point, [Part::Body, part])?;
            rule.times.extend(pushes.into_iter().map(|i| (i, sign * self.statics.pushes[i].force.dot(&along))));
        }
        self.statics.rules.push(rule);
        Ok(())
    }

    fn stiff(&mut self) -> Result<(), NoForces> {
        let described = &self.axle.described;
        let arms = described.arms;
        let link = |part, ends, tube| Link {
            part,
            kind: Kind::Rod,
            ends,
            between: [Part::Body, Part::Axle],
            tube: Some(tube),
        };
        let lower = link("lower link", [LowerLinkBody, LowerLinkAxle], arms.lower());
        let upper = link("upper link", [UpperLinkBody, UpperLinkAxle], arms.upper());
        let lateral = described.lateral();
        let lowers = [self.link(Side::Left, lower)?, self.link(Side::Right, lower)?];
        if described.single_upper_link() {
            self.link(Side::Left, upper)?;
        } else {
            let uppers = [self.link(Side::Left, upper)?, self.link(Side::Right, upper)?];
            if lateral != Lateral::Links {
                // What the core lets the four give, one pattern, does no work.
                let times = vec![(uppers[0], 1.0), (uppers[1], -1.0), (lowers[0], -1.0), (lowers[1], 1.0)];
                self.statics.rules.push(Rule { times, together: 0.0 });
            }
        }
        match lateral {
            Lateral::Links => {}
            Lateral::Rod => {
                self.link(Side::Left, link("lateral rod", [LateralRodBody, LateralRodAxle], arms.tie_rod()))?;
            }
            Lateral::CentrePivot => {
                let forward = self.wheels[0].turn * Vector3::x();
                self.bearing(Side::Left, CentrePivot, forward, [Part::Axle, Part::Crank])?;
                for (part, ends) in [
                    ("upper lateral rod", [UpperRodBody, CrankUpper]),
                    ("lower lateral rod", [LowerRodBody, CrankLower]),
                ] {
                    let between = [Part::Body, Part::Crank];
                    self.link(Side::Left, Link { between, ..link(part, ends, arms.tie_rod()) })?;
                }
            }
        }
        Ok(())
    }

    /// A side's spring and damper, and the rocker between.
    fn sprung(&mut self, side: Side) -> Result<(), NoForces> {
        let described = &self.axle.described;
        let rocker = described.rocker;
        let around = ("spring and damper", [DamperTop, DamperBottom]);
        let ((part, ends), on) = match (described.spring_apart(), described.damper, self.axle.linkage) {
            // At rest a damper beside its spring carries nothing.
            (Some(on), ..) => (("spring", [SpringTop, SpringBottom]), self.mounted(on, side)),
            // A strut stands on its spring, described or not.
            (_, _, Linkage::Strut) => (around, self.carrier(side)),
            (_, Some(damper), _) => (around, self.mounted(damper.on, side)),
            (_, None, _) => return Err(NoForces::NoSpring(self.axle.name)),
        };
        self.link(side, Link { part, kind: Kind::Spring, ends, between: [Part::Body, on], tube: None })?;
        let Some(rocker) = rocker else { return Ok(()) };
        let turns = Part::Rocker(side);
        let axis = self.at(side, RockerAxis)? - self.at(side, RockerPivot)?;
        self.bearing(side, RockerPivot, axis, [Part::Body, turns])?;
        let between = [turns, self.mounted(rocker.on, side)];
        let (ends, tube) = ([PushRodInner, PushRodOuter], Some(rocker.push_rod));
        self.link(side, Link { part: "push rod", kind: Kind::Rod, ends, between, tube }).map(|_| ())
    }

    fn bar(&mut self) -> Result<(), NoForces> {
        let Some(bar) = self.axle.described.bar else { return Ok(()) };
        let mut links = [0; 2];
        for side in Side::BOTH {
            let (ends, between) = ([BarLever, DropLinkOuter], [Part::Bar, self.mounted(bar.on, side)]);
            links[side as usize] =
                self.link(side, Link { part: "drop link", kind: Kind::Rod, ends, between, tube: bar.link })?;
        }
        self.halved([(Side::Right, BarPivot), (Side::Left, BarPivot)], Part::Bar)?;
        let [end, pivot, far] =
            [(Side::Left, BarLever), (Side::Left, BarPivot), (Side::Right, BarPivot)].map(|(s, n)| self.at(s, n));
        let (end, pivot, far) = (end?, pivot?, far?);
        let torque = bar::torque(self.axle, self.wheels).unwrap_or_default();
        // The link is pushed by the bar, so the bar is pushed the other way.
        let pushed = -self.statics.pushes[links[0]].force;
        let lever = (end - pivot).cross(&pushed).dot(&(pivot - far).normalize());
        // Per millimetre of the longest lever, so that the row weighs as the others.
        let long = (end - pivot).norm();
        self.statics.rules.push(Rule { times: vec![(links[0], lever / long)], together: torque / long });
        Ok(())
    }

    /// The forces, once everything is in.
    pub fn solve(mut self) -> Result<Forces, NoForces> {
        for arm in self.arms.iter().filter(|arm| arm.has_legs()) {
            self.statics.rules.push(arm.rule(&self.statics.pushes));
        }
        let found = self.statics.solve().ok_or(NoForces::Toggle(self.axle.name))?;
        let mut forces = Forces {
            loads: self.loads,
            members: Vec::new(),
            joints: Vec::new(),
            bending: Vec::new(),
            cuts: Vec::new(),
        };
        for (rod, push) in &self.rods {
            let (axial, [inner, outer]) = (found[*push], rod.at);
            let pull = (outer - inner).normalize() * axial;
            let Member { side, ends, between: [by, on], .. } = *rod;
            let end = |point, at, force, on, by| {
                let side = side.filter(|_| !self.axle.described.middle.0.contains_key(&point));
                JointForce { point, side, on, by, at, force, moment: Vector3::zeros(), rod: true }
            };
            forces.joints.push(end(ends[0], inner, pull, by, on));
            forces.joints.push(end(ends[1], outer, -pull, on, by));
            forces.members.push(Member { axial, ..*rod });
        }
        for joint in &self.joints {
            let Joint { point, side, at, on, by, .. } = *joint;
            let [force, moment] = together(&self.statics.pushes, &joint.pushes, &found);
            forces.joints.push(JointForce { point, side, on, by, at, force, moment, rod: false });
        }
        for arm in &self.arms {
            let loads = acting(&forces, arm.part);
            if !arm.has_legs() {
                forces.cuts.extend(cuts(arm.part, [(arm.at[0] + arm.at[1]) / 2.0, arm.at[2]], &loads));
            }
            let described = &self.axle.described.arms;
            forces.members.extend(arm.legs(&loads, described));
            forces.bending.extend(arm.bending(&loads));
        }
        if self.axle.linkage.is_stiff() {
            let ends = [Side::Right, Side::Left].map(|side| self.wheels[side as usize].wheel_centre);
            forces.cuts.extend(cuts(Part::Axle, ends, &acting(&forces, Part::Axle)));
        }
        if self.axle.linkage == Linkage::Strut {
            let lengths = Side::BOTH.map(|side| {
                let at = |name| self.axle.at(&self.wheels[side as usize], name);
                Some((at(DamperTop)? - at(DamperBottom)?).norm())
            });
            forces.bending.extend(bending::struts(&forces.joints, lengths));
        }
        Ok(forces)
    }
}

/// All that acts on a part, at its joints and from outside.
fn acting(forces: &Forces, part: Part) -> Vec<Mounted> {
    let mut loads: Vec<Mounted> = Vec::new();
    for joint in &forces.joints {
        let sign = match (joint.on == part, joint.by == part, joint.rod) {
            (true, ..) => 1.0,
            (_, true, false) => -1.0,
            _ => continue,
        };
        let (point, at) = (joint.point, joint.at);
        loads.push(Mounted { point, at, force: joint.force * sign, moment: joint.moment * sign });
    }
    let outside = forces.loads.iter().filter(|load| load.on == part);
    loads.extend(outside.map(|l| Mounted { point: WheelCentre, at: l.at, force: l.force, moment: l.moment }));
    loads
}

/// What some unknowns come to together.
fn together(pushes: &[Push], own: &[usize], found: &DVector<f64>) -> [Vector3<f64>; 2] {
    let sum = |pick: fn(&Push) -> Vector3<f64>| own.iter().map(|i| pick(&pushes[*i]) * found[*i]).sum();
    [sum(|p| p.force), sum(|p| p.moment)]
}

/// The frame's directions.
pub(super) fn axes() -> [Vector3<f64>; 3] {
    [Vector3::x(), Vector3::y(), Vector3::z()]
}

/// Two directions square to one and to each other.
pub(super) fn across(along: Vector3<f64>) -> [Vector3<f64>; 2] {
    let aside = if along.normalize().x.abs() < 0.6 { Vector3::x() } else { Vector3::y() };
    let first = along.cross(&aside).normalize();
    [first, along.cross(&first).normalize()]
}
