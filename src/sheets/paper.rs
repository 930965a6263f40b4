//! Sheets of paper: a head, a drawing at true scale or tables, a rule to check the printer by, and what is to be read first.
//!
//! A drawing that is larger than a page is spread over several, which overlap and carry register marks.

use super::drawing::{Anchor, Drawing, Layer, Place};
use super::font::{width, wrapped};
use super::listing;
use super::pdf::Page;
use super::table::Table;

/// Around everything: more than printers leave white (common practice, no source).
pub(super) const MARGIN: f64 = 12.0;
/// Pages of one drawing overlap by so much.
const OVERLAP: f64 = 15.0;
/// Letters of a title, of notes and of what is to be read first.
const TITLE: f64 = 4.6;
pub(super) const NOTE: f64 = 3.1;
const SMALL: f64 = 2.4;

/// A size of paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Paper {
    /// 210 by 297 mm (ISO 216).
    #[default]
    A4,
    /// US Letter, 8.5 by 11 in (ANSI/ASME Y14.1 size A).
    Letter,
}

impl Paper {
    /// Both.
    pub const ALL: [Self; 2] = [Self::A4, Self::Letter];

    /// As the command line names it.
    pub fn name(self) -> &'static str {
        match self {
            Self::A4 => "a4",
            Self::Letter => "letter",
        }
    }

    /// Width and height upright, mm.
    pub fn size(self) -> Place {
        match self {
            Self::A4 => [210.0, 297.0],
            Self::Letter => [8.5 * 25.4, 11.0 * 25.4],
        }
    }
}

/// What belongs together: one drawing, or some tables.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet {
    /// What it is.
    pub title: String,
    /// What is to be known of it.
    pub notes: Vec<String>,
    /// What is on it.
    pub body: Body,
    /// What is to be read before it is used.
    pub caution: Vec<&'static str>,
}

/// What is on a sheet.
#[derive(Debug, Clone, PartialEq)]
pub enum Body {
    /// A drawing at true scale.
    TrueScale(Drawing),
    /// A drawing that is made to fit and is not to scale, if there is one, and tables, each under its own words.
    Listing(Option<Drawing>, Vec<(String, Table)>),
}

/// A page's frame: what it has room for, and its fixed words.
pub(super) struct Blank {
    /// Its size.
    pub size: Place,
    /// The box that is left for the body.
    pub area: [Place; 2],
    /// Head, foot and rule.
    pub fixed: Drawing,
}

/// All sheets on pages, numbered through.
pub fn pages(car: &str, sheets: &[Sheet], paper: Paper) -> Vec<Page> {
    let mut all: Vec<Page> = sheets.iter().flat_map(|sheet| of(car, sheet, paper)).collect();
    let count = all.len();
    for (i, page) in all.iter_mut().enumerate() {
        let at = [page.size[0] - MARGIN, page.size[1] - MARGIN - TITLE * 0.8];
        page.drawing.text(Layer::Words, at, NOTE, Anchor::End, false, format!("page {} of {count}", i + 1));
    }
    all
}

fn of(car: &str, sheet: &Sheet, paper: Paper) -> Vec<Page> {
    let [w, h] = paper.size();
    let [upright, across] = [[w, h], [h, w]].map(|size| blank(car, sheet, size));
    match &sheet.body {
        Body::TrueScale(drawing) => {
            let count = |blank: &Blank| Tiles::of(drawing, blank.area).map_or(0, |t| t.count[0] * t.count[1]);
            let blank = if count(&across) < count(&upright) { across } else { upright };
            tiled(drawing, &blank)
        }
        Body::Listing(figure, tables) => {
            let wide = tables.iter().map(|(_, t)| listing::natural(t)).fold(0.0, f64::max);
            let blank = if wide > upright.area[1][0] - upright.area[0][0] { across } else { upright };
            listing::pages(figure.as_ref(), tables, &blank)
        }
    }
}

/// A page of a sheet without its body.
fn blank(car: &str, sheet: &Sheet, size: Place) -> Blank {
    let mut fixed = Drawing::default();
    let wide = size[0] - 2.0 * MARGIN;
    let mut y = size[1] - MARGIN - TITLE * 0.8;
    // The page's number stands at the right of the car's name.
    for line in wrapped(car, NOTE, wide - 30.0) {
        fixed.words([MARGIN, y], NOTE, line);
        y -= NOTE * 1.35;
    }
    y -= TITLE * 0.4;
    for line in wrapped(&sheet.title, TITLE, wide) {
        fixed.words([MARGIN, y], TITLE, line);
        y -= TITLE * 1.2;
    }
    for line in sheet.notes.iter().flat_map(|note| wrapped(note, NOTE, wide)) {
        fixed.words([MARGIN, y], NOTE, line);
        y -= NOTE * 1.3;
    }
    let high = y;
    let lines: Vec<String> = sheet.caution.iter().flat_map(|words| wrapped(words, SMALL, wide)).collect();
    let mut y = MARGIN + SMALL * 1.2 * lines.len() as f64;
    let low = y + 15.0;
    rule(&mut fixed, [MARGIN, y + 6.5], wide);
    for line in lines {
        y -= SMALL * 1.2;
        fixed.words([MARGIN, y], SMALL, line);
    }
    Blank { size, area: [[MARGIN, low], [size[0] - MARGIN, high]], fixed }
}

/// A rule of 100 mm above a line and of 4 in below it.
fn rule(drawing: &mut Drawing, [x, y]: Place, wide: f64) {
    drawing.line(Layer::Page, [x, y], [x + 100.0, y]);
    for n in 0..=10 {
        let (at, long) = (x + f64::from(n) * 10.0, n % 5 == 0);
        drawing.line(Layer::Page, [at, y], [at, y + if long { 4.0 } else { 2.5 }]);
    }
    drawing.words([x + 1.0, y + 2.6], 2.4, "0");
    drawing.text(Layer::Words, [x + 99.0, y + 2.6], 2.4, Anchor::End, false, "100 mm");
    drawing.line(Layer::Page, [x, y - 0.8], [x + 4.0 * 25.4, y - 0.8]);
    for n in 0..=8 {
        let at = x + f64::from(n) * 12.7;
        drawing.line(Layer::Page, [at, y - 0.8], [at, y - 0.8 - if n % 2 == 0 { 4.0 } else { 2.5 }]);
    }
    drawing.text(Layer::Words, [x + 4.0 * 25.4 - 1.0, y - 4.8], 2.4, Anchor::End, false, "4 in");
    let said = "Print at 100 %, not fitted to the page. Check with a rule on every page: 100 mm above the line, 4 in below it.";
    for (i, line) in wrapped(said, 2.6, wide - 108.0).into_iter().enumerate() {
        drawing.words([x + 106.0, y + 1.8 - i as f64 * 3.2], 2.6, line);
    }
}

/// How a drawing is spread over pages.
struct Tiles {
    /// The drawing's lower left corner.
    from: Place,
    /// From one page to the next.
    step: Place,
    /// Pages beside and above one another.
    count: [usize; 2],
}

impl Tiles {
    /// None where there is nothing to draw.
    fn of(drawing: &Drawing, [low, high]: [Place; 2]) -> Option<Self> {
        let [from, to] = drawing.bounds()?;
        // A line's own width, and a little.
        let from = from.map(|v| v - 1.0);
        let need = [0, 1].map(|i| to[i] + 1.0 - from[i]);
        let room = [0, 1].map(|i| high[i] - low[i]);
        let step = room.map(|mm| (mm - OVERLAP).max(OVERLAP));
        let many = |i: usize| if need[i] <= room[i] { 1 } else { ((need[i] - OVERLAP) / step[i]).ceil() as usize };
        Some(Self { from, step, count: [many(0), many(1)] })
    }
}

fn tiled(drawing: &Drawing, blank: &Blank) -> Vec<Page> {
    let Some(tiles) = Tiles::of(drawing, blank.area) else { return Vec::new() };
    let [low, high] = blank.area;
    let [columns, rows] = tiles.count;
    let mut whole = drawing.clone();
    whole.add(register(&tiles, [0, 1].map(|i| high[i] - low[i])));
    let mut all = Vec::new();
    for row in (0..rows).rev() {
        for column in 0..columns {
            let start = [tiles.from[0] + tiles.step[0] * column as f64, tiles.from[1] + tiles.step[1] * row as f64];
            let mut fixed = blank.fixed.clone();
            if columns * rows > 1 {
                let which = format!(
                    "sheet {} of {columns} from the left, {} of {rows} from below: lay marks of the same name on one another",
                    column + 1,
                    row + 1
                );
                fixed.words([low[0], low[1] - NOTE], 2.6, which);
                let frame = vec![low, [high[0], low[1]], high, [low[0], high[1]]];
                fixed.path(Layer::Page, frame, true);
            }
            let window = ([low, high], whole.moved([low[0] - start[0], low[1] - start[1]]));
            all.push(Page { size: blank.size, drawing: fixed, window: Some(window) });
        }
    }
    all
}

/// Marks where pages overlap: two on each seam of each page.
fn register(tiles: &Tiles, room: Place) -> Drawing {
    let mut marks = Drawing::default();
    for along in 0..2 {
        let across = 1 - along;
        for seam in 1..tiles.count[along] {
            let at = tiles.from[along] + tiles.step[along] * seam as f64 + OVERLAP / 2.0;
            for tile in 0..tiles.count[across] {
                for (k, off) in [OVERLAP * 1.5, room[across] - OVERLAP * 1.5].into_iter().enumerate() {
                    let beside = tiles.from[across] + tiles.step[across] * tile as f64 + off;
                    let place = if along == 0 { [at, beside] } else { [beside, at] };
                    marks.cross(Layer::Page, place, 5.0);
                    marks.circle(Layer::Page, place, 2.0);
                    let letter = if along == 0 { "A" } else { "B" };
                    let name = format!("{letter}{seam}.{}", 2 * tile + k + 1);
                    marks.words([place[0] + 1.0, place[1] + 2.5], 2.4, name);
                }
            }
        }
    }
    marks
}

/// Width of words with some room.
pub(super) fn cell(words: &str) -> f64 {
    width(words, NOTE) + 3.0
}
