//! The body's strength on the picture: how it bends, many times over, and the route that is looked at.

use bevy_egui::egui::{Color32, Stroke, vec2};
use nalgebra::Vector3;

use super::Labels;
use crate::answer::frame::BodyStrength;
use crate::answer::routes::Route;
use crate::answer::{Verdict, gaps};
use crate::car::{Shown, Side};
use crate::viewer::bracing::Bracing;
use crate::viewer::camera::Sight;
use crate::viewer::panels::widgets;
use crate::viewer::scene::frame::v;
use crate::viewer::theme;

/// The largest movement is drawn this long, mm.
const DRAWN: f64 = 60.0;

pub(super) fn draw(labels: &mut Labels, sight: &Sight, bracing: &Bracing, edition: u64, shown: Shown) {
    if let (true, Some((Ok(strength), _))) = (bracing.bent, bracing.strength(edition)) {
        bent(labels, sight, strength, bracing.case.as_deref(), shown);
    }
    if let Some(route) = bracing.chosen(edition) {
        proposed(labels, sight, route);
    }
}

fn path(labels: &Labels, sight: &Sight, places: &[Vector3<f64>], width: f32, colour: Color32) {
    let on_screen: Vec<_> = places.iter().filter_map(|p| sight.screen(sight.world(v(*p)))).collect();
    for pair in on_screen.windows(2) {
        labels.painter.line_segment([pair[0], pair[1]], Stroke::new(width + 2.0, theme::BLANK));
        labels.painter.line_segment([pair[0], pair[1]], Stroke::new(width, colour));
    }
}

/// Every member as a load case bends it, the hardest where none is chosen.
fn bent(labels: &mut Labels, sight: &Sight, strength: &BodyStrength, case: Option<&str>, shown: Shown) -> Option<()> {
    let state = strength.states.last()?;
    let bent = case.and_then(|case| state.bends(case)).or_else(|| state.bent.clone())?;
    let times = DRAWN / bent.most_mm.max(1e-9);
    let mut furthest: Option<(f64, Vector3<f64>)> = None;
    for member in &bent.members {
        let moved = member.line_mm.iter().zip(&member.moves_mm).map(|(at, by)| {
            let by = gaps::vector(*by);
            let to = gaps::vector(*at) + by * times;
            if furthest.is_none_or(|(most, _)| by.norm() > most) {
                furthest = Some((by.norm(), to));
            }
            to
        });
        let moved: Vec<_> = moved.collect();
        path(labels, sight, &moved, 2.5, theme::BLUE);
    }
    let (most, at) = furthest?;
    let words = format!("{} in \u{201c}{}\u{201d}, drawn {times:.0} times over", shown.length(most), bent.case);
    let at = sight.screen(sight.world(v(at)))?;
    labels.painter.circle(at, 4.5, theme::BLUE, Stroke::new(1.5, theme::BLANK));
    // At the top of the stage, where the car is not.
    let top = labels.stage.top() + 24.0;
    labels.put(at, vec2(0.0, top - at.y), &words, None, theme::BLUE);
    Some(())
}

/// A route that is not yet in the car.
fn proposed(labels: &mut Labels, sight: &Sight, route: &Route) {
    let verdict = if route.reaches && route.holds { Verdict::Clear } else { Verdict::Short };
    for tube in &route.tubes {
        let left: Vec<_> = tube.corners_mm.iter().map(|p| gaps::vector(*p)).collect();
        path(labels, sight, &left, 4.0, widgets::colour(verdict));
        if tube.mirror {
            let right: Vec<_> = left.iter().map(|p| Side::Right.mirror(*p)).collect();
            path(labels, sight, &right, 4.0, widgets::colour(verdict));
        }
    }
}
