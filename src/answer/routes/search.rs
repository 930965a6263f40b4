//! Which lines together tie a cut back, and with which tubes: tried as frames.

use std::collections::BTreeSet;

use rayon::prelude::*;

use super::lines::{Line, Lines};
use super::place::{Role, Sawn};
use super::{Tried, Watch};
use crate::answer::frame::{BodyState, Mounts, SAME, case};
use crate::car::{Car, FixedTube, Stock};
use crate::strength::body::{self, Assembly, NoBody, Stiffness};

/// Most tubes of a route, on a side.
const MOST: usize = 5;
/// Sets that are grown from at each step: the best.
const WIDE: usize = 48;
/// As many that reach what is wanted are enough to stop growing.
const ENOUGH: usize = 48;

/// Tubes along lines: line and size in stock.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Set {
    /// In order of the lines.
    pub tubes: Vec<(usize, usize)>,
    reach: Reach,
    /// Whether none of its tubes is known to give out; looked at where it reaches what is wanted.
    firm: bool,
}

/// What a set reaches.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Reach {
    /// Parts that nothing holds.
    loose: usize,
    /// The least share of a stiffness as found.
    share: f64,
}

impl Reach {
    const NOTHING: Self = Self { loose: usize::MAX, share: 0.0 };

    fn worse(&self, other: &Self) -> std::cmp::Ordering {
        self.loose.cmp(&other.loose).then(other.share.total_cmp(&self.share))
    }
}

/// Where sets of tubes are tried.
pub(super) struct Bench<'a> {
    pub car: &'a Car,
    pub sawn: &'a Sawn,
    pub lines: &'a Lines,
    mounts: &'a Mounts,
    assembly: Assembly<'a>,
    found: Stiffness,
    share: f64,
    /// The hardest that a route's tube may be used.
    most_used: f64,
    /// Sizes in stock, the lightest first, with their mass, kg/mm.
    pub stock: Vec<(Stock, f64)>,
    /// Of each line the sizes that it has room for, the stiffest first.
    sizes: Vec<Vec<usize>>,
}

impl<'a> Bench<'a> {
    /// For a cut car.
    pub fn new(
        car: &'a Car,
        sawn: &'a Sawn,
        lines: &'a Lines,
        mounts: &'a Mounts,
        before: &BodyState,
        share: f64,
    ) -> Result<Self, NoBody> {
        let at = before.places.iter().map(|p| p.stiffness_n_per_mm).collect();
        let found = Stiffness { at, twist: before.twist_nm_per_deg };
        let metal = |s: &Stock| body::metal(car, Some(&s.grade)).0;
        let weighed = |s: &Stock| (s.clone(), metal(s).mass(area(s)));
        let mut stock: Vec<(Stock, f64)> = car.stock.iter().map(weighed).collect();
        stock.sort_by(|a, b| a.1.total_cmp(&b.1));
        let stiffness = |s: &Stock| metal(s).modulus * second(s);
        let room = |line: &Line| {
            let mut all: Vec<usize> = (0..stock.len()).filter(|i| stock[*i].0.od / 2.0 <= line.radius + 1e-9).collect();
            all.sort_by(|a, b| stiffness(&stock[*b].0).total_cmp(&stiffness(&stock[*a].0)));
            all
        };
        let sizes = lines.lines.iter().map(room).collect();
        let most_used = most_used(car.wanted_factor, before);
        let assembly = Assembly::new(car, &mounts.seats, &mounts.datums)?;
        Ok(Self { car, sawn, lines, mounts, assembly, found, share, most_used, stock, sizes })
    }

    /// Sets that reach what is wanted, the lightest first; behind them the best that do not but hold together.
    pub fn search(&self, tried: &mut Tried, watch: Watch) -> Vec<Set> {
        let mut front = vec![Set { tubes: Vec::new(), reach: Reach::NOTHING, firm: true }];
        let (mut done, mut open): (Vec<Set>, Vec<Set>) = (Vec::new(), Vec::new());
        for step in 0..MOST {
            let next = self.grown(&front);
            tried.sets += next.len();
            let found: Vec<Set> = next.into_par_iter().map(|tubes| self.tried(tubes, watch)).collect();
            let (reached, short): (Vec<Set>, Vec<Set>) = found.into_iter().partition(|s| self.reaches(&s.reach));
            done.extend(reached);
            open.extend(short.iter().filter(|s| s.reach.loose == 0).cloned());
            front = short;
            front.sort_by(|a, b| a.reach.worse(&b.reach));
            front.truncate(WIDE);
            (watch.progress)(0.4 + 0.4 * (step + 1) as f64 / MOST as f64);
            if done.len() >= ENOUGH || front.is_empty() || (watch.stop)() {
                break;
            }
        }
        // The lightest as they are become the lightest of all more often than not.
        done.sort_by(|a, b| self.mass(&a.tubes).total_cmp(&self.mass(&b.tubes)));
        done.truncate(ENOUGH);
        let firm = |set: Set| if self.firm(&set.tubes) { set } else { Set { firm: false, ..set } };
        let lighter: Vec<(Set, usize)> = done.into_par_iter().map(|set| self.lightened(firm(set), watch)).collect();
        tried.sets += lighter.iter().map(|l| l.1).sum::<usize>();
        (watch.progress)(1.0);
        lighter.into_iter().map(|l| l.0).chain(open).collect()
    }

    fn reaches(&self, reach: &Reach) -> bool {
        reach.loose == 0 && reach.share >= self.share * (1.0 - SAME)
    }

    /// Whether a set reaches what is wanted, and its tubes hold.
    pub fn good(&self, set: &Set) -> bool {
        set.firm && self.reaches(&set.reach)
    }

    /// Which of two sets, of this bench and another like it, is told first.
    pub fn before(&self, set: &Set, other: &Self, with: &Set) -> std::cmp::Ordering {
        let reaches = (self.reaches(&set.reach), other.reaches(&with.reach));
        let rank = |good: bool, reaches: bool| 2 - usize::from(good) - usize::from(reaches);
        let order = rank(self.good(set), reaches.0).cmp(&rank(other.good(with), reaches.1));
        let lighter = || self.mass(&set.tubes).total_cmp(&other.mass(&with.tubes));
        order.then_with(|| if reaches.0 { lighter() } else { set.reach.worse(&with.reach) })
    }

    /// Whether a set's tubes hold the load cases, or are used no harder than what is used hardest as found.
    fn firm(&self, tubes: &[(usize, usize)]) -> bool {
        let tubes: Vec<FixedTube> = tubes.iter().map(|t| self.bare_tube(t)).collect();
        let Ok(body) = self.assembly.with(&tubes) else { return false };
        let Ok(solver) = body.frame.solver() else { return false };
        let own: Vec<usize> = body
            .pieces
            .iter()
            .filter(|p| tubes.iter().any(|t| p.run.ends_with(&t.name)))
            .filter_map(|p| p.member)
            .collect();
        self.mounts.cases.iter().all(|(name, at)| {
            solver.answer(&case(name, at, &body.seats)).is_ok_and(|answer| {
                let used = |m: &usize| answer.members[*m].yield_use.max(answer.members[*m].buckling_use);
                own.iter().all(|m| used(m) <= self.most_used)
            })
        })
    }

    /// Every set with one line more.
    fn grown(&self, front: &[Set]) -> Vec<Vec<(usize, usize)>> {
        let mut all: BTreeSet<Vec<(usize, usize)>> = BTreeSet::new();
        for set in front {
            for line in 0..self.lines.lines.len() {
                let Some(&size) = self.sizes[line].first() else { continue };
                if self.fits(&set.tubes, line) {
                    let mut tubes = set.tubes.clone();
                    tubes.push((line, size));
                    tubes.sort_unstable();
                    all.insert(tubes);
                }
            }
        }
        all.into_iter().collect()
    }

    fn tried(&self, tubes: Vec<(usize, usize)>, watch: Watch) -> Set {
        let reach = if (watch.stop)() { Reach::NOTHING } else { self.reach(&tubes) };
        Set { tubes, reach, firm: true }
    }

    /// What tubes reach, calculated as the car would be.
    fn reach(&self, tubes: &[(usize, usize)]) -> Reach {
        let tubes: Vec<FixedTube> = tubes.iter().map(|t| self.bare_tube(t)).collect();
        let Ok(body) = self.assembly.with(&tubes) else { return Reach::NOTHING };
        let Ok(solver) = body.frame.solver() else { return Reach::NOTHING };
        let now = body.stiffness(&solver, self.mounts.pair);
        let mut share = f64::INFINITY;
        for (found, now) in self.found.at.iter().zip(&now.at) {
            let Some(found) = found else { continue };
            let now = now.unwrap_or([0.0; 3]);
            share = found.iter().zip(now).map(|(f, n)| n / f).filter(|s| s.is_finite()).fold(share, f64::min);
        }
        if let Some(found) = self.found.twist {
            share = share.min(now.twist.unwrap_or(0.0) / found);
        }
        Reach { loose: body.loose.len(), share }
    }

    pub fn bare_tube(&self, &(line, size): &(usize, usize)) -> FixedTube {
        let stock = &self.stock[size].0;
        FixedTube {
            name: format!("route {line}"),
            mirror: self.sawn.mirror,
            od: stock.od,
            wall: Some(stock.wall),
            grade: Some(stock.grade.clone()),
            pinned: false,
            points: self.lines.lines[line].corners.iter().map(|c| (*c).into()).collect(),
        }
    }

    /// Mass on one side, kg.
    fn mass(&self, tubes: &[(usize, usize)]) -> f64 {
        tubes.iter().map(|(line, size)| self.lines.lines[*line].length * self.stock[*size].1).sum()
    }

    /// A set that reaches what is wanted, made lighter tube by tube as long as it does; and how many were tried.
    fn lightened(&self, mut set: Set, watch: Watch) -> (Set, usize) {
        let mut count = 0;
        loop {
            let mut offers: Vec<Vec<(usize, usize)>> = Vec::new();
            for (i, &(line, size)) in set.tubes.iter().enumerate() {
                let mut without = set.tubes.clone();
                without.remove(i);
                let bends = |s: &&usize| self.lines.spots[**s].role == Role::Bend;
                let hangs = |(l, _): &(usize, usize)| {
                    let bend = self.lines.lines[*l].spots.iter().find(bends);
                    bend.is_none_or(|b| {
                        self.lines.lines[*l].spots.len() == 3
                            || without.iter().any(|(o, _)| {
                                self.lines.lines[*o].spots.len() == 3 && self.lines.lines[*o].spots.contains(b)
                            })
                    })
                };
                if without.iter().all(hangs) && !without.is_empty() {
                    offers.push(without);
                }
                // The next lighter that there is room for.
                if let Some(lighter) = (0..size).rev().find(|s| self.sizes[line].contains(s)) {
                    let mut with = set.tubes.clone();
                    with[i].1 = lighter;
                    offers.push(with);
                }
            }
            offers.sort_by(|a, b| self.mass(a).total_cmp(&self.mass(b)));
            let better = offers.into_iter().find_map(|tubes| {
                count += 1;
                let tried = self.tried(tubes, watch);
                (self.reaches(&tried.reach) && (!set.firm || self.firm(&tried.tubes)))
                    .then_some(Set { firm: set.firm, ..tried })
            });
            match better {
                Some(better) => set = better,
                None => return (set, count),
            }
        }
    }
}

/// The hardest that a route's tube may be used: as the factor that is wanted allows, or as the body as found uses its hardest
/// member, but never so that it gives out.
pub(super) fn most_used(wanted_factor: f64, before: &BodyState) -> f64 {
    let hardest = before.factor().map_or(0.0, |f| 1.0 / f);
    hardest.min(1.0).max(1.0 / wanted_factor)
}

fn area(s: &Stock) -> f64 {
    let inside = s.od - 2.0 * s.wall;
    std::f64::consts::PI / 4.0 * (s.od * s.od - inside * inside)
}

fn second(s: &Stock) -> f64 {
    std::f64::consts::PI / 64.0 * (s.od.powi(4) - (s.od - 2.0 * s.wall).powi(4))
}
