//! Opening and saving: the file dialog, files dropped on the window, closing, and the question about unsaved changes.

use std::path::PathBuf;

use bevy::prelude::*;
use bevy::window::{PrimaryWindow, WindowCloseRequested};
use bevy_egui::{EguiContexts, EguiPrimaryContextPass, egui};
use egui_file_dialog::FileDialog;

use super::asking::{Asking, Question};
use super::desk::{Command, Desk, Notice};
use super::filming::Filming;
use super::laying::{self, Laying};
use super::mapping::Mapping;
use super::panels::Units;
use super::picture::TakePicture;
use super::plotting::Plotting;
use super::posing::Posing;
use super::printing::{Job, Printing};
use super::theme;

pub(super) fn plugin(app: &mut App) {
    app.insert_resource(Files::new())
        .add_message::<FileWish>()
        .add_systems(Update, (dropped, closing, name_the_window))
        .add_systems(EguiPrimaryContextPass, (dialog, wishes, question).chain().after(super::panels::lay_out));
}

/// What the user wishes to do with files.
#[derive(Message, Debug, Clone, PartialEq)]
pub enum FileWish {
    /// Choose a car file to open.
    Open,
    /// Save where it came from.
    Save,
    /// Choose where to save.
    SaveAs,
    /// Choose where to write a picture.
    Picture,
    /// Choose a mesh file to bring in as a scan.
    Scan,
    /// Choose where to write the plot, the map or the curve as a drawing, under this name at first.
    Export {
        /// File name.
        name: String,
    },
    /// Choose a folder for the papers.
    Papers,
    /// Choose where to write the customer's page.
    Page,
    /// Choose where to write the car as a model.
    Model,
    /// Choose a folder for the tyres' keep-outs.
    KeepOuts,
    /// Choose a folder for pictures of the sweep.
    Sweep,
}

/// What would lose unsaved changes.
#[derive(Debug, Clone, PartialEq)]
enum Leaving {
    Choosing,
    Opening(PathBuf),
    Closing,
}

/// Dialogs that are open.
#[derive(Resource)]
pub struct Files {
    dialog: FileDialog,
    purpose: FileWish,
    leaving: Option<Leaving>,
}

impl Files {
    /// Whether a dialog or a question stands before everything else.
    pub fn in_front(&self) -> bool {
        self.leaving.is_some() || matches!(self.dialog.state(), egui_file_dialog::DialogState::Open)
    }

    fn new() -> Self {
        let dialog = FileDialog::new()
            .add_file_filter_extensions("Car files", vec!["ron"])
            .add_file_filter_extensions("Mesh files", vec!["stl", "obj", "ply", "gltf", "glb"])
            .anchor(egui::Align2::CENTER_CENTER, [0.0, 0.0])
            .default_size([760.0, 460.0]);
        Self { dialog, purpose: FileWish::Open, leaving: None }
    }

    fn choose(&mut self, purpose: FileWish, desk: &Desk) {
        if let Some(folder) = desk.folder() {
            self.dialog.config_mut().initial_directory = folder;
        }
        let config = self.dialog.config_mut();
        config.default_file_filter = match purpose {
            FileWish::Open | FileWish::Save => Some("Car files".into()),
            FileWish::Scan => Some("Mesh files".into()),
            _ => None,
        };
        match purpose {
            FileWish::Scan => {
                config.title = Some("Bring in a scan".into());
                self.dialog.pick_file();
            }
            FileWish::Open | FileWish::Save => {
                config.title = Some("Open a car file".into());
                self.dialog.pick_file();
            }
            FileWish::SaveAs => {
                config.title = Some("Save the car file as".into());
                config.default_file_name = desk.saving_name();
                self.dialog.save_file();
            }
            FileWish::Picture => {
                config.title = Some("Save a picture as".into());
                config.default_file_name = "scribeline.png".into();
                self.dialog.save_file();
            }
            FileWish::Export { ref name } => {
                config.title = Some("Export the plot as".into());
                config.default_file_name = name.clone();
                self.dialog.save_file();
            }
            FileWish::Page => {
                config.title = Some("Write the page as".into());
                config.default_file_name = desk.named() + ".html";
                self.dialog.save_file();
            }
            FileWish::Model => {
                config.title = Some("Write the model as".into());
                config.default_file_name = desk.named() + ".glb";
                self.dialog.save_file();
            }
            FileWish::Papers | FileWish::KeepOuts | FileWish::Sweep => {
                let what = match purpose {
                    FileWish::Papers => "papers",
                    FileWish::Sweep => "pictures",
                    _ => "keep-outs",
                };
                config.title = Some(format!("Choose a folder for the {what}"));
                self.dialog.pick_directory();
            }
        }
        self.purpose = purpose;
    }
}

fn wishes(
    mut wishes: MessageReader<FileWish>,
    mut files: ResMut<Files>,
    desk: Res<Desk>,
    mut commands: MessageWriter<Command>,
) {
    for wish in wishes.read() {
        match wish {
            FileWish::Open if desk.unsaved() => files.leaving = Some(Leaving::Choosing),
            FileWish::Save if desk.has_path() => drop(commands.write(Command::Save)),
            FileWish::Save => files.choose(FileWish::SaveAs, &desk),
            other => files.choose(other.clone(), &desk),
        }
    }
}

#[allow(clippy::too_many_arguments)]
fn dialog(
    mut contexts: EguiContexts,
    mut files: ResMut<Files>,
    mut commands: MessageWriter<Command>,
    mut pictures: MessageWriter<TakePicture>,
    drawings: (Res<Question>, Res<Plotting>, Res<Mapping>, Res<Units>),
    (asking, mut printing, mut filming, posing): (Res<Asking>, ResMut<Printing>, ResMut<Filming>, Res<Posing>),
    mut desk: ResMut<Desk>,
    mut laying: ResMut<Laying>,
    mut notice: ResMut<Notice>,
) -> Result {
    let (question, plotting, mapping, units) = drawings;
    files.dialog.update(contexts.ctx_mut()?);
    if let Some(path) = files.dialog.take_picked() {
        // The dialog asks before it writes over a file, but not where the ending is added here.
        let ending = match files.purpose {
            FileWish::SaveAs => Some("ron"),
            FileWish::Picture => Some("png"),
            FileWish::Page => Some("html"),
            FileWish::Model => Some("glb"),
            FileWish::Export { .. } => Some("svg"),
            _ => None,
        };
        let whole = ending.filter(|_| path.extension().is_none()).map(|ending| path.with_extension(ending));
        if let Some(there) = whole.filter(|whole| whole.exists()) {
            notice.0 = Some(format!(
                "{} is there already: choose it itself to write over it, or another name.",
                there.display()
            ));
            return Ok(());
        }
        let with_ending =
            |ending: &str| if path.extension().is_none() { path.with_extension(ending) } else { path.clone() };
        match files.purpose {
            FileWish::Open | FileWish::Save => drop(commands.write(Command::Open(path))),
            FileWish::SaveAs => drop(commands.write(Command::SaveAs(with_ending("ron")))),
            FileWish::Scan => {
                if let Err(why) = laying::bring(&path, &mut desk, &mut laying) {
                    notice.0 = Some(why);
                }
            }
            FileWish::Picture => drop(pictures.write(TakePicture(with_ending("png")))),
            FileWish::Sweep => filming.start(path.join(desk.named() + "-pictures"), desk.named(), &desk, &posing),
            FileWish::Papers | FileWish::Page | FileWish::Model | FileWish::KeepOuts => {
                let job = match files.purpose {
                    // In a folder of their own, unless this one is theirs already.
                    FileWish::Papers => Job::Papers(own_folder(path, desk.named() + "-papers")),
                    FileWish::Page => Job::Page(with_ending("html")),
                    FileWish::Model => Job::Model(with_ending("glb")),
                    _ => Job::KeepOuts(own_folder(path, desk.named() + "-keep-outs")),
                };
                if let Err(why) = printing.make(job, &asking, &desk, units.0) {
                    notice.0 = Some(why);
                }
            }
            FileWish::Export { .. } => {
                let path = with_ending("svg");
                let written = match *question {
                    Question::Curves => plotting.export(&path),
                    _ => mapping.export(&path, units.0),
                };
                if let Err(why) = written {
                    notice.0 = Some(why);
                }
            }
        }
    }
    Ok(())
}

/// A folder of this name in another one, or that one where it is it.
fn own_folder(path: PathBuf, name: String) -> PathBuf {
    if path.file_name().is_some_and(|own| *own == *name) { path } else { path.join(name) }
}

fn dropped(
    mut drops: MessageReader<FileDragAndDrop>,
    mut files: ResMut<Files>,
    desk: Res<Desk>,
    mut commands: MessageWriter<Command>,
) {
    for event in drops.read() {
        if let FileDragAndDrop::DroppedFile { path_buf, .. } = event {
            if desk.unsaved() {
                files.leaving = Some(Leaving::Opening(path_buf.clone()));
            } else {
                commands.write(Command::Open(path_buf.clone()));
            }
        }
    }
}

fn closing(
    mut requests: MessageReader<WindowCloseRequested>,
    mut files: ResMut<Files>,
    desk: Res<Desk>,
    mut exit: MessageWriter<AppExit>,
) {
    if requests.read().next().is_some() {
        if desk.unsaved() {
            files.leaving = Some(Leaving::Closing);
        } else {
            exit.write(AppExit::Success);
        }
    }
}

fn name_the_window(desk: Res<Desk>, mut window: Single<&mut Window, With<PrimaryWindow>>) {
    let mark = if desk.unsaved() { " (not saved)" } else { "" };
    let title = format!("{}{mark} - Scribeline", desk.file_name());
    if window.title != title {
        window.title = title;
    }
}

/// Asks what to do with unsaved changes before they are left.
fn question(
    mut contexts: EguiContexts,
    mut files: ResMut<Files>,
    mut desk: ResMut<Desk>,
    mut commands: MessageWriter<Command>,
    mut exit: MessageWriter<AppExit>,
    mut notice: ResMut<Notice>,
) -> Result {
    let Some(leaving) = files.leaving.clone() else { return Ok(()) };
    let mut leave = false;
    let mut stay = false;
    let asked = egui::Modal::new("unsaved".into()).show(contexts.ctx_mut()?, |ui| {
        ui.set_width(360.0);
        ui.label(egui::RichText::new("There are changes that are not saved").heading());
        ui.add_space(4.0);
        ui.label(format!("{} has been changed since it was saved.", desk.file_name()));
        ui.add_space(10.0);
        ui.horizontal(|ui| {
            if ui.button("Keep working").clicked() {
                stay = true;
            }
            ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                let save = egui::Button::new(egui::RichText::new("Save them").color(theme::BLANK)).fill(theme::BLUE);
                if desk.has_path() && ui.add(save).clicked() {
                    match desk.obey(Command::Save) {
                        Ok(()) => leave = true,
                        Err(why) => (notice.0, stay) = (Some(why), true),
                    }
                }
                if ui.button("Don't save").clicked() {
                    leave = true;
                }
            });
        });
    });
    if leave {
        match leaving {
            Leaving::Choosing => files.choose(FileWish::Open, &desk),
            Leaving::Opening(path) => drop(commands.write(Command::Open(path))),
            Leaving::Closing => drop(exit.write(AppExit::Success)),
        }
    }
    if leave || stay || asked.should_close() {
        files.leaving = None;
    }
    Ok(())
}
