//! One member as a beam between two nodes: its stiffness, and how it lies when its ends have moved.
//!
//! Bernoulli's beam, or Timoshenko's where shear is asked for (Przemieniecki, Theory of Matrix Structural Analysis, sect.
//! 5.6, from memory; both are exact for loads at the ends). What a rod end lets go is condensed out of the stiffness.
//! Freedoms stand in the order x, y, z, about x, about y, about z at the first end, then at the second.

use nalgebra::{Matrix3, Matrix6, SMatrix, SVector, Vector3, Vector6};

use super::frame::Member;
use super::section::Properties;

type Matrix12 = SMatrix<f64, 12, 12>;
pub(super) type Vector12 = SVector<f64, 12>;

/// What is left of a freedom's stiffness once others are let go, against what it had: below this it holds nothing.
const NOTHING: f64 = 1e-10;

/// A member ready to be put into a frame.
pub(super) struct Beam {
    /// Between its ends, mm.
    pub length: f64,
    /// Rows are the member's own x, y and z in the frame.
    pub axes: Matrix3<f64>,
    pub properties: Properties,
    /// What moves at each end with its node: local end displacements from the node's.
    to_ends: [Matrix6<f64>; 2],
    /// Local stiffness with what is let go condensed out.
    stiffness: Matrix12,
    /// Freedoms let go, with the row that says how each follows the others, in the order of condensation.
    freed: Vec<(usize, Vector12)>,
    /// Shear compliance along y and z, 1/N: slope that a transverse force adds.
    slip: [[f64; 2]; 2],
}

impl Beam {
    /// Of a member from `start` to `end`, mm, with its ends at `offsets` from its nodes. The axes are right-handed and
    /// orthonormal, x along the member.
    pub fn new(member: &Member, properties: Properties, length: f64, axes: Matrix3<f64>, shear: bool) -> Self {
        let (bare, slip) = bare(member, &properties, length, shear);
        let mut stiffness = bare;
        let mut freed = Vec::new();
        for k in (0..12).filter(|k| member.freed[k / 6].0[k % 6]) {
            let row: Vector12 = stiffness.column(k).into_owned();
            let pivot = row[k];
            if pivot > NOTHING * bare[(k, k)] {
                stiffness -= row * row.transpose() / pivot;
                freed.push((k, row / pivot));
            }
            stiffness.row_mut(k).fill(0.0);
            stiffness.column_mut(k).fill(0.0);
        }
        // What is left where nothing holds any more is rounding, and must not pass for stiffness.
        for k in 0..12 {
            if stiffness[(k, k)] <= NOTHING * bare[(k, k)] {
                stiffness.row_mut(k).fill(0.0);
                stiffness.column_mut(k).fill(0.0);
            }
        }
        let to_ends = member.offsets.map(|offset| {
            let mut to = Matrix6::zeros();
            to.fixed_view_mut::<3, 3>(0, 0).copy_from(&axes);
            to.fixed_view_mut::<3, 3>(0, 3).copy_from(&(-axes * offset.cross_matrix()));
            to.fixed_view_mut::<3, 3>(3, 3).copy_from(&axes);
            to
        });
        Self { length, axes, properties, to_ends, stiffness, freed, slip }
    }

    /// Stiffness between two ends (0 or 1) in the frame's axes, N/mm, N and N mm.
    pub fn block(&self, row: usize, column: usize) -> Matrix6<f64> {
        let local = self.stiffness.fixed_view::<6, 6>(6 * row, 6 * column);
        self.to_ends[row].transpose() * local * self.to_ends[column]
    }

    /// How stiff it would hold each end's turns with nothing let go, N mm: what is as good as nothing beside it.
    pub fn turning(&self, modulus: f64) -> f64 {
        4.0 * modulus * f64::max(self.properties.iy, self.properties.iz) / self.length
    }

    /// Local displacements of its ends for those of its nodes.
    pub fn ends(&self, nodes: [&Vector6<f64>; 2]) -> Vector12 {
        let mut out = Vector12::zeros();
        for (i, node) in nodes.into_iter().enumerate() {
            out.fixed_rows_mut::<6>(6 * i).copy_from(&(self.to_ends[i] * node));
        }
        out
    }

    /// Local forces and moments that the nodes exert on it, N and N mm.
    pub fn forces(&self, ends: &Vector12) -> Vector12 {
        self.stiffness * ends
    }

    /// The same at an end's node, in the frame's axes.
    pub fn at_node(&self, end: usize, forces: &Vector12) -> Vector6<f64> {
        self.to_ends[end].transpose() * forces.fixed_rows::<6>(6 * end)
    }

    /// Where it is displaced to at a share of its length, mm in the frame's axes. Cubic across, straight along: exact for
    /// loads at the ends.
    pub fn displaced(&self, ends: &Vector12, share: f64) -> Vector3<f64> {
        let mut own = *ends;
        for (k, row) in self.freed.iter().rev() {
            own[*k] -= row.dot(&own);
        }
        let forces = self.forces(ends);
        // Slopes of the centre line: the section's turn, and what shear adds, which is the same all along.
        let across = [forces[7], forces[8]];
        let slide = self.slip.map(|s| s[0] * across[0] + s[1] * across[1]);
        let (s, l) = (share, self.length);
        let [h1, h2] = [1.0 - s * s * (3.0 - 2.0 * s), s * (1.0 - s) * (1.0 - s) * l];
        let [h3, h4] = [s * s * (3.0 - 2.0 * s), s * s * (s - 1.0) * l];
        let cubic = |at: usize, slopes: [f64; 2]| own[at] * h1 + slopes[0] * h2 + own[at + 6] * h3 + slopes[1] * h4;
        let y = cubic(1, [own[5] + slide[0], own[11] + slide[0]]);
        let z = cubic(2, [-own[4] + slide[1], -own[10] + slide[1]]);
        self.axes.transpose() * Vector3::new(own[0] * (1.0 - s) + own[6] * s, y, z)
    }
}

/// Stiffness with nothing let go, in the section's own axes, and the shear compliance.
fn bare(member: &Member, p: &Properties, length: f64, shear: bool) -> (Matrix12, [[f64; 2]; 2]) {
    let (e, g, l) = (member.material.modulus, member.material.shear_modulus(), length);
    // A beam bends by itself about its principal axes only.
    let askew = p.iyz.abs() > 1e-12 * (p.iy + p.iz);
    let (turn, [i1, i2]) = if askew { p.principal() } else { (0.0, [p.iy, p.iz]) };
    let (sin, cos) = turn.sin_cos();
    let give = if shear { p.shear_area.map(|a| 1.0 / (g * a)) } else { [0.0; 2] };
    let slip1 = give[0] * cos * cos + give[1] * sin * sin;
    let slip2 = give[0] * sin * sin + give[1] * cos * cos;
    let mut k = Matrix12::zeros();
    let mut pair = |a: usize, value: f64| {
        for (i, j, v) in [(a, a, value), (a + 6, a + 6, value), (a, a + 6, -value), (a + 6, a, -value)] {
            k[(i, j)] = v;
        }
    };
    pair(0, e * p.area / l);
    pair(3, g * p.torsion / l);
    // Along 1 bending about 2, and along 2 bending about 1, where a turn lifts the other way.
    for (shift, about, second, slip, sign) in [(1, 5, i2, slip1, 1.0), (2, 4, i1, slip2, -1.0)] {
        let phi = 12.0 * e * second * slip / (l * l);
        let unit = e * second / (l * (1.0 + phi));
        let (a, b) = (12.0 * unit / (l * l), sign * 6.0 * unit / l);
        let (c, d) = ((4.0 + phi) * unit, (2.0 - phi) * unit);
        let at = [shift, about, shift + 6, about + 6];
        let rows = [[a, b, -a, b], [b, c, -b, d], [-a, -b, a, -b], [b, d, -b, c]];
        for (i, row) in at.into_iter().zip(rows) {
            at.into_iter().zip(row).for_each(|(j, v)| k[(i, j)] = v);
        }
    }
    if !askew {
        return (k, [[slip1, 0.0], [0.0, slip2]]);
    }
    let to_principal = Matrix3::new(1.0, 0.0, 0.0, 0.0, cos, sin, 0.0, -sin, cos);
    let mut all = Matrix12::zeros();
    (0..4).for_each(|i| all.fixed_view_mut::<3, 3>(3 * i, 3 * i).copy_from(&to_principal));
    let mixed = (slip1 - slip2) * sin * cos;
    let slip = [[slip1 * cos * cos + slip2 * sin * sin, mixed], [mixed, slip1 * sin * sin + slip2 * cos * cos]];
    (all.transpose() * k * all, slip)
}
