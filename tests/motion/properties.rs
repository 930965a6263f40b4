//! What is true of any linkage, on random plausible ones.

use nalgebra::{Rotation3, Vector3};
use proptest::prelude::*;
use scribeline::car::axle::{Alignment as Stance, Points};
use scribeline::car::{Car, PointName, Side};
use scribeline::motion::{Alignment, Corner, CornerPose, Drive, Front, OutOfReach, Pose, alignment};

use super::car;

/// Links and drives are held to this, mm: the issue asks for it.
const HELD: f64 = 1e-9;

/// One of the reference cars with each point moved by up to 25 mm each way, each side on its own if `apart`.
fn plausible(apart: bool) -> impl Strategy<Value = Car> {
    let n = PointName::ALL.len();
    let shift = || prop::array::uniform3(-25.0..25.0f64);
    let shifts = (prop::collection::vec(shift(), n), prop::collection::vec(shift(), n));
    let stance = || (-4.0..4.0f64, -1.0..1.0f64);
    (prop::sample::select(vec!["ahead", "behind", "crooked"]), shifts, stance(), stance()).prop_map(
        move |(name, (left, right), on_left, on_right)| {
            let mut car = car(name);
            let axle = &mut car.front;
            let measured = axle.clone();
            let stance = |(camber, toe): (f64, f64)| Stance { camber: camber.to_radians(), toe: toe.to_radians() };
            axle.alignment = stance(on_left);
            axle.right_alignment = apart.then(|| stance(on_right));
            axle.right.0.clear();
            for (i, &point) in PointName::ALL.iter().enumerate() {
                let of = |side| measured.point(side, point).unwrap();
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

/// A front that stands; the few random cars whose wheels do not reach the ground are not what is asked about here.
fn standing(car: &Car) -> Result<Front, TestCaseError> {
    Front::new(car).map_err(|e| TestCaseError::reject(e.to_string()))
}

fn moving_points(pose: &CornerPose) -> Vec<Vector3<f64>> {
    let mut points = vec![pose.wheel_centre, pose.lower_ball_joint, pose.upper_ball_joint, pose.tie_rod_inner];
    points.extend([pose.tie_rod_outer, pose.wheel_centre + pose.spin * 100.0]);
    points.extend(pose.damper.into_iter().flatten());
    points
}

/// Largest distance between the same points of two poses, mm.
fn apart(a: &CornerPose, b: &CornerPose) -> f64 {
    moving_points(a).iter().zip(moving_points(b)).map(|(p, q)| (p - q).norm()).fold(0.0, f64::max)
}

fn finite(corner: &Corner, pose: &CornerPose, front: &Front) -> bool {
    let a = Alignment::of(corner, pose, &alignment::level_under(corner, pose));
    let angles = [a.camber, a.inclination, a.toe, a.steer, a.caster, a.kingpin, a.scrub_radius, a.trail];
    moving_points(pose).iter().chain([&a.contact, &pose.spin]).flat_map(|p| p.iter()).all(|v| v.is_finite())
        && angles.iter().all(|v| v.is_finite())
        && front.travel(pose).is_finite()
        && corner.motion_ratio(pose).is_none_or(f64::is_finite)
        && corner.speeds(pose).is_none_or(|s| s.iter().all(|s| s.shift.norm().is_finite() && s.turn.norm().is_finite()))
}

fn says_a_part(stopped: &OutOfReach) -> bool {
    ["lower arm", "upper arm", "tie rod"].contains(&stopped.part)
        && stopped.height.is_finite()
        && stopped.rack.is_finite()
        && stopped.to_string().contains(stopped.part)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, ..ProptestConfig::default() })]

    #[test]
    fn a_pose_holds_every_link_and_stands_where_it_was_sent(
        car in plausible(true), side in any_side(), travel in -120.0..120.0f64, rack in -120.0..120.0f64,
    ) {
        let front = standing(&car)?;
        let corner = front.corner(side);
        match front.raise(side, front.ride(side), travel, rack) {
            Ok(pose) => {
                prop_assert!(corner.residual(&pose) < HELD, "{}", corner.residual(&pose));
                prop_assert!((front.travel(&pose) - travel).abs() < HELD);
                prop_assert!(pose.rack == rack && pose.side == side);
                prop_assert!((pose.spin.norm() - 1.0).abs() < 1e-14);
                prop_assert!(finite(corner, &pose, &front));
            }
            Err(stopped) => prop_assert!(says_a_part(&stopped) && stopped.side == side, "{stopped:?}"),
        }
    }

    #[test]
    fn both_tyres_stand_on_the_ground(
        car in plausible(true), heave in -60.0..60.0f64, roll in -0.06..0.06f64, pitch in -0.03..0.03f64,
        rack in -60.0..60.0f64,
    ) {
        let front = standing(&car)?;
        match front.stand(&Pose { heave, roll, pitch, rack }) {
            Ok(posed) => for side in Side::BOTH {
                let (corner, pose) = (front.corner(side), &posed.corners[side as usize]);
                prop_assert!(corner.residual(pose) < HELD);
                let contact = Alignment::of(corner, pose, &posed.ground).contact;
                prop_assert!(posed.ground.height(contact).abs() < HELD, "{}", posed.ground.height(contact));
                prop_assert!(finite(corner, pose, &front));
                if let Some(centre) = alignment::roll_centre(&front, &posed) {
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
        let front = standing(&car)?;
        let left = front.raise(Side::Left, front.ride(Side::Left), travel, rack);
        let right = front.raise(Side::Right, front.ride(Side::Right), travel, -rack);
        prop_assert_eq!(left.is_ok(), right.is_ok());
        let (Ok(left), Ok(right)) = (left, right) else { return Ok(()) };
        for (p, q) in moving_points(&left).iter().zip(moving_points(&right)) {
            prop_assert!((p - Side::Right.mirror(q)).norm() < HELD, "{p} {q}");
        }
        let read = |pose: &CornerPose| {
            let corner = front.corner(pose.side);
            let a = Alignment::of(corner, pose, &alignment::level_under(corner, pose));
            let ratio = corner.motion_ratio(pose).unwrap_or(0.0);
            [a.camber, a.toe, a.caster, a.kingpin, a.scrub_radius, a.trail, -a.steer * pose.side.sign(), ratio]
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
        let front = standing(&car)?;
        let (turn, shift) = (Rotation3::from_axis_angle(&Vector3::z_axis(), heading), Vector3::from(shift));
        let carry = |p: Vector3<f64>| turn * p + shift;
        let mut moved = car.clone();
        moved.ground += shift.z;
        let points = |side| PointName::ALL.iter().map(|&n| (n, carry(car.front.point(side, n).unwrap()))).collect();
        moved.front.points = Points(points(Side::Left));
        moved.front.right = Points(points(Side::Right));
        // Toe is against x: a car that faces left has its left wheel turned out against it, its right wheel in.
        let (left, right) = (car.front.alignment(Side::Left), car.front.alignment(Side::Right));
        moved.front.alignment = Stance { toe: left.toe - heading, ..left };
        moved.front.right_alignment = Some(Stance { toe: right.toe + heading, ..right });
        let moved = standing(&moved)?;

        let here = front.raise(side, front.ride(side), travel, rack);
        let there = moved.raise(side, moved.ride(side), travel, rack);
        prop_assert_eq!(here.is_ok(), there.is_ok());
        let (Ok(here), Ok(there)) = (here, there) else { return Ok(()) };
        for (p, q) in moving_points(&here).iter().zip(moving_points(&there)) {
            prop_assert!((carry(*p) - q).norm() < 1e-8, "{} {q}", carry(*p));
        }
        let read = |front: &Front, pose: &CornerPose| {
            let corner = front.corner(side);
            let a = Alignment::of(corner, pose, &alignment::level_under(corner, pose));
            [a.camber, a.inclination, a.scrub_radius, a.trail, corner.motion_ratio(pose).unwrap_or(0.0)]
        };
        for (h, t) in read(&front, &here).iter().zip(read(&moved, &there)) {
            prop_assert!((h - t).abs() < 1e-8, "{h} {t}");
        }
    }

    #[test]
    fn the_way_there_does_not_matter_and_the_way_back_leads_home(
        car in plausible(true), side in any_side(), travel in -55.0..55.0f64, rack in -55.0..55.0f64,
    ) {
        let front = standing(&car)?;
        let ride = front.ride(side);
        // Where the straight way or a way round is out of reach there is nothing to compare.
        let Ok(there) = front.raise(side, ride, travel, rack) else { return Ok(()) };
        let back = front.raise(side, &there, 0.0, 0.0).unwrap();
        prop_assert!(apart(&back, ride) < 1e-8, "back at {} from ride", apart(&back, ride));
        let by = |first: (f64, f64)| front.raise(side, &front.raise(side, ride, first.0, first.1)?, travel, rack);
        for way in [(travel, 0.0), (0.0, rack)] {
            if let Ok(round) = by(way) {
                prop_assert!(apart(&round, &there) < 1e-8, "{} apart by {way:?}", apart(&round, &there));
            }
        }
        let mut step = *ride;
        for k in 1..=50 {
            let part = f64::from(k) / 50.0;
            step = front.raise(side, &step, part * travel, part * rack).unwrap();
        }
        prop_assert!(apart(&step, &there) < 1e-8, "{} apart in steps", apart(&step, &there));
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
        let front = standing(&car)?;
        let Ok(start) = front.raise(side, front.ride(side), 0.0, rack) else { return Ok(()) };
        let fine = if up { 0.05 } else { -0.05 };
        let (mut pose, mut coarse) = (start, start);
        for k in 1..20_000 {
            let travel = f64::from(k) * fine;
            match front.raise(side, &pose, travel, rack) {
                Ok(next) => {
                    let far = apart(&pose, &next);
                    if far > 5.0 {
                        let (mut at, mut longest) = (pose, 0.0f64);
                        for part in 1..=100 {
                            let on_the_way = travel - fine * f64::from(100 - part) / 100.0;
                            let then = front.raise(side, &at, on_the_way, rack).unwrap();
                            longest = longest.max(apart(&at, &then));
                            at = then;
                        }
                        prop_assert!(longest < 0.5 * far && apart(&at, &next) < 1e-5, "{longest} of {far} at {travel}");
                    }
                    prop_assert!(front.corner(side).residual(&next) < HELD);
                    pose = next;
                }
                Err(stopped) => {
                    prop_assert!(says_a_part(&stopped), "{stopped:?}");
                    return Ok(());
                }
            }
            if k % 10 == 0 {
                coarse = front.raise(side, &coarse, travel, rack).unwrap();
                prop_assert!(apart(&pose, &coarse) < 1e-5, "{} apart at {travel}", apart(&pose, &coarse));
            }
        }
        prop_assert!(false, "no linkage of this size reaches a metre");
    }

    #[test]
    fn the_limit_is_the_same_whatever_the_steps(
        car in plausible(true), side in any_side(), up in prop::bool::ANY, rack in -40.0..40.0f64,
    ) {
        let front = standing(&car)?;
        let Ok(start) = front.raise(side, front.ride(side), 0.0, rack) else { return Ok(()) };
        let way = if up { 1.0 } else { -1.0 };
        let limit = |step: f64| {
            let mut pose = start;
            for k in 1..2000 {
                match front.raise(side, &pose, way * f64::from(k) * step, rack) {
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
        let travel = height - front.ride(side).wheel_centre.z;
        prop_assert!(front.raise(side, &start, travel - way * 1e-4, rack).is_ok());
        prop_assert!(front.raise(side, &start, travel + way * 1e-4, rack).is_err());
    }
}

/// What no car should be asked, and is: the answer is a pose or an error, at once, and no NaN.
#[test]
fn absurd_questions_get_an_error_and_no_nan() {
    let front = Front::new(&car("ahead")).unwrap();
    let ride = front.ride(Side::Left);
    for travel in [0.0, 1e3, -1e3, 1e9, -1e9, 1e300, f64::INFINITY, f64::NEG_INFINITY, f64::NAN] {
        for rack in [0.0, 1e3, -1e3, 1e9, 1e300, f64::INFINITY, f64::NAN] {
            match front.raise(Side::Left, ride, travel, rack) {
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
            match front.stand(&pose) {
                // A body stood nearly on its nose can still have a wheel on the ground.
                Ok(posed) => {
                    for (corner, at) in front.corners.iter().zip(&posed.corners) {
                        assert!(corner.residual(at) < HELD && finite(corner, at, &front), "{pose:?}");
                    }
                }
                Err(stopped) => assert!(says_a_part(&stopped), "{pose:?}: {stopped:?}"),
            }
        }
    }
    // A ground that stands square to the spin axis has no lowest point of the wheel.
    let drive = Drive::Ground { normal: ride.spin, offset: 0.0 };
    assert!(front.corner(Side::Left).pose(ride, 0.0, drive).is_err());
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
        let stopped = Front::new(&car).err().unwrap_or_else(|| panic!("{} on {} stands", point.name(), on.name()));
        assert!(says_a_part(&stopped), "{stopped:?}");
    }
}
