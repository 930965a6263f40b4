//! Mesh files as they come from a scanner: STL, OBJ, PLY and glTF, read, cleaned and laid on the car.
//!
//! A scan is a skin: triangles without thickness, with holes and with slips. [`Mesh`] holds them in the file's own unit
//! and frame, each corner once, and its [`Report`] says what was dropped and what is odd about the rest. A bad file is a
//! [`Fault`] with its line or byte, in a fabricator's words. The readers are our own: each is shorter than a wrapper
//! around the libraries there are, those name no place in the file, and some of them panic on a damaged one.

mod bytes;
mod gltf;
mod mesh;
mod obj;
mod placing;
mod ply;
pub mod stl;

use std::fs::{self, File};
use std::io::{ErrorKind, Read};
use std::path::Path;

use nalgebra::Vector3;
use sha2::{Digest, Sha256};

pub use mesh::{Edge, Mesh, Report, Rim, edges};
pub use placing::Placing;

/// No mesh file is larger, bytes.
const LARGEST: u64 = 1024 * 1024 * 1024;
/// Most triangles of a mesh.
const MOST: usize = 5_000_000;

/// What is wrong with a mesh file, and what to do.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{0}")]
pub struct Fault(pub String);

impl Fault {
    fn new(what: impl Into<String>) -> Self {
        Self(what.into())
    }

    /// At a line of a text file, from 1.
    fn at_line(line: usize, what: &str) -> Self {
        Self(format!("line {line}: {what}"))
    }
}

/// Triangles as a file lists them.
#[derive(Debug, Default)]
struct Soup {
    corners: Vec<Vector3<f64>>,
    triangles: Vec<[u32; 3]>,
}

/// The bytes of a mesh file.
///
/// # Errors
/// It is missing, a folder, not readable or larger than 1 GiB.
pub fn load(path: &Path) -> Result<Vec<u8>, Fault> {
    let refused = |e: std::io::Error| {
        Fault::new(match e.kind() {
            ErrorKind::NotFound => {
                "there is no such mesh file: copy the scan there, or correct the name (it is looked for from the car \
                 file's folder)"
                    .to_owned()
            }
            ErrorKind::PermissionDenied => "this mesh file may not be read: ask its owner for permission".to_owned(),
            _ => format!("this mesh file cannot be read: {e}"),
        })
    };
    let about = fs::metadata(path).map_err(refused)?;
    if !about.is_file() {
        return Err(Fault::new("this is no plain file: name a mesh file"));
    }
    let mut bytes = Vec::new();
    File::open(path).and_then(|f| f.take(LARGEST + 1).read_to_end(&mut bytes)).map_err(refused)?;
    if bytes.len() as u64 > LARGEST {
        return Err(Fault::new("this mesh file is larger than 1 GiB: thin the scan out and export it again"));
    }
    Ok(bytes)
}

/// Reads a mesh file's bytes. `path` tells the format by its ending, and where a glTF file's own files lie.
///
/// # Errors
/// The format is not known; or what in the file cannot be read, and where.
pub fn read(path: &Path, bytes: &[u8]) -> Result<Mesh, Fault> {
    if bytes.is_empty() {
        return Err(Fault::new("this mesh file is empty: export the scan again"));
    }
    let ending = path.extension().map(|e| e.to_string_lossy().to_lowercase()).unwrap_or_default();
    let soup = match ending.as_str() {
        "stl" => stl::read(bytes),
        "obj" => obj::read(bytes),
        "ply" => ply::read(bytes),
        "glb" | "gltf" => gltf::read(bytes, path.parent().unwrap_or(Path::new(""))),
        _ => Err(Fault::new(
            "a mesh file's name ends in .stl, .obj, .ply, .glb or .gltf: export the scan as one of these",
        )),
    }?;
    Mesh::new(soup)
}

/// The check line for a file's content: `sha256:` and 64 digits.
pub fn check_line(bytes: &[u8]) -> String {
    let hex: String = Sha256::digest(bytes).iter().map(|b| format!("{b:02x}")).collect();
    format!("sha256:{hex}")
}
