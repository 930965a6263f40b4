//! What a mesh file holds, before it is laid on a car.

use std::path::Path;

use serde::Serialize;

use super::words::Told;
use crate::car::Car;
use crate::car::{FileUnit, Shown, scan::unit_of};
use crate::scan::{self, Fault, Report};
use crate::space::Scans;

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

impl ScannedMesh {
    /// The longest rims, each in a line: `812.4 mm around, its middle at (10.0, 592.1, 340.0)`; nothing of a closed mesh.
    pub fn longest_rims(&self, shown: Shown) -> Vec<String> {
        let scale = self.unit.in_mm();
        let told = self.report.longest_rims.iter().map(|rim| {
            let middle = rim.middle.map(|v| shown.cell(v * scale)).join(", ");
            format!("{} around, its middle at ({middle})", shown.length(rim.around * scale))
        });
        let more = self.report.rims.saturating_sub(self.report.longest_rims.len());
        told.chain((more > 0).then(|| format!("and {more} shorter ones"))).collect()
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

/// How the scans of a car lie on it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LaidScans {
    /// Each of them.
    pub scans: Vec<LaidScan>,
    /// What is odd: a file that changed, points that do not fit.
    pub notes: Vec<String>,
}

/// How a scan lies on a car.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LaidScan {
    /// Its name in the car file.
    pub name: String,
    /// Its mesh file.
    pub file: String,
    /// Triangles of it that are measured: of one side, trimmed.
    pub triangles: usize,
    /// The picked points; none where it lies in the car's own coordinates.
    pub points: Vec<LaidPoint>,
    /// Root of the mean square of what the points lie off.
    pub rms_mm: Option<f64>,
}

/// A picked point.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct LaidPoint {
    /// On the scan, in its own unit and frame.
    pub scan: [f64; 3],
    /// Where it was measured on the car.
    pub car_mm: [f64; 3],
    /// How far off that the scan has it.
    pub off_mm: f64,
}

impl LaidScans {
    /// Of a car and its scans, as read.
    pub fn new(car: &Car, scans: &Scans) -> Self {
        let laid = car.scans.iter().filter_map(|scan| {
            let placed = scans.get(&scan.name)?;
            let triangles = placed.solid.skin.as_ref().map_or(0, |skin| skin.triangles.len());
            let point = |(p, off): (&crate::car::Picked, &f64)| LaidPoint {
                scan: p.scan,
                car_mm: super::words::point(p.car),
                off_mm: *off,
            };
            let points = scan.place.iter().zip(&placed.placing.off).map(point).collect();
            let (name, file) = (scan.name.clone(), scan.file.clone());
            Some(LaidScan { name, file, triangles, points, rms_mm: placed.placing.rms() })
        });
        Self { scans: laid.collect(), notes: scans.notes() }
    }
}

impl LaidScan {
    /// In a sentence.
    pub fn told(&self, shown: Shown) -> String {
        let Self { name, triangles, .. } = self;
        let off = self.points.iter().map(|p| p.off_mm).fold(0.0, f64::max);
        match self.rms_mm {
            Some(rms) => format!(
                "The {name} lies on {} picked points, {triangles} triangles: they are off by up to {}, root mean square {}.",
                self.points.len(),
                shown.length(off),
                shown.length(rms)
            ),
            None => format!(
                "The {name} lies where its own coordinates put it, {triangles} triangles: no points are picked."
            ),
        }
    }
}

impl Told for LaidScans {
    fn sentence(&self, shown: Shown) -> String {
        let told: Vec<String> = self.scans.iter().map(|scan| scan.told(shown)).collect();
        if told.is_empty() { "This car has no scans.".to_owned() } else { told.join(" ") }
    }
}
