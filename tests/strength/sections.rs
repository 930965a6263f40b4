//! Cross-sections against finite elements, and against what is true of any section.

use proptest::prelude::*;
use scribeline::strength::{Face, Notch, Properties, Section};
use serde::Deserialize;

use crate::off;

#[derive(Deserialize)]
struct Case {
    name: String,
    section: Section,
    area: f64,
    centroid: [f64; 2],
    iy: f64,
    iz: f64,
    iyz: f64,
    torsion: f64,
    shear_area: [f64; 2],
    shear_centre: [f64; 2],
    /// Greatest and least stress from 1e5 N mm about y, and about z.
    bending: [[f64; 2]; 2],
}

fn cases() -> Vec<Case> {
    serde_json::from_str(include_str!("../reference/sections.json")).expect("the reference file")
}

fn properties(section: Section) -> Properties {
    section.properties().unwrap_or_else(|e| panic!("{section:?}: {e}"))
}

/// Exact for straight edges; round ones are polygons of 128 or 256 sides in the reference.
#[test]
fn areas_and_second_moments_are_those_of_the_mesh() {
    for case in cases() {
        let ours = properties(case.section);
        for (what, a, b) in [("area", ours.area, case.area), ("iy", ours.iy, case.iy), ("iz", ours.iz, case.iz)] {
            assert!(off(a, b) < 4e-4, "{}, {what}: {a}, reference {b}", case.name);
        }
        assert!((ours.iyz - case.iyz).abs() < 1e-6 * case.iy, "{}: {}, reference {}", case.name, ours.iyz, case.iyz);
        for i in 0..2 {
            assert!((ours.centroid[i] - case.centroid[i]).abs() < 1e-9, "{}: {:?}", case.name, ours.centroid);
        }
    }
}

/// Sections without symmetry too. Which way the library's moments turn is its own affair.
#[test]
fn bending_stresses_are_those_of_the_mesh() {
    for case in cases() {
        let ours = properties(case.section);
        for (moments, [most, least]) in [[1e5, 0.0], [0.0, 1e5]].into_iter().zip(case.bending) {
            let [a, b] = ours.bending(moments[0], moments[1]);
            let same = |a: f64, b: f64| off(a, most) < 1e-3 && off(b, least) < 1e-3;
            assert!(same(a, b) || same(-b, -a), "{}: {a} {b}, reference {most} {least}", case.name);
        }
    }
}

/// Thin-wall theory leaves out what happens in the corners: some hundredths at these walls.
#[test]
fn torsion_and_shear_are_those_of_the_mesh_as_far_as_thin_walls_go() {
    for case in cases() {
        let ours = properties(case.section);
        assert!(
            off(ours.torsion, case.torsion) < 0.03,
            "{}: J {}, reference {}",
            case.name,
            ours.torsion,
            case.torsion
        );
        for i in 0..2 {
            let (a, b) = (ours.shear_area[i], case.shear_area[i]);
            assert!(off(a, b) < 0.06, "{}: shear area {i} {a}, reference {b}", case.name);
            let (a, b) = (ours.shear_centre[i], case.shear_centre[i]);
            assert!((a - b).abs() < 1.0, "{}: shear centre {i} {a} mm, reference {b} mm", case.name);
        }
    }
}

/// A channel's shear centre lies outside its web by e = 3 b² / (h + 6 b), all along middle lines (Timoshenko, Strength of
/// Materials I, art. 49, from memory).
#[test]
fn a_channel_has_its_shear_centre_behind_its_web() {
    let notch = Notch { face: Face::Left, depth: 1.0, across: None };
    let ours = properties(Section::Notched { width: 41.0, height: 61.0, wall: 1.0, notch });
    let (b, h, web) = (39.5, 60.0, -20.0);
    let behind = 3.0 * b * b / (h + 6.0 * b);
    assert!((ours.shear_centre[0] - (web - behind)).abs() < 0.02, "{:?}, {behind}", ours.shear_centre);
    assert!(ours.shear_centre[1].abs() < 1e-9);
}

/// A slit along a tube takes its stiffness in torsion and leaves that in bending: some (b/t)² to one.
#[test]
fn a_slit_takes_the_torsion_and_leaves_the_bending() {
    let whole = properties(Section::Box { width: 60.0, height: 60.0, wall: 2.0, radius: 0.0 });
    let notch = Notch { face: Face::Top, depth: 3.0, across: Some([-0.01, 0.01]) };
    let slit = properties(Section::Notched { width: 60.0, height: 60.0, wall: 2.0, notch });
    assert!(off(slit.iy, whole.iy) < 1e-3);
    assert!(slit.torsion < whole.torsion / 500.0, "{} of {}", slit.torsion, whole.torsion);
}

#[test]
fn a_notch_of_no_depth_leaves_the_box() {
    let whole = properties(Section::Box { width: 60.0, height: 80.0, wall: 1.5, radius: 0.0 });
    let notch = Notch { face: Face::Bottom, depth: 0.0, across: None };
    let same = properties(Section::Notched { width: 60.0, height: 80.0, wall: 1.5, notch });
    for (a, b) in [(same.iy, whole.iy), (same.iz, whole.iz), (same.area, whole.area), (same.torsion, whole.torsion)] {
        assert!(off(a, b) < 1e-12, "{a} {b}");
    }
}

/// A round tube in torsion and in bending has one greatest stress each, T r / J and M r / I.
#[test]
fn a_tube_is_stressed_alike_whichever_way_it_is_bent() {
    let tube = properties(Section::Tube { diameter: 38.0, wall: 2.0 });
    let [straight, _] = tube.bending(1e5, 0.0);
    let [askew, least] = tube.bending(6e4, -8e4);
    assert!(off(straight, 1e5 * 19.0 / tube.iy) < 1e-12);
    assert!(off(askew, straight) < 1e-12 && off(-least, straight) < 1e-12);
    assert!(off(tube.torsion_modulus, tube.torsion / 19.0) < 1e-12);
}

#[test]
fn what_cannot_be_is_refused_and_told() {
    let boxed = |notch| Section::Notched { width: 60.0, height: 80.0, wall: 1.5, notch };
    let slot = |face, depth, across| boxed(Notch { face, depth, across });
    for (section, word) in [
        (Section::Tube { diameter: 38.0, wall: 20.0 }, "wall"),
        (Section::Tube { diameter: f64::NAN, wall: 2.0 }, "NaN"),
        (Section::Box { width: 60.0, height: 80.0, wall: 1.5, radius: 31.0 }, "radius"),
        (Section::Plate { width: 0.0, height: 80.0 }, "above 0"),
        (slot(Face::Top, 80.0, None), "nothing"),
        (slot(Face::Top, 80.0, Some([-20.0, 20.0])), "2 pieces"),
        (slot(Face::Top, 5.0, Some([20.0, -20.0])), "lower end"),
        (slot(Face::Left, f64::INFINITY, None), "deep"),
        (slot(Face::Left, f64::NAN, None), "deep"),
    ] {
        let error = section.properties().expect_err("impossible").to_string();
        assert!(error.contains(word), "{section:?}: {error}");
    }
}

proptest! {
    /// Whatever is cut away, less is left, and it is a section: positive, with the centroid inside the box and no second
    /// moment below nought about any axis.
    #[test]
    fn what_a_notch_leaves_is_less_and_is_a_section(
        width in 20.0..120.0f64, height in 20.0..120.0f64, wall in 0.8..4.0f64,
        face in 0..4usize, share in 0.0..1.0f64, from in -60.0..60.0f64, long in 0.5..80.0f64, all in any::<bool>(),
    ) {
        let face = [Face::Left, Face::Right, Face::Top, Face::Bottom][face];
        let depth = share * if matches!(face, Face::Left | Face::Right) { width } else { height };
        let across = (!all).then_some([from, from + long]);
        let whole = properties(Section::Box { width, height, wall, radius: 0.0 });
        let section = Section::Notched { width, height, wall, notch: Notch { face, depth, across } };
        if let Ok(left) = section.properties() {
            let (_, [strong, weak]) = left.principal();
            prop_assert!(left.area > 0.0 && left.area <= whole.area * (1.0 + 1e-9));
            prop_assert!(weak > 0.0 && strong <= whole.principal().1[0] * (1.0 + 1e-9), "{strong} {weak}");
            prop_assert!(left.torsion > 0.0 && left.torsion <= whole.torsion * (1.0 + 1e-9));
            prop_assert!(left.shear_area.iter().all(|&a| a > 0.0 && a <= left.area), "{left:?}");
            prop_assert!(left.centroid[0].abs() < width / 2.0 && left.centroid[1].abs() < height / 2.0);
            prop_assert!(left.shear_centre.iter().all(|v| v.is_finite()));
        }
    }
}
