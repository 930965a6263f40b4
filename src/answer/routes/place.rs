//! Where a route's tubes can end or bend.

use nalgebra::Vector3;

use super::{MadeOf, ends};
use crate::car::{Car, CutEnd, OnRail, Rail, SawCut, Side, TubePoint};
use crate::space::{RailRun, SawPlane};

/// Stations of other rails that tubes may run to are so far apart, mm.
const APART: f64 = 90.0;
/// They keep so far from a rail's ends, mm.
const FROM_END: f64 = 40.0;

/// A cut that is to be routed around.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Sawn {
    /// The rail's name.
    pub rail: String,
    /// Which cut, from 1 at the datum.
    pub nth: usize,
    /// The cut.
    pub cut: SawCut,
    /// Whether the rail is on both sides.
    pub mirror: bool,
    /// How many cuts the rail has.
    pub count: usize,
}

/// Every cut of a car.
pub(super) fn cuts(car: &Car) -> Vec<Sawn> {
    let of = |rail: &Rail| {
        let cuts = rail.cuts_in_order();
        let one = |(i, cut): (usize, &&SawCut)| Sawn {
            rail: rail.name.clone(),
            nth: i + 1,
            cut: **cut,
            mirror: rail.mirror,
            count: cuts.len(),
        };
        cuts.iter().enumerate().map(one).collect::<Vec<_>>()
    };
    car.rails.iter().flat_map(of).collect()
}

impl Sawn {
    /// The car with this cut as its only one, which then needs no number.
    pub fn alone(&self, car: &Car) -> Car {
        let mut alone = car.clone();
        for (tube, was) in alone.tubes.iter_mut().zip(&car.tubes) {
            // A corner at another cut's end stays where it is.
            if let Ok(line) = car.tube_line(was) {
                let cut = |point: &TubePoint| matches!(point, TubePoint::OnRail { at: OnRail::Cut(..), .. });
                for (point, at) in tube.points.iter_mut().zip(line) {
                    if cut(point) {
                        *point = TubePoint::At(at);
                    }
                }
            }
        }
        for rail in &mut alone.rails {
            let own = rail.name == self.rail;
            rail.plates.retain(|p| own && p.nth.unwrap_or(1) == self.nth);
            rail.plates.iter_mut().for_each(|p| p.nth = None);
            rail.cuts = if own { vec![self.cut] } else { Vec::new() };
        }
        alone
    }

    /// What is made where it is the only cut, with its number where the car has several.
    pub fn said(&self, mut made: MadeOf) -> MadeOf {
        let said = (self.count > 1).then_some(self.nth);
        made.plates.iter_mut().for_each(|(_, plate)| plate.nth = said);
        for point in made.tubes.iter_mut().flat_map(|tube| &mut tube.points) {
            if let TubePoint::OnRail { at: OnRail::Cut(_, nth), .. } = point {
                *nth = said;
            }
        }
        made
    }

    /// What its parts are called by.
    pub fn label(&self) -> String {
        if self.count > 1 { format!("{} cut {}", self.rail, self.nth) } else { self.rail.clone() }
    }

    /// Whether another cut of a rail takes a station, or comes nearer to it than `room`, mm.
    fn gone(&self, rail: &Rail, station: f64, room: f64) -> bool {
        let other = |cut: &&SawCut| rail.name != self.rail || **cut != self.cut;
        let takes = |cut: &SawCut| cut.from - room < station && station < cut.to + room;
        rail.cuts.iter().filter(other).any(takes)
    }
}

/// What a place is to a route.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Role {
    /// An end of the cut.
    End(CutEnd),
    /// A bend, clear of everything.
    Bend,
    /// Somewhere to run to.
    Goal,
}

/// A place where a tube can end or bend.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Spot {
    pub role: Role,
    /// Where, on the left or as it is, mm.
    pub at: Vector3<f64>,
    /// How the car file says it; none of a bend, which needs a node.
    pub point: Option<TubePoint>,
    /// In words.
    pub words: String,
    /// A tube leaves a cut end away from its metal.
    pub out: Option<Vector3<f64>>,
    /// The parts that are there, by their names in the car file, and how far from the place a tube is still within each, mm;
    /// infinite where it is not measured at all.
    pub on: Vec<(String, f64)>,
}

/// Ends, goals and bends.
pub(super) struct Places {
    pub spots: Vec<Spot>,
}

impl Places {
    /// Ends of the cut and what there is to run to; `car` has this cut alone, and `whole` all of them.
    pub fn new(car: &Car, sawn: &Sawn, whole: &Car) -> Self {
        let mut spots = Vec::new();
        if let Some(rail) = car.rails.iter().find(|r| r.name == sawn.rail) {
            spots.extend(ends(rail, &sawn.cut).into_iter().filter_map(|end| cut_end(rail, sawn, end)));
        }
        spots.extend(nodes(whole, sawn));
        spots.extend(whole.rails.iter().filter(|r| r.name != sawn.rail).flat_map(|r| stations(r, sawn)));
        // Tubes that are there already, and meet a new one where it ends.
        for tube in &car.tubes {
            let line = car.tube_line(tube).unwrap_or_default();
            let meets = |spot: &Spot| line.iter().any(|corner| (corner - spot.at).norm() < tube.od / 2.0);
            for spot in spots.iter_mut().filter(|spot| meets(spot)) {
                spot.on.push((tube.name.clone(), 1.5 * tube.od));
            }
        }
        Self { spots }
    }
}

fn cut_end(rail: &Rail, sawn: &Sawn, end: CutEnd) -> Option<Spot> {
    let run = RailRun::new(rail, Side::Left);
    let plane = SawPlane::of(&sawn.cut, end);
    let at = rail.at_station(plane.station)?;
    let (along, _, _) = run.frame_of(run.at_station(plane.station).0);
    let out = if end == CutEnd::Near { along } else { -along };
    let [width, height] = rail.size();
    Some(Spot {
        role: Role::End(end),
        at,
        point: Some(TubePoint::OnRail { rail: rail.name.clone(), at: OnRail::Cut(end, None) }),
        words: format!("{} end of the cut", end.word()),
        out: Some(out),
        on: vec![(rail.name.clone(), width.hypot(height) / 2.0)],
    })
}

/// The sides that something is reached on by tubes of a cut, with what is put before its name there: of a mirrored rail
/// what is mirrored too is on the same side; of a rail that is there once it is on both.
fn reached(mirror: bool, sawn: &Sawn) -> Vec<(Side, &'static str)> {
    match (mirror, sawn.mirror) {
        (true, false) => vec![(Side::Left, "left "), (Side::Right, "right ")],
        (true, true) | (false, false) => vec![(Side::Left, "")],
        (false, true) => Vec::new(),
    }
}

/// Nodes that a tube of this cut can run to.
fn nodes(car: &Car, sawn: &Sawn) -> Vec<Spot> {
    let within = |on: &str| {
        let rail = car.rails.iter().find(|r| r.name == on).map(|r| {
            let [width, height] = r.size();
            1.5 * width.hypot(height)
        });
        let tube = car.tubes.iter().find(|t| t.name == on).map(|t| 1.5 * t.od);
        rail.or(tube).unwrap_or(f64::INFINITY)
    };
    let spots = |node: &crate::car::Node| {
        let Ok(on) = car.node_on(node) else { return Vec::new() };
        let there = |(name, side): (&str, Option<Side>)| {
            let rail = car.rails.iter().find(|r| r.name == name)?;
            Some(sawn.gone(rail, rail.station_near(side.unwrap_or(Side::Left).mirror(node.at)), 0.0))
        };
        if on.and_then(there) == Some(true) {
            return Vec::new();
        }
        let on = on.map(|(name, _)| name);
        // One in the middle of the car is met from both sides.
        let middle = !node.mirror && sawn.mirror && node.at.y.abs() < 1.0;
        let sides = if middle { vec![(Side::Left, "")] } else { reached(node.mirror, sawn) };
        let spot = |(side, word): (Side, &str)| Spot {
            role: Role::Goal,
            at: side.mirror(node.at),
            point: Some(TubePoint::Node(format!("{word}{}", node.name))),
            words: format!("{word}{}", node.name),
            out: None,
            on: on.iter().map(|on| ((*on).to_owned(), within(on))).collect(),
        };
        sides.into_iter().map(spot).collect::<Vec<_>>()
    };
    car.nodes.iter().flat_map(spots).collect()
}

/// Places along another rail.
fn stations(rail: &Rail, sawn: &Sawn) -> Vec<Spot> {
    let ([start, end], [width, height]) = (rail.ends(), rail.size());
    let room = end - start - 2.0 * FROM_END;
    if room < 0.0 {
        return Vec::new();
    }
    let count = (room / APART).ceil().max(1.0) as usize;
    let station = |i: usize| (start + FROM_END + room * i as f64 / count as f64).round();
    let spot = |(side, word): (Side, &str), station: f64| {
        if sawn.gone(rail, station, FROM_END) {
            return None;
        }
        Some(Spot {
            role: Role::Goal,
            at: side.mirror(rail.at_station(station)?),
            point: Some(TubePoint::OnRail { rail: format!("{word}{}", rail.name), at: OnRail::Station(station) }),
            words: format!("{word}{} at {station:.0} mm", rail.name),
            out: None,
            on: vec![(rail.name.clone(), 1.5 * width.hypot(height))],
        })
    };
    let each = |reached: (Side, &'static str)| (0..=count).filter_map(move |i| spot(reached, station(i)));
    reached(rail.mirror, sawn).into_iter().flat_map(each).collect()
}
