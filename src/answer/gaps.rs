//! What touches, or comes too near, in one pose and through the whole sweep.

use nalgebra::{Vector2, Vector3};
use serde::Serialize;

use super::Verdict;
use super::doubt::GapDoubt;
use super::study::{NoAnswer, Study};
use super::words::{self, Told};
use crate::car::{Hub, Shown};
use crate::motion::{Pose, Posed};
use crate::space::{Beside, Kind, Nearest, Place, Proof, Role, Unmeasured, WheelSweep};

/// A gap to the ground that changes by less than this, mm, is told at ride height: half of what is printed.
const ALIKE: f64 = 0.05;

/// So many pairs are named in a note.
const NAMED: usize = 4;

/// What touches.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Gaps {
    /// The worst of the pairs.
    pub verdict: Verdict,
    /// The pose that `here` is measured in.
    pub pose: PoseTold,
    /// The pairs that come within 150 mm (those without a tyre or rim within 40 mm), the one that is shortest of its wanted
    /// gap first.
    pub pairs: Vec<PairGap>,
    /// What else is to be known, of scans and of overlaps as deep as can be told.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub notes: Vec<String>,
    /// Scans that may not lie where they should, each with why.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub beware: Vec<String>,
    /// The pairs that the car file leaves out, with the reason it gives.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub ignored: Vec<Untold>,
}

/// A pair that is not measured.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Untold {
    /// The one part.
    pub a: String,
    /// The other.
    pub b: String,
    /// Why.
    pub why: String,
}

/// A pose in the units of answers.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct PoseTold {
    /// Body over the ground from ride height, positive up.
    pub heave_mm: f64,
    /// Positive when the left side rises.
    pub roll_deg: f64,
    /// Positive nose-down.
    pub pitch_deg: f64,
    /// Positive to the car's left.
    pub rack_mm: f64,
}

impl From<&Pose> for PoseTold {
    fn from(p: &Pose) -> Self {
        Self { heave_mm: p.heave, roll_deg: p.roll.to_degrees(), pitch_deg: p.pitch.to_degrees(), rack_mm: p.rack }
    }
}

/// A gap and where it is measured.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Gap {
    /// Negative is how deep they overlap.
    pub gap_mm: f64,
    /// The witness: a point on each part, `a` first, body frame.
    pub witness_mm: [[f64; 3]; 2],
}

impl Gap {
    /// Of a pair. At the ground it is the pair's first part that is the solid.
    pub(super) fn of(pair: &Place, n: &Nearest) -> Self {
        let witness = if pair.b == Role::Ground { [n.on_solid, n.on_ring] } else { [n.on_ring, n.on_solid] };
        Self { gap_mm: n.gap, witness_mm: witness.map(words::point) }
    }
}

/// Where in the sweep a gap is least.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum WorstPose {
    /// A wheel's travel (bump positive), and the steering's or the other wheel's.
    Wheel {
        /// From ride height, bump positive.
        travel_mm: f64,
        /// Steering travel, positive to the car's left, where the wheel steers.
        #[serde(skip_serializing_if = "Option::is_none")]
        rack_mm: Option<f64>,
        /// The other wheel's travel, where both are on a stiff axle.
        #[serde(skip_serializing_if = "Option::is_none")]
        other_travel_mm: Option<f64>,
    },
    /// A pose of the body.
    Body(PoseTold),
}

/// The least gap of a pair over the sweep.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Worst {
    /// The gap.
    #[serde(flatten)]
    pub gap: Gap,
    /// No pose of the sweep has a smaller gap than this; none where that was not proven.
    pub at_least_mm: Option<f64>,
    /// Where in the sweep.
    pub at: WorstPose,
}

/// Two parts and the gap between them.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PairGap {
    /// A tyre, a rim, or what could scrape on the ground.
    pub a: String,
    /// What it could touch.
    pub b: String,
    /// The pair itself.
    #[serde(skip)]
    pub place: Place,
    /// What `a` is.
    pub kind_a: Kind,
    /// What `b` is.
    pub kind_b: Kind,
    /// Wheel that it happens at, if it does at one.
    pub wheel: Option<Hub>,
    /// The gap that was asked for.
    pub wanted_mm: f64,
    /// In the pose that was asked about; none if too far apart to be told.
    pub here: Option<Gap>,
    /// The least over the sweep.
    pub worst: Worst,
    /// How sure the least gap is, where that was asked.
    #[serde(flatten)]
    pub doubt: Option<GapDoubt>,
    /// Of the least over the sweep.
    pub verdict: Verdict,
}

impl PairGap {
    /// What is left over the wanted gap at worst, mm.
    pub fn in_hand(&self) -> f64 {
        self.worst.gap.gap_mm - self.wanted_mm
    }

    /// How it stands in the pose that was asked about.
    pub fn verdict_here(&self) -> Verdict {
        self.here.map_or(Verdict::Clear, |g| Verdict::of(g.gap_mm, self.wanted_mm))
    }
}

impl Study {
    /// Gaps of all pairs, in one pose and over the sweep.
    ///
    /// # Errors
    /// [`NoAnswer::Pose`] when the pose cannot be taken.
    pub fn gaps(&self, pose: &Pose) -> Result<Gaps, NoAnswer> {
        let here = self.gear.stand(pose).map_err(NoAnswer::Pose)?;
        let wheel = self.sweeps.iter().flat_map(|sweep| {
            let pairs = self.parts.at_wheel(sweep.hub).iter().zip(self.least(sweep.hub));
            pairs.filter_map(|(pair, proof)| Some((pair, worst_at_wheel(sweep, pair, proof)?)))
        });
        let lowest = self.lowest_poses();
        let ground = self.parts.at_ground.iter().filter_map(|pair| Some((pair, self.at_ground(pair, &lowest)?)));
        let mut pairs: Vec<PairGap> =
            wheel.chain(ground).map(|(pair, worst)| self.pair(pair, worst, self.here(pair, &here))).collect();
        pairs.sort_by(|a, b| a.in_hand().total_cmp(&b.in_hand()).then_with(|| (&a.a, &a.b).cmp(&(&b.a, &b.b))));
        let verdict = pairs.iter().map(|p| p.verdict).max().unwrap_or(Verdict::Clear);
        let ignored = self.untold(&self.parts.ignored);
        let worst = pairs.iter().map(|p| (&p.place, p.worst.gap.gap_mm));
        let notes = self.notes.iter().cloned().chain(self.deepest(worst)).collect();
        Ok(Gaps { verdict, pose: pose.into(), pairs, notes, beware: self.beware.clone(), ignored })
    }

    /// A note about the pairs whose gap, mm, is an overlap as deep as can be told; none where there are none.
    pub(super) fn deepest<'a>(&self, gaps: impl Iterator<Item = (&'a Place, f64)>) -> Option<String> {
        let deepest: Vec<&Place> = gaps.filter(|(p, gap)| self.parts.is_deepest(p, *gap)).map(|(p, _)| p).collect();
        let named = |p: &&Place| format!("{} and {}", self.parts.name(p.a), self.parts.name(p.b));
        let named: Vec<String> = deepest.iter().take(NAMED).map(named).collect();
        let more = match deepest.len().saturating_sub(NAMED) {
            0 => String::new(),
            n => format!(", and {n} more"),
        };
        (!named.is_empty()).then(|| {
            format!(
                "As deep as can be told: {}{more}. More may be in it than the depth says, and its pose is one of many as deep.",
                named.join(", ")
            )
        })
    }

    /// The pairs that are left out because they are joined, and how.
    pub fn left_out(&self) -> Vec<Untold> {
        self.untold(&self.parts.left_out)
    }

    fn untold(&self, pairs: &[Unmeasured]) -> Vec<Untold> {
        let told = |p: &Unmeasured| Untold { a: self.parts.name(p.a), b: self.parts.name(p.b), why: p.why.clone() };
        pairs.iter().map(told).collect()
    }

    /// The same pairs measured anew in another pose: cheap enough for every frame of an animation.
    pub fn gaps_in(&self, gaps: &Gaps, here: &Posed) -> Gaps {
        let mut gaps = gaps.clone();
        gaps.pose = (&here.pose).into();
        for pair in &mut gaps.pairs {
            pair.here = self.here(&pair.place, here);
        }
        gaps
    }

    fn pair(&self, place: &Place, worst: Worst, here: Option<Gap>) -> PairGap {
        let (kind_a, kind_b) = (self.parts.kind(place.a), self.parts.kind(place.b));
        PairGap {
            a: self.parts.name(place.a),
            b: self.parts.name(place.b),
            place: *place,
            kind_a,
            kind_b,
            wheel: place.a.hub(),
            wanted_mm: place.wanted,
            here,
            doubt: None,
            verdict: Verdict::of(worst.gap.gap_mm, place.wanted),
            worst,
        }
    }

    fn here(&self, pair: &Place, here: &Posed) -> Option<Gap> {
        match pair.b {
            Role::Ground => self.parts.ground_gap(&self.gear, pair, here),
            _ => self.parts.gap(&self.gear, pair, here.wheel(pair.a.hub()?)?, pair.within),
        }
        .map(|nearest| Gap::of(pair, &nearest))
    }

    fn at_ground(&self, pair: &Place, lowest: &[Posed]) -> Option<Worst> {
        if let Role::Body(i) = pair.a {
            let corner = self.underside().parts.iter().find(|p| p.body == Some(i))?.lowest();
            return Some(Worst {
                gap: Gap::of(pair, &corner.nearest()),
                at_least_mm: corner.at_least_mm,
                at: corner.at,
            });
        }
        let gap = |p| Some((self.parts.ground_gap(&self.gear, pair, p)?, p));
        let least = lowest.iter().filter_map(gap).min_by(|a, b| a.0.gap.total_cmp(&b.0.gap))?;
        // What an axle carries keeps its height but for what the tyres lean.
        let ride = lowest.first().and_then(gap).filter(|ride| ride.0.gap < least.0.gap + ALIKE);
        let (nearest, posed) = ride.unwrap_or(least);
        Some(Worst { gap: Gap::of(pair, &nearest), at_least_mm: None, at: WorstPose::Body((&posed.pose).into()) })
    }

    /// For what moves with the wheels: the body as low as the bump travel lets it, level, at the ends of roll and pitch,
    /// and where it brings a fixed part lowest. Heights are as good as linear in heave, roll and pitch, but for where the
    /// body comes from one bump stop to the next, and there the fixed parts are lowest too. Roll and pitch end where the
    /// sweep says, or before that where one wheel is at the end of its bump and another at the end of its droop.
    fn lowest_poses(&self) -> Vec<Posed> {
        let sweep = &self.car.sweep;
        let mut poses = vec![self.gear.ride.clone()];
        poses.extend(self.underside().parts.iter().filter_map(|p| match p.lowest().at {
            WorstPose::Body(at) => self.lowest(at.roll_deg.to_radians(), at.pitch_deg.to_radians()),
            WorstPose::Wheel { .. } => None,
        }));
        for roll in [-1.0, 0.0, 1.0].map(|k| k * sweep.roll) {
            for pitch in [-1.0, 0.0, 1.0].map(|k| k * sweep.pitch) {
                // Where both are too much together, the one ends before the other does, and either may.
                match self.lowest(roll, pitch) {
                    Some(posed) => poses.push(posed),
                    None => {
                        poses.extend(furthest(|part| self.lowest(part * roll, pitch)));
                        poses.extend(furthest(|part| self.lowest(roll, part * pitch)));
                    }
                }
            }
        }
        poses
    }

    /// The body at a roll and pitch, lowered until the first wheel is at the end of its bump travel. None where that
    /// takes the other beyond its droop, or the linkage cannot follow.
    pub(super) fn lowest(&self, roll: f64, pitch: f64) -> Option<Posed> {
        let stand = |heave: f64| self.gear.stand(&Pose { heave, roll, pitch, rack: 0.0 }).ok();
        // How far each wheel is beyond its bump and beyond its droop.
        let beyond = |p: &Posed| {
            let each = p.wheels().map(|wheel| {
                let [bump, droop] = self.car.sweep.travel(wheel.hub.axle);
                let travel = self.gear.travel(wheel);
                [travel - bump, -droop - travel]
            });
            each.fold([f64::MIN; 2], |most, [up, down]| [most[0].max(up), most[1].max(down)])
        };
        // Travel follows heave about one for one: started from where wheel centres fixed to the body would be, no wheel is
        // brought far beyond its bump on the way, and a few corrections settle it.
        let level = self.gear.ground(&Pose { roll, pitch, ..Pose::default() });
        let over = self.gear.ride.wheels().map(|wheel| {
            let [bump, _] = self.car.sweep.travel(wheel.hub.axle);
            let at = wheel.wheel_centre;
            self.gear.ride.ground.height(at) - level.height(at) - bump
        });
        let mut posed = stand(over.fold(f64::MIN, f64::max))?;
        for _ in 0..20 {
            let [over, _] = beyond(&posed);
            if over.abs() < 1e-6 {
                break;
            }
            posed = stand(posed.pose.heave + over)?;
        }
        // Two sides measured apart do not travel quite alike: a tenth of a millimetre is no droop.
        (beyond(&posed)[1] < 0.1).then_some(posed)
    }

    /// The pose of the whole car that brings one wheel to a place of its sweep, for showing it there: with the body
    /// level, or on a stiff axle rolled so that the other wheel has its travel too.
    pub fn pose_at(&self, hub: Hub, at: Vector2<f64>) -> Option<Pose> {
        let beside = self.sweep(hub).beside;
        let mut pose = Pose { rack: if beside == Beside::Steering { at.y } else { 0.0 }, ..Pose::default() };
        for _ in 0..40 {
            let posed = self.gear.stand(&pose).ok()?;
            let [left, right] = posed.axle(hub.axle)?;
            let (own, other) = if hub.side == crate::car::Side::Left { (left, right) } else { (right, left) };
            let over = self.gear.travel(own) - at.x;
            let over_there = if beside == Beside::OtherWheel { self.gear.travel(other) - at.y } else { over };
            if over.abs().max(over_there.abs()) < 1e-6 {
                return Some(pose);
            }
            pose.heave += (over + over_there) / 2.0;
            // A roll that lifts the left side lets the left wheel droop.
            pose.roll += hub.side.sign() * (over - over_there) / (left.wheel_centre.y - right.wheel_centre.y);
        }
        None
    }
}

/// What there is at the furthest part of a way, 0 to 1, at which there is something; none where there is nothing at 0.
pub(crate) fn furthest(at: impl Fn(f64) -> Option<Posed>) -> Option<Posed> {
    let (mut held, mut within, mut beyond) = (at(0.0)?, 0.0, 1.0);
    for _ in 0..40 {
        let middle = (within + beyond) / 2.0;
        match at(middle) {
            Some(posed) => (held, within) = (posed, middle),
            None => beyond = middle,
        }
    }
    Some(held)
}

fn worst_at_wheel(sweep: &WheelSweep, pair: &Place, proof: &Proof) -> Option<Worst> {
    let least = proof.least?;
    let at_least_mm = Some(proof.at_least).filter(|bound| bound.is_finite());
    Some(Worst { gap: Gap::of(pair, &least.nearest), at_least_mm, at: WorstPose::at_wheel(sweep, least.at) })
}

impl Told for Gaps {
    fn sentence(&self, shown: Shown) -> String {
        words::beware(self.says(shown), &self.beware)
    }
}

impl Gaps {
    fn says(&self, shown: Shown) -> String {
        let ride = self.pose.heave_mm == 0.0
            && self.pose.roll_deg == 0.0
            && self.pose.pitch_deg == 0.0
            && self.pose.rack_mm == 0.0;
        let pose = if ride { "at ride height" } else { "in this pose" };
        let here = |p: &PairGap| p.here.map_or(f64::INFINITY, |g| g.gap_mm);
        let deepest = self.pairs.iter().min_by(|a, b| here(a).total_cmp(&here(b)));
        let touching = self.pairs.iter().filter(|p| p.verdict == Verdict::Touches).count();
        if let Some(p) = deepest.filter(|p| here(p) < 0.0) {
            let more = match touching {
                0 | 1 => String::new(),
                n => format!("; {n} pairs touch somewhere in the sweep"),
            };
            return format!("{} {pose}{more}.", p.says(here(p), shown));
        }
        let Some(worst) = self.pairs.first() else {
            return "Nothing comes within 150 mm of anything.".to_owned();
        };
        let says = worst.says_worst(shown);
        let wanted = shown.length(worst.wanted_mm);
        match (worst.verdict, self.unsure()) {
            (Verdict::Touches, _) => {
                let deepest = self.pairs.iter().min_by(|a, b| a.worst.gap.gap_mm.total_cmp(&b.worst.gap.gap_mm));
                let says = deepest.unwrap_or(worst).says_worst(shown);
                format!("Nothing touches {pose}, but in the sweep {says}.")
            }
            (Verdict::Short, Some(unsure)) if unsure.touches => {
                format!("Nothing touches as measured, but {says}: {wanted} are wanted. {}", unsure.told(worst, shown))
            }
            (Verdict::Short, _) => format!("Nothing touches, but {says}: {wanted} are wanted."),
            (Verdict::Clear, Some(unsure)) => {
                format!("Clear as measured, but not surely. {}", unsure.told(worst, shown))
            }
            (Verdict::Clear, None) => {
                let over = shown.length(worst.in_hand());
                format!("All clear: the tightest is {over} over its wanted {wanted}, where {says}.")
            }
        }
    }

    /// The pair, not told as touching, whose doubt likeliest takes it under nought; without one, under its wanted gap.
    fn unsure(&self) -> Option<Unsure<'_>> {
        let under = |touches: bool| {
            let chance = |pair: &PairGap| {
                let limit = if touches { 0.0 } else { pair.wanted_mm };
                let (gap, doubt) = (pair.worst.gap.gap_mm, pair.doubt?);
                let reaches = gap >= limit && gap - doubt.doubt_mm < limit;
                reaches.then(|| doubt.chance_of_less(gap, limit))
            };
            let all: Vec<_> = self.pairs.iter().filter_map(|pair| Some((chance(pair)?, pair))).collect();
            let (chance, pair) = *all.iter().max_by(|a, b| a.0.total_cmp(&b.0))?;
            Some(Unsure { pair, touches, chance, more: all.len() - 1 })
        };
        under(true).or_else(|| under(false))
    }
}

/// A pair that is clear as it was measured, but not as far as it was measured.
struct Unsure<'a> {
    pair: &'a PairGap,
    /// Under nought, rather than under its wanted gap.
    touches: bool,
    /// That it is, 0 to 1.
    chance: f64,
    /// Other pairs of which the same is to be said.
    more: usize,
}

impl Unsure<'_> {
    /// After a sentence about `told`, which need not be said again.
    fn told(&self, told: &PairGap, shown: Shown) -> String {
        let Self { pair, touches, chance, more } = self;
        let give = pair.doubt.map_or_else(String::new, |d| shown.length(d.doubt_mm));
        let chance = words::chance(*chance);
        let may = if *touches {
            format!("it may touch ({chance})")
        } else {
            format!("it may be short of its wanted {} ({chance})", shown.length(pair.wanted_mm))
        };
        let others = match more {
            0 => String::new(),
            1 => "; so may another pair".to_owned(),
            n => format!("; so may {n} other pairs"),
        };
        if told.verdict == Verdict::Short && std::ptr::eq(*pair, told) {
            return format!("Give or take {give} {may}{others}.");
        }
        format!("{}, give or take {give}: {may}{others}.", words::capital(&pair.says_worst(shown)))
    }
}

impl PairGap {
    /// Where in the sweep its gap is least.
    pub fn least_at(&self, shown: Shown) -> String {
        if self.place.moves() { self.worst.at.told(shown) } else { "every pose alike".to_owned() }
    }

    /// `the left front tyre is 14.0 mm into the left upper rail at 45.0 mm bump`, at its worst.
    fn says_worst(&self, shown: Shown) -> String {
        let at =
            if self.place.moves() { format!("at {}", self.worst.at.told(shown)) } else { "in every pose".to_owned() };
        format!("{} {at}", uncapital(&self.says(self.worst.gap.gap_mm, shown)))
    }

    /// `The left front tyre is 14.0 mm into the left upper rail`.
    pub fn says(&self, gap_mm: f64, shown: Shown) -> String {
        let length = shown.length(gap_mm.abs());
        let apart = if gap_mm < 0.0 { "into" } else { "from" };
        format!("The {} is {length} {apart} the {}", self.a, self.b)
    }
}

impl WorstPose {
    /// A place of a wheel's sweep.
    pub(super) fn at_wheel(sweep: &WheelSweep, at: Vector2<f64>) -> Self {
        let only = |beside| (sweep.beside == beside).then_some(at.y);
        Self::Wheel { travel_mm: at.x, rack_mm: only(Beside::Steering), other_travel_mm: only(Beside::OtherWheel) }
    }

    /// `45.0 mm bump with the rack 60.0 mm to the left`.
    pub fn told(&self, shown: Shown) -> String {
        match self {
            Self::Wheel { travel_mm, rack_mm, other_travel_mm } => {
                let rack = rack_mm.map(|mm| format!(" with {}", words::rack(mm, shown)));
                let other = other_travel_mm.map(|mm| format!(" with the other wheel at {}", words::travel(mm, shown)));
                format!("{}{}", words::travel(*travel_mm, shown), rack.or(other).unwrap_or_default())
            }
            Self::Body(p) => {
                let tilt = |deg: f64, positive: &str, negative: &str| {
                    (deg.abs() > 0.005)
                        .then(|| format!(", {:.1} deg {}", deg.abs(), if deg > 0.0 { positive } else { negative }))
                };
                let level = format!(
                    "the body {} {}",
                    shown.length(p.heave_mm.abs()),
                    if p.heave_mm < 0.0 { "down" } else { "up" }
                );
                format!(
                    "{level}{}{}",
                    tilt(p.roll_deg, "of roll to the right", "of roll to the left").unwrap_or_default(),
                    tilt(p.pitch_deg, "nose down", "nose up").unwrap_or_default(),
                )
            }
        }
    }
}

fn uncapital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_lowercase().chain(letters).collect())
}

/// A witness point as a vector, mm.
pub fn vector(p: [f64; 3]) -> Vector3<f64> {
    Vector3::new(p[0], p[1], p[2])
}
