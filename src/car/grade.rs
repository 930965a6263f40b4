//! What parts are made of and how joints are rated, where a car file says it.

use serde::Deserialize;

use super::{Car, units};
use crate::strength::material::{self, Material};

/// A grade of metal of the car file's own, from a mill sheet or a test.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Grade {
    /// What the shop calls it.
    pub name: String,
    /// Modulus of elasticity, MPa.
    pub modulus: f64,
    /// Poisson's ratio, bare number.
    pub poisson: f64,
    /// Density, kg/m³.
    pub density: f64,
    /// Yield strength, or 0.2 % proof stress, MPa.
    #[serde(rename = "yield")]
    pub yield_strength: f64,
    /// Ultimate tensile strength, MPa.
    pub ultimate: f64,
    /// Where the numbers were read.
    #[serde(default)]
    pub source: String,
}

impl Grade {
    /// As statics takes it.
    pub fn material(&self) -> Material {
        let source = if self.source.is_empty() { "the car file's own row, no source given" } else { &self.source };
        Material {
            name: self.name.clone().into(),
            modulus: self.modulus,
            poisson: self.poisson,
            density: self.density,
            yield_strength: self.yield_strength,
            ultimate: self.ultimate,
            source: source.to_owned().into(),
        }
    }
}

/// What a rod end or a ball joint is rated for by its maker.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Rated {
    /// Static load square to the bolt or stud, N.
    #[serde(deserialize_with = "units::force")]
    pub static_radial: f64,
}

/// The bolt through a rod end's eye.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Bolt {
    /// Of its plain shank, mm.
    #[serde(deserialize_with = "units::length")]
    pub diameter: f64,
    /// Its class, `"8.8"`, or a grade of metal.
    #[serde(default)]
    pub grade: Option<String>,
    /// Whether a clevis holds it on both sides of the eye.
    #[serde(default)]
    pub double_shear: bool,
}

/// The usual factor on yield: common practice, no source.
pub(super) fn usual_factor() -> f64 {
    1.5
}

impl Car {
    /// A grade of metal by name, whatever its capitals: the car file's own row before the table's.
    pub fn material(&self, name: &str) -> Option<Material> {
        let own = self.grades.iter().find(|row| row.name.eq_ignore_ascii_case(name.trim()));
        own.map(Grade::material).or_else(|| material::grade(name).cloned())
    }

    /// A bolt's metal: a class of bolts, or any grade.
    pub fn bolt_material(&self, name: &str) -> Option<Material> {
        self.material(name).or_else(|| crate::strength::bolt::class(name))
    }
}
