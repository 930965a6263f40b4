//! Scanned bodywork: a mesh in a file of its own, and how it is laid on the car.
//!
//! The car file names the mesh and says where it belongs; the mesh is read where a car is set up to be asked
//! ([`crate::space::Scans`]).

use nalgebra::Vector3;
use serde::Deserialize;

use super::units::{self, FileUnit};

/// What a scan is measured as.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ScannedAs {
    /// Bodywork.
    Panel,
    /// A rail: measured to the ground too. It has no stations, so nothing is marked on it.
    Rail,
}

/// A point picked on the scan, and where the same point is on the car.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Picked {
    /// On the scan, in the scan's own unit and frame.
    pub scan: [f64; 3],
    /// On the car, mm.
    #[serde(deserialize_with = "units::point")]
    pub car: Vector3<f64>,
}

/// A box along the car's axes: what lies outside it is left out.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Trim {
    /// One corner, mm.
    #[serde(deserialize_with = "units::point")]
    pub from: Vector3<f64>,
    /// The corner opposite, mm.
    #[serde(deserialize_with = "units::point")]
    pub to: Vector3<f64>,
}

/// A scanned part: a skin without thickness.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Scan {
    /// What the shop calls it.
    pub name: String,
    /// Mesh file, from the car file's folder.
    pub file: String,
    /// Unit of the mesh's coordinates; without one metres for glTF, as that format says itself, and mm for the others.
    #[serde(default)]
    pub unit: Option<FileUnit>,
    /// What it is measured as.
    #[serde(rename = "as")]
    pub kind: ScannedAs,
    /// Scanned on the left and mirrored to the right.
    #[serde(default)]
    pub mirror: bool,
    /// Three or more picked points; none where the scan is in the car's coordinates already.
    #[serde(default)]
    pub place: Vec<Picked>,
    /// What is kept of it.
    #[serde(default)]
    pub trim: Option<Trim>,
    /// What the file held when it was laid on the car, as `scribeline scan` prints it: `sha256:...`.
    #[serde(default)]
    pub check: Option<String>,
    /// How far a proposal moves it, mm, after it is placed and trimmed.
    #[serde(skip)]
    pub moved: Vector3<f64>,
}

impl Scan {
    /// Unit of the mesh's coordinates.
    pub fn unit(&self) -> FileUnit {
        self.unit.unwrap_or(unit_of(&self.file))
    }

    /// The picked points, [on the scan, on the car], mm.
    pub fn pairs(&self) -> Vec<[Vector3<f64>; 2]> {
        let scale = self.unit().in_mm();
        self.place.iter().map(|p| [Vector3::from(p.scan) * scale, p.car]).collect()
    }
}

/// What the coordinates of a mesh file of this name are in, where nobody says: glTF is metres by its own words.
pub fn unit_of(file: &str) -> FileUnit {
    let lower = file.to_lowercase();
    if lower.ends_with(".glb") || lower.ends_with(".gltf") { FileUnit::M } else { FileUnit::Mm }
}
