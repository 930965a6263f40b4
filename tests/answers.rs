//! The answers about springs, stance and doubtful gaps: closed forms, and what the program prints of them.

#[path = "common/demo.rs"]
mod demo;

use demo::{car, scene, study};
use std::process::{Command, Output};

use nalgebra::Vector3;
use scribeline::answer::springs::JointSwing;
use scribeline::answer::{GapDoubt, Gaps, Told, Verdict, WorstPose};
use scribeline::car::axle::{Blade, Damper, Linkage, MountedOn};
use scribeline::car::{Car, PointName, Rail, Section, Shown};
use scribeline::motion::Pose;
use serde_json::Value;

fn call(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_scribeline")).args(arguments).output().expect("the program runs")
}

fn ask(question: &str, name: &str, more: &[&str]) -> Output {
    let path = scene(name);
    call(&[&[question, path.to_str().expect("a plain path")], more].concat())
}

fn text(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).expect("plain text")
}

fn json(output: &Output) -> Value {
    serde_json::from_slice(&output.stdout).expect("JSON")
}

/// A saloon whose rear wheels ride on trailing arms about a level line across the car at (-2100, 300), 450 mm long and
/// level at ride height, with the damper's foot on the arm.
fn on_trailing_arms(open: f64, closed: f64) -> Car {
    use PointName::{ArmInner, ArmOuter, DamperBottom, DamperTop, WheelCentre};
    let mut car = car("godwit.ron");
    let axle = car.rear.as_mut().expect("a rear axle");
    axle.linkage = Linkage::TrailingArm;
    axle.middle.0.clear();
    axle.bar = None;
    axle.points.0 = [
        (ArmInner, [-2100.0, 350.0, 300.0]),
        (ArmOuter, [-2100.0, 600.0, 300.0]),
        (WheelCentre, [-2550.0, 705.0, 300.0]),
        (DamperTop, [-2250.0, 500.0, 700.0]),
        (DamperBottom, [-2400.0, 500.0, 300.0]),
    ]
    .map(|(name, at)| (name, Vector3::from(at)))
    .into();
    axle.damper = Some(Damper { on: MountedOn::Upright, diameter: 50.0, open: Some(open), closed: Some(closed) });
    // The tyre just stands on the ground as measured.
    car.ground = 300.0 - axle.tyre.mounted(&axle.wheel).loaded_radius;
    car
}

/// Closed form (law of cosines): the arm, the line from its pivot to the top mount and the damper are a triangle, so a
/// damper of length d stands with the arm at the angle that its sides ask for.
#[test]
fn a_damper_on_a_trailing_arm_closes_and_opens_where_its_triangle_says() {
    let (open, closed) = (470.0, 370.0);
    let springs = study(on_trailing_arms(open, closed)).springs();
    let (foot, mount) = (300.0, f64::hypot(150.0, 400.0));
    // Of the mount's line from the arm's own, rearward along the ground.
    let mount_at = 400f64.atan2(150.0);
    let travel = |damper: f64| {
        let between = ((foot * foot + mount * mount - damper * damper) / (2.0 * foot * mount)).acos();
        450.0 * (mount_at - between).sin()
    };
    for wheel in &springs.wheels[2..] {
        let stroke = wheel.stroke.expect("a damper");
        let (at_closed, at_open) = (stroke.closed_at_mm.expect("closed"), stroke.open_at_mm.expect("open"));
        assert!((at_closed - travel(closed)).abs() < 1e-6, "{at_closed} {}", travel(closed));
        assert!((at_open - travel(open)).abs() < 1e-6, "{at_open} {}", travel(open));
        // Full bump, by the same triangle; what is used of the stroke and what is left of it.
        let angle = mount_at - (75f64 / 450.0).asin();
        let at_bump = (foot * foot + mount * mount - 2.0 * foot * mount * angle.cos()).sqrt();
        let bump = &wheel.heights[0];
        assert!((bump.damper_mm.expect("a length") - at_bump).abs() < 1e-9);
        assert!((bump.stroke_percent.expect("a share") - (open - at_bump) / (open - closed) * 100.0).abs() < 1e-9);
        assert!((stroke.left_closed_mm.expect("closed") - (at_bump - closed)).abs() < 1e-9);
        // At ride height: the damper's line passes the pivot at a moment arm of 300 x 400 / sqrt(150² + 400²).
        let ratio = 300.0 * 400.0 / f64::hypot(150.0, 400.0) / 450.0;
        let ride = &wheel.heights[1];
        assert!((ride.motion_ratio.expect("a ratio") - ratio).abs() < 1e-9, "{ride:?} {ratio}");
        assert!((ride.wheel_rate.expect("a rate") - ratio * ratio).abs() < 1e-9);
        // Nothing but the arm's own length ends an arm on a hinge: it stands upright there.
        assert!(
            stroke.linkage_ends_mm.iter().all(|mm| (mm.abs() - 450.0).abs() < 1e-3),
            "{:?}",
            stroke.linkage_ends_mm
        );
    }
}

#[test]
fn a_damper_that_closes_in_the_sweep_falls_short_and_the_sentence_says_where() {
    let springs = study(on_trailing_arms(500.0, 385.0)).springs();
    assert_eq!(springs.verdict, Verdict::Short);
    let first = springs.bottoms_first.expect("it closes");
    assert!(first.side.is_none() && first.travel_mm < 75.0 && first.beyond_sweep_mm < 0.0, "{first:?}");
    let said = springs.sentence(Shown::Mm);
    assert!(
        said.contains("past closed at 75.0 mm bump") && said.contains(&format!("{:.1} mm bump", first.travel_mm)),
        "{said}"
    );
    let open = study(on_trailing_arms(440.0, 300.0)).springs();
    assert_eq!(open.verdict, Verdict::Short);
    assert!(open.sentence(Shown::In).contains("past open at 3.35 in droop"), "{}", open.sentence(Shown::In));
}

/// Wishbones and a tie rod that are level, parallel and of one length in front view: the upright goes up and down
/// without leaning.
fn parallel_arms(length: f64) -> Car {
    use PointName::{
        DamperBottom, DamperTop, LowerBallJoint, LowerFront, LowerRear, TieRodInner, TieRodOuter, UpperBallJoint,
        UpperFront, UpperRear, WheelCentre,
    };
    let mut car = car("ruff.ron");
    let axle = &mut car.front;
    let (outer, inner) = (640.0, 640.0 - length);
    for (name, at) in [
        (LowerFront, [120.0, inner, 160.0]),
        (LowerRear, [-120.0, inner, 160.0]),
        (LowerBallJoint, [0.0, outer, 160.0]),
        (UpperFront, [100.0, inner, 380.0]),
        (UpperRear, [-100.0, inner, 380.0]),
        (UpperBallJoint, [0.0, outer, 380.0]),
        (TieRodInner, [-110.0, inner, 220.0]),
        (TieRodOuter, [-110.0, outer, 220.0]),
        (DamperTop, [0.0, 430.0, 600.0]),
        (DamperBottom, [0.0, 560.0, 180.0]),
        (WheelCentre, [0.0, 690.0, 275.0]),
    ] {
        axle.points.0.insert(name, Vector3::from(at));
    }
    axle.alignment = Default::default();
    car.ground = 275.0 - axle.tyre.mounted(&axle.wheel).loaded_radius;
    car
}

fn joint(joints: &[JointSwing], words: &str) -> JointSwing {
    joints.iter().find(|j| j.words() == words).unwrap_or_else(|| panic!("no {words}")).clone()
}

/// Closed form: an arm of length L, level at ride height, stands at asin(travel / L); the stud of a ball joint on an
/// upright that neither leans nor turns about anything but that stud swings just as far, at any lock.
#[test]
fn on_parallel_arms_a_ball_joint_swings_as_far_as_its_arm() {
    let mut car = parallel_arms(300.0);
    let springs = study(car.clone()).springs();
    let expected = (70f64 / 300.0).asin().to_degrees();
    for words in ["left front lower ball joint", "right front upper ball joint"] {
        let swing = joint(&springs.joints, words);
        assert!((swing.swing_deg - expected).abs() < 1e-6, "{words}: {} {expected}", swing.swing_deg);
        assert!(matches!(swing.at, WorstPose::Wheel { travel_mm: -70.0, .. }), "{:?}", swing.at);
    }
    // Just within the limit, and just not.
    for (limit, verdict) in [(expected + 0.01, Verdict::Clear), (expected - 0.01, Verdict::Short)] {
        car.front.arms.joint_swing = Some(limit.to_radians());
        let springs = study(car.clone()).springs();
        assert_eq!(joint(&springs.joints, "left front lower ball joint").verdict, verdict);
    }
}

/// The car file's limit counts from where the joint stood when it was measured: a body lowered by 25 mm on the same arms
/// has used some of it before the wheel moves.
#[test]
fn a_lowered_car_has_used_some_of_its_joints_swing() {
    let mut car = parallel_arms(300.0);
    car.ground += 25.0;
    let swing = joint(&study(car).springs().joints, "left front lower ball joint");
    let expected = ((65f64 + 25.0) / 300.0).asin().to_degrees();
    assert!((swing.swing_deg - expected).abs() < 1e-6, "{swing:?} {expected}");
}

/// Closed form: with the rack straight ahead on a car that does not steer, such a tie rod swings as its arm does at
/// both of its ends; and a rod that keeps its direction to the upright while that turns about the stud does not swing.
#[test]
fn turning_about_the_stud_is_no_swing() {
    let mut car = parallel_arms(300.0);
    car.sweep.bump = 0.0;
    car.sweep.droop = 0.0;
    let springs = study(car.clone()).springs();
    // Full lock turns the upright some 28 degrees under the tie rod, which stays level.
    let outer = joint(&springs.joints, "left front tie rod, outer joint");
    assert!(outer.swing_deg < 1e-6, "{outer:?}");
    car = parallel_arms(300.0);
    car.front.rack = None;
    let springs = study(car).springs();
    let expected = (70f64 / 300.0).asin().to_degrees();
    for words in ["left front tie rod, outer joint", "left front tie rod, inner joint"] {
        let swing = joint(&springs.joints, words);
        assert!((swing.swing_deg - expected).abs() < 1e-6, "{swing:?}");
    }
}

/// By hand: the bar's tube is solid, 22 mm over and 740 mm between levers, whose ends lie 215.23 mm from its axis
/// (215 along, 10 up): J = 22998 mm^4, k = 79300 x 22998 / 740 = 2.4645e6 N mm/rad, 2 k / a² = 106.4 N/mm.
#[test]
fn an_anti_roll_bar_reads_as_it_is_worked_out_by_hand() {
    let springs = study(car("godwit.ron")).springs();
    let bar = &springs.bars[0];
    assert!((bar.length_mm - 740.0).abs() < 1e-9 && (bar.lever_mm[0] - f64::hypot(215.0, 10.0)).abs() < 1e-9);
    assert!((bar.lever_end_n_per_mm[0] - 106.4).abs() < 0.05, "{bar:?}");
    let ratio = springs.wheels[0].heights[1].bar_ratio.expect("a bar");
    assert!((bar.wheel_n_per_mm[0].expect("a rate") - bar.lever_end_n_per_mm[0] * ratio * ratio).abs() < 1e-9);
    // With blades of any stiffness, blades included, it is softer.
    let mut softer = car("godwit.ron");
    softer.front.bar.as_mut().expect("a bar").blade = Some(Blade::Stiffness(200.0));
    let soft = study(softer).springs().bars[0].lever_end_n_per_mm[0];
    assert!((1.0 / soft - 1.0 / bar.lever_end_n_per_mm[0] - 1.0 / 200.0).abs() < 1e-9);
}

/// A push rod that is drawn out inside the sweep: its travel is found twice, along the sweep's poses and along the walk
/// of both wheels. Lock moves the arm a little, and with it the push rod's end.
#[test]
fn a_push_rod_that_does_not_reach_is_told_with_its_travel() {
    let mut car = car("plover.ron");
    car.sweep.bump = 110.0;
    let locked = study(car.clone()).springs();
    car.front.rack = None;
    let straight = study(car).springs();
    let travel = |springs: &scribeline::answer::Springs| {
        assert_eq!((springs.verdict, springs.unreached.len()), (Verdict::Short, 2), "{:?}", springs.unreached);
        let WorstPose::Wheel { travel_mm, .. } = springs.unreached[0].at else { panic!("a wheel's pose") };
        travel_mm
    };
    let [_, end] = straight.wheels[0].stroke.expect("a damper").linkage_ends_mm;
    assert!((travel(&straight) - end).abs() < 1e-5, "{} {end}", travel(&straight));
    assert!((end - 10.0..end).contains(&travel(&locked)), "{} {end}", travel(&locked));
    let said = straight.sentence(Shown::Mm);
    assert!(said.starts_with("At 97.") && said.contains("left front push rod"), "{said}");
}

/// A box of 100 by 100 mm along the car, its underside at z = 150.
fn box_rail(name: &str, from: f64, to: f64) -> Rail {
    let centreline = [from, to].map(|x| Vector3::new(x, 400.0, 200.0)).to_vec();
    Rail {
        name: name.to_owned(),
        mirror: true,
        section: Section::Box { width: 100.0, height: 100.0 },
        wall: 2.0,
        centreline,
        datum: "front end".to_owned(),
        datum_station: 0.0,
        grade: None,
        cuts: Vec::new(),
        notches: Vec::new(),
        plates: Vec::new(),
    }
}

/// A saloon of nothing but wheels and three boxes, its linkage out of the way.
fn with_boxes() -> Car {
    let mut car = car("godwit.ron");
    car.panels.clear();
    car.splitter = None;
    car.rails =
        vec![box_rail("nose", 1000.0, 600.0), box_rail("sill", -600.0, -1950.0), box_rail("tail", -3000.0, -3400.0)];
    car.front.alignment = Default::default();
    car.ground = 290.0 - car.front.tyre.mounted(&car.front.wheel).loaded_radius;
    car
}

/// By hand: 195/60R15 is 615 mm over (radius 307.5) and stands 15 % of its section height of 117 mm lower, on a flat of
/// sqrt(307.5² - 289.95²) = 102.4 mm to each side. A ramp runs from its end to the box's lower edge; the sharpest crest
/// between two equal tyres stands half-way.
#[test]
fn ramps_are_what_a_triangle_says() {
    let study = study(with_boxes());
    let stance = study.stance(&Pose::default()).expect("it stands");
    let flat = f64::sqrt(307.5 * 307.5 - 289.95 * 289.95);
    let low = 150.0 - 0.05;
    let angle = |far: f64| (low / (far - flat)).atan().to_degrees();
    for (ramp, expected, part, x) in [
        (&stance.approach, angle(1000.0), "left nose", 1000.0),
        (&stance.departure, angle(850.0), "left tail", -3400.0),
        (&stance.breakover, 2.0 * angle(1275.0), "left sill", -1275.0),
    ] {
        let ramp = ramp.as_ref().expect("a ramp");
        assert!((ramp.angle_deg - expected).abs() < 1e-3, "{ramp:?} {expected}");
        assert_eq!(ramp.part.replace("right", "left"), part);
        assert!((ramp.at_mm[0] - x).abs() < 0.1 && (ramp.at_mm[2] - 150.0).abs() < 1e-9, "{ramp:?}");
    }
    let lowest = stance.lowest.expect("a lowest point");
    assert!((lowest.height_mm - low).abs() < 1e-9 && !lowest.part.contains("arm"), "{lowest:?}");
}

/// Closed form: a point of a body that has rolled by r and then pitched by p about the ground under the origin, and
/// risen by h, is at -x sin p + (y sin r + z cos r) cos p + h.
#[test]
fn ride_heights_follow_the_pose() {
    let study = study(car("godwit.ron"));
    let pose = Pose { heave: -30.0, roll: 0.02, pitch: 0.012, rack: 0.0 };
    let stance = study.stance(&pose).expect("it stands");
    assert_eq!(stance.heights.len(), 4);
    for h in &stance.heights {
        let [x, y, z] = h.at_mm;
        let (sp, cp) = pose.pitch.sin_cos();
        let (sr, cr) = pose.roll.sin_cos();
        let over = -x * sp + (y * sr + z * cr) * cp + pose.heave;
        assert!((h.height_mm - over).abs() < 1e-9, "{h:?} {over}");
        assert!((h.ride_mm - z).abs() < 1e-9);
    }
    // A wheel goes up into the body by what comes down over it, but for what its lean changes.
    for w in &stance.wheels {
        let x = if w.axle == scribeline::car::AxleName::Front { 0.0 } else { -2550.0 };
        let down = x * pose.pitch - w.side.sign() * 710.0 * pose.roll - pose.heave;
        assert!((w.travel_mm - down).abs() < 3.0, "{w:?} {down}");
    }
}

#[test]
fn the_demo_is_clear_and_both_answers_print_in_every_form() {
    for (question, heads) in [("springs", "stroke used %"), ("stance", "at ride height")] {
        let answer = ask(question, "godwit.ron", &[]);
        assert_eq!(answer.status.code(), Some(0), "{question}");
        assert!(text(&answer).starts_with("CLEAR") && text(&answer).contains(heads), "{}", text(&answer));
        let found = json(&ask(question, "godwit.ron", &["--json", "--proposal=low and wide"]));
        assert_eq!(found["question"], question);
        assert!(found["sentence"].as_str().expect("a sentence").chars().any(|c| c.is_ascii_digit()));
        let csv = text(&ask(question, "godwit.ron", &["--csv", "--units=in"]));
        let mut reader = csv::Reader::from_reader(csv.as_bytes());
        assert!(reader.headers().expect("heads").len() > 3);
        assert!(reader.records().count() >= 12, "{csv}");
    }
}

#[test]
fn a_pose_with_the_splitter_in_the_ground_touches() {
    let answer = ask("stance", "godwit.ron", &["--heave=-7", "--units=in"]);
    let said = text(&answer);
    assert_eq!(answer.status.code(), Some(1), "{said}");
    // 170 mm over the ground, 177.8 mm down.
    assert!(said.contains("0.31 in under the ground, at the splitter"), "{said}");
    let far = ask("stance", "godwit.ron", &["--heave=-900"]);
    assert_eq!(far.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&far.stderr).contains("out of reach"));
}

/// The gaps of a car that is clear, one pair standing 3 mm apart with 2 mm wanted, and nothing else in doubt.
fn three_apart(doubt_mm: f64) -> Gaps {
    let mut gaps = study(car("dunlin.ron")).gaps(&Pose::default()).expect("ride height");
    assert_eq!(gaps.verdict, Verdict::Clear);
    let pair = &mut gaps.pairs[0];
    (pair.wanted_mm, pair.worst.gap.gap_mm) = (2.0, 3.0);
    pair.doubt = Some(GapDoubt { doubt_mm, touch_chance: 0.0 });
    gaps
}

/// Tables of the normal distribution (any handbook): of readings that hold to 4 mm 95 times in 100, that is with 2 mm to a
/// standard deviation, 6.7 % are wrong by 3 mm one way; with 1 mm to it, 16 % by 1 mm.
#[test]
fn what_is_clear_only_as_measured_is_not_said_to_be_clear() {
    let said = |doubt| three_apart(doubt).sentence(Shown::Mm);
    let touch = said(4.0);
    assert!(touch.starts_with("Clear as measured, but not surely. The "), "{touch}");
    assert!(touch.contains("3.0 mm from") && touch.ends_with("give or take 4.0 mm: it may touch (7 %)."), "{touch}");
    let short = said(2.0);
    assert!(short.ends_with("give or take 2.0 mm: it may be short of its wanted 2.0 mm (16 %)."), "{short}");
    let clear = said(0.9);
    assert!(clear.starts_with("All clear: the tightest is 1.0 mm over its wanted 2.0 mm, where the "), "{clear}");
    // Short as it is, it may touch too; and what touches is not said to be in doubt.
    let mut gaps = three_apart(4.0);
    (gaps.pairs[0].wanted_mm, gaps.pairs[0].verdict) = (5.0, Verdict::Short);
    let short = gaps.sentence(Shown::Mm);
    assert!(short.contains("5.0 mm are wanted. Give or take 4.0 mm it may touch (7 %)."), "{short}");
}

/// The trailing arm carries its wheel: tyre and arm keep their gap, and that is told at ride height, not at some travel.
/// A caliper keeps its own to the rim in every pose.
#[test]
fn a_gap_that_stays_is_told_at_ride_height() {
    let gaps = study(car("dunlin.ron")).gaps(&Pose::default()).expect("ride height");
    let pair = gaps.pairs.iter().find(|p| p.a == "left rear tyre" && p.b == "left rear trailing arm").expect("told");
    assert_eq!(pair.least_at(Shown::Mm), "ride height");
    let braked = study(car("plover.ron")).gaps(&Pose::default()).expect("ride height");
    let caliper = braked.pairs.iter().find(|p| p.b.ends_with("caliper")).expect("a brake");
    assert_eq!(caliper.least_at(Shown::Mm), "every pose alike");
}
