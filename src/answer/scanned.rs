//! What a mesh file holds, before it is laid on a car.

use std::path::Path;

use serde::Serialize;

use super::words::Told;
use crate::car::{FileUnit, Shown, scan::unit_of};
use crate::scan::{self, Fault, Report};

/// A mesh file, read.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ScannedMesh {
    /// Unit of its coordinates, as it was taken.
    pub unit: FileUnit,
    /// Extent in x, y and z of its own frame.
    pub size_mm: [f64; 3],
    /// What was dropped, and what is odd about the rest. Coordinates are in the file's unit.
    #[serde(flatten)]
    pub report: Report,
    /// The check line for the car file.
    pub check: String,
}

impl ScannedMesh {
    /// Reads a mesh file, its coordinates taken in `unit`.
    ///
    /// # Errors
    /// It is missing or cannot be read, and where.
    pub fn open(path: &Path, unit: Option<FileUnit>) -> Result<Self, Fault> {
        let bytes = scan::load(path)?;
        let report = scan::read(path, &bytes)?.report;
        let unit = unit.unwrap_or_else(|| unit_of(&path.to_string_lossy()));
        let size_mm = [0, 1, 2].map(|k| (report.around[1][k] - report.around[0][k]) * unit.in_mm());
        Ok(Self { unit, size_mm, report, check: scan::check_line(&bytes) })
    }

    /// The holes: every rim but the skin's own.
    pub fn told_rims(&self) -> String {
        match self.report.rims {
            0 => "none: the mesh is closed".to_owned(),
            1 => format!("{} in one rim: an open skin without a hole, or one hole", self.report.open_edges),
            n => format!(
                "{} in {n} rims: an open skin has one round its outside, and one round each hole",
                self.report.open_edges
            ),
        }
    }
}

impl Told for ScannedMesh {
    fn sentence(&self, shown: Shown) -> String {
        let [x, y, z] = self.size_mm.map(|mm| shown.cell(mm));
        let triangles = self.report.triangles;
        format!(
            "{triangles} triangles, {x} x {y} x {z} {} in its own x, y and z, read in {}.",
            shown.sign(),
            self.unit.sign()
        )
    }
}
