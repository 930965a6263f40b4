//! What is wrong with a frame, where, and what to do about it; and the looking for it.

use nalgebra::{Matrix3, Vector3};

use super::beam::Beam;
use super::frame::{Frame, Load, LoadCase, Member};

/// A frame or a load that cannot be calculated, in a fabricator's words.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum FrameError {
    /// There is nothing to calculate.
    #[error("the frame has no {0}: draw some")]
    Empty(&'static str),
    /// Something about one member.
    #[error("member \"{member}\": {what}")]
    Member {
        /// Its name.
        member: String,
        /// What is wrong and what to do.
        what: String,
    },
    /// Something about one node.
    #[error("node \"{node}\": {what}")]
    Node {
        /// Its name.
        node: String,
        /// What is wrong and what to do.
        what: String,
    },
    /// No node is held.
    #[error("nothing holds the frame: hold at least one node")]
    Unsupported,
    /// A part that hangs on nothing.
    #[error(
        "node \"{node}\" and what is joined to it ({nodes} nodes) have no support: join them to the rest, or hold one"
    )]
    Apart {
        /// A node of that part.
        node: String,
        /// How many nodes the part has.
        nodes: usize,
    },
    /// The frame, or a part of it, can move without straining anything.
    #[error(
        "node \"{node}\" is free to {way} along ({:.2}, {:.2}, {:.2}): nothing there resists; add a support or a brace, or \
         let fewer ends go", direction.x, direction.y, direction.z
    )]
    Mechanism {
        /// The node that moves most.
        node: String,
        /// "shift", or "turn" where no node shifts.
        way: &'static str,
        /// Where to, or about which axis; a unit vector in the frame's axes.
        direction: Vector3<f64>,
    },
    /// Something about one load case.
    #[error("load case \"{case}\": {what}")]
    Load {
        /// Its name.
        case: String,
        /// What is wrong and what to do.
        what: String,
    },
}

/// No car is this far away, mm.
const FAR: f64 = 1e6;
/// No load on a car is this large, N and N mm.
const HUGE: f64 = 1e12;
/// A member shorter than this has no direction, mm.
const SHORTEST: f64 = 1e-3;

/// Every member as a beam, where all of them can be one.
pub(super) fn beams(frame: &Frame) -> Result<Vec<Beam>, FrameError> {
    if frame.nodes.is_empty() {
        return Err(FrameError::Empty("nodes"));
    }
    if frame.members.is_empty() {
        return Err(FrameError::Empty("members"));
    }
    for node in &frame.nodes {
        if !near(&node.at) {
            let at = node.at;
            let what = format!("it is at ({}, {}, {}): give coordinates in mm, within {FAR}", at.x, at.y, at.z);
            return Err(FrameError::Node { node: node.name.clone(), what });
        }
    }
    frame
        .members
        .iter()
        .map(|m| beam(frame, m).map_err(|what| FrameError::Member { member: m.name.clone(), what }))
        .collect()
}

fn near(at: &Vector3<f64>) -> bool {
    at.iter().all(|v| v.abs() <= FAR)
}

fn beam(frame: &Frame, member: &Member) -> Result<Beam, String> {
    let count = frame.nodes.len();
    if let Some(missing) = member.ends.iter().find(|&&n| n >= count) {
        return Err(format!("it ends at node number {missing}, and there are only {count}: count from 0"));
    }
    if member.ends[0] == member.ends[1] {
        return Err(format!("both its ends are at node \"{}\": give two nodes", frame.nodes[member.ends[0]].name));
    }
    if let Some(fault) = member.material.fault() {
        return Err(fault);
    }
    let properties = member.section.properties().map_err(|e| e.to_string())?;
    if !member.offsets.iter().all(near) {
        return Err(format!("its offsets are not lengths within {FAR} mm"));
    }
    let positive =
        |what: &str, v: f64| (!(v > 0.0 && v <= FAR)).then(|| format!("its {what} is {v}: give one above 0"));
    if let Some(fault) = positive("end fixity K", member.fixity)
        .or_else(|| positive("free length", member.strut.map_or(1.0, |s| s.length)))
    {
        return Err(fault);
    }
    if member.bow.is_nan() || member.bow.abs() > FAR {
        return Err(format!("its bow is {}: give it in mm", member.bow));
    }
    let [start, end] = [0, 1].map(|i| frame.nodes[member.ends[i]].at + member.offsets[i]);
    let length = (end - start).norm();
    if length < SHORTEST {
        let [a, b] = member.ends.map(|n| &frame.nodes[n].name);
        return Err(format!("it has no length between \"{a}\" and \"{b}\": move one of them, or take the member out"));
    }
    let axes = axes((end - start) / length, member.up)?;
    Ok(Beam::new(member, properties, length, axes, frame.shear))
}

/// The member's own x, y and z as rows.
fn axes(x: Vector3<f64>, up: Option<Vector3<f64>>) -> Result<Matrix3<f64>, String> {
    let upright = x.x.hypot(x.y) < 0.0175;
    let up = up.unwrap_or(if upright { Vector3::x() } else { Vector3::z() });
    if !(near(&up) && up.norm() > 0.0) {
        return Err("its up direction is not a direction: give any vector but nought".into());
    }
    let across = up.normalize().cross(&x);
    if across.norm() < 1e-6 {
        return Err("its up direction lies along it: give one that points to its side".into());
    }
    let y = across.normalize();
    Ok(Matrix3::from_rows(&[x.transpose(), y.transpose(), x.cross(&y).transpose()]))
}

/// Whether every node is joined to some support.
pub(super) fn joined(frame: &Frame, neighbours: &[Vec<usize>]) -> Result<(), FrameError> {
    let held = |n: usize| frame.nodes[n].held.0.contains(&true);
    if !(0..frame.nodes.len()).any(held) {
        return Err(FrameError::Unsupported);
    }
    let mut seen = vec![false; frame.nodes.len()];
    for first in 0..frame.nodes.len() {
        if neighbours[first].is_empty() && frame.nodes[first].held.0 != [true; 6] {
            let what = "no member ends there: join it to something, or take it out".into();
            return Err(FrameError::Node { node: frame.nodes[first].name.clone(), what });
        }
        let mut part = Vec::new();
        let mut next = vec![first];
        while let Some(n) = next.pop() {
            if !std::mem::replace(&mut seen[n], true) {
                part.push(n);
                next.extend(&neighbours[n]);
            }
        }
        if !part.is_empty() && !part.iter().any(|&n| held(n)) {
            return Err(FrameError::Apart { node: frame.nodes[first].name.clone(), nodes: part.len() });
        }
    }
    Ok(())
}

/// Whether a load can be laid on the frame.
pub(super) fn load(frame: &Frame, case: &LoadCase, load: &Load) -> Result<(), FrameError> {
    let bad = |what: String| Err(FrameError::Load { case: case.name.clone(), what });
    let count = frame.nodes.len();
    let Some(node) = frame.nodes.get(load.node) else {
        return bad(format!("it loads node number {}, and there are only {count}: count from 0", load.node));
    };
    if !load.force.iter().chain(load.moment.iter()).all(|v| v.abs() <= HUGE) {
        return bad(format!("the load on node \"{}\" is not a number, or absurd: give N and N mm", node.name));
    }
    Ok(())
}
