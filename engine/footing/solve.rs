//! The exact optimum: least total, then fewest risers, then the smallest list of levels from station 0.
//!
//! A node is a riser (edge, level before, level after); a run leads from one node to the next. Nodes are settled
//! from the far end, so that of two equal continuations the one with the lower next level is kept where they first
//! differ, and no list is ever compared. A run that is long enough, and whose end lies beyond the strip at its start,
//! may end wherever its cells go on meeting the ground: those ends are kept as one running best per level
//! (`onward`), so that the work grows with the length of the walls and not with its square.

use super::tables::{RunStart, Tables};
use crate::measure::Nm;

/// The best way from a node, or from the start, to the chain's end.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Best {
    pub(super) cost: i128,
    /// Layouts that cost the same with as many risers; never more than this counts.
    pub(super) layouts: u64,
    pub(super) risers: u32,
    /// The next riser's place among the nodes; `LAST` when the run goes to the end.
    next: u32,
}

const LAST: u32 = u32::MAX;

/// How the last run closes.
#[derive(Debug, Clone, Copy)]
pub(super) struct Close {
    /// The level that it must have, if any.
    pub(super) level: Option<i32>,
    /// Length that it has beyond the chain's end: on a ring, of the run that it joins.
    pub(super) beyond: Nm,
    /// Whether its own interval must have length before the chain's end.
    pub(super) strict: bool,
}

impl Close {
    /// An open end.
    pub(super) const OPEN: Self = Self { level: None, beyond: Nm::ZERO, strict: true };
}

/// The optimum as a list of levels.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Optimum {
    pub(super) cost: i128,
    pub(super) risers: u32,
    pub(super) levels: Vec<i32>,
    pub(super) layouts: u64,
}

/// All nodes settled for one way to close.
pub(super) struct Settled<'a> {
    tables: &'a Tables<'a>,
    close: Close,
    nodes: Vec<Option<Best>>,
    /// By cell and level: the best of the exits whose own interval ends in this cell or a later one, all cells from
    /// here to there deep enough; costs count from station 0 at the run's level.
    onward: Vec<Option<Best>>,
}

impl<'a> Settled<'a> {
    pub(super) fn new(tables: &'a Tables, close: Close) -> Self {
        let (cells, levels) = (tables.cells(), tables.levels.len());
        let nodes = vec![None; tables.nodes.len()];
        let mut settled = Self { tables, close, nodes, onward: vec![None; (cells + 1) * levels] };
        for edge in (0..cells).rev() {
            for (index, level) in tables.site.module.levels().enumerate() {
                settled.onward[edge * levels + index] = settled.exits_from(edge, index, level);
            }
            if edge == 0 {
                break;
            }
            for level in tables.site.module.levels() {
                for index in tables.exits(edge, level) {
                    let start = tables.after(&tables.nodes[index]);
                    settled.nodes[index] = settled.best(&start);
                }
            }
        }
        settled
    }

    fn exits_from(&self, cell: usize, index: usize, level: i32) -> Option<Best> {
        let tables = self.tables;
        let mut best = None;
        let must = tables.next_must[cell + 1] as usize;
        let typed = tables.level(level).next_untyped(cell);
        for edge in cell + 1..=must.min(typed).min(tables.cells() - 1) {
            if edge > cell + 1 && !tables.cut_may_reach(edge, cell) {
                break;
            }
            for exit in tables.exits(edge, level) {
                let (_, last, last_ok) = tables.end_before(&tables.nodes[exit]);
                if last == cell && last_ok {
                    self.take(&mut best, exit, level);
                }
            }
        }
        if tables.level(level).whole_ok(cell) && must > cell + 1 {
            let later = self.onward[(cell + 1) * tables.levels.len() + index];
            best = self.better(best, later, level);
        }
        best
    }

    /// Takes the continuation by a riser, its cost counted from station 0 at the run's level.
    fn take(&self, best: &mut Option<Best>, exit: usize, level: i32) {
        let Some(rest) = self.nodes[exit] else { return };
        let node = &self.tables.nodes[exit];
        let before = self.tables.level(level).cost_before[node.edge()];
        let next = u32::try_from(exit).unwrap_or(LAST);
        let cost = before + node.cost + rest.cost;
        let new = Best { cost, risers: rest.risers + 1, layouts: rest.layouts, next };
        *best = self.better(*best, Some(new), level);
    }

    /// The best continuation of a run.
    pub(super) fn best(&self, start: &RunStart) -> Option<Best> {
        let tables = self.tables;
        let level = start.level;
        let mut best = None;
        if start.first < tables.cells() {
            let long = tables.long_enough(start.edge);
            let far = (start.first + 1).max(long - 1);
            self.near_exits(start, long, far, &mut best);
            let on = far < tables.cells()
                && start.first_ok
                && tables.level(level).next_bad(start.first + 1) >= far
                && tables.level(level).next_untyped(start.edge) > start.first
                && tables.next_must[start.edge + 1] as usize > far;
            if on {
                let index = far * tables.levels.len() + tables.index(level);
                best = self.better(best, self.onward[index], level);
            }
        }
        best = self.better(best, self.to_end(start), level);
        best.map(|best| Best {
            cost: best.cost - tables.level(level).cost_before[start.edge],
            ..best
        })
    }

    /// Exits whose own interval ends before cell `far`: their strips reach back beyond it.
    fn near_exits(&self, start: &RunStart, long: usize, far: usize, best: &mut Option<Best>) {
        let tables = self.tables;
        for edge in long.max(start.first + 1)..tables.cells() {
            if edge > far && !tables.cut_may_reach(edge, far - 1) {
                break;
            }
            for exit in tables.exits(edge, start.level) {
                let node = &tables.nodes[exit];
                if tables.end_before(node).1 < far && tables.run_holds(start, node) {
                    self.take(best, exit, start.level);
                }
            }
        }
    }

    fn to_end(&self, start: &RunStart) -> Option<Best> {
        let (tables, close) = (self.tables, &self.close);
        let length = tables.end() - tables.edges[start.edge] + close.beyond;
        let closes = close.level.is_none_or(|level| level == start.level)
            && length >= tables.site.rules.shortest_run
            && (!close.strict || start.from < tables.end())
            && tables.reaches_end(start);
        let cost = tables.level(start.level).cost_before[tables.cells()];
        closes.then_some(Best { cost, risers: 0, layouts: 1, next: LAST })
    }

    /// Of two continuations of a run at `level`: the cheaper, then the one with fewer risers, then the one whose list
    /// of levels is smaller. Both lists are `level` up to the earlier riser; there the next level decides.
    fn better(&self, known: Option<Best>, new: Option<Best>, level: i32) -> Option<Best> {
        let (Some(known), Some(new)) = (known, new) else { return known.or(new) };
        Some(match (new.cost, new.risers).cmp(&(known.cost, known.risers)) {
            std::cmp::Ordering::Less => new,
            std::cmp::Ordering::Greater => known,
            std::cmp::Ordering::Equal => {
                let layouts = known.layouts.saturating_add(new.layouts);
                let at =
                    |next: u32| self.tables.nodes.get(next as usize).map(|n| (n.edge, n.after));
                let new_is_smaller = match (at(known.next), at(new.next)) {
                    (Some(a), Some(b)) if a.0 == b.0 => b.1 < a.1,
                    (Some(a), Some(b)) if b.0 < a.0 => b.1 < level,
                    (Some(a), Some(_) | None) => level < a.1,
                    (None, Some(b)) => b.1 < level,
                    (None, None) => false,
                };
                Best { layouts, ..if new_is_smaller { new } else { known } }
            }
        })
    }

    /// The levels of the cells from a run's start to the end.
    fn levels(&self, level: i32, best: Best) -> Option<Vec<i32>> {
        let (mut level, mut next) = (level, best.next);
        let mut levels = Vec::with_capacity(self.tables.cells());
        while let Some(node) = self.tables.nodes.get(next as usize) {
            levels.resize(node.edge(), level);
            level = node.after;
            next = self.nodes[next as usize]?.next;
        }
        levels.resize(self.tables.cells(), level);
        Some(levels)
    }

    /// The best way through a riser of the first run of a ring: of those that `among` names.
    pub(super) fn first_exits(
        &self,
        level: i32,
        among: impl Iterator<Item = usize>,
    ) -> Option<Optimum> {
        let start = self.tables.start(level);
        let mut best = None;
        for exit in among {
            let node = &self.tables.nodes[exit];
            if self.first_run_holds(&start, exit) && node.before == level {
                self.take(&mut best, exit, level);
            }
        }
        self.optimum(level, best?)
    }

    /// As `run_holds`, but the part of a ring's wrapping run after station 0 may be all strip.
    fn first_run_holds(&self, start: &RunStart, exit: usize) -> bool {
        let (tables, node) = (self.tables, &self.tables.nodes[exit]);
        tables.all_strip(start, node) || tables.run_holds(start, node)
    }

    fn optimum(&self, level: i32, best: Best) -> Option<Optimum> {
        let levels = self.levels(level, best)?;
        Some(Optimum { levels, cost: best.cost, risers: best.risers, layouts: best.layouts })
    }

    /// The optimum of an open chain, or nothing when no layout is legal.
    pub(super) fn of_open_chain(&self) -> Option<Optimum> {
        let starts = self.tables.site.module.levels().filter_map(|level| {
            let best = self.best(&self.tables.start(level))?;
            Some((level, best))
        });
        let mut least: Option<(i32, Best)> = None;
        for (level, best) in starts {
            least = Some(match least {
                None => (level, best),
                Some((first, known)) => {
                    match (best.cost, best.risers).cmp(&(known.cost, known.risers)) {
                        std::cmp::Ordering::Less => (level, best),
                        std::cmp::Ordering::Greater => (first, known),
                        std::cmp::Ordering::Equal => {
                            let layouts = known.layouts.saturating_add(best.layouts);
                            (first, Best { layouts, ..known })
                        }
                    }
                }
            });
        }
        let (level, best) = least?;
        self.optimum(level, best)
    }
}
