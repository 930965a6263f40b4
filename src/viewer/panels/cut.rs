//! The table of the cut: each rail in the way, face by face, as stations from its datum.

use bevy_egui::egui::{Grid, Label, RichText, Ui, vec2};

use super::{View, gaps, widgets};
use crate::answer::{RailCut, words};
use crate::car::Shown;
use crate::viewer::asking::Answered;
use crate::viewer::theme;

pub(super) fn table(ui: &mut Ui, view: &mut View, answered: &Answered) {
    let cut = &answered.answers.cut;
    let shown = view.units.0;
    for rail in &cut.rails {
        ui.add_space(4.0);
        ui.horizontal(|ui| {
            widgets::sign_in(ui, rail.verdict);
            ui.label(RichText::new(words::capital(&rail.rail)).font(theme::strong(13.0)));
        });
        let from = format!("Stations, {}, from the {}.", shown.sign(), rail.datum);
        ui.add(Label::new(RichText::new(from).size(12.0).color(theme::SOFT)).wrap());
        faces(ui, view, answered, rail, shown);
    }
    if !cut.clear.is_empty() {
        ui.add_space(4.0);
        let text = format!("Out of the way: {}.", cut.clear.join(", "));
        ui.add(Label::new(RichText::new(text).size(12.5)).wrap());
    }
    widgets::caution(
        ui,
        "A shell's rails carry its crash loads. Brace the shell before cutting; follow your class's cage rules and the \
         law for cars on the road; have the new structure judged by a licensed engineer.",
    );
}

fn faces(ui: &mut Ui, view: &mut View, answered: &Answered, rail: &RailCut, shown: Shown) {
    let groups = [
        ("The tyre touches".to_owned(), &rail.touched, theme::TOUCH),
        (format!("To clear by {}", shown.length(rail.wanted_mm)), &rail.to_clear, theme::SHORT),
    ];
    Grid::new(&rail.rail).num_columns(4).spacing(vec2(8.0, 2.0)).min_col_width(46.0).show(ui, |ui| {
        for (what, stretches, colour) in groups {
            if stretches.is_empty() {
                continue;
            }
            ui.label(RichText::new(what).font(theme::strong(12.0)).color(colour));
            for head in ["from", "to", "deep"] {
                widgets::right(ui, RichText::new(head).small().color(theme::SOFT));
            }
            ui.end_row();
            for s in stretches {
                let hint = format!(
                    "Deepest at station {}: the {} tyre at {}. Press to pose the car there.",
                    shown.cell(s.deepest_mm),
                    s.wheel.words(),
                    s.at.told(shown)
                );
                let name = ui.link(words::capital(s.face.word())).on_hover_text(hint);
                if name.clicked()
                    && let Some(pose) = gaps::worst_pose(answered, Some(s.wheel), &s.at)
                {
                    view.posing.take(pose);
                }
                for mm in [s.from_mm, s.to_mm, s.depth_mm] {
                    widgets::right(ui, RichText::new(shown.cell(mm)));
                }
                ui.end_row();
            }
        }
    });
}
