//! A car's scans, read from their files and laid on the car.
//!
//! A car is plain text; its scans are files beside it, read here, where the car is set up to be asked. A shelf keeps the
//! last ones, so that dragging a point does not read a million triangles anew: a file by its time and length, a placed
//! skin by what the car file says about it.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::SystemTime;

use nalgebra::Vector3;
use rayon::prelude::*;

use super::astray::{Astray, told_size};
use super::skin::Skin;
use super::solid::Solid;
use crate::car::{Car, CarError, CarFile, Scan, ScannedAs, Side, Trim};
use crate::scan::{self, Fault, Mesh, Placing, Report};

/// Picked points further off than this are worth a word, mm (common practice, no source).
const OFF: f64 = 5.0;
/// Farther than this from the origin is no part of a car, mm.
const FAR: f64 = 20_000.0;
/// So many files, and so many placed skins, are kept.
const KEPT: usize = 12;

/// A scan on the car.
#[derive(Debug, Clone)]
pub struct Scanned {
    /// Its name in the car file.
    pub name: String,
    /// Where the picked points lie.
    pub placing: Placing,
    /// What its file holds.
    pub report: Report,
    /// What is to be said beside every answer: a file that changed, points that do not fit.
    pub notes: Vec<String>,
    /// The same, each in a clause.
    pub beware: Vec<String>,
    /// Its shape as scanned, body frame.
    pub solid: Arc<Solid>,
    /// The same on the right, if it is mirrored.
    pub mirrored: Option<Arc<Solid>>,
}

/// The scans of a car.
#[derive(Debug, Clone, Default)]
pub struct Scans(pub Vec<Scanned>);

impl Scans {
    /// Reads and places the scans of `car`, which is `file`'s as found or with a proposal. Files are looked for from the
    /// car file's folder.
    ///
    /// # Errors
    /// A mesh file is missing or cannot be read, or nothing of it lies on the car; with the place in the car file.
    pub fn load(file: &CarFile, car: &Car) -> Result<Self, CarError> {
        let folder = file.path().and_then(Path::parent).unwrap_or(Path::new(""));
        let each = car.scans.par_iter().map(|scan| {
            let at = |(field, what): (&str, String)| file.at_scan(&scan.name, field, &what);
            scanned(folder, scan, car).map_err(at)
        });
        Ok(Self(each.collect::<Result<_, _>>()?))
    }

    /// The scans of a car by name and side alone, without a shape: for what asks which parts there are.
    pub fn unread(car: &Car) -> Self {
        let nothing = Arc::new(Solid::new(Vec::new(), Vec::new()));
        let each = car.scans.iter().map(|scan| Scanned {
            name: scan.name.clone(),
            placing: Placing::of(&[]),
            report: Report::default(),
            notes: Vec::new(),
            beware: Vec::new(),
            solid: Arc::clone(&nothing),
            mirrored: scan.mirror.then(|| Arc::clone(&nothing)),
        });
        Self(each.collect())
    }

    /// A scan by its name in the car file.
    pub fn get(&self, name: &str) -> Option<&Scanned> {
        self.0.iter().find(|s| s.name == name)
    }

    /// What is to be said beside every answer.
    pub fn notes(&self) -> Vec<String> {
        self.0.iter().flat_map(|s| s.notes.iter().cloned()).collect()
    }

    /// Of each scan that was laid by picked points how far off the worst of them is, mm.
    pub fn off(&self) -> BTreeMap<String, f64> {
        self.0.iter().filter_map(|s| Some((s.name.clone(), s.placing.worst()?.1))).collect()
    }

    /// Scans that may not lie where they should, each in a clause.
    pub fn beware(&self) -> Vec<String> {
        self.0.iter().flat_map(|s| s.beware.iter().cloned()).collect()
    }
}

/// A mesh file as it was at a time.
#[derive(Debug, Clone, PartialEq)]
struct Version {
    path: PathBuf,
    time: Option<SystemTime>,
    length: u64,
}

/// A mesh and its check line.
#[derive(Debug)]
struct Read {
    mesh: Mesh,
    check: String,
}

/// A scan on the car, on one side or both.
#[derive(Debug)]
struct Placed {
    placing: Placing,
    astray: Option<Astray>,
    solid: Arc<Solid>,
    mirrored: Option<Arc<Solid>>,
}

/// What was last used, at the end.
struct Shelf<K, V>(Mutex<Vec<(K, Arc<V>)>>);

impl<K: PartialEq, V> Shelf<K, V> {
    const fn new() -> Self {
        Self(Mutex::new(Vec::new()))
    }

    fn get<E>(&self, key: K, make: impl FnOnce() -> Result<V, E>) -> Result<Arc<V>, E> {
        let held = || self.0.lock().unwrap_or_else(PoisonError::into_inner);
        {
            let mut kept = held();
            if let Some(at) = kept.iter().position(|(k, _)| *k == key) {
                let found = kept.remove(at);
                kept.push(found);
                return Ok(Arc::clone(&kept[kept.len() - 1].1));
            }
        }
        let made = Arc::new(make()?);
        let mut kept = held();
        kept.push((key, Arc::clone(&made)));
        if kept.len() > KEPT {
            kept.remove(0);
        }
        Ok(made)
    }
}

static FILES: Shelf<Version, Read> = Shelf::new();
static SKINS: Shelf<(Version, Scan), Placed> = Shelf::new();

/// Reads and places one scan. A fault comes with the field of the car file that it is about.
fn scanned(folder: &Path, scan: &Scan, car: &Car) -> Result<Scanned, (&'static str, String)> {
    let path = folder.join(&scan.file);
    let in_file = |fault: Fault| ("file", format!("`{}`: {fault}", scan.file));
    let about = fs::metadata(&path).ok();
    let version =
        Version { time: about.as_ref().and_then(|a| a.modified().ok()), length: about.map_or(0, |a| a.len()), path };
    let read = FILES.get(version.clone(), || {
        let bytes = scan::load(&version.path)?;
        Ok(Read { mesh: scan::read(&version.path, &bytes)?, check: scan::check_line(&bytes) })
    });
    let read = read.map_err(in_file)?;
    // What it is called and checked against does not change where it lies.
    let laid = Scan { name: String::new(), check: None, ..scan.clone() };
    let placed = SKINS.get((version, laid), || place(&read.mesh, scan, car))?;
    let (mut notes, mut beware) = (Vec::new(), Vec::new());
    if scan.check.as_ref().is_some_and(|check| !check.eq_ignore_ascii_case(&read.check)) {
        notes.push(format!(
            "The file of the scan `{}` changed since it was laid on the car: look whether it still lies where it should, \
             then paste the check line that `scribeline scan` prints.",
            scan.name
        ));
        beware.push(format!("the scan `{}` may lie wrong, as its file changed since it was laid", scan.name));
    }
    if scan.place.is_empty() {
        notes.push(format!(
            "The scan `{}` is laid by no picked points: it lies where its own coordinates put it, in {}, and is {} \
             in size.",
            scan.name,
            scan.unit().sign(),
            told_size(&read.mesh, scan)
        ));
    }
    if let Some(astray) = &placed.astray {
        notes.push(astray.note(&read.mesh, scan, car.unit));
        beware.push(astray.beware(scan, car.unit));
    }
    if let (Some((worst, mm)), Some(rms)) = (placed.placing.worst(), placed.placing.rms())
        && mm > OFF
    {
        notes.push(format!(
            "The picked points of the scan `{}` lie up to {} off their places (no. {worst}; root mean square {}): no gap \
             to it is surer than that.",
            scan.name,
            car.unit.length((mm * 10.0).round() / 10.0),
            car.unit.length((rms * 10.0).round() / 10.0),
        ));
        let off = car.unit.length((mm * 10.0).round() / 10.0);
        beware.push(format!("the scan `{}` lies up to {off} off the points that it was laid on", scan.name));
    }
    Ok(Scanned {
        name: scan.name.clone(),
        placing: placed.placing.clone(),
        report: read.mesh.report.clone(),
        notes,
        beware,
        solid: Arc::clone(&placed.solid),
        mirrored: placed.mirrored.clone(),
    })
}

fn place(mesh: &Mesh, scan: &Scan, car: &Car) -> Result<Placed, (&'static str, String)> {
    let placing = Placing::of(&scan.pairs());
    let scale = scan.unit().in_mm();
    let carry = |p: &Vector3<f64>| placing.carry.transform_point(&(p * scale).into()).coords;
    let (mut corners, triangles) = mesh.carried(carry, |t| scan.trim.is_none_or(|trim| reaches_into(&trim, t)));
    if triangles.is_empty() {
        let what = "nothing of the scan lies in this box: check its numbers, and how the scan is placed";
        return Err(("trim", what.to_owned()));
    }
    corners.par_iter_mut().for_each(|c| *c += scan.moved);
    if let Some(far) = corners.iter().find(|c| c.amax() > FAR) {
        let what = format!(
            "the scan reaches {} from the car's origin, farther than any car: check its `unit`, which is {}, and its \
             `place`, or trim it",
            car.unit.length(far.amax().round()),
            scan.unit().sign()
        );
        return Err((if scan.place.is_empty() { "file" } else { "place" }, what));
    }
    let build = |side: Side| {
        let corners = corners.par_iter().map(|c| side.mirror(*c)).collect();
        Arc::new(Solid::of_skin(Skin::new(corners, triangles.clone())))
    };
    let (solid, mirrored) = rayon::join(|| build(Side::Left), || scan.mirror.then(|| build(Side::Right)));
    Ok(Placed { placing, astray: Astray::of(mesh, scan), solid, mirrored })
}

/// Whether a triangle may reach into the box: none that does is left out.
fn reaches_into(trim: &Trim, [a, b, c]: [Vector3<f64>; 3]) -> bool {
    let (from, to) = (trim.from.inf(&trim.to), trim.from.sup(&trim.to));
    let (low, high) = (a.inf(&b).inf(&c), a.sup(&b).sup(&c));
    (0..3).all(|k| low[k] <= to[k] && high[k] >= from[k])
}

impl ScannedAs {
    /// As a kind of part.
    pub(super) fn kind(self) -> super::Kind {
        match self {
            Self::Panel => super::Kind::Panel,
            Self::Rail => super::Kind::Rail,
        }
    }
}
