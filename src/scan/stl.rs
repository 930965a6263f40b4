//! STL: read in binary and as text, written in binary. Normals that are read are not looked at: they are for light.

use nalgebra::Vector3;

use super::bytes::{Bytes, lines, number};
use super::{Fault, Soup};

/// Bytes before the first triangle of a binary file: a comment and the count.
const HEAD: usize = 84;
/// Bytes of one triangle.
const EACH: usize = 50;

pub(super) fn read(bytes: &[u8]) -> Result<Soup, Fault> {
    // Binary files may begin with the word `solid` too, so what they state of their length is asked first.
    let text = bytes.trim_ascii_start().starts_with(b"solid");
    let stated = Bytes::new(bytes, HEAD - 4).u32().ok().map(|n| n as usize);
    match stated {
        Some(count) if count.checked_mul(EACH).is_some_and(|size| size + HEAD == bytes.len()) => binary(bytes, count),
        _ if text && !bytes.iter().take(1000).any(|b| *b == 0) => as_text(bytes),
        Some(count) => binary(bytes, count),
        None => Err(Fault::new("this is no STL file: it is too short to hold one triangle. Export the scan again")),
    }
}

fn binary(bytes: &[u8], count: usize) -> Result<Soup, Fault> {
    let there = (bytes.len() - HEAD) / EACH;
    if there < count {
        let what =
            format!("the file ends after {there} of the {count} triangles that it states: copy it or export it again");
        return Err(Fault::new(what));
    }
    let mut soup = Soup::default();
    let mut bytes = Bytes::new(bytes, HEAD);
    for _ in 0..count {
        bytes.take(12)?;
        for _ in 0..3 {
            soup.corners.push(Vector3::new(bytes.f32()?, bytes.f32()?, bytes.f32()?));
        }
        bytes.take(2)?;
    }
    soup.in_threes();
    Ok(soup)
}

/// A binary file of triangles, counter-clockwise seen from outside, in the unit of the numbers.
pub fn written(triangles: impl ExactSizeIterator<Item = [Vector3<f64>; 3]>) -> Vec<u8> {
    let mut bytes = vec![b' '; HEAD - 4];
    bytes.extend((triangles.len() as u32).to_le_bytes());
    for [a, b, c] in triangles {
        let normal = (b - a).cross(&(c - a)).try_normalize(0.0).unwrap_or_else(Vector3::zeros);
        for v in [normal, a, b, c].iter().flatten() {
            bytes.extend((*v as f32).to_le_bytes());
        }
        bytes.extend([0; 2]);
    }
    bytes
}

fn as_text(bytes: &[u8]) -> Result<Soup, Fault> {
    let mut soup = Soup::default();
    let (mut in_facet, mut ended, mut last) = (false, false, 0);
    for (line, text) in lines(bytes) {
        let mut words = text.split_whitespace();
        let Some(word) = words.next() else { continue };
        last = line;
        match word.to_ascii_lowercase().as_str() {
            "solid" => ended = false,
            "endsolid" => ended = true,
            "facet" => in_facet = true,
            "outer" | "endloop" => {}
            "vertex" if in_facet => {
                let mut next = || number(line, &mut words);
                soup.corners.push(Vector3::new(next()?, next()?, next()?));
            }
            "endfacet" if in_facet && soup.corners.len().is_multiple_of(3) => in_facet = false,
            "endfacet" => {
                return Err(Fault::at_line(line, "a facet of an STL file has three corners: export it again"));
            }
            other => {
                let what = format!(
                    "`{}` has no place in an STL file: export it again",
                    other.chars().take(40).collect::<String>()
                );
                return Err(Fault::at_line(line, &what));
            }
        }
    }
    if in_facet || !ended {
        return Err(Fault::at_line(last, "the file ends in the middle of its mesh: copy it or export it again"));
    }
    soup.in_threes();
    Ok(soup)
}

impl Soup {
    /// Every three corners are a triangle.
    fn in_threes(&mut self) {
        self.triangles = (0..self.corners.len() as u32 / 3).map(|i| [3 * i, 3 * i + 1, 3 * i + 2]).collect();
    }
}
