//! How the lumber of the footing is cut from stock lengths: boards of the bulkheads and cross pieces of the templates.

use super::boards::{BoardUse, UsedLumber, used_lumber};
use super::bulkheads::LumberSpec;
use crate::cutting::CutList;
use crate::footing::Layout;
use crate::measure::Nm;
use crate::problem::{Faults, Outcome, Problem};

/// The cut list of one kind of lumber.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LumberCuts {
    /// What is cut.
    pub what: &'static str,
    /// What the yard calls the board, if the job names it.
    pub board: Option<String>,
    /// Its cut list.
    pub list: CutList,
}

impl LumberCuts {
    /// What is cut, and of which board.
    pub fn name(&self) -> String {
        self.board
            .as_ref()
            .map_or_else(|| self.what.to_owned(), |board| format!("{}, {board}", self.what))
    }
}

/// The cut lists; none where the job names no stock lengths. Long pieces are laid end to end and not cut.
///
/// # Errors
/// A piece is longer than the stock, or the lengths share no measure with it.
pub fn lumber_cuts(layout: &Layout, spec: &LumberSpec) -> Outcome<Vec<LumberCuts>> {
    if spec.stock.is_empty() {
        return Ok(Vec::new());
    }
    let mut faults = Faults::none();
    let mut lists = Vec::new();
    for UsedLumber { used, board, pieces } in used_lumber(layout, spec) {
        let what = match used {
            BoardUse::Bulkheads => "bulkhead boards",
            BoardUse::CrossPieces => "cross pieces",
            BoardUse::LongPieces => continue,
        };
        let board = board.map(|board| spec.boards[board].name.clone());
        let pieces: Vec<(Nm, u64)> = pieces
            .into_iter()
            .map(|(length, count)| (length, u64::try_from(count).unwrap_or(0)))
            .collect();
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
        lists.extend(faults.keep(made).map(|list| LumberCuts { what, board, list }));
    }
    faults.or_value(Some(lists))
}
