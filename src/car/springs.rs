//! Springs, dampers, rockers and anti-roll bars.

use std::fmt;

use serde::de::value::MapAccessDeserializer;
use serde::de::{self, MapAccess, Visitor};
use serde::{Deserialize, Deserializer, Serialize};

use super::axle::Tube;
use super::{amounts, units};

/// The part that carries a damper's, spring's, push rod's or drop link's joint.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum MountedOn {
    /// The lower arm.
    LowerArm,
    /// The upper arm.
    UpperArm,
    /// The upright; the trailing arm or the stiff axle, where one of those carries the wheel.
    #[serde(alias = "trailing_arm", alias = "axle")]
    Upright,
    /// The rocker.
    Rocker,
}

/// Damper, or damper and spring in one.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Damper {
    /// The part that carries its lower mount.
    pub on: MountedOn,
    /// Outside diameter over everything (the spring, where it is outside), mm.
    #[serde(deserialize_with = "units::length")]
    pub diameter: f64,
    /// Between its mounts when fully extended, mm.
    #[serde(default, deserialize_with = "units::opt_length")]
    pub open: Option<f64>,
    /// Between its mounts when fully compressed, mm.
    #[serde(default, deserialize_with = "units::opt_length")]
    pub closed: Option<f64>,
}

/// Coil spring: around the damper, or apart from it between `spring_top` and `spring_bottom`.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Spring {
    /// Force for each millimetre that it is pressed, N/mm.
    #[serde(deserialize_with = "amounts::rate")]
    pub rate: f64,
    /// The part that carries its lower seat, where it stands apart from the damper.
    #[serde(default)]
    pub on: Option<MountedOn>,
    /// Outside diameter of its coils, mm, where it stands apart from the damper.
    #[serde(default, deserialize_with = "units::opt_length")]
    pub diameter: Option<f64>,
}

/// Rocker: a push or pull rod turns it about its pivot axis, and it works the damper.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Rocker {
    /// The part that carries the rod's outer joint.
    pub on: MountedOn,
    /// The rod.
    pub push_rod: Tube,
}

/// Anti-roll bar: a torsion bar across the car with a lever and a drop link a side.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RollBar {
    /// The part that carries the drop link's outer joint.
    pub on: MountedOn,
    /// The bar between its levers.
    pub tube: Tube,
    /// Its drop links.
    #[serde(default)]
    pub link: Option<Tube>,
    /// How one lever bends, where it is a blade. Left out, it is rigid.
    #[serde(default)]
    pub blade: Option<Blade>,
}

/// How a bar's lever bends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Blade {
    /// Its stiffness at its end, N/mm: at the angle that it is set to.
    Stiffness(f64),
    /// Its section, and the angle that it is set to.
    Section(BladeSection),
}

/// A steel blade that can be turned about its own length.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BladeSection {
    /// Across its wide faces at the bar, mm.
    #[serde(deserialize_with = "units::length")]
    pub width: f64,
    /// Across its wide faces at the drop link, mm; as at the bar where left out, else it tapers evenly.
    #[serde(default, deserialize_with = "units::opt_length")]
    pub tip_width: Option<f64>,
    /// Between its wide faces, mm.
    #[serde(deserialize_with = "units::length")]
    pub thickness: f64,
    /// That is free to bend, from where it is held to the drop link, mm.
    #[serde(deserialize_with = "units::length")]
    pub length: f64,
    /// From flat, where it is softest, to on edge at 90 degrees, radians.
    #[serde(default, deserialize_with = "units::angle")]
    pub angle: f64,
}

/// Modulus of elasticity of steel, N/mm² (Shigley, Mechanical Engineering Design, table A-5, carbon steel, from
/// memory).
const STEEL: f64 = 207_000.0;
/// Steps that a tapered blade is summed over: to a part in a million for a tip of a tenth of the root.
const STEPS: usize = 400;

impl Blade {
    /// Force for each millimetre at its end, N/mm.
    pub fn rate(self) -> f64 {
        match self {
            Self::Stiffness(rate) => rate,
            Self::Section(section) => section.rate_at(section.angle),
        }
    }
}

impl BladeSection {
    /// Force along the drop link for each millimetre that its end goes that way, set to this angle, N/mm.
    ///
    /// A cantilever, whose end the link leaves free to move aside: 1/c = cos²(a) / c_flat + sin²(a) / c_edge. Of one
    /// width c = 3 E I / L³ with I = w t³/12 flat and t w³/12 on edge; of a tapered one 1/c is the sum of x²/(E I) over
    /// its length from the tip (Timoshenko, Strength of Materials, part I, deflection of cantilevers and unsymmetrical
    /// bending, from memory).
    pub fn rate_at(&self, angle: f64) -> f64 {
        let (sin, cos) = angle.sin_cos();
        let tip = self.tip_width.unwrap_or(self.width);
        let gives = |x: f64| {
            let width = tip + (self.width - tip) * x / self.length;
            let (flat, edge) = (width * self.thickness.powi(3) / 12.0, self.thickness * width.powi(3) / 12.0);
            x * x / STEEL * (cos * cos / flat + sin * sin / edge)
        };
        // Simpson's rule: exact where the width is one.
        let step = self.length / STEPS as f64;
        let weight = |i: usize| match i {
            0 | STEPS => 1.0,
            odd if odd % 2 == 1 => 4.0,
            _ => 2.0,
        };
        let sum: f64 = (0..=STEPS).map(|i| weight(i) * gives(i as f64 * step)).sum();
        3.0 / (sum * step)
    }
}

impl<'de> Deserialize<'de> for Blade {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        struct BladeReader;

        impl<'de> Visitor<'de> for BladeReader {
            type Value = Blade;

            fn expecting(&self, f: &mut fmt::Formatter) -> fmt::Result {
                f.write_str(
                    "a blade's stiffness, such as 60 (N/mm), or its section, \
                     `(width: 25, thickness: 5, length: 180, angle: 30)`",
                )
            }

            fn visit_f64<E: de::Error>(self, v: f64) -> Result<Blade, E> {
                Ok(Blade::Stiffness(v))
            }

            fn visit_i64<E: de::Error>(self, v: i64) -> Result<Blade, E> {
                Ok(Blade::Stiffness(v as f64))
            }

            fn visit_u64<E: de::Error>(self, v: u64) -> Result<Blade, E> {
                Ok(Blade::Stiffness(v as f64))
            }

            fn visit_str<E: de::Error>(self, text: &str) -> Result<Blade, E> {
                amounts::parse_rate(text).map(Blade::Stiffness).map_err(E::custom)
            }

            fn visit_map<A: MapAccess<'de>>(self, map: A) -> Result<Blade, A::Error> {
                BladeSection::deserialize(MapAccessDeserializer::new(map)).map(Blade::Section)
            }
        }

        d.deserialize_any(BladeReader)
    }
}
