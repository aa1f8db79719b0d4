//! Formulas of whole columns: read and looked up once, then moved down from row to row.

use super::Builder;
use crate::sheet::book::{NodeId, Origin};
use crate::sheet::formula::{Formula, Name};
use crate::sheet::table::Sheet;

/// A cell whose formula is that of an earlier one of its column, so many rows further down.
pub(super) struct Repeat {
    pub(super) id: NodeId,
    pub(super) of: NodeId,
    pub(super) rows: NodeId,
}

impl Builder<'_> {
    /// Gives cells the formula of an earlier row of their column; what that rests on in its row, they rest on in theirs.
    pub(super) fn repeat(&mut self) {
        for Repeat { id, of, rows } in std::mem::take(&mut self.repeats) {
            let Origin::Cell { sheet, wall: Some(row), .. } = self.nodes[of as usize].origin else {
                continue;
            };
            let in_row = |on: NodeId| {
                matches!(self.nodes[on as usize].origin,
                    Origin::Cell { sheet: its, wall: Some(its_row), .. } if its == sheet && its_row == row)
            };
            let formula = self.nodes[of as usize].formula.as_ref();
            let formula = formula
                .map(|formula| formula.with_nodes(&|on| if in_row(on) { on + rows } else { on }));
            if formula.is_none() {
                self.looped.push((id, of));
            }
            self.nodes[id as usize].formula = formula;
        }
    }
}

/// Whether a formula means the same in every row of a sheet but for the cells of the row itself: it names cells of the
/// sheet by their columns alone, and nothing of the row of a listing.
pub(super) fn is_alike_in_all_rows(formula: &Formula, sheet: &Sheet) -> bool {
    match formula {
        Formula::Opaque(_) => false,
        Formula::Name(Name { path, .. }) => match &path[..] {
            [] | [_] => true,
            [first, ..] => {
                first != "row"
                    && *first != sheet.name
                    && !sheet.rows.iter().any(|row| row.name == *first)
            }
        },
        other => other.parts().into_iter().all(|part| is_alike_in_all_rows(part, sheet)),
    }
}
