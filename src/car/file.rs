//! A car file: its text, and the car that the text describes. Opened, kept together through edits, saved.

use std::fs::{self, File};
use std::io::{ErrorKind, Read, Write};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};

use super::Car;
use super::error::CarError;
use super::read;
use super::text::Map;

/// No car file is larger, bytes.
const LARGEST: u64 = 16 * 1024 * 1024;

/// A car file, read and checked. Cheap to clone: an undo history is a list of these.
#[derive(Debug, Clone)]
pub struct CarFile {
    path: Option<PathBuf>,
    text: Arc<str>,
    car: Arc<Car>,
    /// What the file held when it was last read or written, shared with every edit made of it since.
    on_disk: Arc<Mutex<Option<Arc<str>>>>,
}

impl CarFile {
    /// Reads and checks a car file.
    ///
    /// # Errors
    /// It is missing, a folder, not readable, larger than 16 MiB or not UTF-8; or, with line and column, what in it
    /// cannot be read or built.
    pub fn open(path: &Path) -> Result<Self, CarError> {
        let text = load(path).map_err(|e| e.in_file(Some(path)))?;
        let file = Self::from_text(text, Some(path.to_path_buf()))?;
        file.remember();
        Ok(file)
    }

    /// Reads and checks a car from text, whose file is, or will be, at `path`.
    ///
    /// # Errors
    /// With line and column, what cannot be read or built.
    pub fn from_text(text: String, path: Option<PathBuf>) -> Result<Self, CarError> {
        let car = read::car(&text).map_err(|e| e.in_file(path.as_deref()))?;
        Ok(Self { path, text: text.into(), car: Arc::new(car), on_disk: Arc::default() })
    }

    /// The same file with other text.
    pub(super) fn with_text(&self, text: String) -> Result<Self, CarError> {
        let file = Self::from_text(text, self.path.clone())?;
        Ok(Self { on_disk: Arc::clone(&self.on_disk), ..file })
    }

    /// The car as found, with its proposals.
    pub fn car(&self) -> &Car {
        &self.car
    }

    /// The file's text, byte by byte as it was read or edited.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// Where the file is.
    pub fn path(&self) -> Option<&Path> {
        self.path.as_deref()
    }

    /// The car with a proposal made of it.
    ///
    /// # Errors
    /// As [`Car::proposed`], with the place in the file.
    pub fn proposed(&self, name: &str) -> Result<Car, CarError> {
        let made = |car| Car { made: Some(name.to_owned()), ..car };
        self.car.proposed(name).map(made).map_err(|error| {
            let placed = match Map::read(&self.text) {
                // A name that came from elsewhere is no fault of the file's.
                Ok(map) if self.car.proposals.iter().any(|p| p.name == name) => error.placed(&map),
                _ => error,
            };
            placed.in_file(self.path())
        })
    }

    /// A fault of a scan's mesh file, laid on the field of the scan that names it.
    pub fn at_scan(&self, name: &str, field: &str, what: &str) -> CarError {
        let error = CarError::new(what);
        let placed = match (Map::read(&self.text), self.car.scans.iter().position(|s| s.name == name)) {
            (Ok(map), Some(index)) => error.within(field).within(index).within("scans").placed(&map),
            _ => error,
        };
        placed.in_file(self.path())
    }

    /// Writes the text to the file it came from, all or nothing: whatever happens, either the old file or the new one
    /// is there, whole. Permissions stay, and a link stays a link.
    ///
    /// # Errors
    /// There is no path yet; or another program changed the file since it was read or written here; or it is
    /// write-protected; or the disk refuses.
    pub fn save(&self) -> Result<(), CarError> {
        let Some(path) = &self.path else {
            return Err(CarError::new("this car has no file yet: save it under a name"));
        };
        let known = self.on_disk.lock().unwrap_or_else(PoisonError::into_inner).clone();
        if let (Some(known), Ok(now)) = (known, fs::read(path))
            && now != known.as_bytes()
        {
            let what =
                "another program changed this file since it was opened: save under another name, or open it again";
            return Err(CarError::new(what).in_file(Some(path)));
        }
        write(path, self.text.as_bytes()).map_err(|e| e.in_file(Some(path)))?;
        self.remember();
        Ok(())
    }

    /// Writes the text to `path`, as [`CarFile::save`] does but over whatever is there, and gives the file as it is now.
    ///
    /// # Errors
    /// The file there is write-protected, or the disk refuses.
    pub fn save_as(&self, path: &Path) -> Result<Self, CarError> {
        write(path, self.text.as_bytes()).map_err(|e| e.in_file(Some(path)))?;
        let file = Self { path: Some(path.to_path_buf()), on_disk: Arc::default(), ..self.clone() };
        file.remember();
        Ok(file)
    }

    fn remember(&self) {
        *self.on_disk.lock().unwrap_or_else(PoisonError::into_inner) = Some(Arc::clone(&self.text));
    }
}

/// A file's text.
fn load(path: &Path) -> Result<String, CarError> {
    let refused = |e: std::io::Error| {
        CarError::new(match e.kind() {
            ErrorKind::NotFound => "there is no such file: check its name and folder".to_string(),
            ErrorKind::PermissionDenied => "this file may not be read: ask its owner for permission".to_string(),
            _ => format!("this file cannot be read: {e}"),
        })
    };
    let about = fs::metadata(path).map_err(refused)?;
    if about.is_dir() {
        return Err(CarError::new("this is a folder: name a car file in it"));
    }
    if !about.is_file() {
        return Err(CarError::new("this is not a plain file: name a car file"));
    }
    let mut bytes = Vec::new();
    // One byte more than allowed, so that a file which grows meanwhile is noticed.
    File::open(path).and_then(|f| f.take(LARGEST + 1).read_to_end(&mut bytes)).map_err(refused)?;
    if about.len() > LARGEST || bytes.len() as u64 > LARGEST {
        let size = about.len().max(bytes.len() as u64) / (1024 * 1024);
        let what = format!("this file is huge, {size} MiB, and a car file has at most 16: is it the right file?");
        return Err(CarError::new(what));
    }
    if bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]) {
        return Err(CarError::new("this file is saved as UTF-16: save it as UTF-8 in your editor"));
    }
    String::from_utf8(bytes).map_err(|e| {
        let good = e.utf8_error().valid_up_to();
        let byte = e.as_bytes()[good];
        let text = String::from_utf8_lossy(e.as_bytes());
        let what =
            format!("here is the byte {byte:02x}, which is no UTF-8 text: save the file as UTF-8 in your editor");
        CarError::new(what).spanning(&text, good..good)
    })
}

/// Puts text or bytes into the file at `path`, all or nothing.
///
/// # Errors
/// Why it could not be written, and what to do.
pub(crate) fn write(path: &Path, contents: impl AsRef<[u8]>) -> Result<(), CarError> {
    let refused = |e: std::io::Error| {
        let what = match e.kind() {
            ErrorKind::NotFound => "the folder to save in is not there: make it, or save elsewhere".to_string(),
            ErrorKind::PermissionDenied => "this folder may not be written to: save elsewhere".to_string(),
            _ => format!("this file cannot be saved: {e}"),
        };
        CarError::new(what)
    };
    let path = target(path).map_err(refused)?;
    let about = fs::metadata(&path).ok();
    if about.as_ref().is_some_and(fs::Metadata::is_dir) {
        return Err(CarError::new("this is a folder: name a file to save in"));
    }
    if about.as_ref().is_some_and(|a| a.permissions().readonly()) {
        return Err(CarError::new("this file is write-protected: take the protection off, or save under another name"));
    }
    let folder = match path.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent,
        _ => Path::new("."),
    };
    let mut builder = tempfile::Builder::new();
    builder.prefix(".saving-");
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        // As any new file: readable as far as the user's mask lets it be.
        builder.permissions(fs::Permissions::from_mode(0o666));
    }
    let mut file = builder.tempfile_in(folder).map_err(refused)?;
    file.write_all(contents.as_ref()).map_err(refused)?;
    if let Some(about) = about {
        file.as_file().set_permissions(about.permissions()).map_err(refused)?;
    }
    file.as_file().sync_all().map_err(refused)?;
    file.persist(&path).map_err(|e| refused(e.error))?;
    // The name in the folder reaches the disk too; where a folder cannot be synced the file is whole all the same.
    if let Ok(folder) = File::open(folder) {
        let _ = folder.sync_all();
    }
    Ok(())
}

/// The file that `path` leads to through links, though it may not be there yet.
fn target(path: &Path) -> std::io::Result<PathBuf> {
    let mut path = path.to_path_buf();
    for _ in 0..40 {
        match fs::read_link(&path) {
            Ok(next) => path = path.parent().unwrap_or(Path::new("")).join(next),
            Err(_) => return Ok(path),
        }
    }
    Err(std::io::Error::other("its links lead round in a circle"))
}
