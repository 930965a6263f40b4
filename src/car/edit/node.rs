//! Nodes: made, moved and taken away, in a proposal as tubes are.

use nalgebra::Vector3;

use super::{Edited, Editor, Move};
use crate::car::error::{CarError, instead_of};
use crate::car::nodes::Node;
use crate::car::proposal::Change;

impl Editor<'_> {
    pub(super) fn add_node(&mut self, proposal: Option<&str>, node: &Node) -> Edited {
        self.add(proposal, "nodes", "add_node", &node.fields(self.unit()))
    }

    pub(super) fn put_node(&mut self, proposal: Option<&str>, name: &str, to: Vector3<f64>) -> Edited {
        let Some(proposal) = proposal else {
            let index = self.found_node(name)?;
            self.patch.point(&path!["nodes", index, "at"], Some(self.file.car().nodes[index].at), to);
            return Ok(());
        };
        let index = self.proposal(proposal)?;
        let mut last = None;
        for (step, change) in self.changes(index).iter().enumerate().rev() {
            match change {
                Change::AddNode(node) if node.name == name => {
                    self.patch.point(&path!["proposals", index, "changes", step, "at"], Some(node.at), to);
                    return Ok(());
                }
                Change::MoveNode { node, to, .. } if node == name => {
                    last = Some(Move { steps: path![step].to_vec(), to: *to });
                    break;
                }
                _ => {}
            }
        }
        let entry = format!("move_node(node: {name:?}, to: {})", self.unit().point(to));
        self.put_move(index, last, &entry, to)
    }

    pub(super) fn remove_node(&mut self, proposal: Option<&str>, name: &str) -> Edited {
        let found = self.file.car().nodes.iter().position(|n| n.name == name);
        self.take_away(
            proposal,
            ("nodes", found),
            &format!("remove_node({name:?})"),
            &format!("node `{name}`"),
            |change| match change {
                Change::AddNode(node) if node.name == name => Some(true),
                Change::MoveNode { node, .. } if node == name => Some(false),
                _ => None,
            },
        )
    }

    fn found_node(&self, name: &str) -> Result<usize, CarError> {
        let nodes = &self.file.car().nodes;
        nodes.iter().position(|n| n.name == name).ok_or_else(|| {
            let names = nodes.iter().map(|n| n.name.as_str());
            CarError::new(format!("there is no node `{name}` as found{}", instead_of(name, names)))
        })
    }
}
