//! Each wheel's rate, frequency and static deflection.

use std::f64::consts::TAU;

use super::{AxleRide, TYRE_RATE, WheelRate, WheelRide, series};
use crate::answer::Study;
use crate::car::axle::Linkage;
use crate::car::units::GRAVITY;
use crate::car::{AxleName, Side};
use crate::motion::{Alignment, Mode, Standing};

/// What hangs below the springs of an axle where the car file does not say, of the whole car's mass (common practice,
/// no source): some 35 kg a wheel of a car of a ton, half of its tube more where a stiff axle carries them, and its
/// final drive.
fn unsprung_share(linkage: Linkage) -> f64 {
    match linkage {
        Linkage::LiveAxle => 0.11,
        Linkage::DeDion => 0.08,
        _ => 0.07,
    }
}

/// Height over the ground that an axle is pushed sideways at: of its roll centre, or where that lies aside of the
/// wheels, as of trailing arms, whose lines run side by side, of each wheel's line to its instant centre at the middle
/// of the track, the mean.
fn roll_height(at: &Standing, track: f64) -> Option<f64> {
    let contacts = at.wheels.each_ref().map(|pose| Alignment::of(at.axle, pose, &at.ground).contact);
    let middle = (contacts[0].y + contacts[1].y) / 2.0;
    let centre = at.roll_centre().filter(|centre| (centre.x - middle).abs() <= track / 2.0);
    let line = |i: usize| {
        let moves = at.axle.speed(&at.wheels[i], Mode::Heave)?.of(contacts[i]);
        Some((contacts[i].y - middle) * moves.y / moves.z)
    };
    centre.map(|centre| centre.y).or_else(|| Some((line(0)? + line(1)?) / 2.0))
}

impl Study {
    /// An axle on its springs, where it is described.
    pub(super) fn axle_ride(&self, name: AxleName, wished_hz: Option<f64>) -> Option<AxleRide> {
        let (axle, ride) = (self.gear.axle(name)?, self.gear.ride.axle(name)?);
        let described = &axle.described;
        let tyre = described.tyre.rate.unwrap_or(TYRE_RATE);
        let carries = |front: f64| if name == AxleName::Front { front } else { 1.0 - front };
        let unsprung = self.car.weight.map(|w| described.unsprung.unwrap_or(w.mass * unsprung_share(axle.linkage)));
        let sprung = self.car.weight.zip(unsprung).map(|(w, below)| (w.mass * carries(w.front) - below) / 2.0);
        let sprung = sprung.filter(|kg| *kg > 0.0);
        let contact = |i: usize| Alignment::of(axle, &ride[i], &self.gear.ride.ground).contact;
        let track = contact(0).y - contact(1).y;
        let wheel = |side| {
            let follows = axle.spring_follows(ride, Mode::Heave, side);
            let force = follows.zip(sprung).map(|([ratio, _], kg)| kg * GRAVITY / ratio).filter(|n| n.is_finite());
            let rate = |[ratio, change]: [f64; 2]| {
                let spring = described.spring?.rate * ratio * ratio;
                let by_force = force.map(|n| n * change);
                Some(WheelRate {
                    ratio,
                    ratio_change_per_mm: change,
                    spring_n_per_mm: spring,
                    force_n_per_mm: by_force,
                    whole_n_per_mm: spring + by_force.unwrap_or(0.0),
                })
            };
            let heave = follows.and_then(rate);
            let stiff = || axle.spring_follows(ride, Mode::Roll, side).filter(|_| !axle.independent());
            let roll = stiff().and_then(rate);
            let ride_rate = heave.filter(|r| r.whole_n_per_mm > 0.0).map(|r| series(r.whole_n_per_mm, tyre));
            let at = ride_rate.zip(sprung);
            let wished = || {
                let ([ratio, change], kg) = follows.zip(sprung)?;
                let whole = kg * (TAU * wished_hz?).powi(2) / 1000.0;
                // No spring rides harder than the tyre by itself.
                let at_wheel = (whole < tyre).then(|| whole * tyre / (tyre - whole))?;
                Some((at_wheel - force? * change) / (ratio * ratio)).filter(|rate| *rate > 0.0)
            };
            WheelRide {
                side,
                spring_force_n: force,
                heave,
                roll,
                spring_base_mm: stiff().map(|[ratio, _]| ratio.abs() * track),
                ride_n_per_mm: ride_rate,
                frequency_hz: at.map(|(rate, kg)| (rate * 1000.0 / kg).sqrt() / TAU),
                deflection_mm: at.map(|(rate, kg)| kg * GRAVITY / rate),
                wished_n_per_mm: wished(),
            }
        };
        let standing = self.standing(name, *ride, self.gear.ride.ground)?;
        Some(AxleRide {
            axle: name,
            apart: described.spring_apart().is_some(),
            spring_n_per_mm: described.spring.map(|s| s.rate),
            tyre_n_per_mm: tyre,
            tyre_assumed: described.tyre.rate.is_none(),
            unsprung_kg: unsprung,
            unsprung_assumed: described.unsprung.is_none(),
            sprung_corner_kg: sprung,
            track_mm: track,
            roll_centre_mm: roll_height(&standing, track),
            wheels: Side::BOTH.map(wheel),
            bar_n_per_mm: self.bar_rate(name).map_or([None; 2], |bar| bar.wheel_n_per_mm),
            wished_hz,
        })
    }
}
