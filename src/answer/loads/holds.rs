//! Whether each part holds what the load cases ask of it.
//!
//! Arm legs, links and rods stand between free joints: K = 1. A leg is bent by what is mounted on its arm by its share of
//! the arm's moment, over the cosine of its slant, and carries its larger end's force all along. A trailing arm counts as
//! one straight tube from the middle of its pickups to the hub, a stiff axle as one from hub to hub; both are bent and
//! twisted. Uprights, rockers, struts, dampers, levers and brackets are not in the car file, and not judged.

use serde::Serialize;

use super::AxleForces;
use crate::answer::{Study, Verdict};
use crate::car::axle::{Axle, Tube};
use crate::car::{AxleName, PointName, Side};
use crate::strength::Material;
use crate::strength::bolt;
use crate::strength::forces::{Bending, Forces, Kind, Member, Part};
use crate::strength::holding::{Carried, Fails, Held, Round};

use PointName::{
    ArmInner, ArmOuter, BarLever, CrankLower, CrankUpper, DropLinkOuter, LateralRodAxle, LateralRodBody,
    LowerBallJoint, LowerFront, LowerFrontOuter, LowerLinkAxle, LowerLinkBody, LowerRear, LowerRearOuter, LowerRodBody,
    PushRodInner, PushRodOuter, TieRodInner, TieRodOuter, UpperBallJoint, UpperFront, UpperFrontOuter, UpperLinkAxle,
    UpperLinkBody, UpperRear, UpperRearOuter, UpperRodBody,
};

/// A member in the case that leaves it least in hand.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Holding {
    /// Its axle.
    pub axle: AxleName,
    /// Its side; none where the axle has one.
    pub side: Option<Side>,
    /// `lower arm, front leg`, `axle tube`.
    pub part: &'static str,
    /// The case's name.
    pub case: String,
    /// Joint to joint, as it buckles.
    pub length_mm: f64,
    /// Outside diameter.
    pub od_mm: f64,
    /// Wall; none of a solid bar.
    pub wall_mm: Option<f64>,
    /// Out of straight.
    pub bow_mm: f64,
    /// Along it, tension positive.
    pub axial_n: f64,
    /// Bending.
    pub moment_nm: f64,
    /// Torque.
    pub twist_nm: f64,
    /// Force over area.
    pub direct_mpa: f64,
    /// Of bending, what a push adds to it included; none from Euler's load on.
    pub bending_mpa: Option<f64>,
    /// All together, torsion included; none from Euler's load on.
    pub stress_mpa: Option<f64>,
    /// Yield strength.
    pub yield_mpa: f64,
    /// The grade, and where its numbers were read.
    pub grade: String,
    /// Where the grade's numbers were read.
    pub source: String,
    /// The push at which it buckles; none where it is not pushed.
    pub buckles_at_n: Option<f64>,
    /// How many times the load it holds.
    pub factor: f64,
    /// Which way it fails first.
    pub fails: Fails,
    /// Clear where it holds what is wanted, short where it holds the load but not that, and else it does not hold.
    pub verdict: Verdict,
}

/// A joint or its bolt in the case that leaves it least in hand.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct JointHolding {
    /// Its axle.
    pub axle: AxleName,
    /// Its side; none where the axle has one.
    pub side: Option<Side>,
    /// Where.
    pub joint: PointName,
    /// `rod end`, `ball joint`, `bolt, double shear`.
    pub what: &'static str,
    /// The case's name.
    pub case: String,
    /// All of the joint's force, counted as square to bolt or stud.
    pub force_n: f64,
    /// What it holds.
    pub holds_n: f64,
    /// Where that comes from.
    pub source: String,
    /// How many times the force it holds.
    pub factor: f64,
    /// As of members.
    pub verdict: Verdict,
}

/// What holds, and what cannot be told.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Holds {
    /// The factor that is wanted.
    pub wanted_factor: f64,
    /// Members, the least in hand first.
    pub members: Vec<Holding>,
    /// Rod ends, ball joints and bolts that are rated, the least in hand first.
    pub joints: Vec<JointHolding>,
    /// What has no factor, and which line to add.
    pub unjudged: Vec<String>,
}

impl Holds {
    /// Whether nothing can be judged.
    pub fn is_empty(&self) -> bool {
        self.members.is_empty() && self.joints.is_empty()
    }

    /// The worst of all.
    pub fn verdict(&self) -> Verdict {
        let all = self.members.iter().map(|m| m.verdict).chain(self.joints.iter().map(|j| j.verdict));
        all.max().unwrap_or(Verdict::Clear)
    }
}

/// As a gap of nothing is to one that is wanted, so is a factor of 1 to the wanted one.
fn verdict(factor: f64, wanted: f64) -> Verdict {
    Verdict::of(factor - 1.0, wanted - 1.0)
}

/// A piece with what it carries, to be judged.
struct Piece {
    side: Option<Side>,
    part: &'static str,
    length: f64,
    tube: Option<Tube>,
    carried: Carried,
}

impl Study {
    /// Whether the car's parts hold what these cases make them carry.
    pub(super) fn holds(&self, cases: &[(String, AxleForces)]) -> Holds {
        let mut told = Holds { wanted_factor: self.car.wanted_factor, ..Holds::default() };
        for (case, axles) in cases {
            for (name, forces) in axles {
                let Some(axle) = self.car.axle(*name) else { continue };
                let metal = axle.grade.as_ref().and_then(|grade| self.car.material(grade));
                if metal.is_none() {
                    let what =
                        "no `grade`, so its arms, links and rods have no factor: say what they are made of, such as";
                    told.lacks(format!("The {0} axle has {what} `grade: \"E355+N\"` in `{0}`.", name.word()));
                }
                for piece in pieces(axle, forces) {
                    told.piece(*name, case, &piece, metal.as_ref());
                }
                self.joints_hold(&mut told, (*name, axle), case, forces);
            }
        }
        told.members.sort_by(|a, b| a.factor.total_cmp(&b.factor));
        told.joints.sort_by(|a, b| a.factor.total_cmp(&b.factor));
        told
    }

    fn joints_hold(&self, told: &mut Holds, (name, axle): (AxleName, &Axle), case: &str, forces: &Forces) {
        let rated = |what, n: f64| (what, n, "its maker's static radial rating, from the car file".to_owned());
        let rod_end = axle.arms.rod_end.map(|r| rated("rod end", r.static_radial));
        let ball_joint = axle.arms.ball_joint.map(|r| rated("ball joint", r.static_radial));
        let bolt = axle.bolt.as_ref().and_then(|b| {
            let Some(metal) = b.grade.as_ref().and_then(|grade| self.car.bolt_material(grade)) else {
                let what = "has no `grade`, so no factor: add its class, such as `grade: \"8.8\"`";
                told.lacks(format!("The {} axle's `bolt` {what}.", name.word()));
                return None;
            };
            let what = if b.double_shear { "bolt, double shear" } else { "bolt, single shear" };
            let source = format!(
                "area times yield over root 3 (Shigley, eq. 5-21, from memory); yield {:.0} MPa: {}",
                metal.yield_strength, metal.source
            );
            Some((what, bolt::shear(b.diameter, metal.yield_strength, b.double_shear), source))
        });
        for joint in &forces.joints {
            let ratings = match joint.point {
                LowerBallJoint | UpperBallJoint => [&ball_joint, &None],
                point if rod_ended(point) => [&rod_end, &bolt],
                _ => continue,
            };
            let force_n = joint.force.norm();
            for (what, holds_n, source) in ratings.into_iter().flatten() {
                let factor = holds_n / force_n;
                if force_n < super::NOTHING {
                    continue;
                }
                let new = JointHolding {
                    axle: name,
                    side: joint.side,
                    joint: joint.point,
                    what,
                    case: case.to_owned(),
                    force_n,
                    holds_n: *holds_n,
                    source: source.clone(),
                    factor,
                    verdict: verdict(factor, told.wanted_factor),
                };
                let same = |j: &&mut JointHolding| {
                    (j.axle, j.side, j.joint, j.what) == (new.axle, new.side, new.joint, new.what)
                };
                match told.joints.iter_mut().find(same) {
                    Some(there) if there.factor <= factor => {}
                    Some(there) => *there = new,
                    None => told.joints.push(new),
                }
            }
        }
    }
}

impl Holds {
    fn lacks(&mut self, what: String) {
        if !self.unjudged.contains(&what) {
            self.unjudged.push(what);
        }
    }

    fn piece(&mut self, axle: AxleName, case: &str, piece: &Piece, metal: Option<&Material>) {
        let Piece { side, part, length, carried, .. } = *piece;
        let Some(tube) = piece.tube else {
            let line = "add `link: (od: ..., wall: ...)` to its `bar`";
            self.lacks(format!("The {} {part}s have no tube, so no factor: {line}.", axle.word()));
            return;
        };
        if tube.wall.is_none() {
            let what = "no `wall`: it counts as a solid bar. If it is a tube, add `wall: ...` beside its `od`";
            self.lacks(format!("The {} {part} has {what}.", axle.word()));
        }
        let Some(metal) = metal else { return };
        let round = Round {
            diameter: tube.od,
            wall: tube.wall.unwrap_or(tube.od / 2.0),
            length,
            bow: tube.bow.unwrap_or(0.0),
            modulus: metal.modulus,
            yield_strength: metal.yield_strength,
        };
        // The car file's checks let no section pass that cannot be.
        let Ok(Held { direct, bending, stress, buckles_at, factor, fails, .. }) = round.holds(carried) else { return };
        if !factor.is_finite() {
            return;
        }
        let new = Holding {
            axle,
            side,
            part,
            case: case.to_owned(),
            length_mm: length,
            od_mm: tube.od,
            wall_mm: tube.wall,
            bow_mm: round.bow,
            axial_n: carried.axial,
            moment_nm: carried.moment / 1000.0,
            twist_nm: carried.twist / 1000.0,
            direct_mpa: direct,
            bending_mpa: Some(bending).filter(|v| v.is_finite()),
            stress_mpa: Some(stress).filter(|v| v.is_finite()),
            yield_mpa: metal.yield_strength,
            grade: metal.name.to_string(),
            source: metal.source.to_string(),
            buckles_at_n: buckles_at,
            factor,
            fails,
            verdict: verdict(factor, self.wanted_factor),
        };
        let same = |m: &&mut Holding| (m.axle, m.side, m.part) == (axle, side, part);
        match self.members.iter_mut().find(same) {
            Some(there) if there.factor <= factor => {}
            Some(there) => *there = new,
            None => self.members.push(new),
        }
    }
}

/// Everything of an axle that is a tube or a bar, with what it carries.
fn pieces(axle: &Axle, forces: &Forces) -> Vec<Piece> {
    let links = forces.members.iter().filter(|m| m.kind != Kind::Spring).map(|m| Piece {
        side: m.side,
        part: m.part,
        length: (m.at[1] - m.at[0]).norm(),
        tube: m.tube,
        carried: Carried { axial: m.axial, moment: leg_moment(m, forces), twist: 0.0 },
    });
    let cuts = forces.cuts.iter().map(|c| {
        let (side, part, tube) = match c.part {
            Part::Upright(side) => (Some(side), "trailing arm", axle.arms.lower()),
            _ => (None, "axle tube", axle.arms.axle),
        };
        let carried = Carried { axial: c.axial, moment: c.moment, twist: c.twist };
        Piece { side, part, length: c.length, tube: Some(tube), carried }
    });
    links.chain(cuts).collect()
}

/// How far what is mounted on its arm bends a leg, N mm.
fn leg_moment(leg: &Member, forces: &Forces) -> f64 {
    if leg.kind != Kind::Leg {
        return 0.0;
    }
    let same = |m: &&Member| m.kind == Kind::Leg && m.side == leg.side && m.ends[1] == leg.ends[1];
    let Some(other) = forces.members.iter().filter(same).find(|m| m.ends[0] != leg.ends[0]) else { return 0.0 };
    let arm = leg.part.split(',').next().unwrap_or_default();
    let on = |b: &&Bending| b.part == arm && Some(b.side) == leg.side;
    let front = matches!(leg.ends[0], LowerFront | UpperFront);
    // The innermost mount says how the legs share; where neither has any of it, they halve it.
    let shares = forces.bending.iter().filter(on).find_map(|b| b.legs).unwrap_or([0.0; 2]);
    let (own, both) = (shares[usize::from(!front)], shares[0] + shares[1]);
    let share = if both > 1.0 { own / both } else { 0.5 };
    let most = forces.bending.iter().filter(on).map(|b| b.moment.max(b.legs.map_or(0.0, |l| l[0] + l[1])));
    let along = (other.at[0] - leg.at[0]).normalize();
    let slant = (leg.at[1] - leg.at[0]).normalize().dot(&along);
    most.fold(0.0, f64::max) * share / (1.0 - slant * slant).sqrt()
}

/// Whether a rod end sits at a point, where rod ends are used.
fn rod_ended(point: PointName) -> bool {
    matches!(
        point,
        LowerFront
            | LowerRear
            | UpperFront
            | UpperRear
            | LowerFrontOuter
            | LowerRearOuter
            | UpperFrontOuter
            | UpperRearOuter
            | TieRodInner
            | TieRodOuter
            | LowerLinkBody
            | LowerLinkAxle
            | UpperLinkBody
            | UpperLinkAxle
            | LateralRodBody
            | LateralRodAxle
            | UpperRodBody
            | LowerRodBody
            | CrankUpper
            | CrankLower
            | PushRodInner
            | PushRodOuter
            | BarLever
            | DropLinkOuter
            | ArmInner
            | ArmOuter
    )
}
