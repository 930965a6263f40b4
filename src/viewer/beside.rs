//! A proposal and what it is compared with in one picture: one behind the other, a wipe between them, or side by side. One camera
//! moves both: where they are not in one picture, a second eye stands where the first one does and sees the other car.

use bevy::camera::primitives::Frustum;
use bevy::camera::visibility::{RenderLayers, VisibilitySystems};
use bevy::camera::{SubCameraView, Viewport};
use bevy::core_pipeline::tonemapping::Tonemapping;
use bevy::math::primitives::ViewFrustum;
use bevy::prelude::*;
use bevy::window::PrimaryWindow;

use super::asking::Question;
use super::camera::{Eye, FIELD, Stage};
use super::desk::Desk;
use super::theme;

pub(super) fn plugin(app: &mut App) {
    app.init_resource::<Beside>()
        .add_systems(Startup, open_other_eye)
        .add_systems(PostUpdate, see_both.before(TransformSystems::Propagate))
        .add_systems(
            PostUpdate,
            see_aside.after(VisibilitySystems::UpdateFrusta).before(VisibilitySystems::CheckVisibility),
        );
}

/// The layer that only the second eye sees.
pub const OTHER: usize = 1;

/// How both cars are looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Way {
    /// What is compared with stands behind, as a ghost.
    #[default]
    Behind,
    /// To the left of a line the one, to the right the other.
    Wipe,
    /// Each in its own half of the stage.
    Apart,
}

impl Way {
    /// All, with their words.
    pub const ALL: [(Self, &'static str); 3] =
        [(Self::Behind, "Behind"), (Self::Wipe, "Wipe"), (Self::Apart, "Side by side")];
}

/// How both cars are looked at, and where the wipe is.
#[derive(Resource, Debug)]
pub struct Beside {
    /// As it is seen now: behind, where nothing is compared.
    pub way: Way,
    /// As it was chosen.
    pub chosen: Way,
    /// How far across the stage the wipe is, 0 to 1.
    pub wipe: f32,
    /// Whether arrows are drawn from where points were to where they are.
    pub arrows: bool,
}

impl Default for Beside {
    fn default() -> Self {
        Self { way: Way::Behind, chosen: Way::Behind, wipe: 0.5, arrows: true }
    }
}

/// The eye that sees what is compared with.
#[derive(Component)]
struct OtherEye;

fn open_other_eye(mut commands: Commands) {
    commands.spawn((
        OtherEye,
        Camera3d::default(),
        Camera {
            order: 1,
            is_active: false,
            clear_color: ClearColorConfig::Custom(theme::scene(theme::PAPER)),
            ..default()
        },
        Tonemapping::None,
        Projection::Perspective(PerspectiveProjection { fov: FIELD, near: 50.0, far: 60_000.0, ..default() }),
        RenderLayers::layer(OTHER),
    ));
}

/// The eye that mouse and labels go by.
type FirstEye = (With<Eye>, Without<OtherEye>);

fn see_both(
    mut beside: ResMut<Beside>,
    question: Res<Question>,
    desk: Res<Desk>,
    stage: Res<Stage>,
    window: Single<&Window, With<PrimaryWindow>>,
    eye: Single<(&mut Camera, &Transform), FirstEye>,
    other: Single<(&mut Camera, &mut Transform), With<OtherEye>>,
) {
    let compares = *question == Question::Change && desk.proposal().is_some();
    let way = if compares { beside.chosen } else { Way::Behind };
    if beside.way != way {
        beside.way = way;
    }
    let (mut own, at) = eye.into_inner();
    let (mut second, mut stands) = other.into_inner();
    let halves = halves(stage.pixels(*window), &beside).filter(|_| way != Way::Behind);
    // The first eye keeps the whole stage, so that mouse and labels find their places, and is turned aside in it.
    let aside = |size: UVec2| SubCameraView { full_size: size, offset: Vec2::new(size.x as f32 / 4.0, 0.0), size };
    let sub = halves.as_ref().filter(|_| way == Way::Apart).map(|(whole, _)| aside(whole.physical_size));
    if own.sub_camera_view != sub {
        own.sub_camera_view = sub;
    }
    if second.is_active != halves.is_some() {
        second.is_active = halves.is_some();
    }
    let Some((whole, right)) = halves else { return };
    *stands = *at;
    let (full_size, size) = (whole.physical_size, right.physical_size);
    let across = match way {
        Way::Apart => full_size.x as f32 / 4.0,
        _ => (right.physical_position.x - whole.physical_position.x) as f32,
    };
    second.sub_camera_view = Some(SubCameraView { full_size, offset: Vec2::new(across, 0.0), size });
    second.viewport = Some(right);
}

/// Bevy takes an eye that sees a piece of a picture to look straight ahead, and leaves undrawn what is not there.
fn see_aside(mut eyes: Query<(&Camera, &GlobalTransform, &mut Frustum), With<Camera3d>>) {
    for (camera, at, mut frustum) in &mut eyes {
        if camera.sub_camera_view.is_some() {
            let seen = camera.clip_from_view() * at.affine().inverse();
            *frustum = Frustum(ViewFrustum::from_clip_from_world(&seen));
        }
    }
}

/// The stage, and what the second eye sees of it, in the window's own pixels; none where there is no room.
fn halves((place, whole): (UVec2, UVec2), beside: &Beside) -> Option<(Viewport, Viewport)> {
    let share = if beside.chosen == Way::Wipe { beside.wipe } else { 0.5 };
    let left = (whole.x as f32 * share) as u32;
    let of = |physical_position, physical_size| Viewport { physical_position, physical_size, ..default() };
    let right = UVec2::new(whole.x.saturating_sub(left), whole.y);
    (right.min_element() > 0).then(|| (of(place, whole), of(UVec2::new(place.x + left, place.y), right)))
}
