//! What a car file says of cuts, nodes and tubes: how it is read, refused and made.

use nalgebra::Vector3;
use scribeline::car::{Car, CarFile};
use scribeline::space::{Kind, Part, Parts};

use crate::common::with;

/// The two-seater, its upper rail straight, with more in it and one proposal of these changes.
fn text(more: &str, changes: &str) -> String {
    let rail = "(-600, 420, 560),\n                (0, 430, 690),\n                (450, 400, 600),\n";
    let car = with(rail, "(-600, 420, 600), (400, 420, 600),");
    let proposal = format!("    {more}\n    proposals: [\n        (name: \"cut\", changes: [{changes}]),");
    car.replacen("    proposals: [", &proposal, 1)
}

fn read(more: &str, changes: &str) -> Result<CarFile, String> {
    CarFile::from_text(text(more, changes), Some("demo.ron".into())).map_err(|e| e.to_string())
}

fn proposed(more: &str, changes: &str) -> Car {
    read(more, changes)
        .and_then(|file| file.proposed("cut").map_err(|e| e.to_string()))
        .unwrap_or_else(|e| panic!("{e}"))
}

/// It is refused where `mark` stands in the text, in these words.
fn refused(more: &str, changes: &str, mark: &str, words: &[&str]) {
    let text = text(more, changes);
    let at = text.find(mark).unwrap_or_else(|| panic!("`{mark}`"));
    let line = text[..at].matches('\n').count() + 1;
    let column = text[..at].chars().rev().take_while(|&c| c != '\n').count() + 1;
    let error = read(more, changes).err().unwrap_or_else(|| panic!("accepted: {more} {changes}"));
    assert!(error.starts_with(&format!("demo.ron:{line}:{column}: ")), "{line}:{column} {error}");
    for word in words {
        assert!(error.contains(word), "`{word}` is not said: {error}");
    }
}

fn part<'a>(parts: &'a Parts, name: &str) -> &'a Part {
    let names = || parts.body.iter().map(|p| p.name.clone()).collect::<Vec<_>>();
    parts.body.iter().find(|p| p.name == name).unwrap_or_else(|| panic!("{name} among {:?}", names()))
}

fn box_around(part: &Part) -> [[f64; 3]; 2] {
    part.solid.around.map(|p| [p.x, p.y, p.z].map(|v| (v * 1e6).round() / 1e6))
}

#[test]
fn a_cut_rail_is_two_pieces_that_end_where_the_cut_says() {
    let parts = Parts::new(&proposed("", r#"cut_rail(rail: "upper rail", from: 200, to: "500 mm")"#));
    // The rail runs along x at y = 420, z = 600, 50 wide and 70 high, from x = -600 on.
    let near = box_around(part(&parts, "left upper rail, near piece"));
    assert_eq!(near, [[-600.0, 395.0, 565.0], [-400.0, 445.0, 635.0]]);
    let far = box_around(part(&parts, "right upper rail, far piece"));
    assert_eq!(far, [[-100.0, -445.0, 565.0], [400.0, -395.0, 635.0]]);
    assert!(parts.body.iter().all(|p| p.name != "left upper rail"));
    let run = part(&parts, "left upper rail, far piece").run.as_ref().expect("a run");
    assert_eq!(run.stations, [500.0, 1000.0]);
    assert!(part(&parts, "left upper rail, near piece").solid.closed);
}

#[test]
fn pieces_between_several_cuts_have_names_of_their_own() {
    let names = |changes: &str| {
        let parts = Parts::new(&proposed("", changes));
        let of = |p: &Part| p.name.strip_prefix("left upper rail").map(str::to_owned);
        parts.body.iter().filter_map(of).collect::<Vec<_>>()
    };
    let start = r#"cut_rail(rail: "upper rail", from: 0, to: 100)"#;
    let middle = r#"cut_rail(rail: "upper rail", from: 300, to: 500)"#;
    let end = r#"cut_rail(rail: "upper rail", from: 900, to: 1000)"#;
    assert_eq!(names(start), [", far piece"]);
    assert_eq!(names(end), [", near piece"]);
    assert_eq!(names(middle), [", near piece", ", far piece"]);
    assert_eq!(names(&format!("{start}, {middle}")), [", piece 1", ", piece 2"]);
    assert_eq!(names(&format!("{middle}, {end}")), [", piece 1", ", piece 2"]);
    assert_eq!(names(&format!("{start}, {middle}, {end}")), [", piece 1", ", piece 2"]);
}

#[test]
fn a_mitred_end_leans_by_its_angles() {
    let cut = r#"cut_rail(rail: "upper rail", from: 200, to: 500, ends: mitred(near: (up: 45), far: (up: "-45 deg", out: 45)))"#;
    let parts = Parts::new(&proposed("", cut));
    let near = part(&parts, "left upper rail, near piece").run.clone().expect("a run");
    // Half the height is 35: at 45 degrees the upper edges end 35 further from the datum, the lower ones 35 nearer.
    let ends: Vec<f64> = near.sections[1].iter().map(|p| p.x + 600.0).collect();
    let close = |got: &[f64], want: [f64; 4]| got.iter().zip(want).all(|(a, b)| (a - b).abs() < 1e-9);
    assert!(close(&ends, [235.0, 235.0, 165.0, 165.0]), "{ends:?}");
    // Outer top, inner top, inner bottom, outer bottom: 35 less at the top, 25 more outside.
    for side in ["left", "right"] {
        let far = part(&parts, &format!("{side} upper rail, far piece")).run.clone().expect("a run");
        let ends: Vec<f64> = far.sections[0].iter().map(|p| p.x + 600.0).collect();
        assert!(close(&ends, [490.0, 440.0, 510.0, 560.0]), "{side}: {ends:?}");
    }
}

#[test]
fn a_notch_takes_its_face_and_no_more() {
    let parts =
        Parts::new(&proposed("", r#"notch_rail(rail: "upper rail", from: 200, to: 500, face: outer, depth: 15)"#));
    let rail = part(&parts, "left upper rail");
    assert!(rail.solid.closed, "its steps are closed");
    let has = |x: f64, y: f64, z: f64| rail.solid.holds(Vector3::new(x - 600.0, y, z));
    assert!(has(199.0, 440.0, 600.0) && has(501.0, 440.0, 600.0), "beside the notch all is there");
    assert!(!has(201.0, 431.0, 600.0) && !has(499.0, 431.0, 600.0), "in the notch the outer 15 mm are gone");
    assert!(has(201.0, 429.0, 600.0) && has(499.0, 429.0, 600.0) && has(350.0, 396.0, 634.0), "behind it all stays");
    let right = part(&parts, "right upper rail");
    assert!(
        !right.solid.holds(Vector3::new(-250.0, -431.0, 600.0))
            && right.solid.holds(Vector3::new(-250.0, -396.0, 600.0))
    );
}

#[test]
fn a_round_rail_is_cut_off_flat() {
    let parts = Parts::new(&proposed("", r#"cut_rail(rail: "cross tube", from: 100, to: 300)"#));
    let [low, high] = box_around(part(&parts, "cross tube, near piece"));
    // It runs from y = 350 to the right, 40 mm round; an uncut one would end in a half ball.
    assert_eq!((low[1], high[1]), (250.0, 350.0));
    assert!((high[0] - 320.0).abs() < 0.05 && (low[2] - 180.0).abs() < 0.05, "{low:?} {high:?}");
}

#[test]
fn a_plate_lies_on_the_cut_end_towards_what_is_gone() {
    let changes = r#"cut_rail(rail: "upper rail", from: 200, to: 500),
        end_plate(rail: "upper rail", cut: near, thickness: 3, over: 10), end_plate(rail: "upper rail", cut: far, thickness: 4)"#;
    let parts = Parts::new(&proposed("", changes));
    let near = part(&parts, "left upper rail, near end plate");
    assert_eq!((box_around(near), near.kind), ([[-400.0, 385.0, 555.0], [-397.0, 455.0, 645.0]], Kind::Plate));
    let far = part(&parts, "right upper rail, far end plate");
    assert_eq!(box_around(far), [[-104.0, -445.0, 565.0], [-100.0, -395.0, 635.0]]);
}

const NODES: &str = r#"nodes: [(name: "tower", mirror: true, at: (0, 400, 700), on: "upper rail"), (name: "plug", at: (-600, 0, 500), held: true)],
    stock: [(od: "1 1/4 in", wall: "0.083 in", grade: "1020 DOM"), (od: 30, wall: 2, grade: "E355+N")],"#;

#[test]
fn a_tube_runs_to_nodes_and_cut_ends_and_follows_them() {
    let changes = r#"cut_rail(rail: "upper rail", from: 200, to: 500),
        add_tube(name: "brace", mirror: true, od: 30, wall: 2, grade: "E355+N",
                 points: [(rail: "upper rail", cut: near), "tower", (-100, 420, 700), (rail: "upper rail", station: 700)]),
        add_tube(name: "cross", od: 30, points: ["left tower", "plug", "right tower"]),
        move_node(node: "tower", by: (0, 0, 50))"#;
    let car = proposed(NODES, changes);
    let line = |name: &str| {
        let tube = car.tubes.iter().find(|t| t.name == name).expect("a tube");
        car.tube_line(tube).expect("resolved").iter().map(|p| [p.x, p.y, p.z]).collect::<Vec<_>>()
    };
    assert_eq!(
        line("brace"),
        [[-400.0, 420.0, 600.0], [0.0, 400.0, 750.0], [-100.0, 420.0, 700.0], [100.0, 420.0, 600.0]]
    );
    assert_eq!(line("cross"), [[0.0, 400.0, 750.0], [-600.0, 0.0, 500.0], [0.0, -400.0, 750.0]]);
    let parts = Parts::new(&car);
    assert_eq!(part(&parts, "right brace").solid.bars[0].b, Vector3::new(0.0, -400.0, 750.0));
}

#[test]
fn bends_and_nodes_are_moved_and_taken_away() {
    let tube = r#"add_tube(name: "brace", od: 30, points: [(0, 0, 500), (100, 0, 500), "plug"]),"#;
    let moved = |change: &str| {
        let car = proposed(NODES, &format!("{tube} {change}"));
        let line = car.tube_line(&car.tubes[0]).expect("resolved");
        line.iter().map(|p| [p.x, p.y, p.z]).collect::<Vec<_>>()
    };
    assert_eq!(moved(r#"move_bend(tube: "brace", bend: 2, by: (0, 0, 9))"#)[1], [100.0, 0.0, 509.0]);
    assert_eq!(moved(r#"move_bend(tube: "brace", bend: 2, to: "left tower")"#)[1], [0.0, 400.0, 700.0]);
    assert_eq!(
        moved(r#"move_bend(tube: "brace", bend: 3, by: (5, 0, 0)), remove_node("plug")"#)[2],
        [-595.0, 0.0, 500.0]
    );
    assert_eq!(
        moved(r#"add_node(name: "x", at: (1, 2, 300)), move_bend(tube: "brace", bend: 1, to: "x")"#)[0],
        [1.0, 2.0, 300.0]
    );
}

#[test]
fn a_mistake_is_told_where_it_stands_and_what_to_do() {
    let cut = r#"cut_rail(rail: "upper rail", from: 200, to: 500)"#;
    for (more, changes, mark, words) in [
        (
            "",
            r#"cut_rail(rail: "uper rail", from: 200, to: 500)"#,
            "\"uper rail\"",
            &["did you mean `upper rail`?"][..],
        ),
        (
            "",
            r#"cut_rail(rail: "upper rail", from: 200, to: 1500)"#,
            "cut_rail",
            &["`to` is 1500 mm", "runs from 0 mm to 1000 mm", "take a station between the two, or that end itself"],
        ),
        ("", r#"cut_rail(rail: "upper rail", from: 500, to: 200)"#, "cut_rail", &["further from the datum"]),
        (
            "",
            r#"cut_rail(rail: "upper rail", from: 0, to: 1000)"#,
            "cut_rail",
            &["leaves nothing", "remove(\"upper rail\")"],
        ),
        (
            "",
            r#"cut_rail(rail: "upper rail", from: 200, to: 500, ends: mitred(near: (up: 70)))"#,
            "cut_rail",
            &["from -60 to 60 deg"],
        ),
        (
            "",
            r#"cut_rail(rail: "upper rail", from: 200, to: 230, ends: mitred(near: (up: 30), far: (up: -30)))"#,
            "cut_rail",
            &["mitred ends meet"],
        ),
        ("", r#"notch_rail(rail: "cross tube", from: 100, to: 300, face: top, depth: 9)"#, "notch_rail", &["is round"]),
        (
            "",
            r#"notch_rail(rail: "upper rail", from: 100, to: 300, face: top, depth: 68)"#,
            "notch_rail",
            &["leaves nothing that holds of 70 mm"],
        ),
        (
            "",
            r#"notch_rail(rail: "upper rail", from: 100, to: 300, face: outside, depth: 9)"#,
            "outside",
            &["there is no face of a rail `outside`", "`outer`"],
        ),
        (
            "",
            r#"end_plate(rail: "upper rail", cut: near, thickness: 3)"#,
            "near, thickness",
            &["is not cut: cut it first"],
        ),
        (NODES, r#"add_tube(name: "t", od: 30, points: ["plug", "towr"])"#, "add_tube", &["did you mean `tower`?"]),
        (
            NODES,
            r#"add_tube(name: "t", od: 30, points: ["plug", "tower"])"#,
            "add_tube",
            &["say `left tower` or `right tower`"],
        ),
        (NODES, r#"add_tube(name: "t", od: 30, points: ["plug", "plug"])"#, "add_tube", &["are the same point"]),
        (
            NODES,
            r#"add_tube(name: "t", od: 30, points: ["plug", (rail: "left upper rail", cut: far)])"#,
            "add_tube",
            &["is not cut"],
        ),
        (
            NODES,
            r#"add_tube(name: "t", od: 30, points: ["plug", (rail: "left upper rail", cut: far, station: 3)])"#,
            "3)])",
            &["not both"],
        ),
        (
            NODES,
            r#"add_tube(name: "t", od: 30, grade: "cheese", points: ["plug", (0, 0, 0)])"#,
            "add_tube",
            &["no grade of metal `cheese`"],
        ),
        (NODES, r#"remove_node("towr")"#, "\"towr\"", &["did you mean `tower`?"]),
        (NODES, r#"move_bend(tube: "t", bend: 1, by: (0, 0, 1))"#, "\"t\"", &["there is no tube `t`"]),
        (
            "nodes: [(name: \"a\", at: (0, 0, 0)), (name: \"a\", at: (0, 0, 1))],",
            "",
            "\"a\", at: (0, 0, 1)",
            &["two nodes are called `a`"],
        ),
        (
            "nodes: [(name: \"a\", at: (0, 0, 0), on: \"uper rail\")],",
            "",
            "\"uper rail\"",
            &["did you mean `upper rail`?"],
        ),
        ("stock: [(od: 30, wall: 16, grade: \"S235\")],", "", "16, grade", &["leaves no hole"]),
        ("cutting: (kerf: 30),", "", "30),\n    proposals", &["from nothing up to 20 mm"]),
    ] {
        refused(more, changes, mark, words);
    }
    for (plate, words) in [
        ("thickness: 4000", "`thickness` is 4000 mm, and of an end plate it is 25.4 mm at the most"),
        ("thickness: 4, over: \"10 in\"", "`over` is 254 mm, and of an end plate it is 101.6 mm at the most"),
    ] {
        let plate = format!(r#"{cut}, end_plate(rail: "upper rail", cut: near, {plate})"#);
        refused("", &plate, "end_plate", &[words]);
    }
    let twice = format!(r#"{cut}, cut_rail(rail: "upper rail", from: 400, to: 600)"#);
    refused("", &twice, "cut_rail(rail: \"upper rail\", from: 400", &["meet", "make them one"]);
    let gone =
        format!(r#"{cut}, add_tube(name: "t", od: 30, points: ["plug", (rail: "left upper rail", station: 300)])"#);
    refused(NODES, &gone, "add_tube", &["lies in its cut from 200 mm to 500 mm"]);
}
