//! The table of the lock: how far it steers each way, what ends it, and the limiter to fit.

use bevy_egui::egui::{Button, Grid, Label, RichText, Ui, vec2};
use nalgebra::Vector2;

use super::{View, widgets};
use crate::answer::{Limit, LockWay, words};
use crate::car::{Edit, Shown, Side};
use crate::motion::Pose;
use crate::viewer::asking::Answered;
use crate::viewer::desk::Command;
use crate::viewer::theme;

pub(super) fn table(ui: &mut Ui, view: &mut View, answered: &Answered) {
    let lock = &answered.answers.lock;
    let shown = view.units.0;
    buttons(ui, view, answered);
    Grid::new("lock").num_columns(3).spacing(vec2(10.0, 0.0)).min_row_height(22.0).min_col_width(60.0).show(ui, |ui| {
        widgets::heading(ui, "Steering to the");
        for way in &lock.ways {
            widgets::right(ui, RichText::new(way.way.word()).font(theme::strong(13.0)));
        }
        ui.end_row();
        for (name, value) in rows(shown, lock.stop_mm, moved(view)) {
            ui.label(RichText::new(name).size(12.5));
            for way in &lock.ways {
                widgets::right(ui, RichText::new(value(way)));
            }
            ui.end_row();
        }
    });
    for way in &lock.ways {
        ui.add_space(2.0);
        ui.add(Label::new(RichText::new(ended(way, shown, moved(view))).size(12.5)).wrap());
    }
    if !lock.left_out.is_empty() {
        let pairs: Vec<_> = lock.left_out.iter().map(|[a, b]| widgets::pair_words(a, b, false)).collect();
        ui.add_space(4.0);
        let text =
            format!("Too near straight ahead already, so left out here: {}. See gaps and cut.", pairs.join("; "));
        ui.add(Label::new(RichText::new(text).size(12.0).color(theme::SOFT)).wrap());
    }
    widgets::caution(
        ui,
        "Check the lock by hand, wheels on, at full bump and droop, with the tyre under load: tyres grow and lean over. \
         Steering stops against a limiter, never against the rim.",
    );
}

/// What has the travel that is told, in a word that a row has room for: the rack, or the pitman arm's end along its arc.
fn moved(view: &View) -> &'static str {
    if view.desk.looked_at().car.front.steering_box.is_some() { "Pitman" } else { "Rack" }
}

type Value = Box<dyn Fn(&LockWay) -> String>;

fn rows(shown: Shown, stop_mm: f64, moved: &str) -> [(String, Value); 8] {
    let degrees = |limit: &Limit, side: Side| format!("{:.1}°", limit.steer_deg[side as usize].abs());
    let outer = |way: Side| if way == Side::Left { Side::Right } else { Side::Left };
    let circle = move |mm: Option<f64>| {
        mm.map_or("–".to_owned(), |mm| match shown {
            Shown::Mm => format!("{:.2} m", mm / 1000.0),
            Shown::In => format!("{:.1} ft", mm / 304.8),
        })
    };
    let unit = shown.sign();
    [
        (format!("{moved}, ride height, {unit}"), Box::new(move |w: &LockWay| shown.cell(w.at_ride.rack_mm.abs()))),
        (format!("{moved}, any travel, {unit}"), Box::new(move |w: &LockWay| shown.cell(w.worst.rack_mm.abs()))),
        ("Inner wheel".to_owned(), Box::new(move |w: &LockWay| degrees(&w.worst, w.way))),
        ("Outer wheel".to_owned(), Box::new(move |w: &LockWay| degrees(&w.worst, outer(w.way)))),
        (format!("{moved} stop, {unit}"), Box::new(move |_: &LockWay| shown.cell(stop_mm))),
        (format!("Limiter to fit, {unit}"), Box::new(move |w: &LockWay| shown.cell(w.limiter_mm))),
        ("Turning circle, at the stop".to_owned(), Box::new(move |w: &LockWay| circle(w.circle_at_stop_mm))),
        ("Turning circle, limited".to_owned(), Box::new(move |w: &LockWay| circle(w.circle_limited_mm))),
    ]
}

fn buttons(ui: &mut Ui, view: &mut View, answered: &Answered) {
    ui.horizontal_wrapped(|ui| {
        let lock = &answered.answers.lock;
        for way in &lock.ways {
            let word = format!("{} lock", words::capital(way.way.word()));
            if ui.button(word).on_hover_text("Poses the car where steering ends first").clicked()
                && let Some(pose) = pose(answered, way)
            {
                view.posing.take(pose);
                view.pair.0 = way.worst.touch.as_ref().map(|t| [t.a.clone(), t.b.clone()]);
            }
        }
        let most = lock.ways.iter().map(|w| w.limiter_mm).fold(0.0, f64::max);
        let travel = lock.stop_mm - most;
        let what = if moved(view) == "Rack" { "rack" } else { "pitman arm" };
        let hint = format!("Sets the {what}'s travel to {} each way, as an edit", view.units.0.length(travel));
        if most > 0.0 && travel > 0.0 && ui.add(Button::new("Fit limiter")).on_hover_text(hint).clicked() {
            let proposal = view.desk.proposal().map(str::to_owned);
            view.commands.write(Command::Edit(Edit::PutSteeringTravel { proposal, travel }));
        }
        if ui
            .add(Button::new("Over travel").selected(view.mapping.open))
            .on_hover_text("How far it steers at each wheel travel")
            .clicked()
        {
            view.mapping.open = !view.mapping.open;
            view.laying.open = false;
        }
    });
}

fn pose(answered: &Answered, way: &LockWay) -> Option<Pose> {
    let rack = way.worst.rack_mm;
    match &way.worst.touch {
        Some(touch) => answered.study.pose_at(touch.wheel, Vector2::new(touch.travel_mm, rack)),
        None => Some(Pose { rack, ..Pose::default() }),
    }
}

/// What ends steering one way.
fn ended(way: &LockWay, shown: Shown, moved: &str) -> String {
    let to = words::capital(way.way.word());
    match &way.worst.touch {
        None => format!("{to}: the {}'s own stop comes first.", if moved == "Rack" { "rack" } else { "pitman arm" }),
        Some(t) => format!(
            "{to}: {} at {}, {} wanted.",
            widgets::pair_words(&t.a, &t.b, false),
            words::travel(t.travel_mm, shown),
            shown.length(t.wanted_mm)
        ),
    }
}
