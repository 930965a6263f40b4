//! What is wrong with a car file, where, and what to do about it.
//!
//! An error begins where the fault is noticed, knowing only its own field, and gains the names around it on its way out
//! (`wall`, in item 2, in `rails`). Only the car file knows the text; it turns that path into line and column at last.

use std::ops::Range;
use std::path::Path;

use thiserror::Error;

use super::text::{self, Map};

/// One step from the car towards a value.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Step {
    /// A field or a point's name.
    Field(String),
    /// An item of a list, from 0.
    Item(usize),
}

impl From<&str> for Step {
    fn from(name: &str) -> Self {
        Self::Field(name.to_string())
    }
}

impl From<usize> for Step {
    fn from(index: usize) -> Self {
        Self::Item(index)
    }
}

/// A place in a car file's text.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Place {
    line: usize,
    column: usize,
    /// The line as it stands there, and carets under what is meant.
    picture: String,
}

/// What is wrong with a car file or a proposal, in a fabricator's words.
///
/// Shown as `demo.ron:12:9: what is wrong: what to do`, then the line of the file with carets under the place.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{}", self.shown())]
pub struct CarError {
    what: String,
    /// From the fault outwards.
    steps: Vec<Step>,
    file: Option<String>,
    place: Option<Box<Place>>,
}

impl CarError {
    /// An error that is not yet placed.
    pub(super) fn new(what: impl Into<String>) -> Self {
        Self { what: what.into(), steps: Vec::new(), file: None, place: None }
    }

    /// What is wrong and what to do, without the place.
    pub fn what(&self) -> &str {
        &self.what
    }

    /// The file that it is about, as it was named.
    pub fn file(&self) -> Option<&str> {
        self.file.as_deref()
    }

    /// Line in the file, from 1.
    pub fn line(&self) -> Option<usize> {
        self.place.as_ref().map(|p| p.line)
    }

    /// Column in the line, in characters from 1.
    pub fn column(&self) -> Option<usize> {
        self.place.as_ref().map(|p| p.column)
    }

    /// Says that the fault lies in this field or item of what surrounds it.
    pub(super) fn within(mut self, step: impl Into<Step>) -> Self {
        self.steps.push(step.into());
        self
    }

    /// Points at bytes of the text.
    pub(super) fn spanning(mut self, text: &str, span: Range<usize>) -> Self {
        let (line, column) = text::line_column(text, span.start);
        self.place = Some(Box::new(Place { line, column, picture: picture(text, span) }));
        self
    }

    /// Points at the text of the path that it has gathered.
    pub(super) fn placed(self, map: &Map) -> Self {
        let path: Vec<Step> = self.steps.iter().rev().cloned().collect();
        self.spanning(map.text, map.locate(&path))
    }

    /// Names the file.
    pub(super) fn in_file(mut self, path: Option<&Path>) -> Self {
        self.file = path.map(|p| p.display().to_string());
        self
    }

    fn shown(&self) -> String {
        let what = &self.what;
        match (&self.file, &self.place) {
            (None, None) => what.clone(),
            (Some(file), None) => format!("{file}: {what}"),
            (None, Some(p)) => format!("line {}, column {}: {what}\n{}", p.line, p.column, p.picture),
            (Some(file), Some(p)) => format!("{file}:{}:{}: {what}\n{}", p.line, p.column, p.picture),
        }
    }
}

/// The line that holds the start of `span`, and carets under it. A very long line is cut to what surrounds the place.
fn picture(text: &str, span: Range<usize>) -> String {
    let (line, column) = text::line_column(text, span.start);
    let whole = text[text::bom(text)..].lines().nth(line - 1).unwrap_or("");
    let before = (column - 1).min(whole.chars().count());
    let skip = before.saturating_sub(60);
    let shown: Vec<char> = whole.chars().skip(skip).take(110).collect();
    // Tabs stay, so that the caret stands under its place; other control characters could confuse a terminal.
    let plain = |c: &char| if c.is_control() && *c != '\t' { '\u{fffd}' } else { *c };
    let pad = |c: &char| if *c == '\t' { '\t' } else { ' ' };
    let space: String = shown[..(before - skip).min(shown.len())].iter().map(pad).collect();
    let end = span.end.clamp(span.start, text.len());
    let wide = text.get(span.start..end).map_or(1, |s| if s.contains('\n') { 1 } else { s.chars().count() });
    let room = shown.len().saturating_sub(before - skip);
    let carets = "^".repeat(wide.min(room).max(1));
    format!("    {}\n    {space}{carets}", shown.iter().map(plain).collect::<String>())
}

/// The end of a sentence about a `word` that is not among `valid`: the nearest spelling, or the words there are.
pub(crate) fn instead_of<'a>(word: &str, valid: impl IntoIterator<Item = &'a str>) -> String {
    let valid: Vec<&str> = valid.into_iter().collect();
    let lower = word.to_lowercase();
    let distance = |v: &&&str| strsim::damerau_levenshtein(&lower, &v.to_lowercase());
    let nearest = valid.iter().min_by_key(distance).filter(|v| distance(v) <= (word.chars().count() / 3).max(1));
    match (nearest, &valid[..]) {
        (Some(nearest), _) => format!(": did you mean `{nearest}`?"),
        (None, []) => ": there are none here".to_string(),
        (None, [only]) => format!(": there is only `{only}`"),
        (None, [first @ .., last]) => {
            let first: Vec<String> = first.iter().map(|v| format!("`{v}`")).collect();
            format!(": use {} or `{last}`", first.join(", "))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_caret_stands_under_the_word() {
        let text = "(\n\twidth: 3,\n\tlower_font: (1, 2, 3),\n)";
        let at = text.find("lower_font").unwrap();
        let error = CarError::new("no").spanning(text, at..at + 10).in_file(Some(Path::new("demo.ron")));
        assert_eq!(error.to_string(), "demo.ron:3:2: no\n    \tlower_font: (1, 2, 3),\n    \t^^^^^^^^^^");
    }

    #[test]
    fn a_line_without_end_is_cut_to_what_surrounds_the_place() {
        let text = "x".repeat(100_000);
        let error = CarError::new("no").spanning(&text, 50_000..50_001);
        assert!(error.to_string().len() < 400);
        assert_eq!(error.column(), Some(50_001));
    }

    #[test]
    fn a_near_spelling_is_offered_and_a_far_one_is_not() {
        assert_eq!(instead_of("lower_font", ["upper_front", "lower_front"]), ": did you mean `lower_front`?");
        assert_eq!(instead_of("Upper Rail", ["lower rail", "upper rail"]), ": did you mean `upper rail`?");
        assert_eq!(instead_of("wing", ["mm", "in"]), ": use `mm` or `in`");
    }
}
