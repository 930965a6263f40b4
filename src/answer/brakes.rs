//! How braking is shared between front and rear, against what the wheels stand on.
//!
//! A car that brakes at a g stands on its front wheels with W (f + a h / L), on its rear ones with the rest; braking is ideal
//! where each axle has its share of it, and both are then at the end of their grip at once (Gillespie, Fundamentals of
//! Vehicle Dynamics, ch. 3; Limpert, Brake Design and Safety, ch. 7). Steady braking on a level road, pads of one friction at
//! every heat and speed, no wings, no engine, and no friction in cylinders and pedal.

mod ideal;
mod told;

use serde::Serialize;

use super::study::{NoAnswer, Study};
use super::{Verdict, change::Between};
use crate::car::brakes::bore_area;
use crate::car::units::GRAVITY;
use crate::car::{AxleName, Brakes, Car};

pub use ideal::{BORES, Ideal, IdealRow, Pair};
pub use told::bore_cell;

/// Stands where the user decides.
pub const CAUTION: &str = "Brakes carry lives: this is arithmetic, no approval. Follow local codes and the rule book of your \
                           class, have the brakes judged by a licensed engineer, and try them with care, in a straight line, \
                           before driving.";

/// What is asked of the brakes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BrakeAsk {
    /// Force of the foot on the pedal, N.
    pub pedal: f64,
    /// Grip of the tyres: braking force over load.
    pub grip: f64,
    /// The deceleration that the brakes are to be ideal at, g.
    pub at: f64,
}

impl Default for BrakeAsk {
    /// A firm foot and good tyres (common practice, no source).
    fn default() -> Self {
        Self { pedal: 500.0, grip: 1.0, at: 0.9 }
    }
}

/// How the brakes share.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Braking {
    /// Short where the rear wheels lock before the front ones.
    pub verdict: Verdict,
    /// Force of the foot that pressures and forces are told for.
    pub pedal_n: f64,
    /// Braking force over load that the tyres hold.
    pub grip: f64,
    /// The front and the rear brakes.
    pub axles: [AxleBrakes; 2],
    /// The front wheels' share of braking, per cent.
    pub front_percent: f64,
    /// Deceleration at that pedal force, were there grip for it.
    pub decel_g: f64,
    /// Against ideal braking at one deceleration after another.
    pub rows: Vec<IdealRow>,
    /// Where the wheels lock.
    pub locks: Locks,
    /// What would make them ideal.
    pub ideal: Ideal,
    /// The same brakes on the wheels as found, where another car is asked about.
    pub change: Option<BrakeChange>,
    /// What in the car file contradicts, and what else is to be known.
    pub notes: Vec<String>,
    /// Brakes carry lives.
    pub caution: &'static str,
}

/// One axle's brakes.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AxleBrakes {
    /// The axle.
    pub axle: AxleName,
    /// Bore of the master cylinder.
    pub master_mm: f64,
    /// Area that presses one pad.
    pub piston_mm2: f64,
    /// Effective radius of the disc.
    pub radius_mm: f64,
    /// Wheel centre over the ground.
    pub tyre_radius_mm: f64,
    /// In the line.
    pub pressure_mpa: f64,
    /// On one wheel.
    pub torque_nm: f64,
    /// Braking force of both wheels.
    pub force_n: f64,
}

/// Where wheels lock.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Locks {
    /// The axle that locks first; none where both do at once or neither ever.
    pub first: Option<AxleName>,
    /// Deceleration at which the front and the rear wheels lock by themselves; none where they never do.
    pub at_g: [Option<f64>; 2],
    /// The most deceleration before any wheel locks.
    pub most_g: f64,
    /// The foot's force there.
    pub pedal_n: f64,
    /// Share of the grip that is used there, per cent.
    pub efficiency_percent: f64,
}

/// What other tyres do to the same brakes.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BrakeChange {
    /// Wheel centres over the ground, front and rear, mm.
    pub tyre_radius_mm: [Between; 2],
    /// The front wheels' share of braking, per cent.
    pub front_percent: Between,
    /// Deceleration at the same pedal force, g.
    pub decel_g: Between,
    /// The most deceleration before any wheel locks, g.
    pub most_g: Between,
}

/// What the brakes of a car come to: forces per newton of the foot, and what it stands on.
#[derive(Clone, Copy)]
struct Sums {
    /// N of braking of both wheels for each N of the foot, front and rear.
    per_pedal: [f64; 2],
    weight: f64,
    front: f64,
    /// Height of the centre of gravity over the wheelbase.
    lifts: f64,
}

impl Sums {
    fn of(car: &Car) -> Result<Self, NoAnswer> {
        let brakes = car.brakes.as_ref().ok_or(NoAnswer::NoBrakes)?;
        let weight = car.weight.ok_or(NoAnswer::BrakesLack("weight: (mass: ..., front: ...)"))?;
        let balance = car.balance.ok_or(NoAnswer::BrakesLack("balance: (cg_height: ..., driven: rear)"))?;
        let axle = |name| car.braking_per_push(name).map(|n| n * brakes.pedal_ratio).ok_or(NoAnswer::NoAxle);
        Ok(Self {
            per_pedal: [axle(AxleName::Front)?, axle(AxleName::Rear)?],
            weight: weight.mass * GRAVITY,
            front: weight.front,
            lifts: balance.cg_height / car.wheelbase,
        })
    }

    fn share(&self) -> f64 {
        self.per_pedal[0] / (self.per_pedal[0] + self.per_pedal[1])
    }

    fn decel(&self, pedal: f64) -> f64 {
        pedal * (self.per_pedal[0] + self.per_pedal[1]) / self.weight
    }

    /// What the front and rear wheels stand on at this deceleration, N.
    fn stands(&self, g: f64) -> [f64; 2] {
        let front = (self.front + g * self.lifts).clamp(0.0, 1.0);
        [front * self.weight, (1.0 - front) * self.weight]
    }

    /// Each axle brakes with its share of a W and can with its load times the grip: a share = grip (f + a h / L).
    fn locks(&self, grip: f64) -> Locks {
        let share = self.share();
        let at = |part: f64, front: f64, more: f64| {
            let left = part - grip * more;
            (left > 1e-12).then(|| grip * front / left)
        };
        let at_g = [at(share, self.front, self.lifts), at(1.0 - share, 1.0 - self.front, -self.lifts)];
        let [front, rear] = at_g.map(|g| g.unwrap_or(f64::INFINITY));
        let most = front.min(rear);
        let first = match (front - rear).abs() < 1e-9 * most {
            true => None,
            false if front < rear => Some(AxleName::Front),
            false => Some(AxleName::Rear),
        };
        Locks { first, at_g, most_g: most, pedal_n: most / self.decel(1.0), efficiency_percent: most / grip * 100.0 }
    }
}

impl Study {
    /// How the brakes share; `found` is the car as found where this is a proposal made of it.
    ///
    /// # Errors
    /// [`NoAnswer`] where the car file describes no brakes, or not the weight, centre of gravity or rear axle that they are
    /// held against.
    pub fn brakes(&self, found: Option<&Self>, ask: &BrakeAsk) -> Result<Braking, NoAnswer> {
        let sums = Sums::of(&self.car)?;
        let brakes = self.car.brakes.as_ref().ok_or(NoAnswer::NoBrakes)?;
        let locks = sums.locks(ask.grip);
        let before = found.and_then(|found| Some((&found.car, Sums::of(&found.car).ok()?)));
        let change = before.map(|(car, before)| {
            let radius = |axle| Between::new(tyre_radius(car, axle), tyre_radius(&self.car, axle));
            let between = |of: &dyn Fn(&Sums) -> f64| Between::new(Some(of(&before)), Some(of(&sums)));
            BrakeChange {
                tyre_radius_mm: AxleName::BOTH.map(radius),
                front_percent: between(&|s| s.share() * 100.0),
                decel_g: between(&|s| s.decel(ask.pedal)),
                most_g: between(&|s| s.locks(ask.grip).most_g),
            }
        });
        let verdict = if locks.first == Some(AxleName::Rear) { Verdict::Short } else { Verdict::Clear };
        Ok(Braking {
            verdict,
            pedal_n: ask.pedal,
            grip: ask.grip,
            axles: AxleName::BOTH.map(|axle| axle_brakes(&self.car, brakes, &sums, axle, ask.pedal)),
            front_percent: sums.share() * 100.0,
            decel_g: sums.decel(ask.pedal),
            rows: ideal::rows(&sums),
            locks,
            ideal: ideal::at(&sums, brakes, ask.at),
            change,
            notes: told::notes(&self.car, ask, &sums).into_iter().chain(self.same_height()).collect(),
            caution: CAUTION,
        })
    }
}

fn tyre_radius(car: &Car, axle: AxleName) -> Option<f64> {
    car.axle(axle).map(|a| a.tyre.mounted(&a.wheel).loaded_radius)
}

fn axle_brakes(car: &Car, brakes: &Brakes, sums: &Sums, axle: AxleName, pedal: f64) -> AxleBrakes {
    let circuit = brakes.of(axle);
    let pressure = pedal * brakes.pedal_ratio * brakes.push(axle) / bore_area(circuit.master);
    AxleBrakes {
        axle,
        master_mm: circuit.master,
        piston_mm2: circuit.piston_area(),
        radius_mm: circuit.radius,
        tyre_radius_mm: tyre_radius(car, axle).unwrap_or_default(),
        pressure_mpa: pressure,
        torque_nm: pressure * circuit.torque_per_mpa() / 1000.0,
        force_n: pedal * sums.per_pedal[axle as usize],
    }
}
