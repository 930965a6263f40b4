//! The column along the left edge: which car, which proposal, and the questions.

use bevy_egui::egui::{Frame, Margin, RichText, ScrollArea, Ui};

use super::{View, widgets};
use crate::viewer::desk::Command;
use crate::viewer::theme;

pub(super) fn show(ui: &mut Ui, view: &mut View) {
    Frame::new().inner_margin(Margin { left: 14, right: 14, top: 10, bottom: 6 }).show(ui, |ui| {
        car(ui, view);
        ui.add_space(6.0);
        proposals(ui, view);
    });
    ScrollArea::vertical().show(ui, |_ui| {});
}

fn car(ui: &mut Ui, view: &mut View) {
    ui.label(RichText::new(&view.desk.found().car.name).heading());
    let mark = if view.desk.unsaved() { " · not saved" } else { "" };
    ui.label(RichText::new(format!("{}{mark}", view.desk.file_name())).small().color(theme::SOFT));
}

fn proposals(ui: &mut Ui, view: &mut View) {
    widgets::heading(ui, "The car");
    let names: Vec<String> = view.desk.file().car().proposals.iter().map(|p| p.name.clone()).collect();
    let now = view.desk.proposal().map(str::to_owned);
    let choices = std::iter::once(None).chain(names.into_iter().map(Some));
    ui.horizontal_wrapped(|ui| {
        for choice in choices {
            let word = choice.as_deref().unwrap_or("As found");
            if ui.selectable_label(now == choice, word).clicked() && now != choice {
                view.commands.write(Command::Choose(choice));
            }
        }
    });
}
