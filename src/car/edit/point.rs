//! A measured point, put where it is to be.

use nalgebra::Vector3;

use super::{Edited, Editor, Move};
use crate::car::axle::{AxleName, PointName, Side, Sides};
use crate::car::proposal::Change;

impl Editor<'_> {
    pub(super) fn put_found_point(
        &mut self,
        name: AxleName,
        side: Sides,
        point: PointName,
        to: Vector3<f64>,
    ) -> Edited {
        let axle = self.axle(name)?;
        let left = axle.points.0.get(&point).copied();
        let right = axle.right.0.get(&point).copied();
        if axle.in_middle(point) {
            return self.put_in(name, "middle", point, axle.middle.0.get(&point).copied(), to);
        }
        if side.has(Side::Left) {
            self.put_in(name, "points", point, left, to)?;
        }
        match (side, left, right) {
            (Sides::Right, _, _) => self.put_in(name, "right", point, right, to),
            (Sides::Both, _, Some(_)) => self.put_in(name, "right", point, right, Side::Right.mirror(to)),
            // The right one stood where the left one's mirror image was, and stays there.
            (Sides::Left, Some(left), None) => self.put_in(name, "right", point, None, Side::Right.mirror(left)),
            _ => Ok(()),
        }
    }

    /// Puts a point in `points`, `right` or `middle` of an axle.
    fn put_in(
        &mut self,
        axle: AxleName,
        list: &str,
        point: PointName,
        from: Option<Vector3<f64>>,
        to: Vector3<f64>,
    ) -> Edited {
        if from.is_some() {
            self.patch.point(&path![axle.word(), list, point.name()], from, to);
            return Ok(());
        }
        let entry = format!("{}: {}", point.name(), self.unit().point(to));
        self.add_to(&path![axle.word(), list], &entry, &format!("{list}: {{\n\t{entry},\n}}"))
    }

    pub(super) fn put_proposed_point(
        &mut self,
        proposal: &str,
        axle: AxleName,
        side: Sides,
        name: PointName,
        to: Vector3<f64>,
    ) -> Edited {
        let index = self.proposal(proposal)?;
        let middle = self.axle(axle)?.in_middle(name);
        // The last change of this point counts, if nothing behind it could have moved the point again.
        let mut last = None;
        for (step, change) in self.changes(index).iter().enumerate().rev() {
            let (at, inner) = match change {
                Change::Rear(inner) => (AxleName::Rear, &**inner),
                _ => (AxleName::Front, change),
            };
            match inner {
                Change::MovePoint { point, side: moved, to, .. } if at == axle && *point == name => {
                    let steps = match at {
                        AxleName::Front => path![step].to_vec(),
                        AxleName::Rear => path![step, 0].to_vec(),
                    };
                    last = (*moved == side || middle).then_some(Move { steps, to: *to });
                    break;
                }
                Change::MovePoint { .. } | Change::MoveCorner { .. } => {}
                _ if at == AxleName::Rear && axle == AxleName::Front => {}
                _ => break,
            }
        }
        let word = match side {
            _ if middle => "",
            Sides::Both => "",
            Sides::Left => "side: left, ",
            Sides::Right => "side: right, ",
        };
        let entry = format!("move_point(point: {}, {word}to: {})", name.name(), self.unit().point(to));
        let entry = match axle {
            AxleName::Front => entry,
            AxleName::Rear => format!("rear({entry})"),
        };
        self.put_move(index, last, &entry, to)
    }
}
