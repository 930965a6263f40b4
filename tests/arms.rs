//! Arms that are more than two straight legs: where bends, cross tubes and gussets are, how they move, and that gaps and
//! proofs know of them.

use nalgebra::{Vector2, Vector3};
use parry3d_f64::math::{Pose, Vector};
use parry3d_f64::query;
use parry3d_f64::shape::{Cuboid, Segment, Triangle};
use scribeline::answer::{SLACK, Study};
use scribeline::car::{AxleName, CarFile, Hub, PointName, Side};
use scribeline::space::{
    Bar, Facet, Few, Kind, Moving, PlacedRing, Proving, Role, Solid, Spot, Swept, apart, known_to, nearest,
};

const DUNLIN: &str = include_str!("../scenes/dunlin.ron");
const TUBE: &str = "lower: (od: \"1 in\", wall: \"0.250 in\"),";

fn built(shape: &str) -> CarFile {
    let text = DUNLIN.replacen(TUBE, &format!("{TUBE} lower_arm: ({shape}),"), 1);
    assert!(text.contains("lower_arm"));
    CarFile::from_text(text, None).unwrap_or_else(|e| panic!("{e}"))
}

fn study(file: &CarFile, proposal: &str) -> Study {
    Study::new(file.proposed(proposal).expect("it is there")).unwrap_or_else(|e| panic!("{e}"))
}

fn front(side: Side) -> Hub {
    Hub { axle: AxleName::Front, side }
}

fn lower_arm(study: &Study, side: Side) -> (usize, &Moving) {
    let all = study.parts.moving(front(side));
    let i = all.iter().position(|part| part.name == "lower arm").expect("a lower arm");
    (i, &all[i])
}

const ALL: &str = "front_bend: (at: 160, inward: 22, up: -9), rear_bend: (at: 140, inward: -15), cross: 200, \
                   gusset: (reach: 90, thickness: 4)";

/// By the construction that the car file's words give, from the points as measured: along the straight line, squarely aside
/// in the arm's plane, squarely up.
#[test]
fn bends_lie_where_the_car_file_says() {
    let study = Study::new(built(ALL).car().clone()).expect("a car");
    for side in Side::BOTH {
        let axle = &study.gear.front;
        let pose = &axle.as_measured()[side as usize];
        let at = |name| axle.at(pose, name).expect("measured");
        let (front, rear) = (at(PointName::LowerFront), at(PointName::LowerRear));
        let joint = at(PointName::LowerBallJoint);
        let mut up = (front - joint).cross(&(rear - joint)).normalize();
        up *= up.z.signum();
        let bend = |pickup: Vector3<f64>, other: Vector3<f64>, [along, inward, high]: [f64; 3]| {
            let leg = (pickup - joint).normalize();
            let to_other = other - joint;
            let aside = (to_other - leg * to_other.dot(&leg)).normalize();
            joint + leg * along + aside * inward + up * high
        };
        let (_, arm) = lower_arm(&study, side);
        let corner = |pickup: PointName| {
            let leg = arm.legs.iter().find(|leg| leg.ends[0] == Spot::At(pickup)).expect("a leg");
            leg.ends[1].at(axle, pose).expect("in reach")
        };
        // The right arm of this car stands 3 mm higher at its rear pickup, so lengths off the left one are shares there.
        let near = if side == Side::Left { 1e-9 } else { 0.05 };
        let by_hand = [bend(front, rear, [160.0, 22.0, -9.0]), bend(rear, front, [140.0, -15.0, 0.0])];
        let found = [corner(PointName::LowerFront), corner(PointName::LowerRear)];
        for (found, by_hand) in found.iter().zip(by_hand) {
            assert!((found - by_hand).norm() < near, "{side:?}: {found} {by_hand}");
        }
        assert!((arm.plate.expect("a gusset").radius - 2.0).abs() < 1e-12);
    }
}

/// An arm is one piece of metal: no two places of it change their distance, and each moves in proportion to its distance
/// from the line through the pickups.
#[test]
fn an_arm_is_rigid_and_its_places_move_no_further_than_is_said() {
    let study = Study::new(built(ALL).car().clone()).expect("a car");
    for side in Side::BOTH {
        let axle = &study.gear.front;
        let hub = front(side);
        let (i, arm) = lower_arm(&study, side);
        let spots: Vec<Spot> =
            arm.legs.iter().flat_map(|leg| leg.ends).chain(arm.plate.expect("one").corners).collect();
        let rest = axle.as_measured()[side as usize];
        let was: Vec<_> = spots.iter().map(|spot| spot.at(axle, &rest).expect("in reach")).collect();
        let at = |name| axle.at(&rest, name).expect("measured");
        let (joint, pickup) = (at(PointName::LowerBallJoint), at(PointName::LowerFront));
        let along = (at(PointName::LowerRear) - pickup).normalize();
        let from_axis = |p: &Vector3<f64>| (p - pickup).cross(&along).norm();
        for travel in [-60.0, -20.0, 35.0, 70.0] {
            let pose = study.sweep(hub).pose(&study.gear, Vector2::new(travel, 12.0)).expect("in reach");
            let now: Vec<_> = spots.iter().map(|spot| spot.at(axle, &pose).expect("in reach")).collect();
            for a in 0..spots.len() {
                for b in 0..a {
                    assert!(((now[a] - now[b]).norm() - (was[a] - was[b]).norm()).abs() < 1e-7);
                }
            }
            let moved = (axle.at(&pose, PointName::LowerBallJoint).expect("in reach") - joint).norm();
            for (spot, (now, was)) in spots.iter().zip(now.iter().zip(&was)) {
                if let Spot::OnArm(ride) = spot {
                    let share = from_axis(was) / from_axis(&joint);
                    assert!(((now - was).norm() - moved * share).abs() < 1e-6, "{now} {was} {moved} {share}");
                    assert!(share <= ride.moves + 1e-12 && share > 0.99 * ride.moves, "{share} {}", ride.moves);
                }
            }
            assert!(study.parts.bars(&study.gear, Role::Moving(hub, i), &pose).expect("bars").plate().is_some());
        }
    }
}

fn parry(p: Vector3<f64>) -> Vector {
    Vector::new(p.x, p.y, p.z)
}

/// Numbers from -1 to 1 that are the same on every machine: Knuth's linear congruence (MMIX, from memory).
struct Random(u64);

impl Random {
    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1u64 << 52) as f64 - 1.0
    }

    fn point(&mut self, size: f64) -> Vector3<f64> {
        Vector3::new(self.next() * size, self.next() * size, self.next() * size)
    }
}

/// A plate with its edges against parry3d's triangle, and a tyre against the same plate as a solid.
#[test]
fn a_plate_is_as_far_from_everything_as_its_triangle() {
    let mut random = Random(5);
    let study = Study::new(built("").car().clone()).expect("a car");
    let tyre = study.parts.tyre(front(Side::Left));
    for _ in 0..400 {
        let corners = [random.point(200.0), random.point(200.0), random.point(200.0)];
        let plate = Facet { corners, radius: 3.0 };
        let edges: Vec<Bar> = (0..3).map(|i| Bar { a: corners[i], b: corners[(i + 1) % 3], radius: 3.0 }).collect();
        let few = Few { bars: &edges, plate: Some(&plate) };
        let triangle = Triangle::new(parry(corners[0]), parry(corners[1]), parry(corners[2]));
        let other = Bar { a: random.point(300.0), b: random.point(300.0), radius: 11.0 };
        let segment = Segment::new(parry(other.a), parry(other.b));
        let cores = query::distance(&Pose::IDENTITY, &segment, &Pose::IDENTITY, &triangle).expect("supported");
        for found in [apart(few, &[other][..], f64::INFINITY), apart(&[other], few, f64::INFINITY)] {
            let gap = found.expect("nearer than infinity").gap;
            assert!((gap - (cores.distance - 14.0)).abs() < 1e-6, "{gap} {}", cores.distance);
        }
        let (middle, half) = (random.point(300.0), Vector3::new(40.0, 55.0, 70.0));
        let at = |i: usize| {
            let sign = |k: usize| if i >> k & 1 == 0 { -1.0 } else { 1.0 };
            middle + Vector3::new(half.x * sign(0), half.y * sign(1), half.z * sign(2))
        };
        let faces = [[0, 1, 3, 2], [4, 5, 7, 6], [0, 1, 5, 4], [2, 3, 7, 6], [0, 2, 6, 4], [1, 3, 7, 5]];
        let faces = faces.iter().flat_map(|face| Solid::quad(face.map(at), 0.0)).collect();
        let moved = Pose::from_translation(parry(middle));
        let cuboid = Cuboid::new(parry(half));
        let by_parry = query::distance(&Pose::IDENTITY, &triangle, &moved, &cuboid).expect("supported").distance;
        // Where they meet, how deep is another question.
        if by_parry > 0.0 {
            let gap = apart(few, &Solid::new(vec![], faces), f64::INFINITY).expect("nearer than infinity").gap;
            assert!((gap - (by_parry - 3.0)).abs() < 1e-5, "{gap} {by_parry}");
        }
        let placed = PlacedRing { ring: tyre, centre: Vector3::zeros(), axis: Vector3::y() };
        let solid = Solid::new(vec![], vec![plate]);
        let [one, other] = [nearest(&placed, few, f64::INFINITY), nearest(&placed, &solid, f64::INFINITY)];
        let [one, other] = [one, other].map(|n| n.expect("nearer than infinity").gap);
        assert!((one - other).abs() < known_to(one.min(other)) + 1e-9, "{one} {other}");
    }
}

/// What fabricators bend an arm for: the tyre meets the leg later.
#[test]
fn an_arm_that_is_bent_away_from_the_tyre_gives_more_lock() {
    let degrees = |shape: &str| {
        let study = study(&built(shape), "low and wide");
        let lock = study.proven_lock();
        lock.ways.iter().map(|way| way.worst.rack_mm.abs()).fold(f64::INFINITY, f64::min)
    };
    let straight = degrees("");
    let bent = degrees("front_bend: (at: 170, inward: 20), rear_bend: (at: 170, inward: 20)");
    assert!(bent > straight + 0.5, "{straight} {bent}");
    // Bent the other way, less.
    let out = degrees("front_bend: (at: 170, inward: -20), rear_bend: (at: 170, inward: -20)");
    assert!(out < straight - 0.5, "{straight} {out}");
}

/// No pose at random is nearer than what a proof says, with a gusset in the way of everything.
#[test]
fn proofs_hold_for_arms_with_plates() {
    let study = study(&built(ALL), "low and wide");
    let mut random = Random(11);
    let mut held = 0;
    for side in Side::BOTH {
        let hub = front(side);
        let (i, _) = lower_arm(&study, side);
        let sweep = study.sweep(hub);
        let [low, high] = sweep.range;
        for pair in study.parts.at_wheel(hub) {
            if ![pair.a, pair.b].contains(&Role::Moving(hub, i)) {
                continue;
            }
            let proving = Proving { gear: &study.gear, parts: &study.parts, sweep, pair, slack: SLACK, budget: 20_000 };
            let proof = proving.prove(Swept::new(&study.gear, &study.parts, sweep).least(pair));
            for _ in 0..300 {
                let share = Vector2::new((random.next() + 1.0) / 2.0, (random.next() + 1.0) / 2.0);
                let at = low + (high - low).component_mul(&share);
                let Some(pose) = sweep.pose(&study.gear, at) else { continue };
                let found = study.parts.gap(&study.gear, pair, &pose, proof.at_least - 1e-3);
                assert!(found.is_none(), "{} {:?}", study.parts.name(pair.b), found);
                held += 1;
            }
        }
    }
    assert!(held > 2000, "{held}");
    assert!(study.parts.moving(front(Side::Left)).iter().any(|part| part.kind == Kind::Arm && part.plate.is_some()));
}

#[test]
fn what_does_not_lie_on_an_arm_is_told() {
    let fault = |shape: &str| {
        let text = DUNLIN.replacen(TUBE, &format!("{TUBE} lower_arm: ({shape}),"), 1);
        let error = CarFile::from_text(text, None).expect_err("a fault");
        error.to_string()
    };
    for (shape, part) in [
        ("front_bend: (at: 900, inward: 10)", "the leg is"),
        ("rear_bend: (at: 150, inward: 400)", "less than half its length"),
        ("cross: -4", "lies between its ends"),
        ("gusset: (reach: 170, thickness: 4), front_bend: (at: 150, up: 5)", "past the bend"),
        ("gusset: (reach: 90, thickness: 0)", "thickness"),
        ("gusset: (reach: 90, thickness: 40)", "no thicker than the legs"),
    ] {
        let said = fault(shape);
        assert!(said.contains(part), "{shape}: {said}");
    }
}

#[test]
fn an_arm_that_is_not_there_is_not_built_anew() {
    let change = |change: &str| {
        let text = DUNLIN.replacen("changes: [", &format!("changes: [{change}, "), 1);
        CarFile::from_text(text, None).expect_err("a fault").to_string()
    };
    let said = change("rear(build_arm(arm: upper, tube: (od: 30)))");
    assert!(said.contains("no upper arm"), "{said}");
    let said = change("rear(build_arm(arm: lower, shape: (cross: 100)))");
    assert!(said.contains("no such arm of two legs"), "{said}");
}

/// A comparison tells of an arm that is built otherwise.
#[test]
fn a_comparison_names_an_arm_that_is_built_anew() {
    use scribeline::answer::Comparison;
    use scribeline::car::Shown;
    use scribeline::motion::Along;
    let change = "proposals: [(name: \"x\", changes: [build_arm(arm: lower, shape: (cross: 180))]),";
    let file = CarFile::from_text(DUNLIN.replacen("proposals: [", change, 1), None).unwrap_or_else(|e| panic!("{e}"));
    let found = Study::new(file.car().clone()).expect("a car");
    let told = Comparison::new(&found, &study(&file, "x"), Along::Travel, Shown::Mm).expect("an answer");
    let parts: Vec<&str> = told.parts.iter().map(|part| part.part.as_str()).collect();
    assert_eq!(parts, ["front lower arms or links"]);
}

/// A bent leg is weaker: it counts as out of straight by how far it is bent.
#[test]
fn a_bent_leg_is_judged_as_bowed() {
    let bow = |shape: &str| built(shape).car().front.arms.lower().bow;
    assert_eq!(bow(""), None);
    assert!((bow(ALL).expect("bent") - 22f64.hypot(9.0)).abs() < 1e-12);
}

/// A proposal makes them anew, and what was of the lower arm's tube stays of it.
#[test]
fn a_proposal_builds_an_arm_anew() {
    let change = "build_arm(arm: lower, tube: (od: 40, wall: 3), shape: (cross: 180)), ";
    let text = DUNLIN.replacen("changes: [", &format!("changes: [{change}"), 1);
    let file = CarFile::from_text(text, None).unwrap_or_else(|e| panic!("{e}"));
    let (was, now) = (file.car(), file.proposed(&file.car().proposals[0].name).expect("it is there"));
    assert_eq!((now.front.arms.lower().od, now.front.arms.lower_arm.cross), (40.0, Some(180.0)));
    assert_eq!(now.front.arms.upper(), was.front.arms.upper());
    assert_eq!(now.front.arms.tie_rod(), was.front.arms.tie_rod());
    let arm = |car: &scribeline::car::Car| {
        Study::new(car.clone()).expect("a car").parts.moving(front(Side::Left))[0].legs.len()
    };
    assert_eq!(arm(&now), arm(was) + 1);
}
