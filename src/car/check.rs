//! What cannot be built, or cannot be meant: found before anything is worked out from it.
//!
//! Every check says what is wrong and what to do. The functions know their own fields only; the names around them are
//! added on the way out, see [`CarError`].

use std::collections::{BTreeMap, BTreeSet};

use nalgebra::Vector3;

use super::axle::{PointName, Side};
use super::error::CarError;
use super::units::FileUnit;
use super::{Axle, AxleName, Car};

mod axle;
mod body;
mod brakes;
mod corner;
mod fittings;
mod frame;
mod grade;
mod load_case;
mod look;
mod pairs;
mod points;
mod scan;
mod steering;
mod stiff;
mod wheel;

/// Farther than this from the origin is no part of a car, mm.
const FAR: f64 = 20_000.0;
/// Two points nearer than this are the same point, mm.
const SAME: f64 = 1.0;
/// Each proposal is made whenever the file is read.
const MOST_PROPOSALS: usize = 100;
/// Changes in one proposal, at most.
const MOST_CHANGES: usize = 1000;
/// The splitter's name in a list of parts.
pub(super) const SPLITTER: &str = "splitter";

/// Rear wheels farther than this from where the wheelbase has them are a slip of the tape, mm.
const NEAR_WHEELBASE: f64 = 150.0;

type Checked = Result<(), CarError>;

/// Checks a car as it stands in a file: as found, and with each of its proposals.
pub(super) fn file(car: &Car) -> Checked {
    self::car(car)?;
    wheelbase(car)?;
    if let Some(splitter) = &car.splitter
        && splitter.height < 0.0
    {
        let what = "the splitter is under the ground: `height` is from the ground up to its underside";
        return Err(CarError::new(what).within("height").within("splitter"));
    }
    if car.proposals.len() > MOST_PROPOSALS {
        let what = format!("there are more than {MOST_PROPOSALS} proposals: keep some of them in another file");
        return Err(CarError::new(what).within("proposals"));
    }
    let mut taken = BTreeSet::new();
    let mut cars = vec![Car { proposals: Vec::new(), ..car.clone() }];
    for (index, proposal) in car.proposals.iter().enumerate() {
        let here = |e: CarError, field: &str| e.within(field).within(index).within("proposals");
        name(&proposal.name, "proposal").map_err(|e| here(e, "name"))?;
        if !taken.insert(&proposal.name) {
            let what = format!("two proposals are called `{}`: give one of them another name", proposal.name);
            return Err(here(CarError::new(what), "name"));
        }
        if proposal.changes.len() > MOST_CHANGES {
            let what =
                format!("a proposal has {MOST_CHANGES} changes at most: make some of them part of the car as found");
            return Err(here(CarError::new(what), "changes"));
        }
        cars.push(car.proposed(&proposal.name)?);
    }
    pairs::pairs(car, &cars)
}

/// Checks a car, as found or with a proposal on it.
pub(super) fn car(car: &Car) -> Checked {
    let unit = car.unit;
    grade::own(car)?;
    positive(unit, car.wheelbase, "wheelbase")?;
    near(unit, car.ground).map_err(|e| e.within("ground"))?;
    for (name, part) in car.axles() {
        axle::axle(unit, part, name)
            .and_then(|()| grade::of_axle(car, unit, part))
            .map_err(|e| e.within(name.word()))?;
    }
    body::datums(unit, &car.datums)?;
    car.balance.as_ref().map_or(Ok(()), |balance| body::balance(unit, balance)).map_err(|e| e.within("balance"))?;
    brakes::share_known(car).map_err(|e| e.within("balance"))?;
    car.brakes.as_ref().map_or(Ok(()), |part| brakes::brakes(unit, part)).map_err(|e| e.within("brakes"))?;
    car.weight.as_ref().map_or(Ok(()), load_case::weight).map_err(|e| e.within("weight"))?;
    unsprung(car)?;
    load_case::load_cases(unit, car.rear.is_some(), &car.load_cases).map_err(|e| e.within("load_cases"))?;
    for (index, part) in car.rails.iter().enumerate() {
        body::rail(unit, part).and_then(|()| frame::rail(car, part)).map_err(|e| e.within(index).within("rails"))?;
    }
    for (index, part) in car.panels.iter().enumerate() {
        body::panel(unit, part).map_err(|e| e.within(index).within("panels"))?;
    }
    for (index, part) in car.scans.iter().enumerate() {
        scan::scan(unit, part).map_err(|e| e.within(index).within("scans"))?;
    }
    for (index, part) in car.tubes.iter().enumerate() {
        body::fixed_tube(car, part)
            .and_then(|()| grade::named(car, part.grade.as_ref()))
            .map_err(|e| e.within(index).within("tubes"))?;
    }
    for (index, part) in car.blocks.iter().enumerate() {
        body::block(unit, part).map_err(|e| e.within(index).within("blocks"))?;
    }
    names(car)?;
    frame::nodes(car)?;
    frame::stock(car)?;
    frame::cutting(unit, &car.cutting).map_err(|e| e.within("cutting"))?;
    if let Some(part) = &car.splitter {
        body::splitter(unit, part).map_err(|e| e.within("splitter"))?;
    }
    body::sweep(unit, &car.sweep).map_err(|e| e.within("sweep"))?;
    body::wanted(unit, &car.wanted).map_err(|e| e.within("wanted"))
}

/// What hangs below an axle's springs is less than what the axle stands on.
fn unsprung(car: &Car) -> Checked {
    for (name, axle) in car.axles() {
        let Some((weight, below)) = car.weight.zip(axle.unsprung) else { continue };
        let stands = weight.mass * if name == AxleName::Front { weight.front } else { 1.0 - weight.front };
        if below >= stands {
            let what =
                format!("`unsprung` is {below} kg: by `weight` the axle stands on {stands:.0} kg, springs and all");
            return Err(CarError::new(what).within("unsprung").within(name.word()));
        }
    }
    Ok(())
}

/// The wheels are where the wheelbase says. Only of the car as found, as a proposal may move an axle.
fn wheelbase(car: &Car) -> Checked {
    let Some(rear) = &car.rear else { return Ok(()) };
    let x = |axle: &Axle| Side::BOTH.iter().filter_map(|&s| axle.point(s, PointName::WheelCentre)).map(|p| p.x).sum();
    let (front, rear): (f64, f64) = (x(&car.front), x(rear));
    let between = (front - rear) / 2.0;
    if (between - car.wheelbase).abs() <= NEAR_WHEELBASE {
        return Ok(());
    }
    let (between, wheelbase) = (car.unit.length(between), car.unit.length(car.wheelbase));
    let what = format!(
        "the rear wheel centres lie {between} behind the front ones, and `wheelbase` is {wheelbase}: check both, and \
         that x is positive to the front"
    );
    Err(CarError::new(what).within("wheelbase"))
}

/// A length that must be there.
fn positive(unit: FileUnit, mm: f64, field: &str) -> Checked {
    if mm > 0.0 && mm <= FAR {
        return Ok(());
    }
    let what =
        format!("`{field}` is {}: it must be more than nothing and less than {}", unit.length(mm), unit.length(FAR));
    Err(CarError::new(what).within(field))
}

/// A length that may be nothing.
fn not_negative(unit: FileUnit, mm: f64, field: &str) -> Checked {
    if (0.0..=FAR).contains(&mm) {
        return Ok(());
    }
    let what = format!("`{field}` is {}: it must be from nothing up to {}", unit.length(mm), unit.length(FAR));
    Err(CarError::new(what).within(field))
}

/// A coordinate.
fn near(unit: FileUnit, mm: f64) -> Checked {
    if mm.abs() <= FAR {
        return Ok(());
    }
    let what = format!("{} is farther than any car reaches: check the number and the file's `unit`", unit.length(mm));
    Err(CarError::new(what))
}

fn near_point(unit: FileUnit, p: &Vector3<f64>) -> Checked {
    p.iter().enumerate().try_for_each(|(index, &mm)| near(unit, mm).map_err(|e| e.within(index)))
}

/// Letters of a name: it stands in sentences, in tables and in names of files.
const LONGEST_NAME: usize = 100;

fn name(text: &str, kind: &str) -> Checked {
    if text.trim().is_empty() {
        return Err(CarError::new(format!("a {kind} needs a name: say what the shop calls it")));
    }
    if text.chars().any(char::is_control) || text.trim() != text || text.chars().count() > LONGEST_NAME {
        let what = "a name is one line of at most 100 letters without spaces at its ends: shorten it and keep the rest in a note or comment";
        return Err(CarError::new(what));
    }
    Ok(())
}

/// The names that a rail's or panel's parts go by in the answers.
fn part_names(name: &str, mirror: bool) -> Vec<String> {
    let sides = || Side::BOTH.map(|side| format!("{} {name}", side.word()));
    if mirror { sides().to_vec() } else { vec![name.to_string()] }
}

/// Parts are told apart by name, so no two may have the same, nor a name that a part of a mirrored pair has.
fn names(car: &Car) -> Checked {
    let rails = car.rails.iter().enumerate().map(|(i, r)| ("rails", "rail", i, &r.name, r.mirror));
    let panels = car.panels.iter().enumerate().map(|(i, p)| ("panels", "panel", i, &p.name, p.mirror));
    let scans = car.scans.iter().enumerate().map(|(i, s)| ("scans", "scan", i, &s.name, s.mirror));
    let tubes = car.tubes.iter().enumerate().map(|(i, t)| ("tubes", "tube", i, &t.name, t.mirror));
    let blocks = car.blocks.iter().enumerate().map(|(i, b)| ("blocks", "block", i, &b.name, b.mirror));
    let mut taken = BTreeMap::new();
    for (list, kind, index, own, mirror) in rails.chain(panels).chain(scans).chain(tubes).chain(blocks) {
        let here = |e: CarError| e.within("name").within(index).within(list);
        name(own, kind).map_err(here)?;
        if own == SPLITTER {
            let what = "the name `splitter` is the splitter's own: call this part something else";
            return Err(here(CarError::new(what)));
        }
        let mut used = part_names(own, mirror);
        if mirror {
            used.push(own.clone());
        }
        for word in used {
            if let Some(other) = taken.insert(word.clone(), (list, index))
                && other != (list, index)
            {
                let what = format!("two parts are called `{word}`: give one of them another name");
                return Err(here(CarError::new(what)));
            }
        }
    }
    Ok(())
}

/// An angle within a limit, radians in, degrees said.
fn within_angle(value: f64, low: f64, high: f64, field: &str) -> Checked {
    let degrees = value.to_degrees();
    // The limit itself, written in degrees, may round to just beyond it.
    if (low - 1e-9..=high + 1e-9).contains(&degrees) {
        return Ok(());
    }
    let degrees = (degrees * 1e4).round() / 1e4;
    let what = format!("`{field}` is {degrees} deg: it must be from {low} to {high} deg (bare angles are degrees)");
    Err(CarError::new(what).within(field))
}

/// A wall that leaves a hole in a section which is `across` at its narrowest.
fn wall(unit: FileUnit, mm: f64, across: f64) -> Checked {
    positive(unit, mm, "wall")?;
    if mm < across / 2.0 {
        return Ok(());
    }
    let what = format!(
        "a wall of {} leaves no hole in a section of {}: check both numbers",
        unit.length(mm),
        unit.length(across)
    );
    Err(CarError::new(what).within("wall"))
}
