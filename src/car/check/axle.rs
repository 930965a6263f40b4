//! Checks of an axle: its points, tubes, steering, wheel and tyre.

use super::look::Look;
use super::{Checked, corner, fittings, near, not_negative, points, positive, steering, stiff, wall, within_angle};
use crate::car::axle::{Alignment, Arms, Axle, AxleName, Doubt, Side, Tube};
use crate::car::error::CarError;
use crate::car::units::FileUnit;
use crate::car::wheel::{Tyre, Wheel};

/// Points that are known no better than this are not measured, mm.
const MOST_DOUBT: f64 = 50.0;

pub(super) fn axle(unit: FileUnit, axle: &Axle, name: AxleName) -> Checked {
    steering::steering(unit, axle, name)?;
    fittings::fittings(unit, axle)?;
    points::points(unit, axle)?;
    doubt(unit, axle).map_err(|e| e.within("doubt"))?;
    alignment(&axle.alignment).map_err(|e| e.within("alignment"))?;
    if let Some(right) = &axle.right_alignment {
        alignment(right).map_err(|e| e.within("right_alignment"))?;
    }
    arms(unit, &axle.arms).map_err(|e| e.within("arms"))?;
    wheel(unit, &axle.wheel, axle.tyre.size.rim / 2.0).map_err(|e| e.within("wheel"))?;
    tyre(unit, &axle.tyre, &axle.wheel).map_err(|e| e.within("tyre"))?;
    for side in Side::BOTH {
        let look = Look { axle, side };
        corner::corner(look)?;
        fittings::mounted(look)?;
    }
    if axle.linkage.is_stiff() {
        stiff::stiff(axle)?;
    }
    steering::mounted(axle)
}

fn doubt(unit: FileUnit, axle: &Axle) -> Checked {
    let Doubt { points, of, alignment } = &axle.doubt;
    let check = |mm: f64, field: &str| {
        if (0.0..MOST_DOUBT).contains(&mm) {
            return Ok(());
        }
        let (is, most) = (unit.length(mm), unit.length(MOST_DOUBT));
        Err(CarError::new(format!("`{field}` is {is}: a doubt is from nothing to less than {most}")).within(field))
    };
    check(*points, "points")?;
    for (name, mm) in of {
        let here = |e: CarError| e.within("of");
        check(*mm, name.name()).map_err(here)?;
        if !axle.has(*name) {
            let what = format!("the axle has no point `{}` to doubt: take it out, or measure the point", name.name());
            return Err(here(CarError::new(what).within(name.name())));
        }
    }
    within_angle(*alignment, 0.0, 10.0, "alignment")
}

fn alignment(alignment: &Alignment) -> Checked {
    within_angle(alignment.camber, -30.0, 30.0, "camber")?;
    within_angle(alignment.toe, -30.0, 30.0, "toe")
}

fn arms(unit: FileUnit, arms: &Arms) -> Checked {
    let tubes = [("lower", arms.lower), ("upper", arms.upper()), ("tie_rod", arms.tie_rod()), ("axle", arms.axle)];
    let shaft = arms.shaft.map(|shaft| ("shaft", shaft));
    tubes.into_iter().chain(shaft).try_for_each(|(field, part)| tube(unit, part).map_err(|e| e.within(field)))?;
    positive(unit, arms.joint, "joint")?;
    arms.joint_swing.map_or(Ok(()), |swing| within_angle(swing, 1.0, 90.0, "joint_swing"))
}

pub(super) fn tube(unit: FileUnit, tube: Tube) -> Checked {
    positive(unit, tube.od, "od")?;
    tube.wall.map_or(Ok(()), |mm| wall(unit, mm, tube.od))
}

fn wheel(unit: FileUnit, wheel: &Wheel, rim_radius: f64) -> Checked {
    positive(unit, wheel.width, "width")?;
    near(unit, wheel.offset).map_err(|e| e.within("offset"))?;
    not_negative(unit, wheel.spacer, "spacer")?;
    not_negative(unit, wheel.centre, "centre")?;
    not_negative(unit, wheel.barrel, "barrel")?;
    if wheel.barrel < rim_radius {
        return Ok(());
    }
    let what = format!("`barrel` is {}, which fills the whole rim: make it less", unit.length(wheel.barrel));
    Err(CarError::new(what).within("barrel"))
}

fn tyre(unit: FileUnit, tyre: &Tyre, wheel: &Wheel) -> Checked {
    for (field, measured) in [
        ("overall_diameter", tyre.overall_diameter),
        ("section_width", tyre.section_width),
        ("tread_width", tyre.tread_width),
        ("shoulder_radius", tyre.shoulder_radius),
        ("loaded_radius", tyre.loaded_radius),
    ] {
        measured.map_or(Ok(()), |mm| positive(unit, mm, field))?;
    }
    let t = tyre.mounted(wheel);
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
