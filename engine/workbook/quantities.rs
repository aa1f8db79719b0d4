//! The table of quantities: each line as a live formula over its parts or over other lines.

use rust_xlsxwriter::{Formula, XlsxError};

use super::look;
use super::page::PageColumn;
use super::write::Sheet;
use crate::footing::Part;
use crate::listing::Datum;
use crate::measure::{shortest, unit};
use crate::takeoff::{Derivation, Line, Share, Takeoff};

/// Draws all lines, each with its parts under it.
pub(super) fn draw(
    sheet: &mut Sheet,
    takeoff: &Takeoff,
    columns: &[PageColumn],
) -> Result<(), XlsxError> {
    let mut group = "";
    for line in &takeoff.lines {
        if !group.is_empty() && group != line.group() {
            sheet.row += 1;
        }
        group = line.group();
        draw_line(sheet, line, columns)?;
    }
    Ok(())
}

fn at(columns: &[PageColumn], field: &str) -> Option<(u16, usize)> {
    let index = columns.iter().position(|column| column.field == field)?;
    Some((columns[index].at.unwrap_or(u16::try_from(index).unwrap_or(0)), index))
}

fn draw_line(sheet: &mut Sheet, line: &Line, columns: &[PageColumn]) -> Result<(), XlsxError> {
    let head = sheet.row;
    let texts =
        [("what", line.label.as_str()), ("unit", line.unit.as_str()), ("how", ""), ("caution", "")];
    for (field, text) in texts {
        if let Some((column, _)) = at(columns, field).filter(|_| !text.is_empty()) {
            sheet.sheet.write_with_format(head, column, text, &look::text(false).set_bold())?;
        }
    }
    let caution = line.cautions.join("; ");
    if let Some((column, _)) = at(columns, "caution").filter(|_| !caution.is_empty()) {
        sheet.sheet.write_with_format(
            head,
            column,
            format!("CAUTION: {caution}"),
            &look::text(true),
        )?;
    }
    let datum = Datum::Amount(line.quantity.clone(), line.unit.clone());
    if let (Some((column, index)), Some((value, _))) =
        (at(columns, "quantity"), datum.number(sheet.system()))
    {
        let pattern = look::pattern(&datum, sheet.system(), columns[index].places);
        let format = look::number(&pattern).set_bold();
        match formula(sheet, line, columns) {
            Some(text) => {
                let formula = Formula::new(text).set_result(shortest(value));
                sheet.sheet.write_formula_with_format(head, column, formula, &format)?;
            }
            None => {
                // Marked as every figure that a change of the inputs does not reach.
                sheet.sheet.write_with_format(head, column, value, &format.set_italic())?;
                if let Some((how, _)) = at(columns, "how") {
                    let text = "computed: does not follow a change of Inputs";
                    sheet.sheet.write_with_format(
                        head,
                        how,
                        text,
                        &look::text(true).set_italic(),
                    )?;
                }
            }
        }
        sheet.line_at(&line.id, column);
    }
    sheet.row += 1;
    for part in &line.parts {
        draw_part(sheet, line, part, columns)?;
        sheet.row += 1;
    }
    Ok(())
}

fn draw_part(
    sheet: &mut Sheet,
    line: &Line,
    part: &Part,
    columns: &[PageColumn],
) -> Result<(), XlsxError> {
    let values = [
        ("what", Datum::text(format!("    {}", part.what))),
        ("wall", Datum::text(&part.wall)),
        ("from", Datum::Length(part.from)),
        ("to", Datum::Length(part.to)),
        ("how", Datum::text(&part.how)),
        ("part", Datum::Amount(part.amount.clone(), line.unit.clone())),
    ];
    for (field, datum) in values {
        if let Some((column, index)) = at(columns, field) {
            sheet.datum(sheet.row, column, &datum, &columns[index])?;
        }
    }
    Ok(())
}

/// The live formula of a line, where it has one.
fn formula(sheet: &Sheet, line: &Line, columns: &[PageColumn]) -> Option<String> {
    let in_unit = |exact: &crate::measure::Exact| {
        let unit = unit(&line.unit).ok()?;
        exact.quantity().in_unit(&unit).ok().map(shortest)
    };
    let plain =
        |ratio: &num_rational::BigRational| num_traits::ToPrimitive::to_f64(ratio).map(shortest);
    let named_share = |share: &Share| match &share.from {
        Some(path) => sheet.input(path),
        None => plain(&share.value),
    };
    match &line.derivation {
        Derivation::Parts if line.parts.is_empty() => None,
        Derivation::Parts => {
            let (column, _) = at(columns, "part")?;
            let first = crate::problem::cell_name(sheet.row as usize + 1, usize::from(column));
            let last = crate::problem::cell_name(
                sheet.row as usize + line.parts.len(),
                usize::from(column),
            );
            Some(format!("=SUM({first}:{last})"))
        }
        Derivation::Sum(of) => {
            let cells: Option<Vec<String>> = of.iter().map(|id| sheet.line_cell(id)).collect();
            Some(format!("={}", cells?.join("+")))
        }
        Derivation::Scaled { of, factor } => {
            Some(format!("={}*{}", sheet.line_cell(of)?, plain(factor)?))
        }
        Derivation::Increased { of, share } => {
            Some(format!("={}*(1+{})", sheet.line_cell(of)?, named_share(share)?))
        }
        Derivation::Ordered { of, waste, step, step_from } => {
            let step = match step_from {
                Some(path) => sheet.input(path),
                None => in_unit(step),
            };
            let (of, waste, step) = (sheet.line_cell(of)?, named_share(waste)?, step?);
            // The engine's rounding rule: nine decimals of a step first, so an exact multiple gains none.
            Some(format!("=CEILING(ROUND({of}*(1+{waste})/{step},9),1)*{step}"))
        }
        Derivation::Formula(_) => sheet.formula_cell(line).map(|cell| format!("={cell}")),
        Derivation::Value => None,
    }
}
