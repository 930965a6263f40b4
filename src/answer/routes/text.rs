//! A route as the car file writes it.

use super::MadeOf;
use crate::car::FileUnit;

/// The changes that make a route, each on its line, to stand last in a proposal's `changes`.
pub(super) fn changes(made: &MadeOf, unit: FileUnit) -> String {
    let plates =
        made.plates.iter().map(|(rail, plate)| format!("end_plate(rail: {rail:?}, {}),\n", plate.fields(unit)));
    let nodes = made.nodes.iter().map(|node| format!("add_node({}),\n", node.fields(unit)));
    let tubes = made.tubes.iter().map(|tube| format!("add_tube({}),\n", tube.fields(unit)));
    plates.chain(nodes).chain(tubes).collect()
}
