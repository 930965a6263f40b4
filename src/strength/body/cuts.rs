//! What of the car file's words about cuts, notches and grades a frame takes.

use nalgebra::Vector3;

use crate::car::{FixedTube, Rail};
use crate::space::RailRun;
use crate::strength::section::Section;

pub(super) fn grade_of_rail(_rail: &Rail) -> Option<&str> {
    None
}

pub(super) fn grade_of_tube(_tube: &FixedTube) -> Option<&str> {
    None
}

/// A tube's corners, mm, left side.
pub(super) fn points(tube: &FixedTube) -> &[Vector3<f64>] {
    &tube.points
}

/// What cuts leave of a rail: from and to, stations in order, mm.
pub(super) fn left(_rail: &Rail, run: &RailRun) -> Vec<[f64; 2]> {
    vec![[run.stations[0], run.stations[run.stations.len() - 1]]]
}

/// Stretches that are notched, from and to, mm, and the section that is left there.
pub(super) fn notches(_rail: &Rail, _run: &RailRun) -> Vec<([f64; 2], Section)> {
    Vec::new()
}

/// A named place on one side.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Named {
    pub base: String,
    pub side: Option<crate::car::Side>,
    pub at: Vector3<f64>,
    pub on: Option<String>,
    pub held: bool,
}

/// The named places of a car.
pub(super) fn named(_car: &crate::car::Car) -> Vec<Named> {
    Vec::new()
}

/// End plates: what each is on, and its mass, kg.
pub(super) fn plates(_car: &crate::car::Car) -> Vec<(String, f64)> {
    Vec::new()
}

/// The corners of a tube that are said to be on a rail.
pub(super) fn on_rail(_tube: &FixedTube) -> Vec<usize> {
    Vec::new()
}
