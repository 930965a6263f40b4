//! The car as a model for other programs: binary glTF 2.0 (Khronos, glTF 2.0 Specification, 2021), with a node for every
//! piece by its name, and the sweep as animations.
//!
//! glTF is in metres with y up and z ahead; one node above all turns and scales, and everything under it stays in
//! millimetres in the car file's axes. Under that stands the body, which heaves and rolls over the ground at nought.

mod animated;
mod buffer;

use std::collections::BTreeMap;

use nalgebra::{Quaternion, UnitQuaternion, Vector3};
use serde_json::{Value, json};

use super::mesh::{self, Mesh, Piece, Stuff, Transform};
use super::poses::body;
use crate::answer::{NoAnswer, Study};
use buffer::{Buffer, Target};

/// The whole file.
///
/// # Errors
/// [`NoAnswer::Pose`] where the car cannot take a pose of its sweep.
pub fn glb(study: &Study) -> Result<Vec<u8>, NoAnswer> {
    let pieces = mesh::of(study);
    let mut buffer = Buffer::default();
    let (mut meshes, mut stuffs): (Vec<Value>, Vec<Stuff>) = Default::default();
    let mut known: BTreeMap<Vec<u8>, usize> = BTreeMap::new();
    // The vehicle frame under glTF's: x ahead to z, y left to x, z up to y.
    let turned = [-0.5, -0.5, -0.5, 0.5];
    let ride = &study.gear.ride;
    let mut nodes = vec![
        json!({ "name": study.car.titled(), "rotation": turned, "scale": [0.001, 0.001, 0.001], "children": [1] }),
        node("body", &body(&study.car, &ride.pose)),
    ];
    let mut drawn: Vec<&Piece> = Vec::new();
    for piece in pieces.iter().filter(|piece| !piece.mesh.triangles.is_empty()) {
        let Some(at) = piece.moves.placed(&study.gear, ride) else { continue };
        let mesh = *known.entry(packed(&piece.mesh, piece.stuff)).or_insert_with(|| {
            let material = stuffs.iter().position(|s| *s == piece.stuff).unwrap_or_else(|| {
                stuffs.push(piece.stuff);
                stuffs.len() - 1
            });
            meshes.push(primitive(&mut buffer, piece, material));
            meshes.len() - 1
        });
        let mut own = node(&piece.name, &at);
        own["mesh"] = json!(mesh);
        own["extras"] = json!({ "kind": piece.kind });
        nodes.push(own);
        drawn.push(piece);
    }
    nodes[1]["children"] = (2..nodes.len()).collect();
    let animations = animated::animations(study, &drawn, &mut buffer)?;
    let mut file = json!({
        "asset": { "version": "2.0", "generator": concat!("Scribeline ", env!("CARGO_PKG_VERSION")) },
        "scene": 0,
        "scenes": [{ "name": study.car.titled(), "nodes": [0] }],
        "nodes": nodes,
        "meshes": meshes,
        "materials": stuffs.into_iter().map(material).collect::<Vec<_>>(),
        "buffers": [{ "byteLength": buffer.bytes().len() }],
        "bufferViews": buffer.views(),
        "accessors": buffer.accessors(),
    });
    if !animations.is_empty() {
        file["animations"] = animations.into();
    }
    Ok(container(&file, buffer.bytes()))
}

/// Header and both chunks, each padded to four bytes.
fn container(file: &Value, binary: &[u8]) -> Vec<u8> {
    let mut text = file.to_string().into_bytes();
    text.resize(text.len().next_multiple_of(4), b' ');
    let mut binary = binary.to_vec();
    binary.resize(binary.len().next_multiple_of(4), 0);
    let mut out = Vec::with_capacity(28 + text.len() + binary.len());
    let word = |out: &mut Vec<u8>, v: usize| out.extend((v as u32).to_le_bytes());
    out.extend(b"glTF");
    word(&mut out, 2);
    word(&mut out, 28 + text.len() + binary.len());
    for (kind, chunk) in [(b"JSON", text), (b"BIN\0", binary)] {
        word(&mut out, chunk.len());
        out.extend(kind);
        out.extend(chunk);
    }
    out
}

fn node(name: &str, at: &Transform) -> Value {
    json!({
        "name": name,
        "translation": point(at.at),
        "rotation": quaternion(&at.turn),
        "scale": [at.stretch as f32, 1.0, 1.0],
    })
}

fn point(p: Vector3<f64>) -> [f32; 3] {
    [p.x, p.y, p.z].map(|v| v as f32)
}

/// x, y, z, w.
fn quaternion(turn: &UnitQuaternion<f64>) -> [f32; 4] {
    let Quaternion { coords } = *turn.quaternion();
    [coords.x, coords.y, coords.z, coords.w].map(|v| v as f32)
}

/// What tells one mesh from another: pieces that are alike share theirs.
fn packed(mesh: &Mesh, stuff: Stuff) -> Vec<u8> {
    let mut bytes = vec![stuff as u8];
    bytes.extend(mesh.corners.iter().flat_map(|p| point(*p)).flat_map(f32::to_le_bytes));
    bytes.extend(mesh.triangles.iter().flatten().flat_map(|i| i.to_le_bytes()));
    bytes
}

fn primitive(buffer: &mut Buffer, piece: &Piece, material: usize) -> Value {
    let mesh = &piece.mesh;
    let corners: Vec<[f32; 3]> = mesh.corners.iter().map(|p| point(*p)).collect();
    let normals: Vec<[f32; 3]> = mesh.normals.iter().map(|n| point(n.normalize())).collect();
    let places: Vec<u32> = mesh.triangles.iter().flatten().copied().collect();
    let attributes = json!({
        "POSITION": buffer.vectors(&corners, Some(Target::Corners), true),
        "NORMAL": buffer.vectors(&normals, Some(Target::Corners), false),
    });
    let indices = buffer.places(&places);
    json!({
        "name": piece.name,
        "primitives": [{ "attributes": attributes, "indices": indices, "material": material }],
    })
}

fn material(stuff: Stuff) -> Value {
    let [_, r, g, b] = stuff.colour().to_be_bytes().map(linear);
    let mut material = json!({
        "name": stuff.word(),
        "pbrMetallicRoughness": {
            "baseColorFactor": [r, g, b, stuff.alpha()],
            "metallicFactor": 0.1,
            "roughnessFactor": 0.7,
        },
        "doubleSided": true,
    });
    if stuff.alpha() < 1.0 {
        material["alphaMode"] = "BLEND".into();
    }
    material
}

/// A byte of an sRGB colour as a share of light (IEC 61966-2-1).
fn linear(byte: u8) -> f64 {
    let v = f64::from(byte) / 255.0;
    if v <= 0.040_45 { v / 12.92 } else { ((v + 0.055) / 1.055).powf(2.4) }
}
