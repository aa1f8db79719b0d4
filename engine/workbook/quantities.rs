//! The table of quantities: each line as a live formula over its parts or over other lines.

use rust_xlsxwriter::{Formula, XlsxError};

use super::look;
use super::page::PageColumn;
use super::write::Sheet;
use crate::footing::Part;
use crate::listing::Datum;
use crate::measure::shortest;
use crate::takeoff::{Derivation, Line, Takeoff};

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
fn formula(sheet: &mut Sheet, line: &Line, columns: &[PageColumn]) -> Option<String> {
    if line.derivation != Derivation::Parts {
        return sheet.line_formula(line).map(|formula| format!("={formula}"));
    }
    let (part, _) = at(columns, "part").filter(|_| !line.parts.is_empty())?;
    if let Some((wall, _)) = at(columns, "wall") {
        sheet.parts_at(line, wall, part);
    }
    let cell = |row: usize| crate::problem::cell_name(row, usize::from(part));
    let head = sheet.row as usize;
    Some(format!("=SUM({}:{})", cell(head + 1), cell(head + line.parts.len())))
}
