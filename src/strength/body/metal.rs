//! A rail of the car file as metal: its section whole and notched, and what it is made of.

use crate::car::{Car, Rail, RailFace, RailNotch, Section as RailSection};
use crate::strength::material::{self, Material};
use crate::strength::notch::{Face, Notch};
use crate::strength::section::Section;

/// Of metal whose grade is not named only what all steels have alike is used, stiffness and weight.
const UNNAMED: &str = "body rail, mild";

/// A grade of the car's and its name; where none is named, or the car knows none of that name, steel without one.
pub fn metal(car: &Car, grade: Option<&str>) -> (Material, Option<String>) {
    match grade.and_then(|name| car.material(name)) {
        Some(metal) => {
            let name = metal.name.to_string();
            (metal, Some(name))
        }
        None => (material::grade(UNNAMED).cloned().unwrap_or_else(|| material::grades()[0].clone()), None),
    }
}

/// A rail's section before anything is cut out of it.
pub fn whole(rail: &Rail) -> Section {
    match rail.section {
        RailSection::Box { width, height } => Section::Box { width, height, wall: rail.wall, radius: 0.0 },
        RailSection::Round { od } => Section::Tube { diameter: od, wall: rail.wall },
    }
}

/// What a notch leaves of it, seen along the rail, where its outer face lies to the left or to the right.
pub fn notched(rail: &Rail, notch: &RailNotch, outer_is_left: bool) -> Section {
    let face = match notch.face {
        RailFace::Top => Face::Top,
        RailFace::Bottom => Face::Bottom,
        RailFace::Outer if outer_is_left => Face::Left,
        RailFace::Inner if !outer_is_left => Face::Left,
        RailFace::Outer | RailFace::Inner => Face::Right,
    };
    let [width, height] = rail.size();
    Section::Notched { width, height, wall: rail.wall, notch: Notch { face, depth: notch.depth, across: None } }
}
