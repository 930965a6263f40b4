//! Changes of rails, nodes and tubes: cut, notched, plated, moved.

use nalgebra::Vector3;

use super::{Applied, To};
use crate::car::Car;
use crate::car::error::{CarError, instead_of};
use crate::car::fixed::FixedTube;
use crate::car::nodes::{Node, TubePoint, cut_of};
use crate::car::proposal::Change;
use crate::car::sawn::{EndPlate, RailNotch, SawCut};

impl Change {
    /// Makes this change of the frame.
    pub(super) fn apply_to_frame(&self, car: &mut Car) -> Applied {
        match self {
            Self::CutRail { rail, from, to, ends } => {
                let cut = SawCut { from: *from, to: *to, ends: *ends };
                car.rail_mut(rail).map_err(|e| e.within("rail"))?.cuts.push(cut);
            }
            Self::NotchRail { rail, from, to, face, depth } => {
                let notch = RailNotch { from: *from, to: *to, face: *face, depth: *depth };
                car.rail_mut(rail).map_err(|e| e.within("rail"))?.notches.push(notch);
            }
            Self::EndPlate { rail, cut, nth, thickness, over } => {
                let rail = car.rail_mut(rail).map_err(|e| e.within("rail"))?;
                // Said here, where the change stands, and not of the rail that it is made of.
                cut_of(rail, *nth)?;
                rail.plates.push(EndPlate { cut: *cut, nth: *nth, thickness: *thickness, over: *over });
            }
            Self::AddNode(node) => car.nodes.push(node.clone()),
            Self::MoveNode { node, to, by } => {
                let to = To::one(*to, *by)?;
                let node = car.node_mut(node).map_err(|e| e.within("node"))?;
                match to {
                    To::Place(at) => node.at = at,
                    To::Shift(by) => node.at += by,
                }
            }
            Self::RemoveNode(name) => {
                car.node_mut(name).map_err(|e| e.within(0))?;
                car.nodes.retain(|node| node.name != *name);
            }
            Self::MoveBend { tube, bend, to, by } => {
                let index = car.tube_named(tube).map_err(|e| e.within("tube"))?;
                let FixedTube { points, mirror, .. } = &car.tubes[index];
                let count = points.len();
                let Some(corner) = bend.checked_sub(1).filter(|&corner| corner < count) else {
                    let what = format!("the tube `{tube}` has no corner {bend}: they count from 1 to {count}");
                    return Err(CarError::new(what).within("bend"));
                };
                let point = match (to, by) {
                    (Some(point), None) => point.clone(),
                    // A corner that is shifted leaves what it was joined to.
                    (None, Some(by)) => TubePoint::At(car.tube_point(&points[corner], *mirror)? + by),
                    _ => return To::one(to.as_ref().map(|_| Vector3::zeros()), *by).map(|_| ()),
                };
                car.tubes[index].points[corner] = point;
            }
            _ => return Err(CarError::new("this is no change of the frame")),
        }
        Ok(())
    }
}

impl Car {
    /// The node of this name, the base name where it is mirrored.
    fn node_mut(&mut self, name: &str) -> Result<&mut Node, CarError> {
        match self.nodes.iter().position(|n| n.name == name) {
            Some(index) => Ok(&mut self.nodes[index]),
            None => {
                let names = self.nodes.iter().map(|n| n.name.as_str());
                Err(CarError::new(format!("there is no node `{name}`{}", instead_of(name, names))))
            }
        }
    }

    /// Which tube has this name, the base name where it is mirrored.
    fn tube_named(&self, name: &str) -> Result<usize, CarError> {
        self.tubes.iter().position(|t| t.name == name).ok_or_else(|| {
            let names = self.tubes.iter().map(|t| t.name.as_str());
            CarError::new(format!("there is no tube `{name}`{}", instead_of(name, names)))
        })
    }
}

impl FixedTube {
    /// Moves those of its corners that are places of its own; a corner on a node or a rail stays there.
    pub(super) fn shift(&mut self, by: Vector3<f64>) {
        for point in &mut self.points {
            if let TubePoint::At(at) = point {
                *at += by;
            }
        }
    }
}
