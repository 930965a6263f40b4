//! The panel at the right of the stage about the body's strength: as found, cut and rerouted side by side, and routes that tie
//! a cut rail back. The lightest is drawn, or the one that is pressed; taking it is an edit like any other.

use std::sync::Arc;

use bevy_egui::egui::{self, Button, ComboBox, DragValue, Label, ProgressBar, RichText, ScrollArea, Ui, vec2};

use super::{View, stiffness, tubes, widgets};
use crate::answer::Told;
use crate::answer::Verdict;
use crate::answer::frame::told::{percent, used};
use crate::answer::frame::{BodyState, BodyStrength, CAUTION};
use crate::answer::loads::told::stress;
use crate::answer::routes::told::mass;
use crate::answer::routes::{CAUTION as ROUTES_CAUTION, Route, Routes};
use crate::answer::words::capital;
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
    let edition = view.asking.edition().unwrap_or_default();
    actions(ui, view, edition);
    let bar = egui::scroll_area::ScrollBarVisibility::VisibleWhenNeeded;
    ScrollArea::vertical().auto_shrink(false).scroll_bar_visibility(bar).show(ui, |ui| {
        ui.set_width(ui.available_width() - 12.0);
        let shown = view.units.0;
        let strength = view.bracing.strength(edition).map(|(strength, fresh)| (strength.clone(), fresh));
        let working = view.asking.working() || strength.as_ref().is_none_or(|(_, fresh)| !fresh);
        widgets::pending(ui, working.then_some("working \u{2026}"));
        let strength = strength.map(|(strength, _)| strength);
        match &strength {
            None => {}
            Some(Err(why)) => widgets::caution(ui, why),
            Some(Ok(strength)) => told(ui, view, strength, shown),
        }
        routes(ui, view, edition, shown);
        ui.add_space(8.0);
        tubes::show(ui, view);
        if let Some(Ok(strength)) = &strength {
            ui.add_space(8.0);
            small_print(ui, strength, shown);
        }
        CAUTION.into_iter().for_each(|caution| widgets::caution(ui, caution));
    });
}

/// What can be done: search routes, stop that, take the one that is looked at.
fn actions(ui: &mut Ui, view: &mut View, edition: u64) {
    ui.horizontal(|ui| {
        if let Some(done) = view.bracing.searching() {
            ui.add(ProgressBar::new(done).desired_width(ui.available_width() - 80.0));
            if ui.button("Cancel").clicked() {
                view.bracing.stop();
            }
            ui.ctx().request_repaint_after(std::time::Duration::from_millis(60));
            return;
        }
        let cut = view.desk.looked_at().car.rails.iter().any(|r| !r.cuts.is_empty());
        let can = cut && view.desk.proposal().is_some() && !view.asking.working();
        let hint = "Searches tubes from your stock, from the cut's ends to nodes and other rails, that clear everything that \
                    moves and stands by the wanted gaps and give the stiffness back, the lightest first";
        let why = if cut { "Choose a proposal first" } else { "Cut a rail first: choose one of the ways to saw it" };
        let button = ui.add_enabled(can, Button::new("Find routes")).on_hover_text(hint).on_disabled_hover_text(why);
        if button.clicked()
            && let Some(study) = view.asking.answers().map(|a| Arc::clone(&a.study))
        {
            let car = view.desk.found().car.clone();
            view.bracing.find(study, car, edition);
        }
        take(ui, view, edition);
    });
    // Beside the button that takes it; the panel's own stand at its foot.
    if view.bracing.chosen(edition).is_some() {
        widgets::caution(ui, ROUTES_CAUTION[0]);
    }
}

fn take(ui: &mut Ui, view: &mut View, edition: u64) {
    let (Some([_, nth]), Some(route)) = (view.bracing.route, view.bracing.chosen(edition).cloned()) else { return };
    let hint = format!("Adds it to the proposal, as one edit:\n{}", route.changes);
    if ui.button(format!("Take route {}", nth + 1)).on_hover_text(hint).clicked()
        && let Some(proposal) = view.desk.proposal().map(str::to_owned)
    {
        let changes = route.changes.lines().map(|line| line.trim().trim_end_matches(',').to_owned());
        let changes = changes.filter(|line| !line.is_empty()).collect();
        view.commands.write(Command::Edit(Edit::AddChanges { proposal, changes }));
        view.bracing.route = None;
    }
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
        if ui.checkbox(&mut bent, "Draw it bent").on_hover_text("As a load case bends it, many times over").changed() {
            view.bracing.bent = bent;
        }
    });
    if view.bracing.bent {
        bending_case(ui, view, strength);
    }
    stiffness::table(ui, strength, shown);
}

/// The load case that the body is drawn bent in.
fn bending_case(ui: &mut Ui, view: &mut View, strength: &BodyStrength) {
    const HARDEST: &str = "its hardest case";
    let Some(state) = strength.states.last() else { return };
    ui.horizontal(|ui| {
        ui.label(RichText::new("Bent by").size(12.5));
        let now = view.bracing.case.clone();
        let word = now.clone().unwrap_or_else(|| HARDEST.to_owned());
        ComboBox::from_id_salt("bent by").width(210.0).selected_text(word).show_ui(ui, |ui| {
            for case in std::iter::once(None).chain(state.cases().map(|case| Some(case.to_owned()))) {
                let word = case.clone().unwrap_or_else(|| HARDEST.to_owned());
                if ui.selectable_label(now == case, word).clicked() {
                    view.bracing.case = case;
                }
            }
        });
    });
}

/// The members that are used most, and what else is to be known.
fn small_print(ui: &mut Ui, strength: &BodyStrength, shown: Shown) {
    if let Some(last) = strength.states.last() {
        members(ui, last, strength.wanted_factor, shown);
    }
    for note in &strength.notes {
        ui.add_space(4.0);
        ui.add(Label::new(RichText::new(note).size(12.0).color(theme::SOFT)).wrap());
    }
    let held = format!("Held: {}. Panels, seams and welds are not in this frame.", strength.held_by.join(", "));
    ui.add_space(4.0);
    ui.add(Label::new(RichText::new(held).size(12.0).color(theme::SOFT)).wrap());
}

fn members(ui: &mut Ui, state: &BodyState, wanted_factor: f64, shown: Shown) {
    widgets::row_head(ui, &format!("Hardest used, {}", state.state.word()), &["use"]);
    for m in state.members.iter().take(MEMBERS) {
        let most = m.most();
        let verdict =
            most.map_or(Verdict::Clear, |(most, _)| Verdict::of(1.0 / most.max(1e-9) - 1.0, wanted_factor - 1.0));
        let how = match most {
            Some((_, Way::Buckling)) => "of what buckles it",
            _ => "of its yield",
        };
        let used = most.map_or("\u{2013}".to_owned(), |(most, _)| used(most));
        let cells = [(used.clone(), widgets::colour(verdict))];
        let (words, stress) = (capital(&m.words(shown)), stress(m.stress_mpa, shown));
        let hint = format!("{words}: {used} {how}, {stress}, in \u{201c}{}\u{201d}", m.case);
        widgets::row(ui, verdict, &words, (&cells, 0), false).on_hover_text(hint);
    }
}

fn routes(ui: &mut Ui, view: &mut View, edition: u64, shown: Shown) {
    match view.bracing.routes(edition).map(|(routes, fresh)| (routes.clone(), fresh)) {
        Some((Ok(routes), true)) => {
            ui.add_space(8.0);
            ui.label(RichText::new("Routes around the cut").font(theme::strong(13.5)));
            found_routes(ui, view, &routes, shown);
        }
        Some((Err(why), true)) => widgets::caution(ui, &why),
        // Routes of the car as it was before are of no use any more.
        Some((_, false)) | None => {}
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
                detail(ui, route, shown);
            }
        }
    }
    for note in &routes.notes {
        ui.add(Label::new(RichText::new(note).size(12.0).color(theme::SOFT)).wrap());
    }
}

fn detail(ui: &mut Ui, route: &Route, shown: Shown) {
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
    for plate in &route.plates {
        let text = format!("{} {}, {} each", capital(&plate.name()), plate.size(shown), mass(plate.mass_kg, shown));
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
