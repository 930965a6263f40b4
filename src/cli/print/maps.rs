//! Gaps over bump and steer, and lock over the wheel travel.

use super::{LOCK_CAUTION, Unwritten, headline, notes, plain, whole};
use crate::answer::lock::CurveWay;
use crate::answer::map::Cell;
use crate::answer::{GapMap, LockCurve, Told};
use crate::cli::args::{Asked, Form};
use crate::cli::table::Table;

/// Rows and columns of the table that a reader can take in.
const FEW: usize = 7;

/// The gap over bump and steer: JSON and CSV have every node, the text a table of some.
pub fn map(asked: &Asked, map: &GapMap) -> Result<(), Unwritten> {
    let shown = asked.shown();
    match asked.form() {
        Form::Json => whole(asked, "map", map.sentence(shown), map),
        Form::Csv => plain(&every_node(asked, map).csv()?),
        Form::Text => {
            let unit = shown.sign();
            let told = headline(map.verdict, &map.sentence(shown));
            let key = named(map).into_iter().map(|n| {
                let pair = &map.pairs[n];
                format!("  {}  {} and {}, {} wanted\n", map.letter(n), pair.a, pair.b, shown.length(pair.wanted_mm))
            });
            let key: String = key.collect();
            let say = format!(
                "Gap in {unit} of the pair that is shortest of its wanted gap; {} up, {} across ({}).",
                map.up.name.to_lowercase(),
                map.across.name.to_lowercase(),
                map.across.positive
            );
            let proof = map.proof(shown).map_or_else(String::new, |proof| format!("\n{proof}\n"));
            plain(&format!("{told}\n{say}\n\n{}\n{key}{proof}{}", few_nodes(asked, map).text(), notes(&map.notes)))
        }
    }
}

/// Every node, row by row.
fn every_node(asked: &Asked, map: &GapMap) -> Table {
    let shown = asked.shown();
    let unit = shown.sign();
    let across = map.across.name.to_lowercase();
    let heads = [format!("travel {unit}"), format!("{across} {unit}"), "part".to_owned(), "against".to_owned()];
    let gaps = ["gap", "in hand", "nearest"].map(|what| format!("{what} {unit}"));
    let mut table = Table::new(heads.into_iter().chain(gaps));
    for (row, travel) in map.cells.iter().zip(&map.up.values_mm) {
        for (cell, beside) in row.iter().zip(&map.across.values_mm) {
            // One decimal more than is read off a tape, so that the nodes stand evenly.
            let place = |mm: f64| format!("{:.*}", shown.decimals() + 2, shown.number(mm) + 0.0);
            let mut cells = vec![place(*travel), place(*beside)];
            match cell {
                Some(c) => {
                    let pair = &map.pairs[c.pair];
                    cells.extend([pair.a.clone(), pair.b.clone()]);
                    cells.extend([c.gap_mm, c.in_hand_mm, c.least_gap_mm].map(|mm| shown.cell(mm)));
                }
                None => cells.extend(vec![String::new(); 5]),
            }
            table.row(cells);
        }
    }
    table
}

/// A few nodes as a grid: full bump on top, as it stands on a drawing.
fn few_nodes(asked: &Asked, map: &GapMap) -> Table {
    let shown = asked.shown();
    let columns = few(map.across.values_mm.len());
    let across = columns.iter().map(|i| shown.cell(map.across.values_mm[*i]));
    let mut table = Table::new(std::iter::once(format!("travel {}", shown.sign())).chain(across));
    for k in few(map.up.values_mm.len()).into_iter().rev() {
        let cell = |c: &Cell| format!("{:>6} {}", shown.cell(c.gap_mm), map.letter(c.pair));
        let cells = columns.iter().map(|i| map.cells[k][*i].as_ref().map_or_else(String::new, cell));
        table.row(std::iter::once(shown.cell(map.up.values_mm[k])).chain(cells));
    }
    table
}

/// Some of so many, evenly, the ends among them.
fn few(count: usize) -> Vec<usize> {
    let most = FEW.min(count).max(2);
    (0..most).map(|n| (n * (count - 1)) / (most - 1)).collect()
}

/// The pairs that have a letter, by it.
fn named(map: &GapMap) -> Vec<usize> {
    let mut named: Vec<usize> = (0..map.pairs.len()).filter(|n| !map.letter(*n).is_empty()).collect();
    named.sort_by_key(|n| (map.letter(*n).len(), map.letter(*n)));
    named
}

/// The lock curve: CSV has every point, the text each stretch with its tightest place.
pub fn lock_curve(asked: &Asked, curve: &LockCurve) -> Result<(), Unwritten> {
    let shown = asked.shown();
    match asked.form() {
        Form::Json => whole(asked, "lock curve", curve.sentence(shown), curve),
        Form::Csv => plain(&every_point(asked, curve).csv()?),
        Form::Text => {
            let mut text = headline(curve.verdict, &curve.sentence(shown)) + "\n" + &stretches(asked, curve).text();
            if !curve.left_out.is_empty() {
                text +=
                    "\nToo near with the wheels straight ahead already, somewhere in the travel, so left out here:\n";
                curve.left_out.iter().for_each(|[a, b]| text += &format!("  {a} - {b}\n"));
            }
            plain(&format!("{text}{}\n{LOCK_CAUTION}\n", notes(&curve.notes)))
        }
    }
}

fn stretches(asked: &Asked, curve: &LockCurve) -> Table {
    let shown = asked.shown();
    let unit = shown.sign();
    let mut table = Table::new([
        "steering".to_owned(),
        format!("from {unit}"),
        format!("to {unit}"),
        "ends at".to_owned(),
        format!("least rack {unit}"),
        format!("at travel {unit}"),
        "inner wheel at that travel deg".to_owned(),
    ]);
    for way in &curve.ways {
        for s in &way.stretches {
            let at = &way.points[s.tightest];
            let ends = s.pair.as_ref().map_or_else(|| "the rack's stop".to_owned(), |[a, b]| format!("{a} - {b}"));
            table.row([
                way.way.word().to_owned(),
                shown.cell(s.from_mm),
                shown.cell(s.to_mm),
                ends,
                shown.cell(at.rack_mm.abs()),
                format!("{:.1}", way.inner(at)),
                shown.cell(at.travel_mm),
            ]);
        }
    }
    table
}

fn every_point(asked: &Asked, curve: &LockCurve) -> Table {
    let shown = asked.shown();
    let unit = shown.sign();
    let mut table = Table::new([
        "steering".to_owned(),
        format!("travel {unit}"),
        format!("rack {unit}"),
        "left wheel deg".to_owned(),
        "right wheel deg".to_owned(),
        "part".to_owned(),
        "against".to_owned(),
    ]);
    let of = |way: &CurveWay| -> Vec<[String; 7]> {
        let row = |p: &crate::answer::lock::CurvePoint| {
            let [a, b] = p.touch.as_ref().map_or_else(Default::default, |t| [t.a.clone(), t.b.clone()]);
            let [left, right] = p.steer_deg.map(|deg| format!("{deg:.2}"));
            [way.way.word().to_owned(), shown.cell(p.travel_mm), shown.cell(p.rack_mm), left, right, a, b]
        };
        way.points.iter().map(row).collect()
    };
    curve.ways.iter().flat_map(of).for_each(|row| table.row(row));
    table
}
