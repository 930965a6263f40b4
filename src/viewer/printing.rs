//! What leaves the shop: papers, page, model and keep-outs, made beside the window.

use std::collections::VecDeque;
use std::panic::{self, AssertUnwindSafe};
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, Mutex, PoisonError};

use bevy::prelude::*;

use super::asking::{Asking, Question};
use super::desk::{Desk, Notice};
use super::panels::Units;
use crate::answer::{Sheets, Study, Told};
use crate::car::{Car, Shown};
use crate::sheets::page::Price;
use crate::sheets::{Paper, PaperFile, folder, glb, keep_out, page, papers};
use crate::space::Scans;

pub(super) fn plugin(app: &mut App) {
    app.insert_resource(Printing::new()).add_systems(Update, (ask, hear).chain());
}

/// What is said where making something fails as a whole.
const FAULT: &str = "Making it failed: that is a fault of this program. `scribeline sheets CAR` tells more.";

/// Something to be made.
#[derive(Debug, Clone, PartialEq)]
pub enum Job {
    /// Papers to be looked at.
    Look,
    /// Papers into a folder.
    Papers(PathBuf),
    /// The customer's page.
    Page(PathBuf),
    /// The car as a model.
    Model(PathBuf),
    /// The tyres' keep-outs as meshes, into a folder.
    KeepOuts(PathBuf),
}

/// A job, with all that it needs.
struct Order {
    key: Key,
    study: Arc<Study>,
    found: Option<(Car, Scans)>,
    prices: Vec<Price>,
    job: Job,
}

/// What papers are of: the car's edition, units and paper.
type Key = (u64, Shown, Paper);

/// Papers to be looked at.
#[derive(Debug)]
pub struct Laid {
    /// What there is, in a sentence.
    pub sentence: String,
    /// What the papers are made from.
    pub sheets: Sheets,
    /// The papers.
    pub papers: Vec<PaperFile>,
}

enum Heard {
    Laid(Key, Result<Arc<Laid>, String>),
    Made(Result<Vec<String>, String>),
}

/// What is made, and what has been.
#[derive(Resource)]
pub struct Printing {
    /// The paper that is looked at, by its name, and which of its pages.
    pub open: Option<(String, usize)>,
    /// What papers are printed on.
    pub paper: Paper,
    /// Price lines of the customer's page, as they are typed.
    pub prices: String,
    /// How large pages are shown: 1 fits one across.
    pub zoom: f32,
    ask: Sender<Order>,
    told: Mutex<Receiver<Heard>>,
    asked: Option<Key>,
    laid: Option<(Key, Result<Arc<Laid>, String>)>,
    /// Goes up with every answer.
    pub heard: u64,
    /// How many files had been opened.
    opened: u64,
    /// Jobs that are still to be told of, papers to be looked at left out.
    working: usize,
    made: Vec<String>,
}

impl Printing {
    fn new() -> Self {
        let (ask, asked) = channel::<Order>();
        let (tell, told) = channel();
        std::thread::spawn(move || {
            let mut found: Option<Arc<Study>> = None;
            let mut waiting = VecDeque::new();
            loop {
                if waiting.is_empty() {
                    let Ok(order) = asked.recv() else { break };
                    waiting.push_back(order);
                }
                waiting.extend(asked.try_iter());
                let Some(order) = waiting.pop_front() else { continue };
                // Of papers to be looked at the last alone are of use.
                if order.job == Job::Look && waiting.iter().any(|later: &Order| later.job == Job::Look) {
                    continue;
                }
                // One that comes to grief must not leave the others standing.
                let heard = panic::catch_unwind(AssertUnwindSafe(|| done(&order, &mut found)));
                let heard = heard.unwrap_or_else(|_| match order.job {
                    Job::Look => Heard::Laid(order.key, Err(FAULT.to_owned())),
                    _ => Heard::Made(Err(FAULT.to_owned())),
                });
                if tell.send(heard).is_err() {
                    break;
                }
            }
        });
        Self {
            open: None,
            paper: Paper::default(),
            prices: String::new(),
            zoom: 1.0,
            ask,
            told: Mutex::new(told),
            asked: None,
            laid: None,
            heard: 0,
            opened: 0,
            working: 0,
            made: Vec::new(),
        }
    }

    /// The papers, or why there are none, and whether they are of the car as it now is, in these units and on this paper.
    pub fn laid(&self, desk: &Desk, shown: Shown) -> Option<(&Result<Arc<Laid>, String>, bool)> {
        self.laid.as_ref().map(|(key, laid)| (laid, *key == (desk.edition, shown, self.paper)))
    }

    /// Whether something is being written, or laid out to be looked at.
    pub fn working(&self) -> bool {
        self.working > 0 || self.asked != self.laid.as_ref().map(|(key, _)| *key)
    }

    /// Whether something is being written.
    pub fn writing(&self) -> bool {
        self.working > 0
    }

    /// What was written last.
    pub fn made(&self) -> &[String] {
        &self.made
    }

    /// The price lines, or what is wrong with one.
    ///
    /// # Errors
    /// In words for the user.
    pub fn priced(&self) -> Result<Vec<Price>, String> {
        let lines = self.prices.lines().map(str::trim).filter(|line| !line.is_empty());
        let prices: Vec<Price> = lines
            .map(|line| line.parse().map_err(|e| format!("\u{201c}{line}\u{201d}: {e}")))
            .collect::<Result<_, String>>()?;
        match prices.is_empty() || Price::total(&prices).is_some() {
            true => Ok(prices),
            false => Err("the prices are not in one currency: write it alike in every line".to_owned()),
        }
    }

    /// Has something made of the car that is looked at.
    ///
    /// # Errors
    /// In words for the user, where there is nothing to make it of.
    pub fn make(&mut self, job: Job, asking: &Asking, desk: &Desk, units: Shown) -> Result<(), String> {
        let prices = if matches!(job, Job::Page(_)) { self.priced()? } else { Vec::new() };
        let order = self.order(job, asking, desk, units, prices)?;
        self.made.clear();
        self.working += 1;
        // The other end lives as long as this one.
        let _ = self.ask.send(order);
        Ok(())
    }

    fn order(&self, job: Job, asking: &Asking, desk: &Desk, units: Shown, prices: Vec<Price>) -> Result<Order, String> {
        let answered = asking.answers().filter(|_| asking.edition() == Some(desk.edition) && !desk.trying());
        let answered = answered
            .ok_or("The car is still being worked out, or something is only tried on it: try again in a moment.")?;
        let found = desk.found();
        Ok(Order {
            key: (desk.edition, units, self.paper),
            study: Arc::clone(&answered.study),
            found: desk.proposal().map(|_| (found.car.clone(), found.scans.clone())),
            prices,
            job,
        })
    }
}

/// The car as found is set up once for all jobs.
fn as_found(order: &Order, found: &mut Option<Arc<Study>>) -> Result<Option<Arc<Study>>, String> {
    let Some((car, scans)) = &order.found else { return Ok(None) };
    let study = match found.take().filter(|study| study.car == *car) {
        Some(study) => study,
        None => Arc::new(Study::with_scans(car.clone(), scans).map_err(|e| e.to_string())?),
    };
    *found = Some(Arc::clone(&study));
    Ok(Some(study))
}

fn done(order: &Order, found: &mut Option<Arc<Study>>) -> Heard {
    match &order.job {
        Job::Look => Heard::Laid(order.key, laid(order, found).map(Arc::new)),
        job => Heard::Made(made(order, job, found)),
    }
}

fn laid(order: &Order, found: &mut Option<Arc<Study>>) -> Result<Laid, String> {
    let (_, shown, paper) = order.key;
    // A car that cannot stand as found is compared with nothing.
    let was = as_found(order, found).ok().flatten();
    let sheets = order.study.sheets(was.as_deref(), shown, true).map_err(|e| e.to_string())?;
    let papers = papers(&sheets, paper, shown).map_err(|e| e.to_string())?;
    Ok(Laid { sentence: sheets.sentence(shown), sheets, papers })
}

/// Writes it, and says what was written.
fn made(order: &Order, job: &Job, found: &mut Option<Arc<Study>>) -> Result<Vec<String>, String> {
    let (_, shown, _) = order.key;
    match job {
        Job::Look => Ok(Vec::new()),
        Job::Papers(into) => {
            let laid = laid(order, found)?;
            let gone = folder::write(into, &laid.papers).map_err(|e| e.to_string())?;
            let mut said = vec![format!("{} files in {}", laid.papers.len(), into.display())];
            said.extend(gone.iter().map(|name| format!("Taken away, as it is of an earlier run: {name}")));
            Ok(said)
        }
        Job::Page(path) => {
            let was = as_found(order, found)?.unwrap_or_else(|| Arc::clone(&order.study));
            let html = page::page(&was, &order.study, &order.prices, shown).map_err(|e| e.to_string())?;
            put(path, html.as_bytes())
        }
        Job::Model(path) => put(path, &glb::glb(&order.study).map_err(|e| e.to_string())?),
        Job::KeepOuts(into) => keep_out::write(&order.study, into, shown).map_err(|e| e.to_string()),
    }
}

fn put(path: &Path, bytes: &[u8]) -> Result<Vec<String>, String> {
    crate::car::file::write(path, bytes)
        .map_err(|e| format!("{} could not be written: {}", path.display(), e.what()))?;
    Ok(vec![format!("{}: {:.1} MB", path.display(), bytes.len() as f64 / 1e6)])
}

/// Lays the papers out anew while they are looked at.
fn ask(
    mut printing: ResMut<Printing>,
    asking: Res<Asking>,
    desk: Res<Desk>,
    question: Res<Question>,
    units: Res<Units>,
) {
    // What is proven anyway is waited for: it is the same work.
    let ready = asking.answers().is_some_and(|a| a.proven) && asking.edition() == Some(desk.edition);
    // Another customer's prices, and what was written for him, are not this one's.
    if std::mem::replace(&mut printing.opened, desk.opened) != desk.opened {
        printing.prices.clear();
        printing.made.clear();
        printing.open = None;
    }
    let key = (desk.edition, units.0, printing.paper);
    if *question != Question::Sheets || !ready || printing.asked == Some(key) {
        return;
    }
    printing.asked = Some(key);
    if let Ok(order) = printing.order(Job::Look, &asking, &desk, units.0, Vec::new()) {
        let _ = printing.ask.send(order);
    }
}

fn hear(mut printing: ResMut<Printing>, mut notice: ResMut<Notice>) {
    let told: Vec<Heard> = printing.told.lock().unwrap_or_else(PoisonError::into_inner).try_iter().collect();
    printing.heard += told.len() as u64;
    for heard in told {
        match heard {
            Heard::Laid(key, laid) => printing.laid = Some((key, laid)),
            Heard::Made(made) => {
                printing.working -= 1;
                match made {
                    Ok(said) => printing.made = said,
                    Err(why) => notice.0 = Some(why),
                }
            }
        }
    }
}
