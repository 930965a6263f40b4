//! Plots as plain values: a few lines over two named axes, to be read at any place or written as a drawing.
//!
//! A line keeps one point for every place asked about, with no number (NaN; `null` in JSON) where the value does not
//! exist: a linkage at its end, a roll centre at infinity. So all lines of a car share their places, and whoever draws
//! takes a line's unbroken [`runs`](Line::runs). How lines are told apart is decided here, once, for screen and paper:
//! see [`Pen`].

mod svg;
mod ticks;

use serde::Serialize;

use crate::car::Side;
pub use ticks::{digits, tick_words, ticks};

/// Lines over two axes.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Plot {
    /// What it shows, and of which car.
    pub title: String,
    /// What has no line, and why; none where everything has one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub without: Option<String>,
    /// Along the bottom.
    pub x: PlotAxis,
    /// Up the side.
    pub y: PlotAxis,
    /// In the order in which a reader goes through them.
    pub lines: Vec<Line>,
}

/// What is measured along an axis of a plot.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PlotAxis {
    /// Such as `Wheel travel`.
    pub name: String,
    /// Such as `mm` or `deg`; empty for a plain ratio.
    pub unit: String,
    /// When a value is positive, in words; empty where nobody could err.
    pub positive: String,
    /// Decimals that a reader can use.
    pub decimals: usize,
}

/// One line of a plot.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Line {
    /// The state of the car: `as found`, or a proposal's name.
    pub name: String,
    /// The wheel; none for what belongs to the axle.
    pub side: Option<Side>,
    /// What the others are compared with, and lie over: the car as found most often.
    pub found: bool,
    /// In rising order of x; y is NaN where there is no value.
    pub points: Vec<[f64; 2]>,
}

/// How a line is drawn. As found is grey and thin behind a proposal's blue; the right wheel is dashed, and in another
/// lightness, so that where both wheels do the same the dashes still show on the other's line. Neither needs colour.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pen {
    /// sRGB.
    pub colour: [u8; 3],
    /// In points of the screen, or pixels of a drawing.
    pub width: f64,
    /// Rather than solid.
    pub dashed: bool,
}

/// Length of a dash, and of the room after it, in the units of a pen's width.
pub const DASH: [f64; 2] = [7.0, 5.0];

impl PlotAxis {
    /// Its name and unit, and when it is positive: `Toe, deg (toe-in positive)`.
    pub fn words(&self) -> String {
        let unit = if self.unit.is_empty() { String::new() } else { format!(", {}", self.unit) };
        let positive = if self.positive.is_empty() { String::new() } else { format!(" ({})", self.positive) };
        format!("{}{unit}{positive}", self.name)
    }

    /// A value as it is read off: `+1.25` with the decimals of this axis and a true minus.
    pub fn read(&self, value: f64) -> String {
        let text = digits(value, self.decimals);
        if text.chars().any(|c| ('1'..='9').contains(&c)) && value > 0.0 { format!("+{text}") } else { text }
    }
}

impl Line {
    /// `left, as found`.
    pub fn label(&self) -> String {
        self.side.map_or_else(|| self.name.clone(), |side| format!("{}, {}", side.word(), self.name))
    }

    /// The stretches in which it has values.
    pub fn runs(&self) -> impl Iterator<Item = &[[f64; 2]]> {
        self.points.split(|p| !p[1].is_finite()).filter(|run| !run.is_empty())
    }

    /// Its value at a place, linear between neighbours; none in a gap and beyond its ends.
    pub fn at(&self, x: f64) -> Option<f64> {
        let after = self.points.partition_point(|p| p[0] < x);
        let [x1, y1] = *self.points.get(after)?;
        if x1 == x {
            return Some(y1).filter(|y| y.is_finite());
        }
        let [x0, y0] = *self.points.get(after.checked_sub(1)?)?;
        Some(y0 + (y1 - y0) * ((x - x0) / (x1 - x0))).filter(|y| y.is_finite())
    }
}

impl Plot {
    /// What every line reads at a place, in their order.
    pub fn at(&self, x: f64) -> Vec<(&Line, Option<f64>)> {
        self.lines.iter().map(|line| (line, line.at(x))).collect()
    }

    /// The rectangle to draw: `[[left, right], [low, high]]`. Across exactly what the lines cover; up and down to round
    /// numbers, and never so near that what nobody can measure fills the paper. None where no line has a value.
    pub fn frame(&self) -> Option<[[f64; 2]; 2]> {
        let points = || self.lines.iter().flat_map(Line::runs).flatten();
        let span = |i: usize| {
            points().map(|p| p[i]).fold([f64::INFINITY, f64::NEG_INFINITY], |[l, h], v| [l.min(v), h.max(v)])
        };
        let ([left, right], [low, high]) = (span(0), span(1));
        if !(left.is_finite() && low.is_finite()) {
            return None;
        }
        let [left, right] = if right > left { [left, right] } else { [left - 1.0, right + 1.0] };
        let least = 10f64.powi(1 - self.y.decimals as i32);
        let short = (least - (high - low)).max(0.0) / 2.0;
        let (low, high) = (low - short, high + short);
        let (step, _) = ticks(low, high, 7);
        // A line that runs along the very edge would be hard to see.
        let edge = 0.04 * (high - low);
        Some([[left, right], [((low - edge) / step).floor() * step, ((high + edge) / step).ceil() * step]])
    }

    /// How a line is drawn.
    pub fn pen(&self, line: &Line) -> Pen {
        // With nothing else to stand behind, as found is what the plot is about.
        let behind = line.found && self.lines.iter().any(|l| !l.found);
        let dashed = line.side == Some(Side::Right);
        let (colour, width) = match (behind, dashed, self.before(line) % 4) {
            (false, false, 0) => ([0x1c, 0x45, 0x85], 2.4),
            (false, true, 0) => ([0x3d, 0x9a, 0xd6], 2.4),
            (true, false, 0) => ([0xb4, 0xad, 0x9f], 1.6),
            (true, true, 0) => ([0x6d, 0x6a, 0x64], 1.6),
            (false, _, n) => ([[0xc8, 0x69, 0x1c], [0x1a, 0x1a, 0x1a], [0x58, 0xa8, 0x9b]][n - 1], 2.4),
            (true, _, n) => ([[0xd9, 0xa8, 0x7c], [0x85, 0x85, 0x85], [0xa5, 0xc9, 0xc2]][n - 1], 1.6),
        };
        Pen { colour, width, dashed }
    }

    /// How many other names stand before a line's among those of its state: more than none where several things are drawn
    /// together.
    fn before(&self, line: &Line) -> usize {
        let alike = self.lines.iter().filter(|l| l.found == line.found).map(|l| &l.name);
        let mut names: Vec<&String> = alike.take_while(|name| **name != line.name).collect();
        names.dedup();
        names.len()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn axis(name: &str) -> PlotAxis {
        PlotAxis { name: name.into(), unit: "mm".into(), positive: String::new(), decimals: 1 }
    }

    fn line(side: Side, found: bool, points: &[[f64; 2]]) -> Line {
        Line {
            name: if found { "as found" } else { "low & <wide>" }.into(),
            side: Some(side),
            found,
            points: points.into(),
        }
    }

    pub(super) fn plot() -> Plot {
        let gap = [[-10.0, 1.0], [0.0, 2.0], [5.0, f64::NAN], [10.0, 4.0], [20.0, 8.0]];
        let lines = vec![
            line(Side::Left, true, &gap),
            line(Side::Right, true, &gap),
            line(Side::Left, false, &[[-10.0, -3.0], [20.0, 3.0]]),
            line(Side::Right, false, &[[-10.0, -2.5], [20.0, 3.5]]),
        ];
        Plot { title: "A \"car\" & its roll centre".into(), without: None, x: axis("Travel"), y: axis("Height"), lines }
    }

    #[test]
    fn a_line_is_read_between_its_points_and_never_guessed_in_a_gap_or_beyond_its_ends() {
        let found = &plot().lines[0];
        assert_eq!(found.at(-5.0), Some(1.5));
        assert_eq!(found.at(0.0), Some(2.0));
        assert_eq!(found.at(20.0), Some(8.0));
        for nowhere in [-10.1, 2.0, 5.0, 7.0, 20.1, f64::NAN] {
            assert_eq!(found.at(nowhere), None, "{nowhere}");
        }
        assert_eq!(found.runs().map(<[_]>::len).collect::<Vec<_>>(), [2, 2]);
    }

    #[test]
    fn all_lines_are_read_at_once() {
        let plot = plot();
        let read: Vec<_> = plot.at(5.0).into_iter().map(|(line, y)| (line.label(), y)).collect();
        assert_eq!(read[0], ("left, as found".into(), None));
        assert_eq!(read[2], ("left, low & <wide>".into(), Some(0.0)));
    }

    #[test]
    fn every_line_has_a_pen_of_its_own_that_grey_print_tells_apart() {
        let plot = plot();
        // Relative luminance as print sees it (ITU-R BT.709 weights, gamma left out: only the order matters here).
        let grey = |p: Pen| 0.2126 * p.colour[0] as f64 + 0.7152 * p.colour[1] as f64 + 0.0722 * p.colour[2] as f64;
        let pens: Vec<Pen> = plot.lines.iter().map(|l| plot.pen(l)).collect();
        for (i, a) in pens.iter().enumerate() {
            for b in &pens[i + 1..] {
                let apart = (grey(*a) - grey(*b)).abs() > 20.0 || (a.dashed != b.dashed && a.width != b.width);
                assert!(apart, "{a:?} {b:?}");
            }
        }
    }

    #[test]
    fn without_a_proposal_as_found_is_drawn_strong() {
        let mut plot = plot();
        let strong = plot.pen(&plot.lines[2]);
        plot.lines.truncate(2);
        assert_eq!(plot.pen(&plot.lines[0]), strong);
    }

    #[test]
    fn what_hardly_changes_does_not_fill_the_paper() {
        let mut plot = plot();
        plot.lines = vec![line(Side::Left, true, &[[0.0, 5.0], [1.0, 5.0000001]])];
        let [_, [low, high]] = plot.frame().unwrap();
        assert!(low <= 4.5 && high >= 5.5, "{low} {high}");
        plot.lines[0].points = vec![[0.0, f64::NAN]];
        assert_eq!(plot.frame(), None);
    }

    #[test]
    fn a_gap_is_null_in_json() {
        assert!(serde_json::to_string(&plot()).unwrap().contains("[5.0,null]"));
    }
}
