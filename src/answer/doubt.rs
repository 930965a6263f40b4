//! How sure a gap is: what the doubts of everything that was measured make of it, and the chance that the pair touches.
//!
//! To first order a gap changes by how far its two witness points move apart along the line between them. How they move
//! with each reading comes from the constraints themselves, in dual numbers, the wheel held at its travel and steering
//! where the gap is least. Readings count each by itself (JCGM 100:2008, 5.1.2). A part of the body is taken to have been
//! measured as well as the axle's points, a scan to lie besides as far off as the worst of its picked points.

use nalgebra::Vector3;
use serde::Serialize;

use super::gaps::{Gaps, Worst, WorstPose, vector};
use super::study::Study;
use crate::car::{Hub, Side};
use crate::motion::change::readings;
use crate::motion::real::{Dual, k, lift};
use crate::motion::{CornerPose, Drive, Plane, Pose, Suspension};
use crate::space::{Place, Role, Spot};

/// How sure a least gap is.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct GapDoubt {
    /// Half the width of the band that holds the true gap 95 times in 100.
    pub doubt_mm: f64,
    /// Chance that the pair touches there, 0 to 1, doubts taken as normal.
    pub touch_chance: f64,
}

impl GapDoubt {
    /// Of a gap, mm, from the square of its doubt, mm².
    fn new(gap: f64, square: f64) -> Self {
        let mut doubt = Self { doubt_mm: square.sqrt(), touch_chance: 0.0 };
        doubt.touch_chance = doubt.chance_of_less(gap, 0.0);
        doubt
    }

    /// Chance, 0 to 1, that what was measured as `gap` is truly less than `limit`, both mm.
    pub fn chance_of_less(&self, gap: f64, limit: f64) -> f64 {
        // The doubt is two standard deviations.
        below((limit - gap) / (self.doubt_mm / 2.0).max(1e-12))
    }
}

impl Study {
    /// Gives every pair its doubt.
    pub fn doubt(&self, gaps: &mut Gaps) {
        for pair in &mut gaps.pairs {
            pair.doubt = match pair.place.b {
                Role::Ground => self.ground_doubt(&pair.place, &pair.worst),
                _ => self.gap_doubt(&pair.place, &pair.worst),
            };
        }
    }

    /// The doubt of a least gap. None where it is not one at a wheel.
    fn gap_doubt(&self, pair: &Place, worst: &Worst) -> Option<GapDoubt> {
        let hub = pair.a.hub()?;
        let WorstPose::Wheel { travel_mm, rack_mm, other_travel_mm } = worst.at else { return None };
        let (axle, ride) = self.gear.axle(hub.axle).zip(self.gear.ride.axle(hub.axle))?;
        let across = other_travel_mm.unwrap_or(travel_mm);
        let travel = if hub.side == Side::Left { [travel_mm, across] } else { [across, travel_mm] };
        let wheels = self.gear.raise_axle(ride, travel, rack_mm.unwrap_or(0.0)).ok()?;
        let [on_a, on_b] = worst.gap.witness_mm.map(vector);
        // From a to b where they are apart, from b to a where they overlap: the way in which the gap grows.
        let apart = on_b - on_a;
        let outward = apart.try_normalize(1e-9)? * if worst.gap.gap_mm < 0.0 { -1.0 } else { 1.0 };
        let heights = wheels.map(|w| Drive::Height(k::<Dual>(w.wheel_centre.z)));
        let mut square = 0.0;
        for reading in readings(&axle.described) {
            let dual = axle.again(reading.seeded(axle));
            let Some(moved) = dual.settle(&wheels, k(rack_mm.unwrap_or(0.0)), heights) else { continue };
            let was = &wheels[hub.side as usize];
            let a = match pair.a {
                Role::Moving(hub, i) => self.on_part(axle, &dual, hub, i, was, &moved, on_a)?,
                _ => carried(was, &moved[hub.side as usize], on_a),
            };
            let b = match pair.b {
                Role::Moving(hub, i) => self.on_part(axle, &dual, hub, i, was, &moved, on_b)?,
                _ => lift(on_b),
            };
            let grows = (b - a).dot(&lift(outward)).eps2;
            square += (grows * reading.doubt(&axle.described)).powi(2);
        }
        if let Role::Body(i) = pair.b {
            // A scan is no surer than where it was laid: as far off as the worst of its picked points.
            let off = self.off.get(&self.parts.body[i].base).copied().unwrap_or(0.0);
            square += axle.described.doubt.points.powi(2) + off * off;
        }
        Some(GapDoubt::new(worst.gap.gap_mm, square))
    }

    /// The doubt of a least gap to the ground, the body held where it is over the ground and the wheels standing on it. A
    /// part of the body is as sure as its own measurement; what moves follows its axle's points.
    fn ground_doubt(&self, pair: &Place, worst: &Worst) -> Option<GapDoubt> {
        let WorstPose::Body(at) = worst.at else { return None };
        let Role::Moving(hub, i) = pair.a else {
            return Some(GapDoubt::new(worst.gap.gap_mm, self.car.front.doubt.points.powi(2)));
        };
        let [roll, pitch] = [at.roll_deg, at.pitch_deg].map(f64::to_radians);
        let posed = self.gear.stand(&Pose { heave: at.heave_mm, roll, pitch, rack: at.rack_mm }).ok()?;
        let (axle, wheels) = self.gear.axle(hub.axle).zip(posed.axle(hub.axle))?;
        let Plane { normal, offset } = posed.ground;
        let on_ground = Drive::Ground(Plane { normal: lift::<Dual>(normal), offset: k(offset) });
        let rack = if axle.steers() { at.rack_mm } else { 0.0 };
        let on_part = vector(worst.gap.witness_mm[0]);
        let mut square = 0.0;
        for reading in readings(&axle.described) {
            let dual = axle.again(reading.seeded(axle));
            let Some(moved) = dual.settle(wheels, k(rack), [on_ground; 2]) else { continue };
            let now = self.on_part(axle, &dual, hub, i, &wheels[hub.side as usize], &moved, on_part)?;
            let rises = now.dot(&lift(normal)).eps2;
            square += (rises * reading.doubt(&axle.described)).powi(2);
        }
        Some(GapDoubt::new(worst.gap.gap_mm, square))
    }

    /// Where a place of a moving part goes that is nearest to `at`: in the same share along the same bar.
    #[allow(clippy::too_many_arguments)]
    fn on_part(
        &self,
        axle: &Suspension,
        dual: &Suspension<Dual>,
        hub: Hub,
        part: usize,
        was: &CornerPose,
        moved: &[CornerPose<Dual>; 2],
        at: Vector3<f64>,
    ) -> Option<Vector3<Dual>> {
        let legs = self.parts.moving(hub)[part].legs.iter().filter_map(|leg| {
            let [a, b] = [leg.ends[0].at(axle, was)?, leg.ends[1].at(axle, was)?];
            let run = b - a;
            let share = ((at - a).dot(&run) / run.norm_squared().max(1e-12)).clamp(0.0, 1.0);
            let off = (a + run * share - at).norm() - leg.radius;
            Some((off.abs(), leg, share))
        });
        let (_, leg, share) = legs.min_by(|x, y| x.0.total_cmp(&y.0))?;
        let [a, b] = [spot(leg.ends[0], dual, was, moved)?, spot(leg.ends[1], dual, was, moved)?];
        // The bar's axis moves; the witness on its skin goes along.
        let axis = a + (b - a) * k::<Dual>(share);
        let now_at = axis.map(|v| v.re);
        Some(axis + lift(at - now_at))
    }
}

/// A place that follows a pose, in dual numbers.
fn spot(spot: Spot, axle: &Suspension<Dual>, was: &CornerPose, moved: &[CornerPose<Dual>; 2]) -> Option<Vector3<Dual>> {
    let [now, across] = [was.hub.side as usize, 1 - was.hub.side as usize].map(|side| &moved[side]);
    match spot {
        Spot::At(name) => axle.at(now, name),
        Spot::Between(from, to, share) => {
            let (a, b) = (axle.at(now, from)?, axle.at(now, to)?);
            Some(a + (b - a) * k::<Dual>(share))
        }
        Spot::OnArm(ride) => {
            let at = |name| axle.at(now, name);
            Some(ride.at(was.hub.side, at(ride.front)?, at(ride.rear)?, at(ride.joint)?))
        }
        Spot::Across(name) => axle.measured.at(if was.hub.side == Side::Left { Side::Right } else { Side::Left }, name),
        Spot::Inboard(by) => Some(now.wheel_centre - now.spin * k::<Dual>(by)),
        Spot::InboardAcross(by) => Some(across.wheel_centre - across.spin * k::<Dual>(by)),
    }
}

/// Where a point of the wheel that lies at `at` in one pose is in another.
fn carried(was: &CornerPose, now: &CornerPose<Dual>, at: Vector3<f64>) -> Vector3<Dual> {
    let local = was.turn.transpose() * (at - was.wheel_centre);
    now.wheel_centre + now.turn * lift::<Dual>(local)
}

/// Share of a normal distribution that lies below `x` standard deviations.
///
/// By the complementary error function's continued series (W. J. Cody's bounds are not needed: 1e-7 is plenty here;
/// Abramowitz & Stegun, Handbook of Mathematical Functions, 7.1.26, from memory).
fn below(x: f64) -> f64 {
    let z = x.abs() / std::f64::consts::SQRT_2;
    let t = 1.0 / (1.0 + 0.3275911 * z);
    let series = t * (0.254829592 + t * (-0.284496736 + t * (1.421413741 + t * (-1.453152027 + t * 1.061405429))));
    let tail = 0.5 * series * (-z * z).exp();
    if x < 0.0 { tail } else { 1.0 - tail }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::answer::gaps::Gap;
    use crate::car::{AxleName, CarFile};
    use crate::motion::{Pose, RunningGear};
    use crate::space::Parts;
    use nalgebra::Vector2;

    /// Tables of the normal distribution (any handbook): 0.5, 0.158655, 0.022750, 0.977250.
    #[test]
    fn the_normal_distribution_is_that_of_the_tables() {
        for (x, share) in [(0.0, 0.5), (-1.0, 0.158655), (-2.0, 0.022750), (2.0, 0.977250)] {
            assert!((below(x) - share).abs() < 1e-6, "{x}: {}", below(x));
        }
    }

    /// A gap in a pose of a car whose points are measured a little otherwise is what the doubt's derivative says it is.
    #[test]
    fn a_gaps_doubt_is_what_cars_measured_anew_show() {
        let file = CarFile::from_text(include_str!("../../scenes/dunlin.ron").to_owned(), None).unwrap();
        let mut car = file.car().clone();
        car.rear = None;
        let study = Study::new(car.clone()).unwrap();
        let gaps = study.gaps(&Pose::default()).unwrap();
        let pair = gaps.pairs.iter().find(|p| p.a == "left front tyre" && p.b == "left lower arm").unwrap();
        let told = study.gap_doubt(&pair.place, &pair.worst).unwrap();
        let WorstPose::Wheel { travel_mm, rack_mm, .. } = pair.worst.at else { panic!() };
        let gap = |side: Side, name, i: usize, by: f64| {
            let mut anew = car.clone();
            let mut p = anew.front.point(side, name).unwrap();
            p[i] += by;
            for other in Side::BOTH {
                let q = car.front.point(other, name).unwrap();
                if other == Side::Left {
                    anew.front.points.0.insert(name, q)
                } else {
                    anew.front.right.0.insert(name, q)
                };
            }
            if side == Side::Left {
                anew.front.points.0.insert(name, p)
            } else {
                anew.front.right.0.insert(name, p)
            };
            let gear = RunningGear::new(&anew).unwrap();
            let parts = Parts::new(&anew);
            // The wheel centre's height over the body is what stays.
            let ride = study.gear.ride(Hub { axle: AxleName::Front, side: Side::Left });
            let own = gear.ride(ride.hub);
            let at = Vector2::new(travel_mm + ride.wheel_centre.z - own.wheel_centre.z, rack_mm.unwrap());
            let pose = gear.raise(own, at).unwrap();
            parts.gap(&gear, &pair.place, &pose, 500.0).unwrap().gap
        };
        let mut square = 0.0;
        for &name in crate::car::PointName::ALL {
            for side in Side::BOTH {
                if car.front.point(side, name).is_none() {
                    continue;
                }
                for i in 0..3 {
                    let by = 0.02;
                    let slope = (gap(side, name, i, by) - gap(side, name, i, -by)) / (2.0 * by);
                    square += (slope * 1.5).powi(2);
                }
            }
        }
        // Camber and toe as read, a tenth of a degree, are left out here: they add little beside 1.5 mm of a tape.
        let seen = square.sqrt();
        assert!((told.doubt_mm - seen).abs() < 0.02 * seen, "told {}, seen {seen}", told.doubt_mm);
    }

    /// The same of what moves over the ground, on a stiff axle: the body held where it is, the axle measured otherwise.
    #[test]
    fn a_doubt_over_the_ground_is_what_axles_measured_anew_show() {
        let file = CarFile::from_text(include_str!("../../scenes/godwit.ron").to_owned(), None).unwrap();
        let mut car = file.car().clone();
        car.rear.as_mut().unwrap().doubt.alignment = 0.0;
        let study = Study::new(car.clone()).unwrap();
        let pose = Pose { heave: -20.0, roll: 0.02, pitch: 0.01, rack: 0.0 };
        let posed = study.gear.stand(&pose).unwrap();
        let mut held = 0;
        for pair in study.parts.at_ground.iter().filter(|p| study.parts.name(p.a).contains("rear")) {
            let Role::Moving(..) = pair.a else { continue };
            let nearest = study.parts.ground_gap(&study.gear, pair, &posed).unwrap();
            let worst = Worst { gap: Gap::of(pair, &nearest), at_least_mm: None, at: WorstPose::Body((&pose).into()) };
            let told = study.ground_doubt(pair, &worst).unwrap();
            let gap = |side: Side, name, i: usize, by: f64| {
                let mut anew = car.clone();
                let axle = anew.rear.as_mut().unwrap();
                let mut points = Side::BOTH.map(|side| axle.point(side, name).unwrap());
                points[side as usize][i] += by;
                if let Some(single) = axle.middle.0.get_mut(&name) {
                    *single = points[0];
                } else {
                    axle.points.0.insert(name, points[0]);
                    axle.right.0.insert(name, points[1]);
                }
                let gear = RunningGear::new(&anew).unwrap();
                let posed = gear.stand(&pose).unwrap();
                Parts::new(&anew).ground_gap(&gear, pair, &posed).unwrap().gap
            };
            let mut square = 0.0;
            for reading in readings(car.rear.as_ref().unwrap()) {
                let crate::motion::change::Reading::Coordinate(side, name, i) = reading else { continue };
                // Of two ends that are equally low the other one falls where this one rises.
                let slope = [0.01, -0.01].map(|by| ((gap(side, name, i, by) - nearest.gap) / by).abs());
                let slope = slope[0].max(slope[1]);
                square += (slope * reading.doubt(car.rear.as_ref().unwrap())).powi(2);
            }
            let seen = square.sqrt();
            assert!((told.doubt_mm - seen).abs() < 0.02 * seen, "{pair:?}: told {}, seen {seen}", told.doubt_mm);
            held += 1;
        }
        assert!(held >= 3, "{held}");
    }
}
