//! Changes of one axle.

use super::{Applied, To};
use crate::car::arm::WhichArm;
use crate::car::axle::{Axle, PointName, Side, Sides, Spring};
use crate::car::error::CarError;
use crate::car::proposal::Change;
use crate::car::wheel::Wheel;

impl Change {
    /// Makes this change of an axle.
    pub(super) fn apply_to(&self, axle: &mut Axle) -> Applied {
        match self {
            Self::MovePoint { point, side, to, by } => axle.move_point(*side, *point, &To::one(*to, *by)?)?,
            Self::GrowArms { by, way, side } => axle.grow_arms(*by, *way, *side)?,
            Self::ReplaceTyre(tyre) => axle.tyre = *tyre,
            Self::ReplaceWheel(wheel) => axle.replace_wheel(*wheel),
            Self::BuildArm { arm: WhichArm::Upper, .. } if !axle.linkage.has_upper() => {
                return Err(CarError::new("this axle has no upper arm or link to build anew").within("arm"));
            }
            Self::BuildArm { arm, tube, shape } => axle.arms.build(*arm, *tube, *shape),
            Self::ReplaceDamper(damper) => axle.damper = Some(*damper),
            Self::FitSpring(spring) => {
                let before = axle.spring;
                axle.spring = Some(Spring {
                    on: spring.on.or_else(|| before?.on),
                    diameter: spring.diameter.or_else(|| before?.diameter),
                    ..*spring
                });
            }
            Self::ReplaceRocker(rocker) => axle.rocker = Some(*rocker),
            Self::ReplaceBar(bar) => axle.bar = Some(*bar),
            Self::ReplaceRack(rack) => {
                axle.rack = Some(*rack);
                // A box that goes takes its arms along.
                if axle.steering_box.take().is_some() {
                    axle.middle.0.retain(|name, _| !name.is_steering_box());
                }
            }
            Self::ReplaceSteeringBox(part) => {
                axle.steering_box = Some(*part);
                axle.rack = None;
            }
            _ => return Err(CarError::new("this is no change of an axle: take the `rear( )` around it away")),
        }
        Ok(())
    }
}

impl Axle {
    fn replace_wheel(&mut self, wheel: Wheel) {
        let outboard = wheel.centre_from_hub() - self.wheel.centre_from_hub();
        self.wheel = wheel;
        let [left, right] = Side::BOTH.map(|side| Side::mirror(side, self.spin_axis(side)) * outboard);
        if left == right {
            self.set_point(Sides::Both, PointName::WheelCentre, |p| p + left);
        } else {
            self.set_point(Sides::Left, PointName::WheelCentre, |p| p + left);
            self.set_point(Sides::Right, PointName::WheelCentre, |p| p + right);
        }
    }

    /// Moves a point, `to` a place or `by` a shift in the vehicle frame: of the left side, or of the right alone, or
    /// the one in the middle.
    fn move_point(&mut self, side: Sides, name: PointName, to: &To) -> Applied {
        let middle = self.in_middle(name);
        // `set_point` thinks on the left side.
        let seen_from = if side == Sides::Right && !middle { Side::Right } else { Side::Left };
        let known = Side::BOTH.iter().any(|&s| (middle || side.has(s)) && self.point(s, name).is_some());
        match *to {
            To::Place(at) if known => self.set_point(side, name, |_| seen_from.mirror(at)),
            To::Place(at) => {
                let points = match side {
                    _ if middle => &mut self.middle,
                    Sides::Right => &mut self.right,
                    Sides::Both | Sides::Left => &mut self.points,
                };
                points.0.insert(name, at);
            }
            To::Shift(by) if known => self.set_point(side, name, |p| p + seen_from.mirror(by)),
            To::Shift(_) => {
                let what = format!("the axle has no `{}` to move by a shift: give its place with `to`", name.name());
                return Err(CarError::new(what).within("point"));
            }
        }
        Ok(())
    }
}
