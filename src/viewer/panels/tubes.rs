//! The proposal's own tubes: each can be taken away, and one more run from any place that a tube can be welded to to another.

use bevy_egui::egui::{self, Button, ComboBox, Id, RichText, Ui};

use super::{View, widgets};
use crate::answer::words::capital;
use crate::car::{Car, CutEnd, Edit, FixedTube, OnRail, Stock, TubePoint};
use crate::viewer::desk::Command;
use crate::viewer::theme;

/// A tube that is being chosen.
#[derive(Debug, Clone, Default)]
struct Wish {
    ends: [Option<TubePoint>; 2],
    stock: usize,
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
            ui.label(RichText::new(format!("{}{wall}", unit.cell(tube.od))).size(12.5).color(theme::SOFT));
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
        return drop(ui.add(egui::Label::new(RichText::new(text).size(12.0).color(theme::SOFT)).wrap()));
    }
    let id = Id::new("tube wish");
    let mut wish = ui.data(|d| d.get_temp::<Wish>(id)).unwrap_or_default();
    let places = places(car);
    ui.horizontal_wrapped(|ui| {
        for (i, head) in ["from", "to"].into_iter().enumerate() {
            ui.label(RichText::new(head).size(12.5));
            let now = wish.ends[i].as_ref().map_or("choose", |at| words(&places, at));
            ComboBox::from_id_salt(("end", i)).width(118.0).selected_text(now).show_ui(ui, |ui| {
                for (name, at) in &places {
                    ui.selectable_value(&mut wish.ends[i], Some(at.clone()), name);
                }
            });
        }
        let size = |s: &Stock| format!("{} x {} {}", view.units.0.cell(s.od), view.units.0.cell(s.wall), s.grade);
        wish.stock = wish.stock.min(car.stock.len() - 1);
        ComboBox::from_id_salt("stock").width(130.0).selected_text(size(&car.stock[wish.stock])).show_ui(ui, |ui| {
            for (i, stock) in car.stock.iter().enumerate() {
                ui.selectable_value(&mut wish.stock, i, size(stock));
            }
        });
        let ends = wish.ends.clone();
        let can = ends[0].is_some() && ends[1].is_some() && ends[0] != ends[1];
        let hint = "Both of a mirrored pair, where what it runs to is there on both sides";
        if ui.add_enabled(can, Button::new("Add tube")).on_hover_text(hint).clicked()
            && let [Some(from), Some(to)] = ends
        {
            let stock = &car.stock[wish.stock];
            let mirror = mirrored(car, &from) && mirrored(car, &to);
            let tube = FixedTube {
                name: free_name(car),
                mirror,
                od: stock.od,
                wall: Some(stock.wall),
                grade: Some(stock.grade.clone()),
                points: vec![from, to],
            };
            view.commands.write(Command::Edit(Edit::AddTube { proposal: Some(proposal.to_owned()), tube }));
            wish.ends = [None, None];
        }
    });
    ui.data_mut(|d| d.insert_temp(id, wish));
    widgets::heading(ui, "Nodes and bends can be dragged on the car; a bend snaps to a node.");
}

fn words<'a>(places: &'a [(String, TubePoint)], at: &TubePoint) -> &'a str {
    places.iter().find(|(_, other)| other == at).map_or("choose", |(name, _)| name)
}

/// Everything that a tube can run to by name.
fn places(car: &Car) -> Vec<(String, TubePoint)> {
    let nodes = car.nodes.iter().map(|n| (capital(&n.name), TubePoint::Node(n.name.clone())));
    let cuts = car.rails.iter().flat_map(|rail| {
        let many = rail.cuts.len() > 1;
        (0..rail.cuts.len()).flat_map(move |i| {
            CutEnd::BOTH.map(|end| {
                let nth = many.then_some(i + 1);
                let which = nth.map_or_else(String::new, |n| format!(", cut {n}"));
                let name = format!("{}{which}, {} end", capital(&rail.name), end.word());
                (name, TubePoint::OnRail { rail: rail.name.clone(), at: OnRail::Cut(end, nth) })
            })
        })
    });
    nodes.chain(cuts).collect()
}

fn mirrored(car: &Car, at: &TubePoint) -> bool {
    match at {
        TubePoint::Node(name) => car.nodes.iter().any(|n| n.name == *name && n.mirror),
        TubePoint::OnRail { rail, .. } => car.rails.iter().any(|r| r.name == *rail && r.mirror),
        TubePoint::At(_) => false,
    }
}

fn free_name(car: &Car) -> String {
    let taken = |name: &str| car.tubes.iter().any(|t| t.name == name);
    (1..).map(|i| format!("tube {i}")).find(|name| !taken(name)).unwrap_or_default()
}
