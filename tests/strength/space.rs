//! Random space frames against a general-purpose frame library.

use nalgebra::Vector3;
use scribeline::strength::{Dofs, Frame, Load, LoadCase, Material, Member, Section};
use serde::Deserialize;

use crate::node;

#[derive(Deserialize)]
struct File {
    modulus: f64,
    poisson: f64,
    tube: Tube,
    plate: Plate,
    frames: Vec<Reference>,
}

#[derive(Deserialize)]
struct Tube {
    diameter: f64,
    wall: f64,
}

#[derive(Deserialize)]
struct Plate {
    width: f64,
    height: f64,
}

#[derive(Deserialize)]
struct Reference {
    nodes: Vec<[f64; 3]>,
    members: Vec<Bar>,
    held: Vec<(usize, [bool; 6])>,
    cases: Vec<Case>,
}

#[derive(Deserialize)]
struct Bar {
    ends: [usize; 2],
    section: String,
    freed: [[bool; 6]; 2],
}

#[derive(Deserialize)]
struct Case {
    loads: Vec<Applied>,
    moved: Vec<[f64; 6]>,
    reactions: Vec<[f64; 7]>,
    ends: Vec<[f64; 12]>,
}

#[derive(Deserialize)]
struct Applied {
    node: usize,
    force: [f64; 3],
    moment: [f64; 3],
}

fn built(file: &File, of: &Reference) -> Frame {
    let held = |i: usize| of.held.iter().find(|(n, _)| *n == i).map_or(Dofs::NONE, |(_, held)| Dofs(*held));
    let material = Material { modulus: file.modulus, poisson: file.poisson, ..crate::steel() };
    let member = |(i, bar): (usize, &Bar)| {
        let section = match bar.section.as_str() {
            "tube" => Section::Tube { diameter: file.tube.diameter, wall: file.tube.wall },
            _ => Section::Plate { width: file.plate.width, height: file.plate.height },
        };
        let freed = bar.freed.map(Dofs);
        Member { freed, ..Member::new(format!("m{i}"), bar.ends, section, material.clone()) }
    };
    Frame {
        nodes: of.nodes.iter().enumerate().map(|(i, &at)| node(i, at, held(i))).collect(),
        members: of.members.iter().enumerate().map(member).collect(),
        shear: false,
    }
}

/// Every number of one kind, against the largest of its kind.
fn compare<const N: usize>(what: &str, ours: &[[f64; N]], theirs: &[[f64; N]]) {
    let largest = theirs.iter().flatten().fold(0.0, |m, v| f64::max(m, v.abs()));
    assert_eq!(ours.len(), theirs.len());
    for (i, (a, b)) in ours.iter().zip(theirs).enumerate() {
        for (a, b) in a.iter().zip(b) {
            assert!((a - b).abs() < 1e-7 * largest, "{what} {i}: {a}, reference {b}, of {largest}");
        }
    }
}

#[test]
fn displacements_reactions_and_end_forces_are_those_of_the_library() {
    let file: File = serde_json::from_str(include_str!("../reference/frames.json")).expect("the reference file");
    let released = file.frames.iter().flat_map(|f| &f.members).filter(|m| m.freed.iter().flatten().any(|&f| f));
    assert!(released.count() > 20, "the reference has rod ends to try");
    for reference in &file.frames {
        let frame = built(&file, reference);
        let cases: Vec<LoadCase> = reference
            .cases
            .iter()
            .map(|c| {
                let load = |l: &Applied| Load { node: l.node, force: l.force.into(), moment: l.moment.into() };
                LoadCase { name: "reference".into(), loads: c.loads.iter().map(load).collect() }
            })
            .collect();
        let answers = frame.solve(&cases).expect("a frame that stands");
        for (ours, theirs) in answers.iter().zip(&reference.cases) {
            let split = |a: Vector3<f64>, b: Vector3<f64>| [a.into(), b.into()];
            let shifts: Vec<[f64; 3]> = ours.moved.iter().map(|m| m.shift.into()).collect();
            let turns: Vec<[f64; 3]> = ours.moved.iter().map(|m| m.turn.into()).collect();
            let part = |at: usize| theirs.moved.iter().map(|m| [m[at], m[at + 1], m[at + 2]]).collect::<Vec<_>>();
            compare("shift of node", &shifts, &part(0));
            compare("turn of node", &turns, &part(3));
            for (kind, what) in [(0, "force"), (1, "moment")] {
                let here: Vec<[f64; 3]> = ours.reactions.iter().map(|r| split(r.force, r.moment)[kind]).collect();
                let there: Vec<[f64; 3]> =
                    theirs.reactions.iter().map(|r| std::array::from_fn(|i| r[1 + 3 * kind + i])).collect();
                compare(what, &here, &there);
                let both = |e: &[scribeline::strength::EndForce; 2]| {
                    let [a, b] = e.map(|e| split(e.force, e.moment)[kind]);
                    [a[0], a[1], a[2], b[0], b[1], b[2]]
                };
                let here: Vec<[f64; 6]> = ours.members.iter().map(|m| both(&m.ends)).collect();
                let at = [0, 1, 2, 6, 7, 8].map(|i| i + 3 * kind);
                let there: Vec<[f64; 6]> = theirs.ends.iter().map(|e| at.map(|i| e[i])).collect();
                compare(what, &here, &there);
            }
        }
    }
}
