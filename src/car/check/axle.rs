//! Checks of an axle: its points, tubes and steering.

use super::look::Look;
use super::{Checked, corner, fittings, points, positive, steering, stiff, wall, wheel, within_angle};
use crate::car::axle::{Alignment, Arms, Axle, AxleName, Doubt, Side, Tube};
use crate::car::error::CarError;
use crate::car::units::FileUnit;

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
    axle.grade.as_ref().map_or(Ok(()), |grade| super::name(grade, "grade of metal")).map_err(|e| e.within("grade"))?;
    wheel::wheel(unit, &axle.wheel, axle.tyre.size.rim / 2.0).map_err(|e| e.within("wheel"))?;
    wheel::tyre(unit, &axle.tyre, &axle.wheel).map_err(|e| e.within("tyre"))?;
    axle.brake.map_or(Ok(()), |brake| wheel::brake(unit, &brake)).map_err(|e| e.within("brake"))?;
    axle.hub.map_or(Ok(()), |hub| wheel::hub(unit, &hub)).map_err(|e| e.within("hub"))?;
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
    tube.wall.map_or(Ok(()), |mm| wall(unit, mm, tube.od))?;
    tube.bow.map_or(Ok(()), |mm| super::not_negative(unit, mm, "bow"))
}
