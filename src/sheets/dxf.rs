//! Drawings as DXF, release 12, ASCII: what every program and every cutting table reads. Millimetres, layers by meaning.

use std::fmt::Write;

use super::drawing::{Anchor, Drawing, Layer, Shape};

/// A drawing as a DXF file. What is said at its head is written as comments, which no reader shows.
pub fn written(drawing: &Drawing, said: &[&str]) -> String {
    let mut file = File(String::new());
    said.iter().for_each(|words| file.pair(999, &plain(words)));
    let [low, high] = drawing.bounds().unwrap_or_default();
    file.section("HEADER", |file| {
        file.pair(9, "$ACADVER");
        file.pair(1, "AC1009");
        for (name, at) in [("$EXTMIN", low), ("$EXTMAX", high)] {
            file.pair(9, name);
            file.place(at);
        }
    });
    file.section("TABLES", |file| {
        file.table("LTYPE", 1, |file| file.line_type());
        file.table("LAYER", Layer::ALL.len() + 1, |file| {
            file.layer("0", 7);
            Layer::ALL.iter().for_each(|layer| file.layer(layer.name(), colour(*layer)));
        });
        file.table("STYLE", 1, |file| file.style());
    });
    file.section("BLOCKS", |_| {});
    file.section("ENTITIES", |file| drawing.shapes.iter().for_each(|(layer, shape)| file.shape(*layer, shape)));
    file.pair(0, "EOF");
    file.0
}

/// The colour's number that a screen shows a layer in.
fn colour(layer: Layer) -> u8 {
    match layer {
        Layer::Cut => 1,
        Layer::Fold => 5,
        Layer::Scrap => 8,
        Layer::Reference => 3,
        Layer::Hole => 6,
        Layer::Outline | Layer::Words | Layer::Page => 7,
    }
}

/// Words as release 12 holds them: ASCII, anything else as a question mark, and `%%d` for a degree sign.
fn plain(words: &str) -> String {
    words
        .chars()
        .map(|c| match c {
            '°' => "%%d".to_owned(),
            '±' => "%%p".to_owned(),
            c if c.is_ascii_graphic() || c == ' ' => c.to_string(),
            c if c.is_whitespace() => " ".to_owned(),
            _ => "?".to_owned(),
        })
        .collect()
}

struct File(String);

impl File {
    fn pair(&mut self, code: u16, value: &str) {
        // Writing to a String cannot fail.
        let _ = write!(self.0, "{code:>3}\n{value}\n");
    }

    fn number(&mut self, code: u16, value: f64) {
        // Adding zero turns a rounded "-0.0" into "0.0".
        self.pair(code, &format!("{:.6}", (value * 1e6).round() / 1e6 + 0.0));
    }

    fn place(&mut self, [x, y]: [f64; 2]) {
        self.number(10, x);
        self.number(20, y);
        self.number(30, 0.0);
    }

    fn section(&mut self, name: &str, fill: impl FnOnce(&mut Self)) {
        self.pair(0, "SECTION");
        self.pair(2, name);
        fill(self);
        self.pair(0, "ENDSEC");
    }

    fn table(&mut self, name: &str, count: usize, fill: impl FnOnce(&mut Self)) {
        self.pair(0, "TABLE");
        self.pair(2, name);
        self.pair(70, &count.to_string());
        fill(self);
        self.pair(0, "ENDTAB");
    }

    fn line_type(&mut self) {
        self.pair(0, "LTYPE");
        self.pair(2, "CONTINUOUS");
        self.pair(70, "0");
        self.pair(3, "Solid line");
        self.pair(72, "65");
        self.pair(73, "0");
        self.number(40, 0.0);
    }

    fn layer(&mut self, name: &str, colour: u8) {
        self.pair(0, "LAYER");
        self.pair(2, name);
        self.pair(70, "0");
        self.pair(62, &colour.to_string());
        self.pair(6, "CONTINUOUS");
    }

    fn style(&mut self) {
        self.pair(0, "STYLE");
        self.pair(2, "STANDARD");
        self.pair(70, "0");
        self.number(40, 0.0);
        self.number(41, 1.0);
        self.number(50, 0.0);
        self.pair(71, "0");
        self.number(42, 3.0);
        self.pair(3, "txt");
        self.pair(4, "");
    }

    fn shape(&mut self, layer: Layer, shape: &Shape) {
        match shape {
            Shape::Path { places, closed: false } if places.len() == 2 => {
                self.start("LINE", layer);
                self.place(places[0]);
                self.number(11, places[1][0]);
                self.number(21, places[1][1]);
                self.number(31, 0.0);
            }
            Shape::Path { places, closed } => {
                self.start("POLYLINE", layer);
                self.pair(66, "1");
                self.place([0.0, 0.0]);
                self.pair(70, if *closed { "1" } else { "0" });
                for place in places {
                    self.start("VERTEX", layer);
                    self.place(*place);
                }
                self.start("SEQEND", layer);
            }
            Shape::Circle { at, radius } => {
                self.start("CIRCLE", layer);
                self.place(*at);
                self.number(40, *radius);
            }
            Shape::Text { at, size, anchor, upwards, words } => {
                self.start("TEXT", layer);
                self.place(*at);
                self.number(40, size * 0.7);
                self.pair(1, &plain(words));
                if *upwards {
                    self.number(50, 90.0);
                }
                let justified = match anchor {
                    Anchor::Start => return,
                    Anchor::Middle => "1",
                    Anchor::End => "2",
                };
                self.pair(72, justified);
                self.number(11, at[0]);
                self.number(21, at[1]);
                self.number(31, 0.0);
            }
        }
    }

    fn start(&mut self, what: &str, layer: Layer) {
        self.pair(0, what);
        self.pair(8, layer.name());
    }
}
