//! Lines of the takeoff that a script states as formulas: worked out once the script has ended, live in the workbook.

use super::Job;
use super::inputs::{JobInputs, formulas};
use crate::measure::{Exact, unit};
use crate::problem::{Faults, Outcome, Place, Problem};
use crate::sheet::{Sheet, SheetRow, build};
use crate::takeoff::{Derivation, LINE_FORMULAS, Line, Takeoff};

fn row(line: &Line) -> Option<SheetRow> {
    let Derivation::Formula(formula) = &line.derivation else { return None };
    Some(SheetRow {
        what: line.label.clone(),
        name: line.cell(),
        unit: line.unit.clone(),
        formula: formula.trim_start().trim_start_matches('=').to_owned(),
        others: Vec::new(),
        place: line.trail.place.clone().unwrap_or_else(|| Place::file(&line.id)),
    })
}

fn sheet(rows: Vec<SheetRow>) -> Sheet {
    Sheet {
        name: LINE_FORMULAS.to_owned(),
        title: "Line formulas".to_owned(),
        per_wall: false,
        others: Vec::new(),
        rows,
        remarks: Vec::new(),
    }
}

/// The sheet of the formulas; none where no line has one.
pub(super) fn formulas_of(takeoff: &Takeoff) -> Option<Sheet> {
    let rows: Vec<SheetRow> = takeoff.lines.iter().filter_map(row).collect();
    (!rows.is_empty()).then(|| sheet(rows))
}

/// Works the formulas of a takeoff out, and what follows from them.
///
/// # Errors
/// A formula is faulty, gives something else than its unit, or two lines are told apart by a dot or dash alone.
pub(super) fn settle(job: &Job, takeoff: &mut Takeoff) -> Outcome<()> {
    let Some(all) = formulas_of(takeoff) else { return Ok(()) };
    let mut faults = Faults::none();
    for (at, one) in all.rows.iter().enumerate() {
        if all.rows[..at].iter().any(|other| other.name == one.name) {
            let message =
                format!("two lines with formulas differ by dots and dashes alone: {}", one.name);
            faults.push(Problem::error(message).at(one.place.clone()));
        }
    }
    if faults.stop() {
        return Err(faults);
    }
    takeoff.settle(|so_far, line| {
        let language = formulas(job, Some(so_far))?;
        let alone = sheet(row(line).into_iter().collect());
        let (book, faults) = build(&[alone], &JobInputs::new(so_far), &language);
        let cell = line.formula_cell().and_then(|cell| book.find(&cell));
        let value = cell.and_then(|id| book.quantity(id));
        let exact = value.and_then(|quantity| {
            let value = num_rational::BigRational::from_float(quantity.base())?;
            Some(Exact { value, dimension: quantity.dimension() })
        });
        let dimension = unit(&line.unit).map(|unit| unit.dimension()).ok();
        faults.or_value(exact.filter(|exact| Some(exact.dimension) == dimension)).map_err(
            |faults| match faults.is_empty() {
                true => Problem::error(format!("the formula of line {} gives no value", line.id))
                    .at(line.trail.place.clone().unwrap_or_else(|| Place::file(&line.id)))
                    .into(),
                false => faults,
            },
        )
    })
}
