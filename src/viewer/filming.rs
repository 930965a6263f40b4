//! The sweep as a row of pictures of the stage, for a film or a flick book.

use std::io::Cursor;
use std::path::{Path, PathBuf};

use bevy::image::ImageFormat;
use bevy::prelude::*;
use bevy::render::view::screenshot::{Screenshot, ScreenshotCaptured};
use bevy::window::PrimaryWindow;

use super::camera::Stage;
use super::desk::{Desk, Notice};
use super::posing::{Posing, swept};
use crate::motion::Pose;

pub(super) fn plugin(app: &mut App) {
    app.init_resource::<Filming>().add_systems(Update, film);
}

/// Pictures of one sweep: 24 each of bump and droop, roll, and steering.
pub const COUNT: u32 = 72;
/// Frames that a pose is given before its picture: smooth edges wait until nothing moves.
const SETTLE: u32 = 6;

/// The pictures on their way.
#[derive(Resource, Debug, Default)]
pub struct Filming(Option<Film>);

#[derive(Debug)]
struct Film {
    folder: PathBuf,
    /// What every picture's name begins with.
    name: String,
    /// The car that it is of, by the desk's edition.
    edition: u64,
    /// The pose that the car stood in before.
    pose: Pose,
    /// Whether no more are to be taken.
    ends: bool,
    /// The one that is taken next, from 0.
    next: u32,
    /// Frames since the car was stood for it.
    frames: u32,
    /// Whether it is asked for and not yet here.
    asked: bool,
}

impl Filming {
    /// Starts to take them into a folder, which is made where it is not there.
    pub fn start(&mut self, folder: PathBuf, name: String, desk: &Desk, posing: &Posing) {
        let (edition, pose) = (desk.edition, posing.pose);
        // Pictures of another go stay.
        let taken = |name: &String| picture(&folder, name, 0).exists();
        let names = (2..).map(|go| format!("{name}-go-{go}"));
        let name = std::iter::once(name.clone()).chain(names).find(|name| !taken(name)).unwrap_or_default();
        self.0 = Some(Film { folder, name, edition, pose, ends: false, next: 0, frames: 0, asked: false });
    }

    /// Leaves off; the pictures that are there stay.
    pub fn stop(&mut self) {
        if let Some(film) = &mut self.0 {
            film.ends = true;
        }
    }

    /// How many there are by now, while they are being taken.
    pub fn done(&self) -> Option<u32> {
        self.0.as_ref().map(|film| film.next)
    }
}

fn film(
    mut filming: ResMut<Filming>,
    mut posing: ResMut<Posing>,
    desk: Res<Desk>,
    stage: Res<Stage>,
    window: Single<&Window, With<PrimaryWindow>>,
    mut commands: Commands,
) {
    let Some(film) = &mut filming.0 else { return };
    // A picture that is on its way is waited for: another film is not to get it.
    if (film.ends || film.next == COUNT || film.edition != desk.edition) && !film.asked {
        posing.take(film.pose);
        filming.0 = None;
        return;
    }
    let pose = swept(desk.looked_at(), f64::from(film.next) / f64::from(COUNT));
    if posing.pose != pose || posing.playing {
        posing.take(pose);
        film.frames = 0;
    }
    film.frames += 1;
    if film.frames < SETTLE || film.asked {
        return;
    }
    film.asked = true;
    let path = picture(&film.folder, &film.name, film.next);
    let (place, size) = stage.pixels(*window);
    commands.spawn(Screenshot::primary_window()).observe(
        move |shot: On<ScreenshotCaptured>, mut filming: ResMut<Filming>, mut notice: ResMut<Notice>| {
            let Some(film) = &mut filming.0 else { return };
            (film.next, film.frames, film.asked) = (film.next + 1, 0, false);
            if let Err(why) = write(&shot.image, [place.x, place.y, size.x, size.y], &path) {
                filming.stop();
                notice.0 = Some(format!("The picture could not be written to {}: {why}", path.display()));
            }
        },
    );
}

/// Where a picture goes, counted from 0.
fn picture(folder: &Path, name: &str, nth: u32) -> PathBuf {
    folder.join(format!("{name}-{:02}.png", nth + 1))
}

/// Writes a piece of the window: from the left, from the top, width and height, pixels.
fn write(image: &Image, [x, y, width, height]: [u32; 4], path: &Path) -> Result<(), String> {
    let whole = image.clone().try_into_dynamic().map_err(|e| e.to_string())?;
    let mut bytes = Cursor::new(Vec::new());
    let piece = whole.crop_imm(x, y, width, height).to_rgb8();
    let png = ImageFormat::Png.as_image_crate_format().ok_or("this program was built without PNG")?;
    piece.write_to(&mut bytes, png).map_err(|e| e.to_string())?;
    if let Some(folder) = path.parent() {
        std::fs::create_dir_all(folder).map_err(|e| e.to_string())?;
    }
    crate::car::file::write(path, bytes.into_inner()).map_err(|e| e.what().to_owned())
}
