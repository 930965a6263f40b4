//! The order in which nodes are eliminated, so that few new couplings arise.
//!
//! Nested dissection by place: halve the frame across its longest side, number both halves first and the nodes between them
//! last (A. George, Nested Dissection of a Regular Finite Element Mesh, 1973, from memory). A frame fills space, so its
//! own coordinates find the waist that a graph library would have to search for.

use nalgebra::Vector3;

/// As few nodes as this are not worth halving.
const FEW: usize = 8;

/// Nodes in the order of elimination.
pub(super) fn order(places: &[Vector3<f64>], neighbours: &[Vec<usize>]) -> Vec<usize> {
    let mut task = Task { places, neighbours, side: vec![0; places.len()], stamp: 0, out: Vec::new() };
    task.halve((0..places.len()).collect());
    task.out
}

struct Task<'a> {
    places: &'a [Vector3<f64>],
    neighbours: &'a [Vec<usize>],
    /// Which half each node was last put into; each halving has two stamps of its own.
    side: Vec<usize>,
    stamp: usize,
    out: Vec<usize>,
}

impl Task<'_> {
    fn halve(&mut self, mut nodes: Vec<usize>) {
        if nodes.len() <= FEW {
            self.out.extend(nodes);
            return;
        }
        let extent = |axis: usize| {
            let along = || nodes.iter().map(|&n| self.places[n][axis]);
            along().fold(f64::NEG_INFINITY, f64::max) - along().fold(f64::INFINITY, f64::min)
        };
        let longest = (0..3).max_by(|&a, &b| extent(a).total_cmp(&extent(b))).unwrap_or(0);
        nodes.sort_by(|&a, &b| self.places[a][longest].total_cmp(&self.places[b][longest]));
        let upper = nodes.split_off(nodes.len() / 2);
        self.stamp += 2;
        let [low, high] = [self.stamp, self.stamp + 1];
        nodes.iter().for_each(|&n| self.side[n] = low);
        upper.iter().for_each(|&n| self.side[n] = high);
        let edge = |of: &[usize], other: usize| -> Vec<bool> {
            of.iter().map(|&n| self.neighbours[n].iter().any(|&m| self.side[m] == other)).collect()
        };
        let (lower_edge, upper_edge) = (edge(&nodes, high), edge(&upper, low));
        let size = |edge: &[bool]| edge.iter().filter(|&&on| on).count();
        let (cut, edge, whole) = if size(&lower_edge) <= size(&upper_edge) {
            (nodes, lower_edge, upper)
        } else {
            (upper, upper_edge, nodes)
        };
        let pick = |on: bool| cut.iter().zip(&edge).filter(|&(_, &e)| e == on).map(|(&n, _)| n).collect::<Vec<_>>();
        let (between, rest) = (pick(true), pick(false));
        self.halve(rest);
        self.halve(whole);
        self.out.extend(between);
    }
}
