//! The lists among the papers, as tables: for pages and for CSV.

use super::table::Table;
use crate::answer::sheets::{CutList, Jig, ListedPoint, Rod, SetRow, SetUp};
use crate::car::{Shown, Side};
use crate::motion::Measure;

fn heads(shown: Shown, words: &[&str]) -> Table {
    Table::new(words.iter().map(|w| w.replace('#', shown.sign())))
}

fn optional(mm: Option<f64>, shown: Shown) -> String {
    mm.map_or_else(String::new, |mm| shown.cell(mm))
}

/// A wall or an outside diameter: to the hundredth, as it is sold.
fn size(mm: f64, shown: Shown) -> String {
    match shown {
        Shown::Mm => format!("{mm:.2}"),
        Shown::In => format!("{:.3}", shown.number(mm)),
    }
}

fn wall(mm: Option<f64>, shown: Shown) -> String {
    mm.map_or_else(|| "solid".to_owned(), |mm| size(mm, shown))
}

/// The difference of two numbers, where there are two.
fn change(now: f64, was: Option<f64>, shown: Shown) -> String {
    optional(was.map(|was| now - was), shown)
}

/// Tubes to saw.
pub fn tubes(list: &CutList, shown: Shown) -> Table {
    let words = [
        "tube",
        "how many",
        "hands",
        "outside #",
        "wall #",
        "grade",
        "saw square to #",
        "axis #",
        "end 1",
        "end 2",
        "bends deg",
        "kg each",
    ];
    let mut table = heads(shown, &words);
    for t in &list.tubes {
        let bends = t.bends_deg.iter().map(|d| format!("{d:.1}")).collect::<Vec<_>>().join(", ");
        table.row([
            t.tube.clone(),
            t.count.to_string(),
            t.hands.to_owned(),
            size(t.od_mm, shown),
            wall(t.wall_mm, shown),
            t.grade.clone(),
            shown.cell(t.length_mm),
            shown.cell(t.axis_mm),
            t.ends[0].clone(),
            t.ends[1].clone(),
            bends,
            format!("{:.3}", t.mass_kg),
        ]);
    }
    table
}

/// Plates.
pub fn plates(list: &CutList, shown: Shown) -> Table {
    let mut table = heads(shown, &["plate on", "how many", "wide #", "high #", "thick #", "grade", "kg each"]);
    for p in &list.plates {
        let [wide, high, thick] = p.size_mm;
        table.row([
            p.on.clone(),
            p.count.to_string(),
            shown.cell(wide),
            shown.cell(high),
            size(thick, shown),
            p.grade.clone(),
            format!("{:.3}", p.mass_kg),
        ]);
    }
    table
}

/// Stock that it takes.
pub fn stock(list: &CutList, shown: Shown) -> Table {
    let words = ["outside #", "wall #", "grade", "pieces", "length with blade #", "kg", "in stock"];
    let mut table = heads(shown, &words);
    for s in &list.stock {
        table.row([
            size(s.od_mm, shown),
            wall(s.wall_mm, shown),
            s.grade.clone(),
            s.pieces.to_string(),
            shown.cell(s.length_mm),
            format!("{:.2}", s.mass_kg),
            if s.in_stock { "yes" } else { "no" }.to_owned(),
        ]);
    }
    table
}

/// An arm's holes.
pub fn holes(jig: &Jig, shown: Shown) -> Table {
    let mut table = heads(shown, &["hole", "x #", "y #", "z #", "x as found #", "y as found #", "z as found #"]);
    for (i, hole) in jig.holes.iter().enumerate() {
        let now = hole.at_mm.map(|mm| shown.cell(mm));
        let was = hole.was_mm.map_or_else(Default::default, |p| p.map(|mm| shown.cell(mm)));
        table.row([format!("{}  {}", i + 1, hole.name)].into_iter().chain(now).chain(was));
    }
    table
}

/// Distances from hole to hole.
pub fn checks(jig: &Jig, shown: Shown) -> Table {
    let mut table = heads(shown, &["from", "to", "tape #", "as found #", "change #"]);
    for c in &jig.checks {
        table.row([
            c.from.to_owned(),
            c.to.to_owned(),
            shown.cell(c.mm),
            optional(c.was_mm, shown),
            change(c.mm, c.was_mm, shown),
        ]);
    }
    table
}

/// Angles at an arm's first three holes.
pub fn angles(jig: &Jig) -> Table {
    let mut table = Table::new(["angle at", "deg", "as found deg"]);
    for a in &jig.angles {
        let was = a.was_deg.map_or_else(String::new, |deg| format!("{deg:.2}"));
        table.row([a.at.to_owned(), format!("{:.2}", a.deg), was]);
    }
    table
}

/// Rods and links.
pub fn rods(rods: &[Rod], shown: Shown) -> Table {
    let words = ["part", "from", "to", "centre to centre #", "as found #", "change #", "outside #"];
    let mut table = heads(shown, &words);
    for r in rods {
        table.row([
            r.part.clone(),
            r.from.to_owned(),
            r.to.to_owned(),
            shown.cell(r.mm),
            optional(r.was_mm, shown),
            change(r.mm, r.was_mm, shown),
            size(r.od_mm, shown),
        ]);
    }
    table
}

/// All jigs in one table: holes with their coordinates, then distances and angles.
pub fn jigs(all: &[Jig], rods: &[Rod], shown: Shown) -> Table {
    let words = ["arm", "what", "hole", "to", "x #", "y #", "z #", "tape #", "angle deg", "as found"];
    let mut table = heads(shown, &words);
    let none = String::new;
    for jig in all {
        let arm = || jig.arm.clone();
        for hole in &jig.holes {
            let [x, y, z] = hole.at_mm.map(|mm| shown.cell(mm));
            let was = hole.was_mm.map_or_else(none, |p| p.map(|mm| shown.cell(mm)).join(" "));
            table.row([arm(), "hole".into(), hole.name.into(), none(), x, y, z, none(), none(), was]);
        }
        for c in &jig.checks {
            let (from, to) = (c.from.to_owned(), c.to.to_owned());
            let (mm, was) = (shown.cell(c.mm), optional(c.was_mm, shown));
            table.row([arm(), "distance".into(), from, to, none(), none(), none(), mm, none(), was]);
        }
        for a in &jig.angles {
            let (deg, was) = (format!("{:.2}", a.deg), a.was_deg.map_or_else(none, |deg| format!("{deg:.2}")));
            table.row([arm(), "angle".into(), a.at.into(), none(), none(), none(), none(), none(), deg, was]);
        }
    }
    for r in rods {
        let (mm, was) = (shown.cell(r.mm), optional(r.was_mm, shown));
        let (from, to) = (r.from.to_owned(), r.to.to_owned());
        table.row([r.part.clone(), "distance".into(), from, to, none(), none(), none(), mm, none(), was]);
    }
    table
}

/// All points.
pub fn points(all: &[ListedPoint], shown: Shown) -> Table {
    let words = ["of", "point", "side", "x #", "y #", "z #", "moves x #", "moves y #", "moves z #", "new"];
    let mut table = heads(shown, &words);
    let compared = all.iter().any(|p| p.was_mm.is_some());
    for p in all {
        let now = p.at_mm.map(|mm| shown.cell(mm));
        let moves = p.shift_mm().map_or_else(Default::default, |s| s.map(|mm| shown.cell(mm)));
        let side = p.side.map_or_else(String::new, |side: Side| side.word().to_owned());
        let new = if compared && p.was_mm.is_none() { "new" } else { "" };
        let cells = [p.of.clone(), p.point.clone(), side].into_iter().chain(now).chain(moves);
        table.row(cells.chain([new.to_owned()]));
    }
    table
}

/// Numbers to set.
pub fn set_up(sheet: &SetUp, shown: Shown) -> Table {
    let mut table = heads(shown, &["where", "what", "set", "give or take", "as found", "unit", "measured"]);
    for row in &sheet.rows {
        let told = |v: f64| number(row, v, shown);
        table.row([
            row.at.clone(),
            row.what.to_owned(),
            told(row.value),
            row.doubt.map_or_else(String::new, told),
            row.was.map_or_else(String::new, told),
            if row.measure == Measure::Length { shown.sign() } else { "deg" }.to_owned(),
            String::new(),
        ]);
    }
    if let Some([left, right]) = sheet.limiters_mm {
        for (side, mm) in [("to the left", left), ("to the right", right)] {
            let unit = shown.sign().to_owned();
            let what = format!("limiter, steering {side}");
            // A limiter of no length is none: nothing is to be set.
            let set = if mm > 0.0 { shown.cell(mm) } else { "none".to_owned() };
            table.row(["rack".to_owned(), what, set, String::new(), String::new(), unit, String::new()]);
        }
    }
    table
}

fn number(row: &SetRow, value: f64, shown: Shown) -> String {
    match row.measure {
        Measure::Length => shown.cell(value),
        _ => format!("{:.2}", (value * 100.0).round() / 100.0 + 0.0),
    }
}
