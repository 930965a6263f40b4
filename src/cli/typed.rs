//! Lengths and forces as they are typed: bare numbers in the units that are shown, or with a unit of their own.

use super::args::finite;
use crate::car::Shown;
use crate::car::units::{GRAVITY, POUND, parse_force, parse_length};

/// A length as it was typed.
#[derive(Debug, Clone, Copy)]
pub enum Length {
    /// In the units that are shown.
    Bare(f64),
    /// mm.
    Millimetres(f64),
}

impl Length {
    /// In mm.
    pub fn mm(self, shown: Shown) -> f64 {
        match self {
            Self::Bare(number) => number * shown.in_mm(),
            Self::Millimetres(mm) => mm,
        }
    }
}

/// The force of a foot as it was typed.
#[derive(Debug, Clone, Copy)]
pub enum Foot {
    /// In the units that are shown.
    Bare(f64),
    /// N.
    Newtons(f64),
}

impl Foot {
    /// In N.
    pub fn newtons(self, shown: Shown) -> f64 {
        match (self, shown) {
            (Self::Newtons(n), _) | (Self::Bare(n), Shown::Mm) => n,
            (Self::Bare(lbf), Shown::In) => lbf * POUND * GRAVITY,
        }
    }
}

pub(super) fn length(text: &str) -> Result<Length, String> {
    finite(text).map(Length::Bare).or_else(|_| parse_length(text).map(Length::Millimetres))
}

pub(super) fn foot(text: &str) -> Result<Foot, String> {
    let foot = finite(text).map(Foot::Bare).or_else(|_| parse_force(text).map(Foot::Newtons))?;
    let (Foot::Bare(force) | Foot::Newtons(force)) = foot;
    if force > 0.0 && force <= 1e4 {
        Ok(foot)
    } else {
        Err("a foot presses with more than nothing, up to 10000".to_owned())
    }
}
