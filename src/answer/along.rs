//! Any quantity of an axle drawn along any motion of the car, for as found and proposal together.

mod gap;

use super::plot::{Line, Plot, PlotAxis};
use crate::car::{AxleName, Car, Shown, Side};
use crate::motion::change::Brought;
use crate::motion::{Along, Frame, Measure, Pose, Posed, Quantity, RunningGear};

pub use gap::{Fitted, gap_plot};

/// A car in one state, to be laid over others in a plot.
#[derive(Debug, Clone, Copy)]
pub struct Subject<'a> {
    /// `as found`, or a proposal's name.
    pub name: &'a str,
    /// What the others are compared with, and lie over: the car as found most often.
    pub found: bool,
    /// The car in this state.
    pub car: &'a Car,
    /// Its axles.
    pub gear: &'a RunningGear,
}

impl Subject<'_> {
    /// As a title calls it: a proposal's name in quotes.
    fn state(&self) -> String {
        if self.car.made.is_none() { self.name.to_owned() } else { format!("\"{}\"", self.name) }
    }
}

/// Steps from ride height to each end.
const STEPS: u32 = 60;

/// Further aside than this, mm, a roll centre is on its way to infinity, where both wheels' lines are parallel: its height
/// there is anything at all, and no line is drawn.
pub const ASIDE: f64 = 5000.0;

/// Of a number as it is shown, what one is inside.
fn one(measure: Measure, shown: Shown) -> f64 {
    match measure {
        Measure::Length => shown.in_mm(),
        Measure::Angle => 1f64.to_radians(),
        Measure::Ratio => 1.0,
        Measure::Share => 0.01,
    }
}

fn axis(measure: Measure, shown: Shown, [name, positive]: [&str; 2]) -> PlotAxis {
    let (unit, decimals) = match measure {
        Measure::Length => (shown.sign(), shown.decimals()),
        Measure::Angle => ("deg", 2),
        Measure::Ratio => ("", 3),
        Measure::Share => ("%", 1),
    };
    PlotAxis { name: name.into(), unit: unit.into(), positive: positive.into(), decimals }
}

impl Along {
    fn measure(self) -> Measure {
        if self.is_angle() { Measure::Angle } else { Measure::Length }
    }

    /// How far this car goes each way, mm or rad.
    pub(super) fn ends(self, car: &Car, axle: AxleName) -> [f64; 2] {
        let sweep = &car.sweep;
        let [bump, droop] = sweep.travel(axle);
        let both = |v: f64| [-v, v];
        match self {
            Self::Travel => [-droop, bump],
            Self::Heave => [-bump, droop],
            Self::Roll => both(sweep.roll),
            Self::Pitch => both(sweep.pitch),
            Self::Steer => both(car.front.steering_travel().unwrap_or(0.0)),
        }
    }

    /// The pose of the body that goes with a place along the axis of a plot, as the plot shows it.
    pub fn pose(self, x: f64, shown: Shown) -> Pose {
        let v = x * one(self.measure(), shown);
        match self {
            Self::Travel => Pose { heave: -v, ..Pose::default() },
            Self::Heave => Pose { heave: v, ..Pose::default() },
            Self::Roll => Pose { roll: v, ..Pose::default() },
            Self::Pitch => Pose { pitch: v, ..Pose::default() },
            Self::Steer => Pose { rack: v, ..Pose::default() },
        }
    }

    /// Where a pose of the car stands along the axis, for the left and the right wheel of an axle.
    pub fn here(self, gear: &RunningGear, posed: &Posed, axle: AxleName, shown: Shown) -> [f64; 2] {
        let Pose { heave, roll, pitch, rack } = posed.pose;
        let both = match self {
            Self::Travel => posed.axle(axle).map_or([0.0; 2], |wheels| [0, 1].map(|i| gear.travel(&wheels[i]))),
            Self::Heave => [heave; 2],
            Self::Roll => [roll; 2],
            Self::Pitch => [pitch; 2],
            Self::Steer => [rack; 2],
        };
        both.map(|v| v / one(self.measure(), shown))
    }

    /// Whether a pose has nothing but this to it, so that a plot along it is true of the pose.
    pub fn alone(self, pose: &Pose) -> bool {
        let Pose { heave, roll, pitch, rack } = *pose;
        let mut others = [heave, roll, pitch, rack];
        let own = match self {
            Self::Travel | Self::Heave => 0,
            Self::Roll => 1,
            Self::Pitch => 2,
            Self::Steer => 3,
        };
        others[own] = 0.0;
        others == [0.0; 4]
    }

    /// An axle at places from one end to the other; none beyond where its linkage ends.
    fn walk(self, subject: &Subject, axle: AxleName) -> Vec<(f64, Option<Brought>)> {
        let gear = subject.gear;
        let Some((axle, ride)) = gear.axle(axle).zip(gear.ride.axle(axle)) else { return Vec::new() };
        let ride = gear.bring(axle, ride, self, 0.0).ok();
        let [low, high] = self.ends(subject.car, axle.name);
        let out = |end: f64| {
            let mut near = ride;
            let steps = if end == 0.0 { 0 } else { STEPS };
            (1..=steps).map(move |i| {
                let v = end * f64::from(i) / f64::from(STEPS);
                near = near.and_then(|near| gear.bring(axle, &near.wheels, self, v).ok());
                (v, near)
            })
        };
        let mut all: Vec<_> = out(low).collect();
        all.reverse();
        all.push((0.0, ride));
        all.extend(out(high));
        all
    }
}

impl Quantity {
    /// Whose it is: each wheel's, or the axle's.
    fn owners(self) -> &'static [Option<Side>] {
        if self.of_axle() { &[None] } else { &[Some(Side::Left), Some(Side::Right)] }
    }

    /// Its name with a capital, and when it is positive, as far as its meaning says so in a few words.
    fn axis_words(self) -> [String; 2] {
        let meaning = self.meaning().trim_end_matches('.');
        let positive = meaning.rsplit_once(", ").map(|(_, last)| last).filter(|last| last.ends_with("positive"));
        [super::words::capital(self.words()), positive.unwrap_or_default().to_owned()]
    }
}

/// A quantity of an axle of every car given, over what each sweeps, in the units shown.
///
/// # Errors
/// In words for the user, where none of the cars has such a value.
pub fn plot(
    subjects: &[Subject],
    name: AxleName,
    quantity: Quantity,
    along: Along,
    shown: Shown,
) -> Result<Plot, String> {
    let (one_x, one_y) = (one(along.measure(), shown), one(quantity.measure(), shown));
    let mut lines = Vec::new();
    for subject in subjects {
        let gear = subject.gear;
        let Some((axle, ride)) = gear.axle(name).zip(gear.ride.axle(name)) else { continue };
        let frame = Frame::new(subject.car, axle, ride, &gear.ride.ground);
        let poses = along.walk(subject, name);
        for side in quantity.owners() {
            let value = |at: &Brought| {
                let standing = at.standing(axle, &frame);
                let far = quantity == Quantity::RollCentreHeight
                    && standing.roll_centre().is_some_and(|centre| centre.x.abs() > ASIDE);
                quantity.of(&standing, side.unwrap_or(Side::Left)).filter(|_| !far).map(|v| v / one_y)
            };
            let points: Vec<_> =
                poses.iter().map(|(x, at)| [x / one_x, at.as_ref().and_then(value).unwrap_or(f64::NAN)]).collect();
            if points.iter().any(|p| p[1].is_finite()) {
                lines.push(Line { name: subject.name.to_owned(), side: *side, found: subject.found, points });
            }
        }
    }
    if lines.is_empty() {
        return Err(format!("No {} to draw: {}.", quantity.words(), missing(subjects, name, quantity)));
    }
    let car = titled(subjects.iter());
    let of = if subjects.iter().any(|s| s.car.rear.is_some()) { format!("{} ", name.word()) } else { String::new() };
    let [label, positive] = quantity.axis_words();
    Ok(Plot {
        title: format!("{car}: {of}{} against {}", quantity.words(), along.words()[0].to_lowercase()),
        without: None,
        x: axis(along.measure(), shown, along.words()),
        y: axis(quantity.measure(), shown, [&label, &positive]),
        lines,
    })
}

/// The car and the states of it that are drawn: `Dunlin, as found and "low and wide"`.
fn titled<'a>(mut subjects: impl Iterator<Item = &'a Subject<'a>>) -> String {
    let first = subjects.next().map_or_else(String::new, |s| format!("{}, {}", s.car.name, s.state()));
    subjects.fold(first, |title, s| format!("{title} and {}", s.state()))
}

/// Braking whose share nobody tells.
const UNSHARED: &str = "how braking is shared is missing: add `brakes_front: ...` to `balance`, or describe the `brakes` and the rear axle";

/// Why there is no such value, and what to do.
fn missing(subjects: &[Subject], name: AxleName, quantity: Quantity) -> &'static str {
    use Quantity as Q;
    let Some(axle) = subjects.iter().find_map(|s| s.car.axle(name)) else {
        return "this car file describes no such axle: add `rear: (...)`, written as `front` is";
    };
    let unshared = || subjects.iter().all(|s| s.car.brakes_front().is_none());
    match quantity {
        Q::Damper | Q::MotionRatio | Q::MotionRatioRoll if axle.damper.is_none() => {
            "this axle has no damper in its file: add one under `damper`"
        }
        Q::Spring | Q::SpringRatio | Q::SpringRatioRoll if axle.spring_apart().is_none() => {
            "this axle has no spring apart from its damper: the damper's length and ratio are its own too"
        }
        Q::BarRatio | Q::LeverAngle if axle.bar.is_none() => "this axle has no anti-roll bar in its file: add `bar`",
        Q::AntiDive | Q::AntiLift | Q::AntiSquat if subjects.iter().all(|s| s.car.balance.is_none()) => {
            "the height of the centre of gravity is missing: add `balance: (cg_height: ..., brakes_front: ...)`"
        }
        Q::AntiDive if name == AxleName::Front && unshared() => UNSHARED,
        Q::AntiLift if name == AxleName::Rear && unshared() => UNSHARED,
        Q::AntiDive | Q::AntiLift | Q::AntiSquat => "this axle neither brakes nor drives that way",
        Q::SteeringRatio | Q::Ackermann | Q::TurningCircle if axle.steering_travel().is_none() => {
            "this axle does not steer"
        }
        Q::SteeringRatio => "the rack's travel for a turn of the wheel is missing: add `per_turn`, or a box's `ratio`",
        Q::Ackermann | Q::TurningCircle => "it needs steering: draw it against steering travel",
        Q::Caster | Q::Kingpin | Q::ScrubRadius | Q::Trail => "this axle has no steering axis",
        Q::Give => "this axle has no link too many, so none has to give",
        _ => "there is none in any pose: check the points",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::answer::{Range, Study, USUAL};
    use crate::car::CarFile;

    fn demo(change: impl Fn(&str) -> String) -> (Study, Study) {
        let file = CarFile::from_text(change(include_str!("../../scenes/dunlin.ron")), None).unwrap();
        let study = |car| Study::new(car).unwrap();
        (study(file.car().clone()), study(file.proposed("low and wide").unwrap()))
    }

    fn subjects<'a>(found: &'a Study, proposed: &'a Study) -> [Subject<'a>; 2] {
        let of = |study: &'a Study, name, found| Subject { name, found, car: &study.car, gear: &study.gear };
        [of(found, "as found", true), of(proposed, "low and wide", false)]
    }

    /// The same numbers on every face: a plot reads what the table of curves prints.
    #[test]
    fn a_plot_reads_what_the_table_prints() {
        let (found, proposed) = demo(str::to_owned);
        let table = proposed.curves(AxleName::Front, "-20:40:20".parse().unwrap(), Range::at(0.0), None).unwrap();
        for (reading, shown) in
            [(Quantity::Camber, Shown::Mm), (Quantity::ScrubRadius, Shown::In), (Quantity::RollCentreHeight, Shown::Mm)]
        {
            let plot = plot(&subjects(&found, &proposed), AxleName::Front, reading, Along::Travel, shown).unwrap();
            for row in &table.rows {
                let x = row.travel_mm / shown.in_mm();
                let of_side = |l: &&Line| !l.found && l.side.is_none_or(|s| s == row.side);
                let read = plot.lines.iter().find(of_side).unwrap().at(x).unwrap();
                let inch = if reading.measure() == Measure::Length { shown.in_mm() } else { 1.0 };
                let printed = row.value(reading).unwrap() / inch;
                // A point is a millimetre from the next, and these curves bend by less than this between two.
                assert!((read - printed).abs() < 5e-3, "{reading:?} at {x}: {read}, {printed}");
            }
        }
    }

    #[test]
    fn every_reading_has_a_plot_against_everything() {
        let (found, proposed) = demo(str::to_owned);
        for &reading in &USUAL {
            for against in Along::ALL {
                let plot = plot(&subjects(&found, &proposed), AxleName::Front, reading, against, Shown::Mm).unwrap();
                assert_eq!(plot.lines.len(), 2 * reading.owners().len(), "{reading:?} {against:?}");
                let whole = |l: &Line| l.points.iter().all(|p| p[1].is_finite());
                assert!(
                    reading == Quantity::RollCentreHeight || plot.lines.iter().all(whole),
                    "{reading:?} {against:?}"
                );
                assert!(plot.lines.iter().all(|l| l.points.is_sorted_by(|a, b| a[0] < b[0])));
            }
        }
    }

    /// The demo's right side differs a little from its left, so that somewhere in the travel both lines to the instant
    /// centres are parallel and their meeting runs off to infinity and back.
    #[test]
    fn a_roll_centre_on_its_way_to_infinity_leaves_a_gap_rather_than_a_spike() {
        let (found, proposed) = demo(str::to_owned);
        let plot =
            plot(&subjects(&found, &proposed), AxleName::Front, Quantity::RollCentreHeight, Along::Travel, Shown::Mm)
                .unwrap();
        for line in &plot.lines {
            assert_eq!(line.runs().count(), 2, "{}", line.name);
            let steps = line.runs().flat_map(|run| run.windows(2)).map(|w| (w[1][1] - w[0][1]).abs());
            assert!(steps.fold(0.0, f64::max) < 6.0, "{}", line.name);
        }
    }

    /// Roll to the right (left side up) lowers the body on the right: that wheel is in bump, the left one in droop.
    #[test]
    fn the_pose_taken_from_an_axis_stands_where_the_axis_says() {
        let (found, _) = demo(str::to_owned);
        for (against, x) in Along::ALL.into_iter().zip([10.0, 10.0, 1.0, 0.5, 20.0]) {
            let posed = found.gear.stand(&against.pose(x, Shown::Mm)).unwrap();
            let here = against.here(&found.gear, &posed, AxleName::Front, Shown::Mm);
            assert!(against.alone(&posed.pose));
            // The tyre's contact walks a little round it as the camber changes: 10 mm of heave are not quite 10 of travel.
            assert!(here.iter().all(|h| (h - x).abs() < 0.1), "{against:?}: {here:?}");
        }
        let rolled_and_steered = Pose { rack: 5.0, ..Along::Roll.pose(1.0, Shown::Mm) };
        assert!(!Along::Roll.alone(&rolled_and_steered) && !Along::Travel.alone(&rolled_and_steered));
        let rolled = found.gear.stand(&Along::Roll.pose(1.0, Shown::Mm)).unwrap();
        let [left, right] = Along::Travel.here(&found.gear, &rolled, AxleName::Front, Shown::Mm);
        assert!(left < -5.0 && right > 5.0, "{left} {right}");
    }
}
