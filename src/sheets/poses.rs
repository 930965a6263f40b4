//! The poses of a car that a drawing shows: bump, roll and steer, each at places close enough for straight lines between.

use nalgebra::{UnitQuaternion, Vector3};

use super::mesh::Transform;
use crate::answer::gaps::furthest;
use crate::answer::{NoAnswer, Study};
use crate::car::Car;
use crate::motion::{Pose, Posed};

/// Places along the heave, the roll and the rack; odd, so that ride height is one.
pub const PLACES: [usize; 3] = [7, 5, 9];

/// A car in every combination of heave, roll and steer of its sweep.
#[derive(Debug, Clone)]
pub struct Poses {
    /// Heave, positive up, mm; roll, radians; rack travel to the car's left, mm: in rising order.
    pub along: [Vec<f64>; 3],
    /// Heave first, rack last and fastest. Where wheels would leave their travel the body stays higher, lower or more level
    /// than its place says: each holds the pose that it is.
    pub posed: Vec<Posed>,
}

impl Poses {
    /// Of a car. The heave reaches as far as the first axle's bump and droop, and in roll as far as the first wheel's.
    ///
    /// # Errors
    /// [`NoAnswer::Pose`] where the car cannot stand even with the body level at ride height and the rack at a place of
    /// its travel.
    pub fn of(study: &Study) -> Result<Self, NoAnswer> {
        let ends = Self::ends(study);
        let along: [Vec<f64>; 3] = std::array::from_fn(|i| places(ends[i], PLACES[i]));
        let mut posed = Vec::new();
        for &heave in &along[0] {
            for &roll in &along[1] {
                for &rack in &along[2] {
                    posed.push(study.nearest_to(Pose { heave, roll, pitch: 0.0, rack })?);
                }
            }
        }
        Ok(Self { along, posed })
    }

    /// How far heave, roll and rack go, [down or right, up or left], in the units of [`Poses::along`].
    pub fn ends(study: &Study) -> [[f64; 2]; 3] {
        let travels: Vec<[f64; 2]> = study.car.axles().map(|(name, _)| study.car.sweep.travel(name)).collect();
        let least = |i: usize| travels.iter().map(|t| t[i]).fold(f64::INFINITY, f64::min);
        let stop = study.car.front.steering_travel().unwrap_or(0.0);
        [[-least(0), least(1)], [-study.car.sweep.roll, study.car.sweep.roll], [-stop, stop]]
    }

    /// At ride height, level, straight ahead.
    pub fn ride(&self) -> &Posed {
        let at = |i: usize| self.along[i].len() / 2;
        &self.posed[(at(0) * self.along[1].len() + at(1)) * self.along[2].len() + at(2)]
    }
}

/// Where the body stands over the ground at nought: the inverse of the ground as the body sees it (see
/// [`crate::motion::Plane`]). It turns about the point of the ground under the frame's origin, then rises.
pub fn body(car: &Car, pose: &Pose) -> Transform {
    let about = |axis, angle| UnitQuaternion::from_axis_angle(&axis, angle);
    let turn = about(Vector3::y_axis(), pose.pitch) * about(Vector3::x_axis(), pose.roll);
    let at = turn * Vector3::new(0.0, 0.0, -car.ground) + Vector3::z() * pose.heave;
    Transform { at, turn, stretch: 1.0 }
}

/// So many places from one end to the other with nought in the middle; one where there is no way to go.
fn places([low, high]: [f64; 2], count: usize) -> Vec<f64> {
    if high - low < 1e-9 {
        return vec![0.0];
    }
    let half = (count / 2) as i64;
    let at = |i: i64| if i < 0 { -low * i as f64 } else { high * i as f64 } / half as f64;
    (-half..=half).map(|i| at(i) + 0.0).collect()
}

impl Study {
    /// The car in a pose, or as near to it as its wheels' travel and linkage let it come: first less heave, then less roll.
    ///
    /// # Errors
    /// [`NoAnswer::Pose`] where not even the rack's place alone can be taken.
    pub fn nearest_to(&self, pose: Pose) -> Result<Posed, NoAnswer> {
        let stand = |heave: f64, roll: f64| {
            let posed = self.gear.stand(&Pose { heave: heave * pose.heave, roll: roll * pose.roll, ..pose });
            posed.ok().filter(|posed| self.within_travel(posed))
        };
        if let Some(posed) = stand(1.0, 1.0) {
            return Ok(posed);
        }
        let less = furthest(|heave| stand(heave, 1.0)).or_else(|| furthest(|roll| stand(0.0, roll)));
        // Straight at ride height every car stands, with rounding or without.
        less.map_or_else(|| self.gear.stand(&Pose { heave: 0.0, roll: 0.0, ..pose }).map_err(NoAnswer::Pose), Ok)
    }

    /// Whether every wheel is within its travel, to a tenth of a millimetre.
    fn within_travel(&self, posed: &Posed) -> bool {
        posed.wheels().all(|wheel| {
            let [bump, droop] = self.car.sweep.travel(wheel.hub.axle);
            (-droop - 0.1..=bump + 0.1).contains(&self.gear.travel(wheel))
        })
    }
}
