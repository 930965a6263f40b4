//! All the space that a wheel's rings take up in its sweep, with what lies between the poses that are looked at.
//!
//! The poses are those of a lattice over the sweep's two numbers, its edges included. Take a place x that is nearest to the
//! ring in a pose between them. As seen from the ring x is s away or less where the next pose of the lattice stands, and
//! since no other pose is nearer, the way there runs along the ring's surface at first: along the sweep's edge if it is
//! least there, for the lattice has poses on it. The distance to a closed set bends towards it by no more than 1 / d at the
//! distance d (it is semiconcave). So at a gap g the lattice's distance is more than the true one by no more than
//!
//! ```text
//! s² / (2 (g - s)) + the bend of the motion itself over half a step,
//! ```
//!
//! and in any case by no more than s. What is left to trust is s and the bend, which are measured on the lattice.

use nalgebra::{Vector2, Vector3};

use super::parts::Parts;
use super::ring::{PlacedRing, Ring};
use super::sweep::WheelSweep;
use crate::motion::{CornerPose, RunningGear};

/// No more poses than this each way.
const MOST: usize = 201;
/// What is measured on the lattice is taken so many times, since between its poses it may be more.
const SURE: f64 = 1.2;

/// A wheel's rings in all poses of its sweep.
#[derive(Debug, Clone)]
pub struct Envelope<'a> {
    /// What is swept: whatever of the wheel keeps others out.
    rings: Vec<&'a Ring>,
    /// Wheel centres and spin axes.
    poses: Vec<[Vector3<f64>; 2]>,
    /// The gap that it is grown by, mm.
    pub gap: f64,
    /// At the gap the distance to the poses is more than that to the whole sweep by no more than this, mm.
    pub off: f64,
}

/// A pose that may be the nearest, and how far it is from the middle of where that was asked, mm.
type Near = (f64, u32);

impl<'a> Envelope<'a> {
    /// A wheel's tyre and rim in its sweep, to be grown by `gap`, with as many poses as make `off` about `within`, mm.
    pub fn new(gear: &RunningGear, parts: &'a Parts, sweep: &WheelSweep, gap: f64, within: f64) -> Self {
        let rings = vec![parts.tyre(sweep.hub), parts.rim(sweep.hub)];
        let reach = rings.iter().map(|ring| ring.reach).fold(0.0, f64::max) + gap;
        let apart = |[c, a]: &[Vector3<f64>; 2], [d, b]: &[Vector3<f64>; 2]| (c - d).norm() + (a - b).norm() * reach;
        let row = |ends: [Vector2<f64>; 2], count: usize| -> Vec<[Vector3<f64>; 2]> {
            let at = |n: usize| ends[0] + (ends[1] - ends[0]) * (n as f64 / (count.max(2) - 1) as f64);
            let pose = |n| sweep.pose(gear, at(n)).map(|p: CornerPose| [p.wheel_centre, p.spin]);
            (0..count).filter_map(pose).collect()
        };
        let [low, high] = sweep.range;
        let edges = [
            [low, Vector2::new(high.x, low.y)],
            [Vector2::new(low.x, high.y), high],
            [low, Vector2::new(low.x, high.y)],
            [Vector2::new(high.x, low.y), high],
        ];
        // How long the way along each edge is tells how many poses it takes: half a step either way together is s.
        let long = edges.map(|ends| row(ends, 13).windows(2).map(|w| apart(&w[0], &w[1])).sum::<f64>());
        let far = ((within * within + 2.0 * within * gap).sqrt() - within).max(within);
        let count = |long: f64| if long > 0.0 { (long / far).ceil().min(MOST as f64 - 1.0) as usize + 1 } else { 1 };
        let [along, across] = [count(long[0].max(long[1])), count(long[2].max(long[3]))];
        let side = |k: usize| if across > 1 { k as f64 / (across - 1) as f64 } else { 0.0 };
        let rows: Vec<Vec<[Vector3<f64>; 2]>> = (0..across)
            .map(|k| {
                let y = low.y + (high.y - low.y) * side(k);
                row([Vector2::new(low.x, y), Vector2::new(high.x, y)], along)
            })
            .collect();
        // The longest half-step, and the most that three poses in a row stray from a line, either way.
        let bend = |[a, b, c]: [&[Vector3<f64>; 2]; 3]| apart(&[a[0] + c[0], a[1] + c[1]], &[b[0] * 2.0, b[1] * 2.0]);
        let (mut step, mut bent) = ([0.0f64; 2], [0.0f64; 2]);
        for row in &rows {
            row.windows(2).for_each(|w| step[0] = step[0].max(apart(&w[0], &w[1])));
            row.windows(3).for_each(|w| bent[0] = bent[0].max(bend([&w[0], &w[1], &w[2]])));
        }
        for n in 0..along {
            let column: Vec<_> = rows.iter().filter_map(|row| row.get(n)).collect();
            column.windows(2).for_each(|w| step[1] = step[1].max(apart(w[0], w[1])));
            column.windows(3).for_each(|w| bent[1] = bent[1].max(bend([w[0], w[1], w[2]])));
        }
        let s = SURE * (step[0] + step[1]) / 2.0;
        // Half a second difference over half a step is an eighth; both ways and across them no more than twice the sum.
        let bent = SURE * (bent[0] + bent[1]) / 4.0;
        let off = if gap > s { s.min(s * s / (2.0 * (gap - s)) + bent) } else { s };
        Self { rings, poses: rows.concat(), gap, off }
    }

    /// Corners of a box around all of it and its gap, mm.
    pub fn around(&self) -> [Vector3<f64>; 2] {
        let reach = self.rings.iter().map(|r| r.reach).fold(0.0, f64::max) + self.gap + self.off;
        let (mut low, mut high) = (Vector3::repeat(f64::INFINITY), Vector3::repeat(f64::NEG_INFINITY));
        for [centre, _] in &self.poses {
            low = low.inf(&centre.add_scalar(-reach));
            high = high.sup(&centre.add_scalar(reach));
        }
        [low, high]
    }

    /// How many poses it is made of.
    pub fn count(&self) -> usize {
        self.poses.len()
    }

    /// All its poses.
    pub fn all(&self) -> Vec<Near> {
        (0..self.poses.len() as u32).map(|i| (f64::NEG_INFINITY, i)).collect()
    }

    /// Signed distance of a point to the poses grown by the gap, negative inside, mm. No more than `off` over the true one.
    pub fn distance(&self, x: Vector3<f64>) -> f64 {
        self.distance_to(x, 0.0, &self.all())
    }

    /// The same to some of the poses, of a point that lies this far from the middle that they were narrowed about.
    pub(super) fn distance_to(&self, x: Vector3<f64>, away: f64, among: &[Near]) -> f64 {
        let mut least = f64::INFINITY;
        for (from_middle, i) in among {
            // They stand in order, and a distance changes by no more than the way gone.
            if from_middle - away > least {
                break;
            }
            least = least.min(self.from_pose(x, *i));
        }
        least - self.gap
    }

    /// The distance from `x`, and those poses that may be the nearest to any point within `reach` of it, in order.
    pub(super) fn narrowed(&self, x: Vector3<f64>, among: &[Near], reach: f64) -> (f64, Vec<Near>) {
        let mut each: Vec<Near> = among.iter().map(|(_, i)| (self.from_pose(x, *i), *i)).collect();
        let least = each.iter().map(|(d, _)| *d).fold(f64::INFINITY, f64::min);
        // A little for rounding.
        each.retain(|(d, _)| *d <= least + 2.0 * reach + 1e-6);
        each.sort_by(|a, b| a.0.total_cmp(&b.0));
        (least - self.gap, each)
    }

    fn from_pose(&self, x: Vector3<f64>, index: u32) -> f64 {
        let [centre, axis] = self.poses[index as usize];
        let rings = self.rings.iter().map(|ring| PlacedRing { ring, centre, axis }.distance(x));
        rings.fold(f64::INFINITY, f64::min)
    }
}
