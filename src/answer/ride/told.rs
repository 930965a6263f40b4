//! The ride in words: its sentence, and what is to be known besides.

use super::{AxleRide, Manoeuvre, Pitch, Ride, Roll, StrokeEnd};
use crate::answer::words::capital;
use crate::answer::{Study, Told};
use crate::car::units::GRAVITY;
use crate::car::{Amount, AxleName, Hub, Shown};

/// Why a spring's force is not the same in `ride` and in `loads`.
pub(in crate::answer) const CARRIES: &str = "`ride` leaves what hangs below the springs off a spring's force; `loads` \
                                             has each wheel's whole load on it, so there a spring and what it stands on \
                                             carry more at rest.";

/// A given and a reckoned share of the front wheels that differ by more than this contradict each other.
const ALIKE: f64 = 0.03;

impl AxleRide {
    /// The mean of both wheels' ride frequencies, Hz.
    pub fn frequency(&self) -> Option<f64> {
        let [left, right] = [0, 1].map(|i| self.wheels[i].frequency_hz);
        Some((left? + right?) / 2.0)
    }

    /// Whether no spring rides at the wished frequency; that it cannot be told without the car's weight is not that.
    pub(super) fn wishes_in_vain(&self) -> bool {
        let none = self.wheels.iter().any(|w| w.wished_n_per_mm.is_none());
        self.wished_hz.is_some() && self.sprung_corner_kg.is_some() && none
    }

    /// `a spring of 62.4 N/mm (356 lbf/in) rides at 1.80 Hz in front`, or that none does.
    pub fn wish(&self, shown: Shown) -> Option<String> {
        let (hz, where_) = (self.wished_hz?, place(self.axle));
        if self.sprung_corner_kg.is_none() {
            return Some(format!("without the weight on its springs none can be told for {hz:.2} Hz {where_}"));
        }
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

    /// The change that fits the spring for the wished frequency, on both sides the mean of what each side asks for.
    pub fn fitting(&self, shown: Shown) -> Option<String> {
        let [left, right] = [0, 1].map(|i| self.wheels[i].wished_n_per_mm);
        let rate = Amount::Rate.told((left? + right?) / 2.0, shown);
        let fit = format!("fit_spring(rate: \"{rate}\")");
        Some(if self.axle == AxleName::Rear { format!("rear({fit})") } else { fit })
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
            let now = self.cause().map_or_else(String::new, |cause| format!("; as it is, {cause}"));
            return format!("{}{now}.", capital(&wishes.join(", ")));
        }
        parts.extend(self.cause());
        let rides: Vec<String> =
            self.axles.iter().filter_map(|a| Some(format!("{:.2} Hz {}", a.frequency()?, place(a.axle)))).collect();
        if !rides.is_empty() {
            parts.push(format!("it rides at {}", rides.join(" and ")));
        }
        if let Some(roll) = &self.roll {
            parts.extend(roll.deg_per_g.map(|deg| format!("it rolls {deg:.2} deg for each g of cornering")));
            parts.push(format!("the front has {:.0} % of the load transfer", roll.front_percent));
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
    pub(super) fn ride_notes(&self, axles: &[AxleRide], roll: Option<&Roll>, pitch: Option<&Pitch>) -> Vec<String> {
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
                "`roll_front` in `weight` says that the front's share of the roll moment is {:.0} %; springs, bars and roll \
                 centres make it {:.0} %. `loads` goes by the former: take it out to go by the latter.",
                given * 100.0,
                roll.moment_front * 100.0
            ));
        }
        notes.extend(axles.iter().filter_map(|axle| lifts(axle, roll?, pitch)));
        notes.extend(self.same_height());
        if axles.iter().any(|a| a.wheels[0].spring_force_n.is_some()) {
            notes.push(CARRIES.to_owned());
        }
        notes
    }

    /// That a proposal's centre of gravity is as high as found, where roll and pitch are told of it.
    pub(in crate::answer) fn same_height(&self) -> Option<String> {
        (self.car.made.is_some() && self.car.balance.is_some()).then(|| {
            "`cg_height` counts over the ground and is the same in every proposal: where one lowers the body, a copy of the \
             car file with the new height tells more of roll, load transfer and pitch."
                .to_owned()
        })
    }
}

/// That an axle's inner wheel has no more on it than one g shifts, in the first manoeuvre in which it is so.
fn lifts(axle: &AxleRide, roll: &Roll, pitch: Option<&Pitch>) -> Option<String> {
    let stands = (axle.sprung_corner_kg? + axle.unsprung_kg? / 2.0) * GRAVITY;
    let transfer = roll.axles.iter().find(|a| a.axle == axle.axle)?.transfer;
    let corners = transfer.whole_n + transfer.leaning_n;
    let brakes = pitch.map_or(0.0, |p| if axle.axle == AxleName::Rear { p.shift_n } else { -p.shift_n }) / 2.0;
    let all = [(Manoeuvre::Cornering, corners), (Manoeuvre::Braking, brakes), (Manoeuvre::Both, corners + brakes)];
    let (manoeuvre, shifts) = all.into_iter().find(|(_, shifts)| *shifts > stands)?;
    let [stands, shifts] = [stands, shifts]
        .map(|n| format!("{} ({})", Amount::Force.told(n, Shown::Mm), Amount::Force.told(n, Shown::In)));
    let wheel = if manoeuvre == Manoeuvre::Braking { "wheels leave" } else { "inner wheel leaves" };
    Some(format!(
        "At {} the {} {wheel} the ground: {shifts} would shift off a wheel that stands on {stands}. Roll, pitch and strokes \
         are told as if it stayed down.",
        manoeuvre.words(),
        axle.axle.word()
    ))
}

impl Ride {
    /// Why it is short, but for a wish.
    pub(super) fn cause(&self) -> Option<String> {
        let heavy = self.axles.iter().find(|a| a.unsprung_kg.is_some() && a.sprung_corner_kg.is_none());
        if let Some(axle) = heavy {
            return Some(format!("more hangs below the {} springs than the axle carries", axle.axle.word()));
        }
        for axle in &self.axles {
            let falls = axle.wheels.iter().zip(axle.bar_n_per_mm).find(|(wheel, bar)| wheel.falls(*bar));
            if let Some((wheel, _)) = falls {
                let hub = Hub { axle: axle.axle, side: wheel.side }.words();
                return Some(format!("nothing holds the {hub} wheel: its spring's force pushes it on as it moves"));
            }
        }
        if self.roll.as_ref().is_some_and(|roll| roll.deg_per_g.is_none()) {
            return Some("nothing holds it upright in a corner".to_owned());
        }
        let end = self.strokes.iter().find(|s| s.ends())?;
        let takes = end.manoeuvre.words();
        Some(match end.stroke_percent {
            Some(_) if end.manoeuvre == Manoeuvre::Standing => {
                format!("the {} stands past {}", end.words(), end.towards.word())
            }
            Some(_) => format!("{takes} takes the {} past {}", end.words(), end.towards.word()),
            None => format!("{takes} takes the {} wheels further than the linkage reaches", end.axle.word()),
        })
    }

    /// What a manoeuvre takes of an axle's dampers, of the one that comes nearest to an end.
    pub fn stroke_use(&self, axle: AxleName, manoeuvre: Manoeuvre, towards: StrokeEnd) -> Option<&super::StrokeUse> {
        self.strokes.iter().find(|s| s.axle == axle && s.manoeuvre == manoeuvre && s.towards == towards)
    }

    /// What a manoeuvre takes of an axle's stroke, of the damper that it closes most, per cent.
    pub fn stroke(&self, axle: AxleName, manoeuvre: Manoeuvre) -> Option<f64> {
        self.stroke_use(axle, manoeuvre, StrokeEnd::Closed)?.stroke_percent
    }
}
