//! The map of a wheel's gaps and the curve of the lock, worked out beside the window while their panel is open.

use std::path::Path;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, Mutex, PoisonError};

use bevy::prelude::*;

use super::asking::{Asking, Question};
use crate::answer::map::NODES;
use crate::answer::{Among, GapMap, LockCurve, Study};
use crate::car::{AxleName, Hub, Shown, Side};
use crate::space::{Beside, Place};

pub(super) fn plugin(app: &mut App) {
    app.insert_resource(Mapping::new()).add_systems(Update, (ask, hear).chain());
}

/// Which pairs are mapped.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub enum Mapped {
    /// Tyre and rim against whatever they may meet.
    #[default]
    Wheel,
    /// Arms and links too.
    Everything,
    /// One pair, by its parts' names.
    Pair([String; 2]),
}

/// What is drawn.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Wish {
    Map(Hub, Mapped),
    LockCurve,
}

/// What was drawn.
#[derive(Debug, Clone)]
pub enum Made {
    /// A map, or why there is none.
    Map(Result<GapMap, String>),
    /// The curve of the lock.
    LockCurve(LockCurve),
}

type Key = (u64, bool, Wish);

/// The map or curve that is looked at.
#[derive(Resource)]
pub struct Mapping {
    /// Whether the panel is open.
    pub open: bool,
    /// The wheel.
    pub hub: Hub,
    /// The pairs.
    pub mapped: Mapped,
    ask: Sender<(Key, Arc<Study>)>,
    told: Mutex<Receiver<(Key, Made)>>,
    asked: Option<Key>,
    made: Option<Made>,
    made_for: Option<Key>,
    /// Goes up with everything that is made.
    pub edition: u64,
}

/// Width and height of an exported drawing, pixels.
const SIZE: [u32; 2] = [1120, 720];

impl Mapping {
    fn new() -> Self {
        let (ask, asked) = channel::<(Key, Arc<Study>)>();
        let (tell, told) = channel();
        std::thread::spawn(move || {
            while let Ok(mut request) = asked.recv() {
                while let Ok(later) = asked.try_recv() {
                    request = later;
                }
                let (key, study) = request;
                let made = make(&study, &key.2);
                if tell.send((key, made)).is_err() {
                    break;
                }
            }
        });
        let hub = Hub { axle: AxleName::Front, side: Side::Left };
        let told = Mutex::new(told);
        Self { open: false, hub, mapped: Mapped::Wheel, ask, told, asked: None, made: None, made_for: None, edition: 0 }
    }

    /// Whether what is made is of an earlier state of the car, a newer one being made.
    pub fn stale(&self) -> bool {
        self.made_for != self.asked
    }

    /// What is made; of an earlier state of the car while a newer one is being made.
    pub fn made(&self) -> Option<&Made> {
        self.made.as_ref()
    }

    /// The wheels of which there is a map.
    pub fn offered(study: &Study) -> Vec<Hub> {
        study.sweeps.iter().filter(|s| s.beside != Beside::Nothing).map(|s| s.hub).collect()
    }

    /// The name that a dialog offers to export under.
    pub fn file_name(&self) -> String {
        match &self.made {
            Some(Made::LockCurve(_)) => "lock.svg".to_owned(),
            _ => format!("gaps-{}.svg", self.hub.words().replace(' ', "-")),
        }
    }

    /// Writes it as a drawing.
    ///
    /// # Errors
    /// In words for the user.
    pub fn export(&self, path: &Path, shown: Shown) -> Result<(), String> {
        let svg = match &self.made {
            Some(Made::Map(Ok(map))) => map.svg(shown, SIZE),
            Some(Made::LockCurve(curve)) => curve.svg(shown, SIZE),
            Some(Made::Map(Err(why))) => return Err(why.clone()),
            None => return Err("There is no drawing to export yet.".to_owned()),
        };
        crate::car::file::write(path, svg.as_bytes())
            .map_err(|e| format!("The drawing could not be written to {}: {}", path.display(), e.what()))
    }
}

fn make(study: &Study, wish: &Wish) -> Made {
    match wish {
        Wish::LockCurve => Made::LockCurve(study.lock_curve()),
        Wish::Map(hub, mapped) => {
            let places: Vec<Place>;
            let among = match mapped {
                Mapped::Wheel => Among::Wheel,
                Mapped::Everything => Among::Everything,
                Mapped::Pair([a, b]) => {
                    places = study.parts.could_meet(a, b);
                    Among::Pairs(&places)
                }
            };
            Made::Map(study.map(*hub, among, NODES, NODES).map_err(|e| e.to_string()))
        }
    }
}

fn ask(mut mapping: ResMut<Mapping>, asking: Res<Asking>, question: Res<Question>) {
    if !mapping.open {
        return;
    }
    let (Some(answered), Some(edition)) = (asking.answers(), asking.edition()) else { return };
    let offered = Mapping::offered(&answered.study);
    if let Some(first) = offered.first()
        && !offered.contains(&mapping.hub)
    {
        mapping.hub = *first;
    }
    let wish = match *question {
        Question::Lock => Wish::LockCurve,
        Question::Gaps => Wish::Map(mapping.hub, mapping.mapped.clone()),
        _ => return,
    };
    // What is proven knows more than what is searched.
    let key = (edition, answered.proven, wish);
    if mapping.asked.as_ref() != Some(&key) {
        if mapping.asked.as_ref().is_some_and(|asked| asked.2 != key.2) {
            mapping.made = None;
        }
        mapping.asked = Some(key.clone());
        // The other end lives as long as this one.
        let _ = mapping.ask.send((key, Arc::clone(&answered.study)));
    }
}

fn hear(mut mapping: ResMut<Mapping>) {
    let latest = mapping.told.lock().unwrap_or_else(PoisonError::into_inner).try_iter().last();
    if let Some((key, made)) = latest
        && mapping.asked.as_ref().is_some_and(|asked| asked.2 == key.2)
    {
        (mapping.made, mapping.made_for) = (Some(made), Some(key));
        mapping.edition += 1;
    }
}
