//! Layouts one step away: a step moved to another joint, dropped or added, everything else as it is.

use super::Layout;
use super::layout::built;
use super::tables::{RiserNode, RunStart, Tables};
use crate::measure::Nm;
use crate::problem::Problem;

crate::measure::choice! {
    /// What a neighbour does with one step.
    pub enum StepChange, "change of a step" {
        /// It stands on another joint.
        Moved = "moved",
        /// It is not there.
        Dropped = "dropped",
        /// There is one more.
        Added = "added",
    }
}

/// A legal layout one step away from another.
#[derive(Debug, Clone)]
pub struct Neighbour {
    /// What is done.
    pub change: StepChange,
    /// Running station of the step: as it was where it is dropped, else as it is.
    pub station: Nm,
    /// Where it stood, if it is moved.
    pub from: Option<Nm>,
    /// The layout.
    pub layout: Layout,
}

/// Runs as the first cell and level of each.
type Runs = Vec<(usize, i32)>;

/// The legal neighbours of a layout on the grid, those of the least cost first and no more than `most`; and how many there
/// are.
///
/// # Errors
/// The layout stands on no levels of the job, or a cost cannot be counted.
pub fn neighbours(layout: &Layout, most: usize) -> Result<(Vec<Neighbour>, usize), Problem> {
    let tables = Tables::new(&layout.site)?;
    let off = || Problem::error("the layout is not on the joints and levels of the job");
    let levels: Option<Vec<i32>> = layout.levels().into_iter().collect();
    let levels = levels.filter(|levels| levels.len() == tables.cells()).ok_or_else(off)?;
    let runs = runs_of(&levels);
    let legal = candidates(&tables, &runs);
    let mut legal: Vec<(i128, Candidate)> =
        legal.into_iter().filter_map(|one| Some((cost(&tables, &one.3)?, one))).collect();
    // In the order of the chain where they cost the same.
    legal.sort_by_key(|(cost, (_, from, to, _))| (*cost, *to, *from));
    let count = legal.len();
    let neighbour = |(cost, (change, from, to, runs)): (i128, Candidate)| Neighbour {
        change,
        station: tables.edges[to],
        from: from.map(|edge| tables.edges[edge]),
        layout: built(&tables, &levels_of(&runs, tables.cells()), cost, None),
    };
    Ok((legal.into_iter().take(most).map(neighbour).collect(), count))
}

fn runs_of(levels: &[i32]) -> Runs {
    let mut runs: Runs = Vec::new();
    for (cell, level) in levels.iter().enumerate() {
        if runs.last().is_none_or(|(_, last)| last != level) {
            runs.push((cell, *level));
        }
    }
    runs
}

fn levels_of(runs: &[(usize, i32)], cells: usize) -> Vec<i32> {
    let mut levels = Vec::with_capacity(cells);
    for (at, (_, level)) in runs.iter().enumerate() {
        levels.resize(runs.get(at + 1).map_or(cells, |next| next.0), *level);
    }
    levels
}

/// What is done, the edge that a moved step leaves, the edge that the change is at, and the runs that follow.
type Candidate = (StepChange, Option<usize>, usize, Runs);

fn candidates(tables: &Tables, runs: &Runs) -> Vec<Candidate> {
    let mut found = Vec::new();
    let end = |at: usize| runs.get(at + 1).map_or(tables.cells(), |next| next.0);
    for at in 1..runs.len() {
        let (edge, _) = runs[at];
        for to in (runs[at - 1].0 + 1..end(at)).filter(|to| *to != edge) {
            let mut other = runs.clone();
            other[at].0 = to;
            found.push((StepChange::Moved, Some(edge), to, other));
        }
        // One of the two runs takes the other's place.
        let mut other = runs.clone();
        other.remove(at);
        found.push((StepChange::Dropped, None, edge, other));
        let mut other = runs.clone();
        other[at].0 = other[at - 1].0;
        other.remove(at - 1);
        found.push((StepChange::Dropped, None, edge, other));
    }
    for (at, (from, level)) in runs.iter().enumerate() {
        for edge in *from + 1..end(at) {
            for new in tables.site.module.levels().filter(|new| new != level) {
                let mut after = runs.clone();
                after.insert(at + 1, (edge, new));
                let mut before = runs.clone();
                before[at].0 = edge;
                before.insert(at, (*from, new));
                found.push((StepChange::Added, None, edge, after));
                found.push((StepChange::Added, None, edge, before));
            }
        }
    }
    // Runs of one level beside each other are one run: such a change is none, or more than one.
    found.retain(|(_, _, _, runs)| runs.windows(2).all(|pair| pair[0].1 != pair[1].1));
    found
}

/// The cost of runs, if every rule of the job allows them.
fn cost(tables: &Tables, runs: &[(usize, i32)]) -> Option<i128> {
    let first_level = runs.first()?.1;
    let mut start = tables.start(first_level);
    let mut cost = 0;
    let mut first: Option<&RiserNode> = None;
    for pair in runs.windows(2) {
        let node = tables.riser_at(pair[1].0, pair[0].1, pair[1].1)?;
        let wraps = first.is_none() && tables.site.chain.closed();
        let holds = tables.run_holds(&start, node) || wraps && tables.all_strip(&start, node);
        if !holds || !wraps && node.edge() < tables.long_enough(start.edge) {
            return None;
        }
        cost += over(tables, &start, node.edge()) + node.cost;
        start = tables.after(node);
        first = first.or(Some(node));
    }
    let end = tables.end();
    let mut length = end - tables.edges[start.edge];
    if tables.site.chain.closed() {
        if first_level != start.level {
            return None;
        }
        if let Some(node) = first {
            length += tables.edges[node.edge()];
            if tables.end_before(node).0 == Nm::ZERO && start.from >= end {
                return None;
            }
        }
    }
    let closes = length >= tables.site.rules.shortest_run && tables.reaches_end(&start);
    closes.then(|| cost + over(tables, &start, tables.cells()))
}

/// What the cells of a run cost.
fn over(tables: &Tables, start: &RunStart, to: usize) -> i128 {
    let before = &tables.level(start.level).cost_before;
    before[to] - before[start.edge]
}
