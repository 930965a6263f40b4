//! The table of gaps: every pair here and at its worst. Pressing a row poses the car at its worst.

use bevy_egui::egui::{Button, Label, RichText, Ui};
use nalgebra::Vector2;

use super::{View, widgets};
use crate::answer::gaps::PoseTold;
use crate::answer::{Gaps, PairGap, SLACK, WorstPose};
use crate::car::{Hub, Shown};
use crate::motion::Pose;
use crate::space::Role;
use crate::viewer::asking::Answered;
use crate::viewer::theme;

pub(super) fn table(ui: &mut Ui, view: &mut View, answered: &Answered) {
    let Some(gaps) = view.asking.gaps().cloned() else { return };
    let shown = view.units.0;
    if ui.add(Button::new("Map over bump and steer").selected(view.mapping.open)).clicked() {
        view.mapping.open = !view.mapping.open;
        view.laying.open = false;
    }
    ui.add(Label::new(RichText::new(proof(&gaps.pairs, answered, shown)).size(12.0).color(theme::SOFT)).wrap());
    widgets::row_head(ui, &format!("Gap, {}", shown.sign()), &["here", "least", "wanted"]);
    for pair in &gaps.pairs {
        let chosen = view.pair.is(pair);
        let here = pair.here.map_or("–".to_owned(), |g| shown.cell(g.gap_mm));
        let cells = [
            (here, widgets::colour(pair.verdict_here())),
            (shown.cell(pair.worst.gap.gap_mm), widgets::colour(pair.verdict)),
            (shown.cell(pair.wanted_mm), theme::SOFT),
        ];
        let hint = format!("{} against {}. {} Press to pose the car there.", pair.a, pair.b, known(pair, shown));
        if widgets::row(ui, pair.verdict, &words(pair), (&cells, 1), chosen).on_hover_text(hint).clicked() {
            view.pair.0 = Some([pair.a.clone(), pair.b.clone()]);
            if let Some(pose) = worst_pose(answered, pair.wheel, &pair.worst.at) {
                view.posing.take(pose);
            }
        }
        if chosen {
            ui.add(Label::new(RichText::new(known(pair, shown)).size(12.0).color(theme::SOFT)).wrap());
        }
    }
    beside(ui, &gaps);
}

/// What stands below the table on the command line too: what is to be known, and the pairs that the car file leaves out.
fn beside(ui: &mut Ui, gaps: &Gaps) {
    ui.spacing_mut().item_spacing.y = 4.0;
    ui.add_space(4.0);
    for note in &gaps.notes {
        ui.add(Label::new(RichText::new(note).size(12.0)).wrap());
    }
    for pair in &gaps.ignored {
        let text = format!("Ignored, as the car file says: {} and {}, {}.", pair.a, pair.b, pair.why);
        ui.add(Label::new(RichText::new(text).size(12.0).color(theme::SOFT)).wrap());
    }
}

/// How far the table can be trusted.
fn proof(pairs: &[PairGap], answered: &Answered, shown: Shown) -> String {
    let count = pairs.len();
    let proven = pairs.iter().filter(|p| p.worst.at_least_mm.is_some()).count();
    if !answered.proven {
        "Searched; the proof is still running \u{2026}".to_owned()
    } else if proven == count {
        format!(
            "Proven: no pose of the sweep is worse by more than {}, or a twentieth of what is in hand.",
            shown.length(SLACK)
        )
    } else {
        format!("{proven} of {count} are proven: no pose of the sweep is worse; the others are searched only.")
    }
}

/// What is known of the pair that is looked at.
fn known(pair: &PairGap, shown: Shown) -> String {
    let at = format!("Least at {}.", pair.worst.at.told(shown));
    let proven = match pair.worst.at_least_mm {
        Some(mm) => format!(" Proven: nowhere less than {}.", shown.length(mm).replace('-', "\u{2212}")),
        None => " Searched, not proven.".to_owned(),
    };
    let sure = pair.doubt.map_or_else(String::new, |d| {
        let chance = if d.touch_chance >= 0.001 {
            format!(", {:.0} % that it touches", d.touch_chance * 100.0)
        } else {
            String::new()
        };
        format!(" As measured give or take {}{chance}.", shown.length(d.doubt_mm))
    });
    format!("{at}{proven}{sure}")
}

/// The pose in which something at a wheel, or at the ground, is worst.
pub(super) fn worst_pose(answered: &Answered, wheel: Option<Hub>, at: &WorstPose) -> Option<Pose> {
    match *at {
        WorstPose::Wheel { travel_mm, rack_mm, other_travel_mm } => {
            let beside = rack_mm.or(other_travel_mm).unwrap_or(0.0);
            answered.study.pose_at(wheel?, Vector2::new(travel_mm, beside))
        }
        WorstPose::Body(PoseTold { heave_mm, roll_deg, pitch_deg, rack_mm }) => {
            Some(Pose { heave: heave_mm, roll: roll_deg.to_radians(), pitch: pitch_deg.to_radians(), rack: rack_mm })
        }
    }
}

/// A pair as a row calls it: what both parts share is said once.
fn words(pair: &PairGap) -> String {
    // A body part may have `rear` in its own name; a part of the rear axle has it from there.
    let of_axle = matches!(pair.place.b, Role::Moving(..));
    widgets::pair_words(&pair.a, &pair.b, of_axle)
}
