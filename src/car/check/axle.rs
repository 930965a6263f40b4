//! Checks of an axle: its points, tubes and steering.

use super::look::Look;
use super::{Checked, corner, fittings, points, positive, steering, stiff, wall, wheel, within_angle};
use crate::car::arm::ArmShape;
use crate::car::axle::{Alignment, Arms, Axle, AxleName, Doubt, Linkage, Side, Tube};
use crate::car::error::CarError;
use crate::car::points::PointName;
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
    arm_shapes(unit, axle).map_err(|e| e.within("arms"))?;
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
    let tubes = [("lower", arms.lower()), ("upper", arms.upper()), ("tie_rod", arms.tie_rod()), ("axle", arms.axle)];
    let shaft = arms.shaft.map(|shaft| ("shaft", shaft));
    tubes.into_iter().chain(shaft).try_for_each(|(field, part)| tube(unit, part).map_err(|e| e.within(field)))?;
    positive(unit, arms.joint, "joint")?;
    arms.joint_swing.map_or(Ok(()), |swing| within_angle(swing, 1.0, 90.0, "joint_swing"))
}

/// Of bends, cross tubes and gussets: that the axle has such an arm, and that they lie on it.
fn arm_shapes(unit: FileUnit, axle: &Axle) -> Checked {
    use PointName::{LowerBallJoint, LowerFront, LowerRear, UpperBallJoint, UpperFront, UpperRear};
    let (lower, upper) = match axle.linkage {
        Linkage::Wishbone => (true, true),
        Linkage::Strut => (true, false),
        _ => (false, false),
    };
    let shapes = [
        ("lower_arm", &axle.arms.lower_arm, lower, [LowerFront, LowerRear, LowerBallJoint], axle.arms.lower()),
        ("upper_arm", &axle.arms.upper_arm, upper, [UpperFront, UpperRear, UpperBallJoint], axle.arms.upper()),
    ];
    for (field, shape, is_there, points, tube) in shapes {
        if shape.is_plain() {
            continue;
        }
        if !is_there {
            return Err(CarError::new("this axle has no such arm of two legs: take this out").within(field));
        }
        let [Some(front), Some(rear), Some(joint)] = points.map(|name| axle.point(Side::Left, name)) else { continue };
        let lengths = [front, rear].map(|pickup| (pickup - joint).norm());
        arm_shape(unit, shape, lengths, tube.od).map_err(|e| e.within(field))?;
    }
    Ok(())
}

/// That what an arm has beside straight legs lies on legs of these lengths and this diameter, mm.
fn arm_shape(unit: FileUnit, shape: &ArmShape, lengths: [f64; 2], od: f64) -> Checked {
    let on = |mm: f64, length: f64, field: &str| {
        if mm > 0.0 && mm < length {
            return Ok(());
        }
        let (is, long) = (unit.length(mm), unit.length(length));
        let what =
            format!("`{field}` is {is} from the ball joint, and the leg is {long} long: it lies between its ends");
        Err(CarError::new(what).within(field))
    };
    let shorter = lengths[0].min(lengths[1]);
    for ((field, bend), length) in
        [("front_bend", shape.front_bend), ("rear_bend", shape.rear_bend)].into_iter().zip(lengths)
    {
        let Some(bend) = bend else { continue };
        on(bend.at, length, "at").map_err(|e| e.within(field))?;
        for (mm, name) in [(bend.inward, "inward"), (bend.up, "up")] {
            if mm.abs() > length / 2.0 {
                let what = format!("`{name}` is {}: a leg is bent by less than half its length", unit.length(mm));
                return Err(CarError::new(what).within(name).within(field));
            }
        }
        if shape.gusset.is_some_and(|g| g.reach > bend.at) {
            let what =
                format!("the gusset reaches past the bend, which is {} from the ball joint", unit.length(bend.at));
            return Err(CarError::new(what).within("reach").within("gusset"));
        }
    }
    shape.cross.map_or(Ok(()), |mm| on(mm, shorter, "cross"))?;
    let Some(gusset) = shape.gusset else { return Ok(()) };
    on(gusset.reach, shorter, "reach").map_err(|e| e.within("gusset"))?;
    let within = |e: CarError| e.within("gusset");
    positive(unit, gusset.thickness, "thickness").map_err(within)?;
    if gusset.thickness > od {
        let (is, most) = (unit.length(gusset.thickness), unit.length(od));
        let what = format!("`thickness` is {is}: a gusset is no thicker than the legs that it is welded to, {most}");
        return Err(within(CarError::new(what).within("thickness")));
    }
    Ok(())
}

pub(super) fn tube(unit: FileUnit, tube: Tube) -> Checked {
    positive(unit, tube.od, "od")?;
    tube.wall.map_or(Ok(()), |mm| wall(unit, mm, tube.od))?;
    tube.bow.map_or(Ok(()), |mm| super::not_negative(unit, mm, "bow"))
}
