//! Answers, worked out beside the window: the latest request wins, and the last answer stays until the next is in.

use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, Mutex, PoisonError};

use bevy::prelude::*;

use super::desk::Desk;
use super::posing::Posing;
use crate::answer::{Answers, Gaps, PairGap, Study};
use crate::car::Car;
use crate::motion::Pose;
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
}

type Told = Result<Answered, String>;

/// What has been asked, and what has been answered.
#[derive(Resource)]
pub struct Asking {
    ask: Sender<(u64, Car, Scans)>,
    told: Mutex<Receiver<(u64, Told)>>,
    /// Edition of the car last asked about.
    asked: Option<u64>,
    /// Edition of the car last answered for.
    answered: Option<u64>,
    last: Option<Told>,
    here: Option<Gaps>,
    measured: Option<(u64, u64)>,
}

impl Asking {
    fn new() -> Self {
        let (ask, asked) = channel::<(u64, Car, Scans)>();
        let (tell, told) = channel();
        std::thread::spawn(move || {
            while let Ok(mut request) = asked.recv() {
                while let Ok(later) = asked.try_recv() {
                    request = later;
                }
                let (edition, car, scans) = request;
                if tell.send((edition, answer(car, &scans))).is_err() {
                    break;
                }
            }
        });
        let told = Mutex::new(told);
        Self { ask, told, asked: None, answered: None, last: None, here: None, measured: None }
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
    Ok(Answered { study: Arc::new(study), answers: Arc::new(answers) })
}

fn ask(mut asking: ResMut<Asking>, desk: Res<Desk>) {
    if asking.asked != Some(desk.edition) {
        asking.asked = Some(desk.edition);
        // The other end lives as long as this one.
        let built = desk.looked_at();
        let _ = asking.ask.send((desk.edition, built.car.clone(), built.scans.clone()));
    }
}

fn hear(mut asking: ResMut<Asking>) {
    let latest = asking.told.lock().unwrap_or_else(PoisonError::into_inner).try_iter().last();
    if let Some((edition, told)) = latest {
        asking.answered = Some(edition);
        asking.here = told.as_ref().ok().map(|a| a.answers.gaps.clone());
        asking.last = Some(told);
        asking.measured = None;
    }
}

/// Measures the pairs again whenever the car stands otherwise.
fn measure_here(mut asking: ResMut<Asking>, desk: Res<Desk>, posing: Res<Posing>) {
    let now = (desk.edition, posing.edition);
    if asking.measured == Some(now) || asking.answered != Some(desk.edition) {
        return;
    }
    let (Some(Ok(answered)), Some(stands)) = (&asking.last, &posing.stands) else { return };
    asking.here = Some(answered.study.gaps_in(&answered.answers.gaps, stands));
    asking.measured = Some(now);
}
