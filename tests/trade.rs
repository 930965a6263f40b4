//! Rules of the trade (common practice, no source), held on the demo car.

use scribeline::answer::Study;
use scribeline::car::{AxleName, Car, CarFile, Hub, Side};
use scribeline::motion::Alignment;

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
