//! From a car file's text to a car: what the general reader of the notation reports is said in a fabricator's words.

use std::ops::Range;

use ron::Options;
use ron::error::{Error as Ron, SpannedError};
use ron::extensions::Extensions;
use serde::Deserialize;
use serde::de::value::{Error as Plain, StrDeserializer};

use super::Car;
use super::check;
use super::error::{CarError, Step, instead_of};
use super::text::{self, Map};
use super::units::{self, FileUnit};

/// Reads and checks a car, proposals and all. Its errors are placed.
pub(super) fn car(text: &str) -> Result<Car, CarError> {
    let map = Map::read(text).map_err(|f| CarError::new(f.what).spanning(text, f.span))?;
    format(&map)?;
    if let Some((second, first)) = map.twice() {
        let (line, _) = text::line_column(text, first.start);
        let what = format!("`{}` is given twice, first on line {line}: keep one of the two", &text[second.clone()]);
        return Err(CarError::new(what).spanning(text, second));
    }
    let options = Options::default().with_default_extension(
        Extensions::IMPLICIT_SOME | Extensions::UNWRAP_NEWTYPES | Extensions::UNWRAP_VARIANT_NEWTYPES,
    );
    let start = text::bom(text);
    let car: Car = units::with_file_unit(unit(&map), || options.from_str(&text[start..]))
        .map_err(|error| translate(&error, &map, start))?;
    check::file(&car).map_err(|error| error.placed(&map))?;
    Ok(car)
}

/// Says first whether this program reads the file at all: another format may well have other fields.
fn format(map: &Map) -> Result<(), CarError> {
    match map.get(&["format".into()]) {
        Some(item) => match &map.text[item.span.clone()] {
            "1" => Ok(()),
            other => Err(CarError::new(format!("this file is of format {other}, and only `format: 1` is read here"))
                .spanning(map.text, item.span.clone())),
        },
        None => {
            let what = "this is not a car file yet: it has no `format`, so begin it with `(format: 1,`";
            Err(CarError::new(what).spanning(map.text, map.head(&map.root)))
        }
    }
}

/// The unit of bare lengths, wherever in the file it stands. A wrong word is found when the whole is read.
fn unit(map: &Map) -> FileUnit {
    let word = map.get(&["unit".into()]).map_or("", |item| &map.text[item.span.clone()]);
    FileUnit::deserialize(StrDeserializer::<Plain>::new(word)).unwrap_or_default()
}

/// What the reader reports, in a fabricator's words, at the start of what it is about.
fn translate(error: &SpannedError, map: &Map, start: usize) -> CarError {
    let end = error.span.end;
    let at = start + text::byte_at(&map.text[start..], end.line, end.col);
    let (_, item) = map.around(at);
    let (path, holder) = map.enclosing(at);
    // The reader may have stopped at a key, before its value.
    let here = item.key.clone().filter(|key| at <= key.end).unwrap_or(map.front(item));
    let seen = seen(map, &here);
    let word = |word: &str| map.last_word(word, at).unwrap_or(here.clone());
    let belongs = |what: &str| format!("{what} belongs here, and this is {seen}");
    let (what, span) = match &error.code {
        Ron::NoSuchStructField { expected, found, .. } => {
            (format!("there is no field `{found}` here{}", instead_of(found, expected.iter().copied())), word(found))
        }
        Ron::NoSuchEnumVariant { expected, found, outer } => {
            let kind = outer.as_deref().map_or("word", kind);
            (format!("there is no {kind} `{found}`{}", instead_of(found, expected.iter().copied())), word(found))
        }
        Ron::MissingStructField { field, .. } => {
            (format!("there is no `{field}` in {}: add `{field}: ...`", spoken(map, &path)), map.head(holder))
        }
        Ron::ExpectedDifferentLength { found, .. } => {
            let plan = path.contains(&"outline".into());
            let forces = path.contains(&"load_cases".into());
            let wanted = if forces {
                "three numbers, (forward, left, up)"
            } else if plan {
                "two lengths, (x, y)"
            } else {
                "three lengths, (x, y, z)"
            };
            let what = if forces { "a load" } else { "a point" };
            (format!("{what} has {wanted}, and here are {found}"), map.front(holder))
        }
        Ron::ExpectedStructLikeEnd => ("there are more values in these brackets than belong there".to_string(), here),
        Ron::ExpectedStructLike if map.word(item).starts_with(char::is_alphabetic) => {
            let word = map.word(item);
            (format!("`{word}` needs its values behind it in round brackets: `{word}( ... )`"), here)
        }
        Ron::ExpectedDifferentStructName { found, .. } => {
            (format!("no word belongs in front of this bracket: take `{found}` away"), here)
        }
        Ron::ExpectedComma => {
            (format!("{seen} cannot be read as a whole: a whole number or a single word belongs here"), here)
        }
        Ron::ExpectedMapColon => (format!("{seen} needs a colon and its value behind it"), here),
        Ron::ExpectedIdentifier | Ron::SuggestRawIdentifier(_) | Ron::InvalidIdentifier(_) => {
            let what = match (&item.key, &item.group) {
                (None, None) => format!("{seen} needs its field's name in front: `name: value`"),
                (None, Some(_)) => "one pair of brackets is enough here: take the inner one away".to_string(),
                (Some(_), _) => belongs("a word without quotes"),
            };
            (what, here)
        }
        Ron::Message(what) => (what.clone(), here),
        code => (expected(code).map_or_else(|| format!("this cannot be read: {code}"), |what| belongs(&what)), here),
    };
    CarError::new(what).spanning(map.text, span)
}

/// What the reader expected at a place.
fn expected(code: &Ron) -> Option<String> {
    let group = "a group in round brackets, `( field: value, ... )`,";
    let what = match code {
        Ron::InvalidValueForType { expected, .. } if expected.starts_with("struct ") => group,
        Ron::InvalidValueForType { expected, .. } => return Some(format!("{expected},")),
        Ron::ExpectedNamedStructLike(_) => group,
        Ron::ExpectedStructLike => "a point in round brackets, `(x, y, z)`,",
        Ron::ExpectedArray => "a list in square brackets, `[ ... ]`,",
        Ron::ExpectedMap => "points by name in braces, `{ lower_front: (x, y, z), ... }`,",
        Ron::ExpectedString => "text in double quotes",
        Ron::ExpectedInteger | Ron::InvalidIntegerDigit { .. } | Ron::IntegerOutOfBounds => "a whole number",
        Ron::ExpectedFloat | Ron::FloatUnderscore | Ron::UnderscoreAtBeginning => "a number",
        Ron::ExpectedBoolean => "`true` or `false`",
        _ => return None,
    };
    Some(what.to_string())
}

/// What stands in the file, short enough for a sentence.
fn seen(map: &Map, span: &Range<usize>) -> String {
    match &map.text[span.clone()] {
        bracket @ ("(" | "[" | "{") => format!("a group in `{bracket}`"),
        long if long.len() > 40 || long.contains('\n') => "something else".to_string(),
        text => format!("`{text}`"),
    }
}

/// A place in the car in words: `rails`, no. 2.
fn spoken(map: &Map, path: &[Step]) -> String {
    let mut words = Vec::new();
    for step in path {
        match (step, words.last_mut()) {
            (Step::Field(name), _) => words.push(format!("`{name}`")),
            (Step::Item(index), Some(last)) => last.push_str(&format!(" no. {}", index + 1)),
            (Step::Item(_), None) => {}
        }
    }
    let word = map.get(path).map_or("", |item| if item.group.is_some() { map.word(item) } else { "" });
    match (words.pop(), word) {
        (None, _) => "the car".to_string(),
        (Some(last), "") => last,
        (Some(last), word) => format!("`{word}` ({last})"),
    }
}

/// What a fabricator calls the words that a list of them holds.
fn kind(outer: &str) -> &str {
    match outer {
        "PointName" => "point",
        "Change" => "change",
        "Section" => "section",
        "BlockShape" => "shape",
        "FileUnit" => "unit of length",
        "Linkage" => "linkage",
        "MountedOn" => "part to mount on",
        "Sides" => "side",
        "Driven" => "driven axle",
        "ScannedAs" => "kind of scan",
        "RailFace" => "face of a rail",
        "CutEnd" => "end of a cut",
        "Ends" => "kind of end",
        _ => "word",
    }
}
