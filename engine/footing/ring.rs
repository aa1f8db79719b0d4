//! The optimum of a closed ring of walls.
//!
//! No riser stands at a corner, so the cells on both sides of station 0 share a level: the last run wraps round to the
//! first riser. It hangs together only through its length, and through having length at all; so first risers that
//! leave it long enough by themselves are settled together, the few near station 0 one by one.

use super::solve::{Close, Optimum, Settled};
use super::tables::Tables;
use crate::measure::Nm;

/// The optimum of a ring.
pub(super) fn of_ring(tables: &Tables) -> Option<Optimum> {
    let mut best: Option<Optimum> = None;
    for (level, cost) in tables.one_level() {
        let levels = vec![level; tables.cells()];
        enter(&mut best, Optimum { cost, risers: 0, levels, layouts: 1 });
    }
    for level in tables.site.module.levels() {
        let firsts = (1..tables.cells()).flat_map(|edge| tables.exits(edge, level));
        let alone = |index: &usize| {
            let node = &tables.nodes[*index];
            let short = tables.edges[node.edge()] < tables.site.rules.shortest_run;
            short || tables.end_before(node).0 == Nm::ZERO
        };
        let (near, far): (Vec<usize>, Vec<usize>) = firsts.partition(alone);
        if !far.is_empty() {
            let close =
                Close { level: Some(level), beyond: tables.site.rules.shortest_run, strict: false };
            let found = Settled::new(tables, close).first_exits(level, far.into_iter());
            found.into_iter().for_each(|found| enter(&mut best, found));
        }
        for index in near {
            let node = &tables.nodes[index];
            let close = Close {
                level: Some(level),
                beyond: tables.edges[node.edge()],
                strict: tables.end_before(node).0 == Nm::ZERO,
            };
            let found = Settled::new(tables, close).first_exits(level, std::iter::once(index));
            found.into_iter().for_each(|found| enter(&mut best, found));
        }
    }
    best
}

fn enter(best: &mut Option<Optimum>, new: Optimum) {
    let Some(known) = best else {
        *best = Some(new);
        return;
    };
    match (new.cost, new.risers).cmp(&(known.cost, known.risers)) {
        std::cmp::Ordering::Less => *known = new,
        std::cmp::Ordering::Greater => {}
        std::cmp::Ordering::Equal => {
            let layouts = known.layouts.saturating_add(new.layouts);
            if new.levels < known.levels {
                *known = new;
            }
            known.layouts = layouts;
        }
    }
}
