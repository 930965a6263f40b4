//! The plot that is looked at: what it shows against what, drawn anew only when the car, the units or the choice change.

use std::path::Path;

use bevy::prelude::*;

use super::asking::Question;
use super::desk::{Built, Desk, plain};
use super::panels::{AxleShown, Units};
use crate::answer::{Fitted, PairGap, PairName, Plot, Subject, along};
use crate::car::{AxleName, Hub, Shown, Side};
use crate::motion::{Along, Pose, Quantity};

pub(super) fn plugin(app: &mut App) {
    app.init_resource::<Plotting>().add_systems(Update, draw);
}

/// What a plot shows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Shows {
    /// A number of an axle.
    Quantity(Quantity),
    /// The gap between two parts, and the wheel whose travel counts.
    Gap(PairName, Option<Hub>),
}

impl Shows {
    /// The gap of a pair.
    pub fn gap(pair: &PairGap) -> Self {
        Self::Gap(PairName { a: pair.a.clone(), b: pair.b.clone() }, pair.wheel)
    }

    /// The one wheel that it is about, of a pair of parts.
    pub fn wheel(&self) -> Option<Hub> {
        match self {
            Self::Quantity(_) => None,
            Self::Gap(_, wheel) => *wheel,
        }
    }

    /// As it is spoken.
    pub fn words(&self) -> String {
        match self {
            Self::Quantity(quantity) => quantity.words().to_owned(),
            Self::Gap(pair, _) => format!("gap, {} to {}", pair.a, pair.b),
        }
    }
}

/// What is plotted, and the plot.
#[derive(Resource, Debug)]
pub struct Plotting {
    /// What it shows.
    pub shows: Shows,
    /// Along the bottom.
    pub along: Along,
    /// The quantities that the axle has.
    pub offered: Vec<Quantity>,
    plot: Option<Result<Plot, String>>,
    made_for: Option<(u64, AxleName, Shows, Along, Shown)>,
}

impl Default for Plotting {
    fn default() -> Self {
        let shows = Shows::Quantity(Quantity::Camber);
        Self { shows, along: Along::Travel, offered: Vec::new(), plot: None, made_for: None }
    }
}

/// Width and height of an exported drawing, pixels.
const SIZE: [u32; 2] = [960, 600];

impl Plotting {
    /// The plot, or why there is none; nothing until it has been looked at.
    pub fn plot(&self) -> Option<&Result<Plot, String>> {
        self.plot.as_ref()
    }

    /// The name that a dialog offers to export under.
    pub fn file_name(&self, axle: AxleName) -> String {
        let along = self.along.name();
        match &self.shows {
            Shows::Quantity(quantity) if axle == AxleName::Rear => format!("rear-{}-{along}.svg", quantity.name()),
            Shows::Quantity(quantity) => format!("{}-{along}.svg", quantity.name()),
            Shows::Gap(pair, _) => format!("{}.svg", plain(&format!("gap {} {} {along}", pair.a, pair.b))),
        }
    }

    /// Writes the plot as a drawing.
    ///
    /// # Errors
    /// In words for the user.
    pub fn export(&self, path: &Path) -> Result<(), String> {
        match &self.plot {
            Some(Ok(plot)) => crate::car::file::write(path, plot.svg(SIZE))
                .map_err(|e| format!("The drawing could not be written to {}: {}", path.display(), e.what())),
            Some(Err(why)) => Err(why.clone()),
            None => Err("There is no plot to export: choose Curves first.".to_owned()),
        }
    }
}

/// Two axles, or two pairs, in some hundred poses each take a few milliseconds at most: no thread is needed.
fn draw(
    mut plotting: ResMut<Plotting>,
    desk: Res<Desk>,
    question: Res<Question>,
    axle: Res<AxleShown>,
    units: Res<Units>,
) {
    let axle = axle.of(&desk.looked_at().car);
    let now = (desk.edition, axle, plotting.shows.clone(), plotting.along, units.0);
    if *question == Question::Curves && plotting.made_for.as_ref() != Some(&now) {
        plotting.plot = Some(plot(&desk, axle, &plotting.shows, plotting.along, units.0));
        plotting.offered = offered(desk.looked_at(), axle);
        plotting.made_for = Some(now);
    }
}

/// What is compared with, the car as found most often, and over it the proposal looked at.
fn plot<'a>(desk: &'a Desk, axle: AxleName, shows: &Shows, along: Along, shown: Shown) -> Result<Plot, String> {
    let fitted = |built: &'a Built, name: &'a str, found: bool| {
        let subject = Subject { name, found, car: &built.car, gear: &built.gear };
        Fitted { subject, parts: &built.parts }
    };
    let mut cars = vec![fitted(desk.compared(), desk.against().unwrap_or("as found"), true)];
    if let Some(name) = desk.proposal() {
        cars.push(fitted(desk.looked_at(), name, false));
    }
    match shows {
        Shows::Quantity(quantity) => {
            let subjects: Vec<Subject> = cars.iter().map(|car| car.subject).collect();
            along::plot(&subjects, axle, *quantity, along, shown)
        }
        Shows::Gap(pair, _) => along::gap_plot(&cars, std::slice::from_ref(pair), along, shown),
    }
}

/// The quantities that an axle has, straight ahead or steered.
fn offered(built: &Built, axle: AxleName) -> Vec<Quantity> {
    let steered = Pose { rack: built.steering_travel() / 2.0, ..Pose::default() };
    let poses = [Some(built.gear.ride.clone()), built.gear.stand(&steered).ok()];
    let stands: Vec<_> = poses.iter().flatten().filter_map(|posed| built.standing(axle, posed)).collect();
    let has = |q: &Quantity| stands.iter().any(|at| q.of(at, Side::Left).is_some_and(f64::is_finite));
    Quantity::ALL.iter().copied().filter(has).collect()
}
