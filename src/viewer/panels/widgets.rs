//! Small things that several panels use.

use bevy_egui::egui::{self, Color32, DragValue, Response, RichText, Sense, Ui, Vec2, vec2};

use crate::car::Shown;
use crate::viewer::theme;

/// A small heading over a group.
pub fn heading(ui: &mut Ui, text: &str) {
    ui.label(RichText::new(text).font(theme::strong(12.0)).color(theme::SOFT));
}

/// A length to type or drag, in the units shown. Gives its new value in mm when it is changed.
pub fn length(ui: &mut Ui, width: f32, shown: Shown, mm: f64) -> (Response, Option<f64>) {
    let mut number = shown.number(mm);
    let speed = if shown == Shown::Mm { 0.5 } else { 0.02 };
    let drag = DragValue::new(&mut number).speed(speed).fixed_decimals(shown.decimals()).update_while_editing(false);
    let response = ui.add_sized(vec2(width, 22.0), drag);
    let new = response.changed().then(|| number * shown.in_mm());
    (response, new)
}

/// Text in a cell of a fixed width, numbers to the right.
pub fn cell(ui: &mut Ui, width: f32, text: RichText, right: bool) {
    let align = if right { egui::Align::Max } else { egui::Align::Min };
    let layout = egui::Layout::left_to_right(egui::Align::Center).with_main_align(align);
    ui.allocate_ui_with_layout(vec2(width, 20.0), layout.with_main_justify(false), |ui| {
        ui.set_min_width(width);
        if right {
            ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| ui.label(text));
        } else {
            ui.label(text);
        }
    });
}

/// A quiet button with a drawn sign on it.
pub fn sign_button(ui: &mut Ui, size: Vec2, hint: &str, draw: impl FnOnce(&egui::Painter, egui::Rect, Color32)) -> Response {
    let (rect, response) = ui.allocate_exact_size(size, Sense::click());
    let look = ui.style().interact(&response);
    ui.painter().rect(rect, look.corner_radius, look.bg_fill, look.bg_stroke, egui::StrokeKind::Inside);
    draw(ui.painter(), rect, look.fg_stroke.color);
    response.on_hover_text(hint)
}
