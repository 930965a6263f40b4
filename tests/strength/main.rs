//! Strength against handbooks and against libraries that nobody in this project made.
//!
//! [`sections`]: finite elements of the same shapes (tests/reference/sections.py). [`struts`]: worked problems from
//! textbooks. [`materials`]: what any row of the table must be.

mod materials;
mod sections;
mod struts;

/// A relative difference, of numbers that are not nought.
fn off(ours: f64, theirs: f64) -> f64 {
    ((ours - theirs) / theirs).abs()
}
