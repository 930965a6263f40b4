//! The car's parts as shapes, and how each of them moves.

use bevy::prelude::*;

use super::frame::v;
use super::layer::Layer;
use super::shape::{Shape, circle};
use crate::car::{Car, Mounted, PointName, Side, Wheel};
use crate::space::{Kind, Parts, Role, Solid};

/// Where a part goes in a pose.
#[derive(Component, Debug, Clone, Copy, PartialEq)]
pub enum Moves {
    /// Nowhere: it is part of the body.
    Still,
    /// Between two points, along its y from 0 to 1.
    Span(Side, PointName, PointName),
    /// With a point.
    At(Side, PointName),
    /// With the upright; its shape is given from the wheel centre as measured.
    Upright(Side),
    /// With the wheel, its y along the spin axis.
    Wheel(Side),
    /// With the rack, from the right inner joint to the left one.
    Rack,
}

/// What a part is made of, as far as the eye is concerned.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Stuff {
    /// Tyre rubber.
    Rubber,
    /// Cast aluminium.
    Alloy,
    /// Bright tube.
    Tube,
    /// Machined upright.
    Upright,
    /// Damper body.
    Damper,
    /// Spring.
    Spring,
    /// Bare sheet steel of a rail.
    Steel,
    /// A thin skin that can be seen through.
    Skin,
    /// Splitter board.
    Board,
    /// A point that can be marked.
    Mark,
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
pub fn of(car: &Car, placed: &Parts) -> Vec<Part> {
    let mut parts = Vec::new();
    for side in Side::BOTH {
        corner(car, placed, side, &mut parts);
    }
    let joint = car.front.arms.joint as f32;
    let rack = Shape::lathe(&[[0.0, 0.0], [0.0, 11.0], [1.0, 11.0], [1.0, 0.0]], 20);
    parts.push(Part { role: None, layer: Layer::Steering, stuff: Stuff::Tube, moves: Moves::Rack, shape: rack });
    let inner = Side::BOTH.map(|side| point(car, side, PointName::TieRodInner));
    let shrink = (inner[1] - inner[0]).normalize_or_zero() * (joint + car.front.rack.travel as f32);
    let housing = Shape::bar(inner[0] + shrink, inner[1] - shrink, [21.0; 2]);
    let (layer, stuff) = (Layer::Steering, Stuff::Upright);
    parts.push(Part { role: None, layer, stuff, moves: Moves::Still, shape: housing });
    for (i, part) in placed.body.iter().enumerate() {
        let (layer, stuff) = match part.kind {
            Kind::Rail => (Layer::Rails, Stuff::Steel),
            Kind::Splitter => (Layer::Splitter, Stuff::Board),
            _ => (Layer::Panels, Stuff::Skin),
        };
        let shape = solid(&part.solid);
        parts.push(Part { role: Some(Role::Body(i)), layer, stuff, moves: Moves::Still, shape });
    }
    parts
}

/// A measured shape as it is drawn; thin skins without their thickness.
fn solid(solid: &Solid) -> Shape {
    let triangles: Vec<_> = solid.facets.iter().map(|f| f.corners.map(v)).collect();
    let bars = solid.bars.iter().map(|b| Shape::bar(v(b.a), v(b.b), [b.radius as f32; 2]));
    bars.fold(Shape::facets(&triangles), Shape::and)
}

fn point(car: &Car, side: Side, name: PointName) -> Vec3 {
    car.front.point(side, name).map_or(Vec3::ZERO, v)
}

fn corner(car: &Car, placed: &Parts, side: Side, parts: &mut Vec<Part>) {
    use PointName::*;
    let arms = &car.front.arms;
    let tube = |od: f64| {
        let r = od as f32 / 2.0;
        Shape::lathe(&[[0.0, 0.0], [0.0, r], [1.0, r], [1.0, 0.0]], 20).plain()
    };
    let joint = arms.joint as f32 / 2.0;
    let mut add = |role, layer, stuff, moves, shape| parts.push(Part { role, layer, stuff, moves, shape });
    let (lower, upper) = (Some(Role::LowerArm(side)), Some(Role::UpperArm(side)));
    for (role, od, from, to) in [
        (lower, arms.lower.od, LowerFront, LowerBallJoint),
        (lower, arms.lower.od, LowerRear, LowerBallJoint),
        (upper, arms.upper.od, UpperFront, UpperBallJoint),
        (upper, arms.upper.od, UpperRear, UpperBallJoint),
    ] {
        add(role, Layer::Arms, Stuff::Tube, Moves::Span(side, from, to), tube(od));
    }
    for (role, at) in [(lower, LowerBallJoint), (upper, UpperBallJoint)] {
        add(role, Layer::Arms, Stuff::Tube, Moves::At(side, at), Shape::ball(Vec3::ZERO, joint));
    }
    let rod = Some(Role::TieRod(side));
    let tie_rod = Moves::Span(side, TieRodInner, TieRodOuter);
    add(rod, Layer::Steering, Stuff::Tube, tie_rod, tube(arms.tie_rod.od));
    for at in [TieRodInner, TieRodOuter] {
        add(rod, Layer::Steering, Stuff::Tube, Moves::At(side, at), Shape::ball(Vec3::ZERO, 0.8 * joint));
    }
    add(None, Layer::Uprights, Stuff::Upright, Moves::Upright(side), upright(car, side));
    let mounted = car.front.tyre.mounted(&car.front.wheel);
    add(Some(Role::Tyre(side)), Layer::Tyres, Stuff::Rubber, Moves::Wheel(side), tyre(&mounted, placed));
    add(Some(Role::Rim(side)), Layer::Rims, Stuff::Alloy, Moves::Wheel(side), rim(&mounted, &car.front.wheel));
    if let Some(damper) = car.front.damper.filter(|_| car.front.point(side, DamperTop).is_some()) {
        let unit = Some(Role::Damper(side));
        let r = damper.diameter as f32 / 2.0;
        let moves = Moves::Span(side, DamperBottom, DamperTop);
        let body = Shape::lathe(&[[0.42, 0.0], [0.42, 0.6 * r], [1.0, 0.6 * r], [1.0, 0.0]], 20);
        let rod = Shape::lathe(&[[0.0, 0.0], [0.0, 7.0], [0.5, 7.0], [0.5, 0.0]], 12).plain();
        let seat = |at: f32| Shape::lathe(&[[at, 0.0], [at, r], [at + 0.02, r], [at + 0.02, 0.0]], 20);
        add(unit, Layer::Dampers, Stuff::Damper, moves, body.and(rod).and(seat(0.12)).and(seat(0.88)));
        let wire = 0.16 * r;
        add(unit, Layer::Dampers, Stuff::Spring, moves, Shape::spring(r - wire, wire, 7.0, [0.14, 0.88]));
    }
    for name in PointName::ALL {
        if car.front.point(side, *name).is_some() {
            // A little more than what it sits in, so that it shows.
            let radius = if name.on_chassis() { 15.0 } else { joint + 2.0 };
            let mark = Shape::ball(Vec3::ZERO, radius);
            add(None, Layer::Points, Stuff::Mark, Moves::At(side, *name), mark);
        }
    }
}

/// A slim upright: a leg from each ball joint to the hub, a web between them, and the steering arm.
fn upright(car: &Car, side: Side) -> Shape {
    let centre = point(car, side, PointName::WheelCentre);
    let from_centre = |name| point(car, side, name) - centre;
    let (lower, upper) = (from_centre(PointName::LowerBallJoint), from_centre(PointName::UpperBallJoint));
    let arm = from_centre(PointName::TieRodOuter);
    let spin = v(car.front.spin_axis(side));
    let face = car.front.wheel.offset as f32 + car.front.wheel.spacer as f32;
    // The hub runs along the spin axis from beside the steering axis to the wheel's mounting face.
    let inner = spin * (lower.dot(spin) + upper.dot(spin)) / 2.0;
    let root = spin * (inner.dot(spin)).min(face - 40.0);
    Shape::bar(lower, root, [14.0, 24.0])
        .and(Shape::bar(upper, root, [13.0, 24.0]))
        .and(Shape::bar(lower, upper, [11.0, 11.0]))
        .and(Shape::bar(arm, root.lerp(lower, 0.7), [10.0, 15.0]))
        .plain()
        .and(Shape::bar(root - spin * 14.0, spin * face, [34.0, 34.0]))
}

/// The tyre: its profile turned, with three grooves inked on the tread.
fn tyre(m: &Mounted, placed: &Parts) -> Shape {
    let mut shape = Shape::default();
    for profile in &placed.tyre.profiles {
        // Its outline runs the other way around than a lathe's.
        let outline: Vec<_> = profile.outline().iter().rev().map(|p| p.map(|x| x as f32)).collect();
        shape = shape.and(Shape::lathe(&outline, 72));
    }
    for along in [-0.55, 0.0, 0.55] {
        shape.edges.push(circle([along * m.tread_width as f32 / 2.0, m.radius as f32 + 0.5], 72));
    }
    shape
}

/// The rim: barrel, flanges, a hub disc and five pairs of spokes.
fn rim(m: &Mounted, wheel: &Wheel) -> Shape {
    let (half, seat) = (m.rim_width as f32 / 2.0, m.rim_radius as f32);
    let (lip, inside) = (seat + 15.0, seat - wheel.barrel as f32);
    let barrel = [
        [-half - 5.0, inside + 6.0],
        [-half - 5.0, lip],
        [-half, lip],
        [-half + 6.0, seat],
        [half - 6.0, seat],
        [half, lip],
        [half + 5.0, lip],
        [half + 5.0, inside + 6.0],
        [half - 12.0, inside],
        [-half + 12.0, inside],
        [-half - 5.0, inside + 6.0],
    ];
    let face = wheel.offset as f32;
    let thick = wheel.centre as f32;
    let hub =
        [[face, 0.0], [face, 72.0], [face + 0.6 * thick, 66.0], [face + 0.8 * thick, 30.0], [face + 0.8 * thick, 0.0]];
    let mut shape = Shape::lathe(&barrel, 64).and(Shape::lathe(&hub, 40));
    let reach = (face + 0.6 * thick).min(half - 8.0);
    for i in 0..5 {
        for lean in [-0.13, 0.13] {
            let angle = std::f32::consts::TAU * i as f32 / 5.0;
            let (s, c) = angle.sin_cos();
            let (so, co) = (angle + lean).sin_cos();
            let from = Vec3::new(c * 58.0, face + 0.35 * thick, s * 58.0);
            let to = Vec3::new(co * (inside + 2.0), reach, so * (inside + 2.0));
            shape = shape.and(Shape::bar(from, to, [15.0, 10.0]).plain());
        }
    }
    shape
}
