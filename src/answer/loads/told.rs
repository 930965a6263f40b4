//! Loads in a sentence.

use super::{AtJoint, Bent, Loads, Which};
use crate::answer::Told;
use crate::car::{Hub, PointName, Shown, Side};

/// One pound-force, N.
const POUND_FORCE: f64 = crate::car::units::POUND * crate::car::units::GRAVITY;

/// A force as a number for a table: newtons, or pounds-force where lengths are inches.
pub fn newtons(n: f64, shown: Shown) -> f64 {
    match shown {
        Shown::Mm => n,
        Shown::In => n / POUND_FORCE,
    }
}

/// `N` or `lbf`.
pub fn sign(shown: Shown) -> &'static str {
    match shown {
        Shown::Mm => "N",
        Shown::In => "lbf",
    }
}

/// `11.2 kN` or `2518 lbf`.
pub fn force(n: f64, shown: Shown) -> String {
    match shown {
        Shown::Mm => format!("{:.1} kN", n / 1000.0),
        Shown::In => format!("{:.0} lbf", newtons(n, shown)),
    }
}

/// `left front`, or `front`.
pub(super) fn whose(axle: crate::car::AxleName, side: Option<Side>) -> String {
    side.map_or_else(|| axle.word().to_owned(), |side| Hub { axle, side }.words())
}

impl Which {
    /// `left front lower arm, front leg`.
    pub fn words(&self) -> String {
        format!("{} {}", whose(self.axle, self.side), self.part)
    }

    /// `lower_front - lower_ball_joint`.
    pub fn points(&self) -> String {
        self.between.map(PointName::name).join(" - ")
    }
}

impl AtJoint {
    /// `left front lower ball joint`; `front rack` of what the rack does to its housing and pinion.
    pub fn words(&self) -> String {
        let whose = whose(self.axle, self.side);
        if self.by == "rack" && self.side.is_none() {
            return format!("{whose} rack, middle");
        }
        format!("{whose} {}", self.joint.words())
    }
}

impl Bent {
    /// `left front lower arm`.
    pub fn words(&self) -> String {
        format!("{} {}", whose(self.axle, Some(self.side)), self.part)
    }
}

impl Told for Loads {
    fn sentence(&self, shown: Shown) -> String {
        let link = self.members.iter().find(|m| !m.spring);
        let Some((member, (most, sense))) = link.and_then(|m| Some((m, m.worst()?))) else {
            return "This car has no links that carry a load.".to_owned();
        };
        let case = self.cases.iter().find(|c| c.name == most.case);
        let at = match case {
            Some(case) if !case.given => format!("At {}", case.asks),
            _ => format!("In \"{}\"", most.case),
        };
        // The arm's own, where it is a leg.
        let part = member.which.part.replacen(", ", "'s ", 1);
        let whose = whose(member.which.axle, member.which.side);
        let (force, sense) = (force(most.force_n, shown), sense.word());
        format!("{at} the {whose} {part} carries {force} in {sense}, the most of all members.")
    }
}
