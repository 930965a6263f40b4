//! The shapes of what is fixed to the body.

use std::sync::Arc;

use nalgebra::Vector3;

use super::parts::{Kind, Part};
use super::rail::RailRun;
use super::scans::Scans;
use super::solid::{Bar, Facet, Solid};
use crate::car::{Block, Car, FixedTube, Panel, Side, Splitter};

/// All parts of a car's body, as described: once each, or on both sides. Scans that were not read are left out.
pub fn of(car: &Car, scans: &Scans) -> Vec<Part> {
    let mut body = Vec::new();
    let mut add = |base: &str, mirror: bool, kind: Kind, shape: &dyn Fn(Side) -> (Arc<Solid>, Option<RailRun>)| {
        let sides = if mirror { vec![Some(Side::Left), Some(Side::Right)] } else { vec![None] };
        for side in sides {
            let name = side.map_or_else(|| base.to_owned(), |side| format!("{} {base}", side.word()));
            let (solid, run) = shape(side.unwrap_or(Side::Left));
            body.push(Part { name, base: base.to_owned(), kind, side, solid, run });
        }
    };
    for rail in &car.rails {
        add(&rail.name, rail.mirror, Kind::Rail, &|side| {
            let run = RailRun::new(rail, side);
            (Arc::new(run.solid()), Some(run))
        });
    }
    for panel in &car.panels {
        add(&panel.name, panel.mirror, Kind::Panel, &|side| (Arc::new(skin(panel, side)), None));
    }
    for scan in &car.scans {
        let Some(scanned) = scans.get(&scan.name) else { continue };
        add(&scan.name, scan.mirror, scan.kind.kind(), &|side| {
            let mirrored = scanned.mirrored.as_ref().filter(|_| side == Side::Right);
            (Arc::clone(mirrored.unwrap_or(&scanned.solid)), None)
        });
    }
    for part in &car.tubes {
        add(&part.name, part.mirror, Kind::Tube, &|side| (Arc::new(tube(part, side)), None));
    }
    for part in &car.blocks {
        add(&part.name, part.mirror, Kind::Block, &|side| (Arc::new(block(part, side)), None));
    }
    if let Some(splitter) = &car.splitter {
        add("splitter", false, Kind::Splitter, &|_| (Arc::new(plate(splitter, car.ground)), None));
    }
    body
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
fn tube(tube: &FixedTube, side: Side) -> Solid {
    let ends = tube.points.windows(2).map(|p| [side.mirror(p[0]), side.mirror(p[1])]);
    Solid::new(ends.map(|[a, b]| Bar { a, b, radius: tube.od / 2.0 }).collect(), Vec::new())
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
