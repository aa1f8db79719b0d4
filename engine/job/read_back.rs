//! Inputs that somebody changed in the marked cells of a written workbook, read back into the job.

use toml_edit::{DocumentMut, Item, TableLike, Value};

use super::read_cells::{ReadCell, changed_cells, check_value, not_looked_at};
use super::{CalcSheets, Job, KeyKind, bundled_keys};
use crate::measure::{Quantity, round, unit, written};
use crate::problem::{Faults, Outcome, Place, Problem};
use crate::table::{CellKind, Row, Table};
use crate::takeoff::SettingValue;
use crate::workbook::read_sheets;

/// An input that was changed.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadInput {
    /// Its path, elements of lists by id or name.
    pub path: String,
    /// What it is.
    pub what: &'static str,
    /// Its value in the job, as text.
    pub was: String,
    /// Its value in the workbook, as job.toml writes it.
    pub now: String,
    /// The cell.
    pub place: Place,
    /// Whether the job has another value than the workbook was written with.
    pub moved_since: bool,
}

/// What a workbook says that its job does not.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct ReadBack {
    /// Inputs, which job.toml can take.
    pub inputs: Vec<ReadInput>,
    /// Inputs of calc sheets, which the files of the sheets can take.
    pub cells: Vec<ReadCell>,
    /// Titles of calc sheets whose inputs are not looked at.
    pub not_looked_at: Vec<String>,
}

/// Headings of the sheet of inputs that are looked for: the value, its unit, its key, what it was written with.
const KEY: &str = "Key in job.toml";
const VALUE: &str = "Value";
const UNIT: &str = "Unit";
const WRITTEN: &str = "Laid out with";

/// Columns of the sheet of inputs.
struct InputColumns {
    key: usize,
    value: usize,
    unit: usize,
    written: usize,
}

fn columns(row: &Row) -> Option<InputColumns> {
    let at = |name: &str| row.cells.iter().position(|cell| cell.text.starts_with(name));
    Some(InputColumns { key: at(KEY)?, value: at(VALUE)?, unit: at(UNIT)?, written: at(WRITTEN)? })
}

/// What of a workbook's inputs differs from what it was written with, and which inputs of its calc sheets from those of
/// the job.
///
/// # Errors
/// It has no sheet of inputs, or a changed cell holds what its key cannot be; all of them at once.
pub fn read_back(job: &Job, calc: &CalcSheets, file: &str, bytes: &[u8]) -> Outcome<ReadBack> {
    let sheets = read_sheets(file, bytes, None)?;
    let found = sheets.iter().find_map(|sheet| {
        let at = sheet.table.rows.iter().position(|row| columns(row).is_some())?;
        Some((&sheet.table, at))
    });
    let Some((table, head)) = found else {
        return Err(Problem::error("this workbook has no sheet of inputs")
            .at(Place::file(file))
            .help(format!(
                "a workbook of rodbook takeoff was expected: one sheet has the heading \"{KEY}\""
            ))
            .into());
    };
    let Some(columns) = columns(&table.rows[head]) else { return Ok(ReadBack::default()) };
    of_this_job(job, file, table)?;
    let mut faults = Faults::none();
    let mut changed = Vec::new();
    for row in &table.rows[head + 1..] {
        let place = table.place_of(row.line, Some(columns.value));
        let read = one(job, row, &columns, &place);
        changed.extend(faults.keep_one(read.map_err(|problem| problem.at(place))).flatten());
    }
    let mut cells = Vec::new();
    for sheet in &sheets {
        let place = sheet.table.place();
        for cell in changed_cells(calc, &sheet.table) {
            let sound = check_value(&cell, &place).map(|()| cell);
            cells.extend(faults.keep_one(sound));
        }
    }
    let tables: Vec<&Table> = sheets.iter().map(|sheet| &sheet.table).collect();
    let not_looked_at = not_looked_at(calc, &tables);
    faults.or_value(Some(ReadBack { inputs: changed, cells, not_looked_at }))
}

/// Refuses the workbook of another job, by the title of its sheet of inputs.
fn of_this_job(job: &Job, file: &str, table: &Table) -> Result<(), Problem> {
    let title = table.rows.first().map_or("", |row| row.text(0));
    let name = job.wall_job.title.name.trim();
    match title.strip_prefix("Inputs: ") {
        Some(other) if other.trim() != name => {
            Err(Problem::error(format!("this is a workbook of \"{other}\", the job is \"{name}\""))
                .at(Place::file(file))
                .help("name the job that it was written from"))
        }
        _ => Ok(()),
    }
}

/// One row: nothing where it was not changed, or is no input of this job.
fn one(
    job: &Job,
    row: &Row,
    columns: &InputColumns,
    place: &Place,
) -> Result<Option<ReadInput>, Problem> {
    let path = row.text(columns.key);
    let (cell, before) = (row.text(columns.value), row.text(columns.written));
    // What stands under the inputs has no value that it was written with.
    if path.is_empty() || before.is_empty() || same(cell, before) {
        return Ok(None);
    }
    let Some(stated) = job.wall_job.settings.get(path) else {
        let problem = Problem::error(format!("{path} was changed, and the job no longer has it"));
        return Err(problem.help("put the old value back, or add the key to job.toml first"));
    };
    let kind = row.cell(columns.value).map_or(&CellKind::Empty, |cell| &cell.kind);
    let is_text = matches!(stated.value, SettingValue::Text(_));
    if cell.is_empty() || matches!(kind, CellKind::Error | CellKind::NoResult) {
        let help = "type a value, or put the old one back; to take it out of the job edit job.toml";
        return Err(Problem::error(format!("{path} has no value in its cell")).help(help));
    }
    if !is_text && number_of(cell).is_none() {
        let problem = Problem::error(format!("{path} is a number, its cell holds \"{cell}\""));
        return Err(problem.help("type the number alone: its unit stands beside it"));
    }
    let key = job.keys.find(&generic(path)).map(|key| key.kind);
    let say = |text: &str| text_of(text, row.text(columns.unit), key);
    let now = say(cell)?;
    let current = current(job, path, row.text(columns.unit));
    Ok(Some(ReadInput {
        path: job.wall_job.setting_by_id(path),
        what: stated.about,
        was: current.as_deref().map_or_else(|| say(before), say)?,
        now,
        place: place.clone(),
        moved_since: current.is_some_and(|current| !same(&current, before)),
    }))
}

/// Whether two cells hold the same: as numbers where they are such.
pub(super) fn same(a: &str, b: &str) -> bool {
    match (number_of(a), number_of(b)) {
        (Some(a), Some(b)) => round::same(a, b),
        _ => a == b,
    }
}

/// A cell as a number; a share is read as it is shown, `8 %`.
pub(super) fn number_of(cell: &str) -> Option<f64> {
    match cell.strip_suffix('%') {
        Some(percent) => percent.trim().parse::<f64>().ok().map(|percent| percent / 100.0),
        None => cell.parse().ok(),
    }
}

/// The value of the job in the unit of the sheet, as a cell has it.
fn current(job: &Job, path: &str, name: &str) -> Option<String> {
    match &job.wall_job.settings.get(path)?.value {
        SettingValue::Count(count) => Some(count.to_string()),
        SettingValue::Text(text) => Some(text.clone()),
        SettingValue::Measure(exact) => {
            let quantity = exact.quantity();
            let in_unit = |name: &str| unit(name).and_then(|unit| quantity.in_unit(&unit)).ok();
            let value = if name.is_empty() { Some(quantity.base()) } else { in_unit(name) };
            value.map(written)
        }
    }
}

/// A path with the mark of a list in place of numbers.
fn generic(path: &str) -> String {
    let mut shown = String::new();
    for word in path.split('.') {
        match word.bytes().all(|c| c.is_ascii_digit()) {
            true => shown.push_str("[]"),
            false if shown.is_empty() => shown.push_str(word),
            false => {
                shown.push('.');
                shown.push_str(word);
            }
        }
    }
    shown
}

/// A cell as job.toml writes it.
fn text_of(cell: &str, name: &str, kind: Option<KeyKind>) -> Result<String, Problem> {
    let number = || {
        number_of(cell).ok_or_else(|| {
            Problem::error(format!("\"{cell}\" is not a number")).help("type the number alone")
        })
    };
    Ok(match kind {
        Some(KeyKind::Percent(_)) => {
            let percent = round::nearest_f64(number()? * 1e10) / 1e8;
            written(percent)
        }
        Some(KeyKind::Slope(_)) => format!("{}:1", written(number()?)),
        _ if name.is_empty() => cell.to_owned(),
        _ => {
            let number = number()?;
            // A unit that the sheet shows and nobody reads would be refused when the job is read.
            Quantity::of(number, name)?;
            format!("{} {name}", written(number))
        }
    })
}

/// The text of a job.toml with changed inputs, comments and all; and the paths of those that have no place in it.
///
/// # Errors
/// The text cannot be read.
pub fn with_inputs(
    file: &str,
    text: &str,
    changed: &[ReadInput],
) -> Result<(String, Vec<String>), Problem> {
    let mut document: DocumentMut = text.parse().map_err(|error: toml_edit::TomlError| {
        Problem::error(format!("this job cannot be read: {}", error.message()))
            .at(Place::file(file))
    })?;
    let mut left = Vec::new();
    for input in changed {
        if put(&mut document, &input.path, &input.now).is_none() {
            left.push(input.path.clone());
        }
    }
    let mut new = document.to_string();
    if text.contains("\r\n") {
        new = new.replace("\r\n", "\n").replace('\n', "\r\n");
    }
    Ok((new, left))
}

/// Puts a value where its path leads; nothing where there is no such table or element.
fn put(document: &mut DocumentMut, path: &str, now: &str) -> Option<()> {
    let words: Vec<&str> = path.split('.').collect();
    let (key, tables) = words.split_last()?;
    if tables == ["prices"] && !document.get("prices").is_some_and(|prices| has(prices, key)) {
        // A price of the firm's own stands in its list.
        if let Some(own) = document.get_mut("own_price").and_then(|list| element(list, key)) {
            return set(own.as_table_like_mut()?, "price", now);
        }
    }
    // A value that holds by default, or by the company's standard, gets a table of its own.
    if let [table] = tables
        && document.get(table).is_none()
        && bundled_keys().any(|key| key.path == path)
    {
        document.insert(table, Item::Table(toml_edit::Table::new()));
    }
    let mut item: &mut Item = document.as_item_mut();
    for word in tables {
        item = match item.is_array_of_tables() || item.is_array() {
            true => element(item, word)?,
            false => item.get_mut(word)?,
        };
    }
    if item.is_array_of_tables() || item.is_array() {
        return None;
    }
    set(item.as_table_like_mut()?, key, now)
}

fn has(item: &Item, key: &str) -> bool {
    item.as_table_like().is_some_and(|table| table.contains_key(key))
}

/// The element of a list that is called so, or has this number.
fn element<'a>(list: &'a mut Item, name: &str) -> Option<&'a mut Item> {
    let called = |table: &dyn TableLike| {
        ["id", "name"].iter().any(|key| table.get(key).and_then(Item::as_str) == Some(name))
    };
    let at = match list.as_array_of_tables() {
        Some(tables) => tables.iter().position(|table| called(table)),
        None => list
            .as_array()?
            .iter()
            .position(|value| value.as_inline_table().is_some_and(|table| called(table))),
    };
    list.get_mut(at.or_else(|| name.parse().ok())?)
}

/// Sets a value, with the remark that stands behind the old one; numbers stay numbers.
fn set(table: &mut dyn TableLike, key: &str, now: &str) -> Option<()> {
    let old = table.get(key).and_then(Item::as_value);
    let plain = old.is_some_and(|old| old.is_integer() || old.is_float());
    let mut value: Value = match (now.parse::<i64>(), now.parse::<f64>()) {
        (Ok(whole), _) if plain || old.is_none() => whole.into(),
        (_, Ok(number)) if plain || old.is_none() => number.into(),
        _ => now.into(),
    };
    if let Some(old) = old {
        *value.decor_mut() = old.decor().clone();
    }
    table.insert(key, Item::Value(value));
    Some(())
}
