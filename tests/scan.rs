//! Scanned meshes: read from every format, cleaned, laid on a car and measured; damaged ones refused in words.

#[path = "scan/car.rs"]
mod car;
#[path = "scan/files.rs"]
mod files;

use nalgebra::{Isometry3, Matrix4, Rotation3, SymmetricEigen, Translation3, UnitQuaternion, Vector3};
use proptest::prelude::*;
use scribeline::car::{Tyre, Wheel};
use scribeline::scan::Placing;
use scribeline::space::{Facet, PROVEN, PROVEN_DEPTH, PlacedRing, Ring, Skin, Solid, known_to, nearest};

/// Corners and triangles of a grid.
pub fn grid(across: usize, along: usize, at: impl Fn(f64, f64) -> Vector3<f64>) -> (Vec<Vector3<f64>>, Vec<[u32; 3]>) {
    let place = |i: usize, k: usize| at(i as f64 / across as f64, k as f64 / along as f64);
    let corners = (0..=across).flat_map(|i| (0..=along).map(move |k| (i, k))).map(|(i, k)| place(i, k)).collect();
    let number = |i: usize, k: usize| (i * (along + 1) + k) as u32;
    let quad = |i, k| {
        let [a, b, c, d] = [number(i, k), number(i + 1, k), number(i + 1, k + 1), number(i, k + 1)];
        [[a, b, c], [a, c, d]]
    };
    (corners, (0..across).flat_map(|i| (0..along).flat_map(move |k| quad(i, k))).collect())
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

/// By the size code: 17 in of rim and twice 45 % of 225 mm.
const RADIUS: f64 = 17.0 * 25.4 / 2.0 + 0.45 * 225.0;

fn upright(ring: &Ring) -> PlacedRing<'_> {
    PlacedRing { ring, centre: Vector3::zeros(), axis: Vector3::y() }
}

/// Closed form: a level plane is its height less the radius from the tread.
#[test]
fn a_tessellated_plane_is_as_far_as_the_plane() {
    let ring = tyre();
    for height in [RADIUS + 80.0, RADIUS + 5.0, RADIUS + 0.01] {
        let (corners, triangles) = grid(61, 47, |u, v| Vector3::new(900.0 * (u - 0.47), 700.0 * (v - 0.53), height));
        let solid = Solid::of_skin(Skin::new(corners, triangles));
        let found = nearest(&upright(&ring), &solid, f64::INFINITY).expect("a gap");
        assert!((found.gap - (height - RADIUS)).abs() <= PROVEN, "{} at {height}", found.gap);
        assert!((found.on_solid.z - height).abs() < 1e-9);
    }
}

/// Closed form: of a cylinder about an axis level with the wheel's and `off` above it, cut into chords, the least gap is
/// its radius less the offset less the tyre's radius, less at most the depth of a chord.
#[test]
fn a_tessellated_cylinder_is_as_far_as_the_cylinder() {
    let ring = tyre();
    let (radius, along) = (380.0, 400);
    let chord = radius * (1.0 - (std::f64::consts::PI / along as f64).cos());
    for off in [0.0, -7.0, -30.0] {
        let (corners, triangles) = grid(30, along, |u, v| {
            let turn = v * std::f64::consts::TAU;
            Vector3::new(radius * turn.cos(), 240.0 * (u - 0.5), off + radius * turn.sin())
        });
        let solid = Solid::of_skin(Skin::new(corners, triangles));
        let found = nearest(&upright(&ring), &solid, f64::INFINITY).expect("a gap").gap;
        let round = radius + off - RADIUS;
        assert!((round - chord - 1e-9..=round + PROVEN).contains(&found), "{found} and {round} at {off}");
    }
}

/// A sheet that a tyre stands through reads as an overlap, as a panel does.
#[test]
fn a_skin_through_the_tyre_is_an_overlap() {
    let ring = tyre();
    let (corners, triangles) = grid(20, 20, |u, v| Vector3::new(800.0 * (u - 0.5), 800.0 * (v - 0.5), RADIUS - 30.0));
    let found = nearest(&upright(&ring), &Solid::of_skin(Skin::new(corners, triangles)), f64::INFINITY).expect("a gap");
    assert!((found.gap + 30.0).abs() <= PROVEN_DEPTH, "{}", found.gap);
}

fn anywhere(size: f64) -> impl Strategy<Value = Vector3<f64>> {
    prop::array::uniform3(-size..size).prop_map(Vector3::from)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, ..ProptestConfig::default() })]

    /// The same triangles as facets, each with its own edges, measured as panels are.
    #[test]
    fn a_skin_is_as_far_as_the_same_triangles_as_facets(
        bumps in prop::collection::vec(-40.0..40.0f64, 121), centre in anywhere(450.0), axis in anywhere(1.0),
        size in prop::sample::select(vec![60.0, 400.0, 1500.0]), flat in prop::bool::ANY,
    ) {
        let axis = axis.try_normalize(0.1).unwrap_or_else(Vector3::y);
        let (mut corners, triangles) = grid(10, 10, |u, v| Vector3::new(size * (u - 0.5), size * (v - 0.5), 330.0));
        for (corner, bump) in corners.iter_mut().zip(&bumps) {
            corner.z += if flat { 0.0 } else { bump * size / 400.0 };
        }
        let facets = triangles.iter().map(|t| Facet { corners: t.map(|c| corners[c as usize]), radius: 0.0 }).collect();
        let (skin, facets) = (Solid::of_skin(Skin::new(corners, triangles)), Solid::new(Vec::new(), facets));
        let ring = tyre();
        let placed = PlacedRing { ring: &ring, centre, axis };
        let [skin, facets] = [&skin, &facets].map(|s| nearest(&placed, s, f64::INFINITY).expect("a gap").gap);
        let known = known_to(skin.min(facets));
        prop_assert!((skin - facets).abs() <= known + 1e-9, "{skin} as a skin, {facets} as facets");
    }

    /// A line of sight meets what parry's meets first.
    #[test]
    fn what_is_picked_is_what_parry_sees(
        bumps in prop::collection::vec(-40.0..40.0f64, 121), from in anywhere(900.0), along in anywhere(1.0),
    ) {
        use parry3d_f64::math::{Pose, Vector};
        use parry3d_f64::query::{Ray, RayCast};
        use parry3d_f64::shape::Triangle;
        let along = along.try_normalize(0.1).unwrap_or_else(Vector3::z);
        let (mut corners, triangles) = grid(10, 10, |u, v| Vector3::new(1200.0 * (u - 0.5), 1200.0 * (v - 0.5), 30.0));
        corners.iter_mut().zip(&bumps).for_each(|(corner, bump)| corner.z += bump);
        let p = |v: Vector3<f64>| Vector::new(v.x, v.y, v.z);
        let ray = Ray::new(p(from), p(along));
        let seen = triangles.iter().filter_map(|t| {
            let [a, b, c] = t.map(|i| p(corners[i as usize]));
            Triangle::new(a, b, c).cast_ray(&Pose::IDENTITY, &ray, 1e6, false)
        });
        let seen = seen.min_by(f64::total_cmp);
        let found = Solid::of_skin(Skin::new(corners, triangles)).struck(from, along);
        match (found, seen) {
            (Some(found), Some(seen)) => prop_assert!((found - seen).abs() < 1e-6 * (1.0 + seen), "{found} {seen}"),
            // On the very border of the skin the one may see it and the other not.
            (found, seen) => prop_assert_eq!(found.is_some(), seen.is_some(), "{:?} {:?}", found, seen),
        }
    }

    /// Closed form: points that a turn and a shift carried are carried back by nothing else.
    #[test]
    fn a_turn_and_a_shift_are_found_again(
        points in prop::collection::vec(anywhere(800.0), 3..8), turn in anywhere(3.0), shift in anywhere(2000.0),
    ) {
        let spread = (points[1] - points[0]).cross(&(points[2] - points[0])).norm();
        prop_assume!(spread > 1e4);
        let carry = Isometry3::from_parts(Translation3::from(shift), UnitQuaternion::from_scaled_axis(turn));
        let pairs: Vec<_> = points.iter().map(|p| [*p, carry.transform_point(&(*p).into()).coords]).collect();
        let placing = Placing::of(&pairs);
        prop_assert!(placing.rms().expect("points") < 1e-7, "{:?}", placing.off);
        prop_assert!((placing.carry.to_homogeneous() - carry.to_homogeneous()).amax() < 1e-7);
    }

    /// Horn's closed form by quaternions (J. Opt. Soc. Am. A 4, 1987), written out here, for points that do not fit.
    #[test]
    fn points_that_do_not_fit_are_laid_as_horn_lays_them(
        points in prop::collection::vec((anywhere(800.0), anywhere(25.0)), 4..9), turn in anywhere(3.0),
    ) {
        let turned = Rotation3::new(turn);
        let pairs: Vec<_> = points.iter().map(|(p, slip)| [*p, turned * p + slip]).collect();
        let middle = |k: usize| pairs.iter().map(|p| p[k]).sum::<Vector3<f64>>() / pairs.len() as f64;
        let (a, b) = (middle(0), middle(1));
        let mut s = nalgebra::Matrix3::zeros();
        for p in &pairs {
            s += (p[0] - a) * (p[1] - b).transpose();
        }
        let n = Matrix4::new(
            s.trace(), s.m23 - s.m32, s.m31 - s.m13, s.m12 - s.m21,
            s.m23 - s.m32, s.m11 - s.m22 - s.m33, s.m12 + s.m21, s.m31 + s.m13,
            s.m31 - s.m13, s.m12 + s.m21, s.m22 - s.m11 - s.m33, s.m23 + s.m32,
            s.m12 - s.m21, s.m31 + s.m13, s.m23 + s.m32, s.m33 - s.m11 - s.m22,
        );
        let eigen = SymmetricEigen::new(n);
        let best = eigen.eigenvalues.imax();
        let mut values: Vec<f64> = eigen.eigenvalues.iter().copied().collect();
        values.sort_by(f64::total_cmp);
        // Points about one line leave the turn to chance.
        prop_assume!(values[3] - values[2] > 1e3);
        let q = eigen.eigenvectors.column(best);
        let horn = UnitQuaternion::new_normalize(nalgebra::Quaternion::new(q[0], q[1], q[2], q[3]));
        let placing = Placing::of(&pairs);
        prop_assert!(placing.carry.rotation.angle_to(&horn) < 1e-6);
        let off: Vec<f64> = pairs.iter().map(|p| (horn * (p[0] - a) + b - p[1]).norm()).collect();
        for (ours, theirs) in placing.off.iter().zip(&off) {
            prop_assert!((ours - theirs).abs() < 1e-3, "{ours} and {theirs}");
        }
    }
}
