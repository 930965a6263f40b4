//! From the core's numbers to the scene's. The scene is the vehicle frame itself: millimetres, x forward, y left, z up,
//! with the ground at z = 0; the camera is the one that is turned.

use bevy::prelude::{Quat, Transform, Vec3};
use nalgebra::{Quaternion, Vector3};

use crate::car::Car;
use crate::motion::Pose;
use crate::sheets::poses;

/// A place or direction.
pub fn v(p: Vector3<f64>) -> Vec3 {
    Vec3::new(p.x as f32, p.y as f32, p.z as f32)
}

/// A place or direction, back from the scene.
pub fn back(p: Vec3) -> Vector3<f64> {
    Vector3::new(p.x.into(), p.y.into(), p.z.into())
}

/// A turn.
pub fn turn(q: Quaternion<f64>) -> Quat {
    Quat::from_xyzw(q.i as f32, q.j as f32, q.k as f32, q.w as f32)
}

/// Where the body stands over the ground in a pose.
pub fn body(car: &Car, pose: &Pose) -> Transform {
    let stands = poses::body(car, pose);
    Transform { translation: v(stands.at), rotation: turn(*stands.turn.quaternion()), scale: Vec3::ONE }
}
