//! Checks that a stiff axle is held: free to rise and to roll, and in no other way.
//!
//! That takes four things away from it. The lower links take two, an upper link each one, and what holds it sideways
//! one. Two upper links and a lateral rod are one too many, which the links' bushes give way to.

use super::Checked;
use super::look::{LEVER, Look, off_line};
use super::points::spoken;
use crate::car::axle::{Axle, Lateral, PointName, Side};
use crate::car::error::CarError;

use PointName::{
    CentrePivot, CrankLower, CrankUpper, LateralRodAxle, LateralRodBody, LowerLinkAxle, LowerLinkBody, LowerRodBody,
    UpperLinkAxle, UpperLinkBody, UpperRodBody, WheelCentre,
};

/// Links that hold an axle sideways stand at least this far askew to each other in plan, degrees: less, and their
/// bushes give more than they hold (common practice, no source).
const ASKEW: f64 = 10.0;

pub(super) fn stiff(axle: &Axle) -> Checked {
    let its = spoken(axle.linkage);
    if axle.has(LateralRodAxle) && axle.has(CentrePivot) {
        let what = format!("a lateral rod and a centre-pivot linkage both hold {its} sideways: keep one of the two");
        return Err(CarError::new(what).within(LateralRodAxle.name()).within("middle"));
    }
    if !axle.has(UpperLinkAxle) {
        let what = format!(
            "nothing keeps {its} from turning about its lower links: add `upper_link_body` and `upper_link_axle`, to \
             `points` for one a side or to `middle` for a single one"
        );
        return Err(CarError::new(what).within("points"));
    }
    Side::BOTH.into_iter().try_for_each(|side| links(Look { axle, side }))?;
    let left = Look { axle, side: Side::Left };
    match axle.lateral() {
        Lateral::Rod => across(left, "lateral rod", [LateralRodAxle, LateralRodBody]),
        Lateral::CentrePivot => {
            for (word, joint, body) in [("upper", CrankUpper, UpperRodBody), ("lower", CrankLower, LowerRodBody)] {
                let what = format!("the crank's {word} joint lies on its pivot: measure it again");
                left.apart([joint, CentrePivot], LEVER, what)?;
                across(left, &format!("{word} lateral rod"), [joint, body])?;
            }
            left.apart(
                [CrankUpper, CrankLower],
                LEVER,
                "both joints of the crank are the same point: measure one again",
            )
        }
        Lateral::Links if axle.single_upper_link() => {
            let what = format!(
                "nothing holds {its} sideways: three links hold it in three ways and it takes four, so add a lateral \
                 rod (`lateral_rod_body` and `lateral_rod_axle`) or a centre-pivot linkage to `middle`"
            );
            Err(CarError::new(what).within("points"))
        }
        Lateral::Links => Side::BOTH.into_iter().try_for_each(|side| askew(Look { axle, side })),
    }
}

fn links(look: Look) -> Checked {
    for (word, body, end) in [("lower", LowerLinkBody, LowerLinkAxle), ("upper", UpperLinkBody, UpperLinkAxle)] {
        look.apart([end, body], LEVER, format!("the {word} link has no length: its two joints are the same point"))?;
    }
    let lower = Side::BOTH.map(|side| look.axle.point(side, LowerLinkAxle).unwrap_or_default());
    if off_line(lower[0], lower[1], look.at(UpperLinkAxle)) < LEVER {
        let what = "the upper link meets the axle in line with the lower ones, so it keeps it from turning by nothing: \
                    measure it again";
        return Err(look.fault(&[UpperLinkAxle, LowerLinkAxle], what));
    }
    let what = "the wheel centre and the lower link's axle end are the same point";
    look.apart([WheelCentre, LowerLinkAxle], super::SAME, what)
}

/// A rod that holds sideways has to lie across.
fn across(look: Look, word: &str, [end, body]: [PointName; 2]) -> Checked {
    if (look.at(end).y - look.at(body).y).abs() >= LEVER {
        return Ok(());
    }
    let what = format!("the {word} does not run across the car, so it holds nothing sideways: check both its ends");
    Err(look.fault(&[end, body], what))
}

fn askew(look: Look) -> Checked {
    let plan = |body, end| (look.at(end) - look.at(body)).xy();
    let (lower, upper) = (plan(LowerLinkBody, LowerLinkAxle), plan(UpperLinkBody, UpperLinkAxle));
    let angle = lower.perp(&upper).abs().atan2(lower.dot(&upper).abs()).to_degrees();
    if angle >= ASKEW {
        return Ok(());
    }
    let what = format!(
        "nothing holds {} sideways: in plan its {} upper link stands {angle:.1} deg to the lower one, and it takes \
         {ASKEW} or more, or a lateral rod or a centre-pivot linkage in `middle`",
        spoken(look.axle.linkage),
        look.side.word()
    );
    Err(look.point_at(&[UpperLinkAxle, UpperLinkBody], what))
}
