//! Numbers as they are said.

use nalgebra::Vector3;

use crate::car::Shown;
use crate::motion::Measure;

/// An answer that can be told in one sentence.
pub trait Told {
    /// The answer in one sentence with its number, in the reader's units.
    fn sentence(&self, shown: Shown) -> String;
}

/// `45.0 mm bump`, `40.0 mm droop` or `ride height`.
pub fn travel(mm: f64, shown: Shown) -> String {
    if mm.abs() < 0.05 {
        "ride height".to_owned()
    } else {
        format!("{} {}", shown.length(mm.abs()), if mm > 0.0 { "bump" } else { "droop" })
    }
}

/// `the rack straight ahead` or `the rack 60.0 mm to the left`.
pub fn rack(mm: f64, shown: Shown) -> String {
    if mm.abs() < 0.05 {
        "the rack straight ahead".to_owned()
    } else {
        format!("the rack {} to the {}", shown.length(mm.abs()), if mm > 0.0 { "left" } else { "right" })
    }
}

/// A sentence starts with a capital.
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// A sentence, and after it what is wrong with the scans that it rests on.
pub fn beware(sentence: String, beware: &[String]) -> String {
    if beware.is_empty() { sentence } else { format!("{sentence} But beware: {}.", beware.join(", and ")) }
}

/// A chance in words, where anybody need think of it.
pub fn chance(share: f64) -> String {
    match share {
        s if s < 0.01 => "< 1 %".to_owned(),
        s if s > 0.99 => "surely".to_owned(),
        s => format!("{:.0} %", s * 100.0),
    }
}

/// A number of an axle as a table's cell, without its unit.
pub fn cell(value: f64, measure: Measure, shown: Shown) -> String {
    let decimals = decimals(measure, shown);
    let value = if measure == Measure::Length { shown.number(value) } else { value };
    let scale = 10f64.powi(decimals as i32);
    // Adding zero turns a rounded "-0.0" into "0.0".
    format!("{:.*}", decimals, (value * scale).round() / scale + 0.0)
}

/// The decimals that it is told to.
pub fn decimals(measure: Measure, shown: Shown) -> usize {
    match measure {
        Measure::Length => shown.decimals(),
        Measure::Angle | Measure::Ratio => 3,
        Measure::Share => 1,
    }
}

/// A point as plain numbers.
pub fn point(p: Vector3<f64>) -> [f64; 3] {
    [p.x, p.y, p.z]
}
