//! The table of what a proposal changes: facts, then the numbers of each axle, was and is, and what moves. A number that is
//! pressed shows its curve.

use bevy_egui::egui::{self, Align2, Button, CollapsingHeader, ComboBox, FontId, Label, RichText, Ui, pos2, vec2};

use super::{View, widgets};
use crate::answer::change::{Between, CAUTION, FactChange, NumberChange};
use crate::answer::words::capital;
use crate::answer::{Comparison, Verdict, alignment, words};
use crate::car::{Shown, Side};
use crate::motion::Measure;
use crate::viewer::asking::Question;
use crate::viewer::beside::Way;
use crate::viewer::desk::Command;
use crate::viewer::plotting::Shows;
use crate::viewer::theme;

/// Width of a column with numbers, and height of a row.
const NUMBER: f32 = 58.0;
const ROW: f32 = 21.0;

pub(super) fn table(ui: &mut Ui, view: &mut View) {
    if view.desk.proposal().is_none() {
        return no_proposal(ui, view);
    }
    choices(ui, view);
    let told = view.comparing.told(&view.desk, view.units.0).map(|(told, fresh, proven)| (told.clone(), fresh, proven));
    let Some((told, fresh, proven)) = told else {
        ui.label(RichText::new("working \u{2026}").color(theme::SOFT));
        return;
    };
    let told = match told {
        Ok(told) => told,
        Err(why) => return widgets::caution(ui, &why),
    };
    let state = match (fresh, proven) {
        (false, _) => widgets::AS_IT_WAS,
        (true, false) => "As searched; gaps and lock are proven next \u{2026}",
        (true, true) => "Proven, as far as Gaps, Lock and Cut say.",
    };
    ui.label(RichText::new(state).small().color(theme::SOFT));
    facts(ui, view, &told);
    numbers(ui, view, &told);
    moved(ui, &told, view.units.0);
    for note in &told.notes {
        ui.add(Label::new(RichText::new(note).size(12.0).color(theme::SOFT)).wrap());
    }
    widgets::caution(ui, CAUTION);
}

fn no_proposal(ui: &mut Ui, view: &mut View) {
    let text =
        "This is the car as found. Choose a proposal above to see what it changes, or make one and grow its arms.";
    ui.add(Label::new(RichText::new(text).size(12.5)).wrap());
    ui.add_space(4.0);
    if ui.button("New proposal").on_hover_text("Changes nothing until something is put into it").clicked() {
        view.commands.write(Command::Edit(crate::car::Edit::AddProposal { name: new_name(view) }));
    }
}

/// A name that no proposal has.
fn new_name(view: &View) -> String {
    let taken = &view.desk.file().car().proposals;
    let names = (1..).map(|n| format!("proposal {n}"));
    names.into_iter().find(|name| taken.iter().all(|p| p.name != *name)).unwrap_or_default()
}

/// What it is compared with, how both are looked at, and the panel to make changes in.
fn choices(ui: &mut Ui, view: &mut View) {
    let hint = "Grow arms without losing their geometry, bring bump steer back, find better points";
    if ui.add(Button::new("Arms and points").selected(view.comparing.open)).on_hover_text(hint).clicked() {
        view.comparing.open = !view.comparing.open;
        view.laying.open = false;
    }
    ui.horizontal(|ui| {
        ui.label(RichText::new("Against").size(12.5));
        let now = view.desk.against().map(str::to_owned);
        let word = now.clone().unwrap_or_else(|| "as found".to_owned());
        let others: Vec<String> = view.desk.file().car().proposals.iter().map(|p| p.name.clone()).collect();
        ComboBox::from_id_salt("against").width(130.0).selected_text(word).show_ui(ui, |ui| {
            let found = std::iter::once(None);
            let own = view.desk.proposal().map(str::to_owned);
            for one in found.chain(others.into_iter().filter(|name| Some(name) != own.as_ref()).map(Some)) {
                let word = one.as_deref().unwrap_or("as found").to_owned();
                if ui.selectable_label(now == one, word).clicked() && now != one {
                    view.commands.write(Command::Against(one));
                }
            }
        });
        ui.checkbox(&mut view.comparing.all, "All").on_hover_text("Tell what stays as it was, too");
    });
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        for (way, word) in Way::ALL {
            if ui.add(Button::new(word).selected(view.beside.chosen == way)).clicked() {
                view.beside.chosen = way;
            }
        }
        ui.checkbox(&mut view.beside.arrows, "Arrows").on_hover_text("From where each point was to where it is");
    });
}

/// What a row is of, and its cells.
struct Row {
    verdict: Option<Verdict>,
    words: String,
    hint: String,
    cells: [String; 3],
}

fn facts(ui: &mut Ui, view: &View, told: &Comparison) {
    let shown = view.units.0;
    let facts: Vec<&FactChange> = told.facts.iter().filter(|fact| view.comparing.all || fact.changed()).collect();
    if facts.is_empty() {
        return;
    }
    head(ui, "Facts");
    for fact in facts {
        let FactChange { name, from, to, change, .. } = fact;
        let cell = |v: Option<f64>| v.map_or_else(String::new, |v| name.told(v, shown));
        let cells = [from.as_ref().map(|f| f.number), to.as_ref().map(|f| f.number), *change].map(cell);
        let about = to.as_ref().map_or("", |f| f.about.as_str());
        let hint = if about.is_empty() { String::new() } else { format!(": {about}") };
        let hint = format!("{}, {}{hint}", capital(name.words()), name.unit(shown));
        let verdict = to.as_ref().and_then(|f| f.verdict);
        let unit = name.unit(shown).replace("deg", "\u{b0}");
        row(ui, &Row { verdict, words: capital(&format!("{}, {unit}", name.words())), hint, cells });
    }
}

fn numbers(ui: &mut Ui, view: &mut View, told: &Comparison) {
    let shown = view.units.0;
    let (_, _, per) = alignment::step(told.along, shown);
    for axle in &told.axles {
        let numbers = axle.numbers.iter().filter(|number| view.comparing.all || number.changed());
        let numbers: Vec<&NumberChange> = numbers.collect();
        if numbers.is_empty() {
            continue;
        }
        head(ui, &format!("{} axle", capital(axle.axle.word())));
        for number in numbers {
            for (word, side) in number.wheels(shown) {
                // The side first: a long name is cut off behind.
                let of = if matches!(word, "both" | "") { String::new() } else { format!("{word} ") };
                let name = capital(&format!("{of}{}{}", number.quantity.words(), unit(number.measure, shown)));
                let hint = format!("{}. Press for its curve.", number.quantity.meaning());
                let value = cells(&number.value[side as usize], number.measure, shown);
                let mut pressed =
                    row(ui, &Row { verdict: None, words: name, hint: hint.clone(), cells: value }).clicked();
                let rate = &number.rate[side as usize];
                if rate.changed(number.measure) {
                    let words = format!("\u{2003}in {per}");
                    let cells = cells(rate, number.measure, shown);
                    pressed |= row(ui, &Row { verdict: None, words, hint, cells }).clicked();
                }
                if pressed {
                    view.axle.0 = axle.axle;
                    (view.plotting.shows, view.plotting.along) = (Shows::Quantity(number.quantity), told.along);
                    *view.question = Question::Curves;
                    view.laying.open = false;
                }
            }
        }
    }
}

fn cells(between: &Between, measure: Measure, shown: Shown) -> [String; 3] {
    let cell = |v: Option<f64>| v.map_or_else(|| "\u{2013}".to_owned(), |v| words::cell(v, measure, shown));
    [between.from, between.to, between.change].map(cell)
}

fn unit(measure: Measure, shown: Shown) -> String {
    match measure {
        Measure::Angle => ", \u{b0}".to_owned(),
        Measure::Ratio => String::new(),
        _ => format!(",{}", alignment::unit(measure, shown)),
    }
}

fn head(ui: &mut Ui, what: &str) {
    ui.add_space(3.0);
    let (rect, _) = ui.allocate_exact_size(vec2(ui.available_width(), 20.0), egui::Sense::hover());
    let font = theme::strong(12.0);
    ui.painter().text(rect.left_center(), Align2::LEFT_CENTER, what, font.clone(), theme::SOFT);
    for (i, word) in ["by", "is", "was"].into_iter().enumerate() {
        let at = pos2(rect.right() - 2.0 - NUMBER * i as f32, rect.center().y);
        ui.painter().text(at, Align2::RIGHT_CENTER, word, font.clone(), theme::SOFT);
    }
}

fn row(ui: &mut Ui, told: &Row) -> egui::Response {
    let sign = if told.verdict.is_some() { 19.0 } else { 0.0 };
    let room = ui.available_width() - sign - 3.0 * NUMBER + 8.0;
    let words = ui.painter().layout(told.words.clone(), FontId::proportional(12.5), theme::INK, room);
    let (rect, response) = widgets::row_ground(ui, ROW.max(words.size().y + 4.0), false);
    let response = response.on_hover_text(&told.hint);
    let Some(rect) = rect else { return response };
    if let Some(verdict) = told.verdict {
        let spot = egui::Rect::from_center_size(pos2(rect.left() + 7.0, rect.center().y), vec2(14.0, 14.0));
        widgets::sign(ui.painter(), spot, verdict);
    }
    ui.painter().galley(pos2(rect.left() + sign, rect.center().y - words.size().y / 2.0), words, theme::INK);
    for (i, cell) in told.cells.iter().rev().enumerate() {
        let at = pos2(rect.right() - 2.0 - NUMBER * i as f32, rect.center().y);
        // What it is now is read first; by how much it changes last.
        let (font, colour) = match i {
            0 => (FontId::proportional(12.5), theme::BLUE),
            1 => (theme::strong(12.5), theme::INK),
            _ => (FontId::proportional(12.5), theme::SOFT),
        };
        let sign = if i == 0 && !cell.starts_with(['-', '\u{2013}']) && !cell.is_empty() { "+" } else { "" };
        let text = format!("{sign}{}", cell.replace('-', "\u{2212}"));
        ui.painter().text(at, Align2::RIGHT_CENTER, text, font, colour);
    }
    response
}

/// Points that are elsewhere, and parts that are other than they were.
fn moved(ui: &mut Ui, told: &Comparison, shown: Shown) {
    if !told.moved.is_empty() {
        let head = RichText::new(format!("Points that move: {}", told.moved.len())).size(12.5);
        CollapsingHeader::new(head).id_salt("moved").show(ui, |ui| {
            let text = format!("Forward, left and up, {}.", shown.sign());
            ui.label(RichText::new(text).small().color(theme::SOFT));
            for point in &told.moved {
                let place = point.side.map_or("", Side::word);
                let cells = point.shift().map_or_else(Default::default, |by| by.map(|mm| shown.cell(mm)));
                let words = format!("{} {place}", capital(point.point.words()));
                row(ui, &Row { verdict: None, words, hint: capital(&point.words()), cells });
            }
        });
    }
    if !told.parts.is_empty() {
        let parts: Vec<String> = told.parts.iter().map(|p| format!("{} {}", p.part, p.fate.word())).collect();
        ui.add_space(4.0);
        ui.add(Label::new(RichText::new(format!("{}.", capital(&parts.join(", ")))).size(12.0)).wrap());
    }
}
