//! Against ideal braking, and what balance bar and bores would make it so.

use serde::Serialize;

use super::Sums;
use crate::car::brakes::bore_area;
use crate::car::units::INCH;
use crate::car::{AxleName, Brakes};

/// Bores that master cylinders are commonly sold in, mm (common practice, no source): 5/8, 0.7, 3/4, 13/16, 7/8, 15/16, 1,
/// 1 1/16 and 1 1/8 in.
pub const BORES: [f64; 9] = [
    0.625 * INCH,
    0.7 * INCH,
    0.75 * INCH,
    0.8125 * INCH,
    0.875 * INCH,
    0.9375 * INCH,
    INCH,
    1.0625 * INCH,
    1.125 * INCH,
];
/// A balance bar this near to its middle is as good as there, so that the pedal's feel decides between bores.
const NEAR_MIDDLE: f64 = 0.02;
/// The decelerations that are told, tenths of a g.
const DECELERATIONS: [u32; 7] = [2, 4, 6, 8, 10, 12, 14];

/// The brakes against ideal ones at one deceleration.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct IdealRow {
    /// Deceleration.
    pub g: f64,
    /// What the front wheels stand on together.
    pub front_load_n: f64,
    /// What the rear wheels stand on together.
    pub rear_load_n: f64,
    /// The front's share of ideal braking, per cent.
    pub ideal_front_percent: f64,
    /// Grip that the front wheels need: their braking force over their load. None where they stand on nothing.
    pub front_grip: Option<f64>,
    /// The same of the rear wheels.
    pub rear_grip: Option<f64>,
    /// The foot's force.
    pub pedal_n: f64,
}

/// What would make the brakes ideal at one deceleration.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Ideal {
    /// The deceleration.
    pub at_g: f64,
    /// The front's share of ideal braking there, per cent.
    pub front_percent: f64,
    /// Where the balance bar would have to be set, the front cylinder's share in per cent, with the bores as they are; none
    /// where the pedal has no balance bar, or the rear wheels stand on nothing.
    pub balance_bar_percent: Option<f64>,
    /// The bores that let it stand nearest to its middle; none where the bar has no place.
    pub bores: Option<Pair>,
}

impl Ideal {
    /// Whether the rear wheels still stand on something there.
    pub fn rear_stands(&self) -> bool {
        self.front_percent < 100.0
    }
}

/// Two master cylinders.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Pair {
    /// Bore in front.
    pub front_mm: f64,
    /// Bore behind.
    pub rear_mm: f64,
    /// Where the balance bar would have to be set, the front cylinder's share, per cent.
    pub balance_bar_percent: f64,
    /// The foot's force for this deceleration over that with the bores as they are and the bar set ideally.
    pub foot_ratio: f64,
}

pub(super) fn rows(sums: &Sums) -> Vec<IdealRow> {
    let row = |tenths: u32| {
        let g = f64::from(tenths) / 10.0;
        let [front, rear] = sums.stands(g);
        let (brakes, share) = (g * sums.weight, sums.share());
        let grip = |force: f64, load: f64| (load > 0.0).then(|| force / load);
        IdealRow {
            g,
            front_load_n: front,
            rear_load_n: rear,
            ideal_front_percent: front / sums.weight * 100.0,
            front_grip: grip(brakes * share, front),
            rear_grip: grip(brakes * (1.0 - share), rear),
            pedal_n: g / sums.decel(1.0),
        }
    };
    DECELERATIONS.into_iter().map(row).collect()
}

/// Front over rear braking is b / (1 - b) times what both would be with half of the push each, so that the ideal share s of
/// the front asks for b / (1 - b) = s / (1 - s) over that.
pub(super) fn at(sums: &Sums, brakes: &Brakes, g: f64) -> Ideal {
    let [front, rear] = sums.stands(g);
    let mut ideal =
        Ideal { at_g: g, front_percent: front / sums.weight * 100.0, balance_bar_percent: None, bores: None };
    if brakes.balance_bar.is_none() || !ideal.rear_stands() {
        return ideal;
    }
    let wanted = front / rear;
    let push = AxleName::BOTH.map(|axle| brakes.push(axle));
    // Braking of each axle for each newton at its own master cylinder.
    let own = [0, 1].map(|i| sums.per_pedal[i] / push[i] / brakes.pedal_ratio);
    let bores = AxleName::BOTH.map(|axle| bore_area(brakes.of(axle).master));
    let bar = |areas: [f64; 2]| {
        let alike = own[0] * bores[0] / areas[0] / (own[1] * bores[1] / areas[1]);
        let over = wanted / alike;
        over / (1.0 + over)
    };
    // With the bar set so, braking for each newton at the push rod.
    let brakes_by = |areas: [f64; 2]| {
        let share = bar(areas);
        own[0] * bores[0] / areas[0] * share + own[1] * bores[1] / areas[1] * (1.0 - share)
    };
    let pairs = BORES.iter().flat_map(|front| BORES.iter().map(move |rear| [*front, *rear]));
    let off = |pair: &[f64; 2]| (bar(pair.map(bore_area)) - 0.5).abs().max(NEAR_MIDDLE);
    let feel = |pair: &[f64; 2]| (brakes_by(bores) / brakes_by(pair.map(bore_area))).ln().abs();
    let nearest = pairs.min_by(|a, b| off(a).total_cmp(&off(b)).then(feel(a).total_cmp(&feel(b))));
    ideal.balance_bar_percent = Some(bar(bores) * 100.0);
    ideal.bores = nearest.map(|pair| Pair {
        front_mm: pair[0],
        rear_mm: pair[1],
        balance_bar_percent: bar(pair.map(bore_area)) * 100.0,
        foot_ratio: brakes_by(bores) / brakes_by(pair.map(bore_area)),
    });
    ideal
}
