//! The body as a frame: rails and tubes of a car file, welded where they meet, held, loaded and compared.

use nalgebra::Vector3;
use scribeline::answer::frame::{Compared, StateName};
use scribeline::answer::{BodyStrength, Study, Told};
use scribeline::car::{Car, CarFile, Shown};
use scribeline::strength::body::{Assembly, BodyFrame, Datums, Held, Mount, NoBody, assemble, mounts};
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
fn a_tube_welded_at_its_ends_bends_as_built_in_and_pinned_as_resting_on_its_ends() {
    // Loaded in its middle: 192 E I / L³ built in at both ends and 48 E I / L³ resting on them (Gere & Goodno, Mechanics of
    // Materials, tables H-2 and H-3).
    let beam = |how: &str| {
        format!(
            "nodes: [(name: \"left\", held: true, at: (0, 400, 500)), (name: \"right\", held: true, at: (0, -400, 500)), \
             (name: \"middle\", at: (0, 0, 500))], \
             tubes: [(name: \"beam\", od: 30, wall: 2, grade: \"S235\", {how}points: [\"left\", \"middle\", \"right\"])],"
        )
    };
    let second = Section::Tube { diameter: 30.0, wall: 2.0 }.properties().expect("a section").iz;
    let all = E * second / 800f64.powi(3);
    for (how, times) in [("", 192.0), ("pinned: true, ", 48.0)] {
        let body = body(&built("", &beam(how)), &[("middle", at(0.0, 0.0, 500.0))]);
        let [_, _, up] = stiffness(&body, false).0[0];
        near(up, times * all, 1e-9);
    }
}

#[test]
fn pinned_tubes_that_meet_are_a_truss() {
    // A three-bar tripod from three held places to one node: stiffness by statics, the sum over the bars of E A / L times
    // the square of their direction's part.
    let feet = [at(0.0, 300.0, 0.0), at(300.0, -200.0, 0.0), at(-300.0, -200.0, 0.0)];
    let top = at(40.0, 10.0, 500.0);
    let text = |p: Vector3<f64>| format!("({}, {}, {})", p.x, p.y, p.z);
    let nodes: String = (0..3).map(|i| format!("(name: \"foot {i}\", held: true, at: {}), ", text(feet[i]))).collect();
    let tubes: String = (0..3)
        .map(|i| {
            format!(
                "(name: \"leg {i}\", od: 30, wall: 2, grade: \"S235\", pinned: true, points: [\"foot {i}\", \"top\"]), "
            )
        })
        .collect();
    let more = format!("nodes: [{nodes}(name: \"top\", at: {})], tubes: [{tubes}],", text(top));
    let body = body(&built("", &more), &[("top", top)]);
    let area = Section::Tube { diameter: 30.0, wall: 2.0 }.properties().expect("a section").area;
    let mut by_hand = nalgebra::Matrix3::zeros();
    for foot in feet {
        let run = top - foot;
        by_hand += run * run.transpose() * (E * area / run.norm().powi(3));
    }
    let gives = by_hand.try_inverse().expect("three bars hold a node");
    let (found, _) = stiffness(&body, true);
    for axis in 0..3 {
        near(found[0][axis], 1.0 / gives[(axis, axis)], 1e-9);
    }
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
    let bare = file.car().proposed_bare(proposal).expect("the bare cut");
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
        "add_node(name: \"lug\", mirror: true, at: (-115, 495, 822), on: \"bypass\"),\nadd_tube(name: \"brace 2\"",
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
        for answer in &state.answers {
            assert!(answer.residual < 1e-9, "{}: {}", answer.case, answer.residual);
            let bent = state.bends(&answer.case).expect("a shape");
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
    assert_eq!(told.word(), "falls apart", "nothing touches anything there");
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

/// The dunlin's tower stay as a rod so thin that it buckles, its corners as given, with more tubes.
fn thin_stay(points: &str, more: &str) -> Vec<f64> {
    let stay = r#"od: 40, wall: 1.5, grade: "S235", points: ["damper tower", "firewall"]),"#;
    let text = include_str!("../scenes/dunlin.ron");
    assert_eq!(text.matches(stay).count(), 1);
    let thin = format!("od: 8, wall: 1, grade: \"S235\", points: [{points}]),\n{more}");
    let told = Study::new(read(text.replace(stay, &thin)).car().clone()).expect("a study");
    let told = told.body_strength(Compared { found: None, bare: None, share: 1.0 }).expect("an answer");
    let of_stay = told.states[0].members.iter().filter(|m| m.run.starts_with("left tower stay"));
    let uses: Vec<f64> = of_stay.filter_map(|m| m.buckling_use).filter(|used| *used > 0.0).collect();
    assert!(!uses.is_empty());
    uses
}

#[test]
fn corners_joints_and_stubs_do_not_help_a_tube_against_buckling() {
    let [foot, middle] = [at(-20.0, 415.0, 690.0), at(-520.0, 430.0, 620.0)];
    let place = |share: f64| {
        let p = foot.lerp(&middle, share);
        format!("({}, {}, {})", p.x, p.y, p.z)
    };
    let whole = thin_stay(r#""damper tower", "firewall""#, "");
    assert!(whole.len() == 1 && whole[0] > 1.5, "it buckles: {whole:?}");
    let (near_end, mid) = (place(0.4), place(0.7));
    let corners = thin_stay(&format!(r#""damper tower", {near_end}, {mid}, "firewall""#), "");
    let joined = thin_stay(
        &format!(r#""damper tower", {near_end}"#),
        &format!(
            r#"(name: "tower stay 2", mirror: true, od: 8, wall: 1, grade: "S235", points: [{near_end}, "firewall"]),
            (name: "stub", mirror: true, od: 8, wall: 1, grade: "S235", points: [{near_end}, (-220, 420, 720)]),"#
        ),
    );
    assert_eq!((corners.len(), joined.len()), (3, 2));
    // The stub's weight is nought: what the tube carries is the same but for how its pieces bend.
    corners.iter().chain(&joined).for_each(|used| near(*used, whole[0], 2e-3));
    // A tube that leads to a hold does help it: the longer part counts.
    let braced = thin_stay(
        &format!(r#""damper tower", {near_end}, "firewall""#),
        &format!(r#"(name: "prop", mirror: true, od: 20, wall: 2, grade: "S235", points: [{near_end}, "dash bar"]),"#),
    );
    assert!(braced.iter().all(|used| *used < 0.6 * whole[0]), "{braced:?}");
}

#[test]
fn a_bent_run_buckles_over_its_developed_length_by_its_weakest_piece() {
    let spar = rail(
        "spar",
        "box(width: 60, height: 80)",
        2.0,
        "(-600, 0, 500), (200, 0, 500)",
        "notches: [(from: 100, to: 200, face: top, depth: 40)]",
    );
    let more = r#"tubes: [(name: "strut", od: 20, wall: 2, grade: "S235", points: ["foot", (0, 300, 900), (rail: "spar", station: 500)])],
        nodes: [(name: "foot", at: (-600, 300, 500), held: true)],"#;
    let frame = body(&built(&spar, more), &[]);
    let struts = |run: &str| -> Vec<_> {
        let of_run = frame.pieces.iter().filter(|p| p.run == run);
        of_run.map(|p| (p.stations, frame.frame.members[p.member.expect("held")].strut.expect("a strut"))).collect()
    };
    let [foot, bend, rail_at] = [at(-600.0, 300.0, 500.0), at(0.0, 300.0, 900.0), at(-100.0, 0.0, 500.0)];
    let developed = (bend - foot).norm() + (rail_at - bend).norm();
    let of_strut = struts("strut");
    assert_eq!(of_strut.len(), 2);
    of_strut.iter().for_each(|(_, s)| near(s.length, developed, 1e-9));
    // From the datum to the strut, both held, as weak as its notch leaves it; from there on it hangs free and counts twice.
    let left = Section::Notched {
        width: 60.0,
        height: 80.0,
        wall: 2.0,
        notch: scribeline::strength::Notch { face: scribeline::strength::Face::Top, depth: 40.0, across: None },
    };
    let notched = left.properties().expect("a section");
    for ([from, _], strut) in struts("spar") {
        let (length, fixity) = if from < 499.0 { (500.0, 1.0) } else { (300.0, 2.0) };
        near(strut.length, length, 1e-9);
        assert_eq!(strut.fixity, fixity);
        if from < 499.0 {
            near(strut.area, notched.area, 1e-9);
            near(strut.gyration, notched.least_gyration(), 1e-9);
        }
    }
}

#[test]
fn neither_a_cut_nor_a_new_rail_changes_what_holds() {
    // Its first stretch climbs: what a cut leaves of it at the datum does not run along the car, and the rail does.
    let line = "(-600, 400, 300), (-560, 400, 700), (400, 400, 700)";
    let spar = |more: &str| rail("spar", "round(od: 60)", 2.0, line, &format!("mirror: true, {more}"));
    let found = built(&spar(""), "");
    let cut = built(&spar("cuts: [(from: 300, to: 500)]"), "");
    let [whole, left] = [&found, &cut].map(|car| body(car, &[]).held);
    assert_eq!(whole.datums.len(), 2);
    assert_eq!(whole, left);
    // One that a proposal adds is held by what it is welded to.
    let sill = rail("sill", "round(od: 60)", 2.0, "(-500, 0, 700), (400, 0, 700)", "");
    let more = built(&(spar("") + &sill), "");
    let rerouted = Assembly::new(&more, &[], &Datums::of(&found)).expect("runs").with(&[]).expect("a body");
    assert_eq!(rerouted.held, whole);
    assert!(rerouted.loose.iter().any(|part| part.runs.iter().any(|run| run.0 == "sill")), "{:?}", rerouted.loose);
}

#[test]
fn what_is_sawn_off_is_not_said_to_hold() {
    let nodes = r#"nodes: [(name: "root", at: (-600, 0, 500), on: "spar", held: true), (name: "nose", at: (200, 0, 500), on: "spar", held: true)],"#;
    let spar = |more: &str| rail("spar", "round(od: 60)", 2.0, "(-600, 0, 500), (200, 0, 500)", more);
    let held = |more: &str| body(&built(&spar(more), nodes), &[]).held.places;
    assert_eq!(held(""), ["root", "nose"]);
    assert_eq!(held("cuts: [(from: 0, to: 300)]"), ["nose"]);
}

#[test]
fn what_a_node_is_on_is_metal_and_its_side_is_said() {
    let tower = "(name: \"damper tower\", mirror: true, at: (-18, 425, 640)),";
    let with = |node: &str| CarFile::from_text(curlew().replace(tower, &format!("{tower}\n{node}")), None);
    let fault = |node: &str| with(node).map(|_| ()).expect_err("a fault").to_string();
    let skin = fault("(name: \"lug\", mirror: true, at: (0, 800, 700), on: \"wheel arch\"),");
    assert!(skin.contains("`wheel arch` is no rail, tube or block"), "{skin}");
    let either = fault("(name: \"lug\", at: (-400, -616, 726), on: \"upper rail\", held: true),");
    assert!(
        either.contains("say `left upper rail` or `right upper rail`, or give the node `mirror: true`"),
        "{either}"
    );
    let none = fault("(name: \"lug\", at: (-400, -616, 726), on: \"uper rail\"),");
    assert!(none.contains("did you mean `upper rail`?"), "{none}");
    // One that is held on the right holds the right one, and leaves the left one's datum as it is.
    let text = curlew().replace(
        "(name: \"upper root\", mirror: true, at: (-520, 612, 730), on: \"upper rail\", held: true),",
        "(name: \"upper root\", at: (-520, -612, 730), on: \"right upper rail\", held: true),",
    );
    assert_ne!(text, curlew());
    let frame = body(read(text).car(), &[]);
    assert_eq!(frame.held.datums, [("left upper rail".to_owned(), "front face of the firewall".to_owned())]);
    let root = frame.places.iter().find(|p| p.name == "upper root").expect("the node");
    assert_eq!(root.on.as_deref(), Some("right upper rail"));
    assert!(root.off < 1e-9 && root.arm.norm() < 1e-9 && root.node.is_some());
    // One that is far off is told.
    let far = with("(name: \"mast\", mirror: true, at: (-200, 622, 2000), on: \"upper rail\"),").expect("a car");
    let study = Study::new(far.car().clone()).expect("a study");
    let told = study.body_strength(Compared { found: None, bare: None, share: 1.0 }).expect("an answer");
    assert!(
        told.notes.iter().any(|n| n.contains("left mast (1249") && n.contains(" mm from the left upper rail)")),
        "{:?}",
        told.notes
    );
}

#[test]
fn what_is_held_in_both_states_is_not_said_to_be_lost() {
    let text = curlew()
        .replace("remove(\"tower arm\"),", &format!("remove(\"tower arm\"),\n{REROUTE}"))
        .replace("mirror: true, at: (-18, 425, 640)),", "mirror: true, at: (-18, 425, 640), held: true),");
    let told = strength(&text, "low and wide");
    for state in &told.states {
        assert_eq!(state.twist_nm_per_deg, Some(f64::INFINITY), "{:?}", state.state);
    }
    let least = told.least.as_ref().expect("a share");
    assert!(least.share > 0.1 && least.way.is_some(), "{least:?}");
    assert!(!told.sentence(Shown::Mm).contains(" 0 %"), "{}", told.sentence(Shown::Mm));
}

#[test]
fn the_cut_lacks_what_the_proposal_takes_out_though_a_new_part_bears_its_name() {
    let with =
        |changes: &str| read(curlew().replace("remove(\"tower arm\"),", &format!("remove(\"tower arm\"),\n{changes}")));
    let again = with(
        "remove(\"tower leg\"), add_tube(name: \"tower leg\", mirror: true, od: 60, wall: 3, points: [(rail: \"lower rail\", station: 574), \"damper tower\"]),",
    );
    let bare = again.car().proposed_bare("low and wide").expect("a car").expect("the bare cut");
    assert!(bare.tubes.iter().all(|t| t.name != "tower leg"), "{:?}", bare.tubes);
    // Where it cannot be made, that is said.
    let leans = with(
        "add_tube(name: \"mast\", od: 40, wall: 2, points: [(0, 0, 500), (0, 0, 900)]), add_node(name: \"lug\", at: (0, 0, 800), on: \"mast\"),
         move_bend(tube: \"exhaust\", bend: 1, to: \"lug\"),",
    );
    let why = leans.car().proposed_bare("low and wide").expect_err("no bare cut");
    let study = Study::new(leans.proposed("low and wide").expect("the proposal")).expect("a study");
    let told = study.body_strength(Compared { found: Some(leans.car()), bare: None, share: 1.0 }).expect("an answer");
    let notes = told.without_cut(&why).notes;
    assert!(
        notes.iter().any(|n| n.contains("bare cut is not told") && n.contains("there is no node `lug`")),
        "{notes:?}"
    );
}

#[test]
fn a_case_that_loads_nothing_uses_nothing() {
    let idle =
        curlew().replace("    sweep: (bump: 65", "    load_cases: [(name: \"idle\", up: 0)],\n    sweep: (bump: 65");
    assert_ne!(idle, curlew());
    let told = Study::new(read(idle).car().clone()).expect("a study");
    let told = told.body_strength(Compared { found: None, bare: None, share: 1.0 }).expect("an answer");
    assert!(told.sentence(Shown::Mm).contains(" at 0 % of its yield in \"idle\""), "{}", told.sentence(Shown::Mm));
}
