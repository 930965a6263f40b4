//! Where the suspension is mounted on the body, and what it does to it there.

use nalgebra::Vector3;

use crate::answer::study::{NoAnswer, Study};
use crate::car::load_case::LoadCase;
use crate::car::{AxleName, Car, Hub, PointName, Side};
use crate::strength::body::{Datums, Mount, REACH, mounts};
use crate::strength::forces::{self, JointForce, WheelLoad};

/// Places that a body is loaded at, and the load cases.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Mounts {
    /// Each place, with what carries it.
    pub seats: Vec<Mount>,
    /// The two that are twisted against each other.
    pub pair: Option<[usize; 2]>,
    /// Rails that hold the body at their datums: those of the body as found.
    pub datums: Datums,
    /// Cases: name, and at each seat force, N, and moment, N mm.
    pub cases: Vec<(String, Vec<[Vector3<f64>; 2]>)>,
    /// What else is to be known.
    pub notes: Vec<String>,
}

/// A joint of a suspension with the body.
#[derive(Debug, Clone, Copy)]
struct Joint {
    axle: AxleName,
    side: Option<Side>,
    point: PointName,
    at: Vector3<f64>,
}

impl Joint {
    fn is(&self, axle: AxleName, joint: &JointForce) -> bool {
        (self.axle, self.side, self.point) == (axle, joint.side, joint.point)
    }

    fn words(&self) -> String {
        let whose = self.side.map_or_else(|| self.axle.word().to_owned(), |side| Hub { axle: self.axle, side }.words());
        format!("{whose} {}", self.point.words())
    }
}

impl Study {
    /// Where the body is loaded, and by what: at every mount that something of the body as found is near to.
    ///
    /// # Errors
    /// [`NoAnswer::Body`] where the body is no frame.
    pub(in crate::answer) fn mounts(&self, found: &Car) -> Result<Mounts, NoAnswer> {
        let mut notes = Vec::new();
        let all = self.joints_on_body(&mut notes);
        let every: Vec<_> = all.iter().map(|m| (m.words(), m.at)).collect();
        let mounts = mounts(found, &every)?;
        let (carried, seats): (Vec<Joint>, Vec<Mount>) =
            all.iter().zip(&mounts).filter(|(_, mount)| mount.by.is_some()).map(|(j, m)| (*j, m.clone())).unzip();
        let left: Vec<String> = mounts.iter().filter(|m| m.by.is_none()).map(|m| m.name.clone()).collect();
        if !left.is_empty() {
            notes.push(format!(
                "No rail, tube or node of the car file is within {REACH:.0} mm of the {}: the body is not loaded there.",
                left.join(", the ")
            ));
        }
        let cases = self.mount_cases(&carried, &mut notes);
        Ok(Mounts { pair: pair(&carried), seats, datums: Datums::of(found), cases, notes })
    }

    /// Every joint of a suspension with the body.
    fn joints_on_body(&self, notes: &mut Vec<String>) -> Vec<Joint> {
        let mut all: Vec<Joint> = Vec::new();
        for axle in self.gear.axles() {
            let Some(wheels) = self.gear.ride.axle(axle.name) else { continue };
            // Any load tells where the joints are.
            let up = WheelLoad { contact: self.gear.ride.ground.normal * 1000.0, ..WheelLoad::default() };
            match forces::forces(axle, wheels, &self.gear.ride.ground, &[up; 2]) {
                Ok(forces) => {
                    for joint in forces.on_body() {
                        if !all.iter().any(|m| m.is(axle.name, &joint)) {
                            all.push(Joint { axle: axle.name, side: joint.side, point: joint.point, at: joint.at });
                        }
                    }
                }
                Err(why) => notes.push(format!("The body is not loaded by the {} axle: {why}.", axle.name.word())),
            }
        }
        all
    }

    /// The car's load cases at these mounts.
    fn mount_cases(&self, mounts: &[Joint], notes: &mut Vec<String>) -> Vec<(String, Vec<[Vector3<f64>; 2]>)> {
        let usual = self.car.load_cases.is_empty();
        let cases = if usual { LoadCase::usual(self.car.rear.is_some()) } else { self.car.load_cases.clone() };
        let mut told = Vec::new();
        for case in &cases {
            let axles = match self.case_forces(case) {
                Ok((_, _, axles)) => axles,
                Err(why) => {
                    notes.push(format!("Without the load case \"{}\": {why}.", case.name));
                    continue;
                }
            };
            let mut at = vec![[Vector3::zeros(); 2]; mounts.len()];
            for (axle, forces) in &axles {
                for joint in forces.on_body() {
                    let Some(i) = mounts.iter().position(|m| m.is(*axle, &joint)) else { continue };
                    at[i][0] += joint.force;
                    // A rack's middle moves with it.
                    at[i][1] += joint.moment + (joint.at - mounts[i].at).cross(&joint.force);
                }
            }
            told.push((case.name.clone(), at));
        }
        told
    }
}

/// The mounts that the body is twisted by: the front dampers' or springs' where they are carried, else the highest pair.
fn pair(mounts: &[Joint]) -> Option<[usize; 2]> {
    let other = |m: &Joint| {
        let same = |o: &&Joint| (o.axle, o.point, o.side) == (m.axle, m.point, Some(Side::Right));
        mounts.iter().position(|o| same(&o))
    };
    let left = mounts.iter().enumerate().filter(|(_, m)| m.side == Some(Side::Left));
    let both = left.filter_map(|(i, m)| Some(([i, other(m)?], m)));
    let rank = |m: &Joint| {
        (m.axle == AxleName::Front && matches!(m.point, PointName::DamperTop | PointName::SpringTop), m.at.z)
    };
    both.max_by(|a, b| {
        let (a, b) = (rank(a.1), rank(b.1));
        a.0.cmp(&b.0).then(a.1.total_cmp(&b.1))
    })
    .map(|(pair, _)| pair)
}
