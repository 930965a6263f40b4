//! Pages as PDF, with Helvetica, which every reader has.
//!
//! Each page's content is scaled once, by 72 points to 25.4 mm, and all its own numbers are millimetres from the page's lower
//! left corner: what stands in the file is what a rule shows on paper.

use pdf_writer::{Content, Finish, Name, Pdf, Rect, Ref, Str, TextStr};

use super::drawing::{Anchor, Drawing, Layer, Place, Shape};
use super::font;

/// Points in a millimetre: 72 in an inch (ISO 32000-1, 8.3.2.3).
pub const POINT: f64 = 72.0 / 25.4;
/// How far the two handles of a quarter circle's curve reach, in radii.
const HANDLE: f64 = 0.552_284_749_830_793_4;

/// A page, mm.
#[derive(Debug, Clone, PartialEq)]
pub struct Page {
    /// Width and height.
    pub size: Place,
    /// What is drawn on it, from its lower left corner.
    pub drawing: Drawing,
    /// What is drawn within a box of it, and cut off there: lower left and upper right corner.
    pub window: Option<([Place; 2], Drawing)>,
}

/// Pages as a PDF file.
pub fn written(title: &str, pages: &[Page]) -> Vec<u8> {
    let mut pdf = Pdf::new();
    let [catalog, tree, font, info] = [1, 2, 3, 4].map(Ref::new);
    let id = |i: usize, k: i32| Ref::new(5 + 2 * i as i32 + k);
    pdf.catalog(catalog).pages(tree);
    pdf.pages(tree).kids((0..pages.len()).map(|i| id(i, 0))).count(pages.len() as i32);
    pdf.type1_font(font).base_font(Name(b"Helvetica")).encoding_predefined(Name(b"WinAnsiEncoding"));
    pdf.document_info(info).title(TextStr(title)).producer(TextStr("Scribeline"));
    for (i, page) in pages.iter().enumerate() {
        let [width, height] = page.size.map(|mm| (mm * POINT) as f32);
        let mut written = pdf.page(id(i, 0));
        written.parent(tree).media_box(Rect::new(0.0, 0.0, width, height)).contents(id(i, 1));
        written.resources().fonts().pair(Name(b"F"), font);
        written.finish();
        pdf.stream(id(i, 1), &content(page));
    }
    pdf.finish()
}

fn content(page: &Page) -> Vec<u8> {
    let mut content = Content::new();
    content.transform([POINT as f32, 0.0, 0.0, POINT as f32, 0.0, 0.0]);
    content.set_line_cap(pdf_writer::types::LineCapStyle::ButtCap);
    if let Some(([low, high], drawing)) = &page.window {
        content.save_state();
        let [x, y, w, h] = [low[0], low[1], high[0] - low[0], high[1] - low[1]].map(|v| v as f32);
        content.rect(x, y, w, h).clip_nonzero().end_path();
        draw(&mut content, drawing);
        content.restore_state();
    }
    draw(&mut content, &page.drawing);
    content.finish().into_vec()
}

fn draw(content: &mut Content, drawing: &Drawing) {
    let mut pen = None;
    for (layer, shape) in &drawing.shapes {
        if pen != Some(*layer) {
            set_pen(content, *layer);
            pen = Some(*layer);
        }
        match shape {
            Shape::Path { places, closed } => path(content, places, *closed),
            Shape::Circle { at, radius } => circle(content, *at, *radius),
            Shape::Text { at, size, anchor, upwards, words } => text(content, *at, *size, *anchor, *upwards, words),
        }
    }
}

fn set_pen(content: &mut Content, layer: Layer) {
    content.set_line_width(layer.width() as f32);
    let dash = layer.dash().map(|d| d.map(|mm| mm as f32));
    content.set_dash_pattern(dash.iter().flatten().copied(), 0.0);
    content.set_stroke_gray(if layer == Layer::Scrap { 0.45 } else { 0.0 });
}

fn path(content: &mut Content, places: &[Place], closed: bool) {
    for (i, [x, y]) in places.iter().map(|p| p.map(|v| v as f32)).enumerate() {
        if i == 0 {
            content.move_to(x, y);
        } else {
            content.line_to(x, y);
        }
    }
    if closed {
        content.close_and_stroke();
    } else {
        content.stroke();
    }
}

/// A circle as four curves, true to 0.03 % of its radius.
fn circle(content: &mut Content, [x, y]: Place, radius: f64) {
    let at = |cos: f64, sin: f64| [(x + radius * cos) as f32, (y + radius * sin) as f32];
    let [startx, starty] = at(1.0, 0.0);
    content.move_to(startx, starty);
    for (c, s) in [(1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0)] {
        let [x1, y1] = at(c - HANDLE * s, s + HANDLE * c);
        let [x2, y2] = at(-s + HANDLE * c, c + HANDLE * s);
        let [x3, y3] = at(-s, c);
        content.cubic_to(x1, y1, x2, y2, x3, y3);
    }
    content.close_and_stroke();
}

fn text(content: &mut Content, [x, y]: Place, size: f64, anchor: Anchor, upwards: bool, words: &str) {
    let back = match anchor {
        Anchor::Start => 0.0,
        Anchor::Middle => font::width(words, size) / 2.0,
        Anchor::End => font::width(words, size),
    };
    let (turn, [x, y]) =
        if upwards { ([0.0, 1.0, -1.0, 0.0], [x, y - back]) } else { ([1.0, 0.0, 0.0, 1.0], [x - back, y]) };
    let letters: Vec<u8> = words.chars().map(font::code).collect();
    content.begin_text().set_font(Name(b"F"), size as f32);
    content.set_text_matrix([turn[0], turn[1], turn[2], turn[3], x as f32, y as f32]);
    content.show(Str(&letters)).end_text();
}
