//! A body's strength in words.

use super::{BodyState, BodyStrength, LeastShare, LoadedPlace, MemberUse, StateName};
use crate::answer::loads::told::force;
use crate::answer::words::capital;
use crate::answer::{Told, Verdict};
use crate::car::Shown;
use crate::strength::Way;
use crate::strength::body::{Loose, LooseEnd};

/// Most things that a sentence lists.
const LISTED: usize = 3;

/// `left upper rail from 870 to 1240 mm with the left damper tower on it`.
pub(super) fn loose(loose: &Loose, shown: Shown) -> String {
    let run = |(name, part): &(String, Option<[f64; 2]>)| match part {
        Some([from, to]) => format!("{name} from {} to {}", shown.cell(*from), shown.length(*to)),
        None => name.clone(),
    };
    let runs: Vec<String> = loose.runs.iter().map(run).collect();
    match (runs.is_empty(), loose.places.is_empty()) {
        (true, _) => loose.places.join(", the "),
        (_, true) => runs.join(", the "),
        _ => format!("{} with the {} on it", runs.join(", the "), loose.places.join(", the ")),
    }
}

/// `first end of the left brace at (120, 400, 610)`.
pub(super) fn loose_end(end: &LooseEnd) -> String {
    let which = if end.last { "last" } else { "first" };
    format!("{which} end of the {} at ({:.0}, {:.0}, {:.0})", end.tube, end.at.x, end.at.y, end.at.z)
}

/// `4.1 kN/mm` or `23.4 thousand lbf/in`.
pub fn stiffness(n_per_mm: f64, shown: Shown) -> String {
    match shown {
        Shown::Mm => format!("{} N/mm", rounded(n_per_mm)),
        Shown::In => format!("{} lbf/in", rounded(n_per_mm * POUNDS_AN_INCH)),
    }
}

/// Pounds-force an inch that a newton a millimetre is.
pub const POUNDS_AN_INCH: f64 = 25.4 / (crate::car::units::POUND * crate::car::units::GRAVITY);

/// A pound-foot, Nm: from the pound-force.
pub const POUND_FOOT: f64 = 1.0 / POUNDS_AN_INCH * 25.4 * 12.0 * 25.4 / 1000.0;

/// To three figures.
pub fn rounded(value: f64) -> String {
    if !value.is_finite() {
        return "held".to_owned();
    }
    let digits = value.abs().max(1e-12).log10().floor() as i32 - 2;
    let step = 10f64.powi(digits);
    let places = usize::try_from(-digits).unwrap_or(0);
    format!("{:.places$}", (value / step).round() * step)
}

/// A share as it is said, rounded down, so that 99.9 % is not said to be all.
pub fn percent(share: f64) -> String {
    format!("{:.0} %", (share * 100.0 + 1e-6).floor())
}

/// A use as it is said, rounded up: nothing must be said to have more in hand than it has.
pub fn used(share: f64) -> String {
    // Without a sign before nought.
    format!("{:.0} %", (share * 100.0 - 1e-6).ceil() + 0.0)
}

impl MemberUse {
    /// `left upper rail, 0 to 512 mm`.
    pub fn words(&self, shown: Shown) -> String {
        if self.whole {
            return self.run.clone();
        }
        format!("{}, {} to {}", self.run, shown.cell(self.from_mm), shown.length(self.to_mm))
    }
}

impl LoadedPlace {
    /// Its stiffness along one of the three ways; none where nothing holds it.
    pub fn along(&self, axis: usize) -> Option<f64> {
        self.stiffness_n_per_mm.map(|all| all[axis])
    }
}

impl BodyState {
    /// `nothing holds the left damper tower`.
    fn apart(&self, shown: Shown) -> Option<String> {
        let parts: Vec<String> = self.body.loose.iter().map(|l| loose(l, shown)).collect();
        if parts.is_empty() {
            return None;
        }
        let more = parts.len().saturating_sub(LISTED);
        let listed = parts[..parts.len().min(LISTED)].join(", nor the ");
        Some(format!(
            "nothing holds the {listed}{}",
            if more > 0 { format!(", and {more} more") } else { String::new() }
        ))
    }

    /// `the weakest member is the left brace, at 62 % of its yield in "bump"`.
    fn weakest(&self, shown: Shown) -> Option<String> {
        let member = self.members.iter().find(|m| m.most().is_some())?;
        let (most, way) = member.most()?;
        let of = match way {
            Way::Yield => "its yield",
            Way::Buckling => "what buckles it",
        };
        Some(format!(
            "the weakest member is the {}, at {} of {of} in \"{}\"",
            member.words(shown),
            used(most),
            member.case
        ))
    }
}

impl LeastShare {
    /// `left front damper, upper mount, sideways` or `twist`.
    pub fn words(&self) -> String {
        match (&self.place, self.way) {
            (Some(place), Some(way)) => format!("{place}, {way}"),
            _ => "twist".to_owned(),
        }
    }
}

impl BodyStrength {
    /// How it stands, in a word or two.
    pub fn word(&self) -> &'static str {
        match self.verdict {
            Verdict::Touches if self.states.last().is_some_and(|s| !s.nothing_holds.is_empty()) => "falls apart",
            Verdict::Touches => "does not hold",
            verdict => verdict.word(),
        }
    }
}

impl Told for BodyStrength {
    fn sentence(&self, shown: Shown) -> String {
        let Some(last) = self.states.last() else { return "There is no body to calculate.".to_owned() };
        let cut = self.states.iter().find(|s| s.state == StateName::Cut).and_then(|s| s.apart(shown));
        let cut = cut.map(|apart| format!("Cut, {apart}. ")).unwrap_or_default();
        let now = if last.state == StateName::Proposed { "As proposed" } else { "Rerouted" };
        if let Some(apart) = last.apart(shown) {
            return match last.state {
                StateName::AsFound => format!("{}.", capital(&apart)),
                _ => format!("{now}, {apart}."),
            };
        }
        let weakest = last.weakest(shown).map(|w| format!("; {w}")).unwrap_or_default();
        if let Some(least) = &self.least {
            let found = &self.states[0];
            let heavier = last.mass_kg - found.mass_kg;
            let weighs = format!("{:.1} kg {}", heavier.abs(), if heavier < 0.0 { "lighter" } else { "heavier" });
            return format!(
                "{cut}{now}, the body keeps {} of its stiffness as found or more (least: {}) and is {weighs}{weakest}.",
                percent(least.share),
                least.words()
            );
        }
        match (last.twist_nm_per_deg, &self.twisted) {
            (Some(twist), Some([one, _])) => {
                let across = one.strip_prefix("left ").unwrap_or(one);
                format!("As found, {} Nm twist the body by 1 deg between its {across}s{weakest}.", rounded(twist))
            }
            _ => {
                let soft = last.places.iter().filter_map(|p| Some((p, p.stiffness_n_per_mm?)));
                let each = soft.flat_map(|(p, all)| all.into_iter().zip(super::WAYS).map(move |(k, way)| (p, k, way)));
                let least = each.min_by(|a, b| a.1.total_cmp(&b.1));
                least.map_or_else(
                    || "The body is loaded nowhere: no mount of the suspension is near to it.".to_owned(),
                    |(p, k, way)| {
                        let kilo = force(1000.0, shown);
                        let gives = shown.length(1000.0 / k);
                        format!(
                            "As found, the body is softest at the {}: {way} it gives {gives} under {kilo}{weakest}.",
                            p.place
                        )
                    },
                )
            }
        }
    }
}
