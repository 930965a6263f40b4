//! A spring's rate, put what it is to be.

use super::{Edited, Editor};
use crate::car::axle::{AxleName, Spring};
use crate::car::error::Step;
use crate::car::proposal::Change;
use crate::car::{Amount, Shown};

impl Editor<'_> {
    /// Of an axle as found, or in a proposal by its last change that fits a spring there.
    pub(super) fn put_spring_rate(&mut self, proposal: Option<&str>, axle: AxleName, rate: f64) -> Edited {
        let spring = Spring { rate, on: None, diameter: None };
        let found = self.axle(axle)?.spring;
        let Some(name) = proposal else {
            let place = path![axle.word(), "spring"];
            return match found {
                Some(_) => self.put_rate(&place, &spring),
                None => self.add_to(&place, "", &format!("spring: ({})", spring.fields(self.unit()))),
            };
        };
        let index = self.proposal(name)?;
        let fits = |change: &Change| match (change, axle) {
            (Change::FitSpring(_), AxleName::Front) => true,
            (Change::Rear(change), AxleName::Rear) => matches!(**change, Change::FitSpring(_)),
            _ => false,
        };
        let changes = path!["proposals", index, "changes"];
        match self.changes(index).iter().rposition(fits) {
            Some(step) => {
                let inside: &[Step] = if axle == AxleName::Rear { &path![0] } else { &[] };
                self.put_rate(&[&changes[..], &path![step], inside].concat(), &spring)
            }
            None => {
                let fit = format!("fit_spring({})", spring.fields(self.unit()));
                let entry = if axle == AxleName::Rear { format!("rear({fit})") } else { fit };
                self.add_to(&changes, &entry, "")
            }
        }
    }

    /// A rate that was written in lbf/in stays so.
    fn put_rate(&mut self, place: &[Step], spring: &Spring) -> Edited {
        let written = self.map.get(&[place, &path!["rate"]].concat()).map(|item| &self.map.text[item.span.clone()]);
        let value = match written {
            Some(text) if text.contains("lb") => {
                // To a tenth, as rates are sold; a whole one without it.
                let tenths = (spring.rate / Amount::Rate.one(Shown::In) * 10.0).round() / 10.0;
                format!("\"{tenths} lbf/in\"")
            }
            Some(text) if text.starts_with('"') => format!("\"{} N/mm\"", spring.rate_number()),
            _ => spring.rate_number(),
        };
        self.put_field(place, "rate", &value)
    }
}
