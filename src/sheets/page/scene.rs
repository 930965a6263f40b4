//! The car for the page's own drawing program: meshes, where every piece is in every pose, and what touches there.
//!
//! Numbers go as one run of bytes, little-endian, in base64: lists of 32-bit floats for places and turns, of bytes for
//! normals, of 16- or 32-bit places among corners. What stands in the JSON beside it says where each begins, in bytes.

use std::collections::BTreeMap;

use serde_json::{Value, json};

use super::numbers::Asked;
use crate::answer::{Gaps, NoAnswer, PairGap, Study, Verdict};
use crate::car::{AxleName, Shown, Side};
use crate::motion::{Posed, Quantity, Standing};
use crate::sheets::mesh::{self, Mesh, Piece, Transform};
use crate::sheets::poses::Poses;
use crate::space::{Parts, Role};

/// Further off than this a gap is not told, mm.
const FAR: f64 = 150.0;

/// What the drawing program reads.
///
/// # Errors
/// [`NoAnswer`] where a car cannot take a pose of its sweep.
pub fn scene(states: [(&str, &Study, &Asked); 2], shown: Shown) -> Result<Value, NoAnswer> {
    let mut store = Store::default();
    let mut cars = Vec::new();
    for (name, study, asked) in states {
        cars.push(car(name, study, asked, &mut store)?);
    }
    Ok(json!({
        "unit": shown.sign(),
        "inMm": shown.in_mm(),
        "decimals": shown.decimals(),
        "cars": cars,
        "meshes": store.meshes,
        "bytes": base64(&store.bytes),
    }))
}

/// Bytes, and the meshes in them.
#[derive(Default)]
struct Store {
    bytes: Vec<u8>,
    meshes: Vec<Value>,
    known: BTreeMap<Vec<u8>, usize>,
}

impl Store {
    fn put(&mut self, bytes: impl Iterator<Item = u8>) -> usize {
        let at = self.bytes.len().next_multiple_of(4);
        self.bytes.resize(at, 0);
        self.bytes.extend(bytes);
        at
    }

    fn floats(&mut self, list: impl Iterator<Item = f64>) -> usize {
        self.put(list.flat_map(|v| (v as f32).to_le_bytes()))
    }

    /// A mesh's number; two that are alike have one.
    fn mesh(&mut self, mesh: &Mesh) -> usize {
        let corners: Vec<u8> =
            mesh.corners.iter().flat_map(|p| [p.x, p.y, p.z]).flat_map(|v| (v as f32).to_le_bytes()).collect();
        let normals = mesh.normals.iter().flat_map(|n| [n.x, n.y, n.z, 0.0]);
        let normals: Vec<u8> = normals.flat_map(|v| ((v * 127.0).round() as i8).to_le_bytes()).collect();
        let wide = mesh.corners.len() > usize::from(u16::MAX);
        let packed = |list: &mut dyn Iterator<Item = u32>| -> Vec<u8> {
            list.flat_map(|i| if wide { i.to_le_bytes().to_vec() } else { (i as u16).to_le_bytes().to_vec() }).collect()
        };
        let triangles = packed(&mut mesh.triangles.iter().flatten().copied());
        let edges = packed(&mut mesh.edges.iter().flatten().copied());
        let key = [&corners[..], &normals, &triangles, &edges].concat();
        if let Some(known) = self.known.get(&key) {
            return *known;
        }
        let value = json!({
            "corners": [self.put(corners.into_iter()), mesh.corners.len()],
            "normals": self.put(normals.into_iter()),
            "triangles": [self.put(triangles.into_iter()), 3 * mesh.triangles.len()],
            "edges": [self.put(edges.into_iter()), 2 * mesh.edges.len()],
            "wide": wide,
        });
        self.meshes.push(value);
        self.known.insert(key, self.meshes.len() - 1);
        self.meshes.len() - 1
    }
}

fn car(name: &str, study: &Study, asked: &Asked, store: &mut Store) -> Result<Value, NoAnswer> {
    let poses = Poses::of(study)?;
    let pieces: Vec<Piece> = mesh::of(study).into_iter().filter(|p| !p.mesh.triangles.is_empty()).collect();
    let mut drawn = Vec::new();
    for piece in &pieces {
        let placed: Option<Vec<Transform>> =
            poses.posed.iter().map(|posed| piece.moves.placed(&study.gear, posed)).collect();
        let Some(placed) = placed else { continue };
        let (varies, kept) = thinned(&poses, &placed);
        let numbers = kept.iter().flat_map(|t| {
            let q = t.turn.coords;
            [t.at.x, t.at.y, t.at.z, q.x, q.y, q.z, q.w, t.stretch]
        });
        let role = piece.role.map(|role| role_key(&study.parts, role));
        drawn.push(json!({
            "name": piece.name,
            "role": role,
            "colour": piece.stuff.colour(),
            "alpha": piece.stuff.alpha(),
            "mesh": store.mesh(&piece.mesh),
            "varies": varies,
            "placed": store.floats(numbers),
        }));
    }
    let steer = |posed: &Posed| inner_steer(study, posed).to_degrees();
    let stands = poses.posed.iter().flat_map(|p| [p.pose.heave, p.pose.roll, p.pose.rack, steer(p)]);
    // Which way of the rack points the wheels to the left.
    let left = if asked.lock.ways[Side::Left as usize].at_ride.rack_mm < 0.0 { -1 } else { 1 };
    let (stands, pairs) = (store.floats(stands), pairs(study, &asked.gaps, &poses, store));
    Ok(json!({
        "name": name,
        "ground": study.car.ground,
        "along": poses.along,
        "leftIs": left,
        "stands": stands,
        "pieces": drawn,
        "pairs": pairs,
    }))
}

/// Steer of the wheel that steers further, positive to the left, radians.
fn inner_steer(study: &Study, posed: &Posed) -> f64 {
    let Some(frame) = study.frame(AxleName::Front) else { return 0.0 };
    let standing = Standing { axle: &study.gear.front, wheels: posed.front, ground: posed.ground, frame };
    let each = Side::BOTH.map(|side| Quantity::Steer.of(&standing, side).unwrap_or(0.0));
    if each[0].abs() > each[1].abs() { each[0] } else { each[1] }
}

/// Along which of heave, roll and rack a piece moves at all, and its places without those along which it does not.
fn thinned(poses: &Poses, placed: &[Transform]) -> ([u8; 3], Vec<Transform>) {
    let counts = poses.along.each_ref().map(Vec::len);
    let strides = [counts[1] * counts[2], counts[2], 1];
    let at = |i: usize, axis: usize| (i / strides[axis]) % counts[axis];
    let moved = |a: &Transform, b: &Transform| {
        (a.at - b.at).norm() > 1e-3 || a.turn.angle_to(&b.turn) > 1e-6 || (a.stretch - b.stretch).abs() > 1e-6
    };
    let varies: [bool; 3] = std::array::from_fn(|axis| {
        placed.iter().enumerate().any(|(i, t)| moved(t, &placed[i - at(i, axis) * strides[axis]]))
    });
    let keep = |i: &usize| (0..3).all(|axis| varies[axis] || at(*i, axis) == 0);
    let kept = (0..placed.len()).filter(keep).map(|i| placed[i]).collect();
    (varies.map(u8::from), kept)
}

/// The pairs that are not clear in the whole sweep, with their gap and witness in every pose.
fn pairs(study: &Study, gaps: &Gaps, poses: &Poses, store: &mut Store) -> Vec<Value> {
    let tight: Vec<PairGap> = gaps.pairs.iter().filter(|p| p.verdict != Verdict::Clear).cloned().collect();
    let gaps = Gaps { pairs: tight, ..gaps.clone() };
    let each: Vec<Gaps> = poses.posed.iter().map(|posed| study.gaps_in(&gaps, posed)).collect();
    let told = |(i, pair): (usize, &PairGap)| {
        let here = each.iter().flat_map(|gaps| {
            gaps.pairs[i].here.map_or([FAR, 0.0, 0.0, 0.0], |gap| {
                let [a, b] = gap.witness_mm;
                [gap.gap_mm.min(FAR), (a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0, (a[2] + b[2]) / 2.0]
            })
        });
        let roles = [pair.place.a, pair.place.b].map(|role| role_key(&study.parts, role));
        let at = store.floats(here);
        json!({
            "a": pair.a,
            "b": pair.b,
            "roles": roles,
            "wanted": pair.wanted_mm,
            "gaps": at,
        })
    };
    gaps.pairs.iter().enumerate().map(told).collect()
}

/// A part's key.
fn role_key(parts: &Parts, role: Role) -> String {
    format!("{:?}", parts.drawn(role))
}

/// Base64 as of RFC 4648, section 4.
fn base64(bytes: &[u8]) -> String {
    const LETTERS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut out = String::with_capacity(bytes.len().div_ceil(3) * 4);
    for three in bytes.chunks(3) {
        let word = three.iter().enumerate().fold(0u32, |word, (i, b)| word | u32::from(*b) << (16 - 8 * i));
        for i in 0..4 {
            let letter = LETTERS[(word >> (18 - 6 * i)) as usize & 63];
            out.push(if i > three.len() { '=' } else { letter.into() });
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::base64;

    /// RFC 4648, section 10.
    #[test]
    fn base64_is_as_its_standard_shows_it() {
        for (plain, coded) in [
            ("", ""),
            ("f", "Zg=="),
            ("fo", "Zm8="),
            ("foo", "Zm9v"),
            ("foob", "Zm9vYg=="),
            ("fooba", "Zm9vYmE="),
            ("foobar", "Zm9vYmFy"),
        ] {
            assert_eq!(base64(plain.as_bytes()), coded);
        }
    }
}
