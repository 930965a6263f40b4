//! What bracing does for the body: how stiff and strong it is, as found, cut and rerouted, and the search for routes, both
//! worked out beside the window while their panel is open.

use std::panic::{self, AssertUnwindSafe};
use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, Mutex, PoisonError};

use bevy::prelude::*;

use super::asking::{Asking, Question};
use super::desk::Desk;
use crate::answer::Study;
use crate::answer::cut::{CutPlan, Way};
use crate::answer::frame::{BodyStrength, Compared};
use crate::answer::routes::{Route, RouteAsk, Routes, Watch};
use crate::car::{Car, CarError};

pub(super) fn plugin(app: &mut App) {
    app.insert_resource(Bracing::new()).add_systems(Update, (ask, hear).chain());
}

/// What is said where the search itself fails.
const FAULT: &str = "The search for routes failed: that is a fault of this program. `scribeline cut CAR --proposal NAME --routes` tells more.";

/// A body to be asked about.
struct Body {
    edition: u64,
    study: Arc<Study>,
    /// As found, where a proposal is looked at.
    found: Option<Car>,
    /// The proposal without what it welds in.
    bare: Result<Option<Car>, CarError>,
    share: f64,
}

/// A search for routes that is under way.
#[derive(Debug)]
struct Search {
    edition: u64,
    /// Parts of a thousand.
    done: AtomicU32,
    stop: AtomicBool,
}

enum Told {
    Strength(u64, Result<BodyStrength, String>),
    Routes(u64, Result<Routes, String>),
}

/// What is asked, and what was answered.
#[derive(Resource)]
pub struct Bracing {
    /// Whether the panel is open.
    pub open: bool,
    /// Whether the body is drawn as it bends.
    pub bent: bool,
    /// The load case that bends it; none for its hardest.
    pub case: Option<String>,
    /// The share of the stiffness as found that is wanted, percent.
    pub percent: f64,
    /// The plan that is looked at: its rail, and which of its ways.
    pub plan: Option<(String, Way)>,
    /// The route that is looked at: of which cut, and which.
    pub route: Option<[usize; 2]>,
    /// Goes up with every answer.
    pub heard: u64,
    ask: Sender<Body>,
    tell: Sender<Told>,
    told: Mutex<Receiver<Told>>,
    asked: Option<(u64, u64)>,
    strength: Option<(u64, Result<BodyStrength, String>)>,
    routes: Option<(u64, Result<Routes, String>)>,
    search: Option<Arc<Search>>,
}

impl Bracing {
    fn new() -> Self {
        let (ask, asked) = channel::<Body>();
        let (tell, told) = channel();
        let answer = tell.clone();
        std::thread::spawn(move || {
            while let Ok(mut body) = asked.recv() {
                while let Ok(later) = asked.try_recv() {
                    body = later;
                }
                let Body { edition, study, found, bare, share } = body;
                let cut = bare.as_ref().ok().and_then(Option::as_ref);
                let strength = study.body_strength(Compared { found: found.as_ref(), bare: cut, share });
                let strength = strength.map(|told| match &bare {
                    Err(why) => told.without_cut(why),
                    Ok(_) => told,
                });
                let strength = strength.map_err(|e| e.to_string());
                if answer.send(Told::Strength(edition, strength)).is_err() {
                    break;
                }
            }
        });
        Self {
            open: false,
            bent: false,
            case: None,
            percent: 100.0,
            plan: None,
            route: None,
            heard: 0,
            ask,
            tell,
            told: Mutex::new(told),
            asked: None,
            strength: None,
            routes: None,
            search: None,
        }
    }

    /// How stiff and strong the body is, or why that cannot be told, and whether that is of the car as it now is.
    pub fn strength(&self, edition: u64) -> Option<(&Result<BodyStrength, String>, bool)> {
        self.strength.as_ref().map(|(of, strength)| (strength, *of == edition))
    }

    /// The routes that were found, and whether they are for the car as it now is.
    pub fn routes(&self, edition: u64) -> Option<(&Result<Routes, String>, bool)> {
        self.routes.as_ref().map(|(of, routes)| (routes, *of == edition))
    }

    /// The route that is looked at.
    pub fn chosen(&self, edition: u64) -> Option<&Route> {
        let ([cut, route], (Ok(routes), true)) = (self.route?, self.routes(edition)?) else { return None };
        routes.cuts.get(cut)?.routes.get(route)
    }

    /// How far the search is, 0 to 1, while there is one.
    pub fn searching(&self) -> Option<f32> {
        self.search.as_ref().map(|s| s.done.load(Ordering::Relaxed) as f32 / 1000.0)
    }

    /// Starts a search for routes.
    pub fn find(&mut self, study: Arc<Study>, found: Car, edition: u64) {
        let search = Arc::new(Search { edition, done: AtomicU32::new(0), stop: AtomicBool::new(false) });
        let (tell, share) = (self.tell.clone(), self.percent / 100.0);
        self.search = Some(Arc::clone(&search));
        self.route = None;
        std::thread::spawn(move || {
            let progress = |part: f64| search.done.store((part * 1000.0) as u32, Ordering::Relaxed);
            let stop = || search.stop.load(Ordering::Relaxed);
            let watch = Watch { progress: &progress, stop: &stop };
            let ask = RouteAsk { share, ..RouteAsk::default() };
            // A search that comes to grief must not leave its bar standing.
            let routes = panic::catch_unwind(AssertUnwindSafe(|| study.routes(&found, ask, watch)));
            let routes = routes.map_or_else(|_| Err(FAULT.to_owned()), |routes| routes.map_err(|e| e.to_string()));
            // A window that has closed needs no answer.
            let _ = tell.send(Told::Routes(edition, routes));
        });
    }

    /// Stops the search; what it has found by then is told.
    pub fn stop(&self) {
        if let Some(search) = &self.search {
            search.stop.store(true, Ordering::Relaxed);
        }
    }

    /// Whether a plan is the one that is looked at.
    pub fn looks_at(&self, rail: &str, plan: &CutPlan) -> bool {
        self.plan.as_ref().is_some_and(|(of, way)| of == rail && *way == plan.way)
    }
}

fn ask(mut bracing: ResMut<Bracing>, asking: Res<Asking>, question: Res<Question>, desk: Res<Desk>) {
    // Routes of a car that has changed are of no use any more.
    if bracing.search.as_ref().is_some_and(|search| search.edition != desk.edition) {
        bracing.stop();
    }
    if !bracing.open || *question != Question::Cut {
        return;
    }
    let (Some(answered), Some(edition)) = (asking.answers(), asking.edition()) else { return };
    let key = (edition, bracing.percent.to_bits());
    if asking.working() || bracing.asked == Some(key) {
        return;
    }
    bracing.asked = Some(key);
    let body = Body {
        edition,
        study: Arc::clone(&answered.study),
        found: desk.proposal().map(|_| desk.found().car.clone()),
        bare: desk.proposal().map_or(Ok(None), |name| desk.file().car().proposed_bare(name)),
        share: bracing.percent / 100.0,
    };
    // The other end lives as long as this one.
    let _ = bracing.ask.send(body);
}

fn hear(mut bracing: ResMut<Bracing>) {
    let told: Vec<Told> = bracing.told.lock().unwrap_or_else(PoisonError::into_inner).try_iter().collect();
    bracing.heard += told.len() as u64;
    for told in told {
        match told {
            Told::Strength(edition, strength) => bracing.strength = Some((edition, strength)),
            Told::Routes(edition, routes) => {
                bracing.search = None;
                // One that was stopped with nothing found takes nothing away.
                let nothing = |r: &Routes| r.stopped && r.cuts.iter().all(|c| c.routes.is_empty());
                if routes.as_ref().is_ok_and(nothing) && bracing.routes.is_some() {
                    continue;
                }
                // The lightest is looked at first.
                let first = |r: &Routes| r.cuts.iter().position(|c| !c.routes.is_empty()).map(|cut| [cut, 0]);
                bracing.route = routes.as_ref().ok().and_then(first);
                bracing.routes = Some((edition, routes));
            }
        }
    }
}
