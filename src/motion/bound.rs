//! How far a wheel can get while the two numbers of its sweep stay within given bounds: proven, not sampled.
//!
//! Written out around a pose, each equation that holds the part is its slope times (shift, turn) plus a remainder that
//! grows with their squares, and for rods, sliders and hinges the remainder has a bound in closed form. So the part's
//! movement is what its rates say, less the inverse slope times the remainder. Where a ball of movements is mapped into
//! itself by that, with room to spare, the movement stays in it (Brouwer's fixed point theorem), and since it depends on
//! the two numbers without a jump, it is the very motion that goes on from the pose.

use nalgebra::{Vector2, Vector3};

use super::linear::Triangles;
use super::placement::Speed;
use super::suspension::{CornerPose, Held, Suspension};
use crate::car::{PointName, Side};

/// Movements beyond this are not bounded: mm and rad.
const MOST: [f64; 2] = [40.0, 0.2];
/// The remainder may be this much of a whole movement: then the map is a contraction too, as it is quadratic.
const REMAINDER: f64 = 0.25;

/// How far the part that carries a wheel may be from a pose.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Leeway {
    /// Its origin at most, mm.
    pub shift: f64,
    /// Its turn at most, rad.
    pub turn: f64,
    /// The wheel centre at most, mm.
    pub centre: f64,
    /// The tip of the unit spin axis at most.
    pub axis: f64,
    /// A stiff axle's centre crank at most, rad.
    crank: f64,
    /// (Shift, turn) that each of the two numbers brings at its most by its rate alone, mm and rad.
    straight: [[Vector3<f64>; 2]; 2],
    /// What shift and turn may be besides, mm and rad.
    bent: [f64; 2],
    /// Origin of the part in the pose, body frame, mm.
    origin: Vector3<f64>,
}

impl Leeway {
    /// A wheel's point no further than `reach` from its centre moves no further than this, mm, its turning about its own
    /// axis not counted.
    pub fn of_ring(&self, reach: f64) -> f64 {
        self.centre + self.axis * reach
    }

    /// A point of the part that lies at `at` in the pose moves no further than this, mm.
    ///
    /// By the rates of that very point, which may be far less than its part's; a turn leaves its own tangent by half its
    /// square.
    pub fn of_point(&self, at: Vector3<f64>) -> f64 {
        let off = at - self.origin;
        let straight: f64 = self.straight.iter().map(|[shift, turn]| (shift + turn.cross(&off)).norm()).sum();
        let bent = self.bent[0] + (self.bent[1] + self.turn * self.turn / 2.0) * off.norm();
        (straight + bent).min(self.shift + self.turn * off.norm())
    }
}

/// From the slope at a pose, the movement that each of the two numbers brings at its most, and the remainders.
fn leeway<const N: usize>(
    slope: &[[f64; N]; N],
    rates: [([f64; 6], f64); 2],
    remainder: impl Fn(f64, f64, f64) -> [f64; N],
) -> Option<([f64; 3], [f64; 3])> {
    let slopes = Triangles::of(slope);
    if slopes.sign == 0.0 {
        return None;
    }
    let sizes = |x: &[f64]| {
        [
            Vector3::new(x[0], x[1], x[2]).norm(),
            Vector3::new(x[3], x[4], x[5]).norm(),
            x.get(6).map_or(0.0, |c| c.abs()),
        ]
    };
    let inverse: [[f64; 3]; N] = std::array::from_fn(|row| {
        let unit = std::array::from_fn(|i| if i == row { 1.0 } else { 0.0 });
        sizes(&slopes.solve(&unit))
    });
    let mut straight = [0.0; 3];
    for (rate, crank) in rates {
        let [shift, turn, _] = sizes(&rate);
        straight = [straight[0] + shift, straight[1] + turn, straight[2] + crank.abs()];
    }
    let mut most = straight;
    for _ in 0..30 {
        let rest = remainder(most[0], most[1], most[2]);
        let bent = |k: usize| inverse.iter().zip(rest).map(|(column, r)| column[k] * r).sum::<f64>();
        let next: [f64; 3] = std::array::from_fn(|k| straight[k] + bent(k));
        if (0..3).all(|k| next[k] <= most[k]) {
            let settled = (0..3).all(|k| most[k] - straight[k] <= REMAINDER * most[k] + 1e-12);
            return settled.then_some((most, std::array::from_fn(|k| most[k] - straight[k])));
        }
        most = next.map(|v| v * 1.001 + 1e-12);
        let within = most[0] <= MOST[0] && most[1] <= MOST[1];
        if !within {
            return None;
        }
    }
    None
}

impl Suspension {
    /// How far the part that carries a wheel can be from a pose while its sweep's two numbers (travel, and steering or the
    /// other wheel's travel) each stay within `half` of the pose's. None where that cannot be said: too far for one step, or
    /// too near a toggle.
    pub fn leeway(&self, pose: &CornerPose, half: Vector2<f64>) -> Option<Leeway> {
        let most = |speed: &Speed, times: f64| {
            let (s, t) = (speed.shift * times, speed.turn * times);
            [s.x, s.y, s.z, t.x, t.y, t.z]
        };
        let by = |speed: &Speed, times: f64| [speed.shift * times, speed.turn * times];
        let spun = |speed: &Speed| speed.turn.cross(&pose.spin).norm();
        match &self.held {
            Held::Apart(uprights) => {
                let upright = &uprights[pose.hub.side as usize];
                let by_steering = if self.steers() { half.y } else { 0.0 };
                let [travel, steer] = upright.rates(&pose.lies.placement, pose.rack)?;
                let steer = if self.steers() { steer } else { travel.blend(0.0, &travel, 0.0) };
                let inner = self.steering.leeway(pose.hub.side, pose.rack, by_steering, PointName::TieRodInner)?;
                let slope = upright.slope(&pose.lies.placement, pose.rack);
                let rates = [(most(&travel, half.x), 0.0), (most(&steer, by_steering), 0.0)];
                let rest = |shift: f64, turn: f64, _: f64| upright.bends(&pose.lies.placement, shift, turn, inner);
                let ([shift, turn, _], [bent, more, _]) = leeway(&slope, rates, rest)?;
                let axis = spun(&travel) * half.x + spun(&steer) * by_steering + more + turn * turn / 2.0;
                let straight = [by(&travel, half.x), by(&steer, by_steering)];
                let (origin, bent) = (pose.wheel_centre, [bent, more]);
                Some(Leeway { shift, turn, centre: shift, axis, crank: 0.0, straight, bent, origin })
            }
            Held::Together(beam) => {
                let [left, right] = beam.rates_with_crank(&pose.lies)?;
                let (own, other) = if pose.hub.side == Side::Left { (left, right) } else { (right, left) };
                let slope = beam.slope(&pose.lies);
                let rates = [(most(&own.0, half.x), own.1 * half.x), (most(&other.0, half.y), other.1 * half.y)];
                let rest = |shift: f64, turn: f64, crank: f64| beam.bends(&pose.lies, shift, turn, crank);
                let ([shift, turn, crank], [bent, more, _]) = leeway(&slope, rates, rest)?;
                let axis = spun(&own.0) * half.x + spun(&other.0) * half.y + more + turn * turn / 2.0;
                let origin = pose.lies.placement.at;
                let centre = shift + turn * (pose.wheel_centre - origin).norm();
                let straight = [by(&own.0, half.x), by(&other.0, half.y)];
                Some(Leeway { shift, turn, centre, axis, crank, straight, bent: [bent, more], origin })
            }
        }
    }

    /// How far a measured point may be from where it is in a pose, mm. None where that cannot be said.
    pub fn point_leeway(&self, pose: &CornerPose, leeway: &Leeway, steering: f64, name: PointName) -> Option<f64> {
        use super::carried::Ride;
        match self.ride(name) {
            Ride::Body => Some(0.0),
            Ride::Steering => Some(self.steering.leeway(pose.hub.side, pose.rack, steering, name)?.most),
            Ride::Upright => Some(leeway.of_point(self.at(pose, name)?)),
            Ride::Arm { joint, pickups } => {
                // Everything on an arm turns about its pickups, by chords in proportion to the distance from them.
                let [a, b] = [self.at(pose, pickups[0])?, self.at(pose, pickups[1])?];
                let along = (b - a).normalize();
                let off = |p: Vector3<f64>| (p - a).cross(&along).norm();
                let joint = self.at(pose, joint)?;
                Some(leeway.of_point(joint) * off(self.at(pose, name)?) / off(joint))
            }
            ride @ (Ride::Rocker | Ride::Lever) => {
                let (turned, driver) = self.turned(pose.hub, &ride)?;
                let by = self.point_leeway(pose, leeway, steering, driver)?;
                turned.leeway(self.at(pose, name)?, self.at(pose, driver)?, by)
            }
            Ride::Crank => {
                let (joint, pivot) = (self.at(pose, name)?, self.at(pose, PointName::CentrePivot)?);
                Some(leeway.of_point(joint) + leeway.crank * (joint - pivot).norm())
            }
        }
    }
}
