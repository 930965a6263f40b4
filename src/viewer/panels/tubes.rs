//! The proposal's own tubes: each can be taken away, and one more run from any place that a tube can be welded to to another.

use bevy_egui::egui::{self, Button, ComboBox, Id, Label, RichText, Ui};

use super::View;
use crate::answer::routes::ends;
use crate::answer::words::capital;
use crate::car::{Car, Edit, FixedTube, OnRail, Side, Stock, TubePoint};
use crate::viewer::desk::Command;
use crate::viewer::theme;

/// A tube that is being chosen.
#[derive(Debug, Clone, Default)]
struct Wish {
    ends: [Option<TubePoint>; 2],
    stock: usize,
    pinned: bool,
}

pub(super) fn show(ui: &mut Ui, view: &mut View) {
    ui.label(RichText::new("Tubes").font(theme::strong(13.5)));
    let car = view.desk.looked_at().car.clone();
    let found = &view.desk.found().car;
    let own: Vec<String> =
        car.tubes.iter().map(|t| t.name.clone()).filter(|n| found.tubes.iter().all(|t| t.name != *n)).collect();
    let proposal = view.desk.proposal().map(str::to_owned);
    let Some(proposal) = proposal else {
        ui.label(RichText::new("Choose a proposal to add tubes to.").size(12.0).color(theme::SOFT));
        return;
    };
    for tube in car.tubes.iter().filter(|t| own.contains(&t.name)) {
        ui.horizontal(|ui| {
            ui.label(RichText::new(capital(&tube.name)).size(12.5));
            let unit = view.units.0;
            let wall = tube.wall.map_or_else(String::new, |w| format!(" x {}", unit.cell(w)));
            let pinned = if tube.pinned { ", pinned" } else { "" };
            ui.label(RichText::new(format!("{}{wall}{pinned}", unit.cell(tube.od))).size(12.5).color(theme::SOFT));
            ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                if ui.small_button("Remove").clicked() {
                    let proposal = Some(proposal.clone());
                    view.commands.write(Command::Edit(Edit::RemoveTube { proposal, tube: tube.name.clone() }));
                }
            });
        });
    }
    add(ui, view, &car, &proposal);
}

fn add(ui: &mut Ui, view: &mut View, car: &Car, proposal: &str) {
    if car.stock.is_empty() {
        let text = "No `stock` in this car file: list the tube sizes that you have, to add tubes here.";
        return drop(ui.add(Label::new(RichText::new(text).size(12.0).color(theme::SOFT)).wrap()));
    }
    let id = Id::new("tube wish");
    let mut wish = ui.data(|d| d.get_temp::<Wish>(id)).unwrap_or_default();
    let places = places(car);
    ui.horizontal(|ui| {
        for (i, head) in ["from", "to"].into_iter().enumerate() {
            ui.label(RichText::new(head).size(12.5));
            let now = wish.ends[i].as_ref().map_or("choose", |at| words(&places, at));
            ComboBox::from_id_salt(("end", i)).width(118.0).truncate().selected_text(now).show_ui(ui, |ui| {
                for (name, at) in &places {
                    ui.selectable_value(&mut wish.ends[i], Some(at.clone()), name);
                }
            });
        }
    });
    ui.horizontal(|ui| {
        let size = |s: &Stock| format!("{} x {} {}", view.units.0.cell(s.od), view.units.0.cell(s.wall), s.grade);
        wish.stock = wish.stock.min(car.stock.len() - 1);
        ComboBox::from_id_salt("stock").width(118.0).truncate().selected_text(size(&car.stock[wish.stock])).show_ui(
            ui,
            |ui| {
                for (i, stock) in car.stock.iter().enumerate() {
                    ui.selectable_value(&mut wish.stock, i, size(stock));
                }
            },
        );
        let hint = "Its ends turn, as rod ends and single bolts do; else they are welded";
        ui.checkbox(&mut wish.pinned, "Pinned").on_hover_text(hint);
        let ends = wish.ends.clone();
        let fits = match &ends {
            [Some(from), Some(to)] if from == to => Err("A tube runs from one place to another"),
            [Some(from), Some(to)] => mirrored(car, from, to),
            _ => Err("Choose where it runs from and to"),
        };
        let button = ui.add_enabled(fits.is_ok(), Button::new("Add tube"));
        let button = button.on_disabled_hover_text(fits.err().unwrap_or_default());
        if button.clicked()
            && let ([Some(from), Some(to)], Ok(mirror)) = (ends, fits)
        {
            let stock = &car.stock[wish.stock];
            let tube = FixedTube {
                name: free_name(car),
                mirror,
                od: stock.od,
                wall: Some(stock.wall),
                grade: Some(stock.grade.clone()),
                pinned: wish.pinned,
                points: vec![from, to],
            };
            view.commands.write(Command::Edit(Edit::AddTube { proposal: Some(proposal.to_owned()), tube }));
            wish.ends = [None, None];
        }
    });
    ui.data_mut(|d| d.insert_temp(id, wish));
    let text = "Nodes and bends can be dragged on the car; a bend that comes near a node is put on it.";
    ui.add(Label::new(RichText::new(text).size(12.0).color(theme::SOFT)).wrap());
}

fn words<'a>(places: &'a [(String, TubePoint)], at: &TubePoint) -> &'a str {
    places.iter().find(|(_, other)| other == at).map_or("choose", |(name, _)| name)
}

/// Everything that a tube can run to by name: what is there on both sides as a pair, and each side's alone.
fn places(car: &Car) -> Vec<(String, TubePoint)> {
    let mut all = Vec::new();
    for node in &car.nodes {
        let at = |name: String| (capital(&name), TubePoint::Node(name));
        let (pair, _) = at(node.name.clone());
        if node.mirror {
            all.push((format!("{pair}, both sides"), TubePoint::Node(node.name.clone())));
            all.extend(Side::BOTH.map(|side| at(format!("{} {}", side.word(), node.name))));
        } else {
            all.push(at(node.name.clone()));
        }
    }
    for rail in &car.rails {
        let sides = Side::BOTH.map(|side| format!("{} {}", side.word(), rail.name));
        let names = if rail.mirror { sides.to_vec() } else { Vec::new() };
        for name in std::iter::once(rail.name.clone()).chain(names) {
            let both = if rail.mirror && name == rail.name { ", both sides" } else { "" };
            for (i, cut) in rail.cuts.iter().enumerate() {
                let nth = (rail.cuts.len() > 1).then_some(i + 1);
                let which = nth.map_or_else(String::new, |n| format!(", cut {n}"));
                for end in ends(rail, cut) {
                    let words = format!("{}{which}, {} end{both}", capital(&name), end.word());
                    all.push((words, TubePoint::OnRail { rail: name.clone(), at: OnRail::Cut(end, nth) }));
                }
            }
        }
    }
    all
}

/// Whether a tube between two places is one on each side, or why there can be none.
fn mirrored(car: &Car, from: &TubePoint, to: &TubePoint) -> Result<bool, &'static str> {
    let pair = |at: &TubePoint| match at {
        TubePoint::Node(name) => car.nodes.iter().any(|n| n.name == *name && n.mirror),
        TubePoint::OnRail { rail, .. } => car.rails.iter().any(|r| r.name == *rail && r.mirror),
        TubePoint::At(_) => false,
    };
    let middle = |at: &TubePoint| match at {
        TubePoint::Node(name) => car.nodes.iter().any(|n| n.name == *name && n.at.y.abs() < 0.5),
        _ => false,
    };
    match (pair(from), pair(to)) {
        (false, false) => Ok(false),
        (one, other) if (one || middle(from)) && (other || middle(to)) => Ok(true),
        _ => Err("One end is there on both sides and the other is not: say the left or the right one"),
    }
}

fn free_name(car: &Car) -> String {
    let taken = |name: &str| {
        let tubes = car.tubes.iter().map(|t| &t.name);
        let others = car.rails.iter().map(|r| &r.name).chain(car.panels.iter().map(|p| &p.name));
        tubes.chain(others).chain(car.blocks.iter().map(|b| &b.name)).any(|other| other == name)
    };
    (1..).map(|i| format!("tube {i}")).find(|name| !taken(name)).unwrap_or_default()
}
