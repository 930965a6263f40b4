//! Gaps over bump and steer, lock over the wheel travel, and gaps along a motion.

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use nalgebra::Vector2;
use scribeline::answer::lock::LockCurve;
use scribeline::answer::map::{Level, NODES};
use scribeline::answer::{Among, Fitted, GapMap, NoMap, PairName, Study, Subject, Told, Verdict, along};
use scribeline::car::{AxleName, CarFile, Hub, Shown, Side};
use scribeline::motion::{Along, Quantity};
use scribeline::space::{FAR, Place, known_to};
use serde_json::Value;

const DUNLIN: &str = include_str!("../scenes/dunlin.ron");
const LEFT: Hub = Hub { axle: AxleName::Front, side: Side::Left };

/// A front axle on parallel arms of one length about an upright kingpin: the wheel keeps upright in bump and steer, so
/// that the top of its tread is its radius over its centre whatever it does. Over it lies a level lid.
const UPRIGHT: &str = r#"(
    format: 1, name: "Upright", unit: mm, origin: "front axle, centreline, ground", wheelbase: 2400,
    front: (
        linkage: wishbone,
        points: {
            lower_front: (150, 350, 180), lower_rear: (-150, 350, 180), lower_ball_joint: (0, 640, 180),
            upper_front: (150, 350, 380), upper_rear: (-150, 350, 380), upper_ball_joint: (0, 640, 380),
            tie_rod_inner: (110, 350, 250), tie_rod_outer: (110, 640, 250), wheel_centre: (0, 720, 280),
        },
        alignment: (camber: 0, toe: 0),
        arms: (lower: (od: 25), upper: (od: 25), tie_rod: (od: 18)),
        rack: (travel: 50), wheel: (width: "5.5 in", offset: 30), tyre: (size: "175/70R13"),
    ),
    rails: [], panels: [],
    blocks: [(name: "lid", mirror: true, shape: box(from: (-800, 300, LID), to: (800, 1200, 800)))],
    sweep: (bump: 60, droop: 60, roll: 3, pitch: 1),
    wanted: (tyre_to_body: 15),
)"#;

fn study(text: &str) -> Study {
    let file = CarFile::from_text(text.to_owned(), None).unwrap_or_else(|e| panic!("{e}"));
    Study::new(file.car().clone()).unwrap_or_else(|e| panic!("{e}"))
}

fn low_and_wide() -> Study {
    let file = CarFile::from_text(DUNLIN.to_owned(), None).expect("the demo");
    Study::new(file.proposed("low and wide").expect("its proposal")).expect("it stands")
}

fn pair(study: &Study, a: &str, b: &str) -> Vec<Place> {
    let name = PairName { a: a.into(), b: b.into() };
    name.places(&study.parts, &study.car.wanted)
}

/// An even spread of numbers from 0 to 1 (a linear congruence, from memory).
fn random() -> impl FnMut() -> f64 {
    let mut seed = 7u64;
    move || {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (seed >> 11) as f64 / (1u64 << 53) as f64
    }
}

fn contour(map: &GapMap, level: Level) -> Vec<[f64; 2]> {
    map.contours.iter().filter(|c| c.level == level).flat_map(|c| c.lines_mm.iter().flatten().copied()).collect()
}

/// The lid's height over the tread as it stands at ride height, for a lid this far over the ground.
fn over_tread(study: &Study, lid: f64) -> f64 {
    let axle = &study.car.front;
    lid - study.gear.ride(LEFT).wheel_centre.z - axle.tyre.mounted(&axle.wheel).radius
}

/// Closed form: under a level lid the gap falls one for one with bump, at every rack.
#[test]
fn under_a_level_lid_the_gap_falls_one_for_one_with_bump() {
    let study = study(&UPRIGHT.replace("LID", "600"));
    let lid = pair(&study, "left front tyre", "left lid");
    assert_eq!(lid.len(), 1);
    let map = study.map(LEFT, Among::Pairs(&lid), 9, 13).expect("a map");
    let free = over_tread(&study, 600.0);
    assert!(free > 0.0 && free < 100.0, "{free}");
    for (row, travel) in map.cells.iter().zip(&map.up.values_mm) {
        for cell in row.iter().map(|c| c.as_ref().expect("near")) {
            assert!((cell.gap_mm - (free - travel)).abs() < 2e-3, "{} at {travel}, not {}", cell.gap_mm, free - travel);
            assert!((cell.in_hand_mm - (cell.gap_mm - 15.0)).abs() < 1e-9);
        }
    }
    // So every contour is a level line at the travel that its gap leaves.
    let mut drawn = 0;
    for contour in &map.contours {
        let gap = match contour.level {
            Level::Wanted => 15.0,
            Level::Touch => 0.0,
            Level::Gap(mm) => mm,
        };
        for p in contour.lines_mm.iter().flatten() {
            assert!((p[1] - (free - gap)).abs() < 0.01, "{gap} at {p:?}, not {}", free - gap);
            drawn += 1;
        }
        // From stop to stop.
        let across = contour.lines_mm.iter().flatten().map(|p| p[0]);
        let ends = across.fold([f64::MAX, f64::MIN], |[l, h], v| [l.min(v), h.max(v)]);
        assert_eq!(ends, [-50.0, 50.0]);
    }
    assert!(drawn > 0);
    // The part that is short, by the same rule.
    let short = ((60.0 - (free - 15.0)) / 120.0).clamp(0.0, 1.0);
    assert!((map.short_share - short).abs() < 1e-3, "{} {short}", map.short_share);
    let worst = map.worst.expect("near");
    assert!((worst.cell.gap_mm - (free - 60.0)).abs() < 5e-3 && worst.at_mm[1] > 59.9, "{worst:?}");
}

#[test]
fn a_lid_that_the_tread_meets_is_drawn_where_it_meets_it() {
    let study = study(&UPRIGHT.replace("LID", "580"));
    let lid = pair(&study, "left front tyre", "left lid");
    let map = study.map(LEFT, Among::Pairs(&lid), 9, 33).expect("a map");
    let free = over_tread(&study, 580.0);
    assert_eq!(map.verdict, Verdict::Touches);
    let touch = contour(&map, Level::Touch);
    assert!(!touch.is_empty() && touch.iter().all(|p| (p[1] - free).abs() < 0.05), "{free} {touch:?}");
}

/// Whatever the map passes over, its numbers are those of the pairs measured one by one.
#[test]
fn a_map_says_what_every_pair_measured_alone_says() {
    let study = low_and_wide();
    for among in [Among::Wheel, Among::Everything] {
        let (columns, rows) = (14, 11);
        let map = study.map(LEFT, among, columns, rows).expect("a map");
        let sweep = study.sweep(LEFT);
        let mut random = random();
        for _ in 0..60 {
            let (i, k) = ((random() * columns as f64) as usize, (random() * rows as f64) as usize);
            let at = Vector2::new(map.up.values_mm[k], map.across.values_mm[i]);
            let pose = sweep.pose(&study.gear, at).expect("within the sweep");
            let gap = |p: &Place| study.parts.gap(&study.gear, p, &pose, FAR).map(|n| n.gap);
            let all: Vec<(f64, f64)> = map.pairs.iter().filter_map(|p| Some((gap(&p.place)?, p.wanted_mm))).collect();
            let in_hand = all.iter().map(|(gap, wanted)| gap - wanted).fold(f64::INFINITY, f64::min);
            let least = all.iter().map(|(gap, _)| *gap).fold(f64::INFINITY, f64::min);
            let cell = map.cells[k][i].expect("near");
            // Each measured by itself.
            let known = |v: f64| 2.0 * known_to(v) + 1e-9;
            assert!((cell.in_hand_mm - in_hand).abs() < known(cell.gap_mm), "{cell:?} {in_hand} at {at:?}");
            assert!((cell.least_gap_mm - least).abs() < known(least), "{cell:?} {least} at {at:?}");
            let own = gap(&map.pairs[cell.pair].place).expect("near");
            assert!((own - cell.gap_mm).abs() < known(own), "{cell:?} {own}");
        }
    }
}

#[test]
fn no_cell_is_shorter_than_the_worst_place() {
    for study in [study(DUNLIN), low_and_wide()] {
        for hub in [LEFT, Hub { side: Side::Right, ..LEFT }] {
            let map = study.map(hub, Among::Everything, NODES, NODES).expect("a map");
            let worst = map.worst.expect("near").cell;
            let cells = map.cells.iter().flatten().flatten();
            assert!(cells.clone().all(|c| c.in_hand_mm >= worst.in_hand_mm), "{worst:?}");
            // And it is what the gaps answer says of the same pair.
            let gaps = study.gaps(&Default::default()).expect("gaps");
            let told = gaps.pairs.iter().find(|p| p.place == map.pairs[worst.pair].place).expect("told");
            assert!(worst.gap_mm <= told.worst.gap.gap_mm + 1e-9, "{worst:?} {:?}", told.worst);
        }
    }
}

/// One number however it is asked for: what the tyre is into a rail at worst, in `gaps`, on its map and where the rail is
/// cut; and what it is into it at ride height, in `gaps` and at the map's node there. Printed they are the same.
#[test]
fn gaps_map_and_cut_print_the_same_depth_of_an_overlap() {
    let study = low_and_wide();
    study.prove(|| false);
    let gaps = study.gaps(&Default::default()).expect("gaps");
    let cut = study.proven_cut();
    let mut held = 0;
    for rail in &cut.rails {
        let into = gaps.pairs.iter().filter(|p| p.b == rail.rail && p.a.ends_with("tyre"));
        let pair = into.min_by(|a, b| a.worst.gap.gap_mm.total_cmp(&b.worst.gap.gap_mm)).expect("told");
        let map = study.map(pair.wheel.expect("a wheel"), Among::Pairs(&[pair.place]), NODES, NODES).expect("a map");
        let [worst, here] = [pair.worst.gap.gap_mm, pair.here.expect("near").gap_mm];
        let on_map = map.worst.expect("near").cell.gap_mm;
        let middle = map.cell_at([0.0, 0.0]).expect("on the map").gap_mm;
        let print = |mm: f64| Shown::Mm.cell(mm);
        assert_eq!([print(on_map), print(-rail.depth_mm)], [print(worst), print(worst)], "{}", rail.rail);
        // The node nearest to ride height is up to half a step of travel from it.
        let step = (map.up.values_mm[1] - map.up.values_mm[0]) / 2.0;
        assert!((here - middle).abs() < step, "{here} {middle}");
        assert!(worst < -50.0 && here < -20.0);
        held += 1;
    }
    assert_eq!(held, 2);
}

/// The gap's own root along the travel, found by halving at the rack of a contour's point.
#[test]
fn contours_lie_where_the_gap_is() {
    let study = low_and_wide();
    let map = study.map(LEFT, Among::Wheel, NODES, NODES).expect("a map");
    let sweep = study.sweep(LEFT);
    let least = |travel: f64, rack: f64| {
        let pose = sweep.pose(&study.gear, Vector2::new(travel, rack)).expect("within the sweep");
        let gap = |p: &Place| study.parts.gap(&study.gear, p, &pose, FAR).map_or(FAR, |n| n.gap);
        map.pairs.iter().map(|p| gap(&p.place)).fold(f64::INFINITY, f64::min)
    };
    let touch = contour(&map, Level::Touch);
    assert!(touch.len() > 20, "{}", touch.len());
    // Along the travel and along the rack: a line that runs with the one is crossed by the other.
    let root = |at: [f64; 2], way: usize| {
        let values = [&map.across.values_mm, &map.up.values_mm][way];
        let step = values[1] - values[0];
        let there = |v: f64| if way == 1 { least(v, at[0]) } else { least(at[1], v) };
        let [mut low, mut high] =
            [at[way] - step, at[way] + step].map(|v| v.clamp(values[0], values[values.len() - 1]));
        let up = there(high) < 0.0;
        if up == (there(low) < 0.0) {
            return None;
        }
        for _ in 0..30 {
            let middle = (low + high) / 2.0;
            if (there(middle) < 0.0) == up { high = middle } else { low = middle }
        }
        Some((low - at[way]).abs() / step)
    };
    let off = |p: &[f64; 2]| [root(*p, 0), root(*p, 1)].into_iter().flatten().reduce(f64::min);
    let mut off: Vec<f64> = touch.iter().filter_map(off).collect();
    off.sort_by(f64::total_cmp);
    assert!(off.len() > 50, "{}", off.len());
    // Straight from node to node: a small part of a step, but in the one square where another pair takes over.
    assert!(off[off.len() * 9 / 10] < 0.1 && off[off.len() - 1] < 0.5, "{off:?}");
}

/// A rod that stands off a wheel's barrel alike in every pose would have its contours drawn through the last digits.
#[test]
fn a_gap_that_is_alike_all_over_has_no_contours() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("scenes/sanderling.ron");
    let file = CarFile::open(&path).expect("the demo");
    let scans = scribeline::space::Scans::load(&file, file.car()).expect("its scans");
    let study = Study::with_scans(file.car().clone(), &scans).expect("it stands");
    let map =
        study.map(LEFT, Among::Pairs(&pair(&study, "left front rim", "left tie rod")), NODES, NODES).expect("a map");
    let gaps: Vec<f64> = map.cells.iter().flatten().flatten().map(|c| c.gap_mm).collect();
    let (low, high) = gaps.iter().fold((f64::INFINITY, 0.0f64), |(l, h), g| (l.min(*g), h.max(*g)));
    assert!(gaps.len() == NODES * NODES && high - low < 0.1 && low > 10.0, "it is alike all over: {low} to {high}");
    assert!(map.contours.is_empty(), "{:?}", map.contours.len());
}

#[test]
fn a_wheel_with_one_way_to_move_or_no_such_pair_has_no_map() {
    let study = study(DUNLIN);
    let rear = Hub { axle: AxleName::Rear, side: Side::Left };
    assert_eq!(study.map(rear, Among::Wheel, 9, 9), Err(NoMap::OneWay(rear)));
    let right = pair(&study, "right front tyre", "right upper rail");
    assert_eq!(study.map(LEFT, Among::Pairs(&right), 9, 9), Err(NoMap::NoPair(LEFT)));
    let stiff = CarFile::open(&scene("godwit.ron")).expect("a demo").car().clone();
    let map = Study::new(stiff).expect("it stands").map(rear, Among::Wheel, 9, 9).expect("a stiff axle has two ways");
    assert_eq!(map.across.name, "Other wheel's travel");
}

/// Texts of a drawing: class, box (by the room that the widest of plain letters takes), words.
fn texts(svg: &str) -> Vec<(String, [f64; 4], String)> {
    let xml = roxmltree::Document::parse(svg).expect("well-formed");
    let texts = xml.descendants().filter(|n| n.has_tag_name("text"));
    texts
        .map(|n| {
            let number = |name: &str| n.attribute(name).expect("an attribute").parse::<f64>().expect("a number");
            let (x, y, size) = (number("x"), number("y"), number("font-size"));
            let words = n.text().unwrap_or_default().to_owned();
            let wide = words.chars().count() as f64 * size * 0.55;
            let left = match n.attribute("text-anchor") {
                Some("middle") => x - wide / 2.0,
                Some("end") => x - wide,
                _ => x,
            };
            let class = n.attribute("class").unwrap_or_default().to_owned();
            (class, [left, y - 0.8 * size, left + wide, y + 0.2 * size], words)
        })
        .collect()
}

fn check_labels(svg: &str) {
    assert!(!svg.contains("NaN") && !svg.contains("inf"));
    let xml = roxmltree::Document::parse(svg).expect("well-formed");
    let size =
        ["width", "height"].map(|n| xml.root_element().attribute(n).expect("a size").parse::<f64>().expect("one"));
    let texts = texts(svg);
    for (_, b, words) in &texts {
        assert!(b[0] >= 0.0 && b[1] >= 0.0 && b[2] <= size[0] && b[3] <= size[1], "{words}: {b:?} of {size:?}");
    }
    for (n, (_, a, one)) in texts.iter().enumerate() {
        for (_, b, other) in &texts[n + 1..] {
            let apart = a[2] <= b[0] || b[2] <= a[0] || a[3] <= b[1] || b[3] <= a[1];
            assert!(apart, "`{one}` {a:?} lies over `{other}` {b:?}");
        }
    }
}

#[test]
fn a_drawing_names_its_regions_and_no_label_lies_over_another() {
    for study in [study(DUNLIN), low_and_wide(), study(&UPRIGHT.replace("LID", "580"))] {
        for (among, size) in [(Among::Wheel, [1100, 760]), (Among::Everything, [1100, 760]), (Among::Wheel, [0, 0])] {
            let map = study.map(LEFT, among, NODES, NODES).expect("a map");
            for shown in [Shown::Mm, Shown::In] {
                let svg = map.svg(shown, size);
                check_labels(&svg);
                let texts = texts(&svg);
                let has = |words: &str| texts.iter().any(|(_, _, text)| text == words);
                let unit = shown.sign();
                assert!(has(&format!("Rack or pitman travel, {unit} (left positive)")), "{texts:?}");
                assert!(has(&format!("Wheel travel, {unit} (bump positive)")));
                let worst = shown.length(map.worst.expect("near").cell.gap_mm).replace('-', "\u{2212}");
                assert!(texts.iter().any(|(class, _, text)| class == "worst" && *text == worst), "{worst}");
                // Each pair that is shortest over a fiftieth of the map is named or lettered in it.
                for region in map.regions.iter().filter(|r| r.share > 0.02) {
                    let letter = map.letter(region.pair);
                    let named = |text: &str| text.split("  ").next() == Some(letter.as_str());
                    assert!(texts.iter().any(|(class, _, text)| class == "region" && named(text)), "{letter}");
                    assert!(has(&letter), "the key explains {letter}");
                }
            }
        }
    }
}

/// The upright corner between two posts before the wheel: a high one that the tread's shoulder meets in bump, a low one that
/// it meets in droop. In the middle of the travel the rack's stop comes first.
fn between_posts() -> Study {
    let posts = "blocks: [(name: \"high post\", mirror: true, shape: box(from: (180, 300, 440), to: (300, 505, 700))),
        (name: \"low post\", mirror: true, shape: box(from: (180, 300, -100), to: (300, 505, 120))), (name: \"lid\"";
    study(&UPRIGHT.replace("blocks: [(name: \"lid\"", posts).replace("LID", "690"))
}

fn curves() -> [(Study, LockCurve); 3] {
    [study(DUNLIN), low_and_wide(), between_posts()].map(|study| {
        let curve = study.lock_curve();
        (study, curve)
    })
}

#[test]
fn the_lock_curve_is_worst_where_the_lock_answer_says() {
    for (study, curve) in curves() {
        let lock = study.lock();
        for (way, told) in curve.ways.iter().zip(&lock.ways) {
            assert_eq!(way.worst, told.worst);
            let least = way.points.iter().map(|p| p.rack_mm.abs()).fold(f64::INFINITY, f64::min);
            assert!((least - told.worst.rack_mm.abs()).abs() < 0.011, "{least} {:?}", told.worst);
            let ride = way.points.iter().find(|p| p.travel_mm.abs() < 1e-9);
            // A pair that is too near somewhere in the travel is left out of a curve, though not of ride height.
            if let Some(p) = ride.filter(|_| lock.left_out.is_empty()) {
                assert!((p.rack_mm - told.at_ride.rack_mm).abs() < 0.011, "{p:?} {:?}", told.at_ride);
            }
        }
    }
}

/// Just inside each stretch its own pair is the first to touch, and a hair short of the rack told nothing is.
#[test]
fn every_stretch_of_the_lock_curve_is_limited_by_its_own_pair() {
    let (study, curve) = &curves()[2];
    let mut changes = 0;
    for way in &curve.ways {
        assert!(way.points.is_sorted_by(|a, b| a.travel_mm < b.travel_mm));
        assert_eq!(way.stretches.first().map(|s| s.from_mm), way.points.first().map(|p| p.travel_mm));
        assert_eq!(way.stretches.last().map(|s| s.to_mm), way.points.last().map(|p| p.travel_mm));
        for pair in way.stretches.windows(2) {
            assert_eq!(pair[0].to_mm, pair[1].from_mm);
            assert_ne!(pair[0].pair, pair[1].pair);
            changes += 1;
            // Known to a twentieth of a millimetre.
            let on_this_side = |p: &&scribeline::answer::lock::CurvePoint| (p.travel_mm - pair[0].to_mm).abs() <= 0.026;
            assert_eq!(way.points.iter().filter(on_this_side).count(), 2, "{pair:?}");
        }
        for point in &way.points {
            let Some(touch) = &point.touch else {
                assert_eq!(point.rack_mm.abs(), curve.stop_mm);
                continue;
            };
            let place = pair(study, &touch.a, &touch.b)[0];
            let sweep = study.sweep(touch.wheel);
            let gap = |rack: f64| {
                let pose = sweep.pose(&study.gear, Vector2::new(point.travel_mm, rack)).expect("within the sweep");
                study.parts.gap(&study.gear, &place, &pose, FAR).map_or(FAR, |n| n.gap) - touch.wanted_mm
            };
            let sign = point.rack_mm.signum();
            assert!(gap(point.rack_mm + 0.02 * sign) < 0.0 && gap(point.rack_mm - 0.02 * sign) > 0.0, "{point:?}");
        }
    }
    let told = curve.ways.each_ref().map(|w| w.stretches.iter().map(|s| s.pair.clone()).collect::<Vec<_>>());
    assert!(changes >= 4 && told.iter().all(|t| t[1].is_none()), "{told:?}");
}

#[test]
fn a_drawn_lock_curve_keeps_its_labels_apart() {
    for (_, curve) in curves() {
        for shown in [Shown::Mm, Shown::In] {
            for size in [[1000, 700], [0, 0]] {
                let svg = curve.svg(shown, size);
                check_labels(&svg);
                // The worst place is told with the angle that the table has at that travel.
                for way in curve.ways.iter().filter(|w| w.worst.touch.is_some()) {
                    let tightest = way.stretches.iter().map(|s| &way.points[s.tightest]);
                    let worst = tightest.min_by(|a, b| a.rack_mm.abs().total_cmp(&b.rack_mm.abs())).expect("a stretch");
                    let angle = format!("{:.1} deg", way.inner(worst));
                    assert!(texts(&svg).iter().any(|(_, _, text)| text.ends_with(&angle)), "{angle}");
                }
                for pair in curve.ways.iter().flat_map(|w| &w.stretches).filter_map(|s| s.pair.as_ref()) {
                    assert!(texts(&svg).iter().any(|(_, _, text)| text.contains(pair[0].split(' ').next().unwrap())));
                }
            }
        }
    }
}

/// Against wheel travel the lid's gap is the straight line of its closed form; what is further away than anybody
/// measures has no value.
#[test]
fn a_gap_along_travel_falls_one_for_one_and_ends_where_nobody_measures() {
    let near = study(&UPRIGHT.replace("LID", "600"));
    let far = study(&UPRIGHT.replace("LID", "690"));
    let of = |study: &Study, along| {
        let subject = Subject { name: "as found", found: true, car: &study.car, gear: &study.gear };
        let fitted = Fitted { subject, parts: &study.parts };
        along::gap_plot(&[fitted], &["front tyre, lid".parse().unwrap()], along, Shown::Mm).expect("a plot")
    };
    let plot = of(&near, Along::Travel);
    assert_eq!(plot.lines.len(), 2, "left and right");
    let free = over_tread(&near, 600.0);
    for line in &plot.lines {
        for [x, y] in &line.points {
            assert!((y - (free - x)).abs() < 2e-3, "{y} at {x}");
        }
    }
    let plot = of(&far, Along::Travel);
    let free = over_tread(&far, 690.0);
    for [x, y] in &plot.lines[0].points {
        assert_eq!(y.is_finite(), free - x < FAR, "{y} at {x}");
    }
    assert!(plot.lines[0].points.iter().any(|p| p[1].is_nan()));
    // Steering about an upright kingpin changes nothing.
    for [_, y] in &of(&near, Along::Steer).lines[0].points {
        assert!((y - over_tread(&near, 600.0)).abs() < 2e-3);
    }
    // Roll to the right lifts the left side: the left wheel droops, and its gap opens.
    let roll = of(&near, Along::Roll);
    assert!(roll.lines[0].at(1.0).unwrap() > roll.lines[0].at(0.0).unwrap() + 5.0);
    assert!(roll.lines[1].at(1.0).unwrap() < roll.lines[1].at(0.0).unwrap() - 5.0);
}

/// What a map says of its worst place is proven where the study has proven its gaps, and holds at poses that nobody looked at.
#[test]
fn a_maps_worst_place_is_proven_where_the_gaps_are() {
    let study = study(DUNLIN);
    let map = |study: &Study| study.map(LEFT, Among::Wheel, 9, 9).expect("a map");
    assert_eq!(map(&study).proof(Shown::Mm).as_deref(), Some("Searched, not proven."));
    study.prove(|| false);
    let map = map(&study);
    let worst = map.worst.expect("something is near");
    let bound = worst.in_hand_at_least_mm.expect("proven");
    assert!(bound <= worst.cell.in_hand_mm && bound > worst.cell.in_hand_mm - 0.5, "{bound} for {worst:?}");
    assert!(
        map.proof(Shown::Mm)
            .is_some_and(|told| told.starts_with("Proven: no pose of the sweep is worse by more than 0."))
    );
    let sweep = study.sweep(LEFT);
    let [low, high] = sweep.range;
    for i in 0..400 {
        // Places of a golden-ratio lattice: on no grid.
        let part = |by: f64| (0.5 + by * f64::from(i)).fract();
        let at = low + (high - low).component_mul(&Vector2::new(part(0.754_877_666), part(0.569_840_291)));
        let pose = sweep.pose(&study.gear, at).expect("within the sweep");
        for pair in &map.pairs {
            let gap = study.parts.gap(&study.gear, &pair.place, &pose, 150.0).map_or(150.0, |n| n.gap);
            assert!(gap - pair.wanted_mm >= bound - 1e-6, "{gap} at {at:?}");
        }
    }
}

#[test]
fn several_pairs_are_drawn_together_and_an_unknown_one_is_told() {
    let study = study(DUNLIN);
    let subject = Subject { name: "as found", found: true, car: &study.car, gear: &study.gear };
    let fitted = [Fitted { subject, parts: &study.parts }];
    let ask = |names: &[&str]| {
        let pairs: Vec<PairName> = names.iter().map(|n| n.parse().unwrap()).collect();
        along::gap_plot(&fitted, &pairs, Along::Steer, Shown::Mm)
    };
    let plot = ask(&["left front tyre, left lower arm", "left front tyre, left upper rail"]).expect("a plot");
    let pens: Vec<_> = plot.lines.iter().map(|l| plot.pen(l)).collect();
    assert_eq!(plot.lines.len(), 2);
    assert_ne!(pens[0].colour, pens[1].colour);
    assert!(ask(&["left front tire, left upper rail"]).unwrap_err().contains("did you mean `left front tyre`"));
    assert!(ask(&["left front tyre, right lower arm"]).unwrap_err().contains("not measured against each other"));
    assert!("left front tyre".parse::<PairName>().is_err());
}

/// What has no line is told: a column that is not there cannot be missed. And the title is whole on the drawing.
#[test]
fn a_state_in_which_nothing_comes_near_is_told_beside_the_gap() {
    let [found, low] = [study(DUNLIN), low_and_wide()];
    let subject = |name, found, study: &'static Study| Subject { name, found, car: &study.car, gear: &study.gear };
    let [found, low] = [found, low].map(|study| &*Box::leak(Box::new(study)));
    let fitted = [
        Fitted { subject: subject("as found", true, found), parts: &found.parts },
        Fitted { subject: subject("low and wide", false, low), parts: &low.parts },
    ];
    let pair =
        |name: &str| along::gap_plot(&fitted, &[name.parse().unwrap()], Along::Steer, Shown::Mm).expect("a plot");
    let both = pair("left front tyre, left upper rail");
    assert!(both.lines.len() == 2 && !both.title.contains("as found:"), "{}", both.title);
    for (name, why) in [
        ("left front tyre, left tower front leg", "not there"),
        ("left front rim, left upper rail", "over 150.0 mm apart all along"),
    ] {
        let one = pair(name);
        assert!(one.lines.len() == 1 && one.title.ends_with(&format!(" (as found: {why})")), "{}", one.title);
    }
    let one = pair("left front rim, left upper rail");
    check_labels(&one.svg([640, 480]));
}

/// Advance widths of Open Sans, in parts of 2048 (from memory): a digit and a minus 1169, a point 545, a space 532, m 1905.
#[test]
fn the_number_of_the_worst_place_stays_within_its_plate() {
    let svg = low_and_wide().map(LEFT, Among::Wheel, NODES, NODES).expect("a map").svg(Shown::Mm, [1100, 760]);
    let lines: Vec<&str> = svg.lines().collect();
    let at = lines.iter().position(|l| l.contains("class=\"worst\"")).expect("its number");
    assert!(lines[at].contains(">\u{2212}54.3 mm<"), "{}", lines[at]);
    let number = |line: &str, name: &str| -> f64 {
        line.split(&format!(" {name}=\""))
            .nth(1)
            .expect(name)
            .split('"')
            .next()
            .expect("a number")
            .parse()
            .expect("one")
    };
    let wide = 13.0 * (4.0 * 1169.0 + 545.0 + 532.0 + 2.0 * 1905.0) / 2048.0;
    let plate = number(lines[at - 1], "x") + number(lines[at - 1], "width");
    assert!(number(lines[at], "x") + wide < plate - 2.0, "{wide} {} {}", lines[at - 1], lines[at]);
}

fn scene(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("scenes").join(name)
}

fn ask(arguments: &[&str]) -> Output {
    let demo = scene("dunlin.ron");
    let call = [&[arguments[0], demo.to_str().expect("a plain path")], &arguments[1..]].concat();
    let mut command = Command::new(env!("CARGO_BIN_EXE_scribeline"));
    command.args(call).env_remove("CLICOLOR_FORCE").output().expect("the program runs")
}

fn text(output: &Output) -> String {
    let said = String::from_utf8(output.stdout.clone()).expect("plain text");
    assert!(output.status.code().is_some_and(|c| c < 2), "{said}{}", String::from_utf8_lossy(&output.stderr));
    said
}

const PROPOSAL: &str = "--proposal=low and wide";

#[test]
fn a_map_prints_as_a_sentence_a_small_table_csv_json_and_a_drawing() {
    let study = low_and_wide();
    study.prove(|| false);
    let map = study.map(LEFT, Among::Wheel, NODES, NODES).expect("a map");
    let said = text(&ask(&["gaps", PROPOSAL, "--map", "left-front"]));
    assert!(said.contains(&map.sentence(Shown::Mm)), "{said}");
    assert!(said.lines().count() < 40 && said.lines().all(|l| l.chars().count() < 300), "{said}");
    // CSV round-trips: every node, to a tenth of a millimetre.
    let csv = text(&ask(&["gaps", PROPOSAL, "--map", "left-front", "--csv"]));
    let mut reader = csv::Reader::from_reader(csv.as_bytes());
    let rows: Vec<csv::StringRecord> = reader.records().map(|r| r.expect("a row")).collect();
    assert_eq!(rows.len(), NODES * NODES);
    for row in rows {
        let number = |n: usize| row[n].parse::<f64>().expect("a number");
        let cell = map.cell_at([number(1), number(0)]).expect("a cell");
        assert!((number(4) - cell.gap_mm).abs() < 0.051, "{row:?} {cell:?}");
        assert_eq!(row[2], map.pairs[cell.pair].a);
        assert_eq!(row[3], map.pairs[cell.pair].b);
    }
    let json: Value =
        serde_json::from_slice(&ask(&["gaps", PROPOSAL, "--map", "left-front", "--json"]).stdout).unwrap();
    assert_eq!(json["worst"]["gap_mm"].as_f64(), map.worst.map(|w| w.cell.gap_mm));
    assert_eq!(json["cells"].as_array().map(Vec::len), Some(NODES));
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("map.svg");
    let only = "left front tyre, left upper rail";
    text(&ask(&["gaps", PROPOSAL, "--map", "left-front", "--pair", only, "--svg", path.to_str().unwrap()]));
    let svg = std::fs::read_to_string(&path).expect("a drawing");
    check_labels(&svg);
    assert!(svg.contains("left upper rail") && !svg.contains("lower arm"));
}

#[test]
fn the_lock_curve_prints_as_table_csv_and_drawing() {
    let said = text(&ask(&["lock", PROPOSAL, "--curve"]));
    assert!(
        said.contains("Steering left the rack goes 52.9 mm of its 58.0 mm before") && said.contains("least rack mm"),
        "{said}"
    );
    // The same rack gives the wheel another angle at another travel: each says which it tells.
    assert!(said.contains("inner wheel at that travel deg"), "{said}");
    let csv = text(&ask(&["lock", PROPOSAL, "--curve", "--csv"]));
    let mut reader = csv::Reader::from_reader(csv.as_bytes());
    let curve = low_and_wide().proven_lock_curve();
    let points: Vec<_> = curve.ways.iter().flat_map(|w| &w.points).collect();
    let rows: Vec<csv::StringRecord> = reader.records().map(|r| r.expect("a row")).collect();
    assert_eq!(rows.len(), points.len());
    for (row, point) in rows.iter().zip(points) {
        assert!((row[1].parse::<f64>().unwrap() - point.travel_mm).abs() < 0.051);
        assert!((row[2].parse::<f64>().unwrap() - point.rack_mm).abs() < 0.051);
        assert_eq!(row[5] == *"", point.touch.is_none());
    }
}

#[test]
fn a_gap_is_drawn_along_a_motion_and_what_is_mistyped_is_told() {
    let said = text(&ask(&["curves", PROPOSAL, "--gap", "left front tyre, left upper rail", "--against", "steer"]));
    assert!(said.contains("as found") && said.contains("low and wide"), "{said}");
    for (arguments, what) in [
        (&["curves", "--gap", "left front tire, left upper rail"][..], "did you mean `left front tyre`"),
        (&["gaps", "--map", "left-rear"], "neither steers nor shares its axle"),
        (&["gaps", "--map", "left-front", "--pair", "tie rod, sump"], "there is no part"),
        (&["gaps", "--map", "left-front", "--pair", "left tie rod"], "with a comma between them"),
    ] {
        let output = ask(arguments);
        assert_eq!(output.status.code(), Some(2));
        let told = String::from_utf8_lossy(&output.stderr).into_owned();
        assert!(told.contains(what), "{told}");
    }
}

/// A drawing on the wall of the shop says what it is of, whoever made it.
#[test]
fn drawings_name_the_car_the_proposal_and_the_question() {
    let proposed = low_and_wide();
    let found = study(DUNLIN);
    let car = "Dunlin hill-climb estate";
    let gaps = |study: &Study| study.map(LEFT, Among::Wheel, 5, 5).expect("a map").svg(Shown::Mm, [900, 600]);
    let lock = |study: &Study| study.lock_curve().svg(Shown::Mm, [900, 600]);
    let Study { car: car_found, gear: gear_found, .. } = &found;
    let both = [
        Subject { name: "as found", found: true, car: car_found, gear: gear_found },
        Subject { name: "low and wide", found: false, car: &proposed.car, gear: &proposed.gear },
    ];
    let toe = |of: &[Subject]| {
        along::plot(of, AxleName::Front, Quantity::Toe, Along::Travel, Shown::Mm).expect("a plot").svg([900, 600])
    };
    for (svg, said) in [
        (gaps(&proposed), format!("{car}, \"low and wide\": gaps at the left front wheel")),
        (gaps(&found), format!("{car}, as found: gaps")),
        (lock(&proposed), format!("{car}, \"low and wide\": lock")),
        (toe(&both), format!("{car}, as found and \"low and wide\": front toe against wheel travel")),
        (toe(&both[..1]), format!("{car}, as found: front toe")),
    ] {
        let xml = roxmltree::Document::parse(&svg).expect("well-formed");
        let title = xml.descendants().find(|n| n.has_tag_name("title")).and_then(|n| n.text()).expect("a title");
        assert!(title.starts_with(&said), "{title}");
    }
}
