//! The car's parts as shapes, and how each of them moves.

use bevy::prelude::*;

use super::frame::v;
use super::layer::Layer;
use super::shape::Shape;
use super::{upright, wheel};
use crate::car::axle::{Axle, Linkage, MountedOn, shaft_axis};
use crate::car::{Car, Hub, PointName, Side};
use crate::motion::Suspension;
pub use crate::sheets::mesh::Stuff;
use crate::space::{Kind, Leg, Moving, Plate, Role, Solid, Spot};
use crate::viewer::desk::Built;

/// Where a part goes in a pose.
#[derive(Component, Debug, Clone, Copy, PartialEq)]
pub enum Moves {
    /// Nowhere: it is part of the body.
    Still,
    /// Between two places, along its y from 0 to 1.
    Span(Hub, [Spot; 2]),
    /// With three places, as [`triangle`] lies; its shape is given from there.
    Plate(Hub, [Spot; 3]),
    /// With a place.
    At(Hub, Spot),
    /// With the upright, trailing arm or stiff axle; its shape is given from the wheel centre as measured.
    Upright(Hub),
    /// With the wheel, its y along the spin axis.
    Wheel(Hub),
    /// With the rack, from the right inner joint to the left one.
    Rack,
}

/// A part to draw.
pub struct Part {
    /// Which it is, where gaps to it are measured.
    pub role: Option<Role>,
    /// Show list's kind.
    pub layer: Layer,
    /// Colour and finish.
    pub stuff: Stuff,
    /// How it moves.
    pub moves: Moves,
    /// Its shape.
    pub shape: Shape,
}

/// Every part of a car. What gaps are measured to is drawn from the very shapes that are measured.
pub fn of(built: &Built) -> Vec<Part> {
    let mut parts = Vec::new();
    for hub in built.gear.hubs() {
        let Some(axle) = built.gear.axle(hub.axle) else { continue };
        rolling(built, axle, hub, &mut parts);
        for (i, part) in built.parts.moving(hub).iter().enumerate() {
            // What an axle has once is in both wheels' lists.
            if !part.single || hub.side == Side::Left {
                let role = Role::Moving(hub, i);
                moving(part, role, axle, hub, &mut parts);
                parts.extend(part.plate.and_then(|plate| gusset(&plate, role, axle, hub)));
            }
        }
        brackets(axle, hub, &mut parts);
        marks(built.parts.moving(hub), axle, hub, &mut parts);
    }
    steering(&built.car.front, &mut parts);
    for (i, part) in built.parts.body.iter().enumerate() {
        let layer = match part.kind {
            Kind::Rail | Kind::Plate => Layer::Rails,
            Kind::Splitter => Layer::Splitter,
            Kind::Tube | Kind::Block => Layer::Fixed,
            _ => Layer::Panels,
        };
        let stuff = Stuff::of(part.kind);
        let shape = solid(&part.solid);
        parts.push(Part { role: Some(Role::Body(i)), layer, stuff, moves: Moves::Still, shape });
    }
    nodes(&built.car, &mut parts);
    parts
}

/// A ball where tubes may meet.
fn nodes(car: &Car, parts: &mut Vec<Part>) {
    for node in &car.nodes {
        let sides = if node.mirror { &Side::BOTH[..] } else { &Side::BOTH[..1] };
        for side in sides {
            let thickest = car.tubes.iter().map(|t| t.od / 2.0).fold(12.0, f64::max);
            let shape = Shape::ball(v(side.mirror(node.at)), thickest as f32 + 3.0);
            let (layer, stuff) = (Layer::Points, Stuff::Mark);
            parts.push(Part { role: None, layer, stuff, moves: Moves::Still, shape });
        }
    }
}

/// A measured shape as it is drawn; thin skins without their thickness.
fn solid(solid: &Solid) -> Shape {
    let scanned = solid.skin.iter().flat_map(|s| (0..s.triangles.len()).map(|i| s.triangle(i)));
    let triangles: Vec<_> = solid.facets.iter().map(|f| f.corners).chain(scanned).map(|t| t.map(v)).collect();
    // A bar's ends are measured as balls, which also close the corners of a bent tube.
    let bars = solid.bars.iter().flat_map(|b| {
        let (a, b, r) = (v(b.a), v(b.b), b.radius as f32);
        [Shape::bar(a, b, [r; 2]), Shape::ball(a, r).plain(), Shape::ball(b, r).plain()]
    });
    bars.fold(Shape::facets(&triangles), Shape::and)
}

/// Tyre, wheel, and what they turn on.
fn rolling(built: &Built, axle: &Suspension, hub: Hub, parts: &mut Vec<Part>) {
    let mut add = |role, layer, stuff, moves, shape| parts.push(Part { role, layer, stuff, moves, shape });
    let described = &axle.described;
    let mounted = described.tyre.mounted(&described.wheel);
    let tyre = wheel::tyre(&mounted, built.parts.tyre(hub));
    add(Some(Role::Tyre(hub)), Layer::Tyres, Stuff::Rubber, Moves::Wheel(hub), tyre);
    let rim = wheel::rim(&mounted, &described.wheel);
    add(Some(Role::Rim(hub)), Layer::Rims, Stuff::Alloy, Moves::Wheel(hub), rim);
    add(None, Layer::Uprights, Stuff::Upright, Moves::Upright(hub), upright::of(axle, hub.side));
    if let Some([disc, caliper]) = built.parts.brake(hub).and_then(|b| wheel::brake(described, hub.side, b)) {
        add(None, Layer::Rims, Stuff::Steel, Moves::Wheel(hub), disc);
        add(Some(Role::Caliper(hub)), Layer::Rims, Stuff::Damper, Moves::Upright(hub), caliper);
    }
}

/// A part that moves with a wheel, from its bars: a tube for each, and a ball wherever one ends.
fn moving(part: &Moving, role: Role, axle: &Suspension, hub: Hub, parts: &mut Vec<Part>) {
    let layer = match part.kind {
        Kind::TieRod => Layer::Steering,
        Kind::Damper | Kind::Spring => Layer::Dampers,
        Kind::RollBar => Layer::Bars,
        Kind::Axle => Layer::Uprights,
        _ => Layer::Arms,
    };
    let stuff = Stuff::of(part.kind);
    let mut add = |stuff, moves, shape| parts.push(Part { role: Some(role), layer, stuff, moves, shape });
    let (balls, tubes): (Vec<&Leg>, Vec<&Leg>) = part.legs.iter().partition(|leg| leg.ends[0] == leg.ends[1]);
    let mut ends: Vec<(Spot, f64)> = balls.iter().map(|leg| (leg.ends[0], leg.radius)).collect();
    for leg in tubes {
        let radius = leg.radius as f32;
        if part.kind == Kind::Damper {
            let moves = Moves::Span(hub, [PointName::DamperBottom, PointName::DamperTop].map(Spot::At));
            let (damper, spring) = damper(radius, axle.linkage == Linkage::Strut);
            add(Stuff::Damper, moves, damper);
            // One that stands apart is a part of its own.
            if axle.described.spring_apart().is_none() {
                add(Stuff::Spring, moves, spring);
            }
            continue;
        }
        if part.kind == Kind::Spring {
            let moves = Moves::Span(hub, [PointName::SpringBottom, PointName::SpringTop].map(Spot::At));
            let wire = 0.12 * radius;
            add(Stuff::Spring, moves, Shape::spring(radius - wire, wire, 7.0, [0.03, 0.97]));
            continue;
        }
        let tube = Shape::lathe(&[[0.0, 0.0], [0.0, radius], [1.0, radius], [1.0, 0.0]], 20).plain();
        add(stuff, Moves::Span(hub, leg.ends), tube);
        for end in leg.ends {
            if !ends.iter().any(|(spot, _)| *spot == end) {
                ends.push((end, leg.radius));
            }
        }
    }
    for (spot, radius) in ends {
        add(stuff, Moves::At(hub, spot), Shape::ball(Vec3::ZERO, radius as f32));
    }
}

/// A plate of an arm.
fn gusset(plate: &Plate, role: Role, axle: &Suspension, hub: Hub) -> Option<Part> {
    let pose = &axle.as_measured()[hub.side as usize];
    let [a, b, c] = plate.corners.map(|spot| spot.at(axle, pose).map(v));
    let corners = [a?, b?, c?];
    let lies = triangle(corners);
    let flat = corners.map(|p| lies.rotation.inverse() * (p - lies.translation));
    let up = Vec3::Z * plate.radius as f32;
    let [low, high] = [-up, up].map(|by| flat.map(|p| p + by));
    let mut faces = vec![low, high];
    for (i, j) in [(0, 1), (1, 2), (2, 0)] {
        faces.extend([[low[i], low[j], high[j]], [low[i], high[j], high[i]]]);
    }
    let (layer, stuff, moves) = (Layer::Arms, Stuff::Tube, Moves::Plate(hub, plate.corners));
    Some(Part { role: Some(role), layer, stuff, moves, shape: Shape::facets(&faces) })
}

/// Where a triangle lies: from its first corner, x towards the second, z square to it.
pub fn triangle([a, b, c]: [Vec3; 3]) -> Transform {
    let x = (b - a).normalize_or(Vec3::X);
    let z = x.cross(c - a).normalize_or(Vec3::Z);
    let rotation = Quat::from_mat3(&Mat3::from_cols(x, z.cross(x), z));
    Transform { translation: a, rotation, scale: Vec3::ONE }
}

/// What stands on an arm between its legs needs a bracket to the nearer of them.
fn brackets(axle: &Suspension, hub: Hub, parts: &mut Vec<Part>) {
    use PointName::{
        DamperBottom, DropLinkOuter, LowerBallJoint, LowerFront, LowerRear, PushRodOuter, SpringBottom, UpperBallJoint,
        UpperFront, UpperRear,
    };
    let described = &axle.described;
    let riding = [
        (DamperBottom, described.damper.map(|damper| damper.on)),
        (SpringBottom, described.spring_apart()),
        (PushRodOuter, described.rocker.map(|rocker| rocker.on)),
        (DropLinkOuter, described.bar.map(|bar| bar.on)),
    ];
    for (name, on) in riding {
        let (pickups, joint) = match on {
            Some(MountedOn::LowerArm) => ([LowerFront, LowerRear], LowerBallJoint),
            Some(MountedOn::UpperArm) => ([UpperFront, UpperRear], UpperBallJoint),
            _ => continue,
        };
        let at = |name| described.point(hub.side, name).map(v);
        let legs = pickups.into_iter().filter_map(|pickup| {
            let (mount, leg) = (at(name)?, [at(pickup)?, at(joint)?]);
            let share = upright::share_nearest(mount, leg);
            Some((mount.distance(leg[0].lerp(leg[1], share)), Spot::Between(pickup, joint, share.into())))
        });
        if let Some((_, foot)) = legs.min_by(|a, b| a.0.total_cmp(&b.0)) {
            let shape = Shape::lathe(&[[0.0, 0.0], [0.0, 9.0], [1.0, 9.0], [1.0, 0.0]], 12).plain();
            let moves = Moves::Span(hub, [Spot::At(name), foot]);
            parts.push(Part { role: None, layer: Layer::Arms, stuff: Stuff::Upright, moves, shape });
        }
    }
}

/// A damper of a unit's length from its lower mount, and the spring around it, as far as they are measured. A strut has
/// its body below, where it is bolted to the upright.
fn damper(radius: f32, strut: bool) -> (Shape, Shape) {
    let (from, to) = (0.15, 0.88);
    let ([low, high], [rod_low, rod_high]) = if strut { ([0.0, 0.6], [0.55, 1.0]) } else { ([0.42, 1.0], [0.0, 0.5]) };
    let turned = |low: f32, high: f32, r: f32| [[low, 0.0], [low, r], [high, r], [high, 0.0]];
    let body = Shape::lathe(&turned(low, high, 0.6 * radius), 20);
    let rod = Shape::lathe(&turned(rod_low, rod_high, 7.0), 12).plain();
    let seat = |at: f32| Shape::lathe(&turned(at, at + 0.02, radius), 20);
    let wire = 0.16 * radius;
    let spring = Shape::spring(radius - wire, wire, 7.0, [from + 0.02, to - 0.01]);
    (body.and(rod).and(seat(from)).and(seat(to - 0.02)), spring)
}

/// A ball for every measured point, a little more than what it sits in, so that it shows.
fn marks(moving: &[Moving], axle: &Suspension, hub: Hub, parts: &mut Vec<Part>) {
    let described = &axle.described;
    for &name in PointName::ALL {
        let again = hub.side == Side::Right && described.middle.0.contains_key(&name);
        if again || described.point(hub.side, name).is_none() {
            continue;
        }
        let legs = moving.iter().flat_map(|part| &part.legs).filter(|leg| leg.ends.contains(&Spot::At(name)));
        let most = legs.map(|leg| leg.radius).fold(13.0, f64::max);
        let shape = Shape::ball(Vec3::ZERO, most as f32 + 2.0);
        let (layer, stuff) = (Layer::Points, Stuff::Mark);
        parts.push(Part { role: None, layer, stuff, moves: Moves::At(hub, Spot::At(name)), shape });
    }
}

/// A rack in its housing, or a steering box and the post that its idler arm turns on.
fn steering(front: &Axle, parts: &mut Vec<Part>) {
    use PointName::{IdlerShaft, IdlerShaftTop, PitmanShaft, PitmanShaftTop, TieRodInner};
    let layer = Layer::Steering;
    let mut add = |stuff, moves, shape| parts.push(Part { role: None, layer, stuff, moves, shape });
    let inner = Side::BOTH.map(|side| front.point(side, TieRodInner).map(v));
    if let (Some(rack), [Some(left), Some(right)]) = (front.rack, inner) {
        let bar = Shape::lathe(&[[0.0, 0.0], [0.0, 11.0], [1.0, 11.0], [1.0, 0.0]], 20);
        add(Stuff::Tube, Moves::Rack, bar);
        let shrink = (right - left).normalize_or_zero() * (front.arms.joint + rack.travel) as f32;
        add(Stuff::Upright, Moves::Still, Shape::bar(left + shrink, right - shrink, [21.0; 2]));
    } else if front.steering_box.is_some() {
        for (shaft, top, radius, length) in
            [(PitmanShaft, PitmanShaftTop, 34.0, 120.0), (IdlerShaft, IdlerShaftTop, 18.0, 70.0)]
        {
            let Some(at) = front.point(Side::Left, shaft) else { continue };
            let up = v(shaft_axis(at, front.point(Side::Left, top)));
            let up = if up.z < 0.0 { -up } else { up };
            // The arm sits below it.
            let foot = v(at) + up * 14.0;
            let shape = Shape::bar(v(at), foot, [12.0; 2]).and(Shape::bar(foot, foot + up * length, [radius; 2]));
            add(Stuff::Upright, Moves::Still, shape);
        }
    }
}
