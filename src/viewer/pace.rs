//! How often the window is drawn: as often as it can while something moves, and seldom while nothing does, so that a
//! laptop in a shop stays cool and the answers have the processor to themselves.

use std::time::Duration;

use bevy::ecs::system::SystemParam;
use bevy::prelude::*;
use bevy::window::WindowEvent;
use bevy::winit::{UpdateMode, WinitSettings};

use super::asking::Asking;
use super::bettering::Bettering;
use super::bracing::Bracing;
use super::comparing::Comparing;
use super::filming::Filming;
use super::picture::OnlyPicture;
use super::posing::Posing;
use super::printing::Printing;

pub(super) fn plugin(app: &mut App) {
    let slow = UpdateMode::reactive(SLOW);
    app.insert_resource(WinitSettings { focused_mode: slow, unfocused_mode: slow })
        // When all that this frame brings is known.
        .add_systems(Last, set_pace);
}

const FAST: Duration = Duration::from_millis(16);
const WORKING: Duration = Duration::from_millis(60);
const SLOW: Duration = Duration::from_millis(1000);
/// After the last event views glide on and menus fade for this long, s.
const AFTERGLOW: f32 = 0.8;

/// What answers come from.
#[derive(SystemParam)]
struct Answering<'w> {
    asking: Res<'w, Asking>,
    comparing: Res<'w, Comparing>,
    printing: Res<'w, Printing>,
    bettering: Res<'w, Bettering>,
    bracing: Res<'w, Bracing>,
}

impl Answering<'_> {
    fn working(&self) -> bool {
        self.asking.working() || self.comparing.working() || self.printing.working()
    }

    fn heard(&self) -> u64 {
        let own = self.asking.heard + self.comparing.heard + self.printing.heard;
        own + self.bettering.heard + self.bracing.heard
    }
}

fn set_pace(
    mut events: MessageReader<WindowEvent>,
    time: Res<Time<Real>>,
    posing: Res<Posing>,
    (answering, filming): (Answering, Res<Filming>),
    only_picture: Option<Res<OnlyPicture>>,
    mut settings: ResMut<WinitSettings>,
    (mut quiet, mut heard): (Local<f32>, Local<u64>),
) {
    // What an answer brings is drawn more than once: letters that are new are there from the next frame on.
    let new = std::mem::replace(&mut *heard, answering.heard()) != answering.heard();
    *quiet = if events.read().next().is_some() || new { 0.0 } else { *quiet + time.delta_secs() };
    let every = match (
        posing.playing || filming.done().is_some() || *quiet < AFTERGLOW || only_picture.is_some(),
        answering.working(),
    ) {
        (true, _) => FAST,
        (false, true) => WORKING,
        (false, false) => SLOW,
    };
    let pace = UpdateMode::reactive(every);
    if settings.focused_mode != pace {
        *settings = WinitSettings { focused_mode: pace, unfocused_mode: pace };
    }
}
