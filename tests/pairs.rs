//! Gaps between parts that are no wheels: distances against parry3d and formulas, touches that only poses between those
//! of the search have, what is left out because it is joined, and what the car file leaves out or brings in.

use nalgebra::{Vector2, Vector3};
use parry3d_f64::math::{Pose, Vector};
use parry3d_f64::query;
use parry3d_f64::shape::{Capsule, Cuboid, Segment, Triangle};
use proptest::prelude::*;
use scribeline::answer::{Among, Gaps, Study, Verdict};
use scribeline::car::{AxleName, CarError, CarFile, Edit, Hub, Side};
use scribeline::motion::Pose as BodyPose;
use scribeline::space::{Bar, Facet, Parts, Place, Role, Scans, Skin, Solid, apart};

const DUNLIN: &str = include_str!("../scenes/dunlin.ron");
const GODWIT: &str = include_str!("../scenes/godwit.ron");

fn parry(p: Vector3<f64>) -> Vector {
    Vector::new(p.x, p.y, p.z)
}

fn place(within: f64) -> impl Strategy<Value = Vector3<f64>> {
    [-within..within, -within..within, -within..within].prop_map(|[x, y, z]| Vector3::new(x, y, z))
}

fn bar() -> impl Strategy<Value = Bar> {
    (place(300.0), place(300.0), 2.0..40.0).prop_map(|(a, b, radius)| Bar { a, b, radius })
}

/// A box that stands square, from a corner to the one across.
fn boxed(low: Vector3<f64>, high: Vector3<f64>) -> Solid {
    let at = |x: usize, y: usize, z: usize| Vector3::new([low, high][x].x, [low, high][y].y, [low, high][z].z);
    let mut facets = Vec::new();
    for k in 0..2 {
        facets.extend(Solid::quad([at(0, 0, k), at(1, 0, k), at(1, 1, k), at(0, 1, k)], 0.0));
        facets.extend(Solid::quad([at(0, k, 0), at(1, k, 0), at(1, k, 1), at(0, k, 1)], 0.0));
        facets.extend(Solid::quad([at(k, 0, 0), at(k, 1, 0), at(k, 1, 1), at(k, 0, 1)], 0.0));
    }
    Solid::new(Vec::new(), facets)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    /// Two bars: the distance of their axes, less both radii.
    #[test]
    fn bars_are_as_far_apart_as_parry_has_their_axes(one in bar(), other in bar()) {
        let found = apart(&[one], &[other][..], f64::INFINITY).expect("nearer than infinity");
        let segment = |b: Bar| Segment::new(parry(b.a), parry(b.b));
        let axes = query::distance(&Pose::IDENTITY, &segment(one), &Pose::IDENTITY, &segment(other)).expect("supported").distance;
        prop_assert!((found.gap - (axes - one.radius - other.radius)).abs() < 1e-6, "{} {axes}", found.gap);
        let between = (found.on_solid - found.on_ring).norm();
        prop_assert!((between - found.gap.abs()).abs() < 1e-6);
    }

    /// A bar and a facet.
    #[test]
    fn a_bar_is_as_far_from_a_facet_as_parry_has_it(one in bar(), corners in [place(300.0), place(300.0), place(300.0)], radius in 0.0..5.0) {
        let solid = Solid::new(vec![], vec![Facet { corners, radius }]);
        let found = apart(&[one], &solid, f64::INFINITY).expect("nearer than infinity");
        let triangle = Triangle::new(parry(corners[0]), parry(corners[1]), parry(corners[2]));
        let axis = Segment::new(parry(one.a), parry(one.b));
        let core = query::distance(&Pose::IDENTITY, &axis, &Pose::IDENTITY, &triangle).expect("supported").distance;
        // A general-purpose search closes in on what is a closed form here.
        prop_assert!((found.gap - (core - one.radius - radius)).abs() < 1e-3, "{} {core}", found.gap);
    }

    /// A bar and a scanned skin, every triangle of which parry is asked for; in a list of points so that the whole of a
    /// skin's tree is looked through, and from a given distance on as in an answer.
    #[test]
    fn a_bar_is_as_far_from_a_skin_as_parry_has_its_triangles(
        one in bar(), bumps in prop::collection::vec(-60.0..60.0f64, 169), within in 0.0..400.0,
    ) {
        let side = 13;
        let at = |i: usize| Vector3::new(50.0 * (i % side) as f64 - 300.0, 50.0 * (i / side) as f64 - 300.0, bumps[i]);
        let corners: Vec<_> = (0..side * side).map(at).collect();
        let cells = (0..side * (side - 1)).filter(|i| i % side + 1 < side);
        let triangles: Vec<[u32; 3]> =
            cells.flat_map(|i| [[i, i + 1, i + side + 1], [i, i + side + 1, i + side]]).map(|t| t.map(|c| c as u32)).collect();
        let axis = Segment::new(parry(one.a), parry(one.b));
        let of = |t: &[u32; 3]| {
            let [a, b, c] = t.map(|i| parry(corners[i as usize]));
            query::distance(&Pose::IDENTITY, &axis, &Pose::IDENTITY, &Triangle::new(a, b, c)).expect("supported").distance
        };
        let core = triangles.iter().map(of).fold(f64::INFINITY, f64::min) - one.radius;
        let skin = Solid::of_skin(Skin::new(corners, triangles));
        let found = apart(&[one], &skin, f64::INFINITY).expect("nearer than infinity");
        prop_assert!((found.gap - core).abs() < 1e-3, "{} {core}", found.gap);
        match apart(&[one], &skin, within) {
            Some(near) => prop_assert!((near.gap - found.gap).abs() < 1e-9 && near.gap < within),
            None => prop_assert!(found.gap >= within),
        }
    }

    /// A bar and a box: apart as parry has them, touching where parry has them touch, and as deep inside as the way out.
    #[test]
    fn a_bar_is_as_far_from_a_box_as_parry_has_it(one in bar(), half in [20.0..200.0, 20.0..200.0, 20.0..200.0]) {
        let half = Vector3::from(half);
        let found = apart(&[one], &boxed(-half, half), f64::INFINITY).expect("nearer than infinity");
        let capsule = Capsule::new(parry(one.a), parry(one.b), one.radius);
        let cuboid = Cuboid::new(parry(half));
        let apart = query::distance(&Pose::IDENTITY, &capsule, &Pose::IDENTITY, &cuboid).expect("supported").distance;
        prop_assert!((found.gap.max(0.0) - apart).abs() < 1e-3, "{} {apart}", found.gap);
        // A box is convex, so an axis with both ends in it is nearest to its surface at one of them.
        let depth = |p: Vector3<f64>| (half - p.abs()).min();
        let least = depth(one.a).min(depth(one.b));
        if least > 0.0 {
            prop_assert!((found.gap + least + one.radius).abs() < 1e-9, "{} {least}", found.gap);
        }
    }
}

fn study(text: &str) -> Study {
    let file = CarFile::from_text(text.to_owned(), None).unwrap_or_else(|e| panic!("{e}"));
    Study::new(file.car().clone()).expect("it can be swept")
}

fn gaps(study: &Study) -> Gaps {
    study.gaps(&BodyPose::default()).expect("ride height")
}

fn with(text: &str, changes: &[(&str, &str)]) -> String {
    changes.iter().fold(text.to_owned(), |text, (from, to)| {
        assert_eq!(text.matches(from).count(), 1, "`{from}` should stand once");
        text.replacen(from, to, 1)
    })
}

/// The same car with more of its own lists, in the place of the demo's blocks, tubes and nodes and of the proposal that
/// builds on them.
fn dunlin_and(more: &str) -> String {
    let without = |text: &str, from: &str, to: &str| {
        let (from, to) = (text.find(from).expect("it is there"), text.rfind(to).expect("it is there"));
        format!("{}{}", &text[..from], &text[to..])
    };
    let plain = without(DUNLIN, "    blocks: [", "    panels: [");
    let plain = without(&plain, "        (\n            name: \"low and cut\"", "    ],\n)");
    let plain = without(&plain, "                // The towers go up", "                set_sweep(");
    with(&plain, &[("    sweep: (bump: 65,", &format!("    {more}\n    sweep: (bump: 65,"))])
}

/// Every demo car as found, with its scans.
fn demos() -> Vec<(String, Study)> {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("scenes");
    let files = std::fs::read_dir(folder).expect("scenes").map(|e| e.expect("a file").path());
    let mut paths: Vec<_> = files.filter(|p| p.extension().is_some_and(|e| e == "ron")).collect();
    paths.sort();
    let open = |path: &std::path::PathBuf| {
        let file = CarFile::open(path).unwrap_or_else(|e| panic!("{e}"));
        let scans = Scans::load(&file, file.car()).expect("its scans");
        Study::with_scans(file.car().clone(), &scans).expect("it can be swept")
    };
    paths.iter().map(|p| (p.file_name().expect("a name").to_string_lossy().into_owned(), open(p))).collect()
}

/// What is sold as a car that fits must fit.
#[test]
fn every_demo_as_found_is_clear() {
    for (name, study) in demos() {
        let told = gaps(&study);
        let short: Vec<_> = told.pairs.iter().filter(|p| p.verdict != Verdict::Clear).map(|p| (&p.a, &p.b)).collect();
        assert!(short.is_empty(), "{name}: {short:?}");
        assert!(told.pairs.iter().any(|p| p.place.a.is_moving() && p.place.b.is_moving()), "{name} measures linkages");
    }
}

/// Parts that a bolt or a joint holds together are no finding. The pairs that each demo has to leave out are those that
/// share a point or carry one another; of the others none may be in each other where the car was measured.
#[test]
fn what_is_joined_is_left_out_and_says_how() {
    for (name, study) in demos() {
        for hub in study.gear.hubs() {
            for place in study.parts.at_wheel(hub) {
                let (Role::Moving(_, i), Role::Moving(_, j)) = (place.a, place.b) else { continue };
                let [one, other] = [i, j].map(|k| &study.parts.moving(hub)[k]);
                let shared = one.points().find(|(p, _)| other.points().any(|(q, _)| q == *p));
                assert_eq!(shared, None, "{name}: {} and {}", one.name, other.name);
            }
        }
    }
    let left_out = study(GODWIT).left_out();
    let why = |a: &str, b: &str| left_out.iter().find(|p| p.a == a && p.b == b).map(|p| p.why.as_str());
    assert_eq!(why("left rear lower link", "rear axle tube"), Some("the lower link is mounted on the axle tube"));
    assert_eq!(why("left drop link", "left bar lever"), Some("they share the anti-roll bar, lever end"));
    assert_eq!(why("left rear lower link", "left rear rail"), Some("the lower link, body end is on it"));
    // The lower arm has its pickups on the subframe, which is not described: it is measured against the rail.
    assert_eq!(why("left lower arm", "left front rail"), None);
    // Not because it is joined to nothing: a drop link hangs beside the lateral rod, and may meet it.
    assert_eq!(why("rear lateral rod", "left rear drop link"), None);
}

/// A part is an arm's mount only where the arm leaves it. What lies beside a pickup and has the arm running through it, or
/// is met by it in bump, is no mount. The demos' own mounts stay mounts; the reach is common practice, no source.
#[test]
fn what_an_arm_runs_through_is_not_taken_for_its_mount() {
    let beside = |shape: &str| {
        let battery = format!("blocks: [\n        (name: \"battery\", shape: box({shape})),");
        let study = study(&with(DUNLIN, &[("blocks: [", &battery)]));
        let with_battery = |a: &str, b: &str| b == "battery" && a == "left upper arm";
        let left_out = study.left_out().iter().any(|p| with_battery(&p.a, &p.b));
        let verdict = gaps(&study).pairs.iter().find(|p| with_battery(&p.a, &p.b)).map(|p| p.verdict);
        (left_out, verdict)
    };
    // 8 mm from the front pickup, and the arm's front leg right through it.
    assert_eq!(beside("from: (-50, 400, 300), to: (120, 600, 480)"), (false, Some(Verdict::Touches)));
    // The same, over the arm at ride height: bump brings the arm into it.
    assert_eq!(beside("from: (-50, 400, 385), to: (120, 600, 480)"), (false, Some(Verdict::Touches)));
    // A bracket that holds the pickup, as wide as the arm's rail.
    assert_eq!(beside("from: (60, 350, 330), to: (120, 430, 390)"), (true, None));
    // A damper stands in its tower, and not in what fills the wheel's house.
    let tower = |low: &str| {
        let text = with(DUNLIN, &[("from: (-80, 370, 520)", low)]);
        study(&text).left_out().iter().any(|p| p.a == "left damper" && p.b == "left damper tower")
    };
    assert!(tower("from: (-80, 370, 490)") && !tower("from: (-80, 370, 300)"));
}

/// The same of two moving parts: a damper stands on its arm, and may not lean through the arm's leg further up; a bent leg brings the two together.
#[test]
fn a_damper_is_on_its_arm_only_where_it_stands_on_it() {
    let left_out = |text: &str| study(text).left_out().iter().any(|p| p.a == "left lower arm" && p.b == "left damper");
    assert!(left_out(DUNLIN));
    let bent = "lower: (od: \"1 in\", wall: \"0.250 in\"), lower_arm: (front_bend: (at: 130, inward: 60, up: 120)),";
    assert!(!left_out(&with(DUNLIN, &[("lower: (od: \"1 in\", wall: \"0.250 in\"),", bent)])));
}

/// Half-way through a tyre, and through a face with a bar's whole thickness, depth grows no more: by how much too little was
/// cut it cannot tell, and that is said once for all such pairs.
#[test]
fn an_overlap_as_deep_as_can_be_told_says_so() {
    let said = |notes: &[String]| {
        notes.iter().filter(|n| n.starts_with("As deep as can be told: ")).cloned().collect::<Vec<_>>()
    };
    let file = CarFile::from_text(DUNLIN.to_owned(), None).expect("it reads");
    let low = Study::new(file.proposed("low and wide").expect("it can be")).expect("it stands");
    let told = said(&gaps(&low).notes);
    assert!(told.len() == 1 && told[0].contains("left front tyre and left upper rail"), "{told:?}");
    // Into the arm it goes by 8 mm, of some 54 that there are.
    assert!(!told[0].contains("lower arm"), "{told:?}");
    let front = Hub { axle: AxleName::Front, side: Side::Left };
    let map = low.map(front, Among::Wheel, 9, 9).expect("a map");
    assert_eq!(said(&map.notes).len(), 1, "{:?}", map.notes);
    assert!(said(&gaps(&study(DUNLIN)).notes).is_empty(), "as found nothing touches");
    // A plate of sheet right through the damper is as deep in it as the damper is thick.
    let shelf = "blocks: [\n        (name: \"shelf\", shape: box(from: (-200, 400, 400), to: (200, 700, 420))),";
    let struck = study(&with(DUNLIN, &[("blocks: [", shelf)]));
    let told = gaps(&struck);
    let depth =
        told.pairs.iter().find(|p| p.a == "left damper" && p.b == "shelf").expect("they touch").worst.gap.gap_mm;
    assert!((depth + 31.0).abs() < 1e-6, "its radius: {depth}");
    assert!(said(&told.notes)[0].contains("left damper and shelf"), "{:?}", told.notes);
}

/// No pose of the sweep is worse than what was proven, wherever it is.
#[test]
fn no_pose_is_worse_than_what_is_proven() {
    let mut seed = 1u64;
    let mut random = move || {
        // Numerical Recipes' linear congruence, from memory: any even spread will do.
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (seed >> 11) as f64 / (1u64 << 53) as f64
    };
    for (name, study) in demos() {
        study.prove(|| false);
        let told = gaps(&study);
        for sweep in &study.sweeps {
            let [low, high] = sweep.range;
            for _ in 0..150 {
                let at = low + (high - low).component_mul(&Vector2::new(random(), random()));
                let pose = sweep.pose(&study.gear, at).expect("within the sweep");
                for pair in study.parts.at_wheel(sweep.hub).iter().filter(|p| p.a.is_moving()) {
                    let told = told.pairs.iter().find(|p| p.place == *pair);
                    // What is not told stays away, but for what a proof may leave open of that.
                    let away = pair.within - 0.15 * (pair.within - pair.wanted);
                    let at_least = told.map_or(Some(away), |p| p.worst.at_least_mm);
                    let Some(at_least) = at_least else { continue };
                    let gap = study.parts.gap(&study.gear, pair, &pose, at_least);
                    let names = [pair.a, pair.b].map(|role| study.parts.name(role));
                    assert!(
                        gap.is_none_or(|n| n.gap > at_least - 1e-6),
                        "{name}: {names:?} {gap:?} {at_least} at {at:?}"
                    );
                }
            }
        }
    }
}

/// A proof says what the search says, less what it may leave open: a tenth of a millimetre, or three twentieths of what is
/// in hand.
#[test]
fn what_is_proven_is_not_far_from_what_is_found() {
    let study = study(DUNLIN);
    study.prove(|| false);
    for pair in gaps(&study).pairs.iter().filter(|p| p.place.a.is_moving() && p.place.b != Role::Ground) {
        let at_least = pair.worst.at_least_mm.expect("proven");
        let left = pair.worst.gap.gap_mm - at_least;
        let may = 0.1f64.max(0.15 * pair.in_hand()) + 1e-6;
        assert!((0.0..=may).contains(&left), "{} {}: {left} of {may}", pair.a, pair.b);
    }
}

/// A thin arm goes past a wire that it touches only half-way between two poses of the search.
#[test]
fn a_touch_between_the_poses_of_the_search_is_found_and_proven() {
    let hub = Hub { axle: AxleName::Rear, side: Side::Left };
    let thin = with(DUNLIN, &[("arms: (lower: (od: 76, wall: 5))", "arms: (lower: (od: 4))")]);
    let before = study(&thin);
    let sweep = before.sweep(hub);
    let [low, high] = sweep.range;
    let step = (high.x - low.x) / 12.0;
    let between = Vector2::new(low.x + 2.5 * step, 0.0);
    let pose = sweep.pose(&before.gear, between).expect("within the sweep");
    let index = before.parts.moving(hub).iter().position(|m| m.name == "trailing arm").expect("a trailing arm");
    let leg = before.parts.bars(&before.gear, Role::Moving(hub, index), &pose).expect("its bars")[0];
    let at = leg.a + (leg.b - leg.a) * 0.85;
    // Along the car and level, a hand's width: square to the arm's leg and to its way.
    let along = (leg.b - leg.a).cross(&Vector3::z()).normalize() * 10.0;
    let [p, q] = [at - along, at + along].map(|p| format!("({:.9}, {:.9}, {:.9})", p.x, p.y, p.z));
    let wire = format!("    tubes: [\n        (name: \"wire\", mirror: true, od: 1, points: [{p}, {q}]),");
    let planted = study(&with(&thin, &[("    tubes: [", &wire)]));
    let named = |role| planted.parts.name(role);
    let pair = *planted
        .parts
        .at_wheel(hub)
        .iter()
        .find(|p| named(p.a) == "left rear trailing arm" && named(p.b) == "left wire")
        .expect("measured");
    let sweep = planted.sweep(hub);
    let gap =
        |at: &Vector2<f64>, pose| planted.parts.gap(&planted.gear, &pair, pose, 40.0).map_or(40.0, |n| (n.gap, at).0);
    let seen = sweep.poses.iter().map(|(at, pose)| gap(at, pose)).fold(f64::INFINITY, f64::min);
    assert!(seen > 0.5, "the search's own poses miss it by {seen}");
    planted.prove(|| false);
    let told = gaps(&planted);
    let told = told.pairs.iter().find(|p| p.place == pair).expect("told");
    assert_eq!(told.verdict, Verdict::Touches);
    // Both radii deep, but for what is left of it where the two cross at their very best.
    assert!((told.worst.gap.gap_mm + 2.5).abs() < 0.05, "{}", told.worst.gap.gap_mm);
    let proven = told.worst.at_least_mm.expect("proven");
    assert!((-2.65..=-2.45).contains(&proven), "{proven}");
}

/// The car's own sump, exhaust and cage, as simple as they come.
#[test]
fn tubes_and_blocks_are_measured_against_what_moves_and_the_ground() {
    let text = dunlin_and(
        "tubes: [(name: \"exhaust\", od: 50, wall: 1.5, points: [(300, 0, 120), (-1500, 0, 120)])],\n    \
         blocks: [\n        (name: \"sump\", shape: box(from: (-150, -240, 110), to: (250, 240, 300))),\n        \
         (name: \"battery\", mirror: true, shape: plan(outline: [(-400, 330), (-300, 330), (-300, 420)], bottom: 500, top: 700)),\n    ],",
    );
    let study = study(&text);
    let told = gaps(&study);
    let gap = |a: &str, b: &str| told.pairs.iter().find(|p| p.a == a && p.b == b).map(|p| p.worst.gap.gap_mm);
    let ground = gap("sump", "ground").expect("the sump is low");
    let tube = gap("exhaust", "ground").expect("so is the exhaust");
    // At ride height they stand 110 and 95 mm over it; 65 mm of bump and the pitch take from that.
    assert!(ground < 45.0 && ground > 30.0 && tube < 30.0, "{ground} {tube}");
    assert!(
        gap("left tie rod", "sump").is_some_and(|g| g > 5.0 && g < 25.0),
        "the rack brings the tie rod near the sump"
    );
    assert!(study.parts.body.iter().filter(|p| p.base == "battery").count() == 2);
    assert!(
        study
            .parts
            .body
            .iter()
            .all(|p| p.base == "exhaust" || p.kind == scribeline::space::Kind::Panel || p.solid.closed)
    );
    assert!(told.pairs.iter().all(|p| !matches!((p.place.a, p.place.b), (Role::Body(_), Role::Body(_)))));
}

/// A driveshaft goes from the final drive to the wheel.
#[test]
fn a_driveshaft_is_measured_against_arms_and_damper() {
    let text = with(
        include_str!("../scenes/snipe.ron"),
        &[
            (
                "damper_bottom: (-2585, 485, 220),",
                "damper_bottom: (-2585, 485, 220),\n            shaft_inner: (-2520, 150, 282),",
            ),
            ("axle: (od: 80, wall: 3)", "axle: (od: 80, wall: 3), shaft: (od: 28)"),
        ],
    );
    let study = study(&text);
    let told = gaps(&study);
    let has = |a: &str, b: &str| told.pairs.iter().any(|p| p.a == a && p.b == b);
    assert!(
        has("left rear damper", "left rear driveshaft"),
        "{:?}",
        told.pairs.iter().map(|p| (&p.a, &p.b)).collect::<Vec<_>>()
    );
    // It runs beside the beam, from hub to hub, and into the wheel.
    assert!(study.left_out().iter().any(|p| p.a == "rear axle tube" && p.b == "left rear driveshaft"));
    assert!(!told.pairs.iter().any(|p| p.a == "left rear rim" && p.b.contains("driveshaft")));
}

#[test]
fn an_ignored_pair_is_not_measured_and_is_told_with_its_reason() {
    let pair = "ignore: [(\"left front tyre\", \"left wheel arch\", \"liner is trimmed on the day\")],";
    let told = gaps(&study(&dunlin_and(pair)));
    assert!(!told.pairs.iter().any(|p| p.a == "left front tyre" && p.b == "left wheel arch"));
    assert!(told.pairs.iter().any(|p| p.a == "right front tyre" && p.b == "right wheel arch"));
    assert_eq!(told.ignored.len(), 1);
    assert_eq!(told.ignored[0].why, "liner is trimmed on the day");
    // Without the side it is both; and either may come first.
    let both = gaps(&study(&dunlin_and("ignore: [(\"wheel arch\", \"front tyre\", \"no liner\")],")));
    assert!(!both.pairs.iter().any(|p| p.a.contains("front tyre") && p.b.contains("wheel arch")));
    assert_eq!(both.ignored.len(), 2);
}

#[test]
fn a_pair_is_brought_in_or_given_a_wanted_gap_of_its_own() {
    // Joined, and so left out by rule.
    let before = study(DUNLIN);
    assert!(before.left_out().iter().any(|p| p.a == "left upper arm" && p.b == "left lower rail"));
    let after = study(&dunlin_and(
        "measure: [(\"upper arm\", \"lower rail\", \"1/4 in\"), (\"left tie rod\", \"left lower arm\")],",
    ));
    let told = gaps(&after);
    let pair = |a: &str, b: &str| told.pairs.iter().find(|p| p.a == a && p.b == b).expect("told");
    for side in ["left", "right"] {
        let arm = pair(&format!("{side} upper arm"), &format!("{side} lower rail"));
        assert!((arm.wanted_mm - 6.35).abs() < 1e-9);
    }
    assert!(!after.left_out().iter().any(|p| p.b == "left lower rail"));
    // In already, and with its kind's wanted gap.
    assert_eq!(pair("left lower arm", "left tie rod").wanted_mm, 3.0);
    // A part of the other side only by its whole name.
    let across = study(&dunlin_and("measure: [(\"left lower arm\", \"right lower rail\", 5)],"));
    let names = |p: &Place| [across.parts.name(p.a), across.parts.name(p.b)];
    let all: Vec<_> = Hub::ALL.iter().flat_map(|h| across.parts.at_wheel(*h)).map(names).collect();
    assert!(all.contains(&["left lower arm".to_owned(), "right lower rail".to_owned()]));
}

/// The window's edits: a pair is left out with a reason, and heeded again as it was; what is joined is brought in.
#[test]
fn pairs_are_left_out_and_brought_in_by_edits() {
    let file = CarFile::from_text(DUNLIN.to_owned(), None).unwrap_or_else(|e| panic!("{e}"));
    let pair = ["front tyre", "wheel arch"].map(str::to_owned);
    let ignored = file.edit(&Edit::IgnorePair { pair: pair.clone(), why: "no \"liner\" yet".to_owned() }).unwrap();
    let told = gaps(&study(ignored.text()));
    assert_eq!(told.ignored.len(), 2, "left and right");
    assert_eq!(told.ignored[0].why, "no \"liner\" yet");
    let [a, b] = pair.clone();
    let heeded = ignored.edit(&Edit::HeedPair { pair: [b, a] }).unwrap();
    assert_eq!(heeded.car(), file.car());
    assert!(heeded.edit(&Edit::HeedPair { pair }).unwrap_err().to_string().contains("does not ignore"));
    let more = |wanted| {
        let pair = ["left upper arm", "left lower rail"].map(str::to_owned);
        file.edit(&Edit::MeasurePair { pair, wanted }).unwrap()
    };
    let wanted = |file: CarFile| {
        let told = gaps(&study(file.text()));
        told.pairs.iter().find(|p| p.a == "left upper arm" && p.b == "left lower rail").expect("told").wanted_mm
    };
    assert_eq!(wanted(more(Some(7.5))), 7.5);
    assert!(wanted(more(None)) > 0.0, "that of its kind");
    let lost = Edit::IgnorePair { pair: ["front tire", "wheel arch"].map(str::to_owned), why: "x".to_owned() };
    assert!(file.edit(&lost).unwrap_err().to_string().contains("did you mean `front tyre`"));
}

/// An entry may speak of what only a proposal brings: as found it says nothing.
#[test]
fn a_pair_may_name_a_part_of_a_proposal() {
    let text = dunlin_and("ignore: [(\"front tyre\", \"splitter\", \"cut away behind the wheel\")],");
    let file = CarFile::from_text(text, None).unwrap_or_else(|e| panic!("{e}"));
    assert!(Parts::new(file.car()).ignored.is_empty());
    assert!(!Parts::new(&file.proposed("low and wide").expect("it can be made")).ignored.is_empty());
}

fn error(more: &str) -> CarError {
    CarFile::from_text(dunlin_and(more), None).err().unwrap_or_else(|| panic!("`{more}` should be an error"))
}

#[test]
fn what_is_wrong_with_a_pair_is_said_at_its_place() {
    for (more, at, what) in [
        (
            "ignore: [(\"front tire\", \"wheel arch\", \"x\")],",
            "\"front tire\"",
            "there is no part `front tire`: did you mean `front tyre`?",
        ),
        (
            "ignore: [(\"front tyre\", \"bonnet scoop\", \"x\")],",
            "\"bonnet scoop\"",
            "parts are called as `scribeline gaps` calls them",
        ),
        ("ignore: [(\"front tyre\", \"wheel arch\", \" \")],", "\" \"", "say why"),
        ("measure: [(\"lower rail\", \"upper rail\", 5)],", "(\"lower rail\"", "not measured against each other"),
        ("measure: [(\"left lower arm\", \"right tie rod\")],", "(\"left lower arm\"", "one of its own axle and side"),
        ("measure: [(\"tie rod\", \"lower rail\", 400)],", "400", "from nothing up to 100 mm"),
        ("tubes: [(name: \"cage\", od: 40, points: [(0, 0, 0)])],", "points: [(0, 0, 0)]", "needs two corners"),
        (
            "tubes: [(name: \"upper rail\", od: 40, points: [(0, 0, 0), (9, 0, 0)])],",
            "\"upper rail\"",
            "two parts are called `upper rail`",
        ),
        (
            "blocks: [(name: \"sump\", shape: box(from: (0, 0, 0), to: (100, 100, 0)))],",
            "to: (100, 100, 0)",
            "no thickness",
        ),
        (
            "blocks: [(name: \"sump\", shape: plan(outline: [(0, 0), (9, 0), (9, 9)], bottom: 10, top: 5))],",
            "5))",
            "is not over the bottom",
        ),
    ] {
        let error = error(more);
        assert!(error.what().contains(what), "{more}: {error}");
        let text = dunlin_and(more);
        let line = text.lines().nth(error.line().expect("placed") - 1).expect("a line");
        let there: String = line.chars().skip(error.column().expect("placed") - 1).collect();
        assert!(there.starts_with(at), "{more}: {error}");
    }
    let shaft = with(
        DUNLIN,
        &[("damper_bottom: (-12, 564, 176),", "damper_bottom: (-12, 564, 176), shaft_inner: (0, 150, 260),")],
    );
    let error = CarFile::from_text(shaft, None).expect_err("no shaft");
    assert!(error.what().contains("add `shaft: (od: ...)` to `arms`"), "{error}");
}
