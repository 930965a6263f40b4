//! The keep-out of a tyre as a surface: all the space it takes up in a sweep, grown by a gap.
//!
//! The signed distance to the keep-out is the least over the sweep's poses. Its surface is drawn through a grid of cells
//! by surface nets (Gibson, Constrained Elastic Surface Nets, 1998): one corner in each cell that the surface crosses,
//! at the mean of the crossings of its edges, and a quad across each crossed edge. For looking at; the gaps themselves
//! are measured exactly.

use nalgebra::Vector3;
use rayon::prelude::*;

use super::parts::Parts;
use super::sweep::WheelSweep;

/// A closed surface of triangles.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Surface {
    /// Corners, mm.
    pub corners: Vec<Vector3<f64>>,
    /// Outward unit normals at the corners.
    pub normals: Vec<Vector3<f64>>,
    /// Triangles, counter-clockwise seen from outside.
    pub triangles: Vec<[u32; 3]>,
}

/// Cells along each side of a block that is passed over at once where the surface is far.
const BLOCK: usize = 6;

/// The keep-out of a side's tyre, grown by `gap`, drawn with cells of `cell` mm.
pub fn keep_out(parts: &Parts, sweep: &WheelSweep, gap: f64, cell: f64) -> Surface {
    let far = parts.tyre(sweep.hub).reach + gap + cell;
    let (mut low, mut high) = (Vector3::repeat(f64::INFINITY), Vector3::repeat(f64::NEG_INFINITY));
    for (_, pose) in &sweep.poses {
        low = low.inf(&pose.wheel_centre.add_scalar(-far));
        high = high.sup(&pose.wheel_centre.add_scalar(far));
    }
    let cells = (high - low) / (cell * BLOCK as f64);
    let blocks = [cells.x, cells.y, cells.z].map(|n| n.ceil() as usize);
    let field = Field { parts, sweep, gap, cell, low, size: blocks.map(|n| n * BLOCK + 1) };
    field.surface()
}

struct Field<'a> {
    parts: &'a Parts,
    sweep: &'a WheelSweep,
    gap: f64,
    cell: f64,
    low: Vector3<f64>,
    /// Grid points along x, y and z.
    size: [usize; 3],
}

impl Field<'_> {
    fn at(&self, i: [usize; 3]) -> Vector3<f64> {
        self.low + Vector3::new(i[0] as f64, i[1] as f64, i[2] as f64) * self.cell
    }

    fn distance(&self, x: Vector3<f64>) -> f64 {
        let poses = self.sweep.poses.iter();
        poses.map(|(_, p)| Parts::placed(self.parts.tyre(p.hub), p).distance(x)).fold(f64::INFINITY, f64::min)
            - self.gap
    }

    fn index(&self, i: [usize; 3]) -> usize {
        (i[2] * self.size[1] + i[1]) * self.size[0] + i[0]
    }

    /// Distances at all grid points. A block whose middle is further from the surface than its corners takes the
    /// middle's value throughout.
    fn values(&self) -> Vec<f64> {
        let mut values = vec![0.0; self.size.iter().product()];
        let layer = self.size[0] * self.size[1];
        let half = (BLOCK - 1) as f64 / 2.0 * self.cell;
        // Layers of blocks: each owns its own layers of the grid.
        values.par_chunks_mut(layer * BLOCK).enumerate().for_each(|(k, chunk)| {
            let layers = chunk.len() / layer;
            for by in (0..self.size[1]).step_by(BLOCK) {
                for bx in (0..self.size[0]).step_by(BLOCK) {
                    let middle = self.distance(self.at([bx, by, k * BLOCK]).add_scalar(half));
                    let apart = middle.abs() > half * 3f64.sqrt() + self.cell * 1.8;
                    for z in 0..layers {
                        for y in by..(by + BLOCK).min(self.size[1]) {
                            for x in bx..(bx + BLOCK).min(self.size[0]) {
                                let place = (z * self.size[1] + y) * self.size[0] + x;
                                chunk[place] =
                                    if apart { middle } else { self.distance(self.at([x, y, k * BLOCK + z])) };
                            }
                        }
                    }
                }
            }
        });
        values
    }

    fn surface(&self) -> Surface {
        let values = self.values();
        let mut surface = Surface::default();
        let mut corner_of = vec![u32::MAX; values.len()];
        let cells = self.size.map(|n| n - 1);
        for z in 0..cells[2] {
            for y in 0..cells[1] {
                for x in 0..cells[0] {
                    if let Some(corner) = self.corner(&values, [x, y, z]) {
                        corner_of[self.index([x, y, z])] = surface.corners.len() as u32;
                        surface.corners.push(corner);
                    }
                }
            }
        }
        // Across each crossed edge along an axis the four cells around it share a quad.
        for z in 1..cells[2] {
            for y in 1..cells[1] {
                for x in 1..cells[0] {
                    for axis in 0..3 {
                        self.quad(&values, &corner_of, [x, y, z], axis, &mut surface.triangles);
                    }
                }
            }
        }
        let step = self.cell / 4.0;
        surface.normals = surface
            .corners
            .par_iter()
            .map(|c| {
                let slope = |d: Vector3<f64>| self.distance(c + d) - self.distance(c - d);
                Vector3::new(slope(Vector3::x() * step), slope(Vector3::y() * step), slope(Vector3::z() * step))
                    .try_normalize(1e-9)
                    .unwrap_or_else(Vector3::z)
            })
            .collect();
        surface
    }

    /// The mean of the places where a cell's edges cross the surface.
    fn corner(&self, values: &[f64], cell: [usize; 3]) -> Option<Vector3<f64>> {
        let (mut sum, mut crossings) = (Vector3::zeros(), 0);
        for axis in 0..3 {
            for side in 0..4 {
                let mut from = cell;
                from[(axis + 1) % 3] += side & 1;
                from[(axis + 2) % 3] += side >> 1;
                let mut to = from;
                to[axis] += 1;
                let (a, b) = (values[self.index(from)], values[self.index(to)]);
                if (a < 0.0) != (b < 0.0) {
                    sum += self.at(from) + (self.at(to) - self.at(from)) * (a / (a - b));
                    crossings += 1;
                }
            }
        }
        (crossings > 0).then(|| sum / f64::from(crossings))
    }

    fn quad(&self, values: &[f64], corner_of: &[u32], at: [usize; 3], axis: usize, out: &mut Vec<[u32; 3]>) {
        let mut to = at;
        to[axis] += 1;
        let (a, b) = (values[self.index(at)], values[self.index(to)]);
        if (a < 0.0) == (b < 0.0) {
            return;
        }
        let back = |one: usize, other: usize| {
            let mut cell = at;
            cell[(axis + 1) % 3] -= one;
            cell[(axis + 2) % 3] -= other;
            corner_of[self.index(cell)]
        };
        let [p, q, r, s] = [back(1, 1), back(0, 1), back(0, 0), back(1, 0)];
        if a < 0.0 {
            out.extend([[p, q, r], [p, r, s]]);
        } else {
            out.extend([[p, r, q], [p, s, r]]);
        }
    }
}
