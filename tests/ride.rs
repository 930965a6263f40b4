//! How a car rides, rolls and pitches, against the textbooks' formulas and against differences of what its springs hold. Formulas
//! and chapters of Milliken & Milliken are from memory.

#[path = "common/demo.rs"]
mod demo;

use std::process::Command;

use demo::{car, scene, study};
use scribeline::answer::ride::{AxleRide, Manoeuvre, Ride, StrokeEnd, WheelRate};
use scribeline::answer::{Comparison, RideAsk, Study, Told, Verdict};
use scribeline::car::axle::{Blade, BladeSection, Spring};
use scribeline::car::units::GRAVITY;
use scribeline::car::{AxleName, Car, CarFile, Change, Edit, Shown, Side};

use AxleName::{Front, Rear};

const SPRUNG: [&str; 3] = ["dunlin.ron", "godwit.ron", "snipe.ron"];

fn ride(study: &Study) -> Ride {
    study.ride(&RideAsk::default())
}

fn close(is: f64, wanted: f64, share: f64, what: &str) {
    assert!((is - wanted).abs() <= share * wanted.abs(), "{what}: {is}, wanted {wanted}");
}

/// Change of a function for each millimetre, twice over: differences of the fourth order.
fn bends(step: f64, of: impl Fn(f64) -> f64) -> f64 {
    let [b2, b1, at, a1, a2] = [-2.0, -1.0, 0.0, 1.0, 2.0].map(|n| of(n * step));
    (-b2 + 16.0 * b1 - 30.0 * at + 16.0 * a1 - a2) / (12.0 * step * step)
}

/// Energy: a wheel's rate is how what the spring holds bends with its travel, and the force on it how that rises. Both
/// wheels alike, and where the axle is stiff one up and the other one down.
#[test]
fn a_wheels_rate_is_how_its_springs_energy_bends() {
    for name in SPRUNG {
        let study = study(car(name));
        for axle in &ride(&study).axles {
            let (suspension, stands) = (study.gear.axle(axle.axle).unwrap(), study.gear.ride.axle(axle.axle).unwrap());
            for wheel in &axle.wheels {
                let force = wheel.spring_force_n.expect("it weighs");
                let side = wheel.side as usize;
                let length = |own: f64, other: f64| {
                    let travel = if wheel.side == Side::Left { [own, other] } else { [other, own] };
                    let posed = study.gear.raise_axle(stands, travel, 0.0).expect("it reaches");
                    suspension.spring_length(&posed[side]).expect("a spring")
                };
                let at_rest = length(0.0, 0.0);
                let holds = |own, other| {
                    let pressed: f64 = at_rest - length(own, other);
                    force * pressed + axle.spring_n_per_mm.unwrap() * pressed * pressed / 2.0
                };
                let (heave, what) = (wheel.heave.expect("a rate"), format!("{name}, {:?} {side}", axle.axle));
                close(heave.whole_n_per_mm, bends(3.0, |z| holds(z, z)), 1e-5, &what);
                let carries = (holds(0.1, 0.1) - holds(-0.1, -0.1)) / 0.2;
                close(carries, axle.sprung_corner_kg.unwrap() * GRAVITY, 1e-5, &what);
                match wheel.roll {
                    Some(roll) => close(roll.whole_n_per_mm, bends(3.0, |z| holds(z, -z)), 1e-5, &what),
                    None => assert!(suspension.independent(), "{what}"),
                }
                let parts = |r: &WheelRate| r.spring_n_per_mm + r.force_n_per_mm.unwrap();
                assert_eq!(parts(&heave), heave.whole_n_per_mm);
                close(heave.spring_n_per_mm, axle.spring_n_per_mm.unwrap() * heave.ratio.powi(2), 1e-12, &what);
            }
        }
    }
}

/// Milliken & Milliken, Race Car Vehicle Dynamics, ch. 16: 188 over the root of the static deflection in inches is the ride
/// frequency in cycles per minute (sqrt(386.1) / 2 pi x 60 = 187.6); spring and tyre in series.
#[test]
fn the_ride_frequency_is_188_over_the_root_of_the_static_deflection() {
    for name in SPRUNG {
        for axle in ride(&study(car(name))).axles {
            for wheel in &axle.wheels {
                let (hertz, inches) = (wheel.frequency_hz.unwrap(), wheel.deflection_mm.unwrap() / 25.4);
                close(hertz * 60.0, 188.0 / inches.sqrt(), 3e-3, name);
                let (rate, tyre) = (wheel.heave.unwrap().whole_n_per_mm, axle.tyre_n_per_mm);
                close(1.0 / wheel.ride_n_per_mm.unwrap(), 1.0 / rate + 1.0 / tyre, 1e-12, name);
            }
        }
    }
}

/// The spring that is told for a wished frequency is put in, and the car rides at it.
#[test]
fn a_wished_ride_frequency_comes_with_the_spring_that_is_told() {
    for name in SPRUNG {
        let found = car(name);
        let told = study(found.clone()).ride(&RideAsk { frequency: [Some(1.9), Some(2.1)] });
        assert!(told.sentence(Shown::Mm).contains("1.90 Hz in front"), "{}", told.sentence(Shown::Mm));
        let spring = |axle: usize| {
            let rate = told.axles[axle].wheels[0].wished_n_per_mm.expect("a spring does it");
            Change::FitSpring(Spring { rate, on: None, diameter: None })
        };
        let changes = vec![spring(0), Change::Rear(Box::new(spring(1)))];
        let before = [&found.front, found.rear.as_ref().unwrap()].map(|a| a.spring_apart());
        let made = found.changed("stiffer", changes).unwrap_or_else(|e| panic!("{e}"));
        assert_eq!([&made.front, made.rear.as_ref().unwrap()].map(|a| a.spring_apart()), before);
        for (axle, hertz) in ride(&study(made)).axles.iter().zip([1.9, 2.1]) {
            close(axle.wheels[0].frequency_hz.unwrap(), hertz, 1e-9, name);
        }
    }
    let none = study(car("dunlin.ron")).ride(&RideAsk { frequency: [Some(9.0), None] });
    assert_eq!(none.verdict, Verdict::Short);
    // What is wrong with the springs that are in is said after the wish.
    let mut high = car("dunlin.ron");
    high.balance.as_mut().unwrap().cg_height = 6000.0;
    let told = study(high).ride(&RideAsk { frequency: [Some(1.9), None] });
    assert_eq!(told.verdict, Verdict::Short);
    let said = told.sentence(Shown::Mm);
    assert!(said.ends_with("at 1.90 Hz in front; as it is, nothing holds it upright in a corner."), "{said}");
    assert!(
        none.sentence(Shown::Mm).starts_with("No spring rides at 9.00 Hz in front"),
        "{}",
        none.sentence(Shown::Mm)
    );
}

/// Milliken & Milliken, ch. 18: what cornering shifts between the wheels is W Ay h / t, however springs and roll centres
/// share it: of the two axles together, each shift times its track.
#[test]
fn geometric_elastic_and_unsprung_shifts_come_to_the_whole_of_it() {
    for name in SPRUNG {
        let car = car(name);
        let whole = car.weight.unwrap().mass * GRAVITY * car.balance.unwrap().cg_height;
        let told = ride(&study(car));
        let roll = told.roll.expect("it rolls");
        let moment = |i: usize| roll.axles[i].transfer.whole_n * told.axles[i].track_mm;
        close(moment(0) + moment(1), whole, 1e-12, name);
        close(roll.moment_front, moment(0) / whole, 1e-12, name);
        for axle in roll.axles.iter() {
            let t = axle.transfer;
            assert_eq!(t.geometric_n + t.elastic_n + t.unsprung_n, t.whole_n, "{name}");
            let held = axle.springs_nm_per_deg + axle.bar_nm_per_deg;
            close(1.0 / axle.whole_nm_per_deg, 1.0 / held + 1.0 / axle.tyres_nm_per_deg, 1e-12, name);
        }
    }
}

/// Statics, solved as a system: body, front and rear wheels each turn against the road. Springs and bar hold the body, with what
/// its weight adds as it leans; each axle's tyres hold what its springs, links and unsprung weight press them by.
#[test]
fn body_and_tyres_turn_as_three_bodies_in_balance_do() {
    for (name, tyre) in SPRUNG.into_iter().flat_map(|name| [90.0, 200.0, 1e7].map(|tyre| (name, tyre))) {
        let mut car = car(name);
        let whole = car.weight.unwrap().mass * GRAVITY * car.balance.unwrap().cg_height / 1000.0;
        for axle in AxleName::BOTH {
            car.axle_mut(axle).unwrap().tyre.rate = Some(tyre);
        }
        let study = study(car);
        let told = ride(&study);
        let roll = told.roll.clone().expect("it rolls");
        let tracks = [0, 1].map(|i| told.axles[i].track_mm / 1000.0);
        // Per axle: by wheel rates over half of the track.
        let half = tracks.map(|t| t * t / 4.0 * 1000.0);
        let springs = [0, 1].map(|i| {
            let axle = &told.axles[i];
            let rates: f64 = axle.wheels.iter().map(|w| w.in_roll().unwrap().whole_n_per_mm).sum();
            (rates + axle.bar_n_per_mm.iter().flatten().sum::<f64>()) * half[i]
        });
        let tyres = half.map(|half| 2.0 * tyre * half);
        let past = [0, 1].map(|i| {
            let axle = &told.axles[i];
            let links = 2.0 * axle.sprung_corner_kg.unwrap() * GRAVITY * axle.roll_centre_mm.unwrap() / 1000.0;
            links + roll.axles[i].transfer.unsprung_n * tracks[i]
        });
        let leans = whole - past[0] - past[1];
        let solve = |lean: f64| {
            let [f, r] = springs;
            let holds = nalgebra::matrix![f + r - lean, -f, -r; -f, f + tyres[0], 0.0; -r, 0.0, r + tyres[1]];
            let turned = holds.lu().solve(&nalgebra::vector![leans, past[0], past[1]]).expect("it stands");
            (turned, [0, 1].map(|i| springs[i] * (turned[0] - turned[i + 1]) / tracks[i]))
        };
        let ((_, upright), (turned, leaning)) = (solve(0.0), solve(leans));
        let what = format!("{name}, {tyre}");
        close(roll.deg_per_g.unwrap(), turned[0].to_degrees(), 1e-9, &what);
        for i in 0..2 {
            let t = roll.axles[i].transfer;
            close(t.elastic_n, upright[i], 1e-9, &what);
            close(t.elastic_n + t.leaning_n, leaning[i], 1e-9, &what);
            // The damper is as short as the wheel's own travel against the body makes it.
            let axle = told.axles[i].axle;
            let Some(used) = told.stroke_use(axle, Manoeuvre::Cornering, StrokeEnd::Closed) else { continue };
            let travel = (turned[0] - turned[i + 1]) * told.axles[i].track_mm / 2.0;
            close(used.travel_mm, travel, 1e-9, &what);
            let (gear, suspension) = (&study.gear, study.gear.axle(axle).unwrap());
            let posed = gear.raise_axle(gear.ride.axle(axle).unwrap(), [travel, -travel], 0.0).expect("it reaches");
            let damper = suspension.described.damper.unwrap();
            let (open, length) = (damper.open.unwrap(), suspension.damper_length(&posed[0]).unwrap());
            close(used.stroke_percent.unwrap(), (open - length) / (open - damper.closed.unwrap()) * 100.0, 2e-3, &what);
        }
    }
}

/// Energy: a bar holds by its twist, one end's lever against the other's, half of its stiffness times that squared.
#[test]
fn a_bars_roll_stiffness_is_how_the_energy_of_its_twist_bends() {
    let study = study(car("godwit.ron"));
    let (told, bars) = (ride(&study), study.springs().bars);
    for (i, bar) in bars.iter().enumerate() {
        let (axle, stands) = (study.gear.axle(bar.axle).unwrap(), study.gear.ride.axle(bar.axle).unwrap());
        let twists = |z: f64| {
            let posed = study.gear.raise_axle(stands, [z, -z], 0.0).expect("it reaches");
            let [left, right] = [0, 1].map(|i| axle.lever_angle(&posed[i]).expect("a lever"));
            bar.tube_nm_per_deg.to_degrees() * 1000.0 * (left - right).powi(2) / 2.0
        };
        let arm = told.axles[i].track_mm / 2.0;
        let stiffness = (bends(2.0, twists) * arm * arm).to_radians() / 1000.0;
        close(told.roll.as_ref().unwrap().axles[i].bar_nm_per_deg, stiffness, 1e-3, "the bar");
    }
}

/// Milliken & Milliken, ch. 17: arms that trail straight move their wheels straight up, so their roll centre lies on the ground;
/// there the two wheels' lines run side by side, and meet nowhere.
#[test]
fn trailing_arms_have_their_roll_centre_on_the_ground() {
    let mut car = car("dunlin.ron");
    car.rear.as_mut().unwrap().alignment = Default::default();
    let told = ride(&study(car));
    assert!(told.axles[1].roll_centre_mm.unwrap().abs() < 1e-6, "{:?}", told.axles[1].roll_centre_mm);
    assert_eq!(told.roll.unwrap().axles[1].transfer.geometric_n.round(), 0.0);
}

/// Textbook form (Milliken & Milliken, ch. 16): springs of rate k, a base s apart on a stiff axle, hold k s²/2 for a radian
/// of roll, whatever the track; wheels held apart hold their rate times t²/2.
#[test]
fn a_stiff_axles_springs_hold_by_their_base_and_wheels_apart_by_their_track() {
    let mut car = car("snipe.ron");
    let axle = car.rear.as_mut().unwrap();
    for (name, z) in [(scribeline::car::PointName::SpringTop, 520.0), (scribeline::car::PointName::SpringBottom, 282.0)]
    {
        // Upright, and over the wheels' line.
        axle.points.0.insert(name, nalgebra::Vector3::new(-2520.0, 500.0, z));
    }
    let told = ride(&study(car));
    let (front, rear) = (&told.axles[0], &told.axles[1]);
    let base = rear.wheels[0].spring_base_mm.expect("a stiff axle");
    close(base, 1000.0, 2e-3, "springs 1000 mm apart");
    let by_spring = |a: &AxleRide| a.wheels.map(|w| w.in_roll().unwrap().spring_n_per_mm);
    let held: f64 = by_spring(rear).iter().sum::<f64>() * (rear.track_mm / 2.0).powi(2);
    close(held, 26.0 * base * base / 2.0, 2e-3, "k s²/2");
    assert!(front.wheels.iter().all(|w| w.roll.is_none() && w.spring_base_mm.is_none()));
    let roll = told.roll.unwrap();
    let rates: f64 = front.wheels.iter().map(|w| w.heave.unwrap().whole_n_per_mm).sum();
    let of_track = rates / 2.0 * front.track_mm.powi(2) / 2.0;
    close(roll.axles[0].springs_nm_per_deg, of_track.to_radians() / 1000.0, 1e-12, "t²/2");
}

/// An anti-roll bar's force at the wheels, as `springs` tells it, is what stiffens the car in roll: both wheels' over half of
/// the track each. And the stiffer axle takes more of what is shifted.
#[test]
fn a_bar_stiffens_its_axle_by_what_it_does_at_the_wheels() {
    let whole = car("godwit.ron");
    let without = |name: AxleName| {
        let mut car = whole.clone();
        let axle = car.axle_mut(name).unwrap();
        axle.bar = None;
        for point in [
            scribeline::car::PointName::BarPivot,
            scribeline::car::PointName::BarLever,
            scribeline::car::PointName::DropLinkOuter,
        ] {
            axle.points.0.remove(&point);
        }
        ride(&study(car)).roll.unwrap()
    };
    let study = study(whole.clone());
    let (told, bars) = (ride(&study), study.springs().bars);
    let roll = told.roll.clone().unwrap();
    for (i, bar) in bars.iter().enumerate() {
        let [left, right] = bar.wheel_n_per_mm.map(Option::unwrap);
        let arm = told.axles[i].track_mm / 2.0;
        close(roll.axles[i].bar_nm_per_deg, ((left + right) * arm * arm).to_radians() / 1000.0, 1e-12, "the bar");
    }
    assert!(without(Front).front_percent < roll.front_percent && roll.front_percent < without(Rear).front_percent);
    assert!(without(Front).deg_per_g.unwrap() > roll.deg_per_g.unwrap());
    assert_eq!(without(Front).axles[0].bar_nm_per_deg, 0.0);
}

fn blade(width: f64, tip_width: Option<f64>, angle: f64) -> BladeSection {
    BladeSection { width, tip_width, thickness: 5.0, length: 180.0, angle }
}

/// Beam theory: a cantilever gives way by F L³ / 3 E I, I = w t³/12 flat and t w³/12 on edge; between the two its give is
/// shared by the squares of sine and cosine (unsymmetrical bending). E = 207 GPa (Shigley, table A-5, from memory).
#[test]
fn a_blade_is_a_cantilever_at_every_angle() {
    let plain = blade(25.0, None, 0.0);
    let of = |i: f64| 3.0 * 207_000.0 * i / 180f64.powi(3);
    let [flat, edge] = [of(25.0 * 125.0 / 12.0), of(5.0 * 25f64.powi(3) / 12.0)];
    close(plain.rate_at(0.0), flat, 1e-12, "flat");
    close(plain.rate_at(90f64.to_radians()), edge, 1e-12, "on edge");
    close(1.0 / plain.rate_at(45f64.to_radians()), (1.0 / flat + 1.0 / edge) / 2.0, 1e-12, "half way");
    close(Blade::Section(blade(25.0, None, 90f64.to_radians())).rate(), edge, 1e-12, "as set");
    assert_eq!(Blade::Stiffness(60.0).rate(), 60.0);
}

/// Closed form: of a blade that tapers from w to v, the integral of x²/(v + s x) from the tip, s = (w - v) / L, is
/// [s L (s L - 2 v) / 2 + v² ln(w / v)] / s³; one that is next to a point at its tip gives half as much again as an even one.
#[test]
fn a_tapered_blade_gives_as_the_integral_says() {
    let (w, v, l) = (25.0, 12.0, 180.0);
    let s = (w - v) / l;
    let integral = (s * l * (s * l - 2.0 * v) / 2.0 + v * v * f64::ln(w / v)) / (s * s * s);
    let flat = 207_000.0 * 125.0 / 12.0 / integral;
    close(blade(w, Some(v), 0.0).rate_at(0.0), flat, 1e-9, "tapered, flat");
    let pointed = blade(25.0, Some(25.0 / 1e4), 0.0).rate_at(0.0);
    close(pointed, 2.0 / 3.0 * blade(25.0, None, 0.0).rate_at(0.0), 1e-3, "to a point");
}

/// Turning its blades on edge stiffens a bar, and the axle that it is on takes more of what is shifted.
#[test]
fn blades_are_told_from_flat_to_on_edge() {
    let text = std::fs::read_to_string(scene("plover.ron")).unwrap();
    let text = text.replacen("blade: 300)", "blade: (width: 25, thickness: 5, length: 120, angle: 30))", 1);
    let text = text.replacen("damper: (on: rocker", "spring: (rate: 60), damper: (on: rocker", 1);
    let text = text.replacen("damper: (on: lower_arm", "spring: (rate: 55), damper: (on: lower_arm", 1);
    let file = CarFile::from_text(text, None).unwrap_or_else(|e| panic!("{e}"));
    let told = ride(&study(file.car().clone()));
    let roll = told.roll.expect("it rolls");
    assert_eq!(roll.blades.iter().map(|b| b.angle_deg).collect::<Vec<_>>(), [0.0, 15.0, 30.0, 45.0, 60.0, 75.0, 90.0]);
    assert!(
        roll.blades
            .windows(2)
            .all(|w| w[0].bar_nm_per_deg < w[1].bar_nm_per_deg && w[0].front_percent < w[1].front_percent)
    );
    // As it is set it is what is told of the car.
    close(roll.blades[2].bar_nm_per_deg, roll.axles[0].bar_nm_per_deg, 1e-12, "at 30 deg");
    close(roll.blades[2].front_percent, roll.front_percent, 1e-12, "at 30 deg");
}

/// Statics: one g of braking shifts W h / L (Milliken & Milliken, ch. 18), of which the springs have what anti-dive leaves
/// (ch. 17) and the tyres all.
#[test]
fn braking_shifts_weight_by_height_over_wheelbase_and_the_nose_dives_by_what_anti_dive_leaves() {
    let car = car("godwit.ron");
    let shift = car.weight.unwrap().mass * GRAVITY * car.balance.unwrap().cg_height / car.wheelbase;
    let told = ride(&study(car));
    let pitch = told.pitch.expect("it pitches");
    close(pitch.shift_n, shift, 1e-12, "W h / L");
    let rate = told.axles[0].wheels.iter().map(|w| w.heave.unwrap().whole_n_per_mm).sum::<f64>();
    let left = 1.0 - pitch.anti_dive_percent / 100.0;
    close(pitch.travel_mm[0], shift * left / rate, 1e-12, "front");
    close(pitch.dive_mm[0], shift * left / rate + shift / (2.0 * told.axles[0].tyre_n_per_mm), 1e-12, "with its tyres");
    assert!(pitch.travel_mm[1] < 0.0 && pitch.deg_per_g > 0.0);
    // A damper's stroke is used from where it stands: in braking less of the rear one's.
    let used = |manoeuvre| told.stroke(Rear, manoeuvre).expect("open and closed are given");
    assert!(
        used(Manoeuvre::Braking) < used(Manoeuvre::Standing) && used(Manoeuvre::Standing) < used(Manoeuvre::Cornering)
    );
    assert!(told.stroke(Front, Manoeuvre::Both) > told.stroke(Front, Manoeuvre::Braking));
    // Tyres twice as stiff give half: nose and tail by the whole shift each, and none of it held by the links.
    let mut stiff = self::car("godwit.ron");
    let tyres = [0, 1].map(|i| told.axles[i].tyre_n_per_mm);
    for (axle, rate) in AxleName::BOTH.into_iter().zip(tyres) {
        stiff.axle_mut(axle).unwrap().tyre.rate = Some(2.0 * rate);
    }
    let stiffer = ride(&self::study(stiff)).pitch.unwrap();
    close(pitch.dive_mm[0] - stiffer.dive_mm[0], shift / 4.0 / tyres[0], 1e-9, "the nose on its tyres");
    close(pitch.dive_mm[1] - stiffer.dive_mm[1], -shift / 4.0 / tyres[1], 1e-9, "the tail on its tyres");
    let not_given = ride(&self::study(self::car("dunlin.ron")));
    assert!(not_given.stroke(Front, Manoeuvre::Braking).is_none(), "open and closed");
}

/// A soft car on short dampers: one g closes them, and that is the answer.
#[test]
fn one_g_that_closes_a_damper_is_short() {
    let mut soft = car("dunlin.ron");
    soft.rear.as_mut().unwrap().spring.as_mut().unwrap().rate = 9.0;
    let damper = soft.rear.as_mut().unwrap().damper.as_mut().unwrap();
    (damper.open, damper.closed) = (Some(450.0), Some(415.0));
    let told = ride(&study(soft));
    assert_eq!(told.verdict, Verdict::Short);
    assert!(told.sentence(Shown::Mm).contains("damper past closed"), "{}", told.sentence(Shown::Mm));
}

/// The inner wheel droops in a corner, and may draw its damper out.
#[test]
fn one_g_that_opens_the_inner_wheels_damper_is_short() {
    let mut car = car("dunlin.ron");
    let damper = car.rear.as_mut().unwrap().damper.as_mut().unwrap();
    (damper.open, damper.closed) = (Some(445.0), Some(270.0));
    let told = ride(&study(car));
    assert_eq!(told.verdict, Verdict::Short);
    assert!(told.sentence(Shown::Mm).contains("damper past open"), "{}", told.sentence(Shown::Mm));
    let used = told.stroke_use(Rear, Manoeuvre::Cornering, StrokeEnd::Open).unwrap();
    assert!(used.ends() && used.travel_mm < 0.0 && used.stroke_percent.unwrap() < 0.0, "{used:?}");
}

/// So soft that one g takes the wheels further than arms and rods reach: that is said, whatever the dampers are.
#[test]
fn one_g_beyond_what_the_linkage_reaches_is_short() {
    let mut soft = car("dunlin.ron");
    let spring = soft.front.spring.as_mut().unwrap();
    spring.rate = 2.0;
    let told = ride(&study(soft));
    assert_eq!(told.verdict, Verdict::Short);
    assert!(told.sentence(Shown::Mm).contains("further than the linkage reaches"), "{}", told.sentence(Shown::Mm));
}

#[test]
fn what_nothing_holds_is_short() {
    let says = |name: &str, change: &dyn Fn(&mut Car)| {
        let mut car = car(name);
        change(&mut car);
        let told = ride(&study(car));
        (told.verdict, told.sentence(Shown::Mm), told.notes.join(" "))
    };
    let (verdict, said, _) = says("dunlin.ron", &|car| car.balance.as_mut().unwrap().cg_height = 6000.0);
    assert!(verdict == Verdict::Short && said.starts_with("Nothing holds it upright"), "{said}");
    let (verdict, said, _) = says("dunlin.ron", &|car| car.front.unsprung = Some(990.0));
    assert!(verdict == Verdict::Short && said.starts_with("More hangs below the front springs"), "{said}");
    // What it stands on is half of an axle's weight; a high one shifts more.
    let (_, _, notes) = says("godwit.ron", &|car| car.balance.as_mut().unwrap().cg_height = 900.0);
    assert!(notes.contains("inner wheel leaves the ground"), "{notes}");
    let (_, _, notes) = says("godwit.ron", &|car| car.balance.as_mut().unwrap().cg_height = 150.0);
    assert!(!notes.contains("leaves the ground"), "{notes}");
    // A spring whose force pushes the wheel on by more than its rate holds it back.
    let mut met = 0;
    for (name, axle) in SPRUNG.into_iter().flat_map(|name| [(name, Front), (name, Rear)]) {
        let told = ride(&study(car(name)));
        let Some(rate) = told.axles[axle as usize].wheels[0].heave else { continue };
        let (force, ratio) = (rate.force_n_per_mm.unwrap(), rate.ratio);
        if force > -0.3 * ratio * ratio {
            continue;
        }
        let soft = -0.5 * force / (ratio * ratio);
        let (verdict, said, _) = says(name, &|car| car.axle_mut(axle).unwrap().spring.as_mut().unwrap().rate = soft);
        assert!(
            verdict == Verdict::Short && said.contains("nothing holds the left")
                || said.starts_with("Nothing holds the left"),
            "{said}"
        );
        met += 1;
    }
    assert!(met > 0, "one of them has such a spring");
}

/// A proposal that lowers the body is told with the height as found: both answers that tell roll say so.
#[test]
fn roll_of_a_proposal_is_told_with_what_stays_as_found() {
    let file = CarFile::open(&scene("dunlin.ron")).unwrap_or_else(|e| panic!("{e}"));
    let made = file.proposed("low and wide").unwrap_or_else(|e| panic!("{e}"));
    let (found, made) = (study(file.car().clone()), study(made));
    let says = |notes: &[String]| notes.iter().filter(|n| n.contains("`cg_height` counts over the ground")).count();
    let told =
        Comparison::new(&found, &made, scribeline::motion::Along::Travel, Shown::Mm).unwrap_or_else(|e| panic!("{e}"));
    assert_eq!([says(&told.notes), says(&ride(&made).notes), says(&ride(&found).notes)], [1, 1, 0]);
    // And why a spring's force is another in `loads`.
    let loads = found.loads(None).unwrap_or_else(|e| panic!("{e}"));
    for notes in [&loads.notes, &ride(&found).notes] {
        assert_eq!(
            notes.iter().filter(|n| n.contains("below the springs off a spring's force")).count(),
            1,
            "{notes:?}"
        );
    }
}

/// Of a car that says less, less is told, and what to add.
#[test]
fn what_a_car_file_lacks_is_asked_for() {
    let says = |change: &dyn Fn(&mut Car)| {
        let mut car = car("dunlin.ron");
        change(&mut car);
        ride(&study(car))
    };
    let bare = says(&|car| car.axle_mut(Front).unwrap().spring = None);
    assert!(bare.roll.is_none() && bare.axles[0].wheels[0].heave.is_none() && bare.axles[1].frequency().is_some());
    assert!(bare.notes.iter().any(|n| n.contains("front axle has no spring")), "{:?}", bare.notes);
    let weightless = says(&|car| car.weight = None);
    let rate = weightless.axles[0].wheels[0].heave.unwrap();
    assert_eq!((rate.force_n_per_mm, rate.whole_n_per_mm), (None, rate.spring_n_per_mm));
    assert!(weightless.sentence(Shown::Mm).contains("weight"), "{}", weightless.sentence(Shown::Mm));
    let both = says(&|car| {
        car.front.unsprung = Some(70.0);
        car.front.tyre.rate = Some(180.0);
    });
    assert!(!both.axles[0].tyre_assumed && !both.axles[0].unsprung_assumed && both.axles[1].tyre_assumed);
    assert!(both.notes.iter().any(|n| n.contains("rear tyres of 200.0 N/mm (1142 lbf/in)")), "{:?}", both.notes);
    assert!(!both.notes.iter().any(|n| n.contains("below the front springs")));
}

/// Load cases split what cornering shifts as springs and roll centres do, where the car file gives no share; the outer front
/// wheel of a left turn then carries what ride says that it gains.
#[test]
fn loads_split_cornering_as_the_ride_does() {
    let mut car = car("dunlin.ron");
    car.weight.as_mut().unwrap().roll_front = None;
    let study = study(car);
    let told = ride(&study);
    let loads = study.loads(Some("left turn")).unwrap_or_else(|e| panic!("{e}"));
    let up = |axle, side| {
        let wheel = loads.cases[0].wheels.iter().find(|w| w.axle == axle && w.side == side).unwrap();
        wheel.force_n[2]
    };
    for (i, axle) in [Front, Rear].into_iter().enumerate() {
        let gains = (up(axle, Side::Right) - up(axle, Side::Left)) / 2.0;
        close(gains, 1.2 * told.roll.as_ref().unwrap().axles[i].transfer.whole_n, 1e-3, "1.2 g");
    }
    assert!(loads.notes.iter().any(|n| n.contains("as springs, bars and roll centres have it")), "{:?}", loads.notes);
}

fn call(arguments: &[&str]) -> (i32, String, String) {
    let car = scene("dunlin.ron");
    let mut command = Command::new(env!("CARGO_BIN_EXE_scribeline"));
    let out = command.arg("ride").arg(car).args(arguments).output().expect("the program runs");
    let text = |bytes| String::from_utf8(bytes).expect("plain text");
    (out.status.code().unwrap(), text(out.stdout), text(out.stderr))
}

#[test]
fn the_command_line_tells_it_as_text_table_and_json_in_both_units() {
    let (code, text, _) = call(&[]);
    assert_eq!(code, 0, "{text}");
    for word in ["It rides at", "Hz in front", "Roll:", "Pitch:", "Dampers:", "Assumed:", "N/mm"] {
        assert!(text.contains(word), "{word}: {text}");
    }
    let (_, inches, _) = call(&["--units", "in"]);
    assert!(inches.contains("lbf/in") && inches.contains("lbf ft/deg") && !inches.contains("N/mm  "), "{inches}");
    let (_, csv, _) = call(&["--csv"]);
    assert_eq!(csv.lines().count(), 5, "{csv}");
    let (_, json, _) = call(&["--json", "--proposal", "low and wide"]);
    let told: serde_json::Value = serde_json::from_str(&json).expect("JSON");
    assert_eq!(told["question"], "ride");
    assert!(told["axles"][0]["wheels"][0]["heave"]["whole_n_per_mm"].as_f64().unwrap() > 0.0);
    let (_, wished, _) = call(&["--spring-for", "1.8,2.0"]);
    assert!(wished.contains("1.80 Hz in front") && wished.contains("2.00 Hz at the rear"), "{wished}");
    // The changes that it prints, put into a proposal, ride so: each side's spring is the mean of both, to what is sold.
    let fits: Vec<String> = wished.lines().filter(|line| line.contains("fit_spring(")).map(str::to_owned).collect();
    assert_eq!(fits.len(), 2, "{wished}");
    let changes = fits.iter().map(|line| line.trim().trim_end_matches(',').to_owned()).collect();
    let bare =
        CarFile::open(&scene("dunlin.ron")).unwrap().edit(&Edit::AddProposal { name: "sprung".to_owned() }).unwrap();
    let fitted =
        bare.edit(&Edit::AddChanges { proposal: "sprung".to_owned(), changes }).unwrap_or_else(|e| panic!("{e}"));
    let ride = Study::new(fitted.proposed("sprung").unwrap()).unwrap().ride(&RideAsk::default());
    for (axle, hz) in ride.axles.iter().zip([1.8, 2.0]) {
        assert!((axle.frequency().unwrap() - hz).abs() < 0.005, "{axle:?}");
    }
    let (code, _, refused) = call(&["--spring-for", "fast"]);
    assert!(code == 2 && refused.contains("not a number"), "{refused}");
}
