//! Pictures of the window, as PNG.

use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};

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

/// Frames between the answers' arrival and the first picture, and between two: views settle meanwhile.
const SETTLE: u32 = 8;
/// Pictures that are taken at most.
const MOST: u32 = 40;

/// The pictures taken so far: when two after one another are alike, nothing is still on its way.
#[derive(Default)]
pub(super) struct Tries {
    frames: u32,
    taken: u32,
    last: Arc<Mutex<Option<Image>>>,
}

/// Whether two pictures differ in next to nothing: edges are smoothed anew in each frame.
fn alike(a: &Image, b: &Image) -> bool {
    let (Some(a), Some(b)) = (&a.data, &b.data) else { return false };
    a.len() == b.len() && a.iter().zip(b).filter(|(a, b)| a.abs_diff(**b) > 8).count() * 1000 < a.len()
}

pub(super) fn take_and_leave(
    only: Res<OnlyPicture>,
    asking: Res<Asking>,
    mut tries: Local<Tries>,
    mut commands: Commands,
) {
    if asking.working() {
        return;
    }
    tries.frames += 1;
    if !tries.frames.is_multiple_of(SETTLE) || tries.taken == MOST {
        return;
    }
    tries.taken += 1;
    let (path, last, enough) = (only.0.clone(), Arc::clone(&tries.last), tries.taken == MOST);
    commands.spawn(Screenshot::primary_window()).observe(
        move |shot: On<ScreenshotCaptured>, mut exit: MessageWriter<AppExit>| {
            let before = last.lock().unwrap_or_else(PoisonError::into_inner).replace(shot.image.clone());
            if !enough && before.is_none_or(|before| !alike(&before, &shot.image)) {
                return;
            }
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
