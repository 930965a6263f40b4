//! What is true of any linkage in any pose under any load.

use std::collections::BTreeMap;

use proptest::prelude::*;
use scribeline::answer::Study;
use scribeline::car::PointName::{BarLever, BarPivot, PitmanEnd, PitmanShaft, PitmanShaftTop, TieRodInner};
use scribeline::motion::alignment::level_between;
use scribeline::motion::{Mode, Suspension};
use scribeline::strength::forces::{NoForces, Part};

use super::*;

/// What is left over of a balance, of the load; moments by a lever of 200 mm.
const BALANCED: f64 = 1e-9;

/// Every axle of the scenes and the reference cars that has springs.
fn axles() -> Vec<(String, RunningGear, AxleName)> {
    cars().into_iter().map(|(label, gear, name, _)| (label, gear, name)).collect()
}

/// The same with its car.
fn cars() -> Vec<(String, RunningGear, AxleName, Car)> {
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
        AxleName::BOTH.map(|axle| (format!("{name} {}", axle.word()), gear.clone(), axle, car.clone()))
    });
    let sprung = |gear: &RunningGear, name| {
        gear.axle(name)
            .is_some_and(|a| a.described.damper.is_some() || a.linkage == scribeline::car::axle::Linkage::Strut)
    };
    each.filter(|(_, gear, name, _)| sprung(gear, *name)).collect()
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
    (three(8000.0), three(4000.0), three(3e5)).prop_map(|(contact, driven, moment)| WheelLoad {
        contact,
        driven,
        moment,
    })
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

/// What goes into each thing that a wheel's motion works on, N for each mm of it. In balance they come to nothing
/// together.
fn work(axle: &Suspension, wheels: &[CornerPose; 2], told: &Forces, loads: &[WheelLoad; 2], of: Motion) -> Vec<f64> {
    let mut work = Vec::new();
    for (i, (pose, load)) in wheels.iter().zip(loads).enumerate() {
        let side = pose.hub.side;
        for (mode, times) in of.blend(axle, i) {
            let Some(speed) = axle.speed(pose, mode) else { continue };
            let contact = told.loads[2 * i].at;
            work.push(times * load.contact.dot(&speed.of(contact)));
            work.push(times * load.driven.dot(&speed.of(pose.wheel_centre)));
            work.push(times * load.moment.dot(&speed.turn));
            let apart = axle.described.spring_apart().is_some();
            let spring = member(told, if apart { "spring" } else { "spring and damper" }, Some(side));
            // A strut that nobody described has the core's ratio no less.
            work.push(times * spring.axial * axle.spring_ratio(pose, mode).unwrap());
            if axle.described.bar.is_some() {
                let [pivot, end, far] = [(side, BarPivot), (side, BarLever), (other(side), BarPivot)]
                    .map(|(s, name)| axle.at(&wheels[s as usize], name).unwrap());
                let left = (pivot - far).normalize() * side.sign();
                let joint = told.joints.iter().find(|j| j.point == BarLever && j.side == Some(side)).unwrap();
                let torque = (end - pivot).cross(&joint.force).dot(&left);
                // As measured: the sign of the core's lever angle rests on where the end lay then.
                let measured = |name| axle.measured.at(side, name).unwrap();
                let rising = if measured(BarLever).x < measured(BarPivot).x { 1.0 } else { -1.0 };
                let turns = axle.bar_ratio(pose, mode).unwrap() / (end - pivot).cross(&left).norm();
                work.push(-times * torque * turns * rising);
            }
        }
    }
    if of == Motion::Steering {
        let held = |point| told.joints.iter().find(|j| j.point == point && j.side.is_none()).unwrap();
        work.push(if axle.described.rack.is_some() {
            let at = |i: usize| axle.at(&wheels[i], TieRodInner).unwrap();
            -held(TieRodInner).force.dot(&(at(0) - at(1)).normalize())
        } else {
            let at = |name| axle.measured.at(Side::Left, name);
            let shaft = at(PitmanShaft).unwrap();
            let up = at(PitmanShaftTop).map_or(Vector3::z(), |top| (top - shaft).normalize());
            let to_left = up.cross(&(at(PitmanEnd).unwrap() - shaft));
            -held(PitmanShaft).moment.dot(&up) * to_left.y.signum() / to_left.norm()
        });
    }
    work
}

/// One way in which an axle can move.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Motion {
    /// One wheel up, the other one's centre still in height.
    Wheel(Side),
    /// The steering, both wheel centres still in height.
    Steering,
}

impl Motion {
    /// The core's motions of a wheel that make it up.
    fn blend(self, axle: &Suspension, wheel: usize) -> Vec<(Mode, f64)> {
        match self {
            Self::Steering => vec![(Mode::Steer, 1.0)],
            Self::Wheel(side) if axle.independent() => {
                if side as usize == wheel {
                    vec![(Mode::Heave, 1.0)]
                } else {
                    Vec::new()
                }
            }
            Self::Wheel(side) => {
                vec![(Mode::Heave, 0.5), (Mode::Roll, if side as usize == wheel { 0.5 } else { -0.5 })]
            }
        }
    }
}

fn other(side: Side) -> Side {
    if side == Side::Left { Side::Right } else { Side::Left }
}

/// Virtual work: what the ground does in each motion of the axle goes into springs, bars and steering, by the core's
/// own derivatives. So a spring has the wheel's load over the motion ratio, and the rack the patch's moments over the
/// steer.
#[test]
fn work_is_what_the_kinematic_core_says() {
    let at = [[0.0, 0.0, 0.0], [0.6, -0.3, 0.5], [-0.4, 0.8, -0.7]];
    let load =
        |a: [f64; 3], b: [f64; 3], c: [f64; 3]| WheelLoad { contact: a.into(), driven: b.into(), moment: c.into() };
    let loads = [
        load([-2100.0, 3300.0, 5200.0], [700.0, 0.0, 0.0], [1e4, -2e4, 8e4]),
        load([-900.0, 1200.0, 1700.0], [-300.0, 40.0, 20.0], [0.0, 3e4, -5e4]),
    ];
    let (mut tried, mut boxes) = (0, 0);
    for (label, gear, name) in axles() {
        let axle = gear.axle(name).unwrap();
        for at in at {
            let Some((wheels, ground)) = stand(&gear, name, at) else { continue };
            let Ok(told) = forces(axle, &wheels, &ground, &loads) else { continue };
            let mut motions = vec![Motion::Wheel(Side::Left), Motion::Wheel(Side::Right)];
            if axle.steers() {
                motions.push(Motion::Steering);
                boxes += usize::from(axle.described.steering_box.is_some());
            }
            for motion in motions {
                let work = work(axle, &wheels, &told, &loads, motion);
                let (sum, all) = (work.iter().sum::<f64>(), work.iter().map(|w| w.abs()).sum::<f64>());
                assert!(sum.abs() < 1e-9 * all, "{label} {at:?} {motion:?}: {sum:e} of {work:?}");
                tried += 1;
            }
        }
    }
    assert!(tried > 200 && boxes >= 5, "{tried}, of them {boxes} on a steering box");
}

/// In roll a bar holds against its twist, with what the question `springs` says of it: its levers' ends get the stiffness
/// that the answer gives for a millimetre at both wheels, whichever way the levers point.
#[test]
fn a_bar_holds_with_its_stiffness() {
    let mut tried = [0; 2];
    for (label, gear, name, car) in cars() {
        let axle = gear.axle(name).unwrap();
        let Some(ride) = gear.ride.axle(name).filter(|_| axle.described.bar.is_some()) else { continue };
        let Ok(study) = Study::new(car) else { continue };
        let rate = study.springs().bars.iter().find(|b| b.axle == name).copied().unwrap();
        let mut links = [Vector3::zeros(); 2];
        // What twisted it at ride height is taken off: the two poses lie on either side of it.
        for (way, link) in [1.0, -1.0].into_iter().zip(&mut links) {
            let wheels = gear.raise_axle(ride, [way, -way], 0.0).unwrap();
            let told = forces(axle, &wheels, &gear.ride.ground, &[WheelLoad::default(); 2]).unwrap();
            let joint = told.joints.iter().find(|j| j.point == BarLever && j.side == Some(Side::Left)).unwrap();
            *link = joint.force;
        }
        let at = |side, name| axle.measured.at(side, name).unwrap();
        let (pivot, end) = (at(Side::Left, BarPivot), axle.at(&ride[0], BarLever).unwrap());
        let left = (pivot - at(Side::Right, BarPivot)).normalize();
        let lever = (end - pivot).cross(&left).norm();
        let behind = at(Side::Left, BarLever).x < pivot.x;
        let rising = if behind { 1.0 } else { -1.0 };
        let per_mm = (end - pivot).cross(&(links[0] - links[1])).dot(&left) * rising / lever / 2.0;
        let said = rate.wheel_n_per_mm[0].unwrap() / axle.bar_ratio(&ride[0], Mode::Roll).unwrap();
        assert!((per_mm - said).abs() < 0.01 * said.abs(), "{label}: {per_mm} {said}");
        tried[usize::from(behind)] += 1;
    }
    assert!(tried[0] >= 2 && tried[1] >= 2, "{tried:?}");
}

/// The car in a mirror.
fn mirrored(car: &Car) -> Car {
    let flip = |p: Vector3<f64>| Side::Right.mirror(p);
    let mut mirror = car.clone();
    for (new, old) in [(Some(&mut mirror.front), Some(&car.front)), (mirror.rear.as_mut(), car.rear.as_ref())] {
        let (Some(new), Some(old)) = (new, old) else { continue };
        for name in old.points.0.keys() {
            new.points.0.insert(*name, flip(old.point(Side::Right, *name).unwrap()));
            new.right.0.insert(*name, flip(old.point(Side::Left, *name).unwrap()));
        }
        new.middle.0.values_mut().for_each(|p| *p = flip(*p));
        (new.alignment, new.right_alignment) = (old.alignment(Side::Right), Some(old.alignment(Side::Left)));
    }
    mirror
}

#[test]
fn the_car_in_a_mirror_carries_the_same() {
    let at = [0.5, -0.4, 0.3];
    let load = |s: f64| {
        let contact = Vector3::new(-2100.0, s * 3300.0, 5200.0);
        let moment = Vector3::new(s * 1e4, -2e4, s * 8e4);
        WheelLoad { contact, moment, ..WheelLoad::default() }
    };
    let light = |s: f64| contact(-500.0, s * 400.0, 900.0);
    for name in ["dunlin", "godwit", "knot", "plover", "ruff", "snipe", "stint"] {
        let car = car(&format!("scenes/{name}"));
        let (gear, mirror) = (RunningGear::new(&car).unwrap(), RunningGear::new(&mirrored(&car)).unwrap());
        for axle in gear.axles().map(|a| a.name).filter(|n| car.axle(*n).unwrap().damper.is_some()) {
            let (wheels, ground) = stand(&gear, axle, at).unwrap();
            let told = forces(gear.axle(axle).unwrap(), &wheels, &ground, &[load(1.0), light(1.0)]).unwrap();
            let (wheels, ground) = stand(&mirror, axle, [at[1], at[0], -at[2]]).unwrap();
            let seen = forces(mirror.axle(axle).unwrap(), &wheels, &ground, &[light(-1.0), load(-1.0)]).unwrap();
            for m in &told.members {
                let image = member(&seen, m.part, m.side.map(other));
                let off = (m.axial - image.axial).abs();
                assert!(off < 1e-6 * (1.0 + m.axial.abs()), "{name} {axle:?} {}: {} {}", m.part, m.axial, image.axial);
            }
            for (a, b) in told.bending.iter().zip(told.bending.iter().map(|a| {
                seen.bending.iter().find(|b| b.part == a.part && b.at == a.at && b.side == other(a.side)).unwrap()
            })) {
                assert!((a.moment - b.moment).abs() < 1e-6 * (1.0 + a.moment), "{name} {axle:?} {a:?} {b:?}");
            }
        }
    }
}
