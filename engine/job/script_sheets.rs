//! Sheets of scripts that hold formulas: each becomes a calc sheet of rows, so that its cells are checked, live and explained
//! like all others.

use crate::listing::Datum;
use crate::measure::{System, known_unit, number_unit, shortest};
use crate::problem::{Faults, Outcome, Place, Problem};
use crate::sheet::{Per, Sheet, read_sheet};
use crate::table::{Cell, CellKind, Row, Table};
use crate::takeoff::SheetDraft;

/// A draft as a calc sheet; nothing where it states no formula, unit or total.
///
/// # Errors
/// As [`read_sheet`].
pub(super) fn calc_sheet_of(draft: &SheetDraft, system: System) -> Outcome<Option<Sheet>> {
    if draft.rules.is_empty() {
        return Ok(None);
    }
    let said = |word: &str, of: &dyn Fn(usize) -> Option<String>| -> Vec<Cell> {
        let columns = (1..draft.columns.len()).map(|at| Cell::text(&of(at).unwrap_or_default()));
        std::iter::once(Cell::text(word)).chain(columns).collect()
    };
    let rule = |at: usize| draft.rules.get(&at);
    let unit = |at: usize| {
        let given = rule(at).and_then(|rule| rule.unit.clone());
        given.or_else(|| draft.rows.iter().find_map(|row| unit_of(row.get(at)?, system)))
    };
    let mut lines: Vec<Vec<Cell>> =
        vec![draft.columns.iter().map(|name| Cell::text(name)).collect()];
    lines.push(said("unit", &unit));
    lines.push(said("formula", &|at| rule(at)?.formula.clone()));
    let mut faults = Faults::none();
    for (number, row) in (1..).zip(&draft.rows) {
        let mut cells = Vec::new();
        for (at, datum) in row.iter().enumerate() {
            let unit = if at == 0 { None } else { unit(at) };
            cells.push(cell(datum, unit.as_deref(), system).unwrap_or_else(|problem| {
                let name = &draft.columns[at];
                let row = match row.first() {
                    Some(Datum::Text(name)) => name.clone(),
                    _ => number.to_string(),
                };
                let message = format!("column {name} of row {row}: {}", problem.message);
                faults.push(Problem { message, ..problem }.at(Place::file(&draft.script)));
                Cell::empty()
            }));
        }
        lines.push(cells);
    }
    if faults.stop() {
        return Err(faults);
    }
    if draft.rules.values().any(|rule| rule.total.is_some()) {
        lines.push(said("total", &|at| rule(at)?.total.clone()));
    }
    let rows = (1..).zip(lines).map(|(line, cells)| Row { line, cells });
    let table = Table {
        file: draft.script.clone(),
        sheet: Some(draft.title.clone()),
        rows: rows.collect(),
        spaced: false,
        hidden: Vec::new(),
        remarks: Vec::new(),
        by_formula: 0,
    };
    let letters = draft.title.to_lowercase();
    let name = letters.replace(|c: char| !c.is_ascii_alphanumeric(), "_");
    let mut sheet = read_sheet(&table, name.trim_matches('_'), &draft.title, &Per::Job)?;
    sheet.bars.clone_from(&draft.bars);
    sheet.by_script = true;
    Ok(Some(sheet))
}

/// The unit of a column of measures.
fn unit_of(datum: &Datum, system: System) -> Option<String> {
    match datum {
        Datum::Text(_) => Some("text".to_owned()),
        datum => datum.number(system).map(|(_, unit)| unit.to_owned()),
    }
}

/// A value as a cell of the table, in the unit of its column.
///
/// # Errors
/// It measures something else than the column.
fn cell(datum: &Datum, unit: Option<&str>, system: System) -> Result<Cell, Problem> {
    let number = |value: f64| Cell { text: shortest(value).into(), kind: CellKind::Number };
    let quantity = match datum {
        Datum::Blank => return Ok(Cell::empty()),
        Datum::Text(text) => return Ok(Cell::text(text)),
        Datum::Flag(flag) => return Ok(Cell::text(if *flag { "yes" } else { "no" })),
        Datum::Count(_) | Datum::Number(_) => None,
        datum => datum.quantity(),
    };
    match (quantity, unit.filter(|unit| !unit.is_empty() && *unit != "text")) {
        (Some(quantity), Some(unit)) => {
            let there = known_unit(number_unit(unit));
            let there = there.filter(|there| there.dimension() == quantity.dimension());
            let there = there.ok_or_else(|| {
                let measured = quantity.dimension();
                Problem::error(format!("the column is in {unit}, and this is {measured}"))
            })?;
            quantity.in_unit(&there).map(number)
        }
        _ => Ok(datum.number(system).map_or_else(Cell::empty, |(value, _)| number(value))),
    }
}
