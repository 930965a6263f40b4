//! The brakes in words.

use super::{BrakeAsk, Braking, Sums};
use crate::answer::Told;
use crate::car::{Amount, AxleName, Car, Shown};

/// A given and a reckoned share of the front wheels that differ by more than this contradict each other.
const ALIKE: f64 = 0.01;

impl Told for Braking {
    fn sentence(&self, shown: Shown) -> String {
        let (share, locks, grip) = (self.front_percent, &self.locks, self.grip);
        let pedal = Amount::Force.told(locks.pedal_n, shown);
        let first = match locks.first {
            Some(axle) => format!("the {} wheels lock first", axle.word()),
            None => "front and rear wheels lock together".to_owned(),
        };
        let most = locks.most_g;
        let (at, grip) = (typed(self.ideal.at_g), typed(grip));
        let set = match self.ideal.balance_bar_percent {
            _ if !self.ideal.rear_stands() => format!("; at {at} g the rear wheels stand on nothing"),
            Some(bar) => format!("; ideal at {at} g would be the balance bar at {bar:.0} % front"),
            None => format!("; ideal at {at} g would be {:.0} %", self.ideal.front_percent),
        };
        format!(
            "{share:.0} % of braking is in front; on tyres that hold {grip} times their load {first}, at {most:.2} g and {pedal} \
             on the pedal{set}."
        )
    }
}

impl Braking {
    /// What locks when, what would be ideal, and what other tyres change: a sentence each.
    pub fn tells(&self, shown: Shown) -> Vec<String> {
        let (locks, ideal) = (&self.locks, &self.ideal);
        let at = |g: Option<f64>| g.map_or_else(|| "never".to_owned(), |g| format!("at {g:.2} g"));
        let lock = format!(
            "On tyres that hold {} times their load the front wheels lock {}, the rear ones {}: {:.0} % of the grip is used.",
            typed(self.grip),
            at(locks.at_g[0]),
            at(locks.at_g[1]),
            locks.efficiency_percent
        );
        let mut says = format!("At {} g {:.1} % in front is ideal", typed(ideal.at_g), ideal.front_percent);
        if let Some((bar, pair)) = ideal.balance_bar_percent.zip(ideal.bores) {
            let [front, rear] = [pair.front_mm, pair.rear_mm].map(|mm| bore(mm, shown));
            says += &format!(
                ": the balance bar at {bar:.1} % front, or cylinders of {front} (front) and {rear} (rear) with it at {:.1} %, for \
                 {:.2} times the pedal force of that bar",
                pair.balance_bar_percent, pair.foot_ratio
            );
        }
        let change = self.says_change(shown).map(|said| format!("From as found: {said}."));
        let says = ideal.rear_stands().then(|| says + ".");
        [lock].into_iter().chain(says).chain(change).collect()
    }

    /// `tyre radius in front 244.6 to 269.1 mm; braking in front 66.0 to 66.0 %; ...`: what other tyres change.
    pub fn says_change(&self, shown: Shown) -> Option<String> {
        let change = self.change.as_ref()?;
        let both = |of: &crate::answer::change::Between, tell: &dyn Fn(f64) -> String| {
            let (from, to) = of.from.zip(of.to)?;
            Some(format!("{} to {}", tell(from), tell(to)))
        };
        let mut parts = Vec::new();
        for (axle, radius) in AxleName::BOTH.into_iter().zip(&change.tyre_radius_mm) {
            let said = both(radius, &|mm| shown.cell(mm))?;
            parts.push(format!("{} tyre radius {said} {}", axle.word(), shown.sign()));
        }
        parts.push(format!("braking in front {} %", both(&change.front_percent, &|v| format!("{v:.1}"))?));
        let pedal = Amount::Force.told(self.pedal_n, shown);
        parts.push(format!("{} g at {pedal} on the pedal", both(&change.decel_g, &|v| format!("{v:.2}"))?));
        parts.push(format!("{} g before a wheel locks", both(&change.most_g, &|v| format!("{v:.2}"))?));
        Some(parts.join("; "))
    }
}

/// A grip or a deceleration as it was typed: to tenths, or to hundredths where it is no whole tenth.
fn typed(value: f64) -> String {
    let hundredths = format!("{value:.2}");
    hundredths.strip_suffix('0').map_or(hundredths.clone(), str::to_owned)
}

/// A bore with its unit.
fn bore(mm: f64, shown: Shown) -> String {
    format!("{} {}", bore_cell(mm, shown), shown.sign())
}

/// A bore as a table's cell: they are sold in inches to the thousandth, and in millimetres to the hundredth.
pub fn bore_cell(mm: f64, shown: Shown) -> String {
    match shown {
        Shown::Mm => format!("{mm:.2}"),
        Shown::In => format!("{:.3}", shown.number(mm)),
    }
}

/// What in the car file contradicts, and what else is to be known.
pub(super) fn notes(car: &Car, ask: &BrakeAsk, sums: &Sums) -> Vec<String> {
    let mut notes = Vec::new();
    let given = car.balance.and_then(|b| b.brakes_front);
    if let Some(given) = given.filter(|given| (given - sums.share()).abs() > ALIKE) {
        notes.push(format!(
            "`brakes_front` in `balance` says that {:.0} % of braking is in front; these brakes make it {:.0} %. Loads and \
             anti-dive go by the former: take it out to go by the latter.",
            given * 100.0,
            sums.share() * 100.0
        ));
    }
    if sums.stands(ask.at)[1] <= 0.0 {
        notes.push(format!("At {} g the rear wheels stand on nothing: check `cg_height` and `front`.", typed(ask.at)));
    }
    notes
}
