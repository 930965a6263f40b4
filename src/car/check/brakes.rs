//! Checks of brakes, master cylinders and pedal.

use super::{Checked, positive};
use crate::car::Car;
use crate::car::brakes::{BrakeCircuit, Brakes};
use crate::car::error::CarError;
use crate::car::units::FileUnit;

/// Pistons on one side of one caliper, at most.
const MOST_PISTONS: usize = 8;

/// That the car file says, or its brakes do, how braking is shared.
pub(super) fn share_known(car: &Car) -> Checked {
    let known = car.balance.is_none() || car.brakes_front().is_some();
    if known {
        return Ok(());
    }
    if car.brakes.is_some() {
        let what = "there is no `brakes_front` in `balance`, and `brakes` tell it only where the rear axle is described: add \
                    `brakes_front: ...`, the front wheels' share of braking from 0 to 1, or `rear: (...)`";
        return Err(CarError::new(what));
    }
    let what = "there is no `brakes_front` in `balance`: add `brakes_front: ...`, the front wheels' share of braking from 0 \
                to 1, or describe the car's `brakes`";
    Err(CarError::new(what))
}

pub(super) fn brakes(unit: FileUnit, brakes: &Brakes) -> Checked {
    circuit(unit, &brakes.front).map_err(|e| e.within("front"))?;
    circuit(unit, &brakes.rear).map_err(|e| e.within("rear"))?;
    if !(1.0..=20.0).contains(&brakes.pedal_ratio) {
        let what = format!(
            "`pedal_ratio` is {}: it is how many times the foot's force the push rod has, from 1 to 20",
            brakes.pedal_ratio
        );
        return Err(CarError::new(what).within("pedal_ratio"));
    }
    match brakes.balance_bar {
        Some(share) if !(0.05..=0.95).contains(&share) => {
            let what =
                format!("`balance_bar` is {share}: it is the front cylinder's share of the push, from 0.05 to 0.95");
            Err(CarError::new(what).within("balance_bar"))
        }
        _ => Ok(()),
    }
}

fn circuit(unit: FileUnit, circuit: &BrakeCircuit) -> Checked {
    if circuit.pistons.is_empty() || circuit.pistons.len() > MOST_PISTONS {
        let what =
            "`pistons` are the diameters of those on one side of a caliper's disc, one to eight: `pistons: [38]`";
        return Err(CarError::new(what).within("pistons"));
    }
    for (index, &mm) in circuit.pistons.iter().enumerate() {
        positive(unit, mm, "pistons").map_err(|e| CarError::new(e.what()).within(index).within("pistons"))?;
    }
    positive(unit, circuit.radius, "radius")?;
    positive(unit, circuit.master, "master")?;
    if (0.05..=1.5).contains(&circuit.friction) {
        return Ok(());
    }
    let what = format!("`friction` is {}: that of pads on a disc is from 0.05 to 1.5", circuit.friction);
    Err(CarError::new(what).within("friction"))
}
