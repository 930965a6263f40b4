//! The underside over the ground: trigonometry of a plate, ramps and kerbs, and what the program prints of them.

use std::path::{Path, PathBuf};
use std::process::Command;

use nalgebra::Vector3;
use scribeline::answer::stance::LowPart;
use scribeline::answer::{Study, Told, Verdict, WorstPose};
use scribeline::car::{Car, CarFile, Datum, PointName, Rail, Section, Shown, Splitter, Sweep};
use scribeline::motion::{Pose, RunningGear};
use scribeline::space::{SETTLED, Settling};

fn scene(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("scenes").join(name)
}

fn car(name: &str) -> Car {
    CarFile::open(&scene(name)).expect("a demo car").car().clone()
}

fn study(car: Car) -> Study {
    Study::new(car).unwrap_or_else(|e| panic!("{e}"))
}

/// Inner pickup of every arm and the tie rod, from the middle, mm.
const INNER: f64 = 340.0;
/// Outer end, mm.
const OUTER: f64 = 640.0;
/// The wheel's centre, mm.
const CENTRE: [f64; 2] = [690.0, 275.0];

/// A nose on parallel arms, all level and 300 mm long, wheels upright; a splitter of 2 in (common practice, no source),
/// `height` over the ground. No rear axle: what is asked is the front wheels' alone.
fn nose(height: f64) -> Car {
    use PointName::{
        DamperBottom, DamperTop, LowerBallJoint, LowerFront, LowerRear, TieRodInner, TieRodOuter, UpperBallJoint,
        UpperFront, UpperRear, WheelCentre,
    };
    let mut car = car("ruff.ron");
    let [y, z] = CENTRE;
    for (name, at) in [
        (LowerFront, [120.0, INNER, 160.0]),
        (LowerRear, [-120.0, INNER, 160.0]),
        (LowerBallJoint, [0.0, OUTER, 160.0]),
        (UpperFront, [100.0, INNER, 380.0]),
        (UpperRear, [-100.0, INNER, 380.0]),
        (UpperBallJoint, [0.0, OUTER, 380.0]),
        (TieRodInner, [-110.0, INNER, 220.0]),
        (TieRodOuter, [-110.0, OUTER, 220.0]),
        (DamperTop, [0.0, 430.0, 600.0]),
        (DamperBottom, [0.0, 560.0, 180.0]),
        (WheelCentre, [0.0, y, z]),
    ] {
        car.front.points.0.insert(name, Vector3::from(at));
    }
    car.front.alignment = Default::default();
    car.ground = z - car.front.tyre.mounted(&car.front.wheel).loaded_radius;
    car.rear = None;
    car.rails.clear();
    car.panels.clear();
    car.datums.clear();
    car.sweep = Sweep { bump: 50.0, droop: 80.0, rear_bump: None, rear_droop: None, roll: 0.03, pitch: 0.02 };
    let outline = vec![[900.0, 800.0], [900.0, -800.0], [450.0, -800.0], [450.0, 800.0]];
    car.splitter = Some(Splitter { outline, thickness: 50.8, height });
    car
}

fn part<'a>(parts: &'a [LowPart], name: &str) -> &'a LowPart {
    parts.iter().find(|p| p.part == name).unwrap_or_else(|| panic!("no {name}"))
}

/// By trigonometry: at the end of its bump of b a level arm of length l has drawn the wheel in by l - sqrt(l² - b²) and
/// brought it up by b, still upright. The body rolled by r stands on that wheel and is pitched about its axle line, so a
/// place x ahead of, y outboard of and z over the wheel's centre is over the ground by
/// -x sin p + y sin r cos p + z cos r cos p + R sqrt(1 - sin² r cos² p), R being the loaded radius.
fn over(car: &Car, q: [f64; 3], side: f64, [roll, pitch]: [f64; 2]) -> f64 {
    let (length, bump) = (OUTER - INNER, car.sweep.bump);
    let y = side * (CENTRE[0] - (length - (length * length - bump * bump).sqrt()));
    let radius = car.front.tyre.mounted(&car.front.wheel).loaded_radius;
    let ((sr, cr), (sp, cp)) = (roll.sin_cos(), pitch.sin_cos());
    -q[0] * sp + (q[1] - y) * sr * cp + (q[2] - CENTRE[1] - bump) * cr * cp + radius * (1.0 - (sr * cp).powi(2)).sqrt()
}

#[test]
fn a_splitters_corners_come_down_as_trigonometry_says() {
    let car = nose(110.0);
    let study = study(car.clone());
    let underside = study.underside();
    let splitter = part(&underside.parts, "splitter");
    // Its upper face has the lower one under it in every pose: four corners, not eight.
    assert_eq!((splitter.corners.len(), splitter.more), (4, 0), "{splitter:?}");
    for corner in &splitter.corners {
        let [_, y, z] = corner.at_mm;
        assert!((z - car.ground - 110.0).abs() < 1e-9);
        // Outside the wheels' track: least with its own side down, on that side's bump stop, and the nose down.
        let side = y.signum();
        let least = over(&car, corner.at_mm, side, [-side * 0.03, 0.02]);
        assert!((corner.least_mm - least).abs() < SETTLED, "{corner:?} {least}");
        let proven = corner.at_least_mm.expect("no stiff axle");
        assert!(proven <= least + 1e-9 && least - proven < 2.0 * SETTLED, "{corner:?} {least}");
        let WorstPose::Body(at) = corner.at else { panic!("the body's pose") };
        assert!((at.roll_deg + side * 0.03f64.to_degrees()).abs() < 0.01, "{at:?}");
        assert!((at.pitch_deg - 0.02f64.to_degrees()).abs() < 0.01, "{at:?}");
    }
    // Planted: a hundredth of a radian more of pitch must show, by x sin p to first order.
    let mut more = car.clone();
    more.sweep.pitch += 0.01;
    let lower = Study::new(more).expect("a car");
    let (was, is) = (splitter.lowest().least_mm, part(&lower.underside().parts, "splitter").lowest().least_mm);
    assert!(((was - is) - 900.0 * 0.01).abs() < 0.1, "{was} {is}");
}

/// Between its wheels' tracks a place is no lower when the body rolls: what one side comes down, the bump stop lifts.
#[test]
fn the_middle_of_the_nose_is_lowest_without_roll() {
    let mut car = nose(110.0);
    car.splitter = None;
    car.datums = vec![Datum { name: "tow eye".to_owned(), mirror: false, at: Vector3::new(820.0, 0.0, 140.0) }];
    let study = study(car.clone());
    let eye = part(&study.underside().parts, "tow eye").lowest();
    let least = over(&car, eye.at_mm, 1.0, [0.0, 0.02]);
    assert!((eye.least_mm - least).abs() < SETTLED, "{eye:?} {least}");
    // Rolled either way it is higher, by some 660 sin r.
    assert!(over(&car, eye.at_mm, -1.0, [0.03, 0.02]) > least + 15.0);
}

/// A datum that is measured is a place on the shell: where it is lowest, it is the lowest point.
#[test]
fn a_datum_can_be_the_lowest_point() {
    let mut car = nose(110.0);
    let at = Vector3::new(-300.0, 500.0, car.ground + 60.0);
    car.datums = vec![Datum { name: "jacking point".to_owned(), mirror: true, at }];
    let stance = study(car).stance(&Pose::default()).expect("it stands");
    let lowest = stance.lowest.as_ref().expect("a lowest point");
    assert!(lowest.part.ends_with("jacking point") && (lowest.height_mm - 60.0).abs() < 1e-9, "{lowest:?}");
    assert!(stance.sentence(Shown::Mm).contains("jacking point"));
}

/// The static gap that is needed, fitted, is just enough: the least over the sweep is then what is wanted.
#[test]
fn fitted_with_the_gap_that_it_needs_the_splitter_keeps_what_is_wanted() {
    for height in [60.0, 110.0, 160.0] {
        let mut car = nose(height);
        let gap = study(car.clone()).underside().splitter.expect("a splitter");
        assert!((gap.static_mm - height).abs() < 1e-9, "{gap:?}");
        car.splitter.as_mut().expect("a splitter").height = gap.needed_mm;
        let fitted = Study::new(car.clone()).expect("a car");
        let splitter = part(&fitted.underside().parts, "splitter");
        assert!((splitter.lowest().least_mm - gap.wanted_mm).abs() < SETTLED, "{splitter:?}");
        // A millimetre lower falls short by about that.
        car.splitter.as_mut().expect("a splitter").height -= 1.0;
        let lower = Study::new(car).expect("a car");
        let splitter = part(&lower.underside().parts, "splitter");
        assert_eq!(splitter.verdict, Verdict::Short);
        assert!((splitter.lowest().least_mm - gap.wanted_mm + 1.0).abs() < 0.02, "{splitter:?}");
    }
}

/// Coming down level a place is lower by what the body is; upright wheels on the ground then have that much travel.
#[test]
fn parts_scrape_in_the_order_of_their_heights() {
    let mut car = nose(45.0);
    let at = Vector3::new(-200.0, 450.0, car.ground + 48.0);
    car.datums = vec![
        Datum { name: "sump".to_owned(), mirror: false, at: Vector3::new(-100.0, 0.0, car.ground + 70.0) },
        Datum { name: "sill".to_owned(), mirror: false, at },
    ];
    let study = study(car);
    let scrapes = &study.underside().scrapes;
    let told: Vec<(&str, bool)> = scrapes.iter().map(|s| (s.part.as_str(), s.held_up)).collect();
    // 50 mm of bump: the sump is held up by the stops.
    assert_eq!(told, [("splitter", false), ("sill", false), ("sump", true)]);
    for (scrape, drop) in scrapes.iter().zip([45.0, 48.0, 70.0]) {
        assert!((scrape.drop_mm - drop).abs() < 1e-9, "{scrape:?}");
        assert!((scrape.travel_mm[0].expect("a front axle") - drop).abs() < 1e-6, "{scrape:?}");
        assert_eq!(scrape.travel_mm[1], None);
    }
}

/// The bound is held against poses taken at random places of the sweep and anywhere in heave: of cars on independent
/// corners, front and rear bump apart, so that the body tips from one bump stop to the other. None may be lower.
#[test]
fn no_pose_of_the_sweep_is_lower_than_is_proven() {
    for name in ["dunlin.ron", "plover.ron"] {
        let mut car = car(name);
        car.sweep.rear_bump = Some(car.sweep.bump - 15.0);
        let gear = RunningGear::new(&car).expect("it stands");
        assert!(gear.axles().all(|axle| axle.independent()), "{name} has a stiff axle");
        let settling = Settling::new(&gear, &car.sweep);
        for q in [[800.0, 300.0, 180.0], [-1200.0, 600.0, 150.0], [-2000.0, -200.0, 170.0]].map(Vector3::from) {
            let settled = settling.least(q, 0.0, f64::INFINITY).expect("a least height");
            let proven = settled.at_least.expect("no stiff axle");
            assert!(proven <= settled.height && settled.height - proven < 2.0 * SETTLED, "{settled:?}");
            let (mut least, mut counted) = (f64::INFINITY, 0);
            for i in 0..=12 {
                for k in 0..=12 {
                    let part = |n: i32| f64::from(n) / 6.0 - 1.0;
                    let (roll, pitch) = (part(i) * car.sweep.roll, part(k) * car.sweep.pitch);
                    for down in 0..=200 {
                        let pose = Pose { heave: -0.5 * f64::from(down), roll, pitch, rack: 0.0 };
                        let Ok(posed) = gear.stand(&pose) else { break };
                        let within = posed.wheels().all(|w| {
                            let [bump, droop] = car.sweep.travel(w.hub.axle);
                            (-droop..=bump).contains(&gear.travel(w))
                        });
                        if within {
                            counted += 1;
                            least = least.min(posed.ground.height(q));
                        }
                    }
                }
            }
            assert!(counted > 1000, "{name}: {counted} poses of the sweep");
            assert!(least >= proven - 1e-6, "{name} at {q:?}: {least} in a pose, {proven} proven");
            // The steps are half a millimetre of heave and a sixth of roll and pitch.
            assert!(least - settled.height < 4.0, "{name} at {q:?}: {least} in a pose, {} found", settled.height);
        }
    }
}

/// By hand: a box of 100 mm with its underside at z = 150, ahead and high enough to be met at all. A kerb as high as the
/// box's underside is met by the tyre only sqrt(R² - (c - h)²) ahead of its centre.
#[test]
fn a_kerb_is_passed_as_high_as_what_is_ahead_of_the_tyre() {
    let mut car = nose(110.0);
    let stance = study(car.clone()).stance(&Pose::default()).expect("it stands");
    let kerb = stance.kerb_ahead.as_ref().expect("a splitter is ahead");
    assert!((kerb.height_mm - 110.0).abs() < 1e-9 && kerb.part == "splitter", "{kerb:?}");
    assert!(
        (stance.approach.as_ref().expect("a ramp").angle_deg - stance.loading.as_ref().expect("one").angle_deg).abs()
            < 1e-12
    );
    // A rail that climbs forward out of the tyre's own height: met where it leaves the tyre's circle, found by hand.
    car.splitter = None;
    let (low, high) = (Vector3::new(0.0, 400.0, 200.0), Vector3::new(600.0, 400.0, 260.0));
    car.rails = vec![Rail {
        name: "leg".to_owned(),
        mirror: true,
        section: Section::Round { od: 40.0 },
        wall: 2.0,
        centreline: vec![low, high],
        datum: "rear end".to_owned(),
        datum_station: 0.0,
        grade: None,
        cuts: Vec::new(),
        notches: Vec::new(),
        plates: Vec::new(),
    }];
    let mounted = car.front.tyre.mounted(&car.front.wheel);
    let stance = study(car.clone()).stance(&Pose::default()).expect("it stands");
    let kerb = stance.kerb_ahead.expect("a rail is ahead");
    // On the line under the tube, y = 180 - ground + x / 10, and on the circle: x² + (c - y)² = R².
    let (c, y0) = (mounted.loaded_radius, 180.0 - car.ground);
    let down = c - y0;
    let (a, b, d) = (1.01, -0.2 * down, down * down - mounted.radius * mounted.radius);
    let x = (-b + (b * b - 4.0 * a * d).sqrt()) / (2.0 * a);
    assert!((kerb.at_mm[0] - x).abs() < 1e-6 && (kerb.height_mm - (y0 + x / 10.0)).abs() < 1e-6, "{kerb:?} {x}");
    assert_eq!(kerb.part.replace("right", "left"), "left leg");
}

#[test]
fn an_approach_angle_is_an_arctangent_and_a_crest_two() {
    let mut car = car("godwit.ron");
    car.rails.clear();
    car.panels.clear();
    car.front.alignment = Default::default();
    car.ground = 290.0 - car.front.tyre.mounted(&car.front.wheel).loaded_radius;
    let outline = vec![[900.0, 700.0], [900.0, -700.0], [500.0, -700.0], [500.0, 700.0]];
    car.splitter = Some(Splitter { outline, thickness: 50.8, height: 80.0 });
    let at = Vector3::new(-1275.0, 0.0, 0.0);
    let low = 130.0;
    car.rails = vec![Rail {
        name: "spine".to_owned(),
        mirror: false,
        section: Section::Box { width: 80.0, height: 60.0 },
        wall: 2.0,
        centreline: [400.0, -400.0].map(|x| at + Vector3::new(x, 0.0, car.ground + low + 30.0)).to_vec(),
        datum: "front end".to_owned(),
        datum_station: 0.0,
        grade: None,
        cuts: Vec::new(),
        notches: Vec::new(),
        plates: Vec::new(),
    }];
    let stance = study(car.clone()).stance(&Pose::default()).expect("it stands");
    let mounted = car.front.tyre.mounted(&car.front.wheel);
    let flat = (mounted.radius.powi(2) - mounted.loaded_radius.powi(2)).sqrt();
    let approach = (80.0 / (900.0 - flat)).atan().to_degrees();
    let crest = 2.0 * (low / (1275.0 - flat)).atan().to_degrees();
    assert!((stance.approach.as_ref().expect("a nose").angle_deg - approach).abs() < 1e-9);
    assert!(
        (stance.breakover.as_ref().expect("a belly").angle_deg - crest).abs() < 1e-3,
        "{:?} {crest}",
        stance.breakover
    );
    let loading = stance.loading.expect("a ramp");
    assert_eq!((loading.set_by, loading.part.as_str()), ("approach", "splitter"));
    assert!((loading.angle_deg - approach).abs() < 1e-9);
}

#[test]
fn a_low_splitter_is_told_first_in_words_then_corner_by_corner() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("low.ron");
    let text = std::fs::read_to_string(scene("godwit.ron")).expect("the demo");
    let at = text.find("    splitter: (").expect("a splitter");
    let end = at + text[at..].find("height: 170").expect("its height");
    let low = format!("{}height: 60{}", &text[..end], &text[end + "height: 170".len()..]);
    std::fs::write(&path, low).expect("written");
    let ask = |more: &[&str]| {
        let path = path.to_str().expect("a plain path");
        Command::new(env!("CARGO_BIN_EXE_scribeline"))
            .args([&["stance", path], more].concat())
            .output()
            .expect("it runs")
    };
    let said = ask(&[]);
    let text = String::from_utf8_lossy(&said.stdout).into_owned();
    assert_eq!(said.status.code(), Some(1), "{text}");
    assert!(text.starts_with("TOUCHES") && text.contains("in the sweep the splitter goes"), "{text}");
    assert!(text.contains("to keep 15.0 mm the splitter needs a static gap of"), "{text}");
    let json: serde_json::Value = serde_json::from_slice(&ask(&["--json"]).stdout).expect("JSON");
    let part = &json["underside"]["parts"][0];
    assert_eq!((part["part"].as_str(), part["verdict"].as_str()), (Some("splitter"), Some("touches")));
    // The table and JSON say the same number.
    let least = part["corners"][0]["least_mm"].as_f64().expect("a number");
    assert!(least < 0.0 && text.contains(&format!("{least:.1}")), "{least} {text}");
    // And so does `gaps`.
    let gaps = study(CarFile::open(&path).expect("a car").car().clone()).gaps(&Pose::default()).expect("gaps");
    let pair = gaps.pairs.iter().find(|p| p.a == "splitter" && p.b == "ground").expect("the pair");
    assert!((pair.worst.gap.gap_mm - least).abs() < 1e-9, "{pair:?}");
}
