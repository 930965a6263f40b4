//! The ground: a floor marked out with a quiet grid, a line every 100 mm and a heavier one every 500.

use bevy::prelude::*;

use super::finish::Finish;
use super::layer::{Ink, Layer};
use crate::viewer::camera::Eye;

pub(super) fn plugin(app: &mut App) {
    app.add_systems(Startup, lay).add_systems(Update, look_through_from_below);
}

/// From the middle to the edge, mm.
const HALF: f32 = 2000.0;

fn lay(
    mut commands: Commands,
    mut inks: ResMut<Assets<GizmoAsset>>,
    mut meshes: ResMut<Assets<Mesh>>,
    mut materials: ResMut<Assets<Finish>>,
) {
    let whole = commands.spawn((Transform::default(), Visibility::default(), Layer::Ground)).id();
    let (fine, heavy) = (Color::srgb_u8(0xdf, 0xd8, 0xc9), Color::srgb_u8(0xc6, 0xbd, 0xaa));
    for (every, colour, width) in [(100, fine, 1.0), (500, heavy, 1.2)] {
        let mut grid = GizmoAsset::default();
        let half = HALF as i32;
        for at in (-half..=half).step_by(every).map(|at| at as f32) {
            grid.line(Vec3::new(at, -HALF, 0.0), Vec3::new(at, HALF, 0.0), colour);
            grid.line(Vec3::new(-HALF, at, 0.0), Vec3::new(HALF, at, 0.0), colour);
        }
        let line_config = GizmoLineConfig { width, ..default() };
        commands.spawn((Ink(inks.add(grid)), Gizmo { line_config, ..default() }, Visibility::default(), Layer::Ground));
    }
    let whole = commands.spawn((Transform::default(), Visibility::default(), Layer::Ground)).id();
    commands.spawn((
        Mesh3d(meshes.add(Plane3d::new(Vec3::Z, Vec2::splat(HALF)))),
        MeshMaterial3d(materials.add(Finish::from(Color::srgb_u8(0xe9, 0xe3, 0xd6)))),
        Transform::from_xyz(0.0, 0.0, -2.0),
        Floor,
        ChildOf(whole),
    ));
}

/// What hides a car that is looked at from below.
#[derive(Component)]
struct Floor;

fn look_through_from_below(eye: Single<&Transform, With<Eye>>, mut floor: Query<&mut Visibility, With<Floor>>) {
    let shows = if eye.translation.z > 0.0 { Visibility::Inherited } else { Visibility::Hidden };
    for mut visibility in &mut floor {
        visibility.set_if_neq(shows);
    }
}
