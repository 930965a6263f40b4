//! Which lines together tie a cut back, and with which tubes: tried as frames.

use std::collections::BTreeSet;

use nalgebra::Vector3;
use rayon::prelude::*;

use super::lines::{Line, Lines};
use super::place::{Role, Sawn, Spot};
use super::{MadeOf, PLATE, RouteTube, Tried, Watch};
use crate::answer::frame::{BodyState, Mounts, SAME, case};
use crate::answer::words;
use crate::car::{Car, CutEnd, EndPlate, FixedTube, Node, Stock, TubePoint};
use crate::space::segments;
use crate::strength::body::{Assembly, Stiffness};

/// Most tubes of a route, on a side.
const MOST: usize = 5;
/// Sets that are grown from at each step: the best.
const WIDE: usize = 48;
/// As many that reach what is wanted are enough to stop growing.
const ENOUGH: usize = 48;
/// Bends nearer than this make two routes alike, mm.
const ALIKE: f64 = 150.0;
/// Bends that are made finer lie no nearer to each other, mm.
const APART: f64 = 60.0;
/// Two tubes that leave a place at less than this to each other cannot be welded, as a cosine.
const TOGETHER: f64 = 0.94;

/// Tubes along lines: line and size in stock.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Set {
    /// In order of the lines.
    pub tubes: Vec<(usize, usize)>,
    reach: Reach,
    /// Whether none of its tubes is known to give out.
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

impl Set {
    /// Whether none of its tubes is known to give out.
    pub fn firm(&self) -> bool {
        self.firm
    }
}

impl Reach {
    const NOTHING: Self = Self { loose: usize::MAX, share: 0.0 };

    fn worse(&self, other: &Self) -> std::cmp::Ordering {
        self.loose.cmp(&other.loose).then(other.share.total_cmp(&self.share))
    }
}

/// Where sets of tubes are tried.
pub(super) struct Bench<'a> {
    car: &'a Car,
    sawn: &'a Sawn,
    lines: &'a Lines,
    mounts: &'a Mounts,
    assembly: Assembly<'a>,
    found: Stiffness,
    share: f64,
    /// The hardest that a route's tube may be used.
    most_used: f64,
    /// Sizes in stock, the lightest first, with their mass, kg/mm.
    stock: Vec<(Stock, f64)>,
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
    ) -> Self {
        let at = before.places.iter().map(|p| p.stiffness_n_per_mm).collect();
        let found = Stiffness { at, twist: before.twist_nm_per_deg };
        let weighed = |s: &Stock| {
            let density = car.material(&s.grade).map_or(7850.0, |m| m.density);
            (s.clone(), area(s) * density * 1e-9)
        };
        let mut stock: Vec<(Stock, f64)> = car.stock.iter().map(weighed).collect();
        stock.sort_by(|a, b| a.1.total_cmp(&b.1));
        let stiffness = |s: &Stock| car.material(&s.grade).map_or(205_000.0, |m| m.modulus) * second(s);
        let room = |line: &Line| {
            let mut all: Vec<usize> = (0..stock.len()).filter(|i| stock[*i].0.od / 2.0 <= line.radius + 1e-9).collect();
            all.sort_by(|a, b| stiffness(&stock[*b].0).total_cmp(&stiffness(&stock[*a].0)));
            all
        };
        let sizes = lines.lines.iter().map(room).collect();
        // Loads that a body as found does not hold by this reckoning are not laid to its route.
        let most_used = (1.0 / car.wanted_factor).max(before.factor().map_or(0.0, |f| 1.0 / f));
        let assembly = Assembly::new(car, &mounts.seats);
        Self { car, sawn, lines, mounts, assembly, found, share, most_used, stock, sizes }
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

    /// Whether a line goes with those of a set: it hangs on one of its bends if it hangs on any, and runs into none.
    fn fits(&self, tubes: &[(usize, usize)], line: usize) -> bool {
        let new = &self.lines.lines[line];
        let is_bend = |spot: usize| self.lines.spots[spot].role == Role::Bend;
        let there = |spot: usize| tubes.iter().any(|(l, _)| self.lines.lines[*l].spots.contains(&spot));
        let hangs = !is_bend(new.spots[0]) || there(new.spots[0]);
        // One way around is enough.
        let around = |l: &Line| l.spots.len() == 3 || (l.spots.len() == 2 && l.spots.iter().all(|s| self.is_end(*s)));
        let twice = around(new) && tubes.iter().any(|(l, _)| around(&self.lines.lines[*l]));
        hangs && !twice && tubes.iter().all(|(l, _)| *l != line && self.apart(&self.lines.lines[*l], new))
    }

    fn is_end(&self, spot: usize) -> bool {
        matches!(self.lines.spots[spot].role, Role::End(_))
    }

    /// Whether two lines keep off each other, or part at an angle where they meet.
    fn apart(&self, one: &Line, other: &Line) -> bool {
        let legs = |line: &Line| -> Vec<([usize; 2], [Vector3<f64>; 2])> {
            let pair = |i: usize| ([line.spots[i], line.spots[i + 1]], [line.corners[i], line.corners[i + 1]]);
            (0..line.spots.len() - 1).map(pair).collect()
        };
        let room = self.thickest(one) + self.thickest(other) + self.car.wanted.linkage_to_body;
        legs(one).iter().all(|(spots, a)| {
            legs(other).iter().all(|(others, b)| {
                let Some(meet) = spots.iter().find(|s| others.contains(s)) else {
                    let [p, q] = segments(*a, *b);
                    return (p - q).norm() >= room;
                };
                let away = |spots: &[usize; 2], line: &[Vector3<f64>; 2]| {
                    let way = (line[1] - line[0]).normalize();
                    if spots[0] == *meet { way } else { -way }
                };
                away(spots, a).dot(&away(others, b)) < TOGETHER
            })
        })
    }

    fn thickest(&self, line: &Line) -> f64 {
        let fits = |od: &f64| od / 2.0 <= line.radius + 1e-9;
        self.stock.iter().map(|s| s.0.od).filter(fits).fold(0.0, f64::max) / 2.0
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

    fn bare_tube(&self, &(line, size): &(usize, usize)) -> FixedTube {
        let stock = &self.stock[size].0;
        FixedTube {
            name: format!("route {line}"),
            mirror: self.sawn.mirror,
            od: stock.od,
            wall: Some(stock.wall),
            grade: Some(stock.grade.clone()),
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

    /// Bends of the first of these sets, as long as they lie apart, mm.
    pub fn bends(&self, sets: &[Set], most: usize) -> Vec<Vector3<f64>> {
        let mut sets: Vec<&Set> = sets.iter().collect();
        sets.sort_by(|a, b| self.before(a, self, b));
        let mut found: Vec<Vector3<f64>> = Vec::new();
        let spots = sets.iter().flat_map(|set| &set.tubes).flat_map(|t| &self.lines.lines[t.0].spots);
        for spot in spots.map(|s| &self.lines.spots[*s]).filter(|s| s.role == Role::Bend) {
            if found.len() < most && found.iter().all(|other| (other - spot.at).norm() > APART) {
                found.push(spot.at);
            }
        }
        found
    }

    /// Whether a set runs like one of another bench: between the same places, with bends close together.
    pub fn alike(&self, one: &Set, bench: &Self, other: &Set) -> bool {
        let like = |a: &(usize, usize), b: &(usize, usize)| {
            let spots = |bench: &'a Lines, line: usize| -> Vec<&'a Spot> {
                bench.lines[line].spots.iter().map(|s| &bench.spots[*s]).collect()
            };
            let (a, b) = (spots(self.lines, a.0), spots(bench.lines, b.0));
            let near = |(p, q): (&&Spot, &&Spot)| {
                let bends = p.role == Role::Bend && q.role == Role::Bend;
                p.at == q.at || (bends && (p.at - q.at).norm() < ALIKE)
            };
            a.len() == b.len() && a.iter().zip(&b).all(near)
        };
        one.tubes.len() == other.tubes.len() && one.tubes.iter().all(|a| other.tubes.iter().any(|b| like(a, b)))
    }

    /// A set as parts of the car.
    pub fn made_of(&self, set: &Set) -> MadeOf {
        let mut taken = Names::of(self.car);
        let rail = &self.sawn.rail;
        let mut made = MadeOf::default();
        let plated = |end: CutEnd| {
            let rail = self.car.rails.iter().find(|r| r.name == *rail);
            rail.is_some_and(|r| r.plates.iter().any(|p| p.cut == end))
        };
        for end in CutEnd::BOTH {
            let used = |(line, _): &(usize, usize)| {
                let spots = &self.lines.lines[*line].spots;
                spots.iter().any(|s| self.lines.spots[*s].role == Role::End(end))
            };
            if set.tubes.iter().any(used) && !plated(end) {
                let plate = EndPlate { cut: end, nth: self.sawn.nth_said(), thickness: PLATE, over: 0.0 };
                made.plates.push((rail.clone(), plate));
            }
        }
        let mut bends: Vec<(usize, String)> = Vec::new();
        for &(line, _) in &set.tubes {
            for &spot in &self.lines.lines[line].spots {
                if self.lines.spots[spot].role == Role::Bend && !bends.iter().any(|b| b.0 == spot) {
                    let name = taken.new_name(format!("{rail} bend"));
                    let at = self.lines.spots[spot].at;
                    made.nodes.push(Node { name: name.clone(), mirror: self.sawn.mirror, at, on: None, held: false });
                    bends.push((spot, name));
                }
            }
        }
        for tube in &set.tubes {
            let spots = &self.lines.lines[tube.0].spots;
            let between = spots.iter().filter(|s| self.is_end(**s)).count() == 2;
            let name = taken.new_name(format!("{rail} {}", if between { "bypass" } else { "brace" }));
            let point = |spot: &usize| {
                let named = bends.iter().find(|b| b.0 == *spot).map(|b| TubePoint::Node(b.1.clone()));
                let spot = &self.lines.spots[*spot];
                named.or_else(|| spot.point.clone()).unwrap_or(TubePoint::At(spot.at))
            };
            made.tubes.push(FixedTube { name, points: spots.iter().map(point).collect(), ..self.bare_tube(tube) });
        }
        made
    }

    /// A set's tubes in words.
    pub fn told(&self, set: &Set, made: &MadeOf) -> Vec<RouteTube> {
        let one = |(&(line, size), tube): (&(usize, usize), &FixedTube)| {
            let (line, stock) = (&self.lines.lines[line], &self.stock[size].0);
            RouteTube {
                name: tube.name.clone(),
                runs: line.spots.iter().map(|s| self.lines.spots[*s].words.clone()).collect(),
                corners_mm: line.corners.iter().map(|c| words::point(*c)).collect(),
                mirror: self.sawn.mirror,
                od_mm: stock.od,
                wall_mm: stock.wall,
                grade: stock.grade.clone(),
                length_mm: line.length,
            }
        };
        set.tubes.iter().zip(&made.tubes).map(one).collect()
    }
}

fn area(s: &Stock) -> f64 {
    let inside = s.od - 2.0 * s.wall;
    std::f64::consts::PI / 4.0 * (s.od * s.od - inside * inside)
}

fn second(s: &Stock) -> f64 {
    std::f64::consts::PI / 64.0 * (s.od.powi(4) - (s.od - 2.0 * s.wall).powi(4))
}

/// Names that are taken.
struct Names(BTreeSet<String>);

impl Names {
    fn of(car: &Car) -> Self {
        let parts = car.rails.iter().map(|r| &r.name).chain(car.tubes.iter().map(|t| &t.name));
        let parts = parts.chain(car.blocks.iter().map(|b| &b.name)).chain(car.panels.iter().map(|p| &p.name));
        Self(parts.chain(car.scans.iter().map(|s| &s.name)).chain(car.nodes.iter().map(|n| &n.name)).cloned().collect())
    }

    /// The name, with a number where it is taken.
    fn new_name(&mut self, base: String) -> String {
        let numbered = (2..).map(|n| format!("{base} {n}"));
        let free = std::iter::once(base.clone()).chain(numbered).find(|name| !self.0.contains(name));
        let name = free.unwrap_or(base);
        self.0.insert(name.clone());
        name
    }
}
