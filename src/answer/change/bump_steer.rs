//! The height of the tie rod's outer end at which a changed axle steers in bump as it did, or not at all.
//!
//! The rate of toe with travel is the core's own derivative at ride height. Each side is asked by itself, for the toe of an
//! upright on its own arms is no business of the other's. The height is looked for outward from where it is, in steps, and
//! where the rate passes what is wanted, by halving.

use nalgebra::Vector3;
use serde::Serialize;

use super::NoChange;
use crate::answer::springs::bisect;
use crate::answer::words::{self, Told};
use crate::answer::{NoAnswer, alignment};
use crate::car::{AxleName, Car, Change, Hub, PointName, Shown, Side, Sides};
use crate::motion::change::Brought;
use crate::motion::{Along, Frame, OutOfReach, Quantity, RunningGear};

/// Rod ends are not looked for further from where they are than this, mm: beyond it a stack of spacers bends its bolt
/// (common practice, no source).
pub const FURTHEST: f64 = 60.0;
/// The steps of the search, mm.
const STEP: f64 = 2.0;
/// A rate this near to what is wanted is met, rad/mm: a ten-thousandth of a degree in 25 mm is 7e-8.
const MET: f64 = 7e-8;

/// What the bump steer is to be.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum SteerAim {
    /// As it was before the change.
    AsBefore,
    /// None at ride height.
    Nothing,
}

impl SteerAim {
    /// Both of them.
    pub const ALL: [Self; 2] = [Self::AsBefore, Self::Nothing];

    /// As a command names it.
    pub fn name(self) -> &'static str {
        match self {
            Self::AsBefore => "before",
            Self::Nothing => "none",
        }
    }
}

/// Tie rods' outer ends put where an axle steers in bump as is wanted.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SteerFix {
    /// The axle.
    pub axle: AxleName,
    /// What was wanted.
    pub aim: SteerAim,
    /// Bump steer is told for so much travel each way.
    pub reach_mm: f64,
    /// Left and right.
    pub ends: [RodEnd; 2],
}

/// A tie rod's outer end.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct RodEnd {
    /// Its side.
    pub side: Side,
    /// How much higher it goes on the upright, along the car's z; negative is lower.
    pub raise_mm: f64,
    /// Whether the rate there is the one that was wanted; where not, it is the nearest within 60 mm.
    pub met: bool,
    /// The rate that was wanted, degrees in [`SteerFix::reach_mm`] of bump.
    pub wanted_deg: f64,
    /// Before the end is moved.
    pub before: BumpSteer,
    /// After.
    pub after: BumpSteer,
}

/// What a wheel's toe does in bump and droop, toe-in positive.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct BumpSteer {
    /// The rate at ride height, degrees in [`SteerFix::reach_mm`] of bump.
    pub rate_deg: f64,
    /// Toe against ride height at full reach of droop; none where the linkage ends before.
    pub droop_deg: Option<f64>,
    /// The same of bump.
    pub bump_deg: Option<f64>,
    /// What no height of the rod's end takes away: the mean of the two, the curve's bend over the reach.
    pub bend_deg: Option<f64>,
}

/// A car whose rod end is moved up and down.
struct Trial<'a> {
    car: &'a Car,
    axle: AxleName,
    side: Side,
}

impl Trial<'_> {
    fn car(&self, raise: f64) -> Car {
        let mut car = self.car.clone();
        let sides = if self.side == Side::Left { Sides::Left } else { Sides::Right };
        if let Some(axle) = car.axle_mut(self.axle) {
            axle.set_point(sides, PointName::TieRodOuter, |p| p + Vector3::new(0.0, 0.0, raise));
        }
        car
    }

    /// Toe with travel at ride height, rad/mm. None where the car cannot stand.
    fn rate(&self, raise: f64) -> Option<f64> {
        rate(&self.car(raise), self.axle, self.side).ok()
    }

    /// The height nearest to nought at which the rate is `wanted`, and whether it is met.
    fn height(&self, wanted: f64) -> Result<(f64, bool), NoAnswer> {
        let over = |raise: f64| self.rate(raise).map(|rate| rate - wanted);
        let at = rate(self.car, self.axle, self.side)? - wanted;
        if at.abs() < MET {
            return Ok((0.0, true));
        }
        let (mut last, mut best) = ([Some(at); 2], (0.0, at.abs()));
        for step in 1..=(FURTHEST / STEP) as i32 {
            for (way, last) in [1.0, -1.0].into_iter().zip(&mut last) {
                let (near, far) = (way * STEP * f64::from(step - 1), way * STEP * f64::from(step));
                let there = over(far);
                if let (Some(here), Some(there)) = (*last, there)
                    && here * there <= 0.0
                {
                    let raise = written(bisect(near, far, |h| over(h).is_none_or(|v| v * here <= 0.0)));
                    // A rate can also change sign where the linkage comes into a toggle.
                    if over(raise).is_some_and(|left| left.abs() <= 0.01 * (here.abs() + there.abs())) {
                        return Ok((raise, true));
                    }
                }
                *last = there;
                if let Some(v) = there.map(f64::abs).filter(|v| *v < best.1) {
                    best = (far, v);
                }
            }
        }
        Ok((best.0, false))
    }

    fn told(&self, raise: f64, reach: f64) -> Result<BumpSteer, NoAnswer> {
        let car = self.car(raise);
        let gear = RunningGear::new(&car).map_err(NoAnswer::Ride)?;
        let (axle, ride) = gear.axle(self.axle).zip(gear.ride.axle(self.axle)).ok_or(NoAnswer::NoAxle)?;
        let frame = Frame::new(&car, axle, ride, &gear.ride.ground);
        let toe = |at: Brought| Quantity::Toe.of(&at.standing(axle, &frame), self.side);
        let at = |travel: f64| toe(gear.bring(axle, ride, Along::Travel, travel).ok()?);
        let here = at(0.0);
        let against = |travel: f64| Some((at(travel)? - here?).to_degrees());
        let (droop_deg, bump_deg) = (against(-reach), against(reach));
        let rate = (rate(&car, self.axle, self.side)? * reach).to_degrees();
        let bend_deg = droop_deg.zip(bump_deg).map(|(droop, bump)| (droop + bump) / 2.0);
        Ok(BumpSteer { rate_deg: rate, droop_deg, bump_deg, bend_deg })
    }
}

/// To what a car file writes, so that the car is the same when it is read again.
pub(super) fn written(mm: f64) -> f64 {
    (mm * 1000.0).round() / 1000.0
}

/// Toe with travel at ride height, rad/mm.
fn rate(car: &Car, name: AxleName, side: Side) -> Result<f64, NoAnswer> {
    let gear = RunningGear::new(car).map_err(NoAnswer::Ride)?;
    let (axle, ride) = gear.axle(name).zip(gear.ride.axle(name)).ok_or(NoAnswer::NoAxle)?;
    let frame = Frame::new(car, axle, ride, &gear.ride.ground);
    let at = gear.bring(axle, ride, Along::Travel, 0.0).map_err(NoAnswer::Ride)?;
    // Toe has no rate where the linkage is in a toggle.
    let hub = Hub { axle: name, side };
    let stuck = OutOfReach { hub, part: "tie rod", height: ride[side as usize].wheel_centre.z, rack: 0.0 };
    let [_, rate] = gear.change(axle, &frame, &at, Quantity::Toe, side).ok_or(NoAnswer::Ride(stuck))?;
    Ok(rate)
}

impl SteerFix {
    /// Where the tie rods' outer ends of `car` have to stand to steer in bump as is wanted, `before` being the car that it
    /// was. None where the axle has no tie rod.
    ///
    /// # Errors
    /// [`NoAnswer`] where there is no such axle, or a car cannot stand.
    pub fn new(before: &Car, car: &Car, axle: AxleName, aim: SteerAim, shown: Shown) -> Result<Option<Self>, NoAnswer> {
        let described = car.axle(axle).ok_or(NoAnswer::NoAxle)?;
        if !described.has(PointName::TieRodOuter) {
            return Ok(None);
        }
        let (reach_mm, _, _) = alignment::step(Along::Travel, shown);
        let end = |side: Side| -> Result<RodEnd, NoAnswer> {
            let wanted = match aim {
                SteerAim::AsBefore => rate(before, axle, side)?,
                SteerAim::Nothing => 0.0,
            };
            let trial = Trial { car, axle, side };
            let before = trial.told(0.0, reach_mm)?;
            let (raise_mm, met) = trial.height(wanted)?;
            let after = if raise_mm == 0.0 { before } else { trial.told(raise_mm, reach_mm)? };
            Ok(RodEnd { side, raise_mm, met, wanted_deg: (wanted * reach_mm).to_degrees(), before, after })
        };
        Ok(Some(Self { axle, aim, reach_mm, ends: [end(Side::Left)?, end(Side::Right)?] }))
    }

    /// The changes that do it. An end of which no height does it stays where it is.
    pub fn changes(&self) -> Vec<Change> {
        let [left, right] = self.ends.map(|end| if end.met { end.raise_mm } else { 0.0 });
        let sides =
            if left == right { vec![(Sides::Both, left)] } else { vec![(Sides::Left, left), (Sides::Right, right)] };
        let moved = |(side, raise): (Sides, f64)| {
            let by = Some(Vector3::new(0.0, 0.0, raise));
            self.axle.wrap(Change::MovePoint { point: PointName::TieRodOuter, side, to: None, by })
        };
        sides.into_iter().filter(|(_, raise)| *raise != 0.0).map(moved).collect()
    }

    /// The car with the ends moved, called `name`.
    ///
    /// # Errors
    /// [`NoChange`] where that cannot be built.
    pub fn made(&self, car: &Car, name: &str) -> Result<Car, NoChange> {
        Ok(car.changed(name, self.changes())?)
    }
}

impl RodEnd {
    /// `3.2 mm lower`, or `where it is`.
    pub fn goes(&self, shown: Shown) -> String {
        match self.raise_mm {
            0.0 => "where it is".to_owned(),
            mm => format!("{} {}", fine(mm.abs(), shown), if mm > 0.0 { "higher" } else { "lower" }),
        }
    }
}

/// To a digit more than a tape shows, for spacers are ground and measured with a calliper.
fn fine(mm: f64, shown: Shown) -> String {
    format!("{:.*} {}", shown.decimals() + 1, shown.number(mm), shown.sign())
}

impl Told for SteerFix {
    fn sentence(&self, shown: Shown) -> String {
        let (_, _, per) = alignment::step(Along::Travel, shown);
        let wanted = |end: &RodEnd| match self.aim {
            SteerAim::AsBefore => format!("{:+.3} deg in {per} as before", end.wanted_deg),
            SteerAim::Nothing => format!("none at ride height, {:+.3} deg in {per}", end.after.rate_deg),
        };
        let told = self.ends.map(|end| {
            let side = end.side.word();
            if end.met {
                format!("{side} end {}, bump steer {:+.3} deg to {}", end.goes(shown), end.before.rate_deg, wanted(&end))
            } else {
                let within = shown.length(FURTHEST);
                format!(
                    "no height of the {side} end within {within} brings the bump steer to {:+.3} deg in {per}: the nearest is \
                     {:+.3} deg, with the end {}, so it is left where it is",
                    end.wanted_deg,
                    end.after.rate_deg,
                    end.goes(shown)
                )
            }
        });
        words::capital(&format!("{} tie rods: {}; {}.", self.axle.word(), told[0], told[1]))
    }
}
