//! What can be shown and hidden, part by part.

use bevy::camera::visibility::VisibilitySystems;
use bevy::prelude::*;

use crate::viewer::desk::Desk;

pub(super) fn plugin(app: &mut App) {
    app.init_resource::<Hidden>()
        .add_systems(Update, show_and_hide)
        .add_systems(PostUpdate, dry_or_wet.after(VisibilitySystems::VisibilityPropagate));
}

/// A kind of part, as the show list names it.
#[derive(Component, Debug, Clone, Copy, PartialEq, Eq)]
pub enum Layer {
    /// Pickup points and rail corners.
    Points,
    /// Arms, links, rockers and their rods.
    Arms,
    /// Uprights and stiff axles.
    Uprights,
    /// Tie rods, and the rack or box that moves them.
    Steering,
    /// Dampers and springs.
    Dampers,
    /// Anti-roll bars with their levers and drop links.
    Bars,
    /// Tyres.
    Tyres,
    /// Rims and brakes.
    Rims,
    /// Frame rails.
    Rails,
    /// Wheel arches and other panels.
    Panels,
    /// Fixed tubes, engine, sump, exhaust.
    Fixed,
    /// Splitter.
    Splitter,
    /// Ground and its grid.
    Ground,
    /// What a proposal is compared with, behind it: the car as found most often.
    Ghost,
    /// All the space that a tyre takes up.
    KeepOut,
}

impl Layer {
    /// All of them, as listed, with their words.
    pub const ALL: [(Self, &'static str); 15] = [
        (Self::Points, "Pickup points"),
        (Self::Arms, "Arms and links"),
        (Self::Uprights, "Uprights and axles"),
        (Self::Steering, "Steering and tie rods"),
        (Self::Dampers, "Dampers"),
        (Self::Bars, "Anti-roll bars"),
        (Self::Tyres, "Tyres"),
        (Self::Rims, "Rims and brakes"),
        (Self::Rails, "Rails"),
        (Self::Panels, "Panels"),
        (Self::Fixed, "Cage, engine, exhaust"),
        (Self::Splitter, "Splitter"),
        (Self::Ground, "Ground"),
        (Self::Ghost, "As found, behind a proposal"),
        (Self::KeepOut, "Keep-out"),
    ];
}

/// The layers that are hidden now.
#[derive(Resource, Debug)]
pub struct Hidden(pub Vec<Layer>);

impl Default for Hidden {
    fn default() -> Self {
        Self(vec![Layer::KeepOut])
    }
}

impl Hidden {
    /// Whether a layer is shown.
    pub fn shows(&self, layer: Layer) -> bool {
        !self.0.contains(&layer)
    }

    /// Shows what is hidden and hides what is shown.
    pub fn toggle(&mut self, layer: Layer) {
        match self.0.iter().position(|l| *l == layer) {
            Some(i) => drop(self.0.remove(i)),
            None => self.0.push(layer),
        }
    }
}

fn show_and_hide(hidden: Res<Hidden>, desk: Res<Desk>, mut drawn: Query<(&Layer, &mut Visibility)>) {
    for (layer, mut visibility) in &mut drawn {
        // Behind the car as found there is nothing to compare with.
        let shows = hidden.shows(*layer) && (*layer != Layer::Ghost || desk.proposal().is_some());
        visibility.set_if_neq(if shows { Visibility::Inherited } else { Visibility::Hidden });
    }
}

/// The inked edges of a part. Bevy draws a [`Gizmo`] whether its entity is visible or not, so it gets its lines only
/// while they are to be seen.
#[derive(Component, Debug)]
pub struct Ink(pub Handle<GizmoAsset>);

fn dry_or_wet(mut inked: Query<(&Ink, &InheritedVisibility, &mut Gizmo)>) {
    for (ink, visible, mut gizmo) in &mut inked {
        let wanted = if visible.get() { ink.0.clone() } else { Handle::default() };
        if gizmo.handle != wanted {
            gizmo.handle = wanted;
        }
    }
}
