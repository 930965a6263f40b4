//! Arms made longer.

use nalgebra::Vector3;

use super::Applied;
use crate::car::axle::{Axle, Linkage, MountedOn, PointName, Side, Sides, square_out};
use crate::car::error::CarError;
use crate::car::proposal::GrowWay;

impl Axle {
    pub(super) fn grow_arms(&mut self, by: f64, way: GrowWay, sides: Sides) -> Applied {
        let shift = |side| match way {
            GrowWay::Across => Ok(Vector3::new(0.0, by, 0.0)),
            GrowWay::Square => self.square_to_lower_arm(side).map(|out| out * by),
        };
        let [left, right] = [shift(Side::Left)?, shift(Side::Right)?];
        for name in self.outboard() {
            if left == right {
                self.set_point(sides, name, |p| p + left);
                continue;
            }
            for (side, alone, by) in [(Side::Left, Sides::Left, left), (Side::Right, Sides::Right, right)] {
                if sides.has(side) {
                    self.set_point(alone, name, |p| p + by);
                }
            }
        }
        Ok(())
    }

    /// The points that go outboard where arms grow, whichever of them this axle has.
    fn outboard(&self) -> Vec<PointName> {
        use PointName::{
            DamperBottom, DamperTop, DropLinkOuter, LowerBallJoint, LowerFrontOuter, LowerRearOuter, PushRodOuter,
            SpringBottom, TieRodOuter, UpperBallJoint, UpperFrontOuter, UpperRearOuter, WheelCentre,
        };
        let outboard: &[PointName] = match self.linkage {
            // A strut keeps its axis, and so its top mount is remade as far outboard.
            Linkage::Strut => &[LowerBallJoint, DamperTop],
            Linkage::Wishbone | Linkage::FiveLink => {
                &[LowerBallJoint, UpperBallJoint, LowerFrontOuter, LowerRearOuter, UpperFrontOuter, UpperRearOuter]
            }
            Linkage::TrailingArm | Linkage::LiveAxle | Linkage::DeDion => &[],
        };
        let fittings: &[PointName] = match self.damper {
            _ if outboard.is_empty() => &[],
            // What is on the rocker stays with it.
            Some(damper) if damper.on == MountedOn::Rocker => &[PushRodOuter, DropLinkOuter, SpringBottom],
            _ => &[PushRodOuter, DropLinkOuter, SpringBottom, DamperBottom],
        };
        outboard.iter().chain(fittings).chain(&[TieRodOuter, WheelCentre]).copied().collect()
    }

    /// Outboard in the lower arm's plane, square to its pickup axis, seen from the left side.
    fn square_to_lower_arm(&self, side: Side) -> Result<Vector3<f64>, CarError> {
        use PointName::{LowerBallJoint, LowerFront, LowerRear};
        let arm = |side| {
            let at = |name| self.point(side, name);
            square_out([at(LowerFront)?, at(LowerRear)?], at(LowerBallJoint)?)
        };
        if !matches!(self.linkage, Linkage::Wishbone | Linkage::Strut) {
            let words = self.linkage.words();
            let what =
                format!("there is no arm on two pickups here ({words}) to grow square to its axis: leave `way` out");
            return Err(CarError::new(what).within("way"));
        }
        arm(side).map(|out| side.mirror(out)).ok_or_else(|| {
            let what = "the lower arm has no pickup axis: its pickups are at one place, or in line with its ball joint";
            CarError::new(what).within("way")
        })
    }
}
