//! Frames from description to answer: checked, assembled, factored, loaded and judged.
//!
//! A lattice of cells, as long as a car or as compact as can be; the latter couples most and is slowest.

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use nalgebra::Vector3;
use scribeline::answer::frame::Compared;
use scribeline::answer::{RouteAsk, Study, Watch};
use scribeline::car::CarFile;
use scribeline::strength::material::grade;
use scribeline::strength::{Dofs, Frame, Load, LoadCase, Member, Node, Section};

/// So many nodes along x, y and z, every neighbour joined, held at one end.
fn lattice(count: [usize; 3]) -> Frame {
    let steel = grade("4130 normalised").expect("a grade");
    let [nx, ny, nz] = count;
    let number = |at: [usize; 3]| (at[0] * ny + at[1]) * nz + at[2];
    let places = (0..nx).flat_map(|x| (0..ny).flat_map(move |y| (0..nz).map(move |z| [x, y, z])));
    let mut frame = Frame::default();
    for at in places {
        let place = Vector3::from(at.map(|v| v as f64 * 250.0));
        let held = if at[0] == 0 { Dofs::ALL } else { Dofs::NONE };
        frame.nodes.push(Node { name: format!("{at:?}"), at: place, held });
        for axis in 0..3 {
            let mut next = at;
            next[axis] += 1;
            if next[axis] < count[axis] {
                let section = Section::Tube { diameter: 38.0, wall: 2.0 };
                let ends = [number(at), number(next)];
                frame.members.push(Member::new(format!("{at:?} {axis}"), ends, section, steel.clone()));
            }
        }
    }
    frame
}

fn benches(c: &mut Criterion) {
    for (name, count) in [("long", [10, 3, 3]), ("long", [14, 3, 3]), ("long", [142, 4, 4]), ("compact", [12, 12, 12])]
    {
        let frame = lattice(count);
        let node = frame.nodes.len() - 1;
        let load = |axis: usize| {
            let force = Vector3::ith(axis, 1000.0);
            LoadCase { name: "tip".into(), loads: vec![Load { node, force, moment: Vector3::zeros() }] }
        };
        let cases: Vec<LoadCase> = (0..3).map(load).collect();
        let members = frame.members.len();
        c.bench_function(&format!("frame, {name}, {members} members, three load cases"), |b| {
            b.iter(|| black_box(&frame).solve(&cases).expect("a frame that stands"))
        });
        let solver = frame.solver().expect("a frame that stands");
        c.bench_function(&format!("frame, {name}, {members} members, one more load case"), |b| {
            b.iter(|| solver.answer(black_box(&cases[0])).expect("an answer"))
        });
    }
}

/// Routes around the tests' car's cut rails, and the body's own frame with its load cases.
fn body(c: &mut Criterion) {
    let file = CarFile::from_text(include_str!("../reference/curlew.ron").to_owned(), None).expect("a car");
    let study = Study::new(file.proposed("low and wide").expect("a proposal")).expect("a study");
    c.bench_function("routes around a cut rail", |b| {
        b.iter(|| study.routes(black_box(file.car()), RouteAsk::default(), Watch::NOBODY).expect("routes"))
    });
    let bare = file.car().proposed_bare("low and wide").expect("the bare cut");
    let compared = Compared { found: Some(file.car()), bare: bare.as_ref(), share: 1.0 };
    c.bench_function("the body as found and cut, all load cases", |b| {
        b.iter(|| black_box(&study).body_strength(compared).expect("an answer"))
    });
}

criterion_group! {
    name = strength;
    config = Criterion::default().sample_size(10);
    targets = benches, body
}
criterion_main!(strength);
