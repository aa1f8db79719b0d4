//! A job that is a workbook alone: every table has a sheet, and the shots another.

use super::super::{Written, key_tables};
use super::sheets::{
    Filled, add_all, column_of, hidden_tables, is_hidden, name_of, shown_and_hidden,
};
use crate::files::Layers;
use crate::problem::{Faults, Problem};
use crate::table::Table;
use crate::workbook::{is_workbook, read_sheets};

/// The sheet that lists the others.
pub(in crate::job) const CONTENTS: &str = "Contents";

/// The sheet for the shots.
pub(in crate::job) const SHOT_LIST: &str = "Shot list";

/// The key that says whether the job has a table.
pub(in crate::job) const GIVEN: &str = "in this job";

/// Whether a sheet is `job` with keys and values: what an input book is known by.
fn is_of_a_job(table: &Table) -> bool {
    let has = |word| table.rows.first().is_some_and(|head| column_of(head, word).is_some());
    name_of(table) == "job" && has("key") && has("value")
}

/// Whether a file is an input book, as far as it can be read.
pub(in crate::job) fn is_input_book(file: &str, bytes: &[u8]) -> bool {
    is_workbook(file)
        && read_sheets(file, bytes, None)
            .is_ok_and(|sheets| sheets.iter().any(|sheet| is_of_a_job(&sheet.table)))
}

/// The settings of an input book, and what is wrong with its sheets.
pub(in crate::job) fn book_tables(layers: &Layers, shown: &str, file: &str) -> (Written, Faults) {
    let mut written = Written::alone(shown, "");
    let mut faults = Faults::none();
    let path = layers.job().map(|folder| folder.join(file)).unwrap_or_default();
    let read = layers.read(&path).and_then(|bytes| read_sheets(file, &bytes, None));
    let Some(sheets) = faults.keep(read) else { return (written, faults) };
    let (tables, hidden) = shown_and_hidden(sheets);
    for table in hidden.iter().filter(|table| name_of(table) == SHOT_LIST) {
        faults.push(is_hidden(table));
    }
    let calc = calc_sheets(&tables);
    faults.extend(hidden_tables(&hidden));
    let others = |name: &str| {
        name.starts_with('_')
            || name == CONTENTS
            || name == SHOT_LIST
            || calc.iter().any(|calc| calc == name)
    };
    let wanted: Vec<&Table> =
        tables.iter().filter(|table| !others(name_of(table)) && !table.rows.is_empty()).collect();
    // A list that must have an element and has none is told at its sheet.
    for list in key_tables().filter(|table| table.required) {
        let Some(name) = list.path.strip_suffix("[]").filter(|name| !name.contains('.')) else {
            continue;
        };
        let sheet = wanted.iter().find(|table| name_of(table) == name);
        if let Some(sheet) =
            sheet.filter(|sheet| sheet.rows.iter().skip(1).all(|row| row.is_blank()))
        {
            written.push(&format!("{name} = []"), sheet.place());
        }
    }
    if !wanted.iter().any(|table| is_of_a_job(table)) {
        let problem = Problem::error("this workbook has no sheet job with columns key and value");
        faults.push(
            problem
                .at(crate::problem::Place::file(shown))
                .help("an input book is written by: rodbook new FILE.xlsx"),
        );
        return (written, faults);
    }
    let filled =
        |table: &Table| name_of(table) == SHOT_LIST && table.rows.iter().any(|row| !row.is_blank());
    let shots = tables.iter().any(filled);
    let without = wanted.iter().filter(|table| is_refused(table));
    let without = without.map(|table| name_of(table).to_owned()).collect();
    let filled = Filled::Book { file: file.to_owned(), shots, without };
    faults.extend(add_all(&mut written, wanted, &filled));
    (written, faults)
}

/// Whether a sheet says that the job does not have its table.
fn is_refused(table: &Table) -> bool {
    let Some((head, rows)) = table.rows.split_first() else { return false };
    let (Some(key), Some(value)) = (column_of(head, "key"), column_of(head, "value")) else {
        return false;
    };
    rows.iter()
        .any(|row| row.text(key).trim() == GIVEN && yes_or_no(row.text(value)) == Some(false))
}

/// What a cell that says yes or no says.
pub(super) fn yes_or_no(text: &str) -> Option<bool> {
    match text.trim().to_lowercase().as_str() {
        "yes" | "y" | "true" => Some(true),
        "no" | "n" | "false" => Some(false),
        _ => None,
    }
}

/// Sheets of the book that its list of calc sheets names.
fn calc_sheets(tables: &[Table]) -> Vec<String> {
    let Some(list) = tables.iter().find(|table| name_of(table) == "sheet") else {
        return Vec::new();
    };
    let Some((head, rows)) = list.rows.split_first() else { return Vec::new() };
    let [name, sheet, file] = ["name", "sheet", "file"].map(|word| column_of(head, word));
    let text = |row: &crate::table::Row, at: Option<usize>| {
        at.map_or("", |at| row.text(at)).trim().to_owned()
    };
    rows.iter()
        .filter(|row| text(row, file).is_empty())
        .map(|row| match text(row, sheet) {
            empty if empty.is_empty() => text(row, name),
            sheet => sheet,
        })
        .filter(|name| !name.is_empty())
        .collect()
}
