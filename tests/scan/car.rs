//! A car with a scan: placed, trimmed, mirrored, answered for, and refused with its place in the car file.

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use nalgebra::Vector3;
use scribeline::answer::{Among, NoAnswer, Study, Told};
use scribeline::car::{CarError, CarFile, Edit, FileUnit, NewScan, Picked, ScanFact, ScannedAs, Shown, Trim};
use scribeline::motion::Pose;
use scribeline::space::{Kind, Place, Scans};
use tempfile::TempDir;

use super::files::{arch, binary_stl};

const DEMO: &str = include_str!("../../scenes/sanderling.ron");

/// The demo's file with `from` replaced by `to`, and its scan beside it.
fn changed(from: &str, to: &str) -> (TempDir, Result<CarFile, CarError>) {
    assert_eq!(DEMO.matches(from).count(), 1, "`{from}` should stand once in the car");
    let folder = tempfile::tempdir().expect("a folder");
    fs::create_dir(folder.path().join("scans")).expect("a folder");
    fs::write(folder.path().join("scans/arch.stl"), include_bytes!("../../scenes/scans/arch.stl")).expect("a file");
    fs::write(folder.path().join("straight.stl"), binary_stl(&arch())).expect("a file");
    let path = folder.path().join("car.ron");
    fs::write(&path, DEMO.replacen(from, to, 1)).expect("a file");
    let file = CarFile::open(&path);
    (folder, file)
}

fn loaded(from: &str, to: &str) -> Result<Scans, CarError> {
    let (_folder, file) = changed(from, to);
    let file = file?;
    Scans::load(&file, file.car())
}

fn study(file: &CarFile, proposal: Option<&str>) -> Study {
    let car = proposal.map_or_else(|| file.car().clone(), |name| file.proposed(name).expect("the proposal"));
    Study::with_scans(car.clone(), &Scans::load(file, &car).expect("the scans")).expect("a study")
}

const FILE: &str = "file: \"scans/arch.stl\",";
const PLACE: &str = "(scan: (-68.1, -237.1, -194.3), car: (398, 822, 357)),";

#[test]
fn the_demo_arch_lies_over_the_wheel_on_both_sides() {
    let (_folder, file) = changed(FILE, FILE);
    let study = study(&file.expect("the demo opens"), None);
    assert!(study.notes.is_empty(), "{:?}", study.notes);
    let arches: Vec<_> = study.parts.body.iter().filter(|p| p.kind == Kind::Panel).collect();
    assert_eq!(arches.iter().map(|p| &p.name[..]).collect::<Vec<_>>(), ["left wheel arch", "right wheel arch"]);
    for (arch, sign) in arches.iter().zip([1.0, -1.0]) {
        // As the script that made it has it (tests/reference/scan.py), within what the points are off.
        let [low, high] = arch.solid.around;
        let (inner, outer) = if sign > 0.0 { (low.y, high.y) } else { (-high.y, -low.y) };
        for (found, made) in [(inner, 592.0), (outer, 822.0), (high.z, 694.0), (high.x, 396.0), (low.x, -396.0)] {
            assert!((found - made).abs() < 4.0, "{found} for {made}");
        }
        assert!(low.z >= 320.0, "trimmed: {}", low.z);
    }
    let gaps = study.gaps(&Pose::default()).expect("ride height");
    let pair = gaps.pairs.iter().find(|p| p.a == "left front tyre" && p.b == "left wheel arch").expect("the pair");
    // The arch is 392 +- 3 mm about a line 2 mm over the wheel centre, and the tyre 293 mm (205/50R15).
    let here = pair.here.expect("a gap").gap_mm;
    assert!((94.0..106.0).contains(&here), "{here}");
}

#[test]
fn a_picked_points_slip_is_told_and_so_is_a_file_that_changed() {
    let off = loaded(PLACE, "(scan: (-68.1, -237.1, -194.3), car: (418, 822, 357)),").expect("it is placed");
    assert!(off.notes()[0].contains("off their places (no. 1; "), "{:?}", off.notes());
    assert_eq!(off.0[0].placing.off.len(), 4);
    let changed = loaded("check: \"sha256:", "check: \"sha256:00").map(|s| s.notes());
    assert!(changed.expect_err("66 digits").to_string().contains("64 digits"));
    let digits = DEMO.split("sha256:").nth(1).expect("a check").split('"').next().expect("an end");
    let notes = loaded(digits, &"0".repeat(64)).expect("a warning").notes();
    assert!(notes.len() == 1 && notes[0].contains("changed since it was laid on the car"), "{notes:?}");
}

/// A scan is no surer than where it was laid: squares of the doubts add (JCGM 100:2008, 5.1.2), the worst point's being the
/// scan's.
#[test]
fn a_gap_to_a_scan_is_doubted_by_how_far_off_it_lies() {
    let doubt = |from: &str, to: &str| {
        let (_folder, file) = changed(from, to);
        let file = file.expect("it opens");
        let off = Scans::load(&file, file.car()).expect("it is placed").0[0].placing.worst().expect("picked points").1;
        let study = study(&file, None);
        let mut gaps = study.gaps(&Pose::default()).expect("ride height");
        study.doubt(&mut gaps);
        let pair = gaps.pairs.iter().find(|p| p.a == "left front tyre" && p.b == "left wheel arch").expect("the pair");
        (off, pair.doubt.expect("a doubt").doubt_mm)
    };
    let (well, poorly) = (doubt(FILE, FILE), doubt(PLACE, "(scan: (-68.1, -237.1, -194.3), car: (418, 822, 357)),"));
    assert!(poorly.0 > well.0 + 5.0 && poorly.1 > poorly.0);
    // What is left without the scan's share is the car's own, nearly the same where the arch lies a little elsewhere.
    let own = |(off, doubt): (f64, f64)| (doubt * doubt - off * off).sqrt();
    assert!((own(well) - own(poorly)).abs() < 0.2, "{} and {}", own(well), own(poorly));
}

#[test]
fn a_scan_that_is_laid_by_nothing_says_so() {
    let (_folder, file) = changed(FILE, FILE);
    let file = file.expect("the demo opens");
    let mut car = file.car().clone();
    assert!(!car.scans[0].place.is_empty());
    car.scans[0].place.clear();
    car.scans[0].trim = None;
    let notes = Scans::load(&file, &car).expect("it is read").notes();
    assert!(notes.iter().any(|n| n.contains("laid by no picked points")), "{notes:?}");
    // By its size a wrong unit is seen.
    let [low, high] = Scans::load(&file, &car).expect("it is read").0[0].solid.around;
    let [x, y, z] = [0, 1, 2].map(|k| high[k] - low[k]);
    assert!(notes.iter().any(|n| n.contains(&format!("{x:.1} x {y:.1} x {z:.1} mm in size"))), "{notes:?}");
}

/// The demo's arch with its mesh and its picked points in whatever units.
fn scaled(mesh: f64, points: f64, unit: &str) -> Result<(Vec<String>, Vec<String>), String> {
    let (folder, _) = changed(FILE, FILE);
    let found =
        scribeline::scan::read(Path::new("a.stl"), include_bytes!("../../scenes/scans/arch.stl")).expect("a mesh");
    let corners = found.corners.iter().map(|c| c * mesh).collect();
    fs::write(folder.path().join("arch.stl"), binary_stl(&(corners, found.triangles))).expect("a file");
    let file = CarFile::open(&folder.path().join("car.ron")).expect("the demo opens");
    let mut text = file.text().to_owned();
    for picked in &file.car().scans[0].place {
        let [x, y, z] = picked.scan;
        let [u, v, w] = picked.scan.map(|mm| mm * points);
        text = text.replace(&format!("scan: ({x:?}, {y:?}, {z:?})"), &format!("scan: ({u:?}, {v:?}, {w:?})"));
    }
    let start = text.find("            check: \"sha256").expect("a check");
    let end = start + text[start..].find('\n').expect("an end");
    text.replace_range(start..end, "");
    let text = text.replace("            unit: mm,", &format!("            unit: {unit},"));
    fs::write(folder.path().join("car.ron"), text.replace("scans/arch.stl", "arch.stl")).expect("a file");
    let file = CarFile::open(&folder.path().join("car.ron")).map_err(|e| e.to_string())?;
    let scans = Scans::load(&file, file.car()).map_err(|e| e.to_string())?;
    Ok((scans.notes(), scans.beware()))
}

/// A mesh in metres whose points were typed in inches fits its places on the car to a hair, and lies nowhere near them.
#[test]
fn a_scan_in_another_unit_than_its_points_is_told() {
    let inches = 1.0 / 25.4;
    let (notes, beware) = scaled(inches, inches, "in").expect("it is placed");
    assert!(notes.is_empty() && beware.is_empty(), "all in inches: {notes:?}");
    let (notes, beware) = scaled(0.001, inches, "in").expect("it is placed");
    assert!(
        notes[0].contains("off the scan's own mesh, and 4 of 4 do not lie on it: is the scan's `unit` in?"),
        "{notes:?}"
    );
    assert!(beware[0].contains("off its own mesh: is its unit in?"), "{beware:?}");
    // Metres read as millimetres: the points lie nearly in one place.
    let error = scaled(0.001, 0.001, "mm").expect_err("nothing is as small");
    assert!(error.contains("check the scan's `unit`, which is mm") && !error.contains("one line"), "{error}");
}

/// Below the table it could be passed over.
#[test]
fn what_is_wrong_with_a_scan_is_in_every_sentence_that_rests_on_it() {
    let digits = DEMO.split("sha256:").nth(1).expect("a check").split('"').next().expect("an end");
    let slip = "(scan: (-68.1, -237.1, -194.3), car: (418, 822, 357)),";
    let zeros = "0".repeat(64);
    for (from, to, said) in [
        (
            digits,
            zeros.as_str(),
            "But beware: the scan `wheel arch` may lie wrong, as its file changed since it was laid.",
        ),
        (PLACE, slip, "off the points that it was laid on."),
    ] {
        let (_folder, file) = changed(from, to);
        let study = study(&file.unwrap_or_else(|e| panic!("{e}")), None);
        let map = study.map(study.sweeps[0].hub, Among::Wheel, 5, 5).expect("a map");
        let gaps = study.gaps(&Pose::default()).expect("ride height");
        let told: [&dyn Told; 4] = [&gaps, &study.lock(), &study.lock_curve(), &map];
        for sentence in told.map(|t| t.sentence(Shown::Mm)) {
            assert!(sentence.contains(said), "{sentence}");
        }
    }
}

#[test]
fn a_fault_stands_at_its_place_in_the_car_file() {
    let line = |mark: &str| 1 + DEMO[..DEMO.find(mark).expect("the mark")].lines().count();
    for (from, to, at, words) in [
        (FILE, "file: \"scans/arc.stl\",", FILE, "there is no such mesh file: copy the scan there"),
        (FILE, "file: \"car.ron\",", FILE, "export the scan as one of these"),
        (PLACE, "", "place: [", ""),
        (
            "from: (-500, 580, 330), to: (500, 840, 800)",
            "from: (900, 580, 330), to: (999, 840, 800)",
            "trim:",
            "nothing of the scan lies in this box",
        ),
        ("from: (-500, 580, 330)", "from: (500, 580, 330)", "trim:", "the box has no inside"),
        ("unit: mm,\n            as", "unit: in,\n            as", "place: [", "25.4"),
        ("as: panel,", "as: pannel,", "as: panel", "did you mean `panel`?"),
        ("name: \"wheel arch\"", "name: \"splitter\"", "name: \"wheel arch\"", "splitter's own"),
    ] {
        let found = loaded(from, to);
        if words.is_empty() {
            assert!(found.is_ok(), "three points are enough");
            continue;
        }
        let error = found.expect_err(to);
        assert!(error.what().contains(words), "{to}: {}", error.what());
        assert!(error.line().is_some_and(|l| l.abs_diff(line(at)) <= 1), "{to}: {error}");
    }
    // Two points leave it to turn, and so do points on a line.
    let two =
        DEMO.find("(scan: (238.3").expect("the third")..DEMO.find("            ],\n            trim").expect("the end");
    let error = loaded(&DEMO[two], "").expect_err("two points");
    assert!(error.what().contains("three picked points or more, and here are 2"), "{error}");
}

#[test]
fn without_points_a_scan_is_in_the_cars_coordinates_already() {
    let start = DEMO.find("            // The same four").expect("the points");
    let end = DEMO.find("        ),\n    ],\n    sweep").expect("the end");
    let (_folder, file) = changed(&DEMO[start..end], "");
    let text = file.expect("it opens").text().replace("scans/arch.stl", "straight.stl");
    let path = _folder.path().join("car.ron");
    fs::write(&path, &text).expect("a file");
    let file = CarFile::open(&path).expect("it opens");
    let found = study(&file, None);
    assert_eq!(
        found.parts.body[0].solid.around,
        [Vector3::new(-400.0, 590.0, 300.0), Vector3::new(400.0, 820.0, 700.0)]
    );
    // A proposal moves a scan as it moves any part, the right one's y the other way, and takes it away.
    let moved = study(&file, Some("bigger tyres"));
    assert_eq!(moved.parts.body[0].solid.around[0].y, 610.0);
    assert_eq!(moved.parts.body[1].solid.around[1].y, -610.0);
    fs::write(
        &path,
        text.replace("lower_body(by: 30)", "remove(\"wheel arch\")")
            .replace(", move_part(part: \"wheel arch\", by: (0, 20, 0))", ""),
    )
    .expect("a file");
    let file = CarFile::open(&path).expect("it opens");
    assert!(study(&file, Some("bigger tyres")).parts.body.is_empty());
    // In metres it would reach to the next town.
    fs::write(&path, text.replace("unit: mm,\n            as", "unit: m,\n            as")).expect("a file");
    let file = CarFile::open(&path).expect("it opens");
    let error = Scans::load(&file, file.car()).expect_err("too far");
    assert!(error.what().contains("farther than any car: check its `unit`, which is m"), "{error}");
}

#[test]
fn a_scanned_rail_has_no_stations_and_the_cut_says_so() {
    let (_folder, file) = changed("as: panel,", "as: rail,");
    let study = study(&file.expect("it opens"), Some("bigger tyres"));
    let cut = study.cut();
    assert!(cut.rails.is_empty() && cut.clear.is_empty());
    assert_eq!(cut.notes.len(), 2, "one for each side: {:?}", cut.notes);
    assert!(cut.notes[0].contains("left wheel arch") && cut.notes[0].contains("no stations"));
    // A rail is measured to the ground too: its lowest corner, among all of them.
    let gaps = study.gaps(&Pose::default()).expect("ride height");
    let pair = gaps.pairs.iter().find(|p| p.a == "left wheel arch" && p.b == "ground");
    if let Some(pair) = pair {
        let skin = study.parts.body[0].solid.skin.as_ref().expect("a skin");
        let ground = &study.gear.ride.ground;
        let lowest = skin.corners.iter().map(|c| ground.height(*c)).fold(f64::INFINITY, f64::min);
        assert!((pair.here.expect("a gap").gap_mm - lowest).abs() < 1e-9);
    }
    assert!(pair.is_some());
}

#[test]
fn a_car_with_scans_is_never_answered_for_without_them() {
    let (_folder, file) = changed(FILE, FILE);
    let car = file.expect("it opens").car().clone();
    assert_eq!(Study::new(car).expect_err("no scans"), NoAnswer::Unread("wheel arch".to_owned()));
}

/// The nose as a measured panel, hardly thick, and as a scan: the ramps that the car takes are the same.
#[test]
fn a_scan_meets_ramps_as_a_panel_does() {
    let at = |u: f64, v: f64| Vector3::new(650.0 + 60.0 * u, 500.0 - 1000.0 * v, 140.0 + 90.0 * u * u + 5.0 * v);
    let start = DEMO.find("    scans: [").expect("scans");
    let end = DEMO.find("    sweep:").expect("the sweep");
    let row = |u: f64| {
        let points = [0.0, 0.5, 1.0].map(|v| at(u, v)).map(|p| format!("({}, {}, {})", p.x, p.y, p.z));
        format!("[{}]", points.join(", "))
    };
    let rows = [0.0, 0.25, 0.5, 0.75, 1.0].map(row).join(", ");
    let panel = format!("    panels: [(name: \"nose\", thickness: 0.000001, rows: [{rows}])],\n");
    let scan = "    scans: [(name: \"nose\", file: \"nose.stl\", as: panel)],\n";
    let proposals = DEMO.find("    proposals:").expect("proposals");
    let [panel, scan] = [&panel[..], scan].map(|body| {
        let (folder, _) = changed(FILE, FILE);
        fs::write(folder.path().join("nose.stl"), binary_stl(&super::grid(4, 2, at))).expect("a file");
        let path = folder.path().join("car.ron");
        fs::write(&path, format!("{}{body}{})", &DEMO[..start], &DEMO[end..proposals])).expect("a file");
        let file = CarFile::open(&path).unwrap_or_else(|e| panic!("{e}"));
        study(&file, None).stance(&Pose::default()).expect("ride height")
    });
    let [panel, scan] = [panel, scan].map(|stance| stance.approach.expect("a ramp"));
    assert_eq!((&panel.part[..], &scan.part[..]), ("nose", "nose"));
    assert!((panel.angle_deg - scan.angle_deg).abs() < 1e-3, "{panel:?} and {scan:?}");
}

/// A scan read once is kept: the same skin, not its like.
#[test]
fn asking_again_reads_no_file_again() {
    let (_folder, file) = changed(FILE, FILE);
    let file = file.expect("it opens");
    let load = || Scans::load(&file, file.car()).expect("the scans");
    assert!(std::sync::Arc::ptr_eq(&load().0[0].solid, &load().0[0].solid));
}

fn call(arguments: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_scribeline"));
    command.args(arguments).env_remove("CLICOLOR_FORCE").output().expect("the program runs")
}

fn scene(name: &str) -> String {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("scenes").join(name).display().to_string()
}

#[test]
fn the_command_line_tells_what_a_mesh_holds_and_the_check_line_fits_the_demo() {
    let told = call(&["scan", &scene("scans/arch.stl")]);
    let text = String::from_utf8(told.stdout).expect("text");
    assert!(told.status.success() && text.contains("948 triangles, 562.3 x 766.0 x 389.8 mm"), "{text}");
    assert!(text.contains("2 that were there already, 1 without area") && text.contains("114 in 2 rims"), "{text}");
    let check = text.lines().find(|l| l.trim_start().starts_with("check:")).expect("a check line");
    assert!(DEMO.contains(check.trim()), "{check}");
    let inches = call(&["scan", &scene("scans/arch.stl"), "--unit", "in", "--json"]);
    let json: serde_json::Value = serde_json::from_slice(&inches.stdout).expect("JSON");
    assert!((json["size_mm"][0].as_f64().expect("a size") / 25.4 - 562.3).abs() < 0.1, "{json}");
    let bad = call(&["scan", &scene("../README.md")]);
    assert_eq!(bad.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&bad.stderr).contains("README.md: a mesh file's name ends in"));
    // Asked of a car, how well its scans lie: what the picked points are off is what the placing's own numbers say.
    let laid = call(&["scan", &scene("sanderling.ron"), "--json"]);
    let json: serde_json::Value = serde_json::from_slice(&laid.stdout).expect("JSON");
    let (_folder, file) = changed("scans: [", "scans: [");
    let scans = file.and_then(|file| Scans::load(&file, file.car())).expect("the scans");
    let off: Vec<f64> = json["scans"][0]["points"]
        .as_array()
        .expect("points")
        .iter()
        .map(|p| p["off_mm"].as_f64().expect("a length"))
        .collect();
    assert!(off.iter().zip(&scans.0[0].placing.off).all(|(a, b)| (a - b).abs() < 1e-9), "{off:?}");
    assert!(off.len() == 4 && off.iter().all(|mm| *mm > 0.01 && *mm < 5.0), "{off:?}");
}

#[test]
fn gaps_are_proven_to_a_scan_as_to_any_panel() {
    let told = call(&["gaps", &scene("sanderling.ron"), "--proposal=bigger tyres", "--json"]);
    let json: serde_json::Value = serde_json::from_slice(&told.stdout).unwrap_or_else(|_| panic!("{told:?}"));
    let pairs = json["pairs"].as_array().expect("pairs");
    let pair = pairs.iter().find(|p| p["a"] == "left front tyre" && p["b"] == "left wheel arch").expect("the pair");
    let worst = &pair["worst"];
    let (gap, proven) = (worst["gap_mm"].as_f64().expect("a gap"), worst["at_least_mm"].as_f64().expect("a proof"));
    assert!(proven <= gap && gap - proven < 5.0, "{gap} and {proven}");
}

/// The same text comes out whatever way a scan is brought in and laid by the window, and it reads back.
#[test]
fn a_scan_is_brought_in_laid_trimmed_and_taken_out_again_and_all_else_stays() {
    let (_folder, file) = changed("scans: [", "scans: [");
    let file = file.expect("the demo");
    let before = file.text().to_owned();
    let scan = "door skin".to_owned();
    let new = NewScan {
        name: scan.clone(),
        file: "scans/arch.stl".into(),
        unit: FileUnit::In,
        check: format!("sha256:{}", "0".repeat(64)),
    };
    let put = |file: &CarFile, fact: ScanFact| file.edit(&Edit::PutScan { scan: scan.clone(), fact });
    let brought = file.edit(&Edit::BringScan(new)).expect("brought in");
    let of = |file: &CarFile| file.car().scans.iter().find(|s| s.name == scan).expect("the scan").clone();
    assert_eq!((of(&brought).unit, of(&brought).place.len()), (Some(FileUnit::In), 0));

    let picked =
        |i: usize, p: [f64; 3]| Picked { scan: p, car: Vector3::new(100.0 * i as f64, 700.5, 40.0 * (i * i) as f64) };
    let place: Vec<_> = [[0.0, 1.0, 2.25], [3.0, -4.0, 5.0], [9.12345, 8.0, 7.0]]
        .into_iter()
        .enumerate()
        .map(|(i, p)| picked(i, p))
        .collect();
    let laid = put(&brought, ScanFact::Place(place.clone())).expect("laid");
    let read = of(&laid).place;
    assert_eq!(read.len(), 3);
    for (read, meant) in read.iter().zip(&place) {
        assert!((Vector3::from(read.scan) - Vector3::from(meant.scan)).amax() < 6e-5, "{read:?}");
        assert!((read.car - meant.car).amax() < 1e-6, "{read:?}");
    }
    // Laid anew, the same lines are written over.
    let again = put(&laid, ScanFact::Place(place[..3].iter().rev().copied().collect())).expect("laid again");
    assert_eq!(of(&again).place[0].scan, [9.1235, 8.0, 7.0]);
    assert_eq!(again.text().matches("place:").count(), laid.text().matches("place:").count());

    let trim = Trim { from: Vector3::new(-500.0, 500.0, 0.0), to: Vector3::new(500.0, 900.0, 800.0) };
    let trimmed = put(&again, ScanFact::Trim(Some(trim))).expect("trimmed");
    assert_eq!(of(&trimmed).trim, Some(trim));
    let rail =
        put(&trimmed, ScanFact::As(ScannedAs::Rail)).and_then(|f| put(&f, ScanFact::Mirror(true))).expect("a rail");
    assert_eq!((of(&rail).kind, of(&rail).mirror), (ScannedAs::Rail, true));
    let plain = [ScanFact::Trim(None), ScanFact::Place(vec![]), ScanFact::Mirror(false)];
    let plain = plain.into_iter().try_fold(rail, |file, fact| put(&file, fact)).expect("as it came");
    assert_eq!((of(&plain).trim, of(&plain).place.len(), of(&plain).mirror), (None, 0, false));

    let gone = plain.edit(&Edit::RemoveScan { scan: scan.clone() }).expect("taken out");
    assert_eq!(gone.text(), before);
    let two = put(&brought, ScanFact::Place(place[..2].to_vec())).expect_err("two points leave it free to turn");
    assert!(two.to_string().contains("three"), "{two}");
    let unknown = file.edit(&Edit::RemoveScan { scan: "door".into() }).expect_err("no such scan");
    assert!(unknown.to_string().contains("there is no scan `door`"), "{unknown}");
}

/// A scan is a part as a panel is: it can be left out by the names that the answers use, and asked for.
#[test]
fn a_scan_is_ignored_and_measured_by_its_name() {
    let lists = |lists: &str| changed("    sweep: (bump: 60", &format!("    {lists}\n    sweep: (bump: 60"));
    for (names, left) in [("\"front tyre\", \"wheel arch\"", 0), ("\"left front tyre\", \"left wheel arch\"", 1)] {
        let (_folder, file) = lists(&format!("ignore: [({names}, \"the liner is trimmed\")],"));
        let told = study(&file.unwrap_or_else(|e| panic!("{e}")), None).gaps(&Pose::default()).expect("ride height");
        let met = told.pairs.iter().filter(|p| p.a.ends_with("tyre") && p.b.ends_with("wheel arch")).count();
        assert_eq!((met, told.ignored.len()), (left, 2 - left), "{names}");
    }
    let (_folder, file) = lists("measure: [(\"tie rod\", \"wheel arch\", 25)],");
    let study = study(&file.unwrap_or_else(|e| panic!("{e}")), None);
    let name = |place: &Place| (study.parts.name(place.a), study.parts.name(place.b));
    let asked = study.gear.hubs().flat_map(|hub| study.parts.at_wheel(hub)).filter(|p| p.wanted == 25.0).map(name);
    let asked: Vec<_> = asked.collect();
    let both = ["left", "right"].map(|side| (format!("{side} tie rod"), format!("{side} wheel arch")));
    assert_eq!(asked, both);
    let (_folder, file) = lists("ignore: [(\"front tyre\", \"wheel arhc\", \"a slip\")],");
    let slip = file.expect_err("no such part").to_string();
    assert!(slip.contains("there is no part `wheel arhc`"), "{slip}");
}
