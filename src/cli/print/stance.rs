//! Ride heights, the underside and ramps.

use super::{Unwritten, headline, plain, whole};
use crate::answer::Told;
use crate::answer::stance::Stance;
use crate::cli::args::{Asked, Form};
use crate::cli::table::Table;

/// How the car stands. As CSV: what, its number in the pose, at ride height and the least of the sweep, and the part, place
/// or pose that sets it.
pub fn stance(asked: &Asked, stance: &Stance) -> Result<(), Unwritten> {
    let shown = asked.shown();
    let unit = shown.sign();
    let mut table = Table::new(["what", "unit", "here", "at ride height", "least in sweep", "set by"]);
    for h in &stance.heights {
        table.row([&h.name, unit, &shown.cell(h.height_mm), &shown.cell(h.ride_mm), "", ""]);
    }
    if let Some(low) = &stance.lowest {
        table.row(["lowest point", unit, &shown.cell(low.height_mm), "", "", &low.told(shown)]);
    }
    for part in &stance.underside.parts {
        for c in &part.corners {
            let [here, ride, least] = [c.here_mm, c.ride_mm, c.least_mm].map(|mm| shown.cell(mm));
            let what = format!("{} over ground at {}", part.part, c.told(shown));
            table.row([what, unit.to_owned(), here, ride, least, c.at.told(shown)]);
        }
    }
    if let Some(gap) = &stance.underside.splitter {
        table.row(["splitter's gap", unit, "", &shown.cell(gap.static_mm), "", ""]);
        let keeps = format!("keeps {} in the sweep", shown.length(gap.wanted_mm));
        table.row(["splitter's gap, needed", unit, "", &shown.cell(gap.needed_mm), "", &keeps]);
    }
    for scrape in &stance.underside.scrapes {
        let what = format!("body down till {} scrapes", scrape.part);
        table.row([&what, unit, "", &shown.cell(scrape.drop_mm), "", &scrape.told(shown)]);
    }
    for (what, ramp) in stance.ramps() {
        let deg = format!("{:.1}", ramp.angle_deg);
        table.row([what, "deg", &deg, "", "", &ramp.told(shown)]);
    }
    if let Some(loading) = &stance.loading {
        let deg = format!("{:.1}", loading.angle_deg);
        table.row(["steepest trailer ramp", "deg", &deg, "", "", &loading.told()]);
    }
    for (what, kerb) in [("kerb under the nose", &stance.kerb_ahead), ("kerb under the tail", &stance.kerb_behind)] {
        if let Some(kerb) = kerb {
            table.row([what, unit, &shown.cell(kerb.height_mm), "", "", &kerb.told(shown)]);
        }
    }
    for w in &stance.wheels {
        table.row([&format!("{} wheel travel", w.words()), unit, &shown.cell(w.travel_mm), "", "", ""]);
    }
    match asked.form() {
        Form::Json => whole(asked, "stance", stance.sentence(shown), stance),
        Form::Csv => plain(&table.csv()?),
        Form::Text => plain(&format!("{}\n{}", headline(stance.verdict, &stance.sentence(shown)), table.text())),
    }
}
