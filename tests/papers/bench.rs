//! Jigs, points, the set-up sheet, and every demo car.

use nalgebra::Vector3;
use scribeline::answer::sheets::own_frame;
use scribeline::answer::{Study, Told};
use scribeline::car::{CarFile, Shown, Side};
use scribeline::motion::Pose;
use scribeline::sheets::{Paper, papers};
use scribeline::space::Scans;

use super::common;
use super::demo::{car, scene, study};

/// By hand: pickups 400 apart along the car, the joint 300 outboard of the line through them and 150 behind the front one.
#[test]
fn an_arms_own_frame_is_hand_trigonometry_and_mirrors() {
    for side in Side::BOTH {
        let points = [(100.0, 320.0, 180.0), (-300.0, 320.0, 180.0), (-50.0, 620.0, 180.0), (-50.0, 500.0, 195.0)];
        let points: Vec<Vector3<f64>> = points.iter().map(|(x, y, z)| side.mirror(Vector3::new(*x, *y, *z))).collect();
        let (own, hand) = own_frame(&points).expect("a plane");
        let wanted = [(0.0, 0.0, 0.0), (400.0, 0.0, 0.0), (150.0, 300.0, 0.0), (150.0, 180.0, 15.0)];
        for (own, (x, y, z)) in own.iter().zip(wanted) {
            assert!((own - Vector3::new(x, y, z)).norm() < 1e-9, "{side:?}: {own}");
        }
        // x back, y out, z up: left-handed on the left, right-handed on the right.
        assert!((hand + side.sign()).abs() < 1e-12);
    }
}

/// An invented lower arm in the small car: its front pickup at (130, 320, 180), rear at (-150, 330, 175), joint at (5, 640, 165).
#[test]
fn distances_and_angles_are_what_a_tape_would_show() {
    let file = CarFile::from_text(common::CAR.to_owned(), None).expect("a car");
    let found = study(file.car().clone());
    let wide = study(file.proposed("wide").expect("a proposal"));
    let sheets = wide.sheets(Some(&found), Shown::Mm, false).expect("papers");
    let jig =
        sheets.jigs.iter().find(|j| j.arm == "left front lower arm").expect("its right pickup is another: one a side");
    let check = |from: &str, to: &str| jig.checks.iter().find(|c| (c.from, c.to) == (from, to)).expect("a check");
    let legs = check("lower arm, front pickup", "lower ball joint");
    assert!((legs.was_mm.expect("as found") - (125f64.powi(2) + 320f64.powi(2) + 15f64.powi(2)).sqrt()).abs() < 1e-9);
    // Wide: joint 30 outboard, front pickup 10 higher.
    assert!((legs.mm - (125f64.powi(2) + 350f64.powi(2) + 25f64.powi(2)).sqrt()).abs() < 1e-9);
    let pickups = check("lower arm, front pickup", "lower arm, rear pickup").was_mm.expect("as found");
    assert!((pickups - (280f64.powi(2) + 10f64.powi(2) + 5f64.powi(2)).sqrt()).abs() < 1e-9);
    // The law of cosines at the front pickup.
    let rear = check("lower arm, rear pickup", "lower ball joint").was_mm.expect("as found");
    let front = legs.was_mm.expect("as found");
    let angle = ((front * front + pickups * pickups - rear * rear) / (2.0 * front * pickups)).acos().to_degrees();
    assert!((jig.angles[0].was_deg.expect("as found") - angle).abs() < 1e-9);
    // Three holes and the damper's mount: six distances; coordinates give them again.
    assert_eq!((jig.holes.len(), jig.checks.len()), (4, 6));
    for c in &jig.checks {
        let at = |name: &str| Vector3::from(jig.holes.iter().find(|h| h.name == name).expect("a hole").at_mm);
        assert!(((at(c.from) - at(c.to)).norm() - c.mm).abs() < 1e-9);
    }
    assert!(jig.frame.contains("left-handed"), "{}", jig.frame);
    let upper = sheets.jigs.iter().find(|j| j.arm == "front upper arm").expect("mirrored: one for both");
    assert!(upper.frame.contains("mirror image") && upper.side.is_none());
    // A tie rod from joint to joint.
    let rod = sheets.rods.iter().find(|r| r.part == "left tie rod").expect("a rod");
    assert!((rod.was_mm.expect("as found") - (20f64.powi(2) + 290f64.powi(2) + 10f64.powi(2)).sqrt()).abs() < 1e-9);
    // The point list tells the shift.
    let point =
        sheets.points.iter().find(|p| p.point == "lower ball joint" && p.side == Some(Side::Right)).expect("it");
    let shift = point.shift_mm().expect("it was there");
    assert!(shift.iter().zip([0.0, -30.0, 0.0]).all(|(a, b)| (a - b).abs() < 1e-9), "{shift:?}");
}

#[test]
fn the_set_up_sheet_says_what_the_other_answers_say() {
    let file = CarFile::open(&scene("dunlin.ron")).expect("the demo");
    let study = study(file.proposed("low and wide").expect("a proposal"));
    let sheets = study.sheets(None, Shown::Mm, false).expect("papers");
    let lock = study.lock();
    assert_eq!(sheets.set_up.limiters_mm, Some([0, 1].map(|way| lock.ways[way].limiter_mm)));
    assert_eq!(sheets.set_up.lock, lock.sentence(Shown::Mm));
    let heights = study.stance(&Pose::default()).expect("it stands").heights;
    let told: Vec<f64> = sheets.set_up.rows.iter().filter(|r| r.what == "ride height").map(|r| r.value).collect();
    assert_eq!(told, heights.iter().map(|h| h.ride_mm).collect::<Vec<_>>());
    // Rails are in the way and not cut: templates are of the plans, and say so.
    assert!(!sheets.rails.is_empty() && sheets.rails.iter().all(|t| t.what.starts_with("planned: ")));
}

/// Every demo car as found and with its last proposal, on both papers, whatever corner it has.
#[test]
fn every_demo_car_has_papers_and_is_told_what_it_has_nothing_of() {
    for entry in std::fs::read_dir(scene("")).expect("the scenes") {
        let path = entry.expect("a scene").path();
        if path.extension().is_none_or(|e| e != "ron") {
            continue;
        }
        let file = CarFile::open(&path).expect("a demo car");
        let set = |car: scribeline::car::Car| {
            let scans = Scans::load(&file, &car).expect("its scans");
            Study::with_scans(car, &scans).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
        };
        let found = set(file.car().clone());
        let proposed = file.car().proposals.last().map(|p| set(file.proposed(&p.name).expect("a proposal")));
        let cases = [Some((&found, None)), proposed.as_ref().map(|study| (study, Some(&found)))];
        for (study, beside) in cases.into_iter().flatten() {
            let sheets = study.sheets(beside, Shown::In, false).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
            assert_eq!(sheets.rails.is_empty(), sheets.without.iter().any(|w| w.contains("no rail templates")));
            assert_eq!(sheets.jigs.is_empty(), sheets.without.iter().any(|w| w.contains("no jigs")));
            let none = |words: &str| sheets.without.iter().any(|w| w.contains(words));
            assert_eq!(sheets.ends.iter().all(|e| e.cope.is_none()), none("no cope templates"), "{:?}", sheets.without);
            for paper in Paper::ALL {
                let files = papers(&sheets, paper, Shown::In).expect("papers");
                let has = |name: &str| files.iter().any(|f| f.name == name);
                assert_eq!(has("rail-cuts.pdf"), !sheets.rails.is_empty());
                assert_eq!(has("copes.pdf"), !none("no cope templates"));
                assert!(["points.pdf", "points.csv", "set-up.pdf", "set-up.csv"].into_iter().all(has));
                let mut names: Vec<&str> = files.iter().map(|f| f.name.as_str()).collect();
                names.sort_unstable();
                names.dedup();
                assert_eq!(names.len(), files.len(), "no name twice");
            }
            // The same car gives the same bytes: no dates.
            assert_eq!(papers(&sheets, Paper::A4, Shown::Mm).ok(), papers(&sheets, Paper::A4, Shown::Mm).ok());
        }
    }
}

#[test]
fn tubes_that_stay_where_they_were_are_not_made_again() {
    let found = study(car("dunlin.ron"));
    let file = CarFile::open(&scene("dunlin.ron")).expect("the demo");
    let cut = study(file.proposed("low and cut").expect("a proposal"));
    let sheets = cut.sheets(Some(&found), Shown::Mm, false).expect("papers");
    let listed: Vec<&str> = sheets.cut_list.tubes.iter().map(|t| t.tube.as_str()).collect();
    // The node on the tower went up, so its leg and stay are new ones too; the nose's are the old ones.
    assert!(["tower leg", "tower stay", "bypass", "dash brace"].iter().all(|t| listed.contains(t)), "{listed:?}");
    assert!(["nose post", "dash bar", "front subframe"].iter().all(|t| !listed.contains(t)), "{listed:?}");
    // A mirror image turns a hand into the other.
    let hands: Vec<&str> = sheets.jigs.iter().filter(|j| j.side.is_none()).map(|j| j.frame.as_str()).collect();
    assert!(!hands.is_empty());
    for frame in hands {
        assert!(frame.contains("right-handed") && frame.contains("left-handed"), "{frame}");
    }
    assert_eq!(sheets.cut_list.plates.len(), 2);
    // Plates as found stay on a cut as found, and are made anew where the cut goes elsewhere.
    assert!(cut.sheets(Some(&cut), Shown::Mm, false).expect("papers").cut_list.plates.is_empty());
    let text = file.text().replace(
        "cut_rail(rail: \"upper rail\", from: 250, to: 800)",
        "cut_rail(rail: \"upper rail\", from: 240, to: 800)",
    );
    let other = CarFile::from_text(text, None).expect("a car").proposed("low and cut").expect("a proposal");
    assert_eq!(study(other).sheets(Some(&cut), Shown::Mm, false).expect("papers").cut_list.plates.len(), 2);
    // By hand: 60 by 80 by 4 of steel at 7850 kg/m3.
    assert!((sheets.cut_list.plates[0].mass_kg - 60.0 * 80.0 * 4.0 * 7850e-9).abs() < 2e-3);
}
