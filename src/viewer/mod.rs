//! The window: the car in 3D, and the questions beside it. It holds no engineering: it edits a car, asks for answers and
//! draws them.
//!
//! One plugin function to a file. [`desk`] holds the car and its history, [`posing`] the pose, [`scene`] draws both,
//! [`panels`] reads them and emits commands.

mod asking;
mod beside;
mod bettering;
mod bracing;
mod camera;
mod comparing;
mod desk;
mod files;
mod filming;
mod keys;
mod laying;
mod loading;
mod mapping;
mod marking;
mod overlay;
mod pace;
mod panels;
mod picture;
mod plotting;
mod pointer;
mod posing;
mod printing;
mod scene;
mod theme;

use std::panic::{self, AssertUnwindSafe};
use std::path::PathBuf;
use std::sync::{Arc, Mutex, PoisonError};

use bevy::prelude::*;
use bevy::render::RenderPlugin;
use bevy::window::WindowResolution;
use bevy_egui::EguiPlugin;

use crate::car::{CarFile, Shown};

/// How the viewer opens.
#[derive(Debug)]
pub struct Start {
    /// The car on the desk.
    pub file: CarFile,
    /// The proposal to look at.
    pub proposal: Option<String>,
    /// The units to show.
    pub units: Shown,
    /// Width and height of the window.
    pub size: [u32; 2],
    /// Takes a picture of the window as soon as its answers are in, writes it there as PNG, and closes.
    pub picture: Option<PathBuf>,
}

/// Opens the window, and comes back when it is closed.
///
/// # Errors
/// In words for the user, when the car cannot be shown, or there is no display or no driver to draw with.
pub fn run(start: Start) -> Result<(), String> {
    // What is missing on a machine shows as a panic deep in the window or graphics library.
    let reason = Arc::new(Mutex::new(String::new()));
    let heard = reason.clone();
    let before = panic::take_hook();
    panic::set_hook(Box::new(move |info| {
        let mut first = heard.lock().unwrap_or_else(PoisonError::into_inner);
        if first.is_empty() {
            *first = info.payload_as_str().unwrap_or("it stopped without saying why").trim().to_owned();
        }
    }));
    let ran = panic::catch_unwind(AssertUnwindSafe(|| open(start)));
    panic::set_hook(before);
    ran.unwrap_or_else(|_| Err(plainly(&reason.lock().unwrap_or_else(PoisonError::into_inner))))
}

/// What the window and graphics libraries say when a machine lacks something, in words for the user.
fn plainly(panic: &str) -> String {
    if panic.contains("event loop") {
        "no window could be opened on this display".to_owned()
    } else if panic.contains("Unable to find a GPU") {
        "no driver for Vulkan, Metal or DirectX 12 was found".to_owned()
    } else {
        panic.to_owned()
    }
}

fn open(start: Start) -> Result<(), String> {
    let desk = desk::Desk::new(start.file, start.proposal)?;
    let [width, height] = start.size;
    let mut app = App::new();
    app.insert_resource(desk)
        .add_plugins(
            DefaultPlugins
                .set(WindowPlugin {
                    primary_window: Some(Window {
                        title: "Scribeline".into(),
                        resolution: WindowResolution::new(width, height),
                        ..default()
                    }),
                    // Closing asks about unsaved changes first.
                    close_when_requested: false,
                    ..default()
                })
                .set(RenderPlugin {
                    // A picture has to be whole: it waits for its shaders, where a window shows what is ready.
                    synchronous_pipeline_compilation: start.picture.is_some(),
                    ..default()
                }),
        )
        .add_plugins(EguiPlugin::default())
        .insert_resource(panels::Units(start.units))
        .add_plugins((
            desk::plugin,
            posing::plugin,
            asking::plugin,
            camera::plugin,
            scene::plugin,
            pace::plugin,
            plotting::plugin,
            mapping::plugin,
            bracing::plugin,
            beside::plugin,
            comparing::plugin,
            bettering::plugin,
            filming::plugin,
            printing::plugin,
        ))
        .add_plugins((
            panels::plugin,
            overlay::plugin,
            marking::plugin,
            laying::plugin,
            loading::plugin,
            files::plugin,
            keys::plugin,
            picture::plugin,
            pointer::plugin,
        ));
    let only_picture = start.picture.is_some();
    if let Some(path) = start.picture {
        app.insert_resource(picture::OnlyPicture(path)).add_systems(Update, picture::take_and_leave);
    }
    match app.run() {
        AppExit::Success => Ok(()),
        AppExit::Error(_) if only_picture => Err("the picture could not be written".to_owned()),
        AppExit::Error(_) => Err("the window ended with an error".to_owned()),
    }
}
