//! How the brakes share.

use super::springs::number;
use super::{Unwritten, headline, notes, plain, whole};
use crate::answer::Told;
use crate::answer::brakes::{Braking, bore_cell};
use crate::car::{Amount, Shown};
use crate::cli::args::{Asked, Form};
use crate::cli::table::Table;

/// How the brakes share. As CSV: the table against ideal braking, a row for each deceleration.
pub fn brakes(asked: &Asked, braking: &Braking) -> Result<(), Unwritten> {
    let shown = asked.shown();
    match asked.form() {
        Form::Json => whole(asked, "brakes", braking.sentence(shown), braking),
        Form::Csv => plain(&rows(braking, shown).csv()?),
        Form::Text => {
            let mut text = headline(braking.verdict, &braking.sentence(shown));
            let pedal = Amount::Force.told(braking.pedal_n, shown);
            text +=
                &format!("\nWith {pedal} on the pedal, {:.2} g:\n{}", braking.decel_g, axles(braking, shown).text());
            text += &format!("\nAgainst ideal braking:\n{}", rows(braking, shown).text());
            for said in braking.tells(shown) {
                text += &format!("\n{said}\n");
            }
            plain(&format!("{text}{}\n{}\n", notes(&braking.notes), braking.caution))
        }
    }
}

fn axles(braking: &Braking, shown: Shown) -> Table {
    let unit = shown.sign();
    let mut table = Table::new([
        "axle".to_owned(),
        format!("master cylinder {unit}"),
        format!("pistons {}", Amount::Area.sign(shown)),
        format!("disc radius {unit}"),
        format!("tyre radius {unit}"),
        format!("line {}", Amount::Pressure.sign(shown)),
        format!("torque a wheel {}", Amount::Torque.sign(shown)),
        format!("force {}", Amount::Force.sign(shown)),
    ]);
    for a in &braking.axles {
        table.row([
            a.axle.word().to_owned(),
            bore_cell(a.master_mm, shown),
            Amount::Area.cell(a.piston_mm2, shown),
            shown.cell(a.radius_mm),
            shown.cell(a.tyre_radius_mm),
            Amount::Pressure.cell(a.pressure_mpa, shown),
            Amount::Torque.cell(a.torque_nm, shown),
            Amount::Force.cell(a.force_n, shown),
        ]);
    }
    table
}

fn rows(braking: &Braking, shown: Shown) -> Table {
    let force = Amount::Force.sign(shown);
    let mut table = Table::new([
        "g".to_owned(),
        format!("front load {force}"),
        format!("rear load {force}"),
        "ideal in front %".to_owned(),
        "in front %".to_owned(),
        "front grip".to_owned(),
        "rear grip".to_owned(),
        format!("pedal {force}"),
    ]);
    for row in &braking.rows {
        table.row([
            format!("{:.1}", row.g),
            Amount::Force.cell(row.front_load_n, shown),
            Amount::Force.cell(row.rear_load_n, shown),
            number(Some(row.ideal_front_percent), 1),
            number(Some(braking.front_percent), 1),
            number(row.front_grip, 2),
            number(row.rear_grip, 2),
            Amount::Force.cell(row.pedal_n, shown),
        ]);
    }
    table
}
