//! Every number of an axle's geometry at ride height: its value, how fast it changes, and how sure both are.
//!
//! A doubt is half the width of the band that holds 95 of 100 readings, of what was measured as of what follows from it:
//! u(y)^2 = sum of (dy/dx u(x))^2 over everything that was read, each reading by itself (JCGM 100:2008, 5.1.2), with
//! the derivatives from the constraints themselves.

use serde::Serialize;

use super::Told;
use super::study::{NoAnswer, Study};
use crate::car::{AxleName, Shown, Side};
use crate::motion::change::{Brought, Reading, Sensitivity};
use crate::motion::{Along, Measure, Quantity};

/// An axle's numbers at ride height, steering straight ahead.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Alignment {
    /// The axle.
    pub axle: AxleName,
    /// The motion that the rates are taken along.
    pub along: Along,
    /// Rates are for so much of it, in mm or degrees; in the inches shown where those were asked for.
    pub rate_per: f64,
    /// The numbers that this axle has.
    pub numbers: Vec<Number>,
    /// Where one number was asked for: what it rests on, what matters most first.
    pub rests_on: Vec<RestsOn>,
}

/// One number.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Number {
    /// Which.
    pub quantity: Quantity,
    /// What it is measured in: mm, degrees, per cent or a plain ratio.
    pub measure: Measure,
    /// Left and right wheel. What belongs to the axle is the same in both.
    pub sides: [Option<Sure>; 2],
}

/// A value and its rate, with their doubts, in mm, degrees, per cent or as a plain ratio.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Sure {
    /// At ride height.
    pub value: f64,
    /// Give or take.
    pub doubt: f64,
    /// Change for [`Alignment::rate_per`].
    pub rate: f64,
    /// Give or take.
    pub rate_doubt: f64,
}

/// A reading that a number rests on.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RestsOn {
    /// The wheel that the number is of.
    pub wheel: Side,
    /// What was read, as it is spoken.
    pub reading: String,
    /// What it was read in.
    pub measure: Measure,
    /// How well it was read: mm or degrees, give or take.
    pub read_to: f64,
    /// Share of the value's doubt (squared), 0 to 1.
    pub share: f64,
    /// What the value changes by for one mm or degree of the reading.
    pub effect: f64,
    /// Share of the rate's doubt (squared), 0 to 1.
    pub rate_share: f64,
    /// What the rate changes by for one mm or degree of the reading.
    pub rate_effect: f64,
}

/// Rates are told for so much of a motion: in the core's unit, in the unit shown, and in words.
pub fn step(along: Along, shown: Shown) -> (f64, f64, &'static str) {
    match (along, shown) {
        (Along::Travel, Shown::Mm) => (25.0, 25.0, "25 mm of bump"),
        (Along::Travel, Shown::In) => (25.4, 1.0, "1 in of bump"),
        (Along::Heave, Shown::Mm) => (25.0, 25.0, "25 mm of heave"),
        (Along::Heave, Shown::In) => (25.4, 1.0, "1 in of heave"),
        (Along::Steer, Shown::Mm) => (10.0, 10.0, "10 mm of steering travel"),
        (Along::Steer, Shown::In) => (12.7, 0.5, "1/2 in of steering travel"),
        (Along::Roll, _) => (1f64.to_radians(), 1.0, "1 deg of roll"),
        (Along::Pitch, _) => (1f64.to_radians(), 1.0, "1 deg of pitch"),
    }
}

impl Study {
    /// An axle's numbers at ride height with their rates along a motion. With one quantity asked for, also what it rests
    /// on.
    ///
    /// # Errors
    /// [`NoAnswer::NoAxle`].
    pub fn alignment(
        &self,
        name: AxleName,
        along: Along,
        of: Option<Quantity>,
        shown: Shown,
    ) -> Result<Alignment, NoAnswer> {
        let (axle, ride) = self.gear.axle(name).zip(self.gear.ride.axle(name)).ok_or(NoAnswer::NoAxle)?;
        let frame = self.frame(name).ok_or(NoAnswer::NoAxle)?;
        let at = self.gear.bring(axle, ride, along, 0.0).map_err(NoAnswer::Pose)?;
        let (per, rate_per, _) = step(along, shown);
        let quantities: Vec<Quantity> = of.map_or_else(|| Quantity::ALL.to_vec(), |q| vec![q]);
        let asked: Vec<(Quantity, Side)> = quantities.iter().flat_map(|q| Side::BOTH.map(|side| (*q, side))).collect();
        let mut rests = self.gear.sensitivities(axle, frame, &at, &asked);
        for (rests, (quantity, _)) in rests.iter_mut().zip(&asked) {
            // What counts from ride height is nothing there for sure.
            if quantity.from_ride() {
                rests.iter_mut().for_each(|s| s.value = 0.0);
            }
        }
        let mut numbers: Vec<Number> = Vec::new();
        for (i, quantity) in quantities.iter().enumerate() {
            let side = |k: usize| self.sure(name, &at, *quantity, Side::BOTH[k], &rests[2 * i + k], per);
            let sides = [side(0), side(1)];
            if sides.iter().any(Option::is_some) {
                numbers.push(Number { quantity: *quantity, measure: quantity.measure(), sides });
            }
        }
        let mut rests_on = Vec::new();
        if let Some(quantity) = of {
            let sides: &[Side] = if quantity.of_axle() { &[Side::Left] } else { &Side::BOTH };
            for &side in sides {
                rests_on.extend(self.rests_on(name, quantity, side, &rests[side as usize], per));
            }
        }
        Ok(Alignment { axle: name, along, rate_per, numbers, rests_on })
    }

    fn sure(
        &self,
        name: AxleName,
        at: &Brought,
        quantity: Quantity,
        side: Side,
        rests: &[Sensitivity],
        per: f64,
    ) -> Option<Sure> {
        let (axle, frame) = (self.gear.axle(name)?, self.frame(name)?);
        let [value, rate] = self.gear.change(axle, frame, at, quantity, side)?;
        let spread = |of: fn(&Sensitivity) -> f64| {
            rests.iter().map(|s| (of(s) * s.reading.doubt(&axle.described)).powi(2)).sum::<f64>().sqrt()
        };
        let told = |v: f64| quantity.told(v);
        Some(Sure {
            value: told(value),
            doubt: told(spread(|s| s.value)),
            rate: told(rate * per),
            rate_doubt: told(spread(|s| s.rate) * per),
        })
        .filter(|s| s.value.is_finite())
    }

    fn rests_on(
        &self,
        name: AxleName,
        quantity: Quantity,
        side: Side,
        rests: &[Sensitivity],
        per: f64,
    ) -> Vec<RestsOn> {
        let Some(axle) = self.gear.axle(name) else { return Vec::new() };
        let doubt = |s: &Sensitivity| s.reading.doubt(&axle.described);
        let all = |of: fn(&Sensitivity) -> f64| rests.iter().map(|s| (of(s) * doubt(s)).powi(2)).sum::<f64>();
        let (whole, whole_rate) = (all(|s| s.value), all(|s| s.rate));
        let share = |part: f64, whole: f64| if whole > 0.0 { part * part / whole } else { 0.0 };
        let mut rows: Vec<RestsOn> = rests
            .iter()
            .map(|s| {
                let (measure, one) = match s.reading {
                    Reading::Coordinate(..) => (Measure::Length, 1.0),
                    Reading::Camber(_) | Reading::Toe(_) => (Measure::Angle, 1f64.to_radians()),
                };
                RestsOn {
                    wheel: side,
                    reading: s.reading.words(&axle.described),
                    measure,
                    read_to: doubt(s) / one,
                    share: share(s.value * doubt(s), whole),
                    effect: quantity.told(s.value * one),
                    rate_share: share(s.rate * doubt(s), whole_rate),
                    rate_effect: quantity.told(s.rate * per * one),
                }
            })
            .collect();
        rows.sort_by(|a, b| f64::max(b.share, b.rate_share).total_cmp(&f64::max(a.share, a.rate_share)));
        // What has next to no part in the doubt is not worth measuring again.
        rows.retain(|r| f64::max(r.share, r.rate_share) > 0.01);
        rows
    }
}

impl Number {
    /// A value in the unit shown with its doubt: `-1.30 ± 0.20`.
    pub fn give_or_take(&self, value: f64, doubt: f64, shown: Shown) -> String {
        let (value, doubt) = match self.measure {
            Measure::Length => (shown.number(value), shown.number(doubt)),
            _ => (value, doubt),
        };
        let most = if self.measure == Measure::Ratio { 3.0 } else { 4.0 };
        // As many decimals as leave the doubt two digits, but few: what lies beyond them nobody knows.
        let decimals = if doubt > 0.0 { (1.0 - doubt.log10().floor()).clamp(0.0, most) as usize } else { 2 };
        let scale = 10f64.powi(decimals as i32);
        let rounded = (value * scale).round() / scale + 0.0;
        format!("{rounded:.decimals$} ± {doubt:.decimals$}")
    }
}

impl Told for Alignment {
    fn sentence(&self, shown: Shown) -> String {
        let (_, _, per) = step(self.along, shown);
        let chosen = match &self.numbers[..] {
            [one] => Some(one),
            all => all.iter().find(|n| n.quantity == Quantity::Camber),
        };
        let Some(number) = chosen else { return "This axle has no such number.".to_owned() };
        let of_axle = number.quantity.of_axle();
        let sides = Side::BOTH.into_iter().zip(number.sides).filter_map(|(side, sure)| Some((side, sure?)));
        let told = sides.take(if of_axle { 1 } else { 2 }).map(|(side, s)| {
            let value = number.give_or_take(s.value, s.doubt, shown);
            let rate = number.give_or_take(s.rate, s.rate_doubt, shown);
            let side = if of_axle { String::new() } else { format!(" {}", side.word()) };
            format!("{value}{}{side}, changing by {rate} in {per}", unit(number.measure, shown))
        });
        let told: Vec<String> = told.collect();
        let axle = super::words::capital(self.axle.word());
        format!("{axle} {}: {}.", number.quantity.words(), told.join("; "))
    }
}

/// The sign behind a number.
pub fn unit(measure: Measure, shown: Shown) -> String {
    match measure {
        Measure::Angle => " deg".to_owned(),
        Measure::Length => format!(" {}", shown.sign()),
        Measure::Share => " %".to_owned(),
        Measure::Ratio => String::new(),
    }
}
