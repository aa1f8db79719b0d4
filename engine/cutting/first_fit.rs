//! First fit, the longest piece first; then each stock length exchanged for the cheapest that still holds its pieces.

use std::collections::BTreeMap;

use super::units::{CutBar, CutUnits};

/// Stock with the same cuts counted once, the longest pieces first.
pub(super) fn gathered(
    units: &CutUnits,
    bars: impl IntoIterator<Item = (usize, Vec<(usize, u64)>, u64)>,
) -> Vec<CutBar> {
    let mut known: BTreeMap<(Vec<(usize, u64)>, usize), u64> = BTreeMap::new();
    for (stock, mut cuts, times) in bars {
        cuts.sort_by_key(|(at, _)| (std::cmp::Reverse(units.pieces[*at]), *at));
        *known.entry((cuts, stock)).or_default() += times;
    }
    known.into_iter().map(|((cuts, stock), times)| CutBar { stock, times, cuts }).collect()
}

/// The cheapest stock that holds a length.
pub(super) fn cheapest(units: &CutUnits, used: usize) -> Option<usize> {
    let holds = units.stock.iter().enumerate().filter(|(_, (length, _))| *length >= used);
    holds.min_by_key(|(at, (_, cost))| (*cost, *at)).map(|(at, _)| at)
}

/// The plan by first fit in the longest stock.
pub(super) fn first_fit(units: &CutUnits) -> Vec<CutBar> {
    let longest = units.stock.iter().map(|(length, _)| *length).max().unwrap_or(0);
    let mut order: Vec<usize> = (0..units.pieces.len()).collect();
    order.sort_by_key(|at| std::cmp::Reverse(units.pieces[*at]));
    let mut bars: Vec<(usize, BTreeMap<usize, u64>)> = Vec::new();
    for at in order {
        let (length, mut left) = (units.pieces[at], units.demand[at]);
        // Bars are opened in order, so the first that holds the piece is looked for once for all of its kind.
        for (room, cuts) in &mut bars {
            if left == 0 {
                break;
            }
            let fits = ((*room / length) as u64).min(left);
            if fits > 0 {
                *room -= length * usize::try_from(fits).unwrap_or(0);
                *cuts.entry(at).or_default() += fits;
                left -= fits;
            }
        }
        let each = (longest / length).max(1) as u64;
        while left > 0 {
            let count = each.min(left);
            let used = length * usize::try_from(count).unwrap_or(0);
            bars.push((longest.saturating_sub(used), BTreeMap::from([(at, count)])));
            left -= count;
        }
    }
    gathered(
        units,
        bars.into_iter().filter_map(|(room, cuts)| {
            let stock = cheapest(units, longest - room)?;
            Some((stock, cuts.into_iter().collect(), 1))
        }),
    )
}
