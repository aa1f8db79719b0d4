//! How far a legal run reaches when no layout is legal to the end.

use super::tables::{RunStart, Tables};
use crate::measure::Nm;

/// The furthest station that a legal run reaches from the start.
pub(super) fn furthest(tables: &Tables) -> Nm {
    let cells = tables.cells();
    // By level and stretch of deep enough cells, named by the cell at which it ends: the first cell from which
    // a run that got there may end wherever the stretch allows.
    let mut onward = vec![vec![usize::MAX; cells + 1]; tables.levels.len()];
    let mut near = vec![false; tables.nodes.len()];
    let mut furthest = Nm::ZERO;
    let mut enter = |start: &RunStart, near: &mut Vec<bool>, onward: &mut Vec<Vec<usize>>| {
        let level = tables.level(start.level);
        let long = tables.long_enough(start.edge);
        let far = (start.first + 1).max(long - 1);
        for edge in long.max(start.first + 1)..cells {
            if edge > far && !tables.cut_may_reach(edge, far - 1) {
                break;
            }
            for exit in tables.exits(edge, start.level) {
                let node = &tables.nodes[exit];
                near[exit] |= tables.end_before(node).1 < far && tables.run_holds(start, node);
            }
        }
        if far < cells && start.first_ok && level.next_bad(start.first + 1) >= far {
            let first = &mut onward[tables.index(start.level)][level.next_bad(far)];
            *first = far.min(*first);
        }
        let long_enough = tables.end() - tables.edges[start.edge] >= tables.site.rules.shortest_run;
        if long_enough && tables.reaches_end(start) {
            furthest = tables.end();
        }
    };
    for level in tables.site.module.levels() {
        enter(&tables.start(level), &mut near, &mut onward);
    }
    let mut reached = Nm::ZERO;
    for (exit, node) in tables.nodes.iter().enumerate() {
        let (_, last, last_ok) = tables.end_before(node);
        let first = onward[tables.index(node.before)][tables.level(node.before).next_bad(last)];
        if near[exit] || (last_ok && first <= last) {
            reached = reached.max(tables.edges[node.edge()]);
            enter(&tables.after(node), &mut near, &mut onward);
        }
    }
    reached.max(furthest)
}
