//! Contours and areas of a field over a grid.
//!
//! Every square of the grid is four triangles about its middle, whose value is the mean of the corners'. On a triangle the
//! field is straight, so a level is a straight line in it and what is below is a polygon: no square is in doubt, and lines
//! and areas are of one piece.

use std::collections::HashMap;

use super::{Cell, Node};
use crate::space::FAR;

pub(super) type At = [f64; 2];

/// A field over the nodes of a grid.
pub(super) struct Field<'a> {
    pub x: &'a [f64],
    pub y: &'a [f64],
    /// Row by row.
    values: Vec<f64>,
}

/// A place and the field's value there.
type Known = (At, f64);

/// A field of what stands at the nodes. Where nothing is near, the gap is as good as the furthest that is measured.
pub(super) fn field<'a>(x: &'a [f64], y: &'a [f64], grid: &[Vec<Node>], of: fn(&Cell) -> f64) -> Field<'a> {
    field_of(x, y, |i, k| grid[k][i].cell.as_ref().map(of))
}

pub(super) fn field_of<'a>(x: &'a [f64], y: &'a [f64], at: impl Fn(usize, usize) -> Option<f64>) -> Field<'a> {
    let nodes = (0..y.len()).flat_map(|k| (0..x.len()).map(move |i| (i, k)));
    Field { x, y, values: nodes.map(|(i, k)| at(i, k).unwrap_or(FAR)).collect() }
}

impl Field<'_> {
    fn at(&self, i: usize, k: usize) -> Known {
        ([self.x[i], self.y[k]], self.values[k * self.x.len() + i])
    }

    /// Least and most, of what is near.
    pub fn range(&self) -> [f64; 2] {
        let near = self.values.iter().filter(|v| **v < FAR);
        near.fold([f64::INFINITY, f64::NEG_INFINITY], |[low, high], v| [low.min(*v), high.max(*v)])
    }

    fn squares(&self) -> impl Iterator<Item = (usize, usize)> {
        let across = self.x.len() - 1;
        (0..self.y.len() - 1).flat_map(move |k| (0..across).map(move |i| (i, k)))
    }

    /// A square's corners, around it.
    fn corners(&self, i: usize, k: usize) -> [Known; 4] {
        [self.at(i, k), self.at(i + 1, k), self.at(i + 1, k + 1), self.at(i, k + 1)]
    }

    fn triangles(corners: [Known; 4]) -> [[Known; 3]; 4] {
        let middle = (
            [(corners[0].0[0] + corners[2].0[0]) / 2.0, (corners[0].0[1] + corners[2].0[1]) / 2.0],
            corners.iter().map(|c| c.1).sum::<f64>() / 4.0,
        );
        [0, 1, 2, 3].map(|n| [corners[n], corners[(n + 1) % 4], middle])
    }

    /// The lines on which the field has a value.
    pub fn lines(&self, level: f64) -> Vec<Vec<At>> {
        let mut pieces = Vec::new();
        for (i, k) in self.squares() {
            let corners = self.corners(i, k);
            let below = corners.iter().filter(|c| c.1 < level).count();
            if below == 0 || below == 4 {
                continue;
            }
            for t in Self::triangles(corners) {
                let sides = [(t[0], t[1]), (t[1], t[2]), (t[2], t[0])];
                let mut cut = sides.into_iter().filter_map(|(p, q)| crossing(p, q, level));
                if let (Some(from), Some(to)) = (cut.next(), cut.next())
                    && from != to
                {
                    pieces.push([from, to]);
                }
            }
        }
        join(pieces)
    }

    /// Polygons that together cover where the field is below a value: whole squares, and pieces of triangles.
    fn below(&self, level: f64) -> Vec<Vec<At>> {
        let mut all: Vec<Vec<At>> = Vec::new();
        for (i, k) in self.squares() {
            let corners = self.corners(i, k);
            match corners.iter().filter(|c| c.1 < level).count() {
                0 => {}
                4 => all.push(corners.map(|c| c.0).to_vec()),
                _ => {
                    all.extend(Self::triangles(corners).map(|t| clipped(t, level)).into_iter().filter(|p| p.len() > 2))
                }
            }
        }
        all
    }

    /// The edge of where the field is below a value, as loops: what two of its polygons share is no edge. A loop in a loop
    /// is a hole.
    pub fn outline(&self, level: f64) -> Vec<Vec<At>> {
        let mut edges: HashMap<[[u64; 2]; 2], [At; 2]> = HashMap::new();
        for polygon in self.below(level) {
            for (p, q) in polygon.iter().zip(polygon.iter().cycle().skip(1)).filter(|(p, q)| p != q) {
                if edges.remove(&[key(q), key(p)]).is_none() {
                    edges.insert([key(p), key(q)], [*p, *q]);
                }
            }
        }
        let mut edges: Vec<[At; 2]> = edges.into_values().collect();
        // In an order of their own, so that a drawing is the same each time.
        edges.sort_by(|a, b| a.partial_cmp(b).unwrap_or(std::cmp::Ordering::Equal));
        join(edges)
    }

    /// The part of the whole area, 0 to 1, in which the field is below a value.
    pub fn share_below(&self, level: f64) -> f64 {
        let span = |v: &[f64]| v[v.len() - 1] - v[0];
        self.below(level).iter().map(|p| area(p)).sum::<f64>() / (span(self.x) * span(self.y))
    }
}

fn area(polygon: &[At]) -> f64 {
    let next = polygon.iter().cycle().skip(1);
    polygon.iter().zip(next).map(|(p, q)| p[0] * q[1] - q[0] * p[1]).sum::<f64>().abs() / 2.0
}

/// Where a level lies between two places, if it does. Told alike from either end, so that neighbours meet in one point.
fn crossing(p: Known, q: Known, level: f64) -> Option<At> {
    if (p.1 < level) == (q.1 < level) {
        return None;
    }
    let (p, q) = if p.0 <= q.0 { (p, q) } else { (q, p) };
    let part = (level - p.1) / (q.1 - p.1);
    Some([p.0[0] + (q.0[0] - p.0[0]) * part, p.0[1] + (q.0[1] - p.0[1]) * part])
}

/// What of a triangle is below a level.
fn clipped(t: [Known; 3], level: f64) -> Vec<At> {
    let mut kept = Vec::with_capacity(4);
    for n in 0..3 {
        let (p, q) = (t[n], t[(n + 1) % 3]);
        if p.1 < level {
            kept.push(p.0);
        }
        kept.extend(crossing(p, q, level));
    }
    kept
}

fn key(p: &At) -> [u64; 2] {
    p.map(f64::to_bits)
}

/// Pieces joined end to end to lines as long as they go.
pub(super) fn join(pieces: Vec<[At; 2]>) -> Vec<Vec<At>> {
    let mut meets: HashMap<[u64; 2], Vec<usize>> = HashMap::new();
    for (n, piece) in pieces.iter().enumerate() {
        piece.iter().for_each(|end| meets.entry(key(end)).or_default().push(n));
    }
    let mut used = vec![false; pieces.len()];
    let walk = |from: At, used: &mut Vec<bool>| {
        let mut line = vec![from];
        let mut at = from;
        while let Some(&n) = meets.get(&key(&at)).and_then(|here| here.iter().find(|n| !used[**n])) {
            used[n] = true;
            let [p, q] = pieces[n];
            at = if key(&p) == key(&at) { q } else { p };
            line.push(at);
        }
        line
    };
    let mut lines = Vec::new();
    for n in 0..pieces.len() {
        if used[n] {
            continue;
        }
        used[n] = true;
        let mut back = walk(pieces[n][0], &mut used);
        back.reverse();
        back.extend(walk(pieces[n][1], &mut used));
        lines.push(back);
    }
    lines
}
