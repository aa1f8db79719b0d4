//! Rows of listings in scripts: a listing is a property of the job or of a takeoff, a column one of a row.

use std::sync::Arc;

use rhai::{Array, Dynamic, Engine, EvalAltResult, NativeCallContext};

use super::fault::raise;
use super::measures::dynamic;
use crate::footing::{Layout, System};
use crate::listing::{Datum, Declaration};
use crate::problem::Problem;
use crate::takeoff::{Takeoff, WallJob, listing_of};

/// A row of a listing.
#[derive(Debug, Clone)]
pub(super) struct RowHandle {
    pub(super) declaration: Declaration,
    pub(super) cells: Arc<Vec<Datum>>,
}

impl RowHandle {
    /// What it has, by column.
    pub(super) fn words(&self, system: System) -> String {
        let fields = self.declaration.columns.iter().zip(self.cells.iter());
        let fields = fields.filter(|(_, cell)| **cell != Datum::Blank);
        let words =
            fields.map(|(column, cell)| format!("{}: {}", column.name, cell.short_words(system)));
        words.collect::<Vec<_>>().join(", ")
    }
}

/// The rows of the listing of this name; nothing where there is none.
///
/// # Errors
/// It is not known yet.
pub(super) fn rows(
    name: &str,
    job: &WallJob,
    layout: Option<&Layout>,
    takeoff: Option<&Takeoff>,
) -> Result<Option<Dynamic>, Problem> {
    let Some(listing) = listing_of(name, job, layout, takeoff)? else { return Ok(None) };
    let declaration = listing.declaration;
    let handle = |cells| Dynamic::from(RowHandle { declaration, cells: Arc::new(cells) });
    Ok(Some(Dynamic::from(listing.rows.into_iter().map(handle).collect::<Array>())))
}

pub(super) fn register(engine: &mut Engine, system: System) {
    engine.register_type_with_name::<RowHandle>("row");
    engine.register_fn("to_string", move |row: &mut RowHandle| row.words(system));
    engine.register_fn("to_debug", move |row: &mut RowHandle| row.words(system));
    engine.register_indexer_get(
        |ctx: NativeCallContext,
         row: &mut RowHandle,
         name: &str|
         -> Result<_, Box<EvalAltResult>> {
            let at = row.declaration.column(name);
            let at = at.map_err(|problem| raise(problem, ctx.call_position()))?;
            Ok(value(&row.cells[at]))
        },
    );
}

/// A value of a row as scripts hold it.
fn value(datum: &Datum) -> Dynamic {
    match datum {
        Datum::Blank => Dynamic::UNIT,
        Datum::Text(text) => text.clone().into(),
        Datum::Count(count) => (*count).into(),
        Datum::Flag(flag) => (*flag).into(),
        Datum::Number(number) => (*number).into(),
        Datum::Length(_) | Datum::Amount(..) => datum.quantity().map_or(Dynamic::UNIT, dynamic),
    }
}
