//! The table of wheels and tyres: what is bolted on, how it fits, and what a swap changes.

use bevy_egui::egui::{Align, Grid, Label, Layout, RichText, Ui, vec2};

use super::{View, widgets};
use crate::answer::Told;
use crate::answer::words::capital;
use crate::car::{AxleName, Edit, Shown};
use crate::viewer::asking::Answered;
use crate::viewer::desk::Command;
use crate::viewer::theme;

pub(super) fn table(ui: &mut Ui, view: &mut View, answered: &Answered) {
    let shown = view.units.0;
    for axle in AxleName::BOTH {
        swap(ui, view, axle, shown);
    }
    ui.add_space(6.0);
    let Some(later) = answered.later.clone() else {
        ui.label(RichText::new("working \u{2026}").color(theme::SOFT));
        return;
    };
    let wheels = &later.wheels;
    ui.horizontal_top(|ui| {
        widgets::sign_in(ui, wheels.verdict);
        ui.add(Label::new(RichText::new(wheels.sentence(shown)).size(12.5)).wrap());
    });
    ui.add_space(6.0);
    // No wider than the panel, which would push the picture aside.
    let room = ui.available_width() - wheels.axles.len() as f32 * (CELL + 6.0);
    Grid::new("wheels").num_columns(3).spacing(vec2(6.0, 0.0)).min_row_height(21.0).show(ui, |ui| {
        widgets::heading(ui, "");
        for axle in &wheels.axles {
            right(ui, RichText::new(axle.axle.word()).font(theme::strong(12.0)).color(theme::SOFT));
        }
        ui.end_row();
        for row in wheels.rows(shown) {
            let unit = if row.unit.is_empty() { String::new() } else { format!(", {}", row.unit) };
            let what = Label::new(RichText::new(capital(row.what) + &unit).size(12.5)).truncate();
            ui.allocate_ui_with_layout(vec2(room, 20.0), Layout::left_to_right(Align::Center), |ui| {
                ui.set_min_width(room);
                ui.add(what);
            });
            for cell in row.cells {
                right(ui, RichText::new(cell.replace('-', "\u{2212}")).size(12.0));
            }
            ui.end_row();
        }
    });
    for axle in &wheels.axles {
        for fit in axle.hub.iter().filter(|fit| !fit.note.is_empty()) {
            let (hub, wheel) = (fit.told(fit.hub, shown), fit.told(fit.wheel, shown));
            let against = if fit.what == "spacer" { wheel } else { format!("hub {hub}, wheel {wheel}") };
            widgets::caution(ui, &format!("{} {}: {against}: {}.", capital(axle.axle.word()), fit.what, fit.note));
        }
        if let Some(hint) = axle.rim_hint(shown) {
            widgets::caution(ui, &format!("{hint}."));
        }
    }
    ui.add_space(6.0);
    let text = "Growth and lean are `growth` and `lean` of a `tyre` in the car file; every gap allows for them.";
    ui.add(Label::new(RichText::new(text).size(12.0).color(theme::SOFT)).wrap());
}

/// Offset and spacer, to be typed or dragged.
fn swap(ui: &mut Ui, view: &mut View, axle: AxleName, shown: Shown) {
    let Some(now) = view.desk.looked_at().car.axle(axle).map(|axle| axle.wheel) else { return };
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 5.0;
        ui.add_sized(vec2(38.0, 20.0), Label::new(RichText::new(capital(axle.word())).font(theme::strong(12.5))));
        ui.label(RichText::new("offset").size(12.5)).on_hover_text("Mounting face outboard of the rim's centre plane");
        let offset = widgets::length(ui, 58.0, shown, now.offset);
        ui.label(RichText::new("spacer").size(12.5)).on_hover_text("Between hub and wheel");
        let spacer = widgets::length(ui, 54.0, shown, now.spacer).map(|mm| mm.max(0.0));
        ui.label(RichText::new(shown.sign()).size(12.0).color(theme::SOFT));
        if offset.or(spacer).is_some() {
            view.commands.write(Command::Edit(Edit::PutWheel {
                proposal: view.desk.proposal().map(str::to_owned),
                axle,
                offset: offset.unwrap_or(now.offset),
                spacer: spacer.unwrap_or(now.spacer),
            }));
        }
    });
}

/// Width of a cell with room for a tyre's size.
const CELL: f32 = 64.0;

/// A cell with room for a tyre's size.
fn right(ui: &mut Ui, text: RichText) {
    ui.allocate_ui_with_layout(vec2(CELL, 20.0), Layout::right_to_left(Align::Center), |ui| {
        ui.set_min_width(CELL);
        ui.label(text);
    });
}
