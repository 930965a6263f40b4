//! Ways to tie a cut rail back.

use super::{Unwritten, headline, notes, plain, whole};
use crate::answer::Told;
use crate::answer::frame::told::{percent, rounded};
use crate::answer::routes::told::mass;
use crate::answer::routes::{CutRoutes, Route, Routes};
use crate::car::Shown;
use crate::cli::args::{Asked, Form};
use crate::cli::table::Table;

/// Every route with its tubes, and the changes that make it. As CSV: a row for each tube and end plate.
pub fn routes(asked: &Asked, routes: &Routes) -> Result<(), Unwritten> {
    let shown = asked.shown();
    match asked.form() {
        Form::Json => whole(asked, "routes", routes.sentence(shown), routes),
        Form::Csv => plain(&tubes(routes, shown).csv()?),
        Form::Text => {
            let mut text = headline(routes.verdict, &routes.sentence(shown));
            for cut in &routes.cuts {
                text += &format!("\n{}\n", tried(cut, shown));
                for (i, route) in cut.routes.iter().enumerate() {
                    text += &format!("\nRoute {}: {}\n{}", i + 1, said(route, shown), table(route, shown).text());
                    text += &format!(
                        "To take it, put these last in the proposal's `changes`:\n{}",
                        indented(&route.changes)
                    );
                }
            }
            plain(&format!("{text}{}\n{}\n\n{}\n", notes(&routes.notes), routes.caution[0], routes.caution[1]))
        }
    }
}

fn tried(cut: &CutRoutes, shown: Shown) -> String {
    let without = match (cut.without.nothing_holds.first(), &cut.without.least) {
        (Some(part), _) => format!("without a route nothing holds the {part}"),
        (None, Some(least)) => format!("without a route the body keeps {} at least", percent(least.share)),
        (None, None) => "nothing of the body is loaded".to_owned(),
    };
    let t = &cut.tried;
    format!(
        "The {}: {without}. {} lines were measured, {} have their gaps, and {} sets of tubes on them were calculated.",
        cut.words(shown),
        t.lines,
        t.clear,
        t.sets
    )
}

fn said(route: &Route, shown: Shown) -> String {
    let mut said = format!("{}, {}", route.parts(), mass(route.mass_kg, shown));
    if !route.plates.is_empty() {
        said += &format!(" of which the end plates are {}", mass(route.plates_kg(), shown));
    }
    if let Some(least) = &route.kept.least {
        said += &format!(", keeps {} or more (least: {})", percent(least.share), least.words());
    }
    if let Some(twist) = route.twist_nm_per_deg {
        said += &format!(", twist {} Nm/deg", rounded(twist));
    }
    if let Some(weakest) = &route.weakest {
        said += &format!("; weakest: {}", weakest.words());
    }
    if let Some(gap) = &route.tightest {
        let (is, wanted) = (shown.length(gap.gap_mm), shown.length(gap.wanted_mm));
        said += &format!("; tightest: {} from the {}, {is} where {wanted} is wanted", gap.tube, gap.part);
    }
    said + "."
}

fn table(route: &Route, shown: Shown) -> Table {
    let unit = shown.sign();
    let mut table = Table::new([
        "part".to_owned(),
        format!("size {unit}"),
        "grade".to_owned(),
        format!("length {unit}"),
        "runs".to_owned(),
    ]);
    for t in &route.tubes {
        let runs = t.runs.join(" - ");
        table.row([t.name.clone(), t.size(shown), t.grade.clone(), shown.cell(t.length_mm), runs]);
    }
    for p in &route.plates {
        let grade = p.grade.clone().unwrap_or_default();
        table.row([p.name(), p.size(shown), grade, String::new(), format!("on the cut's {} end", p.end.word())]);
    }
    table
}

fn tubes(routes: &Routes, shown: Shown) -> Table {
    let unit = shown.sign();
    let heads = ["rail", "cut", "route", "reaches", "holds", "kept", "part"].map(str::to_owned).into_iter();
    let sizes =
        [format!("od {unit}"), format!("wall {unit}"), "grade".to_owned(), format!("length {unit}"), "runs".to_owned()];
    let mut table = Table::new(heads.chain(sizes));
    for cut in &routes.cuts {
        for (i, route) in cut.routes.iter().enumerate() {
            let yes = |is: bool| if is { "yes" } else { "no" }.to_owned();
            let mut row = |part: String, own: [String; 5]| {
                let route = [
                    cut.rail.clone(),
                    cut.nth.to_string(),
                    (i + 1).to_string(),
                    yes(route.reaches),
                    yes(route.holds),
                    route.share().map_or_else(String::new, |s| format!("{s:.3}")),
                    part,
                ];
                table.row(route.into_iter().chain(own));
            };
            for t in &route.tubes {
                let [od, wall, length] = [t.od_mm, t.wall_mm, t.length_mm].map(|mm| shown.cell(mm));
                row(t.name.clone(), [od, wall, t.grade.clone(), length, t.runs.join(" - ")]);
            }
            for p in &route.plates {
                let grade = p.grade.clone().unwrap_or_default();
                let on = format!("on the cut's {} end", p.end.word());
                row(p.name(), [String::new(), shown.cell(p.size_mm[2]), grade, String::new(), on]);
            }
        }
    }
    table
}

fn indented(text: &str) -> String {
    text.lines().map(|line| format!("    {line}\n")).collect()
}
