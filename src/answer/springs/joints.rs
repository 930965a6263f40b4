//! How far joints swing through the sweep, and rods that do not reach.

use std::cmp::Ordering;

use nalgebra::Vector2;
use serde::Serialize;

use super::stroke::bisect;
use crate::answer::{Study, Verdict, WorstPose};
use crate::car::{AxleName, Hub, PointName, Side};

/// How far a joint swings at most.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct JointSwing {
    /// The axle.
    pub axle: AxleName,
    /// The side; none for a joint that the axle has once.
    pub side: Option<Side>,
    /// The arm or rod: `tie rod`.
    pub part: &'static str,
    /// The joint.
    pub joint: PointName,
    /// From where it was measured, at the worst of the sweep's poses.
    pub swing_deg: f64,
    /// What it may.
    pub limit_deg: Option<f64>,
    /// The worst pose.
    pub at: WorstPose,
    /// Of the swing against the limit.
    pub verdict: Verdict,
}

impl JointSwing {
    /// `left front tie rod, outer joint`.
    pub fn words(&self) -> String {
        use PointName::{LowerFront, LowerRear, UpperFront, UpperRear};
        let whose = spoken(self.axle, self.side);
        // A link's joint on the chassis has the name of an arm's pickup.
        match self.joint {
            LowerFront | LowerRear | UpperFront | UpperRear => format!("{whose} {}, inner joint", self.part),
            joint => format!("{whose} {}", joint.words()),
        }
    }

    /// The larger swing first. What differs by rounding alone stays in order.
    pub(super) fn order(&self, other: &Self) -> Ordering {
        let round = |j: &Self| (j.swing_deg * 1e6).round();
        round(other).total_cmp(&round(self))
    }
}

/// A rod that does not reach somewhere in the sweep.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Unreached {
    /// The wheel's axle.
    pub axle: AxleName,
    /// Its side.
    pub side: Side,
    /// The rod: `push rod` or `drop link`.
    pub part: &'static str,
    /// The least wheel travel at which it is drawn out, of all those beside which the sweep's poses steer or move the
    /// other wheel.
    pub at: WorstPose,
}

impl Unreached {
    /// `left front push rod`.
    pub fn words(&self) -> String {
        format!("{} {}", spoken(self.axle, Some(self.side)), self.part)
    }
}

/// `left front`, or `front`.
pub(super) fn spoken(axle: AxleName, side: Option<Side>) -> String {
    side.map_or_else(|| axle.word().to_owned(), |side| Hub { axle, side }.words())
}

impl Study {
    /// The swing of every joint at a wheel.
    pub(super) fn joint_swings(&self, hub: Hub) -> Vec<JointSwing> {
        let (Some(axle), sweep) = (self.gear.axle(hub.axle), self.sweep(hub)) else { return Vec::new() };
        let (measured, limit) = (&axle.as_measured()[hub.side as usize], axle.described.arms.joint_swing);
        let mine = axle.joints().into_iter().filter(|joint| !joint.single || hub.side == Side::Left);
        mine.filter_map(|joint| {
            let swings = sweep.poses.iter().filter_map(|(at, pose)| Some((axle.swing(&joint, measured, pose)?, *at)));
            let (swing, at) = swings.max_by(|a, b| a.0.total_cmp(&b.0))?;
            Some(JointSwing {
                axle: hub.axle,
                side: (!joint.single).then_some(hub.side),
                part: joint.part,
                joint: joint.at,
                swing_deg: swing.to_degrees(),
                limit_deg: limit.map(f64::to_degrees),
                at: WorstPose::at_wheel(sweep, at),
                verdict: if limit.is_some_and(|l| swing > l) { Verdict::Short } else { Verdict::Clear },
            })
        })
        .collect()
    }

    /// The rods at a wheel that do not reach all over the sweep: a push rod its rocker, a drop link its lever.
    pub(super) fn unreached(&self, hub: Hub) -> Vec<Unreached> {
        let (Some(axle), sweep) = (self.gear.axle(hub.axle), self.sweep(hub)) else { return Vec::new() };
        let rods = [
            ("push rod", PointName::PushRodInner, axle.described.rocker.is_some()),
            ("drop link", PointName::BarLever, axle.described.bar.is_some()),
        ];
        let drawn_out = |(part, end, there): (_, PointName, bool)| {
            let reaches = |at| sweep.pose(&self.gear, at).is_some_and(|pose| axle.at(&pose, end).is_some());
            let short = sweep.poses.iter().filter(|(_, pose)| there && axle.at(pose, end).is_none());
            let ends = short.map(|(at, _)| {
                let to = |travel: f64| Vector2::new(travel, at.y);
                to(if reaches(to(0.0)) { bisect(0.0, at.x, |travel| !reaches(to(travel))) } else { 0.0 })
            });
            let at = ends.min_by(|a, b| a.x.abs().total_cmp(&b.x.abs()))?;
            Some(Unreached { axle: hub.axle, side: hub.side, part, at: WorstPose::at_wheel(sweep, at) })
        };
        rods.into_iter().filter_map(drawn_out).collect()
    }
}
