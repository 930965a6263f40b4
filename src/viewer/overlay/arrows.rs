//! Arrows from where the axles' points were to where they are, in the pose that the car stands in.

use bevy::prelude::*;
use bevy_egui::egui::{Shape, Stroke, vec2};

use super::Labels;
use crate::answer::Comparison;
use crate::answer::change::MovedPoint;
use crate::car::{Hub, Side};
use crate::motion::Posed;
use crate::viewer::camera::Sight;
use crate::viewer::desk::{Built, Desk};
use crate::viewer::posing::Posing;
use crate::viewer::scene::frame::{body, v};
use crate::viewer::theme;

/// Shorter than this on the screen an arrow is only a dot, points.
const SHORTEST: f32 = 5.0;

pub(super) fn draw(labels: &mut Labels, sight: &Sight, desk: &Desk, posing: &Posing, told: &Comparison) {
    let (Some(stands), Some(ghost)) = (&posing.stands, &posing.ghost) else { return };
    for point in &told.moved {
        let ends = [(desk.compared(), ghost), (desk.looked_at(), stands)];
        let [from, to] = ends.map(|(built, posed)| sight.screen(place(built, posed, point)?));
        let (Some(from), Some(to)) = (from, to) else { continue };
        let along = to - from;
        if along.length() < SHORTEST {
            continue;
        }
        let (way, aside) = (along.normalized(), vec2(-along.y, along.x).normalized());
        for (width, colour) in [(4.0, theme::BLANK), (1.8, theme::BLUE)] {
            labels.painter.line_segment([from, to - way * 5.0], Stroke::new(width, colour));
        }
        let head = vec![to, to - way * 9.0 + aside * 4.5, to - way * 9.0 - aside * 4.5];
        labels.painter.add(Shape::convex_polygon(head, theme::BLUE, Stroke::new(0.8, theme::BLANK)));
        labels.painter.circle(from, 2.5, theme::BLANK, Stroke::new(1.4, theme::BLUE));
    }
}

/// Where a point stands over the ground.
fn place(built: &Built, posed: &Posed, point: &MovedPoint) -> Option<Vec3> {
    let hub = Hub { axle: point.axle, side: point.side.unwrap_or(Side::Left) };
    let wheel = posed.wheel(hub)?;
    let at = built.gear.of(wheel).at(wheel, point.point)?;
    Some(body(&built.car, &posed.pose).transform_point(v(at)))
}
