//! What one pose costs, started from its neighbour: the left front corner of a reference car, raised and lowered through its
//! travel in half-millimetre steps while the rack goes from side to side. tests/bench/rivals.py sets SciPy beside it.

use std::hint::black_box;

use criterion::{BatchSize, Criterion, criterion_group, criterion_main};
use scribeline::car::{CarFile, Side};
use scribeline::motion::{Alignment, CornerPose, Front, Pose, alignment};

fn front() -> Front {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/reference/ahead.ron");
    let file = CarFile::open(path.as_ref()).expect("the reference car reads");
    Front::new(file.car()).expect("it stands")
}

/// Travel and rack of a closed round of 480 neighbouring poses, mm.
fn round() -> Vec<(f64, f64)> {
    let triangle = |k: i32| f64::from(if k < 240 { k - 120 } else { 360 - k }) * 0.5;
    (0..480).map(|k| (triangle(k), triangle((k + 120) % 480) / 2.0)).collect()
}

fn corner(c: &mut Criterion) {
    let front = front();
    let round = round();
    let start = front.raise(Side::Left, front.ride(Side::Left), round[0].0, round[0].1).expect("within reach");

    let mut at = start;
    let mut k = 0;
    c.bench_function("pose from its neighbour", |b| {
        b.iter(|| {
            k = (k + 1) % round.len();
            let (travel, rack) = round[k];
            at = front.raise(Side::Left, black_box(&at), travel, rack).expect("within reach");
            at.wheel_centre
        });
    });

    c.bench_function("alignment and motion ratio of a pose", |b| {
        let corner = front.corner(Side::Left);
        b.iter(|| {
            let pose: &CornerPose = black_box(&start);
            (Alignment::of(corner, pose, &alignment::level_under(corner, pose)), corner.motion_ratio(pose))
        });
    });

    c.bench_function("both tyres on the ground from a neighbour", |b| {
        let near = Pose { heave: 0.5, roll: 0.001, pitch: 0.0, rack: 0.25 };
        b.iter(|| front.stand(black_box(&near)).expect("within reach"));
    });

    c.bench_function("the end of the travel", |b| {
        b.iter_batched(
            || *front.ride(Side::Left),
            |ride| front.raise(Side::Left, &ride, 1000.0, 0.0).expect_err("out of reach"),
            BatchSize::SmallInput,
        );
    });
}

criterion_group!(benches, corner);
criterion_main!(benches);
