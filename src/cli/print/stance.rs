//! Ride heights, the underside and ramps.

use super::{Unwritten, headline, plain, whole};
use crate::answer::Told;
use crate::answer::stance::{LowPart, Stance, Underside};
use crate::car::Shown;
use crate::cli::args::{Asked, Form};
use crate::cli::table::Table;

/// How the car stands. As CSV one table: what, its number in the pose, at ride height and the least of the sweep, and the
/// part, place or pose that sets it.
pub fn stance(asked: &Asked, stance: &Stance) -> Result<(), Unwritten> {
    let shown = asked.shown();
    match asked.form() {
        Form::Json => whole(asked, "stance", stance.sentence(shown), stance),
        Form::Csv => {
            let mut all = empty();
            standing(&mut all, stance, shown);
            stance.underside.parts.iter().for_each(|part| over_ground(&mut all, part, usize::MAX, shown));
            scraping(&mut all, &stance.underside, shown);
            plain(&all.csv()?)
        }
        Form::Text => {
            let [mut stands, mut over, mut scrapes] = [empty(), empty(), empty()];
            standing(&mut stands, stance, shown);
            for part in &stance.underside.parts {
                // A splitter is trimmed and stayed corner by corner; of the rest the lowest will do.
                let corners = if part.splitter { usize::MAX } else { 1 };
                over_ground(&mut over, part, corners, shown);
            }
            scraping(&mut scrapes, &stance.underside, shown);
            let mut text = headline(stance.verdict, &stance.sentence(shown)) + "\n" + &stands.text();
            if !stance.underside.parts.is_empty() {
                let how = if stance.underside.is_proven() {
                    "proven to 0.01 mm"
                } else {
                    "searched and not proven, as an axle is stiff"
                };
                text += &format!("\nOver the ground, in the whole sweep, {how}:\n\n{}", over.text());
            }
            if !stance.underside.scrapes.is_empty() {
                text += &format!("\nAs the body comes down level:\n\n{}", scrapes.text());
            }
            plain(&text)
        }
    }
}

fn empty() -> Table {
    Table::new(["what", "unit", "here", "at ride height", "least in sweep", "set by"])
}

/// Heights, the lowest point, ramps, kerbs and travels.
fn standing(table: &mut Table, stance: &Stance, shown: Shown) {
    let unit = shown.sign();
    for h in &stance.heights {
        table.row([&h.name, unit, &shown.cell(h.height_mm), &shown.cell(h.ride_mm), "", ""]);
    }
    if let Some(low) = &stance.lowest {
        table.row(["lowest point", unit, &shown.cell(low.height_mm), "", "", &low.told(shown)]);
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
}

/// So many of a part's corners, the lowest first.
fn over_ground(table: &mut Table, part: &LowPart, corners: usize, shown: Shown) {
    for c in part.corners.iter().take(corners) {
        let [here, ride, least] = [c.here_mm, c.ride_mm, c.least_mm].map(|mm| shown.cell(mm));
        let what = format!("{} at {}", part.part, c.told(shown));
        table.row([what, shown.sign().to_owned(), here, ride, least, c.at.told(shown)]);
    }
}

/// What the splitter needs, and what scrapes first.
fn scraping(table: &mut Table, underside: &Underside, shown: Shown) {
    let unit = shown.sign();
    if let Some(gap) = &underside.splitter {
        table.row(["splitter's static gap", unit, "", &shown.cell(gap.static_mm), "", ""]);
        let keeps = format!("keeps {} in the sweep", shown.length(gap.wanted_mm));
        table.row(["splitter's static gap, needed", unit, "", &shown.cell(gap.needed_mm), "", &keeps]);
    }
    for scrape in &underside.scrapes {
        let what = format!("down until the {} scrapes", scrape.part);
        table.row([&what, unit, "", &shown.cell(scrape.drop_mm), "", &scrape.told(shown)]);
    }
}
