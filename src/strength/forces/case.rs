//! What each wheel takes from the ground in a load case.
//!
//! The car is stiff and its accelerations steady: it stands on its front and rear axle by its weight share, by what
//! braking or driving shifts between them (m a h / L), and on its inner and outer wheels by what cornering shifts
//! (m a h, split between the axles by a stated share, over each track). A wheel that would leave the ground carries
//! nothing; what it can shift no more its axle leaves to the other one (Milliken & Milliken, Race Car Vehicle Dynamics,
//! ch. 18, from memory). An axle corners with its weight share of the force; its wheels pull sideways, brake and drive
//! in proportion to what they stand on. Wings, and the weight of wheels and axles hung below the springs, are left out.

use nalgebra::Vector3;

use super::WheelLoad;
use crate::car::axle::Linkage;
use crate::car::body::Driven;
use crate::car::load_case::LoadCase;
use crate::car::units::GRAVITY;
use crate::car::{AxleName, Car, Hub, Side};
use crate::motion::{Alignment, Posed, RunningGear};

/// What the wheels of a car take in a load case.
#[derive(Debug, Clone, PartialEq)]
pub struct WheelLoads {
    /// For each wheel, by [`Hub::ALL`]: what it takes.
    pub loads: [WheelLoad; 4],
    /// For each wheel what the ground gives it: forward, to the left, up, N.
    pub ground: [Vector3<f64>; 4],
    /// Whether nothing holds it down any more: it tips over, or stands on its nose.
    pub tips: bool,
}

/// What a load case needs that the car file does not say.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum Lacking {
    /// The car's weight.
    #[error(
        "the car file does not say what the car weighs: add `weight: (mass: ..., front: ...)`, kg with driver and fuel and \
         the front wheels' share, or give every wheel's `force` in each of the `load_cases`"
    )]
    Weight,
    /// The height of the centre of gravity, and who brakes and drives.
    #[error(
        "the height of the centre of gravity is missing: add `balance: (cg_height: ..., brakes_front: ..., driven: rear)`"
    )]
    Balance,
    /// How braking is shared between front and rear.
    #[error(
        "how braking is shared is missing: add `brakes_front: ...` to `balance`, the front wheels' share from 0 to 1, or describe \
         the `brakes` and the rear axle"
    )]
    BrakesFront,
}

/// Everything about the car that its wheels' loads come from.
struct Standing<'a> {
    car: &'a Car,
    gear: &'a RunningGear,
    posed: &'a Posed,
    /// The front axle's share of what cornering shifts.
    roll_front: f64,
    /// Forward, to the left and up over the ground, body frame.
    ways: [Vector3<f64>; 3],
}

/// What the wheels take in a load case, the car standing so. `roll_front`: the front axle's share of what cornering shifts,
/// as springs and bars make it; the car file's own stands before it, and without either the share is the weight's.
///
/// # Errors
/// [`Lacking`] where the car file does not say enough.
pub fn wheel_loads(
    car: &Car,
    gear: &RunningGear,
    posed: &Posed,
    case: &LoadCase,
    roll_front: Option<f64>,
) -> Result<WheelLoads, Lacking> {
    let up = posed.ground.normal;
    let left = up.cross(&Vector3::x()).normalize();
    let own = car.weight.map(|w| w.roll_front.or(roll_front).unwrap_or(w.front));
    let roll_front = own.unwrap_or_default();
    Standing { car, gear, posed, roll_front, ways: [left.cross(&up), left, up] }.loads(case)
}

impl Standing<'_> {
    fn loads(&self, case: &LoadCase) -> Result<WheelLoads, Lacking> {
        let given = |hub: Hub| case.wheels.iter().find(|w| w.axle == hub.axle && w.side == hub.side);
        let forced = |hub: Hub| given(hub).is_some_and(|w| w.force.is_some());
        let (mut ground, mut brakes, mut tips) = ([Vector3::zeros(); 4], [true; 4], false);
        if !self.gear.hubs().all(forced) {
            (ground, tips) = self.accelerated(case)?;
        }
        for (i, hub) in Hub::ALL.into_iter().enumerate() {
            brakes[i] = case.forward <= 0.0 || self.torque_in_axle(hub.axle);
            let Some(wheel) = given(hub) else { continue };
            brakes[i] = true;
            if let Some(force) = wheel.force {
                ground[i] = force;
            } else if let Some((x, y, z)) = wheel.times {
                ground[i] = Vector3::new(x, y, z) * self.at_rest(hub.axle)?;
            }
        }
        let load = |i: usize| {
            let [forward, left, up] = self.ways;
            let [x, y, z]: [f64; 3] = ground[i].into();
            let held = if brakes[i] { x } else { 0.0 };
            WheelLoad {
                contact: forward * held + left * y + up * z,
                driven: forward * (x - held),
                moment: Vector3::zeros(),
            }
        };
        Ok(WheelLoads { loads: [load(0), load(1), load(2), load(3)], ground, tips })
    }

    /// Whether the final drive sits in the axle, and its torque with it.
    fn torque_in_axle(&self, axle: AxleName) -> bool {
        self.gear.axle(axle).is_some_and(|a| a.linkage == Linkage::LiveAxle)
    }

    /// What one wheel of an axle stands on at rest, N.
    fn at_rest(&self, axle: AxleName) -> Result<f64, Lacking> {
        let weight = self.car.weight.ok_or(Lacking::Weight)?;
        let share = if axle == AxleName::Front { weight.front } else { 1.0 - weight.front };
        Ok(weight.mass * GRAVITY * share / 2.0)
    }

    fn accelerated(&self, case: &LoadCase) -> Result<([Vector3<f64>; 4], bool), Lacking> {
        let weight = self.car.weight.ok_or(Lacking::Weight)?;
        let newtons = weight.mass * GRAVITY;
        let needs = case.forward != 0.0 || case.left != 0.0;
        let balance = if needs { Some(self.car.balance.ok_or(Lacking::Balance)?) } else { None };
        let height = balance.map_or(0.0, |b| b.cg_height + case.pose.heave);
        let front = weight.front;
        let brakes_front =
            if case.forward < 0.0 { self.car.brakes_front().ok_or(Lacking::BrakesFront)? } else { front };
        // What each axle stands on.
        let stands = newtons * case.up;
        let to_rear = newtons * case.forward * height / self.car.wheelbase;
        let on_front = (stands * front - to_rear).clamp(0.0, stands);
        let mut tips = on_front != stands * front - to_rear;
        let axles = [on_front, stands - on_front];
        // What the outer wheels of each get more than half.
        let turns = newtons * case.left * height;
        let share = self.roll_front;
        let most = AxleName::BOTH.map(|axle| self.track(axle).map(|track| axles[axle as usize] * track / 2.0));
        let wanted = [turns.abs() * share, turns.abs() * (1.0 - share)];
        let held = |i: usize, wanted: f64| most[i].map_or(wanted, |most| wanted.min(most));
        let over = [0, 1].map(|i| wanted[i] - held(i, wanted[i]));
        let moments = [0, 1].map(|i| held(i, wanted[i] + over[1 - i]));
        tips |= wanted.iter().sum::<f64>() > moments.iter().sum::<f64>() + 1e-9;
        let mut ground = [Vector3::zeros(); 4];
        for (i, hub) in Hub::ALL.into_iter().enumerate() {
            let axle = hub.axle as usize;
            let Some(track) = self.track(hub.axle) else { continue };
            // A left turn loads the right wheels.
            let more = -hub.side.sign() * case.left.signum() * moments[axle] / track;
            let up = axles[axle] / 2.0 + more;
            let part = if axles[axle] > 0.0 { up / axles[axle] } else { 0.0 };
            let front_has = |front: f64| if hub.axle == AxleName::Front { front } else { 1.0 - front };
            let pulls = balance.map_or(0.0, |b| match (case.forward < 0.0, b.driven) {
                (true, _) => front_has(brakes_front),
                (false, Driven::Front) => front_has(1.0),
                (false, Driven::Rear) => front_has(0.0),
                (false, Driven::Both) => 0.5,
            });
            let (x, y) = (newtons * case.forward * pulls, newtons * case.left * front_has(front));
            ground[i] = Vector3::new(x * part, y * part, up);
        }
        Ok((ground, tips))
    }

    /// Between an axle's contacts, across the car over the ground, mm. None where it is not described.
    fn track(&self, name: AxleName) -> Option<f64> {
        let (axle, wheels) = (self.gear.axle(name)?, self.posed.axle(name)?);
        let at = |side: Side| Alignment::of(axle, &wheels[side as usize], &self.posed.ground).contact;
        Some((at(Side::Left) - at(Side::Right)).dot(&self.ways[1]))
    }
}
