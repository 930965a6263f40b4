//! What is left of a rail's section where something is sawn out of it.

use serde::Serialize;

use crate::car::{Car, Rail, RailFace, Section as RailSection};
use crate::strength::material::Material;
use crate::strength::{Face, Notch, Properties, Section, SectionError};

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
    /// kg/m³.
    pub density: f64,
    /// The grade that it is taken from.
    pub grade: String,
}

/// Steel, kg/m³, as `strength::material` has it.
const STEEL: f64 = 7850.0;

impl Metal {
    pub fn of(car: &Car, rail: &Rail) -> Self {
        let found: Option<Material> = rail.grade.as_ref().and_then(|grade| car.material(grade));
        found.map_or_else(
            || Self { density: STEEL, grade: "steel, as the rail has no grade".to_owned() },
            |material| Self { density: material.density, grade: material.name.into_owned() },
        )
    }

    /// Mass of so many cubic millimetres, kg.
    pub fn mass(&self, volume: f64) -> f64 {
        self.density * volume * 1e-9
    }
}

/// A rail's section as statics takes it.
pub(super) fn whole(rail: &Rail) -> Section {
    match rail.section {
        RailSection::Box { width, height } => Section::Box { width, height, wall: rail.wall, radius: 0.0 },
        RailSection::Round { od } => Section::Tube { diameter: od, wall: rail.wall },
    }
}

/// What a notch leaves of it. Outer is left: of a right-hand rail all is the other way round, and as much.
pub(super) fn notched(rail: &Rail, face: RailFace, depth: f64) -> Section {
    let [width, height] = rail.size();
    let face = match face {
        RailFace::Top => Face::Top,
        RailFace::Inner => Face::Right,
        RailFace::Bottom => Face::Bottom,
        RailFace::Outer => Face::Left,
    };
    Section::Notched { width, height, wall: rail.wall, notch: Notch { face, depth, across: None } }
}

/// Shares that a notch leaves over a stretch, and the area that it takes, mm².
///
/// # Errors
/// Where it leaves nothing that holds.
pub(super) fn behind_notch(
    rail: &Rail,
    face: RailFace,
    depth: f64,
    [from_mm, to_mm]: [f64; 2],
) -> Result<(Remains, f64), SectionError> {
    let (all, left) = (whole(rail).properties()?, notched(rail, face, depth).properties()?);
    let share = |of: fn(&Properties) -> f64| of(&left) / of(&all);
    let remains = Remains {
        from_mm,
        to_mm,
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
    whole(rail).properties().map_or(0.0, |p| p.area)
}
