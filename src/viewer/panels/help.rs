//! Windows over the stage: the list of shortcuts, and what went wrong.

use bevy_egui::egui::{self, Align2, Grid, RichText, vec2};

use super::View;
use crate::viewer::keys::LIST;
use crate::viewer::theme;

pub(super) fn shortcuts(ctx: &egui::Context, view: &mut View) {
    egui::Window::new("Keyboard and mouse")
        .open(&mut view.help.0)
        .collapsible(false)
        .resizable(false)
        .anchor(Align2::CENTER_CENTER, vec2(0.0, 0.0))
        .show(ctx, |ui| {
            ui.set_width(620.0);
            ui.columns(2, |columns| {
                for (i, (group, keys)) in LIST.iter().enumerate() {
                    let ui = &mut columns[i % 2];
                    ui.label(RichText::new(*group).font(theme::strong(14.0)));
                    Grid::new(group).num_columns(2).spacing(vec2(14.0, 4.0)).min_col_width(88.0).show(ui, |ui| {
                        for (key, does) in *keys {
                            ui.label(RichText::new(*key).font(theme::strong(12.5)).color(theme::BLUE));
                            ui.label(*does);
                            ui.end_row();
                        }
                    });
                    ui.add_space(10.0);
                }
            });
            ui.label(
                RichText::new(
                    "Click a blue point or a rail's corner to choose it; drag an arrow, or type its numbers. \
                     Drop a car file on the window to open it.",
                )
                .color(theme::SOFT),
            );
        });
}

pub(super) fn notice(ctx: &egui::Context, view: &mut View) {
    let Some(why) = view.notice.0.clone() else { return };
    // Nothing behind it can be pressed until it has been read.
    let shown = egui::Modal::new("notice".into()).show(ctx, |ui| {
        ui.set_max_width(560.0);
        ui.label(RichText::new("That did not work").heading());
        ui.add_space(4.0);
        // The first line says what and where; what follows is the line of the file, kept in step.
        let mut lines = why.lines();
        ui.label(lines.next().unwrap_or_default());
        let place: Vec<_> = lines.collect();
        if !place.is_empty() {
            let picture = RichText::new(place.join("\n")).font(theme::plain_width(13.0));
            egui::Frame::new().fill(theme::BLANK).inner_margin(8).show(ui, |ui| ui.label(picture));
        }
        ui.add_space(4.0);
        ui.label(RichText::new("Nothing was changed, and nothing is lost.").color(theme::SOFT));
        ui.add_space(4.0);
        if ui.button("All right").clicked() {
            view.notice.0 = None;
        }
    });
    if shown.should_close() {
        view.notice.0 = None;
    }
}
