//! The search for better points, beside the window: what is wished and what may move as it is typed, how far the search is, and
//! the cars that it found, one of which is shown and can be put into the proposal.

use std::panic::{self, AssertUnwindSafe};
use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, Mutex, PoisonError};

use bevy::prelude::*;

use super::comparing::{Comparing, Trial};
use super::desk::{Command, Desk};
use crate::answer::Study;
use crate::answer::better::{BEST, Better, BetterAsk, BetterCar, Free, Looking, Progress, Wish};
use crate::car::{AxleName, Edit, Shown};
use crate::space::Scans;

pub(super) fn plugin(app: &mut App) {
    app.insert_resource(Bettering::new()).add_systems(Update, (hear, let_go));
}

/// What is said where the search itself fails.
const FAULT: &str = "The search failed: that is a fault of this program. `scribeline better CAR` tells more.";

/// A search that is under way.
#[derive(Debug)]
struct Search {
    /// The car that it is of.
    settled: u64,
    /// Parts of a thousand.
    done: AtomicU32,
    /// The wishes that the best car so far meets.
    met: AtomicU32,
    stop: AtomicBool,
}

type Told = (u64, Result<Better, String>);

/// What is asked, and what was found.
#[derive(Resource)]
pub struct Bettering {
    /// What may move, a coordinate a line, as the shell has it: `tie_rod_outer z 15`.
    pub free: String,
    /// What is wished, a wish a line: `bump_steer at most 0.05 either way`.
    pub wishes: String,
    /// The found car that is shown.
    picked: Option<usize>,
    /// Whether it has been on the desk.
    tried: bool,
    /// Goes up with every answer.
    pub heard: u64,
    tell: Sender<Told>,
    told: Mutex<Receiver<Told>>,
    search: Option<Arc<Search>>,
    found: Option<(u64, Result<Arc<Better>, String>)>,
}

impl Bettering {
    fn new() -> Self {
        let (tell, told) = channel();
        Self {
            free: String::new(),
            wishes: String::new(),
            picked: None,
            tried: false,
            heard: 0,
            tell,
            told: Mutex::new(told),
            search: None,
            found: None,
        }
    }

    /// What is typed as it is asked, or what is wrong with a line.
    ///
    /// # Errors
    /// In words for the user.
    pub fn asked(&self, shown: Shown, axle: AxleName) -> Result<BetterAsk, String> {
        fn lines(text: &str) -> impl Iterator<Item = &str> {
            text.lines().map(str::trim).filter(|line| !line.is_empty())
        }
        Ok(BetterAsk {
            free: lines(&self.free).map(|line| Free::typed(line, shown, axle)).collect::<Result<_, _>>()?,
            wishes: lines(&self.wishes).map(|line| Wish::typed(line, shown, axle)).collect::<Result<_, _>>()?,
            best: BEST,
        })
    }

    /// How far the search is, 0 to 1, and how many wishes its best car meets, while there is one.
    pub fn searching(&self) -> Option<(f32, u32)> {
        let search = self.search.as_ref()?;
        Some((search.done.load(Ordering::Relaxed) as f32 / 1000.0, search.met.load(Ordering::Relaxed)))
    }

    /// What was found of the car as it is in its file.
    pub fn found(&self, desk: &Desk) -> Option<&Result<Arc<Better>, String>> {
        self.found.as_ref().filter(|(of, _)| *of == desk.settled).map(|(_, found)| found)
    }

    /// The found car that is shown.
    pub fn picked(&self) -> Option<usize> {
        self.picked
    }

    /// Forgets which found car is shown, for something else is.
    pub fn unpick(&mut self) {
        (self.picked, self.tried) = (None, false);
    }

    /// Shows a found car, or none.
    pub fn pick(&mut self, desk: &Desk, which: Option<usize>) -> Command {
        let edit = which.and_then(|i| self.edit(desk, i));
        self.picked = which.filter(|_| edit.is_some());
        self.tried = false;
        edit.map_or(Command::StopTrying, Command::Try)
    }

    /// The edit that puts a found car into the proposal.
    pub fn edit(&self, desk: &Desk, which: usize) -> Option<Edit> {
        let proposal = desk.proposal()?.to_owned();
        let Some(Ok(found)) = self.found(desk) else { return None };
        let BetterCar { changes, .. } = found.cars.get(which)?;
        (!changes.is_empty()).then(|| Edit::AddChanges { proposal, changes: changes.clone() })
    }

    /// Starts a search.
    pub fn find(&mut self, study: Arc<Study>, scans: Scans, ask: BetterAsk, settled: u64) {
        let (done, met, stop) = Default::default();
        let search = Arc::new(Search { settled, done, met, stop });
        self.search = Some(Arc::clone(&search));
        self.picked = None;
        let tell = self.tell.clone();
        std::thread::spawn(move || {
            let progress = |p: Progress| {
                search.done.store((p.done * 1000.0) as u32, Ordering::Relaxed);
                search.met.store(p.best.map_or(0, |best| best.met as u32), Ordering::Relaxed);
            };
            let stop = || search.stop.load(Ordering::Relaxed);
            let looking = Looking { progress: &progress, stop: &stop };
            // A search that comes to grief must not leave its bar standing.
            let found = panic::catch_unwind(AssertUnwindSafe(|| Better::new(&study, &scans, &ask, looking)));
            let found = found.map_or_else(|_| Err(FAULT.to_owned()), |found| found.map_err(|e| e.to_string()));
            // A window that has closed needs no answer.
            let _ = tell.send((search.settled, found));
        });
    }

    /// Stops the search; what it has found by then is told.
    pub fn stop(&self) {
        if let Some(search) = &self.search {
            search.stop.store(true, Ordering::Relaxed);
        }
    }
}

fn hear(mut bettering: ResMut<Bettering>, desk: Res<Desk>) {
    // Better points of a car that has changed are of no use any more.
    if bettering.search.as_ref().is_some_and(|search| search.settled != desk.settled) {
        bettering.stop();
    }
    let told: Vec<Told> = bettering.told.lock().unwrap_or_else(PoisonError::into_inner).try_iter().collect();
    for (settled, found) in told {
        bettering.search = None;
        bettering.heard += 1;
        bettering.found = Some((settled, found.map(Arc::new)));
    }
}

/// A found car that is shown goes when something else is looked at, or done to the car.
fn let_go(
    mut bettering: ResMut<Bettering>,
    desk: Res<Desk>,
    (trial, comparing): (Trial, Res<Comparing>),
    mut commands: MessageWriter<Command>,
) {
    if bettering.picked.is_none() {
        return;
    }
    let shown = std::mem::replace(&mut bettering.tried, desk.trying());
    if !comparing.open || trial.left() {
        commands.write(Command::StopTrying);
        (bettering.picked, bettering.tried) = (None, false);
    } else if shown && !desk.trying() {
        bettering.picked = None;
    }
}
