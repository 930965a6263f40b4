//! The tyres' keep-out as a translucent solid: worked out beside the window, and only while it is shown.

use bevy::prelude::*;
use bevy::tasks::futures::check_ready;
use bevy::tasks::{AsyncComputeTaskPool, Task};
use rayon::prelude::*;

use super::finish::Finish;
use super::frame::v;
use super::layer::{Hidden, Layer};
use super::on_body::OnBody;
use super::shape::Shape;
use crate::space::{Surface, keep_out};
use crate::viewer::asking::Asking;
use crate::viewer::theme;

pub(super) fn plugin(app: &mut App) {
    app.init_resource::<Working>().add_systems(Update, (set_off, draw).chain());
}

/// The surfaces on their way, and the edition of the car that they are of.
#[derive(Resource, Default)]
struct Working {
    of: Option<u64>,
    task: Option<Task<Vec<Surface>>>,
}

/// A wheel's keep-out.
#[derive(Component)]
struct KeepOut;

/// Cells of the surface, mm.
const CELL: f64 = 16.0;

fn set_off(asking: Res<Asking>, hidden: Res<Hidden>, mut working: ResMut<Working>) {
    let Some(answered) = asking.answers().filter(|_| hidden.shows(Layer::KeepOut)) else { return };
    if working.of == asking.edition() || asking.working() {
        return;
    }
    let study = answered.study.clone();
    working.of = asking.edition();
    working.task = Some(AsyncComputeTaskPool::get().spawn(async move {
        let grown = study.car.wanted.tyre_to_body;
        study.sweeps.par_iter().map(|sweep| keep_out(&study.parts, sweep, grown, CELL)).collect()
    }));
}

fn draw(
    mut commands: Commands,
    mut working: ResMut<Working>,
    old: Query<Entity, With<KeepOut>>,
    mut meshes: ResMut<Assets<Mesh>>,
    mut materials: ResMut<Assets<Finish>>,
) {
    let Some(surfaces) = working.task.as_mut().and_then(check_ready) else { return };
    working.task = None;
    old.iter().for_each(|e| commands.entity(e).despawn());
    let finish = materials.add(Finish::from(theme::scene(theme::BLUE).with_alpha(0.30)));
    for surface in surfaces {
        let places = surface.corners.iter().map(|p| v(*p));
        let shape = Shape::smooth(places, surface.normals.iter().map(|n| v(*n)), surface.triangles.concat());
        commands.spawn((
            Mesh3d(meshes.add(shape.mesh())),
            MeshMaterial3d(finish.clone()),
            KeepOut,
            OnBody,
            Layer::KeepOut,
        ));
    }
}
