//! The car on the desk: its file, the proposal looked at, and every edit since it was opened.
//!
//! Whatever changes the car is a [`Command`], and all of them are done in one place, [`Desk::obey`]. A car file is cheap
//! to clone, so the history is a list of files.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use bevy::prelude::*;

use crate::car::{AxleName, Car, CarFile, Edit};
use crate::motion::{Frame, Mode, Posed, RunningGear, Standing};
use crate::space::{Parts, Scans};

pub(super) fn plugin(app: &mut App) {
    app.add_message::<Command>().init_resource::<Notice>().add_systems(PreUpdate, obey_commands);
}

/// What can be asked of the desk.
#[derive(Message, Debug, Clone)]
pub enum Command {
    /// Puts another car file on it.
    Open(PathBuf),
    /// Writes the file where it came from.
    Save,
    /// Writes the file elsewhere, and works on there.
    SaveAs(PathBuf),
    /// Looks at a proposal, or at the car as found.
    Choose(Option<String>),
    /// Compares what is looked at with another proposal, or with the car as found.
    Against(Option<String>),
    /// Shows what an edit would do, while it is still being dragged.
    Try(Edit),
    /// Shows the car without what was tried.
    StopTrying,
    /// Makes an edit.
    Edit(Edit),
    /// Takes the last edit back.
    Undo,
    /// Makes it again.
    Redo,
}

/// Words as part of a file's name: `dunlin-low-and-wide`.
pub fn plain(words: &str) -> String {
    let plain: String = words.to_lowercase().chars().map(|c| if c.is_alphanumeric() { c } else { '-' }).collect();
    plain.split('-').filter(|word| !word.is_empty()).collect::<Vec<_>>().join("-")
}

/// What went wrong, until it is dismissed.
#[derive(Resource, Debug, Default)]
pub struct Notice(pub Option<String>);

/// A car with everything that is worked out from it once.
#[derive(Debug)]
pub struct Built {
    /// Its description.
    pub car: Car,
    /// Its scans, read from beside its file.
    pub scans: Scans,
    /// Its parts in space.
    pub parts: Parts,
    /// Its axles as mechanisms.
    pub gear: RunningGear,
    /// What the quantities of the front and the rear axle need to know of the car.
    frames: [Option<Frame>; 2],
    /// The way the steering travel goes when the car steers to the left: 1 to the left, -1 (a rack behind the axle) to
    /// the right.
    pub rack_for_left: f64,
}

impl Built {
    fn new(file: &CarFile, car: Car) -> Result<Self, String> {
        let scans = Scans::load(file, &car).map_err(|e| e.to_string())?;
        let gear = RunningGear::new(&car).map_err(|e| format!("The wheels cannot stand on the ground: {e}"))?;
        let turns = gear.front.speed(&gear.ride.front[0], Mode::Steer).map_or(1.0, |speed| speed.turn.z);
        let frames = AxleName::BOTH.map(|name| {
            let (axle, ride) = (gear.axle(name)?, gear.ride.axle(name)?);
            Some(Frame::new(&car, axle, ride, &gear.ride.ground))
        });
        let parts = Parts::with_scans(&car, &scans);
        Ok(Self { scans, parts, gear, frames, car, rack_for_left: f64::signum(turns) })
    }

    /// An axle standing in a pose, for its quantities.
    pub fn standing(&self, name: AxleName, posed: &Posed) -> Option<Standing<'_>> {
        let (axle, wheels) = (self.gear.axle(name)?, *posed.axle(name)?);
        Some(Standing { axle, wheels, ground: posed.ground, frame: self.frames[name as usize].as_ref()? })
    }

    /// Steering travel each way, positive, mm; nothing where nothing steers.
    pub fn steering_travel(&self) -> f64 {
        self.car.front.steering_travel().unwrap_or(0.0)
    }
}

/// The car on the desk.
#[derive(Resource, Debug)]
pub struct Desk {
    history: Vec<CarFile>,
    now: usize,
    /// The state that the file on disk is in, if it is still in the history.
    saved: Option<usize>,
    /// Where it is saved: of the desk, not of a moment in the history, so that an undone edit still goes to this file.
    path: Option<PathBuf>,
    proposal: Option<String>,
    /// The proposal that it is compared with; none for the car as found.
    against: Option<String>,
    found: Arc<Built>,
    looked_at: Arc<Built>,
    compared: Arc<Built>,
    trying: bool,
    /// Why what is being tried cannot be built.
    refused: Option<String>,
    /// Goes up whenever the car looked at changes.
    pub edition: u64,
    /// The same without what is only tried: it goes up when another car is looked at, or this one is edited.
    pub settled: u64,
    /// How many files have been opened.
    pub opened: u64,
}

impl Desk {
    /// With a file on it.
    ///
    /// # Errors
    /// The car as found cannot stand, or the proposal cannot be made.
    pub fn new(file: CarFile, proposal: Option<String>) -> Result<Self, String> {
        let found = Arc::new(Built::new(&file, file.car().clone())?);
        let mut desk = Self {
            path: file.path().map(Path::to_path_buf),
            history: vec![file],
            now: 0,
            saved: Some(0),
            proposal: None,
            against: None,
            looked_at: Arc::clone(&found),
            compared: Arc::clone(&found),
            found,
            trying: false,
            refused: None,
            edition: 0,
            settled: 0,
            opened: 0,
        };
        desk.choose(proposal)?;
        Ok(desk)
    }

    /// The file as it is now.
    pub fn file(&self) -> &CarFile {
        &self.history[self.now]
    }

    /// The car as found.
    pub fn found(&self) -> &Arc<Built> {
        &self.found
    }

    /// The car looked at: as found, or with the proposal made of it.
    pub fn looked_at(&self) -> &Arc<Built> {
        &self.looked_at
    }

    /// The proposal looked at.
    pub fn proposal(&self) -> Option<&str> {
        self.proposal.as_deref()
    }

    /// The car that a proposal is compared with: as found, or another proposal.
    pub fn compared(&self) -> &Arc<Built> {
        &self.compared
    }

    /// The proposal that it is compared with; none for the car as found.
    pub fn against(&self) -> Option<&str> {
        self.against.as_deref()
    }

    /// Whether what is shown is only tried.
    pub fn trying(&self) -> bool {
        self.trying
    }

    /// Why what is being tried cannot be built, if it cannot.
    pub fn refused(&self) -> Option<&str> {
        self.refused.as_deref()
    }

    /// Whether there are edits that the file on disk does not have.
    pub fn unsaved(&self) -> bool {
        self.saved != Some(self.now)
    }

    /// Whether there is an edit to take back.
    pub fn can_undo(&self) -> bool {
        self.now > 0
    }

    /// Whether there is an edit to make again.
    pub fn can_redo(&self) -> bool {
        self.now + 1 < self.history.len()
    }

    /// Does what is asked, or leaves everything as it was.
    ///
    /// # Errors
    /// In words for the user.
    pub fn obey(&mut self, command: Command) -> Result<(), String> {
        match command {
            Command::Open(path) => {
                let file = CarFile::open(&path).map_err(|e| e.to_string())?;
                let (edition, settled, opened) = (self.edition + 1, self.settled + 1, self.opened + 1);
                *self = Self { edition, settled, opened, ..Self::new(file, None)? };
                Ok(())
            }
            Command::Save => match self.path.clone() {
                Some(path) if self.file().path() != Some(&path) => self.save_as(path),
                _ => {
                    self.file().save().map_err(|e| e.to_string())?;
                    self.saved = Some(self.now);
                    Ok(())
                }
            },
            Command::SaveAs(path) => self.save_as(path),
            Command::Choose(proposal) => self.choose(proposal),
            Command::Against(other) => {
                if let Some(name) = &other {
                    Built::new(self.file(), self.file().proposed(name).map_err(|e| e.to_string())?)?;
                }
                self.against = other;
                self.show(&self.file().clone(), self.proposal.clone())
            }
            Command::Try(edit) => {
                // While a point is dragged, a place that cannot be built is no error yet.
                let file = self.file().edit(&edit).map_err(|e| e.what().to_owned());
                self.refused = file.and_then(|file| self.show(&file, self.proposal.clone())).err();
                self.trying = true;
                Ok(())
            }
            Command::StopTrying => {
                self.stop_trying();
                Ok(())
            }
            Command::Edit(edit) => {
                let made = self.file().edit(&edit).map_err(|e| e.to_string()).and_then(|file| {
                    let proposal = match &edit {
                        Edit::AddProposal { name } => Some(name.clone()),
                        _ => self.proposal.clone(),
                    };
                    self.show(&file, proposal)?;
                    self.record(file);
                    Ok(())
                });
                if made.is_err() {
                    self.stop_trying();
                }
                made
            }
            // What is only tried goes first.
            Command::Undo | Command::Redo if self.trying => {
                self.stop_trying();
                Ok(())
            }
            Command::Undo if self.can_undo() => self.go(self.now - 1),
            Command::Redo if self.can_redo() => self.go(self.now + 1),
            Command::Undo | Command::Redo => Ok(()),
        }
    }

    /// Shows the car as it is in the history again, whatever was tried.
    fn stop_trying(&mut self) {
        if std::mem::take(&mut self.trying) {
            // What is in the history has been shown before.
            let _ = self.show(&self.file().clone(), self.proposal.clone());
        }
    }

    fn choose(&mut self, proposal: Option<String>) -> Result<(), String> {
        self.show(&self.file().clone(), proposal)?;
        self.settled += 1;
        Ok(())
    }

    fn save_as(&mut self, path: PathBuf) -> Result<(), String> {
        self.history[self.now] = self.file().save_as(&path).map_err(|e| e.to_string())?;
        self.saved = Some(self.now);
        self.path = Some(path);
        Ok(())
    }

    fn record(&mut self, file: CarFile) {
        self.history.truncate(self.now + 1);
        if self.saved.is_some_and(|saved| saved > self.now) {
            self.saved = None;
        }
        self.history.push(file);
        self.now += 1;
        self.settled += 1;
        self.trying = false;
    }

    fn go(&mut self, to: usize) -> Result<(), String> {
        let file = self.history[to].clone();
        let still_there = |name: &String| file.car().proposals.iter().any(|p| p.name == *name);
        self.show(&file, self.proposal.clone().filter(still_there))?;
        self.now = to;
        self.settled += 1;
        Ok(())
    }

    fn show(&mut self, file: &CarFile, proposal: Option<String>) -> Result<(), String> {
        let found = if *file.car() == self.found.car {
            Arc::clone(&self.found)
        } else {
            Arc::new(Built::new(file, file.car().clone())?)
        };
        let looked_at = match &proposal {
            Some(name) => Arc::new(Built::new(file, file.proposed(name).map_err(|e| e.to_string())?)?),
            None => Arc::clone(&found),
        };
        // A proposal is not compared with itself, nor with one that is there no more or no longer stands; the car as found with
        // nothing.
        let against = self.against.take().filter(|name| proposal.as_ref().is_some_and(|own| own != name));
        let against = against.and_then(|name| Some((file.proposed(&name).ok()?, name)));
        let against = against.and_then(|(car, name)| match car == self.compared.car {
            true => Some((Arc::clone(&self.compared), name)),
            false => Some((Arc::new(Built::new(file, car).ok()?), name)),
        });
        let (compared, against) =
            against.map_or_else(|| (Arc::clone(&found), None), |(built, name)| (built, Some(name)));
        (self.found, self.looked_at, self.proposal) = (found, looked_at, proposal);
        (self.compared, self.against) = (compared, against);
        (self.refused, self.trying) = (None, false);
        self.edition += 1;
        Ok(())
    }

    /// Whether it is known where to save.
    pub fn has_path(&self) -> bool {
        self.path.is_some()
    }

    /// The folder that the file is in.
    pub fn folder(&self) -> Option<PathBuf> {
        let folder = self.path.as_deref()?.parent()?;
        Some(if folder.as_os_str().is_empty() { PathBuf::from(".") } else { folder.to_path_buf() })
    }

    /// The name that a dialog offers to save under.
    pub fn saving_name(&self) -> String {
        if self.has_path() { self.file_name() } else { "car.ron".to_owned() }
    }

    /// What something is called that is made of the car as it is looked at: `dunlin-low-and-wide`.
    pub fn named(&self) -> String {
        let own = self.path.as_deref().and_then(Path::file_stem).map_or("car".into(), |stem| stem.to_string_lossy());
        plain(&format!("{own} {}", self.proposal().unwrap_or("as found")))
    }

    /// What the window and the left edge call the file.
    pub fn file_name(&self) -> String {
        let name = self.path.as_deref().and_then(Path::file_name);
        name.map_or("not saved yet".to_owned(), |n| n.to_string_lossy().into_owned())
    }
}

fn obey_commands(mut desk: ResMut<Desk>, mut commands: MessageReader<Command>, mut notice: ResMut<Notice>) {
    for command in commands.read() {
        if let Err(why) = desk.obey(command.clone()) {
            notice.0 = Some(why);
        }
    }
}

#[cfg(test)]
mod tests {
    use nalgebra::Vector3;

    use super::*;
    use crate::car::{PointName, Side, Sides};

    fn desk() -> Desk {
        let demo = include_str!("../../scenes/dunlin.ron").to_owned();
        Desk::new(CarFile::from_text(demo, None).unwrap(), None).unwrap()
    }

    fn put(z: f64) -> Edit {
        let point = PointName::UpperFront;
        Edit::PutPoint {
            proposal: None,
            axle: AxleName::Front,
            side: Sides::Both,
            point,
            to: Vector3::new(92.0, 404.0, z),
        }
    }

    fn height(desk: &Desk) -> f64 {
        desk.looked_at().car.front.point(Side::Left, PointName::UpperFront).unwrap().z
    }

    #[test]
    fn an_edit_is_taken_back_and_made_again() {
        let mut desk = desk();
        let before = height(&desk);
        desk.obey(Command::Edit(put(352.0))).unwrap();
        assert_eq!(height(&desk), 352.0);
        assert!(desk.unsaved());
        desk.obey(Command::Undo).unwrap();
        assert_eq!(height(&desk), before);
        assert!(!desk.unsaved());
        desk.obey(Command::Redo).unwrap();
        assert_eq!(height(&desk), 352.0);
    }

    #[test]
    fn what_is_only_tried_leaves_no_trace() {
        let mut desk = desk();
        let before = height(&desk);
        desk.obey(Command::Try(put(354.0))).unwrap();
        assert_eq!(height(&desk), 354.0);
        desk.obey(Command::StopTrying).unwrap();
        assert_eq!(height(&desk), before);
        assert!(!desk.can_undo());
    }

    #[test]
    fn what_cannot_be_done_changes_nothing() {
        let mut desk = desk();
        let (before, text) = (height(&desk), desk.file().text().to_owned());
        assert!(desk.obey(Command::Choose(Some("no such proposal".into()))).is_err());
        assert!(desk.obey(Command::Open("no/such/file.ron".into())).is_err());
        assert!(desk.obey(Command::Save).is_err(), "the demo has no file yet");
        assert_eq!((height(&desk), desk.file().text()), (before, text.as_str()));
    }

    #[test]
    fn after_save_as_an_undone_edit_is_saved_to_the_new_file() {
        let folder = tempfile::tempdir().unwrap();
        let (one, other) = (folder.path().join("one.ron"), folder.path().join("other.ron"));
        let mut desk = desk();
        desk.obey(Command::SaveAs(one.clone())).unwrap();
        desk.obey(Command::Edit(put(352.0))).unwrap();
        desk.obey(Command::SaveAs(other.clone())).unwrap();
        let kept = std::fs::read_to_string(&one).unwrap();
        desk.obey(Command::Undo).unwrap();
        assert!(desk.unsaved());
        desk.obey(Command::Save).unwrap();
        assert_eq!(std::fs::read_to_string(&one).unwrap(), kept);
        assert_eq!(std::fs::read_to_string(&other).unwrap(), kept, "the undone state is the one first saved");
    }
}
