//! The kinematic core: a description and a pose give where every part is.
//!
//! The part that carries a wheel is a rigid body with six unknowns. What holds it gives five equations (rods of constant
//! length, the axis of a strut, a hinge) and a drive the sixth: wheel travel, or the tyre standing on the ground. A
//! stiff axle carries two wheels, has two drives, and may have a crank as a seventh unknown. [`newton`] finds the
//! placement from a neighbouring one, and follows the motion in smaller steps when the goal is far, so that it can
//! neither jump to a mirrored assembly nor step over a limit: what cannot be reached is an [`OutOfReach`] that names the
//! part.
//!
//! [`Suspension`] is one axle, [`RunningGear`] both of them under one body. [`Quantity`] lists the numbers that an
//! axle's geometry has; [`change`] says how fast each changes. All formulas run on `f64` and on dual numbers: see
//! [`real`]. Everything is in the body's own frame: the body stands still, wheels and ground move. Millimetres, radians.

pub mod alignment;
mod beam;
mod bound;
mod carried;
pub mod change;
mod drive;
mod gear;
mod linear;
mod newton;
mod placement;
pub mod quantity;
pub mod real;
mod rod;
mod springing;
mod steering;
mod suspension;
mod swing;
mod table;
mod turning;
mod upright;

pub use alignment::{Alignment, SteeringAxis};
pub use bound::Leeway;
pub use carried::Carrier;
pub use change::Along;
pub use drive::{Drive, Plane};
pub use gear::{Pose, Posed, RunningGear};
pub use newton::OutOfReach;
pub use placement::{Placement, Speed};
pub use quantity::{Frame, Measure, Quantity, Standing};
pub use suspension::{CornerPose, Mode, Suspension};
pub use swing::Joint;
pub use table::Measured;
