//! What nothing holds.

use nalgebra::Vector3;

/// A tube's end that is welded to nothing.
#[derive(Debug, Clone, PartialEq)]
pub struct LooseEnd {
    /// The tube, as it is spoken.
    pub tube: String,
    /// Whether it is its last point; else its first.
    pub last: bool,
    /// Where, mm.
    pub at: Vector3<f64>,
}

/// A part of the body that nothing holds: pieces of rails and tubes that hang together, and places on them.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Loose {
    /// Rails and tubes, as they are spoken, with the stations from where to where, mm, where it is not the whole of a rail.
    pub runs: Vec<(String, Option<[f64; 2]>)>,
    /// Named and loaded places.
    pub places: Vec<String>,
}
