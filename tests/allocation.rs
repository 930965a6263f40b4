//! A pose asks for no memory: what a sweep of a million poses needs does not grow with it.

use allocation_counter::measure;
use nalgebra::Vector2;
use scribeline::car::{CarFile, Hub};
use scribeline::motion::{Pose, RunningGear};

/// Between them every linkage, way of steering and way of holding an axle sideways.
const CARS: [&str; 14] = [
    "scenes/dunlin",
    "scenes/godwit",
    "scenes/knot",
    "scenes/plover",
    "scenes/ruff",
    "scenes/snipe",
    "scenes/stint",
    "tests/reference/askew",
    "tests/reference/box",
    "tests/reference/crank",
    "tests/reference/crank_and_four",
    "tests/reference/five",
    "tests/reference/struts",
    "tests/reference/tilted_box",
];

fn cars() -> impl Iterator<Item = (&'static str, RunningGear)> {
    CARS.into_iter().map(|name| {
        let path = format!("{}/{name}.ron", env!("CARGO_MANIFEST_DIR"));
        let file = CarFile::open(path.as_ref()).unwrap_or_else(|e| panic!("{path}: {e}"));
        (name, RunningGear::new(file.car()).expect("it stands"))
    })
}

/// From 0 to 1 and back to -1, in small steps.
fn swing() -> impl Iterator<Item = f64> {
    (0..200).map(|k| (f64::from(k) * 0.03).sin())
}

#[test]
fn a_wheel_is_posed_without_memory() {
    for (name, gear) in cars() {
        for hub in gear.hubs() {
            let mut at = *gear.ride(hub);
            let mut posed = 0;
            let used = measure(|| {
                for s in swing() {
                    at = gear.raise(&at, Vector2::new(40.0 * s, 20.0 * s)).expect("within reach");
                    posed += 1;
                }
            });
            assert_eq!(used.count_total, 0, "{name}, the {} wheel, {posed} poses", hub.words());
        }
    }
}

#[test]
fn a_car_stands_without_memory() {
    for (name, gear) in cars() {
        let mut at = gear.ride.clone();
        let used = measure(|| {
            for s in swing() {
                let pose = Pose { heave: 25.0 * s, roll: 0.02 * s, pitch: 0.01 * s, rack: 20.0 * s };
                at = gear.stand_from(&at, &pose).expect("within reach");
            }
        });
        assert_eq!(used.count_total, 0, "{name}");
    }
}

#[test]
fn a_leap_that_is_walked_in_steps_takes_none_either() {
    let far = Vector2::new(60.0, 25.0);
    for (name, gear) in cars() {
        let hub = Hub::ALL[0];
        let there = gear.raise(gear.ride(hub), -far).expect("within reach");
        let used = measure(|| {
            gear.raise(&there, far).expect("within reach");
        });
        assert_eq!(used.count_total, 0, "{name}");
    }
}

/// The count can fail.
#[test]
fn memory_is_counted() {
    assert_eq!(measure(|| drop(std::hint::black_box(vec![0.0; 3]))).count_total, 1);
}
