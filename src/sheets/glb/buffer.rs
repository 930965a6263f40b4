//! The binary part of a glTF file, and what says where in it each list of numbers lies.

use serde_json::{Value, json};

/// What a list is for, as glTF numbers it.
#[derive(Debug, Clone, Copy)]
pub enum Target {
    /// Corners and normals.
    Corners = 34962,
    /// Places among them.
    Places = 34963,
}

/// The bytes, and what lies in them.
#[derive(Debug, Default)]
pub struct Buffer {
    bytes: Vec<u8>,
    views: Vec<Value>,
    accessors: Vec<Value>,
}

impl Buffer {
    /// All of it.
    pub fn bytes(&self) -> &[u8] {
        &self.bytes
    }

    /// Stretches of it.
    pub fn views(&self) -> &[Value] {
        &self.views
    }

    /// Lists in it.
    pub fn accessors(&self) -> &[Value] {
        &self.accessors
    }

    /// A list of vectors of 1, 3 or 4 numbers; its least and most where they are asked for. Gives its number.
    pub fn vectors<const N: usize>(&mut self, list: &[[f32; N]], target: Option<Target>, bounded: bool) -> usize {
        let bytes = list.iter().flatten().flat_map(|v| v.to_le_bytes());
        let view = self.view(bytes.collect(), target);
        let kind = match N {
            1 => "SCALAR",
            3 => "VEC3",
            _ => "VEC4",
        };
        let mut accessor = json!({ "bufferView": view, "componentType": 5126, "count": list.len(), "type": kind });
        if bounded {
            let fold = |pick: fn(f32, f32) -> f32, from: f32| {
                (0..N).map(|i| list.iter().map(|v| v[i]).fold(from, pick)).collect::<Vec<f32>>()
            };
            accessor["min"] = json!(fold(f32::min, f32::INFINITY));
            accessor["max"] = json!(fold(f32::max, f32::NEG_INFINITY));
        }
        self.accessors.push(accessor);
        self.accessors.len() - 1
    }

    /// Places among corners.
    pub fn places(&mut self, list: &[u32]) -> usize {
        let view = self.view(list.iter().flat_map(|v| v.to_le_bytes()).collect(), Some(Target::Places));
        self.accessors
            .push(json!({ "bufferView": view, "componentType": 5125, "count": list.len(), "type": "SCALAR" }));
        self.accessors.len() - 1
    }

    fn view(&mut self, bytes: Vec<u8>, target: Option<Target>) -> usize {
        let mut view = json!({ "buffer": 0, "byteOffset": self.bytes.len(), "byteLength": bytes.len() });
        if let Some(target) = target {
            view["target"] = json!(target as u32);
        }
        // Numbers of four bytes, so every list starts at a multiple of four.
        self.bytes.extend(bytes);
        self.views.push(view);
        self.views.len() - 1
    }
}
