//! A rail's corner, put where it is to be.

use nalgebra::Vector3;

use super::{Edited, Editor, Move};
use crate::car::error::{CarError, instead_of};
use crate::car::proposal::Change;

impl Editor<'_> {
    pub(super) fn put_found_corner(&mut self, name: &str, corner: usize, to: Vector3<f64>) -> Edited {
        let rails = &self.file.car().rails;
        let Some(index) = rails.iter().position(|r| r.name == name) else {
            let names = rails.iter().map(|r| r.name.as_str());
            return Err(CarError::new(format!("there is no rail `{name}` as found{}", instead_of(name, names))));
        };
        let line = &rails[index].centreline;
        let Some(from) = corner.checked_sub(1).and_then(|corner| line.get(corner)) else {
            let count = line.len();
            let what = format!("the rail `{name}` has no corner {corner}: they count from 1 to {count}");
            return Err(CarError::new(what));
        };
        self.patch.point(&path!["rails", index, "centreline", corner - 1], Some(*from), to);
        Ok(())
    }

    pub(super) fn put_proposed_corner(
        &mut self,
        proposal: &str,
        name: &str,
        number: usize,
        to: Vector3<f64>,
    ) -> Edited {
        let index = self.proposal(proposal)?;
        let mut last = None;
        for (step, change) in self.changes(index).iter().enumerate().rev() {
            match change {
                Change::MoveCorner { rail, corner, to, .. } if rail == name && *corner == number => {
                    last = Some(Move { steps: path![step].to_vec(), to: *to });
                    break;
                }
                Change::MovePoint { .. } | Change::MoveCorner { .. } | Change::Rear(_) => {}
                _ => break,
            }
        }
        let entry = format!("move_corner(rail: {name:?}, corner: {number}, to: {})", self.unit().point(to));
        self.put_move(index, last, &entry, to)
    }
}
