//! The strip of the chosen point: its place as numbers to type, and the sides that it moves.

use bevy_egui::egui::{Align, Label, Layout, RichText, Ui};
use nalgebra::Vector3;

use super::{View, widgets};
use crate::answer::words::capital;
use crate::viewer::desk::Command;
use crate::viewer::marking::Mark;
use crate::viewer::theme;

pub(super) fn show(ui: &mut Ui, view: &mut View, mark: &Mark) {
    let built = view.desk.looked_at().clone();
    let Some(at) = mark.measured(&built) else { return };
    ui.horizontal(|ui| {
        ui.label(RichText::new(capital(&mark.words())).font(theme::strong(13.5)));
        ui.add_space(4.0);
        if let Some(to) = place(ui, view, at)
            && let Some(edit) = mark.put(&built, view.desk.proposal(), to, view.marking.alone)
        {
            view.commands.write(Command::Edit(edit));
        }
        ui.label(view.units.0.sign());
        ui.add_space(4.0);
        if matches!(mark, Mark::Point(..)) {
            let hint = "Move the point on both sides of the car, mirrored, or on this side alone";
            for (word, alone) in [("Both sides", false), ("This side", true)] {
                if ui.selectable_label(view.marking.alone == alone, word).on_hover_text(hint).clicked() {
                    view.marking.alone = alone;
                }
            }
        }
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            if ui.button("Done").on_hover_text("Let go of the point (Esc)").clicked() {
                view.marking.let_go();
            }
            ui.add(Label::new(note(view, mark, at)).truncate());
        });
    });
}

/// Its three numbers. Gives the new place when one is typed.
fn place(ui: &mut Ui, view: &View, at: Vector3<f64>) -> Option<Vector3<f64>> {
    let mut to = at;
    let mut typed = false;
    for (i, (axis, hint)) in [("x", "Forward"), ("y", "To the left"), ("z", "Up")].into_iter().enumerate() {
        ui.spacing_mut().item_spacing.x = 5.0;
        ui.label(RichText::new(axis).color(theme::SOFT)).on_hover_text(hint);
        if let Some(mm) = widgets::length(ui, 68.0, view.units.0, at[i]) {
            to[i] = mm;
            typed |= (mm - at[i]).abs() > 1e-6;
        }
    }
    typed.then_some(to)
}

/// What stops the drag; or how far the point is from where it was found.
fn note(view: &View, mark: &Mark, at: Vector3<f64>) -> RichText {
    if let Some(why) = view.desk.refused() {
        return RichText::new(why).color(theme::TOUCH);
    }
    let found = view.desk.proposal().and_then(|_| mark.measured(view.desk.found()));
    let text = match found {
        None => String::new(),
        Some(found) => {
            let moved = (at - found).map(|d| view.units.0.cell(d).replace('-', "\u{2212}"));
            format!("from as found: {}, {}, {}", moved.x, moved.y, moved.z)
        }
    };
    RichText::new(text).color(theme::SOFT)
}
