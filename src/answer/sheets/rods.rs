//! Rods and links from joint to joint, as the parts that move have them.

use super::jig::Rod;
use crate::answer::Study;
use crate::car::{Car, Hub, PointName};
use crate::space::{Kind, Moving, Spot};

/// The rods of a car; of a part that an axle has once, once.
pub(super) fn rods(study: &Study, found: Option<&Car>) -> Vec<Rod> {
    let mut all: Vec<Rod> = Vec::new();
    for hub in study.car.hubs() {
        for moving in study.parts.moving(hub).iter().filter(|m| is_rod(m)) {
            let part = moving.words(hub);
            if all.iter().any(|rod| rod.part == part) {
                continue;
            }
            let between = |car: &Car, from: PointName, to: PointName| {
                let axle = car.axle(hub.axle)?;
                Some((axle.point(hub.side, from)? - axle.point(hub.side, to)?).norm())
            };
            all.extend(spans(moving).filter_map(|(from, to, radius)| {
                Some(Rod {
                    part: part.clone(),
                    from: from.words(),
                    to: to.words(),
                    mm: between(&study.car, from, to)?,
                    was_mm: found.and_then(|car| between(car, from, to)),
                    od_mm: 2.0 * radius,
                })
            }));
        }
    }
    all.sort_by_key(|rod| order(&rod.part));
    all
}

/// Front before rear, as hubs come; stable within.
fn order(part: &str) -> bool {
    Hub::ALL
        .iter()
        .any(|hub| hub.axle == crate::car::AxleName::Rear && part.starts_with(&format!("{} rear", hub.side.word())))
}

fn is_rod(moving: &Moving) -> bool {
    let kind = matches!(moving.kind, Kind::Arm | Kind::TieRod | Kind::RollBar);
    kind && !moving.name.ends_with("arm") || matches!(moving.name, "pitman arm" | "idler arm")
}

/// Its bars that run from one measured point to another.
fn spans(moving: &Moving) -> impl Iterator<Item = (PointName, PointName, f64)> {
    moving.legs.iter().filter_map(|leg| match leg.ends {
        [Spot::At(from), Spot::At(to)] if from != to => Some((from, to, leg.radius)),
        _ => None,
    })
}
