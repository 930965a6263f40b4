//! What nothing holds.

use nalgebra::Vector3;

use super::Mount;
use super::assemble::Build;
use super::run::{Kind, spoken};
use super::weld::What;

/// A tube's end that is welded to nothing.
#[derive(Debug, Clone, PartialEq)]
pub struct LooseEnd {
    /// The tube, as it is spoken.
    pub tube: String,
    /// Whether it is its last point; else its first.
    pub last: bool,
    /// Where, mm.
    pub at: Vector3<f64>,
}

/// A part of the body that nothing holds: pieces of rails and tubes that hang together, and places on them.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Loose {
    /// Rails and tubes, as they are spoken, with the stations from where to where, mm, where it is not the whole of a rail.
    pub runs: Vec<(String, Option<[f64; 2]>)>,
    /// Named and loaded places.
    pub places: Vec<String>,
}

impl Build<'_> {
    /// What nothing holds, and the tubes that are no part of the body.
    pub fn loose(&self, mounts: &[Mount]) -> (Vec<Loose>, Vec<String>) {
        let mut parts: Vec<(Vec<usize>, Loose)> = Vec::new();
        let mut part = vec![None; self.clusters.at.len()];
        for cluster in (0..part.len()).filter(|c| !self.reached[*c]) {
            if part[cluster].is_none() {
                let all = self.clusters.reached(self.welds, &[cluster]);
                let members: Vec<usize> = (0..all.len()).filter(|c| all[*c]).collect();
                members.iter().for_each(|c| part[*c] = Some(parts.len()));
                parts.push((members, Loose::default()));
            }
        }
        let mut rails = vec![false; parts.len()];
        for (run, stops) in self.welds.runs.iter().zip(&self.welds.stops) {
            let Some(part) = part[self.clusters.of[stops[0]]] else { continue };
            rails[part] |= run.kind == Kind::Rail;
            parts[part].1.runs.push((run.name.clone(), run.part.then(|| run.ends())));
        }
        for (i, spot) in self.welds.spots.iter().enumerate() {
            let Some(part) = part[self.clusters.of[i]] else { continue };
            let name = match spot.what {
                What::Named(k) if self.welds.named[k].on.is_some() => {
                    spoken(&self.welds.named[k].base, self.welds.named[k].side)
                }
                // What nothing in the car file carries is not loose: it is not described.
                What::Seat(k) if mounts[k].by.is_some() => mounts[k].name.clone(),
                _ => continue,
            };
            if !parts[part].1.places.contains(&name) {
                parts[part].1.places.push(name);
            }
        }
        let (mut loose, mut beside) = (Vec::new(), Vec::new());
        for ((_, part), rail) in parts.into_iter().zip(rails) {
            if rail || !part.places.is_empty() {
                loose.push(part);
            } else {
                beside.extend(part.runs.into_iter().map(|(name, _)| name));
            }
        }
        (loose, beside)
    }

    pub fn loose_ends(&self, beside: &[String]) -> Vec<LooseEnd> {
        let mut ends = Vec::new();
        for (number, (run, stops)) in self.welds.runs.iter().zip(&self.welds.stops).enumerate() {
            if run.kind != Kind::Tube || beside.contains(&run.name) {
                continue;
            }
            for (last, stop) in [(false, stops[0]), (true, stops[stops.len() - 1])] {
                let cluster = self.clusters.of[stop];
                let joined = self.welds.spots.iter().enumerate().any(|(i, s)| {
                    self.clusters.of[i] == cluster
                        && match s.what {
                            What::Run(other, _) => other != number || (i != stop),
                            What::Named(k) => self.welds.named[k].on.is_some() || self.welds.named[k].held,
                            What::Block | What::Seat(_) => true,
                        }
                });
                if !joined {
                    ends.push(LooseEnd { tube: run.name.clone(), last, at: self.welds.spots[stop].at });
                }
            }
        }
        ends
    }
}
