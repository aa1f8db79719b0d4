//! Short lists whose plan the worths of the pieces do not prove: every filling at once, searched to the end.

use microlp::{
    ComparisonOp, OptimizationDirection, Problem, SolutionStatus, SolveOptions, Variable,
};

use super::first_fit::{cheapest, gathered};
use super::master::float;
use super::units::{CutBar, CutUnits};
use crate::measure::round::nearest_f64;

/// Most fillings of a list that is searched so.
const MOST_FILLINGS: usize = 2_000;
/// Most branches of one search. A bound on work and not on time, so that a plan is the same on every machine.
const MOST_NODES: u64 = 5_000;

/// The best plan over every filling, and the least that a plan may cost; nothing where that takes too much work.
///
/// The cost hangs on how many pieces of each stock length are taken: first these counts are sought with fillings that need not
/// be whole, which bounds the cost, then whole fillings of these counts; where there are none, both together.
pub(super) fn branched(units: &CutUnits) -> Option<(Vec<CutBar>, i64)> {
    let mut fillings = Vec::new();
    for (stock, (room, _)) in units.stock.iter().enumerate() {
        let mut counts = vec![0; units.pieces.len()];
        full(units, stock, *room, 0, &mut counts, &mut fillings)?;
    }
    let counts = solve(units, &fillings, Sought::Counts)?;
    if !counts.proven {
        return None;
    }
    let cost = |counts: &[i64]| -> i64 {
        counts.iter().zip(&units.stock).map(|(count, (_, cost))| count * cost).sum()
    };
    let bound = cost(&counts.counts);
    let (found, bound) = match solve(units, &fillings, Sought::Fillings(&counts.counts)) {
        Some(found) => (found, bound),
        None => {
            let both = solve(units, &fillings, Sought::Both)?;
            let bound = if both.proven { cost(&both.counts) } else { bound };
            (both, bound)
        }
    };
    Some((bars(units, &fillings, &found.times)?, bound))
}

/// What is to be whole.
#[derive(Clone, Copy)]
enum Sought<'a> {
    /// Counts of stock.
    Counts,
    /// Fillings, of these counts of stock.
    Fillings(&'a [i64]),
    /// Both.
    Both,
}

struct Found {
    /// How often each filling is cut; whole where fillings were sought.
    times: Vec<i64>,
    /// Pieces of each stock length.
    counts: Vec<i64>,
    proven: bool,
}

fn solve(units: &CutUnits, fillings: &[(usize, Vec<u64>)], sought: Sought) -> Option<Found> {
    let highest = units.stock.iter().map(|(_, cost)| *cost).max()?;
    let most = units.demand.iter().sum::<u64>();
    let most = i32::try_from(most).ok()?;
    let mut problem = Problem::new(OptimizationDirection::Minimize);
    let times: Vec<Variable> = fillings
        .iter()
        .map(|_| match sought {
            Sought::Counts => problem.add_var(0.0, (0.0, f64::from(most))),
            _ => problem.add_integer_var(0.0, (0, most)),
        })
        .collect();
    for (piece, wanted) in units.demand.iter().enumerate() {
        let holds = times.iter().zip(fillings).filter(|(_, (_, counts))| counts[piece] > 0);
        let row: Vec<(Variable, f64)> = holds
            .map(|(times, (_, counts))| (*times, float(i64::try_from(counts[piece]).unwrap_or(0))))
            .collect();
        problem.add_constraint(&row, ComparisonOp::Ge, float(i64::try_from(*wanted).ok()?));
    }
    let mut counts = Vec::new();
    let mut lengths = Vec::new();
    let longest = units.stock.iter().map(|(length, _)| *length).max()?;
    for (at, (length, cost)) in units.stock.iter().enumerate() {
        let range = match sought {
            Sought::Fillings(counts) => {
                let count = i32::try_from(counts[at]).ok()?;
                (count, count)
            }
            _ => (0, most),
        };
        let count = problem.add_integer_var(float(*cost) / float(highest), range);
        let of_stock = times.iter().zip(fillings).filter(|(_, (stock, _))| *stock == at);
        let mut row: Vec<(Variable, f64)> = of_stock.map(|(times, _)| (*times, 1.0)).collect();
        row.push((count, -1.0));
        problem.add_constraint(&row, ComparisonOp::Eq, 0.0);
        counts.push(count);
        lengths.push((count, share(*length, longest)));
    }
    // Whole pieces of stock hold at least the length of all that is cut.
    let whole: u64 =
        units.pieces.iter().zip(&units.demand).map(|(length, n)| *length as u64 * n).sum();
    let whole = share(usize::try_from(whole).ok()?, longest);
    problem.add_constraint(&lengths, ComparisonOp::Ge, whole * (1.0 - 1e-12));
    let mut options = SolveOptions::default();
    options.node_limit = Some(MOST_NODES);
    let solution = problem.solve_with(options).ok()?.into_solution().ok()?;
    let whole = |variables: &[Variable]| -> Vec<i64> {
        variables.iter().map(|variable| nearest(solution.var_value(*variable))).collect()
    };
    Some(Found {
        times: whole(&times),
        counts: whole(&counts),
        proven: solution.status() == SolutionStatus::Optimal,
    })
}

#[expect(clippy::cast_precision_loss, reason = "a share of the longest stock")]
fn share(length: usize, longest: usize) -> f64 {
    length as f64 / longest.max(1) as f64
}

#[expect(clippy::cast_possible_truncation, reason = "a count, checked by what it cuts")]
fn nearest(value: f64) -> i64 {
    nearest_f64(value) as i64
}

/// Bars of fillings; nothing where they do not give what is wanted.
fn bars(units: &CutUnits, fillings: &[(usize, Vec<u64>)], times: &[i64]) -> Option<Vec<CutBar>> {
    let mut left = units.demand.clone();
    let mut bars = Vec::new();
    for (times, (_, counts)) in times.iter().zip(fillings) {
        // One bar at a time: the last ones may give more of a piece than is wanted.
        for _ in 0..*times {
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
