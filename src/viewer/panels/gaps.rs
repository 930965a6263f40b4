//! The table of gaps: every pair here and at its worst. Pressing a row poses the car at its worst.

use bevy_egui::egui::{self, Button, Label, RichText, Sense, Ui, pos2, vec2};
use nalgebra::Vector2;

use super::{View, widgets};
use crate::answer::gaps::PoseTold;
use crate::answer::{PairGap, WorstPose};
use crate::car::Hub;
use crate::motion::Pose;
use crate::space::Role;
use crate::viewer::asking::Answered;
use crate::viewer::theme;

/// Widths of the columns with numbers.
const NUMBER: f32 = 47.0;
const ROW: f32 = 24.0;

pub(super) fn table(ui: &mut Ui, view: &mut View, answered: &Answered) {
    let Some(gaps) = view.asking.gaps().cloned() else { return };
    let shown = view.units.0;
    if ui.add(Button::new("Map over bump and steer").selected(view.mapping.open)).clicked() {
        view.mapping.open = !view.mapping.open;
        view.laying.open = false;
    }
    head(ui, &["here", "least", "wanted"], &format!("Gap, {}", shown.sign()));
    for pair in &gaps.pairs {
        let chosen = view.pair.is(pair);
        let here = pair.here.map_or("–".to_owned(), |g| shown.cell(g.gap_mm));
        let cells = [here, shown.cell(pair.worst.gap.gap_mm), shown.cell(pair.wanted_mm)];
        let proven = pair
            .worst
            .at_least_mm
            .map_or_else(String::new, |mm| format!(" Proven: nowhere less than {}.", shown.length(mm)));
        let sure = pair.doubt.map_or_else(String::new, |d| format!(" Give or take {}.", shown.length(d.doubt_mm)));
        let hint = format!(
            "{} against {}. Least at {}.{proven}{sure} Press to pose the car there.",
            pair.a,
            pair.b,
            pair.worst.at.told(shown)
        );
        if row(ui, pair, &cells, chosen).on_hover_text(hint).clicked() {
            view.pair.0 = Some([pair.a.clone(), pair.b.clone()]);
            if let Some(pose) = worst_pose(answered, pair.wheel, &pair.worst.at) {
                view.posing.take(pose);
            }
        }
    }
}

/// The pose in which something at a wheel, or at the ground, is worst.
pub(super) fn worst_pose(answered: &Answered, wheel: Option<Hub>, at: &WorstPose) -> Option<Pose> {
    match *at {
        WorstPose::Wheel { travel_mm, rack_mm, other_travel_mm } => {
            let beside = rack_mm.or(other_travel_mm).unwrap_or(0.0);
            answered.study.pose_at(wheel?, Vector2::new(travel_mm, beside))
        }
        WorstPose::Body(PoseTold { heave_mm, roll_deg, pitch_deg, rack_mm }) => {
            Some(Pose { heave: heave_mm, roll: roll_deg.to_radians(), pitch: pitch_deg.to_radians(), rack: rack_mm })
        }
    }
}

/// A pair as a row calls it: what both parts share is said once.
fn words(pair: &PairGap) -> String {
    // A body part may have `rear` in its own name; a part of the rear axle has it from there.
    let of_axle = matches!(pair.place.b, Role::Moving(..));
    widgets::pair_words(&pair.a, &pair.b, of_axle)
}

fn head(ui: &mut Ui, columns: &[&str], what: &str) {
    let (rect, _) = ui.allocate_exact_size(vec2(ui.available_width(), 20.0), Sense::hover());
    let font = theme::strong(12.0);
    ui.painter().text(rect.left_center(), egui::Align2::LEFT_CENTER, what, font.clone(), theme::SOFT);
    for (i, column) in columns.iter().rev().enumerate() {
        let at = pos2(rect.right() - 4.0 - NUMBER * i as f32, rect.center().y);
        ui.painter().text(at, egui::Align2::RIGHT_CENTER, column, font.clone(), theme::SOFT);
    }
}

fn row(ui: &mut Ui, pair: &PairGap, cells: &[String; 3], chosen: bool) -> egui::Response {
    ui.spacing_mut().item_spacing.y = 0.0;
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), ROW), Sense::click());
    if !ui.is_rect_visible(rect) {
        return response;
    }
    let wide = rect.expand2(vec2(6.0, 0.0));
    if chosen || response.hovered() {
        ui.painter().rect_filled(wide, 2.0, theme::BLUE_WASH);
    }
    ui.painter().hline(wide.x_range(), rect.bottom(), egui::Stroke::new(0.5, theme::RULE));
    let spot = egui::Rect::from_center_size(pos2(rect.left() + 7.0, rect.center().y), vec2(14.0, 14.0));
    widgets::sign(ui.painter(), spot, pair.verdict);
    let words = RichText::new(words(pair)).size(12.5);
    let left = egui::Rect::from_min_max(
        pos2(rect.left() + 19.0, rect.top()),
        pos2(rect.right() - 3.0 * NUMBER + 6.0, rect.bottom()),
    );
    let layout = egui::Layout::left_to_right(egui::Align::Center);
    ui.scope_builder(egui::UiBuilder::new().max_rect(left).layout(layout), |ui| {
        ui.add(Label::new(words).truncate());
    });
    let colours = [widgets::colour(pair.verdict_here()), widgets::colour(pair.verdict), theme::SOFT];
    for (i, (cell, colour)) in cells.iter().zip(colours).rev().enumerate() {
        let at = pos2(rect.right() - 4.0 - NUMBER * i as f32, rect.center().y);
        let font = if i == 2 { theme::strong(13.0) } else { egui::FontId::proportional(13.0) };
        ui.painter().text(at, egui::Align2::RIGHT_CENTER, cell.replace('-', "\u{2212}"), font, colour);
    }
    response.on_hover_cursor(egui::CursorIcon::PointingHand)
}
