//! Keep-outs as files for other programs.

use std::fs;
use std::io::ErrorKind;
use std::path::Path;

use rayon::prelude::*;

use super::folder::Refused;
use crate::answer::Study;
use crate::car::{Hub, Shown};
use crate::scan::stl;
use crate::space::Shell;

/// Writes a mesh for each wheel into a folder, and says of each what was written. Nothing is written before all are drawn.
///
/// # Errors
/// The folder cannot be made or written to, or a keep-out cannot be drawn.
pub fn write(study: &Study, folder: &Path, shown: Shown) -> Result<Vec<String>, Refused> {
    let refused = |path: &Path, what: String| Refused { path: path.to_owned(), what };
    if let Some(file) = folder.ancestors().find(|f| f.exists()).filter(|f| !f.is_dir()) {
        return Err(refused(file, "this is a file: name a folder for the keep-outs".to_owned()));
    }
    let drawn: Result<Vec<(Hub, Shell)>, Refused> = study
        .sweeps
        .par_iter()
        .map(|sweep| Ok((sweep.hub, study.keep_out(sweep.hub).map_err(|e| refused(folder, e.to_string()))?)))
        .collect();
    let drawn = drawn?;
    fs::create_dir_all(folder).map_err(|e| refused(folder, unmade(&e)))?;
    let wheels = drawn.into_iter().map(|(hub, shell)| {
        let path = folder.join(format!("keep-out-{}.stl", hub.words().replace(' ', "-")));
        crate::car::file::write(&path, stl::written(shell.facets())).map_err(|e| refused(&path, e.what().to_owned()))?;
        Ok(format!(
            "The {} tyre's keep-out with a gap of {} is in {}: {} triangles, closed, in millimetres and the car file's axes. \
             Nowhere is its surface inside the keep-out; its corners are up to {} outside, and across a hollow it is up to {}.",
            hub.words(),
            shown.length(study.car.wanted.tyre_to_body),
            path.display(),
            shell.triangles.len(),
            shown.length(shell.out),
            shown.length(shell.within),
        ))
    });
    wheels.collect()
}

fn unmade(error: &std::io::Error) -> String {
    match error.kind() {
        ErrorKind::PermissionDenied => {
            "this folder cannot be made, as its place may not be written to: name another".to_owned()
        }
        _ => format!("this folder cannot be made: {error}"),
    }
}
