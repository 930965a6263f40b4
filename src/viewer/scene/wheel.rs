//! A tyre and the wheel in it, as shapes around y with the outboard side at positive y.

use bevy::prelude::*;

use super::shape::{Shape, circle};
use crate::car::{Mounted, Wheel};
use crate::space::Ring;

/// The tyre: the profile that is measured turned, with three grooves inked on the tread.
pub fn tyre(m: &Mounted, measured: &Ring) -> Shape {
    let mut shape = Shape::default();
    for profile in &measured.profiles {
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
pub fn rim(m: &Mounted, wheel: &Wheel) -> Shape {
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
