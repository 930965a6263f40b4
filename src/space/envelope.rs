//! All the space that a wheel's rings take up in its sweep, known by a lattice of poses, and what the lattice leaves out.
//!
//! Let D be the distance to any set. D² - |x|² is a least of functions that are linear in x, |p|² - 2 p . x for every
//! point p of the set, and so it is concave: at a mean x of some places x_i, D² is no less than the mean of their D_i² less
//! the mean square of how far they lie from x. That says two things without looking between the places:
//!
//! - In a triangle whose corners lie no nearer than L and whose least circle has the radius R, D² is at least L² - R².
//! - The other way round: a point of the ring in a pose between four of the lattice lies where the mean of its four places
//!   is, but for the bend b of its path. So the true distance is at least the root of D² - V, less b, where D is the
//!   lattice's and V = (u² + v²) / 4 for steps of u and v, the most that V gets to, in the middle.
//!
//! So corners at L = sqrt((gap + b)² + R² + V) from the lattice's poses make triangles that lie nowhere nearer than the gap
//! to the true sweep. V is known of the lattice itself. Only b is measured: an eighth of the second difference along either
//! way (bilinear interpolation, any textbook), counted twice as it may be more between poses. It is some hundredths.

use nalgebra::{Matrix3, Vector2, Vector3};

use super::parts::Parts;
use super::profile::Profile;
use super::ring::{PlacedRing, Ring};
use super::sweep::WheelSweep;
use crate::car::Hub;
use crate::motion::RunningGear;

/// Poses each way, at least and at most.
const COUNT: [f64; 2] = [5.0, 201.0];
/// A path that bends more than this between poses is not told by them, mm.
const MOST_BEND: f64 = 1.0;
/// Less than any difference that is looked at, and more than rounding, mm.
const ROUNDING: f64 = 1e-6;

/// Why a wheel's keep-out cannot be told.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NoKeepOut {
    /// A pose of the sweep cannot be taken.
    #[error(
        "no keep-out of the {} wheel: it does not get to {:.1} mm of travel with {:.1} mm beside it, which is inside its sweep. \
         Make the sweep shorter, or measure its linkage again", hub.words(), at.x, at.y
    )]
    Unreached {
        /// The wheel.
        hub: Hub,
        /// (travel, beside), mm.
        at: Vector2<f64>,
    },
    /// The wheel's path turns too sharply.
    #[error(
        "no keep-out of the {} wheel: near an end of its sweep its path turns so sharply that poses {bend:.1} mm apart cannot be \
         told by those beside them. Make the sweep shorter", hub.words()
    )]
    Abrupt {
        /// The wheel.
        hub: Hub,
        /// How far the path strays between poses, mm.
        bend: f64,
    },
}

/// A wheel's rings in all poses of its sweep.
#[derive(Debug, Clone)]
pub struct Envelope<'a> {
    ring: &'a Ring,
    /// Convex bodies of revolution, which together are tyre and rim.
    profiles: Vec<&'a Profile>,
    /// No point of them lies further from the wheel centre, mm.
    reach: f64,
    poses: Vec<Posed>,
    /// The gap that it is grown by, mm.
    pub gap: f64,
    /// V of the module's head, mm².
    spread: f64,
    /// b of the module's head, mm.
    bend: f64,
}

/// A wheel in a pose, with a turn that goes on without a jump from pose to pose.
#[derive(Debug, Clone, Copy)]
struct Posed {
    centre: Vector3<f64>,
    axis: Vector3<f64>,
    turn: Matrix3<f64>,
}

/// A profile in a pose, seen from a place.
#[derive(Debug, Clone, Copy)]
pub(super) struct Near {
    pose: u32,
    profile: u32,
    /// Signed, mm.
    distance: f64,
    /// How the distance changes, a unit vector.
    slope: Vector3<f64>,
    /// A way h on, the distance is no less than the slope says less h² times this, 1/mm.
    dips: f64,
}

/// Those that may be the nearest to any place around a middle.
#[derive(Debug, Clone)]
pub(super) struct Narrowed {
    middle: Vector3<f64>,
    /// In order of distance from the middle.
    near: Vec<Near>,
}

impl Posed {
    /// Turned from `ahead` the shortest way: the ring is round, so how it spins is nothing to it.
    fn new(centre: Vector3<f64>, axis: Vector3<f64>, ahead: Vector3<f64>) -> Self {
        let v = ahead.cross(&axis).cross_matrix();
        Self { centre, axis, turn: Matrix3::identity() + v + v * v / (1.0 + ahead.dot(&axis)) }
    }
}

/// No point of a ring moves further than this if its centre moves so and its turn changes so.
fn moves(centre: Vector3<f64>, turn: Matrix3<f64>, reach: f64) -> f64 {
    centre.norm() + turn.norm() * reach
}

/// How far a point of a ring is between two poses at most; the length of a difference of turns is the root of two too long.
fn step(a: &Posed, b: &Posed, reach: f64) -> f64 {
    moves(a.centre - b.centre, (a.turn - b.turn) * std::f64::consts::FRAC_1_SQRT_2, reach)
}

fn second(a: &Posed, b: &Posed, c: &Posed, reach: f64) -> f64 {
    moves(a.centre + c.centre - b.centre * 2.0, a.turn + c.turn - b.turn * 2.0, reach)
}

impl<'a> Envelope<'a> {
    /// A wheel's tyre and rim in its sweep, to be grown by `gap`, by poses between which no point goes much more than
    /// `apart`, mm.
    ///
    /// # Errors
    /// [`NoKeepOut`] where a pose cannot be taken, or poses do not tell what lies between.
    pub fn new(
        gear: &RunningGear,
        parts: &'a Parts,
        sweep: &WheelSweep,
        gap: f64,
        apart: f64,
    ) -> Result<Self, NoKeepOut> {
        let hub = sweep.hub;
        let rings = [parts.tyre(hub), parts.rim(hub)];
        let reach = rings.iter().map(|ring| ring.reach).fold(0.0, f64::max);
        let [low, high] = sweep.range;
        let ahead = gear.ride(hub).spin;
        let posed = |at: Vector2<f64>| {
            let pose = sweep.pose(gear, at).ok_or(NoKeepOut::Unreached { hub, at })?;
            Ok(Posed::new(pose.wheel_centre, pose.spin, ahead))
        };
        let row = |ends: [Vector2<f64>; 2], count: usize| -> Result<Vec<Posed>, NoKeepOut> {
            let at = |n: usize| ends[0] + (ends[1] - ends[0]) * (n as f64 / (count.max(2) - 1) as f64);
            (0..count).map(|n| posed(at(n))).collect()
        };
        // The longest step along the sweep's edges tells how many poses they take.
        let count = |edges: [[Vector2<f64>; 2]; 2]| {
            let mut most = 0.0f64;
            for ends in edges.into_iter().filter(|[a, b]| a != b) {
                most = row(ends, 13)?.windows(2).map(|w| 12.0 * step(&w[0], &w[1], reach)).fold(most, f64::max);
            }
            Ok(if most > 0.0 { (most / apart + 1.0).ceil().clamp(COUNT[0], COUNT[1]) as usize } else { 1 })
        };
        let (lower, upper) = (Vector2::new(high.x, low.y), Vector2::new(low.x, high.y));
        let along = count([[low, lower], [upper, high]])?;
        let across = count([[low, upper], [lower, high]])?;
        let mut rows: Vec<Vec<Posed>> = Vec::with_capacity(across);
        for k in 0..across {
            let side = (upper - low) * (k as f64 / (across.max(2) - 1) as f64);
            rows.push(row([low + side, lower + side], along)?);
        }
        let columns: Vec<Vec<Posed>> = (0..along).map(|n| rows.iter().map(|row| row[n]).collect()).collect();
        let most = |lines: &[Vec<Posed>]| {
            let steps = lines.iter().flat_map(|l| l.windows(2)).map(|w| step(&w[0], &w[1], reach));
            let bends = lines.iter().flat_map(|l| l.windows(3)).map(|w| second(&w[0], &w[1], &w[2], reach));
            (steps.fold(0.0, f64::max), bends.fold(0.0, f64::max))
        };
        let ((u, bent_u), (v, bent_v)) = (most(&rows), most(&columns));
        let bend = 2.0 * (bent_u + bent_v) / 8.0;
        if bend > MOST_BEND {
            return Err(NoKeepOut::Abrupt { hub, bend });
        }
        let profiles = rings.iter().flat_map(|ring| &ring.profiles).collect();
        let spread = (u * u + v * v) / 4.0;
        Ok(Self { ring: rings[0], profiles, reach, poses: rows.concat(), gap, spread, bend })
    }

    /// How far from the poses of the lattice the corners of triangles have to be, whose least circles are no greater than
    /// `radius`, so that no place of them is nearer to the whole sweep than the gap, mm: L of the module's head.
    pub fn level(&self, radius: f64) -> f64 {
        let bent = self.gap + self.bend;
        (bent * bent + radius * radius + self.spread).sqrt()
    }

    /// The greatest `radius` for which [`level`](Self::level) is no more than `level`, mm; nothing if there is none.
    pub fn radius(&self, level: f64) -> f64 {
        let bent = self.gap + self.bend;
        (level * level - bent * bent - self.spread).max(0.0).sqrt()
    }

    /// Corners of a box around all that is within `far` of a pose, mm.
    pub fn around(&self, far: f64) -> [Vector3<f64>; 2] {
        let reach = self.reach + far;
        let (mut low, mut high) = (Vector3::repeat(f64::INFINITY), Vector3::repeat(f64::NEG_INFINITY));
        for pose in &self.poses {
            low = low.inf(&pose.centre.add_scalar(-reach));
            high = high.sup(&pose.centre.add_scalar(reach));
        }
        [low, high]
    }

    /// A profile in a pose, seen from `x`.
    fn near(&self, x: Vector3<f64>, pose: u32, profile: u32) -> Near {
        let Posed { centre, axis, .. } = self.poses[pose as usize];
        let (a, r, radial) = PlacedRing { ring: self.ring, centre, axis }.wheel_frame(x);
        let d = self.profiles[profile as usize].distance(a, r);
        // Convex in a and r; and r, itself convex in x, bends up by no more than h² / 2r.
        let dips = (-d.slope.y).max(0.0) / (2.0 * r.max(1e-3));
        Near { pose, profile, distance: d.value, slope: axis * d.slope.x + radial * d.slope.y, dips }
    }

    /// From `x`: all of them.
    pub(super) fn all(&self, x: Vector3<f64>) -> Narrowed {
        let profiles = self.profiles.len() as u32;
        let of = |pose| (0..profiles).map(move |profile| self.near(x, pose, profile));
        Narrowed::new(x, (0..self.poses.len() as u32).flat_map(of).collect())
    }

    /// Of those about a place, the ones that may be the nearest to any place within `reach` of `first`'s, where `first` is
    /// the nearest.
    ///
    /// One that is further by so much that no place makes up for it is left out: distances change by the way gone at
    /// most, and by what their slopes say but for their bends, of which that of the nearest is no more than 1 / distance.
    pub(super) fn narrowed(&self, x: Vector3<f64>, first: &Near, among: &Narrowed, reach: f64) -> Narrowed {
        let rises = if first.distance > 0.0 { 1.0 / (2.0 * first.distance) } else { f64::INFINITY };
        let far = first.distance + 2.0 * reach + ROUNDING;
        let way = x - among.middle;
        let seen = among.near.iter().filter(|n| n.at_least(way) <= far).map(|n| self.near(x, n.pose, n.profile));
        let may_be = |n: &Near| {
            let sloped = (n.slope - first.slope).norm() * reach + (n.dips + rises) * reach * reach;
            n.distance - first.distance <= sloped.min(2.0 * reach) + ROUNDING
        };
        Narrowed::new(x, seen.filter(may_be).collect())
    }

    /// The nearest to `x`, seen from there, of those that were narrowed around it.
    pub(super) fn nearest(&self, x: Vector3<f64>, among: &Narrowed) -> Option<Near> {
        let way = x - among.middle;
        let away = way.norm();
        let mut best: Option<Near> = None;
        for n in &among.near {
            let least = best.map_or(f64::INFINITY, |b| b.distance) + ROUNDING;
            if n.distance - away > least {
                break;
            }
            if n.at_least(way) <= least {
                let seen = self.near(x, n.pose, n.profile);
                best = best.filter(|b| b.distance <= seen.distance).or(Some(seen));
            }
        }
        best
    }

    /// No place of a triangle, all of it within `radius` of where `near` was seen, is further from `near` than this, mm.
    ///
    /// What is convex is greatest at a corner; a hollow's bend is added as in `dips`. `near` is seen from within the circle's
    /// radius of any place of it, which tells as much where that bend is sharp.
    pub(super) fn furthest(&self, corners: &[Vector3<f64>; 3], radius: f64, near: &Near) -> f64 {
        let seen = corners.map(|x| self.near(x, near.pose, near.profile));
        let dips = seen.iter().map(|n| n.dips).fold(near.dips, f64::max);
        let convex = seen.iter().map(|n| n.distance).fold(f64::NEG_INFINITY, f64::max);
        (convex + dips * radius * radius).min(near.distance + radius)
    }
}

impl Narrowed {
    fn new(middle: Vector3<f64>, mut near: Vec<Near>) -> Self {
        near.sort_unstable_by(|a, b| a.distance.total_cmp(&b.distance));
        Self { middle, near }
    }
}

impl Near {
    /// What the distance is at least, so far on.
    fn at_least(&self, way: Vector3<f64>) -> f64 {
        self.distance + self.slope.dot(&way) - self.dips * way.norm_squared()
    }

    /// Signed, mm.
    pub(super) fn distance(&self) -> f64 {
        self.distance
    }
}
