//! The sweep as animations: bump and droop, roll, and steer, each from ride height to both ends and back.

use std::f64::consts::TAU;

use serde_json::{Value, json};

use super::buffer::Buffer;
use super::{point, quaternion};
use crate::answer::{NoAnswer, Study};
use crate::motion::{Pose, Posed};
use crate::sheets::mesh::{Piece, Transform};
use crate::sheets::poses::{Poses, body};

/// An animation's name, and the pose at an amount of its motion.
type Motion = (&'static str, fn(f64) -> Pose);

/// Moments of an animation.
const MOMENTS: usize = 49;
/// How long each takes, seconds.
const LASTS: f64 = 4.0;

/// All that the car can do. `pieces` are the nodes from number 2 on; number 1 is the body.
///
/// # Errors
/// [`NoAnswer::Pose`] where the car cannot take a pose of its sweep.
pub fn animations(study: &Study, pieces: &[&Piece], buffer: &mut Buffer) -> Result<Vec<Value>, NoAnswer> {
    let ends = Poses::ends(study);
    // Sine from nought to one end, the other, and back; for heave the bump comes first.
    let between = |[low, high]: [f64; 2], wave: f64| if wave < 0.0 { -low * wave } else { high * wave };
    let motions: [Motion; 3] = [
        ("bump and droop", |heave| Pose { heave, ..Pose::default() }),
        ("roll", |roll| Pose { roll, ..Pose::default() }),
        ("steer", |rack| Pose { rack, ..Pose::default() }),
    ];
    let times: Vec<[f32; 1]> = (0..MOMENTS).map(|i| [(LASTS * i as f64 / (MOMENTS - 1) as f64) as f32]).collect();
    let mut input = None;
    let mut all = Vec::new();
    for (i, (name, pose)) in motions.into_iter().enumerate() {
        if ends[i][1] - ends[i][0] < 1e-9 {
            continue;
        }
        let wave = |k: usize| -(TAU * k as f64 / (MOMENTS - 1) as f64).sin();
        let posed: Result<Vec<Posed>, NoAnswer> =
            (0..MOMENTS).map(|k| study.nearest_to(pose(between(ends[i], wave(k))))).collect();
        let posed = posed?;
        let times = *input.get_or_insert_with(|| buffer.vectors(&times, None, true));
        let mut channels = Channels { times, samplers: Vec::new(), channels: Vec::new() };
        let of_body: Vec<Transform> = posed.iter().map(|p| body(&study.car, &p.pose)).collect();
        channels.add(1, &of_body, buffer);
        for (n, piece) in pieces.iter().enumerate() {
            let placed: Option<Vec<Transform>> = posed.iter().map(|p| piece.moves.placed(&study.gear, p)).collect();
            if let Some(placed) = placed {
                channels.add(n + 2, &placed, buffer);
            }
        }
        if !channels.channels.is_empty() {
            all.push(json!({ "name": name, "channels": channels.channels, "samplers": channels.samplers }));
        }
    }
    Ok(all)
}

/// The channels of one animation.
struct Channels {
    times: usize,
    samplers: Vec<Value>,
    channels: Vec<Value>,
}

impl Channels {
    /// A node's motion, as far as it moves.
    fn add(&mut self, node: usize, placed: &[Transform], buffer: &mut Buffer) {
        let first = &placed[0];
        if placed.iter().any(|t| (t.at - first.at).norm() > 1e-3) {
            let list: Vec<_> = placed.iter().map(|t| point(t.at)).collect();
            self.channel(node, "translation", buffer.vectors(&list, None, false));
        }
        if placed.iter().any(|t| t.turn.angle_to(&first.turn) > 1e-6) {
            let mut list: Vec<[f32; 4]> = Vec::new();
            for t in placed {
                let q = quaternion(&t.turn);
                // The same turn has two signs: the nearer one follows.
                let dot = list.last().map_or(1.0, |last| last.iter().zip(q).map(|(a, b)| a * b).sum::<f32>());
                list.push(if dot < 0.0 { q.map(|v| -v) } else { q });
            }
            self.channel(node, "rotation", buffer.vectors(&list, None, false));
        }
        if placed.iter().any(|t| (t.stretch - first.stretch).abs() > 1e-6) {
            let list: Vec<_> = placed.iter().map(|t| [t.stretch as f32, 1.0, 1.0]).collect();
            self.channel(node, "scale", buffer.vectors(&list, None, false));
        }
    }

    fn channel(&mut self, node: usize, path: &str, output: usize) {
        self.channels.push(json!({ "sampler": self.samplers.len(), "target": { "node": node, "path": path } }));
        self.samplers.push(json!({ "input": self.times, "output": output, "interpolation": "LINEAR" }));
    }
}
