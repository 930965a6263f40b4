//! The panel at the right of the stage where scans are brought in, laid on the car by picked points, and trimmed.

use bevy_egui::egui::{self, Button, ComboBox, DragValue, Label, RichText, ScrollArea, Ui, vec2};
use nalgebra::Vector3;

use super::{View, widgets};
use crate::car::{Edit, FileUnit, Scan, ScanFact, ScannedAs, Trim};
use crate::space::Scanned;
use crate::viewer::camera::Look;
use crate::viewer::desk::Command;
use crate::viewer::files::FileWish;
use crate::viewer::laying::{FEWEST, Pair, Picking, Typed};
use crate::viewer::theme;

pub(super) fn show(ui: &mut Ui, view: &mut View) {
    head(ui, view);
    let Some(scan) = view.laying.of(&view.desk).cloned() else {
        let text =
            "No scans yet. Bring in a mesh of the bodywork (STL, OBJ, PLY or glTF): it is measured like any panel.";
        ui.add(Label::new(RichText::new(text).size(12.5).color(theme::SOFT)).wrap());
        return;
    };
    ScrollArea::vertical().id_salt("scan").auto_shrink(false).show(ui, |ui| {
        ui.set_width(ui.available_width() - 12.0);
        let built = view.desk.looked_at().clone();
        let Some(laid) = built.scans.get(&scan.name) else { return };
        about(ui, view, &scan, laid);
        ui.add_space(8.0);
        pairs(ui, view, &scan, laid);
        notes(ui, view, &scan, laid);
        ui.add_space(8.0);
        trim(ui, view, &scan, laid);
        ui.add_space(10.0);
        foot(ui, view, &scan, laid);
    });
}

fn put(view: &mut View, scan: &Scan, fact: ScanFact) {
    view.commands.write(Command::Edit(Edit::PutScan { scan: scan.name.clone(), fact }));
}

fn head(ui: &mut Ui, view: &mut View) {
    ui.horizontal(|ui| {
        ui.label(RichText::new("Scans").font(theme::strong(15.0)));
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            if ui.button("Close").clicked() {
                view.laying.open = false;
                view.laying.picking = None;
            }
            if ui.button("Bring in a mesh").on_hover_text("Choose a mesh file: STL, OBJ, PLY or glTF").clicked() {
                view.files.write(FileWish::Scan);
            }
        });
    });
    let names: Vec<String> = view.desk.file().car().scans.iter().map(|s| s.name.clone()).collect();
    let now = view.laying.of(&view.desk).map(|s| s.name.clone());
    if names.len() > 1 {
        ui.horizontal_wrapped(|ui| {
            for name in names {
                if ui.add(Button::new(&name).selected(now.as_ref() == Some(&name))).clicked() {
                    view.laying.choose(name);
                }
            }
        });
    }
    ui.add_space(4.0);
}

/// Its file, and what it is taken for.
fn about(ui: &mut Ui, view: &mut View, scan: &Scan, laid: &Scanned) {
    ui.label(RichText::new(&scan.name).font(theme::strong(13.5)));
    let report = &laid.report;
    let measured = laid.solid.skin.as_ref().map_or(0, |skin| skin.triangles.len());
    // What the box leaves out is said: a scan laid wrong may lose what matters.
    let kept =
        if measured < report.triangles { format!("{measured} of {}", report.triangles) } else { measured.to_string() };
    let slips = [
        (report.duplicates, "that were there already"),
        (report.degenerate, "without area"),
        (report.turned, "edges with two outsides"),
        (report.crowded, "crowded edges"),
    ];
    let slips: Vec<String> = slips.iter().filter(|s| s.0 > 0).map(|(n, what)| format!("{n} {what}")).collect();
    let file =
        ui.add(Label::new(RichText::new(format!("{}, {kept} triangles", scan.file)).color(theme::SOFT)).truncate());
    if !slips.is_empty() {
        file.on_hover_text("Harmless to gaps: they are measured from both sides, and holes are open");
        ui.add(
            Label::new(RichText::new(format!("in the file: {}", slips.join(", "))).size(12.0).color(theme::SOFT))
                .wrap(),
        );
    }
    ui.add_space(4.0);
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 5.0;
        ui.label("unit");
        let mut unit = scan.unit();
        ComboBox::from_id_salt("scan unit").width(52.0).selected_text(unit.sign()).show_ui(ui, |ui| {
            for one in FileUnit::ALL {
                ui.selectable_value(&mut unit, one, one.sign());
            }
        });
        if unit != scan.unit() {
            put(view, scan, ScanFact::Unit(unit));
        }
        ui.label("as");
        for (kind, word) in [(ScannedAs::Panel, "Bodywork"), (ScannedAs::Rail, "Rail")] {
            if ui.selectable_label(scan.kind == kind, word).clicked() && scan.kind != kind {
                put(view, scan, ScanFact::As(kind));
            }
        }
        let mut mirror = scan.mirror;
        if ui
            .checkbox(&mut mirror, "mirrored")
            .on_hover_text("Scanned on the left; the right side is its mirror image")
            .changed()
        {
            put(view, scan, ScanFact::Mirror(mirror));
        }
    });
}

/// What is to be known of it; below the points, so that these stay where they are while it comes and goes.
fn notes(ui: &mut Ui, view: &mut View, scan: &Scan, laid: &Scanned) {
    for note in &laid.notes {
        widgets::caution(ui, note);
        if note.contains("changed since") && ui.button("It lies where it should").clicked() {
            refresh(view, scan);
        }
    }
}

/// Takes the file as it is now.
fn refresh(view: &mut View, scan: &Scan) {
    let folder = view.desk.folder().unwrap_or_default();
    match crate::answer::ScannedMesh::open(&folder.join(&scan.file), scan.unit) {
        Ok(mesh) => put(view, scan, ScanFact::Check(mesh.check)),
        Err(fault) => view.notice.0 = Some(fault.to_string()),
    }
}

/// The picked points, each on the scan and on the car, and how far off it lies.
fn pairs(ui: &mut Ui, view: &mut View, scan: &Scan, laid: &Scanned) {
    let shown = view.units.0;
    let pairs = view.laying.pairs(scan);
    let mut new = pairs.clone();
    ui.horizontal(|ui| {
        ui.set_max_width(ui.available_width().min(WIDEST));
        widgets::heading(ui, "Picked points");
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            widgets::heading(ui, &format!("off, {}", shown.sign()));
        });
    });
    let mut gone = None;
    for (i, pair) in pairs.iter().enumerate() {
        let off = laid.placing.off.get(i).filter(|_| i < scan.place.len());
        row(ui, &(i + 1).to_string(), "scan", "In the mesh's own unit and axes", |ui| {
            new[i].scan = place(ui, pair.scan, 1.0, decimals(scan.unit()));
            pick(ui, view, Picking::OnScan(i), "Click the point on the scan");
            let (text, colour) = off.map_or(("\u{2013}".to_owned(), theme::SOFT), |mm| (shown.cell(*mm), theme::INK));
            ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                ui.label(RichText::new(text).font(theme::strong(13.0)).color(colour));
            });
        });
        row(ui, "", "car", "x forward, y left, z up, in the car's axes", |ui| {
            new[i].car = place(ui, pair.car, shown.in_mm(), shown.decimals());
            pick(ui, view, Picking::OnCar(i), "Click a measured point, a rail's corner, or any other part of the body");
            ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                if ui.small_button("\u{d7}").on_hover_text("Leave this pair out").clicked() {
                    gone = Some(i);
                }
            });
        });
        ui.add_space(2.0);
    }
    if let Some(i) = gone {
        new.remove(i);
        view.laying.picking = None;
    }
    if new != pairs {
        view.commands.write_batch(view.laying.put(scan, &new).map(Command::Edit));
    }
    if let Some(mm) = laid.placing.rms() {
        let text = format!("All together {}, as root mean square.", shown.length(mm));
        ui.label(RichText::new(text).size(12.0).color(theme::SOFT));
    }
    ui.horizontal(|ui| {
        let next = Picking::OnScan(pairs.len());
        let word = match view.laying.picking {
            Some(Picking::OnScan(_)) => "Click the point on the scan \u{2026}",
            Some(Picking::OnCar(_)) => "Click where it is on the car \u{2026}",
            None => "Pick another pair",
        };
        if ui.add(Button::new(word).selected(view.laying.picking.is_some())).clicked() {
            view.laying.picking = if view.laying.picking.is_some() { None } else { Some(next) };
        }
        if ui.button("Type one").clicked() {
            view.laying.waiting.push(Pair::default());
        }
    });
    if scan.place.is_empty() {
        let text = format!(
            "The scan lies where its own coordinates put it. {FEWEST} pairs or more, far apart and not in a line, lay it on the \
             car by least squares."
        );
        ui.add(Label::new(RichText::new(text).size(12.0).color(theme::SOFT)).wrap());
    }
}

/// Width of a pair's line at most.
const WIDEST: f32 = 400.0;

/// As many decimals as tell a tenth of a millimetre in a mesh's own unit.
fn decimals(unit: FileUnit) -> usize {
    (1.0 + unit.in_mm().log10()).ceil().max(1.0) as usize
}

/// One line of a pair.
fn row(ui: &mut Ui, number: &str, word: &str, hint: &str, show: impl FnOnce(&mut Ui)) {
    // No wider than an eye carries a line across.
    let size = vec2(ui.available_width().min(WIDEST), 24.0);
    ui.allocate_ui_with_layout(size, egui::Layout::left_to_right(egui::Align::Center), |ui| {
        ui.spacing_mut().item_spacing = vec2(4.0, 0.0);
        ui.spacing_mut().button_padding = vec2(4.0, 1.0);
        let word_in = |ui: &mut Ui, width: f32, text: RichText| {
            let layout = egui::Layout::left_to_right(egui::Align::Center);
            ui.allocate_ui_with_layout(vec2(width, 22.0), layout, |ui| {
                ui.set_width(width);
                ui.label(text)
            })
        };
        word_in(ui, 18.0, RichText::new(number).font(theme::strong(13.0)));
        word_in(ui, 32.0, RichText::new(word).color(theme::SOFT)).response.on_hover_text(hint);
        show(ui);
    });
}

/// A widget in a place of just this width, so that a row keeps its line.
fn cell(ui: &mut Ui, width: f32, widget: impl egui::Widget) -> egui::Response {
    let (rect, _) = ui.allocate_exact_size(vec2(width, 22.0), egui::Sense::hover());
    ui.put(rect, widget)
}

/// Three numbers, or blanks for those that are not typed yet. Gives them as they then are.
fn place(ui: &mut Ui, at: Typed, unit: f64, decimals: usize) -> Typed {
    let mut to = at;
    for number in &mut to {
        let mut value = number.unwrap_or_default() / unit;
        let drag = DragValue::new(&mut value).speed(0.5).fixed_decimals(decimals).update_while_editing(false);
        let drag = if number.is_none() { drag.custom_formatter(|_, _| "\u{2013}".to_owned()) } else { drag };
        let response = cell(ui, 60.0, drag);
        // A nought that is typed is a number too.
        if response.changed()
            || (number.is_none() && response.lost_focus() && ui.input(|i| i.key_pressed(egui::Key::Enter)))
        {
            *number = Some(value * unit);
        }
    }
    to
}

fn pick(ui: &mut Ui, view: &mut View, picking: Picking, hint: &str) {
    let now = view.laying.picking == Some(picking);
    if cell(ui, 44.0, Button::new(RichText::new("pick").size(12.5)).selected(now)).on_hover_text(hint).clicked() {
        view.laying.picking = (!now).then_some(picking);
    }
}

/// The box outside which the scan is left out.
fn trim(ui: &mut Ui, view: &mut View, scan: &Scan, laid: &Scanned) {
    let mut trimmed = scan.trim.is_some();
    let hint = "Leave out whatever lies outside a box along the car's axes";
    if ui.checkbox(&mut trimmed, "Trim to a box").on_hover_text(hint).changed() {
        let [from, to] = laid.solid.around.map(|p| p.map(f64::round));
        put(view, scan, ScanFact::Trim(trimmed.then_some(Trim { from, to })));
    }
    let Some(now) = scan.trim else { return };
    let (shown, mut new) = (view.units.0, now);
    for (word, at) in [("from", &mut new.from), ("to", &mut new.to)] {
        row(ui, "", word, "A corner of the box, in the car's axes", |ui| {
            let typed = place(ui, [at.x, at.y, at.z].map(Some), shown.in_mm(), shown.decimals());
            *at = Vector3::from_iterator(typed.into_iter().flatten());
        });
    }
    if new != now {
        put(view, scan, ScanFact::Trim(Some(new)));
    }
}

fn foot(ui: &mut Ui, view: &mut View, scan: &Scan, laid: &Scanned) {
    ui.horizontal(|ui| {
        if ui.button("Look at it").on_hover_text("Turn the eye to the scan, wherever it lies").clicked() {
            let [low, high] = laid.solid.around;
            view.stage.look_at = Some([low, high]);
            view.looks.write(Look::There);
        }
        if ui.button("Take it out").on_hover_text("Take the scan out of the car; its mesh file stays").clicked() {
            view.commands.write(Command::Edit(Edit::RemoveScan { scan: scan.name.clone() }));
            view.laying.picking = None;
        }
    });
}
