//! Wheels and tyres.

use super::{Unwritten, headline, plain, whole};
use crate::answer::wheels::{AxleWheels, Wheels};
use crate::answer::{Told, words};
use crate::car::Shown;
use crate::cli::args::{Asked, Form};
use crate::cli::table::Table;

/// What is bolted on. As CSV: the table, a row for each number and a column for each axle.
pub fn wheels(asked: &Asked, wheels: &Wheels) -> Result<(), Unwritten> {
    let shown = asked.shown();
    let table = numbers(wheels, shown);
    match asked.form() {
        Form::Json => whole(asked, "wheels", wheels.sentence(shown), wheels),
        Form::Csv => plain(&table.csv()?),
        Form::Text => {
            let mut text = headline(wheels.verdict, &wheels.sentence(shown)) + "\n" + &table.text();
            for a in &wheels.axles {
                for fit in &a.hub {
                    let (hub, wheel) = (fit.told(fit.hub, shown), fit.told(fit.wheel, shown));
                    let note = if fit.note.is_empty() { "fits" } else { &fit.note };
                    let against = if fit.what == "spacer" { wheel } else { format!("hub {hub}, wheel {wheel}") };
                    text += &format!("\n{} {}: {against}: {note}.", words::capital(a.axle.word()), fit.what);
                }
                if let Some(hint) = a.rim_hint(shown) {
                    text += &format!("\n{hint}.");
                }
            }
            plain(&(text.trim_end().to_owned() + "\n"))
        }
    }
}

/// A number of an axle: what, its unit, and its cell.
type Row = (String, String, fn(&AxleWheels, Shown) -> String);

fn numbers(wheels: &Wheels, shown: Shown) -> Table {
    let unit = shown.sign();
    let length =
        |what: &str, cell: fn(&AxleWheels, Shown) -> String| -> Row { (what.to_owned(), unit.to_owned(), cell) };
    let other = |what: &str, unit: &str, cell: fn(&AxleWheels, Shown) -> String| -> Row {
        (what.to_owned(), unit.to_owned(), cell)
    };
    let rows: Vec<Row> = vec![
        other("wheel", "", |a, _| a.size()),
        other("tyre", "", |a, _| a.tyre.clone()),
        length("offset", |a, s| s.cell(a.offset_mm)),
        length("backspacing", |a, s| s.cell(a.backspacing_mm)),
        length("spacer", |a, s| s.cell(a.spacer_mm)),
        length("overall diameter", |a, s| s.cell(a.overall_diameter_mm)),
        length("section on this rim", |a, s| s.cell(a.section_mm)),
        length("growth allowed for", |a, s| s.cell(a.growth_mm)),
        length("lean allowed for", |a, s| s.cell(a.lean_mm)),
        length("usual rims from", |a, s| s.cell(a.usual_rims_mm[0])),
        length("usual rims to", |a, s| s.cell(a.usual_rims_mm[1])),
        other("turns", "per km", |a, _| format!("{:.1}", a.turns_per_km)),
        length("track at ride height", |a, s| opt(a.track_mm, s)),
        length("scrub radius, left", |a, s| opt(a.scrub_radius_mm[0], s)),
        length("scrub radius, right", |a, s| opt(a.scrub_radius_mm[1], s)),
        length("caliper to barrel", |a, s| opt(a.brake.and_then(|b| b.caliper_to_barrel_mm), s)),
        length("caliper to spokes", |a, s| opt(a.brake.and_then(|b| b.caliper_to_spokes_mm), s)),
        length("disc to barrel", |a, s| opt(a.brake.and_then(|b| b.disc_to_barrel_mm), s)),
        length("stands out more by", |a, s| opt(a.swap.map(|w| w.outboard_mm), s)),
        length("reaches in more by", |a, s| opt(a.swap.map(|w| w.inboard_mm), s)),
        length("rim reaches in more by", |a, s| opt(a.swap.map(|w| w.rim_inboard_mm), s)),
        length("radius larger by", |a, s| opt(a.swap.map(|w| w.radius_mm), s)),
        length("scrub radius larger by", |a, s| opt(a.swap.and_then(|w| w.scrub_radius_mm), s)),
        length("track wider by", |a, s| opt(a.swap.and_then(|w| w.track_mm), s)),
        other("speedometer reads", "times", |a, _| {
            a.swap.map_or_else(String::new, |w| format!("{:.3}", w.speedometer))
        }),
    ];
    let heads = ["what".to_owned(), "unit".to_owned()];
    let mut table = Table::new(heads.into_iter().chain(wheels.axles.iter().map(|a| a.axle.word().to_owned())));
    for (what, unit, cell) in rows {
        let cells: Vec<String> = wheels.axles.iter().map(|a| cell(a, shown)).collect();
        // What no axle has is left out.
        if cells.iter().any(|c| !c.is_empty()) {
            table.row([what, unit].into_iter().chain(cells));
        }
    }
    table
}

fn opt(mm: Option<f64>, shown: Shown) -> String {
    mm.map_or_else(String::new, |mm| shown.cell(mm))
}
