//! What loads do to a frame: displacements, reactions, and how near each member is to yielding or bowing out.

use nalgebra::{Vector3, Vector6};

use super::beam::{Beam, Vector12};
use super::buckling::Strut;
use super::frame::Member;

/// How a node moves, in the frame's axes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Motion {
    /// Shift, mm.
    pub shift: Vector3<f64>,
    /// Turn, rad, small: a vector along its axis.
    pub turn: Vector3<f64>,
}

impl From<&Vector6<f64>> for Motion {
    fn from(v: &Vector6<f64>) -> Self {
        Self { shift: v.fixed_rows::<3>(0).into(), turn: v.fixed_rows::<3>(3).into() }
    }
}

/// What a support exerts on the frame, in the frame's axes; nought where it does not hold.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reaction {
    /// The held node, by number.
    pub node: usize,
    /// Force, N.
    pub force: Vector3<f64>,
    /// Moment, N mm.
    pub moment: Vector3<f64>,
}

/// Force and moment that its node exerts on a member's end, in the member's own axes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EndForce {
    /// Force, N.
    pub force: Vector3<f64>,
    /// Moment, N mm.
    pub moment: Vector3<f64>,
}

/// Stress where a member is worst, MPa.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stress {
    /// The end where it is, 0 or 1: without loads between the nodes it is at one of them.
    pub end: usize,
    /// Along the member from the axial force, tension positive.
    pub axial: f64,
    /// From bending, at the fibre where it adds most to the axial stress; signed as that.
    pub bending: f64,
    /// Shear from torsion, the greatest on the section.
    pub torsion: f64,
    /// Shear from transverse force over the shear area: in a round tube its peak, in a flat bar four fifths of it.
    pub shear: f64,
    /// Equivalent stress after von Mises, sqrt(sigma² + 3 tau²), as if the greatest bending and the shear met in one fibre.
    /// Welds, holes and corners that gather stress are not in it.
    pub mises: f64,
}

/// What a load case does to one member.
#[derive(Debug, Clone, PartialEq)]
pub struct MemberAnswer {
    /// What its nodes exert on it, at its first and its second end.
    pub ends: [EndForce; 2],
    /// Force along it, N, tension positive.
    pub axial: f64,
    /// Stress where it is worst.
    pub stress: Stress,
    /// Equivalent stress over yield strength: at 1 it begins to yield.
    pub yield_use: f64,
    /// Compression over what it takes before it bows out (Johnson, Euler, or Perry where it is bent); nought in tension.
    /// Bending that others bring in is not in it.
    pub buckling_use: f64,
}

/// Which way a member gives out first.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Way {
    /// It yields.
    Yield,
    /// It bows out.
    Buckling,
}

/// What one load case does to a frame.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    /// The load case's name.
    pub case: String,
    /// How every node moves.
    pub moved: Vec<Motion>,
    /// What every held node's support exerts.
    pub reactions: Vec<Reaction>,
    /// What every member carries.
    pub members: Vec<MemberAnswer>,
    /// What is left unbalanced at the worst node, or in the frame as a whole, as a share of the largest load; moments over
    /// the frame's extent.
    pub residual: f64,
    /// Local displacements of every member's ends.
    pub(super) ends: Vec<Vector12>,
}

impl Answer {
    /// The member that is used most, by number; its use, 1 where it gives out; and the way. None without members.
    pub fn weakest(&self) -> Option<(usize, f64, Way)> {
        let of = |(i, m): (usize, &MemberAnswer)| {
            if m.buckling_use > m.yield_use { (i, m.buckling_use, Way::Buckling) } else { (i, m.yield_use, Way::Yield) }
        };
        self.members.iter().enumerate().map(of).max_by(|a, b| a.1.total_cmp(&b.1))
    }
}

/// How near a member is to giving out under these local end forces.
pub(super) fn judged(member: &Member, beam: &Beam, forces: &Vector12) -> MemberAnswer {
    let vector = |at: usize| Vector3::new(forces[at], forces[at + 1], forces[at + 2]);
    let ends = [0, 6].map(|at| EndForce { force: vector(at), moment: vector(at + 3) });
    // On the face that looks along x: at the second end what the node exerts, at the first its opposite.
    let [first, second] = [stress(beam, &ends[0], 0, -1.0), stress(beam, &ends[1], 1, 1.0)];
    let stress = if second.mises > first.mises { second } else { first };
    let axial = ends[1].force.x;
    MemberAnswer {
        ends,
        axial,
        stress,
        yield_use: stress.mises / member.material.yield_strength,
        buckling_use: f64::max(-axial, 0.0) / capacity(member, beam),
    }
}

fn stress(beam: &Beam, at: &EndForce, end: usize, face: f64) -> Stress {
    let p = &beam.properties;
    let axial = face * at.force.x / p.area;
    let [most, least] = p.bending(face * at.moment.y, face * at.moment.z);
    let bending = if (axial + most).abs() >= (axial + least).abs() { most } else { least };
    let torsion = at.moment.x.abs() / p.torsion_modulus;
    let shear = (at.force.y / p.shear_area[0]).hypot(at.force.z / p.shear_area[1]);
    let mises = (axial + bending).hypot(3f64.sqrt() * (torsion + shear));
    Stress { end, axial, bending, torsion, shear, mises }
}

/// Compression that a member takes before it bows out, N.
fn capacity(member: &Member, beam: &Beam) -> f64 {
    let p = &beam.properties;
    let strut = member.strut.unwrap_or_else(|| Strut::of(p, &member.material, beam.length, member.fixity));
    if member.bow == 0.0 { strut.straight() } else { strut.bowed(member.bow, p.reach()) }
}
