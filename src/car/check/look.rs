//! How points of an axle lie to each other, and whose fault it is where they cannot lie so.

use nalgebra::Vector3;

use super::Checked;
use crate::car::axle::{Axle, PointName, Side};
use crate::car::error::CarError;

/// A lever shorter than this holds nothing, mm.
pub(super) const LEVER: f64 = 5.0;

/// An axle looked at from one side.
#[derive(Clone, Copy)]
pub(super) struct Look<'a> {
    pub axle: &'a Axle,
    pub side: Side,
}

impl Look<'_> {
    pub fn at(&self, name: PointName) -> Vector3<f64> {
        self.axle.point(self.side, name).unwrap_or_default()
    }

    /// A fault of the first of these points, and on which side.
    pub fn fault(&self, names: &[PointName], what: impl Into<String>) -> CarError {
        let what = what.into();
        let middle = names.iter().all(|name| self.axle.middle.0.contains_key(name));
        self.point_at(names, if middle { what } else { format!("{what}, on the {}", self.side.word()) })
    }

    /// A fault of the first of these points. Of points that do not go together, one that was measured on this side is
    /// likelier to be wrong.
    pub fn point_at(&self, names: &[PointName], what: impl Into<String>) -> CarError {
        let own = names.iter().find(|&name| self.side == Side::Right && self.axle.right.0.contains_key(name));
        let (list, name) = match own {
            Some(&name) => ("right", name),
            None if self.axle.middle.0.contains_key(&names[0]) => ("middle", names[0]),
            None => ("points", names[0]),
        };
        CarError::new(what).within(name.name()).within(list)
    }

    /// Two points that have to lie farther apart than `least`.
    pub fn apart(&self, names: [PointName; 2], least: f64, what: impl Into<String>) -> Checked {
        let far = (self.at(names[0]) - self.at(names[1])).norm() >= least;
        if far { Ok(()) } else { Err(self.fault(&names, what)) }
    }

    /// A point, the first, that may not lie on the line through two others.
    pub fn off_line(&self, names: [PointName; 3], what: impl Into<String>) -> Checked {
        let [p, a, b] = names.map(|name| self.at(name));
        if off_line(a, b, p) >= LEVER { Ok(()) } else { Err(self.fault(&names, what)) }
    }
}

/// Distance of `p` from the line through `a` and `b`, mm; from `a` where they are the same point.
pub(super) fn off_line(a: Vector3<f64>, b: Vector3<f64>, p: Vector3<f64>) -> f64 {
    (b - a).try_normalize(1e-9).map_or((p - a).norm(), |along| (p - a).cross(&along).norm())
}
