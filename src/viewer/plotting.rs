//! The plot that is looked at: what it shows against what, drawn anew only when the car, the units or the choice change.

use std::path::Path;

use bevy::prelude::*;

use super::asking::Question;
use super::desk::Desk;
use super::panels::Units;
use crate::answer::Plot;
use crate::answer::reading::{self, Against, Reading, Subject};
use crate::car::Shown;

pub(super) fn plugin(app: &mut App) {
    app.init_resource::<Plotting>().add_systems(Update, draw);
}

/// What is plotted, and the plot.
#[derive(Resource, Debug, Default)]
pub struct Plotting {
    /// What it shows.
    pub reading: Reading,
    /// Along the bottom.
    pub against: Against,
    plot: Option<Result<Plot, String>>,
    made_for: Option<(u64, Reading, Against, Shown)>,
}

/// Width and height of an exported drawing, pixels.
const SIZE: [u32; 2] = [960, 600];

impl Plotting {
    /// The plot, or why there is none; nothing until it has been looked at.
    pub fn plot(&self) -> Option<&Result<Plot, String>> {
        self.plot.as_ref()
    }

    /// The name that a dialog offers to export under.
    pub fn file_name(&self) -> String {
        format!("{}-{}.svg", self.reading.key(), self.against.key())
    }

    /// Writes the plot as a drawing.
    ///
    /// # Errors
    /// In words for the user.
    pub fn export(&self, path: &Path) -> Result<(), String> {
        match &self.plot {
            Some(Ok(plot)) => crate::car::file::write(path, &plot.svg(SIZE))
                .map_err(|e| format!("The drawing could not be written to {}: {}", path.display(), e.what())),
            Some(Err(why)) => Err(why.clone()),
            None => Err("There is no plot to export: choose Curves first.".to_owned()),
        }
    }
}

/// Two axles in some hundred poses each take well under a millisecond: no thread is needed.
fn draw(mut plotting: ResMut<Plotting>, desk: Res<Desk>, question: Res<Question>, units: Res<Units>) {
    let now = (desk.edition, plotting.reading, plotting.against, units.0);
    if *question == Question::Curves && plotting.made_for != Some(now) {
        plotting.plot = Some(plot(&desk, plotting.reading, plotting.against, units.0));
        plotting.made_for = Some(now);
    }
}

/// The car as found, and over it the proposal looked at.
fn plot(desk: &Desk, reading: Reading, against: Against, shown: Shown) -> Result<Plot, String> {
    let found = desk.found();
    let mut subjects = vec![Subject { name: "as found", found: true, car: &found.car, front: &found.front }];
    if let Some(name) = desk.proposal() {
        let looked_at = desk.looked_at();
        subjects.push(Subject { name, found: false, car: &looked_at.car, front: &looked_at.front });
    }
    reading::plot(&subjects, reading, against, shown)
}
