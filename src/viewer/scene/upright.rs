//! What carries a wheel, as a shape from the wheel centre as measured: an upright between whatever joints ride on it, or
//! the hub at the end of a trailing arm or stiff axle.

use bevy::prelude::*;

use super::frame::v;
use super::shape::Shape;
use crate::car::axle::Linkage;
use crate::car::{PointName, Side};
use crate::motion::Suspension;
use crate::space::Moving;

/// The upright or hub of one wheel.
pub fn of(axle: &Suspension, side: Side) -> Shape {
    let described = &axle.described;
    let spin = v(described.spin_axis(side));
    let face = (described.wheel.offset + described.wheel.spacer) as f32;
    match axle.linkage {
        Linkage::Wishbone | Linkage::Strut | Linkage::FiveLink => upright(axle, side, spin, face),
        // The arm or tube is drawn from the bars that are measured, and ends where the hub begins.
        Linkage::TrailingArm | Linkage::LiveAxle | Linkage::DeDion => {
            let end = -spin * Moving::HUB as f32;
            brackets(axle, side, spin).and(Shape::bar(end, spin * face, [38.0, 34.0]))
        }
    }
}

/// On a trailing arm or stiff axle, a bracket from its bars to whatever rides on it.
fn brackets(axle: &Suspension, side: Side, spin: Vec3) -> Shape {
    use PointName::{ArmInner, ArmOuter, WheelCentre};
    let described = &axle.described;
    let measured = |side, name| described.point(side, name).map(v);
    let Some(centre) = measured(side, WheelCentre) else { return Shape::default() };
    let inboard = Moving::HUB as f32;
    let end = -spin * inboard;
    let bars: Vec<[Vec3; 2]> = if axle.independent() {
        let from = [ArmInner, ArmOuter].map(|name| measured(side, name));
        from.into_iter().flatten().map(|pickup| [pickup - centre, end]).collect()
    } else {
        let other = if side == Side::Left { Side::Right } else { Side::Left };
        let across = measured(other, WheelCentre).map(|at| at - v(described.spin_axis(other)) * inboard);
        across.map(|across| [end, across - centre]).into_iter().collect()
    };
    let mut shape = Shape::default();
    for name in PointName::ALL.iter().filter(|n| axle.on_upright(**n) && **n != WheelCentre) {
        let again = side == Side::Right && described.middle.0.contains_key(name);
        let Some(at) = measured(side, *name).filter(|_| !again) else { continue };
        shape = shape.and(stub(at - centre, &bars));
    }
    shape.plain()
}

/// A leg from each joint that holds it to the hub, and from there a stub to whatever else rides on it.
fn upright(axle: &Suspension, side: Side, spin: Vec3, face: f32) -> Shape {
    use PointName::{
        DamperBottom, DamperTop, LowerBallJoint, LowerFrontOuter, LowerRearOuter, UpperBallJoint, UpperFrontOuter,
        UpperRearOuter, WheelCentre,
    };
    let measured = |name| axle.described.point(side, name).map(v);
    let Some(centre) = measured(WheelCentre) else { return Shape::default() };
    let at = |name| measured(name).map(|p| p - centre);
    let joints: &[PointName] = match axle.linkage {
        Linkage::Strut => &[LowerBallJoint, DamperBottom],
        Linkage::FiveLink => &[LowerFrontOuter, LowerRearOuter, UpperFrontOuter, UpperRearOuter],
        _ => &[LowerBallJoint, UpperBallJoint],
    };
    let holds: Vec<Vec3> = joints.iter().filter_map(|name| at(*name)).collect();
    // The hub runs along the spin axis from beside the joints to the wheel's mounting face.
    let beside = holds.iter().map(|p| p.dot(spin)).sum::<f32>() / holds.len().max(1) as f32;
    let root = spin * beside.min(face - 40.0);
    let mut legs: Vec<[Vec3; 2]> = holds.iter().map(|p| [*p, root]).collect();
    let mut shape = Shape::default();
    for [joint, root] in &legs {
        shape = shape.and(Shape::bar(*joint, *root, [13.5, 24.0]));
    }
    for pair in holds.chunks_exact(2) {
        shape = shape.and(Shape::bar(pair[0], pair[1], [11.0; 2]));
    }
    if let (Linkage::Strut, Some(bottom), Some(top)) = (axle.linkage, at(DamperBottom), at(DamperTop)) {
        // What is bolted to a strut is bolted to its body, the lower half.
        legs.push([bottom, bottom.lerp(top, 0.5)]);
    }
    for name in PointName::ALL.iter().filter(|n| axle.on_upright(**n) && **n != WheelCentre && !joints.contains(n)) {
        if let Some(end) = at(*name) {
            shape = shape.and(stub(end, &legs));
        }
    }
    shape.plain().and(Shape::bar(root - spin * 14.0, spin * face, [34.0, 34.0]))
}

/// From a place to the bar that is nearest.
fn stub(to: Vec3, bars: &[[Vec3; 2]]) -> Shape {
    let nearest = bars.iter().map(|bar| {
        let share = share_nearest(to, *bar);
        bar[0].lerp(bar[1], share)
    });
    let nearest = nearest.min_by(|a, b| a.distance(to).total_cmp(&b.distance(to)));
    nearest.map_or_else(Shape::default, |from| Shape::bar(to, from, [10.0, 14.0]))
}

/// How far along a bar the point lies that is nearest to a place, 0 to 1.
pub fn share_nearest(to: Vec3, [a, b]: [Vec3; 2]) -> f32 {
    let along = b - a;
    ((to - a).dot(along) / along.length_squared().max(1.0)).clamp(0.0, 1.0)
}
