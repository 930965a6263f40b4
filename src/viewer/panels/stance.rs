//! The table of how the car stands: ride heights and ramps in the pose that is shown, and the underside over the whole sweep.
//! Pressing a part of the underside stands the car where it comes lowest.

use bevy_egui::egui::{Grid, Label, RichText, Ui, vec2};

use super::{View, gaps, widgets};
use crate::answer::stance::{Stance, Underside};
use crate::answer::words::capital;
use crate::answer::{Told, Verdict};
use crate::car::Shown;
use crate::viewer::asking::Answered;
use crate::viewer::theme;

pub(super) fn table(ui: &mut Ui, view: &mut View, answered: &Answered) {
    let shown = view.units.0;
    let Some(stance) = view.asking.stance().cloned() else {
        ui.label(RichText::new("working \u{2026}").color(theme::SOFT));
        return;
    };
    ui.horizontal_top(|ui| {
        widgets::sign_in(ui, stance.verdict);
        ui.add(Label::new(RichText::new(stance.sentence(shown)).size(12.5)).wrap());
    });
    ui.add_space(6.0);
    underside(ui, view, answered, &stance.underside);
    heights(ui, &stance, shown);
    ramps(ui, &stance, shown);
    scrapes(ui, &stance.underside, shown);
}

fn underside(ui: &mut Ui, view: &mut View, answered: &Answered, underside: &Underside) {
    let shown = view.units.0;
    if underside.parts.is_empty() {
        return;
    }
    widgets::row_head(ui, &format!("Underside, {}", shown.sign()), &["here", "least", "wanted"]);
    for part in &underside.parts {
        // A splitter is trimmed and stayed corner by corner; of the rest the lowest will do.
        let corners = if part.splitter { usize::MAX } else { 1 };
        for c in part.corners.iter().take(corners) {
            let verdict = Verdict::of(c.least_mm, part.wanted_mm);
            let here = Verdict::of(c.here_mm, part.wanted_mm);
            let cells = [
                (shown.cell(c.here_mm), widgets::colour(here)),
                (shown.cell(c.least_mm), widgets::colour(verdict)),
                (shown.cell(part.wanted_mm), theme::SOFT),
            ];
            let proven = match c.at_least_mm {
                Some(mm) => format!("Proven: nowhere lower than {}.", shown.length(mm)),
                None => "Searched, not proven.".to_owned(),
            };
            let hint = format!(
                "{} at {}. Least at {}. {proven} Press to stand the car there.",
                capital(&part.part),
                c.told(shown),
                c.at.told(shown)
            );
            let row = widgets::row(ui, verdict, &place(&part.part, c.at_mm, part.splitter, shown), (&cells, 1), false);
            let row = row.on_hover_text(hint);
            if row.clicked()
                && let Some(pose) = gaps::worst_pose(answered, None, &c.at)
            {
                view.posing.take(pose);
            }
        }
    }
    ui.add_space(8.0);
}

/// A part, and which corner of a splitter.
fn place(part: &str, [x, y, _]: [f64; 3], corner: bool, shown: Shown) -> String {
    let whole = |mm: f64| format!("{:.0}", shown.number(mm) + 0.0);
    let at = if corner { format!(" {}, {}", whole(x), whole(y)) } else { String::new() };
    capital(part) + &at.replace('-', "\u{2212}")
}

fn heights(ui: &mut Ui, stance: &Stance, shown: Shown) {
    if stance.heights.is_empty() {
        let text = "No datums in this car file: add `datums`, where ride heights are taken.";
        ui.add(Label::new(RichText::new(text).size(12.0).color(theme::SOFT)).wrap());
        ui.add_space(6.0);
        return;
    }
    Grid::new("heights").num_columns(3).spacing(vec2(10.0, 0.0)).min_row_height(22.0).show(ui, |ui| {
        widgets::heading(ui, &format!("Ride heights, {}", shown.sign()));
        for head in ["here", "at ride"] {
            widgets::right(ui, RichText::new(head).font(theme::strong(12.0)).color(theme::SOFT));
        }
        ui.end_row();
        for height in &stance.heights {
            ui.label(RichText::new(capital(&height.name)).size(12.5));
            widgets::right(ui, RichText::new(shown.cell(height.height_mm)));
            widgets::right(ui, RichText::new(shown.cell(height.ride_mm)).color(theme::SOFT));
            ui.end_row();
        }
    });
    ui.add_space(8.0);
}

fn ramps(ui: &mut Ui, stance: &Stance, shown: Shown) {
    Grid::new("ramps").num_columns(2).spacing(vec2(10.0, 0.0)).min_row_height(22.0).show(ui, |ui| {
        widgets::heading(ui, "Ramps and kerbs, as it stands here");
        ui.end_row();
        let mut row = |what: &str, part: &str, number: String, hint: String| {
            ui.label(RichText::new(format!("{what}: {part}")).size(12.5)).on_hover_text(hint);
            widgets::right(ui, RichText::new(number));
            ui.end_row();
        };
        let degrees = |angle: f64| format!("{angle:.1}\u{b0}");
        if let Some(low) = &stance.lowest {
            row("Lowest", &low.part, shown.cell(low.height_mm), low.told(shown));
        }
        for (name, ramp) in stance.ramps() {
            row(&capital(name), &ramp.part, degrees(ramp.angle_deg), ramp.told(shown));
        }
        if let Some(loading) = &stance.loading {
            row("Steepest trailer ramp", &loading.part, degrees(loading.angle_deg), loading.told());
        }
        for (name, kerb) in [("Kerb ahead", &stance.kerb_ahead), ("Kerb behind", &stance.kerb_behind)] {
            if let Some(kerb) = kerb {
                row(name, &kerb.part, shown.cell(kerb.height_mm), kerb.told(shown));
            }
        }
    });
    ui.add_space(8.0);
}

fn scrapes(ui: &mut Ui, underside: &Underside, shown: Shown) {
    if underside.scrapes.is_empty() {
        return;
    }
    Grid::new("scrapes").num_columns(2).spacing(vec2(10.0, 0.0)).min_row_height(22.0).show(ui, |ui| {
        widgets::heading(ui, &format!("Scrapes as the body comes down, {}", shown.sign()));
        ui.end_row();
        for scrape in &underside.scrapes {
            let held = if scrape.held_up { " (held up before)" } else { "" };
            let words = format!("{}{held}", capital(&scrape.part));
            ui.label(RichText::new(words).size(12.5)).on_hover_text(scrape.told(shown));
            widgets::right(ui, RichText::new(shown.cell(scrape.drop_mm)));
            ui.end_row();
        }
    });
}
