//! How often the window is drawn: as often as it can while something moves, and seldom while nothing does, so that a
//! laptop in a shop stays cool and the answers have the processor to themselves.

use std::time::Duration;

use bevy::input::InputSystems;
use bevy::prelude::*;
use bevy::window::WindowEvent;
use bevy::winit::{UpdateMode, WinitSettings};

use super::asking::Asking;
use super::comparing::Comparing;
use super::filming::Filming;
use super::picture::OnlyPicture;
use super::posing::Posing;
use super::printing::Printing;

pub(super) fn plugin(app: &mut App) {
    let slow = UpdateMode::reactive(SLOW);
    app.insert_resource(WinitSettings { focused_mode: slow, unfocused_mode: slow })
        .add_systems(PreUpdate, set_pace.after(InputSystems));
}

const FAST: Duration = Duration::from_millis(16);
const WORKING: Duration = Duration::from_millis(60);
const SLOW: Duration = Duration::from_millis(1000);
/// After the last event views glide on and menus fade for this long, s.
const AFTERGLOW: f32 = 0.8;

fn set_pace(
    mut events: MessageReader<WindowEvent>,
    time: Res<Time<Real>>,
    posing: Res<Posing>,
    (asking, comparing, printing, filming): (Res<Asking>, Res<Comparing>, Res<Printing>, Res<Filming>),
    only_picture: Option<Res<OnlyPicture>>,
    mut settings: ResMut<WinitSettings>,
    mut quiet: Local<f32>,
) {
    *quiet = if events.read().next().is_some() { 0.0 } else { *quiet + time.delta_secs() };
    let working = asking.working() || comparing.working() || printing.working();
    let every =
        match (posing.playing || filming.done().is_some() || *quiet < AFTERGLOW || only_picture.is_some(), working) {
            (true, _) => FAST,
            (false, true) => WORKING,
            (false, false) => SLOW,
        };
    let pace = UpdateMode::reactive(every);
    if settings.focused_mode != pace {
        *settings = WinitSettings { focused_mode: pace, unfocused_mode: pace };
    }
}
