//! Where every axle ends: travel or steering beyond that is an error that names the part, at a limit that does not
//! depend on how it was found, and the way there is followed without a jump.

use nalgebra::Vector2;
use scribeline::car::axle::Linkage;
use scribeline::car::{Hub, PointName};
use scribeline::motion::{CornerPose, OutOfReach, RunningGear, Suspension};

use super::every_corner::{HELD, Tried, apart, cars, measured, strain};

/// The parts that an axle can be stopped by.
fn parts(axle: &Suspension) -> Vec<&'static str> {
    let mut parts = match axle.linkage {
        Linkage::Wishbone => vec!["lower arm", "upper arm", "tie rod"],
        Linkage::Strut => vec!["lower arm", "strut", "tie rod"],
        Linkage::FiveLink => {
            vec!["lower front link", "lower rear link", "upper front link", "upper rear link", "tie rod"]
        }
        Linkage::TrailingArm => vec!["trailing arm"],
        Linkage::LiveAxle | Linkage::DeDion => vec!["lower link", "upper link", "lateral rod", "centre crank"],
    };
    if axle.described.steering_box.is_some() {
        parts.extend(["idler arm", "pitman arm"]);
    }
    parts
}

fn names_a_part(axle: &Suspension, stopped: &OutOfReach) -> bool {
    parts(axle).contains(&stopped.part)
        && stopped.height.is_finite()
        && stopped.rack.is_finite()
        && stopped.to_string().contains(stopped.part)
}

/// The numbers of a pose, without asking where what is worked by a wheel is: a rocker or a bar's lever may end sooner.
fn sound(axle: &Suspension, pose: &CornerPose) -> bool {
    let places = measured(&axle.described).filter_map(|name| axle.at(pose, name));
    let mut all = places.chain([pose.wheel_centre, pose.spin]).flat_map(|p| [p.x, p.y, p.z]);
    all.all(f64::is_finite) && axle.residual(pose) < HELD
}

/// The same car without rockers and bars, which end sooner than what holds the wheels.
fn bare(tried: Tried) -> Tried {
    use PointName::{BarLever, BarPivot, DropLinkOuter, PushRodInner, PushRodOuter, RockerAxis, RockerPivot};
    let mut car = tried.car;
    for axle in [Some(&mut car.front), car.rear.as_mut()].into_iter().flatten() {
        (axle.rocker, axle.bar) = (None, None);
        if axle.linkage != Linkage::Strut {
            axle.damper = None;
        }
        for points in [&mut axle.points, &mut axle.right] {
            let worked = [BarLever, BarPivot, DropLinkOuter, PushRodInner, PushRodOuter, RockerAxis, RockerPivot];
            points.0.retain(|name, _| !worked.contains(name));
            if axle.linkage != Linkage::Strut {
                points.0.retain(|name, _| !matches!(name, PointName::DamperTop | PointName::DamperBottom));
            }
        }
    }
    Tried::new(tried.name, car)
}

/// Follows a line of places `at(t)` from t = 0 until the linkage ends, a millimetre at a time and the last three in
/// steps of 0.05 mm; the last t and pose, and the error.
fn follow(
    gear: &RunningGear,
    label: &str,
    start: &CornerPose,
    way: f64,
    end: f64,
    at: impl Fn(f64) -> Vector2<f64>,
) -> (f64, CornerPose, OutOfReach) {
    let axle = gear.of(start);
    let (mut t, mut pose) = (0.0, *start);
    loop {
        let step = if (end - t).abs() > 4.0 { 1.0 } else { 0.05 };
        let next = t + way * step;
        match gear.raise(&pose, at(next)) {
            Ok(then) => {
                assert!(sound(axle, &then) && strain(axle, &then) < HELD, "{label} {next}: {then:?}");
                let far = apart(axle, &pose, &then);
                // Near a toggle a linkage goes far in little; a hundred steps must share the way, which a jump does not.
                if far > 20.0 * step {
                    let (mut last, mut longest) = (pose, 0.0f64);
                    for k in 1..=100 {
                        let part = gear.raise(&last, at(t + way * step * f64::from(k) / 100.0)).unwrap();
                        longest = longest.max(apart(axle, &last, &part));
                        last = part;
                    }
                    assert!(longest < 0.4 * far, "{label} {next}: {longest} of {far} at once");
                    assert!(apart(axle, &last, &then) < 1e-4, "{label} {next}: two ways, two places");
                }
                (t, pose) = (next, then);
            }
            Err(stopped) => return (t, pose, stopped),
        }
        assert!(t.abs() < 3000.0, "{label}: no linkage of this size goes so far");
    }
}

/// The end by halving what lies between a reachable place and one that is not.
fn halved(
    gear: &RunningGear,
    from: &CornerPose,
    mut within: f64,
    mut beyond: f64,
    at: impl Fn(f64) -> Vector2<f64>,
) -> f64 {
    let mut pose = *from;
    while (beyond - within).abs() > 1e-9 {
        let middle = (within + beyond) / 2.0;
        match gear.raise(&pose, at(middle)) {
            Ok(then) => (pose, within) = (then, middle),
            Err(_) => beyond = middle,
        }
    }
    within
}

/// An end found in one go, by following and by halving; and the way back from it.
fn ends(tried: &Tried, start: &CornerPose, label: &str, far: f64, height: bool, at: impl Fn(f64) -> Vector2<f64>) {
    let gear = &tried.gear;
    let axle = gear.of(start);
    let stopped = gear.raise(start, at(far)).expect_err("no linkage of this size goes so far");
    assert!(names_a_part(axle, &stopped), "{label}: {stopped:?}");
    let told = |e: &OutOfReach| if height { e.height - gear.ride(e.hub).wheel_centre.z } else { e.rack };
    let end = told(&stopped);
    let (last, pose, again) = follow(gear, label, start, far.signum(), end, &at);
    assert!((last - end).abs() < 0.06, "{label}: followed to {last}, in one go to {end}");
    assert!((told(&again) - end).abs() < 1e-6, "{label}: {} in steps, {end} in one go", told(&again));
    assert_eq!(again.part, stopped.part, "{label}");
    let halved = halved(gear, &pose, last, last + 0.05 * far.signum(), &at);
    assert!((halved - end).abs() < 1e-6, "{label}: {halved} by halves, {end} in one go");
    // Had it gone over to a mirrored assembly on its way, it would not come home.
    let home = gear.raise(&pose, at(0.0)).unwrap_or_else(|e| panic!("{label}: no way back: {e}"));
    assert!(apart(axle, &home, start) < 1e-8, "{label}: back at {} from the start", apart(axle, &home, start));
}

#[test]
fn travel_ends_where_halving_says_and_the_part_is_named() {
    let mut tried_ends = 0;
    for tried in cars().into_iter().map(bare) {
        for hub in tried.gear.hubs() {
            let axle = tried.gear.axle(hub.axle).unwrap();
            let stop = tried.steering(axle);
            // Steering, or the other wheel's travel.
            let besides = if axle.steers() { vec![-0.9 * stop, 0.0, 0.9 * stop] } else { vec![0.0] };
            for beside in besides {
                let start = tried.gear.raise(tried.gear.ride(hub), Vector2::new(0.0, beside)).unwrap();
                for far in [-1500.0, 1500.0] {
                    let label = format!("{} {} beside {beside} to {far}", tried.name, hub.words());
                    ends(&tried, &start, &label, far, true, |t| Vector2::new(t, beside));
                    tried_ends += 1;
                }
            }
            if !axle.independent() {
                // Both wheels together.
                for far in [-1500.0, 1500.0] {
                    let label = format!("{} {} heave to {far}", tried.name, hub.words());
                    ends(&tried, tried.gear.ride(hub), &label, far, true, |t| Vector2::new(t, t));
                    tried_ends += 1;
                }
            }
        }
    }
    assert!(tried_ends > 200, "{tried_ends}");
}

#[test]
fn steering_ends_where_halving_says_and_the_part_is_named() {
    let (mut ended, mut boxes) = (0, 0);
    for tried in cars().into_iter().map(bare) {
        for hub in tried.gear.hubs() {
            let axle = tried.gear.axle(hub.axle).unwrap();
            if !axle.steers() {
                continue;
            }
            boxes += usize::from(axle.described.steering_box.is_some());
            for travel in [-30.0, 0.0, 40.0] {
                let start = tried.gear.raise(tried.gear.ride(hub), Vector2::new(travel, 0.0)).unwrap();
                for far in [-1500.0, 1500.0] {
                    let label = format!("{} {} travel {travel} steering to {far}", tried.name, hub.words());
                    ends(&tried, &start, &label, far, false, |s| Vector2::new(travel, s));
                    ended += 1;
                }
            }
        }
    }
    assert!(ended > 100 && boxes >= 4, "{ended} {boxes}");
}

/// With its idler arm made short a steering box ends where that arm and the centre link lie in one line: no number comes
/// out that is none, and the idler arm is named.
#[test]
fn a_steering_box_ends_with_its_idler_arms_swing() {
    for name in ["box", "tilted_box"] {
        let mut car = super::car(name);
        car.rear = None;
        let middle = &mut car.front.middle.0;
        let (shaft, end) = (middle[&PointName::IdlerShaft], middle[&PointName::IdlerEnd]);
        middle.insert(PointName::IdlerShaft, end + (shaft - end) * 0.35);
        if let Some(top) = middle.get_mut(&PointName::IdlerShaftTop) {
            *top += (end - shaft) * 0.65;
        }
        let tried = bare(Tried::new(name.into(), car));
        for hub in Hub::ALL.into_iter().take(2) {
            let ride = tried.gear.ride(hub);
            for far in [-400.0, 400.0, -1e6, 1e9, f64::NAN, f64::INFINITY] {
                let stopped = tried.gear.raise(ride, Vector2::new(0.0, far)).unwrap_err();
                assert!(names_a_part(&tried.gear.front, &stopped), "{name} {far}: {stopped:?}");
                if far.is_finite() {
                    assert_eq!(stopped.part, "idler arm", "{name} {far}: {stopped:?}");
                    let label = format!("{name} {} {far}", hub.words());
                    ends(&tried, ride, &label, far.clamp(-400.0, 400.0), false, |s| Vector2::new(0.0, s));
                }
            }
        }
    }
}
