//! Edits of cuts, tubes and nodes: each changes its own text and no other, and reads back as what was asked for.

use nalgebra::Vector3;
use scribeline::car::{
    CarFile, CutEnd, Edit, EndPlate, Ends, FixedTube, Mitre, Node, OnRail, RailFace, RailNotch, SawCut, TubePoint,
};

use crate::common::CAR;

fn read(text: &str) -> CarFile {
    CarFile::from_text(text.to_owned(), None).unwrap_or_else(|e| panic!("{e}"))
}

fn made(file: &CarFile, edit: &Edit) -> CarFile {
    file.edit(edit).unwrap_or_else(|e| panic!("{edit:?}: {e}"))
}

/// The edited text is the old one with `from` replaced by `to`; the old file stays what it was.
#[track_caller]
fn gives(file: &CarFile, edit: &Edit, from: &str, to: &str) -> CarFile {
    let before = file.text().to_owned();
    assert_eq!(before.matches(from).count(), 1, "`{from}` should stand once in\n{before}");
    let edited = made(file, edit);
    assert_eq!(edited.text(), before.replacen(from, to, 1));
    assert_eq!(file.text(), before, "to undo is to go back to it");
    edited
}

fn wide() -> Option<String> {
    Some("wide".to_owned())
}

fn cut(from: f64, to: f64, ends: Ends) -> SawCut {
    SawCut { from, to, ends }
}

const END: &str = "                move_point(point: lower_front, by: (0, 0, 10)),\n";

#[test]
fn a_cut_is_made_and_its_ends_are_moved() {
    let edit = Edit::CutRail { proposal: wide(), rail: "upper rail".into(), cut: cut(200.0, 412.5, Ends::Square) };
    let line = "                cut_rail(rail: \"upper rail\", from: 200, to: 412.5),\n";
    let file = gives(&read(CAR), &edit, END, &format!("{END}{line}"));
    let put = |cut| Edit::PutCut { proposal: wide(), rail: "upper rail".into(), nth: 1, cut };
    let file = gives(&file, &put(cut(200.0, 420.0, Ends::Square)), "to: 412.5", "to: 420");
    let leaning = Ends::Mitred { near: Mitre { up: 10f64.to_radians(), out: 0.0 }, far: Mitre::default() };
    let file = gives(
        &file,
        &put(cut(210.0, 420.0, leaning)),
        "from: 200, to: 420)",
        "from: 210, to: 420, ends: mitred(near: (up: 10, out: 0), far: (up: 0, out: 0)))",
    );
    let rail = |file: &CarFile| file.proposed("wide").expect("it can be").rails[0].clone();
    let Ends::Mitred { near, .. } = rail(&file).cuts[0].ends else { panic!("mitred") };
    assert!((near.up.to_degrees() - 10.0).abs() < 1e-9);
    let file = made(&file, &put(SawCut { ends: Ends::Square, ..rail(&file).cuts[0] }));
    assert!(file.text().contains("to: 420, ends: square)"), "{}", file.text());
    let lost = file.edit(&Edit::PutCut {
        proposal: wide(),
        rail: "upper rail".into(),
        nth: 2,
        cut: cut(1.0, 2.0, Ends::Square),
    });
    assert!(lost.unwrap_err().what().contains("no cut 2"));
    let over = file.edit(&put(cut(200.0, 99_000.0, Ends::Square)));
    assert!(over.unwrap_err().what().contains("`to` is 99000 mm"));
}

#[test]
fn a_cut_as_found_stands_in_its_rail() {
    let edit = Edit::CutRail { proposal: None, rail: "upper rail".into(), cut: cut(100.0, 200.0, Ends::Square) };
    let datum = "            datum: \"front face of the firewall\",\n";
    let file = gives(&read(CAR), &edit, datum, &format!("{datum}            cuts: [(from: 100, to: 200)],\n"));
    let edit = Edit::CutRail { proposal: None, rail: "upper rail".into(), cut: cut(300.0, 400.0, Ends::Square) };
    let file = gives(&file, &edit, "[(from: 100, to: 200)]", "[(from: 100, to: 200), (from: 300, to: 400)]");
    let put = Edit::PutCut { proposal: None, rail: "upper rail".into(), nth: 2, cut: cut(310.0, 400.0, Ends::Square) };
    gives(&file, &put, "(from: 300,", "(from: 310,");
    // What the shell came with is no change of the proposal's.
    let put =
        Edit::PutCut { proposal: wide(), rail: "upper rail".into(), nth: 2, cut: cut(310.0, 400.0, Ends::Square) };
    assert!(file.edit(&put).unwrap_err().what().contains("is not made by this proposal"));
}

#[test]
fn a_notch_is_made() {
    let notch = RailNotch { from: 200.0, to: 400.0, face: RailFace::Outer, depth: 12.0 };
    let edit = Edit::NotchRail { proposal: wide(), rail: "upper rail".into(), notch };
    let line = "                notch_rail(rail: \"upper rail\", from: 200, to: 400, face: outer, depth: 12),\n";
    let file = gives(&read(CAR), &edit, END, &format!("{END}{line}"));
    assert_eq!(file.proposed("wide").expect("it can be").rails[0].notches, [notch]);
    let put = |nth, notch| Edit::PutNotch { proposal: wide(), rail: "upper rail".into(), nth, notch };
    let deeper = RailNotch { to: 410.0, depth: 14.5, face: RailFace::Top, ..notch };
    let file = gives(&file, &put(1, deeper), "to: 400, face: outer, depth: 12)", "to: 410, face: top, depth: 14.5)");
    assert!(file.edit(&put(2, deeper)).unwrap_err().what().contains("no notch 2"));
    let through = RailNotch { depth: 900.0, ..deeper };
    assert!(file.edit(&put(1, through)).is_err());
}

#[test]
fn a_notch_as_found_is_moved_in_its_rail() {
    let notch = RailNotch { from: 200.0, to: 400.0, face: RailFace::Outer, depth: 12.0 };
    let file = made(&read(CAR), &Edit::NotchRail { proposal: None, rail: "upper rail".into(), notch });
    let moved = RailNotch { from: 190.0, ..notch };
    let put = |proposal| Edit::PutNotch { proposal, rail: "upper rail".into(), nth: 1, notch: moved };
    gives(&file, &put(None), "(from: 200, to: 400", "(from: 190, to: 400");
    assert!(file.edit(&put(wide())).unwrap_err().what().contains("is not made by this proposal"));
}

#[test]
fn a_plate_is_welded_on_a_cut_end_changed_and_taken_away() {
    let saw = |proposal| Edit::CutRail { proposal, rail: "upper rail".into(), cut: cut(300.0, 400.0, Ends::Square) };
    let put = |proposal, nth, plate| {
        let (rail, end) = ("upper rail".into(), CutEnd::Far);
        Edit::PutPlate { proposal, rail, nth, end, plate }
    };
    let file = made(&read(CAR), &saw(wide()));
    let sawn = "                cut_rail(rail: \"upper rail\", from: 300, to: 400),\n";
    let line = "                end_plate(rail: \"upper rail\", cut: far, thickness: 4),\n";
    let with = gives(&file, &put(wide(), 1, Some([4.0, 0.0])), sawn, &format!("{sawn}{line}"));
    let thicker = gives(&with, &put(wide(), 1, Some([5.0, 8.0])), "thickness: 4)", "thickness: 5, over: 8)");
    assert_eq!(made(&thicker, &put(wide(), 1, None)).text(), file.text());
    assert!(file.edit(&put(wide(), 2, None)).unwrap_err().what().contains("has no cut 2"));
    assert!(file.edit(&put(wide(), 1, Some([-1.0, 0.0]))).is_err());
    // As found it stands in its rail, and is no change of the proposal's.
    let file = made(&read(CAR), &saw(None));
    let with = made(&file, &put(None, 1, Some([4.0, 0.0])));
    assert_eq!(with.car().rails[0].plates, [EndPlate { cut: CutEnd::Far, nth: None, thickness: 4.0, over: 0.0 }]);
    let other = with.edit(&put(wide(), 1, Some([5.0, 0.0])));
    assert!(other.unwrap_err().what().contains("is not made by this proposal"));
    // Of two cuts it says which.
    let second = Edit::CutRail { proposal: None, rail: "upper rail".into(), cut: cut(500.0, 520.0, Ends::Square) };
    let file = made(&made(&read(CAR), &saw(None)), &second);
    assert_eq!(made(&file, &put(None, 2, Some([4.0, 0.0]))).car().rails[0].plates[0].nth, Some(2));
}

fn node(name: &str, at: [f64; 3]) -> Node {
    Node { name: name.into(), mirror: true, at: at.into(), on: Some("upper rail".into()), held: true }
}

fn brace(points: Vec<TubePoint>) -> FixedTube {
    FixedTube {
        name: "brace".into(),
        mirror: true,
        od: 32.0,
        wall: Some(2.0),
        grade: Some("S235".into()),
        pinned: false,
        points,
    }
}

#[test]
fn nodes_are_added_moved_and_taken_away() {
    let add = Edit::AddNode { proposal: wide(), node: node("tower", [0.0, 400.0, 700.0]) };
    let line =
        "                add_node(name: \"tower\", mirror: true, at: (0, 400, 700), on: \"upper rail\", held: true),\n";
    let file = gives(&read(CAR), &add, END, &format!("{END}{line}"));
    assert_eq!(file.proposed("wide").expect("it can be").nodes, [node("tower", [0.0, 400.0, 700.0])]);
    let put = |proposal, z| Edit::PutNode { proposal, node: "tower".into(), to: Vector3::new(0.0, 400.0, z) };
    let file = gives(&file, &put(wide(), 710.0), "at: (0, 400, 700)", "at: (0, 400, 710)");
    let away = Edit::RemoveNode { proposal: wide(), node: "tower".into() };
    assert_eq!(made(&file, &away).text(), CAR);

    // As found: the list is made; a proposal then moves it, once.
    let add = Edit::AddNode { proposal: None, node: node("tower", [0.0, 400.0, 700.0]) };
    let file = made(&read(CAR), &add);
    assert_eq!(file.car().nodes, [node("tower", [0.0, 400.0, 700.0])]);
    let moved = "                move_node(node: \"tower\", to: (0, 400, 720)),\n";
    let file = gives(&file, &put(wide(), 720.0), END, &format!("{END}{moved}"));
    let file = gives(&file, &put(wide(), 725.0), "to: (0, 400, 720)", "to: (0, 400, 725)");
    let file = gives(&file, &put(None, 701.0), "at: (0, 400, 700)", "at: (0, 400, 701)");
    let gone = made(&file, &away);
    assert!(gone.text().contains("remove_node(\"tower\")") && !gone.text().contains(" move_node("), "{}", gone.text());
    assert!(gone.proposed("wide").expect("it can be").nodes.is_empty() && !gone.car().nodes.is_empty());
    let wrong = file.edit(&Edit::PutNode { proposal: None, node: "towr".into(), to: Vector3::zeros() });
    assert!(wrong.unwrap_err().what().contains("did you mean `tower`?"));
}

#[test]
fn tubes_are_added_bent_and_taken_away() {
    let file = made(&read(CAR), &Edit::AddNode { proposal: None, node: node("tower", [0.0, 400.0, 700.0]) });
    let cut = Edit::CutRail { proposal: wide(), rail: "upper rail".into(), cut: cut(200.0, 400.0, Ends::Square) };
    let file = made(&file, &cut);
    let on_rail = |at| TubePoint::OnRail { rail: "upper rail".into(), at };
    let points = vec![
        on_rail(OnRail::Cut(CutEnd::Near, None)),
        TubePoint::At(Vector3::new(-100.0, 410.0, 720.5)),
        TubePoint::Node("tower".into()),
        on_rail(OnRail::Station(900.0)),
    ];
    let edited = made(&file, &Edit::AddTube { proposal: wide(), tube: brace(points.clone()) });
    let line = "add_tube(name: \"brace\", mirror: true, od: 32, wall: 2, grade: \"S235\", points: [(rail: \"upper rail\", cut: near), \
                (-100, 410, 720.5), \"tower\", (rail: \"upper rail\", station: 900)]),\n";
    assert!(edited.text().contains(line), "{}", edited.text());
    let car = edited.proposed("wide").expect("it can be");
    assert_eq!(car.tubes, [brace(points)]);

    let put = |bend, to| Edit::PutBend { proposal: wide(), tube: "brace".into(), bend, to };
    let at = TubePoint::At(Vector3::new(-100.0, 412.0, 720.5));
    let edited = gives(&edited, &put(2, at.clone()), "(-100, 410, 720.5)", "(-100, 412, 720.5)");
    let edited = gives(
        &edited,
        &put(3, TubePoint::At(Vector3::new(0.0, 400.0, 731.0))),
        "\"tower\", (rail",
        "(0, 400, 731), (rail",
    );
    let far = on_rail(OnRail::Cut(CutEnd::Far, None));
    let edited =
        gives(&edited, &put(4, far), "(rail: \"upper rail\", station: 900)", "(rail: \"upper rail\", cut: far)");
    assert!(edited.edit(&put(9, at)).unwrap_err().what().contains("from 1 to 4"));
    let away = Edit::RemoveTube { proposal: wide(), tube: "brace".into() };
    assert_eq!(made(&edited, &away).text(), file.text());
    // A node that a tube runs to stays, and the tube is named.
    let tied = made(
        &file,
        &Edit::AddTube {
            proposal: wide(),
            tube: brace(vec![TubePoint::Node("tower".into()), Vector3::new(0.0, 90.0, 700.0).into()]),
        },
    );
    let node = tied.edit(&Edit::RemoveNode { proposal: wide(), node: "tower".into() }).unwrap_err();
    assert!(node.what().contains("there is no node `tower`"), "{node}");
}

#[test]
fn a_tube_as_found_is_bent_by_a_change_of_the_proposal() {
    let ends = [[0.0, 300.0, 700.0], [200.0, 300.0, 700.0]].map(|p| TubePoint::At(p.into()));
    let file = made(&read(CAR), &Edit::AddTube { proposal: None, tube: brace(ends.to_vec()) });
    assert_eq!(file.car().tubes, [brace(ends.to_vec())]);
    let put = |proposal, to| Edit::PutBend { proposal, tube: "brace".into(), bend: 2, to };
    let at = |z: f64| TubePoint::At(Vector3::new(200.0, 300.0, z));
    let line = "                move_bend(tube: \"brace\", bend: 2, to: (200, 300, 710)),\n";
    let file = gives(&file, &put(wide(), at(710.0)), END, &format!("{END}{line}"));
    let file = gives(&file, &put(wide(), at(715.0)), "to: (200, 300, 710)", "to: (200, 300, 715)");
    let on_rail = TubePoint::OnRail { rail: "upper rail".into(), at: OnRail::Station(700.0) };
    let file = gives(&file, &put(wide(), on_rail), "to: (200, 300, 715)", "to: (rail: \"upper rail\", station: 700)");
    let file = gives(&file, &put(None, at(705.0)), "(200, 300, 700)", "(200, 300, 705)");
    let gone = made(&file, &Edit::RemoveTube { proposal: wide(), tube: "brace".into() });
    assert!(gone.text().contains("remove(\"brace\")") && !gone.text().contains("move_bend("), "{}", gone.text());
    assert_eq!(gone.proposed("wide").expect("it can be").tubes, []);
    let none = made(&file, &Edit::RemoveTube { proposal: wide(), tube: "brace".into() });
    // With the proposal's changes gone, the tube as found can go too.
    let free = none.edit(&Edit::RemoveTube { proposal: None, tube: "brace".into() });
    assert!(
        free.unwrap_err().what().contains("there is no part `brace`"),
        "a proposal that takes it away still names it"
    );
    let lost = file.edit(&Edit::RemoveTube { proposal: None, tube: "brce".into() }).unwrap_err();
    assert!(lost.what().contains("there is no tube `brce` to take away"), "{lost}");
}

#[test]
fn a_route_is_taken_as_one_edit() {
    let changes = [
        "cut_rail(rail: \"upper rail\", from: 200, to: 412.5)",
        "add_node(name: \"bend\", mirror: true, at: (100, 500, 600))",
        "add_tube(name: \"brace\", mirror: true, od: 30, points: [(rail: \"upper rail\", cut: near), \"bend\"])",
    ];
    let edit = Edit::AddChanges { proposal: "wide".to_owned(), changes: changes.map(str::to_owned).to_vec() };
    let lines: String = changes.iter().map(|change| format!("                {change},\n")).collect();
    let file = gives(&read(CAR), &edit, END, &format!("{END}{lines}"));
    let car = file.proposed("wide").expect("it can be");
    assert!(car.rails[0].cuts.len() == 1 && car.nodes.iter().any(|n| n.name == "bend"));
    assert!(car.tubes.iter().any(|t| t.name == "brace"));
    // What cannot be built is not written, all or nothing.
    let wrong = vec![
        changes[1].to_owned(),
        "add_tube(name: \"brace\", mirror: true, od: 30, points: [\"bent\", \"bend\"])".to_owned(),
    ];
    let error = read(CAR).edit(&Edit::AddChanges { proposal: "wide".to_owned(), changes: wrong }).unwrap_err();
    assert!(error.what().contains("did you mean `bend`?"), "{error}");
    let nowhere = Edit::AddChanges { proposal: "wider".to_owned(), changes: changes.map(str::to_owned).to_vec() };
    assert!(read(CAR).edit(&nowhere).unwrap_err().what().contains("there is no proposal `wider`"));
}
