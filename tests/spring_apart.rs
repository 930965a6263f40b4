//! A spring that stands apart from its damper: a point, a part, a load path of its own.

#[path = "common/demo.rs"]
mod demo;

use demo::{car, scene, study};
use nalgebra::{Vector2, Vector3};
use scribeline::answer::{SLACK, Study, Verdict};
use scribeline::car::{AxleName, Car, CarFile, Change, Edit, GrowWay, Hub, PointName, Side, Sides};
use scribeline::motion::{Mode, Pose, Quantity};
use scribeline::space::{Kind, Role};

use PointName::{SpringBottom, SpringTop};

/// The front of the estate with its springs on the lower arms, behind the dampers.
fn estate() -> String {
    let text = std::fs::read_to_string(scene("dunlin.ron")).unwrap();
    let text = text.replacen(
        "damper_bottom: (-12, 564, 176),",
        "damper_bottom: (-12, 564, 176),\n            spring_top: (-95, 425, 420),\n            spring_bottom: (-85, 500, 178),",
        1,
    );
    text.replacen("spring: (rate: \"60 N/mm\")", "spring: (rate: \"90 N/mm\", on: lower_arm, diameter: 100)", 1)
}

fn sprung() -> CarFile {
    CarFile::from_text(estate(), None).unwrap_or_else(|e| panic!("{e}"))
}

fn front_spring(study: &Study, side: Side) -> Role {
    let hub = Hub { axle: AxleName::Front, side };
    let at = study.parts.moving(hub).iter().position(|m| m.kind == Kind::Spring).expect("a spring");
    Role::Moving(hub, at)
}

/// The ratio is a derivative of the spring's own length, in heave and on a stiff axle in roll too.
#[test]
fn it_has_its_own_ratio() {
    for (car, name) in [(sprung().car().clone(), AxleName::Front), (car("snipe.ron"), AxleName::Rear)] {
        let study = study(car);
        let (axle, ride) = (study.gear.axle(name).unwrap(), study.gear.ride.axle(name).unwrap());
        for (mode, across) in [(Mode::Heave, 1.0), (Mode::Roll, -1.0)] {
            let length =
                |z: f64| axle.spring_length(&study.gear.raise_axle(ride, [z, across * z], 0.0).unwrap()[0]).unwrap();
            let slope = (length(-0.5) - length(0.5)) * 4.0 / 3.0 - (length(-1.0) - length(1.0)) / 6.0;
            let ratio = axle.spring_ratio(&ride[0], mode).unwrap();
            assert!((ratio - slope).abs() < 1e-8, "{name:?} {mode:?}: {ratio}, {slope}");
            let damper = axle.motion_ratio(&ride[0], mode).unwrap();
            assert!((ratio - damper).abs() > 1e-3, "the damper's is another: {damper}");
        }
        let told = &study.springs().wheels[2 * name as usize].heights[1];
        assert_eq!(
            (told.spring_ratio, told.wheel_rate),
            (axle.spring_ratio(&ride[0], Mode::Heave), told.spring_ratio.map(|r| r * r))
        );
        assert_ne!(told.spring_ratio, told.motion_ratio);
        let told = study.alignment(name, scribeline::motion::Along::Travel, None, scribeline::car::Shown::Mm).unwrap();
        assert!(told.numbers.iter().any(|n| n.quantity == Quantity::SpringRatio));
    }
}

/// It is measured as other parts are: against the body and the linkage of its wheel, and not against what it stands on.
#[test]
fn it_is_a_part_in_the_gaps() {
    let study = study(sprung().car().clone());
    let role = front_spring(&study, Side::Left);
    assert_eq!(study.parts.name(role), "left spring");
    let hub = Hub { axle: AxleName::Front, side: Side::Left };
    let others: Vec<String> = study
        .parts
        .at_wheel(hub)
        .iter()
        .filter_map(|p| if p.a == role { Some(p.b) } else { (p.b == role).then_some(p.a) })
        .map(|role| study.parts.name(role))
        .collect();
    for name in
        ["left front tyre", "left front rim", "left tie rod", "left upper arm", "left damper", "left wheel arch"]
    {
        assert!(others.iter().any(|o| o == name), "{name}: {others:?}");
    }
    let left_out = study.left_out();
    let arm = left_out.iter().find(|p| p.a == "left lower arm" && p.b == "left spring").expect("it stands on the arm");
    assert_eq!(arm.why, "the spring is mounted on the lower arm");
    assert_eq!(study.parts.name(front_spring(&study, Side::Right)), "right spring");
    // Around the damper there is none.
    let around = self::study(car("dunlin.ron"));
    assert!(around.parts.moving(hub).iter().all(|m| m.kind != Kind::Spring));
}

/// Closed form: a block so far aside of the coil's axis is that less the coil's radius from it, beside its seats too; only what
/// an upper seat stands on is left out.
#[test]
fn beside_its_seats_it_is_as_wide_as_its_coil() {
    let text = std::fs::read_to_string(scene("snipe.ron")).unwrap();
    let spring = CarFile::from_text(text.clone(), None).unwrap().car().rear.clone().unwrap();
    let at = |name| spring.point(Side::Left, name).unwrap();
    let (top, bottom) = (at(SpringTop), at(SpringBottom));
    // Inboard of the axis by so much, and up from a seat.
    let with = |seat: Vector3<f64>, aside: f64, up: [f64; 2]| {
        let block = format!(
            "blocks: [(name: \"box\", mirror: true, shape: box(from: ({}, {}, {}), to: ({}, {}, {})))],\n    balance: (cg",
            seat.x - 10.0,
            seat.y - aside - 10.0,
            seat.z + up[0],
            seat.x + 10.0,
            seat.y - aside,
            seat.z + up[1]
        );
        let text = text.replacen("balance: (cg", &block, 1);
        study(CarFile::from_text(text, None).unwrap_or_else(|e| panic!("{e}")).car().clone())
    };
    let gap = |study: &Study| {
        let hub = Hub { axle: AxleName::Rear, side: Side::Left };
        let named = |role: Role| study.parts.name(role);
        let place =
            study.parts.at_wheel(hub).iter().find(|p| named(p.a) == "left rear spring" && named(p.b) == "left box")?;
        let posed = study.gear.raise(study.gear.ride(hub), Vector2::zeros()).expect("it stands");
        study.parts.gap(&study.gear, place, &posed, 1e3).map(|gap| gap.gap)
    };
    for aside in [52.0, 60.0, 75.0] {
        for (seat, up) in [(bottom, [0.0, 10.0]), (bottom, [60.0, 80.0]), (top, [-12.0, -2.0])] {
            let told = gap(&with(seat, aside, up)).expect("it is measured");
            assert!((told - (aside - 50.0)).abs() < 0.1, "{told} at {aside} from {seat:?}");
        }
    }
    let inside = with(top, 45.0, [-12.0, -2.0]);
    assert!((gap(&inside).expect("it is measured") + 5.0).abs() < 0.1);
    assert_eq!(inside.gaps(&Pose::default()).unwrap().verdict, Verdict::Touches);
    assert_eq!(gap(&with(top, -10.0, [0.0, 10.0])), None, "what it stands on is left out");
}

/// What is told of the whole sweep holds between the poses that it looks at: in poses half way between them no gap of the
/// spring is less than its least, but for what it is proven to.
#[test]
fn its_gaps_hold_all_over_the_sweep() {
    for (car, axle) in [(sprung().car().clone(), AxleName::Front), (car("snipe.ron"), AxleName::Rear)] {
        let study = study(car);
        study.prove(|| false);
        let told = study.gaps(&Pose::default()).unwrap();
        let sweep = study.sweep(Hub { axle, side: Side::Left });
        let [low, high] = sweep.range;
        let mut met = 0;
        for pair in &told.pairs {
            let roles = [pair.place.a, pair.place.b];
            let springs = roles.iter().any(|r| study.parts.kind(*r) == Kind::Spring);
            if !springs || pair.place.a.hub() != Some(sweep.hub) {
                continue;
            }
            let slack = SLACK.max(pair.in_hand() / 20.0);
            for (i, k) in (0..24).flat_map(|i| (0..24).map(move |k| (i, k))) {
                let share = Vector2::new((f64::from(i) + 0.5) / 24.0, (f64::from(k) + 0.5) / 24.0);
                let at = low + (high - low).component_mul(&share);
                let from = study.gear.ride(sweep.hub);
                let pose = study.gear.raise(from, at).expect("it is swept");
                let Some(gap) = study.parts.gap(&study.gear, &pair.place, &pose, 1e3) else { continue };
                let least = pair.worst.gap.gap_mm;
                assert!(gap.gap > least - slack, "{}, {}: {least}, and {} at {at:?}", pair.a, pair.b, gap.gap);
            }
            met += 1;
        }
        assert!(met > 2, "its gaps to {met} parts are told");
    }
}

/// Statics: at rest the spring holds the wheel's load over its ratio (virtual work), and the damper beside it nothing.
#[test]
fn it_carries_the_load_and_the_damper_none() {
    let car = sprung().car().clone();
    let wheel = car.weight.unwrap().mass * scribeline::car::units::GRAVITY * car.weight.unwrap().front / 2.0;
    let study = study(car);
    let loads = study.loads(Some("standing")).unwrap_or_else(|e| panic!("{e}"));
    let springs: Vec<_> = loads.cases[0]
        .members
        .iter()
        .filter(|m| m.which.axle == AxleName::Front && m.which.part.contains("spring"))
        .collect();
    assert_eq!(springs.len(), 2);
    for (spring, side) in springs.iter().zip(Side::BOTH) {
        assert_eq!((spring.which.part, spring.which.side), ("spring", Some(side)));
        let axle = study.gear.axle(AxleName::Front).unwrap();
        let ratio = axle.spring_ratio(&study.gear.ride.front[side as usize], Mode::Heave).unwrap();
        // The contact centre rises a little more or less than the wheel centre as camber changes.
        assert!((spring.force_n * ratio / wheel - 1.0).abs() < 5e-3, "{} {}", spring.force_n * ratio, wheel);
    }
    let at_damper = loads.cases[0].joints.iter().filter(|j| j.axle == AxleName::Front);
    assert!(at_damper.clone().all(|j| !matches!(j.joint, PointName::DamperTop | PointName::DamperBottom)));
    assert!(at_damper.filter(|j| j.joint == SpringTop && j.on == "body").count() == 2);
    // The arm is bent where the spring stands.
    assert!(loads.bending.iter().any(|b| b.bent.at == SpringBottom && b.bent.part == "lower arm"));
}

/// On a strut's car the strut still guides, and is bent; the spring on the arm carries.
#[test]
fn beside_a_strut_it_carries_and_the_strut_guides() {
    let text = std::fs::read_to_string(scene("godwit.ron")).unwrap();
    let text =
        text.replacen("spring: (rate: \"32 N/mm\")", "spring: (rate: \"75 N/mm\", on: lower_arm, diameter: 110)", 1);
    let text = text.replacen("wheel_centre: (0, 715, 290),", "wheel_centre: (0, 715, 290),\n            spring_top: (-60, 480, 420),\n            spring_bottom: (-60, 510, 200),", 1);
    let file = CarFile::from_text(text, None).unwrap_or_else(|e| panic!("{e}"));
    let study = study(file.car().clone());
    let loads = study.loads(Some("left turn")).unwrap_or_else(|e| panic!("{e}"));
    let front = |m: &&scribeline::answer::loads::MemberForce| m.which.axle == AxleName::Front;
    assert!(loads.cases[0].members.iter().filter(front).any(|m| m.which.part == "spring"));
    assert!(!loads.cases[0].members.iter().filter(front).any(|m| m.which.part == "spring and damper"));
    assert!(loads.bending.iter().any(|b| b.bent.part == "strut" && b.bent.moment_nm > 1.0));
}

/// Grown arms take its lower seat along, as they do a damper's mount; its upper one stays on the body.
#[test]
fn grown_arms_take_its_lower_seat_along() {
    let found = sprung().car().clone();
    let grow = Change::GrowArms { by: 45.0, way: GrowWay::Across, side: Sides::Both };
    let made = found.changed("grown", vec![grow]).unwrap_or_else(|e| panic!("{e}"));
    for side in Side::BOTH {
        let moved = |name| made.front.point(side, name).unwrap() - found.front.point(side, name).unwrap();
        let out = Vector3::new(0.0, 45.0 * side.sign(), 0.0);
        assert_eq!((moved(SpringBottom), moved(SpringTop)), (out, Vector3::zeros()));
        assert_eq!(moved(PointName::DamperBottom), out);
    }
}

/// It is put by an edit, and mirrored where the right one was not measured apart.
#[test]
fn it_is_edited_as_other_points_are() {
    let to = Vector3::new(-90.0, 505.0, 180.0);
    let (axle, side, point) = (AxleName::Front, Sides::Both, SpringBottom);
    let edit = Edit::PutPoint { proposal: None, axle, side, point, to };
    let edited = sprung().edit(&edit).unwrap_or_else(|e| panic!("{e}"));
    let at = |side| edited.car().front.point(side, SpringBottom).unwrap();
    assert_eq!((at(Side::Left), at(Side::Right)), (to, Vector3::new(-90.0, -505.0, 180.0)));
    let file = scene("dunlin.ron");
    let fit = |car: &CarFile, rate: f64| {
        let change = Change::FitSpring(scribeline::car::axle::Spring { rate, on: None, diameter: None });
        let text = change.written(car.car().unit).expect("it is written");
        let edit = Edit::AddChanges { proposal: "low and wide".to_owned(), changes: vec![text] };
        car.edit(&edit).unwrap_or_else(|e| panic!("{e}"))
    };
    let fitted = fit(&CarFile::open(&file).unwrap(), 72.5).proposed("low and wide").unwrap();
    assert_eq!(fitted.front.spring.unwrap().rate, 72.5);
}

/// A rate is put as found or in a proposal: in the proposal by one change, however often, and in the unit that it was written in.
#[test]
fn its_rate_is_edited_as_found_and_in_proposals() {
    let put =
        |proposal: Option<&str>, axle, rate| Edit::PutSpringRate { proposal: proposal.map(str::to_owned), axle, rate };
    let file = sprung();
    let found = file.edit(&put(None, AxleName::Front, 85.0)).unwrap();
    assert!(found.text().contains("spring: (rate: \"85 N/mm\", on: lower_arm, diameter: 100)"), "{}", found.text());
    let rear = file.edit(&put(None, AxleName::Rear, 21.0)).unwrap();
    assert!(rear.text().contains("spring: (rate: \"119.9 lbf/in\")"), "{}", rear.text());
    for typed in ["122.5", "130"] {
        let rate = typed.parse::<f64>().unwrap() * 4.448_221_615_260_5 / 25.4;
        let edited = file.edit(&put(None, AxleName::Rear, rate)).unwrap();
        assert!(edited.text().contains(&format!("spring: (rate: \"{typed} lbf/in\")")), "{}", edited.text());
    }
    let changes = file.car().proposals[0].changes.len();
    let mut proposed = file.clone();
    for (axle, rate) in
        [(AxleName::Front, 100.0), (AxleName::Rear, 25.0), (AxleName::Front, 104.5), (AxleName::Rear, 26.0)]
    {
        proposed = proposed.edit(&put(Some("low and wide"), axle, rate)).unwrap_or_else(|e| panic!("{e}"));
    }
    assert_eq!(proposed.car().proposals[0].changes.len(), changes + 2);
    let car = proposed.proposed("low and wide").unwrap();
    assert_eq!([car.front.spring.unwrap().rate, car.rear.unwrap().spring.unwrap().rate], [104.5, 26.0]);
    assert!(car.front.spring_apart().is_some(), "it stays where it stands");
    // Where there was none it is added.
    let bare = CarFile::open(&scene("knot.ron")).unwrap().edit(&put(None, AxleName::Rear, 22.25)).unwrap();
    assert_eq!(bare.car().rear.as_ref().unwrap().spring.unwrap().rate, 22.25);
}

/// It is drawn: a piece of its own, and the damper without the coil around it.
#[test]
fn it_is_a_piece_of_the_model() {
    let names = |car: Car| -> Vec<String> {
        let study = study(car);
        scribeline::sheets::mesh::of(&study).into_iter().map(|p| p.name).collect()
    };
    let apart = names(sprung().car().clone());
    assert!(apart.iter().any(|n| n == "left spring") && !apart.iter().any(|n| n == "left damper, spring"), "{apart:?}");
    let around = names(car("dunlin.ron"));
    assert!(around.iter().any(|n| n == "left damper, spring") && !around.iter().any(|n| n == "left spring"));
}

#[test]
fn what_cannot_be_is_refused_where_it_stands() {
    let refused = |from: &str, to: &str, words: &str| {
        let text = estate();
        assert!(text.contains(from), "{from}");
        let said = CarFile::from_text(text.replacen(from, to, 1), None).unwrap_err().to_string();
        assert!(said.contains(words), "{said}");
    };
    refused("rate: \"90 N/mm\"", "rate: \"90 N\"", "not a unit of a spring's rate");
    refused("rate: \"90 N/mm\"", "rate: -4", "it is from 0.1 to 10000 N/mm");
    refused("on: lower_arm, diameter: 100", "on: rocker, diameter: 100", "cannot be mounted on `rocker`");
    refused("on: lower_arm, diameter: 100", "on: lower_arm", "needs the `diameter`");
    refused("on: lower_arm, diameter: 100", "diameter: 100", "has its diameter in `damper`");
    refused(", on: lower_arm, diameter: 100", "", "no spring that stands apart");
    refused("spring_top: (-95, 425, 420),", "", "no point `spring_top`");
    refused("spring_top: (-95, 425, 420),", "spring_top: (-85, 500, 178),", "the spring has no length");
    refused("tyre: (size: \"175/70R13\")", "tyre: (size: \"175/70R13\", rate: 0)", "`rate` is 0");
    refused("spring: (rate", "unsprung: 900, spring: (rate", "by `weight` the axle stands on");
    refused("spring: (rate", "unsprung: 2, spring: (rate", "from 5 to 1000 kg");
    assert_eq!(study(sprung().car().clone()).springs().verdict, Verdict::Clear);
}
