//! Which lines go together, and which sets are much alike.

use nalgebra::Vector3;

use super::lines::{Line, Lines};
use super::place::{Role, Spot};
use super::search::{Bench, Set};
use crate::space::segments;

/// Bends nearer than this make two routes alike, mm.
const ALIKE: f64 = 150.0;
/// Bends that are made finer lie no nearer to each other, mm.
const APART: f64 = 60.0;
/// Two tubes that leave a place at less than this to each other cannot be welded, as a cosine.
const TOGETHER: f64 = 0.94;

impl<'a> Bench<'a> {
    /// Whether a line goes with those of a set: it hangs on one of its bends if it hangs on any, and runs into none.
    pub fn fits(&self, tubes: &[(usize, usize)], line: usize) -> bool {
        let new = &self.lines.lines[line];
        let is_bend = |spot: usize| self.lines.spots[spot].role == Role::Bend;
        let there = |spot: usize| tubes.iter().any(|(l, _)| self.lines.lines[*l].spots.contains(&spot));
        let hangs = !is_bend(new.spots[0]) || there(new.spots[0]);
        // One way around is enough.
        let around = |l: &Line| l.spots.len() == 3 || (l.spots.len() == 2 && l.spots.iter().all(|s| self.is_end(*s)));
        let twice = around(new) && tubes.iter().any(|(l, _)| around(&self.lines.lines[*l]));
        hangs && !twice && tubes.iter().all(|(l, _)| *l != line && self.apart(&self.lines.lines[*l], new))
    }

    pub fn is_end(&self, spot: usize) -> bool {
        matches!(self.lines.spots[spot].role, Role::End(_))
    }

    /// Whether two lines keep off each other, or part at an angle where they meet.
    fn apart(&self, one: &Line, other: &Line) -> bool {
        let legs = |line: &Line| -> Vec<([usize; 2], [Vector3<f64>; 2])> {
            let pair = |i: usize| ([line.spots[i], line.spots[i + 1]], [line.corners[i], line.corners[i + 1]]);
            (0..line.spots.len() - 1).map(pair).collect()
        };
        let room = self.thickest(one) + self.thickest(other) + self.car.wanted.linkage_to_body;
        legs(one).iter().all(|(spots, a)| {
            legs(other).iter().all(|(others, b)| {
                let Some(meet) = spots.iter().find(|s| others.contains(s)) else {
                    let [p, q] = segments(*a, *b);
                    return (p - q).norm() >= room;
                };
                let away = |spots: &[usize; 2], line: &[Vector3<f64>; 2]| {
                    let way = (line[1] - line[0]).normalize();
                    if spots[0] == *meet { way } else { -way }
                };
                away(spots, a).dot(&away(others, b)) < TOGETHER
            })
        })
    }

    fn thickest(&self, line: &Line) -> f64 {
        let fits = |od: &f64| od / 2.0 <= line.radius + 1e-9;
        self.stock.iter().map(|s| s.0.od).filter(fits).fold(0.0, f64::max) / 2.0
    }

    /// Bends of the first of these sets, as long as they lie apart, mm.
    pub fn bends(&self, sets: &[Set], most: usize) -> Vec<Vector3<f64>> {
        let mut sets: Vec<&Set> = sets.iter().collect();
        sets.sort_by(|a, b| self.before(a, self, b));
        let mut found: Vec<Vector3<f64>> = Vec::new();
        let spots = sets.iter().flat_map(|set| &set.tubes).flat_map(|t| &self.lines.lines[t.0].spots);
        for spot in spots.map(|s| &self.lines.spots[*s]).filter(|s| s.role == Role::Bend) {
            if found.len() < most && found.iter().all(|other| (other - spot.at).norm() > APART) {
                found.push(spot.at);
            }
        }
        found
    }

    /// Whether a set runs like one of another bench: between the same places, with bends close together.
    pub fn alike(&self, one: &Set, bench: &Self, other: &Set) -> bool {
        let like = |a: &(usize, usize), b: &(usize, usize)| {
            let spots = |bench: &'a Lines, line: usize| -> Vec<&'a Spot> {
                bench.lines[line].spots.iter().map(|s| &bench.spots[*s]).collect()
            };
            let (a, b) = (spots(self.lines, a.0), spots(bench.lines, b.0));
            let near = |(p, q): (&&Spot, &&Spot)| {
                let bends = p.role == Role::Bend && q.role == Role::Bend;
                p.at == q.at || (bends && (p.at - q.at).norm() < ALIKE)
            };
            a.len() == b.len() && a.iter().zip(&b).all(near)
        };
        one.tubes.len() == other.tubes.len() && one.tubes.iter().all(|a| other.tubes.iter().any(|b| like(a, b)))
    }
}
