//! The panel at the right of the stage with the map of a wheel's gaps, or the curve of the lock. A place that is pressed
//! is the pose that the car then stands in.

use bevy_egui::egui::{
    self, Align2, Color32, ColorImage, FontId, Label, Mesh, Painter, Pos2, Rect, RichText, ScrollArea, Sense, Shape,
    Stroke, TextureHandle, TextureOptions, Ui, pos2, vec2,
};
use nalgebra::Vector2;

use super::{View, widgets};
use crate::answer::map::{CLEAR, Cell, Fill, Level};
use crate::answer::plot::{tick_words, ticks};
use crate::answer::sheet::{SHORT, TOUCHING};
use crate::answer::{GapMap, LockCurve, Told};
use crate::car::{AxleName, Hub, Shown, Side};
use crate::motion::change::STEERING;
use crate::space::Beside;
use crate::viewer::asking::{Answered, Question};
use crate::viewer::files::FileWish;
use crate::viewer::mapping::{Made, Mapped, Mapping};
use crate::viewer::theme;

pub(super) fn show(ui: &mut Ui, view: &mut View) {
    let Some(answered) = view.asking.answers().cloned() else { return };
    head(ui, view, &answered);
    match view.mapping.made().cloned() {
        None => drop(ui.label(RichText::new("working \u{2026}").color(theme::SOFT))),
        Some(Made::Map(Err(why))) => widgets::caution(ui, &why),
        Some(Made::Map(Ok(map))) => mapped(ui, view, &answered, &map),
        Some(Made::LockCurve(curve)) => curved(ui, view, &answered, &curve),
    }
}

fn head(ui: &mut Ui, view: &mut View, answered: &Answered) {
    let gaps = *view.question == Question::Gaps;
    ui.horizontal(|ui| {
        ui.label(RichText::new(if gaps { "Map of gaps" } else { "Lock over travel" }).font(theme::strong(15.0)));
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            if ui.button("Close").clicked() {
                view.mapping.open = false;
            }
            let can = view.mapping.made().is_some();
            let export = ui.add_enabled(can, egui::Button::new("Export"));
            if export.on_hover_text("Write this as a drawing (SVG)").clicked() {
                let name = view.mapping.file_name();
                view.files.write(FileWish::Export { name });
            }
        });
    });
    if !gaps {
        return;
    }
    let mut now = (view.mapping.hub, view.mapping.mapped.clone());
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.x = 3.0;
        ui.spacing_mut().button_padding.x = 5.0;
        for hub in Mapping::offered(&answered.study) {
            let word = crate::answer::words::capital(&hub.words());
            if ui.add(egui::Button::new(RichText::new(word).size(12.5)).selected(now.0 == hub)).clicked() {
                now.0 = hub;
            }
        }
    });
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.x = 3.0;
        ui.spacing_mut().button_padding.x = 5.0;
        for (mapped, word) in [(Mapped::Wheel, "Tyre and rim"), (Mapped::Everything, "All that moves")] {
            if ui.add(egui::Button::new(RichText::new(word).size(12.5)).selected(now.1 == mapped)).clicked() {
                now.1 = mapped;
            }
        }
        if let Some([a, b]) = &view.pair.0 {
            let mapped = Mapped::Pair([a.clone(), b.clone()]);
            let word = RichText::new(widgets::pair_words(a, b, false)).size(12.5);
            if ui.add(egui::Button::new(word).truncate().selected(now.1 == mapped)).clicked() {
                now.1 = mapped;
            }
        }
    });
    if now != (view.mapping.hub, view.mapping.mapped.clone()) {
        (view.mapping.hub, view.mapping.mapped) = now;
    }
}

/// A field of two numbers on the screen, in the units shown.
struct Field {
    rect: Rect,
    across: [f64; 2],
    up: [f64; 2],
    one: f64,
}

impl Field {
    /// Where a place (across, up) in mm is.
    fn at(&self, [x, y]: [f64; 2]) -> Pos2 {
        let part = |v: f64, [low, high]: [f64; 2]| ((v / self.one - low) / (high - low)) as f32;
        pos2(
            self.rect.left() + part(x, self.across) * self.rect.width(),
            self.rect.bottom() - part(y, self.up) * self.rect.height(),
        )
    }

    /// The place in mm under a point of the screen.
    fn back(&self, p: Pos2) -> [f64; 2] {
        let mix = |part: f32, [low, high]: [f64; 2]| (low + (high - low) * f64::from(part.clamp(0.0, 1.0))) * self.one;
        let (x, y) = ((p.x - self.rect.left()) / self.rect.width(), (self.rect.bottom() - p.y) / self.rect.height());
        [mix(x, self.across), mix(y, self.up)]
    }

    fn axes(&self, painter: &Painter, across: &str, up: &str) {
        let font = FontId::proportional(11.5);
        let line = Stroke::new(1.0, theme::SOFT);
        let (step, values) = ticks(self.across[0], self.across[1], (self.rect.width() / 52.0) as usize);
        for v in values {
            let at = pos2(self.at([v * self.one, 0.0]).x, self.rect.bottom());
            painter.line_segment([at, at + vec2(0.0, 4.0)], line);
            painter.text(
                at + vec2(0.0, 5.0),
                Align2::CENTER_TOP,
                minus(&tick_words(v, step)),
                font.clone(),
                theme::SOFT,
            );
        }
        let (step, values) = ticks(self.up[0], self.up[1], (self.rect.height() / 26.0) as usize);
        for v in values {
            let at = pos2(self.rect.left(), self.at([0.0, v * self.one]).y);
            painter.line_segment([at, at - vec2(4.0, 0.0)], line);
            painter.text(
                at - vec2(6.0, 0.0),
                Align2::RIGHT_CENTER,
                minus(&tick_words(v, step)),
                font.clone(),
                theme::SOFT,
            );
        }
        painter.text(
            self.rect.center_bottom() + vec2(0.0, 20.0),
            Align2::CENTER_TOP,
            across,
            FontId::proportional(11.5),
            theme::SOFT,
        );
        painter.text(
            self.rect.left_top() - vec2(34.0, 6.0),
            Align2::LEFT_BOTTOM,
            up,
            FontId::proportional(11.5),
            theme::SOFT,
        );
        painter.rect_stroke(self.rect, 0.0, line, egui::StrokeKind::Outside);
    }

    /// Where the car stands.
    fn here(&self, painter: &Painter, at: [f64; 2]) {
        let p = self.at(at);
        if self.rect.expand(4.0).contains(p) {
            painter.circle(p, 5.0, theme::BLUE, Stroke::new(2.0, theme::BLANK));
        }
    }
}

fn minus(text: &str) -> String {
    text.replace('-', "\u{2212}")
}

/// Room beside and around a field for its axes.
const LEFT: f32 = 38.0;
const BELOW: f32 = 38.0;
const ABOVE: f32 = 22.0;

fn field(ui: &mut Ui, across: [f64; 2], up: [f64; 2], shown: Shown, share: f32) -> (Field, egui::Response) {
    let height = (ui.available_height() * share).clamp(170.0, 460.0);
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), height), Sense::click_and_drag());
    let rect = Rect::from_min_max(rect.min + vec2(LEFT, ABOVE), rect.max - vec2(4.0, BELOW));
    (Field { rect, across, up, one: shown.in_mm() }, response)
}

fn colour(hex: &str) -> Color32 {
    Color32::from_hex(hex).unwrap_or(theme::BLANK)
}

/// A map's fills as a picture, kept until the map, the units or the size change.
#[derive(Clone)]
struct Painted {
    of: (u64, Shown, [usize; 2]),
    texture: TextureHandle,
}

fn painted(ui: &Ui, map: &GapMap, edition: u64, field: &Field, shown: Shown) -> TextureHandle {
    let size = [field.rect.width() as usize, field.rect.height() as usize].map(|n| n.max(2));
    let of = (edition, shown, size);
    let id = ui.id().with("map");
    if let Some(kept) = ui.data(|d| d.get_temp::<Painted>(id)).filter(|p| p.of == of) {
        return kept.texture;
    }
    let (clear, short, touching) = (CLEAR.map(colour), colour(SHORT), colour(TOUCHING));
    let mut image = ColorImage::filled(size, clear[CLEAR.len() - 1]);
    for (i, pixel) in image.pixels.iter_mut().enumerate() {
        let (x, y) = (i % size[0], i / size[0]);
        let at = field.back(pos2(field.rect.left() + x as f32 + 0.5, field.rect.top() + y as f32 + 0.5));
        *pixel = match map.fill_at(at, shown) {
            // Striped, so that grey print and any eye tell it apart.
            Fill::Touches if (x + y) % 8 < 2 => theme::BLANK,
            Fill::Touches => touching,
            Fill::Short => short,
            Fill::Clear(step) => clear[step.min(CLEAR.len() - 1)],
        };
    }
    let texture = ui.ctx().load_texture("map of gaps", image, TextureOptions::NEAREST);
    ui.data_mut(|d| d.insert_temp(id, Painted { of, texture: texture.clone() }));
    texture
}

fn mapped(ui: &mut Ui, view: &mut View, answered: &Answered, map: &GapMap) {
    let shown = view.units.0;
    ui.horizontal_top(|ui| {
        widgets::sign_in(ui, map.verdict);
        ui.add(Label::new(RichText::new(map.sentence(shown)).size(12.5)).wrap());
    });
    let proof =
        if view.mapping.stale() { Some("Of the car before: working \u{2026}".to_owned()) } else { map.proof(shown) };
    if let Some(proof) = proof {
        ui.add(Label::new(RichText::new(proof).size(12.0).color(theme::SOFT)).wrap());
    }
    let span = |v: &[f64]| [v[0] / shown.in_mm(), v[v.len() - 1] / shown.in_mm()];
    let (field, response) = field(ui, span(&map.across.values_mm), span(&map.up.values_mm), shown, 0.62);
    let texture = painted(ui, map, view.mapping.edition, &field, shown);
    let painter = ui.painter().with_clip_rect(ui.clip_rect());
    let whole = Rect::from_min_max(pos2(0.0, 0.0), pos2(1.0, 1.0));
    painter.image(texture.id(), field.rect, whole, Color32::WHITE);
    let inner = painter.with_clip_rect(field.rect);
    let way = |line: &[[f64; 2]]| line.iter().map(|p| field.at(*p)).collect::<Vec<_>>();
    for boundary in &map.boundaries {
        inner.extend(Shape::dashed_line(&way(&boundary.line_mm), Stroke::new(1.2, theme::INK), 2.0, 4.0));
    }
    let mut taken: Vec<Rect> = Vec::new();
    let contours = map.contours_in(shown);
    for contour in &contours {
        let width = match contour.level {
            Level::Touch => 2.4,
            Level::Wanted => 1.6,
            Level::Gap(_) => 0.7,
        };
        for line in &contour.lines_mm {
            inner.add(Shape::line(way(line), Stroke::new(width, theme::INK)));
        }
    }
    if let Some(worst) = &map.worst {
        let p = field.at(worst.at_mm);
        for (colour, width) in [(theme::BLANK, 5.0), (theme::INK, 2.2)] {
            for s in [1.0, -1.0] {
                painter.line_segment([p - vec2(6.0, 6.0 * s), p + vec2(6.0, 6.0 * s)], Stroke::new(width, colour));
            }
        }
        taken.push(Rect::from_center_size(p, vec2(18.0, 18.0)));
    }
    for region in &map.regions {
        label(&inner, field.at(region.middle_mm), &map.letter(region.pair), theme::strong(13.0), &mut taken);
    }
    for contour in &contours {
        let text = match contour.level {
            Level::Touch => "touch".to_owned(),
            Level::Wanted => "wanted".to_owned(),
            Level::Gap(mm) => minus(&shown.length(mm)).replace(".0 mm", " mm"),
        };
        for line in contour.lines_mm.iter().filter(|l| l.len() > 5) {
            label(&inner, field.at(line[line.len() / 2]), &text, FontId::proportional(10.5), &mut taken);
        }
    }
    let words = |axis: &crate::answer::map::MapAxis| format!("{}, {} ({})", axis.name, shown.sign(), axis.positive);
    field.axes(&painter, &words(&map.across), &words(&map.up));
    if let Some(at) = stands(view, map.wheel, answered) {
        field.here(&painter, at);
    }
    let pointed = response.hover_pos().filter(|p| field.rect.contains(*p)).map(|p| field.back(p));
    // What is pressed near the cross is the cross: the worst place itself lies between the nodes.
    let worst = map.worst.filter(|w| response.hover_pos().is_some_and(|p| p.distance(field.at(w.at_mm)) < 9.0));
    let cell = worst.map(|w| w.cell).or_else(|| pointed.and_then(|at| map.cell_at(at).copied()));
    let place = worst.map(|w| w.at_mm).or(pointed);
    reading(ui, map, place, cell, shown);
    if let Some([x, y]) = place
        && (response.clicked() || response.dragged())
    {
        if let Some(pose) = answered.study.pose_at(map.wheel, Vector2::new(y, x)) {
            view.posing.take(pose);
        }
        view.pair.0 = cell.map(|c| [map.pairs[c.pair].a.clone(), map.pairs[c.pair].b.clone()]);
    }
    key(ui, map, shown);
}

/// Where a wheel is in the pose shown: what moves it across, and its travel, mm.
fn stands(view: &View, hub: Hub, answered: &Answered) -> Option<[f64; 2]> {
    let gear = &answered.study.gear;
    let posed = view.posing.stands.as_ref()?;
    let pose = posed.wheel(hub)?;
    let other = Hub { side: if hub.side == Side::Left { Side::Right } else { Side::Left }, ..hub };
    let across = match answered.study.sweep(hub).beside {
        Beside::OtherWheel => gear.travel(posed.wheel(other)?),
        _ => pose.rack,
    };
    Some([across, gear.travel(pose)])
}

fn reading(ui: &mut Ui, map: &GapMap, place: Option<[f64; 2]>, cell: Option<Cell>, shown: Shown) {
    let text = match (place, cell) {
        (Some([x, y]), Some(cell)) => {
            let pair = &map.pairs[cell.pair];
            let gap = if cell.gap_mm < 0.0 {
                format!("{} into each other", shown.length(-cell.gap_mm))
            } else {
                format!("{} apart", shown.length(cell.gap_mm))
            };
            format!(
                "{}: {gap}, at {} of travel and {} across. Click to stand the car there.",
                widgets::pair_words(&pair.a, &pair.b, false),
                minus(&shown.length(y)),
                minus(&shown.length(x))
            )
        }
        (Some(_), None) => "Here everything is more than 150 mm apart.".to_owned(),
        (None, _) => {
            "Click in the map, or on its cross, to stand the car there. The dot is where it stands.".to_owned()
        }
    };
    let height = 32.0;
    ui.allocate_ui(vec2(ui.available_width(), height), |ui| {
        ui.set_min_height(height);
        ui.add(Label::new(RichText::new(text).size(12.0).color(theme::SOFT)).wrap());
    });
}

/// What the letters and fills mean.
fn key(ui: &mut Ui, map: &GapMap, shown: Shown) {
    ScrollArea::vertical().id_salt("map key").auto_shrink(false).show(ui, |ui| {
        ui.horizontal_wrapped(|ui| {
            ui.spacing_mut().item_spacing.x = 5.0;
            for (word, hex) in [("touches", TOUCHING), ("short", SHORT), ("clear", CLEAR[0]), ("roomy", CLEAR[3])] {
                let (rect, _) = ui.allocate_exact_size(vec2(18.0, 11.0), Sense::hover());
                ui.painter().rect(rect, 0.0, colour(hex), Stroke::new(0.5, theme::SOFT), egui::StrokeKind::Inside);
                if word == "touches" {
                    for x in [3.0, 9.0, 15.0] {
                        let top = rect.left_top() + vec2(x + 1.5, 0.0);
                        ui.painter()
                            .line_segment([top, top + vec2(-3.0, rect.height())], Stroke::new(1.4, theme::BLANK));
                    }
                }
                ui.label(RichText::new(word).size(12.0).color(theme::SOFT));
            }
        });
        let mut named: Vec<usize> = map.regions.iter().map(|r| r.pair).chain(map.worst.map(|w| w.cell.pair)).collect();
        let mut seen = Vec::new();
        named.retain(|n| {
            !seen.contains(n) && {
                seen.push(*n);
                true
            }
        });
        for n in named {
            let pair = &map.pairs[n];
            ui.horizontal_top(|ui| {
                ui.add_sized(vec2(16.0, 16.0), Label::new(RichText::new(map.letter(n)).font(theme::strong(12.5))));
                let words = widgets::pair_words(&pair.a, &pair.b, false);
                let text = format!("{words}, {} wanted", shown.length(pair.wanted_mm));
                ui.add(Label::new(RichText::new(text).size(12.5)).wrap());
            });
        }
    });
}

/// A word on a small sheet, unless it would lie over another.
fn label(painter: &Painter, at: Pos2, text: &str, font: FontId, taken: &mut Vec<Rect>) {
    let galley = painter.layout_no_wrap(text.to_owned(), font, theme::INK);
    let rect = Align2::CENTER_CENTER.anchor_size(at, galley.size()).expand2(vec2(3.0, 0.0));
    if !painter.clip_rect().contains_rect(rect) || taken.iter().any(|t| t.intersects(rect)) {
        return;
    }
    taken.push(rect);
    painter.rect_filled(rect, 2.0, Color32::from_rgba_unmultiplied(0xff, 0xfe, 0xfb, 0xd8));
    painter.galley(rect.left_top() + vec2(3.0, 0.0), galley, theme::INK);
}

/// How far it steers at each wheel travel: what is free is filled.
fn curved(ui: &mut Ui, view: &mut View, answered: &Answered, curve: &LockCurve) {
    let shown = view.units.0;
    ui.horizontal_top(|ui| {
        widgets::sign_in(ui, curve.verdict);
        ui.add(Label::new(RichText::new(curve.sentence(shown)).size(12.5)).wrap());
    });
    let one = shown.in_mm();
    let travels = || curve.ways.iter().flat_map(|w| &w.points).map(|p| p.travel_mm / one);
    let up = [travels().fold(f64::INFINITY, f64::min), travels().fold(f64::NEG_INFINITY, f64::max)];
    let most = curve.stop_mm.max(1.0) / one * 1.04;
    let (field, response) = field(ui, [-most, most], up, shown, 0.6);
    let painter = ui.painter().with_clip_rect(ui.clip_rect());
    painter.rect_filled(field.rect, 0.0, Color32::from_rgb(0xf3, 0xe3, 0xd3));
    for way in &curve.ways {
        let mut mesh = Mesh::default();
        for pair in way.points.windows(2) {
            let corners = [
                [0.0, pair[0].travel_mm],
                [pair[0].rack_mm, pair[0].travel_mm],
                [pair[1].rack_mm, pair[1].travel_mm],
                [0.0, pair[1].travel_mm],
            ];
            let first = mesh.vertices.len() as u32;
            corners.iter().for_each(|c| mesh.colored_vertex(field.at(*c), Color32::from_rgb(0xcf, 0xe2, 0xef)));
            mesh.add_triangle(first, first + 1, first + 2);
            mesh.add_triangle(first, first + 2, first + 3);
        }
        painter.add(mesh);
    }
    for way in &curve.ways {
        for pair in way.points.windows(2) {
            let line = [field.at([pair[0].rack_mm, pair[0].travel_mm]), field.at([pair[1].rack_mm, pair[1].travel_mm])];
            if pair.iter().all(|p| p.touch.is_some()) {
                painter.line_segment(line, Stroke::new(2.4, theme::INK));
            } else {
                painter.extend(Shape::dashed_line(&line, Stroke::new(1.0, theme::INK), 6.0, 4.0));
            }
        }
        if let Some(touch) = &way.worst.touch {
            painter.circle(
                field.at([way.worst.rack_mm, touch.travel_mm]),
                4.5,
                theme::SHORT,
                Stroke::new(1.5, theme::BLANK),
            );
        }
    }
    field.axes(
        &painter,
        &format!("{STEERING}, {} (left positive)", shown.sign()),
        &format!("Wheel travel, {} (bump positive)", shown.sign()),
    );
    let left = Hub { axle: AxleName::Front, side: Side::Left };
    if let Some(at) = stands(view, left, answered) {
        field.here(&painter, at);
    }
    if let Some(p) = response.hover_pos().filter(|p| field.rect.contains(*p))
        && (response.clicked() || response.dragged())
    {
        let [x, y] = field.back(p);
        if let Some(pose) = answered.study.pose_at(left, Vector2::new(y, x.clamp(-curve.stop_mm, curve.stop_mm))) {
            view.posing.take(pose);
        }
    }
    let text = "Filled is free; the heavy line is a first touch, the broken one the rack's stop. Click to stand the car there.";
    ui.add(Label::new(RichText::new(text).size(12.0).color(theme::SOFT)).wrap());
    ui.add_space(4.0);
    ScrollArea::vertical().id_salt("lock key").auto_shrink(false).show(ui, |ui| {
        for way in &curve.ways {
            widgets::heading(ui, &format!("To the {}", way.way.word()));
            for stretch in way.stretches.iter().rev() {
                let pair = stretch
                    .pair
                    .as_ref()
                    .map_or("the rack's own stop".to_owned(), |[a, b]| widgets::pair_words(a, b, false));
                let point = &way.points[stretch.tightest];
                let text = format!(
                    "{} to {}: {pair}, {} of rack and {:.1}\u{b0} at the tightest",
                    minus(&shown.cell(stretch.from_mm)),
                    minus(&shown.length(stretch.to_mm)),
                    shown.length(point.rack_mm.abs()),
                    way.inner(point)
                );
                ui.add(Label::new(RichText::new(text).size(12.5)).wrap());
            }
        }
    });
}
