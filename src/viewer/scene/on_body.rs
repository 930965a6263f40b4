//! What hangs on the body as it stands, beside the car's own parts.

use bevy::prelude::*;

use crate::viewer::camera::{Eye, Sight};

pub(super) fn plugin(app: &mut App) {
    app.add_systems(PostUpdate, follow.before(TransformSystems::Propagate));
}

/// Moves with the body.
#[derive(Component)]
pub struct OnBody;

fn follow(sight: Sight, mut hung: Query<&mut Transform, (With<OnBody>, Without<Eye>)>) {
    let body = sight.body();
    for mut at in &mut hung {
        at.set_if_neq(body);
    }
}
