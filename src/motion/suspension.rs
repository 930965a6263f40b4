//! An axle as a mechanism: both wheels, what holds them, and everything that rides along.

use std::sync::Arc;

use nalgebra::{Matrix3, Vector3};

use super::beam::{Beam, Lies};
use super::carried;
use super::drive::{Drive, Rolling};
use super::newton::OutOfReach;
use super::placement::{Placement, Speed};
use super::real::{Real, k};
use super::rod::Rod;
use super::steering::Steering;
use super::table::Measured;
use super::turning::Turning;
use super::upright::{HeldBy, Hinge, Slider, Upright};
use crate::car::axle::{Axle, Linkage, MountedOn};
use crate::car::{AxleName, Hub, PointName, Side};

/// An axle as a mechanism.
#[derive(Debug, Clone)]
pub struct Suspension<T: Real = f64> {
    /// Front or rear.
    pub name: AxleName,
    /// As it was described.
    pub described: Arc<Axle>,
    /// How its wheels are held.
    pub linkage: Linkage,
    /// Its points as measured, body frame, mm.
    pub measured: Measured<T>,
    pub(super) held: Held<T>,
    pub(super) steering: Steering<T>,
    pub(super) riding: Riding<T>,
}

/// What holds the wheels.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Held<T: Real> {
    /// Each wheel by itself.
    Apart([Upright<T>; 2]),
    /// Both on a stiff axle.
    Together(Beam<T>),
}

/// What rides along without holding anything: dampers, springs, rockers, an anti-roll bar.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Riding<T: Real> {
    pub damper_on: Option<MountedOn>,
    /// Of a spring that stands apart from the damper.
    pub spring_on: Option<MountedOn>,
    pub rockers: Option<(MountedOn, [Turning<T>; 2])>,
    pub levers: Option<(MountedOn, [Turning<T>; 2])>,
}

/// A wheel in a pose, and the part that carries it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CornerPose<T: Real = f64> {
    /// The wheel.
    pub hub: Hub,
    /// Steering travel, positive to the car's left, mm: the rack's, or the arc of the pitman arm's end.
    pub rack: T,
    /// Where the upright, trailing arm or stiff axle is.
    pub(super) lies: Lies<T>,
    /// Its turn from the measured attitude.
    pub turn: Matrix3<T>,
    /// Wheel centre, body frame, mm.
    pub wheel_centre: Vector3<T>,
    /// Spin axis, unit, outboard.
    pub spin: Vector3<T>,
}

impl CornerPose {
    /// Where the upright, trailing arm or stiff axle is.
    pub fn placement(&self) -> &Placement {
        &self.lies.placement
    }
}

/// A way to move an axle, for what is taken per millimetre.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mode {
    /// Both wheels up alike.
    Heave,
    /// The wheel up and the other one down alike.
    Roll,
    /// Steering travel with the wheel centres' heights still.
    Steer,
}

impl Suspension {
    /// From a checked description: every point that its linkage needs is there.
    pub fn new(axle: &Axle, name: AxleName) -> Self {
        let mut axle = Self::from_measured(Arc::new(axle.clone()), name, Measured::of(axle));
        axle.steering = axle.steering.with_swing();
        if let Held::Apart(uprights) = &mut axle.held {
            uprights.iter_mut().for_each(|upright| upright.steering = axle.steering);
        }
        axle
    }

    /// The same axle in another scalar, with what was measured given in that scalar.
    pub fn again<T: Real>(&self, measured: Measured<T>) -> Suspension<T> {
        Suspension::from_measured(Arc::clone(&self.described), self.name, measured)
    }

    /// Both wheels as they were measured.
    pub fn as_measured(&self) -> [CornerPose; 2] {
        match &self.held {
            Held::Apart(uprights) => uprights.map(|u| {
                let placement =
                    Placement::measured(self.measured.at(u.hub.side, PointName::WheelCentre).unwrap_or_default());
                self.upright_posed(&u, placement, 0.0)
            }),
            Held::Together(beam) => {
                self.beam_posed(beam, &Lies { placement: Placement::measured(beam.origin), crank: 0.0 })
            }
        }
    }

    /// Both wheels with steering and drives set, started from a pose near or far.
    ///
    /// # Errors
    /// [`OutOfReach`] where the linkage cannot take the pose.
    pub fn pose(&self, from: &[CornerPose; 2], rack: f64, drives: [Drive; 2]) -> Result<[CornerPose; 2], OutOfReach> {
        match &self.held {
            Held::Apart(_) => Ok([self.alone(&from[0], rack, drives[0])?, self.alone(&from[1], rack, drives[1])?]),
            Held::Together(beam) => Ok(self.beam_posed(beam, &beam.place(&from[0].lies, drives)?)),
        }
    }

    /// One wheel that is held by itself. On a stiff axle, which has no such wheel, the other keeps its height.
    ///
    /// # Errors
    /// [`OutOfReach`] where the linkage cannot take the pose.
    pub fn alone(&self, from: &CornerPose, rack: f64, drive: Drive) -> Result<CornerPose, OutOfReach> {
        match &self.held {
            Held::Apart(uprights) => {
                let upright = &uprights[from.hub.side as usize];
                let placement = upright.place(&from.lies.placement, from.rack, rack, drive)?;
                Ok(self.upright_posed(upright, placement, rack))
            }
            Held::Together(beam) => {
                let side = from.hub.side;
                let mut drives = [drive; 2];
                drives[1 - side as usize] = Drive::Height(self.other(from).wheel_centre.z);
                Ok(self.beam_posed(beam, &beam.place(&from.lies, drives)?)[side as usize])
            }
        }
    }

    /// The wheel across, where both are on a stiff axle; else the wheel itself.
    pub fn other(&self, pose: &CornerPose) -> CornerPose {
        match &self.held {
            Held::Apart(_) => *pose,
            Held::Together(beam) => self.beam_posed(beam, &pose.lies)[1 - pose.hub.side as usize],
        }
    }

    /// Largest error in a pose of what holds the wheel, mm.
    pub fn residual(&self, pose: &CornerPose) -> f64 {
        match &self.held {
            Held::Apart(uprights) => uprights[pose.hub.side as usize].residual(&pose.lies.placement, pose.rack),
            Held::Together(beam) => beam.residual(&pose.lies),
        }
    }
}

impl<T: Real> Suspension<T> {
    /// The same with points in the core's scalar.
    fn from_measured(described: Arc<Axle>, name: AxleName, measured: Measured<T>) -> Self {
        use PointName::{BarLever, BarPivot, DropLinkOuter, PushRodInner, PushRodOuter, RockerAxis, RockerPivot};
        let axle = &*described;
        let steering = Steering::new(axle, &measured);
        let held = if axle.linkage.is_stiff() {
            Held::Together(Beam::new(axle, name, &measured))
        } else {
            Held::Apart(Side::BOTH.map(|side| upright(axle, Hub { axle: name, side }, &measured, steering)))
        };
        let at = |side, name| measured.at(side, name).unwrap_or_else(Vector3::zeros);
        let direction = |v: Vector3<T>| v.try_normalize(k(1e-9)).unwrap_or_else(Vector3::y);
        let rockers = axle.rocker.map(|rocker| {
            let turning = Side::BOTH.map(|side| {
                let axis = direction(at(side, RockerAxis) - at(side, RockerPivot));
                Turning::new(at(side, RockerPivot), axis, at(side, PushRodInner), at(side, PushRodOuter))
            });
            (rocker.on, turning)
        });
        let levers = axle.bar.map(|bar| {
            let axis = direction(at(Side::Left, BarPivot) - at(Side::Right, BarPivot));
            let turning = Side::BOTH
                .map(|side| Turning::new(at(side, BarPivot), axis, at(side, BarLever), at(side, DropLinkOuter)));
            (bar.on, turning)
        });
        let (damper_on, spring_on) = (axle.damper.map(|d| d.on), axle.spring_apart());
        let riding = Riding { damper_on, spring_on, rockers, levers };
        Self { name, linkage: axle.linkage, described, measured, held, steering, riding }
    }

    /// Whether anything steers it.
    pub fn steers(&self) -> bool {
        self.steering != Steering::None
    }

    /// Whether its wheels move without each other.
    pub fn independent(&self) -> bool {
        matches!(self.held, Held::Apart(_))
    }

    /// A solved pose in the scalar of this axle, with the derivatives that steering, drives and measured points bring
    /// in. None in a toggle.
    pub fn settle(&self, from: &[CornerPose; 2], rack: T, drives: [Drive<T>; 2]) -> Option<[CornerPose<T>; 2]> {
        match &self.held {
            Held::Apart(uprights) => {
                let settle = |i: usize| {
                    let placement = uprights[i].settle(&from[i].lies.placement, rack, drives[i])?;
                    Some(self.upright_posed(&uprights[i], placement, rack))
                };
                Some([settle(0)?, settle(1)?])
            }
            Held::Together(beam) => Some(self.beam_posed(beam, &beam.settle(&from[0].lies, drives)?)),
        }
    }

    /// How fast the part that carries a wheel moves in a pose, per millimetre. None in a toggle, where it can move
    /// without that, and where nothing steers.
    pub fn speed(&self, pose: &CornerPose<T>, mode: Mode) -> Option<Speed<T>> {
        match &self.held {
            Held::Apart(uprights) => {
                let [travel, steer] = uprights[pose.hub.side as usize].rates(&pose.lies.placement, pose.rack)?;
                match mode {
                    Mode::Heave | Mode::Roll => Some(travel),
                    Mode::Steer => self.steers().then_some(steer),
                }
            }
            Held::Together(beam) => {
                let [left, right] = beam.rates(&pose.lies)?;
                let (own, other) = if pose.hub.side == Side::Left { (left, right) } else { (right, left) };
                match mode {
                    Mode::Heave => Some(own.blend(T::one(), &other, T::one())),
                    Mode::Roll => Some(own.blend(T::one(), &other, -T::one())),
                    Mode::Steer => None,
                }
            }
        }
    }

    /// A line that the wheel steers about: a point of it, and its direction, not unit. Through the ball joints, or a
    /// strut's top mount and lower ball joint; with links of their own the axis that the upright turns about when the
    /// tie rod is pushed and the wheel centre keeps its height. None where nothing could steer.
    pub fn steering_axis(&self, pose: &CornerPose<T>) -> Option<(Vector3<T>, Vector3<T>)> {
        use PointName::{DamperTop, LowerBallJoint, UpperBallJoint};
        let upper = match self.linkage {
            Linkage::Wishbone => UpperBallJoint,
            Linkage::Strut => DamperTop,
            Linkage::FiveLink => {
                let Held::Apart(uprights) = &self.held else { return None };
                let [_, steer] = uprights[pose.hub.side as usize].rates(&pose.lies.placement, pose.rack)?;
                let turns = steer.turn.norm_squared();
                let up = if steer.turn.z < T::zero() { -steer.turn } else { steer.turn };
                let aside = steer.turn.cross(&steer.shift) / turns;
                return (turns > T::zero()).then(|| (pose.wheel_centre + aside, up));
            }
            Linkage::TrailingArm | Linkage::LiveAxle | Linkage::DeDion => return None,
        };
        let (lower, upper) = (self.at(pose, LowerBallJoint)?, self.at(pose, upper)?);
        Some((lower, upper - lower))
    }

    /// Wheel centre over the ground with the wheel upright, mm.
    pub fn loaded_radius(&self, side: Side) -> T {
        match &self.held {
            Held::Apart(uprights) => uprights[side as usize].wheel.loaded_radius,
            Held::Together(beam) => beam.wheels[side as usize].loaded_radius,
        }
    }

    /// What each trailing link of a stiff axle with one link too many gives in a pose, mm, positive where the upper
    /// left one grows. None where no link has to give.
    pub fn give(&self, pose: &CornerPose<T>) -> Option<T> {
        match &self.held {
            Held::Apart(_) => None,
            Held::Together(beam) => beam.give(&pose.lies),
        }
    }

    /// Where a point that was measured is in a pose, body frame, mm. None where it was not measured, or rides on a
    /// rocker or lever whose rod does not reach that far.
    pub fn at(&self, pose: &CornerPose<T>, name: PointName) -> Option<Vector3<T>> {
        carried::at(self, pose, name)
    }

    fn upright_posed(&self, upright: &Upright<T>, placement: Placement<T>, rack: T) -> CornerPose<T> {
        let turn = placement.matrix();
        let lies = Lies { placement, crank: T::zero() };
        CornerPose { hub: upright.hub, rack, lies, turn, wheel_centre: placement.at, spin: turn * upright.wheel.spin }
    }

    fn beam_posed(&self, beam: &Beam<T>, lies: &Lies<T>) -> [CornerPose<T>; 2] {
        let turn = lies.placement.matrix();
        Side::BOTH.map(|side| {
            let Rolling { arm, spin, .. } = beam.wheels[side as usize];
            CornerPose {
                hub: Hub { axle: self.name, side },
                rack: T::zero(),
                lies: *lies,
                turn,
                wheel_centre: lies.placement.at + turn * arm,
                spin: turn * spin,
            }
        })
    }
}

/// What holds one wheel by itself.
fn upright<T: Real>(axle: &Axle, hub: Hub, measured: &Measured<T>, steering: Steering<T>) -> Upright<T> {
    use PointName::{
        ArmInner, ArmOuter, DamperBottom, DamperTop, LowerBallJoint, LowerFront, LowerFrontOuter, LowerRear,
        LowerRearOuter, TieRodInner, TieRodOuter, UpperBallJoint, UpperFront, UpperFrontOuter, UpperRear,
        UpperRearOuter, WheelCentre,
    };
    let at = |name| measured.at(hub.side, name).unwrap_or_else(Vector3::zeros);
    let origin = at(WheelCentre);
    let rod = |(body, held)| Rod::new(at(body), at(held), origin);
    let tie_rod = (TieRodInner, TieRodOuter);
    let held_by = match axle.linkage {
        Linkage::Strut => {
            let rods = [(LowerFront, LowerBallJoint), (LowerRear, LowerBallJoint), tie_rod].map(rod);
            HeldBy::Strut(rods, Slider::new(at(DamperTop), at(DamperBottom), origin))
        }
        Linkage::FiveLink => HeldBy::Rods(
            [
                (LowerFront, LowerFrontOuter),
                (LowerRear, LowerRearOuter),
                (UpperFront, UpperFrontOuter),
                (UpperRear, UpperRearOuter),
                tie_rod,
            ]
            .map(rod),
            ["lower front link", "lower rear link", "upper front link", "upper rear link", "tie rod"],
        ),
        Linkage::TrailingArm => HeldBy::Hinge(Hinge::new([at(ArmInner), at(ArmOuter)], origin)),
        Linkage::Wishbone | Linkage::LiveAxle | Linkage::DeDion => HeldBy::Rods(
            [
                (LowerFront, LowerBallJoint),
                (LowerRear, LowerBallJoint),
                (UpperFront, UpperBallJoint),
                (UpperRear, UpperBallJoint),
                tie_rod,
            ]
            .map(rod),
            ["lower arm", "lower arm", "upper arm", "upper arm", "tie rod"],
        ),
    };
    let loaded_radius = k(axle.tyre.mounted(&axle.wheel).loaded_radius);
    let wheel = Rolling { arm: Vector3::zeros(), spin: measured.spin[hub.side as usize], loaded_radius };
    Upright { hub, held_by, wheel, steering }
}
