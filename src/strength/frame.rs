//! A frame of members in space: what it is made of, and what it is loaded with.
//!
//! Linear statics: nodes that can shift and turn, straight members between them, loads at nodes. The description is plain
//! values; [`Frame::solver`] checks it, assembles and factors it once, and then answers any number of load cases.
//! Newtons and millimetres, moments in N mm; the frame's own right-handed axes, whichever they are.

use nalgebra::Vector3;

use super::buckling::Strut;
use super::fault::FrameError;
use super::material::Material;
use super::outcome::Answer;
use super::section::Section;
use super::solver::Solver;

/// A choice among the six freedoms of a node or a member's end: along x, y, z, about x, y, z.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Dofs(pub [bool; 6]);

impl Dofs {
    /// None of them: a free node; a welded end.
    pub const NONE: Self = Self([false; 6]);
    /// All of them: a node built into the jig.
    pub const ALL: Self = Self([true; 6]);
    /// The three shifts: a node held by a ball joint.
    pub const SHIFTS: Self = Self([true, true, true, false, false, false]);
    /// The three turns: a rod end on a member.
    pub const TURNS: Self = Self([false, false, false, true, true, true]);
    /// A member's turns across its axis: a pin that keeps its twist.
    pub const BENDING: Self = Self([false, false, false, false, true, true]);
}

/// A place where members meet.
#[derive(Debug, Clone, PartialEq)]
pub struct Node {
    /// What errors call it.
    pub name: String,
    /// Where it is, mm.
    pub at: Vector3<f64>,
    /// Its freedoms that a support holds, in the frame's axes.
    pub held: Dofs,
}

/// A straight member between two nodes.
#[derive(Debug, Clone, PartialEq)]
pub struct Member {
    /// What errors and answers call it.
    pub name: String,
    /// Its nodes, by number. Its own x runs from the first to the second.
    pub ends: [usize; 2],
    /// Its cross-section.
    pub section: Section,
    /// What it is made of.
    pub material: Material,
    /// A direction, in the frame's axes, on whose side its own z lies. None takes the frame's z, or its x for a member that
    /// stands within a degree of z.
    pub up: Option<Vector3<f64>>,
    /// What each end lets go of its node, in the member's own axes: [`Dofs::TURNS`] is a rod end.
    pub freed: [Dofs; 2],
    /// From each node to where the member ends, mm in the frame's axes: rigid, as a bracket is.
    pub offsets: [Vector3<f64>; 2],
    /// End fixity K for buckling, bare number; see [`super::buckling::Strut::fixity`].
    pub fixity: f64,
    /// What bows out, where the member is only a piece of it: a tube that is drawn as several members is longer than each.
    /// None takes the member by itself.
    pub strut: Option<Strut>,
    /// How far it is bent out of the straight line in mid-span, mm. Counts for strength only: the frame's stiffness is a
    /// straight member's, so a plainly bent tube is better drawn as several.
    pub bow: f64,
}

impl Member {
    /// A straight member, welded at both ends, with a fixity of 1.
    pub fn new(name: impl Into<String>, ends: [usize; 2], section: Section, material: Material) -> Self {
        Self {
            name: name.into(),
            ends,
            section,
            material,
            up: None,
            freed: [Dofs::NONE; 2],
            offsets: [Vector3::zeros(); 2],
            fixity: 1.0,
            strut: None,
            bow: 0.0,
        }
    }
}

/// A load at a node, in the frame's axes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Load {
    /// The node, by number.
    pub node: usize,
    /// Force, N.
    pub force: Vector3<f64>,
    /// Moment, N mm.
    pub moment: Vector3<f64>,
}

/// Loads that act together.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct LoadCase {
    /// What errors and answers call it.
    pub name: String,
    /// Its loads; several at a node add up.
    pub loads: Vec<Load>,
}

/// Nodes and members.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Frame {
    /// Where members meet.
    pub nodes: Vec<Node>,
    /// What joins them.
    pub members: Vec<Member>,
    /// Whether members give in shear too (Timoshenko's beam), or in bending alone (Bernoulli's). Counts in short, stout
    /// members.
    pub shear: bool,
}

impl Frame {
    /// The frame checked, assembled and factored, ready to be asked.
    ///
    /// # Errors
    /// Names the member or node where something is missing, absurd or loose.
    pub fn solver(&self) -> Result<Solver<'_>, FrameError> {
        Solver::new(self)
    }

    /// What every load case does.
    ///
    /// # Errors
    /// As [`Frame::solver`] and [`Solver::answer`].
    pub fn solve(&self, cases: &[LoadCase]) -> Result<Vec<Answer>, FrameError> {
        let solver = self.solver()?;
        cases.iter().map(|case| solver.answer(case)).collect()
    }
}
