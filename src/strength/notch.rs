//! What is left of a box when a part of it is cut away from one face.
//!
//! Areas and second moments are exact, summed over the rectangles that are left. Where the cut opens the ring of walls, the
//! section has lost nearly all that it held torsion with; [`super::thin`] says how much.

use nalgebra::Vector2;
use serde::{Deserialize, Serialize};

use super::section::{Properties, SectionError};
use super::thin::{self, Strip};

/// A face of a box.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Face {
    /// At positive y.
    Left,
    /// At negative y.
    Right,
    /// At positive z.
    Top,
    /// At negative z.
    Bottom,
}

/// A part cut away from one face.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Notch {
    /// The face that is cut into.
    pub face: Face,
    /// How deep from that face, mm.
    pub depth: f64,
    /// From where to where across the face, from its middle, along y or z, mm; none for all of it.
    #[serde(default)]
    pub across: Option<[f64; 2]>,
}

/// Shorter or thinner than this is nothing, mm.
const NOTHING: f64 = 1e-9;

/// One of the four walls: along it from `along.0` to `along.1`, through it from `through.0` to `through.1`.
struct Wall {
    along: [f64; 2],
    through: [f64; 2],
    /// It runs along y, not z.
    flat: bool,
    /// The ring runs along it from low to high.
    upward: bool,
}

/// A piece of a wall between two places along it, with what is left through it.
struct Piece {
    along: [f64; 2],
    through: Vec<[f64; 2]>,
}

impl Wall {
    /// What a cut leaves of the stretch from `low` to `high`, in that order.
    fn pieces(&self, [low, high]: [f64; 2], cut: &[[f64; 2]; 2]) -> Vec<Piece> {
        let (along, through) = if self.flat { (cut[0], cut[1]) } else { (cut[1], cut[0]) };
        let at = [low, along[0].clamp(low, high), along[1].clamp(low, high), high];
        let left = |within: bool| {
            let [a, b] = self.through;
            let [from, to] = if within { through.map(|v| v.clamp(a, b)) } else { [b, b] };
            [[a, from], [to, b]].into_iter().filter(|[a, b]| b - a > NOTHING).collect()
        };
        (0..3).map(|i| Piece { along: [at[i], at[i + 1]], through: left(i == 1) }).collect()
    }

    fn point(&self, along: f64) -> Vector2<f64> {
        let middle = (self.through[0] + self.through[1]) / 2.0;
        if self.flat { Vector2::new(along, middle) } else { Vector2::new(middle, along) }
    }
}

/// Of a box of these outside sizes along y and z, what a notch leaves.
pub(super) fn left(size: [f64; 2], wall: f64, notch: &Notch) -> Result<Properties, SectionError> {
    let cut = window(size, notch)?;
    let [y, z] = size.map(|v| v / 2.0);
    let across = [-y, y];
    let up = [wall - z, z - wall];
    let walls = [
        Wall { along: across, through: [-z, wall - z], flat: true, upward: true },
        Wall { along: up, through: [y - wall, y], flat: false, upward: true },
        Wall { along: across, through: [z - wall, z], flat: true, upward: false },
        Wall { along: up, through: [-y, wall - y], flat: false, upward: false },
    ];
    let mut rectangles = Vec::new();
    // Strips along the ring; none where the wall is cut through.
    let mut ring: Vec<Option<Strip>> = Vec::new();
    for w in &walls {
        for piece in w.pieces(w.along, &cut) {
            rectangles.extend(piece.through.iter().map(|&t| if w.flat { [piece.along, t] } else { [t, piece.along] }));
        }
        // The middle line ends at the neighbours' middles.
        let half = if w.flat { y } else { z } - wall / 2.0;
        let mut pieces = w.pieces([-half, half], &cut);
        if !w.upward {
            pieces.reverse();
        }
        for Piece { along: [a, b], through } in pieces.into_iter().filter(|p| p.along[1] - p.along[0] > NOTHING) {
            let left: f64 = through.iter().map(|[a, b]| b - a).sum();
            // A gap that lies all within a corner cuts nothing through: the neighbour holds on by what it has left.
            let in_corner = b - a <= wall / 2.0 + NOTHING && (a == -half || b == half);
            if left > NOTHING {
                let [from, to] = if w.upward { [a, b] } else { [b, a] }.map(|v| w.point(v));
                ring.push(Some(Strip { from, to, wall: left }));
            } else if !in_corner {
                ring.push(None);
            }
        }
    }
    rectangles.retain(|r| r.iter().all(|[a, b]| b - a > NOTHING));
    let closed = ring.iter().all(Option::is_some);
    let strips = in_one_piece(ring)?;
    Ok(summed(&rectangles, thin::flow(&strips, closed)))
}

/// What the notch takes away, along y and along z.
fn window(size: [f64; 2], notch: &Notch) -> Result<[[f64; 2]; 2], SectionError> {
    let (deep, high) = match notch.face {
        Face::Left => (0, true),
        Face::Right => (0, false),
        Face::Top => (1, true),
        Face::Bottom => (1, false),
    };
    let depth = notch.depth;
    if !(depth >= 0.0 && depth <= size[deep]) {
        let whole = size[deep];
        return Err(SectionError(format!(
            "a notch {depth} mm deep into a box of {whole} mm: give a depth of no more than that"
        )));
    }
    let mut cut = [[f64::NEG_INFINITY, f64::INFINITY]; 2];
    // A notch without depth takes nothing, not the infinitely thin.
    let face = size[deep] / 2.0 - depth;
    cut[deep] = if high { [face, f64::INFINITY] } else { [f64::NEG_INFINITY, -face] };
    if let Some([from, to]) = notch.across {
        if !(from.is_finite() && to.is_finite() && from < to) {
            return Err(SectionError(format!(
                "a notch from {from} to {to} mm across the face: give the lower end first"
            )));
        }
        cut[1 - deep] = [from, to];
    }
    Ok(cut)
}

/// The strips in order from one free edge to the other; a ring stays as it is.
fn in_one_piece(ring: Vec<Option<Strip>>) -> Result<Vec<Strip>, SectionError> {
    let gap = ring.iter().position(Option::is_none);
    let mut turned = ring;
    turned.rotate_left(gap.unwrap_or(0));
    let runs = turned.split(Option::is_none).filter(|run| !run.is_empty()).count();
    match runs {
        0 => Err(SectionError("the notch leaves nothing of the box: make it less deep".into())),
        1 => Ok(turned.into_iter().flatten().collect()),
        n => {
            Err(SectionError(format!("the notch leaves {n} pieces that nothing joins: make it less deep or less wide")))
        }
    }
}

/// Exact sums over rectangles, each its ranges along y and z.
fn summed(rectangles: &[[[f64; 2]; 2]], flow: thin::Flow) -> Properties {
    let size = |r: &[[f64; 2]; 2]| [r[0][1] - r[0][0], r[1][1] - r[1][0]];
    let middle = |r: &[[f64; 2]; 2]| [(r[0][0] + r[0][1]) / 2.0, (r[1][0] + r[1][1]) / 2.0];
    let over = |of: &dyn Fn([f64; 2], [f64; 2]) -> f64| -> f64 {
        rectangles.iter().map(|r| size(r)[0] * size(r)[1] * of(size(r), middle(r))).sum()
    };
    let area = over(&|_, _| 1.0);
    let centroid = [over(&|_, m| m[0]) / area, over(&|_, m| m[1]) / area];
    let from = |m: [f64; 2]| [m[0] - centroid[0], m[1] - centroid[1]];
    let corner = |r: &[[f64; 2]; 2]| {
        let r = *r;
        r[0].into_iter().flat_map(move |y| r[1].map(|z| [y, z]))
    };
    Properties {
        area,
        iy: over(&|s, m| s[1] * s[1] / 12.0 + from(m)[1].powi(2)),
        iz: over(&|s, m| s[0] * s[0] / 12.0 + from(m)[0].powi(2)),
        iyz: over(&|_, m| from(m)[0] * from(m)[1]),
        torsion: flow.torsion,
        torsion_modulus: flow.torsion_modulus,
        shear_area: flow.shear_area,
        centroid,
        shear_centre: flow.shear_centre.into(),
        corners: rectangles.iter().flat_map(corner).map(from).collect(),
        round: 0.0,
    }
}
