//! A lock curve as a drawing: what is free lies between the two curves and is shaded; beyond them stands what is in the way.

use super::{CurvePoint, CurveWay, LockCurve, Stretch};
use crate::answer::Told;
use crate::answer::sheet::{Frame, INK, LINE, Labels, MARGIN, SMALL, SOFT, Sheet, wide, wrapped};
use crate::car::Shown;
use crate::motion::change::STEERING;

const FREE: &str = "#cfe2ef";
const BARRED: &str = "#f3e3d3";
/// A row of the key: its words, and what is drawn before them.
type Sample<'a> = (&'a str, &'a dyn Fn(&mut Sheet, [f64; 2]));
/// Least width and height, pixels.
const LEAST: [u32; 2] = [720, 520];

impl LockCurve {
    /// A drawing of this width and height in pixels, whole in itself, as SVG 1.1.
    pub fn svg(&self, shown: Shown, size: [u32; 2]) -> String {
        let [width, height] = [0, 1].map(|i| f64::from(size[i].max(LEAST[i])));
        let mut sheet = Sheet::new([width, height], &self.title());
        let top = sheet.heading(&self.title(), &self.sentence(shown), width);
        let top = self.key(&mut sheet, width, top + 8.0) + 34.0;
        let one = shown.in_mm();
        let travels = || self.ways.iter().flat_map(|w| &w.points).map(|p| p.travel_mm / one);
        let up = travels().fold([f64::INFINITY, f64::NEG_INFINITY], |[l, h], v| [l.min(v), h.max(v)]);
        let most = self.stop_mm.max(1.0) / one * 1.04;
        let edges = [MARGIN + 44.0, top, width - MARGIN - 10.0, height - MARGIN - 46.0];
        let frame = Frame { edges, across: [-most, most], up };
        let [left, top, right, bottom] = edges;
        sheet.rect([left, top], [right - left, bottom - top], &format!(r#"fill="{BARRED}""#));
        let on_sheet = |way: &CurveWay| -> Vec<[f64; 2]> {
            way.points.iter().map(|p| frame.at([p.rack_mm / one, p.travel_mm / one])).collect()
        };
        let [one_way, mut other_way] = self.ways.each_ref().map(on_sheet);
        other_way.reverse();
        sheet.fill(&[[one_way, other_way].concat()], FREE);
        self.rules(&mut sheet, &frame, one);
        for way in &self.ways {
            self.curve(&mut sheet, &frame, way, one);
        }
        let positive = |name: &str, positive: &str| format!("{name}, {} ({positive})", shown.sign());
        frame.axes(&mut sheet, &positive(STEERING, "left positive"), &positive("Wheel travel", "bump positive"));
        let mut labels = Labels::new(edges);
        for way in &self.ways {
            self.worst(&mut sheet, &frame, &mut labels, way, shown);
        }
        for way in &self.ways {
            for stretch in &way.stretches {
                name(&mut sheet, &frame, &mut labels, way, stretch, one);
            }
        }
        sheet.done()
    }

    /// What fills and lines mean, in as many rows as it takes. Gives the height of the last.
    fn key(&self, sheet: &mut Sheet, width: f64, y: f64) -> f64 {
        let (mut x, mut y) = (MARGIN, y);
        let swatch = |fill: &'static str| {
            move |sheet: &mut Sheet, [x, y]: [f64; 2]| {
                let edge = format!(r#"fill="{fill}" stroke="{SOFT}" stroke-width="0.5""#);
                sheet.rect([x, y - 10.0], [28.0, 13.0], &edge);
            }
        };
        let line = |weight: f64, dash: &'static str| {
            move |sheet: &mut Sheet, [x, y]: [f64; 2]| {
                sheet.way([[x, y - 4.0], [x + 28.0, y - 4.0]].into_iter(), INK, weight, dash);
            }
        };
        let rows: [Sample; 4] = [
            ("free", &swatch(FREE)),
            ("something is in the way, or the rack is at its stop", &swatch(BARRED)),
            ("a first touch", &line(2.4, "")),
            ("the rack's stop", &line(1.0, "6 4")),
        ];
        for (text, draw) in rows {
            let room = 36.0 + wide(text, SMALL);
            if x > MARGIN && x + room > width - MARGIN {
                (x, y) = (MARGIN, y + LINE + 3.0);
            }
            draw(sheet, [x, y]);
            sheet.text([x + 36.0, y], "start", SMALL, INK, text);
            x += room + 24.0;
        }
        y
    }

    /// Straight ahead and ride height.
    fn rules(&self, sheet: &mut Sheet, frame: &Frame, one: f64) {
        let [low, high] = frame.up;
        sheet.line(frame.at([0.0, low]), frame.at([0.0, high]), SOFT, 0.6);
        sheet.line(frame.at([frame.across[0], 0.0]), frame.at([frame.across[1], 0.0]), SOFT, 0.6);
        for stop in [self.stop_mm / one, -self.stop_mm / one] {
            sheet.way([frame.at([stop, low]), frame.at([stop, high])].into_iter(), INK, 1.0, "6 4");
        }
    }

    fn curve(&self, sheet: &mut Sheet, frame: &Frame, way: &CurveWay, one: f64) {
        let limited = |p: &super::CurvePoint| p.touch.is_some();
        for run in way.points.chunk_by(|a, b| limited(a) == limited(b)).filter(|run| limited(&run[0])) {
            let points = run.iter().map(|p| frame.at([p.rack_mm / one, p.travel_mm / one]));
            sheet.way(points, INK, 2.4, "");
        }
    }

    fn worst(&self, sheet: &mut Sheet, frame: &Frame, labels: &mut Labels, way: &CurveWay, shown: Shown) {
        let Some(touch) = &way.worst.touch else { return };
        let one = shown.in_mm();
        let at = frame.at([way.worst.rack_mm / one, touch.travel_mm / one]);
        for turn in [1.0, -1.0] {
            sheet.line([at[0] - 6.0, at[1] - 6.0 * turn], [at[0] + 6.0, at[1] + 6.0 * turn], INK, 2.2);
        }
        labels.reserve(at, [14.0, 14.0]);
        // The angle at that wheel travel, as the table tells it.
        let off = |p: &&CurvePoint| (p.travel_mm - touch.travel_mm).abs();
        let Some(point) = way.points.iter().min_by(|p, q| off(p).total_cmp(&off(q))) else { return };
        let angle = way.inner(point);
        let text = format!("{}, {angle:.1} deg", shown.length(way.worst.rack_mm.abs()));
        let size = [wide(&text, SMALL) + 10.0, LINE + 4.0];
        // Into what is free: that side has room.
        let inwards = -way.worst.rack_mm.signum() * (size[0] / 2.0 + 12.0);
        let mut places = [0.0, 22.0, -22.0].map(|y| [at[0] + inwards, at[1] + y]).into_iter();
        if let Some(b) = places.find_map(|p| labels.take(p, size)) {
            sheet.note("worst", b, &[text]);
        }
    }
}

/// What ends the steering along a stretch, beside it: towards the middle, where there is room.
fn name(sheet: &mut Sheet, frame: &Frame, labels: &mut Labels, way: &CurveWay, stretch: &Stretch, one: f64) {
    let Some([a, b]) = &stretch.pair else { return };
    let lines = [wrapped(a, SMALL, 200.0), wrapped(b, SMALL, 200.0)].concat();
    let widest = lines.iter().map(|l| wide(l, SMALL)).fold(0.0, f64::max);
    let size = [widest + 10.0, lines.len() as f64 * LINE + 4.0];
    let middle = (stretch.from_mm + stretch.to_mm) / 2.0;
    let mut points: Vec<_> =
        way.points.iter().filter(|p| (stretch.from_mm..=stretch.to_mm).contains(&p.travel_mm)).collect();
    points.sort_by(|a, b| (a.travel_mm - middle).abs().total_cmp(&(b.travel_mm - middle).abs()));
    for point in points {
        let at = frame.at([point.rack_mm / one, point.travel_mm / one]);
        let inwards = -point.rack_mm.signum() * (size[0] / 2.0 + 12.0);
        if let Some(b) = [0.0, 12.0, -12.0].into_iter().find_map(|y| labels.take([at[0] + inwards, at[1] + y], size)) {
            return sheet.note("region", b, &lines);
        }
    }
}
