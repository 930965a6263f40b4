//! Wishes in words and from the shell.

use std::path::Path;

use scribeline::answer::Better;
use scribeline::answer::better::{Aim, Axis, Free, Looking, NoBetter, OfNumber, Wish};
use scribeline::car::PointName::TieRodOuter;
use scribeline::car::{AxleName, CarFile, Edit, Shown, Sides};
use scribeline::space::Scans;

use crate::demo::{car, scene, study};
use crate::shell::{call, json, text};
use crate::{ask, free, wish};

/// From the shell: what is written is a proposal that has the numbers told, made of another proposal where one is
/// named.
#[test]
fn what_is_written_has_the_numbers_that_were_told() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("car.ron");
    std::fs::copy(scene("dunlin.ron"), &path).expect("a copy");
    let path = path.to_str().expect("a plain path");
    let asked = [
        "better",
        path,
        "--proposal",
        "low and wide",
        "--free",
        "tie_rod_outer z -20 20",
        "--free",
        "upper_front:z:12",
        "--free",
        "upper_rear z 12",
        "--want",
        "bump_steer at most 0.05",
        "--write",
        "steers straight",
        "--most",
        "1",
        "--json",
    ];
    let told = json(&call(&asked));
    assert_eq!(told["question"], "better");
    assert_eq!(told["written"], "steers straight");
    let value = told["cars"][0]["reached"][0]["value"].as_f64().expect("a number");
    let after = json(&call(&["alignment", path, "--proposal", "steers straight", "--of", "toe", "--json"]));
    let rates = [0, 1].map(|i| after["numbers"][0]["sides"][i]["rate"].as_f64().expect("a rate"));
    let worst = if rates[0].abs() >= rates[1].abs() { rates[0] } else { rates[1] };
    assert!((worst - value).abs() < 1e-6, "{worst} against {value}");
    assert!(worst.abs() <= 0.05);
    // The window's way of taking it is the same.
    let file = CarFile::open(Path::new(path)).expect("the file");
    let changes: Vec<String> = serde_json::from_value(told["cars"][0]["changes"].clone()).expect("changes");
    let copied =
        file.edit(&Edit::CopyProposal { proposal: "low and wide".into(), name: "again".into() }).expect("a copy");
    let again = copied.edit(&Edit::AddChanges { proposal: "again".into(), changes }).expect("an edit");
    let points = |file: &CarFile, name| file.proposed(name).expect("a proposal").front.points.clone();
    assert_eq!(points(&again, "again"), points(&file, "steers straight"));
}

/// The command line in every form, in inches, and what it refuses.
#[test]
fn the_command_line_tells_it_and_says_what_is_wrong() {
    let path = scene("dunlin.ron");
    let path = path.to_str().expect("a plain path");
    let asked = [
        "better",
        path,
        "--free",
        "tie_rod_outer z 15",
        "--want",
        "bump_steer at most 0.02",
        "--want",
        "roll_centre_height stays within 5",
        "--most",
        "2",
    ];
    let told = call(&asked);
    assert_eq!(told.status.code(), Some(0), "{}", String::from_utf8_lossy(&told.stderr));
    let said = text(&told);
    for words in [
        "CLEAR",
        "front tie rod, outer joint",
        "move_point(point: tie_rod_outer, by: (0, 0,",
        "no gap is made worse",
        "stays within 5.0 mm",
    ] {
        assert!(said.contains(words), "{words}: {said}");
    }
    let csv = text(&call(&[&asked[..], &["--csv"]].concat()));
    assert!(csv.starts_with("car,met,moves mm,bump steer deg,roll centre height mm,proven,"), "{csv}");
    let inches = [
        "better",
        path,
        "--free",
        "tie_rod_outer z 0.6",
        "--want",
        "bump_steer at most 0.02",
        "--want",
        "roll_centre_height stays within 0.2",
        "--units",
        "in",
        "--most",
        "1",
    ];
    let said = text(&call(&inches));
    for words in ["stays within 0.20 in", "in 1 in of bump"] {
        assert!(said.contains(words), "{words}: {said}");
    }
    assert!(said.contains(" in up") || said.contains(" in down"), "{said}");
    // Far from where it can stand there is no car: that is said, with nothing to pick.
    let nowhere = ["--free", "upper_front z 299 300", "--want", "camber near 0"];
    let none = call(&[&["better", path][..], &nowhere].concat());
    assert!(none.status.code() == Some(1) && text(&none).contains("there is none to pick"), "{}", text(&none));
    let good = ["--free", "tie_rod_outer z 15", "--want", "bump_steer at most 0.02", "--most", "1"];
    for (arguments, says) in [
        (&["--want", "bump_steer at most 0.02"][..], "--free"),
        (&["--free", "tie_rod_outer z 15"][..], "--want"),
        (&["--free", "tie_rod_oter z 15", "--want", "clear"][..], "did you mean `tie_rod_outer`?"),
        (&["--free", "tie_rod_outer w 15", "--want", "clear"][..], "x (forward), y (left) or z (up)"),
        (&["--free", "tie_rod_outer z", "--want", "clear"][..], "from where to where"),
        (&["--free", "tie_rod_outer z 5 -5", "--want", "clear"][..], "nowhere to move"),
        (&["--free", "tie_rod_outer z 900", "--want", "clear"][..], "at most 300.0 mm"),
        (&["--free", "arm_inner z 5", "--want", "clear"][..], "the front axle has no point `arm_inner`"),
        (&["--free", "tie_rod_outer z 5", "--free", "tie_rod_outer z 9", "--want", "clear"][..], "freed twice"),
        (&["--free", "tie_rod_outer z 5", "--want", "bump_ster at most 1"][..], "did you mean `bump_steer`?"),
        (&["--free", "tie_rod_outer z 5", "--want", "bump_steer"][..], "what is it to be?"),
        (
            &["--free", "tie_rod_outer z 5", "--want", "bump_steer at most much"][..],
            "a number is missing, and `much` is none",
        ),
        (&["--free", "tie_rod_outer z 5", "--want", "bump_steer at most 1 2"][..], "what is `2` for?"),
        (&["--free", "tie_rod_outer z 5", "--want", "toe change at most 1"][..], "change through travel"),
        (&["--free", "tie_rod_outer z 5", "--want", "camber from 1 to -1"][..], "the lesser first"),
        (&["--free", "tie_rod_outer z 5", "--want", "rear caster near 3"][..], "has no caster"),
        (
            &["--free", "tie_rod_outer z 5", "--want", "camber rate along travel through roll at most 3"][..],
            "name one motion",
        ),
        (&["--free", "tie_rod_outer z 5", "--want", "lock at most 3"][..], "lock at least 34"),
        (&[&nowhere[..], &["--pick", "0"]].concat()[..], "numbered from 1"),
        (&[&good[..], &["--pick", "40"]].concat()[..], "there is no car 40"),
        (&[&good[..], &["--write", "as found"]].concat()[..], "choose another name"),
        (&[&good[..], &["--proposal", "none such"]].concat()[..], "no proposal `none such`"),
    ] {
        let refused = call(&[&["better", path], arguments].concat());
        assert_eq!(refused.status.code(), Some(2), "{arguments:?}: {}", text(&refused));
        let said = String::from_utf8_lossy(&refused.stderr).into_owned();
        assert!(said.contains(says), "{arguments:?}: {said}");
    }
}

/// Words are read as they are spoken, and told as they are read.
#[test]
fn wishes_are_typed_as_they_are_spoken() {
    for (typed, told) in [
        ("bump_steer at most 0.05", "bump steer at most 0.050 deg either way"),
        ("bump steer through travel at most 0.05", "bump steer through the wheel travel at most 0.050 deg either way"),
        ("rear camber_gain from -0.8 to -0.4", "rear camber gain from -0.800 to -0.400 deg"),
        ("camber rate along roll at least -0.3", "camber rate along roll at least -0.300 deg"),
        ("roll centre height stays within 5 mm", "roll centre height stays within 5.0 mm"),
        ("anti_dive near 20 %", "anti-dive as near as can be to 20.0 %"),
        (
            "toe change through the travel at most 0.1 either way",
            "toe change through the wheel travel at most 0.100 deg either way",
        ),
        ("camber rate through roll at most 3", "camber rate along roll through the roll at most 3.000 deg"),
        ("lock at least 34 deg", "lock at least 34.0 deg"),
        ("clear", "every wanted gap kept"),
    ] {
        assert_eq!(wish(typed).words(Shown::Mm), told, "{typed}");
    }
    let Wish::Number(inches) = Wish::typed("bump_steer at most 0.1", Shown::In, AxleName::Front).expect("a wish")
    else {
        panic!()
    };
    // Degrees in an inch are fewer in 25 mm.
    let Aim::Between(_, most) = inches.aim else { panic!("{inches:?}") };
    assert!((most - 0.1 * 25.0 / 25.4).abs() < 1e-12 && inches.of == OfNumber::Rate);
    assert_eq!(
        free("left tie_rod_outer y from -5 to 10"),
        Free {
            axle: AxleName::Front,
            point: TieRodOuter,
            side: Sides::Left,
            axis: Axis::Y,
            from_mm: -5.0,
            to_mm: 10.0
        }
    );
    // A unit may stand apart from its number.
    let ends = |text: &str| (free(text).from_mm, free(text).to_mm);
    assert_eq!(ends("tie_rod_outer z 10 mm"), (-10.0, 10.0));
    assert_eq!(ends("tie_rod_outer z from -5 mm to 1 cm"), (-5.0, 10.0));
    assert!((ends("tie_rod_outer z 1 1/2 in").1 - 38.1).abs() < 1e-9);
    assert!(matches!(
        Better::new(&study(car("dunlin.ron")), &Scans::default(), &ask(&[], &["clear"]), Looking::NOBODY),
        Err(NoBetter::Asked(what)) if what.contains("nothing may move")
    ));
}
