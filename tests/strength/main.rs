//! Strength against handbooks and against libraries that nobody in this project made.
//!
//! [`sections`]: finite elements of the same shapes (tests/reference/sections.py). [`struts`]: worked problems from
//! textbooks. [`materials`]: what any row of the table must be. [`handbook`]: beams, frames and rings that have a formula.
//! [`space`]: random space frames solved by a general-purpose frame library (tests/reference/frames.py). [`laws`]: what is
//! true of any frame, on random ones. [`faults`]: what is refused, and what is said of it.

use nalgebra::Vector3;
use scribeline::strength::material::grade;
use scribeline::strength::{Dofs, Frame, Load, LoadCase, Material, Member, Node, Section};

mod faults;
mod handbook;
mod laws;
mod materials;
mod sections;
mod space;
mod struts;

/// A relative difference, of numbers that are not nought.
fn off(ours: f64, theirs: f64) -> f64 {
    ((ours - theirs) / theirs).abs()
}

const TUBE: Section = Section::Tube { diameter: 38.0, wall: 2.0 };

fn steel() -> Material {
    grade("4130 normalised").expect("the table has it").clone()
}

/// A node; its number is its name.
fn node(number: usize, at: [f64; 3], held: Dofs) -> Node {
    Node { name: format!("n{number}"), at: Vector3::from(at), held }
}

/// A frame of nodes and of pairs of them, all of one section in steel.
fn frame(nodes: &[([f64; 3], Dofs)], pairs: &[[usize; 2]], section: Section) -> Frame {
    let nodes = nodes.iter().enumerate().map(|(i, &(at, held))| node(i, at, held)).collect();
    let member = |(i, &ends): (usize, &[usize; 2])| Member::new(format!("m{i}"), ends, section, steel());
    Frame { nodes, members: pairs.iter().enumerate().map(member).collect(), shear: false }
}

fn force(node: usize, force: [f64; 3]) -> Load {
    Load { node, force: Vector3::from(force), moment: Vector3::zeros() }
}

fn moment(node: usize, moment: [f64; 3]) -> Load {
    Load { node, force: Vector3::zeros(), moment: Vector3::from(moment) }
}

fn case(loads: Vec<Load>) -> LoadCase {
    LoadCase { name: "test".into(), loads }
}
