//! What is bolted on: hubs, brakes, offsets and swaps. Numbers by hand; rules are common practice, no source.

mod common;

use common::CAR;
use scribeline::answer::{Study, Told, Verdict, Wheels};
use scribeline::car::{AxleName, CarFile, Edit, Hub, Shown};
use scribeline::motion::Pose;

const WHEEL: &str = "wheel: (width: \"7 in\", offset: 35),";

/// The small two-seater on another wheel, with what else an axle may have.
fn car(wheel: &str) -> String {
    common::with(WHEEL, wheel)
}

fn study(text: &str, proposal: Option<&str>) -> Study {
    let file = CarFile::from_text(text.to_owned(), None).unwrap_or_else(|e| panic!("{e}"));
    let car = proposal.map_or_else(|| file.car().clone(), |name| file.proposed(name).unwrap());
    Study::new(car).unwrap_or_else(|e| panic!("{e}"))
}

fn wheels(wheel: &str) -> Wheels {
    study(&car(wheel), None).wheels(None)
}

/// A 15 in rim with a barrel 20 mm deep is 170.5 mm inside; the spokes stand 45 mm out from the face.
const BRAKED: &str = "wheel: (width: \"7 in\", offset: 35, spokes: (back: 45)), brake: (disc: 280, caliper: (radius: 162, \
                      inboard: -20, outboard: 38)),";

#[test]
fn a_caliper_is_as_far_from_barrel_and_spokes_as_a_ruler_says() {
    let brake = wheels(BRAKED).axles[0].brake.unwrap();
    assert!((brake.caliper_to_barrel_mm.unwrap() - 8.5).abs() < 1e-9, "{brake:?}");
    assert!((brake.caliper_to_spokes_mm.unwrap() - 7.0).abs() < 1e-9, "{brake:?}");
    assert!((brake.disc_to_barrel_mm.unwrap() - 30.5).abs() < 1e-9, "{brake:?}");
    assert_eq!(brake.verdict, Verdict::Clear);
}

#[test]
fn a_spacer_takes_the_spokes_away_from_the_caliper() {
    let spaced = BRAKED.replace("offset: 35,", "offset: 35, spacer: 5,");
    let brake = wheels(&spaced).axles[0].brake.unwrap();
    assert!((brake.caliper_to_spokes_mm.unwrap() - 12.0).abs() < 1e-9, "{brake:?}");
    assert!((brake.caliper_to_barrel_mm.unwrap() - 8.5).abs() < 1e-9, "{brake:?}");
}

#[test]
fn the_gap_of_a_caliper_is_the_same_in_every_pose_and_stands_among_the_gaps() {
    let study = study(&car(&BRAKED.replace("back: 45", "back: 40")), None);
    study.prove(|| false);
    let poses = [Pose::default(), Pose { heave: -30.0, roll: 0.02, rack: 25.0, ..Pose::default() }];
    for pose in poses {
        let gaps = study.gaps(&pose).unwrap();
        let calipers: Vec<_> = gaps.pairs.iter().filter(|p| p.b.contains("caliper")).collect();
        assert_eq!(calipers.len(), 2);
        for pair in calipers {
            let here = pair.here.unwrap();
            assert!((here.gap_mm - 2.0).abs() < 1e-9 && (pair.worst.gap.gap_mm - 2.0).abs() < 1e-9, "{pair:?}");
            assert!(pair.worst.at_least_mm.is_some_and(|mm| mm > 1.85), "{pair:?}");
            // Three are wanted where nothing else is said.
            assert_eq!((pair.wanted_mm, pair.verdict), (3.0, Verdict::Short));
            let [a, b] = here.witness_mm;
            let apart = (0..3).map(|i| (a[i] - b[i]).powi(2)).sum::<f64>().sqrt();
            assert!((apart - 2.0).abs() < 1e-9, "{apart}");
        }
    }
}

#[test]
fn a_caliper_over_the_axle_lies_over_it() {
    let over = BRAKED.replace("outboard: 38", "outboard: 38, from: 60, to: 120");
    let gaps = study(&car(&over), None).gaps(&Pose::default()).unwrap();
    let above = gaps.pairs.iter().filter(|p| p.b.contains("caliper"));
    let heights: Vec<f64> = above.map(|p| p.here.unwrap().witness_mm[1][2]).collect();
    assert!(heights.len() == 2 && heights.iter().all(|z| *z > 298.0 + 90.0), "{heights:?}");
}

#[test]
fn a_wheel_fits_a_hub_with_its_studs_circle_and_spigot() {
    let with = |hub: &str| {
        let studs = "studs: (count: 5, circle: 114.3, bore: 67.1)";
        wheels(&format!("wheel: (width: \"7 in\", offset: 35, {studs}), hub: ({hub}),"))
    };
    let told = with("studs: (count: 5, circle: 114.3), spigot: 67.1");
    assert_eq!(told.verdict, Verdict::Clear);
    for (hub, what) in [
        ("studs: (count: 4, circle: 114.3)", "studs"),
        ("studs: (count: 5, circle: 112)", "stud circle"),
        ("studs: (count: 5, circle: 114.3), spigot: 72.6", "bore"),
    ] {
        let told = with(hub);
        assert_eq!(told.verdict, Verdict::Short, "{hub}");
        let misfit = told.axles[0].hub.iter().find(|f| f.verdict == Verdict::Short).unwrap();
        assert_eq!(misfit.what, what);
        assert!(told.sentence(Shown::Mm).contains("does not fit its hub"), "{}", told.sentence(Shown::Mm));
    }
    // A small spigot is no reason not to bolt it on, but is told.
    let loose = with("studs: (count: 5, circle: 114.3), spigot: 60.1");
    assert_eq!(loose.verdict, Verdict::Clear);
    assert!(loose.axles[0].hub.iter().any(|f| f.note.contains("ring")));
}

/// By hand: from 7 in with 35 of offset to 9 in with 20 the rim's centre goes out by 15, and each edge by 25.4.
#[test]
fn a_swap_says_how_far_the_rim_goes_each_way() {
    let (found, wide) = (study(CAR, None), study(CAR, Some("wide")));
    let told = wide.wheels(Some(&found));
    let swap = told.axles[0].swap.unwrap();
    assert!((swap.rim_inboard_mm - (25.4 - 15.0)).abs() < 1e-9, "{swap:?}");
    // As found the sidewalls stand out furthest; of the wide one it is the flanges' lips, half of 10 in from the middle.
    let grown = 127.0 - found.wheels(None).axles[0].section_mm / 2.0;
    assert!(told.axles[0].section_mm < 254.0);
    assert!((swap.outboard_mm - (grown + 15.0)).abs() < 1e-9, "{swap:?}");
    assert!((swap.inboard_mm - (grown - 15.0)).abs() < 1e-9, "{swap:?}");
    assert!(told.sentence(Shown::Mm).contains("than as found"));
}

#[test]
fn a_wheel_that_is_given_by_its_backspacing_stands_where_its_offset_would_have_it() {
    let by_offset = study(CAR, None);
    // Half of 7 in, half an inch of flange, 35 mm.
    let by_backspacing = study(&car("wheel: (width: \"7 in\", backspacing: 136.6),"), None);
    assert!((by_backspacing.car.front.wheel.offset - 35.0).abs() < 1e-9);
    let swapped = CAR.replace("width: \"9 in\", offset: 20", "width: \"9 in\", backspacing: 147");
    let centre = |s: &Study| s.gear.ride(Hub::ALL[0]).wheel_centre;
    let [a, b] = [study(CAR, Some("wide")), study(&swapped, Some("wide"))].map(|s| centre(&s));
    assert!((a - b).norm() < 1e-9, "{a} {b}");
    assert!((centre(&by_offset) - centre(&by_backspacing)).norm() < 1e-9);
}

#[test]
fn growth_and_lean_come_off_the_gaps_and_leave_the_ride_height() {
    let found = study(CAR, None);
    let given = study(&common::with("size: \"205/50R15\"", "size: \"205/50R15\", growth: \"2 %\", lean: 8"), None);
    let centre = |s: &Study| s.gear.ride(Hub::ALL[0]).wheel_centre;
    assert_eq!(centre(&found), centre(&given));
    let gaps = [found, given].map(|s| s.gaps(&Pose::default()).unwrap());
    let [before, after] = gaps.map(|g| {
        let mut tyres: Vec<_> = g.pairs.into_iter().filter(|p| p.a.contains("tyre")).collect();
        tyres.sort_by(|p, q| (&p.a, &p.b).cmp(&(&q.a, &q.b)));
        tyres
    });
    let mut compared = 0;
    for p in &before {
        let Some(q) = after.iter().find(|q| (&q.a, &q.b) == (&p.a, &p.b)) else { continue };
        let [Some(p), Some(q)] = [p.here, q.here] else { continue };
        if q.gap_mm > 0.0 {
            // In the hollow nothing changes.
            compared += usize::from(q.gap_mm < p.gap_mm);
            let most = 8.0f64.hypot(0.02 * 293.0);
            assert!(q.gap_mm <= p.gap_mm && q.gap_mm > p.gap_mm - most - 2e-3, "{p:?} {q:?}");
        }
    }
    assert!(compared > 3, "only {compared} were compared");
}

/// Set out by an edit, as found and in proposals: in the words that the file has for it, and by one change, however often.
#[test]
fn a_wheel_is_set_out_by_its_offset_or_its_spacer() {
    let put = |proposal: Option<&str>, axle, offset, spacer| Edit::PutWheel {
        proposal: proposal.map(str::to_owned),
        axle,
        offset,
        spacer,
    };
    let file = CarFile::from_text(car("wheel: (width: \"7 in\", backspacing: 136.6), // as sold"), None).unwrap();
    // 7 in and two flanges of half an inch: half is 101.6 mm, so the face stands 35 mm out.
    assert!((file.car().front.wheel.offset - 35.0).abs() < 1e-9);
    let out = file.edit(&put(None, AxleName::Front, 20.0, 5.0)).unwrap_or_else(|e| panic!("{e}"));
    let text = "wheel: (width: \"7 in\", backspacing: 121.6, spacer: 5), // as sold";
    assert!(out.text().contains(text), "{}", out.text());
    assert!((out.car().front.wheel.offset - 20.0).abs() < 1e-9);

    let demo = CarFile::open(std::path::Path::new("scenes/dunlin.ron")).unwrap();
    let name = "low and wide";
    let changes = demo.car().proposals[0].changes.len();
    let once = demo.edit(&put(Some(name), AxleName::Rear, 10.0, 3.0)).unwrap();
    let twice = once.edit(&put(Some(name), AxleName::Rear, 10.0, 0.0)).unwrap();
    assert_eq!(twice.car().proposals[0].changes.len(), changes, "the proposal's own change of wheel is rewritten");
    let rear = twice.proposed(name).unwrap().rear.unwrap().wheel;
    assert_eq!((rear.offset, rear.spacer, rear.barrel), (10.0, 0.0, 16.0));
    let bare = demo.edit(&Edit::AddProposal { name: "bare".to_owned() }).unwrap();
    let new = bare.edit(&put(Some("bare"), AxleName::Front, 12.0, 4.0)).unwrap();
    let (found, made) = (new.car().front.wheel, new.proposed("bare").unwrap().front.wheel);
    assert_eq!(made, scribeline::car::Wheel { offset: 12.0, spacer: 4.0, ..found }, "all else of it stays");
}
