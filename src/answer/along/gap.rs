//! Gaps of named pairs drawn along a motion of the car, for as found and proposal together.

use super::{Subject, axis, one, titled};
use crate::answer::PairName;
use crate::answer::plot::{Line, Plot};
use crate::car::{AxleName, Shown, Side};
use crate::motion::change::Brought;
use crate::motion::{Along, Measure, Posed};
use crate::space::{FAR, Parts, Place, Role};

/// A car in one state, with its parts.
#[derive(Debug, Clone, Copy)]
pub struct Fitted<'a> {
    /// The car and its axles.
    pub subject: Subject<'a>,
    /// Its parts.
    pub parts: &'a Parts,
}

/// The gaps of some pairs in every car given, over what each sweeps, in the units shown. Where two parts are more than
/// 150 mm apart a line has a gap: what is that far away nobody measures.
///
/// # Errors
/// In words for the user, where a pair is not there, or never comes near.
pub fn gap_plot(cars: &[Fitted], pairs: &[PairName], along: Along, shown: Shown) -> Result<Plot, String> {
    let (one_x, one_y) = (one(along.measure(), shown), one(Measure::Length, shown));
    let (mut lines, mut silent) = (Vec::new(), Vec::new());
    for name in pairs {
        let states: Vec<&Parts> = cars.iter().map(|c| c.parts).collect();
        if cars.iter().all(|c| name.places(c.parts, &c.subject.car.wanted).is_empty()) {
            return Err(name.missing(&states));
        }
        for car in cars {
            let places = name.places(car.parts, &car.subject.car.wanted);
            let state = car.subject.name;
            let label = match (pairs.len(), cars.len()) {
                (1, _) => state.to_owned(),
                (_, 1) => format!("{} and {}", name.a, name.b),
                _ => format!("{} and {}, {state}", name.a, name.b),
            };
            let before = lines.len();
            for place in &places {
                let hub = place.a.hub();
                let side = hub.map(|h| h.side).filter(|_| places.len() > 1);
                let axle = hub.map_or(AxleName::Front, |h| h.axle);
                let gap = |at: &Brought| gap(car, place, at, axle).map(|mm| mm / one_y);
                let walked = along.walk(&car.subject, axle);
                let points: Vec<_> =
                    walked.iter().map(|(x, at)| [x / one_x, at.as_ref().and_then(gap).unwrap_or(f64::NAN)]).collect();
                if points.iter().any(|p| p[1].is_finite()) {
                    lines.push(Line { name: label.clone(), side, found: car.subject.found, points });
                }
            }
            match places.is_empty() {
                true => silent.push(format!("{label}: not there")),
                false if lines.len() == before => {
                    silent.push(format!("{label}: over {} apart all along", shown.length(FAR)));
                }
                false => {}
            }
        }
    }
    if lines.is_empty() {
        return Err(format!("No gap to draw: over the whole sweep they stay more than {} apart.", shown.length(FAR)));
    }
    let car = titled(cars.iter().map(|c| &c.subject));
    let of = match pairs {
        [only] => format!("gap between {} and {}", only.a, only.b),
        _ => "gaps".to_owned(),
    };
    // What has no line would else be passed over.
    let without = (!silent.is_empty()).then(|| silent.join("; "));
    let told = without.as_ref().map_or_else(String::new, |silent| format!(" ({silent})"));
    Ok(Plot {
        title: format!("{car}: {of} against {}{told}", along.words()[0].to_lowercase()),
        without,
        x: axis(along.measure(), shown, along.words()),
        y: axis(Measure::Length, shown, ["Gap", "overlap negative"]),
        lines,
    })
}

/// A pair's gap with its axle brought somewhere, mm; None where it is further than anybody measures.
fn gap(car: &Fitted, place: &Place, at: &Brought, axle: AxleName) -> Option<f64> {
    let gear = car.subject.gear;
    if place.b == Role::Ground {
        let mut posed: Posed = gear.ride.clone();
        posed.ground = at.ground;
        match axle {
            AxleName::Front => posed.front = at.wheels,
            AxleName::Rear => posed.rear = Some(at.wheels),
        }
        return car.parts.ground_gap(gear, place, &posed).map(|n| n.gap).filter(|gap| *gap < FAR);
    }
    let side = place.a.hub().map_or(Side::Left, |hub| hub.side);
    car.parts.gap(gear, place, &at.wheels[side as usize], FAR).map(|n| n.gap)
}
