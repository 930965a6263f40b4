//! The numbers of wheels and tyres as rows, whichever face shows them.

use super::{AxleWheels, Wheels};
use crate::car::Shown;

/// One number of each axle.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// What it is.
    pub what: &'static str,
    /// Its unit; empty where it has none.
    pub unit: &'static str,
    /// The axles' numbers, front first; empty where an axle has none.
    pub cells: Vec<String>,
}

type Cell = fn(&AxleWheels, Shown) -> String;

impl Wheels {
    /// The numbers, in the units shown. What no axle has is left out.
    pub fn rows(&self, shown: Shown) -> Vec<Row> {
        let unit = shown.sign();
        let length = |what: &'static str, cell: Cell| (what, unit, cell);
        let other = |what: &'static str, unit: &'static str, cell: Cell| (what, unit, cell);
        let rows: [(&'static str, &'static str, Cell); 25] = [
            other("wheel", "", |a, _| a.size()),
            other("tyre", "", |a, _| a.tyre.clone()),
            length("offset", |a, s| s.cell(a.offset_mm)),
            length("backspacing", |a, s| s.cell(a.backspacing_mm)),
            length("spacer", |a, s| s.cell(a.spacer_mm)),
            length("overall diameter", |a, s| s.cell(a.overall_diameter_mm)),
            length("section on this rim", |a, s| s.cell(a.section_mm)),
            length("growth allowed for", |a, s| s.cell(a.growth_mm)),
            length("lean allowed for", |a, s| s.cell(a.lean_mm)),
            length("usual rims from", |a, s| s.cell(a.usual_rims_mm[0])),
            length("usual rims to", |a, s| s.cell(a.usual_rims_mm[1])),
            other("turns", "per km", |a, _| format!("{:.1}", a.turns_per_km)),
            length("track at ride height", |a, s| opt(a.track_mm, s)),
            length("scrub radius, left", |a, s| opt(a.scrub_radius_mm[0], s)),
            length("scrub radius, right", |a, s| opt(a.scrub_radius_mm[1], s)),
            length("caliper to barrel", |a, s| opt(a.brake.and_then(|b| b.caliper_to_barrel_mm), s)),
            length("caliper to spokes", |a, s| opt(a.brake.and_then(|b| b.caliper_to_spokes_mm), s)),
            length("disc to barrel", |a, s| opt(a.brake.and_then(|b| b.disc_to_barrel_mm), s)),
            length("stands out more by", |a, s| opt(a.swap.map(|w| w.outboard_mm), s)),
            length("reaches in more by", |a, s| opt(a.swap.map(|w| w.inboard_mm), s)),
            length("rim reaches in more by", |a, s| opt(a.swap.map(|w| w.rim_inboard_mm), s)),
            length("radius larger by", |a, s| opt(a.swap.map(|w| w.radius_mm), s)),
            length("scrub radius larger by", |a, s| opt(a.swap.and_then(|w| w.scrub_radius_mm), s)),
            length("track wider by", |a, s| opt(a.swap.and_then(|w| w.track_mm), s)),
            other("speedometer reads", "times", |a, _| {
                a.swap.map_or_else(String::new, |w| format!("{:.3}", w.speedometer))
            }),
        ];
        let told = |(what, unit, cell): (&'static str, &'static str, Cell)| Row {
            what,
            unit,
            cells: self.axles.iter().map(|a| cell(a, shown)).collect(),
        };
        rows.into_iter().map(told).filter(|row| row.cells.iter().any(|c| !c.is_empty())).collect()
    }
}

fn opt(mm: Option<f64>, shown: Shown) -> String {
    mm.map_or_else(String::new, |mm| shown.cell(mm))
}
