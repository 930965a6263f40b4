//! What suspension parts carry, against things that nobody in this project made.
//!
//! [`closed_forms`]: linkages whose forces go by hand; [`balance`]: what is true of any linkage, on all cars that are
//! here, in random poses under random loads: every part at rest, work as the kinematic core has it, mirror images
//! alike; [`reference`]: the same from another formulation (tests/reference/loads.py); [`cases`]: load cases and the
//! answer; [`holds`]: whether parts hold.

use nalgebra::Vector3;
use scribeline::car::{AxleName, Car, CarFile, Side};
use scribeline::motion::{CornerPose, Plane, RunningGear};
use scribeline::strength::forces::{Forces, Member, WheelLoad, forces};

mod balance;
mod cases;
mod closed_forms;
mod holds;
mod reference;

/// A car file of a folder of the repository.
fn car(path: &str) -> Car {
    let path = format!("{}/{path}.ron", env!("CARGO_MANIFEST_DIR"));
    CarFile::open(path.as_ref()).unwrap_or_else(|e| panic!("{path}: {e}")).car().clone()
}

/// A contact force and nothing else.
fn contact(x: f64, y: f64, z: f64) -> WheelLoad {
    WheelLoad { contact: Vector3::new(x, y, z), ..WheelLoad::default() }
}

/// A member by name and side.
fn member(forces: &Forces, part: &str, side: Option<Side>) -> Member {
    let found = forces.members.iter().find(|m| m.part == part && m.side == side);
    *found.unwrap_or_else(|| panic!("no {part} in {:?}", forces.members))
}
