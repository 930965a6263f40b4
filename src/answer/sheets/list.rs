//! What to saw off which stock, and what to buy.

use serde::Serialize;

use super::ends::{Piece, TubeEnd};
use crate::car::{Car, CutEnd, EndPlate, Rail, SawCut};
use crate::space::{RailRun, SawPlane};
use crate::strength::body;
use crate::strength::section::Section;

/// What to saw.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CutList {
    /// Each tube.
    pub tubes: Vec<CutTube>,
    /// Each end plate.
    pub plates: Vec<CutPlate>,
    /// By size and grade, what it takes in all.
    pub stock: Vec<StockTotal>,
    /// Mass of all of it.
    pub mass_kg: f64,
    /// The blade's width, which is added once a piece.
    pub kerf_mm: f64,
    /// What else is to be known.
    pub notes: Vec<String>,
}

/// A tube to saw, with its other hand where there is one.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CutTube {
    /// Its name in the car file.
    pub tube: String,
    /// How many: two of what is there on both sides.
    pub count: usize,
    /// `both hands`, or nothing of what is there once.
    pub hands: &'static str,
    /// Outside diameter.
    pub od_mm: f64,
    /// Wall; none of a solid bar.
    pub wall_mm: Option<f64>,
    /// Grade, or that there is none.
    pub grade: String,
    /// Along its axis between its two described ends, corner to corner.
    pub axis_mm: f64,
    /// To saw, square, from longest point to longest point.
    pub length_mm: f64,
    /// What each end is: `coped 58.2 deg`, `square`.
    pub ends: [String; 2],
    /// Corners to bend, with each one's angle from straight.
    pub bends_deg: Vec<f64>,
    /// Mass of one.
    pub mass_kg: f64,
}

/// An end plate.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CutPlate {
    /// Where it goes.
    pub on: String,
    /// How many.
    pub count: usize,
    /// Its two sides and its thickness.
    pub size_mm: [f64; 3],
    /// Mass of one.
    pub mass_kg: f64,
    /// What it was reckoned of.
    pub grade: String,
}

/// A size of stock.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StockTotal {
    /// Outside diameter.
    pub od_mm: f64,
    /// Wall.
    pub wall_mm: Option<f64>,
    /// Grade.
    pub grade: String,
    /// How many pieces.
    pub pieces: usize,
    /// Their lengths and a blade's width for each.
    pub length_mm: f64,
    /// Their mass.
    pub mass_kg: f64,
    /// Whether the car file's `stock` has it.
    pub in_stock: bool,
}

/// The list of a car's tubes that have to be made, with their ends.
pub(super) fn list(car: &Car, found: Option<&Car>, pieces: &[Piece], ends: &[TubeEnd]) -> CutList {
    let tubes: Vec<CutTube> = pieces
        .iter()
        .filter(|p| p.made && p.side != Some(crate::car::Side::Right))
        .filter_map(|piece| tube(car, pieces, piece, ends))
        .collect();
    let plates = plates(car, found);
    let mut stock: Vec<StockTotal> = Vec::new();
    for t in &tubes {
        let same = |s: &&mut StockTotal| (s.od_mm, s.wall_mm, &s.grade) == (t.od_mm, t.wall_mm, &t.grade);
        let length = (t.length_mm + car.cutting.kerf) * t.count as f64;
        let mass = t.mass_kg * t.count as f64;
        if let Some(known) = stock.iter_mut().find(same) {
            known.pieces += t.count;
            known.length_mm += length;
            known.mass_kg += mass;
            continue;
        }
        let has =
            |s: &crate::car::Stock| (s.od - t.od_mm).abs() < 1e-9 && Some(s.wall) == t.wall_mm && s.grade == t.grade;
        stock.push(StockTotal {
            od_mm: t.od_mm,
            wall_mm: t.wall_mm,
            grade: t.grade.clone(),
            pieces: t.count,
            length_mm: length,
            mass_kg: mass,
            in_stock: car.stock.iter().any(has),
        });
    }
    stock.sort_by(|a, b| a.od_mm.total_cmp(&b.od_mm));
    let mut notes = Vec::new();
    if tubes.iter().any(|t| !t.bends_deg.is_empty()) {
        notes.push(
            "Bent tubes are listed from sharp corner to sharp corner: their bend radius is not described. Take off what your \
             bender saves, or leave them long and saw them after bending."
                .to_owned(),
        );
    }
    if tubes.iter().any(|t| t.count == 2) {
        notes.push(
            "Lengths of what is there on both sides are the left one's, or the right one's where that is longer."
                .to_owned(),
        );
    }
    let mass_kg =
        stock.iter().map(|s| s.mass_kg).sum::<f64>() + plates.iter().map(|p| p.mass_kg * p.count as f64).sum::<f64>();
    CutList { tubes, plates, stock, mass_kg, kerf_mm: car.cutting.kerf, notes }
}

fn tube(car: &Car, pieces: &[Piece], piece: &Piece, ends: &[TubeEnd]) -> Option<CutTube> {
    let described = &car.tubes[piece.index];
    let of = |piece: &Piece, end: usize| ends.iter().find(|e| e.tube == piece.name && e.end == end);
    let long = |piece: &Piece| Some(piece.length() + of(piece, 1)?.beyond_mm + of(piece, 2)?.beyond_mm);
    let both: Vec<&Piece> = pieces.iter().filter(|p| p.index == piece.index).collect();
    let length_mm = both.iter().filter_map(|p| long(p)).fold(0.0, f64::max);
    let (material, grade) = body::metal(car, described.grade.as_deref());
    // A bar is a tube without a bore.
    let section = Section::Tube { diameter: described.od, wall: described.wall.unwrap_or(described.od / 2.0) };
    let area = section.properties().ok()?.area;
    let bends = piece.line.windows(3).map(|p| (p[1] - p[0]).angle(&(p[2] - p[1])).to_degrees()).collect();
    Some(CutTube {
        tube: described.name.clone(),
        count: both.len(),
        hands: if both.len() == 2 { "both hands" } else { "" },
        od_mm: described.od,
        wall_mm: described.wall,
        grade: grade.unwrap_or_else(|| "no grade given, as steel".to_owned()),
        axis_mm: piece.length(),
        length_mm,
        ends: [1, 2].map(|end| of(piece, end).map_or_else(String::new, told_end)),
        bends_deg: bends,
        mass_kg: material.mass(area * length_mm),
    })
}

/// An end in a few words.
fn told_end(end: &TubeEnd) -> String {
    let angle = end.meets.iter().map(|m| format!("{:.1} deg", m.angle_deg)).collect::<Vec<_>>().join(", ");
    match (&end.cope, end.meets.is_empty()) {
        (Some(_), _) => format!("coped, {angle}"),
        (None, true) if end.beyond_mm > 0.0 => "square, runs past".to_owned(),
        (None, true) => "square".to_owned(),
        (None, false) => format!("by hand, {angle}"),
    }
}

/// Plates on cut ends that are not on the car as found.
fn plates(car: &Car, found: Option<&Car>) -> Vec<CutPlate> {
    let mut all = Vec::new();
    for rail in &car.rails {
        let was = found.and_then(|car| car.rails.iter().find(|r| r.name == rail.name));
        let is_new = |plate: &&EndPlate| {
            was.is_none_or(|was| {
                let cut_alike = was.cut(plate.nth) == rail.cut(plate.nth) && was.centreline == rail.centreline;
                !was.plates.contains(plate) || !cut_alike || was.section != rail.section
            })
        };
        let (material, grade) = body::metal(car, rail.grade.as_deref());
        for plate in rail.plates.iter().filter(is_new) {
            let Some(cut) = rail.cut(plate.nth) else { continue };
            let [width, height] = size(rail, cut, plate.cut).map(|mm| mm + 2.0 * plate.over);
            all.push(CutPlate {
                on: format!("{}, {} end of its cut", rail.name, plate.cut.word()),
                count: if rail.mirror { 2 } else { 1 },
                size_mm: [width, height, plate.thickness],
                mass_kg: material.mass(width * height * plate.thickness),
                grade: grade.clone().unwrap_or_else(|| "steel, as the rail has no grade".to_owned()),
            });
        }
    }
    all
}

/// The two sides of a cut end's section, mm: larger than the rail's own where the end leans.
fn size(rail: &Rail, cut: &SawCut, end: CutEnd) -> [f64; 2] {
    let run = RailRun::new(rail, crate::car::Side::Left);
    let section = run.section(SawPlane::of(cut, end));
    section.map_or_else(|| rail.size(), |s| [(s[0] - s[1]).norm(), (s[0] - s[3]).norm()])
}
