//! The alignment of a wheel in a pose: what a gauge on the wheel, and a line on the floor, would read.

use nalgebra::Vector3;

use super::drive::Plane;
use super::real::{Real, k};
use super::suspension::{CornerPose, Suspension};

/// How a wheel stands. Signs as ISO 8855:2011 and the shop have them: see each field.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Alignment<T: Real = f64> {
    /// Wheel against the body's vertical, positive when the top leans outboard, rad.
    pub camber: T,
    /// Wheel against the ground's normal, positive when the top leans outboard, rad: what a gauge reads.
    pub inclination: T,
    /// Positive when the wheel's front points inboard, rad.
    pub toe: T,
    /// Positive when the wheel points left, rad.
    pub steer: T,
    /// Contact centre, body frame, mm.
    pub contact: Vector3<T>,
    /// How its steering axis stands, where it has one.
    pub axis: Option<SteeringAxis<T>>,
}

/// How a steering axis stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SteeringAxis<T: Real = f64> {
    /// In side view, positive when its top leans rearward, rad.
    pub caster: T,
    /// Kingpin inclination: in front view, positive when its top leans inboard, rad.
    pub kingpin: T,
    /// On the ground across the wheel, positive when the axis meets it inboard of the contact centre, mm.
    pub scrub_radius: T,
    /// On the ground along the wheel, positive when the axis meets it ahead of the contact centre, mm.
    pub trail: T,
}

impl<T: Real> Alignment<T> {
    /// Of a wheel in a pose over a ground plane.
    ///
    /// Scrub radius and trail are taken in the wheel's own directions on the ground (ISO 8855 tyre axes, from memory).
    pub fn of(axle: &Suspension<T>, pose: &CornerPose<T>, ground: &Plane<T>) -> Self {
        let out = k::<T>(pose.hub.side.sign());
        let (s, n) = (pose.spin, ground.normal);
        let contact = contact(axle, pose, n);
        let toe = s.x.atan2(out * s.y);
        let axis = axle.steering_axis(pose).map(|(through, axis)| {
            // Where the steering axis meets the ground plane through the contact centre.
            let meets = through + axis * (n.dot(&(contact - through)) / n.dot(&axis));
            let across = (s - n * n.dot(&s)).normalize();
            let along = across.cross(&n) * out;
            SteeringAxis {
                caster: (-axis.x).atan2(axis.z),
                kingpin: (-out * axis.y).atan2(axis.z),
                scrub_radius: (contact - meets).dot(&across),
                trail: (meets - contact).dot(&along),
            }
        });
        Self { camber: -s.z.asin(), inclination: -n.dot(&s).asin(), toe, steer: -out * toe, contact, axis }
    }
}

/// The contact centre: the loaded radius below the wheel centre, in the wheel's plane.
pub(super) fn contact<T: Real>(axle: &Suspension<T>, pose: &CornerPose<T>, normal: Vector3<T>) -> Vector3<T> {
    let down = -(normal - pose.spin * normal.dot(&pose.spin)).normalize();
    pose.wheel_centre + down * axle.loaded_radius(pose.hub.side)
}

/// The level ground through a wheel's own contact, for a wheel moved by hand rather than standing on the ground.
pub fn level_under<T: Real>(axle: &Suspension<T>, pose: &CornerPose<T>) -> Plane<T> {
    let normal = Vector3::z();
    Plane { normal, offset: contact(axle, pose, normal).z }
}

/// The level ground half way between the contacts of an axle's wheels, for wheels moved by hand. Wheels of one travel
/// that were measured apart do not touch quite the same level.
pub fn level_between<T: Real>(axle: &Suspension<T>, wheels: &[CornerPose<T>; 2]) -> Plane<T> {
    let [left, right] = wheels.map(|pose| level_under(axle, &pose));
    Plane { offset: (left.offset + right.offset) * k(0.5), ..left }
}
