//! The panels around the stage. They read what there is, and change nothing but through commands and the pose.

mod bottom;
mod left;
mod top;
mod widgets;

use bevy::ecs::system::SystemParam;
use bevy::prelude::*;
use bevy_egui::egui::{self, Frame, LayerId, Margin, Panel, Stroke, UiBuilder};
use bevy_egui::{EguiContexts, EguiPrimaryContextPass};

use super::camera::{Look, Stage};
use super::desk::{Command, Desk, Notice};
use super::posing::Posing;
use super::scene::layer::Hidden;
use super::theme;
use crate::car::Shown;

pub(super) fn plugin(app: &mut App) {
    app.init_resource::<Units>().add_systems(EguiPrimaryContextPass, lay_out);
}

/// The units that are shown.
#[derive(Resource, Debug, Default, Clone, Copy)]
pub struct Units(pub Shown);

/// All that the panels read and speak to.
#[derive(SystemParam)]
struct View<'w> {
    desk: Res<'w, Desk>,
    posing: ResMut<'w, Posing>,
    hidden: ResMut<'w, Hidden>,
    units: ResMut<'w, Units>,
    stage: ResMut<'w, Stage>,
    notice: ResMut<'w, Notice>,
    commands: MessageWriter<'w, Command>,
    looks: MessageWriter<'w, Look>,
}

fn lay_out(mut contexts: EguiContexts, mut view: View, mut dressed: Local<bool>) -> Result {
    let ctx = contexts.ctx_mut()?;
    if !std::mem::replace(&mut *dressed, true) {
        theme::dress(ctx);
        // Fonts arrive with the next pass.
        return Ok(());
    }
    let whole = UiBuilder::new().layer_id(LayerId::background()).max_rect(ctx.viewport_rect());
    let mut root = egui::Ui::new(ctx.clone(), "window".into(), whole);
    let frame = |x, y| {
        Frame::new().fill(theme::SHEET).inner_margin(Margin::symmetric(x, y)).stroke(Stroke::NONE)
    };
    Panel::top("top").frame(frame(12, 6)).show_inside(&mut root, |ui| top::show(ui, &mut view));
    Panel::bottom("bottom").frame(frame(14, 10)).show_inside(&mut root, |ui| bottom::show(ui, &mut view));
    Panel::left("left")
        .frame(frame(0, 0))
        .resizable(false)
        .exact_size(316.0)
        .show_inside(&mut root, |ui| left::show(ui, &mut view));
    view.stage.rect = root.available_rect_before_wrap();
    Ok(())
}
