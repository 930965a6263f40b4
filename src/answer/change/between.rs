//! One number before and after.

use serde::Serialize;

use crate::answer::alignment::unit;
use crate::car::Shown;
use crate::motion::Measure;

/// A number before and after a change, in mm, degrees, per cent or as a plain ratio; none where there is no such number.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Between {
    /// Before.
    pub from: Option<f64>,
    /// After.
    pub to: Option<f64>,
    /// After less before, where there are both.
    pub change: Option<f64>,
}

impl Between {
    /// From two numbers. What is not finite is none.
    pub fn new(from: Option<f64>, to: Option<f64>) -> Self {
        let [from, to] = [from, to].map(|v| v.filter(|v| v.is_finite()));
        Self { from, to, change: from.zip(to).map(|(from, to)| to - from) }
    }

    /// Whether it changes by half of the last digit that tables print, or is there only once.
    pub fn changed(&self, measure: Measure) -> bool {
        let seen = 0.5 * 10f64.powi(-decimals(measure, Shown::Mm));
        self.change.map_or(self.from.is_some() != self.to.is_some(), |change| change.abs() >= seen)
    }

    /// `1420.0 to 1510.0 mm`; none where it does not change, or is there only once.
    pub fn says(&self, measure: Measure, shown: Shown) -> Option<String> {
        let (from, to) = self.from.zip(self.to).filter(|_| self.changed(measure))?;
        Some(format!("{} to {}{}", number(from, measure, shown), number(to, measure, shown), unit(measure, shown)))
    }
}

/// A number without its unit, in the reader's units.
pub(crate) fn number(value: f64, measure: Measure, shown: Shown) -> String {
    let decimals = decimals(measure, shown);
    let value = if measure == Measure::Length { shown.number(value) } else { value };
    let scale = 10f64.powi(decimals);
    // Adding zero turns a rounded "-0.0" into "0.0".
    format!("{:.*}", decimals as usize, (value * scale).round() / scale + 0.0)
}

fn decimals(measure: Measure, shown: Shown) -> i32 {
    match measure {
        Measure::Length => shown.decimals() as i32,
        Measure::Angle | Measure::Ratio => 3,
        Measure::Share => 1,
    }
}
