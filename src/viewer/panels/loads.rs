//! The table of loads: whether each part holds, in its worst case or in the one that is chosen. Pressing a row stands the car
//! as in that case, with the forces drawn.

use bevy_egui::egui::{ComboBox, Label, RichText, Ui};

use super::{View, widgets};
use crate::answer::loads::Loads;
use crate::answer::loads::told::{force, times};
use crate::viewer::asking::Answered;
use crate::viewer::loading::{self, LoadSets};
use crate::viewer::theme;

pub(super) fn table(ui: &mut Ui, view: &mut View, answered: &Answered) {
    let sets = match answered.later.as_ref().map(|later| &later.loads) {
        None => return drop(ui.label(RichText::new("working \u{2026}").color(theme::SOFT))),
        Some(Err(why)) => return widgets::caution(ui, &format!("No answer: {why}")),
        Some(Ok(sets)) => sets,
    };
    cases(ui, view, sets);
    let loads = sets.told(view.loading.case.as_deref());
    members(ui, view, sets, loads);
    joints(ui, view, sets, loads);
    for text in loads.holds.unjudged.iter().chain(&loads.notes) {
        ui.add_space(4.0);
        ui.add(Label::new(RichText::new(text).size(12.0).color(theme::SOFT)).wrap());
    }
    widgets::caution(
        ui,
        "Factors are of plain metal under a steady load, without welds, fatigue, dents or impact. Steering and suspension parts \
         carry lives: have them designed and judged by somebody licensed to, and follow the rule book of your class.",
    );
}

fn cases(ui: &mut Ui, view: &mut View, sets: &LoadSets) {
    const ALL: &str = "Each part in its worst case";
    let mut chosen = view.loading.case.clone();
    let now = chosen.clone().unwrap_or_else(|| ALL.to_owned());
    ComboBox::from_id_salt("case").width(ui.available_width() - 8.0).height(420.0).selected_text(now).show_ui(
        ui,
        |ui| {
            ui.selectable_value(&mut chosen, None, ALL);
            for case in &sets.all.cases {
                let row = ui.selectable_value(&mut chosen, Some(case.name.clone()), &case.name);
                row.on_hover_text(&case.asks);
            }
        },
    );
    if chosen != view.loading.case {
        view.loading.case = chosen;
        stand(view, sets);
    }
    if let Some(case) = view.loading.drawn(sets) {
        let text = format!("Drawn: \u{201c}{}\u{201d}, {}.", case.name, case.asks);
        ui.add(Label::new(RichText::new(text).size(12.0).color(theme::SOFT)).wrap());
    }
}

/// The car as in the case that is drawn.
fn stand(view: &mut View, sets: &LoadSets) {
    if let Some(case) = view.loading.drawn(sets) {
        view.posing.take(loading::pose(case));
    }
}

fn members(ui: &mut Ui, view: &mut View, sets: &LoadSets, loads: &Loads) {
    let shown = view.units.0;
    if loads.holds.members.is_empty() {
        return;
    }
    widgets::row_head(ui, "Arms, links, rods (\u{2212} is pushed)", &["force", "factor"]);
    for m in &loads.holds.members {
        let words = m.words();
        let chosen = view.loading.part.as_ref() == Some(&words);
        let cells = [(force(m.axial_n, shown), theme::SOFT), (times(m.factor), widgets::colour(m.verdict))];
        if widgets::row(ui, m.verdict, &short(&words), (&cells, 1), chosen).on_hover_text(m.told(shown)).clicked() {
            view.loading.part = Some(words);
            stand(view, sets);
        }
        if chosen {
            ui.add(Label::new(RichText::new(m.told(shown)).size(12.0).color(theme::SOFT)).wrap());
        }
    }
}

fn joints(ui: &mut Ui, view: &mut View, sets: &LoadSets, loads: &Loads) {
    let shown = view.units.0;
    if loads.holds.joints.is_empty() {
        return;
    }
    ui.add_space(6.0);
    widgets::row_head(ui, "Joints and bolts", &["force", "factor"]);
    for j in &loads.holds.joints {
        let words = format!("{}, {}", j.words(), j.what);
        let chosen = view.loading.part.as_ref() == Some(&words);
        let cells = [(force(j.force_n, shown), theme::SOFT), (times(j.factor), widgets::colour(j.verdict))];
        let hint = format!(
            "{words}: {} of {} in \u{201c}{}\u{201d}. {}",
            force(j.force_n, shown),
            force(j.holds_n, shown),
            j.case,
            j.source
        );
        if widgets::row(ui, j.verdict, &short(&words), (&cells, 1), chosen).on_hover_text(hint).clicked() {
            view.loading.part = Some(words);
            stand(view, sets);
        }
    }
}

/// The front goes without saying, as in the table of gaps.
fn short(words: &str) -> String {
    crate::answer::words::capital(&words.replacen(" front ", " ", 1))
}
