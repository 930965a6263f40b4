//! The questions, each always with its answer in one line, and the table of the one that is chosen.

use bevy_egui::egui::{self, Align, Frame, Label, Layout, Margin, RichText, Sense, Stroke, Ui};

use super::{View, alignment, curves, cut, gaps, lock, springs, stance, widgets};
use crate::answer::{Told, Verdict};
use crate::viewer::asking::Question;
use crate::viewer::theme;

pub(super) fn cards(ui: &mut Ui, view: &mut View) {
    let shown = view.units.0;
    for (question, name) in [(Question::Gaps, "Gaps"), (Question::Lock, "Lock"), (Question::Cut, "Cut")] {
        let answer = view.asking.answers().map(|a| {
            let answers = &a.answers;
            match question {
                Question::Lock => (answers.lock.verdict, answers.lock.sentence(shown)),
                Question::Cut => (answers.cut.verdict, answers.cut.sentence(shown)),
                _ => {
                    let gaps = view.asking.gaps().unwrap_or(&answers.gaps);
                    (gaps.verdict, gaps.sentence(shown))
                }
            }
        });
        if card(ui, name, answer, view.asking.working(), *view.question == question) {
            *view.question = question;
            view.pair.0 = None;
        }
    }
    studies(ui, view);
}

/// What is looked up rather than judged, in one row, so that the tables keep their room.
const STUDIES: [(Question, &str, &str); 4] = [
    (Question::Curves, "Curves", "Any number of either axle against travel, roll or steering, as a plot"),
    (Question::Alignment, "Alignment", "Every number of an axle, how sure it is, and what to measure again"),
    (Question::Springs, "Springs", "Damper strokes, anti-roll bars, and how far joints swing"),
    (Question::Stance, "Stance", "Ride heights, the lowest point and the ramps, in the pose shown"),
];

fn studies(ui: &mut Ui, view: &mut View) {
    let later = view.asking.answers().and_then(|a| a.later.as_ref());
    let verdict = later.map(|later| later.springs.verdict);
    ui.add_space(1.0);
    ui.spacing_mut().item_spacing.x = 4.0;
    ui.spacing_mut().button_padding.x = 3.0;
    ui.columns(STUDIES.len(), |columns| {
        for (ui, (question, name, hint)) in columns.iter_mut().zip(STUDIES) {
            let chosen = *view.question == question;
            let word = RichText::new(name).size(12.5);
            let size = egui::vec2(ui.available_width(), 26.0);
            let button = ui.add_sized(size, egui::Button::new(word).selected(chosen)).on_hover_text(hint);
            // A verdict that is not clear shows before anybody asks.
            if let Some(verdict) = verdict.filter(|v| question == Question::Springs && *v != Verdict::Clear) {
                let at = button.rect.right_top() + egui::vec2(-8.0, 8.0);
                widgets::sign(ui.painter(), egui::Rect::from_center_size(at, egui::Vec2::splat(13.0)), verdict);
            }
            if button.clicked() {
                *view.question = question;
                view.laying.open &= question != Question::Curves;
                view.pair.0 = None;
            }
        }
    });
}

/// One question: its name, its verdict as sign, word and colour, and its answer. Says whether it was pressed.
fn card(ui: &mut Ui, name: &str, answer: Option<(Verdict, String)>, working: bool, chosen: bool) -> bool {
    let (fill, edge) = if chosen { (theme::BLUE_WASH, theme::BLUE) } else { (theme::BLANK, theme::RULE) };
    let frame =
        Frame::new().fill(fill).stroke(Stroke::new(1.0, edge)).corner_radius(4).inner_margin(Margin::symmetric(9, 5));
    let shown = frame.show(ui, |ui| {
        ui.set_width(ui.available_width());
        ui.spacing_mut().item_spacing.y = 2.0;
        ui.horizontal(|ui| {
            ui.label(RichText::new(name).font(theme::strong(14.0)));
            ui.with_layout(Layout::right_to_left(Align::Center), |ui| match &answer {
                Some((verdict, _)) if !working => {
                    ui.spacing_mut().item_spacing.x = 5.0;
                    let word = RichText::new(verdict.word()).font(theme::strong(13.0)).color(widgets::colour(*verdict));
                    ui.label(word);
                    widgets::sign_in(ui, *verdict);
                }
                _ if working => drop(ui.label(RichText::new("working …").color(theme::SOFT))),
                _ => drop(ui.label(RichText::new("no answer").color(theme::SOFT))),
            });
        });
        if let Some((_, sentence)) = &answer {
            let colour = if working { theme::SOFT } else { theme::INK };
            ui.add(Label::new(RichText::new(sentence).size(12.5).color(colour)).wrap());
        }
    });
    let response = ui.interact(shown.response.rect, ui.id().with(name), Sense::click());
    if response.hovered() && !chosen {
        ui.painter().rect_stroke(shown.response.rect, 4.0, Stroke::new(1.0, theme::BLUE), egui::StrokeKind::Inside);
    }
    response.on_hover_cursor(egui::CursorIcon::PointingHand).clicked()
}

pub(super) fn table(ui: &mut Ui, view: &mut View) {
    if *view.question == Question::Curves {
        return curves::table(ui, view.units.0);
    }
    if let Some(why) = view.asking.refusal() {
        widgets::caution(ui, &format!("No answer: {why}"));
        return;
    }
    let Some(answered) = view.asking.answers().cloned() else { return };
    match *view.question {
        Question::Gaps => gaps::table(ui, view, &answered),
        Question::Lock => lock::table(ui, view, &answered),
        Question::Cut => cut::table(ui, view, &answered),
        Question::Alignment => alignment::table(ui, view, &answered),
        Question::Springs => springs::table(ui, view, &answered),
        Question::Stance => stance::table(ui, view),
        Question::Curves => {}
    }
}
