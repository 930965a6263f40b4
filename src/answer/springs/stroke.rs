//! A damper's stroke against the wheel's travel.

use serde::Serialize;

use crate::answer::{Study, WorstPose};
use crate::car::Hub;
use crate::motion::{CornerPose, Suspension};

/// No wheel is followed further than this from ride height, mm.
const FURTHEST: f64 = 1000.0;
/// Ends of a linkage, and of a stroke, are found to this, mm of wheel travel.
const FOUND: f64 = 1e-7;

/// A damper's length somewhere in the sweep.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct DamperAt {
    /// Between its mounts.
    pub damper_mm: f64,
    /// Where in the sweep.
    pub at: WorstPose,
}

/// A damper's stroke.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Stroke {
    /// Shortest of the sweep's poses.
    pub shortest: DamperAt,
    /// Longest of the sweep's poses.
    pub longest: DamperAt,
    /// What the shortest is longer than closed; negative where the damper bottoms inside the sweep.
    pub left_closed_mm: Option<f64>,
    /// What the longest is shorter than open; negative where the damper is out of stroke inside the sweep.
    pub left_open_mm: Option<f64>,
    /// Wheel travel at which it is closed, both wheels alike, bump positive; none where the linkage ends before.
    pub closed_at_mm: Option<f64>,
    /// Wheel travel at which it is open, both wheels alike, bump positive; none where the linkage ends before.
    pub open_at_mm: Option<f64>,
    /// Wheel travel down and up at which the linkage, or the rod to the rocker, ends; 1000 mm where it does not before.
    pub linkage_ends_mm: [f64; 2],
}

/// What was met on the way to a linkage's end.
struct Walk {
    /// Travel at which each wanted length is met first.
    met: [Option<f64>; 2],
    end: f64,
}

impl Study {
    /// The stroke of a wheel's damper. None where it has none, or its rocker is out of reach all over the sweep.
    pub(super) fn stroke(&self, hub: Hub) -> Option<Stroke> {
        let (axle, sweep) = (self.gear.axle(hub.axle)?, self.sweep(hub));
        let damper = axle.described.damper?;
        let lengths = sweep.poses.iter().filter_map(|(at, pose)| Some((axle.damper_length(pose)?, *at)));
        let lengths: Vec<_> = lengths.collect();
        let told = |(damper_mm, at): &(f64, _)| DamperAt { damper_mm: *damper_mm, at: WorstPose::at_wheel(sweep, *at) };
        let shortest = told(lengths.iter().min_by(|a, b| a.0.total_cmp(&b.0))?);
        let longest = told(lengths.iter().max_by(|a, b| a.0.total_cmp(&b.0))?);
        let [droop, bump] = [-1.0, 1.0].map(|way| self.walk(axle, hub, way, [damper.closed, damper.open]));
        let nearest = |i: usize| {
            let both = [bump.met[i], droop.met[i]];
            both.into_iter().flatten().min_by(|a, b| a.abs().total_cmp(&b.abs()))
        };
        Some(Stroke {
            shortest,
            longest,
            left_closed_mm: damper.closed.map(|closed| shortest.damper_mm - closed),
            left_open_mm: damper.open.map(|open| open - longest.damper_mm),
            closed_at_mm: nearest(0),
            open_at_mm: nearest(1),
            linkage_ends_mm: [droop.end, bump.end],
        })
    }

    /// Both wheels alike from ride height up (+1) or down (-1) as far as the linkage goes, a millimetre at a time and in
    /// ever shorter steps before its end.
    fn walk(&self, axle: &Suspension, hub: Hub, way: f64, wanted: [Option<f64>; 2]) -> Walk {
        let mut walk = Walk { met: [None; 2], end: 0.0 };
        let Some(ride) = self.gear.ride.axle(hub.axle) else { return walk };
        let raise = |from: &[CornerPose; 2], travel: f64| {
            let wheels = self.gear.raise_axle(from, [travel; 2], 0.0).ok()?;
            Some((axle.damper_length(&wheels[hub.side as usize])?, wheels))
        };
        let Some((mut length, mut wheels)) = raise(ride, 0.0) else { return walk };
        let mut step = 1.0;
        while step > FOUND && walk.end.abs() < FURTHEST {
            let next = walk.end + way * step;
            let Some((longer, there)) = raise(&wheels, next) else {
                step /= 2.0;
                continue;
            };
            for (met, wanted) in walk.met.iter_mut().zip(wanted) {
                let Some(wanted) = wanted.filter(|w| met.is_none() && (length - w) * (longer - w) <= 0.0) else {
                    continue;
                };
                let beyond =
                    |travel| raise(&wheels, travel).is_none_or(|(l, _)| (l - wanted) * (longer - wanted) > 0.0);
                *met = Some(bisect(walk.end, next, beyond));
            }
            (walk.end, length, wheels) = (next, longer, there);
        }
        walk
    }
}

/// Where `beyond` begins to hold between a place where it does not and one where it does.
pub(in crate::answer) fn bisect(mut within: f64, mut past: f64, beyond: impl Fn(f64) -> bool) -> f64 {
    while (past - within).abs() > FOUND {
        let middle = (within + past) / 2.0;
        if beyond(middle) { past = middle } else { within = middle }
    }
    (within + past) / 2.0
}
