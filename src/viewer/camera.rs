//! The eye: orbit, pan and zoom, standard views, and the stage that the panels leave free.

use std::f32::consts::{FRAC_PI_2, PI, TAU};

use bevy::camera::visibility::RenderLayers;
use bevy::camera::{CameraOutputMode, Viewport};
use bevy::core_pipeline::tonemapping::Tonemapping;
use bevy::ecs::system::SystemParam;
use bevy::prelude::*;
use bevy::render::render_resource::BlendState;
use bevy::render::renderer::RenderAdapterInfo;
use bevy::window::PrimaryWindow;
use bevy_egui::{EguiGlobalSettings, PrimaryEguiContext, egui};
use bevy_panorbit_camera::{PanOrbitCamera, PanOrbitCameraPlugin};
use nalgebra::Vector3;

use super::beside::{Beside, Way};
use super::desk::Desk;
use super::posing::Posing;
use super::scene::frame::{body, v};
use super::theme;
use crate::car::{Car, PointName, Side};

pub(super) fn plugin(app: &mut App) {
    app.add_plugins(PanOrbitCameraPlugin)
        .init_resource::<Stage>()
        .add_message::<Look>()
        .add_systems(Startup, open_eyes)
        .add_systems(Update, (look, make_room, fly).chain())
        .add_systems(Update, (keep_to_the_stage, smooth_when_still));
}

/// The part of the window that no panel covers, and whether the mouse has other business there.
#[derive(Resource, Debug)]
pub struct Stage {
    /// In points of the interface.
    pub rect: egui::Rect,
    /// Width of what stands at the right of the stage while a plot is open, in points.
    pub aside: f32,
    /// Where another car stands right of a line, that line, in points from the window's left.
    pub split: Option<f32>,
    /// A point is under the mouse or being dragged: the eye stays still.
    pub busy: bool,
    /// Corners of the box around what is pointed out, body frame, mm.
    pub look_at: Option<[Vector3<f64>; 2]>,
}

impl Stage {
    /// Where it stands in the window and how large it is, in the window's own pixels, no pixel left out at its edges.
    pub fn pixels(&self, window: &Window) -> (UVec2, UVec2) {
        let scale = window.scale_factor();
        let whole = UVec2::new(window.physical_width(), window.physical_height());
        let at = |x: f32, y: f32| UVec2::new(x.max(0.0) as u32, y.max(0.0) as u32).min(whole);
        let (min, max) = (self.rect.min * scale, self.rect.max * scale);
        let (from, to) = (at(min.x.floor(), min.y.floor()), at(max.x.ceil(), max.y.ceil()));
        (from, to.saturating_sub(from))
    }
}

impl Default for Stage {
    fn default() -> Self {
        Self { rect: egui::Rect::NOTHING, aside: 0.0, split: None, busy: false, look_at: None }
    }
}

/// From the scene to the screen and back, with the body in its pose.
#[derive(SystemParam)]
pub struct Sight<'w, 's> {
    eye: Single<'w, 's, (&'static Camera, &'static Transform), With<Eye>>,
    desk: Res<'w, Desk>,
    posing: Res<'w, Posing>,
}

impl Sight<'_, '_> {
    /// Where the body stands.
    pub fn body(&self) -> Transform {
        let pose = self.posing.stands.as_ref().map(|s| s.pose).unwrap_or_default();
        body(&self.desk.looked_at().car, &pose)
    }

    /// A place of the body over the ground.
    pub fn world(&self, in_body: Vec3) -> Vec3 {
        self.body().transform_point(in_body)
    }

    /// Where a place over the ground is on the screen.
    pub fn screen(&self, world: Vec3) -> Option<egui::Pos2> {
        let (camera, at) = *self.eye;
        camera.world_to_viewport(&GlobalTransform::from(*at), world).ok().map(|p| egui::pos2(p.x, p.y))
    }

    /// What the mouse points along.
    pub fn ray(&self, mouse: egui::Pos2) -> Option<Ray3d> {
        let (camera, at) = *self.eye;
        camera.viewport_to_world(&GlobalTransform::from(*at), Vec2::new(mouse.x, mouse.y)).ok()
    }

    /// The size of a point of the screen at a place over the ground, mm.
    pub fn size_of_a_point(&self, world: Vec3) -> Option<f32> {
        let (camera, at) = *self.eye;
        let height = camera.logical_viewport_size()?.y;
        let away = at.forward().dot(world - at.translation);
        Some(2.0 * away * (FIELD / 2.0).tan() / height)
    }
}

/// A standard view.
#[derive(Message, Debug, Clone, Copy, PartialEq, Eq)]
pub enum Look {
    /// From before the left front wheel: how the program opens.
    Quarter,
    /// From ahead.
    Front,
    /// From the left.
    Side,
    /// From above, nose up.
    Plan,
    /// From below, nose up.
    Under,
    /// Into the left front wheel well, from inside the nose.
    Well,
    /// Into the left rear wheel well, from inside the tail; the front one's where no rear axle is described.
    RearWell,
    /// From where it is, but the whole car.
    Fit,
    /// From where it is, but what is pointed out: a scan that is being laid, a place where parts come near.
    There,
}

impl Look {
    /// All, with their words and keys.
    pub const ALL: [(Self, &'static str, &'static str); 8] = [
        (Self::Quarter, "Three-quarter", "1"),
        (Self::Front, "Front", "2"),
        (Self::Side, "Side", "3"),
        (Self::Plan, "Plan", "4"),
        (Self::Under, "Under", "5"),
        (Self::Well, "Front wheel well", "6"),
        (Self::RearWell, "Rear wheel well", "7"),
        (Self::Fit, "Fit the car", "F"),
    ];
}

/// The camera that sees the car.
#[derive(Component)]
pub struct Eye;

/// A smooth move from one view to another.
#[derive(Component)]
struct Flight {
    from: Gaze,
    to: Gaze,
    through: f32,
}

/// Where the eye looks from: yaw 0 is behind the right shoulder of x (from -y), elevation from level.
#[derive(Debug, Clone, Copy)]
struct Gaze {
    yaw: f32,
    elevation: f32,
    focus: Vec3,
    radius: f32,
}

/// A narrow field of view shows parts nearly as a drawing would.
pub const FIELD: f32 = 0.42;

fn open_eyes(mut commands: Commands, mut settings: ResMut<EguiGlobalSettings>) {
    commands.spawn((
        Eye,
        Camera3d::default(),
        Camera { clear_color: ClearColorConfig::Custom(theme::scene(theme::PAPER)), ..default() },
        Tonemapping::None,
        Projection::Perspective(PerspectiveProjection { fov: FIELD, near: 50.0, far: 60_000.0, ..default() }),
        PanOrbitCamera {
            axis: [Vec3::X, Vec3::Z, Vec3::Y],
            // With z up the library counts pitch from straight above; from there it may go to straight below.
            allow_upside_down: true,
            pitch_upper_limit: Some(0.0),
            pitch_lower_limit: Some(-PI),
            yaw: Some(2.25),
            pitch: Some(0.35 - FRAC_PI_2),
            radius: Some(7000.0),
            focus: Vec3::new(0.0, 0.0, 380.0),
            zoom_lower_limit: 300.0,
            zoom_upper_limit: Some(30_000.0),
            button_orbit: MouseButton::Left,
            button_pan: MouseButton::Right,
            touch_enabled: false,
            ..default()
        },
    ));
    // The interface is drawn by a camera of its own over the whole window, so that the eye's stage does not crop it.
    settings.auto_create_primary_context = false;
    commands.spawn((
        PrimaryEguiContext,
        Camera2d,
        RenderLayers::none(),
        Camera {
            order: 2,
            output_mode: CameraOutputMode::Write {
                blend_state: Some(BlendState::ALPHA_BLENDING),
                clear_color: ClearColorConfig::None,
            },
            clear_color: ClearColorConfig::Custom(Color::NONE),
            ..default()
        },
    ));
}

fn look(
    mut looks: MessageReader<Look>,
    mut commands: Commands,
    eye: Single<(Entity, &PanOrbitCamera), With<Eye>>,
    (stage, beside): (Res<Stage>, Res<Beside>),
    (desk, posing): (Res<Desk>, Res<Posing>),
    mut opened: Local<bool>,
) {
    let (entity, camera) = *eye;
    let ready = stage.rect.is_positive() && camera.initialized;
    let first = (ready && !*opened).then_some(Look::Quarter);
    *opened |= ready;
    let Some(to) = looks.read().last().copied().or(first) else { return };
    let from = Gaze {
        yaw: camera.target_yaw,
        elevation: camera.target_pitch + FRAC_PI_2,
        focus: camera.target_focus,
        radius: camera.target_radius,
    };
    let aspect = stage.rect.width() * share(&beside) / stage.rect.height().max(1.0);
    let car = &desk.looked_at().car;
    let to = match (to, stage.look_at) {
        (Look::There, Some(around)) => {
            let corners = (0..8).map(|i| Vector3::from_fn(|k, _| around[i >> k & 1][k]));
            let stands = body(car, &posing.pose);
            let places: Vec<Vec3> = corners.map(|p| stands.transform_point(v(p))).collect();
            let (focus, radius) = framed(&places, from.yaw, from.elevation, aspect);
            Gaze { focus, radius, ..from }
        }
        _ => gaze(to, from, car, aspect),
    };
    commands.entity(entity).insert(Flight { from, to, through: if first.is_some() { 1.0 } else { 0.0 } });
}

/// Goes back as far as the stage gets narrower when a panel opens beside it or a second car comes onto it, and comes as near
/// again when that goes, so that what was in sight stays so.
fn make_room(
    stage: Res<Stage>,
    beside: Res<Beside>,
    eye: Single<(&mut PanOrbitCamera, Option<&mut Flight>), With<Eye>>,
    mut before: Local<([bool; 2], f32)>,
    mut back_at: Local<Vec<f32>>,
) {
    let now = ([stage.aside > 0.0, beside.way == Way::Apart], stage.rect.width() * share(&beside));
    let (shared, width) = std::mem::replace(&mut *before, now);
    if shared == now.0 || width <= 0.0 {
        return;
    }
    let (mut camera, flight) = eye.into_inner();
    let times = width / now.1.max(1.0);
    let radius = flight.as_ref().map_or(camera.target_radius, |flight| flight.to.radius);
    if times > 1.0 {
        back_at.push(radius * times);
    } else if back_at.pop().is_none_or(|back| (radius / back - 1.0).abs() > 1e-3) {
        // Whoever has looked from elsewhere meanwhile stays there: nearer, the car would reach over the stage.
        back_at.clear();
        return;
    }
    camera.target_radius *= times;
    if let Some(mut flight) = flight {
        flight.from.radius *= times;
        flight.to.radius *= times;
    }
}

/// The share of the stage's width that a car has.
fn share(beside: &Beside) -> f32 {
    if beside.way == Way::Apart { 0.5 } else { 1.0 }
}

/// Where a view is seen from. Its yaw is the turn nearest to where the eye is now.
fn gaze(look: Look, now: Gaze, car: &Car, aspect: f32) -> Gaze {
    let (yaw, elevation) = match look {
        Look::Quarter => (2.25, 0.35),
        Look::Front => (FRAC_PI_2, 0.0),
        Look::Side => (PI, 0.0),
        Look::Plan => (-FRAC_PI_2, FRAC_PI_2),
        Look::Under => (FRAC_PI_2, -FRAC_PI_2),
        Look::Well => (1.15, 0.12),
        Look::RearWell if car.rear.is_none() => (1.15, 0.12),
        // Further behind than in front: tyres are wider there, and the other one would stand in the way.
        Look::RearWell => (-1.3, 0.12),
        Look::Fit | Look::There => (now.yaw, now.elevation),
    };
    let yaw = now.yaw + (yaw - now.yaw + PI).rem_euclid(TAU) - PI;
    if matches!(look, Look::Well | Look::RearWell) {
        let axle = if look == Look::RearWell { car.rear.as_ref() } else { None };
        let centre = axle.unwrap_or(&car.front).point(Side::Left, PointName::WheelCentre);
        let wheel = centre.map_or(Vec3::ZERO, |centre| over_ground(car, v(centre)));
        let high = outline(car).iter().map(|p| p.z).fold(840.0, f32::max);
        let radius = 1.25 * high / 2.0 / (FIELD / 2.0).tan();
        return Gaze { yaw, elevation, focus: wheel + Vec3::new(0.0, -60.0, 130.0), radius };
    }
    let (focus, radius) = framed(&outline(car), yaw, elevation, aspect);
    Gaze { yaw, elevation, focus, radius }
}

/// Where to look and from how far, so that every place is in sight and what is seen of them stands in the middle.
fn framed(places: &[Vec3], yaw: f32, elevation: f32, aspect: f32) -> (Vec3, f32) {
    let ((s, c), (up, level)) = (yaw.sin_cos(), elevation.sin_cos());
    let back = Vec3::new(s * level, -c * level, up);
    let right = Vec3::new(c, s, 0.0);
    let above = back.cross(right);
    let across = (FIELD / 2.0).tan();
    let (mut focus, mut radius) = (places.iter().sum::<Vec3>() / places.len().max(1) as f32, 0.0);
    // What is near looks larger, so the middle of what is seen is found in a few steps.
    for _ in 0..6 {
        let seen = places.iter().map(|p| *p - focus).map(|p| Vec3::new(p.dot(right), p.dot(above), p.dot(back)));
        let far = |p: Vec3| p.z + (p.x.abs() / aspect).max(p.y.abs()) / across;
        radius = seen.clone().map(far).fold(100.0, f32::max);
        let flat = seen.map(|p| p.truncate() / (radius - p.z));
        let low = flat.clone().fold(Vec2::INFINITY, Vec2::min);
        let middle = (low + flat.fold(Vec2::NEG_INFINITY, Vec2::max)) / 2.0 * radius;
        focus += right * middle.x + above * middle.y;
    }
    (focus, 1.06 * radius)
}

/// Places over the ground that the whole car lies between.
fn outline(car: &Car) -> Vec<Vec3> {
    let mut all = Vec::new();
    for hub in car.hubs() {
        let Some(axle) = car.axle(hub.axle) else { continue };
        all.extend(PointName::ALL.iter().filter_map(|name| axle.point(hub.side, *name)).map(v));
        let Some(wheel) = axle.point(hub.side, PointName::WheelCentre).map(v) else { continue };
        let mounted = axle.tyre.mounted(&axle.wheel);
        let (r, half) = (mounted.radius as f32, mounted.section_width as f32 / 2.0);
        for (x, z) in [(-r, -r), (-r, r), (r, -r), (r, r)] {
            all.extend([-half, half].map(|y| wheel + Vec3::new(x, y, z)));
        }
    }
    let rails = car.rails.iter().flat_map(|rail| &rail.centreline);
    let panels = car.panels.iter().flat_map(|panel| panel.rows.iter().flatten());
    all.extend(rails.chain(panels).flat_map(|p| Side::BOTH.map(|side| v(side.mirror(*p)))));
    if let Some(splitter) = &car.splitter {
        let z = (car.ground + splitter.height) as f32;
        all.extend(splitter.outline.iter().map(|p| Vec3::new(p[0] as f32, p[1] as f32, z)));
    }
    all.into_iter().map(|p| over_ground(car, p)).collect()
}

/// A place of the body at ride height, over the ground.
fn over_ground(car: &Car, p: Vec3) -> Vec3 {
    p - Vec3::Z * car.ground as f32
}

fn fly(
    mut commands: Commands,
    eye: Single<(Entity, &mut PanOrbitCamera, &mut Flight), With<Eye>>,
    time: Res<Time<Real>>,
    mouse: Res<ButtonInput<MouseButton>>,
) {
    let (entity, mut camera, mut flight) = eye.into_inner();
    let taken_over = mouse.pressed(camera.button_orbit) && flight.through > 0.2;
    flight.through = (flight.through + time.delta_secs().min(0.1) / 0.5).min(1.0);
    let t = flight.through * flight.through * (3.0 - 2.0 * flight.through);
    let (from, to) = (flight.from, flight.to);
    camera.target_yaw = from.yaw.lerp(to.yaw, t);
    camera.target_pitch = from.elevation.lerp(to.elevation, t) - FRAC_PI_2;
    camera.target_focus = from.focus.lerp(to.focus, t);
    camera.target_radius = from.radius.lerp(to.radius, t);
    if flight.through >= 1.0 || taken_over {
        commands.entity(entity).remove::<Flight>();
    }
}

/// Where a processor stands in for a graphics card, smooth edges cost most of a frame: they wait until nothing moves.
fn smooth_when_still(
    adapter: Res<RenderAdapterInfo>,
    eye: Single<Ref<Transform>, With<Eye>>,
    posing: Res<Posing>,
    desk: Res<Desk>,
    mut cameras: Query<&mut Msaa>,
    mut still: Local<(u32, u64)>,
) {
    // Bevy does not hand on the type that this is a value of.
    if format!("{:?}", adapter.device_type) != "Cpu" {
        return;
    }
    let moved = eye.is_changed() || still.1 != posing.edition + desk.edition;
    *still = (if moved { 0 } else { still.0 + 1 }, posing.edition + desk.edition);
    let wanted = if still.0 > 2 { Msaa::Sample4 } else { Msaa::Off };
    for mut msaa in &mut cameras {
        msaa.set_if_neq(wanted);
    }
}

fn keep_to_the_stage(
    stage: Res<Stage>,
    window: Single<&Window, With<PrimaryWindow>>,
    eye: Single<(&mut Camera, &mut PanOrbitCamera), With<Eye>>,
) {
    let (mut camera, mut orbit) = eye.into_inner();
    let (physical_position, physical_size) = stage.pixels(*window);
    if physical_size.min_element() > 0 {
        let fits = |v: &Viewport| v.physical_position == physical_position && v.physical_size == physical_size;
        if !camera.viewport.as_ref().is_some_and(fits) {
            camera.viewport = Some(Viewport { physical_position, physical_size, ..default() });
        }
    }
    if orbit.enabled == stage.busy {
        orbit.enabled = !stage.busy;
    }
}
