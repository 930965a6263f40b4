//! The body as a frame: rails and tubes of a car file, welded where they meet, held, loaded and compared.

use nalgebra::Vector3;
use scribeline::answer::frame::{Compared, StateName};
use scribeline::answer::{BodyStrength, Study, Told};
use scribeline::car::{Car, CarFile, Shown};
use scribeline::strength::body::{BodyFrame, Held, Mount, NoBody, assemble, mounts};
use scribeline::strength::{LoadCase, Section};

mod common;

/// The two-seater with these rails in the place of its own, and more beside them.
fn built(rails: &str, more: &str) -> Car {
    let whole = common::with("two-seater", "frame");
    let start = whole.find("    rails: [").expect("rails");
    let end = whole.find("    panels: [").expect("panels");
    let text = format!("{}    rails: [{rails}],\n    {more}\n{}", &whole[..start], &whole[end..]);
    CarFile::from_text(text, None).unwrap_or_else(|e| panic!("{e}")).car().clone()
}

fn rail(name: &str, section: &str, wall: f64, line: &str, more: &str) -> String {
    format!(
        "(name: {name:?}, section: {section}, wall: {wall}, grade: \"S235\", datum: \"firewall\", centreline: [{line}], {more}),"
    )
}

fn curlew() -> String {
    include_str!("reference/curlew.ron").to_owned()
}

fn read(text: String) -> CarFile {
    CarFile::from_text(text, None).unwrap_or_else(|e| panic!("{e}"))
}

fn at(x: f64, y: f64, z: f64) -> Vector3<f64> {
    Vector3::new(x, y, z)
}

fn body(car: &Car, places: &[(&str, Vector3<f64>)]) -> BodyFrame {
    let places: Vec<_> = places.iter().map(|(name, at)| ((*name).to_owned(), *at)).collect();
    let mounts: Vec<Mount> = mounts(car, &places).expect("mounts");
    assemble(car, &mounts).expect("a body")
}

/// Of the first place, and in twist between the first two, with or without the give of shear.
fn stiffness(body: &BodyFrame, shear: bool) -> (Vec<[f64; 3]>, Option<f64>) {
    let mut body = body.clone();
    body.frame.shear = shear;
    let solver = body.frame.solver().expect("a frame");
    let pair = (body.seats.len() > 1).then_some([0, 1]);
    let found = body.stiffness(&solver, pair);
    (found.at.into_iter().map(|s| s.expect("held")).collect(), found.twist)
}

fn near(a: f64, b: f64, share: f64) {
    assert!((a - b).abs() <= share * b.abs(), "{a}, and by hand {b}");
}

/// Modulus and shear modulus of S235, MPa.
const E: f64 = 210_000.0;
const G: f64 = E / 2.6;

#[test]
fn a_rail_from_its_datum_is_a_cantilever() {
    // Gere & Goodno, Mechanics of Materials, table H-1: P L³ / 3EI at the tip; Timoshenko's shear adds P L / G A_s.
    let car = built(&rail("spar", "box(width: 60, height: 80)", 2.0, "(-600, 0, 500), (200, 0, 500)", ""), "");
    let tip = body(&car, &[("tip", at(200.0, 0.0, 500.0))]);
    let p = Section::Box { width: 60.0, height: 80.0, wall: 2.0, radius: 0.0 }.properties().expect("a section");
    let l = 800.0f64;
    let (plain, _) = stiffness(&tip, false);
    near(plain[0][0], E * p.area / l, 1e-9);
    near(plain[0][1], 3.0 * E * p.iz / l.powi(3), 1e-9);
    near(plain[0][2], 3.0 * E * p.iy / l.powi(3), 1e-9);
    let (sheared, _) = stiffness(&tip, true);
    near(1.0 / sheared[0][2], l.powi(3) / (3.0 * E * p.iy) + l / (G * p.shear_area[1]), 1e-9);
    near(tip.mass(), 7850e-9 * p.area * l, 1e-9);
    assert_eq!(tip.held, Held { places: Vec::new(), datums: vec![("spar".into(), "firewall".into())] });
}

#[test]
fn a_place_on_a_bracket_twists_the_rail_that_carries_it() {
    // A load aside of the tip by e bends the rail as before and turns it by P e L / GJ, which lowers its own place by e times that.
    let car = built(&rail("spar", "round(od: 60)", 2.0, "(-600, 0, 500), (200, 0, 500)", ""), "");
    let tip = body(&car, &[("tip", at(200.0, 150.0, 500.0))]);
    let p = Section::Tube { diameter: 60.0, wall: 2.0 }.properties().expect("a section");
    let (l, e) = (800.0f64, 150.0f64);
    let (plain, _) = stiffness(&tip, false);
    near(1.0 / plain[0][2], l.powi(3) / (3.0 * E * p.iy) + e * e * l / (G * p.torsion), 1e-9);
    assert_eq!((tip.seats[0].on.as_deref(), tip.seats[0].off), (Some("spar"), 120.0));
}

#[test]
fn two_rails_with_a_beam_across_are_a_portal() {
    // Sway of a portal on built-in feet: 24 E I / h³ (1 + 12 r) / (4 + 12 r), r the beam's stiffness over both posts',
    // nothing getting longer (Chopra, Dynamics of Structures, eq. 1.3.5, from memory). Thick beams are long for their bending, so
    // their areas' own give, which the formula leaves out, shows in the fourth figure.
    let post = |name: &str, y: f64| rail(name, "round(od: 40)", 2.0, &format!("(-900, {y}, 500), (100, {y}, 500)"), "");
    let rails = post("left post", 400.0) + &post("right post", -400.0);
    let beam =
        "tubes: [(name: \"beam\", od: 50, wall: 2, grade: \"S235\", points: [(100, 400, 500), (100, -400, 500)])],";
    let portal = body(&built(&rails, beam), &[("corner", at(100.0, 400.0, 500.0))]);
    let second = |diameter| Section::Tube { diameter, wall: 2.0 }.properties().expect("a section").iz;
    let (posts, across) = (second(40.0), second(50.0));
    let r = (across / 800.0) / (2.0 * posts / 1000.0);
    let by_hand = 24.0 * E * posts / 1000f64.powi(3) * (1.0 + 12.0 * r) / (4.0 + 12.0 * r);
    near(stiffness(&portal, false).0[0][1], by_hand, 5e-3);
    assert_eq!(portal.frame.members.len(), 3);
}

#[test]
fn a_notch_leaves_the_stretch_what_is_left_of_its_section() {
    let line = "(-600, 0, 500), (200, 0, 500)";
    let notch = "notches: [(from: 300, to: 500, face: top, depth: 30)]";
    let whole =
        body(&built(&rail("spar", "box(width: 60, height: 80)", 2.0, line, ""), ""), &[("tip", at(200.0, 0.0, 500.0))]);
    let notched = body(
        &built(&rail("spar", "box(width: 60, height: 80)", 2.0, line, notch), ""),
        &[("tip", at(200.0, 0.0, 500.0))],
    );
    let left = Section::Notched {
        width: 60.0,
        height: 80.0,
        wall: 2.0,
        notch: scribeline::strength::Notch { face: scribeline::strength::Face::Top, depth: 30.0, across: None },
    };
    let left = left.properties().expect("a section");
    let p = Section::Box { width: 60.0, height: 80.0, wall: 2.0, radius: 0.0 }.properties().expect("a section");
    // Deflection by Mohr: the integral of x² / EI from the tip, piece by piece.
    let piece = |from: f64, to: f64, i: f64| (to.powi(3) - from.powi(3)) / (3.0 * E * i);
    let by_hand = piece(0.0, 300.0, p.iy) + piece(300.0, 500.0, left.iy) + piece(500.0, 800.0, p.iy);
    near(1.0 / stiffness(&notched, false).0[0][2], by_hand, 1e-9);
    assert!(stiffness(&whole, true).0[0][2] > stiffness(&notched, true).0[0][2]);
    near(whole.mass() - notched.mass(), 7850e-9 * 200.0 * (p.area - left.area), 1e-9);
}

#[test]
fn a_notch_in_the_outer_face_is_in_the_outer_face_on_both_sides() {
    let notch = "mirror: true, notches: [(from: 300, to: 500, face: outer, depth: 20)]";
    // Along the car, straight up, and straight down, held at its first point.
    for tip in [at(200.0, 400.0, 500.0), at(-600.0, 400.0, 1300.0), at(-600.0, 400.0, -300.0)] {
        let line = format!("(-600, 400, 500), ({}, {}, {})", tip.x, tip.y, tip.z);
        let held = "nodes: [(name: \"root\", mirror: true, at: (-600, 400, 500), on: \"spar\", held: true)],";
        let car = built(&rail("spar", "box(width: 60, height: 80)", 2.0, &line, notch), held);
        let both = body(&car, &[("tip", tip), ("other tip", at(tip.x, -tip.y, tip.z))]);
        let (k, _) = stiffness(&both, true);
        // What is left is one side's mirror image.
        (0..3).for_each(|i| near(k[0][i], k[1][i], 1e-9));
        for side in ["left spar", "right spar"] {
            let piece = both.pieces.iter().find(|p| p.run == side && p.stations == [300.0, 500.0]).expect("the notch");
            let member = &both.frame.members[piece.member.expect("held")];
            // The middle of what is left has moved away from the face that was cut: inwards.
            let shift = both.frame.nodes[member.ends[0]].at + member.offsets[0] - piece.ends[0];
            let inwards = if side == "left spar" { -1.0 } else { 1.0 };
            let aside = shift.x.hypot(shift.z);
            assert!(shift.y * inwards > 1.0 && aside < 1e-9, "{side} to {tip}: {shift}");
        }
    }
}

/// Put together and solved by hand and a general-purpose frame library: tests/reference/nose.py.
#[test]
fn the_assembled_nose_is_as_stiff_as_another_librarys() {
    let reference: serde_json::Value =
        serde_json::from_str(include_str!("reference/nose.json")).expect("the reference");
    let rerouted = curlew().replace("remove(\"tower arm\"),", &format!("remove(\"tower arm\"),\n{REROUTE}"));
    let cut = read(rerouted).proposed("low and wide").expect("the proposal");
    for (name, car) in [("found", read(curlew()).car().clone()), ("rerouted", cut)] {
        let tower = at(-18.0, 425.0, 640.0);
        let places = [
            ("left tower", tower),
            ("right tower", at(tower.x, -tower.y, tower.z)),
            ("pickup", at(92.0, 392.0, 357.0)),
        ];
        let nose = body(&car, &places);
        let (k, twist) = stiffness(&nose, false);
        let theirs = &reference[name];
        let get = |s: usize, axis: usize| theirs["stiffness"][s][axis].as_f64().expect("a number");
        // The right tower is the left one's mirror image.
        for (ours, seat) in k.iter().zip([0, 0, 1]) {
            ours.iter().enumerate().for_each(|(axis, k)| near(*k, get(seat, axis), 1e-7));
        }
        near(twist.expect("towers"), theirs["twist"].as_f64().expect("a number"), 1e-7);
        assert_eq!(nose.beside, ["exhaust"], "hangs on nothing of the body");
        assert!(nose.loose.is_empty() && nose.loose_ends.is_empty(), "{:?} {:?}", nose.loose, nose.loose_ends);
    }
}

/// A bypass and two braces, as a user would write them.
const REROUTE: &str = r#"
    add_node(name: "bend", mirror: true, at: (-115, 495, 822)),
    add_tube(name: "bypass", mirror: true, od: 44.5, wall: 2, grade: "E235+N",
        points: [(rail: "upper rail", cut: near), "bend", (rail: "upper rail", cut: far)]),
    add_tube(name: "brace", mirror: true, od: 38, wall: 2, grade: "E235+N", points: ["bend", "damper tower"]),
    add_tube(name: "brace 2", mirror: true, od: 38, wall: 2, grade: "E235+N", points: ["bend", (rail: "lower rail", station: 397)]),
"#;

fn strength(text: &str, proposal: &str) -> BodyStrength {
    let file = read(text.to_owned());
    let study = Study::new(file.proposed(proposal).expect("the proposal")).expect("a study");
    let bare = file.car().proposed_bare(proposal);
    let compared = Compared { found: Some(file.car()), bare: bare.as_ref(), share: 1.0 };
    study.body_strength(compared).expect("an answer")
}

#[test]
fn found_cut_and_rerouted_stand_side_by_side() {
    let text = curlew().replace("remove(\"tower arm\"),", &format!("remove(\"tower arm\"),\n{REROUTE}"));
    let told = strength(&text, "low and wide");
    let states: Vec<_> = told.states.iter().map(|s| s.state).collect();
    assert_eq!(states, [StateName::AsFound, StateName::Cut, StateName::Rerouted]);
    let [found, cut, rerouted] = &told.states[..] else { panic!("three states") };
    assert!(found.nothing_holds.is_empty() && rerouted.nothing_holds.is_empty());
    assert!(
        cut.nothing_holds.iter().any(|p| p.starts_with("left upper rail from 792.0 to ")),
        "{:?}",
        cut.nothing_holds
    );
    assert!(cut.members.is_empty(), "what comes apart is not judged");
    assert_eq!(found.places.len(), rerouted.places.len());
    // What is welded in makes it stiffer everywhere than the bare cut.
    for (bare, after) in cut.places.iter().zip(&rerouted.places) {
        for axis in 0..3 {
            assert!(after.along(axis) >= bare.along(axis), "{}", bare.place);
        }
    }
    // A place on a new tube goes with it where the bare cut is looked at.
    let more = text.replace(
        "add_tube(name: \"brace 2\"",
        "add_node(name: \"lug\", at: (-115, 495, 822), on: \"bypass\"),\nadd_tube(name: \"brace 2\"",
    );
    assert_ne!(more, text);
    assert_eq!(strength(&more, "low and wide").states.len(), 3);
    let sentence = told.sentence(Shown::Mm);
    assert!(sentence.starts_with("Cut, nothing holds the left upper rail from 792.0 to 1170.4 mm"), "{sentence}");
    assert!(
        sentence.contains("Rerouted, the body keeps ") && sentence.contains("the weakest member is the "),
        "{sentence}"
    );
    // Tubes by their length and section; plates are not in this reroute.
    let tube = |od: f64, length: f64| 7850e-9 * std::f64::consts::PI * (od - 2.0) * 2.0 * length;
    let [bypass, brace] = [44.5, 38.0].map(|od| {
        let of = rerouted
            .body
            .pieces
            .iter()
            .filter(|p| p.run.starts_with("left b") && p.section == Section::Tube { diameter: od, wall: 2.0 });
        tube(od, of.map(|p| (p.ends[1] - p.ends[0]).norm()).sum())
    });
    near(rerouted.mass_kg - cut.mass_kg, 2.0 * (bypass + brace), 1e-9);
}

#[test]
fn everything_stands_in_balance() {
    let text = curlew().replace("remove(\"tower arm\"),", &format!("remove(\"tower arm\"),\n{REROUTE}"));
    let told = strength(&text, "low and wide");
    for state in told.states.iter().filter(|s| s.nothing_holds.is_empty()) {
        assert_eq!(state.answers.len(), 13, "the usual cases");
        for (answer, i) in state.answers.iter().zip(0..) {
            assert!(answer.residual < 1e-9, "{}: {}", answer.case, answer.residual);
            let bent = state.bends(i).expect("a shape");
            // The drawn lines begin and end where the members do, and those that meet move together.
            let ends = bent.members.iter().flat_map(|m| [(m.line_mm[0], m.moves_mm[0]), (m.line_mm[8], m.moves_mm[8])]);
            let ends: Vec<_> = ends.collect();
            for (place, moves) in &ends {
                for (other, also) in &ends {
                    if (Vector3::from(*place) - Vector3::from(*other)).norm() < 1e-9 {
                        assert!((Vector3::from(*moves) - Vector3::from(*also)).norm() < 1e-9, "{place:?}");
                    }
                }
            }
        }
        let worst = state.members.iter().find_map(|m| m.most()).expect("a member").0;
        near(state.factor().expect("a factor"), 1.0 / worst, 1e-12);
    }
}

#[test]
fn what_the_loads_put_in_the_supports_take() {
    let file = read(curlew());
    let study = Study::new(file.car().clone()).expect("a study");
    let told = study.body_strength(Compared { found: None, bare: None, share: 1.0 }).expect("an answer");
    let state = &told.states[0];
    for answer in &state.answers {
        let reactions: Vector3<f64> = answer.reactions.iter().map(|r| r.force).sum();
        // A third way to the same sum: what each member's end takes at the nodes that are held.
        let mut taken = Vector3::zeros();
        for (member, found) in state.body.frame.members.iter().zip(&answer.members) {
            for (end, node) in member.ends.iter().enumerate() {
                if state.body.frame.nodes[*node].held.0[0] {
                    let [a, b] = [0, 1].map(|i| state.body.frame.nodes[member.ends[i]].at + member.offsets[i]);
                    let x = (b - a).normalize();
                    let y = member.up.expect("up").cross(&x).normalize();
                    let f = found.ends[end].force;
                    taken += x * f.x + y * f.y + x.cross(&y) * f.z;
                }
            }
        }
        assert!((reactions - taken).norm() < 1e-9 * (1.0 + taken.norm()) * 1e3, "{}: {reactions} {taken}", answer.case);
    }
}

#[test]
fn a_cut_away_mount_hangs_on_nothing() {
    // Where the damper's mount was on the rail that is cut away there.
    let text = curlew().replace("(name: \"tower leg\", mirror: true, od: 50, wall: 1.5, grade: \"E235+N\", points: [(rail: \"lower rail\", station: 574), \"damper tower\"]),", "")
        .replace("mirror: true, at: (-18, 425, 640)),", "mirror: true, at: (-18, 425, 640), on: \"upper rail\"),");
    let told = strength(&text, "low and wide");
    let last = told.states.last().expect("a state");
    let all = last.nothing_holds.join("; ");
    assert!(all.contains("left damper tower") && all.contains("left front damper, upper mount"), "{all}");
    assert_eq!(last.twist_nm_per_deg, None);
    assert!(told.sentence(Shown::Mm).contains("nothing holds the "), "{}", told.sentence(Shown::Mm));
}

#[test]
fn loose_ends_and_bodies_that_cannot_be_are_named() {
    let post = rail("spar", "round(od: 60)", 2.0, "(-600, 0, 500), (200, 0, 500)", "");
    let loose = "tubes: [(name: \"stay\", od: 30, wall: 2, points: [(0, 0, 500), (0, 300, 700)])],";
    let frame = body(&built(&post, loose), &[]);
    let end = &frame.loose_ends[0];
    assert_eq!((end.tube.as_str(), end.last, end.at), ("stay", true, at(0.0, 300.0, 700.0)));
    // A frame that nothing holds.
    let across = rail("cross", "round(od: 60)", 2.0, "(0, 400, 500), (0, -400, 500)", "");
    assert_eq!(assemble(&built(&across, ""), &[]), Err(NoBody::Unheld));
    assert_eq!(assemble(&built("", ""), &[]), Err(NoBody::Empty));
    // Corners at one place: the car file's own check says so first, and the frame does where it is not asked.
    let mut car = built(&post, loose);
    car.tubes[0].points = vec![at(0.0, 0.0, 500.0).into(), at(0.0, 0.0, 500.2).into()];
    let error = assemble(&car, &[]).expect_err("no length").to_string();
    assert!(error.starts_with("the stay has no length between its corners 1 and 2"), "{error}");
    // A member that the solver refuses is named too.
    let mut frame = body(&built(&post, ""), &[]).frame;
    frame.members[0].material.modulus = f64::NAN;
    let error = frame.solve(&[LoadCase::default()]).expect_err("no modulus").to_string();
    assert!(error.contains("member \"spar\""), "{error}");
    // And a mechanism: the only post on a ball joint.
    let mut frame = body(&built(&post, ""), &[]).frame;
    frame.nodes[0].held = scribeline::strength::Dofs::SHIFTS;
    let error = frame.solve(&[LoadCase::default()]).expect_err("a mechanism").to_string();
    assert!(error.contains("node \"spar, 800 mm\" is free to shift"), "{error}");
}

#[test]
fn a_place_on_a_block_is_stiff_with_all_that_the_block_touches() {
    let post = |name: &str, z: f64| rail(name, "round(od: 40)", 2.0, &format!("(-900, 0, {z}), (100, 0, {z})"), "");
    let rails = post("lower", 400.0) + &post("upper", 700.0);
    let tower = "blocks: [(name: \"tower\", shape: box(from: (60, -20, 380), to: (140, 60, 720)))],
        nodes: [(name: \"top\", at: (100, 40, 720), on: \"tower\")],";
    let with = body(&built(&rails, tower), &[("top", at(100.0, 40.0, 720.0))]);
    assert_eq!(with.seats[0].on.as_deref(), Some("top"));
    // Both rails' ends are one with the place: they stretch and squash, as a truss, before they bend.
    let node = with.seats[0].node.expect("held");
    assert_eq!(with.frame.members.iter().filter(|m| m.ends.contains(&node)).count(), 2);
    let alone = body(&built(&rails, ""), &[("top", at(100.0, 40.0, 720.0))]);
    assert!(stiffness(&with, true).0[0][2] > 4.0 * stiffness(&alone, true).0[0][2]);
}
