//! The panel at the right of the stage in which a proposal's arms are grown, its bump steer is brought back and better points are
//! looked for. What is typed is shown on the car at once, and put into the proposal as one edit.

use bevy_egui::egui::{self, Button, Grid, Label, RichText, ScrollArea, Ui, vec2};

use super::{View, better, widgets};
use crate::answer::change::{Growth, RodEnd, SteerAim};
use crate::answer::words::capital;
use crate::answer::{Told, alignment};
use crate::car::{AxleName, GrowWay, Shown, Side};
use crate::motion::Along;
use crate::viewer::comparing::added;
use crate::viewer::desk::Command;
use crate::viewer::theme;

pub(super) fn show(ui: &mut Ui, view: &mut View) {
    ui.horizontal(|ui| {
        ui.label(RichText::new("Arms and points").font(theme::strong(15.0)));
        if view.desk.looked_at().car.rear.is_some() {
            ui.add_space(6.0);
            let chosen = widgets::axle_choice(ui, view.axle.0);
            if chosen != view.axle.0 {
                drop_growth(view);
                view.axle.0 = chosen;
            }
        }
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            if ui.button("Close").clicked() {
                drop_growth(view);
                view.comparing.open = false;
            }
        });
    });
    let bar = egui::scroll_area::ScrollBarVisibility::VisibleWhenNeeded;
    ScrollArea::vertical().auto_shrink(false).scroll_bar_visibility(bar).show(ui, |ui| {
        ui.set_width(ui.available_width() - 12.0);
        let axle = view.axle.of(&view.desk.looked_at().car);
        grow(ui, view, axle);
        ui.add_space(10.0);
        bump_steer(ui, view, axle);
        ui.add_space(6.0);
        widgets::caution(ui, crate::answer::change::CAUTION);
        ui.add_space(10.0);
        better::show(ui, view, axle);
    });
}

/// Takes what is typed, and not yet put into the proposal, off the car again.
fn drop_growth(view: &mut View) {
    if std::mem::take(&mut view.comparing.by_mm) != 0.0 {
        view.commands.write(Command::StopTrying);
    }
}

fn grow(ui: &mut Ui, view: &mut View, axle: AxleName) {
    let shown = view.units.0;
    ui.label(RichText::new("Grow the arms").font(theme::strong(13.5)));
    let mut changed = false;
    ui.horizontal(|ui| {
        ui.label(RichText::new("Longer a side").size(12.5));
        if let Some(mm) = widgets::length(ui, 72.0, shown, view.comparing.by_mm) {
            view.comparing.by_mm = mm;
            changed = true;
        }
        ui.label(RichText::new(shown.sign()).size(12.5).color(theme::SOFT));
        for (way, word, hint) in WAYS {
            if ui.add(Button::new(word).selected(view.comparing.way == way)).on_hover_text(hint).clicked() {
                view.comparing.way = way;
                changed = true;
            }
        }
    });
    if changed {
        view.comparing.axle = axle;
        view.bettering.unpick();
        view.marking.chosen = None;
        view.commands.write(match view.comparing.edit(&view.desk) {
            Some(edit) => Command::Try(edit),
            None => Command::StopTrying,
        });
    }
    let View { comparing, desk, .. } = view;
    let growth = comparing.growth(desk).cloned();
    let Some(growth) = growth else {
        let text = "Both ball joints, the tie rod's end and the wheel move outboard together: caster, kingpin, scrub radius, camber \
                    and toe stay as they were measured.";
        ui.add(Label::new(RichText::new(text).size(12.0).color(theme::SOFT)).wrap());
        return;
    };
    ui.horizontal(|ui| {
        let can = growth.is_ok() && view.desk.refused().is_none();
        let word = RichText::new("Put into the proposal").color(theme::BLANK);
        if ui.add_enabled(can, Button::new(word).fill(theme::BLUE)).clicked()
            && let Some(edit) = view.comparing.edit(&view.desk)
        {
            view.commands.write(Command::Edit(edit));
            view.comparing.by_mm = 0.0;
        }
        if ui.button("Drop").clicked() {
            drop_growth(view);
        }
    });
    if let Some(why) = view.desk.refused() {
        widgets::caution(ui, why);
    }
    match growth {
        Ok(growth) => grown(ui, &growth, shown),
        Err(why) => widgets::caution(ui, &why),
    }
}

const WAYS: [(GrowWay, &str, &str); 2] = [
    (GrowWay::Across, "Across", "Straight out across the car: the wheel stays where it was fore and aft"),
    (
        GrowWay::Square,
        "Square",
        "The lower arm square to its own pickup axis, as a jig without a fixed direction makes it, and all else with it",
    ),
];

fn grown(ui: &mut Ui, growth: &Growth, shown: Shown) {
    ui.add(Label::new(RichText::new(growth.sentence(shown)).size(12.5)).wrap());
    if !growth.instead.is_empty() {
        ui.add(Label::new(RichText::new(growth.instead).size(12.0).color(theme::SOFT)).wrap());
    }
    ui.add_space(4.0);
    let cell = |mm: Option<f64>| mm.map_or_else(String::new, |mm| shown.cell(mm));
    if !growth.parts.is_empty() {
        table(ui, "tubes", &[&format!("Centre to centre, {}", shown.sign()), "was", "is", "by"], |row| {
            for part in &growth.parts {
                for leg in &part.legs {
                    let name = format!("{} {}", capital(part.side.word()), leg.pickup.words());
                    let length = leg.length_mm;
                    row(name, [length.from, length.to, length.change].map(cell).to_vec());
                }
            }
        });
    }
    if growth.parts.iter().any(|part| part.axis.is_some()) {
        ui.add_space(4.0);
        table(ui, "axes", &["Pickup axis against the car", "plan \u{b0}", "side \u{b0}", "square"], |row| {
            for part in &growth.parts {
                let Some(axis) = part.axis else { continue };
                let angle = |deg: f64| format!("{:.2}", deg + 0.0);
                let name = format!("{} {}", capital(part.side.word()), part.part);
                row(name, vec![angle(axis.plan_deg), angle(axis.side_deg), shown.cell(axis.square_mm[0])]);
            }
        });
        let text = format!(
            "In plan positive with the front pickup further out, in side view with it higher. \u{201c}Square\u{201d}: how far forward, {}, \
             this arm's ball joint would go if it alone were grown square to its axis.",
            shown.sign()
        );
        ui.add(Label::new(RichText::new(text).size(12.0).color(theme::SOFT)).wrap());
    }
}

/// A table with words at the left, and numbers in columns.
fn table(ui: &mut Ui, id: &str, heads: &[&str], rows: impl FnOnce(&mut dyn FnMut(String, Vec<String>))) {
    let words = (ui.available_width() - 58.0 * (heads.len() - 1) as f32).max(120.0);
    Grid::new(id).num_columns(heads.len()).spacing(vec2(2.0, 1.0)).min_row_height(19.0).show(ui, |ui| {
        let line = |ui: &mut Ui, name: RichText, cells: Vec<RichText>| {
            ui.allocate_ui_with_layout(vec2(words, 18.0), egui::Layout::left_to_right(egui::Align::Center), |ui| {
                ui.set_min_width(words);
                ui.add(Label::new(name).truncate());
            });
            for cell in cells {
                ui.allocate_ui_with_layout(vec2(54.0, 18.0), egui::Layout::right_to_left(egui::Align::Center), |ui| {
                    ui.set_min_width(54.0);
                    ui.label(cell);
                });
            }
            ui.end_row();
        };
        let head = |text: &str| RichText::new(text).font(theme::strong(12.0)).color(theme::SOFT);
        line(ui, head(heads[0]), heads[1..].iter().map(|h| head(h)).collect());
        rows(&mut |name, cells| {
            let cells = cells.into_iter().map(|c| RichText::new(c.replace('-', "\u{2212}")).size(12.5)).collect();
            line(ui, RichText::new(name).size(12.5), cells);
        });
    });
}

/// What each tie rod's outer end has to do, and the two ways to have it.
fn bump_steer(ui: &mut Ui, view: &mut View, axle: AxleName) {
    let shown = view.units.0;
    ui.label(RichText::new("Bump steer").font(theme::strong(13.5)));
    let fixes = {
        let View { comparing, desk, .. } = view;
        comparing.fix(desk, axle, shown).clone()
    };
    let fixes = match fixes {
        Ok(Some(fixes)) => fixes,
        Ok(None) => {
            let text = "This axle has no tie rods or toe links, so no rod end sets its bump steer.";
            ui.add(Label::new(RichText::new(text).size(12.5)).wrap());
            return;
        }
        Err(why) => return widgets::caution(ui, &why),
    };
    let (_, _, per) = alignment::step(Along::Travel, shown);
    let reach = shown.length(fixes[0].reach_mm);
    table(ui, "bump steer", &[&format!("Toe, \u{b0}, in {per}"), "rate", "droop", "bump"], |row| {
        // To the digit that is printed, so that there is no minus nought.
        let deg = |v: Option<f64>| {
            v.map_or_else(|| "\u{2013}".to_owned(), |v| format!("{:+.3}", (v * 1e3).round() / 1e3 + 0.0))
        };
        for (i, side) in Side::BOTH.into_iter().enumerate() {
            let now = fixes[0].ends[i].before;
            row(
                format!("{}, as it is", capital(side.word())),
                [Some(now.rate_deg), now.droop_deg, now.bump_deg].map(deg).to_vec(),
            );
            for fix in &fixes {
                let end = fix.ends[i];
                let after = end.after;
                let aim = aim(fix.aim);
                row(
                    format!("\u{2003}{aim}, {}", place(&end, shown)),
                    [Some(after.rate_deg), after.droop_deg, after.bump_deg].map(deg).to_vec(),
                );
            }
        }
    });
    let text = format!(
        "Toe-in positive; droop and bump are against ride height at {reach}. The end goes so far up the upright, or down: a spacer stack. \
         The mean of droop and bump is the curve's bend, which no height takes away."
    );
    ui.add(Label::new(RichText::new(text).size(12.0).color(theme::SOFT)).wrap());
    ui.horizontal(|ui| {
        ui.label(RichText::new("Move the ends").size(12.5));
        for fix in &fixes {
            let edit = added(&view.desk, &fix.changes()).filter(|_| !view.desk.trying());
            let why = if view.desk.trying() {
                "Put what is tried into the proposal first, or drop it"
            } else if fix.ends.iter().any(|end| !end.met) {
                "No height of the end does it"
            } else {
                "They are there already"
            };
            let button = ui.add_enabled(edit.is_some(), Button::new(capital(aim(fix.aim))));
            let button = button.on_hover_text(fix.sentence(shown)).on_disabled_hover_text(why);
            if let (true, Some(edit)) = (button.clicked(), edit) {
                view.commands.write(Command::Edit(edit));
            }
        }
    });
}

fn aim(aim: SteerAim) -> &'static str {
    match aim {
        SteerAim::AsBefore => "as before",
        SteerAim::Nothing => "none",
    }
}

/// How far an end goes up; the nearest place, where none does it.
fn place(end: &RodEnd, shown: Shown) -> String {
    let decimals = shown.decimals() + 1;
    let up = format!("{:+.*} {}", decimals, shown.number(end.raise_mm), shown.sign()).replace('-', "\u{2212}");
    if end.met { up } else { format!("nearest {up}") }
}
