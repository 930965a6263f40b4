//! Loads in arms, links, joints and mounts.

use super::{Unwritten, notes, plain, whole};
use crate::answer::Told;
use crate::answer::loads::told::{newtons, sign};
use crate::answer::loads::{Bent, CaseLoads, Loads, MemberMost, Most};
use crate::car::{Hub, Shown};
use crate::cli::args::{Asked, Form};
use crate::cli::table::Table;

/// Loads are not strength.
const LOADS_CAUTION: &str = "A force is not a strength. Steering and suspension parts carry lives: have tubes, welds, joints, \
                             bolts and what they are mounted on designed and judged by somebody licensed to, for impact and \
                             fatigue too, and follow the rule book of your class.";

/// What parts carry: over all cases each one's most, or one case in full. As CSV: the table of members.
pub fn loads(asked: &Asked, loads: &Loads, in_full: bool) -> Result<(), Unwritten> {
    let (shown, sentence) = (asked.shown(), loads.sentence(asked.shown()));
    let full = loads.cases.first().filter(|_| in_full);
    let members = full.map_or_else(|| most(&loads.members, shown), |case| of_case(case, shown));
    match asked.form() {
        Form::Json => whole(asked, "loads", sentence, loads),
        Form::Csv => plain(&members.csv()?),
        Form::Text => {
            let mut text = format!("{sentence}\n\n{}", wheels(&loads.cases, shown).text());
            text += &format!("\nMembers, from their inner to their outer point.\n{}", members.text());
            if !loads.bending.is_empty() {
                text += "\nBending of arms where something is mounted on them, about a line along their pickups; of struts \
                         about any.\n";
                text += &bending(loads, shown).text();
            }
            if let Some(case) = full {
                text += "\nJoints and mounts: force on the part in the car's axes.\n";
                text += &joints(case, shown).text();
            }
            plain(&format!("{text}{}\n{LOADS_CAUTION}\n", notes(&loads.notes)))
        }
    }
}

/// A rounded nothing has no sign.
fn whole_number(value: f64) -> String {
    format!("{:.0}", value.round() + 0.0)
}

fn cell(n: f64, shown: Shown) -> String {
    whole_number(newtons(n, shown))
}

/// What the ground does to each wheel.
fn wheels(cases: &[CaseLoads], shown: Shown) -> Table {
    let hubs = cases.first().map_or(&[][..], |case| &case.wheels);
    let wheel = |w: &crate::answer::loads::AtContact| Hub { axle: w.axle, side: w.side }.words();
    let heads = ["case".to_owned(), "what".to_owned()].into_iter();
    let unit = sign(shown);
    let mut table = Table::new(heads.chain(hubs.iter().map(|w| format!("{}: forward, left, up {unit}", wheel(w)))));
    for case in cases {
        let asks = if case.given { format!("{}, and wheels of its own", case.asks) } else { case.asks.clone() };
        let forces = case.wheels.iter().map(|w| w.force_n.map(|n| cell(n, shown)).join(", "));
        table.row([case.name.clone(), asks].into_iter().chain(forces));
    }
    table
}

fn most(members: &[MemberMost], shown: Shown) -> Table {
    let (unit, length) = (sign(shown), shown.sign());
    let mut table = Table::new([
        "member".to_owned(),
        "points".to_owned(),
        format!("long {length}"),
        format!("tension {unit}"),
        "most pulled in".to_owned(),
        format!("compression {unit}"),
        "most pushed in".to_owned(),
        format!("od {length}"),
        format!("wall {length}"),
        "grade".to_owned(),
        "force over section N/mm²".to_owned(),
    ]);
    let force = |most: &Option<Most>| most.as_ref().map_or_else(String::new, |m| cell(m.force_n, shown));
    let case = |most: &Option<Most>| most.as_ref().map_or_else(String::new, |m| m.case.clone());
    let long = |mm: Option<f64>| mm.map_or_else(String::new, |mm| shown.cell(mm));
    for m in members {
        table.row([
            m.which.words(),
            m.which.points(),
            shown.cell(m.length_mm),
            force(&m.tension),
            case(&m.tension),
            force(&m.compression),
            case(&m.compression),
            long(m.od_mm),
            long(m.wall_mm),
            m.grade.clone().unwrap_or_default(),
            m.direct_stress_n_per_mm2.map_or_else(String::new, whole_number),
        ]);
    }
    table
}

fn of_case(case: &CaseLoads, shown: Shown) -> Table {
    let heads = ["member".to_owned(), "points".to_owned(), format!("force {}", sign(shown)), "sense".to_owned()];
    let mut table = Table::new(heads);
    for m in &case.members {
        table.row([m.which.words(), m.which.points(), cell(m.force_n, shown), m.sense.word().to_owned()]);
    }
    table
}

fn bending(loads: &Loads, shown: Shown) -> Table {
    // Foot-pounds beside pounds-force.
    let (unit, per) = match shown {
        Shown::Mm => ("Nm", 1.0),
        Shown::In => ("lbf ft", newtons(1.0 / 0.3048, shown)),
    };
    let mut table = Table::new([
        "arm".to_owned(),
        "at".to_owned(),
        unit.to_owned(),
        "front leg, rear leg".to_owned(),
        "in".to_owned(),
    ]);
    let legs = |b: &Bent| b.legs_nm.map_or_else(String::new, |legs| legs.map(|m| whole_number(m * per)).join(", "));
    for b in &loads.bending {
        let (at, moment) = (b.bent.at.words().to_owned(), whole_number(b.bent.moment_nm * per));
        table.row([b.bent.words(), at, moment, legs(&b.bent), b.case.clone()]);
    }
    table
}

fn joints(case: &CaseLoads, shown: Shown) -> Table {
    let unit = sign(shown);
    let mut table = Table::new([
        "joint".to_owned(),
        "on".to_owned(),
        "by".to_owned(),
        format!("forward {unit}"),
        format!("left {unit}"),
        format!("up {unit}"),
        "moment Nm".to_owned(),
    ]);
    for j in &case.joints {
        let [x, y, z] = j.force_n.map(|n| cell(n, shown));
        let turns = j.moment_nm.iter().any(|m| m.abs() >= 0.5);
        let moment = if turns { j.moment_nm.map(whole_number).join(", ") } else { String::new() };
        table.row([j.words(), j.on.clone(), j.by.clone(), x, y, z, moment]);
    }
    table
}
