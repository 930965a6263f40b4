//! What is true of any frame: equilibrium, reciprocity, energy; on random ones.

use nalgebra::Vector3;
use proptest::prelude::*;
use scribeline::strength::{Answer, Dofs, Frame, Load, LoadCase, Member, Notch, Section};

use crate::{TUBE, case, node, steel};

/// Sections of every kind, one without symmetry.
fn section(which: usize) -> Section {
    match which % 4 {
        0 => TUBE,
        1 => Section::Box { width: 50.0, height: 30.0, wall: 2.0, radius: 4.0 },
        2 => Section::Plate { width: 8.0, height: 40.0 },
        _ => Section::Notched {
            width: 60.0,
            height: 80.0,
            wall: 1.5,
            notch: Notch { face: scribeline::strength::Face::Left, depth: 22.0, across: Some([-10.0, 50.0]) },
        },
    }
}

#[derive(Debug, Clone)]
struct Drawn {
    frame: Frame,
    loads: Vec<Load>,
}

/// A chain of members through random places, held at one end and here and there, with as many members across, some on
/// rod ends, some bracketed off their nodes; and a load on every node.
fn drawn() -> impl Strategy<Value = Drawn> {
    let vector = |size: f64| prop::array::uniform3(-size..size).prop_map(Vector3::from);
    let place = vector(1500.0);
    let member = (any::<usize>(), any::<usize>(), any::<usize>(), 0..5usize, vector(60.0));
    let load = (vector(3000.0), vector(3e5));
    let one = (place, member, load, prop::array::uniform6(prop::bool::weighted(0.1)));
    (prop::collection::vec(one, 4..24), any::<bool>()).prop_map(|(parts, shear)| {
        let count = parts.len();
        let mut nodes = Vec::new();
        let mut members = Vec::new();
        let mut loads = Vec::new();
        for (i, (at, (from, to, which, kind, offset), (force, moment), held)) in parts.into_iter().enumerate() {
            let held = if i == 0 { Dofs::ALL } else { Dofs(held) };
            nodes.push(node(i, at.into(), held));
            loads.push(Load { node: i, force, moment });
            if i > 0 {
                members.push(Member::new(format!("chain {i}"), [i - 1, i], section(which), steel()));
            }
            let (from, to) = (from % count, to % count);
            if from != to {
                let mut across = Member::new(format!("across {i}"), [from, to], section(which / 7), steel());
                match kind {
                    0 => across.freed = [Dofs::TURNS; 2],
                    1 => across.freed[0] = Dofs::TURNS,
                    2 => across.freed[1] = Dofs([true, false, false, false, true, false]),
                    3 => across.offsets = [offset, -offset],
                    _ => {}
                }
                members.push(across);
            }
        }
        Drawn { frame: Frame { nodes, members, shear }, loads }
    })
}

/// Work of loads along displacements, N mm.
fn work(loads: &[Load], answer: &Answer) -> f64 {
    let one = |l: &Load| l.force.dot(&answer.moved[l.node].shift) + l.moment.dot(&answer.moved[l.node].turn);
    loads.iter().map(one).sum()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(128))]

    /// What acts on every free node balances, and so does the whole with its reactions, to 1e-9 of the load: counted here
    /// anew from the end forces and the places, without the solver's own residual.
    #[test]
    fn forces_balance(Drawn { frame, loads } in drawn()) {
        let answer = frame.solve(&[case(loads.clone())]).unwrap().remove(0);
        // A displacement is stored to 1e-16 of itself, and the stiffest member makes forces of that: drawn frames can be
        // so slack that they move by more than their own size, where statics of small displacements has ended anyway.
        let most = answer.moved.iter().map(|m| m.shift.norm()).fold(0.0, f64::max);
        let fine = 1e-9 * f64::max(1.0, most / 1500.0);
        prop_assert!(answer.residual < fine, "{} at {most} mm", answer.residual);
        let (mut force, mut moment) = (Vector3::zeros(), Vector3::zeros());
        let mut size = 0.0;
        for l in &loads {
            force += l.force;
            moment += l.moment + frame.nodes[l.node].at.cross(&l.force);
            size = f64::max(size, l.force.norm());
        }
        for r in &answer.reactions {
            force += r.force;
            moment += r.moment + frame.nodes[r.node].at.cross(&r.force);
        }
        prop_assert!(force.norm() < fine * size && moment.norm() < fine * size * 5000.0, "{force} {moment}");
        // Every member for itself: no force, and no moment about its first end.
        for (m, a) in frame.members.iter().zip(&answer.members) {
            let [start, end] = [0, 1].map(|i| frame.nodes[m.ends[i]].at + m.offsets[i]);
            let along = Vector3::new((end - start).norm(), 0.0, 0.0);
            let force = a.ends[0].force + a.ends[1].force;
            let moment = a.ends[0].moment + a.ends[1].moment + along.cross(&a.ends[1].force);
            prop_assert!(force.norm() < fine * size && moment.norm() < fine * size * 5000.0, "{force} {moment}");
            for (end, freed) in a.ends.iter().zip(m.freed) {
                for i in (0..3).filter(|&i| freed.0[i + 3]) {
                    prop_assert!(end.moment[i].abs() < fine * size * 5000.0, "a rod end carries no moment");
                }
            }
        }
    }

    /// Maxwell and Betti: the work of one load along what another does is that of the other along what the one does.
    #[test]
    fn two_loads_do_the_same_work_along_each_other(Drawn { frame, loads } in drawn(), turn in 1..3usize) {
        let other: Vec<Load> = loads
            .iter()
            .map(|l| Load { force: l.moment / 100.0, moment: l.force * 100.0, node: (l.node + turn) % loads.len() })
            .collect();
        let answers = frame.solve(&[case(loads.clone()), case(other.clone())]).unwrap();
        let [a, b] = [work(&loads, &answers[1]), work(&other, &answers[0])];
        let own = (work(&loads, &answers[0]) * work(&other, &answers[1])).sqrt();
        prop_assert!((a - b).abs() < 1e-8 * own, "{a} {b}");
    }

    /// Clapeyron: half the work of the loads is the strain energy of the members, here integrated along each from its
    /// forces; and it is never negative.
    #[test]
    fn the_work_of_the_loads_is_stored_in_the_members(Drawn { frame, loads } in drawn()) {
        let answer = frame.solve(&[case(loads.clone())]).unwrap().remove(0);
        let stored: f64 = frame.members.iter().zip(&answer.members).map(|(m, a)| {
            let p = m.section.properties().unwrap();
            let [e, g] = [m.material.modulus, m.material.shear_modulus()];
            let [start, end] = [0, 1].map(|i| frame.nodes[m.ends[i]].at + m.offsets[i]);
            let l = (end - start).norm();
            let f = a.ends[1];
            let det = p.iy * p.iz - p.iyz * p.iyz;
            // Moments run straight from one end to the other: Simpson's rule is exact for their squares.
            let bent = |share: f64| {
                let back = (1.0 - share) * l;
                let (my, mz) = (f.moment.y - back * f.force.z, f.moment.z + back * f.force.y);
                (p.iz * my * my + 2.0 * p.iyz * my * mz + p.iy * mz * mz) / (e * det)
            };
            let bending = l / 6.0 * (bent(0.0) + 4.0 * bent(0.5) + bent(1.0));
            let slid = if frame.shear && p.iyz == 0.0 {
                l * (f.force.y.powi(2) / p.shear_area[0] + f.force.z.powi(2) / p.shear_area[1]) / g
            } else if frame.shear {
                slid_askew(&p, [f.force.y, f.force.z]) * l / g
            } else {
                0.0
            };
            bending + slid + l * f.force.x.powi(2) / (e * p.area) + l * f.moment.x.powi(2) / (g * p.torsion)
        }).sum();
        let done = work(&loads, &answer);
        prop_assert!(done > 0.0 && (done - stored).abs() < 1e-8 * done, "{done} {stored}");
    }

    /// A drawn member starts and ends where its nodes' motion puts it, and two cases answered from one factor add up.
    #[test]
    fn shapes_end_at_their_nodes_and_cases_add_up(Drawn { frame, loads } in drawn()) {
        let (some, rest) = loads.split_at(loads.len() / 2);
        let solver = frame.solver().unwrap();
        let [a, b, both] =
            [some, rest, &loads].map(|l| solver.answer(&LoadCase { name: "part".into(), loads: l.to_vec() }).unwrap());
        let most = both.moved.iter().map(|m| m.shift.norm()).fold(0.0, f64::max);
        for n in 0..frame.nodes.len() {
            let sum = a.moved[n].shift + b.moved[n].shift;
            let size = a.moved[n].shift.norm() + b.moved[n].shift.norm();
            prop_assert!((sum - both.moved[n].shift).norm() < 1e-7 * (size + most));
        }
        for (i, m) in frame.members.iter().enumerate().filter(|(_, m)| !m.freed.iter().any(|f| f.0[..3].contains(&true))) {
            let shape = solver.shape(&both, i, 7, 1.0);
            prop_assert_eq!(shape.len(), 8);
            for (end, at) in [(0, shape[0]), (1, shape[7])] {
                let moved = both.moved[m.ends[end]];
                let place = frame.nodes[m.ends[end]].at + m.offsets[end] + moved.shift + moved.turn.cross(&m.offsets[end]);
                prop_assert!((place - at).norm() < 1e-9 * (most + 1500.0), "{place} {at}");
            }
        }
    }
}

/// Shear energy per length over 1/G, with the shear areas taken about the principal axes as the frame's beam does.
fn slid_askew(p: &scribeline::strength::Properties, force: [f64; 2]) -> f64 {
    let (sin, cos) = p.principal().0.sin_cos();
    let [gy, gz] = p.shear_area.map(|a| 1.0 / a);
    let (one, two) = (cos * force[0] + sin * force[1], cos * force[1] - sin * force[0]);
    one * one * (gy * cos * cos + gz * sin * sin) + two * two * (gy * sin * sin + gz * cos * cos)
}
