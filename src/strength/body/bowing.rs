//! How long each piece is free to bow out: between the places where something comes in that holds it.
//!
//! A place on a run holds it against bowing where the body is held there, or where another run comes in that leads to a hold
//! without this one's help. So corners, ends of notches, brackets, and stubs that lead nowhere make nothing shorter, nor does
//! it help to draw one tube as two: where two ends meet and nothing else, both count as one bent run. Its length is that along
//! its pieces, its ends count as pinned, and one that hangs free counts twice (Gere & Goodno, Mechanics of Materials, ch. 11:
//! fixed at one end, free at the other).

use super::assemble::Clusters;
use super::weld::{Welds, What};
use crate::strength::buckling::Strut;

/// A piece of a run between two stops.
struct Piece {
    run: usize,
    clusters: [usize; 2],
    /// Whether the run ends there.
    ends: [bool; 2],
    length: f64,
}

/// What is between two places that hold a run against bowing.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Span {
    /// Along its pieces, mm.
    pub length: f64,
    /// How many of its ends are held; one that is not hangs free.
    ends: usize,
}

impl Span {
    /// End fixity K.
    pub fn fixity(&self) -> f64 {
        if self.ends < 2 { 2.0 } else { 1.0 }
    }
}

/// The spans of a frame.
pub(super) struct Spans {
    /// Of each piece its span, in the order of runs and their stops.
    pub of: Vec<usize>,
    /// By number of their first piece; of others nothing.
    pub spans: Vec<Span>,
}

/// Numbers that are joined to sets.
struct Sets(Vec<usize>);

impl Sets {
    fn new(count: usize) -> Self {
        Self((0..count).collect())
    }

    fn top(&self, mut one: usize) -> usize {
        while self.0[one] != one {
            one = self.0[one];
        }
        one
    }

    fn join(&mut self, a: usize, b: usize) {
        let (a, b) = (self.top(a), self.top(b));
        self.0[a.max(b)] = a.min(b);
    }
}

impl Spans {
    /// Of what is welded so, with these clusters held.
    pub fn new(welds: &Welds, clusters: &Clusters, held: &[bool]) -> Self {
        let pieces = pieces(welds, clusters);
        let mut beside = vec![Vec::new(); held.len()];
        for (i, piece) in pieces.iter().enumerate().filter(|(_, p)| p.clusters[0] != p.clusters[1]) {
            piece.clusters.iter().for_each(|c| beside[*c].push(i));
        }
        let chains = chains(welds.runs.len(), &pieces, &beside, held);
        let chain: Vec<usize> = pieces.iter().map(|p| chains.top(p.run)).collect();
        let mut sets = Sets::new(pieces.len());
        let mut spans = vec![Span::default(); pieces.len()];
        for own in (0..welds.runs.len()).filter(|run| chains.top(*run) == *run) {
            let holds = leads_to_a_hold(&pieces, &beside, held, |piece| chain[piece] != own);
            let mut first: Vec<Option<usize>> = vec![None; held.len()];
            for i in (0..pieces.len()).filter(|i| chain[*i] == own) {
                for cluster in pieces[i].clusters {
                    if holds[cluster] {
                        spans[i].ends += 1;
                    } else {
                        sets.join(*first[cluster].get_or_insert(i), i);
                    }
                }
            }
        }
        let of: Vec<usize> = (0..pieces.len()).map(|i| sets.top(i)).collect();
        for (i, piece) in pieces.iter().enumerate() {
            let ends = if of[i] == i { 0 } else { spans[i].ends };
            spans[of[i]].ends += ends;
            spans[of[i]].length += piece.length;
        }
        Self { of, spans }
    }

    /// Of each piece the weakest strut of its span; `struts`: each piece as if it were the whole of that.
    pub fn weakest(&self, struts: &[Option<Strut>]) -> Vec<Option<Strut>> {
        let mut weakest: Vec<Option<Strut>> = vec![None; struts.len()];
        for (span, strut) in self.of.iter().zip(struts) {
            let known = &mut weakest[*span];
            if let Some(strut) = strut
                && known.as_ref().is_none_or(|k: &Strut| strut.straight() < k.straight())
            {
                *known = Some(*strut);
            }
        }
        self.of.iter().map(|span| weakest[*span]).collect()
    }
}

fn pieces(welds: &Welds, clusters: &Clusters) -> Vec<Piece> {
    let station = |spot: usize| match welds.spots[spot].what {
        What::Run(_, station) => station,
        _ => f64::NAN,
    };
    let of_run = |(run, stops): (usize, &Vec<usize>)| {
        let piece = |(i, pair): (usize, &[usize])| Piece {
            run,
            clusters: [clusters.of[pair[0]], clusters.of[pair[1]]],
            ends: [i == 0, i + 2 == stops.len()],
            length: station(pair[1]) - station(pair[0]),
        };
        stops.windows(2).enumerate().map(piece).collect::<Vec<_>>()
    };
    welds.stops.iter().enumerate().flat_map(of_run).collect()
}

/// Runs that go on as one another: where two ends meet and no third that leads anywhere.
fn chains(runs: usize, pieces: &[Piece], beside: &[Vec<usize>], held: &[bool]) -> Sets {
    // What leads nowhere falls off, end by end.
    let mut live = vec![true; pieces.len()];
    let mut next: Vec<usize> = (0..beside.len()).collect();
    while let Some(cluster) = next.pop() {
        let mut left = beside[cluster].iter().filter(|p| live[**p]);
        if let (Some(&last), None, false) = (left.next(), left.next(), held[cluster]) {
            live[last] = false;
            next.extend(pieces[last].clusters);
        }
    }
    let mut chains = Sets::new(runs);
    let ends = |piece: usize, at: usize| (0..2).any(|i| pieces[piece].ends[i] && pieces[piece].clusters[i] == at);
    for (at, all) in beside.iter().enumerate().filter(|(at, _)| !held[*at]) {
        let left: Vec<usize> = all.iter().copied().filter(|p| live[*p]).collect();
        for pair in [all, &left] {
            if let [a, b] = pair[..]
                && ends(a, at)
                && ends(b, at)
            {
                chains.join(pieces[a].run, pieces[b].run);
            }
        }
    }
    chains
}

/// The clusters that are held, or joined to one that is by some of the pieces.
fn leads_to_a_hold(
    pieces: &[Piece],
    beside: &[Vec<usize>],
    held: &[bool],
    counts: impl Fn(usize) -> bool,
) -> Vec<bool> {
    let mut found = vec![false; held.len()];
    let mut next: Vec<usize> = (0..held.len()).filter(|c| held[*c]).collect();
    while let Some(cluster) = next.pop() {
        if !std::mem::replace(&mut found[cluster], true) {
            next.extend(beside[cluster].iter().filter(|p| counts(**p)).flat_map(|p| pieces[*p].clusters));
        }
    }
    found
}
