//! Linkages that have a formula.

use std::f64::consts::TAU;

use nalgebra::{Rotation3, Unit, Vector2, Vector3};
use scribeline::car::PointName::{
    DamperBottom, DamperTop, LowerBallJoint, LowerFront, LowerRear, TieRodInner, TieRodOuter, UpperBallJoint,
    UpperFront, UpperRear, WheelCentre,
};
use scribeline::car::axle::MountedOn;
use scribeline::car::{AxleName, PointName, Side};
use scribeline::motion::{Alignment, CornerPose, Frame, Mode, Pose, Quantity, RunningGear, Standing, alignment};

use super::{at_front, roll_centre, symmetric};

pub type Point = (PointName, Vector3<f64>);

pub fn at(name: PointName, x: f64, y: f64, z: f64) -> Point {
    (name, Vector3::new(x, y, z))
}

/// In front view, forward being towards the eye: (y, z).
pub fn front_view(p: Vector3<f64>) -> Vector2<f64> {
    Vector2::new(p.y, p.z)
}

fn toe(pose: &CornerPose) -> f64 {
    f64::atan2(pose.spin.x, pose.hub.side.sign() * pose.spin.y)
}

/// Closed form: three equal and parallel arms (the tie rod is the third) carry the upright without turning it, and every
/// point of it runs on an arc of the arms' length, whatever way the parallel pickup axes run.
#[test]
fn parallel_equal_arms_change_no_angle_and_carry_the_wheel_on_an_arc() {
    for axis in [Vector3::x(), Vector3::new(1.0, -0.11, 0.07)] {
        let axis = axis.normalize();
        let ball_joints = [Vector3::new(5.0, 690.0, 180.0), Vector3::new(-18.0, 652.0, 398.0)];
        let outer = Vector3::new(131.0, 668.0, 224.0);
        let arm = Vector3::new(0.0, 352.0, -21.0);
        // Square to the axis, so that it is the arm's own swing.
        let arm = arm - axis * axis.dot(&arm);
        let pickup = |joint: Vector3<f64>, along: f64| joint - arm + axis * along;
        let car = symmetric(&[
            (LowerFront, pickup(ball_joints[0], 160.0)),
            (LowerRear, pickup(ball_joints[0], -140.0)),
            (LowerBallJoint, ball_joints[0]),
            (UpperFront, pickup(ball_joints[1], 120.0)),
            (UpperRear, pickup(ball_joints[1], -110.0)),
            (UpperBallJoint, ball_joints[1]),
            (TieRodInner, outer - arm),
            (TieRodOuter, outer),
        ]);
        let gear = RunningGear::new(&car).unwrap();
        let ride = *gear.ride(at_front(Side::Left));
        for step in -20..=20 {
            let swing = f64::from(step) * 0.022;
            let carried = Rotation3::from_axis_angle(&Unit::new_normalize(axis), swing) * arm - arm;
            let pose = gear.raise(&ride, Vector2::new(carried.z, 0.0)).unwrap();
            let shift = pose.wheel_centre - ride.wheel_centre;
            assert!((shift - carried).norm() < 1e-8, "{swing}: {shift} against {carried}");
            assert!((pose.spin - ride.spin).norm() < 1e-11, "{swing}: the wheel turned by {}", pose.spin - ride.spin);
        }
    }
}

/// A front view with every pickup axis along x and both ball joints in one plane across the car: a planar four-bar. The
/// tie rod copies the lower arm in front view, so nothing turns the upright out of that plane.
fn four_bar() -> Vec<Point> {
    vec![
        at(LowerFront, 150.0, 330.0, 215.0),
        at(LowerRear, -140.0, 330.0, 215.0),
        at(LowerBallJoint, 0.0, 690.0, 180.0),
        at(UpperFront, 120.0, 420.0, 372.0),
        at(UpperRear, -110.0, 420.0, 372.0),
        at(UpperBallJoint, 0.0, 652.0, 398.0),
        at(TieRodInner, 130.0, 330.0, 215.0),
        at(TieRodOuter, 130.0, 690.0, 180.0),
        at(WheelCentre, 0.0, 745.0, 290.0),
        at(DamperTop, -30.0, 470.0, 640.0),
        at(DamperBottom, -30.0, 600.0, 205.0),
    ]
}

/// The four-bar's coupler by Freudenstein's equation, K1 cos(out) - K2 cos(in) + K3 = cos(in - out), with K1 = d/a,
/// K2 = d/c, K3 = (a2 - b2 + c2 + d2)/2ac (F. Freudenstein, Approximate Synthesis of Four-Bar Linkages, Trans. ASME 77,
/// 1955; equation from memory, and derived again from the loop: |d + c - a| = b).
struct FourBar {
    /// Pickups of the lower and upper arm, front view.
    pickups: [Vector2<f64>; 2],
    /// Lower arm, kingpin, upper arm, pickup to pickup.
    lengths: [f64; 4],
    measured: [Vector2<f64>; 2],
}

impl FourBar {
    fn new(points: &[Point]) -> Self {
        let p = |name| front_view(points.iter().find(|p| p.0 == name).unwrap().1);
        let pickups = [p(LowerFront), p(UpperFront)];
        let measured = [p(LowerBallJoint), p(UpperBallJoint)];
        let lengths = [
            (measured[0] - pickups[0]).norm(),
            (measured[1] - measured[0]).norm(),
            (measured[1] - pickups[1]).norm(),
            (pickups[1] - pickups[0]).norm(),
        ];
        Self { pickups, lengths, measured }
    }

    /// Unit vectors along the fixed link and square to it, anticlockwise.
    fn base(&self) -> [Vector2<f64>; 2] {
        let along = (self.pickups[1] - self.pickups[0]) / self.lengths[3];
        [along, Vector2::new(-along.y, along.x)]
    }

    fn lower_angle(&self, lower: Vector2<f64>) -> f64 {
        let [along, up] = self.base();
        let arm = lower - self.pickups[0];
        f64::atan2(up.dot(&arm), along.dot(&arm))
    }

    /// Both ball joints for an angle of the lower arm, None where the linkage cannot close.
    fn ball_joints(&self, lower: f64) -> Option<[Vector2<f64>; 2]> {
        let [a, b, c, d] = self.lengths;
        let (k1, k2, k3) = (d / a, d / c, (a * a - b * b + c * c + d * d) / (2.0 * a * c));
        // (cos in - K1) cos out + sin in sin out = K3 - K2 cos in
        let (p, q, s) = (lower.cos() - k1, lower.sin(), k3 - k2 * lower.cos());
        let spread = (s / p.hypot(q)).acos();
        if spread.is_nan() {
            return None;
        }
        let [along, up] = self.base();
        let point =
            |from: Vector2<f64>, length: f64, angle: f64| from + (along * angle.cos() + up * angle.sin()) * length;
        let candidates = [spread, -spread].map(|s| point(self.pickups[1], c, f64::atan2(q, p) + s));
        let low = point(self.pickups[0], a, lower);
        // Of the two assemblies the one that turns the same way as the measured one.
        let turn = |l: Vector2<f64>, u: Vector2<f64>| (u - l).perp(&(self.pickups[1] - l)).signum();
        let as_measured = turn(self.measured[0], self.measured[1]);
        candidates.into_iter().find(|&u| turn(low, u) == as_measured).map(|u| [low, u])
    }

    /// Turn of the kingpin in front view since it was measured.
    fn turned(&self, [low, up]: [Vector2<f64>; 2]) -> f64 {
        let (now, then) = (up - low, self.measured[1] - self.measured[0]);
        let turn = f64::atan2(now.y, now.x) - f64::atan2(then.y, then.x);
        turn - TAU * (turn / TAU).round()
    }

    /// A point of the upright, measured at `p`.
    fn carried(&self, ends: [Vector2<f64>; 2], p: Vector2<f64>) -> Vector2<f64> {
        let arm = p - self.measured[0];
        let (s, c) = self.turned(ends).sin_cos();
        ends[0] + Vector2::new(c * arm.x - s * arm.y, s * arm.x + c * arm.y)
    }
}

#[test]
fn a_planar_wishbone_pair_is_freudensteins_four_bar() {
    let points = four_bar();
    let bar = FourBar::new(&points);
    let gear = RunningGear::new(&symmetric(&points)).unwrap();
    let ride = gear.ride(at_front(Side::Left));
    let axle = &gear.front;
    for travel in (-100..=100).step_by(5) {
        let pose = gear.raise(ride, Vector2::new(f64::from(travel), 0.0)).unwrap();
        let joint = |name| axle.at(&pose, name).unwrap();
        let ends = bar.ball_joints(bar.lower_angle(front_view(joint(LowerBallJoint)))).unwrap();
        let off = |p: Vector3<f64>, q: Vector2<f64>| (front_view(p) - q).norm();
        assert!(off(joint(LowerBallJoint), ends[0]) < 1e-9, "travel {travel}");
        assert!(off(joint(UpperBallJoint), ends[1]) < 1e-9, "travel {travel}");
        let centre = bar.carried(ends, front_view(ride.wheel_centre));
        assert!(off(pose.wheel_centre, centre) < 1e-9, "travel {travel}");
        // The top leans inboard as the kingpin turns anticlockwise, seen from ahead with y to the right.
        let a = Alignment::of(axle, &pose, &alignment::level_under(axle, &pose));
        assert!((a.camber + bar.turned(ends)).abs() < 1e-11, "travel {travel}: {} {}", a.camber, bar.turned(ends));
        assert!(a.toe.abs() < 1e-11, "travel {travel}: {}", a.toe);
        assert!(a.axis.unwrap().caster.abs() < 1e-11, "travel {travel}: {:?}", a.axis);
    }
}

/// Both ends of the four-bar's swing: the wheel centre's z there is the largest and smallest on its coupler curve, found
/// here by golden section on Freudenstein's equation.
#[test]
fn the_end_of_the_travel_is_the_top_of_the_coupler_curve() {
    let points = four_bar();
    let bar = FourBar::new(&points);
    let gear = RunningGear::new(&symmetric(&points)).unwrap();
    let ride = gear.ride(at_front(Side::Left));
    let start = bar.lower_angle(bar.measured[0]);
    for up in [1.0, -1.0] {
        let height = |lower: f64| {
            let ends = bar.ball_joints(lower)?;
            Some(up * bar.carried(ends, front_view(ride.wheel_centre)).y)
        };
        // Uphill in steps while it closes and rises, then golden section around the last one.
        let step = 1e-3 * if height(start + 1e-3) > height(start) { 1.0 } else { -1.0 };
        let mut best = start;
        while let (Some(here), Some(next)) = (height(best), height(best + step)) {
            if next < here {
                break;
            }
            best += step;
        }
        let golden = (5f64.sqrt() - 1.0) / 2.0;
        let (mut a, mut b) = (best - step, best + step);
        for _ in 0..100 {
            let (c, d) = (b - golden * (b - a), a + golden * (b - a));
            if height(c).unwrap_or(-1e9) > height(d).unwrap_or(-1e9) { b = d } else { a = c }
        }
        let limit = up * height((a + b) / 2.0).or(height(a)).unwrap();
        let stopped = gear.raise(ride, Vector2::new(up * 900.0, 0.0)).unwrap_err();
        assert!((stopped.height - limit).abs() < 1e-6, "{} against {limit}", stopped.height);
        assert!(["lower arm", "upper arm"].contains(&stopped.part), "{stopped}");
    }
}

/// Milliken & Milliken, Race Car Vehicle Dynamics, ch. 17 and 19, and Dixon, Suspension Geometry and Computation, on bump
/// steer (both from memory): a tie rod in line with the arms' instant axis has none to first order. The axis is where the
/// planes of the two arms meet; about it the upright can turn with both arms, and the tie rod lets it.
#[test]
fn a_tie_rod_on_the_arms_instant_axis_gives_no_bump_steer_to_first_order() {
    // Pickup axes along x: the instant axis runs along x through the point where the arms meet in front view.
    let mut points = four_bar();
    let meet = crossing(
        [Vector2::new(330.0, 215.0), Vector2::new(690.0, 180.0)],
        [Vector2::new(420.0, 372.0), Vector2::new(652.0, 398.0)],
    );
    let outer = Vector3::new(128.0, 672.0, 236.0);
    let towards = (meet - front_view(outer)).normalize();
    let inner = |high: f64| {
        let q = front_view(outer) + towards * ((330.0 - outer.y) / towards.x);
        Vector3::new(110.0, q.x, q.y + high)
    };
    // With the ball joints apart in side view the linkage is no longer planar: the first order still holds.
    points.push(at(UpperBallJoint, -22.0, 652.0, 398.0));
    points.push((TieRodOuter, outer));
    let front = |high: f64| {
        let mut points = points.clone();
        points.push((TieRodInner, inner(high)));
        RunningGear::new(&symmetric(&points)).unwrap()
    };
    let bump_steer = |gear: &RunningGear| {
        let ride = gear.ride(at_front(Side::Left));
        let travel = gear.front.speed(ride, Mode::Heave).unwrap();
        // The wheel is upright and straight: its toe changes as the spin axis's x.
        travel.turn.cross(&ride.spin).x
    };
    let none = front(0.0);
    assert!(bump_steer(&none).abs() < 1e-14, "{}", bump_steer(&none));
    let toe_at = |d: f64| toe(&none.raise(none.ride(at_front(Side::Left)), Vector2::new(d, 0.0)).unwrap());
    for d in [0.1, 1.0] {
        // What is left is of second order: by some 1e-6 rad/mm2 here.
        let odd = (toe_at(d) - toe_at(-d)) / (2.0 * d);
        assert!(odd.abs() < 1e-7 * d * d + 1e-12, "at {d} mm: {odd} rad/mm");
    }
    // A rod ahead of the axle with its inner end too high pushes the front of the wheel out on bump: toe-out.
    let (above, below) = (bump_steer(&front(10.0)), bump_steer(&front(-10.0)));
    assert!(above < -1e-5 && below > 1e-5, "{above} {below}");
}

/// The same in space: with pickup axes in any direction and the tie rod through any point of the instant axis, the
/// upright turns about that axis and no other.
#[test]
fn with_the_tie_rod_on_the_instant_axis_the_upright_turns_about_that_axis_alone() {
    let lower =
        [Vector3::new(150.0, 330.0, 210.0), Vector3::new(-170.0, 345.0, 196.0), Vector3::new(8.0, 690.0, 182.0)];
    let upper =
        [Vector3::new(95.0, 412.0, 372.0), Vector3::new(-140.0, 436.0, 352.0), Vector3::new(-14.0, 655.0, 398.0)];
    let plane = |p: &[Vector3<f64>; 3]| (p[1] - p[0]).cross(&(p[2] - p[0])).normalize();
    let (n, m) = (plane(&lower), plane(&upper));
    let axis = n.cross(&m).normalize();
    // A point of the axis: on both planes, level with the wheel's own plane across the car.
    let rows = nalgebra::Matrix3::from_rows(&[n.transpose(), m.transpose(), Vector3::x().transpose()]);
    let on = rows.lu().solve(&Vector3::new(n.dot(&lower[0]), m.dot(&upper[0]), 40.0)).unwrap();
    let outer = Vector3::new(128.0, 672.0, 236.0);
    let inner = outer + (on - outer) * (350.0 / (on - outer).norm());
    let car = symmetric(&[
        (LowerFront, lower[0]),
        (LowerRear, lower[1]),
        (LowerBallJoint, lower[2]),
        (UpperFront, upper[0]),
        (UpperRear, upper[1]),
        (UpperBallJoint, upper[2]),
        (TieRodInner, inner),
        (TieRodOuter, outer),
    ]);
    let gear = RunningGear::new(&car).unwrap();
    let ride = gear.ride(at_front(Side::Left));
    let travel = gear.front.speed(ride, Mode::Heave).unwrap();
    assert!(travel.turn.norm() > 1e-4);
    assert!(travel.turn.cross(&axis).norm() < 1e-15, "{} about {axis}", travel.turn);
    assert!(travel.of(on).norm() < 1e-11, "a point of the axis moves by {}", travel.of(on));
}

/// Where two lines through two points each meet.
pub fn crossing(p: [Vector2<f64>; 2], q: [Vector2<f64>; 2]) -> Vector2<f64> {
    let (u, v) = (p[1] - p[0], q[1] - q[0]);
    p[0] + u * ((q[0] - p[0]).perp(&v) / u.perp(&v))
}

/// Milliken & Milliken, Race Car Vehicle Dynamics, ch. 17 (from memory): produce both arms to the instant centre, join it
/// to the contact centre, and the lines of the two sides meet in the roll centre. In this planar linkage the drawing is
/// exact in every pose, so it is drawn anew for each.
#[test]
fn the_roll_centre_of_a_planar_linkage_is_the_drawn_one() {
    let car = symmetric(&four_bar());
    let gear = RunningGear::new(&car).unwrap();
    for (heave, roll) in [(0.0, 0.0), (-30.0, 0.0), (25.0, 0.0), (0.0, 2.0), (-20.0, -1.5), (15.0, 3.0)] {
        let posed = gear.stand(&Pose { heave, roll: f64::to_radians(roll), ..Pose::default() }).unwrap();
        let lines = Side::BOTH.map(|side| {
            let pose = &posed.front[side as usize];
            let drawn = |name| front_view(gear.front.at(pose, name).unwrap());
            let instant =
                crossing([drawn(LowerFront), drawn(LowerBallJoint)], [drawn(UpperFront), drawn(UpperBallJoint)]);
            let contact = Alignment::of(&gear.front, pose, &posed.ground).contact;
            [front_view(contact), instant]
        });
        let drawn = crossing(lines[0], lines[1]);
        let height = posed.ground.height(Vector3::new(0.0, drawn.x, drawn.y));
        let found = roll_centre(&car, &gear, &posed, AxleName::Front).unwrap();
        // The two lines may meet at a flat angle far out: the error grows with the distance.
        let tolerance = 1e-9 * (1.0 + drawn.norm());
        assert!((found.x - drawn.x).abs() < tolerance, "{heave} {roll}: {} against {}", found.x, drawn.x);
        assert!((found.y - height).abs() < tolerance, "{heave} {roll}: {} against {height}", found.y);
    }
}

/// A level steering linkage about an upright kingpin: the rack and the steering arm are a slider-crank.
const KINGPIN: (f64, f64) = (0.0, 690.0);
const STEERING_ARM: (f64, f64) = (128.0, -22.0);
const INNER: (f64, f64) = (112.0, 330.0);

fn level_steering() -> Vec<Point> {
    let mut points = four_bar();
    let level = 236.0;
    points.extend([
        at(UpperBallJoint, KINGPIN.0, KINGPIN.1, 398.0),
        at(LowerBallJoint, KINGPIN.0, KINGPIN.1, 180.0),
        at(TieRodOuter, KINGPIN.0 + STEERING_ARM.0, KINGPIN.1 + STEERING_ARM.1, level),
        at(TieRodInner, INNER.0, INNER.1, level),
        at(WheelCentre, -6.0, 745.0, 290.0),
    ]);
    points
}

/// Closed form: |kingpin + R(steer) arm - inner - rack y| = rod, solved for the steer angle; the branch of the drawing.
fn slider_crank(rack: f64) -> Option<f64> {
    let (ax, ay) = STEERING_ARM;
    let (arm, lie) = (ax.hypot(ay), ay.atan2(ax));
    let (x, y) = (INNER.0 - KINGPIN.0, INNER.1 + rack - KINGPIN.1);
    let rod2 = (ax - (INNER.0 - KINGPIN.0)).powi(2) + (ay - (INNER.1 - KINGPIN.1)).powi(2);
    let cos = (arm * arm + x * x + y * y - rod2) / (2.0 * arm * x.hypot(y));
    let turn = y.atan2(x) + cos.acos() - lie;
    cos.abs().le(&1.0).then_some(turn)
}

#[test]
fn a_level_steering_linkage_is_a_slider_crank() {
    let gear = RunningGear::new(&symmetric(&level_steering())).unwrap();
    let (axle, ride) = (&gear.front, gear.ride(at_front(Side::Left)));
    let at_ride = Alignment::of(axle, ride, &gear.ride.ground);
    for rack in (-70..=70).step_by(5).map(f64::from) {
        let pose = gear.raise(ride, Vector2::new(0.0, rack)).unwrap();
        let a = Alignment::of(axle, &pose, &gear.ride.ground);
        let want = slider_crank(rack).unwrap() - slider_crank(0.0).unwrap();
        assert!((a.steer - want).abs() < 1e-11, "rack {rack}: {} against {want}", a.steer);
        // About an upright kingpin the contact centre turns with the wheel: scrub and trail stay what they were.
        let (now, then) = (a.axis.unwrap(), at_ride.axis.unwrap());
        assert!(a.camber.abs() < 1e-11 && now.kingpin.abs() < 1e-11 && now.caster.abs() < 1e-11, "rack {rack}: {a:?}");
        assert!((now.scrub_radius - then.scrub_radius).abs() < 1e-9, "rack {rack}: {}", now.scrub_radius);
        assert!((now.trail - then.trail).abs() < 1e-9, "rack {rack}: {}", now.trail);
    }
    // The kingpin stands 55 mm inboard of the wheel centre and 6 mm ahead of it.
    let axis = at_ride.axis.unwrap();
    assert!((axis.scrub_radius - 55.0).abs() < 1e-9 && (axis.trail - 6.0).abs() < 1e-9, "{at_ride:?}");
}

/// Closed form: the rack can go no further than to where tie rod and steering arm are in line.
#[test]
fn a_rack_stops_where_tie_rod_and_steering_arm_are_in_line() {
    let gear = RunningGear::new(&symmetric(&level_steering())).unwrap();
    let ride = gear.ride(at_front(Side::Left));
    let arm = STEERING_ARM.0.hypot(STEERING_ARM.1);
    let (fx, fy) = (INNER.0 - KINGPIN.0, INNER.1 - KINGPIN.1);
    let rod = (STEERING_ARM.0 - fx).hypot(STEERING_ARM.1 - fy);
    // Stretched out in one line: arm + rod apart; folded: rod - arm.
    let stretched = -((arm + rod).powi(2) - fx * fx).sqrt() - fy;
    let folded = -((rod - arm).powi(2) - fx * fx).sqrt() - fy;
    for (far, limit) in [(-400.0, stretched), (400.0, folded)] {
        assert!(slider_crank(limit * 0.9999).is_some() && slider_crank(limit * 1.0001).is_none());
        let stopped = gear.raise(ride, Vector2::new(0.0, far)).unwrap_err();
        assert!((stopped.rack - limit).abs() < 1e-6, "{} against {limit}", stopped.rack);
        assert_eq!(stopped.part, "tie rod");
    }
}

/// Closed form, and what every shop draws: an upright damper on a level arm moves by its share of the arm.
#[test]
fn an_upright_damper_on_level_arms_has_the_ratio_of_the_levers() {
    let mut points = four_bar();
    points.extend([
        at(LowerFront, 150.0, 330.0, 180.0),
        at(LowerRear, -140.0, 330.0, 180.0),
        at(TieRodInner, 130.0, 330.0, 180.0),
        at(UpperFront, 120.0, 292.0, 398.0),
        at(UpperRear, -110.0, 292.0, 398.0),
        at(DamperTop, -30.0, 590.0, 640.0),
        at(DamperBottom, -30.0, 590.0, 205.0),
    ]);
    let mut car = symmetric(&points);
    for (on, ratio) in
        [(MountedOn::LowerArm, 260.0 / 360.0), (MountedOn::UpperArm, 298.0 / 360.0), (MountedOn::Upright, 1.0)]
    {
        car.front.damper.as_mut().unwrap().on = on;
        let gear = RunningGear::new(&car).unwrap();
        for side in Side::BOTH {
            let found = gear.front.motion_ratio(gear.ride(at_front(side)), Mode::Heave).unwrap();
            assert!((found - ratio).abs() < 1e-12, "{on:?}: {found} against {ratio}");
        }
    }
}

/// Gillespie, Fundamentals of Vehicle Dynamics, ch. 8 (from memory): to roll about one centre the inner wheel has to steer
/// by cot(inner) = cot(outer) - track / wheelbase. Here both wheels are slider-cranks; the contacts turn with them about
/// upright kingpins. The turning circle is that of the outer wheel about the same centre (ch. 6).
#[test]
fn ackermann_error_turning_circle_and_ratio_are_those_of_two_slider_cranks() {
    let mut car = symmetric(&level_steering());
    car.front.rack.as_mut().unwrap().per_turn = Some(44.0);
    let gear = RunningGear::new(&car).unwrap();
    let frame = Frame::new(&car, &gear.front, &gear.ride.front, &gear.ride.ground);
    let turned = |rack: f64| slider_crank(rack).unwrap() - slider_crank(0.0).unwrap();
    // From kingpin to contact: 6 mm behind and 55 mm outboard.
    let contact = |steer: f64| {
        let (s, c) = steer.sin_cos();
        Vector2::new(KINGPIN.0 - 6.0 * c - 55.0 * s, KINGPIN.1 - 6.0 * s + 55.0 * c)
    };
    for rack in [-55.0, -30.0, -10.0, 20.0, 48.0] {
        let wheels = gear.raise_axle(&gear.ride.front, [0.0; 2], rack).unwrap();
        let standing = Standing { axle: &gear.front, wheels, ground: gear.ride.ground, frame: &frame };
        // The right wheel does what the left one does with the rack the other way, in a mirror.
        let (left, right) = (turned(rack), -turned(-rack));
        for (side, want) in [(Side::Left, left), (Side::Right, right)] {
            let found = Quantity::Steer.of(&standing, side).unwrap();
            assert!((found - want).abs() < 1e-11, "{rack}: {found} against {want}");
        }
        let (outer, inner) = if left + right > 0.0 { (right, left) } else { (-left, -right) };
        let track = contact(left).y + contact(-right).y;
        let ideal = (1.0 / (1.0 / outer.tan() - track / car.wheelbase)).atan();
        let error = Quantity::Ackermann.of(&standing, Side::Left).unwrap();
        assert!((error - (inner - ideal)).abs() < 1e-10, "{rack}: {error} against {}", inner - ideal);
        // A turn of the steering wheel is 44 mm of the rack.
        let turns = (turned(rack + 0.01) - turned(rack - 0.01)) / 0.02;
        let ratio = Quantity::SteeringRatio.of(&standing, Side::Left).unwrap();
        let want = (TAU / 44.0 / turns).abs();
        assert!((ratio - want).abs() < 1e-6 * want, "{rack}: {ratio} against {want}");
        // From the rear axle to where the outer contact has gone, mirrored to the left.
        let ahead = contact(if left + right > 0.0 { -right } else { left }).x - contact(0.0).x;
        let circle = 2.0 * ((car.wheelbase + ahead) / outer.sin() + frame.half_tread);
        let found = Quantity::TurningCircle.of(&standing, Side::Left).unwrap();
        assert!((found - circle).abs() < 1e-6, "{rack}: {found} against {circle}");
    }
}
