//! Which load case is looked at, and which part in it.

use bevy::prelude::*;

use crate::answer::loads::{CaseLoads, Loads};
use crate::answer::{NoAnswer, Study};
use crate::motion::Pose;

pub(super) fn plugin(app: &mut App) {
    app.init_resource::<Loading>();
}

/// What is looked at.
#[derive(Resource, Debug, Clone, Default)]
pub struct Loading {
    /// The case by its name; none where each part is told in its own worst.
    pub case: Option<String>,
    /// The part, as its row calls it.
    pub part: Option<String>,
}

/// What parts carry over all cases, and in each one alone.
#[derive(Debug, Clone)]
pub struct LoadSets {
    /// Over all cases.
    pub all: Loads,
    each: Vec<Loads>,
}

impl LoadSets {
    /// Of a car.
    ///
    /// # Errors
    /// As of [`Study::loads`].
    pub fn of(study: &Study) -> Result<Self, NoAnswer> {
        let all = study.loads(None)?;
        let each = all.cases.iter().map(|case| study.loads(Some(&case.name))).collect::<Result<_, _>>()?;
        Ok(Self { all, each })
    }

    /// What is told of a case, or of all.
    pub fn told(&self, case: Option<&str>) -> &Loads {
        case.and_then(|name| self.each.iter().find(|l| l.cases[0].name == name)).unwrap_or(&self.all)
    }
}

impl Loading {
    /// The case whose forces are drawn: the one that is looked at, else that of the part looked at, else that of the part
    /// with the least in hand.
    pub fn drawn<'a>(&self, sets: &'a LoadSets) -> Option<&'a CaseLoads> {
        let holds = &sets.all.holds;
        let of_part = |part: &String| {
            let member = holds.members.iter().find(|m| m.words() == *part).map(|m| &m.case);
            member.or_else(|| {
                holds.joints.iter().find(|j| format!("{}, {}", j.words(), j.what) == *part).map(|j| &j.case)
            })
        };
        let weakest = || holds.members.first().map(|m| &m.case);
        let name = self.case.as_ref().or_else(|| self.part.as_ref().and_then(of_part)).or_else(weakest);
        sets.all.cases.iter().find(|c| name.is_none_or(|name| c.name == *name))
    }
}

/// How the car stands in a case.
pub fn pose(case: &CaseLoads) -> Pose {
    let at = case.pose;
    Pose { heave: at.heave_mm, roll: at.roll_deg.to_radians(), pitch: at.pitch_deg.to_radians(), rack: at.rack_mm }
}
