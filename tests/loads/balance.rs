//! What is true of any linkage in any pose under any load.

use std::collections::BTreeMap;

use proptest::prelude::*;
use scribeline::motion::alignment::level_between;
use scribeline::strength::forces::{NoForces, Part};

use super::*;

/// What is left over of a balance, of the load; moments by a lever of 200 mm.
const BALANCED: f64 = 1e-9;

/// Every axle of the scenes and the reference cars that has springs.
fn axles() -> Vec<(String, RunningGear, AxleName)> {
    let mut paths: Vec<_> = ["scenes", "tests/reference"]
        .into_iter()
        .flat_map(|folder| std::fs::read_dir(format!("{}/{folder}", env!("CARGO_MANIFEST_DIR"))).unwrap())
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|e| e == "ron"))
        .collect();
    paths.sort();
    let each = paths.iter().flat_map(|path| {
        let car = CarFile::open(path).unwrap_or_else(|e| panic!("{path:?}: {e}")).car().clone();
        let gear = RunningGear::new(&car).unwrap_or_else(|e| panic!("{path:?}: {e}"));
        let name = path.file_stem().unwrap().to_string_lossy().into_owned();
        AxleName::BOTH.map(|axle| (format!("{name} {}", axle.word()), gear.clone(), axle))
    });
    let sprung = |gear: &RunningGear, name| {
        gear.axle(name).is_some_and(|a| {
            a.described.damper.is_some() || a.linkage == scribeline::car::axle::Linkage::Strut
        })
    };
    each.filter(|(_, gear, name)| sprung(gear, *name)).collect()
}

/// The left-over force and moment of every part but the body, and the body's own sums.
fn left_over(forces: &Forces) -> BTreeMap<Part, (Vector3<f64>, Vector3<f64>)> {
    let mut sums = BTreeMap::new();
    let mut add = |part: Part, at: Vector3<f64>, force: Vector3<f64>, moment: Vector3<f64>| {
        let sum = sums.entry(part).or_insert((Vector3::zeros(), Vector3::zeros()));
        sum.0 += force;
        sum.1 += at.cross(&force) + moment;
    };
    for load in &forces.loads {
        add(load.on, load.at, load.force, load.moment);
    }
    for joint in &forces.joints {
        add(joint.on, joint.at, joint.force, joint.moment);
        if !joint.rod {
            add(joint.by, joint.at, -joint.force, -joint.moment);
        }
    }
    sums
}

fn three(most: f64) -> impl Strategy<Value = Vector3<f64>> {
    prop::array::uniform3(-most..most).prop_map(Vector3::from)
}

fn load() -> impl Strategy<Value = WheelLoad> {
    (three(8000.0), three(4000.0), three(3e5))
        .prop_map(|(contact, driven, moment)| WheelLoad { contact, driven, moment })
}

/// An axle's wheels at travels and a steering travel that are shares of 45 mm and of what it has; none where it ends.
fn stand(gear: &RunningGear, name: AxleName, at: [f64; 3]) -> Option<([CornerPose; 2], Plane)> {
    let axle = gear.axle(name)?;
    let rack = at[2] * axle.described.steering_travel().unwrap_or(0.0);
    let wheels = gear.raise_axle(gear.ride.axle(name)?, [45.0 * at[0], 45.0 * at[1]], rack).ok()?;
    Some((wheels, level_between(axle, &wheels)))
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, ..ProptestConfig::default() })]

    /// Newton: every part is at rest, and the body takes what the ground gives.
    #[test]
    fn every_part_is_in_balance(at in prop::array::uniform3(-0.9..0.9f64), loads in [load(), load()]) {
        for (label, gear, name) in axles() {
            let Some((wheels, ground)) = stand(&gear, name, at) else { continue };
            let told = match forces(gear.axle(name).unwrap(), &wheels, &ground, &loads) {
                Err(NoForces::Unreached(..)) => continue,
                told => told.unwrap_or_else(|e| panic!("{label}: {e}")),
            };
            let load: f64 = loads.iter().map(|l| l.contact.norm() + l.driven.norm() + l.moment.norm() / 200.0).sum();
            let sums = left_over(&told);
            // A bar's twist loads it and its links by itself.
            let most = told.members.iter().map(|m| m.axial.abs()).fold(load, f64::max);
            for (part, (force, moment)) in &sums {
                let outside = told.loads.iter().fold((Vector3::zeros(), Vector3::zeros()), |sum, l| {
                    (sum.0 + l.force, sum.1 + l.at.cross(&l.force) + l.moment)
                });
                let (force, moment) =
                    if *part == Part::Body { (force - outside.0, moment - outside.1) } else { (*force, *moment) };
                // Moments are about the frame's origin, metres away.
                let off = force.norm().max(moment.norm() / 3000.0) / most;
                prop_assert!(off < BALANCED, "{label}, {}: {off:e} of {most} N", part.words());
            }
        }
    }
}

#[test]
fn every_sort_of_axle_is_tried() {
    let all = axles();
    assert!(all.len() >= 36, "{}", all.len());
    let mut told = 0;
    for (label, gear, name) in &all {
        let (wheels, ground) = stand(gear, *name, [0.0; 3]).unwrap();
        forces(gear.axle(*name).unwrap(), &wheels, &ground, &[contact(0.0, 0.0, 3000.0); 2])
            .unwrap_or_else(|e| panic!("{label}: {e}"));
        told += 1;
    }
    assert_eq!(told, all.len());
}
