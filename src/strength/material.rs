//! What members are made of: the few numbers that statics needs, and the grades that shops buy.
//!
//! A row of [`grades`] says beside its numbers where they were read. Strengths are the least that the standard or the
//! seller promises, where one promises; metal on the rack is mostly better, and metal beside a weld can be worse.

use std::borrow::Cow;

use serde::{Deserialize, Serialize};

/// A material, as far as statics is concerned. Isotropic, linear up to yield.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Material {
    /// What the shop calls it.
    pub name: Cow<'static, str>,
    /// Modulus of elasticity E, MPa.
    pub modulus: f64,
    /// Poisson's ratio, bare number.
    pub poisson: f64,
    /// Density, kg/m³, as tables have it.
    pub density: f64,
    /// Yield strength, or 0.2 % proof stress, MPa.
    pub yield_strength: f64,
    /// Ultimate tensile strength, MPa.
    pub ultimate: f64,
    /// Where the numbers were read; a car file's own row may leave it out.
    #[serde(default)]
    pub source: Cow<'static, str>,
}

impl Material {
    /// Shear modulus G = E / 2(1 + nu), MPa: what isotropy implies (Timoshenko & Goodier, Theory of Elasticity, art. 6, from
    /// memory).
    pub fn shear_modulus(&self) -> f64 {
        self.modulus / (2.0 * (1.0 + self.poisson))
    }

    /// Mass of a volume in mm³, kg.
    pub fn mass(&self, volume: f64) -> f64 {
        self.density * volume * 1e-9
    }

    /// What is absurd about it, in words; none where it can be calculated with.
    pub fn fault(&self) -> Option<String> {
        let positive = |what: &str, v: f64, most: f64| {
            let fine = v > 0.0 && v <= most;
            (!fine).then(|| format!("the material \"{}\" has {what} {v}: give one above 0 and up to {most}", self.name))
        };
        positive("a modulus of elasticity in MPa of", self.modulus, 1e6)
            .or_else(|| positive("a density in kg/m³ of", self.density, 3e4))
            .or_else(|| positive("a yield strength in MPa of", self.yield_strength, 1e4))
            .or_else(|| positive("an ultimate strength in MPa of", self.ultimate, 1e4))
            .or_else(|| {
                let fine = (0.0..0.5).contains(&self.poisson);
                (!fine).then(|| {
                    format!(
                        "the material \"{}\" has a Poisson's ratio of {}: metals have 0.2 to 0.4",
                        self.name, self.poisson
                    )
                })
            })
    }
}

/// A row of the table.
const fn row(name: &'static str, elastic: [f64; 3], strength: [f64; 2], source: &'static str) -> Material {
    let ([modulus, poisson, density], [yield_strength, ultimate]) = (elastic, strength);
    let (name, source) = (Cow::Borrowed(name), Cow::Borrowed(source));
    Material { name, modulus, poisson, density, yield_strength, ultimate, source }
}

/// E, Poisson's ratio and density of carbon and low-alloy steel: 205 GPa and 0.29 (ASM data sheet of AISI 4130, "typical
/// for steel"), 7850 kg/m³ (the same).
const STEEL: [f64; 3] = [205_000.0, 0.29, 7850.0];
/// The same as European structural design has it: 210 GPa, 0.3, 7850 kg/m³ (EN 1993-1-1, 3.2.6, from memory).
const EN_STEEL: [f64; 3] = [210_000.0, 0.3, 7850.0];

/// Grades that shops buy.
static GRADES: [Material; 14] = [
    row(
        "1020 CREW",
        STEEL,
        [262.0, 359.0],
        "ASTM A513 type 2 (cold-rolled, as welded), 38 and 52 ksi least: Boyer Steel's sheet of A513 T2",
    ),
    row(
        "1020 DOM",
        STEEL,
        [414.0, 483.0],
        "ASTM A513 type 5, 60 and 70 ksi: Team Tube's DOM sheet; stress-relieved it is only 379 and 448 (Boyer Steel)",
    ),
    row("1026 DOM", STEEL, [517.0, 586.0], "ASTM A513 type 5, 75 and 85 ksi: Team Tube's DOM sheet"),
    row("4130 normalised", STEEL, [435.0, 670.0], "ASM data sheet \"AISI 4130, normalized at 870 °C\" (MatWeb M4130R)"),
    row("E235+N", EN_STEEL, [235.0, 340.0], "EN 10305-1, as sellers print it (Mistal, Sunny Steel)"),
    row("E235+SR", EN_STEEL, [350.0, 420.0], "EN 10305-1, as a seller prints it (Mistal)"),
    row("E355+N", EN_STEEL, [355.0, 490.0], "EN 10305-1, as sellers print it (Mistal, Sunny Steel)"),
    row("E355+SR", EN_STEEL, [450.0, 580.0], "EN 10305-1, as a seller prints it (Mistal)"),
    row("S235", EN_STEEL, [235.0, 360.0], "EN 10025-2, table 7, up to 16 mm thick (readle.co.uk)"),
    row("S355", EN_STEEL, [355.0, 470.0], "EN 10025-2, table 7, up to 16 mm thick (readle.co.uk)"),
    row(
        "body rail, mild",
        EN_STEEL,
        [140.0, 270.0],
        "from memory: DC04 of EN 10130, least usual yield; what a rail of an older shell is pressed from, if not known",
    ),
    row(
        "body rail, HSLA 300",
        EN_STEEL,
        [300.0, 380.0],
        "EN 10346 / VDA 239-100 CR HSLA300, 300 to 380 yield, 380 to 480 ultimate: Tata Steel's sheet",
    ),
    row(
        "6061-T6",
        [68_900.0, 0.33, 2700.0],
        [276.0, 310.0],
        "from memory: ASM typical values; makeitfrom.com rounds them to 270 and 310; a weld leaves about half",
    ),
    row(
        "7075-T6",
        [71_700.0, 0.33, 2810.0],
        [503.0, 572.0],
        "substech.com, 503 and 572 MPa, 2810 kg/m³; modulus from memory (it has 72 GPa); not to be welded",
    ),
];

/// The grades that shops buy. Never less than the promise for a tube as delivered; a weld's own zone is the user's to judge.
pub fn grades() -> &'static [Material] {
    &GRADES
}

/// The grade of that name, whatever its capitals; none where the table has no such row.
pub fn grade(name: &str) -> Option<&'static Material> {
    GRADES.iter().find(|row| row.name.eq_ignore_ascii_case(name.trim()))
}
