//! Load cases: what each wheel stands on, what the car file may say, and how the answer says it.

use scribeline::answer::{NoAnswer, Study, Told};
use scribeline::car::load_case::CasePose;
use scribeline::car::{Hub, LoadCase, Shown};
use scribeline::strength::forces::case::wheel_loads;

use super::*;

/// A car of 1000 kg, half on each axle, its centre of gravity at 500 mm.
fn round_car() -> Car {
    let mut car = car("scenes/godwit");
    let (weight, balance) = (car.weight.as_mut().unwrap(), car.balance.as_mut().unwrap());
    (weight.mass, weight.front, weight.roll_front) = (1000.0, 0.5, None);
    (balance.cg_height, balance.brakes_front) = (500.0, Some(0.7));
    car
}

fn case(forward: f64, left: f64, up: f64) -> LoadCase {
    LoadCase { name: "tried".to_owned(), forward, left, up, pose: CasePose::default(), wheels: Vec::new() }
}

/// What each wheel gets from the ground.
fn ground(car: &Car, case: &LoadCase) -> ([Vector3<f64>; 4], bool) {
    let gear = RunningGear::new(car).unwrap();
    let told = wheel_loads(car, &gear, &gear.ride, case, None).unwrap();
    (told.ground, told.tips)
}

/// The car's own balance: forces are its mass times its acceleration, and no moment about its centre of gravity is
/// left.
#[test]
fn the_car_is_in_balance() {
    let car = round_car();
    let gear = RunningGear::new(&car).unwrap();
    let newtons = 1000.0 * 9.80665;
    for (forward, left, up) in [(0.0, 0.0, 1.0), (-0.9, 0.0, 1.0), (0.5, 0.0, 1.0), (0.0, 1.1, 1.0), (-0.5, -0.6, 2.0)]
    {
        let (ground, tips) = ground(&car, &case(forward, left, up));
        assert!(!tips);
        let sum: Vector3<f64> = ground.iter().sum();
        assert!((sum - Vector3::new(forward, left, up) * newtons).norm() < 1e-6, "{sum:?}");
        // Pitch about the ground under the axles' middle: fronts ahead, rears behind, by half the wheelbase each.
        let pitch = (ground[0] + ground[1] - ground[2] - ground[3]).z * 2550.0 / 2.0 + sum.x * 500.0;
        assert!(pitch.abs() < 1e-6 * newtons * 500.0, "{pitch}");
        let at = |hub: Hub| {
            let pose = gear.ride(hub);
            scribeline::motion::Alignment::of(gear.of(pose), pose, &gear.ride.ground).contact.y
        };
        let roll: f64 = Hub::ALL.iter().zip(&ground).map(|(hub, f)| at(*hub) * f.z).sum::<f64>() + sum.y * 500.0;
        assert!(roll.abs() < 1e-6 * newtons * 500.0, "{forward} {left} {up}: {roll}");
    }
}

/// By hand: m g = 9806.65 N, 2451.66 a wheel; 1 g of braking shifts 9806.65 x 500 / 2550 = 1922.87 N to the front.
#[test]
fn braking_shifts_weight_to_the_front() {
    let (ground, _) = ground(&round_car(), &case(-1.0, 0.0, 1.0));
    let (front, rear) = (2451.6625 + 1922.8725 / 2.0, 2451.6625 - 1922.8725 / 2.0);
    for (i, z) in [front, front, rear, rear].into_iter().enumerate() {
        assert!((ground[i].z - z).abs() < 1e-3, "{ground:?}");
    }
    // Seven tenths in front, half of it at each wheel.
    assert!((ground[0].x + 0.35 * 9806.65).abs() < 1e-6);
}

#[test]
fn a_wheel_in_the_air_carries_nothing_and_the_rest_carry_the_car() {
    let mut car = round_car();
    car.weight.as_mut().unwrap().roll_front = Some(0.9);
    let (ground, tips) = ground(&car, &case(0.0, 1.0, 1.0));
    assert!(!tips);
    assert_eq!(ground[0], Vector3::zeros());
    assert!(ground.iter().all(|f| f.z >= 0.0));
    assert!((ground.iter().map(|f| f.z).sum::<f64>() - 9806.65).abs() < 1e-6);
    let (_, tips) = self::ground(&car, &case(0.0, 2.0, 1.0));
    assert!(tips);
}

#[test]
fn given_forces_need_no_weight() {
    let wheel = |axle: &str, side: &str| format!("(axle: {axle}, side: {side}, force: (0, \"-2 kN\", \"1000 lbf\"))");
    let wheels: Vec<String> = ["front", "rear"].iter().flat_map(|a| ["left", "right"].map(|s| wheel(a, s))).collect();
    let text = std::fs::read_to_string(format!("{}/scenes/stint.ron", env!("CARGO_MANIFEST_DIR"))).unwrap();
    let weight = text.lines().find(|l| l.trim_start().starts_with("weight:")).unwrap();
    let cases = format!("    load_cases: [(name: \"rig\", wheels: [{}])],", wheels.join(", "));
    let car = CarFile::from_text(text.replace(weight, &cases), None).unwrap().car().clone();
    let loads = Study::new(car).unwrap().loads(None).unwrap();
    assert!(!loads.usual_cases && loads.cases.len() == 1);
    let [x, y, z] = loads.cases[0].wheels[3].force_n;
    assert!(x == 0.0 && y == -2000.0 && (z - 4448.2216152605).abs() < 1e-9);
    assert!(loads.sentence(Shown::Mm).starts_with("In \"rig\" the "), "{}", loads.sentence(Shown::Mm));
}

#[test]
fn what_a_load_case_lacks_or_gets_wrong_is_said_with_its_place() {
    let text = std::fs::read_to_string(format!("{}/scenes/stint.ron", env!("CARGO_MANIFEST_DIR"))).unwrap();
    let weight = text.lines().find(|l| l.trim_start().starts_with("weight:")).unwrap();
    for (line, says) in [
        ("weight: (mass: 3, front: 0.5),", "`mass` is 3 kg"),
        ("weight: (mass: \"2200 lb\", front: 55),", "`front` is 55"),
        ("load_cases: [(name: \"a\", forward: -40)],", "it is in g"),
        ("load_cases: [(name: \"a\"), (name: \"a\")],", "two load cases are called `a`"),
        ("load_cases: [(name: \"a\", wheels: [(axle: front, side: left)])],", "one of the two"),
        ("load_cases: [(name: \"a\", wheels: [(axle: front, side: left, force: (1, 2))])],", "(forward, left, up)"),
        (
            "load_cases: [(name: \"a\", wheels: [(axle: front, side: left, force: (1, 2, \"3 stone\"))])],",
            "not a unit of force",
        ),
        ("load_cases: [(name: \"a\", pose: (roll: 60))],", "`roll` is 60 deg"),
    ] {
        let fault = CarFile::from_text(text.replace(weight, line), None).unwrap_err();
        assert!(fault.what().contains(says), "{line}: {}", fault.what());
        assert!(fault.line().is_some(), "{line}");
    }
    let bare = CarFile::from_text(text.replace(weight, ""), None).unwrap().car().clone();
    let why = Study::new(bare).unwrap().loads(None).unwrap_err();
    assert!(matches!(why, NoAnswer::Lacking(_)) && why.to_string().contains("add `weight: (mass: ..., front: ...)`"));
    let study = Study::new(car("scenes/stint")).unwrap();
    let why = study.loads(Some("brakeing")).unwrap_err().to_string();
    assert!(why.contains("\"braking\""), "{why}");
}

#[test]
fn an_answer_names_the_hardest_member_and_every_case() {
    let study = Study::new(car("scenes/dunlin")).unwrap();
    let loads = study.loads(None).unwrap();
    let most = loads.members[0].worst().unwrap().0;
    let every = loads.cases.iter().flat_map(|c| c.members.iter()).filter(|m| m.which.part != "spring and damper");
    assert!((every.map(|m| m.force_n).fold(0.0, f64::max) - most.force_n).abs() < 1e-9);
    // Without a grade nothing can be judged: then the hardest member is named.
    let mut bare = car("scenes/dunlin");
    (bare.front.grade, bare.rear.as_mut().unwrap().grade) = (None, None);
    let loads = Study::new(bare).unwrap().loads(None).unwrap();
    let told = loads.sentence(Shown::Mm);
    assert!(told.contains("lower arm's") && told.contains("compression") && told.contains(" kN "), "{told}");
    assert!(loads.sentence(Shown::In).contains(" lbf "));
    // Four contacts in each case, and the left and the right arm bent by their dampers.
    assert!(loads.cases.iter().all(|c| c.wheels.len() == 4));
    assert_eq!(loads.bending.iter().filter(|b| b.bent.part == "lower arm").count(), 2);
}

/// As it is called: exit code 0, the sentence and the caution; one case in full; JSON with the same sentence; and a
/// case that is not there is bad input.
#[test]
fn the_command_line_says_the_same() {
    let car = format!("{}/scenes/plover.ron", env!("CARGO_MANIFEST_DIR"));
    let call = |more: &[&str]| {
        let mut command = std::process::Command::new(env!("CARGO_BIN_EXE_scribeline"));
        let output = command.args(["loads", &car]).args(more).output().unwrap();
        (output.status.code(), String::from_utf8(output.stdout).unwrap(), String::from_utf8(output.stderr).unwrap())
    };
    let (code, all, _) = call(&[]);
    let sentence = all.lines().next().unwrap().strip_prefix("HOLDS  ").unwrap();
    assert_eq!(code, Some(0));
    assert!(sentence.ends_with(", the most of all members.") && all.contains("licensed"), "{all}");
    assert!(all.contains("left front push rod") && !all.contains("Joints and mounts"), "{all}");
    let (_, one, _) = call(&["--case", "bump"]);
    assert!(one.starts_with("HOLDS  At 3 g of bump the ") && one.contains("left front rocker, pivot"), "{one}");
    let (_, json, _) = call(&["--json"]);
    let json: serde_json::Value = serde_json::from_str(&json).unwrap();
    assert_eq!(json["sentence"], sentence);
    assert_eq!(json["usual_cases"], false);
    let (_, csv, _) = call(&["--csv"]);
    assert!(csv.starts_with("member,points,"), "{csv}");
    let (code, _, error) = call(&["--case", "bumb"]);
    assert!(code == Some(2) && error.contains("there are \"standing\", "), "{error}");
}

/// A bar is twisted by roll and by nothing else: its links carry then, and its springs the less.
#[test]
fn a_case_with_roll_loads_the_bar() {
    let mut car = car("scenes/godwit");
    let rolled = CasePose { roll: 1f64.to_radians(), ..CasePose::default() };
    car.load_cases =
        vec![case(0.0, 0.6, 1.0), LoadCase { name: "rolled".to_owned(), pose: rolled, ..case(0.0, 0.6, 1.0) }];
    let loads = Study::new(car).unwrap().loads(None).unwrap();
    let of = |case: usize, part: &str, side| {
        let found = loads.cases[case].members.iter();
        found
            .filter(|m| m.which.part == part && m.which.axle == AxleName::Front)
            .find(|m| m.which.side == Some(side))
            .unwrap()
    };
    assert!(of(0, "drop link", Side::Left).force_n < 5.0);
    assert!(of(1, "drop link", Side::Left).force_n > 100.0);
    // In a left turn the left side rises: the right wheel's spring is helped by the bar.
    let spring = |case| of(case, "spring and damper", Side::Right).force_n;
    assert!(spring(1) < spring(0) - 50.0, "{} {}", spring(1), spring(0));
}

/// 1.4 g of braking shared 66 to 34 over the wheelbase: the rear wheels have to hold 3.6 times what is left on them.
#[test]
fn a_case_that_no_tyre_could_follow_is_remarked() {
    let loads = Study::new(car("scenes/dunlin")).unwrap().loads(Some("braking")).unwrap();
    let rear = loads.cases[0].wheels.iter().find(|w| w.axle == AxleName::Rear).unwrap();
    let grip = -rear.force_n[0] / rear.force_n[2];
    assert!(
        loads.notes.iter().any(|n| n.contains(&format!("hold {grip:.1} times the load on it"))),
        "{:?}",
        loads.notes
    );
    assert!(loads.notes.iter().any(|n| n.contains("less braking there, or `brakes_front`")), "{:?}", loads.notes);
    // What is to be asked less of is what the case asks.
    let corner = Study::new(car("scenes/dunlin")).unwrap().loads(Some("hard left turn")).unwrap();
    let said = corner.notes.iter().find(|n| n.contains("times the load on it")).expect("2.5 g is more than tyres hold");
    assert!(said.contains("less `left` there") && !said.contains("brak"), "{said}");
    let standing = Study::new(car("scenes/dunlin")).unwrap().loads(Some("standing")).unwrap();
    assert!(standing.notes.iter().all(|n| !n.contains("times the load on it")));
}
