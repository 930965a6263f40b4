//! Helvetica as every PDF reader has it: its letters' codes and how wide they are.

/// Widths of the letters from space to tilde, thousandths of the size: Adobe's font metrics of Helvetica, from memory, held to
/// a PDF library's by `tests/reference/papers.py`.
const WIDTHS: [u16; 95] = [
    278, 278, 355, 556, 556, 889, 667, 191, 333, 333, 389, 584, 278, 333, 278, 278, 556, 556, 556, 556, 556, 556, 556,
    556, 556, 556, 278, 278, 584, 584, 584, 556, 1015, 667, 667, 722, 722, 667, 611, 778, 722, 278, 500, 667, 556, 833,
    722, 778, 667, 778, 722, 667, 611, 722, 667, 944, 667, 667, 611, 278, 278, 278, 469, 556, 333, 556, 556, 500, 556,
    556, 278, 556, 556, 222, 222, 500, 222, 833, 556, 556, 556, 556, 333, 500, 278, 556, 500, 722, 500, 500, 500, 334,
    260, 334, 584,
];
/// No other letter that is written is wider.
const WIDEST: u16 = 1000;

/// A letter's code in WinAnsiEncoding (ISO 32000-1, annex D.2): Latin-1 but for a few; a question mark for what it has not.
pub fn code(letter: char) -> u8 {
    match letter {
        ' '..='~' | '\u{a0}'..='ÿ' => letter as u8,
        '€' => 0x80,
        '‚' => 0x82,
        'ƒ' => 0x83,
        '„' => 0x84,
        '…' => 0x85,
        'Š' => 0x8a,
        'Œ' => 0x8c,
        'Ž' => 0x8e,
        '‘' => 0x91,
        '’' => 0x92,
        '“' => 0x93,
        '”' => 0x94,
        '•' => 0x95,
        '–' => 0x96,
        '—' => 0x97,
        '™' => 0x99,
        'š' => 0x9a,
        'œ' => 0x9c,
        'ž' => 0x9e,
        'Ÿ' => 0x9f,
        '−' => b'-',
        c if c.is_control() => b' ',
        _ => b'?',
    }
}

/// Whether paper has all letters of these words.
pub fn prints(words: &str) -> bool {
    words.chars().all(|c| c == '?' || code(c) != b'?')
}

/// Width of words at a size, in its unit.
pub fn width(words: &str, size: f64) -> f64 {
    let wide = |c: char| WIDTHS.get((c as usize).wrapping_sub(0x20)).copied().unwrap_or(WIDEST);
    words.chars().map(|c| f64::from(wide(c))).sum::<f64>() / 1000.0 * size
}

/// Words in lines no wider than this, broken between words; a word that is wider is broken anywhere.
pub fn wrapped(words: &str, size: f64, most: f64) -> Vec<String> {
    let mut lines: Vec<String> = vec![String::new()];
    for word in words.split_whitespace() {
        let last = lines.len() - 1;
        let gap = if lines[last].is_empty() { "" } else { " " };
        if width(&format!("{}{gap}{word}", lines[last]), size) <= most {
            lines[last] = format!("{}{gap}{word}", lines[last]);
            continue;
        }
        if !lines[last].is_empty() {
            lines.push(String::new());
        }
        for letter in word.chars() {
            let last = lines.len() - 1;
            if !lines[last].is_empty() && width(&lines[last], size) + width(&letter.to_string(), size) > most {
                lines.push(String::new());
            }
            let last = lines.len() - 1;
            lines[last].push(letter);
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_are_no_wider_than_asked_and_lose_no_word() {
        let words =
            "Brace the shell before you cut, and a_word_that_is_much_too_long_for_any_line_of_this_width at last";
        let lines = wrapped(words, 3.0, 40.0);
        assert!(lines.iter().all(|line| width(line, 3.0) <= 40.0), "{lines:?}");
        assert_eq!(lines.concat().replace(' ', ""), words.replace(' ', ""));
    }
}
