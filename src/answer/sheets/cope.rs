//! The end of a round tube, fitted to what it meets, and rolled out flat.
//!
//! A template goes around the tube's outside. Every straight line along that outside ends where it first enters another
//! part's outside, so the template's edge is where the two outer surfaces meet. Flat, it is the way around the tube by the
//! length along it.

use std::f64::consts::TAU;

use nalgebra::Vector3;
use serde::Serialize;

use super::surface::Surface;

/// Lines along the tube that a template is made of, all around.
pub const AROUND: usize = 720;

/// A round tube's end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RoundEnd {
    /// Where its axis ends, as it is described, mm.
    pub at: Vector3<f64>,
    /// Along its axis out of the tube, of length one.
    pub along: Vector3<f64>,
    /// From the axis to the reference line, square to it, of length one.
    pub reference: Vector3<f64>,
    /// Its outside radius, mm.
    pub radius: f64,
}

/// A template, rolled out: seen from outside the tube, its end up.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Cope {
    /// Its edge, from the reference line once around to it again: how far around to the right, and how far along the tube
    /// beyond the place where its axis ends.
    pub edge_mm: Vec<[f64; 2]>,
    /// Whether each of these lies on what the tube meets. Where not, the tube runs past, and the edge is drawn at its longest.
    pub meets: Vec<bool>,
    /// Around the tube, all of it.
    pub around_mm: f64,
    /// The place where the tube stays longest.
    pub longest_mm: [f64; 2],
    /// The place where it is shortest.
    pub shortest_mm: [f64; 2],
    /// Share of the way round that runs past.
    pub open: f64,
}

impl RoundEnd {
    /// An end whose reference line is on top, or ahead on a tube that stands upright.
    pub fn new(at: Vector3<f64>, along: Vector3<f64>, radius: f64) -> Self {
        let end = Self { at, along, reference: Vector3::zeros(), radius };
        let towards = if end.stands() { Vector3::x() } else { Vector3::z() };
        Self { reference: (towards - along * towards.dot(&along)).normalize(), ..end }
    }

    /// Whether the tube stands within some 17 degrees of upright, so that it has no top.
    fn stands(&self) -> bool {
        self.along.xy().norm() < 0.3
    }

    /// Where the reference line is, in words.
    pub fn reference_is(&self) -> &'static str {
        if self.stands() { "ahead" } else { "on top" }
    }

    /// The place on its outside at an angle around from the reference line, level with where its axis ends, mm: to the
    /// right, seen from outside with the end up.
    pub fn outside(&self, turn: f64) -> Vector3<f64> {
        self.at + (self.reference * turn.cos() + self.along.cross(&self.reference) * turn.sin()) * self.radius
    }

    /// How far each of [`AROUND`] lines along its outside goes before it enters any of these, mm beyond where the axis ends;
    /// none for a line that enters none. The first line stands again at the end.
    pub fn lines(&self, onto: &[Surface]) -> Vec<Option<f64>> {
        let line = |i: usize| {
            let from = self.outside(TAU * (i % AROUND) as f64 / AROUND as f64);
            onto.iter().filter_map(|s| s.enters(from, self.along)).min_by(f64::total_cmp)
        };
        (0..=AROUND).map(line).collect()
    }

    /// Its template; none where no line meets anything, or the tube, of this length, would be gone.
    pub fn cope(&self, onto: &[Surface], length: f64) -> Option<Cope> {
        let lines = self.lines(onto);
        let longest = lines.iter().flatten().copied().fold(f64::NEG_INFINITY, f64::max);
        let least = lines.iter().flatten().copied().fold(f64::INFINITY, f64::min);
        if !longest.is_finite() || least <= -length {
            return None;
        }
        let around_mm = TAU * self.radius;
        let at = |i: usize| around_mm * i as f64 / AROUND as f64;
        let edge_mm: Vec<[f64; 2]> = lines.iter().enumerate().map(|(i, l)| [at(i), l.unwrap_or(longest)]).collect();
        let meets: Vec<bool> = lines.iter().map(Option::is_some).collect();
        let met = || edge_mm[..AROUND].iter().zip(&meets).filter(|(_, met)| **met).map(|(p, _)| *p);
        let most = |sign: f64| met().max_by(|a, b| (sign * a[1]).total_cmp(&(sign * b[1]))).unwrap_or_default();
        let past = meets[..AROUND].iter().filter(|met| !**met).count();
        let (longest_mm, shortest_mm) = (most(1.0), most(-1.0));
        Some(Cope { open: past as f64 / AROUND as f64, edge_mm, meets, around_mm, longest_mm, shortest_mm })
    }

    /// How far the bore's edge would stand inside what the tube meets if the end were sawn square to its outside along the
    /// template, at most, mm: so much has to be filed off the inside, slanting.
    pub fn relief(&self, onto: &[Surface], wall: f64) -> f64 {
        let bore = Self { radius: self.radius - wall, ..*self };
        let pairs = self.lines(onto).into_iter().zip(bore.lines(onto));
        pairs.filter_map(|(out, inner)| Some(out? - inner?)).fold(0.0, f64::max)
    }
}
