//! The panel at the right of the stage: one plot, what it shows against what, and what its lines read under the pointer
//! or, with none there, in the pose that the car stands in. The table of readings is the plot's key as well.

use bevy_egui::egui::{self, Color32, ComboBox, FontId, Grid, RichText, Sense, Stroke, Ui, pos2, vec2};
use egui_plot::{AxisHints, GridInput, GridMark, LineStyle, PlotPoints, PlotResponse, Points, VLine};

use super::{View, widgets};
use crate::answer::plot::{DASH, Pen, tick_words, ticks};
use crate::answer::words::capital;
use crate::answer::{Gaps, Line, Plot};
use crate::car::{AxleName, Shown, Side};
use crate::motion::{Along, Quantity};
use crate::viewer::files::FileWish;
use crate::viewer::plotting::Shows;
use crate::viewer::theme;

/// Room for the readings under the plot: a head, two wheels, and two lines of words.
const READINGS: f32 = 150.0;

pub(super) fn show(ui: &mut Ui, view: &mut View) {
    head(ui, view);
    choices(ui, view);
    ui.add_space(4.0);
    let shown = view.units.0;
    let plot = match view.plotting.plot() {
        Some(Ok(plot)) => plot.clone(),
        Some(Err(why)) => return widgets::caution(ui, why),
        None => return,
    };
    let Some(frame) = plot.frame() else { return };
    let built = view.desk.looked_at();
    let along = view.plotting.along;
    let wheel = view.plotting.shows.wheel();
    let axle = wheel.map_or_else(|| view.axle.of(&built.car), |hub| hub.axle);
    let here = view.posing.stands.as_ref().map(|posed| along.here(&built.gear, posed, axle, shown));
    if wheel.is_some() {
        // The list has no room for both names.
        ui.add(egui::Label::new(RichText::new(capital(&view.plotting.shows.words())).size(12.5)).wrap());
    }
    ui.label(RichText::new(plot.y.words()).small().color(theme::SOFT));
    ui.add_space(2.0);
    let PlotResponse { inner: pointed, response, .. } = field(ui, &plot, frame, here);
    ui.vertical_centered(|ui| ui.label(RichText::new(plot.x.words()).small().color(theme::SOFT)));
    let alone = view.posing.stands.as_ref().is_some_and(|posed| along.alone(&posed.pose));
    readings(ui, &plot, pointed, (here, alone), wheel.map(|hub| hub.side));
    if let Some(without) = &plot.without {
        ui.add(egui::Label::new(RichText::new(capital(without)).small().color(theme::SOFT)).wrap());
    }
    if let Some(x) = pointed
        && (response.clicked() || response.dragged())
    {
        view.posing.take(along.pose(within(&plot, x), shown));
    }
}

fn head(ui: &mut Ui, view: &mut View) {
    ui.horizontal(|ui| {
        ui.label(RichText::new("Curves").font(theme::strong(15.0)));
        // A pair of parts has an axle of its own.
        if view.desk.looked_at().car.rear.is_some() && view.plotting.shows.wheel().is_none() {
            ui.add_space(6.0);
            view.axle.0 = widgets::axle_choice(ui, view.axle.0);
        }
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            let can = matches!(view.plotting.plot(), Some(Ok(_)));
            let export = ui.add_enabled(can, egui::Button::new("Export"));
            if export.on_hover_text("Write this plot as a drawing (SVG)").clicked() {
                let name = view.plotting.file_name(view.axle.of(&view.desk.looked_at().car));
                view.files.write(FileWish::Export { name });
            }
        });
    });
}

fn choices(ui: &mut Ui, view: &mut View) {
    let car = &view.desk.looked_at().car;
    let axle = view.plotting.shows.wheel().map_or_else(|| view.axle.of(car), |hub| hub.axle);
    let steers = axle == AxleName::Front && car.front.steering_travel().is_some();
    // Written only where they change: whoever writes them has the plot drawn anew.
    let (mut shows, mut along) = (view.plotting.shows.clone(), view.plotting.along);
    let pairs = view.asking.gaps().map_or_else(Vec::new, offered_pairs);
    ui.horizontal(|ui| {
        let list = |ui: &mut Ui| {
            quantities(ui, &mut shows, &view.plotting.offered);
            gaps(ui, &mut shows, &pairs);
        };
        choose(ui, "quantity", 160.0, &capital(&view.plotting.shows.words()), list);
        ui.label(RichText::new("against").color(theme::SOFT));
        let words = |along: Along| along.words()[0];
        choose(ui, "along", 112.0, words(view.plotting.along), |ui| {
            for one in Along::ALL.into_iter().filter(|one| steers || *one != Along::Steer) {
                ui.selectable_value(&mut along, one, words(one));
            }
        });
    });
    if (&shows, along) != (&view.plotting.shows, view.plotting.along) {
        (view.plotting.shows, view.plotting.along) = (shows, along);
    }
}

fn choose(ui: &mut Ui, id: &str, width: f32, now: &str, list: impl FnOnce(&mut Ui)) {
    // A pair's name can be longer than the panel is wide.
    ui.allocate_ui(vec2(width + 16.0, 24.0), |ui| {
        ui.set_max_width(width + 16.0);
        ComboBox::from_id_salt(id).width(width).height(420.0).truncate().selected_text(now).show_ui(ui, list);
    });
}

/// Those that the axle has, under a heading for what they are about.
fn quantities(ui: &mut Ui, now: &mut Shows, offered: &[Quantity]) {
    for group in GROUPS {
        let mut of_group = offered.iter().filter(|q| group_of(**q) == group).peekable();
        if of_group.peek().is_some() {
            ui.add_space(2.0);
            widgets::heading(ui, group);
        }
        for quantity in of_group {
            let row = ui.selectable_value(now, Shows::Quantity(*quantity), capital(quantity.words()));
            row.on_hover_text(quantity.meaning());
        }
    }
}

/// The tightest pairs of wheels and what moves, as the gaps' table has them.
fn offered_pairs(gaps: &Gaps) -> Vec<Shows> {
    gaps.pairs.iter().take(PAIRS).map(Shows::gap).collect()
}

/// So many pairs are offered; any other is chosen from the gaps' own table.
const PAIRS: usize = 16;

fn gaps(ui: &mut Ui, now: &mut Shows, pairs: &[Shows]) {
    ui.add_space(2.0);
    widgets::heading(ui, "Gap");
    for pair in pairs {
        let words = pair.words();
        ui.selectable_value(now, pair.clone(), capital(words.trim_start_matches("gap, ")));
    }
}

const GROUPS: [&str; 5] = ["Wheel", "Steering", "Centres", "Springs and bar", "Braking and driving"];

fn group_of(quantity: Quantity) -> &'static str {
    use Quantity as Q;
    match quantity {
        Q::Camber | Q::Inclination | Q::Toe | Q::HalfTrackChange | Q::WheelbaseChange | Q::TrackChange => GROUPS[0],
        Q::Steer
        | Q::Caster
        | Q::Kingpin
        | Q::ScrubRadius
        | Q::Trail
        | Q::Ackermann
        | Q::TurningCircle
        | Q::SteeringRatio => GROUPS[1],
        Q::SwingArm
        | Q::InstantHeight
        | Q::SideSwingArm
        | Q::SideInstantHeight
        | Q::RollCentreHeight
        | Q::RollCentreAside => GROUPS[2],
        Q::MotionRatio
        | Q::MotionRatioRoll
        | Q::Damper
        | Q::Spring
        | Q::SpringRatio
        | Q::SpringRatioRoll
        | Q::BarRatio
        | Q::LeverAngle
        | Q::Give => GROUPS[3],
        Q::AntiDive | Q::AntiLift | Q::AntiSquat => GROUPS[4],
    }
}

/// The field with its lines. Gives where the pointer stands along the bottom.
fn field(ui: &mut Ui, plot: &Plot, [across, up]: [[f64; 2]; 2], here: Option<[f64; 2]>) -> PlotResponse<Option<f64>> {
    let axis = |hints: AxisHints<'static>| {
        let hints = hints.formatter(|mark: GridMark, _| tick_words(mark.value, mark.step_size));
        hints.tick_label_color(theme::SOFT).tick_label_font(FontId::proportional(12.0))
    };
    let marks = |[low, high]: [f64; 2], most: usize| {
        move |_: GridInput| {
            let (step, at) = ticks(low, high, most);
            at.into_iter().map(|value| GridMark { value, step_size: step }).collect()
        }
    };
    let most = [ui.available_width() / 50.0, ui.available_height() / 60.0].map(|n| (n as usize).clamp(3, 9));
    egui_plot::Plot::new("curves")
        .height((ui.available_height() - READINGS).max(120.0))
        .allow_zoom(false)
        .allow_scroll(false)
        .allow_drag(false)
        .allow_boxed_zoom(false)
        .allow_axis_zoom_drag(false)
        .allow_double_click_reset(false)
        .show_x(false)
        .show_y(false)
        .show_crosshair(false)
        .sense(Sense::click_and_drag())
        .custom_x_axes(vec![axis(AxisHints::new_x().label_spacing(30.0..=31.0))])
        .custom_y_axes(vec![axis(AxisHints::new_y().min_thickness(40.0).label_spacing(12.0..=13.0))])
        .x_grid_spacer(marks(across, most[0]))
        .y_grid_spacer(marks(up, most[1]))
        .grid_color(theme::RULE)
        .grid_fade(0.0)
        .show(ui, |field| {
            let [[left, right], [low, high]] = [across, up];
            field.set_plot_bounds(egui_plot::PlotBounds::from_min_max([left, low], [right, high]));
            upright(field, 0.0, Stroke::new(1.0, Color32::from_gray(0xa0)), false);
            field.hline(
                egui_plot::HLine::new("", 0.0).stroke(Stroke::new(1.0, Color32::from_gray(0xa0))).allow_hover(false),
            );
            if let Some([l, r]) = here {
                upright(field, l, Stroke::new(1.6, theme::INK), false);
                if plot.x.read(l) != plot.x.read(r) {
                    upright(field, r, Stroke::new(1.6, theme::INK), true);
                }
            }
            let pointed = field.pointer_coordinate().filter(|_| field.response().hovered()).map(|p| p.x);
            if let Some(x) = pointed {
                upright(field, x, Stroke::new(1.0, theme::SOFT), false);
            }
            lines(field, plot);
            if let Some(x) = pointed {
                for (line, y) in plot.at(x) {
                    let dots = y.map(|y| Points::new("", PlotPoints::new(vec![[x, y]])).radius(3.5));
                    if let Some(dots) = dots {
                        field.points(dots.color(ink(plot.pen(line))).allow_hover(false));
                    }
                }
            }
            pointed
        })
}

fn upright(field: &mut egui_plot::PlotUi, x: f64, stroke: Stroke, dashed: bool) {
    let style = if dashed { LineStyle::Dashed { length: DASH[0] as f32 } } else { LineStyle::Solid };
    field.vline(VLine::new("", x).stroke(stroke).style(style).allow_hover(false));
}

/// As found first, so that it lies behind.
fn lines(field: &mut egui_plot::PlotUi, plot: &Plot) {
    for found in [true, false] {
        for line in plot.lines.iter().filter(|l| l.found == found) {
            let pen = plot.pen(line);
            let style = if pen.dashed { LineStyle::Dashed { length: DASH[0] as f32 } } else { LineStyle::Solid };
            for run in line.runs() {
                let drawn = egui_plot::Line::new("", PlotPoints::new(run.to_vec()));
                field.line(drawn.color(ink(pen)).width(pen.width as f32).style(style).allow_hover(false));
            }
        }
    }
}

fn ink(pen: Pen) -> Color32 {
    let [r, g, b] = pen.colour;
    Color32::from_rgb(r, g, b)
}

/// What every line reads: a row for each wheel, a column for each state of the car, each cell with its line's sample.
fn readings(ui: &mut Ui, plot: &Plot, pointed: Option<f64>, (here, alone): (Option<[f64; 2]>, bool), of: Option<Side>) {
    let mut states: Vec<(&str, bool)> = plot.lines.iter().map(|l| (l.name.as_str(), l.found)).collect();
    states.dedup();
    let owners: &[Option<Side>] =
        if plot.lines.iter().all(|l| l.side.is_none()) { &[None] } else { &[Some(Side::Left), Some(Side::Right)] };
    // Each wheel has a travel of its own in a pose that rolls.
    let place = |side: Option<Side>| pointed.or(here.map(|here| here[side.or(of).unwrap_or(Side::Left) as usize]));
    // No wider than an eye carries a row across.
    let width = (ui.available_width() / (states.len() as f32 + 0.9)).min(150.0);
    Grid::new("readings").num_columns(states.len() + 1).spacing(vec2(0.0, 3.0)).min_row_height(22.0).show(ui, |ui| {
        ui.add_sized(vec2(width * 0.9, 18.0), egui::Label::new("").halign(egui::Align::Min));
        for (name, _) in &states {
            cell(ui, width, |ui| {
                drop(ui.add(egui::Label::new(RichText::new(*name).small().color(theme::SOFT)).truncate()))
            });
        }
        ui.end_row();
        for owner in owners {
            let word = owner.or(of).map_or("Axle", |side| if side == Side::Left { "Left" } else { "Right" });
            ui.label(RichText::new(word).font(theme::strong(13.0)));
            for state in &states {
                let line = plot.lines.iter().find(|l| l.side == *owner && (l.name.as_str(), l.found) == *state);
                cell(ui, width, |ui| {
                    if let Some(line) = line {
                        reading(ui, plot, line, place(*owner));
                    }
                });
            }
            ui.end_row();
        }
    });
    ui.add_space(2.0);
    let at = |x: f64| format!("{} {}", plot.x.read(x), plot.x.unit);
    let words = match (pointed, here) {
        (Some(x), _) => format!("At {}. Click to stand the car there.", at(x)),
        (None, Some([l, _])) if alone => format!("In this pose, at {}.", at(l)),
        (None, Some([l, r])) => {
            let place = if plot.x.read(l) == plot.x.read(r) { at(l) } else { format!("{} and {}", at(l), at(r)) };
            format!("At this pose's {place}, with all else at ride height.")
        }
        (None, None) => String::new(),
    };
    ui.label(RichText::new(words).small().color(theme::SOFT));
}

fn cell(ui: &mut Ui, width: f32, add: impl FnOnce(&mut Ui)) {
    ui.allocate_ui_with_layout(vec2(width, 20.0), egui::Layout::right_to_left(egui::Align::Center), |ui| {
        ui.set_min_width(width);
        add(ui);
    });
}

/// One value, and a sample of its line before it. Laid out from the right.
fn reading(ui: &mut Ui, plot: &Plot, line: &Line, x: Option<f64>) {
    let value = x.and_then(|x| line.at(x)).map_or("\u{2013}".to_owned(), |y| plot.y.read(y));
    ui.allocate_ui_with_layout(vec2(58.0, 20.0), egui::Layout::right_to_left(egui::Align::Center), |ui| {
        ui.set_min_width(58.0);
        ui.label(RichText::new(value).font(theme::strong(13.5)));
    });
    let (rect, _) = ui.allocate_exact_size(vec2(30.0, 20.0), Sense::hover());
    let pen = plot.pen(line);
    let ends = [pos2(rect.left(), rect.center().y), pos2(rect.right(), rect.center().y)];
    let stroke = Stroke::new(pen.width as f32, ink(pen));
    if pen.dashed {
        ui.painter().extend(egui::Shape::dashed_line(&ends, stroke, DASH[0] as f32, DASH[1] as f32));
    } else {
        ui.painter().line_segment(ends, stroke);
    }
}

/// A place along the bottom, no further out than the car that stands there goes.
fn within(plot: &Plot, x: f64) -> f64 {
    let own = plot.lines.iter().rfind(|l| !l.found).or(plot.lines.last());
    match own.and_then(|l| l.points.first().zip(l.points.last())) {
        Some((first, last)) => x.clamp(first[0], last[0]),
        None => x,
    }
}

/// Width of the panel in a window of this width, points.
pub(super) fn width(window: f32) -> f32 {
    (0.3 * window).clamp(360.0, 640.0)
}

/// For the column on the left, what the panel is for.
pub(super) fn table(ui: &mut Ui, shown: Shown) {
    let text = format!(
        "The plot at the right shows as found and a proposal together, in {}. Its numbers are read under the pointer; \
         the upright line is the pose that the car stands in. Click or drag in the plot to stand the car there.",
        if shown == Shown::Mm { "millimetres and degrees" } else { "inches and degrees" }
    );
    ui.add(egui::Label::new(RichText::new(text).size(12.5).color(theme::SOFT)).wrap());
}
