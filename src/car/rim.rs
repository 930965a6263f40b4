//! Wheels: the rim, where its mounting face lies, its spokes, and how it is drilled.

use serde::Deserialize;

use super::units;

/// A wheel.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(try_from = "Written")]
pub struct Wheel {
    /// Rim width between the flanges, mm.
    pub width: f64,
    /// Mounting face outboard of the rim's centre plane, mm (the ET number).
    pub offset: f64,
    /// Spacer between hub and wheel, mm.
    pub spacer: f64,
    /// From the bead seat in to the barrel's inner face, mm: what the brake and the joints have to clear. Taken as deep
    /// all across; the humps on the bead seats lie inside the tyre and are met by nothing.
    pub barrel: f64,
    /// Thickness of the centre outboard of the mounting face, mm.
    pub centre: f64,
    /// What each flange adds to the width, over its lip, mm.
    pub flange: f64,
    /// The spokes, where they are described. Where not, they stand right at the mounting face and are as thick as the
    /// centre.
    pub spokes: Option<Spokes>,
    /// Its bolt holes and bore.
    pub studs: Option<Drilling>,
}

/// How the spokes stand between the centre's pad and the rim.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Spokes {
    /// Their back, the side of the brake, outboard of the mounting face, mm.
    #[serde(default, deserialize_with = "units::length")]
    pub back: f64,
    /// Their front beyond the outer edge of the outboard flange, mm: negative where they stand within. As thick as the
    /// centre where it is left out.
    #[serde(default, deserialize_with = "units::opt_length")]
    pub outboard: Option<f64>,
    /// Radius of the pad on the hub, from which on they stand back, mm.
    #[serde(default = "default_pad", deserialize_with = "units::length")]
    pub pad: f64,
}

/// How a wheel is drilled.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Drilling {
    /// Holes.
    pub count: u32,
    /// Diameter of the circle that their centres lie on, mm.
    #[serde(deserialize_with = "units::length")]
    pub circle: f64,
    /// Diameter of the centre bore, mm.
    #[serde(default, deserialize_with = "units::opt_length")]
    pub bore: Option<f64>,
}

/// Drop-centre wells are about this deep (common practice, no source).
const BARREL: f64 = 20.0;
/// Spokes and centre of an aluminium wheel (common practice, no source).
const CENTRE: f64 = 40.0;
/// A wheel is about an inch wider over its flanges than its nominal width (common practice, no source; the J contour's
/// flange is 13 mm wide, ETRTO Standards Manual, from memory).
const FLANGE: f64 = 12.7;

/// Hubs of cars are about 150 mm over (common practice, no source).
fn default_pad() -> f64 {
    75.0
}

fn default_barrel() -> f64 {
    BARREL
}

fn default_centre() -> f64 {
    CENTRE
}

fn default_flange() -> f64 {
    FLANGE
}

/// A wheel as a car file has it: with its offset, or with its backspacing.
#[derive(Deserialize)]
#[serde(rename = "Wheel", deny_unknown_fields)]
struct Written {
    #[serde(deserialize_with = "units::length")]
    width: f64,
    #[serde(default, deserialize_with = "units::opt_length")]
    offset: Option<f64>,
    #[serde(default, deserialize_with = "units::opt_length")]
    backspacing: Option<f64>,
    #[serde(default, deserialize_with = "units::length")]
    spacer: f64,
    #[serde(default = "default_barrel", deserialize_with = "units::length")]
    barrel: f64,
    #[serde(default = "default_centre", deserialize_with = "units::length")]
    centre: f64,
    #[serde(default = "default_flange", deserialize_with = "units::length")]
    flange: f64,
    #[serde(default)]
    spokes: Option<Spokes>,
    #[serde(default)]
    studs: Option<Drilling>,
}

impl TryFrom<Written> for Wheel {
    type Error = &'static str;

    fn try_from(w: Written) -> Result<Self, Self::Error> {
        let offset = match (w.offset, w.backspacing) {
            (Some(offset), None) => offset,
            (None, Some(backspacing)) => backspacing - w.width / 2.0 - w.flange,
            (Some(_), Some(_)) => return Err("`offset` and `backspacing` say the same: keep one of the two"),
            (None, None) => return Err("a wheel needs its `offset`, or its `backspacing`: add one of the two"),
        };
        let Written { width, spacer, barrel, centre, flange, spokes, studs, .. } = w;
        Ok(Self { width, offset, spacer, barrel, centre, flange, spokes, studs })
    }
}

impl Wheel {
    /// A wheel of which no more is known than its width and offset, mm.
    pub fn new(width: f64, offset: f64) -> Self {
        let (spokes, studs) = (None, None);
        Self { width, offset, spacer: 0.0, barrel: BARREL, centre: CENTRE, flange: FLANGE, spokes, studs }
    }

    /// From the rim's centre plane to the outer edge of a flange, mm.
    pub fn half(&self) -> f64 {
        self.width / 2.0 + self.flange
    }

    /// From the inboard flange's outer edge to the mounting face, mm: half the nominal width, a flange, and the offset
    /// (common practice, no source).
    pub fn backspacing(&self) -> f64 {
        self.half() + self.offset
    }

    /// The rim's centre plane outboard of the hub's face, mm.
    pub fn centre_from_hub(&self) -> f64 {
        self.spacer - self.offset
    }

    /// Front of the spokes outboard of the rim's centre plane, mm.
    pub fn front(&self) -> f64 {
        match self.spokes {
            Some(Spokes { outboard: Some(outboard), .. }) => self.half() + outboard,
            Some(spokes) => self.offset + spokes.back + self.centre,
            None => self.offset + self.centre,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::car::units::INCH;

    /// Common practice, no source: a 7 in wheel with no offset is 8 in over its flanges and has 4 in of backspacing;
    /// each 25.4 mm of offset adds an inch.
    #[test]
    fn a_seven_inch_wheel_with_no_offset_has_four_inches_of_backspacing() {
        for (offset, inches) in [(0.0, 4.0), (25.4, 5.0), (-25.4, 3.0)] {
            assert!((Wheel::new(7.0 * INCH, offset).backspacing() - inches * INCH).abs() < 1e-9);
        }
    }

    #[test]
    fn backspacing_stands_for_the_offset() {
        let options = ron::Options::default().with_default_extension(ron::extensions::Extensions::IMPLICIT_SOME);
        let read = |text: &str| options.from_str::<Wheel>(text);
        let wheel = read("(width: \"7 in\", backspacing: \"5.5 in\")").unwrap();
        assert!((wheel.offset - 1.5 * INCH).abs() < 1e-9, "{}", wheel.offset);
        assert!((wheel.backspacing() - 5.5 * INCH).abs() < 1e-9);
        assert!(read("(width: 180)").unwrap_err().to_string().contains("add one of the two"));
        assert!(read("(width: 180, offset: 3, backspacing: 120)").unwrap_err().to_string().contains("keep one"));
    }
}
