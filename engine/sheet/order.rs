//! Who rests on whom, the order of evaluation, and the loops that have none.

use super::book::{Node, NodeId};

/// For every node the nodes that it rests on, each once.
#[derive(Debug, Clone, Default)]
pub(super) struct Links {
    starts: Vec<usize>,
    on: Vec<NodeId>,
}

impl Links {
    /// The links of nodes.
    pub(super) fn new(nodes: &[Node]) -> Self {
        let mut links = Self { starts: Vec::with_capacity(nodes.len() + 1), on: Vec::new() };
        links.on.reserve(nodes.len() * 3);
        for node in nodes {
            let start = links.on.len();
            links.starts.push(start);
            if let Some(formula) = &node.formula {
                formula.nodes(&mut links.on);
                let found = &mut links.on[start..];
                found.sort_unstable();
                let mut kept = start;
                for at in start..links.on.len() {
                    if at == start || links.on[at] != links.on[kept - 1] {
                        links.on[kept] = links.on[at];
                        kept += 1;
                    }
                }
                links.on.truncate(kept);
            }
        }
        links.starts.push(links.on.len());
        links
    }

    /// What a node rests on.
    pub(super) fn of(&self, id: NodeId) -> &[NodeId] {
        &self.on[self.starts[id as usize]..self.starts[id as usize + 1]]
    }

    /// How many links there are.
    pub(super) fn count(&self) -> usize {
        self.on.len()
    }
}

/// An order in which every node comes after those that it rests on, and the loops that have none.
pub(super) fn order(links: &Links, count: NodeId) -> (Vec<NodeId>, Vec<Vec<NodeId>>) {
    let mut order = Vec::with_capacity(count as usize);
    let mut loops = Vec::new();
    // 0 not met, 1 on the way, 2 done.
    let mut met = vec![0_u8; count as usize];
    let mut way: Vec<(NodeId, usize)> = Vec::new();
    for start in 0..count {
        if met[start as usize] != 0 {
            continue;
        }
        met[start as usize] = 1;
        way.push((start, 0));
        while let Some((id, next)) = way.last_mut() {
            let Some(under) = links.of(*id).get(*next).copied() else {
                met[*id as usize] = 2;
                order.push(*id);
                way.pop();
                continue;
            };
            *next += 1;
            match met[under as usize] {
                0 => {
                    met[under as usize] = 1;
                    way.push((under, 0));
                }
                1 => {
                    let from = way.iter().position(|(id, _)| *id == under).unwrap_or(0);
                    loops.push(way[from..].iter().map(|(id, _)| *id).collect());
                }
                _ => {}
            }
        }
    }
    (order, loops)
}
