//! Where everything stands in a car file's text.
//!
//! Serde gives the values and forgets the text; this keeps the text and forgets the values. [`Map`] reads brackets,
//! commas, strings and comments, and answers for a path such as `rails`, 2, `wall` which bytes hold it. With it an
//! error points at the line a fabricator has to look at, and an edit rewrites one number and leaves every comment where
//! it was. It also finds what is wrong with the brackets and commas themselves, which it can say more plainly than a
//! general reader can.

use std::ops::Range;

use super::error::Step;

mod scan;

/// A fault in the brackets, commas, quotes or comments.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Fault {
    /// Bytes to point at.
    pub span: Range<usize>,
    /// What is wrong and what to do.
    pub what: String,
}

/// A value and, where it has one, the key before its colon.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Item {
    /// Bytes of the field's name or map key.
    pub key: Option<Range<usize>>,
    /// Bytes of the value, with the word before its bracket if there is one.
    pub span: Range<usize>,
    /// What stands in the value's brackets, if it has any.
    pub group: Option<Group>,
    /// Byte of the comma behind it.
    pub comma: Option<usize>,
}

/// What stands in a pair of brackets.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Group {
    /// Byte of the opening bracket.
    pub open: usize,
    /// Byte of the closing bracket.
    pub close: usize,
    /// In order.
    pub items: Vec<Item>,
}

impl Item {
    /// Where the entry begins: at its key, or at its value.
    pub fn start(&self) -> usize {
        self.key.as_ref().map_or(self.span.start, |k| k.start)
    }
}

/// The map of one text.
pub(super) struct Map<'t> {
    /// The text that it maps.
    pub text: &'t str,
    /// The whole car.
    pub root: Item,
}

impl<'t> Map<'t> {
    /// Reads `text`.
    ///
    /// # Errors
    /// The first fault in the brackets, commas, quotes or comments.
    pub fn read(text: &'t str) -> Result<Self, Fault> {
        Ok(Self { text, root: scan::root(text)? })
    }

    /// The words of an item's key.
    pub fn key(&self, item: &Item) -> Option<&'t str> {
        item.key.clone().map(|k| &self.text[k])
    }

    /// The word in front of an item's brackets, or the whole value where it has none.
    pub fn word(&self, item: &Item) -> &'t str {
        let end = item.group.as_ref().map_or(item.span.end, |g| g.open);
        let word = &self.text[item.span.start..end];
        // A comment may stand between word and bracket.
        &word[..word.find(|c: char| c.is_whitespace() || c == '/').unwrap_or(word.len())]
    }

    /// The item at a path, and whether all of the path is there: else it is the last one on the way.
    pub fn find(&self, path: &[Step]) -> (&Item, bool) {
        let mut here = &self.root;
        for step in path {
            match self.step(here, step) {
                Some(next) => here = next,
                None => return (here, false),
            }
        }
        (here, true)
    }

    /// The item at a path.
    pub fn get(&self, path: &[Step]) -> Option<&Item> {
        let (item, whole) = self.find(path);
        whole.then_some(item)
    }

    fn step<'a>(&self, item: &'a Item, step: &Step) -> Option<&'a Item> {
        let items = &item.group.as_ref()?.items;
        match step {
            Step::Field(name) => items.iter().find(|i| self.key(i) == Some(name.as_str())),
            Step::Item(index) => items.get(*index),
        }
    }

    /// Bytes to point at for a path: the value there, or else the name of the last thing on the way to it.
    pub fn locate(&self, path: &[Step]) -> Range<usize> {
        let (item, whole) = self.find(path);
        if whole && item.group.is_none() { item.span.clone() } else { self.head(item) }
    }

    /// Bytes that name an item: its key, or the front of its value.
    pub fn head(&self, item: &Item) -> Range<usize> {
        item.key.clone().unwrap_or(self.front(item))
    }

    /// Bytes of a value, of which the word before its bracket, or the bracket, stands for the whole group.
    pub fn front(&self, item: &Item) -> Range<usize> {
        let start = item.span.start;
        if item.group.is_some() { start..start + self.word(item).len().max(1) } else { item.span.clone() }
    }

    /// The innermost item that byte `at` stands in or right behind, and the steps to it.
    pub fn around(&self, at: usize) -> (Vec<Step>, &Item) {
        self.innermost(|item| item.start() <= at && at <= item.span.end)
    }

    /// The innermost item with byte `at` between its brackets, and the steps to it.
    pub fn enclosing(&self, at: usize) -> (Vec<Step>, &Item) {
        self.innermost(|item| item.group.as_ref().is_some_and(|g| g.open < at && at <= g.close))
    }

    fn innermost(&self, has: impl Fn(&Item) -> bool) -> (Vec<Step>, &Item) {
        let mut path = Vec::new();
        let mut here = &self.root;
        while let Some(group) = &here.group {
            let Some((index, next)) = group.items.iter().enumerate().rfind(|(_, item)| has(item)) else { break };
            path.push(self.key(next).map_or(Step::Item(index), |k| Step::Field(k.to_string())));
            here = next;
        }
        (path, here)
    }

    /// The last place before byte `before` where `word` stands as a key, a value or in front of a bracket.
    pub fn last_word(&self, word: &str, before: usize) -> Option<Range<usize>> {
        fn look(map: &Map, item: &Item, word: &str, before: usize, best: &mut Option<Range<usize>>) {
            if item.start() >= before {
                return;
            }
            if map.key(item) == Some(word) {
                *best = item.key.clone();
            }
            let start = item.span.start;
            if map.word(item) == word && start < before {
                *best = Some(start..start + word.len());
            }
            for inner in item.group.iter().flat_map(|g| &g.items) {
                look(map, inner, word, before, best);
            }
        }
        let mut best = None;
        look(self, &self.root, word, before, &mut best);
        best
    }

    /// The first key that is given twice in the same brackets: the second of the two and the first.
    pub fn twice(&self) -> Option<(Range<usize>, Range<usize>)> {
        fn look(map: &Map, item: &Item) -> Option<(Range<usize>, Range<usize>)> {
            let items = &item.group.as_ref()?.items;
            let mut seen = std::collections::HashMap::new();
            items.iter().find_map(|inner| {
                let again = inner.key.clone().and_then(|k| Some((k.clone(), seen.insert(&map.text[k.clone()], k)?)));
                again.or_else(|| look(map, inner))
            })
        }
        look(self, &self.root)
    }
}

/// Line and column of a byte, from 1, the column in characters.
pub(super) fn line_column(text: &str, at: usize) -> (usize, usize) {
    let at = floor(text, at);
    let start = text[..at].rfind('\n').map_or(0, |n| n + 1);
    let line = text[..start].matches('\n').count() + 1;
    let start = if start == 0 { bom(text).min(at) } else { start };
    (line, text[start..at].chars().count() + 1)
}

/// Byte of a line and column, both from 1.
pub(super) fn byte_at(text: &str, line: usize, column: usize) -> usize {
    let start = if line <= 1 { 0 } else { text.match_indices('\n').nth(line - 2).map_or(text.len(), |(n, _)| n + 1) };
    let ahead = text[start..].char_indices().nth(column.saturating_sub(1)).map_or(text.len() - start, |(n, _)| n);
    start + ahead
}

/// The last character boundary not behind `at`.
fn floor(text: &str, at: usize) -> usize {
    (0..=at.min(text.len())).rev().find(|&n| text.is_char_boundary(n)).unwrap_or(0)
}

/// Length of the byte-order mark that some editors put first.
pub(super) fn bom(text: &str) -> usize {
    if text.starts_with('\u{feff}') { '\u{feff}'.len_utf8() } else { 0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn path(steps: &str) -> Vec<Step> {
        let step = |s: &str| s.parse().map_or_else(|_| Step::Field(s.to_string()), Step::Item);
        steps.split_terminator('.').map(step).collect()
    }

    const TEXT: &str = "// (a car\n( name: \"a \\\" ) b\", /* [ /* nested */ { */ points: { lower: (1, -2.5, r#\"3 \"in\"#) },\n\
        list: [box(width: 3), Some([7]), (8)], tyre: Some(size: \"x\"), )";

    #[test]
    fn every_value_is_found_by_its_path() {
        let map = Map::read(TEXT).unwrap();
        for (at, value) in [
            ("name", "\"a \\\" ) b\""),
            ("points.lower", "(1, -2.5, r#\"3 \"in\"#)"),
            ("points.lower.1", "-2.5"),
            ("points.lower.2", "r#\"3 \"in\"#"),
            ("list.0.width", "3"),
            ("list.1.0.0", "7"),
            ("list.2", "(8)"),
            ("tyre.size", "\"x\""),
        ] {
            let item = map.get(&path(at)).unwrap_or_else(|| panic!("{at}"));
            assert_eq!(&TEXT[item.span.clone()], value, "{at}");
        }
        assert!(map.get(&path("points.upper")).is_none());
        assert_eq!(&TEXT[map.locate(&path("points.upper"))], "points");
    }

    #[test]
    fn a_fault_is_told_where_it_stands() {
        for (text, at, what) in [
            ("", 0, "empty"),
            ("(a: 1", 0, "never closed"),
            ("(a: (\n  b: (1,\n  c: 2,\n),\n)", 11, "closed on line 4"),
            ("(a: [1, 2)", 9, "does not close the `[` of line 1, column 5"),
            ("(a: 1 b: 2)", 5, "comma is missing"),
            ("(a: 318 mm, b: 2)", 4, "write \"318 mm\""),
            ("(a: 12 1/2 in)", 4, "write \"12 1/2 in\""),
            ("(a: \"x, b: 2)", 4, "a `\"` is missing"),
            ("(a: 1 /* x)", 6, "end it with `*/`"),
            ("(a: 'text')", 4, "double quotes"),
            ("(a: , b: 2)", 1, "no value behind `a:`"),
            ("(a: 1,, b: 2)", 6, "a value is missing"),
            ("(a: 1)) ", 6, "more behind"),
        ] {
            let fault = Map::read(text).err().unwrap_or_else(|| panic!("{text}"));
            assert_eq!(fault.span.start, at, "{text}: {}", fault.what);
            assert!(fault.what.contains(what), "{text}: {}", fault.what);
        }
        assert!(Map::read(&"[".repeat(1_000_000)).err().unwrap().what.contains("nested"));
    }

    #[test]
    fn columns_count_characters_and_not_bytes() {
        let text = "\u{feff}(é: 1,\r\n  b: 2)";
        assert_eq!(line_column(text, text.find('1').unwrap()), (1, 5));
        assert_eq!(line_column(text, text.find('b').unwrap()), (2, 3));
        assert_eq!(byte_at(text, 2, 3), text.find('b').unwrap());
        assert_eq!(line_column(text, usize::MAX), (2, 8));
    }
}
