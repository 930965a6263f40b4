//! A plot as a drawing: SVG by hand, because a chart library at hand rounds every place to whole pixels, which shows as
//! stairs in print, and draws a dash as a line of its own.

use super::{Plot, tick_words, ticks};
use crate::answer::sheet::{INK, MARGIN, RULE, SMALL, SOFT, Sheet, ZERO, wide, wrapped};

/// Letters of the title, pixels.
const TITLE: f64 = 17.0;
/// A sample of a line in the key.
const SAMPLE: f64 = 34.0;
/// Least width and height, pixels.
const LEAST: [u32; 2] = [320, 240];

impl Plot {
    /// A drawing of this width and height in pixels, whole in itself, as SVG 1.1: on white, for print.
    pub fn svg(&self, size: [u32; 2]) -> String {
        let [width, height] = [0, 1].map(|i| f64::from(size[i].max(LEAST[i])));
        let mut sheet = Sheet::new([width, height], &self.title);
        let mut top = MARGIN + 12.0;
        for line in wrapped(&self.title, TITLE, width - 2.0 * MARGIN) {
            sheet.text([MARGIN, top], "start", TITLE, INK, &line);
            top += TITLE + 5.0;
        }
        let top = self.key(&mut sheet, width, top + 4.0);
        sheet.text([MARGIN, top + 8.0], "start", SMALL, SOFT, &self.y.words());
        match self.frame() {
            Some(frame) => self.field(&mut sheet, frame, [width, height], top + 24.0),
            None => sheet.text([MARGIN, top + 40.0], "start", SMALL, INK, "There is no value to draw."),
        }
        sheet.done()
    }

    /// What each line is, in as many rows as it takes. Gives the height under them.
    fn key(&self, sheet: &mut Sheet, width: f64, top: f64) -> f64 {
        let (mut x, mut y) = (MARGIN, top);
        for line in &self.lines {
            let label = line.label();
            let room = SAMPLE + 8.0 + wide(&label, SMALL);
            if x > MARGIN && x + room > width - MARGIN {
                (x, y) = (MARGIN, y + 20.0);
            }
            sheet.curve([[x, y - 4.5], [x + SAMPLE, y - 4.5]].into_iter(), self.pen(line));
            sheet.text([x + SAMPLE + 8.0, y], "start", SMALL, INK, &label);
            x += room + 20.0;
        }
        y + 20.0
    }

    /// The field with its grid, ticks and lines, from `top` to the bottom of the sheet.
    fn field(&self, sheet: &mut Sheet, [across, up]: [[f64; 2]; 2], [width, height]: [f64; 2], top: f64) {
        let rows = ticks(up[0], up[1], 7);
        let labels: Vec<String> = rows.1.iter().map(|v| tick_words(*v, rows.0)).collect();
        let left = MARGIN + 8.0 + labels.iter().map(|l| wide(l, SMALL)).fold(0.0, f64::max);
        let (right, bottom) = (width - MARGIN, height - MARGIN - 42.0);
        let columns = ticks(across[0], across[1], ((right - left) / 90.0) as usize);
        let x = |v: f64| left + (v - across[0]) / (across[1] - across[0]) * (right - left);
        let y = |v: f64| bottom - (v - up[0]) / (up[1] - up[0]) * (bottom - top);
        // Nought is a line that stands out, where the axis has a sign at all.
        // Upright and level lines lie on whole pixels, so that a screen shows them all alike.
        let sharp = |v: f64| v.floor() + 0.5;
        let rule = |v: f64, step: f64| if v.abs() < 1e-9 * step.max(1.0) { (ZERO, 1.2) } else { (RULE, 0.8) };
        for (v, label) in rows.1.iter().zip(&labels) {
            let (colour, weight) = rule(*v, rows.0);
            sheet.line([left, sharp(y(*v))], [right, sharp(y(*v))], colour, weight);
            sheet.text([left - 8.0, y(*v) + 4.5], "end", SMALL, INK, label);
        }
        for v in &columns.1 {
            let (colour, weight) = rule(*v, columns.0);
            sheet.line([sharp(x(*v)), top], [sharp(x(*v)), bottom], colour, weight);
            sheet.text([x(*v), bottom + 19.0], "middle", SMALL, INK, &tick_words(*v, columns.0));
        }
        sheet.text([(left + right) / 2.0, bottom + 42.0], "middle", SMALL, SOFT, &self.x.words());
        // As found first, so that it lies behind.
        for found in [true, false] {
            for line in self.lines.iter().filter(|l| l.found == found) {
                for run in line.runs() {
                    sheet.curve(run.iter().map(|p| [x(p[0]), y(p[1])]), self.pen(line));
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::tests::plot;

    #[test]
    fn the_drawing_is_xml_and_says_what_it_shows() {
        let plot = plot();
        for size in [[960, 600], [400, 300], [0, 0]] {
            let svg = plot.svg(size);
            let xml = roxmltree::Document::parse(&svg).expect("well-formed");
            let texts: Vec<&str> =
                xml.descendants().filter(|n| n.has_tag_name("text")).filter_map(|n| n.text()).collect();
            let all = texts.join(" ");
            assert!(all.contains(&plot.title), "{all}");
            for said in ["Travel, mm", "Height, mm", "right, low & <wide>", "\u{2212}2"] {
                assert!(texts.contains(&said), "{said} is not in {texts:?}");
            }
        }
    }

    #[test]
    fn a_gap_breaks_the_line_and_the_right_wheel_is_dashed() {
        let svg = plot().svg([960, 600]);
        let paths: Vec<&str> = svg.lines().filter(|l| l.starts_with("<path")).collect();
        // Four samples in the key, two lines in two runs each, two whole ones.
        assert_eq!(paths.len(), 10);
        assert_eq!(paths.iter().filter(|p| p.contains("dasharray")).count(), 5);
    }

    #[test]
    fn every_place_lies_on_the_sheet_and_is_a_number() {
        let svg = plot().svg([960, 600]);
        assert!(!svg.contains("NaN") && !svg.contains("inf"));
        let xml = roxmltree::Document::parse(&svg).expect("well-formed");
        for node in xml.descendants().filter(|n| n.has_tag_name("path")) {
            let way = node.attribute("d").unwrap().replace(['M', 'L'], "");
            for pair in way.split_whitespace().collect::<Vec<_>>().chunks(2) {
                let [x, y] = [0, 1].map(|i| pair[i].parse::<f64>().unwrap());
                assert!((0.0..=960.0).contains(&x) && (0.0..=600.0).contains(&y), "{x} {y}");
            }
        }
    }

    #[test]
    fn with_no_value_at_all_it_says_so() {
        let mut plot = plot();
        plot.lines.clear();
        assert!(plot.svg([960, 600]).contains("no value"));
    }
}
