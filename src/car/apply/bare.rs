//! A proposal without what it welds in: the bare cut.

use crate::car::Car;
use crate::car::proposal::Change;

impl Car {
    /// The car with the proposal `name` made of it, but for its new rails, tubes and end plates and what is done to them.
    /// None where there is no such proposal, it adds none, or what is left of it cannot be made.
    pub fn proposed_bare(&self, name: &str) -> Option<Self> {
        let mut car = self.clone();
        let proposal = car.proposals.iter_mut().find(|p| p.name == name)?;
        let mut added: Vec<String> = proposal.changes.iter().filter_map(Change::adds).map(str::to_owned).collect();
        // Places on what is added go with it.
        let place = |change: &Change| match change {
            Change::AddNode(node) if node.on.as_ref().is_some_and(|on| added.contains(on)) => Some(node.name.clone()),
            _ => None,
        };
        let places: Vec<String> = proposal.changes.iter().filter_map(place).collect();
        added.extend(places);
        let all = proposal.changes.len();
        proposal.changes.retain(|change| {
            let of_added = change.speaks_of().is_some_and(|part| added.iter().any(|name| name == part));
            !(change.adds().is_some() || matches!(change, Change::EndPlate { .. }) || of_added)
        });
        if proposal.changes.len() == all { None } else { car.proposed(name).ok() }
    }
}

impl Change {
    /// The rail or tube that it adds.
    fn adds(&self) -> Option<&str> {
        match self {
            Self::AddRail(rail) => Some(&rail.name),
            Self::AddTube(tube) => Some(&tube.name),
            _ => None,
        }
    }

    /// The rail, tube or node that it is about.
    fn speaks_of(&self) -> Option<&str> {
        match self {
            Self::MoveCorner { rail: part, .. }
            | Self::MovePart { part, .. }
            | Self::Remove(part)
            | Self::CutRail { rail: part, .. }
            | Self::NotchRail { rail: part, .. }
            | Self::MoveNode { node: part, .. }
            | Self::RemoveNode(part)
            | Self::MoveBend { tube: part, .. } => Some(part),
            Self::AddNode(node) => Some(&node.name),
            Self::ReplaceRail(rail) => Some(&rail.name),
            _ => None,
        }
    }
}
