//! The table of an axle's numbers: each with its doubt, and for the one that is chosen its rate and what it rests on.

use bevy_egui::egui::{self, Align2, FontId, Label, RichText, Sense, Ui, pos2, vec2};

use super::{View, widgets};
use crate::answer::alignment::{Number, step, unit};
use crate::answer::words::capital;
use crate::car::Shown;
use crate::motion::{Along, Quantity};
use crate::viewer::asking::Answered;
use crate::viewer::plotting::Shows;
use crate::viewer::theme;

const ROW: f32 = 22.0;
const NUMBER: f32 = 92.0;
/// Readings that are told at most: those that matter.
const READINGS: usize = 8;

pub(super) fn table(ui: &mut Ui, view: &mut View, answered: &Answered) {
    let shown = view.units.0;
    let axle = view.axle.of(&answered.study.car);
    ui.horizontal(|ui| {
        if answered.study.car.rear.is_some() {
            view.axle.0 = widgets::axle_choice(ui, view.axle.0);
        }
        ui.label(RichText::new("at ride height, give or take").size(12.5).color(theme::SOFT));
    });
    let told = answered.later.as_ref().and_then(|later| later.alignment[axle as usize].clone());
    let Some(told) = told else {
        ui.label(RichText::new("working \u{2026}").color(theme::SOFT));
        return;
    };
    head(ui);
    for number in &told.numbers {
        let chosen = view.plotting.shows == Shows::Quantity(number.quantity);
        if row(ui, number, shown, chosen).on_hover_text(number.quantity.meaning()).clicked() {
            view.plotting.shows = Shows::Quantity(number.quantity);
        }
        if chosen {
            rests_on(ui, view, answered, number.quantity);
        }
    }
}

fn head(ui: &mut Ui) {
    let (rect, _) = ui.allocate_exact_size(vec2(ui.available_width(), 20.0), Sense::hover());
    let font = theme::strong(12.0);
    for (i, word) in ["right", "left"].into_iter().enumerate() {
        let at = pos2(rect.right() - 2.0 - NUMBER * i as f32, rect.center().y);
        ui.painter().text(at, Align2::RIGHT_CENTER, word, font.clone(), theme::SOFT);
    }
}

fn row(ui: &mut Ui, number: &Number, shown: Shown, chosen: bool) -> egui::Response {
    let (rect, response) = widgets::row_ground(ui, ROW, chosen);
    let Some(rect) = rect else { return response };
    let name = format!("{}{}", capital(number.quantity.words()), comma(&unit(number.measure, shown)));
    let left = rect.with_max_x(rect.right() - 2.0 * NUMBER + 4.0);
    let layout = egui::Layout::left_to_right(egui::Align::Center);
    ui.scope_builder(egui::UiBuilder::new().max_rect(left).layout(layout), |ui| {
        ui.add(Label::new(RichText::new(name).size(12.5)).truncate());
    });
    for (i, side) in number.sides.iter().rev().enumerate() {
        // What belongs to the axle is told once.
        let told = side.as_ref().filter(|_| i == 1 || !number.quantity.of_axle());
        let text = told.map_or_else(String::new, |s| number.give_or_take(s.value, s.doubt, shown));
        let at = pos2(rect.right() - 2.0 - NUMBER * i as f32, rect.center().y);
        let font = FontId::proportional(12.5);
        ui.painter().text(at, Align2::RIGHT_CENTER, text.replace('-', "\u{2212}"), font, theme::INK);
    }
    response.on_hover_cursor(egui::CursorIcon::PointingHand)
}

/// ` deg` as `, deg`.
fn comma(unit: &str) -> String {
    if unit.is_empty() { String::new() } else { format!(",{unit}") }
}

/// How fast the chosen number changes, and the readings that it rests on.
fn rests_on(ui: &mut Ui, view: &View, answered: &Answered, quantity: Quantity) {
    let shown = view.units.0;
    let axle = view.axle.of(&answered.study.car);
    let Ok(told) = answered.study.alignment(axle, Along::Travel, Some(quantity), shown) else { return };
    let Some(number) = told.numbers.first() else { return };
    let (_, _, per) = step(Along::Travel, shown);
    let small = |text: String| RichText::new(text.replace('-', "\u{2212}")).size(12.0);
    ui.add_space(3.0);
    let rates = number.sides.iter().flatten().map(|s| number.give_or_take(s.rate, s.rate_doubt, shown));
    let rates: Vec<String> = rates.take(if quantity.of_axle() { 1 } else { 2 }).collect();
    let rate = format!("Changes by {}{} in {per}.", rates.join(" and "), unit(number.measure, shown));
    ui.add(Label::new(small(rate)).wrap());
    if told.rests_on.is_empty() {
        return;
    }
    let own = told.rests_on[0].wheel;
    let rows: Vec<_> = told.rests_on.iter().filter(|r| r.wheel == own).take(READINGS).collect();
    ui.add_space(2.0);
    ui.add(
        Label::new(small("Measure again, if you doubt it, what its doubt rests on (value, rate):".to_owned())).wrap(),
    );
    egui::Grid::new("rests on").num_columns(3).spacing(vec2(8.0, 1.0)).show(ui, |ui| {
        for r in rows {
            ui.add(Label::new(small(capital(&r.reading))));
            for share in [r.share, r.rate_share] {
                widgets::right(ui, small(format!("{:.0} %", share * 100.0)));
            }
            ui.end_row();
        }
    });
    ui.add_space(6.0);
}
