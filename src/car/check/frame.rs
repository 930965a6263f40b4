//! Checks of what is sawn out of rails, of nodes, and of the tubes in stock.

use std::collections::BTreeSet;

use super::axle::tube;
use super::body::mirrored;
use super::{Checked, SAME, SPLITTER, grade, name, near_point, not_negative, part_names, positive, within_angle};
use crate::car::axle::Tube;
use crate::car::body::{Rail, Section};
use crate::car::error::CarError;
use crate::car::nodes::cut_of;
use crate::car::sawn::{CutEnd, CutRoom, Ends, RailNotch, SawCut};
use crate::car::units::FileUnit;
use crate::car::{Car, Side};
use crate::space::{RailRun, SawPlane};

/// No saw is led at a greater angle, degrees.
const MOST_MITRE: f64 = 60.0;

/// No end plate is thicker than this, or stands further over its rail, mm (common practice, no source: 3 to 6 mm, and
/// room for a bead).
const MOST_PLATE: f64 = 25.4;
const MOST_OVER: f64 = 101.6;

/// What is sawn out of a rail and welded on it, once the rail itself has been checked.
pub(super) fn rail(car: &Car, rail: &Rail) -> Checked {
    let unit = car.unit;
    grade::named(car, rail.grade.as_ref())?;
    // What follows asks a rail how it runs.
    let run = RailRun::new(rail, Side::Left);
    let sawn = Sawn { unit, rail, run: &run };
    for (index, cut) in rail.cuts.iter().enumerate() {
        sawn.cut(cut).map_err(|e| e.within(index).within("cuts"))?;
    }
    for (index, notch) in rail.notches.iter().enumerate() {
        sawn.notch(notch).map_err(|e| e.within(index).within("notches"))?;
    }
    sawn.overlaps()?;
    for (index, plate) in rail.plates.iter().enumerate() {
        let here = |e: CarError| e.within(index).within("plates");
        cut_of(rail, plate.nth).map_err(here)?;
        positive(unit, plate.thickness, "thickness").map_err(here)?;
        not_negative(unit, plate.over, "over").map_err(here)?;
        for (field, is, most) in [("thickness", plate.thickness, MOST_PLATE), ("over", plate.over, MOST_OVER)] {
            if is > most {
                let (is, most) = (unit.length(is), unit.length(most));
                let what = format!("`{field}` is {is}, and of an end plate it is {most} at the most: check its unit");
                return Err(here(CarError::new(what).within(field)));
            }
        }
    }
    Ok(())
}

struct Sawn<'a> {
    unit: FileUnit,
    rail: &'a Rail,
    run: &'a RailRun,
}

impl Sawn<'_> {
    /// From and to, in that order and on the rail.
    fn stretch(&self, [from, to]: [f64; 2], what: &str) -> Checked {
        let (unit, [start, end]) = (self.unit, self.rail.ends());
        for (field, station) in [("from", from), ("to", to)] {
            // A station that was worked out may round to just beyond an end.
            if !(start - 1e-3..=end + 1e-3).contains(&station) {
                let (is, start, end) = (unit.length(station), unit.length(start), unit.length(end));
                let what = format!(
                    "`{field}` is {is}, and the rail `{}` runs from {start} to {end}, counted from its datum: take a station \
                     between the two, or that end itself to saw the rail's own end off",
                    self.rail.name
                );
                return Err(CarError::new(what).within(field));
            }
        }
        if to - from < SAME {
            let (from, to) = (unit.length(from), unit.length(to));
            let what = format!("the {what} goes from {from} to {to}: `to` is the station further from the datum");
            return Err(CarError::new(what).within("to"));
        }
        Ok(())
    }

    fn cut(&self, cut: &SawCut) -> Checked {
        self.stretch([cut.from, cut.to], "cut")?;
        let [start, end] = self.rail.ends();
        if cut.from <= start + SAME && cut.to >= end - SAME {
            let what = format!("this cut leaves nothing of the rail `{0}`: use `remove(\"{0}\")`", self.rail.name);
            return Err(CarError::new(what));
        }
        if matches!(cut.ends, Ends::Mitred { .. }) {
            for which in CutEnd::BOTH {
                let mitre = cut.mitre(which);
                for (field, angle) in [("up", mitre.up), ("out", mitre.out)] {
                    within_angle(angle, -MOST_MITRE, MOST_MITRE, field)
                        .map_err(|e| e.within(which.word()).within("ends"))?;
                }
            }
        }
        if cut.from + self.lean(cut, CutEnd::Near) >= cut.to - self.lean(cut, CutEnd::Far) {
            let what = "the two mitred ends meet: take lesser angles, or cut further";
            return Err(CarError::new(what).within("ends"));
        }
        // Where the cut takes the rail's own end, there is no plane.
        if cut.from > start + SAME {
            self.within(SawPlane::of(cut, CutEnd::Near), "from")?;
        }
        if cut.to < end - SAME { self.within(SawPlane::of(cut, CutEnd::Far), "to") } else { Ok(()) }
    }

    /// How far the corners of an end reach before and behind its station, mm.
    fn lean(&self, cut: &SawCut, end: CutEnd) -> f64 {
        let ([width, height], mitre) = (self.rail.size(), cut.mitre(end));
        (mitre.up.tan().abs() * height + mitre.out.tan().abs() * width) / 2.0
    }

    /// A cut's end does not reach over the rail's own.
    fn within(&self, plane: SawPlane, field: &str) -> Checked {
        if self.run.section(plane).is_some() {
            return Ok(());
        }
        let what = format!(
            "the cut at {} leans over the rail's own end: take a lesser angle, or cut to that end",
            self.unit.length(plane.station)
        );
        Err(CarError::new(what).within(field))
    }

    /// A notch's end reaches over no bend.
    fn off_bends(&self, plane: SawPlane, field: &str) -> Checked {
        if self.run.is_off_bends(plane) {
            return Ok(());
        }
        let unit = self.unit;
        let [below, above] = [false, true].map(|up| unit.length(self.run.off_bends(plane, up)));
        let what = format!(
            "at {} the notch would reach over a bend of the rail `{}`: {below} and {above} are the nearest stations off it",
            unit.length(plane.station),
            self.rail.name
        );
        Err(CarError::new(what).within(field))
    }

    fn notch(&self, notch: &RailNotch) -> Checked {
        self.stretch([notch.from, notch.to], "notch")?;
        let Section::Box { width, height } = self.rail.section else {
            let what = format!(
                "the rail `{}` is round, and a notch takes a face of a box: cut it through with `cut_rail`",
                self.rail.name
            );
            return Err(CarError::new(what));
        };
        positive(self.unit, notch.depth, "depth")?;
        let across = notch.face.across(width, height);
        if notch.depth > across - 2.0 * self.rail.wall {
            let unit = self.unit;
            let (is, across, wall) = (unit.length(notch.depth), unit.length(across), unit.length(self.rail.wall));
            let what = format!(
                "a notch {is} deep from the {} face leaves nothing that holds of {across} with walls of {wall}: make it \
                 less deep, or cut the rail through",
                notch.face.word()
            );
            return Err(CarError::new(what).within("depth"));
        }
        let [start, end] = self.rail.ends();
        if notch.from > start + SAME {
            self.off_bends(SawPlane::square(notch.from), "from")?;
        }
        if notch.to < end - SAME { self.off_bends(SawPlane::square(notch.to), "to") } else { Ok(()) }
    }

    /// Cuts and notches lie apart, so that each is where it says.
    fn overlaps(&self) -> Checked {
        let cuts = self.rail.cuts.iter().enumerate().map(|(i, cut)| {
            let [near, far] = CutEnd::BOTH.map(|end| self.lean(cut, end));
            ("cuts", i, [cut.from - near, cut.to + far])
        });
        let notches = self.rail.notches.iter().enumerate().map(|(i, notch)| ("notches", i, [notch.from, notch.to]));
        let mut all: Vec<_> = cuts.chain(notches).collect();
        all.sort_by(|a, b| a.2[0].total_cmp(&b.2[0]));
        for pair in all.windows(2) {
            let [(_, _, before), (list, index, behind)] = [&pair[0], &pair[1]];
            if behind[0] < before[1] + SAME {
                let unit = self.unit;
                let what = format!(
                    "two cuts or notches of the rail `{}` meet, before {} and from {}: make them one",
                    self.rail.name,
                    unit.length(before[1]),
                    unit.length(behind[0])
                );
                return Err(CarError::new(what).within(*index).within(*list));
            }
        }
        Ok(())
    }
}

/// Places where tubes meet, told apart by name.
pub(super) fn nodes(car: &Car) -> Checked {
    let unit = car.unit;
    let mut taken = BTreeSet::new();
    for (index, node) in car.nodes.iter().enumerate() {
        let here = |e: CarError| e.within(index).within("nodes");
        name(&node.name, "node").map_err(|e| here(e.within("name")))?;
        near_point(unit, &node.at).map_err(|e| here(e.within("at")))?;
        mirrored(node.mirror, std::iter::once(&node.at)).map_err(|e| here(e.within("at")))?;
        let own = std::iter::once(node.name.clone()).filter(|_| node.mirror);
        if let Some(word) =
            part_names(&node.name, node.mirror).into_iter().chain(own).find(|w| !taken.insert(w.clone()))
        {
            let what = format!("two nodes are called `{word}`: give one of them another name");
            return Err(here(CarError::new(what).within("name")));
        }
        car.node_on(node).map_err(here)?;
    }
    Ok(())
}

impl Car {
    /// Names of all that is fixed to the body, as the car file has them.
    pub(in crate::car) fn part_names(&self) -> Vec<&str> {
        let rails = self.rails.iter().map(|r| r.name.as_str());
        let panels = self.panels.iter().map(|p| p.name.as_str());
        let scans = self.scans.iter().map(|s| s.name.as_str());
        let tubes = self.tubes.iter().map(|t| t.name.as_str());
        let blocks = self.blocks.iter().map(|b| b.name.as_str());
        let fixed = rails.chain(panels).chain(scans).chain(tubes).chain(blocks);
        fixed.chain(self.splitter.as_ref().map(|_| SPLITTER)).collect()
    }
}

pub(super) fn stock(car: &Car) -> Checked {
    for (index, size) in car.stock.iter().enumerate() {
        tube(car.unit, Tube { od: size.od, wall: Some(size.wall), bow: None })
            .and_then(|()| grade::named(car, Some(&size.grade)))
            .map_err(|e| e.within(index).within("stock"))?;
    }
    Ok(())
}

pub(super) fn cutting(unit: FileUnit, cutting: &CutRoom) -> Checked {
    for (field, mm, most) in [("kerf", cutting.kerf, 20.0), ("weld", cutting.weld, 50.0), ("web", cutting.web, 500.0)] {
        if !(0.0..=most).contains(&mm) {
            let (is, most) = (unit.length(mm), unit.length(most));
            return Err(CarError::new(format!("`{field}` is {is}: it is from nothing up to {most}")).within(field));
        }
    }
    within_angle(cutting.mitre, 0.0, MOST_MITRE, "mitre")
}
