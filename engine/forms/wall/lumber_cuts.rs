//! How the lumber of the footing is cut from stock lengths: boards of the bulkheads and cross pieces of the templates.

use std::collections::BTreeMap;

use super::bulkheads::{LumberSpec, bulkheads, templates};
use crate::cutting::CutList;
use crate::footing::Layout;
use crate::measure::Nm;
use crate::problem::{Faults, Outcome, Problem};

/// The cut list of one kind of lumber.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LumberCuts {
    /// What is cut.
    pub what: &'static str,
    /// Its cut list.
    pub list: CutList,
}

/// The cut lists; none where the job names no stock lengths.
///
/// # Errors
/// A piece is longer than the stock, or the lengths share no measure with it.
pub fn lumber_cuts(layout: &Layout, spec: &LumberSpec) -> Outcome<Vec<LumberCuts>> {
    if spec.stock.is_empty() {
        return Ok(Vec::new());
    }
    let boards = bulkheads(layout, spec).into_iter().map(|one| (one.length, one.boards));
    let crosses =
        templates(layout, spec).into_iter().map(|one| (one.cross_length, one.cross_pieces));
    let mut faults = Faults::none();
    let mut lists = Vec::new();
    for (what, pieces) in
        [("bulkhead boards", boards.collect::<Vec<_>>()), ("cross pieces", crosses.collect())]
    {
        let mut lengths: BTreeMap<std::cmp::Reverse<Nm>, u64> = BTreeMap::new();
        for (length, count) in pieces {
            *lengths.entry(std::cmp::Reverse(length)).or_default() +=
                u64::try_from(count).unwrap_or(0);
        }
        let pieces: Vec<(Nm, u64)> =
            lengths.into_iter().map(|(length, count)| (length.0, count)).collect();
        if pieces.is_empty() {
            continue;
        }
        let longest = spec.stock.iter().copied().max().unwrap_or(Nm::ZERO);
        if let Some((length, _)) = pieces.iter().find(|(length, _)| *length > longest) {
            let show = |length| layout.site.system.show(length);
            faults.push(
                Problem::error(format!(
                    "the {what} are up to {} long, the longest stock is {}",
                    show(*length),
                    show(longest)
                ))
                .at(crate::problem::Place::file("job.toml"))
                .help("give a longer stock length: lumber.stock"),
            );
            continue;
        }
        let named = |problem: Problem| Faults::from(problem.detail(format!("cutting the {what}")));
        let made = CutList::of(&spec.stock, spec.stock_prices.as_deref(), spec.kerf, pieces)
            .map_err(named);
        lists.extend(faults.keep(made).map(|list| LumberCuts { what, list }));
    }
    faults.or_value(Some(lists))
}
