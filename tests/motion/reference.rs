//! Every number of a pose against SciPy's `least_squares` (tolerances 1e-15) on the same constraints; see
//! tests/reference/motion.py, which wrote motion.json.

use nalgebra::Vector2;
use scribeline::car::PointName::{LowerBallJoint, TieRodInner, TieRodOuter, UpperBallJoint};
use scribeline::car::axle::MountedOn;
use scribeline::car::{AxleName, Car, Side};
use scribeline::motion::{Alignment, CornerPose, Mode, Plane, Pose, RunningGear, Suspension, alignment};
use serde::Deserialize;

use super::worst::Worst;
use super::{at_front, car, roll_centre};

/// Places, mm. SciPy leaves residuals of some 1e-12 mm and the file is written to 1e-10.
const PLACE: f64 = 1e-9;
/// Angles, degrees: the same error over a lever of 100 mm.
const ANGLE: f64 = 1e-9;
/// Rates, per mm: central differences of eighth order with a step of 0.8 mm.
const RATE: f64 = 1e-9;

#[derive(Deserialize)]
struct Case {
    car: String,
    moved: Vec<Moved>,
    stood: Vec<Stood>,
}

#[derive(Deserialize)]
struct Moved {
    travel: f64,
    #[serde(flatten)]
    corner: Expected,
}

#[derive(Deserialize)]
struct Stood {
    heave: f64,
    roll: f64,
    pitch: f64,
    rack: f64,
    corners: [Expected; 2],
    roll_centre: [f64; 2],
}

#[derive(Deserialize)]
struct Expected {
    side: Side,
    rack: f64,
    wheel_centre: [f64; 3],
    lower_ball_joint: [f64; 3],
    upper_ball_joint: [f64; 3],
    tie_rod_inner: [f64; 3],
    tie_rod_outer: [f64; 3],
    spin: [f64; 3],
    contact: [f64; 3],
    camber: f64,
    inclination: f64,
    toe: f64,
    steer: f64,
    caster: f64,
    kingpin: f64,
    scrub_radius: f64,
    trail: f64,
    damper_length: Carried,
    motion_ratio: Carried,
    by_travel: Speeds,
    by_rack: Speeds,
}

/// A damper's number with its lower mount on each part that may carry it.
#[derive(Deserialize, Clone, Copy)]
struct Carried {
    upright: f64,
    lower_arm: f64,
    upper_arm: f64,
}

impl Carried {
    fn on(&self, part: MountedOn) -> f64 {
        match part {
            MountedOn::Upright => self.upright,
            MountedOn::LowerArm => self.lower_arm,
            MountedOn::UpperArm => self.upper_arm,
            MountedOn::Rocker => unreachable!("these cars have none"),
        }
    }
}

#[derive(Deserialize)]
struct Speeds {
    wheel_centre: [f64; 3],
    lower_ball_joint: [f64; 3],
    tie_rod_outer: [f64; 3],
    contact: [f64; 3],
}

fn cases() -> Vec<Case> {
    serde_json::from_str(include_str!("../reference/motion.json")).unwrap()
}

fn compare(worst: &mut Worst, label: &str, axle: &Suspension, pose: &CornerPose, ground: &Plane, want: &Expected) {
    let mut point = |what: &str, got, want| worst.point(&format!("{label} {what}"), got, want, PLACE);
    point("wheel centre", pose.wheel_centre, want.wheel_centre);
    let joint = |name| axle.at(pose, name).unwrap();
    point("lower ball joint", joint(LowerBallJoint), want.lower_ball_joint);
    point("upper ball joint", joint(UpperBallJoint), want.upper_ball_joint);
    point("tie rod inner", joint(TieRodInner), want.tie_rod_inner);
    point("tie rod outer", joint(TieRodOuter), want.tie_rod_outer);
    let a = Alignment::of(axle, pose, ground);
    let axis = a.axis.unwrap();
    point("contact", a.contact, want.contact);
    worst.point(&format!("{label} spin"), pose.spin, want.spin, ANGLE.to_radians());

    let mut angle =
        |what: &str, got: f64, want| worst.number(&format!("{label} {what}"), got.to_degrees(), want, ANGLE);
    angle("camber", a.camber, want.camber);
    angle("inclination", a.inclination, want.inclination);
    angle("toe", a.toe, want.toe);
    angle("steer", a.steer, want.steer);
    angle("caster", axis.caster, want.caster);
    angle("kingpin", axis.kingpin, want.kingpin);

    // The steering axis is prolonged to the ground: its error grows by about two.
    let mut length = |what: &str, got, want| worst.number(&format!("{label} {what}"), got, want, 3.0 * PLACE);
    length("scrub radius", axis.scrub_radius, want.scrub_radius);
    length("trail", axis.trail, want.trail);

    for (by, mode, want) in [("travel", Mode::Heave, &want.by_travel), ("rack", Mode::Steer, &want.by_rack)] {
        let speed = axle.speed(pose, mode).expect("no toggle here");
        let mut rate = |what: &str, got, want| worst.point(&format!("{label} {what} by {by}"), got, want, RATE);
        rate("wheel centre", speed.shift, want.wheel_centre);
        rate("lower ball joint", speed.of(joint(LowerBallJoint)), want.lower_ball_joint);
        rate("tie rod outer", speed.of(joint(TieRodOuter)), want.tie_rod_outer);
        rate("contact", speed.of(a.contact), want.contact);
    }
}

/// The car with its damper carried by each part in turn.
fn fronts(car: &Car) -> Vec<(MountedOn, Car, RunningGear)> {
    [MountedOn::Upright, MountedOn::LowerArm, MountedOn::UpperArm]
        .into_iter()
        .map(|on| {
            let mut car = car.clone();
            car.front.damper.as_mut().unwrap().on = on;
            let gear = RunningGear::new(&car).unwrap();
            (on, car, gear)
        })
        .collect()
}

fn compare_damper(
    worst: &mut Worst,
    label: &str,
    on: MountedOn,
    axle: &Suspension,
    pose: &CornerPose,
    want: &Expected,
) {
    let label = format!("{label} damper on {on:?}");
    worst.number(&format!("{label} length"), axle.damper_length(pose).unwrap(), want.damper_length.on(on), PLACE);
    let ratio = axle.motion_ratio(pose, Mode::Heave).unwrap();
    worst.number(&format!("{label} motion ratio"), ratio, want.motion_ratio.on(on), RATE);
}

#[test]
fn a_corner_moved_by_travel_and_rack_stands_where_scipy_puts_it() {
    let mut worst = Worst::default();
    for case in cases() {
        for (on, _, gear) in fronts(&car(&case.car)) {
            for Moved { travel, corner: want } in &case.moved {
                let axle = &gear.front;
                let pose = gear.raise(gear.ride(at_front(want.side)), Vector2::new(*travel, want.rack)).unwrap();
                let label = format!("{} {} travel {travel} rack {}", case.car, want.side.word(), want.rack);
                assert!(axle.residual(&pose) < 1e-9);
                compare_damper(&mut worst, &label, on, axle, &pose, want);
                if on == MountedOn::Upright {
                    compare(&mut worst, &label, axle, &pose, &alignment::level_under(axle, &pose), want);
                }
            }
        }
    }
    worst.done(3 * 60 * 50);
}

#[test]
fn a_car_that_heaves_rolls_pitches_and_steers_stands_where_scipy_puts_it() {
    let mut worst = Worst::default();
    for case in cases() {
        for (on, car, gear) in fronts(&car(&case.car)) {
            for want in &case.stood {
                let Stood { heave, roll, pitch, rack, .. } = *want;
                let pose = Pose { heave, roll: roll.to_radians(), pitch: pitch.to_radians(), rack };
                let posed = gear.stand(&pose).unwrap();
                let label = format!("{} heave {heave:.1} roll {roll:.2} pitch {pitch:.2} rack {rack:.1}", case.car);
                for want in &want.corners {
                    let axle = &gear.front;
                    let got = &posed.front[want.side as usize];
                    let label = format!("{label} {}", want.side.word());
                    assert!(axle.residual(got) < 1e-9);
                    compare_damper(&mut worst, &label, on, axle, got, want);
                    if on == MountedOn::Upright {
                        compare(&mut worst, &label, axle, got, &posed.ground, want);
                    }
                }
                // SciPy's height is that over x = 0, the core's that in the plane of the two contacts, which pitch tells
                // apart.
                let ahead = (want.corners[0].contact[0] + want.corners[1].contact[0]) / 2.0 * posed.ground.normal.x;
                // Two nearly parallel normals meet here: their error grows by some hundreds.
                let centre = roll_centre(&car, &gear, &posed, AxleName::Front).unwrap();
                let lean = 1e-6 * (1.0 + want.roll_centre[0].abs() / 1000.0);
                worst.number(&format!("{label} roll centre y"), centre.x, want.roll_centre[0], lean);
                worst.number(&format!("{label} roll centre height"), centre.y, want.roll_centre[1] + ahead, lean);
            }
        }
    }
    worst.done(3 * 30 * 100);
}
