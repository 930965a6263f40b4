//! A scan of a million triangles over a tyre: how long its tree takes to build, and how long a gap to it.
//!
//! The arch is a part of a cylinder about the wheel, waved by some millimetres as pressed steel is. The rival is a
//! general-purpose distance library between the same mesh and the tyre as a mesh of 0.1 mm; it is also asked about a rail.

use std::f64::consts::TAU;
use std::hint::black_box;

use criterion::{BenchmarkId, Criterion, Throughput, criterion_group, criterion_main};
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
    Ring::tyre(&Tyre::new("225/45R17".parse().expect("a size")).mounted(&wheel))
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

    group.finish();
}

/// What a tree and a gap cost grows with the triangles: the same arch, scanned finer and finer.
fn finer(c: &mut Criterion) {
    let ring = tyre();
    let placed = PlacedRing {
        ring: &ring,
        centre: Vector3::new(5.0, 12.0, 45.0),
        axis: Vector3::new(0.1, 1.0, -0.03).normalize(),
    };
    let mut group = c.benchmark_group("by triangles");
    group.sample_size(10);
    for across in [50, 158, 500] {
        let (corners, triangles) = arch(across, 2 * across);
        let count = triangles.len();
        group.throughput(Throughput::Elements(count as u64));
        group.bench_function(BenchmarkId::new("tree", count), |b| {
            b.iter(|| Skin::new(black_box(corners.clone()), triangles.clone()));
        });
        let solid = Solid::of_skin(Skin::new(corners.clone(), triangles.clone()));
        group.bench_function(BenchmarkId::new("gap", count), |b| {
            b.iter(|| nearest(black_box(&placed), &solid, f64::INFINITY));
        });
    }
    group.finish();
}

/// The tyre as a mesh that is nowhere more than 0.1 mm off: a chord of 128 round 320 mm is 0.096 mm in, and its outline
/// is drawn finer than that.
fn meshed(ring: &Ring) -> TriMesh {
    let outline = ring.hull.outline();
    let (tread, faces) = grid(128, outline.len() - 1, |u, v| {
        let at = outline[(v * (outline.len() - 1) as f64).round() as usize];
        Vector3::new(at[1] * (u * TAU).cos(), at[0], at[1] * (u * TAU).sin())
    });
    rival(&tread, &faces)
}

/// The same least distance by a general-purpose library between meshes, one after the other: to a box of a rail, twelve
/// triangles, and to the scan.
fn rivals(c: &mut Criterion) {
    let ring = tyre();
    let mesh = meshed(&ring);
    let centre = Vector3::new(5.0, 12.0, 45.0);
    let placed = PlacedRing { ring: &ring, centre, axis: Vector3::y() };
    let at = Pose::translation(centre.x, centre.y, centre.z);
    let corner = |i: usize| {
        let side = |bit: usize, low: f64, high: f64| if i & bit == 0 { low } else { high };
        Vector3::new(side(1, -400.0, 350.0), side(2, -160.0, -100.0), side(4, 420.0, 490.0))
    };
    let corners: Vec<_> = (0..8).map(corner).collect();
    let quads = [[0, 1, 3, 2], [4, 6, 7, 5], [0, 4, 5, 1], [2, 3, 7, 6], [0, 2, 6, 4], [1, 5, 7, 3]];
    let faces: Vec<[u32; 3]> = quads.iter().flat_map(|[a, b, c, d]| [[*a, *b, *c], [*a, *c, *d]]).collect();
    let facets = quads.iter().flat_map(|quad| Solid::quad(quad.map(|i| corners[i as usize]), 0.0)).collect();
    let (scan, triangles) = arch(500, 1000);
    let parts = [
        ("rail", Solid::new(Vec::new(), facets), rival(&corners, &faces)),
        ("scan", Solid::of_skin(Skin::new(scan.clone(), triangles.clone())), rival(&scan, &triangles)),
    ];
    let mut group = c.benchmark_group("against parry3d");
    group.sample_size(10);
    for (name, solid, theirs) in parts {
        let ours = || nearest(black_box(&placed), &solid, f64::INFINITY).map(|n| n.gap);
        let meshes = || query::distance(&Pose::identity(), &theirs, black_box(&at), &mesh).ok();
        eprintln!("{name}: {:?} mm by ours, {:?} between meshes", ours(), meshes());
        group.bench_function(format!("{name}, ours"), |b| b.iter(ours));
        group.bench_function(format!("{name}, parry3d"), |b| b.iter(meshes));
    }
    group.finish();
}

criterion_group!(benches, scan, finer, rivals);
criterion_main!(benches);
