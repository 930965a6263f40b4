//! Where runs, named places, blocks and loaded places are welded together.

use nalgebra::Vector3;

use super::cuts::{self, Named};
use super::run::{Kind, Run, SAME, foot, sides, spoken};
use super::{BRACKET, Carrier, Mount, NoBody, WELD};
use crate::car::{Block, Car, Side};
use crate::space::{Bar, RailRun, Solid, apart, block_solid};

/// What is at a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum What {
    /// A station of a run.
    Run(usize, f64),
    /// A named place.
    Named(usize),
    /// A block that a named place is on.
    Block,
    /// A place that is loaded.
    Seat(usize),
}

/// A place, before it is known what it is welded to.
#[derive(Debug, Clone, Copy)]
pub(super) struct Spot {
    pub at: Vector3<f64>,
    pub what: What,
}

/// No place is looked for further from a block, mm.
const FAR: f64 = 10_000.0;
/// How closely it is known where a run enters a block, mm.
const STEP: f64 = 5.0;

/// Places, and which of them are one.
pub(super) struct Welds {
    pub runs: Vec<Run>,
    pub named: Vec<Named>,
    pub spots: Vec<Spot>,
    /// Of each run its spots in order of station.
    pub stops: Vec<Vec<usize>>,
    /// Of each named place how far it is from the surface of what it is on, mm.
    pub arms: Vec<f64>,
    /// Which spot each is one with.
    one: Vec<usize>,
}

/// A rail before it was cut.
pub(super) struct Whole {
    pub base: String,
    pub side: Option<Side>,
    pub run: RailRun,
    /// Half its lesser size, mm.
    pub half: f64,
}

/// What of a car does not change with the tubes that are added to it.
pub(super) struct Kit {
    named: Vec<Named>,
    pub rails: Vec<Whole>,
    /// Blocks that named places are on.
    blocks: Vec<(String, Option<Side>, Solid)>,
}

impl Kit {
    pub fn new(car: &Car) -> Self {
        let named = cuts::named(car);
        let is_on = |block: &&Block| named.iter().any(|n| n.on.as_ref().is_some_and(|on| on.0 == block.name));
        let both = |b: &Block| {
            let one = |side: Option<Side>| (b.name.clone(), side, block_solid(b, side.unwrap_or(Side::Left)));
            sides(b.mirror).into_iter().map(one).collect::<Vec<_>>()
        };
        let blocks = car.blocks.iter().filter(is_on).flat_map(both).collect();
        Self { rails: whole(car), blocks, named }
    }
}

impl Welds {
    pub fn new(kit: &Kit, runs: Vec<Run>, mounts: &[Mount]) -> Result<Self, NoBody> {
        let (spots, one) = (Vec::new(), Vec::new());
        let (stops, named) = (vec![Vec::new(); runs.len()], kit.named.clone());
        let arms = vec![0.0; named.len()];
        let mut welds = Self { stops, runs, named, spots, arms, one };
        for run in 0..welds.runs.len() {
            for i in 0..welds.runs[run].stations.len() {
                welds.stop(run, welds.runs[run].stations[i]);
            }
        }
        welds.ends();
        welds.places(kit)?;
        for (seat, mount) in mounts.iter().enumerate() {
            welds.seat(seat, mount);
        }
        Ok(welds)
    }

    /// The spot that stands for all that are one with it.
    pub fn cluster(&self, spot: usize) -> usize {
        let mut top = spot;
        while self.one[top] != top {
            top = self.one[top];
        }
        top
    }

    fn spot(&mut self, at: Vector3<f64>, what: What) -> usize {
        self.spots.push(Spot { at, what });
        self.one.push(self.one.len());
        self.one.len() - 1
    }

    /// The lower number stands for both, so that what comes first in the car file names a place.
    fn join(&mut self, a: usize, b: usize) {
        let (a, b) = (self.cluster(a), self.cluster(b));
        self.one[a.max(b)] = a.min(b);
    }

    /// The spot of a run at a station, made where there is none.
    fn stop(&mut self, run: usize, station: f64) -> usize {
        let station_of = |spots: &[Spot], spot: usize| match spots[spot].what {
            What::Run(_, station) => station,
            _ => f64::NAN,
        };
        let near = |s: &&usize| (station_of(&self.spots, **s) - station).abs() < SAME;
        if let Some(&known) = self.stops[run].iter().find(near) {
            return known;
        }
        let new = self.spot(self.runs[run].at(station), What::Run(run, station));
        let place = self.stops[run].partition_point(|s| station_of(&self.spots, *s) < station);
        self.stops[run].insert(place, new);
        new
    }

    /// Ends of runs, to the runs that they meet.
    fn ends(&mut self) {
        for run in 0..self.runs.len() {
            for end in self.runs[run].meeting() {
                let at = self.runs[run].at(end);
                for other in 0..self.runs.len() {
                    let (one, two) = (&self.runs[run], &self.runs[other]);
                    let cut_apart = one.kind == Kind::Rail && (&one.base, one.side) == (&two.base, two.side);
                    if other == run || cut_apart {
                        continue;
                    }
                    if let Some(foot) = two.meets(at, WELD) {
                        let (a, b) = (self.stop(run, end), self.stop(other, foot.station));
                        self.join(a, b);
                    }
                }
            }
        }
    }

    /// Named places, to what they are on and to what has a corner there.
    fn places(&mut self, kit: &Kit) -> Result<(), NoBody> {
        let mut lumps: Vec<Option<usize>> = vec![None; kit.blocks.len()];
        for place in 0..self.named.len() {
            let Named { base, side, at, on, .. } = self.named[place].clone();
            let spot = self.spot(at, What::Named(place));
            let here = |stop: &&usize| (self.spots[**stop].at - at).norm() < SAME;
            let corners: Vec<usize> = self.stops.iter().flatten().filter(here).copied().collect();
            corners.into_iter().for_each(|corner| self.join(spot, corner));
            let Some((on, own)) = on else { continue };
            if let Some(stop) = self.on_run(&on, own, at, &kit.rails) {
                // Where a cut took away what it was on, it stands by itself.
                if let Some((stop, off)) = stop {
                    self.arms[place] = off;
                    self.join(spot, stop);
                }
                continue;
            }
            let is = |(name, side, _): &(String, Option<Side>, Solid)| *name == on && *side == own;
            let Some(block) = kit.blocks.iter().position(is) else {
                return Err(NoBody::NotThere { place: spoken(&base, side), on });
            };
            self.arms[place] = apart(&[Bar { a: at, b: at, radius: 0.0 }], &kit.blocks[block].2, FAR)
                .map_or(FAR, |near| near.gap.max(0.0));
            let lump = lumps[block].unwrap_or_else(|| {
                let lump = self.spot(at, What::Block);
                self.around(lump, &kit.blocks[block].2);
                lump
            });
            lumps[block] = Some(lump);
            self.join(spot, lump);
        }
        Ok(())
    }

    /// The stop on a rail or tube of that name that is nearest, and how far from its surface the place is; `Some(None)`
    /// where a cut took it away.
    fn on_run(
        &mut self,
        on: &str,
        side: Option<Side>,
        at: Vector3<f64>,
        rails: &[Whole],
    ) -> Option<Option<(usize, f64)>> {
        if let Some(rail) = rails.iter().find(|r| r.base == on && r.side == side) {
            let foot = foot(&rail.run.centreline, &rail.run.stations, at)?;
            let stop = self.left_of(on, rail.side, foot.station);
            return Some(stop.map(|stop| (stop, (foot.off - rail.half).max(0.0))));
        }
        let is = |r: &Run| r.kind == Kind::Tube && r.base == on && r.side == side;
        let tube = self.runs.iter().position(is)?;
        let foot = self.runs[tube].foot(at)?;
        let off = (foot.off - self.runs[tube].half[0]).max(0.0);
        Some(Some((self.stop(tube, foot.station), off)))
    }

    /// The stop at a station of what cuts left of a rail, if that is left.
    fn left_of(&mut self, base: &str, side: Option<Side>, station: f64) -> Option<usize> {
        let has = |r: &Run| {
            let [from, to] = r.ends();
            r.kind == Kind::Rail && r.base == base && r.side == side && from - SAME <= station && station <= to + SAME
        };
        let run = self.runs.iter().position(has)?;
        let [from, to] = self.runs[run].ends();
        Some(self.stop(run, station.clamp(from, to)))
    }

    /// Whatever touches a block, to its lump: all along the stretch that touches it.
    fn around(&mut self, lump: usize, block: &Solid) {
        for run in 0..self.runs.len() {
            let radius = self.runs[run].half[0].min(self.runs[run].half[1]);
            let touches = |a: Vector3<f64>, b: Vector3<f64>| apart(&[Bar { a, b, radius }], block, WELD).is_some();
            let line = &self.runs[run].line;
            if !line.windows(2).any(|p| touches(p[0], p[1])) {
                continue;
            }
            let [from, to] = self.runs[run].ends();
            let count = ((to - from) / STEP).ceil() as usize;
            let station = |i: usize| from + (to - from) * i as f64 / count as f64;
            let at = |i: &usize| self.runs[run].at(station(*i));
            let within: Vec<usize> = (0..=count).filter(|i| touches(at(i), at(i))).collect();
            let (Some(&first), Some(&last)) = (within.first(), within.last()) else { continue };
            let ends = [station(first), station(last)].map(|s| self.stop(run, s));
            let held = |stop: &&usize| match self.spots[**stop].what {
                What::Run(_, s) => (station(first) - SAME..=station(last) + SAME).contains(&s),
                _ => false,
            };
            let between: Vec<usize> = self.stops[run].iter().filter(held).copied().collect();
            ends.into_iter().chain(between).for_each(|stop| self.join(lump, stop));
        }
    }

    /// A loaded place, to what carries it.
    fn seat(&mut self, seat: usize, mount: &Mount) {
        let spot = self.spot(mount.at, What::Seat(seat));
        // A tube that comes right to it carries it, whatever else does.
        for run in 0..self.runs.len() {
            for end in self.runs[run].ends() {
                let comes = (self.runs[run].at(end) - mount.at).norm() <= self.runs[run].half[0] + WELD;
                if comes && self.runs[run].kind == Kind::Tube {
                    let stop = self.stop(run, end);
                    self.join(spot, stop);
                }
            }
        }
        let stop = match &mount.by {
            Some(Carrier::Place(base, side)) => self.place_spot(|n| n.base == *base && n.side == *side),
            Some(Carrier::Rail(base, side, station)) => self.left_of(base, *side, *station),
            Some(Carrier::Tube(base, side, station)) => {
                let is = |r: &Run| r.kind == Kind::Tube && r.base == *base && r.side == *side;
                let run = self.runs.iter().position(is);
                run.map(|run| self.stop(run, station.min(self.runs[run].ends()[1])))
            }
            None => None,
        };
        // What carried it is gone: a node that was made there carries it now.
        let near = |n: &Named| (n.at - mount.at).norm() < BRACKET;
        if let Some(stop) = stop.or_else(|| mount.by.as_ref().and_then(|_| self.place_spot(near))) {
            self.join(spot, stop);
        }
    }

    fn place_spot(&self, is: impl Fn(&Named) -> bool) -> Option<usize> {
        let place = |s: &Spot| matches!(s.what, What::Named(place) if is(&self.named[place]));
        self.spots.iter().position(place)
    }
}

/// Rails that run along the car and that no held place is on: by name and side.
pub(super) fn held_at_datum(car: &Car) -> Vec<(String, Option<Side>)> {
    let named = cuts::named(car);
    let along = |rail: &Whole| {
        let line = &rail.run.centreline;
        let way = line[line.len() - 1] - line[0];
        way.x.abs() >= way.y.abs().max(way.z.abs())
    };
    let own = whole(car).into_iter().filter(along).map(|rail| (rail.base, rail.side));
    // Where the user says how a rail is held, it is held so.
    own.filter(|rail| !named.iter().any(|n| n.held && n.on.as_ref() == Some(rail))).collect()
}

/// Rails as they were before any cut.
fn whole(car: &Car) -> Vec<Whole> {
    let mut all = Vec::new();
    for rail in &car.rails {
        for side in sides(rail.mirror) {
            let run = RailRun::new(rail, side.unwrap_or(Side::Left));
            let half = match rail.section {
                crate::car::Section::Box { width, height } => width.min(height) / 2.0,
                crate::car::Section::Round { od } => od / 2.0,
            };
            all.push(Whole { base: rail.name.clone(), side, run, half });
        }
    }
    all
}
