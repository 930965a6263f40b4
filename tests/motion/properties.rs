//! What is true of any linkage, on random plausible ones.

use nalgebra::{Rotation3, Vector2, Vector3};
use proptest::prelude::*;
use scribeline::car::axle::{Alignment as Stance, Points};
use scribeline::car::{Axle, AxleName, Car, PointName, Side};
use scribeline::motion::{
    Alignment, CornerPose, Drive, Mode, OutOfReach, Plane, Pose, RunningGear, Suspension, alignment,
};

use super::{at_front, car, roll_centre};

/// Links and drives are held to this, mm: the issue asks for it.
const HELD: f64 = 1e-9;

/// Wishbones, struts and five links.
const CARS: [&str; 5] = ["ahead", "behind", "crooked", "struts", "five"];

/// The points that an axle was measured by.
fn measured(axle: &Axle) -> Vec<PointName> {
    PointName::ALL.iter().copied().filter(|&name| axle.has(name)).collect()
}

/// A reference car's front axle alone, without what its wheels work: what the random points are set around.
fn bare(name: &str) -> Car {
    use PointName::{
        BarLever, BarPivot, DamperBottom, DamperTop, DropLinkOuter, PushRodInner, PushRodOuter, RockerAxis, RockerPivot,
    };
    let mut car = car(name);
    car.rear = None;
    let axle = &mut car.front;
    let mut without = vec![BarPivot, BarLever, DropLinkOuter];
    axle.bar = None;
    if axle.rocker.take().is_some() {
        axle.damper = None;
        without.extend([PushRodOuter, PushRodInner, RockerPivot, RockerAxis, DamperTop, DamperBottom]);
    }
    for points in [&mut axle.points, &mut axle.right] {
        points.0.retain(|name, _| !without.contains(name));
    }
    car
}

/// One of the reference cars with each point moved by up to 25 mm each way, each side on its own if `apart`.
fn plausible(apart: bool) -> impl Strategy<Value = Car> {
    let n = PointName::COUNT;
    let shift = || prop::array::uniform3(-25.0..25.0f64);
    let shifts = (prop::collection::vec(shift(), n), prop::collection::vec(shift(), n));
    let stance = || (-4.0..4.0f64, -1.0..1.0f64);
    (prop::sample::select(CARS.to_vec()), shifts, stance(), stance()).prop_map(
        move |(name, (left, right), on_left, on_right)| {
            let mut car = bare(name);
            let axle = &mut car.front;
            let found = axle.clone();
            let stance = |(camber, toe): (f64, f64)| Stance { camber: camber.to_radians(), toe: toe.to_radians() };
            axle.alignment = stance(on_left);
            axle.right_alignment = apart.then(|| stance(on_right));
            axle.right.0.clear();
            for (i, point) in measured(&found).into_iter().enumerate() {
                let of = |side| found.point(side, point).unwrap();
                axle.points.0.insert(point, of(Side::Left) + Vector3::from(left[i]));
                if apart {
                    axle.right.0.insert(point, of(Side::Right) + Vector3::from(right[i]));
                }
            }
            car
        },
    )
}

fn any_side() -> impl Strategy<Value = Side> {
    prop::sample::select(Side::BOTH.to_vec())
}

/// A car that stands; the few random ones whose wheels do not reach the ground are not what is asked about here.
fn standing(car: &Car) -> Result<RunningGear, TestCaseError> {
    RunningGear::new(car).map_err(|e| TestCaseError::reject(e.to_string()))
}

fn moving_points(axle: &Suspension, pose: &CornerPose) -> Vec<Vector3<f64>> {
    let mut points = vec![pose.wheel_centre + pose.spin * 100.0];
    points.extend(measured(&axle.described).into_iter().map(|name| axle.at(pose, name).unwrap()));
    points
}

/// Largest distance between the same points of two poses, mm.
fn apart(axle: &Suspension, a: &CornerPose, b: &CornerPose) -> f64 {
    let (a, b) = (moving_points(axle, a), moving_points(axle, b));
    a.iter().zip(b).map(|(p, q)| (p - q).norm()).fold(0.0, f64::max)
}

fn finite(gear: &RunningGear, pose: &CornerPose) -> bool {
    let axle = &gear.front;
    let a = Alignment::of(axle, pose, &alignment::level_under(axle, pose));
    let mut angles = vec![a.camber, a.inclination, a.toe, a.steer];
    // Five links have no axis where they are in a toggle.
    angles.extend(a.axis.iter().flat_map(|x| [x.caster, x.kingpin, x.scrub_radius, x.trail]));
    moving_points(axle, pose).iter().chain([&a.contact, &pose.spin]).flat_map(|p| p.iter()).all(|v| v.is_finite())
        && angles.iter().all(|v| v.is_finite())
        && gear.travel(pose).is_finite()
        && axle.motion_ratio(pose, Mode::Heave).is_none_or(f64::is_finite)
        && [Mode::Heave, Mode::Roll, Mode::Steer]
            .into_iter()
            .all(|mode| axle.speed(pose, mode).is_none_or(|s| s.shift.norm().is_finite() && s.turn.norm().is_finite()))
}

fn says_a_part(stopped: &OutOfReach) -> bool {
    const PARTS: [&str; 8] = [
        "lower arm",
        "upper arm",
        "tie rod",
        "strut",
        "lower front link",
        "lower rear link",
        "upper front link",
        "upper rear link",
    ];
    PARTS.contains(&stopped.part)
        && stopped.height.is_finite()
        && stopped.rack.is_finite()
        && stopped.to_string().contains(stopped.part)
}

/// A wheel by its travel and the rack's, mm.
fn raise(gear: &RunningGear, from: &CornerPose, travel: f64, rack: f64) -> Result<CornerPose, OutOfReach> {
    gear.raise(from, Vector2::new(travel, rack))
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, ..ProptestConfig::default() })]

    #[test]
    fn a_pose_holds_every_link_and_stands_where_it_was_sent(
        car in plausible(true), side in any_side(), travel in -120.0..120.0f64, rack in -120.0..120.0f64,
    ) {
        let gear = standing(&car)?;
        let axle = &gear.front;
        match raise(&gear, gear.ride(at_front(side)), travel, rack) {
            Ok(pose) => {
                prop_assert!(axle.residual(&pose) < HELD, "{}", axle.residual(&pose));
                prop_assert!((gear.travel(&pose) - travel).abs() < HELD);
                prop_assert!(pose.rack == rack && pose.hub.side == side);
                prop_assert!((pose.spin.norm() - 1.0).abs() < 1e-14);
                prop_assert!(finite(&gear, &pose));
            }
            Err(stopped) => prop_assert!(says_a_part(&stopped) && stopped.hub.side == side, "{stopped:?}"),
        }
    }

    #[test]
    fn both_tyres_stand_on_the_ground(
        car in plausible(true), heave in -60.0..60.0f64, roll in -0.06..0.06f64, pitch in -0.03..0.03f64,
        rack in -60.0..60.0f64,
    ) {
        let gear = standing(&car)?;
        match gear.stand(&Pose { heave, roll, pitch, rack }) {
            Ok(posed) => for side in Side::BOTH {
                let (axle, pose) = (&gear.front, &posed.front[side as usize]);
                prop_assert!(axle.residual(pose) < HELD);
                let contact = Alignment::of(axle, pose, &posed.ground).contact;
                prop_assert!(posed.ground.height(contact).abs() < HELD, "{}", posed.ground.height(contact));
                prop_assert!(finite(&gear, pose));
                if let Some(centre) = roll_centre(&car, &gear, &posed, AxleName::Front) {
                    prop_assert!(centre.x.is_finite() && centre.y.is_finite());
                }
            },
            Err(stopped) => prop_assert!(says_a_part(&stopped), "{stopped:?}"),
        }
    }

    #[test]
    fn a_symmetric_car_moves_symmetrically(
        car in plausible(false), travel in -60.0..60.0f64, rack in -60.0..60.0f64,
    ) {
        let gear = standing(&car)?;
        let left = raise(&gear, gear.ride(at_front(Side::Left)), travel, rack);
        let right = raise(&gear, gear.ride(at_front(Side::Right)), travel, -rack);
        prop_assert_eq!(left.is_ok(), right.is_ok());
        let (Ok(left), Ok(right)) = (left, right) else { return Ok(()) };
        for (p, q) in moving_points(&gear.front, &left).iter().zip(moving_points(&gear.front, &right)) {
            prop_assert!((p - Side::Right.mirror(q)).norm() < HELD, "{p} {q}");
        }
        let read = |pose: &CornerPose| {
            let axle = &gear.front;
            let a = Alignment::of(axle, pose, &alignment::level_under(axle, pose));
            let ratio = axle.motion_ratio(pose, Mode::Heave).unwrap_or(0.0);
            let x = a.axis.unwrap();
            [a.camber, a.toe, x.caster, x.kingpin, x.scrub_radius, x.trail, -a.steer * pose.hub.side.sign(), ratio]
        };
        for (l, r) in read(&left).iter().zip(read(&right)) {
            prop_assert!((l - r).abs() < 1e-8, "{l} {r}");
        }
    }

    #[test]
    fn where_the_car_stands_and_which_way_it_faces_changes_nothing(
        car in plausible(true), side in any_side(), travel in -50.0..50.0f64, rack in -50.0..50.0f64,
        heading in -3.0..3.0f64, shift in prop::array::uniform3(-800.0..800.0f64),
    ) {
        let gear = standing(&car)?;
        let (turn, shift) = (Rotation3::from_axis_angle(&Vector3::z_axis(), heading), Vector3::from(shift));
        let carry = |p: Vector3<f64>| turn * p + shift;
        let mut moved = car.clone();
        moved.ground += shift.z;
        let names = measured(&car.front);
        let points = |side| names.iter().map(|&n| (n, carry(car.front.point(side, n).unwrap()))).collect();
        moved.front.points = Points(points(Side::Left));
        moved.front.right = Points(points(Side::Right));
        // Toe is against x: a car that faces left has its left wheel turned out against it, its right wheel in.
        let (left, right) = (car.front.alignment(Side::Left), car.front.alignment(Side::Right));
        moved.front.alignment = Stance { toe: left.toe - heading, ..left };
        moved.front.right_alignment = Some(Stance { toe: right.toe + heading, ..right });
        let moved = standing(&moved)?;

        let here = raise(&gear, gear.ride(at_front(side)), travel, rack);
        let there = raise(&moved, moved.ride(at_front(side)), travel, rack);
        prop_assert_eq!(here.is_ok(), there.is_ok());
        let (Ok(here), Ok(there)) = (here, there) else { return Ok(()) };
        for (p, q) in moving_points(&gear.front, &here).iter().zip(moving_points(&moved.front, &there)) {
            prop_assert!((carry(*p) - q).norm() < 1e-8, "{} {q}", carry(*p));
        }
        let read = |gear: &RunningGear, pose: &CornerPose| {
            let axle = &gear.front;
            let a = Alignment::of(axle, pose, &alignment::level_under(axle, pose));
            let x = a.axis.unwrap();
            [a.camber, a.inclination, x.scrub_radius, x.trail, axle.motion_ratio(pose, Mode::Heave).unwrap_or(0.0)]
        };
        for (h, t) in read(&gear, &here).iter().zip(read(&moved, &there)) {
            prop_assert!((h - t).abs() < 1e-8, "{h} {t}");
        }
    }

    #[test]
    fn the_way_there_does_not_matter_and_the_way_back_leads_home(
        car in plausible(true), side in any_side(), travel in -55.0..55.0f64, rack in -55.0..55.0f64,
    ) {
        let gear = standing(&car)?;
        let ride = gear.ride(at_front(side));
        // Where the straight way or a way round is out of reach there is nothing to compare.
        let Ok(there) = raise(&gear, ride, travel, rack) else { return Ok(()) };
        let back = raise(&gear, &there, 0.0, 0.0).unwrap();
        prop_assert!(apart(&gear.front, &back, ride) < 1e-8, "back at {} from ride", apart(&gear.front, &back, ride));
        let by = |first: (f64, f64)| raise(&gear, &raise(&gear, ride, first.0, first.1)?, travel, rack);
        for way in [(travel, 0.0), (0.0, rack)] {
            if let Ok(round) = by(way) {
                prop_assert!(apart(&gear.front, &round, &there) < 1e-8, "{} apart by {way:?}", apart(&gear.front, &round, &there));
            }
        }
        let mut step = *ride;
        for k in 1..=50 {
            let part = f64::from(k) / 50.0;
            step = raise(&gear, &step, part * travel, part * rack).unwrap();
        }
        prop_assert!(apart(&gear.front, &step, &there) < 1e-8, "{} apart in steps", apart(&gear.front, &step, &there));
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, ..ProptestConfig::default() })]

    /// A step of ten may not leave the path that ten steps of one follow, up to the limit itself. Near a toggle a linkage
    /// may go far in one step of 0.05 mm; then a hundred steps must share the way between them, which a jump does not.
    #[test]
    fn a_fine_sweep_to_the_limit_never_jumps(
        car in plausible(true), side in any_side(), up in prop::bool::ANY, rack in -40.0..40.0f64,
    ) {
        let gear = standing(&car)?;
        let Ok(start) = raise(&gear, gear.ride(at_front(side)), 0.0, rack) else { return Ok(()) };
        let fine = if up { 0.05 } else { -0.05 };
        let (mut pose, mut coarse) = (start, start);
        for k in 1..20_000 {
            let travel = f64::from(k) * fine;
            match raise(&gear, &pose, travel, rack) {
                Ok(next) => {
                    let far = apart(&gear.front, &pose, &next);
                    if far > 5.0 {
                        let (mut at, mut longest) = (pose, 0.0f64);
                        for part in 1..=100 {
                            let on_the_way = travel - fine * f64::from(100 - part) / 100.0;
                            let then = raise(&gear, &at, on_the_way, rack).unwrap();
                            longest = longest.max(apart(&gear.front, &at, &then));
                            at = then;
                        }
                        prop_assert!(longest < 0.5 * far && apart(&gear.front, &at, &next) < 1e-5, "{longest} of {far} at {travel}");
                    }
                    prop_assert!(gear.front.residual(&next) < HELD);
                    pose = next;
                }
                Err(stopped) => {
                    prop_assert!(says_a_part(&stopped), "{stopped:?}");
                    return Ok(());
                }
            }
            if k % 10 == 0 {
                coarse = raise(&gear, &coarse, travel, rack).unwrap();
                prop_assert!(apart(&gear.front, &pose, &coarse) < 1e-5, "{} apart at {travel}", apart(&gear.front, &pose, &coarse));
            }
        }
        prop_assert!(false, "no linkage of this size reaches a metre");
    }

    #[test]
    fn the_limit_is_the_same_whatever_the_steps(
        car in plausible(true), side in any_side(), up in prop::bool::ANY, rack in -40.0..40.0f64,
    ) {
        let gear = standing(&car)?;
        let Ok(start) = raise(&gear, gear.ride(at_front(side)), 0.0, rack) else { return Ok(()) };
        let way = if up { 1.0 } else { -1.0 };
        let limit = |step: f64| {
            let mut pose = start;
            for k in 1..2000 {
                match raise(&gear, &pose, way * f64::from(k) * step, rack) {
                    Ok(next) => pose = next,
                    Err(stopped) => return (stopped.height, stopped.part),
                }
            }
            panic!("no linkage of this size reaches so far");
        };
        let (height, part) = limit(1000.0);
        for step in [1.0, 7.3, 41.0, 300.0] {
            let (again, same) = limit(step);
            prop_assert!((again - height).abs() < 1e-6, "{again} in steps of {step}, {height} in one");
            prop_assert_eq!(same, part);
        }
        // Just short of it is a pose; just beyond is none.
        let travel = height - gear.ride(at_front(side)).wheel_centre.z;
        prop_assert!(raise(&gear, &start, travel - way * 1e-4, rack).is_ok());
        prop_assert!(raise(&gear, &start, travel + way * 1e-4, rack).is_err());
    }
}

/// What no car should be asked, and is: the answer is a pose or an error, at once, and no NaN.
#[test]
fn absurd_questions_get_an_error_and_no_nan() {
    let gear = RunningGear::new(&car("ahead")).unwrap();
    let ride = gear.ride(at_front(Side::Left));
    for travel in [0.0, 1e3, -1e3, 1e9, -1e9, 1e300, f64::INFINITY, f64::NEG_INFINITY, f64::NAN] {
        for rack in [0.0, 1e3, -1e3, 1e9, 1e300, f64::INFINITY, f64::NAN] {
            match raise(&gear, ride, travel, rack) {
                Ok(_) => assert!(travel == 0.0 && rack == 0.0, "{travel} {rack}"),
                Err(stopped) => assert!(says_a_part(&stopped), "{travel} {rack}: {stopped:?}"),
            }
        }
    }
    for bad in [f64::NAN, f64::INFINITY, 1e300, 3.0, -1.0] {
        for pose in [
            Pose { heave: bad * 1000.0, ..Pose::default() },
            Pose { roll: bad, ..Pose::default() },
            Pose { pitch: bad / 2.0, ..Pose::default() },
            Pose { rack: bad * 1000.0, ..Pose::default() },
        ] {
            match gear.stand(&pose) {
                // A body stood nearly on its nose can still have a wheel on the ground.
                Ok(posed) => {
                    for at in &posed.front {
                        assert!(gear.front.residual(at) < HELD && finite(&gear, at), "{pose:?}");
                    }
                }
                Err(stopped) => assert!(says_a_part(&stopped), "{pose:?}: {stopped:?}"),
            }
        }
    }
    // A ground that stands square to the spin axis has no lowest point of the wheel.
    let drive = Drive::Ground(Plane { normal: ride.spin, offset: 0.0 });
    assert!(gear.front.alone(ride, 0.0, drive).is_err());
}

/// Points on top of each other are refused when the file is read; were they not, nothing here may hang or panic.
#[test]
fn a_linkage_without_length_is_an_error() {
    use PointName::{LowerBallJoint, LowerFront, LowerRear, TieRodInner, TieRodOuter, UpperBallJoint};
    for (point, on) in [
        (LowerFront, LowerBallJoint),
        (LowerFront, LowerRear),
        (TieRodInner, TieRodOuter),
        (UpperBallJoint, LowerBallJoint),
    ] {
        let mut car = car("ahead");
        car.front.right.0.clear();
        let at = car.front.points.0[&on];
        car.front.points.0.insert(point, at);
        let stopped =
            RunningGear::new(&car).err().unwrap_or_else(|| panic!("{} on {} stands", point.name(), on.name()));
        assert!(says_a_part(&stopped), "{stopped:?}");
    }
}
