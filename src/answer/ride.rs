//! How the car rides, rolls and pitches on its springs, tyres and bars: at ride height, for small movements.
//!
//! A wheel's rate is the spring's times its ratio squared, and besides what the spring's own force adds where the ratio
//! changes with travel: for the wheel carries W = F r, and so dW/dz = k r² + F dr/dz. The tyre is in series with it
//! (Milliken & Milliken, Race Car Vehicle Dynamics, ch. 16). How it rolls is in [`roll`], how it pitches in [`pitch`].

pub mod pitch;
mod rates;
pub mod roll;
mod told;

use serde::Serialize;

use super::Verdict;
use super::study::Study;
use crate::car::{AxleName, Side};

pub use pitch::{Manoeuvre, Pitch, StrokeEnd, StrokeUse};
pub use roll::{AxleRoll, BladeAt, Roll, Transfer};
pub(super) use told::CARRIES;

/// A tyre's rate where the car file gives none, N/mm: of a radial road tyre (common practice, no source; Milliken &
/// Milliken, ch. 2, have racing tyres at 1.5 times that and more, from memory).
pub const TYRE_RATE: f64 = 200.0;

/// What is wished of the ride.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct RideAsk {
    /// Ride frequencies for which springs are wanted, front and rear, Hz.
    pub frequency: [Option<f64>; 2],
}

/// How the car rides on its springs.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Ride {
    /// Short where 1 g of braking or cornering takes a damper or the linkage past its end, nothing holds a wheel or the
    /// car upright, more hangs below the springs than the axle carries, or no spring gives a wished frequency.
    pub verdict: Verdict,
    /// The axles that are described, front first.
    pub axles: Vec<AxleRide>,
    /// How it rolls; none where the car file does not say enough.
    pub roll: Option<Roll>,
    /// How it pitches in braking; none where the car file does not say enough.
    pub pitch: Option<Pitch>,
    /// What 1 g takes of the dampers' strokes, where they are given.
    pub strokes: Vec<StrokeUse>,
    /// What is assumed, what is left out and what the car file lacks.
    pub notes: Vec<String>,
}

/// An axle on its springs.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AxleRide {
    /// The axle.
    pub axle: AxleName,
    /// Whether its spring stands apart from the damper.
    pub apart: bool,
    /// The spring's own rate; none where the car file gives none.
    pub spring_n_per_mm: Option<f64>,
    /// Rate of one tyre.
    pub tyre_n_per_mm: f64,
    /// Whether that is assumed.
    pub tyre_assumed: bool,
    /// What hangs below the springs, both sides; none where the car's weight is not known.
    pub unsprung_kg: Option<f64>,
    /// Whether that is assumed.
    pub unsprung_assumed: bool,
    /// What one wheel's spring carries.
    pub sprung_corner_kg: Option<f64>,
    /// Between the contact centres.
    pub track_mm: f64,
    /// Roll centre over the ground; where it lies aside of the wheels, what their instant centres make it in the
    /// middle.
    pub roll_centre_mm: Option<f64>,
    /// The left and the right wheel.
    pub wheels: [WheelRide; 2],
    /// Force of the anti-roll bar at the left and right wheel for each millimetre that both go, one up and one down.
    pub bar_n_per_mm: [Option<f64>; 2],
    /// The frequency that a spring is wished for.
    pub wished_hz: Option<f64>,
}

/// What a wheel's rate is made of.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct WheelRate {
    /// Spring travel over wheel travel.
    pub ratio: f64,
    /// How fast that changes with wheel travel.
    pub ratio_change_per_mm: f64,
    /// Of the spring's rate: that times the ratio squared.
    pub spring_n_per_mm: f64,
    /// Of the spring's force, by the change of the ratio; none where the wheel's load is not known.
    pub force_n_per_mm: Option<f64>,
    /// Both together.
    pub whole_n_per_mm: f64,
}

/// A wheel on its spring and tyre.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct WheelRide {
    /// Its side.
    pub side: Side,
    /// What the spring is pressed by, the car standing.
    pub spring_force_n: Option<f64>,
    /// Both wheels moving alike.
    pub heave: Option<WheelRate>,
    /// One wheel up and the other one down: of a stiff axle; elsewhere it is no other.
    pub roll: Option<WheelRate>,
    /// How far apart upright springs would stand on the axle that are as stiff in roll: of a stiff axle.
    pub spring_base_mm: Option<f64>,
    /// The wheel's rate with its tyre in series.
    pub ride_n_per_mm: Option<f64>,
    /// Of the body on spring and tyre, the damper left out.
    pub frequency_hz: Option<f64>,
    /// What the sprung weight presses spring and tyre together by, at that rate.
    pub deflection_mm: Option<f64>,
    /// The spring that would give the wished frequency; none where nothing is wished or no spring gives it.
    pub wished_n_per_mm: Option<f64>,
}

impl WheelRide {
    /// Whether both wheels moving alike, or one against the other with so much of a bar between them, push it further
    /// away than they hold it.
    fn falls(&self, bar: Option<f64>) -> bool {
        let falls = |rate: Option<WheelRate>, bar: f64| rate.is_some_and(|r| r.whole_n_per_mm + bar <= 0.0);
        falls(self.heave, 0.0) || falls(self.roll, bar.unwrap_or(0.0))
    }

    /// The rate that counts in roll.
    pub fn in_roll(&self) -> Option<&WheelRate> {
        self.roll.as_ref().or(self.heave.as_ref())
    }
}

/// Two springs in series.
fn series(a: f64, b: f64) -> f64 {
    a * b / (a + b)
}

impl Study {
    /// How the car rides, rolls and pitches on its springs.
    pub fn ride(&self, ask: &RideAsk) -> Ride {
        let axles: Vec<AxleRide> =
            AxleName::BOTH.into_iter().filter_map(|name| self.axle_ride(name, ask.frequency[name as usize])).collect();
        let roll = self.roll(&axles);
        let pitch = self.pitch(&axles);
        let strokes = self.stroke_use(&axles, roll.as_ref(), pitch.as_ref());
        let notes = self.ride_notes(&axles, roll.as_ref(), pitch.as_ref());
        let ride = Ride { verdict: Verdict::Clear, axles, roll, pitch, strokes, notes };
        let short = ride.cause().is_some() || ride.axles.iter().any(AxleRide::wishes_in_vain);
        Ride { verdict: if short { Verdict::Short } else { Verdict::Clear }, ..ride }
    }

    /// The front axle's share of the roll moment that cornering makes, 0 to 1, as springs, bars and roll centres have
    /// it. None where the car file does not say enough.
    pub fn roll_front(&self) -> Option<f64> {
        let springs = self.gear.rear.is_some() && self.gear.axles().all(|a| a.described.spring.is_some());
        let axles = || AxleName::BOTH.into_iter().filter_map(|name| self.axle_ride(name, None)).collect::<Vec<_>>();
        springs.then(|| self.roll(&axles())).flatten().map(|roll| roll.moment_front)
    }
}
