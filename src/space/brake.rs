//! A brake within its wheel.
//!
//! The caliper is fixed to the upright and the wheel turns about an axis that is, too, so neither travel nor steering
//! changes what is between them: see [`Block`].

use nalgebra::{Rotation3, Unit, Vector2, Vector3};

use super::block::{Apart, Block};
use super::nearest::Nearest;
use super::ring::Rim;
use crate::car::{Axle, Side};
use crate::motion::CornerPose;

/// A caliper and the rim around it, in the half-plane through the spin axis, from the wheel's centre.
#[derive(Debug, Clone, PartialEq)]
pub struct OnUpright {
    /// The space that the caliper takes up.
    pub caliper: Block,
    /// The middle of the caliper about the axis, radians from straight ahead, up positive.
    pub at: f64,
    /// What it could touch.
    pub rim: Rim,
}

impl OnUpright {
    /// Of an axle; none where it has no caliper described.
    pub fn new(axle: &Axle) -> Option<Self> {
        let caliper = axle.brake?.caliper?;
        // The hub's face lies inboard of the wheel's mounting face by the spacer.
        let hub = -axle.wheel.centre_from_hub();
        let (inner, outer) = (caliper.radius - caliper.depth, caliper.radius);
        let block = Block { from: hub + caliper.inboard, to: hub + caliper.outboard, inner, outer };
        let rim = Rim::new(&axle.tyre.mounted(&axle.wheel), &axle.wheel);
        Some(Self { caliper: block, at: (caliper.from + caliper.to) / 2.0, rim })
    }

    /// From the barrel and its flanges.
    pub fn to_barrel(&self) -> Option<Apart> {
        least(&self.caliper, &self.rim.barrel)
    }

    /// From the spokes and the centre.
    pub fn to_spokes(&self) -> Option<Apart> {
        least(&self.caliper, &self.rim.centre)
    }

    /// From the rim, placed in a pose at the middle of the caliper.
    pub(super) fn nearest(&self, pose: &CornerPose) -> Option<Nearest> {
        let apart =
            [self.to_barrel(), self.to_spokes()].into_iter().flatten().min_by(|a, b| a.gap.total_cmp(&b.gap))?;
        let ahead = Vector3::x() - pose.spin * pose.spin.x;
        let axis = Unit::try_new(pose.spin, 1e-9)?;
        // About the left wheel's axis, which points to the left, what is ahead turns down; about the right one's, up.
        let up = if pose.hub.side == Side::Left { -self.at } else { self.at };
        let out = Rotation3::from_axis_angle(&axis, up) * ahead.try_normalize(1e-9)?;
        let place = |p: Vector2<f64>| pose.wheel_centre + pose.spin * p.x + out * p.y;
        Some(Nearest { gap: apart.gap, on_solid: place(apart.here), on_ring: place(apart.there) })
    }
}

fn least(block: &Block, others: &[Block]) -> Option<Apart> {
    others.iter().map(|other| block.apart(other)).min_by(|a, b| a.gap.total_cmp(&b.gap))
}
