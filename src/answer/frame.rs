//! How stiff and how strong the body is: as found, cut, and rerouted, under the same loads at the same places.
//!
//! The body is [`crate::strength::body`]'s frame. It is loaded where the proposal's suspension is mounted on it, by what
//! the load cases make of the proposal's wheels, in all three states alike, so that they can be told from one another.

mod mounts;
mod state;
pub mod told;

use serde::Serialize;

use super::Verdict;
use super::study::{NoAnswer, Study};
use crate::car::{Car, CarError, Rail};
use crate::strength::body::Held;

pub use mounts::Mounts;
pub(super) use state::case;
pub use state::{BodyState, DeflectedMember, LoadedPlace, MemberUse};

/// What a frame does not know, and what every cut is warned of.
pub const CAUTION: [&str; 2] = [
    "A frame of rails and tubes alone: panels stiffen a shell and are left out, welds, seams, brackets and end plates count as \
                             stiff and as strong as the metal beside them, and steady loads are not impact or fatigue. What \
                             buckles is reckoned for straight metal: tubes that are bowed or out of straight, walls that wrinkle \
                             or are crippled where a load comes in, and the body bowing as a whole are not looked at.",
    super::cut::CAUTION,
];

/// A state that a body is looked at in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum StateName {
    /// As the car was measured.
    AsFound,
    /// The proposal without its new tubes and plates.
    Cut,
    /// The proposal.
    Rerouted,
    /// The same without its new tubes, of a proposal that cuts no rail.
    Bare,
    /// Such a proposal itself.
    Proposed,
}

impl StateName {
    /// As it is spoken.
    pub fn word(self) -> &'static str {
        match self {
            Self::AsFound => "as found",
            Self::Cut => "cut",
            Self::Rerouted => "rerouted",
            Self::Bare => "bare",
            Self::Proposed => "proposed",
        }
    }

    /// What a proposal is called without what it welds in, and with it.
    fn of(proposal: &Car) -> [Self; 2] {
        let sawn = proposal.rails.iter().any(Rail::is_sawn);
        if sawn { [Self::Cut, Self::Rerouted] } else { [Self::Bare, Self::Proposed] }
    }
}

/// How stiff and how strong a body is.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BodyStrength {
    /// Of the last state: touches where it comes apart or something gives out, short where less is in hand than is wanted, or it
    /// is less stiff than is wanted of as found.
    pub verdict: Verdict,
    /// Its states: as found, cut, rerouted; where no proposal is asked for, or it changes nothing of the body, fewer.
    pub states: Vec<BodyState>,
    /// The share of the stiffness as found that is wanted.
    pub wanted_share: f64,
    /// The least share of it that the last state has, where there are two.
    pub least: Option<LeastShare>,
    /// How many times a case's load a member is to hold.
    pub wanted_factor: f64,
    /// What holds it, in words.
    pub held_by: Vec<String>,
    /// Places that are twisted against each other.
    pub twisted: Option<[String; 2]>,
    /// What else is to be known.
    pub notes: Vec<String>,
    /// Stands wherever this is shown.
    pub caution: [&'static str; 2],
}

/// Where least is left of a stiffness as found.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LeastShare {
    /// Over as found; nought where nothing holds it any more.
    pub share: f64,
    /// The place; none for the twist.
    pub place: Option<String>,
    /// `sideways`.
    pub way: Option<&'static str>,
}

/// The three ways that a place is pushed.
pub const WAYS: [&str; 3] = ["fore and aft", "sideways", "up and down"];

/// The cars whose bodies are compared.
#[derive(Debug, Clone, Copy)]
pub struct Compared<'a> {
    /// As found; none where that is what is asked about.
    pub found: Option<&'a Car>,
    /// The proposal without its new tubes and plates, see [`Car::proposed_bare`]; none where there are none.
    pub bare: Option<&'a Car>,
    /// The share of the stiffness as found that is wanted.
    pub share: f64,
}

impl BodyStrength {
    /// Says why the bare cut is not among the states.
    #[must_use]
    pub fn without_cut(mut self, why: &CarError) -> Self {
        self.notes.push(format!(
            "The bare cut is not told, for without its new parts the proposal cannot be made: {}.",
            why.what()
        ));
        self
    }
}

impl Study {
    /// How stiff and how strong the body is, and how that compares with as found and with the bare cut.
    ///
    /// # Errors
    /// [`NoAnswer`] where the body is no frame, or the frame is none that can be calculated.
    pub fn body_strength(&self, compared: Compared) -> Result<BodyStrength, NoAnswer> {
        let mounts = self.mounts(compared.found.unwrap_or(&self.car))?;
        let found = compared.found.map(|car| (StateName::AsFound, car));
        let [without, with] = StateName::of(&self.car);
        let bare = compared.bare.map(|car| (without, car));
        let own = if found.is_some() { with } else { StateName::AsFound };
        let all = found.into_iter().chain(bare).chain([(own, &self.car)]);
        let states = all.map(|(name, car)| BodyState::new(name, car, &mounts)).collect::<Result<Vec<_>, _>>()?;
        Ok(self.told(states, &mounts, compared.share))
    }

    fn told(&self, states: Vec<BodyState>, mounts: &Mounts, wanted_share: f64) -> BodyStrength {
        let wanted_factor = self.car.wanted_factor;
        let least = if states.len() > 1 { least(&states[0], &states[states.len() - 1]) } else { None };
        let mut verdict = Verdict::Clear;
        let mut notes = mounts.notes.clone();
        let mut held_by = Vec::new();
        if let Some(last) = states.last() {
            if last.fails() {
                verdict = Verdict::Touches;
            } else if last.factor().is_some_and(|f| f < wanted_factor)
                || least.as_ref().is_some_and(|l| l.share < wanted_share * (1.0 - SAME))
            {
                verdict = Verdict::Short;
            }
            let Held { places, datums } = &last.body.held;
            held_by = places.clone();
            held_by.extend(datums.iter().map(|(rail, datum)| format!("{rail} at the {datum}")));
            if states.len() > 1 {
                notes.push("All are loaded alike: at the proposal's mounts, by its load cases.".to_owned());
                let before = &states[0].body.held.places;
                let new: Vec<&str> = places.iter().filter(|p| !before.contains(p)).map(String::as_str).collect();
                if !new.is_empty() {
                    notes.push(format!(
                        "Held too, which nothing of it was as found: {}. Some of what is kept comes of that.",
                        new.join(", ")
                    ));
                }
            }
            notes.extend(last.notes());
        }
        let twisted = mounts.pair.map(|pair| pair.map(|i| mounts.seats[i].name.clone()));
        BodyStrength { verdict, states, wanted_share, least, wanted_factor, held_by, twisted, notes, caution: CAUTION }
    }
}

/// Shares that differ by less are rounding.
pub(super) const SAME: f64 = 1e-6;

/// Where the last state has least of the first's stiffness.
pub(super) fn least(found: &BodyState, last: &BodyState) -> Option<LeastShare> {
    let mut least: Option<LeastShare> = None;
    let mut offer = |share: Option<f64>, place: Option<&str>, way| {
        if let Some(share) = share
            && least.as_ref().is_none_or(|l| share < l.share)
        {
            least = Some(LeastShare { share, place: place.map(str::to_owned), way });
        }
    };
    for (one, other) in found.places.iter().zip(&last.places) {
        for (axis, way) in WAYS.into_iter().enumerate() {
            offer(kept(one.along(axis), other.along(axis)), Some(&one.place), Some(way));
        }
    }
    offer(kept(found.twist_nm_per_deg, last.twist_nm_per_deg), None, None);
    least
}

/// The share that is kept of a stiffness as found, with none for what nothing holds; none too of what cannot be told, as
/// where it is held in both.
pub fn kept(found: Option<f64>, last: Option<f64>) -> Option<f64> {
    Some(last.unwrap_or(0.0) / found?).filter(|share| share.is_finite())
}
