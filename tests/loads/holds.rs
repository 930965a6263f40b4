//! Whether parts hold: hand calculations of single tubes, what the trade knows of arms, and how the answer says it.

use scribeline::answer::loads::{Holding, Loads};
use scribeline::answer::{Study, Told, Verdict};
use scribeline::car::springs::MountedOn;
use scribeline::car::{PointName, Shown};
use scribeline::strength::bolt;
use scribeline::strength::holding::{Carried, Fails, Held, Round};

use super::*;

/// 30 x 3 mm, 500 mm long: A = pi 27 3 = 254.469 mm², I = pi (30^4 - 24^4) / 64 = 23474.8 mm⁴.
const TUBE: Round =
    Round { diameter: 30.0, wall: 3.0, length: 500.0, bow: 0.0, modulus: 205_000.0, yield_strength: 350.0 };

fn held(round: Round, axial: f64, moment: f64) -> Held {
    round.holds(Carried { axial, moment, twist: 0.0 }).unwrap()
}

fn about(ours: f64, theirs: f64) {
    assert!((ours / theirs - 1.0).abs() < 1e-4, "{ours} {theirs}");
}

fn told(car: Car) -> Loads {
    Study::new(car).unwrap().loads(None).unwrap()
}

fn of<'a>(loads: &'a Loads, words: &str) -> &'a Holding {
    loads.holds.members.iter().find(|m| m.words() == words).unwrap_or_else(|| panic!("{:?}", loads.holds))
}

fn dunlin() -> String {
    std::fs::read_to_string(format!("{}/scenes/dunlin.ron", env!("CARGO_MANIFEST_DIR"))).unwrap()
}

fn read(text: &str) -> Car {
    CarFile::from_text(text.to_owned(), None).unwrap_or_else(|e| panic!("{e}")).car().clone()
}

/// By hand: 20 kN / 254.469 = 78.595 MPa; 400 Nm x 15 / 23474.8 = 255.593 MPa; together 334.188 of 350. A torque of 400 Nm
/// has half of that as shear, and times root 3 beside 255.593 makes 255.593 sqrt(1 + 3/4) = 338.118 MPa.
#[test]
fn a_tube_pulled_bent_and_twisted_goes_by_hand() {
    let pulled = held(TUBE, 20_000.0, 0.0);
    about(pulled.direct, 78.595);
    about(pulled.factor, 350.0 / 78.595);
    assert_eq!((pulled.fails, pulled.buckles_at), (Fails::Yields, None));
    let both = held(TUBE, 20_000.0, 400_000.0);
    about(both.stress, 334.188);
    about(both.factor, 350.0 / 334.188);
    assert_eq!(both.fails, Fails::Bends);
    let twisted = TUBE.holds(Carried { axial: 0.0, moment: 400_000.0, twist: 400_000.0 }).unwrap();
    about(twisted.stress, 338.118);
    // A push adds to bending: by 1 / (1 - P / Pe), Pe = pi² 205000 23474.8 / 500² = 189985 N.
    let pushed = held(TUBE, -20_000.0, 400_000.0);
    about(pushed.bending, 255.593 / (1.0 - 20_000.0 / 189_985.0));
    // Its factor times the load is just yield.
    let n = pushed.factor;
    assert!(n < 1.0 && pushed.fails == Fails::Bends);
    // With something in hand there is less of it than the stress alone says.
    let half = held(TUBE, -10_000.0, 200_000.0);
    assert!(half.factor > 1.0 && half.factor < 350.0 / half.stress);
    about(half.factor, 2.0 * n);
    about(held(TUBE, -20_000.0 * n, 400_000.0 * n).stress, 350.0);
}

/// Johnson's parabola ends where Euler's curve is at half of yield: slenderness pi sqrt(2 E / Sy) = 107.525, so with
/// r = sqrt(23474.8 / 254.469) = 9.6047 mm at 1032.75 mm.
#[test]
fn short_rods_squash_and_long_ones_bow_out() {
    let long = |length| held(Round { length, ..TUBE }, -10_000.0, 0.0);
    assert_eq!(long(1030.0).fails, Fails::BucklesStocky);
    assert_eq!(long(1036.0).fails, Fails::BucklesSlender);
    about(long(1032.75).buckles_at.unwrap(), 350.0 / 2.0 * 254.469);
    // Twice as long, a quarter of the load; a stub holds its yield.
    about(long(3000.0).factor / long(1500.0).factor, 0.25);
    about(long(1.0).buckles_at.unwrap(), 350.0 * 254.469);
    assert_eq!(held(TUBE, -1e9, 1.0).factor.partial_cmp(&1.0), Some(std::cmp::Ordering::Less));
}

/// A bent tube needs a thicker wall (common practice, no source).
#[test]
fn a_bent_tube_is_weaker_and_a_thicker_wall_makes_up_for_it() {
    let straight = held(TUBE, -30_000.0, 0.0).factor;
    let bent = held(Round { bow: 10.0, ..TUBE }, -30_000.0, 0.0);
    assert!(bent.factor < 0.6 * straight, "{} {straight}", bent.factor);
    let heavy = held(Round { bow: 10.0, wall: 8.0, ..TUBE }, -30_000.0, 0.0).factor;
    assert!(heavy > 1.5 * bent.factor, "{heavy}");
    // Pulled, it is bent as well.
    assert!(held(Round { bow: 10.0, ..TUBE }, 30_000.0, 0.0).factor < held(TUBE, 30_000.0, 0.0).factor);
    // And so it is in a car file.
    let text = dunlin().replace(
        "upper: (od: \"1 in\", wall: \"0.060 in\"),",
        "upper: (od: \"1 in\", wall: \"0.060 in\", bow: \"6 mm\"),",
    );
    let leg = "left front upper arm, rear leg";
    let (bowed, plain) = (told(read(&text)), told(car("scenes/dunlin")));
    assert!(of(&bowed, leg).factor < 0.7 * of(&plain, leg).factor);
    assert_eq!(of(&bowed, leg).bow_mm, 6.0);
}

/// Arms of 1 in x 0.060 in tube hold more than 2 g in corners (common practice, no source), where nothing bends them:
/// here with the damper on the upright.
#[test]
fn plain_wishbones_of_inch_tube_hold_in_hard_corners() {
    let mut car = car("scenes/dunlin");
    car.front.damper.as_mut().unwrap().on = MountedOn::Upright;
    car.load_cases = LoadCaseOf(&[2.5, -2.5]).cases();
    let loads = told(car);
    let arms: Vec<&Holding> = loads.holds.members.iter().filter(|m| m.part.contains(" arm, ")).collect();
    assert_eq!(arms.len(), 8);
    for arm in arms {
        assert!(arm.factor > 1.5 && arm.factor < 50.0, "{} {}", arm.words(), arm.factor);
    }
}

/// Corners at these g.
struct LoadCaseOf(&'static [f64]);

impl LoadCaseOf {
    fn cases(&self) -> Vec<scribeline::car::LoadCase> {
        let usual = scribeline::car::LoadCase::usual(true);
        assert!(self.0.iter().all(|g| usual.iter().any(|c| c.left == *g)), "the usual cases have them");
        usual.into_iter().filter(|c| self.0.contains(&c.left)).collect()
    }
}

/// The nearer a damper stands to the ball joint, the less it bends its arm (common practice, no source; and the lever
/// says so: the spring takes P L / a and bends the arm by P (L - a)).
#[test]
fn a_damper_near_the_ball_joint_bends_the_arm_less() {
    let with = |y: f64| {
        let mut car = car("scenes/dunlin");
        car.front.points.0.insert(PointName::DamperBottom, Vector3::new(-12.0, y, 176.0));
        let loads = told(car);
        ["front", "rear"].map(|leg| of(&loads, &format!("left front lower arm, {leg} leg")).factor)
    };
    let (mid, near) = (with(520.0), with(620.0));
    assert!(near[0] > 1.3 * mid[0] && near[1] > 1.3 * mid[1], "{near:?} {mid:?}");
}

/// M12 8.8: 2 x 113.097 x 640 / root 3 = 83 580 N in double shear, half in single.
#[test]
fn bolts_and_rod_ends_hold_by_their_ratings() {
    about(bolt::shear(12.0, 640.0, true), 83_580.0);
    about(bolt::shear(12.0, 640.0, false), 41_790.0);
    let text = dunlin()
        .replacen(
            "joint: 34,",
            "joint: 34, rod_end: (static_radial: \"10 kN\"), ball_joint: (static_radial: 30000),",
            1,
        )
        .replacen(
            "grade: \"1026 DOM\",",
            "grade: \"1026 DOM\", bolt: (diameter: 12, grade: \"8.8\", double_shear: true),",
            1,
        );
    let loads = told(read(&text));
    let worst = |what: &str| loads.holds.joints.iter().find(|j| j.what == what).unwrap();
    let (end, bolt) = (worst("rod end"), worst("bolt, double shear"));
    assert!(end.verdict == Verdict::Touches && end.factor < 1.0 && end.holds_n == 10_000.0);
    about(end.factor * end.force_n, 10_000.0);
    about(bolt.holds_n, 83_580.0);
    assert_eq!(bolt.joint, end.joint);
    assert!(matches!(worst("ball joint").joint, PointName::LowerBallJoint | PointName::UpperBallJoint));
    // The force is the hardest that any case has at that joint.
    let at = |c: &scribeline::answer::loads::CaseLoads| {
        let here = c.joints.iter().filter(|j| (j.axle, j.side, j.joint) == (end.axle, end.side, end.joint));
        here.map(|j| Vector3::from(j.force_n).norm()).fold(0.0, f64::max)
    };
    about(loads.cases.iter().map(at).fold(0.0, f64::max), end.force_n);
}

/// The demo answers whole, as found and low and wide: every link, leg, and the trailing arms.
#[test]
fn the_demo_has_a_factor_for_every_member() {
    let path = format!("{}/scenes/dunlin.ron", env!("CARGO_MANIFEST_DIR"));
    let file = CarFile::open(path.as_ref()).unwrap();
    for car in [file.car().clone(), file.proposed("low and wide").unwrap()] {
        let loads = told(car);
        assert!(loads.holds.unjudged.is_empty(), "{:?}", loads.holds.unjudged);
        assert_eq!(loads.holds.members.len(), 12);
        let first = &loads.holds.members[0];
        assert!(loads.holds.members.iter().all(|m| m.factor >= first.factor && !m.source.is_empty()));
        assert_eq!(loads.verdict, first.verdict);
        let told = loads.sentence(Shown::Mm);
        assert!(told.contains("the least in hand: ") && told.contains(" MPa of 517 MPa"), "{told}");
        assert!(loads.sentence(Shown::In).contains(" ksi of 75.0 ksi"));
    }
}

/// The wanted factor is the user's.
#[test]
fn the_verdict_goes_by_the_wanted_factor() {
    let with = |factor: &str| {
        let text = dunlin().replacen("    balance:", &format!("    wanted_factor: {factor},\n    balance:"), 1);
        of(&told(read(&text)), "left front tie rod").verdict
    };
    assert_eq!((with("1.5"), with("19")), (Verdict::Clear, Verdict::Short));
}

/// A shell with a solid axle: the wheel's load times its distance from the spring bends the axle tube there.
#[test]
fn an_axle_tube_is_bent_by_its_wheels() {
    let mut car = car("scenes/godwit");
    car.rear.as_mut().unwrap().grade = Some("S355".to_owned());
    let loads = told(car);
    let axle = of(&loads, "rear axle tube");
    assert!(axle.moment_nm > 200.0 && axle.factor > 0.3 && axle.factor < 20.0, "{axle:?}");
    // What is not told has no factor, and says which line is missing.
    let lacks = loads.holds.unjudged.join("\n");
    assert!(
        lacks.contains("The front axle has no `grade`") && lacks.contains("add `link: (od: ..., wall: ...)`"),
        "{lacks}"
    );
    assert!(loads.holds.members.iter().all(|m| m.axle == AxleName::Rear));
}

#[test]
fn what_is_wrong_with_a_grade_or_rating_is_said_with_its_place() {
    let text = dunlin();
    let own = |row: &str| format!("    grades: [{row}],\n    balance:");
    let plain = "name: \"mill\", modulus: 205000, poisson: 0.29, density: 7850, yield: 600, ultimate: 700";
    for (from, to, says) in [
        ("\"1026 DOM\"", "\"1026 DMO\"".to_owned(), "did you mean `1026 DOM`?"),
        ("    balance:", own(&format!("({})", plain.replace("205000", "205"))), "`modulus` is 205: it is in MPa"),
        ("    balance:", own(&format!("({})", plain.replace("yield: 600", "yield: 800"))), "`ultimate` is 700"),
        ("    balance:", own(&format!("({plain}), ({plain})")), "two grades are called `mill`"),
        ("    balance:", "    wanted_factor: 0.5,\n    balance:".to_owned(), "`wanted_factor` is 0.5"),
        ("joint: 34,", "joint: 34, rod_end: (static_radial: -1),".to_owned(), "`static_radial` is -1 N"),
        ("rack: (", "bolt: (diameter: 12, grade: \"8.7\"), rack: (".to_owned(), "did you mean `8.8`?"),
        ("wall: \"0.060 in\"", "wall: \"0.060 in\", bow: -3".to_owned(), "`bow` is -3"),
    ] {
        let fault = CarFile::from_text(text.replacen(from, &to, 1), None).unwrap_err();
        assert!(fault.what().contains(says), "{to}: {}", fault.what());
        assert!(fault.line().is_some_and(|line| line > 10), "{to}");
    }
    // A row of one's own is taken, and named.
    let mill = format!("({plain}, source: \"sheet 12\")");
    let loads = told(read(&text.replacen("    balance:", &own(&mill), 1).replacen("1026 DOM", "Mill", 1)));
    let rod = of(&loads, "left front tie rod");
    assert!(rod.yield_mpa == 600.0 && rod.source == "sheet 12");
}

/// As it is called: exit code 1 where a part does not hold, the same words and numbers everywhere.
#[test]
fn the_command_line_says_what_holds() {
    // The damper stands on the lower arm short of its ball joint: a tube of a thin wall does not hold that.
    let thin = std::env::temp_dir().join(format!("thin-{}.ron", std::process::id()));
    std::fs::write(&thin, dunlin().replacen("wall: \"0.250 in\"", "wall: \"0.060 in\"", 1)).unwrap();
    let call = |car: &std::path::Path, more: &[&str]| {
        let mut command = std::process::Command::new(env!("CARGO_BIN_EXE_scribeline"));
        let output = command.arg("loads").arg(car).args(more).output().unwrap();
        (output.status.code(), String::from_utf8(output.stdout).unwrap())
    };
    let demo = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("scenes/dunlin.ron");
    assert_eq!(call(&demo, &[]).0, Some(0));
    let call = |more: &[&str]| call(&thin, more);
    let (code, text) = call(&[]);
    assert_eq!(code, Some(1));
    assert!(
        text.contains("does not hold") && text.contains("fatigue") && text.contains("a weld") && text.contains("K = 1")
    );
    let (_, json) = call(&["--json"]);
    let json: serde_json::Value = serde_json::from_str(&json).unwrap();
    assert_eq!(json["sentence"], text.lines().next().unwrap().strip_prefix("DOES NOT HOLD  ").unwrap());
    assert!(json["verdict"] == "touches" && json["holds"]["members"][0]["factor"].as_f64().unwrap() < 1.0);
    let (_, csv) = call(&["--csv"]);
    assert!(csv.starts_with("member,points,") && csv.lines().next().unwrap().contains(",factor,so it,"));
    assert!(csv.contains("left rear trailing arm"));
    // Driving alone asks for little.
    assert_eq!(call(&["--case", "standing"]).0, Some(0));
    std::fs::remove_file(&thin).unwrap();
}
