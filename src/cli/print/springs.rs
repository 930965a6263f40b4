//! Springs, dampers, bars and joints.

use super::{Unwritten, headline, plain, whole};
use crate::answer::springs::{JointSwing, Springs, WheelSprings};
use crate::answer::{Told, words};
use crate::car::{Hub, Shown};
use crate::cli::args::{Asked, Form};
use crate::cli::table::Table;

/// What is left of strokes and swings. As CSV: the first table, a row for each wheel at bump, ride height and droop.
pub fn springs(asked: &Asked, springs: &Springs) -> Result<(), Unwritten> {
    let shown = asked.shown();
    let heights = heights(springs, shown);
    match asked.form() {
        Form::Json => whole(asked, "springs", springs.sentence(shown), springs),
        Form::Csv => plain(&heights.csv()?),
        Form::Text => {
            let mut text = headline(springs.verdict, &springs.sentence(shown)) + "\n" + &heights.text();
            if springs.wheels.iter().any(|w| w.stroke.is_some()) {
                text += "\nDampers: what the sweep leaves of the stroke, and the travel of both wheels at its ends.\n";
                text += &strokes(springs, shown).text();
            }
            for rod in &springs.unreached {
                text += &format!("\nThe {} reaches no further than {}.\n", rod.words(), rod.at.told(shown));
            }
            for bar in &springs.bars {
                text += &format!(
                    "\n{} anti-roll bar: {} between levers, {:.1} Nm/deg.\n",
                    words::capital(bar.axle.word()),
                    shown.length(bar.length_mm),
                    bar.tube_nm_per_deg
                );
                let mut table = Table::new([
                    "side".to_owned(),
                    format!("lever {}", shown.sign()),
                    "lever end N/mm".to_owned(),
                    "wheel N/mm in roll".to_owned(),
                ]);
                for (i, side) in ["left", "right"].into_iter().enumerate() {
                    let wheel = number(bar.wheel_n_per_mm[i], 2);
                    table.row([
                        side.to_owned(),
                        shown.cell(bar.lever_mm[i]),
                        format!("{:.2}", bar.lever_end_n_per_mm[i]),
                        wheel,
                    ]);
                }
                text += &table.text();
            }
            if !springs.joints.is_empty() {
                text += "\nJoints: how far each swings from where it was measured, at the worst of the sweep.\n";
                text += &joints(&springs.joints, shown).text();
            }
            plain(&text)
        }
    }
}

fn wheel(w: &WheelSprings) -> String {
    Hub { axle: w.axle, side: w.side }.words()
}

pub(super) fn number(value: Option<f64>, digits: usize) -> String {
    // A rounded nothing has no sign.
    let round = |v: f64| (v * 10f64.powi(digits as i32)).round() / 10f64.powi(digits as i32) + 0.0;
    value.map_or_else(String::new, |v| format!("{:.digits$}", round(v)))
}

pub(super) fn length(mm: Option<f64>, shown: Shown) -> String {
    mm.map_or_else(String::new, |mm| shown.cell(mm))
}

fn heights(springs: &Springs, shown: Shown) -> Table {
    let unit = shown.sign();
    let mut table = Table::new([
        "wheel".to_owned(),
        format!("travel {unit}"),
        format!("damper {unit}"),
        "stroke used %".to_owned(),
        "motion ratio".to_owned(),
        "in roll".to_owned(),
        "spring ratio".to_owned(),
        "wheel rate per spring rate".to_owned(),
        "roll rate per spring rate".to_owned(),
        "lever deg".to_owned(),
        "bar ratio".to_owned(),
    ]);
    for w in &springs.wheels {
        for h in &w.heights {
            table.row([
                wheel(w),
                shown.cell(h.travel_mm),
                length(h.damper_mm, shown),
                number(h.stroke_percent, 1),
                number(h.motion_ratio, 3),
                number(h.motion_ratio_roll, 3),
                number(h.spring_ratio, 3),
                number(h.wheel_rate, 3),
                number(h.wheel_rate_roll, 3),
                number(h.lever_deg, 1),
                number(h.bar_ratio, 3),
            ]);
        }
    }
    table
}

fn strokes(springs: &Springs, shown: Shown) -> Table {
    let unit = shown.sign();
    let mut table = Table::new([
        "wheel".to_owned(),
        format!("left to closed {unit}"),
        format!("left to open {unit}"),
        format!("closed at {unit}"),
        format!("open at {unit}"),
        "linkage ends at".to_owned(),
    ]);
    for w in &springs.wheels {
        let Some(s) = &w.stroke else { continue };
        let [low, high] = s.linkage_ends_mm.map(|mm| words::travel(mm, shown));
        table.row([
            wheel(w),
            length(s.left_closed_mm, shown),
            length(s.left_open_mm, shown),
            length(s.closed_at_mm, shown),
            length(s.open_at_mm, shown),
            format!("{low}, {high}"),
        ]);
    }
    table
}

fn joints(joints: &[JointSwing], shown: Shown) -> Table {
    let mut table = Table::new(["joint", "swing deg", "limit deg", "verdict", "worst at"]);
    for j in joints {
        let limit = number(j.limit_deg, 1);
        let at = j.at.told(shown);
        table.row([j.words(), number(Some(j.swing_deg), 1), limit, j.verdict.word().to_owned(), at]);
    }
    table
}
