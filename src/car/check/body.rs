//! Checks of what is fixed to the body, and of what is asked about it.

use std::collections::BTreeSet;

use nalgebra::Vector3;

use super::axle::tube;
use super::{Checked, SAME, name, near, near_point, not_negative, part_names, positive, wall, within_angle};
use crate::car::Car;
use crate::car::axle::Tube;
use crate::car::body::{Balance, Datum, Panel, Rail, Section, Splitter, Sweep, WantedGaps};
use crate::car::error::CarError;
use crate::car::fixed::{Block, BlockShape, FixedTube};
use crate::car::units::FileUnit;

/// Least cosine between a rail's run before a corner and behind it: a turn of 150 degrees.
const FOLD: f64 = -0.866;
/// Most corners of a splitter; every pair of edges is looked at.
const MOST_CORNERS: usize = 500;

pub(super) fn rail(unit: FileUnit, rail: &Rail) -> Checked {
    let (sizes, narrowest) = match rail.section {
        Section::Box { width, height } => (vec![("width", width), ("height", height)], width.min(height)),
        Section::Round { od } => (vec![("od", od)], od),
    };
    sizes.into_iter().try_for_each(|(field, mm)| positive(unit, mm, field).map_err(|e| e.within("section")))?;
    wall(unit, rail.wall, narrowest)?;
    near(unit, rail.datum_station).map_err(|e| e.within("datum_station"))?;
    let line = &rail.centreline;
    let here = |e: CarError, index: usize| e.within(index).within("centreline");
    run(unit, line, "rail").map_err(|e| e.within("centreline"))?;
    for (index, three) in line.windows(3).enumerate() {
        let (before, behind) = ((three[1] - three[0]).normalize(), (three[2] - three[1]).normalize());
        if before.dot(&behind) < FOLD {
            let what = format!("the rail folds back on itself at corner {}: check the order of its corners", index + 2);
            return Err(here(CarError::new(what), index + 1));
        }
    }
    mirrored(rail.mirror, line.iter()).map_err(|e| e.within("centreline"))
}

/// Corners of a centreline, each apart from the next.
fn run(unit: FileUnit, line: &[Vector3<f64>], kind: &str) -> Checked {
    if line.len() < 2 {
        return Err(CarError::new(format!("a {kind} needs two corners or more: its two ends")));
    }
    for (index, p) in line.iter().enumerate() {
        near_point(unit, p).map_err(|e| e.within(index))?;
    }
    for (index, pair) in line.windows(2).enumerate() {
        if (pair[1] - pair[0]).norm() < SAME {
            let what = format!("corners {} and {} of the {kind} are the same point: remove one", index + 1, index + 2);
            return Err(CarError::new(what).within(index + 1));
        }
    }
    Ok(())
}

pub(super) fn fixed_tube(car: &Car, part: &FixedTube) -> Checked {
    let unit = car.unit;
    tube(unit, Tube { od: part.od, wall: part.wall, bow: None })?;
    let line = car.tube_line(part).map_err(|e| e.within("points"))?;
    run(unit, &line, "tube").and_then(|()| mirrored(part.mirror, line.iter())).map_err(|e| e.within("points"))
}

pub(super) fn block(unit: FileUnit, block: &Block) -> Checked {
    let (outline, [bottom, top]) = block.shape.plan();
    let corners: Vec<_> = outline.iter().map(|p| Vector3::new(p[0], p[1], bottom)).collect();
    mirrored(block.mirror, corners.iter()).map_err(|e| e.within("shape"))?;
    match &block.shape {
        BlockShape::Box { from, to } => {
            near_point(unit, from).map_err(|e| e.within("from").within("shape"))?;
            near_point(unit, to).map_err(|e| e.within("to").within("shape"))?;
            if (to - from).abs().min() < SAME {
                let what = "the box has no thickness: `from` and `to` are corners across from each other";
                return Err(CarError::new(what).within("to").within("shape"));
            }
            Ok(())
        }
        BlockShape::Plan { .. } => {
            near(unit, bottom).map_err(|e| e.within("bottom").within("shape"))?;
            near(unit, top).map_err(|e| e.within("top").within("shape"))?;
            if top - bottom < SAME {
                let what = format!("the top, {}, is not over the bottom, {}", unit.length(top), unit.length(bottom));
                return Err(CarError::new(what).within("top").within("shape"));
            }
            once_around(unit, &outline, "block").map_err(|e| e.within("outline").within("shape"))
        }
    }
}

pub(super) fn panel(unit: FileUnit, panel: &Panel) -> Checked {
    positive(unit, panel.thickness, "thickness")?;
    let rows = &panel.rows;
    if rows.len() < 2 {
        return Err(CarError::new("a panel needs two rows of points or more").within("rows"));
    }
    let first = rows[0].len();
    for (index, row) in rows.iter().enumerate() {
        if row.len() < 2 {
            let what = "a row of a panel needs two points or more";
            return Err(CarError::new(what).within(index).within("rows"));
        }
        if row.len() != first {
            let what = format!(
                "row {} has {} points and row 1 has {first}: a panel's rows are joined point by point, so give all as \
                 many",
                index + 1,
                row.len()
            );
            return Err(CarError::new(what).within(index).within("rows"));
        }
        for (corner, p) in row.iter().enumerate() {
            near_point(unit, p).map_err(|e| e.within(corner).within(index).within("rows"))?;
        }
    }
    mirrored(panel.mirror, rows.iter().flatten()).map_err(|e| e.within("rows"))
}

/// What is mirrored is given on the left.
pub(super) fn mirrored<'a>(mirror: bool, mut points: impl Iterator<Item = &'a Vector3<f64>>) -> Checked {
    if !mirror || points.any(|p| p.y > 0.0) {
        return Ok(());
    }
    Err(CarError::new("what is mirrored is given on the left, where y is positive: turn the sign of every y"))
}

pub(super) fn splitter(unit: FileUnit, splitter: &Splitter) -> Checked {
    positive(unit, splitter.thickness, "thickness")?;
    near(unit, splitter.height).map_err(|e| e.within("height"))?;
    once_around(unit, &splitter.outline, "splitter").map_err(|e| e.within("outline"))
}

/// An outline in plan that goes once around.
fn once_around(unit: FileUnit, outline: &[[f64; 2]], kind: &str) -> Checked {
    let count = outline.len();
    if !(3..=MOST_CORNERS).contains(&count) {
        let what = format!("the {kind}'s outline has {count} corners: it takes from 3 to {MOST_CORNERS}");
        return Err(CarError::new(what));
    }
    let here = |e: CarError, index: usize| e.within(index);
    for (index, corner) in outline.iter().enumerate() {
        for (axis, &mm) in corner.iter().enumerate() {
            near(unit, mm).map_err(|e| here(e.within(axis), index))?;
        }
    }
    let edge = |i: usize| (outline[i], outline[(i + 1) % count]);
    for index in 0..count {
        let (a, b) = edge(index);
        if (a[0] - b[0]).hypot(a[1] - b[1]) < SAME {
            let next = (index + 1) % count;
            let what = format!("corners {} and {} of the {kind} are the same point: remove one", index + 1, next + 1);
            return Err(here(CarError::new(what), next));
        }
        // Neighbouring edges share a corner and so always meet; the last edge is the first one's neighbour.
        for other in index + 2..count - usize::from(index == 0) {
            if cross(edge(index), edge(other)) {
                let what = format!(
                    "the {kind}'s outline crosses itself, behind corners {} and {}: go once around, in order",
                    index + 1,
                    other + 1
                );
                return Err(here(CarError::new(what), other));
            }
        }
    }
    let twice_area: f64 = (0..count).map(edge).map(|(a, b)| a[0] * b[1] - a[1] * b[0]).sum();
    if twice_area.abs() < 2.0 * SAME * SAME {
        return Err(CarError::new(format!("the {kind}'s outline has no area: its corners lie on one line")));
    }
    Ok(())
}

/// Places where ride heights are taken: told apart by name, as parts are.
pub(super) fn datums(unit: FileUnit, datums: &[Datum]) -> Checked {
    let mut taken = BTreeSet::new();
    for (index, datum) in datums.iter().enumerate() {
        let here = |e: CarError| e.within(index).within("datums");
        name(&datum.name, "datum").map_err(|e| here(e.within("name")))?;
        near_point(unit, &datum.at).map_err(|e| here(e.within("at")))?;
        mirrored(datum.mirror, std::iter::once(&datum.at)).map_err(|e| here(e.within("at")))?;
        if let Some(word) = part_names(&datum.name, datum.mirror).into_iter().find(|word| !taken.insert(word.clone())) {
            let what = format!("two datums are called `{word}`: give one of them another name");
            return Err(here(CarError::new(what).within("name")));
        }
    }
    Ok(())
}

pub(super) fn balance(unit: FileUnit, balance: &Balance) -> Checked {
    positive(unit, balance.cg_height, "cg_height")?;
    let Some(share) = balance.brakes_front else { return Ok(()) };
    if (0.0..=1.0).contains(&share) {
        return Ok(());
    }
    Err(CarError::new(format!("`brakes_front` is {share}: it is the front's share, from 0 to 1"))
        .within("brakes_front"))
}

type Corner = [f64; 2];

/// Whether two edges in plan meet.
fn cross((a, b): (Corner, Corner), (c, d): (Corner, Corner)) -> bool {
    let turn = |p: Corner, q: Corner, r: Corner| (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0]);
    let apart = |s: f64, t: f64| s * t > 0.0;
    let overlap = |k: usize| a[k].min(b[k]) <= c[k].max(d[k]) && c[k].min(d[k]) <= a[k].max(b[k]);
    !apart(turn(a, b, c), turn(a, b, d)) && !apart(turn(c, d, a), turn(c, d, b)) && overlap(0) && overlap(1)
}

pub(super) fn sweep(unit: FileUnit, sweep: &Sweep) -> Checked {
    not_negative(unit, sweep.bump, "bump")?;
    not_negative(unit, sweep.droop, "droop")?;
    sweep.rear_bump.map_or(Ok(()), |mm| not_negative(unit, mm, "rear_bump"))?;
    sweep.rear_droop.map_or(Ok(()), |mm| not_negative(unit, mm, "rear_droop"))?;
    within_angle(sweep.roll, 0.0, 20.0, "roll")?;
    within_angle(sweep.pitch, 0.0, 20.0, "pitch")
}

/// The widest gap that can be asked for, mm: pairs that are never within 150 mm are left out of the answers.
pub(super) const MOST_WANTED: f64 = 100.0;

pub(super) fn wanted(unit: FileUnit, wanted: &WantedGaps) -> Checked {
    [
        ("tyre_to_body", wanted.tyre_to_body),
        ("tyre_to_linkage", wanted.tyre_to_linkage),
        ("rim_to_linkage", wanted.rim_to_linkage),
        ("brake_to_rim", wanted.brake_to_rim),
        ("linkage_to_body", wanted.linkage_to_body),
        ("linkage_to_linkage", wanted.linkage_to_linkage),
        ("to_ground", wanted.to_ground),
        ("splitter_to_ground", wanted.splitter_to_ground),
    ]
    .into_iter()
    .try_for_each(|(field, mm)| {
        if (0.0..=MOST_WANTED).contains(&mm) {
            return Ok(());
        }
        let (is, most) = (unit.length(mm), unit.length(MOST_WANTED));
        Err(CarError::new(format!("`{field}` is {is}: a wanted gap is from nothing up to {most}")).within(field))
    })
}
