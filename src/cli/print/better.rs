//! Better points: the answer, what can be traded for what, and the changes that make it.

use serde::Serialize;

use super::{Unwritten, headline, notes, plain, whole};
use crate::answer::Told;
use crate::answer::alignment::unit;
use crate::answer::better::{Better, BetterCar};
use crate::car::Shown;
use crate::cli::args::{Asked, Form};
use crate::cli::table::Table;

/// As JSON.
#[derive(Serialize)]
struct Whole<'a> {
    #[serde(flatten)]
    better: &'a Better,
    pick: usize,
    written: Option<&'a str>,
}

/// Every car that was found. As CSV: a row for each.
pub fn better(asked: &Asked, better: &Better, pick: usize, written: Option<&str>) -> Result<(), Unwritten> {
    let shown = asked.shown();
    match asked.form() {
        Form::Json => whole(asked, "better", better.sentence(shown), &Whole { better, pick, written }),
        Form::Csv => plain(&cars(better, shown).csv()?),
        Form::Text => {
            let mut text = headline(better.verdict, &better.sentence(shown));
            text += &format!("\n{}", wishes(better, pick, shown).text());
            if better.cars.len() > 1 {
                text += &format!(
                    "\nWhat can be traded for what; no car makes a gap worse (--pick N takes another):\n\n{}",
                    cars(better, shown).text()
                );
            }
            text += &match better.cars.get(pick - 1) {
                Some(car) => picked(asked, car, pick, written, shown),
                None => "\nNo car was found: there is none to pick or to write.\n".to_owned(),
            };
            plain(&format!("{text}{}\n{}\n", notes(&better.notes), better.caution))
        }
    }
}

/// Each wish: as it is, as it was, as it is wanted.
fn wishes(better: &Better, pick: usize, shown: Shown) -> Table {
    let becomes = if pick == 1 { "becomes".to_owned() } else { format!("becomes in {pick}") };
    let mut table = Table::new(["wanted".to_owned(), "unit".to_owned(), "was".to_owned(), becomes, "met".to_owned()]);
    for (i, wished) in better.wishes.iter().enumerate() {
        let reached = better.cars.get(pick - 1).map(|car| car.reached[i]);
        let unit = unit(wished.wish.measure(), shown).trim().to_owned();
        let unit = wished.wish.per(shown).map(|per| format!("{unit} in {per}")).unwrap_or(unit);
        table.row([
            wished.wish.words(shown),
            unit,
            wished.was_words(shown),
            reached.map_or_else(String::new, |r| wished.wish.number(r.value, shown)),
            reached.map_or("", |r| if r.met { "yes" } else { "no" }).to_owned(),
        ]);
    }
    table
}

/// Each car: what it reaches, how far it moves, and how.
fn cars(better: &Better, shown: Shown) -> Table {
    let asked = better.asked();
    let heads = ["car".to_owned(), "met".to_owned(), format!("moves {}", shown.sign())];
    let what = asked.iter().map(|wish| format!("{}{}", wish.what(), unit(wish.measure(), shown)));
    let last = ["proven", "what", "moved"].map(str::to_owned);
    let mut table = Table::new(heads.into_iter().chain(what).chain(last));
    for (n, car) in better.cars.iter().enumerate() {
        let first = [(n + 1).to_string(), format!("{} of {}", car.met(), asked.len()), shown.cell(car.moved_mm)];
        let numbers = asked.iter().zip(&car.reached).map(|(wish, reached)| wish.number(reached.value, shown));
        let proven = if car.proven { "yes" } else { "no" }.to_owned();
        table.row(first.into_iter().chain(numbers).chain([proven, car.called(&asked), car.moved(shown)]));
    }
    table
}

fn picked(asked: &Asked, car: &BetterCar, pick: usize, written: Option<&str>, shown: Shown) -> String {
    let mut text = String::new();
    if let Some(gap) = &car.tightest {
        text += &format!("\nTightest of the gaps that change: {}.\n", gap.says(shown));
    }
    let changes: String = car.changes.iter().map(|change| format!("    {change},\n")).collect();
    if changes.is_empty() {
        return text;
    }
    text + &match written {
        Some(name) => {
            let proof = car.proof();
            format!("\nCar {pick} is written to {} as the proposal \"{name}\". {proof}\n", asked.car.display())
        }
        None => format!("\nThe changes of car {pick}, for a proposal (--write NAME puts them there):\n\n{changes}"),
    }
}
