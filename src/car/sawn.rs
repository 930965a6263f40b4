//! What is sawn out of a rail: cuts right through, notches, and the plates that close cut ends.

use serde::{Deserialize, Serialize};

use super::body::{Rail, Section};
use super::units;

/// A cut right through a rail: what lies between its two ends is gone.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SawCut {
    /// Station on the centreline where the metal ends, mm.
    #[serde(deserialize_with = "units::length")]
    pub from: f64,
    /// Station on the centreline where it begins again, mm.
    #[serde(deserialize_with = "units::length")]
    pub to: f64,
    /// How the two ends stand.
    #[serde(default)]
    pub ends: Ends,
}

/// How the ends of a cut stand.
#[derive(Debug, Clone, Copy, PartialEq, Default, Deserialize, Serialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum Ends {
    /// Both square to the rail's run.
    #[default]
    Square,
    /// Each leaning by its own angles.
    Mitred {
        /// The end nearer to the datum.
        #[serde(default)]
        near: Mitre,
        /// The end further from the datum.
        #[serde(default)]
        far: Mitre,
    },
}

/// How a plane through a rail leans: by how much stations grow across the section.
#[derive(Debug, Clone, Copy, PartialEq, Default, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct Mitre {
    /// Towards the top, radians: positive where the top's station is the greater.
    #[serde(default, deserialize_with = "units::angle")]
    pub up: f64,
    /// Away from the middle of the car, radians: positive where the outer face's station is the greater.
    #[serde(default, deserialize_with = "units::angle")]
    pub out: f64,
}

/// Which end of a cut.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum CutEnd {
    /// The end nearer to the datum: of the metal that the datum is on.
    Near,
    /// The end further from the datum.
    Far,
}

impl CutEnd {
    /// Both.
    pub const BOTH: [Self; 2] = [Self::Near, Self::Far];

    /// As it is spoken and written.
    pub fn word(self) -> &'static str {
        match self {
            Self::Near => "near",
            Self::Far => "far",
        }
    }
}

/// A face of a box rail that is notched.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum RailFace {
    /// Upper.
    Top,
    /// Towards the middle of the car.
    Inner,
    /// Lower.
    Bottom,
    /// Away from the middle of the car.
    Outer,
}

impl RailFace {
    /// All four, in the order of a section's corners.
    pub const ALL: [Self; 4] = [Self::Top, Self::Inner, Self::Bottom, Self::Outer];

    /// As it is spoken and written.
    pub fn word(self) -> &'static str {
        match self {
            Self::Top => "top",
            Self::Inner => "inner",
            Self::Bottom => "bottom",
            Self::Outer => "outer",
        }
    }

    /// How far a box reaches behind it, mm.
    pub fn across(self, width: f64, height: f64) -> f64 {
        match self {
            Self::Top | Self::Bottom => height,
            Self::Inner | Self::Outer => width,
        }
    }
}

/// A notch: one face and all behind it down to a depth is gone, over a stretch.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RailNotch {
    /// Station on the centreline where it starts, mm.
    #[serde(deserialize_with = "units::length")]
    pub from: f64,
    /// Station on the centreline where it ends, mm.
    #[serde(deserialize_with = "units::length")]
    pub to: f64,
    /// The face that is cut away.
    pub face: RailFace,
    /// How deep from that face, mm.
    #[serde(deserialize_with = "units::length")]
    pub depth: f64,
}

/// A flat plate welded on a cut end, on the side of what is gone.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct EndPlate {
    /// Which end of the cut.
    pub cut: CutEnd,
    /// Which cut of the rail, counted from 1 at the datum; may be left out where there is one.
    #[serde(default)]
    pub nth: Option<usize>,
    /// Thickness, mm.
    #[serde(deserialize_with = "units::length")]
    pub thickness: f64,
    /// How far it stands over the section all around, mm.
    #[serde(default, deserialize_with = "units::length")]
    pub over: f64,
}

/// What planned cuts leave room for. The defaults are common practice, no source.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize, Serialize)]
#[serde(deny_unknown_fields, default)]
pub struct CutRoom {
    /// The blade's width, mm: so far a cut may stray towards what goes.
    #[serde(deserialize_with = "units::length")]
    pub kerf: f64,
    /// What a weld or a plate takes up on a cut end, mm.
    #[serde(deserialize_with = "units::length")]
    pub weld: f64,
    /// The greatest angle of a mitred end, radians.
    #[serde(deserialize_with = "units::angle")]
    pub mitre: f64,
    /// The least of a section that a notch leaves behind it, mm.
    #[serde(deserialize_with = "units::length")]
    pub web: f64,
}

impl Default for CutRoom {
    fn default() -> Self {
        Self { kerf: 2.0, weld: 4.0, mitre: 30f64.to_radians(), web: 20.0 }
    }
}

impl SawCut {
    /// How an end stands.
    pub fn mitre(&self, end: CutEnd) -> Mitre {
        match (self.ends, end) {
            (Ends::Square, _) => Mitre::default(),
            (Ends::Mitred { near, .. }, CutEnd::Near) => near,
            (Ends::Mitred { far, .. }, CutEnd::Far) => far,
        }
    }

    /// Station of an end on the centreline, mm.
    pub fn station(&self, end: CutEnd) -> f64 {
        match end {
            CutEnd::Near => self.from,
            CutEnd::Far => self.to,
        }
    }
}

impl Rail {
    /// Whether something is sawn out of it.
    pub fn is_sawn(&self) -> bool {
        !self.cuts.is_empty() || !self.notches.is_empty()
    }

    /// The cut that is meant by its number, counted from 1 at the datum, or by none where there is one.
    pub fn cut(&self, nth: Option<usize>) -> Option<&SawCut> {
        let cuts = self.cuts_in_order();
        match (nth, &cuts[..]) {
            (None, [only]) => Some(only),
            (None, _) => None,
            (Some(nth), all) => all.get(nth.checked_sub(1)?).copied(),
        }
    }

    /// Its cuts, from the datum on.
    pub fn cuts_in_order(&self) -> Vec<&SawCut> {
        let mut cuts: Vec<&SawCut> = self.cuts.iter().collect();
        cuts.sort_by(|a, b| a.from.total_cmp(&b.from));
        cuts
    }

    /// Outside size of its section, [width, height], mm; of a round one its diameter twice.
    pub fn size(&self) -> [f64; 2] {
        match self.section {
            Section::Box { width, height } => [width, height],
            Section::Round { od } => [od, od],
        }
    }

    /// Stations of its two ends on the centreline, mm.
    pub fn ends(&self) -> [f64; 2] {
        let length: f64 = self.centreline.windows(2).map(|p| (p[1] - p[0]).norm()).sum();
        [self.datum_station, self.datum_station + length]
    }

    /// The station whose place on the centreline is nearest to a point, mm.
    pub fn station_near(&self, point: nalgebra::Vector3<f64>) -> f64 {
        let (mut from, mut nearest) = (self.datum_station, (f64::INFINITY, self.datum_station));
        for pair in self.centreline.windows(2) {
            let way = pair[1] - pair[0];
            let along = ((point - pair[0]).dot(&way) / way.norm_squared()).clamp(0.0, 1.0);
            let off = (point - pair[0] - way * along).norm();
            if off < nearest.0 {
                nearest = (off, from + way.norm() * along);
            }
            from += way.norm();
        }
        nearest.1
    }

    /// The place on the centreline at a station, mm; none beyond its ends.
    pub fn at_station(&self, station: f64) -> Option<nalgebra::Vector3<f64>> {
        let mut from = self.datum_station;
        for pair in self.centreline.windows(2) {
            let length = (pair[1] - pair[0]).norm();
            // A station that was worked out may round to just beyond an end.
            if (from - 1e-6..=from + length + 1e-6).contains(&station) {
                return Some(pair[0] + (pair[1] - pair[0]) * ((station - from) / length).clamp(0.0, 1.0));
            }
            from += length;
        }
        None
    }
}
