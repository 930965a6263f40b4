//! Linkages whose forces go by hand: moments about joints, and nothing else. No worked example of a textbook that gives
//! all its numbers was found, so these are our own sums; the rules behind them are those of any statics.

use scribeline::car::axle::{Axle, Linkage, MountedOn, Points};
use scribeline::car::{PointName, Side};
use scribeline::motion::Suspension;
use scribeline::strength::forces::{JointForce, Part};

use super::*;
use PointName::*;

/// Points by name.
type Drawn = Vec<(PointName, [f64; 3])>;

/// A drawing board's axle, round numbers, symmetric: wheels upright with their centres 300 mm over the ground at z = 0.
fn drawn(linkage: Linkage, on: MountedOn, of_side: &[(PointName, [f64; 3])], middle: &[(PointName, [f64; 3])]) -> Axle {
    let mut axle = car("tests/reference/ahead").front;
    let points = |of: &[(PointName, [f64; 3])]| Points(of.iter().map(|(name, p)| (*name, (*p).into())).collect());
    (axle.linkage, axle.points, axle.right, axle.middle) =
        (linkage, points(of_side), Points::default(), points(middle));
    (axle.alignment, axle.right_alignment) = (Default::default(), None);
    axle.tyre.loaded_radius = Some(300.0);
    axle.damper.as_mut().unwrap().on = on;
    axle
}

/// What an axle as measured does with the same load on both wheels, mirrored.
fn bear(axle: &Axle, load: WheelLoad) -> Forces {
    let axle = Suspension::new(axle, AxleName::Front);
    let flip = |v: Vector3<f64>| Vector3::new(v.x, -v.y, v.z);
    let twist = |v: Vector3<f64>| Vector3::new(-v.x, v.y, -v.z);
    let other = WheelLoad { contact: flip(load.contact), driven: flip(load.driven), moment: twist(load.moment) };
    let ground = Plane { normal: Vector3::z(), offset: 0.0 };
    forces(&axle, &axle.as_measured(), &ground, &[load, other]).unwrap()
}

fn left(forces: &Forces, part: &str) -> f64 {
    member(forces, part, Some(Side::Left)).axial
}

fn joint(forces: &Forces, point: PointName, on: Part) -> JointForce {
    let found = forces.joints.iter().find(|j| j.point == point && j.side != Some(Side::Right) && j.on == on);
    *found.unwrap_or_else(|| panic!("no {} on {on:?}", point.name()))
}

fn near(ours: f64, theirs: f64) {
    assert!((ours - theirs).abs() < 1e-9 * (1.0 + theirs.abs()), "{ours} {theirs}");
}

/// Level arms 200 mm apart, kingpin upright 100 mm inboard of the contact, spring upright on the lower arm at two
/// thirds.
fn wishbones() -> Drawn {
    vec![
        (LowerFront, [100.0, 300.0, 200.0]),
        (LowerRear, [-100.0, 300.0, 200.0]),
        (LowerBallJoint, [0.0, 600.0, 200.0]),
        (UpperFront, [100.0, 350.0, 400.0]),
        (UpperRear, [-100.0, 350.0, 400.0]),
        (UpperBallJoint, [0.0, 600.0, 400.0]),
        (TieRodInner, [100.0, 300.0, 300.0]),
        (TieRodOuter, [100.0, 600.0, 300.0]),
        (WheelCentre, [0.0, 700.0, 300.0]),
        (DamperTop, [0.0, 500.0, 700.0]),
        (DamperBottom, [0.0, 500.0, 200.0]),
    ]
}

/// Upright load P: the wheel hangs out 100 mm, so the arms hold a couple of P 100 by 200 mm: upper pushed, lower pulled
/// by P / 2. The lower arm is a lever: the spring carries P 300 / 200 and bends it by P 100 at its mount.
#[test]
fn a_wheel_on_level_wishbones() {
    let told = bear(&drawn(Linkage::Wishbone, MountedOn::LowerArm, &wishbones(), &[]), contact(0.0, 0.0, 4000.0));
    near(left(&told, "spring and damper"), -6000.0);
    // Each leg has half of what the arm has, by its own slant.
    let slant = |aside: f64, out: f64| f64::hypot(aside, out) / out;
    near(left(&told, "lower arm, front leg"), 1000.0 * slant(100.0, 300.0));
    near(left(&told, "lower arm, rear leg"), 1000.0 * slant(100.0, 300.0));
    near(left(&told, "upper arm, front leg"), -1000.0 * slant(100.0, 250.0));
    near(left(&told, "tie rod"), 0.0);
    let bent = told.bending.iter().find(|b| b.side == Side::Left).unwrap();
    assert_eq!((bent.part, bent.at), ("lower arm", DamperBottom));
    near(bent.moment, 4000.0 * 100.0);
    bent.legs.unwrap().into_iter().for_each(|leg| near(leg, 2000.0 * 100.0));
    // The pickups carry what the spring pushes down beyond the wheel's load.
    near(joint(&told, LowerFront, Part::Body).force.z, -1000.0);
}

/// A brake at the wheel: the force at the ground is outside both arms, so the lower one holds it twice over and the
/// upper one pulls back (B 400 / 200 and B 200 / 200). The rod 100 mm ahead of the kingpin holds the scrub radius of
/// 100 mm: B.
#[test]
fn braking_on_wishbones() {
    let told = bear(&drawn(Linkage::Wishbone, MountedOn::LowerArm, &wishbones(), &[]), contact(-3000.0, 0.0, 0.0));
    let upright = Part::Upright(Side::Left);
    near(joint(&told, LowerBallJoint, upright).force.x, 6000.0);
    near(joint(&told, UpperBallJoint, upright).force.x, -3000.0);
    near(left(&told, "tie rod"), 3000.0);
}

/// A shaft that drives takes the torque: at the wheel centre, half way between the arms, each holds half.
#[test]
fn driving_on_wishbones() {
    let load = WheelLoad { driven: Vector3::new(3000.0, 0.0, 0.0), ..WheelLoad::default() };
    let told = bear(&drawn(Linkage::Wishbone, MountedOn::LowerArm, &wishbones(), &[]), load);
    for point in [LowerBallJoint, UpperBallJoint] {
        near(joint(&told, point, Part::Upright(Side::Left)).force.x, -1500.0);
    }
}

/// A damper that leans forward by 3 in 10 pushes its arm back by 0.3 of what it lifts: each pickup takes half of that,
/// beside what its leg does. With nothing on the arm the pickups' forces lie along the legs.
#[test]
fn both_pickups_share_a_leaning_damper_alike() {
    let mut points = wishbones();
    points[9].1 = [150.0, 500.0, 700.0];
    let told = bear(&drawn(Linkage::Wishbone, MountedOn::LowerArm, &points, &[]), contact(0.0, 0.0, 4000.0));
    // By 200 mm of lever the spring lifts with 6000 N still, and so pushes the arm back with 1800 N.
    let at = |point| joint(&told, point, Part::Body).force;
    // The legs, pulled by 2000 N outwards together, pull the front pickup back and the rear one forward.
    let leg = 1000.0 * 100.0 / 300.0;
    near(at(LowerFront).x, -leg - 900.0);
    near(at(LowerRear).x, leg - 900.0);
    let along = Vector3::new(-100.0, 250.0, 0.0).normalize();
    near(at(UpperFront).cross(&along).norm(), 0.0);
}

/// A strut upright, 150 mm inboard of the contact: P 150 is held by its top mount 600 mm over the lower ball joint,
/// which bends it by P / 4 times 400 mm.
#[test]
fn a_struts_side_load() {
    let points = [
        (LowerFront, [100.0, 300.0, 200.0]),
        (LowerRear, [-100.0, 300.0, 200.0]),
        (LowerBallJoint, [0.0, 650.0, 200.0]),
        (DamperTop, [0.0, 550.0, 800.0]),
        (DamperBottom, [0.0, 550.0, 400.0]),
        (TieRodInner, [-100.0, 300.0, 250.0]),
        (TieRodOuter, [-100.0, 650.0, 250.0]),
        (WheelCentre, [0.0, 700.0, 300.0]),
    ];
    let told = bear(&drawn(Linkage::Strut, MountedOn::Upright, &points, &[]), contact(0.0, 0.0, 4000.0));
    near(left(&told, "spring and damper"), -4000.0);
    let top = told.joints.iter().find(|j| j.point == DamperTop && j.side == Some(Side::Left) && !j.rod).unwrap();
    near(top.force.y.abs(), 1000.0);
    near(left(&told, "lower arm, front leg"), 500.0 * f64::hypot(100.0, 350.0) / 350.0);
    near(told.bending.iter().find(|b| b.part == "strut").unwrap().moment, 400_000.0);
}

/// Level links 200 mm apart, the axle half way between.
fn four_links() -> [Drawn; 2] {
    let each = vec![
        (LowerLinkBody, [500.0, 400.0, 200.0]),
        (LowerLinkAxle, [0.0, 400.0, 200.0]),
        (UpperLinkBody, [500.0, 400.0, 400.0]),
        (UpperLinkAxle, [0.0, 400.0, 400.0]),
        (WheelCentre, [0.0, 700.0, 300.0]),
        (DamperTop, [0.0, 500.0, 700.0]),
        (DamperBottom, [0.0, 500.0, 300.0]),
    ];
    [each, vec![(LateralRodBody, [0.0, 400.0, 300.0]), (LateralRodAxle, [0.0, -400.0, 300.0])]]
}

/// The torque of a live axle: its thrust F a wheel acts on it at the ground, so lower links are pushed with F 400 / 200
/// and upper ones pulled with F 200 / 200. A De Dion axle's final drive takes the torque: each link has half of F.
#[test]
fn an_axles_thrust_and_torque() {
    let [each, middle] = four_links();
    let live = bear(&drawn(Linkage::LiveAxle, MountedOn::Upright, &each, &middle), contact(2500.0, 0.0, 0.0));
    near(left(&live, "lower link"), -5000.0);
    near(left(&live, "upper link"), 2500.0);
    let load = WheelLoad { driven: Vector3::new(2500.0, 0.0, 0.0), ..WheelLoad::default() };
    let dead = bear(&drawn(Linkage::DeDion, MountedOn::Upright, &each, &middle), load);
    near(left(&dead, "lower link"), -1250.0);
    near(left(&dead, "upper link"), -1250.0);
}

/// Cornering, both wheels to the left by Y: the lateral rod, level at the axle's height, has 2 Y; what the ground is
/// below it tips the axle, which its springs 1000 mm apart hold with 2 Y 300 / 1000.
#[test]
fn a_lateral_rods_force() {
    let [each, middle] = four_links();
    let axle = Suspension::new(&drawn(Linkage::LiveAxle, MountedOn::Upright, &each, &middle), AxleName::Front);
    let ground = Plane { normal: Vector3::z(), offset: 0.0 };
    let told = forces(&axle, &axle.as_measured(), &ground, &[contact(0.0, 1500.0, 0.0); 2]).unwrap();
    // From the body on the left to the axle on the right: pushed to the left it is pushed together.
    near(member(&told, "lateral rod", None).axial, -3000.0);
    // The axle's foot is pushed to the left, so its left end rises into its spring.
    near(left(&told, "spring and damper"), -900.0);
    near(member(&told, "spring and damper", Some(Side::Right)).axial, 900.0);
}

/// A trailing arm under a side force Y at the ground, 400 mm behind its pickups and 300 mm below: along their line each
/// takes half; Y 400 goes forward and back in them, 200 mm apart.
#[test]
fn a_trailing_arm_in_a_turn() {
    let points = [
        (ArmInner, [400.0, 350.0, 300.0]),
        (ArmOuter, [400.0, 550.0, 300.0]),
        (WheelCentre, [0.0, 700.0, 300.0]),
        (DamperTop, [0.0, 450.0, 700.0]),
        (DamperBottom, [0.0, 450.0, 300.0]),
    ];
    let told = bear(&drawn(Linkage::TrailingArm, MountedOn::Upright, &points, &[]), contact(0.0, -2000.0, 3000.0));
    let [inner, outer] = [ArmInner, ArmOuter].map(|p| joint(&told, p, Part::Body).force);
    near(inner.y, -1000.0);
    near(outer.y, -1000.0);
    near(inner.x.abs(), 4000.0);
    near(inner.x + outer.x, 0.0);
    near(left(&told, "spring and damper"), -3000.0);
    // The wheel and the spring lift and push at the same distance from the pickups: nothing bends the arm between.
    near(told.bending[0].moment, 0.0);
}
