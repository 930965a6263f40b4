//! The questions, each always with its answer in one line, and the table of the one that is chosen.

use bevy_egui::egui::{self, Align, Frame, Label, Layout, Margin, RichText, Sense, Stroke, Ui};

use super::{View, curves, cut, gaps, lock, widgets};
use crate::answer::{Range, Told, Verdict};
use crate::motion::Quantity;
use crate::viewer::asking::Question;
use crate::viewer::theme;

pub(super) fn cards(ui: &mut Ui, view: &mut View) {
    let shown = view.units.0;
    for (question, name) in
        [(Question::Gaps, "Gaps"), (Question::Lock, "Lock"), (Question::Cut, "Cut"), (Question::Curves, "Curves")]
    {
        let answer = view.asking.answers().and_then(|a| {
            let answers = &a.answers;
            Some(match question {
                Question::Gaps => {
                    let gaps = view.asking.gaps().unwrap_or(&answers.gaps);
                    (Some(gaps.verdict), gaps.sentence(shown))
                }
                Question::Lock => (Some(answers.lock.verdict), answers.lock.sentence(shown)),
                Question::Cut => (Some(answers.cut.verdict), answers.cut.sentence(shown)),
                // No verdict to show, so it leaves the room to the other tables until it is chosen.
                Question::Curves if *view.question != question => (None, String::new()),
                // At ride height alone: two poses.
                Question::Curves => (None, {
                    let axle = view.axle.of(&a.study.car);
                    let usual = [Quantity::Camber, Quantity::Toe];
                    let curves = a.study.curves(axle, Range::at(0.0), Range::at(0.0), Some(&usual));
                    curves.ok()?.sentence(shown)
                }),
            })
        });
        if card(ui, name, answer, view.asking.working(), *view.question == question) {
            *view.question = question;
            view.pair.0 = None;
        }
    }
}

/// One question: its name, its verdict, if it has one, as sign, word and colour, and its answer. Says whether it was pressed.
fn card(ui: &mut Ui, name: &str, answer: Option<(Option<Verdict>, String)>, working: bool, chosen: bool) -> bool {
    let (fill, edge) = if chosen { (theme::BLUE_WASH, theme::BLUE) } else { (theme::BLANK, theme::RULE) };
    let frame =
        Frame::new().fill(fill).stroke(Stroke::new(1.0, edge)).corner_radius(4).inner_margin(Margin::symmetric(9, 5));
    let shown = frame.show(ui, |ui| {
        ui.set_width(ui.available_width());
        ui.spacing_mut().item_spacing.y = 2.0;
        ui.horizontal(|ui| {
            ui.label(RichText::new(name).font(theme::strong(14.0)));
            ui.with_layout(Layout::right_to_left(Align::Center), |ui| match &answer {
                Some((None, text)) if !working => {
                    if text.is_empty() {
                        ui.label(
                            RichText::new("camber, toe, roll centre \u{2026} as plots").size(12.5).color(theme::SOFT),
                        );
                    }
                }
                Some((Some(verdict), _)) if !working => {
                    ui.spacing_mut().item_spacing.x = 5.0;
                    let word = RichText::new(verdict.word()).font(theme::strong(13.0)).color(widgets::colour(*verdict));
                    ui.label(word);
                    widgets::sign_in(ui, *verdict);
                }
                _ if working => drop(ui.label(RichText::new("working …").color(theme::SOFT))),
                _ => drop(ui.label(RichText::new("no answer").color(theme::SOFT))),
            });
        });
        if let Some((_, sentence)) = answer.as_ref().filter(|(_, sentence)| !sentence.is_empty()) {
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
        Question::Curves => {}
    }
}
