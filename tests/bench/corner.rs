//! What one pose costs, started from its neighbour: wheels raised and lowered through their travel in half-millimetre
//! steps while the steering goes from side to side, or, on a stiff axle, the other wheel up and down.
//! tests/bench/rivals.py sets SciPy and MuJoCo beside it; a Levenberg-Marquardt library is asked here.

use std::hint::black_box;

use criterion::{BatchSize, BenchmarkId, Criterion, Throughput, criterion_group, criterion_main};
use nalgebra::Vector2;
use rayon::prelude::*;
use scribeline::car::{AxleName, CarFile, Hub, Side};
use scribeline::motion::{Alignment, CornerPose, Pose, RunningGear, alignment};

mod fitted;

/// What is posed: a name, a car and an axle of it. The first three are those of tests/bench/rivals.py.
const CORNERS: [(&str, &str, AxleName); 8] = [
    ("wishbone", "tests/reference/ahead", AxleName::Front),
    ("strut", "tests/reference/struts", AxleName::Front),
    ("five links, steered", "tests/reference/five", AxleName::Front),
    ("five links", "scenes/stint", AxleName::Rear),
    ("steering box", "tests/reference/box", AxleName::Front),
    ("trailing arm", "scenes/dunlin", AxleName::Rear),
    ("live axle on a lateral rod", "scenes/godwit", AxleName::Rear),
    ("de Dion axle on a centre crank", "tests/reference/crank", AxleName::Rear),
];

fn gear(path: &str) -> RunningGear {
    let path = format!("{}/{path}.ron", env!("CARGO_MANIFEST_DIR"));
    let file = CarFile::open(path.as_ref()).unwrap_or_else(|e| panic!("{path}: {e}"));
    RunningGear::new(file.car()).expect("it stands")
}

/// Travel, and steering or the other wheel's travel, of a closed round of 480 neighbouring poses, mm.
fn round() -> Vec<Vector2<f64>> {
    let triangle = |k: i32| f64::from(if k < 240 { k - 120 } else { 360 - k }) * 0.5;
    (0..480).map(|k| Vector2::new(triangle(k), triangle((k + 120) % 480) / 2.0)).collect()
}

/// A corner's poses, each from the one before.
fn corners(c: &mut Criterion) {
    let round = round();
    let mut group = c.benchmark_group("pose from its neighbour");
    for (name, path, axle) in CORNERS {
        let gear = gear(path);
        let mut at = *gear.ride(Hub { axle, side: Side::Left });
        let mut places = round.iter().cycle();
        group.bench_function(name, |b| {
            b.iter(|| {
                let place = places.next().expect("the round is closed");
                at = gear.raise(black_box(&at), *place).unwrap_or_else(|e| panic!("{name}: {e}"));
                at.wheel_centre
            });
        });
    }
    group.bench_function("wishbone by a Levenberg-Marquardt library", |b| {
        let gear = gear("tests/reference/ahead");
        let ride = gear.ride(Hub { axle: AxleName::Front, side: Side::Left });
        let mut fitted = fitted::Corner::new(&gear.front.described, ride.wheel_centre.z);
        let mut places = round.iter().cycle();
        b.iter(|| fitted.raise(*places.next().expect("the round is closed")));
    });
    group.finish();
}

/// Cars that stand on the ground, each pose from the one before.
fn cars(c: &mut Criterion) {
    let mut group = c.benchmark_group("car on the ground from its neighbour");
    for name in ["plover", "godwit"] {
        let gear = gear(&format!("scenes/{name}"));
        let mut at = gear.ride.clone();
        let mut places = round().into_iter().cycle();
        group.bench_function(name, |b| {
            b.iter(|| {
                let place = places.next().expect("the round is closed");
                let pose = Pose { heave: place.x / 2.0, roll: place.y * 1e-3, pitch: place.x * 1e-4, rack: place.y };
                at = gear.stand_from(black_box(&at), &pose).expect("within reach");
                at.front[0].wheel_centre
            });
        });
    }
    group.finish();
}

/// So many poses of a whole axle, of which nothing is kept but the most that a wheel leans: both wheels go through their
/// travel in a thousand steps for each place of the steering.
fn sweep(gear: &RunningGear, poses: u32) -> f64 {
    const ROW: u32 = 1000;
    let rows = poses / ROW;
    let row = |steer: u32| {
        let steer = 60.0 * (f64::from(steer) + 0.5) / f64::from(rows) - 30.0;
        let mut at = gear.ride.front;
        (0..ROW).fold(0.0, |most, k| {
            let travel = 120.0 * f64::from(k) / f64::from(ROW - 1) - 60.0;
            at = gear.raise_axle(&at, [travel; 2], steer).expect("within reach");
            at.iter().fold(most, |most, wheel| f64::max(most, wheel.spin.z.abs()))
        })
    };
    (0..rows).into_par_iter().map(row).reduce(|| 0.0, f64::max)
}

/// What a sweep costs grows with its poses and no faster.
fn sweeps(c: &mut Criterion) {
    let gear = gear("scenes/plover");
    let two = rayon::ThreadPoolBuilder::new().num_threads(2).build().expect("two threads start");
    let mut group = c.benchmark_group("poses of an axle on two cores");
    group.sample_size(10);
    for poses in [1_000, 10_000, 100_000, 1_000_000] {
        group.throughput(Throughput::Elements(poses.into()));
        group.bench_with_input(BenchmarkId::from_parameter(poses), &poses, |b, &poses| {
            b.iter(|| two.install(|| sweep(&gear, poses)));
        });
    }
    group.finish();
}

/// What goes with a pose.
fn others(c: &mut Criterion) {
    let gear = gear("tests/reference/ahead");
    let ride = *gear.ride(Hub { axle: AxleName::Front, side: Side::Left });
    c.bench_function("alignment of a pose", |b| {
        b.iter(|| {
            let pose: &CornerPose = black_box(&ride);
            Alignment::of(&gear.front, pose, &alignment::level_under(&gear.front, pose))
        });
    });
    c.bench_function("the end of the travel", |b| {
        let far = Vector2::new(1000.0, 0.0);
        b.iter_batched(|| ride, |ride| gear.raise(&ride, far).expect_err("out of reach"), BatchSize::SmallInput);
    });
}

criterion_group!(benches, corners, cars, sweeps, others);
criterion_main!(benches);
