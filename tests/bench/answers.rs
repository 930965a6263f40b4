//! How long the answers for the demo proposal take: what a user waits for after moving a point, and what is proven behind
//! that.

use std::hint::black_box;

use criterion::{BatchSize, BenchmarkId, Criterion, Throughput, criterion_group, criterion_main};
use nalgebra::{Vector2, Vector3};
use scribeline::answer::better::{BEST, Free, Looking, Wish};
use scribeline::answer::map::NODES;
use scribeline::answer::{Among, Better, BetterAsk, SLACK, Study};
use scribeline::car::{AxleName, Car, CarFile, FixedTube, Shown};
use scribeline::motion::{Pose, RunningGear};
use scribeline::sheets::{Paper, papers};
use scribeline::space::{FAR, Parts, Proving, Role, Scans, Swept, WheelSweep};

const DEMO: &str = include_str!("../../scenes/dunlin.ron");

fn proposal() -> Car {
    let file = CarFile::from_text(DEMO.to_owned(), None).expect("the demo opens");
    file.proposed("low and wide").expect("the demo has this proposal")
}

/// A study keeps what it has found: each round asks a new one.
fn fresh(car: &Car) -> Study {
    Study::new(car.clone()).expect("the demo can be swept")
}

/// Every pair's gap in one pose of a car that has just changed, nothing of it swept.
fn first(car: &Car) -> f64 {
    let gear = RunningGear::new(car).expect("it stands");
    let parts = Parts::new(car);
    let at_wheels = gear.ride.wheels().flat_map(|pose| parts.at_wheel(pose.hub).iter().map(move |pair| (pair, pose)));
    let gaps = at_wheels.filter_map(|(pair, pose)| parts.gap(&gear, pair, pose, FAR));
    let low = parts.at_ground.iter().filter_map(|pair| parts.ground_gap(&gear, pair, &gear.ride));
    gaps.chain(low).map(|n| n.gap).fold(f64::INFINITY, f64::min)
}

fn answers(c: &mut Criterion) {
    let car = proposal();
    let study = fresh(&car);
    let pose = Pose::default();
    let mut group = c.benchmark_group("demo");
    group.sample_size(20);
    group.bench_function("read", |b| b.iter(|| CarFile::from_text(black_box(DEMO.to_owned()), None)));
    group.bench_function("first answer after a drag", |b| b.iter(|| first(black_box(&car))));
    group.bench_function("study", |b| b.iter(|| Study::new(black_box(car.clone()))));
    group.bench_function("gaps", |b| {
        b.iter_batched(|| fresh(&car), |s| s.gaps(black_box(&pose)), BatchSize::PerIteration);
    });
    group.bench_function("lock", |b| b.iter(|| black_box(&study).lock()));
    group.bench_function("cut", |b| b.iter(|| black_box(&study).cut()));
    group.bench_function("all answers", |b| {
        b.iter(|| Study::new(black_box(car.clone())).and_then(|s| s.answers(&pose)));
    });
    let steered = study.sweeps[0].hub;
    group.bench_function("map", |b| b.iter(|| black_box(&study).map(steered, Among::Wheel, NODES, NODES)));
    group.bench_function("keep-out of a steered wheel", |b| b.iter(|| black_box(&study).keep_out(steered)));
    let found = study.gaps(&pose).expect("ride height can be taken");
    group.bench_function("gaps of a frame", |b| b.iter(|| study.gaps_in(&found, black_box(&study.gear.ride))));
    group.finish();
}

fn proven(c: &mut Criterion) {
    let car = proposal();
    let study = fresh(&car);
    let pose = Pose::default();
    let Covered { looks, even, pairs } = Covered::of(&study);
    eprintln!(
        "proven gaps: {pairs} pairs, {looks} poses looked at beside the search; an even grid as sure has {even} wheel poses"
    );
    let mut group = c.benchmark_group("demo, proven");
    group.sample_size(10);
    let gaps = |study: Study| {
        study.prove(|| false);
        study.gaps(&pose)
    };
    group.bench_function("gaps", |b| b.iter_batched(|| fresh(&car), gaps, BatchSize::PerIteration));
    // Proofs are kept: each round asks a car of its own, searched already.
    let searched = || {
        let study = fresh(&car);
        study.lock();
        study
    };
    group.bench_function("lock", |b| b.iter_batched(searched, |s| s.proven_lock(), BatchSize::PerIteration));
    let curve = |s: Study| s.proven_lock_curve();
    group.bench_function("lock over the travel", |b| b.iter_batched(searched, curve, BatchSize::PerIteration));
    group.bench_function("cut", |b| b.iter_batched(searched, |s| s.proven_cut(), BatchSize::PerIteration));
    group.finish();
}

/// What proving every least gap comes to.
struct Covered {
    pairs: usize,
    /// Poses that the proofs look at beside the search's, all pairs together.
    looks: usize,
    /// Wheel poses of even grids over the wheels' sweeps, so close that no tyre moves further than the proof's slack
    /// between a place of its sweep and the nearest pose.
    even: usize,
}

impl Covered {
    fn of(study: &Study) -> Self {
        let mut all = Self { pairs: 0, looks: 0, even: 0 };
        for sweep in &study.sweeps {
            let swept = Swept::new(&study.gear, &study.parts, sweep);
            for pair in study.parts.at_wheel(sweep.hub) {
                let Study { gear, parts, .. } = study;
                let proof = Proving { gear, parts, sweep, pair, slack: SLACK, budget: 30_000 }.prove(swept.least(pair));
                all.looks += proof.looks;
                all.pairs += 1;
            }
            all.even += even(study, sweep);
        }
        all
    }
}

fn even(study: &Study, sweep: &WheelSweep) -> usize {
    let reach = study.parts.reach(Role::Tyre(sweep.hub));
    // Half the slack for each of the two numbers.
    let step = |axis: usize| {
        let moves = |half: f64| {
            let mut by = Vector2::zeros();
            by[axis] = half;
            let each = sweep.poses.iter().map(|(_, pose)| {
                let leeway = study.gear.of(pose).leeway(pose, by);
                leeway.map_or(f64::INFINITY, |l| l.of_ring(reach))
            });
            each.fold(0.0, f64::max)
        };
        let range = sweep.range[1][axis] - sweep.range[0][axis];
        let (mut near, mut far) = (0.0, range.max(1e-9));
        for _ in 0..40 {
            let middle = (near + far) / 2.0;
            if moves(middle) <= SLACK / 2.0 { near = middle } else { far = middle }
        }
        (range / (2.0 * near)).ceil().max(1.0) as usize
    };
    step(0) * step(1)
}

/// What the gaps cost grows with the pairs: the same car with more and more of a cage.
fn pairs(c: &mut Criterion) {
    let mut group = c.benchmark_group("gaps by pairs");
    group.sample_size(10);
    for tubes in [0, 16, 32, 64] {
        let mut car = proposal();
        let tube = |i: usize| {
            let x = 400.0 - 25.0 * i as f64;
            let points = [[x, 250.0, 700.0], [x - 300.0, 500.0, 820.0]].map(Vector3::from).to_vec();
            FixedTube {
                name: format!("tube {i}"),
                mirror: true,
                od: 38.0,
                wall: None,
                grade: None,
                pinned: false,
                points: points.into_iter().map(Into::into).collect(),
            }
        };
        car.tubes.extend((0..tubes).map(tube));
        let study = fresh(&car);
        let count: usize = study.sweeps.iter().map(|s| study.parts.at_wheel(s.hub).len()).sum();
        group.throughput(Throughput::Elements(count as u64));
        group.bench_function(BenchmarkId::from_parameter(count), |b| {
            b.iter_batched(|| fresh(&car), |s| s.gaps(&Pose::default()), BatchSize::PerIteration);
        });
    }
    group.finish();
}

/// All papers of the demo's cut proposal, on A4, lock and cut proven for them.
fn sheets(c: &mut Criterion) {
    let file = CarFile::from_text(DEMO.to_owned(), None).expect("the demo opens");
    let cut = file.proposed("low and cut").expect("the demo has this proposal");
    let both = || [fresh(&cut), fresh(file.car())];
    let all = |[study, found]: [Study; 2]| {
        let sheets = study.sheets(Some(&found), Shown::Mm, true).expect("papers");
        papers(&sheets, Paper::A4, Shown::Mm).expect("papers").len()
    };
    let mut group = c.benchmark_group("demo, papers");
    group.sample_size(10);
    group.bench_function("all", |b| b.iter_batched(both, all, BatchSize::PerIteration));
    group.finish();
}

/// Four free coordinates and two wishes, every told car proven.
fn better(c: &mut Criterion) {
    let start = fresh(&proposal());
    let free = ["tie_rod_outer z 15", "tie_rod_inner z 10", "upper_front z 12", "upper_rear z 12"];
    let wishes = ["bump_steer at most 0.02", "camber_gain from -0.9 to -0.7"];
    let free = free.map(|text| Free::typed(text, Shown::Mm, AxleName::Front).expect("a coordinate"));
    let wishes = wishes.map(|text| Wish::typed(text, Shown::Mm, AxleName::Front).expect("a wish"));
    let ask = BetterAsk { free: free.to_vec(), wishes: wishes.to_vec(), best: BEST };
    let mut group = c.benchmark_group("demo, better points");
    group.sample_size(10);
    group.bench_function("four coordinates", |b| {
        b.iter(|| Better::new(&start, &Scans::default(), black_box(&ask), Looking::NOBODY));
    });
    group.finish();
}

criterion_group!(benches, answers, proven, pairs, sheets, better);
criterion_main!(benches);
