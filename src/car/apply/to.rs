//! Where something is moved: to a place, or by a shift.

use nalgebra::Vector3;

use crate::car::error::CarError;

/// Where a move goes.
pub(super) enum To {
    Place(Vector3<f64>),
    Shift(Vector3<f64>),
}

impl To {
    /// Exactly one of the two has to be given.
    pub fn one(to: Option<Vector3<f64>>, by: Option<Vector3<f64>>) -> Result<Self, CarError> {
        match (to, by) {
            (Some(at), None) => Ok(Self::Place(at)),
            (None, Some(shift)) => Ok(Self::Shift(shift)),
            (Some(_), Some(_)) => {
                Err(CarError::new("both `to` and `by` are given: keep `to` for a place or `by` for a shift")
                    .within("by"))
            }
            (None, None) => {
                Err(CarError::new("where it moves is missing: add `to: (x, y, z)` for a place or `by:` for a shift"))
            }
        }
    }
}
