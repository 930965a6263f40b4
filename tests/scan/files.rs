//! Mesh files: the same arch from every format, what trimesh counts of a stored one, and damaged files.

use std::path::Path;

use nalgebra::Vector3;
use proptest::prelude::*;
use scribeline::scan::{Mesh, read};
use serde_json::Value;

use super::grid;

type Shape = (Vec<Vector3<f64>>, Vec<[u32; 3]>);

/// An arch of a few hundred triangles. Its numbers are whole 64ths, so that every format holds them exactly.
pub fn arch() -> Shape {
    grid(6, 20, |u, v| {
        let turn = std::f64::consts::PI * v;
        let at = Vector3::new(400.0 * turn.cos(), 590.0 + 230.0 * u, 300.0 + 400.0 * turn.sin());
        at.map(|v| (v * 64.0).round() / 64.0)
    })
}

pub fn binary_stl((corners, triangles): &Shape) -> Vec<u8> {
    // Some programs begin binary files with the word that marks a text.
    let mut bytes = b"solid of nothing".to_vec();
    bytes.resize(80, b' ');
    bytes.extend((triangles.len() as u32).to_le_bytes());
    for t in triangles {
        bytes.extend([0; 12]);
        bytes.extend(
            t.iter()
                .flat_map(|c| corners[*c as usize].iter().flat_map(|v| (*v as f32).to_le_bytes()).collect::<Vec<_>>()),
        );
        bytes.extend([0; 2]);
    }
    bytes
}

fn stl_text((corners, triangles): &Shape) -> Vec<u8> {
    let mut text = "solid arch\n".to_owned();
    for t in triangles {
        text += " facet normal 0 0 0\n  outer loop\n";
        for c in t.map(|c| corners[c as usize]) {
            text += &format!("   vertex {:e} {} {}\r\n", c.x, c.y, c.z);
        }
        text += "  endloop\n endfacet\n";
    }
    (text + "endsolid arch\n").into_bytes()
}

fn obj((corners, triangles): &Shape) -> Vec<u8> {
    let mut text = "# an arch\no arch\n".to_owned();
    corners.iter().for_each(|c| text += &format!("v {} {} {} 0.5 0.5 0.5\n", c.x, c.y, c.z));
    text += "vn 0 0 1\n";
    for (n, t) in triangles.iter().enumerate() {
        let [a, b, c] = t.map(|c| c + 1);
        // From the start and from the end, with and without a normal.
        text += &match n % 2 {
            0 => format!("f {a}//1 {b}//1 {c}//1\n"),
            _ => format!("f {a} {b} {}\n", i64::from(c) - 1 - corners.len() as i64),
        };
    }
    text.into_bytes()
}

fn ply((corners, triangles): &Shape, format: &str) -> Vec<u8> {
    let mut bytes = format!(
        "ply\nformat {format} 1.0\ncomment an arch\nelement vertex {}\nproperty double x\nproperty float y\n\
         property uchar red\nproperty float z\nelement face {}\nproperty list uchar int vertex_indices\nend_header\n",
        corners.len(),
        triangles.len()
    )
    .into_bytes();
    for c in corners {
        let (x, y, z) = (c.x, c.y as f32, c.z as f32);
        match format {
            "ascii" => bytes.extend(format!("{x} {y} 7 {z}\n").bytes()),
            "binary_little_endian" => {
                bytes.extend([&x.to_le_bytes()[..], &y.to_le_bytes(), &[7], &z.to_le_bytes()].concat());
            }
            _ => bytes.extend([&x.to_be_bytes()[..], &y.to_be_bytes(), &[7], &z.to_be_bytes()].concat()),
        }
    }
    for t in triangles {
        match format {
            "ascii" => bytes.extend(format!("3 {} {} {}\n", t[0], t[1], t[2]).bytes()),
            _ => {
                bytes.push(3);
                let big = format == "binary_big_endian";
                bytes.extend(t.iter().flat_map(|c| if big { c.to_be_bytes() } else { c.to_le_bytes() }));
            }
        }
    }
    bytes
}

/// In one piece, the mesh under a node that is shifted and one above it that is turned a quarter about z.
fn glb((corners, triangles): &Shape) -> Vec<u8> {
    let mut data: Vec<u8> = triangles.iter().flatten().flat_map(|c| (*c as u16).to_le_bytes()).collect();
    let indices = data.len();
    data.resize(indices.next_multiple_of(4), 0);
    let start = data.len();
    for c in corners {
        // Undone by the nodes: x = -v - 8, y = u + 16.
        data.extend([c.y - 16.0, -c.x - 8.0, c.z].iter().flat_map(|v| (*v as f32).to_le_bytes()));
    }
    let half = 0.5f64.sqrt();
    let mut json = serde_json::json!({
        "asset": { "version": "2.0" }, "scene": 0, "scenes": [{ "nodes": [0] }],
        "nodes": [
            { "children": [1], "rotation": [0.0, 0.0, half, half] },
            { "mesh": 0, "translation": [16.0, 8.0, 0.0] },
        ],
        "meshes": [{ "primitives": [{ "attributes": { "POSITION": 1 }, "indices": 0 }] }],
        "accessors": [
            { "bufferView": 0, "componentType": 5123, "count": triangles.len() * 3, "type": "SCALAR" },
            { "bufferView": 1, "componentType": 5126, "count": corners.len(), "type": "VEC3" },
        ],
        "bufferViews": [
            { "buffer": 0, "byteOffset": 0, "byteLength": indices },
            { "buffer": 0, "byteOffset": start, "byteLength": data.len() - start },
        ],
        "buffers": [{ "byteLength": data.len() }],
    })
    .to_string()
    .into_bytes();
    json.resize(json.len().next_multiple_of(4), b' ');
    let mut bytes = b"glTF\x02\0\0\0".to_vec();
    bytes.extend((28 + json.len() as u32 + data.len() as u32).to_le_bytes());
    for (kind, chunk) in [(b"JSON", json), (b"BIN\0", data)] {
        bytes.extend((chunk.len() as u32).to_le_bytes());
        bytes.extend(kind);
        bytes.extend(chunk);
    }
    bytes
}

/// The arch in every format, each under a name.
fn every_format() -> Vec<(&'static str, Vec<u8>)> {
    let arch = arch();
    vec![
        ("arch.stl", binary_stl(&arch)),
        ("text.STL", stl_text(&arch)),
        ("arch.obj", obj(&arch)),
        ("ascii.ply", ply(&arch, "ascii")),
        ("low_first.ply", ply(&arch, "binary_little_endian")),
        ("high_first.ply", ply(&arch, "binary_big_endian")),
        ("arch.glb", glb(&arch)),
    ]
}

/// Triangles as their corners' places.
fn placed(mesh: &Mesh) -> Vec<[Vector3<f64>; 3]> {
    mesh.triangles.iter().map(|t| t.map(|c| mesh.corners[c as usize])).collect()
}

#[test]
fn every_format_holds_the_same_arch() {
    let (corners, triangles) = arch();
    for (name, bytes) in every_format() {
        let mesh = read(Path::new(name), &bytes).unwrap_or_else(|f| panic!("{name}: {f}"));
        assert_eq!((mesh.corners.len(), mesh.triangles.len()), (corners.len(), triangles.len()), "{name}");
        for (ours, t) in placed(&mesh).iter().zip(&triangles) {
            for (p, c) in ours.iter().zip(t) {
                assert!((p - corners[*c as usize]).amax() < 1e-4, "{name}: {p} {}", corners[*c as usize]);
            }
        }
        // A sheet of 6 by 20 squares has one rim of twice as many edges.
        assert_eq!((mesh.report.open_edges, mesh.report.rims, mesh.report.turned), (52, 1, 0), "{name}");
        // Two half circles of twenty chords, and twice the sheet's width; the middle is half-way across, over the centre.
        let [rim] = &mesh.report.longest_rims[..] else { panic!("{name}: {:?}", mesh.report.longest_rims) };
        let chords = 20.0 * 2.0 * 400.0 * (std::f64::consts::PI / 40.0).sin();
        assert!((rim.around - 2.0 * (chords + 230.0)).abs() < 1.0, "{name}: {rim:?}");
        assert!(
            rim.middle[0].abs() < 0.1 && (rim.middle[1] - 705.0).abs() < 0.1 && rim.middle[2] > 400.0,
            "{name}: {rim:?}"
        );
    }
}

/// trimesh, on the arch of the demo car; see tests/reference/scan.py.
#[test]
fn slips_of_a_scan_are_counted_as_trimesh_counts_them() {
    let reference: Value = serde_json::from_str(include_str!("../reference/scan.json")).expect("JSON");
    let mesh = read(Path::new("arch.stl"), include_bytes!("../../scenes/scans/arch.stl")).expect("a mesh");
    let report = serde_json::to_value(&mesh.report).expect("JSON");
    for count in ["triangles", "duplicates", "degenerate", "open_edges", "rims", "turned", "crowded"] {
        assert_eq!(report[count], reference[count], "{count}");
    }
    let area: f64 = placed(&mesh).iter().map(|[a, b, c]| (b - a).cross(&(c - a)).norm() / 2.0).sum();
    assert!((area / reference["area"].as_f64().expect("an area") - 1.0).abs() < 1e-6);
}

/// In two pieces and without a scene: the description beside its buffer, or with the buffer written within it.
#[test]
fn a_gltf_file_finds_its_buffer_beside_it_or_within() {
    let bytes = glb(&arch());
    let length = |at: usize| u32::from_le_bytes(bytes[at..at + 4].try_into().expect("four bytes")) as usize;
    let json = &bytes[20..20 + length(12)];
    let data = &bytes[20 + length(12) + 8..];
    let folder = tempfile::tempdir().expect("a folder");
    std::fs::write(folder.path().join("arch.bin"), data).expect("a file");
    // Base64 by RFC 4648: six bits to a letter.
    let letters = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let in_letters: String = data
        .chunks(3)
        .flat_map(|c| {
            let bits = (0..3).fold(0u32, |bits, k| bits << 8 | u32::from(*c.get(k).unwrap_or(&0)));
            (0..4).map(move |k| if k <= c.len() { letters[(bits >> (18 - 6 * k) & 63) as usize] as char } else { '=' })
        })
        .collect();
    for uri in ["arch.bin".to_owned(), format!("data:application/octet-stream;base64,{in_letters}")] {
        let mut document: Value = serde_json::from_slice(json).expect("JSON");
        document["buffers"][0]["uri"] = uri.into();
        document.as_object_mut().expect("an object").remove("scenes");
        let path = folder.path().join("arch.gltf");
        let mesh = read(&path, document.to_string().as_bytes()).expect("a mesh");
        assert_eq!(placed(&mesh), placed(&read(Path::new("arch.glb"), &bytes).expect("a mesh")));
    }
    std::fs::remove_file(folder.path().join("arch.bin")).expect("it is there");
    let mut document: Value = serde_json::from_slice(json).expect("JSON");
    document["buffers"][0]["uri"] = "arch.bin".into();
    let fault = refused(&folder.path().join("arch.gltf").display().to_string(), document.to_string().as_bytes());
    assert!(fault.starts_with("its buffer `arch.bin`: there is no such mesh file"), "{fault}");
}

fn refused(name: &str, bytes: &[u8]) -> String {
    read(Path::new(name), bytes).expect_err("a bad file").to_string()
}

#[test]
fn a_bad_file_says_where_and_what_to_do() {
    let stl = binary_stl(&arch());
    assert!(refused("a.stl", &stl[..stl.len() - 60]).contains("ends after 238 of the 240 triangles"));
    assert!(refused("a.stl", b"").contains("empty"));
    assert!(refused("a.step", b"ISO-10303-21;").contains("export the scan as one of these"));
    assert!(refused("a.stl", b"solid a\nfacet normal 0 0 1\nouter loop\nvertex 0 0 zero\n").starts_with("line 4: "));
    assert!(refused("a.obj", b"v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 4\n").starts_with("line 4: there is no corner `4`"));
    assert!(refused("a.obj", b"v 0 0 0\n").contains("no triangles"));
    assert!(
        refused("a.obj", b"v 0 0 nan\nv 1 0 0\nv 0 1 0\nf 1 2 3\n")
            .starts_with("triangle 1 has a corner that is no number")
    );
    assert!(refused("a.obj", b"v 0 0 0\nv 1 0 0\nv 2 0 0\nf 1 2 3\nf 1 1 2\n").contains("no triangle with an area"));
    let ply = ply(&arch(), "binary_little_endian");
    assert!(refused("a.ply", &ply[..ply.len() - 7]).starts_with("face 240 of 240: "));
    assert!(refused("a.ply", b"ply\nformat ascii 1.0\nelement vertices many\n").starts_with("line 3: "));
    let huge = b"ply\nformat binary_little_endian 1.0\nelement vertex 99999999999\nproperty float x\nproperty float y\nproperty float z\nend_header\n";
    assert!(refused("a.ply", huge).starts_with("vertex 1 of 99999999999: "));
    assert!(
        refused("a.gltf", b"{\"scenes\":[{\"nodes\":[0]}],\"nodes\":[{\"children\":[0]}]}").contains("in a circle")
    );
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 600, ..ProptestConfig::default() })]

    /// Whatever happened to a file, it is read or refused in words, and what is read is sound.
    #[test]
    fn a_damaged_file_never_panics(
        which in 0..7usize, end in 0.0..1.2f64,
        slips in prop::collection::vec((0.0..1.0f64, prop_oneof![any::<u8>(), Just(0), Just(255)]), 0..8),
        // Slips near the start meet heads and counts.
        early in prop::bool::ANY,
    ) {
        let (name, mut bytes) = every_format().swap_remove(which);
        bytes.truncate((bytes.len() as f64 * end.min(1.0)) as usize);
        let reach = if early { bytes.len().min(400) } else { bytes.len() };
        for (at, byte) in slips {
            if let Some(place) = bytes.get_mut((at * reach as f64) as usize) {
                *place = byte;
            }
        }
        match read(Path::new(name), &bytes) {
            Err(fault) => prop_assert!(fault.to_string().len() > 20 && fault.to_string().len() < 500, "{fault}"),
            Ok(mesh) => prop_assert!(placed(&mesh).iter().flatten().all(|p| p.amax().is_finite())),
        }
    }

    #[test]
    fn garbage_never_panics(bytes in prop::collection::vec(any::<u8>(), 0..600), which in 0..5usize) {
        let (name, head) = [("a.stl", ""), ("a.stl", "solid"), ("a.obj", "f"), ("a.ply", "ply\nformat ascii 1.0\n"), ("a.glb", "glTF\x02\0\0\0")][which];
        prop_assert!(read(Path::new(name), &[head.as_bytes(), &bytes].concat()).is_err());
    }
}
