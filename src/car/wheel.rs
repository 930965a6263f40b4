//! Wheels and tyres: what the size code says, and what was measured over it.

use std::str::FromStr;

use serde::{Deserialize, Deserializer, Serialize};

use super::units::{self, INCH};

/// A wheel's rim and where its mounting face lies.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Wheel {
    /// Rim width between the flanges, mm.
    #[serde(deserialize_with = "units::length")]
    pub width: f64,
    /// Mounting face outboard of the rim's centre plane, mm (the ET number).
    #[serde(deserialize_with = "units::length")]
    pub offset: f64,
    /// Spacer between hub and wheel, mm.
    #[serde(default, deserialize_with = "units::length")]
    pub spacer: f64,
    /// From the bead seat in to the barrel's inner face, mm: what the brake and the joints have to clear.
    #[serde(default = "default_barrel", deserialize_with = "units::length")]
    pub barrel: f64,
    /// Thickness of centre and spokes outboard of the mounting face, mm.
    #[serde(default = "default_centre", deserialize_with = "units::length")]
    pub centre: f64,
}

/// Drop-centre wells are about this deep (common practice, no source).
fn default_barrel() -> f64 {
    20.0
}

/// Spokes and centre of an aluminium wheel (common practice, no source).
fn default_centre() -> f64 {
    40.0
}

/// A tyre's size code, such as `265/35R18`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Size {
    /// Nominal section width, mm.
    pub width: f64,
    /// Nominal aspect ratio, section height over section width.
    pub aspect: f64,
    /// Nominal rim diameter, mm.
    pub rim: f64,
}

impl FromStr for Size {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let bad = || format!("\"{text}\" is not a tyre size: write it as 265/35R18");
        let number = |word: &str| match word.parse::<f64>() {
            Ok(v) if v.is_finite() && v > 0.0 => Ok(v),
            _ => Err(bad()),
        };
        let code = text.trim().trim_start_matches(['P', 'p']).replace(' ', "").to_uppercase();
        let (width, rest) = code.split_once('/').ok_or_else(bad)?;
        let (aspect, rim) = rest.split_once(['R', '-']).ok_or_else(bad)?;
        let size = Self {
            width: number(width)?,
            aspect: number(aspect.trim_end_matches('Z'))? / 100.0,
            rim: number(rim)? * INCH,
        };
        let plausible = (80.0..=500.0).contains(&size.width)
            && (0.15..=1.2).contains(&size.aspect)
            && (200.0..=700.0).contains(&size.rim);
        if plausible { Ok(size) } else { Err(format!("no tyre is made as \"{text}\": check the numbers")) }
    }
}

impl<'de> Deserialize<'de> for Size {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        String::deserialize(d)?.parse().map_err(serde::de::Error::custom)
    }
}

impl Size {
    /// Overall diameter, mm: rim + two section heights (ETRTO Standards Manual, design dimensions).
    pub fn overall_diameter(&self) -> f64 {
        self.rim + 2.0 * self.aspect * self.width
    }

    /// Section width on a rim of `rim_width`, mm.
    ///
    /// The nominal width belongs to a theoretical rim of 0.7 (aspect 50 and up) or 0.85 (45 and below) of itself, and
    /// changes by 0.4 of the difference in rim width (ETRTO Standards Manual, from memory; ISO 4000-1 has the same).
    pub fn section_width(&self, rim_width: f64) -> f64 {
        let ratio = if self.aspect >= 0.475 { 0.70 } else { 0.85 };
        self.width + 0.4 * (rim_width - ratio * self.width)
    }
}

/// A tyre: its size code, and measured numbers, which override what the code says.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Tyre {
    /// The code on the sidewall.
    pub size: Size,
    /// Measured over the tread, unloaded, mm.
    #[serde(default, deserialize_with = "units::opt_length")]
    pub overall_diameter: Option<f64>,
    /// Measured over the sidewalls on this rim, mm.
    #[serde(default, deserialize_with = "units::opt_length")]
    pub section_width: Option<f64>,
    /// Measured across the flat of the tread, mm.
    #[serde(default, deserialize_with = "units::opt_length")]
    pub tread_width: Option<f64>,
    /// Radius between tread and sidewall, mm.
    #[serde(default, deserialize_with = "units::opt_length")]
    pub shoulder_radius: Option<f64>,
    /// Wheel centre over the ground with the car standing, mm.
    #[serde(default, deserialize_with = "units::opt_length")]
    pub loaded_radius: Option<f64>,
}

/// A tyre's dimensions as mounted, mm.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Mounted {
    /// Half the overall diameter.
    pub radius: f64,
    /// Over the sidewalls.
    pub section_width: f64,
    /// Across the flat of the tread.
    pub tread_width: f64,
    /// Between tread and sidewall.
    pub shoulder_radius: f64,
    /// Wheel centre over the ground.
    pub loaded_radius: f64,
    /// Bead seat radius of the rim.
    pub rim_radius: f64,
    /// Rim width between the flanges.
    pub rim_width: f64,
}

impl Tyre {
    /// Its dimensions on a wheel: the measured ones where given, else the size code's with these defaults (common
    /// practice, no source): tread 0.85 of the section, shoulder radius 0.8 of the overhang of the sidewall beyond the
    /// tread, loaded deflection 0.15 of the section height.
    pub fn mounted(&self, wheel: &Wheel) -> Mounted {
        let radius = self.overall_diameter.unwrap_or_else(|| self.size.overall_diameter()) / 2.0;
        let section_width = self.section_width.unwrap_or_else(|| self.size.section_width(wheel.width));
        let tread_width = self.tread_width.unwrap_or(0.85 * section_width);
        let shoulder_radius = self.shoulder_radius.unwrap_or(0.8 * (section_width - tread_width) / 2.0);
        let rim_radius = self.size.rim / 2.0;
        let loaded_radius = self.loaded_radius.unwrap_or(radius - 0.15 * (radius - rim_radius));
        Mounted {
            radius,
            section_width,
            tread_width,
            shoulder_radius,
            loaded_radius,
            rim_radius,
            rim_width: wheel.width,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// ETRTO Standards Manual, design dimensions on the measuring rim (from memory): size, rim in, diameter, width.
    #[test]
    fn sizes_agree_with_the_standard_tables() {
        for (code, rim, diameter, width) in
            [("205/55R16", 6.5, 632.0, 214.0), ("225/45R17", 7.5, 634.0, 225.0), ("265/35R18", 9.5, 643.0, 271.0)]
        {
            let size: Size = code.parse().unwrap();
            // The tables are rounded to whole millimetres.
            assert!((size.overall_diameter() - diameter).abs() <= 0.5 + 1e-9, "{code}: {}", size.overall_diameter());
            assert!(
                (size.section_width(rim * INCH) - width).abs() <= 0.5,
                "{code}: {}",
                size.section_width(rim * INCH)
            );
        }
    }

    #[test]
    fn a_wider_rim_widens_the_section_by_five_for_half_an_inch() {
        let size: Size = "265/35ZR18".parse().unwrap();
        let wider = size.section_width(10.0 * INCH) - size.section_width(9.5 * INCH);
        assert!((wider - 5.08).abs() < 1e-9);
    }

    #[test]
    fn what_is_no_size_is_refused() {
        for bad in ["", "265", "265/35", "265/35R", "R18", "265/35Q18", "1/1R1", "nan/35R18", "265/35R1e9"] {
            assert!(bad.parse::<Size>().is_err(), "{bad}");
        }
    }
}
