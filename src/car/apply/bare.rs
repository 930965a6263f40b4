//! A proposal without what it welds in: the bare cut.

use crate::car::proposal::Change;
use crate::car::{Car, CarError, Node, Side};

impl Car {
    /// The car with the proposal `name` made of it, but for its new rails, tubes and end plates and what is done to them.
    /// None where there is no such proposal, or it adds none.
    ///
    /// # Errors
    /// What is left of it cannot be made.
    pub fn proposed_bare(&self, name: &str) -> Result<Option<Self>, CarError> {
        let mut car = self.clone();
        let Some(proposal) = car.proposals.iter_mut().find(|p| p.name == name) else { return Ok(None) };
        let adds: Vec<String> = proposal.changes.iter().filter_map(Change::adds).map(str::to_owned).collect();
        // Places on what is added go with it.
        let on_new = |node: &Node| {
            let is = |on: &str| adds.iter().any(|name| side_off(on) == name || on == name);
            node.on.as_deref().is_some_and(is)
        };
        // What stands before an addition may speak of a part of the same name that was there.
        let mut added: Vec<String> = Vec::new();
        let all = proposal.changes.len();
        proposal.changes.retain(|change| {
            let of_added = change.speaks_of().is_some_and(|part| added.iter().any(|name| name == part));
            let new = change.adds().or(match change {
                Change::AddNode(node) if on_new(node) => Some(node.name.as_str()),
                _ => None,
            });
            added.extend(new.map(str::to_owned));
            !(new.is_some() || matches!(change, Change::EndPlate { .. }) || of_added)
        });
        if proposal.changes.len() == all { Ok(None) } else { car.proposed(name).map(Some) }
    }
}

/// A name without the side before it.
fn side_off(name: &str) -> &str {
    let bare = |side: &Side| name.strip_prefix(side.word())?.strip_prefix(' ');
    Side::BOTH.iter().find_map(bare).unwrap_or(name)
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
            Self::ReplaceRail(rail) => Some(&rail.name),
            _ => None,
        }
    }
}
