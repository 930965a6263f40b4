//! The ground: a floor marked out with a quiet grid, a line every 100 mm and a heavier one every 500.

use bevy::camera::visibility::RenderLayers;
use bevy::prelude::*;

use super::finish::Finish;
use super::layer::{Ink, Layer};
use crate::car::Car;
use crate::viewer::beside::OTHER;
use crate::viewer::camera::Eye;
use crate::viewer::desk::Desk;

pub(super) fn plugin(app: &mut App) {
    app.add_systems(Update, (lay, look_through_from_below).chain());
}

/// From the middle of the front axle to the edge, mm.
const HALF: i32 = 2000;

/// How far it reaches behind the front axle, mm: under the whole of what is described.
fn behind(car: &Car) -> i32 {
    let wheelbase = if car.rear.is_some() { car.wheelbase } else { 0.0 };
    // To whole squares of the grid.
    HALF - 500 + ((wheelbase / 500.0).ceil() as i32 + 1) * 500
}

fn lay(
    mut commands: Commands,
    desk: Res<Desk>,
    old: Query<Entity, With<Whole>>,
    mut laid: Local<Option<i32>>,
    mut inks: ResMut<Assets<GizmoAsset>>,
    mut meshes: ResMut<Assets<Mesh>>,
    mut materials: ResMut<Assets<Finish>>,
) {
    let behind = behind(&desk.looked_at().car);
    if laid.replace(behind) == Some(behind) {
        return;
    }
    old.iter().for_each(|e| commands.entity(e).despawn());
    let whole = commands.spawn((Transform::default(), Visibility::default(), Layer::Ground, Whole)).id();
    let (fine, heavy) = (Color::srgb_u8(0xdf, 0xd8, 0xc9), Color::srgb_u8(0xc6, 0xbd, 0xaa));
    for (every, colour, width) in [(100, fine, 1.0), (500, heavy, 1.2)] {
        let mut grid = GizmoAsset::default();
        let (back, half) = (-behind as f32, HALF as f32);
        for at in (-behind..=HALF).step_by(every).map(|at| at as f32) {
            grid.line(Vec3::new(at, -half, 0.0), Vec3::new(at, half, 0.0), colour);
        }
        for at in (-HALF..=HALF).step_by(every).map(|at| at as f32) {
            grid.line(Vec3::new(back, at, 0.0), Vec3::new(half, at, 0.0), colour);
        }
        let line_config = GizmoLineConfig { width, ..default() };
        commands.spawn((
            Ink(inks.add(grid)),
            Gizmo { line_config, ..default() },
            Visibility::default(),
            RenderLayers::from_layers(&[0, OTHER]),
            Floor,
            ChildOf(whole),
        ));
    }
    commands.spawn((
        Mesh3d(meshes.add(Plane3d::new(Vec3::Z, Vec2::new((HALF + behind) as f32, 2.0 * HALF as f32) / 2.0))),
        MeshMaterial3d(materials.add(Finish::from(Color::srgb_u8(0xe9, 0xe3, 0xd6)))),
        Transform::from_xyz((HALF - behind) as f32 / 2.0, 0.0, -2.0),
        RenderLayers::from_layers(&[0, OTHER]),
        Floor,
        ChildOf(whole),
    ));
}

/// All of it.
#[derive(Component)]
struct Whole;

/// What hides a car that is looked at from below.
#[derive(Component)]
struct Floor;

fn look_through_from_below(eye: Single<&Transform, With<Eye>>, mut floor: Query<&mut Visibility, With<Floor>>) {
    let shows = if eye.translation.z > 0.0 { Visibility::Inherited } else { Visibility::Hidden };
    for mut visibility in &mut floor {
        visibility.set_if_neq(shows);
    }
}
