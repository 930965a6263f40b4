//! How the wheels of an axle stand over travel and steering.

use std::collections::BTreeMap;
use std::str::FromStr;

use serde::Serialize;

use super::study::{NoAnswer, Study};
use super::words::Told;
use crate::car::{AxleName, Shown, Side};
use crate::motion::alignment::level_between;
use crate::motion::{Along, CornerPose, Measure, Quantity};

/// Values from one to another in equal steps, as `-60:60:20`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range {
    /// First.
    pub from: f64,
    /// Last.
    pub to: f64,
    /// Step, positive.
    pub step: f64,
}

/// Rows that one call may ask for.
const MOST: f64 = 100_000.0;

impl FromStr for Range {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let bad = || format!("\"{text}\" is not a range: write FROM:TO:STEP upwards, such as -60:60:20, or one value");
        let numbers: Result<Vec<f64>, _> = text.split(':').map(|w| w.trim().parse::<f64>()).collect();
        let numbers = numbers.map_err(|_| bad())?;
        if !numbers.iter().all(|n| n.is_finite()) {
            return Err(bad());
        }
        let range = match numbers[..] {
            [value] => Self::at(value),
            [from, to, step] if step > 0.0 && to >= from => Self { from, to, step },
            _ => return Err(bad()),
        };
        if (range.to - range.from) / range.step > MOST {
            return Err(format!("\"{text}\" asks for more than {MOST} values: take a longer step"));
        }
        Ok(range)
    }
}

impl Range {
    /// The values. The last is the end itself where the steps reach it to a billionth.
    pub fn values(self) -> impl Iterator<Item = f64> + Clone {
        let steps = ((self.to - self.from) / self.step + 1e-9).floor() as usize;
        (0..=steps).map(move |i| self.from + self.step * i as f64)
    }

    /// One value.
    pub fn at(value: f64) -> Self {
        Self { from: value, to: value, step: 1.0 }
    }

    /// Both ends and what lies between in twelve equal steps.
    pub fn across(from: f64, to: f64) -> Self {
        let step = (to - from) / 12.0;
        if step > 0.0 { Self { from, to, step } } else { Self::at(from) }
    }

    /// The same range in another unit.
    pub fn scaled(self, by: f64) -> Self {
        Self { from: self.from * by, to: self.to * by, step: self.step * by }
    }
}

/// A wheel at one travel and rack. Signs as in the quantities' definitions.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CurveRow {
    /// The wheel.
    pub side: Side,
    /// From ride height, bump positive, both wheels alike.
    pub travel_mm: f64,
    /// Steering travel, positive to the car's left.
    pub rack_mm: f64,
    /// What was asked for, in mm, degrees, per cent or as a plain ratio; none where there is no such value.
    #[serde(flatten)]
    pub values: BTreeMap<String, Option<f64>>,
}

impl CurveRow {
    /// A quantity's value, mm, degrees, per cent or a plain ratio.
    pub fn value(&self, quantity: Quantity) -> Option<f64> {
        self.values.get(&quantity.column()).copied().flatten()
    }
}

/// How the wheels stand over travel and steering.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Curves {
    /// The axle.
    pub axle: AxleName,
    /// Left and right wheel at ride height.
    pub gains: [Gains; 2],
    /// The quantities of the rows.
    #[serde(skip)]
    pub quantities: Vec<Quantity>,
    /// A row for every combination of travel and steering, and each side.
    pub rows: Vec<CurveRow>,
}

/// How fast a wheel's alignment changes at ride height, steering straight ahead; from the speeds of the linkage there.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Gains {
    /// The wheel.
    pub side: Side,
    /// Camber for 25 mm of bump.
    pub camber_deg_per_25_mm: f64,
    /// Toe for 25 mm of bump: bump steer.
    pub toe_deg_per_25_mm: f64,
}

impl Quantity {
    /// A value of the core in the unit of answers: mm, degrees, per cent or a plain ratio.
    pub fn told(self, value: f64) -> f64 {
        match self.measure() {
            Measure::Angle => value.to_degrees(),
            Measure::Share => value * 100.0,
            Measure::Length | Measure::Ratio => value,
        }
    }

    /// Its name with its unit: `camber_deg`.
    pub fn column(self) -> String {
        let unit = match self.measure() {
            Measure::Angle => "_deg",
            Measure::Length => "_mm",
            Measure::Share => "_percent",
            Measure::Ratio => "",
        };
        format!("{}{unit}", self.name())
    }
}

/// What a row tells where nothing else is asked for.
pub const USUAL: [Quantity; 12] = [
    Quantity::Camber,
    Quantity::Toe,
    Quantity::Steer,
    Quantity::Caster,
    Quantity::Kingpin,
    Quantity::ScrubRadius,
    Quantity::Trail,
    Quantity::HalfTrackChange,
    Quantity::WheelbaseChange,
    Quantity::Damper,
    Quantity::MotionRatio,
    Quantity::RollCentreHeight,
];

impl Study {
    /// A row for every combination of travel and steering, and each side. Of the usual quantities those are left out
    /// that the axle does not have.
    ///
    /// # Errors
    /// [`NoAnswer::Pose`] where the linkage ends before a value that was asked for; [`NoAnswer::NoAxle`].
    pub fn curves(
        &self,
        name: AxleName,
        travel: Range,
        rack: Range,
        asked: Option<&[Quantity]>,
    ) -> Result<Curves, NoAnswer> {
        let (axle, ride) = self.gear.axle(name).zip(self.gear.ride.axle(name)).ok_or(NoAnswer::NoAxle)?;
        let mut quantities = asked.unwrap_or(&USUAL).to_vec();
        let mut rows = Vec::new();
        let mut row_start = *ride;
        for rack in rack.values() {
            let mut last = row_start;
            for (i, travel) in travel.values().enumerate() {
                last = self.gear.raise_axle(&last, [travel; 2], rack).map_err(NoAnswer::Pose)?;
                if i == 0 {
                    row_start = last;
                }
                rows.extend(self.row(&last, travel, rack, &quantities));
            }
        }
        if asked.is_none() {
            let there = |q: &Quantity| rows.iter().any(|r: &CurveRow| r.value(*q).is_some());
            quantities.retain(there);
            let columns: Vec<String> = quantities.iter().map(|q| q.column()).collect();
            rows.iter_mut().for_each(|row| row.values.retain(|name, _| columns.contains(name)));
        }
        let at = self.gear.bring(axle, ride, Along::Travel, 0.0).map_err(NoAnswer::Pose)?;
        let gains = Side::BOTH.map(|side| {
            let rate = |quantity| {
                let change = self.frame(name).and_then(|frame| self.gear.change(axle, frame, &at, quantity, side));
                change.map_or(f64::NAN, |[_, rate]| (rate * 25.0).to_degrees())
            };
            Gains { side, camber_deg_per_25_mm: rate(Quantity::Camber), toe_deg_per_25_mm: rate(Quantity::Toe) }
        });
        Ok(Curves { axle: name, gains, quantities, rows })
    }

    /// Both wheels' rows in a pose.
    fn row(&self, wheels: &[CornerPose; 2], travel: f64, rack: f64, quantities: &[Quantity]) -> [CurveRow; 2] {
        let ground = level_between(self.gear.of(&wheels[0]), wheels);
        let standing = self.standing(wheels[0].hub.axle, *wheels, ground);
        Side::BOTH.map(|side| {
            let value =
                |q: &Quantity| standing.and_then(|s| q.of(&s, side)).map(|v| q.told(v)).filter(|v| v.is_finite());
            let values = quantities.iter().map(|q| (q.column(), value(q))).collect();
            CurveRow { side, travel_mm: travel, rack_mm: rack, values }
        })
    }
}

impl Told for Curves {
    fn sentence(&self, shown: Shown) -> String {
        // A quarter of a hundred millimetres is an inch but for 2 per cent: each reader gets the round number.
        let (per, scale) = match shown {
            Shown::Mm => ("25 mm", 1.0),
            Shown::In => ("1 in", 1.016),
        };
        let told = self.gains.map(|g| {
            let [camber, toe] = [g.camber_deg_per_25_mm, g.toe_deg_per_25_mm].map(|d| d * scale);
            format!("{} {camber:+.2} deg of camber and {toe:+.3} deg of toe", g.side.word())
        });
        let axle = if self.axle == AxleName::Rear { " at the rear" } else { "" };
        format!("In {per} of bump from ride height{axle}: {}, {}.", told[0], told[1])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_range_reaches_its_end() {
        let range: Range = "-60:60:20".parse().unwrap();
        assert_eq!(range.values().collect::<Vec<_>>(), [-60.0, -40.0, -20.0, 0.0, 20.0, 40.0, 60.0]);
        assert_eq!("0:0.3:0.1".parse::<Range>().unwrap().values().count(), 4);
        assert_eq!("12.5".parse::<Range>().unwrap().values().collect::<Vec<_>>(), [12.5]);
        for bad in ["", "a", "1:2", "2:1:1", "0:1:0", "0:1:-1", "0:nan:1", "0:1e9:0.001", "1:2:3:4"] {
            assert!(bad.parse::<Range>().is_err(), "{bad}");
        }
    }
}
