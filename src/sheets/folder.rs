//! Papers in a folder, with a list of them by which the program knows its own again.
//!
//! The list is written before the papers and once more after them, so that a run that is cut short leaves no file that the
//! next one takes for somebody else's. Papers of an earlier run that are not made again go: an old template must not lie
//! among new ones.

use std::collections::BTreeMap;
use std::fmt::Write;
use std::fs;
use std::path::{Path, PathBuf};

use super::bench::PaperFile;
use crate::scan;

/// The list, which `sha256sum -c` reads.
pub const LIST: &str = "papers.sha256";

/// Why papers are not written.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{}: {what}", path.display())]
pub struct Refused {
    /// The file or folder.
    pub path: PathBuf,
    /// What is wrong with it, and what to do.
    pub what: String,
}

/// Sums of files by name; of one file there may be two while papers are written.
type Sums = BTreeMap<String, Vec<String>>;

/// Writes papers into a folder, which is made where it is not there; each file is there whole or not at all. Gives the names
/// of earlier papers that were taken away.
///
/// # Errors
/// A file of the same name is not the program's own, or was changed since; or the folder cannot be written to. Then nothing
/// of the papers is written, but for a disk that fails on the way.
pub fn write(folder: &Path, papers: &[PaperFile]) -> Result<Vec<String>, Refused> {
    let refused = |path: &Path, what: String| Refused { path: path.to_owned(), what };
    if let Some(file) = folder.ancestors().find(|f| f.exists()).filter(|f| !f.is_dir()) {
        return Err(refused(file, "this is a file: name a folder for the papers".to_owned()));
    }
    let known = read(&folder.join(LIST))?;
    for paper in papers {
        let path = folder.join(&paper.name);
        if path.exists() && !is_own(&path, known.get(&paper.name)) {
            let what = "there is a file of this name that is not a paper of an earlier run, or was changed since: move it, or name \
                        another folder";
            return Err(refused(&path, what.to_owned()));
        }
    }
    fs::create_dir_all(folder).map_err(|e| refused(folder, format!("this folder cannot be made: {e}")))?;
    let new: Sums = papers.iter().map(|p| (p.name.clone(), vec![sum(&p.bytes)])).collect();
    let mut both = known.clone();
    for (name, sums) in &new {
        both.entry(name.clone()).or_default().extend(sums.iter().cloned());
    }
    list(folder, &both)?;
    for paper in papers {
        put(&folder.join(&paper.name), &paper.bytes)?;
    }
    let old = known.iter().filter(|(name, _)| !new.contains_key(*name));
    let mut gone = Vec::new();
    for (name, sums) in old {
        let path = folder.join(name);
        if is_own(&path, Some(sums)) {
            fs::remove_file(&path)
                .map_err(|e| refused(&path, format!("this earlier paper cannot be taken away: {e}")))?;
            gone.push(name.clone());
        }
    }
    list(folder, &new)?;
    Ok(gone)
}

fn put(path: &Path, bytes: &[u8]) -> Result<(), Refused> {
    crate::car::file::write(path, bytes).map_err(|e| Refused { path: path.to_owned(), what: e.what().to_owned() })
}

fn list(folder: &Path, sums: &Sums) -> Result<(), Refused> {
    let mut text = String::new();
    for (name, sums) in sums {
        for sum in sums {
            // Writing to a String cannot fail.
            let _ = writeln!(text, "{sum}  {name}");
        }
    }
    put(&folder.join(LIST), text.as_bytes())
}

/// What an earlier run has listed; nothing where there is no list.
fn read(path: &Path) -> Result<Sums, Refused> {
    if !path.exists() {
        return Ok(Sums::new());
    }
    let refused = |what: &str| Refused { path: path.to_owned(), what: what.to_owned() };
    let text = fs::read_to_string(path).map_err(|e| refused(&format!("this list of papers cannot be read: {e}")))?;
    let mut sums = Sums::new();
    for line in text.lines() {
        let listed = line.split_once("  ").filter(|(sum, name)| sum.len() == 64 && is_plain(name));
        let Some((sum, name)) = listed else {
            return Err(refused("this is no list of papers of an earlier run: move it, or name another folder"));
        };
        sums.entry(name.to_owned()).or_default().push(sum.to_owned());
    }
    Ok(sums)
}

/// Whether a name stays in its folder.
fn is_plain(name: &str) -> bool {
    Path::new(name).file_name().is_some_and(|only| only == name)
}

fn is_own(path: &Path, sums: Option<&Vec<String>>) -> bool {
    let now = fs::read(path).map(|bytes| sum(&bytes));
    now.is_ok_and(|now| sums.is_some_and(|sums| sums.contains(&now)))
}

fn sum(bytes: &[u8]) -> String {
    scan::check_line(bytes).trim_start_matches("sha256:").to_owned()
}
