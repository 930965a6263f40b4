//! How the gaps that are watched follow the free coordinates.
//!
//! A pair that a whole car breaks is watched in the very pose in which it is least. How its gap there follows the coordinates is
//! measured, a pose and a pair at a time, and tells how a least gap follows them: the least over the sweep changes as the gap in
//! its pose does, for there the pose is at rest. Then the whole car is asked again.

use nalgebra::Vector2;
use rayon::prelude::*;

use super::keep::Watched;
use super::trial::Trial;
use crate::answer::WorstPose;
use crate::motion::{Pose, RunningGear};
use crate::space::Parts;

/// What a search leaves over a gap that it has to keep, mm, so that what is found and proven afterwards keeps it too.
const HAIR: f64 = 0.03;
/// The step by which gaps are measured, mm.
const STEP: f64 = 0.05;

/// How what is watched follows the free coordinates, near a place.
pub(super) struct Follows {
    from: Vec<f64>,
    lacks: Vec<Lack>,
}

/// What a gap lacks.
struct Lack {
    /// There, mm; negative is in hand.
    here: f64,
    /// How that changes with each coordinate.
    slopes: Vec<f64>,
}

/// The watched pairs' gaps with the points at `x`, each in its pose; none where it is too far apart to be measured.
fn measured(trial: &Trial, watched: &[Watched], x: &[f64]) -> Option<Vec<Option<f64>>> {
    let car = trial.start.car.unchecked(&trial.changes(x)).ok()?;
    let (gear, parts) = (RunningGear::new(&car).ok()?, Parts::with_scans(&car, trial.scans));
    Some(watched.iter().map(|w| gap(w, &gear, &parts)).collect())
}

/// As far from the car as it is towards `x` as what is watched, and holds there, still does. A rod that is deep in
/// something does not tell which way is out.
pub(super) fn holding(trial: &Trial, watched: &[Watched], x: &[f64]) -> Vec<f64> {
    let mut as_is = vec![0.0; x.len()];
    trial.within(&mut as_is);
    let at = |share: f64| as_is.iter().zip(x).map(|(from, to)| from + (to - from) * share).collect::<Vec<f64>>();
    let holds = |gap: Option<f64>, w: &Watched| gap.is_none_or(|gap| gap >= w.need);
    let Some(home) = (!watched.is_empty()).then(|| measured(trial, watched, &as_is)).flatten() else {
        return x.to_vec();
    };
    let all = |share: f64| {
        let there = measured(trial, watched, &at(share));
        let each = |there: Vec<Option<f64>>| {
            (0..watched.len()).all(|i| !holds(home[i], &watched[i]) || holds(there[i], &watched[i]))
        };
        there.is_some_and(each)
    };
    if all(1.0) {
        return x.to_vec();
    }
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..7 {
        let middle = (low + high) / 2.0;
        if all(middle) { low = middle } else { high = middle }
    }
    at(low)
}

impl Follows {
    /// Measured at `x`. None where the car cannot stand there.
    pub fn new(trial: &Trial, watched: &[Watched], x: &[f64]) -> Option<Self> {
        if watched.is_empty() {
            return Some(Self { from: x.to_vec(), lacks: Vec::new() });
        }
        let steps: Vec<Vec<f64>> = (0..=x.len())
            .map(|k| {
                let mut there = x.to_vec();
                if let Some(i) = k.checked_sub(1) {
                    there[i] += STEP;
                }
                there
            })
            .collect();
        let all: Vec<_> = steps.par_iter().map(|x| measured(trial, watched, x)).collect();
        let here = all[0].clone()?;
        let lacks = watched.iter().enumerate().map(|(w, watched)| {
            let slope = |k: usize| {
                let there = all[k + 1].as_ref().and_then(|gaps| gaps[w]);
                there.zip(here[w]).map_or(0.0, |(there, here)| (here - there) / STEP)
            };
            // What is too far apart to be measured lacks nothing.
            let here = here[w].map_or(f64::NEG_INFINITY, |gap| watched.need - gap);
            Lack { here, slopes: (0..x.len()).map(slope).collect() }
        });
        let lacks = lacks.collect();
        Some(Self { from: x.to_vec(), lacks })
    }

    /// What each lacks at `x`, mm, nothing where it lacks nothing; with what is asked on top where `hair` says so.
    pub fn lacks(&self, x: &[f64], hair: bool) -> impl Iterator<Item = f64> {
        let off: Vec<f64> = x.iter().zip(&self.from).map(|(x, from)| x - from).collect();
        self.lacks.iter().map(move |lack| {
            let there = lack.here + lack.slopes.iter().zip(&off).map(|(s, o)| s * o).sum::<f64>();
            (there + if hair { HAIR } else { 0.0 }).max(0.0)
        })
    }
}

/// A pair's gap in the pose that it is watched in.
fn gap(watched: &Watched, gear: &RunningGear, parts: &Parts) -> Option<f64> {
    let place = &watched.place;
    let nearest = match watched.at {
        WorstPose::Wheel { travel_mm, rack_mm, other_travel_mm } => {
            let hub = place.a.hub()?;
            let at = Vector2::new(travel_mm, rack_mm.or(other_travel_mm).unwrap_or(0.0));
            let pose = gear.raise(gear.ride(hub), at).ok()?;
            parts.gap(gear, place, &pose, place.within)
        }
        WorstPose::Body(told) => {
            let pose = Pose {
                heave: told.heave_mm,
                roll: told.roll_deg.to_radians(),
                pitch: told.pitch_deg.to_radians(),
                rack: told.rack_mm,
            };
            parts.ground_gap(gear, place, &gear.stand(&pose).ok()?)
        }
    };
    nearest.map(|n| n.gap)
}
