//! Which points an axle needs, which it can do nothing with, and on which side or in the middle each belongs.

use super::{Checked, near_point};
use crate::car::axle::{Axle, Linkage, MountedOn, PointName, Points, Side};
use crate::car::error::CarError;
use crate::car::units::FileUnit;

use PointName::{
    ArmOuter, BarLever, BarPivot, CentrePivot, CrankLower, CrankUpper, DamperBottom, DamperTop, DropLinkOuter,
    IdlerEnd, IdlerShaft, LateralRodAxle, LateralRodBody, LowerBallJoint, LowerFrontOuter, LowerLinkAxle,
    LowerRearOuter, LowerRodBody, PitmanEnd, PitmanShaft, PushRodInner, PushRodOuter, RockerAxis, RockerPivot,
    ShaftInner, SpringBottom, SpringTop, TieRodOuter, UpperBallJoint, UpperFrontOuter, UpperLinkAxle, UpperLinkBody,
    UpperRearOuter, UpperRodBody, WheelCentre,
};

const DAMPER: &[PointName] = &[DamperTop, DamperBottom];
const SPRING: &[PointName] = &[SpringTop, SpringBottom];
const ROCKER: &[PointName] = &[PushRodOuter, PushRodInner, RockerPivot, RockerAxis];
const BAR: &[PointName] = &[BarPivot, BarLever, DropLinkOuter];
const BOX: &[PointName] = &[PitmanShaft, PitmanEnd, IdlerShaft, IdlerEnd];
const UPPER_LINK: &[PointName] = &[UpperLinkBody, UpperLinkAxle];
const LATERAL_ROD: &[PointName] = &[LateralRodBody, LateralRodAxle];
const CENTRE_PIVOT: &[PointName] = &[CentrePivot, CrankUpper, CrankLower, UpperRodBody, LowerRodBody];
/// Points that lie on their own side of the car.
const OUTBOARD: &[PointName] = &[
    LowerBallJoint,
    UpperBallJoint,
    LowerFrontOuter,
    LowerRearOuter,
    UpperFrontOuter,
    UpperRearOuter,
    TieRodOuter,
    ArmOuter,
    LowerLinkAxle,
    PushRodOuter,
    DropLinkOuter,
    WheelCentre,
];

pub(super) fn points(unit: FileUnit, axle: &Axle) -> Checked {
    for (list, points) in [("points", &axle.points), ("right", &axle.right), ("middle", &axle.middle)] {
        each(unit, axle, list, points).map_err(|e| e.within(list))?;
    }
    needed(axle)
}

/// Each point of a list by itself.
fn each(unit: FileUnit, axle: &Axle, list: &str, points: &Points) -> Checked {
    for (&name, at) in &points.0 {
        near_point(unit, at).map_err(|e| e.within(name.name()))?;
        let what = no_part(axle, name).or_else(|| misplaced(axle, list, name)).or_else(|| match list {
            "points" => wrong_side(unit, Side::Left, name, at.y),
            "right" => wrong_side(unit, Side::Right, name, at.y),
            _ => None,
        });
        if let Some(what) = what {
            return Err(CarError::new(what).within(name.name()));
        }
    }
    Ok(())
}

/// What is wrong with a point that nothing on this axle makes use of.
fn no_part(axle: &Axle, name: PointName) -> Option<String> {
    let linkage = axle.linkage;
    let lacking = |there: bool, group: &str| {
        let what = format!("`{}` is given, but no `{group}`: add `{group}: (...)`, or take the point out", name.name());
        (!there).then_some(what)
    };
    if DAMPER.contains(&name) && linkage != Linkage::Strut {
        return lacking(axle.damper.is_some(), "damper");
    } else if SPRING.contains(&name) {
        let what = format!(
            "`{}` is given, but no spring that stands apart from the damper: add `spring: (rate: ..., on: ..., diameter: ...)`, \
             or take the point out",
            name.name()
        );
        return axle.spring_apart().is_none().then_some(what);
    } else if ROCKER.contains(&name) {
        return lacking(axle.rocker.is_some(), "rocker");
    } else if BAR.contains(&name) {
        return lacking(axle.bar.is_some(), "bar");
    } else if name == ShaftInner {
        if linkage == Linkage::LiveAxle {
            return Some("a live axle's shafts turn within its tube: take `shaft_inner` out".to_string());
        }
        let what = "`shaft_inner` is given, but no driveshaft: add `shaft: (od: ...)` to `arms`, or take the point out";
        return axle.arms.shaft.is_none().then(|| what.to_string());
    } else if name.is_steering_box() {
        return lacking(axle.steering_box.is_some(), "steering_box");
    }
    let choice = [UPPER_LINK, LATERAL_ROD, CENTRE_PIVOT].iter().any(|set| set.contains(&name));
    if linkage.needs().contains(&name) || linkage.is_stiff() && choice {
        return None;
    }
    Some(format!("`{}` has no part in {}: take it out", name.name(), spoken(linkage)))
}

/// What is wrong with a point in a list where it does not belong.
fn misplaced(axle: &Axle, list: &str, name: PointName) -> Option<String> {
    let (point, words) = (name.name(), name.words());
    if list == "middle" {
        if name.is_upper_link() && axle.points.0.contains_key(&name) {
            return Some(format!("`{point}` is given in `points` too: keep it there for two links, or here for one"));
        }
        let sided = !name.is_single() && !name.is_upper_link();
        return sided.then(|| format!("there is a {words} on each side: give the left one in `points`"));
    }
    if name.is_single() {
        return Some(format!("there is one {words}, and not one a side: give `{point}` in `middle`"));
    }
    let alone = list == "right" && !axle.points.0.contains_key(&name);
    alone.then(|| format!("`{point}` is given on the right alone: give the left one in `points`"))
}

fn wrong_side(unit: FileUnit, side: Side, name: PointName, y: f64) -> Option<String> {
    if !OUTBOARD.contains(&name) || y * side.sign() > 0.0 {
        return None;
    }
    let (words, y) = (name.words(), unit.length(y));
    Some(match side {
        Side::Left => format!(
            "the {words} lies at y = {y}, not on the left: `points` are the left side's, and y is positive to the left"
        ),
        Side::Right => format!(
            "the {words} lies at y = {y}, not on the right: `right` holds the right side's points, and y is negative \
             to the right"
        ),
    })
}

/// Every point without which a part of the axle is not described.
fn needed(axle: &Axle) -> Checked {
    for &name in axle.linkage.needs() {
        if !axle.has(name) {
            let (point, words) = (name.name(), name.words());
            let what = format!("the point `{point}` ({words}) is missing: measure it and add `{point}: (x, y, z)`");
            return Err(CarError::new(what).within("points"));
        }
    }
    let on_rocker = axle.damper.is_some_and(|damper| damper.on == MountedOn::Rocker);
    if on_rocker && axle.rocker.is_none() {
        let what =
            "the damper is on a rocker, but no `rocker` is described: add `rocker: (on: ..., push_rod: (od: ...))`";
        return Err(CarError::new(what).within("on").within("damper"));
    }
    for (there, group, names) in [
        (axle.damper.is_some(), "damper", DAMPER),
        (axle.spring_apart().is_some(), "spring", SPRING),
        (axle.rocker.is_some(), "rocker", ROCKER),
        (axle.bar.is_some(), "bar", BAR),
        (axle.steering_box.is_some(), "steering_box", BOX),
        (axle.arms.shaft.is_some(), "shaft", &[ShaftInner]),
    ] {
        let lacking = names.iter().find(|&&name| there && !axle.has(name));
        lacking.map_or(Ok(()), |&name| Err(missing(axle, name, &format!("there is a `{group}`"))))?;
    }
    for (given, names) in [
        ("an end of an upper link is given", UPPER_LINK),
        ("an end of a lateral rod is given", LATERAL_ROD),
        ("a part of a centre-pivot linkage is given", CENTRE_PIVOT),
    ] {
        let lacking = names.iter().find(|&&name| names.iter().any(|&n| axle.has(n)) && !axle.has(name));
        lacking.map_or(Ok(()), |&name| Err(missing(axle, name, given)))?;
    }
    Ok(())
}

fn missing(axle: &Axle, name: PointName, given: &str) -> CarError {
    let (point, words) = (name.name(), name.words());
    let (list, at) = if axle.in_middle(name) { ("middle", " to `middle`") } else { ("points", "") };
    CarError::new(format!("{given} but no point `{point}` ({words}): add `{point}: (x, y, z)`{at}")).within(list)
}

/// A linkage in a sentence.
pub(super) fn spoken(linkage: Linkage) -> String {
    format!("{}{}", if linkage.is_stiff() { "a " } else { "" }, linkage.words())
}
