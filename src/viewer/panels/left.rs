//! The column along the left edge: which car, which proposal, and the questions.

use bevy_egui::egui::{self, Align, Button, Frame, Layout, Margin, RichText, ScrollArea, TextEdit, Ui};

use super::{View, questions};
use crate::car::Edit;
use crate::viewer::desk::Command;
use crate::viewer::theme;

pub(super) fn show(ui: &mut Ui, view: &mut View) {
    Frame::new().inner_margin(Margin { left: 14, right: 14, top: 10, bottom: 4 }).show(ui, |ui| {
        car(ui, view);
        ui.add_space(4.0);
        proposals(ui, view);
    });
    Frame::new().inner_margin(Margin::symmetric(10, 4)).show(ui, |ui| questions::cards(ui, view));
    ui.separator();
    let bar = egui::scroll_area::ScrollBarVisibility::VisibleWhenNeeded;
    // Each table keeps its own place.
    let place = format!("table of {:?}", *view.question);
    ScrollArea::vertical().id_salt(place).auto_shrink(false).scroll_bar_visibility(bar).show(ui, |ui| {
        Frame::new().inner_margin(Margin { left: 14, right: 14, top: 2, bottom: 10 }).show(ui, |ui| {
            ui.set_width(ui.available_width());
            questions::table(ui, view);
        });
    });
}

fn car(ui: &mut Ui, view: &mut View) {
    let row = egui::vec2(ui.available_width(), 26.0);
    ui.allocate_ui_with_layout(row, Layout::right_to_left(Align::Center), |ui| {
        // The file's own name gives way to the car's.
        let (saved, colour) = match (view.desk.trying(), view.desk.unsaved()) {
            (true, _) => ("\u{2022} only tried", theme::BLUE),
            (false, true) => ("\u{2022} not saved", theme::BLUE),
            (false, false) => ("", theme::SOFT),
        };
        let file = if saved.is_empty() { view.desk.file_name() } else { saved.to_owned() };
        ui.label(RichText::new(file).small().color(colour)).on_hover_text(view.desk.file_name());
        ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
            let name = &view.desk.found().car.name;
            ui.add(egui::Label::new(RichText::new(name).heading()).truncate())
                .on_hover_text(&view.desk.found().car.note);
        });
    });
}

/// As found and every proposal, side by side; and a new one.
fn proposals(ui: &mut Ui, view: &mut View) {
    let notes: Vec<(String, String)> =
        view.desk.file().car().proposals.iter().map(|p| (p.name.clone(), p.note.clone())).collect();
    let now = view.desk.proposal().map(str::to_owned);
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        let found = (None, "As found".to_owned(), "The car as measured, before any change".to_owned());
        let others = notes.into_iter().map(|(name, note)| (Some(name.clone()), name, note));
        for (choice, word, note) in std::iter::once(found).chain(others) {
            let mut button = Button::new(word).selected(now == choice);
            if now == choice {
                button = button.stroke(egui::Stroke::new(1.0, theme::BLUE));
            }
            let response = ui.add(button);
            let response = if note.is_empty() { response } else { response.on_hover_text(note) };
            if response.clicked() && now != choice {
                view.commands.write(Command::Choose(choice));
            }
        }
        new_proposal(ui, view);
    });
}

fn new_proposal(ui: &mut Ui, view: &mut View) {
    let id = ui.id().with("new proposal");
    let Some(mut name) = ui.data(|d| d.get_temp::<String>(id)) else {
        if ui.button("+").on_hover_text("A new proposal").clicked() {
            ui.data_mut(|d| d.insert_temp(id, String::new()));
        }
        return;
    };
    let field = ui.add(TextEdit::singleline(&mut name).hint_text("its name").desired_width(110.0));
    field.request_focus();
    let done = ui.input(|i| i.key_pressed(egui::Key::Enter));
    if done && !name.trim().is_empty() {
        view.commands.write(Command::Edit(Edit::AddProposal { name: name.trim().to_owned() }));
    }
    if done || field.lost_focus() || ui.input(|i| i.key_pressed(egui::Key::Escape)) {
        ui.data_mut(|d| d.remove_temp::<String>(id));
    } else {
        ui.data_mut(|d| d.insert_temp(id, name));
    }
}
