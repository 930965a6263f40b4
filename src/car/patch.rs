//! Changes to a car file's text that leave all the rest of it, byte by byte, as somebody wrote it.

use std::ops::Range;

use nalgebra::Vector3;

use super::error::Step;
use super::text::{self, Group, Item, Map};
use super::units::FileUnit;

/// Two places nearer than this are written alike, mm; two angles, degrees.
const WRITTEN: f64 = 0.0005;

/// What is to change in one text. Nothing happens before [`Patch::finish`].
pub(super) struct Patch<'a> {
    map: &'a Map<'a>,
    unit: FileUnit,
    changes: Vec<(Range<usize>, String)>,
}

impl<'a> Patch<'a> {
    pub fn new(map: &'a Map<'a>, unit: FileUnit) -> Self {
        Self { map, unit, changes: Vec::new() }
    }

    /// The text with all changes made.
    pub fn finish(mut self) -> String {
        // Stable, so that two insertions at one place keep their order.
        self.changes.sort_by_key(|(span, _)| span.start);
        let mut out = String::with_capacity(self.map.text.len() + 256);
        let mut at = 0;
        for (span, new) in &self.changes {
            out.push_str(&self.map.text[at..span.start]);
            out.push_str(new);
            at = span.end;
        }
        out.push_str(&self.map.text[at..]);
        out
    }

    /// Writes other bytes in the place of these.
    pub fn replace(&mut self, span: Range<usize>, new: impl Into<String>) {
        self.changes.push((span, new.into()));
    }

    /// Writes a length, unless what stands there says the same already, perhaps as `"12 1/2 in"`.
    pub fn length(&mut self, path: &[Step], from: Option<f64>, to: f64) {
        if from.is_some_and(|mm| (mm - to).abs() <= WRITTEN) {
            return;
        }
        if let Some(item) = self.map.get(path) {
            self.replace(item.span.clone(), self.unit.number(to));
        }
    }

    /// Writes an angle in degrees, unless what stands there says the same already.
    pub fn angle(&mut self, path: &[Step], from: f64, to: f64) {
        if (from - to).to_degrees().abs() <= WRITTEN {
            return;
        }
        if let Some(item) = self.map.get(path) {
            self.replace(item.span.clone(), degrees(to));
        }
    }

    /// Writes a point, of which only the coordinates that differ are touched.
    pub fn point(&mut self, path: &[Step], from: Option<Vector3<f64>>, to: Vector3<f64>) {
        for axis in 0..3 {
            let path = [path, &[axis.into()]].concat();
            self.length(&path, from.map(|p| p[axis]), to[axis]);
        }
    }

    /// Adds an entry at the end of a list, map or struct, laid out as its neighbours are.
    ///
    /// In `entry` a `\n` stands for a new line of the list and a `\t` for one step of indentation; where the list is
    /// written on one line, so is the entry.
    pub fn append(&mut self, group: &Group, entry: &str) {
        let text = self.map.text;
        let end = |item: &Item| item.comma.map_or(item.span.end, |comma| comma + 1);
        let last = group.items.last();
        let behind = last.map_or(group.open + 1, end);
        let mut gap_starts = std::iter::once(group.open + 1).chain(group.items.iter().map(end));
        let gap_ends = group.items.iter().map(Item::start).chain(std::iter::once(group.close));
        let lines =
            last.is_none() || gap_ends.into_iter().any(|to| text[gap_starts.next().unwrap_or(to)..to].contains('\n'));
        if let Some(item) = last
            && item.comma.is_none()
        {
            self.replace(item.span.end..item.span.end, ",");
        }
        if !lines {
            let comma = if last.is_some_and(|item| item.comma.is_some()) { "," } else { "" };
            self.replace(behind..behind, format!(" {}{comma}", on_one_line(entry)));
            return;
        }
        let newline = if text.contains("\r\n") { "\r\n" } else { "\n" };
        let own_line = last.filter(|item| text[line_start(text, item.start())..item.start()].trim().is_empty());
        let outer = indent(text, group.open);
        let step = step(text);
        let inner = own_line.map_or_else(|| format!("{outer}{step}"), |item| indent(text, item.start()).to_string());
        let entry = entry.replace('\t', step).replace('\n', &format!("{newline}{inner}"));
        let tail = &text[behind..group.close];
        let at = behind + tail.trim_end().len();
        let close = if text[at..group.close].contains('\n') {
            ",".to_string()
        } else if last.is_none() {
            format!(",{newline}{outer}")
        } else {
            String::new()
        };
        // The bracket moves right up to the last entry only where it stood there before.
        self.replace(at..at, format!("{newline}{inner}{entry}{close}"));
    }

    /// Writes another value in the place of one, its `\n` and `\t` as in [`Patch::append`].
    pub fn lay_out(&mut self, item: &Item, value: &str) {
        let text = self.map.text;
        let newline = if text.contains("\r\n") { "\r\n" } else { "\n" };
        let inner = indent(text, item.start());
        let value = value.replace('\t', step(text)).replace('\n', &format!("{newline}{inner}"));
        self.replace(item.span.clone(), value);
    }

    /// Writes an entry of a list again right behind it, byte by byte but for another value in the place of `inner`.
    pub fn copy(&mut self, item: &Item, inner: &Item, value: &str) {
        let text = self.map.text;
        let (start, end) = (item.start(), item.span.end);
        let behind = item.comma.map_or(end, |comma| comma + 1);
        let begin = line_start(text, start);
        let own_line = text[begin..start].trim().is_empty();
        let newline = if text.contains("\r\n") { "\r\n" } else { "\n" };
        let between = if own_line { format!("{newline}{}", &text[begin..start]) } else { " ".to_owned() };
        let comma = if item.comma.is_some() { ["", ","] } else { [",", ""] };
        let (before, after) = (&text[start..inner.span.start], &text[inner.span.end..end]);
        self.replace(behind..behind, format!("{}{between}{before}{value}{after}{}", comma[0], comma[1]));
    }

    /// Takes an entry out of a list. Comments stay, also those beside it.
    pub fn remove(&mut self, group: &Group, index: usize) {
        let text = self.map.text;
        let Some(item) = group.items.get(index) else { return };
        let mut span = item.start()..item.comma.map_or(item.span.end, |comma| comma + 1);
        let begin = line_start(text, span.start);
        let rest = text[span.end..].find('\n').map_or(text.len(), |n| span.end + n + 1);
        if text[begin..span.start].trim().is_empty() && text[span.end..rest].trim().is_empty() {
            span = begin..rest;
        } else {
            let spaces = text[span.end..].len() - text[span.end..].trim_start_matches(' ').len();
            span.end += spaces;
        }
        self.replace(span, "");
    }
}

/// An angle in radians as a car file writes it: a bare number of degrees, true to 0.001.
pub(super) fn degrees(radians: f64) -> String {
    // A bare angle is degrees as a bare length of such a file is millimetres.
    FileUnit::Mm.number(radians.to_degrees())
}

/// An entry without its new lines.
fn on_one_line(entry: &str) -> String {
    let mut line = String::new();
    for part in entry.split('\n').map(|part| part.trim_start_matches('\t')) {
        let closes = part.starts_with([')', ']', '}']);
        if closes {
            line.truncate(line.trim_end_matches(',').len());
        }
        let tight = line.is_empty() || line.ends_with(['(', '[']) || closes && !part.starts_with('}');
        line.push_str(if tight { "" } else { " " });
        line.push_str(part);
    }
    line
}

fn line_start(text: &str, at: usize) -> usize {
    text[..at].rfind('\n').map_or(text::bom(text).min(at), |n| n + 1)
}

/// The white space at the front of the line that holds byte `at`.
fn indent(text: &str, at: usize) -> &str {
    let line = &text[line_start(text, at)..];
    &line[..line.len() - line.trim_start_matches([' ', '\t']).len()]
}

/// One step of indentation, as the file's first indented line has it.
fn step(text: &str) -> &str {
    let indented = |line: &&str| line.starts_with([' ', '\t']) && !line.trim().is_empty();
    let first = text.lines().find(indented).map_or("", |line| &line[..line.len() - line.trim_start().len()]);
    if first.is_empty() || first.len() > 8 { "    " } else { first }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn appended(text: &str) -> String {
        let map = Map::read(text).unwrap();
        let mut patch = Patch::new(&map, FileUnit::Mm);
        patch.append(map.get(&["a".into()]).unwrap().group.as_ref().unwrap(), "new(\n\tb: 1,\n)");
        patch.finish()
    }

    #[test]
    fn an_entry_is_laid_out_as_its_neighbours_are() {
        for (before, behind) in [
            ("(a: [])", "(a: [\n    new(\n        b: 1,\n    ),\n])"),
            ("(a: [1])", "(a: [1, new(b: 1)])"),
            ("(a: [1, ])", "(a: [1, new(b: 1), ])"),
            ("(\n  a: [\n    1,\n  ],\n)", "(\n  a: [\n    1,\n    new(\n      b: 1,\n    ),\n  ],\n)"),
            ("(\n\ta: [\n\t\t1 // one\n\t],\n)", "(\n\ta: [\n\t\t1, // one\n\t\tnew(\n\t\t\tb: 1,\n\t\t),\n\t],\n)"),
            ("(a: [ // none\r\n])", "(a: [ // none\r\n    new(\r\n        b: 1,\r\n    ),\r\n])"),
        ] {
            let got = appended(before);
            assert_eq!(got, behind, "{before:?}");
            assert!(Map::read(&got).is_ok());
        }
    }

    #[test]
    fn an_entry_goes_and_its_comments_stay() {
        for (before, index, behind) in [
            ("(a: [1, 2, 3])", 0, "(a: [2, 3])"),
            ("(a: [1, 2])", 1, "(a: [1, ])"),
            ("(a: [\n  // why\n  1,\n  2,\n])", 0, "(a: [\n  // why\n  2,\n])"),
            ("(a: [\n  1, // why\n  2,\n])", 0, "(a: [\n  // why\n  2,\n])"),
        ] {
            let map = Map::read(before).unwrap();
            let mut patch = Patch::new(&map, FileUnit::Mm);
            patch.remove(map.get(&["a".into()]).unwrap().group.as_ref().unwrap(), index);
            assert_eq!(patch.finish(), behind);
        }
    }
}
