//! Arms made longer: what moves by how much, what every tube becomes, and what stays.

use nalgebra::Vector3;
use serde::Serialize;

use super::{Between, NoChange};
use crate::answer::NoAnswer;
use crate::answer::words::{self, Told};
use crate::car::axle::{Linkage, square_out};
use crate::car::{Axle, AxleName, Car, Change, GrowWay, PointName, Shown, Side, Sides};
use crate::motion::{Frame, Measure, Quantity, RunningGear, Standing};

/// What is to be grown.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Grow {
    /// The axle.
    pub axle: AxleName,
    /// Each side: outboard, or of the lower arm square to its pickup axis, mm; negative makes it narrower.
    pub by_mm: f64,
    /// Which way.
    pub way: GrowWay,
}

/// An axle with its arms grown.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Growth {
    /// What was asked for.
    #[serde(flatten)]
    pub asked: Grow,
    /// How the wheels are held.
    pub linkage: Linkage,
    /// How far the left and the right wheel centre move: forward, left and up, where they were measured.
    pub wheel_mm: [[f64; 3]; 2],
    /// Arms, links, tie rods and shafts, left ones first.
    pub parts: Vec<GrownPart>,
    /// Steering axis, camber and toe before and after, as they were measured: the wheel where it was when they were read.
    pub kept: Vec<Kept>,
    /// What of this axle is not grown, and what is done in its place; empty where all arms are.
    pub instead: &'static str,
}

/// A number of the upright where it was measured.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Kept {
    /// Which.
    pub quantity: Quantity,
    /// What it is measured in.
    pub measure: Measure,
    /// Left and right wheel.
    pub sides: [Between; 2],
}

/// A part that reaches from the body to the wheel.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GrownPart {
    /// Its side.
    pub side: Side,
    /// As it is spoken.
    pub part: &'static str,
    /// Its tubes, centre to centre of their joints.
    pub legs: Vec<Leg>,
    /// Of an arm on two pickups, the line that it turns about.
    pub axis: Option<ArmAxis>,
}

/// A tube before and after.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Leg {
    /// Its joint at the body.
    pub pickup: PointName,
    /// Its length.
    pub length_mm: Between,
}

/// An arm's pickup axis against the car.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ArmAxis {
    /// In plan, from the car's centreline: positive where the front pickup is further outboard.
    pub plan_deg: f64,
    /// In side view, from level: positive where the front pickup is higher.
    pub side_deg: f64,
    /// From the axis to the ball joint, square to the axis.
    pub reach_mm: Between,
    /// Where this arm's ball joint would go if it alone were grown by as much in its own plane, square to its own axis:
    /// forward, left and up. The first is how far that takes the axle fore or aft.
    pub square_mm: [f64; 3],
}

/// What a growth keeps where arms grow straight out.
const KEPT: [Quantity; 6] =
    [Quantity::Caster, Quantity::Kingpin, Quantity::ScrubRadius, Quantity::Trail, Quantity::Camber, Quantity::Toe];

impl Grow {
    /// The change that does it.
    pub fn change(&self) -> Change {
        self.axle.wrap(Change::GrowArms { by: self.by_mm, way: self.way, side: Sides::Both })
    }
}

impl AxleName {
    /// A change of an axle, of this one.
    pub(in crate::answer) fn wrap(self, change: Change) -> Change {
        match self {
            Self::Front => change,
            Self::Rear => Change::Rear(Box::new(change)),
        }
    }
}

impl Growth {
    /// A car with the arms of an axle grown, called `name`, and what was done.
    ///
    /// # Errors
    /// [`NoChange`] where there is no such axle, or no arm of it to grow that way; or the car cannot be built or stand.
    pub fn new(car: &Car, asked: Grow, name: &str) -> Result<(Car, Self), NoChange> {
        let before = car.axle(asked.axle).ok_or(NoAnswer::NoAxle)?;
        let grown = car.changed(name, vec![asked.change()])?;
        let after = grown.axle(asked.axle).ok_or(NoAnswer::NoAxle)?;
        let centre = |axle: &Axle, side| axle.point(side, PointName::WheelCentre).unwrap_or_default();
        let wheel_mm = Side::BOTH.map(|side| words::point(centre(after, side) - centre(before, side)));
        let parts = Side::BOTH.into_iter().flat_map(|side| parts(side, before, after, asked.by_mm)).collect();
        let kept = kept([car, &grown], asked.axle)?;
        let (linkage, instead) = (before.linkage, instead(before.linkage));
        Ok((grown, Self { asked, linkage, wheel_mm, parts, kept, instead }))
    }

    /// How much wider a side gets, mm: the mean of both.
    pub fn wider_mm(&self) -> f64 {
        (self.wheel_mm[0][1] - self.wheel_mm[1][1]) / 2.0
    }

    /// How far the axle moves forward, mm: the mean of both sides.
    pub fn forward_mm(&self) -> f64 {
        (self.wheel_mm[0][0] + self.wheel_mm[1][0]) / 2.0
    }
}

/// What is not grown, in words.
fn instead(linkage: Linkage) -> &'static str {
    match linkage {
        Linkage::Wishbone | Linkage::FiveLink => "",
        Linkage::Strut => "The struts' top mounts are remade as far outboard, or caster and kingpin would not stay.",
        Linkage::TrailingArm => {
            "Trailing arms keep their hinges and their length: the wheels alone move outboard, on arms made wider at the \
             hub, on another hub or on spacers."
        }
        Linkage::LiveAxle | Linkage::DeDion => {
            "A stiff axle has no arms to grow: its tube is made wider and the wheels alone move outboard; links, rods, \
             dampers and bar stay where they are."
        }
    }
}

/// What reaches from the body to a wheel of this axle.
fn parts(side: Side, before: &Axle, after: &Axle, by: f64) -> Vec<GrownPart> {
    use PointName as P;
    let arms: &[(&str, &[P], P)] = &[
        ("lower arm", &[P::LowerFront, P::LowerRear], P::LowerBallJoint),
        ("upper arm", &[P::UpperFront, P::UpperRear], P::UpperBallJoint),
        ("lower front link", &[P::LowerFront], P::LowerFrontOuter),
        ("lower rear link", &[P::LowerRear], P::LowerRearOuter),
        ("upper front link", &[P::UpperFront], P::UpperFrontOuter),
        ("upper rear link", &[P::UpperRear], P::UpperRearOuter),
        ("tie rod", &[P::TieRodInner], P::TieRodOuter),
        ("driveshaft", &[P::ShaftInner], P::WheelCentre),
    ];
    let part = |(part, pickups, outer): &(&'static str, &[P], P)| {
        let span = |axle: &Axle, pickup| Some(axle.point(side, *outer)? - axle.point(side, pickup)?);
        let leg = |pickup: &P| {
            let length_mm = Between::new(Some(span(before, *pickup)?.norm()), Some(span(after, *pickup)?.norm()));
            Some(Leg { pickup: *pickup, length_mm })
        };
        let legs: Option<Vec<Leg>> = pickups.iter().map(leg).collect();
        let axis = match **pickups {
            [front, rear] => axis(side, [before, after], [front, rear, *outer], by),
            _ => None,
        };
        Some(GrownPart { side, part, legs: legs?, axis })
    };
    arms.iter().filter_map(part).collect()
}

/// An arm's pickup axis: its front and rear pickup and its ball joint.
fn axis(side: Side, [before, after]: [&Axle; 2], [front, rear, joint]: [PointName; 3], by: f64) -> Option<ArmAxis> {
    let at = |name| before.point(side, name);
    let pickups = [at(front)?, at(rear)?];
    let along = (pickups[0] - pickups[1]).try_normalize(1e-9)?;
    // Looked at from behind, whichever of the two was called the front one.
    let along = if along.x < 0.0 { -along } else { along };
    let reach = |axle: &Axle| {
        let arm: Vector3<f64> = axle.point(side, joint)? - pickups[0];
        Some(arm.cross(&along).norm())
    };
    Some(ArmAxis {
        plan_deg: (side.sign() * along.y).atan2(along.x).to_degrees(),
        side_deg: along.z.atan2(along.x).to_degrees(),
        reach_mm: Between::new(reach(before), reach(after)),
        square_mm: words::point(square_out(pickups, at(joint)?)? * by),
    })
}

/// The upright's numbers where it was measured, of both cars.
fn kept(cars: [&Car; 2], name: AxleName) -> Result<Vec<Kept>, NoAnswer> {
    let read = |car: &Car| -> Result<Vec<[Option<f64>; 2]>, NoAnswer> {
        let gear = RunningGear::new(car).map_err(NoAnswer::Ride)?;
        let (axle, ride) = gear.axle(name).zip(gear.ride.axle(name)).ok_or(NoAnswer::NoAxle)?;
        let frame = Frame::new(car, axle, ride, &gear.ride.ground);
        let standing = Standing { axle, wheels: axle.as_measured(), ground: gear.ride.ground, frame: &frame };
        let of = |q: &Quantity| Side::BOTH.map(|side| q.of(&standing, side).map(|v| q.told(v)));
        Ok(KEPT.iter().map(of).collect())
    };
    let (before, after) = (read(cars[0])?, read(cars[1])?);
    let all = KEPT.into_iter().zip(before).zip(after).map(|((quantity, from), to)| Kept {
        quantity,
        measure: quantity.measure(),
        sides: [0, 1].map(|i| Between::new(from[i], to[i])),
    });
    Ok(all.filter(|kept| kept.sides.iter().any(|s| s.from.or(s.to).is_some())).collect())
}

impl Told for Growth {
    fn sentence(&self, shown: Shown) -> String {
        let Grow { axle, by_mm, way } = self.asked;
        let longer = |mm: f64| if mm < 0.0 { "shorter" } else { "longer" };
        let (by, comparative) = (shown.length(by_mm.abs()), longer(by_mm));
        let arms = match (self.linkage, way) {
            (Linkage::TrailingArm | Linkage::LiveAxle | Linkage::DeDion, _) => {
                let way = if by_mm < 0.0 { "inboard" } else { "outboard" };
                format!("the {} wheels {by} {way} a side", axle.word())
            }
            (_, GrowWay::Across) => format!("{} arms {by} {comparative} a side, straight across the car", axle.word()),
            (_, GrowWay::Square) => {
                format!("{} lower arms {by} {comparative} a side, square to their pickup axes", axle.word())
            }
        };
        let fore = self.forward_mm();
        let line = if fore.abs() < 0.05 {
            "the axle line stays".to_owned()
        } else {
            format!("the axle goes {} {}", shown.length(fore.abs()), if fore > 0.0 { "forward" } else { "aft" })
        };
        let is_kept = |kept: &&Kept| !kept.sides.iter().any(|s| s.changed(kept.measure));
        let names: Vec<&str> = self.kept.iter().filter(is_kept).map(|kept| kept.quantity.words()).collect();
        let others =
            self.kept.iter().filter(|kept| !is_kept(kept)).filter_map(|kept| {
                Some(format!("{} {}", kept.quantity.words(), kept.sides[0].says(kept.measure, shown)?))
            });
        let stay = if names.is_empty() { String::new() } else { format!("; as measured {} stay", joined(&names)) };
        let others: String = others.map(|said| format!("; {said}")).collect();
        words::capital(&format!(
            "{arms}: each wheel {} further {}, {line}{stay}{others}.",
            shown.length(self.wider_mm().abs()),
            if self.wider_mm() < 0.0 { "in" } else { "out" }
        ))
    }
}

/// `a, b and c`.
fn joined(names: &[&str]) -> String {
    match names {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [rest @ .., last] => format!("{} and {last}", rest.join(", ")),
    }
}
