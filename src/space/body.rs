//! The shapes of what is fixed to the body.

use std::sync::Arc;

use nalgebra::Vector3;

use super::parts::{Kind, Part};
use super::rail::RailRun;
use super::scans::Scans;
use super::solid::{Bar, Facet, Solid};
use crate::car::{Block, Car, Panel, Rail, Side, Splitter};

/// All parts of a car's body, as described: once each, or on both sides. Scans that were not read are left out.
pub fn of(car: &Car, scans: &Scans) -> Vec<Part> {
    let mut body = Vec::new();
    for rail in &car.rails {
        for side in sides(rail.mirror) {
            body.extend(rail_parts(rail, side));
        }
    }
    let mut add = |base: &str, mirror: bool, kind: Kind, shape: &dyn Fn(Side) -> Arc<Solid>| {
        for side in sides(mirror) {
            let solid = shape(side.unwrap_or(Side::Left));
            body.push(Part {
                name: spoken(base, side),
                base: base.to_owned(),
                kind,
                side,
                solid,
                run: None,
                piece: None,
            });
        }
    };
    for panel in &car.panels {
        add(&panel.name, panel.mirror, Kind::Panel, &|side| Arc::new(skin(panel, side)));
    }
    for scan in &car.scans {
        let Some(scanned) = scans.get(&scan.name) else { continue };
        add(&scan.name, scan.mirror, scan.kind.kind(), &|side| {
            let mirrored = scanned.mirrored.as_ref().filter(|_| side == Side::Right);
            Arc::clone(mirrored.unwrap_or(&scanned.solid))
        });
    }
    for part in &car.tubes {
        // A car that was checked has all its corners.
        let line = car.tube_line(part).unwrap_or_default();
        add(&part.name, part.mirror, Kind::Tube, &|side| Arc::new(tube(&line, part.od / 2.0, side)));
    }
    for part in &car.blocks {
        add(&part.name, part.mirror, Kind::Block, &|side| Arc::new(block(part, side)));
    }
    if let Some(splitter) = &car.splitter {
        add("splitter", false, Kind::Splitter, &|_| Arc::new(plate(splitter, car.ground)));
    }
    body
}

fn sides(mirror: bool) -> Vec<Option<Side>> {
    if mirror { Side::BOTH.map(Some).to_vec() } else { vec![None] }
}

/// A part's name with its side.
fn spoken(base: &str, side: Option<Side>) -> String {
    side.map_or_else(|| base.to_owned(), |side| format!("{} {base}", side.word()))
}

/// A rail, or the pieces that its cuts leave of it and the plates on their ends.
fn rail_parts(rail: &Rail, side: Option<Side>) -> Vec<Part> {
    let whole = spoken(&rail.name, side);
    let part = |kind, piece: Option<String>, solid, run| {
        let name = piece.as_ref().map_or_else(|| whole.clone(), |piece| format!("{whole}, {piece}"));
        Part { name, base: rail.name.clone(), kind, side, solid: Arc::new(solid), run, piece }
    };
    let of = side.unwrap_or(Side::Left);
    let pieces = RailRun::pieces(rail, of).into_iter();
    let pieces = pieces.map(|(piece, run)| part(Kind::Rail, piece, run.solid(), Some(run)));
    let plates = RailRun::plates(rail, of).into_iter().map(|(name, solid)| part(Kind::Plate, Some(name), solid, None));
    pieces.chain(plates).collect()
}

/// A panel's skin.
fn skin(panel: &Panel, side: Side) -> Solid {
    let at = |row: usize, i: usize| side.mirror(panel.rows[row][i]);
    let mut facets: Vec<Facet> = Vec::new();
    for row in 1..panel.rows.len() {
        for i in 1..panel.rows[row].len() {
            let corners = [at(row - 1, i - 1), at(row - 1, i), at(row, i), at(row, i - 1)];
            facets.extend(Solid::quad(corners, panel.thickness / 2.0));
        }
    }
    Solid::new(Vec::new(), facets)
}

/// A tube's bars.
fn tube(line: &[Vector3<f64>], radius: f64, side: Side) -> Solid {
    let ends = line.windows(2).map(|p| [side.mirror(p[0]), side.mirror(p[1])]);
    Solid::new(ends.map(|[a, b]| Bar { a, b, radius }).collect(), Vec::new())
}

/// A block's faces.
pub fn block(block: &Block, side: Side) -> Solid {
    let (outline, levels) = block.shape.plan();
    prism(&outline.iter().map(|p| [p[0], p[1] * side.sign()]).collect::<Vec<_>>(), levels)
}

/// A splitter's plate: both faces, and its edge.
fn plate(splitter: &Splitter, ground: f64) -> Solid {
    let bottom = ground + splitter.height;
    prism(&splitter.outline, [bottom, bottom + splitter.thickness])
}

/// Upright walls on an outline, and both lids.
fn prism(outline: &[[f64; 2]], levels: [f64; 2]) -> Solid {
    let corner = |p: [f64; 2], z: f64| Vector3::new(p[0], p[1], z);
    let mut facets = Vec::new();
    for lid in triangles(outline) {
        for z in levels {
            facets.push(Facet { corners: lid.map(|i| corner(outline[i], z)), radius: 0.0 });
        }
    }
    for i in 0..outline.len() {
        let (p, q) = (outline[i], outline[(i + 1) % outline.len()]);
        let quad = [corner(p, levels[0]), corner(q, levels[0]), corner(q, levels[1]), corner(p, levels[1])];
        facets.extend(Solid::quad(quad, 0.0));
    }
    Solid::new(Vec::new(), facets)
}

/// A simple polygon's triangles, as places in its outline, by clipping ears.
fn triangles(outline: &[[f64; 2]]) -> Vec<[usize; 3]> {
    let mut cut: Vec<usize> = Vec::new();
    earcut::Earcut::new().earcut(outline.iter().copied(), &[], &mut cut);
    cut.chunks_exact(3).map(|t| [t[0], t[1], t[2]]).collect()
}
