//! A tube end's template on paper.

use nalgebra::Vector3;

use super::drawing::{Anchor, Drawing, Layer, Place};
use super::paper::{Body, Sheet};
use crate::answer::Sheets;
use crate::answer::sheets::{Cope, Met, OUTSIDE, TubeEnd};
use crate::car::Shown;

/// The paper reaches this far down the tube from the shortest place, mm.
const DOWN: f64 = 40.0;
/// To glue the paper's end under its beginning, mm.
const TAB: f64 = 10.0;
/// Between two slanting lines, mm.
const HATCH: f64 = 4.0;

/// A tube's end as a sheet of paper; none where it has no template.
pub fn sheet(all: &Sheets, end: &TubeEnd, shown: Shown) -> Option<Sheet> {
    let cope = end.cope.as_ref()?;
    let unit = shown.sign();
    let meets = end.meets.iter().map(|met| told(met, shown)).collect::<Vec<_>>().join("; ");
    let down = foot(cope);
    let mut notes = vec![
        format!("Tube {} {unit} outside{}. {meets}.", shown.cell(end.od_mm), wall(end, shown)),
        OUTSIDE.to_owned(),
        format!(
            "Saw the tube square to the length on the cut list. The dashed line at the top lies flush with the sawn end, the \
             paper's foot {} from it. The reference line is {} as the tube stands in the car; of a straight tube both ends have the \
             same one.",
            shown.length(cope.longest_mm[1] - down),
            end.reference_is
        ),
        format!(
            "Longest at {} around to the right of the reference line, shortest at {}, {} shorter. Hatched is scrap.",
            shown.length(cope.longest_mm[0]),
            shown.length(cope.shortest_mm[0]),
            shown.length(cope.longest_mm[1] - cope.shortest_mm[1])
        ),
    ];
    if end.relief_mm > 0.05 {
        notes.push(format!(
            "The template is for the outside: file the bore back, slanting, by up to {} so that the outer edge meets.",
            shown.length(end.relief_mm)
        ));
    }
    if !end.note.is_empty() {
        notes.push(format!("{}.", crate::answer::words::capital(&end.note)));
    }
    Some(Sheet {
        title: title(end),
        notes,
        body: Body::TrueScale(drawing(end, cope)),
        caution: all.caution.frame.to_vec(),
    })
}

/// What an end is called.
pub fn title(end: &TubeEnd) -> String {
    let onto = end.meets.iter().map(|m| m.part.as_str()).collect::<Vec<_>>().join(" and ");
    format!("{}, end {}, onto {onto}", end.tube, end.end)
}

fn wall(end: &TubeEnd, shown: Shown) -> String {
    end.wall_mm.map_or_else(|| ", solid".to_owned(), |wall| format!(", wall {}", shown.cell(wall)))
}

fn told(met: &Met, shown: Shown) -> String {
    match (met.od_mm, met.offset_mm) {
        (Some(od), Some(off)) => format!(
            "Onto the {}, {} outside, at {:.1} deg between the axes, which pass {} apart",
            met.part,
            shown.length(od),
            met.angle_deg,
            shown.length(off)
        ),
        _ => format!("Onto the {}, a flat at {:.1} deg", met.part, met.angle_deg),
    }
}

/// Where the paper ends down the tube.
fn foot(cope: &Cope) -> f64 {
    ((cope.shortest_mm[1] - DOWN) / 5.0).floor() * 5.0
}

/// The template itself: x goes around to the right from the reference line, y along the tube, from where its axis ends.
pub fn drawing(end: &TubeEnd, cope: &Cope) -> Drawing {
    let mut drawing = Drawing::default();
    let (around, foot, top) = (cope.around_mm, foot(cope), cope.longest_mm[1]);
    let scrap: Vec<Place> = cope.edge_mm.iter().copied().chain([[around, top], [0.0, top]]).collect();
    drawing.hatch(&scrap, HATCH);
    for quarter in 0..=4 {
        let x = around * f64::from(quarter) / 4.0;
        let at = |y: f64| [x, y];
        drawing.line(Layer::Reference, at(foot), at(top));
        let turn = f64::from(quarter) * std::f64::consts::FRAC_PI_2;
        let name = towards(end, turn);
        let words = if quarter % 4 == 0 { format!("reference line: {}", end.reference_is) } else { name.to_owned() };
        // At the right end the line is the same again, and its words stand before it.
        let off = if quarter == 4 { -1.2 } else { 3.2 };
        drawing.text(Layer::Words, [x + off, foot + 2.0], 2.6, Anchor::Start, true, words);
    }
    drawing.path(Layer::Cut, cope.edge_mm.clone(), false);
    drawing.line(Layer::Fold, [0.0, top], [around, top]);
    drawing.text(Layer::Words, [around / 2.0, top + 1.2], 2.6, Anchor::Middle, false, "flush with the sawn end");
    let (first, last) = (cope.edge_mm[0], cope.edge_mm[cope.edge_mm.len() - 1]);
    drawing.path(Layer::Outline, vec![first, [0.0, foot], [around, foot], last], false);
    let tab = [[around, foot + 2.0], [around + TAB, foot + 4.0], [around + TAB, last[1] - 2.0], last];
    drawing.path(Layer::Outline, tab.to_vec(), false);
    drawing.text(Layer::Words, [around + TAB - 2.0, foot + 6.0], 2.4, Anchor::Start, true, "glue under");
    for (place, words) in [(cope.longest_mm, "longest"), (cope.shortest_mm, "shortest")] {
        drawing.circle(Layer::Reference, place, 1.5);
        let anchor = if place[0] > around * 0.8 { Anchor::End } else { Anchor::Start };
        let off = if anchor == Anchor::End { -2.2 } else { 2.2 };
        drawing.text(Layer::Words, [place[0] + off, place[1] - 4.0], 2.4, anchor, false, words);
    }
    let middle = [around * 0.55, foot + 6.0];
    drawing.words(middle, 2.6, format!("{}, end {}", end.tube, end.end));
    drawing
}

/// Which way a line along the tube faces on the car.
fn towards(end: &TubeEnd, turn: f64) -> &'static str {
    let (along, reference) = (Vector3::from(end.along), Vector3::from(end.reference));
    let way = reference * turn.cos() + along.cross(&reference) * turn.sin();
    let (axis, value) =
        way.iter().enumerate().max_by(|a, b| a.1.abs().total_cmp(&b.1.abs())).map_or((2, 1.0), |(i, v)| (i, *v));
    match (axis, value > 0.0) {
        (0, true) => "faces ahead",
        (0, false) => "faces back",
        (1, true) => "faces left",
        (1, false) => "faces right",
        (_, true) => "faces up",
        (_, false) => "faces down",
    }
}
