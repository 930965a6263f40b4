//! Points that can be marked: hover, click, and drag along an axis.
//!
//! They are found and drawn on the screen rather than in the scene, so that a point inside a hub can be picked too.

use bevy::prelude::*;
use bevy_egui::egui::{self, Align2, Color32, FontId, Painter, Pos2, Stroke};
use bevy_egui::{EguiContexts, EguiPrimaryContextPass};
use nalgebra::Vector3;

use super::camera::{Sight, Stage};
use super::desk::{Built, Command, Desk};
use super::laying::Laying;
use super::panels::Units;
use super::posing::Posing;
use super::scene::frame::{back, turn, v};
use super::scene::layer::{Hidden, Layer};
use super::theme;
use crate::car::{AxleName, Edit, Hub, PointName, Shown, Side, Sides, TubePoint};
use crate::motion::Posed;

pub(super) fn plugin(app: &mut App) {
    app.init_resource::<Marking>()
        .add_systems(EguiPrimaryContextPass, mark.after(super::panels::lay_out).after(super::overlay::draw));
}

/// A point that can be moved.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Mark {
    /// A measured point on one side of an axle.
    Point(Hub, PointName),
    /// A measured point that an axle has once.
    Single(AxleName, PointName),
    /// A corner of a rail's centreline, from 0 at the datum.
    Corner(String, Side, usize),
    /// A node where tubes meet.
    Node(String, Side),
    /// A corner of a tube that is a place of its own, from 0.
    Bend(String, Side, usize),
}

impl Mark {
    /// As it is spoken.
    pub fn words(&self) -> String {
        match self {
            Self::Point(hub, name) => format!("{} {}{}", hub.side.word(), rear(hub.axle), name.words()),
            Self::Single(axle, name) => format!("{}{}", rear(*axle), name.words()),
            Self::Corner(rail, side, i) => format!("{} {rail}, corner {}", side.word(), i + 1),
            Self::Node(node, side) => format!("{} {node}, node", side.word()),
            Self::Bend(tube, side, i) => format!("{} {tube}, corner {}", side.word(), i + 1),
        }
    }

    /// Where it was measured, on its own side, body frame, mm.
    pub fn measured(&self, built: &Built) -> Option<Vector3<f64>> {
        match self {
            Self::Point(hub, name) => built.car.axle(hub.axle)?.point(hub.side, *name),
            Self::Single(axle, name) => built.car.axle(*axle)?.point(Side::Left, *name),
            Self::Corner(rail, side, i) => {
                let rail = built.car.rails.iter().find(|r| r.name == *rail)?;
                rail.centreline.get(*i).map(|p| side.mirror(*p))
            }
            Self::Node(node, side) => built.car.nodes.iter().find(|n| n.name == *node).map(|n| side.mirror(n.at)),
            Self::Bend(tube, side, i) => {
                let tube = built.car.tubes.iter().find(|t| t.name == *tube)?;
                match tube.points.get(*i)? {
                    TubePoint::At(at) => Some(side.mirror(*at)),
                    // One that was just put on a node can be dragged off it again.
                    TubePoint::Node(name) => Self::Node(name.clone(), *side).measured(built),
                    TubePoint::OnRail { .. } => None,
                }
            }
        }
    }

    /// Where it is in a pose, and how a step seen there turns into a step of the measured place.
    fn posed(&self, built: &Built, posed: &Posed) -> Option<(Vector3<f64>, Quat)> {
        let (hub, name) = match self {
            Self::Corner(..) | Self::Node(..) | Self::Bend(..) => {
                return Some((self.measured(built)?, Quat::IDENTITY));
            }
            Self::Point(hub, name) => (*hub, *name),
            Self::Single(axle, name) => (Hub { axle: *axle, side: Side::Left }, *name),
        };
        let (axle, pose) = (built.gear.axle(hub.axle)?, posed.wheel(hub)?);
        let turns = axle.on_upright(name);
        let undo = if turns { turn(pose.placement().turn).inverse() } else { Quat::IDENTITY };
        Some((axle.at(pose, name)?, undo))
    }

    /// The edit that puts it somewhere on its own side; on both sides unless `alone`.
    pub fn put(&self, built: &Built, proposal: Option<&str>, to: Vector3<f64>, alone: bool) -> Option<Edit> {
        let proposal = proposal.map(str::to_owned);
        Some(match self {
            Self::Point(hub, point) if alone => {
                let side = if hub.side == Side::Left { Sides::Left } else { Sides::Right };
                Edit::PutPoint { proposal, axle: hub.axle, side, point: *point, to }
            }
            // The left one's place is what is written: it takes the mirrored step.
            Self::Point(hub, point) => {
                let step = hub.side.mirror(to - self.measured(built)?);
                let left = built.car.axle(hub.axle)?.point(Side::Left, *point)?;
                Edit::PutPoint { proposal, axle: hub.axle, side: Sides::Both, point: *point, to: left + step }
            }
            Self::Single(axle, point) => Edit::PutPoint { proposal, axle: *axle, side: Sides::Both, point: *point, to },
            Self::Corner(rail, side, i) => {
                Edit::PutCorner { proposal, rail: rail.clone(), corner: i + 1, to: side.mirror(to) }
            }
            Self::Node(node, side) => Edit::PutNode { proposal, node: node.clone(), to: side.mirror(to) },
            Self::Bend(tube, side, i) => {
                let to = side.mirror(to);
                let near = built.car.nodes.iter().find(|n| (n.at - to).norm() < SNAP);
                let to = near.map_or(TubePoint::At(to), |node| TubePoint::Node(node.name.clone()));
                Edit::PutBend { proposal, tube: tube.clone(), bend: i + 1, to }
            }
        })
    }
}

/// The front axle goes without saying.
fn rear(axle: AxleName) -> &'static str {
    if axle == AxleName::Rear { "rear " } else { "" }
}

/// All marks of a car.
fn marks(built: &Built) -> Vec<Mark> {
    let points = built.car.axles().flat_map(|(axle, described)| {
        PointName::ALL.iter().filter(|name| described.has(**name)).flat_map(move |&name| {
            if described.middle.0.contains_key(&name) {
                vec![Mark::Single(axle, name)]
            } else {
                Side::BOTH.map(|side| Mark::Point(Hub { axle, side }, name)).to_vec()
            }
        })
    });
    let corners = built.car.rails.iter().flat_map(|rail| {
        let sides: &[Side] = if rail.mirror { &Side::BOTH } else { &[Side::Left] };
        sides.iter().flat_map(|side| (0..rail.centreline.len()).map(|i| Mark::Corner(rail.name.clone(), *side, i)))
    });
    let sides = |mirror: bool| if mirror { &Side::BOTH[..] } else { &Side::BOTH[..1] };
    let nodes = built
        .car
        .nodes
        .iter()
        .flat_map(move |node| sides(node.mirror).iter().map(|side| Mark::Node(node.name.clone(), *side)));
    let bends = built.car.tubes.iter().flat_map(move |tube| {
        let places = tube.points.iter().enumerate().filter(|(_, p)| matches!(p, TubePoint::At(_)));
        places
            .flat_map(move |(i, _)| sides(tube.mirror).iter().map(move |side| Mark::Bend(tube.name.clone(), *side, i)))
    });
    points.chain(corners).chain(nodes).chain(bends).collect()
}

/// A bend that comes as near as this to a node is put on it, mm.
const SNAP: f64 = 12.0;

/// A drag in progress.
#[derive(Debug)]
struct Drag {
    axis: usize,
    /// Body frame, mm.
    from: Vector3<f64>,
    /// On the axis, where the mouse took hold, mm.
    grip: f32,
    /// The measured place when it began.
    measured: Vector3<f64>,
    undo: Quat,
    edit: Option<Edit>,
}

/// What is marked.
#[derive(Resource, Debug, Default)]
pub struct Marking {
    /// The point that is chosen.
    pub chosen: Option<Mark>,
    /// Move this side only.
    pub alone: bool,
    drag: Option<Drag>,
}

impl Marking {
    /// Lets go of whatever is held or chosen. Says whether something was being dragged.
    pub fn let_go(&mut self) -> bool {
        let dragging = self.drag.take().is_some();
        if !dragging {
            self.chosen = None;
        }
        dragging
    }
}

const AXES: [(Vec3, &str); 3] = [(Vec3::X, "forward"), (Vec3::Y, "left"), (Vec3::Z, "up")];
/// Arrows are this long on the screen, points.
const ARROW: f32 = 78.0;
/// The mouse is on something from this near, points.
const NEAR: f32 = 9.0;

#[allow(clippy::too_many_arguments)]
pub(super) fn mark(
    mut contexts: EguiContexts,
    mut marking: ResMut<Marking>,
    mut stage: ResMut<Stage>,
    sight: Sight,
    desk: Res<Desk>,
    posing: Res<Posing>,
    hidden: Res<Hidden>,
    units: Res<Units>,
    laying: Res<Laying>,
    mut commands: MessageWriter<Command>,
) -> Result {
    let ctx = contexts.ctx_mut()?;
    let Some(posed) = &posing.stands else { return Ok(()) };
    let built = desk.looked_at();
    let layer = egui::LayerId::new(egui::Order::Background, "marks".into());
    let painter = Painter::new(ctx.clone(), layer, stage.rect);
    let mouse = free_mouse(ctx, &stage);

    let free = laying.picking.is_none() && hidden.shows(Layer::Points) && marking.drag.is_none();
    let hovered = mouse.filter(|_| free).and_then(|mouse| {
        let m = nearest(built, Some(posed), &sight, mouse)?;
        Some((sight.screen(sight.world(v(m.posed(built, posed)?.0)))?, m))
    });

    let gizmo = marking.chosen.clone().and_then(|m| {
        let (at, undo) = m.posed(built, posed)?;
        Some((m, Arrows::new(&sight, at)?, at, undo))
    });
    let on_axis = match (&gizmo, mouse) {
        (Some((_, arrows, ..)), Some(mouse)) => arrows.under(mouse),
        _ => None,
    };
    stage.busy = marking.drag.is_some() || on_axis.is_some();

    if let (Some((at, m)), None) = (&hovered, on_axis) {
        painter.circle_stroke(*at, 8.0, Stroke::new(2.0, theme::BLUE));
        tag(&painter, *at + egui::vec2(12.0, -12.0), &m.words());
        ctx.set_cursor_icon(egui::CursorIcon::PointingHand);
    }
    let (pressed, down, clicked) =
        ctx.input(|i| (i.pointer.primary_pressed(), i.pointer.primary_down(), i.pointer.primary_clicked()));
    if clicked
        && laying.picking.is_none()
        && !laying.picked
        && mouse.is_some()
        && on_axis.is_none()
        && marking.drag.is_none()
    {
        marking.chosen = hovered.map(|(_, m)| m);
    }
    // Let go of, a drag is an edit, whatever became of its point on the way.
    if !down && let Some(drag) = marking.drag.take() {
        commands.write_batch(drag.edit.map(Command::Edit));
    }
    let Some((m, arrows, at, undo)) = gizmo else { return Ok(()) };
    // Where the button went down counts: by now the mouse may be on its way.
    let pressed_at = ctx.input(|i| i.pointer.press_origin()).filter(|_| pressed && mouse.is_some());
    if let Some(place) = pressed_at
        && let Some(axis) = arrows.under(place)
        && let Some(grip) = along(&sight, at, axis, place)
        && let Some(measured) = m.measured(built)
    {
        marking.drag = Some(Drag { axis, from: at, grip, measured, undo, edit: None });
        stage.busy = true;
    }
    let alone = marking.alone;
    if let Some(drag) = &mut marking.drag
        && let Some(now) = ctx.pointer_latest_pos().and_then(|p| along(&sight, drag.from, drag.axis, p))
    {
        let step = back(drag.undo * (AXES[drag.axis].0 * (now - drag.grip)));
        let to = rounded(drag.measured + step, drag.measured, units.0);
        let edit = m.put(built, desk.proposal(), to, alone);
        if down && edit != drag.edit && now != drag.grip {
            drag.edit = edit;
            commands.write_batch(drag.edit.clone().map(Command::Try));
        }
    }
    let held = marking.drag.as_ref().map(|d| d.axis);
    arrows.draw(&painter, held.or(on_axis), held.is_some());
    Ok(())
}

/// Rounded to what a tape can honour in the units shown, where it has moved.
fn rounded(to: Vector3<f64>, from: Vector3<f64>, shown: Shown) -> Vector3<f64> {
    let step = if shown == Shown::Mm { 0.5 } else { 0.02 * shown.in_mm() };
    to.zip_map(&from, |to, from| if (to - from).abs() < 1e-6 { from } else { (to / step).round() * step })
}

/// The mark under the mouse.
pub fn nearest(built: &Built, posed: Option<&Posed>, sight: &Sight, mouse: Pos2) -> Option<Mark> {
    let on_screen = |m: Mark| {
        let at = sight.screen(sight.world(v(m.posed(built, posed?)?.0)))?;
        (at.distance(mouse) < NEAR + 2.0).then_some((at.distance(mouse), m))
    };
    let near = marks(built).into_iter().filter_map(on_screen);
    near.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, mark)| mark)
}

/// The mouse, if it is over the stage and nothing lies over it.
pub fn free_mouse(ctx: &egui::Context, stage: &Stage) -> Option<Pos2> {
    // Right of a wipe another car is seen than the one whose points these are.
    let own = |p: &Pos2| stage.rect.contains(*p) && stage.split.is_none_or(|x| p.x < x);
    let at = ctx.pointer_latest_pos().filter(own)?;
    let covered = ctx.layer_id_at(at).is_some_and(|l| l.order != egui::Order::Background);
    (!covered).then_some(at)
}

/// How far along an axis through a place the mouse points, mm.
fn along(sight: &Sight, at: Vector3<f64>, axis: usize, mouse: Pos2) -> Option<f32> {
    let ray = sight.ray(mouse)?;
    let origin = sight.world(v(at));
    let axis = sight.body().rotation * AXES[axis].0;
    // The point of the axis nearest to the ray.
    let (d, w) = (*ray.direction, ray.origin - origin);
    let b = axis.dot(d);
    let under = 1.0 - b * b;
    (under > 1e-4).then(|| (axis.dot(w) - b * d.dot(w)) / under)
}

/// The three arrows at a chosen point, on the screen.
struct Arrows {
    at: Pos2,
    tips: [Option<Pos2>; 3],
}

impl Arrows {
    fn new(sight: &Sight, at: Vector3<f64>) -> Option<Self> {
        let origin = sight.world(v(at));
        let from = sight.screen(origin)?;
        let turned = sight.body().rotation;
        let tips = AXES.map(|(axis, _)| {
            // The length that is `ARROW` on the screen when seen square on.
            let length = ARROW * sight.size_of_a_point(origin)?;
            let tip = sight.screen(origin + turned * axis * length)?;
            // An axis that points at the eye cannot be dragged along.
            (tip.distance(from) > 14.0).then_some(tip)
        });
        Some(Self { at: from, tips })
    }

    fn under(&self, mouse: Pos2) -> Option<usize> {
        let distance = |tip: Pos2| {
            let (d, w) = (tip - self.at, mouse - self.at);
            let t = (w.dot(d) / d.length_sq()).clamp(0.16, 1.1);
            (w - d * t).length()
        };
        let near = |i: &usize| self.tips[*i].map(distance).filter(|d| *d < NEAR);
        (0..3)
            .filter(|i| near(i).is_some())
            .min_by(|a, b| near(a).partial_cmp(&near(b)).unwrap_or(std::cmp::Ordering::Equal))
    }

    fn draw(&self, painter: &Painter, lit: Option<usize>, held: bool) {
        painter.circle_filled(self.at, 5.5, theme::BLUE);
        painter.circle_stroke(self.at, 7.5, Stroke::new(1.5, theme::BLANK));
        for (i, tip) in self.tips.iter().enumerate() {
            let Some(tip) = *tip else { continue };
            let is_lit = lit == Some(i);
            if held && !is_lit {
                continue;
            }
            let colour = if is_lit { theme::INK } else { theme::BLUE };
            let width = if is_lit { 4.0 } else { 3.0 };
            let d = (tip - self.at).normalized();
            let start = self.at + d * 10.0;
            painter.line_segment([start, tip], Stroke::new(width + 2.5, theme::BLANK));
            painter.line_segment([start, tip], Stroke::new(width, colour));
            let side = d.rot90() * 6.0;
            let head = vec![tip + d * 13.0, tip + side, tip - side];
            painter.add(egui::Shape::convex_polygon(head, colour, Stroke::new(1.2, theme::BLANK)));
            tag(painter, tip + d * 18.0 + egui::vec2(2.0, -8.0), AXES[i].1);
        }
    }
}

/// A word on a small sheet.
pub fn tag(painter: &Painter, at: Pos2, text: &str) {
    let galley = painter.layout_no_wrap(text.to_owned(), FontId::proportional(12.0), theme::INK);
    let rect = Align2::LEFT_TOP.anchor_size(at, galley.size()).expand2(egui::vec2(4.0, 1.0));
    painter.rect_filled(rect, 2.0, Color32::from_rgba_unmultiplied(0xfa, 0xf7, 0xf0, 0xe6));
    painter.galley(at, galley, theme::INK);
}
