//! Checks of springs, dampers, rockers and anti-roll bars.

use super::axle::tube;
use super::look::{LEVER, Look, off_line};
use super::points::spoken;
use super::{Checked, positive, within_angle};
use crate::car::axle::{Axle, Blade, BladeSection, Damper, Linkage, MountedOn, PointName, Side, Spring};
use crate::car::error::CarError;
use crate::car::units::FileUnit;

use MountedOn::{LowerArm, Rocker, UpperArm, Upright};
use PointName::{
    BarLever, BarPivot, DamperBottom, DamperTop, DropLinkOuter, PushRodInner, PushRodOuter, RockerAxis, RockerPivot,
    SpringBottom, SpringTop,
};

/// The moving parts that can carry a push rod's or drop link's joint.
fn carriers(linkage: Linkage) -> &'static [MountedOn] {
    match linkage {
        Linkage::Wishbone => &[LowerArm, UpperArm, Upright],
        Linkage::Strut => &[LowerArm, Upright],
        Linkage::FiveLink | Linkage::TrailingArm | Linkage::LiveAxle | Linkage::DeDion => &[Upright],
    }
}

/// The moving parts that can carry a damper's lower mount.
fn damper_carriers(linkage: Linkage) -> &'static [MountedOn] {
    match linkage {
        Linkage::Wishbone => &[LowerArm, UpperArm, Upright, Rocker],
        Linkage::FiveLink => &[Upright, Rocker],
        Linkage::Strut | Linkage::TrailingArm | Linkage::LiveAxle | Linkage::DeDion => &[Upright],
    }
}

pub(super) fn fittings(unit: FileUnit, axle: &Axle) -> Checked {
    let linkage = axle.linkage;
    if let Some(part) = &axle.damper {
        on(linkage, part.on, damper_carriers(linkage), "damper")
            .and_then(|()| damper(unit, part))
            .map_err(|e| e.within("damper"))?;
    }
    if let Some(part) = &axle.spring {
        spring(unit, axle, part).map_err(|e| e.within("spring"))?;
    }
    if let Some(mass) = axle.unsprung.filter(|mass| !UNSPRUNG.contains(mass)) {
        let what = format!("`unsprung` is {mass} kg: both sides of an axle together have from 5 to 1000 kg");
        return Err(CarError::new(what).within("unsprung"));
    }
    if let Some(part) = &axle.rocker {
        if !damper_carriers(linkage).contains(&Rocker) {
            let what = format!("{} take no rocker here: take `rocker` and its points out", plural(linkage));
            return Err(CarError::new(what).within("rocker"));
        }
        on(linkage, part.on, carriers(linkage), "push rod")
            .and_then(|()| tube(unit, part.push_rod).map_err(|e| e.within("push_rod")))
            .map_err(|e| e.within("rocker"))?;
    }
    if let Some(part) = &axle.bar {
        // A drop link can hang on a rocker where there is one.
        let carriers = if axle.rocker.is_some() { damper_carriers(linkage) } else { carriers(linkage) };
        on(linkage, part.on, carriers, "drop link")
            .and_then(|()| tube(unit, part.tube).map_err(|e| e.within("tube")))
            .and_then(|()| part.link.map_or(Ok(()), |link| tube(unit, link)).map_err(|e| e.within("link")))
            .and_then(|()| part.blade.map_or(Ok(()), |part| blade(unit, part)).map_err(|e| e.within("blade")))
            .map_err(|e| e.within("bar"))?;
    }
    Ok(())
}

fn on(linkage: Linkage, on: MountedOn, carriers: &[MountedOn], what: &str) -> Checked {
    if carriers.contains(&on) {
        return Ok(());
    }
    let words: Vec<String> = carriers.iter().map(|&on| format!("`{}`", word(linkage, on))).collect();
    let (here, use_) = (spoken(linkage), words.join(" or "));
    let what = format!("with {here} a {what} cannot be mounted on `{}`: use {use_}", word(linkage, on));
    Err(CarError::new(what).within("on"))
}

/// A moving part as the car file writes it.
fn word(linkage: Linkage, on: MountedOn) -> &'static str {
    match on {
        LowerArm => "lower_arm",
        UpperArm => "upper_arm",
        Upright if linkage == Linkage::TrailingArm => "trailing_arm",
        Upright if linkage.is_stiff() => "axle",
        Upright => "upright",
        Rocker => "rocker",
    }
}

fn plural(linkage: Linkage) -> String {
    format!("{}{}", linkage.words(), if linkage.is_stiff() { "s" } else { "" })
}

fn damper(unit: FileUnit, damper: &Damper) -> Checked {
    positive(unit, damper.diameter, "diameter")?;
    damper.open.map_or(Ok(()), |mm| positive(unit, mm, "open"))?;
    damper.closed.map_or(Ok(()), |mm| positive(unit, mm, "closed"))?;
    match (damper.open, damper.closed) {
        (Some(open), Some(closed)) if open <= closed => {
            let (open, closed) = (unit.length(open), unit.length(closed));
            let what = format!("the damper is {open} open and {closed} closed: it must be longer open than closed");
            Err(CarError::new(what).within("open"))
        }
        _ => Ok(()),
    }
}

/// A rate that a car's springs could have, N/mm.
const SOFTEST: f64 = 0.1;
const STIFFEST: f64 = 10_000.0;
/// What of an axle can hang below its springs, kg.
const UNSPRUNG: std::ops::RangeInclusive<f64> = 5.0..=1000.0;

/// A rate that is one of a car's.
pub(super) fn rate(rate: f64, field: &str) -> Checked {
    if (SOFTEST..=STIFFEST).contains(&rate) {
        return Ok(());
    }
    let what = format!("`{field}` is {rate} N/mm: it is from {SOFTEST} to {STIFFEST} N/mm (bare rates are N/mm)");
    Err(CarError::new(what).within(field))
}

fn spring(unit: FileUnit, axle: &Axle, spring: &Spring) -> Checked {
    rate(spring.rate, "rate")?;
    match (spring.on, spring.diameter) {
        (Some(part), Some(diameter)) => {
            on(axle.linkage, part, carriers(axle.linkage), "spring")?;
            positive(unit, diameter, "diameter")
        }
        (Some(_), None) => {
            let what = "a spring that stands apart from the damper needs the `diameter` of its coils: add it";
            Err(CarError::new(what))
        }
        (None, Some(_)) => {
            let what = "a spring around the damper has its diameter in `damper`: take this out, or say what the spring \
                        stands `on` apart from the damper";
            Err(CarError::new(what).within("diameter"))
        }
        (None, None) if axle.damper.is_none() && axle.linkage != Linkage::Strut => {
            let what = "the spring stands around a damper, and there is none: describe the `damper`, or say what the \
                        spring stands `on` apart from it";
            Err(CarError::new(what))
        }
        (None, None) => Ok(()),
    }
}

fn blade(unit: FileUnit, blade: Blade) -> Checked {
    let section = match blade {
        Blade::Stiffness(rate) if rate.is_finite() && rate > 0.0 => return Ok(()),
        Blade::Stiffness(rate) => {
            let what = format!("`blade` is {rate} N/mm: it must be more than nothing, or left out for a rigid lever");
            return Err(CarError::new(what));
        }
        Blade::Section(section) => section,
    };
    let BladeSection { width, tip_width, thickness, length, angle } = section;
    for (mm, field) in
        [(width, "width"), (thickness, "thickness"), (length, "length"), (tip_width.unwrap_or(width), "tip_width")]
    {
        positive(unit, mm, field)?;
    }
    if thickness > width {
        let what = "the blade is thicker than wide: `width` is across its wide faces, `thickness` between them";
        return Err(CarError::new(what).within("thickness"));
    }
    if tip_width.is_some_and(|tip| tip > width || tip < width / 10.0) {
        let [from, to] = [width / 10.0, width].map(|mm| unit.length(mm));
        return Err(
            CarError::new(format!("`tip_width` is from {from} to {to}, as wide as the blade")).within("tip_width")
        );
    }
    within_angle(angle, 0.0, 90.0, "angle")
}

/// That one side's fittings could be bolted together. A strut's own points are looked at with its linkage.
pub(super) fn mounted(look: Look) -> Checked {
    let axle = look.axle;
    if axle.damper.is_some() {
        look.apart([DamperBottom, DamperTop], LEVER, "the damper has no length: its two mounts are the same point")?;
    }
    if axle.spring_apart().is_some() {
        look.apart([SpringBottom, SpringTop], LEVER, "the spring has no length: its two seats are the same point")?;
    }
    if axle.rocker.is_some() {
        let what = "both points of the rocker's axis are the same point: measure another one on it";
        look.apart([RockerAxis, RockerPivot], LEVER, what)?;
        look.apart(
            [PushRodOuter, PushRodInner],
            LEVER,
            "the push rod has no length: its two joints are the same point",
        )?;
        let what = "the push rod meets the rocker on its axis, so it cannot turn it: measure it again";
        look.off_line([PushRodInner, RockerPivot, RockerAxis], what)?;
    }
    if axle.rocker.is_some() && axle.damper.is_some_and(|damper| damper.on == Rocker) {
        let what = "the damper meets the rocker on its axis, so it is never moved: measure its lower mount again";
        look.off_line([DamperBottom, RockerPivot, RockerAxis], what)?;
    }
    if axle.bar.is_some() {
        let pivots = Side::BOTH.map(|side| axle.point(side, BarPivot).unwrap_or_default());
        if pivots[0].y - pivots[1].y < LEVER {
            let what = "the bar's left end is not to the left of its right end: check both `bar_pivot`";
            return Err(look.fault(&[BarPivot], what));
        }
        if off_line(pivots[0], pivots[1], look.at(BarLever)) < LEVER {
            let what = "the lever's end lies on the bar's axis, so it cannot twist the bar: measure it again";
            return Err(look.fault(&[BarLever, BarPivot], what));
        }
        look.apart([DropLinkOuter, BarLever], LEVER, "the drop link has no length: its two joints are the same point")?;
    }
    Ok(())
}
