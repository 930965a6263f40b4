//! How the car rides, rolls and pitches on its springs, front and rear beside each other; springs are typed, or looked for.

use bevy_egui::egui::{DragValue, Label, RichText, Ui, vec2};

use super::{View, widgets};
use crate::answer::Told;
use crate::answer::ride::{AxleRide, Manoeuvre, Ride, Roll, StrokeEnd, WheelRide};
use crate::car::{Amount, AxleName, Edit, Shown};
use crate::viewer::asking::Answered;
use crate::viewer::desk::Command;
use crate::viewer::theme;

/// A ride frequency that is offered first, Hz: race cars without wings ride at 1.5 to 2 (common practice, no source).
const USUAL: f64 = 1.8;

pub(super) fn table(ui: &mut Ui, view: &mut View, answered: &Answered) {
    let shown = view.units.0;
    let ride = view.wishing.ride_of(&answered.study);
    widgets::pending(ui, view.asking.working().then_some(widgets::AS_IT_WAS));
    ui.horizontal_top(|ui| {
        widgets::sign_in(ui, ride.verdict);
        ui.add(Label::new(RichText::new(ride.sentence(shown)).size(12.5)).wrap());
    });
    ui.add_space(4.0);
    for axle in &ride.axles {
        fitted(ui, view, axle, shown);
    }
    ui.add_space(4.0);
    wheels(ui, &ride, shown);
    if let Some(roll) = &ride.roll {
        rolls(ui, roll, shown);
    }
    pitches(ui, &ride, shown);
    for note in &ride.notes {
        ui.add_space(3.0);
        ui.add(Label::new(RichText::new(note).size(12.0).color(theme::SOFT)).wrap());
    }
}

/// The spring that is fitted, to be typed, and the frequency that another is looked for.
fn fitted(ui: &mut Ui, view: &mut View, axle: &AxleRide, shown: Shown) {
    ui.horizontal(|ui| {
        ui.add_sized(vec2(34.0, 20.0), Label::new(RichText::new(word(axle.axle)).font(theme::strong(12.5))));
        if let Some(rate) = axle.spring_n_per_mm {
            let typed = widgets::amount(ui, 62.0, Amount::Rate, shown, rate);
            ui.label(RichText::new(Amount::Rate.sign(shown)).size(12.0).color(theme::SOFT));
            if let Some(rate) = typed {
                let proposal = view.desk.proposal().map(str::to_owned);
                view.commands.write(Command::Edit(Edit::PutSpringRate { proposal, axle: axle.axle, rate }));
            }
        }
        let wish = &mut view.wishing.ride.frequency[axle.axle as usize];
        let mut wished = wish.is_some();
        let hint = "The spring that rides at a frequency is told above";
        if ui.checkbox(&mut wished, RichText::new("for").size(12.5)).on_hover_text(hint).changed() {
            *wish = wished.then_some(USUAL);
        }
        if let Some(hz) = wish {
            ui.add_sized(
                vec2(66.0, 22.0),
                DragValue::new(hz).speed(0.02).range(0.3..=8.0).fixed_decimals(2).suffix(" Hz"),
            );
        }
    });
}

fn word(axle: AxleName) -> &'static str {
    if axle == AxleName::Front { "Front" } else { "Rear" }
}

/// A cell for the front and one for the rear axle.
fn each(ride: &Ride, cell: impl Fn(&AxleRide) -> Option<String>) -> [String; 2] {
    let of = |name| ride.axles.iter().find(|a| a.axle == name).and_then(&cell).unwrap_or_default();
    AxleName::BOTH.map(of)
}

/// A left wheel's number, and where the right one's differs in what is printed both.
fn wheel(axle: &AxleRide, cell: impl Fn(&WheelRide) -> Option<String>) -> Option<String> {
    let [left, right] = [0, 1].map(|i| cell(&axle.wheels[i]));
    match (left, right) {
        (Some(left), Some(right)) if left != right => Some(format!("{left} | {right}")),
        (left, right) => left.or(right),
    }
}

fn wheels(ui: &mut Ui, ride: &Ride, shown: Shown) {
    let rate = |v: f64| Amount::Rate.cell(v, shown);
    widgets::pair_head(ui, &format!("A wheel, {}", Amount::Rate.sign(shown)), ["front", "rear"]);
    let mut row = |what: &str, cells: [String; 2], hint: &str| widgets::pair_row(ui, what, cells, hint);
    row("Spring", each(ride, |a| a.spring_n_per_mm.map(rate)), "The spring's own rate");
    let ratio = |a: &AxleRide| wheel(a, |w| w.heave.map(|r| format!("{:.3}", r.ratio)));
    row("Spring motion ratio", each(ride, ratio), "Spring travel over wheel travel");
    let spring = |a: &AxleRide| wheel(a, |w| w.heave.map(|r| rate(r.spring_n_per_mm)));
    row("By the spring", each(ride, spring), "The spring's rate times the ratio squared");
    let force = |a: &AxleRide| wheel(a, |w| w.heave.and_then(|r| r.force_n_per_mm).map(rate));
    row("By the spring's force", each(ride, force), "What the spring's force adds where the ratio changes with travel");
    let whole = |a: &AxleRide| wheel(a, |w| w.heave.map(|r| rate(r.whole_n_per_mm)));
    row("Wheel rate", each(ride, whole), "Both together, both wheels moving alike");
    let in_roll = |a: &AxleRide| wheel(a, |w| w.roll.map(|r| rate(r.whole_n_per_mm)));
    row(
        "Wheel rate in roll",
        each(ride, in_roll),
        "Of a stiff axle, whose springs stand nearer together than its wheels",
    );
    let bar = |a: &AxleRide| a.bar_n_per_mm[0].or(a.bar_n_per_mm[1]).map(rate);
    row("Bar in roll", each(ride, bar), "The anti-roll bar at the wheel, one wheel up and the other down");
    row("Tyre", each(ride, |a| Some(rate(a.tyre_n_per_mm))), "One tyre");
    let series = |a: &AxleRide| wheel(a, |w| w.ride_n_per_mm.map(rate));
    row("Ride rate", each(ride, series), "Wheel and tyre in series");
    let hz = |a: &AxleRide| wheel(a, |w| w.frequency_hz.map(|hz| format!("{hz:.2}")));
    row("Ride frequency, Hz", each(ride, hz), "Of the body on spring and tyre, without damper");
    let sinks = |a: &AxleRide| wheel(a, |w| w.deflection_mm.map(|mm| shown.cell(mm)));
    row(
        &format!("Static deflection, {}", shown.sign()),
        each(ride, sinks),
        "What the sprung weight presses spring and tyre together by",
    );
    let carried = |a: &AxleRide| a.sprung_corner_kg.map(|kg| Amount::Mass.cell(kg, shown));
    row(&format!("Sprung, a wheel, {}", Amount::Mass.sign(shown)), each(ride, carried), "What one spring carries");
    let wished = |a: &AxleRide| wheel(a, |w| w.wished_n_per_mm.map(rate));
    row("Spring for that Hz", each(ride, wished), "The spring that gives the wished frequency");
}

fn rolls(ui: &mut Ui, roll: &Roll, shown: Shown) {
    let stiff = |v: f64| Amount::Roll.cell(v, shown);
    let force = |v: f64| Amount::Force.cell(v, shown);
    let [front, rear] = &roll.axles;
    let angle = roll.deg_per_g.map_or_else(String::new, |deg| format!("{deg:.2}\u{b0} a g; "));
    let what = format!("Roll: {angle}{:.0} % of transfer", roll.front_percent);
    widgets::pair_head(ui, &what, ["front", "rear"]);
    let mut row =
        |what: &str, of: &dyn Fn(usize) -> String, hint: &str| widgets::pair_row(ui, what, [of(0), of(1)], hint);
    let axles = [front, rear];
    row(&format!("Roll centre, {}", shown.sign()), &|i| shown.cell(axles[i].roll_centre_mm), "Over the ground");
    row(
        &format!("Springs, {}", Amount::Roll.sign(shown)),
        &|i| stiff(axles[i].springs_nm_per_deg),
        "Roll stiffness by the springs",
    );
    row("Bar", &|i| stiff(axles[i].bar_nm_per_deg), "Roll stiffness by the anti-roll bar");
    row("With tyres", &|i| stiff(axles[i].whole_nm_per_deg), "Springs and bar in series with the tyres");
    row(
        &format!("Geometric transfer, {}", Amount::Force.sign(shown)),
        &|i| force(axles[i].transfer.geometric_n),
        "Load shifted to the outer wheel by the links, at 1 g",
    );
    row("Elastic transfer", &|i| force(axles[i].transfer.elastic_n), "Load shifted by roll");
    row("Unsprung transfer", &|i| force(axles[i].transfer.unsprung_n), "Load shifted by what hangs below the springs");
    row("Outer wheel gains", &|i| force(axles[i].transfer.whole_n), "All of it, at 1 g of cornering");
    if !roll.blades.is_empty() {
        widgets::pair_head(ui, "Blade: flat is 0\u{b0}, on edge 90\u{b0}", [Amount::Roll.sign(shown), "front %"]);
        for at in &roll.blades {
            let what = format!("{} at {:.0}\u{b0}", word(at.axle), at.angle_deg);
            widgets::pair_row(
                ui,
                &what,
                [stiff(at.bar_nm_per_deg), format!("{:.1}", at.front_percent)],
                "The bar, and the front's share of the load transfer",
            );
        }
    }
}

fn pitches(ui: &mut Ui, ride: &Ride, shown: Shown) {
    if let Some(pitch) = &ride.pitch {
        let what = format!("Braking: {:.2}\u{b0} nose-down a g", pitch.deg_per_g);
        widgets::pair_head(ui, &what, ["front", "rear"]);
        let dips = pitch.dive_mm.map(|mm| shown.cell(mm));
        widgets::pair_row(ui, &format!("Body dips, {}", shown.sign()), dips, "Over the wheels, at 1 g");
        let held = [pitch.anti_dive_percent, pitch.anti_lift_percent].map(|p| format!("{p:.0}"));
        widgets::pair_row(ui, "Held by the links, %", held, "Anti-dive in front, anti-lift at the rear");
    }
    if !ride.strokes.is_empty() {
        widgets::pair_head(ui, "Damper's stroke used, %", ["front", "rear"]);
        for at in [Manoeuvre::Standing, Manoeuvre::Braking, Manoeuvre::Cornering, Manoeuvre::Both] {
            for towards in StrokeEnd::BOTH {
                let used = AxleName::BOTH.map(|axle| match ride.stroke_use(axle, at, towards) {
                    Some(s) => s.stroke_percent.map_or_else(|| "no reach".to_owned(), |p| format!("{p:.0}")),
                    None => String::new(),
                });
                let what = format!("{}, towards {}", crate::answer::words::capital(at.words()), towards.word());
                widgets::pair_row(ui, &what, used, "Of the axle's damper nearest to that end, open to closed");
            }
        }
    }
}
