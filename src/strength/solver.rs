//! A frame assembled and factored: ask it load by load.

use nalgebra::{Matrix3, Matrix6, Vector3, Vector6};

use super::beam::{Beam, Vector12};
use super::blocks::Blocks;
use super::fault::{self, FrameError};
use super::frame::{Frame, Load, LoadCase};
use super::order::order;
use super::outcome::{Answer, Motion, Reaction, judged};

/// A turn that is held by less than this share of what a welded end would hold it with is held by nothing.
const IDLE: f64 = 1e-11;
/// Rounds that give back what rounding left unbalanced.
const ROUNDS: usize = 3;
/// Share of the load that may stay unbalanced; more, and the frame is all but loose.
const UNBALANCED: f64 = 1e-6;

/// A frame, checked, assembled and factored once; each answer is then a substitution.
pub struct Solver<'a> {
    frame: &'a Frame,
    beams: Vec<Beam>,
    blocks: Blocks,
    /// Turns of nodes that nothing holds and that move nothing: where every member ends in a rod end.
    idle: Vec<(usize, Vector3<f64>)>,
    /// Middle of the frame, and how far it reaches, mm.
    middle: Vector3<f64>,
    extent: f64,
}

/// What a set of displacements does.
struct State {
    ends: Vec<Vector12>,
    forces: Vec<Vector12>,
    /// Loads less what the members take, at every node.
    left: Vec<Vector6<f64>>,
}

impl<'a> Solver<'a> {
    pub(super) fn new(frame: &'a Frame) -> Result<Self, FrameError> {
        let beams = fault::beams(frame)?;
        let mut neighbours = vec![Vec::new(); frame.nodes.len()];
        for member in &frame.members {
            let [a, b] = member.ends;
            neighbours[a].push(b);
            neighbours[b].push(a);
        }
        fault::joined(frame, &neighbours)?;
        let places: Vec<Vector3<f64>> = frame.nodes.iter().map(|n| n.at).collect();
        let mut blocks = Blocks::new(order(&places, &neighbours), &neighbours);
        for (member, beam) in frame.members.iter().zip(&beams) {
            for (i, j) in [(0, 0), (0, 1), (1, 1)] {
                let [row, column] = [member.ends[i], member.ends[j]];
                blocks.add(row, column, &masked(&beam.block(i, j), frame, row, column));
            }
        }
        let mut turning = vec![0.0; frame.nodes.len()];
        for (member, beam) in frame.members.iter().zip(&beams) {
            member.ends.iter().for_each(|&n| turning[n] += beam.turning(member.material.modulus));
        }
        let mut idle = Vec::new();
        for (n, node) in frame.nodes.iter().enumerate() {
            // What is held takes no part, and any stiffness does for it.
            blocks.add(
                n,
                n,
                &Matrix6::from_diagonal(&node.held.0.map(|h| if h { turning[n].max(1.0) } else { 0.0 }).into()),
            );
            for axis in idle_turns(&blocks.own(n), turning[n]) {
                let mut prop = Matrix6::zeros();
                prop.fixed_view_mut::<3, 3>(3, 3).copy_from(&(axis * axis.transpose() * turning[n]));
                blocks.add(n, n, &prop);
                idle.push((n, axis));
            }
        }
        let (low, high) = places[1..].iter().fold((places[0], places[0]), |(l, h), p| (l.inf(p), h.sup(p)));
        let extent = f64::max((high - low).norm(), 1.0);
        blocks.factor().map_err(|motion| mechanism(frame, &motion, extent))?;
        Ok(Self { frame, beams, blocks, idle, middle: (low + high) / 2.0, extent })
    }

    /// What a load case does.
    ///
    /// # Errors
    /// A load on a node that does not exist or is not a number; a moment on a node whose members all end in rod ends; a
    /// frame that is so nearly loose that rounding spoils the answer.
    pub fn answer(&self, case: &LoadCase) -> Result<Answer, FrameError> {
        let frame = self.frame;
        let mut loads = vec![Vector6::zeros(); frame.nodes.len()];
        for load in &case.loads {
            fault::load(frame, case, load)?;
            let [f, m] = [load.force, load.moment];
            loads[load.node] += Vector6::new(f.x, f.y, f.z, m.x, m.y, m.z);
        }
        let size = |v: &Vector6<f64>| {
            let moment = v.fixed_rows::<3>(3).norm() / self.extent;
            f64::max(v.fixed_rows::<3>(0).norm(), moment)
        };
        let scale = loads.iter().map(size).fold(0.0, f64::max);
        for (n, axis) in &self.idle {
            if loads[*n].fixed_rows::<3>(3).dot(axis).abs() > 1e-9 * scale * self.extent {
                let what =
                    "a moment acts on it, and every member there ends in a rod end: weld one, or take the moment away";
                return Err(FrameError::Node { node: frame.nodes[*n].name.clone(), what: what.into() });
            }
        }
        let (moved, state) = self.settled(&loads, |left| left.iter().map(size).fold(0.0, f64::max), scale);
        let left = self.freed(&state.left).iter().map(size).fold(0.0, f64::max);
        let reactions = self.reactions(&state);
        let balance = self.balance(&loads, &reactions);
        let residual = if scale > 0.0 { f64::max(left, size(&balance)) / scale } else { 0.0 };
        let balanced = residual <= UNBALANCED;
        if !balanced {
            let motion: Vec<_> = moved.iter().map(|m| m.map(|v| if v.is_finite() { v } else { 0.0 })).collect();
            return Err(mechanism(frame, &motion, self.extent));
        }
        let members =
            frame.members.iter().zip(&self.beams).zip(&state.forces).map(|((m, b), f)| judged(m, b, f)).collect();
        let moved = moved.iter().map(Motion::from).collect();
        Ok(Answer { case: case.name.clone(), moved, reactions, members, residual, ends: state.ends })
    }

    /// How every node moves under these loads, and no more: for stiffness, where nothing has to be judged. What rounding
    /// left is not looked at, and a load on a node that does not exist is none.
    pub fn moves(&self, loads: &[Load]) -> Vec<Motion> {
        let mut all = vec![Vector6::zeros(); self.frame.nodes.len()];
        for load in loads {
            let [f, m] = [load.force, load.moment];
            if let Some(at) = all.get_mut(load.node) {
                *at += Vector6::new(f.x, f.y, f.z, m.x, m.y, m.z);
            }
        }
        self.blocks.solve(&self.freed(&all)).iter().map(Motion::from).collect()
    }

    /// How stiff the frame is at a node in a direction, N/mm: a force there over what it gives in its own direction.
    ///
    /// # Errors
    /// A direction that is none, or one that a support holds, and as [`Solver::answer`].
    pub fn stiffness(&self, node: usize, direction: Vector3<f64>) -> Result<f64, FrameError> {
        let name = self.frame.nodes.get(node).map_or(format!("number {node}"), |n| n.name.clone());
        let bad = |what: &str| FrameError::Node { node: name, what: what.into() };
        let Some(force) = direction.try_normalize(0.0).filter(|d| d.iter().all(|v| v.is_finite())) else {
            return Err(bad("its stiffness is asked in no direction: give any vector but nought"));
        };
        let loads = vec![Load { node, force, moment: Vector3::zeros() }];
        let answer = self.answer(&LoadCase { name: "stiffness".into(), loads })?;
        let gives = answer.moved[node].shift.dot(&force);
        if gives > 0.0 { Ok(1.0 / gives) } else { Err(bad("a support holds it in that direction, and nothing gives")) }
    }

    /// Mass of all members from end to end, kg. Where tubes are coped their overlap counts twice.
    pub fn mass(&self) -> f64 {
        let members = self.frame.members.iter().zip(&self.beams);
        members.map(|(m, b)| m.material.mass(b.properties.area * b.length)).sum()
    }

    /// Places along a member as displaced, `pieces` and one of them, mm in the frame's axes, for drawing: its displacements
    /// `times` over. Empty where there is no such member, or the answer is another frame's.
    pub fn shape(&self, answer: &Answer, member: usize, pieces: usize, times: f64) -> Vec<Vector3<f64>> {
        let (Some(m), Some(beam), Some(ends)) =
            (self.frame.members.get(member), self.beams.get(member), answer.ends.get(member))
        else {
            return Vec::new();
        };
        let [start, end] = [0, 1].map(|i| self.frame.nodes[m.ends[i]].at + m.offsets[i]);
        let share = |i: usize| i as f64 / pieces.max(1) as f64;
        (0..=pieces.max(1)).map(|i| start.lerp(&end, share(i)) + beam.displaced(ends, share(i)) * times).collect()
    }

    /// Displacements, with what rounding left unbalanced given back as a load of its own as long as that helps.
    fn settled(
        &self,
        loads: &[Vector6<f64>],
        worst: impl Fn(&[Vector6<f64>]) -> f64,
        scale: f64,
    ) -> (Vec<Vector6<f64>>, State) {
        let mut moved = self.blocks.solve(&self.freed(loads));
        let mut state = self.state(&moved, loads);
        let mut left = self.freed(&state.left);
        for _ in 0..ROUNDS {
            if worst(&left) <= f64::EPSILON * scale {
                break;
            }
            let better: Vec<_> = moved.iter().zip(self.blocks.solve(&left)).map(|(a, b)| a + b).collect();
            let next = self.state(&better, loads);
            let after = self.freed(&next.left);
            // Written so that a NaN ends it.
            let helps = worst(&after) < worst(&left);
            if !helps {
                break;
            }
            (moved, state, left) = (better, next, after);
        }
        (moved, state)
    }

    /// With noughts where a support holds.
    fn freed(&self, at: &[Vector6<f64>]) -> Vec<Vector6<f64>> {
        let one = |(v, i): (f64, usize), held: &[bool; 6]| if held[i] { 0.0 } else { v };
        let all = at.iter().zip(&self.frame.nodes);
        all.map(|(v, n)| Vector6::from_fn(|i, _| one((v[i], i), &n.held.0))).collect()
    }

    fn state(&self, moved: &[Vector6<f64>], loads: &[Vector6<f64>]) -> State {
        let count = self.beams.len();
        let (mut ends, mut forces) = (Vec::with_capacity(count), Vec::with_capacity(count));
        let mut left = loads.to_vec();
        for (member, beam) in self.frame.members.iter().zip(&self.beams) {
            let end = beam.ends(member.ends.map(|n| &moved[n]));
            let force = beam.forces(&end);
            for (i, &n) in member.ends.iter().enumerate() {
                left[n] -= beam.at_node(i, &force);
            }
            ends.push(end);
            forces.push(force);
        }
        State { ends, forces, left }
    }

    fn reactions(&self, state: &State) -> Vec<Reaction> {
        let nodes = self.frame.nodes.iter().zip(&state.left).enumerate();
        nodes
            .filter(|(_, (n, _))| n.held.0.contains(&true))
            .map(|(node, (n, left))| {
                let on = |i: usize| if n.held.0[i] { -left[i] } else { 0.0 };
                let [force, moment] = [0, 3].map(|i| Vector3::new(on(i), on(i + 1), on(i + 2)));
                Reaction { node, force, moment }
            })
            .collect()
    }

    /// All loads and reactions together, moments about the frame's middle.
    fn balance(&self, loads: &[Vector6<f64>], reactions: &[Reaction]) -> Vector6<f64> {
        let mut sum = Vector6::zeros();
        let mut add = |node: usize, force: Vector3<f64>, moment: Vector3<f64>| {
            let moment = moment + (self.frame.nodes[node].at - self.middle).cross(&force);
            sum += Vector6::new(force.x, force.y, force.z, moment.x, moment.y, moment.z);
        };
        for (n, load) in loads.iter().enumerate() {
            add(n, load.fixed_rows::<3>(0).into(), load.fixed_rows::<3>(3).into());
        }
        reactions.iter().for_each(|r| add(r.node, r.force, r.moment));
        sum
    }
}

/// A block without the rows and columns that supports hold.
fn masked(block: &Matrix6<f64>, frame: &Frame, row: usize, column: usize) -> Matrix6<f64> {
    let [rows, columns] = [row, column].map(|n| &frame.nodes[n].held.0);
    block.map_with_location(|i, j, v| if rows[i] || columns[j] { 0.0 } else { v })
}

/// Axes about which a node can turn without moving anything, from its own block. A stiffness is never negative, so
/// what its own block does not hold is not joined to anything else either.
fn idle_turns(own: &Matrix6<f64>, turning: f64) -> Vec<Vector3<f64>> {
    let turns: Matrix3<f64> = own.fixed_view::<3, 3>(3, 3).into();
    // Cheap to tell for a node that is held every way: Cholesky's pivots.
    let held = turns.cholesky().is_some_and(|c| (0..3).all(|i| c.l_dirty()[(i, i)].powi(2) > 1e-6 * turning));
    if held {
        return Vec::new();
    }
    let eigen = turns.symmetric_eigen();
    (0..3).filter(|&i| eigen.eigenvalues[i] < IDLE * turning).map(|i| eigen.eigenvectors.column(i).into()).collect()
}

/// The node that moves most in a motion that strains nothing, and how.
fn mechanism(frame: &Frame, motion: &[Vector6<f64>], extent: f64) -> FrameError {
    let most = |at: usize| {
        let part = |m: &Vector6<f64>| Vector3::new(m[at], m[at + 1], m[at + 2]);
        let all = motion.iter().map(part).enumerate();
        all.max_by(|a, b| a.1.norm().total_cmp(&b.1.norm())).unwrap_or((0, Vector3::zeros()))
    };
    let (shifts, turns) = (most(0), most(3));
    let (way, (node, direction)) =
        if shifts.1.norm() > 1e-6 * extent * turns.1.norm() { ("shift", shifts) } else { ("turn", turns) };
    // Which end of the axis is meant is chance: show the larger part as positive.
    let sign = if direction[direction.iamax()] < 0.0 { -1.0 } else { 1.0 };
    let direction = direction.try_normalize(0.0).unwrap_or(Vector3::z()) * sign;
    FrameError::Mechanism { node: frame.nodes[node].name.clone(), way, direction }
}
