//! Checks of what turns the wheels: a rack, a steering box, or nothing.

use super::look::{LEVER, Look, off_line};
use super::points::spoken;
use super::{Checked, positive, within_angle};
use crate::car::axle::{Axle, AxleName, Linkage, PointName, Rack, Side, SteeringBox, shaft_axis};
use crate::car::error::CarError;
use crate::car::units::FileUnit;

use PointName::{IdlerEnd, IdlerShaft, IdlerShaftTop, PitmanEnd, PitmanShaft, PitmanShaftTop, TieRodInner};

/// Least turn of a pitman arm to its stop, and most, degrees: beyond it the arm would go over centre.
const LOCK: [f64; 2] = [1.0, 80.0];

pub(super) fn steering(unit: FileUnit, axle: &Axle, name: AxleName) -> Checked {
    let stuck = axle.linkage.is_stiff() || axle.linkage == Linkage::TrailingArm;
    let here = spoken(axle.linkage);
    if stuck && name == AxleName::Front {
        let what = format!(
            "wheels on {here} cannot steer, and the front ones have to: use `wishbone`, `strut` or `five_link`"
        );
        return Err(CarError::new(what).within("linkage"));
    }
    let group = match (&axle.rack, &axle.steering_box) {
        (Some(_), Some(_)) => {
            let what = "a `rack` and a `steering_box` are both given: keep the one that the car has";
            return Err(CarError::new(what).within("steering_box"));
        }
        (Some(rack), None) => self::rack(unit, rack).map(|()| "rack").map_err(|e| e.within("rack"))?,
        (None, Some(part)) => steering_box(part).map(|()| "steering_box").map_err(|e| e.within("steering_box"))?,
        (None, None) if name == AxleName::Rear => return Ok(()),
        (None, None) => {
            let what = "nothing steers the front wheels: add `rack: (travel: ...)` or `steering_box: (lock: ...)`";
            return Err(CarError::new(what));
        }
    };
    if stuck {
        let what = format!("wheels on {here} cannot steer: take `{group}` and its points out");
        return Err(CarError::new(what).within(group));
    }
    Ok(())
}

fn rack(unit: FileUnit, rack: &Rack) -> Checked {
    positive(unit, rack.travel, "travel")?;
    rack.per_turn.map_or(Ok(()), |mm| positive(unit, mm, "per_turn"))
}

fn steering_box(part: &SteeringBox) -> Checked {
    within_angle(part.lock, LOCK[0], LOCK[1], "lock")?;
    match part.ratio {
        Some(ratio) if !(ratio.is_finite() && ratio > 0.0) => {
            let what = format!("`ratio` is {ratio}: it is turns of the steering wheel for one turn of the pitman arm");
            Err(CarError::new(what).within("ratio"))
        }
        _ => Ok(()),
    }
}

/// How the steering's points lie to each other.
pub(super) fn mounted(axle: &Axle) -> Checked {
    let look = Look { axle, side: Side::Left };
    if axle.steering_box.is_some() {
        for (word, shaft, top, end) in
            [("pitman", PitmanShaft, PitmanShaftTop, PitmanEnd), ("idler", IdlerShaft, IdlerShaftTop, IdlerEnd)]
        {
            if axle.has(top) {
                let what = format!("both points of the {word} shaft are the same point: measure another one on it");
                look.apart([top, shaft], LEVER, what)?;
            }
            let axis = shaft_axis(look.at(shaft), axle.middle.0.get(&top).copied());
            if off_line(look.at(shaft), look.at(shaft) + axis, look.at(end)) < LEVER {
                let what =
                    format!("the {word} arm's end lies on its shaft's axis, so it moves nothing: measure it again");
                return Err(look.fault(&[end, shaft], what));
            }
        }
        let what = "the pitman arm and the idler arm end in the same point: measure one again";
        look.apart([IdlerEnd, PitmanEnd], LEVER, what)?;
    }
    let word = match (axle.rack, axle.steering_box) {
        (Some(_), _) => "rack",
        (_, Some(_)) => "centre link",
        _ => return Ok(()),
    };
    let inner = Side::BOTH.map(|side| axle.point(side, TieRodInner));
    if let [Some(left), Some(right)] = inner
        && left.y - right.y < LEVER
    {
        let what = format!("the {word}'s left end is not to the left of its right end: check both `tie_rod_inner`");
        return Err(CarError::new(what).within("tie_rod_inner").within("points"));
    }
    Ok(())
}
