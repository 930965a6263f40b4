//! Templates for a rail's cuts and notches: its faces rolled out flat, with the lines to scribe and what goes.
//!
//! A template is seen from outside, stations growing to the right. Where the rail is straight under it, its faces hang
//! together and the paper is folded around the edges; where it bends, each face is a piece of paper by itself.

use nalgebra::{Vector2, Vector3};
use serde::Serialize;

use super::cope::RoundEnd;
use crate::answer::Cut;
use crate::answer::cut::{EDGES, Mark, marks};
use crate::car::units::INCH;
use crate::car::{Car, CutEnd, Mitre, Rail, RailFace, SawCut, Shown, Side};
use crate::space::{FACES, Face, RailRun, SawPlane};

/// How far a template reaches past its lines, mm.
const MARGIN: f64 = 40.0;
/// A template that ends before a bend still reaches this far past its lines, mm.
const NEAR: f64 = 8.0;
/// Between the faces of a template that does not hang together, mm.
const APART: f64 = 12.0;
/// Places around a round rail.
const AROUND: usize = 180;

/// A template for one end of a cut, or for a notch, of a rail on one side.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RailTemplate {
    /// The rail, as it is spoken.
    pub rail: String,
    /// Its side, where there is one on either.
    pub side: Option<Side>,
    /// What stations are counted from.
    pub datum: String,
    /// What is cut, in words: `own cut`, `cut with square ends`, `notch`.
    pub what: String,
    /// The end of the cut; none of a notch.
    pub end: Option<CutEnd>,
    /// Stations that the paper covers, from and to.
    pub covers_mm: [f64; 2],
    /// Whether its faces hang together.
    pub folds: bool,
    /// Its faces, from below.
    pub faces: Vec<FaceSheet>,
    /// Where the paper's end on the datum's side lies: what a tape shows along each edge, from the rail's end at the datum.
    pub lay: Vec<Mark>,
    /// Where the lines meet the edges.
    pub marks: Vec<Mark>,
}

/// A face on paper, mm.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FaceSheet {
    /// Which.
    pub face: Face,
    /// Its outline, once around, from the edge below at the datum's side.
    pub outline: Vec<[f64; 2]>,
    /// Its edge below and its edge above, along the rail.
    pub edges: [Vec<[f64; 2]>; 2],
    /// The edges' names.
    pub edge_names: [&'static str; 2],
    /// Lines to scribe and saw.
    pub lines: Vec<Vec<[f64; 2]>>,
    /// What goes, as pieces without hollows.
    pub scrap: Vec<Vec<[f64; 2]>>,
    /// Lines square to the rail's run, each with its station.
    pub square: Vec<(f64, Vec<[f64; 2]>)>,
}

/// What is taken out of a rail.
enum Taken {
    /// All beyond a plane, on the side of greater stations or of lesser ones.
    Beyond(SawPlane, CutEnd),
    /// A face and so much behind it, as a share of the section, between two stations.
    Behind(RailFace, f64, [f64; 2]),
}

/// A corner of what is left of a face's triangle: on paper, on the car, and how far across the face.
#[derive(Clone, Copy)]
struct Corner {
    paper: Vector2<f64>,
    car: Vector3<f64>,
    across: f64,
}

/// A face laid out flat: its edge below and above, corner by corner along the rail.
struct Laid {
    face: Face,
    below: Vec<Corner>,
    above: Vec<Corner>,
    /// Which of the section's corners they are.
    corners: [usize; 2],
}

/// Square lines are so far apart, mm: a whole number in the reader's unit.
fn every(shown: Shown) -> f64 {
    match shown {
        Shown::Mm => 20.0,
        Shown::In => INCH,
    }
}

/// Templates of the car's own cuts and notches that it did not come with, and of what is planned for rails that are not cut. With what could not be
/// made, in words.
pub(super) fn templates(car: &Car, found: Option<&Car>, cut: &Cut, shown: Shown) -> (Vec<RailTemplate>, Vec<String>) {
    let (mut all, mut without) = (Vec::new(), Vec::new());
    let mut add = |rail: &Rail, datum: &str, what: &str, taken: &[Taken]| {
        for taken in taken {
            for side in if rail.mirror { Side::BOTH.map(Some).to_vec() } else { vec![None] } {
                match template(rail, side, datum, what, taken, every(shown)) {
                    Some(template) => all.push(template),
                    None if side != Some(Side::Right) => without.push(format!(
                        "No template for the {} ({what}): the line reaches over the rail's end, or leans over a bend of a round \
                         rail. Scribe it by `cut --lines`.",
                        rail.name
                    )),
                    None => {}
                }
            }
        }
    };
    for sawn in &cut.sawn {
        let Some(rail) = car.rails.iter().find(|r| r.name == sawn.rail) else { continue };
        let as_found = found.is_some_and(|car| car.rails.contains(rail));
        if as_found {
            continue;
        }
        for own in rail.cuts_in_order() {
            add(rail, &sawn.datum, "own cut", &ends(rail, own));
        }
        let [width, height] = rail.size();
        for notch in &rail.notches {
            let share = notch.depth / notch.face.across(width, height);
            add(rail, &sawn.datum, "own notch", &[Taken::Behind(notch.face, share, [notch.from, notch.to])]);
        }
    }
    let planned = cut.plans.iter().filter(|plan| cut.sawn.iter().all(|own| own.rail != plan.rail));
    for plan in planned {
        let Some(rail) = car.rails.iter().find(|r| r.name == plan.rail) else { continue };
        let [width, height] = rail.size();
        for way in &plan.ways {
            let [near, far] = way.lean_deg.map_or([Mitre::default(); 2], |lean| {
                lean.map(|l| Mitre { up: l.up_deg.to_radians(), out: l.out_deg.to_radians() })
            });
            let taken = match way.notch {
                Some(deep) => {
                    let share = deep.depth_mm / deep.face.across(width, height);
                    vec![Taken::Behind(deep.face, share, [way.from_mm, way.to_mm])]
                }
                None => {
                    let ends_of = crate::car::Ends::Mitred { near, far };
                    ends(rail, &SawCut { from: way.from_mm, to: way.to_mm, ends: ends_of })
                }
            };
            add(rail, &plan.datum, &format!("planned: {}", way.way.words()), &taken);
        }
    }
    (all, without)
}

/// The ends of a cut that are not the rail's own.
fn ends(rail: &Rail, cut: &SawCut) -> Vec<Taken> {
    let [start, last] = rail.ends();
    let there = |end: &CutEnd| match end {
        CutEnd::Near => cut.from > start + 1e-6,
        CutEnd::Far => cut.to < last - 1e-6,
    };
    CutEnd::BOTH.into_iter().filter(there).map(|end| Taken::Beyond(SawPlane::of(cut, end), end)).collect()
}

fn template(
    rail: &Rail,
    side: Option<Side>,
    datum: &str,
    what: &str,
    taken: &Taken,
    every: f64,
) -> Option<RailTemplate> {
    let run = RailRun::new(rail, side.unwrap_or(Side::Left));
    let [start, last] = rail.ends();
    let planes = match taken {
        Taken::Beyond(plane, _) => vec![*plane],
        Taken::Behind(_, _, range) => range.iter().map(|s| SawPlane::square(*s)).collect(),
    };
    let met: Vec<[(usize, f64); 4]> = planes.iter().map(|plane| run.sawn_at(*plane)).collect::<Option<_>>()?;
    let at: Vec<Mark> = planes.iter().flat_map(|plane| marks(&run, *plane)).collect();
    let all = || at.iter().map(|m| m.station_mm);
    let lines = [all().fold(f64::INFINITY, f64::min), all().fold(f64::NEG_INFINITY, f64::max)];
    let stretch = met[0][0].0;
    let straight = met.iter().flatten().all(|(i, _)| *i == stretch);
    if run.radius.is_some() && !straight {
        return None;
    }
    let [low, high] = window(&run, lines, straight.then_some(stretch), every / 2.0);
    let from = (low > start).then_some(SawPlane::square(low));
    let to = (high < last).then_some(SawPlane::square(high));
    let piece = run.piece(from, to);
    let covers = [from.map_or(start, |p| p.station), to.map_or(last, |p| p.station)];
    let laid = if run.radius.is_some() { vec![round(&run, covers)?] } else { faces(&piece) };
    let lay = marks(&run, SawPlane::square(covers[0])).to_vec();
    let faces = laid.iter().map(|laid| sheet(laid, &run, taken, covers, every)).collect();
    Some(RailTemplate {
        rail: side.map_or_else(|| rail.name.clone(), |side| format!("{} {}", side.word(), rail.name)),
        side,
        datum: datum.to_owned(),
        what: what.to_owned(),
        end: match taken {
            Taken::Beyond(_, end) => Some(*end),
            Taken::Behind(..) => None,
        },
        covers_mm: covers,
        folds: run.radius.is_none() && piece.real_stretches().count() == 1,
        faces,
        lay,
        marks: at,
    })
}

/// Stations that a template covers around its lines. Where those lie on one straight stretch, it ends before the bends, so
/// that it can be folded.
fn window(run: &RailRun, [from, to]: [f64; 2], stretch: Option<usize>, step: f64) -> [f64; 2] {
    // To whole stations, so that the paper's ends can be found with a tape.
    let mut window = [((from - MARGIN) / step).floor() * step, ((to + MARGIN) / step).ceil() * step];
    let Some(i) = stretch else { return window };
    if i > 0 {
        let bend = run.off_bends(SawPlane::square(run.stations[i]), true);
        // A line close by a bend leaves no room before it.
        if window[0] < bend && bend < from - NEAR {
            window[0] = bend.ceil();
        }
    }
    if i + 1 < run.stretches() {
        let bend = run.off_bends(SawPlane::square(run.stations[i + 1]), false);
        if bend < window[1] && to + NEAR < bend {
            window[1] = bend.floor();
        }
    }
    window
}

/// The four faces of a box, one above the other.
fn faces(piece: &RailRun) -> Vec<Laid> {
    let stretches: Vec<usize> = piece.real_stretches().collect();
    let sections: Vec<&[Vector3<f64>; 4]> =
        stretches.iter().map(|i| &piece.sections[*i]).chain(stretches.last().map(|i| &piece.sections[i + 1])).collect();
    let first = sections[0];
    let (way, _, _) = piece.frame_of(stretches[0]);
    let middle = first.iter().sum::<Vector3<f64>>() / 4.0;
    // Upwards on paper, with the way to the right and the outside towards the reader.
    let outside = (first[0] + first[1]) / 2.0 - middle;
    let path = if way.cross(&(first[1] - first[0])).dot(&outside) > 0.0 { [2, 3, 0, 1, 2] } else { [2, 1, 0, 3, 2] };
    let apart = if stretches.len() == 1 { 0.0 } else { APART };
    let mut height = 0.0;
    let mut all = Vec::new();
    for pair in path.windows(2) {
        let [k, l] = [pair[0], pair[1]];
        let face = FACES[if (k + 1) % 4 == l { k } else { l }];
        let edge = |k: usize| sections.iter().map(|s| s[k]).collect::<Vec<_>>();
        let (below, above) = (edge(k), edge(l));
        let start = piece.stations[stretches[0]] + (below[0] - piece.centreline[stretches[0]]).dot(&way);
        let (below, above) = flat(&below, &above, Vector2::new(start, height));
        height = above.iter().map(|c| c.paper.y).fold(height, f64::max) + apart;
        all.push(Laid { face, below, above, corners: [k, l] });
    }
    all
}

/// Two edges laid out flat, triangle by triangle, the lower one starting at a place and running to the right.
fn flat(below: &[Vector3<f64>], above: &[Vector3<f64>], at: Vector2<f64>) -> (Vec<Corner>, Vec<Corner>) {
    let corner = |car: Vector3<f64>, across: f64, paper: Vector2<f64>| Corner { paper, car, across };
    // The third corner of a triangle, on the left as one goes from the first to the second.
    let third = |a: &Corner, b: &Corner, c: Vector3<f64>| {
        let (base, ac, bc) = (b.paper - a.paper, (c - a.car).norm_squared(), (c - b.car).norm_squared());
        let along = (ac - bc + base.norm_squared()) / (2.0 * base.norm());
        let up = (ac - along * along).max(0.0).sqrt();
        let way = base.normalize();
        a.paper + way * along + Vector2::new(-way.y, way.x) * up
    };
    let mut low = vec![corner(below[0], 0.0, at)];
    low.push(corner(below[1], 0.0, at + Vector2::new((below[1] - below[0]).norm(), 0.0)));
    let mut high = vec![corner(above[0], 1.0, third(&low[0], &low[1], above[0]))];
    high.push(corner(above[1], 1.0, third(&high[0], &low[1], above[1])));
    for i in 2..below.len() {
        low.push(corner(below[i], 0.0, third(&high[i - 1], &low[i - 1], below[i])));
        high.push(corner(above[i], 1.0, third(&high[i - 1], &low[i], above[i])));
    }
    (low, high)
}

/// A round rail's outside around one straight stretch, from its lowest line around to it again.
fn round(run: &RailRun, covers: [f64; 2]) -> Option<Laid> {
    let stretch = run.at_station((covers[0] + covers[1]) / 2.0).0;
    let radius = run.radius?;
    let (way, up, _) = run.frame_of(stretch);
    let [from, to] = covers.map(|s| s.clamp(run.stations[stretch], run.stations[stretch + 1]));
    let end = RoundEnd { at: run.centreline[stretch], along: way, reference: -up, radius };
    let at = |station: f64, i: usize| {
        // Seen from outside with the run to the right, around is upwards: against the clock as it is seen along the run.
        let turn = std::f64::consts::TAU * i as f64 / AROUND as f64;
        let paper = Vector2::new(station, radius * turn);
        Corner { paper, car: end.outside(-turn) + way * (station - run.stations[stretch]), across: 0.0 }
    };
    let line = |station: f64| (0..=AROUND).map(|i| at(station, i)).collect();
    Some(Laid { face: Face::Round, below: line(from), above: line(to), corners: [2, 2] })
}

fn sheet(laid: &Laid, run: &RailRun, taken: &Taken, covers: [f64; 2], every: f64) -> FaceSheet {
    let plain = |line: &[Corner]| line.iter().map(|c| [c.paper.x, c.paper.y]).collect::<Vec<_>>();
    let (mut lines, mut scrap) = (Vec::new(), Vec::new());
    for triangle in laid.triangles() {
        let (mut left, mut edges) = (triangle.to_vec(), Vec::new());
        for side in taken.sides(run, laid) {
            let (rest, cut) = clipped(&left, &side);
            left = rest;
            edges = edges.into_iter().filter_map(|e: [Corner; 2]| within(e, &side)).collect();
            edges.extend(cut);
        }
        lines.extend(edges.iter().map(|e| plain(e)));
        if left.len() > 2 {
            scrap.push(plain(&left));
        }
    }
    let first = (covers[0] / every).ceil() as i64;
    let last = (covers[1] / every).floor() as i64;
    let square = (first..=last).map(|n| n as f64 * every).filter_map(|station| {
        let side = side_of(run, SawPlane::square(station), 1.0)?;
        let cut = laid.triangles().into_iter().filter_map(|t| clipped(&t, &side).1);
        let line: Vec<[f64; 2]> = cut.flat_map(|e| plain(&e)).collect();
        (!line.is_empty()).then_some((station, ordered(line)))
    });
    let (below, above) = (plain(&laid.below), plain(&laid.above));
    let outline = below.iter().copied().chain(above.iter().rev().copied()).collect();
    let lines = lines.into_iter().map(ordered).collect();
    let square = square.collect();
    let edges = match laid.face {
        // A round rail's edges are its lowest line, twice.
        Face::Round => [vec![below[0], above[0]], vec![below[AROUND], above[AROUND]]],
        _ => [below, above],
    };
    let edge_names = if laid.face == Face::Round { ["bottom"; 2] } else { laid.corners.map(|k| EDGES[k]) };
    FaceSheet { face: laid.face, outline, edges, edge_names, lines, scrap, square }
}

impl Laid {
    fn triangles(&self) -> Vec<[Corner; 3]> {
        let pair = |i: usize| (self.below[i], self.above[i], self.below[i + 1], self.above[i + 1]);
        (0..self.below.len() - 1)
            .flat_map(|i| {
                let (a, b, c, d) = pair(i);
                [[a, c, b], [b, c, d]]
            })
            .collect()
    }
}

/// What a corner is beyond: nothing or less where it is taken.
type Beyond = Box<dyn Fn(&Corner) -> f64>;

impl Taken {
    /// The limits of what is taken of a face.
    fn sides(&self, run: &RailRun, laid: &Laid) -> Vec<Beyond> {
        match self {
            Self::Beyond(plane, end) => {
                let sign = if *end == CutEnd::Near { -1.0 } else { 1.0 };
                side_of(run, *plane, sign).into_iter().collect()
            }
            Self::Behind(taken, share, [from, to]) => {
                let k = RailFace::ALL.iter().position(|f| f == taken).unwrap_or(0);
                let beside = [FACES[(k + 3) % 4], FACES[(k + 1) % 4]];
                let mut all: Vec<Beyond> = Vec::new();
                let planes = [(SawPlane::square(*from), -1.0), (SawPlane::square(*to), 1.0)];
                all.extend(planes.into_iter().filter_map(|(plane, sign)| side_of(run, plane, sign)));
                if beside.contains(&laid.face) {
                    // From the edge that it shares with the face that goes.
                    let (share, from_below) = (*share, [k, (k + 1) % 4].contains(&laid.corners[0]));
                    all.push(Box::new(
                        move |c: &Corner| if from_below { c.across - share } else { 1.0 - c.across - share },
                    ));
                } else if laid.face != FACES[k] {
                    all.push(Box::new(|_| 1.0));
                }
                all
            }
        }
    }
}

/// What lies on the side of greater stations of a plane, by how much, mm; times a sign.
fn side_of(run: &RailRun, plane: SawPlane, sign: f64) -> Option<Beyond> {
    let section = run.section(plane)?;
    let (way, _, _) = run.frame_of(run.at_station(plane.station).0);
    let normal = (section[1] - section[0]).cross(&(section[3] - section[0])).normalize();
    let normal = normal * (sign * normal.dot(&way).signum());
    let at = section[0];
    Some(Box::new(move |c: &Corner| (c.car - at).dot(&normal)))
}

/// What of a shape without hollows is taken, and the line that ends it.
fn clipped(shape: &[Corner], beyond: &Beyond) -> (Vec<Corner>, Option<[Corner; 2]>) {
    let (mut left, mut line) = (Vec::new(), Vec::new());
    for (i, a) in shape.iter().enumerate() {
        let b = &shape[(i + 1) % shape.len()];
        let (over_a, over_b) = (beyond(a), beyond(b));
        if over_a <= 0.0 {
            left.push(*a);
        }
        if (over_a <= 0.0) != (over_b <= 0.0) {
            let at = between(a, b, over_a / (over_a - over_b));
            left.push(at);
            line.push(at);
        }
    }
    (left, <[Corner; 2]>::try_from(line).ok())
}

/// What of a line is taken.
fn within([a, b]: [Corner; 2], beyond: &Beyond) -> Option<[Corner; 2]> {
    let (over_a, over_b) = (beyond(&a), beyond(&b));
    let cut = || between(&a, &b, over_a / (over_a - over_b));
    match (over_a <= 0.0, over_b <= 0.0) {
        (true, true) => Some([a, b]),
        (true, false) => Some([a, cut()]),
        (false, true) => Some([cut(), b]),
        (false, false) => None,
    }
}

fn between(a: &Corner, b: &Corner, share: f64) -> Corner {
    Corner {
        paper: a.paper + (b.paper - a.paper) * share,
        car: a.car + (b.car - a.car) * share,
        across: a.across + (b.across - a.across) * share,
    }
}

/// The places of a line in order from below.
fn ordered(mut line: Vec<[f64; 2]>) -> Vec<[f64; 2]> {
    line.sort_by(|a, b| a[1].total_cmp(&b[1]));
    line
}
