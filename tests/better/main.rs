//! Points that are put where a wish wants them, with every gap kept.

#[path = "../common/mod.rs"]
#[allow(dead_code, reason = "what other tests write into the car is not needed here")]
mod common;
#[path = "../common/demo.rs"]
mod demo;
#[path = "../common/shell.rs"]
mod shell;

mod asking;
mod geometry;
mod keeping;

use demo::study;
use nalgebra::Vector3;
use scribeline::answer::better::{BetterAsk, Free, Looking, Wish};
use scribeline::answer::{Better, Study};
use scribeline::car::PointName::{
    self, DamperBottom, DamperTop, LowerBallJoint, LowerFront, LowerRear, TieRodInner, TieRodOuter, UpperBallJoint,
    UpperFront, UpperRear, WheelCentre,
};
use scribeline::car::{AxleName, Car, CarFile, Shown, Side};
use scribeline::motion::{Along, Pose, Quantity};
use scribeline::space::Scans;

fn free(text: &str) -> Free {
    Free::typed(text, Shown::Mm, AxleName::Front).unwrap_or_else(|e| panic!("{e}"))
}

fn wish(text: &str) -> Wish {
    Wish::typed(text, Shown::Mm, AxleName::Front).unwrap_or_else(|e| panic!("{e}"))
}

/// The answer alone: each car more has to be proven too.
fn ask(frees: &[&str], wishes: &[&str]) -> BetterAsk {
    let (free, wishes) = (frees.iter().map(|f| free(f)).collect(), wishes.iter().map(|w| wish(w)).collect());
    BetterAsk { free, wishes, best: 1 }
}

fn found(start: &Study, ask: &BetterAsk) -> Better {
    Better::new(start, &Scans::default(), ask, Looking::NOBODY).unwrap_or_else(|e| panic!("{e}"))
}

/// A found car, made by its changes as a proposal's.
fn made(start: &Study, better: &Better, n: usize) -> Study {
    study(start.car.changed("better", better.cars[n].made_of.clone()).expect("a car"))
}

/// A rate at ride height as `alignment` tells it, degrees in 25 mm of bump.
fn rate(study: &Study, quantity: Quantity, side: Side) -> f64 {
    let told = study.alignment(AxleName::Front, Along::Travel, Some(quantity), Shown::Mm).expect("an axle");
    told.numbers[0].sides[side as usize].expect("a number").rate
}

/// That no pair of `after` has less than it is to have: its wanted gap, or what it had where that was less. As
/// searched, and proven where `after` is.
fn keeps_every_gap(before: &Study, after: &Study) {
    let [before, after] = [before, after].map(|s| s.gaps(&Pose::default()).expect("gaps"));
    for pair in &after.pairs {
        let was = before.pairs.iter().find(|p| p.a == pair.a && p.b == pair.b);
        let need = was.map_or(pair.wanted_mm, |was| was.worst.gap.gap_mm.min(pair.wanted_mm));
        let room = if need < pair.wanted_mm { 0.06 } else { 0.0 };
        let gap = pair.worst.gap.gap_mm;
        assert!(gap >= need - room, "{} - {}: {gap} where {need} are to be kept", pair.a, pair.b);
        if let Some(least) = pair.worst.at_least_mm {
            assert!(least >= need - room - 0.11, "{} - {}: {least} proven of {need}", pair.a, pair.b);
        }
    }
}

/// A front view with every pickup axis along the car, both ball joints in one plane across it, and the wheel upright
/// and straight: a planar four-bar that stands as it was measured.
fn four_bar() -> Car {
    let mut car = CarFile::from_text(common::CAR.to_owned(), None).expect("the car").car().clone();
    car.front.right.0.clear();
    car.proposals.clear();
    // Nothing else is near, so that what is formula is not hindered.
    car.splitter = None;
    car.rails.clear();
    car.panels.clear();
    car.front.damper = None;
    car.wanted.to_ground = 0.0;
    car.front.alignment.camber = 0.0;
    car.front.alignment.toe = 0.0;
    // Its short rods would come to an end at more.
    car.front.rack.as_mut().expect("a rack").travel = 20.0;
    for (name, at) in [
        (LowerFront, [130.0, 320.0, 178.0]),
        (LowerRear, [-130.0, 320.0, 178.0]),
        (LowerBallJoint, [0.0, 640.0, 165.0]),
        (UpperFront, [115.0, 380.0, 420.0]),
        (UpperRear, [-115.0, 380.0, 420.0]),
        (UpperBallJoint, [0.0, 610.0, 430.0]),
        (TieRodInner, [100.0, 330.0, 218.0]),
        (TieRodOuter, [100.0, 620.0, 205.0]),
        (WheelCentre, [0.0, 720.0, 298.0]),
    ] {
        car.front.points.0.insert(name, Vector3::from(at));
    }
    car.front.points.0.retain(|name, _| ![DamperTop, DamperBottom].contains(name));
    car.ground = 298.0 - car.front.tyre.mounted(&car.front.wheel).loaded_radius;
    car
}

/// Where two lines meet in front view, (y, z), each through two points.
fn meet([a, b]: [Vector3<f64>; 2], [c, d]: [Vector3<f64>; 2]) -> [f64; 2] {
    let (u, v) = (b - a, d - c);
    let t = ((c.y - a.y) * v.z - (c.z - a.z) * v.y) / (u.y * v.z - u.z * v.y);
    [a.y + t * u.y, a.z + t * u.z]
}

/// The instant axis of the arms in front view.
fn instant(car: &Car) -> [f64; 2] {
    let at = |name: PointName| car.front.point(Side::Left, name).expect("a point");
    meet([at(LowerFront), at(LowerBallJoint)], [at(UpperFront), at(UpperBallJoint)])
}
