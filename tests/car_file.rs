//! A car file from outside: what is read, what is refused and how, what an edit leaves alone, what a proposal does.

#[path = "car_file/axles.rs"]
mod axles;
mod common;
#[path = "car_file/rear.rs"]
mod rear;

use std::fs;
use std::path::Path;

use common::{CAR, with};
use nalgebra::Vector3;
use proptest::prelude::*;
use scribeline::car::units::INCH;
use scribeline::car::{
    AxleName, Car, CarError, CarFile, Edit, Ends, PointName, RailFace, RailNotch, SawCut, Side, Sides, TubePoint,
};

/// Struts and a steering box in front, a live axle behind.
const DOTTEREL: &str = include_str!("reference/dotterel.ron");
/// Rockers in front, five links behind.
const GARGANEY: &str = include_str!("reference/garganey.ron");
/// A De Dion axle behind.
const PHALAROPE: &str = include_str!("reference/phalarope.ron");
/// Trailing arms behind.
const WHINCHAT: &str = include_str!("reference/whinchat.ron");

fn read(text: &str) -> Result<CarFile, CarError> {
    CarFile::from_text(text.to_string(), Some("demo.ron".into()))
}

fn good() -> CarFile {
    read(CAR).unwrap_or_else(|error| panic!("{error}"))
}

/// The good car with a mistake in it is refused: where `mark` stands in `to`, in these words.
fn refused(from: &str, to: &str, mark: &str, words: &[&str]) {
    refused_in(CAR, from, to, mark, words);
}

/// The same of any car.
fn refused_in(car: &str, from: &str, to: &str, mark: &str, words: &[&str]) {
    let text = within(car, from, to);
    let at = to.find(mark).unwrap_or_else(|| panic!("`{mark}` is not in `{to}`"));
    let before = &text[..car.find(from).unwrap() + at];
    let column = before.chars().rev().take_while(|&c| c != '\n').count() + 1;
    refused_text(&text, (before.matches('\n').count() + 1, column), words);
}

/// The good car with a mistake in it is refused, and the mistake shows at another place.
fn refused_at(from: &str, to: &str, place: (usize, usize), words: &[&str]) {
    refused_text(&with(from, to), place, words);
}

/// A car with `from` replaced by `to`, once.
fn within(car: &str, from: &str, to: &str) -> String {
    assert_eq!(car.matches(from).count(), 1, "`{from}` should stand once in the car");
    car.replacen(from, to, 1)
}

/// A car without the lines that begin with one of these.
fn without(car: &str, beginnings: &[&str]) -> String {
    let keep = |line: &&str| !beginnings.iter().any(|word| line.trim().starts_with(word));
    car.lines().filter(keep).map(|line| format!("{line}\n")).collect()
}

fn refused_text(text: &str, (line, column): (usize, usize), words: &[&str]) {
    let error = read(text).err().unwrap_or_else(|| panic!("this was accepted:\n{text}"));
    assert_eq!((error.line(), error.column()), (Some(line), Some(column)), "{error}");
    assert!(error.to_string().starts_with(&format!("demo.ron:{line}:{column}: ")), "{error}");
    for word in words {
        assert!(error.what().contains(word), "`{word}` is not said:\n{error}");
    }
}

/// The good car with every bare length written in inches.
fn in_inches() -> String {
    let mut out = String::new();
    for line in CAR.replace("unit: mm", "unit: in").lines() {
        let code = line.find("//").unwrap_or(line.len());
        for (n, part) in line[..code].split('"').enumerate() {
            out.push_str(if n > 0 { "\"" } else { "" });
            // Every other part stands in quotes.
            for word in part.split_inclusive([' ', '(', '[', ',', ')']) {
                let angle = ["camber: ", "roll: ", "pitch: ", "format: "].iter().any(|name| out.ends_with(name));
                let number = word.trim_end_matches([' ', '(', '[', ',', ')']);
                match number.parse::<f64>() {
                    Ok(mm) if n % 2 == 0 && !angle => out.push_str(&format!("{}{}", mm / INCH, &word[number.len()..])),
                    _ => out.push_str(word),
                }
            }
        }
        out.push_str(&line[code..]);
        out.push('\n');
    }
    out
}

mod reading {
    use super::*;

    #[test]
    fn lengths_are_millimetres_whatever_they_were_written_in() {
        let car = good();
        let at = |side, name| car.car().front.point(side, name).unwrap();
        assert_eq!(at(Side::Left, PointName::UpperRear).z, 16.5 * INCH);
        assert_eq!(car.car().front.arms.lower().od, INCH);
        assert_eq!(car.car().wanted.tyre_to_body, INCH / 2.0);
        assert_eq!(at(Side::Right, PointName::LowerRear), Vector3::new(-150.0, -330.0, 175.0));
        assert_eq!(at(Side::Right, PointName::LowerFront), Vector3::new(130.0, -320.0, 178.0));
    }

    #[test]
    fn the_files_unit_counts_wherever_it_stands() {
        let text = CAR.replace("    unit: mm,\n", "").replace("    proposals: [", "    unit: cm,\n    proposals: [");
        let error = read(&text).unwrap_err();
        assert!(error.what().contains("`wheelbase` is 2400 cm"), "{error}");
        assert_eq!((error.line(), error.column()), (Some(6), Some(16)), "{error}");
    }

    #[test]
    fn a_car_in_inches_is_the_same_car() {
        let (inches, found) = (read(&in_inches()).unwrap_or_else(|error| panic!("{error}")), good());
        assert!((inches.car().wheelbase - 2400.0).abs() < 1e-9);
        assert_eq!(inches.car().sweep.roll, found.car().sweep.roll);
        for &name in good().car().front.points.0.keys() {
            for side in Side::BOTH {
                let at = |file: &CarFile| file.proposed("wide").unwrap().front.point(side, name).unwrap();
                // `by: 30` and the like are lengths, so they are the file's too.
                assert!((at(&inches) - at(&found)).norm() < 1e-9, "{name:?}");
            }
        }
    }

    #[test]
    fn editors_may_leave_a_mark_in_front_and_carriage_returns() {
        let text = format!("\u{feff}{}", CAR.replace('\n', "\r\n"));
        assert_eq!(read(&text).unwrap().car(), good().car());
        assert_eq!(read(&text).unwrap().text(), text);
        let error = read(&text.replace("wishbone", "wishbones")).unwrap_err();
        assert_eq!((error.line(), error.column()), (Some(9), Some(18)), "{error}");
        assert!(error.to_string().contains("\n            linkage: wishbones,\n"), "{error}");
    }

    #[test]
    fn an_error_shows_the_line_and_what_to_write() {
        let error = read(&with("lower_front: (130, 320, 180)", "lower_font: (130, 320, 180)")).unwrap_err();
        assert_eq!(
            error.to_string(),
            "demo.ron:12:13: there is no point `lower_font`: did you mean `lower_front`?\n\
             \x20               lower_font: (130, 320, 180),\n\
             \x20               ^^^^^^^^^^"
        );
    }

    #[test]
    fn unknown_words_are_answered_with_the_nearest_there_is() {
        refused("wheelbase:", "wheelbas:", "wheelbas", &["no field `wheelbas`", "did you mean `wheelbase`?"]);
        refused("grow_arms(by: 30)", "grow_arm(by: 30)", "grow_arm", &["no change", "did you mean `grow_arms`?"]);
        refused("grow_arms(by: 30)", "grow_arms(bye: 30)", "bye", &["no field `bye`", "did you mean `by`?"]);
        refused("box(width", "boxx(width", "boxx", &["no section", "`box`"]);
        refused("linkage: wishbone", "linkage: struts", "struts", &["no linkage `struts`", "did you mean `strut`?"]);
        refused("point: lower_front", "point: lower_frnt", "lower_frnt", &["no point", "did you mean `lower_front`?"]);
        refused("unit: mm", "unit: inches", "inches", &["unit of length", "`mm`, `cm`, `m`, `in` or `ft`"]);
    }

    #[test]
    fn what_is_missing_is_named() {
        refused_at("    wheelbase: 2400,\n", "", (2, 1), &["no `wheelbase` in the car", "add `wheelbase: ...`"]);
        refused_at("(od: 16)", "(wall: 1)", (32, 13), &["no `od` in `tie_rod`"]);
        refused_at("box(width: 50, height: 70)", "box(width: 50)", (43, 13), &["no `height` in `box`"]);
        let bare = "replace_tyre()";
        refused("replace_tyre(size: \"245/40R16\")", bare, bare, &["no `size` in `replace_tyre` (`changes` no. 4)"]);
    }

    #[test]
    fn what_is_given_twice_is_pointed_at() {
        refused("wheelbase: 2400", "wheelbase: 2400, name: \"b\"", "name", &["`name` is given twice, first on line 4"]);
        refused(
            "lower_rear: (-150, 330, 175),",
            "lower_rear: (-150, 330, 175), lower_front: (0, 0, 0),",
            "lower_front",
            &["given twice, first on line 12"],
        );
    }

    #[test]
    fn a_value_of_the_wrong_kind_is_pointed_at() {
        let point = "lower_front: (130, 320, 180)";
        refused(point, "lower_front: (130, 320)", "(130", &["three lengths", "here are 2"]);
        refused(point, "lower_front: (130, 320, 180, 4)", "4", &["more values"]);
        refused(point, "lower_front: (130, true, 180)", "true", &["a length, such as 318"]);
        refused(point, "lower_front: 130", "130", &["a point in round brackets"]);
        refused("name: \"two-seater\"", "name: two-seater", "two-", &["text in double quotes"]);
        refused_at("(od: 16)", "16", (32, 22), &["group in round brackets", "this is `16`"]);
        refused_at(
            "mirror: true,
            thickness",
            "mirror: yes,
            thickness",
            (63, 21),
            &["`true` or"],
        );
        let change = "replace_tyre(size: \"245/40R16\")";
        refused(change, "replace_tyre((size: \"245/40R16\"))", "(size", &["one pair of brackets"]);
        refused(change, "replace_tyre", "replace_tyre", &["round brackets: `replace_tyre( ... )`"]);
        refused(change, "grow_arms(30)", "30", &["its field's name in front"]);
        let corner = "move_corner(rail: \"upper rail\", corner: 1.5, by: (0, 0, 1))";
        refused(change, corner, "1.5", &["whole number"]);
    }

    #[test]
    fn numbers_that_cannot_be_built_with_are_refused() {
        for bad in ["NaN", "inf", "-inf", "1e999"] {
            refused("travel: 70", &format!("travel: {bad}"), bad, &["not a number to build with"]);
        }
        refused("wheelbase: 2400", "wheelbase: 24000", "24000", &["`wheelbase` is 24000 mm"]);
        refused("lower_front: (130, 320, 180)", "lower_front: (130, 3e5, 180)", "3e5", &["300000 mm", "`unit`"]);
    }

    #[test]
    fn wrong_units_are_answered_with_the_right_ones() {
        refused("travel: 70", "travel: \"70 furlong\"", "\"70", &["\"furlong\"", "mm, cm, m, in or ft"]);
        refused("travel: 70", "travel: \"70\"", "\"70", &["has no unit"]);
        refused("travel: 70", "travel: \"70 deg\"", "\"70", &["\"deg\" is not a unit of length"]);
        refused("travel: 70", "travel: 70 mm", "70", &["in quotes", "\"70 mm\""]);
        refused("camber: -1.5", "camber: \"3 mm\"", "\"3", &["\"mm\" is not a unit of angle", "deg or rad"]);
        refused("size: \"205/50R15\"", "size: \"205-50R15\"", "\"205", &["not a tyre size", "265/35R18"]);
    }

    #[test]
    fn a_wrong_unit_of_the_whole_car_is_said_at_its_word() {
        refused(
            "unit: mm",
            "unit: furlong",
            "furlong",
            &["no unit of length `furlong`", "`mm`, `cm`, `m`, `in` or `ft`"],
        );
        refused("unit: mm", "unit: \"in\"", "\"in\"", &["without quotes: write `unit: in`"]);
        refused("unit: mm", "unit: 25.4", "25.4", &["no unit of length `25.4`"]);
        // Said first, though it stands behind what it would spoil.
        let late = with("    unit: mm,\n", "").replacen("wheelbase: 2400", "wheelbase: 2.4", 1);
        let late = late.replacen("    splitter:", "    unit: meter,\n    splitter:", 1);
        let error = read(&late).unwrap_err();
        assert!(error.what().contains("no unit of length `meter`"), "{error}");
    }

    #[test]
    fn an_ignored_pair_without_a_reason_is_asked_for_one() {
        let pair = |pair: &str| format!("ignore: [{pair}],\n    sweep: (bump");
        let two = "(\"front tyre\", \"arch\")";
        refused("sweep: (bump", &pair(two), "(\"front", &["ignored without a reason", "say why"]);
        refused("sweep: (bump", &pair("(\"front tyre\")"), "(\"front", &["two parts and the reason"]);
        refused("sweep: (bump", &pair("(\"front tyre\", \"arch\", \"\")"), "\"\"", &["say why"]);
    }

    #[test]
    fn a_bracket_or_comma_that_is_missing_is_found_where_it_is_missing() {
        refused("wheel: (width: \"7 in\", offset: 35)", "wheel: (width: \"7 in\" offset: 35)", " offset", &["comma"]);
        refused_at("per_turn: 44)", "per_turn: 44", (35, 15), &["a closing bracket is missing", "closed on line 38"]);
        refused_at(
            "changes: []),",
            "changes: []}),",
            (87, 39),
            &["this `}` does not close the `(` of line 87, column 9"],
        );
        refused("travel: 70,", "travel: 70 /*,", "/*", &["never closed"]);
    }

    #[test]
    fn another_format_is_refused_before_anything_else() {
        refused("format: 1", "format: 2, frobnicate: 3", "2", &["format 2", "`format: 1`"]);
        let error = read("(name: \"x\")").unwrap_err();
        assert!(error.what().contains("begin it with `(format: 1,`"), "{error}");
        assert!(read("").unwrap_err().what().contains("empty"));
    }
}

mod impossible {
    use super::*;

    const LOWER: &str = "lower_ball_joint: (5, 640, 165)";
    const UPPER: &str = "upper_ball_joint: (-10, 610, 430)";

    #[test]
    fn a_point_that_the_linkage_needs() {
        let text = with("            wheel_centre: (0, 720, 298),\n", "");
        let error = read(&text).unwrap_err();
        assert_eq!((error.line(), error.column()), (Some(10), Some(9)), "{error}");
        assert!(error.what().contains("`wheel_centre` (wheel centre) is missing: measure it"), "{error}");
        let error = read(&with("            damper_top: (-5, 390, 640),\n", "")).unwrap_err();
        assert!(error.what().contains("there is a `damper` but no point `damper_top`"), "{error}");
    }

    #[test]
    fn points_on_the_wrong_side() {
        refused(LOWER, "lower_ball_joint: (5, -640, 165)", "lower", &["y = -640 mm, not on the left"]);
        let right = "lower_front: (130, -320, 178)";
        refused(right, "wheel_centre: (1, 720, 298)", "wheel", &["not on the right"]);
    }

    #[test]
    fn a_linkage_that_could_not_be_bolted_together() {
        refused(
            "lower_rear: (-150, 330, 175)",
            "lower_rear: (130, 320, 180)",
            "lower",
            &["the same point", "on the left"],
        );
        refused(
            LOWER,
            "lower_ball_joint: (400, 310.36, 184.8)",
            "lower",
            &["on the line through its arm's own pickups"],
        );
        refused(UPPER, "upper_ball_joint: (-10, 610, 130)", "upper", &["not above the lower one"]);
        refused("tie_rod_outer: (110, 620, 205)", "tie_rod_outer: (90, 330, 215)", "tie", &["no length"]);
        refused("tie_rod_outer: (110, 620, 205)", "tie_rod_outer: (-2.5, 625, 297.5)", "tie", &["cannot steer"]);
        refused("wheel_centre: (0, 720, 298)", "wheel_centre: (5, 640, 165)", "wheel", &["the same point"]);
        refused("damper_bottom: (0, 560, 190)", "damper_bottom: (-5, 390, 640)", "damper", &["no length"]);
        refused("lower_front: (130, -320, 178)", "lower_front: (-150, -330, 175)", "lower", &["on the right"]);
        refused("tie_rod_inner: (90, 330, 215)", "tie_rod_inner: (90, -1, 215)", "tie", &["rack's left end"]);
    }

    #[test]
    fn tubes_without_a_hole_and_lengths_of_nothing() {
        refused("wall: 1.5),\n            upper", "wall: 13),\n            upper", "13", &["no hole", "25.4 mm"]);
        refused("wall: 2,\n            centreline: [\n", "wall: 25,\n            centreline: [\n", "25", &["no hole"]);
        refused("(od: 16)", "(od: -16)", "-16", &["`od` is -16 mm", "more than nothing"]);
        refused("travel: 70", "travel: 0", "0", &["`travel`"]);
        refused("diameter: 90", "diameter: 0", "0", &["`diameter`"]);
        refused("width: \"7 in\"", "width: \"0 in\"", "\"0", &["`width`"]);
        refused("bump: 60", "bump: -60", "-60", &["`bump`"]);
        refused("roll: 3", "roll: 30", "30", &["`roll` is 30 deg", "from 0 to 20"]);
        refused("\"1/2 in\"", "\"-1/2 in\"", "\"-1", &["`tyre_to_body`"]);
        refused("camber: -1.5", "camber: 85", "85", &["`camber` is 85 deg"]);
    }

    #[test]
    fn a_tyre_that_nobody_could_mount() {
        let size = "size: \"205/50R15\"";
        refused(size, "size: \"205/50R15\", overall_diameter: 400", "400", &["no sidewall", "421 mm"]);
        refused(size, "size: \"205/50R15\", tread_width: 300", "300", &["as wide as the tyre"]);
        refused(size, "size: \"205/50R15\", shoulder_radius: 60", "60", &["shoulder does not fit"]);
        refused(size, "size: \"205/50R15\", loaded_radius: 400", "400", &["between its rim"]);
        refused(size, "size: \"205/50R15\", section_width: 150", "150", &["wider than the tyre"]);
    }

    #[test]
    fn rails_and_panels_that_are_none() {
        let tube = "centreline: [(300, 350, 200), (300, -350, 200)]";
        refused(tube, "centreline: [(300, 350, 200)]", "centreline", &["two corners or more"]);
        refused(tube, "centreline: [(300, 350, 200), (300, 350, 200)]", "(300, 350, 200)]", &["corners 1 and 2"]);
        let back = "centreline: [(300, 350, 200), (300, -350, 200), (310, 0, 200)]";
        refused(tube, back, "(300, -350", &["folds back on itself at corner 2"]);
        refused("(0, 430, 690),", "(0, 430, 6e9),", "6e9", &["farther than any car"]);
        let line = "centreline: [
                (-600, 420, 560),
                (0, 430, 690),
                (450, 400, 600),
";
        let right = line.replace("420", "-420").replace("430", "-430").replace("(450, 400", "(450, -400");
        refused(line, &right, "centreline", &["what is mirrored is given on the left"]);
    }

    #[test]
    fn a_panel_whose_rows_do_not_match() {
        let error =
            read(&with("[(-350, 560, 440), (0, 560, 720), (350, 560, 440)]", "[(-350, 560, 440), (0, 560, 720)]"));
        let error = error.unwrap_err();
        assert!(error.what().contains("row 2 has 2 points and row 1 has 3"), "{error}");
        assert_eq!(error.line(), Some(67));
    }

    #[test]
    fn a_splitter_that_is_no_plate() {
        let outline = "[(700, 600), (700, -600), (400, -650), (400, 650)]";
        let crossed = "[(700, 600), (400, -650), (700, -600), (400, 650)]";
        let error = read(&with(outline, crossed)).unwrap_err();
        assert!(error.what().contains("crosses itself"), "{error}");
        for (bad, words) in [
            ("[(700, 600), (700, -600)]", "has 2 corners"),
            ("[(700, 600), (700, 0), (700, -600)]", "crosses itself"),
            ("[(700, 600), (700, 600), (400, -650)]", "the same point"),
        ] {
            let error = read(&with(outline, bad)).unwrap_err();
            assert!(error.what().contains(words) || error.what().contains("no area"), "{error}");
            assert_eq!(error.line(), Some(71), "{error}");
        }
        refused("height: 110", "height: -1", "-1", &["under the ground"]);
    }

    #[test]
    fn more_than_anybody_means_is_refused_in_good_time() {
        // All on one line, which a careless reader would go through again for every bracket.
        let many: String = (0..100_000).map(|n| format!("(name: \"{n}\", changes: []),")).collect();
        let error = read(&with("proposals: [", &format!("proposals: [{many}"))).unwrap_err();
        assert!(error.what().contains("more than 100 proposals"), "{error}");
        assert!(error.to_string().len() < 400);
    }

    #[test]
    fn two_parts_or_proposals_of_one_name() {
        refused("name: \"cross tube\"", "name: \"upper rail\"", "\"upper", &["two parts are called `upper rail`"]);
        refused("name: \"cross tube\"", "name: \"left upper rail\"", "\"left", &["called `left upper rail`"]);
        refused("name: \"arch\"", "name: \"upper rail\"", "\"upper", &["two parts are called"]);
        refused("name: \"arch\"", "name: \"splitter\"", "\"splitter", &["the splitter's own"]);
        refused("name: \"arch\"", "name: \" \"", "\" \"", &["a panel needs a name"]);
        refused("name: \"as it is\"", "name: \"wide\"", "\"wide", &["two proposals are called `wide`"]);
    }
}

mod files {
    use super::*;

    fn opened(path: &Path) -> CarError {
        CarFile::open(path).err().unwrap_or_else(|| panic!("{} was opened", path.display()))
    }

    #[test]
    fn what_is_not_a_car_file_is_said_plainly() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("car.ron");
        let error = opened(&path);
        assert!(error.to_string().ends_with("car.ron: there is no such file: check its name and folder"), "{error}");
        assert!(opened(folder.path()).what().contains("a folder"));

        fs::write(&path, "(\n  name: \"Citro\u{eb}n\",\n").unwrap();
        let mut bytes = fs::read(&path).unwrap();
        // The same word as an old editor would save it.
        let at = bytes.iter().position(|&b| b == 0xc3).unwrap();
        bytes.splice(at..at + 2, [0xeb]);
        fs::write(&path, bytes).unwrap();
        let error = opened(&path);
        assert!(error.what().contains("byte eb") && error.what().contains("UTF-8"), "{error}");
        assert_eq!((error.line(), error.column()), (Some(2), Some(15)), "{error}");

        fs::write(&path, b"\xff\xfe(\0").unwrap();
        assert!(opened(&path).what().contains("UTF-16"));
        fs::File::create(&path).unwrap().set_len(17 * 1024 * 1024).unwrap();
        assert!(opened(&path).what().contains("huge, 17 MiB"));
    }

    #[test]
    fn what_is_saved_is_what_was_written_comments_and_all() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("car.ron");
        fs::write(&path, CAR).unwrap();
        let file = CarFile::open(&path).unwrap();
        file.save().unwrap();
        assert_eq!(fs::read_to_string(&path).unwrap(), CAR);
        let edited = file.edit(&Edit::PutSteeringTravel { proposal: None, travel: 61.25 }).unwrap();
        edited.save().unwrap();
        assert_eq!(fs::read_to_string(&path).unwrap(), with("travel: 70", "travel: 61.25"));
        // An undo is saved as well, though it was opened before the last save.
        file.save().unwrap();
        assert_eq!(fs::read_to_string(&path).unwrap(), CAR);
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1, "nothing is left behind");
    }

    #[test]
    fn what_another_program_wrote_meanwhile_is_not_overwritten() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("car.ron");
        let file = good().save_as(&path).unwrap();
        fs::write(&path, "// by hand").unwrap();
        assert!(file.save().unwrap_err().what().contains("another program changed this file"));
        assert_eq!(fs::read_to_string(&path).unwrap(), "// by hand");
        let elsewhere = file.save_as(&folder.path().join("other.ron")).unwrap();
        assert_eq!(CarFile::open(elsewhere.path().unwrap()).unwrap().car(), file.car());
        assert!(file.save_as(&folder.path().join("no/such/folder.ron")).unwrap_err().what().contains("not there"));
        assert!(CarFile::from_text(CAR.into(), None).unwrap().save().unwrap_err().what().contains("no file yet"));
    }

    #[cfg(unix)]
    #[test]
    fn permissions_and_links_stay() {
        use std::os::unix::fs::{PermissionsExt, symlink};
        let folder = tempfile::tempdir().unwrap();
        let (path, link) = (folder.path().join("car.ron"), folder.path().join("link.ron"));
        fs::write(&path, CAR).unwrap();
        fs::set_permissions(&path, fs::Permissions::from_mode(0o640)).unwrap();
        symlink("car.ron", &link).unwrap();
        let file = CarFile::open(&link).unwrap();
        file.edit(&Edit::PutSteeringTravel { proposal: None, travel: 60.0 }).unwrap().save().unwrap();
        assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
        assert!(fs::read_to_string(&path).unwrap().contains("travel: 60,"));
        assert_eq!(fs::metadata(&path).unwrap().permissions().mode() & 0o777, 0o640);
        fs::set_permissions(&path, fs::Permissions::from_mode(0o444)).unwrap();
        assert!(file.save_as(&link).unwrap_err().what().contains("write-protected"));
    }
}

mod proposals {
    use super::*;

    fn changed(change: &str) -> Result<Car, CarError> {
        read(&with("move_point(point: lower_front, by: (0, 0, 10)),", change))?.proposed("wide")
    }

    #[test]
    fn lowering_the_body_brings_the_ground_up_to_it() {
        let (found, car) = (good(), good().proposed("wide").unwrap());
        assert_eq!(car.ground, found.car().ground + 40.0);
        assert_eq!(car.splitter.as_ref().unwrap().height, 70.0);
        assert_eq!(car.rails, found.car().rails);
        assert!(car.proposals.is_empty());
        assert_eq!(good().proposed("as it is").unwrap().front, found.car().front);
    }

    #[test]
    fn pickups_that_stay_over_the_ground_rise_in_the_body() {
        let text = CAR.replace("lower_body(by: 40)", "lower_body(by: 40, pickups: stay)");
        let (car, follow) = (read(&text).unwrap().proposed("wide").unwrap(), good().proposed("wide").unwrap());
        for &name in car.front.points.0.keys() {
            for side in Side::BOTH {
                let rise = car.front.point(side, name).unwrap() - follow.front.point(side, name).unwrap();
                assert!((rise - Vector3::new(0.0, 0.0, 40.0)).norm() < 1e-9, "{name:?} {side:?}");
            }
        }
    }

    #[test]
    fn longer_arms_carry_joints_and_wheel_outboard_and_leave_the_pickups() {
        let (found, car) = (good(), good().proposed("wide").unwrap());
        let shift = |side, name| car.front.point(side, name).unwrap() - found.car().front.point(side, name).unwrap();
        for side in Side::BOTH {
            for name in [PointName::UpperBallJoint, PointName::TieRodOuter, PointName::DamperBottom] {
                assert_eq!(shift(side, name), Vector3::new(0.0, 30.0 * side.sign(), 0.0));
            }
            assert_eq!(shift(side, PointName::UpperRear), Vector3::zeros());
            // The right pickup was measured apart and moves along.
            assert_eq!(shift(side, PointName::LowerFront), Vector3::new(0.0, 0.0, 10.0));
        }
    }

    #[test]
    fn another_offset_moves_the_wheel_centre_along_its_spin_axis() {
        let (found, car) = (good(), good().proposed("wide").unwrap());
        for side in Side::BOTH {
            let moved = car.front.point(side, PointName::WheelCentre).unwrap()
                - found.car().front.point(side, PointName::WheelCentre).unwrap()
                - Vector3::new(0.0, 30.0 * side.sign(), 0.0);
            let axis = found.car().front.spin_axis(side);
            assert!((moved - axis * 15.0).norm() < 1e-9, "{side:?}");
            // Negative camber lifts the outboard end of the axis; toe-in tips it forward.
            assert!(axis.z > 0.0 && axis.x > 0.0 && axis.y * side.sign() > 0.99);
            assert!((axis.norm() - 1.0).abs() < 1e-15);
        }
        let text = CAR.replace("alignment: (camber", "right_alignment: (camber: 2), alignment: (camber");
        let car = read(&text).unwrap().proposed("wide").unwrap();
        assert!(car.front.point(Side::Right, PointName::WheelCentre).unwrap().z < 298.0);
        assert!(car.front.point(Side::Left, PointName::WheelCentre).unwrap().z > 298.0);
    }

    #[test]
    fn a_point_moves_on_the_sides_it_is_told() {
        let at = |car: &Car, side| car.front.point(side, PointName::UpperFront).unwrap();
        let (left, right) = (Vector3::new(110.0, 380.0, 420.0), Vector3::new(110.0, -380.0, 420.0));
        let car = changed("move_point(point: upper_front, side: right, to: (100, -390, 410)),").unwrap();
        assert_eq!((at(&car, Side::Left), at(&car, Side::Right)), (left, Vector3::new(100.0, -390.0, 410.0)));
        let car = changed("move_point(point: upper_front, side: left, by: (0, 5, 0)),").unwrap();
        assert_eq!((at(&car, Side::Left), at(&car, Side::Right)), (Vector3::new(110.0, 385.0, 420.0), right));
        let car = changed("move_point(point: upper_front, to: (100, 390, 410)),").unwrap();
        assert_eq!(at(&car, Side::Right), Vector3::new(100.0, -390.0, 410.0));
    }

    #[test]
    fn rails_and_panels_are_moved_replaced_added_and_removed() {
        let car = changed("move_corner(rail: \"upper rail\", corner: 2, by: (0, 0, 25)),").unwrap();
        assert_eq!(car.rails[0].centreline[1], Vector3::new(0.0, 430.0, 715.0));
        let car = changed("move_part(part: \"arch\", by: (0, 10, 0)),").unwrap();
        assert_eq!(car.panels[0].rows[0][0], Vector3::new(-350.0, 830.0, 420.0));
        assert!(changed("remove(\"arch\"),").unwrap().panels.is_empty());
        assert!(changed("remove(\"splitter\"),").unwrap().splitter.is_none());
        let rail =
            "(name: \"strut\", section: round(od: 25), wall: 2, centreline: [(0, 0, 0), (0, 0, 99)], datum: \"foot\")";
        assert_eq!(changed(&format!("add_rail{rail},")).unwrap().rails.len(), 3);
        let other = rail.replace("strut", "cross tube");
        assert_eq!(changed(&format!("replace_rail{other},")).unwrap().rails[1].wall, 2.0);
    }

    #[test]
    fn a_change_of_what_is_not_there_is_pointed_at() {
        let change = "move_point(point: lower_front, by: (0, 0, 10)),";
        for (bad, mark, words) in [
            ("remove(\"arc\"),", "\"arc", "no part `arc`: did you mean `arch`?"),
            ("move_part(part: \"upper rial\", by: (0, 0, 1)),", "\"upper", "did you mean `upper rail`?"),
            (
                "move_corner(rail: \"upperrail\", corner: 1, by: (0, 0, 1)),",
                "\"upperrail",
                "did you mean `upper rail`?",
            ),
            ("move_corner(rail: \"upper rail\", corner: 0, by: (0, 0, 1)),", "0,", "from 1 to 3"),
            ("move_corner(rail: \"upper rail\", corner: 4, by: (0, 0, 1)),", "4,", "from 1 to 3"),
            ("move_point(point: lower_front),", "move_point", "add `to: (x, y, z)`"),
            ("move_point(point: lower_front, to: (1, 2, 3), by: (1, 2, 3)),", "by", "keep `to`"),
            (
                "move_point(point: lower_ball_joint, by: (0, -900, 0)),",
                "move_point",
                "with change 5 of the proposal `wide`",
            ),
            (
                "add_rail(name: \"arch\", section: round(od: 25), wall: 2, centreline: [(0, 0, 0), (0, 0, 99)], datum: \"\"),",
                "add_rail",
                "two parts are called `arch`",
            ),
        ] {
            refused(change, bad, mark, &[words]);
        }
        let error = good().proposed("wid").unwrap_err();
        assert_eq!(error.to_string(), "demo.ron: there is no proposal `wid`: did you mean `wide`?");
    }

    #[test]
    fn a_car_may_be_impossible_in_the_middle_of_its_changes() {
        let there = "move_point(point: lower_ball_joint, by: (0, -900, 0)),";
        let back = "move_point(point: lower_ball_joint, by: (0, 900, 0)),";
        assert!(changed(&format!("{there} {back}")).is_ok());
    }
}

mod edits {
    use super::*;

    fn put(proposal: Option<&str>, side: Sides, point: PointName, to: [f64; 3]) -> Edit {
        Edit::PutPoint {
            proposal: proposal.map(str::to_string),
            axle: AxleName::Front,
            side,
            point,
            to: Vector3::from(to),
        }
    }

    /// The edited text is the good car's with `from` replaced by `to`, and nothing else.
    fn gives(edit: &Edit, from: &str, to: &str) -> CarFile {
        let file = good().edit(edit).unwrap_or_else(|error| panic!("{error}"));
        assert_eq!(file.text(), with(from, to));
        file
    }

    #[test]
    fn a_point_as_found_is_rewritten_where_it_stands() {
        gives(
            &put(None, Sides::Both, PointName::LowerRear, [-150.0, 331.25, 175.0]),
            "(-150, 330, 175), // slotted",
            "(-150, 331.25, 175), // slotted",
        );
        // What still holds keeps its notation.
        gives(
            &put(None, Sides::Both, PointName::UpperRear, [-141.0, 385.0, 419.1]),
            "(-140, 385, \"16",
            "(-141, 385, \"16",
        );
    }

    #[test]
    fn a_point_measured_apart_is_put_on_both_sides() {
        let file = good().edit(&put(None, Sides::Both, PointName::LowerFront, [120.0, 321.0, 180.0])).unwrap();
        assert!(file.text().contains("lower_front: (120, 321, 180)"));
        assert!(
            file.text().contains("// The right pickup was welded lower.\n            lower_front: (120, -321, 180),")
        );
    }

    #[test]
    fn one_side_alone_leaves_the_other_where_it_was() {
        let file = good().edit(&put(None, Sides::Left, PointName::UpperFront, [110.0, 384.0, 420.0])).unwrap();
        let at = |side| file.car().front.point(side, PointName::UpperFront).unwrap();
        assert_eq!(at(Side::Left).y, 384.0);
        assert_eq!(at(Side::Right), Vector3::new(110.0, -380.0, 420.0));
        gives(
            &put(None, Sides::Right, PointName::UpperFront, [110.0, -384.0, 420.0]),
            "            lower_front: (130, -320, 178),\n",
            "            lower_front: (130, -320, 178),\n            upper_front: (110, -384, 420),\n",
        );
        let text = with(
            "        right: {\n            // The right pickup was welded lower.\n            lower_front: (130, -320, 178),\n        },\n",
            "",
        );
        let file = read(&text).unwrap().edit(&put(None, Sides::Right, PointName::UpperFront, [110.0, -384.0, 420.0]));
        assert!(file.unwrap().text().contains(
            "        tyre: (size: \"205/50R15\"),\n        right: {\n            upper_front: (110, -384, 420),\n        },\n    ),\n"
        ));
    }

    #[test]
    fn in_a_proposal_a_point_is_moved_by_a_change() {
        let last = "                move_point(point: lower_front, by: (0, 0, 10)),\n";
        let file = gives(
            &put(Some("wide"), Sides::Both, PointName::UpperFront, [110.0, 380.0, 433.3333]),
            last,
            &format!("{last}                move_point(point: upper_front, to: (110, 380, 433.333)),\n"),
        );
        let again = file.edit(&put(Some("wide"), Sides::Both, PointName::UpperFront, [110.0, 380.0, 434.0])).unwrap();
        assert_eq!(again.car().proposals[0].changes.len(), 6, "the last move is put right");
        let car = again.proposed("wide").unwrap();
        assert_eq!(car.front.point(Side::Right, PointName::UpperFront).unwrap(), Vector3::new(110.0, -380.0, 434.0));
        let right =
            again.edit(&put(Some("wide"), Sides::Right, PointName::UpperFront, [110.0, -381.0, 434.0])).unwrap();
        assert!(right.text().contains("move_point(point: upper_front, side: right, to: (110, -381, 434)),\n"));
        assert_eq!(right.proposed("wide").unwrap().front.point(Side::Right, PointName::UpperFront).unwrap().y, -381.0);
        // A shift becomes a place.
        gives(
            &put(Some("wide"), Sides::Both, PointName::LowerFront, [130.0, 320.0, 195.0]),
            "lower_front, by: (0, 0, 10)",
            "lower_front, to: (130, 320, 195)",
        );
    }

    #[test]
    fn a_rail_and_the_rack_are_edited_as_found_or_in_a_proposal() {
        let corner = |proposal: Option<&str>, corner, to: [f64; 3]| Edit::PutCorner {
            proposal: proposal.map(str::to_string),
            rail: "upper rail".into(),
            corner,
            to: to.into(),
        };
        gives(&corner(None, 2, [0.0, 430.0, 700.0]), "(0, 430, 690),", "(0, 430, 700),");
        let file = good().edit(&corner(Some("as it is"), 2, [0.0, 430.0, 700.0])).unwrap();
        let file = file.edit(&corner(Some("as it is"), 2, [0.0, 430.0, 710.0])).unwrap();
        assert_eq!(file.car().proposals[1].changes.len(), 1);
        assert_eq!(file.proposed("as it is").unwrap().rails[0].centreline[1].z, 710.0);
        let limiter = |travel| Edit::PutSteeringTravel { proposal: Some("wide".into()), travel };
        let file = good().edit(&limiter(58.0)).unwrap().edit(&limiter(57.5)).unwrap();
        assert!(file.text().contains("                replace_rack(travel: 57.5, per_turn: 44),\n            ],"));
        assert_eq!(file.proposed("wide").unwrap().front.steering_travel(), Some(57.5));
        assert!(good().edit(&corner(None, 9, [0.0; 3])).unwrap_err().what().contains("from 1 to 3"));
        let lost = Edit::PutCorner { proposal: None, rail: "uper rail".into(), corner: 1, to: Vector3::zeros() };
        assert!(good().edit(&lost).unwrap_err().what().contains("did you mean `upper rail`?"));
    }

    #[test]
    fn proposals_are_added_and_changes_removed() {
        let file = good().edit(&Edit::AddProposal { name: "say \"low\"".into() }).unwrap();
        let file =
            file.edit(&put(Some("say \"low\""), Sides::Both, PointName::UpperFront, [110.0, 380.0, 430.0])).unwrap();
        let added = "        (\n            name: \"say \\\"low\\\"\",\n            changes: [\n                \
                     move_point(point: upper_front, to: (110, 380, 430)),\n            ],\n        ),\n    ],\n)\n";
        assert!(file.text().ends_with(added), "{}", file.text());
        let back = file.edit(&Edit::RemoveChange { proposal: "say \"low\"".into(), index: 0 }).unwrap();
        assert!(back.car().proposals[2].changes.is_empty());
        gives(
            &Edit::RemoveChange { proposal: "wide".into(), index: 3 },
            "replace_tyre(size: \"245/40R16\"), // on the shelf",
            "// on the shelf",
        );
        let twice = good().edit(&Edit::AddProposal { name: "wide".into() }).unwrap_err();
        assert!(twice.what().contains("two proposals are called `wide`") && twice.line().is_none(), "{twice}");
        assert!(
            good()
                .edit(&Edit::RemoveChange { proposal: "wide".into(), index: 9 })
                .unwrap_err()
                .what()
                .contains("it has 5")
        );
        let bare = CAR[..CAR.find("    proposals: [").unwrap()].to_string() + ")\n";
        let file = read(&bare).unwrap().edit(&Edit::AddProposal { name: "low".into() }).unwrap();
        assert_eq!(file.car().proposals[0].name, "low");
        assert!(file.text().ends_with("    proposals: [\n        (\n            name: \"low\",\n            changes: [],\n        ),\n    ],\n)\n"), "{}", file.text());
    }

    #[test]
    fn numbers_are_written_in_the_files_unit() {
        let file = read(&in_inches()).unwrap().edit(&Edit::PutSteeringTravel { proposal: None, travel: 63.5 }).unwrap();
        assert!(file.text().contains("rack: (travel: 2.5,"), "{}", file.text());
        let edit = put(Some("as it is"), Sides::Left, PointName::UpperFront, [127.0, 381.0, 420.0]);
        assert!(file.edit(&edit).unwrap().text().contains("side: left, to: (5, 15, 16.53543)"));
    }

    #[test]
    fn an_edit_that_cannot_be_built_changes_nothing() {
        let file = good();
        for to in [[5.0, -640.0, 165.0], [f64::NAN, 0.0, 0.0], [0.0, f64::INFINITY, 0.0], [1e300, 1.0, 1.0]] {
            for proposal in [None, Some("wide"), Some("nothing")] {
                let error = file.edit(&put(proposal, Sides::Both, PointName::LowerBallJoint, to)).unwrap_err();
                assert!(error.line().is_none() && error.to_string().starts_with("demo.ron: "), "{error}");
            }
        }
        assert_eq!(file.text(), CAR);
    }
}

/// Bits of notation that break a reader more often than random letters do.
fn scrap() -> impl Strategy<Value = String> {
    let scraps = [
        "(",
        ")",
        "[",
        "]",
        "{",
        "}",
        ",",
        ":",
        "\"",
        "'",
        "//",
        "/*",
        "*/",
        "#",
        "r#\"",
        "Some(",
        "None",
        "NaN",
        "-inf",
        "1e999",
        "0x",
        "\\",
        "\u{feff}",
        "é",
        "\r\n",
        "\n",
        "unit: in",
        "box",
        "both",
        "\"1/0 in\"",
        "99999999999999999999",
        "#![enable(implicit_some)]",
        "proposals: [",
        "move_point(",
        "cut_rail(rail: \"upper rail\", from: 10, to: 40),",
        "ends: mitred(near: (up: 89)),",
        "notches: [(from: 0, to: 9, face: top, depth: 1)],",
        "(rail: \"upper rail\", cut: far)",
        "b\"",
        "..",
        "-",
        "r#type",
    ];
    prop_oneof![prop::sample::select(scraps.to_vec()).prop_map(str::to_string), ".{0,4}"]
}

/// Opens, edits and proposes whatever can be; all that is asked is that nothing panics and every error can be shown.
fn survive(text: &str, point: PointName, to: [f64; 3]) {
    let file = match read(text) {
        Ok(file) => file,
        Err(error) => {
            assert!(!error.to_string().is_empty());
            return;
        }
    };
    let proposals: Vec<Option<String>> =
        file.car().proposals.iter().map(|p| Some(p.name.clone())).chain([None, Some("none".into())]).collect();
    for proposal in proposals {
        if let Some(name) = &proposal {
            let _ = file.proposed(name);
            let _ = file.edit(&Edit::RemoveChange { proposal: name.clone(), index: 0 });
            let _ = file.edit(&Edit::AddProposal { name: name.clone() });
        }
        for axle in AxleName::BOTH {
            for side in [Sides::Both, Sides::Left, Sides::Right] {
                let _ = file.edit(&Edit::PutPoint { proposal: proposal.clone(), axle, side, point, to: to.into() });
            }
        }
        let rail = "upper rail".to_string();
        let _ = file.edit(&Edit::PutCorner { proposal: proposal.clone(), rail, corner: 1, to: to.into() });
        let cut = SawCut { from: to[0], to: to[1], ends: Ends::Square };
        let rail = "upper rail".to_string();
        let _ = file.edit(&Edit::CutRail { proposal: proposal.clone(), rail: rail.clone(), cut });
        let _ = file.edit(&Edit::PutCut { proposal: proposal.clone(), rail: rail.clone(), nth: 1, cut });
        let notch = RailNotch { from: to[0], to: to[1], face: RailFace::Top, depth: to[2] };
        let _ = file.edit(&Edit::NotchRail { proposal: proposal.clone(), rail, notch });
        let _ = file.edit(&Edit::PutNode { proposal: proposal.clone(), node: "tower".into(), to: to.into() });
        let (tube, to_place) = ("brace".to_string(), TubePoint::At(to.into()));
        let _ = file.edit(&Edit::PutBend { proposal: proposal.clone(), tube, bend: 1, to: to_place });
        let _ = file.edit(&Edit::PutSteeringTravel { proposal, travel: to[0] });
    }
}

proptest! {
    #[test]
    fn no_text_makes_it_panic(text in prop_oneof![".{0,200}", prop::collection::vec(scrap(), 0..60).prop_map(|v| v.concat())]) {
        let _ = read(&text);
        let _ = read(&format!("(format: 1, {text})"));
    }

    #[test]
    fn no_bytes_make_it_panic(bytes in prop::collection::vec(any::<u8>(), 0..200)) {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("car.ron");
        fs::write(&path, bytes).unwrap();
        prop_assert!(CarFile::open(&path).is_err());
    }

    #[test]
    fn no_slip_of_the_keyboard_makes_it_panic(
        car in prop::sample::select(vec![CAR, DOTTEREL, GARGANEY, PHALAROPE, WHINCHAT]),
        slips in prop::collection::vec((any::<prop::sample::Index>(), 0usize..12, scrap()), 1..4),
        cut in prop::option::of(any::<prop::sample::Index>()),
        point in prop::sample::select(PointName::ALL.to_vec()),
        to in prop::array::uniform3(prop_oneof![-900.0..900.0f64, any::<f64>()]),
    ) {
        let mut text = car.to_string();
        for (at, length, scrap) in slips {
            let edge = |n: usize| (n.min(text.len())..=text.len()).find(|&n| text.is_char_boundary(n)).unwrap();
            let at = at.index(car.len());
            text.replace_range(edge(at)..edge(at + length), &scrap);
        }
        if let Some(cut) = cut.map(|cut| cut.index(car.len())).filter(|&cut| text.is_char_boundary(cut)) {
            text.truncate(cut);
        }
        survive(&text, point, to);
    }

    /// Where an edit is made, the car is what was asked for, and the comments are all there.
    #[test]
    fn an_edit_puts_a_point_where_it_was_asked_to(
        car_text in prop::sample::select(vec![CAR, DOTTEREL]),
        axle in prop::sample::select(AxleName::BOTH.to_vec()),
        point in any::<prop::sample::Index>(),
        side in prop::sample::select(vec![Sides::Both, Sides::Left, Sides::Right]),
        proposal in 0usize..3,
        shift in prop::array::uniform3(-20.0..20.0f64),
    ) {
        let file = read(car_text).unwrap();
        let axle = if file.car().axle(axle).is_some() { axle } else { AxleName::Front };
        let proposal = proposal.checked_sub(1).map(|index| file.car().proposals[index].name.clone());
        let given = file.car().axle(axle).unwrap();
        let names: Vec<PointName> = given.points.0.keys().chain(given.middle.0.keys()).copied().collect();
        let (point, single) = (*point.get(&names), given.middle.0.contains_key(point.get(&names)));
        let car = |file: &CarFile| match &proposal {
            Some(name) => file.proposed(name).unwrap(),
            None => file.car().clone(),
        };
        let seen = if side == Sides::Right { Side::Right } else { Side::Left };
        let before = car(&file).axle(axle).unwrap().clone();
        let to = before.point(seen, point).unwrap() + Vector3::from(shift);
        let edited = file.edit(&Edit::PutPoint { proposal: proposal.clone(), axle, side, point, to }).unwrap();
        let after = car(&edited);
        for s in Side::BOTH {
            let place = after.axle(axle).unwrap().point(s, point).unwrap();
            let meant = match (side, s) {
                _ if single => to,
                (Sides::Both, _) => s.mirror(to),
                _ if side.has(s) => to,
                _ => before.point(s, point).unwrap(),
            };
            prop_assert!((place - meant).amax() <= 0.00051, "{place} {meant}");
        }
        for comment in car_text.lines().filter_map(|line| line.find("//").map(|n| &line[n..])) {
            prop_assert!(edited.text().contains(comment));
        }
    }
}
