//! Checks of weights and load cases.

use std::collections::BTreeSet;

use super::{Checked, name, near, within_angle};
use crate::car::error::CarError;
use crate::car::load_case::{AtWheel, LoadCase, Weight};
use crate::car::units::FileUnit;

/// No car is lighter or heavier, kg.
const MASS: [f64; 2] = [50.0, 20_000.0];
/// No load case is harder, g.
const HARDEST: f64 = 20.0;
/// No wheel takes more from the ground, N.
const MOST: f64 = 1e6;
/// Each case is worked out whenever loads are asked for.
const MOST_CASES: usize = 200;

pub(super) fn weight(weight: &Weight) -> Checked {
    let [light, heavy] = MASS;
    if !(light..=heavy).contains(&weight.mass) {
        let what = format!("`mass` is {} kg: a car has from {light} to {heavy} kg, driver, fuel and all", weight.mass);
        return Err(CarError::new(what).within("mass"));
    }
    share(weight.front, "front")?;
    weight.roll_front.map_or(Ok(()), |part| share(part, "roll_front"))
}

fn share(value: f64, field: &str) -> Checked {
    if (0.0..=1.0).contains(&value) {
        return Ok(());
    }
    Err(CarError::new(format!("`{field}` is {value}: it is the front's share, from 0 to 1")).within(field))
}

pub(super) fn load_cases(unit: FileUnit, rear: bool, cases: &[LoadCase]) -> Checked {
    if cases.len() > MOST_CASES {
        return Err(CarError::new(format!("there are more than {MOST_CASES} load cases: keep the hard ones")));
    }
    let mut taken = BTreeSet::new();
    for (index, case) in cases.iter().enumerate() {
        let here = |e: CarError| e.within(index);
        name(&case.name, "load case").map_err(|e| here(e.within("name")))?;
        if !taken.insert(&case.name) {
            let what = format!("two load cases are called `{}`: give one of them another name", case.name);
            return Err(here(CarError::new(what).within("name")));
        }
        load_case(unit, rear, case).map_err(here)?;
    }
    Ok(())
}

fn load_case(unit: FileUnit, rear: bool, case: &LoadCase) -> Checked {
    for (field, value, least) in
        [("forward", case.forward, -HARDEST), ("left", case.left, -HARDEST), ("up", case.up, 0.0)]
    {
        if !(least..=HARDEST).contains(&value) {
            let what = format!("`{field}` is {value}: it is in g, from {least} to {HARDEST}");
            return Err(CarError::new(what).within(field));
        }
    }
    let here = |e: CarError| e.within("pose");
    for (field, mm) in [("heave", case.pose.heave), ("rack", case.pose.rack)] {
        near(unit, mm).map_err(|e| here(e.within(field)))?;
    }
    for (field, angle) in [("roll", case.pose.roll), ("pitch", case.pose.pitch)] {
        within_angle(angle, -20.0, 20.0, field).map_err(here)?;
    }
    let mut taken = BTreeSet::new();
    for (index, wheel) in case.wheels.iter().enumerate() {
        let here = |e: CarError| e.within(index).within("wheels");
        at_wheel(rear, wheel).map_err(here)?;
        if !taken.insert((wheel.axle, wheel.side)) {
            return Err(here(CarError::new("this wheel is given twice: keep one of the two")));
        }
    }
    Ok(())
}

fn at_wheel(rear: bool, wheel: &AtWheel) -> Checked {
    if wheel.axle == crate::car::AxleName::Rear && !rear {
        return Err(CarError::new("this car file describes no rear axle: take the wheel out").within("axle"));
    }
    let (field, values, most) = match (wheel.force, wheel.times) {
        (Some(force), None) => ("force", [force.x, force.y, force.z], MOST),
        (None, Some((x, y, z))) => ("times", [x, y, z], HARDEST),
        _ => {
            let what = "a wheel needs `force: (forward, left, up)` or `times: (forward, left, up)`, one of the two";
            return Err(CarError::new(what));
        }
    };
    if values.iter().all(|v| v.abs() <= most) {
        return Ok(());
    }
    Err(CarError::new(format!("`{field}` goes up to {most}, and this is more: check the number")).within(field))
}
