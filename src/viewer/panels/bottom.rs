//! The strip along the bottom: the pose on sliders, and what a gauge on each wheel would read in it.

use bevy_egui::egui::{
    self, Button, Color32, DragValue, Grid, RichText, Slider, SliderClamping, Stroke, Ui, pos2, vec2,
};

use super::{View, widgets};
use crate::answer::along::ASIDE;
use crate::car::{Shown, Side};
use crate::motion::{Alignment, Mode, Pose};
use crate::viewer::posing::both_axles;
use crate::viewer::theme;

pub(super) fn show(ui: &mut Ui, view: &mut View) {
    ui.with_layout(egui::Layout::left_to_right(egui::Align::Min), |ui| {
        sliders(ui, view);
        ui.add_space(2.0);
        playing(ui, view);
        ui.add_space(2.0);
        ui.separator();
        readout(ui, view);
    });
}

/// One axis of the pose: its name, what its two ends are called, and its value as the user reads it.
struct Axis {
    name: &'static str,
    /// What its number is.
    hint: &'static str,
    ends: [&'static str; 2],
    /// Now, in the direction that the slider runs.
    now: f64,
    low: f64,
    high: f64,
    /// An angle rather than a length.
    angle: bool,
}

fn sliders(ui: &mut Ui, view: &mut View) {
    let built = view.desk.looked_at();
    let (sweep, rack) = (built.car.sweep, built.steering_travel());
    let [bump, droop] = both_axles(built, f64::max);
    let pose = view.posing.pose;
    // The slider's left is the way the car goes, not the rack.
    let to_right = -view.desk.looked_at().rack_for_left;
    let axes = [
        Axis {
            name: "Heave",
            hint: "How far the body comes down onto its wheels",
            ends: ["droop", "bump"],
            now: -pose.heave,
            low: -droop,
            high: bump,
            angle: false,
        },
        Axis {
            name: "Roll",
            hint: "How far the body leans",
            ends: ["right up", "left up"],
            now: pose.roll,
            low: -sweep.roll,
            high: sweep.roll,
            angle: true,
        },
        Axis {
            name: "Pitch",
            hint: "How far the nose goes down or up, about the car file's origin",
            ends: ["nose up", "nose down"],
            now: pose.pitch,
            low: -sweep.pitch,
            high: sweep.pitch,
            angle: true,
        },
        Axis {
            name: "Steer",
            hint: "How far the rack moves, and the way that the wheels point: a rack behind the axle goes the other way",
            ends: ["left", "right"],
            now: to_right * pose.rack,
            low: -rack,
            high: rack,
            angle: false,
        },
    ];
    let mut new = axes.each_ref().map(|axis| axis.now);
    Grid::new("pose").num_columns(4).spacing(vec2(7.0, 3.0)).min_row_height(24.0).show(ui, |ui| {
        for (axis, value) in axes.iter().zip(&mut new) {
            ui.label(axis.name).on_hover_text(axis.hint);
            slide(ui, axis, value);
            kind_in(ui, axis, value, view.units.0);
            ui.end_row();
        }
    });
    let [bump, roll, pitch, right] = new;
    let asked = Pose { heave: -bump + 0.0, roll, pitch, rack: to_right * right + 0.0 };
    if asked != pose {
        view.posing.take(asked);
    }
}

fn slide(ui: &mut Ui, axis: &Axis, value: &mut f64) {
    ui.spacing_mut().slider_width = (ui.ctx().viewport_rect().width() * 0.25 - 200.0).clamp(118.0, 240.0);
    ui.visuals_mut().widgets.inactive.bg_fill = theme::RULE;
    let range = axis.low.min(-1e-9)..=axis.high.max(1e-9);
    // A pose taken elsewhere may lie further out than the sweep.
    let slider = Slider::new(value, range.clone()).clamping(SliderClamping::Edits);
    let response = ui.add(slider.show_value(false));
    // A tick at ride height, and a light catch there.
    let (low, high) = (*range.start(), *range.end());
    let rail = response.rect.shrink2(vec2(response.rect.height() / 2.0 * 0.5, 0.0));
    let x = egui::lerp(rail.x_range(), (-low / (high - low)) as f32);
    let y = response.rect.bottom() - 2.0;
    ui.painter().line_segment([pos2(x, y - 4.0), pos2(x, y)], Stroke::new(1.0, theme::SOFT));
    if response.dragged() && value.abs() < 0.012 * (high - low) {
        *value = 0.0;
    }
    if response.double_clicked() {
        *value = 0.0;
    }
}

/// The value as a number to type, and the word for its direction: nobody has to know a sign.
fn kind_in(ui: &mut Ui, axis: &Axis, value: &mut f64, shown: Shown) {
    let (scale, decimals, unit) = if axis.angle {
        (1f64.to_radians(), 2, "°".to_owned())
    } else {
        (shown.in_mm(), shown.decimals(), format!(" {}", shown.sign()))
    };
    let mut size = value.abs() / scale;
    let limit = axis.low.abs().max(axis.high) / scale;
    let drag = DragValue::new(&mut size)
        .speed(limit / 200.0)
        .range(-limit..=limit)
        .clamp_existing_to_range(false)
        .fixed_decimals(decimals)
        .suffix(unit)
        .update_while_editing(false);
    if ui.add_sized(vec2(72.0, 22.0), drag).changed() {
        let sign = if *value < 0.0 { -1.0 } else { 1.0 };
        *value = (sign * size * scale).clamp(axis.low, axis.high);
    }
    let [low, high] = axis.ends;
    let nothing = value.abs() / scale < 0.5 * 10f64.powi(-(decimals as i32));
    let word = match (nothing, *value < 0.0) {
        (true, _) => "",
        (false, true) => low,
        (false, false) => high,
    };
    // Pressing the word changes the direction.
    let button = Button::new(RichText::new(word).color(theme::SOFT)).frame(false).min_size(vec2(62.0, 20.0));
    if ui.add(button).on_hover_text("Press to mirror").clicked() {
        *value = (-*value).clamp(axis.low, axis.high);
    }
}

fn playing(ui: &mut Ui, view: &mut View) {
    ui.vertical(|ui| {
        let (hint, playing) = if view.posing.playing { ("Stop (space)", true) } else { ("Sweep (space)", false) };
        let size = vec2(92.0, 46.0);
        let pressed =
            widgets::sign_button(ui, size, hint, |painter, rect, colour| play_sign(painter, rect, colour, playing));
        if pressed.clicked() {
            view.posing.play();
        }
        if ui.add_sized(vec2(92.0, 24.0), Button::new("Ride height")).on_hover_text("Back to ride height (R)").clicked()
        {
            view.posing.take(Pose::default());
        }
    });
}

fn play_sign(painter: &egui::Painter, rect: egui::Rect, colour: Color32, playing: bool) {
    let c = rect.center();
    if playing {
        for x in [-6.0, 2.0] {
            let bar = egui::Rect::from_min_size(pos2(c.x + x, c.y - 8.0), vec2(4.5, 16.0));
            painter.rect_filled(bar, 0.0, colour);
        }
    } else {
        let points = vec![pos2(c.x - 6.0, c.y - 9.0), pos2(c.x + 9.0, c.y), pos2(c.x - 6.0, c.y + 9.0)];
        painter.add(egui::Shape::convex_polygon(points, colour, Stroke::NONE));
    }
}

fn readout(ui: &mut Ui, view: &mut View) {
    let Some(posed) = view.posing.stands.as_ref() else { return };
    let built = view.desk.looked_at();
    let shown = view.units.0;
    let name = view.axle.of(&built.car);
    let Some(standing) = built.standing(name, posed) else { return };
    let axle = standing.axle;
    let read = standing.wheels.map(|pose| {
        (Alignment::of(axle, &pose, &posed.ground), axle.motion_ratio(&pose, Mode::Heave), built.gear.travel(&pose))
    });
    let angle = |a: f64| signed(a.to_degrees(), 2);
    let mut chosen = name;
    let none = || "\u{2013}".to_owned();
    let length = |mm: f64| signed(shown.number(mm), shown.decimals());
    ui.vertical(|ui| {
        Grid::new("readout").spacing(vec2(7.0, 3.0)).min_col_width(38.0).min_row_height(22.0).show(ui, |ui| {
            ui.label(RichText::new(format!("°, {}", shown.sign())).small().color(theme::SOFT));
            for (head, hint) in HEADS {
                let label = |ui: &mut Ui| ui.label(RichText::new(head).small().color(theme::SOFT)).on_hover_text(hint);
                ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), label);
            }
            ui.end_row();
            for (side, (a, ratio, travel)) in Side::BOTH.into_iter().zip(read) {
                let word = if side == Side::Left { "Left" } else { "Right" };
                ui.label(RichText::new(word).font(theme::strong(13.0)));
                for text in [
                    length(travel),
                    angle(a.inclination),
                    angle(a.toe),
                    angle(a.steer),
                    a.axis.map_or_else(none, |axis| angle(axis.caster)),
                    a.axis.map_or_else(none, |axis| angle(axis.kingpin)),
                    a.axis.map_or_else(none, |axis| length(axis.scrub_radius)),
                    a.axis.map_or_else(none, |axis| length(axis.trail)),
                    ratio.map_or_else(none, |r| format!("{r:.3}")),
                ] {
                    widgets::right(ui, RichText::new(text));
                }
                ui.end_row();
            }
        });
        ui.add_space(2.0);
        let centre = standing.roll_centre().filter(|at| at.x.abs() < ASIDE);
        let text = match (&view.posing.stuck, centre) {
            (Some(why), _) => RichText::new(why).color(theme::TOUCH),
            (None, Some(at)) => {
                let (high, across) = (shown.length(at.y.abs()), shown.length(at.x.abs()));
                let side = if at.y >= 0.0 { "over" } else { "under" };
                let way = if at.x >= 0.0 { "left" } else { "right" };
                let aside =
                    if at.x.abs() < 0.05 { "on the centreline".to_owned() } else { format!("{across} to the {way}") };
                RichText::new(format!("Roll centre {high} {side} the ground, {aside}")).color(theme::SOFT)
            }
            (None, None) => RichText::new("No roll centre in this pose: both wheels' lines are as good as parallel")
                .color(theme::SOFT),
        };
        ui.horizontal(|ui| {
            if built.car.rear.is_some() {
                chosen = widgets::axle_choice(ui, name);
            }
            ui.add(egui::Label::new(text).truncate());
        });
    });
    if chosen != name {
        view.axle.0 = chosen;
    }
}

const HEADS: [(&str, &str); 9] = [
    ("Travel", "Of the wheel from ride height; bump is positive"),
    ("Camber", "Against the ground's normal; positive when the top leans outboard"),
    ("Toe", "Toe-in is positive"),
    ("Steer", "Positive to the left"),
    ("Caster", "Positive when the steering axis's top leans rearward"),
    ("Kingpin", "Inclination; positive when the steering axis's top leans inboard"),
    ("Scrub", "Scrub radius; positive when the steering axis meets the ground inboard of the contact centre"),
    ("Trail", "Mechanical trail; positive when the steering axis meets the ground ahead of the contact centre"),
    ("Ratio", "Motion ratio: damper travel over wheel travel"),
];

/// A number with its sign always shown, and a true minus as wide as the plus.
fn signed(value: f64, decimals: usize) -> String {
    let text = format!("{:+.*}", decimals, value);
    let nothing = text.trim_start_matches(['+', '-']).chars().all(|c| matches!(c, '0' | '.'));
    if nothing { format!("{:.*}", decimals, 0.0) } else { text.replace('-', "\u{2212}") }
}
