//! The bar along the top: the file, the history, views, what is shown, units.

use bevy_egui::egui::{self, Button, RichText, Ui};

use super::View;
use crate::car::Shown;
use crate::viewer::camera::Look;
use crate::viewer::desk::Command;
use crate::viewer::files::FileWish;
use crate::viewer::scene::layer::Layer;
use crate::viewer::theme;

pub(super) fn show(ui: &mut Ui, view: &mut View) {
    ui.horizontal(|ui| {
        ui.label(RichText::new("Scribeline").font(theme::strong(15.0)).color(theme::BLUE));
        ui.add_space(8.0);
        files(ui, view);
        ui.separator();
        for (word, keys, command, can) in [
            ("Undo", "Ctrl+Z", Command::Undo, view.desk.can_undo()),
            ("Redo", "Ctrl+Y", Command::Redo, view.desk.can_redo()),
        ] {
            if ui.add_enabled(can, Button::new(word)).on_hover_text(keys).clicked() {
                view.commands.write(command);
            }
        }
        ui.separator();
        views(ui, view);
        parts(ui, view);
        keep_out(ui, view);
        scans(ui, view);
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            if ui.button("Help").on_hover_text("Keyboard and mouse (F1)").clicked() {
                view.help.0 = !view.help.0;
            }
            units(ui, view);
        });
    });
}

fn files(ui: &mut Ui, view: &mut View) {
    for (word, keys, wish) in [
        ("Open", "Ctrl+O, or drop a car file on the window", FileWish::Open),
        ("Save", "Ctrl+S", FileWish::Save),
        ("Save as", "Ctrl+Shift+S", FileWish::SaveAs),
        ("Picture", "Ctrl+P", FileWish::Picture),
    ] {
        if ui.button(word).on_hover_text(keys).clicked() {
            view.files.write(wish);
        }
    }
}

fn views(ui: &mut Ui, view: &mut View) {
    ui.menu_button("View", |ui| {
        for (look, word, key) in Look::ALL {
            if ui.add(Button::new(word).shortcut_text(key)).clicked() {
                view.looks.write(look);
            }
        }
    });
}

fn parts(ui: &mut Ui, view: &mut View) {
    let close = egui::PopupCloseBehavior::CloseOnClickOutside;
    egui::containers::menu::MenuButton::new("Show")
        .config(egui::containers::menu::MenuConfig::new().close_behavior(close))
        .ui(ui, |ui| {
            for (layer, words) in Layer::ALL {
                let mut shown = view.hidden.shows(layer);
                if ui.checkbox(&mut shown, words).changed() {
                    view.hidden.toggle(layer);
                }
            }
        });
}

fn keep_out(ui: &mut Ui, view: &mut View) {
    let shown = view.hidden.shows(Layer::KeepOut);
    let hint = "All the space that the tyres take up in the sweep, grown by the wanted gap (K)";
    if ui.add(Button::new("Keep-out").selected(shown)).on_hover_text(hint).clicked() {
        view.hidden.toggle(Layer::KeepOut);
    }
}

fn scans(ui: &mut Ui, view: &mut View) {
    let hint = "Scanned bodywork: bring a mesh in, lay it on the car by picked points, trim it (M)";
    if ui.add(Button::new("Scans").selected(view.laying.open)).on_hover_text(hint).clicked() {
        view.laying.open = !view.laying.open;
    }
}

fn units(ui: &mut Ui, view: &mut View) {
    // Laid out from the right.
    for unit in [Shown::In, Shown::Mm] {
        if ui.add(Button::new(unit.sign()).selected(view.units.0 == unit)).clicked() {
            view.units.0 = unit;
        }
    }
}
