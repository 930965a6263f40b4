//! All papers of a car for the bench, as files in memory.

use super::drawing::{Anchor, Drawing, Layer};
use super::paper::{Body, Paper, Sheet, pages};
use super::pdf::Page;
use super::table::Table;
use super::{dxf, pdf, rail, tables, tube};
use crate::answer::Sheets;
use crate::answer::sheets::Jig;
use crate::car::Shown;

/// A file.
#[derive(Debug, Clone, PartialEq)]
pub struct PaperFile {
    /// Its name in a folder.
    pub name: String,
    /// What it is, in a few words.
    pub what: String,
    /// What it holds.
    pub bytes: Vec<u8>,
    /// Its pages, of one that is to be printed.
    pub pages: Vec<Page>,
}

/// Papers being gathered.
struct Pile<'a> {
    sheets: &'a Sheets,
    paper: Paper,
    all: Vec<PaperFile>,
}

/// Every paper that a car has something for.
///
/// # Errors
/// [`csv::Error`] never in practice: rows are as long as their heads.
pub fn papers(sheets: &Sheets, paper: Paper, shown: Shown) -> Result<Vec<PaperFile>, csv::Error> {
    let mut pile = Pile { sheets, paper, all: Vec::new() };
    let rails: Vec<Sheet> = sheets.rails.iter().map(|t| rail::sheet(sheets, t, shown)).collect();
    pile.pdf("rail-cuts", "templates for the rails' cuts", &rails);
    let ends: Vec<Sheet> = sheets.ends.iter().filter_map(|end| tube::sheet(sheets, end, shown)).collect();
    pile.pdf("copes", "templates for the tubes' ends", &ends);
    let list = &sheets.cut_list;
    if !list.tubes.is_empty() || !list.plates.is_empty() {
        pile.pdf("cut-list", "what to saw, and of what stock", &[cut_list(sheets, shown)]);
        pile.csv("cut-list", "the same", &tables::tubes(list, shown))?;
        pile.csv("stock", "stock that it takes", &tables::stock(list, shown))?;
    }
    if !list.plates.is_empty() {
        pile.csv("plates", "end plates", &tables::plates(list, shown))?;
    }
    let mut jigs: Vec<Sheet> = sheets.jigs.iter().map(|jig| arm(sheets, jig, shown)).collect();
    jigs.extend(rods(sheets, shown));
    pile.pdf("jigs", "arms' fixtures, rods and links", &jigs);
    if !jigs.is_empty() {
        pile.csv("jigs", "the same", &tables::jigs(&sheets.jigs, &sheets.rods, shown))?;
    }
    pile.pdf("points", "all points", &[points(sheets, shown)]);
    pile.csv("points", "the same", &tables::points(&sheets.points, shown))?;
    pile.pdf("set-up", "what to set the car up by", &[set_up(sheets, shown)]);
    pile.csv("set-up", "the same", &tables::set_up(&sheets.set_up, shown))?;
    for template in &sheets.rails {
        let end = template.end.map_or_else(|| "notch".to_owned(), |end| format!("{} end", end.word()));
        let name = format!("rail {} {} {end}", template.rail, template.what);
        pile.dxf(&name, &rail::drawing(template, shown), sheets.caution.cutting);
    }
    for end in &sheets.ends {
        if let Some(cope) = &end.cope {
            pile.dxf(&format!("cope {} end {}", end.tube, end.end), &tube::drawing(end, cope), sheets.caution.frame[0]);
        }
    }
    for jig in &sheets.jigs {
        pile.dxf(&format!("jig {}", jig.arm), &plan(jig), sheets.caution.arms);
    }
    Ok(pile.all)
}

impl Pile<'_> {
    fn add(&mut self, name: &str, ending: &str, what: &str, bytes: Vec<u8>, pages: Vec<Page>) {
        let plain: String = name.to_lowercase().chars().map(|c| if c.is_alphanumeric() { c } else { '-' }).collect();
        let words: Vec<&str> = plain.split('-').filter(|w| !w.is_empty()).collect();
        let base = words.join("-");
        let taken = |name: &str| self.all.iter().any(|file| file.name == name);
        let names = (1..).map(|n| if n == 1 { format!("{base}.{ending}") } else { format!("{base}-{n}.{ending}") });
        let name = names.into_iter().find(|name| !taken(name)).unwrap_or_default();
        self.all.push(PaperFile { name, what: what.to_owned(), bytes, pages });
    }

    fn pdf(&mut self, name: &str, what: &str, sheets: &[Sheet]) {
        let pages = pages(&self.sheets.car, sheets, self.paper);
        if !pages.is_empty() {
            let title = format!("{}: {what}", self.sheets.car);
            let bytes = pdf::written(&title, &pages);
            self.add(name, "pdf", what, bytes, pages);
        }
    }

    fn csv(&mut self, name: &str, what: &str, table: &Table) -> Result<(), csv::Error> {
        let text = table.csv()?;
        self.add(name, "csv", what, text.into_bytes(), Vec::new());
        Ok(())
    }

    fn dxf(&mut self, name: &str, drawing: &Drawing, caution: &str) {
        let said = [self.sheets.car.as_str(), name, "millimetres, true scale", caution];
        self.add(name, "dxf", name, dxf::written(drawing, &said).into_bytes(), Vec::new());
    }
}

fn cut_list(sheets: &Sheets, shown: Shown) -> Sheet {
    let list = &sheets.cut_list;
    let mut notes = vec![format!(
        "Lengths are from longest point to longest point, to be sawn square and then coped: the cope is in them. {:.2} kg in all; \
         the stock's length counts {} for the blade on every piece.",
        list.mass_kg,
        shown.length(list.kerf_mm)
    )];
    notes.extend(list.notes.iter().cloned());
    let squares = sheets.ends.iter().filter(|e| !e.note.is_empty());
    notes.extend(squares.map(|e| format!("{}, end {}: {}.", e.tube, e.end, e.note)));
    let mut all = vec![
        (
            "Tubes. Angles are between the tube and the axis or flat that it meets; 90 is square.".to_owned(),
            tables::tubes(list, shown),
        ),
        ("Stock".to_owned(), tables::stock(list, shown)),
    ];
    if !list.plates.is_empty() {
        all.push(("End plates".to_owned(), tables::plates(list, shown)));
    }
    Sheet {
        title: "Cut list".to_owned(),
        notes,
        body: Body::Listing(None, all),
        caution: sheets.caution.frame.to_vec(),
    }
}

fn arm(sheets: &Sheets, jig: &Jig, shown: Shown) -> Sheet {
    let mut notes =
        vec![jig.frame.clone(), format!("Tube: {}. Distances are from centre to centre; tape all of them.", jig.tube)];
    notes.extend(jig.notes.iter().cloned());
    let all = vec![
        ("Holes in the arm's own frame".to_owned(), tables::holes(jig, shown)),
        ("Every distance from hole to hole".to_owned(), tables::checks(jig, shown)),
        ("Angles".to_owned(), tables::angles(jig)),
    ];
    let body = Body::Listing(Some(plan(jig)), all);
    Sheet { title: format!("Jig: {}", jig.arm), notes, body, caution: vec![sheets.caution.arms] }
}

fn rods(sheets: &Sheets, shown: Shown) -> Option<Sheet> {
    let said = "From joint to joint: what rod ends, bushes and sleeves take up comes off the tube.";
    let table = (String::new(), tables::rods(&sheets.rods, shown));
    (!sheets.rods.is_empty()).then(|| Sheet {
        title: "Rods and links".to_owned(),
        notes: vec![said.to_owned()],
        body: Body::Listing(None, vec![table]),
        caution: vec![sheets.caution.arms],
    })
}

fn points(sheets: &Sheets, shown: Shown) -> Sheet {
    Sheet {
        title: "Points".to_owned(),
        notes: vec!["x forward, y left, z up, in the body's own frame, as the car file has it. Of mirrored rails, nodes and tubes the left one's.".to_owned()],
        body: Body::Listing(None, vec![(String::new(), tables::points(&sheets.points, shown))]),
        caution: vec![sheets.caution.cutting],
    }
}

fn set_up(sheets: &Sheets, shown: Shown) -> Sheet {
    Sheet {
        title: "Set-up".to_owned(),
        notes: vec![
            "At ride height, steering straight ahead. Camber is positive when the top leans out, toe positive in, caster positive \
             when the steering axis leans back."
                .to_owned(),
            sheets.set_up.lock.clone(),
        ],
        body: Body::Listing(None, vec![(String::new(), tables::set_up(&sheets.set_up, shown))]),
        caution: vec![sheets.caution.lock, sheets.caution.arms],
    }
}

/// An arm's holes in its own plane, x to the right and y up: on a bench the left arm seen from below, the right one from above.
pub fn plan(jig: &Jig) -> Drawing {
    let mut drawing = Drawing::default();
    let at = |i: usize| [jig.holes[i].at_mm[0], jig.holes[i].at_mm[1]];
    for (a, b) in [(0, 1), (0, 2), (1, 2)] {
        drawing.line(Layer::Outline, at(a), at(b));
    }
    for i in 0..jig.holes.len() {
        drawing.circle(Layer::Hole, at(i), 6.0);
        drawing.cross(Layer::Hole, at(i), 9.0);
        // Names and numbers stand in the table: where holes lie close they would be printed over one another here.
        drawing.text(Layer::Words, [at(i)[0], at(i)[1] + 11.0], 3.6, Anchor::Middle, false, (i + 1).to_string());
    }
    drawing
}
