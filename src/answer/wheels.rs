//! Wheels and tyres: what is bolted on, how it fits the hub and goes over the brake, and what a swap changes.

mod rows;

use serde::Serialize;

use super::Verdict;
use super::study::Study;
use super::words::{self, Told};
use crate::car::units::INCH;
use crate::car::wheel::{Drilling, Size};
use crate::car::{Axle, AxleName, Hub, Shown, Side};
use crate::motion::Quantity;

pub use rows::Row;

/// What is bolted on.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Wheels {
    /// Of brakes and hubs; what the usual rims say is a hint and no verdict.
    pub verdict: Verdict,
    /// The axles that are described, front first.
    pub axles: Vec<AxleWheels>,
}

/// The wheels of an axle.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AxleWheels {
    /// The axle.
    pub axle: AxleName,
    /// Nominal diameter of the rim, inches, as wheels are sold.
    pub rim_in: f64,
    /// Rim width between the flanges.
    pub width_mm: f64,
    /// Mounting face outboard of the rim's centre plane.
    pub offset_mm: f64,
    /// From the inboard flange's outer edge to the mounting face: half the width, a flange and the offset.
    pub backspacing_mm: f64,
    /// Between hub and wheel.
    pub spacer_mm: f64,
    /// The code on the tyre's sidewall.
    pub tyre: String,
    /// Over the tread, unloaded and at rest.
    pub overall_diameter_mm: f64,
    /// Over the sidewalls on this rim.
    pub section_mm: f64,
    /// Allowed for in every gap: what the radius grows by at speed.
    pub growth_mm: f64,
    /// Allowed for in every gap: how far the section leans over, each way.
    pub lean_mm: f64,
    /// Narrowest and widest rim that the size is commonly fitted to (common practice, no source).
    pub usual_rims_mm: [f64; 2],
    /// Turns for a kilometre, slowly.
    pub turns_per_km: f64,
    /// Between the contact centres at ride height.
    pub track_mm: Option<f64>,
    /// Left and right at ride height, positive when the steering axis meets the ground inboard of the contact centre.
    pub scrub_radius_mm: [Option<f64>; 2],
    /// The brake within the rim, where it is described.
    pub brake: Option<BrakeFit>,
    /// How wheel and hub go together, where both are described.
    pub hub: Vec<Fit>,
    /// Against the car as found, where a proposal is asked about.
    pub swap: Option<Swap>,
}

/// A brake within a rim.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct BrakeFit {
    /// Caliper to the barrel and its flanges; negative is an overlap.
    pub caliper_to_barrel_mm: Option<f64>,
    /// Caliper to spokes and centre.
    pub caliper_to_spokes_mm: Option<f64>,
    /// The disc's edge to the barrel around it.
    pub disc_to_barrel_mm: Option<f64>,
    /// Whether the spokes are described; where not, they are taken to stand right at the mounting face.
    pub spokes_described: bool,
    /// The gap that was asked for.
    pub wanted_mm: f64,
    /// Of the least.
    pub verdict: Verdict,
}

/// One thing in which a wheel has to suit its hub.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Fit {
    /// Which: `studs`, `stud circle`, `bore`, `spacer`.
    pub what: &'static str,
    /// Of the hub: a count, or mm.
    pub hub: f64,
    /// Of the wheel: a count, or mm.
    pub wheel: f64,
    /// Whether it can be bolted on.
    pub verdict: Verdict,
    /// What to do or to know; empty where there is nothing.
    pub note: String,
}

/// What is different from the car as found. Of the wheel and tyre against the hub's face, so arms that grew do not count.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Swap {
    /// What stands out furthest goes outboard by this.
    pub outboard_mm: f64,
    /// What reaches in furthest goes inboard by this.
    pub inboard_mm: f64,
    /// The rim's inboard edge goes inboard by this.
    pub rim_inboard_mm: f64,
    /// The free radius grows by this.
    pub radius_mm: f64,
    /// The scrub radius grows by this, left wheel.
    pub scrub_radius_mm: Option<f64>,
    /// The track grows by this.
    pub track_mm: Option<f64>,
    /// Turns for a kilometre over those as found: a speedometer that was right reads this times the speed.
    pub speedometer: f64,
}

/// Two circles that differ by no more than this are the same, mm: a conical seat takes up as much (common practice, no
/// source).
const SAME_CIRCLE: f64 = 0.15;
/// A bore that is wider than its spigot by more than this is not centred by it, mm (common practice, no source).
const LOOSE: f64 = 0.2;

impl Study {
    /// What is bolted on; with the car as found, `found`, what differs from it.
    pub fn wheels(&self, found: Option<&Study>) -> Wheels {
        let axles: Vec<AxleWheels> = self.car.axles().map(|(name, axle)| self.axle_wheels(name, axle, found)).collect();
        let each =
            axles.iter().flat_map(|a| a.brake.map(|b| b.verdict).into_iter().chain(a.hub.iter().map(|f| f.verdict)));
        let verdict = each.max().unwrap_or(Verdict::Clear);
        Wheels { verdict, axles }
    }

    fn axle_wheels(&self, name: AxleName, axle: &Axle, found: Option<&Study>) -> AxleWheels {
        let (wheel, size) = (&axle.wheel, axle.tyre.size);
        let mounted = axle.tyre.mounted(wheel);
        let swap = found.and_then(|found| Some(self.swap(found, name, axle, found.car.axle(name)?)));
        AxleWheels {
            axle: name,
            rim_in: size.rim / INCH,
            width_mm: wheel.width,
            offset_mm: wheel.offset,
            backspacing_mm: wheel.backspacing(),
            spacer_mm: wheel.spacer,
            tyre: size.code(),
            overall_diameter_mm: 2.0 * mounted.radius,
            section_mm: mounted.section_width,
            growth_mm: mounted.growth,
            lean_mm: mounted.lean,
            usual_rims_mm: Size::usual_rims(&size),
            turns_per_km: mounted.turns_per_km(),
            track_mm: self.track(name),
            scrub_radius_mm: Side::BOTH.map(|side| self.scrub(name, side)),
            brake: self.brake_fit(name, axle),
            hub: fits(axle),
            swap,
        }
    }

    fn track(&self, name: AxleName) -> Option<f64> {
        let [left, right] = self.frame(name)?.ride;
        Some(left.y - right.y)
    }

    fn scrub(&self, name: AxleName, side: Side) -> Option<f64> {
        let ride = *self.gear.ride.axle(name)?;
        Quantity::ScrubRadius.of(&self.standing(name, ride, self.gear.ride.ground)?, side)
    }

    fn brake_fit(&self, name: AxleName, axle: &Axle) -> Option<BrakeFit> {
        let brake = axle.brake?;
        let placed = self.parts.brake(Hub { axle: name, side: Side::Left });
        let barrel = axle.tyre.size.rim / 2.0 - axle.wheel.barrel;
        let gaps = [
            placed.and_then(|b| b.to_barrel()).map(|a| a.gap),
            placed.and_then(|b| b.to_spokes()).map(|a| a.gap),
            brake.disc.map(|d| barrel - d / 2.0),
        ];
        let wanted = self.car.wanted.brake_to_rim;
        let least = gaps.iter().flatten().copied().fold(f64::INFINITY, f64::min);
        Some(BrakeFit {
            caliper_to_barrel_mm: gaps[0],
            caliper_to_spokes_mm: gaps[1],
            disc_to_barrel_mm: gaps[2],
            spokes_described: axle.wheel.spokes.is_some(),
            wanted_mm: wanted,
            verdict: Verdict::of(least, wanted),
        })
    }

    fn swap(&self, found: &Study, name: AxleName, axle: &Axle, before: &Axle) -> Swap {
        let more = |of: &dyn Fn(&Axle) -> f64| of(axle) - of(before);
        let grown = |of: &dyn Fn(&Study) -> Option<f64>| Some(of(self)? - of(found)?);
        let turns = |axle: &Axle| axle.tyre.mounted(&axle.wheel).turns_per_km();
        Swap {
            outboard_mm: more(&|a| reach(a)[1]),
            inboard_mm: more(&|a| reach(a)[0]),
            rim_inboard_mm: more(&|a| a.wheel.half() - a.wheel.centre_from_hub()),
            radius_mm: more(&|a| a.tyre.mounted(&a.wheel).radius),
            scrub_radius_mm: grown(&|s| s.scrub(name, Side::Left)),
            track_mm: grown(&|s| s.track(name)),
            speedometer: turns(axle) / turns(before),
        }
    }
}

/// How far tyre and wheel reach inboard and outboard of the hub's face, mm, at rest.
fn reach(axle: &Axle) -> [f64; 2] {
    let (wheel, tyre) = (&axle.wheel, axle.tyre.mounted(&axle.wheel));
    let half = wheel.half().max(tyre.section_width / 2.0);
    [half - wheel.centre_from_hub(), half.max(wheel.front()) + wheel.centre_from_hub()]
}

/// How wheel and hub go together.
fn fits(axle: &Axle) -> Vec<Fit> {
    let mut fits = Vec::new();
    let wheel = &axle.wheel;
    let fit = |what, hub, wheel, fits: bool, note: String| {
        let verdict = if fits { Verdict::Clear } else { Verdict::Short };
        Fit { what, hub, wheel, verdict, note }
    };
    if let (Some(hub), Some(Drilling { count, circle, bore })) = (axle.hub, wheel.studs) {
        let same = hub.studs.count == count;
        let note = if same { "" } else { "these do not bolt together: another wheel, or an adaptor" };
        fits.push(fit("studs", f64::from(hub.studs.count), f64::from(count), same, note.to_owned()));
        let same = (hub.studs.circle - circle).abs() <= SAME_CIRCLE;
        let note = if same { "" } else { "the studs do not enter the holes: another wheel, or an adaptor" };
        fits.push(fit("stud circle", hub.studs.circle, circle, same, note.to_owned()));
        if let (Some(spigot), Some(bore)) = (hub.spigot, bore) {
            let note = if spigot > bore {
                "the spigot does not enter the bore: open the bore, as far as its maker allows"
            } else if bore - spigot > LOOSE {
                "the spigot does not centre the wheel: fit a ring between the two"
            } else {
                ""
            };
            fits.push(fit("bore", spigot, bore, spigot <= bore, note.to_owned()));
        }
    }
    if wheel.spacer > 0.0 {
        let note = "studs or bolts have to be longer by as much, and engage by their own diameter or more";
        fits.push(fit("spacer", 0.0, wheel.spacer, true, note.to_owned()));
    }
    fits
}

impl AxleWheels {
    /// `5.5 x 13 in`.
    pub fn size(&self) -> String {
        let round = |v: f64| (v * 100.0).round() / 100.0;
        format!("{} x {} in", round(self.width_mm / INCH), round(self.rim_in))
    }

    /// What is said of the rim's width for this tyre, where there is something to say.
    pub fn rim_hint(&self, shown: Shown) -> Option<String> {
        let [narrowest, widest] = self.usual_rims_mm;
        if (narrowest..=widest).contains(&self.width_mm) {
            return None;
        }
        let is = if self.width_mm < narrowest { "narrower" } else { "wider" };
        let (from, to) = (shown.length(narrowest), shown.length(widest));
        Some(format!(
            "The {} rim is {is} than {} is commonly fitted to, {from} to {to}: ask the tyre's maker for approved rims",
            self.axle.word(),
            self.tyre
        ))
    }

    fn fault(&self, shown: Shown) -> Option<(Verdict, String)> {
        let axle = self.axle.word();
        if let Some(b) = self.brake.filter(|b| b.verdict != Verdict::Clear) {
            let gaps = [
                ("caliper", "barrel", b.caliper_to_barrel_mm),
                ("caliper", "spokes", b.caliper_to_spokes_mm),
                ("disc", "barrel", b.disc_to_barrel_mm),
            ];
            let told = gaps.into_iter().filter_map(|(part, of, gap)| Some((gap?, part, of)));
            let (gap, part, of) = told.min_by(|a, b| a.0.total_cmp(&b.0))?;
            let length = shown.length(gap.abs());
            let apart = if gap < 0.0 { "into" } else { "from" };
            let plain = if of == "spokes" && !b.spokes_described {
                "; the wheel's `spokes` are not described, so they are taken to stand at the mounting face"
            } else {
                ""
            };
            let wanted = shown.length(b.wanted_mm);
            let told = format!("the {axle} {part} is {length} {apart} the wheel's {of}, {wanted} are wanted{plain}");
            return Some((b.verdict, told));
        }
        let misfit = self.hub.iter().find(|f| f.verdict != Verdict::Clear)?;
        let (hub, wheel) = (misfit.told(misfit.hub, shown), misfit.told(misfit.wheel, shown));
        let what = misfit.what;
        Some((
            misfit.verdict,
            format!("the {axle} wheel does not fit its hub: {what} {wheel}, hub {hub}; {}", misfit.note),
        ))
    }
}

impl Fit {
    /// One of its numbers.
    pub fn told(&self, value: f64, shown: Shown) -> String {
        if self.what == "studs" { format!("{value}") } else { shown.length(value) }
    }
}

impl Swap {
    /// `goes 10.0 mm outboard, 4.0 mm inboard`.
    fn told(&self, axle: AxleName, shown: Shown) -> String {
        let far = |mm: f64| shown.length(mm.abs());
        let (out, inboard) = (self.outboard_mm, self.inboard_mm);
        let more = |mm: f64| if mm < 0.0 { "less" } else { "more" };
        format!(
            "on its own hub the {} wheel stands out {} {} and reaches in {} {} than as found",
            axle.word(),
            far(out),
            more(out),
            far(inboard),
            more(inboard)
        )
    }
}

impl Told for Wheels {
    fn sentence(&self, shown: Shown) -> String {
        let faults = self.axles.iter().filter_map(|a| a.fault(shown));
        if let Some((_, fault)) = faults.max_by_key(|(verdict, _)| *verdict) {
            return format!("{}.", words::capital(&fault));
        }
        let moved = |s: &Swap| s.outboard_mm.abs().max(s.inboard_mm.abs()) > 0.05;
        let swaps = self.axles.iter().filter_map(|a| Some((a.axle, a.swap.filter(moved)?)));
        let swaps: Vec<String> = swaps.map(|(axle, swap)| swap.told(axle, shown)).collect();
        if !swaps.is_empty() {
            return format!("{}.", words::capital(&swaps.join("; ")));
        }
        let axle = |a: &AxleWheels| {
            let (name, size, tyre) = (a.axle.word(), a.size(), &a.tyre);
            let track = a.track_mm.map_or_else(String::new, |mm| format!(", track {}", shown.length(mm)));
            format!("{name} {tyre} on {size}, backspacing {}{track}", shown.length(a.backspacing_mm))
        };
        format!("{}.", words::capital(&self.axles.iter().map(axle).collect::<Vec<_>>().join("; ")))
    }
}
