//! What is done to the rear axle, and to points that are there once.

use super::*;
use PointName::*;

fn car(text: &str, proposal: &str) -> Car {
    read(text).and_then(|file| file.proposed(proposal)).unwrap_or_else(|error| panic!("{error}"))
}

/// How far a point of an axle is moved by a proposal.
fn shift(text: &str, proposal: &str, axle: AxleName, side: Side, name: PointName) -> [f64; 3] {
    let at = |car: &Car| car.axle(axle).unwrap().point(side, name).unwrap();
    (at(&car(text, proposal)) - at(read(text).unwrap().car())).into()
}

#[test]
fn longer_arms_carry_what_hangs_on_them() {
    for (text, axle, name, by) in [
        (GARGANEY, AxleName::Front, PushRodOuter, 25.0),
        (GARGANEY, AxleName::Front, DamperBottom, 0.0), // on the rocker
        (GARGANEY, AxleName::Front, PushRodInner, 0.0),
        (GARGANEY, AxleName::Front, WheelCentre, 25.0),
        (GARGANEY, AxleName::Rear, LowerFrontOuter, 30.0),
        (GARGANEY, AxleName::Rear, UpperRearOuter, 30.0),
        (GARGANEY, AxleName::Rear, TieRodOuter, 30.0),
        (GARGANEY, AxleName::Rear, DamperBottom, 30.0),
        (GARGANEY, AxleName::Rear, DamperTop, 0.0),
        (GARGANEY, AxleName::Rear, UpperRear, 0.0),
        (WHINCHAT, AxleName::Rear, WheelCentre, 30.0),
        (WHINCHAT, AxleName::Rear, DamperBottom, 0.0),
        (WHINCHAT, AxleName::Front, WheelCentre, 0.0),
    ] {
        for side in Side::BOTH {
            assert_eq!(shift(text, "wide", axle, side, name), [0.0, by * side.sign(), 0.0], "{name:?}");
        }
    }
}

#[test]
fn a_body_lowered_over_both_axles_and_an_axle_changed_alone() {
    let low = |axle, side, name| shift(DOTTEREL, "low", axle, side, name);
    // A strut goes outboard with its top mount and keeps its axis.
    for name in [LowerBallJoint, DamperTop, DamperBottom, TieRodOuter, WheelCentre, DropLinkOuter] {
        assert_eq!(low(AxleName::Front, Side::Right, name), [0.0, -15.0, 30.0], "{name:?}");
    }
    for name in [LowerFront, PitmanEnd, IdlerShaft, BarLever] {
        assert_eq!(low(AxleName::Front, Side::Left, name), [0.0, 0.0, 30.0], "{name:?}");
    }
    assert_eq!(low(AxleName::Rear, Side::Right, WheelCentre), [0.0, -20.0, 30.0]);
    assert_eq!(low(AxleName::Rear, Side::Right, LowerLinkBody), [0.0, 0.0, 30.0]);
    assert_eq!(low(AxleName::Rear, Side::Right, LateralRodBody), [0.0, 0.0, 18.0]);
    assert_eq!(low(AxleName::Rear, Side::Left, UpperLinkAxle), [0.0, 0.0, 30.0]);
    let (found, low) = (car(DOTTEREL, "as it is"), car(DOTTEREL, "low"));
    assert_eq!(low.front.tyre, found.front.tyre);
    assert_eq!(low.rear.unwrap().tyre.size.aspect, 0.55);
}

/// The car as it is with one change made of it.
fn changed(text: &str, change: &str) -> Result<Car, CarError> {
    let text = within(text, "name: \"as it is\", changes: []", &format!("name: \"as it is\", changes: [{change}]"));
    read(&text)?.proposed("as it is")
}

#[test]
fn what_is_bolted_on_is_replaced() {
    let bar = changed(DOTTEREL, "replace_bar(on: lower_arm, tube: (od: 25, wall: 3))").unwrap().front.bar.unwrap();
    assert_eq!((bar.tube.od, bar.blade), (25.0, None));
    let front = changed(DOTTEREL, "replace_steering_box(lock: 30)").unwrap().front;
    assert!((front.steering_box.unwrap().lock - 30f64.to_radians()).abs() < 1e-12);
    // A point in the middle has no side, so its shift is not mirrored.
    let aside = "rear(move_point(point: lateral_rod_body, side: right, by: (0, 5, 0)))";
    assert_eq!(changed(DOTTEREL, aside).unwrap().rear.unwrap().middle.0[&LateralRodBody].y, -475.0);
    // A rack in its place takes the arms away.
    let front = changed(DOTTEREL, "replace_rack(travel: 60)").unwrap().front;
    assert!(front.steering_box.is_none() && front.middle.0.is_empty());
    assert_eq!(front.steering_travel(), Some(60.0));
    let rear = changed(DOTTEREL, "rear(replace_damper(on: axle, diameter: 70))").unwrap().rear.unwrap();
    assert_eq!(rear.damper.unwrap().diameter, 70.0);
    let rear = changed(DOTTEREL, "rear(replace_wheel(width: \"6 in\", offset: 5))").unwrap().rear.unwrap();
    assert_eq!(rear.point(Side::Right, WheelCentre).unwrap().y, -710.0);
    let text = GARGANEY.replace("proposals: [", "proposals: [(name: \"as it is\", changes: []), ");
    let rocker = changed(&text, "replace_rocker(on: upright, push_rod: (od: 18))").unwrap().front.rocker.unwrap();
    assert_eq!(rocker.push_rod.od, 18.0);
}

#[test]
fn a_rack_gives_way_to_a_steering_box_with_its_points() {
    let arms = [
        ("pitman_shaft", "(80, 320, 280)"),
        ("pitman_end", "(-40, 325, 215)"),
        ("idler_shaft", "(80, -320, 280)"),
        ("idler_end", "(-40, -325, 215)"),
    ];
    let moves: String = arms.map(|(name, at)| format!(", move_point(point: {name}, to: {at})")).concat();
    let text = WHINCHAT.replace("proposals: [", "proposals: [(name: \"as it is\", changes: []), ");
    let front = changed(&text, &format!("replace_steering_box(lock: 30){moves}")).unwrap().front;
    // New points find their list by themselves.
    assert_eq!((front.rack, front.middle.0.len()), (None, 4));
    let half = changed(&text, "replace_steering_box(lock: 30)").unwrap_err();
    assert!(half.what().contains("there is a `steering_box` but no point `pitman_shaft`"), "{half}");
    // A stiff axle's box would have nothing to steer.
    let rod = "rear(move_point(point: pitman_end, to: (1, 2, 3)))";
    assert!(changed(DOTTEREL, rod).unwrap_err().what().contains("no `steering_box`"));
}

#[test]
fn a_change_that_is_not_the_rear_axles_is_pointed_at() {
    let from = "name: \"as it is\", changes: []";
    for (change, mark, words) in [
        ("rear(lower_body(by: 30))", "lower_body", "no change of an axle: take the `rear( )` around it away"),
        ("rear(rear(grow_arms(by: 30)))", "rear(grow", "no change of an axle"),
        ("rear(grow_arm(by: 30))", "grow_arm", "did you mean `grow_arms`?"),
        ("rear(grow_arms(bye: 30))", "bye", "did you mean `by`?"),
        ("rear(move_point(point: lower_front, by: (0, 0, 1)))", "lower_front", "give its place with `to`"),
        ("rear(replace_rack(travel: 30))", "rear", "with change 1 of the proposal `as it is`, wheels on a live axle"),
        ("rear(move_point(point: wheel_centre, by: (0, -700, 0)))", "rear", "not on the left"),
    ] {
        let to = format!("name: \"as it is\", changes: [{change}]");
        refused_in(DOTTEREL, from, &to, mark, &[words]);
    }
    refused("grow_arms(by: 30)", "rear(grow_arms(by: 30))", "rear", &["no `rear` axle to change: describe it"]);
}

fn put(proposal: Option<&str>, axle: AxleName, side: Sides, point: PointName, to: [f64; 3]) -> Edit {
    Edit::PutPoint { proposal: proposal.map(str::to_string), axle, side, point, to: to.into() }
}

/// The edited text is the car's with `from` replaced by `to`, and nothing else.
fn gives(text: &str, edit: &Edit, from: &str, to: &str) -> CarFile {
    let file = read(text).unwrap().edit(edit).unwrap_or_else(|error| panic!("{error}"));
    assert_eq!(file.text(), within(text, from, to));
    file
}

#[test]
fn points_of_the_rear_are_edited_where_they_stand() {
    let rear = |side, point, to| put(None, AxleName::Rear, side, point, to);
    let (from, to) = ("lower_link_axle: (-2430, 480, 215)", "lower_link_axle: (-2430, 485, 215)");
    gives(DOTTEREL, &rear(Sides::Both, LowerLinkAxle, [-2430.0, 485.0, 215.0]), from, to);
    let (from, to) = ("(-1950, -470, 233), // drilled", "(-1950, -470, 236), // drilled");
    gives(DOTTEREL, &rear(Sides::Right, LowerLinkBody, [-1950.0, -470.0, 236.0]), from, to);
    // There is but one in the middle, whichever side is asked for.
    for side in [Sides::Both, Sides::Left, Sides::Right] {
        let (from, to) = ("(-2440, 0, 430), // over", "(-2440, -5, 430), // over");
        gives(DOTTEREL, &rear(side, UpperLinkAxle, [-2440.0, -5.0, 430.0]), from, to);
    }
    let shaft = "            idler_end: (-130, -325, 245),\n";
    let top = put(None, AxleName::Front, Sides::Both, PitmanShaftTop, [-12.0, 330.0, 400.0]);
    gives(DOTTEREL, &top, shaft, &format!("{shaft}            pitman_shaft_top: (-12, 330, 400),\n"));
    let error = good().edit(&rear(Sides::Both, WheelCentre, [0.0; 3])).unwrap_err();
    assert!(error.what().contains("no `rear` axle yet"), "{error}");
}

#[test]
fn in_a_proposal_the_rear_is_moved_within_rear() {
    let rear = |side, point, to| put(Some("low"), AxleName::Rear, side, point, to);
    let (from, to) = ("lateral_rod_body, by: (0, 0, -12)", "lateral_rod_body, to: (-2560, -480, 350)");
    let edit = rear(Sides::Right, LateralRodBody, [-2560.0, -480.0, 350.0]);
    let file = gives(DOTTEREL, &edit, from, to);
    assert_eq!(file.proposed("low").unwrap().rear.unwrap().middle.0[&LateralRodBody].z, 350.0);
    let last = "                rear(move_point(point: lateral_rod_body, by: (0, 0, -12))),\n";
    let new =
        format!("{last}                rear(move_point(point: damper_top, side: right, to: (-2500, -400, 660))),\n");
    gives(DOTTEREL, &rear(Sides::Right, DamperTop, [-2500.0, -400.0, 660.0]), last, &new);
    // A front point of the same name is another point, and what is done at the rear does not disturb it.
    let front = |z| put(Some("low"), AxleName::Front, Sides::Both, DamperTop, [-25.0, 560.0, z]);
    let file = file.edit(&rear(Sides::Both, DamperTop, [-2500.0, 400.0, 660.0])).unwrap();
    let file = file.edit(&front(850.0)).unwrap().edit(&rear(Sides::Both, DamperTop, [-2500.0, 400.0, 665.0])).unwrap();
    let file = file.edit(&front(855.0)).unwrap();
    assert_eq!(file.car().proposals[0].changes.len(), 7, "{}", file.text());
    let car = file.proposed("low").unwrap();
    assert_eq!(car.front.points.0[&DamperTop].z, 855.0);
    assert_eq!(car.rear.unwrap().points.0[&DamperTop].z, 665.0);
    assert!(file.text().contains("replace_tyre(size: \"205/55R14\")), // one size up"));
    let there = "replace_tyre(size: \"205/55R14\")), // one size up\n";
    let before =
        format!("                move_point(point: damper_top, to: (-25, 545, 870)),\n                rear({there}");
    let text = within(DOTTEREL, &format!("                rear({there}"), &before);
    gives(&text, &front(880.0), "to: (-25, 545, 870)", "to: (-25, 560, 880)");
    let back = file.edit(&Edit::RemoveChange { proposal: "low".into(), index: 2 }).unwrap();
    assert!(!back.text().contains("rear(grow_arms"));
}

#[test]
fn a_limiter_on_a_steering_box_is_written_as_its_lock() {
    let travel =
        |proposal: Option<&str>, travel| Edit::PutSteeringTravel { proposal: proposal.map(str::to_string), travel };
    // The arm is sqrt(120^2 + 5^2) = 120.104 mm about an upright shaft: 60 mm of its end's arc are 28.623 deg.
    let file = gives(DOTTEREL, &travel(None, 60.0), "lock: 35", "lock: 28.623");
    assert!((file.car().front.steering_travel().unwrap() - 60.0).abs() < 0.002);
    gives(DOTTEREL, &travel(None, 35f64.to_radians() * 120f64.hypot(5.0)), "lock: 35", "lock: 35");
    let file = read(DOTTEREL).unwrap().edit(&travel(Some("as it is"), 60.0)).unwrap();
    assert!(file.text().contains("replace_steering_box(lock: 28.623, ratio: 16)"), "{}", file.text());
    let again = file.edit(&travel(Some("as it is"), 50.0)).unwrap();
    assert!(again.text().contains("replace_steering_box(lock: 23.853, ratio: 16)"), "{}", again.text());
    // A proposal that fits a rack has its travel put right.
    let rack =
        within(DOTTEREL, "name: \"as it is\", changes: []", "name: \"as it is\", changes: [replace_rack(travel: 60)]");
    let file = read(&rack).unwrap().edit(&travel(Some("as it is"), 55.5)).unwrap();
    assert!(file.text().contains("replace_rack(travel: 55.5)"), "{}", file.text());
    assert!(read(DOTTEREL).unwrap().edit(&travel(None, 1e9)).unwrap_err().what().contains("from 1 to 80 deg"));
}
