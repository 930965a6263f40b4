//! Where rails are in the way, what to saw, and what stays.

use super::{Form, Table, Unwritten, headline, notes, plain, whole};
use crate::answer::cut::{JudgedCut, JudgedNotch};
use crate::answer::{Cut, CutPlan, FaceStretch, RailPlan, Remains, SawnRail, ScribeLine, StayGap, Told};
use crate::car::Shown;
use crate::cli::args::Asked;

/// Where rails are in the way, and the plans; or the lines to scribe alone.
pub fn cut(asked: &Asked, cut: &Cut, lines: bool) -> Result<(), Unwritten> {
    let shown = asked.shown();
    match asked.form() {
        Form::Json => whole(asked, "cut", cut.sentence(shown), cut),
        Form::Csv if lines => plain(&scribed(cut, shown).csv()?),
        Form::Csv => plain(&in_way(cut, shown).csv()?),
        Form::Text => {
            let mut text = headline(cut.verdict, &cut.sentence(shown));
            if !lines {
                text += &told_in_way(cut, shown);
                text += &cut.sawn.iter().map(|rail| told_sawn(rail, shown)).collect::<String>();
                text += &told_plans(cut, shown);
            }
            if lines {
                text += &format!("\n{}", scribed(cut, shown).text());
            }
            if let Some(slack) = cut.slack_mm.map(|mm| super::known_to(mm, shown)) {
                text += &match cut.unproven.is_empty() {
                    true => format!("\nProven to {slack}: in no pose does a wheel come nearer to what may stay.\n"),
                    false => format!("\nNot proven to {slack}: {}.\n", cut.unproven.join(", ")),
                };
            }
            plain(&format!("{text}{}\n{}\n", notes(&cut.notes), cut.caution))
        }
    }
}

/// The stretches that are in the way, face by face.
fn in_way(cut: &Cut, shown: Shown) -> Table {
    let unit = shown.sign();
    let mut table = Table::new([
        "rail".to_owned(),
        "face".to_owned(),
        "what".to_owned(),
        format!("from {unit}"),
        format!("to {unit}"),
        format!("depth {unit}"),
        format!("deepest at {unit}"),
        "in the pose".to_owned(),
    ]);
    for rail in &cut.rails {
        let mut rows = |what: String, stretches: &[FaceStretch]| {
            for s in stretches {
                table.row([
                    rail.rail.clone(),
                    s.face.word().to_owned(),
                    what.clone(),
                    shown.cell(s.from_mm),
                    shown.cell(s.to_mm),
                    shown.cell(s.depth_mm),
                    shown.cell(s.deepest_mm),
                    s.at.told(shown),
                ]);
            }
        };
        rows("touched".to_owned(), &rail.touched);
        rows(format!("to clear by {}", shown.length(rail.wanted_mm)), &rail.to_clear);
    }
    table
}

fn told_in_way(cut: &Cut, shown: Shown) -> String {
    let mut text = String::new();
    if !cut.rails.is_empty() {
        text += "\nStations run along the rail's centreline.\n";
        for rail in &cut.rails {
            text += &format!("  {}: from the {}\n", rail.rail, rail.datum);
        }
        text += &format!("\n{}", in_way(cut, shown).text());
    }
    if !cut.clear.is_empty() {
        text += &format!("\nOut of the way: {}.\n", cut.clear.join(", "));
    }
    text
}

/// What could be sawn.
fn told_plans(cut: &Cut, shown: Shown) -> String {
    if cut.plans.is_empty() {
        return String::new();
    }
    let room = &cut.room;
    let mut text = format!(
        "\nWhat to saw. Ends lie outside what must go by {} for the blade and {} for weld or plate; saw on the side that goes.\n",
        shown.length(room.kerf_mm),
        shown.length(room.weld_mm)
    );
    for plan in &cut.plans {
        for way in &plan.ways {
            let proven = if cut.slack_mm.is_none() || way.proven { "" } else { " That gap is not proven." };
            text += &format!("  {}{proven}\n", plan.says(way, shown));
        }
        text += &plan.without.iter().map(|why| format!("  {why}\n")).collect::<String>();
    }
    let mut left = remains_table(shown);
    for (plan, way) in each_way(cut) {
        way.remains.iter().for_each(|r| left.row(remains_row(&plan.rail, way.way.words(), r, shown)));
    }
    text += &format!("\nWhat is left of the section, of the whole one.\n\n{}", left.text());
    text += "\nTo take one over, add it to a proposal, in the place of any cut that the rail has there:\n";
    text += &each_way(cut).map(|(_, way)| format!("  {}\n", way.change)).collect::<String>();
    text + "\n`--lines` tells where to scribe.\n"
}

fn each_way(cut: &Cut) -> impl Iterator<Item = (&RailPlan, &CutPlan)> {
    cut.plans.iter().flat_map(|plan| plan.ways.iter().map(move |way| (plan, way)))
}

fn remains_table(shown: Shown) -> Table {
    let unit = shown.sign();
    let heads = ["rail".to_owned(), "what".to_owned(), format!("from {unit}"), format!("to {unit}")];
    let shares = ["area %", "bending upright %", "bending sideways %", "torsion %"].map(str::to_owned);
    Table::new(heads.into_iter().chain(shares))
}

fn remains_row(rail: &str, what: &str, r: &Remains, shown: Shown) -> [String; 8] {
    let percent = |share: f64| format!("{:.1}", share * 100.0);
    let stations = [r.from_mm, r.to_mm].map(|mm| shown.cell(mm));
    let [from, to] = stations;
    let [a, b, c, d] = [r.area, r.upright, r.sideways, r.torsion].map(percent);
    [rail.to_owned(), what.to_owned(), from, to, a, b, c, d]
}

/// A rail's own cuts and notches.
fn told_sawn(rail: &SawnRail, shown: Shown) -> String {
    let unit = shown.sign();
    let mut table = Table::new([
        "cut or notch".to_owned(),
        "end".to_owned(),
        format!("at {unit}"),
        format!("gap {unit}"),
        format!("proven {unit}"),
        "verdict".to_owned(),
        format!("must still go {unit}"),
        format!("could stay {unit}"),
        "least at".to_owned(),
    ]);
    let gap = |gap: Option<&StayGap>| {
        let at = gap.map_or("over 150 mm".to_owned(), |g| format!("{} wheel, {}", g.wheel.words(), g.at.told(shown)));
        let mm = |v: Option<f64>| v.map_or_else(String::new, |mm| shown.cell(mm));
        [mm(gap.map(|g| g.gap_mm)), mm(gap.and_then(|g| g.at_least_mm)), at]
    };
    for JudgedCut { from_mm, to_mm, ends, .. } in &rail.cuts {
        let what = format!("cut {} to {}", shown.cell(*from_mm), shown.cell(*to_mm));
        for end in ends {
            let [here, proven, at] = gap(end.gap.as_ref());
            let there = |mm: f64| end.clear_mm.map_or_else(|| "all".to_owned(), |_| shown.cell(mm));
            let (more, less) = (shown.cell(end.must_go_mm), there(end.could_stay_mm));
            let (word, verdict) = (end.end.word().to_owned(), end.verdict.word().to_owned());
            table.row([what.clone(), word, shown.cell(end.station_mm), here, proven, verdict, more, less, at]);
        }
    }
    let mut depths = String::new();
    for notch in &rail.notches {
        let JudgedNotch { from_mm, to_mm, face, depth_mm, .. } = notch;
        let what = format!("notch {} to {}", shown.cell(*from_mm), shown.cell(*to_mm));
        let [here, proven, at] = gap(notch.gap.as_ref());
        let more = notch.clear_mm.map(|clear| clear - depth_mm);
        let [deeper, less] = [more.map(|mm| mm.max(0.0)), more.map(|mm| (-mm).max(0.0))];
        let cell = |mm: Option<f64>| mm.map_or_else(String::new, |mm| shown.cell(mm));
        let verdict = notch.verdict.word().to_owned();
        let deep = format!("{} deep", shown.cell(*depth_mm));
        table.row([what, deep, String::new(), here, proven, verdict, cell(deeper), cell(less), at]);
        depths += &match (notch.clear_mm, notch.must_go_mm) {
            (None, Some([from, to])) => format!(
                "No notch of the {} face alone clears: {} to {} {unit} is in the way behind it too, or at its ends.\n",
                face.word(),
                shown.cell(from),
                shown.cell(to)
            ),
            _ => format!("The notch leaves {} behind the {} face.\n", shown.length(notch.web_mm), face.word()),
        };
    }
    let mut left = remains_table(shown);
    rail.remains.iter().for_each(|r| left.row(remains_row(&rail.rail, "", r, shown)));
    let sides = if rail.both_sides { ", both sides alike" } else { "" };
    format!(
        "\nThe {}{sides}, from the {}: {:.2} kg goes{} ({}), {} are wanted.\n\n{}{depths}\nWhat is left of the section, of the whole \
         one.\n\n{}",
        rail.rail,
        rail.datum,
        rail.mass_kg,
        if rail.both_sides { " a side" } else { "" },
        rail.metal,
        shown.length(rail.wanted_mm),
        table.text(),
        left.text()
    )
}

/// Where to scribe: the rails' own cuts where there are any, and every plan of the others.
fn scribed(cut: &Cut, shown: Shown) -> Table {
    let unit = shown.sign();
    let mut table = Table::new([
        "rail".to_owned(),
        "what".to_owned(),
        "end".to_owned(),
        "face".to_owned(),
        "edge".to_owned(),
        format!("station {unit}"),
        format!("tape along the edge {unit}"),
        format!("deep {unit}"),
    ]);
    let mut rows = |rail: &str, what: &str, lines: &[ScribeLine]| {
        for (line, mark) in lines.iter().flat_map(|line| line.marks.iter().map(move |mark| (line, mark))) {
            table.row([
                rail.to_owned(),
                what.to_owned(),
                line.end.word().to_owned(),
                line.face.word().to_owned(),
                mark.edge.to_owned(),
                shown.cell(mark.station_mm),
                shown.cell(mark.tape_mm),
                line.deep_mm.map_or_else(String::new, |mm| shown.cell(mm)),
            ]);
        }
    };
    for rail in &cut.sawn {
        rail.cuts.iter().for_each(|own| rows(&rail.rail, "own cut", &own.lines));
        rail.notches.iter().for_each(|own| rows(&rail.rail, "own notch", &own.lines));
    }
    let planned = each_way(cut).filter(|(plan, _)| cut.sawn.iter().all(|own| own.rail != plan.rail));
    planned.for_each(|(plan, way)| rows(&plan.rail, way.way.words(), &way.lines));
    table
}
