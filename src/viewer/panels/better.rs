//! Better points: what is wished, what may move, the search, and the cars that it found, one of which is shown on the stage.

use std::sync::Arc;

use bevy_egui::egui::{self, Button, Label, ProgressBar, RichText, TextEdit, Ui};

use super::{View, widgets};
use crate::answer::better::{Axis, Better, CAUTION};
use crate::answer::words::capital;
use crate::answer::{Told, Verdict};
use crate::car::{AxleName, PointName, Shown, Side};
use crate::viewer::desk::Command;
use crate::viewer::theme;

/// What is wished most often, as it is typed; its numbers are there to be changed.
const WISHES: [&str; 8] = [
    "bump_steer at most 0.05 either way",
    "toe change through travel at most 0.1 either way",
    "camber_gain from -0.8 to -0.4",
    "roll_centre_height stays within 5 mm",
    "anti_dive at least 20",
    "motion_ratio at least 0.7",
    "lock at least 34",
    "clear",
];

pub(super) fn show(ui: &mut Ui, view: &mut View, axle: AxleName) {
    let shown = view.units.0;
    ui.label(RichText::new("Better points").font(theme::strong(13.5)));
    typed(ui, view, axle);
    let asked = view.bettering.asked(shown, axle);
    actions(ui, view, asked.as_ref().ok().cloned());
    if let Err(why) = &asked {
        ui.add(Label::new(RichText::new(why).size(12.0).color(theme::TOUCH)).wrap());
    }
    match view.bettering.found(&view.desk).cloned() {
        Some(Ok(found)) => told(ui, view, &found, shown),
        Some(Err(why)) => widgets::caution(ui, &why),
        None => {}
    }
    widgets::caution(ui, CAUTION);
}

/// Wishes and free coordinates, a line each, with a list of each to add from.
fn typed(ui: &mut Ui, view: &mut View, axle: AxleName) {
    let field = |ui: &mut Ui, text: &mut String, hint: &str| {
        ui.add(TextEdit::multiline(text).hint_text(hint).desired_rows(2).desired_width(ui.available_width() - 4.0));
    };
    ui.horizontal(|ui| {
        ui.label(RichText::new("Wanted, a line each").size(12.5).color(theme::SOFT));
        ui.menu_button("Add", |ui| {
            for wish in WISHES {
                if ui.button(wish).clicked() {
                    add(&mut view.bettering.wishes, wish);
                    ui.close();
                }
            }
        });
    });
    field(ui, &mut view.bettering.wishes, "such as: bump_steer at most 0.05 either way");
    let car = Arc::clone(view.desk.looked_at());
    let described = car.car.axle(axle);
    let points = PointName::ALL.iter().filter(|name| described.is_some_and(|a| a.point(Side::Left, **name).is_some()));
    ui.horizontal(|ui| {
        ui.label(RichText::new("May move, and how far each way").size(12.5).color(theme::SOFT));
        ui.menu_button("Add", |ui| {
            egui::ScrollArea::vertical().max_height(420.0).show(ui, |ui| {
                for point in points {
                    ui.menu_button(capital(point.words()), |ui| {
                        for (axis, word) in Axis::ALL.into_iter().zip(["fore and aft", "in and out", "up and down"]) {
                            if ui.button(format!("{}, {word}", axis.name())).clicked() {
                                let by = if view.units.0 == Shown::Mm { "15 mm" } else { "0.6 in" };
                                add(&mut view.bettering.free, &format!("{} {} {by}", point.name(), axis.name()));
                                ui.close();
                            }
                        }
                    });
                }
            });
        });
    });
    field(ui, &mut view.bettering.free, "such as: tie_rod_outer z 15 mm");
}

/// A line more.
fn add(text: &mut String, line: &str) {
    if !text.is_empty() && !text.ends_with('\n') {
        text.push('\n');
    }
    text.push_str(line);
}

fn actions(ui: &mut Ui, view: &mut View, asked: Option<crate::answer::BetterAsk>) {
    ui.horizontal(|ui| {
        if let Some((done, met)) = view.bettering.searching() {
            let text = format!("{met} met");
            ui.add(ProgressBar::new(done).desired_width(ui.available_width() - 80.0).text(text));
            if ui.button("Cancel").clicked() {
                view.bettering.stop();
            }
            ui.ctx().request_repaint_after(std::time::Duration::from_millis(60));
            return;
        }
        let asks = asked.as_ref().is_some_and(|ask| !ask.free.is_empty() && !ask.wishes.is_empty());
        let can = asks && !view.asking.working() && !view.desk.trying();
        let hint = "Searches the boxes for the smallest move that meets every wish and breaks no gap, and what can be traded for what";
        let why = if asks {
            "Put what is tried into the proposal first, or drop it; or wait for the answers"
        } else {
            "Say what is wanted and what may move"
        };
        let button = ui.add_enabled(can, Button::new("Find better points")).on_hover_text(hint).on_disabled_hover_text(why);
        if let (true, Some(ask), Some(answered)) = (button.clicked(), asked, view.asking.answers()) {
            let (study, scans) = (Arc::clone(&answered.study), view.desk.looked_at().scans.clone());
            let settled = view.desk.settled;
            view.bettering.find(study, scans, ask, settled);
        }
        if let Some(which) = view.bettering.picked()
            && let Some(edit) = view.bettering.edit(&view.desk, which)
        {
            let word = RichText::new("Put into the proposal").color(theme::BLANK);
            if ui.add(Button::new(word).fill(theme::BLUE)).clicked() {
                view.commands.write(Command::Edit(edit));
            }
            if ui.button("Drop").clicked() {
                let drop = view.bettering.pick(&view.desk, None);
                view.commands.write(drop);
            }
        }
    });
}

fn told(ui: &mut Ui, view: &mut View, found: &Better, shown: Shown) {
    ui.horizontal_top(|ui| {
        widgets::sign_in(ui, found.verdict);
        ui.add(Label::new(RichText::new(found.sentence(shown)).size(12.5)).wrap());
    });
    let wishes = found.asked();
    // The first of them is in the sentence.
    for wished in found.wishes.iter().filter(|w| w.stopped_by.is_some()).skip(1) {
        if let Some(why) = &wished.stopped_by {
            let text = format!("{}: {}.", capital(&wished.wish.words(shown)), why.words(&wishes, shown));
            ui.add(Label::new(RichText::new(text).size(12.0).color(theme::SOFT)).wrap());
        }
    }
    if !found.cars.is_empty() {
        widgets::row_head(ui, "Found; press one to see it", &[shown.sign()]);
    }
    for (i, car) in found.cars.iter().enumerate() {
        let chosen = view.bettering.picked() == Some(i);
        let whole = car.met() == wishes.len();
        let verdict = if whole { Verdict::Clear } else { Verdict::Short };
        let called = match (i, whole) {
            (0, true) => "answer".to_owned(),
            (0, false) => "the nearest".to_owned(),
            _ => car.called(&wishes),
        };
        let name = capital(&called);
        let cells = [(shown.cell(car.moved_mm), theme::INK)];
        let hint = format!("Moves {}", car.moved(shown));
        if widgets::row(ui, verdict, &name, (&cells, 0), chosen).on_hover_text(hint).clicked() {
            view.comparing.by_mm = 0.0;
            view.marking.chosen = None;
            let pick = view.bettering.pick(&view.desk, (!chosen).then_some(i));
            view.commands.write(pick);
        }
        if chosen {
            detail(ui, found, i, shown);
        }
    }
    for note in &found.notes {
        ui.add(Label::new(RichText::new(note).size(12.0).color(theme::SOFT)).wrap());
    }
}

/// What moves, and where each wish stands.
fn detail(ui: &mut Ui, found: &Better, which: usize, shown: Shown) {
    let car = &found.cars[which];
    let small = |text: String| Label::new(RichText::new(text).size(12.0)).wrap();
    ui.add(small(format!("{}.", capital(&car.moved(shown)))));
    for (i, (wished, reached)) in found.wishes.iter().zip(&car.reached).enumerate() {
        ui.horizontal_top(|ui| {
            widgets::sign_in(ui, if reached.met { Verdict::Clear } else { Verdict::Short });
            let is = found.number(i, reached.value, shown);
            let was = wished.was.map_or_else(|| wished.was_words(shown), |v| found.number(i, v, shown));
            ui.add(small(format!("{}: {was} to {is}.", capital(&wished.what))));
        });
    }
    if let Some(gap) = &car.tightest {
        let proof = if car.proven { "proven" } else { "found, not all of it proven" };
        ui.add(small(format!("{}; {proof}.", gap.says(shown))));
    }
}
