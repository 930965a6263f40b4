//! Pictures of the window, as PNG.

use std::path::{Path, PathBuf};

use bevy::prelude::*;
use bevy::render::view::screenshot::{Screenshot, ScreenshotCaptured};

use super::asking::Asking;
use super::desk::Notice;

pub(super) fn plugin(app: &mut App) {
    app.add_message::<TakePicture>().add_systems(Update, take);
}

/// Takes a picture of the window and writes it.
#[derive(Message, Debug, Clone)]
pub struct TakePicture(pub PathBuf);

fn take(mut wishes: MessageReader<TakePicture>, mut commands: Commands) {
    for TakePicture(path) in wishes.read() {
        let path = path.clone();
        commands.spawn(Screenshot::primary_window()).observe(
            move |shot: On<ScreenshotCaptured>, mut notice: ResMut<Notice>| {
                if let Err(why) = write(&shot.image, &path) {
                    notice.0 = Some(format!("The picture could not be written to {}: {why}", path.display()));
                }
            },
        );
    }
}

fn write(image: &Image, path: &Path) -> Result<(), String> {
    // The window has no see-through parts: only its colours are kept.
    let picture = image.clone().try_into_dynamic().map_err(|e| e.to_string())?.to_rgb8();
    picture.save(path).map_err(|e| e.to_string())
}

/// For a call that only wants a picture: takes it once everything is on the window, then closes.
#[derive(Resource, Debug)]
pub struct OnlyPicture(pub PathBuf);

/// Frames between the answers' arrival and the picture: shaders, fonts and views settle meanwhile.
const SETTLE: u32 = 12;

pub(super) fn take_and_leave(
    only: Res<OnlyPicture>,
    asking: Res<Asking>,
    mut frames: Local<u32>,
    mut commands: Commands,
) {
    if asking.working() || *frames > SETTLE {
        return;
    }
    *frames += 1;
    if *frames == SETTLE {
        let path = only.0.clone();
        commands.spawn(Screenshot::primary_window()).observe(
            move |shot: On<ScreenshotCaptured>, mut exit: MessageWriter<AppExit>| {
                exit.write(match write(&shot.image, &path) {
                    Ok(()) => AppExit::Success,
                    Err(why) => {
                        error!("the picture could not be written to {}: {why}", path.display());
                        AppExit::error()
                    }
                });
            },
        );
    }
}
