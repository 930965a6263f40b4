//! A proposal applied to a car as found: its changes, made in order.

use nalgebra::Vector3;

use super::Car;
use super::axle::{PointName, Sides};
use super::body::{Panel, Rail};
use super::check::{self, SPLITTER};
use super::error::{CarError, instead_of};
use super::proposal::{Change, Pickups, Proposal};

mod axle;
mod bare;
mod frame;
mod grow;
mod to;

use to::To;

type Applied = Result<(), CarError>;

impl Car {
    /// The car with the proposal `name` made of it. What results has no proposals.
    ///
    /// # Errors
    /// There is no such proposal; or a change speaks of what is not there; or what results cannot be built. The last
    /// is laid on the change from which on it cannot.
    pub fn proposed(&self, name: &str) -> Result<Self, CarError> {
        let Some(index) = self.proposals.iter().position(|p| p.name == name) else {
            let names = self.proposals.iter().map(|p| p.name.as_str());
            let what = format!("there is no proposal `{name}`{}", instead_of(name, names));
            return Err(CarError::new(what).within("proposals"));
        };
        let here = |step: usize, e: CarError| e.within(step).within("changes").within(index).within("proposals");
        let changes = &self.proposals[index].changes;
        let played = |count: usize| {
            let mut car = Self { proposals: Vec::new(), ..self.clone() };
            for (step, change) in changes[..count].iter().enumerate() {
                change.apply(&mut car).map_err(|e| here(step, e))?;
            }
            Ok(car)
        };
        let car = played(changes.len())?;
        let Err(fault) = check::car(&car) else { return Ok(car) };
        // A car in the middle of its changes may be impossible: what matters is from which change on it stays so.
        let impossible = |count: usize| played(count).is_ok_and(|car: Self| check::car(&car).is_err());
        let step = (1..changes.len()).rev().find(|&count| !impossible(count)).unwrap_or(0);
        let what = format!("with change {} of the proposal `{name}`, {}", step + 1, fault.what());
        Err(here(step, CarError::new(what)))
    }

    /// The car with these changes made of it, in order, as if they stood in a proposal of this name.
    ///
    /// # Errors
    /// As [`Car::proposed`].
    pub fn changed(&self, name: &str, changes: Vec<Change>) -> Result<Self, CarError> {
        let proposal = Proposal { name: name.to_owned(), note: String::new(), changes };
        let car = Self { proposals: vec![proposal], ..self.clone() }.proposed(name)?;
        Ok(Self { made: Some(name.to_owned()), ..car })
    }

    /// The car with these changes made of it, in order, and not checked: for a search, which asks so of thousands of cars and
    /// checks those that it tells.
    ///
    /// # Errors
    /// A change speaks of what is not there.
    pub(crate) fn unchecked(&self, changes: &[Change]) -> Result<Self, CarError> {
        let mut car = self.clone();
        changes.iter().try_for_each(|change| change.apply(&mut car))?;
        Ok(car)
    }

    /// The rail of this name, the base name where it is mirrored.
    pub(super) fn rail_mut(&mut self, name: &str) -> Result<&mut Rail, CarError> {
        match self.rails.iter().position(|r| r.name == name) {
            Some(index) => Ok(&mut self.rails[index]),
            None => {
                let names = self.rails.iter().map(|r| r.name.as_str());
                Err(CarError::new(format!("there is no rail `{name}`{}", instead_of(name, names))))
            }
        }
    }

    fn panel_mut(&mut self, name: &str) -> Result<&mut Panel, CarError> {
        match self.panels.iter().position(|p| p.name == name) {
            Some(index) => Ok(&mut self.panels[index]),
            None => {
                let names = self.panels.iter().map(|p| p.name.as_str());
                Err(CarError::new(format!("there is no panel `{name}`{}", instead_of(name, names))))
            }
        }
    }

    /// Says that nothing on the body has this name.
    fn no_part(&self, name: &str) -> CarError {
        CarError::new(format!("there is no part `{name}`{}", instead_of(name, self.part_names())))
    }

    fn move_part(&mut self, name: &str, by: Vector3<f64>) -> Applied {
        if let Some(rail) = self.rails.iter_mut().find(|r| r.name == name) {
            rail.centreline.iter_mut().for_each(|p| *p += by);
        } else if let Some(panel) = self.panels.iter_mut().find(|p| p.name == name) {
            panel.rows.iter_mut().flatten().for_each(|p| *p += by);
        } else if let Some(scan) = self.scans.iter_mut().find(|s| s.name == name) {
            scan.moved += by;
        } else if let Some(tube) = self.tubes.iter_mut().find(|t| t.name == name) {
            tube.shift(by);
        } else if let Some(block) = self.blocks.iter_mut().find(|b| b.name == name) {
            block.shape.shift(by);
        } else if name == SPLITTER && self.splitter.is_some() {
            let what = "the splitter is not moved but fitted again: use `fit_splitter` with its new outline";
            return Err(CarError::new(what));
        } else {
            return Err(self.no_part(name));
        }
        Ok(())
    }

    fn remove(&mut self, name: &str) -> Applied {
        let count = |car: &Self| {
            let run = car.rails.len() + car.panels.len() + car.scans.len() + car.tubes.len() + car.blocks.len();
            run + usize::from(car.splitter.is_some())
        };
        let before = count(self);
        self.tubes.retain(|t| t.name != name);
        self.blocks.retain(|b| b.name != name);
        self.rails.retain(|r| r.name != name);
        self.panels.retain(|p| p.name != name);
        self.scans.retain(|s| s.name != name);
        self.splitter.take_if(|_| name == SPLITTER);
        if count(self) < before { Ok(()) } else { Err(self.no_part(name)) }
    }

    fn lower_body(&mut self, by: f64, pickups: Pickups) {
        // Coordinates are the body's, so it is the ground that comes up.
        self.ground += by;
        if let Some(splitter) = &mut self.splitter {
            splitter.height -= by;
        }
        if pickups == Pickups::Stay {
            for axle in [Some(&mut self.front), self.rear.as_mut()].into_iter().flatten() {
                for &name in PointName::ALL {
                    axle.set_point(Sides::Both, name, |p| p + Vector3::new(0.0, 0.0, by));
                }
            }
        }
    }
}

impl Change {
    fn apply(&self, car: &mut Car) -> Applied {
        match self {
            Self::MovePoint { .. }
            | Self::GrowArms { .. }
            | Self::ReplaceTyre(_)
            | Self::ReplaceWheel(_)
            | Self::BuildArm { .. }
            | Self::ReplaceDamper(_)
            | Self::FitSpring(_)
            | Self::ReplaceRocker(_)
            | Self::ReplaceBar(_)
            | Self::ReplaceRack(_)
            | Self::ReplaceSteeringBox(_) => self.apply_to(&mut car.front)?,
            Self::CutRail { .. }
            | Self::NotchRail { .. }
            | Self::EndPlate { .. }
            | Self::AddNode(_)
            | Self::MoveNode { .. }
            | Self::RemoveNode(_)
            | Self::MoveBend { .. } => self.apply_to_frame(car)?,
            Self::Rear(change) => match &mut car.rear {
                Some(rear) => change.apply_to(rear).map_err(|e| e.within(0))?,
                None => return Err(CarError::new("the car has no `rear` axle to change: describe it beside `front`")),
            },
            Self::LowerBody { by, pickups } => car.lower_body(*by, *pickups),
            Self::MoveCorner { rail, corner, to, by } => {
                let line = &mut car.rail_mut(rail).map_err(|e| e.within("rail"))?.centreline;
                let count = line.len();
                let Some(p) = corner.checked_sub(1).and_then(|index| line.get_mut(index)) else {
                    let what = format!("the rail `{rail}` has no corner {corner}: they count from 1 to {count}");
                    return Err(CarError::new(what).within("corner"));
                };
                match To::one(*to, *by)? {
                    To::Place(at) => *p = at,
                    To::Shift(shift) => *p += shift,
                }
            }
            Self::MovePart { part, by } => car.move_part(part, *by).map_err(|e| e.within("part"))?,
            Self::ReplaceRail(rail) => {
                *car.rail_mut(&rail.name).map_err(|e| e.within("name"))? = rail.clone();
            }
            Self::ReplacePanel(panel) => {
                *car.panel_mut(&panel.name).map_err(|e| e.within("name"))? = panel.clone();
            }
            Self::Remove(part) => car.remove(part).map_err(|e| e.within(0))?,
            Self::AddRail(rail) => car.rails.push(rail.clone()),
            Self::AddPanel(panel) => car.panels.push(panel.clone()),
            Self::AddTube(tube) => car.tubes.push(tube.clone()),
            Self::AddBlock(block) => car.blocks.push(block.clone()),
            Self::FitSplitter(splitter) => {
                if splitter.height < 0.0 {
                    let what = "the splitter is under the ground: `height` is from the ground up to its underside";
                    return Err(CarError::new(what).within("height"));
                }
                car.splitter = Some(splitter.clone());
            }
            Self::SetSweep(sweep) => car.sweep = *sweep,
            Self::SetWanted(wanted) => car.wanted = *wanted,
        }
        Ok(())
    }
}
