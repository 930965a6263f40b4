//! Keep-outs as files for other programs.

use std::fs;
use std::path::Path;

use super::Stop;
use crate::answer::Study;
use crate::car::Shown;
use crate::scan::stl;

/// Writes a mesh for each wheel into a folder, and says of each what was written.
pub fn write(study: &Study, folder: &Path, shown: Shown) -> Result<Vec<String>, Stop> {
    let refused = |file: &Path, what: String| Stop::NotWritten { file: file.to_owned(), what };
    if folder.exists() && !folder.is_dir() {
        return Err(refused(folder, "this is a file: name a folder for the keep-outs".to_owned()));
    }
    fs::create_dir_all(folder).map_err(|e| refused(folder, format!("this folder cannot be made: {e}")))?;
    let wheels = study.sweeps.iter().map(|sweep| {
        let shell = study.keep_out(sweep.hub).map_err(|e| refused(folder, e.to_string()))?;
        let path = folder.join(format!("keep-out-{}.stl", sweep.hub.words().replace(' ', "-")));
        crate::car::file::write(&path, stl::written(shell.facets())).map_err(|e| refused(&path, e.what().to_owned()))?;
        Ok(format!(
            "The {} tyre's keep-out with a gap of {} is in {}: {} triangles, closed, in millimetres and the car file's axes. \
             Its corners lie outside the keep-out, none by more than {}; in hollows the surface is up to {} outside, and nowhere is it inside.",
            sweep.hub.words(),
            shown.length(study.car.wanted.tyre_to_body),
            path.display(),
            shell.triangles.len(),
            shown.length(shell.out),
            shown.length(shell.within),
        ))
    });
    wheels.collect()
}
