//! What is proven over a sweep, against poses at random, against touches that are thinner than any step of the search, and
//! with proofs that start from nothing: what a search found may only make a proof quicker, never change what it says.

use std::sync::{Arc, OnceLock};

use nalgebra::{Vector2, Vector3};
use scribeline::answer::{Lock, SLACK, Study};
use scribeline::car::{AxleName, Car, CarFile, FixedTube, Hub, Rail, Section, Side};
use scribeline::space::cut::{Cutting, STATED, STATION_KNOWN, Stretch};
use scribeline::space::lock::{BEFORE, RACK_KNOWN, Touch, Turn};
use scribeline::space::{
    Bar, Kind, Part, Parts, Place, PlacedRing, Proving, RailRun, Role, Scans, Solid, Swept, WheelSweep, nearest,
};

const LOOKS: usize = 60_000;

/// Numbers from 0 to 1 that are the same on every machine: Knuth's linear congruence (MMIX, from memory).
struct Random(u64);

impl Random {
    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.next()
    }

    fn within(&mut self, [low, high]: [Vector2<f64>; 2]) -> Vector2<f64> {
        Vector2::new(self.between(low.x, high.x), self.between(low.y, high.y))
    }
}

fn file(name: &str) -> CarFile {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("scenes").join(name);
    CarFile::open(&path).unwrap_or_else(|e| panic!("{e}"))
}

fn study(car: Car) -> Study {
    Study::new(car).unwrap_or_else(|e| panic!("{e}"))
}

/// A demo car as found or with one of its proposals.
struct Demo {
    name: String,
    study: Study,
    lock: OnceLock<Lock>,
}

impl Demo {
    fn new(name: String, file: &CarFile, car: Car) -> Self {
        let scans = Scans::load(file, &car).expect("its scans");
        let study = Study::with_scans(car, &scans).unwrap_or_else(|e| panic!("{name}: {e}"));
        Self { name, study, lock: OnceLock::new() }
    }

    /// Its lock, proven: several tests ask about it.
    fn lock(&self) -> &Lock {
        self.lock.get_or_init(|| self.study.proven_lock())
    }

    /// The sides whose sweeps differ: what was not measured apart on the right is the left's mirror image, and a proof of
    /// it the same proof.
    fn sides(&self, axle: AxleName) -> &'static [Side] {
        let apart = self.study.car.axle(axle).is_some_and(|axle| !axle.right.0.is_empty());
        if apart { &Side::BOTH } else { &Side::BOTH[..1] }
    }
}

/// Every demo car as found and with each of its proposals, set up once.
fn demos() -> &'static [Demo] {
    static ALL: OnceLock<Vec<Demo>> = OnceLock::new();
    ALL.get_or_init(|| {
        let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("scenes");
        let names = std::fs::read_dir(folder).expect("scenes").map(|e| e.expect("a file").file_name());
        let names = names.filter_map(|n| n.into_string().ok()).filter(|n| n.ends_with(".ron"));
        let mut names: Vec<String> = names.collect();
        names.sort();
        let mut all = Vec::new();
        for name in names {
            let file = file(&name);
            for proposal in &file.car().proposals {
                let car = file.proposed(&proposal.name).expect("it can be made");
                all.push(Demo::new(format!("{name}, {}", proposal.name), &file, car));
            }
            all.push(Demo::new(name, &file, file.car().clone()));
        }
        assert!(all.len() >= 12, "eight cars and four proposals");
        all
    })
}

/// Those that steer.
fn steered() -> impl Iterator<Item = &'static Demo> {
    demos().iter().filter(|demo| demo.study.gear.front.steers())
}

fn front(side: Side) -> Hub {
    Hub { axle: AxleName::Front, side }
}

/// No pose with less steering than the worst limit has a pair short that counts, wherever in the travel it is.
#[test]
fn no_pose_short_of_a_proven_limit_has_a_pair_too_near() {
    let mut random = Random(1);
    let (mut limited, mut held) = (0, 0);
    for demo in steered() {
        let (Demo { name, study, .. }, lock) = (demo, demo.lock());
        let left_out = |p: &Place| lock.left_out.contains(&[study.parts.name(p.a), study.parts.name(p.b)]);
        for way in &lock.ways {
            assert!(way.proven, "{name}: {:?}", way.way);
            limited += usize::from(way.worst.touch.is_some());
            // Ride height is in the travel; but what is short straight ahead elsewhere still counts there.
            let at_ride = way.at_ride.rack_mm.abs();
            assert!(!lock.left_out.is_empty() || at_ride >= way.worst.rack_mm.abs() - BEFORE, "{name}: {at_ride}");
            let end = way.worst.rack_mm;
            let short_of = end - end.signum() * BEFORE;
            for side in Side::BOTH {
                let sweep = study.sweep(front(side));
                let [low, high] = sweep.range;
                for i in 0..150 {
                    // The last stretch before the limit more often than the rest.
                    let share = if i % 2 == 0 { random.next() } else { 1.0 - 0.1 * random.next() };
                    let at = Vector2::new(random.between(low.x, high.x), short_of * share);
                    let pose = sweep.pose(&study.gear, at).expect("within the sweep");
                    for pair in study.parts.at_wheel(front(side)).iter().filter(|p| p.moves() && !left_out(p)) {
                        let found = study.parts.gap(&study.gear, pair, &pose, pair.wanted - SLACK - 1e-6);
                        let names = [pair.a, pair.b].map(|role| study.parts.name(role));
                        assert!(found.is_none(), "{name}: {names:?} {found:?} at {at:?}, limit {end}");
                        held += 1;
                    }
                }
            }
        }
    }
    assert!(limited >= 4 && held > 10_000, "{limited} {held}");
}

/// How near a line across a face comes to a wheel, tyre or rim, mm.
fn near(study: &Study, sweep: &WheelSweep, at: Vector2<f64>, [a, b]: [Vector3<f64>; 2], radius: f64) -> f64 {
    let pose = sweep.pose(&study.gear, at).expect("within the sweep");
    let gap = |ring| {
        let placed = PlacedRing { ring, centre: pose.wheel_centre, axis: pose.spin };
        nearest(&placed, &[Bar { a, b, radius }][..], 1000.0).map_or(1000.0, |n| n.gap)
    };
    gap(study.parts.tyre(sweep.hub)).min(gap(study.parts.rim(sweep.hub)))
}

/// The least of that over the sweep: from a grid, then downhill from its best places.
fn nearest_over(study: &Study, sweep: &WheelSweep, line: [Vector3<f64>; 2], radius: f64) -> f64 {
    let mut seen: Vec<(f64, Vector2<f64>)> =
        sweep.poses.iter().map(|(at, _)| (near(study, sweep, *at, line, radius), *at)).collect();
    seen.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut least = f64::INFINITY;
    for (gap, at) in seen.into_iter().take(3) {
        let mut best = gap;
        sweep.descend(at, |at| {
            let here = near(study, sweep, at, line, radius);
            let better = here < best - 1e-9;
            best = best.min(here);
            better
        });
        least = least.min(best);
    }
    least
}

/// A rail and a wheel that may reach it, and what is marked on it for a gap.
struct Marked {
    demo: &'static Demo,
    part: &'static Part,
    run: &'static RailRun,
    sweep: &'static WheelSweep,
    grown: f64,
    stretches: Vec<Stretch>,
}

impl Marked {
    fn label(&self) -> String {
        format!("{}: {} at the {} wheel, {} mm", self.demo.name, self.part.name, self.sweep.hub.words(), self.grown)
    }

    fn cutting<'a>(&'a self, sweep: &'a WheelSweep) -> Cutting<'a> {
        let Study { gear, parts, .. } = &self.demo.study;
        Cutting { gear, parts, sweep, run: self.run, grown: self.grown }
    }
}

/// Every rail of the demos with every wheel that may reach it, for the wanted gap and for touch, proven once.
fn marked() -> &'static [Marked] {
    static ALL: OnceLock<Vec<Marked>> = OnceLock::new();
    ALL.get_or_init(|| {
        let mut all = Vec::new();
        for demo in demos() {
            let study = &demo.study;
            let rails = study.parts.body.iter().filter(|p| p.kind == Kind::Rail);
            for (part, run) in rails.filter_map(|part| Some((part, part.run.as_ref()?))) {
                for sweep in study.sweeps.iter().filter(|s| part.side.is_none_or(|side| side == s.hub.side)) {
                    for grown in [study.car.wanted.tyre_to_body, 0.0] {
                        let mut marked = Marked { demo, part, run, sweep, grown, stretches: Vec::new() };
                        let (stretches, proven) = marked.cutting(sweep).proven(SLACK, LOOKS);
                        assert!(proven, "{}", marked.label());
                        marked.stretches = stretches;
                        all.push(marked);
                    }
                }
            }
        }
        all
    })
}

/// Outside what is marked nothing is nearer than the gap, and what is marked is no longer than it has to be.
#[test]
fn nothing_outside_a_proven_cut_is_too_near_and_nothing_inside_its_ends_is_clear() {
    let mut random = Random(2);
    let (mut outside, mut ends) = (0, 0);
    for marked in marked() {
        let Marked { run, sweep, grown, stretches, .. } = marked;
        let study = &marked.demo.study;
        let radius = run.radius.unwrap_or(0.0);
        for face in run.faces() {
            let mine: Vec<&Stretch> = stretches.iter().filter(|s| s.face == *face).collect();
            let [start, end] = [run.stations[0], run.stations[run.stations.len() - 1]];
            for i in 0..120 {
                // Anywhere, and just beyond the ends of what is marked.
                let station = match mine.get(i % (mine.len() + 1)) {
                    Some(s) if i % 2 == 0 => s.from - STATED - 3.0 * random.next(),
                    Some(s) => s.to + STATED + 3.0 * random.next(),
                    None => random.between(start, end),
                };
                let covered = |s: &&Stretch| (s.from - STATED..=s.to + STATED).contains(&station);
                if station < start || station > end || mine.iter().any(covered) {
                    continue;
                }
                let (stretch, along) = run.at_station(station);
                let at = random.within(sweep.range);
                let gap = near(study, sweep, at, run.across(stretch, *face, along), radius);
                assert!(gap >= grown - SLACK - 1e-6, "{}: {gap} at {station} on {face:?}, {at:?}", marked.label());
                outside += 1;
            }
            for s in mine {
                for (edge, inside) in [(s.from, STATION_KNOWN), (s.to, -STATION_KNOWN)] {
                    let (stretch, along) = run.at_station(edge + inside);
                    let line = run.across(stretch, *face, along);
                    let gap = nearest_over(study, sweep, line, radius);
                    // A line of the face that is this much off moves no further than that.
                    assert!(gap <= grown + STATION_KNOWN, "{}: {gap} at {edge} on {face:?}", marked.label());
                    ends += 1;
                }
            }
        }
    }
    assert!(outside > 3000 && ends > 40, "{outside} {ends}");
}

/// A needle: its point, and its way from there.
#[derive(Debug, Clone, Copy)]
struct Needle {
    point: Vector3<f64>,
    out: Vector3<f64>,
    /// Where it is touched.
    at: Vector2<f64>,
}

/// How deep a needle's point is touched where it is planted, and nearer than what no pose of the search comes to it, mm.
const DEEP: [f64; 2] = [0.5, 0.3];
/// The same straight ahead, where a tyre passes a place no faster than it travels.
const STRAIGHT_DEEP: [f64; 2] = [0.2, 0.03];
/// A needle's radius and length, mm.
const NEEDLE: [f64; 2] = [0.2, 4.0];

impl Needle {
    fn bar(&self) -> Bar {
        Bar { a: self.point, b: self.point + self.out * NEEDLE[1], radius: NEEDLE[0] }
    }

    /// Its gap to a wheel's tyre, mm, if less than `within`.
    fn gap(&self, study: &Study, sweep: &WheelSweep, at: Vector2<f64>, within: f64) -> f64 {
        let pose = sweep.pose(&study.gear, at).expect("within the sweep");
        let placed = PlacedRing { ring: study.parts.tyre(sweep.hub), centre: pose.wheel_centre, axis: pose.spin };
        nearest(&placed, &[self.bar()][..], within).map_or(within, |n| n.gap)
    }
}

/// Needles that a front tyre touches in a sliver of its sweep only, that lies between all poses of the search: where the
/// sweep turns round on the tyre's skin, at an end of the travel or between, a tyre's shoulder passes a place at some
/// millimetres for a millimetre of steering, and is off it again before the next pose. Or of its travel
/// straight ahead.
fn needles(study: &Study, side: Side, seed: u64, count: usize, straight: bool) -> Vec<Needle> {
    let sweep = study.sweep(front(side));
    let [low, high] = sweep.range;
    let [deep, clear] = if straight { STRAIGHT_DEEP } else { DEEP };
    let tyre = study.parts.tyre(front(side));
    let mut random = Random(seed);
    let mut found = Vec::new();
    for tries in 0..40_000 {
        if found.len() == count {
            break;
        }
        let mut at = random.within(sweep.range);
        // At the ends of the travel more often than between.
        at.x = [low.x, high.x, at.x][tries % 3];
        if straight {
            at = Vector2::new(random.between(low.x, high.x), 0.0);
        }
        let Some(pose) = sweep.pose(&study.gear, at) else { continue };
        let placed = PlacedRing { ring: tyre, centre: pose.wheel_centre, axis: pose.spin };
        // A place on its skin: along a ray from within the tread band.
        let around = random.between(0.0, std::f64::consts::TAU);
        let radial = nalgebra::Rotation3::from_axis_angle(&nalgebra::Unit::new_normalize(pose.spin), around)
            * pose.spin.cross(&Vector3::z()).normalize();
        let lean = random.between(-1.4, 1.4);
        let (start, ray) =
            (pose.wheel_centre + radial * (tyre.reach - 50.0), radial * lean.cos() + pose.spin * lean.sin());
        let (mut within, mut beyond) = (0.0, 200.0);
        for _ in 0..40 {
            let middle = (within + beyond) / 2.0;
            if placed.distance(start + ray * middle) < 0.0 { within = middle } else { beyond = middle }
        }
        let skin = start + ray * within;
        let slope = |axis: usize| {
            let step = Vector3::ith(axis, 1e-4);
            placed.distance(skin + step) - placed.distance(skin - step)
        };
        let out = Vector3::new(slope(0), slope(1), slope(2)).normalize();
        let needle = Needle { point: skin + out * (NEEDLE[0] - deep), out, at };
        let mut asked = sweep.poses.iter().filter(|(at, _)| !straight || at.y.abs() < 1e-9);
        if asked.all(|(at, _)| needle.gap(study, sweep, *at, clear) >= clear) {
            found.push(needle);
        }
    }
    assert_eq!(found.len(), count, "needles could be planted");
    found
}

/// A car with no gap wanted of its tyres to the body, as needles are planted to be touched.
fn bare(name: &str) -> Car {
    let mut car = file(name).car().clone();
    car.wanted.tyre_to_body = 0.0;
    car
}

/// What leads a search astray: a ball over the tyre that it comes nearer to in a pose of the search than to the needle in any,
/// and that it does not touch.
fn decoy(study: &Study, side: Side, clear: f64) -> Bar {
    let sweep = study.sweep(front(side));
    let top = Vector3::z() * (study.parts.tyre(front(side)).reach + 50.0);
    let mut at =
        sweep.pose(&study.gear, Vector2::new(sweep.range[1].x, 0.0)).expect("within the sweep").wheel_centre + top;
    let gap = |at| nearest_over(study, sweep, [at; 2], NEEDLE[0]);
    for _ in 0..6 {
        at.z -= gap(at) - clear / 2.0;
    }
    let left = gap(at);
    assert!(left > 0.0 && left < clear * 0.9, "{left}");
    Bar { a: at, b: at, radius: NEEDLE[0] }
}

/// The car with a needle, and a decoy that is part of it.
fn planted(car: &Car, side: Side, needle: &Needle) -> Study {
    let [_, clear] = if needle.at.y == 0.0 { STRAIGHT_DEEP } else { DEEP };
    let mut car = car.clone();
    let bar = needle.bar();
    let points = [bar.a, bar.b].map(Into::into).to_vec();
    let od = 2.0 * bar.radius;
    car.tubes.push(FixedTube {
        name: "needle".into(),
        mirror: false,
        od,
        wall: None,
        grade: None,
        pinned: false,
        points,
    });
    let mut study = study(car);
    assert!(study.parts.at_wheel(front(side)).iter().any(|p| is_needle(&study.parts, p)));
    let decoy = decoy(&study, side, clear);
    let part = study.parts.body.iter_mut().find(|part| part.base == "needle").expect("planted");
    part.solid = Arc::new(Solid::new(vec![bar, decoy], Vec::new()));
    study
}

/// A tyre with the needle.
fn is_needle(parts: &Parts, pair: &Place) -> bool {
    matches!(pair.a, Role::Tyre(_)) && parts.name(pair.b).ends_with("needle")
}

/// The same sweep with one pose alone for a search to start from: straight ahead, at ride height.
fn from_one_pose(study: &Study, hub: Hub) -> WheelSweep {
    let ride = (Vector2::zeros(), *study.gear.ride(hub));
    WheelSweep { poses: vec![ride], ..study.sweep(hub).clone() }
}

/// Three cars, and where needles are planted in them.
const PLANTED: [(&str, Side, u64); 3] =
    [("dunlin.ron", Side::Left, 11), ("godwit.ron", Side::Right, 12), ("ruff.ron", Side::Left, 13)];

#[test]
fn a_touch_thinner_than_any_step_is_found_by_the_proof_of_gaps_and_by_one_from_nothing() {
    let mut missed = 0;
    for (name, side, seed) in PLANTED {
        let car = bare(name);
        for needle in needles(&study(car.clone()), side, seed, 6, false) {
            let study = planted(&car, side, &needle);
            let sweep = study.sweep(front(side));
            let pair = study.parts.at_wheel(front(side)).iter().find(|p| is_needle(&study.parts, p)).expect("measured");
            let found = Swept::new(&study.gear, &study.parts, sweep).least(pair);
            let here = needle.gap(&study, sweep, needle.at, 10.0);
            assert!((here + DEEP[0]).abs() < 0.01, "planted that deep: {here}");
            missed += usize::from(found.is_none_or(|l| l.nearest.gap > here + SLACK));
            for start in [found, None] {
                let proving =
                    Proving { gear: &study.gear, parts: &study.parts, sweep, pair, slack: SLACK, budget: LOOKS };
                let proof = proving.prove(start);
                let least = proof.least.expect("it touches").nearest.gap;
                assert!(least <= here + SLACK, "{name}: {needle:?}: {least} found, {here} there");
                assert!(proof.at_least <= here && proof.at_least >= least - SLACK - 0.01, "{name}: {proof:?}");
            }
        }
    }
    assert!(missed >= 12, "the search alone misses {missed} of 18");
}

#[test]
fn a_touch_thinner_than_any_step_ends_the_lock() {
    for (name, side, seed) in PLANTED {
        let car = bare(name);
        for needle in needles(&study(car.clone()), side, seed + 100, 4, false) {
            let study = planted(&car, side, &needle);
            let lock = study.proven_lock();
            let names = |a: &str, b: &str| a.ends_with("tyre") && b.ends_with("needle");
            let left_out = lock.left_out.iter().any(|[a, b]| names(a, b));
            let way = lock.ways.iter().find(|w| w.worst.rack_mm * needle.at.y > 0.0).expect("a way");
            assert!(way.proven, "{name}: {needle:?}");
            // Near straight ahead it may be touched there already.
            if !left_out {
                assert!(way.worst.rack_mm.abs() <= needle.at.y.abs() + BEFORE, "{name}: {needle:?} {:?}", way.worst);
            } else {
                assert!(needle.at.y.abs() < 8.0, "{name}: {needle:?}");
            }
        }
    }
}

#[test]
fn a_touch_thinner_than_any_step_is_marked_on_a_rail() {
    for (name, side, seed) in PLANTED {
        let car = bare(name);
        let before = study(car.clone());
        for needle in needles(&before, side, seed + 200, 3, false) {
            let bar = needle.bar();
            let rail = Rail {
                name: "needle".into(),
                mirror: false,
                section: Section::Round { od: 2.0 * bar.radius },
                wall: 0.1,
                centreline: vec![bar.a, bar.b],
                datum: "its point".into(),
                datum_station: 0.0,
                grade: None,
                cuts: Vec::new(),
                notches: Vec::new(),
                plates: Vec::new(),
            };
            let run = RailRun::new(&rail, Side::Left);
            for sweep in [before.sweep(front(side)), &from_one_pose(&before, front(side))] {
                let cutting = Cutting { gear: &before.gear, parts: &before.parts, sweep, run: &run, grown: 0.0 };
                let (found, proven) = cutting.proven(SLACK, LOOKS);
                assert!(proven, "{name}: {needle:?}");
                let reaches = found.iter().any(|s| s.from <= STATED && s.to >= DEEP[0] - SLACK - STATED);
                assert!(reaches, "{name}: {needle:?}: {found:?}");
            }
        }
    }
}

/// Touched straight ahead in a sliver of the travel: no limiter helps there, so it is told as left out.
#[test]
fn a_pair_that_only_the_proof_finds_short_straight_ahead_is_left_out() {
    let mut unseen = 0;
    for (name, side, seed) in PLANTED {
        let car = bare(name);
        for needle in needles(&study(car.clone()), side, seed + 300, 2, true) {
            let study = planted(&car, side, &needle);
            let needle_in = |all: &[[String; 2]]| all.iter().any(|[a, b]| a.ends_with("tyre") && b.ends_with("needle"));
            unseen += usize::from(!needle_in(&study.lock().left_out));
            let lock = study.proven_lock();
            assert!(needle_in(&lock.left_out), "{name}: {needle:?}: {:?}", lock.left_out);
            assert!(lock.ways.iter().all(|w| w.proven), "{name}: {needle:?}");
        }
    }
    assert!(unseen >= 3, "the search alone sees all but {unseen} of 6");
}

/// The pairs of a wheel that count for its lock one way.
fn counted(study: &Study, side: Side, left_out: &[[String; 2]]) -> Vec<Place> {
    let names = |p: &Place| [study.parts.name(p.a), study.parts.name(p.b)];
    study.parts.at_wheel(front(side)).iter().filter(|p| p.moves() && !left_out.contains(&names(p))).copied().collect()
}

/// From no touch, from one that is too late, and with one pose alone to start from: the same first touch.
#[test]
fn a_proof_of_the_lock_ends_at_the_same_touch_wherever_it_starts() {
    let mut touched = 0;
    for demo in steered() {
        let (Demo { name, study, .. }, lock) = (demo, demo.lock());
        let sides = demo.sides(AxleName::Front).iter();
        for (side, sign) in sides.flat_map(|side| [(*side, 1.0), (*side, -1.0)]) {
            let pairs = counted(study, side, &lock.left_out);
            let stop = lock.stop_mm * sign;
            let bare = from_one_pose(study, front(side));
            let turn = |sweep| Turn { gear: &study.gear, parts: &study.parts, sweep, pairs: &pairs, stop };
            let searched = turn(study.sweep(front(side))).earliest();
            let (proven, sure) = turn(study.sweep(front(side))).prove(searched, SLACK, LOOKS);
            assert!(sure, "{name} {side:?} {sign}");
            let late = searched.map(|t| Touch { rack: (t.rack + stop) / 2.0, ..t });
            for start in [None, late] {
                let (again, sure) = turn(&bare).prove(start, SLACK, LOOKS);
                assert!(sure, "{name} {side:?} {sign}");
                let end = |t: Option<Touch>| t.map_or(stop.abs(), |t| t.rack.abs());
                // What one leaves open of the slack takes some steering to close.
                assert!((end(again) - end(proven)).abs() < 0.5, "{name} {side:?} {sign}: {again:?} {proven:?}");
            }
            touched += usize::from(proven.is_some());
        }
    }
    assert!(touched >= 4, "{touched}");
}

/// From no stretch at all but what one pose shows: the same stretches.
#[test]
fn a_proof_of_the_cut_ends_at_the_same_stretches_wherever_it_starts() {
    let mut corrected = 0;
    for marked in marked().iter().filter(|m| m.demo.sides(m.sweep.hub.axle).contains(&m.sweep.hub.side)) {
        let bare = from_one_pose(&marked.demo.study, marked.sweep.hub);
        let cutting = marked.cutting(&bare);
        let (once, (again, sure)) = (&marked.stretches, cutting.proven(SLACK, LOOKS));
        let label = || marked.label();
        assert!(sure, "{}", label());
        corrected += usize::from(cutting.stretches().len() != again.len());
        assert_eq!(once.len(), again.len(), "{}: {once:?} {again:?}", label());
        for (a, b) in once.iter().zip(&again) {
            let off = (a.from - b.from).abs().max((a.to - b.to).abs());
            assert!(a.face == b.face && off < 1.0, "{}: {a:?} {b:?}", label());
        }
    }
    assert!(corrected >= 3, "{corrected}");
}

/// The rack travel of a touch is known as well as it says, from either side of it.
#[test]
fn a_proven_touch_is_one() {
    for demo in steered() {
        let Demo { name, study, .. } = demo;
        for way in &demo.lock().ways {
            let Some(touch) = &way.worst.touch else { continue };
            let sweep = study.sweep(touch.wheel);
            let pair = study
                .parts
                .at_wheel(touch.wheel)
                .iter()
                .find(|p| study.parts.name(p.a) == touch.a && study.parts.name(p.b) == touch.b);
            let shut = way.worst.rack_mm + way.worst.rack_mm.signum() * 2.0 * RACK_KNOWN;
            let pose = sweep.pose(&study.gear, Vector2::new(touch.travel_mm, shut)).expect("within the sweep");
            let pair = pair.expect("its pair");
            assert!(study.parts.gap(&study.gear, pair, &pose, pair.wanted + 1e-6).is_some(), "{name}: {touch:?}");
        }
    }
}

/// A rocker can be faster than the wheel: with its push rod on the upright, ahead of the steering axis, and a long arm to
/// the damper. A march to the lock steps over nothing that it meets.
#[test]
fn a_march_to_the_lock_steps_over_nothing_that_a_fast_rocker_meets() {
    use scribeline::car::PointName::{DamperBottom, PushRodInner, RockerPivot};
    use scribeline::car::axle::MountedOn;
    let mut car = bare("plover.ron");
    let axle = &mut car.front;
    axle.rocker.as_mut().expect("a rocker").on = MountedOn::Upright;
    axle.points.0.insert(scribeline::car::PointName::PushRodOuter, Vector3::new(110.0, 640.0, 250.0));
    let [pivot, inner] = [RockerPivot, PushRodInner].map(|name| axle.point(Side::Left, name).expect("a point"));
    // Its arm to the damper is many times as long as the one to the push rod.
    let arm = Vector3::x().cross(&(inner - pivot)) * 6.0;
    axle.points.0.insert(DamperBottom, pivot + arm);
    let before = study(car.clone());
    let (hub, mut random) = (front(Side::Left), Random(21));
    let sweep = before.sweep(hub);
    let rocker = before.parts.moving(hub).iter().position(|m| m.name == "rocker").expect("a rocker");
    let (mut met, mut fastest) = (0, 0.0f64);
    for _ in 0..40 {
        let at = random.within(sweep.range);
        let pose = |rack: f64| sweep.pose(&before.gear, Vector2::new(at.x, rack)).expect("within the sweep");
        let tip = |rack: f64| before.gear.front.at(&pose(rack), DamperBottom);
        // In some poses its push rod does not reach.
        let (Some(point), Some(before_it), Some(after_it)) = (tip(at.y), tip(at.y - 0.01), tip(at.y + 0.01)) else {
            continue;
        };
        fastest = fastest.max((after_it - before_it).norm() / 0.02);
        // A fine wire across the way of the arm's tip, where the tip is at its thinnest.
        let mut study = before.clone();
        let mut part = study.parts.body[0].clone();
        part.solid = Arc::new(Solid::new(vec![Bar { a: point, b: point, radius: 0.1 }], Vec::new()));
        study.parts.body.push(part);
        let wire = Role::Body(study.parts.body.len() - 1);
        let pairs = [Place { a: Role::Moving(hub, rocker), b: wire, wanted: 0.0, within: 150.0 }];
        let stop = at.y.signum() * sweep.range[1].y;
        let turn = Turn { gear: &study.gear, parts: &study.parts, sweep, pairs: &pairs, stop };
        let short = |rack: f64| study.parts.gap(&study.gear, &pairs[0], &pose(rack), 0.0).is_some();
        let steps = 4000;
        let first = (0..=steps).map(|i| stop * f64::from(i) / f64::from(steps)).find(|rack| short(*rack));
        let first = first.expect("it is met where it was planted");
        let touch = turn.first_touch(at.x).expect("it is met");
        assert!(touch.rack.abs() <= first.abs() + RACK_KNOWN, "{at:?}: {} after {first}", touch.rack);
        met += 1;
    }
    assert!(met >= 10 && fastest > 5.0, "{met} {fastest}");
}
