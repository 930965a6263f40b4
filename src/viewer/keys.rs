//! Keyboard shortcuts, in the one list that the help window shows.

use bevy::ecs::system::SystemParam;
use bevy::input::keyboard::{Key, KeyboardInput};
use bevy::prelude::*;
use bevy_egui::input::EguiWantsInput;

use super::asking::Question;
use super::camera::Look;
use super::desk::{Command, Desk, Notice};
use super::files::{FileWish, Files};
use super::laying::Laying;
use super::marking::Marking;
use super::panels::{Help, Units};
use super::posing::Posing;
use super::scene::layer::{Hidden, Layer};
use crate::car::Shown;
use crate::motion::Pose;

pub(super) fn plugin(app: &mut App) {
    // While a dialog or a question stands in front, keys are its own.
    app.add_systems(Update, press.run_if(|files: Res<Files>| !files.in_front()));
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
            ("1, 2, 3", "Three-quarter, front, side"),
            ("4, 5", "Plan, under"),
            ("6, 7", "Front wheel well, rear"),
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
            ("D, O, P", "Change, loads, sheets"),
            ("V, A, T, W", "Curves, alignment, stance, wheels"),
            ("S, I, E", "Springs, ride, brakes"),
            ("K", "Keep-out"),
            ("M", "Scans"),
            ("B", "What a proposal is compared with, behind it"),
            ("U", "Millimetres or inches"),
            ("Esc", "Let go of a point, or of what is tried"),
            ("F1", "This list"),
        ],
    ),
];

/// All that keys act on.
#[derive(SystemParam)]
struct Hands<'w> {
    desk: Res<'w, Desk>,
    commands: MessageWriter<'w, Command>,
    files: MessageWriter<'w, FileWish>,
    looks: MessageWriter<'w, Look>,
    posing: ResMut<'w, Posing>,
    question: ResMut<'w, Question>,
    hidden: ResMut<'w, Hidden>,
    units: ResMut<'w, Units>,
    help: ResMut<'w, Help>,
    marking: ResMut<'w, Marking>,
    laying: ResMut<'w, Laying>,
    notice: ResMut<'w, Notice>,
}

/// The control keys that are held.
#[derive(Default)]
struct Held {
    control: bool,
    shift: bool,
    alt: bool,
}

/// Reads the keys in the order in which they went down and up: however slowly the window is drawn, a quick Ctrl+Z is
/// one. By what is printed on them, so that keyboards of every country do.
fn press(mut keys: MessageReader<KeyboardInput>, mut held: Local<Held>, wants: Res<EguiWantsInput>, mut hands: Hands) {
    for event in keys.read() {
        let down = event.state.is_pressed();
        match &event.logical_key {
            Key::Control | Key::Super => held.control = down,
            Key::Shift => held.shift = down,
            Key::Alt => held.alt = down,
            _ if !down || event.repeat || wants.wants_any_keyboard_input() => {}
            // What went wrong is read first.
            Key::Escape => hands.leave_off(),
            _ if hands.notice.0.is_some() => {}
            Key::Character(letter) => {
                let letter = letter.to_lowercase();
                if held.control {
                    hands.with_control(&letter, held.shift);
                } else if !held.alt {
                    hands.plain(&letter);
                }
            }
            Key::Space => hands.posing.play(),
            Key::F1 => hands.help.0 = !hands.help.0,
            _ => {}
        }
    }
}

impl Hands<'_> {
    fn with_control(&mut self, key: &str, shift: bool) {
        match key {
            "z" if shift => drop(self.commands.write(Command::Redo)),
            "z" => drop(self.commands.write(Command::Undo)),
            "y" => drop(self.commands.write(Command::Redo)),
            "s" if shift => drop(self.files.write(FileWish::SaveAs)),
            "s" => drop(self.files.write(FileWish::Save)),
            "o" => drop(self.files.write(FileWish::Open)),
            "p" => drop(self.files.write(FileWish::Picture)),
            _ => {}
        }
    }

    fn plain(&mut self, key: &str) {
        if let Some((look, ..)) = Look::ALL.into_iter().find(|(_, _, own)| own.eq_ignore_ascii_case(key)) {
            self.looks.write(look);
        }
        match key {
            "r" => self.posing.take(Pose::default()),
            "[" => self.steer(1.0),
            "]" => self.steer(-1.0),
            "g" => *self.question = Question::Gaps,
            "l" => *self.question = Question::Lock,
            "c" => *self.question = Question::Cut,
            "v" => *self.question = Question::Curves,
            "a" => *self.question = Question::Alignment,
            "s" => *self.question = Question::Springs,
            "t" => *self.question = Question::Stance,
            "d" => *self.question = Question::Change,
            "o" => *self.question = Question::Loads,
            "p" => *self.question = Question::Sheets,
            "w" => *self.question = Question::Wheels,
            "i" => *self.question = Question::Ride,
            "e" => *self.question = Question::Brakes,
            "m" => self.laying.open = !self.laying.open,
            "k" => self.hidden.toggle(Layer::KeepOut),
            "b" => self.hidden.toggle(Layer::Ghost),
            "u" => self.units.0 = if self.units.0 == Shown::Mm { Shown::In } else { Shown::Mm },
            _ => {}
        }
    }

    /// An eighth of the steering travel to the left, or to the right.
    fn steer(&mut self, left: f64) {
        let built = self.desk.looked_at();
        let (way, travel) = (left * built.rack_for_left, built.steering_travel());
        let pose = self.posing.pose;
        self.posing.take(Pose { rack: (pose.rack + way * travel / 8.0).clamp(-travel, travel), ..pose });
    }

    /// Closes what lies over the stage; else lets go of what is held; else of what is chosen.
    fn leave_off(&mut self) {
        if self.notice.0.take().is_some() || std::mem::take(&mut self.help.0) {
            return;
        }
        if self.laying.picking.take().is_some() {
            return;
        }
        if self.marking.let_go() || self.desk.trying() {
            self.commands.write(Command::StopTrying);
        }
    }
}
