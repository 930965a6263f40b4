//! Checks of grades of metal, their names, and joints' ratings.

use super::{Checked, name, positive};
use crate::car::axle::Axle;
use crate::car::error::{CarError, instead_of};
use crate::car::units::FileUnit;
use crate::car::{Car, grade::Rated};
use crate::strength::{bolt, material};

/// No factor that is wanted lies outside.
const FACTORS: [f64; 2] = [1.0, 20.0];

/// The car file's own rows, and the factor that is wanted.
pub(super) fn own(car: &Car) -> Checked {
    for (index, row) in car.grades.iter().enumerate() {
        let here = |e: CarError| e.within(index).within("grades");
        name(&row.name, "grade of metal").map_err(|e| here(e.within("name")))?;
        if car.grades[..index].iter().any(|other| other.name.eq_ignore_ascii_case(&row.name)) {
            let what = format!("two grades are called `{}`: give one of them another name", row.name);
            return Err(here(CarError::new(what).within("name")));
        }
        // Bounds that catch a number in GPa, ksi or g/cm³.
        for (field, value, [low, high], unit) in [
            ("modulus", row.modulus, [10_000.0, 1e6], "MPa, steel 205000"),
            ("poisson", row.poisson, [0.05, 0.495], "a bare number, steel 0.29"),
            ("density", row.density, [500.0, 30_000.0], "kg/m³, steel 7850"),
            ("yield", row.yield_strength, [20.0, 5000.0], "MPa"),
            ("ultimate", row.ultimate, [row.yield_strength, 5000.0], "MPa, not less than yield"),
        ] {
            if !(low..=high).contains(&value) {
                let what = format!("`{field}` is {value}: it is in {unit}, from {low} to {high}");
                return Err(here(CarError::new(what).within(field)));
            }
        }
    }
    let [low, high] = FACTORS;
    if !(low..=high).contains(&car.wanted_factor) {
        let what = format!(
            "`wanted_factor` is {}: it is how many times the load a part has to hold, from {low} to {high}",
            car.wanted_factor
        );
        return Err(CarError::new(what).within("wanted_factor"));
    }
    Ok(())
}

/// The grade and ratings that an axle names.
pub(super) fn of_axle(car: &Car, unit: FileUnit, axle: &Axle) -> Checked {
    if let Some(grade) = axle.grade.as_ref().filter(|grade| car.material(grade).is_none()) {
        return Err(unknown(car, grade, false).within("grade"));
    }
    let arms = |e: CarError| e.within("arms");
    rated(axle.arms.rod_end).map_err(|e| arms(e.within("rod_end")))?;
    rated(axle.arms.ball_joint).map_err(|e| arms(e.within("ball_joint")))?;
    let Some(bolt) = &axle.bolt else { return Ok(()) };
    positive(unit, bolt.diameter, "diameter").map_err(|e| e.within("bolt"))?;
    match bolt.grade.as_ref().filter(|grade| car.bolt_material(grade).is_none()) {
        Some(grade) => Err(unknown(car, grade, true).within("grade").within("bolt")),
        None => Ok(()),
    }
}

/// A grade that a rail, a tube or a size in stock names.
pub(super) fn named(car: &Car, grade: Option<&String>) -> Checked {
    match grade.filter(|grade| car.material(grade).is_none()) {
        Some(grade) => Err(unknown(car, grade, false).within("grade")),
        None => Ok(()),
    }
}

fn rated(rated: Option<Rated>) -> Checked {
    match rated {
        Some(Rated { static_radial: n }) if !(n > 0.0 && n <= 1e7) => {
            let what = format!("`static_radial` is {n} N: give the maker's static radial rating, such as \"40 kN\"");
            Err(CarError::new(what).within("static_radial"))
        }
        _ => Ok(()),
    }
}

fn unknown(car: &Car, grade: &str, bolts: bool) -> CarError {
    let own = car.grades.iter().map(|row| row.name.as_str());
    let table = material::grades().iter().map(|row| row.name.as_ref());
    let classes = bolt::CLASSES.iter().filter(|_| bolts).map(|row| row.0);
    let instead = instead_of(grade, own.chain(table).chain(classes));
    let all = " Or give its numbers in a row of your own under `grades`";
    CarError::new(format!("there is no grade of metal `{grade}`{instead}{all}"))
}
