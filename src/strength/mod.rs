//! Strength: what a section, a strut and a frame of them carry, and what the car's own parts have to.
//!
//! [`section`] and [`material`] say what a member is made of, [`buckling`] what it takes along its axis, and [`frame`] how
//! loads go through many of them. All of it is linear statics: small displacements, no yielding, no buckling of the
//! whole. Newtons, millimetres and MPa, which fit one another; only densities are in kg/mÂ³ and masses in kg. These know
//! nothing of car files; [`forces`] takes posed axles and says what every part and joint of them carries. No number of
//! this layer is a licence to build: see the README's last words.

mod beam;
mod blocks;
pub mod body;
pub mod bolt;
pub mod buckling;
mod fault;
pub mod forces;
pub mod frame;
pub mod holding;
pub mod material;
mod notch;
mod order;
mod outcome;
pub mod section;
mod solver;
mod thin;

pub use fault::FrameError;
pub use frame::{Dofs, Frame, Load, LoadCase, Member, Node};
pub use material::Material;
pub use notch::{Face, Notch};
pub use outcome::{Answer, EndForce, MemberAnswer, Motion, Reaction, Stress, Way};
pub use section::{Properties, Section, SectionError};
pub use solver::Solver;
