//! What was found, in a sentence.

use super::ask::Wish;
use super::said::{UNTOLD, point_words};
use super::{Axis, Better, BetterCar, PointMove, Wished};
use crate::answer::alignment::unit;
use crate::answer::words::{self, Told};
use crate::car::Shown;

impl PointMove {
    /// `front tie rod, outer joint 5.2 mm up`.
    pub fn words(&self, shown: Shown) -> String {
        let ways = Axis::ALL.into_iter().zip(self.by_mm).filter(|(_, by)| *by != 0.0);
        let ways: Vec<String> =
            ways.map(|(axis, by)| format!("{} {}", fine(by.abs(), shown), axis.way(by, self.side))).collect();
        format!("{} {}", point_words(self.axle, self.side, self.point), ways.join(", "))
    }
}

/// To a digit more than a tape shows where it does not end in a tenth: what a search could not round.
fn fine(mm: f64, shown: Shown) -> String {
    let tenths = (mm * 10.0 - (mm * 10.0).round()).abs() < 1e-6;
    match shown {
        Shown::Mm if tenths => shown.length(mm),
        _ => format!("{:.*} {}", shown.decimals() + 1, shown.number(mm), shown.sign()),
    }
}

impl BetterCar {
    /// What it is among the others: `moves least`, `best in bump steer`, or what lies between.
    pub fn called(&self, wishes: &[Wish]) -> String {
        let mut said: Vec<String> = self.moves_least.then(|| "moves least".to_owned()).into_iter().collect();
        if !self.best_in.is_empty() {
            let best: Vec<String> = self.best_in.iter().map(|i| wishes[*i].what()).collect();
            said.push(format!("best in {}", best.join(" and ")));
        }
        if said.is_empty() { "between".to_owned() } else { said.join(", ") }
    }

    /// Whether its gaps are proven, a sentence.
    pub fn proof(&self) -> &'static str {
        if self.proven {
            "Every gap is proven to be kept but for 0.1 mm; of what moves, gaps to the ground are found only."
        } else {
            "Not every gap of it is proven: some are found only, so measure them on the car."
        }
    }

    /// What moves, in words: `front tie rod, outer joint 5.2 mm up`.
    pub fn moved(&self, shown: Shown) -> String {
        if self.moves.is_empty() {
            return "nothing".to_owned();
        }
        let all: Vec<String> = self.moves.iter().map(|m| m.words(shown)).collect();
        all.join("; ")
    }
}

impl Wished {
    /// Where it stands now as it is printed, without its unit: `0.049`, or `nothing to tell`.
    pub fn was_words(&self, shown: Shown) -> String {
        self.was.map_or_else(|| UNTOLD.to_owned(), |was| self.wish.number(was, shown))
    }
}

impl Better {
    /// The wishes alone.
    pub fn asked(&self) -> Vec<Wish> {
        self.wishes.iter().map(|w| w.wish).collect()
    }

    /// A number of a wish with its unit: `0.049 deg in 25 mm of bump`.
    pub fn number(&self, wish: usize, value: f64, shown: Shown) -> String {
        let wish = &self.wishes[wish].wish;
        let per = wish.per(shown).map(|per| format!(" in {per}")).unwrap_or_default();
        let number = wish.number(value, shown);
        if value.is_finite() { format!("{number}{}{per}", unit(wish.measure(), shown)) } else { number }
    }
}

impl Told for Better {
    fn sentence(&self, shown: Shown) -> String {
        let Some(car) = self.cars.first() else {
            return match (self.stopped, self.wishes.iter().find_map(|w| w.stopped_by.as_ref())) {
                (true, _) => "The search was stopped before it had proven a car.".to_owned(),
                (false, Some(why)) => {
                    format!("No car in these boxes keeps its gaps: {}.", why.words(&self.asked(), shown))
                }
                (false, None) => "No car in these boxes keeps its gaps.".to_owned(),
            };
        };
        let changed = self.wishes.iter().enumerate().map(|(i, wished)| {
            let was = wished.was_words(shown);
            format!("{} {was} to {}", wished.what, self.number(i, car.reached[i].value, shown))
        });
        let changed: Vec<String> = changed.collect();
        let failing = (0..car.reached.len()).filter(|i| !car.reached[*i].met && self.wishes[*i].wish.binds());
        let failing: Vec<usize> = failing.collect();
        if failing.is_empty() {
            if car.moves.is_empty() {
                return "Everything asked for is so already: nothing has to move.".to_owned();
            }
            let moved = words::capital(&car.moved(shown));
            return format!(
                "{moved}: {}. All that is asked for is met, and no gap is made worse than it is now.",
                changed.join("; ")
            );
        }
        let each = failing.iter().map(|i| {
            let wished = &self.wishes[*i];
            let why = wished.stopped_by.as_ref().map(|why| format!("; {}", why.words(&self.asked(), shown)));
            let (words, nearest) = (wished.wish.words(shown), self.number(*i, car.reached[*i].value, shown));
            words::capital(&format!("{words} is not to be had: {nearest} in the nearest{}.", why.unwrap_or_default()))
        });
        let each: Vec<String> = each.collect();
        let nearest = if car.moves.is_empty() { "the car as it is".to_owned() } else { car.moved(shown) };
        format!("{} The nearest: {nearest}.", each.join(" "))
    }
}
