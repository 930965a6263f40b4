//! Turning the view with a pointer that only says where it is.
//!
//! The camera follows raw mouse motion. A pen, a touch screen, a remote desktop or a virtual machine sends none: then the
//! pointer's own moves stand in for it.

use bevy::input::InputSystems;
use bevy::input::mouse::{AccumulatedMouseMotion, MouseMotion};
use bevy::prelude::*;
use bevy::window::CursorMoved;

pub(super) fn plugin(app: &mut App) {
    app.add_systems(PreUpdate, stand_in.after(InputSystems));
}

/// A mouse that moved this long ago still counts as there, s.
const STILL_THERE: f32 = 1.0;

fn stand_in(
    mut moved: MessageReader<CursorMoved>,
    raw: Res<AccumulatedMouseMotion>,
    time: Res<Time<Real>>,
    mut without: Local<f32>,
    mut motion: MessageWriter<MouseMotion>,
) {
    *without = if raw.delta == Vec2::ZERO { *without + time.delta_secs() } else { 0.0 };
    let delta: Vec2 = moved.read().filter_map(|m| m.delta).sum();
    if *without > STILL_THERE && delta != Vec2::ZERO {
        motion.write(MouseMotion { delta });
    }
}
