//! What carries a place that is loaded.

use nalgebra::Vector3;

use super::cuts::Named;
use super::run::{Kind, foot};
use super::weld::{Kit, Welds, What};
use super::{Carrier, REACH};

impl Welds {
    /// What is nearest to a place of all that can carry it, and how far off.
    pub fn carrier(&self, kit: &Kit, at: Vector3<f64>) -> Option<(Carrier, f64)> {
        let mut best: Option<(Carrier, f64)> = None;
        let mut offer = |off: f64, carrier: Carrier| {
            if off < best.as_ref().map_or(REACH, |b| b.1) {
                best = Some((carrier, off));
            }
        };
        for (i, spot) in self.spots.iter().enumerate() {
            let What::Named(place) = spot.what else { continue };
            let Named { base, side, on, held, .. } = &self.named[place];
            if on.is_some() || *held || self.welded(i) {
                offer((spot.at - at).norm(), Carrier::Place(base.clone(), *side));
            }
        }
        for rail in &kit.rails {
            let Some(foot) = foot(&rail.run.centreline, &rail.run.stations, at) else { continue };
            offer((foot.off - rail.half).max(0.0), Carrier::Rail(rail.base.clone(), rail.side, foot.station));
        }
        if best.is_none() {
            let mut near = REACH;
            for (run, stops) in self.runs.iter().zip(&self.stops).filter(|(r, _)| r.kind == Kind::Tube) {
                let Some(foot) = run.foot(at) else { continue };
                let off = (foot.off - run.half[0]).max(0.0);
                // One that hangs free, such as an exhaust, carries nothing.
                if off < near && stops.iter().any(|stop| self.welded(*stop)) {
                    near = off;
                    best = Some((Carrier::Tube(run.base.clone(), run.side, foot.station), off));
                }
            }
        }
        best
    }

    /// Whether a spot is one with that of another run.
    fn welded(&self, spot: usize) -> bool {
        let own = self.spots[spot].what;
        let other = |what: What| match (what, own) {
            (What::Run(run, _), What::Run(own, _)) => run != own,
            (What::Run(..), _) => true,
            _ => false,
        };
        let top = self.cluster(spot);
        (0..self.spots.len()).any(|i| self.cluster(i) == top && other(self.spots[i].what))
    }
}
