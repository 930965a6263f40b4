//! Tube ends: closed forms, and points that lie on both surfaces.

use std::f64::consts::TAU;

use nalgebra::Vector3;
use proptest::prelude::*;
use scribeline::answer::sheets::surface::{Side as Flat, Surface};
use scribeline::answer::sheets::{AROUND, RoundEnd};
use scribeline::car::CarFile;

use super::common;
use super::demo::study;

fn through(at: Vector3<f64>, along: Vector3<f64>, radius: f64) -> Surface {
    Surface::Round { at, along: along.normalize(), radius, ends: [f64::NEG_INFINITY, f64::INFINITY] }
}

/// How far a point lies from a line, by the cross product.
fn from_line(p: Vector3<f64>, at: Vector3<f64>, along: Vector3<f64>) -> f64 {
    (p - at).cross(&along.normalize()).norm()
}

/// Closed form: a tube of radius r square onto one of radius R ends short of the other's near side by
/// `z(phi) = R - sqrt(R^2 - r^2 sin^2 phi)`, phi from the other's own direction. Of equal tubes the saddle is one radius deep.
#[test]
fn square_onto_another_tube_is_the_closed_form() {
    for (r, big) in [(20.0, 20.0), (12.7, 20.0), (15.0, 38.1)] {
        let end = RoundEnd::new(Vector3::new(7.0, -3.0, 5.0), -Vector3::z(), r);
        // Upright, so the reference line is ahead: along the other tube.
        assert_eq!(end.reference_is(), "ahead");
        let cope = end.cope(&[through(end.at, Vector3::x(), big)], 500.0).expect("a template");
        for [around, along] in &cope.edge_mm {
            let phi = around / r;
            let z = big - (big * big - (r * phi.sin()).powi(2)).max(0.0).sqrt();
            assert!((along - (-big + z)).abs() < 1e-6, "{phi}: {along}");
        }
        let deep = cope.longest_mm[1] - cope.shortest_mm[1];
        assert!((deep - (big - (big * big - r * r).sqrt())).abs() < 1e-6, "{deep}");
        assert!((cope.around_mm - TAU * r).abs() < 1e-12);
    }
}

/// Closed form: on a flat at an angle a the edge is `r cos(phi) / tan(a)` long and short of the middle.
#[test]
fn onto_a_flat_it_is_a_sine() {
    let (r, lean) = (22.0, 58f64.to_radians());
    let along = Vector3::new(lean.cos(), 0.0, -lean.sin());
    let end = RoundEnd::new(Vector3::zeros(), along, r);
    let flat = Surface::Flat(vec![Flat { at: Vector3::new(0.0, 0.0, 0.0), out: Vector3::z() }]);
    let cope = end.cope(&[flat], 400.0).expect("a template");
    for [around, t] in &cope.edge_mm {
        let phi = around / r;
        // The reference is on top: its line comes to the flat last.
        assert!((t - r * phi.cos() / lean.tan()).abs() < 1e-9, "{phi}: {t}");
    }
    assert_eq!(cope.open, 0.0);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    /// At any angle and offset, of any sizes, onto several tubes and a flat at once: every place of the template that meets
    /// something lies on the tube's outside and on the outside of one of the others, and inside none of them.
    #[test]
    fn wrapped_back_every_place_lies_on_both(
        r in 8.0..40.0f64, sizes in prop::array::uniform3(8.0..60.0f64), off in prop::array::uniform3(-20.0..20.0f64),
        angles in prop::array::uniform3(0.4..2.7f64), turns in prop::array::uniform3(0.0..6.2f64), way in (-1.0..1.0f64, -1.0..1.0f64, -1.0..1.0f64),
    ) {
        let along = Vector3::new(way.0, way.1, way.2);
        prop_assume!(along.norm() > 0.2);
        let end = RoundEnd::new(Vector3::new(100.0, 200.0, 300.0), along.normalize(), r);
        let beside = end.along.cross(&end.reference);
        let lines: Vec<(Vector3<f64>, Vector3<f64>, f64)> = (0..3).map(|k| {
            let across = end.reference * turns[k].cos() + beside * turns[k].sin();
            let axis = end.along * angles[k].cos() + across * angles[k].sin();
            (end.at + end.along.cross(&across) * off[k], axis, sizes[k])
        }).collect();
        let mut onto: Vec<Surface> = lines.iter().map(|(at, axis, size)| through(*at, *axis, *size)).collect();
        let flat = Flat { at: end.at + end.along * 4.0, out: (-end.along + end.reference * 0.3).normalize() };
        onto.push(Surface::Flat(vec![flat]));
        let Some(cope) = end.cope(&onto, 1e4) else { return Ok(()) };
        prop_assert_eq!(cope.edge_mm.len(), AROUND + 1);
        for ([around, t], meets) in cope.edge_mm.iter().zip(&cope.meets) {
            // Rolled back by hand: around to the right seen from outside, the end up.
            let turn = around / r;
            let p = end.at + (end.reference * turn.cos() + beside * turn.sin()) * r + end.along * *t;
            prop_assert!((from_line(p, end.at, end.along) - r).abs() < 1e-9);
            let offs: Vec<f64> = lines.iter().map(|(at, axis, size)| from_line(p, *at, *axis) - size)
                .chain([(p - flat.at).dot(&flat.out)]).collect();
            let nearest = offs.iter().copied().fold(f64::INFINITY, |a: f64, b| a.min(b.abs()));
            prop_assert!(!meets || nearest < 1e-9 * t.abs().max(1.0), "{nearest} at {t}");
            prop_assert!(!meets || offs.iter().all(|off| *off > -1e-7 * t.abs().max(1.0)), "{offs:?}");
        }
    }
}

/// A tube of 50 mm along the car and one of 40 mm that comes down on its middle; one more ends on both their ends.
fn tubes() -> String {
    common::with(
        "    panels: [",
        r#"    tubes: [
        (name: "main", od: 50, wall: 2, grade: "E355+N", points: [(-300, 0, 900), (300, 0, 900)]),
        (name: "branch", od: 40, wall: 2, grade: "E355+N", points: [(0, 0, 1200), (0, 0, 900)]),
        (name: "strut", mirror: true, od: 30, wall: 1.5, points: [(300, 200, 900), (300, 0, 900)]),
    ],
    panels: ["#,
    )
}

#[test]
fn a_branch_is_fitted_to_the_tube_that_goes_through_and_the_thinner_to_the_thicker() {
    let file = CarFile::from_text(tubes(), None).expect("a car");
    let sheets = study(file.car().clone()).sheets(None, scribeline::car::Shown::Mm, false).expect("papers");
    let end = |tube: &str, end: usize| {
        sheets.ends.iter().find(|e| e.tube == tube && e.end == end).unwrap_or_else(|| panic!("{tube} {end}"))
    };
    let branch = end("branch", 2);
    let cope = branch.cope.as_ref().expect("a template");
    assert_eq!(branch.meets.len(), 1);
    assert_eq!(branch.meets[0].part, "main");
    assert!((branch.meets[0].angle_deg - 90.0).abs() < 1e-9);
    for [around, t] in &cope.edge_mm {
        let phi = around / 20.0;
        assert!((t + (625.0 - (20.0 * phi.sin()).powi(2)).sqrt()).abs() < 1e-9);
    }
    // The bore's saddle is shallower: by hand at 90 degrees round, radius 18.
    let relief = (625.0f64 - 324.0).sqrt() - (625.0f64 - 400.0).sqrt();
    assert!((branch.relief_mm - relief).abs() < 1e-6, "{}", branch.relief_mm);
    // The thicker runs past its end by the thinner's radius, so that the saddle is on it.
    assert!(end("main", 2).cope.is_none());
    assert!((end("main", 2).beyond_mm - 15.0).abs() < 1e-9);
    assert_eq!(end("main", 1).beyond_mm, 0.0);
    for tube in ["left strut", "right strut"] {
        let cope = end(tube, 2).cope.as_ref().expect("a template");
        assert_eq!(cope.open, 0.0);
        // Left and right struts meet one another too, and neither reaches past the main tube to do so.
        assert!(
            (cope.shortest_mm[1] + 25.0).abs() < 1e-9 && cope.longest_mm[1] < -19.9,
            "{tube}: {:?}",
            cope.longest_mm
        );
    }

    // The cut list by hand: lengths tip to tip, E355+N at 7850 kg/m3.
    let tube = |name: &str| sheets.cut_list.tubes.iter().find(|t| t.tube == name).expect("a tube");
    assert!((tube("main").length_mm - 615.0).abs() < 1e-9);
    assert!((tube("branch").length_mm - (300.0 - 15.0)).abs() < 1e-9);
    let mass = TAU / 8.0 * (50f64.powi(2) - 46f64.powi(2)) * 615.0 * 7850e-9;
    assert!((tube("main").mass_kg - mass).abs() < 1e-9);
    assert_eq!((tube("strut").count, tube("strut").hands), (2, "both hands"));
    assert!((tube("strut").length_mm - (200.0 - 20.0)).abs() < 1e-9, "{}", tube("strut").length_mm);
    let stock = sheets.cut_list.stock.iter().find(|s| s.od_mm == 30.0).expect("stock");
    assert!((stock.length_mm - 2.0 * (180.0 + 2.0)).abs() < 1e-9, "a blade's width for each piece");
}

/// A tube that bends beside the joint: by hand, the branch's line ahead comes down on the stretch that climbs. That stretch's
/// axis has climbed 5 * 100 / 185 there, and its upper side is 25 over it squarely, so more upright.
#[test]
fn a_tube_that_bends_beside_the_joint_is_met_behind_its_bend() {
    let text = tubes().replace("(300, 0, 900)]),", "(15, 0, 900), (200, 0, 1000)]),");
    let file = CarFile::from_text(text, None).expect("a car");
    let sheets = study(file.car().clone()).sheets(None, scribeline::car::Shown::Mm, false).expect("papers");
    let branch = sheets.ends.iter().find(|e| e.tube == "branch" && e.end == 2).expect("the branch");
    let cope = branch.cope.as_ref().expect("a template");
    assert_eq!(branch.reference_is, "ahead");
    let climb = 185f64.hypot(100.0);
    let by_hand = 5.0 * 100.0 / 185.0 + 25.0 * climb / 185.0;
    assert!((cope.edge_mm[0][1] + by_hand).abs() < 1e-9, "{} {by_hand}", cope.edge_mm[0][1]);
    // Behind, it is the level stretch: its top, to the branch's side.
    let behind = cope.edge_mm[AROUND / 2][1];
    assert!((behind + 25.0).abs() < 1e-9, "{behind}");
}

/// A pinned end takes a rod end: there is nothing to fit to the other tube.
#[test]
fn a_pinned_tube_is_not_coped() {
    let text = tubes().replace("(name: \"branch\", od: 40,", "(name: \"branch\", pinned: true, od: 40,");
    let file = CarFile::from_text(text, None).expect("a car");
    let sheets = study(file.car().clone()).sheets(None, scribeline::car::Shown::Mm, false).expect("papers");
    for end in sheets.ends.iter().filter(|e| e.tube == "branch") {
        assert!(end.cope.is_none() && end.note.starts_with("pinned"), "{}", end.note);
        assert_eq!(end.beyond_mm, 0.0);
    }
}

/// What lies end to end on one line needs no template.
#[test]
fn a_tube_that_butts_on_another_is_sawn_square() {
    let text = tubes().replace("points: [(0, 0, 1200), (0, 0, 900)]", "points: [(-700, 0, 900), (-300, 0, 900)]");
    let file = CarFile::from_text(text, None).expect("a car");
    let sheets = study(file.car().clone()).sheets(None, scribeline::car::Shown::Mm, false).expect("papers");
    let branch = sheets.ends.iter().find(|e| e.tube == "branch" && e.end == 2).expect("the branch");
    assert!(branch.cope.is_none() && branch.note.contains("sawn square"), "{}", branch.note);
}
