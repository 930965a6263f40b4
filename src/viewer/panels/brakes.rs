//! How the brakes share: what the pedal gives at each axle, against ideal braking, what locks first, and what would be ideal.

use bevy_egui::egui::{DragValue, Grid, Label, RichText, Ui, vec2};

use super::{View, widgets};
use crate::answer::Told;
use crate::answer::brakes::{AxleBrakes, Braking, bore_cell};
use crate::answer::words::capital;
use crate::car::{Amount, AxleName, Shown};
use crate::viewer::asking::Answered;
use crate::viewer::theme;

pub(super) fn table(ui: &mut Ui, view: &mut View, answered: &Answered) {
    let shown = view.units.0;
    let found = answered.later.as_ref().and_then(|later| later.found.clone());
    let braking = match answered.study.brakes(found.as_deref(), &view.wishing.brakes) {
        Ok(braking) => braking,
        Err(why) => {
            ui.add(Label::new(RichText::new(capital(&why.to_string())).size(12.5)).wrap());
            return;
        }
    };
    widgets::pending(ui, view.asking.working().then_some(widgets::AS_IT_WAS));
    ui.horizontal_top(|ui| {
        widgets::sign_in(ui, braking.verdict);
        ui.add(Label::new(RichText::new(braking.sentence(shown)).size(12.5)).wrap());
    });
    ui.add_space(4.0);
    asked(ui, view, shown);
    axles(ui, &braking, shown);
    ideal(ui, &braking);
    ui.add_space(4.0);
    for said in braking.tells(shown) {
        ui.add(Label::new(RichText::new(said).size(12.5)).wrap());
    }
    for note in &braking.notes {
        ui.add_space(3.0);
        ui.add(Label::new(RichText::new(note).size(12.0).color(theme::SOFT)).wrap());
    }
    widgets::caution(ui, braking.caution);
}

fn asked(ui: &mut Ui, view: &mut View, shown: Shown) {
    let ask = &mut view.wishing.brakes;
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 5.0;
        ui.label(RichText::new("Pedal").size(12.5)).on_hover_text("Force on the pedal");
        if let Some(force) = widgets::amount(ui, 52.0, Amount::Force, shown, ask.pedal) {
            ask.pedal = force;
        }
        ui.label(RichText::new(Amount::Force.sign(shown)).size(12.0).color(theme::SOFT));
        for (word, hint, value) in [
            ("grip", "How many times its load a tyre holds", &mut ask.grip),
            ("ideal at", "The deceleration at which both axles are to use their grip alike, g", &mut ask.at),
        ] {
            ui.label(RichText::new(word).size(12.5)).on_hover_text(hint);
            ui.add_sized(vec2(42.0, 22.0), DragValue::new(value).speed(0.01).range(0.05..=3.0).max_decimals(2));
        }
    });
}

fn axles(ui: &mut Ui, braking: &Braking, shown: Shown) {
    widgets::pair_head(
        ui,
        &format!("At {:.2} g, {:.1} % in front", braking.decel_g, braking.front_percent),
        ["front", "rear"],
    );
    let each = |cell: &dyn Fn(&AxleBrakes) -> String| {
        AxleName::BOTH.map(|name| braking.axles.iter().find(|a| a.axle == name).map_or_else(String::new, cell))
    };
    let mut row = |what: String, cell: &dyn Fn(&AxleBrakes) -> String| widgets::pair_row(ui, &what, each(cell), "");
    row(format!("Master cylinder, {}", shown.sign()), &|a| bore_cell(a.master_mm, shown));
    row(format!("Pistons, {}", Amount::Area.sign(shown)), &|a| Amount::Area.cell(a.piston_mm2, shown));
    row(format!("Disc radius, {}", shown.sign()), &|a| shown.cell(a.radius_mm));
    row(format!("Tyre radius, {}", shown.sign()), &|a| shown.cell(a.tyre_radius_mm));
    row(format!("Line pressure, {}", Amount::Pressure.sign(shown)), &|a| Amount::Pressure.cell(a.pressure_mpa, shown));
    row(format!("Torque a wheel, {}", Amount::Torque.sign(shown)), &|a| Amount::Torque.cell(a.torque_nm, shown));
    row(format!("Force, {}", Amount::Force.sign(shown)), &|a| Amount::Force.cell(a.force_n, shown));
}

/// The share that is ideal at each deceleration, and how much grip each axle uses there.
fn ideal(ui: &mut Ui, braking: &Braking) {
    ui.add_space(6.0);
    Grid::new("ideal braking").num_columns(4).spacing(vec2(6.0, 0.0)).min_row_height(19.0).show(ui, |ui| {
        let head = |text: &str| RichText::new(text).font(theme::strong(12.0)).color(theme::SOFT);
        ui.label(head("Against ideal, g"));
        for word in ["ideal %", "front grip", "rear grip"] {
            widgets::right(ui, head(word));
        }
        ui.end_row();
        for row in &braking.rows {
            ui.label(RichText::new(format!("{:.1}", row.g)).size(12.5));
            widgets::right(ui, RichText::new(format!("{:.1}", row.ideal_front_percent)).size(12.5));
            for (grip, other) in [(row.front_grip, row.rear_grip), (row.rear_grip, row.front_grip)] {
                // The axle that uses more of its grip locks first.
                let first = grip.zip(other).is_some_and(|(grip, other)| grip > other);
                let font = if first { theme::strong(12.5) } else { bevy_egui::egui::FontId::proportional(12.5) };
                let cell = grip.map_or_else(|| "\u{2013}".to_owned(), |grip| format!("{grip:.2}"));
                widgets::right(ui, RichText::new(cell).font(font));
            }
            ui.end_row();
        }
    });
}
