//! Rules of the trade (common practice, no source), held on the demo car.

use scribeline::answer::{Range, Study};
use scribeline::car::{AxleName, Car, CarFile, Hub, PointName, Side};
use scribeline::motion::{Alignment, Quantity};

fn demo_with(change: &str) -> Car {
    let text = include_str!("../scenes/dunlin.ron");
    let list = "    proposals: [\n";
    assert!(text.contains(list));
    let proposal = format!("{list}        (name: \"tried\", changes: [{change}]),\n");
    let file = CarFile::from_text(text.replace(list, &proposal), None).expect("the changed demo opens");
    file.proposed("tried").expect("the proposal can be made")
}

/// Standing at ride height.
fn alignment(car: &Car, side: Side) -> Alignment {
    let study = Study::new(car.clone()).expect("the car can be swept");
    let ride = study.gear.ride(Hub { axle: AxleName::Front, side });
    Alignment::of(&study.gear.front, ride, &study.gear.ride.ground)
}

/// As the car was measured, over the ground that it stood on.
fn as_measured(car: &Car, side: Side) -> Alignment {
    let study = Study::new(car.clone()).expect("the car can be swept");
    let axle = &study.gear.front;
    Alignment::of(axle, &axle.as_measured()[side as usize], &study.gear.ride.ground)
}

/// An arm grown along the car's lateral axis keeps everything but the track.
#[test]
fn arms_grown_across_the_car_keep_caster_kingpin_scrub_trail_and_the_axle_line() {
    let (found, grown) = (demo_with(""), demo_with("grow_arms(by: 60)"));
    for side in Side::BOTH {
        let (a, b) = (as_measured(&found, side), as_measured(&grown, side));
        let (was, is) = (a.axis.expect("ball joints"), b.axis.expect("ball joints"));
        for (name, was, is) in [
            ("camber", a.camber, b.camber),
            ("toe", a.toe, b.toe),
            ("caster", was.caster, is.caster),
            ("kingpin", was.kingpin, is.kingpin),
            ("scrub radius", was.scrub_radius, is.scrub_radius),
            ("trail", was.trail, is.trail),
            ("axle line", a.contact.x, b.contact.x),
            ("half track", a.contact.y * side.sign() + 60.0, b.contact.y * side.sign()),
        ] {
            assert!((was - is).abs() < 1e-9, "{side:?} {name}: {was} became {is}");
        }
    }
}

/// Grown square to its own pickup axis instead, an arm whose axis is not parallel to the car's takes the axle with it:
/// fore or aft by the growth times the sine of the angle between the two in plan.
#[test]
fn arms_grown_square_to_their_axis_move_the_axle() {
    let found = demo_with("");
    let at = |name| found.front.point(Side::Left, name).expect("the point");
    use scribeline::car::PointName::{LowerBallJoint, LowerFront, LowerRear, TieRodOuter, UpperBallJoint, WheelCentre};
    let axis = at(LowerFront) - at(LowerRear);
    let plan = (axis.x.powi(2) + axis.y.powi(2)).sqrt();
    // Square to the axis in plan, outboard.
    let out = [-axis.y / plan * 60.0, axis.x / plan * 60.0];
    let moves: Vec<String> = [LowerBallJoint, UpperBallJoint, TieRodOuter, WheelCentre]
        .iter()
        .map(|p| format!("move_point(point: {}, by: ({:.12}, {:.12}, 0))", p.name(), out[0], out[1]))
        .collect();
    let grown = demo_with(&moves.join(", "));
    let shift = as_measured(&grown, Side::Left).contact.x - as_measured(&found, Side::Left).contact.x;
    let angle = f64::atan2(-axis.y, axis.x);
    assert!((shift - 60.0 * angle.sin()).abs() < 1e-6, "{shift}");
    assert!(shift.abs() > 4.0, "the demo's axis is some five degrees off the car's: {shift}");
}

/// A lowered body on its own pickups takes the wheels up into bump; on pickups remade higher it leaves the linkage as it
/// stood over the ground.
#[test]
fn lowering_moves_the_wheels_only_where_the_pickups_follow() {
    let found = demo_with("");
    let follow = demo_with("lower_body(by: 40, pickups: follow)");
    let stay = demo_with("lower_body(by: 40, pickups: stay)");
    let [found, follow, stay] = [found, follow, stay].map(|car| alignment(&car, Side::Left));
    assert!((stay.camber - found.camber).abs() < 1e-12);
    assert!(follow.camber < found.camber - 0.005, "a short upper arm leans the wheel in as it rises");
}

/// A car whose body may pitch or roll more comes no higher over the ground for it, even where its wheels are at the ends of
/// their travel before that.
#[test]
fn more_pitch_and_roll_leave_no_part_higher() {
    let worst = |pitch: f64, roll: f64| {
        let text = include_str!("../scenes/dunlin.ron").to_owned();
        let mut car = CarFile::from_text(text, None).and_then(|f| f.proposed("low and wide")).expect("a proposal");
        (car.sweep.pitch, car.sweep.roll) = (pitch.to_radians(), roll.to_radians());
        let gaps = Study::new(car).expect("the car can be swept").gaps(&Default::default()).expect("it stands");
        let ground = gaps.pairs.into_iter().filter(|pair| pair.b == "ground");
        let mut ground: Vec<_> = ground.map(|pair| (pair.a, pair.worst.gap.gap_mm)).collect();
        ground.sort_by(|a, b| a.0.cmp(&b.0));
        ground
    };
    let mut last = worst(0.0, 0.0);
    assert!(last.iter().any(|(part, _)| part == "splitter"));
    for (pitch, roll) in [(1.0, 0.0), (2.0, 0.0), (2.0, 3.0), (4.0, 3.0), (4.0, 12.0), (9.0, 12.0)] {
        let now = worst(pitch, roll);
        for ((part, was), (_, is)) in last.iter().zip(&now) {
            assert!(is <= &(was + 0.1), "{part} at {pitch} and {roll} deg: {was}, then {is}");
        }
        last = now;
    }
}

/// With toe-out the outer wheel points straight ahead, or the other way, when steering has just begun: the inner one then
/// steers too much by about all the toe-out, and by no half turn.
#[test]
fn toe_out_does_not_turn_the_ackermann_error_round() {
    let mut car = demo_with("");
    car.front.alignment.toe = (-1f64).to_radians();
    car.front.right_alignment = None;
    let study = Study::new(car).expect("the car can be swept");
    let rack: Range = "-6:6:0.25".parse().expect("a range");
    let asked = [Quantity::Ackermann];
    let curves = study.curves(AxleName::Front, Range::at(0.0), rack, Some(&asked)).expect("within reach");
    let errors: Vec<f64> = curves.rows.iter().filter_map(|row| row.value(Quantity::Ackermann)).collect();
    assert!(errors.len() > 40 && errors.iter().all(|deg| (1.5..2.5).contains(deg)), "{errors:?}");
}

/// A drop link can hang on a rocker: its joint there swings like any other.
#[test]
fn a_drop_link_on_a_rocker_has_a_joint_at_either_end() {
    let text = include_str!("../scenes/plover.ron").replacen("bar: (on: upper_arm", "bar: (on: rocker", 1);
    let text = text.replacen("drop_link_outer: (36, 540, 402)", "drop_link_outer: (30, 375, 620)", 1);
    let car = CarFile::from_text(text, None).expect("the changed demo opens").car().clone();
    let joints = Study::new(car).expect("the car can be swept").springs().joints;
    for end in [PointName::BarLever, PointName::DropLinkOuter] {
        assert!(joints.iter().any(|j| j.axle == AxleName::Front && j.joint == end && j.swing_deg > 0.1), "{end:?}");
    }
}

/// A rear axle that steers does so as far as its own rack goes, whatever the front one does.
#[test]
fn a_rear_rack_is_swept_over_its_own_travel() {
    let rear = "    rear: (\n        linkage: wishbone,\n";
    let text = include_str!("../scenes/plover.ron");
    assert!(text.contains(rear));
    let text = text.replace(rear, &format!("{rear}        rack: (travel: 10),\n"));
    let study = Study::new(CarFile::from_text(text, None).expect("it opens").car().clone()).expect("it can be swept");
    for (axle, travel) in [(AxleName::Front, 56.0), (AxleName::Rear, 10.0)] {
        let [low, high] = study.sweep(Hub { axle, side: Side::Left }).range;
        assert_eq!((low.y, high.y), (-travel, travel), "{axle:?}");
    }
}
