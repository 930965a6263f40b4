//! The kinematic core: a description and a pose give where every part is.
//!
//! An upright is a rigid body with six unknowns. Links of constant length hold five of them, and one drive (wheel
//! travel, or the tyre standing on the ground) sets the sixth. [`solve`] finds the placement by Newton's method from a
//! neighbouring one, and follows the motion in smaller steps when the goal is far, so that it can neither jump to a
//! mirrored assembly nor step over a limit: what cannot be reached is an [`OutOfReach`] that names the part.
//!
//! [`Corner`] is one upright with its arms, [`Front`] both of them under one body. Everything here is in the body's own
//! frame: the body stands still, wheels and ground move. Millimetres, radians.

pub mod alignment;
mod corner;
mod front;
mod six;
pub mod solve;

pub use alignment::Alignment;
pub use corner::{Corner, CornerPose, Speed};
pub use front::{Front, Plane, Pose, Posed};
pub use solve::{Drive, OutOfReach};
