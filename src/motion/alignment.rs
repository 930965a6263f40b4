//! The alignment of a wheel in a pose: what a gauge on the wheel, and a line on the floor, would read.

use nalgebra::{Vector2, Vector3};

use super::corner::{Corner, CornerPose};
use super::front::{Front, Plane, Posed};
use crate::car::Side;

/// How a wheel and its steering axis stand. Signs as ISO 8855:2011 and the shop have them: see each field.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Alignment {
    /// Wheel against the body's vertical, positive when the top leans outboard, rad.
    pub camber: f64,
    /// Wheel against the ground's normal, positive when the top leans outboard, rad: what a gauge reads.
    pub inclination: f64,
    /// Positive when the wheel's front points inboard, rad.
    pub toe: f64,
    /// Positive when the wheel points left, rad.
    pub steer: f64,
    /// Steering axis in side view, positive when its top leans rearward, rad.
    pub caster: f64,
    /// Steering axis in front view, positive when its top leans inboard, rad.
    pub kingpin: f64,
    /// On the ground across the wheel, positive when the steering axis meets it inboard of the contact centre, mm.
    pub scrub_radius: f64,
    /// On the ground along the wheel, positive when the steering axis meets it ahead of the contact centre, mm.
    pub trail: f64,
    /// Contact centre, body frame, mm.
    pub contact: Vector3<f64>,
}

impl Alignment {
    /// Of a corner in a pose over a ground plane.
    ///
    /// Scrub radius and trail are taken in the wheel's own directions on the ground (ISO 8855 tyre axes, from memory).
    pub fn of(corner: &Corner, pose: &CornerPose, ground: &Plane) -> Self {
        let out = pose.side.sign();
        let (s, n) = (pose.spin, ground.normal);
        let axis = pose.upper_ball_joint - pose.lower_ball_joint;
        let contact = contact(corner, pose, n);
        let toe = f64::atan2(s.x, out * s.y);
        // Where the steering axis meets the ground plane through the contact centre.
        let meets = pose.lower_ball_joint + axis * (n.dot(&(contact - pose.lower_ball_joint)) / n.dot(&axis));
        let across = (s - n * n.dot(&s)).normalize();
        let along = across.cross(&n) * out;
        Self {
            camber: -s.z.asin(),
            inclination: -n.dot(&s).asin(),
            toe,
            steer: -out * toe,
            caster: f64::atan2(-axis.x, axis.z),
            kingpin: f64::atan2(-out * axis.y, axis.z),
            scrub_radius: (contact - meets).dot(&across),
            trail: (meets - contact).dot(&along),
            contact,
        }
    }
}

/// How camber and toe change with wheel travel in a pose, radians per mm, by implicit differentiation. None in a toggle.
pub fn gains(corner: &Corner, pose: &CornerPose) -> Option<(f64, f64)> {
    let [travel, _] = corner.speeds(pose)?;
    let (s, turns) = (pose.spin, travel.turn.cross(&pose.spin));
    let level = s.x * s.x + s.y * s.y;
    let toe = pose.side.sign() * (s.y * turns.x - s.x * turns.y) / level;
    Some((-turns.z / level.sqrt(), toe))
}

/// The contact centre: the loaded radius below the wheel centre, in the wheel's plane.
fn contact(corner: &Corner, pose: &CornerPose, normal: Vector3<f64>) -> Vector3<f64> {
    let down = -(normal - pose.spin * normal.dot(&pose.spin)).normalize();
    pose.wheel_centre + down * corner.loaded_radius()
}

/// The level ground through a wheel's own contact, for a corner moved by hand rather than standing on the ground.
pub fn level_under(corner: &Corner, pose: &CornerPose) -> Plane {
    let normal = Vector3::z();
    Plane { normal, offset: contact(corner, pose, normal).z }
}

/// Roll centre in front view: (lateral place, height over the ground), mm.
///
/// Each contact centre, taken as a point of its upright, moves square to the line to its instant centre; the two lines
/// meet in the roll centre. From the speeds in this very pose, not from a drawing of the design pose (the
/// two-dimensional construction is in Milliken & Milliken, Race Car Vehicle Dynamics, ch. 17). None where the lines
/// are parallel or a linkage is in a toggle.
pub fn roll_centre(front: &Front, posed: &Posed) -> Option<Vector2<f64>> {
    let line = |side: Side| {
        let corner = front.corner(side);
        let pose = &posed.corners[side as usize];
        let at = contact(corner, pose, posed.ground.normal);
        let [travel, _] = corner.speeds(pose)?;
        let moves = travel.of(at);
        Some((Vector2::new(at.y, at.z), Vector2::new(-moves.z, moves.y)))
    };
    let ((a, u), (b, v)) = (line(Side::Left)?, line(Side::Right)?);
    let cross = u.perp(&v);
    if cross.abs() < 1e-9 {
        return None;
    }
    let meet = a + u * ((b - a).perp(&v) / cross);
    Some(Vector2::new(meet.x, posed.ground.height(Vector3::new(0.0, meet.x, meet.y))))
}
