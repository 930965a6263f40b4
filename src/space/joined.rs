//! Which parts are joined, and where: what is joined touches by design there, and nowhere else.
//!
//! A part lies near a pickup because it is its mount, or because somebody put it there. What tells them apart is where the
//! two touch: at a mount only where the arm leaves it.

use nalgebra::Vector3;

use super::apart::{apart, segment_triangle};
use super::moving::{Bars, Moving, Spot};
use super::nearest::{Few, Shape};
use super::parts::{Kind, Parts, Role};
use super::solid::{Bar, Facet, Solid};
use crate::car::{Axle, PointName};
use crate::motion::{Carrier, CornerPose, Drive, Suspension};

/// What of a part lies within this of where it is joined belongs to the joint, mm: half of a rail or tube of up to 80 mm, and
/// a bracket's leaves beside it, which an arm leaves by 45 degrees at the flattest (common practice, no source).
const AT_JOINT: f64 = 60.0;
/// A damper or coil stands in its tower by up to this much of its length: so far down a tower's sheet reaches around it
/// (common practice, no source).
const IN_TOWER: f64 = 1.0 / 3.0;

/// An axle whose joints are looked for, and both its wheels as measured. What are joints there are joints in any pose.
pub(super) struct Jointed {
    axle: Suspension,
    poses: [CornerPose; 2],
    /// Either wheel as measured and at the ends of its travel, as far as the linkage goes there.
    ends: [Vec<CornerPose>; 2],
}

/// Where two parts are joined.
struct Joint {
    why: String,
    at: Spot,
    /// What of the two lies within this of it belongs to the joint, mm.
    reach: f64,
}

impl Jointed {
    /// An axle of this bump and droop travel.
    pub(super) fn new(axle: Suspension, [bump, droop]: [f64; 2]) -> Self {
        let poses = axle.as_measured();
        let ends = poses.map(|pose| {
            let to = |travel: f64| axle.alone(&pose, 0.0, Drive::Height(pose.wheel_centre.z + travel)).ok();
            [Some(pose), to(bump), to(-droop)].into_iter().flatten().collect()
        });
        Self { axle, poses, ends }
    }

    fn described(&self) -> &Axle {
        &self.axle.described
    }

    /// Where two moving parts are joined.
    fn joints(&self, one: &Moving, other: &Moving, pose: &CornerPose) -> Vec<Joint> {
        let at = |name: PointName| self.axle.at(pose, name);
        let mut joints = Vec::new();
        let mut join = |name, why: String| {
            let hub = if name == PointName::WheelCentre { Moving::HUB } else { 0.0 };
            joints.push(Joint { why, at: Spot::At(name), reach: AT_JOINT + hub });
        };
        for (name, _) in one.points().filter(|(name, _)| other.points().any(|(n, _)| n == *name)) {
            join(name, format!("they share the {}", name.words()));
        }
        for (carrying, carried) in [(one, other), (other, one)] {
            let Some(carrier) = carrying.carries else { continue };
            for (name, _) in carried.points().filter(|(name, _)| self.axle.carrier(*name) == carrier) {
                join(name, format!("the {} is mounted on the {}", carried.name, carrying.name));
            }
        }
        let joint = self.described().arms.joint;
        let near = |p: PointName, q: PointName| Some((at(p)? - at(q)?).norm() < joint);
        for (p, _) in one.points() {
            for (q, _) in other.points().filter(|(q, _)| near(p, *q) == Some(true)) {
                join(p, format!("the {} and the {} lie within a joint's diameter", p.words(), q.words()));
            }
        }
        joints
    }

    /// Where a moving part is bolted to the body within a joint's diameter of a part of it.
    fn bolts(&self, one: &Moving, solid: &Solid, pose: &CornerPose) -> Vec<Joint> {
        let joint = self.described().arms.joint;
        // What spans the car has points on both sides.
        let sides = self.poses.iter().filter(|p| one.single || p.hub == pose.hub);
        let ends = sides.flat_map(|pose| one.points().map(move |(name, r)| (pose, name, r)));
        let bolted = |(at_side, name, radius): (&CornerPose, PointName, f64)| {
            let at = self.axle.at(at_side, name).filter(|_| self.axle.carrier(name) == Carrier::Body)?;
            let point = Bar { a: at, b: at, radius: 0.0 };
            // A coil may stand free of what is beside its seat: it stands on what is at the seat's middle.
            let near = if one.kind == Kind::Spring { joint } else { radius + joint };
            apart(&[point], solid, near)?;
            let long = |name| Some((self.axle.at(pose, name)? - at).norm());
            let reach = match one.kind {
                Kind::Damper | Kind::Spring => {
                    one.points().filter_map(|(name, _)| long(name)).fold(0.0, f64::max) * IN_TOWER
                }
                _ => 0.0,
            };
            let at = if at_side.hub == pose.hub { Spot::At(name) } else { Spot::Across(name) };
            Some(Joint { why: format!("the {} is on it", name.words()), at, reach: reach.max(AT_JOINT) })
        };
        ends.filter_map(bolted).collect()
    }
}

impl Parts {
    /// Why two parts are joined, if they are: they share a point, or one is mounted on the other, or ends of theirs lie
    /// within a joint's diameter of each other, or one is bolted to the body where the other is. Parts that meet away from
    /// where they are joined, at ride height or at an end of the travel, are not left out for it.
    pub(super) fn joined(&self, jointed: &Jointed, a: Role, b: Role) -> Option<String> {
        let Role::Moving(hub, i) = a else { return None };
        let (one, axle) = (&self.moving(hub)[i], &jointed.axle);
        let pose = &jointed.poses[hub.side as usize];
        let joints = match b {
            Role::Moving(_, j) => jointed.joints(one, &self.moving(hub)[j], pose),
            Role::Body(k) => jointed.bolts(one, &self.body[k].solid, pose),
            _ => Vec::new(),
        };
        let why = joints.first()?.why.clone();
        // A driveshaft and the tube of a stiff axle both go from hub to hub: where the tube is led around the shaft, or has it
        // inside, is not described.
        if let Role::Moving(_, j) = b
            && one.joined
            && self.moving(hub)[j].joined
        {
            return Some(why);
        }
        let meet = |pose: &CornerPose| {
            let places = joints.iter().filter_map(|j| Some((j.at.at(axle, pose)?, j.reach))).collect::<Vec<_>>();
            let ours = Away::new(&one.bars(axle, pose)?, &places);
            match b {
                Role::Moving(_, j) => Some(ours.meets(&self.moving(hub)[j].bars(axle, pose)?)),
                Role::Body(k) => Some(ours.meets(&*self.body[k].solid)),
                _ => None,
            }
        };
        jointed.ends[hub.side as usize].iter().all(|pose| meet(pose) != Some(true)).then_some(why)
    }
}

/// What of a part lies away from its joints.
struct Away {
    bars: Vec<Bar>,
    plate: Option<Facet>,
}

impl Away {
    /// Further from each place than its reach, mm.
    fn new(bars: &Bars, places: &[(Vector3<f64>, f64)]) -> Self {
        let mut left: Vec<Bar> = bars.to_vec();
        for (at, reach) in places {
            left = left.iter().flat_map(|bar| outside(bar, *at, reach + bar.radius)).collect();
        }
        // A plate's edges are bars or lie between them: where a joint is near it they tell enough.
        let near = |plate: &Facet, at: Vector3<f64>, reach: f64| {
            let [p, q] = segment_triangle([at; 2], &plate.corners);
            (p - q).norm() < reach + plate.radius
        };
        let clear = |plate: &&Facet| !places.iter().any(|(at, reach)| near(plate, *at, *reach));
        Self { bars: left, plate: bars.plate().filter(clear).copied() }
    }

    /// Whether it touches another part or is within it.
    fn meets<'a>(&self, other: impl Into<Shape<'a>>) -> bool {
        let ours = Few { bars: &self.bars, plate: self.plate.as_ref() };
        apart(ours, other, f64::MIN_POSITIVE).is_some()
    }
}

/// What of a bar's axis lies further from a place than this, mm.
fn outside(bar: &Bar, at: Vector3<f64>, reach: f64) -> impl Iterator<Item = Bar> {
    let (bar, way, from) = (*bar, bar.b - bar.a, bar.a - at);
    let (long, along) = (way.norm_squared(), way.dot(&from));
    let root = (along * along - long * (from.norm_squared() - reach * reach)).max(0.0).sqrt();
    // The shares of its way at which it enters and leaves; a ball is within or not.
    let [enters, leaves] = if long > 0.0 {
        [-along - root, -along + root].map(|s| (s / long).clamp(0.0, 1.0))
    } else if from.norm() < reach {
        [0.0, 1.0]
    } else {
        [1.0, 1.0]
    };
    let on = move |share: f64| bar.a + way * share;
    let before = (enters > 0.0).then(|| Bar { b: on(enters), ..bar });
    let behind = (leaves < 1.0).then(|| Bar { a: on(leaves), ..bar });
    before.into_iter().chain(behind)
}
