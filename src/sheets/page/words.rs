//! A proposal's changes as a customer reads them.

use nalgebra::Vector3;

use crate::answer::words::capital;
use crate::car::body::Section;
use crate::car::{Amount, Axle, AxleName, Car, Change, FixedTube, Pickups, Rail, Shown, Sides, Tyre, Wheel};

/// What a change is about, in the order of the page.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum About {
    /// Arms, points, dampers, steering.
    Suspension,
    /// Wheels, tyres.
    Wheels,
    /// Body, rails, tubes.
    Body,
    /// What was asked rather than made.
    Asked,
}

impl About {
    /// All, in order.
    pub const ALL: [Self; 4] = [Self::Suspension, Self::Wheels, Self::Body, Self::Asked];

    /// As a heading.
    pub fn heading(self) -> &'static str {
        match self {
            Self::Suspension => "Suspension and steering",
            Self::Wheels => "Wheels and tyres",
            Self::Body => "Body and structure",
            Self::Asked => "What was looked at",
        }
    }
}

/// Each change in a sentence, with what it is about. `found` is the car that they are made of.
pub fn changes(list: &[Change], found: &Car, shown: Shown) -> Vec<(About, String)> {
    together(list).iter().map(|change| Teller { found, shown, axle: AxleName::Front }.told(change)).collect()
}

/// The same with what moves one point by turns as one move.
fn together(list: &[Change]) -> Vec<Change> {
    let mut all: Vec<Change> = Vec::new();
    for change in list {
        // Into the point's latest move: one to a place lets what was before it be.
        let latest = all.iter_mut().rev().find(|before| same_point(before, change));
        if !latest.is_some_and(|before| goes_on(before, change)) {
            all.push(change.clone());
        }
    }
    all
}

/// Whether two changes move one point, be it on another side.
fn same_point(before: &Change, change: &Change) -> bool {
    match (before, change) {
        (Change::Rear(before), Change::Rear(change)) => same_point(before, change),
        (Change::MovePoint { point, .. }, Change::MovePoint { point: same, .. }) => point == same,
        _ => false,
    }
}

/// Adds a move of a point to one before it of the same point, where both are of the same sides and say by how much; whether it
/// did.
fn goes_on(before: &mut Change, change: &Change) -> bool {
    match (before, change) {
        (Change::Rear(before), Change::Rear(change)) => goes_on(before, change),
        (
            Change::MovePoint { side, to: None, by: Some(sum), .. },
            Change::MovePoint { side: there, to: None, by: Some(by), .. },
        ) if side == there => {
            *sum += by;
            true
        }
        _ => false,
    }
}

struct Teller<'a> {
    found: &'a Car,
    shown: Shown,
    axle: AxleName,
}

impl Teller<'_> {
    fn told(&self, change: &Change) -> (About, String) {
        use About::{Asked, Body, Suspension, Wheels};
        let length = |mm: f64| self.shown.length(mm);
        let axle = self.axle.word();
        let about_axle = |what: String| (Suspension, capital(&format!("{axle} {what}")));
        match change {
            Change::Rear(change) => Teller { axle: AxleName::Rear, ..*self }.told(change),
            Change::MovePoint { point, side, to, by } => {
                let (both, side) = (*side == Sides::Both, sides(*side));
                about_axle(format!("{}{side} {}.", point.words(), self.moved(*to, *by, both)))
            }
            Change::GrowArms { by, side, .. } => {
                let more = if *by < 0.0 { "shorter" } else { "longer" };
                about_axle(format!("arms {} {more}{}.", length(by.abs()), each_side(*side)))
            }
            Change::BuildArm { arm, tube, .. } => {
                let of = tube.map_or_else(String::new, |tube| format!(" of {} tube", length(tube.od)));
                about_axle(format!("{} arms are made anew{of}.", arm.word()))
            }
            Change::LowerBody { by, pickups } => {
                let way = if *by < 0.0 { "goes up" } else { "comes down" };
                let how = match pickups {
                    Pickups::Follow => "the suspension's pickups go with it",
                    Pickups::Stay => "the suspension's pickups are remade as much higher in the shell",
                };
                (Body, format!("The body {way} {}; {how}.", length(by.abs())))
            }
            Change::ReplaceTyre(tyre) => {
                (Wheels, capital(&format!("{axle} tyres {}{}.", tyre.size.code(), self.tyres_before(tyre))))
            }
            Change::ReplaceWheel(wheel) => (Wheels, self.wheel(wheel)),
            Change::ReplaceDamper(_) => about_axle("dampers are replaced.".to_owned()),
            Change::FitSpring(spring) => {
                about_axle(format!("springs of {} are fitted.", Amount::Rate.told(spring.rate, self.shown)))
            }
            Change::ReplaceRocker(_) => about_axle("rockers are replaced.".to_owned()),
            Change::ReplaceBar(bar) => {
                about_axle(format!("anti-roll bar of {} diameter is fitted.", length(bar.tube.od)))
            }
            Change::ReplaceRack(rack) => about_axle(self.rack(rack.travel)),
            Change::ReplaceSteeringBox(b) => {
                let lock = b.lock.to_degrees();
                about_axle(format!("steering box turning its arm {lock:.1} deg each way, or a limiter to that."))
            }
            Change::MoveCorner { rail, corner, to, by } => (
                Body,
                capital(&format!("{rail}: corner {corner} of its line {}.", self.moved(*to, *by, self.pair(rail)))),
            ),
            Change::MovePart { part, by } => {
                (Body, capital(&format!("{part} moves {}.", self.shift(*by, self.pair(part)))))
            }
            Change::CutRail { rail, from, to, .. } => {
                let between = format!("{} and {}", self.shown.cell(*from), length(*to));
                (Body, capital(&format!("{rail} cut out between {between}{}.", self.datum(rail))))
            }
            Change::NotchRail { rail, from, to, face, depth } => {
                let between = format!("{} and {}", self.shown.cell(*from), length(*to));
                let deep = length(*depth);
                let face = face.word();
                (
                    Body,
                    capital(&format!(
                        "{rail} notched {deep} deep from its {face} face between {between}{}.",
                        self.datum(rail)
                    )),
                )
            }
            Change::EndPlate { rail, cut, thickness, .. } => {
                let end = cut.word();
                (Body, capital(&format!("{rail}: a {} plate welded on the cut's {end} end.", length(*thickness))))
            }
            Change::AddNode(node) => (Body, capital(&format!("{}: a new place where tubes meet.", node.name))),
            Change::MoveNode { node, to, by } => {
                (Body, capital(&format!("{node} {}.", self.moved(*to, *by, self.pair(node)))))
            }
            Change::RemoveNode(node) => (Body, capital(&format!("{node}: no tubes meet there any more."))),
            Change::MoveBend { tube, bend, by, .. } => {
                let how = by.map_or_else(
                    || "is put elsewhere".to_owned(),
                    |by| format!("moves {}", self.shift(by, self.pair(tube))),
                );
                (Body, capital(&format!("{tube}: bend {bend} {how}.")))
            }
            Change::ReplaceRail(rail) => {
                (Body, capital(&format!("{} is replaced: {}.", rail.name, self.section(rail))))
            }
            Change::ReplacePanel(panel) => (Body, capital(&format!("{} is replaced by another shape.", panel.name))),
            Change::Remove(part) => (Body, capital(&format!("{part} is taken out."))),
            Change::AddRail(rail) => {
                (Body, capital(&format!("{}{}: a new rail, {}.", rail.name, pair(rail.mirror), self.section(rail))))
            }
            Change::AddPanel(panel) => (Body, capital(&format!("{}{}: a new panel.", panel.name, pair(panel.mirror)))),
            Change::AddTube(tube) => (Body, self.tube(tube)),
            Change::AddBlock(block) => (Body, capital(&format!("{}{} is added.", block.name, pair(block.mirror)))),
            Change::FitSplitter(s) => {
                let (thick, over) = (length(s.thickness), length(s.height));
                (Body, format!("A splitter, {thick} thick, its underside {over} over the ground at ride height."))
            }
            Change::SetSweep(sweep) => {
                let (bump, droop, roll) = (length(sweep.bump), length(sweep.droop), sweep.roll.to_degrees());
                (
                    Asked,
                    format!("Wheel travel of {bump} up and {droop} down, with {roll:.1} deg of body roll each way."),
                )
            }
            Change::SetWanted(wanted) => {
                (Asked, format!("A wanted gap of {} between tyre and body.", length(wanted.tyre_to_body)))
            }
        }
    }

    fn described(&self) -> Option<&Axle> {
        self.found.axle(self.axle)
    }

    fn tyres_before(&self, tyre: &Tyre) -> String {
        let before = self.described().map(|axle| axle.tyre.size.code()).filter(|code| *code != tyre.size.code());
        before.map_or_else(String::new, |code| format!(", in the place of {code}"))
    }

    fn wheel(&self, wheel: &Wheel) -> String {
        let (width, offset) = (wheel.width / crate::car::units::INCH, self.shown.length(wheel.offset));
        let inches = (width * 100.0).round() / 100.0;
        let spacer = match wheel.spacer {
            spacer if spacer > 0.0 => format!(", on a {} spacer", self.shown.length(spacer)),
            _ => String::new(),
        };
        capital(&format!("{} wheels {inches} in wide, offset {offset}{spacer}.", self.axle.word()))
    }

    fn rack(&self, travel: f64) -> String {
        let before = self.described().and_then(|axle| axle.rack).map(|rack| rack.travel);
        let to = self.shown.length(travel);
        match before {
            Some(before) if travel < before => {
                format!("rack limited to {to} each way, from {}.", self.shown.length(before))
            }
            _ => format!("rack with {to} of travel each way."),
        }
    }

    fn section(&self, rail: &Rail) -> String {
        let length = |mm: f64| self.shown.length(mm);
        match rail.section {
            Section::Box { width, height } => {
                format!("box {} x {}, wall {}", self.shown.cell(width), length(height), length(rail.wall))
            }
            Section::Round { od } => format!("round {}, wall {}", length(od), length(rail.wall)),
        }
    }

    fn tube(&self, tube: &FixedTube) -> String {
        let od = self.shown.length(tube.od);
        let wall = tube.wall.map_or_else(|| ", solid".to_owned(), |w| format!(", wall {}", self.shown.length(w)));
        let grade = tube.grade.as_ref().map_or_else(String::new, |grade| format!(", {grade}"));
        capital(&format!("{}{}: a new tube, {od}{wall}{grade}.", tube.name, pair(tube.mirror)))
    }

    fn datum(&self, rail: &str) -> String {
        let rail = self.found.rails.iter().find(|r| r.name == rail);
        rail.map_or_else(String::new, |r| format!(" from the {}", r.datum))
    }

    /// Whether there is one of a part or node on each side.
    fn pair(&self, name: &str) -> bool {
        let car = self.found;
        let parts = car.rails.iter().map(|p| (&p.name, p.mirror)).chain(car.panels.iter().map(|p| (&p.name, p.mirror)));
        let parts = parts.chain(car.scans.iter().map(|p| (&p.name, p.mirror)));
        let parts = parts.chain(car.tubes.iter().map(|p| (&p.name, p.mirror)));
        let parts = parts.chain(car.blocks.iter().map(|p| (&p.name, p.mirror)));
        let mut parts = parts.chain(car.nodes.iter().map(|p| (&p.name, p.mirror)));
        parts.any(|(known, mirror)| mirror && known == name)
    }

    fn moved(&self, to: Option<Vector3<f64>>, by: Option<Vector3<f64>>, pair: bool) -> String {
        match (by, to) {
            (Some(by), _) => format!("moves {}", self.shift(by, pair)),
            (None, Some(to)) => {
                let [x, y, z] = [to.x, to.y, to.z].map(|mm| self.shown.cell(mm));
                format!("moves to ({x}, {y}, {z}) {}", self.shown.sign())
            }
            (None, None) => "stays".to_owned(),
        }
    }

    /// `12.0 mm up, 5.0 mm outboard`.
    fn shift(&self, by: Vector3<f64>, pair: bool) -> String {
        let aside = if pair { (by.y, "outboard", "inboard") } else { (by.y, "to the left", "to the right") };
        let ways = [(by.z, "up", "down"), aside, (by.x, "forward", "back")];
        let told = ways
            .into_iter()
            .filter(|(mm, ..)| mm.abs() > 0.005)
            .map(|(mm, more, less)| format!("{} {}", self.shown.length(mm.abs()), if mm > 0.0 { more } else { less }));
        let told: Vec<String> = told.collect();
        if told.is_empty() { "nowhere".to_owned() } else { told.join(", ") }
    }
}

fn pair(mirror: bool) -> &'static str {
    if mirror { ", one a side" } else { "" }
}

fn sides(side: Sides) -> &'static str {
    match side {
        Sides::Both => "",
        Sides::Left => ", left side,",
        Sides::Right => ", right side,",
    }
}

fn each_side(side: Sides) -> &'static str {
    match side {
        Sides::Both => " each side",
        Sides::Left => " on the left",
        Sides::Right => " on the right",
    }
}
