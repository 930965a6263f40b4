//! Wheels and tyres.

use super::{Unwritten, headline, plain, whole};
use crate::answer::{Told, Wheels, words};
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

fn numbers(wheels: &Wheels, shown: Shown) -> Table {
    let heads = ["what".to_owned(), "unit".to_owned()];
    let mut table = Table::new(heads.into_iter().chain(wheels.axles.iter().map(|a| a.axle.word().to_owned())));
    for row in wheels.rows(shown) {
        table.row([row.what, row.unit].map(str::to_owned).into_iter().chain(row.cells));
    }
    table
}
