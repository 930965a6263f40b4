//! Answers on standard output.

mod better;
mod brakes;
mod change;
mod cuts;
mod frame;
mod loads;
mod maps;
mod ride;
mod routes;
mod scan;
mod sheets;
mod springs;
mod stance;
mod wheels;

use std::io::{self, Write};

use anstyle::{AnsiColor, Style};
use serde::Serialize;

use super::args::{Asked, Form};
use super::table::Table;
use crate::answer::lock::CAUTION as LOCK_CAUTION;
use crate::answer::plot::ticks;
use crate::answer::{Alignment, Curves, Gaps, Limit, Lock, Plot, PlotAxis, Told, Untold, Verdict, alignment, words};
use crate::car::{Shown, Side};
use crate::motion::{Measure, Quantity};

pub use better::better;
pub use brakes::brakes;
pub use change::{change, remade};
pub use cuts::cut;
pub use frame::frame;
pub use loads::loads;
pub use maps::{lock_curve, map};
pub use ride::ride;
pub use routes::routes;
pub use scan::{laid, scan};
pub use sheets::sheets;
pub use springs::springs;
pub use stance::stance;
pub use wheels::wheels;

/// Why an answer could not be printed.
#[derive(Debug, thiserror::Error)]
pub enum Unwritten {
    /// Whoever was reading has stopped, as `head` does: nobody is left to be told.
    #[error("the output was closed")]
    Closed,
    /// Anything else.
    #[error("the output could not be written: {0}")]
    Failed(String),
}

impl From<io::Error> for Unwritten {
    fn from(e: io::Error) -> Self {
        if e.kind() == io::ErrorKind::BrokenPipe { Self::Closed } else { Self::Failed(e.to_string()) }
    }
}

impl From<csv::Error> for Unwritten {
    fn from(e: csv::Error) -> Self {
        Self::Failed(e.to_string())
    }
}

/// An answer as JSON: what was asked, the sentence, then the answer's own fields.
#[derive(Serialize)]
struct Whole<'a, T> {
    question: &'a str,
    car: String,
    proposal: Option<&'a str>,
    sentence: String,
    #[serde(flatten)]
    answer: &'a T,
}

/// Prints text as it is.
pub fn plain(text: &str) -> Result<(), Unwritten> {
    let mut out = anstream::stdout().lock();
    out.write_all(text.as_bytes())?;
    out.flush()?;
    Ok(())
}

/// Prints an error to standard error.
pub fn error(text: &str) {
    let red = Style::new().bold().fg_color(Some(AnsiColor::Red.into()));
    // Nothing is left to do where even this cannot be written.
    let _ = writeln!(anstream::stderr(), "{red}error:{red:#} {text}");
}

/// A verdict's word and the sentence after it.
pub fn headline(verdict: Verdict, sentence: &str) -> String {
    said(verdict.word(), verdict, sentence)
}

/// The same with a word of its own for the verdict.
pub fn said(word: &str, verdict: Verdict, sentence: &str) -> String {
    let colour = match verdict {
        Verdict::Clear => AnsiColor::Blue,
        Verdict::Short => AnsiColor::Yellow,
        Verdict::Touches => AnsiColor::Red,
    };
    let style = Style::new().bold().fg_color(Some(colour.into()));
    format!("{style}{}{style:#}  {sentence}\n", word.to_uppercase())
}

fn whole<T: Serialize>(asked: &Asked, question: &str, sentence: String, answer: &T) -> Result<(), Unwritten> {
    let car = asked.car.display().to_string();
    let whole = Whole { question, car, proposal: asked.proposal.as_deref(), sentence, answer };
    let text = serde_json::to_string_pretty(&whole).map_err(|e| Unwritten::Failed(e.to_string()))?;
    plain(&(text + "\n"))
}

/// What else is to be known, below a table.
fn notes(notes: &[String]) -> String {
    notes.iter().map(|note| format!("\n{note}\n")).collect()
}

/// What touches.
pub fn gaps(asked: &Asked, gaps: &Gaps, left_out: Option<Vec<Untold>>) -> Result<(), Unwritten> {
    let shown = asked.shown();
    let unit = shown.sign();
    let mut table = Table::new([
        "part".to_owned(),
        "against".to_owned(),
        format!("here {unit}"),
        format!("least {unit}"),
        format!("proven {unit}"),
        format!("± {unit}"),
        "may touch".to_owned(),
        format!("wanted {unit}"),
        "verdict".to_owned(),
        "least at".to_owned(),
    ]);
    for p in &gaps.pairs {
        table.row([
            p.a.clone(),
            p.b.clone(),
            p.here.map_or_else(String::new, |g| shown.cell(g.gap_mm)),
            shown.cell(p.worst.gap.gap_mm),
            p.worst.at_least_mm.map_or_else(String::new, |mm| shown.cell(mm)),
            p.doubt.map_or_else(String::new, |d| shown.cell(d.doubt_mm)),
            p.doubt.map_or_else(String::new, |d| chance(d.touch_chance)),
            shown.cell(p.wanted_mm),
            p.verdict.word().to_owned(),
            p.least_at(shown),
        ]);
    }
    match asked.form() {
        Form::Json => whole(asked, "gaps", gaps.sentence(shown), &WithLeftOut { gaps, left_out }),
        Form::Csv => plain(&table.csv()?),
        Form::Text => {
            let told = headline(gaps.verdict, &gaps.sentence(shown));
            let notes = notes(&gaps.notes);
            let ignored = untold("Ignored, as the car file says", &gaps.ignored);
            let joined = left_out.map_or_else(String::new, |pairs| untold("Left out, as they are joined", &pairs));
            plain(&format!("{told}\n{}{notes}{ignored}{joined}", table.text()))
        }
    }
}

/// Gaps as JSON, with the pairs that are left out where they are asked for.
#[derive(Serialize)]
struct WithLeftOut<'a> {
    #[serde(flatten)]
    gaps: &'a Gaps,
    #[serde(skip_serializing_if = "Option::is_none")]
    left_out: Option<Vec<Untold>>,
}

/// Pairs that are not measured, each with why; nothing where there are none.
fn untold(head: &str, pairs: &[Untold]) -> String {
    if pairs.is_empty() {
        return String::new();
    }
    let mut table = Table::new(["part", "against", "why"]);
    pairs.iter().for_each(|p| table.row([p.a.clone(), p.b.clone(), p.why.clone()]));
    format!("\n{head}:\n\n{}", table.text())
}

/// A chance in words that fit a column: nothing where nobody need think of it.
fn chance(share: f64) -> String {
    match share {
        s if s < 0.001 => String::new(),
        s => words::chance(s),
    }
}

/// How far it steers.
pub fn lock(asked: &Asked, lock: &Lock) -> Result<(), Unwritten> {
    let shown = asked.shown();
    let unit = shown.sign();
    let mut table = Table::new([
        "steering".to_owned(),
        "where".to_owned(),
        format!("rack {unit}"),
        "left wheel deg".to_owned(),
        "right wheel deg".to_owned(),
        "ends at".to_owned(),
    ]);
    let ends = |l: &Limit| {
        l.touch.as_ref().map_or_else(
            || "the rack's stop".to_owned(),
            |t| {
                let at = words::travel(t.travel_mm, shown);
                format!("{} - {} at {at}, {} apart", t.a, t.b, shown.length(t.gap.gap_mm))
            },
        )
    };
    for way in &lock.ways {
        for (place, limit) in [("ride height", &way.at_ride), ("worst of travel", &way.worst)] {
            table.row([
                way.way.word().to_owned(),
                place.to_owned(),
                shown.cell(limit.rack_mm),
                format!("{:.1}", limit.steer_deg[0]),
                format!("{:.1}", limit.steer_deg[1]),
                ends(limit),
            ]);
        }
    }
    match asked.form() {
        Form::Json => whole(asked, "lock", lock.sentence(shown), lock),
        Form::Csv => plain(&table.csv()?),
        Form::Text => {
            let mut text = headline(lock.verdict, &lock.sentence(shown)) + "\n" + &table.text() + "\n";
            for way in &lock.ways {
                text += &circles(way.way, way.limiter_mm, way.circle_at_stop_mm, way.circle_limited_mm, shown);
            }
            if !lock.left_out.is_empty() {
                text += "\nToo near with the wheels straight ahead already, somewhere in the travel, so left out here (see gaps and cut):\n";
                for [a, b] in &lock.left_out {
                    text += &format!("  {a} - {b}\n");
                }
            }
            if let Some(slack) = lock.slack_mm {
                text += &lock_proof(lock, known_to(slack, shown));
            }
            plain(&format!("{text}{}\n{LOCK_CAUTION}\n", notes(&lock.notes)))
        }
    }
}

/// What a proof leaves open: of an inch it is less than tables show.
fn known_to(slack: f64, shown: Shown) -> String {
    match shown {
        Shown::Mm => shown.length(slack),
        Shown::In => format!("{:.3} in", shown.number(slack)),
    }
}

/// What is proven of a lock, in a line.
fn lock_proof(lock: &Lock, slack: String) -> String {
    let not: Vec<&str> = lock.ways.iter().filter(|w| !w.proven).map(|w| w.way.word()).collect();
    if not.is_empty() {
        return format!("\nProven to {slack}: no pose with less steering has a pair short of its gap by more.\n");
    }
    format!(
        "\nNot proven to {slack} to the {}: between the poses looked at there may be an earlier touch.\n",
        not.join(" and ")
    )
}

fn circles(way: Side, limiter: f64, at_stop: Option<f64>, limited: Option<f64>, shown: Shown) -> String {
    let metres = |mm: Option<f64>| match (mm, shown) {
        (None, _) => "none".to_owned(),
        (Some(mm), Shown::Mm) => format!("{:.2} m", mm / 1000.0),
        (Some(mm), Shown::In) => format!("{:.1} ft", mm / 304.8),
    };
    let (way, at_stop) = (way.word(), metres(at_stop));
    if limiter == 0.0 {
        return format!("To the {way}: no limiter; turning circle {at_stop} at the stop.\n");
    }
    let (limiter, limited) = (shown.length(limiter), metres(limited));
    format!("To the {way}: limiter {limiter}; turning circle {at_stop} at the stop, {limited} limited.\n")
}

/// How the wheels stand.
pub fn curves(asked: &Asked, curves: &Curves) -> Result<(), Unwritten> {
    let shown = asked.shown();
    let unit = shown.sign();
    let mut heads = vec!["side".to_owned(), format!("travel {unit}"), format!("rack {unit}")];
    heads.extend(curves.quantities.iter().map(|q| head(*q, shown)));
    let mut table = Table::new(heads);
    for r in &curves.rows {
        let mut cells = vec![r.side.word().to_owned(), shown.cell(r.travel_mm), shown.cell(r.rack_mm)];
        let value = |q: &Quantity| r.value(*q).map_or_else(String::new, |v| words::cell(v, q.measure(), shown));
        cells.extend(curves.quantities.iter().map(value));
        table.row(cells);
    }
    match asked.form() {
        Form::Json => whole(asked, "curves", curves.sentence(shown), curves),
        Form::Csv => plain(&table.csv()?),
        Form::Text => plain(&format!("{}\n\n{}", curves.sentence(shown), table.text())),
    }
}

/// A quantity's name and unit, over a column.
pub fn head(quantity: Quantity, shown: Shown) -> String {
    let unit = match quantity.measure() {
        Measure::Angle => " deg",
        Measure::Length => return format!("{} {}", quantity.words(), shown.sign()),
        Measure::Share => " %",
        Measure::Ratio => "",
    };
    format!("{}{unit}", quantity.words())
}

/// An axle's numbers, and what one of them rests on.
pub fn alignment(asked: &Asked, told: &Alignment) -> Result<(), Unwritten> {
    let shown = asked.shown();
    let (_, _, per) = alignment::step(told.along, shown);
    let heads = ["number".to_owned(), "left".to_owned(), "right".to_owned()];
    let mut table = Table::new(heads.into_iter().chain([format!("left, in {per}"), format!("right, in {per}")]));
    for number in &told.numbers {
        let cell = |side: usize, pick: fn(&alignment::Sure) -> [f64; 2]| {
            // What belongs to the axle is told once.
            let sure = number.sides[side].as_ref().filter(|_| side == 0 || !number.quantity.of_axle());
            sure.map(pick).map_or_else(String::new, |[value, doubt]| number.give_or_take(value, doubt, shown))
        };
        let (value, rate) = (|s: &alignment::Sure| [s.value, s.doubt], |s: &alignment::Sure| [s.rate, s.rate_doubt]);
        table.row([head(number.quantity, shown), cell(0, value), cell(1, value), cell(0, rate), cell(1, rate)]);
    }
    let mut rests = Table::new(["wheel", "reading", "read to", "share of its doubt", "share of its rate's doubt"]);
    for r in &told.rests_on {
        let percent = |share: f64| format!("{:.0} %", share * 100.0);
        let read_to = match r.measure {
            Measure::Length => shown.length(r.read_to),
            _ => format!("{:.2} deg", r.read_to),
        };
        let wheel = r.wheel.word().to_owned();
        rests.row([wheel, r.reading.clone(), read_to, percent(r.share), percent(r.rate_share)]);
    }
    let sentence = told.sentence(shown);
    match asked.form() {
        Form::Json => whole(asked, "alignment", sentence, told),
        Form::Csv => plain(&table.csv()?),
        Form::Text => {
            let mut text = format!("{sentence}\n\n{}", table.text());
            if !told.rests_on.is_empty() {
                text += &format!("\nIt rests on these readings, the one that matters most first.\n\n{}", rests.text());
            }
            plain(&text)
        }
    }
}

/// A plot's values at round places along its axis, and at its ends.
pub fn plot(asked: &Asked, plot: &Plot) -> Result<(), Unwritten> {
    let head = |axis: &PlotAxis, name: &str| format!("{name} {}", axis.unit).trim_end().to_owned();
    let heads = std::iter::once(head(&plot.x, &plot.x.name.to_lowercase()));
    let mut table = Table::new(heads.chain(plot.lines.iter().map(|line| head(&plot.y, &line.label()))));
    let ends = plot.frame().map_or([0.0, 0.0], |[across, _]| across);
    let mut places = ticks(ends[0], ends[1], 15).1;
    places.extend(ends);
    places.sort_by(f64::total_cmp);
    places.dedup_by(|a, b| (*a - *b).abs() < 1e-6);
    for x in places {
        let values = plot.at(x).into_iter().map(|(_, y)| y.map_or_else(String::new, |y| cell(y, plot.y.decimals)));
        table.row(std::iter::once(cell(x, plot.x.decimals)).chain(values));
    }
    match asked.form() {
        Form::Json => whole(asked, "curves", plot.title.clone(), plot),
        Form::Csv => plain(&table.csv()?),
        Form::Text => plain(&format!("{}\n{}\n\n{}", plot.title, plot.y.words(), table.text())),
    }
}

/// A number for a table: with a plain minus, which other programs read, and none before nothing.
fn cell(value: f64, decimals: usize) -> String {
    let scale = 10f64.powi(decimals as i32);
    format!("{:.decimals$}", (value * scale).round() / scale + 0.0)
}
