//! How far what a steering box moves can get while its steering travel stays near a pose's.
//!
//! Everything is its speed times the steering, and a remainder that grows with its square. The pitman arm's end goes round
//! its shaft: the remainder of an arc of length h on a radius r is h²/2r at most. The idler arm's end follows from that as
//! any lever's does, the centre link's line from both ends, its up from the line, and the inner joints from all three. A
//! vector w divided by its length leaves its slope by no more than 0.58 (d / (|w| - d))² when w moves by d: the second
//! derivative of w / |w| is 2 / (sqrt(3) |w|²) at most.

use super::super::turning::Driven;
use super::{Side, Steering, SteeringBox};
use crate::car::PointName;

/// How far a point gets.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::motion) struct Reach {
    /// At most, mm.
    pub most: f64,
    /// From where its speed alone would take it, mm.
    pub bent: f64,
}

/// Half the second derivative of a unit vector, rounded up.
const UNIT: f64 = 0.58;

impl Steering<f64> {
    /// How far one of its points gets while the steering travel stays within `half` of `s`. None where that cannot be
    /// said: too near the end of the idler arm's swing for so large a piece.
    pub fn leeway(&self, side: Side, s: f64, half: f64, name: PointName) -> Option<Reach> {
        match self {
            Self::None => Some(Reach { most: 0.0, bent: 0.0 }),
            Self::Rack(_) => Some(Reach { most: half, bent: 0.0 }),
            Self::Box(b) => b.leeway(side, s, half, name),
        }
    }
}

impl SteeringBox<f64> {
    fn leeway(&self, side: Side, s: f64, half: f64, name: PointName) -> Option<Reach> {
        let (_, pitman, idler) = self.link(s);
        let speeds = self.speeds(s);
        let pitman_bent = half * half / (2.0 * self.radius);
        let pitman_reach = Reach { most: half, bent: pitman_bent };
        if name == PointName::PitmanEnd {
            return Some(pitman_reach);
        }
        let line = idler - pitman;
        let length = line.norm();
        let driven = Driven { along: speeds.pitman.dot(&line).abs() / length * half, bent: pitman_bent, most: half };
        let [turn, turn_bent] = self.idler.turn_leeway(pitman, driven)?;
        let idler_bent = self.idler.radius() * (turn_bent + turn * turn / 2.0);
        if name == PointName::IdlerEnd {
            return Some(Reach { most: self.idler.radius() * turn, bent: idler_bent });
        }
        // The centre link's line, its up before and after it has unit length, and what is square to both.
        let line_bent = (pitman_bent + idler_bent) / length;
        let line_most = speeds.along.norm() * half + line_bent;
        let along = line / length;
        let lies = along.dot(&self.axis);
        let (raised, raised_speed) = (self.axis - along * lies, speeds.raised);
        let raised_bent = 2.0 * line_bent + line_most * line_most;
        let raised_most = raised_speed.norm() * half + raised_bent;
        let left = raised.norm() - raised_most;
        if left <= 0.0 {
            return None;
        }
        let up_bent = raised_bent / raised.norm() + UNIT * (raised_most / left).powi(2);
        let up_most = speeds.up.norm() * half + up_bent;
        let across_bent = up_bent + line_bent + up_most * line_most;
        let on = self.on_link[side as usize].abs();
        let bent = pitman_bent + on.x * line_bent + on.y * across_bent + on.z * up_bent;
        Some(Reach { most: self.inner_speed(side, s).norm() * half + bent, bent })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::car::CarFile;
    use crate::motion::RunningGear;

    /// A joint leaves the line of its speed by no more than is said, near straight ahead and near the stops.
    #[test]
    fn no_point_of_a_steering_box_leaves_its_speed_by_more_than_is_said() {
        let mut closest = 0.0f64;
        for name in ["scenes/knot", "tests/reference/box", "tests/reference/tilted_box", "tests/reference/dotterel"] {
            let path = format!("{}/{name}.ron", env!("CARGO_MANIFEST_DIR"));
            let car = CarFile::open(path.as_ref()).unwrap_or_else(|e| panic!("{e}")).car().clone();
            let steering = RunningGear::new(&car).expect("it stands").front.steering;
            let stop = car.front.steering_travel().expect("it steers");
            for (s, side) in (-4..=4).flat_map(|i| Side::BOTH.map(|side| (stop * f64::from(i) / 5.0, side))) {
                for half in [8.0, 3.0, 0.5] {
                    let reach = steering.leeway(side, s, half, PointName::TieRodInner);
                    let Some(Reach { most, bent }) = reach else { continue };
                    let at = |s| steering.inner(side, s).expect("a joint");
                    let speed = steering.inner_speed(side, s).expect("a joint");
                    for off in [-1.0, -0.6, 0.3, 1.0].map(|part| part * half) {
                        let moved = at(s + off) - at(s);
                        let left = (moved - speed * off).norm();
                        assert!(left <= bent + 1e-9, "{name} at {s}: {left} of {bent}");
                        assert!(moved.norm() <= most + 1e-9, "{name} at {s}: {} of {most}", moved.norm());
                        closest = closest.max(left / bent);
                    }
                }
            }
        }
        assert!(closest > 0.3, "{closest}");
    }
}
