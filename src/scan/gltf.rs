//! glTF 2.0, in one file (.glb) or with its buffers beside it or within: the triangles of all meshes of its scene.
//!
//! What scanners write is read: plain float positions, indices of any width, nodes with a matrix or with translation,
//! rotation and scale. Compressed and sparse meshes are refused in words. Source: glTF 2.0 specification (Khronos).

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use nalgebra::{Matrix4, Quaternion, UnitQuaternion, Vector3, Vector4};
use serde::Deserialize;

use super::bytes::Bytes;
use super::{Fault, Soup};

#[derive(Deserialize)]
#[serde(rename_all = "camelCase", default)]
#[derive(Default)]
struct Document {
    buffers: Vec<Buffer>,
    buffer_views: Vec<View>,
    accessors: Vec<Accessor>,
    meshes: Vec<MeshOf>,
    nodes: Vec<Node>,
    scenes: Vec<Scene>,
    scene: Option<usize>,
}

#[derive(Deserialize)]
struct Buffer {
    uri: Option<String>,
}

#[derive(Deserialize)]
#[serde(rename_all = "camelCase")]
struct View {
    buffer: usize,
    #[serde(default)]
    byte_offset: usize,
    byte_length: usize,
    byte_stride: Option<usize>,
}

#[derive(Deserialize)]
#[serde(rename_all = "camelCase")]
struct Accessor {
    buffer_view: Option<usize>,
    #[serde(default)]
    byte_offset: usize,
    component_type: u32,
    count: usize,
    #[serde(rename = "type")]
    kind: String,
    sparse: Option<serde_json::Value>,
}

#[derive(Deserialize)]
struct MeshOf {
    primitives: Vec<Primitive>,
}

#[derive(Deserialize)]
struct Primitive {
    attributes: BTreeMap<String, usize>,
    indices: Option<usize>,
    #[serde(default = "triangles")]
    mode: u32,
}

fn triangles() -> u32 {
    4
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct Node {
    mesh: Option<usize>,
    children: Vec<usize>,
    matrix: Option<[f64; 16]>,
    translation: Option<[f64; 3]>,
    rotation: Option<[f64; 4]>,
    scale: Option<[f64; 3]>,
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct Scene {
    nodes: Vec<usize>,
}

/// "glTF" and "JSON" and "BIN\0" as numbers.
const MAGIC: u32 = 0x4654_6c67;
const JSON: u32 = 0x4e4f_534a;
const BIN: u32 = 0x004e_4942;

pub(super) fn read(bytes: &[u8], folder: &Path) -> Result<Soup, Fault> {
    let (json, within) = if bytes.starts_with(b"glTF") { chunks(bytes)? } else { (bytes, None) };
    let document: Document = serde_json::from_slice(json)
        .map_err(|e| Fault(format!("this is no glTF file that can be read: {e}. Export the scan again")))?;
    let buffers: Result<Vec<Vec<u8>>, Fault> = document.buffers.iter().map(|b| buffer(b, within, folder)).collect();
    let reader = Reader { document: &document, buffers: buffers? };
    let mut soup = Soup::default();
    let scene = document.scenes.get(document.scene.unwrap_or(0));
    // Without a scene all stands that nothing else holds.
    let held: BTreeSet<usize> = document.nodes.iter().flat_map(|n| n.children.iter().copied()).collect();
    let loose = || (0..document.nodes.len()).filter(|n| !held.contains(n)).collect();
    let roots: Vec<usize> = scene.map_or_else(loose, |s| s.nodes.clone());
    let mut waiting: Vec<(usize, Matrix4<f64>)> = roots.into_iter().map(|n| (n, Matrix4::identity())).collect();
    let mut seen = vec![false; document.nodes.len()];
    while let Some((index, above)) = waiting.pop() {
        let node = document.nodes.get(index).ok_or_else(missing)?;
        // A node has one parent: a tree that comes by twice goes round in a circle.
        if std::mem::replace(&mut seen[index], true) {
            return Err(Fault::new("the parts of this glTF file hold one another in a circle: export the scan again"));
        }
        let here = above * node.matrix();
        waiting.extend(node.children.iter().map(|child| (*child, here)));
        if let Some(mesh) = node.mesh {
            for primitive in &document.meshes.get(mesh).ok_or_else(missing)?.primitives {
                reader.primitive(primitive, &here, &mut soup)?;
            }
        }
    }
    Ok(soup)
}

fn missing() -> Fault {
    Fault::new("this glTF file names a part or bytes that it does not hold: export the scan again")
}

/// The description and the bytes of a file in one piece.
fn chunks(bytes: &[u8]) -> Result<(&[u8], Option<&[u8]>), Fault> {
    let mut head = Bytes::new(bytes, 0);
    let (magic, version, _) = (head.u32()?, head.u32()?, head.u32()?);
    if magic != MAGIC || version != 2 {
        return Err(Fault(format!("this is glTF of version {version}, and only 2 is read: export the scan again")));
    }
    let (length, kind) = (head.u32()? as usize, head.u32()?);
    if kind != JSON {
        return Err(missing());
    }
    let json = head.take(length)?;
    let mut within = None;
    if let (Ok(length), Ok(BIN)) = (head.u32(), head.u32()) {
        within = Some(head.take(length as usize)?);
    }
    Ok((json, within))
}

fn buffer(buffer: &Buffer, within: Option<&[u8]>, folder: &Path) -> Result<Vec<u8>, Fault> {
    match &buffer.uri {
        None => Ok(within.ok_or_else(missing)?.to_vec()),
        Some(uri) => match uri.strip_prefix("data:") {
            Some(data) => base64(data.split_once(";base64,").ok_or_else(missing)?.1),
            None => super::load(&folder.join(uri)).map_err(|f| Fault(format!("its buffer `{uri}`: {f}"))),
        },
    }
}

/// Base64 of RFC 4648.
fn base64(text: &str) -> Result<Vec<u8>, Fault> {
    let (mut bytes, mut bits, mut held) = (Vec::with_capacity(text.len() / 4 * 3), 0u32, 0);
    for c in text.bytes().take_while(|c| *c != b'=') {
        let value = match c {
            b'A'..=b'Z' => c - b'A',
            b'a'..=b'z' => c - b'a' + 26,
            b'0'..=b'9' => c - b'0' + 52,
            b'+' => 62,
            b'/' => 63,
            _ => return Err(missing()),
        };
        bits = bits << 6 | u32::from(value);
        held += 6;
        if held >= 8 {
            held -= 8;
            bytes.push((bits >> held) as u8);
        }
    }
    Ok(bytes)
}

impl Node {
    fn matrix(&self) -> Matrix4<f64> {
        if let Some(columns) = self.matrix {
            return Matrix4::from_column_slice(&columns);
        }
        let [x, y, z, w] = self.rotation.unwrap_or([0.0, 0.0, 0.0, 1.0]);
        let turn = UnitQuaternion::new_normalize(Quaternion::new(w, x, y, z)).to_homogeneous();
        Matrix4::new_translation(&Vector3::from(self.translation.unwrap_or_default()))
            * turn
            * Matrix4::new_nonuniform_scaling(&Vector3::from(self.scale.unwrap_or([1.0; 3])))
    }
}

struct Reader<'a> {
    document: &'a Document,
    buffers: Vec<Vec<u8>>,
}

impl Reader<'_> {
    fn primitive(&self, primitive: &Primitive, at: &Matrix4<f64>, soup: &mut Soup) -> Result<(), Fault> {
        if primitive.mode != 4 {
            // Points and lines are no skin; strips and fans no scanner writes.
            return Ok(());
        }
        let Some(&positions) = primitive.attributes.get("POSITION") else { return Ok(()) };
        let first = soup.corners.len() as u32;
        self.each(positions, "VEC3", &[5126], |mut bytes, _| {
            let p = Vector4::new(bytes.f32()?, bytes.f32()?, bytes.f32()?, 1.0);
            soup.corners.push((at * p).xyz());
            Ok(())
        })?;
        let count = soup.corners.len() as u32 - first;
        let mut corners = Vec::new();
        match primitive.indices {
            None => corners.extend(first..first + count),
            Some(indices) => self.each(indices, "SCALAR", &[5121, 5123, 5125], |mut bytes, size| {
                let mut low_first = [0; 4];
                low_first[..size].copy_from_slice(bytes.take(size)?);
                let index = u32::from_le_bytes(low_first);
                corners.push(if index < count { first + index } else { return Err(missing()) });
                Ok(())
            })?,
        }
        if soup.triangles.len() + corners.len() / 3 > super::MOST {
            return Err(Fault(format!("this mesh has more than {} triangles: thin it out", super::MOST)));
        }
        soup.triangles.extend(corners.chunks_exact(3).map(|t| [t[0], t[1], t[2]]));
        Ok(())
    }

    /// Visits the values of an accessor, with the size of one number.
    fn each(
        &self,
        accessor: usize,
        kind: &str,
        types: &[u32],
        mut visit: impl FnMut(Bytes, usize) -> Result<(), Fault>,
    ) -> Result<(), Fault> {
        let accessor = self.document.accessors.get(accessor).ok_or_else(missing)?;
        let (Some(view), None) = (accessor.buffer_view, &accessor.sparse) else {
            return Err(Fault::new("this glTF file's mesh is compressed or sparse: export it without compression"));
        };
        if accessor.kind != kind || !types.contains(&accessor.component_type) {
            return Err(Fault::new(
                "this glTF file's mesh is packed in an odd way: export it with plain float positions",
            ));
        }
        let view = self.document.buffer_views.get(view).ok_or_else(missing)?;
        let buffer = self.buffers.get(view.buffer).ok_or_else(missing)?;
        let end = view.byte_offset.checked_add(view.byte_length).ok_or_else(missing)?;
        let bytes = buffer.get(view.byte_offset..end).ok_or_else(missing)?;
        let size = match accessor.component_type {
            5121 => 1,
            5123 => 2,
            _ => 4,
        };
        let whole = if kind == "VEC3" { 3 * size } else { size };
        let stride = view.byte_stride.unwrap_or(whole);
        if stride < whole {
            return Err(missing());
        }
        for n in 0..accessor.count {
            let from =
                n.checked_mul(stride).and_then(|off| off.checked_add(accessor.byte_offset)).ok_or_else(missing)?;
            visit(Bytes::new(bytes.get(from..).ok_or_else(missing)?, 0), size)?;
        }
        Ok(())
    }
}
