//! Every measured or made point, as found and as proposed.

use nalgebra::Vector3;
use serde::Serialize;

use crate::answer::words;
use crate::car::{Car, PointName, Side};

/// A point of the car, body frame.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ListedPoint {
    /// What it is on: `front axle`, `node`, `upper rail`, `tube`.
    pub of: String,
    /// Which.
    pub point: String,
    /// Its side; none of what is there once.
    pub side: Option<Side>,
    /// Where it is.
    pub at_mm: [f64; 3],
    /// Where it was on the car as found; none where it was not there, or without a proposal.
    pub was_mm: Option<[f64; 3]>,
}

impl ListedPoint {
    /// How far it moves; none where it was not there.
    pub fn shift_mm(&self) -> Option<[f64; 3]> {
        self.was_mm.map(|was| [0, 1, 2].map(|i| self.at_mm[i] - was[i]))
    }
}

/// All points of a car. Of mirrored things the left one's; an axle's on both sides.
pub(super) fn points(car: &Car, found: Option<&Car>) -> Vec<ListedPoint> {
    let now = places(car);
    let was = found.map(places).unwrap_or_default();
    let before = |of: &str, point: &str, side| {
        was.iter().find(|(o, p, s, _)| o == of && p == point && *s == side).map(|place| words::point(place.3))
    };
    now.into_iter()
        .map(|(of, point, side, at)| ListedPoint {
            was_mm: before(&of, &point, side),
            at_mm: words::point(at),
            of,
            point,
            side,
        })
        .collect()
}

type Place = (String, String, Option<Side>, Vector3<f64>);

fn places(car: &Car) -> Vec<Place> {
    let mut all: Vec<Place> = Vec::new();
    for (name, axle) in car.axles() {
        for point in PointName::ALL {
            let single = axle.in_middle(*point);
            for side in if single { &Side::BOTH[..1] } else { &Side::BOTH[..] } {
                let Some(at) = axle.point(*side, *point) else { continue };
                all.push((format!("{} axle", name.word()), point.words().to_owned(), (!single).then_some(*side), at));
            }
        }
    }
    let left = |mirror: bool| mirror.then_some(Side::Left);
    for rail in &car.rails {
        let corner =
            |(i, at): (usize, &Vector3<f64>)| (rail.name.clone(), format!("corner {}", i + 1), left(rail.mirror), *at);
        all.extend(rail.centreline.iter().enumerate().map(corner));
    }
    all.extend(car.nodes.iter().map(|n| ("node".to_owned(), n.name.clone(), left(n.mirror), n.at)));
    for tube in &car.tubes {
        let line = car.tube_line(tube).unwrap_or_default();
        let corner =
            |(i, at): (usize, Vector3<f64>)| (tube.name.clone(), format!("corner {}", i + 1), left(tube.mirror), at);
        all.extend(line.into_iter().enumerate().map(corner));
    }
    all.extend(car.datums.iter().map(|d| ("ride height".to_owned(), d.name.clone(), left(d.mirror), d.at)));
    all
}
