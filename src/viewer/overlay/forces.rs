//! The forces of a load case: what the ground does to each wheel, and what runs along each member.

use bevy_egui::egui::{Color32, Pos2, Stroke, Vec2, vec2};
use nalgebra::Vector3;

use super::Labels;
use crate::answer::loads::told::{force, times};
use crate::answer::loads::{CaseLoads, Holding, Loads, Sense, Which};
use crate::car::{Hub, PointName, Shown, Side};
use crate::motion::{Alignment, Posed};
use crate::viewer::asking::Answered;
use crate::viewer::camera::Sight;
use crate::viewer::loading::Loading;
use crate::viewer::panels::widgets;
use crate::viewer::posing::Posing;
use crate::viewer::scene::frame::v;
use crate::viewer::theme;

/// How long the largest force on a wheel is drawn, mm.
const LONGEST: f64 = 420.0;

pub(super) fn draw(
    labels: &mut Labels,
    sight: &Sight,
    answered: &Answered,
    loading: &Loading,
    posing: &Posing,
    shown: Shown,
) {
    let Some(Ok(sets)) = answered.later.as_ref().map(|l| &l.loads) else { return };
    let (Some(case), Some(posed)) = (loading.drawn(sets), posing.stands.as_ref()) else { return };
    let loads = sets.told(Some(&case.name));
    let most = case.members.iter().map(|m| m.force_n).fold(1.0, f64::max);
    let scene = Scene { sight, answered, posed, shown, faint: most / 100.0 };
    let chosen = |words: String| loading.part.as_ref() == Some(&words);
    // The one that is looked at lies over the others.
    for only_chosen in [false, true] {
        for member in case.members.iter().filter(|m| chosen(m.which.words()) == only_chosen) {
            scene.member(labels, loads, &member.which, (member.force_n, member.sense), only_chosen);
        }
        for held in loads.holds.members.iter().filter(|m| chosen(m.words()) == only_chosen) {
            scene.bent(labels, held, only_chosen);
        }
    }
    scene.wheels(labels, case);
}

struct Scene<'a, 'w, 's> {
    sight: &'a Sight<'w, 's>,
    answered: &'a Answered,
    posed: &'a Posed,
    shown: Shown,
    /// Members that carry less than this have no heads.
    faint: f64,
}

impl Scene<'_, '_, '_> {
    fn screen(&self, at: Vector3<f64>) -> Option<Pos2> {
        self.sight.screen(self.sight.world(v(at)))
    }

    /// The ground's force on each wheel, from the contact centre.
    fn wheels(&self, labels: &mut Labels, case: &CaseLoads) {
        let most = case.wheels.iter().map(|w| Vector3::from(w.force_n).norm()).fold(1.0, f64::max);
        let up = self.posed.ground.normal;
        let forward = (Vector3::x() - up * up.x).normalize();
        let left = up.cross(&forward);
        for wheel in &case.wheels {
            let hub = Hub { axle: wheel.axle, side: wheel.side };
            let (Some(axle), Some(pose)) = (self.answered.study.gear.axle(hub.axle), self.posed.wheel(hub)) else {
                continue;
            };
            let contact = Alignment::of(axle, pose, &self.posed.ground).contact;
            let [x, y, z] = wheel.force_n;
            let size = Vector3::from(wheel.force_n).norm();
            let tip = contact + (forward * x + left * y + up * z) * (LONGEST / most);
            let (Some(from), Some(to)) = (self.screen(contact), self.screen(tip)) else { continue };
            if size > 1.0 {
                line(labels, [from, to], 2.5, theme::BLUE);
                head(labels, to, to - from, theme::BLUE);
            }
            let out = if to.x < labels.stage.center().x { -1.0 } else { 1.0 };
            labels.put(to, vec2(out * 50.0, -26.0), &force(size, self.shown), None, theme::BLUE);
        }
    }

    /// A line along a member, with heads that point at each other where it is pushed and apart where it is pulled.
    fn member(
        &self,
        labels: &mut Labels,
        loads: &Loads,
        which: &Which,
        (size, sense): (f64, Sense),
        chosen: bool,
    ) -> Option<()> {
        let side = which.side.unwrap_or(Side::Left);
        let axle = self.answered.study.gear.axle(which.axle)?;
        let pose = self.posed.wheel(Hub { axle: which.axle, side })?;
        let at = |name: PointName| self.screen(axle.at(pose, name)?);
        let [a, b] = which.between.map(at);
        let (a, b) = (a?, b?);
        let words = which.words();
        let verdict = loads.holds.members.iter().find(|m| m.words() == words).map(|m| m.verdict);
        let colour = verdict.map_or(theme::SOFT, widgets::colour);
        line(labels, [a, b], if chosen { 4.0 } else { 2.0 }, colour);
        let along = b - a;
        if along.length() > 30.0 && size > self.faint {
            let [near, far] = [0.38, 0.62].map(|share| a.lerp(b, share));
            match sense {
                Sense::Compression => (head(labels, near, along, colour), head(labels, far, -along, colour)),
                Sense::Tension => (head(labels, near, -along, colour), head(labels, far, along, colour)),
            };
        }
        if chosen {
            let words = format!("{} {}", force(size, self.shown), sense.word());
            labels.put(a.lerp(b, 0.5), vec2(0.0, -46.0), &words, verdict, colour);
        }
        Some(())
    }
}

impl Scene<'_, '_, '_> {
    /// A trailing arm or an axle tube, which is bent and twisted rather than pulled.
    fn bent(&self, labels: &mut Labels, held: &Holding, chosen: bool) -> Option<()> {
        let axle = self.answered.study.gear.axle(held.axle)?;
        let wheel = |side| self.posed.wheel(Hub { axle: held.axle, side });
        let (from, to) = match (held.part, held.side) {
            ("trailing arm", Some(side)) => {
                let pose = wheel(side)?;
                let [inner, outer] = [PointName::ArmInner, PointName::ArmOuter].map(|name| axle.at(pose, name));
                ((inner? + outer?) / 2.0, pose.wheel_centre)
            }
            ("axle tube", _) => (wheel(Side::Left)?.wheel_centre, wheel(Side::Right)?.wheel_centre),
            _ => return None,
        };
        let (a, b) = (self.screen(from)?, self.screen(to)?);
        let colour = widgets::colour(held.verdict);
        line(labels, [a, b], if chosen { 4.0 } else { 2.0 }, colour);
        if chosen {
            let words = format!("factor {}", times(held.factor));
            labels.put(a.lerp(b, 0.5), vec2(0.0, -46.0), &words, Some(held.verdict), colour);
        }
        Some(())
    }
}

fn line(labels: &Labels, ends: [Pos2; 2], width: f32, colour: Color32) {
    labels.painter.line_segment(ends, Stroke::new(width + 2.0, theme::BLANK));
    labels.painter.line_segment(ends, Stroke::new(width, colour));
}

/// An arrow's head with its tip at a place.
fn head(labels: &Labels, tip: Pos2, along: Vec2, colour: Color32) {
    let along = along.normalized();
    let across = vec2(-along.y, along.x);
    let back = tip - along * 10.0;
    let corners = vec![tip, back + across * 4.5, back - across * 4.5];
    labels.painter.add(bevy_egui::egui::Shape::convex_polygon(corners, colour, Stroke::new(1.0, theme::BLANK)));
}
