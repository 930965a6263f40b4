//! Rails' templates: true size, the right way round, and scrap on the right side.

use nalgebra::Vector3;
use scribeline::answer::Study;
use scribeline::answer::sheets::{FaceSheet, RailTemplate};
use scribeline::car::{CarFile, CutEnd, Shown, Side};
use scribeline::space::{Face, RailRun, SawPlane};

use super::common;
use super::demo::study;

/// The rail's own model lets its section turn a little towards a bend, which is not a scriber's width, mm.
const TURNED: f64 = 5e-3;

/// The small two-seater with its upper rail cut in a proposal.
fn sheets(change: &str) -> (Study, Vec<RailTemplate>) {
    let changes = format!("changes: [{change}]),\n        (name: \"last\", changes: [])");
    let text = common::with(r#"(name: "as it is", changes: [])"#, &format!(r#"(name: "cut", {changes}"#));
    let file = CarFile::from_text(text, None).expect("a car");
    let study = study(file.proposed("cut").expect("a proposal"));
    let rails = study.sheets(None, Shown::Mm, false).expect("papers").rails;
    (study, rails)
}

fn of(all: &[RailTemplate], rail: &str, end: Option<CutEnd>) -> RailTemplate {
    let is = |t: &&RailTemplate| t.rail == rail && t.end == end;
    all.iter().find(is).unwrap_or_else(|| panic!("{rail} {end:?}")).clone()
}

fn face(template: &RailTemplate, face: Face) -> &FaceSheet {
    template.faces.iter().find(|f| f.face == face).expect("the face")
}

/// Where the upper rail's cut meets one of the left rail's edges, mm.
fn place(study: &Study, end: CutEnd, edge: &str) -> Vector3<f64> {
    let rail = &study.car.rails[0];
    let section = RailRun::new(rail, Side::Left).section(SawPlane::of(&rail.cuts[0], end)).expect("within the rail");
    let edges = ["outer top", "inner top", "inner bottom", "outer bottom"];
    section[edges.iter().position(|name| *name == edge).expect("an edge")]
}

fn length(line: &[[f64; 2]]) -> f64 {
    line.windows(2).map(|p| (p[1][0] - p[0][0]).hypot(p[1][1] - p[0][1])).sum()
}

fn mean_x(shape: &[[f64; 2]]) -> f64 {
    shape.iter().map(|p| p[0]).sum::<f64>() / shape.len() as f64
}

#[test]
fn a_cuts_template_folds_around_the_box_and_its_lines_are_true() {
    let (study, all) = sheets(
        r#"cut_rail(rail: "upper rail", from: 200, to: 420, ends: mitred(near: (up: 12, out: 7), far: (up: -9)))"#,
    );
    assert_eq!(all.len(), 4, "two ends, left and right");
    let cut = study.cut();
    let lines = &cut.sawn[0].cuts[0].lines;
    for side in Side::BOTH {
        for end in CutEnd::BOTH {
            let template = of(&all, &format!("{} upper rail", side.word()), Some(end));
            assert!(template.folds, "no bend is near");
            // Each face is as wide as the rail's section says, one above the other without a gap.
            let mut height = 0.0;
            for sheet in &template.faces {
                let wide = if matches!(sheet.face, Face::Top | Face::Bottom) { 50.0 } else { 70.0 };
                assert!((sheet.edges[0][0][1] - height).abs() < TURNED);
                height += wide;
                assert!((sheet.edges[1][0][1] - height).abs() < TURNED, "{:?}", sheet.face);
                // The same length as between the marks that `cut --lines` tells, which lie on the left rail.
                let marks = &lines.iter().find(|l| l.end == end && l.face == sheet.face).expect("a line").marks;
                let [a, b] = [0, 1].map(|i| place(&study, end, marks[i].edge));
                let drawn: f64 = sheet.lines.iter().map(|line| length(line)).sum();
                assert!((drawn - (a - b).norm()).abs() < TURNED, "{:?}: {drawn}", sheet.face);
                // It meets the edges at their stations.
                for mark in marks {
                    let k = sheet.edge_names.iter().position(|name| *name == mark.edge).expect("the edge");
                    let y = sheet.edges[k][0][1];
                    let meets = |p: &[f64; 2]| (p[0] - mark.station_mm).abs() < TURNED && (p[1] - y).abs() < TURNED;
                    assert!(sheet.lines.iter().flatten().any(meets), "{:?} {}", sheet.face, mark.edge);
                }
                // What goes lies between the two ends.
                let goes = mean_x(&sheet.scrap.concat());
                assert!(if end == CutEnd::Near { goes > 200.0 } else { goes < 420.0 }, "{goes}");
            }
            // Seen from outside with stations to the right: this rail runs forward, so on the left its outer face lies below
            // its top on paper reversed, and the right rail is the other way round.
            let order: Vec<Face> = template.faces.iter().map(|f| f.face).collect();
            let left = [Face::Inner, Face::Top, Face::Outer, Face::Bottom];
            let right = [Face::Bottom, Face::Outer, Face::Top, Face::Inner];
            assert_eq!(order, if side == Side::Left { left } else { right });
        }
    }
}

/// By hand: a notch 20 deep of the outer face, 50 wide rail of 70: the whole outer face and 20 of top and bottom go.
#[test]
fn a_notchs_template_hatches_the_face_and_its_depth_beside() {
    let (_, all) = sheets(r#"notch_rail(rail: "upper rail", from: 220, to: 330, face: outer, depth: 20)"#);
    let template = of(&all, "left upper rail", None);
    let area = |sheet: &FaceSheet| -> f64 {
        let next = |s: &[[f64; 2]], i: usize| s[(i + 1) % s.len()];
        let of = |s: &Vec<[f64; 2]>| {
            s.iter().enumerate().map(|(i, p)| p[0] * next(s, i)[1] - next(s, i)[0] * p[1]).sum::<f64>().abs() / 2.0
        };
        sheet.scrap.iter().map(of).sum()
    };
    for (f, goes) in
        [(Face::Outer, 110.0 * 70.0), (Face::Top, 110.0 * 20.0), (Face::Bottom, 110.0 * 20.0), (Face::Inner, 0.0)]
    {
        let sheet = face(&template, f);
        assert!((area(sheet) - goes).abs() < 110.0 * TURNED, "{f:?}: {}", area(sheet));
        assert_eq!(sheet.lines.is_empty(), goes == 0.0);
    }
    // The depth lies at the outer edge.
    let top = face(&template, Face::Top);
    let k = top.edge_names.iter().position(|n| *n == "outer top").expect("the edge");
    let y = top.edges[k][0][1];
    assert!(top.scrap.iter().flatten().all(|p| (p[1] - y).abs() < 20.0 + TURNED));
}

/// A line that lies by a bend: each face by itself, its edges as long as on the car.
#[test]
fn over_a_bend_faces_come_apart_and_keep_their_size() {
    let (study, all) = sheets(r#"cut_rail(rail: "upper rail", from: 615, to: 800)"#);
    let template = of(&all, "left upper rail", Some(CutEnd::Near));
    assert!(!template.folds);
    let rail = &study.car.rails[0];
    let bend = (rail.centreline[1] - rail.centreline[0]).norm();
    assert!(template.covers_mm[0] < bend && bend < template.covers_mm[1]);
    let cut = study.cut();
    for sheet in &template.faces {
        let lines = &cut.sawn[0].cuts[0].lines;
        let marks = &lines.iter().find(|l| l.end == CutEnd::Near && l.face == sheet.face).expect("a line").marks;
        let [a, b] = [0, 1].map(|i| place(&study, CutEnd::Near, marks[i].edge));
        let drawn: f64 = sheet.lines.iter().map(|line| length(line)).sum();
        assert!((drawn - (a - b).norm()).abs() < 0.02, "{:?}: {drawn}, {}", sheet.face, (a - b).norm());
    }
}

/// Closed form: a plane that leans by `a` meets a round rail in a sine of amplitude `r tan a`, rolled out.
#[test]
fn a_round_rails_mitre_is_a_sine() {
    let (_, all) = sheets(r#"cut_rail(rail: "cross tube", from: 200, to: 420, ends: mitred(near: (up: 20)))"#);
    let template = of(&all, "cross tube", Some(CutEnd::Near));
    let sheet = face(&template, Face::Round);
    let mut seen = 0;
    for [station, around] in sheet.lines.iter().flatten() {
        // From its lowest line.
        let high = -20.0 * (around / 20.0).cos();
        // The paper's facets stand off the round by r (1 - cos 1 deg).
        assert!((station - 200.0 - high * 20f64.to_radians().tan()).abs() < 0.01, "{around}: {station}");
        seen += 1;
    }
    assert!(seen > 300, "{seen}");
}
