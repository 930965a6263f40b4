//! Axles that have a formula: trailing arms, stiff axles, and the drawings of roll centre and anti-dive.

use nalgebra::{Rotation3, Unit, Vector2, Vector3};
use scribeline::car::PointName::{
    ArmInner, ArmOuter, CentrePivot, CrankLower, CrankUpper, DamperBottom, DamperTop, LateralRodAxle, LateralRodBody,
    LowerBallJoint, LowerFront, LowerFrontOuter, LowerLinkAxle, LowerLinkBody, LowerRear, LowerRearOuter, LowerRodBody,
    TieRodInner, TieRodOuter, UpperBallJoint, UpperFront, UpperFrontOuter, UpperLinkAxle, UpperLinkBody, UpperRear,
    UpperRearOuter, UpperRodBody, WheelCentre,
};
use scribeline::car::axle::{Linkage, Points};
use scribeline::car::body::{Balance, Driven};
use scribeline::car::{AxleName, Car, PointName, Side};
use scribeline::motion::{CornerPose, Drive, Frame, Plane, Quantity, Standing, Suspension};

use super::car;
use super::closed_forms::{Point, at, crossing, front_view};

const BRAKES_FRONT: f64 = 0.62;
const BALANCE: Balance = Balance { cg_height: 520.0, brakes_front: Some(BRAKES_FRONT), driven: Driven::Rear };

/// A symmetric axle with these points on the left and in the middle and nothing else, its wheels upright and straight and
/// just standing on the ground as measured.
struct Lone {
    car: Car,
    axle: Suspension,
    ride: [CornerPose; 2],
    ground: Plane,
}

impl Lone {
    fn new(name: AxleName, linkage: Linkage, points: &[Point], middle: &[Point]) -> Self {
        let mut car = car("five");
        car.balance = Some(BALANCE);
        let axle = car.axle_mut(name).unwrap();
        axle.linkage = linkage;
        axle.points = Points(points.iter().copied().collect());
        axle.middle = Points(middle.iter().copied().collect());
        axle.right = Points::default();
        (axle.alignment, axle.right_alignment) = Default::default();
        (axle.rocker, axle.bar) = (None, None);
        if linkage != Linkage::Strut {
            axle.damper = None;
        }
        let ground = axle.points.0[&WheelCentre].z - axle.tyre.loaded_radius.expect("the reference car gives it");
        car.ground = ground;
        let axle = Suspension::new(car.axle(name).unwrap(), name);
        let ground = Plane { normal: Vector3::z(), offset: ground };
        let ride = axle.pose(&axle.as_measured(), 0.0, [Drive::Ground(ground); 2]).unwrap();
        Self { car, axle, ride, ground }
    }

    fn quantity(&self, quantity: Quantity) -> f64 {
        self.quantity_at(quantity, self.ride)
    }

    /// Over level ground.
    fn quantity_at(&self, quantity: Quantity, wheels: [CornerPose; 2]) -> f64 {
        let frame = Frame::new(&self.car, &self.axle, &self.ride, &self.ground);
        let standing = Standing { axle: &self.axle, wheels, ground: self.ground, frame: &frame };
        quantity.of(&standing, Side::Left).unwrap_or_else(|| panic!("no {quantity:?}"))
    }

    fn instant_centre(&self) -> Vector3<f64> {
        let frame = Frame::new(&self.car, &self.axle, &self.ride, &self.ground);
        let standing = Standing { axle: &self.axle, wheels: self.ride, ground: self.ground, frame: &frame };
        standing.instant_centre(Side::Left).unwrap()
    }

    /// Both wheels by their travel from where they were measured.
    fn raised(&self, left: f64, right: f64) -> [CornerPose; 2] {
        let measured = self.axle.as_measured();
        let heights = [(0, left), (1, right)].map(|(i, by)| Drive::Height(measured[i].wheel_centre.z + by));
        self.axle.pose(&measured, 0.0, heights).unwrap()
    }

    /// The contact centre of the left wheel, which stands upright.
    fn contact(&self) -> Vector3<f64> {
        let centre = self.ride[0].wheel_centre;
        Vector3::new(centre.x, centre.y, self.ground.offset)
    }
}

fn near(got: f64, want: f64, what: &str) {
    assert!((got - want).abs() < 1e-9 * (1.0 + want.abs()), "{what}: {got} against {want}");
}

/// Closed form: about an axis square across the car an upright and straight wheel only rolls, and its centre runs on a
/// circle.
#[test]
fn a_trailing_arm_square_across_the_car_changes_no_angle() {
    let (pivot, centre) = (Vector3::new(-2080.0, 0.0, 262.0), Vector3::new(-2460.0, 730.0, 290.0));
    let points = [at(ArmInner, pivot.x, 380.0, pivot.z), at(ArmOuter, pivot.x, 625.0, pivot.z), (WheelCentre, centre)];
    let lone = Lone::new(AxleName::Rear, Linkage::TrailingArm, &points, &[]);
    let radius = f64::hypot(centre.x - pivot.x, centre.z - pivot.z);
    for travel in (-120..=120).step_by(8).map(f64::from) {
        for (pose, out) in lone.raised(travel, travel).iter().zip([1.0, -1.0]) {
            let high = centre.z + travel - pivot.z;
            let want = Vector3::new(pivot.x - (radius * radius - high * high).sqrt(), out * centre.y, pivot.z + high);
            assert!((pose.wheel_centre - want).norm() < 1e-9, "{travel}: {} against {want}", pose.wheel_centre);
            assert!((pose.spin - Vector3::y() * out).norm() < 1e-12, "{travel}: {}", pose.spin);
        }
        let wheels = lone.raised(travel, travel);
        near(lone.quantity_at(Quantity::WheelbaseChange, wheels), wheels[0].wheel_centre.x - centre.x, "forward");
        near(lone.quantity_at(Quantity::TrackChange, wheels), 0.0, "track");
    }
}

/// Closed form: an arm on two pickups turns about the line through them (Rodrigues' rotation, here nalgebra's).
#[test]
fn a_semi_trailing_arm_turns_about_the_line_through_its_pickups() {
    let (inner, outer) = (Vector3::new(-2160.0, 180.0, 250.0), Vector3::new(-2020.0, 600.0, 276.0));
    let centre = Vector3::new(-2450.0, 725.0, 290.0);
    let points = [(ArmInner, inner), (ArmOuter, outer), (WheelCentre, centre)];
    let lone = Lone::new(AxleName::Rear, Linkage::TrailingArm, &points, &[]);
    for step in -20..=20 {
        let turn = Rotation3::from_axis_angle(&Unit::new_normalize(outer - inner), f64::from(step) * 0.015);
        let carried = inner + turn * (centre - inner);
        let [pose, _] = lone.raised(carried.z - centre.z, 0.0);
        assert!((pose.wheel_centre - carried).norm() < 1e-9, "{step}: {} against {carried}", pose.wheel_centre);
        assert!((pose.spin - turn * Vector3::y()).norm() < 1e-11, "{step}: {}", pose.spin);
        // The contact lies below the centre in the wheel's own plane; both sides go alike.
        let spin = turn * Vector3::y();
        let down = (spin * spin.z - Vector3::z()).normalize();
        let moved = carried + down * lone.axle.loaded_radius(Side::Left) - lone.contact();
        let wheels = lone.raised(carried.z - centre.z, carried.z - centre.z);
        near(lone.quantity_at(Quantity::HalfTrackChange, wheels), moved.y, "half track");
        near(lone.quantity_at(Quantity::TrackChange, wheels), 2.0 * moved.y, "track");
        near(lone.quantity_at(Quantity::WheelbaseChange, wheels), moved.x, "forward");
    }
}

/// Closed form: five links whose outer joints fall together in pairs are two wishbones, and stand as they do. Here the
/// wheel centre is neither raised nor lowered by steering, so that the axis which the wheel is found to turn about is the
/// line through both ball joints, and meets the ground where that does.
#[test]
fn five_links_in_pairs_are_wishbones() {
    let (lower, upper) = (Vector3::new(14.0, 690.0, 180.0), Vector3::new(-10.0, 650.0, 400.0));
    // Level with the wheel centre the axis lies at (2, 670); outboard of there as the axis leans, 24 to 40.
    let centre = Vector3::new(2.0 + 45.0, 670.0 + 75.0, 290.0);
    let body = [
        at(LowerFront, 150.0, 330.0, 205.0),
        at(LowerRear, -220.0, 345.0, 200.0),
        at(UpperFront, 120.0, 430.0, 390.0),
        at(UpperRear, -170.0, 445.0, 380.0),
        at(TieRodInner, -125.0, 325.0, 235.0),
        at(TieRodOuter, -118.0, 678.0, 228.0),
        (WheelCentre, centre),
    ];
    let five = [(LowerFrontOuter, lower), (LowerRearOuter, lower), (UpperFrontOuter, upper), (UpperRearOuter, upper)];
    let five = Lone::new(AxleName::Front, Linkage::FiveLink, &[&body[..], &five].concat(), &[]);
    let arms = [(LowerBallJoint, lower), (UpperBallJoint, upper)];
    let arms = Lone::new(AxleName::Front, Linkage::Wishbone, &[&body[..], &arms].concat(), &[]);
    for travel in [-60.0, -25.0, 0.0, 35.0, 70.0] {
        let [p, q] = [&five, &arms].map(|lone| lone.raised(travel, travel)[0]);
        assert!((p.wheel_centre - q.wheel_centre).norm() < 1e-9 && (p.spin - q.spin).norm() < 1e-11, "{travel}");
    }
    // Down the axis to the ground.
    let axis = upper - lower;
    let meets = lower + axis * ((five.ground.offset - lower.z) / axis.z);
    for lone in [&five, &arms] {
        near(lone.quantity(Quantity::Caster), (24.0f64 / 220.0).atan(), "caster");
        near(lone.quantity(Quantity::Kingpin), (40.0f64 / 220.0).atan(), "kingpin");
        near(lone.quantity(Quantity::ScrubRadius), lone.contact().y - meets.y, "scrub radius");
        near(lone.quantity(Quantity::Trail), meets.x - lone.contact().x, "trail");
    }
}

/// Four level links along the car, alike, `link` long; wheels at z = 300.
fn box_of_links(link: f64) -> Vec<Point> {
    vec![
        at(LowerLinkBody, -2440.0 + link, 450.0, 235.0),
        at(LowerLinkAxle, -2440.0, 450.0, 235.0),
        at(UpperLinkBody, -2430.0 + link, 400.0, 430.0),
        at(UpperLinkAxle, -2430.0, 400.0, 430.0),
        at(WheelCentre, -2450.0, 720.0, 300.0),
    ]
}

/// Closed form: with all four links alike and parallel the axle is carried without a turn, and no link has to give. A
/// level lateral rod swings it aside by L - sqrt(L^2 - z^2) (common practice), but for what the links' own swing takes it
/// forward: |rod| and |link| together give both, here by fixed-point iteration.
#[test]
fn parallel_links_and_a_level_rod_carry_a_stiff_axle_without_a_turn() {
    let (link, rod) = (480.0, 830.0);
    let middle = [at(LateralRodBody, -2540.0, 430.0, 320.0), at(LateralRodAxle, -2540.0, 430.0 - rod, 320.0)];
    let lone = Lone::new(AxleName::Rear, Linkage::LiveAxle, &box_of_links(link), &middle);
    for z in (-90..=90).step_by(10).map(f64::from) {
        let (mut x, mut y) = (0.0f64, 0.0f64);
        for _ in 0..200 {
            y = rod - (rod * rod - z * z - x * x).sqrt();
            x = link - (link * link - z * z - y * y).sqrt();
        }
        let plain = rod - (rod * rod - z * z).sqrt();
        assert!((y - plain).abs() <= x * x / rod, "{z}: {y} is not the plain {plain}");
        for (i, pose) in lone.raised(z, z).iter().enumerate() {
            let shift = pose.wheel_centre - lone.axle.as_measured()[i].wheel_centre;
            assert!((shift - Vector3::new(x, y, z)).norm() < 1e-9, "{z}: {shift} against {x} {y}");
            assert!((pose.turn - nalgebra::Matrix3::identity()).norm() < 1e-12, "{z}: {}", pose.turn);
            assert!(lone.axle.give(pose).unwrap().abs() < 1e-9, "{z}: {:?}", lone.axle.give(pose));
        }
    }
    // Were the upper links shorter they would have to with one wheel up.
    let mut unlike = box_of_links(link);
    unlike.push(at(UpperLinkBody, -2430.0 + 380.0, 400.0, 430.0));
    let lone = Lone::new(AxleName::Rear, Linkage::LiveAxle, &unlike, &middle);
    assert!(lone.axle.give(&lone.raised(70.0, 0.0)[0]).unwrap().abs() > 0.1);
}

/// With links that are infinitely long the lateral rod's own formula is the whole of it: here 200 m.
#[test]
fn a_level_lateral_rod_shifts_the_axle_by_its_own_swing() {
    let rod = 830.0;
    let middle = [at(LateralRodBody, -2540.0, 430.0, 320.0), at(LateralRodAxle, -2540.0, 430.0 - rod, 320.0)];
    let lone = Lone::new(AxleName::Rear, Linkage::LiveAxle, &box_of_links(200_000.0), &middle);
    for z in [-80.0, -30.0, 40.0, 95.0f64] {
        let shift = lone.raised(z, z)[0].wheel_centre.y - 720.0;
        let want = rod - (rod * rod - z * z).sqrt();
        // The links still take it z^2 / 2L forward: some 0.02 mm, of which the rod makes a square.
        assert!((shift - want).abs() < 1e-6, "{z}: {shift} against {want}");
    }
}

/// A centre crank with equal upright arms between level rods of the same length is its own image when it is turned half
/// round about its pivot. So what it does aside in droop is the opposite of what it does in bump, and as it starts out
/// square there is no first order: what is left goes with the third power of travel at least (J. Watt's own claim for it;
/// from memory).
#[test]
fn a_centre_crank_keeps_the_axle_on_the_centre_line() {
    let (arm, rod) = (70.0, 430.0);
    let middle = [
        at(CentrePivot, -2530.0, 0.0, 300.0),
        at(CrankUpper, -2530.0, 0.0, 300.0 + arm),
        at(CrankLower, -2530.0, 0.0, 300.0 - arm),
        at(UpperRodBody, -2530.0, -rod, 300.0 + arm),
        at(LowerRodBody, -2530.0, rod, 300.0 - arm),
    ];
    let lone = Lone::new(AxleName::Rear, Linkage::DeDion, &box_of_links(480.0), &middle);
    let aside = |z: f64| lone.axle.at(&lone.raised(z, z)[0], CentrePivot).unwrap().y;
    for z in [5.0, 20.0, 40.0, 80.0] {
        assert!((aside(z) + aside(-z)).abs() < 1e-9, "{z}: {} and {}", aside(z), aside(-z));
    }
    for z in [20.0, 40.0] {
        let order = (aside(2.0 * z) / aside(z)).abs().log2();
        assert!(order > 2.9, "{z}: of order {order}");
    }
    // A lateral rod as long as both together goes aside far more.
    let plain = 2.0 * rod - (4.0 * rod * rod - 80.0f64.powi(2)).sqrt();
    assert!(aside(80.0).abs() < 0.5 * plain, "{} against {plain}", aside(80.0));
}

/// Milliken & Milliken, Race Car Vehicle Dynamics, ch. 17 (from memory): an axle that level links along the car let roll
/// freely rolls about where its lateral rod crosses the middle of the car, level or not.
#[test]
fn a_stiff_axles_roll_centre_is_where_the_lateral_rod_crosses_the_middle() {
    for (body, axle) in [(320.0, 320.0), (365.0, 290.0)] {
        let (left, right) = (430.0, -400.0);
        let middle = [at(LateralRodBody, -2540.0, left, body), at(LateralRodAxle, -2540.0, right, axle)];
        let lone = Lone::new(AxleName::Rear, Linkage::LiveAxle, &box_of_links(480.0), &middle);
        let crosses = axle + (body - axle) * (0.0 - right) / (left - right);
        near(lone.quantity(Quantity::RollCentreHeight), crosses - lone.ground.offset, "height");
        assert!(lone.quantity(Quantity::RollCentreAside).abs() < 1e-9);
    }
}

/// A tie rod from `outer` that points at the instant centre in front view lets the upright turn about it.
fn pointing(outer: Vector3<f64>, instant: Vector2<f64>, inner_y: f64) -> [Point; 2] {
    let towards = instant - front_view(outer);
    let reach = (inner_y - outer.y) / towards.x;
    let inner = front_view(outer) + towards * reach;
    [(TieRodOuter, outer), (TieRodInner, Vector3::new(outer.x - 12.0, inner.x, inner.y))]
}

/// Instant centre, front-view swing arm and roll centre as they are drawn: the line from the contact to the instant centre
/// crosses the middle of a symmetric car at the roll centre (Milliken & Milliken, ch. 17, from memory).
fn as_drawn(lone: &Lone, instant: Vector2<f64>) {
    let found = front_view(lone.instant_centre());
    assert!((found - instant).norm() < 1e-9 * (1.0 + instant.norm()), "{found} against {instant}");
    let contact = lone.contact();
    near(lone.quantity(Quantity::SwingArm), contact.y - instant.x, "swing arm");
    near(lone.quantity(Quantity::InstantHeight), instant.y - contact.z, "instant centre");
    let height = (instant.y - contact.z) * contact.y / (contact.y - instant.x);
    near(lone.quantity(Quantity::RollCentreHeight), height, "roll centre");
    assert!(lone.quantity(Quantity::RollCentreAside).abs() < 1e-9 * (1.0 + height.abs()));
}

/// Produce both arms to where they meet. Pickup axes along the car; ball joints apart in side view.
#[test]
fn the_roll_centre_of_wishbones_is_the_drawn_one() {
    let [lower, lower_in] = [Vector2::new(690.0, 180.0), Vector2::new(330.0, 215.0)];
    let [upper, upper_in] = [Vector2::new(652.0, 398.0), Vector2::new(420.0, 372.0)];
    let instant = crossing([lower_in, lower], [upper_in, upper]);
    let mut points = vec![
        at(LowerFront, 150.0, lower_in.x, lower_in.y),
        at(LowerRear, -140.0, lower_in.x, lower_in.y),
        at(LowerBallJoint, 12.0, lower.x, lower.y),
        at(UpperFront, 120.0, upper_in.x, upper_in.y),
        at(UpperRear, -110.0, upper_in.x, upper_in.y),
        at(UpperBallJoint, -21.0, upper.x, upper.y),
        at(WheelCentre, 0.0, 745.0, 290.0),
    ];
    points.extend(pointing(Vector3::new(128.0, 672.0, 236.0), instant, 330.0));
    as_drawn(&Lone::new(AxleName::Front, Linkage::Wishbone, &points, &[]), instant);
}

/// For the upper arm a strut has the line square to its axis through its top mount.
#[test]
fn the_roll_centre_of_struts_is_the_drawn_one() {
    let [lower, lower_in] = [Vector2::new(680.0, 190.0), Vector2::new(340.0, 214.0)];
    let (top, bottom) = (Vector2::new(560.0, 830.0), Vector2::new(630.0, 400.0));
    let axis = top - bottom;
    let instant = crossing([lower_in, lower], [top, top + Vector2::new(-axis.y, axis.x)]);
    let mut points = vec![
        at(LowerFront, 150.0, lower_in.x, lower_in.y),
        at(LowerRear, -140.0, lower_in.x, lower_in.y),
        at(LowerBallJoint, 12.0, lower.x, lower.y),
        at(DamperTop, -9.0, top.x, top.y),
        at(DamperBottom, -9.0, bottom.x, bottom.y),
        at(WheelCentre, 0.0, 745.0, 290.0),
    ];
    points.extend(pointing(Vector3::new(-120.0, 655.0, 260.0), instant, 320.0));
    as_drawn(&Lone::new(AxleName::Front, Linkage::Strut, &points, &[]), instant);
}

fn side_view(p: Vector3<f64>) -> Vector2<f64> {
    Vector2::new(p.x, p.z)
}

/// Milliken & Milliken, Race Car Vehicle Dynamics, ch. 17 (from memory): through each ball joint draw the line along its
/// arm's pickup axis; where the two meet is the side-view instant centre. Of the brakes' share that part is held which
/// the slope from the contact to it is of the centre of gravity's height over the wheelbase.
///
/// The arms are level in front view, so that the upright turns in side view alone and the drawing is exact.
#[test]
fn anti_dive_is_that_of_the_drawn_side_view_swing_arm() {
    for (lower_slope, upper_slope) in [(0.03, -0.11), (-0.05, -0.16), (0.06, 0.14)] {
        let (lower, upper) = (Vector3::new(10.0, 690.0, 180.0), Vector3::new(-16.0, 655.0, 398.0));
        let pickup =
            |joint: Vector3<f64>, y: f64, x: f64, slope: f64| Vector3::new(x, y, joint.z + (x - joint.x) * slope);
        let points = [
            (LowerFront, pickup(lower, 330.0, 150.0, lower_slope)),
            (LowerRear, pickup(lower, 330.0, -140.0, lower_slope)),
            (LowerBallJoint, lower),
            (UpperFront, pickup(upper, 420.0, 120.0, upper_slope)),
            (UpperRear, pickup(upper, 420.0, -110.0, upper_slope)),
            (UpperBallJoint, upper),
            at(TieRodInner, 131.0, 330.0, 236.0),
            at(TieRodOuter, 131.0, 668.0, 236.0),
            at(WheelCentre, 0.0, 745.0, 290.0),
        ];
        let lone = Lone::new(AxleName::Front, Linkage::Wishbone, &points, &[]);
        let line = |joint: Vector3<f64>, slope: f64| [side_view(joint), side_view(joint) + Vector2::new(1.0, slope)];
        let instant = crossing(line(lower, lower_slope), line(upper, upper_slope));
        let contact = lone.contact();
        let (length, height) = (contact.x - instant.x, instant.y - contact.z);
        near(lone.quantity(Quantity::SideSwingArm), length, "side-view swing arm");
        near(lone.quantity(Quantity::SideInstantHeight), height, "its height");
        let dive = BRAKES_FRONT * height / length * lone.car.wheelbase / BALANCE.cg_height;
        near(lone.quantity(Quantity::AntiDive), dive, "anti-dive");
    }
}

/// Milliken & Milliken, ch. 17 (from memory): the links of a stiff axle meet in its side-view instant centre. With the
/// final drive in the axle the slope to it is taken from the contact, with that on the body from the wheel centre; the
/// brakes' from the contact in both.
#[test]
fn anti_squat_is_that_of_where_the_trailing_links_meet() {
    let middle = [at(LateralRodBody, -2540.0, 430.0, 320.0), at(LateralRodAxle, -2540.0, -400.0, 320.0)];
    let (lower, upper) = ([(-1960.0, 275.0), (-2440.0, 235.0)], [(-2060.0, 402.0), (-2430.0, 430.0)]);
    let link = |name: PointName, (x, z): (f64, f64), y: f64| at(name, x, y, z);
    let points = [
        link(LowerLinkBody, lower[0], 450.0),
        link(LowerLinkAxle, lower[1], 450.0),
        link(UpperLinkBody, upper[0], 400.0),
        link(UpperLinkAxle, upper[1], 400.0),
        at(WheelCentre, -2450.0, 720.0, 300.0),
    ];
    let point = |(x, z): (f64, f64)| Vector2::new(x, z);
    let instant = crossing(lower.map(point), upper.map(point));
    for (linkage, torque) in [(Linkage::LiveAxle, true), (Linkage::DeDion, false)] {
        let lone = Lone::new(AxleName::Rear, linkage, &points, &middle);
        let per = lone.car.wheelbase / BALANCE.cg_height;
        let slope = |from: Vector3<f64>| (instant.y - from.z) / (instant.x - from.x);
        let driven = if torque { lone.contact() } else { lone.ride[0].wheel_centre };
        near(lone.quantity(Quantity::AntiSquat), slope(driven) * per, "anti-squat");
        let braked = (1.0 - BRAKES_FRONT) * slope(lone.contact()) * per;
        near(lone.quantity(Quantity::AntiLift), braked, "anti-lift");
    }
}
