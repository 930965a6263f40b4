//! What is written over the scene: witness lines with their lengths, stations, limiters.

use bevy::prelude::*;
use bevy_egui::egui::{self, Color32, LayerId, Order, Painter, Pos2, Rect, Stroke, pos2, vec2};
use bevy_egui::{EguiContexts, EguiPrimaryContextPass};

use super::asking::{Answered, Asking, Pair, Question};
use super::beside::{Beside, Way};
use super::bracing::Bracing;
use super::camera::{Sight, Stage};
use super::comparing::Comparing;
use super::desk::Desk;
use super::loading::Loading;
use super::panels::{Units, widgets};
use super::posing::Posing;
use super::scene::frame::v;
use super::theme;
use crate::answer::gaps::vector;
use crate::answer::{CutPlan, Gap, RailCut, RailPlan, Verdict};
use crate::car::{CutEnd, PointName, Shown, Side};
use crate::space::Part;

mod arrows;
mod body;
mod forces;

pub(super) fn plugin(app: &mut App) {
    app.add_systems(EguiPrimaryContextPass, draw.after(super::panels::lay_out));
}

/// Labels so far, so that no two lie over each other.
struct Labels {
    painter: Painter,
    stage: Rect,
    taken: Vec<Rect>,
}

#[allow(clippy::too_many_arguments)]
pub(super) fn draw(
    mut contexts: EguiContexts,
    stage: Res<Stage>,
    sight: Sight,
    asking: Res<Asking>,
    question: Res<Question>,
    pair: Res<Pair>,
    posing: Res<Posing>,
    loading: Res<Loading>,
    bracing: Res<Bracing>,
    (desk, comparing, beside): (Res<Desk>, Res<Comparing>, Res<Beside>),
    units: Res<Units>,
) -> Result {
    let layer = LayerId::new(Order::Background, "overlay".into());
    let painter = Painter::new(contexts.ctx_mut()?.clone(), layer, stage.rect);
    let mut labels = Labels { painter, stage: stage.rect, taken: Vec::new() };
    let Some(answered) = asking.answers() else { return Ok(()) };
    match *question {
        Question::Gaps => witnesses(&mut labels, &sight, &asking, &pair, units.0),
        Question::Lock => {
            witnesses(&mut labels, &sight, &asking, &pair, units.0);
            limiters(&mut labels, &sight, answered, &posing, units.0);
        }
        Question::Cut => {
            match plan(answered, &bracing) {
                Some((rail, plan)) => planned(&mut labels, &sight, (rail, plan), units.0),
                None => stations(&mut labels, &sight, answered, units.0),
            }
            if bracing.open {
                body::draw(&mut labels, &sight, &bracing, asking.edition().unwrap_or_default(), units.0);
            }
        }
        Question::Loads => forces::draw(&mut labels, &sight, answered, &loading, &posing, units.0),
        Question::Change if beside.arrows && beside.way != Way::Apart => {
            if let Some((Ok(told), true, _)) = comparing.told(&desk, units.0) {
                arrows::draw(&mut labels, &sight, &desk, &posing, told);
            }
        }
        _ => {}
    }
    Ok(())
}

/// A line between the two points of every gap that is short in this pose, and of the pair looked at.
fn witnesses(labels: &mut Labels, sight: &Sight, asking: &Asking, looked_at: &Pair, shown: Shown) {
    let Some(gaps) = asking.gaps() else { return };
    for pair in &gaps.pairs {
        let Some(here) = pair.here else { continue };
        let verdict = pair.verdict_here();
        if verdict != Verdict::Clear || looked_at.is(pair) {
            witness(labels, sight, &here, verdict, shown);
        }
    }
}

fn witness(labels: &mut Labels, sight: &Sight, gap: &Gap, verdict: Verdict, shown: Shown) -> Option<()> {
    let [a, b] = gap.witness_mm.map(|p| v(vector(p)));
    let (a, b) = (sight.screen(sight.world(a))?, sight.screen(sight.world(b))?);
    let colour = widgets::colour(verdict);
    labels.painter.line_segment([a, b], Stroke::new(5.0, theme::BLANK));
    labels.painter.line_segment([a, b], Stroke::new(2.5, colour));
    for end in [a, b] {
        labels.painter.circle(end, 3.5, colour, Stroke::new(1.2, theme::BLANK));
    }
    let words = if gap.gap_mm < 0.0 { format!("{} in", shown.length(-gap.gap_mm)) } else { shown.length(gap.gap_mm) };
    // Beside the line, away from the middle of the stage, where the car is not.
    let out = if a.lerp(b, 0.5).x < labels.stage.center().x { -1.0 } else { 1.0 };
    labels.put(a.lerp(b, 0.5), vec2(out * 54.0, -34.0), &words, Some(verdict), colour);
    Some(())
}

/// The limiter to fit, where it stops the steering.
fn limiters(labels: &mut Labels, sight: &Sight, answered: &Answered, posing: &Posing, shown: Shown) -> Option<()> {
    let posed = posing.stands.as_ref()?;
    for way in &answered.answers.lock.ways {
        if way.limiter_mm <= 0.0 {
            continue;
        }
        let front = &answered.study.gear.front;
        // The end of the rack that it stops; of a steering box the pitman arm.
        let end = if way.worst.rack_mm > 0.0 { Side::Right } else { Side::Left };
        let name = if front.described.rack.is_some() { PointName::TieRodInner } else { PointName::PitmanEnd };
        let at = sight.screen(sight.world(v(front.at(&posed.front[end as usize], name)?)))?;
        let words = format!("limiter for {} lock {}", way.way.word(), shown.length(way.limiter_mm));
        labels.put(at, vec2(0.0, 52.0), &words, None, theme::BLUE);
    }
    Some(())
}

/// The plan that is looked at, and its rail.
fn plan<'a>(answered: &'a Answered, bracing: &Bracing) -> Option<(&'a RailPlan, &'a CutPlan)> {
    let plans = answered.answers.cut.plans.iter();
    plans
        .flat_map(|rail| rail.ways.iter().map(move |way| (rail, way)))
        .find(|(rail, way)| bracing.looks_at(&rail.rail, way))
}

/// Where a plan's lines run around the rail, with the stations of its ends.
fn planned(labels: &mut Labels, sight: &Sight, (rail, plan): (&RailPlan, &CutPlan), shown: Shown) {
    let sides = if rail.both_sides { &Side::BOTH[..] } else { &Side::BOTH[..1] };
    for (side, (end, station)) in sides
        .iter()
        .flat_map(|side| CutEnd::BOTH.into_iter().zip([plan.from_mm, plan.to_mm]).map(move |end| (side, end)))
    {
        let lines = plan.lines.iter().filter(|l| l.end == end);
        let lines: Vec<Vec<Pos2>> = lines
            .map(|l| {
                l.marks.iter().filter_map(|m| sight.screen(sight.world(v(side.mirror(vector(m.at_mm)))))).collect()
            })
            .collect();
        for (width, colour) in [(4.5, theme::BLANK), (2.2, theme::BLUE)] {
            for pair in lines.iter().flat_map(|line| line.windows(2)) {
                labels.painter.line_segment([pair[0], pair[1]], Stroke::new(width, colour));
            }
        }
        if let Some(at) = lines.first().and_then(|line| line.first()) {
            labels.put(*at, vec2(0.0, -44.0), &shown.length(station), None, theme::BLUE);
        }
    }
}

/// Where each rail in the way starts to be and stops being so, from its datum.
fn stations(labels: &mut Labels, sight: &Sight, answered: &Answered, shown: Shown) {
    for cut in &answered.answers.cut.rails {
        if let Some(part) = answered.study.parts.body.iter().find(|p| p.name == cut.rail) {
            rail_stations(labels, sight, cut, part, shown);
        }
    }
}

fn rail_stations(labels: &mut Labels, sight: &Sight, cut: &RailCut, part: &Part, shown: Shown) -> Option<()> {
    let run = part.run.as_ref()?;
    let place = |station: f64| {
        let (stretch, along) = run.at_station(station);
        let lerp =
            |k: usize| run.sections[stretch][k] + (run.sections[stretch + 1][k] - run.sections[stretch][k]) * along;
        // The upper edge that is seen best is the outer one.
        sight.screen(sight.world(v(lerp(0))))
    };
    let colour = widgets::colour(cut.verdict);
    for &station in cut.to_clear_mm.iter().flatten() {
        labels.put(place(station)?, vec2(0.0, -44.0), &shown.length(station), None, colour);
    }
    // A piece beyond a cut is measured from a datum that is not on it.
    let datum = run.stations.first().filter(|_| run.has_datum())?;
    let words = format!("{} at the {}", shown.cell(*datum), run.datum);
    labels.put(place(*datum)?, vec2(0.0, -30.0), &words, None, theme::SOFT);
    Some(())
}

impl Labels {
    /// A label beside a place, with a leader to it; moved up or down until it lies over no other.
    fn put(&mut self, at: Pos2, beside: egui::Vec2, words: &str, verdict: Option<Verdict>, colour: Color32) {
        if !self.stage.contains(at) {
            return;
        }
        let galley = self.painter.layout_no_wrap(words.to_owned(), theme::strong(13.0), theme::INK);
        let sign = if verdict.is_some() { 19.0 } else { 0.0 };
        let size = galley.size() + vec2(14.0 + sign, 6.0);
        let mut rect = Rect::from_center_size(at + beside, size);
        let room = self.stage.shrink(6.0);
        let dx = (room.left() - rect.left()).max(0.0) - (rect.right() - room.right()).max(0.0);
        let dy = (room.top() - rect.top()).max(0.0) - (rect.bottom() - room.bottom()).max(0.0);
        rect = rect.translate(vec2(dx, dy));
        let step = if beside.y > 0.0 { size.y + 3.0 } else { -size.y - 3.0 };
        for _ in 0..12 {
            if !self.taken.iter().any(|t| t.expand(2.0).intersects(rect)) {
                break;
            }
            rect = rect.translate(vec2(0.0, step));
        }
        self.taken.push(rect);
        let near = pos2(at.x.clamp(rect.left(), rect.right()), at.y.clamp(rect.top(), rect.bottom()));
        self.painter.line_segment([at, near], Stroke::new(3.0, theme::BLANK));
        self.painter.line_segment([at, near], Stroke::new(1.2, colour));
        self.painter.rect(rect, 3.0, theme::SHEET, Stroke::new(1.4, colour), egui::StrokeKind::Inside);
        if let Some(verdict) = verdict {
            let spot = Rect::from_center_size(pos2(rect.left() + 14.0, rect.center().y), vec2(14.0, 14.0));
            widgets::sign(&self.painter, spot, verdict);
        }
        self.painter.galley(pos2(rect.left() + 7.0 + sign, rect.top() + 3.0), galley, theme::INK);
    }
}
