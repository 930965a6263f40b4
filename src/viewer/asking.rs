//! Answers, worked out beside the window: the latest request wins, and the last answer stays until the next is in. What
//! takes longer, the proof of the gaps first of all, follows the quick answers, and is dropped when the car changes.

use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, Mutex, PoisonError};

use bevy::prelude::*;

use super::desk::{Built, Desk};
use super::loading::LoadSets;
use super::posing::Posing;
use crate::answer::{Alignment, Answers, Gaps, PairGap, Springs, Stance, Study, Wheels};
use crate::car::{AxleName, Car, Shown};
use crate::motion::{Along, Pose};
use crate::space::Scans;

pub(super) fn plugin(app: &mut App) {
    app.insert_resource(Asking::new())
        .init_resource::<Question>()
        .init_resource::<Pair>()
        .add_systems(Update, (ask, hear, measure_here).chain());
}

/// The question whose picture and table are shown.
#[derive(Resource, Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Question {
    /// What touches.
    #[default]
    Gaps,
    /// How far it steers.
    Lock,
    /// Where a rail must be cut.
    Cut,
    /// How the wheels stand: a plot beside the stage.
    Curves,
    /// Every number of an axle, and how sure it is.
    Alignment,
    /// Strokes, bars and joints.
    Springs,
    /// Ride heights and ramps.
    Stance,
    /// What parts carry, and whether they hold.
    Loads,
    /// What is bolted on.
    Wheels,
}

/// The pair of parts that is looked at more closely, by their names.
#[derive(Resource, Debug, Clone, PartialEq, Eq, Default)]
pub struct Pair(pub Option<[String; 2]>);

impl Pair {
    /// Whether it is this one.
    pub fn is(&self, pair: &PairGap) -> bool {
        self.0.as_ref().is_some_and(|[a, b]| *a == pair.a && *b == pair.b)
    }
}

/// A car's answers, and the study that gave them.
#[derive(Debug, Clone)]
pub struct Answered {
    /// The car, set up to be asked.
    pub study: Arc<Study>,
    /// Its answers.
    pub answers: Arc<Answers>,
    /// What follows when there is time for it.
    pub later: Option<Arc<Later>>,
}

/// Answers that take longer.
#[derive(Debug)]
pub struct Later {
    /// The numbers of the front and the rear axle, rates for 25 mm of bump.
    pub alignment: [Option<Alignment>; 2],
    /// Strokes, bars and joints.
    pub springs: Springs,
    /// What parts carry, or why that cannot be told.
    pub loads: Result<LoadSets, String>,
    /// What is bolted on.
    pub wheels: Wheels,
}

/// A car to be asked about.
struct Request {
    edition: u64,
    car: Car,
    scans: Scans,
    /// The car as found, where a proposal is looked at.
    found: Option<(Car, Scans)>,
}

type Told = Result<Answered, String>;

/// What has been asked, and what has been answered.
#[derive(Resource)]
pub struct Asking {
    ask: Sender<Request>,
    told: Mutex<Receiver<(u64, Told)>>,
    /// Edition of the car last asked about.
    asked: Option<u64>,
    /// Edition of the car last answered for.
    answered: Option<u64>,
    last: Option<Told>,
    here: Option<Gaps>,
    stance: Option<Stance>,
    measured: Option<(u64, u64, bool)>,
    /// Edition of the car that answers are wanted for.
    wanted: Arc<AtomicU64>,
}

impl Asking {
    fn new() -> Self {
        let (ask, asked) = channel::<Request>();
        let (tell, told) = channel();
        let wanted = Arc::new(AtomicU64::new(0));
        let still = Arc::clone(&wanted);
        std::thread::spawn(move || {
            while let Ok(mut request) = asked.recv() {
                while let Ok(later) = asked.try_recv() {
                    request = later;
                }
                let Request { edition, car, scans, found } = request;
                let told = answer(car, &scans);
                let quick = told.as_ref().ok().cloned();
                if tell.send((edition, told)).is_err() {
                    break;
                }
                let changed = || still.load(Ordering::Relaxed) != edition;
                if let Some(whole) = quick.and_then(|quick| later(quick, found, changed))
                    && tell.send((edition, Ok(whole))).is_err()
                {
                    break;
                }
            }
        });
        let told = Mutex::new(told);
        Self { ask, told, asked: None, answered: None, last: None, here: None, stance: None, measured: None, wanted }
    }

    /// The last answers; those of an earlier state of the car while newer ones are being worked out.
    pub fn answers(&self) -> Option<&Answered> {
        self.last.as_ref()?.as_ref().ok()
    }

    /// Why there is no answer.
    pub fn refusal(&self) -> Option<&str> {
        self.last.as_ref()?.as_ref().err().map(String::as_str)
    }

    /// The gaps, measured in the pose that is shown.
    pub fn gaps(&self) -> Option<&Gaps> {
        self.here.as_ref()
    }

    /// How the car stands in the pose that is shown, while that is looked at.
    pub fn stance(&self) -> Option<&Stance> {
        self.stance.as_ref()
    }

    /// Whether newer answers are still to come.
    pub fn working(&self) -> bool {
        self.answered != self.asked
    }

    /// Edition of the car that the answers are for.
    pub fn edition(&self) -> Option<u64> {
        self.answered
    }
}

fn answer(car: Car, scans: &Scans) -> Told {
    let study = Study::with_scans(car, scans).map_err(|e| e.to_string())?;
    let answers = study.answers(&Pose::default()).map_err(|e| e.to_string())?;
    Ok(Answered { study: Arc::new(study), answers: Arc::new(answers), later: None })
}

/// The same answers with the gaps proven and doubted, and what else takes its time. None where the car has changed.
fn later(quick: Answered, found: Option<(Car, Scans)>, changed: impl Fn() -> bool + Sync) -> Option<Answered> {
    let study = &quick.study;
    let numbers = |axle| study.alignment(axle, Along::Travel, None, Shown::Mm).ok();
    if changed() {
        return None;
    }
    let alignment = AxleName::BOTH.map(numbers);
    if changed() {
        return None;
    }
    let found = found.and_then(|(car, scans)| Study::with_scans(car, &scans).ok());
    let later = Later {
        alignment,
        springs: study.springs(),
        loads: LoadSets::of(study).map_err(|e| e.to_string()),
        wheels: study.wheels(found.as_ref()),
    };
    study.prove(&changed);
    if changed() {
        return None;
    }
    let mut answers = study.answers(&Pose::default()).ok()?;
    study.doubt(&mut answers.gaps);
    Some(Answered { answers: Arc::new(answers), later: Some(Arc::new(later)), ..quick.clone() })
}

fn ask(mut asking: ResMut<Asking>, desk: Res<Desk>) {
    if asking.asked != Some(desk.edition) {
        asking.asked = Some(desk.edition);
        asking.wanted.store(desk.edition, Ordering::Relaxed);
        // The other end lives as long as this one.
        let of = |built: &Built| (built.car.clone(), built.scans.clone());
        let (car, scans) = of(desk.looked_at());
        let found = desk.proposal().map(|_| of(desk.found()));
        let _ = asking.ask.send(Request { edition: desk.edition, car, scans, found });
    }
}

fn hear(mut asking: ResMut<Asking>) {
    let latest = asking.told.lock().unwrap_or_else(PoisonError::into_inner).try_iter().last();
    if let Some((edition, told)) = latest {
        asking.answered = Some(edition);
        asking.here = told.as_ref().ok().map(|a| a.answers.gaps.clone());
        asking.last = Some(told);
        asking.stance = None;
        asking.measured = None;
    }
}

/// Measures the pairs again whenever the car stands otherwise, and its stance while that is looked at.
fn measure_here(mut asking: ResMut<Asking>, desk: Res<Desk>, posing: Res<Posing>, question: Res<Question>) {
    let standing = *question == Question::Stance;
    let now = (desk.edition, posing.edition, standing);
    if asking.measured == Some(now) || asking.answered != Some(desk.edition) {
        return;
    }
    let (Some(Ok(answered)), Some(stands)) = (&asking.last, &posing.stands) else { return };
    let stance = if standing { answered.study.stance(&stands.pose).ok() } else { None };
    asking.here = Some(answered.study.gaps_in(&answered.answers.gaps, stands));
    asking.stance = stance;
    asking.measured = Some(now);
}
