//! What springs, dampers and anti-roll bars make of the wheels' travel, and how far joints swing in it.

mod bar;
mod joints;
mod stroke;

use serde::Serialize;

use super::study::Study;
use super::words::{self, Told};
use super::{Verdict, words::capital};
use crate::car::{AxleName, Hub, Shown, Side};
use crate::motion::{Mode, Quantity};

pub use bar::BarRate;
pub use joints::{JointSwing, Unreached};
pub(super) use stroke::bisect;
pub use stroke::{DamperAt, Stroke};

/// What springs, dampers and bars make of the wheels' travel.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Springs {
    /// Short where a rod does not reach, a damper is at the end of its stroke inside the sweep, or a joint swings too
    /// far.
    pub verdict: Verdict,
    /// The wheels, front first, left first.
    pub wheels: Vec<WheelSprings>,
    /// Anti-roll bars.
    pub bars: Vec<BarRate>,
    /// The wheel whose damper is closed first as the body comes down level.
    pub bottoms_first: Option<Bottoms>,
    /// Rods that do not reach all over the sweep.
    pub unreached: Vec<Unreached>,
    /// Every joint's largest swing, the largest first.
    pub joints: Vec<JointSwing>,
}

/// A wheel's damper and lever over its travel.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WheelSprings {
    /// Its axle.
    pub axle: AxleName,
    /// Its side.
    pub side: Side,
    /// At full bump, ride height and full droop, both wheels alike.
    pub heights: [AtHeight; 3],
    /// The damper's stroke, where it has a damper.
    pub stroke: Option<Stroke>,
}

/// A damper and a lever at one wheel travel. What the axle does not have, or its rod does not reach, is none.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct AtHeight {
    /// Wheel travel from ride height, bump positive, both wheels alike.
    pub travel_mm: f64,
    /// Between the damper's mounts.
    pub damper_mm: Option<f64>,
    /// Share of the stroke from open to closed that is used.
    pub stroke_percent: Option<f64>,
    /// Damper travel over wheel travel, both wheels moving alike.
    pub motion_ratio: Option<f64>,
    /// The same with the other wheel moving as far the other way; told of stiff axles, elsewhere it is no other.
    pub motion_ratio_roll: Option<f64>,
    /// Spring travel over wheel travel, both wheels moving alike: the motion ratio, or the spring's own where it stands
    /// apart.
    pub spring_ratio: Option<f64>,
    /// Wheel rate for each unit of spring rate: that ratio squared. What the spring's own force adds where the ratio
    /// changes with travel is not in it.
    pub wheel_rate: Option<f64>,
    /// The same in roll, of stiff axles.
    pub wheel_rate_roll: Option<f64>,
    /// Of the anti-roll bar's lever from where it was measured, its end rising positive.
    pub lever_deg: Option<f64>,
    /// Travel of the lever's end over wheel travel, the other wheel moving as far the other way.
    pub bar_ratio: Option<f64>,
}

/// A damper that closes.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Bottoms {
    /// The wheel's axle.
    pub axle: AxleName,
    /// Its side; none where both sides close within 0.05 mm of travel.
    pub side: Option<Side>,
    /// Wheel travel at which it is closed, bump positive.
    pub travel_mm: f64,
    /// Of that, what lies beyond the sweep; negative inside it.
    pub beyond_sweep_mm: f64,
}

impl Study {
    /// What springs, dampers and bars make of the wheels' travel, and how far the joints swing.
    pub fn springs(&self) -> Springs {
        let hubs: Vec<Hub> = self.gear.hubs().collect();
        let wheels: Vec<WheelSprings> = hubs.iter().map(|hub| self.wheel_springs(*hub)).collect();
        let unreached: Vec<Unreached> = hubs.iter().flat_map(|hub| self.unreached(*hub)).collect();
        let mut joints: Vec<JointSwing> = hubs.iter().flat_map(|hub| self.joint_swings(*hub)).collect();
        joints.sort_by(JointSwing::order);
        let at_end = |w: &WheelSprings| {
            let [bump, droop] = self.car.sweep.travel(w.axle);
            w.stroke.is_some_and(|s| {
                let past = [s.left_closed_mm, s.left_open_mm].into_iter().flatten().any(|mm| mm < 0.0);
                let met = |mm: f64| (-droop..bump).contains(&mm);
                past || [s.closed_at_mm, s.open_at_mm].into_iter().flatten().any(met)
            })
        };
        let short =
            !unreached.is_empty() || wheels.iter().any(at_end) || joints.iter().any(|j| j.verdict != Verdict::Clear);
        Springs {
            verdict: if short { Verdict::Short } else { Verdict::Clear },
            bottoms_first: self.bottoms_first(&wheels),
            bars: AxleName::BOTH.into_iter().filter_map(|name| self.bar_rate(name)).collect(),
            wheels,
            unreached,
            joints,
        }
    }

    fn wheel_springs(&self, hub: Hub) -> WheelSprings {
        let [bump, droop] = self.car.sweep.travel(hub.axle);
        let heights = [bump, 0.0, -droop].map(|travel| self.at_height(hub, travel));
        WheelSprings { axle: hub.axle, side: hub.side, heights, stroke: self.stroke(hub) }
    }

    fn at_height(&self, hub: Hub, travel: f64) -> AtHeight {
        let axle = self.gear.of(self.gear.ride(hub));
        let ride = self.gear.ride.axle(hub.axle);
        let pose =
            ride.and_then(|ride| self.gear.raise_axle(ride, [travel; 2], 0.0).ok()).map(|w| w[hub.side as usize]);
        let of = |value: &dyn Fn(&_) -> Option<f64>| pose.as_ref().and_then(value);
        let damper = of(&|pose| axle.damper_length(pose));
        let ends = axle.described.damper.and_then(|d| d.open.zip(d.closed));
        let ratio = of(&|pose| axle.motion_ratio(pose, Mode::Heave));
        let in_roll = of(&|pose| axle.motion_ratio(pose, Mode::Roll)).filter(|_| !axle.independent());
        let spring = |mode| of(&|pose| axle.spring_ratio(pose, mode));
        let squared = |mode| spring(mode).map(|r: f64| r * r);
        AtHeight {
            travel_mm: travel,
            damper_mm: damper,
            stroke_percent: damper.zip(ends).map(|(d, (open, closed))| (open - d) / (open - closed) * 100.0),
            motion_ratio: ratio,
            motion_ratio_roll: in_roll,
            spring_ratio: spring(Mode::Heave),
            wheel_rate: squared(Mode::Heave),
            wheel_rate_roll: squared(Mode::Roll).filter(|_| !axle.independent()),
            lever_deg: of(&|pose| axle.lever_angle(pose)).map(|a| Quantity::LeverAngle.told(a)),
            bar_ratio: of(&|pose| axle.bar_ratio(pose, Mode::Roll)),
        }
    }

    fn bottoms_first(&self, wheels: &[WheelSprings]) -> Option<Bottoms> {
        let closed = |w: &WheelSprings| w.stroke.and_then(|s| s.closed_at_mm);
        // As the body comes down: one that a wheel's droop closes does not bottom.
        let closing = || wheels.iter().filter_map(|w| Some((w, closed(w).filter(|mm| *mm > 0.0)?)));
        let (first, travel_mm) = closing().min_by(|a, b| a.1.total_cmp(&b.1))?;
        let alike = closing().filter(|(w, mm)| w.axle == first.axle && mm - travel_mm < 0.05).count() > 1;
        let [bump, _] = self.car.sweep.travel(first.axle);
        let side = (!alike).then_some(first.side);
        Some(Bottoms { axle: first.axle, side, travel_mm, beyond_sweep_mm: travel_mm - bump })
    }
}

impl Bottoms {
    /// `left front damper`, or `front dampers`.
    pub fn words(&self) -> String {
        format!("{} damper{}", joints::spoken(self.axle, self.side), if self.side.is_none() { "s" } else { "" })
    }
}

impl Springs {
    /// The damper that is furthest past the end of its stroke inside the sweep: by how much, what it is past, and
    /// where.
    fn past(&self) -> Option<(&WheelSprings, f64, &'static str, &DamperAt, Option<f64>)> {
        let ends = self.wheels.iter().filter_map(|w| Some((w, w.stroke.as_ref()?))).flat_map(|(w, s)| {
            [
                s.left_closed_mm.map(|mm| (w, mm, "closed", &s.shortest, s.closed_at_mm)),
                s.left_open_mm.map(|mm| (w, mm, "open", &s.longest, s.open_at_mm)),
            ]
        });
        ends.flatten().filter(|end| end.1 < 0.0).min_by(|a, b| a.1.total_cmp(&b.1))
    }
}

impl Told for Springs {
    fn sentence(&self, shown: Shown) -> String {
        if let Some(rod) = self.unreached.first() {
            return format!("At {} the {} is drawn out and reaches no further.", rod.at.told(shown), rod.words());
        }
        if let Some((wheel, mm, end, worst, at)) = self.past() {
            let hub = Hub { axle: wheel.axle, side: wheel.side }.words();
            let at = at.map_or_else(String::new, |mm| {
                format!("; both wheels alike it is {end} at {}", words::travel(mm, shown))
            });
            let past = shown.length(-mm);
            return format!("The {hub} damper is {past} past {end} at {}{at}.", worst.at.told(shown));
        }
        let most = self.joints.first();
        if let Some(joint) = self.joints.iter().find(|j| j.verdict != Verdict::Clear) {
            let limit = joint.limit_deg.unwrap_or_default();
            let (words, at) = (joint.words(), joint.at.told(shown));
            return format!("The {words} swings {:.1} deg at {at}: it may swing {limit:.1} deg.", joint.swing_deg);
        }
        let bottoms = self.bottoms_first.map(|b| {
            let (at, beyond) = (words::travel(b.travel_mm, shown), shown.length(b.beyond_sweep_mm.abs()));
            let side = if b.beyond_sweep_mm < 0.0 { "inside" } else { "beyond" };
            let verb = if b.side.is_some() { "closes" } else { "close" };
            format!("the {} {verb} first, at {at}: {beyond} {side} the sweep", b.words())
        });
        let ratios = || {
            let one = |name: AxleName| {
                let wheel = self.wheels.iter().find(|w| w.axle == name)?;
                Some(format!("{} {:.3}", name.word(), wheel.heights[1].motion_ratio?))
            };
            let told: Vec<String> = AxleName::BOTH.into_iter().filter_map(one).collect();
            (!told.is_empty()).then(|| format!("motion ratio at ride height {}", told.join(", ")))
        };
        let swing = most.map(|j| format!("no joint swings more than {:.1} deg ({})", j.swing_deg, j.words()));
        let parts: Vec<String> = bottoms.or_else(ratios).into_iter().chain(swing).collect();
        if parts.is_empty() {
            return "This car file describes no damper and no joint that swings.".to_owned();
        }
        format!("{}.", capital(&parts.join("; ")))
    }
}
