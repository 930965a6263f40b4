//! Tyres: what the size code says, what was measured over it, and what a tyre does at speed and under load.

use std::fmt;
use std::str::FromStr;

use serde::de::{self, IntoDeserializer, Visitor};
use serde::{Deserialize, Deserializer, Serialize};

use super::amounts;
pub use super::rim::{Drilling, Spokes, Wheel};
use super::units::{self, INCH};

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

    /// Narrowest and widest rim that the size is commonly fitted to, mm: 0.65 to 0.95 of the nominal width, or 0.78 to
    /// 1.01 of aspect 45 and below. Common practice, no source: the tyre maker's table of approved rims has the word.
    pub fn usual_rims(&self) -> [f64; 2] {
        let shares = if self.aspect >= 0.475 { [0.65, 0.95] } else { [0.78, 1.01] };
        shares.map(|share| share * self.width)
    }

    /// As it stands on a sidewall: `265/35R18`.
    pub fn code(&self) -> String {
        let round = |v: f64| (v * 100.0).round() / 100.0;
        format!("{}/{}R{}", round(self.width), round(self.aspect * 100.0), round(self.rim / INCH))
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
    /// What the tread goes out by at the car's top speed. Nothing where it is left out, which suits a radial road tyre;
    /// a crossply slick grows by 1 to 3 % (common practice, no source).
    #[serde(default)]
    pub growth: Growth,
    /// How far the section leans over sideways under cornering load, each way, mm. Nothing where it is left out; some 5
    /// to 15 mm is common (common practice, no source).
    #[serde(default, deserialize_with = "units::length")]
    pub lean: f64,
    /// Force for each millimetre that it is pressed by the ground, at the pressure that it is run at, N/mm; an assumed one
    /// where it is left out, see [`crate::answer::ride`].
    #[serde(default, deserialize_with = "amounts::opt_rate")]
    pub rate: Option<f64>,
}

/// What a tyre's radius grows by with speed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Growth {
    /// mm.
    Length(f64),
    /// A share of the free radius.
    Share(f64),
}

impl Default for Growth {
    fn default() -> Self {
        Self::Length(0.0)
    }
}

impl Growth {
    /// Of a tyre of this free radius, mm.
    pub fn of(self, radius: f64) -> f64 {
        match self {
            Self::Length(mm) => mm,
            Self::Share(share) => share * radius,
        }
    }
}

impl<'de> Deserialize<'de> for Growth {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        struct Reader;

        impl Visitor<'_> for Reader {
            type Value = Growth;

            fn expecting(&self, f: &mut fmt::Formatter) -> fmt::Result {
                f.write_str("a length or a share of the radius, such as 6 or \"2 %\"")
            }

            fn visit_f64<E: de::Error>(self, v: f64) -> Result<Growth, E> {
                units::length(v.into_deserializer()).map(Growth::Length)
            }

            fn visit_i64<E: de::Error>(self, v: i64) -> Result<Growth, E> {
                self.visit_f64(v as f64)
            }

            fn visit_u64<E: de::Error>(self, v: u64) -> Result<Growth, E> {
                self.visit_f64(v as f64)
            }

            fn visit_str<E: de::Error>(self, text: &str) -> Result<Growth, E> {
                let Some(number) = text.trim().strip_suffix('%') else {
                    return units::parse_length(text).map(Growth::Length).map_err(E::custom);
                };
                match number.trim().parse::<f64>() {
                    Ok(v) if v.is_finite() => Ok(Growth::Share(v / 100.0)),
                    _ => Err(E::custom(format!("\"{text}\" is not a growth: write \"2 %\", or a length"))),
                }
            }
        }

        d.deserialize_any(Reader)
    }
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
    /// The tread goes out by this at speed.
    pub growth: f64,
    /// The section leans over by this, each way.
    pub lean: f64,
}

/// Rolling circumference over free diameter of a radial tyre (ETRTO Standards Manual, from memory: 3.05 D; that is 0.971
/// of the free circumference).
const ROLLS: f64 = 3.05;

impl Mounted {
    /// Turns of the wheel for a kilometre, slowly and without slip.
    pub fn turns_per_km(&self) -> f64 {
        1e6 / (ROLLS * 2.0 * self.radius)
    }
}

impl Tyre {
    /// A tyre of which no more is known than its size.
    pub fn new(size: Size) -> Self {
        Self {
            size,
            overall_diameter: None,
            section_width: None,
            tread_width: None,
            shoulder_radius: None,
            loaded_radius: None,
            growth: Growth::default(),
            lean: 0.0,
            rate: None,
        }
    }

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
            growth: self.growth.of(radius),
            lean: self.lean,
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

    /// Approved rims, in (ETRTO Standards Manual, from memory). The common practice is no narrower than the table, and
    /// an inch and a half beyond either end is out.
    #[test]
    fn the_usual_rims_hold_those_of_the_standard_tables() {
        for (code, from, to) in [
            ("175/70R13", 4.5, 6.0),
            ("195/65R15", 5.5, 7.0),
            ("205/55R16", 5.5, 7.5),
            ("225/45R17", 7.0, 8.5),
            ("245/40R18", 8.0, 9.5),
            ("265/35R18", 9.0, 10.5),
        ] {
            let [narrowest, widest] = code.parse::<Size>().unwrap().usual_rims().map(|mm| mm / INCH);
            assert!(narrowest <= from && to <= widest, "{code}: {narrowest} to {widest}");
            assert!(narrowest > from - 1.5 && to + 1.5 > widest, "{code}: {narrowest} to {widest}");
        }
    }

    /// Tyre makers' tables, from memory: 195/65R15 turns about 517 times a kilometre, 205/55R16 about 519; within 1 %.
    #[test]
    fn turns_per_kilometre_agree_with_makers_tables() {
        for (code, rim, turns) in [("195/65R15", 6.0, 517.0), ("205/55R16", 6.5, 519.0)] {
            let tyre = Tyre::new(code.parse().unwrap());
            let told = tyre.mounted(&Wheel::new(rim * INCH, 40.0)).turns_per_km();
            assert!((told / turns - 1.0).abs() < 0.01, "{code}: {told}");
            // Common practice, no source: a tyre rolls on 0.96 to 0.97 of its free circumference.
            let share = 1e6 / told / (std::f64::consts::PI * tyre.size.overall_diameter());
            assert!((0.955..0.975).contains(&share), "{share}");
        }
    }

    #[test]
    fn growth_is_a_length_or_a_share_of_the_radius() {
        let read = |text: &str| ron::from_str::<Growth>(text);
        assert_eq!(read("6").unwrap().of(320.0), 6.0);
        assert_eq!(read("\"1/4 in\"").unwrap().of(320.0), 6.35);
        assert!((read("\"2 %\"").unwrap().of(320.0) - 6.4).abs() < 1e-12);
        for bad in ["\"two %\"", "\"2\"", "\"2 deg\"", "\"nan %\""] {
            assert!(read(bad).is_err(), "{bad}");
        }
    }

    #[test]
    fn a_size_says_its_code_again() {
        for code in ["265/35R18", "175/70R13"] {
            assert_eq!(code.parse::<Size>().unwrap().code(), code);
        }
    }

    #[test]
    fn what_is_no_size_is_refused() {
        for bad in ["", "265", "265/35", "265/35R", "R18", "265/35Q18", "1/1R1", "nan/35R18", "265/35R1e9"] {
            assert!(bad.parse::<Size>().is_err(), "{bad}");
        }
    }
}
