//! Where tubes meet: named places, what a tube's corner can be, and the tube sizes in stock.

use std::fmt;

use nalgebra::Vector3;
use serde::Deserialize;
use serde::de::{self, Deserializer, MapAccess, SeqAccess, Visitor};

use super::axle::Side;
use super::body::Rail;
use super::error::{CarError, instead_of};
use super::fixed::FixedTube;
use super::sawn::CutEnd;
use super::{Car, units};

/// A size of tube that the shop has.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Stock {
    /// Outside diameter, mm.
    #[serde(deserialize_with = "units::length")]
    pub od: f64,
    /// Wall, mm.
    #[serde(deserialize_with = "units::length")]
    pub wall: f64,
    /// Grade of metal.
    pub grade: String,
}

/// A named place where tubes meet.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Node {
    /// What the shop calls it.
    pub name: String,
    /// Whether there is one on each side: then `at` is the left one's.
    #[serde(default)]
    pub mirror: bool,
    /// Where it is, mm.
    #[serde(deserialize_with = "units::point")]
    pub at: Vector3<f64>,
    /// The rail, tube or block that it is welded to: a mirrored one by its name without the side if the node is mirrored too,
    /// else with it.
    #[serde(default)]
    pub on: Option<String>,
    /// Whether the shell holds it still.
    #[serde(default)]
    pub held: bool,
}

/// A corner of a tube.
#[derive(Debug, Clone, PartialEq)]
pub enum TubePoint {
    /// A place, mm.
    At(Vector3<f64>),
    /// A node, by its name.
    Node(String),
    /// A place on a rail.
    OnRail {
        /// The rail's name.
        rail: String,
        /// Where on it.
        at: OnRail,
    },
}

/// A place on a rail's centreline.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum OnRail {
    /// At a station, mm.
    Station(f64),
    /// At an end of a cut: which, and of which cut, counted from 1 at the datum; none where there is one.
    Cut(CutEnd, Option<usize>),
}

impl From<Vector3<f64>> for TubePoint {
    fn from(at: Vector3<f64>) -> Self {
        Self::At(at)
    }
}

impl<'de> Deserialize<'de> for TubePoint {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        d.deserialize_any(PointReader)
    }
}

struct PointReader;

#[derive(Deserialize)]
#[serde(field_identifier, rename_all = "snake_case")]
enum PointField {
    Rail,
    Station,
    Cut,
    Nth,
}

impl<'de> Visitor<'de> for PointReader {
    type Value = TubePoint;

    fn expecting(&self, f: &mut fmt::Formatter) -> fmt::Result {
        f.write_str(
            "a place `(x, y, z)`, a node's name, or `(rail: \"...\", station: ...)` or `(rail: \"...\", cut: near)`",
        )
    }

    fn visit_str<E: de::Error>(self, name: &str) -> Result<TubePoint, E> {
        Ok(TubePoint::Node(name.to_owned()))
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<TubePoint, A::Error> {
        let mut at = Vector3::zeros();
        for axis in 0..3 {
            let next = seq.next_element::<units::Length>()?;
            at[axis] = next.ok_or_else(|| de::Error::custom("a point has three lengths, (x, y, z)"))?.0;
        }
        if seq.next_element::<units::Length>()?.is_some() {
            return Err(de::Error::custom("a point has three lengths, (x, y, z), and here are more"));
        }
        Ok(TubePoint::At(at))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<TubePoint, A::Error> {
        let (mut rail, mut station, mut cut, mut nth) = (None, None, None, None);
        while let Some(field) = map.next_key::<PointField>()? {
            match field {
                PointField::Rail => rail = Some(map.next_value::<String>()?),
                PointField::Station => station = Some(map.next_value::<units::Length>()?.0),
                PointField::Cut => cut = Some(map.next_value::<CutEnd>()?),
                PointField::Nth => nth = Some(map.next_value::<usize>()?),
            }
        }
        let rail =
            rail.ok_or_else(|| de::Error::custom("a point on a rail needs the rail's name: add `rail: \"...\"`"))?;
        let at = match (station, cut, nth) {
            (Some(station), None, None) => OnRail::Station(station),
            (None, Some(end), nth) => OnRail::Cut(end, nth),
            (Some(_), _, _) => {
                return Err(de::Error::custom("give a `station`, or `cut: near` or `cut: far`, and not both"));
            }
            (None, None, _) => {
                let what = "where on the rail is missing: add `station: ...`, or `cut: near` or `cut: far`";
                return Err(de::Error::custom(what));
            }
        };
        Ok(TubePoint::OnRail { rail, at })
    }
}

/// A name with the side in front that may be meant by it.
fn sided(name: &str) -> Option<(Side, &str)> {
    Side::BOTH.into_iter().find_map(|side| Some((side, name.strip_prefix(side.word())?.strip_prefix(' ')?)))
}

/// What a name means among things that may be mirrored: which, and the side that it is on. `mirror`: of the tube that
/// or node (`who`) that names it; what is mirrored is then the same side's, and elsewhere its side has to be said.
fn meant<'a, T>(
    name: &str,
    mirror: bool,
    all: &'a [T],
    called: fn(&T) -> (&str, bool),
    [who, kind]: [&str; 2],
) -> Result<(&'a T, Side), CarError> {
    if let Some(found) = all.iter().find(|one| called(one).0 == name) {
        if called(found).1 && !mirror {
            let what = format!(
                "there is a {kind} `{name}` on either side: say `left {name}` or `right {name}`, or give the {who} `mirror: true`"
            );
            return Err(CarError::new(what));
        }
        return Ok((found, Side::Left));
    }
    if let Some((side, bare)) = sided(name)
        && let Some(found) = all.iter().find(|one| called(one) == (bare, true))
    {
        return Ok((found, side));
    }
    Err(CarError::new(format!("there is no {kind} `{name}`{}", instead_of(name, all.iter().map(|one| called(one).0)))))
}

impl Car {
    /// Where the corners of a tube are, mm: of a mirrored one those of the left.
    ///
    /// # Errors
    /// A corner speaks of a node, a rail, a cut or a station that is not there, or of one that is there on both sides.
    pub fn tube_line(&self, tube: &FixedTube) -> Result<Vec<Vector3<f64>>, CarError> {
        let place = |(index, point)| self.tube_point(point, tube.mirror).map_err(|e: CarError| e.within(index));
        tube.points.iter().enumerate().map(place).collect()
    }

    /// Whether another car has the same tube of this name in the same place: one that runs to a node goes where the node does.
    pub fn has_same_tube(&self, other: &Self, name: &str) -> bool {
        let of = |car: &Self| car.tubes.iter().find(|t| t.name == name).map(|t| (t.clone(), car.tube_line(t).ok()));
        of(self) == of(other)
    }

    /// The rail, tube or block that a node is welded to, and where there is one on either side, which of them the node is on
    /// (of a mirrored node: its left one). None of a node that is on nothing.
    ///
    /// # Errors
    /// It is said to be on another part, on one that is not there, or on one that is there on both sides.
    pub fn node_on<'a>(&'a self, node: &Node) -> Result<Option<(&'a str, Option<Side>)>, CarError> {
        let Some(on) = &node.on else { return Ok(None) };
        let rails = self.rails.iter().map(|r| (r.name.as_str(), r.mirror));
        let tubes = self.tubes.iter().map(|t| (t.name.as_str(), t.mirror));
        let blocks = self.blocks.iter().map(|b| (b.name.as_str(), b.mirror));
        let all: Vec<(&'a str, bool)> = rails.chain(tubes).chain(blocks).collect();
        let bare = sided(on).map_or(on.as_str(), |(_, bare)| bare);
        let is_no_part = |name: &str| !all.iter().any(|part| part.0 == name);
        if is_no_part(on) && is_no_part(bare) && self.part_names().iter().any(|part| part == on || *part == bare) {
            let what = format!("`{on}` is no rail, tube or block: a node is `on` one of those, or on nothing");
            return Err(CarError::new(what).within("on"));
        }
        let found = meant(on, node.mirror, &all, |part| *part, ["node", "rail, tube or block"]);
        let ((name, mirror), side) = found.map_err(|e| e.within("on"))?;
        Ok(Some((*name, mirror.then_some(side))))
    }

    /// Where a tube's corner is, mm.
    ///
    /// # Errors
    /// As [`Car::tube_line`].
    pub fn tube_point(&self, point: &TubePoint, mirror: bool) -> Result<Vector3<f64>, CarError> {
        match point {
            TubePoint::At(at) => Ok(*at),
            TubePoint::Node(name) => {
                let (node, side) = meant(name, mirror, &self.nodes, |n: &Node| (&n.name, n.mirror), ["tube", "node"])?;
                Ok(side.mirror(node.at))
            }
            TubePoint::OnRail { rail: name, at } => {
                let found = meant(name, mirror, &self.rails, |r: &Rail| (&r.name, r.mirror), ["tube", "rail"]);
                let (rail, side) = found.map_err(|e| e.within("rail"))?;
                Ok(side.mirror(on_rail(rail, *at, self.unit)?))
            }
        }
    }
}

fn on_rail(rail: &Rail, at: OnRail, unit: units::FileUnit) -> Result<Vector3<f64>, CarError> {
    let name = &rail.name;
    let station = match at {
        OnRail::Station(station) => {
            if let Some(cut) = rail.cuts.iter().find(|cut| cut.from < station && station < cut.to) {
                let (is, from, to) = (unit.length(station), unit.length(cut.from), unit.length(cut.to));
                let what = format!(
                    "station {is} of the rail `{name}` lies in its cut from {from} to {to}: take one outside, or `cut: near`"
                );
                return Err(CarError::new(what).within("station"));
            }
            station
        }
        OnRail::Cut(end, nth) => cut_of(rail, nth)?.station(end),
    };
    rail.at_station(station).ok_or_else(|| {
        let [from, to] = rail.ends();
        let (is, from, to) = (unit.length(station), unit.length(from), unit.length(to));
        CarError::new(format!("the rail `{name}` has no station {is}: it runs from {from} to {to}")).within("station")
    })
}

/// The cut of a rail that is meant by its number, or by none.
pub(super) fn cut_of(rail: &Rail, nth: Option<usize>) -> Result<&super::sawn::SawCut, CarError> {
    rail.cut(nth).ok_or_else(|| {
        let (name, count) = (&rail.name, rail.cuts.len());
        let (what, field) = match (count, nth) {
            (0, _) => (format!("the rail `{name}` is not cut: cut it first, with `cut_rail`"), "cut"),
            (_, None) => {
                (format!("the rail `{name}` has {count} cuts: say which with `nth`, from 1 at the datum"), "cut")
            }
            (_, Some(nth)) => (format!("the rail `{name}` has no cut {nth}: they count from 1 to {count}"), "nth"),
        };
        CarError::new(what).within(field)
    })
}
