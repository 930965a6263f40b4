//! Welded places to a frame's nodes and members.

use std::collections::BTreeMap;

use nalgebra::Vector3;

use super::bowing::Spans;
use super::cuts;
use super::run::{self, Run, SAME, spoken};
use super::weld::{Kit, Spot, Welds, What};
use super::{BodyFrame, Carrier, Datums, Held, Mount, NoBody, Piece, Seat};
use crate::car::{Car, FixedTube};
use crate::strength::buckling::Strut;
use crate::strength::frame::{Dofs, Frame, Member, Node};

/// A car's body, ready to be made a frame of with tubes added to it.
pub struct Assembly<'a> {
    car: &'a Car,
    kit: Kit,
    runs: Vec<Run>,
    mounts: &'a [Mount],
    datums: &'a Datums,
}

impl<'a> Assembly<'a> {
    /// To be loaded at these places, and held at these rails' datums beside the places that say so.
    ///
    /// # Errors
    /// As [`super::assemble`].
    pub fn new(car: &'a Car, mounts: &'a [Mount], datums: &'a Datums) -> Result<Self, NoBody> {
        Ok(Self { car, kit: Kit::new(car), runs: run::of(car)?, mounts, datums })
    }

    /// The frame with these tubes too.
    ///
    /// # Errors
    /// As [`super::assemble`].
    pub fn with(&self, tubes: &[FixedTube]) -> Result<BodyFrame, NoBody> {
        let runs: Vec<Run> = self.runs.iter().cloned().chain(run::tubes(self.car, tubes)?).collect();
        of(self, runs)
    }
}

fn of(assembly: &Assembly, runs: Vec<Run>) -> Result<BodyFrame, NoBody> {
    let Assembly { car, kit, mounts, datums, .. } = assembly;
    if runs.is_empty() {
        return Err(NoBody::Empty);
    }
    runs.iter().try_for_each(has_length)?;
    let welds = Welds::new(kit, runs, mounts)?;
    let clusters = Clusters::new(&welds);
    let has_piece = clusters.with_pieces(&welds);
    let (held, fixed) = supports(&welds, &clusters, datums, &has_piece)?;
    let reached = clusters.reached(&welds, &fixed);
    let build = Build { welds: &welds, clusters: &clusters, reached: &reached };
    let (nodes, numbers) = build.nodes(&fixed, &has_piece);
    let is_fixed: Vec<bool> = (0..clusters.at.len()).map(|c| fixed.contains(&c)).collect();
    let (pieces, members) = build.pieces(&numbers, &Spans::new(&welds, &clusters, &is_fixed));
    let (loose, beside) = build.loose(mounts);
    let seat = |name: String, (spot, cluster): (&Spot, &usize), on: Option<String>, off: f64| Seat {
        name,
        at: spot.at,
        node: numbers[*cluster],
        arm: spot.at - clusters.at[*cluster],
        on,
        off,
    };
    let (mut seats, mut places) = (Vec::new(), Vec::new());
    for here in welds.spots.iter().zip(&clusters.of) {
        match here.0.what {
            What::Seat(k) => {
                let Mount { name, by, off, .. } = &mounts[k];
                seats.push(seat(name.clone(), here, by.as_ref().map(Carrier::words), *off));
            }
            What::Named(k) => {
                let named = &welds.named[k];
                let on = named.on.as_ref().map(|(on, side)| spoken(on, *side));
                places.push(seat(spoken(&named.base, named.side), here, on, welds.arms[k]));
            }
            What::Run(..) | What::Block => {}
        }
    }
    Ok(BodyFrame {
        frame: Frame { nodes, members, shear: true },
        pieces,
        plates: cuts::plates(car),
        held,
        seats,
        places,
        loose_ends: build.loose_ends(&beside),
        loose,
        beside,
    })
}

pub(super) fn mounts(car: &Car, places: &[(String, Vector3<f64>)]) -> Result<Vec<Mount>, NoBody> {
    let kit = Kit::new(car);
    let runs = run::of(car)?;
    runs.iter().try_for_each(has_length)?;
    let welds = Welds::new(&kit, runs, &[])?;
    let mount = |(name, at): &(String, Vector3<f64>)| {
        let (by, off) = welds.carrier(&kit, *at).unzip();
        Mount { name: name.clone(), at: *at, by, off: off.unwrap_or(0.0) }
    };
    Ok(places.iter().map(mount).collect())
}

fn has_length(run: &Run) -> Result<(), NoBody> {
    for (i, pair) in run.line.windows(2).enumerate() {
        let apart = (pair[1] - pair[0]).norm();
        if apart < SAME {
            return Err(NoBody::NoLength { name: run.name.clone(), corner: i + 1, apart });
        }
    }
    Ok(())
}

/// Places that are one.
pub(super) struct Clusters {
    /// Of each spot.
    pub of: Vec<usize>,
    /// Where each is, mm: at the spot that stands for it.
    pub at: Vec<Vector3<f64>>,
    /// What errors call each.
    name: Vec<String>,
}

impl Clusters {
    fn new(welds: &Welds) -> Self {
        let mut number: BTreeMap<usize, usize> = BTreeMap::new();
        let (mut of, mut at, mut name) = (Vec::new(), Vec::new(), Vec::<String>::new());
        for (i, spot) in welds.spots.iter().enumerate() {
            let top = welds.cluster(i);
            let next = number.len();
            let cluster = *number.entry(top).or_insert(next);
            if cluster == at.len() {
                at.push(welds.spots[top].at);
                name.push(String::new());
            }
            if let What::Named(k) = spot.what {
                name[cluster] = spoken(&welds.named[k].base, welds.named[k].side);
            } else if let (What::Run(run, station), true) = (spot.what, name[cluster].is_empty()) {
                name[cluster] = format!("{}, {station:.0} mm", welds.runs[run].name);
            }
            of.push(cluster);
        }
        Self { of, at, name }
    }

    /// Whether each has something of a run at it.
    fn with_pieces(&self, welds: &Welds) -> Vec<bool> {
        let mut has_piece = vec![false; self.at.len()];
        welds.stops.iter().flatten().for_each(|stop| has_piece[self.of[*stop]] = true);
        has_piece
    }

    /// Whether each is joined to one that is held.
    pub fn reached(&self, welds: &Welds, fixed: &[usize]) -> Vec<bool> {
        let mut beside = vec![Vec::new(); self.at.len()];
        for stops in &welds.stops {
            for pair in stops.windows(2) {
                let [a, b] = [self.of[pair[0]], self.of[pair[1]]];
                beside[a].push(b);
                beside[b].push(a);
            }
        }
        let mut reached = vec![false; self.at.len()];
        let mut next = fixed.to_vec();
        while let Some(cluster) = next.pop() {
            if !std::mem::replace(&mut reached[cluster], true) {
                next.extend(&beside[cluster]);
            }
        }
        reached
    }
}

/// What holds something of the frame, and the clusters that are held.
fn supports(
    welds: &Welds,
    clusters: &Clusters,
    datums: &Datums,
    has_piece: &[bool],
) -> Result<(Held, Vec<usize>), NoBody> {
    let (mut held, mut fixed) = (Held::default(), Vec::new());
    for (i, spot) in welds.spots.iter().enumerate() {
        if let What::Named(k) = spot.what
            && welds.named[k].held
        {
            fixed.push(clusters.of[i]);
            if has_piece[clusters.of[i]] {
                held.places.push(spoken(&welds.named[k].base, welds.named[k].side));
            }
        }
    }
    for (run, stops) in welds.runs.iter().zip(&welds.stops) {
        if run.datum && datums.has(&run.base, run.side) {
            held.datums.push((run.name.clone(), run.datum_words.clone()));
            fixed.push(clusters.of[stops[0]]);
        }
    }
    if fixed.is_empty() { Err(NoBody::Unheld) } else { Ok((held, fixed)) }
}

pub(super) struct Build<'a> {
    pub welds: &'a Welds,
    pub clusters: &'a Clusters,
    pub reached: &'a [bool],
}

impl Build<'_> {
    /// The frame's nodes: clusters that are held and have a piece; and of each cluster its node's number.
    fn nodes(&self, fixed: &[usize], has_piece: &[bool]) -> (Vec<Node>, Vec<Option<usize>>) {
        let turns_free = self.turns_free();
        let mut nodes = Vec::new();
        let number = |cluster: usize| {
            (self.reached[cluster] && has_piece[cluster]).then(|| {
                let held = match (fixed.contains(&cluster), turns_free[cluster]) {
                    (true, _) => Dofs::ALL,
                    (false, true) => Dofs::TURNS,
                    (false, false) => Dofs::NONE,
                };
                let (name, at) = (self.clusters.name[cluster].clone(), self.clusters.at[cluster]);
                nodes.push(Node { name, at, held });
                nodes.len() - 1
            })
        };
        let numbers = (0..self.clusters.at.len()).map(number).collect();
        (nodes, numbers)
    }

    /// Whether pins alone meet at each cluster and nothing loads them through a bracket. Which way it turns then matters to
    /// nothing, and the frame is told that it does not turn. A bracket on pins alone does turn: the frame says so.
    fn turns_free(&self) -> Vec<bool> {
        let mut free = vec![true; self.clusters.at.len()];
        for (run, stops) in self.welds.runs.iter().zip(&self.welds.stops) {
            for (i, stop) in stops.iter().enumerate() {
                if !run.pinned || (i > 0 && i + 1 < stops.len()) {
                    free[self.clusters.of[*stop]] = false;
                }
            }
        }
        for (spot, cluster) in self.welds.spots.iter().zip(&self.clusters.of) {
            if let What::Seat(_) = spot.what
                && (spot.at - self.clusters.at[*cluster]).norm() > SAME
            {
                free[*cluster] = false;
            }
        }
        free
    }

    fn pieces(&self, numbers: &[Option<usize>], spans: &Spans) -> (Vec<Piece>, Vec<Member>) {
        let (mut pieces, mut members, mut struts) = (Vec::new(), Vec::<Member>::new(), Vec::new());
        for (run, stops) in self.welds.runs.iter().zip(&self.welds.stops) {
            for (i, pair) in stops.windows(2).enumerate() {
                let stations = [pair[0], pair[1]].map(|s| match self.welds.spots[s].what {
                    What::Run(_, station) => station,
                    _ => f64::NAN,
                });
                let stretch = run.stretch((stations[0] + stations[1]) / 2.0);
                let section = run.sections[stretch];
                let ends = stations.map(|s| run.at(s));
                let properties = section.properties().ok();
                let area = properties.as_ref().map_or(0.0, |p| p.area);
                let mass = run.material.mass(area * (ends[1] - ends[0]).norm());
                let clusters = [pair[0], pair[1]].map(|s| self.clusters.of[s]);
                let span = spans.spans[spans.of[pieces.len()]];
                let strut = |p| Strut::of(p, &run.material, span.length, span.fixity());
                struts.push(properties.as_ref().map(strut));
                let whole = stops.len() == 2 && !run.part;
                let name = if whole {
                    run.name.clone()
                } else {
                    format!("{}, {:.0} to {:.0} mm", run.name, stations[0], stations[1])
                };
                let member = match clusters.map(|c| numbers[c]) {
                    [Some(a), Some(b)] if a != b => {
                        let mut member = Member::new(name, [a, b], section, run.material.clone());
                        let up = run.up(stretch);
                        let along = (ends[1] - ends[0]).normalize();
                        let [y, z] = properties.map_or([0.0; 2], |p| p.centroid);
                        // What a notch leaves carries along its own middle.
                        let shifted = up.cross(&along) * y + up * z;
                        member.up = Some(up);
                        member.freed = run.freed([i == 0, i + 2 == stops.len()]);
                        member.offsets = [0, 1].map(|i| ends[i] + shifted - self.clusters.at[clusters[i]]);
                        members.push(member);
                        Some(members.len() - 1)
                    }
                    _ => None,
                };
                pieces.push(Piece {
                    run: run.name.clone(),
                    kind: run.kind,
                    stations,
                    whole,
                    ends,
                    section,
                    material: run.material.clone(),
                    grade: run.grade.clone(),
                    mass,
                    member,
                });
            }
        }
        for (piece, strut) in pieces.iter().zip(spans.weakest(&struts)) {
            if let Some(member) = piece.member {
                members[member].strut = strut;
            }
        }
        (pieces, members)
    }
}
