//! The table of the body's stiffness, state by state.

use bevy_egui::egui::{self, Grid, Label, RichText, Ui, vec2};

use super::widgets;
use crate::answer::Verdict;
use crate::answer::frame::told::{POUND_FOOT, POUNDS_AN_INCH, percent, rounded};
use crate::answer::frame::{BodyState, BodyStrength, LoadedPlace, WAYS, kept};
use crate::answer::routes::told::mass;
use crate::answer::words::capital;
use crate::car::Shown;
use crate::viewer::theme;

/// Width of a cell with a number.
const CELL: f32 = 54.0;

/// At each loaded place the way in which least is kept, and the twist, in every state.
pub(super) fn table(ui: &mut Ui, strength: &BodyStrength, shown: Shown) {
    let states = &strength.states;
    let scale = if shown == Shown::Mm { 1.0 } else { POUNDS_AN_INCH };
    let unit = if shown == Shown::Mm { "N/mm" } else { "lbf/in" };
    let columns = if states.len() > 1 { states.len() + 1 } else { 1 };
    let room = (ui.available_width() - (CELL + 3.0) * columns as f32).clamp(80.0, 260.0);
    let left = |ui: &mut Ui, text: &str, hint: &str| left(ui, room, text, hint);
    Grid::new("stiffness").num_columns(states.len() + 2).spacing(vec2(3.0, 0.0)).min_row_height(20.0).show(ui, |ui| {
        left(ui, unit, "Along x forward, y to the left, z up");
        for state in states {
            right(ui, RichText::new(state.state.word()).small().color(theme::SOFT));
        }
        if states.len() > 1 {
            right(ui, RichText::new("kept").small().color(theme::SOFT));
        }
        ui.end_row();
        let mut row = |name: String, hint: String, values: Vec<Option<f64>>| {
            left(ui, &name, &hint);
            for value in &values {
                right(ui, RichText::new(value.map_or("loose".to_owned(), rounded)).size(12.5));
            }
            if let (true, [first, .., last]) = (states.len() > 1, &values[..])
                && let Some(share) = kept(*first, *last)
            {
                let verdict = Verdict::of(share, strength.wanted_share * (1.0 - 1e-6));
                right(ui, RichText::new(percent(share)).font(theme::strong(12.5)).color(widgets::colour(verdict)));
            }
            ui.end_row();
        };
        if let Some(pair) = &strength.twisted {
            let (unit, per) = if shown == Shown::Mm { ("Nm/deg", 1.0) } else { ("lbf ft/deg", 1.0 / POUND_FOOT) };
            let values = states.iter().map(|s| s.twist_nm_per_deg.map(|nm| nm * per)).collect();
            row(format!("Twist, {unit}"), format!("Between {} and what holds the body", pair.join(" and ")), values);
        }
        for places in worse_sides(states) {
            let (axis, first) = (least_kept(&places), places[0]);
            let values = places.iter().map(|p| p.along(axis).map(|n| n * scale)).collect();
            let name =
                ["left ", "right "].iter().fold(first.place.as_str(), |name, side| name.trim_start_matches(side));
            let name = capital(&name.replacen("front ", "", 1));
            row(format!("{}  {name}", ["x", "y", "z"][axis]), format!("{}, {}", first.place, WAYS[axis]), values);
        }
        left(ui, if shown == Shown::Mm { "Mass, kg" } else { "Mass, lb" }, "Rails, tubes and plates");
        for state in states {
            let number = mass(state.mass_kg, shown);
            right(ui, RichText::new(number.split(' ').next().unwrap_or_default().to_owned()).size(12.5));
        }
        ui.end_row();
    });
}

/// Each loaded place in every state; of two that are there on both sides the one that keeps less, or is softer.
fn worse_sides(states: &[BodyState]) -> Vec<Vec<&LoadedPlace>> {
    let count = states.first().map_or(0, |s| s.places.len());
    let all: Vec<Vec<&LoadedPlace>> =
        (0..count).map(|i| states.iter().filter_map(|s| s.places.get(i)).collect()).collect();
    let bare =
        |places: &[&LoadedPlace]| places[0].place.trim_start_matches("left ").trim_start_matches("right ").to_owned();
    let mut told: Vec<Vec<&LoadedPlace>> = Vec::new();
    for places in all {
        match told.iter_mut().find(|other| bare(other) == bare(&places)) {
            Some(other) => {
                let worth = |places: &[&LoadedPlace]| worth(places, least_kept(places));
                if worth(&places) < worth(other) * (1.0 - 1e-9) {
                    *other = places;
                }
            }
            None => told.push(places),
        }
    }
    told
}

/// What a place keeps along an axis; in one state alone how stiff it is.
fn worth(places: &[&LoadedPlace], axis: usize) -> f64 {
    match places {
        [only] => only.along(axis).unwrap_or(0.0),
        [first, .., last] => kept(first.along(axis), last.along(axis)).unwrap_or(f64::INFINITY),
        [] => f64::INFINITY,
    }
}

/// The way in which that is least.
fn least_kept(places: &[&LoadedPlace]) -> usize {
    (0..3).min_by(|a, b| worth(places, *a).total_cmp(&worth(places, *b))).unwrap_or(0)
}

/// What a row is of.
fn left(ui: &mut Ui, room: f32, text: &str, hint: &str) {
    ui.allocate_ui_with_layout(vec2(room, 18.0), egui::Layout::left_to_right(egui::Align::Center), |ui| {
        ui.set_min_width(room);
        ui.add(Label::new(RichText::new(text).size(12.5)).truncate().show_tooltip_when_elided(false))
            .on_hover_text(hint);
    });
}

/// A cell of this panel's narrow columns.
fn right(ui: &mut Ui, text: RichText) {
    ui.allocate_ui_with_layout(vec2(CELL, 18.0), egui::Layout::right_to_left(egui::Align::Center), |ui| {
        ui.set_min_width(CELL);
        ui.label(text);
    });
}
