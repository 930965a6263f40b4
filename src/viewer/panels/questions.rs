//! The questions, each always with its answer in one line, and the table of the one that is chosen.

use bevy_egui::egui::{self, Align, Frame, Label, Layout, Margin, RichText, Sense, Stroke, Ui};

use super::{
    View, alignment, brakes, change, curves, cut, gaps, loads, lock, ride, sheets, springs, stance, wheels, widgets,
};
use crate::answer::loads::told;
use crate::answer::{Told, Verdict};
use crate::viewer::asking::Question;
use crate::viewer::theme;

/// What a card says: a verdict, its word, and the answer in one sentence.
type Says = (Option<Verdict>, &'static str, String);

const QUESTIONS: [(Question, &str); 6] = [
    (Question::Gaps, "Gaps"),
    (Question::Lock, "Lock"),
    (Question::Cut, "Cut"),
    (Question::Change, "Change"),
    (Question::Loads, "Loads"),
    (Question::Sheets, "Sheets"),
];

/// In a window lower than this, points, a card that is not chosen has one line, so that the table keeps its room.
const LOW: f32 = 900.0;

pub(super) fn cards(ui: &mut Ui, view: &mut View) {
    ui.spacing_mut().item_spacing.y = 4.0;
    for (question, name) in QUESTIONS {
        let says = says(view, question);
        // Loads follow the quick answers.
        let working = view.asking.working() || (says.is_none() && view.asking.refusal().is_none());
        if card(ui, name, says, working, *view.question == question) {
            *view.question = question;
            view.pair.0 = None;
        }
    }
    studies(ui, view);
}

fn says(view: &View, question: Question) -> Option<Says> {
    let shown = view.units.0;
    let answered = view.asking.answers()?;
    let answers = &answered.answers;
    let judged = |verdict: Verdict, sentence| Some((Some(verdict), verdict.word(), sentence));
    match question {
        Question::Lock => judged(answers.lock.verdict, answers.lock.sentence(shown)),
        Question::Cut => judged(answers.cut.verdict, answers.cut.sentence(shown)),
        Question::Loads => Some(match &answered.later.as_ref()?.loads {
            Ok(sets) if sets.all.holds.is_empty() => (None, "not judged", sets.all.sentence(shown)),
            Ok(sets) => (Some(sets.all.verdict), told::stands(sets.all.verdict), sets.all.sentence(shown)),
            Err(why) => (None, "no answer", why.clone()),
        }),
        Question::Change if view.desk.proposal().is_none() => {
            Some((None, "", "Choose a proposal to see what it changes.".to_owned()))
        }
        Question::Change => Some(match view.comparing.told(&view.desk, shown)?.0 {
            Ok(told) => (None, "", told.in_short(shown)),
            Err(why) => (None, "no answer", why.clone()),
        }),
        Question::Sheets => Some((None, "", "Papers for the bench, a page for the customer.".to_owned())),
        _ => {
            let gaps = view.asking.gaps().unwrap_or(&answers.gaps);
            judged(gaps.verdict, gaps.sentence(shown))
        }
    }
}

/// What is looked up rather than judged, in rows, so that the tables keep their room.
const STUDIES: [&[(Question, &str, &str)]; 2] = [
    &[
        (Question::Curves, "Curves", "Any number of either axle against travel, roll or steering, as a plot"),
        (Question::Alignment, "Alignment", "Every number of an axle, how sure it is, and what to measure again"),
        (Question::Stance, "Stance", "Ride heights, splitter and underside over the ground, ramps and kerbs"),
        (
            Question::Wheels,
            "Wheels",
            "What is bolted on, how it fits the hub and over the brake, and what a swap changes",
        ),
    ],
    &[
        (Question::Springs, "Springs", "Damper strokes, anti-roll bars, and how far joints swing"),
        (
            Question::Ride,
            "Ride",
            "Wheel rates, ride frequencies, roll, load transfer and pitch; springs for a wished frequency",
        ),
        (
            Question::Brakes,
            "Brakes",
            "How the brakes share against ideal braking, what locks first, balance bar and cylinders",
        ),
    ],
];

fn studies(ui: &mut Ui, view: &mut View) {
    ui.add_space(1.0);
    for row in STUDIES {
        ui.horizontal(|ui| row_of_studies(ui, view, row));
    }
}

fn row_of_studies(ui: &mut Ui, view: &mut View, row: &[(Question, &str, &str)]) {
    let later = view.asking.answers().and_then(|a| a.later.as_ref());
    let verdict = |question| match question {
        Question::Springs => later.map(|later| later.springs.verdict),
        Question::Wheels => later.map(|later| later.wheels.verdict),
        Question::Ride => later.map(|later| later.ride),
        Question::Brakes => later.and_then(|later| later.brakes),
        _ => None,
    };
    ui.spacing_mut().item_spacing.x = 3.0;
    // The row is filled, whatever room its words leave.
    let font = egui::FontId::proportional(12.5);
    let wide = |ui: &Ui, name: &str| ui.painter().layout_no_wrap(name.to_owned(), font.clone(), theme::INK).size().x;
    let words: f32 = row.iter().map(|(_, name, _)| wide(ui, name)).sum();
    let gaps = 3.0 * (row.len() - 1) as f32;
    let spare = (ui.available_width() - words - gaps) / row.len() as f32;
    ui.spacing_mut().button_padding.x = 1.0;
    for (question, name, hint) in row.iter().copied() {
        let size = egui::vec2(wide(ui, name) + spare, 24.0);
        let word = RichText::new(name).font(font.clone());
        let button = egui::Button::new(word).selected(*view.question == question);
        let button = ui.add_sized(size, button).on_hover_text(hint);
        // A verdict that is not clear shows before anybody asks.
        if let Some(verdict) = verdict(question).filter(|v| *v != Verdict::Clear) {
            let at = button.rect.right_center() + egui::vec2(-9.0, 0.0);
            widgets::sign(ui.painter(), egui::Rect::from_center_size(at, egui::Vec2::splat(12.0)), verdict);
        }
        if button.clicked() {
            *view.question = question;
            view.laying.open &= question != Question::Curves;
            view.pair.0 = None;
        }
    }
}

/// One question: its name, its verdict as sign, word and colour, and its answer, in full where it is chosen. Says whether
/// it was pressed.
fn card(ui: &mut Ui, name: &str, says: Option<Says>, working: bool, chosen: bool) -> bool {
    let (fill, edge) = if chosen { (theme::BLUE_WASH, theme::BLUE) } else { (theme::BLANK, theme::RULE) };
    let frame =
        Frame::new().fill(fill).stroke(Stroke::new(1.0, edge)).corner_radius(4).inner_margin(Margin::symmetric(9, 4));
    let sentence = says.as_ref().map_or("", |(.., sentence)| sentence);
    let colour = if working { theme::SOFT } else { theme::INK };
    let label = || Label::new(RichText::new(sentence).size(12.5).color(colour));
    let one_line = !chosen && ui.ctx().viewport_rect().height() < LOW;
    let shown = frame.show(ui, |ui| {
        ui.set_width(ui.available_width());
        ui.spacing_mut().item_spacing.y = 1.0;
        ui.horizontal(|ui| {
            let named = ui.label(RichText::new(name).font(theme::strong(14.0))).rect;
            if one_line {
                ui.add_space(56.0 - named.width());
            }
            ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                verdict(ui, says.as_ref(), working);
                if one_line {
                    ui.with_layout(Layout::left_to_right(Align::Center), |ui| ui.add(label().truncate()));
                }
            });
        });
        if !one_line {
            ui.add(if chosen { label().wrap() } else { label().truncate() });
        }
    });
    let response = ui.interact(shown.response.rect, ui.id().with(name), Sense::click());
    if response.hovered() && !chosen {
        ui.painter().rect_stroke(shown.response.rect, 4.0, Stroke::new(1.0, theme::BLUE), egui::StrokeKind::Inside);
    }
    let response = match &says {
        Some((.., sentence)) if !chosen => response.on_hover_text(sentence),
        _ => response,
    };
    response.on_hover_cursor(egui::CursorIcon::PointingHand).clicked()
}

/// What an answer comes to: a word in its colour, and its sign.
fn verdict(ui: &mut Ui, says: Option<&Says>, working: bool) {
    match says {
        Some((verdict, word, _)) if !working => {
            ui.spacing_mut().item_spacing.x = 5.0;
            let colour = verdict.map_or(theme::SOFT, widgets::colour);
            if !word.is_empty() {
                ui.label(RichText::new(*word).font(theme::strong(13.0)).color(colour));
            }
            if let Some(verdict) = verdict {
                widgets::sign_in(ui, *verdict);
            }
        }
        _ if working => drop(ui.label(RichText::new("working \u{2026}").color(theme::SOFT))),
        _ => drop(ui.label(RichText::new("no answer").color(theme::SOFT))),
    }
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
        Question::Stance => stance::table(ui, view, &answered),
        Question::Loads => loads::table(ui, view, &answered),
        Question::Wheels => wheels::table(ui, view, &answered),
        Question::Change => change::table(ui, view),
        Question::Sheets => sheets::table(ui, view),
        Question::Ride => ride::table(ui, view, &answered),
        Question::Brakes => brakes::table(ui, view, &answered),
        Question::Curves => {}
    }
}
