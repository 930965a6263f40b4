//! What is refused, and whether it is told where and what to do.

use nalgebra::Vector3;
use proptest::prelude::*;
use scribeline::strength::{Dofs, Frame, FrameError, Load, LoadCase, Member, Section};

use crate::{TUBE, case, force, frame, moment, node, steel};

/// A triangle that stands on two of its corners.
fn triangle() -> Frame {
    let nodes = [([0.0; 3], Dofs::ALL), ([600.0, 0.0, 0.0], Dofs::ALL), ([300.0, 0.0, 500.0], Dofs::NONE)];
    frame(&nodes, &[[0, 1], [1, 2], [2, 0]], TUBE)
}

fn told(frame: &Frame) -> String {
    frame.solver().err().expect("a frame that cannot be").to_string()
}

#[test]
fn a_frame_that_stands_is_not_refused() {
    assert!(triangle().solve(&[case(vec![force(2, [1.0, 2.0, 3.0])])]).is_ok());
    // Without a load nothing moves, and nothing is unbalanced.
    let still = triangle().solve(&[case(vec![])]).unwrap().remove(0);
    assert!(still.residual == 0.0 && still.moved.iter().all(|m| m.shift.norm() == 0.0));
}

#[test]
fn what_is_absurd_is_named() {
    type Spoil = fn(&mut Frame);
    let spoilt: [(Spoil, &[&str]); 14] = [
        (|f| f.nodes.clear(), &["no nodes"]),
        (|f| f.members.clear(), &["no members"]),
        (|f| f.nodes[2].at.y = f64::NAN, &["n2", "coordinates"]),
        (|f| f.nodes[2].at.y = 1e9, &["n2", "coordinates"]),
        (|f| f.nodes[2].at = Vector3::zeros(), &["m2", "no length", "n0"]),
        (|f| f.members[1].ends = [1, 7], &["m1", "number 7"]),
        (|f| f.members[1].ends = [1, 1], &["m1", "two nodes"]),
        (|f| f.members[0].section = Section::Tube { diameter: 20.0, wall: 30.0 }, &["m0", "wall"]),
        (|f| f.members[0].material.modulus = 0.0, &["m0", "modulus"]),
        (|f| f.members[0].up = Some(Vector3::x()), &["m0", "up direction"]),
        (|f| f.members[0].up = Some(Vector3::zeros()), &["m0", "up direction"]),
        (|f| f.members[0].fixity = -1.0, &["m0", "fixity"]),
        (|f| f.members[0].offsets[1].x = f64::INFINITY, &["m0", "offsets"]),
        (|f| f.members[0].bow = f64::NAN, &["m0", "bow"]),
    ];
    for (spoil, words) in spoilt {
        let mut frame = triangle();
        spoil(&mut frame);
        let told = told(&frame);
        assert!(words.iter().all(|w| told.contains(w)), "{told}: {words:?}");
    }
}

#[test]
fn what_hangs_on_nothing_is_named() {
    let mut loose = triangle();
    loose.nodes.iter_mut().for_each(|n| n.held = Dofs::NONE);
    assert_eq!(loose.solver().err(), Some(FrameError::Unsupported));
    let mut apart = triangle();
    apart.nodes.push(node(3, [0.0, 900.0, 0.0], Dofs::NONE));
    apart.nodes.push(node(4, [0.0, 900.0, 300.0], Dofs::NONE));
    apart.members.push(Member::new("m3", [3, 4], TUBE, steel()));
    assert_eq!(apart.solver().err(), Some(FrameError::Apart { node: "n3".into(), nodes: 2 }));
    let mut lone = triangle();
    lone.nodes.push(node(3, [0.0, 900.0, 0.0], Dofs::NONE));
    assert!(told(&lone).contains("n3"));
}

fn mechanism(frame: &Frame) -> (String, &'static str, Vector3<f64>) {
    match frame.solver().err() {
        Some(FrameError::Mechanism { node, way, direction }) => (node, way, direction),
        other => panic!("{other:?}"),
    }
}

/// A flat square on rod ends folds over; the free corner and its direction are named.
#[test]
fn a_square_without_a_diagonal_folds() {
    let flat = Dofs([false, true, false, true, false, true]);
    let nodes =
        [([0.0; 3], Dofs::ALL), ([500.0, 0.0, 0.0], Dofs::ALL), ([500.0, 0.0, 400.0], flat), ([0.0, 0.0, 400.0], flat)];
    let mut square = frame(&nodes, &[[1, 2], [2, 3], [3, 0]], TUBE);
    square.members.iter_mut().for_each(|m| m.freed = [Dofs::TURNS; 2]);
    let (node, way, direction) = mechanism(&square);
    assert!(["n2", "n3"].contains(&node.as_str()), "{node}");
    assert_eq!(way, "shift");
    assert!((direction - Vector3::x()).norm() < 1e-6, "{direction}");
    // A diagonal makes it stand, and then no node's idle turn is in the way.
    let mut braced = square.clone();
    braced.members.push(Member { freed: [Dofs::TURNS; 2], ..Member::new("brace", [0, 2], TUBE, steel()) });
    let answer = braced.solve(&[case(vec![force(3, [1000.0, 0.0, 0.0])])]).unwrap().remove(0);
    assert!(answer.residual < 1e-9);
}

/// Two tubes in line on rod ends hold their joint lengthwise only.
#[test]
fn a_joint_in_line_is_free_across() {
    let nodes = [([0.0; 3], Dofs::ALL), ([500.0, 0.0, 0.0], Dofs::NONE), ([1000.0, 0.0, 0.0], Dofs::ALL)];
    let mut line = frame(&nodes, &[[0, 1], [1, 2]], TUBE);
    line.members.iter_mut().for_each(|m| m.freed = [Dofs::TURNS; 2]);
    let (node, way, direction) = mechanism(&line);
    assert_eq!((node.as_str(), way), ("n1", "shift"));
    assert!(direction.x.abs() < 1e-9);
}

/// A welded frame on one ball joint swings about it; its farthest corner is named.
#[test]
fn a_frame_on_one_ball_joint_swings() {
    let mut swinging = triangle();
    swinging.nodes[0].held = Dofs::SHIFTS;
    swinging.nodes[1].held = Dofs::NONE;
    let (node, way, _) = mechanism(&swinging);
    assert!(node != "n0" && way == "shift", "{node} {way}");
}

/// On two ball joints it still folds about the line between them, which is along x here; askew in space as well.
#[test]
fn a_frame_on_two_ball_joints_folds_about_their_line() {
    let mut folding = triangle();
    folding.nodes[0].held = Dofs::SHIFTS;
    folding.nodes[1].held = Dofs::SHIFTS;
    let (node, _, direction) = mechanism(&folding);
    assert_eq!(node, "n2");
    assert!((direction - Vector3::y()).norm() < 1e-6, "{direction}");
    let turn = nalgebra::Rotation3::from_euler_angles(0.3, -0.8, 1.1);
    folding.nodes.iter_mut().for_each(|n| n.at = turn * n.at);
    let (node, _, direction) = mechanism(&folding);
    assert_eq!(node, "n2");
    assert!((turn * Vector3::y()).cross(&direction).norm() < 1e-6, "{direction}");
}

#[test]
fn a_load_that_finds_no_hold_is_named() {
    let answer = |frame: &Frame, load: Load| {
        frame.solve(&[LoadCase { name: "braking".into(), loads: vec![load] }]).expect_err("no such load").to_string()
    };
    let told = answer(&triangle(), force(9, [1.0, 0.0, 0.0]));
    assert!(told.contains("braking") && told.contains("number 9"), "{told}");
    let told = answer(&triangle(), force(2, [f64::NAN, 0.0, 0.0]));
    assert!(told.contains("braking") && told.contains("n2"), "{told}");
    let mut hinged = triangle();
    hinged.nodes[2].held = Dofs([false, true, false, false, false, false]);
    hinged.members.iter_mut().for_each(|m| m.freed = [Dofs::TURNS; 2]);
    assert!(hinged.solve(&[case(vec![force(2, [5.0, 0.0, 0.0])])]).is_ok());
    let told = answer(&hinged, moment(2, [0.0, 5.0, 0.0]));
    assert!(told.contains("n2") && told.contains("rod end"), "{told}");
}

#[test]
fn stiffness_is_asked_where_something_gives() {
    let frame = triangle();
    let solver = frame.solver().unwrap();
    assert!(solver.stiffness(2, Vector3::z()).unwrap() > 0.0);
    for (node, direction, word) in
        [(0, Vector3::z(), "support"), (2, Vector3::zeros(), "no direction"), (8, Vector3::z(), "number 8")]
    {
        let told = solver.stiffness(node, direction).expect_err("nothing gives").to_string();
        assert!(told.contains(word), "{told}");
    }
}

proptest! {
    /// Whatever is drawn, there is an answer or an error, and no panic.
    #[test]
    fn nothing_panics(
        places in prop::collection::vec(prop::array::uniform3(prop_oneof![
            5 => -500.0..500.0f64, 1 => Just(0.0), 1 => Just(f64::NAN), 1 => Just(1e300),
        ]), 0..7),
        pairs in prop::collection::vec((0..8usize, 0..8usize, any::<u16>(), 0.0..60.0f64), 0..10),
        held in any::<u64>(), at in 0..9usize, size in prop_oneof![Just(f64::INFINITY), Just(1e300), 0.0..1e4f64],
    ) {
        let bits = |word: u64| Dofs(std::array::from_fn(|i| word >> i & 1 == 1));
        let nodes = places.iter().enumerate().map(|(i, &p)| node(i, p, bits(held >> (6 * i)))).collect();
        let members = pairs.iter().map(|&(a, b, freed, d)| Member {
            freed: [bits(u64::from(freed)), bits(u64::from(freed) >> 6)],
            ..Member::new("any", [a, b], Section::Tube { diameter: d, wall: 1.0 }, steel())
        });
        let frame = Frame { nodes, members: members.collect(), shear: held & 1 == 0 };
        if let Ok(answers) = frame.solve(&[case(vec![force(at, [size, 1.0, -size])])]) {
            prop_assert!(answers[0].residual <= 1e-6);
            prop_assert!(answers[0].moved.iter().all(|m| m.shift.iter().all(|v| v.is_finite())));
        }
    }
}
