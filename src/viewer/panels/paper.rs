//! A paper as it will be printed, beside the car: page by page, fitted across or larger.

use bevy_egui::egui::{
    self, Button, Color32, FontId, Painter, Pos2, Rect, RichText, ScrollArea, Sense, Shape, Slider, Stroke, Ui,
    epaint::TextShape, pos2, vec2,
};

use super::{View, widgets};
use crate::answer::words::capital;
use crate::sheets::drawing::{Anchor, Layer};
use crate::sheets::font;
use crate::sheets::pdf::Page;
use crate::sheets::{Drawing, Shape as Drawn};
use crate::viewer::theme;

/// Width of the panel in a window of this width, points: what is read matters more here than the car.
pub(super) fn width(window: f32) -> f32 {
    (0.42 * window).clamp(420.0, 900.0)
}

pub(super) fn show(ui: &mut Ui, view: &mut View) {
    let laid = view.printing.laid(&view.desk, view.units.0).and_then(|(laid, _)| laid.as_ref().ok().cloned());
    let open = view.printing.open.clone();
    let paper =
        laid.as_ref().zip(open.as_ref()).and_then(|(laid, (name, _))| laid.papers.iter().find(|p| p.name == *name));
    let fresh = view.printing.laid(&view.desk, view.units.0).is_some_and(|(_, fresh)| fresh);
    let (Some(paper), Some((name, nth))) = (paper, open.clone()) else {
        let what = if fresh { "This car has no such paper." } else { "working \u{2026}" };
        ui.horizontal(|ui| {
            ui.label(RichText::new(what).color(theme::SOFT));
            if ui.button("Close").clicked() {
                view.printing.open = None;
            }
        });
        return;
    };
    widgets::pending(ui, (!fresh).then_some(widgets::AS_IT_WAS));
    let nth = nth.min(paper.pages.len().saturating_sub(1));
    ui.horizontal(|ui| {
        ui.add(egui::Label::new(RichText::new(capital(&paper.what)).font(theme::strong(15.0))).truncate());
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            if ui.button("Close").clicked() {
                view.printing.open = None;
            }
        });
    });
    ui.horizontal(|ui| {
        let mut turn = |ui: &mut Ui, word: &str, can: bool, to: usize| {
            if ui.add_enabled(can, Button::new(word)).clicked() {
                view.printing.open = Some((name.clone(), to));
            }
        };
        turn(ui, "Page before", nth > 0, nth.saturating_sub(1));
        turn(ui, "Next page", nth + 1 < paper.pages.len(), nth + 1);
        ui.label(RichText::new(format!("{} of {}", nth + 1, paper.pages.len())).size(12.5));
        ui.spacing_mut().slider_width = 90.0;
        ui.add(Slider::new(&mut view.printing.zoom, 1.0..=4.0).show_value(false)).on_hover_text("Larger");
    });
    ScrollArea::both().auto_shrink(false).show(ui, |ui| page(ui, &paper.pages[nth], view.printing.zoom));
}

/// Draws a page, one across at a zoom of 1.
fn page(ui: &mut Ui, page: &Page, zoom: f32) {
    let scale = (ui.available_width() - 4.0) / page.size[0] as f32 * zoom;
    let (rect, _) = ui.allocate_exact_size(vec2(page.size[0] as f32, page.size[1] as f32) * scale, Sense::hover());
    let painter = ui.painter_at(rect);
    painter.rect(rect, 0.0, Color32::WHITE, Stroke::new(1.0, theme::RULE), egui::StrokeKind::Inside);
    let sight = Sight { rect, scale };
    if let Some(([low, high], drawing)) = &page.window {
        let clip = Rect::from_two_pos(sight.at(*low), sight.at(*high)).intersect(painter.clip_rect());
        sight.draw(&painter.with_clip_rect(clip), drawing);
    }
    sight.draw(&painter, &page.drawing);
}

/// From a page's millimetres, y up, to the window's points.
struct Sight {
    rect: Rect,
    scale: f32,
}

impl Sight {
    fn at(&self, [x, y]: [f64; 2]) -> Pos2 {
        pos2(self.rect.left() + x as f32 * self.scale, self.rect.bottom() - y as f32 * self.scale)
    }

    fn draw(&self, painter: &Painter, drawing: &Drawing) {
        for (layer, shape) in &drawing.shapes {
            let pen = Stroke::new((layer.width() as f32 * self.scale).max(0.6), ink(*layer));
            match shape {
                Drawn::Path { places, closed } => {
                    let mut line: Vec<Pos2> = places.iter().map(|p| self.at(*p)).collect();
                    if *closed && let Some(first) = line.first().copied() {
                        line.push(first);
                    }
                    match layer.dash() {
                        Some([dash, space]) => {
                            let [dash, space] = [dash, space].map(|mm| mm as f32 * self.scale);
                            painter.extend(Shape::dashed_line(&line, pen, dash, space));
                        }
                        None => drop(painter.add(Shape::line(line, pen))),
                    }
                }
                Drawn::Circle { at, radius } => {
                    painter.circle_stroke(self.at(*at), *radius as f32 * self.scale, pen);
                }
                Drawn::Text { at, size, anchor, upwards, words } => {
                    self.words(painter, (*at, *size, *anchor, *upwards), words)
                }
            }
        }
    }

    /// Words as wide as they are on paper, whose letters are narrower than the window's.
    fn words(&self, painter: &Painter, (at, size, anchor, upwards): ([f64; 2], f64, Anchor, bool), words: &str) {
        let wide = font::width(words, size) as f32 * self.scale;
        let of = |points: f32| painter.layout_no_wrap(words.to_owned(), FontId::proportional(points), theme::INK);
        let points = size as f32 * self.scale;
        let natural = of(points).size().x;
        let galley = of(if natural > 0.0 { (points * wide / natural).clamp(2.0, points * 1.1) } else { points });
        let across = match anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => -galley.size().x / 2.0,
            Anchor::End => -galley.size().x,
        };
        // The baseline stands at the place.
        let over = galley.size().y * 0.78;
        let place = self.at(at);
        if upwards {
            let corner = place + vec2(-over, -across);
            painter.add(TextShape::new(corner, galley, theme::INK).with_angle(-std::f32::consts::FRAC_PI_2));
        } else {
            painter.galley(place + vec2(across, -over), galley, theme::INK);
        }
    }
}

fn ink(layer: Layer) -> Color32 {
    match layer {
        Layer::Cut => theme::INK,
        Layer::Scrap | Layer::Reference | Layer::Page => Color32::from_gray(0x80),
        _ => Color32::from_gray(0x40),
    }
}
