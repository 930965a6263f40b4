//! OBJ: its corners and faces. Colours, texture places, normals and groups are passed over.

use nalgebra::Vector3;

use super::bytes::{lines, number};
use super::{Fault, Soup};

pub(super) fn read(bytes: &[u8]) -> Result<Soup, Fault> {
    let mut soup = Soup::default();
    let mut face = Vec::new();
    for (line, text) in lines(bytes) {
        let mut words = text.split_whitespace();
        match words.next() {
            Some("v") => {
                let mut next = || number(line, &mut words);
                soup.corners.push(Vector3::new(next()?, next()?, next()?));
            }
            Some("f") => {
                face.clear();
                for word in words {
                    face.push(corner(line, word, soup.corners.len())?);
                }
                if face.len() < 3 {
                    return Err(Fault::at_line(line, "a face has three corners or more: export the scan again"));
                }
                soup.fan(&face);
            }
            Some("?") => return Err(Fault::at_line(line, "here are bytes that are no text: is it an OBJ file?")),
            _ => {}
        }
    }
    Ok(soup)
}

/// A face's corner, `7`, `7/1/3`, or counted back from the last one, `-1`.
fn corner(line: usize, word: &str, count: usize) -> Result<u32, Fault> {
    let place = word.split('/').next().and_then(|w| w.parse::<i64>().ok());
    let from_start = place.and_then(|n| if n > 0 { n.checked_sub(1) } else { n.checked_add(count as i64) });
    match from_start {
        Some(n) if place != Some(0) && (0..count as i64).contains(&n) => Ok(n as u32),
        _ => {
            let word: String = word.chars().take(40).collect();
            Err(Fault::at_line(line, &format!("there is no corner `{word}` yet: {count} stand above. Export it again")))
        }
    }
}

impl Soup {
    /// A face of several corners, as triangles about its first.
    pub(super) fn fan(&mut self, face: &[u32]) {
        self.triangles.extend(face.windows(2).skip(1).map(|pair| [face[0], pair[0], pair[1]]));
    }
}
