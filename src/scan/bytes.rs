//! Numbers out of a file's bytes, and its lines. Nothing here trusts a count that the file states.

use super::Fault;

/// Bytes from here on, taken one value after the other.
pub(super) struct Bytes<'a> {
    all: &'a [u8],
    at: usize,
}

impl<'a> Bytes<'a> {
    pub fn new(all: &'a [u8], at: usize) -> Self {
        Self { all, at }
    }

    /// The next so many bytes.
    pub fn take(&mut self, count: usize) -> Result<&'a [u8], Fault> {
        let found = self.at.checked_add(count).and_then(|end| self.all.get(self.at..end));
        let Some(found) = found else {
            let end = self.all.len();
            let what = format!("the file ends at byte {end}, in the middle of its mesh: copy it or export it again");
            return Err(Fault::new(what));
        };
        self.at += count;
        Ok(found)
    }

    pub fn array<const N: usize>(&mut self) -> Result<[u8; N], Fault> {
        let mut array = [0; N];
        array.copy_from_slice(self.take(N)?);
        Ok(array)
    }

    pub fn u32(&mut self) -> Result<u32, Fault> {
        Ok(u32::from_le_bytes(self.array()?))
    }

    pub fn f32(&mut self) -> Result<f64, Fault> {
        Ok(f64::from(f32::from_le_bytes(self.array()?)))
    }
}

/// A text's lines with their numbers, from 1. Bytes that are no text become question marks, which no reader takes.
pub(super) fn lines(bytes: &[u8]) -> impl Iterator<Item = (usize, &str)> {
    let lines = bytes.split(|b| *b == b'\n').enumerate();
    lines.map(|(i, line)| (i + 1, std::str::from_utf8(line).map_or("?", str::trim)))
}

/// The next word as a number.
pub(super) fn number<'a>(line: usize, words: &mut impl Iterator<Item = &'a str>) -> Result<f64, Fault> {
    let word = words.next().unwrap_or("nothing more");
    let not = || {
        Fault::at_line(
            line,
            &format!("a number belongs here, and this is `{}`", word.chars().take(40).collect::<String>()),
        )
    };
    word.parse().map_err(|_| not())
}
