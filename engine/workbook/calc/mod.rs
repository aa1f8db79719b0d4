//! Calc sheets in the workbook: inputs as cells with defined names, every cell a live formula where a spreadsheet can
//! follow it, the trace beside it, and the sources that all of it rests on.

mod inputs;
mod page;
mod plan;
mod sources;

use rust_xlsxwriter::{Format, FormatBorder, Workbook, Worksheet, XlsxError};

use super::look;
use super::write::{Contents, Places};
use crate::catalogue::Value;
use crate::measure::{Dimension, Quantity, date_days, unit};
use crate::problem::cell_name;
use crate::sheet::{Origin, number_unit};

use plan::VALUE;
pub(super) use plan::{On, Plan};

/// A value as a spreadsheet holds it, and its format.
enum Held {
    Number(f64, String),
    Text(String),
    Flag(bool),
}

/// The number of a quantity in the unit of its cell, as the workbook shows it.
fn held(value: &Value, name: &str) -> Held {
    let quantity = match value {
        Value::Measure(quantity) => *quantity,
        Value::Number(number) => Quantity::number(*number),
        Value::Flag(flag) => return Held::Flag(*flag),
        Value::Text(text) => return Held::Text(text.clone()),
        other => return Held::Text(other.words()),
    };
    let dimension = quantity.dimension();
    if dimension == Dimension::DATE {
        return Held::Number(date_days(quantity) + 25_569.0, "yyyy-mm-dd".to_owned());
    }
    let shown = number_unit(name);
    let number = match shown {
        "percent" => quantity.base(),
        shown => unit(shown).and_then(|unit| quantity.in_unit(&unit)).unwrap_or(quantity.base()),
    };
    let pattern = match (name, dimension) {
        ("percent", _) => "0.0%",
        (_, Dimension::MONEY) => "#,##0.00",
        (_, Dimension::NUMBER) => "General",
        (_, dimension) if dimension.money != 0 => "#,##0.00##",
        _ => "#,##0.00##",
    };
    Held::Number(number, pattern.to_owned())
}

/// Name of a sheet as a formula writes it.
fn quoted(name: &str) -> String {
    format!("'{}'", name.replace('\'', "''"))
}

/// A cell as a formula writes it where it is not to move.
fn absolute(row: u32, column: u16) -> String {
    let name = cell_name(row as usize, usize::from(column));
    let digits = name.find(|c: char| c.is_ascii_digit()).unwrap_or(1);
    format!("${}${}", &name[..digits], &name[digits..])
}

/// Draws inputs, calc sheets and sources into the workbook.
pub(super) fn draw(
    book: &mut Workbook,
    contents: &Contents,
    places: &Places,
    taken: &mut Vec<String>,
) -> Result<(), XlsxError> {
    let plan = &places.plan;
    for (at, name) in plan.sheets.iter().enumerate() {
        let sheet = page::calc_sheet(contents, places, at, name)?;
        book.push_worksheet(sheet);
    }
    if let Some(takeoff) = contents.takeoff.filter(|_| !plan.inputs.is_empty()) {
        book.push_worksheet(inputs::inputs(contents, places, takeoff)?);
    }
    if let Some(sheet) = sources::sources(contents, taken)? {
        book.push_worksheet(sheet);
    }
    let on_inputs = quoted(&plan.inputs);
    for (path, row) in &plan.settings {
        if let Some(name) = plan.setting(path) {
            book.define_name(name, &format!("={on_inputs}!{}", absolute(*row, VALUE)))?;
        }
    }
    for (fact, row) in &plan.facts {
        if let Some(name) = plan.named(&format!("fact {fact}")) {
            book.define_name(name, &format!("={on_inputs}!{}", absolute(*row, VALUE)))?;
        }
    }
    for (id, (sheet, row, column)) in &places.lines {
        if let Some(name) = plan.named(&format!("line {id}")) {
            book.define_name(name, &format!("={}!{}", quoted(sheet), absolute(*row, *column)))?;
        }
    }
    for (id, row) in &plan.rows {
        let Origin::Cell { sheet, .. } = contents.book.node(*id).origin else { continue };
        if let Some(name) = plan.named(&format!("cell {id}")) {
            let on = quoted(&plan.sheets[sheet as usize]);
            book.define_name(name, &format!("={on}!{}", absolute(*row, VALUE)))?;
        }
    }
    Ok(())
}

/// Writes a value that is no formula.
fn put(
    sheet: &mut Worksheet,
    row: u32,
    held: &Held,
    style: impl Fn(Format) -> Format,
) -> Result<(), XlsxError> {
    match held {
        Held::Number(number, pattern) => {
            sheet.write_with_format(row, VALUE, *number, &style(look::number(pattern)))?;
        }
        Held::Text(text) => {
            let text: String = text.chars().take(32_000).collect();
            sheet.write_with_format(row, VALUE, text, &style(look::text(true)))?;
        }
        Held::Flag(flag) => {
            sheet.write_with_format(row, VALUE, *flag, &style(look::number("General")))?;
        }
    }
    Ok(())
}

/// The frame around what a person may change.
fn typed(format: Format) -> Format {
    format.set_border(FormatBorder::Thin)
}

/// How a figure that does not follow a change is marked.
fn computed(format: Format) -> Format {
    format.set_italic()
}

fn heads(
    sheet: &mut Worksheet,
    row: u32,
    titles: &[&str],
    numbers: &[usize],
) -> Result<(), XlsxError> {
    for (at, title) in titles.iter().enumerate() {
        let column = u16::try_from(at).unwrap_or(0);
        sheet.write_with_format(row, column, *title, &look::column_head(numbers.contains(&at)))?;
    }
    Ok(())
}

fn shown_unit(unit: &str) -> &str {
    match unit {
        "percent" | "yes/no" | "text" => "",
        unit => number_unit(unit),
    }
}

fn fit(sheet: &mut Worksheet, row: u32, texts: &[(&str, f64)]) -> Result<(), XlsxError> {
    let lines = texts.iter().map(|(text, width)| look::lines(text, *width)).max().unwrap_or(1);
    if lines > 1 {
        sheet.set_row_height(row, look::LINE * f64::from(lines))?;
    }
    Ok(())
}
