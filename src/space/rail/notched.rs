//! A rail with notches: less of its section from one station to another, with a step at each.

use super::RailRun;
use super::sawn::{SAME, SawPlane, Slice};
use crate::car::{Rail, RailFace, Section, Side};

impl RailRun {
    /// The whole of one side's rail with its notches.
    pub(super) fn notched(rail: &Rail, side: Side) -> Self {
        let mut run = Self::new(rail, side);
        let Section::Box { width, height } = rail.section else { return run };
        for notch in &rail.notches {
            run = run.with_notch([notch.from, notch.to], notch.face, notch.depth / notch.face.across(width, height));
        }
        run
    }

    /// With a notch that takes this share of the section away behind a face.
    pub fn with_notch(&self, [from, to]: [f64; 2], face: RailFace, share: f64) -> Self {
        let [start, end] = [self.stations[0], self.stations[self.stations.len() - 1]];
        // Corners of the face, and those across from them.
        let moved: [(usize, usize); 2] = match face {
            RailFace::Top => [(0, 3), (1, 2)],
            RailFace::Inner => [(1, 0), (2, 3)],
            RailFace::Bottom => [(2, 1), (3, 0)],
            RailFace::Outer => [(3, 2), (0, 1)],
        };
        let less = |slice: Slice| {
            let mut less = slice;
            for (corner, across) in moved {
                less.2[corner] = slice.2[corner] + (slice.2[across] - slice.2[corner]) * share;
            }
            less
        };
        let (from, to) = (from.max(start), to.min(end));
        let ends = |piece: Self| (0..piece.centreline.len()).map(|i| piece.slice(i)).collect::<Vec<_>>();
        let mut slices = Vec::new();
        let [low, high] = [from, to].map(SawPlane::square);
        if from > start + SAME {
            slices.extend(ends(self.piece(None, Some(low))));
        }
        let within = self.piece((from > start + SAME).then_some(low), (to < end - SAME).then_some(high));
        slices.extend(ends(within).into_iter().map(less));
        if to < end - SAME {
            slices.extend(ends(self.piece(Some(high), None)));
        }
        self.of(slices)
    }
}
