//! Placed parts: the gaps between them, and the keep-outs of what moves.
//!
//! Tyres and rims are [`Ring`]s: bodies of revolution over convex profiles, whose signed distance at a point is exact
//! and cheap. Everything they could touch is a [`Solid`] of bars and facets. The smallest gap between the two is found
//! by branch and bound with a proven error ([`nearest`]). [`Parts`] knows which parts a car has and which pairs matter.

mod apart;
mod arm;
mod astray;
mod block;
mod body;
mod brake;
pub mod cut;
mod deepest;
mod envelope;
mod hold;
mod joined;
mod keep_out;
pub mod lock;
mod moving;
mod nearest;
mod pairs;
mod parts;
mod profile;
mod prove;
mod rail;
mod ring;
mod scans;
mod settle;
mod shell;
mod skin;
mod solid;
mod struck;
mod sweep;
mod swept;
mod tree;

pub use apart::{apart, segment_triangle, segments};
pub use block::{Apart, Block};
pub use body::block as block_solid;
pub use brake::OnUpright;
pub use envelope::NoKeepOut;
pub use hold::{Held, Holding};
pub use keep_out::{Surface, keep_out};
pub use moving::{Bars, Leg, Moving, OnArm, Plate, Spot};
pub use nearest::{Few, Nearest, PROVEN, PROVEN_DEPTH, Shape, known_to, nearest};
pub use pairs::{NEAR, Unmeasured};
pub use parts::{Kind, Part, Parts, Place, Role};
pub use profile::{Edge, Profile};
pub use prove::{Proof, Proving};
pub use rail::{FACES, Face, RailRun, SawPlane};
pub use ring::{PlacedRing, Rim, Ring};
pub use scans::{Scanned, Scans};
pub use settle::{SETTLED, Settled, Settling};
pub use shell::Shell;
pub use skin::{Patch, Skin};
pub use solid::{Bar, Facet, Solid};
pub use sweep::{Beside, FAR, Least, Unswept, WheelSweep};
pub use swept::Swept;
