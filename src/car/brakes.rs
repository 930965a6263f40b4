//! Calipers, discs, master cylinders and pedal: what shares braking between front and rear.

use std::f64::consts::PI;

use serde::Deserialize;

use super::{AxleName, Car, amounts, units};

/// A car's brakes, both circuits.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Brakes {
    /// The front ones.
    pub front: BrakeCircuit,
    /// The rear ones.
    pub rear: BrakeCircuit,
    /// How many times the foot's force reaches the push rod.
    pub pedal_ratio: f64,
    /// The front master cylinder's share of the push rod's force, 0 to 1: where the balance bar is set. Left out, there is
    /// none, and each circuit has the whole push, as in a tandem cylinder.
    #[serde(default)]
    pub balance_bar: Option<f64>,
}

/// One axle's brakes, alike on both sides, and the master cylinder that works them.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BrakeCircuit {
    /// Diameters of the pistons on one side of a caliper's disc, mm; of a sliding caliper all that it has.
    #[serde(deserialize_with = "amounts::lengths")]
    pub pistons: Vec<f64>,
    /// Effective radius of the disc, mm: from the spin axis to the middle of the pads.
    #[serde(deserialize_with = "units::length")]
    pub radius: f64,
    /// Friction of pads on disc, as they are used.
    pub friction: f64,
    /// Bore of its master cylinder, mm.
    #[serde(deserialize_with = "units::length")]
    pub master: f64,
}

/// Area of a bore, mm².
pub fn bore_area(diameter: f64) -> f64 {
    PI / 4.0 * diameter * diameter
}

impl BrakeCircuit {
    /// Area that presses one pad, mm².
    pub fn piston_area(&self) -> f64 {
        self.pistons.iter().map(|d| bore_area(*d)).sum()
    }

    /// Torque on one wheel for each MPa in the line, N mm: both pads rub, so twice friction times pressed area times
    /// effective radius (Limpert, Brake Design and Safety, ch. 2 and 5: disc brake factor 2 mu, from memory).
    pub fn torque_per_mpa(&self) -> f64 {
        2.0 * self.friction * self.piston_area() * self.radius
    }
}

impl Brakes {
    /// An axle's circuit.
    pub fn of(&self, axle: AxleName) -> &BrakeCircuit {
        match axle {
            AxleName::Front => &self.front,
            AxleName::Rear => &self.rear,
        }
    }

    /// An axle's part of the push rod's force.
    pub fn push(&self, axle: AxleName) -> f64 {
        match (self.balance_bar, axle) {
            (None, _) => 1.0,
            (Some(front), AxleName::Front) => front,
            (Some(front), AxleName::Rear) => 1.0 - front,
        }
    }
}

impl Car {
    /// Braking force of both wheels of an axle for each newton at the push rod, on tyres of this radius.
    pub fn braking_per_push(&self, axle: AxleName) -> Option<f64> {
        let (brakes, described) = (self.brakes.as_ref()?, self.axle(axle)?);
        let circuit = brakes.of(axle);
        let pressure = brakes.push(axle) / bore_area(circuit.master);
        let radius = described.tyre.mounted(&described.wheel).loaded_radius;
        Some(2.0 * pressure * circuit.torque_per_mpa() / radius)
    }

    /// The front wheels' share of braking as the brakes make it, 0 to 1. None where they, or the rear axle, are not
    /// described.
    pub fn braked_front(&self) -> Option<f64> {
        let [front, rear] = [self.braking_per_push(AxleName::Front)?, self.braking_per_push(AxleName::Rear)?];
        Some(front / (front + rear))
    }

    /// The front wheels' share of braking, 0 to 1: as `balance` says, or else as the brakes make it.
    pub fn brakes_front(&self) -> Option<f64> {
        self.balance.and_then(|b| b.brakes_front).or_else(|| self.braked_front())
    }
}
