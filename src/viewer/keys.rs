//! Keyboard shortcuts, in the one list that the help window shows.

use bevy::prelude::*;
use bevy_egui::input::egui_wants_any_keyboard_input;

use super::asking::Question;
use super::camera::Look;
use super::desk::{Command, Notice};
use super::files::FileWish;
use super::marking::Marking;
use super::panels::{Help, Units};
use super::posing::Posing;
use super::scene::layer::{Hidden, Layer};
use crate::car::Shown;
use crate::motion::Pose;

pub(super) fn plugin(app: &mut App) {
    app.add_systems(
        Update,
        (files_and_history, looks, poses, shows, leave_off).run_if(not(egui_wants_any_keyboard_input)),
    );
}

/// What each key does, as the help window lists it.
pub const LIST: [(&str, &[(&str, &str)]); 4] = [
    (
        "Car",
        &[
            ("Ctrl+O", "Open a car file"),
            ("Ctrl+S", "Save"),
            ("Ctrl+Shift+S", "Save as"),
            ("Ctrl+Z", "Undo"),
            ("Ctrl+Y", "Redo (Ctrl+Shift+Z too)"),
            ("Ctrl+P", "Save a picture"),
        ],
    ),
    (
        "View",
        &[
            ("1 to 6", "Three-quarter, front, side, plan, under, wheel well"),
            ("F", "Fit the car"),
            ("Left drag", "Turn"),
            ("Right drag", "Shift"),
            ("Wheel", "Nearer, further"),
        ],
    ),
    ("Pose", &[("Space", "Sweep, or stop"), ("R", "Ride height"), ("[ and ]", "Steer left, right")]),
    (
        "Show",
        &[
            ("G, L, C", "Gaps, lock, cut"),
            ("K", "Keep-out"),
            ("B", "As found behind a proposal"),
            ("U", "Millimetres or inches"),
            ("Esc", "Let go of a point"),
            ("F1", "This list"),
        ],
    ),
];

fn files_and_history(
    keys: Res<ButtonInput<KeyCode>>,
    mut commands: MessageWriter<Command>,
    mut files: MessageWriter<FileWish>,
) {
    if !keys.any_pressed([KeyCode::ControlLeft, KeyCode::ControlRight, KeyCode::SuperLeft, KeyCode::SuperRight]) {
        return;
    }
    let shift = keys.any_pressed([KeyCode::ShiftLeft, KeyCode::ShiftRight]);
    if keys.just_pressed(KeyCode::KeyZ) {
        commands.write(if shift { Command::Redo } else { Command::Undo });
    }
    if keys.just_pressed(KeyCode::KeyY) {
        commands.write(Command::Redo);
    }
    if keys.just_pressed(KeyCode::KeyS) {
        files.write(if shift { FileWish::SaveAs } else { FileWish::Save });
    }
    if keys.just_pressed(KeyCode::KeyO) {
        files.write(FileWish::Open);
    }
    if keys.just_pressed(KeyCode::KeyP) {
        files.write(FileWish::Picture);
    }
}

/// Plain keys mean nothing while a control key is held.
fn plain(keys: &ButtonInput<KeyCode>, key: KeyCode) -> bool {
    let held = [KeyCode::ControlLeft, KeyCode::ControlRight, KeyCode::SuperLeft, KeyCode::SuperRight, KeyCode::AltLeft];
    keys.just_pressed(key) && !keys.any_pressed(held)
}

fn looks(keys: Res<ButtonInput<KeyCode>>, mut looks: MessageWriter<Look>) {
    for (look, _, key, _) in Look::ALL {
        if plain(&keys, key) {
            looks.write(look);
        }
    }
}

fn poses(keys: Res<ButtonInput<KeyCode>>, mut posing: ResMut<Posing>, desk: Res<super::desk::Desk>) {
    if plain(&keys, KeyCode::Space) {
        posing.play();
    }
    if plain(&keys, KeyCode::KeyR) {
        posing.take(Pose::default());
    }
    for (key, way) in [(KeyCode::BracketLeft, 1.0), (KeyCode::BracketRight, -1.0)] {
        if plain(&keys, key) {
            let travel = desk.looked_at().car.front.rack.travel;
            let pose = posing.pose;
            posing.take(Pose { rack: (pose.rack + way * travel / 8.0).clamp(-travel, travel), ..pose });
        }
    }
}

fn shows(
    keys: Res<ButtonInput<KeyCode>>,
    mut question: ResMut<Question>,
    mut hidden: ResMut<Hidden>,
    mut units: ResMut<Units>,
    mut help: ResMut<Help>,
) {
    for (key, asked) in
        [(KeyCode::KeyG, Question::Gaps), (KeyCode::KeyL, Question::Lock), (KeyCode::KeyC, Question::Cut)]
    {
        if plain(&keys, key) {
            *question = asked;
        }
    }
    for (key, layer) in [(KeyCode::KeyK, Layer::KeepOut), (KeyCode::KeyB, Layer::Ghost)] {
        if plain(&keys, key) {
            hidden.toggle(layer);
        }
    }
    if plain(&keys, KeyCode::KeyU) {
        units.0 = if units.0 == Shown::Mm { Shown::In } else { Shown::Mm };
    }
    if plain(&keys, KeyCode::F1) {
        help.0 = !help.0;
    }
}

fn leave_off(
    keys: Res<ButtonInput<KeyCode>>,
    mut marking: ResMut<Marking>,
    mut notice: ResMut<Notice>,
    mut help: ResMut<Help>,
    mut commands: MessageWriter<Command>,
) {
    if plain(&keys, KeyCode::Escape) {
        if notice.0.take().is_some() || std::mem::take(&mut help.0) {
            return;
        }
        if marking.let_go() {
            commands.write(Command::StopTrying);
        }
    }
}
