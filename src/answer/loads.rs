//! What suspension parts carry in the car's load cases.

pub mod holds;
pub mod told;

use serde::Serialize;

use super::Verdict;
use super::study::{NoAnswer, Study};
use crate::car::axle::Tube;
use crate::car::load_case::{CasePose, LoadCase};
use crate::car::{AxleName, Hub, PointName, Side};
use crate::motion::{Pose, Posed};
use crate::strength::forces::case::{WheelLoads, wheel_loads};
use crate::strength::forces::{self, Forces, JointForce, Kind, Member};

pub use holds::{Holding, Holds, JointHolding};

/// Loads are not strength.
pub const CAUTION: &str = "A force is not a strength. Steering and suspension parts carry lives: have tubes, welds, joints, \
                           bolts and what they are mounted on designed and judged by somebody licensed to, for impact and \
                           fatigue too, and follow the rule book of your class.";

/// What suspension parts carry.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Loads {
    /// Whether the cases are the usual ones, for the car file names none.
    pub usual_cases: bool,
    /// The cases, in order.
    pub cases: Vec<CaseLoads>,
    /// Every member over all cases, the one that carries most first; links before springs.
    pub members: Vec<MemberMost>,
    /// Where arms and struts are bent, each in the case that bends it most, the hardest first.
    pub bending: Vec<BentMost>,
    /// Whether all that can be judged holds as many times its load as is wanted; touches where it does not hold once.
    pub verdict: Verdict,
    /// Whether each part holds.
    pub holds: Holds,
    /// What else is to be known.
    pub notes: Vec<String>,
}

/// What one case asks of the car.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CaseLoads {
    /// What the shop calls it.
    pub name: String,
    /// What it asks: `1.4 g braking`.
    pub asks: String,
    /// Whether a wheel's force is given, rather than come from accelerations.
    pub given: bool,
    /// How the car stands, from ride height: mm and degrees.
    pub pose: StandsIn,
    /// Whether nothing holds the car down any more, so that its wheels' loads are only the last that they could be.
    pub tips: bool,
    /// The ground's force on each wheel.
    pub wheels: Vec<AtContact>,
    /// Along links, legs and springs.
    pub members: Vec<MemberForce>,
    /// At every joint and mount.
    pub joints: Vec<AtJoint>,
    /// In arms between their ends, and in struts.
    pub bending: Vec<Bent>,
}

/// How the car stands in a case, from ride height.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct StandsIn {
    /// Positive when the body rises.
    pub heave_mm: f64,
    /// Positive when the left side rises.
    pub roll_deg: f64,
    /// Positive nose-down.
    pub pitch_deg: f64,
    /// Positive to the car's left.
    pub rack_mm: f64,
}

/// The ground's force on a wheel.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct AtContact {
    /// Its axle.
    pub axle: AxleName,
    /// Its side.
    pub side: Side,
    /// Forward, to the car's left, up; along and square to the ground.
    pub force_n: [f64; 3],
}

/// Which way a member is loaded.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Sense {
    /// It is pulled.
    Tension,
    /// It is pushed.
    Compression,
}

impl Sense {
    /// As it is printed.
    pub fn word(self) -> &'static str {
        match self {
            Self::Tension => "tension",
            Self::Compression => "compression",
        }
    }
}

/// Which member.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Which {
    /// Its axle.
    pub axle: AxleName,
    /// Its side; none where the axle has one.
    pub side: Option<Side>,
    /// `tie rod`, `lower arm, front leg`.
    pub part: &'static str,
    /// Its inner and its outer point.
    pub between: [PointName; 2],
}

impl Which {
    /// Whether it is a spring, by itself or with its damper, as forces call them.
    fn is_spring(&self) -> bool {
        matches!(self.part, "spring" | "spring and damper")
    }
}

/// The force along a member.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct MemberForce {
    /// The member.
    #[serde(flatten)]
    pub which: Which,
    /// Along it, never negative; in the leg of an arm that carries something, at the end that has more.
    pub force_n: f64,
    /// Pulled or pushed.
    pub sense: Sense,
}

/// What one part does to another at a joint.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AtJoint {
    /// Its axle.
    pub axle: AxleName,
    /// Its side; none where the axle has one.
    pub side: Option<Side>,
    /// The joint. A rack's force on the body, told at the middle between its ends, is at the inner tie rod joint of no
    /// side.
    pub joint: PointName,
    /// The part that is pushed.
    pub on: String,
    /// The part that pushes.
    pub by: String,
    /// In the car's axes: forward, left, up.
    pub force_n: [f64; 3],
    /// About the car's axes; nothing but at bearings, a rack's housing and a steering box.
    pub moment_nm: [f64; 3],
}

/// How an arm or a strut is bent.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Bent {
    /// Its axle.
    pub axle: AxleName,
    /// Its side.
    pub side: Side,
    /// `lower arm`, `trailing arm`, `strut`.
    pub part: &'static str,
    /// Where.
    pub at: PointName,
    /// Of the whole arm, about a line along its pickups; of a strut about any line across it.
    pub moment_nm: f64,
    /// What of it the front and the rear leg have just inside the mount that lies innermost.
    pub legs_nm: Option<[f64; 2]>,
}

/// How hard an arm or a strut is bent at one place over all cases.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BentMost {
    /// Where and how hard.
    #[serde(flatten)]
    pub bent: Bent,
    /// The case's name.
    pub case: String,
}

/// The most that a member carries, and in which case.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Most {
    /// Along it.
    pub force_n: f64,
    /// The case's name.
    pub case: String,
}

/// A member over all cases.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MemberMost {
    /// The member.
    #[serde(flatten)]
    pub which: Which,
    /// Joint to joint; of a spring, as it stands in the first case.
    pub length_mm: f64,
    /// Its hardest pull; none where it is never pulled.
    pub tension: Option<Most>,
    /// Its hardest push; none where it is never pushed.
    pub compression: Option<Most>,
    /// Its tube, where the car file gives it.
    pub od_mm: Option<f64>,
    /// The tube's wall; none of a solid bar.
    pub wall_mm: Option<f64>,
    /// The grade of its metal, where the car file names it.
    pub grade: Option<String>,
    /// The larger force over the tube's section. Bending, buckling, threads and welds are not in it.
    pub direct_stress_n_per_mm2: Option<f64>,
    /// Whether it is a spring and damper.
    pub spring: bool,
}

impl MemberMost {
    /// The larger of pull and push.
    pub fn worst(&self) -> Option<(&Most, Sense)> {
        let pull = self.tension.as_ref().map(|m| (m, Sense::Tension));
        let push = self.compression.as_ref().map(|m| (m, Sense::Compression));
        pull.into_iter().chain(push).max_by(|a, b| a.0.force_n.total_cmp(&b.0.force_n))
    }
}

/// The forces through each axle.
type AxleForces = Vec<(AxleName, Forces)>;

/// What racing tyres hold at most, without wings, over the load on them (common practice, no source).
const GRIP: f64 = 2.0;
/// Less than this is the rounding of a pose, N or Nm.
const NOTHING: f64 = 0.1;

/// Section of a tube or bar, mm².
fn area(tube: Tube) -> f64 {
    let inside = tube.wall.map_or(0.0, |wall| tube.od - 2.0 * wall);
    std::f64::consts::PI / 4.0 * (tube.od * tube.od - inside * inside)
}

impl Study {
    /// What suspension parts carry in the car's load cases, or in the one of this name.
    ///
    /// # Errors
    /// [`NoAnswer`] where there is no such case, the car file does not say enough, or a case's pose is out of reach.
    pub fn loads(&self, only: Option<&str>) -> Result<Loads, NoAnswer> {
        let usual_cases = self.car.load_cases.is_empty();
        let mut cases =
            if usual_cases { LoadCase::usual(self.car.rear.is_some()) } else { self.car.load_cases.clone() };
        if let Some(name) = only {
            let all: Vec<String> = cases.iter().map(|c| format!("\"{}\"", c.name)).collect();
            cases.retain(|case| case.name == name);
            if cases.is_empty() {
                return Err(NoAnswer::NoCase { name: name.to_owned(), all: all.join(", ") });
            }
        }
        let (mut told, mut members, mut through) = (Vec::new(), Vec::new(), Vec::new());
        for case in &cases {
            let (posed, loads, axles) = self.case_forces(case)?;
            for (axle, forces) in &axles {
                let grade = self.car.axle(*axle).and_then(|a| a.grade.as_deref());
                forces.members.iter().for_each(|member| enter(&mut members, (*axle, grade), member, &case.name));
            }
            told.push(self.case_told(case, &posed, &loads, &axles));
            through.push((case.name.clone(), axles));
        }
        let worst = |m: &MemberMost| m.worst().map_or(0.0, |w| w.0.force_n);
        // A millinewton is rounding: left before right, front before rear where they carry alike.
        let round = |m: &MemberMost| (worst(m) * 1e3).round();
        members.sort_by(|a, b| a.spring.cmp(&b.spring).then(round(b).total_cmp(&round(a))));
        let (notes, holds) = (self.load_notes(usual_cases, &told), self.holds(&through));
        let verdict = holds.verdict();
        Ok(Loads { usual_cases, bending: bent_most(&told), cases: told, members, verdict, holds, notes })
    }

    /// A case as the car stands in it: its wheels' loads, and the forces through its axles.
    pub(super) fn case_forces(&self, case: &LoadCase) -> Result<(Posed, WheelLoads, AxleForces), NoAnswer> {
        let CasePose { heave, roll, pitch, rack } = case.pose;
        let posed = self.gear.stand(&Pose { heave, roll, pitch, rack }).map_err(NoAnswer::Pose)?;
        let loads = wheel_loads(&self.car, &self.gear, &posed, case, self.roll_front())?;
        let mut axles = Vec::new();
        for axle in self.gear.axles() {
            let first = 2 * axle.name as usize;
            let Some(wheels) = posed.axle(axle.name) else { continue };
            let both = [loads.loads[first], loads.loads[first + 1]];
            axles.push((axle.name, forces::forces(axle, wheels, &posed.ground, &both)?));
        }
        Ok((posed, loads, axles))
    }

    fn case_told(&self, case: &LoadCase, posed: &Posed, loads: &WheelLoads, axles: &[(AxleName, Forces)]) -> CaseLoads {
        let contact =
            |(i, hub): (usize, Hub)| AtContact { axle: hub.axle, side: hub.side, force_n: loads.ground[i].into() };
        let wheels = Hub::ALL.into_iter().enumerate().filter(|(_, hub)| posed.wheel(*hub).is_some());
        let Pose { heave, roll, pitch, rack } = posed.pose;
        let each = || axles.iter().map(|(name, forces)| (*name, forces));
        CaseLoads {
            name: case.name.clone(),
            asks: case.says(),
            given: !case.wheels.is_empty(),
            pose: StandsIn {
                heave_mm: heave,
                roll_deg: roll.to_degrees(),
                pitch_deg: pitch.to_degrees(),
                rack_mm: rack,
            },
            tips: loads.tips,
            wheels: wheels.map(contact).collect(),
            members: each().flat_map(|(name, f)| f.members.iter().map(move |m| force(name, m))).collect(),
            joints: each().flat_map(|(name, f)| joints(name, f)).collect(),
            bending: each().flat_map(|(name, f)| f.bending.iter().map(move |b| bent(name, b))).collect(),
        }
    }

    /// The wheel that is asked for most grip, where accelerations ask for more than tyres have: the case, the wheel, and how
    /// many times the load on it.
    fn most_grip<'a>(&self, cases: &'a [CaseLoads]) -> Option<(&'a str, String, f64, &'static str)> {
        let each = cases.iter().filter(|c| !c.given).flat_map(|case| {
            case.wheels.iter().map(move |w| {
                let [x, y, z] = w.force_n;
                let less = match (y.abs() > x.abs(), x < 0.0) {
                    (true, _) => "with less `left` there",
                    (_, true) => "with less braking there, or `brakes_front` as it is",
                    _ => "with less driving there",
                };
                (case.name.as_str(), Hub { axle: w.axle, side: w.side }.words(), x.hypot(y) / z, less)
            })
        });
        let asked = each.filter(|(_, _, grip, _)| grip.is_finite() && *grip > GRIP);
        asked.max_by(|a, b| a.2.total_cmp(&b.2))
    }

    fn load_notes(&self, usual: bool, cases: &[CaseLoads]) -> Vec<String> {
        let mut notes = Vec::new();
        if usual {
            notes.push(
                "The car file names no `load_cases`: these are the usual ones, common practice and no rule book's."
                    .to_owned(),
            );
        }
        let tips: Vec<String> = cases.iter().filter(|c| c.tips).map(|c| format!("\"{}\"", c.name)).collect();
        if !tips.is_empty() {
            notes.push(format!(
                "In {} the car would tip over: its wheels' loads are the last that still hold it. At 2.5 g in corners that is so for \
                 most cars without wings; at less, check `cg_height`.",
                tips.join(" and ")
            ));
        }
        if let Some((case, wheel, grip, less)) = self.most_grip(cases) {
            notes.push(format!(
                "In \"{case}\" the {wheel} tyre would have to hold {grip:.1} times the load on it, more than racing tyres do without wings \
                 ({GRIP}: common practice, no source): it slides first. Ask again {less}, or take these numbers for a car with wings."
            ));
        }
        for case in cases {
            let pulled = |m: &&MemberForce| m.which.is_spring() && m.sense == Sense::Tension && m.force_n > 10.0;
            for spring in case.members.iter().filter(pulled) {
                let (name, which) = (&case.name, spring.which.words());
                notes.push(format!(
                    "In \"{name}\" the {which} is pulled by {:.0} N: only a damper at its end can do that, so there the car \
                     would stand otherwise.",
                    spring.force_n
                ));
            }
        }
        if let Some(weight) = self.car.weight.filter(|w| w.roll_front.is_none() && cases.iter().any(|c| !c.given)) {
            notes.push(match self.roll_front() {
                Some(share) => format!(
                    "The roll moment of cornering is shared as springs, bars and roll centres have it at ride height, \
                     {:.0} % in front (ask `ride`): `roll_front` in `weight` says otherwise.",
                    share * 100.0
                ),
                None => format!(
                    "The roll moment of cornering is shared by the weight, {:.0} % in front: `roll_front` in `weight` \
                     says otherwise, and so does a `spring` on each axle.",
                    weight.front * 100.0
                ),
            });
        }
        if self.gear.axles().any(|a| a.described.spring.is_some()) {
            notes.push(super::ride::CARRIES.to_owned());
        }
        if self.gear.axles().any(|a| a.described.bar.is_some()) && cases.iter().all(|c| c.pose.roll_deg == 0.0) {
            notes.push(
                "Anti-roll bars carry what the pose twists them by, so next to nothing here: give a load case a roll, \
                 `pose: (roll: 2)`, to load their links."
                    .to_owned(),
            );
        }
        if self.gear.ride.wheels().any(|w| self.gear.of(w).give(w).is_some()) {
            notes.push(
                "An axle with one link too many: what roll wedges into its links besides is not in these numbers, for it \
                 rests on their bushes."
                    .to_owned(),
            );
        }
        notes
    }
}

fn which(axle: AxleName, m: &Member) -> Which {
    Which { axle, side: m.side, part: m.part, between: m.ends }
}

fn force(axle: AxleName, m: &Member) -> MemberForce {
    let sense = if m.axial < 0.0 { Sense::Compression } else { Sense::Tension };
    MemberForce { which: which(axle, m), force_n: m.axial.abs(), sense }
}

/// Joints as they are told: what meets at one point on one part as one force.
fn joints(axle: AxleName, forces: &Forces) -> Vec<AtJoint> {
    let mut all: Vec<JointForce> = Vec::new();
    for joint in &forces.joints {
        let same = |j: &&mut JointForce| (j.point, j.side, j.on, j.by) == (joint.point, joint.side, joint.on, joint.by);
        match all.iter_mut().find(same) {
            Some(there) => {
                there.force += joint.force;
                there.moment += joint.moment;
            }
            None => all.push(*joint),
        }
    }
    let told = |j: JointForce| AtJoint {
        axle,
        side: j.side,
        joint: j.point,
        on: j.on.words(),
        by: j.by.words(),
        force_n: j.force.into(),
        moment_nm: (j.moment / 1000.0).into(),
    };
    all.into_iter().map(told).collect()
}

fn bent(axle: AxleName, b: &forces::Bending) -> Bent {
    let legs_nm = b.legs.map(|legs| legs.map(|m| m / 1000.0));
    Bent { axle, side: b.side, part: b.part, at: b.at, moment_nm: b.moment / 1000.0, legs_nm }
}

/// Each place that is bent, in the case that bends it most.
fn bent_most(cases: &[CaseLoads]) -> Vec<BentMost> {
    let mut most: Vec<BentMost> = Vec::new();
    for (case, bent) in cases.iter().flat_map(|case| case.bending.iter().map(move |bent| (case, bent))) {
        let new = BentMost { bent: *bent, case: case.name.clone() };
        // A trailing arm is told at its worst place alone, which need not be the same in every case.
        let same = |m: &&mut BentMost| {
            let b = &m.bent;
            (b.axle, b.side, b.part) == (bent.axle, bent.side, bent.part)
                && (b.at == bent.at || b.part == "trailing arm")
        };
        match most.iter_mut().find(same) {
            _ if bent.moment_nm < NOTHING => {}
            Some(there) if there.bent.moment_nm < bent.moment_nm => *there = new,
            Some(_) => {}
            None => most.push(new),
        }
    }
    let round = |m: &BentMost| (m.bent.moment_nm * 1e3).round();
    most.sort_by(|a, b| round(b).total_cmp(&round(a)));
    most
}

/// Puts a member's force in one case among the most of all cases.
fn enter(members: &mut Vec<MemberMost>, (axle, grade): (AxleName, Option<&str>), m: &Member, case: &str) {
    let which = which(axle, m);
    let index = members.iter().position(|other| other.which == which).unwrap_or_else(|| {
        members.push(MemberMost {
            which,
            length_mm: (m.at[1] - m.at[0]).norm(),
            tension: None,
            compression: None,
            od_mm: m.tube.map(|t| t.od),
            wall_mm: m.tube.and_then(|t| t.wall),
            grade: grade.filter(|_| m.tube.is_some()).map(str::to_owned),
            direct_stress_n_per_mm2: None,
            spring: m.kind == Kind::Spring,
        });
        members.len() - 1
    });
    let entry = &mut members[index];
    let most = if m.axial < 0.0 { &mut entry.compression } else { &mut entry.tension };
    let force_n = m.axial.abs();
    if force_n > NOTHING && most.as_ref().is_none_or(|there| force_n > there.force_n) {
        *most = Some(Most { force_n, case: case.to_owned() });
    }
    let worst = entry.worst().map(|w| w.0.force_n);
    entry.direct_stress_n_per_mm2 = worst.zip(m.tube).map(|(n, tube)| n / area(tube));
}
