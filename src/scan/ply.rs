//! PLY, as text and binary, either end first: of its elements the corners' x, y and z, and the faces' corners.

use nalgebra::Vector3;

use super::bytes::Bytes;
use super::{Fault, Soup};

/// A number's type.
#[derive(Debug, Clone, Copy)]
struct Number {
    size: usize,
    float: bool,
    signed: bool,
}

/// A property of an element.
struct Property {
    name: String,
    /// Type of the count in front of it, if it is a list.
    list: Option<Number>,
    number: Number,
}

struct Element {
    name: String,
    count: usize,
    properties: Vec<Property>,
}

#[derive(Clone, Copy, PartialEq)]
enum Form {
    Text,
    LowFirst,
    HighFirst,
}

/// The numbers of the body, one after the other.
struct Body<'a> {
    bytes: Bytes<'a>,
    form: Form,
    words: std::str::SplitAsciiWhitespace<'a>,
}

pub(super) fn read(bytes: &[u8]) -> Result<Soup, Fault> {
    let (form, elements, start) = header(bytes)?;
    let text = if form == Form::Text {
        let body = std::str::from_utf8(&bytes[start..]);
        body.map_err(|e| Fault(format!("byte {} is no text: export the scan again", start + e.valid_up_to())))?
    } else {
        ""
    };
    let mut body = Body { bytes: Bytes::new(bytes, start), form, words: text.split_ascii_whitespace() };
    let mut soup = Soup::default();
    let mut face = Vec::new();
    for element in &elements {
        let corners = element.name == "vertex";
        let axes = ["x", "y", "z"].map(|axis| element.properties.iter().position(|p| p.name == axis));
        if corners && axes.contains(&None) {
            return Err(Fault::new("the corners of this PLY file have no x, y and z: export the scan again"));
        }
        // Without properties a count could be had for nothing.
        for n in 0..if element.properties.is_empty() { 0 } else { element.count } {
            let here = |f: Fault| Fault(format!("{} {} of {}: {f}", element.name, n + 1, element.count));
            let mut at = Vector3::zeros();
            for (index, property) in element.properties.iter().enumerate() {
                let Some(counted) = property.list else {
                    let value = body.number(property.number).map_err(here)?;
                    if let Some(axis) = axes.iter().position(|a| *a == Some(index)) {
                        at[axis] = value;
                    }
                    continue;
                };
                let count = body.number(counted).map_err(here)?;
                face.clear();
                for _ in 0..count as usize {
                    face.push(body.number(property.number).map_err(here)?);
                }
                if element.name == "face" && property.name.starts_with("vertex_ind") {
                    let known = |v: &f64| (0.0..soup.corners.len() as f64).contains(v).then_some(*v as u32);
                    let Some(face) = face.iter().map(known).collect::<Option<Vec<u32>>>().filter(|f| f.len() >= 3)
                    else {
                        return Err(here(Fault::new("it names corners that are not there: export the scan again")));
                    };
                    soup.fan(&face);
                }
            }
            if corners {
                soup.corners.push(at);
            }
        }
    }
    Ok(soup)
}

fn header(bytes: &[u8]) -> Result<(Form, Vec<Element>, usize), Fault> {
    let (mut form, mut elements, mut start) = (None, Vec::<Element>::new(), 0);
    for (index, raw) in bytes.split_inclusive(|b| *b == b'\n').enumerate() {
        start += raw.len();
        let line = index + 1;
        let odd = || Fault::at_line(line, "this is no head of a PLY file: export the scan again");
        let words: Vec<&str> = std::str::from_utf8(raw).map_err(|_| odd())?.split_whitespace().collect();
        match (&words[..], elements.last_mut()) {
            (["ply"], None) if line == 1 => {}
            _ if line == 1 => return Err(odd()),
            (["format", word, _], _) => {
                form = Some(match *word {
                    "ascii" => Form::Text,
                    "binary_little_endian" => Form::LowFirst,
                    "binary_big_endian" => Form::HighFirst,
                    _ => return Err(odd()),
                });
            }
            (["element", name, count], _) => {
                let count = count.parse().map_err(|_| odd())?;
                elements.push(Element { name: (*name).to_owned(), count, properties: Vec::new() });
            }
            (["property", "list", counted, number, name], Some(element)) => {
                let list = Some(type_of(counted).filter(|n| !n.float).ok_or_else(odd)?);
                let number = type_of(number).ok_or_else(odd)?;
                element.properties.push(Property { name: (*name).to_owned(), list, number });
            }
            (["property", number, name], Some(element)) => {
                let number = type_of(number).ok_or_else(odd)?;
                element.properties.push(Property { name: (*name).to_owned(), list: None, number });
            }
            (["end_header"], _) => return Ok((form.ok_or_else(odd)?, elements, start)),
            (["comment" | "obj_info", ..] | [], _) => {}
            _ => return Err(odd()),
        }
    }
    Err(Fault::new("this is no PLY file: its head does not end. Export the scan again"))
}

fn type_of(word: &str) -> Option<Number> {
    let (size, float, signed) = match word {
        "char" | "int8" => (1, false, true),
        "uchar" | "uint8" => (1, false, false),
        "short" | "int16" => (2, false, true),
        "ushort" | "uint16" => (2, false, false),
        "int" | "int32" => (4, false, true),
        "uint" | "uint32" => (4, false, false),
        "float" | "float32" => (4, true, true),
        "double" | "float64" => (8, true, true),
        _ => return None,
    };
    Some(Number { size, float, signed })
}

impl Body<'_> {
    fn number(&mut self, of: Number) -> Result<f64, Fault> {
        if self.form == Form::Text {
            let Some(word) = self.words.next() else {
                return Err(Fault::new("the file ends before it: copy it or export it again"));
            };
            let not =
                || Fault(format!("a number belongs here, and this is `{}`", word.chars().take(40).collect::<String>()));
            return word.parse().map_err(|_| not());
        }
        let mut low_first = [0; 8];
        let raw = self.bytes.take(of.size)?;
        low_first[..of.size].copy_from_slice(raw);
        if self.form == Form::HighFirst {
            low_first[..of.size].reverse();
        }
        let bits = u64::from_le_bytes(low_first);
        Ok(match (of.float, of.size, of.signed) {
            (true, 4, _) => f64::from(f32::from_bits(bits as u32)),
            (true, _, _) => f64::from_bits(bits),
            (false, size, true) => {
                let unused = 64 - 8 * size as u32;
                ((bits << unused) as i64 >> unused) as f64
            }
            (false, _, false) => bits as f64,
        })
    }
}
