//! The panel at the right of the stage about the body's strength: as found, cut and rerouted side by side, and routes that tie
//! a cut rail back. A route that is pressed is drawn; taking it is an edit like any other.

use std::sync::Arc;

use bevy_egui::egui::{self, Button, DragValue, Grid, Label, ProgressBar, RichText, ScrollArea, Ui, vec2};

use super::{View, tubes, widgets};
use crate::answer::Told;
use crate::answer::cut::CAUTION;
use crate::answer::frame::told::{POUND_FOOT, percent, rounded};
use crate::answer::frame::{BodyState, BodyStrength, LoadedPlace, WAYS};
use crate::answer::loads::told::stress;
use crate::answer::routes::told::mass;
use crate::answer::routes::{Route, Routes};
use crate::answer::words::capital;
use crate::answer::{Verdict, frame};
use crate::car::{Edit, Shown};
use crate::strength::Way;
use crate::viewer::desk::Command;
use crate::viewer::theme;

/// Members that are listed: those used most.
const MEMBERS: usize = 8;

pub(super) fn show(ui: &mut Ui, view: &mut View) {
    ui.horizontal(|ui| {
        ui.label(RichText::new("Strength and routes").font(theme::strong(15.0)));
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            if ui.button("Close").clicked() {
                view.bracing.open = false;
            }
        });
    });
    let bar = egui::scroll_area::ScrollBarVisibility::VisibleWhenNeeded;
    ScrollArea::vertical().auto_shrink(false).scroll_bar_visibility(bar).show(ui, |ui| {
        ui.set_width(ui.available_width() - 12.0);
        let shown = view.units.0;
        let edition = view.asking.edition().unwrap_or_default();
        let strength = view.bracing.strength(edition).map(|(strength, fresh)| (strength.clone(), fresh));
        if view.asking.working() || strength.as_ref().is_some_and(|(_, fresh)| !fresh) {
            ui.label(RichText::new("working \u{2026}").size(12.0).color(theme::SOFT));
        }
        match strength.map(|(strength, _)| strength) {
            None => drop(ui.label(RichText::new("working \u{2026}").color(theme::SOFT))),
            Some(Err(why)) => widgets::caution(ui, &why),
            Some(Ok(strength)) => {
                told(ui, view, &strength, shown);
                ui.add_space(8.0);
                routes(ui, view, shown);
                ui.add_space(8.0);
                tubes::show(ui, view);
                ui.add_space(8.0);
                small_print(ui, &strength, shown);
            }
        }
        widgets::caution(ui, CAUTION);
    });
}

fn told(ui: &mut Ui, view: &mut View, strength: &BodyStrength, shown: Shown) {
    ui.horizontal_top(|ui| {
        widgets::sign_in(ui, strength.verdict);
        ui.add(Label::new(RichText::new(strength.sentence(shown)).size(12.5)).wrap());
    });
    ui.horizontal(|ui| {
        ui.label(RichText::new("Wanted of as found").size(12.5));
        let mut share = view.bracing.percent;
        let drag = DragValue::new(&mut share).range(1.0..=300.0).speed(1.0).fixed_decimals(0).suffix(" %");
        if ui.add_sized(vec2(64.0, 22.0), drag).changed() {
            view.bracing.percent = share;
        }
        ui.add_space(6.0);
        let mut bent = view.bracing.bent;
        if ui
            .checkbox(&mut bent, "Draw it bent")
            .on_hover_text("As its hardest load case bends it, many times over")
            .changed()
        {
            view.bracing.bent = bent;
        }
    });
    stiffness(ui, strength, shown);
}

/// The members that are used most, and what else is to be known.
fn small_print(ui: &mut Ui, strength: &BodyStrength, shown: Shown) {
    if let Some(last) = strength.states.last() {
        members(ui, last, shown);
    }
    for note in &strength.notes {
        ui.add_space(4.0);
        ui.add(Label::new(RichText::new(note).size(12.0).color(theme::SOFT)).wrap());
    }
    let held = format!("Held: {}. Panels, seams and welds are not in this frame.", strength.held_by.join(", "));
    ui.add_space(4.0);
    ui.add(Label::new(RichText::new(held).size(12.0).color(theme::SOFT)).wrap());
}

/// At each loaded place the way in which least is kept, and the twist: as found, cut, rerouted.
fn stiffness(ui: &mut Ui, strength: &BodyStrength, shown: Shown) {
    let states = &strength.states;
    let scale = if shown == Shown::Mm { 1.0 } else { frame::told::POUNDS_AN_INCH };
    let unit = if shown == Shown::Mm { "N/mm" } else { "lbf/in" };
    Grid::new("stiffness").num_columns(states.len() + 2).spacing(vec2(3.0, 0.0)).min_row_height(20.0).show(ui, |ui| {
        left(ui, unit, "Along x forward, y to the left, z up");
        for state in states {
            right(ui, RichText::new(state.state.word()).small().color(theme::SOFT));
        }
        if states.len() > 1 {
            right(ui, RichText::new("kept").small().color(theme::SOFT));
        }
        ui.end_row();
        let mut row = |name: String, hint: String, values: Vec<Option<f64>>| {
            left(ui, &name, &hint);
            for value in &values {
                right(ui, RichText::new(value.map_or("loose".to_owned(), rounded)).size(12.5));
            }
            if let (true, Some(Some(found))) = (values.len() > 1, values.first()) {
                let kept = values.last().copied().flatten().unwrap_or(0.0) / found;
                // What is held in both states keeps nothing that could be told.
                if kept.is_finite() {
                    let verdict = Verdict::of(kept, strength.wanted_share * (1.0 - 1e-6));
                    right(ui, RichText::new(percent(kept)).font(theme::strong(12.5)).color(widgets::colour(verdict)));
                }
            }
            ui.end_row();
        };
        if let Some(pair) = &strength.twisted {
            let (unit, per) = if shown == Shown::Mm { ("Nm/deg", 1.0) } else { ("lbf ft/deg", 1.0 / POUND_FOOT) };
            let values = states.iter().map(|s| s.twist_nm_per_deg.map(|nm| nm * per)).collect();
            row(format!("Twist, {unit}"), format!("Between {} and what holds the body", pair.join(" and ")), values);
        }
        for (i, place) in states.first().map_or(&[][..], |s| &s.places).iter().enumerate() {
            let all: Vec<&LoadedPlace> = states.iter().filter_map(|s| s.places.get(i)).collect();
            let axis = least_kept(&all);
            let values = all.iter().map(|p| p.along(axis).map(|n| n * scale)).collect();
            // Both sides are listed by the left one, where they are alike.
            if place.place.starts_with("right ") {
                continue;
            }
            let name = place.place.trim_start_matches("left ").replacen("front ", "", 1);
            row(format!("{}  {}", short(axis), capital(&name)), format!("{}, {}", place.place, WAYS[axis]), values);
        }
        left(ui, if shown == Shown::Mm { "Mass, kg" } else { "Mass, lb" }, "Rails, tubes and plates");
        for state in states {
            let number = mass(state.mass_kg, shown);
            right(ui, RichText::new(number.split(' ').next().unwrap_or_default().to_owned()).size(12.5));
        }
        ui.end_row();
    });
}

fn short(axis: usize) -> &'static str {
    ["x", "y", "z"][axis]
}

/// The way in which the last state has least of the first's stiffness; of one state alone that in which it is softest.
fn least_kept(places: &[&LoadedPlace]) -> usize {
    if let [only] = places {
        let soft = |axis: &usize| only.along(*axis).unwrap_or(f64::INFINITY);
        return (0..3).min_by(|a, b| soft(a).total_cmp(&soft(b))).unwrap_or(0);
    }
    let kept = |axis: usize| {
        let of = |p: Option<&&LoadedPlace>| p.and_then(|p| p.along(axis)).unwrap_or(0.0);
        of(places.last()) / of(places.first()).max(1e-9)
    };
    (0..3).min_by(|a, b| kept(*a).total_cmp(&kept(*b))).unwrap_or(0)
}

/// What a row is of.
fn left(ui: &mut Ui, text: &str, hint: &str) {
    ui.allocate_ui_with_layout(vec2(106.0, 18.0), egui::Layout::left_to_right(egui::Align::Center), |ui| {
        ui.set_min_width(106.0);
        ui.add(Label::new(RichText::new(text).size(12.5)).truncate().show_tooltip_when_elided(false))
            .on_hover_text(hint);
    });
}

/// A cell of this panel's narrow columns.
fn right(ui: &mut Ui, text: RichText) {
    ui.allocate_ui_with_layout(vec2(52.0, 18.0), egui::Layout::right_to_left(egui::Align::Center), |ui| {
        ui.set_min_width(52.0);
        ui.label(text);
    });
}

fn members(ui: &mut Ui, state: &BodyState, shown: Shown) {
    widgets::row_head(ui, &format!("Hardest used, {}", state.state.word()), &["use"]);
    for m in state.members.iter().take(MEMBERS) {
        let most = m.most();
        let verdict = most.map_or(Verdict::Clear, |(most, _)| Verdict::of(1.0 / most.max(1e-9) - 1.0, 0.5));
        let how = match most {
            Some((_, Way::Buckling)) => "of what buckles it",
            _ => "of its yield",
        };
        let used = most.map_or("\u{2013}".to_owned(), |(most, _)| format!("{:.0} %", (most * 100.0 - 1e-6).ceil()));
        let cells = [(used.clone(), widgets::colour(verdict))];
        let (words, stress) = (capital(&m.words(shown)), stress(m.stress_mpa, shown));
        let hint = format!("{words}: {used} {how}, {stress}, in \u{201c}{}\u{201d}", m.case);
        widgets::row(ui, verdict, &words, (&cells, 0), false).on_hover_text(hint);
    }
}

fn routes(ui: &mut Ui, view: &mut View, shown: Shown) {
    ui.label(RichText::new("Routes around the cut").font(theme::strong(13.5)));
    let Some(edition) = view.asking.edition() else { return };
    if let Some(done) = view.bracing.searching() {
        ui.horizontal(|ui| {
            ui.add(ProgressBar::new(done).desired_width(ui.available_width() - 80.0));
            if ui.button("Cancel").clicked() {
                view.bracing.stop();
            }
        });
        ui.ctx().request_repaint_after(std::time::Duration::from_millis(60));
        return;
    }
    let cut = view.desk.looked_at().car.rails.iter().any(|r| !r.cuts.is_empty());
    let can = cut && view.desk.proposal().is_some() && !view.asking.working();
    let hint = "Searches tubes from your stock, from the cut's ends to nodes and other rails, that clear everything that moves \
                and stands by the wanted gaps and give the stiffness back, the lightest first";
    let why = if cut { "Choose a proposal first" } else { "Cut a rail first: choose one of the ways to saw it" };
    let found = view.asking.answers().map(|a| Arc::clone(&a.study));
    if ui.add_enabled(can, Button::new("Find routes")).on_hover_text(hint).on_disabled_hover_text(why).clicked()
        && let Some(study) = found
    {
        let car = view.desk.found().car.clone();
        view.bracing.find(study, car, edition);
    }
    match view.bracing.routes(edition).map(|(routes, fresh)| (routes.clone(), fresh)) {
        None => {}
        Some((_, false)) if !can => {}
        Some((_, false)) => {
            ui.label(RichText::new("The car has changed since: find them again.").size(12.0).color(theme::SOFT));
        }
        Some((Err(why), true)) => widgets::caution(ui, &why),
        Some((Ok(routes), true)) => found_routes(ui, view, &routes, shown),
    }
}

fn found_routes(ui: &mut Ui, view: &mut View, routes: &Routes, shown: Shown) {
    ui.add(Label::new(RichText::new(routes.sentence(shown)).size(12.5)).wrap());
    for (c, cut) in routes.cuts.iter().enumerate() {
        widgets::row_head(ui, &capital(&cut.words(shown)), &["mass", "kept"]);
        for (r, route) in cut.routes.iter().enumerate() {
            let chosen = view.bracing.route == Some([c, r]);
            let verdict = if route.reaches && route.holds { Verdict::Clear } else { Verdict::Short };
            let kept = route.share().map_or("all".to_owned(), percent);
            let cells = [(mass(route.mass_kg, shown), theme::SOFT), (kept, widgets::colour(verdict))];
            let tubes =
                if route.tubes.len() == 1 { "1 tube".to_owned() } else { format!("{} tubes", route.tubes.len()) };
            let name = format!("Route {}, {tubes}", r + 1);
            if widgets::row(ui, verdict, &name, (&cells, 1), chosen)
                .on_hover_text("Press to see it on the car")
                .clicked()
            {
                view.bracing.route = (!chosen).then_some([c, r]);
            }
            if chosen {
                detail(ui, view, route, shown);
            }
        }
    }
    for note in &routes.notes {
        ui.add(Label::new(RichText::new(note).size(12.0).color(theme::SOFT)).wrap());
    }
}

fn detail(ui: &mut Ui, view: &mut View, route: &Route, shown: Shown) {
    if ui.button("Take this route").on_hover_text(&route.changes).clicked()
        && let Some(proposal) = view.desk.proposal().map(str::to_owned)
    {
        let changes = route.changes.lines().map(|line| line.trim().trim_end_matches(',').to_owned());
        let changes = changes.filter(|line| !line.is_empty()).collect();
        view.commands.write(Command::Edit(Edit::AddChanges { proposal, changes }));
        view.bracing.route = None;
    }
    for tube in &route.tubes {
        let text = format!(
            "{} {}, {}: {}",
            tube.size(shown),
            tube.grade,
            shown.length(tube.length_mm),
            tube.runs.join(" \u{2013} ")
        );
        ui.add(Label::new(RichText::new(text).size(12.0)).wrap());
    }
    if let Some(gap) = &route.tightest {
        let text = format!(
            "Tightest: {} to the {}, {} ({} wanted), proven.",
            gap.tube,
            gap.part,
            shown.length(gap.gap_mm),
            shown.length(gap.wanted_mm)
        );
        ui.add(Label::new(RichText::new(text).size(12.0).color(theme::SOFT)).wrap());
    }
}
