//! Lengths and angles as people write them: `318`, `"12.5 in"`, `"12 1/2 in"`, `"3.5 deg"`.
//!
//! Inside the program a length is millimetres and an angle radians, always. A bare number in a car file takes the
//! file's declared unit, so reading one needs to know that unit: [`with_file_unit`] holds it while a file is read.

use std::cell::Cell;
use std::fmt;

use nalgebra::Vector3;
use serde::de::{self, Deserialize, Deserializer, Visitor};
use serde::{Deserialize as DeriveDeserialize, Serialize};

/// Millimetres in an inch, exact (international yard and pound agreement, 1959).
pub const INCH: f64 = 25.4;

/// The unit that a bare length in a car file takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, DeriveDeserialize, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum FileUnit {
    /// Millimetres.
    #[default]
    Mm,
    /// Centimetres.
    Cm,
    /// Metres.
    M,
    /// Inches.
    In,
    /// Feet.
    Ft,
}

impl FileUnit {
    /// All there are.
    pub const ALL: [Self; 5] = [Self::Mm, Self::Cm, Self::M, Self::In, Self::Ft];

    /// Millimetres in one of this unit.
    pub fn in_mm(self) -> f64 {
        match self {
            Self::Mm => 1.0,
            Self::Cm => 10.0,
            Self::M => 1000.0,
            Self::In => INCH,
            Self::Ft => 12.0 * INCH,
        }
    }

    /// The unit's sign, as the car file writes it: `mm`, `in`.
    pub fn sign(self) -> &'static str {
        match self {
            Self::Mm => "mm",
            Self::Cm => "cm",
            Self::M => "m",
            Self::In => "in",
            Self::Ft => "ft",
        }
    }

    /// A length in millimetres as a car file writes it: a bare number in this unit, true to 0.001 mm, or to the
    /// nearest smaller decimal where the unit is no power of ten, without trailing zeros.
    pub fn number(self, mm: f64) -> String {
        let decimals = match self {
            Self::Mm => 3,
            Self::Cm => 4,
            Self::In => 5,
            Self::M | Self::Ft => 6,
        };
        let text = format!("{:.decimals$}", (mm * 1000.0).round() / 1000.0 / self.in_mm());
        let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
        if text == "-0" { "0".to_string() } else { text.to_string() }
    }

    /// A place in millimetres as a car file writes it.
    pub fn point(self, at: Vector3<f64>) -> String {
        let [x, y, z] = [at.x, at.y, at.z].map(|mm| self.number(mm));
        format!("({x}, {y}, {z})")
    }

    /// A length in millimetres as words in this unit: `14.2 mm`.
    pub fn length(self, mm: f64) -> String {
        format!("{} {}", self.number(mm), self.sign())
    }
}

/// The units that answers are shown in: the user's choice, printed beside every number.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Shown {
    /// Millimetres.
    #[default]
    Mm,
    /// Inches.
    In,
}

impl Shown {
    /// A length in millimetres as a number in this unit.
    pub fn number(self, mm: f64) -> f64 {
        match self {
            Self::Mm => mm,
            Self::In => mm / INCH,
        }
    }

    /// Millimetres in one of this unit.
    pub fn in_mm(self) -> f64 {
        match self {
            Self::Mm => 1.0,
            Self::In => INCH,
        }
    }

    /// The unit's sign: `mm` or `in`.
    pub fn sign(self) -> &'static str {
        match self {
            Self::Mm => "mm",
            Self::In => "in",
        }
    }

    /// Decimals that a tape or calliper can honour: 0.1 mm, 0.01 in.
    pub fn decimals(self) -> usize {
        match self {
            Self::Mm => 1,
            Self::In => 2,
        }
    }

    /// A length in millimetres as a number in this unit, without the unit: for the cells of a table whose head says it.
    pub fn cell(self, mm: f64) -> String {
        // Adding zero turns a rounded "-0.0" into "0.0".
        let scale = 10f64.powi(self.decimals() as i32);
        format!("{:.*}", self.decimals(), (self.number(mm) * scale).round() / scale + 0.0)
    }

    /// A length in millimetres as words: `14.2 mm`, `0.56 in`.
    pub fn length(self, mm: f64) -> String {
        format!("{} {}", self.cell(mm), self.sign())
    }
}

/// Standard gravity, m/s² (ISO 80000-3).
pub const GRAVITY: f64 = 9.806_65;
/// One pound in kilograms (the international pound of 1959, exact).
pub const POUND: f64 = 0.453_592_37;

thread_local! {
    static BARE: Cell<FileUnit> = const { Cell::new(FileUnit::Mm) };
}

/// Runs `read` with bare lengths taken as `unit`.
pub fn with_file_unit<T>(unit: FileUnit, read: impl FnOnce() -> T) -> T {
    let before = BARE.replace(unit);
    let value = read();
    BARE.set(before);
    value
}

/// A length written as text with its unit, in millimetres.
///
/// Takes decimals, fractions and mixed numbers: `318 mm`, `12.5in`, `12 1/2 in`, `-5/8 in`.
///
/// # Errors
/// Says what is missing: the number, or the unit, with the units there are.
pub fn parse_length(text: &str) -> Result<f64, String> {
    let (number, unit) = split(text)?;
    let scale = match unit {
        "mm" => 1.0,
        "cm" => 10.0,
        "m" => 1000.0,
        "in" | "inch" | "\"" => INCH,
        "ft" | "'" => 12.0 * INCH,
        "" => return Err(format!("the length \"{text}\" has no unit: write mm, cm, m, in or ft after the number")),
        other => return Err(format!("\"{other}\" is not a unit of length: use mm, cm, m, in or ft")),
    };
    Ok(number * scale)
}

/// An angle written as text with its unit, in radians.
///
/// # Errors
/// As [`parse_length`], with `deg` and `rad`.
pub fn parse_angle(text: &str) -> Result<f64, String> {
    let (number, unit) = split(text)?;
    match unit {
        "deg" | "°" => Ok(number.to_radians()),
        "rad" => Ok(number),
        "" => Err(format!("the angle \"{text}\" has no unit: write deg or rad after the number")),
        other => Err(format!("\"{other}\" is not a unit of angle: use deg or rad")),
    }
}

/// A force written as text with its unit, in newtons. One pound-force is 4.4482216152605 N (exact: 0.45359237 kg times
/// 9.80665 m/s²).
///
/// # Errors
/// As [`parse_length`], with `N`, `kN` and `lbf` (`lb` and `lbs` are as good).
pub fn parse_force(text: &str) -> Result<f64, String> {
    let (number, unit) = split(text)?;
    match unit {
        "N" => Ok(number),
        "kN" => Ok(number * 1000.0),
        "lbf" | "lb" | "lbs" => Ok(number * POUND * GRAVITY),
        "" => Err(format!("the force \"{text}\" has no unit: write N, kN or lbf after the number")),
        other => Err(format!("\"{other}\" is not a unit of force: use N, kN or lbf")),
    }
}

/// A mass written as text with its unit, in kilograms.
///
/// # Errors
/// As [`parse_length`], with `kg` and `lb` (or `lbs`).
pub fn parse_mass(text: &str) -> Result<f64, String> {
    let (number, unit) = split(text)?;
    match unit {
        "kg" => Ok(number),
        "lb" | "lbs" => Ok(number * POUND),
        "" => Err(format!("the mass \"{text}\" has no unit: write kg or lb after the number")),
        other => Err(format!("\"{other}\" is not a unit of mass: use kg or lb")),
    }
}

/// The number (decimal, fraction or mixed) at the front of `text`, and the unit behind it.
pub(super) fn split(text: &str) -> Result<(f64, &str), String> {
    let text = text.trim();
    let end =
        text.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | '-' | '+' | '/' | ' '))).unwrap_or(text.len());
    let (number, unit) = text.split_at(end);
    let bad = || format!("\"{text}\" does not start with a number");
    let number = number.trim();
    let (negative, number) = match number.strip_prefix('-') {
        Some(rest) => (true, rest),
        None => (false, number.strip_prefix('+').unwrap_or(number)),
    };
    let mut words = number.split_whitespace();
    let mut value = fraction(words.next().ok_or_else(bad)?).ok_or_else(bad)?;
    if let Some(more) = words.next() {
        if !more.contains('/') {
            return Err(bad());
        }
        value += fraction(more).ok_or_else(bad)?;
    }
    if words.next().is_some() || !value.is_finite() {
        return Err(bad());
    }
    Ok((if negative { -value } else { value }, unit.trim()))
}

/// `12.5` or `5/8`, unsigned.
fn fraction(word: &str) -> Option<f64> {
    let unsigned = |w: &str| if w.starts_with(['-', '+']) { None } else { w.parse::<f64>().ok() };
    match word.split_once('/') {
        None => unsigned(word),
        Some((over, under)) => {
            let under = unsigned(under)?;
            (under != 0.0).then_some(unsigned(over)? / under)
        }
    }
}

/// A length as serde meets it: a bare number in the file's unit, or text with its own.
pub(super) struct Length(pub(super) f64);

/// An angle as serde meets it: a bare number in degrees, or text with its unit.
struct Angle(f64);

pub(super) struct Reader {
    pub bare: f64,
    pub text: fn(&str) -> Result<f64, String>,
    pub what: &'static str,
}

impl Visitor<'_> for Reader {
    type Value = f64;

    fn expecting(&self, f: &mut fmt::Formatter) -> fmt::Result {
        f.write_str(self.what)
    }

    fn visit_f64<E: de::Error>(self, v: f64) -> Result<f64, E> {
        if v.is_finite() { Ok(v * self.bare) } else { Err(E::custom(format!("{v} is not a number to build with"))) }
    }

    fn visit_i64<E: de::Error>(self, v: i64) -> Result<f64, E> {
        self.visit_f64(v as f64)
    }

    fn visit_u64<E: de::Error>(self, v: u64) -> Result<f64, E> {
        self.visit_f64(v as f64)
    }

    fn visit_str<E: de::Error>(self, v: &str) -> Result<f64, E> {
        (self.text)(v).map_err(E::custom)
    }
}

impl<'de> Deserialize<'de> for Length {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        let what = "a length, such as 318 or \"12 1/2 in\"";
        d.deserialize_any(Reader { bare: BARE.get().in_mm(), text: parse_length, what }).map(Length)
    }
}

impl<'de> Deserialize<'de> for Angle {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        let what = "an angle, such as 3.5 (degrees) or \"0.06 rad\"";
        d.deserialize_any(Reader { bare: 1f64.to_radians(), text: parse_angle, what }).map(Angle)
    }
}

/// A force as serde meets it: a bare number in newtons, or text with its unit.
struct Force(f64);

impl<'de> Deserialize<'de> for Force {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        let what = "a force, such as 3500 (newtons) or \"3.5 kN\"";
        d.deserialize_any(Reader { bare: 1.0, text: parse_force, what }).map(Force)
    }
}

/// For `#[serde(deserialize_with)]`: a mass in kilograms.
pub fn mass<'de, D: Deserializer<'de>>(d: D) -> Result<f64, D::Error> {
    d.deserialize_any(Reader { bare: 1.0, text: parse_mass, what: "a mass, such as 980 (kg) or \"2160 lb\"" })
}

/// For `#[serde(deserialize_with)]`: a force in newtons.
pub fn force<'de, D: Deserializer<'de>>(d: D) -> Result<f64, D::Error> {
    Force::deserialize(d).map(|f| f.0)
}

/// For `#[serde(deserialize_with)]`: three forces in newtons that may be left out.
pub fn opt_forces<'de, D: Deserializer<'de>>(d: D) -> Result<Option<Vector3<f64>>, D::Error> {
    let three = Option::<(Force, Force, Force)>::deserialize(d)?;
    Ok(three.map(|(x, y, z)| Vector3::new(x.0, y.0, z.0)))
}

/// For `#[serde(deserialize_with)]`: a length in millimetres.
pub fn length<'de, D: Deserializer<'de>>(d: D) -> Result<f64, D::Error> {
    Length::deserialize(d).map(|l| l.0)
}

/// For `#[serde(deserialize_with)]`: a length in millimetres that may be left out.
pub fn opt_length<'de, D: Deserializer<'de>>(d: D) -> Result<Option<f64>, D::Error> {
    Option::<Length>::deserialize(d).map(|l| l.map(|l| l.0))
}

/// For `#[serde(deserialize_with)]`: an angle in radians; a bare number is degrees.
pub fn angle<'de, D: Deserializer<'de>>(d: D) -> Result<f64, D::Error> {
    Angle::deserialize(d).map(|a| a.0)
}

/// For `#[serde(deserialize_with)]`: an angle in radians that may be left out.
pub fn opt_angle<'de, D: Deserializer<'de>>(d: D) -> Result<Option<f64>, D::Error> {
    Option::<Angle>::deserialize(d).map(|a| a.map(|a| a.0))
}

/// For `#[serde(deserialize_with)]`: a point or a shift, three lengths in millimetres.
pub fn point<'de, D: Deserializer<'de>>(d: D) -> Result<Vector3<f64>, D::Error> {
    Point::deserialize(d).map(|p| p.0)
}

/// For `#[serde(deserialize_with)]`: a point or a shift that may be left out.
pub fn opt_point<'de, D: Deserializer<'de>>(d: D) -> Result<Option<Vector3<f64>>, D::Error> {
    Option::<Point>::deserialize(d).map(|p| p.map(|p| p.0))
}

/// For `#[serde(deserialize_with)]`: a list of points.
pub fn points<'de, D: Deserializer<'de>>(d: D) -> Result<Vec<Vector3<f64>>, D::Error> {
    Vec::<Point>::deserialize(d).map(|v| v.into_iter().map(|p| p.0).collect())
}

/// For `#[serde(deserialize_with)]`: rows of points.
pub fn rows<'de, D: Deserializer<'de>>(d: D) -> Result<Vec<Vec<Vector3<f64>>>, D::Error> {
    let rows = Vec::<Vec<Point>>::deserialize(d)?;
    Ok(rows.into_iter().map(|v| v.into_iter().map(|p| p.0).collect()).collect())
}

/// For `#[serde(deserialize_with)]`: a list of plan-view points, two lengths each.
pub fn plan_points<'de, D: Deserializer<'de>>(d: D) -> Result<Vec<[f64; 2]>, D::Error> {
    Vec::<(Length, Length)>::deserialize(d).map(|v| v.into_iter().map(|(x, y)| [x.0, y.0]).collect())
}

/// A point as serde meets it: `(x, y, z)`, each a length.
pub(super) struct Point(pub(super) Vector3<f64>);

impl<'de> Deserialize<'de> for Point {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        let (x, y, z) = <(Length, Length, Length)>::deserialize(d)?;
        Ok(Self(Vector3::new(x.0, y.0, z.0)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_read_as_a_fabricator_writes_them() {
        for (text, mm) in [
            ("318 mm", 318.0),
            ("12.5 in", 317.5),
            ("12 1/2 in", 317.5),
            ("-5/8in", -15.875),
            ("3 ft", 914.4),
            ("0.25 m", 250.0),
        ] {
            assert!((parse_length(text).unwrap() - mm).abs() < 1e-12, "{text}");
        }
        for bad in ["", "mm", "12", "12 furlong", "1/0 in", "12 5 in", "--3 mm", "nan mm"] {
            assert!(parse_length(bad).is_err(), "{bad}");
        }
        assert!((parse_angle("-3.5 deg").unwrap() + 3.5f64.to_radians()).abs() < 1e-15);
    }

    #[test]
    fn a_length_is_written_in_the_files_unit_without_idle_zeros() {
        for (unit, mm, text) in [
            (FileUnit::Mm, 318.0, "318"),
            (FileUnit::Mm, -0.0001, "0"),
            (FileUnit::Mm, 100.0, "100"),
            (FileUnit::Mm, 12.3456, "12.346"),
            (FileUnit::In, 317.5, "12.5"),
            (FileUnit::M, 1.5, "0.0015"),
        ] {
            assert_eq!(unit.number(mm), text);
            assert!((text.parse::<f64>().unwrap() * unit.in_mm() - mm).abs() <= 0.0005);
        }
    }

    #[test]
    fn a_rounded_nothing_has_no_sign() {
        assert_eq!(Shown::Mm.length(-0.04), "0.0 mm");
        assert_eq!(Shown::In.length(14.2), "0.56 in");
    }
}
