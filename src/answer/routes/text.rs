//! A route as the car file writes it.

use super::MadeOf;
use crate::car::{FileUnit, OnRail, TubePoint};

/// The changes that make a route, each on its line, to stand last in a proposal's `changes`.
pub(super) fn changes(made: &MadeOf, unit: FileUnit) -> String {
    let mm = |v: f64| unit.number(v);
    let place = |at: &nalgebra::Vector3<f64>| format!("({}, {}, {})", mm(at.x), mm(at.y), mm(at.z));
    let mirror = |is: bool| if is { ", mirror: true" } else { "" };
    let mut text = String::new();
    for (rail, plate) in &made.plates {
        let nth = plate.nth.map(|n| format!(", nth: {n}")).unwrap_or_default();
        let cut = plate.cut.word();
        text += &format!("end_plate(rail: {rail:?}, cut: {cut}{nth}, thickness: {}),\n", mm(plate.thickness));
    }
    for node in &made.nodes {
        text += &format!("add_node(name: {:?}{}, at: {}),\n", node.name, mirror(node.mirror), place(&node.at));
    }
    for tube in &made.tubes {
        let point = |p: &TubePoint| match p {
            TubePoint::At(at) => place(at),
            TubePoint::Node(name) => format!("{name:?}"),
            TubePoint::OnRail { rail, at: OnRail::Station(s) } => format!("(rail: {rail:?}, station: {})", mm(*s)),
            TubePoint::OnRail { rail, at: OnRail::Cut(end, nth) } => {
                let nth = nth.map(|n| format!(", nth: {n}")).unwrap_or_default();
                format!("(rail: {rail:?}, cut: {}{nth})", end.word())
            }
        };
        let points: Vec<String> = tube.points.iter().map(point).collect();
        let wall = tube.wall.map(|w| format!(", wall: {}", mm(w))).unwrap_or_default();
        let grade = tube.grade.as_ref().map(|g| format!(", grade: {g:?}")).unwrap_or_default();
        text += &format!(
            "add_tube(name: {:?}{}, od: {}{wall}{grade}, points: [{}]),\n",
            tube.name,
            mirror(tube.mirror),
            mm(tube.od),
            points.join(", ")
        );
    }
    text
}
