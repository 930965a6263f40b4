//! One upright and what holds it: six unknowns, five equations of its linkage and one of its drive.

use nalgebra::{Matrix3, Vector3};

use super::drive::{Drive, Rolling};
use super::linear::Triangles;
use super::newton::{self, Mechanism, OutOfReach, System};
use super::placement::{Placement, Speed};
use super::real::{Real, k};
use super::rod::Rod;
use super::steering::{Reach, Steering};
use crate::car::Hub;

/// An upright, held.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Upright<T: Real> {
    /// The wheel.
    pub hub: Hub,
    /// What holds it.
    pub held_by: HeldBy<T>,
    /// The wheel; the upright's origin is its centre.
    pub wheel: Rolling<T>,
    /// What moves the inner tie-rod joint.
    pub steering: Steering<T>,
}

/// The five equations of a linkage.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum HeldBy<T: Real> {
    /// Five rods, the tie rod last. Wishbones are rods in pairs that share a ball joint.
    Rods([Rod<T>; 5], [&'static str; 5]),
    /// A lower arm's two rods and the tie rod, and the axis of a strut.
    Strut([Rod<T>; 3], Slider<T>),
    /// Fixed to a line of the body.
    Hinge(Hinge<T>),
}

/// A line of the upright that always runs through a point of the body.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Slider<T: Real> {
    /// Two directions square to the line, in the measured attitude.
    across: [Vector3<T>; 2],
    /// The point of the body, mm.
    through: Vector3<T>,
    /// How far the line runs from the upright's origin in those directions, mm.
    aside: [T; 2],
}

/// A line of the upright that stays on a line of the body.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Hinge<T: Real> {
    /// Two points of the line, body frame, mm.
    on_body: [Vector3<T>; 2],
    /// The same from the upright's origin.
    on_part: [Vector3<T>; 2],
    /// Two directions square to the line.
    across: [Vector3<T>; 2],
}

/// Two unit vectors square to a direction and to each other.
fn across<T: Real>(along: Vector3<T>) -> [Vector3<T>; 2] {
    // From the axis that the direction is furthest from.
    let aside = if along.x.abs() < k(0.6) { Vector3::x() } else { Vector3::y() };
    let first = along.cross(&aside).normalize();
    [first, along.cross(&first).normalize()]
}

impl<T: Real> Slider<T> {
    /// The line through two points of the upright as measured, the first of them the point of the body.
    pub fn new(through: Vector3<T>, other: Vector3<T>, origin: Vector3<T>) -> Self {
        let across = across(through - other);
        Self { across, through, aside: across.map(|e| e.dot(&(through - origin))) }
    }

    fn row(&self, i: usize, at: Vector3<T>, turn: &Matrix3<T>) -> (T, [T; 6]) {
        let e = turn * self.across[i];
        let to = self.through - at;
        let about = e.cross(&to);
        (e.dot(&to) - self.aside[i], [-e.x, -e.y, -e.z, about.x, about.y, about.z])
    }
}

impl<T: Real> Hinge<T> {
    /// The line through two points as measured.
    pub fn new(points: [Vector3<T>; 2], origin: Vector3<T>) -> Self {
        Self {
            on_body: points,
            on_part: points.map(|p| p - origin),
            across: across((points[1] - points[0]).normalize()),
        }
    }

    /// The first point stays where it is in all three directions, the other in the two across.
    fn row(&self, i: usize, at: Vector3<T>, turn: &Matrix3<T>) -> (T, [T; 6]) {
        let (point, n) = match i {
            0 => (0, Vector3::x()),
            1 => (0, Vector3::y()),
            2 => (0, Vector3::z()),
            _ => (1, self.across[i - 3]),
        };
        let arm = turn * self.on_part[point];
        let about = arm.cross(&n);
        (n.dot(&(at + arm - self.on_body[point])), [n.x, n.y, n.z, about.x, about.y, about.z])
    }
}

/// What is asked of an upright.
pub(super) struct Aim<T: Real> {
    /// Where the inner tie-rod joint is, where the tie rod steers.
    inner: Option<Vector3<T>>,
    drive: Drive<T>,
}

impl<T: Real> Upright<T> {
    fn aimed(&self, steer: T, drive: Drive<T>) -> Aim<T> {
        Aim { inner: self.steering.inner(self.hub.side, steer), drive }
    }

    fn equations(&self, p: &Placement<T>, aim: &Aim<T>) -> System<T, 6> {
        let turn = p.matrix();
        let (mut left_over, mut slope) = ([T::zero(); 6], [[T::zero(); 6]; 6]);
        let mut put = |i: usize, (r, s): (T, [T; 6])| (left_over[i], slope[i]) = (r, s);
        let steered = |tie_rod: Rod<T>| Rod { body: aim.inner.unwrap_or(tie_rod.body), ..tie_rod };
        match &self.held_by {
            HeldBy::Rods(rods, _) => {
                for (i, rod) in rods[..4].iter().enumerate() {
                    put(i, rod.row(p.at, &turn));
                }
                put(4, steered(rods[4]).row(p.at, &turn));
            }
            HeldBy::Strut([front, rear, tie_rod], slider) => {
                put(0, front.row(p.at, &turn));
                put(1, rear.row(p.at, &turn));
                put(2, slider.row(0, p.at, &turn));
                put(3, slider.row(1, p.at, &turn));
                put(4, steered(*tie_rod).row(p.at, &turn));
            }
            HeldBy::Hinge(hinge) => (0..5).for_each(|i| put(i, hinge.row(i, p.at, &turn))),
        }
        let spin = turn * self.wheel.spin;
        let (reads, row) = aim.drive.reads(p.at, turn * self.wheel.arm, spin, self.wheel.loaded_radius);
        put(5, (reads - aim.drive.goal(), row));
        System { left_over, slope }
    }

    /// A solved placement in the scalar of this upright. With a dual scalar the first Newton step brings the first
    /// derivatives in and the second the mixed one. None in a toggle.
    pub fn settle(&self, from: &Placement, steer: T, drive: Drive<T>) -> Option<Placement<T>> {
        let aim = self.aimed(steer, drive);
        let step = |p: Placement<T>| {
            let System { left_over, slope } = self.equations(&p, &aim);
            let slopes = Triangles::of(&slope);
            (slopes.sign != 0.0).then(|| p.less(slopes.solve(&left_over)))
        };
        step(step(from.lifted())?)
    }

    /// How fast it moves per millimetre of wheel-centre z with the steering still, and per millimetre of steering
    /// travel with z still, by implicit differentiation. None in a toggle.
    ///
    /// Where the wheel is not steered, its tie rod's inner joint counts as pushed to the left, for the axis that the
    /// wheel would turn about.
    pub fn rates(&self, p: &Placement<T>, steer: T) -> Option<[Speed<T>; 2]> {
        let aim = self.aimed(steer, Drive::Height(p.at.z));
        let System { slope, .. } = self.equations(p, &aim);
        let slopes = Triangles::of(&slope);
        if slopes.sign == 0.0 {
            return None;
        }
        let (mut lift, mut pull) = ([T::zero(); 6], [T::zero(); 6]);
        lift[5] = T::one();
        if !matches!(self.held_by, HeldBy::Hinge(_)) {
            // The tie rod's direction: its inner joint's own motion changes its length by the opposite.
            let [x, y, z, ..] = slope[4];
            let moves = self.steering.inner_speed(self.hub.side, steer).unwrap_or_else(Vector3::y);
            pull[4] = Vector3::new(x, y, z).dot(&moves);
        }
        Some([lift, pull].map(|right| Speed::new(slopes.solve(&right), p.at)))
    }
}

impl Mechanism<6> for (&Upright<f64>, Drive) {
    type State = Placement;
    type Aim = Aim<f64>;

    fn aim(&self, [steer, goal]: [f64; 2]) -> Aim<f64> {
        self.0.aimed(steer, self.1.towards(goal))
    }

    fn system(&self, state: &Placement, aim: &Aim<f64>) -> System<f64, 6> {
        self.0.equations(state, aim)
    }

    fn less(&self, state: &Placement, step: &[f64; 6]) -> Placement {
        state.less(*step)
    }

    fn size(&self, step: &[f64; 6]) -> f64 {
        newton::size(step)
    }

    fn near(&self, a: &Placement, b: &Placement) -> bool {
        newton::near(a, b)
    }

    fn part(&self, row: usize) -> Option<&'static str> {
        match (&self.0.held_by, row) {
            (_, 5..) => None,
            (HeldBy::Rods(_, parts), _) => Some(parts[row]),
            (HeldBy::Strut(..), 0 | 1) => Some("lower arm"),
            (HeldBy::Strut(..), 2 | 3) => Some("strut"),
            (HeldBy::Strut(..), _) => Some("tie rod"),
            (HeldBy::Hinge(_), _) => Some("trailing arm"),
        }
    }
}

impl Upright<f64> {
    /// The equations' slope in a pose, with the wheel centre's height for a drive.
    pub fn slope(&self, p: &Placement, steer: f64) -> [[f64; 6]; 6] {
        self.equations(p, &self.aimed(steer, Drive::Height(p.at.z))).slope
    }

    /// What each equation may be off its slope, mm, after a shift (mm) and a turn (rad) no larger than these and a move of
    /// the inner tie-rod joint within `inner`. For a turn by w of a vector a, R a differs from
    /// a + w x a by |w|^2 |a| / 2 at most.
    pub fn bends(&self, p: &Placement, shift: f64, turn: f64, inner: Reach) -> [f64; 6] {
        let still = Reach { most: 0.0, bent: 0.0 };
        let rod = |rod: &Rod<f64>, end: Reach| {
            let arm = rod.arm.norm();
            let moved = shift + turn * arm + end.most;
            turn * turn * arm / 2.0 + end.bent + moved * moved / (2.0 * rod.length)
        };
        match &self.held_by {
            HeldBy::Rods(rods, _) => {
                let [a, b, c, d, tie_rod] = rods;
                [rod(a, still), rod(b, still), rod(c, still), rod(d, still), rod(tie_rod, inner), 0.0]
            }
            HeldBy::Strut([front, rear, tie_rod], slider) => {
                let to = (slider.through - p.at).norm();
                let slides = turn * turn / 2.0 * (to + shift) + turn * shift;
                [rod(front, still), rod(rear, still), slides, slides, rod(tie_rod, inner), 0.0]
            }
            HeldBy::Hinge(hinge) => {
                let [first, other] = hinge.on_part.map(|arm| turn * turn * arm.norm() / 2.0);
                [first, first, first, other, other, 0.0]
            }
        }
    }

    /// The placement for a steering travel and a drive, started from a known placement and its steering travel.
    ///
    /// # Errors
    /// [`OutOfReach`], with the last pose that could be reached on the way.
    pub fn place(&self, from: &Placement, from_steer: f64, steer: f64, drive: Drive) -> Result<Placement, OutOfReach> {
        let met = || {
            let turn = from.matrix();
            let wheel = &self.wheel;
            [from_steer, drive.reads(from.at, turn * wheel.arm, turn * wheel.spin, wheel.loaded_radius).0]
        };
        newton::place(&(self, drive), from, met, [steer, drive.goal()]).map_err(|stopped| OutOfReach {
            hub: self.hub,
            part: self.steering.stopped_by(stopped.goals[0]).unwrap_or(stopped.part),
            height: stopped.state.at.z,
            rack: stopped.goals[0],
        })
    }

    /// Largest error of what holds it, mm.
    pub fn residual(&self, p: &Placement, steer: f64) -> f64 {
        let aim = self.aimed(steer, Drive::Height(p.at.z));
        match &self.held_by {
            HeldBy::Rods(rods, _) => {
                let tie_rod = Rod { body: aim.inner.unwrap_or(rods[4].body), ..rods[4] };
                rods[..4].iter().chain([&tie_rod]).map(|rod| rod.error(p).abs()).fold(0.0, f64::max)
            }
            _ => self.equations(p, &aim).left_over.into_iter().map(f64::abs).fold(0.0, f64::max),
        }
    }
}
