//! What goes to the bench and to the customer: papers to look at and to write, the page, the model, the keep-outs.

use bevy_egui::egui::{self, Button, Grid, Label, RichText, Spinner, TextEdit, Ui, vec2};

use super::{View, widgets};
use crate::answer::words::capital;
use crate::sheets::{Paper, PaperFile};
use crate::viewer::files::FileWish;
use crate::viewer::filming::COUNT;
use crate::viewer::printing::Laid;
use crate::viewer::theme;

pub(super) fn table(ui: &mut Ui, view: &mut View) {
    writes(ui, view);
    if view.printing.writing() {
        ui.horizontal(|ui| {
            ui.add(Spinner::new().size(14.0));
            ui.label(RichText::new("being made \u{2026}").size(12.5).color(theme::SOFT));
        });
        ui.ctx().request_repaint_after(std::time::Duration::from_millis(100));
    }
    for line in view.printing.made() {
        ui.add(Label::new(RichText::new(line).size(12.0).color(theme::BLUE)).wrap());
    }
    prices(ui, view);
    let laid = view.printing.laid(&view.desk, view.units.0).map(|(laid, fresh)| (laid.clone(), fresh));
    match laid {
        Some((Ok(laid), true)) => papers(ui, view, &laid),
        Some((Err(why), true)) => widgets::caution(ui, &why),
        _ => drop(ui.label(RichText::new("The papers are being laid out \u{2026}").size(12.0).color(theme::SOFT))),
    }
}

/// A button that asks where to write something.
fn wish(ui: &mut Ui, view: &mut View, word: &str, hint: &str, wish: FileWish) {
    let can = !view.printing.writing() && !view.asking.working();
    if ui.add_enabled(can, Button::new(word)).on_hover_text(hint).clicked() {
        view.files.write(wish);
    }
}

/// What can be written, and for whom.
fn writes(ui: &mut Ui, view: &mut View) {
    Grid::new("writes").num_columns(2).spacing(vec2(8.0, 5.0)).show(ui, |ui| {
        let whom = |ui: &mut Ui, word: &str| ui.label(RichText::new(word).size(12.5).color(theme::SOFT));
        whom(ui, "Bench");
        ui.horizontal(|ui| {
            let hint = "Rail and cope templates at true scale, cut list, jigs, points and set-up: PDF to print, the same as CSV, \
                        templates and jigs as DXF";
            wish(ui, view, "Write papers", hint, FileWish::Papers);
            ui.spacing_mut().item_spacing.x = 3.0;
            for (paper, word) in [(Paper::A4, "A4"), (Paper::Letter, "Letter")] {
                if ui.add(Button::new(word).selected(view.printing.paper == paper)).clicked() {
                    view.printing.paper = paper;
                }
            }
        });
        ui.end_row();
        whom(ui, "Customer");
        ui.horizontal(|ui| {
            let hint = "One HTML file that works from a stick or a mail: what is proposed in plain words, the car in 3D, the numbers \
                        that matter, prices if you give them, the cautions";
            wish(ui, view, "Write page", hint, FileWish::Page);
            pictures(ui, view);
        });
        ui.end_row();
        whom(ui, "Programs");
        ui.horizontal(|ui| {
            let hint = "The car with its sweep as animation, as glTF (.glb)";
            wish(ui, view, "Write model", hint, FileWish::Model);
            let hint = "All the space that each tyre takes up, grown by the wanted gap, as closed meshes (STL)";
            wish(ui, view, "Write keep-outs", hint, FileWish::KeepOuts);
        });
        ui.end_row();
    });
}

fn pictures(ui: &mut Ui, view: &mut View) {
    match view.filming.done() {
        None => {
            let hint = "The stage as it is seen now, through bump, droop, roll and steering: a row of pictures (PNG)";
            wish(ui, view, "Write pictures", hint, FileWish::Sweep);
        }
        Some(done) => {
            if ui.button("Stop").clicked() {
                view.filming.stop();
            }
            ui.label(RichText::new(format!("{done} of {COUNT}")).size(12.5));
        }
    }
}

/// Price lines of the customer's page, to be typed.
fn prices(ui: &mut Ui, view: &mut View) {
    let hint = "Prices for the page, a line each, such as:\nFront arms: 1800 EUR";
    ui.add_space(3.0);
    let width = ui.available_width() - 4.0;
    ui.add(TextEdit::multiline(&mut view.printing.prices).hint_text(hint).desired_rows(2).desired_width(width));
    if let Err(why) = view.printing.priced() {
        ui.add(Label::new(RichText::new(why).size(12.0).color(theme::TOUCH)).wrap());
    }
    ui.add_space(3.0);
}

/// The papers that can be printed; one that is pressed is laid beside the car.
fn papers(ui: &mut Ui, view: &mut View, laid: &Laid) {
    ui.add(Label::new(RichText::new(&laid.sentence).size(12.5)).wrap());
    for paper in laid.papers.iter().filter(|paper| !paper.pages.is_empty()) {
        let open = view.printing.open.as_ref().is_some_and(|(name, _)| *name == paper.name);
        if line(ui, paper, open).clicked() {
            view.printing.open = (!open).then(|| (paper.name.clone(), 0));
            view.laying.open = false;
        }
    }
    for note in laid.sheets.without.iter().chain(&laid.sheets.notes).chain(&laid.sheets.cut_list.notes) {
        ui.add_space(3.0);
        ui.add(Label::new(RichText::new(note).size(12.0).color(theme::SOFT)).wrap());
    }
    let [frame, cutting] = laid.sheets.caution.frame;
    for caution in [frame, cutting, laid.sheets.caution.arms, laid.sheets.caution.lock] {
        widgets::caution(ui, caution);
    }
}

fn line(ui: &mut Ui, paper: &PaperFile, open: bool) -> egui::Response {
    let (rect, response) = widgets::row_ground(ui, 22.0, open);
    let Some(rect) = rect else { return response };
    let pages = if paper.pages.len() == 1 { "1 page".to_owned() } else { format!("{} pages", paper.pages.len()) };
    ui.painter().text(
        rect.left_center(),
        egui::Align2::LEFT_CENTER,
        capital(&paper.what),
        egui::FontId::proportional(12.5),
        theme::INK,
    );
    ui.painter().text(
        rect.right_center() - vec2(4.0, 0.0),
        egui::Align2::RIGHT_CENTER,
        pages,
        egui::FontId::proportional(12.5),
        theme::SOFT,
    );
    response.on_hover_text(&paper.name).on_hover_cursor(egui::CursorIcon::PointingHand)
}
