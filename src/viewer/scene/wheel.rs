//! A tyre and the wheel in it, as shapes around y with the outboard side at positive y.

use bevy::prelude::*;

use super::shape::{Shape, circle};
use crate::car::{Axle, Mounted, Side, Wheel};
use crate::space::{OnUpright, Ring};
use crate::viewer::scene::frame::v;

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

/// The brake's disc, and the caliper in the space that it takes up; the one turns with the wheel, the other stands with
/// the upright, from the wheel's centre as measured.
pub fn brake(axle: &Axle, side: Side, measured: &OnUpright) -> Option<[Shape; 2]> {
    let caliper = axle.brake?.caliper?;
    let block = &measured.caliper;
    let [inner, outer, low, high] = [block.inner, block.outer, block.from, block.to].map(|mm| mm as f32);
    let middle = (low + high) / 2.0;
    // Where no disc is measured, it ends a pad's breadth short of the caliper's outside.
    let radius = axle.brake?.disc.map_or(outer - 14.0, |mm| mm as f32 / 2.0);
    let bore = f32::min(60.0, 0.6 * radius);
    let disc = [[middle - 12.0, bore], [middle - 12.0, radius], [middle + 12.0, radius], [middle + 12.0, bore]];
    let out = v(axle.spin_axis(side));
    let ahead = (Vec3::X - out * out.x).normalize_or(Vec3::X);
    let up = ahead.cross(out) * if side == Side::Left { 1.0 } else { -1.0 };
    let steps = 12;
    let at = |step: usize, along: f32, r: f32| {
        let angle = caliper.from + (caliper.to - caliper.from) * step as f64 / steps as f64;
        let (s, c) = (angle as f32).sin_cos();
        out * along + (ahead * c + up * s) * r
    };
    let ring = |step| [at(step, low, inner), at(step, high, inner), at(step, high, outer), at(step, low, outer)];
    let quad = |[a, b, c, d]: [Vec3; 4]| [[a, b, c], [a, c, d]];
    let mut triangles: Vec<[Vec3; 3]> = [quad(ring(0)), quad(ring(steps))].concat();
    for step in 0..steps {
        let (here, next) = (ring(step), ring(step + 1));
        for k in 0..4 {
            let l = (k + 1) % 4;
            triangles.extend(quad([here[k], here[l], next[l], next[k]]));
        }
    }
    Some([Shape::lathe(&disc, 48), Shape::facets(&triangles)])
}
