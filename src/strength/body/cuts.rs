//! What of the car file's words about cuts, notches, plates and nodes a frame takes.

use nalgebra::Vector3;

use super::metal;
use super::run::{sides, spoken};
use crate::car::{Car, EndPlate, Rail, Side};
use crate::space::RailRun;
use crate::strength::section::Section;

/// What cuts leave of a rail: from and to, stations in order, mm.
pub(super) fn left(rail: &Rail) -> Vec<[f64; 2]> {
    let [start, end] = rail.ends();
    let cuts = rail.cuts_in_order();
    let starts = std::iter::once(start).chain(cuts.iter().map(|c| c.to));
    let ends = cuts.iter().map(|c| c.from).chain([end]);
    starts.zip(ends).map(|(a, b)| [a, b]).filter(|[a, b]| b - a > super::run::SAME).collect()
}

/// Stretches of a box rail that are notched, from and to, mm, and the section that is left there. `side`: of the rail.
pub(super) fn notches(rail: &Rail, run: &RailRun) -> Vec<([f64; 2], Section)> {
    if run.radius.is_some() {
        return Vec::new();
    }
    let one = |notch: &crate::car::RailNotch| {
        let (along, up, out) = run.frame_of(run.at_station((notch.from + notch.to) / 2.0).0);
        // A section's own y points to the left of the run, as its z points up.
        let outer_is_left = out.dot(&up.cross(&along)) > 0.0;
        ([notch.from, notch.to], metal::notched(rail, notch, outer_is_left))
    };
    rail.notches.iter().map(one).collect()
}

/// A named place on one side.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Named {
    pub base: String,
    pub side: Option<Side>,
    pub at: Vector3<f64>,
    /// What it is welded to, by its name in the car file, and the side of that.
    pub on: Option<(String, Option<Side>)>,
    pub held: bool,
}

/// The named places of a car.
pub(super) fn named(car: &Car) -> Vec<Named> {
    let both = |node: &crate::car::Node| {
        let one = |side: Option<Side>| Named {
            base: node.name.clone(),
            side,
            at: side.unwrap_or(Side::Left).mirror(node.at),
            on: on(car, node, side),
            held: node.held,
        };
        sides(node.mirror).into_iter().map(one).collect::<Vec<_>>()
    };
    car.nodes.iter().flat_map(both).collect()
}

fn on(car: &Car, node: &crate::car::Node, side: Option<Side>) -> Option<(String, Option<Side>)> {
    let said = node.on.as_ref()?;
    // What is not there is told of when it is looked for.
    let Ok(Some((base, own))) = car.node_on(node) else { return Some((said.clone(), None)) };
    let mirrored = |own: Side| match (side, own) {
        (Some(Side::Right), Side::Left) => Side::Right,
        (Some(Side::Right), Side::Right) => Side::Left,
        (_, own) => own,
    };
    Some((base.to_owned(), own.map(mirrored)))
}

/// Rails that run along the car, whatever is cut out of them, and that no held place is on: by name and side.
pub(super) fn held_at_datum(car: &Car) -> Vec<(String, Option<Side>)> {
    let named = named(car);
    let along = |rail: &&Rail| {
        let way = rail.centreline[rail.centreline.len() - 1] - rail.centreline[0];
        way.x.abs() >= way.y.abs().max(way.z.abs())
    };
    let both = |rail: &Rail| sides(rail.mirror).into_iter().map(|side| (rail.name.clone(), side)).collect::<Vec<_>>();
    let all = car.rails.iter().filter(along).flat_map(both);
    // Where the user says how a rail is held, it is held so.
    all.filter(|rail| !named.iter().any(|n| n.held && n.on.as_ref() == Some(rail))).collect()
}

/// Two sides and thickness of an end plate, mm, and its mass, kg, of the rail's own metal. Of a mitred end they are those of a
/// square one.
pub fn plate(car: &Car, rail: &Rail, plate: &EndPlate) -> ([f64; 3], f64) {
    let [width, height] = rail.size().map(|mm| mm + 2.0 * plate.over);
    let (material, _) = metal::metal(car, rail.grade.as_deref());
    ([width, height, plate.thickness], material.mass(width * height * plate.thickness))
}

/// End plates: what each is on, and its mass, kg.
pub(super) fn plates(car: &Car) -> Vec<(String, f64)> {
    let mut all = Vec::new();
    for rail in &car.rails {
        for side in sides(rail.mirror) {
            for welded in &rail.plates {
                let name = format!("{}, {} end plate", spoken(&rail.name, side), welded.cut.word());
                all.push((name, plate(car, rail, welded).1));
            }
        }
    }
    all
}
