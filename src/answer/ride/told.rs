//! The ride in words: its sentence, and what is to be known besides.

use super::{AxleRide, Manoeuvre, Ride, Roll};
use crate::answer::words::capital;
use crate::answer::{Study, Told};
use crate::car::{Amount, AxleName, Shown};

/// A given and a reckoned share of the front wheels that differ by more than this contradict each other.
const ALIKE: f64 = 0.03;

impl AxleRide {
    /// The mean of both wheels' ride frequencies, Hz.
    pub fn frequency(&self) -> Option<f64> {
        let [left, right] = [0, 1].map(|i| self.wheels[i].frequency_hz);
        Some((left? + right?) / 2.0)
    }

    /// `a spring of 62.4 N/mm (356 lbf/in) rides at 1.80 Hz in front`, or that none does.
    pub fn wish(&self, shown: Shown) -> Option<String> {
        let (hz, where_) = (self.wished_hz?, place(self.axle));
        let [left, right] = [0, 1].map(|i| self.wheels[i].wished_n_per_mm);
        let Some((left, right)) = left.zip(right) else {
            return Some(format!("no spring rides at {hz:.2} Hz {where_}"));
        };
        let rate = |n: f64| Amount::Rate.told(n, shown);
        let alike = Amount::Rate.cell(left, shown) == Amount::Rate.cell(right, shown);
        let springs = if alike {
            format!("a spring of {} rides", rate(left))
        } else {
            format!("springs of {} on the left and {} on the right ride", rate(left), rate(right))
        };
        Some(format!("{springs} at {hz:.2} Hz {where_}"))
    }
}

fn place(axle: AxleName) -> &'static str {
    match axle {
        AxleName::Front => "in front",
        AxleName::Rear => "at the rear",
    }
}

impl Told for Ride {
    fn sentence(&self, shown: Shown) -> String {
        let mut parts = Vec::new();
        let wishes: Vec<String> = self.axles.iter().filter_map(|a| a.wish(shown)).collect();
        if !wishes.is_empty() {
            return format!("{}.", capital(&wishes.join(", ")));
        }
        let ends = self.strokes.iter().find(|s| !(0.0..=100.0).contains(&s.stroke_percent));
        if let Some(end) = ends {
            let way = if end.stroke_percent > 100.0 { "closed" } else { "open" };
            parts.push(format!("{} takes the {} past {way}", end.manoeuvre.words(), end.words()));
        }
        let rides: Vec<String> =
            self.axles.iter().filter_map(|a| Some(format!("{:.2} Hz {}", a.frequency()?, place(a.axle)))).collect();
        if !rides.is_empty() {
            parts.push(format!("it rides at {}", rides.join(" and ")));
        }
        if let Some(roll) = &self.roll {
            let rolls = roll.deg_per_g.map_or_else(
                || "nothing holds it upright in a corner".to_owned(),
                |deg| format!("it rolls {deg:.2} deg for each g of cornering"),
            );
            parts.push(rolls);
            parts.push(format!("the front wheels take {:.0} % of the load that shifts", roll.front_percent));
        }
        if let Some(pitch) = &self.pitch {
            parts.push(format!("the nose pitches down {:.2} deg for each g of braking", pitch.deg_per_g));
        }
        if parts.is_empty() {
            return match self.axles.iter().any(|a| a.spring_n_per_mm.is_some()) {
                true => "Without the car's weight its wheels' rates alone are told.".to_owned(),
                false => "This car file describes no spring: add `spring: (rate: \"60 N/mm\")` to an axle.".to_owned(),
            };
        }
        format!("{}.", capital(&parts.join("; ")))
    }
}

impl Study {
    /// What is assumed, what the car file lacks, and what in it contradicts.
    pub(super) fn ride_notes(&self, axles: &[AxleRide], roll: Option<&Roll>) -> Vec<String> {
        let mut notes = Vec::new();
        let words = |of: fn(&AxleRide) -> bool| -> Option<String> {
            let names: Vec<&str> = axles.iter().filter(|a| of(a)).map(|a| a.axle.word()).collect();
            (!names.is_empty()).then(|| names.join(" and "))
        };
        if let Some(which) = words(|a| a.spring_n_per_mm.is_none()) {
            notes.push(format!(
                "The {which} axle has no spring in the car file: add `spring: (rate: \"60 N/mm\")`, or `\"340 lbf/in\"`."
            ));
        }
        if self.car.weight.is_none() {
            notes.push(
                "What the car weighs is missing: add `weight: (mass: ..., front: ...)` for frequencies, roll and pitch, and for \
                 what the springs' own force adds to the wheels' rates."
                    .to_owned(),
            );
        }
        if self.car.balance.is_none() {
            notes.push(
                "The height of the centre of gravity is missing: add `balance: (cg_height: ..., brakes_front: ...)` for roll and \
                 pitch."
                    .to_owned(),
            );
        }
        if self.gear.rear.is_none() {
            notes.push("Without a rear axle in the car file neither roll nor pitch is told.".to_owned());
        }
        if let Some(which) = words(|a| a.unsprung_kg.is_some() && a.sprung_corner_kg.is_none()) {
            notes.push(format!(
                "More hangs below the {which} springs than the axle carries: check `unsprung` and `weight`."
            ));
        }
        if let Some(which) = words(|a| a.tyre_assumed) {
            let rate = axles.iter().find(|a| a.tyre_assumed).map_or(0.0, |a| a.tyre_n_per_mm);
            let both = [Shown::Mm, Shown::In].map(|shown| Amount::Rate.told(rate, shown));
            notes.push(format!(
                "Assumed: {which} tyres of {} ({}). `tyre: (rate: ...)` says otherwise.",
                both[0], both[1]
            ));
        }
        for axle in axles.iter().filter(|a| a.unsprung_assumed) {
            let Some(kg) = axle.unsprung_kg else { continue };
            let both = [Shown::Mm, Shown::In].map(|shown| Amount::Mass.told(kg, shown));
            notes.push(format!(
                "Assumed: {} ({}) below the {} springs, both wheels. `unsprung: ...` says otherwise.",
                both[0],
                both[1],
                axle.axle.word()
            ));
        }
        let all = axles.iter().all(|a| a.spring_n_per_mm.is_some() && a.sprung_corner_kg.is_some());
        if roll.is_none() && all && axles.len() == 2 && self.car.balance.is_some() {
            notes.push(
                "Roll is not told: an axle's linkage is in line with itself at ride height, or its springs hold nothing in roll."
                    .to_owned(),
            );
        }
        let given = self.car.weight.and_then(|w| w.roll_front);
        if let Some((given, roll)) = given.zip(roll).filter(|(given, roll)| (given - roll.moment_front).abs() > ALIKE) {
            notes.push(format!(
                "`roll_front` in `weight` says that the front holds {:.0} % of what cornering shifts; springs, bars and roll \
                 centres make it {:.0} %. `loads` goes by the former: take it out to go by the latter.",
                given * 100.0,
                roll.moment_front * 100.0
            ));
        }
        if self.car.made.is_some() && self.car.balance.is_some() {
            notes.push(
                "`cg_height` counts over the ground and is the same in every proposal: where one lowers the body, a copy of the \
                 car file with the new height tells more."
                    .to_owned(),
            );
        }
        notes
    }
}

impl Ride {
    /// What a manoeuvre takes of an axle's stroke.
    pub fn stroke(&self, axle: AxleName, manoeuvre: Manoeuvre) -> Option<f64> {
        let used = self.strokes.iter().find(|s| s.axle == axle && s.manoeuvre == manoeuvre);
        used.map(|s| s.stroke_percent)
    }
}
