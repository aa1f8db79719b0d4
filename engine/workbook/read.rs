//! Sheets to tables.

use std::io::Cursor;

use calamine::{Data, DataRef, Ods, Reader, SheetVisible, Xls, Xlsb, Xlsx};

use super::guard;
use crate::measure::push_shortest;
use crate::problem::{At, Outcome, Place, Problem, closest};
use crate::table::{Cell, CellKind, Row, Table};

/// Rows beyond this are refused.
const MOST_ROWS: u32 = 1_048_576;
/// Columns beyond this are ignored.
const MOST_COLUMNS: u32 = 256;
/// Most cells that are read.
const MOST_CELLS: usize = 20_000_000;

/// A sheet that was read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SheetRead {
    /// Its table.
    pub table: Table,
    /// Whether it is hidden.
    pub hidden: bool,
}

/// Whether a file name is one of a workbook.
pub fn is_workbook(name: &str) -> bool {
    let name = name.to_lowercase();
    [".xlsx", ".xlsm", ".ods", ".xls", ".xlsb"].iter().any(|ending| name.ends_with(ending))
}

/// Reads the sheets of a workbook, or one of them.
///
/// # Errors
/// It is no workbook, too large, damaged, or has no such sheet.
pub fn read_sheets(file: &str, bytes: &[u8], sheet: Option<&str>) -> Outcome<Vec<SheetRead>> {
    let place = Place::file(file);
    let name = file.to_lowercase();
    let old = |error: String| {
        Problem::error(format!("this workbook cannot be read: {error}"))
            .at(place.clone())
            .help("save it again as .xlsx")
    };
    if name.ends_with(".xls") {
        bounded(file, bytes)?;
        let book = Xls::new(Cursor::new(bytes)).map_err(|error| old(error.to_string()))?;
        return read_whole(book, file, sheet);
    }
    if name.ends_with(".ods") || name.ends_with(".xlsb") {
        guard::unpacks_within_bounds(file, bytes)?;
        if name.ends_with(".ods") {
            let book = Ods::new(Cursor::new(bytes)).map_err(|error| old(error.to_string()))?;
            return read_whole(book, file, sheet);
        }
        let book = Xlsb::new(Cursor::new(bytes)).map_err(|error| old(error.to_string()))?;
        return read_whole(book, file, sheet);
    }
    guard::check(file, bytes)?;
    let damaged = |error: calamine::XlsxError| {
        Problem::error(format!("this workbook cannot be read: {error}"))
            .at(place.clone())
            .help("save it again as .xlsx")
    };
    let mut book: Xlsx<_> = Xlsx::new(Cursor::new(bytes)).map_err(damaged)?;
    let known = sheets_of(file, book.sheets_metadata(), sheet)?;
    let mut sheets = Vec::new();
    for (name, hidden) in known {
        let rows = read_rows(&mut book, file, &name)?;
        sheets.push(SheetRead {
            table: Table {
                file: file.to_owned(),
                sheet: Some(name),
                rows,
                spaced: false,
                remarks: Vec::new(),
            },
            hidden,
        });
    }
    Ok(sheets)
}

/// Largest file of the old workbook format, which cannot be read piece by piece.
const LARGEST_OLD: usize = 50 * 1024 * 1024;

fn bounded(file: &str, bytes: &[u8]) -> Outcome<()> {
    if bytes.len() > LARGEST_OLD {
        return Err(Problem::error("this workbook is larger than any shot list")
            .at(Place::file(file))
            .help("save the sheet with the shots as .xlsx or .csv")
            .into());
    }
    Ok(())
}

/// The sheets to read and whether each is hidden: all, or the one that is wanted.
fn sheets_of(
    file: &str,
    metadata: &[calamine::Sheet],
    sheet: Option<&str>,
) -> Outcome<Vec<(String, bool)>> {
    let all =
        metadata.iter().map(|meta| (meta.name.clone(), meta.visible != SheetVisible::Visible));
    let Some(wanted) = sheet else { return Ok(all.collect()) };
    let found: Vec<(String, bool)> = all.filter(|(name, _)| name == wanted).collect();
    if !found.is_empty() {
        return Ok(found);
    }
    let names: Vec<&str> = metadata.iter().map(|meta| meta.name.as_str()).collect();
    let problem = Problem::error(format!("there is no sheet \"{wanted}\""))
        .at(Place::file(file))
        .detail(format!("its sheets: {}", names.join(", ")));
    Err(match closest(wanted, names.iter().copied()) {
        Some(near) => problem.help(format!("did you mean \"{near}\"?")),
        None => problem.help("correct shots.sheet in job.toml"),
    }
    .into())
}

/// Sheets of a format that is read as a whole.
fn read_whole<'a, R: Reader<Cursor<&'a [u8]>>>(
    mut book: R,
    file: &str,
    sheet: Option<&str>,
) -> Outcome<Vec<SheetRead>>
where
    R::Error: std::fmt::Display,
{
    let known = sheets_of(file, book.sheets_metadata(), sheet)?;
    let mut sheets = Vec::new();
    for (name, hidden) in known {
        let place = Place { file: file.to_owned(), at: At::Sheet(name.clone()) };
        let range = book.worksheet_range(&name).map_err(|error| {
            Problem::error(format!("this sheet cannot be read: {error}")).at(place.clone())
        })?;
        let mut rows: Vec<Row> = Vec::new();
        let mut buffer = String::new();
        let (top, left) = range.start().unwrap_or((0, 0));
        for (row, column, value) in range.used_cells() {
            let (row, column) = (row + top as usize, column + left as usize);
            if column < MOST_COLUMNS as usize {
                let cell = cell(&borrowed(value), &mut buffer);
                if cell.kind != CellKind::Empty {
                    enter(&mut rows, row + 1, column, cell);
                }
            }
        }
        rows.retain(|row| !row.is_blank());
        let table = Table {
            file: file.to_owned(),
            sheet: Some(name),
            rows,
            spaced: false,
            remarks: Vec::new(),
        };
        sheets.push(SheetRead { table, hidden });
    }
    Ok(sheets)
}

fn read_rows(book: &mut Xlsx<Cursor<&[u8]>>, file: &str, name: &str) -> Outcome<Vec<Row>> {
    let place = Place { file: file.to_owned(), at: At::Sheet(name.to_owned()) };
    let fail = |what: String| Problem::error(what).at(place.clone());
    let mut rows: Vec<Row> = Vec::new();
    let mut buffer = String::new();
    let mut count = 0;
    let mut without_result = false;
    {
        let mut cells = book
            .worksheet_cells_reader(name)
            .map_err(|error| fail(format!("this sheet cannot be read: {error}")))?;
        loop {
            let next = cells
                .next_cell()
                .map_err(|error| fail(format!("this sheet is damaged: {error}")))?;
            let Some(found) = next else { break };
            let (row, column) = found.get_position();
            count += 1;
            if row >= MOST_ROWS || count > MOST_CELLS {
                return Err(fail(
                    "this sheet is refused: it has more rows or cells than any shot list".into(),
                )
                .into());
            }
            if column >= MOST_COLUMNS {
                continue;
            }
            let cell = cell(found.get_value(), &mut buffer);
            if cell.kind == CellKind::Empty {
                without_result = true;
                continue;
            }
            enter(&mut rows, row as usize + 1, column as usize, cell);
        }
    }
    if without_result {
        mark_formulas(book, name, &mut rows);
    }
    rows.sort_by_key(|row| row.line);
    rows.retain(|row| !row.is_blank());
    Ok(rows)
}

fn enter(rows: &mut Vec<Row>, line: usize, column: usize, cell: Cell) {
    let index = match rows.last() {
        Some(last) if last.line == line => rows.len() - 1,
        Some(last) if last.line < line => {
            // A row is as wide as the one before it, as a rule.
            let cells = Vec::with_capacity(last.cells.len());
            rows.push(Row { line, cells });
            rows.len() - 1
        }
        None => {
            rows.push(Row { line, cells: Vec::new() });
            0
        }
        // A sheet whose rows are out of order.
        Some(_) => match rows.iter().position(|row| row.line == line) {
            Some(index) => index,
            None => {
                rows.push(Row { line, cells: Vec::new() });
                rows.len() - 1
            }
        },
    };
    let cells = &mut rows[index].cells;
    if column < cells.len() {
        cells[column] = cell;
        return;
    }
    if column > cells.len() {
        cells.resize(column, Cell::empty());
    }
    cells.push(cell);
}

/// Marks cells whose formula was never calculated, so that they are not taken for empty ones.
fn mark_formulas(book: &mut Xlsx<Cursor<&[u8]>>, name: &str, rows: &mut Vec<Row>) {
    let Ok(mut formulas) = book.worksheet_cells_reader(name) else { return };
    let mut found = Vec::new();
    while let Ok(Some(formula)) = formulas.next_formula() {
        let (row, column) = formula.get_position();
        if row < MOST_ROWS && column < MOST_COLUMNS {
            found.push((row as usize + 1, column as usize));
        }
    }
    for (line, column) in found {
        let empty = rows
            .iter()
            .find(|row| row.line == line)
            .and_then(|row| row.cell(column))
            .is_none_or(|cell| cell.kind == CellKind::Empty);
        if empty {
            enter(
                rows,
                line,
                column,
                Cell { text: "formula without a stored result".into(), kind: CellKind::NoResult },
            );
        }
    }
}

/// A value of a sheet that was read as a whole, as the streaming reader gives it.
fn borrowed(value: &Data) -> DataRef<'_> {
    match value {
        Data::Int(n) => DataRef::Int(*n),
        Data::Float(x) => DataRef::Float(*x),
        Data::String(text) => DataRef::SharedString(text),
        Data::Bool(flag) => DataRef::Bool(*flag),
        Data::Error(error) => DataRef::Error(error.clone()),
        Data::Empty => DataRef::Empty,
        other => DataRef::String(other.to_string()),
    }
}

/// The cell of a value; `buffer` holds the digits of a number on their way.
fn cell(value: &DataRef, buffer: &mut String) -> Cell {
    match value {
        DataRef::Int(n) => Cell { text: n.to_string().into(), kind: CellKind::Number },
        DataRef::Float(x) => {
            buffer.clear();
            push_shortest(buffer, *x);
            Cell { text: buffer.as_str().into(), kind: CellKind::Number }
        }
        DataRef::String(text) => Cell::text(text),
        DataRef::SharedString(text) => Cell::text(text),
        DataRef::Bool(flag) => Cell::text(if *flag { "TRUE" } else { "FALSE" }),
        DataRef::Error(error) => Cell { text: error.to_string().into(), kind: CellKind::Error },
        DataRef::Empty => Cell::empty(),
        other => Cell::text(&Data::from(other.clone()).to_string()),
    }
}
