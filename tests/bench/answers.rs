//! How long the answers for the demo proposal take: what a user waits for after moving a point.

use std::hint::black_box;

use criterion::{BatchSize, Criterion, criterion_group, criterion_main};
use scribeline::answer::Study;
use scribeline::car::CarFile;
use scribeline::motion::Pose;

fn answers(c: &mut Criterion) {
    let text = include_str!("../../scenes/dunlin.ron").to_owned();
    let file = CarFile::from_text(text.clone(), None).expect("the demo opens");
    let car = file.proposed("low and wide").expect("the demo has this proposal");
    let study = Study::new(car.clone()).expect("the demo can be swept");
    let pose = Pose::default();
    let mut group = c.benchmark_group("demo");
    group.sample_size(20);
    group.bench_function("read", |b| b.iter(|| CarFile::from_text(black_box(text.clone()), None)));
    group.bench_function("study", |b| b.iter(|| Study::new(black_box(car.clone()))));
    // A study keeps what it has found: each asks a new one.
    group.bench_function("gaps", |b| {
        b.iter_batched(|| Study::new(car.clone()), |s| s.map(|s| s.gaps(black_box(&pose))), BatchSize::PerIteration);
    });
    group.bench_function("lock", |b| b.iter(|| black_box(&study).lock()));
    group.bench_function("cut", |b| b.iter(|| black_box(&study).cut()));
    group.bench_function("all answers", |b| {
        b.iter(|| Study::new(black_box(car.clone())).and_then(|s| s.answers(&pose)));
    });
    let steered = study.sweeps[0].hub;
    group.bench_function("keep-out of a steered wheel", |b| b.iter(|| black_box(&study).keep_out(steered)));
    let found = study.gaps(&pose).expect("ride height can be taken");
    group.bench_function("gaps of a frame", |b| b.iter(|| study.gaps_in(&found, black_box(&study.gear.ride))));
    group.finish();
}

criterion_group!(benches, answers);
criterion_main!(benches);
