//! What stands on the stage.

mod car;
mod finish;
pub mod frame;
mod ground;
mod keep_out;
pub mod layer;
mod lit;
mod on_body;
mod parts;
mod scribed;
mod shape;
mod upright;
mod wheel;

use bevy::prelude::*;

pub(super) fn plugin(app: &mut App) {
    app.add_plugins((
        finish::plugin,
        on_body::plugin,
        keep_out::plugin,
        layer::plugin,
        ground::plugin,
        car::plugin,
        lit::plugin,
        scribed::plugin,
    ));
}
