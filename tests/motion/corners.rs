//! Every linkage, steering and rocker against two that nobody in this project made: the same constraints solved by
//! SciPy from another formulation (tests/reference/corners.py, which wrote corners.json and says what its numbers mean),
//! and the same bodies and joints in MuJoCo (tests/reference/mechanisms.py, mechanisms.json).
//!
//! Travel counts from where the wheels were measured. On a stiff axle a rate by a wheel's travel holds the other wheel
//! still: half of what heave and roll make together.

use std::collections::BTreeMap;

use nalgebra::Vector3;
use scribeline::car::PointName::{BarLever, BarPivot, CentrePivot, CrankUpper, PushRodInner, RockerAxis, RockerPivot};
use scribeline::car::axle::Linkage;
use scribeline::car::{AxleName, PointName, Side};
use scribeline::motion::{Alignment, CornerPose, Drive, Mode, Plane, Pose, RunningGear, Suspension, alignment};
use serde::Deserialize;

use super::car;
use super::worst::Worst;

/// Places, mm. SciPy leaves residuals of some 1e-12 mm and the file is written to 1e-11.
const PLACE: f64 = 1e-9;
/// Angles, degrees: the same error over a lever of some 60 mm.
const ANGLE: f64 = 1e-9;
/// Rates, per mm.
const RATE: f64 = 1e-10;
/// Rates of angles, degrees per mm.
const TURNS: f64 = 1e-10;

#[derive(Deserialize)]
struct Case {
    car: String,
    axle: AxleName,
    linkage: Linkage,
    moved: Vec<Moved>,
    #[serde(default)]
    stood: Vec<Stood>,
}

#[derive(Deserialize)]
struct Moved {
    travel: [f64; 2],
    steer: f64,
    #[serde(flatten)]
    found: Found,
}

#[derive(Deserialize)]
struct Stood {
    heave: f64,
    roll: f64,
    pitch: f64,
    steer: f64,
    #[serde(flatten)]
    found: Found,
}

#[derive(Deserialize)]
struct Found {
    corners: [Corner; 2],
    #[serde(default)]
    middle: BTreeMap<PointName, [f64; 3]>,
    crank: Option<f64>,
    give: Option<f64>,
}

#[derive(Deserialize)]
struct Corner {
    wheel_centre: [f64; 3],
    spin: [f64; 3],
    rocker: Option<f64>,
    bar: Option<f64>,
    // What MuJoCo was not asked.
    #[serde(flatten)]
    more: Option<More>,
}

#[derive(Deserialize)]
struct More {
    contact: [f64; 3],
    camber: f64,
    inclination: f64,
    toe: f64,
    steer: f64,
    points: BTreeMap<PointName, [f64; 3]>,
    damper_length: f64,
    motion_ratio: f64,
    by_travel: Rates,
    by_other: Option<Rates>,
    by_steer: Option<Rates>,
}

#[derive(Deserialize)]
struct Rates {
    wheel_centre: [f64; 3],
    damper_length: f64,
    camber: f64,
    toe: f64,
    rocker: Option<f64>,
    bar: Option<f64>,
}

fn cases(text: &str) -> Vec<(Case, RunningGear)> {
    let cases: Vec<Case> = serde_json::from_str(text).unwrap();
    cases
        .into_iter()
        .map(|case| {
            let gear = RunningGear::new(&car(&case.car)).unwrap();
            (case, gear)
        })
        .collect()
}

/// Both wheels by travel from where they were measured.
fn moved(axle: &Suspension, travel: [f64; 2], steer: f64) -> [CornerPose; 2] {
    let measured = axle.as_measured();
    let heights = [0, 1].map(|i| Drive::Height(measured[i].wheel_centre.z + travel[i]));
    axle.pose(&measured, steer, heights).unwrap_or_else(|e| panic!("{travel:?} {steer}: {e}"))
}

/// How far a vector has turned about an axis, right-handed, degrees.
fn turned(axis: Vector3<f64>, from: Vector3<f64>, to: Vector3<f64>) -> f64 {
    let axis = axis.normalize();
    let (a, b) = (from - axis * axis.dot(&from), to - axis * axis.dot(&to));
    f64::atan2(axis.dot(&a.cross(&b)), a.dot(&b)).to_degrees()
}

/// What is measured, and does not move.
fn fixed(axle: &Suspension, side: Side, name: PointName) -> Vector3<f64> {
    axle.measured.at(side, name).unwrap()
}

fn rocker(axle: &Suspension, pose: &CornerPose) -> f64 {
    let at = |name| fixed(axle, pose.hub.side, name);
    let now = axle.at(pose, PushRodInner).unwrap();
    turned(at(RockerAxis) - at(RockerPivot), at(PushRodInner) - at(RockerPivot), now - at(RockerPivot))
}

/// The bar's axis, right to left.
fn bar_axis(axle: &Suspension) -> Vector3<f64> {
    fixed(axle, Side::Left, BarPivot) - fixed(axle, Side::Right, BarPivot)
}

fn bar(axle: &Suspension, pose: &CornerPose) -> f64 {
    let at = |name| fixed(axle, pose.hub.side, name);
    turned(bar_axis(axle), at(BarLever) - at(BarPivot), axle.at(pose, BarLever).unwrap() - at(BarPivot))
}

/// +1 for a lever that lies behind its bar: right-handed about a line to the left it rises.
fn bar_rises(axle: &Suspension, side: Side) -> f64 {
    if fixed(axle, side, BarLever).x < fixed(axle, side, BarPivot).x { 1.0 } else { -1.0 }
}

fn crank(axle: &Suspension, pose: &CornerPose) -> f64 {
    let at = |name| fixed(axle, Side::Left, name);
    let now = axle.at(pose, CrankUpper).unwrap() - axle.at(pose, CentrePivot).unwrap();
    turned(Vector3::x(), at(CrankUpper) - at(CentrePivot), pose.turn.transpose() * now)
}

/// By a wheel's own travel, by the other's, by the steering.
#[derive(Clone, Copy)]
enum By {
    Travel,
    Other,
    Steer,
}

/// A rate by any of them out of what the core tells of heave, roll and steer.
fn by(axle: &Suspension, by: By, rate: impl Fn(Mode) -> Option<f64>) -> f64 {
    let of = |mode| rate(mode).expect("no toggle here");
    match by {
        By::Steer => of(Mode::Steer),
        By::Travel if axle.independent() => of(Mode::Heave),
        By::Travel => (of(Mode::Heave) + of(Mode::Roll)) / 2.0,
        By::Other => (of(Mode::Heave) - of(Mode::Roll)) / 2.0,
    }
}

fn compare_rates(worst: &mut Worst, label: &str, axle: &Suspension, pose: &CornerPose, along: By, want: &Rates) {
    let out = pose.hub.side.sign();
    let spin = pose.spin;
    for (k, want) in want.wheel_centre.iter().enumerate() {
        let got = by(axle, along, |mode| Some(axle.speed(pose, mode)?.shift_of(pose, k)));
        worst.number(&format!("{label} wheel centre {k}"), got, *want, RATE);
    }
    let turns = |mode| Some(axle.speed(pose, mode)?.turn.cross(&spin));
    let camber = by(axle, along, |mode| Some(-turns(mode)?.z / (1.0 - spin.z * spin.z).sqrt()));
    let level = spin.x * spin.x + spin.y * spin.y;
    let toe = by(axle, along, |mode| turns(mode).map(|t| out * (spin.y * t.x - spin.x * t.y) / level));
    worst.number(&format!("{label} camber"), camber.to_degrees(), want.camber, TURNS);
    worst.number(&format!("{label} toe"), toe.to_degrees(), want.toe, TURNS);
    let shortens = by(axle, along, |mode| axle.motion_ratio(pose, mode));
    worst.number(&format!("{label} damper length"), -shortens, want.damper_length, RATE);
    if let Some(want) = want.bar {
        let along_bar = bar_axis(axle).normalize();
        let lever = fixed(axle, pose.hub.side, BarLever) - fixed(axle, pose.hub.side, BarPivot);
        let radius = along_bar.cross(&lever).norm();
        let rises = by(axle, along, |mode| axle.bar_ratio(pose, mode));
        let turns = rises / radius * bar_rises(axle, pose.hub.side);
        worst.number(&format!("{label} bar"), turns.to_degrees(), want, TURNS);
    }
    // A rocker's own rate is no quantity: the damper's or, where it carries none, nothing shows it.
    assert_eq!(want.rocker.is_some(), axle.described.rocker.is_some());
}

/// The wheel centre's own coordinate of a speed.
trait ShiftOf {
    fn shift_of(&self, pose: &CornerPose, k: usize) -> f64;
}

impl ShiftOf for scribeline::motion::Speed {
    fn shift_of(&self, pose: &CornerPose, k: usize) -> f64 {
        self.of(pose.wheel_centre)[k]
    }
}

fn compare(worst: &mut Worst, label: &str, axle: &Suspension, pose: &CornerPose, ground: &Plane, want: &Corner) {
    let residual = axle.residual(pose);
    assert!(residual < 1e-9, "{label}: {residual}");
    worst.point(&format!("{label} wheel centre"), pose.wheel_centre, want.wheel_centre, PLACE);
    worst.point(&format!("{label} spin"), pose.spin, want.spin, ANGLE.to_radians());
    let more = want.more.as_ref().expect("SciPy tells all");
    for (&name, &want) in &more.points {
        let got = axle.at(pose, name).unwrap_or_else(|| panic!("{label}: no {}", name.name()));
        worst.point(&format!("{label} {}", name.name()), got, want, PLACE);
    }
    let a = Alignment::of(axle, pose, ground);
    worst.point(&format!("{label} contact"), a.contact, more.contact, PLACE);
    let mut angle = |what: &str, got: f64, want: f64| worst.number(&format!("{label} {what}"), got, want, ANGLE);
    angle("camber", a.camber.to_degrees(), more.camber);
    angle("inclination", a.inclination.to_degrees(), more.inclination);
    angle("toe", a.toe.to_degrees(), more.toe);
    angle("steer", a.steer.to_degrees(), more.steer);
    assert_eq!(want.rocker.is_some(), axle.described.rocker.is_some());
    assert_eq!(want.bar.is_some(), axle.described.bar.is_some());
    if let Some(want) = want.rocker {
        angle("rocker", rocker(axle, pose), want);
    }
    if let Some(want) = want.bar {
        angle("bar", bar(axle, pose), want);
        let told = axle.lever_angle(pose).unwrap() * bar_rises(axle, pose.hub.side);
        angle("bar lever", told.to_degrees(), want);
    }
    worst.number(&format!("{label} damper"), axle.damper_length(pose).unwrap(), more.damper_length, PLACE);
    let ratio = by(axle, By::Travel, |mode| axle.motion_ratio(pose, mode));
    worst.number(&format!("{label} motion ratio"), ratio, more.motion_ratio, RATE);
    compare_rates(worst, &format!("{label} by travel"), axle, pose, By::Travel, &more.by_travel);
    assert_eq!(more.by_other.is_some(), !axle.independent());
    assert_eq!(more.by_steer.is_some(), axle.steers());
    if let Some(rates) = &more.by_other {
        compare_rates(worst, &format!("{label} by other"), axle, pose, By::Other, rates);
    }
    if let Some(rates) = &more.by_steer {
        compare_rates(worst, &format!("{label} by steer"), axle, pose, By::Steer, rates);
    }
}

fn compare_axle(
    worst: &mut Worst,
    label: &str,
    axle: &Suspension,
    wheels: &[CornerPose; 2],
    grounds: [Plane; 2],
    want: &Found,
) {
    for side in Side::BOTH {
        let i = side as usize;
        compare(worst, &format!("{label} {}", side.word()), axle, &wheels[i], &grounds[i], &want.corners[i]);
    }
    for (&name, &want) in &want.middle {
        let got = axle.at(&wheels[0], name).unwrap();
        worst.point(&format!("{label} {}", name.name()), got, want, PLACE);
    }
    if let Some(want) = want.crank {
        worst.number(&format!("{label} crank"), crank(axle, &wheels[0]), want, ANGLE);
    }
    assert_eq!(want.give.is_some(), axle.give(&wheels[0]).is_some());
    if let Some(want) = want.give {
        worst.number(&format!("{label} give"), axle.give(&wheels[0]).unwrap(), want, PLACE);
    }
}

const SCIPY: &str = include_str!("../reference/corners.json");
const MUJOCO: &str = include_str!("../reference/mechanisms.json");

#[test]
fn every_axle_moved_by_travel_and_steering_stands_where_scipy_puts_it() {
    let mut worst = Worst::default();
    let cases = cases(SCIPY);
    assert_eq!(cases.len(), 14);
    for (case, gear) in &cases {
        let axle = gear.axle(case.axle).unwrap();
        assert_eq!(axle.linkage, case.linkage);
        for Moved { travel, steer, found } in &case.moved {
            let label = format!("{} {} {travel:?} steer {steer}", case.car, case.axle.word());
            let wheels = moved(axle, *travel, *steer);
            let grounds = [0, 1].map(|i| alignment::level_under(axle, &wheels[i]));
            compare_axle(&mut worst, &label, axle, &wheels, grounds, found);
        }
    }
    worst.done(14 * 30 * 2 * 30);
}

#[test]
fn every_axle_of_a_car_that_heaves_rolls_pitches_and_steers_stands_where_scipy_puts_it() {
    let mut worst = Worst::default();
    for (case, gear) in &cases(SCIPY) {
        let axle = gear.axle(case.axle).unwrap();
        assert_eq!(case.stood.len(), 10);
        for Stood { heave, roll, pitch, steer, found } in &case.stood {
            let label = format!("{} {} heave {heave} roll {roll} pitch {pitch}", case.car, case.axle.word());
            let pose = Pose { heave: *heave, roll: roll.to_radians(), pitch: pitch.to_radians(), rack: *steer };
            // The file stands one axle alone; the other may be out of reach there.
            let ground = gear.ground(&pose);
            let ride = gear.ride.axle(case.axle).unwrap();
            let wheels = axle.pose(ride, *steer, [Drive::Ground(ground); 2]).unwrap_or_else(|e| panic!("{label}: {e}"));
            compare_axle(&mut worst, &label, axle, &wheels, [ground; 2], found);
        }
    }
    worst.done(14 * 10 * 2 * 30);
}

/// Written to 1e-6 mm, 1e-9 of a direction and 1e-6 degrees; a place near nought and an angle are no better known than
/// the others.
#[test]
fn every_axle_stands_where_the_bodies_and_joints_of_mujoco_do() {
    let mut worst = Worst::default();
    let cases = cases(MUJOCO);
    assert_eq!(cases.len(), 14);
    for (case, gear) in &cases {
        let axle = gear.axle(case.axle).unwrap();
        for Moved { travel, steer, found } in &case.moved {
            let label = format!("{} {} {travel:?} steer {steer}", case.car, case.axle.word());
            let wheels = moved(axle, *travel, *steer);
            for (pose, want) in wheels.iter().zip(&found.corners) {
                let label = format!("{label} {}", pose.hub.side.word());
                worst.point(&format!("{label} wheel centre"), pose.wheel_centre, want.wheel_centre, 6e-7);
                worst.point(&format!("{label} spin"), pose.spin, want.spin, 1e-9);
                if let Some(want) = want.rocker {
                    worst.number(&format!("{label} rocker"), rocker(axle, pose), want, 6e-7);
                }
                if let Some(want) = want.bar {
                    worst.number(&format!("{label} bar"), bar(axle, pose), want, 6e-7);
                }
            }
            if let Some(want) = found.crank {
                worst.number(&format!("{label} crank"), crank(axle, &wheels[0]), want, 6e-7);
            }
            if let Some(want) = found.give {
                worst.number(&format!("{label} give"), axle.give(&wheels[0]).unwrap(), want, 6e-7);
            }
        }
    }
    worst.done(14 * 8 * 2 * 6);
}
