//! What a proposal changes: every number of each axle before and after, the headline facts, and the points that move.
//!
//! Nothing is computed here that another question answers: numbers and rates are [`Alignment`]'s, facts those of gaps, lock,
//! cut and wheels, each asked of both cars. [`Growth`] and [`SteerFix`] make cars to compare.

mod between;
mod bump_steer;
mod facts;
mod grow;
mod moved;
mod remade;

use serde::Serialize;

use super::words::{self, Told};
use super::{Alignment, NoAnswer, Study, Verdict, alignment};
use crate::car::{AxleName, Car, CarError, Shown, Side};
use crate::motion::{Along, Measure, Quantity};

pub use between::Between;
pub use bump_steer::{BumpSteer, RodEnd, SteerAim, SteerFix};
pub use facts::{Fact, FactChange, FactName};
pub use grow::{ArmAxis, Grow, GrownPart, Growth, Leg};
pub use moved::{MovedPoint, PartChange, PartFate};
pub use remade::{Remade, Remake};

/// Stands where arms are made longer.
pub const CAUTION: &str = "Longer arms load pickups, joints and tubes more, and a spacer bends its bolt: ask `scribeline loads`, follow \
                           the rule book of your class and the law of the road, and have steering and suspension parts judged by \
                           a licensed engineer.";

/// What the car as found is called.
const FOUND: &str = "as found";
/// What a car is called that was made for the comparison and is in no file.
pub const UNWRITTEN: &str = "as made";

/// One car against another: as found against a proposal, say.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Comparison {
    /// Of the changed car: the worst of its gaps, lock and cut.
    pub verdict: Verdict,
    /// The car that it is compared with: `as found`, or a proposal's name.
    pub from: String,
    /// The changed car.
    pub to: String,
    /// The motion that rates are taken along.
    pub along: Along,
    /// Rates are for so much of it, in mm or degrees; in the inches shown where those were asked for.
    pub rate_per: f64,
    /// The axles that are described, front first.
    pub axles: Vec<AxleChange>,
    /// Tracks, gaps, lock, cut and ride.
    pub facts: Vec<FactChange>,
    /// Points of the axles that are not where they were, body frame.
    pub moved: Vec<MovedPoint>,
    /// Rails, panels, scans, tubes, blocks and splitter that are other than they were.
    pub parts: Vec<PartChange>,
    /// What else is to be known of the changed car, of scans.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub notes: Vec<String>,
}

/// An axle's numbers before and after.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AxleChange {
    /// The axle.
    pub axle: AxleName,
    /// Its numbers, in the order of [`Quantity::ALL`].
    pub numbers: Vec<NumberChange>,
}

/// A number before and after.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct NumberChange {
    /// Which.
    pub quantity: Quantity,
    /// What it is measured in: mm, degrees, per cent or a plain ratio.
    pub measure: Measure,
    /// At ride height, left and right wheel. What belongs to the axle is the same in both.
    pub value: [Between; 2],
    /// Its change for [`Comparison::rate_per`], left and right wheel.
    pub rate: [Between; 2],
}

/// What stops a comparison or a grown car.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NoChange {
    /// The change cannot be made.
    #[error("{0}")]
    Car(#[from] CarError),
    /// A car cannot be asked.
    #[error("{0}")]
    NoAnswer(#[from] NoAnswer),
}

impl NumberChange {
    /// Whether it changes by as much as can be read off a table.
    pub fn changed(&self) -> bool {
        self.value.iter().chain(&self.rate).any(|between| between.changed(self.measure))
    }

    /// The wheels that it is told of, with their word: both in one where they read the same.
    pub fn wheels(&self, shown: Shown) -> Vec<(&'static str, Side)> {
        if self.quantity.of_axle() {
            return vec![("", Side::Left)];
        }
        let printed = |b: &Between| [b.from, b.to].map(|v| v.map(|v| words::cell(v, self.measure, shown)));
        let alike = |b: &[Between; 2]| printed(&b[0]) == printed(&b[1]);
        if alike(&self.value) && alike(&self.rate) {
            vec![("both", Side::Left)]
        } else {
            Side::BOTH.map(|side| (side.word(), side)).to_vec()
        }
    }
}

impl Comparison {
    /// A car against another, as searched: fast enough while a point is dragged.
    ///
    /// # Errors
    /// [`NoAnswer`] where an axle cannot be asked for its numbers.
    pub fn new(from: &Study, to: &Study, along: Along, shown: Shown) -> Result<Self, NoAnswer> {
        Self::between(from, to, along, shown, false)
    }

    /// The same with gaps, lock and cut proven: seconds for a whole car.
    ///
    /// # Errors
    /// As [`Comparison::new`].
    pub fn proven(from: &Study, to: &Study, along: Along, shown: Shown) -> Result<Self, NoAnswer> {
        [from, to].into_iter().for_each(|study| study.prove(|| false));
        Self::between(from, to, along, shown, true)
    }

    fn between(from: &Study, to: &Study, along: Along, shown: Shown, proven: bool) -> Result<Self, NoAnswer> {
        let (_, rate_per, _) = alignment::step(along, shown);
        let mut axles = Vec::new();
        for name in AxleName::BOTH.into_iter().filter(|name| to.gear.axle(*name).is_some()) {
            let [before, after] = [from, to].map(|study| study.alignment(name, along, None, shown));
            axles.push(AxleChange { axle: name, numbers: numbers(&before?, &after?) });
        }
        let (verdict, facts) = facts::between(from, to, proven)?;
        let called = |study: &Study| study.car.made.clone().unwrap_or_else(|| FOUND.to_owned());
        Ok(Self {
            verdict,
            from: called(from),
            to: called(to),
            along,
            rate_per,
            axles,
            facts,
            moved: moved::points(&from.car, &to.car),
            parts: moved::parts(&from.car, &to.car),
            notes: held_otherwise(&from.car, &to.car)
                .chain(to.notes.iter().cloned())
                .chain(to.same_height().or_else(|| from.same_height()))
                .collect(),
        })
    }

    /// The same without the numbers that nothing changes.
    pub fn only_changed(mut self) -> Self {
        self.axles.iter_mut().for_each(|axle| axle.numbers.retain(NumberChange::changed));
        self.facts.retain(FactChange::changed);
        self
    }

    /// A number of an axle.
    pub fn number(&self, axle: AxleName, quantity: Quantity) -> Option<&NumberChange> {
        let axle = self.axles.iter().find(|a| a.axle == axle)?;
        axle.numbers.iter().find(|n| n.quantity == quantity)
    }

    /// A fact.
    pub fn fact(&self, name: FactName) -> Option<&FactChange> {
        self.facts.iter().find(|fact| fact.name == name)
    }

    /// The facts that are read first, in a sentence: for a place that has no room for [`Told::sentence`].
    pub fn in_short(&self, shown: Shown) -> String {
        let says = |name| self.fact(name).and_then(|fact| fact.says(shown));
        let track = says(FactName::FrontTrack).or_else(|| says(FactName::RearTrack));
        let room = says(FactName::ToCut).or_else(|| says(FactName::GapInHand));
        let told: Vec<String> = [track, says(self.worse_lock()), room].into_iter().flatten().collect();
        match told.is_empty() {
            true => self.sentence(shown),
            false => format!("{}.", words::capital(&told.join("; "))),
        }
    }

    /// The way in which the changed car steers less.
    fn worse_lock(&self) -> FactName {
        let then = |name| self.fact(name).and_then(|fact| fact.to.as_ref()).map_or(f64::INFINITY, |fact| fact.number);
        if then(FactName::LockRight) < then(FactName::LockLeft) { FactName::LockRight } else { FactName::LockLeft }
    }

    /// What changes at an axle, in a few words each, of the wheel where it changes more: `bump steer -0.02 to 0.11 deg`.
    fn of_axle(&self, name: AxleName, shown: Shown) -> Vec<String> {
        let says = |sides: &[Between; 2], measure, words: &str| {
            let by = |between: &Between| between.change.unwrap_or(0.0).abs();
            let more = if by(&sides[1]) > by(&sides[0]) { Side::Right } else { Side::Left };
            let said = sides[more as usize].says(measure, shown)?;
            // A car's middle has no wheel, and where both do the same one stands for both.
            let other = &sides[more.other() as usize];
            let alone = other.from.is_some() && other.says(measure, shown).as_deref() != Some(&said);
            Some(if alone { format!("{} {words} {said}", more.word()) } else { format!("{words} {said}") })
        };
        let value = |quantity: Quantity| {
            let number = self.number(name, quantity)?;
            says(&number.value, number.measure, quantity.words())
        };
        let rate = |quantity: Quantity, words: &str| {
            let number = self.number(name, quantity).filter(|_| self.along == Along::Travel)?;
            says(&number.rate, number.measure, words)
        };
        let told = [
            rate(Quantity::Camber, "camber gain"),
            rate(Quantity::Toe, "bump steer"),
            value(Quantity::RollCentreHeight),
            value(Quantity::MotionRatio),
        ];
        told.into_iter().flatten().collect()
    }
}

/// What makes gaps, lock and cut other than they were without a part that is moved.
fn held_otherwise(from: &Car, to: &Car) -> impl Iterator<Item = String> {
    let wanted = (from.wanted != to.wanted).then_some("The two are held to different wanted gaps.");
    let sweep = (from.sweep != to.sweep).then_some("The two are swept through different travel.");
    wanted.into_iter().chain(sweep).map(str::to_owned)
}

/// The numbers that either has.
fn numbers(before: &Alignment, after: &Alignment) -> Vec<NumberChange> {
    let each = |quantity: Quantity| {
        let [from, to] = [before, after].map(|all| all.numbers.iter().find(|n| n.quantity == quantity));
        let side = |i: usize, pick: fn(alignment::Sure) -> f64| {
            let number = |n: Option<&alignment::Number>| n.and_then(|n| n.sides[i]).map(pick);
            Between::new(number(from), number(to))
        };
        from.or(to)?;
        Some(NumberChange {
            quantity,
            measure: quantity.measure(),
            value: [0, 1].map(|i| side(i, |s| s.value)),
            rate: [0, 1].map(|i| side(i, |s| s.rate)),
        })
    };
    Quantity::ALL.iter().copied().filter_map(each).collect()
}

impl Told for Comparison {
    fn sentence(&self, shown: Shown) -> String {
        let called = |name: &str| match name {
            FOUND | UNWRITTEN => name.to_owned(),
            proposal => format!("\"{proposal}\""),
        };
        let tracks = [FactName::FrontTrack, FactName::RearTrack].into_iter().filter_map(|f| self.fact(f)?.says(shown));
        let mut told: Vec<String> = tracks.collect();
        for axle in AxleName::BOTH {
            let numbers = self.of_axle(axle, shown);
            if !numbers.is_empty() {
                told.push(format!("at the {} {}", axle.word(), numbers.join(", ")));
            }
        }
        let others = [FactName::GapInHand, self.worse_lock(), FactName::ToCut];
        told.extend(others.into_iter().filter_map(|f| self.fact(f)?.says(shown)));
        let (from, to) = (called(&self.from), called(&self.to));
        if told.is_empty() {
            let stays = !self.axles.iter().any(|axle| axle.numbers.iter().any(NumberChange::changed));
            return if stays && !self.facts.iter().any(FactChange::changed) {
                format!("From {from} to {to} no number changes.")
            } else {
                format!(
                    "From {from} to {to} tracks, camber gain, bump steer, gaps and lock stay; other numbers change."
                )
            };
        }
        let (_, _, per) = alignment::step(self.along, shown);
        let rates = if told.iter().any(|t| t.contains("bump steer") || t.contains("camber gain")) {
            format!(" Camber gain and bump steer are for {per}.")
        } else {
            String::new()
        };
        words::capital(&format!("from {from} to {to}: {}.{rates}", told.join("; ")))
    }
}
