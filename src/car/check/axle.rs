//! Checks of an axle: points that make a linkage, tubes, wheel and tyre.

use nalgebra::Vector3;

use super::{Checked, SAME, near, near_point, not_negative, positive, wall, within_angle};
use crate::car::axle::{Alignment, Arms, Axle, Damper, PointName, Points, Rack, Side, Tube};
use crate::car::error::CarError;
use crate::car::units::FileUnit;
use crate::car::wheel::{Tyre, Wheel};

/// A lever shorter than this holds nothing, mm.
const LEVER: f64 = 5.0;

pub(super) fn axle(unit: FileUnit, axle: &Axle) -> Checked {
    points(unit, &axle.points, Side::Left).map_err(|e| e.within("points"))?;
    points(unit, &axle.right, Side::Right).map_err(|e| e.within("right"))?;
    for &needed in axle.linkage.needs() {
        if !axle.points.0.contains_key(&needed) {
            let (name, words) = (needed.name(), needed.words());
            let what = format!("the point `{name}` ({words}) is missing: measure it and add `{name}: (x, y, z)`");
            return Err(CarError::new(what).within("points"));
        }
    }
    alignment(&axle.alignment).map_err(|e| e.within("alignment"))?;
    if let Some(right) = &axle.right_alignment {
        alignment(right).map_err(|e| e.within("right_alignment"))?;
    }
    arms(unit, &axle.arms).map_err(|e| e.within("arms"))?;
    if let Some(part) = &axle.damper {
        damper(unit, part).map_err(|e| e.within("damper"))?;
        for needed in [PointName::DamperTop, PointName::DamperBottom] {
            if !axle.points.0.contains_key(&needed) {
                let name = needed.name();
                let what = format!("there is a `damper` but no point `{name}`: add `{name}: (x, y, z)`");
                return Err(CarError::new(what).within("points"));
            }
        }
    }
    rack(unit, &axle.rack).map_err(|e| e.within("rack"))?;
    wheel(unit, &axle.wheel, axle.tyre.size.rim / 2.0).map_err(|e| e.within("wheel"))?;
    tyre(unit, &axle.tyre, &axle.wheel).map_err(|e| e.within("tyre"))?;
    Side::BOTH.into_iter().try_for_each(|side| corner(axle, side))?;
    let inner = Side::BOTH.map(|side| axle.point(side, PointName::TieRodInner));
    if let [Some(left), Some(right)] = inner
        && left.y - right.y < LEVER
    {
        let what = "the rack's left end is not to the left of its right end: check both `tie_rod_inner`";
        return Err(CarError::new(what).within("tie_rod_inner").within("points"));
    }
    Ok(())
}

fn points(unit: FileUnit, points: &Points, side: Side) -> Checked {
    use PointName::{LowerBallJoint, TieRodOuter, UpperBallJoint, WheelCentre};
    for (&name, at) in &points.0 {
        near_point(unit, at).map_err(|e| e.within(name.name()))?;
        let outboard = matches!(name, LowerBallJoint | TieRodOuter | UpperBallJoint | WheelCentre);
        if outboard && at.y * side.sign() <= 0.0 {
            let (words, y) = (name.words(), unit.length(at.y));
            let what = match side {
                Side::Left => format!(
                    "the {words} lies at y = {y}, not on the left: `points` are the left side's, and y is positive to \
                     the left"
                ),
                Side::Right => format!(
                    "the {words} lies at y = {y}, not on the right: `right` holds the right side's points, and y is \
                     negative to the right"
                ),
            };
            return Err(CarError::new(what).within(name.name()));
        }
    }
    Ok(())
}

/// A linkage that could be bolted together.
fn corner(axle: &Axle, side: Side) -> Checked {
    use PointName::{
        DamperBottom, DamperTop, LowerBallJoint, LowerFront, LowerRear, TieRodInner, TieRodOuter, UpperBallJoint,
        UpperFront, UpperRear, WheelCentre,
    };
    let at = |name| axle.point(side, name).unwrap_or_default();
    // Of the points that do not go together, one that was measured on this side is likelier to be wrong.
    let fault = |names: &[PointName], what: String| {
        let own = names.iter().find(|n| side == Side::Right && axle.right.0.contains_key(n));
        let (list, name) = own.map_or(("points", names[0]), |&name| ("right", name));
        Err(CarError::new(format!("{what}, on the {}", side.word())).within(name.name()).within(list))
    };
    let arms = [("lower", LowerFront, LowerRear, LowerBallJoint), ("upper", UpperFront, UpperRear, UpperBallJoint)];
    for (word, front, rear, joint) in arms {
        if (at(front) - at(rear)).norm() < SAME {
            return fault(
                &[rear, front],
                format!("both pickups of the {word} arm are the same point: measure the other one"),
            );
        }
        if off_line(at(front), at(rear), at(joint)) < LEVER {
            let what =
                format!("the {word} ball joint lies on the line through its arm's own pickups: measure it again");
            return fault(&[joint, front, rear], what);
        }
    }
    if at(UpperBallJoint).z - at(LowerBallJoint).z < LEVER {
        return fault(
            &[UpperBallJoint, LowerBallJoint],
            "the upper ball joint is not above the lower one: check both heights".into(),
        );
    }
    if (at(TieRodInner) - at(TieRodOuter)).norm() < LEVER {
        return fault(
            &[TieRodOuter, TieRodInner],
            "the tie rod has no length: its two joints are the same point".into(),
        );
    }
    if off_line(at(LowerBallJoint), at(UpperBallJoint), at(TieRodOuter)) < LEVER {
        let what = "the tie rod's outer joint lies on the steering axis, so it cannot steer: measure it again";
        return fault(&[TieRodOuter, LowerBallJoint, UpperBallJoint], what.into());
    }
    for joint in [LowerBallJoint, UpperBallJoint, TieRodOuter] {
        if (at(WheelCentre) - at(joint)).norm() < SAME {
            return fault(
                &[WheelCentre, joint],
                format!("the wheel centre and the {} are the same point", joint.words()),
            );
        }
    }
    if axle.damper.is_some() && (at(DamperTop) - at(DamperBottom)).norm() < LEVER {
        return fault(&[DamperBottom, DamperTop], "the damper has no length: its two mounts are the same point".into());
    }
    Ok(())
}

/// Distance of `p` from the line through `a` and `b`, mm.
fn off_line(a: Vector3<f64>, b: Vector3<f64>, p: Vector3<f64>) -> f64 {
    let along = (b - a).normalize();
    (p - a).cross(&along).norm()
}

fn alignment(alignment: &Alignment) -> Checked {
    within_angle(alignment.camber, -30.0, 30.0, "camber")?;
    within_angle(alignment.toe, -30.0, 30.0, "toe")
}

fn arms(unit: FileUnit, arms: &Arms) -> Checked {
    for (field, part) in [("lower", arms.lower), ("upper", arms.upper), ("tie_rod", arms.tie_rod)] {
        tube(unit, part).map_err(|e| e.within(field))?;
    }
    positive(unit, arms.joint, "joint")
}

fn tube(unit: FileUnit, tube: Tube) -> Checked {
    positive(unit, tube.od, "od")?;
    tube.wall.map_or(Ok(()), |mm| wall(unit, mm, tube.od))
}

fn damper(unit: FileUnit, damper: &Damper) -> Checked {
    positive(unit, damper.diameter, "diameter")
}

fn rack(unit: FileUnit, rack: &Rack) -> Checked {
    positive(unit, rack.travel, "travel")?;
    rack.per_turn.map_or(Ok(()), |mm| positive(unit, mm, "per_turn"))
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
