//! From a car file's text to the map of its brackets, keys, values and commas.

use std::ops::Range;

use super::{Fault, Group, Item, bom, line_column};

/// Brackets inside brackets, at most. A car needs about ten.
const DEEPEST: usize = 60;

/// The whole car in `text`.
pub(super) fn root(text: &str) -> Result<Item, Fault> {
    let mut reader = Reader { text, at: bom(text), suspect: None };
    reader.extensions()?;
    if reader.at == text.len() {
        return fault(0..0, "the file is empty: a car begins with `(format: 1,`");
    }
    let root = reader.value(0)?;
    reader.trivia()?;
    if reader.at < text.len() {
        let rest = reader.at..text.len();
        return fault(rest, "there is more behind the car's last bracket: a bracket was closed too early");
    }
    Ok(root)
}

fn fault<T>(span: Range<usize>, what: impl Into<String>) -> Result<T, Fault> {
    Err(Fault { span, what: what.into() })
}

struct Reader<'t> {
    text: &'t str,
    at: usize,
    /// The first brackets that are closed on a line indented otherwise than the one they were opened on: where a
    /// bracket is missing, that is where.
    suspect: Option<Range<usize>>,
}

impl<'t> Reader<'t> {
    fn rest(&self) -> &'t str {
        &self.text[self.at..]
    }

    fn next(&self) -> Option<char> {
        self.rest().chars().next()
    }

    /// Goes on past `mark`, which opened at `open`.
    fn skip_past(&mut self, mark: &str, open: Range<usize>, what: &str) -> Result<(), Fault> {
        match self.rest().find(mark) {
            Some(n) => self.at += n + mark.len(),
            None => return fault(open, what),
        }
        Ok(())
    }

    /// Goes over white space and comments.
    fn trivia(&mut self) -> Result<(), Fault> {
        loop {
            let rest = self.rest();
            self.at += rest.len() - rest.trim_start().len();
            let rest = self.rest();
            if rest.starts_with("//") {
                self.at += rest.find('\n').unwrap_or(rest.len());
            } else if rest.starts_with("/*") {
                self.block_comment()?;
            } else {
                return Ok(());
            }
        }
    }

    fn block_comment(&mut self) -> Result<(), Fault> {
        let open = self.at..self.at + 2;
        self.at += 2;
        let mut depth = 1usize;
        while depth > 0 {
            let Some(n) = self.rest().find(['/', '*']) else {
                return fault(open, "this comment is never closed: end it with `*/`");
            };
            self.at += n;
            match self.rest().as_bytes() {
                [b'/', b'*', ..] => (depth, self.at) = (depth + 1, self.at + 2),
                [b'*', b'/', ..] => (depth, self.at) = (depth - 1, self.at + 2),
                _ => self.at += 1,
            }
        }
        Ok(())
    }

    /// Goes over `#![enable(...)]` lines.
    fn extensions(&mut self) -> Result<(), Fault> {
        self.trivia()?;
        while self.rest().starts_with('#') {
            let open = self.at..self.at + 1;
            self.skip_past("]", open, "this `#!` line has no closing `]`: remove it, a car file needs none")?;
            self.trivia()?;
        }
        Ok(())
    }

    /// Reads one value; `trivia` has been skipped.
    fn value(&mut self, depth: usize) -> Result<Item, Fault> {
        let start = self.at;
        let mut group = None;
        match self.next() {
            Some('(' | '[' | '{') => group = Some(self.group(depth)?),
            Some('"') => self.string()?,
            Some('\'') => self.letter()?,
            Some('r') if self.raw_hashes(1).is_some() => self.raw_string(1)?,
            Some('b') if self.rest()[1..].starts_with('"') => {
                self.at += 1;
                self.string()?;
            }
            _ => {
                let rest = self.rest();
                self.at += word_length(rest);
                if self.at == start {
                    let what = match self.next() {
                        Some(c) => format!("a value is missing in front of this `{}`", c.escape_default()),
                        None => "the file ends where a value is missing".to_string(),
                    };
                    return fault(start..start + self.next().map_or(0, char::len_utf8), what);
                }
                let end = self.at;
                let named = rest.starts_with(|c: char| c.is_alphabetic() || c == '_');
                self.trivia()?;
                if named && self.next() == Some('(') {
                    group = Some(self.group(depth)?);
                } else {
                    // Comments behind a word are not part of it.
                    self.at = end;
                }
            }
        }
        Ok(Item { key: None, span: start..self.at, group, comma: None })
    }

    fn group(&mut self, depth: usize) -> Result<Group, Fault> {
        let open = self.at;
        if depth >= DEEPEST {
            return fault(open..open + 1, format!("brackets are nested more than {DEEPEST} deep here"));
        }
        let bracket = self.text.as_bytes()[open];
        let close = match bracket {
            b'(' => ')',
            b'[' => ']',
            _ => '}',
        };
        self.at += 1;
        let mut items: Vec<Item> = Vec::new();
        loop {
            self.trivia()?;
            match self.next() {
                None => return self.never_closed(open),
                Some(c) if c == close => {
                    let lines = self.text[open..self.at].contains('\n');
                    if lines && self.suspect.is_none() && self.indent(open) != self.indent(self.at) {
                        self.suspect = Some(open..self.at);
                    }
                    self.at += 1;
                    return Ok(Group { open, close: self.at - 1, items });
                }
                Some(c @ (')' | ']' | '}')) => {
                    let (line, column) = line_column(self.text, open);
                    let bracket = char::from(bracket);
                    let what = format!(
                        "this `{c}` does not close the `{bracket}` of line {line}, column {column}: a `{close}` is \
                         missing before it, or it should be one"
                    );
                    return fault(self.at..self.at + 1, what);
                }
                Some(_) => {
                    if let Some(before) = items.last()
                        && before.comma.is_none()
                    {
                        return self.no_comma(before);
                    }
                    items.push(self.item(depth)?);
                }
            }
        }
    }

    /// White space before the first word of the line that holds byte `at`.
    fn indent(&self, at: usize) -> &'t str {
        let start = self.text[..at].rfind('\n').map_or(bom(self.text), |n| n + 1);
        let line = &self.text[start..];
        &line[..line.len() - line.trim_start_matches([' ', '\t']).len()]
    }

    /// Says which bracket misses its other half: most likely not the outermost, which is the one left over.
    fn never_closed<T>(&self, open: usize) -> Result<T, Fault> {
        let (open, how) = match &self.suspect {
            Some(suspect) => {
                let (line, _) = line_column(self.text, suspect.end);
                (suspect.start, format!("seems to be closed on line {line}, too late"))
            }
            None => (open, "is never closed".to_string()),
        };
        let bracket = &self.text[open..open + 1];
        fault(open..open + 1, format!("a closing bracket is missing: this `{bracket}` {how}"))
    }

    fn item(&mut self, depth: usize) -> Result<Item, Fault> {
        let mut item = self.value(depth + 1)?;
        let end = self.at;
        self.trivia()?;
        if self.next() == Some(':') {
            self.at += 1;
            self.trivia()?;
            if matches!(self.next(), None | Some(',' | ')' | ']' | '}')) {
                let name = &self.text[item.span.clone()];
                return fault(item.span.clone(), format!("there is no value behind `{name}:`"));
            }
            let key = item.span;
            item = self.value(depth + 1)?;
            item.key = Some(key);
        } else {
            self.at = end;
        }
        let end = self.at;
        self.trivia()?;
        if self.next() == Some(',') {
            item.comma = Some(self.at);
            self.at += 1;
        } else {
            self.at = end;
        }
        Ok(item)
    }

    /// Says what is missing between the value `before` and the one that the reader stands at.
    fn no_comma<T>(&self, before: &Item) -> Result<T, Fault> {
        let word = &self.text[before.span.clone()];
        let length = word_length(self.rest());
        if word.ends_with(|c: char| c.is_ascii_digit() || c == '.') && length > 0 && self.next() != Some('"') {
            let line = self.rest().find([',', '\n', ')', ']', '}']).unwrap_or(self.rest().len());
            let whole = self.text[before.span.start..self.at + line].trim_end();
            if !whole.contains([':', '\n', '"']) {
                let span = before.span.start..before.span.start + whole.len();
                return fault(span, format!("a number with its unit stands in quotes: write \"{whole}\""));
            }
        }
        fault(before.span.end..before.span.end, "a comma is missing here")
    }

    fn string(&mut self) -> Result<(), Fault> {
        let open = self.at;
        let mut escaped = false;
        for (n, c) in self.rest().char_indices().skip(1) {
            match c {
                _ if escaped => escaped = false,
                '\\' => escaped = true,
                '"' => {
                    self.at += n + 1;
                    return Ok(());
                }
                _ => {}
            }
        }
        fault(open..open + 1, "this text is never closed: a `\"` is missing, perhaps at the end of this line")
    }

    /// A single letter in apostrophes, which a car file has no use for; what reads it later says so.
    fn letter(&mut self) -> Result<(), Fault> {
        let mut chars = self.rest().char_indices().skip(1);
        if let Some((_, '\\')) = chars.next() {
            chars.next();
        }
        match chars.next() {
            Some((n, '\'')) => self.at += n + 1,
            _ => return fault(self.at..self.at + 1, "text stands in double quotes: write \" in place of '"),
        }
        Ok(())
    }

    /// The number of hashes of a raw string whose `r` is `skip` bytes long, if one begins here.
    fn raw_hashes(&self, skip: usize) -> Option<usize> {
        let rest = &self.rest()[skip..];
        let hashes = rest.len() - rest.trim_start_matches('#').len();
        rest[hashes..].starts_with('"').then_some(hashes)
    }

    fn raw_string(&mut self, skip: usize) -> Result<(), Fault> {
        let open = self.at;
        let hashes = self.raw_hashes(skip).unwrap_or(0);
        self.at += skip + hashes + 1;
        let end = format!("\"{}", "#".repeat(hashes));
        self.skip_past(&end, open..open + 1, &format!("this text is never closed: a `{end}` is missing"))
    }
}

/// Length of the word or number at the front of `rest`.
fn word_length(rest: &str) -> usize {
    let stop = |(n, c): &(usize, char)| {
        c.is_whitespace()
            || matches!(c, '(' | ')' | '[' | ']' | '{' | '}' | ':' | ',' | '"' | '\'')
            || rest[*n..].starts_with("//")
            || rest[*n..].starts_with("/*")
    };
    rest.char_indices().find(stop).map_or(rest.len(), |(n, _)| n)
}
