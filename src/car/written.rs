//! Parts of a car as a car file writes them: their fields, without the brackets around them.

use super::axle::{MountedOn, Sides, Spring};
use super::fixed::FixedTube;
use super::nodes::{Node, OnRail, TubePoint};
use super::patch::degrees;
use super::proposal::{Change, GrowWay};
use super::rim::Wheel;
use super::sawn::{EndPlate, Ends, Mitre, RailNotch, SawCut};
use super::units::FileUnit;

impl SawCut {
    /// As fields of a car file in this unit.
    pub fn fields(&self, unit: FileUnit) -> String {
        let ends = match self.ends {
            Ends::Square => String::new(),
            ends => format!(", ends: {}", ends.written()),
        };
        format!("from: {}, to: {}{ends}", unit.number(self.from), unit.number(self.to))
    }
}

impl Ends {
    /// As a car file writes it.
    pub(super) fn written(self) -> String {
        let one = |mitre: Mitre| format!("(up: {}, out: {})", degrees(mitre.up), degrees(mitre.out));
        match self {
            Self::Square => "square".to_owned(),
            Self::Mitred { near, far } => format!("mitred(near: {}, far: {})", one(near), one(far)),
        }
    }
}

impl RailNotch {
    /// As fields of a car file in this unit.
    pub fn fields(&self, unit: FileUnit) -> String {
        let [from, to, depth] = [self.from, self.to, self.depth].map(|mm| unit.number(mm));
        format!("from: {from}, to: {to}, face: {}, depth: {depth}", self.face.word())
    }
}

impl Wheel {
    /// As fields of a car file in this unit, without what is so by default.
    pub fn fields(&self, unit: FileUnit) -> String {
        let mm = |mm: f64| unit.number(mm);
        let mut all = format!("width: {}, offset: {}", mm(self.width), mm(self.offset));
        let usual = Self::new(self.width, self.offset);
        for (name, value, usual) in [
            ("spacer", self.spacer, usual.spacer),
            ("barrel", self.barrel, usual.barrel),
            ("centre", self.centre, usual.centre),
            ("flange", self.flange, usual.flange),
        ] {
            if value != usual {
                all += &format!(", {name}: {}", mm(value));
            }
        }
        if let Some(spokes) = &self.spokes {
            let outboard = spokes.outboard.map(|o| format!(", outboard: {}", mm(o))).unwrap_or_default();
            all += &format!(", spokes: (back: {}{outboard}, pad: {})", mm(spokes.back), mm(spokes.pad));
        }
        if let Some(studs) = &self.studs {
            let bore = studs.bore.map(|bore| format!(", bore: {}", mm(bore))).unwrap_or_default();
            all += &format!(", studs: (count: {}, circle: {}{bore})", studs.count, mm(studs.circle));
        }
        all
    }
}

impl EndPlate {
    /// As fields of a car file in this unit.
    pub fn fields(&self, unit: FileUnit) -> String {
        let over = if self.over == 0.0 { String::new() } else { format!(", over: {}", unit.number(self.over)) };
        format!("cut: {}{}, thickness: {}{over}", self.cut.word(), nth(self.nth), unit.number(self.thickness))
    }
}

impl FixedTube {
    /// As fields of a car file in this unit.
    pub fn fields(&self, unit: FileUnit) -> String {
        let wall = self.wall.map(|mm| format!(", wall: {}", unit.number(mm))).unwrap_or_default();
        let grade = self.grade.as_ref().map(|grade| format!(", grade: {grade:?}")).unwrap_or_default();
        let pinned = if self.pinned { ", pinned: true" } else { "" };
        let points: Vec<String> = self.points.iter().map(|p| p.written(unit)).collect();
        let (name, od, points) = (&self.name, unit.number(self.od), points.join(", "));
        format!("name: {name:?}{}, od: {od}{wall}{grade}{pinned}, points: [{points}]", mirrored(self.mirror))
    }
}

impl TubePoint {
    /// As a car file in this unit writes it.
    pub fn written(&self, unit: FileUnit) -> String {
        match self {
            Self::At(at) => unit.point(*at),
            Self::Node(name) => format!("{name:?}"),
            Self::OnRail { rail, at: OnRail::Station(station) } => {
                format!("(rail: {rail:?}, station: {})", unit.number(*station))
            }
            Self::OnRail { rail, at: OnRail::Cut(end, number) } => {
                format!("(rail: {rail:?}, cut: {}{})", end.word(), nth(*number))
            }
        }
    }
}

impl Node {
    /// As fields of a car file in this unit.
    pub fn fields(&self, unit: FileUnit) -> String {
        let on = self.on.as_ref().map(|on| format!(", on: {on:?}")).unwrap_or_default();
        let held = if self.held { ", held: true" } else { "" };
        format!("name: {:?}{}, at: {}{on}{held}", self.name, mirrored(self.mirror), unit.point(self.at))
    }
}

impl Change {
    /// As a car file in this unit writes it: of changes that are about the points and springs of an axle. None
    /// of others.
    pub fn written(&self, unit: FileUnit) -> Option<String> {
        Some(match self {
            Self::Rear(change) => format!("rear({})", change.written(unit)?),
            Self::GrowArms { by, way, side } => {
                let way = if *way == GrowWay::Across { String::new() } else { format!(", way: {}", way.name()) };
                format!("grow_arms(by: {}{way}{})", unit.number(*by), side_of(*side))
            }
            Self::MovePoint { point, side, to, by } => {
                let place = |field: &str, p: &Option<_>| p.map(|p| format!(", {field}: {}", unit.point(p)));
                let place = place("to", to).or_else(|| place("by", by))?;
                format!("move_point(point: {}{}{place})", point.name(), side_of(*side))
            }
            Self::FitSpring(spring) => format!("fit_spring({})", spring.fields(unit)),
            _ => return None,
        })
    }
}

impl Spring {
    /// As fields of a car file in this unit.
    pub fn fields(&self, unit: FileUnit) -> String {
        let on = match self.on {
            None => "",
            Some(MountedOn::LowerArm) => ", on: lower_arm",
            Some(MountedOn::UpperArm) => ", on: upper_arm",
            Some(MountedOn::Upright) => ", on: upright",
            Some(MountedOn::Rocker) => ", on: rocker",
        };
        let diameter = self.diameter.map(|mm| format!(", diameter: {}", unit.number(mm))).unwrap_or_default();
        format!("rate: {}{on}{diameter}", self.rate_number())
    }

    /// Its rate as a bare number of a car file, N/mm.
    pub(super) fn rate_number(&self) -> String {
        format!("{}", (self.rate * 1000.0).round() / 1000.0)
    }
}

fn side_of(sides: Sides) -> &'static str {
    match sides {
        Sides::Both => "",
        Sides::Left => ", side: left",
        Sides::Right => ", side: right",
    }
}

fn mirrored(is: bool) -> &'static str {
    if is { ", mirror: true" } else { "" }
}

fn nth(number: Option<usize>) -> String {
    number.map(|n| format!(", nth: {n}")).unwrap_or_default()
}
