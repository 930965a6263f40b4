//! The panels around the stage. They read what there is, and change nothing but through commands and the pose.

mod alignment;
mod better;
mod bottom;
mod bracing;
mod brakes;
mod change;
mod chosen;
mod curves;
mod cut;
mod gaps;
mod growing;
mod help;
mod left;
mod loads;
mod lock;
mod map;
mod paper;
mod questions;
mod ride;
mod scans;
mod sheets;
mod springs;
mod stance;
mod stiffness;
mod top;
mod tubes;
mod wheels;
pub mod widgets;
mod wipe;

use std::sync::Arc;

use bevy::ecs::system::SystemParam;
use bevy::prelude::*;
use bevy_egui::egui::{self, Frame, LayerId, Margin, Panel, Stroke, UiBuilder};
use bevy_egui::{EguiContexts, EguiPrimaryContextPass};

use super::asking::{Asking, Pair, Question};
use super::beside::Beside;
use super::bettering::Bettering;
use super::bracing::Bracing;
use super::camera::{Look, Stage};
use super::comparing::Comparing;
use super::desk::{Command, Desk, Notice};
use super::files::FileWish;
use super::filming::Filming;
use super::laying::Laying;
use super::loading::Loading;
use super::mapping::Mapping;
use super::marking::{Mark, Marking};
use super::plotting::Plotting;
use super::posing::Posing;
use super::printing::Printing;
use super::scene::layer::Hidden;
use super::theme;
use crate::answer::ride::Ride;
use crate::answer::{BrakeAsk, RideAsk, Study};
use crate::car::{AxleName, Car, Shown};

pub(super) fn plugin(app: &mut App) {
    app.init_resource::<Units>()
        .init_resource::<AxleShown>()
        .init_resource::<Help>()
        .init_resource::<Wishing>()
        .add_systems(EguiPrimaryContextPass, lay_out);
}

/// The units that are shown.
#[derive(Resource, Debug, Default, Clone, Copy)]
pub struct Units(pub Shown);

/// The axle whose numbers are read and plotted.
#[derive(Resource, Debug, Default, Clone, Copy, PartialEq)]
pub struct AxleShown(pub AxleName);

impl AxleShown {
    /// The same, on a car that may describe but one.
    pub fn of(self, car: &Car) -> AxleName {
        if car.axle(self.0).is_some() { self.0 } else { AxleName::Front }
    }
}

/// What is wished of ride and brakes.
#[derive(Resource, Debug, Default)]
pub struct Wishing {
    /// Ride frequencies that springs are looked for, front and rear.
    pub ride: RideAsk,
    /// How hard the foot presses, how the tyres grip, and where brakes are to be ideal.
    pub brakes: BrakeAsk,
    /// The last answer: of which car, to which wishes.
    rides: Option<(Arc<Study>, RideAsk, Arc<Ride>)>,
}

impl Wishing {
    /// How a car rides, worked out when it or the wishes are others.
    fn ride_of(&mut self, study: &Arc<Study>) -> Arc<Ride> {
        let known = self.rides.take().filter(|(of, ask, _)| Arc::ptr_eq(of, study) && *ask == self.ride);
        let rides = known.unwrap_or_else(|| (Arc::clone(study), self.ride, Arc::new(study.ride(&self.ride))));
        Arc::clone(&self.rides.insert(rides).2)
    }
}

/// Whether the list of shortcuts is open.
#[derive(Resource, Debug, Default, Clone, Copy)]
pub struct Help(pub bool);

/// All that the panels read and speak to.
#[derive(SystemParam)]
pub(super) struct View<'w> {
    desk: Res<'w, Desk>,
    asking: Res<'w, Asking>,
    question: ResMut<'w, Question>,
    pair: ResMut<'w, Pair>,
    marking: ResMut<'w, Marking>,
    laying: ResMut<'w, Laying>,
    loading: ResMut<'w, Loading>,
    plotting: ResMut<'w, Plotting>,
    mapping: ResMut<'w, Mapping>,
    bracing: ResMut<'w, Bracing>,
    comparing: ResMut<'w, Comparing>,
    bettering: ResMut<'w, Bettering>,
    beside: ResMut<'w, Beside>,
    printing: ResMut<'w, Printing>,
    filming: ResMut<'w, Filming>,
    wishing: ResMut<'w, Wishing>,
    posing: ResMut<'w, Posing>,
    hidden: ResMut<'w, Hidden>,
    units: ResMut<'w, Units>,
    axle: ResMut<'w, AxleShown>,
    stage: ResMut<'w, Stage>,
    notice: ResMut<'w, Notice>,
    help: ResMut<'w, Help>,
    commands: MessageWriter<'w, Command>,
    looks: MessageWriter<'w, Look>,
    files: MessageWriter<'w, FileWish>,
}

/// What stands at the right of the stage, where something does: a scan that is being laid, a plot, a paper.
fn aside(root: &mut egui::Ui, view: &mut View) {
    let window = root.ctx().viewport_rect().width();
    let mut width = curves::width(window);
    let show: fn(&mut egui::Ui, &mut View) = match *view.question {
        _ if view.laying.open => scans::show,
        Question::Curves => curves::show,
        Question::Gaps | Question::Lock if view.mapping.open => map::show,
        Question::Cut if view.bracing.open => bracing::show,
        Question::Change if view.comparing.open && view.desk.proposal().is_some() => growing::show,
        Question::Sheets if view.printing.open.is_some() => {
            width = paper::width(window);
            paper::show
        }
        _ => {
            view.stage.aside = 0.0;
            return;
        }
    };
    view.stage.aside = width;
    let frame = Frame::new().fill(theme::SHEET).inner_margin(Margin::symmetric(14, 10));
    Panel::right("aside").frame(frame).resizable(false).exact_size(width).show_inside(root, |ui| show(ui, view));
}

pub(super) fn lay_out(mut contexts: EguiContexts, mut view: View, mut dressed: Local<bool>) -> Result {
    let ctx = contexts.ctx_mut()?;
    if !std::mem::replace(&mut *dressed, true) {
        theme::dress(ctx);
        // Fonts arrive with the next pass.
        return Ok(());
    }
    let whole = UiBuilder::new().layer_id(LayerId::background()).max_rect(ctx.viewport_rect());
    let mut root = egui::Ui::new(ctx.clone(), "window".into(), whole);
    let frame = |x, y| Frame::new().fill(theme::SHEET).inner_margin(Margin::symmetric(x, y)).stroke(Stroke::NONE);
    Panel::top("top").frame(frame(12, 6)).show_inside(&mut root, |ui| top::show(ui, &mut view));
    Panel::left("left")
        .frame(frame(0, 0))
        .resizable(false)
        .exact_size(330.0)
        .show_inside(&mut root, |ui| left::show(ui, &mut view));
    Panel::bottom("bottom")
        .exact_size(124.0)
        .frame(frame(14, 8))
        .show_inside(&mut root, |ui| bottom::show(ui, &mut view));
    // What was chosen may have gone with an undo, or with another proposal; what is held stays held.
    let there = |mark: &Mark| mark.measured(view.desk.looked_at()).is_some();
    if !view.desk.trying() && view.marking.chosen.as_ref().is_some_and(|mark| !there(mark)) {
        view.marking.chosen = None;
    }
    if let Some(mark) = view.marking.chosen.clone() {
        Panel::bottom("chosen").frame(frame(14, 6)).show_inside(&mut root, |ui| chosen::show(ui, &mut view, &mark));
    }
    aside(&mut root, &mut view);
    help::shortcuts(&root.ctx().clone(), &mut view);
    help::notice(&root.ctx().clone(), &mut view);
    view.stage.rect = root.available_rect_before_wrap();
    wipe::show(&root.ctx().clone(), &mut view);
    Ok(())
}
