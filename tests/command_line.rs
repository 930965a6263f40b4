//! The program as a fabricator calls it: what it prints, and what it exits with.

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use serde_json::Value;

const PROPOSAL: &str = "--proposal=low and wide";

fn demo() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("scenes/dunlin.ron")
}

fn call(arguments: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_scribeline"));
    command.args(arguments).env_remove("DISPLAY").env_remove("WAYLAND_DISPLAY").env_remove("CLICOLOR_FORCE");
    command.output().expect("the program runs")
}

fn ask(question: &str, more: &[&str]) -> Output {
    let car = demo();
    call(&[&[question, car.to_str().expect("a plain path")], more].concat())
}

fn text(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).expect("plain text")
}

fn json(output: &Output) -> Value {
    let said = || format!("{} {}", output.status, String::from_utf8_lossy(&output.stderr));
    serde_json::from_slice(&output.stdout).unwrap_or_else(|e| panic!("{e}: {}", said()))
}

/// Writes a changed demo and asks it a question.
fn ask_changed(change: impl Fn(&str) -> String, question: &str) -> Output {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("car.ron");
    let before = std::fs::read_to_string(demo()).expect("the demo");
    let after = change(&before);
    assert_ne!(before, after, "the change changes something");
    std::fs::write(&path, after).expect("a file");
    let asked: Vec<&str> = question.split(' ').chain(path.to_str()).collect();
    call(&asked)
}

#[test]
fn as_found_the_demo_clears_and_every_answer_says_so() {
    for question in ["gaps", "lock", "cut"] {
        let answer = ask(question, &[]);
        assert_eq!(answer.status.code(), Some(0), "{question}: {}", text(&answer));
        assert!(text(&answer).starts_with("CLEAR"), "{}", text(&answer));
    }
}

/// Common practice, no source: a shell lowered about 100 mm over tyres of 300 mm and more puts an upper rail that runs
/// over the wheel into the tyre at ride height already, and the tyre meets an arm before the rack stops.
#[test]
fn low_and_wide_the_rail_is_in_the_tyre_and_the_tyre_meets_an_arm() {
    let gaps = json(&ask("gaps", &[PROPOSAL, "--json"]));
    let rail = gaps["pairs"].as_array().expect("pairs").iter().find(|p| p["b"] == "left upper rail").expect("the rail");
    assert_eq!(rail["a"], "left front tyre");
    assert!(rail["here"]["gap_mm"].as_f64().expect("a gap") < -5.0);
    assert!(gaps["sentence"].as_str().expect("a sentence").contains("upper rail at ride height"));

    let lock = json(&ask("lock", &[PROPOSAL, "--json"]));
    for way in lock["ways"].as_array().expect("two ways") {
        let worst = &way["worst"];
        assert!(worst["rack_mm"].as_f64().expect("rack").abs() < lock["stop_mm"].as_f64().expect("stop"));
        assert!(worst["touch"]["a"].as_str().expect("a").contains("tyre"), "{worst}");
        assert!(worst["touch"]["b"].as_str().expect("b").contains("lower arm"), "{worst}");
        let left = worst["touch"]["gap_mm"].as_f64().expect("gap");
        let wanted = worst["touch"]["wanted_mm"].as_f64().expect("wanted");
        // A touch is where the wanted gap is reached: 0.01 mm of rack moves a wheel's edge by a few hundredths.
        assert!((left - wanted).abs() < 0.05, "{left} of {wanted}");
    }

    let cut = json(&ask("cut", &[PROPOSAL, "--json"]));
    let rails: Vec<&str> = cut["rails"].as_array().expect("rails").iter().filter_map(|r| r["rail"].as_str()).collect();
    assert!(rails.contains(&"left upper rail") && rails.contains(&"right upper rail"), "{rails:?}");
    for question in ["gaps", "lock", "cut"] {
        assert_eq!(ask(question, &[PROPOSAL]).status.code(), Some(1), "{question}");
    }
}

/// The plans are told in every form: as text, as JSON, and as lines to scribe.
#[test]
fn what_to_saw_is_told_as_text_as_json_and_as_lines() {
    let told = text(&ask("cut", &[PROPOSAL]));
    for words in [
        "What to saw",
        "cut with square ends at",
        "cut with mitred ends at",
        "No notch:",
        "cut_rail(rail: \"upper rail\", from:",
    ] {
        assert!(told.contains(words), "{words}: {told}");
    }
    let cut = json(&ask("cut", &[PROPOSAL, "--json"]));
    let ways = cut["plans"][0]["ways"].as_array().expect("ways");
    assert_eq!(ways.iter().map(|w| w["way"].as_str().expect("a way")).collect::<Vec<_>>(), ["square", "mitred"]);
    assert!(ways.iter().all(|w| w["proven"] == true && w["gap"]["gap_mm"].as_f64().expect("a gap") >= 12.0));
    assert!(cut["caution"].as_str().expect("a caution").contains("licensed engineer"));
    let lines = text(&ask("cut", &[PROPOSAL, "--lines", "--csv"]));
    let rows: Vec<&str> = lines.lines().collect();
    assert_eq!(rows[0], "rail,what,end,face,edge,station mm,tape along the edge mm,deep mm");
    // Two ways, two ends, four faces, two edges each.
    assert_eq!(rows.len(), 1 + 2 * 2 * 4 * 2);
    assert!(rows[1].starts_with("upper rail,cut with square ends,near,top,outer top,25"), "{}", rows[1]);
}

/// The demo with its upper rail cut, plated and braced.
#[test]
fn a_car_with_its_own_cut_is_told_what_it_leaves() {
    let answer = ask("cut", &["--proposal=low and cut"]);
    assert_eq!(answer.status.code(), Some(0));
    let told = text(&answer);
    assert!(told.starts_with("CLEAR  With the upper rail, left and right, as it is cut the"), "{told}");
    assert!(told.contains("cut 250.0 to 800.0  near  250.0"), "{told}");
    assert!(text(&ask("cut", &["--proposal=low and cut", "--lines"])).contains("own cut"));
    let gaps = text(&ask("gaps", &["--proposal=low and cut"]));
    assert!(gaps.contains("left upper rail, far end plate") && !gaps.contains("left upper rail  "), "{gaps}");
}

/// The demo with the left upper rail's corners elsewhere, and without the proposal that cuts it where it was.
fn upper_rail_along(centreline: &'static str) -> impl Fn(&str) -> String {
    move |text| {
        let cut = text.find("        (\n            name: \"low and cut\"").expect("the proposal");
        let text = format!("{}    ],\n)", &text[..cut]);
        text.replace("[(-520, 612, 730), (-260, 622, 722), (250, 618, 706), (640, 560, 640)]", centreline)
    }
}

/// Stations of a cut's stretches as (face, from, to, deepest).
fn stretches(rail: &Value) -> Vec<(String, [f64; 3])> {
    let number = |s: &Value, key: &str| s[key].as_f64().expect("a number");
    let one = |s: &Value| {
        let face = s["face"].as_str().expect("a face").to_owned();
        (face, ["from_mm", "to_mm", "deepest_mm"].map(|key| number(s, key)))
    };
    rail["to_clear"].as_array().expect("stretches").iter().map(one).collect()
}

/// Level with the wheel centre the tread lies ahead of it and behind it, and in the middle is the hollow.
#[test]
fn what_is_in_the_way_ahead_and_behind_is_two_stretches_with_their_own_depths() {
    let cut = ask_changed(upper_rail_along("[(-520, 600, 269), (520, 600, 269)]"), "cut --json");
    for rail in json(&cut)["rails"].as_array().expect("rails") {
        let all = stretches(rail);
        let outer: Vec<_> = all.iter().filter(|(face, _)| face == "outer").map(|(_, s)| *s).collect();
        assert_eq!(outer.len(), 2, "{outer:?}");
        for [from, to, deepest] in outer {
            assert!(from <= deepest && deepest <= to, "{deepest} is not from {from} to {to}");
            // The wheel centre is at station 520.
            assert!(to < 470.0 || from > 570.0, "{from} to {to}");
        }
    }
}

/// A member from wheel to wheel is in the way at both ends and stays in the middle.
#[test]
fn of_a_cross_member_only_the_ends_must_go() {
    let across = |t: &str| {
        upper_rail_along("[(300, 700, 300), (300, -700, 300)]")(t).replacen("mirror: true", "mirror: false", 1)
    };
    let cut = json(&ask_changed(across, "cut --json"));
    let rail = &cut["rails"][0];
    assert_eq!(rail["to_clear_mm"].as_array().expect("ranges").len(), 2, "{rail}");
    assert!(rail["to_clear_mm"][0][1].as_f64() < Some(300.0) && rail["to_clear_mm"][1][0].as_f64() > Some(1100.0));
    assert!(cut["sentence"].as_str().expect("a sentence").contains(" and "), "{cut}");
}

#[test]
fn a_rail_in_the_tyre_straight_ahead_is_not_all_clear_to_steer() {
    let lock = ask_changed(upper_rail_along("[(-520, 720, 269), (520, 720, 269)]"), "lock");
    assert_eq!(lock.status.code(), Some(1));
    assert!(text(&lock).contains("too near straight ahead already"), "{}", text(&lock));
}

#[test]
fn the_table_and_json_say_the_same_numbers() {
    let answer = ask("gaps", &[PROPOSAL]);
    let found = json(&ask("gaps", &[PROPOSAL, "--json"]));
    for pair in found["pairs"].as_array().expect("pairs") {
        let least = format!("{:.1}", pair["worst"]["gap_mm"].as_f64().expect("a gap"));
        let (a, b) = (pair["a"].as_str().expect("a"), pair["b"].as_str().expect("b"));
        let row = |line: &&str| line.starts_with(&format!("{a} ")) && line.contains(&format!(" {b}  "));
        let printed = text(&answer);
        let line = printed.lines().find(row).unwrap_or_else(|| panic!("no row for {a} - {b}"));
        assert!(line.contains(&format!(" {least} ")), "{least} in {line}");
    }
}

#[test]
fn inches_are_millimetres_over_25_4() {
    let table = |units: &str| text(&ask("curves", &["--csv", "--travel=0", units]));
    let cell = |csv: &str, head: &str| -> f64 {
        let mut reader = csv::Reader::from_reader(csv.as_bytes());
        let column = reader.headers().expect("heads").iter().position(|h| h == head).expect("the column");
        reader.records().next().expect("a row").expect("a row")[column].parse().expect("a number")
    };
    let (mm, inches) = (table("--units=mm"), table("--units=in"));
    let (in_mm, in_inches) = (cell(&mm, "damper length mm"), cell(&inches, "damper length in"));
    assert!((in_mm / 25.4 - in_inches).abs() < 0.005 + 0.05 / 25.4, "{in_mm} mm, {in_inches} in");
}

#[test]
fn curves_print_a_row_for_every_combination_and_side() {
    let answer = ask("curves", &["--travel=-40:40:20", "--rack=-50:50:25", "--json"]);
    assert_eq!(answer.status.code(), Some(0));
    let rows = json(&answer)["rows"].as_array().expect("rows").clone();
    assert_eq!(rows.len(), 5 * 5 * 2);
    for key in ["camber_deg", "toe_deg", "caster_deg", "kingpin_deg", "travel_mm", "rack_mm"] {
        assert!(rows.iter().all(|r| r[key].is_f64()), "{key}");
    }
    assert!(rows.iter().all(|r| r["side"].is_string()));
    // A row is where it says it is: over 20 mm of bump the damper shortens by what its motion ratio adds up to
    // (Simpson's rule on three rows).
    let rows = json(&ask("curves", &["--travel=0:20:10", "--rack=0", "--json"]))["rows"].clone();
    let left: Vec<&Value> = rows.as_array().expect("rows").iter().filter(|r| r["side"] == "left").collect();
    let of = |row: usize, key: &str| left[row][key].as_f64().expect("a number");
    let ratio = |row| of(row, "motion_ratio");
    let shortens = of(0, "damper_mm") - of(2, "damper_mm");
    let adds_up = 20.0 / 6.0 * (ratio(0) + 4.0 * ratio(1) + ratio(2));
    assert!(shortens > 5.0 && (shortens - adds_up).abs() < 1e-3, "{shortens} against {adds_up}");
}

#[test]
fn beyond_the_linkage_is_an_error_that_names_the_part() {
    let answer = ask("curves", &["--travel=0:400:10"]);
    assert_eq!(answer.status.code(), Some(2));
    let said = String::from_utf8_lossy(&answer.stderr).into_owned();
    assert!(said.contains("out of reach") && said.contains("arm"), "{said}");
    let answer = ask_changed(|t| t.replace("sweep: (bump: 65", "sweep: (bump: 365"), "gaps");
    assert_eq!(answer.status.code(), Some(2));
    let said = String::from_utf8_lossy(&answer.stderr).into_owned();
    assert!(said.contains("60.0 mm droop to 365.0 mm bump") && said.contains("at the end of its swing"), "{said}");
}

#[test]
fn bad_input_says_where_and_what_to_do_and_exits_with_two() {
    let cases: [(&str, &str, &[&str]); 4] = [
        ("lower_front: (150", "lower_font: (150", &["car.ron:15:13", "lower_font", "lower_front"]),
        ("wheelbase: 2460", "wheelbase: \"2460 furlongs\"", &["car.ron:", "furlongs"]),
        ("format: 1", "format: 7", &["car.ron:", "7"]),
        ("name: \"lower rail\"", "name: \"upper rail\"", &["car.ron:", "upper rail"]),
    ];
    for (from, to, words) in cases {
        let answer = ask_changed(|t| t.replace(from, to), "gaps");
        let said = String::from_utf8_lossy(&answer.stderr).into_owned();
        assert_eq!(answer.status.code(), Some(2), "{said}");
        for word in words {
            assert!(said.contains(word), "no {word} in: {said}");
        }
        assert!(answer.stdout.is_empty());
    }
    let nearest = ask("lock", &["--proposal=low and wid"]);
    assert_eq!(nearest.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&nearest.stderr).contains("low and wide"));
    assert_eq!(call(&["gaps", "no such car.ron"]).status.code(), Some(2));
    let slip = call(&["gap", "car.ron"]);
    assert_eq!(slip.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&slip.stderr).contains("did you mean `gaps`?"));
    assert_eq!(call(&["gaps"]).status.code(), Some(2));
    assert_eq!(ask("curves", &["--travel=60:-60:20"]).status.code(), Some(2));
}

#[test]
fn without_a_display_the_demo_is_answered_and_the_way_to_the_viewer_told() {
    let answer = call(&[]);
    assert_eq!(answer.status.code(), Some(0), "{}", String::from_utf8_lossy(&answer.stderr));
    let said = text(&answer);
    for words in ["As found", "Proposal \"low and wide\"", "gaps", "lock", "cut", "loads HOLDS", "opens the viewer"] {
        assert!(said.contains(words), "no {words} in: {said}");
    }
}

#[test]
fn colour_stays_off_where_nobody_sees_it() {
    assert!(!text(&ask("gaps", &[])).contains('\u{1b}'));
}

#[test]
fn completions_know_the_questions() {
    for shell in ["bash", "zsh", "fish"] {
        let script = text(&call(&["completions", shell]));
        assert!(["gaps", "lock", "cut", "curves"].iter().all(|q| script.contains(q)), "{shell}");
    }
}

#[test]
fn cautions_stand_where_the_user_decides() {
    assert!(text(&ask("cut", &[PROPOSAL])).contains("licensed engineer"));
    assert!(text(&ask("lock", &[PROPOSAL])).contains("Check the lock by hand"));
}

/// Roll ends where one wheel is at the end of its bump and the other at the end of its droop, whatever the file asks.
/// Without pitch: with the nose down a rear wheel's droop ends the roll before the front wheels do.
#[test]
fn more_roll_never_lifts_the_splitter() {
    let splitter = |roll: &str| {
        let asked = "droop: 40, roll: 2, pitch: 0.8";
        let change = |t: &str| {
            assert_eq!(t.matches(asked).count(), 1);
            t.replace(asked, &format!("droop: 40, roll: {roll}, pitch: 0"))
        };
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("car.ron");
        std::fs::write(&path, change(&std::fs::read_to_string(demo()).expect("the demo"))).expect("a file");
        let answer = call(&["gaps", path.to_str().expect("a plain path"), PROPOSAL, "--json"]);
        let found = json(&answer);
        let pairs = found["pairs"].as_array().expect("pairs");
        let pair = pairs.iter().find(|p| p["a"] == "splitter" && p["b"] == "ground").expect("the splitter");
        (
            pair["worst"]["gap_mm"].as_f64().expect("a gap"),
            pair["worst"]["at"]["body"]["roll_deg"].as_f64().expect("roll"),
        )
    };
    let [two, six, fifteen] = ["2", "6", "15"].map(splitter);
    assert!(six.0 < two.0 && (fifteen.0 - six.0).abs() < 0.01, "{two:?} {six:?} {fifteen:?}");
    // 45 mm up on one side and 40 down on the other, over a track of about 1.5 m: common geometry gives some 3.2 degrees.
    assert!((2.5..4.0).contains(&six.1.abs()), "{six:?}");
}

#[test]
fn a_plot_is_a_table_of_as_found_and_proposal_or_a_drawing() {
    let table = text(&ask("curves", &[PROPOSAL, "--plot", "camber", "--csv"]));
    let head = table.lines().next().expect("a head line");
    assert!(head.starts_with("wheel travel mm,\"left, as found deg\""), "{head}");
    assert!(head.ends_with("\"right, low and wide deg\""), "{head}");

    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("camber.svg");
    let file = path.to_str().expect("a plain path");
    let drawn = ask("curves", &[PROPOSAL, "--plot", "motion_ratio", "--against", "roll", "--svg", file]);
    assert_eq!(drawn.status.code(), Some(0), "{drawn:?}");
    let svg = std::fs::read_to_string(&path).expect("a drawing");
    let xml = roxmltree::Document::parse(&svg).expect("well-formed");
    assert!(xml.descendants().any(|n| n.text() == Some("Roll, deg (left side up positive)")));

    let plot = json(&ask("curves", &["--plot", "roll_centre_height", "--json", "--units", "in"]));
    assert_eq!(plot["y"]["unit"], "mm", "JSON is always in millimetres");
    assert_eq!(plot["lines"].as_array().expect("lines").len(), 1, "the axle's, not a wheel's");
}

#[test]
fn a_plot_that_cannot_be_made_says_why() {
    for (more, said) in [
        (&["--plot", "camper"][..], "camber"),
        (&["--against", "roll"], "--plot"),
        (&["--plot", "toe", "--svg", "no/such/folder/toe.svg"], "folder"),
    ] {
        let answer = ask("curves", more);
        assert_eq!(answer.status.code(), Some(2), "{more:?}");
        let why = String::from_utf8_lossy(&answer.stderr).into_owned();
        assert!(why.contains(said), "{why}");
    }
}
