//! Bolts across their axis: what a plain shank carries in shear.
//!
//! Threads in the plane of shear, bending of a bolt that is held on one side only, and the bearing of the eye or plate on
//! it are not looked at. N, mm, MPa.

use super::material::Material;

/// Classes of bolts: name, yield, ultimate in MPa, source.
pub(crate) const CLASSES: [(&str, f64, f64, &str); 5] = [
    ("8.8", 640.0, 800.0, "ISO 898-1, least proof stress, from memory"),
    ("10.9", 900.0, 1000.0, "ISO 898-1, nominal proof stress, from memory"),
    ("12.9", 1080.0, 1200.0, "ISO 898-1, nominal proof stress, from memory"),
    ("SAE 5", 634.0, 827.0, "SAE J429 grade 5, 92 and 120 ksi, from memory"),
    ("SAE 8", 896.0, 1034.0, "SAE J429 grade 8, 130 and 150 ksi, from memory"),
];

/// A class of bolts as a material: steel.
pub fn class(name: &str) -> Option<Material> {
    let (name, yield_strength, ultimate, source) =
        *CLASSES.iter().find(|row| row.0.eq_ignore_ascii_case(name.trim()))?;
    let (name, source) = (name.into(), source.into());
    Some(Material { name, modulus: 205_000.0, poisson: 0.29, density: 7850.0, yield_strength, ultimate, source })
}

/// The force across a bolt of this shank, mm, at which it yields, N: its area, once or twice, times yield over root 3
/// (distortion energy: Shigley, Mechanical Engineering Design, eq. 5-21; direct shear over the whole area, ch. 8; both from
/// memory).
pub fn shear(diameter: f64, yield_strength: f64, double: bool) -> f64 {
    let area = std::f64::consts::PI / 4.0 * diameter * diameter;
    if double { 2.0 * area * yield_strength / 3f64.sqrt() } else { area * yield_strength / 3f64.sqrt() }
}
