//! What a proposal changes, arms that grow, and bump steer that comes back.

#[path = "common/mod.rs"]
mod common;
#[path = "common/demo.rs"]
mod demo;
#[path = "common/shell.rs"]
mod shell;

use std::path::Path;

use demo::{car, scene, study};
use nalgebra::Vector3;
use scribeline::answer::change::{FactName, Grow, PartFate, Remade, Remake, SteerAim};
use scribeline::answer::{Comparison, Growth, RideAsk, SteerFix, Told};
use scribeline::car::PointName::{
    LowerBallJoint, LowerFront, LowerRear, TieRodInner, TieRodOuter, UpperBallJoint, UpperFront, UpperRear,
};
use scribeline::car::axle::{Linkage, Sides};
use scribeline::car::{Axle, AxleName, Car, CarFile, Change, Edit, GrowWay, PointName, Shown, Side};
use scribeline::motion::{Along, Quantity};
use serde_json::Value;
use shell::{call, json, text};

const SCENES: [&str; 8] =
    ["dunlin.ron", "godwit.ron", "knot.ron", "plover.ron", "ruff.ron", "sanderling.ron", "snipe.ron", "stint.ron"];

/// The two-seater of the other tests, both sides alike.
fn two_seater() -> Car {
    let mut car = CarFile::from_text(common::CAR.to_owned(), None).expect("the car").car().clone();
    car.front.right.0.clear();
    car
}

fn grow(axle: AxleName, by_mm: f64, way: GrowWay) -> Grow {
    Grow { axle, by_mm, way }
}

/// Bump steer of a wheel at ride height as `alignment` tells it, degrees in 25 mm.
fn bump_steer(car: &Car, axle: AxleName, side: Side) -> f64 {
    let told = study(car.clone()).alignment(axle, Along::Travel, Some(Quantity::Toe), Shown::Mm).expect("an axle");
    told.numbers[0].sides[side as usize].expect("toe").rate
}

/// Where arms grow straight across the car the upright is carried along as it is: by the core's own quantities, caster,
/// kingpin inclination, scrub radius, trail, camber and toe stay to 1e-9, and so does the wheel's place fore and aft. The
/// steering axis of five links is no line of the upright, but where its links make it turn: only camber and toe stay.
#[test]
fn grown_straight_across_nothing_of_the_upright_changes() {
    for scene in SCENES {
        let car = car(scene);
        for (name, axle) in car.axles() {
            let (grown, told) = Growth::new(&car, grow(name, 45.0, GrowWay::Across), "wide").expect("it grows");
            for (side, moved) in Side::BOTH.into_iter().zip(told.wheel_mm) {
                assert!(moved[0].abs() < 1e-9 && moved[2].abs() < 1e-9, "{scene} {name:?}: {moved:?}");
                assert!((moved[1] - 45.0 * side.sign()).abs() < 1e-9, "{scene} {name:?}: {moved:?}");
            }
            let must = match axle.linkage {
                Linkage::Wishbone | Linkage::Strut => 6,
                _ => 2,
            };
            let kept = told.kept.iter().filter(|kept| {
                let stays = |s: &scribeline::answer::change::Between| s.change.is_some_and(|c| c.abs() < 1e-9);
                kept.sides.iter().all(stays)
            });
            assert!(kept.count() >= must, "{scene} {name:?}: {:?}", told.kept);
            assert_eq!(grown.made.as_deref(), Some("wide"));
        }
    }
}

/// By hand. The pickup axis runs 60 mm outboard over 240 mm aft, so in plan it stands at atan(60/240) = 14.0362 degrees
/// to the car; square to it 50 mm are 50 sin 14.0362 = 12.1268 mm forward and 50 cos 14.0362 = 48.5071 mm out.
///
/// An axis along the car: square is across it, down the arm, which drops 3 on 4: 40 mm out and 30 mm down, none forward.
///
/// An axis that rises forward by 7 on 24 (so its direction is 0.96 forward and 0.28 up), and an arm that reaches 400 out
/// and drops 300 from its rear pickup: along the axis that is 0.28 x -300 = -84 mm, which taken away leaves (80.64, 400,
/// -276.48), 492.893 mm long: of 50 mm 8.1803 go forward, 40.5767 out and 28.0466 down.
#[test]
fn square_growth_moves_the_axle_by_hand_trigonometry() {
    let cases = [
        ([120.0, 300.0, 170.0], [-120.0, 360.0, 170.0], [0.0, 640.0, 170.0], [12.1268, 48.5071, 0.0], [-14.0362, 0.0]),
        ([150.0, 300.0, 460.0], [-150.0, 300.0, 460.0], [0.0, 700.0, 160.0], [0.0, 40.0, -30.0], [0.0, 0.0]),
        ([96.0, 250.0, 488.0], [0.0, 250.0, 460.0], [0.0, 650.0, 160.0], [8.1803, 40.5767, -28.0466], [0.0, 16.2602]),
    ];
    for (front, rear, joint, shift, [plan, side_view]) in cases {
        let mut car = two_seater();
        for (name, at) in [(LowerFront, front), (LowerRear, rear), (LowerBallJoint, joint)] {
            car.front.points.0.insert(name, Vector3::from(at));
        }
        let asked = grow(AxleName::Front, 50.0, GrowWay::Square);
        let (grown, told) = Growth::new(&car, asked, "square").expect("it grows");
        for (side, moved) in Side::BOTH.into_iter().zip(told.wheel_mm) {
            let expected = [shift[0], shift[1] * side.sign(), shift[2]];
            let off = (0..3).map(|i| (moved[i] - expected[i]).abs()).fold(0.0, f64::max);
            assert!(off < 1e-4, "{moved:?} against {expected:?}");
            let arm = told.parts.iter().find(|p| p.side == side && p.part == "lower arm").expect("an arm");
            let axis = arm.axis.expect("its axis");
            assert!((axis.plan_deg - plan).abs() < 1e-4 && (axis.side_deg - side_view).abs() < 1e-4, "{axis:?}");
            assert!((0..3).all(|i| (axis.square_mm[i] - expected[i]).abs() < 1e-4), "{axis:?}");
            // The arm itself is longer by just so much, square to its axis.
            assert!((axis.reach_mm.change.expect("a reach") - 50.0).abs() < 1e-9, "{axis:?}");
        }
        assert!((told.forward_mm() - shift[0]).abs() < 1e-4);
        // The upright goes along as it is.
        let kingpin = |axle: &Axle| axle.points.0[&UpperBallJoint] - axle.points.0[&LowerBallJoint];
        assert!((kingpin(&car.front) - kingpin(&grown.front)).norm() < 1e-9);
    }
}

/// Parallel equal arms with the tie rod as a third of them: nothing turns, so there is no bump steer (closed form, see
/// `tests/motion/closed_forms.rs`), and a rod end that is put elsewhere has to come back to just there.
#[test]
fn a_rod_end_that_was_moved_off_parallel_equal_arms_comes_back() {
    let mut car = two_seater();
    let arm = Vector3::new(0.0, 330.0, -24.0);
    let joints = [Vector3::new(5.0, 640.0, 165.0), Vector3::new(-10.0, 610.0, 430.0)];
    let outer = Vector3::new(110.0, 620.0, 205.0);
    for (joint, names) in
        joints.into_iter().zip([[LowerFront, LowerRear, LowerBallJoint], [UpperFront, UpperRear, UpperBallJoint]])
    {
        for (name, along) in names.into_iter().zip([140.0, -130.0]) {
            car.front.points.0.insert(name, joint - arm + Vector3::x() * along);
        }
        car.front.points.0.insert(names[2], joint);
    }
    car.front.points.0.insert(TieRodInner, outer - arm);
    car.front.points.0.insert(TieRodOuter, outer);
    let fix =
        |car: &Car, aim| SteerFix::new(car, car, AxleName::Front, aim, Shown::Mm).expect("an axle").expect("tie rods");
    let still = fix(&car, SteerAim::Nothing);
    for end in still.ends {
        assert!(end.met && end.raise_mm == 0.0, "{end:?}");
        assert!(end.before.rate_deg.abs() < 1e-9, "{end:?}");
        assert!(end.before.bend_deg.is_some_and(|bend| bend.abs() < 1e-9), "{end:?}");
    }
    assert!(still.changes().is_empty());
    for raised in [-17.0, 9.0] {
        let by = Some(Vector3::new(0.0, 0.0, raised));
        let moved = Change::MovePoint { point: TieRodOuter, side: Sides::Both, to: None, by };
        let off = car.changed("off", vec![moved]).expect("it can be built");
        for end in fix(&off, SteerAim::Nothing).ends {
            assert!(end.met && (end.raise_mm + raised).abs() < 1e-9, "{raised}: {end:?}");
            assert!(end.before.rate_deg.abs() > 0.1 && end.after.rate_deg.abs() < 1e-4, "{end:?}");
        }
        // As it was before, which was nothing.
        let back = SteerFix::new(&car, &off, AxleName::Front, SteerAim::AsBefore, Shown::Mm).expect("an axle");
        assert_eq!(back.expect("tie rods").ends.map(|end| end.raise_mm), [-raised; 2]);
    }
}

/// A rack 250 mm too high asks for a rod end nearly as much higher: none within 60 mm does, which is said, and nothing is
/// changed.
#[test]
fn where_no_rod_end_does_it_that_is_said() {
    let mut car = two_seater();
    car.front.points.0.get_mut(&TieRodInner).expect("a tie rod").z += 250.0;
    let fix = SteerFix::new(&car, &car, AxleName::Front, SteerAim::Nothing, Shown::Mm).expect("an axle");
    let fix = fix.expect("tie rods");
    assert!(fix.ends.iter().all(|end| !end.met), "{fix:?}");
    assert!(fix.ends.iter().all(|end| end.after.rate_deg.abs() < end.before.rate_deg.abs()), "{fix:?}");
    assert!(fix.changes().is_empty());
    assert!(
        fix.sentence(Shown::Mm).contains("no height of the left end within 60.0 mm"),
        "{}",
        fix.sentence(Shown::Mm)
    );
    assert!(fix.sentence(Shown::In).contains("within 2.36 in"), "{}", fix.sentence(Shown::In));
}

/// Every axle of every demo car, both ways: it grows, or it is said why not.
#[test]
fn every_corner_grows_or_says_why_not() {
    for scene in SCENES {
        let car = car(scene);
        for name in AxleName::BOTH {
            for way in GrowWay::ALL {
                let asked =
                    Remake { grow: Some(grow(name, 20.0, way)), axle: name, bump_steer: Some(SteerAim::AsBefore) };
                let made = Remade::new(&car, &car, asked, "wide", Shown::Mm);
                let armed = car.axle(name).map(|axle| matches!(axle.linkage, Linkage::Wishbone | Linkage::Strut));
                match (made, armed, way) {
                    (Ok(made), Some(armed), _) => {
                        assert!(armed || way == GrowWay::Across, "{scene} {name:?} {way:?}");
                        let growth = made.growth.expect("a growth");
                        let stays = ["Trailing arms keep", "A stiff axle has no arms"];
                        let has_arms = armed || growth.linkage == Linkage::FiveLink;
                        assert_eq!(has_arms, !stays.iter().any(|s| growth.instead.starts_with(s)), "{scene}");
                        assert_eq!(made.bump_steer.is_some(), has_arms, "{scene} {name:?}");
                        for end in made.bump_steer.iter().flat_map(|fix| fix.ends) {
                            let left = (end.after.rate_deg - end.wanted_deg).abs();
                            assert!(end.met && left < 2e-4, "{scene} {name:?} {way:?}: {end:?}");
                            // The rate against toe at both ends of the reach, which no derivative told.
                            if let (Some(bump), Some(droop)) = (end.after.bump_deg, end.after.droop_deg) {
                                let mean = (bump - droop) / 2.0;
                                assert!((mean - end.after.rate_deg).abs() < 6e-3, "{scene} {name:?}: {end:?}");
                            }
                        }
                    }
                    (Err(why), None, _) => assert!(why.to_string().contains("describes no rear axle"), "{why}"),
                    (Err(why), Some(false), GrowWay::Square) => {
                        assert!(why.to_string().contains("no arm on two pickups here"), "{why}");
                    }
                    (made, ..) => panic!("{scene} {name:?} {way:?}: {:?}", made.err()),
                }
            }
        }
    }
}

/// The same numbers on every face: the table holds what `alignment` tells of each car, and the difference.
#[test]
fn a_comparison_tells_what_each_cars_own_answers_tell() {
    let file = CarFile::open(&scene("dunlin.ron")).expect("the demo");
    let (found, low) = (study(file.car().clone()), study(file.proposed("low and wide").expect("a proposal")));
    let cut = study(file.proposed("low and cut").expect("a proposal"));
    let told = Comparison::new(&found, &low, Along::Travel, Shown::Mm).expect("an answer");
    assert_eq!((told.from.as_str(), told.to.as_str()), ("as found", "low and wide"));
    for axle in AxleName::BOTH {
        let [before, after] =
            [&found, &low].map(|s| s.alignment(axle, Along::Travel, None, Shown::Mm).expect("an axle"));
        for (was, is) in before.numbers.iter().zip(&after.numbers) {
            let number = told.number(axle, was.quantity).expect("the number");
            for side in 0..2 {
                let (Some(was), Some(is)) = (was.sides[side], is.sides[side]) else { continue };
                assert_eq!(number.value[side].from, Some(was.value));
                assert_eq!(number.rate[side].to, Some(is.rate));
                assert_eq!(number.value[side].change, Some(is.value - was.value));
            }
        }
    }
    let lock = told.fact(FactName::LockLeft).and_then(|f| f.to.as_ref()).expect("a lock");
    assert_eq!(lock.number, low.lock().ways[0].worst.steer_deg[0].abs());
    // The springs at the wheels, as `ride` tells them.
    let rides = low.ride(&RideAsk::default());
    let [left, right] = [0, 1].map(|i| rides.axles[0].wheels[i].heave.expect("a spring").whole_n_per_mm);
    let rate = told.fact(FactName::FrontRate).and_then(|f| f.to.as_ref()).expect("a rate");
    assert_eq!(rate.number, (left + right) / 2.0);
    // The sentence speaks of the wheel that changes more, by its name where the two differ.
    let toe = told.number(AxleName::Front, Quantity::Toe).expect("toe");
    assert!(toe.rate[1].change.unwrap().abs() > toe.rate[0].change.unwrap().abs(), "{toe:?}");
    let [was, is] = [toe.rate[1].from, toe.rate[1].to].map(|rate| format!("{:.3}", rate.unwrap()));
    let sentence = told.sentence(Shown::Mm);
    assert!(sentence.contains(&format!("right bump steer {was} to {is} deg")), "{sentence}");
    // One side's rail, as the cut tells it: both are sawn alike.
    let rails = low.cut().rails;
    let length = |rail: &scribeline::answer::RailCut| rail.to_clear_mm.iter().map(|[from, to]| to - from).sum::<f64>();
    let to_cut = told.fact(FactName::ToCut).and_then(|f| f.to.clone()).expect("a cut");
    let rail = rails.iter().find(|rail| rail.rail == to_cut.about).expect("a rail in the way");
    assert_eq!(rail.to_clear_mm.len(), 1);
    assert_eq!(to_cut.number, length(rail));
    assert!(rails.iter().all(|other| length(other) <= to_cut.number));
    let joint = told.moved.iter().find(|m| m.point == LowerBallJoint && m.side == Some(Side::Left)).expect("it moves");
    let shift = joint.shift().expect("an arrow");
    assert!((0..3).all(|i| (shift[i] - [0.0, 45.0, 95.0][i]).abs() < 1e-9), "{shift:?}");
    assert!(told.parts.iter().any(|p| p.part == "tower bar" && p.fate == PartFate::Added), "{:?}", told.parts);
    // A node that goes up takes along what runs to it.
    let changed = |part: &str| told.parts.iter().any(|p| p.part == part && p.fate == PartFate::Changed);
    assert!(
        ["damper tower", "tower leg", "tower stay"].into_iter().all(changed) && !changed("nose post"),
        "{:?}",
        told.parts
    );
    assert!(told.notes[0].contains("different travel"), "{:?}", told.notes);
    // Against itself nothing changes, and between two proposals only what they differ by.
    let same = Comparison::new(&low, &low, Along::Travel, Shown::Mm).expect("an answer").only_changed();
    assert!(same.axles.iter().all(|axle| axle.numbers.is_empty()) && same.facts.is_empty() && same.moved.is_empty());
    assert!(same.sentence(Shown::Mm).contains("no number changes"));
    let two = Comparison::new(&low, &cut, Along::Travel, Shown::Mm).expect("an answer").only_changed();
    assert!(two.parts.iter().any(|p| p.part == "upper rail" && p.fate == PartFate::Changed), "{:?}", two.parts);
}

fn copied(scene_name: &str, folder: &Path) -> String {
    let path = folder.join(scene_name);
    std::fs::copy(scene(scene_name), &path).expect("a copy");
    path.to_str().expect("a plain path").to_owned()
}

/// Whether every line of the one stands in the other, in order.
fn holds_lines(after: &str, before: &str) -> bool {
    let mut lines = after.lines();
    before.lines().all(|line| lines.any(|other| other == line))
}

/// What is printed is what is written, and a car read again from it steers in bump as the car as found did.
#[test]
fn what_is_written_is_read_again_and_steers_in_bump_as_before() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = copied("dunlin.ron", folder.path());
    let before = std::fs::read_to_string(&path).expect("the demo");
    let asked = ["change", &path, "--grow", "front", "--by", "60", "--bump-steer", "before", "--write", "wide arms"];
    let told = text(&call(&asked));
    assert!(told.contains("as the proposal \"wide arms\""), "{told}");
    let after = std::fs::read_to_string(&path).expect("the file");
    assert!(holds_lines(&after, &before), "a line of the car file was lost");
    let file = CarFile::open(Path::new(&path)).expect("it opens");
    let made = file.proposed("wide arms").expect("it can be made");
    let changes = &file.car().proposals.iter().find(|p| p.name == "wide arms").expect("a proposal").changes;
    assert!(changes.iter().all(|change| told.contains(&change.written(file.car().unit).expect("text"))), "{told}");
    let plain = file.car().changed("plain", vec![changes[0].clone()]).expect("it can be made");
    for side in Side::BOTH {
        let [found, grown, back] = [file.car(), &plain, &made].map(|car| bump_steer(car, AxleName::Front, side));
        assert!((back - found).abs() < 1e-4, "{side:?}: {found} became {back}");
        assert!((grown - found).abs() > 5e-4, "{side:?}: {found} became {grown}");
    }
    // A second time the name is taken.
    let again = call(&asked);
    assert_eq!(again.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&again.stderr).contains("wide arms"));
    assert_eq!(std::fs::read_to_string(&path).expect("the file"), after);
}

/// Growing a proposal's arms makes a proposal of its own, which has all the first one has, comments too.
#[test]
fn a_proposal_grown_further_is_written_beside_it() {
    let file = CarFile::from_text(common::CAR.to_owned(), None).expect("the car");
    let copy = Edit::CopyProposal { proposal: "wide".to_owned(), name: "wider".to_owned() };
    let changes = vec!["grow_arms(by: 10)".to_owned()];
    let copied = file.edit(&copy).expect("a copy");
    let grown = copied.edit(&Edit::AddChanges { proposal: "wider".to_owned(), changes }).expect("grown");
    assert!(holds_lines(grown.text(), common::CAR));
    assert_eq!(grown.text().matches("// The joints are the old ones.").count(), 2);
    let names: Vec<&str> = grown.car().proposals.iter().map(|p| p.name.as_str()).collect();
    assert_eq!(names, ["wide", "wider", "as it is"]);
    let joint = |name: &str| grown.proposed(name).expect("a proposal").front.points.0[&LowerBallJoint].y;
    assert!((joint("wider") - joint("wide") - 10.0).abs() < 1e-9);
    // The last of a list, on one line and without a comma behind it.
    let one_line = common::with("(name: \"as it is\", changes: []),", "(name: \"as it is\", changes: [])");
    let file = CarFile::from_text(one_line, None).expect("the car");
    let copy = Edit::CopyProposal { proposal: "as it is".to_owned(), name: "again".to_owned() };
    let names: Vec<String> = file.edit(&copy).expect("a copy").car().proposals.iter().map(|p| p.name.clone()).collect();
    assert_eq!(names, ["wide", "as it is", "again"]);
}

/// `grow_arms(..., way: square)` in a car file is what the command makes, and a change written is the change read.
#[test]
fn changes_are_written_as_they_are_read() {
    let file = CarFile::from_text(
        common::with(
            "(name: \"as it is\", changes: []),",
            "(name: \"as it is\", changes: [grow_arms(by: 12.5, way: square, side: left), move_point(point: tie_rod_outer, \
             side: right, by: (0, 0, -3.25)), move_point(point: tie_rod_inner, to: (90, 330, 215))]),",
        ),
        None,
    )
    .expect("the car");
    let changes = &file.car().proposals[1].changes;
    let written: Vec<String> = changes.iter().map(|c| c.written(file.car().unit).expect("text")).collect();
    assert_eq!(
        written,
        [
            "grow_arms(by: 12.5, way: square, side: left)",
            "move_point(point: tie_rod_outer, side: right, by: (0, 0, -3.25))",
            "move_point(point: tie_rod_inner, to: (90, 330, 215))",
        ]
    );
    let made = file.proposed("as it is").expect("it can be made").front;
    let moved = |side| {
        let at = |axle: &Axle| axle.point(side, PointName::WheelCentre).expect("a wheel");
        (at(&made) - at(&file.car().front)).norm()
    };
    assert!((moved(Side::Left) - 12.5).abs() < 1e-9 && moved(Side::Right) < 1e-9);
}

/// The command line: text, JSON, CSV, inches, plots and what is refused.
#[test]
fn the_command_line_tells_it_in_every_form() {
    let path = scene("ruff.ron");
    let path = path.to_str().expect("a plain path");
    let told = text(&call(&["change", path, "--grow", "front", "--by", "1", "--units", "in"]));
    assert!(told.contains("Front arms 1.00 in longer a side, straight across the car"), "{told}");
    assert!(
        told.contains("caster, kingpin inclination, scrub radius, mechanical trail, camber and toe stay"),
        "{told}"
    );
    assert!(told.contains("grow_arms(by: 25.4)") && told.contains("in 1 in of bump"), "{told}");
    let whole = json(&call(&["change", path, "--grow", "rear", "--by", "30", "--json", "--all"]));
    assert!(whole["growth"]["instead"].as_str().expect("words").contains("tube is made wider"), "{whole}");
    assert_eq!(whole["changes"][0], "rear(grow_arms(by: 30))");
    assert_eq!(whole["bump_steer"], Value::Null);
    let track = whole["facts"].as_array().expect("facts").iter().find(|f| f["name"] == "rear_track").expect("a track");
    assert!((track["change"].as_f64().expect("a number") - 60.0).abs() < 0.1, "{track}");
    let inches = json(&call(&["change", path, "--grow", "front", "--by", "1", "--units", "in", "--json"]));
    assert_eq!(inches["growth"]["by_mm"], 25.4);
    // A length that says its unit is not read in the shown one.
    let mixed = json(&call(&["change", path, "--grow", "front", "--by", "1 1/2 in", "--json"]));
    assert!((mixed["growth"]["by_mm"].as_f64().expect("a number") - 38.1).abs() < 1e-9);
    let csv = text(&call(&["change", path, "--grow", "front", "--by", "30", "--csv"]));
    assert!(csv.starts_with("axle,number,wheel,as found,as made,change,"), "{csv}");
    let plot = text(&call(&["change", path, "--grow", "front", "--by", "30", "--plot", "toe"]));
    assert!(plot.contains("left, as found deg") && plot.contains("left, as made deg"), "{plot}");
    for (arguments, says) in [
        (&["--grow", "front"][..], "--by"),
        (&[][..], "--grow front --by 45"),
        (&["--write", "x"][..], "nothing to write"),
        (&["--proposal", "none such"][..], "no proposal `none such`"),
        (&["--by", "30"][..], "--grow"),
        (&["--grow", "front", "--by", "30", "--against", "x"][..], "--against"),
        (&["--grow", "rear", "--by", "30", "--way", "square"][..], "leave `way` out"),
    ] {
        let refused = call(&[&["change", path], arguments].concat());
        assert_eq!(refused.status.code(), Some(2), "{arguments:?}: {}", text(&refused));
        let said = String::from_utf8_lossy(&refused.stderr).into_owned();
        assert!(said.contains(says), "{arguments:?}: {said}");
    }
}

/// What changes on the right alone, or in numbers that the sentence has no room for, is still a change.
#[test]
fn what_changes_on_one_side_is_not_told_as_nothing() {
    let file = CarFile::open(&scene("dunlin.ron")).expect("the demo");
    let with = |change: &str| {
        let text = file.text().replacen("proposals: [", &format!("proposals: [(name: \"x\", changes: [{change}]),"), 1);
        study(CarFile::from_text(text, None).expect("a car").proposed("x").expect("a proposal"))
    };
    let told = |change: &str| {
        let found = study(file.car().clone());
        Comparison::new(&found, &with(change), Along::Travel, Shown::Mm).expect("an answer").sentence(Shown::Mm)
    };
    let steered = told("move_point(point: tie_rod_outer, side: right, by: (0, 0, 6))");
    assert!(steered.contains("right bump steer"), "{steered}");
    let still = told("move_point(point: damper_top, by: (0, 0, 0))");
    assert!(still.contains("no number changes"), "{still}");
}
