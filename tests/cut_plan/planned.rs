//! What is planned to be sawn, held to trigonometry, to hand-reckoned sections, to the gaps of the car that results and to
//! measuring it in many places.

use nalgebra::Vector3;
use scribeline::answer::cut::{CutPlan, RailPlan, Way};
use scribeline::answer::{Cut, SLACK, Study, Verdict};
use scribeline::car::{
    AxleName, Car, CarFile, CutEnd, Ends, Hub, Mitre, Rail, RailFace, RailNotch, SawCut, Section, Side,
};
use scribeline::motion::Pose;
use scribeline::space::{Kind, Parts};

const DUNLIN: &str = include_str!("../../scenes/dunlin.ron");
/// Blade and weld, by default.
const ROOM: f64 = 6.0;
const LEFT: Hub = Hub { axle: AxleName::Front, side: Side::Left };

/// A wheel that does nothing but stand there, its tread a cylinder across the car, under one rail along the car.
/// Its tyre's radius, and the rail's underside over its axis.
const RADIUS: f64 = 280.0;
const WANTED: f64 = 12.0;

fn still(section: Section, over: f64) -> Study {
    let mut car = CarFile::from_text(DUNLIN.to_owned(), None).expect("it reads").car().clone();
    car.rear = None;
    car.front.right.0.clear();
    car.front.damper = None;
    (car.front.alignment.camber, car.front.alignment.toe) = (0.0, 0.0);
    car.front.rack.as_mut().expect("a rack").travel = 0.0;
    let tyre = &mut car.front.tyre;
    tyre.overall_diameter = Some(2.0 * RADIUS);
    (tyre.section_width, tyre.tread_width, tyre.loaded_radius) = (Some(240.0), Some(200.0), Some(269.0));
    (car.sweep.bump, car.sweep.droop, car.sweep.roll, car.sweep.pitch) = (0.0, 0.0, 0.0, 0.0);
    car.wanted.tyre_to_body = WANTED;
    (car.panels, car.tubes, car.blocks, car.nodes) = Default::default();
    let height = match section {
        Section::Box { height, .. } => height,
        Section::Round { od } => od,
    };
    let z = 269.0 + over + height / 2.0;
    car.rails = vec![Rail {
        name: "rail".into(),
        mirror: true,
        section,
        wall: 2.0,
        centreline: [-600.0, 600.0].map(|x| Vector3::new(x, 720.0, z)).to_vec(),
        datum: "rear end".into(),
        datum_station: 0.0,
        grade: None,
        cuts: Vec::new(),
        notches: Vec::new(),
        plates: Vec::new(),
    }];
    let study = Study::new(car).expect("it stands");
    let ride = study.gear.ride(LEFT);
    let off = (ride.wheel_centre - Vector3::new(0.0, 720.0, 269.0)).norm();
    assert!(off < 1e-6 && ride.spin.y.abs() > 1.0 - 1e-12, "the wheel stands as measured: {off}");
    study
}

fn boxed(width: f64, height: f64) -> Section {
    Section::Box { width, height }
}

fn way(cut: &Cut, way: Way) -> Option<(&RailPlan, &CutPlan)> {
    let plan = cut.plans.first().expect("a plan");
    Some((plan, plan.ways.iter().find(|w| w.way == way)?))
}

fn planned(cut: &Cut, which: Way) -> &CutPlan {
    way(cut, which).unwrap_or_else(|| panic!("no {which:?}: {:?}", cut.plans[0].without)).1
}

/// How far along from the axle a place at this height over it is still too near.
fn reach(over: f64) -> f64 {
    ((RADIUS + WANTED).powi(2) - over * over).sqrt()
}

#[track_caller]
fn close(got: f64, want: f64, within: f64) {
    assert!((got - want).abs() <= within, "{got} is not {want} to {within}");
}

#[test]
fn a_square_cut_is_as_long_as_trigonometry_says_and_the_room_for_blade_and_weld() {
    let cut = still(boxed(20.0, 60.0), 250.0).planned_cut();
    let square = planned(&cut, Way::Square);
    close(square.from_mm, 600.0 - reach(250.0) - ROOM, 0.05);
    close(square.to_mm, 600.0 + reach(250.0) + ROOM, 0.05);
    // Nothing within the room is nearer: at the end's lower edge the gap is what Pythagoras says.
    let gap = (reach(250.0) + ROOM).hypot(250.0) - RADIUS;
    close(square.gap.expect("near").gap_mm, gap, 0.05);
    // 2 x (20 + 56) x 2 mm² of steel.
    let kg = (20.0 * 60.0 - 16.0 * 56.0) * (square.to_mm - square.from_mm) * 7850e-9;
    close(square.mass_kg, kg, 1e-9);
}

#[test]
fn a_square_cut_is_the_union_of_all_faces_stretches_and_the_room() {
    let study = still(boxed(20.0, 60.0), 250.0);
    let cut = study.proven_cut();
    let stretches = || cut.rails.iter().flat_map(|r| &r.to_clear);
    let from = stretches().map(|s| s.from_mm).fold(f64::INFINITY, f64::min);
    let to = stretches().map(|s| s.to_mm).fold(f64::NEG_INFINITY, f64::max);
    assert!(stretches().count() >= 6, "bottom, inner and outer face, left and right");
    let square = planned(&cut, Way::Square);
    close(square.from_mm, from - ROOM, 1e-6);
    close(square.to_mm, to + ROOM, 1e-6);
    assert!(square.proven && square.gap.and_then(|g| g.at_least_mm).expect("proven") >= WANTED);
}

#[test]
fn mitred_ends_lean_to_their_limit_and_save_what_that_gives() {
    let cut = still(boxed(20.0, 60.0), 250.0).planned_cut();
    let (square, mitred) = (planned(&cut, Way::Square), planned(&cut, Way::Mitred));
    let [near, far] = mitred.lean_deg.expect("it leans");
    // The tyre's circle leans away faster than 30 degrees all the way up, so the lower edge decides.
    close(near.up_deg, 30.0, 1e-5);
    close(far.up_deg, -30.0, 1e-5);
    // Both side faces are alike, so nothing is won by leaning sideways.
    close(near.out_deg, 0.0, 0.1);
    // Half the height times the slope, but for one of ten strips of the side faces.
    let most = 30.0 * 30f64.to_radians().tan();
    for saved in [mitred.from_mm - square.from_mm, square.to_mm - mitred.to_mm] {
        assert!(saved <= most + 0.05 && saved >= 0.8 * most - 0.1, "{saved} of {most}");
    }
    assert!(mitred.mass_kg < square.mass_kg);
    assert!(mitred.gap.expect("near").gap_mm >= WANTED);
}

#[test]
fn a_lesser_limit_leans_less() {
    let mut car = still(boxed(20.0, 60.0), 250.0).car;
    car.cutting.mitre = 10f64.to_radians();
    let cut = Study::new(car).expect("it stands").planned_cut();
    close(planned(&cut, Way::Mitred).lean_deg.expect("it leans")[0].up_deg, 10.0, 1e-5);
}

#[test]
fn a_notch_is_as_deep_as_the_tyre_reaches_and_the_room() {
    let study = still(boxed(40.0, 60.0), 270.0);
    let notch = planned(&study.planned_cut(), Way::Notch).clone();
    let deep = notch.notch.expect("a notch");
    assert_eq!(deep.face, RailFace::Bottom);
    close(deep.depth_mm, RADIUS + WANTED - 270.0 + ROOM, 0.06);
    close(deep.web_mm, 60.0 - deep.depth_mm, 1e-9);
    // Over its depth there are 18; its ends' lower corners are nearer.
    let end = (reach(270.0) + ROOM).hypot(270.0) - RADIUS;
    assert!(end < WANTED + ROOM);
    close(notch.gap.expect("near").gap_mm, end, 0.06);
}

/// What a notch from below leaves is a channel that opens downwards: three rectangles, summed by hand.
#[test]
fn what_a_notch_leaves_is_what_is_reckoned_by_hand() {
    let notch = planned(&still(boxed(40.0, 60.0), 270.0).planned_cut(), Way::Notch).clone();
    let high = 60.0 - notch.notch.expect("a notch").depth_mm;
    let rect = |w: f64, h: f64| w * h * h * h / 12.0;
    let whole = [40.0 * 60.0 - 36.0 * 56.0, rect(40.0, 60.0) - rect(36.0, 56.0), rect(60.0, 40.0) - rect(56.0, 36.0)];
    // Top wall 40 x 2, its middle 1 from the top; two sides 2 x (high - 2) below it.
    let (top, side) = (80.0, 2.0 * (high - 2.0));
    let area = top + 2.0 * side;
    let middle = (top * 1.0 + 2.0 * side * (1.0 + high / 2.0)) / area;
    let upright = rect(40.0, 2.0)
        + top * (middle - 1.0).powi(2)
        + 2.0 * (rect(2.0, high - 2.0) + side * (1.0 + high / 2.0 - middle).powi(2));
    let sideways = rect(2.0, 40.0) + 2.0 * (rect(high - 2.0, 2.0) + side * 19f64.powi(2));
    let left = notch.remains[0];
    close(left.area, area / whole[0], 1e-9);
    close(left.upright, upright / whole[1], 1e-9);
    close(left.sideways, sideways / whole[2], 1e-9);
    // Bredt: 4 A² t / s of the whole; of the channel a third of each wall's length times its cube.
    let closed = 4.0 * (38.0f64 * 58.0).powi(2) * 2.0 / (2.0 * (38.0 + 58.0));
    let open = (38.0 + 2.0 * (high - 1.0)) * 8.0 / 3.0;
    close(left.torsion / (open / closed), 1.0, 0.02);
    assert!(left.torsion < 0.01, "a channel holds next to no torsion");
}

#[test]
fn no_notch_where_less_than_the_web_would_stay() {
    let mut car = still(boxed(40.0, 60.0), 270.0).car;
    car.cutting.web = 33.0;
    let cut = Study::new(car.clone()).expect("it stands").planned_cut();
    assert!(way(&cut, Way::Notch).is_none());
    assert!(cut.plans[0].without.iter().any(|why| why.contains("33 mm of the section")), "{:?}", cut.plans[0].without);
    // 60 less 28 leaves 32.
    car.cutting.web = 31.5;
    assert!(way(&Study::new(car).expect("it stands").planned_cut(), Way::Notch).is_some());
}

#[test]
fn a_round_rail_is_cut_where_its_tube_comes_too_near_and_not_notched() {
    let cut = still(Section::Round { od: 40.0 }, 250.0).planned_cut();
    let square = planned(&cut, Way::Square);
    // A ball of its radius on its axis.
    let along = ((RADIUS + WANTED + 20.0).powi(2) - 270f64.powi(2)).sqrt();
    close(square.from_mm, 600.0 - along - ROOM, 0.05);
    assert!(square.gap.expect("near").gap_mm >= WANTED);
    assert_eq!(square.lines.len(), 2);
    assert!(cut.plans[0].without.iter().any(|why| why.contains("round rail is not notched")));
}

#[test]
fn a_cut_that_reaches_the_rails_end_takes_it() {
    let mut car = still(boxed(20.0, 60.0), 250.0).car;
    car.rails[0].centreline[0].x = -100.0;
    let cut = Study::new(car).expect("it stands").planned_cut();
    let square = planned(&cut, Way::Square);
    assert_eq!(square.from_mm, 0.0);
    close(square.to_mm, 100.0 + reach(250.0) + ROOM, 0.05);
    assert!(square.lines.iter().all(|line| line.end == CutEnd::Far), "there is nothing to mark at the end that goes");
}

#[test]
fn a_rail_that_is_all_in_the_way_goes() {
    let mut car = still(boxed(20.0, 60.0), 250.0).car;
    (car.rails[0].centreline[0].x, car.rails[0].centreline[1].x) = (-100.0, 100.0);
    let cut = Study::new(car).expect("it stands").planned_cut();
    let square = planned(&cut, Way::Square);
    assert_eq!((square.from_mm, square.to_mm, square.change.as_str()), (0.0, 200.0, "remove(\"rail\")"));
    assert!(square.gap.is_none() && square.lines.is_empty());
}

/// Two places of one rail: over the front of the tyre and over its rear, with the rail dipping to both.
#[test]
fn two_places_in_the_way_are_two_plans() {
    let mut car = still(boxed(20.0, 60.0), 250.0).car;
    // High over the middle, low before and behind it; all stations by hand along the three slopes.
    car.rails[0].centreline = [(-600.0, 430.0), (-170.0, 430.0), (0.0, 640.0), (170.0, 430.0), (600.0, 430.0)]
        .map(|(x, z)| Vector3::new(x, 720.0, z))
        .to_vec();
    let cut = Study::new(car.clone()).expect("it stands").planned_cut();
    assert_eq!(cut.plans.len(), 2);
    let [first, second] = [&cut.plans[0], &cut.plans[1]];
    assert!(first.must_go_mm[1] + 2.0 * ROOM < second.must_go_mm[0]);
    // The car is alike before and behind the axle.
    let length = 860.0 + 2.0 * 170f64.hypot(210.0);
    close(first.must_go_mm[0] + second.must_go_mm[1], length, 0.1);
    assert!(cut.plans.iter().all(|p| p.ways[0].gap.is_some_and(|g| g.gap_mm >= WANTED)));
    for plan in [first, second] {
        let way = &plan.ways[0];
        car.rails[0].cuts.push(SawCut { from: way.from_mm, to: way.to_mm, ends: Ends::Square });
    }
    let after = Study::new(car).expect("it stands").cut();
    assert_eq!((after.rails.len(), after.verdict), (0, Verdict::Clear));
}

#[test]
fn an_own_cut_is_told_what_must_go_and_what_could_stay() {
    let mut car = still(boxed(20.0, 60.0), 250.0).car;
    let (clear_from, clear_to) = (600.0 - reach(250.0), 600.0 + reach(250.0));
    // 20 short at the near end, 30 more than planned at the far one.
    car.rails[0].cuts = vec![SawCut { from: clear_from + 20.0, to: clear_to + ROOM + 30.0, ends: Ends::Square }];
    let cut = Study::new(car).expect("it stands").proven_cut();
    let [near, far] = &cut.sawn[0].cuts[0].ends[..] else { panic!("two ends") };
    close(near.must_go_mm, 20.0, 0.05);
    assert_eq!(near.could_stay_mm, 0.0);
    close(far.could_stay_mm, 30.0, 0.05);
    assert_eq!(far.must_go_mm, 0.0);
    let gap = |along: f64| along.hypot(250.0) - RADIUS;
    close(near.gap.expect("near").gap_mm, gap(reach(250.0) - 20.0), 0.05);
    close(far.gap.expect("near").gap_mm, gap(reach(250.0) + ROOM + 30.0), 0.05);
    assert_eq!((near.verdict, far.verdict, cut.verdict), (Verdict::Short, Verdict::Clear, Verdict::Short));
    let left = &cut.sawn[0].remains;
    assert_eq!(left.iter().map(|r| r.area).collect::<Vec<_>>(), [1.0, 0.0, 1.0]);
}

/// A plate stands before the metal's end and may reach over the section: what is told to go and to stay counts it, so that the
/// end that is moved by just that clears.
#[test]
fn a_plate_on_an_end_counts_in_what_must_go_and_could_stay() {
    let judged = |from: f64, over: f64| {
        let file = CarFile::from_text(DUNLIN.to_owned(), None).expect("it reads");
        let mut car = file.proposed("low and cut").expect("it can be");
        let rail = car.rails.iter_mut().find(|rail| rail.is_sawn()).expect("cut");
        rail.cuts[0].from = from;
        rail.plates.iter_mut().for_each(|plate| plate.over = over);
        Study::new(car).expect("it stands").cut().sawn[0].cuts[0].ends[0].clone()
    };
    let mut clears_at = Vec::new();
    for over in [0.0, 10.0] {
        let short = judged(270.0, over);
        assert!(short.verdict != Verdict::Clear && short.could_stay_mm == 0.0, "{short:?}");
        let clear_at = 270.0 - short.must_go_mm;
        let clear = judged(clear_at, over);
        assert_eq!(clear.verdict, Verdict::Clear, "{clear:?}");
        close(clear.gap.expect("near").gap_mm, WANTED, 0.05);
        assert_eq!(judged(clear_at + 0.1, over).verdict, Verdict::Short);
        // From well inside the metal: what could stay leaves the blade's width.
        let roomy = judged(230.0, over);
        assert_eq!((roomy.verdict, roomy.must_go_mm), (Verdict::Clear, 0.0));
        close(230.0 + roomy.could_stay_mm, clear_at - 2.0, 0.05);
        assert_eq!(judged(230.0 + roomy.could_stay_mm, over).verdict, Verdict::Clear);
        clears_at.push(clear_at);
    }
    // Without plates the metal could stay to where the rail bends, 260.3 mm from its end; a wider plate goes further back.
    assert!(clears_at[0] < 260.3 && clears_at[1] < clears_at[0] - 2.0, "{clears_at:?}");
}

#[test]
fn own_cuts_are_told_from_the_datum_on_whatever_order_the_file_has() {
    let mut car = still(boxed(20.0, 60.0), 250.0).car;
    let cut = |from: f64, to: f64| SawCut { from, to, ends: Ends::Square };
    car.rails[0].cuts = vec![cut(900.0, 1000.0), cut(100.0, 300.0)];
    let told = Study::new(car.clone()).expect("it stands").cut();
    for (nth, judged) in (1..).zip(&told.sawn[0].cuts) {
        let own = car.rails[0].cut(Some(nth)).expect("a cut");
        assert_eq!([judged.from_mm, judged.to_mm], [own.from, own.to], "what is changed as cut {nth}");
    }
    assert_eq!(told.sawn[0].cuts.len(), 2);
}

#[test]
fn an_own_notch_is_told_how_deep_it_must_be() {
    let mut car = still(boxed(40.0, 60.0), 270.0).car;
    let around = reach(270.0) + ROOM;
    let [from, to] = [600.0 - around, 600.0 + around];
    let told = |car: &mut Car, depth| {
        car.rails[0].notches = vec![RailNotch { from, to, face: RailFace::Bottom, depth }];
        let cut = Study::new(car.clone()).expect("it stands").planned_cut();
        (cut.sawn[0].notches[0].clone(), cut.verdict)
    };
    let (shallow, verdict) = told(&mut car, 15.0);
    assert_eq!((shallow.verdict, verdict), (Verdict::Short, Verdict::Short));
    close(shallow.gap.expect("near").gap_mm, 270.0 + 15.0 - RADIUS, 0.05);
    close(shallow.clear_mm.expect("it can be"), RADIUS + WANTED - 270.0, 0.06);
    let (deep, verdict) = told(&mut car, 30.0);
    assert_eq!((deep.verdict, verdict), (Verdict::Clear, Verdict::Clear));
}

#[test]
fn a_tape_along_an_edge_goes_round_the_bends_that_the_edge_goes_round() {
    let mut car = still(boxed(20.0, 70.0), 250.0).car;
    // A bend of arctan(4/3) upwards: its mitre stands at half of that, whose tangent is a half.
    car.rails[0].centreline =
        [(-600.0, 600.0), (0.0, 600.0), (300.0, 1000.0)].map(|(x, z)| Vector3::new(x, 720.0, z)).to_vec();
    car.rails[0].cuts = vec![SawCut { from: 700.0, to: 900.0, ends: Ends::Square }];
    let cut = Study::new(car).expect("it stands").planned_cut();
    let lines = &cut.sawn[0].cuts[0].lines;
    let mark = |edge: &str| lines.iter().flat_map(|l| &l.marks).find(|m| m.edge == edge).expect("it is marked");
    // Each way from the bend the inside of it, on top, is 35 / 2 shorter and the outside as much longer.
    close(mark("outer top").tape_mm, 700.0 - 35.0, 1e-9);
    close(mark("inner bottom").tape_mm, 700.0 + 35.0, 1e-9);
    close(mark("inner bottom").station_mm, 700.0, 1e-9);
}

#[test]
fn a_datums_own_station_is_in_every_station_and_in_no_tape() {
    let [zero, hundred] = ["", "datum_station: 100, "].map(|station| {
        let datum = "datum: \"front face of the firewall\",";
        let text = DUNLIN.replacen(datum, &format!("{station}{datum}"), 1);
        let file = CarFile::from_text(text, None).unwrap_or_else(|e| panic!("{e}"));
        Study::new(file.proposed("low and wide").expect("it can be")).expect("it stands").planned_cut()
    });
    let from = ["front face of the firewall", "place 100 mm before the front face of the firewall"];
    assert_eq!([&zero, &hundred].map(|cut| cut.plans[0].datum.as_str()), from);
    assert_eq!([&zero, &hundred].map(|cut| cut.rails[0].datum.as_str()), from);
    let [zero, hundred] = [&zero, &hundred].map(|cut| planned(cut, Way::Square));
    close(hundred.from_mm, zero.from_mm + 100.0, 1e-6);
    let marks = |plan: &CutPlan| plan.lines.iter().flat_map(|l| l.marks.clone()).collect::<Vec<_>>();
    for (mark, moved) in marks(zero).iter().zip(marks(hundred)) {
        close(moved.station_mm, mark.station_mm + 100.0, 1e-6);
        close(moved.tape_mm, mark.tape_mm, 1e-6);
    }
    assert_eq!((marks(zero).len(), marks(hundred).len()), (16, 16));
}

#[test]
fn a_leaning_cut_over_a_bend_is_cut_flat() {
    let mut car = still(boxed(20.0, 70.0), 250.0).car;
    car.rails[0].mirror = false;
    car.rails[0].centreline =
        [(-600.0, 600.0), (0.0, 600.0), (600.0, 700.0)].map(|(x, z)| Vector3::new(x, 720.0, z)).to_vec();
    let leaning = Mitre { up: 30f64.to_radians(), out: 20f64.to_radians() };
    let ends = Ends::Mitred { near: leaning, far: Mitre::default() };
    car.rails[0].cuts = vec![SawCut { from: 600.0, to: 900.0, ends }];
    let parts = Parts::new(&car);
    let near = parts.body.iter().find(|p| p.name == "rail, near piece").expect("a piece");
    assert!(near.solid.closed);
    // The plane through (0, 720, 600), square to what leans by both slopes, as the first stretch sees it.
    let normal = Vector3::new(1.0, -leaning.out.tan(), -leaning.up.tan());
    let over = |p: Vector3<f64>| (p - Vector3::new(0.0, 720.0, 600.0)).dot(&normal);
    let corners = || near.solid.facets.iter().flat_map(|f| f.corners);
    assert!(corners().all(|p| over(p) < 1e-6), "nothing stands over the plane");
    let on = corners().filter(|p| over(*p).abs() < 1e-6).collect::<Vec<_>>();
    let (low, high) = on.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), p| (l.min(p.x), h.max(p.x)));
    assert!(low < -20.0 && high > 20.0, "its end lies before the bend below and behind it above: {low} {high}");
    // What is whole before the plane and gone behind it.
    assert!(near.solid.holds(Vector3::new(high - 5.0, 729.0, 600.0 + 35.0)));
    assert!(!near.solid.holds(Vector3::new(low + 5.0, 711.0, 600.0 - 34.0)));
}

/// The demo's "low and wide" with one more change.
fn with_change(change: &str) -> Car {
    let mark = "                set_sweep(bump: 45";
    let text = DUNLIN.replacen(mark, &format!("                {change},\n{mark}"), 1);
    let file = CarFile::from_text(text, None).unwrap_or_else(|e| panic!("{e}"));
    file.proposed("low and wide").unwrap_or_else(|e| panic!("{e}"))
}

fn low_and_wide() -> Study {
    let file = CarFile::from_text(DUNLIN.to_owned(), None).expect("it reads");
    Study::new(file.proposed("low and wide").expect("it can be")).expect("it stands")
}

#[test]
fn every_plan_of_the_demo_clears_when_its_change_is_made() {
    let cut = low_and_wide().proven_cut();
    let plan = &cut.plans[0];
    assert_eq!(plan.ways.iter().map(|w| w.way).collect::<Vec<_>>(), [Way::Square, Way::Mitred]);
    for planned in &plan.ways {
        assert!(planned.proven, "{:?}", planned.way);
        let study = Study::new(with_change(&planned.change)).expect("it stands");
        study.prove(|| false);
        let gaps = study.gaps(&Pose::default()).expect("it stands");
        let rails = || gaps.pairs.iter().filter(|p| p.b.contains("upper rail"));
        assert!(rails().count() >= 4);
        for pair in rails() {
            let least = pair.worst.at_least_mm.expect("proven");
            assert!(least >= WANTED - SLACK, "{:?}: {} {} {least}", planned.way, pair.a, pair.b);
        }
        let least = rails().map(|p| p.worst.gap.gap_mm).fold(f64::INFINITY, f64::min);
        close(planned.gap.expect("near").gap_mm, least, 0.05);
        assert_eq!(study.cut().rails, []);
    }
}

#[test]
fn no_place_of_what_a_mitred_plan_leaves_is_nearer_to_any_wheel_than_said() {
    let cut = low_and_wide().proven_cut();
    let mitred = planned(&cut, Way::Mitred);
    let study = Study::new(with_change(&mitred.change)).expect("it stands");
    let mut least = f64::INFINITY;
    for sweep in study.sweeps.iter().filter(|s| s.hub.axle == AxleName::Front) {
        let own = study.parts.body.iter().filter(|p| p.kind == Kind::Rail && p.side == Some(sweep.hub.side));
        let facets: Vec<_> = own.filter(|p| p.base == "upper rail").flat_map(|p| &p.solid.facets).collect();
        for (_, pose) in sweep.poses.iter().step_by(3) {
            let ring = Parts::placed(study.parts.tyre(sweep.hub), pose);
            for [a, b, c] in facets.iter().map(|f| f.corners) {
                for (i, j) in (0..=12).flat_map(|i| (0..=12 - i).map(move |j| (i, j))) {
                    let (s, t) = (f64::from(i) / 12.0, f64::from(j) / 12.0);
                    least = least.min(ring.distance(a + (b - a) * s + (c - a) * t));
                }
            }
        }
    }
    let said = mitred.gap.expect("near");
    assert!(least >= said.at_least_mm.expect("proven"), "{least} {said:?}");
    assert!(least < said.gap_mm + 3.0, "and the place is found: {least} {said:?}");
}

#[test]
fn mitred_ends_take_less_and_square_ones_lie_outside_what_must_go() {
    let cut = low_and_wide().planned_cut();
    let plan = &cut.plans[0];
    let (square, mitred) = (planned(&cut, Way::Square), planned(&cut, Way::Mitred));
    assert!(plan.both_sides && plan.rail == "upper rail");
    assert!(square.from_mm <= plan.must_go_mm[0] - ROOM + 1.0 && square.to_mm >= plan.must_go_mm[1] + ROOM);
    assert!(square.from_mm < mitred.from_mm && mitred.to_mm < square.to_mm);
    let leans = mitred.lean_deg.expect("it leans");
    let within = |deg: f64| deg.abs() <= cut.room.mitre_deg + 1e-6;
    assert!(leans.iter().all(|l| within(l.up_deg) && within(l.out_deg)));
    // On every face both ends are marked, each edge told by both of its faces alike.
    for end in CutEnd::BOTH {
        let lines: Vec<_> = mitred.lines.iter().filter(|l| l.end == end).collect();
        assert_eq!(lines.len(), 4);
        for (k, line) in lines.iter().enumerate() {
            assert_eq!(line.marks[1], lines[(k + 1) % 4].marks[0]);
        }
    }
    assert!(cut.caution.contains("licensed engineer"));
}

#[test]
fn the_demos_own_cut_clears_with_plates_and_braces() {
    let file = CarFile::from_text(DUNLIN.to_owned(), None).expect("it reads");
    let study = Study::new(file.proposed("low and cut").expect("it can be")).expect("it stands");
    study.prove(|| false);
    let gaps = study.gaps(&Pose::default()).expect("it stands");
    for part in
        ["upper rail, near piece", "upper rail, far piece", "near end plate", "far end plate", "bypass", "rear brace"]
    {
        let pair = gaps.pairs.iter().find(|p| p.a == "left front tyre" && p.b.ends_with(part));
        let pair = pair.unwrap_or_else(|| panic!("{part}"));
        assert!(pair.worst.at_least_mm.expect("proven") >= pair.wanted_mm && pair.verdict == Verdict::Clear, "{part}");
    }
    assert_eq!(study.cut().verdict, Verdict::Clear);
}
