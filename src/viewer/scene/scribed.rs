//! What the cut question scribes on the rails: hatching where the tyre touches, and, wider, where the wanted gap is
//! short.

use bevy::prelude::*;
use bevy_egui::egui::Color32;

use super::finish::Finish;
use super::frame::v;
use super::layer::{Hidden, Ink, Layer};
use super::shape::Shape;
use crate::answer::FaceStretch;
use crate::space::RailRun;
use crate::viewer::asking::{Answered, Asking, Question};
use crate::viewer::camera::Sight;
use crate::viewer::theme;

pub(super) fn plugin(app: &mut App) {
    app.add_systems(Update, (scribe, follow_the_body, show).chain());
}

/// Everything scribed hangs on this, which moves with the body.
#[derive(Component)]
struct Scribed;

/// The marks lie this far over the steel, mm, one over the other.
const OVER: [f32; 2] = [0.8, 1.6];

fn scribe(
    mut commands: Commands,
    asking: Res<Asking>,
    old: Query<Entity, With<Scribed>>,
    mut meshes: ResMut<Assets<Mesh>>,
    mut inks: ResMut<Assets<GizmoAsset>>,
    mut materials: ResMut<Assets<Finish>>,
    mut scribed: Local<Option<u64>>,
) {
    if *scribed == asking.edition() {
        return;
    }
    *scribed = asking.edition();
    old.iter().for_each(|e| commands.entity(e).despawn());
    let Some(answered) = asking.answers() else { return };
    let mut whole = commands.spawn((Scribed, Transform::default(), Visibility::Hidden));
    whole.with_children(|whole| {
        for (over, colour, bands) in bands(answered) {
            let wash = materials.add(Finish::from(theme::scene(colour).with_alpha(0.35)));
            for (run, stretch) in bands {
                let (shape, hatch) = band(run, stretch, over);
                let line_config = GizmoLineConfig { width: 2.2, ..default() };
                let mut ink = GizmoAsset::default();
                for [a, b] in hatch {
                    ink.line(a, b, theme::scene(colour));
                }
                whole.spawn((
                    Mesh3d(meshes.add(shape.mesh())),
                    MeshMaterial3d(wash.clone()),
                    Ink(inks.add(ink)),
                    Gizmo { line_config, depth_bias: -0.001, ..default() },
                ));
            }
        }
    });
}

type Bands<'a> = Vec<(&'a RailRun, &'a FaceStretch)>;

/// What is scribed: how far over the steel, in which colour, where.
fn bands(answered: &Answered) -> [(f32, Color32, Bands<'_>); 2] {
    let body = &answered.study.parts.body;
    let all = |pick: fn(&crate::answer::RailCut) -> &Vec<FaceStretch>| -> Bands {
        let cuts = answered.answers.cut.rails.iter();
        let runs = cuts.filter_map(|cut| Some((cut, body.iter().find(|p| p.name == cut.rail)?.run.as_ref()?)));
        runs.flat_map(|(cut, run)| pick(cut).iter().map(move |s| (run, s))).collect()
    };
    [(OVER[0], theme::SHORT, all(|cut| &cut.to_clear)), (OVER[1], theme::TOUCH, all(|cut| &cut.touched))]
}

/// A stretch of a face as a thin skin over it, and hatching across it.
fn band(run: &RailRun, stretch: &FaceStretch, over: f32) -> (Shape, Vec<[Vec3; 2]>) {
    let (from, to) = (stretch.from_mm, stretch.to_mm);
    let mut stations = vec![from];
    stations.extend(run.stations.iter().copied().filter(|s| (from..to).contains(s)));
    stations.push(to);
    if let Some(radius) = run.radius {
        let axis = |s: f64| {
            let (i, along) = run.at_station(s);
            v(run.across(i, stretch.face, along)[0])
        };
        let bars = stations.windows(2).map(|w| Shape::bar(axis(w[0]), axis(w[1]), [radius as f32 + over; 2]));
        let shape = bars.fold(Shape::default(), Shape::and);
        let rings = shape.edges.iter().flat_map(|e| e.windows(2).map(|w| [w[0], w[1]])).collect();
        return (shape, rings);
    }
    let across = |s: f64| {
        let (i, along) = run.at_station(s);
        let middle = (run.centreline[i] + (run.centreline[i + 1] - run.centreline[i]) * along).map(|x| x as f32);
        let [a, b] = run.across(i, stretch.face, along).map(v);
        let out = ((a + b) / 2.0 - Vec3::new(middle.x, middle.y, middle.z)).normalize_or_zero() * over;
        [a + out, b + out]
    };
    let mut triangles = Vec::new();
    for w in stations.windows(2) {
        let ([a, b], [d, c]) = (across(w[0]), across(w[1]));
        triangles.extend([[a, b, c], [a, c, d]]);
    }
    let mut hatch = vec![across(from), across(to)];
    let (every, lean) = (14.0, 22.0);
    let mut s = from - lean;
    while s < to {
        // A slanting line, cut off at the ends of the stretch.
        let cut = |s: f64| ((s.clamp(from, to) - s) / lean).abs() as f32;
        let ([a, b], [d, c]) = (across(s.max(from)), across((s + lean).min(to)));
        hatch.push([a.lerp(b, cut(s)), c.lerp(d, cut(s + lean))]);
        s += every;
    }
    (Shape::facets(&triangles), hatch)
}

fn follow_the_body(
    sight: Sight,
    mut scribed: Query<&mut Transform, (With<Scribed>, Without<crate::viewer::camera::Eye>)>,
) {
    let body = sight.body();
    for mut at in &mut scribed {
        at.set_if_neq(body);
    }
}

fn show(question: Res<Question>, hidden: Res<Hidden>, mut scribed: Query<&mut Visibility, With<Scribed>>) {
    let shows = *question == Question::Cut && hidden.shows(Layer::Rails);
    for mut visibility in &mut scribed {
        visibility.set_if_neq(if shows { Visibility::Visible } else { Visibility::Hidden });
    }
}
