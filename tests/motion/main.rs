//! The kinematic core against things that nobody in this project made.
//!
//! [`reference`], [`corners`]: the same constraints solved by SciPy from another formulation (tests/reference/motion.py,
//! corners.py) and built of bodies and joints in MuJoCo (mechanisms.py).
//! [`closed_forms`], [`closed_axles`]: mechanisms that have a formula, each with its source.
//! [`properties`]: what is true of any linkage, on random ones; [`every_corner`], [`ends`]: on all cars that are here.

use nalgebra::{Vector2, Vector3};
use scribeline::car::{AxleName, Car, CarFile, Hub, PointName, Side};
use scribeline::motion::{Frame, Posed, RunningGear, Standing};

mod closed_axles;
mod closed_forms;
mod corners;
mod ends;
mod every_corner;
mod properties;
mod reference;
mod worst;

/// A car file of tests/reference.
fn car(name: &str) -> Car {
    let path = format!("{}/tests/reference/{name}.ron", env!("CARGO_MANIFEST_DIR"));
    CarFile::open(path.as_ref()).unwrap_or_else(|e| panic!("{path}: {e}")).car().clone()
}

/// A symmetric car with these points on the left, wheels upright and straight, just standing on the ground as measured.
fn symmetric(points: &[(PointName, Vector3<f64>)]) -> Car {
    let mut car = car("ahead");
    car.front.right.0.clear();
    car.front.right_alignment = None;
    car.front.alignment = Default::default();
    car.front.points.0.extend(points.iter().copied());
    let loaded_radius = car.front.tyre.loaded_radius.expect("the reference car gives it");
    car.ground = car.front.points.0[&PointName::WheelCentre].z - loaded_radius;
    car
}

/// A front wheel.
fn at_front(side: Side) -> Hub {
    Hub { axle: AxleName::Front, side }
}

/// Roll centre of an axle in a pose: (lateral place, height over the ground), mm.
fn roll_centre(car: &Car, gear: &RunningGear, posed: &Posed, name: AxleName) -> Option<Vector2<f64>> {
    let axle = gear.axle(name)?;
    let frame = Frame::new(car, axle, gear.ride.axle(name)?, &gear.ride.ground);
    Standing { axle, wheels: *posed.axle(name)?, ground: posed.ground, frame: &frame }.roll_centre()
}
