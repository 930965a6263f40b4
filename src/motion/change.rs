//! How fast a quantity changes: along a motion of the car, or with a coordinate of a measured point.

use nalgebra::Vector3;
use serde::{Deserialize, Serialize};

/// What steering is measured by, on every plot and map: not the way that the car steers, which a rack behind the axle turns
/// round.
pub const STEERING: &str = "Rack or pitman travel";

use super::alignment::level_between;
use super::drive::{Drive, Plane};
use super::gear::{Pose, RunningGear};
use super::newton::OutOfReach;
use super::quantity::{Frame, Quantity, Standing};
use super::real::{Dual, Real, k, moving, read};
use super::suspension::{CornerPose, Suspension};
use super::table::Measured;
use crate::car::axle::Axle;
use crate::car::{AxleName, PointName, Side};

/// A motion that quantities are followed along.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Deserialize, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Along {
    /// Both wheels of the axle up alike from ride height, bump positive, mm; the body level.
    #[default]
    Travel,
    /// The body's height with all tyres on the ground, from ride height, positive up, mm.
    Heave,
    /// The body's roll with all tyres on the ground, positive when the left side rises, rad.
    Roll,
    /// The body's pitch with all tyres on the ground, positive nose-down, rad.
    Pitch,
    /// Steering travel at ride height, positive to the car's left, mm.
    Steer,
}

impl Along {
    /// All of them.
    pub const ALL: [Self; 5] = [Self::Travel, Self::Heave, Self::Roll, Self::Pitch, Self::Steer];

    /// As a command names it.
    pub fn name(self) -> &'static str {
        match self {
            Self::Travel => "travel",
            Self::Heave => "heave",
            Self::Roll => "roll",
            Self::Pitch => "pitch",
            Self::Steer => "steer",
        }
    }

    /// As it is spoken, and when it is positive.
    pub fn words(self) -> [&'static str; 2] {
        match self {
            Self::Travel => ["Wheel travel", "bump positive"],
            Self::Heave => ["Heave", "body up positive"],
            Self::Roll => ["Roll", "left side up positive"],
            Self::Pitch => ["Pitch", "nose down positive"],
            Self::Steer => [STEERING, "left positive"],
        }
    }

    /// Whether it is an angle.
    pub fn is_angle(self) -> bool {
        matches!(self, Self::Roll | Self::Pitch)
    }
}

/// A pose of one axle, and what it was brought there by.
#[derive(Debug, Clone, Copy)]
pub struct Brought {
    /// Left and right wheel.
    pub wheels: [CornerPose; 2],
    /// The ground as the body sees it.
    pub ground: Plane,
    along: Along,
    value: f64,
}

impl RunningGear {
    /// An axle brought along a motion, from a pose of it near by.
    ///
    /// # Errors
    /// [`OutOfReach`] where the linkage cannot follow.
    pub fn bring(
        &self,
        axle: &Suspension,
        from: &[CornerPose; 2],
        along: Along,
        value: f64,
    ) -> Result<Brought, OutOfReach> {
        let steer = if axle.name == AxleName::Front { value } else { 0.0 };
        let (wheels, ground) = match along {
            Along::Travel => {
                let wheels = self.raise_axle(from, [value; 2], 0.0)?;
                (wheels, level_between(axle, &wheels))
            }
            Along::Heave | Along::Roll | Along::Pitch | Along::Steer => {
                let pose = match along {
                    Along::Heave => Pose { heave: value, ..Pose::default() },
                    Along::Roll => Pose { roll: value, ..Pose::default() },
                    Along::Pitch => Pose { pitch: value, ..Pose::default() },
                    _ => Pose { rack: steer, ..Pose::default() },
                };
                let ground = self.ground(&pose);
                (axle.pose(from, pose.rack, [Drive::Ground(ground); 2])?, ground)
            }
        };
        Ok(Brought { wheels, ground, along, value })
    }

    /// A quantity at one wheel there, and how fast it changes along the motion (per mm or per rad). None where there is
    /// no such thing, or the linkage is in a toggle.
    pub fn change(
        &self,
        axle: &Suspension,
        frame: &Frame,
        at: &Brought,
        quantity: Quantity,
        side: Side,
    ) -> Option<[f64; 2]> {
        self.changes(axle, frame, at, quantity, &[side])?.pop()
    }

    /// The same at several wheels at once, in their order.
    pub fn changes(
        &self,
        axle: &Suspension,
        frame: &Frame,
        at: &Brought,
        quantity: Quantity,
        sides: &[Side],
    ) -> Option<Vec<[f64; 2]>> {
        let dual = axle.again(axle.measured.lifted());
        let standing = self.standing(&dual, frame, at)?;
        let value = |side: &Side| quantity.of(&standing, *side).map(|value| [value.re, value.eps1]);
        sides.iter().map(value).collect()
    }

    /// How a quantity at one wheel, and the rate at which it changes along the motion, depend on everything that was
    /// measured. Empty where there is no such quantity.
    pub fn sensitivity(
        &self,
        axle: &Suspension,
        frame: &Frame,
        at: &Brought,
        quantity: Quantity,
        side: Side,
    ) -> Vec<Sensitivity> {
        self.sensitivities(axle, frame, at, &[(quantity, side)]).pop().unwrap_or_default()
    }

    /// The same for several quantities at once, in their order.
    pub fn sensitivities(
        &self,
        axle: &Suspension,
        frame: &Frame,
        at: &Brought,
        asked: &[(Quantity, Side)],
    ) -> Vec<Vec<Sensitivity>> {
        let mut found = vec![Vec::new(); asked.len()];
        for reading in readings(&axle.described) {
            let dual = axle.again(reading.seeded(axle));
            let Some(standing) = self.standing(&dual, frame, at) else { continue };
            for (found, (quantity, side)) in found.iter_mut().zip(asked) {
                let Some(of) = quantity.of(&standing, *side) else { continue };
                if of.eps2 != 0.0 || of.eps1eps2 != 0.0 {
                    found.push(Sensitivity { reading, value: of.eps2, rate: of.eps1eps2 });
                }
            }
        }
        found
    }

    /// An axle standing where it was brought, in dual numbers that follow the motion.
    fn standing<'a>(&self, axle: &'a Suspension<Dual>, frame: &'a Frame, at: &Brought) -> Option<Standing<'a, Dual>> {
        let nought = k::<Dual>(0.0);
        let still = Pose { heave: nought, roll: nought, pitch: nought, rack: nought };
        let value = moving(at.value);
        let on = |pose: Pose<Dual>| {
            let ground = self.ground_of(&pose);
            Some((axle.settle(&at.wheels, pose.rack, [Drive::Ground(ground); 2])?, ground))
        };
        let (wheels, ground) = match at.along {
            Along::Travel => {
                let height = |i: usize| Drive::Height(moving(at.wheels[i].wheel_centre.z));
                let wheels = axle.settle(&at.wheels, nought, [height(0), height(1)])?;
                (wheels, level_between(axle, &wheels))
            }
            Along::Heave => on(Pose { heave: value, ..still })?,
            Along::Roll => on(Pose { roll: value, ..still })?,
            Along::Pitch => on(Pose { pitch: value, ..still })?,
            Along::Steer if axle.name == AxleName::Front => on(Pose { rack: value, ..still })?,
            Along::Steer => on(still)?,
        };
        Some(Standing { axle, wheels, ground, frame })
    }
}

impl Brought {
    /// The axle standing there.
    pub fn standing<'a>(&self, axle: &'a Suspension, frame: &'a Frame) -> Standing<'a> {
        Standing { axle, wheels: self.wheels, ground: self.ground, frame }
    }
}

/// How a quantity depends on a reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sensitivity {
    /// What was read.
    pub reading: Reading,
    /// Change of the quantity per mm, or per rad, of the reading.
    pub value: f64,
    /// Change of its rate along the motion.
    pub rate: f64,
}

/// One thing that was read off a tape or a gauge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Reading {
    /// A coordinate of a point on a side: 0 for x, 1 for y, 2 for z.
    Coordinate(Side, PointName, usize),
    /// A wheel's camber.
    Camber(Side),
    /// A wheel's toe.
    Toe(Side),
}

/// Everything that was measured of an axle. A point that is there once is read once.
pub fn readings(axle: &Axle) -> Vec<Reading> {
    let mut all = Vec::new();
    for side in Side::BOTH {
        for &name in PointName::ALL {
            let again = side == Side::Right && axle.middle.0.contains_key(&name);
            if axle.point(side, name).is_some() && !again {
                all.extend((0..3).map(|i| Reading::Coordinate(side, name, i)));
            }
        }
        all.extend([Reading::Camber(side), Reading::Toe(side)]);
    }
    all
}

impl Reading {
    /// As it is spoken: `left lower ball joint, height`.
    pub fn words(&self, axle: &Axle) -> String {
        match *self {
            Self::Coordinate(side, name, i) => {
                let way = ["fore and aft", "across", "height"][i];
                let side = if axle.middle.0.contains_key(&name) { String::new() } else { format!("{} ", side.word()) };
                format!("{side}{}, {way}", name.words())
            }
            Self::Camber(side) => format!("{} camber as read", side.word()),
            Self::Toe(side) => format!("{} toe as read", side.word()),
        }
    }

    /// Half the width of the band that holds 95 of 100 readings, mm or rad.
    pub fn doubt(&self, axle: &Axle) -> f64 {
        match self {
            Self::Coordinate(_, name, _) => axle.doubt.point(*name),
            Self::Camber(_) | Self::Toe(_) => axle.doubt.alignment,
        }
    }

    /// What was measured, in dual numbers that follow this reading.
    pub fn seeded(self, axle: &Suspension) -> Measured<Dual> {
        let mut dual: Measured<Dual> = axle.measured.lifted();
        let nought = k::<Dual>(0.0);
        match self {
            Self::Coordinate(side, name, i) => {
                let single = axle.described.middle.0.contains_key(&name);
                for side in Side::BOTH.into_iter().filter(|s| single || *s == side) {
                    if let Some(p) = dual.at_mut(side, name) {
                        p[i] = read(p[i].re);
                    }
                }
            }
            Self::Camber(side) => dual.spin[side as usize] = spin(&axle.described, side, read(0.0), nought),
            Self::Toe(side) => dual.spin[side as usize] = spin(&axle.described, side, nought, read(0.0)),
        }
        dual
    }
}

/// A wheel's spin axis with camber and toe a little other than read: see [`Axle::spin_axis`].
fn spin<T: Real>(axle: &Axle, side: Side, camber: T, toe: T) -> Vector3<T> {
    let stands = axle.alignment(side);
    let (camber, toe) = (camber + k(stands.camber), toe + k(stands.toe));
    Vector3::new(toe.sin() * camber.cos(), toe.cos() * camber.cos() * k(side.sign()), -camber.sin())
}
