//! Tables on pages: columns as wide as they need to be, rows over as many pages as they take.

use super::drawing::{Anchor, Drawing, Layer};
use super::font::wrapped;
use super::paper::{Blank, NOTE, cell};
use super::pdf::Page;
use super::table::Table;

/// From one line of a table to the next.
const LINE: f64 = NOTE * 1.35;
/// No column is made narrower than this.
const LEAST: f64 = 18.0;
/// A figure is no higher than this.
const FIGURE: f64 = 66.0;

/// Width of a table with no cell broken.
pub(super) fn natural(table: &Table) -> f64 {
    columns(table).iter().sum()
}

/// A head is broken between its words, so a column is as wide as its cells and the head's longest word.
fn columns(table: &Table) -> Vec<f64> {
    let mut wide: Vec<f64> = Vec::new();
    for (i, row) in table.all().enumerate() {
        wide.resize(row.len().max(wide.len()), 0.0);
        for (c, words) in row.iter().enumerate() {
            let need = if i == 0 { words.split(' ').map(cell).fold(0.0, f64::max) } else { cell(words) };
            wide[c] = wide[c].max(need);
        }
    }
    wide
}

/// Columns that fit, the widest made narrower.
fn fitted(table: &Table, room: f64) -> Vec<f64> {
    let mut wide = columns(table);
    while wide.iter().sum::<f64>() > room {
        let widest = (0..wide.len()).max_by(|a, b| wide[*a].total_cmp(&wide[*b])).unwrap_or(0);
        if wide.is_empty() || wide[widest] <= LEAST {
            break;
        }
        wide[widest] = (wide[widest] - 2.0).max(LEAST);
    }
    wide
}

/// A figure and tables on as many pages as they take.
pub(super) fn pages(figure: Option<&Drawing>, tables: &[(String, Table)], blank: &Blank) -> Vec<Page> {
    let mut pen = Pen { blank, done: Vec::new(), here: blank.fixed.clone(), y: blank.area[1][1] };
    if let Some(figure) = figure {
        pen.figure(figure);
    }
    for (words, table) in tables {
        pen.table(words, table);
    }
    pen.finish();
    pen.done
}

/// Where the next row goes.
struct Pen<'a> {
    blank: &'a Blank,
    done: Vec<Page>,
    here: Drawing,
    y: f64,
}

impl Pen<'_> {
    fn room(&self) -> f64 {
        self.blank.area[1][0] - self.blank.area[0][0]
    }

    fn finish(&mut self) {
        let drawing = std::mem::replace(&mut self.here, self.blank.fixed.clone());
        self.done.push(Page { size: self.blank.size, drawing, window: None });
        self.y = self.blank.area[1][1];
    }

    fn figure(&mut self, figure: &Drawing) {
        let Some([low, high]) = figure.bounds() else { return };
        // Words keep their size, so they are left room at the sides.
        let scale =
            ((self.room() - 50.0) / (high[0] - low[0]).max(1.0)).min((FIGURE - 12.0) / (high[1] - low[1]).max(1.0));
        let scaled = figure.scaled(scale.min(1.0));
        let Some([low, high]) = scaled.bounds() else { return };
        let at = [self.blank.area[0][0] + (self.room() - (high[0] - low[0])) / 2.0 - low[0], self.y - high[1]];
        self.here.add(scaled.moved(at));
        self.y -= high[1] - low[1] + 5.0;
        self.here.words([self.blank.area[0][0], self.y], 2.6, "Not to scale.");
        self.y -= 4.0;
    }

    fn table(&mut self, words: &str, table: &Table) {
        let wide = fitted(table, self.room());
        let rows: Vec<&Vec<String>> = table.all().collect();
        let numeric: Vec<bool> = (0..wide.len())
            .map(|c| rows[1..].iter().all(|row| row[c].is_empty() || row[c].parse::<f64>().is_ok()))
            .collect();
        let broken: Vec<Vec<Vec<String>>> =
            rows.iter().map(|row| row.iter().zip(&wide).map(|(t, w)| wrapped(t, NOTE, w - 2.5)).collect()).collect();
        let high = |row: &Vec<Vec<String>>| row.iter().map(Vec::len).max().unwrap_or(1) as f64 * LINE + 1.0;
        let said = wrapped(words, NOTE, self.room());
        let start = said.len() as f64 * LINE + high(&broken[0]) + broken.get(1).map_or(0.0, high) + 6.0;
        if self.y - start < self.blank.area[0][1] && self.y < self.blank.area[1][1] {
            self.finish();
        }
        self.y -= 4.0;
        for line in said {
            self.here.words([self.blank.area[0][0], self.y], NOTE, line);
            self.y -= LINE;
        }
        self.row(&broken[0], &wide, &numeric);
        self.under(&wide);
        for row in &broken[1..] {
            if self.y - high(row) < self.blank.area[0][1] {
                self.finish();
                self.y -= 4.0;
                self.row(&broken[0], &wide, &numeric);
                self.under(&wide);
            }
            self.row(row, &wide, &numeric);
        }
        self.y -= 3.0;
    }

    fn row(&mut self, cells: &[Vec<String>], wide: &[f64], numeric: &[bool]) {
        let mut x = self.blank.area[0][0];
        let mut lowest = self.y;
        for ((cell, wide), numeric) in cells.iter().zip(wide).zip(numeric) {
            let mut y = self.y;
            for line in cell {
                let (at, anchor) = if *numeric { (x + wide - 3.0, Anchor::End) } else { (x, Anchor::Start) };
                self.here.text(Layer::Words, [at, y], NOTE, anchor, false, line.clone());
                y -= LINE;
            }
            lowest = lowest.min(y);
            x += wide;
        }
        self.y = lowest - 1.0;
    }

    fn under(&mut self, wide: &[f64]) {
        let (x, y) = (self.blank.area[0][0], self.y + LINE * 0.75);
        self.here.line(Layer::Page, [x, y], [x + wide.iter().sum::<f64>() - 3.0, y]);
        self.y -= 0.8;
    }
}
