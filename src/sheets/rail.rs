//! A rail's template on paper.

use super::drawing::{Anchor, Drawing, Layer, Place};
use super::paper::{Body, Sheet};
use crate::answer::Sheets;
use crate::answer::sheets::{FaceSheet, RailTemplate};
use crate::car::Shown;

/// Between two slanting lines, mm.
const HATCH: f64 = 4.0;

/// A template as a sheet of paper.
pub fn sheet(all: &Sheets, template: &RailTemplate, shown: Shown) -> Sheet {
    let unit = shown.sign();
    let end = template.end.map_or_else(String::new, |end| format!(", {} end", end.word()));
    let lay =
        template.lay.iter().map(|m| format!("{} {}", m.edge, shown.cell(m.tape_mm))).collect::<Vec<_>>().join(", ");
    let at = |m: &crate::answer::cut::Mark| {
        format!("{} {} (tape {})", m.edge, shown.cell(m.station_mm), shown.cell(m.tape_mm))
    };
    let marks = template.marks.iter().map(at).collect::<Vec<_>>().join("; ");
    let starts = template.lay.iter().all(|m| m.tape_mm.abs() < 0.05);
    let laid = if starts {
        "The paper's left end lies on the rail's end at the datum.".to_owned()
    } else {
        format!(
            "Lay the paper's left end where a tape from the rail's end at the datum shows, along each edge, {unit}: {lay}."
        )
    };
    let hangs = match (template.folds, template.faces.len()) {
        (_, 1) => "Wrap it around the rail, its lower and upper edge meeting on the rail's lowest line.",
        (true, _) => "Fold it around the rail along the dashed lines, which are the rail's edges.",
        (false, _) => "The rail bends under this template: cut the faces out and lay each on its own face.",
    };
    Sheet {
        title: format!("{}: {}{end}", template.rail, template.what),
        notes: vec![
            format!("Stations, {unit}, from the {}, grow to the right. Printed side out. {hangs}", template.datum),
            laid,
            format!("Scribe along the thick line; it meets the edges at station, {unit}: {marks}."),
            "Hatched is scrap: saw on the hatched side of the line. Check the marks with a tape before sawing."
                .to_owned(),
        ],
        body: Body::TrueScale(drawing(template, shown)),
        caution: vec![all.caution.cutting],
    }
}

/// The template itself: x is the station where the rail is straight, y goes around it.
pub fn drawing(template: &RailTemplate, shown: Shown) -> Drawing {
    let mut drawing = Drawing::default();
    let last = template.faces.len() - 1;
    for (i, face) in template.faces.iter().enumerate() {
        face.scrap.iter().for_each(|shape| drawing.hatch(shape, HATCH));
        for (station, line) in &face.square {
            drawing.path(Layer::Reference, line.clone(), false);
            if i == 0 || !template.folds {
                let [x, y] = line[0];
                drawing.text(Layer::Words, [x, y - 3.2], 2.4, Anchor::Middle, false, shown.cell(*station));
            }
        }
        for (k, edge) in face.edges.iter().enumerate() {
            // An edge between two faces that hang together is drawn once.
            let inner = template.folds && !(i == 0 && k == 0) && !(i == last && k == 1);
            if !(inner && k == 1) {
                drawing.path(if inner { Layer::Fold } else { Layer::Outline }, edge.clone(), false);
            }
        }
        for side in [0, face.outline.len() / 2 - 1] {
            let (a, b) = (face.outline[side], face.outline[face.outline.len() - 1 - side]);
            drawing.line(Layer::Outline, a, b);
        }
        face.lines.iter().for_each(|line| drawing.path(Layer::Cut, line.clone(), false));
        let [x, y] = middle(face);
        drawing.text(Layer::Words, [x, y], 3.6, Anchor::Middle, false, face.face.word().to_uppercase());
        drawing.text(Layer::Words, [x, y - 4.0], 2.4, Anchor::Middle, false, template.rail.clone());
        if let Some(scrap) = face.scrap.iter().max_by(|a, b| area(a).total_cmp(&area(b))).filter(|s| area(s) > 300.0) {
            let at = mean(scrap);
            drawing.text(Layer::Words, at, 3.0, Anchor::Middle, false, "SCRAP");
        }
    }
    let names = |face: &FaceSheet, k: usize| (face.edges[k][0], face.edge_names[k]);
    let ends = [names(&template.faces[0], 0), names(&template.faces[last], 1)];
    for ([x, y], name) in ends {
        let off = if y > 1.0 { 1.5 } else { 1.0 };
        drawing.words([x + 1.0, y + off - if y > 1.0 { 0.0 } else { -0.5 }], 2.2, format!("edge: {name}"));
    }
    drawing
}

/// A place for a face's name: in the middle of what stays, where that is known.
fn middle(face: &FaceSheet) -> Place {
    let all = mean(&face.outline);
    let Some(scrap) = face.scrap.first() else { return all };
    let goes = mean(scrap);
    let low = face.outline.iter().map(|p| p[0]).fold(f64::INFINITY, f64::min);
    let high = face.outline.iter().map(|p| p[0]).fold(f64::NEG_INFINITY, f64::max);
    // On the side that the scrap is not.
    if goes[0] > all[0] { [low + 18.0, all[1]] } else { [high - 18.0, all[1]] }
}

fn mean(shape: &[Place]) -> Place {
    [0, 1].map(|i| shape.iter().map(|p| p[i]).sum::<f64>() / shape.len() as f64)
}

fn area(shape: &[Place]) -> f64 {
    let next = |i: usize| shape[(i + 1) % shape.len()];
    shape.iter().enumerate().map(|(i, p)| p[0] * next(i)[1] - next(i)[0] * p[1]).sum::<f64>().abs() / 2.0
}
