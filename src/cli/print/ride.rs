//! How the car rides, rolls and pitches.

use super::springs::{length, number};
use super::{Unwritten, headline, notes, plain, whole};
use crate::answer::Told;
use crate::answer::ride::{AxleRide, Manoeuvre, Ride, Roll, StrokeEnd};
use crate::answer::words;
use crate::car::{Amount, Hub, Shown};
use crate::cli::args::{Asked, Form};
use crate::cli::table::Table;

/// How it rides. As CSV: the first table, a row for each wheel.
pub fn ride(asked: &Asked, ride: &Ride) -> Result<(), Unwritten> {
    let shown = asked.shown();
    let wheels = wheels(ride, shown);
    match asked.form() {
        Form::Json => whole(asked, "ride", ride.sentence(shown), ride),
        Form::Csv => plain(&wheels.csv()?),
        Form::Text => {
            let mut text = headline(ride.verdict, &ride.sentence(shown)) + "\n" + &wheels.text();
            for axle in &ride.axles {
                text += &stands_on(axle, shown);
            }
            if let Some(roll) = &ride.roll {
                text += &rolls(roll, shown);
            }
            if let Some(pitch) = &ride.pitch {
                let goes =
                    |mm: f64| format!("{} by {}", if mm < 0.0 { "rises" } else { "dips" }, shown.length(mm.abs()));
                let [front, rear] = pitch.dive_mm.map(goes);
                text += &format!(
                    "\nPitch: {:.2} deg nose-down for each g of braking, {} shifted; the body {front} over the front wheels \
                     and {rear} over the rear ones. The linkage holds {:.0} % of the dive and {:.0} % of the lift.\n",
                    pitch.deg_per_g,
                    Amount::Force.told(pitch.shift_n, shown),
                    pitch.anti_dive_percent,
                    pitch.anti_lift_percent
                );
            }
            if !ride.strokes.is_empty() {
                text += "\nDampers: how much of the stroke from open to closed is used, of the damper nearest to each end.\n";
                text += &strokes(ride).text();
            }
            let fits: Vec<String> = ride.axles.iter().filter_map(|axle| axle.fitting(shown)).collect();
            if !fits.is_empty() {
                let fits: String = fits.iter().map(|fit| format!("    {fit},\n")).collect();
                text += &format!("\nThe changes that fit these springs, for a proposal:\n\n{fits}");
            }
            if ride.roll.is_some() {
                text += OUTER;
            }
            plain(&format!("{text}{}", notes(&ride.notes)))
        }
    }
}

/// What two columns of the roll table are.
const OUTER: &str = "\n\"Outer wheel gains\" is for each g and what an axle's parts before it come to; \"leaning adds\" is besides, as the body's \
                     weight goes over to the outer wheels with its lean.\n";

fn rate(value: Option<f64>, shown: Shown) -> String {
    value.map_or_else(String::new, |v| Amount::Rate.cell(v, shown))
}

fn wheels(ride: &Ride, shown: Shown) -> Table {
    let per = Amount::Rate.sign(shown);
    let mut heads = vec![
        "wheel".to_owned(),
        format!("spring {per}"),
        "spring ratio".to_owned(),
        format!("by the spring {per}"),
        format!("by its force {per}"),
        format!("wheel {per}"),
        format!("wheel in roll {per}"),
        format!("bar in roll {per}"),
        format!("tyre {per}"),
        format!("ride {per}"),
        "ride Hz".to_owned(),
        format!("static {}", shown.sign()),
    ];
    // Asked for or not.
    let wished = ride.axles.iter().any(|a| a.wished_hz.is_some());
    heads.extend(wished.then(|| format!("spring for the wished Hz {per}")));
    let mut table = Table::new(heads);
    for axle in &ride.axles {
        for (i, wheel) in axle.wheels.iter().enumerate() {
            let mut row = vec![
                Hub { axle: axle.axle, side: wheel.side }.words(),
                rate(axle.spring_n_per_mm, shown),
                number(wheel.heave.map(|r| r.ratio), 3),
                rate(wheel.heave.map(|r| r.spring_n_per_mm), shown),
                rate(wheel.heave.and_then(|r| r.force_n_per_mm), shown),
                rate(wheel.heave.map(|r| r.whole_n_per_mm), shown),
                rate(wheel.in_roll().map(|r| r.whole_n_per_mm), shown),
                rate(axle.bar_n_per_mm[i], shown),
                rate(Some(axle.tyre_n_per_mm), shown),
                rate(wheel.ride_n_per_mm, shown),
                number(wheel.frequency_hz, 2),
                length(wheel.deflection_mm, shown),
            ];
            row.extend(wished.then(|| rate(wheel.wished_n_per_mm, shown)));
            table.row(row);
        }
    }
    table
}

/// What an axle carries on each spring, and how far apart a stiff one's springs act.
fn stands_on(axle: &AxleRide, shown: Shown) -> String {
    let mut said = Vec::new();
    if let Some(kg) = axle.sprung_corner_kg {
        said.push(format!("{} on each spring", Amount::Mass.told(kg, shown)));
    }
    if let Some(force) = axle.wheels[0].spring_force_n {
        said.push(format!("which presses it by {}", Amount::Force.told(force, shown)));
    }
    if let Some(kg) = axle.unsprung_kg {
        said.push(format!("{} below both", Amount::Mass.told(kg, shown)));
    }
    if let Some(base) = axle.wheels[0].spring_base_mm {
        said.push(format!("springs act {} apart in roll", shown.length(base)));
    }
    if said.is_empty() {
        return String::new();
    }
    format!("\n{}: {}.", words::capital(axle.axle.word()), said.join(", "))
}

fn rolls(roll: &Roll, shown: Shown) -> String {
    let (stiff, force) = (Amount::Roll.sign(shown), Amount::Force.sign(shown));
    let mut table = Table::new([
        "axle".to_owned(),
        format!("roll centre {}", shown.sign()),
        format!("springs {stiff}"),
        format!("bar {stiff}"),
        format!("tyres {stiff}"),
        format!("whole {stiff}"),
        format!("by roll centre {force}"),
        format!("by springs and bar {force}"),
        format!("by unsprung {force}"),
        format!("outer wheel gains {force}"),
        format!("leaning adds {force}"),
    ]);
    for axle in &roll.axles {
        let [springs, bar, tyres, whole] =
            [axle.springs_nm_per_deg, axle.bar_nm_per_deg, axle.tyres_nm_per_deg, axle.whole_nm_per_deg]
                .map(|v| Amount::Roll.cell(v, shown));
        let t = axle.transfer;
        let [geometric, elastic, unsprung, all, leaning] =
            [t.geometric_n, t.elastic_n, t.unsprung_n, t.whole_n, t.leaning_n].map(|v| Amount::Force.cell(v, shown));
        table.row([
            axle.axle.word().to_owned(),
            shown.cell(axle.roll_centre_mm),
            springs,
            bar,
            tyres,
            whole,
            geometric,
            elastic,
            unsprung,
            all,
            leaning,
        ]);
    }
    let angle =
        roll.deg_per_g.map_or_else(String::new, |deg| format!("roll gradient {deg:.2} deg for each g of cornering; "));
    let mut text = format!(
        "\n\nRoll: {angle}sprung weight {} over the ground, roll axis under it at {}; {:.0} % of the load transfer and {:.0} % of the roll moment in front.\n{}",
        shown.length(roll.sprung_height_mm),
        shown.length(roll.axis_height_mm),
        roll.front_percent,
        roll.moment_front * 100.0,
        table.text()
    );
    if !roll.blades.is_empty() {
        text += "\nBlades: flat is 0 deg, on edge 90.\n";
        let mut table = Table::new([
            "bar".to_owned(),
            "blade deg".to_owned(),
            format!("blade {}", Amount::Rate.sign(shown)),
            format!("bar {stiff}"),
            "front's share of the load transfer %".to_owned(),
        ]);
        for at in &roll.blades {
            table.row([
                at.axle.word().to_owned(),
                format!("{:.0}", at.angle_deg),
                Amount::Rate.cell(at.blade_n_per_mm, shown),
                Amount::Roll.cell(at.bar_nm_per_deg, shown),
                number(Some(at.front_percent), 1),
            ]);
        }
        text += &table.text();
    }
    text
}

fn strokes(ride: &Ride) -> Table {
    let all = [Manoeuvre::Standing, Manoeuvre::Braking, Manoeuvre::Cornering, Manoeuvre::Both];
    let heads =
        ["axle", "towards"].map(str::to_owned).into_iter().chain(all.iter().map(|m| format!("{} %", m.words())));
    let mut table = Table::new(heads);
    for (axle, towards) in ride.axles.iter().flat_map(|axle| StrokeEnd::BOTH.map(|end| (axle.axle, end))) {
        let cell = |m: &Manoeuvre| match ride.stroke_use(axle, *m, towards) {
            Some(used) => used.stroke_percent.map_or_else(|| "does not reach".to_owned(), |p| number(Some(p), 1)),
            None => String::new(),
        };
        let used: Vec<String> = all.iter().map(cell).collect();
        if used.iter().any(|cell| !cell.is_empty()) {
            table.row([axle.word().to_owned(), towards.word().to_owned()].into_iter().chain(used));
        }
    }
    table
}
