//! The exact optimum: least total, then fewest risers, then the smallest list of levels from station 0.
//!
//! A node is a riser (edge, level before, level after); a run leads from one node to the next. Nodes are
//! settled from the far end, so that of two equal continuations the one with the lower next level is kept
//! where they first differ, and no list is ever compared.

use super::{CellAt, Riser, Site};
use crate::measure::Nm;
use crate::problem::Problem;

/// Most products of modules, levels and levels per riser.
const MOST_STATES: usize = 3_000_000;

/// A riser that may stand, with what the runs beside it need to know.
#[derive(Debug, Clone, Copy)]
struct Node {
    riser: Riser,
    cost: i128,
    /// Cell of the upper run in which the dirt cut lies.
    cut_cell: usize,
    /// Whether the upper run meets the required line from the cut to the far edge of that cell.
    cut_cell_ok: bool,
}

/// The riser at which a run ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Next {
    /// Its place among the nodes.
    node: usize,
    edge: usize,
    /// The level after it.
    level: i32,
}

/// The best way from a node, or from the start, to the chain's end.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Best {
    cost: i128,
    risers: u32,
    layouts: u128,
    /// The next riser; none when the run goes to the end.
    next: Option<Next>,
}

/// The optimum as a list of levels.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Optimum {
    pub(super) levels: Vec<i32>,
    pub(super) cost: i128,
    pub(super) layouts: u128,
}

/// Tables over cells and levels.
pub(super) struct Tables<'a> {
    site: &'a Site,
    edges: Vec<Nm>,
    /// By level, then cell.
    at: Vec<Vec<Option<CellAt>>>,
    whole_ok: Vec<Vec<bool>>,
    /// By level: the first cell at or after this one that fails as a whole.
    next_bad: Vec<Vec<usize>>,
    /// By level: the first cell at or after this one without a type.
    next_untyped: Vec<Vec<usize>>,
    /// By level: sum of the costs of the cells before this one that have a type.
    cost_before: Vec<Vec<i128>>,
    /// Risers in the order of edge, level before, level after.
    nodes: Vec<Node>,
    /// By edge, then level before: where its risers begin and end in `nodes`.
    exits: Vec<Vec<std::ops::Range<usize>>>,
    largest_overlap: Nm,
}

impl<'a> Tables<'a> {
    pub(super) fn new(site: &'a Site) -> Result<Self, Problem> {
        let cells = site.grid.cells.len();
        let reach = usize::try_from(site.rules.most_levels).unwrap_or(1);
        let states = cells.saturating_mul(site.module.levels().count()).saturating_mul(reach);
        if states > MOST_STATES {
            return Err(Problem::error(format!(
                "{cells} modules, {} levels and {} levels per riser are more than can be laid out at once",
                site.module.levels().count(),
                site.rules.most_levels
            ))
            .help("narrow module.lowest_level to module.highest_level, lower rules.most_levels, or take the walls in parts"));
        }
        let mut tables = Self {
            site,
            edges: site.grid.edges(),
            at: Vec::new(),
            whole_ok: Vec::new(),
            next_bad: Vec::new(),
            next_untyped: Vec::new(),
            cost_before: Vec::new(),
            nodes: Vec::new(),
            exits: vec![vec![0..0; site.module.levels().count()]; cells + 1],
            largest_overlap: Nm::ZERO,
        };
        for level in site.module.levels() {
            let at: Vec<Option<CellAt>> = (0..cells).map(|cell| site.at(cell, level)).collect();
            let whole = |cell: usize| {
                let edges = &site.grid.cells[cell];
                at[cell].is_some_and(|at| site.deep_enough(at, edges.from, edges.to))
            };
            let ok: Vec<bool> = (0..cells).map(whole).collect();
            let mut before = vec![0_i128];
            for (cell, at) in at.iter().enumerate() {
                let cost = at.map_or(Ok(0), |at| site.cell_cost(cell, at))?;
                before.push(before[cell] + cost);
            }
            tables.next_bad.push(next_where(cells, |cell| !ok[cell]));
            tables.next_untyped.push(next_where(cells, |cell| at[cell].is_none()));
            tables.at.push(at);
            tables.whole_ok.push(ok);
            tables.cost_before.push(before);
        }
        tables.enter_nodes()?;
        Ok(tables)
    }

    fn index(&self, level: i32) -> usize {
        usize::try_from(level - self.site.module.lowest).unwrap_or(0)
    }

    /// Enters every riser that may stand and whose strip meets the required line.
    fn enter_nodes(&mut self) -> Result<(), Problem> {
        let site = self.site;
        let most = site.rules.most_levels;
        for edge in (1..site.grid.cells.len()).filter(|edge| site.grid.riser_at[*edge]) {
            for before in site.module.levels() {
                let first = self.nodes.len();
                let reach = (before - most).max(site.module.lowest)
                    ..=(before + most).min(site.module.highest);
                for after in reach {
                    let Some(riser) = site.riser(edge, before, after) else { continue };
                    self.largest_overlap = self.largest_overlap.max(riser.overlap);
                    if let Some(node) = self.node(riser)? {
                        self.nodes.push(node);
                    }
                }
                let level = self.index(before);
                self.exits[edge][level] = first..self.nodes.len();
            }
        }
        Ok(())
    }

    fn node(&self, riser: Riser) -> Result<Option<Node>, Problem> {
        let site = self.site;
        let (from, to) = site.strip(&riser);
        let chain_end = self.edges[self.edges.len() - 1];
        let inside = if riser.up() { to < chain_end } else { from > Nm::ZERO };
        if !inside || !site.low(&riser).is_some_and(|low| site.deep_enough(low, from, to)) {
            return Ok(None);
        }
        let cells = &site.grid.cells;
        let cut_cell = if riser.up() {
            cells.partition_point(|cell| cell.to <= riser.cut)
        } else {
            cells.partition_point(|cell| cell.from < riser.cut) - 1
        };
        let (a, b) = if riser.up() {
            (riser.cut, cells[cut_cell].to)
        } else {
            (cells[cut_cell].from, riser.cut)
        };
        let upper = self.at[self.index(riser.high_level())][cut_cell];
        let cut_cell_ok = upper.is_some_and(|at| site.deep_enough(at, a, b));
        Ok(Some(Node { riser, cost: site.riser_cost(&riser)?, cut_cell, cut_cell_ok }))
    }

    /// Largest overlap of any riser that may stand, whatever the ground.
    pub(super) fn largest_overlap(&self) -> Nm {
        self.largest_overlap
    }

    /// Levels that are legal over the whole chain, with their cost.
    pub(super) fn one_level(&self) -> Vec<(i32, i128)> {
        let cells = self.site.grid.cells.len();
        let long_enough = self.edges[cells] >= self.site.rules.shortest_run;
        let legal = |level: &i32| long_enough && self.next_bad[self.index(*level)][0] == cells;
        let cost = |level: i32| (level, self.cost_before[self.index(level)][cells]);
        self.site.module.levels().filter(legal).map(cost).collect()
    }

    /// Calls back for every legal run at `level` that starts at cell `start`, after `left` if there is a riser:
    /// with the edge where it ends and the riser there, or the chain's end.
    fn runs(
        &self,
        start: usize,
        left: Option<&Node>,
        level: i32,
        mut found: impl FnMut(usize, Option<usize>),
    ) {
        let l = self.index(level);
        let cells = self.site.grid.cells.len();
        let rules = &self.site.rules;
        let upper_left = left.filter(|node| node.riser.up());
        let (a, first, first_ok) = match upper_left {
            Some(node) => (node.riser.cut, node.cut_cell, node.cut_cell_ok),
            None => (self.edges[start], start, self.whole_ok[l][start]),
        };
        if first >= cells {
            return;
        }
        let bad = if first_ok { self.next_bad[l][first + 1] } else { first };
        let typed_to = self.next_untyped[l][start];
        let first_end = start + 1;
        for j in first_end..=typed_to {
            // Beyond this, a cell that fails can no longer be covered by the strip of the next riser.
            if bad < cells && self.edges[j] - self.largest_overlap > self.edges[bad + 1] {
                break;
            }
            if self.edges[j] - self.edges[start] < rules.shortest_run {
                continue;
            }
            if j == cells {
                let whole = first < cells && a < self.edges[j];
                if whole && bad >= cells {
                    found(j, None);
                }
                break;
            }
            if !self.site.grid.riser_at[j] {
                continue;
            }
            for index in self.exits[j][l].clone() {
                let right = &self.nodes[index];
                let (b, last, last_ok) = if right.riser.up() {
                    (self.edges[j], j - 1, self.whole_ok[l][j - 1])
                } else {
                    (right.riser.cut, right.cut_cell, right.cut_cell_ok)
                };
                if a >= b {
                    continue;
                }
                let legal = if first == last {
                    self.at[l][first].is_some_and(|at| self.site.deep_enough(at, a, b))
                } else {
                    first_ok && last_ok && self.next_bad[l][first + 1] >= last
                };
                if legal {
                    found(j, Some(index));
                }
            }
        }
    }

    /// The optimum, or nothing when no layout is legal.
    pub(super) fn optimum(&self) -> Option<Optimum> {
        let mut settled: Vec<Option<Best>> = vec![None; self.nodes.len()];
        for (index, node) in self.nodes.iter().enumerate().rev() {
            settled[index] = self.best(node.riser.edge, Some(node), node.riser.after, &settled);
        }
        let mut start: Option<(i32, Best)> = None;
        let mut layouts = 0;
        for level in self.site.module.levels() {
            let Some(best) = self.best(0, None, level, &settled) else { continue };
            match &start {
                Some((_, known)) if (known.cost, known.risers) < (best.cost, best.risers) => {}
                Some((_, known)) if (known.cost, known.risers) == (best.cost, best.risers) => {
                    layouts = best.layouts.saturating_add(layouts);
                }
                _ => {
                    layouts = best.layouts;
                    start = Some((level, best));
                }
            }
        }
        let (mut level, mut best) = start?;
        let (cost, mut edge) = (best.cost, 0);
        let mut levels = Vec::new();
        while let Some(next) = best.next {
            levels.resize(next.edge, level);
            best = settled[next.node]?;
            (edge, level) = (next.edge, next.level);
        }
        debug_assert!(edge < self.site.grid.cells.len());
        levels.resize(self.site.grid.cells.len(), level);
        Some(Optimum { levels, cost, layouts })
    }

    /// The best continuation of a run that starts at cell `start`.
    fn best(
        &self,
        start: usize,
        left: Option<&Node>,
        level: i32,
        settled: &[Option<Best>],
    ) -> Option<Best> {
        let sums = &self.cost_before[self.index(level)];
        let mut best: Option<Best> = None;
        self.runs(start, left, level, |end, right| {
            let run = sums[end] - sums[start];
            let candidate = match right {
                None => Best { cost: run, risers: 0, layouts: 1, next: None },
                Some(node) => {
                    let Some(rest) = settled[node] else { return };
                    let right = &self.nodes[node];
                    Best {
                        cost: run + right.cost + rest.cost,
                        risers: rest.risers + 1,
                        layouts: rest.layouts,
                        next: Some(Next { node, edge: end, level: right.riser.after }),
                    }
                }
            };
            best = Some(match best {
                None => candidate,
                Some(known) => better(known, candidate, level),
            });
        });
        best
    }

    /// The furthest station that a legal run reaches from the start.
    pub(super) fn furthest(&self) -> Nm {
        let mut reached = vec![false; self.nodes.len()];
        let mut furthest = Nm::ZERO;
        let mut enter = |reached: &mut Vec<bool>, start, left: Option<&Node>, level| {
            self.runs(start, left, level, |end, right| {
                furthest = furthest.max(self.edges[end]);
                if let Some(right) = right {
                    reached[right] = true;
                }
            });
        };
        for level in self.site.module.levels() {
            enter(&mut reached, 0, None, level);
        }
        for (index, node) in self.nodes.iter().enumerate() {
            if reached[index] {
                enter(&mut reached, node.riser.edge, Some(node), node.riser.after);
            }
        }
        furthest
    }
}

/// Of two continuations of a run at `level`: the cheaper, then the one with fewer risers, then the one whose
/// list of levels is smaller. Both lists are `level` up to the earlier riser; there the next level decides.
fn better(known: Best, new: Best, level: i32) -> Best {
    match (new.cost, new.risers).cmp(&(known.cost, known.risers)) {
        std::cmp::Ordering::Less => new,
        std::cmp::Ordering::Greater => known,
        std::cmp::Ordering::Equal => {
            let layouts = known.layouts.saturating_add(new.layouts);
            let new_is_smaller = match (known.next, new.next) {
                (Some(a), Some(b)) if a.edge == b.edge => b.level < a.level,
                (Some(a), Some(b)) if b.edge < a.edge => b.level < level,
                (Some(a), Some(_) | None) => level < a.level,
                (None, Some(b)) => b.level < level,
                (None, None) => false,
            };
            Best { layouts, ..if new_is_smaller { new } else { known } }
        }
    }
}

/// For each index, the first one at or after it that satisfies; `count` when there is none.
fn next_where(count: usize, satisfies: impl Fn(usize) -> bool) -> Vec<usize> {
    let mut next = vec![count; count + 2];
    for index in (0..count).rev() {
        next[index] = if satisfies(index) { index } else { next[index + 1] };
    }
    next
}
