//! What the tie rods do to a rack, or to a steering box and its arms.

use super::build::{Build, across, axes};
use super::{NoForces, Part};
use crate::car::axle::shaft_axis;
use crate::car::{PointName, Side};

use PointName::{IdlerEnd, IdlerShaft, IdlerShaftTop, PitmanEnd, PitmanShaft, PitmanShaftTop, TieRodInner};

impl Build<'_> {
    /// What turns the wheels, where anything does.
    pub fn steering(&mut self) -> Result<(), NoForces> {
        if !self.axle.steers() {
            return Ok(());
        }
        if self.axle.described.rack.is_some() { self.rack() } else { self.steering_box() }
    }

    /// The pinion holds the rack along its axis, the housing every other way: told at the middle between its ends.
    fn rack(&mut self) -> Result<(), NoForces> {
        let ends = [self.at(Side::Left, TieRodInner)?, self.at(Side::Right, TieRodInner)?];
        let middle = (ends[0] + ends[1]) / 2.0;
        self.joint((None, TieRodInner), middle, [Part::Body, Part::Rack], &axes(), &axes());
        Ok(())
    }

    /// Pitman arm, centre link and idler arm, held as the core holds them. The link's pin at the pitman arm keeps its
    /// roll: there a universal joint passes on the twist about neither its pin nor the direction across the link.
    fn steering_box(&mut self) -> Result<(), NoForces> {
        let [shaft, end, idler_shaft, idler_end] =
            [PitmanShaft, PitmanEnd, IdlerShaft, IdlerEnd].map(|name| self.at(Side::Left, name));
        let (shaft, end, idler_shaft, idler_end) = (shaft?, end?, idler_shaft?, idler_end?);
        let axle = self.axle;
        let other = |name| axle.measured.at(Side::Left, name);
        let axis = shaft_axis(shaft, other(PitmanShaftTop));
        let idler_axis = shaft_axis(idler_shaft, other(IdlerShaftTop));
        let along = (idler_end - end).normalize();
        let up = (axis - along * along.dot(&axis)).normalize();
        let keeps = up.cross(&along).cross(&axis).normalize();
        self.joint((None, PitmanShaft), shaft, [Part::Body, Part::PitmanArm], &axes(), &axes());
        self.joint((None, PitmanEnd), end, [Part::PitmanArm, Part::CentreLink], &axes(), &[keeps]);
        self.joint((None, IdlerEnd), idler_end, [Part::IdlerArm, Part::CentreLink], &axes(), &[]);
        let twists = across(idler_axis);
        self.joint((None, IdlerShaft), idler_shaft, [Part::Body, Part::IdlerArm], &axes(), &twists);
        Ok(())
    }
}
