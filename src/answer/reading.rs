//! What a plot can show, and against what: how the wheels of a front axle stand over travel, heave, roll, pitch and rack.
//!
//! This file is the one seam between plots and the core: everything else asks [`plot`] for a [`Plot`], and lists
//! [`Reading::ALL`] and [`Against::ALL`] to choose from. A longer list of quantities replaces [`Reading`] and its `of`.

use super::plot::{Line, Plot, PlotAxis};
use crate::car::{Car, Shown, Side};
use crate::motion::alignment::{level_under, roll_centre};
use crate::motion::{Alignment, Front, OutOfReach, Pose, Posed};

/// What can be plotted. Signs as in the alignment's definitions.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Reading {
    /// Against the ground's normal: what a gauge reads.
    #[default]
    Camber,
    /// Of each wheel.
    Toe,
    /// Of each wheel.
    Steer,
    /// Of the steering axis.
    Caster,
    /// Inclination of the steering axis.
    Kingpin,
    /// On the ground.
    Scrub,
    /// Mechanical, on the ground.
    Trail,
    /// Between the damper's mounts.
    Damper,
    /// Damper travel over wheel travel.
    MotionRatio,
    /// Its height over the ground.
    RollCentre,
}

/// What a reading can be plotted against; the others of these stay at ride height, straight ahead.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Against {
    /// Of both wheels alike.
    #[default]
    Travel,
    /// Of the body over the ground.
    Heave,
    /// Of the body.
    Roll,
    /// Of the body.
    Pitch,
    /// Of the steering rack.
    Rack,
}

/// A car in one state, to be laid over others in a plot.
#[derive(Debug, Clone, Copy)]
pub struct Subject<'a> {
    /// `as found`, or a proposal's name.
    pub name: &'a str,
    /// The car as found, rather than a proposal.
    pub found: bool,
    /// The car in this state.
    pub car: &'a Car,
    /// Its front axle.
    pub front: &'a Front,
}

/// Steps from ride height to each end.
const STEPS: u32 = 60;

/// Further aside than this, mm, a roll centre is on its way to infinity, where both wheels' lines are parallel: its height
/// there is anything at all, and no line is drawn.
const ASIDE: f64 = 5000.0;

/// What kind of number a value is: it says the unit, and the decimals that mean something.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    /// Millimetres inside.
    Length,
    /// Radians inside.
    Angle,
    /// A plain number.
    Ratio,
}

impl Kind {
    /// Of the number shown, what one is inside.
    fn one(self, shown: Shown) -> f64 {
        match self {
            Self::Length => shown.in_mm(),
            Self::Angle => 1f64.to_radians(),
            Self::Ratio => 1.0,
        }
    }

    fn axis(self, shown: Shown, [name, positive]: [&str; 2]) -> PlotAxis {
        let (unit, decimals) = match self {
            Self::Length => (shown.sign(), shown.decimals()),
            Self::Angle => ("deg", 2),
            Self::Ratio => ("", 3),
        };
        PlotAxis { name: name.into(), unit: unit.into(), positive: positive.into(), decimals }
    }
}

impl Reading {
    /// All, in the order in which they are offered.
    pub const ALL: [Self; 10] = [
        Self::Camber,
        Self::Toe,
        Self::Steer,
        Self::Caster,
        Self::Kingpin,
        Self::Scrub,
        Self::Trail,
        Self::Damper,
        Self::MotionRatio,
        Self::RollCentre,
    ];

    /// What it is called, and when it is positive.
    fn words(self) -> [&'static str; 2] {
        match self {
            Self::Camber => ["Camber", "top outboard positive"],
            Self::Toe => ["Toe", "toe-in positive"],
            Self::Steer => ["Steer angle", "left positive"],
            Self::Caster => ["Caster", "top rearward positive"],
            Self::Kingpin => ["Kingpin inclination", "top inboard positive"],
            Self::Scrub => ["Scrub radius", "axis inboard positive"],
            Self::Trail => ["Mechanical trail", "axis ahead positive"],
            Self::Damper => ["Damper length", ""],
            Self::MotionRatio => ["Motion ratio", "damper over wheel travel"],
            Self::RollCentre => ["Roll centre height", "over the ground positive"],
        }
    }

    /// Its name.
    pub fn name(self) -> &'static str {
        self.words()[0]
    }

    /// How the command line calls it.
    pub fn key(self) -> &'static str {
        match self {
            Self::Camber => "camber",
            Self::Toe => "toe",
            Self::Steer => "steer",
            Self::Caster => "caster",
            Self::Kingpin => "kingpin",
            Self::Scrub => "scrub",
            Self::Trail => "trail",
            Self::Damper => "damper",
            Self::MotionRatio => "motion-ratio",
            Self::RollCentre => "roll-centre",
        }
    }

    fn kind(self) -> Kind {
        match self {
            Self::Camber | Self::Toe | Self::Steer | Self::Caster | Self::Kingpin => Kind::Angle,
            Self::Scrub | Self::Trail | Self::Damper | Self::RollCentre => Kind::Length,
            Self::MotionRatio => Kind::Ratio,
        }
    }

    /// Whose it is: each wheel's, or the axle's.
    fn owners(self) -> &'static [Option<Side>] {
        match self {
            Self::RollCentre => &[None],
            _ => &[Some(Side::Left), Some(Side::Right)],
        }
    }

    /// Its value in a pose: mm, rad or a ratio. None where there is none.
    fn of(self, front: &Front, posed: &Posed, side: Option<Side>) -> Option<f64> {
        let Some(side) = side else {
            return roll_centre(front, posed).filter(|at| at.x.abs() < ASIDE).map(|at| at.y);
        };
        let (corner, pose) = (front.corner(side), &posed.corners[side as usize]);
        let a = Alignment::of(corner, pose, &posed.ground);
        match self {
            Self::Camber => Some(a.inclination),
            Self::Toe => Some(a.toe),
            Self::Steer => Some(a.steer),
            Self::Caster => Some(a.caster),
            Self::Kingpin => Some(a.kingpin),
            Self::Scrub => Some(a.scrub_radius),
            Self::Trail => Some(a.trail),
            Self::Damper => pose.damper_length(),
            Self::MotionRatio => corner.motion_ratio(pose),
            Self::RollCentre => None,
        }
    }
}

impl Against {
    /// All, in the order in which they are offered.
    pub const ALL: [Self; 5] = [Self::Travel, Self::Heave, Self::Roll, Self::Pitch, Self::Rack];

    /// What it is called, and when it is positive.
    fn words(self) -> [&'static str; 2] {
        match self {
            Self::Travel => ["Wheel travel", "bump positive"],
            Self::Heave => ["Heave", "body up positive"],
            Self::Roll => ["Roll", "left side up positive"],
            Self::Pitch => ["Pitch", "nose down positive"],
            Self::Rack => ["Rack travel", "left positive"],
        }
    }

    /// Its name.
    pub fn name(self) -> &'static str {
        self.words()[0]
    }

    /// How the command line calls it.
    pub fn key(self) -> &'static str {
        match self {
            Self::Travel => "travel",
            Self::Heave => "heave",
            Self::Roll => "roll",
            Self::Pitch => "pitch",
            Self::Rack => "rack",
        }
    }

    fn kind(self) -> Kind {
        match self {
            Self::Travel | Self::Heave | Self::Rack => Kind::Length,
            Self::Roll | Self::Pitch => Kind::Angle,
        }
    }

    /// How far this car goes each way, mm or rad.
    fn ends(self, car: &Car) -> [f64; 2] {
        let sweep = &car.sweep;
        let both = |v: f64| [-v, v];
        match self {
            Self::Travel => [-sweep.droop, sweep.bump],
            Self::Heave => [-sweep.bump, sweep.droop],
            Self::Roll => both(sweep.roll),
            Self::Pitch => both(sweep.pitch),
            Self::Rack => both(car.front.rack.travel),
        }
    }

    /// The pose of the body that goes with a place along the axis, as the plot shows it.
    pub fn pose(self, x: f64, shown: Shown) -> Pose {
        let v = x * self.kind().one(shown);
        match self {
            Self::Travel => Pose { heave: -v, ..Pose::default() },
            Self::Heave => Pose { heave: v, ..Pose::default() },
            Self::Roll => Pose { roll: v, ..Pose::default() },
            Self::Pitch => Pose { pitch: v, ..Pose::default() },
            Self::Rack => Pose { rack: v, ..Pose::default() },
        }
    }

    /// Where a pose of the car stands along the axis, for the left and the right wheel.
    pub fn here(self, front: &Front, posed: &Posed, shown: Shown) -> [f64; 2] {
        let Pose { heave, roll, pitch, rack } = posed.pose;
        let both = match self {
            Self::Travel => [0, 1].map(|i| front.travel(&posed.corners[i])),
            Self::Heave => [heave; 2],
            Self::Roll => [roll; 2],
            Self::Pitch => [pitch; 2],
            Self::Rack => [rack; 2],
        };
        both.map(|v| v / self.kind().one(shown))
    }

    /// Whether a pose has nothing but this to it, so that a plot against it is true of the pose.
    pub fn alone(self, pose: &Pose) -> bool {
        let Pose { heave, roll, pitch, rack } = *pose;
        let mut others = [heave, roll, pitch, rack];
        let own = match self {
            Self::Travel | Self::Heave => 0,
            Self::Roll => 1,
            Self::Pitch => 2,
            Self::Rack => 3,
        };
        others[own] = 0.0;
        others == [0.0; 4]
    }

    /// The axle at a place along the axis, mm or rad, from a pose near by.
    fn stand(self, front: &Front, near: &Posed, v: f64) -> Result<Posed, OutOfReach> {
        if self != Self::Travel {
            return front.stand_from(near, &self.pose(v / self.kind().one(Shown::Mm), Shown::Mm));
        }
        let [left, right] = Side::BOTH.map(|side| front.raise(side, &near.corners[side as usize], v, 0.0));
        let corners = [left?, right?];
        // The ground under both wheels, level where they are at one travel.
        let ground = level_under(front.corner(Side::Left), &corners[0]);
        Ok(Posed { pose: Pose::default(), ground, corners })
    }

    /// The axle at places from one end to the other; none beyond where its linkage ends.
    fn walk(self, subject: &Subject) -> Vec<(f64, Option<Posed>)> {
        let front = subject.front;
        let ride = self.stand(front, &front.ride, 0.0).ok();
        let [low, high] = self.ends(subject.car);
        let out = |end: f64| {
            let mut near = ride.clone();
            let steps = if end == 0.0 { 0 } else { STEPS };
            (1..=steps).map(move |i| {
                let v = end * f64::from(i) / f64::from(STEPS);
                near = near.as_ref().and_then(|near| self.stand(front, near, v).ok());
                (v, near.clone())
            })
        };
        let mut all: Vec<_> = out(low).collect();
        all.reverse();
        all.push((0.0, ride.clone()));
        all.extend(out(high));
        all
    }
}

/// A reading of every car given, over what each sweeps, in the units shown.
///
/// # Errors
/// In words for the user, where none of the cars has such a value.
pub fn plot(subjects: &[Subject], reading: Reading, against: Against, shown: Shown) -> Result<Plot, String> {
    let (one_x, one_y) = (against.kind().one(shown), reading.kind().one(shown));
    let mut lines = Vec::new();
    for subject in subjects {
        let poses = against.walk(subject);
        for side in reading.owners() {
            let value = |posed: &Posed| reading.of(subject.front, posed, *side).map(|v| v / one_y);
            let points: Vec<_> =
                poses.iter().map(|(x, p)| [x / one_x, p.as_ref().and_then(value).unwrap_or(f64::NAN)]).collect();
            if points.iter().any(|p| p[1].is_finite()) {
                lines.push(Line { name: subject.name.to_owned(), side: *side, found: subject.found, points });
            }
        }
    }
    if lines.is_empty() {
        let why = match reading {
            Reading::Damper | Reading::MotionRatio => "this car has no damper in its file: add one under `damper`",
            _ => "there is none in any pose: check the points",
        };
        return Err(format!("No {} to draw: {why}.", reading.name().to_lowercase()));
    }
    let car = subjects.first().map_or("", |s| s.car.name.as_str());
    Ok(Plot {
        title: format!("{car}: {} against {}", reading.name().to_lowercase(), against.name().to_lowercase()),
        x: against.kind().axis(shown, against.words()),
        y: reading.kind().axis(shown, reading.words()),
        lines,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::answer::{Range, Study};
    use crate::car::CarFile;

    fn demo(change: impl Fn(&str) -> String) -> (Study, Study) {
        let file = CarFile::from_text(change(include_str!("../../scenes/dunlin.ron")), None).unwrap();
        let study = |car| Study::new(car).unwrap();
        (study(file.car().clone()), study(file.proposed("low and wide").unwrap()))
    }

    fn subjects<'a>(found: &'a Study, proposed: &'a Study) -> [Subject<'a>; 2] {
        let of = |study: &'a Study, name, found| Subject { name, found, car: &study.car, front: &study.front };
        [of(found, "as found", true), of(proposed, "low and wide", false)]
    }

    /// The same numbers on every face: a plot reads what the table of curves prints.
    #[test]
    fn a_plot_reads_what_the_table_prints() {
        let (found, proposed) = demo(str::to_owned);
        let table = proposed.curves("-20:40:20".parse().unwrap(), Range::at(0.0)).unwrap();
        for (reading, shown) in
            [(Reading::Camber, Shown::Mm), (Reading::Scrub, Shown::In), (Reading::RollCentre, Shown::Mm)]
        {
            let plot = plot(&subjects(&found, &proposed), reading, Against::Travel, shown).unwrap();
            for row in &table.rows {
                let x = row.travel_mm / shown.in_mm();
                let of_side = |l: &&Line| !l.found && l.side.is_none_or(|s| s == row.side);
                let read = plot.lines.iter().find(of_side).unwrap().at(x).unwrap();
                let printed = match reading {
                    Reading::Camber => row.camber_deg,
                    Reading::Scrub => row.scrub_radius_mm / shown.in_mm(),
                    _ => row.roll_centre_mm.unwrap(),
                };
                // A point is a millimetre from the next, and these curves bend by less than this between two.
                assert!((read - printed).abs() < 5e-3, "{reading:?} at {x}: {read}, {printed}");
            }
        }
    }

    #[test]
    fn every_reading_has_a_plot_against_everything() {
        let (found, proposed) = demo(str::to_owned);
        for reading in Reading::ALL {
            for against in Against::ALL {
                let plot = plot(&subjects(&found, &proposed), reading, against, Shown::Mm).unwrap();
                assert_eq!(plot.lines.len(), 2 * reading.owners().len(), "{reading:?} {against:?}");
                let whole = |l: &Line| l.points.iter().all(|p| p[1].is_finite());
                assert!(reading == Reading::RollCentre || plot.lines.iter().all(whole), "{reading:?} {against:?}");
                assert!(plot.lines.iter().all(|l| l.points.is_sorted_by(|a, b| a[0] < b[0])));
            }
        }
    }

    /// The demo's right side differs a little from its left, so that somewhere in the travel both lines to the instant
    /// centres are parallel and their meeting runs off to infinity and back.
    #[test]
    fn a_roll_centre_on_its_way_to_infinity_leaves_a_gap_rather_than_a_spike() {
        let (found, proposed) = demo(str::to_owned);
        let plot = plot(&subjects(&found, &proposed), Reading::RollCentre, Against::Travel, Shown::Mm).unwrap();
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
        for (against, x) in Against::ALL.into_iter().zip([10.0, 10.0, 1.0, 0.5, 20.0]) {
            let posed = found.front.stand(&against.pose(x, Shown::Mm)).unwrap();
            let here = against.here(&found.front, &posed, Shown::Mm);
            assert!(against.alone(&posed.pose));
            // The tyre's contact walks a little round it as the camber changes: 10 mm of heave are not quite 10 of travel.
            assert!(here.iter().all(|h| (h - x).abs() < 0.1), "{against:?}: {here:?}");
        }
        let rolled_and_steered = Pose { rack: 5.0, ..Against::Roll.pose(1.0, Shown::Mm) };
        assert!(!Against::Roll.alone(&rolled_and_steered) && !Against::Travel.alone(&rolled_and_steered));
        let rolled = found.front.stand(&Against::Roll.pose(1.0, Shown::Mm)).unwrap();
        let [left, right] = Against::Travel.here(&found.front, &rolled, Shown::Mm);
        assert!(left < -5.0 && right > 5.0, "{left} {right}");
    }
}
