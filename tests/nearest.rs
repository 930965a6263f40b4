//! Gaps of tyres and rims against sampling: whatever a search with bounds claims, no sampled point may be nearer.
//!
//! Shapes are as a hand-written car file has them: square to the axis, along it, straight across it, through the hollow,
//! slicing the tread, thin, tiny; with the wheel upright and straight ahead as well as anyhow.

use nalgebra::{Rotation3, Vector3};
use proptest::prelude::*;
use scribeline::car::{Mounted, Spokes, Tyre, Wheel};
use scribeline::space::{Bar, Facet, PROVEN_DEPTH, PlacedRing, Ring, Solid, known_to, nearest};

/// Wheels and tyres that a car file may name and its check lets pass, unlikely ones among them.
fn wheels() -> impl Strategy<Value = (Wheel, Mounted)> {
    let size = (135..360u32, 15..85u32, 12..20u32).prop_map(|(width, aspect, rim)| format!("{width}/{aspect}R{rim}"));
    let wheel = (100.0..350.0f64, -60.0..70.0f64, 5.0..30.0f64, 5.0..60.0f64);
    let measured = prop::option::weighted(0.3, (0.4..0.99f64, 0.1..0.99f64));
    let gives =
        prop::option::weighted(0.5, (prop_oneof![Just(0.0), 0.0..40.0f64], prop_oneof![Just(0.0), 0.0..40.0f64]));
    let spokes = prop::option::weighted(0.5, (0.0..60.0f64, prop::option::of(-5.0..40.0f64), 60.0..100.0f64));
    let all = (size, wheel, measured, gives, spokes);
    all.prop_filter_map("no such tyre", |(size, (width, offset, barrel, centre), measured, gives, spokes)| {
        let spokes = spokes.map(|(back, outboard, pad)| Spokes { back, outboard, pad });
        let wheel = Wheel { barrel, centre, spokes, ..Wheel::new(width, offset) };
        if spokes.is_some_and(|s| wheel.front() <= offset + s.back) {
            return None;
        }
        let size = size.parse().expect("a size");
        let mut m = Tyre::new(size).mounted(&wheel);
        let height = m.radius - m.rim_radius;
        if let Some((tread, shoulder)) = measured {
            m.tread_width = tread * m.section_width;
            m.shoulder_radius = shoulder * height.min((m.section_width - m.tread_width) / 2.0);
        }
        [m.growth, m.lean] = gives.map_or([0.0; 2], |(growth, lean)| [growth, lean]);
        (height >= 20.0 && m.rim_width < m.section_width).then_some((wheel, m))
    })
}

/// Coordinates as (across the wheel, fore and aft, up), round numbers among them.
fn coordinate(most: f64) -> impl Strategy<Value = f64> {
    prop_oneof![2 => Just(0.0), 1 => (-most..most).prop_map(|v| (v / 50.0).round() * 50.0), 4 => -most..most]
}

fn point() -> impl Strategy<Value = Vector3<f64>> {
    (coordinate(250.0), coordinate(400.0), coordinate(400.0)).prop_map(|(a, x, z)| Vector3::new(x, a, z))
}

/// Corners of a bar or a facet: anywhere, about one place, or along one direction.
fn corners() -> impl Strategy<Value = [Vector3<f64>; 3]> {
    let sizes = prop::sample::select(vec![0.01, 3.0, 40.0, 300.0, 900.0]);
    let one_way = (point(), prop::sample::select(vec![0usize, 1, 2]), -500.0..500.0f64, point());
    prop_oneof![
        [point(), point(), point()],
        (point(), sizes, [point(), point(), point()]).prop_map(|(at, size, c)| c.map(|c| at + c * (size / 400.0))),
        one_way.prop_map(|(at, axis, length, third)| [at, at + Vector3::ith(axis, length), third]),
    ]
}

/// The least of `f` over the unit triangle (u, v >= 0, u + v <= 1): a grid, then finer ones about its best places.
fn least(f: impl Fn(f64, f64) -> f64, steps: usize, flat: bool) -> f64 {
    let mut places = Vec::new();
    for i in 0..=steps {
        for k in 0..=(if flat { 0 } else { steps - i }) {
            let (u, v) = (i as f64 / steps as f64, k as f64 / steps as f64);
            places.push((f(u, v), u, v));
        }
    }
    places.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut best = places[0].0;
    for &(_, u, v) in places.iter().take(12) {
        let (mut at, mut size) = ((u, v), 1.0 / steps as f64);
        while size > 1e-7 {
            let mut here = (f(at.0, at.1), at);
            for i in -3..=3 {
                for k in if flat { 0..=0 } else { -3..=3 } {
                    let (u, v) = (at.0 + size * f64::from(i) / 3.0, at.1 + size * f64::from(k) / 3.0);
                    if u >= 0.0 && v >= 0.0 && u + v <= 1.0 && f(u, v) < here.0 {
                        here = (f(u, v), (u, v));
                    }
                }
            }
            (at, size) = (here.1, size * 0.6);
            best = best.min(here.0);
        }
    }
    best
}

/// Holds a gap found against the least sampled one, and against what sampling may have missed.
fn held(found: f64, sampled: f64, missed: f64) -> Result<(), TestCaseError> {
    let proven = known_to(found);
    prop_assert!(found <= sampled + proven + 1e-9, "{found} found, {sampled} sampled");
    prop_assert!(found >= sampled - missed - 1e-9, "{found} found, {sampled} sampled, at most {missed} nearer");
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 4000, ..ProptestConfig::default() })]

    #[test]
    fn no_sampled_point_is_nearer_than_the_gap_that_was_found(
        (wheel, mounted) in wheels(), c in corners(), radius in prop::sample::select(vec![0.0, 0.5, 12.7, 35.0]),
        upright in prop::bool::ANY, turn in prop::array::uniform3(-0.6..0.6f64), bar in prop::bool::ANY,
    ) {
        let turn = if upright { Vector3::zeros() } else { Vector3::from(turn) };
        let axis = Rotation3::new(turn) * Vector3::y();
        for ring in [Ring::tyre(&mounted), Ring::rim(&mounted, &wheel)] {
            let placed = PlacedRing { ring: &ring, centre: Vector3::zeros(), axis };
            if bar {
                let at = |u: f64, _| placed.distance(c[0] + (c[1] - c[0]) * u) - radius;
                let found = nearest(&placed, &[Bar { a: c[0], b: c[1], radius }][..], f64::INFINITY);
                held(found.expect("a gap").gap, least(at, 400, true), (c[1] - c[0]).norm() / 800.0)?;
            } else {
                let (u, v) = (c[1] - c[0], c[2] - c[0]);
                let at = |s: f64, t: f64| placed.distance(c[0] + u * s + v * t) - radius;
                let solid = Solid::new(vec![], vec![Facet { corners: c, radius }]);
                let found = nearest(&placed, &solid, f64::INFINITY).expect("a gap").gap;
                held(found, least(at, 40, false), (u.norm() + v.norm()) / 40.0)?;
                // A limit changes nothing but what lies beyond it.
                prop_assert!(nearest(&placed, &solid, found - 0.01).is_none());
                prop_assert!(nearest(&placed, &solid, found + 5.0).is_some());
            }
        }
    }
}

/// A panel of a car file may have been drawn out to a line or a point: it is still there.
#[test]
fn facets_without_area_are_measured() {
    let mounted = Tyre::new("205/55R16".parse().expect("a size")).mounted(&Wheel::new(165.0, 40.0));
    let ring = Ring::tyre(&mounted);
    let placed = PlacedRing { ring: &ring, centre: Vector3::zeros(), axis: Vector3::y() };
    let [far, near, beside] = [600.0, 420.0, 510.0].map(|x| Vector3::new(x, 0.0, 0.0));
    for corners in [[near; 3], [near, near, far], [near, far, far], [far, near, far], [far, near, beside]] {
        let solid = Solid::new(vec![], vec![Facet { corners, radius: 0.0 }]);
        let gap = nearest(&placed, &solid, f64::INFINITY).expect("a gap").gap;
        assert!((gap - (420.0 - mounted.radius)).abs() < 1e-9, "{gap} for {corners:?}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, ..ProptestConfig::default() })]

    /// By the definition of growth and lean, sampled: a tyre that is shifted and drawn out by no more than is allowed for
    /// is never nearer than the one it is allowed for on.
    #[test]
    fn a_tyre_that_grows_and_leans_takes_up_all_the_places_between(
        (_, m) in wheels(), at in (-300.0..300.0f64, 0.0..600.0f64), part in (-1.0..1.0f64, 0.0..1.0f64),
    ) {
        let still = Ring::tyre(&Mounted { growth: 0.0, lean: 0.0, ..m });
        let given = Ring::tyre(&m);
        let ring = |r: &Ring, a: f64, out: f64| r.profiles[0].distance(a, out).value;
        let here = ring(&given, at.0, at.1);
        prop_assert!(here <= ring(&still, at.0, at.1) + 1e-6 || ring(&still, at.0, at.1) < 0.0);
        let shifted = ring(&still, at.0 - part.0 * m.lean, at.1 - part.1 * m.growth);
        prop_assert!(here <= shifted + 1e-6 || shifted < 0.0, "{here} {shifted}");
        // What is inside one of them is inside.
        prop_assert!(shifted > 0.0 || here < 1e-9, "{here} {shifted}");
        // And it takes up no more: outside, some one of them is as near.
        if here > 1.0 {
            let steps = || (0..=80).map(|i| f64::from(i) / 80.0);
            let each = steps().flat_map(|s| steps().map(move |t| (2.0 * s - 1.0, t)));
            let near = each.map(|(s, t)| ring(&still, at.0 - s * m.lean, at.1 - t * m.growth)).fold(f64::MAX, f64::min);
            prop_assert!(near <= here + (m.lean / 80.0).hypot(m.growth / 160.0) + 1e-6, "{here} {near}");
        }
    }

    /// The tyre stands on the ground cut off by it. Of a place over the ground and outside the tyre, the nearest place of
    /// the free circle is no lower, so what is cut off is never what is nearest.
    #[test]
    fn what_the_ground_cuts_off_is_never_nearest_to_what_lies_over_it(
        (_, m) in wheels(), at in (-250.0..250.0f64, -600.0..600.0f64), up in 0.0..1.0f64,
    ) {
        let ring = Ring::tyre(&m);
        let placed = PlacedRing { ring: &ring, centre: Vector3::zeros(), axis: Vector3::y() };
        // From the ground up to the sidewall's widest place: higher than that nothing stands near the contact.
        let ground = -m.loaded_radius;
        let p = Vector3::new(at.1, at.0, ground + up * (m.radius - m.rim_radius) / 2.0);
        let found = nearest(&placed, &[Bar { a: p, b: p, radius: 0.0 }][..], f64::INFINITY).expect("a gap");
        prop_assert!(found.gap <= 0.0 || found.on_ring.z >= ground - 1e-6, "{found:?} over {ground}");
    }
}

/// A facet in a plane through the axis reaches over it, where r has a corner: pieces that hold that corner must not be
/// passed over. By hand: spokes from 92.08 to 159.23 mm outboard are 33.57 mm deep in their middle.
#[test]
fn a_facet_through_the_axis_is_as_deep_in_the_spokes_as_they_are_thick() {
    let spokes = Some(Spokes { back: 40.66, outboard: Some(35.2), pad: 73.4 });
    let wheel = Wheel { barrel: 5.0, centre: 5.0, spokes, ..Wheel::new(222.66, 51.42) };
    let ring = Ring::rim(&Tyre::new("223/15R12".parse().expect("a size")).mounted(&wheel), &wheel);
    let placed = PlacedRing { ring: &ring, centre: Vector3::zeros(), axis: Vector3::y() };
    let corners = [[0.0, 0.0, -298.89], [0.0, -492.15, -298.89], [0.0, 171.86, 244.89]].map(Vector3::from);
    let found = nearest(&placed, &Solid::new(vec![], vec![Facet { corners, radius: 0.0 }]), f64::INFINITY);
    let depth = (wheel.front() - 51.42 - 40.66) / 2.0;
    assert!((found.expect("a gap").gap + depth).abs() < PROVEN_DEPTH);
}

/// By hand: a tyre of 600 mm over its tread that grows by 2 % stands 306 mm out; leaning 10 mm either way its flat and
/// its sidewalls stand 10 mm further out, and its hollow stays.
#[test]
fn growth_and_lean_are_added_where_they_belong() {
    let mut m = Tyre::new("205/50R15".parse().expect("a size")).mounted(&Wheel::new(180.0, 35.0));
    (m.radius, m.growth, m.lean) = (300.0, 6.0, 10.0);
    let placed = |a: f64, r: f64| Ring::tyre(&m).profiles[0].distance(a, r).value;
    assert!((placed(m.tread_width / 2.0 + 9.9, 316.0) - 10.0).abs() < 1e-9);
    let widest = (m.radius + m.rim_radius) / 2.0;
    for r in [widest, widest + 3.0, widest + 6.0] {
        assert!((placed(-m.section_width / 2.0 - 25.0, r) - 15.0).abs() < 1e-9);
    }
    let flange = m.rim_radius + 17.3;
    assert!((placed(0.0, flange - 5.0) - 5.0).abs() < 1e-9);
}

/// Along a bar that meets the axis the distance from the axis has a corner, which must not hide what lies behind it.
#[test]
fn a_bar_straight_across_the_axis_meets_the_tread_behind_it() {
    let wheel = Wheel { barrel: 16.0, ..Wheel::new(140.0, 30.0) };
    let size = "175/70R13".parse().expect("a size");
    let ring = Ring::tyre(&Tyre::new(size).mounted(&wheel));
    let placed = PlacedRing { ring: &ring, centre: Vector3::zeros(), axis: Vector3::y() };
    for z in [230.0, 250.0, 270.0, 400.0] {
        // From the hollow over the axis, towards the rubber on the other side, into it or out through it.
        let bar = Bar { a: Vector3::new(0.0, -60.0, 150.0), b: Vector3::new(0.0, -60.0 * -z / 150.0, -z), radius: 0.0 };
        let sampled = least(|u, _| placed.distance(bar.a + (bar.b - bar.a) * u), 2000, true);
        let found = nearest(&placed, &[bar][..], f64::INFINITY).expect("a gap").gap;
        assert!((found - sampled).abs() < known_to(sampled) + 1e-9, "{found} found, {sampled} sampled");
    }
}
