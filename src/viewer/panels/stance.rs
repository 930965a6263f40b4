//! The table of how the car stands in the pose that is shown: ride heights, its lowest point, and the ramps it takes.

use bevy_egui::egui::{Grid, Label, RichText, Ui, vec2};

use super::{View, widgets};
use crate::answer::Told;
use crate::answer::words::capital;
use crate::viewer::theme;

pub(super) fn table(ui: &mut Ui, view: &mut View) {
    let shown = view.units.0;
    let Some(stance) = view.asking.stance().cloned() else {
        ui.label(RichText::new("working \u{2026}").color(theme::SOFT));
        return;
    };
    ui.horizontal_top(|ui| {
        widgets::sign_in(ui, stance.verdict);
        ui.add(Label::new(RichText::new(stance.sentence(shown)).size(12.5)).wrap());
    });
    ui.add_space(6.0);
    Grid::new("stance").num_columns(3).spacing(vec2(10.0, 0.0)).min_row_height(22.0).show(ui, |ui| {
        widgets::heading(ui, &format!("Over the ground, {}", shown.sign()));
        widgets::right(ui, RichText::new("here").font(theme::strong(12.0)).color(theme::SOFT));
        widgets::right(ui, RichText::new("at ride").font(theme::strong(12.0)).color(theme::SOFT));
        ui.end_row();
        for height in &stance.heights {
            ui.label(RichText::new(capital(&height.name)).size(12.5));
            widgets::right(ui, RichText::new(shown.cell(height.height_mm)));
            widgets::right(ui, RichText::new(shown.cell(height.ride_mm)).color(theme::SOFT));
            ui.end_row();
        }
        if let Some(lowest) = &stance.lowest {
            ui.label(RichText::new(format!("Lowest: {}", lowest.part)).size(12.5));
            widgets::right(ui, RichText::new(shown.cell(lowest.height_mm)));
            ui.end_row();
        }
        for (name, ramp) in
            [("Approach", &stance.approach), ("Departure", &stance.departure), ("Breakover", &stance.breakover)]
        {
            if let Some(ramp) = ramp {
                ui.label(RichText::new(format!("{name}: {}", ramp.part)).size(12.5)).on_hover_text(ramp.told(shown));
                widgets::right(ui, RichText::new(format!("{:.1}\u{b0}", ramp.angle_deg)));
                ui.end_row();
            }
        }
    });
    if stance.heights.is_empty() {
        let text = "No datums in this car file: add `datums`, where ride heights are taken.";
        ui.add(Label::new(RichText::new(text).size(12.0).color(theme::SOFT)).wrap());
    }
}
