//! The order of evaluation, and the loops that have none.

use super::book::{Node, NodeId};

/// An order in which every node comes after those that it rests on, and the loops that have none.
pub(super) fn order(nodes: &[Node]) -> (Vec<NodeId>, Vec<Vec<NodeId>>) {
    let count = nodes.len();
    let mut order = Vec::with_capacity(count);
    let mut loops = Vec::new();
    // 0 not met, 1 on the way, 2 done.
    let mut met = vec![0_u8; count];
    let mut way: Vec<(NodeId, Vec<NodeId>, usize)> = Vec::new();
    let below = |id: NodeId| {
        let mut found = Vec::new();
        if let Some(formula) = &nodes[id as usize].formula {
            formula.nodes(&mut found);
        }
        found
    };
    for start in 0..super::build::id_of(count) {
        if met[start as usize] != 0 {
            continue;
        }
        met[start as usize] = 1;
        way.push((start, below(start), 0));
        while let Some((id, on, next)) = way.last_mut() {
            let Some(under) = on.get(*next).copied() else {
                met[*id as usize] = 2;
                order.push(*id);
                way.pop();
                continue;
            };
            *next += 1;
            match met[under as usize] {
                0 => {
                    met[under as usize] = 1;
                    way.push((under, below(under), 0));
                }
                1 => {
                    let from = way.iter().position(|(id, ..)| *id == under).unwrap_or(0);
                    loops.push(way[from..].iter().map(|(id, ..)| *id).collect());
                }
                _ => {}
            }
        }
    }
    (order, loops)
}
