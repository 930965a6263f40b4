//! What stands in the PDF and DXF files themselves.

use scribeline::sheets::paper::{Body, Sheet, pages};
use scribeline::sheets::{Drawing, Layer, Paper, Shape, dxf, pdf};

fn sheet(drawing: Drawing) -> Sheet {
    Sheet {
        title: "A test".to_owned(),
        notes: vec!["Printed side out.".to_owned()],
        body: Body::TrueScale(drawing),
        caution: vec!["Brace the shell."],
    }
}

fn rectangle([x, y]: [f64; 2], [w, h]: [f64; 2]) -> Drawing {
    let mut drawing = Drawing::default();
    drawing.path(Layer::Cut, vec![[x, y], [x + w, y], [x + w, y + h], [x, y + h]], true);
    drawing
}

/// The operators of a PDF's uncompressed content streams, one line each.
fn content(file: &[u8]) -> Vec<Vec<String>> {
    let text = String::from_utf8_lossy(file).into_owned();
    let streams = text.split("stream\n").skip(1).step_by(2);
    streams.map(|s| s.lines().map(str::to_owned).collect()).collect()
}

fn numbers(line: &str) -> Vec<f64> {
    line.split(' ').filter_map(|w| w.parse().ok()).collect()
}

/// Whether a page draws a line between two places that are so far apart.
fn draws(page: &[String], dx: f64, dy: f64) -> bool {
    page.windows(2).any(|pair| {
        let is = |line: &str, op: &str| line.ends_with(op);
        let [a, b] = [numbers(&pair[0]), numbers(&pair[1])];
        let joined = (is(&pair[0], " m") || is(&pair[0], " l")) && is(&pair[1], " l");
        joined && ((b[0] - a[0]).abs() - dx).abs() < 1e-4 && ((b[1] - a[1]).abs() - dy).abs() < 1e-4
    })
}

/// ISO 32000-1: a unit is 1/72 in, the media box in those; content is scaled once, and so is millimetres.
#[test]
fn a_pdfs_own_coordinates_are_millimetres_at_true_scale() {
    for (paper, points) in [(Paper::A4, [595.2756, 841.8898]), (Paper::Letter, [612.0, 792.0])] {
        let made = pages("A car, \"a proposal\"", &[sheet(rectangle([-20.0, 7.0], [150.0, 100.0]))], paper);
        assert_eq!(made.len(), 1);
        let file = pdf::written("a title", &made);
        let text = String::from_utf8_lossy(&file).into_owned();
        assert!(text.starts_with("%PDF-1.") && text.trim_end().ends_with("%%EOF"));
        let media = text.split("/MediaBox [").nth(1).and_then(|t| t.split(']').next()).expect("a media box");
        let media = numbers(media);
        assert!((media[2] - points[0]).abs() < 1e-3 && (media[3] - points[1]).abs() < 1e-3, "{media:?}");
        let page = &content(&file)[0];
        let scales: Vec<&String> = page.iter().filter(|l| l.ends_with(" cm")).collect();
        assert_eq!(scales.len(), 1, "{scales:?}");
        let scale = numbers(scales[0]);
        assert!((scale[0] - 72.0 / 25.4).abs() < 1e-6 && (scale[3] - 72.0 / 25.4).abs() < 1e-6);
        assert!(draws(page, 150.0, 0.0) && draws(page, 0.0, 100.0), "the rectangle");
        assert!(draws(page, 100.0, 0.0) && draws(page, 101.6, 0.0), "the rules, 100 mm and 4 in");
        let said = |words: &str| page.iter().any(|l| l.contains(words));
        assert!(said("Print at 100 %") && said("Brace the shell.") && said("page 1 of 1"));
    }
}

/// A drawing larger than a page: every page has the rule and its number, and a mark that two pages share is at one place.
#[test]
fn large_drawings_are_spread_over_pages_whose_marks_meet() {
    for paper in Paper::ALL {
        let made = pages("A car", &[sheet(rectangle([0.0, 0.0], [400.0, 500.0]))], paper);
        assert!(made.len() >= 6, "{}", made.len());
        let file = pdf::written("a title", &made);
        for (i, page) in content(&file).iter().enumerate() {
            assert!(draws(page, 100.0, 0.0), "the rule");
            assert!(page.iter().any(|l| l.contains(&format!("page {} of {}", i + 1, made.len()))));
        }
        // Where each page's window lies on the drawing, by the rectangle's own corner.
        let corner = |d: &Drawing| match &d.shapes[0].1 {
            Shape::Path { places, .. } => places[0],
            other => panic!("{other:?}"),
        };
        let mut seen: std::collections::BTreeMap<String, Vec<[f64; 2]>> = Default::default();
        let mut covered = 0.0;
        for page in &made {
            let (window, drawing) = page.window.as_ref().expect("a window");
            let from = corner(drawing);
            covered += (window[1][0] - window[0][0]) * (window[1][1] - window[0][1]);
            for (_, shape) in &drawing.shapes {
                if let Shape::Text { words, at, .. } = shape
                    && (0..2).all(|k| window[0][k] <= at[k] && at[k] <= window[1][k])
                {
                    seen.entry(words.clone()).or_default().push([at[0] - from[0], at[1] - from[1]]);
                }
            }
        }
        assert!(covered > 400.0 * 500.0);
        assert!(seen.values().any(|places| places.len() >= 2));
        for (name, places) in seen {
            assert!(places.len() >= 2, "the mark {name} is on one page alone");
            let same = |p: &[f64; 2]| (p[0] - places[0][0]).hypot(p[1] - places[0][1]) < 1e-9;
            assert!(places.iter().all(same), "{name}: {places:?}");
        }
    }
}

#[test]
fn words_that_helvetica_has_not_do_no_harm() {
    let mut drawing = rectangle([0.0, 0.0], [50.0, 50.0]);
    drawing.words([5.0, 5.0], 3.0, "a (bracket) \\ ± 5° Łódź \u{1F697} \n end");
    let made = pages("Ünnamed (car", &[sheet(drawing.clone())], Paper::A4);
    assert!(pdf::written("(", &made).len() > 500);
    let text = dxf::written(&drawing, &["two\nlines"]);
    assert!(text.is_ascii());
    assert_eq!(text.lines().count() % 2, 0, "pairs");
}

/// Release 12: pairs of a code and a value; every entity on a layer that the table has.
#[test]
fn a_dxf_has_its_lines_at_true_scale_on_named_layers() {
    let mut drawing = rectangle([10.0, 20.0], [150.0, 100.0]);
    drawing.line(Layer::Fold, [0.0, 0.0], [3.0, 4.0]);
    drawing.circle(Layer::Hole, [5.0, 6.0], 6.5);
    let text = dxf::written(&drawing, &["a car"]);
    let lines: Vec<&str> = text.lines().collect();
    let pairs: Vec<(&str, &str)> = lines.chunks(2).map(|p| (p[0].trim(), p[1])).collect();
    assert!(pairs.contains(&("1", "AC1009")));
    let entities = pairs.iter().position(|p| *p == ("2", "ENTITIES")).expect("entities");
    let of = |what: &str| {
        let start = pairs[entities..].iter().position(|p| *p == ("0", what)).expect("it") + entities;
        let end = pairs[start + 1..].iter().position(|p| p.0 == "0").expect("an end") + start + 1;
        pairs[start + 1..end].to_vec()
    };
    let value = |entity: &[(&str, &str)], code: &str| {
        entity.iter().find(|p| p.0 == code).and_then(|p| p.1.parse::<f64>().ok()).expect("a number")
    };
    let line = of("LINE");
    assert_eq!((value(&line, "11"), value(&line, "21")), (3.0, 4.0));
    assert!(line.contains(&("8", "FOLD")));
    assert_eq!(value(&of("CIRCLE"), "40"), 6.5);
    let vertices: Vec<(f64, f64)> = (entities..pairs.len())
        .filter(|i| pairs[*i] == ("0", "VERTEX"))
        .map(|i| (value(&pairs[i..i + 6], "10"), value(&pairs[i..i + 6], "20")))
        .collect();
    assert_eq!(vertices, [(10.0, 20.0), (160.0, 20.0), (160.0, 120.0), (10.0, 120.0)]);
    for layer in pairs[entities..].iter().filter(|p| p.0 == "8").map(|p| p.1) {
        assert!(pairs[..entities].contains(&("2", layer)), "{layer}");
    }
}

/// Slanting lines stay inside what they fill, hollows and all, and are as far apart as asked.
#[test]
fn hatching_stays_inside() {
    let mut drawing = Drawing::default();
    let hollow = [[0.0, 0.0], [40.0, 0.0], [40.0, 30.0], [20.0, 5.0], [0.0, 30.0]];
    drawing.hatch(&hollow, 4.0);
    assert!(drawing.shapes.len() > 8);
    let mut offs = Vec::new();
    for (_, shape) in &drawing.shapes {
        let Shape::Path { places, .. } = shape else { panic!("a line") };
        let middle = [0, 1].map(|k| (places[0][k] + places[1][k]) / 2.0);
        for [x, y] in [places[0], middle, places[1]] {
            // Under the two slanting sides.
            let roof = if x < 20.0 { 30.0 - 1.25 * x } else { 5.0 + 1.25 * (x - 20.0) };
            assert!((-1e-9..=40.0 + 1e-9).contains(&x) && y >= -1e-9 && y <= roof + 1e-9, "{x} {y}");
        }
        offs.push((places[0][1] - places[0][0]) / 2f64.sqrt());
        assert!(((places[1][1] - places[0][1]) - (places[1][0] - places[0][0])).abs() < 1e-9, "45 degrees");
    }
    // A line that the hollow parts is there twice.
    offs.sort_by(f64::total_cmp);
    offs.dedup_by(|a, b| (*a - *b).abs() < 1e-6);
    assert!(offs.windows(2).all(|pair| (pair[1] - pair[0] - 4.0).abs() < 1e-6), "{offs:?}");
}
