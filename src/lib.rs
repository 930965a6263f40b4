//! Scribeline: what a lower, wider, bigger-tyred race car will touch, how far it will steer and where its rails must be
//! cut, before any metal is cut.
//!
//! One way, no loops: [`car`] describes, [`scan`] reads mesh files, [`motion`] places every part in a pose, [`space`]
//! measures gaps between placed parts, [`strength`] says what parts carry, [`answer`] turns that into answers to the
//! user's questions; the command line and the viewer show the same answers.

pub mod answer;
pub mod car;
pub mod cli;
pub mod motion;
pub mod scan;
pub mod sheets;
pub mod space;
pub mod strength;
#[cfg(feature = "viewer")]
pub mod viewer;
