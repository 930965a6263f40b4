//! Small things that several panels use.

use bevy_egui::egui::{self, Color32, DragValue, Label, Response, RichText, Sense, Stroke, Ui, Vec2, pos2, vec2};

use crate::answer::Verdict;
use crate::car::{Amount, AxleName, Shown};
use crate::viewer::theme;

/// A small heading over a group.
pub fn heading(ui: &mut Ui, text: &str) {
    ui.label(RichText::new(text).font(theme::strong(12.0)).color(theme::SOFT));
}

/// A length to type or drag, in the units shown. Gives its new value in mm when it is changed.
pub fn length(ui: &mut Ui, width: f32, shown: Shown, mm: f64) -> Option<f64> {
    let speed = if shown == Shown::Mm { 0.5 } else { 0.02 };
    let decimals = shown.decimals();
    let number = number(ui, width, shown.number(mm), decimals, |drag| drag.speed(speed).fixed_decimals(decimals));
    number.map(|number| number * shown.in_mm())
}

/// A number to type or drag: given when it has been typed, or let go of, so that a drag is one change. One that reads as before
/// is none: leaving a field hands back what it shows, which is rounded to these decimals.
fn number(
    ui: &mut Ui,
    width: f32,
    now: f64,
    decimals: usize,
    dress: impl for<'a> FnOnce(DragValue<'a>) -> DragValue<'a>,
) -> Option<f64> {
    let id = ui.next_auto_id();
    let held = ui.data(|d| d.get_temp::<f64>(id));
    let mut number = held.unwrap_or(now);
    let drag = dress(DragValue::new(&mut number)).update_while_editing(false);
    let response = ui.add_sized(vec2(width, 22.0), drag);
    if response.dragged() {
        ui.data_mut(|d| d.insert_temp(id, number));
        return None;
    }
    if held.is_some() {
        ui.data_mut(|d| d.remove_temp::<f64>(id));
    }
    let reads = |number: f64| format!("{number:.decimals$}");
    (response.changed() || held.is_some()).then_some(number).filter(|number| reads(*number) != reads(now))
}

/// An amount to type or drag, in the unit shown. Gives its new value in the program's own unit when it is changed.
pub fn amount(ui: &mut Ui, width: f32, amount: Amount, shown: Shown, value: f64) -> Option<f64> {
    let one = amount.one(shown);
    let number = number(ui, width, value / one, 2, |drag| drag.speed(0.5).range(0.0..=f64::INFINITY).max_decimals(2));
    number.map(|number| number * one)
}

/// Heads over [`pair_row`]s: what they are about, and the two columns.
pub fn pair_head(ui: &mut Ui, what: &str, columns: [&str; 2]) {
    ui.add_space(3.0);
    pair(ui, what, columns.map(str::to_owned), "", (theme::strong(12.0), theme::SOFT));
}

/// What stands in two columns, front and rear most often. Left out where neither has it.
pub fn pair_row(ui: &mut Ui, what: &str, cells: [String; 2], hint: &str) {
    if cells.iter().any(|cell| !cell.is_empty()) {
        pair(ui, what, cells, hint, (egui::FontId::proportional(12.5), theme::INK));
    }
}

fn pair(ui: &mut Ui, what: &str, cells: [String; 2], hint: &str, (font, colour): (egui::FontId, Color32)) {
    const WIDE: f32 = 72.0;
    ui.spacing_mut().item_spacing.y = 0.0;
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), 20.0), Sense::hover());
    if !hint.is_empty() {
        response.on_hover_text(hint);
    }
    ui.painter().hline(rect.x_range(), rect.bottom(), Stroke::new(0.5, theme::RULE));
    ui.painter().text(rect.left_center(), egui::Align2::LEFT_CENTER, what, font.clone(), colour);
    for (i, cell) in cells.iter().rev().enumerate() {
        let at = pos2(rect.right() - 2.0 - WIDE * i as f32, rect.center().y);
        ui.painter().text(at, egui::Align2::RIGHT_CENTER, cell.replace('-', "\u{2212}"), font.clone(), colour);
    }
}

/// Text at the right of a table's cell, as numbers stand.
pub fn right(ui: &mut Ui, text: RichText) {
    // A table gives its last column all the room that is left.
    let size = vec2(ui.available_width().min(66.0), ui.spacing().interact_size.y.min(20.0));
    ui.allocate_ui_with_layout(size, egui::Layout::right_to_left(egui::Align::Center), |ui| ui.label(text));
}

/// A caution: a bar beside a few calm words.
pub fn caution(ui: &mut Ui, text: &str) {
    ui.add_space(6.0);
    let inner = ui.horizontal_top(|ui| {
        ui.add_space(10.0);
        ui.add(Label::new(RichText::new(text).size(12.0).color(theme::INK)).wrap());
    });
    let r = inner.response.rect;
    ui.painter().rect_filled(
        egui::Rect::from_min_max(r.min, egui::pos2(r.left() + 3.0, r.bottom())),
        1.0,
        theme::SHORT,
    );
}

/// A quiet button with a drawn sign on it.
pub fn sign_button(
    ui: &mut Ui,
    size: Vec2,
    hint: &str,
    draw: impl FnOnce(&egui::Painter, egui::Rect, Color32),
) -> Response {
    let (rect, response) = ui.allocate_exact_size(size, Sense::click());
    let look = ui.style().interact(&response);
    ui.painter().rect(rect, look.corner_radius, look.bg_fill, look.bg_stroke, egui::StrokeKind::Inside);
    draw(ui.painter(), rect, look.fg_stroke.color);
    response.on_hover_text(hint)
}

/// A verdict's colour; never shown without its sign or its word.
pub fn colour(verdict: Verdict) -> Color32 {
    match verdict {
        Verdict::Clear => theme::CLEAR,
        Verdict::Short => theme::SHORT,
        Verdict::Touches => theme::TOUCH,
    }
}

/// A verdict's sign: a ring, a triangle, or a filled square with a cross.
pub fn sign(painter: &egui::Painter, rect: egui::Rect, verdict: Verdict) {
    let (c, r, colour) = (rect.center(), rect.width().min(rect.height()) / 2.0 - 1.0, colour(verdict));
    let line = |a: Vec2, b: Vec2, width: f32, colour| painter.line_segment([c + a, c + b], Stroke::new(width, colour));
    match verdict {
        Verdict::Clear => {
            painter.circle_stroke(c, r, Stroke::new(1.8, colour));
            line(vec2(-0.5, 0.0) * r, vec2(-0.1, 0.4) * r, 1.8, colour);
            line(vec2(-0.1, 0.4) * r, vec2(0.5, -0.4) * r, 1.8, colour);
        }
        Verdict::Short => {
            let corners = vec![c + vec2(0.0, -r), c + vec2(r, 0.85 * r), c + vec2(-r, 0.85 * r)];
            painter.add(egui::Shape::convex_polygon(corners, colour, Stroke::NONE));
            line(vec2(0.0, -0.35) * r, vec2(0.0, 0.3) * r, 1.8, theme::BLANK);
            painter.circle_filled(c + vec2(0.0, 0.58) * r, 1.0, theme::BLANK);
        }
        Verdict::Touches => {
            painter.rect_filled(egui::Rect::from_center_size(c, Vec2::splat(2.0 * r)), 2.0, colour);
            line(vec2(-0.45, -0.45) * r, vec2(0.45, 0.45) * r, 1.8, theme::BLANK);
            line(vec2(-0.45, 0.45) * r, vec2(0.45, -0.45) * r, 1.8, theme::BLANK);
        }
    }
}

/// A line for what is to be known while something is worked out. It keeps its room, so that nothing jumps when it comes and goes.
pub fn pending(ui: &mut Ui, text: Option<&str>) {
    let (rect, _) = ui.allocate_exact_size(vec2(ui.available_width(), 15.0), Sense::hover());
    let text = text.unwrap_or_default();
    ui.painter().text(
        rect.left_center(),
        egui::Align2::LEFT_CENTER,
        text,
        egui::FontId::proportional(12.0),
        theme::SOFT,
    );
}

/// What is said while numbers are of an earlier state of the car.
pub const AS_IT_WAS: &str = "Of the car as it was: working \u{2026}";

/// A sign that takes its place in a row.
pub fn sign_in(ui: &mut Ui, verdict: Verdict) {
    let (rect, _) = ui.allocate_exact_size(Vec2::splat(15.0), Sense::hover());
    sign(ui.painter(), rect, verdict);
}

/// Width of a column with numbers, and height of a row.
const NUMBER: f32 = 47.0;
const ROW: f32 = 24.0;

/// The heads over [`row`]s: what the table is about, and each column's.
pub fn row_head(ui: &mut Ui, what: &str, columns: &[&str]) {
    let (rect, _) = ui.allocate_exact_size(vec2(ui.available_width(), 20.0), Sense::hover());
    let font = theme::strong(12.0);
    ui.painter().text(rect.left_center(), egui::Align2::LEFT_CENTER, what, font.clone(), theme::SOFT);
    for (i, column) in columns.iter().rev().enumerate() {
        let at = pos2(rect.right() - 4.0 - NUMBER * i as f32, rect.center().y);
        ui.painter().text(at, egui::Align2::RIGHT_CENTER, column, font.clone(), theme::SOFT);
    }
}

/// What a row that can be pressed stands on: where it is, if it can be seen, and what is done to it.
pub fn row_ground(ui: &mut Ui, height: f32, chosen: bool) -> (Option<egui::Rect>, Response) {
    ui.spacing_mut().item_spacing.y = 0.0;
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), height), Sense::click());
    if !ui.is_rect_visible(rect) {
        return (None, response);
    }
    let wide = rect.expand2(vec2(6.0, 0.0));
    if chosen || response.hovered() {
        ui.painter().rect_filled(wide, 2.0, theme::BLUE_WASH);
    }
    ui.painter().hline(wide.x_range(), rect.bottom(), Stroke::new(0.5, theme::RULE));
    (Some(rect), response)
}

/// A row that can be pressed: a verdict, words, and numbers in their colours, of which the one at `main` is read first.
pub fn row(
    ui: &mut Ui,
    verdict: Verdict,
    words: &str,
    (cells, main): (&[(String, Color32)], usize),
    chosen: bool,
) -> Response {
    // A name that is longer than its room takes a second line: cut off, two rows could read the same.
    let room = ui.available_width() - 19.0 - NUMBER * cells.len() as f32 + 6.0;
    let words = ui.painter().layout(words.to_owned(), egui::FontId::proportional(12.5), theme::INK, room);
    let (rect, response) = row_ground(ui, ROW.max(words.size().y + 6.0), chosen);
    let Some(rect) = rect else { return response };
    let spot = egui::Rect::from_center_size(pos2(rect.left() + 7.0, rect.center().y), vec2(14.0, 14.0));
    sign(ui.painter(), spot, verdict);
    ui.painter().galley(pos2(rect.left() + 19.0, rect.center().y - words.size().y / 2.0), words, theme::INK);
    for (i, (cell, colour)) in cells.iter().rev().enumerate() {
        let at = pos2(rect.right() - 4.0 - NUMBER * i as f32, rect.center().y);
        let main = cells.len() - 1 - i == main;
        let font = if main { theme::strong(13.0) } else { egui::FontId::proportional(13.0) };
        ui.painter().text(at, egui::Align2::RIGHT_CENTER, cell.replace('-', "\u{2212}"), font, *colour);
    }
    response.on_hover_cursor(egui::CursorIcon::PointingHand)
}

/// `left front tyre` and `left upper rail` as `Left tyre – upper rail`: what both share is said once, and the front goes
/// without saying. With `of_axle` the second has the first one's axle in its name too, where that is the rear one.
pub fn pair_words(a: &str, b: &str, of_axle: bool) -> String {
    let shared = ["left ", "right "].into_iter().find(|side| a.starts_with(side));
    let b = shared.and_then(|side| b.strip_prefix(side)).unwrap_or(b);
    let b = if of_axle { b.strip_prefix("rear ").unwrap_or(b) } else { b };
    let a = a.replace(" front tyre", " tyre").replace(" front rim", " rim");
    format!("{} – {b}", crate::answer::words::capital(&a))
}

/// Front or rear, where the car has both.
pub fn axle_choice(ui: &mut Ui, now: AxleName) -> AxleName {
    let mut chosen = now;
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 3.0;
        ui.spacing_mut().button_padding = vec2(5.0, 1.0);
        for axle in AxleName::BOTH {
            let word = RichText::new(crate::answer::words::capital(axle.word())).size(12.5);
            if ui.add(egui::Button::new(word).selected(now == axle).min_size(vec2(0.0, 19.0))).clicked() {
                chosen = axle;
            }
        }
    });
    chosen
}
