//! How stiff and how strong the body is.

use super::{Unwritten, notes, plain, said, whole};
use crate::answer::Told;
use crate::answer::frame::told::{POUND_FOOT, POUNDS_AN_INCH, percent, rounded, used};
use crate::answer::frame::{BodyState, BodyStrength, WAYS, kept};
use crate::answer::loads::told::{newtons, sign, stress};
use crate::car::Shown;
use crate::cli::args::{Asked, Form};
use crate::cli::table::Table;

/// Stiffness in every state side by side, and each member of the last. As CSV: the table of stiffness.
pub fn frame(asked: &Asked, body: &BodyStrength) -> Result<(), Unwritten> {
    let shown = asked.shown();
    let stiff = stiffness(body, shown);
    match asked.form() {
        Form::Json => whole(asked, "strength", body.sentence(shown), body),
        Form::Csv => plain(&stiff.csv()?),
        Form::Text => {
            let mut text = said(body.word(), body.verdict, &body.sentence(shown));
            text += &format!("\nHeld: {}.\n\n{}", body.held_by.join(", "), stiff.text());
            for state in &body.states {
                if !state.members.is_empty() {
                    let word = state.state.word();
                    text += &format!(
                        "\nMembers {word}, each in the case that uses it most.\n{}",
                        members(state, shown).text()
                    );
                }
            }
            plain(&format!("{text}{}\n{}\n\n{}\n", notes(&body.notes), body.caution[0], body.caution[1]))
        }
    }
}

fn stiffness(body: &BodyStrength, shown: Shown) -> Table {
    let unit = match shown {
        Shown::Mm => "N/mm",
        Shown::In => "lbf/in",
    };
    let per = if shown == Shown::Mm { 1.0 } else { POUNDS_AN_INCH };
    let states = || body.states.iter().map(|s| s.state.word().to_owned());
    let compared = body.states.len() > 1;
    let mut heads = vec!["place".to_owned(), "way".to_owned(), "unit".to_owned()];
    heads.extend(states());
    heads.extend(compared.then(|| "kept".to_owned()));
    let mut table = Table::new(heads);
    let mut row = |place: &str, way: &str, unit: &str, values: Vec<Option<f64>>, per: f64| {
        let mut cells = vec![place.to_owned(), way.to_owned(), unit.to_owned()];
        cells.extend(values.iter().map(|v| v.map_or_else(|| "loose".to_owned(), |k| rounded(k * per))));
        if compared {
            cells.push(kept(values[0], values[values.len() - 1]).map_or_else(String::new, percent));
        }
        table.row(cells);
    };
    if let Some([one, other]) = &body.twisted {
        let (unit, per) = if shown == Shown::Mm { ("Nm/deg", 1.0) } else { ("lbf ft/deg", 1.0 / POUND_FOOT) };
        let values = body.states.iter().map(|s| s.twist_nm_per_deg).collect();
        row(&format!("{one} against {other}"), "twist", unit, values, per);
    }
    for (i, place) in body.states.first().map_or(&[][..], |s| &s.places).iter().enumerate() {
        for (axis, way) in WAYS.into_iter().enumerate() {
            let values = body.states.iter().map(|s| s.places[i].along(axis)).collect();
            row(&place.place, way, unit, values, per);
        }
    }
    let mass = |s: &BodyState| Some(if shown == Shown::Mm { s.mass_kg } else { s.mass_kg / crate::car::units::POUND });
    row(
        "rails, tubes, plates",
        "mass",
        if shown == Shown::Mm { "kg" } else { "lb" },
        body.states.iter().map(mass).collect(),
        1.0,
    );
    table
}

fn members(state: &BodyState, shown: Shown) -> Table {
    let unit = sign(shown);
    let (moment, per) = if shown == Shown::Mm { ("Nm", 1.0) } else { ("lbf ft", 1.0 / POUND_FOOT) };
    let mut table = Table::new([
        "member".to_owned(),
        "in".to_owned(),
        format!("force {unit}"),
        format!("bending {moment}"),
        format!("torque {moment}"),
        "stress".to_owned(),
        "of yield".to_owned(),
        "of buckling".to_owned(),
        "grade".to_owned(),
    ]);
    let share = |v: Option<f64>| v.map_or_else(String::new, used);
    for m in &state.members {
        table.row([
            m.words(shown),
            m.case.clone(),
            // Without a sign before nought.
            format!("{:.0}", newtons(m.axial_n, shown).round() + 0.0),
            format!("{:.0}", m.bending_nm * per),
            format!("{:.0}", m.torque_nm * per),
            stress(m.stress_mpa, shown),
            share(m.yield_use),
            share(m.buckling_use),
            m.grade.clone().unwrap_or_default(),
        ]);
    }
    table
}
