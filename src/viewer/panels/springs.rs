//! The table of springs: each damper's stroke as a bar, anti-roll bars, and how far joints swing.

use bevy_egui::egui::{self, Label, Rect, RichText, Sense, Stroke, Ui, pos2, vec2};

use super::{View, widgets};
use crate::answer::springs::{JointSwing, WheelSprings};
use crate::answer::words::{self, capital};
use crate::answer::{Told, Verdict};
use crate::car::{AxleName, Hub, Shown};
use crate::viewer::asking::Answered;
use crate::viewer::theme;

/// Joints that are told: those that swing furthest.
const JOINTS: usize = 12;

pub(super) fn table(ui: &mut Ui, view: &mut View, answered: &Answered) {
    let shown = view.units.0;
    let Some(later) = answered.later.clone() else {
        ui.label(RichText::new("working \u{2026}").color(theme::SOFT));
        return;
    };
    let springs = &later.springs;
    ui.horizontal_top(|ui| {
        widgets::sign_in(ui, springs.verdict);
        ui.add(Label::new(RichText::new(springs.sentence(shown)).size(12.5)).wrap());
    });
    ui.add_space(6.0);
    widgets::heading(ui, "Damper strokes: open at the left, closed at the right");
    for wheel in &springs.wheels {
        stroke(ui, wheel, shown);
    }
    for bar in &springs.bars {
        let axle = capital(bar.axle.word());
        let rates: Vec<String> = bar.wheel_n_per_mm.iter().flatten().map(|k| format!("{k:.1}")).collect();
        let text = format!("{axle} anti-roll bar: {} N/mm at the wheels in roll", rates.join(" and "));
        ui.add(Label::new(RichText::new(text).size(12.5)).wrap());
    }
    for rod in &springs.unreached {
        let hub = Hub { axle: rod.axle, side: rod.side };
        let text = format!("The {} {} does not reach at {}.", hub.words(), rod.part, rod.at.told(shown));
        widgets::caution(ui, &text);
    }
    ui.add_space(6.0);
    widgets::heading(ui, "Joints, how far they swing at most");
    for joint in springs.joints.iter().take(JOINTS) {
        swing(ui, joint, shown);
    }
    widgets::caution(
        ui,
        "A joint that binds breaks its bolt or its arm. Turn every joint by hand through the whole travel, \
                          springs out, before the car rolls.",
    );
}

/// A wheel's damper: what of its stroke the sweep uses, and where it stands at ride height.
fn stroke(ui: &mut Ui, wheel: &WheelSprings, shown: Shown) {
    let hub = Hub { axle: wheel.axle, side: wheel.side };
    let [bump, ride, droop] = &wheel.heights;
    let used = bump.stroke_percent.zip(droop.stroke_percent);
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), 24.0), Sense::hover());
    let name = if wheel.axle == AxleName::Front { hub.side.word().to_owned() + " front" } else { hub.words() };
    let font = egui::FontId::proportional(12.5);
    ui.painter().text(rect.left_center(), egui::Align2::LEFT_CENTER, capital(&name), font.clone(), theme::INK);
    let track = Rect::from_min_max(
        pos2(rect.left() + 76.0, rect.center().y - 5.0),
        pos2(rect.right() - 92.0, rect.center().y + 5.0),
    );
    let ratio = ride.motion_ratio.map_or_else(String::new, |r| format!("ratio {r:.3}"));
    ui.painter().text(rect.right_center(), egui::Align2::RIGHT_CENTER, ratio, font, theme::SOFT);
    let Some((high, low)) = used else {
        let text = if ride.damper_mm.is_some() { "open and closed not given" } else { "no damper" };
        let font = egui::FontId::proportional(12.0);
        ui.painter().text(track.left_center(), egui::Align2::LEFT_CENTER, text, font, theme::SOFT);
        return;
    };
    let at = |percent: f64| track.left() + track.width() * (percent / 100.0).clamp(0.0, 1.0) as f32;
    ui.painter().rect(track, 2.0, theme::BLANK, Stroke::new(1.0, theme::RULE), egui::StrokeKind::Inside);
    let over = !(0.0..=100.0).contains(&high) || !(0.0..=100.0).contains(&low);
    let fill = if over { widgets::colour(Verdict::Touches) } else { theme::BLUE };
    let part = Rect::from_x_y_ranges(at(low)..=at(high), track.y_range());
    ui.painter().rect_filled(part.shrink2(vec2(0.0, 2.0)), 1.0, fill);
    if let Some(now) = ride.stroke_percent {
        ui.painter().vline(at(now), track.expand(3.0).y_range(), Stroke::new(2.0, theme::INK));
    }
    let stroke = wheel.stroke;
    let end = |mm: Option<f64>| mm.map_or("not before the linkage ends".to_owned(), |mm| words::travel(mm, shown));
    let [closed, open] = [stroke.and_then(|s| s.closed_at_mm), stroke.and_then(|s| s.open_at_mm)].map(end);
    response.on_hover_text(format!(
        "{low:.0} to {high:.0} % of the stroke in the sweep; the mark is ride height. Closed: {closed}. Open: {open}."
    ));
}

fn swing(ui: &mut Ui, joint: &JointSwing, shown: Shown) {
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), 21.0), Sense::hover());
    ui.painter().hline(rect.x_range(), rect.bottom(), Stroke::new(0.5, theme::RULE));
    let mut left = rect.left();
    if joint.limit_deg.is_some() {
        let spot = Rect::from_center_size(pos2(left + 7.0, rect.center().y), vec2(13.0, 13.0));
        widgets::sign(ui.painter(), spot, joint.verdict);
        left += 19.0;
    }
    let area = Rect::from_min_max(pos2(left, rect.top()), pos2(rect.right() - 84.0, rect.bottom()));
    let layout = egui::Layout::left_to_right(egui::Align::Center);
    ui.scope_builder(egui::UiBuilder::new().max_rect(area).layout(layout), |ui| {
        ui.add(Label::new(RichText::new(capital(&joint.words())).size(12.5)).truncate());
    });
    let limit = joint.limit_deg.map_or_else(String::new, |l| format!(" of {l:.0}"));
    let text = format!("{:.1}{limit}\u{b0}", joint.swing_deg);
    let font = egui::FontId::proportional(12.5);
    ui.painter().text(rect.right_center(), egui::Align2::RIGHT_CENTER, text, font, widgets::colour(joint.verdict));
    response.on_hover_text(format!("At {}.", joint.at.told(shown)));
}
