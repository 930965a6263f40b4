//! Answers, worked out beside the window: the latest request wins, and the last answer stays until the next is in. What
//! takes longer, proofs and plans first of all, follows the quick answers on a thread of its own, and is dropped when the
//! car changes.

use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};

use bevy::prelude::*;

use super::desk::{Built, Desk};
use super::loading::LoadSets;
use super::posing::Posing;
use crate::answer::{Alignment, Answers, BrakeAsk, Gaps, PairGap, RideAsk, Springs, Stance, Study, Verdict, Wheels};
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
    /// What a proposal changes.
    Change,
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
    /// How it rides, rolls and pitches on its springs.
    Ride,
    /// How the brakes share.
    Brakes,
    /// What goes to the bench and to the customer.
    Sheets,
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
    /// Whether its gaps are proven.
    pub proven: bool,
}

/// Quick answers that the longer ones are to follow.
struct Follow {
    edition: u64,
    quick: Answered,
    found: Option<(Car, Scans)>,
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
    /// What ride comes to.
    pub ride: Verdict,
    /// What brakes come to, as asked where nothing else is said; none where they are not described.
    pub brakes: Option<Verdict>,
    /// The car as found, where a proposal is looked at.
    pub found: Option<Arc<Study>>,
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
    stands: Mutex<Receiver<(u64, Arc<Study>)>>,
    /// The last car that was set up: its gaps in one pose are there long before those of the sweep.
    first: Option<(u64, Arc<Study>)>,
    /// Edition of the car last asked about.
    asked: Option<u64>,
    /// Edition of the car last answered for.
    answered: Option<u64>,
    last: Option<Told>,
    here: Option<Gaps>,
    stance: Option<Stance>,
    measured: Option<(u64, u64, bool, bool)>,
    /// Goes up with every answer.
    pub heard: u64,
    /// Edition of the car that answers are wanted for.
    wanted: Arc<AtomicU64>,
}

impl Asking {
    fn new() -> Self {
        let (ask, asked) = channel::<Request>();
        let (tell, told) = channel();
        let (follow, followed) = channel::<Follow>();
        let (set_up, stands) = channel();
        let wanted = Arc::new(AtomicU64::new(0));
        let still = Arc::clone(&wanted);
        let also = tell.clone();
        std::thread::spawn(move || {
            while let Some(request) = latest(&asked) {
                let Request { edition, car, scans, found } = request;
                let study = Study::with_scans(car, &scans).map(Arc::new).map_err(|e| e.to_string());
                if let Ok(study) = &study
                    && set_up.send((edition, Arc::clone(study))).is_err()
                {
                    break;
                }
                let told = study.and_then(answer);
                let quick = told.as_ref().ok().cloned();
                // Told before what follows it can be.
                if tell.send((edition, told)).is_err() {
                    break;
                }
                if let Some(quick) = quick
                    && follow.send(Follow { edition, quick, found }).is_err()
                {
                    break;
                }
            }
        });
        // What takes longer has a thread of its own, so that a drag never waits for it.
        std::thread::spawn(move || {
            while let Some(Follow { edition, quick, found }) = latest(&followed) {
                let changed = || still.load(Ordering::Relaxed) != edition;
                // A window that has closed needs no more answers.
                let mut tell = |whole: &Answered| drop(also.send((edition, Ok(whole.clone()))));
                later(quick, found, &changed, &mut tell);
            }
        });
        Self {
            ask,
            told: Mutex::new(told),
            stands: Mutex::new(stands),
            first: None,
            asked: None,
            answered: None,
            last: None,
            here: None,
            stance: None,
            measured: None,
            heard: 0,
            wanted,
        }
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

fn answer(study: Arc<Study>) -> Told {
    let answers = study.answers(&Pose::default()).map_err(|e| e.to_string())?;
    Ok(Answered { study, answers: Arc::new(answers), later: None, proven: false })
}

/// The last of what waits in a channel, or the next; none when nobody asks any more.
fn latest<T>(asked: &Receiver<T>) -> Option<T> {
    let first = asked.recv().ok()?;
    Some(asked.try_iter().last().unwrap_or(first))
}

/// So long the car has to stay as it is before lock and cut are proven: these cannot be broken off.
const REST: Duration = Duration::from_millis(1500);

/// What follows the quick answers, each step told as soon as it is there: the numbers of axles, springs, loads and wheels;
/// plans of cuts; the gaps proven and doubted; lock and cut proven. Left off where the car has changed.
fn later(
    mut told: Answered,
    found: Option<(Car, Scans)>,
    changed: &(impl Fn() -> bool + Sync),
    tell: &mut impl FnMut(&Answered),
) -> Option<()> {
    let study = Arc::clone(&told.study);
    let goes_on = || (!changed()).then_some(());
    let mut answers = Answers::clone(&told.answers);
    let numbers = |axle| study.alignment(axle, Along::Travel, None, Shown::Mm).ok();
    let alignment = AxleName::BOTH.map(numbers);
    goes_on()?;
    let found = found.and_then(|(car, scans)| Study::with_scans(car, &scans).ok());
    goes_on()?;
    told.later = Some(Arc::new(Later {
        alignment,
        springs: study.springs(),
        loads: LoadSets::of(&study).map_err(|e| e.to_string()),
        wheels: study.wheels(found.as_ref()),
        ride: study.ride(&RideAsk::default()).verdict,
        brakes: study.brakes(None, &BrakeAsk::default()).ok().map(|brakes| brakes.verdict),
        found: found.map(Arc::new),
    }));
    tell(&told);
    goes_on()?;
    answers.cut = study.planned_cut();
    told.answers = Arc::new(answers.clone());
    tell(&told);
    study.prove(changed);
    goes_on()?;
    answers.gaps = study.gaps(&Pose::default()).ok()?;
    study.doubt(&mut answers.gaps);
    (told.answers, told.proven) = (Arc::new(answers.clone()), true);
    tell(&told);
    let since = Instant::now();
    while since.elapsed() < REST {
        goes_on()?;
        std::thread::sleep(Duration::from_millis(50));
    }
    answers.lock = study.proven_lock();
    goes_on()?;
    answers.cut = study.proven_cut();
    goes_on()?;
    told.answers = Arc::new(answers);
    tell(&told);
    Some(())
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
    let first = asking.stands.lock().unwrap_or_else(PoisonError::into_inner).try_iter().last();
    if first.is_some() {
        asking.first = first;
    }
    let told: Vec<_> = asking.told.lock().unwrap_or_else(PoisonError::into_inner).try_iter().collect();
    // Of two about one state of the car the later one knows more; one about an earlier state tells nothing any more.
    let newest = told.into_iter().filter(|(edition, _)| asking.answered.is_none_or(|known| *edition >= known));
    if let Some((edition, told)) = newest.max_by_key(|(edition, _)| *edition) {
        asking.answered = Some(edition);
        asking.heard += 1;
        asking.here = told.as_ref().ok().map(|a| a.answers.gaps.clone());
        asking.last = Some(told);
        asking.stance = None;
        asking.measured = None;
    }
}

/// Measures the pairs again whenever the car stands otherwise or is set up anew, and its stance while that is looked at.
fn measure_here(mut asking: ResMut<Asking>, desk: Res<Desk>, posing: Res<Posing>, question: Res<Question>) {
    let standing = *question == Question::Stance;
    let answered = asking.answered == Some(desk.edition);
    let now = (desk.edition, posing.edition, standing, answered);
    if asking.measured == Some(now) {
        return;
    }
    let (Some(Ok(last)), Some(stands)) = (&asking.last, &posing.stands) else { return };
    let study = match &asking.first {
        _ if answered => &last.study,
        // Pairs go by their parts' places in the lists: those of an answer to another list are none of this one.
        Some((edition, study)) if *edition == desk.edition && study.parts.as_many_as(&last.study.parts) => study,
        _ => return,
    };
    let stance = if standing && answered { study.stance(&stands.pose).ok() } else { None };
    let here = study.gaps_in(&last.answers.gaps, stands);
    (asking.here, asking.stance, asking.measured) = (Some(here), stance, Some(now));
}
