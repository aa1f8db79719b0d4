//! Writes an input book: a job as a workbook that a person fills in.

use rust_xlsxwriter::{
    DataValidation, DocProperties, ExcelDateTime, Format, FormatAlign, FormatBorder, Formula, Url,
    Workbook, Worksheet, XlsxError,
};

use super::look;
use super::net::caught;
use crate::problem::{Outcome, Problem};

/// What a cell holds that was filled in.
#[derive(Debug, Clone, PartialEq)]
pub enum InputCell {
    /// A number; its unit stands beside it or in the heading.
    Number(f64),
    /// A text.
    Text(String),
}

/// One sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct InputSheet {
    /// Its name.
    pub name: String,
    /// What it is.
    pub about: String,
    /// Whether the job needs it.
    pub needed: bool,
    /// What stands in it.
    pub rows: InputRows,
}

/// The rows of a sheet.
#[derive(Debug, Clone, PartialEq)]
pub enum InputRows {
    /// A row for each key.
    Pairs(Vec<InputPair>),
    /// A column for each key.
    List(Vec<InputColumn>, Vec<Vec<Option<InputCell>>>),
    /// Cells as they are pasted.
    Pasted(Vec<Vec<InputCell>>),
}

/// One key with its value.
#[derive(Debug, Clone, PartialEq)]
pub struct InputPair {
    /// What it means.
    pub what: String,
    /// Its value, if it has one.
    pub cell: Option<InputCell>,
    /// The unit of a bare number.
    pub unit: String,
    /// Its name.
    pub key: String,
    /// What holds where it is empty.
    pub without: String,
    /// What may stand there.
    pub may_be: String,
    /// Words to choose from.
    pub choices: Vec<String>,
}

/// One column of a list.
#[derive(Debug, Clone, PartialEq)]
pub struct InputColumn {
    /// Its heading, with the unit of bare numbers in brackets.
    pub heading: String,
    /// What it means, and what holds where it is empty.
    pub what: String,
    /// What may stand there.
    pub may_be: String,
    /// Words to choose from.
    pub choices: Vec<String>,
}

/// Rows of a list that are boxed to be filled in, at least.
const BOXED: usize = 25;

/// Writes the book: the sheet of contents has this name, and these lines above its list.
///
/// # Errors
/// The spreadsheet library refuses something.
pub fn write_input_book(
    title: &str,
    contents: &str,
    how: &[String],
    sheets: &[InputSheet],
) -> Outcome<Vec<u8>> {
    let fail = |what: String| Problem::error(format!("the input book cannot be written: {what}"));
    match caught(|| written(title, contents, how, sheets)) {
        Ok(bytes) => Ok(bytes.map_err(|error| fail(error.to_string()))?),
        Err(what) => Err(fail(what).into()),
    }
}

fn written(
    title: &str,
    contents: &str,
    how: &[String],
    sheets: &[InputSheet],
) -> Result<Vec<u8>, XlsxError> {
    let mut book = Workbook::new();
    let mut long_lists: Vec<Vec<String>> = Vec::new();
    let created = ExcelDateTime::from_ymd(2000, 1, 1)?;
    book.set_properties(&DocProperties::new().set_title(title).set_creation_datetime(&created));
    book.push_worksheet(contents_sheet(title, contents, how, sheets)?);
    for sheet in sheets {
        let mut page = Worksheet::new();
        page.set_name(&sheet.name)?;
        match &sheet.rows {
            InputRows::Pairs(pairs) => write_pairs(&mut page, pairs, &mut long_lists)?,
            InputRows::List(columns, rows) => {
                write_list(&mut page, columns, rows, &mut long_lists)?;
            }
            InputRows::Pasted(rows) => {
                for (at, row) in (0_u32..).zip(rows) {
                    for (column, cell) in (0_u16..).zip(row) {
                        write_cell(&mut page, at, column, Some(cell), &Format::new())?;
                    }
                }
            }
        }
        page.set_landscape().set_print_fit_to_pages(1, 0).set_repeat_rows(0, 0)?;
        page.set_footer(format!("&L{}&R&P / &N", sheet.name));
        book.push_worksheet(page);
    }
    if !long_lists.is_empty() {
        let mut page = Worksheet::new();
        page.set_name(LONG_LISTS)?;
        for (column, words) in (0..).zip(&long_lists) {
            page.write_column(0, column, words.iter().map(String::as_str))?;
            page.set_column_width(column, 44)?;
        }
        book.push_worksheet(page);
    }
    book.save_to_buffer()
}

/// The sheet of words to choose from that a cell cannot hold itself; by its name it is none of the job.
const LONG_LISTS: &str = "_choices";

/// The first sheet: how it is filled in, and what the others are.
fn contents_sheet(
    title: &str,
    name: &str,
    how: &[String],
    sheets: &[InputSheet],
) -> Result<Worksheet, XlsxError> {
    let mut page = Worksheet::new();
    page.set_name(name)?;
    page.write_with_format(0, 0, title, &look::title())?;
    let mut at = 1;
    for line in how {
        page.write(at, 0, line.as_str())?;
        at += 1;
    }
    at += 1;
    for (column, head) in (0..).zip(["Sheet", "State", "What it is"]) {
        page.write_with_format(at, column, head, &look::column_head(false))?;
    }
    for sheet in sheets {
        at += 1;
        let link = Url::new(format!("internal:'{}'!A1", sheet.name)).set_text(&sheet.name);
        page.write_url(at, 0, link)?;
        let (filled, cells) = match &sheet.rows {
            InputRows::Pairs(pairs) => {
                (pairs.iter().any(|pair| pair.cell.is_some()), "$B$2:$B$999")
            }
            InputRows::List(_, rows) => (!rows.is_empty(), "$A$2:$Z$999"),
            InputRows::Pasted(rows) => (!rows.is_empty(), "$A$1:$Z$999"),
        };
        let otherwise = if sheet.needed { "needed" } else { "empty" };
        let state = if filled { "filled in" } else { otherwise };
        // It follows what is typed.
        let count = format!("COUNTA('{}'!{cells})", sheet.name);
        let live = Formula::new(format!("=IF({count}>0,\"filled in\",\"{otherwise}\")"));
        page.write_formula_with_format(at, 1, live.set_result(state), &look::text(false))?;
        page.write_with_format(at, 2, sheet.about.as_str(), &look::text(true))?;
        page.set_row_height(at, height(&[&sheet.about], &[90.0]))?;
    }
    page.set_column_width(0, 20)?.set_column_width(1, 11)?.set_column_width(2, 90)?;
    page.set_landscape().set_print_fit_to_pages(1, 0);
    Ok(page)
}

/// A cell that a person fills in.
fn own() -> Format {
    Format::new().set_border(FormatBorder::Thin).set_align(FormatAlign::Top)
}

fn write_cell(
    page: &mut Worksheet,
    row: u32,
    column: u16,
    cell: Option<&InputCell>,
    format: &Format,
) -> Result<(), XlsxError> {
    match cell {
        None => page.write_blank(row, column, format)?,
        Some(InputCell::Number(number)) => page.write_with_format(row, column, *number, format)?,
        // As text, so that no spreadsheet makes a date or a formula of it.
        Some(InputCell::Text(text)) => {
            let format = format.clone().set_num_format("@").set_text_wrap();
            page.write_string_with_format(row, column, text, &format)?
        }
    };
    Ok(())
}

/// Offers words to choose from; others are told when the book is read.
fn choose(
    page: &mut Worksheet,
    first: (u32, u16),
    last: (u32, u16),
    choices: &[String],
    long_lists: &mut Vec<Vec<String>>,
) -> Result<(), XlsxError> {
    if choices.is_empty() {
        return Ok(());
    }
    // A list in a formula has 255 letters at most, and commas between its words.
    let short = choices.iter().map(|word| word.len() + 1).sum::<usize>() <= 250;
    let formula = if short && !choices.iter().any(|word| word.contains(',')) {
        format!("\"{}\"", choices.join(","))
    } else {
        let known = long_lists.iter().position(|list| list == choices);
        let at = known.unwrap_or(long_lists.len());
        if known.is_none() {
            long_lists.push(choices.to_vec());
        }
        let last = u32::try_from(choices.len() - 1).unwrap_or(u32::MAX);
        let column = u16::try_from(at).unwrap_or(u16::MAX);
        format!(
            "={LONG_LISTS}!{}",
            rust_xlsxwriter::utility::cell_range_absolute(0, column, last, column)
        )
    };
    let list = DataValidation::new()
        .allow_list_formula(Formula::new(formula))
        .set_error_style(rust_xlsxwriter::DataValidationErrorStyle::Warning);
    page.add_data_validation(first.0, first.1, last.0, last.1, &list)?;
    Ok(())
}

/// Widths of the columns of a sheet of keys.
const WIDTHS: [f64; 6] = [58.0, 26.0, 10.0, 26.0, 24.0, 44.0];

/// Height of a row of wrapped texts.
fn height(texts: &[&str], widths: &[f64]) -> f64 {
    let lines = texts.iter().zip(widths).map(|(text, width)| look::lines(text, *width));
    f64::from(lines.max().unwrap_or(1)) * look::LINE
}

fn write_pairs(
    page: &mut Worksheet,
    pairs: &[InputPair],
    long_lists: &mut Vec<Vec<String>>,
) -> Result<(), XlsxError> {
    let heads = ["What", "Value", "Unit", "Key", "If empty", "What may stand there"];
    for (column, head) in (0..).zip(heads) {
        page.write_with_format(0, column, head, &look::column_head(false))?;
    }
    for (row, pair) in (1_u32..).zip(pairs) {
        page.write_with_format(row, 0, pair.what.as_str(), &look::text(true))?;
        write_cell(page, row, 1, pair.cell.as_ref(), &own())?;
        let unit = Some(InputCell::Text(pair.unit.clone())).filter(|_| !pair.unit.is_empty());
        write_cell(page, row, 2, unit.as_ref(), &own())?;
        for (column, text) in (3..).zip([&pair.key, &pair.without, &pair.may_be]) {
            page.write_with_format(row, column, text.as_str(), &look::text(true))?;
        }
        let value = match &pair.cell {
            Some(InputCell::Text(text)) => text.as_str(),
            _ => "",
        };
        let texts = [pair.what.as_str(), value, "", &pair.key, &pair.without, &pair.may_be];
        page.set_row_height(row, height(&texts, &WIDTHS))?;
        page.insert_note(row, 1, &look::note_of(&pair.may_be))?;
        choose(page, (row, 1), (row, 1), &pair.choices, long_lists)?;
    }
    for (column, width) in (0..).zip(WIDTHS) {
        page.set_column_width(column, width)?;
    }
    page.set_freeze_panes(1, 2)?;
    Ok(())
}

fn write_list(
    page: &mut Worksheet,
    columns: &[InputColumn],
    rows: &[Vec<Option<InputCell>>],
    long_lists: &mut Vec<Vec<String>>,
) -> Result<(), XlsxError> {
    let last = u32::try_from(rows.len().max(BOXED)).unwrap_or(u32::MAX);
    for (at, column) in (0_u16..).zip(columns) {
        page.write_with_format(0, at, column.heading.as_str(), &look::column_head(false))?;
        page.insert_note(0, at, &look::note_of(&format!("{}\n{}", column.what, column.may_be)))?;
        choose(page, (1, at), (last, at), &column.choices, long_lists)?;
        page.set_column_width(at, 16)?;
        for row in 0..last {
            let cells = rows.get(row as usize);
            let cell = cells.and_then(|cells| cells.get(usize::from(at))?.as_ref());
            write_cell(page, row + 1, at, cell, &own())?;
        }
    }
    page.set_freeze_panes(1, 0)?;
    Ok(())
}
