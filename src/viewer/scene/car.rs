//! The car, and beside or behind a proposal what it is compared with.

use std::collections::HashMap;

use bevy::camera::visibility::RenderLayers;
use bevy::prelude::*;

use super::finish::Finish;
use super::frame::{body, turn, v};
use super::layer::{Ink, Layer};
use super::parts::{self, Moves, Stuff, triangle};
use crate::car::{Hub, PointName};
use crate::motion::{CornerPose, Posed};
use crate::space::{Role, Spot};
use crate::viewer::beside::{Beside, OTHER, Way};
use crate::viewer::desk::{Built, Desk};
use crate::viewer::posing::Posing;

pub(super) fn plugin(app: &mut App) {
    app.add_systems(Startup, mix_finishes)
        .add_systems(PostUpdate, (draw, place).chain().before(TransformSystems::Propagate));
}

/// The car, or what it is compared with: everything drawn of it hangs on this.
#[derive(Component, Debug, Clone, Copy, PartialEq, Eq)]
enum Root {
    LookedAt,
    Compared,
}

/// What a drawn part is made of and which it is, to give it back its finish when it stops being lit up.
#[derive(Component, Debug, Clone, Copy)]
pub struct Drawn {
    /// Finish.
    pub stuff: Stuff,
    /// Which part, where gaps are measured to it.
    pub role: Option<Role>,
}

/// Finishes, mixed once.
#[derive(Resource, Debug)]
pub struct Finishes {
    of: HashMap<Stuff, Handle<Finish>>,
    ghost: Handle<Finish>,
}

impl Finishes {
    /// The finish of a stuff.
    pub fn of(&self, stuff: Stuff) -> Handle<Finish> {
        self.of[&stuff].clone()
    }
}

fn mix_finishes(mut commands: Commands, mut materials: ResMut<Assets<Finish>>) {
    let mut mix = |rgb: u32, alpha: f32| {
        let [_, r, g, b] = rgb.to_be_bytes();
        materials.add(Finish::from(Color::srgb_u8(r, g, b).with_alpha(alpha)))
    };
    let of = HashMap::from(Stuff::ALL.map(|stuff| (stuff, mix(stuff.colour(), stuff.alpha() as f32))));
    let ghost = mix(0x8f98a6, 0.10);
    commands.insert_resource(Finishes { of, ghost });
}

fn draw(
    mut commands: Commands,
    (desk, beside): (Res<Desk>, Res<Beside>),
    finishes: Res<Finishes>,
    mut meshes: ResMut<Assets<Mesh>>,
    mut inks: ResMut<Assets<GizmoAsset>>,
    roots: Query<Entity, With<Root>>,
    mut drawn: Local<Option<(u64, bool)>>,
) {
    // Looked at with an eye of its own it is as solid as the other.
    let behind = beside.way == Way::Behind;
    if *drawn == Some((desk.edition, behind)) {
        return;
    }
    *drawn = Some((desk.edition, behind));
    roots.iter().for_each(|root| commands.entity(root).despawn());
    let ink = Color::srgba_u8(0x21, 0x25, 0x2a, 0xc0);
    let faint = Color::srgba_u8(0x5a, 0x6a, 0x86, 0x90);
    let mut spawn = |root: Root, built: &Built| {
        let ghost = root == Root::Compared && behind;
        let mut whole = commands.spawn((root, Transform::default(), Visibility::default()));
        if ghost {
            whole.insert(Layer::Ghost);
        }
        whole.with_children(|whole| {
            for part in parts::of(built) {
                if ghost && part.layer == Layer::Points {
                    continue;
                }
                let material = if ghost { finishes.ghost.clone() } else { finishes.of(part.stuff) };
                let edges = part.shape.ink(if ghost { faint } else { ink });
                let line_config = GizmoLineConfig { width: if ghost { 0.8 } else { 1.1 }, ..default() };
                let mut spawned = whole.spawn((
                    Mesh3d(meshes.add(part.shape.mesh())),
                    MeshMaterial3d(material),
                    Ink(inks.add(edges)),
                    Gizmo { line_config, depth_bias: -0.0008, ..default() },
                    part.moves,
                    part.layer,
                ));
                if root == Root::Compared && !behind {
                    spawned.insert(RenderLayers::layer(OTHER));
                } else if !ghost {
                    spawned.insert(Drawn { stuff: part.stuff, role: part.role });
                }
            }
        });
    };
    spawn(Root::LookedAt, desk.looked_at());
    if desk.proposal().is_some() {
        spawn(Root::Compared, desk.compared());
    }
}

fn place(
    posing: Res<Posing>,
    desk: Res<Desk>,
    mut roots: Query<(&Root, &mut Transform, &Children)>,
    new: Query<(), Added<Root>>,
    mut moving: Query<(&Moves, &mut Transform), Without<Root>>,
    mut placed: Local<Option<(u64, u64)>>,
) {
    if !new.is_empty() {
        *placed = None;
    }
    let now = (posing.edition, desk.edition);
    if *placed == Some(now) {
        return;
    }
    *placed = Some(now);
    for (root, mut at, children) in &mut roots {
        let (built, stands) = match root {
            Root::LookedAt => (desk.looked_at(), &posing.stands),
            Root::Compared => (desk.compared(), &posing.ghost),
        };
        let Some(posed) = stands else {
            // What cannot take this pose is not to be seen in another one.
            *at = Transform::from_scale(Vec3::ZERO);
            continue;
        };
        *at = body(&built.car, &posed.pose);
        let mut parts = moving.iter_many_mut(children);
        while let Some((moves, mut at)) = parts.fetch_next() {
            if let Some(new) = placement(*moves, built, posed) {
                at.set_if_neq(new);
            }
        }
    }
}

/// Where a part is in a pose, in the body's frame.
fn placement(moves: Moves, built: &Built, posed: &Posed) -> Option<Transform> {
    let spot = |hub: Hub, spot: Spot| {
        let pose = posed.wheel(hub)?;
        spot.at(built.gear.of(pose), pose).map(v)
    };
    // The wheel centre is a point of whatever carries the wheel.
    let with = |pose: &CornerPose, rest: Quat| Transform {
        translation: v(pose.wheel_centre),
        rotation: turn(pose.placement().turn) * rest,
        scale: Vec3::ONE,
    };
    Some(match moves {
        Moves::Still => Transform::IDENTITY,
        Moves::Span(hub, [from, to]) => span(spot(hub, from)?, spot(hub, to)?),
        Moves::Plate(hub, [a, b, c]) => triangle([spot(hub, a)?, spot(hub, b)?, spot(hub, c)?]),
        Moves::At(hub, at) => Transform::from_translation(spot(hub, at)?),
        Moves::Upright(hub) => with(posed.wheel(hub)?, Quat::IDENTITY),
        Moves::Wheel(hub) => {
            let axle = built.car.axle(hub.axle)?;
            with(posed.wheel(hub)?, Quat::from_rotation_arc(Vec3::Y, v(axle.spin_axis(hub.side))))
        }
        Moves::Rack => {
            let [left, right] = posed.front.each_ref().map(|pose| spot(pose.hub, Spot::At(PointName::TieRodInner)));
            span(right?, left?)
        }
    })
}

/// Carries y from 0 to 1 onto the line between two places.
fn span(from: Vec3, to: Vec3) -> Transform {
    let along = to - from;
    let rotation = Quat::from_rotation_arc(Vec3::Y, along.normalize_or(Vec3::Y));
    Transform { translation: from, rotation, scale: Vec3::new(1.0, along.length(), 1.0) }
}
