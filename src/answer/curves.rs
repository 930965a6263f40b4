//! How the wheels stand over travel and rack.

use std::str::FromStr;

use serde::Serialize;

use super::study::{NoAnswer, Study};
use super::words::{self, Told};
use crate::car::{Shown, Side};
use crate::motion::alignment::{Alignment, gains, level_under, roll_centre};
use crate::motion::{CornerPose, Posed};

/// Values from one to another in equal steps, as `-60:60:20`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range {
    /// First.
    pub from: f64,
    /// Last.
    pub to: f64,
    /// Step, positive.
    pub step: f64,
}

/// Rows that one call may ask for.
const MOST: f64 = 100_000.0;

impl FromStr for Range {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let bad = || format!("\"{text}\" is not a range: write FROM:TO:STEP upwards, such as -60:60:20, or one value");
        let numbers: Result<Vec<f64>, _> = text.split(':').map(|w| w.trim().parse::<f64>()).collect();
        let numbers = numbers.map_err(|_| bad())?;
        if !numbers.iter().all(|n| n.is_finite()) {
            return Err(bad());
        }
        let range = match numbers[..] {
            [value] => Self::at(value),
            [from, to, step] if step > 0.0 && to >= from => Self { from, to, step },
            _ => return Err(bad()),
        };
        if (range.to - range.from) / range.step > MOST {
            return Err(format!("\"{text}\" asks for more than {MOST} values: take a longer step"));
        }
        Ok(range)
    }
}

impl Range {
    /// The values. The last is the end itself where the steps reach it to a billionth.
    pub fn values(self) -> impl Iterator<Item = f64> + Clone {
        let steps = ((self.to - self.from) / self.step + 1e-9).floor() as usize;
        (0..=steps).map(move |i| self.from + self.step * i as f64)
    }

    /// One value.
    pub fn at(value: f64) -> Self {
        Self { from: value, to: value, step: 1.0 }
    }

    /// Both ends and what lies between in twelve equal steps.
    pub fn across(from: f64, to: f64) -> Self {
        let step = (to - from) / 12.0;
        if step > 0.0 { Self { from, to, step } } else { Self::at(from) }
    }

    /// The same range in another unit.
    pub fn scaled(self, by: f64) -> Self {
        Self { from: self.from * by, to: self.to * by, step: self.step * by }
    }
}

/// A wheel at one travel and rack. Signs as in the alignment's definitions.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct CurveRow {
    /// The wheel.
    pub side: Side,
    /// From ride height, bump positive.
    pub travel_mm: f64,
    /// Positive to the car's left.
    pub rack_mm: f64,
    /// Positive when the top leans outboard.
    pub camber_deg: f64,
    /// Toe-in positive.
    pub toe_deg: f64,
    /// Positive when the wheel points left.
    pub steer_deg: f64,
    /// Positive when the steering axis's top leans rearward.
    pub caster_deg: f64,
    /// Positive when the steering axis's top leans inboard.
    pub kingpin_deg: f64,
    /// Positive when the steering axis meets the ground inboard of the contact centre.
    pub scrub_radius_mm: f64,
    /// Positive when the steering axis meets the ground ahead of the contact centre.
    pub trail_mm: f64,
    /// Body frame.
    pub wheel_centre_mm: [f64; 3],
    /// Of this wheel's contact centre, outboard positive, from ride height.
    pub half_track_change_mm: f64,
    /// Between the damper's mounts.
    pub damper_mm: Option<f64>,
    /// Damper travel over wheel travel.
    pub motion_ratio: Option<f64>,
    /// Over the ground, both wheels at this travel and rack; none where there is none.
    pub roll_centre_mm: Option<f64>,
}

/// How the wheels stand over travel and rack.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Curves {
    /// Left and right wheel at ride height.
    pub gains: [Gains; 2],
    /// A row for every combination of travel and rack, and each side.
    pub rows: Vec<CurveRow>,
}

/// How fast a wheel's alignment changes at ride height, steering straight ahead; from the speeds of the linkage there.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Gains {
    /// The wheel.
    pub side: Side,
    /// Camber for 25 mm of bump.
    pub camber_deg_per_25_mm: f64,
    /// Toe for 25 mm of bump: bump steer.
    pub toe_deg_per_25_mm: f64,
}

impl Study {
    /// A row for every combination of travel and rack, and each side.
    ///
    /// # Errors
    /// [`NoAnswer::Pose`] where the linkage ends before a value that was asked for.
    pub fn curves(&self, travel: Range, rack: Range) -> Result<Curves, NoAnswer> {
        let front = &self.front;
        let mut rows = Vec::new();
        let mut row_start = front.ride.corners;
        for rack in rack.values() {
            let mut last = row_start;
            for (i, travel) in travel.values().enumerate() {
                let raise = |side: Side| front.raise(side, &last[side as usize], travel, rack).map_err(NoAnswer::Pose);
                last = [raise(Side::Left)?, raise(Side::Right)?];
                if i == 0 {
                    row_start = last;
                }
                rows.extend(self.row(&last, travel));
            }
        }
        Ok(Curves { gains: Side::BOTH.map(|side| self.gains(side)), rows })
    }

    fn gains(&self, side: Side) -> Gains {
        let (camber, toe) = gains(self.front.corner(side), self.front.ride(side)).unwrap_or((f64::NAN, f64::NAN));
        let per_25 = |rate: f64| (rate * 25.0).to_degrees();
        Gains { side, camber_deg_per_25_mm: per_25(camber), toe_deg_per_25_mm: per_25(toe) }
    }

    /// Both wheels' rows in a pose.
    pub fn row(&self, corners: &[CornerPose; 2], travel: f64) -> [CurveRow; 2] {
        // The ground under both wheels, level where they are at one travel.
        let ground = level_under(self.front.corner(Side::Left), &corners[0]);
        let posed = Posed { pose: Default::default(), ground, corners: *corners };
        let roll_centre_mm = roll_centre(&self.front, &posed).map(|c| c.y);
        Side::BOTH.map(|side| {
            let (corner, pose) = (self.front.corner(side), &corners[side as usize]);
            let a = Alignment::of(corner, pose, &level_under(corner, pose));
            let ride = Alignment::of(corner, self.front.ride(side), &self.front.ride.ground);
            CurveRow {
                side,
                travel_mm: travel,
                rack_mm: pose.rack,
                camber_deg: a.camber.to_degrees(),
                toe_deg: a.toe.to_degrees(),
                steer_deg: a.steer.to_degrees(),
                caster_deg: a.caster.to_degrees(),
                kingpin_deg: a.kingpin.to_degrees(),
                scrub_radius_mm: a.scrub_radius,
                trail_mm: a.trail,
                wheel_centre_mm: words::point(pose.wheel_centre),
                half_track_change_mm: (a.contact.y - ride.contact.y) * side.sign(),
                damper_mm: pose.damper_length(),
                motion_ratio: corner.motion_ratio(pose),
                roll_centre_mm,
            }
        })
    }
}

impl Told for Curves {
    fn sentence(&self, shown: Shown) -> String {
        // A quarter of a hundred millimetres is an inch but for 2 per cent: each reader gets the round number.
        let (per, scale) = match shown {
            Shown::Mm => ("25 mm", 1.0),
            Shown::In => ("1 in", 1.016),
        };
        let told = self.gains.map(|g| {
            let [camber, toe] = [g.camber_deg_per_25_mm, g.toe_deg_per_25_mm].map(|d| d * scale);
            format!("{} {camber:+.2} deg of camber and {toe:+.3} deg of toe", g.side.word())
        });
        format!("In {per} of bump from ride height: {}, {}.", told[0], told[1])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_range_reaches_its_end() {
        let range: Range = "-60:60:20".parse().unwrap();
        assert_eq!(range.values().collect::<Vec<_>>(), [-60.0, -40.0, -20.0, 0.0, 20.0, 40.0, 60.0]);
        assert_eq!("0:0.3:0.1".parse::<Range>().unwrap().values().count(), 4);
        assert_eq!("12.5".parse::<Range>().unwrap().values().collect::<Vec<_>>(), [12.5]);
        for bad in ["", "a", "1:2", "2:1:1", "0:1:0", "0:1:-1", "0:nan:1", "0:1e9:0.001", "1:2:3:4"] {
            assert!(bad.parse::<Range>().is_err(), "{bad}");
        }
    }
}
