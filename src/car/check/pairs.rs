//! Checks of the pairs that the user leaves out or adds: the parts are there, in the car as found or in a proposal.

use std::collections::BTreeSet;

use super::Checked;
use super::body::MOST_WANTED;
use crate::car::Car;
use crate::car::error::{CarError, instead_of};
use crate::space::{Parts, Scans};

/// `cars` are the car as found and with each of its proposals.
pub(super) fn pairs(car: &Car, cars: &[Car]) -> Checked {
    if car.ignore.is_empty() && car.measure.is_empty() {
        return Ok(());
    }
    // A scan is a part by its name, whether its file has been read or not.
    let parts: Vec<Parts> = cars.iter().map(|car| Parts::with_scans(car, &Scans::unread(car))).collect();
    let names: BTreeSet<String> = parts.iter().flat_map(Parts::names).collect();
    let known = |name: &str, index: usize| {
        if names.contains(name) {
            return Ok(());
        }
        let what = format!("there is no part `{name}`{}", nearest(name, &names));
        Err(CarError::new(what).within(index))
    };
    for (index, pair) in car.ignore.iter().enumerate() {
        let here = |e: CarError| e.within(index).within("ignore");
        known(&pair.0, 0).and_then(|()| known(&pair.1, 1)).map_err(here)?;
        if pair.2.trim().is_empty() {
            let what = "say why this pair is left out: whoever reads the file next will ask";
            return Err(here(CarError::new(what).within(2)));
        }
    }
    for (index, pair) in car.measure.iter().enumerate() {
        let here = |e: CarError| e.within(index).within("measure");
        known(&pair.a, 0).and_then(|()| known(&pair.b, 1)).map_err(here)?;
        if parts.iter().all(|p| p.could_meet(&pair.a, &pair.b).is_empty()) {
            let what = format!(
                "`{}` and `{}` are not measured against each other: a pair is a part that moves, and one of its own \
                 axle and side or one that is fixed to the body",
                pair.a, pair.b
            );
            return Err(here(CarError::new(what)));
        }
        let wanted = pair.wanted.unwrap_or(0.0);
        if !(0.0..=MOST_WANTED).contains(&wanted) {
            let (is, most) = (car.unit.length(wanted), car.unit.length(MOST_WANTED));
            let what = format!("the wanted gap is {is}: it is from nothing up to {most}");
            return Err(here(CarError::new(what).within(2)));
        }
    }
    Ok(())
}

/// The nearest spelling, or where to look: a car has too many parts to name them all.
fn nearest(name: &str, names: &BTreeSet<String>) -> String {
    let said = instead_of(name, names.iter().map(String::as_str));
    if said.contains("did you mean") { said } else { ": parts are called as `scribeline gaps` calls them".to_owned() }
}
