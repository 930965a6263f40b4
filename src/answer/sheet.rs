//! A drawing being written: SVG by hand, on white, for print.

use std::fmt::Write;

use super::plot::{DASH, Pen, tick_words, ticks};

pub(super) const INK: &str = "#21252a";
pub(super) const SOFT: &str = "#5d6166";
pub(super) const RULE: &str = "#e2ddd2";
pub(super) const ZERO: &str = "#8f8a80";
const FONT: &str = "Open Sans, Helvetica, Arial, sans-serif";
/// Letters of an axis and of the key, pixels.
pub(super) const SMALL: f64 = 13.0;
/// From one line of small letters to the next.
pub(super) const LINE: f64 = 17.0;
/// Room for one letter, in its height: no font is at hand to measure with, so a little too much.
const LETTER: f64 = 0.56;
/// What the widest letters take besides: two of them are a quarter of `\u{2212}54.3 mm`.
const WIDER: f64 = 0.4;
/// Around everything.
pub(super) const MARGIN: f64 = 22.0;

/// Width of a text, a little too much.
pub(super) fn wide(text: &str, size: f64) -> f64 {
    let wide = text.chars().filter(|c| "mwMW%".contains(*c)).count() as f64;
    (text.chars().count() as f64 * LETTER + wide * WIDER) * size
}

/// A text in lines no wider than this, broken between words.
pub(super) fn wrapped(text: &str, size: f64, width: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split(' ') {
        match lines.last_mut() {
            Some(line) if wide(line, size) + wide(word, size) + LETTER * size <= width => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

/// Text as XML and HTML may hold it, between tags and in double quotes.
pub(crate) fn escaped(text: &str) -> String {
    let mut out = String::new();
    for c in text.chars() {
        match c {
            '&' => out += "&amp;",
            '<' => out += "&lt;",
            '>' => out += "&gt;",
            '"' => out += "&quot;",
            c if c.is_control() || ('\u{fffe}'..='\u{ffff}').contains(&c) => out.push(' '),
            c => out.push(c),
        }
    }
    out
}

/// An SVG being written.
pub(super) struct Sheet(String);

impl Sheet {
    /// A white sheet of this width and height in pixels, as SVG 1.1.
    pub fn new([width, height]: [f64; 2], title: &str) -> Self {
        let mut sheet = Self(String::new());
        sheet.put(format_args!(
            r#"<svg xmlns="http://www.w3.org/2000/svg" width="{width}" height="{height}" viewBox="0 0 {width} {height}" font-family="{FONT}">"#
        ));
        sheet.put(format_args!("<title>{}</title>", escaped(title)));
        sheet.put(format_args!(r##"<rect width="{width}" height="{height}" fill="#ffffff"/>"##));
        sheet
    }

    /// The whole drawing.
    pub fn done(mut self) -> String {
        self.0 += "</svg>\n";
        self.0
    }

    pub fn put(&mut self, element: std::fmt::Arguments) {
        // Writing to a String cannot fail.
        let _ = writeln!(self.0, "{element}");
    }

    pub fn text(&mut self, at: [f64; 2], anchor: &str, size: f64, colour: &str, text: &str) {
        self.named_text("", at, anchor, size, colour, text);
    }

    /// A text of a class, by which whoever reads the drawing knows what it names.
    pub fn named_text(&mut self, class: &str, [x, y]: [f64; 2], anchor: &str, size: f64, colour: &str, text: &str) {
        let text = escaped(text);
        let class = if class.is_empty() { String::new() } else { format!(r#" class="{class}""#) };
        self.put(format_args!(
            r#"<text{class} x="{x:.1}" y="{y:.1}" text-anchor="{anchor}" font-size="{size}" fill="{colour}">{text}</text>"#
        ));
    }

    pub fn line(&mut self, [x1, y1]: [f64; 2], [x2, y2]: [f64; 2], colour: &str, width: f64) {
        let ends = format!(r#"x1="{x1:.2}" y1="{y1:.2}" x2="{x2:.2}" y2="{y2:.2}""#);
        self.put(format_args!(r#"<line {ends} stroke="{colour}" stroke-width="{width}"/>"#));
    }

    pub fn rect(&mut self, [x, y]: [f64; 2], [width, height]: [f64; 2], more: &str) {
        self.put(format_args!(r#"<rect x="{x:.2}" y="{y:.2}" width="{width:.2}" height="{height:.2}" {more}/>"#));
    }

    pub fn curve(&mut self, points: impl Iterator<Item = [f64; 2]>, pen: Pen) {
        let [r, g, b] = pen.colour;
        let dash = if pen.dashed { format!(r#"{} {}"#, DASH[0], DASH[1]) } else { String::new() };
        self.way(points, &format!("#{r:02x}{g:02x}{b:02x}"), pen.width, &dash);
    }

    /// A line through points; `dash` as SVG writes it, empty where it is whole.
    pub fn way(&mut self, points: impl Iterator<Item = [f64; 2]>, colour: &str, width: f64, dash: &str) {
        let way: Vec<String> = points.map(|[x, y]| format!("{x:.2} {y:.2}")).collect();
        let dash = if dash.is_empty() { String::new() } else { format!(r#" stroke-dasharray="{dash}""#) };
        let d = way.join(" L");
        self.put(format_args!(
            r#"<path d="M{d}" stroke="{colour}" stroke-width="{width}"{dash} fill="none" stroke-linejoin="round"/>"#
        ));
    }

    /// Loops filled as one; a loop in a loop is a hole.
    pub fn fill(&mut self, loops: &[Vec<[f64; 2]>], fill: &str) {
        let closed = |p: &Vec<[f64; 2]>| {
            let way: Vec<String> = p.iter().map(|[x, y]| format!("{x:.2} {y:.2}")).collect();
            format!("M{}Z", way.join(" L"))
        };
        let d: Vec<String> = loops.iter().map(closed).collect();
        if !d.is_empty() {
            self.put(format_args!(r#"<path d="{}" fill="{fill}" fill-rule="evenodd"/>"#, d.join(" ")));
        }
    }

    /// What touches: filled, and striped aslant. The stripes are lines of their own, for not every program that opens a
    /// drawing knows patterns.
    pub fn hatch(&mut self, loops: &[Vec<[f64; 2]>]) {
        self.fill(loops, TOUCHING);
        let edges = || loops.iter().flat_map(|l| l.iter().zip(l.iter().cycle().skip(1)));
        // Stripes run along x + y = n * STRIPE; told by a hair more, so that none runs through a corner.
        let stripe = |p: &[f64; 2]| (p[0] + p[1]) / STRIPE - 1e-4;
        let mut cut: std::collections::BTreeMap<i64, Vec<[f64; 2]>> = std::collections::BTreeMap::new();
        for (p, q) in edges() {
            let (from, to) = (stripe(p), stripe(q));
            for n in from.min(to).ceil() as i64..from.max(to).ceil() as i64 {
                let part = (n as f64 - from) / (to - from);
                cut.entry(n).or_default().push([p[0] + (q[0] - p[0]) * part, p[1] + (q[1] - p[1]) * part]);
            }
        }
        let mut d = String::new();
        for places in cut.values_mut() {
            places.sort_by(|a, b| a[0].total_cmp(&b[0]));
            for pair in places.chunks_exact(2) {
                let _ = write!(d, "M{:.2} {:.2} L{:.2} {:.2} ", pair[0][0], pair[0][1], pair[1][0], pair[1][1]);
            }
        }
        if !d.is_empty() {
            self.put(format_args!(r##"<path d="{}" stroke="#f6d9c4" stroke-width="1.3" fill="none"/>"##, d.trim_end()));
        }
    }

    /// Lines of text in a white box.
    pub fn note(&mut self, class: &str, [left, top, right, bottom]: [f64; 4], lines: &[String]) {
        self.rect([left, top], [right - left, bottom - top], r##"fill="#ffffff" fill-opacity="0.88" rx="3""##);
        for (n, line) in lines.iter().enumerate() {
            self.named_text(class, [left + 5.0, top + 14.0 + n as f64 * LINE], "start", SMALL, INK, line);
        }
    }

    /// A title and a sentence under it, across the sheet. Gives the height below them.
    pub fn heading(&mut self, title: &str, sentence: &str, width: f64) -> f64 {
        let mut y = MARGIN + 12.0;
        for line in wrapped(title, 17.0, width - 2.0 * MARGIN) {
            self.text([MARGIN, y], "start", 17.0, INK, &line);
            y += 22.0;
        }
        y += 2.0;
        for line in wrapped(sentence, SMALL + 1.0, width - 2.0 * MARGIN) {
            self.text([MARGIN, y], "start", SMALL + 1.0, INK, &line);
            y += LINE + 1.0;
        }
        y
    }
}

/// The ground of what touches: see [`Sheet::hatch`].
pub const TOUCHING: &str = "#a8401a";
/// From one stripe to the next, pixels across.
const STRIPE: f64 = 10.0;
/// The fill of what is short of its wanted gap.
pub const SHORT: &str = "#e09a4e";

/// A rectangle of a sheet with two axes.
#[derive(Clone, Copy)]
pub(super) struct Frame {
    /// Left, top, right, bottom, pixels.
    pub edges: [f64; 4],
    /// What goes across from left to right, in the units shown.
    pub across: [f64; 2],
    /// What goes up from bottom to top.
    pub up: [f64; 2],
}

impl Frame {
    /// A place of the axes on the sheet.
    pub fn at(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        let [left, top, right, bottom] = self.edges;
        let part = |v: f64, [low, high]: [f64; 2]| (v - low) / (high - low);
        [left + part(x, self.across) * (right - left), bottom - part(y, self.up) * (bottom - top)]
    }

    /// Ticks and their numbers outside the frame, what is measured, and rules for nought over all that is drawn before.
    pub fn axes(&self, sheet: &mut Sheet, across: &str, up: &str) {
        let [left, top, right, bottom] = self.edges;
        let columns = ticks(self.across[0], self.across[1], ((right - left) / 70.0) as usize);
        for v in &columns.1 {
            let [x, _] = self.at([*v, self.up[0]]);
            sheet.line([x, bottom], [x, bottom + 5.0], INK, 1.0);
            sheet.text([x, bottom + 20.0], "middle", SMALL, INK, &tick_words(*v, columns.0));
        }
        let rows = ticks(self.up[0], self.up[1], ((bottom - top) / 50.0) as usize);
        for v in &rows.1 {
            let [_, y] = self.at([self.across[0], *v]);
            sheet.line([left - 5.0, y], [left, y], INK, 1.0);
            sheet.text([left - 9.0, y + 4.5], "end", SMALL, INK, &tick_words(*v, rows.0));
        }
        sheet.text([(left + right) / 2.0, bottom + 41.0], "middle", SMALL, SOFT, across);
        sheet.text([MARGIN, top - 10.0], "start", SMALL, SOFT, up);
        sheet.rect(
            [left, top],
            [right - left, bottom - top],
            &format!(r#"fill="none" stroke="{INK}" stroke-width="1""#),
        );
    }
}

/// Labels on a drawing, none over another.
pub(super) struct Labels {
    within: [f64; 4],
    taken: Vec<[f64; 4]>,
}

impl Labels {
    /// Within left, top, right, bottom.
    pub fn new(within: [f64; 4]) -> Self {
        Self { within, taken: Vec::new() }
    }

    /// Keeps labels off a place.
    pub fn reserve(&mut self, around: [f64; 2], size: [f64; 2]) {
        self.taken.push(boxed(around, size));
    }

    /// Takes a box around a place for itself, if it is free.
    pub fn take(&mut self, around: [f64; 2], size: [f64; 2]) -> Option<[f64; 4]> {
        let b = boxed(around, size);
        let [left, top, right, bottom] = self.within;
        let inside = b[0] >= left && b[1] >= top && b[2] <= right && b[3] <= bottom;
        let over = |o: &[f64; 4]| b[0] < o[2] && o[0] < b[2] && b[1] < o[3] && o[1] < b[3];
        let free = inside && !self.taken.iter().any(over);
        free.then(|| {
            self.taken.push(b);
            b
        })
    }
}

/// Left, top, right, bottom of a box about its middle.
pub(super) fn boxed([x, y]: [f64; 2], [width, height]: [f64; 2]) -> [f64; 4] {
    [x - width / 2.0, y - height / 2.0, x + width / 2.0, y + height / 2.0]
}
