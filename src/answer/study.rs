//! A car set up to be asked: its mechanism, its parts and the poses of its sweep.

use std::collections::BTreeMap;
use std::sync::OnceLock;

use rayon::prelude::*;

use super::stance::Underside;
use super::{Cut, Gaps, Lock, words};
use crate::car::{AxleName, Car, Hub, Shown};
use crate::motion::{CornerPose, Frame, OutOfReach, Plane, Pose, RunningGear, Standing};
use crate::space::{Beside, Least, Parts, Place, Proof, Proving, Scans, Swept, Unswept, WheelSweep};
use crate::strength::FrameError;
use crate::strength::body::NoBody;
use crate::strength::forces::NoForces;
use crate::strength::forces::case::Lacking;

/// A least gap is proven to this, mm: less than a tape can see.
pub const SLACK: f64 = 0.1;
/// Poses that the proof of one pair may look at: some tenths of a second.
pub(super) const BUDGET: usize = 30_000;

/// A car set up to be asked.
#[derive(Debug, Clone)]
pub struct Study {
    /// The car, with any proposal made.
    pub car: Car,
    /// Its axles.
    pub gear: RunningGear,
    /// Its parts.
    pub parts: Parts,
    /// Its wheels' sweeps, in the order of [`Hub::ALL`].
    pub sweeps: Vec<WheelSweep>,
    /// What is to be said beside its answers: scans whose files changed, or that do not fit.
    pub notes: Vec<String>,
    /// Scans that may not lie where they should, each with why, in a clause for the answers' sentences.
    pub beware: Vec<String>,
    /// Of each scan that was laid by picked points how far off the worst of them is, mm.
    pub(super) off: BTreeMap<String, f64>,
    /// What the quantities of the front and the rear axle need to know of the car.
    frames: [Option<Frame>; 2],
    /// For each sweep the least gap of each pair at its wheel, as searched.
    searched: OnceLock<Vec<Vec<Proof>>>,
    /// The same, proven.
    proven: OnceLock<Vec<Vec<Proof>>>,
    /// What is known of a wheel's pairs from another car, where nothing that they depend on is another.
    known: Vec<(Hub, Vec<Proof>)>,
    /// How far it steers, proven.
    pub(super) proven_lock: OnceLock<Lock>,
    /// Where rails are in the way, proven, with all plans.
    pub(super) proven_cut: OnceLock<Cut>,
    /// The underside over the sweep.
    pub(super) underside: OnceLock<Underside>,
}

/// All answers about a car.
#[derive(Debug, Clone, PartialEq)]
pub struct Answers {
    /// What touches.
    pub gaps: Gaps,
    /// How far it steers.
    pub lock: Lock,
    /// Where rails are in the way.
    pub cut: Cut,
}

/// Why there is no answer.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NoAnswer {
    /// The wheels cannot stand on the ground at ride height.
    #[error(
        "at ride height the {} wheel cannot stand on the ground: the {} is at the end of its swing before it gets there. \
         Check the points, the tyre and how far the body is lowered", .0.hub.words(), .0.part
    )]
    Ride(OutOfReach),
    /// The linkage ends before the sweep does.
    #[error("{}", unswept(.0))]
    Sweep(Box<Unswept>),
    /// The axle that is asked about is not described.
    #[error("this car file describes no rear axle: add `rear: (...)`, written as `front` is")]
    NoAxle,
    /// The car has scans, which were not read with it.
    #[error("the scan `{0}` was not read: open the car from its file, so that its scans are found beside it")]
    Unread(String),
    /// A pose that was asked for cannot be taken.
    #[error(
        "that pose is out of reach: the {} {} is at the end of its swing before it gets there. Take less heave, roll, travel or rack",
        .0.hub.words(), .0.part
    )]
    Pose(OutOfReach),
    /// There is no load case of that name.
    #[error("there is no load case \"{name}\": there are {all}")]
    NoCase {
        /// As it was asked for.
        name: String,
        /// Those that there are.
        all: String,
    },
    /// The car file does not say enough for a load case.
    #[error("{0}")]
    Lacking(#[from] Lacking),
    /// No brakes are described.
    #[error(
        "this car file describes no brakes: add `brakes: (front: (pistons: [38, 38], radius: 117, friction: 0.42, master: 15.9), rear: \
         (...), pedal_ratio: 5, balance_bar: 0.5)`"
    )]
    NoBrakes,
    /// The car file does not say what brakes are held against.
    #[error("what the brakes are held against is missing: add `{0}`")]
    BrakesLack(&'static str),
    /// Forces cannot be told.
    #[error("{0}")]
    NoForces(#[from] NoForces),
    /// The body is no frame.
    #[error("{0}")]
    Body(#[from] NoBody),
    /// The body's frame cannot be calculated.
    #[error("the body's frame: {0}")]
    Frame(#[from] FrameError),
}

fn unswept(u: &Unswept) -> String {
    let mm = Shown::Mm;
    let [low, high] = u.range;
    if u.beside == Beside::OtherWheel {
        return format!(
            "the sweep asks for the {} wheel at {} with the other at {}, but on the way there the linkage ends, with the {} \
             wheel at {}: the {} is at the end of its swing. Take less bump or droop, or move the points",
            u.hub.words(),
            words::travel(u.asked.x, mm),
            words::travel(u.asked.y, mm),
            u.stop.hub.words(),
            words::travel(u.reached.x, mm),
            u.stop.part,
        );
    }
    let (beside, reached, less) = match u.beside {
        Beside::Steering => (
            format!(" with the rack {} each way", mm.length(high.y)),
            format!(" with {}", words::rack(u.reached.y, mm)),
            "bump, droop or rack travel",
        ),
        Beside::OtherWheel | Beside::Nothing => (String::new(), String::new(), "bump or droop"),
    };
    format!(
        "the sweep asks for {} to {}{beside}, but the {} wheel's linkage ends at {}{reached}: there the {} is at the end \
         of its swing. Take less {less}, or move the points",
        words::travel(low.x, mm),
        words::travel(high.x, mm),
        u.stop.hub.words(),
        words::travel(u.reached.x, mm),
        u.stop.part,
    )
}

impl Study {
    /// Sets up a checked car without scans.
    ///
    /// # Errors
    /// [`NoAnswer`] where its linkage cannot follow the sweep that the car file asks for, or the car has scans.
    pub fn new(car: Car) -> Result<Self, NoAnswer> {
        Self::with_scans(car, &Scans::default())
    }

    /// Sets up a checked car with its scans, see [`Scans::load`].
    ///
    /// # Errors
    /// [`NoAnswer`] where its linkage cannot follow the sweep that the car file asks for, or a scan is missing.
    pub fn with_scans(car: Car, scans: &Scans) -> Result<Self, NoAnswer> {
        if let Some(scan) = car.scans.iter().find(|s| scans.get(&s.name).is_none()) {
            return Err(NoAnswer::Unread(scan.name.clone()));
        }
        let gear = RunningGear::new(&car).map_err(NoAnswer::Ride)?;
        let parts = Parts::with_scans(&car, scans);
        // A rear axle with a rack of its own is swept over that.
        let steering = |hub: Hub| car.axle(hub.axle).and_then(|axle| axle.steering_travel()).unwrap_or(0.0);
        let hubs: Vec<Hub> = gear.hubs().collect();
        let sweeps: Result<Vec<_>, _> =
            hubs.par_iter().map(|&hub| WheelSweep::new(&gear, hub, &car.sweep, steering(hub))).collect();
        let sweeps = sweeps.map_err(|u| NoAnswer::Sweep(Box::new(u)))?;
        let frames = AxleName::BOTH.map(|name| {
            let (axle, ride) = (gear.axle(name)?, gear.ride.axle(name)?);
            Some(Frame::new(&car, axle, ride, &gear.ride.ground))
        });
        let (notes, beware, off) = (scans.notes(), scans.beware(), scans.off());
        let (searched, proven, known, proven_lock, proven_cut, underside) = Default::default();
        Ok(Self {
            car,
            gear,
            parts,
            sweeps,
            notes,
            beware,
            off,
            frames,
            searched,
            proven,
            known,
            proven_lock,
            proven_cut,
            underside,
        })
    }

    /// The same, with the least gaps at an axle's wheels taken from another car, in which that axle, the body and what is
    /// asked of both are the same.
    pub(super) fn knowing(mut self, other: &Self, axle: AxleName) -> Self {
        let hubs = self.sweeps.iter().map(|sweep| sweep.hub).filter(|hub| hub.axle == axle);
        let known: Vec<_> = hubs.map(|hub| (hub, other.least(hub).to_vec())).collect();
        self.known.extend(known);
        self
    }

    /// A wheel's sweep.
    pub fn sweep(&self, hub: Hub) -> &WheelSweep {
        self.sweeps.iter().find(|s| s.hub == hub).unwrap_or(&self.sweeps[0])
    }

    /// What the quantities of an axle need to know of the car.
    pub fn frame(&self, name: AxleName) -> Option<&Frame> {
        self.frames[name as usize].as_ref()
    }

    /// An axle with its wheels somewhere over the ground, for its quantities.
    pub(super) fn standing(&self, name: AxleName, wheels: [CornerPose; 2], ground: Plane) -> Option<Standing<'_>> {
        Some(Standing { axle: self.gear.axle(name)?, wheels, ground, frame: self.frame(name)? })
    }

    /// The least gap over the sweep of each pair at a wheel, in the order of [`Parts::at_wheel`], proven as far as that
    /// has been done. Found once, for all the questions.
    pub(super) fn least(&self, hub: Hub) -> &[Proof] {
        let all = self.proven.get().unwrap_or_else(|| {
            self.searched.get_or_init(|| {
                self.each_pair(|swept, sweep, pair| {
                    let home = |least| sweep.homeward(&self.gear, &self.parts, pair, least);
                    let least = swept.least(pair).map(home);
                    Proof { least, at_least: f64::NEG_INFINITY, looks: 0 }
                })
            })
        });
        self.sweeps.iter().position(|s| s.hub == hub).map_or(&[], |i| &all[i])
    }

    /// Proves the least gaps of all pairs, once: answers given from now on say what is proven. Takes a second or so for a
    /// whole car where a search takes some hundredths; `stop` is asked now and then, and where it says so the study stays
    /// as it was.
    pub fn prove(&self, stop: impl Fn() -> bool + Sync) {
        self.prove_to(|_, _| SLACK, stop);
    }

    /// The same to so many millimetres as `slack` says of a pair and the least gap found of it: less than that is proven
    /// sooner.
    pub(super) fn prove_to(&self, slack: impl Fn(&Place, f64) -> f64 + Sync, stop: impl Fn() -> bool + Sync) {
        if self.proven.get().is_some() {
            return;
        }
        let proven = self.each_pair(|swept, sweep, pair| {
            // What never comes near is proven by the boxes around it.
            if !swept.may_meet(pair) {
                return Proof { least: None, at_least: pair.within, looks: 0 };
            }
            let mut found = if stop() { None } else { swept.least(pair) };
            loop {
                let slack_of = |found: Option<Least>| slack(pair, found.map_or(pair.within, |l| l.nearest.gap));
                let (slack, budget) = (slack_of(found), if stop() { 0 } else { BUDGET });
                let proving = Proving { gear: &self.gear, parts: &self.parts, sweep, pair, slack, budget };
                let proof = proving.prove(found);
                // A lesser gap that the proof came upon may be asked more closely.
                if slack_of(proof.least) >= slack || stop() {
                    let home = |least| sweep.homeward(&self.gear, &self.parts, pair, least);
                    return Proof { least: proof.least.map(home), ..proof };
                }
                found = proof.least;
            }
        });
        if !stop() {
            // Whoever was first has proven it already.
            let _ = self.proven.set(proven);
        }
    }

    fn each_pair(&self, of: impl Fn(&Swept, &WheelSweep, &Place) -> Proof + Sync) -> Vec<Vec<Proof>> {
        let at_wheel = |sweep: &WheelSweep| {
            if let Some((_, known)) = self.known.iter().find(|(hub, _)| *hub == sweep.hub) {
                return known.clone();
            }
            let swept = Swept::new(&self.gear, &self.parts, sweep);
            self.parts.at_wheel(sweep.hub).par_iter().map(|pair| of(&swept, sweep, pair)).collect()
        };
        self.sweeps.par_iter().map(at_wheel).collect()
    }

    /// The pairs at a wheel that come within their wanted gap somewhere in the sweep. One that stays off it by less than
    /// a millimetre counts too: its least gap was found by descent, which might have settled in the next valley. What is
    /// alike in every pose does not.
    pub(super) fn tight(&self, hub: Hub) -> Vec<Place> {
        let pairs = self.parts.at_wheel(hub).iter().zip(self.least(hub));
        let near = |pair: &Place, least: &Least| least.nearest.gap < pair.wanted + 1.0;
        let pairs = pairs.filter(|(pair, _)| pair.moves());
        pairs.filter(|(pair, proof)| proof.least.is_some_and(|l| near(pair, &l))).map(|(pair, _)| *pair).collect()
    }

    /// All answers, with the gaps of one pose.
    ///
    /// # Errors
    /// [`NoAnswer::Pose`] when that pose cannot be taken.
    pub fn answers(&self, pose: &Pose) -> Result<Answers, NoAnswer> {
        let gaps = self.gaps(pose)?;
        let (lock, cut) = rayon::join(|| self.lock(), || self.cut());
        Ok(Answers { gaps, lock, cut })
    }
}
