//! The pieces of a solid in a tree of spheres, so that what is far from a ring is passed over in groups.

use nalgebra::Vector3;

use super::solid::{Bar, Facet};

/// A bar (or an edge of a facet), or a facet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Piece {
    /// Bar or edge.
    Bar(Bar),
    /// Facet.
    Facet(Facet),
}

impl Piece {
    fn radius(&self) -> f64 {
        match self {
            Self::Bar(b) => b.radius,
            Self::Facet(f) => f.radius,
        }
    }

    fn each_corner(&self, visit: impl FnMut(Vector3<f64>)) {
        match self {
            Self::Bar(b) => [b.a, b.b].into_iter().for_each(visit),
            Self::Facet(f) => f.corners.into_iter().for_each(visit),
        }
    }
}

/// A sphere around some pieces.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Node {
    /// Its centre, mm.
    pub centre: Vector3<f64>,
    /// No point of its pieces lies further from the centre, mm.
    pub reach: f64,
    /// What it holds.
    pub holds: Holds,
}

/// What a node holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Holds {
    /// Pieces, by their place in [`Tree::pieces`].
    Pieces(u32, u32),
    /// Two nodes, by their place in [`Tree::nodes`].
    Nodes(u32, u32),
}

/// Pieces in a tree. The last node is its root.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Tree {
    /// The nodes, each behind those that it holds.
    pub nodes: Vec<Node>,
    /// The pieces.
    pub pieces: Vec<Piece>,
}

/// A node with no more pieces than this is not divided.
const FEW: usize = 4;

impl Tree {
    /// Of some pieces.
    pub fn new(mut pieces: Vec<Piece>) -> Self {
        let mut nodes = Vec::new();
        if !pieces.is_empty() {
            divide(&mut pieces, 0, &mut nodes);
        }
        Self { nodes, pieces }
    }
}

/// Divides pieces at the middle one along their longest extent; returns the place of their node.
fn divide(pieces: &mut [Piece], first: u32, nodes: &mut Vec<Node>) -> u32 {
    let (mut low, mut high) = (Vector3::repeat(f64::INFINITY), Vector3::repeat(f64::NEG_INFINITY));
    for piece in pieces.iter() {
        piece.each_corner(|c| (low, high) = (low.inf(&c), high.sup(&c)));
    }
    let centre = (low + high) / 2.0;
    let mut reach = 0.0f64;
    for piece in pieces.iter() {
        piece.each_corner(|c| reach = reach.max((c - centre).norm() + piece.radius()));
    }
    let holds = if pieces.len() <= FEW {
        Holds::Pieces(first, first + pieces.len() as u32)
    } else {
        let axis = (high - low).imax();
        let middle = pieces.len() / 2;
        let place = |piece: &Piece| {
            let (mut sum, mut count) = (0.0, 0.0);
            piece.each_corner(|c| (sum, count) = (sum + c[axis], count + 1.0));
            sum / count
        };
        pieces.select_nth_unstable_by(middle, |a, b| place(a).total_cmp(&place(b)));
        let (left, right) = pieces.split_at_mut(middle);
        let left = divide(left, first, nodes);
        Holds::Nodes(left, divide(right, first + middle as u32, nodes))
    };
    nodes.push(Node { centre, reach, holds });
    nodes.len() as u32 - 1
}
