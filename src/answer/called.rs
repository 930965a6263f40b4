//! Pairs of parts as a reader names them: `left front tyre, left upper rail`, or without the side for both.

use std::collections::BTreeSet;
use std::str::FromStr;

use crate::car::WantedGaps;
use crate::car::error::instead_of;
use crate::space::{Parts, Place};

/// Two parts by their names.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PairName {
    /// The one.
    pub a: String,
    /// The other.
    pub b: String,
}

impl FromStr for PairName {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        match text.split_once(',').map(|(a, b)| (a.trim(), b.trim())) {
            Some((a, b)) if !a.is_empty() && !b.is_empty() && !b.contains(',') => {
                Ok(Self { a: a.to_owned(), b: b.to_owned() })
            }
            _ => {
                Err("name two parts with a comma between them, such as \"left front tyre, left upper rail\"".to_owned())
            }
        }
    }
}

impl PairName {
    /// The pairs that are meant, those of both sides where no side is named.
    pub fn places(&self, parts: &Parts, wanted: &WantedGaps) -> Vec<Place> {
        parts.called(&self.a, &self.b, wanted)
    }

    /// Why there is no such pair in any of these states of a car, and what to do.
    pub fn missing(&self, states: &[&Parts]) -> String {
        let names: BTreeSet<String> = states.iter().flat_map(|p| p.names()).collect();
        let Some(unknown) = [&self.a, &self.b].into_iter().find(|name| !names.contains(*name)) else {
            return format!(
                "the {} and the {} are not measured against each other: a pair is a part that moves, and one of its own axle \
                 and side or one that is fixed to the body",
                self.a, self.b
            );
        };
        let meant = instead_of(unknown, names.iter().map(String::as_str));
        let meant =
            if meant.contains("did you mean") { &meant } else { ": parts are called as `scribeline gaps` calls them" };
        format!("there is no part `{unknown}`{meant}")
    }
}
