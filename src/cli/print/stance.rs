//! Ride heights and ramps.

use super::{Unwritten, headline, plain, whole};
use crate::answer::Told;
use crate::answer::stance::Stance;
use crate::cli::args::{Asked, Form};
use crate::cli::table::Table;

/// How the car stands. As CSV: what, its number in the pose and at ride height, and the part or place.
pub fn stance(asked: &Asked, stance: &Stance) -> Result<(), Unwritten> {
    let shown = asked.shown();
    let unit = shown.sign();
    let mut table = Table::new(["what", "unit", "here", "at ride height", "set by"]);
    for h in &stance.heights {
        table.row([h.name.clone(), unit.to_owned(), shown.cell(h.height_mm), shown.cell(h.ride_mm), String::new()]);
    }
    if let Some(low) = &stance.lowest {
        table.row(["lowest point", unit, &shown.cell(low.height_mm), "", &low.told(shown)]);
    }
    for (what, ramp) in stance.ramps() {
        let deg = format!("{:.1}", ramp.angle_deg);
        table.row([what, "deg", &deg, "", &ramp.told(shown)]);
    }
    for w in &stance.wheels {
        table.row([&format!("{} wheel travel", w.words()), unit, &shown.cell(w.travel_mm), "", ""]);
    }
    match asked.form() {
        Form::Json => whole(asked, "stance", stance.sentence(shown), stance),
        Form::Csv => plain(&table.csv()?),
        Form::Text => plain(&format!("{}\n{}", headline(stance.verdict, &stance.sentence(shown)), table.text())),
    }
}
