//! What is not where it was.

use nalgebra::Vector3;
use serde::Serialize;

use crate::answer::words;
use crate::car::{AxleName, Car, PointName, Side};

/// Points nearer than this are at one place, mm: less than a car file writes.
const SAME: f64 = 1e-6;

/// A point of an axle before and after, in the body frame, mm. None where there is no such point.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MovedPoint {
    /// Its axle.
    pub axle: AxleName,
    /// Its side; none of a point in the middle.
    pub side: Option<Side>,
    /// Which.
    pub point: PointName,
    /// Before.
    pub from_mm: Option<[f64; 3]>,
    /// After.
    pub to_mm: Option<[f64; 3]>,
}

impl MovedPoint {
    /// `left front, lower ball joint`.
    pub fn words(&self) -> String {
        let side = self.side.map_or("", Side::word);
        format!("{side} {}, {}", self.axle.word(), self.point.words()).trim_start().to_owned()
    }

    /// From where to where, for an arrow; none where it is there only once.
    pub fn arrow(&self) -> Option<[[f64; 3]; 2]> {
        Some([self.from_mm?, self.to_mm?])
    }

    /// How far it moves: forward, left and up, mm.
    pub fn shift(&self) -> Option<[f64; 3]> {
        self.arrow().map(|[from, to]| [0, 1, 2].map(|i| to[i] - from[i]))
    }
}

/// What became of a part.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum PartFate {
    /// It was not there.
    Added,
    /// It is elsewhere, or otherwise.
    Changed,
    /// It is there no more.
    Removed,
}

impl PartFate {
    /// As it is spoken.
    pub fn word(self) -> &'static str {
        match self {
            Self::Added => "added",
            Self::Changed => "changed",
            Self::Removed => "removed",
        }
    }
}

/// A part of the body that is other than it was.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct PartChange {
    /// As the car file calls it.
    pub part: String,
    /// What became of it.
    pub fate: PartFate,
}

/// The points of both axles that are not where they were, front first, left first.
pub(super) fn points(from: &Car, to: &Car) -> Vec<MovedPoint> {
    let mut moved = Vec::new();
    for name in AxleName::BOTH {
        let axles = [from.axle(name), to.axle(name)];
        for side in Side::BOTH {
            for &point in PointName::ALL {
                let single = axles.iter().flatten().any(|axle| axle.in_middle(point) && axle.has(point));
                if single && side == Side::Right {
                    continue;
                }
                let [before, after] = axles.map(|axle| axle.and_then(|axle| axle.point(side, point)));
                if !same(before, after) {
                    let [from_mm, to_mm] = [before, after].map(|p| p.map(words::point));
                    moved.push(MovedPoint { axle: name, side: (!single).then_some(side), point, from_mm, to_mm });
                }
            }
        }
    }
    moved
}

fn same(a: Option<Vector3<f64>>, b: Option<Vector3<f64>>) -> bool {
    match (a, b) {
        (Some(a), Some(b)) => (a - b).norm() < SAME,
        (a, b) => a.is_none() && b.is_none(),
    }
}

/// The parts of the body that are other than they were, and arms that are built otherwise.
pub(super) fn parts(from: &Car, to: &Car) -> Vec<PartChange> {
    let mut changes = Vec::new();
    for (name, axle) in to.axles() {
        let Some(was) = from.axle(name) else { continue };
        let (now, was) = (&axle.arms, &was.arms);
        let lower = (now.lower(), now.lower_arm) != (was.lower(), was.lower_arm);
        let upper = axle.linkage.has_upper() && (now.upper(), now.upper_arm) != (was.upper(), was.upper_arm);
        for (_, word) in [(lower, "lower"), (upper, "upper")].into_iter().filter(|(is, _)| *is) {
            let part = format!("{} {word} arms or links", name.word());
            changes.push(PartChange { part, fate: PartFate::Changed });
        }
    }
    changes.extend(each(&from.rails, &to.rails, |part| &part.name));
    changes.extend(each(&from.panels, &to.panels, |part| &part.name));
    changes.extend(each(&from.scans, &to.scans, |part| &part.name));
    // A tube that runs to a node is another where the node has gone elsewhere.
    changes.extend(by(&from.tubes, &to.tubes, |part| &part.name, |part| from.has_same_tube(to, &part.name)));
    changes.extend(each(&from.nodes, &to.nodes, |part| &part.name));
    changes.extend(each(&from.blocks, &to.blocks, |part| &part.name));
    let splitter = |car: &Car| car.splitter.iter().cloned().collect::<Vec<_>>();
    changes.extend(each(&splitter(from), &splitter(to), |_| "splitter"));
    changes
}

fn each<T: PartialEq>(from: &[T], to: &[T], name: impl Fn(&T) -> &str) -> Vec<PartChange> {
    let stays = |part: &T| to.contains(part);
    by(from, to, name, stays)
}

/// What is other than it was, a part of both cars being so unless it `stays`.
fn by<T>(from: &[T], to: &[T], name: impl Fn(&T) -> &str, stays: impl Fn(&T) -> bool) -> Vec<PartChange> {
    let of = |part: &T, fate| PartChange { part: name(part).to_owned(), fate };
    let same = |all: &[T], part: &T| all.iter().position(|other| name(other) == name(part));
    let mut changes = Vec::new();
    for part in from {
        match same(to, part) {
            None => changes.push(of(part, PartFate::Removed)),
            Some(_) if !stays(part) => changes.push(of(part, PartFate::Changed)),
            Some(_) => {}
        }
    }
    changes.extend(to.iter().filter(|part| same(from, part).is_none()).map(|part| of(part, PartFate::Added)));
    changes
}
