//! What is true of every axle, whatever holds its wheels: over all demo cars and all reference cars.

use nalgebra::{Rotation3, Vector2, Vector3};
use scribeline::car::axle::{Alignment as Stance, Linkage, Points};
use scribeline::car::body::{Balance, Driven};
use scribeline::car::{Axle, AxleName, Car, CarFile, PointName, Side};
use scribeline::motion::{Along, CornerPose, Drive, Frame, Plane, Quantity, RunningGear, Suspension};

/// Links and drives are held to this, mm: the issue asks for it.
pub const HELD: f64 = 1e-9;

/// A car under test.
pub struct Tried {
    pub name: String,
    pub car: Car,
    pub gear: RunningGear,
}

impl Tried {
    pub fn new(name: String, car: Car) -> Self {
        let gear = RunningGear::new(&car).unwrap_or_else(|e| panic!("{name}: {e}"));
        Self { name, car, gear }
    }

    fn frame(&self, axle: &Suspension) -> Frame {
        Frame::new(&self.car, axle, self.gear.ride.axle(axle.name).unwrap(), &self.gear.ride.ground)
    }

    pub fn label(&self, axle: &Suspension) -> String {
        format!("{} {}", self.name, axle.name.word())
    }

    /// How far an axle steers each way, mm.
    pub fn steering(&self, axle: &Suspension) -> f64 {
        axle.described.steering_travel().unwrap_or(0.0)
    }
}

/// Every car of scenes and tests/reference, with masses and brakes where it says nothing of them.
pub fn cars() -> Vec<Tried> {
    let mut paths: Vec<_> = ["scenes", "tests/reference"]
        .into_iter()
        .flat_map(|folder| std::fs::read_dir(format!("{}/{folder}", env!("CARGO_MANIFEST_DIR"))).unwrap())
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|e| e == "ron"))
        .collect();
    paths.sort();
    assert!(paths.len() >= 22, "{paths:?}");
    let read = |path: &std::path::PathBuf| {
        let mut car = CarFile::open(path).unwrap_or_else(|e| panic!("{path:?}: {e}")).car().clone();
        car.balance.get_or_insert(Balance { cg_height: 480.0, brakes_front: Some(0.65), driven: Driven::Both });
        Tried::new(path.file_stem().unwrap().to_string_lossy().into_owned(), car)
    };
    let cars: Vec<Tried> = paths.iter().map(read).collect();
    for linkage in
        [Linkage::Wishbone, Linkage::Strut, Linkage::FiveLink, Linkage::TrailingArm, Linkage::LiveAxle, Linkage::DeDion]
    {
        assert!(cars.iter().any(|c| c.gear.axles().any(|a| a.linkage == linkage)), "no {linkage:?} is tried");
    }
    cars
}

/// The points that an axle was measured by.
pub fn measured(axle: &Axle) -> impl Iterator<Item = PointName> {
    PointName::ALL.iter().copied().filter(|&name| axle.has(name))
}

/// Every point of a wheel in a pose, and one of its spin axis; none that cannot be placed.
pub fn places(axle: &Suspension, pose: &CornerPose) -> Vec<(&'static str, Vector3<f64>)> {
    let of = |name: PointName| {
        let at = axle.at(pose, name).unwrap_or_else(|| panic!("no {} in {pose:?}", name.name()));
        (name.name(), at)
    };
    let mut places: Vec<_> = measured(&axle.described).map(of).collect();
    places.push(("spin axis", pose.wheel_centre + pose.spin * 100.0));
    places
}

/// Largest distance between the same points of two poses, mm.
pub fn apart(axle: &Suspension, a: &CornerPose, b: &CornerPose) -> f64 {
    places(axle, a).iter().zip(places(axle, b)).map(|(p, q)| (p.1 - q.1).norm()).fold(0.0, f64::max)
}

/// Values along a motion at which every car of ours can stand, and a step for differences.
fn asked(tried: &Tried, axle: &Suspension, along: Along) -> (Vec<f64>, f64) {
    match along {
        Along::Travel | Along::Heave => (vec![-23.0, 0.0, 31.0], 0.6),
        Along::Roll => (vec![-0.021, 0.0, 0.017], 1.2e-3),
        Along::Pitch => (vec![-0.004, 0.0, 0.005], 4e-4),
        Along::Steer => {
            let stop = tried.steering(axle);
            (vec![-0.7 * stop, -0.1 * stop, 0.4 * stop], if stop > 0.0 { 0.6 } else { 0.1 })
        }
    }
}

/// Weights of an eighth-order central difference (B. Fornberg, Generation of Finite Difference Formulas on Arbitrarily
/// Spaced Grids, Math. Comp. 51, 1988, table 1).
const STENCIL: [(f64, f64); 4] = [(1.0, 4.0 / 5.0), (2.0, -1.0 / 5.0), (3.0, 4.0 / 105.0), (4.0, -1.0 / 280.0)];

/// A difference taken with the step, half and twice it tells how far it can be trusted itself: what it leaves over from
/// the next order falls 256 times from one step to its half, what it makes of rounding doubles.
#[test]
fn every_quantity_changes_along_every_motion_as_differences_say() {
    let (mut compared, mut blurred, mut misses) = (0, 0, Vec::new());
    for tried in cars() {
        for axle in tried.gear.axles() {
            let frame = tried.frame(axle);
            let ride = tried.gear.ride.axle(axle.name).unwrap();
            for along in Along::ALL {
                let (values, step) = asked(&tried, axle, along);
                for value in values {
                    let label = format!("{} {} {value}", tried.label(axle), along.name());
                    let at = tried.gear.bring(axle, ride, along, value).unwrap_or_else(|e| panic!("{label}: {e}"));
                    let moved: Vec<_> = [0.5, 1.0, 2.0]
                        .iter()
                        .flat_map(|scale| STENCIL.iter().flat_map(move |(n, _)| [n * scale, -n * scale]))
                        .map(|n| tried.gear.bring(axle, &at.wheels, along, value + n * step).unwrap())
                        .collect();
                    for side in Side::BOTH {
                        for &quantity in Quantity::ALL {
                            let here = quantity.of(&at.standing(axle, &frame), side);
                            let told = tried.gear.change(axle, &frame, &at, quantity, side);
                            assert_eq!(here.is_some(), told.is_some(), "{label} {quantity:?}");
                            let (Some(here), Some([again, rate])) = (here, told) else { continue };
                            let near = (here - again).abs() <= 1e-9 * (1.0 + here.abs());
                            assert!(near, "{label} {quantity:?}: {here} and {again}");
                            let of = |i: usize| quantity.of(&moved[i].standing(axle, &frame), side);
                            let difference = |s: usize| {
                                let h = step * [0.5, 1.0, 2.0][s];
                                let each = STENCIL.iter().enumerate();
                                let sum: Option<f64> = each
                                    .map(|(k, (_, w))| Some(w * (of(8 * s + 2 * k)? - of(8 * s + 2 * k + 1)?)))
                                    .sum();
                                Some(sum? / h)
                            };
                            let all = [0, 1, 2].map(difference);
                            // Straight ahead some come and go.
                            let [Some(half), Some(once), Some(twice)] = all else { continue };
                            let rounding = 1e-11 * (1.0 + here.abs()) / step;
                            let known = (once - half).abs() + (twice - once).abs() / 50.0 + rounding;
                            compared += 1;
                            if known > 1e-6 * rate.abs() + 1e-9 * (1.0 + here.abs()) / step {
                                blurred += 1;
                                continue;
                            }
                            let holds = (rate - once).abs() <= known;
                            if !holds {
                                let off = (rate - once).abs() / known;
                                misses.push(format!(
                                    "{label} {} {quantity:?}: {rate} against {once}, {off:.1} times {known:.1e}",
                                    side.word()
                                ));
                            }
                        }
                    }
                }
            }
        }
    }
    assert!(misses.is_empty(), "{} of {compared}:\n{}", misses.len(), misses[..misses.len().min(40)].join("\n"));
    assert!(compared > 10_000, "{compared}");
    // An instant centre on its way to infinity changes too fast for any step.
    assert!(blurred * 20 < compared, "{blurred} of {compared} are too blurred to tell");
}

/// A vector seen in a mirror that stands along the car.
fn mirrored(v: Vector3<f64>) -> Vector3<f64> {
    Vector3::new(v.x, -v.y, v.z)
}

fn mirrored_axle(axle: &Axle) -> Axle {
    let mut other = axle.clone();
    let single = |name: PointName| axle.middle.0.contains_key(&name);
    let of = |side: Side| {
        let names = measured(axle).filter(|&name| !single(name));
        Points(names.map(|name| (name, mirrored(axle.point(side, name).unwrap()))).collect())
    };
    (other.points, other.right) = (of(Side::Right), of(Side::Left));
    other.middle = Points(axle.middle.0.iter().map(|(&name, &at)| (name, mirrored(at))).collect());
    other.alignment = axle.alignment(Side::Right);
    other.right_alignment = Some(axle.alignment(Side::Left));
    other
}

/// A car built the other way round answers the other way round, in every number and in every rate.
#[test]
fn a_mirrored_car_gives_mirrored_answers() {
    let (mut compared, mut misses) = (0, Vec::new());
    for tried in cars() {
        let mut car = tried.car.clone();
        car.front = mirrored_axle(&car.front);
        car.rear = car.rear.as_ref().map(mirrored_axle);
        let glass = Tried::new(tried.name.clone(), car);
        for axle in tried.gear.axles() {
            let other = glass.gear.axle(axle.name).unwrap();
            let (frame, other_frame) = (tried.frame(axle), glass.frame(other));
            for along in Along::ALL {
                let turns = matches!(along, Along::Roll | Along::Steer);
                let way = if turns { -1.0 } else { 1.0 };
                for value in asked(&tried, axle, along).0 {
                    let label = format!("{} {} {value}", tried.label(axle), along.name());
                    let ride = tried.gear.ride.axle(axle.name).unwrap();
                    let at = tried.gear.bring(axle, ride, along, value).unwrap();
                    let ride = glass.gear.ride.axle(axle.name).unwrap();
                    let seen = glass.gear.bring(other, ride, along, way * value).unwrap();
                    for side in Side::BOTH {
                        let across = if side == Side::Left { Side::Right } else { Side::Left };
                        let here = places(axle, &at.wheels[side as usize]);
                        let there = places(other, &seen.wheels[across as usize]);
                        for ((name, p), (_, q)) in here.iter().zip(&there) {
                            let far = (mirrored(*p) - q).norm();
                            assert!(far < HELD, "{label} {} {name}: {far}", side.word());
                        }
                        for &quantity in Quantity::ALL {
                            let read = tried.gear.change(axle, &frame, &at, quantity, side);
                            let back = glass.gear.change(other, &other_frame, &seen, quantity, across);
                            assert_eq!(read.is_some(), back.is_some(), "{label} {quantity:?}");
                            let (Some([a, rate]), Some([b, back_rate])) = (read, back) else { continue };
                            let flips =
                                matches!(quantity, Quantity::Steer | Quantity::RollCentreAside | Quantity::Give);
                            let sign = if flips { -1.0 } else { 1.0 };
                            compared += 1;
                            // An instant centre far out is known as the square of its distance is.
                            let known = 1e-8 * (1.0 + a.abs()) + 1e-12 * a * a;
                            let off = (a - sign * b).abs();
                            let rate_off = (rate - way * sign * back_rate).abs();
                            if off > known || rate_off > known * (1.0 + rate.abs()) {
                                misses.push(format!(
                                    "{label} {} {quantity:?}: {a} changing by {rate}, {b} by {back_rate}",
                                    side.word()
                                ));
                            }
                        }
                    }
                }
            }
        }
    }
    assert!(misses.is_empty(), "{} of {compared}:\n{}", misses.len(), misses[..misses.len().min(40)].join("\n"));
    assert!(compared > 10_000, "{compared}");
}

/// An axle turned and shifted with everything that it was measured by.
fn carried(axle: &Axle, turn: Rotation3<f64>, shift: Vector3<f64>) -> Axle {
    let mut other = axle.clone();
    let single = |name: PointName| axle.middle.0.contains_key(&name);
    let of = |side: Side| {
        let names = measured(axle).filter(|&name| !single(name));
        Points(names.map(|name| (name, turn * axle.point(side, name).unwrap() + shift)).collect())
    };
    (other.points, other.right) = (of(Side::Left), of(Side::Right));
    other.middle = Points(axle.middle.0.iter().map(|(&name, &at)| (name, turn * at + shift)).collect());
    let stance = |side: Side| {
        let s = turn * axle.spin_axis(side);
        Stance { camber: -s.z.asin(), toe: f64::atan2(s.x, side.sign() * s.y) }
    };
    (other.alignment, other.right_alignment) = (stance(Side::Left), Some(stance(Side::Right)));
    other
}

/// A linkage knows no up, ahead and aside: turned and shifted together with the ground that it stands on, every point is
/// where it was. A centre crank turns about the car's length and a steering shaft of which no second point was measured
/// is upright, so those are turned about that alone.
#[test]
fn where_the_axes_lie_changes_nothing() {
    use PointName::{IdlerShaft, IdlerShaftTop, PitmanShaft, PitmanShaftTop};
    let turns = [[0.0, 0.0, 0.0], [0.31, 0.0, 0.0], [0.0, 0.0, -0.37], [0.12, -0.21, 0.33], [-0.2, 0.3, -0.4]]
        .map(Vector3::from);
    let grounds = [(0.0, 0.0, 0.0), (-28.0, 0.02, 0.0), (22.0, -0.03, 0.006)];
    for tried in cars() {
        for axle in tried.gear.axles() {
            let has = |name| axle.described.has(name);
            let upright = |shaft, top| has(shaft) && !has(top);
            let only = if has(PointName::CentrePivot) {
                Some(Vector3::x())
            } else if upright(PitmanShaft, PitmanShaftTop) || upright(IdlerShaft, IdlerShaftTop) {
                Some(Vector3::z())
            } else {
                None
            };
            for (i, turn) in turns.into_iter().enumerate() {
                if only.is_some_and(|axis| turn.cross(&axis) != Vector3::zeros()) {
                    continue;
                }
                let shift = Vector3::new(311.0, -127.0, 83.0) * i as f64 + Vector3::new(0.0, 900.0, -400.0);
                let turn = Rotation3::new(turn);
                let other = Suspension::new(&carried(&axle.described, turn, shift), axle.name);
                for (heave, roll, pitch) in grounds {
                    let tilt = Rotation3::from_euler_angles(roll, pitch, 0.0);
                    let normal = tilt * Vector3::z();
                    // Tilted about a point under the axle.
                    let under = Vector3::new(axle.as_measured()[0].wheel_centre.x, 0.0, tried.car.ground - heave);
                    let ground = Plane { normal, offset: normal.dot(&under) };
                    let normal = turn * normal;
                    let theirs = Plane { normal, offset: ground.offset + normal.dot(&shift) };
                    for steer in [0.0, 0.6, -0.8].map(|k| k * tried.steering(axle)) {
                        let stand =
                            |axle: &Suspension, on| axle.pose(&axle.as_measured(), steer, [Drive::Ground(on); 2]);
                        let label = format!("{} {i} {heave} {roll} {pitch} {steer}", tried.label(axle));
                        let here = stand(axle, ground).unwrap_or_else(|e| panic!("{label}: {e}"));
                        let there = stand(&other, theirs).unwrap_or_else(|e| panic!("{label}: {e}"));
                        for side in Side::BOTH {
                            let (p, q) = (&here[side as usize], &there[side as usize]);
                            for ((name, p), (_, q)) in places(axle, p).iter().zip(places(&other, q)) {
                                let far = (turn * p + shift - q).norm();
                                assert!(far < HELD, "{label} {} {name}: {far}", side.word());
                            }
                            let lengths = [axle.damper_length(p), other.damper_length(q)];
                            assert!(lengths[0].zip(lengths[1]).is_none_or(|(a, b)| (a - b).abs() < HELD), "{label}");
                        }
                    }
                }
            }
        }
    }
}

/// The pairs of points that stay as far apart as they were measured: links, rods, arms, levers.
fn rods(axle: &Axle) -> Vec<(PointName, PointName)> {
    use PointName::*;
    let held = match axle.linkage {
        Linkage::Wishbone => vec![
            (LowerFront, LowerBallJoint),
            (LowerRear, LowerBallJoint),
            (UpperFront, UpperBallJoint),
            (UpperRear, UpperBallJoint),
            (LowerBallJoint, UpperBallJoint),
            (TieRodInner, TieRodOuter),
            (TieRodOuter, WheelCentre),
        ],
        Linkage::Strut => vec![
            (LowerFront, LowerBallJoint),
            (LowerRear, LowerBallJoint),
            (TieRodInner, TieRodOuter),
            (TieRodOuter, LowerBallJoint),
            (DamperBottom, WheelCentre),
        ],
        Linkage::FiveLink => vec![
            (LowerFront, LowerFrontOuter),
            (LowerRear, LowerRearOuter),
            (UpperFront, UpperFrontOuter),
            (UpperRear, UpperRearOuter),
            (TieRodInner, TieRodOuter),
            (UpperFrontOuter, LowerRearOuter),
        ],
        Linkage::TrailingArm => vec![(ArmInner, WheelCentre), (ArmOuter, WheelCentre)],
        Linkage::LiveAxle | Linkage::DeDion => vec![
            (LowerLinkBody, LowerLinkAxle),
            (UpperLinkBody, UpperLinkAxle),
            (LateralRodBody, LateralRodAxle),
            (UpperRodBody, CrankUpper),
            (LowerRodBody, CrankLower),
            (CentrePivot, CrankUpper),
            (CrankLower, CrankUpper),
            (LowerLinkAxle, WheelCentre),
        ],
    };
    let fitted = [
        (PushRodInner, PushRodOuter),
        (PushRodInner, RockerPivot),
        (PushRodInner, RockerAxis),
        (BarLever, DropLinkOuter),
        (BarLever, BarPivot),
        (PitmanEnd, IdlerEnd),
        (PitmanShaft, PitmanEnd),
        (IdlerShaft, IdlerEnd),
        (TieRodInner, PitmanEnd),
        (TieRodInner, IdlerEnd),
    ];
    held.into_iter().chain(fitted).filter(|&(a, b)| axle.has(a) && axle.has(b)).collect()
}

/// Largest change of length of anything that has one, of a strut's axis from its top mount, and of what links give from
/// what is told, mm.
pub fn strain(axle: &Suspension, pose: &CornerPose) -> f64 {
    use PointName::{DamperBottom, DamperTop};
    let side = pose.hub.side;
    let then = |name| axle.measured.at(side, name).unwrap();
    let now = |name| axle.at(pose, name).unwrap();
    let gives = |a: PointName| {
        let upper = match a {
            PointName::UpperLinkBody => 1.0,
            PointName::LowerLinkBody => -1.0,
            _ => 0.0,
        };
        // Upper left and lower right grow alike.
        axle.give(pose).map_or(0.0, |give| give * upper * side.sign())
    };
    let change =
        |&(a, b): &(PointName, PointName)| ((now(a) - now(b)).norm() - (then(a) - then(b)).norm() - gives(a)).abs();
    let longest = rods(&axle.described).iter().map(change).fold(axle.residual(pose), f64::max);
    if axle.linkage != Linkage::Strut {
        return longest;
    }
    // The strut's axis keeps its direction in the upright.
    let (now, then) = (now(DamperTop) - now(DamperBottom), pose.turn * (then(DamperTop) - then(DamperBottom)));
    longest.max(now.cross(&then.normalize()).norm())
}

/// A walk through travel and steering (or the other wheel's travel), in parts of the sweep: round, across, and far out.
const WALK: [(f64, f64); 9] = [
    (0.0, 0.0),
    (0.5, 0.2),
    (1.0, 1.0),
    (0.9, -0.9),
    (-1.0, -1.0),
    (-0.6, 0.8),
    (0.1, 0.95),
    (-0.95, 0.0),
    (0.7, -0.3),
];

#[test]
fn a_walk_and_the_same_walk_back_end_where_they_began_with_every_link_as_long_as_it_was() {
    for tried in cars() {
        for hub in tried.gear.hubs() {
            let axle = tried.gear.axle(hub.axle).unwrap();
            let [bump, droop] = tried.car.sweep.travel(hub.axle);
            let stop = tried.steering(axle);
            let place = |&(t, s): &(f64, f64)| {
                let travel = |k: f64| if k > 0.0 { k * bump } else { k * droop };
                Vector2::new(travel(t), if axle.independent() { s * stop } else { travel(s) })
            };
            let label = format!("{} {}", tried.name, hub.words());
            let mut pose = *tried.gear.ride(hub);
            let go = |from: &CornerPose, at: Vector2<f64>| {
                let mut pose = *from;
                let begun = Vector2::new(tried.gear.travel(from), from.rack);
                let begun = if axle.independent() {
                    begun
                } else {
                    Vector2::new(begun.x, tried.gear.travel(&axle.other(from)))
                };
                for k in 1..=12 {
                    let at = begun + (at - begun) * (f64::from(k) / 12.0);
                    pose = tried.gear.raise(&pose, at).unwrap_or_else(|e| panic!("{label} {at}: {e}"));
                    let strain = strain(axle, &pose);
                    assert!(strain < HELD, "{label} {at}: {strain}");
                    assert!((tried.gear.travel(&pose) - at.x).abs() < HELD, "{label} {at}");
                }
                pose
            };
            let mut been = vec![pose];
            for at in &WALK[1..] {
                pose = go(&pose, place(at));
                been.push(pose);
            }
            for (k, at) in WALK[..WALK.len() - 1].iter().enumerate().rev() {
                pose = go(&pose, place(at));
                let far = apart(axle, &pose, &been[k]);
                assert!(far < HELD, "{label} back at {at:?}: {far}");
            }
            // From anywhere to anywhere in one go is the same place.
            for (i, (from, at)) in been.iter().zip(WALK.iter().skip(3)).enumerate() {
                let there = tried.gear.raise(from, place(at)).unwrap();
                let far = apart(axle, &there, &been[i + 3]);
                assert!(far < HELD, "{label} from {i} to {}: {far}", i + 3);
            }
        }
    }
}

/// A bar with its lever ahead of it, a rocker, a steering box, a crank and links that give: all are among the cars.
#[test]
fn every_fitting_is_tried() {
    use PointName::{BarLever, CentrePivot, IdlerShaftTop, LateralRodAxle, PushRodOuter, TieRodInner};
    let cars = cars();
    let any = |what: &str, is: &dyn Fn(&Suspension) -> bool| {
        assert!(cars.iter().any(|c| c.gear.axles().any(is)), "no car has {what}");
    };
    for name in [BarLever, CentrePivot, IdlerShaftTop, LateralRodAxle, PushRodOuter] {
        any(name.words(), &|axle| axle.described.has(name));
    }
    any("a toe link", &|axle| axle.name == AxleName::Rear && axle.described.has(TieRodInner));
    any("links that give", &|axle| axle.give(&axle.as_measured()[0]).is_some());
}
