//! A drawing at true scale: lines, circles and words in millimetres, x to the right and y up.

use super::font;

/// A place on paper, mm.
pub type Place = [f64; 2];

/// What a line or word means. In DXF each is a layer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Layer {
    /// To saw or file to.
    Cut,
    /// Edges of the paper or of the metal's faces.
    Outline,
    /// To fold the paper along.
    Fold,
    /// What goes.
    Scrap,
    /// To lay the paper by: reference lines, square lines.
    Reference,
    /// Centres of holes.
    Hole,
    /// Words.
    Words,
    /// What belongs to the page: its frame, its rulers, its register marks.
    Page,
}

impl Layer {
    /// Every one.
    pub const ALL: [Self; 8] =
        [Self::Cut, Self::Outline, Self::Fold, Self::Scrap, Self::Reference, Self::Hole, Self::Words, Self::Page];

    /// As a DXF file names it.
    pub fn name(self) -> &'static str {
        match self {
            Self::Cut => "CUT",
            Self::Outline => "OUTLINE",
            Self::Fold => "FOLD",
            Self::Scrap => "SCRAP",
            Self::Reference => "REFERENCE",
            Self::Hole => "HOLE",
            Self::Words => "WORDS",
            Self::Page => "PAGE",
        }
    }

    /// How wide its lines are on paper, mm.
    pub fn width(self) -> f64 {
        match self {
            Self::Cut => 0.35,
            Self::Outline | Self::Hole => 0.2,
            _ => 0.13,
        }
    }

    /// Dash and space, mm; none of a whole line.
    pub fn dash(self) -> Option<[f64; 2]> {
        match self {
            Self::Fold => Some([4.0, 2.0]),
            Self::Reference => Some([1.2, 1.2]),
            _ => None,
        }
    }
}

/// Which end of a line of words stands at its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anchor {
    /// Its beginning.
    Start,
    /// Its middle.
    Middle,
    /// Its end.
    End,
}

/// Something drawn.
#[derive(Debug, Clone, PartialEq)]
pub enum Shape {
    /// A line through places, the last joined to the first where it is closed.
    Path {
        /// Its places.
        places: Vec<Place>,
        /// Whether it is closed.
        closed: bool,
    },
    /// A circle.
    Circle {
        /// Its middle.
        at: Place,
        /// Its radius.
        radius: f64,
    },
    /// Words on one line.
    Text {
        /// Where their baseline stands.
        at: Place,
        /// Size of the letters, mm.
        size: f64,
        /// What stands there.
        anchor: Anchor,
        /// Whether they are turned upwards, to be read from the right.
        upwards: bool,
        /// The words.
        words: String,
    },
}

/// A drawing.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Drawing {
    /// What is drawn, each with what it means.
    pub shapes: Vec<(Layer, Shape)>,
}

impl Drawing {
    /// A line from one place to another.
    pub fn line(&mut self, layer: Layer, from: Place, to: Place) {
        self.path(layer, vec![from, to], false);
    }

    /// A line through places.
    pub fn path(&mut self, layer: Layer, places: Vec<Place>, closed: bool) {
        self.shapes.push((layer, Shape::Path { places, closed }));
    }

    /// A circle.
    pub fn circle(&mut self, layer: Layer, at: Place, radius: f64) {
        self.shapes.push((layer, Shape::Circle { at, radius }));
    }

    /// Words that begin at a place.
    pub fn words(&mut self, at: Place, size: f64, words: impl Into<String>) {
        self.text(Layer::Words, at, size, Anchor::Start, false, words);
    }

    /// Words.
    pub fn text(
        &mut self,
        layer: Layer,
        at: Place,
        size: f64,
        anchor: Anchor,
        upwards: bool,
        words: impl Into<String>,
    ) {
        self.shapes.push((layer, Shape::Text { at, size, anchor, upwards, words: words.into() }));
    }

    /// A cross over a place.
    pub fn cross(&mut self, layer: Layer, [x, y]: Place, arm: f64) {
        self.line(layer, [x - arm, y], [x + arm, y]);
        self.line(layer, [x, y - arm], [x, y + arm]);
    }

    /// Slanting lines over a closed shape, placed so that those of neighbouring shapes meet.
    pub fn hatch(&mut self, shape: &[Place], apart: f64) {
        let over = |p: &Place| (p[0] - p[1]) / (apart * std::f64::consts::SQRT_2);
        let (low, high) =
            shape.iter().map(over).fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| (l.min(v), h.max(v)));
        for n in low.ceil() as i64..=high.floor() as i64 {
            let mut met: Vec<Place> = Vec::new();
            for (i, a) in shape.iter().enumerate() {
                let b = &shape[(i + 1) % shape.len()];
                let (u, v) = (over(a) - n as f64, over(b) - n as f64);
                if (u <= 0.0) != (v <= 0.0) {
                    let t = u / (u - v);
                    met.push([a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t]);
                }
            }
            met.sort_by(|a, b| a[0].total_cmp(&b[0]));
            met.chunks_exact(2).for_each(|pair| self.line(Layer::Scrap, pair[0], pair[1]));
        }
    }

    /// The same moved.
    pub fn moved(&self, by: Place) -> Self {
        self.changed(|[x, y]| [x + by[0], y + by[1]], 1.0)
    }

    /// The same at another scale, its words as large as before.
    pub fn scaled(&self, scale: f64) -> Self {
        self.changed(|p| p.map(|v| v * scale), scale)
    }

    fn changed(&self, to: impl Fn(Place) -> Place, scale: f64) -> Self {
        let change = |shape: &Shape| match shape.clone() {
            Shape::Path { places, closed } => Shape::Path { places: places.into_iter().map(&to).collect(), closed },
            Shape::Circle { at, radius } => Shape::Circle { at: to(at), radius: radius * scale },
            Shape::Text { at, size, anchor, upwards, words } => {
                Shape::Text { at: to(at), size, anchor, upwards, words }
            }
        };
        Self { shapes: self.shapes.iter().map(|(layer, shape)| (*layer, change(shape))).collect() }
    }

    /// Everything of another drawing, too.
    pub fn add(&mut self, other: Self) {
        self.shapes.extend(other.shapes);
    }

    /// The least box around it, lower left and upper right corner; none where it is empty.
    pub fn bounds(&self) -> Option<[Place; 2]> {
        let mut all: Option<[Place; 2]> = None;
        for (_, shape) in &self.shapes {
            for p in shape.reach() {
                let [low, high] = all.get_or_insert([p, p]);
                (0..2).for_each(|i| (low[i], high[i]) = (low[i].min(p[i]), high[i].max(p[i])));
            }
        }
        all
    }
}

impl Shape {
    /// Places that it does not reach beyond.
    fn reach(&self) -> Vec<Place> {
        match self {
            Self::Path { places, .. } => places.clone(),
            Self::Circle { at: [x, y], radius: r } => vec![[x - r, y - r], [x + r, y + r]],
            Self::Text { at: [x, y], size, anchor, upwards, words } => {
                let wide = font::width(words, *size);
                let start = match anchor {
                    Anchor::Start => 0.0,
                    Anchor::Middle => -wide / 2.0,
                    Anchor::End => -wide,
                };
                let (low, high) = (-0.25 * size, 0.8 * size);
                if *upwards {
                    vec![[x - high, y + start], [x - low, y + start + wide]]
                } else {
                    vec![[x + start, y + low], [x + start + wide, y + high]]
                }
            }
        }
    }
}
