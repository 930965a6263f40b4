//! The table of wheels and tyres: what is bolted on, how it fits, and what a swap changes.

use bevy_egui::egui::{Align, Grid, Label, Layout, RichText, Ui, vec2};

use super::{View, widgets};
use crate::answer::Told;
use crate::answer::words::capital;
use crate::viewer::asking::Answered;
use crate::viewer::theme;

pub(super) fn table(ui: &mut Ui, view: &mut View, answered: &Answered) {
    let shown = view.units.0;
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
    Grid::new("wheels").num_columns(3).spacing(vec2(6.0, 0.0)).min_row_height(21.0).show(ui, |ui| {
        widgets::heading(ui, "");
        for axle in &wheels.axles {
            right(ui, RichText::new(axle.axle.word()).font(theme::strong(12.0)).color(theme::SOFT));
        }
        ui.end_row();
        for row in wheels.rows(shown) {
            let unit = if row.unit.is_empty() { String::new() } else { format!(", {}", row.unit) };
            ui.label(RichText::new(capital(row.what) + &unit).size(12.5));
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

/// A cell with room for a tyre's size.
fn right(ui: &mut Ui, text: RichText) {
    ui.allocate_ui_with_layout(vec2(64.0, 20.0), Layout::right_to_left(Align::Center), |ui| {
        ui.set_min_width(64.0);
        ui.label(text);
    });
}
