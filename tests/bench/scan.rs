//! A scan of a million triangles over a tyre: how long its tree takes to build, and how long a gap to it.
//!
//! The arch is a part of a cylinder about the wheel, waved by some millimetres as pressed steel is. The rival is a
//! general-purpose distance library between the same mesh and the tyre as a fine mesh.

use std::f64::consts::TAU;
use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use nalgebra::Vector3;
use parry3d_f64::math::{Pose, Vector};
use parry3d_f64::query;
use parry3d_f64::shape::TriMesh;
use scribeline::car::{Tyre, Wheel};
use scribeline::space::{PlacedRing, Ring, Skin, Solid, nearest};

/// A grid of corners as triangles.
fn grid(across: usize, along: usize, at: impl Fn(f64, f64) -> Vector3<f64>) -> (Vec<Vector3<f64>>, Vec<[u32; 3]>) {
    let place = |i: usize, k: usize| at(i as f64 / across as f64, k as f64 / along as f64);
    let corners = (0..=across).flat_map(|i| (0..=along).map(move |k| (i, k))).map(|(i, k)| place(i, k)).collect();
    let number = |i: usize, k: usize| (i * (along + 1) + k) as u32;
    let quad = |i, k| {
        let [a, b, c, d] = [number(i, k), number(i + 1, k), number(i + 1, k + 1), number(i, k + 1)];
        [[a, b, c], [a, c, d]]
    };
    (corners, (0..across).flat_map(|i| (0..along).flat_map(move |k| quad(i, k))).collect())
}

/// Half a cylinder about the wheel, some 60 mm off the tread.
fn arch(across: usize, along: usize) -> (Vec<Vector3<f64>>, Vec<[u32; 3]>) {
    grid(across, along, |u, v| {
        let (turn, y) = (v * TAU / 2.0, (u - 0.5) * 260.0);
        let radius = 370.0 + 4.0 * (turn * 7.0).sin() + 3.0 * (y / 25.0).cos();
        Vector3::new(radius * turn.cos(), y, radius * turn.sin())
    })
}

fn tyre() -> Ring {
    let wheel = Wheel {
        width: 228.6,
        offset: 16.0,
        spacer: 0.0,
        barrel: 16.0,
        centre: 40.0,
        flange: 12.7,
        spokes: None,
        studs: None,
    };
    let [overall_diameter, section_width, tread_width, shoulder_radius, loaded_radius] = [None; 5];
    let size = "225/45R17".parse().expect("a size");
    let (growth, lean) = (Default::default(), 0.0);
    let tyre =
        Tyre { size, overall_diameter, section_width, tread_width, shoulder_radius, loaded_radius, growth, lean };
    Ring::tyre(&tyre.mounted(&wheel))
}

fn rival(corners: &[Vector3<f64>], triangles: &[[u32; 3]]) -> TriMesh {
    let corners = corners.iter().map(|c| Vector::new(c.x, c.y, c.z)).collect();
    TriMesh::new(corners, triangles.to_vec()).expect("a mesh")
}

fn scan(c: &mut Criterion) {
    let ring = tyre();
    let (corners, triangles) = arch(500, 1000);
    let mut group = c.benchmark_group("a million triangles");
    group.sample_size(10);
    group.bench_function("tree", |b| b.iter(|| Skin::new(black_box(corners.clone()), triangles.clone())));
    let solid = Solid::of_skin(Skin::new(corners.clone(), triangles.clone()));
    let pose = |z: f64, lean: f64| PlacedRing {
        ring: &ring,
        centre: Vector3::new(5.0, 12.0, z),
        axis: Vector3::new(0.1, 1.0, lean).normalize(),
    };
    let poses = [("in droop", -60.0, 0.02), ("at ride", 0.0, 0.0), ("in bump", 45.0, -0.03), ("into it", 75.0, -0.03)];
    for (name, z, lean) in poses {
        let placed = pose(z, lean);
        group.bench_function(name, |b| b.iter(|| nearest(black_box(&placed), &solid, f64::INFINITY)));
    }
    // As bad as it gets: the wheel exactly in the middle of a cylinder without waves.
    let (round, faces) = grid(500, 1000, |u, v| {
        let turn = v * TAU / 2.0;
        Vector3::new(370.0 * turn.cos(), (u - 0.5) * 260.0, 370.0 * turn.sin())
    });
    let round = Solid::of_skin(Skin::new(round, faces));
    let middle = PlacedRing { ring: &ring, centre: Vector3::zeros(), axis: Vector3::y() };
    group.bench_function("in the middle of a cylinder", |b| {
        b.iter(|| nearest(black_box(&middle), &round, f64::INFINITY));
    });

    let outline = ring.hull.outline();
    let (tread, faces) = grid(720, outline.len() - 1, |u, v| {
        let at = outline[(v * (outline.len() - 1) as f64).round() as usize];
        Vector3::new(at[1] * (u * TAU).cos(), at[0], at[1] * (u * TAU).sin())
    });
    let (mesh, tyre) = (rival(&corners, &triangles), rival(&tread, &faces));
    let at = Pose::translation(5.0, 12.0, 45.0);
    group.bench_function("rival in bump", |b| {
        b.iter(|| query::distance(&Pose::identity(), &mesh, black_box(&at), &tyre));
    });
    group.finish();
}

criterion_group!(benches, scan);
criterion_main!(benches);
