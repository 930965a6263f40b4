//! A car's parts as triangles, and how each of them moves: for every program that draws.
//!
//! What gaps are measured to is made from the very values that are measured: tyres and barrels from their profiles,
//! bars with their round ends, facets as they are. Corners of the mesh lie on the measured surface, so the flat
//! triangles between them lie inside of what is round, by no more than a millimetre on a tyre. What is not measured
//! (uprights, spokes, springs, a rack's housing) is drawn as a likeness.

mod moves;
mod parts;
mod rolling;
mod shape;
mod stuff;

pub use moves::{Moves, Transform};
pub use parts::{Piece, of};
pub use shape::Mesh;
pub use stuff::Stuff;
