//! Spring rates, forces, torques, pressures, areas and masses: as people write them, and as answers show them.

use serde::{Deserialize, Deserializer};

use super::units::{self, GRAVITY, INCH, POUND, Reader, Shown};

/// One pound-force, N (exact: 0.45359237 kg times 9.80665 m/s²).
const POUND_FORCE: f64 = POUND * GRAVITY;

/// What an amount is of. Inside the program: N/mm, N, N m, N m for a degree, MPa, mm², kg, Hz.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Amount {
    /// Force for a length, N/mm.
    Rate,
    /// N.
    Force,
    /// N m.
    Torque,
    /// Torque for an angle, N m for a degree.
    Roll,
    /// MPa, which is N/mm².
    Pressure,
    /// mm².
    Area,
    /// kg.
    Mass,
}

impl Amount {
    /// Its unit's sign, how many of the program's own one of it is, and the decimals that are worth printing.
    fn unit(self, shown: Shown) -> (&'static str, f64, usize) {
        match (self, shown) {
            (Self::Rate, Shown::Mm) => ("N/mm", 1.0, 1),
            (Self::Rate, Shown::In) => ("lbf/in", POUND_FORCE / INCH, 0),
            (Self::Force, Shown::Mm) => ("N", 1.0, 0),
            (Self::Force, Shown::In) => ("lbf", POUND_FORCE, 0),
            (Self::Torque, Shown::Mm) => ("Nm", 1.0, 0),
            (Self::Torque, Shown::In) => ("lbf ft", POUND_FORCE * 12.0 * INCH / 1000.0, 0),
            (Self::Roll, Shown::Mm) => ("Nm/deg", 1.0, 0),
            (Self::Roll, Shown::In) => ("lbf ft/deg", POUND_FORCE * 12.0 * INCH / 1000.0, 0),
            (Self::Pressure, Shown::Mm) => ("bar", 0.1, 1),
            (Self::Pressure, Shown::In) => ("psi", POUND_FORCE / (INCH * INCH), 0),
            (Self::Area, Shown::Mm) => ("mm²", 1.0, 0),
            (Self::Area, Shown::In) => ("in²", INCH * INCH, 2),
            (Self::Mass, Shown::Mm) => ("kg", 1.0, 1),
            (Self::Mass, Shown::In) => ("lb", POUND, 0),
        }
    }

    /// The unit's sign: `N/mm`, `lbf/in`.
    pub fn sign(self, shown: Shown) -> &'static str {
        self.unit(shown).0
    }

    /// How many of the program's own unit one of its shown unit is: what a number that is typed is multiplied by.
    pub fn one(self, shown: Shown) -> f64 {
        self.unit(shown).1
    }

    /// As a number without its unit: for the cells of a table whose head says it.
    pub fn cell(self, value: f64, shown: Shown) -> String {
        let (_, one, decimals) = self.unit(shown);
        let scale = 10f64.powi(decimals as i32);
        // Adding zero takes the sign off a rounded nothing.
        format!("{:.decimals$}", (value / one * scale).round() / scale + 0.0)
    }

    /// As words: `60.0 N/mm`.
    pub fn told(self, value: f64, shown: Shown) -> String {
        format!("{} {}", self.cell(value, shown), self.sign(shown))
    }
}

/// A spring rate written as text with its unit, in N/mm.
///
/// # Errors
/// Says what is missing: the number, or the unit, with the units there are.
pub fn parse_rate(text: &str) -> Result<f64, String> {
    let (number, unit) = units::split(text)?;
    let unit: String = unit.split_whitespace().collect();
    match unit.as_str() {
        "N/mm" | "kN/m" => Ok(number),
        "lbf/in" | "lb/in" => Ok(number * POUND_FORCE / INCH),
        "" => Err(format!("the rate \"{text}\" has no unit: write N/mm or lbf/in after the number")),
        other => Err(format!("\"{other}\" is not a unit of a spring's rate: use N/mm or lbf/in")),
    }
}

/// What a rate is written as.
const RATE: &str = "a rate, such as 60 (N/mm) or \"340 lbf/in\"";

/// A rate as serde meets it: a bare number in N/mm, or text with its unit.
pub(super) struct Rate(pub f64);

impl<'de> Deserialize<'de> for Rate {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        d.deserialize_any(Reader { bare: 1.0, text: parse_rate, what: RATE }).map(Self)
    }
}

/// For `#[serde(deserialize_with)]`: a rate in N/mm.
pub fn rate<'de, D: Deserializer<'de>>(d: D) -> Result<f64, D::Error> {
    Rate::deserialize(d).map(|r| r.0)
}

/// For `#[serde(deserialize_with)]`: a rate in N/mm that may be left out.
pub fn opt_rate<'de, D: Deserializer<'de>>(d: D) -> Result<Option<f64>, D::Error> {
    Option::<Rate>::deserialize(d).map(|r| r.map(|r| r.0))
}

/// A mass as serde meets it.
struct Mass(f64);

impl<'de> Deserialize<'de> for Mass {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        units::mass(d).map(Self)
    }
}

/// For `#[serde(deserialize_with)]`: a mass in kilograms that may be left out.
pub fn opt_mass<'de, D: Deserializer<'de>>(d: D) -> Result<Option<f64>, D::Error> {
    Option::<Mass>::deserialize(d).map(|m| m.map(|m| m.0))
}

/// For `#[serde(deserialize_with)]`: a list of lengths in millimetres.
pub fn lengths<'de, D: Deserializer<'de>>(d: D) -> Result<Vec<f64>, D::Error> {
    Vec::<units::Length>::deserialize(d).map(|v| v.into_iter().map(|l| l.0).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// One lbf/in is 0.175127 N/mm (NIST Special Publication 811, appendix B, 175.1268 N/m), one psi 0.0689476 bar.
    #[test]
    fn amounts_are_read_and_shown_in_both_units() {
        assert!((parse_rate("340 lbf/in").unwrap() - 340.0 * 0.175_126_8).abs() < 1e-4);
        assert_eq!(parse_rate("60 N/mm"), Ok(60.0));
        assert_eq!(parse_rate("60 1/2 kN/m"), Ok(60.5));
        for bad in ["60", "N/mm", "60 N", "60 N/m"] {
            assert!(parse_rate(bad).is_err(), "{bad}");
        }
        assert_eq!(Amount::Rate.told(60.0, Shown::In), "343 lbf/in");
        assert_eq!(Amount::Pressure.told(6.894_757, Shown::In), "1000 psi");
        assert_eq!(Amount::Pressure.told(6.894_757, Shown::Mm), "68.9 bar");
        assert_eq!(Amount::Torque.told(1.355_818, Shown::In), "1 lbf ft");
        assert_eq!(Amount::Force.told(-0.2, Shown::Mm), "0 N");
    }
}
