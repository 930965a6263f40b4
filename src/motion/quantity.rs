//! Every number that an axle's geometry has, by name, in any pose, with its derivatives.
//!
//! A quantity is one formula over an axle that stands somewhere. On dual numbers the same formula gives how fast the
//! quantity changes: with travel, roll, steering, or with a coordinate of any measured point.

use nalgebra::{Vector2, Vector3};
use serde::{Deserialize, Serialize};

use super::alignment::{Alignment, SteeringAxis, contact};
use super::drive::Plane;
use super::real::{Real, k};
use super::suspension::{CornerPose, Mode, Suspension};
use crate::car::body::{Balance, Driven};
use crate::car::{AxleName, Car, Side};

/// An axle that stands in a pose over the ground.
#[derive(Debug, Clone, Copy)]
pub struct Standing<'a, T: Real = f64> {
    /// The axle.
    pub axle: &'a Suspension<T>,
    /// Left and right wheel.
    pub wheels: [CornerPose<T>; 2],
    /// The ground as the body sees it.
    pub ground: Plane<T>,
    /// What is not the axle's own.
    pub frame: &'a Frame,
}

/// What an axle's quantities need to know of the rest of the car.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Frame {
    /// Front contact centres to rear ones, mm.
    pub wheelbase: f64,
    /// Steering travel for one turn of the steering wheel, mm.
    pub per_turn: Option<f64>,
    /// Masses and brakes.
    pub balance: Option<Balance>,
    /// Half the width of the tread, mm.
    pub half_tread: f64,
    /// Contact centres at ride height, left and right, body frame, mm.
    pub ride: [Vector3<f64>; 2],
}

impl Frame {
    /// Of an axle of a car, with its wheels at ride height.
    pub fn new(car: &Car, axle: &Suspension, ride: &[CornerPose; 2], ground: &Plane) -> Self {
        let described = car.axle(axle.name).unwrap_or(&car.front);
        Self {
            wheelbase: car.wheelbase,
            per_turn: described.steering_per_turn(),
            balance: car.balance.map(|b| Balance { brakes_front: car.brakes_front(), ..b }),
            half_tread: described.tyre.mounted(&described.wheel).tread_width / 2.0,
            ride: [0, 1].map(|i| contact(axle, &ride[i], ground.normal)),
        }
    }
}

/// What a number is measured in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Measure {
    /// Radians in the core, degrees in answers.
    Angle,
    /// Millimetres.
    Length,
    /// A plain ratio.
    Ratio,
    /// A share, 1 being all of it; answers say per cent.
    Share,
}

macro_rules! quantities {
    ($($variant:ident $name:literal $words:literal $measure:ident $doc:literal),* $(,)?) => {
        /// A number that an axle's geometry has in a pose. Signs as in ISO 8855 and each one's own words.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize, Serialize)]
        #[serde(rename_all = "snake_case")]
        pub enum Quantity { $(#[doc = $doc] $variant),* }

        impl Quantity {
            /// Every one.
            pub const ALL: &'static [Self] = &[$(Self::$variant),*];

            /// As a column or a command names it.
            pub fn name(self) -> &'static str {
                match self { $(Self::$variant => $name),* }
            }

            /// As it is spoken.
            pub fn words(self) -> &'static str {
                match self { $(Self::$variant => $words),* }
            }

            /// What it means, with its sign.
            pub fn meaning(self) -> &'static str {
                match self { $(Self::$variant => $doc),* }
            }

            /// What it is measured in.
            pub fn measure(self) -> Measure {
                match self { $(Self::$variant => Measure::$measure),* }
            }
        }
    };
}

quantities! {
    Camber "camber" "camber" Angle "Wheel against the body's vertical, positive when the top leans outboard.",
    Inclination "inclination" "camber to the ground" Angle "Wheel against the ground's normal, positive when the top leans outboard.",
    Toe "toe" "toe" Angle "Positive when the wheel's front points inboard.",
    Steer "steer" "steer angle" Angle "Positive when the wheel points left.",
    Caster "caster" "caster" Angle "Steering axis in side view, positive when its top leans rearward.",
    Kingpin "kingpin" "kingpin inclination" Angle "Steering axis in front view, positive when its top leans inboard.",
    ScrubRadius "scrub_radius" "scrub radius" Length "Positive when the steering axis meets the ground inboard of the contact centre.",
    Trail "trail" "mechanical trail" Length "Positive when the steering axis meets the ground ahead of the contact centre.",
    HalfTrackChange "half_track_change" "half track change" Length "Of this wheel's contact centre from ride height, outboard positive.",
    WheelbaseChange "wheelbase_change" "contact moves forward" Length "Of this wheel's contact centre from ride height, forward positive.",
    TrackChange "track_change" "track change" Length "Of both contact centres from ride height, wider positive.",
    SwingArm "swing_arm" "front-view swing arm" Length "From the contact centre to the instant centre in front view, along the ground, inboard positive.",
    InstantHeight "instant_height" "instant centre height" Length "Of the instant centre in front view over the ground.",
    SideSwingArm "side_swing_arm" "side-view swing arm" Length "From the contact centre to the instant centre in side view, along the ground, rearward positive.",
    SideInstantHeight "side_instant_height" "side-view instant centre height" Length "Of the instant centre in side view over the ground.",
    RollCentreHeight "roll_centre_height" "roll centre height" Length "Over the ground.",
    RollCentreAside "roll_centre_aside" "roll centre aside" Length "From the middle of the car, left positive.",
    MotionRatio "motion_ratio" "motion ratio" Ratio "Damper travel over wheel travel, both wheels moving alike.",
    MotionRatioRoll "motion_ratio_roll" "motion ratio in roll" Ratio "Damper travel over wheel travel, the other wheel moving as far the other way.",
    Damper "damper" "damper length" Length "Between its mounts.",
    Spring "spring" "spring length" Length "Between its seats, where it stands apart from the damper.",
    SpringRatio "spring_ratio" "spring ratio" Ratio "Spring travel over wheel travel, both wheels moving alike; where it stands apart from the damper.",
    SpringRatioRoll "spring_ratio_roll" "spring ratio in roll" Ratio "Spring travel over wheel travel, the other wheel moving as far the other way.",
    BarRatio "bar_ratio" "anti-roll bar ratio" Ratio "Travel of the bar's lever end over wheel travel, the other wheel moving as far the other way.",
    LeverAngle "lever_angle" "bar lever angle" Angle "Of the anti-roll bar's lever from where it was measured, positive with its end raised.",
    AntiDive "anti_dive" "anti-dive" Share "Share of the dive in braking that the linkage holds; brakes at the wheel.",
    AntiLift "anti_lift" "anti-lift" Share "Share of the lift that the linkage holds: of the tail in braking, of a driven nose in acceleration.",
    AntiSquat "anti_squat" "anti-squat" Share "Share of the squat in acceleration that the linkage holds.",
    Ackermann "ackermann" "Ackermann error" Angle "Inner wheel's steer beyond what the outer one asks of it for rolling about one centre.",
    TurningCircle "turning_circle" "turning circle" Length "Kerb to kerb: twice the radius that the outer wheel's tread rolls on.",
    SteeringRatio "steering_ratio" "steering ratio" Ratio "Turn of the steering wheel over that of the road wheel.",
    Give "give" "links give" Length "What each trailing link of an axle with one link too many has to give in its bushes.",
}

impl Quantity {
    /// Whether both wheels of an axle share it.
    pub fn of_axle(self) -> bool {
        use Quantity::{Ackermann, Give, RollCentreAside, RollCentreHeight, TrackChange, TurningCircle};
        matches!(self, Ackermann | Give | RollCentreAside | RollCentreHeight | TrackChange | TurningCircle)
    }

    /// Whether it counts from ride height, and so is nothing there, whatever was measured.
    pub fn from_ride(self) -> bool {
        matches!(self, Self::HalfTrackChange | Self::WheelbaseChange | Self::TrackChange)
    }

    /// The quantity at one wheel. None where the axle has no such thing, or none in this pose.
    pub fn of<T: Real>(self, at: &Standing<T>, side: Side) -> Option<T> {
        let pose = &at.wheels[side as usize];
        let axle = at.axle;
        let out = k::<T>(side.sign());
        let alignment = || Alignment::of(axle, pose, &at.ground);
        let axis = |pick: fn(SteeringAxis<T>) -> T| alignment().axis.map(pick);
        let apart = || axle.described.spring_apart().map(|_| pose);
        let moved = |side: Side| {
            let now = contact(axle, &at.wheels[side as usize], at.ground.normal);
            now - at.frame.ride[side as usize].map(k::<T>)
        };
        match self {
            Self::Camber => Some(alignment().camber),
            Self::Inclination => Some(alignment().inclination),
            Self::Toe => Some(alignment().toe),
            Self::Steer => Some(alignment().steer),
            Self::Caster => axis(|a| a.caster),
            Self::Kingpin => axis(|a| a.kingpin),
            Self::ScrubRadius => axis(|a| a.scrub_radius),
            Self::Trail => axis(|a| a.trail),
            Self::HalfTrackChange => Some(moved(side).y * out),
            Self::WheelbaseChange => Some(moved(side).x),
            Self::TrackChange => Some(moved(Side::Left).y - moved(Side::Right).y),
            Self::SwingArm => Some((contact(axle, pose, at.ground.normal).y - at.instant_centre(side)?.y) * out),
            Self::InstantHeight => Some(at.ground.height(at.instant_centre(side)?)),
            Self::SideSwingArm => Some(contact(axle, pose, at.ground.normal).x - at.side_instant_centre(side)?.x),
            Self::SideInstantHeight => Some(at.ground.height(at.side_instant_centre(side)?)),
            Self::RollCentreHeight => Some(at.roll_centre()?.y),
            Self::RollCentreAside => Some(at.roll_centre()?.x),
            Self::MotionRatio => axle.motion_ratio(pose, Mode::Heave),
            Self::MotionRatioRoll => axle.motion_ratio(pose, Mode::Roll),
            Self::Damper => axle.damper_length(pose),
            Self::Spring => axle.spring_length(apart()?),
            Self::SpringRatio => axle.spring_ratio(apart()?, Mode::Heave),
            Self::SpringRatioRoll => axle.spring_ratio(apart()?, Mode::Roll),
            Self::BarRatio => axle.bar_ratio(pose, Mode::Roll),
            Self::LeverAngle => axle.lever_angle(pose),
            Self::AntiDive => at.anti(side, Anti::Dive),
            Self::AntiLift => at.anti(side, Anti::Lift),
            Self::AntiSquat => at.anti(side, Anti::Squat),
            Self::Ackermann => at.ackermann(),
            Self::TurningCircle => at.turning_circle(),
            Self::SteeringRatio => {
                let per_turn = at.frame.per_turn?;
                let speed = axle.speed(pose, Mode::Steer)?;
                let turns = toe_rate(pose, speed.turn);
                let wheel = k::<T>(std::f64::consts::TAU / per_turn);
                (turns.abs() > k(1e-12)).then(|| (wheel / turns).abs())
            }
            Self::Give => axle.give(pose),
        }
    }
}

/// How fast a wheel's toe changes when it turns at `turn`, radians; toe-in positive.
fn toe_rate<T: Real>(pose: &CornerPose<T>, turn: Vector3<T>) -> T {
    let (s, turns) = (pose.spin, turn.cross(&pose.spin));
    (s.y * turns.x - s.x * turns.y) * k(pose.hub.side.sign()) / (s.x * s.x + s.y * s.y)
}

/// What a linkage holds against.
#[derive(Clone, Copy, PartialEq)]
enum Anti {
    Dive,
    Lift,
    Squat,
}

impl<T: Real> Standing<'_, T> {
    /// The instant centre in front view: the point of the transverse plane through the wheel's contact about which the
    /// contact turns there as the wheel travels. None where it lies at infinity.
    ///
    /// From the velocities in this very pose, not from a drawing of the design pose (the two-dimensional construction
    /// is in Milliken & Milliken, Race Car Vehicle Dynamics, ch. 17).
    pub fn instant_centre(&self, side: Side) -> Option<Vector3<T>> {
        let pose = &self.wheels[side as usize];
        let speed = self.axle.speed(pose, Mode::Heave)?;
        let at = contact(self.axle, pose, self.ground.normal);
        let (moves, turn) = (speed.of(at), speed.turn.x);
        // v = w x (at - centre) in the plane: the centre lies square to the velocity.
        (turn.abs() > k(1e-9)).then(|| at + Vector3::new(T::zero(), -moves.z / turn, moves.y / turn))
    }

    /// The same in side view, in the plane along the car through the contact.
    pub fn side_instant_centre(&self, side: Side) -> Option<Vector3<T>> {
        let pose = &self.wheels[side as usize];
        let speed = self.axle.speed(pose, Mode::Heave)?;
        let at = contact(self.axle, pose, self.ground.normal);
        let (moves, turn) = (speed.of(at), speed.turn.y);
        (turn.abs() > k(1e-9)).then(|| at + Vector3::new(moves.z / turn, T::zero(), -moves.x / turn))
    }

    /// Roll centre in front view: (lateral place, height over the ground), mm.
    ///
    /// Wheels that are held apart: each contact centre, taken as a point of its upright, moves square to the line to its
    /// instant centre; the two lines meet in the roll centre. A stiff axle: the point of the transverse plane through
    /// the wheels about which axle and body turn against each other in roll; with a lateral rod it lies where the rod
    /// crosses that plane's middle, near enough (Milliken & Milliken, ch. 17). None where the lines are parallel or a
    /// linkage is in a toggle.
    pub fn roll_centre(&self) -> Option<Vector2<T>> {
        let over = |y: T, z: T| Vector2::new(y, self.ground.height(Vector3::new(T::zero(), y, z)));
        if !self.axle.independent() {
            let speed = self.axle.speed(&self.wheels[0], Mode::Roll)?;
            let middle = (self.wheels[0].wheel_centre + self.wheels[1].wheel_centre) * k::<T>(0.5);
            let (moves, turn) = (speed.of(middle), speed.turn.x);
            return (turn.abs() > k(1e-9)).then(|| {
                let aside = self.ground.normal.x * middle.x;
                let at = over(middle.y - moves.z / turn, middle.z + moves.y / turn);
                Vector2::new(at.x, at.y + aside)
            });
        }
        let line = |side: Side| {
            let pose = &self.wheels[side as usize];
            let at = contact(self.axle, pose, self.ground.normal);
            let moves = self.axle.speed(pose, Mode::Heave)?.of(at);
            Some((Vector2::new(at.y, at.z), Vector2::new(-moves.z, moves.y), at.x))
        };
        let ((a, u, ax), (b, v, bx)) = (line(Side::Left)?, line(Side::Right)?);
        let cross = u.perp(&v);
        (cross.abs() > k(1e-9)).then(|| {
            let meet = a + u * ((b - a).perp(&v) / cross);
            let at = over(meet.x, meet.y);
            Vector2::new(at.x, at.y + self.ground.normal.x * (ax + bx) * k(0.5))
        })
    }

    /// Share of dive, lift or squat that the linkage holds (Milliken & Milliken, Race Car Vehicle Dynamics, ch. 17: the
    /// slope of the side-view swing arm against the height of the centre of gravity over the wheelbase).
    ///
    /// By virtual work: a force F along the car at a point that moves dx for dz of bump holds F dx/dz; the load that
    /// braking or driving shifts between the axles is F h / L. Brakes act at the wheel, so their force moves with the
    /// contact centre as a point of the upright. A final drive on the body leaves the upright the force at the wheel
    /// centre; one in the axle leaves it the torque too.
    fn anti(&self, side: Side, against: Anti) -> Option<T> {
        let balance = self.frame.balance?;
        let pose = &self.wheels[side as usize];
        let front = self.axle.name == AxleName::Front;
        let drives = match (balance.driven, front) {
            (Driven::Both, _) => 0.5,
            (Driven::Front, true) | (Driven::Rear, false) => 1.0,
            _ => 0.0,
        };
        // The force's share, its direction against bump, and whether it comes from the brakes.
        let (share, sign, braking) = match (against, front) {
            (Anti::Dive, true) => (balance.brakes_front?, 1.0, true),
            (Anti::Lift, false) => (1.0 - balance.brakes_front?, -1.0, true),
            (Anti::Lift, true) if drives > 0.0 => (drives, 1.0, false),
            (Anti::Squat, false) if drives > 0.0 => (drives, -1.0, false),
            _ => return None,
        };
        let with_torque = braking || self.axle.linkage == crate::car::axle::Linkage::LiveAxle;
        let acts = if with_torque { contact(self.axle, pose, self.ground.normal) } else { pose.wheel_centre };
        let moves = self.axle.speed(pose, Mode::Heave)?.of(acts);
        Some(moves.x / moves.z * k(sign * share * self.frame.wheelbase / balance.cg_height))
    }

    /// Steer angles, left and right, positive to the left.
    fn steer(&self) -> [T; 2] {
        [0, 1].map(|i| {
            let s = self.wheels[i].spin;
            let out = k::<T>(self.wheels[i].hub.side.sign());
            -out * s.x.atan2(out * s.y)
        })
    }

    /// The outer wheel, its steer angle and the inner one's, both positive. None straight ahead.
    fn cornering(&self) -> Option<(Side, T, T)> {
        let [left, right] = self.steer();
        let mean = (left + right) * k(0.5);
        if mean.abs() < k(1e-3) {
            return None;
        }
        Some(if mean > T::zero() { (Side::Right, right, left) } else { (Side::Left, -left, -right) })
    }

    /// Inner wheel's steer beyond the ideal for the outer one's: cot(outer) - cot(inner) = track / wheelbase (Gillespie,
    /// Fundamentals of Vehicle Dynamics, ch. 8). The track is between the steering axes where they meet the ground at
    /// zero steer, taken here between the contact centres.
    fn ackermann(&self) -> Option<T> {
        if !self.axle.steers() {
            return None;
        }
        let (_, outer, inner) = self.cornering()?;
        let [left, right] = [0, 1].map(|i| contact(self.axle, &self.wheels[i], self.ground.normal));
        let track = left.y - right.y;
        // With both sides times the sine: toe-out can leave the outer wheel straight ahead, or pointing the other way.
        let (sin, cos) = outer.sin_cos();
        Some(inner - sin.atan2(cos - sin * track / k(self.frame.wheelbase)))
    }

    /// Turning circle kerb to kerb, mm: twice the radius that the outer wheel's tread runs on, the car rolling slowly
    /// about a point in line with the rear axle and square to the outer wheel (Gillespie, Fundamentals of Vehicle
    /// Dynamics, ch. 6, low-speed turning).
    fn turning_circle(&self) -> Option<T> {
        if !self.axle.steers() {
            return None;
        }
        let (outer, angle, _) = self.cornering()?;
        let now = contact(self.axle, &self.wheels[outer as usize], self.ground.normal);
        let base = k::<T>(self.frame.wheelbase) + now.x - k(self.frame.ride[outer as usize].x);
        (angle > k(1e-3)).then(|| (base / angle.sin() + k(self.frame.half_tread)) * k(2.0))
    }
}
