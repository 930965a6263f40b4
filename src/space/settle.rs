//! How near a place of the body comes to the ground in a sweep of heave, roll and pitch: proven, not sampled.
//!
//! A plane meets a convex part first at a corner, so corners are all that need be asked about. In a pose that rolls by r
//! and pitches by p the ground's normal as the body sees it is n = (-sin p, sin r cos p, cos r cos p), and the height of a
//! place q is n . q + heave - n_z g: heave counts one for one, so a place is lowest where the body is. How low that is,
//! the wheels say. At the end of its bump a wheel that moves by itself has one place c and one spin axis s in the body
//! whatever the ground does, and its tyre of radius R stands on the ground where heave = n_z g - n . c + R sqrt(1 - (n . s)²).
//! The body is held up by the wheel that asks for most. Hence the height of q over all that the body can do at (r, p) is
//!
//! ```text
//! max over the wheels of  n . (q - c) + R sqrt(1 - (n . s)²)
//! ```
//!
//! and the same with the end of droop says where a wheel has to leave the ground: such poses are no part of the sweep.
//! The least of that over the rectangle of roll and pitch is found by branch and bound. Second derivatives of n by r and p
//! are no longer than 1, so in a piece with halves a and b every wheel's term lies within |q - c| (a + b)² / 2 of its
//! tangent, and the root's part within R (1 / (1 - u²)^1.5 + u / (1 - u²)^0.5) (a + b)² / 2, u being the most that
//! |n . s| gets to. The bound closes in with the square of the piece's size.
//!
//! On a stiff axle c and s follow the other wheel too. There they are taken as they are with that wheel at ride height: good
//! enough to find the pose, but no proof, and none is claimed.

use std::cmp::Ordering;
use std::collections::BinaryHeap;

use nalgebra::{Vector2, Vector3};

use crate::car::Sweep;
use crate::motion::RunningGear;

/// The least height is known to this, mm.
pub const SETTLED: f64 = 0.01;
/// Two sides measured apart do not travel quite alike: so little is no droop, mm.
const NO_DROOP: f64 = 0.1;
/// Pieces of roll and pitch that are looked at for one place at most; some hundreds do.
const BUDGET: usize = 50_000;

/// Of so many balls or fewer each is held against each.
const FEW: usize = 400;

/// A wheel at an end of its travel.
#[derive(Debug, Clone, Copy)]
struct Stop {
    /// Wheel centre, body frame, mm.
    centre: Vector3<f64>,
    /// Spin axis, unit.
    spin: Vector3<f64>,
    /// Wheel centre over the ground, wheel upright, mm.
    radius: f64,
}

/// What the body can do over the ground: any roll and pitch of the sweep, and as low as the wheels' bump lets it.
#[derive(Debug, Clone)]
pub struct Settling {
    bump: Vec<Stop>,
    droop: Vec<Stop>,
    /// Most roll and pitch each way, radians.
    most: Vector2<f64>,
    /// Whether every wheel moves by itself.
    proven: bool,
}

/// Where a place of the body is least over the ground.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Settled {
    /// Its height, negative under the ground, mm.
    pub height: f64,
    /// No pose of the sweep brings it lower than this, mm; none where a stiff axle is in the way of the proof.
    pub at_least: Option<f64>,
    /// Roll, positive when the left side rises, and pitch, positive nose-down, radians.
    pub tilt: Vector2<f64>,
}

/// A piece of the rectangle of roll and pitch.
struct Piece {
    at: Vector2<f64>,
    half: Vector2<f64>,
    bound: f64,
}

impl PartialEq for Piece {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Piece {}

impl PartialOrd for Piece {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Piece {
    /// The heap gives the greatest first: that is to be the piece with the lowest bound.
    fn cmp(&self, other: &Self) -> Ordering {
        other.bound.total_cmp(&self.bound)
    }
}

/// The ground's normal, and how it changes with roll and with pitch.
fn normal(tilt: Vector2<f64>) -> [Vector3<f64>; 3] {
    let ((sr, cr), (sp, cp)) = (tilt.x.sin_cos(), tilt.y.sin_cos());
    [Vector3::new(-sp, sr * cp, cr * cp), Vector3::new(0.0, cr * cp, -sr * cp), Vector3::new(-cp, -sr * sp, -cr * sp)]
}

impl Stop {
    /// The heave at which it stands on the ground, less n_z g, mm; with its slopes by roll and pitch.
    fn heave(&self, [n, by_roll, by_pitch]: &[Vector3<f64>; 3]) -> (f64, Vector2<f64>) {
        let u = n.dot(&self.spin);
        let upright = (1.0 - u * u).sqrt();
        let slope = |d: &Vector3<f64>| -d.dot(&self.centre) - self.radius * u / upright * d.dot(&self.spin);
        (self.radius * upright - n.dot(&self.centre), Vector2::new(slope(by_roll), slope(by_pitch)))
    }

    /// The root's part of the remainder for each (a + b)² / 2, in a piece whose middle has the normal `n`.
    fn bend(&self, n: &Vector3<f64>, reach: f64) -> f64 {
        let u = n.dot(&self.spin).abs() + reach;
        if u > 0.9 {
            return f64::INFINITY;
        }
        let upright = (1.0 - u * u).sqrt();
        self.radius * (upright.powi(-3) + u / upright)
    }
}

impl Settling {
    /// Of a car and its sweep. A wheel that cannot get to the end of its travel holds nothing up.
    pub fn new(gear: &RunningGear, sweep: &Sweep) -> Self {
        let stop = |hub, travel: f64| {
            let pose = gear.raise(gear.ride(hub), Vector2::new(travel, 0.0)).ok()?;
            let (ride, ground) = (gear.ride(hub), gear.ride.ground);
            // At ride height it stands on level ground: that tells the radius it stands on.
            let lean = ground.normal.dot(&ride.spin);
            let radius = ground.height(ride.wheel_centre) / (1.0 - lean * lean).sqrt();
            Some(Stop { centre: pose.wheel_centre, spin: pose.spin, radius })
        };
        let bump = gear.hubs().filter_map(|hub| stop(hub, sweep.travel(hub.axle)[0])).collect();
        let droop = gear.hubs().filter_map(|hub| stop(hub, -sweep.travel(hub.axle)[1])).collect();
        let proven = gear.axles().all(|axle| axle.independent());
        Self { bump, droop, most: Vector2::new(sweep.roll, sweep.pitch), proven }
    }

    /// The least height of a ball about `q` (body frame, mm) with this radius, if it is less than `within`.
    pub fn least(&self, q: Vector3<f64>, radius: f64, within: f64) -> Option<Settled> {
        let mut best = (within, None);
        let mut waiting = BinaryHeap::from([Piece { at: Vector2::zeros(), half: self.most, bound: f64::NEG_INFINITY }]);
        let mut bound = f64::INFINITY;
        for _ in 0..BUDGET {
            let Some(piece) = waiting.pop() else { break };
            // The others' bounds are no lower.
            if piece.bound >= best.0 - SETTLED {
                bound = piece.bound;
                break;
            }
            for (i, k) in [(0.0, 0.0), (-1.0, -1.0), (-1.0, 1.0), (1.0, -1.0), (1.0, 1.0)] {
                let tilt = piece.at + piece.half.component_mul(&Vector2::new(i, k));
                if let Some(height) = self.height(q, tilt).map(|h| h - radius).filter(|h| *h < best.0) {
                    best = (height, Some(tilt));
                }
            }
            if piece.half.amax() < 1e-9 {
                bound = self.bound(q, piece.at, piece.half) - radius;
                break;
            }
            let along = if piece.half.x > piece.half.y { 0 } else { 1 };
            for side in [-0.5, 0.5] {
                let (mut at, mut half) = (piece.at, piece.half);
                half[along] /= 2.0;
                at[along] += side * piece.half[along];
                let bound = self.bound(q, at, half) - radius;
                if bound < best.0 - SETTLED {
                    waiting.push(Piece { at, half, bound });
                }
            }
        }
        // Pieces that were never put in the heap are no lower than this, and those left in it no lower than its top.
        let left = waiting.peek().map_or(f64::INFINITY, |p| p.bound);
        let (height, tilt) = (best.0, best.1?);
        let at_least = self.proven.then_some(bound.min(left).min(height - SETTLED));
        Some(Settled { height, at_least, tilt })
    }

    /// The balls (middle, radius) of a part that may be its lowest in some pose: the others have one below them in every
    /// pose, since n . d is no less than d_z - |n - e_z| |d|, and |n - e_z| no more than roll and pitch together.
    pub fn low(&self, balls: &[(Vector3<f64>, f64)]) -> Vec<(Vector3<f64>, f64)> {
        let tilts = self.most.x + self.most.y;
        let below = |(p, r): &(Vector3<f64>, f64), (q, s): &(Vector3<f64>, f64)| {
            let d = q - p;
            d.z - tilts * d.norm() + r - s > 1e-9
        };
        let lowest = [(0.0, 0.0), (-1.0, -1.0), (-1.0, 1.0), (1.0, -1.0), (1.0, 1.0)].map(|(i, k)| {
            let [n, ..] = normal(self.most.component_mul(&Vector2::new(i, k)));
            let height = |b: &&(Vector3<f64>, f64)| n.dot(&b.0) - b.1;
            balls.iter().min_by(|a, b| height(a).total_cmp(&height(b))).copied()
        });
        let under_none = |b: &&(Vector3<f64>, f64)| !lowest.iter().flatten().any(|low| below(low, b));
        let mut low: Vec<(Vector3<f64>, f64)> = balls.iter().filter(under_none).copied().collect();
        if low.len() <= FEW {
            let all = low.clone();
            low.retain(|b| !all.iter().any(|other| below(other, b)));
        }
        low.sort_by(|(p, _), (q, _)| p.iter().partial_cmp(q.iter()).unwrap_or(Ordering::Equal));
        low.dedup_by(|(q, s), (p, r)| (*q - *p).norm() < 1e-6 && (*s - *r).abs() < 1e-6);
        low
    }

    /// The height of `q` with the body as low as it goes at this roll and pitch; none where that lifts a wheel.
    fn height(&self, q: Vector3<f64>, tilt: Vector2<f64>) -> Option<f64> {
        let n = normal(tilt);
        let lowest = self.bump.iter().map(|s| s.heave(&n).0).fold(f64::NEG_INFINITY, f64::max);
        let hanging = self.droop.iter().map(|s| s.heave(&n).0).fold(f64::INFINITY, f64::min);
        (lowest <= hanging + NO_DROOP).then(|| n[0].dot(&q) + lowest)
    }

    /// No place of a piece brings `q` lower than this; infinite where all of it lifts a wheel.
    fn bound(&self, q: Vector3<f64>, at: Vector2<f64>, half: Vector2<f64>) -> f64 {
        let n = normal(at);
        let reach = half.x + half.y;
        let square = reach * reach / 2.0;
        let least = |value: f64, slope: Vector2<f64>, bend: f64| value - slope.abs().dot(&half) - bend * square;
        let lifts = self.bump.iter().any(|up| {
            let (most, m) = up.heave(&n);
            self.droop.iter().any(|down| {
                let (lift, d) = down.heave(&n);
                let bend = (up.centre - down.centre).norm() + up.bend(&n[0], reach) + down.bend(&n[0], reach);
                least(most - lift, m - d, bend) > NO_DROOP
            })
        });
        if lifts {
            return f64::INFINITY;
        }
        let own = Vector2::new(n[1].dot(&q), n[2].dot(&q));
        let terms = self.bump.iter().map(|stop| {
            let (heave, slope) = stop.heave(&n);
            least(n[0].dot(&q) + heave, own + slope, (q - stop.centre).norm() + stop.bend(&n[0], reach))
        });
        terms.fold(f64::NEG_INFINITY, f64::max)
    }
}
