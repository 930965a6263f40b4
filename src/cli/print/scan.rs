//! What a mesh file holds.

use std::path::Path;

use super::{Unwritten, plain};
use crate::answer::{ScannedMesh, Told};
use crate::car::Shown;

/// What a mesh file holds, and the line to paste into the car file.
pub fn scan(path: &Path, found: &ScannedMesh, shown: Shown, json: bool) -> Result<(), Unwritten> {
    if json {
        let text = serde_json::to_string_pretty(found).map_err(|e| Unwritten::Failed(e.to_string()))?;
        return plain(&(text + "\n"));
    }
    let report = &found.report;
    let place = |k: usize| report.around[k].map(|v| shown.cell(v * found.unit.in_mm())).join(", ");
    plain(&format!(
        "{}: {}\n\n\
         from            ({}) to ({}) {}\n\
         dropped         {} that were there already, {} without area\n\
         open edges      {}\n\
         winding         {} edges where two triangles disagree which side is the outside\n\
         crowded edges   {}\n\n\
         For the car file:\n    check: \"{}\",\n",
        path.display(),
        found.sentence(shown),
        place(0),
        place(1),
        shown.sign(),
        report.duplicates,
        report.degenerate,
        found.told_rims(),
        report.turned,
        report.crowded,
        found.check,
    ))
}
