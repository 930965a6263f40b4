//! Checks that one side's linkage could be bolted together.

use super::look::{LEVER, Look};
use super::{Checked, SAME};
use crate::car::axle::{Linkage, PointName};

use PointName::{
    ArmInner, ArmOuter, DamperBottom, DamperTop, LowerBallJoint, LowerFront, LowerFrontOuter, LowerRear,
    LowerRearOuter, TieRodInner, TieRodOuter, UpperBallJoint, UpperFront, UpperFrontOuter, UpperRear, UpperRearOuter,
    WheelCentre,
};

pub(super) fn corner(look: Look) -> Checked {
    match look.axle.linkage {
        Linkage::Wishbone => wishbone(look),
        Linkage::Strut => strut(look),
        Linkage::FiveLink => five_link(look),
        Linkage::TrailingArm => trailing_arm(look),
        Linkage::LiveAxle | Linkage::DeDion => Ok(()),
    }
}

fn wishbone(look: Look) -> Checked {
    arm(look, "lower", [LowerFront, LowerRear, LowerBallJoint])?;
    arm(look, "upper", [UpperFront, UpperRear, UpperBallJoint])?;
    if look.at(UpperBallJoint).z - look.at(LowerBallJoint).z < LEVER {
        let what = "the upper ball joint is not above the lower one: check both heights";
        return Err(look.fault(&[UpperBallJoint, LowerBallJoint], what));
    }
    tie_rod(look)?;
    steers(look, [LowerBallJoint, UpperBallJoint])?;
    wheel_centre(look, &[LowerBallJoint, UpperBallJoint, TieRodOuter])
}

fn strut(look: Look) -> Checked {
    arm(look, "lower", [LowerFront, LowerRear, LowerBallJoint])?;
    let what = "the strut has no direction: `damper_bottom` is to be another point of its axis than `damper_top`";
    look.apart([DamperBottom, DamperTop], LEVER, what)?;
    if look.at(DamperTop).z - look.at(LowerBallJoint).z < LEVER {
        let what = "the strut's top mount is not above the lower ball joint: check both heights";
        return Err(look.fault(&[DamperTop, LowerBallJoint], what));
    }
    tie_rod(look)?;
    steers(look, [LowerBallJoint, DamperTop])?;
    wheel_centre(look, &[LowerBallJoint, DamperTop, TieRodOuter])
}

fn five_link(look: Look) -> Checked {
    let links = [
        ("lower front link", LowerFront, LowerFrontOuter),
        ("lower rear link", LowerRear, LowerRearOuter),
        ("upper front link", UpperFront, UpperFrontOuter),
        ("upper rear link", UpperRear, UpperRearOuter),
        ("tie rod", TieRodInner, TieRodOuter),
    ];
    for (index, (word, inner, outer)) in links.into_iter().enumerate() {
        look.apart([outer, inner], LEVER, format!("the {word} has no length: its two joints are the same point"))?;
        for (other, other_inner, other_outer) in links.into_iter().take(index) {
            let same = |a, b| (look.at(a) - look.at(b)).norm() < SAME;
            if same(inner, other_inner) && same(outer, other_outer) {
                let what = format!("the {word} and the {other} lie in the same place: measure them again");
                return Err(look.fault(&[outer, inner, other_outer, other_inner], what));
            }
        }
    }
    wheel_centre(look, &links.map(|(_, _, outer)| outer))
}

fn trailing_arm(look: Look) -> Checked {
    let what = "both pickups of the trailing arm are the same point: measure the other one";
    look.apart([ArmOuter, ArmInner], LEVER, what)?;
    let what = "the wheel centre lies on the line through the arm's pickups, so the arm cannot swing: measure it again";
    look.off_line([WheelCentre, ArmInner, ArmOuter], what)
}

fn arm(look: Look, word: &str, [front, rear, joint]: [PointName; 3]) -> Checked {
    let what = format!("both pickups of the {word} arm are the same point: measure the other one");
    look.apart([rear, front], SAME, what)?;
    let what = format!("the {word} ball joint lies on the line through its arm's own pickups: measure it again");
    look.off_line([joint, front, rear], what)
}

fn tie_rod(look: Look) -> Checked {
    look.apart([TieRodOuter, TieRodInner], LEVER, "the tie rod has no length: its two joints are the same point")
}

/// The tie rod needs a lever about the steering axis, also where it only holds the toe.
fn steers(look: Look, [lower, upper]: [PointName; 2]) -> Checked {
    let what = "the tie rod's outer joint lies on the steering axis, so it cannot steer: measure it again";
    look.off_line([TieRodOuter, lower, upper], what)
}

fn wheel_centre(look: Look, joints: &[PointName]) -> Checked {
    joints.iter().try_for_each(|&joint| {
        let what = format!("the wheel centre and the {} are the same point", joint.words());
        look.apart([WheelCentre, joint], SAME, what)
    })
}
