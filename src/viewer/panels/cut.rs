//! The table of the cut: what to saw out of each rail in the way, what is sawn already, and each face's stretches as stations
//! from the rail's datum.

use bevy_egui::egui::{Align, Button, CollapsingHeader, Grid, Label, Layout, RichText, Ui, vec2};

use super::{View, gaps, widgets};
use crate::answer::cut::{CAUTION, CutPlan, JudgedCut, RailPlan, SawnRail};
use crate::answer::routes::told::mass;
use crate::answer::{RailCut, Verdict, words};
use crate::car::units::POUND;
use crate::car::{CutEnd, Edit, Shown};
use crate::viewer::asking::Answered;
use crate::viewer::desk::Command;
use crate::viewer::theme;

pub(super) fn table(ui: &mut Ui, view: &mut View, answered: &Answered) {
    let cut = &answered.answers.cut;
    let shown = view.units.0;
    let hint = "How stiff and strong the body is as found, cut and braced; routes for tubes around the cut";
    if ui.add(Button::new("Strength and routes").selected(view.bracing.open)).on_hover_text(hint).clicked() {
        view.bracing.open = !view.bracing.open;
        view.laying.open = false;
    }
    for rail in &cut.sawn {
        sawn(ui, view, rail, shown);
    }
    // What is sawn clear needs no other plan.
    for plan in cut.plans.iter().filter(|_| cut.verdict != Verdict::Clear) {
        planned(ui, view, plan, shown);
    }
    for rail in &cut.rails {
        in_the_way(ui, view, answered, rail, shown);
    }
    if !cut.clear.is_empty() {
        ui.add_space(4.0);
        let text = format!("Out of the way: {}.", cut.clear.join(", "));
        ui.add(Label::new(RichText::new(text).size(12.5)).wrap());
    }
    // It stands beside the button already while a way to saw is looked at.
    if !cut.plans.iter().any(|plan| plan.ways.iter().any(|way| view.bracing.looks_at(&plan.rail, way))) {
        widgets::caution(ui, cut.caution);
    }
}

/// The ways to saw a rail. The one that is pressed shows where to scribe it, and can be made.
fn planned(ui: &mut Ui, view: &mut View, plan: &RailPlan, shown: Shown) {
    ui.add_space(6.0);
    let sides = if plan.both_sides { ", both sides" } else { "" };
    ui.label(RichText::new(format!("What to saw: {}{sides}", plan.rail)).font(theme::strong(13.0)));
    let from = format!("Stations, {}, from the {}.", shown.sign(), plan.datum);
    ui.add(Label::new(RichText::new(from).size(12.0).color(theme::SOFT)).wrap());
    let (unit, per) = if shown == Shown::Mm { ("kg", 1.0) } else { ("lb", POUND) };
    let each = if plan.both_sides { ", a side" } else { "" };
    widgets::row_head(ui, &format!("Way, what goes{each}"), &["from", "to", unit]);
    for way in &plan.ways {
        let chosen = view.bracing.looks_at(&plan.rail, way);
        let cells = [
            (shown.cell(way.from_mm), theme::INK),
            (shown.cell(way.to_mm), theme::INK),
            (format!("{:.2}", way.mass_kg / per), theme::SOFT),
        ];
        let held = way.gap.is_none_or(|gap| gap.gap_mm >= plan.wanted_mm);
        let verdict = if held { Verdict::Clear } else { Verdict::Short };
        let name = words::capital(way.way.words().trim_start_matches("cut with "));
        if widgets::row(ui, verdict, &name, (&cells, 0), chosen).on_hover_text(kept(way, shown)).clicked() {
            view.bracing.plan = (!chosen).then(|| (plan.rail.clone(), way.way));
        }
        if chosen {
            ui.add(Label::new(RichText::new(kept(way, shown)).size(12.0).color(theme::SOFT)).wrap());
            make(ui, view, way);
            widgets::caution(ui, CAUTION);
            scribed(ui, way, shown);
        }
    }
    for why in &plan.without {
        ui.add(Label::new(RichText::new(why).size(12.0).color(theme::SOFT)).wrap());
    }
}

fn kept(way: &CutPlan, shown: Shown) -> String {
    let proven = |at_least: Option<f64>| match at_least {
        Some(mm) => format!("proven: nowhere less than {}", shown.length(mm)),
        None => "searched, not proven".to_owned(),
    };
    way.gap.map_or_else(
        || "No wheel comes near what stays.".to_owned(),
        |gap| {
            let (wheel, keeps) = (gap.wheel.words(), shown.length(gap.gap_mm));
            format!("The {wheel} wheel keeps {keeps} from what stays, {}.", proven(gap.at_least_mm))
        },
    )
}

/// Where the lines run: a tape laid along each edge from the rail's end at the datum finds them.
fn scribed(ui: &mut Ui, way: &CutPlan, shown: Shown) {
    let marks = |end: CutEnd| way.lines.iter().filter(move |l| l.end == end).flat_map(|l| &l.marks);
    let mut edges: Vec<&str> = Vec::new();
    for mark in way.lines.iter().flat_map(|l| &l.marks) {
        if !edges.contains(&mark.edge) {
            edges.push(mark.edge);
        }
    }
    Grid::new("scribed").num_columns(3).spacing(vec2(10.0, 0.0)).min_row_height(19.0).show(ui, |ui| {
        ui.label(RichText::new("Scribe, tape along the edge").size(12.0).color(theme::SOFT));
        for end in CutEnd::BOTH {
            widgets::right(ui, RichText::new(end.word()).small().color(theme::SOFT));
        }
        ui.end_row();
        for edge in edges {
            ui.label(RichText::new(words::capital(edge)).size(12.0));
            for end in CutEnd::BOTH {
                let tape = marks(end).find(|m| m.edge == edge).map(|m| shown.cell(m.tape_mm));
                widgets::right(ui, RichText::new(tape.unwrap_or_default()).size(12.0));
            }
            ui.end_row();
        }
    });
    if let Some(deep) = way.lines.iter().find_map(|l| l.deep_mm) {
        let text = format!("And {} down on the faces beside.", shown.length(deep));
        ui.add(Label::new(RichText::new(text).size(12.0)).wrap());
    }
}

fn make(ui: &mut Ui, view: &mut View, way: &CutPlan) {
    let proposal = view.desk.proposal().map(str::to_owned);
    let hint =
        if proposal.is_some() { way.change.clone() } else { "Choose a proposal first, or make one with +".to_owned() };
    let button = ui.add_enabled(proposal.is_some(), Button::new("Cut it so"));
    let button = button.on_hover_text(&hint).on_disabled_hover_text(hint);
    if button.clicked()
        && let Some(proposal) = proposal
    {
        view.commands.write(Command::Edit(Edit::AddChanges { proposal, changes: vec![way.change.clone()] }));
        view.bracing.plan = None;
    }
}

/// A rail that is cut, its ends to be moved.
fn sawn(ui: &mut Ui, view: &mut View, rail: &SawnRail, shown: Shown) {
    ui.add_space(6.0);
    let sides = if rail.both_sides { ", both sides" } else { "" };
    let goes = mass(rail.mass_kg, shown);
    ui.label(RichText::new(format!("As it is cut: {}{sides}", rail.rail)).font(theme::strong(13.0)));
    let from = format!("Stations, {}, from the {}. {goes} goes a side.", shown.sign(), rail.datum);
    ui.add(Label::new(RichText::new(from).size(12.0).color(theme::SOFT)).wrap());
    for (nth, cut) in rail.cuts.iter().enumerate() {
        ends(ui, view, rail, (nth + 1, cut), shown);
    }
    for (nth, notch) in rail.notches.iter().enumerate() {
        notch_fields(ui, view, rail, nth, shown);
        let gap =
            notch.gap.map_or_else(|| "nothing near".to_owned(), |gap| format!("gap {}", shown.length(gap.gap_mm)));
        let face = words::capital(notch.face.word());
        let text = format!("{face} face: {gap}, {} wanted.", shown.length(rail.wanted_mm));
        ui.horizontal_top(|ui| {
            widgets::sign_in(ui, notch.verdict);
            ui.add(Label::new(RichText::new(text).size(12.5)).wrap());
        });
    }
    remains(ui, rail, shown);
}

/// Thickness and edge of a plate that is put on, mm: twice what rails' walls have (common practice, no source).
const USUAL_PLATE: [f64; 2] = [4.0, 0.0];

fn ends(ui: &mut Ui, view: &mut View, rail: &SawnRail, (nth, cut): (usize, &JudgedCut), shown: Shown) {
    let described = view.desk.looked_at().car.rails.iter().find(|r| r.name == rail.rail).and_then(|r| r.cut(Some(nth)));
    let Some(now) = described.copied() else { return };
    let mut to = now;
    ui.horizontal(|ui| {
        ui.label(RichText::new("Cut from").size(12.5));
        to.from = widgets::length(ui, 70.0, shown, now.from).unwrap_or(now.from);
        ui.label(RichText::new("to").size(12.5));
        to.to = widgets::length(ui, 70.0, shown, now.to).unwrap_or(now.to);
    });
    if to != now {
        let proposal = view.desk.proposal().map(str::to_owned);
        view.commands.write(Command::Edit(Edit::PutCut { proposal, rail: rail.rail.clone(), nth, cut: to }));
    }
    for end in &cut.ends {
        let gap = end.gap.map_or_else(|| "nothing near".to_owned(), |gap| format!("gap {}", shown.length(gap.gap_mm)));
        let more = match (end.must_go_mm > 0.05, end.could_stay_mm > 0.05) {
            (true, _) => format!("; {} more must go", shown.length(end.must_go_mm)),
            (_, true) => format!("; {} could stay", shown.length(end.could_stay_mm)),
            _ => String::new(),
        };
        ui.horizontal_top(|ui| {
            widgets::sign_in(ui, end.verdict);
            let text = format!("{} end: {gap}{more}.", words::capital(end.end.word()));
            ui.add(Label::new(RichText::new(text).size(12.5)).wrap());
        });
        plate(ui, view, rail, (nth, end.end), shown);
    }
}

/// The plate on a cut end: none, or so thick and so far over the section.
fn plate(ui: &mut Ui, view: &mut View, rail: &SawnRail, (nth, end): (usize, CutEnd), shown: Shown) {
    let described = view.desk.looked_at().car.rails.iter().find(|r| r.name == rail.rail);
    let Some(described) = described else { return };
    let cut = described.cut(Some(nth));
    let now = described.plates.iter().find(|p| p.cut == end && described.cut(p.nth) == cut);
    let now = now.map(|p| [p.thickness, p.over]);
    let mut to = now;
    ui.horizontal(|ui| {
        let mut there = now.is_some();
        let hint = "A flat plate welded on this end of the cut: a tube that ends on it reaches all walls";
        let word = RichText::new(format!("{} plate", words::capital(end.word()))).size(12.5);
        // Both ends' fields stand under one another.
        let tick = ui.allocate_ui_with_layout(vec2(94.0, 22.0), Layout::left_to_right(Align::Center), |ui| {
            ui.set_min_width(94.0);
            ui.checkbox(&mut there, word).on_hover_text(hint).changed()
        });
        if tick.inner {
            to = there.then_some(USUAL_PLATE);
        }
        if let Some([thickness, over]) = &mut to {
            *thickness = widgets::length(ui, 52.0, shown, *thickness).unwrap_or(*thickness);
            ui.label(RichText::new("thick,").size(12.5));
            *over = widgets::length(ui, 52.0, shown, *over).unwrap_or(*over);
            ui.label(RichText::new("over").size(12.5));
        }
    });
    if to != now {
        let proposal = view.desk.proposal().map(str::to_owned);
        let rail = rail.rail.clone();
        view.commands.write(Command::Edit(Edit::PutPlate { proposal, rail, nth, end, plate: to }));
    }
}

/// A notch's stations and depth, to be typed.
fn notch_fields(ui: &mut Ui, view: &mut View, rail: &SawnRail, nth: usize, shown: Shown) {
    let described =
        view.desk.looked_at().car.rails.iter().find(|r| r.name == rail.rail).and_then(|r| r.notches.get(nth));
    let Some(now) = described.copied() else { return };
    let mut to = now;
    ui.horizontal(|ui| {
        for (word, field) in [("Notch", &mut to.from), ("to", &mut to.to), ("deep", &mut to.depth)] {
            ui.label(RichText::new(word).size(12.5));
            *field = widgets::length(ui, 58.0, shown, *field).unwrap_or(*field);
        }
    });
    if to != now {
        let proposal = view.desk.proposal().map(str::to_owned);
        let (rail, nth) = (rail.rail.clone(), nth + 1);
        view.commands.write(Command::Edit(Edit::PutNotch { proposal, rail, nth, notch: to }));
    }
}

/// What is left of the section along the rail.
fn remains(ui: &mut Ui, rail: &SawnRail, shown: Shown) {
    let share = |part: f64| format!("{:.0} %", part * 100.0);
    Grid::new(format!("remains of {}", rail.rail)).num_columns(4).spacing(vec2(8.0, 0.0)).min_row_height(20.0).show(
        ui,
        |ui| {
            ui.label(RichText::new("What is left").font(theme::strong(12.0)).color(theme::SOFT));
            for head in ["area", "bending", "twist"] {
                widgets::right(ui, RichText::new(head).small().color(theme::SOFT));
            }
            ui.end_row();
            for part in &rail.remains {
                let text = format!("{} to {}", shown.cell(part.from_mm), shown.cell(part.to_mm));
                ui.label(RichText::new(text).size(12.5));
                for value in [part.area, part.upright.min(part.sideways), part.torsion] {
                    widgets::right(ui, RichText::new(share(value)).size(12.5));
                }
                ui.end_row();
            }
        },
    );
}

fn in_the_way(ui: &mut Ui, view: &mut View, answered: &Answered, rail: &RailCut, shown: Shown) {
    ui.add_space(4.0);
    let head = format!("{}, face by face", words::capital(&rail.rail));
    CollapsingHeader::new(RichText::new(head).font(theme::strong(12.5))).id_salt(&rail.rail).show(ui, |ui| {
        let from = format!("Stations, {}, from the {}.", shown.sign(), rail.datum);
        ui.add(Label::new(RichText::new(from).size(12.0).color(theme::SOFT)).wrap());
        faces(ui, view, answered, rail, shown);
    });
}

fn faces(ui: &mut Ui, view: &mut View, answered: &Answered, rail: &RailCut, shown: Shown) {
    let groups = [
        ("The tyre touches".to_owned(), &rail.touched, theme::TOUCH),
        (format!("To clear by {}", shown.length(rail.wanted_mm)), &rail.to_clear, theme::SHORT),
    ];
    Grid::new(&rail.rail).num_columns(4).spacing(vec2(8.0, 2.0)).min_col_width(46.0).show(ui, |ui| {
        for (what, stretches, colour) in groups {
            if stretches.is_empty() {
                continue;
            }
            ui.label(RichText::new(what).font(theme::strong(12.0)).color(colour));
            for head in ["from", "to", "deep"] {
                widgets::right(ui, RichText::new(head).small().color(theme::SOFT));
            }
            ui.end_row();
            for s in stretches {
                let hint = format!(
                    "Deepest at station {}: the {} tyre at {}. Press to pose the car there.",
                    shown.cell(s.deepest_mm),
                    s.wheel.words(),
                    s.at.told(shown)
                );
                let name = ui.link(words::capital(s.face.word())).on_hover_text(hint);
                if name.clicked()
                    && let Some(pose) = gaps::worst_pose(answered, Some(s.wheel), &s.at)
                {
                    view.posing.take(pose);
                }
                for mm in [s.from_mm, s.to_mm, s.depth_mm] {
                    widgets::right(ui, RichText::new(shown.cell(mm)));
                }
                ui.end_row();
            }
        }
    });
}
