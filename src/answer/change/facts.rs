//! The headline facts of a car, each as its own question answers it.

use serde::Serialize;

use super::super::cut::Planned;
use super::Between;
use crate::answer::alignment::unit;
use crate::answer::ride::AxleRide;
use crate::answer::{Lock, NoAnswer, RailCut, RideAsk, Study, Verdict};
use crate::car::{AxleName, Shown, Side};
use crate::motion::{Measure, Pose};

/// Which fact.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum FactName {
    /// Between the front contact centres at ride height.
    FrontTrack,
    /// Between the rear contact centres at ride height.
    RearTrack,
    /// What is left over the wanted gap, of the pair that has the least left in the sweep; negative where it is short.
    GapInHand,
    /// The inner wheel's angle steering left, before the first touch or at the stop, worst of the travel.
    LockLeft,
    /// The same steering right.
    LockRight,
    /// Turning circle kerb to kerb there, to the left.
    CircleLeft,
    /// The same to the right.
    CircleRight,
    /// Length of rail that lies in the tyres' keep-out, all rails together.
    ToCut,
    /// Front ride frequency, Hz, of both wheels the mean; as `ride` answers it, and so the next three.
    FrontFrequency,
    /// Rear ride frequency, Hz.
    RearFrequency,
    /// Roll gradient: roll for each g of cornering.
    RollAngle,
    /// The front's share of the load transfer.
    ShiftFront,
}

impl FactName {
    /// Every fact.
    pub const ALL: [Self; 12] = [
        Self::FrontTrack,
        Self::RearTrack,
        Self::GapInHand,
        Self::LockLeft,
        Self::LockRight,
        Self::CircleLeft,
        Self::CircleRight,
        Self::ToCut,
        Self::FrontFrequency,
        Self::RearFrequency,
        Self::RollAngle,
        Self::ShiftFront,
    ];

    /// As it is spoken.
    pub fn words(self) -> &'static str {
        match self {
            Self::FrontTrack => "front track",
            Self::RearTrack => "rear track",
            Self::GapInHand => "least gap over what is wanted",
            Self::LockLeft => "lock to the left",
            Self::LockRight => "lock to the right",
            Self::CircleLeft => "turning circle to the left",
            Self::CircleRight => "turning circle to the right",
            Self::ToCut => "rail in the tyres' way",
            Self::FrontFrequency => "front ride frequency in Hz",
            Self::RearFrequency => "rear ride frequency in Hz",
            Self::RollAngle => "roll gradient for each g of cornering",
            Self::ShiftFront => "front's share of the load transfer",
        }
    }

    /// What it is measured in.
    pub fn measure(self) -> Measure {
        match self {
            Self::LockLeft | Self::LockRight | Self::RollAngle => Measure::Angle,
            Self::FrontFrequency | Self::RearFrequency => Measure::Ratio,
            Self::ShiftFront => Measure::Share,
            _ => Measure::Length,
        }
    }
}

/// A fact of one car.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Fact {
    /// mm, degrees, Hz or per cent.
    pub number: f64,
    /// How it stands against what was asked for, where that was asked.
    pub verdict: Option<Verdict>,
    /// Which parts it is about; empty where that is plain.
    pub about: String,
}

/// A fact before and after. None where a car has no such thing.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FactChange {
    /// Which.
    pub name: FactName,
    /// What it is measured in.
    pub measure: Measure,
    /// Before.
    pub from: Option<Fact>,
    /// After.
    pub to: Option<Fact>,
    /// After less before, where there are both.
    pub change: Option<f64>,
}

impl FactChange {
    /// Before and after.
    pub fn between(&self) -> Between {
        Between::new(self.from.as_ref().map(|f| f.number), self.to.as_ref().map(|f| f.number))
    }

    /// Whether it changes by as much as is printed.
    pub fn changed(&self) -> bool {
        match self.measure {
            Measure::Angle => self.change.is_none_or(|change| change.abs() >= 0.05),
            Measure::Ratio => self.change.is_none_or(|change| change.abs() >= 0.005),
            _ => self.between().changed(self.measure),
        }
    }

    /// A number of it as it is printed, without its unit: angles to a tenth of a degree.
    pub fn told(&self, number: f64, shown: Shown) -> String {
        match self.measure {
            Measure::Angle | Measure::Share => format!("{:.1}", (number * 10.0).round() / 10.0 + 0.0),
            Measure::Ratio => format!("{:.2}", (number * 100.0).round() / 100.0 + 0.0),
            Measure::Length => shown.cell(number),
        }
    }

    /// `front track 1420.0 to 1510.0 mm`, and what it is about afterwards; none where it does not change.
    pub fn says(&self, shown: Shown) -> Option<String> {
        let about = self.to.as_ref().map(|f| f.about.as_str()).filter(|about| !about.is_empty());
        let about = about.map(|about| format!(" ({about})")).unwrap_or_default();
        let (from, to) = self.from.as_ref().zip(self.to.as_ref()).filter(|_| self.changed())?;
        let [from, to] = [from, to].map(|fact| self.told(fact.number, shown));
        Some(format!("{} {from} to {to}{}{about}", self.name.words(), unit(self.measure, shown)))
    }
}

/// The facts that either car has, and how the second stands.
pub(super) fn between(from: &Study, to: &Study, proven: bool) -> Result<(Verdict, Vec<FactChange>), NoAnswer> {
    let ((_, before), (verdict, after)) = (of(from, proven)?, of(to, proven)?);
    let pick = |all: &[(FactName, Fact)], name| all.iter().find(|(n, _)| *n == name).map(|(_, fact)| fact.clone());
    let changes = FactName::ALL.into_iter().filter_map(|name| {
        let (from, to) = (pick(&before, name), pick(&after, name));
        from.as_ref().or(to.as_ref())?;
        let fact = FactChange { name, measure: name.measure(), from, to, change: None };
        Some(FactChange { change: fact.between().change, ..fact })
    });
    Ok((verdict, changes.collect()))
}

/// The facts of a car, and the worst of its gaps, lock and cut.
fn of(study: &Study, proven: bool) -> Result<(Verdict, Vec<(FactName, Fact)>), NoAnswer> {
    let mut facts = Vec::new();
    for axle in study.wheels(None).axles {
        let name = if axle.axle == AxleName::Front { FactName::FrontTrack } else { FactName::RearTrack };
        let track = axle.track_mm.map(|number| Fact { number, verdict: None, about: String::new() });
        facts.extend(track.map(|track| (name, track)));
    }
    let gaps = study.gaps(&Pose::default())?;
    if let Some(pair) = gaps.pairs.first() {
        let about = format!("{}, {}", pair.a, pair.b);
        facts.push((FactName::GapInHand, Fact { number: pair.in_hand(), verdict: Some(pair.verdict), about }));
    }
    let lock = if proven { study.proven_lock() } else { study.lock() };
    if lock.stop_mm > 0.0 {
        facts.extend(steering(&lock));
    }
    let cut = if proven { study.proven_cut_with(Planned::None) } else { study.cut() };
    if !study.car.rails.is_empty() {
        // Of the rail that has most in the way: the other side's is sawn alike.
        let length = |rail: &RailCut| rail.to_clear_mm.iter().map(|[from, to]| to - from).sum::<f64>();
        let most = cut.rails.iter().max_by(|a, b| length(a).total_cmp(&length(b)));
        let (number, about) = most.map_or((0.0, String::new()), |rail| (length(rail), rail.rail.clone()));
        facts.push((FactName::ToCut, Fact { number, verdict: Some(cut.verdict), about }));
    }
    facts.extend(riding(study));
    Ok((gaps.verdict.max(lock.verdict).max(cut.verdict), facts))
}

fn riding(study: &Study) -> Vec<(FactName, Fact)> {
    let ride = study.ride(&RideAsk::default());
    let plain = |number| Fact { number, verdict: None, about: String::new() };
    let of_axle = |axle: &AxleRide| {
        let name = if axle.axle == AxleName::Front { FactName::FrontFrequency } else { FactName::RearFrequency };
        Some((name, plain(axle.frequency()?)))
    };
    let angle = ride.roll.as_ref().and_then(|roll| Some((FactName::RollAngle, plain(roll.deg_per_g?))));
    let front = ride.roll.as_ref().map(|roll| (FactName::ShiftFront, plain(roll.front_percent)));
    ride.axles.iter().filter_map(of_axle).chain(angle).chain(front).collect()
}

fn steering(lock: &Lock) -> Vec<(FactName, Fact)> {
    let mut facts = Vec::new();
    for way in &lock.ways {
        let [angle, circle] = match way.way {
            Side::Left => [FactName::LockLeft, FactName::CircleLeft],
            Side::Right => [FactName::LockRight, FactName::CircleRight],
        };
        let touch = way.worst.touch.as_ref();
        let about = touch.map_or_else(|| "the steering's own stop".to_owned(), |t| format!("{}, {}", t.a, t.b));
        let verdict = Some(if touch.is_some() { Verdict::Short } else { Verdict::Clear });
        let number = way.worst.steer_deg[way.way as usize].abs();
        facts.push((angle, Fact { number, verdict, about }));
        let plain = |number| Fact { number, verdict: None, about: String::new() };
        facts.extend(way.circle_limited_mm.map(|mm| (circle, plain(mm))));
    }
    facts
}
