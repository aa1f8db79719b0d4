//! Tables over cells and levels that the optimiser reads: types, ground, costs, and every riser that may stand.

use super::cost::{Costs, Over, StepShape};
use super::hooks::AskedAt;
use super::locks::Locked;
use super::{CellAt, Riser, Site};
use crate::measure::Nm;
use crate::problem::Problem;

/// Most products of modules, levels and levels per riser.
const MOST_STATES: usize = 12_000_000;

/// A riser that may stand, with what the runs beside it need to know.
#[derive(Debug, Clone, Copy)]
pub(super) struct RiserNode {
    pub(super) edge: u32,
    pub(super) before: i32,
    pub(super) after: i32,
    /// Cell of the upper run in which the step in the subgrade lies.
    pub(super) cut_cell: u32,
    /// Running station of the step in the subgrade.
    pub(super) cut: Nm,
    /// Whether the upper run meets the required line from the cut to the far edge of that cell.
    pub(super) cut_cell_ok: bool,
    pub(super) cost: i128,
}

impl RiserNode {
    pub(super) fn edge(&self) -> usize {
        self.edge as usize
    }

    fn cut_cell(&self) -> usize {
        self.cut_cell as usize
    }

    pub(super) fn up(&self) -> bool {
        self.after > self.before
    }
}

/// What one level is along the walls.
pub(super) struct Level {
    at: Vec<Option<CellAt>>,
    whole_ok: Vec<bool>,
    /// The first cell at or after this one that fails as a whole.
    next_bad: Vec<u32>,
    /// The first cell at or after this one without a type.
    next_untyped: Vec<u32>,
    /// Sum of the costs of the cells before this one that have a type.
    pub(super) cost_before: Vec<i128>,
}

impl Level {
    pub(super) fn next_bad(&self, cell: usize) -> usize {
        self.next_bad[cell] as usize
    }

    pub(super) fn next_untyped(&self, cell: usize) -> usize {
        self.next_untyped[cell] as usize
    }

    pub(super) fn whole_ok(&self, cell: usize) -> bool {
        self.whole_ok[cell]
    }
}

/// The start of a run: where its own interval begins.
#[derive(Debug, Clone, Copy)]
pub(super) struct RunStart {
    /// Edge of the riser before it, or 0.
    pub(super) edge: usize,
    pub(super) level: i32,
    /// Running station where its own interval begins.
    pub(super) from: Nm,
    /// The cell in which that is, and whether the run meets the required line there.
    pub(super) first: usize,
    pub(super) first_ok: bool,
}

/// Tables over cells and levels.
pub(super) struct Tables<'a> {
    pub(super) site: &'a Site,
    pub(super) edges: Vec<Nm>,
    pub(super) levels: Vec<Level>,
    /// Risers in the order of edge, level before, level after.
    pub(super) nodes: Vec<RiserNode>,
    /// By edge and level before: where its risers begin in `nodes`.
    exits: Vec<u32>,
    /// The first edge at or after this one where a riser must stand.
    pub(super) next_must: Vec<u32>,
    largest_overlap: Nm,
}

impl<'a> Tables<'a> {
    pub(super) fn new(site: &'a Site) -> Result<Self, Problem> {
        let cells = site.grid.cells.len();
        let count = site.module.levels().count();
        let reach = usize::try_from(site.rules.most_levels).unwrap_or(1);
        if cells.saturating_mul(count).saturating_mul(reach) > MOST_STATES {
            return Err(Problem::error(format!(
                "{cells} modules, {count} levels and {} levels per riser are more than can be laid out at once",
                site.rules.most_levels
            ))
            .help("narrow module.lowest_level to module.highest_level, lower rules.most_levels, or take the walls in parts"));
        }
        let costs = Costs::new(site);
        let locked = Locked::new(site);
        let over: Vec<Over> =
            site.grid.cells.iter().map(|cell| costs.over(cell.from, cell.to)).collect();
        let mut tables = Self {
            site,
            edges: site.grid.edges(),
            levels: Vec::with_capacity(count),
            nodes: Vec::new(),
            exits: Vec::with_capacity(cells * count + 1),
            next_must: next_where(cells, |cell| locked.riser[cell]),
            largest_overlap: Nm::ZERO,
        };
        for level in site.module.levels() {
            tables.levels.push(one_level(&costs, &locked, &over, level)?);
        }
        tables.enter_nodes(&costs)?;
        Ok(tables)
    }

    pub(super) fn cells(&self) -> usize {
        self.site.grid.cells.len()
    }

    pub(super) fn end(&self) -> Nm {
        self.edges[self.cells()]
    }

    /// Position of a level among those of the job.
    pub(super) fn index(&self, level: i32) -> usize {
        usize::try_from(level - self.site.module.lowest).unwrap_or(0)
    }

    pub(super) fn level(&self, level: i32) -> &Level {
        &self.levels[self.index(level)]
    }

    /// The risers at an edge whose level before is this.
    pub(super) fn exits(&self, edge: usize, level: i32) -> std::ops::Range<usize> {
        let at = edge * self.levels.len() + self.index(level);
        self.exits[at] as usize..self.exits[at + 1] as usize
    }

    /// A riser that may stand.
    pub(super) fn riser_at(&self, edge: usize, before: i32, after: i32) -> Option<&RiserNode> {
        self.nodes[self.exits(edge, before)].iter().find(|node| node.after == after)
    }

    /// Enters every riser that may stand and whose strip meets the required line.
    fn enter_nodes(&mut self, costs: &Costs) -> Result<(), Problem> {
        let site = self.site;
        let most = site.rules.most_levels;
        for edge in 0..self.cells() {
            let mut near = Near::default();
            for before in site.module.levels() {
                self.exits.push(narrow(self.nodes.len())?);
                if edge == 0 || !site.grid.riser_at[edge] {
                    continue;
                }
                let Some(a) = self.level(before).at[edge - 1] else { continue };
                let reach = (before - most).max(site.module.lowest)
                    ..=(before + most).min(site.module.highest);
                for after in reach.filter(|after| *after != before) {
                    let Some(b) = self.level(after).at[edge] else { continue };
                    let Some(riser) = site.riser_between(edge, before, after, a, b) else {
                        continue;
                    };
                    self.largest_overlap = self.largest_overlap.max(riser.overlap);
                    if let Some(node) = self.node(costs, &mut near, &riser)? {
                        self.nodes.push(node);
                    }
                }
            }
        }
        self.exits.push(narrow(self.nodes.len())?);
        Ok(())
    }

    fn node(
        &self,
        costs: &Costs,
        near: &mut Near,
        riser: &Riser,
    ) -> Result<Option<RiserNode>, Problem> {
        let site = self.site;
        let (from, to) = site.strip(riser);
        // On a ring the run goes on beyond station 0; at an open end it must have length.
        let (start, end) = (Nm::ZERO, self.end());
        let inside = match (site.chain.closed(), riser.up()) {
            (true, _) => start <= from && to <= end,
            (false, true) => to < end,
            (false, false) => start < from,
        };
        if !inside {
            return Ok(None);
        }
        let near = near.of(riser, || StripGround::new(site, costs, riser));
        if !costs.deep_enough(riser.low, &near.strip) {
            return Ok(None);
        }
        let upper = self.level(riser.high_level());
        let cut_cell_ok =
            upper.at[near.cut_cell].is_some_and(|at| costs.deep_enough(at, &near.beyond));
        let parts: Vec<(CellAt, Over)> =
            near.parts.iter().filter_map(|(cell, over)| Some((upper.at[*cell]?, *over))).collect();
        let shape = StepShape {
            rise: site.module.rise * i64::from(riser.before.abs_diff(riser.after)),
            overlap: riser.overlap,
            low: riser.low,
            high: riser.high,
            at: AskedAt::at(site.grid.cells[riser.edge].wall, site.grid.cells[riser.edge].from),
        };
        Ok(Some(RiserNode {
            edge: narrow(riser.edge)?,
            before: riser.before,
            after: riser.after,
            cut_cell: narrow(near.cut_cell)?,
            cut: site.cut(riser),
            cut_cell_ok,
            cost: costs.step(&shape, &near.strip, &parts)?,
        }))
    }

    /// Largest overlap of any riser that may stand, whatever the ground.
    pub(super) fn largest_overlap(&self) -> Nm {
        self.largest_overlap
    }

    /// Levels that are legal over the whole chain, with their cost.
    pub(super) fn one_level(&self) -> Vec<(i32, i128)> {
        let cells = self.cells();
        let possible =
            self.end() >= self.site.rules.shortest_run && self.next_must[0] as usize >= cells;
        let legal = |level: &i32| possible && self.level(*level).next_bad(0) == cells;
        let cost = |level: i32| (level, self.level(level).cost_before[cells]);
        self.site.module.levels().filter(legal).map(cost).collect()
    }

    /// The run at the start of the walls.
    pub(super) fn start(&self, level: i32) -> RunStart {
        let first_ok = self.level(level).whole_ok[0];
        RunStart { edge: 0, level, from: Nm::ZERO, first: 0, first_ok }
    }

    /// The run after a riser.
    pub(super) fn after(&self, node: &RiserNode) -> RunStart {
        let (edge, level) = (node.edge(), node.after);
        if node.up() {
            let (first, first_ok) = (node.cut_cell(), node.cut_cell_ok);
            return RunStart { edge, level, from: node.cut, first, first_ok };
        }
        let first_ok = self.level(level).whole_ok[edge];
        RunStart { edge, level, from: self.edges[edge], first: edge, first_ok }
    }

    /// Where the own interval of the run before a riser ends: station, its last cell, and whether that is deep enough.
    pub(super) fn end_before(&self, node: &RiserNode) -> (Nm, usize, bool) {
        let edge = node.edge();
        if node.up() {
            (self.edges[edge], edge - 1, self.level(node.before).whole_ok[edge - 1])
        } else {
            (node.cut, node.cut_cell(), node.cut_cell_ok)
        }
    }

    /// Whether a run may end at a riser, the shortest run apart.
    pub(super) fn run_holds(&self, start: &RunStart, end: &RiserNode) -> bool {
        let level = self.level(start.level);
        let (to, last, last_ok) = self.end_before(end);
        if start.from >= to || level.next_untyped(start.edge) < end.edge() {
            return false;
        }
        if (self.next_must[start.edge + 1] as usize) < end.edge() {
            return false;
        }
        if start.first == last {
            return level.at[last].is_some_and(|at| self.site.deep_enough(at, start.from, to));
        }
        start.first_ok && last_ok && level.next_bad(start.first + 1) >= last
    }

    /// Whether the part of a ring's wrapping run after station 0 is all strip and may be so.
    pub(super) fn all_strip(&self, start: &RunStart, node: &RiserNode) -> bool {
        let (to, _, deep_enough) = self.end_before(node);
        to == Nm::ZERO
            && deep_enough
            && self.level(start.level).next_untyped(0) >= node.edge()
            && self.next_must[1] as usize >= node.edge()
    }

    /// Whether a run may go on to the chain's end, the shortest run apart.
    pub(super) fn reaches_end(&self, start: &RunStart) -> bool {
        let (cells, level) = (self.cells(), self.level(start.level));
        start.first < cells
            && start.first_ok
            && level.next_bad(start.first + 1) >= cells
            && level.next_untyped(start.edge) >= cells
            && self.next_must[start.edge + 1] as usize >= cells
    }

    /// The first edge at which a run from this edge is long enough.
    pub(super) fn long_enough(&self, edge: usize) -> usize {
        let least = self.edges[edge] + self.site.rules.shortest_run;
        self.edges.partition_point(|x| *x < least).max(edge + 1)
    }

    /// Whether a step in the subgrade before this edge can lie in or before the cell that ends at `edges[cell + 1]`.
    pub(super) fn cut_may_reach(&self, edge: usize, cell: usize) -> bool {
        self.edges[edge] - self.largest_overlap <= self.edges[cell + 1]
    }
}

/// The ground at and beyond the strips of one edge, by direction and overlap.
#[derive(Default)]
struct Near(Vec<((bool, Nm), StripGround)>);

struct StripGround {
    strip: Over,
    /// The strip by the cells that it runs through.
    parts: Vec<(usize, Over)>,
    /// The cell with the step in the subgrade, and the ground from the cut to its far edge.
    cut_cell: usize,
    beyond: Over,
}

impl Near {
    fn of(&mut self, riser: &Riser, make: impl FnOnce() -> StripGround) -> &StripGround {
        let key = (riser.up(), riser.overlap);
        let at = match self.0.iter().position(|(known, _)| *known == key) {
            Some(at) => at,
            None => {
                self.0.push((key, make()));
                self.0.len() - 1
            }
        };
        &self.0[at].1
    }
}

impl StripGround {
    fn new(site: &Site, costs: &Costs, riser: &Riser) -> Self {
        let (from, to) = site.strip(riser);
        let cells = &site.grid.cells;
        let cut = site.cut(riser);
        let part = |cell: usize| {
            let edges = &cells[cell];
            (cell, costs.over(from.max(edges.from), to.min(edges.to)))
        };
        let (cut_cell, beyond) = if riser.up() {
            let cell = cells.partition_point(|cell| cell.to <= cut).min(cells.len() - 1);
            (cell, (cut, cells[cell].to))
        } else {
            let cell = cells.partition_point(|cell| cell.from < cut).saturating_sub(1);
            (cell, (cells[cell].from, cut))
        };
        Self {
            strip: costs.over(from, to),
            parts: site.cells_between(from, to).map(part).collect(),
            cut_cell,
            beyond: costs.over(beyond.0, beyond.1),
        }
    }
}

fn one_level(costs: &Costs, locked: &Locked, over: &[Over], level: i32) -> Result<Level, Problem> {
    let site = costs.site();
    let cells = site.grid.cells.len();
    let at: Vec<Option<CellAt>> = (0..cells)
        .map(|cell| site.at(cell, level).filter(|_| locked.allows(&site.module, cell, level)))
        .collect();
    let ok = |cell: usize| at[cell].is_some_and(|at| costs.deep_enough(at, &over[cell]));
    let whole_ok: Vec<bool> = (0..cells).map(ok).collect();
    let mut cost_before = Vec::with_capacity(cells + 1);
    let mut sum = 0_i128;
    cost_before.push(sum);
    for (cell, at) in at.iter().enumerate() {
        if at.is_some()
            && let Some(stretch) = site.stretch(cell, level)
        {
            sum += costs.stretch(&stretch, &over[cell])?;
        }
        cost_before.push(sum);
    }
    Ok(Level {
        next_bad: next_where(cells, |cell| !whole_ok[cell]),
        next_untyped: next_where(cells, |cell| at[cell].is_none()),
        at,
        whole_ok,
        cost_before,
    })
}

fn narrow(count: usize) -> Result<u32, Problem> {
    u32::try_from(count).map_err(|_| Problem::error("the layout has too many possible risers"))
}

/// For each index, the first one at or after it that satisfies; `count` when there is none.
fn next_where(count: usize, satisfies: impl Fn(usize) -> bool) -> Vec<u32> {
    let mut last = u32::try_from(count).unwrap_or(u32::MAX);
    let mut next = vec![last; count + 2];
    for index in (0..count).rev() {
        if satisfies(index) {
            last = u32::try_from(index).unwrap_or(u32::MAX);
        }
        next[index] = last;
    }
    next
}
