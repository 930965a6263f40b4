//! What stands on the stage.

mod car;
mod finish;
pub mod frame;
mod ground;
pub mod layer;
mod lit;
mod parts;
mod scribed;
mod shape;

use bevy::prelude::*;

pub(super) fn plugin(app: &mut App) {
    app.add_plugins((finish::plugin, layer::plugin, ground::plugin, car::plugin, lit::plugin, scribed::plugin));
}
