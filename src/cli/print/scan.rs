//! What a mesh file holds, and how scans lie on a car.

use std::path::Path;

use super::{Table, Unwritten, notes, plain};
use crate::answer::{LaidScans, ScannedMesh, Told};
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
         open edges      {}\n{}\
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
        found.longest_rims(shown).iter().map(|rim| format!("                {rim}\n")).collect::<String>(),
        report.turned,
        report.crowded,
        found.check,
    ))
}

/// How a car's scans lie on it, picked point by picked point.
pub fn laid(laid: &LaidScans, shown: Shown, json: bool) -> Result<(), Unwritten> {
    if json {
        let text = serde_json::to_string_pretty(laid).map_err(|e| Unwritten::Failed(e.to_string()))?;
        return plain(&(text + "\n"));
    }
    let mut text = laid.sentence(shown) + "\n";
    for scan in laid.scans.iter().filter(|scan| !scan.points.is_empty()) {
        let off = format!("off {}", shown.sign());
        let mut table = Table::new(["point", "on the scan", &format!("on the car {}", shown.sign()), &off]);
        for (i, point) in scan.points.iter().enumerate() {
            let on_scan = point.scan.map(|v| v.to_string()).join(", ");
            let on_car = point.car_mm.map(|mm| shown.cell(mm)).join(", ");
            table.row([(i + 1).to_string(), on_scan, on_car, shown.cell(point.off_mm)]);
        }
        text += &format!("\n{} ({})\n\n{}", scan.name, scan.file, table.text());
    }
    plain(&(text + &notes(&laid.notes)))
}
