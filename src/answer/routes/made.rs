//! A set of tubes as parts of the car.

use std::collections::BTreeSet;

use serde::Serialize;

use super::PLATE;
use super::place::Role;
use super::search::{Bench, Set};
use crate::answer::words;
use crate::car::{Car, CutEnd, EndPlate, FixedTube, Node, TubePoint};
use crate::strength::body;

/// The parts of a route.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct MadeOf {
    /// Plates on cut ends.
    pub plates: Vec<(String, EndPlate)>,
    /// Nodes.
    pub nodes: Vec<Node>,
    /// Tubes.
    pub tubes: Vec<FixedTube>,
}

/// A tube of a route.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RouteTube {
    /// What it is called.
    pub name: String,
    /// From where, by way of where, to where, in words.
    pub runs: Vec<String>,
    /// Its corners on the left, or as it is.
    pub corners_mm: Vec<[f64; 3]>,
    /// Whether there is one on each side.
    pub mirror: bool,
    /// Outside diameter.
    pub od_mm: f64,
    /// Wall.
    pub wall_mm: f64,
    /// Grade.
    pub grade: String,
    /// Along its axis.
    pub length_mm: f64,
}

/// An end plate of a route, which the cut had not.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RoutePlate {
    /// The end of the cut that it is welded on.
    pub end: CutEnd,
    /// Whether there is one on each side.
    pub mirror: bool,
    /// Its two sides and its thickness.
    pub size_mm: [f64; 3],
    /// Grade: the rail's; none where that has none.
    pub grade: Option<String>,
    /// Mass of one.
    pub mass_kg: f64,
}

impl MadeOf {
    /// Makes it of a car.
    pub fn make(&self, car: &mut Car) {
        for (rail, plate) in &self.plates {
            if let Some(rail) = car.rails.iter_mut().find(|r| r.name == *rail) {
                rail.plates.push(*plate);
            }
        }
        car.nodes.extend(self.nodes.iter().cloned());
        car.tubes.extend(self.tubes.iter().cloned());
    }
}

impl Bench<'_> {
    /// A set as parts of the car that has this cut alone; see [`Sawn::said`](super::place::Sawn::said).
    pub fn made_of(&self, set: &Set) -> MadeOf {
        let mut taken = Names::of(self.car);
        let rail = &self.sawn.rail;
        let label = self.sawn.label();
        let mut made = MadeOf::default();
        let plated = |end: CutEnd| {
            let rail = self.car.rails.iter().find(|r| r.name == *rail);
            rail.is_some_and(|r| r.plates.iter().any(|p| p.cut == end))
        };
        for end in CutEnd::BOTH {
            let used = |(line, _): &(usize, usize)| {
                let spots = &self.lines.lines[*line].spots;
                spots.iter().any(|s| self.lines.spots[*s].role == Role::End(end))
            };
            if set.tubes.iter().any(used) && !plated(end) {
                let plate = EndPlate { cut: end, nth: None, thickness: PLATE, over: 0.0 };
                made.plates.push((rail.clone(), plate));
            }
        }
        let mut bends: Vec<(usize, String)> = Vec::new();
        for &(line, _) in &set.tubes {
            for &spot in &self.lines.lines[line].spots {
                if self.lines.spots[spot].role == Role::Bend && !bends.iter().any(|b| b.0 == spot) {
                    let name = taken.new_name(format!("{label} bend"));
                    let at = self.lines.spots[spot].at;
                    made.nodes.push(Node { name: name.clone(), mirror: self.sawn.mirror, at, on: None, held: false });
                    bends.push((spot, name));
                }
            }
        }
        for tube in &set.tubes {
            let spots = &self.lines.lines[tube.0].spots;
            let between = spots.iter().filter(|s| self.is_end(**s)).count() == 2;
            let name = taken.new_name(format!("{label} {}", if between { "bypass" } else { "brace" }));
            let point = |spot: &usize| {
                let named = bends.iter().find(|b| b.0 == *spot).map(|b| TubePoint::Node(b.1.clone()));
                let spot = &self.lines.spots[*spot];
                named.or_else(|| spot.point.clone()).unwrap_or(TubePoint::At(spot.at))
            };
            made.tubes.push(FixedTube { name, points: spots.iter().map(point).collect(), ..self.bare_tube(tube) });
        }
        made
    }

    /// The plates that a route brings.
    pub fn told_plates(&self, made: &MadeOf) -> Vec<RoutePlate> {
        let one = |(name, welded): &(String, EndPlate)| {
            let rail = self.car.rails.iter().find(|r| r.name == *name)?;
            let (size_mm, mass_kg) = body::plate(self.car, rail, welded);
            Some(RoutePlate { end: welded.cut, mirror: rail.mirror, size_mm, grade: rail.grade.clone(), mass_kg })
        };
        made.plates.iter().filter_map(one).collect()
    }

    /// A set's tubes in words.
    pub fn told(&self, set: &Set, made: &MadeOf) -> Vec<RouteTube> {
        let one = |(&(line, size), tube): (&(usize, usize), &FixedTube)| {
            let (line, stock) = (&self.lines.lines[line], &self.stock[size].0);
            RouteTube {
                name: tube.name.clone(),
                runs: line.spots.iter().map(|s| self.lines.spots[*s].words.clone()).collect(),
                corners_mm: line.corners.iter().map(|c| words::point(*c)).collect(),
                mirror: self.sawn.mirror,
                od_mm: stock.od,
                wall_mm: stock.wall,
                grade: stock.grade.clone(),
                length_mm: line.length,
            }
        };
        set.tubes.iter().zip(&made.tubes).map(one).collect()
    }
}

/// Names that are taken.
struct Names(BTreeSet<String>);

impl Names {
    fn of(car: &Car) -> Self {
        let parts = car.rails.iter().map(|r| &r.name).chain(car.tubes.iter().map(|t| &t.name));
        let parts = parts.chain(car.blocks.iter().map(|b| &b.name)).chain(car.panels.iter().map(|p| &p.name));
        Self(parts.chain(car.scans.iter().map(|s| &s.name)).chain(car.nodes.iter().map(|n| &n.name)).cloned().collect())
    }

    /// The name, with a number where it is taken.
    fn new_name(&mut self, base: String) -> String {
        let numbered = (2..).map(|n| format!("{base} {n}"));
        let free = std::iter::once(base.clone()).chain(numbered).find(|name| !self.0.contains(name));
        let name = free.unwrap_or(base);
        self.0.insert(name.clone());
        name
    }
}
