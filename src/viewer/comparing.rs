//! What a proposal changes, worked out beside the window: as searched with every edit, proven while it is looked at; and arms
//! that are being grown before they are put into the proposal.

use std::panic::{self, AssertUnwindSafe};
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, Mutex, PoisonError};

use bevy::ecs::system::SystemParam;
use bevy::prelude::*;

use super::asking::{Asking, Question};
use super::desk::{Command, Desk};
use super::laying::Laying;
use super::marking::Marking;
use super::panels::{AxleShown, Units};
use crate::answer::change::{Grow, Growth, SteerAim, SteerFix};
use crate::answer::{Comparison, Study};
use crate::car::{AxleName, Car, Change, Edit, GrowWay, Shown};
use crate::motion::Along;
use crate::space::Scans;

pub(super) fn plugin(app: &mut App) {
    app.insert_resource(Comparing::new()).add_systems(Update, (let_go, ask, hear).chain());
}

/// What an answer is for: the car's edition, what it is compared with, the units, and whether it is to be proven.
type Key = (u64, Option<String>, Shown, bool);

struct Request {
    key: Key,
    before: (Car, Scans),
    after: Arc<Study>,
}

type Told = (Key, Compared);

/// What is said where the comparison itself fails.
const FAULT: &str =
    "The comparison failed: that is a fault of this program. `scribeline change CAR --proposal NAME` tells more.";

/// What is compared and grown, and what was answered.
#[derive(Resource)]
pub struct Comparing {
    /// Whether the panel to grow arms is open.
    pub open: bool,
    /// Whether numbers that nothing changes are listed, too.
    pub all: bool,
    /// How much longer a side, mm; nothing is grown at nought.
    pub by_mm: f64,
    /// Straight across the car, or square.
    pub way: GrowWay,
    /// The axle that it was typed for.
    pub axle: AxleName,
    /// Whether the growth has been shown on the car.
    tried: bool,
    /// Goes up with every answer.
    pub heard: u64,
    ask: Sender<Request>,
    prove: Sender<Request>,
    told: Mutex<Receiver<Told>>,
    wanted: Arc<AtomicU64>,
    asked: Option<Key>,
    last: Option<Told>,
    growth: Option<(GrowKey, Result<Growth, String>)>,
    fix: Option<(FixKey, Fixes)>,
}

type GrowKey = (u64, AxleName, u64, GrowWay);
type FixKey = (u64, Option<String>, AxleName, Shown);
/// Bump steer as before, and none; nothing where an axle has no rod ends.
type Fixes = Result<Option<[SteerFix; 2]>, String>;

/// A comparison, or why there is none.
pub type Compared = Result<Arc<Comparison>, String>;

impl Comparing {
    fn new() -> Self {
        let (ask, asked) = channel::<Request>();
        let (tell, told) = channel::<Told>();
        let (prove, to_prove) = channel::<Request>();
        let wanted = Arc::new(AtomicU64::new(0));
        // A proof takes seconds: what is only searched never waits for one.
        for asked in [asked, to_prove] {
            let (tell, still) = (tell.clone(), Arc::clone(&wanted));
            std::thread::spawn(move || answer(&asked, &tell, &still));
        }
        Self {
            open: false,
            all: false,
            by_mm: 0.0,
            way: GrowWay::default(),
            axle: AxleName::Front,
            tried: false,
            heard: 0,
            ask,
            prove,
            told: Mutex::new(told),
            wanted,
            asked: None,
            last: None,
            growth: None,
            fix: None,
        }
    }

    /// The comparison, or why there is none, whether it is of the car as it now is and in these units, and whether it is
    /// proven.
    pub fn told(&self, desk: &Desk, shown: Shown) -> Option<(&Compared, bool, bool)> {
        self.last.as_ref().map(|((of, _, units, proven), told)| (told, *of == desk.edition && *units == shown, *proven))
    }

    /// Whether an answer is still to come.
    pub fn working(&self) -> bool {
        self.asked.is_some() && self.asked.as_ref() != self.last.as_ref().map(|(key, _)| key)
    }

    /// The edit that puts the growth that is typed into the proposal; none at nought.
    pub fn edit(&self, desk: &Desk) -> Option<Edit> {
        let proposal = desk.proposal()?.to_owned();
        let change = self.grow().change().written(desk.file().car().unit)?;
        (self.by_mm != 0.0).then(|| Edit::AddChanges { proposal, changes: vec![change] })
    }

    fn grow(&self) -> Grow {
        Grow { axle: self.axle, by_mm: self.by_mm, way: self.way }
    }

    /// What growing the proposal's arms as it is typed does; none at nought.
    pub fn growth(&mut self, desk: &Desk) -> Option<&Result<Growth, String>> {
        if self.by_mm == 0.0 {
            return None;
        }
        let key = (desk.edition, self.axle, self.by_mm.to_bits(), self.way);
        if self.growth.as_ref().is_none_or(|(of, _)| *of != key) {
            // Of the proposal as it is in the file: what is shown is grown already.
            let base = match desk.proposal() {
                Some(name) => desk.file().proposed(name).map_err(|e| e.to_string()),
                None => Ok(desk.file().car().clone()),
            };
            let grown = base.and_then(|car| {
                Growth::new(&car, self.grow(), crate::answer::change::UNWRITTEN).map_err(|e| e.to_string())
            });
            self.growth = Some((key, grown.map(|(_, growth)| growth)));
        }
        self.growth.as_ref().map(|(_, growth)| growth)
    }

    /// Where an axle's tie rods have to end to steer in bump as what it is compared with does, and not at all; none where it
    /// has none.
    pub fn fix(&mut self, desk: &Desk, axle: AxleName, shown: Shown) -> &Fixes {
        let key = (desk.edition, desk.against().map(str::to_owned), axle, shown);
        if self.fix.as_ref().is_some_and(|(of, _)| *of != key) {
            self.fix = None;
        }
        let fixes = || {
            let of = |aim| SteerFix::new(&desk.compared().car, &desk.looked_at().car, axle, aim, shown);
            let both = of(SteerAim::AsBefore).and_then(|before| Ok(before.zip(of(SteerAim::Nothing)?)));
            both.map(|both| both.map(|(before, none)| [before, none])).map_err(|e| e.to_string())
        };
        &self.fix.get_or_insert_with(|| (key, fixes())).1
    }
}

/// Changes as an edit of the proposal that is looked at.
pub fn added(desk: &Desk, changes: &[Change]) -> Option<Edit> {
    let proposal = desk.proposal()?.to_owned();
    let unit = desk.file().car().unit;
    let changes: Vec<String> = changes.iter().filter_map(|change| change.written(unit)).collect();
    (!changes.is_empty()).then_some(Edit::AddChanges { proposal, changes })
}

/// Answers what is asked, the latest alone, until nobody asks any more.
fn answer(asked: &Receiver<Request>, tell: &Sender<Told>, wanted: &AtomicU64) {
    // What is compared with changes seldom: it is set up, and proven, once.
    let mut before: Option<Arc<Study>> = None;
    while let Ok(mut request) = asked.recv() {
        while let Ok(later) = asked.try_recv() {
            request = later;
        }
        let stop = || wanted.load(Ordering::Relaxed) != request.key.0;
        // One that comes to grief must not leave "working" standing.
        let told = panic::catch_unwind(AssertUnwindSafe(|| compare(&request, &mut before, &stop)));
        let Some(answer) = told.unwrap_or_else(|_| Err(FAULT.to_owned())).transpose() else { continue };
        if tell.send((request.key, answer.map(Arc::new))).is_err() {
            break;
        }
    }
}

/// None where the car has changed before it was told.
fn compare(
    request: &Request,
    before: &mut Option<Arc<Study>>,
    stop: &(impl Fn() -> bool + Sync),
) -> Result<Option<Comparison>, String> {
    let (car, scans) = &request.before;
    let from = match before.take().filter(|study| study.car == *car) {
        Some(study) => study,
        None => Arc::new(Study::with_scans(car.clone(), scans).map_err(|e| e.to_string())?),
    };
    *before = Some(Arc::clone(&from));
    let (_, _, shown, proven) = request.key;
    let (to, along) = (&request.after, Along::Travel);
    if !proven {
        return Comparison::new(&from, to, along, shown).map(Some).map_err(|e| e.to_string());
    }
    from.prove(stop);
    to.prove(stop);
    if stop() {
        return Ok(None);
    }
    Comparison::proven(&from, to, along, shown).map(Some).map_err(|e| e.to_string())
}

/// A growth that is typed and not yet put into the proposal goes when its panel or its axle is left, when a point is taken in
/// hand, or when something is done to the car.
fn let_go(mut comparing: ResMut<Comparing>, desk: Res<Desk>, trial: Trial, mut commands: MessageWriter<Command>) {
    if comparing.by_mm == 0.0 {
        return;
    }
    let shown = std::mem::replace(&mut comparing.tried, desk.trying());
    if !comparing.open || trial.left() || trial.axle(&desk) != comparing.axle {
        commands.write(Command::StopTrying);
        (comparing.by_mm, comparing.tried) = (0.0, false);
    } else if shown && !desk.trying() {
        comparing.by_mm = 0.0;
    }
}

/// What ends a trial: a growth, or a found car.
#[derive(SystemParam)]
pub struct Trial<'w> {
    question: Res<'w, Question>,
    marking: Res<'w, Marking>,
    laying: Res<'w, Laying>,
    axle: Res<'w, AxleShown>,
}

impl Trial<'_> {
    /// Whether something else is looked at, or a point is in hand.
    pub fn left(&self) -> bool {
        *self.question != Question::Change || self.laying.open || self.marking.chosen.is_some()
    }

    /// The axle that is looked at.
    pub fn axle(&self, desk: &Desk) -> AxleName {
        self.axle.of(&desk.looked_at().car)
    }
}

fn ask(
    mut comparing: ResMut<Comparing>,
    asking: Res<Asking>,
    desk: Res<Desk>,
    question: Res<Question>,
    units: Res<Units>,
) {
    comparing.wanted.store(desk.edition, Ordering::Relaxed);
    if desk.proposal().is_none() {
        (comparing.asked, comparing.last) = (None, None);
        return;
    }
    let Some(answered) = asking.answers().filter(|_| asking.edition() == Some(desk.edition)) else { return };
    let looked_at = *question == Question::Change && answered.proven;
    let key = |proven| (desk.edition, desk.against().map(str::to_owned), units.0, proven);
    // What was asked proven stays so, whatever is looked at meanwhile.
    if comparing.asked == Some(key(true)) || comparing.asked == Some(key(looked_at)) {
        return;
    }
    comparing.asked = Some(key(looked_at));
    let other = desk.compared();
    let before = (other.car.clone(), other.scans.clone());
    let to = if looked_at { &comparing.prove } else { &comparing.ask };
    // The other end lives as long as this one.
    let _ = to.send(Request { key: key(looked_at), before, after: Arc::clone(&answered.study) });
}

fn hear(mut comparing: ResMut<Comparing>) {
    let told: Vec<Told> = comparing.told.lock().unwrap_or_else(PoisonError::into_inner).try_iter().collect();
    for (key, told) in told {
        // What is of another car, or in other units, than was asked last tells nothing, nor what is searched after it is proven.
        let of = |key: &Key| (key.0, key.1.clone(), key.2);
        let asked = comparing.asked.as_ref().is_some_and(|asked| of(asked) == of(&key));
        let behind = comparing.last.as_ref().is_some_and(|(last, _)| of(last) == of(&key) && last.3 && !key.3);
        if asked && !behind {
            comparing.last = Some((key, told));
            comparing.heard += 1;
        }
    }
}
