//! Checks of what a car file says about a scan. What the scan's own file holds is checked where it is read.

use nalgebra::{Matrix3xX, Vector3};

use super::{Checked, SAME, near_point};
use crate::car::error::CarError;
use crate::car::scan::Scan;
use crate::car::units::FileUnit;

/// Points picked nearer than this to one line do not hold the scan against turning about it, mm.
const OFF_LINE: f64 = 5.0;
/// Distances on the scan and on the car that differ more than this are no slip of the hand but another unit.
const OTHER_UNIT: f64 = 1.5;

pub(super) fn scan(unit: FileUnit, scan: &Scan) -> Checked {
    if scan.file.trim().is_empty() {
        let what = "a scan needs its mesh file: name it as it lies beside this car file";
        return Err(CarError::new(what).within("file"));
    }
    if let Some(check) = &scan.check
        && !check
            .strip_prefix("sha256:")
            .is_some_and(|hex| hex.len() == 64 && hex.chars().all(|c| c.is_ascii_hexdigit()))
    {
        let what = "`check` is `sha256:` and 64 digits: run `scribeline scan` on the mesh file and paste the line";
        return Err(CarError::new(what).within("check"));
    }
    place(unit, scan).map_err(|e| e.within("place"))?;
    let Some(trim) = &scan.trim else { return Ok(()) };
    let here = |e: CarError| e.within("trim");
    near_point(unit, &trim.from).map_err(|e| here(e.within("from")))?;
    near_point(unit, &trim.to).map_err(|e| here(e.within("to")))?;
    if (trim.from - trim.to).amin() < SAME {
        let what = "the box has no inside: `from` and `to` are two opposite corners, apart in x, y and z";
        return Err(here(CarError::new(what)));
    }
    Ok(())
}

fn place(unit: FileUnit, scan: &Scan) -> Checked {
    for (index, pair) in scan.place.iter().enumerate() {
        near_point(unit, &pair.car).map_err(|e| e.within("car").within(index))?;
        if !pair.scan.iter().all(|v| v.is_finite()) {
            return Err(CarError::new("a picked point needs three numbers").within("scan").within(index));
        }
    }
    let pairs = scan.pairs();
    match pairs.len() {
        0 => return Ok(()),
        1 | 2 => {
            let what = format!(
                "a scan is laid on the car by three picked points or more, and here are {}: pick more, or none if the \
                 scan is in the car's coordinates already",
                pairs.len()
            );
            return Err(CarError::new(what));
        }
        _ => {}
    }
    let [on_scan, on_car] = [0, 1].map(|k| spread(pairs.iter().map(|p| p[k])));
    let unit_of_scan = scan.unit().sign();
    if on_scan[0] < OFF_LINE && on_scan[0] * OTHER_UNIT < on_car[0] {
        let what = format!(
            "the points picked on the scan lie within {:.1} mm of their middle, those on the car within {:.0} mm: check the \
             scan's `unit`, which is {unit_of_scan}",
            on_scan[0], on_car[0]
        );
        return Err(CarError::new(what));
    }
    for (spread, place) in [(on_scan, "scan"), (on_car, "car")] {
        if spread[1] < OFF_LINE {
            let what = format!(
                "the points picked on the {place} lie on one line, about which the scan could turn: pick one well away \
                 from it"
            );
            return Err(CarError::new(what));
        }
    }
    let ratio = on_scan[0] / on_car[0];
    if !(1.0 / OTHER_UNIT..OTHER_UNIT).contains(&ratio) {
        let what = format!(
            "the points lie {ratio:.3} times as far apart on the scan as on the car: check the scan's `unit`, which is \
             {unit_of_scan}, and which point is which"
        );
        return Err(CarError::new(what));
    }
    Ok(())
}

/// How far points spread along their longest direction, and along the next one square to it, mm.
fn spread(points: impl Iterator<Item = Vector3<f64>>) -> [f64; 2] {
    let points: Vec<_> = points.collect();
    let middle = points.iter().sum::<Vector3<f64>>() / points.len() as f64;
    let off: Vec<_> = points.iter().map(|p| p - middle).collect();
    let singular = (Matrix3xX::from_columns(&off) * Matrix3xX::from_columns(&off).transpose()).symmetric_eigenvalues();
    let mut spread: Vec<f64> = singular.iter().map(|v| (v.max(0.0) / points.len() as f64).sqrt()).collect();
    spread.sort_by(|a, b| b.total_cmp(a));
    [spread[0], spread[1]]
}
