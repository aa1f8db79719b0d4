//! Sheets to tables.

use std::collections::{BTreeMap, BTreeSet};
use std::io::Cursor;

use calamine::{Data, DataRef, Ods, Reader, SheetVisible, Xls, Xlsb, Xlsx, XlsxFormulaMetadata};

use super::net::caught;
use super::percent::Percents;
use super::{guard, hidden, old, percent};
use crate::measure::push_shortest;
use crate::problem::{At, Outcome, Place, Problem, closest};
use crate::table::{Cell, CellKind, MOST_ROWS, Row, Table};

/// Rows beyond this are refused, as are columns: no workbook has them.
pub(super) const LAST_ROW: usize = 1_048_576;
/// Most columns.
pub(super) const MOST_COLUMNS: usize = 16_384;
/// Most cells that are read, and most that are kept with the empty ones before them.
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
/// It is not a workbook, too large, damaged, or has no such sheet.
pub fn read_sheets(file: &str, bytes: &[u8], sheet: Option<&str>) -> Outcome<Vec<SheetRead>> {
    let name = file.to_lowercase();
    if [".xls", ".xlsb", ".ods"].iter().any(|ending| name.ends_with(ending)) {
        right_ending(file, &name, bytes)?;
        return old::read(file, bytes, sheet);
    }
    read_in_this_process(file, bytes, sheet)
}

/// Refuses a file whose ending is that of another format.
fn right_ending(file: &str, name: &str, bytes: &[u8]) -> Result<(), Problem> {
    let old = bytes.starts_with(&[0xd0, 0xcf, 0x11, 0xe0]);
    if old == name.ends_with(".xls") {
        return Ok(());
    }
    let ending = name.rsplit('.').next().unwrap_or("");
    Err(Problem::error(format!("this file is not what its ending .{ending} says"))
        .at(Place::file(file))
        .help("give it the ending of what it is, such as .xlsx, .xls or .csv"))
}

/// The same in this process, whatever the format; where the reader falls over, its words are the message.
pub(super) fn read_in_this_process(
    file: &str,
    bytes: &[u8],
    sheet: Option<&str>,
) -> Outcome<Vec<SheetRead>> {
    // Its own words are of the reader's insides.
    let fell_over = |_| {
        Problem::error("this workbook cannot be read: a record of it is damaged")
            .at(Place::file(file))
            .help("open it in a spreadsheet and save it again as .xlsx")
            .into()
    };
    caught(|| read_by_format(file, bytes, sheet)).unwrap_or_else(|what| Err(fell_over(what)))
}

fn read_by_format(file: &str, bytes: &[u8], sheet: Option<&str>) -> Outcome<Vec<SheetRead>> {
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
        let seen = Beside { hidden: hidden::of_xls(bytes), percent: Percents::new() };
        return read_whole(book, file, sheet, seen);
    }
    if name.ends_with(".ods") || name.ends_with(".xlsb") {
        guard::unpacks_within_bounds(file, bytes)?;
        if name.ends_with(".ods") {
            let book = Ods::new(Cursor::new(bytes)).map_err(|error| old(error.to_string()))?;
            let seen = Beside { hidden: hidden::of_ods(bytes), percent: percent::of_ods(bytes) };
            return read_whole(book, file, sheet, seen);
        }
        let book = Xlsb::new(Cursor::new(bytes)).map_err(|error| old(error.to_string()))?;
        let seen = Beside { hidden: hidden::of_xlsb(bytes), percent: Percents::new() };
        return read_whole(book, file, sheet, seen);
    }
    guard::check(file, bytes)?;
    let damaged = |error: calamine::XlsxError| old(error.to_string());
    let mut book: Xlsx<_> = Xlsx::new(Cursor::new(bytes)).map_err(damaged)?;
    let known = sheets_of(file, book.sheets_metadata(), sheet)?;
    let mut seen = Beside { hidden: hidden::of_xlsx(bytes), percent: percent::of_xlsx(bytes) };
    let mut sheets = Vec::new();
    for (name, hidden) in known {
        let (columns, percent) = seen.take(&name);
        let filling = read_rows(&mut book, file, &name, percent)?;
        sheets.push(SheetRead { table: table(file, name, filling, columns), hidden });
    }
    Ok(sheets)
}

/// What the reader of cells does not say of a workbook.
struct Beside {
    /// Hidden columns.
    hidden: BTreeMap<String, Vec<usize>>,
    /// Cells that show percent.
    percent: Percents,
}

impl Beside {
    /// That of one sheet.
    fn take(&mut self, sheet: &str) -> (Vec<usize>, BTreeSet<(usize, usize)>) {
        let columns = self.hidden.remove(sheet).unwrap_or_default();
        (columns, self.percent.remove(sheet).unwrap_or_default())
    }
}

fn table(file: &str, sheet: String, filling: Filling, hidden: Vec<usize>) -> Table {
    let (file, by_formula) = (file.to_owned(), filling.by_formula.len());
    let (rows, remarks) = (filling.rows(), Vec::new());
    Table { file, sheet: Some(sheet), rows, spaced: false, hidden, remarks, by_formula }
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
    mut seen: Beside,
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
        let (columns, percent) = seen.take(&name);
        let mut filling = Filling::new(place, percent);
        let (top, left) = range.start().unwrap_or((0, 0));
        // Formulas are told by their texts; a format that does not give them has none to tell.
        let formulas = book.worksheet_formula(&name).ok();
        for (row, column, value) in range.cells() {
            let at = (row + top as usize, column + left as usize);
            let place =
                (u32::try_from(at.0).unwrap_or(u32::MAX), u32::try_from(at.1).unwrap_or(u32::MAX));
            let formula = formulas.as_ref().and_then(|all| all.get_value(place));
            let formula = formula.map(String::as_str).filter(|text| !text.is_empty());
            filling.add(at, &borrowed(value), formula)?;
        }
        sheets.push(SheetRead { table: table(file, name, filling, columns), hidden });
    }
    Ok(sheets)
}

fn read_rows(
    book: &mut Xlsx<Cursor<&[u8]>>,
    file: &str,
    name: &str,
    percent: BTreeSet<(usize, usize)>,
) -> Outcome<Filling> {
    let place = Place { file: file.to_owned(), at: At::Sheet(name.to_owned()) };
    let fail = |what: String| Problem::error(what).at(place.clone());
    let mut filling = Filling::new(place.clone(), percent);
    let read = caught(|| -> Result<(), Problem> {
        let mut cells = book
            .worksheet_cells_reader(name)
            .map_err(|error| fail(format!("this sheet cannot be read: {error}")))?;
        loop {
            let next = cells
                .next_cell_with_formula_metadata()
                .map_err(|error| fail(format!("this sheet is damaged: {error}")))?;
            let Some(found) = next else { return Ok(()) };
            let formula = found.formula.as_ref().map(|formula| match formula {
                XlsxFormulaMetadata::Normal { formula }
                | XlsxFormulaMetadata::Shared { formula, .. } => formula.as_str(),
                _ => "",
            });
            filling.add((found.pos.0 as usize, found.pos.1 as usize), &found.value, formula)?;
        }
    });
    match read {
        Ok(read) => read?,
        // Its own words are of no use here: what falls over is the address of a cell.
        Err(_) => {
            let row = filling.rows.last().map_or(0, |row| row.line);
            return Err(fail(
                "this sheet is damaged: a cell has an address that no sheet has".to_owned(),
            )
            .detail(format!("the cells up to row {row} are sound"))
            .help("open it in a spreadsheet and save it again")
            .into());
        }
    }
    Ok(filling)
}

/// A sheet while its cells come in.
struct Filling {
    place: Place,
    /// Cells that show percent.
    percent: BTreeSet<(usize, usize)>,
    rows: Vec<Row>,
    /// Cells seen, and cells kept with the empty ones before them.
    seen: usize,
    kept: usize,
    /// Places of numbers that a formula gave.
    by_formula: Vec<(usize, usize)>,
    /// Whether such a number is anything but 0: then the formulas were worked out.
    worked_out: bool,
    buffer: String,
}

impl Filling {
    fn new(place: Place, percent: BTreeSet<(usize, usize)>) -> Self {
        Self {
            place,
            percent,
            rows: Vec::new(),
            seen: 0,
            kept: 0,
            by_formula: Vec::new(),
            worked_out: false,
            buffer: String::new(),
        }
    }

    /// Adds a cell: its place from 0, its value, its formula if it has one.
    fn add(
        &mut self,
        (row, column): (usize, usize),
        value: &DataRef,
        formula: Option<&str>,
    ) -> Result<(), Problem> {
        self.seen += 1;
        let line = row + 1;
        let mut cell = cell(value, &mut self.buffer);
        if let Some(formula) = formula {
            match cell.kind {
                CellKind::Empty if matches!(value, DataRef::Empty) => cell = no_result(),
                CellKind::Number | CellKind::Date => {
                    self.by_formula.push((line, column));
                    self.worked_out |= cell.text != "0";
                    if cell.kind == CellKind::Number && over_rows(formula) {
                        cell.kind = CellKind::Total;
                    }
                }
                CellKind::Text => self.worked_out = true,
                _ => {}
            }
        }
        if cell.kind == CellKind::Number
            && !self.percent.is_empty()
            && self.percent.contains(&(row, column))
        {
            cell = percent::as_seen(&cell.text);
        }
        if cell.kind == CellKind::Empty {
            // Formatted, with nothing in it: the cell is not there.
        } else {
            self.enter(line, column, cell);
        }
        if row >= LAST_ROW
            || self.rows.len() > MOST_ROWS
            || column >= MOST_COLUMNS
            || self.seen.max(self.kept) > MOST_CELLS
        {
            let what = "this sheet is refused: it has more rows or cells than any shot list";
            return Err(Problem::error(what)
                .at(self.place.clone())
                .help("save the rows of the list alone into a new workbook, or as csv"));
        }
        Ok(())
    }

    fn enter(&mut self, line: usize, column: usize, cell: Cell) {
        if self.rows.last().is_none_or(|last| last.line != line) {
            // A row is as wide as the one before it, as a rule.
            let cells = Vec::with_capacity(self.rows.last().map_or(0, |last| last.cells.len()));
            self.rows.push(Row { line, cells });
        }
        let Some(row) = self.rows.last_mut() else { return };
        self.kept += put(&mut row.cells, column, cell);
    }

    /// The rows, ascending. Formulas whose every stored result is 0 were never worked out: writers that do not calculate
    /// store that.
    fn rows(mut self) -> Vec<Row> {
        if !self.rows.is_sorted_by(|a, b| a.line < b.line) {
            self.rows.sort_by_key(|row| row.line);
            self.rows.dedup_by(|later, first| {
                let same = later.line == first.line;
                if same {
                    for (column, cell) in later.cells.drain(..).enumerate() {
                        if cell.kind != CellKind::Empty {
                            put(&mut first.cells, column, cell);
                        }
                    }
                }
                same
            });
        }
        if !self.worked_out {
            for (line, column) in &self.by_formula {
                let row = self.rows.binary_search_by_key(line, |row| row.line);
                if let Ok(index) = row {
                    put(&mut self.rows[index].cells, *column, no_result());
                }
            }
        }
        self.rows
    }
}

/// Puts a cell into its column; gives how many cells the row grew by.
fn put(cells: &mut Vec<Cell>, column: usize, cell: Cell) -> usize {
    let before = cells.len();
    if column >= before {
        cells.resize(column + 1, Cell::empty());
    }
    cells[column] = cell;
    cells.len() - before
}

fn no_result() -> Cell {
    Cell { text: "formula without a stored result".into(), kind: CellKind::NoResult }
}

/// Whether a formula works over several rows, as a sum or an average under a list does.
fn over_rows(formula: &str) -> bool {
    const OVER: [&str; 9] =
        ["SUM", "AVERAGE", "MIN", "MAX", "COUNT", "MEDIAN", "SUBTOTAL", "STDEV", "AGGREGATE"];
    let formula = formula.trim_start_matches(['=', '+']).to_ascii_uppercase();
    let name = formula.split('(').next().unwrap_or("").trim_start_matches("OF:=");
    if !OVER.iter().any(|known| name.starts_with(known)) {
        return false;
    }
    let row_of = |reference: &str| {
        let digits: String = reference.chars().filter(char::is_ascii_digit).collect();
        digits.parse::<u32>().ok()
    };
    let inner = formula.split_once('(').map_or("", |(_, inner)| inner);
    inner
        .split([',', ';', ')', '('])
        .any(|part| part.split_once(':').is_some_and(|(from, to)| row_of(from) != row_of(to)))
}

/// A value of a sheet that was read as a whole, as the streaming reader gives it.
fn borrowed(value: &Data) -> DataRef<'_> {
    match value {
        Data::Int(n) => DataRef::Int(*n),
        Data::Float(x) => DataRef::Float(*x),
        Data::String(text) => DataRef::SharedString(text),
        Data::Bool(flag) => DataRef::Bool(*flag),
        Data::Error(error) => DataRef::Error(error.clone()),
        Data::DateTime(date) => DataRef::DateTime(*date),
        Data::DateTimeIso(text) => DataRef::DateTimeIso(text.clone()),
        Data::DurationIso(text) => DataRef::DurationIso(text.clone()),
        Data::Empty => DataRef::Empty,
    }
}

/// The cell of a value; `buffer` holds the digits of a number on their way.
fn cell(value: &DataRef, buffer: &mut String) -> Cell {
    match value {
        DataRef::Int(n) => Cell { text: n.to_string().into(), kind: CellKind::Number },
        DataRef::Float(x) if x.is_finite() => {
            buffer.clear();
            push_shortest(buffer, *x);
            Cell { text: buffer.as_str().into(), kind: CellKind::Number }
        }
        DataRef::Float(x) => Cell { text: x.to_string().into(), kind: CellKind::Error },
        DataRef::String(text) => Cell::text(text),
        DataRef::SharedString(text) => Cell::text(text),
        DataRef::Bool(flag) => Cell::text(if *flag { "TRUE" } else { "FALSE" }),
        DataRef::Error(error) => Cell { text: error.to_string().into(), kind: CellKind::Error },
        DataRef::DateTime(date) => Cell { text: date_text(*date).into(), kind: CellKind::Date },
        DataRef::DateTimeIso(text) | DataRef::DurationIso(text) => {
            Cell { text: text.as_str().into(), kind: CellKind::Date }
        }
        DataRef::Empty => Cell::empty(),
    }
}

/// A date, a time, or both, as far as the value has them.
fn date_text(date: calamine::ExcelDateTime) -> String {
    let (year, month, day, hour, minute, second, _) = date.to_ymd_hms_milli();
    let time = if second == 0 {
        format!("{hour:02}:{minute:02}")
    } else {
        format!("{hour:02}:{minute:02}:{second:02}")
    };
    let value = date.as_f64();
    if date.is_duration() || (0.0..1.0).contains(&value) {
        return time;
    }
    let day = format!("{year:04}-{month:02}-{day:02}");
    if (hour, minute, second) == (0, 0, 0) { day } else { format!("{day} {time}") }
}
