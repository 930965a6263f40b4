//! A map as a drawing that stands on its own: on a shop's wall, or in a customer's hand.
//!
//! The darker, the less room: clear ground is one blue in steps, what is short of its wanted gap is orange, what touches
//! is darker still and hatched. So grey print tells them apart as well as colour does.

use super::contour::{At, Field};
use super::{Contour, GapMap, Level};
use crate::answer::Told;
use crate::answer::sheet::{Frame, INK, LINE, Labels, MARGIN, SHORT, SMALL, SOFT, Sheet, boxed, wide, wrapped};
use crate::car::Shown;

/// Room for the key on the right.
const KEY: f64 = 262.0;
/// Least width and height, pixels.
const LEAST: [u32; 2] = [760, 560];
/// Fills of what is clear, from the least in hand to the most.
pub const CLEAR: [&str; 4] = ["#8fbad8", "#b5d3e7", "#d6e7f2", "#f2f7fb"];

/// Where one fill gives way to the next, in the units shown.
pub(super) fn steps(shown: Shown) -> [f64; 3] {
    match shown {
        Shown::Mm => [10.0, 20.0, 40.0],
        Shown::In => [0.5, 1.0, 2.0],
    }
}

impl GapMap {
    /// A drawing of this width and height in pixels (higher where the key needs it), whole in itself, as SVG 1.1.
    pub fn svg(&self, shown: Shown, size: [u32; 2]) -> String {
        let [width, height] = [0, 1].map(|i| f64::from(size[i].max(LEAST[i])));
        let key: Vec<(String, Vec<String>)> = self.named().into_iter().map(|n| self.key_words(n, shown)).collect();
        let lines: usize = key.iter().map(|(_, lines)| lines.len()).sum();
        let sentence = self.sentence(shown);
        let heading = 80.0 + wrapped(&sentence, SMALL + 1.0, width - 2.0 * MARGIN).len() as f64 * (LINE + 1.0);
        let height = height.max(heading + (lines + 14) as f64 * LINE + key.len() as f64 * 6.0 + 90.0);
        let mut sheet = Sheet::new([width, height], &self.title());
        let top = sheet.heading(&self.title(), &sentence, width) + 26.0;
        let one = shown.in_mm();
        let span = |v: &[f64]| [v[0] / one, v[v.len() - 1] / one];
        let frame = Frame {
            edges: [MARGIN + 44.0, top, width - MARGIN - KEY - 20.0, height - MARGIN - 46.0],
            across: span(&self.across.values_mm),
            up: span(&self.up.values_mm),
        };
        let contours = self.contours_in(shown);
        self.fills(&mut sheet, &frame, shown);
        self.lines(&mut sheet, &frame, &contours, one);
        let words = |axis: &super::MapAxis| format!("{}, {} ({})", axis.name, shown.sign(), axis.positive);
        frame.axes(&mut sheet, &words(&self.across), &words(&self.up));
        self.labels(&mut sheet, &frame, &contours, shown);
        self.key(&mut sheet, [frame.edges[2] + 24.0, top], &key, shown);
        sheet.done()
    }

    /// The pairs that are shortest somewhere, the one with the largest region first.
    fn named(&self) -> Vec<usize> {
        let mut named = Vec::new();
        for pair in self.regions.iter().map(|r| r.pair).chain(self.worst.map(|w| w.cell.pair)) {
            if !named.contains(&pair) {
                named.push(pair);
            }
        }
        named
    }

    /// By what a pair is called on the drawing: `A`.
    pub fn letter(&self, pair: usize) -> String {
        match self.named().iter().position(|n| *n == pair) {
            Some(n @ 0..26) => char::from(b'A' + n as u8).to_string(),
            Some(n) => (n + 1).to_string(),
            None => String::new(),
        }
    }

    fn key_words(&self, n: usize, shown: Shown) -> (String, Vec<String>) {
        let pair = &self.pairs[n];
        let text = format!("{} and {}, {} wanted", pair.a, pair.b, shown.length(pair.wanted_mm));
        (self.letter(n), wrapped(&text, SMALL, KEY - 34.0))
    }

    fn fills(&self, sheet: &mut Sheet, frame: &Frame, shown: Shown) {
        let one = shown.in_mm();
        let [left, top, right, bottom] = frame.edges;
        sheet.rect([left, top], [right - left, bottom - top], &format!(r#"fill="{}""#, CLEAR[3]));
        let [in_hand, gap] = self.fields();
        let below = |field: &Field, level: f64| -> Vec<Vec<At>> {
            let on_sheet = |p: Vec<At>| p.into_iter().map(|[x, y]| frame.at([x / one, y / one])).collect();
            field.outline(level).into_iter().map(on_sheet).collect()
        };
        for (step, fill) in steps(shown).into_iter().zip(CLEAR).rev() {
            sheet.fill(&below(&in_hand, step * one), fill);
        }
        sheet.fill(&below(&in_hand, 0.0), SHORT);
        sheet.hatch(&below(&gap, 0.0));
    }

    fn lines(&self, sheet: &mut Sheet, frame: &Frame, contours: &[Contour], one: f64) {
        let on_sheet = |p: &At| frame.at(p.map(|v| v / one));
        for boundary in &self.boundaries {
            sheet.way(boundary.line_mm.iter().map(on_sheet), INK, 1.3, "1.5 4");
        }
        for contour in contours {
            for line in &contour.lines_mm {
                sheet.way(line.iter().map(on_sheet), INK, weight(contour.level), "");
            }
        }
    }

    /// The worst place first, then the regions' names, then the contours' gaps as far as there is room.
    fn labels(&self, sheet: &mut Sheet, frame: &Frame, contours: &[Contour], shown: Shown) {
        let one = shown.in_mm();
        let mut labels = Labels::new(frame.edges);
        let on_sheet = |p: &At| frame.at(p.map(|v| v / one));
        if let Some(worst) = &self.worst {
            let at = on_sheet(&worst.at_mm);
            for (colour, width) in [("#ffffff", 5.0), (INK, 2.2)] {
                for way in [1.0, -1.0] {
                    sheet.line([at[0] - 7.0, at[1] - 7.0 * way], [at[0] + 7.0, at[1] + 7.0 * way], colour, width);
                }
            }
            labels.reserve(at, [16.0, 16.0]);
            let text = shown.length(worst.cell.gap_mm).replace('-', "\u{2212}");
            let [w, h] = [wide(&text, SMALL) + 8.0, 19.0];
            let [aside, over] = [w / 2.0 + 12.0, 22.0];
            let around = [[aside, 0.0], [-aside, 0.0], [0.0, over], [0.0, -over]];
            let corners = [[aside, over], [-aside, over], [aside, -over], [-aside, -over]];
            let mut places = around.into_iter().chain(corners).map(|[x, y]| [at[0] + x, at[1] + y]);
            if let Some(at) = places.find_map(|p| labels.take(p, [w, h])) {
                sheet.note("worst", at, &[text]);
            }
        }
        for region in &self.regions {
            self.name_region(sheet, frame, &mut labels, region, one);
        }
        for contour in contours {
            let text = match contour.level {
                Level::Touch => "touch".to_owned(),
                Level::Wanted => "wanted gap".to_owned(),
                Level::Gap(mm) => shown.length(mm).replace('-', "\u{2212}").replace(".0 mm", " mm"),
            };
            let size = [wide(&text, 11.0) + 6.0, 15.0];
            for line in contour.lines_mm.iter().filter(|l| l.len() > 4) {
                let middle_first = |n: &usize| n.abs_diff(line.len() / 2);
                let mut places: Vec<usize> = (0..line.len()).collect();
                places.sort_by_key(middle_first);
                if let Some(b) = places.into_iter().find_map(|n| labels.take(on_sheet(&line[n]), size)) {
                    let at = [b[0], b[1]];
                    sheet.rect(at, size, r##"fill="#ffffff" fill-opacity="0.8" rx="2""##);
                    sheet.named_text("gap", [b[0] + 3.0, b[3] - 4.0], "start", 11.0, INK, &text);
                }
            }
        }
    }

    /// The whole name where the region has room for it, and else its letter, which the key explains.
    fn name_region(&self, sheet: &mut Sheet, frame: &Frame, labels: &mut Labels, region: &super::Region, one: f64) {
        let pair = &self.pairs[region.pair];
        let letter = self.letter(region.pair);
        let whole = vec![format!("{letter}  {}", pair.a), pair.b.clone()];
        let nodes: Vec<(At, [f64; 2], usize)> = (self.cells.iter().zip(&self.up.values_mm))
            .flat_map(|(row, y)| row.iter().zip(&self.across.values_mm).map(move |(cell, x)| ([*x, *y], cell)))
            .filter_map(|(at, cell)| Some((at, frame.at(at.map(|v| v / one)), cell.as_ref()?.pair)))
            .collect();
        let middle = frame.at(region.middle_mm.map(|v| v / one));
        let mut places: Vec<[f64; 2]> = nodes.iter().filter(|n| n.2 == region.pair).map(|n| n.1).collect();
        let off = |p: &[f64; 2]| (p[0] - middle[0]).powi(2) + (2.0 * (p[1] - middle[1])).powi(2);
        places.sort_by(|a, b| off(a).total_cmp(&off(b)));
        let foreign = |b: [f64; 4], at: [f64; 2]| at[0] > b[0] && at[0] < b[2] && at[1] > b[1] && at[1] < b[3];
        for text in [whole, vec![letter]] {
            let widest = text.iter().map(|t| wide(t, SMALL)).fold(0.0, f64::max);
            let size = [widest + 10.0, text.len() as f64 * LINE + 4.0];
            let own = |p: &&[f64; 2]| {
                let b = boxed(**p, size);
                text.len() == 1 || !nodes.iter().any(|n| n.2 != region.pair && foreign(b, n.1))
            };
            if let Some(b) = places.iter().filter(own).find_map(|p| labels.take(*p, size)) {
                return sheet.note("region", b, &text);
            }
        }
    }

    fn key(&self, sheet: &mut Sheet, [left, top]: [f64; 2], pairs: &[(String, Vec<String>)], shown: Shown) {
        let mut y = top + 10.0;
        let sample = [30.0, 13.0];
        let mut row = |sheet: &mut Sheet, text: &str, draw: &dyn Fn(&mut Sheet, [f64; 2])| {
            draw(sheet, [left, y - 11.0]);
            sheet.text([left + sample[0] + 10.0, y], "start", SMALL, INK, text);
            y += LINE + 3.0;
        };
        let edge = format!(r#"stroke="{SOFT}" stroke-width="0.5""#);
        let swatch = |fill: &'static str| {
            let edge = edge.clone();
            move |sheet: &mut Sheet, at: [f64; 2]| sheet.rect(at, sample, &format!(r#"fill="{fill}" {edge}"#))
        };
        row(sheet, "something touches", &|sheet: &mut Sheet, [x, y]: [f64; 2]| {
            let [w, h] = sample;
            sheet.hatch(&[vec![[x, y], [x + w, y], [x + w, y + h], [x, y + h]]]);
        });
        row(sheet, "short of a wanted gap", &swatch(SHORT));
        let unit = shown.sign();
        let mut from = 0.0;
        for (fill, to) in CLEAR.into_iter().zip(steps(shown)) {
            row(sheet, &format!("{from} to {to} {unit} over it"), &swatch(fill));
            from = to;
        }
        row(sheet, &format!("over {from} {unit} over it"), &swatch(CLEAR[3]));
        let line = |weight: f64, dash: &'static str| {
            move |sheet: &mut Sheet, [x, y]: [f64; 2]| {
                sheet.way([[x, y + 7.0], [x + sample[0], y + 7.0]].into_iter(), INK, weight, dash);
            }
        };
        row(sheet, "the nearest pair just touches", &line(weight(Level::Touch), ""));
        row(sheet, "just the wanted gap", &line(weight(Level::Wanted), ""));
        row(sheet, "gap of the nearest pair", &line(weight(Level::Gap(1.0)), ""));
        row(sheet, "another pair is shortest", &line(1.3, "1.5 4"));
        row(sheet, "the worst place, and its gap", &|sheet: &mut Sheet, [x, y]: [f64; 2]| {
            for way in [1.0, -1.0] {
                sheet.line([x + 9.0, y + 7.0 - 6.0 * way], [x + 21.0, y + 7.0 + 6.0 * way], INK, 2.2);
            }
        });
        y += 8.0;
        sheet.text([left, y], "start", SMALL, SOFT, "Shortest of its wanted gap:");
        y += LINE + 4.0;
        for (letter, lines) in pairs {
            sheet.text([left, y], "start", SMALL, INK, letter);
            for line in lines {
                sheet.text([left + 24.0, y], "start", SMALL, INK, line);
                y += LINE;
            }
            y += 6.0;
        }
    }
}

/// How heavy a contour is.
fn weight(level: Level) -> f64 {
    match level {
        Level::Touch => 2.6,
        Level::Wanted => 1.7,
        Level::Gap(_) => 0.7,
    }
}
