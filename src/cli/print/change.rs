//! What a proposal changes, and cars with their arms grown.

use serde::Serialize;

use super::{Unwritten, head, headline, notes, plain, whole};
use crate::answer::change::{Between, BumpSteer, CAUTION, FactChange, Growth, Remade, RodEnd, SteerFix};
use crate::answer::{Comparison, Told, alignment, words};
use crate::car::Shown;
use crate::cli::args::{Asked, Form};
use crate::cli::table::Table;

/// A car that was made to be compared, as JSON.
#[derive(Serialize)]
struct Whole<'a> {
    growth: Option<&'a Growth>,
    bump_steer: Option<&'a SteerFix>,
    changes: Vec<String>,
    written: Option<&'a str>,
    #[serde(flatten)]
    comparison: &'a Comparison,
    caution: &'static str,
}

/// One car against another. As CSV: the numbers of both axles.
pub fn change(asked: &Asked, told: &Comparison) -> Result<(), Unwritten> {
    let shown = asked.shown();
    let sentence = told.sentence(shown);
    match asked.form() {
        Form::Json => whole(asked, "change", sentence, told),
        Form::Csv => plain(&numbers(told, shown).csv()?),
        Form::Text => plain(&(headline(told.verdict, &sentence) + &tables(told, shown))),
    }
}

/// A car with its arms grown or its rod ends moved, against what it was.
pub fn remade(asked: &Asked, made: &Remade, told: &Comparison, written: Option<&str>) -> Result<(), Unwritten> {
    let shown = asked.shown();
    let mut does: Vec<String> = made.growth.iter().map(|growth| growth.sentence(shown)).collect();
    does.push(told.sentence(shown));
    let sentence = does.join(" ");
    match asked.form() {
        Form::Json => {
            let (growth, bump_steer, changes) = (made.growth.as_ref(), made.bump_steer.as_ref(), made.written());
            let all = Whole { growth, bump_steer, changes, written, comparison: told, caution: CAUTION };
            whole(asked, "change", sentence, &all)
        }
        Form::Csv => plain(&numbers(told, shown).csv()?),
        Form::Text => {
            let mut text = headline(told.verdict, &does.remove(0));
            text += &does.pop().map_or_else(String::new, |more| format!("\n{more}\n"));
            text += &made.growth.as_ref().map_or_else(String::new, |growth| grown(growth, shown));
            text += &made.bump_steer.as_ref().map_or_else(
                || "\nThis axle has no tie rods or toe links, so no rod end sets its bump steer.\n".to_owned(),
                |fix| bump_steer(fix, shown),
            );
            text += &tables(told, shown);
            let changes: String = made.written().iter().map(|change| format!("    {change},\n")).collect();
            text += &match (written, changes.is_empty()) {
                (Some(name), _) => {
                    format!("\nWritten to {} as the proposal \"{name}\":\n\n{changes}", asked.car.display())
                }
                (None, true) => String::new(),
                (None, false) => format!("\nThe changes, for a proposal (--write NAME puts them there):\n\n{changes}"),
            };
            plain(&format!("{text}\n{CAUTION}\n"))
        }
    }
}

fn grown(growth: &Growth, shown: Shown) -> String {
    let unit = shown.sign();
    let cell = |mm: Option<f64>| mm.map_or_else(String::new, |mm| shown.cell(mm));
    let heads = ["part", "from", "was", "becomes", "by"].map(|head| match head {
        "part" | "from" => head.to_owned(),
        head => format!("{head} {unit}"),
    });
    let (mut tubes, mut axes) = (
        Table::new(heads),
        Table::new([
            "pickup axis".to_owned(),
            "plan deg".to_owned(),
            "side deg".to_owned(),
            format!("reach was {unit}"),
            format!("becomes {unit}"),
            format!("alone, square: forward {unit}"),
            format!("out {unit}"),
            format!("up {unit}"),
        ]),
    );
    for part in &growth.parts {
        let name = format!("{} {}", part.side.word(), part.part);
        for leg in &part.legs {
            let Between { from, to, change } = leg.length_mm;
            tubes.row([name.clone(), leg.pickup.words().to_owned(), cell(from), cell(to), cell(change)]);
        }
        if let Some(axis) = part.axis {
            let [forward, left, up] = axis.square_mm;
            let out = left * part.side.sign();
            let angles = [axis.plan_deg, axis.side_deg].map(|deg| format!("{:.2}", deg + 0.0));
            let lengths = [axis.reach_mm.from, axis.reach_mm.to, Some(forward), Some(out), Some(up)].map(cell);
            axes.row([name].into_iter().chain(angles).chain(lengths));
        }
    }
    let mut text = String::new();
    if !growth.instead.is_empty() {
        text += &format!("\n{}\n", growth.instead);
    }
    if growth.parts.iter().any(|part| part.axis.is_some()) {
        text += &format!(
            "\nPickup axes against the car: in plan positive with the front pickup further out, in side view with it higher. \
             Grown alone and square to its axis, an arm takes its ball joint along as told.\n\n{}",
            axes.text()
        );
    }
    if !growth.parts.is_empty() {
        text += &format!("\nTubes, centre to centre of their joints:\n\n{}", tubes.text());
    }
    text
}

fn bump_steer(fix: &SteerFix, shown: Shown) -> String {
    let reach = shown.length(fix.reach_mm);
    let mut table = Table::new([
        "tie rod".to_owned(),
        "outer end".to_owned(),
        format!("deg in {reach} of bump"),
        format!("toe at {reach} droop"),
        format!("at {reach} bump"),
        "bend deg".to_owned(),
    ]);
    let deg = |v: Option<f64>| v.map_or_else(String::new, |v| format!("{v:+.3}"));
    for end in &fix.ends {
        let mut row = |place: String, BumpSteer { rate_deg, droop_deg, bump_deg, bend_deg }: BumpSteer| {
            let numbers = [Some(rate_deg), droop_deg, bump_deg, bend_deg].map(deg);
            table.row([end.side.word().to_owned(), place].into_iter().chain(numbers));
        };
        row("where it is".to_owned(), end.before);
        if end.raise_mm != 0.0 {
            row(place(end, shown), end.after);
        }
    }
    format!(
        "\n{}\n\n{}\nToe against ride height, toe-in positive. The bend is the mean of both ends: no height of the rod's end takes it away.\n",
        fix.sentence(shown),
        table.text()
    )
}

fn place(end: &RodEnd, shown: Shown) -> String {
    if end.met { end.goes(shown) } else { format!("{}, the nearest", end.goes(shown)) }
}

fn tables(told: &Comparison, shown: Shown) -> String {
    let mut text = String::new();
    if !told.facts.is_empty() {
        text += &format!("\n{}", facts(told, shown).text());
    }
    let numbers = numbers(told, shown);
    if told.axles.iter().any(|axle| !axle.numbers.is_empty()) {
        text += &format!("\n{}", numbers.text());
    }
    if !told.moved.is_empty() {
        text += &format!("\nPoints that move, on the body, {}:\n\n{}", shown.sign(), moved(told, shown).text());
    }
    if !told.parts.is_empty() {
        let parts: Vec<String> = told.parts.iter().map(|p| format!("{} {}", p.part, p.fate.word())).collect();
        text += &format!("\n{}.\n", words::capital(&parts.join(", ")));
    }
    text + &notes(&told.notes)
}

fn facts(told: &Comparison, shown: Shown) -> Table {
    let mut table = Table::new(["what", "unit", &told.from, &told.to, "change", "then"]);
    for fact in &told.facts {
        let FactChange { name, from, to, change, .. } = fact;
        let cell = |v: Option<f64>| v.map_or_else(String::new, |v| name.told(v, shown));
        let unit = name.unit(shown).to_owned();
        let numbers = [from.as_ref().map(|f| f.number), to.as_ref().map(|f| f.number), *change].map(cell);
        let about = to.as_ref().map_or("", |f| &f.about).to_owned();
        table.row([name.words().to_owned(), unit].into_iter().chain(numbers).chain([about]));
    }
    table
}

/// Every number a row; both wheels in one where they do the same.
fn numbers(told: &Comparison, shown: Shown) -> Table {
    let (_, _, per) = alignment::step(told.along, shown);
    let heads = ["axle", "number", "wheel", &told.from, &told.to, "change"].map(str::to_owned);
    let rates = [format!("in {per}: {}", told.from), told.to.clone(), "change".to_owned()];
    let mut table = Table::new(heads.into_iter().chain(rates));
    for axle in &told.axles {
        for number in &axle.numbers {
            for (wheel, side) in number.wheels(shown) {
                let cells = [number.value[side as usize], number.rate[side as usize]]
                    .iter()
                    .flat_map(|b| [b.from, b.to, b.change])
                    .map(|v| v.map_or_else(String::new, |v| words::cell(v, number.measure, shown)))
                    .collect::<Vec<_>>();
                let names = [axle.axle.word().to_owned(), head(number.quantity, shown), wheel.to_owned()];
                table.row(names.into_iter().chain(cells));
            }
        }
    }
    table
}

fn moved(told: &Comparison, shown: Shown) -> Table {
    let mut table = Table::new(["point", "from", "to", "by"]);
    let place =
        |at: Option<[f64; 3]>| at.map_or_else(|| "none".to_owned(), |at| at.map(|mm| shown.cell(mm)).join(", "));
    for point in &told.moved {
        let to = format!("-> {}", place(point.to_mm));
        table.row([point.words(), place(point.from_mm), to, place(point.shift())]);
    }
    table
}
