//! What the doubt of the tape does to a number: the core's derivatives against cars measured over and over again.
//!
//! The core says how a quantity changes with each reading, and squares add up: u^2 = sum (c_i u_i)^2, the law of
//! propagation of uncertainty (JCGM 100:2008, 5.1.2). Here the same cars are measured anew with other readings, built,
//! and posed again by the solver on plain numbers, so nothing of the derivatives is used. A doubt is half the width of
//! the band that holds 95 of 100 readings, so a standard uncertainty is half of it (JCGM 100:2008, 4.3.4 and G.3).

use std::collections::BTreeMap;

use scribeline::car::axle::{Alignment, Axle, Doubt};
use scribeline::car::{AxleName, Car, CarFile, PointName, Side};
use scribeline::motion::change::{Along, Reading, Sensitivity};
use scribeline::motion::quantity::{Frame, Quantity, Standing};
use scribeline::motion::{Drive, Pose, RunningGear, Suspension, alignment};

/// Axles between which every linkage and all that rides on one is found, and the numbers that a shop asks of them.
const AXLES: [(&str, AxleName, &[Quantity]); 9] = {
    use AxleName::{Front, Rear};
    use Quantity::{AntiDive, AntiSquat, Camber, Caster, MotionRatio, RollCentreHeight, Toe};
    [
        ("scenes/plover", Front, &[Camber, Toe, Caster, RollCentreHeight, MotionRatio, AntiDive]),
        ("scenes/plover", Rear, &[Camber, Toe, RollCentreHeight, MotionRatio, AntiSquat]),
        ("scenes/godwit", Front, &[Camber, Toe, Caster, RollCentreHeight, MotionRatio, AntiDive]),
        ("scenes/godwit", Rear, &[RollCentreHeight, MotionRatio, AntiSquat]),
        ("scenes/stint", Rear, &[Camber, Toe, RollCentreHeight, MotionRatio]),
        // On arms hinged straight across the car it has no roll centre that a line meets.
        ("scenes/dunlin", Rear, &[Camber, Toe, MotionRatio]),
        ("tests/reference/five", Front, &[Camber, Toe, Caster, RollCentreHeight]),
        ("tests/reference/box", Front, &[Camber, Toe, Caster, RollCentreHeight]),
        ("tests/reference/crank", Rear, &[RollCentreHeight, MotionRatio]),
    ]
};
/// Where it is asked, and along what: off ride height, so that nothing vanishes by symmetry.
const PLACES: [(Along, f64); 2] = [(Along::Travel, 12.0), (Along::Roll, 0.015)];

/// An axle of a car as measured, brought somewhere.
struct Case {
    what: String,
    gear: RunningGear,
    frame: Frame,
    name: AxleName,
    along: Along,
    place: f64,
}

impl Case {
    fn new(path: &str, name: AxleName, (along, place): (Along, f64)) -> Self {
        let file = CarFile::open(format!("{}/{path}.ron", env!("CARGO_MANIFEST_DIR")).as_ref()).expect("the car opens");
        let car: &Car = file.car();
        let gear = RunningGear::new(car).expect("it stands");
        let axle = gear.axle(name).expect("it is described");
        let frame = Frame::new(car, axle, gear.ride.axle(name).expect("it stands"), &gear.ride.ground);
        Self { what: format!("{path}, {name:?}, along {}", along.words()[0]), gear, frame, name, along, place }
    }

    fn axle(&self) -> &Suspension {
        self.gear.axle(self.name).expect("it is described")
    }

    /// By the core's derivatives.
    fn sensitivity(&self, quantity: Quantity) -> Vec<Sensitivity> {
        let ride = self.gear.ride.axle(self.name).expect("it stands");
        let there = self.gear.bring(self.axle(), ride, self.along, self.place).expect("within reach");
        self.gear.sensitivity(self.axle(), &self.frame, &there, quantity, Side::Left)
    }

    /// A quantity of the axle measured anew, `on` further along. Neither the body nor the ground nor, where wheels are
    /// moved by hand, the wheel centres' heights over the body are measured anew.
    fn value(&self, anew: &Suspension, quantity: Quantity, on: f64) -> f64 {
        let place = self.place + on;
        let measured = anew.as_measured();
        let (wheels, ground) = match self.along {
            Along::Travel => {
                let heights = self.gear.ride.axle(self.name).expect("it stands").map(|w| w.wheel_centre.z + place);
                let wheels = anew.pose(&measured, 0.0, heights.map(Drive::Height)).expect("within reach");
                (wheels, alignment::level_between(anew, &wheels))
            }
            _ => {
                let ground = self.gear.ground(&Pose { roll: place, ..Pose::default() });
                (anew.pose(&measured, 0.0, [Drive::Ground(ground); 2]).expect("within reach"), ground)
            }
        };
        let standing = Standing { axle: anew, wheels, ground, frame: &self.frame };
        quantity.of(&standing, Side::Left).unwrap_or_else(|| panic!("{}: no {}", self.what, quantity.words()))
    }

    /// A quantity of the axle measured anew, and its rate along the motion by differences over `finely` of a step.
    fn value_and_rate(&self, anew: &Suspension, quantity: Quantity, finely: f64) -> [f64; 2] {
        let step = finely * if self.along == Along::Travel { 1.0 } else { 0.003 };
        [self.value(anew, quantity, 0.0), slope(step, |on| self.value(anew, quantity, on))]
    }
}

/// A derivative by differences, with an error of the fourth order.
fn slope(step: f64, f: impl Fn(f64) -> f64) -> f64 {
    (8.0 * (f(step) - f(-step)) - (f(2.0 * step) - f(-2.0 * step))) / (12.0 * step)
}

/// An axle measured anew: each reading that was taken is off by what `off` says.
fn measured_anew(axle: &Axle, mut off: impl FnMut(Reading) -> f64) -> Axle {
    let mut anew = axle.clone();
    let read = |p: nalgebra::Vector3<f64>, side, name, off: &mut dyn FnMut(Reading) -> f64| {
        p + nalgebra::Vector3::from_fn(|i, _| off(Reading::Coordinate(side, name, i)))
    };
    for (&name, p) in &mut anew.middle.0 {
        *p = read(*p, Side::Left, name, &mut off);
    }
    let mut sides: [BTreeMap<PointName, _>; 2] = Default::default();
    for side in Side::BOTH {
        for &name in axle.points.0.keys() {
            let p = axle.point(side, name).expect("the side has it");
            sides[side as usize].insert(name, read(p, side, name, &mut off));
        }
    }
    let gauged = |side, off: &mut dyn FnMut(Reading) -> f64| {
        let Alignment { camber, toe, .. } = axle.alignment(side);
        Alignment { camber: camber + off(Reading::Camber(side)), toe: toe + off(Reading::Toe(side)) }
    };
    let [left, right] = sides;
    anew.points.0.extend(left);
    anew.right.0.extend(right);
    anew.alignment = gauged(Side::Left, &mut off);
    anew.right_alignment = Some(gauged(Side::Right, &mut off));
    anew
}

/// Steps of the differences, as shares of the longest: short ones carry rounding, long ones miss sharp bends.
const FINELY: [f64; 5] = [1.0, 0.5, 0.25, 0.1, 0.04];

#[test]
fn sensitivities_are_what_a_car_measured_anew_shows() {
    for (path, name, quantities) in AXLES {
        for place in PLACES {
            let case = Case::new(path, name, place);
            for &quantity in quantities {
                let told = case.sensitivity(quantity);
                assert!(!told.is_empty(), "{}: nothing moves {}", case.what, quantity.words());
                hold_to_differences(&case, quantity, &told);
            }
        }
    }
}

/// Holds sensitivities to differences: to a millionth of the largest of them, a radian counted as a decimetre.
fn hold_to_differences(case: &Case, quantity: Quantity, told: &[Sensitivity]) {
    let unit = |reading: &Reading| if matches!(reading, Reading::Coordinate(..)) { 1.0 } else { 100.0 };
    let most = |of: fn(&Sensitivity) -> f64| told.iter().map(|s| of(s).abs() / unit(&s.reading)).fold(0.0, f64::max);
    let most = [most(|s| s.value), most(|s| s.rate)];
    for Sensitivity { reading, value, rate } in told {
        let by = if unit(reading) > 1.0 { 0.003 } else { 0.25 };
        let close = most.map(|most| 1e-6 * most * unit(reading));
        let seen = |which: usize, finely: f64| {
            slope(by * finely, |by| {
                let off = |r| if r == *reading { by } else { 0.0 };
                let anew = Suspension::new(&measured_anew(&case.axle().described, off), case.name);
                case.value_and_rate(&anew, quantity, finely)[which]
            })
        };
        for (which, told) in [*value, *rate].into_iter().enumerate() {
            let holds = FINELY.into_iter().any(|finely| (told - seen(which, finely)).abs() <= close[which]);
            assert!(
                holds,
                "{}, {}{} by {reading:?}: told {told:e}, seen {:?}",
                case.what,
                ["", "rate of "][which],
                quantity.words(),
                FINELY.map(|finely| seen(which, finely))
            );
        }
    }
}

/// Normal noise (Box & Muller 1958) from a counter that is stirred (splitmix64: Steele et al. 2014); from memory.
struct Noise(u64);

impl Noise {
    fn uniform(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        (((z ^ (z >> 31)) >> 11) as f64 + 0.5) / (1u64 << 53) as f64
    }

    fn normal(&mut self) -> f64 {
        (-2.0 * self.uniform().ln()).sqrt() * (std::f64::consts::TAU * self.uniform()).cos()
    }
}

/// Cars measured over and over. The standard error of a spread from so many is 1/sqrt(2 (N - 1)) of it: 1.1 %.
const TIMES: usize = 4000;

/// A quantity, the standard uncertainty that the core tells of it, and what cars measured over and over show.
struct Told {
    what: String,
    uncertainty: f64,
    nominal: f64,
    seen: Vec<f64>,
    /// For the height of a roll centre between wheels held apart: whether it is its rate.
    meets: Option<bool>,
}

/// Every quantity and its rate along travel, with all points good to `doubt` mm.
fn over_and_over(doubt: f64) -> Vec<Told> {
    let mut all = Vec::new();
    for (path, name, quantities) in AXLES {
        let case = Case::new(path, name, PLACES[0]);
        let mut axle = (*case.axle().described).clone();
        axle.doubt = Doubt { points: doubt, of: BTreeMap::new(), alignment: axle.doubt.alignment * doubt / 1.5 };
        let first = all.len();
        for &quantity in quantities {
            let told = case.sensitivity(quantity);
            let add_up = |of: fn(&Sensitivity) -> f64| {
                told.iter().map(|s| (of(s) * s.reading.doubt(&axle) / 2.0).powi(2)).sum::<f64>().sqrt()
            };
            let nominal = case.value_and_rate(case.axle(), quantity, 0.5);
            let uncertain = [add_up(|s| s.value), add_up(|s| s.rate)];
            for ((nominal, uncertainty), rate) in nominal.into_iter().zip(uncertain).zip([false, true]) {
                let what = format!("{}: {}{}", case.what, if rate { "rate of " } else { "" }, quantity.words());
                let meets = (quantity == Quantity::RollCentreHeight && case.axle().independent()).then_some(rate);
                all.push(Told { what, uncertainty, nominal, seen: Vec::with_capacity(TIMES), meets });
            }
        }
        let mut noise = Noise(7);
        for _ in 0..TIMES {
            let off = |r: Reading| noise.normal() * r.doubt(&axle) / 2.0;
            let anew = Suspension::new(&measured_anew(&axle, off), name);
            let seen = quantities.iter().flat_map(|&quantity| case.value_and_rate(&anew, quantity, 0.5));
            all[first..].iter_mut().zip(seen).for_each(|(told, seen)| told.seen.push(seen));
        }
    }
    all
}

/// Where readings are good, the numbers are as good as straight in them, and the law holds; but for how fast a roll
/// centre rises between wheels that are held apart. Two nearly parallel lines meet far aside as soon as left and right
/// differ by a tenth of a millimetre, and the height there changes with the square of that, so that terms of higher order
/// would have to be added (JCGM 100:2008, 5.1.2, note).
#[test]
fn doubts_add_up_as_in_cars_measured_over_and_over() {
    for Told { what, uncertainty, nominal, seen, meets } in over_and_over(0.2) {
        if meets == Some(true) {
            continue;
        }
        let n = seen.len() as f64;
        let mean = seen.iter().sum::<f64>() / n;
        let spread = (seen.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / (n - 1.0)).sqrt();
        assert!((uncertainty / spread - 1.0).abs() < 0.05, "{what}: told {uncertainty:e}, seen {spread:e}");
        assert!((mean - nominal).abs() < 0.1 * spread, "{what}: {mean:e} on the average for {nominal:e}");
    }
}

/// A tape on a floor is good to 1.5 mm (common practice, no source), and the band that is told, 1.96 uncertainties each
/// way, still holds 95 of 100 cars; of the heights of a roll centre between wheels that are held apart, 90 of them.
#[test]
fn a_tape_is_good_enough_for_straight_lines() {
    for Told { what, uncertainty, nominal, seen, meets } in over_and_over(1.5) {
        let least = match meets {
            None => 0.94,
            Some(false) => 0.89,
            Some(true) => continue,
        };
        let within = seen.iter().filter(|v| (*v - nominal).abs() <= 1.96 * uncertainty).count();
        let share = within as f64 / seen.len() as f64;
        assert!((least..0.96).contains(&share), "{what}: {share} of the cars within");
    }
}
