//! Loads in a sentence.

use super::{AtJoint, Bent, Holding, JointHolding, Loads, Which};
use crate::answer::{Told, Verdict};
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

/// `184 MPa`, or `26.7 ksi`.
pub fn stress(mpa: f64, shown: Shown) -> String {
    match shown {
        Shown::Mm => format!("{mpa:.0} MPa"),
        Shown::In => format!("{:.1} ksi", mpa / MPA_PER_KSI),
    }
}

/// A thousand pounds-force on a square inch, MPa.
const MPA_PER_KSI: f64 = 1000.0 * POUND_FORCE / (25.4 * 25.4);

/// How a factor stands.
pub fn stands(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Clear => "holds",
        Verdict::Short => "short",
        Verdict::Touches => "does not hold",
    }
}

/// A factor as it is said: rounded down, so that 1.49 is not said to be 1.5.
pub fn times(factor: f64) -> String {
    let places = if factor < 2.0 { 2 } else { 1 };
    let step = 10f64.powi(-places);
    let down = ((factor / step + 1e-9).floor() * step).abs();
    if down > 99.0 { "over 99".to_owned() } else { format!("{down:.*}", places as usize) }
}

impl Holding {
    /// `left front lower arm, front leg`.
    pub fn words(&self) -> String {
        format!("{} {}", whose(self.axle, self.side), self.part)
    }

    /// What it carries in the case that leaves it least in hand, and what it is: `4.1 kN pushed, 310 Nm bending in "bump":
    /// 402 MPa of 241 MPa; it yields first. E355+N, 25.4 x 1.5 mm, 330.0 mm long.`
    pub fn told(&self, shown: Shown) -> String {
        let way = if self.axial_n < 0.0 { "pushed" } else { "pulled" };
        let (per, unit) = match shown {
            Shown::Mm => (1.0, "Nm"),
            Shown::In => (newtons(1.0 / 0.3048, shown), "lbf ft"),
        };
        let turn = |moment: f64, word: &str| match moment * per {
            m if m < 0.5 => String::new(),
            m => format!(", {m:.0} {unit} {word}"),
        };
        let stress = self.stress_mpa.map_or_else(
            || "buckled".to_owned(),
            |mpa| format!("{} of {}", stress(mpa, shown), stress(self.yield_mpa, shown)),
        );
        let wall = self.wall_mm.map_or_else(String::new, |wall| format!(" x {}", shown.cell(wall)));
        format!(
            "{} {way}{}{} in \u{201c}{}\u{201d}: {stress}; it {} first. {}, {}{wall} {}, {} long.",
            force(self.axial_n.abs(), shown),
            turn(self.moment_nm.abs(), "bending"),
            turn(self.twist_nm.abs(), "torque"),
            self.case,
            self.fails.word(),
            self.grade,
            shown.cell(self.od_mm),
            shown.sign(),
            shown.length(self.length_mm),
        )
    }
}

impl JointHolding {
    /// `left front lower front pickup`.
    pub fn words(&self) -> String {
        format!("{} {}", whose(self.axle, self.side), self.joint.words())
    }
}

impl Loads {
    /// `At 2.5 g in a left turn`, or `In "rig"`.
    fn at(&self, case: &str) -> String {
        match self.cases.iter().find(|c| c.name == case) {
            Some(case) if !case.given => format!("At {}", case.asks),
            _ => format!("In \"{case}\""),
        }
    }

    /// What has the least in hand, where anything can be judged.
    fn weakest(&self, shown: Shown) -> Option<String> {
        let (member, joint) = (self.holds.members.first(), self.holds.joints.first());
        let wanted = self.holds.wanted_factor;
        let end = |factor: f64| {
            let how = if factor < 1.0 { ", so it does not hold" } else { "" };
            if factor < wanted { format!("{how}; {wanted} is wanted.") } else { format!("; {wanted} is wanted.") }
        };
        if let Some(j) = joint.filter(|j| member.is_none_or(|m| j.factor < m.factor)) {
            let (force, holds) = (force(j.force_n, shown), force(j.holds_n, shown));
            let (at, words, factor) = (self.at(&j.case), j.words(), times(j.factor));
            let what = j.what.replacen(", ", " in ", 1);
            return Some(format!(
                "{at} the {what} at the {words} has the least in hand: {factor}, {force} of {holds}{}",
                end(j.factor)
            ));
        }
        let m = member?;
        let part = m.words().replacen(", ", "'s ", 1);
        let of = match (m.fails.on(), m.stress_mpa, m.buckles_at_n) {
            ("on yield", Some(mpa), _) => format!("{} of {}", stress(mpa, shown), stress(m.yield_mpa, shown)),
            (_, _, Some(n)) => format!("{} of {}", force(-m.axial_n, shown), force(n, shown)),
            _ => "it buckles".to_owned(),
        };
        let (at, factor, on) = (self.at(&m.case), times(m.factor), m.fails.on());
        Some(format!("{at} the {part} has the least in hand: {factor} {on}, {of}{}", end(m.factor)))
    }
}

impl Told for Loads {
    fn sentence(&self, shown: Shown) -> String {
        if let Some(told) = self.weakest(shown) {
            return told;
        }
        let link = self.members.iter().find(|m| !m.spring);
        let Some((member, (most, sense))) = link.and_then(|m| Some((m, m.worst()?))) else {
            return "This car has no links that carry a load.".to_owned();
        };
        let at = self.at(&most.case);
        // The arm's own, where it is a leg.
        let part = member.which.part.replacen(", ", "'s ", 1);
        let whose = whose(member.which.axle, member.which.side);
        let (force, sense) = (force(most.force_n, shown), sense.word());
        format!("{at} the {whose} {part} carries {force} in {sense}, the most of all members.")
    }
}
