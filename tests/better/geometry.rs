//! Points stand where closed forms and a general-purpose library have them.

use std::path::Path;

use nalgebra::Vector3;
use scribeline::answer::{Told, Verdict};
use scribeline::car::PointName::{
    LowerBallJoint, LowerFront, TieRodInner, TieRodOuter, UpperBallJoint, UpperFront, UpperRear, WheelCentre,
};
use scribeline::car::{AxleName, CarFile, PointName, Shown, Side};
use scribeline::motion::Quantity;
use serde_json::Value;

use crate::demo::{car, study};
use crate::{ask, found, four_bar, instant, made, rate};

/// A tie rod that points at the arms' instant axis has no bump steer to first order (Milliken & Milliken, Race Car
/// Vehicle Dynamics, ch. 19 on steering; J. Dixon, Suspension Geometry and Computation, ch. on bump steer; chapters
/// from memory). With all pickup axes along the car that axis is a point of the front view, so the outer end's height
/// is a line's: the end that was moved off is brought back to it, whichever way it was moved.
#[test]
fn a_tie_rod_end_is_brought_back_onto_the_line_to_the_instant_axis() {
    let right = four_bar();
    let [y, z] = instant(&right);
    let inner = right.front.points.0[&TieRodInner];
    let outer = right.front.points.0[&TieRodOuter];
    let height = inner.z + (outer.y - inner.y) * (z - inner.z) / (y - inner.y);
    for off in [-11.0, 7.0] {
        let mut car = right.clone();
        car.front.points.0.insert(TieRodOuter, Vector3::new(outer.x, outer.y, height + off));
        let start = study(car);
        assert!(rate(&start, Quantity::Toe, Side::Left).abs() > 0.1, "it was moved off");
        let better = found(&start, &ask(&["tie_rod_outer z 20"], &["toe rate near 0"]));
        assert_eq!(better.verdict, Verdict::Clear, "{}", better.sentence(Shown::Mm));
        let by = better.cars[0].moves[0].by_mm;
        // As near as is printed, half a thousandth of a degree, is some hundredths of a millimetre here.
        assert!(by[0] == 0.0 && by[1] == 0.0 && (by[2] + off).abs() < 0.05, "{off}: {by:?}");
        let after = made(&start, &better, 0);
        for side in Side::BOTH {
            assert!(rate(&after, Quantity::Toe, side).abs() <= 0.0005, "{side:?}");
        }
    }
}

/// Closed form: a planar four-bar's wheel turns about the instant axis, so camber changes by one radian in the
/// distance from that axis to the wheel centre, across (Milliken & Milliken, ch. 17, front-view swing arm). To have
/// so much camber gain with the upper pickups alone, their line has to meet the lower arm's just there, and both are
/// to move alike.
#[test]
fn camber_gain_asks_for_a_swing_arm_and_the_upper_pickups_go_where_it_wants_them() {
    let car = four_bar();
    let gain: f64 = -0.9;
    let wheel = car.front.points.0[&WheelCentre];
    let at = |name: PointName| car.front.points.0[&name];
    let (lower, joint) = ([at(LowerFront), at(LowerBallJoint)], at(UpperBallJoint));
    let y = wheel.y - 25.0 / -gain.to_radians();
    let slope = (lower[1].z - lower[0].z) / (lower[1].y - lower[0].y);
    let z = lower[0].z + slope * (y - lower[0].y);
    let pickup = joint.z + (z - joint.z) / (y - joint.y) * (at(UpperFront).y - joint.y);
    let shift = pickup - at(UpperFront).z;
    let start = study(car);
    let asked = ask(
        &["upper_front z 40", "upper_rear z 40", "tie_rod_outer z 40"],
        &["camber_gain near -0.9", "bump_steer at most 0.001"],
    );
    let better = found(&start, &asked);
    let car = &better.cars[0];
    let by = |name| car.moves.iter().find(|m| m.point == name).map_or(0.0, |m| m.by_mm[2]);
    assert!((by(UpperFront) - shift).abs() < 0.15, "{} against {shift}", by(UpperFront));
    assert!((by(UpperRear) - shift).abs() < 0.15, "{} against {shift}", by(UpperRear));
    let after = made(&start, &better, 0);
    assert!((rate(&after, Quantity::Camber, Side::Left) - gain).abs() < 0.001);
    assert!(rate(&after, Quantity::Toe, Side::Left).abs() <= 0.001);
}

/// SciPy's least moves on a model of its own (`tests/reference/better.py`): the same shifts to a tenth of a
/// millimetre, which is what is told, and no further moved.
#[test]
fn the_smallest_move_is_the_one_that_scipy_finds() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference");
    let stored = std::fs::read_to_string(folder.join("better.json")).expect("better.json");
    let cases: Vec<Value> = serde_json::from_str(&stored).expect("JSON");
    let mut car = CarFile::open(&folder.join("rockers.ron")).expect("the car").car().clone();
    // The model of one side, without what is measured elsewhere on the right; and no gap is to come between.
    car.front.right.0.clear();
    car.wanted = serde_json::from_str(
        r#"{"linkage_to_linkage": 0, "linkage_to_body": 0, "tyre_to_linkage": 0, "rim_to_linkage": 0, "to_ground": 0}"#,
    )
    .expect("gaps");
    let start = study(car);
    let number = |v: &Value| v.as_f64().expect("a number");
    for case in &cases {
        let of = |quantity, side| rate(&start, quantity, side);
        assert!((of(Quantity::Toe, Side::Left) - number(&case["was"][0])).abs() < 1e-6, "{case}");
        assert!((of(Quantity::Camber, Side::Left) - number(&case["was"][1])).abs() < 1e-6, "{case}");
        let frees: Vec<String> = case["free"]
            .as_array()
            .expect("coordinates")
            .iter()
            .map(|f| format!("{} z {}", f[0].as_str().expect("a point"), number(&f[2])))
            .collect();
        let bounds = |i: usize| [0, 1].map(|k| number(&case["bounds"][i][k]));
        let ([_, steer], [low, high]) = (bounds(0), bounds(1));
        let wishes = [format!("bump_steer at most {steer}"), format!("camber_gain from {low} to {high}")];
        let asked = ask(
            &frees.iter().map(String::as_str).collect::<Vec<_>>(),
            &wishes.iter().map(String::as_str).collect::<Vec<_>>(),
        );
        let better = found(&start, &asked);
        assert_eq!(better.verdict, Verdict::Clear, "{}", better.sentence(Shown::Mm));
        let car = &better.cars[0];
        let moves: Vec<f64> = case["moves"].as_array().expect("moves").iter().map(number).collect();
        let least = moves.iter().map(|v| v * v).sum::<f64>().sqrt();
        assert!((car.moved_mm - least).abs() < 0.1, "{} against {least}", car.moved_mm);
        for (i, f) in asked.free.iter().enumerate() {
            let by = car.moves.iter().find(|m| m.point == f.point).map_or(0.0, |m| m.by_mm[2]);
            assert!((by - moves[i]).abs() < 0.25, "{}: {by} against {}", f.point.name(), moves[i]);
        }
        let after = made(&start, &better, 0);
        assert!(rate(&after, Quantity::Toe, Side::Left).abs() <= steer);
        assert!((low..=high).contains(&rate(&after, Quantity::Camber, Side::Left)));
    }
}

/// Through the whole travel a wish is one about the worst place of it.
#[test]
fn through_the_travel_the_worst_place_counts() {
    let start = study(car("dunlin.ron"));
    let asked = ask(
        &["tie_rod_outer z 15", "tie_rod_inner z 15", "tie_rod_inner y 15"],
        &["toe change through travel at most 0.15 either way"],
    );
    let better = found(&start, &asked);
    assert_eq!(better.verdict, Verdict::Clear, "{}", better.sentence(Shown::Mm));
    let after = made(&start, &better, 0);
    let [bump, droop] = after.car.sweep.travel(AxleName::Front);
    let range = scribeline::answer::Range { from: -droop, to: bump, step: 1.0 };
    let at_ride = scribeline::answer::Range::at(0.0);
    let curves = after.curves(AxleName::Front, range, at_ride, Some(&[Quantity::Toe])).expect("curves");
    let home = |side| {
        after
            .curves(AxleName::Front, at_ride, at_ride, Some(&[Quantity::Toe]))
            .expect("ride")
            .rows
            .iter()
            .find(|r| r.side == side)
            .and_then(|r| r.value(Quantity::Toe))
            .expect("toe")
    };
    let most =
        curves.rows.iter().map(|r| (r.value(Quantity::Toe).expect("toe") - home(r.side)).abs()).fold(0.0, f64::max);
    assert!(most < 0.152, "{most}");
}

/// What is so already asks for no move.
#[test]
fn what_is_met_already_moves_nothing() {
    let start = study(car("dunlin.ron"));
    let better = found(&start, &ask(&["tie_rod_outer z 5"], &["camber from -3 to 0"]));
    assert_eq!(better.verdict, Verdict::Clear);
    assert!(better.cars[0].moves.is_empty() && better.cars[0].moved_mm == 0.0);
    assert!(better.sentence(Shown::Mm).contains("nothing has to move"));
}
