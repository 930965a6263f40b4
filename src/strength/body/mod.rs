//! The body as a frame: rails, tubes and end plates of a car, welded where they meet.
//!
//! [`runs`] are the rails and tubes with their sections; [`assemble`] finds where they are welded and makes a
//! [`Frame`] of them:
//!
//! - An end of a rail or tube is welded to every other rail and tube whose section it lies in, or no further off than
//!   [`WELD`]; the pieces that a cut made of one rail are not welded to each other.
//! - A named place is welded to what it is said to be `on`, where it is nearest to it as it was before any cut; and to
//!   what has a corner or an end there.
//! - What is welded together at one place is stiff there: a piece ends where its metal does, and from there to the place
//!   runs a rigid arm. A block that a named place is on is stiff as a whole, and welded to whatever touches it.
//! - A place that is loaded (a pickup, a damper's mount) is carried by the named place or the rail that is nearest on the car
//!   as found, or where none is within [`REACH`] by the nearest tube: see [`mounts`]. Its bracket counts as stiff. Where a cut
//!   took that away it is carried by the node or the tube that was brought there, or by nothing.
//!
//! Held are the named places that say so, and the datum end of every rail that runs along the car as found, unless a place on
//! that rail is said to hold it.
//!
//! How long a piece is free to bow out is told in `bowing`: from one place where something comes in to the next.
//!
//! What is not in it: panels, which stiffen a real shell a good deal, so that every stiffness is less than the car's;
//! the give of brackets, spot-welded seams and the sheet around a weld; and end plates' own give.

mod assemble;
mod bowing;
mod carrier;
mod cuts;
mod loose;
mod metal;
mod run;
mod stiffness;
mod weld;

use nalgebra::Vector3;

use super::frame::Frame;
use super::material::Material;
use super::section::Section;
use crate::car::{Car, Side};

pub use assemble::Assembly;
pub use cuts::plate;
pub use loose::{Loose, LooseEnd};
pub use metal::{metal, notched, whole};
pub use run::{Kind, Run};
pub use stiffness::Stiffness;

/// An end this near to another part's surface is welded to it, mm: more than a fabricator's gap, less than a tube (common
/// practice, no source).
pub const WELD: f64 = 5.0;
/// A loaded place is carried by what is no further off than this, mm (common practice, no source).
pub const REACH: f64 = 300.0;

/// A node within this of a mount carries it where what carried it is gone, mm (common practice, no source).
pub const BRACKET: f64 = 60.0;

/// What carries a loaded place.
#[derive(Debug, Clone, PartialEq)]
pub enum Carrier {
    /// A named place, on a side.
    Place(String, Option<Side>),
    /// A rail, on a side, at a station, mm.
    Rail(String, Option<Side>, f64),
    /// A tube, likewise.
    Tube(String, Option<Side>, f64),
}

/// A place that is loaded.
#[derive(Debug, Clone, PartialEq)]
pub struct Mount {
    /// As it is spoken.
    pub name: String,
    /// Where, mm.
    pub at: Vector3<f64>,
    /// What carries it; none where nothing is near.
    pub by: Option<Carrier>,
    /// How far that is, mm.
    pub off: f64,
}

impl Carrier {
    /// As it is spoken.
    pub fn words(&self) -> String {
        match self {
            Self::Place(base, side) | Self::Rail(base, side, _) | Self::Tube(base, side, _) => run::spoken(base, *side),
        }
    }
}

/// A place that the frame is loaded at, or where tubes meet.
#[derive(Debug, Clone, PartialEq)]
pub struct Seat {
    /// As it is spoken: `left damper tower`.
    pub name: String,
    /// Where, mm.
    pub at: Vector3<f64>,
    /// The frame's node that it is stiffly joined to; none where nothing that is held carries it.
    pub node: Option<usize>,
    /// From that node to the place, mm.
    pub arm: Vector3<f64>,
    /// What carries it: `left upper rail`; none where nothing is near.
    pub on: Option<String>,
    /// How far it is from that, mm: an arm that counts as stiff and weighs nothing.
    pub off: f64,
}

/// A straight piece of a run between two places where something is welded on, or a corner.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    /// The run, as it is spoken.
    pub run: String,
    /// What it is.
    pub kind: Kind,
    /// Stations where it begins and ends, mm.
    pub stations: [f64; 2],
    /// Whether it is all of its run.
    pub whole: bool,
    /// Where its ends are, mm.
    pub ends: [Vector3<f64>; 2],
    /// Its section.
    pub section: Section,
    /// Its metal.
    pub material: Material,
    /// The grade, where the car file names it.
    pub grade: Option<String>,
    /// kg.
    pub mass: f64,
    /// The frame's member; none of a piece that nothing holds, or that lies within a stiff block.
    pub member: Option<usize>,
}

/// What holds the frame.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Held {
    /// Named places that say so.
    pub places: Vec<String>,
    /// Datum ends of rails: the rail, and its words for its datum.
    pub datums: Vec<(String, String)>,
}

/// A car's body as a frame.
#[derive(Debug, Clone, PartialEq)]
pub struct BodyFrame {
    /// All that is held.
    pub frame: Frame,
    /// Every piece of every rail and tube.
    pub pieces: Vec<Piece>,
    /// End plates: what each is on, and its mass, kg.
    pub plates: Vec<(String, f64)>,
    /// What holds it.
    pub held: Held,
    /// The places that were asked for, in their order.
    pub seats: Vec<Seat>,
    /// Named places.
    pub places: Vec<Seat>,
    /// Tubes' ends that are welded to nothing.
    pub loose_ends: Vec<LooseEnd>,
    /// Parts of the body that nothing holds.
    pub loose: Vec<Loose>,
    /// Tubes that are welded to nothing of the body, such as an exhaust.
    pub beside: Vec<String>,
}

/// Rails that hold the body at their datums.
///
/// Those of the car as found count for all that is made of it: what a proposal cuts or adds does not change what holds.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Datums(Vec<(String, Option<Side>)>);

impl Datums {
    /// The rails of a car that run along it, whatever is cut out of them, but for those that a held place is on.
    pub fn of(car: &Car) -> Self {
        Self(cuts::held_at_datum(car))
    }

    fn has(&self, rail: &str, side: Option<Side>) -> bool {
        self.0.iter().any(|(base, own)| base == rail && *own == side)
    }
}

/// A body that is no frame, in a fabricator's words.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NoBody {
    /// There is nothing of it.
    #[error("the car file describes no rails and no tubes, so there is no frame to calculate: add `rails`")]
    Empty,
    /// Two corners at one place.
    #[error(
        "the {name} has no length between its corners {} and {}: they are {apart:.2} mm apart. Move one, or take it out",
        corner, corner + 1
    )]
    NoLength {
        /// The rail or tube.
        name: String,
        /// The first of the two, counted from 1.
        corner: usize,
        /// mm.
        apart: f64,
    },
    /// A tube's corner is no place.
    #[error("the tube `{tube}` cannot be followed: {why}")]
    Nowhere {
        /// The tube.
        tube: String,
        /// What is wrong with it.
        why: String,
    },
    /// A place is said to be on what is not there.
    #[error(
        "the place `{place}` is said to be on `{on}`, and there is no rail, tube or block of that name on its side"
    )]
    NotThere {
        /// The place.
        place: String,
        /// What it is said to be on.
        on: String,
    },
    /// Nothing is held.
    #[error(
        "nothing holds the body: no place among the `nodes` is `held`, and no rail runs along the car from a datum. Add \
         `held: true` to one"
    )]
    Unheld,
}

/// The rails and tubes of a car, rails first; what cuts left of them.
///
/// # Errors
/// [`NoBody::Nowhere`] where a tube's corner is.
pub fn runs(car: &Car) -> Result<Vec<Run>, NoBody> {
    run::of(car)
}

/// Places with what carries each on a car: that as found, for what a proposal brings is there to carry the body, not a
/// mount.
///
/// # Errors
/// As [`assemble`].
pub fn mounts(car: &Car, places: &[(String, Vector3<f64>)]) -> Result<Vec<Mount>, NoBody> {
    assemble::mounts(car, places)
}

/// The body as a frame that can be loaded at these places.
///
/// # Errors
/// [`NoBody`] where there is nothing, a tube has no length, a place is on nothing, or nothing is held.
pub fn assemble(car: &Car, mounts: &[Mount]) -> Result<BodyFrame, NoBody> {
    Assembly::new(car, mounts, &Datums::of(car))?.with(&[])
}

impl BodyFrame {
    /// Mass of rails, tubes and end plates that are part of the body, held or not, kg.
    pub fn mass(&self) -> f64 {
        let pieces = self.pieces.iter().filter(|p| !self.beside.contains(&p.run));
        pieces.map(|p| p.mass).sum::<f64>() + self.plates.iter().map(|p| p.1).sum::<f64>()
    }
}
