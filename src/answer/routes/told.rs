//! Routes in words.

use super::{CutRoutes, Route, RoutePlate, RouteTube, Routes, Weakest};
use crate::answer::Told;
use crate::answer::frame::told::{percent, used};
use crate::car::Shown;

/// `4.2 kg` or `9.3 lb`.
pub fn mass(kg: f64, shown: Shown) -> String {
    match shown {
        Shown::Mm => format!("{kg:.2} kg"),
        Shown::In => format!("{:.2} lb", kg / crate::car::units::POUND),
    }
}

impl RouteTube {
    /// `38 x 2`.
    pub fn size(&self, shown: Shown) -> String {
        format!("{} x {}", shown.cell(self.od_mm), shown.cell(self.wall_mm))
    }
}

impl RoutePlate {
    /// `near end plate`.
    pub fn name(&self) -> String {
        format!("{} end plate", self.end.word())
    }

    /// `60.0 x 80.0 x 4.0`.
    pub fn size(&self, shown: Shown) -> String {
        self.size_mm.map(|mm| shown.cell(mm)).join(" x ")
    }
}

impl Weakest {
    /// `left brace at 62 % of its yield in "bump"`.
    pub fn words(&self) -> String {
        let of = if self.buckles { "what buckles it" } else { "its yield" };
        format!("{} at {} of {of} in \"{}\"", self.member, used(self.of), self.case)
    }
}

impl Route {
    /// `4 tubes and 2 end plates a side`.
    pub fn parts(&self) -> String {
        let counted = |n: usize, what: &str| match n {
            0 => None,
            1 => Some(format!("1 {what}")),
            n => Some(format!("{n} {what}s")),
        };
        let parts = [counted(self.tubes.len(), "tube"), counted(self.plates.len(), "end plate")];
        let sides = if self.tubes.iter().any(|t| t.mirror) { " a side" } else { "" };
        parts.into_iter().flatten().collect::<Vec<_>>().join(" and ") + sides
    }

    /// What its end plates weigh, of both sides, kg.
    pub fn plates_kg(&self) -> f64 {
        self.plates.iter().map(|p| p.mass_kg * if p.mirror { 2.0 } else { 1.0 }).sum()
    }

    /// The share of a stiffness as found that it keeps at least; none where nothing is loaded.
    pub fn share(&self) -> Option<f64> {
        self.kept.least.as_ref().map(|l| l.share)
    }
}

impl CutRoutes {
    /// `cut from 255.0 to 792.0 mm in the upper rail`.
    pub fn words(&self, shown: Shown) -> String {
        format!("cut from {} to {} in the {}", shown.cell(self.from_mm), shown.length(self.to_mm), self.rail)
    }

    fn sentence(&self, wanted: f64, shown: Shown) -> String {
        let what = self.words(shown);
        let nothing_needed = self.without.reaches(wanted);
        let Some(best) = self.routes.first() else {
            return match (nothing_needed, &self.refused) {
                (true, _) => format!("The {what} needs no route: the body keeps {} as it is.", percent(wanted)),
                (_, Some(why)) => {
                    format!("No end plate fits on the {what}, for {why}: cut more away, and ask again.")
                }
                _ => format!("No route was found around the {what} that has its gaps and holds it."),
            };
        };
        let parts = best.parts();
        let share = best.share().map_or_else(|| "all".to_owned(), percent);
        let mass = mass(best.mass_kg, shown);
        let but = match (&best.hardest, best.holds) {
            (_, true) => String::new(),
            (Some(hardest), _) => format!(", but its tubes do not hold the load cases: the {}", hardest.words()),
            (None, _) => ", but its tubes are not judged, for the body comes apart".to_owned(),
        };
        match best.reaches {
            true => format!(
                "The {what} is tied back most lightly, as far as was searched, with {parts}, {mass} in all: the body keeps {share} of its stiffness as \
                 found or more{but}."
            ),
            false => format!(
                "No route around the {what} reaches {}: the best, {parts}, {mass}, keeps {share}{but}.",
                percent(wanted)
            ),
        }
    }
}

impl Told for Routes {
    fn sentence(&self, shown: Shown) -> String {
        if self.cuts.is_empty() {
            return "No rail is cut, so there is nothing to route around: cut one in the proposal, with `cut_rail`."
                .to_owned();
        }
        let each: Vec<String> = self.cuts.iter().map(|c| c.sentence(self.wanted_share, shown)).collect();
        if self.stopped && self.cuts.iter().all(|c| c.routes.is_empty()) {
            return "Stopped before any route was found.".to_owned();
        }
        let stopped = if self.stopped { "Stopped before the end. " } else { "" };
        format!("{stopped}{}", each.join(" "))
    }
}
