//! A symmetric system of nodes with six freedoms each, by Cholesky's method on blocks of six.
//!
//! A frame's matrix is sparse in nodes and dense in the freedoms of each, so whole blocks are what is stored and
//! multiplied. Written here because a general sparse library costs five minutes of first build (faer 0.24, two cores) or
//! brings no ordering, and because a pivot that vanishes is a mechanism: its block says which node can move, and
//! which way (George & Liu, Computer Solution of Large Sparse Positive Definite Systems; from memory).

use nalgebra::{Matrix6, Vector6};

/// A block by columns.
type Block = [[f64; 6]; 6];

/// What is left of a freedom's stiffness once its neighbours give way, against what it had: below this it is rounding.
/// A cantilever of a thousand pieces still has 1e-10.
const NOTHING: f64 = 1e-12;

/// The matrix, and after [`Blocks::factor`] its Cholesky factor in its place.
pub(super) struct Blocks {
    /// Node of each column.
    nodes: Vec<usize>,
    /// Column of each node.
    columns: Vec<usize>,
    /// Rows below the diagonal in each column, rising.
    rows: Vec<Vec<usize>>,
    below: Vec<Vec<Block>>,
    diagonal: Vec<Block>,
}

impl Blocks {
    /// Room for all that elimination in this order brings about.
    pub fn new(nodes: Vec<usize>, neighbours: &[Vec<usize>]) -> Self {
        let count = nodes.len();
        let mut columns = vec![0; count];
        nodes.iter().enumerate().for_each(|(column, &node)| columns[node] = column);
        // A column has its node's later neighbours, and what its children in the elimination tree had beside it.
        let mut rows: Vec<Vec<usize>> = vec![Vec::new(); count];
        let mut children: Vec<Vec<usize>> = vec![Vec::new(); count];
        let mut seen = vec![usize::MAX; count];
        for column in 0..count {
            let own = neighbours[nodes[column]].iter().map(|&n| columns[n]);
            let inherited = children[column].iter().flat_map(|&child| rows[child].iter().copied());
            seen[column] = column;
            let mut mine: Vec<usize> = own
                .chain(inherited)
                .filter(|&row| row > column && std::mem::replace(&mut seen[row], column) != column)
                .collect();
            mine.sort_unstable();
            if let Some(&parent) = mine.first() {
                children[parent].push(column);
            }
            rows[column] = mine;
        }
        let below = rows.iter().map(|r| vec![[[0.0; 6]; 6]; r.len()]).collect();
        Self { nodes, columns, rows, below, diagonal: vec![[[0.0; 6]; 6]; count] }
    }

    /// Adds to the block of two nodes; for two different ones, in one order only.
    pub fn add(&mut self, row: usize, column: usize, block: &Matrix6<f64>) {
        let (mut row, mut column) = (self.columns[row], self.columns[column]);
        let mut block = *block;
        if row < column {
            (row, column) = (column, row);
            block.transpose_mut();
        }
        let target = if row == column {
            &mut self.diagonal[column]
        } else {
            let Ok(at) = self.rows[column].binary_search(&row) else { return };
            &mut self.below[column][at]
        };
        for (to, from) in target.iter_mut().zip(block.column_iter()) {
            to.iter_mut().zip(from.iter()).for_each(|(t, f)| *t += f);
        }
    }

    /// A node's own block.
    pub fn own(&self, node: usize) -> Matrix6<f64> {
        let block = &self.diagonal[self.columns[node]];
        Matrix6::from_fn(|i, j| block[j][i])
    }

    /// Splits the matrix. Where it cannot, how every node can move without straining anything.
    pub fn factor(&mut self) -> Result<(), Vec<Vector6<f64>>> {
        let count = self.nodes.len();
        let stiff: Vec<[f64; 6]> = self.diagonal.iter().map(|b| std::array::from_fn(|i| b[i][i])).collect();
        // Columns that reach into each row, and where in them it stands.
        let mut reach: Vec<Vec<(usize, usize)>> = vec![Vec::new(); count];
        for (column, rows) in self.rows.iter().enumerate() {
            rows.iter().enumerate().for_each(|(at, &row)| reach[row].push((column, at)));
        }
        let mut place = vec![0; count];
        for column in 0..count {
            self.rows[column].iter().enumerate().for_each(|(at, &row)| place[row] = at);
            let (done, rest) = self.below.split_at_mut(column);
            let (diagonal, target) = (&mut self.diagonal[column], &mut rest[0]);
            for &(earlier, at) in &reach[column] {
                let blocks = &done[earlier][at..];
                take(diagonal, &blocks[0], &blocks[0]);
                for (block, &row) in blocks.iter().zip(&self.rows[earlier][at..]).skip(1) {
                    take(&mut target[place[row]], block, &blocks[0]);
                }
            }
            let left = *diagonal;
            if !split(diagonal, &stiff[column]) {
                return Err(self.loose(column, &left, &stiff[column]));
            }
            let lower = *diagonal;
            for block in target.iter_mut() {
                divide(block, &lower);
            }
        }
        Ok(())
    }

    /// The motion that a vanishing pivot stands for: the softest of what is left at a node, and what the nodes that
    /// were eliminated before do along with it.
    fn loose(&self, column: usize, left: &Block, stiff: &[f64; 6]) -> Vec<Vector6<f64>> {
        let most = stiff.iter().copied().fold(0.0, f64::max);
        let scale: [f64; 6] = stiff.map(|s| 1.0 / if s > 0.0 { s } else { f64::max(most, 1.0) }.sqrt());
        let scaled = Matrix6::from_fn(|i, j| left[j.min(i)][j.max(i)] * scale[i] * scale[j]);
        let mut motion = vec![Vector6::zeros(); self.nodes.len()];
        let softest = if scaled.iter().all(|v| v.is_finite()) {
            let eigen = scaled.symmetric_eigen();
            eigen.eigenvectors.column(eigen.eigenvalues.imin()).into_owned()
        } else {
            Vector6::repeat(1.0)
        };
        let mut x = vec![[0.0; 6]; self.nodes.len()];
        x[column] = std::array::from_fn(|i| softest[i] * scale[i]);
        for earlier in (0..column).rev() {
            x[earlier] = self.back(earlier, [0.0; 6], &x);
        }
        for (x, &node) in x.iter().zip(&self.nodes) {
            motion[node] = Vector6::from(*x);
        }
        motion
    }

    /// Displacements for loads, both node by node.
    pub fn solve(&self, loads: &[Vector6<f64>]) -> Vec<Vector6<f64>> {
        let mut x: Vec<[f64; 6]> = self.nodes.iter().map(|&node| loads[node].into()).collect();
        for column in 0..x.len() {
            let lower = &self.diagonal[column];
            let mut own = x[column];
            for i in 0..6 {
                own[i] /= lower[i][i];
                for j in i + 1..6 {
                    own[j] -= lower[i][j] * own[i];
                }
            }
            x[column] = own;
            for (block, &row) in self.below[column].iter().zip(&self.rows[column]) {
                for (col, times) in block.iter().zip(own) {
                    x[row].iter_mut().zip(col).for_each(|(x, b)| *x -= b * times);
                }
            }
        }
        for column in (0..x.len()).rev() {
            x[column] = self.back(column, x[column], &x);
        }
        let mut out = vec![Vector6::zeros(); x.len()];
        x.iter().zip(&self.nodes).for_each(|(x, &node)| out[node] = Vector6::from(*x));
        out
    }

    /// One node's part of the way back, from its right-hand side and what comes after it.
    fn back(&self, column: usize, mut right: [f64; 6], x: &[[f64; 6]]) -> [f64; 6] {
        for (block, &row) in self.below[column].iter().zip(&self.rows[column]) {
            for (right, col) in right.iter_mut().zip(block) {
                *right -= col.iter().zip(&x[row]).map(|(b, x)| b * x).sum::<f64>();
            }
        }
        let lower = &self.diagonal[column];
        for i in (0..6).rev() {
            let known: f64 = (i + 1..6).map(|j| lower[i][j] * right[j]).sum();
            right[i] = (right[i] - known) / lower[i][i];
        }
        right
    }
}

/// Takes a bᵀ away from a block. The inner loops are over a column, which is vectorised.
#[inline]
fn take(from: &mut Block, a: &Block, b: &Block) {
    for (j, column) in from.iter_mut().enumerate() {
        let mut sum = *column;
        for (a, b) in a.iter().zip(b) {
            sum.iter_mut().zip(a).for_each(|(s, a)| *s -= a * b[j]);
        }
        *column = sum;
    }
}

/// A symmetric block into its lower triangle; false where a pivot vanishes, against what it was, or is not a number.
fn split(block: &mut Block, stiff: &[f64; 6]) -> bool {
    for i in 0..6 {
        let pivot = block[i][i];
        let something = pivot > NOTHING * stiff[i];
        if !something || !pivot.is_finite() {
            return false;
        }
        let root = pivot.sqrt();
        block[i].iter_mut().for_each(|v| *v /= root);
        let column = block[i];
        for j in i + 1..6 {
            for k in j..6 {
                block[j][k] -= column[k] * column[j];
            }
        }
    }
    true
}

/// A block times the inverse of a lower triangle's transpose.
#[inline]
fn divide(block: &mut Block, lower: &Block) {
    for i in 0..6 {
        let per = 1.0 / lower[i][i];
        block[i].iter_mut().for_each(|v| *v *= per);
        let column = block[i];
        for j in i + 1..6 {
            block[j].iter_mut().zip(column).for_each(|(v, c)| *v -= c * lower[i][j]);
        }
    }
}
