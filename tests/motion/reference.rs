//! Every number of a pose against SciPy's `least_squares` (tolerances 1e-15) on the same constraints; see
//! tests/reference/motion.py, which wrote motion.json.

use nalgebra::Vector3;
use scribeline::car::axle::MountedOn;
use scribeline::car::{Car, Side};
use scribeline::motion::{Alignment, Corner, CornerPose, Front, Plane, Pose, alignment};
use serde::Deserialize;

use super::car;

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

/// What a comparison found: the worst difference of each kind over its tolerance, and where.
#[derive(Default)]
struct Worst {
    misses: Vec<String>,
    compared: usize,
}

impl Worst {
    fn number(&mut self, what: &str, got: f64, want: f64, tolerance: f64) {
        self.compared += 1;
        // Written so that a NaN misses.
        let near = (got - want).abs() <= tolerance;
        if !near {
            self.misses.push(format!("{what}: {got} against {want}, off by {:.2e}", got - want));
        }
    }

    fn point(&mut self, what: &str, got: Vector3<f64>, want: [f64; 3], tolerance: f64) {
        for k in 0..3 {
            self.number(&format!("{what}.{}", ["x", "y", "z"][k]), got[k], want[k], tolerance);
        }
    }

    fn done(self, at_least: usize) {
        let (few, many) = (&self.misses[..self.misses.len().min(20)], self.misses.len());
        assert!(self.misses.is_empty(), "{many} of {} differ:\n{}", self.compared, few.join("\n"));
        assert!(self.compared >= at_least, "only {} numbers were compared", self.compared);
    }
}

fn compare(worst: &mut Worst, label: &str, corner: &Corner, pose: &CornerPose, ground: &Plane, want: &Expected) {
    let mut point = |what: &str, got, want| worst.point(&format!("{label} {what}"), got, want, PLACE);
    point("wheel centre", pose.wheel_centre, want.wheel_centre);
    point("lower ball joint", pose.lower_ball_joint, want.lower_ball_joint);
    point("upper ball joint", pose.upper_ball_joint, want.upper_ball_joint);
    point("tie rod inner", pose.tie_rod_inner, want.tie_rod_inner);
    point("tie rod outer", pose.tie_rod_outer, want.tie_rod_outer);
    let a = Alignment::of(corner, pose, ground);
    point("contact", a.contact, want.contact);
    worst.point(&format!("{label} spin"), pose.spin, want.spin, ANGLE.to_radians());

    let mut angle =
        |what: &str, got: f64, want| worst.number(&format!("{label} {what}"), got.to_degrees(), want, ANGLE);
    angle("camber", a.camber, want.camber);
    angle("inclination", a.inclination, want.inclination);
    angle("toe", a.toe, want.toe);
    angle("steer", a.steer, want.steer);
    angle("caster", a.caster, want.caster);
    angle("kingpin", a.kingpin, want.kingpin);

    // The steering axis is prolonged to the ground: its error grows by about two.
    let mut length = |what: &str, got, want| worst.number(&format!("{label} {what}"), got, want, 3.0 * PLACE);
    length("scrub radius", a.scrub_radius, want.scrub_radius);
    length("trail", a.trail, want.trail);

    let speeds = corner.speeds(pose).expect("no toggle here");
    for (by, speed, want) in [("travel", &speeds[0], &want.by_travel), ("rack", &speeds[1], &want.by_rack)] {
        let mut rate = |what: &str, got, want| worst.point(&format!("{label} {what} by {by}"), got, want, RATE);
        rate("wheel centre", speed.shift, want.wheel_centre);
        rate("lower ball joint", speed.of(pose.lower_ball_joint), want.lower_ball_joint);
        rate("tie rod outer", speed.of(pose.tie_rod_outer), want.tie_rod_outer);
        rate("contact", speed.of(a.contact), want.contact);
    }
}

/// The car with its damper carried by each part in turn.
fn fronts(car: &Car) -> Vec<(MountedOn, Front)> {
    [MountedOn::Upright, MountedOn::LowerArm, MountedOn::UpperArm]
        .into_iter()
        .map(|on| {
            let mut car = car.clone();
            car.front.damper.as_mut().unwrap().on = on;
            (on, Front::new(&car).unwrap())
        })
        .collect()
}

fn compare_damper(worst: &mut Worst, label: &str, on: MountedOn, corner: &Corner, pose: &CornerPose, want: &Expected) {
    let label = format!("{label} damper on {on:?}");
    worst.number(&format!("{label} length"), pose.damper_length().unwrap(), want.damper_length.on(on), PLACE);
    let ratio = corner.motion_ratio(pose).unwrap();
    worst.number(&format!("{label} motion ratio"), ratio, want.motion_ratio.on(on), RATE);
}

#[test]
fn a_corner_moved_by_travel_and_rack_stands_where_scipy_puts_it() {
    let mut worst = Worst::default();
    for case in cases() {
        for (on, front) in fronts(&car(&case.car)) {
            for Moved { travel, corner: want } in &case.moved {
                let corner = front.corner(want.side);
                let pose = front.raise(want.side, front.ride(want.side), *travel, want.rack).unwrap();
                let label = format!("{} {} travel {travel} rack {}", case.car, want.side.word(), want.rack);
                assert!(corner.residual(&pose) < 1e-9);
                compare_damper(&mut worst, &label, on, corner, &pose, want);
                if on == MountedOn::Upright {
                    compare(&mut worst, &label, corner, &pose, &alignment::level_under(corner, &pose), want);
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
        for (on, front) in fronts(&car(&case.car)) {
            for want in &case.stood {
                let Stood { heave, roll, pitch, rack, .. } = *want;
                let pose = Pose { heave, roll: roll.to_radians(), pitch: pitch.to_radians(), rack };
                let posed = front.stand(&pose).unwrap();
                let label = format!("{} heave {heave:.1} roll {roll:.2} pitch {pitch:.2} rack {rack:.1}", case.car);
                for want in &want.corners {
                    let corner = front.corner(want.side);
                    let got = &posed.corners[want.side as usize];
                    let label = format!("{label} {}", want.side.word());
                    assert!(corner.residual(got) < 1e-9);
                    compare_damper(&mut worst, &label, on, corner, got, want);
                    if on == MountedOn::Upright {
                        compare(&mut worst, &label, corner, got, &posed.ground, want);
                    }
                }
                // Two nearly parallel normals meet here: their error grows by some hundreds.
                let centre = alignment::roll_centre(&front, &posed).unwrap();
                let lean = 1e-6 * (1.0 + want.roll_centre[0].abs() / 1000.0);
                worst.number(&format!("{label} roll centre y"), centre.x, want.roll_centre[0], lean);
                worst.number(&format!("{label} roll centre height"), centre.y, want.roll_centre[1], lean);
            }
        }
    }
    worst.done(3 * 30 * 100);
}
