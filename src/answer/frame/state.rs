//! One state of a body: its stiffness, and what its members carry.

use nalgebra::Vector3;
use serde::Serialize;

use super::{Mounts, StateName};
use crate::answer::study::NoAnswer;
use crate::answer::words;
use crate::car::{Car, Shown};
use crate::strength::body::{Assembly, BodyFrame, Kind, Piece, Seat};
use crate::strength::{Answer, LoadCase, Solver, Way};

/// A body in one state.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BodyState {
    /// Which.
    pub state: StateName,
    /// Rails, tubes and end plates.
    pub mass_kg: f64,
    /// What nothing holds, in words; where there is any, its members are not judged.
    pub nothing_holds: Vec<String>,
    /// Tubes' ends that are welded to nothing, in words.
    pub loose_ends: Vec<String>,
    /// Its stiffness at every loaded place.
    pub places: Vec<LoadedPlace>,
    /// Between the two places that are twisted against each other, against what holds the body; none where it comes apart.
    pub twist_nm_per_deg: Option<f64>,
    /// Each member in the load case that uses it most, the hardest used first.
    pub members: Vec<MemberUse>,
    /// How the body bends in the case that uses it most.
    pub bent: Option<Bent>,
    /// Its frame.
    #[serde(skip)]
    pub body: BodyFrame,
    /// Of each load case what it does.
    #[serde(skip)]
    pub answers: Vec<Answer>,
}

/// A place that is loaded.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LoadedPlace {
    /// As it is spoken.
    pub place: String,
    /// Where.
    pub at_mm: [f64; 3],
    /// What carries it.
    pub on: Option<String>,
    /// How far it is from that: a bracket that counts as stiff.
    pub bracket_mm: f64,
    /// A force over what the place gives along it: forwards, sideways, upwards; none where nothing holds it, null where it is
    /// held.
    pub stiffness_n_per_mm: Option<[f64; 3]>,
}

/// What a member carries in the case that uses it most.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MemberUse {
    /// The rail or tube.
    pub run: String,
    /// What it is.
    pub kind: Kind,
    /// Where this piece of it begins and ends; stations of a rail.
    pub from_mm: f64,
    /// Its other end.
    pub to_mm: f64,
    /// Whether it is the whole of the rail or tube.
    pub whole: bool,
    /// End to end.
    pub length_mm: f64,
    /// What it is free to bow over: along the run, from one place where something comes in that holds it to the next.
    pub free_length_mm: f64,
    /// Its grade, where the car file names it.
    pub grade: Option<String>,
    /// The case.
    pub case: String,
    /// Along it, tension positive.
    pub axial_n: f64,
    /// Bending where it is most, about any axis across it.
    pub bending_nm: f64,
    /// Torque.
    pub torque_nm: f64,
    /// Equivalent stress (von Mises) where it is most.
    pub stress_mpa: f64,
    /// That over the yield strength; none where the grade is not known.
    pub yield_use: Option<f64>,
    /// Compression over what it takes before it bows out; none where the grade is not known.
    pub buckling_use: Option<f64>,
    /// kg.
    pub mass_kg: f64,
}

/// How a body bends in a load case.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Bent {
    /// The case.
    pub case: String,
    /// The furthest that any place of it moves.
    pub most_mm: f64,
    /// Its members.
    pub members: Vec<DeflectedMember>,
}

/// A member as it lies, and how far each place of it moves.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DeflectedMember {
    /// The rail or tube.
    pub run: String,
    /// Places along it.
    pub line_mm: Vec<[f64; 3]>,
    /// How far each moves: to be drawn as many times over as shows it.
    pub moves_mm: Vec<[f64; 3]>,
}

/// Parts that a member is drawn in when it is bent.
const DRAWN: usize = 8;

impl MemberUse {
    /// The larger use; none where the grade is not known.
    pub fn most(&self) -> Option<(f64, Way)> {
        let (yields, buckles) = (self.yield_use?, self.buckling_use?);
        Some(if buckles > yields { (buckles, Way::Buckling) } else { (yields, Way::Yield) })
    }
}

impl BodyState {
    /// A car's body under these loads.
    pub(in crate::answer) fn new(state: StateName, car: &Car, mounts: &Mounts) -> Result<Self, NoAnswer> {
        let body = Assembly::new(car, &mounts.seats, &mounts.datums)?.with(&[])?;
        let mut told = Self {
            state,
            mass_kg: body.mass(),
            nothing_holds: body.loose.iter().map(|l| super::told::loose(l, Shown::Mm)).collect(),
            loose_ends: body.loose_ends.iter().map(super::told::loose_end).collect(),
            places: Vec::new(),
            twist_nm_per_deg: None,
            members: Vec::new(),
            bent: None,
            answers: Vec::new(),
            body,
        };
        let (mut answers, mut bent) = (Vec::new(), None);
        if told.body.frame.members.is_empty() {
            told.places = told.body.seats.iter().map(|seat| place(seat, None)).collect();
            return Ok(told);
        }
        {
            let solver = told.body.frame.solver()?;
            let stiffness = told.body.stiffness(&solver, mounts.pair);
            told.places = told.body.seats.iter().zip(&stiffness.at).map(|(seat, at)| place(seat, *at)).collect();
            told.twist_nm_per_deg = stiffness.twist;
            if told.nothing_holds.is_empty() {
                for (name, at) in &mounts.cases {
                    answers.push(solver.answer(&case(name, at, &told.body.seats))?);
                }
                let uses = |a: &Answer| a.weakest().map_or(0.0, |w| w.1);
                let worst = answers.iter().max_by(|a, b| uses(a).total_cmp(&uses(b)));
                bent = worst.map(|answer| drawn(&told.body, &solver, answer));
            }
        }
        told.members = members(&told.body, &answers);
        (told.answers, told.bent) = (answers, bent);
        Ok(told)
    }

    /// The load cases that it is asked in, by name; none where it comes apart.
    pub fn cases(&self) -> impl Iterator<Item = &str> {
        self.answers.iter().map(|answer| answer.case.as_str())
    }

    /// How the body bends in a case; none where it comes apart, or there is no such case.
    pub fn bends(&self, case: &str) -> Option<Bent> {
        let answer = self.answers.iter().find(|answer| answer.case == case)?;
        let solver = self.body.frame.solver().ok()?;
        Some(drawn(&self.body, &solver, answer))
    }

    /// How many times its worst load the member holds that is used most; none where none can be judged.
    pub fn factor(&self) -> Option<f64> {
        self.members.iter().filter_map(MemberUse::most).map(|(most, _)| 1.0 / most).min_by(f64::total_cmp)
    }

    /// Whether it comes apart, or something gives out.
    pub(super) fn fails(&self) -> bool {
        !self.nothing_holds.is_empty() || self.factor().is_some_and(|f| f < 1.0)
    }

    /// What is to be known of it.
    pub(super) fn notes(&self) -> Vec<String> {
        let mut notes = Vec::new();
        let mut plain: Vec<&str> = Vec::new();
        for piece in self.body.pieces.iter().filter(|p| p.grade.is_none() && p.member.is_some()) {
            if !plain.contains(&piece.run.as_str()) {
                plain.push(&piece.run);
            }
        }
        if !plain.is_empty() {
            notes.push(format!(
                "No `grade` is given of the {}: counted as steel for stiffness, and not judged.",
                plain.join(", the ")
            ));
        }
        let long = far(self.places.iter().map(|p| (&p.place, p.bracket_mm, &p.on)));
        if !long.is_empty() {
            notes.push(format!(
                "Brackets count as stiff, and these are long: {long}. A node `on` the part that carries them says more."
            ));
        }
        let arms = far(self.body.places.iter().map(|s| (&s.name, s.off, &s.on)));
        if !arms.is_empty() {
            notes.push(format!(
                "Nodes are stiff with what they are `on`, and these are far from it: {arms}. A tube between says more."
            ));
        }
        if !self.body.beside.is_empty() {
            notes.push(format!("Welded to nothing, so no part of the frame: {}.", self.body.beside.join(", ")));
        }
        for end in &self.loose_ends {
            notes.push(format!("Loose: the {end}. Run it to a node, a rail or a cut end."));
        }
        notes
    }
}

/// A bracket, or an arm from a node to what it is on, that is longer than this is told of, mm.
const LONG: f64 = 60.0;

/// Those of places that are so far from what they are on, mm, in words.
fn far<'a>(places: impl Iterator<Item = (&'a String, f64, &'a Option<String>)>) -> String {
    let words = |(name, off, on): (&String, f64, &Option<String>)| {
        format!("{name} ({off:.0} mm from the {})", on.as_deref().unwrap_or("body"))
    };
    places.filter(|place| place.1 > LONG).map(words).collect::<Vec<_>>().join(", ")
}

fn place(seat: &Seat, stiffness: Option<[f64; 3]>) -> LoadedPlace {
    LoadedPlace {
        place: seat.name.clone(),
        at_mm: words::point(seat.at),
        on: seat.on.clone(),
        bracket_mm: seat.off,
        stiffness_n_per_mm: stiffness,
    }
}

/// A load case at seats.
pub(in crate::answer) fn case(name: &str, at: &[[Vector3<f64>; 2]], seats: &[Seat]) -> LoadCase {
    let loads = seats.iter().zip(at).filter_map(|(seat, [force, moment])| seat.load(*force, *moment));
    LoadCase { name: name.to_owned(), loads: loads.collect() }
}

/// Every member in the case that uses it most.
fn members(body: &BodyFrame, answers: &[Answer]) -> Vec<MemberUse> {
    let hardest = |piece: &Piece| {
        let member = piece.member?;
        let hard = |a: &&Answer| {
            let m = &a.members[member];
            m.yield_use.max(m.buckling_use)
        };
        let worst = answers.iter().max_by(|a, b| hard(a).total_cmp(&hard(b)))?;
        let m = &worst.members[member];
        let known = |v: f64| piece.grade.as_ref().map(|_| v);
        let bending = m.ends.iter().map(|e| e.moment.y.hypot(e.moment.z)).fold(0.0, f64::max);
        Some(MemberUse {
            run: piece.run.clone(),
            kind: piece.kind,
            from_mm: piece.stations[0],
            to_mm: piece.stations[1],
            whole: piece.whole,
            length_mm: (piece.ends[1] - piece.ends[0]).norm(),
            free_length_mm: body.frame.members[member].strut.map_or(f64::NAN, |s| s.length),
            grade: piece.grade.clone(),
            case: worst.case.clone(),
            axial_n: m.axial,
            bending_nm: bending / 1000.0,
            torque_nm: m.ends[1].moment.x.abs() / 1000.0,
            stress_mpa: m.stress.mises,
            yield_use: known(m.yield_use),
            buckling_use: known(m.buckling_use),
            mass_kg: piece.mass,
        })
    };
    let mut all: Vec<MemberUse> = body.pieces.iter().filter_map(hardest).collect();
    let hard = |m: &MemberUse| m.most().map_or(-1.0 / (1.0 + m.stress_mpa), |most| most.0);
    all.sort_by(|a, b| hard(b).total_cmp(&hard(a)));
    all
}

fn drawn(body: &BodyFrame, solver: &Solver, answer: &Answer) -> Bent {
    let pieces = body.pieces.iter().filter_map(|p| Some((p, p.member?)));
    let mut most = 0.0f64;
    let members = pieces
        .map(|(piece, member)| {
            let [rest, moved] = [0.0, 1.0].map(|times| solver.shape(answer, member, DRAWN, times));
            let moves: Vec<_> = rest.iter().zip(&moved).map(|(a, b)| b - a).collect();
            most = moves.iter().map(|m| m.norm()).fold(most, f64::max);
            DeflectedMember {
                run: piece.run.clone(),
                line_mm: rest.into_iter().map(words::point).collect(),
                moves_mm: moves.into_iter().map(words::point).collect(),
            }
        })
        .collect();
    Bent { case: answer.case.clone(), most_mm: most, members }
}
