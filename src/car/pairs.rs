//! Pairs of parts that the user leaves out, adds, or gives a wanted gap of their own.

use serde::de::{self, SeqAccess, Visitor};
use serde::{Deserialize, Deserializer};
use std::fmt;

use super::units::Length;

/// A pair that is not measured: `("left front tyre", "left wheel arch", "liner is trimmed on the day")`.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct Ignored(
    /// A part, as answers call it; without its side it is the part of both.
    pub String,
    /// The other.
    pub String,
    /// Why.
    pub String,
);

/// A pair that is measured whatever the rules say: `("tie rod", "sump", 10)`, or without a gap of its own.
#[derive(Debug, Clone, PartialEq)]
pub struct Measured {
    /// A part, as answers call it; without its side it is the part of both.
    pub a: String,
    /// The other.
    pub b: String,
    /// Wanted gap, mm; that of its kind where left out.
    pub wanted: Option<f64>,
}

impl<'de> Deserialize<'de> for Measured {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        struct Pair;
        impl<'de> Visitor<'de> for Pair {
            type Value = Measured;

            fn expecting(&self, f: &mut fmt::Formatter) -> fmt::Result {
                f.write_str("two parts and the gap that is wanted, (\"tie rod\", \"sump\", 10)")
            }

            fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<Measured, A::Error> {
                let lacking = || de::Error::custom("a pair is two parts: (\"tie rod\", \"sump\", 10)");
                let a = seq.next_element()?.ok_or_else(lacking)?;
                let b = seq.next_element()?.ok_or_else(lacking)?;
                Ok(Measured { a, b, wanted: seq.next_element::<Length>()?.map(|l| l.0) })
            }
        }
        d.deserialize_tuple(3, Pair)
    }
}
