//! The points that are measured on an axle, in the words of the trade.

use std::collections::BTreeMap;
use std::fmt;

use nalgebra::Vector3;
use serde::de::{MapAccess, Visitor};
use serde::{Deserialize, Deserializer, Serialize};

use super::units;

macro_rules! point_names {
    ($($variant:ident $name:literal $words:literal $doc:literal),* $(,)?) => {
        /// The points that are measured on an axle.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize, Serialize)]
        #[serde(rename_all = "snake_case")]
        pub enum PointName { $(#[doc = $doc] $variant),* }

        impl PointName {
            /// Every point name there is.
            pub const ALL: &'static [Self] = &[$(Self::$variant),*];
            /// How many there are.
            pub const COUNT: usize = Self::ALL.len();

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
    LowerFront "lower_front" "lower arm, front pickup" "Lower arm's or front lower link's pickup on the chassis.",
    LowerRear "lower_rear" "lower arm, rear pickup" "Lower arm's or rear lower link's pickup on the chassis.",
    LowerBallJoint "lower_ball_joint" "lower ball joint" "Lower ball joint's centre.",
    LowerFrontOuter "lower_front_outer" "lower front link, outer joint" "Lower front link's joint at the upright.",
    LowerRearOuter "lower_rear_outer" "lower rear link, outer joint" "Lower rear link's joint at the upright.",
    UpperFront "upper_front" "upper arm, front pickup" "Upper arm's or front upper link's pickup on the chassis.",
    UpperRear "upper_rear" "upper arm, rear pickup" "Upper arm's or rear upper link's pickup on the chassis.",
    UpperBallJoint "upper_ball_joint" "upper ball joint" "Upper ball joint's centre.",
    UpperFrontOuter "upper_front_outer" "upper front link, outer joint" "Upper front link's joint at the upright.",
    UpperRearOuter "upper_rear_outer" "upper rear link, outer joint" "Upper rear link's joint at the upright.",
    ArmInner "arm_inner" "trailing arm, inner pickup" "Trailing arm's inner pickup on the chassis.",
    ArmOuter "arm_outer" "trailing arm, outer pickup" "Trailing arm's outer pickup on the chassis.",
    TieRodInner "tie_rod_inner" "tie rod, inner joint" "Tie rod's joint at the rack or centre link, steering straight ahead; at the chassis where the axle does not steer.",
    TieRodOuter "tie_rod_outer" "tie rod, outer joint" "Tie rod's joint at the upright.",
    DamperTop "damper_top" "damper, upper mount" "Damper's mount on the chassis; a strut's top mount.",
    DamperBottom "damper_bottom" "damper, lower mount" "Damper's mount on the moving part; on a strut any other point of its axis.",
    SpringTop "spring_top" "spring, upper seat" "Middle of the spring's seat on the chassis, where the spring stands apart from the damper.",
    SpringBottom "spring_bottom" "spring, lower seat" "Middle of the spring's seat on the moving part, where the spring stands apart from the damper.",
    WheelCentre "wheel_centre" "wheel centre" "Where the spin axis meets the wheel's centre plane.",
    LowerLinkBody "lower_link_body" "lower link, body end" "Lower trailing link's joint at the body.",
    LowerLinkAxle "lower_link_axle" "lower link, axle end" "Lower trailing link's joint at the axle.",
    UpperLinkBody "upper_link_body" "upper link, body end" "Upper trailing link's joint at the body.",
    UpperLinkAxle "upper_link_axle" "upper link, axle end" "Upper trailing link's joint at the axle.",
    LateralRodBody "lateral_rod_body" "lateral rod, body end" "Lateral rod's joint at the body.",
    LateralRodAxle "lateral_rod_axle" "lateral rod, axle end" "Lateral rod's joint at the axle.",
    CentrePivot "centre_pivot" "centre crank, pivot" "Pivot of the crank of a centre-pivot linkage, on the axle.",
    CrankUpper "crank_upper" "centre crank, upper joint" "Upper rod's joint at the crank.",
    CrankLower "crank_lower" "centre crank, lower joint" "Lower rod's joint at the crank.",
    UpperRodBody "upper_rod_body" "upper lateral rod, body end" "The crank's upper rod's joint at the body.",
    LowerRodBody "lower_rod_body" "lower lateral rod, body end" "The crank's lower rod's joint at the body.",
    PitmanShaft "pitman_shaft" "pitman arm, shaft" "Where the pitman arm sits on the steering box's shaft.",
    PitmanShaftTop "pitman_shaft_top" "pitman shaft, another point" "Another point of the pitman shaft's axis, above.",
    PitmanEnd "pitman_end" "pitman arm, end joint" "Pitman arm's joint at the centre link.",
    IdlerShaft "idler_shaft" "idler arm, shaft" "Where the idler arm turns on its shaft.",
    IdlerShaftTop "idler_shaft_top" "idler shaft, another point" "Another point of the idler shaft's axis, above.",
    IdlerEnd "idler_end" "idler arm, end joint" "Idler arm's joint at the centre link.",
    PushRodOuter "push_rod_outer" "push rod, outer joint" "Push or pull rod's joint at the arm or upright.",
    PushRodInner "push_rod_inner" "push rod, rocker joint" "Push or pull rod's joint at the rocker.",
    RockerPivot "rocker_pivot" "rocker, pivot" "A point of the rocker's pivot axis.",
    RockerAxis "rocker_axis" "rocker axis, another point" "Another point of the rocker's pivot axis.",
    BarPivot "bar_pivot" "anti-roll bar, pivot" "Where the bar's lever sits on the bar: the bar's axis runs through both sides'.",
    BarLever "bar_lever" "anti-roll bar, lever end" "Drop link's joint at the bar's lever.",
    ShaftInner "shaft_inner" "driveshaft, inner joint" "Driveshaft's joint at the final drive; its other end is the wheel centre.",
    DropLinkOuter "drop_link_outer" "drop link, outer joint" "Drop link's joint at the arm, upright or axle.",
}

impl PointName {
    /// Whether it is there once on an axle, and so given in `middle`. An upper trailing link can be either.
    pub fn is_single(self) -> bool {
        use PointName::{
            CentrePivot, CrankLower, CrankUpper, LateralRodAxle, LateralRodBody, LowerRodBody, UpperRodBody,
        };
        let rods = matches!(self, LateralRodAxle | LateralRodBody | UpperRodBody | LowerRodBody);
        rods || matches!(self, CentrePivot | CrankUpper | CrankLower) || self.is_steering_box()
    }

    /// Whether it belongs to a steering box, its arms or their shafts.
    pub fn is_steering_box(self) -> bool {
        use PointName::{IdlerEnd, IdlerShaft, IdlerShaftTop, PitmanEnd, PitmanShaft, PitmanShaftTop};
        matches!(self, PitmanShaft | PitmanShaftTop | PitmanEnd | IdlerShaft | IdlerShaftTop | IdlerEnd)
    }

    /// Whether it is an end of an upper trailing link, of which there can be one in the middle or one a side.
    pub fn is_upper_link(self) -> bool {
        matches!(self, Self::UpperLinkBody | Self::UpperLinkAxle)
    }
}

/// Measured points by name, in the vehicle frame, millimetres.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Points(pub BTreeMap<PointName, Vector3<f64>>);

impl<'de> Deserialize<'de> for Points {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        let what = "points by name: { lower_front: (x, y, z), ... }";
        d.deserialize_map(Named::<units::Point>::new(what))
            .map(|m| Self(m.into_iter().map(|(n, p)| (n, p.0)).collect()))
    }
}

/// For `#[serde(deserialize_with)]`: lengths in millimetres by the name of a point.
pub fn lengths<'de, D: Deserializer<'de>>(d: D) -> Result<BTreeMap<PointName, f64>, D::Error> {
    let what = "lengths by name of a point: { damper_top: 3, ... }";
    d.deserialize_map(Named::<units::Length>::new(what)).map(|m| m.into_iter().map(|(n, l)| (n, l.0)).collect())
}

/// Reads a map from point names, each given once.
struct Named<V>(&'static str, std::marker::PhantomData<V>);

impl<V> Named<V> {
    fn new(what: &'static str) -> Self {
        Self(what, std::marker::PhantomData)
    }
}

impl<'de, V: Deserialize<'de>> Visitor<'de> for Named<V> {
    type Value = BTreeMap<PointName, V>;

    fn expecting(&self, f: &mut fmt::Formatter) -> fmt::Result {
        f.write_str(self.0)
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Self::Value, A::Error> {
        let mut values = BTreeMap::new();
        while let Some(name) = map.next_key::<PointName>()? {
            if values.insert(name, map.next_value()?).is_some() {
                let twice = format!("the point `{}` is given twice: keep one", name.name());
                return Err(serde::de::Error::custom(twice));
            }
        }
        Ok(values)
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
