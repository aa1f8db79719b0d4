//! Short lists whose plan the worths of the pieces do not prove: every filling at once, searched to the end.

use microlp::{ComparisonOp, OptimizationDirection, Problem, SolutionStatus, SolveOptions};

use super::first_fit::{cheapest, gathered};
use super::master::float;
use super::units::{CutBar, CutUnits};
use crate::measure::round::nearest_f64;

/// Most fillings of a list that is searched so.
const MOST_FILLINGS: usize = 2_000;
/// Most branches of one search. A bound on work and not on time, so that a plan is the same on every machine.
const MOST_NODES: u64 = 5_000;

/// A plan that no plan undercuts, found by branching over every filling to the end; nothing where that takes too much work.
pub(super) fn branched(units: &CutUnits) -> Option<Vec<CutBar>> {
    let mut fillings = Vec::new();
    for (stock, (room, _)) in units.stock.iter().enumerate() {
        let mut counts = vec![0; units.pieces.len()];
        full(units, stock, *room, 0, &mut counts, &mut fillings)?;
    }
    let highest = units.stock.iter().map(|(_, cost)| *cost).max()?;
    let mut problem = Problem::new(OptimizationDirection::Minimize);
    let most = units.demand.iter().max().and_then(|most| i32::try_from(*most).ok())?;
    let times: Vec<_> = fillings
        .iter()
        .map(|(stock, _)| {
            let cost = float(units.stock[*stock].1) / float(highest);
            problem.add_integer_var(cost, (0, most))
        })
        .collect();
    for (piece, wanted) in units.demand.iter().enumerate() {
        let holds = times.iter().zip(&fillings).filter(|(_, (_, counts))| counts[piece] > 0);
        let row: Vec<_> = holds
            .map(|(times, (_, counts))| (*times, float(i64::try_from(counts[piece]).unwrap_or(0))))
            .collect();
        problem.add_constraint(&row, ComparisonOp::Ge, float(i64::try_from(*wanted).ok()?));
    }
    let mut options = SolveOptions::default();
    options.node_limit = Some(MOST_NODES);
    let solution = problem.solve_with(options).ok()?.into_solution().ok()?;
    if solution.status() != SolutionStatus::Optimal {
        return None;
    }
    let mut left = units.demand.clone();
    let mut bars = Vec::new();
    for (times, (_, counts)) in times.iter().zip(&fillings) {
        #[expect(clippy::cast_possible_truncation, reason = "a count, checked by what it cuts")]
        let times = nearest_f64(solution.var_value(*times)) as i64;
        // One bar at a time: the last ones may give more of a piece than is wanted.
        for _ in 0..times {
            let mut cuts = Vec::new();
            for (piece, count) in counts.iter().enumerate() {
                let count = left[piece].min(*count);
                left[piece] -= count;
                cuts.extend((count > 0).then_some((piece, count)));
            }
            let used = |(piece, count): &(usize, u64)| {
                Some(units.pieces[*piece] * usize::try_from(*count).ok()?)
            };
            let used = cuts.iter().map(used).sum::<Option<usize>>()?;
            if used > 0 {
                bars.push((cheapest(units, used)?, cuts, 1));
            }
        }
    }
    left.iter().all(|left| *left == 0).then(|| gathered(units, bars))
}

/// Every filling of a stock length that no wanted piece can be added to; nothing where there are too many.
fn full(
    units: &CutUnits,
    stock: usize,
    room: usize,
    piece: usize,
    counts: &mut Vec<u64>,
    fillings: &mut Vec<(usize, Vec<u64>)>,
) -> Option<()> {
    if piece == units.pieces.len() {
        let fits = |at: usize| units.pieces[at] <= room && counts[at] < units.demand[at];
        if !(0..piece).any(fits) && counts.iter().any(|count| *count > 0) {
            fillings.push((stock, counts.clone()));
        }
        return (fillings.len() <= MOST_FILLINGS).then_some(());
    }
    let most = (room / units.pieces[piece]) as u64;
    for count in (0..=most.min(units.demand[piece])).rev() {
        counts[piece] = count;
        let used = units.pieces[piece] * usize::try_from(count).ok()?;
        full(units, stock, room - used, piece + 1, counts, fillings)?;
    }
    counts[piece] = 0;
    Some(())
}
