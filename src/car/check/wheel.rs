//! Checks of wheels, tyres, brakes and hubs.

use super::{Checked, near, not_negative, positive, within_angle};
use crate::car::brake::{Brake, Caliper, HubFace};
use crate::car::error::CarError;
use crate::car::units::FileUnit;
use crate::car::wheel::{Drilling, Spokes, Tyre, Wheel};

/// A tyre that grows by more than this, or leans over by more, is a slip of the pen, mm.
const MOST_GIVE: f64 = 50.0;
/// Studs of a hub.
const STUDS: [u32; 2] = [3, 12];

pub(super) fn wheel(unit: FileUnit, wheel: &Wheel, rim_radius: f64) -> Checked {
    positive(unit, wheel.width, "width")?;
    near(unit, wheel.offset).map_err(|e| e.within("offset"))?;
    not_negative(unit, wheel.spacer, "spacer")?;
    not_negative(unit, wheel.centre, "centre")?;
    not_negative(unit, wheel.barrel, "barrel")?;
    positive(unit, wheel.flange, "flange")?;
    if wheel.barrel >= rim_radius {
        let what = format!("`barrel` is {}, which fills the whole rim: make it less", unit.length(wheel.barrel));
        return Err(CarError::new(what).within("barrel"));
    }
    if let Some(part) = &wheel.spokes {
        spokes(unit, wheel, part, rim_radius - wheel.barrel).map_err(|e| e.within("spokes"))?;
    }
    let Some(Drilling { count, circle, bore }) = wheel.studs else { return Ok(()) };
    drilled(unit, count, circle)
        .and_then(|()| bore.map_or(Ok(()), |mm| within(unit, mm, circle, "bore")))
        .map_err(|e| e.within("studs"))
}

fn spokes(unit: FileUnit, wheel: &Wheel, spokes: &Spokes, barrel: f64) -> Checked {
    not_negative(unit, spokes.back, "back")?;
    spokes.outboard.map_or(Ok(()), |mm| near(unit, mm).map_err(|e| e.within("outboard")))?;
    within(unit, spokes.pad, barrel, "pad")?;
    let back = wheel.offset + spokes.back;
    if wheel.front() > back {
        return Ok(());
    }
    let what = format!(
        "the spokes' front, {} outboard of the rim's middle, is not outboard of their back, {}: check `back`, `outboard` \
         and the wheel's `offset`",
        unit.length(wheel.front()),
        unit.length(back)
    );
    Err(CarError::new(what).within("back"))
}

pub(super) fn brake(unit: FileUnit, brake: &Brake) -> Checked {
    brake.disc.map_or(Ok(()), |mm| positive(unit, mm, "disc"))?;
    brake.caliper.map_or(Ok(()), |part| caliper(unit, &part)).map_err(|e| e.within("caliper"))
}

fn caliper(unit: FileUnit, caliper: &Caliper) -> Checked {
    positive(unit, caliper.radius, "radius")?;
    within(unit, caliper.depth, caliper.radius, "depth")?;
    for (field, mm) in [("inboard", caliper.inboard), ("outboard", caliper.outboard)] {
        near(unit, mm).map_err(|e| e.within(field))?;
    }
    if caliper.outboard <= caliper.inboard {
        let what = "the caliper's outboard side is not outboard of its inboard one: both count from the hub's face, \
                    outboard positive";
        return Err(CarError::new(what).within("outboard"));
    }
    within_angle(caliper.from, -180.0, 360.0, "from")?;
    within_angle(caliper.to, -180.0, 360.0, "to")?;
    let turn = (caliper.to - caliper.from).to_degrees();
    if turn > 0.0 && turn <= 180.0 {
        return Ok(());
    }
    let what = "a caliper takes up half a turn at most, `from` to `to`, counted up from straight ahead";
    Err(CarError::new(what).within("to"))
}

pub(super) fn hub(unit: FileUnit, hub: &HubFace) -> Checked {
    drilled(unit, hub.studs.count, hub.studs.circle).map_err(|e| e.within("studs"))?;
    hub.spigot.map_or(Ok(()), |mm| within(unit, mm, hub.studs.circle, "spigot"))
}

fn drilled(unit: FileUnit, count: u32, circle: f64) -> Checked {
    let [fewest, most] = STUDS;
    if !(fewest..=most).contains(&count) {
        let what = format!("`count` is {count}: wheels are held by {fewest} to {most} studs or bolts");
        return Err(CarError::new(what).within("count"));
    }
    positive(unit, circle, "circle")
}

/// A length that must be there, and leave room inside another.
fn within(unit: FileUnit, mm: f64, most: f64, field: &str) -> Checked {
    positive(unit, mm, field)?;
    if mm < most {
        return Ok(());
    }
    let what = format!("`{field}` is {}: here it must be less than {}", unit.length(mm), unit.length(most));
    Err(CarError::new(what).within(field))
}

pub(super) fn tyre(unit: FileUnit, tyre: &Tyre, wheel: &Wheel) -> Checked {
    for (field, measured) in [
        ("overall_diameter", tyre.overall_diameter),
        ("section_width", tyre.section_width),
        ("tread_width", tyre.tread_width),
        ("shoulder_radius", tyre.shoulder_radius),
        ("loaded_radius", tyre.loaded_radius),
    ] {
        measured.map_or(Ok(()), |mm| positive(unit, mm, field))?;
    }
    tyre.rate.map_or(Ok(()), |rate| super::fittings::rate(rate, "rate"))?;
    let t = tyre.mounted(wheel);
    for (field, mm) in [("growth", t.growth), ("lean", t.lean)] {
        not_negative(unit, mm, field)?;
        if mm > MOST_GIVE {
            let (is, most) = (unit.length(mm), unit.length(MOST_GIVE));
            return Err(CarError::new(format!("`{field}` is {is}: no tyre gives more than {most}")).within(field));
        }
    }
    let say = |mm| unit.length(mm);
    let height = t.radius - t.rim_radius;
    let overhang = (t.section_width - t.tread_width) / 2.0;
    let (field, what) = if height < 20.0 {
        let least = say(2.0 * (t.rim_radius + 20.0));
        ("overall_diameter", format!("a tyre of {} has no sidewall: at least {least} on this rim", say(2.0 * t.radius)))
    } else if t.rim_width >= t.section_width {
        let (rim, section) = (say(t.rim_width), say(t.section_width));
        ("section_width", format!("the rim, {rim}, is wider than the tyre over its sidewalls, {section}: check both"))
    } else if t.tread_width >= t.section_width {
        let section = say(t.section_width);
        ("tread_width", format!("the tread is as wide as the tyre over its sidewalls, {section}: check both"))
    } else if t.shoulder_radius >= overhang || t.shoulder_radius >= height {
        let most = say(overhang.min(height));
        ("shoulder_radius", format!("this shoulder does not fit between tread and sidewall: less than {most} does"))
    } else if t.loaded_radius <= t.rim_radius || t.loaded_radius >= t.radius {
        let (rim, radius) = (say(t.rim_radius), say(t.radius));
        ("loaded_radius", format!("loaded, the tyre stands between its rim, {rim}, and its free radius, {radius}"))
    } else {
        return Ok(());
    };
    Err(CarError::new(what).within(field))
}
