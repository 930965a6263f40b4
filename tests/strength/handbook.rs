//! Beams, frames, rings and tubes that have a formula.

use std::f64::consts::{PI, TAU};

use nalgebra::Vector3;
use scribeline::strength::{Dofs, Face, Frame, Member, Notch, Section, Way};

use crate::{TUBE, case, force, frame, moment, off, steel};

const E: f64 = 205e3;

fn second(section: Section) -> f64 {
    section.properties().unwrap().iy
}

/// A straight beam along a line, in so many pieces, its ends held as told.
fn beam(along: Vector3<f64>, pieces: usize, held: [Dofs; 2], section: Section) -> Frame {
    let place = |i: usize| (along * (i as f64 / pieces as f64)).into();
    let hold = |i: usize| {
        if i == 0 {
            held[0]
        } else if i == pieces {
            held[1]
        } else {
            Dofs::NONE
        }
    };
    let nodes: Vec<_> = (0..=pieces).map(|i| (place(i), hold(i))).collect();
    frame(&nodes, &(0..pieces).map(|i| [i, i + 1]).collect::<Vec<_>>(), section)
}

/// Roark's Formulas for Stress and Strain, table 8.1, case 1a: W L³ / 3 E I, and W L² / 2 E I of slope; whichever way it lies.
#[test]
fn a_cantilever() {
    let (l, w) = (800.0, 500.0);
    for (along, across) in [
        (Vector3::x(), Vector3::z()),
        (Vector3::z(), Vector3::x()),
        (-Vector3::z(), Vector3::y()),
        (Vector3::new(2.0, -1.0, 2.0) / 3.0, Vector3::new(1.0, 2.0, 0.0) / 5f64.sqrt()),
    ] {
        let frame = beam(along * l, 1, [Dofs::ALL, Dofs::NONE], TUBE);
        let answer = &frame.solve(&[case(vec![force(1, (across * w).into())])]).unwrap()[0];
        let i = second(TUBE);
        assert!(off(answer.moved[1].shift.dot(&across), w * l.powi(3) / (3.0 * E * i)) < 1e-9);
        assert!(off(answer.moved[1].turn.norm(), w * l * l / (2.0 * E * i)) < 1e-9);
        // At the root the fibre is at M c / I.
        let member = &answer.members[0];
        assert_eq!(member.stress.end, 0);
        assert!(off(member.stress.bending.abs(), w * l * 19.0 / i) < 1e-9);
        assert!(off(answer.reactions[0].moment.norm(), w * l) < 1e-9);
    }
}

/// Short and stout, it gives in shear too: W L / G A' on top (Roark, sect. 8.10).
#[test]
fn a_stout_cantilever_gives_in_shear_too() {
    let section = Section::Box { width: 60.0, height: 80.0, wall: 1.5, radius: 0.0 };
    let (l, w) = (100.0, 1000.0);
    let frame = Frame { shear: true, ..beam(Vector3::x() * l, 3, [Dofs::ALL, Dofs::NONE], section) };
    let answer = &frame.solve(&[case(vec![force(3, [0.0, 0.0, w])])]).unwrap()[0];
    let p = section.properties().unwrap();
    let bends = w * l.powi(3) / (3.0 * E * p.iy);
    let slides = w * l / (steel().shear_modulus() * p.shear_area[1]);
    assert!(slides > bends, "{slides} {bends}");
    assert!(off(answer.moved[3].shift.z, bends + slides) < 1e-9);
    // Its line leaves the wall with the slope that shear alone gives.
    let solver = frame.solver().unwrap();
    let shape = solver.shape(answer, 0, 1000, 1.0);
    assert!(off(shape[1].z / shape[1].x, slides / l) < 0.02, "{}", shape[1].z / shape[1].x);
}

/// Roark, table 8.1, case 1d, load in the middle: W L³ / 192 E I, W L / 8 at the ends.
#[test]
fn a_beam_built_in_at_both_ends() {
    let (l, w) = (1000.0, 800.0);
    let frame = beam(Vector3::y() * l, 2, [Dofs::ALL; 2], TUBE);
    let answer = &frame.solve(&[case(vec![force(1, [0.0, 0.0, -w])])]).unwrap()[0];
    assert!(off(answer.moved[1].shift.z, -w * l.powi(3) / (192.0 * E * second(TUBE))) < 1e-9);
    assert!(off(answer.reactions[0].moment.norm(), w * l / 8.0) < 1e-9);
}

/// Roark, table 8.1, case 1c, load in the middle: 7 W L³ / 768 E I there, 5/16 W at the prop, 3/16 W L at the wall.
#[test]
fn a_propped_beam() {
    let (l, w) = (1000.0, 800.0);
    let prop = Dofs([false, true, true, true, false, false]);
    let frame = beam(Vector3::x() * l, 2, [Dofs::ALL, prop], TUBE);
    let answer = &frame.solve(&[case(vec![force(1, [0.0, 0.0, -w])])]).unwrap()[0];
    assert!(off(answer.moved[1].shift.z, -7.0 * w * l.powi(3) / (768.0 * E * second(TUBE))) < 1e-9);
    assert!(off(answer.reactions[1].force.z, 5.0 * w / 16.0) < 1e-9);
    assert!(off(answer.reactions[0].moment.norm(), 3.0 * w * l / 16.0) < 1e-9);
}

/// A beam on a rod end at one end and built in at the other is a propped beam, whether the node is let go or the member.
#[test]
fn a_rod_end_is_a_hinge() {
    let (l, w) = (1000.0, 800.0);
    let mut frame = beam(Vector3::x() * l, 2, [Dofs::ALL; 2], TUBE);
    frame.members[1].freed[1] = Dofs([false, false, false, false, true, true]);
    let answer = &frame.solve(&[case(vec![force(1, [0.0, 0.0, -w])])]).unwrap()[0];
    assert!(off(answer.moved[1].shift.z, -7.0 * w * l.powi(3) / (768.0 * E * second(TUBE))) < 1e-9);
    // At the hinge it slopes though its node does not turn: W L² / 32 E I (Roark, the same case).
    let shape = frame.solver().unwrap().shape(answer, 1, 1000, 1.0);
    let slope = (shape[1000].z - shape[999].z) / (shape[1000].x - shape[999].x);
    assert!(off(slope, w * l * l / (32.0 * E * second(TUBE))) < 2e-3, "{slope}");
}

/// A portal pushed at a corner, its feet built in, its columns and beam of one section and no stretch: the feet carry
/// M = F h / 2 (3 k + 1) / (6 k + 1), the corners F h / 2 · 3 k / (6 k + 1), with k = (I beam / I column) h / l
/// (Kleinlogel, Rahmenformeln, frame 1, from memory).
#[test]
fn a_portal_frame() {
    let (h, l, f) = (900.0, 1200.0, 1000.0);
    let nodes = [[0.0; 3], [0.0, 0.0, h], [l, 0.0, h], [l, 0.0, 0.0]];
    let held = [Dofs::ALL, Dofs::NONE, Dofs::NONE, Dofs::ALL];
    let nodes: Vec<_> = nodes.into_iter().zip(held).collect();
    // A slim bar hardly stretches beside its bending.
    let frame = frame(&nodes, &[[0, 1], [1, 2], [2, 3]], Section::Tube { diameter: 2.0, wall: 1.0 });
    let halves = case(vec![force(1, [f / 2.0, 0.0, 0.0]), force(2, [f / 2.0, 0.0, 0.0])]);
    let answer = &frame.solve(&[halves]).unwrap()[0];
    let k = h / l;
    let (foot, corner) = (f * h / 2.0 * (3.0 * k + 1.0) / (6.0 * k + 1.0), f * h / 2.0 * 3.0 * k / (6.0 * k + 1.0));
    for member in [0, 2] {
        let [a, b] = answer.members[member].ends.map(|e| e.moment.norm());
        let (low, high) = if member == 0 { (a, b) } else { (b, a) };
        assert!(off(low, foot) < 1e-5 && off(high, corner) < 1e-5, "{low} {foot}, {high} {corner}");
    }
}

/// Roark, table 9.2, case 1: a ring pulled across by W, of radius R: 0.149 W R³ / E I wider (pi/4 - 2/pi), 0.137 narrower
/// (2/pi - 1/2), W R / pi under the load. As a polygon of many sides.
#[test]
fn a_ring_under_diametral_load() {
    let (radius, w, sides) = (300.0, 500.0, 240);
    let bar = Section::Tube { diameter: 4.0, wall: 2.0 };
    let at = |i: usize| {
        let turn = TAU * i as f64 / sides as f64;
        [radius * turn.cos(), 0.0, radius * turn.sin()]
    };
    let hold = |i: usize| match i {
        0 => Dofs([true, true, true, true, false, true]),
        i if i == sides / 2 => Dofs([false, true, true, true, false, true]),
        _ => Dofs::NONE,
    };
    let nodes: Vec<_> = (0..sides).map(|i| (at(i), hold(i))).collect();
    let frame = frame(&nodes, &(0..sides).map(|i| [i, (i + 1) % sides]).collect::<Vec<_>>(), bar);
    let (top, bottom) = (sides / 4, 3 * sides / 4);
    let pulled = case(vec![force(top, [0.0, 0.0, w]), force(bottom, [0.0, 0.0, -w])]);
    let answer = &frame.solve(&[pulled]).unwrap()[0];
    let unit = w * radius.powi(3) / (E * second(bar));
    let wider = answer.moved[top].shift.z - answer.moved[bottom].shift.z;
    let narrower = answer.moved[0].shift.x - answer.moved[sides / 2].shift.x;
    assert!(off(wider, (PI / 4.0 - 2.0 / PI) * unit) < 1e-3, "{}", wider / unit);
    assert!(off(narrower, -(2.0 / PI - 0.5) * unit) < 1e-3, "{}", narrower / unit);
    assert!(off(answer.members[top].ends[0].moment.norm(), w * radius / PI) < 1e-3);
}

/// A tube twisted: T L / G J, T r / J (Roark, table 10.1, case 10).
#[test]
fn a_tube_in_torsion() {
    let (l, t) = (700.0, 3e5);
    let frame = beam(Vector3::new(1.0, 1.0, 1.0).normalize() * l, 4, [Dofs::ALL, Dofs::NONE], TUBE);
    let along = Vector3::new(1.0, 1.0, 1.0).normalize() * t;
    let answer = &frame.solve(&[case(vec![moment(4, along.into())])]).unwrap()[0];
    let j = PI / 2.0 * (19f64.powi(4) - 17f64.powi(4));
    assert!(off(answer.moved[4].turn.norm(), t * l / (steel().shear_modulus() * j)) < 1e-9);
    assert!(off(answer.members[2].stress.torsion, t * 19.0 / j) < 1e-9);
    assert!(off(answer.members[2].stress.mises, 3f64.sqrt() * t * 19.0 / j) < 1e-9);
}

/// A closed thin-walled box twisted: L T ∮ds/t / 4 A² G, T / 2 A t (Bredt; Roark, table 10.1, case 16), but for the walls' own
/// (t/b)². Opened along one face it turns some hundred times as far.
#[test]
fn a_box_in_torsion_and_the_same_cut_open() {
    let (l, t, [b, h, wall]) = (500.0, 2e5, [60.0, 80.0, 1.0]);
    let whole = Section::Box { width: b, height: h, wall, radius: 0.0 };
    let notch = Notch { face: Face::Top, depth: 10.0, across: None };
    let cut = Section::Notched { width: b, height: h, wall, notch };
    let [whole, cut] = [whole, cut].map(|section| {
        let frame = beam(Vector3::x() * l, 1, [Dofs::ALL, Dofs::NONE], section);
        frame.solve(&[case(vec![moment(1, [t, 0.0, 0.0])])]).unwrap().remove(0)
    });
    let area = (b - wall) * (h - wall);
    let around = 2.0 * (b + h - 2.0 * wall) / wall;
    let turn = l * t * around / (4.0 * area * area * steel().shear_modulus());
    assert!(off(whole.moved[1].turn.x, turn) < 1e-3);
    assert!(off(whole.members[0].stress.torsion, t / (2.0 * area * wall)) < 1e-12);
    assert!(cut.moved[1].turn.x > 1000.0 * turn, "{} {turn}", cut.moved[1].turn.x);
}

/// A section without symmetry bends aside: the deflection of a cantilever is W L³ / 3 E times the inverse of its second
/// moments, taken as a tensor (Timoshenko, Strength of Materials I, art. 48, from memory).
#[test]
fn an_askew_section_bends_aside() {
    let notch = Notch { face: Face::Top, depth: 25.0, across: Some([-8.0, 40.0]) };
    let section = Section::Notched { width: 60.0, height: 80.0, wall: 1.5, notch };
    let (l, w) = (900.0, 300.0);
    let answer = &beam(Vector3::x() * l, 3, [Dofs::ALL, Dofs::NONE], section)
        .solve(&[case(vec![force(3, [0.0, 0.0, w])])])
        .unwrap()[0];
    let p = section.properties().unwrap();
    let unit = w * l.powi(3) / (3.0 * E) / (p.iy * p.iz - p.iyz * p.iyz);
    let shift = answer.moved[3].shift;
    assert!(p.iyz.abs() > 0.05 * p.iy);
    assert!(off(shift.z, unit * p.iz) < 1e-8 && off(shift.y, -unit * p.iyz) < 1e-8, "{shift:?}");
}

/// A strut between rod ends is used as far as Euler says, and the answer names it; a bow takes its part.
#[test]
fn the_weakest_member_is_named() {
    let nodes = [([0.0; 3], Dofs::ALL), ([0.0, 0.0, 800.0], Dofs::NONE), ([700.0, 0.0, 800.0], Dofs::ALL)];
    let mut frame = frame(&nodes, &[[0, 1], [2, 1]], TUBE);
    frame.members[0] = Member::new("strut", [0, 1], Section::Tube { diameter: 12.0, wall: 1.0 }, steel());
    frame.members[0].freed = [Dofs::TURNS; 2];
    frame.members[1].freed = [Dofs::TURNS, Dofs::NONE];
    frame.nodes[1].held = Dofs([false, true, false, true, false, true]);
    let push = [case(vec![force(1, [0.0, 0.0, -2000.0])])];
    let straight = frame.solve(&push).unwrap().remove(0);
    let (which, share, way) = straight.weakest().unwrap();
    assert_eq!((frame.members[which].name.as_str(), way), ("strut", Way::Buckling));
    let euler = PI * PI * E * second(frame.members[0].section) / 800.0f64.powi(2);
    assert!(off(straight.members[0].axial, -2000.0) < 1e-9 && off(share, 2000.0 / euler) < 1e-9);
    frame.members[0].bow = 8.0;
    assert!(frame.solve(&push).unwrap()[0].members[0].buckling_use > 1.3 * share);
}

/// A cantilever's stiffness at its tip is 3 E I / L³; its mass is its length's.
#[test]
fn stiffness_and_mass() {
    let frame = beam(Vector3::x() * 800.0, 2, [Dofs::ALL, Dofs::NONE], TUBE);
    let solver = frame.solver().unwrap();
    let k = solver.stiffness(2, Vector3::new(0.0, 3.0, 4.0)).unwrap();
    assert!(off(k, 3.0 * E * second(TUBE) / 800f64.powi(3)) < 1e-9);
    let area = PI * (19.0 * 19.0 - 17.0 * 17.0);
    assert!(off(solver.mass(), area * 800.0 * 7850e-9) < 1e-12);
}

/// A bracket: a member that ends beside its node carries the offset's moment.
#[test]
fn an_offset_is_a_rigid_bracket() {
    let (l, arm, w) = (600.0, 90.0, 400.0);
    let mut frame = beam(Vector3::x() * l, 1, [Dofs::ALL, Dofs::NONE], TUBE);
    frame.nodes[1].at = Vector3::new(l, arm, 0.0);
    frame.members[0].offsets[1] = Vector3::new(0.0, -arm, 0.0);
    let answer = &frame.solve(&[case(vec![force(1, [0.0, 0.0, w])])]).unwrap()[0];
    let p = TUBE.properties().unwrap();
    let twist = w * arm * l / (steel().shear_modulus() * p.torsion);
    assert!(off(answer.moved[1].turn.x, twist) < 1e-9);
    assert!(off(answer.moved[1].shift.z, w * l.powi(3) / (3.0 * E * p.iy) + twist * arm) < 1e-9);
}

/// Bent up, a cantilever is in compression on top at its root and in tension below: where the top is farther from the
/// centroid, because a notch took it away, the greatest stress is compression, and bent down tension.
#[test]
fn bending_has_the_sign_of_its_fibre() {
    let notch = Notch { face: Face::Top, depth: 20.0, across: None };
    let section = Section::Notched { width: 60.0, height: 80.0, wall: 1.5, notch };
    let p = section.properties().unwrap();
    assert!(p.centroid[1] < -5.0 && p.bending(1e5, 0.0)[0] > -p.bending(1e5, 0.0)[1]);
    let frame = beam(Vector3::x() * 500.0, 1, [Dofs::ALL, Dofs::NONE], section);
    let turned = beam(Vector3::x() * -500.0, 1, [Dofs::ALL, Dofs::NONE], section);
    for (frame, up, sign) in [(&frame, 1.0, -1.0), (&frame, -1.0, 1.0), (&turned, 1.0, -1.0)] {
        let answer = &frame.solve(&[case(vec![force(1, [0.0, 0.0, up * 100.0])])]).unwrap()[0];
        let stress = &answer.members[0].stress;
        assert_eq!((stress.bending.signum(), stress.end), (sign, 0));
        assert!(off(stress.bending.abs(), 500.0 * 100.0 * (20.0 - p.centroid[1]) / p.iy) < 1e-9);
    }
}

/// A member's drawn line is where nodes along it would be: askew, giving in shear, on a rod end.
#[test]
fn a_shape_is_that_of_a_finer_frame() {
    let notch = Notch { face: Face::Left, depth: 20.0, across: Some([-10.0, 40.0]) };
    let section = Section::Notched { width: 60.0, height: 50.0, wall: 2.0, notch };
    let built = |pieces: usize| {
        let mut frame = Frame { shear: true, ..beam(Vector3::new(300.0, 50.0, 20.0), pieces, [Dofs::ALL; 2], section) };
        frame.nodes[pieces].held = Dofs::NONE;
        frame.nodes.push(crate::node(99, [350.0, 400.0, 60.0], Dofs::ALL));
        frame.members[pieces - 1].freed[1] = Dofs([false, false, false, false, true, false]);
        frame.members.push(Member::new("rest", [pieces, pieces + 1], TUBE, steel()));
        frame
    };
    let push = |node| [case(vec![force(node, [100.0, -900.0, 700.0]), moment(node, [2e4, 3e4, -1e4])])];
    let (one, four) = (built(1), built(4));
    let [coarse, fine] = [(&one, 1), (&four, 4)].map(|(f, n)| f.solve(&push(n)).unwrap().remove(0));
    let shape = one.solver().unwrap().shape(&coarse, 0, 4, 1.0);
    for (i, at) in shape.iter().enumerate() {
        let node = four.nodes[i].at + fine.moved[i].shift;
        assert!((node - at).norm() < 1e-9 * 300.0, "{i}: {node} {at}");
    }
}
