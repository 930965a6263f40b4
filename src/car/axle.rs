//! An axle as measured: its points, arms, steering and dampers. The left side is given and mirrored.

use std::collections::BTreeMap;
use std::fmt;

use nalgebra::Vector3;
use serde::de::{MapAccess, Visitor};
use serde::{Deserialize, Deserializer, Serialize};

use super::units;
use super::wheel::{Tyre, Wheel};

/// Left or right, as the driver sits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Side {
    /// The side of positive y.
    Left,
    /// The side of negative y.
    Right,
}

impl Side {
    /// Both, left first.
    pub const BOTH: [Self; 2] = [Self::Left, Self::Right];

    /// +1 for left and -1 for right: what a lateral quantity of the left side is multiplied by.
    pub fn sign(self) -> f64 {
        match self {
            Self::Left => 1.0,
            Self::Right => -1.0,
        }
    }

    /// `left` or `right`.
    pub fn word(self) -> &'static str {
        match self {
            Self::Left => "left",
            Self::Right => "right",
        }
    }

    /// A point of the left side carried to this side.
    pub fn mirror(self, p: Vector3<f64>) -> Vector3<f64> {
        Vector3::new(p.x, p.y * self.sign(), p.z)
    }
}

/// The sides that a change is made on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Sides {
    /// Both, the right one mirrored.
    #[default]
    Both,
    /// The left alone.
    Left,
    /// The right alone.
    Right,
}

impl Sides {
    /// Whether `side` is one of them.
    pub fn has(self, side: Side) -> bool {
        matches!((self, side), (Self::Both, _) | (Self::Left, Side::Left) | (Self::Right, Side::Right))
    }
}

macro_rules! point_names {
    ($($variant:ident $name:literal $words:literal $doc:literal),* $(,)?) => {
        /// The points that are measured on a corner, in the words of the trade.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize, Serialize)]
        #[serde(rename_all = "snake_case")]
        pub enum PointName { $(#[doc = $doc] $variant),* }

        impl PointName {
            /// Every point name there is.
            pub const ALL: &'static [Self] = &[$(Self::$variant),*];

            /// The name as the car file writes it.
            pub fn name(self) -> &'static str {
                match self { $(Self::$variant => $name),* }
            }

            /// The name as it is spoken.
            pub fn words(self) -> &'static str {
                match self { $(Self::$variant => $words),* }
            }
        }
    };
}

point_names! {
    LowerFront "lower_front" "lower arm, front pickup" "Lower arm's front pickup on the chassis.",
    LowerRear "lower_rear" "lower arm, rear pickup" "Lower arm's rear pickup on the chassis.",
    LowerBallJoint "lower_ball_joint" "lower ball joint" "Lower ball joint's centre.",
    UpperFront "upper_front" "upper arm, front pickup" "Upper arm's front pickup on the chassis.",
    UpperRear "upper_rear" "upper arm, rear pickup" "Upper arm's rear pickup on the chassis.",
    UpperBallJoint "upper_ball_joint" "upper ball joint" "Upper ball joint's centre.",
    TieRodInner "tie_rod_inner" "tie rod, inner joint" "Tie rod's joint at the rack, steering straight ahead.",
    TieRodOuter "tie_rod_outer" "tie rod, outer joint" "Tie rod's joint at the upright.",
    DamperTop "damper_top" "damper, upper mount" "Damper's mount on the chassis.",
    DamperBottom "damper_bottom" "damper, lower mount" "Damper's mount on the arm or upright.",
    WheelCentre "wheel_centre" "wheel centre" "Where the spin axis meets the wheel's centre plane.",
}

impl PointName {
    /// Whether the point is fixed to the chassis (or rides on the rack) rather than to an arm or the upright.
    pub fn on_chassis(self) -> bool {
        use PointName::{DamperTop, LowerFront, LowerRear, TieRodInner, UpperFront, UpperRear};
        matches!(self, LowerFront | LowerRear | UpperFront | UpperRear | TieRodInner | DamperTop)
    }
}

/// Measured points by name, in the vehicle frame, millimetres.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Points(pub BTreeMap<PointName, Vector3<f64>>);

impl<'de> Deserialize<'de> for Points {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        struct Reader;
        impl<'de> Visitor<'de> for Reader {
            type Value = Points;

            fn expecting(&self, f: &mut fmt::Formatter) -> fmt::Result {
                f.write_str("points by name: { lower_front: (x, y, z), ... }")
            }

            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Points, A::Error> {
                let mut points = BTreeMap::new();
                while let Some(name) = map.next_key::<PointName>()? {
                    let units::Point(at) = map.next_value()?;
                    if points.insert(name, at).is_some() {
                        let twice = format!("the point `{}` is given twice: keep one", name.name());
                        return Err(serde::de::Error::custom(twice));
                    }
                }
                Ok(Points(points))
            }
        }
        d.deserialize_map(Reader)
    }
}

/// How the upright is held: which points are needed and which lengths stay constant.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Linkage {
    /// Two wishbones and a tie rod.
    Wishbone,
}

impl Linkage {
    /// The points without which it is not described.
    pub fn needs(self) -> &'static [PointName] {
        use PointName::{
            LowerBallJoint, LowerFront, LowerRear, TieRodInner, TieRodOuter, UpperBallJoint, UpperFront, UpperRear,
            WheelCentre,
        };
        match self {
            Self::Wishbone => &[
                LowerFront,
                LowerRear,
                LowerBallJoint,
                UpperFront,
                UpperRear,
                UpperBallJoint,
                TieRodInner,
                TieRodOuter,
                WheelCentre,
            ],
        }
    }
}

/// Round tube or bar.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Tube {
    /// Outside diameter, mm.
    #[serde(deserialize_with = "units::length")]
    pub od: f64,
    /// Wall, mm; left out for a solid bar.
    #[serde(default, deserialize_with = "units::opt_length")]
    pub wall: Option<f64>,
}

/// What the arms are made of.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Arms {
    /// Both legs of the lower arm.
    pub lower: Tube,
    /// Both legs of the upper arm.
    pub upper: Tube,
    /// Tie rod.
    pub tie_rod: Tube,
    /// Diameter of the space that a ball joint or rod end takes up around its centre, mm.
    #[serde(default = "default_joint", deserialize_with = "units::length")]
    pub joint: f64,
}

/// A rod end for a 1/2 in or 12 mm bolt is about 33 mm over its head (common practice, no source).
fn default_joint() -> f64 {
    34.0
}

/// The part that carries the damper's lower mount.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum DamperOn {
    /// The lower arm.
    LowerArm,
    /// The upper arm.
    UpperArm,
    /// The upright.
    Upright,
}

/// Damper, or damper and spring in one.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Damper {
    /// The part that carries its lower mount.
    pub on: DamperOn,
    /// Outside diameter over everything (the spring, where it is outside), mm.
    #[serde(deserialize_with = "units::length")]
    pub diameter: f64,
}

/// Steering rack. Its axis runs through the two inner tie-rod joints.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Rack {
    /// From straight ahead to the mechanical stop, each way, mm.
    #[serde(deserialize_with = "units::length")]
    pub travel: f64,
    /// Rack travel for one turn of the steering wheel, mm.
    #[serde(default, deserialize_with = "units::opt_length")]
    pub per_turn: Option<f64>,
}

/// How a wheel stands at the as-found ride height, steering straight ahead.
#[derive(Debug, Clone, Copy, PartialEq, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Alignment {
    /// Positive when the top leans outboard, radians.
    #[serde(default, deserialize_with = "units::angle")]
    pub camber: f64,
    /// Of this wheel alone, toe-in positive, radians.
    #[serde(default, deserialize_with = "units::angle")]
    pub toe: f64,
}

/// An axle as measured.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Axle {
    /// How the uprights are held.
    pub linkage: Linkage,
    /// Points of the left side, mirrored to the right.
    pub points: Points,
    /// Points of the right side that were measured elsewhere than the mirrored left ones.
    #[serde(default)]
    pub right: Points,
    /// Left wheel, mirrored to the right.
    #[serde(default)]
    pub alignment: Alignment,
    /// Right wheel, where it stands otherwise.
    #[serde(default)]
    pub right_alignment: Option<Alignment>,
    /// Tubes of arms and tie rods.
    pub arms: Arms,
    /// Dampers, if they are described.
    #[serde(default)]
    pub damper: Option<Damper>,
    /// Steering rack.
    pub rack: Rack,
    /// Wheels.
    pub wheel: Wheel,
    /// Tyres.
    pub tyre: Tyre,
}

impl Axle {
    /// A point of one side in the vehicle frame, mm, if it is given.
    pub fn point(&self, side: Side, name: PointName) -> Option<Vector3<f64>> {
        let own = if side == Side::Right { self.right.0.get(&name).copied() } else { None };
        own.or_else(|| self.points.0.get(&name).map(|p| side.mirror(*p)))
    }

    /// Puts a point of one side or both; the right one follows the left where it was not measured apart.
    pub fn set_point(&mut self, sides: Sides, name: PointName, change: impl Fn(Vector3<f64>) -> Vector3<f64>) {
        let before = Side::BOTH.map(|side| self.point(side, name));
        if let (true, Some(left)) = (sides.has(Side::Left), before[0]) {
            self.points.0.insert(name, change(left));
        }
        let Some(right) = before[1] else { return };
        let mirrored = !self.right.0.contains_key(&name);
        match (sides.has(Side::Left), sides.has(Side::Right)) {
            // The mirrored right point follows by itself.
            (true, true) if mirrored => {}
            // A right point measured apart moves by the mirrored shift.
            (_, true) => {
                let moved = Side::Right.mirror(change(Side::Right.mirror(right)));
                self.right.0.insert(name, moved);
            }
            // The left alone moves: the right stays where it was.
            (true, false) if mirrored => {
                self.right.0.insert(name, right);
            }
            _ => {}
        }
    }

    /// How a wheel stands at the as-found ride height.
    pub fn alignment(&self, side: Side) -> Alignment {
        match (side, self.right_alignment) {
            (Side::Right, Some(own)) => own,
            _ => self.alignment,
        }
    }

    /// Direction of a wheel's spin axis at the as-found ride height, steering straight ahead: a unit vector in the
    /// vehicle frame that points outboard.
    ///
    /// Camber is -asin(s_z); toe-in turns the wheel's front inboard and so tips the outboard end of its axis forward.
    pub fn spin_axis(&self, side: Side) -> Vector3<f64> {
        let Alignment { camber, toe } = self.alignment(side);
        let (sin, cos) = (camber.sin(), camber.cos());
        side.mirror(Vector3::new(toe.sin() * cos, toe.cos() * cos, -sin))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_point_name_is_written_as_it_is_read() {
        for name in PointName::ALL {
            assert_eq!(ron::from_str::<PointName>(name.name()), Ok(*name));
        }
    }
}
