//! The car from its left side as a drawing, for wherever nothing else can be drawn: proposed, and as found in dashes.

use std::fmt::Write;
use std::ops::Range;

use nalgebra::Vector3;

use super::escaped;
use crate::answer::Study;
use crate::motion::Posed;
use crate::sheets::mesh::{self, Mesh, Piece, Stuff};
use crate::sheets::poses::body;

/// Around the car, mm.
const MARGIN: f64 = 120.0;

/// A piece seen from the left (a scan has no lumps and is not seen): each of its lumps as its convex outline, x to the left and z up, mm.
struct Seen {
    stuff: Stuff,
    /// Its middle's distance to the left.
    near: f64,
    /// What is seen of its round lumps, to be filled and lined.
    outlines: Vec<Vec<[f64; 2]>>,
    /// Its flat faces, to be filled.
    faces: Vec<Vec<[f64; 2]>>,
    /// Their edges.
    edges: Vec<[[f64; 2]; 2]>,
}

/// An SVG element to stand within a page.
pub fn side(found: &Study, proposed: &Study, label: &str) -> String {
    let mut seen = seen(proposed);
    // What is nearer to the eye is drawn over what is further off.
    seen.sort_by(|a, b| a.near.total_cmp(&b.near));
    let ghost: Vec<Seen> = self::seen(found).into_iter().filter(|s| s.stuff == Stuff::Rubber).collect();
    let all = || seen.iter().chain(&ghost).flat_map(|s| s.outlines.iter().chain(&s.faces).flatten());
    let least = |i: usize| all().map(|p| p[i]).fold(f64::INFINITY, f64::min);
    let most = |i: usize| all().map(|p| p[i]).fold(f64::NEG_INFINITY, f64::max);
    let (left, top) = (least(0) - MARGIN, -most(1) - MARGIN);
    let (width, height) = (most(0) + MARGIN - left, MARGIN + 60.0 - top);
    let mut svg = format!(
        r#"<svg viewBox="{left:.0} {top:.0} {width:.0} {height:.0}" role="img" aria-label="{}">"#,
        escaped(label)
    );
    let (from, to) = (left + MARGIN / 2.0, left + width - MARGIN / 2.0);
    let _ = write!(svg, r##"<path d="M{from:.0} 0H{to:.0}" stroke="#8f8a80" stroke-width="4"/>"##);
    for Seen { stuff, outlines, faces, edges, .. } in &seen {
        let (colour, alpha) = (stuff.colour(), stuff.alpha());
        let fill = format!(r##"fill="#{colour:06x}" fill-opacity="{alpha}""##);
        let ink =
            format!(r##"stroke="#21252a" stroke-opacity="{}" stroke-width="5""##, if alpha < 1.0 { 0.3 } else { 0.6 });
        let ways = |all: &[Vec<[f64; 2]>]| all.iter().map(|o| way(o)).collect::<String>();
        if !outlines.is_empty() {
            let _ = write!(svg, r#"<path d="{}" {fill} {ink} stroke-linejoin="round"/>"#, ways(outlines));
        }
        if !faces.is_empty() {
            let lines: String =
                edges.iter().map(|[[x, z], [u, w]]| format!("M{x:.0} {:.0}L{u:.0} {:.0}", -z, -w)).collect();
            let _ = write!(svg, r#"<path d="{}" {fill}/><path d="{lines}" {ink}/>"#, ways(faces));
        }
    }
    for outline in ghost.iter().flat_map(|s| &s.outlines) {
        let _ = write!(
            svg,
            r##"<path d="{}" fill="none" stroke="#8fb2e8" stroke-width="12" stroke-dasharray="44 28"/>"##,
            way(outline)
        );
    }
    svg + "</svg>"
}

/// Ahead is to the left, as the car is seen from its left side.
fn way(outline: &[[f64; 2]]) -> String {
    let points: Vec<String> = outline.iter().map(|[x, z]| format!("{x:.0} {:.0}", -z)).collect();
    format!("M{}Z", points.join("L"))
}

/// The pieces of a car at ride height.
fn seen(study: &Study) -> Vec<Seen> {
    let ride = &study.gear.ride;
    let of = |piece: &Piece| seen_piece(study, ride, piece);
    mesh::of(study).iter().filter_map(of).collect()
}

fn seen_piece(study: &Study, ride: &Posed, piece: &Piece) -> Option<Seen> {
    let (own, on_ground) = (piece.moves.placed(&study.gear, ride)?, body(&study.car, &ride.pose));
    let Mesh { corners, lumps, .. } = &piece.mesh;
    let placed: Vec<_> = corners.iter().map(|p| on_ground.of(own.of(*p))).collect();
    let flat = |p: &Vector3<f64>| [-p.x, p.z];
    let outline = |lump: &Range<u32>| hull(placed[lump.start as usize..lump.end as usize].iter().map(flat).collect());
    let near = placed.iter().map(|p| p.y).sum::<f64>() / placed.len().max(1) as f64;
    // A lump of three corners is a face.
    let (faces, round): (Vec<&Range<u32>>, Vec<&Range<u32>>) = lumps.iter().partition(|lump| lump.len() == 3);
    let seen = |lumps: Vec<&Range<u32>>| lumps.into_iter().map(outline).filter(|o| o.len() > 2).collect();
    let edges = piece.mesh.edges.iter().map(|edge| edge.map(|i| flat(&placed[i as usize])));
    let edges = if faces.is_empty() { Vec::new() } else { edges.collect() };
    Some(Seen { stuff: piece.stuff, near, outlines: seen(round), faces: seen(faces), edges })
}

/// The convex outline of places, going once around (Andrew's monotone chain, Information Processing Letters 9, 1979).
fn hull(mut points: Vec<[f64; 2]>) -> Vec<[f64; 2]> {
    // A millimetre is less than a pen's width here.
    points.iter_mut().flatten().for_each(|v| *v = v.round());
    points.sort_by(|a, b| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])));
    points.dedup();
    let turns = |a: [f64; 2], b: [f64; 2], c: [f64; 2]| (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
    let half = |points: &mut dyn Iterator<Item = [f64; 2]>| {
        let mut chain: Vec<[f64; 2]> = Vec::new();
        for p in points {
            while let [.., a, b] = chain[..]
                && turns(a, b, p) <= 0.0
            {
                chain.pop();
            }
            chain.push(p);
        }
        chain.pop();
        chain
    };
    let mut around = half(&mut points.iter().copied());
    around.extend(half(&mut points.iter().rev().copied()));
    around
}
