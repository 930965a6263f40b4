//! Wheels, brakes, and what carries them. Tyres, barrels and calipers are made from the profiles that are measured;
//! spokes, discs and uprights are likenesses.

use std::f64::consts::TAU;

use nalgebra::Vector3;

use super::shape::Mesh;
use crate::car::axle::Linkage;
use crate::car::{Axle, PointName, Side};
use crate::motion::Suspension;
use crate::space::{Moving, OnUpright, Rim, Ring};

/// Corners of a tyre's outline that lie within this of a straight line between others are left out, mm.
const FLAT: f64 = 0.2;
/// Round a tyre and a rim.
const AROUND: u32 = 72;

/// A tyre: the profiles that are measured, turned.
pub fn tyre(ring: &Ring) -> Mesh {
    let turned = ring.profiles.iter().map(|p| Mesh::lathe(&thinned(&p.outline()), AROUND));
    turned.fold(Mesh::default(), Mesh::and)
}

/// An outline with fewer corners, all of them its own.
fn thinned(outline: &[[f64; 2]]) -> Vec<[f64; 2]> {
    let [Some(from), Some(to)] = [outline.first(), outline.last()] else { return outline.to_vec() };
    let off = |p: &[f64; 2]| {
        let d = [to[0] - from[0], to[1] - from[1]];
        let length = f64::hypot(d[0], d[1]);
        let v = [p[0] - from[0], p[1] - from[1]];
        if length < 1e-9 { f64::hypot(v[0], v[1]) } else { (d[0] * v[1] - d[1] * v[0]).abs() / length }
    };
    let inner = 1..outline.len().saturating_sub(1);
    let Some(far) = inner.max_by(|i, j| off(&outline[*i]).total_cmp(&off(&outline[*j]))) else {
        return outline.to_vec();
    };
    if off(&outline[far]) < FLAT {
        return vec![*from, *to];
    }
    let mut thin = thinned(&outline[..=far]);
    thin.pop();
    thin.extend(thinned(&outline[far..]));
    thin
}

/// Barrel and flanges, as measured.
pub fn barrel(rim: &Rim) -> Mesh {
    let [base, flange, ..] = &rim.barrel[..] else { return Mesh::default() };
    let (outer, inner, seat, half, top) = (base.to, base.inner, base.outer, flange.from, flange.outer);
    let mut right = vec![[outer, inner]];
    if let Some(lip) = rim.barrel.get(3) {
        right.extend([[outer, lip.inner], [lip.to, lip.inner], [lip.to, top]]);
    } else {
        right.push([outer, top]);
    }
    right.extend([[half, top], [half, seat]]);
    let left = right.iter().rev().map(|[a, r]| [-a, *r]);
    let mut outline: Vec<[f64; 2]> = right.iter().copied().chain(left).collect();
    outline.push(outline[0]);
    Mesh::lathe(&outline, AROUND)
}

/// A hub disc and five pairs of spokes, in the space that is measured for them.
pub fn spokes(rim: &Rim) -> Mesh {
    let [Some(pad), Some(spokes)] = [rim.centre.first(), rim.centre.last()] else { return Mesh::default() };
    let hub = if rim.centre.len() > 1 { pad.outer } else { 72.0f64.min(0.5 * pad.outer) };
    let disc = [[pad.to, 0.0], [pad.to, hub], [pad.from, hub], [pad.from, 0.0]];
    let mut mesh = Mesh::lathe(&disc, 40);
    let (thick, middle) = ((spokes.to - spokes.from).min(26.0), (spokes.from + spokes.to) / 2.0);
    for i in 0..5 {
        for lean in [-0.13, 0.13] {
            let at = |r: f64, lean: f64| {
                let (s, c) = (TAU * f64::from(i) / 5.0 + lean).sin_cos();
                Vector3::new(middle, c * r, s * r)
            };
            let radii = [0.5 * thick, 0.36 * thick];
            mesh = mesh.and(Mesh::bar(at(0.8 * hub, lean), at(spokes.outer + 2.0, lean), radii));
        }
    }
    mesh
}

/// A brake disc, which turns with the wheel.
pub fn disc(axle: &Axle, measured: &OnUpright) -> Mesh {
    let block = &measured.caliper;
    let middle = (block.from + block.to) / 2.0;
    // Where no disc is measured, it ends a pad's breadth short of the caliper's outside.
    let radius = axle.brake.and_then(|b| b.disc).map_or(block.outer - 14.0, |d| d / 2.0);
    let (low, high) = (middle - 12.0, middle + 12.0);
    let bore = f64::min(60.0, 0.6 * radius);
    Mesh::lathe(&[[low, bore], [high, bore], [high, radius], [low, radius], [low, bore]], 48)
}

/// The space that a caliper takes up, from the wheel centre, directions as measured.
pub fn caliper(axle: &Axle, side: Side, measured: &OnUpright) -> Option<Mesh> {
    let caliper = axle.brake?.caliper?;
    let block = &measured.caliper;
    let out = axle.spin_axis(side);
    let ahead = (Vector3::x() - out * out.x).try_normalize(1e-9)?;
    let up = ahead.cross(&out) * -side.sign();
    let up = if up.z < 0.0 { -up } else { up };
    let steps = 12;
    let at = |step: u32, along: f64, r: f64| {
        let angle = caliper.from + (caliper.to - caliper.from) * f64::from(step) / f64::from(steps);
        let (s, c) = angle.sin_cos();
        out * along + (ahead * c + up * s) * r
    };
    let ring = |step| {
        let (low, high, inner, outer) = (block.from, block.to, block.inner, block.outer);
        [at(step, low, inner), at(step, high, inner), at(step, high, outer), at(step, low, outer)]
    };
    let quad = |[a, b, c, d]: [Vector3<f64>; 4]| [[a, b, c], [a, c, d]];
    let mut triangles: Vec<[Vector3<f64>; 3]> = [quad(ring(0)), quad(ring(steps))].concat();
    for step in 0..steps {
        let (here, next) = (ring(step), ring(step + 1));
        for k in 0..4 {
            let l = (k + 1) % 4;
            triangles.extend(quad([here[k], here[l], next[l], next[k]]));
        }
    }
    Some(Mesh::facets(&triangles))
}

/// What carries a wheel, from the wheel centre, directions as measured: an upright between whatever rides on it, or the
/// hub at the end of a trailing arm or stiff axle. A likeness.
pub fn upright(axle: &Suspension, side: Side) -> Mesh {
    let described = &axle.described;
    let spin = described.spin_axis(side);
    let face = described.wheel.offset + described.wheel.spacer;
    let Some(centre) = described.point(side, PointName::WheelCentre) else { return Mesh::default() };
    // What is there once is drawn on the left.
    let once = |name: &PointName| side == Side::Right && described.middle.0.contains_key(name);
    let riding = PointName::ALL.iter().filter(|n| axle.on_upright(**n) && **n != PointName::WheelCentre && !once(n));
    let joints: Vec<Vector3<f64>> = riding.filter_map(|n| Some(described.point(side, *n)? - centre)).collect();
    match axle.linkage {
        Linkage::Wishbone | Linkage::Strut | Linkage::FiveLink => {
            // The hub runs along the spin axis from beside the joints to the wheel's mounting face.
            let beside = joints.iter().map(|p| p.dot(&spin)).sum::<f64>() / joints.len().max(1) as f64;
            let root = spin * beside.min(face - 40.0);
            let legs = joints.iter().map(|p| Mesh::bar(*p, root, [12.0, 22.0]));
            legs.fold(Mesh::bar(root - spin * 14.0, spin * face, [34.0; 2]), Mesh::and)
        }
        // The arm or tube is drawn from the bars that are measured, and ends where the hub begins.
        Linkage::TrailingArm | Linkage::LiveAxle | Linkage::DeDion => {
            let end = -spin * Moving::HUB;
            let near = joints.iter().filter(|p| (*p - end).norm() < 2.0 * Moving::HUB);
            let stubs = near.map(|p| Mesh::bar(*p, end, [10.0, 14.0]));
            stubs.fold(Mesh::bar(end, spin * face, [38.0, 34.0]), Mesh::and)
        }
    }
}
