//! What is left of a rail's section where something is sawn out of it.

use serde::Serialize;

use crate::car::{Car, Rail, RailNotch};
use crate::strength::{Material, Properties, SectionError, body};

/// What is left of the section over a stretch, as shares of the whole one; nothing where the rail is gone.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Remains {
    /// Station where the stretch starts.
    pub from_mm: f64,
    /// Station where it ends.
    pub to_mm: f64,
    /// Of the area: pulled or pushed along.
    pub area: f64,
    /// Of the second moment in bending up and down.
    pub upright: f64,
    /// Of the second moment in bending to the sides.
    pub sideways: f64,
    /// Of the torsion constant, free to warp: a short notch holds more.
    pub torsion: f64,
}

/// What a rail is made of, for masses.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Metal {
    /// Steel where the rail has no grade.
    material: Material,
    /// The grade that it is taken from.
    pub grade: String,
}

impl Metal {
    pub fn of(car: &Car, rail: &Rail) -> Self {
        let (material, grade) = body::metal(car, rail.grade.as_deref());
        Self { material, grade: grade.unwrap_or_else(|| "steel, as the rail has no grade".to_owned()) }
    }

    /// Mass of so many cubic millimetres, kg.
    pub fn mass(&self, volume: f64) -> f64 {
        self.material.mass(volume)
    }
}

/// Shares that a notch leaves over its stretch, and the area that it takes, mm².
///
/// # Errors
/// Where it leaves nothing that holds.
pub(super) fn behind_notch(rail: &Rail, notch: &RailNotch) -> Result<(Remains, f64), SectionError> {
    // Of a rail whose outer face lies to its right all is the other way round, and as much.
    let (all, left) = (body::whole(rail).properties()?, body::notched(rail, notch, true).properties()?);
    let share = |of: fn(&Properties) -> f64| of(&left) / of(&all);
    let remains = Remains {
        from_mm: notch.from,
        to_mm: notch.to,
        area: share(|p| p.area),
        upright: share(|p| p.iy),
        sideways: share(|p| p.iz),
        torsion: share(|p| p.torsion),
    };
    Ok((remains, all.area - left.area))
}

/// Nothing is left over a stretch.
pub(super) fn gone([from_mm, to_mm]: [f64; 2]) -> Remains {
    Remains { from_mm, to_mm, area: 0.0, upright: 0.0, sideways: 0.0, torsion: 0.0 }
}

/// Area of the whole section, mm².
pub(super) fn area(rail: &Rail) -> f64 {
    body::whole(rail).properties().map_or(0.0, |p| p.area)
}
