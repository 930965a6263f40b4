//! What to build an arm's fixture by: each arm in a frame of its own, with every distance from hole to hole.

use nalgebra::{Matrix3, Vector3};
use serde::Serialize;

use crate::answer::words;
use crate::car::arm::{ArmShape, Bend};
use crate::car::axle::{Axle, Linkage, MountedOn, Tube};
use crate::car::{AxleName, Car, PointName, Shown, Side};

/// Coordinates that differ by no more than this are the same on a bench, mm.
const SAME: f64 = 0.05;

/// An arm's fixture.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Jig {
    /// The arm, as it is spoken: `front lower arm`, or with its side where the two differ.
    pub arm: String,
    /// Its axle.
    pub axle: AxleName,
    /// Its side; none where the right one is the left one's mirror image, and one set of numbers serves both.
    pub side: Option<Side>,
    /// The numbers' frame: on which side of the car it is right-handed.
    pub frame: String,
    /// Its holes in the arm's own frame, the two pickups first.
    pub holes: Vec<Hole>,
    /// Every distance between two holes.
    pub checks: Vec<Check>,
    /// The angles of the triangle of its first three holes.
    pub angles: Vec<Corner>,
    /// What it is made of.
    pub tube: String,
    /// What else is to be known of its shape.
    pub notes: Vec<String>,
}

/// A hole's, joint's or mount's centre in an arm's own frame.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Hole {
    /// What it is.
    pub name: &'static str,
    /// Where it is: along the line through the two pickups, square to it in the arm's plane, and upwards off that plane.
    pub at_mm: [f64; 3],
    /// Where it was on the car as found; none without a proposal.
    pub was_mm: Option<[f64; 3]>,
}

/// A distance to hold a tape to.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Check {
    /// From this hole.
    pub from: &'static str,
    /// To this one.
    pub to: &'static str,
    /// Centre to centre.
    pub mm: f64,
    /// As found.
    pub was_mm: Option<f64>,
}

/// An angle of an arm.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Corner {
    /// At this hole, between the lines to the two others.
    pub at: &'static str,
    /// The angle.
    pub deg: f64,
    /// As found.
    pub was_deg: Option<f64>,
}

/// A rod or link, from joint to joint.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Rod {
    /// As it is spoken.
    pub part: String,
    /// From this joint.
    pub from: &'static str,
    /// To this one.
    pub to: &'static str,
    /// Centre to centre.
    pub mm: f64,
    /// As found.
    pub was_mm: Option<f64>,
    /// Outside diameter of its tube or bar.
    pub od_mm: f64,
}

/// An arm by its points: the front pickup, the rear one, the joint or wheel that it carries, and whatever is mounted on it.
struct Arm {
    name: &'static str,
    points: Vec<PointName>,
    tube: Tube,
    shape: ArmShape,
}

fn arms(axle: &Axle) -> Vec<Arm> {
    use PointName::{
        ArmInner, ArmOuter, DamperBottom, DropLinkOuter, LowerBallJoint, LowerFront, LowerRear, PushRodOuter,
        SpringBottom, UpperBallJoint, UpperFront, UpperRear, WheelCentre,
    };
    let on = |part: MountedOn| {
        let damper = axle.damper.filter(|d| d.on == part && axle.linkage != Linkage::Strut).map(|_| DamperBottom);
        let rod = axle.rocker.filter(|r| r.on == part).map(|_| PushRodOuter);
        let link = axle.bar.filter(|b| b.on == part).map(|_| DropLinkOuter);
        let spring = axle.spring_apart().filter(|on| *on == part).map(|_| SpringBottom);
        damper.into_iter().chain(spring).chain(rod).chain(link)
    };
    let arms = &axle.arms;
    let lower = || Arm {
        name: "lower arm",
        points: [LowerFront, LowerRear, LowerBallJoint].into_iter().chain(on(MountedOn::LowerArm)).collect(),
        tube: arms.lower(),
        shape: arms.lower_arm,
    };
    match axle.linkage {
        Linkage::Wishbone => {
            let points = [UpperFront, UpperRear, UpperBallJoint].into_iter().chain(on(MountedOn::UpperArm)).collect();
            vec![lower(), Arm { name: "upper arm", points, tube: arms.upper(), shape: arms.upper_arm }]
        }
        Linkage::Strut => vec![lower()],
        Linkage::TrailingArm => {
            let points = [ArmInner, ArmOuter, WheelCentre].into_iter().chain(on(MountedOn::Upright)).collect();
            vec![Arm { name: "trailing arm", points, tube: arms.lower(), shape: ArmShape::default() }]
        }
        Linkage::FiveLink | Linkage::LiveAxle | Linkage::DeDion => Vec::new(),
    }
}

/// Jigs of all arms of a car.
pub(super) fn jigs(car: &Car, found: Option<&Car>, shown: Shown) -> Vec<Jig> {
    car.axles()
        .flat_map(|(name, axle)| arms(axle).into_iter().flat_map(move |arm| both(name, axle, &arm, found, shown)))
        .collect()
}

/// One jig where the right arm is the left one's mirror image, else one a side.
fn both(name: AxleName, axle: &Axle, arm: &Arm, found: Option<&Car>, shown: Shown) -> Vec<Jig> {
    let was = found.and_then(|car| car.axle(name)).filter(|was| was.linkage == axle.linkage);
    let of = |side: Side| jig(name, axle, was, arm, side, shown);
    let [Some((left, _)), Some((right, hand))] = Side::BOTH.map(of) else { return Vec::new() };
    let near = |a: &[f64; 3], b: &[f64; 3]| a.iter().zip(b).all(|(a, b)| (a - b).abs() < SAME);
    let alike =
        |a: &Hole, b: &Hole| near(&a.at_mm, &b.at_mm) && a.was_mm.zip(b.was_mm).is_none_or(|(a, b)| near(&a, &b));
    if left.holes.iter().zip(&right.holes).all(|(a, b)| alike(a, b)) {
        let frame =
            format!("{} On the right the arm is the mirror image: the same numbers, in a {} frame.", left.frame, hand);
        return vec![Jig { side: None, arm: format!("{} {}", name.word(), arm.name), frame, ..left }];
    }
    [left, right]
        .into_iter()
        .map(|mut jig| {
            jig.notes.push("Left and right differ: this is no mirror image of the other side's arm.".to_owned());
            jig
        })
        .collect()
}

/// Places in the arm's own frame: origin at the first, x through the second, y towards the third, z up on the car.
///
/// None where they do not span a plane.
pub fn own_frame(points: &[Vector3<f64>]) -> Option<(Vec<Vector3<f64>>, f64)> {
    let (first, second, third) = (points.first()?, points.get(1)?, points.get(2)?);
    let x = (second - first).try_normalize(1e-6)?;
    let off = third - first;
    let y = (off - x * off.dot(&x)).try_normalize(1e-6)?;
    let z = x.cross(&y);
    // Of a plane that stands upright, z is outboard.
    let up = if z.z.abs() > 0.05 { z.z } else { z.y * third.y.signum() };
    let z = if up < 0.0 { -z } else { z };
    let turn = Matrix3::from_columns(&[x, y, z]);
    Some((points.iter().map(|p| turn.transpose() * (p - first)).collect(), turn.determinant()))
}

/// A jig, and the hand of its frame.
fn jig(
    name: AxleName,
    axle: &Axle,
    was: Option<&Axle>,
    arm: &Arm,
    side: Side,
    shown: Shown,
) -> Option<(Jig, &'static str)> {
    let at = |axle: &Axle| -> Option<Vec<Vector3<f64>>> { arm.points.iter().map(|p| axle.point(side, *p)).collect() };
    let here = at(axle)?;
    let (own, hand) = own_frame(&here)?;
    let before = was.and_then(at);
    let own_before = before.as_ref().and_then(|points| Some(own_frame(points)?.0));
    let words: Vec<&'static str> = arm.points.iter().map(|p| p.words()).collect();
    let holes = (0..own.len()).map(|i| Hole {
        name: words[i],
        at_mm: words::point(own[i]),
        was_mm: own_before.as_ref().map(|o| words::point(o[i])),
    });
    let pairs = (0..here.len()).flat_map(|i| (i + 1..here.len()).map(move |j| (i, j)));
    let checks = pairs.map(|(i, j)| {
        let apart = |p: &Vec<Vector3<f64>>| (p[i] - p[j]).norm();
        Check { from: words[i], to: words[j], mm: apart(&here), was_mm: before.as_ref().map(apart) }
    });
    let angle = |p: &Vec<Vector3<f64>>, k: usize| {
        let [a, b] = [p[(k + 1) % 3] - p[k], p[(k + 2) % 3] - p[k]];
        a.angle(&b).to_degrees()
    };
    let corner = |k| Corner { at: words[k], deg: angle(&here, k), was_deg: before.as_ref().map(|p| angle(p, k)) };
    let handed = if hand > 0.0 { "right-handed" } else { "left-handed" };
    let jig = Jig {
        arm: format!("{} {} {}", side.word(), name.word(), arm.name),
        axle: name,
        side: Some(side),
        frame: format!(
            "Origin at the {}; x through the {}; y square to it towards the {}; z up on the car. On the {} arm this frame is {handed}.",
            words[0],
            words[1],
            words[2],
            side.word()
        ),
        holes: holes.collect(),
        checks: checks.collect(),
        angles: (0..3).map(corner).collect(),
        tube: told_tube(arm.tube, axle.grade.as_deref(), shown),
        notes: built(&arm.shape, shown),
    };
    Some((jig, handed))
}

/// What an arm has beside two straight legs, in words.
fn built(shape: &ArmShape, shown: Shown) -> Vec<String> {
    let told = |mm: f64| shown.length(mm);
    let bend = |leg: &str, bend: Bend| {
        format!(
            "The {leg} leg is bent {} from the ball joint, measured along the straight line to its pickup: {} towards the \
             other leg and {} up, square to the arm's plane.",
            told(bend.at),
            told(bend.inward),
            told(bend.up)
        )
    };
    let front = shape.front_bend.map(|b| bend("front", b));
    let rear = shape.rear_bend.map(|b| bend("rear", b));
    let cross = shape.cross.map(|mm| format!("A tube like the legs ties them {} from the ball joint.", told(mm)));
    let gusset = shape.gusset.map(|g| {
        let (thick, reach) = (told(g.thickness), told(g.reach));
        format!("A gusset of {thick} plate fills the corner to {reach} from the ball joint.")
    });
    [front, rear, cross, gusset].into_iter().flatten().collect()
}

fn told_tube(tube: Tube, grade: Option<&str>, shown: Shown) -> String {
    // A wall is told to a digit more than a tape shows.
    let fine = |mm: f64| format!("{:.*}", shown.decimals() + 1, shown.number(mm));
    let wall = tube.wall.map_or_else(|| ", solid".to_owned(), |w| format!(" x {}", fine(w)));
    let grade = grade.map_or_else(|| "no grade given".to_owned(), str::to_owned);
    format!("{}{wall} {}, {grade}", fine(tube.od), shown.sign())
}
