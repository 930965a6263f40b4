//! The table of gaps: every pair here and at its worst. Pressing a row poses the car at its worst.

use bevy_egui::egui::{Button, CollapsingHeader, Id, Label, RichText, TextEdit, Ui, vec2};
use nalgebra::{Vector2, Vector3};

use super::{View, widgets};
use crate::answer::gaps::PoseTold;
use crate::answer::{Gaps, PairGap, SLACK, WorstPose};
use crate::car::{Edit, Hub, Ignored, Shown};
use crate::motion::Pose;
use crate::space::Role;
use crate::viewer::asking::{Answered, Question};
use crate::viewer::camera::Look;
use crate::viewer::desk::Command;
use crate::viewer::plotting::Shows;
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
            closer(ui, view, pair);
        }
    }
    beside(ui, view, &gaps);
    left_out(ui, view, answered);
}

/// What can be done with the pair that is looked at.
fn closer(ui: &mut Ui, view: &mut View, pair: &PairGap) {
    let id = Id::new(("leaving out", &pair.a, &pair.b));
    let mut leaving = ui.data(|d| d.get_temp::<Leaving>(id)).unwrap_or_default();
    ui.horizontal(|ui| {
        let button = |ui: &mut Ui, word: &str, hint: &str| {
            ui.add(Button::new(RichText::new(word).size(12.5)).small()).on_hover_text(hint).clicked()
        };
        if button(ui, "Look closer", "Flies to the place where they come nearest") {
            let [a, b] = pair.worst.gap.witness_mm.map(Vector3::from);
            view.stage.look_at = Some([a.inf(&b).add_scalar(-AROUND), a.sup(&b).add_scalar(AROUND)]);
            view.looks.write(Look::There);
        }
        if button(ui, "Curve", "The gap along travel, heave, roll, pitch or steering") {
            view.plotting.shows = Shows::gap(pair);
            *view.question = Question::Curves;
            view.laying.open = false;
        }
        if button(ui, "Leave out \u{2026}", "Not measured any more, for a reason that is kept in the car file") {
            leaving.open = !leaving.open;
        }
    });
    if leaving.open {
        let names = view.desk.looked_at().parts.names();
        let pair = both_or_one(ui, &mut leaving, [&pair.a, &pair.b], &names);
        ui.horizontal(|ui| {
            let room = ui.available_width() - 84.0;
            ui.add(TextEdit::singleline(&mut leaving.why).hint_text("why").desired_width(room));
            let can = !leaving.why.trim().is_empty();
            if ui.add_enabled(can, Button::new("Leave out")).on_disabled_hover_text("Say why first").clicked() {
                let why = std::mem::take(&mut leaving.why).trim().to_owned();
                view.commands.write(Command::Edit(Edit::IgnorePair { pair, why }));
                leaving.open = false;
            }
        });
    }
    ui.data_mut(|d| d.insert_temp(id, leaving));
}

/// So much around the nearest places is looked at, mm.
const AROUND: f64 = 260.0;

/// A pair that is about to be left out.
#[derive(Debug, Clone, Default)]
struct Leaving {
    open: bool,
    why: String,
    /// This side's only.
    alone: bool,
}

/// Both parts as the car file is to call them: without their side where the other side's pair is meant too. Offered only where
/// both parts are there on either side, or one is in the middle: `left arm` and `right rail` is a pair by itself.
fn both_or_one(ui: &mut Ui, leaving: &mut Leaving, pair: [&str; 2], names: &[String]) -> [String; 2] {
    let own = pair.map(str::to_owned);
    let sides = pair.map(|part| ["left ", "right "].into_iter().find(|side| part.starts_with(side)));
    let side = match sides {
        [Some(a), Some(b)] if a == b => a,
        [Some(side), None] | [None, Some(side)] => side,
        _ => return own,
    };
    let bare = pair.map(|part| part.strip_prefix(side).unwrap_or(part).to_owned());
    if !bare.iter().all(|part| names.contains(part)) {
        return own;
    }
    ui.checkbox(&mut leaving.alone, RichText::new(format!("on the {side}alone")).size(12.5));
    if leaving.alone { own } else { bare }
}

/// The pairs that are left out because their parts are joined: each can be measured all the same.
fn left_out(ui: &mut Ui, view: &mut View, answered: &Answered) {
    CollapsingHeader::new(RichText::new("Left out because they are joined").size(12.5)).show(ui, |ui| {
        // For all rows alike: a row that is a little too wide would make the next one wider.
        let room = (ui.available_width() - 96.0).max(60.0);
        for pair in answered.study.left_out() {
            ui.horizontal(|ui| {
                let text = format!("{}: {}.", widgets::pair_words(&pair.a, &pair.b, false), pair.why);
                ui.allocate_ui(vec2(room, 0.0), |ui| {
                    ui.set_width(room);
                    ui.add(Label::new(RichText::new(text).size(12.0).color(theme::SOFT)).wrap());
                });
                let hint = "Measures this pair all the same: the car file's `measure` says so";
                if ui.add(Button::new("Measure").small()).on_hover_text(hint).clicked() {
                    let pair = [pair.a.clone(), pair.b.clone()];
                    view.commands.write(Command::Edit(Edit::MeasurePair { pair, wanted: None }));
                }
            });
        }
    });
}

/// What stands below the table on the command line too: what is to be known, and the pairs that the car file leaves out.
fn beside(ui: &mut Ui, view: &mut View, gaps: &Gaps) {
    ui.spacing_mut().item_spacing.y = 4.0;
    ui.add_space(4.0);
    for note in &gaps.notes {
        ui.add(Label::new(RichText::new(note).size(12.0)).wrap());
    }
    // As the car file has them: one entry may be about both sides.
    let desk = std::sync::Arc::clone(view.desk.looked_at());
    let room = (ui.available_width() - 130.0).max(60.0);
    for Ignored(a, b, why) in &desk.car.ignore {
        ui.horizontal(|ui| {
            let text = format!("Ignored, as the car file says: {a} and {b}, {why}.");
            ui.allocate_ui(vec2(room, 0.0), |ui| {
                ui.set_width(room);
                ui.add(Label::new(RichText::new(text).size(12.0).color(theme::SOFT)).wrap());
            });
            if ui.add(Button::new("Measure again").small()).clicked() {
                view.commands.write(Command::Edit(Edit::HeedPair { pair: [a.clone(), b.clone()] }));
            }
        });
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
