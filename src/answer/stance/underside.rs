//! The underside: how near the splitter and every other fixed part come to the ground in the sweep, what gap the splitter
//! needs to stand with, and what scrapes first as the body comes down.
//!
//! What holds of a part is found at its corners: see the head of `src/space/settle.rs` for why, and for the proof.

use nalgebra::Vector3;
use rayon::prelude::*;
use serde::Serialize;

use super::place;
use crate::answer::{Study, Verdict, WorstPose, words};
use crate::car::{AxleName, Shown};
use crate::motion::{Plane, Pose, Posed};
use crate::space::{Kind, Nearest, Settled, Settling};

/// Of a part with more low corners than this only the lowest is told.
const MANY: usize = 16;

/// The underside over the whole sweep.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Underside {
    /// What is fixed to the body, that with the least in hand first.
    pub parts: Vec<LowPart>,
    /// What the splitter needs; none where there is no splitter.
    pub splitter: Option<SplitterGap>,
    /// Parts in the order in which they scrape as the body comes down level, as far as the linkage lets it.
    pub scrapes: Vec<Scrape>,
}

/// A fixed part over the ground.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LowPart {
    /// As it is spoken.
    pub part: String,
    /// Which part of the body it is; none for a datum.
    #[serde(skip)]
    pub body: Option<usize>,
    /// Whether it is the splitter.
    #[serde(skip)]
    pub splitter: bool,
    /// The gap that was asked for; nothing for panels and datums, which only must not touch.
    pub wanted_mm: f64,
    /// Of the least over the sweep.
    pub verdict: Verdict,
    /// Its corners that may be lowest in some pose, the one that comes lowest first.
    pub corners: Vec<LowCorner>,
    /// How many more there are, none of which comes lower.
    pub more: usize,
}

/// A corner over the ground.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct LowCorner {
    /// Its underside, body frame.
    pub at_mm: [f64; 3],
    /// Over the ground in the pose that was asked about.
    pub here_mm: f64,
    /// Over the ground at ride height.
    pub ride_mm: f64,
    /// The least over the sweep; negative under the ground.
    pub least_mm: f64,
    /// No pose of the sweep brings it lower; none where a stiff axle is in the way of the proof.
    pub at_least_mm: Option<f64>,
    /// Where in the sweep it is least.
    pub at: WorstPose,
    /// The ground as the body sees it there.
    #[serde(skip)]
    ground: Plane,
    /// Middle of the ball that it is, body frame, mm.
    #[serde(skip)]
    middle: Vector3<f64>,
    /// The ball's radius, mm.
    #[serde(skip)]
    radius: f64,
}

/// The gap that the splitter stands with and the one that it needs, both at ride height at its lowest corner.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct SplitterGap {
    /// As it stands.
    pub static_mm: f64,
    /// So that it never comes nearer to the ground than was asked for.
    pub needed_mm: f64,
    /// What was asked for.
    pub wanted_mm: f64,
}

/// Where a part first scrapes.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Scrape {
    /// The part.
    pub part: String,
    /// How far the body comes down for it from ride height, level; negative where the part is in the ground already.
    pub drop_mm: f64,
    /// Its place that scrapes, body frame.
    pub at_mm: [f64; 3],
    /// Wheel travel used by then, front and rear, the greater of both sides; none where there is no such axle.
    pub travel_mm: [Option<f64>; 2],
    /// Whether the bump stops hold the body up before that.
    pub held_up: bool,
}

/// A fixed part while it is looked at.
struct Fixed {
    name: String,
    body: Option<usize>,
    splitter: bool,
    wanted: f64,
    balls: Vec<(Vector3<f64>, f64)>,
}

impl Study {
    /// The underside over the whole sweep. Found once; what is `here` is told for ride height.
    pub fn underside(&self) -> &Underside {
        self.underside.get_or_init(|| {
            let settling = Settling::new(&self.gear, &self.car.sweep);
            let fixed = self.fixed();
            let low = |f: &Fixed| Fixed { balls: settling.low(&f.balls), name: f.name.clone(), ..*f };
            let fixed: Vec<Fixed> = fixed.par_iter().map(low).filter(|f| !f.balls.is_empty()).collect();
            let mut parts: Vec<LowPart> = fixed.par_iter().filter_map(|f| self.low_part(&settling, f)).collect();
            parts.sort_by(|a, b| a.in_hand().total_cmp(&b.in_hand()).then_with(|| a.part.cmp(&b.part)));
            let mut scrapes: Vec<Scrape> = fixed.iter().filter_map(|f| self.scrape(f)).collect();
            scrapes.sort_by(|a, b| a.drop_mm.total_cmp(&b.drop_mm).then_with(|| a.part.cmp(&b.part)));
            let splitter = fixed.iter().find(|f| f.splitter).and_then(|f| self.splitter_gap(&settling, f));
            Underside { parts, splitter, scrapes }
        })
    }

    /// The same with what is `here` told for a pose.
    pub(super) fn underside_in(&self, posed: &Posed) -> Underside {
        let mut underside = self.underside().clone();
        for corner in underside.parts.iter_mut().flat_map(|p| &mut p.corners) {
            corner.here_mm = posed.ground.height(corner.middle) - corner.radius;
        }
        underside
    }

    /// All that is fixed to the body, datums too: each is a place on the shell.
    fn fixed(&self) -> Vec<Fixed> {
        let wanted = &self.car.wanted;
        let parts = self.parts.body.iter().enumerate().map(|(i, part)| {
            let wanted = match part.kind {
                Kind::Splitter => wanted.splitter_to_ground,
                Kind::Panel => 0.0,
                _ => wanted.to_ground,
            };
            let splitter = part.kind == Kind::Splitter;
            Fixed { name: part.name.clone(), body: Some(i), splitter, wanted, balls: part.solid.balls() }
        });
        let datum = |(name, at)| Fixed { name, body: None, splitter: false, wanted: 0.0, balls: vec![(at, 0.0)] };
        parts.chain(self.datums().into_iter().map(datum)).collect()
    }

    fn low_part(&self, settling: &Settling, fixed: &Fixed) -> Option<LowPart> {
        let told = |(middle, radius): (Vector3<f64>, f64), settled: Settled| {
            let [roll, pitch] = [settled.tilt.x, settled.tilt.y];
            // The pose itself, with every wheel on the ground: the same number to rounding, or on a stiff axle the true one.
            let posed = self.lowest(roll, pitch).unwrap_or_else(|| self.gear.ride.clone());
            let (ride, ground) = (self.gear.ride.ground, posed.ground);
            let ride_mm = ride.height(middle) - radius;
            LowCorner {
                at_mm: words::point(middle - ride.normal * radius),
                here_mm: ride_mm,
                ride_mm,
                least_mm: ground.height(middle) - radius,
                at_least_mm: settled.at_least,
                at: WorstPose::Body((&posed.pose).into()),
                ground,
                middle,
                radius,
            }
        };
        let mut corners = Vec::new();
        if fixed.balls.len() <= MANY {
            let each = fixed.balls.iter().filter_map(|b| Some(told(*b, settling.least(b.0, b.1, f64::INFINITY)?)));
            corners.extend(each);
        } else {
            let mut lowest: Option<((Vector3<f64>, f64), Settled)> = None;
            for ball in &fixed.balls {
                let within = lowest.map_or(f64::INFINITY, |(_, s)| s.height);
                lowest = settling.least(ball.0, ball.1, within).map(|s| (*ball, s)).or(lowest);
            }
            corners.extend(lowest.map(|(ball, settled)| told(ball, settled)));
        }
        corners.sort_by(|a: &LowCorner, b| a.least_mm.total_cmp(&b.least_mm));
        let verdict = Verdict::of(corners.first()?.least_mm, fixed.wanted);
        let more = fixed.balls.len() - corners.len();
        let (part, body, splitter) = (fixed.name.clone(), fixed.body, fixed.splitter);
        Some(LowPart { part, body, splitter, wanted_mm: fixed.wanted, verdict, corners, more })
    }

    /// Raised in the body by d, a corner is higher by n_z d in a pose. So that what is wanted stays in every pose, d is the
    /// most over all poses of (wanted - height) / n_z. A step takes the pose that is worst as it stands and raises until that
    /// one is good; since n_z is nearly 1, what another pose then lacks is a thousandth of it, and of that again. Lowered,
    /// the same.
    fn splitter_gap(&self, settling: &Settling, fixed: &Fixed) -> Option<SplitterGap> {
        let mut raised = 0.0;
        for _ in 0..8 {
            let up = Vector3::z() * raised;
            let least = fixed.balls.iter().filter_map(|(q, r)| settling.least(q + up, *r, f64::INFINITY));
            let worst = least.min_by(|a, b| a.height.total_cmp(&b.height))?;
            let posed = self.lowest(worst.tilt.x, worst.tilt.y)?;
            let height = fixed.balls.iter().map(|(q, r)| posed.ground.height(q + up) - r).fold(f64::INFINITY, f64::min);
            let short = fixed.wanted - height;
            raised += short / posed.ground.normal.z;
            if short.abs() < 1e-6 {
                break;
            }
        }
        let ride = &self.gear.ride.ground;
        let stands = fixed.balls.iter().map(|(q, r)| ride.height(*q) - r).fold(f64::INFINITY, f64::min);
        Some(SplitterGap { static_mm: stands, needed_mm: stands + raised, wanted_mm: fixed.wanted })
    }

    /// Coming down level, a place is lower by just what the body is.
    fn scrape(&self, fixed: &Fixed) -> Option<Scrape> {
        let ride = &self.gear.ride.ground;
        let height = |b: &(Vector3<f64>, f64)| ride.height(b.0) - b.1;
        let low = fixed.balls.iter().min_by(|a, b| height(a).total_cmp(&height(b)))?;
        let drop = height(low);
        // What the linkage never lets down so far does not scrape.
        let posed = self.gear.stand(&Pose { heave: -drop, ..Pose::default() }).ok()?;
        let travel = |name| {
            let wheels = posed.axle(name)?;
            Some(wheels.iter().map(|w| self.gear.travel(w)).fold(f64::NEG_INFINITY, f64::max))
        };
        let travel_mm = AxleName::BOTH.map(travel);
        let over = |name: AxleName| travel_mm[name as usize].is_some_and(|t| t > self.car.sweep.travel(name)[0]);
        let held_up = AxleName::BOTH.into_iter().any(over);
        let at_mm = words::point(low.0 - ride.normal * low.1);
        Some(Scrape { part: fixed.name.clone(), drop_mm: drop, at_mm, travel_mm, held_up })
    }
}

impl LowCorner {
    /// `(790.0, 0.0, 170.0) mm`.
    pub fn told(&self, shown: Shown) -> String {
        place(self.at_mm, shown)
    }

    /// Its least gap to the ground and where, body frame, mm.
    pub(in crate::answer) fn nearest(&self) -> Nearest {
        let n = self.ground.normal;
        let on_solid = self.middle - n * self.radius;
        Nearest { gap: self.least_mm, on_solid, on_ring: on_solid - n * self.least_mm }
    }
}

impl LowPart {
    /// The corner that comes lowest.
    pub fn lowest(&self) -> &LowCorner {
        &self.corners[0]
    }

    /// What is left over the wanted gap at worst, mm.
    pub fn in_hand(&self) -> f64 {
        self.lowest().least_mm - self.wanted_mm
    }
}

impl Underside {
    /// The worst of the parts.
    pub fn verdict(&self) -> Verdict {
        self.parts.iter().map(|p| p.verdict).max().unwrap_or(Verdict::Clear)
    }

    /// What the sweep does to the underside, in one clause; none where nothing is described that could touch.
    pub fn clause(&self, shown: Shown) -> Option<String> {
        let part = self.parts.first()?;
        let low = part.lowest();
        let least = shown.length(low.least_mm.abs());
        let place = if low.least_mm < 0.0 {
            format!("goes {least} into the ground")
        } else {
            format!("comes within {least} of the ground")
        };
        let wanted = match part.verdict {
            Verdict::Clear => String::new(),
            _ if part.wanted_mm > 0.0 => format!(", where {} are wanted", shown.length(part.wanted_mm)),
            _ => String::new(),
        };
        let searched = if self.is_proven() { "" } else { ", as searched and not proven" };
        Some(format!(
            "of what is fixed to the body, in the sweep the {} {place}{searched}, {}{wanted}",
            part.part,
            low.at.told(shown)
        ))
    }

    /// Whether the least heights are proven: a stiff axle, whose wheels do not move each by itself, is in the way of that.
    pub fn is_proven(&self) -> bool {
        self.parts.iter().flat_map(|p| &p.corners).all(|corner| corner.at_least_mm.is_some())
    }

    /// What the splitter needs, in one clause.
    pub fn need(&self, shown: Shown) -> Option<String> {
        let gap = self.splitter?;
        let (needs, has) = (shown.length(gap.needed_mm), shown.length(gap.static_mm));
        let keep = shown.length(gap.wanted_mm);
        Some(format!("to keep {keep} the splitter needs a static gap of {needs} and has {has}"))
    }
}

impl Scrape {
    /// `front 45.0 mm bump, rear 46.1 mm bump`, and whether the bump stops come first.
    pub fn told(&self, shown: Shown) -> String {
        let used = AxleName::BOTH
            .iter()
            .zip(self.travel_mm)
            .filter_map(|(axle, travel)| Some(format!("{} {}", axle.word(), words::travel(travel?, shown))));
        let used = used.collect::<Vec<_>>().join(", ");
        if self.held_up { format!("{used}: the bump stops hold it up before that") } else { used }
    }
}
