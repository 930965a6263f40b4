//! How a spring's length follows the wheels, and how that changes: what a wheel's rate is made of.

use super::drive::Drive;
use super::real::{Dual, k};
use super::suspension::{CornerPose, Mode, Suspension};
use crate::car::Side;

impl Suspension {
    /// A wheel's spring travel over its travel in a pose, both wheels alike or the other one going the other way, and how
    /// fast that ratio changes for each millimetre of it, 1/mm. None without a spring's line, for steering, and in a toggle.
    pub fn spring_follows(&self, wheels: &[CornerPose; 2], mode: Mode, side: Side) -> Option<[f64; 2]> {
        let dual = self.again(self.measured.lifted());
        let across = match mode {
            Mode::Heave => 1.0,
            Mode::Roll => -1.0,
            Mode::Steer => return None,
        };
        let goes = |i: usize| if i == side as usize { 1.0 } else { across };
        let height = |i: usize| Drive::Height(Dual::new(wheels[i].wheel_centre.z, goes(i), 0.0, 0.0));
        let posed = dual.settle(wheels, k(wheels[0].rack), [height(0), height(1)])?;
        let ratio = dual.spring_ratio(&posed[side as usize], mode)?;
        Some([ratio.re, ratio.eps1])
    }
}
