//! Loads in arms, links, joints and mounts.

use super::{Unwritten, notes, plain, said, whole};
use crate::answer::Told;
use crate::answer::loads::told::{newtons, sign, stands, stress, times};
use crate::answer::loads::{Bent, CAUTION as LOADS_CAUTION, CaseLoads, Holds, Loads, MemberMost, Most};
use crate::car::{Hub, Shown};
use crate::cli::args::{Asked, Form};
use crate::cli::table::Table;

/// What a factor does not know.
const HOLDS_CAUTION: &str = "Factors are on yield and buckling of plain metal under a steady load: a weld and the heat beside it leave it weaker and \
                             are not counted, nor are fatigue, dents, rust, threads, brackets and the shanks of rod ends in bending. \
                             All of a joint's force counts as square to its bolt; a pull along the bolt is held far worse. Members buckle between \
                             free joints, K = 1.";

/// What parts carry: over all cases each one's most, or one case in full. As CSV: the table of members.
pub fn loads(asked: &Asked, loads: &Loads, in_full: bool) -> Result<(), Unwritten> {
    let (shown, sentence) = (asked.shown(), loads.sentence(asked.shown()));
    let full = loads.cases.first().filter(|_| in_full);
    let members = full.map_or_else(|| most(&loads.members, shown), |case| of_case(case, shown));
    match asked.form() {
        Form::Json => whole(asked, "loads", sentence, loads),
        Form::Csv if full.is_none() => plain(&with_factors(loads, shown).csv()?),
        Form::Csv => plain(&members.csv()?),
        Form::Text => {
            let mut text = said(stands(loads.verdict), loads.verdict, &sentence) + "\n";
            if !loads.holds.members.is_empty() {
                text +=
                    &format!("Whether each holds, each in its worst case.\n{}\n", holds(&loads.holds, shown).text());
            }
            if !loads.holds.joints.is_empty() {
                text += &format!("Joints and bolts, likewise.\n{}\n", joints_hold(&loads.holds, shown).text());
            }
            text += &sources(&loads.holds);
            text += &wheels(&loads.cases, shown).text();
            text += &format!("\nMembers, from their inner to their outer point.\n{}", members.text());
            if !loads.bending.is_empty() {
                text += "\nBending of arms where something is mounted on them, about a line along their pickups (above it is about each leg's own axis, \
                         which is more); of struts about any.\n";
                text += &bending(loads, shown).text();
            }
            if let Some(case) = full {
                text += "\nJoints and mounts: force on the part in the car's axes.\n";
                text += &joints(case, shown).text();
            }
            let told: Vec<String> = loads.holds.unjudged.iter().chain(&loads.notes).cloned().collect();
            plain(&format!("{text}{}\n{HOLDS_CAUTION}\n\n{LOADS_CAUTION}\n", notes(&told)))
        }
    }
}

fn holds(holds: &Holds, shown: Shown) -> Table {
    let (unit, per) = moments(shown);
    let mut table = Table::new([
        "member".to_owned(),
        "factor".to_owned(),
        "so it".to_owned(),
        "in".to_owned(),
        format!("force {}", sign(shown)),
        format!("bending {unit}"),
        format!("torque {unit}"),
        "stress".to_owned(),
        "yield".to_owned(),
        format!("buckles at {}", sign(shown)),
        "fails first: it".to_owned(),
        "grade".to_owned(),
    ]);
    for m in &holds.members {
        table.row([
            m.words(),
            times(m.factor),
            stands(m.verdict).to_owned(),
            m.case.clone(),
            cell(m.axial_n, shown),
            whole_number(m.moment_nm * per),
            whole_number(m.twist_nm * per),
            m.stress_mpa.map_or_else(|| "buckled".to_owned(), |mpa| stress(mpa, shown)),
            stress(m.yield_mpa, shown),
            m.buckles_at_n.map_or_else(String::new, |n| cell(n, shown)),
            m.fails.word().to_owned(),
            m.grade.clone(),
        ]);
    }
    table
}

fn joints_hold(holds: &Holds, shown: Shown) -> Table {
    let unit = sign(shown);
    let heads = ["joint", "what", "factor", "so it", "in"].map(str::to_owned);
    let mut table = Table::new(heads.into_iter().chain([format!("force {unit}"), format!("holds {unit}")]));
    for j in &holds.joints {
        let (factor, stands) = (times(j.factor), stands(j.verdict).to_owned());
        let [force, most] = [j.force_n, j.holds_n].map(|n| cell(n, shown));
        table.row([j.words(), j.what.to_owned(), factor, stands, j.case.clone(), force, most]);
    }
    table
}

/// Where strengths were read, and the wanted factor's standing.
fn sources(holds: &Holds) -> String {
    let metals = holds.members.iter().map(|m| format!("{}, yield {:.0} MPa: {}", m.grade, m.yield_mpa, m.source));
    let mut told: Vec<String> = Vec::new();
    for line in metals.chain(holds.joints.iter().map(|j| format!("{}: {}", j.what, j.source))) {
        if !told.contains(&line) {
            told.push(line);
        }
    }
    if told.is_empty() {
        return String::new();
    }
    told.push(format!("Wanted factor {}; 1.5 is the usual one (common practice, no source).", holds.wanted_factor));
    told.join("\n") + "\n\n"
}

/// Every member with its most, and what it has in hand; what is no member of statics, an axle tube, below.
fn with_factors(loads: &Loads, shown: Shown) -> Table {
    let mut rows = most(&loads.members, shown);
    let heads = ["factor", "so it", "least in hand in", "stress MPa", "yield MPa", "fails first"];
    let of = |words: &str| {
        let found = loads.holds.members.iter().find(|h| h.words() == words);
        found.map_or_else(Default::default, |m| {
            let mpa = m.stress_mpa.map_or_else(String::new, whole_number);
            let (factor, stands) = (format!("{:.3}", m.factor), stands(m.verdict).to_owned());
            [factor, stands, m.case.clone(), mpa, whole_number(m.yield_mpa), m.fails.word().to_owned()]
        })
    };
    for m in &loads.holds.members {
        if loads.members.iter().all(|other| other.which.words() != m.words()) {
            let mut row = vec![String::new(); 11];
            (row[0], row[2], row[7]) = (m.words(), shown.cell(m.length_mm), shown.cell(m.od_mm));
            row[8] = m.wall_mm.map_or_else(String::new, |mm| shown.cell(mm));
            row[9].clone_from(&m.grade);
            rows.row(row);
        }
    }
    rows.beside(heads, of)
}

/// Foot-pounds beside pounds-force, and how many a Nm is.
fn moments(shown: Shown) -> (&'static str, f64) {
    match shown {
        Shown::Mm => ("Nm", 1.0),
        Shown::In => ("lbf ft", newtons(1.0 / 0.3048, shown)),
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
    let (unit, per) = moments(shown);
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
