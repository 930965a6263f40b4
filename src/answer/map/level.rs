//! Which contours a map has.

use serde::Serialize;

use super::MapPair;
use super::contour::Field;
use crate::answer::plot::ticks;
use crate::car::Shown;

/// What is alike all along a contour.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Level {
    /// The pair that is shortest has just its wanted gap.
    Wanted,
    /// The nearest pair just touches.
    Touch,
    /// The nearest pair has this gap, mm.
    Gap(f64),
}

/// Round gaps drawn beside touch and the wanted gap, at the most.
const ROUND: usize = 6;
/// Round gaps that are drawn lie no closer than this, mm.
const LEAST_STEP: f64 = 0.1;

/// Touch, the wanted gap and a few round gaps over and under them. Where all pairs want the same, a round gap that is as
/// good as it is left out.
pub(super) fn levels(gap: &Field, pairs: &[MapPair], shown: Shown) -> Vec<Level> {
    let one = shown.in_mm();
    let [low, high] = gap.range().map(|v| v / one);
    let (step, round) = ticks(low, high, ROUND);
    // A gap that is alike all over has no contours: they would be drawn through the last digits.
    let round = if step * one < LEAST_STEP { Vec::new() } else { round };
    let wanted = pairs[0].wanted_mm / one;
    let alike = pairs.iter().all(|p| p.wanted_mm == pairs[0].wanted_mm);
    let told = |v: f64| v.abs() < 1e-6 * step || (alike && (v - wanted).abs() < 0.15 * step);
    let gaps = round.into_iter().filter(|v| !told(*v)).map(|v| Level::Gap(v * one));
    [Level::Touch, Level::Wanted].into_iter().chain(gaps).collect()
}
