//! The headline facts of a car, each as its own question answers it.

use serde::Serialize;

use super::super::cut::Planned;
use super::Between;
use crate::answer::ride::AxleRide;
use crate::answer::{Lock, NoAnswer, RailCut, RideAsk, Study, Verdict};
use crate::car::{Amount, AxleName, Shown, Side};
use crate::motion::Pose;

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
    /// Front springs' rate at the wheels for small travel, of both the mean; as `ride` answers it.
    FrontRate,
    /// Rear springs' rate at the wheels.
    RearRate,
    /// Roll gradient: roll for each g of cornering.
    RollAngle,
    /// The front's share of the load transfer.
    ShiftFront,
}

impl FactName {
    /// Every fact.
    pub const ALL: [Self; 14] = [
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
        Self::FrontRate,
        Self::RearRate,
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
            Self::FrontFrequency => "front ride frequency",
            Self::RearFrequency => "rear ride frequency",
            Self::FrontRate => "front wheel rate",
            Self::RearRate => "rear wheel rate",
            Self::RollAngle => "roll gradient for each g of cornering",
            Self::ShiftFront => "front's share of the load transfer",
        }
    }

    /// The sign of what it is measured in.
    pub fn unit(self, shown: Shown) -> &'static str {
        match self {
            Self::LockLeft | Self::LockRight | Self::RollAngle => "deg",
            Self::FrontFrequency | Self::RearFrequency => "Hz",
            Self::FrontRate | Self::RearRate => Amount::Rate.sign(shown),
            Self::ShiftFront => "%",
            _ => shown.sign(),
        }
    }

    /// A number of it as it is printed, without its unit.
    pub fn told(self, number: f64, shown: Shown) -> String {
        // Adding zero takes the sign off a rounded nothing.
        let to = |ones: f64| (number * ones).round() / ones + 0.0;
        match self {
            Self::LockLeft | Self::LockRight | Self::RollAngle | Self::ShiftFront => format!("{:.1}", to(10.0)),
            Self::FrontFrequency | Self::RearFrequency => format!("{:.2}", to(100.0)),
            Self::FrontRate | Self::RearRate => Amount::Rate.cell(number, shown),
            _ => shown.cell(number),
        }
    }

    /// The least change that is told of: half of the last digit that is printed.
    fn seen(self) -> f64 {
        match self {
            Self::FrontFrequency | Self::RearFrequency => 0.005,
            // Half a pound-force an inch, the coarser one.
            Self::FrontRate | Self::RearRate => 0.088,
            _ => 0.05,
        }
    }
}

/// A fact of one car.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Fact {
    /// mm, degrees, Hz, N/mm or per cent.
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
    /// What its numbers are measured in here.
    pub unit: &'static str,
    /// Before.
    pub from: Option<Fact>,
    /// After.
    pub to: Option<Fact>,
    /// After less before, where there are both.
    pub change: Option<f64>,
}

impl FactChange {
    /// Whether it changes by as much as is printed.
    pub fn changed(&self) -> bool {
        self.change.is_none_or(|change| change.abs() >= self.name.seen())
    }

    /// `front track 1420.0 to 1510.0 mm`, and what it is about afterwards; none where it does not change.
    pub fn says(&self, shown: Shown) -> Option<String> {
        let about = self.to.as_ref().map(|f| f.about.as_str()).filter(|about| !about.is_empty());
        let about = about.map(|about| format!(" ({about})")).unwrap_or_default();
        let (from, to) = self.from.as_ref().zip(self.to.as_ref()).filter(|_| self.changed())?;
        let [from, to] = [from, to].map(|fact| self.name.told(fact.number, shown));
        Some(format!("{} {from} to {to} {}{about}", self.name.words(), self.name.unit(shown)))
    }
}

/// The facts that either car has, and how the second stands.
pub(super) fn between(from: &Study, to: &Study, proven: bool) -> Result<(Verdict, Vec<FactChange>), NoAnswer> {
    let ((_, before), (verdict, after)) = (of(from, proven)?, of(to, proven)?);
    let pick = |all: &[(FactName, Fact)], name| all.iter().find(|(n, _)| *n == name).map(|(_, fact)| fact.clone());
    let changes = FactName::ALL.into_iter().filter_map(|name| {
        let (from, to) = (pick(&before, name), pick(&after, name));
        from.as_ref().or(to.as_ref())?;
        let number = |fact: &Option<Fact>| fact.as_ref().map(|fact| fact.number);
        let change = Between::new(number(&from), number(&to)).change;
        Some(FactChange { name, unit: name.unit(Shown::Mm), from, to, change })
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
    let rate = |axle: &AxleRide| {
        let name = if axle.axle == AxleName::Front { FactName::FrontRate } else { FactName::RearRate };
        let [left, right] = [0, 1].map(|i| axle.wheels[i].heave.map(|rate| rate.whole_n_per_mm));
        Some((name, plain((left? + right?) / 2.0)))
    };
    let rates = ride.axles.iter().filter_map(rate);
    let angle = ride.roll.as_ref().and_then(|roll| Some((FactName::RollAngle, plain(roll.deg_per_g?))));
    let front = ride.roll.as_ref().map(|roll| (FactName::ShiftFront, plain(roll.front_percent)));
    ride.axles.iter().filter_map(of_axle).chain(rates).chain(angle).chain(front).collect()
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
        let about = about + &lock.but();
        let verdict = Some(if touch.is_some() { Verdict::Short } else { Verdict::Clear });
        let number = way.worst.steer_deg[way.way as usize].abs();
        facts.push((angle, Fact { number, verdict, about }));
        let plain = |number| Fact { number, verdict: None, about: String::new() };
        facts.extend(way.circle_limited_mm.map(|mm| (circle, plain(mm))));
    }
    facts
}
