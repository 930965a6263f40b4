//! The numbers to set the car up by, out of the answers that have them.

use serde::Serialize;

use crate::answer::{Lock, NoAnswer, Study};
use crate::car::{Shown, Side};
use crate::motion::{Along, Measure, Pose, Quantity};

/// What is set or checked on the floor.
const SET: [Quantity; 6] =
    [Quantity::Camber, Quantity::Toe, Quantity::Caster, Quantity::Kingpin, Quantity::ScrubRadius, Quantity::Trail];

/// The set-up sheet.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SetUp {
    /// Alignment and ride heights.
    pub rows: Vec<SetRow>,
    /// What to fit so that the rack stops before anything touches, to the left and to the right; none where the front axle
    /// does not steer.
    pub limiters_mm: Option<[f64; 2]>,
    /// The same in a sentence.
    pub lock: String,
}

/// A number to set.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SetRow {
    /// Where: `left front wheel`, or a datum.
    pub at: String,
    /// What: `camber`, `ride height`.
    pub what: &'static str,
    /// What it is measured in.
    pub measure: Measure,
    /// In mm or degrees.
    pub value: f64,
    /// Give or take, as `alignment` says; none of a ride height.
    pub doubt: Option<f64>,
    /// As found.
    pub was: Option<f64>,
}

/// A car's set-up, beside the one as found.
///
/// # Errors
/// [`NoAnswer`] where the car cannot be posed.
pub(super) fn set_up(study: &Study, found: Option<&Study>, lock: &Lock, shown: Shown) -> Result<SetUp, NoAnswer> {
    let mut rows = rows(study)?;
    // A car that cannot stand as found is compared with nothing.
    let was = found.and_then(|found| self::rows(found).ok()).unwrap_or_default();
    for row in &mut rows {
        row.was = was.iter().find(|w| w.at == row.at && w.what == row.what).map(|w| w.value);
    }
    let steers = study.car.front.steering_travel().is_some();
    Ok(SetUp {
        rows,
        limiters_mm: steers.then(|| [0, 1].map(|way| lock.ways[way].limiter_mm)),
        lock: if steers {
            crate::answer::Told::sentence(lock, shown)
        } else {
            "The front axle does not steer.".to_owned()
        },
    })
}

fn rows(study: &Study) -> Result<Vec<SetRow>, NoAnswer> {
    let mut all = Vec::new();
    for (name, _) in study.car.axles() {
        let alignment = study.alignment(name, Along::Travel, None, Shown::Mm)?;
        for side in Side::BOTH {
            for quantity in SET {
                let number = alignment.numbers.iter().find(|n| n.quantity == quantity);
                let Some(sure) = number.and_then(|n| n.sides[side as usize]) else { continue };
                all.push(SetRow {
                    at: format!("{} {} wheel", side.word(), name.word()),
                    what: quantity.words(),
                    measure: quantity.measure(),
                    value: sure.value,
                    doubt: Some(sure.doubt),
                    was: None,
                });
            }
        }
    }
    let heights = study.stance(&Pose::default())?.heights;
    all.extend(heights.into_iter().map(|h| SetRow {
        at: h.name,
        what: "ride height",
        measure: Measure::Length,
        value: h.ride_mm,
        doubt: None,
        was: None,
    }));
    Ok(all)
}
