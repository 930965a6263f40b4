//! What is told keeps its gaps and its boxes, and what cannot be had says why.

use std::sync::atomic::{AtomicUsize, Ordering};

use nalgebra::Vector3;
use scribeline::answer::better::{Axis, BetterAsk, BetterCar, Looking, NoBetter, Progress, StoppedBy};
use scribeline::answer::{Better, Study, Told, Verdict};
use scribeline::car::PointName::{TieRodInner, TieRodOuter};
use scribeline::car::{Block, BlockShape, CarFile, Shown, Side};
use scribeline::motion::{Pose, Quantity};
use scribeline::space::Scans;

use crate::demo::{car, scene, study};
use crate::{ask, found, four_bar, instant, keeps_every_gap, made, rate};

/// Whatever is told of the demo car stands within its boxes, keeps every gap, proven, and is what its proposal would
/// be; and no told car is beaten by another in everything.
#[test]
fn every_told_car_of_the_demo_stays_in_its_boxes_and_keeps_every_gap() {
    let start = study(car("dunlin.ron"));
    let asked = BetterAsk {
        best: 3,
        ..ask(
            &["tie_rod_outer z 15", "tie_rod_inner z 10", "upper_front z 12", "upper_rear z -12 8"],
            &["bump_steer at most 0.02", "camber_gain at most -0.55", "roll_centre_height stays within 15"],
        )
    };
    let better = found(&start, &asked);
    assert_eq!(better.verdict, Verdict::Clear, "{}", better.sentence(Shown::Mm));
    assert!(better.cars.len() > 1, "there is something to trade");
    for (n, car) in better.cars.iter().enumerate() {
        for f in &asked.free {
            let axis = Axis::ALL.iter().position(|a| *a == f.axis).expect("an axis");
            let by = car.moves.iter().find(|m| m.point == f.point).map_or(0.0, |m| m.by_mm[axis]);
            assert!((f.from_mm..=f.to_mm).contains(&by), "{by} in {f:?}");
        }
        let after = made(&start, &better, n);
        let worst = Side::BOTH
            .map(|side| rate(&after, Quantity::Toe, side))
            .into_iter()
            .fold(0.0f64, |m, v| if v.abs() > m.abs() { v } else { m });
        assert!((worst - car.reached[0].value).abs() < 1e-9, "{worst} against {:?}", car.reached);
        assert!(car.proven);
        if n == 0 {
            after.prove(|| false);
        }
        keeps_every_gap(&start, &after);
    }
    // How far each is over what is wished, and how far it moves: no car has none of these greater than another has
    // and one that is less. What is met already is as good as met.
    let roll = better.wishes[2].was.expect("a roll centre");
    let over = |car: &BetterCar| {
        let [steer, camber, centre] = [0, 1, 2].map(|i| car.reached[i].value);
        [steer.abs() - 0.02, camber + 0.55, (centre - roll).abs() - 15.0]
    };
    for (n, one) in better.cars.iter().enumerate() {
        for (k, other) in better.cars.iter().enumerate().filter(|(k, _)| *k != n) {
            let each = over(one).into_iter().zip(over(other));
            let as_good = each.clone().all(|(one, other)| other <= one) && other.moved_mm <= one.moved_mm;
            let better = each.clone().any(|(one, other)| one > 0.0 && other < one - 1e-4);
            let less = other.moved_mm < one.moved_mm - 1e-3;
            assert!(!(as_good && (better || less)), "car {} is beaten by {}", n + 1, k + 1);
        }
    }
    let least = better.cars.iter().map(|c| c.moved_mm).fold(f64::INFINITY, f64::min);
    assert!(better.cars.iter().all(|c| !c.moves_least || c.moved_mm == least));
    let first = &better.cars[0];
    assert!(
        better.cars.iter().all(|c| c.met() < first.met() || c.moved_mm >= first.moved_mm),
        "the smallest move comes first"
    );
}

/// A block stands where the tie rod would have to go, so the way that is free without it is not: the rod's end stops
/// where its gap is just kept, and with another point free it goes the other way round.
#[test]
fn a_part_that_is_in_the_way_is_kept_clear_of() {
    let mut car = four_bar();
    let [y, z] = instant(&car);
    let (inner, outer) = (car.front.points.0[&TieRodInner], car.front.points.0[&TieRodOuter]);
    let height = inner.z + (outer.y - inner.y) * (z - inner.z) / (y - inner.y);
    car.front.points.0.insert(TieRodOuter, Vector3::new(outer.x, outer.y, height + 12.0));
    let open = study(car.clone());
    let only = ask(&["tie_rod_outer z 20"], &["bump_steer at most 0.02"]);
    let unhindered = found(&open, &only);
    assert_eq!(unhindered.verdict, Verdict::Clear, "{}", unhindered.sentence(Shown::Mm));
    // In droop the rod comes down on it: just clear as it is.
    let gap = |study: &Study| {
        let gaps = study.gaps(&Pose::default()).expect("gaps");
        let of = |p: &&scribeline::answer::PairGap| p.a == "left tie rod" && p.b == "left planted";
        gaps.pairs.iter().find(of).map(|p| p.worst.gap.gap_mm).expect("the rod comes near")
    };
    let planted = |top: f64| {
        let mut car = car.clone();
        let shape =
            BlockShape::Box { from: Vector3::new(80.0, 520.0, top - 40.0), to: Vector3::new(120.0, 560.0, top) };
        car.blocks.push(Block { name: "planted".to_owned(), mirror: true, shape });
        study(car)
    };
    // As high as leaves the rod 2 mm over its wanted gap.
    let wanted = car.wanted.linkage_to_body;
    let mut top = 125.0;
    for _ in 0..5 {
        top += gap(&planted(top)) - wanted - 2.0;
    }
    let start = planted(top);
    assert!((gap(&start) - wanted - 2.0).abs() < 0.2, "{}", gap(&start));
    let better = found(&start, &only);
    assert_eq!(better.verdict, Verdict::Short, "{}", better.sentence(Shown::Mm));
    let Some(StoppedBy::Gap(stop)) = &better.wishes[0].stopped_by else { panic!("{:?}", better.wishes) };
    assert_eq!(
        [stop.a.as_str(), stop.b.as_str()].map(|name| name.replace("right", "left")),
        ["left tie rod", "left planted"]
    );
    assert!(stop.gap_mm < wanted, "{stop:?}");
    let said = better.sentence(Shown::Mm);
    assert!(said.contains("the left tie rod would") && said.contains("left planted"), "{said}");
    let after = made(&start, &better, 0);
    keeps_every_gap(&start, &after);
    // It goes as far as the gap lets it.
    let left = gap(&after);
    assert!((wanted..wanted + 0.15).contains(&left), "{left} of {wanted}");
    // The rack's end raised does the same without coming down.
    let better = found(&start, &ask(&["tie_rod_outer z 20", "tie_rod_inner z 25"], &["bump_steer at most 0.02"]));
    assert_eq!(better.verdict, Verdict::Clear, "{}", better.sentence(Shown::Mm));
    let after = made(&start, &better, 0);
    keeps_every_gap(&start, &after);
    assert!(rate(&after, Quantity::Toe, Side::Left).abs() <= 0.02);
}

/// What cannot be had says why: a box that ends too early, a wish that stands against another, points that have no
/// say in it.
#[test]
fn a_wish_that_cannot_be_met_says_what_stops_it() {
    let start = study(car("dunlin.ron"));
    let camber = rate(&start, Quantity::Camber, Side::Left);
    let better = found(
        &start,
        &ask(
            &["upper_front z 2", "upper_rear z 2"],
            &[&format!("camber_gain near {camber}"), "camber_gain at most -3"],
        ),
    );
    assert_eq!(better.verdict, Verdict::Short);
    assert_eq!(better.wishes[0].stopped_by, None);
    let Some(StoppedBy::Boxes(ends)) = &better.wishes[1].stopped_by else { panic!("{:?}", better.wishes) };
    assert!(ends.iter().all(|end| end.at_mm.abs() == 2.0), "{ends:?}");
    assert!(better.sentence(Shown::Mm).contains("the boxes end there"), "{}", better.sentence(Shown::Mm));
    // A wheel that is to steer itself by two degrees would need the rod higher than its box allows; but long before, the tyre is in
    // the arm, and that is told first.
    let tight = found(&start, &ask(&["tie_rod_outer z 40"], &["toe rate at most -2"]));
    let Some(StoppedBy::GapAndBoxes(gap, ends)) = &tight.wishes[0].stopped_by else { panic!("{:?}", tight.wishes) };
    assert!(gap.a.ends_with("front tyre") && gap.b.ends_with("lower arm") && gap.gap_mm < gap.wanted_mm, "{gap:?}");
    assert!(ends.len() == 1 && ends[0].at_mm == 40.0, "{ends:?}");
    assert!(tight.cars[0].moved_mm < 20.0, "nowhere near the end of its box: {:?}", tight.cars[0]);
    let said = tight.sentence(Shown::Mm);
    assert!(said.find("lower arm").expect("the gap") < said.find("the boxes would end it").expect("the box"), "{said}");
    // A rod's height cannot both steer and not steer.
    let both = found(&start, &ask(&["tie_rod_outer z 15"], &["toe rate at most -0.2", "toe rate at least 0.2"]));
    assert_eq!(both.verdict, Verdict::Short);
    let stops: Vec<_> = both.wishes.iter().map(|w| w.stopped_by.clone()).collect();
    assert!(
        stops.contains(&Some(StoppedBy::Wishes(vec![1]))) || stops.contains(&Some(StoppedBy::Wishes(vec![0]))),
        "{stops:?}"
    );
    // A tie rod has no say in the roll centre.
    let idle = found(&start, &ask(&["tie_rod_outer z 5"], &["roll_centre_height at least 300"]));
    assert_eq!(idle.verdict, Verdict::Short);
    assert_eq!(idle.wishes[0].stopped_by, Some(StoppedBy::Points), "{}", idle.sentence(Shown::Mm));
    // What was never put right is not called proven where it is written.
    let told = &better.cars[0];
    assert!(told.proven && told.proof().contains("proven to be kept"));
    assert!(BetterCar { proven: false, ..told.clone() }.proof().starts_with("Not every gap"));
}

/// The inner wheel's angle before the first touch, the lesser of both ways, degrees.
fn lock(study: &Study) -> f64 {
    let ways = study.proven_lock().ways;
    ways.iter().map(|w| w.worst.steer_deg[w.way as usize].abs()).fold(f64::INFINITY, f64::min)
}

/// A lock is what `lock` tells: the wish is met in the whole car, and no gap is broken for it.
#[test]
fn a_lock_is_wished_in_the_whole_car() {
    let file = CarFile::open(&scene("dunlin.ron")).expect("the demo");
    let start = study(file.proposed("low and wide").expect("the proposal"));
    let now = lock(&start);
    let wishes = [format!("lock at least {:.2}", now + 0.5)];
    let asked =
        ask(&["lower_front z 30", "lower_rear z 30", "tie_rod_outer y 12", "tie_rod_outer x 10"], &[&wishes[0]]);
    let better = found(&start, &asked);
    let was = better.wishes[0].was.expect("a lock");
    assert!((was - now).abs() < 0.3, "{was} against {now}");
    let car = better.cars.first().expect("a car");
    let after = made(&start, &better, 0);
    let then = lock(&after);
    assert!((then - car.reached[0].value).abs() < 1e-6, "{then} against {:?}", car.reached);
    assert_eq!(car.reached[0].met, then >= now + 0.5 - 0.005);
    // Where it falls short, a gap of the whole car is why, and named.
    let stopped = &better.wishes[0].stopped_by;
    assert!(car.reached[0].met == stopped.is_none(), "{stopped:?}");
    keeps_every_gap(&start, &after);
}

/// Where nothing is near, lock ends with the rack, and a shorter steering arm has more of it for the same rack: the tie
/// rod's end goes towards the steering axis, and no further than the wish asks.
#[test]
fn a_shorter_steering_arm_brings_the_lock_that_is_wished() {
    let start = study(four_bar());
    let wanted = lock(&start) + 1.0;
    let better = found(&start, &ask(&["tie_rod_outer x 20"], &[&format!("lock at least {wanted}")]));
    assert_eq!(better.verdict, Verdict::Clear, "{}", better.sentence(Shown::Mm));
    let car = &better.cars[0];
    let then = lock(&made(&start, &better, 0));
    assert!(car.reached[0].met && (wanted - 1e-6..wanted + 0.1).contains(&then), "{then} of {wanted}");
    let by = car.moves[0].by_mm[0];
    assert!((-20.0..0.0).contains(&by), "{by}: back, towards the steering axis");
}

/// Only one lock can be worked on.
#[test]
fn a_second_lock_is_refused() {
    let asked = ask(&["tie_rod_outer x 20"], &["lock at least 20", "lock at least 30"]);
    let refused = Better::new(&study(four_bar()), &Scans::default(), &asked, Looking::NOBODY);
    assert!(matches!(&refused, Err(NoBetter::Asked(what)) if what.contains("wished twice")), "{refused:?}");
}

/// With no pair near another there is no least gap: that is said, not printed as a number that is none.
#[test]
fn what_does_not_tell_now_is_said_so() {
    let start = study(four_bar());
    let mut better = found(&start, &ask(&["tie_rod_outer z 5"], &["camber from -3 to 3", "clear"]));
    let told = better.wishes[1].was;
    assert!(told.is_none_or(f64::is_finite), "{told:?}");
    better.wishes[1].was = None;
    assert_eq!(better.wishes[1].was_words(Shown::Mm), "nothing to tell");
    assert_eq!(better.number(1, f64::INFINITY, Shown::In), "nothing to tell");
}

/// Asked to stop, a search tells what it has proven by then; it looks no further.
#[test]
fn a_search_that_is_stopped_ends_at_once() {
    let start = study(car("dunlin.ron"));
    let asked = BetterAsk { best: 1, ..ask(&["tie_rod_outer z 15", "upper_front z 12"], &["bump_steer at most 0.02"]) };
    let whole = found(&start, &asked);
    assert!(!whole.stopped && whole.tried.cars > 0);
    let stopped = Looking { progress: &|_| (), stop: &|| true };
    let better = Better::new(&start, &Scans::default(), &asked, stopped).expect("an answer");
    assert!(better.stopped && better.cars.is_empty() && better.tried.cars == 0, "{:?}", better.tried);
    assert!(better.sentence(Shown::Mm).contains("stopped"));
    // Stopped half way: it asks a few times more, each of its threads once or so, and comes back.
    let asks = AtomicUsize::new(0);
    let seen = std::sync::Mutex::new(Vec::new());
    let progress = |p: Progress| seen.lock().expect("a list").push(p.done);
    let search = |most: usize| {
        asks.store(0, Ordering::Relaxed);
        let stop = || asks.fetch_add(1, Ordering::Relaxed) >= most;
        let looking = Looking { progress: &progress, stop: &stop };
        let better = Better::new(&start, &Scans::default(), &asked, looking).expect("an answer");
        (better, asks.load(Ordering::Relaxed))
    };
    let (whole, all) = search(usize::MAX);
    let (half, then) = search(all / 2);
    assert!(!whole.stopped && half.stopped && half.tried.cars <= whole.tried.cars);
    assert!(then < all, "{then} of {all}");
    assert!(seen.lock().expect("a list").iter().all(|done| (0.0..=1.0).contains(done)));
}

/// There is no chance in it.
#[test]
fn the_same_question_has_the_same_answer() {
    let (frees, wishes) =
        (["tie_rod_outer z 15", "upper_front z 12"], ["bump_steer at most 0.02", "camber_gain at most -0.7"]);
    let asked = BetterAsk { best: 2, ..ask(&frees, &wishes) };
    let [one, other] = [0, 1].map(|_| found(&study(car("dunlin.ron")), &asked));
    assert_eq!(one, other);
}
