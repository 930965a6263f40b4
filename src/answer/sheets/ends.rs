//! Which of a tube's ends meet what, which tube is fitted to which, and the templates.

use nalgebra::Vector3;
use serde::Serialize;

use super::cope::{Cope, RoundEnd};
use super::surface::Surface;
use crate::answer::words;
use crate::car::{Car, Side};
use crate::space::RailRun;
use crate::strength::body::WELD;

/// A tube that ends on another's end at more than this between the two is butted on its flat end and asks no length of it,
/// degrees (common practice, no source).
const BUTTED: f64 = 120.0;

/// A template whose edge goes up and down by less than this is no template, mm: a square saw cut is as true.
const STRAIGHT: f64 = 0.05;

/// A tube of one side.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Piece {
    /// Its place among the car's tubes.
    pub index: usize,
    pub name: String,
    pub side: Option<Side>,
    pub line: Vec<Vector3<f64>>,
    pub radius: f64,
    pub wall: Option<f64>,
    /// Whether it has to be made: it is not on the car as found.
    pub made: bool,
    /// Whether its ends turn: they take rod ends or bolts.
    pub pinned: bool,
}

/// The end of a tube.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TubeEnd {
    /// The tube, as it is spoken.
    pub tube: String,
    /// Its side, where there is one on either.
    pub side: Option<Side>,
    /// 1 where the car file's first point is, 2 at its last.
    pub end: usize,
    /// Where its axis ends, body frame.
    pub at_mm: [f64; 3],
    /// Along its axis out of the tube, of length one.
    pub along: [f64; 3],
    /// From the axis to the reference line, of length one.
    pub reference: [f64; 3],
    /// Where that is: `on top` or `ahead`.
    pub reference_is: &'static str,
    /// Outside diameter.
    pub od_mm: f64,
    /// Wall; none of a solid bar.
    pub wall_mm: Option<f64>,
    /// What it meets.
    pub meets: Vec<Met>,
    /// Its template; none where it is sawn square.
    pub cope: Option<Cope>,
    /// How far the longest of it lies beyond the place where its axis ends; negative short of it.
    pub beyond_mm: f64,
    /// What the bore has to be filed back on its inside, slanting, at most.
    pub relief_mm: f64,
    /// Why there is no template, or what to look at.
    pub note: String,
}

/// What a tube's end meets.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Met {
    /// The part.
    pub part: String,
    /// Between the tube's axis and the other's, or the flat that it meets: 90 is square.
    pub angle_deg: f64,
    /// Shortest distance between the two axes; none on a flat.
    pub offset_mm: Option<f64>,
    /// The other's outside diameter; none of a flat.
    pub od_mm: Option<f64>,
}

/// What one end meets.
struct Found {
    met: Met,
    surfaces: Vec<Surface>,
    /// The tube, where it ends here as well: its place among the pieces, and which end.
    shared: Option<(usize, usize)>,
}

/// All tubes of a car on their sides. A tube is made that `found` does not have in the same place.
pub(super) fn pieces(car: &Car, found: Option<&Car>) -> Vec<Piece> {
    let mut all = Vec::new();
    for (index, tube) in car.tubes.iter().enumerate() {
        let Ok(line) = car.tube_line(tube) else { continue };
        let made = found.is_none_or(|found| !car.has_same_tube(found, &tube.name));
        let sides = if tube.mirror { Side::BOTH.map(Some).to_vec() } else { vec![None] };
        all.extend(sides.into_iter().map(|side| Piece {
            index,
            name: side.map_or_else(|| tube.name.clone(), |side| format!("{} {}", side.word(), tube.name)),
            side,
            line: line.iter().map(|p| side.unwrap_or(Side::Left).mirror(*p)).collect(),
            radius: tube.od / 2.0,
            wall: tube.wall,
            made,
            pinned: tube.pinned,
        }));
    }
    all
}

/// The ends of all tubes that have to be made.
pub(super) fn ends(car: &Car, pieces: &[Piece]) -> Vec<TubeEnd> {
    let found: Vec<[Vec<Found>; 2]> = (0..pieces.len()).map(|i| [0, 1].map(|end| met(car, pieces, i, end))).collect();
    let over = |i: usize, end: usize| if found[i][end].is_empty() { over(pieces, &found, i, end) } else { 0.0 };
    let overs: Vec<[f64; 2]> = (0..pieces.len()).map(|i| [over(i, 0), over(i, 1)]).collect();
    let made = (0..pieces.len()).filter(|i| pieces[*i].made);
    made.flat_map(|i| [0, 1].map(|end| (i, end))).map(|(i, end)| one(pieces, &found[i][end], &overs, i, end)).collect()
}

impl Piece {
    /// Its end, with its axis out of the tube.
    fn round_end(&self, end: usize) -> RoundEnd {
        let n = self.line.len();
        let (at, before) = if end == 0 { (self.line[0], self.line[1]) } else { (self.line[n - 1], self.line[n - 2]) };
        RoundEnd::new(at, (at - before).normalize(), self.radius)
    }

    /// Length of its last straight stretch at an end, mm.
    fn last_stretch(&self, end: usize) -> f64 {
        let n = self.line.len();
        let [a, b] = if end == 0 { [0, 1] } else { [n - 2, n - 1] };
        (self.line[b] - self.line[a]).norm()
    }

    /// Length along its line, corner to corner, mm.
    pub fn length(&self) -> f64 {
        self.line.windows(2).map(|p| (p[1] - p[0]).norm()).sum()
    }

    /// Which is fitted first: what is on the car already, the thicker, what the car file has first, the left one.
    fn rank(&self, place: usize) -> (bool, i64, usize, usize) {
        (self.made, -(self.radius * 1000.0) as i64, self.index, place)
    }
}

/// What an end meets: rails, plates, tubes that go through, and of those that end there too the ones that are fitted before it.
fn met(car: &Car, pieces: &[Piece], i: usize, end: usize) -> Vec<Found> {
    let own = &pieces[i];
    let round = own.round_end(end);
    let mut all = Vec::new();
    let near = |surfaces: Vec<Surface>| reached(surfaces, &round);
    for rail in &car.rails {
        let sides = if rail.mirror { Side::BOTH.map(Some).to_vec() } else { vec![None] };
        for side in sides {
            let spoken = |name: &str| side.map_or_else(|| name.to_owned(), |side| format!("{} {name}", side.word()));
            let of = side.unwrap_or(Side::Left);
            let runs = RailRun::pieces(rail, of).into_iter().flat_map(|(_, run)| near(Surface::of_rail(&run)));
            let plates =
                RailRun::plates(rail, of).into_iter().flat_map(|(_, solid)| near(vec![Surface::of_solid(&solid)]));
            let surfaces: Vec<Surface> = runs.chain(plates).collect();
            all.extend(found(spoken(&rail.name), surfaces, &round, None));
        }
    }
    for (j, other) in pieces.iter().enumerate().filter(|(j, _)| *j != i) {
        let shared = (0..2).find(|e| (other.round_end(*e).at - round.at).norm() <= own.radius.max(WELD));
        if shared.is_some() && other.rank(j) > own.rank(i) {
            continue;
        }
        let surfaces = near(Surface::of_tube(&other.line, other.radius, [0.0; 2]));
        all.extend(found(other.name.clone(), surfaces, &round, shared.map(|e| (j, e))));
    }
    all
}

/// Of a part that an end is on, the stretches that its outside can reach: the part may bend beside the joint.
fn reached(surfaces: Vec<Surface>, end: &RoundEnd) -> Vec<Surface> {
    if surfaces.iter().all(|s| s.off(end.at) > WELD) {
        return Vec::new();
    }
    surfaces.into_iter().filter(|s| s.off(end.at) <= WELD + 2.0 * end.radius).collect()
}

fn found(part: String, surfaces: Vec<Surface>, end: &RoundEnd, shared: Option<(usize, usize)>) -> Option<Found> {
    let first = surfaces.iter().min_by(|a, b| hit(a, end).total_cmp(&hit(b, end)))?;
    let (angle, offset, od) = match first {
        Surface::Round { at, along, radius, .. } => {
            let square = along.cross(&end.along);
            let off = (end.at - at).dot(&square.try_normalize(1e-6).unwrap_or_default()).abs();
            (end.along.dot(along).abs().min(1.0).acos(), Some(off), Some(2.0 * radius))
        }
        Surface::Ball { radius, .. } => (90f64.to_radians(), Some(0.0), Some(2.0 * radius)),
        Surface::Flat(sides) => {
            // The flat that the axis comes in through.
            let enters = first.enters(end.at, end.along).unwrap_or(0.0);
            let place = end.at + end.along * enters;
            let faces = sides.iter().filter(|s| (place - s.at).dot(&s.out).abs() < 1e-6);
            (faces.map(|s| -s.out.dot(&end.along)).fold(0.0f64, f64::max).min(1.0).asin(), None, None)
        }
    };
    let met = Met { part, angle_deg: angle.to_degrees(), offset_mm: offset, od_mm: od };
    Some(Found { met, surfaces, shared })
}

/// How far along the axis it is entered.
fn hit(surface: &Surface, end: &RoundEnd) -> f64 {
    surface.enters(end.at, end.along).unwrap_or(f64::INFINITY)
}

/// How far a tube that nothing ends runs past the place where others end on it, so that their saddles are on it, mm.
fn over(pieces: &[Piece], found: &[[Vec<Found>; 2]], i: usize, end: usize) -> f64 {
    let first = pieces[i].round_end(end);
    let on_it = |(j, e): (usize, usize)| {
        let shares = found[j][e].iter().any(|f| f.shared == Some((i, end)));
        let other = pieces[j].round_end(e);
        // Between the two tubes, as they run away from the place.
        let between = other.along.dot(&first.along).clamp(-1.0, 1.0).acos();
        let butted = between.to_degrees() > BUTTED || between.sin() < 0.3;
        (shares && !butted).then(|| other.radius / between.sin() - first.radius / between.tan())
    };
    let ends = (0..pieces.len()).flat_map(|j| [(j, 0), (j, 1)]);
    ends.filter_map(on_it).fold(0.0, f64::max)
}

fn one(pieces: &[Piece], found: &[Found], overs: &[[f64; 2]], i: usize, end: usize) -> TubeEnd {
    let piece = &pieces[i];
    let round = piece.round_end(end);
    let onto: Vec<Surface> = found
        .iter()
        .flat_map(|f| match f.shared {
            // As long as it is left.
            Some((j, _)) => reached(Surface::of_tube(&pieces[j].line, pieces[j].radius, overs[j]), &round),
            None => f.surfaces.clone(),
        })
        .collect();
    let cope = round.cope(&onto, piece.last_stretch(end)).filter(|_| !piece.pinned);
    let flat = cope.as_ref().filter(|c| c.open == 0.0 && c.longest_mm[1] - c.shortest_mm[1] < STRAIGHT);
    let butts = flat.map(|c| c.longest_mm[1]);
    let cope = cope.filter(|_| butts.is_none());
    let relief = piece.wall.filter(|_| cope.is_some()).map_or(0.0, |wall| round.relief(&onto, wall));
    let over = if piece.pinned { 0.0 } else { overs[i][end] };
    let note = match &cope {
        None if piece.pinned => {
            "pinned: sawn square to the place where it turns; take off what its rod end or clevis takes up"
        }
        None if found.is_empty() && over > 0.0 => {
            "sawn square, and left to run past for the tubes that are fitted to it"
        }
        None if found.is_empty() => "meets no rail or other tube: sawn square",
        None if butts.is_some() => "butts on what it meets: sawn square",
        None => "lies along what it meets, or misses it: no template; fit it by hand",
        Some(cope) if cope.open > 0.0 => {
            "part of it runs past what it meets: the template is drawn at its longest there"
        }
        Some(_) if onto.iter().any(|s| matches!(s, Surface::Ball { .. })) => {
            "meets a bend, which is taken as sharp and round: file to fit the bend as it is made"
        }
        Some(_) => "",
    };
    TubeEnd {
        tube: piece.name.clone(),
        side: piece.side,
        end: end + 1,
        at_mm: words::point(round.at),
        along: words::point(round.along),
        reference: words::point(round.reference),
        reference_is: round.reference_is(),
        od_mm: 2.0 * piece.radius,
        wall_mm: piece.wall,
        meets: found.iter().map(|f| f.met.clone()).collect(),
        beyond_mm: butts.or(cope.as_ref().map(|c| c.longest_mm[1])).unwrap_or(over),
        relief_mm: relief,
        cope,
        note: note.to_owned(),
    }
}
